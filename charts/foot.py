"""Foot: plain sole, the instep's motif carried on or plain; rows counted on the instep."""

from __future__ import annotations

from charts.loom import UP
from charts.plan import Plan
from charts.rows import RUN_ON, Event, Row, Section, Shift
from charts.spec import FootInstep


def make_foot(plan: Plan) -> tuple[Event, ...]:
    """From the turn's start-side peg to the round's start, then whole rounds, then on to the toe.

    The first row is the pass that takes the two lifted bars along; it reaches the round's start
    and so works the instep once.
    """
    first_peg = plan.gusset_pegs + 1
    last_row = plan.spec.foot.rows
    whole = plan.pegs(1, plan.loom.pegs)
    rows: list[Event] = [
        Row(
            Section.FOOT,
            1,
            UP,
            plan.pegs(first_peg, plan.loom.pegs),
            (_first_sole(plan) + _instep(plan, 1))[first_peg - 1 :],
        )
    ]
    sole = plan.knit_letter * plan.heel_pegs
    for number in range(2, last_row + 1):
        letters = sole + _instep(plan, number)
        if number == 2 and plan.spec.gusset.corner_bars:
            letters = "b" + letters[1:]
        if number == last_row and plan.closing_decrease:
            rows.append(_shift_before_toe(plan))
            letters = _with_decrease(plan, letters)
        rows.append(Row(Section.FOOT, number, UP, whole, letters))
    if plan.toe_offset:
        pegs = plan.pegs(1, plan.toe_offset)
        rows.append(Row(Section.FOOT, RUN_ON, UP, pegs, plan.knit_letter * plan.toe_offset))
    return tuple(rows)


def _first_sole(plan: Plan) -> str:
    """The sole of the first foot row, places 1 to heel, its lifted bars worked along."""
    letters = [plan.knit_letter] * plan.heel_pegs
    letters[plan.gusset_pegs] = "b"
    letters[plan.gusset_pegs + plan.centre_pegs - 1] = "b"
    if plan.spec.gusset.corner_bars:
        letters[-1] = "b"
    return "".join(letters)


def _instep(plan: Plan, number: int) -> str:
    if plan.spec.foot.instep is FootInstep.PLAIN:
        return plan.knit_letter * plan.instep_pegs
    return plan.instep_letters(plan.spec.leg.rows + number)


def _shift_before_toe(plan: Plan) -> Shift:
    """The loop just past the toe goes onto the toe's last peg.

    Both are plain sole, but where heel and toe are equally wide: there the loop is the instep's
    first.
    """
    toe_end = plan.toe_offset + plan.toe_pegs
    return Shift(Section.FOOT, plan.peg(toe_end + 1), plan.peg(toe_end))


def _with_decrease(plan: Plan, letters: str) -> str:
    """The row with both loops worked as one on the toe's last peg, the next peg empty.

    The moved loop lies on top and comes from the higher-numbered neighbour, so the stitch leans
    away from that neighbour's side: left if pegs count up to the right.
    """
    toe_end = plan.toe_offset + plan.toe_pegs
    leaning = "\\" if plan.loom.rightward == UP else "/"
    return letters[: toe_end - 1] + leaning + "x" + letters[toe_end + 1 :]
