"""Heel: flap, partial row, turn, and the gussets hung back on their pegs.

The way of working is common practice with no published source.
"""

from __future__ import annotations

from charts.loom import DOWN, UP
from charts.plan import Plan
from charts.rows import Event, Hold, Holder, LiftBar, Rehang, Row, Section


def make_flap(plan: Plan) -> tuple[Event, ...]:
    """Flat rows over the heel pegs; every row but the first slips its first stitch."""
    heel, knit = plan.heel_pegs, plan.knit_letter
    there, back = plan.pegs(1, heel), plan.pegs(heel, 1)
    rows = [Row(Section.FLAP, 1, UP, there, knit * heel)]
    for number in range(2, plan.flap_rows + 1):
        direction, pegs = (UP, there) if number % 2 else (DOWN, back)
        rows.append(Row(Section.FLAP, number, direction, pegs, "s" + knit * (heel - 1)))
    return tuple(rows)


def make_partial_row(plan: Plan) -> tuple[Event, ...]:
    """Slip one, knit across the near gusset and on to the first peg of the turn."""
    gusset = plan.gusset_pegs
    letters = "s" + plan.knit_letter * gusset
    return (Row(Section.PARTIAL, 1, UP, plan.pegs(1, gusset + 1), letters),)


def make_turn(plan: Plan) -> tuple[Event, ...]:
    """Both gussets onto holders, then rows over the centre, each joining one held loop."""
    heel, gusset, centre = plan.heel_pegs, plan.gusset_pegs, plan.centre_pegs
    first, last = gusset + 1, gusset + centre
    knit = plan.knit_letter
    events: list[Event] = [
        Hold(Section.TURN, Holder.NEAR, plan.pegs(1, gusset)),
        Hold(Section.TURN, Holder.FAR, plan.pegs(heel, last + 1)),
        # The partial row has worked the first peg of this row already.
        Row(Section.TURN, 1, UP, plan.pegs(first + 1, last), knit * (centre - 2) + "j"),
    ]
    there, back = plan.pegs(first, last), plan.pegs(last, first)
    for number in range(2, plan.turn_rows + 1):
        direction, pegs = (UP, there) if number % 2 else (DOWN, back)
        events.append(Row(Section.TURN, number, direction, pegs, knit * (centre - 1) + "j"))
    return tuple(events)


def make_gusset(plan: Plan) -> tuple[Event, ...]:
    """Edge loops onto the gusset pegs and bars against holes; no yarn is used."""
    heel, gusset, centre = plan.heel_pegs, plan.gusset_pegs, plan.centre_pegs
    first, last = gusset + 1, gusset + centre
    events: list[Event] = [
        Rehang(Section.GUSSET, Holder.NEAR, plan.peg(1), plan.pegs(1, gusset)),
        Rehang(Section.GUSSET, Holder.FAR, plan.peg(heel), plan.pegs(heel, last + 1)),
        LiftBar(Section.GUSSET, plan.peg(first), (plan.peg(gusset), plan.peg(first))),
        LiftBar(Section.GUSSET, plan.peg(last), (plan.peg(last), plan.peg(last + 1))),
    ]
    if plan.spec.gusset.corner_bars:
        events += [
            LiftBar(Section.GUSSET, plan.peg(heel), (plan.peg(heel), plan.peg(heel + 1))),
            LiftBar(Section.GUSSET, plan.peg(1), (plan.peg(plan.loom.pegs), plan.peg(1))),
        ]
    return tuple(events)
