"""Pieces of a printed chart put together again, as the plain record that the reader takes."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from charts.printed_chart import ChartPiece, Line
from charts.reader_records import (
    ChartFoldLine,
    ChartRowLine,
    ChartStripLine,
    PlainChart,
    ReadError,
    reading,
)
from charts.reader_sizes import resolved, unsize

_FOLD: Final = re.compile(r"rows? ([1-9]\d*)(?:–([1-9]\d*))?: (as|repeat) rows? (\d+)(?:–(\d+))?")


def joined_chart(
    title: str, pieces: Sequence[ChartPiece], *, size_index: int = 0, size_count: int = 1
) -> PlainChart:
    """The chart of one size that the pieces were cut from; they come from the left and bottom up.

    Raises ReadError if they do not fit together, or a fold does not say what it should.
    """
    piles: list[_Pile] = []
    for piece in pieces:
        with reading(title, "", piece.page):
            pile = _of_size(piece, size_index, size_count)
            if piles and pile.labels == piles[-1].labels:
                piles[-1] = _above(piles[-1], pile)
            else:
                piles.append(pile)
    whole = piles[0]
    for pile, piece in zip(piles[1:], pieces[1:], strict=False):
        with reading(title, "", piece.page):
            whole = _beside(whole, pile)
    return PlainChart(title, whole.labels, _without_loops(whole.lines), pieces[0].across)


@dataclass(frozen=True)
class _Pile:
    """Pieces that stood one above the other, for one size."""

    labels: tuple[str, ...]
    shared: int
    """Columns at its left that the pile before shows too."""
    lines: tuple[Line, ...]
    again: tuple[bool, ...]


def _of_size(piece: ChartPiece, size_index: int, size_count: int) -> _Pile:
    """The piece with its folds as they are for one size; rows that it has not are left out."""
    lines: list[Line] = []
    again: list[bool] = []
    for line, is_again, times in zip(piece.lines, piece.again, piece.times, strict=True):
        if isinstance(line, ChartFoldLine):
            with reading("", line.text, piece.page):
                own = _fold_of_size(line, times, size_index, size_count)
            if own is None:
                continue
            lines.append(own)
        else:
            lines.append(line)
        again.append(is_again)
    shared = sum(column.again for column in piece.columns)
    return _Pile(piece.labels, shared, tuple(lines), tuple(again))


def _fold_of_size(
    fold: ChartFoldLine, times: str, size_index: int, size_count: int
) -> ChartFoldLine | None:
    rows, _, like = fold.text.partition(": ")
    own = resolved(rows, size_index, size_count)
    if own is None:
        return None
    if size_count > 1 and "–" not in own:
        own = own.replace("rows", "row")
    text = f"{own}: {like}"
    match = _FOLD.fullmatch(text)
    if match is None:
        raise ReadError("a fold is not told as it should be")
    if times:
        count = int(match[2] or match[1]) - int(match[1]) + 1
        group = int(match[5] or match[4]) - int(match[4]) + 1
        if unsize(times, size_index, size_count) != f"{count / group:g}" or match[3] != "repeat":
            raise ReadError("rows and times do not agree")
    return replace(fold, text=text, may_break_off=size_count > 1)


def _above(lower: _Pile, upper: _Pile) -> _Pile:
    shown = [line for line, again in zip(upper.lines, upper.again, strict=True) if again]
    if shown != list(lower.lines[len(lower.lines) - len(shown) :]):
        raise ReadError("the row drawn again is not the last one before")
    new = [line for line, again in zip(upper.lines, upper.again, strict=True) if not again]
    return replace(
        lower,
        lines=(*lower.lines, *new),
        again=(*lower.again, *(False for _ in new)),
    )


def _beside(left: _Pile, right: _Pile) -> _Pile:
    shared = right.shared
    if right.labels[:shared] != left.labels[len(left.labels) - shared :]:
        raise ReadError("the column drawn again is not the last one before")
    kept = len(left.labels) - shared
    lines = [
        _side_by_side(one, other, kept, len(right.labels), shared)
        for one, other in _paired(left.lines, right.lines)
    ]
    return _Pile(left.labels[:kept] + right.labels, 0, tuple(lines), (False,) * len(lines))


def _key(line: Line) -> tuple[str, str]:
    """What tells a line of one piece in the others."""
    match line:
        case ChartRowLine():
            return ("row", line.left_label or line.right_label)
        case ChartFoldLine():
            return ("fold", line.text)
        case ChartStripLine():
            return ("moves", "".join(sorted({*line.marks} - {" "})))


def _paired(
    left: Sequence[Line], right: Sequence[Line]
) -> Iterator[tuple[Line | None, Line | None]]:
    """The lines of two pieces, bottom first; one may show nothing of a line of the other."""
    keys, other_keys = [_key(line) for line in left], [_key(line) for line in right]
    place = 0
    for index, key in enumerate(keys):
        if key not in other_keys[place:]:
            yield left[index], None
            continue
        at = other_keys.index(key, place)
        for line in right[place:at]:
            yield None, line
        yield left[index], right[at]
        place = at + 1
    for line in right[place:]:
        yield None, line


def _side_by_side(one: Line | None, other: Line | None, kept: int, width: int, shared: int) -> Line:
    """One line of two pieces; the pairing gives two of a kind, or one and nothing."""
    cells = _overlaid(_cells_of(one, kept + shared), _cells_of(other, width), shared)
    match one or other:
        case ChartFoldLine() as fold if one == other:
            return fold
        case ChartStripLine() as strip:
            words = [word for line in (one, other) for word in getattr(line, "words", ())]
            return replace(strip, marks=cells, words=tuple(dict.fromkeys(words)))
        case ChartRowLine() as row:
            if one and other and replace(row, cells=_cells_of(other, width)) != other:
                raise ReadError("number and count of a row differ from piece to piece")
            return replace(row, cells=cells)
        case _:
            raise ReadError("rows are folded in one piece and not in the one beside it")


def _cells_of(line: Line | None, width: int) -> str:
    match line:
        case ChartRowLine(cells=cells):
            return cells
        case ChartStripLine(marks=marks):
            return marks
        case _:
            return " " * width


def _overlaid(cells: str, more: str, shared: int) -> str:
    """The cells side by side, those of shared columns once."""
    end = len(cells) - shared
    if cells[end:] != more[:shared]:
        raise ReadError("a cell drawn twice differs")
    return cells + more[shared:]


def _without_loops(lines: Sequence[Line]) -> tuple[Line, ...]:
    """The lines with “.” in the cells that are empty because their peg has no loop.

    On paper they look like those of a loop that waits.  A peg has none once its hatching has ended,
    or its loop was moved away.
    """
    held: set[int] = set()
    empty: set[int] = set()
    found: list[Line] = []
    for line in lines:
        match line:
            case ChartStripLine(marks=marks):
                empty |= {place for place, mark in enumerate(marks) if mark == "M"}
                found.append(line)
            case ChartRowLine(cells=cells):
                now = {place for place, cell in enumerate(cells) if cell == "h"}
                empty |= held - now
                held = now
                shown = (
                    "." if cell == " " and place in empty else cell
                    for place, cell in enumerate(cells)
                )
                found.append(replace(line, cells="".join(shown)))
            case ChartFoldLine():
                found.append(line)
    return tuple(found)
