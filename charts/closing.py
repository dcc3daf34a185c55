"""Closing: loops taken off onto two needles and grafted in pairs.

The Kitchener sequence is published in many places (e.g. a knitting magazine's column of 2022);
the count of needle passes follows from each loop being entered exactly twice.
"""

from __future__ import annotations

from charts.plan import Plan
from charts.rows import Event, Graft, Needle, Section, TakeOff


def make_closing(plan: Plan) -> tuple[Event, ...]:
    """The instep half onto the front needle, the toe half onto the back one, then the graft."""
    low, high = plan.toe_offset + 1, plan.toe_offset + plan.toe_pegs
    past_toe = high + 1 if plan.closing_decrease else high
    instep = plan.pegs(low - 1 + plan.loom.pegs, past_toe + 1)
    toe = plan.pegs(high, low)
    pairs = tuple(zip(instep, reversed(toe), strict=True))
    return (
        TakeOff(Section.CLOSING, Needle.FRONT, instep),
        TakeOff(Section.CLOSING, Needle.BACK, toe),
        Graft(Section.CLOSING, pairs),
    )
