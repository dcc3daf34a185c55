"""Cast-on and cuff: ribbing in the round, from peg 1."""

from __future__ import annotations

from charts.loom import UP
from charts.plan import Plan
from charts.rows import RUN_ON, CastOn, Event, Row, Section


def make_cast_on(plan: Plan) -> tuple[Event, ...]:
    """The cast-on; the yarn ends at the last peg."""
    return (CastOn(Section.CAST_ON, plan.loom.run(1, plan.loom.pegs)),)


def make_cuff(plan: Plan) -> tuple[Event, ...]:
    """The cuff's rows; the last one runs on to where the leg's rounds start."""
    pegs = plan.loom.run(1, plan.loom.pegs)
    rows = [
        Row(Section.CUFF, number, UP, pegs, plan.cuff_letters)
        for number in range(1, plan.spec.cuff.rows + 1)
    ]
    if plan.shift:
        run_on = plan.loom.run(1, plan.shift)
        rows.append(Row(Section.CUFF, RUN_ON, UP, run_on, plan.cuff_letters[: plan.shift]))
    return tuple(rows)
