"""Steps in columns of about equal height, for cards and for pages that hold much."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Final, NamedTuple

from charts.steps import Checkpoint, RowStep
from layouts.block import Block
from layouts.blocks import Piece, fitting, pieces_height_mm, stacked
from layouts.grid_split import shaping_turns
from layouts.steps_block import Rung

COLUMN_GAP_MM: Final = 8.0
_BALANCE_STEP_MM: Final = 2.0


class Stack(NamedTuple):
    """One column of steps: what it tells, and its lines."""

    rungs: Sequence[Rung]
    pieces: Sequence[Piece]


def columns_of(width_mm: float, least_mm: float) -> int:
    """Columns of steps side by side: two where both are at least so wide."""
    return 2 if column_width_mm(width_mm, 2) >= least_mm else 1


def column_width_mm(width_mm: float, columns: int) -> float:
    """Width of one of so many columns."""
    return (width_mm - (columns - 1) * COLUMN_GAP_MM) / columns


def dealt(rungs: Sequence[Rung], count: int, height_mm: float) -> list[Stack] | None:
    """The steps in so many columns of about equal height; None if they are too long.

    Half of them end where narrowing turns into widening, or where the moves before row 1 end, if it
    can be.
    """
    head = _count_head(rungs)
    if count % 2 == 0:
        counts = [rung.step.stitches if isinstance(rung.step, RowStep) else None for rung in rungs]
        for turn in (*shaping_turns(counts), *_after_moves(rungs)):
            below = _evenly(rungs[:turn], head, count // 2, height_mm)
            above = _evenly(rungs[turn:], head, count // 2, height_mm)
            if below is not None and above is not None:
                return below + above
    return _evenly(rungs, head, count, height_mm)


def _after_moves(rungs: Sequence[Rung]) -> Iterator[int]:
    """How many lines tell what is done before the first row and what is to be found then."""
    for index, rung in enumerate(rungs):
        if rung.is_row:
            return
        if isinstance(rung.step, Checkpoint):
            yield index + 1


def in_columns(stacks: Sequence[Stack], width_mm: float) -> Block:
    """The columns side by side, tops level."""
    column_mm = column_width_mm(width_mm, len(stacks))
    blocks = [stacked(stack.pieces) for stack in stacks]
    items = tuple(
        block.placed(index * (column_mm + COLUMN_GAP_MM), 0.0) for index, block in enumerate(blocks)
    )
    return Block(items, width_mm, max(block.height_mm for block in blocks))


def _count_head(rungs: Sequence[Rung]) -> Piece | None:
    """The head over the counts, which the ladder has once, above the first of them."""
    for above, rung in pairwise(rungs):
        if isinstance(rung.step, RowStep) and rung.step.shaped:
            return above.piece
    return None


def _evenly(
    rungs: Sequence[Rung], head: Piece | None, count: int, height_mm: float
) -> list[Stack] | None:
    """The lines in so many columns, the tallest as low as can be; None if they are too many."""
    whole_mm = pieces_height_mm(_headed(rungs, head))
    for tallest_mm in _heights_mm(whole_mm / count, height_mm):
        stacks: list[Stack] = []
        rest = rungs
        for _ in range(count):
            stack = _filled(rest, head, tallest_mm)
            stacks.append(stack)
            rest = rest[len(stack.rungs) :]
        if not rest:
            return stacks
    return None


def _filled(rungs: Sequence[Rung], head: Piece | None, height_mm: float) -> Stack:
    """The lines from the first on that go into a column."""
    pieces = _headed(rungs, head)
    pieces = pieces[: fitting(pieces, height_mm)]
    added = head in pieces and all(rung.piece is not head for rung in rungs)
    return Stack(rungs[: len(pieces) - added], pieces)


def _headed(rungs: Sequence[Rung], head: Piece | None) -> list[Piece]:
    """The lines of a column, with the head above its first count."""
    pieces = [rung.piece for rung in rungs]
    for place, rung in enumerate(rungs):
        if isinstance(rung.step, RowStep) and rung.step.shaped:
            if head is not None and (place == 0 or pieces[place - 1] is not head):
                pieces.insert(place, head)
            break
    return pieces


def _heights_mm(least_mm: float, most_mm: float) -> Iterator[float]:
    """Heights to try, from the least on; the last is the most."""
    height_mm = least_mm
    while height_mm < most_mm:
        yield height_mm
        height_mm += _BALANCE_STEP_MM
    yield most_mm
