"""Short-row toe over half the pegs, centred under the heel.

Turned stitches as used by hand knitters ("German short rows"), or wrap and turn; the thirds are
common practice.  Row widths of the wrapped toe follow the published short-row rule: narrowing
n - 1 ... n - 2w stitches, widening n - 2w + 1 ... n.
"""

from __future__ import annotations

from charts.loom import DOWN, UP
from charts.plan import Plan
from charts.rows import Event, Row, Section
from charts.spec import ShortRows


def make_toe(plan: Plan) -> tuple[Event, ...]:
    """Narrowing then widening rows; the yarn ends at the toe's first peg."""
    if plan.spec.toe.short_rows is ShortRows.TURNED:
        return _turned_toe(plan)
    return _wrapped_toe(plan)


def _turned_toe(plan: Plan) -> tuple[Event, ...]:
    low, high = plan.toe_offset + 1, plan.toe_offset + plan.toe_pegs
    knit = plan.knit_letter
    rows = []
    start = low
    for number in range(1, 2 * plan.toe_side + 1):
        # Narrowing: each row ends on the next peg inward and turns it.
        end = high if number % 2 else low
        rows.append(_row(plan, number, start, end, knit * abs(end - start) + "t"))
        if number % 2:
            high -= 1
            start = high
        else:
            low += 1
            start = low
    for number in range(2 * plan.toe_side + 1, 4 * plan.toe_side + 1):
        # Widening: each row ends on the next turned stitch and leaves it at that.
        if number % 2:
            high += 1
            end = high
        else:
            low -= 1
            end = low
        rows.append(_row(plan, number, start, end, knit * abs(end - start) + "d"))
        start = high - 1 if number % 2 else low + 1
    return tuple(rows)


def _wrapped_toe(plan: Plan) -> tuple[Event, ...]:
    first, last = plan.toe_offset + 1, plan.toe_offset + plan.toe_pegs
    knit = plan.knit_letter
    rows = []
    low, high = first, last
    for number in range(1, 2 * plan.toe_side + 1):
        # Narrowing: knit up to the peg to be wrapped.
        start, end = (low, high) if number % 2 else (high, low)
        rows.append(_row(plan, number, start, end, knit * abs(end - start) + "w"))
        if number % 2:
            high -= 1
        else:
            low += 1
    for number in range(2 * plan.toe_side + 1, 4 * plan.toe_side + 1):
        # Widening: lift the nearest wrap with its loop, then wrap the peg beyond it.
        up = number % 2 == 1
        start = low if up else high
        wrapped = high + 1 if up else low - 1
        end = wrapped + (1 if up else -1)
        letters = knit * abs(wrapped - start) + "W"
        if first <= end <= last:
            letters += "w"
        else:
            end = wrapped
        rows.append(_row(plan, number, start, end, letters))
        if up:
            high += 1
        else:
            low -= 1
    return tuple(rows)


def _row(plan: Plan, number: int, start: int, end: int, letters: str) -> Row:
    direction = UP if number % 2 else DOWN
    return Row(Section.TOE, number, direction, plan.pegs(start, end), letters)
