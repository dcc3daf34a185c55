"""Leg: plain at the back, the motif on the instep."""

from __future__ import annotations

from charts.loom import UP
from charts.plan import Plan
from charts.rows import Event, Row, Section


def make_leg(plan: Plan) -> tuple[Event, ...]:
    """The leg's rows, each a whole round from the round's start."""
    pegs = plan.pegs(1, plan.loom.pegs)
    back = plan.knit_letter * plan.heel_pegs
    return tuple(
        Row(Section.LEG, number, UP, pegs, back + plan.instep_letters(number))
        for number in range(1, plan.spec.leg.rows + 1)
    )
