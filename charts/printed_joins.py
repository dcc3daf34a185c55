"""Pieces of a printed chart put together again, as the plain record that the reader takes.

A chart may be cut across, cut between rows, or have small charts of their own for rows that are
worked once.  Whatever the pieces are, each shows the cells of some pegs in some rows: they are laid
over each other peg by peg and row by row, and where two show the same cell they must agree.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Final, NamedTuple

from charts.printed_chart import ChartPiece, Line
from charts.reader_chart import UNSHOWN
from charts.reader_records import (
    ChartAcross,
    ChartFoldLine,
    ChartRowLine,
    ChartStripLine,
    PlainChart,
    ReadError,
    Ring,
    reading,
)
from charts.reader_sizes import resolved, unsize

_FOLD: Final = re.compile(r"rows? ([1-9]\d*)(?:–([1-9]\d*))?: (as|repeat) rows? (\d+)(?:–(\d+))?")
_PARTIAL, _RUN_ON = 10**6, 10**6 + 1
"""Places of the rows without a number: after all others."""


def joined_chart(
    title: str,
    pieces: Sequence[ChartPiece],
    ring: Ring,
    *,
    size_index: int = 0,
    size_count: int = 1,
) -> PlainChart:
    """The chart of one size that the pieces were cut from.

    Raises ReadError if they do not fit together, or a fold does not say what it should.
    """
    shown: dict[_Key, list[_Shown]] = {}
    order: list[str] = []
    for piece in pieces:
        with reading(title, "", piece.page):
            columns = _pegs_of(piece, ring)
            order = _with_columns(order, [label for labels in columns for label in labels])
            for key, line in _keyed(piece, size_index, size_count):
                shown.setdefault(key, []).append(_Shown(line, columns, piece.page))
    _check_goes_on(title, pieces, ring, named=size_count == 1)
    lines = []
    for key in sorted(shown):
        with reading(title, key.name, shown[key][0].page):
            lines.append(_overlaid(shown[key], order))
    return PlainChart(title, tuple(order), _without_loops(lines), _across(pieces, order))


def _across(pieces: Sequence[ChartPiece], order: Sequence[str]) -> ChartAcross | None:
    """The repeat across with its columns counted in the whole chart."""
    for piece in pieces:
        if piece.across is not None:
            first, last, text = (
                piece.across.first_column,
                piece.across.last_column,
                piece.across.text,
            )
            return ChartAcross(
                order.index(piece.labels[first]), order.index(piece.labels[last]), text
            )
    return None


def _check_goes_on(title: str, pieces: Sequence[ChartPiece], ring: Ring, *, named: bool) -> None:
    """Raise ReadError unless each piece says what row of its pegs comes before and after it.

    With several sizes the rows are `named` for all of them at once; they are not compared then.
    """
    for piece in pieces:
        own = [(_place(line), again) for line, again in zip(piece.lines, piece.again, strict=True)]
        new = [place for place, again in own if place is not None and not again]
        if not new:
            continue
        pegs = _own_pegs(piece, ring)
        lines = [
            line
            for one in pieces
            if not pegs.isdisjoint(_own_pegs(one, ring))
            for line in one.lines
        ]
        rows = {place: _name_of(line) for line in lines if (place := _place(line)) is not None}
        # A cut may lie beside marks, which are named alike wherever they are.
        has_moves = any(isinstance(line, ChartStripLine) for line in lines)
        before = max((place for place in rows if place < min(new)), default=None)
        after = min((place for place in rows if place > max(new)), default=None)
        if _LEFT_HALF in piece.goes_on:
            after = None  # it is the left half that says so
        for words, place in (("continued from ", before), ("continues with ", after)):
            told = [text for text in piece.goes_on if text.startswith(words)]
            due = [] if place is None else [words + rows[place]]
            moves = [words + "the moves"] if has_moves and due else due
            if len(told) != len(due) or (named and told not in (due, moves)):
                what = f"“{due[0]}” is due" if due else "no other piece is cut off here"
                with reading(title, ", ".join(told), piece.page):
                    raise ReadError(what)


_LEFT_HALF: Final = "← continues above, on the left"


def _own_pegs(piece: ChartPiece, ring: Ring) -> set[str]:
    """The pegs that it does not show for its neighbour's sake."""
    columns = zip(piece.columns, _pegs_of(piece, ring), strict=True)
    return {label for column, labels in columns if not column.again for label in labels}


def _name_of(line: Line) -> str:
    """What a row or a fold is called beside a cut."""
    match line:
        case ChartRowLine():
            label = line.left_label or line.right_label
            return f"row {label}" if label.isdigit() else label
        case ChartFoldLine(text=text):
            return text.partition(":")[0]
        case _:
            return ""


# --- Columns ---------------------------------------------------------------------------------


def _pegs_of(piece: ChartPiece, ring: Ring) -> list[tuple[str, ...]]:
    """The pegs of each column, from the left; a wide column has several."""
    return [
        tuple(map(str, ring.run(*column.pegs, ring.rightward)))
        if column.is_wide
        else (column.label,)
        for column in piece.columns
    ]


def _with_columns(order: list[str], labels: Sequence[str]) -> list[str]:
    """The pegs in order with those of one more piece, which stands beside or among them."""
    new = [label for label in labels if label not in order]
    if not order or not new:
        return order or new
    if labels[-len(new) :] == new:
        return order + new
    if labels[: len(new)] == new:
        return new + order
    raise ReadError("a piece of the chart that goes on neither to the left nor to the right")


# --- Lines -----------------------------------------------------------------------------------


class _Key(NamedTuple):
    """What a line is told by in every piece; in order from the bottom up."""

    place: float
    rank: int
    name: str


class _Shown(NamedTuple):
    """A line as one piece shows it."""

    line: Line
    columns: Sequence[tuple[str, ...]]
    page: int


def _keyed(piece: ChartPiece, size_index: int, size_count: int) -> Iterator[tuple[_Key, Line]]:
    """The lines with their folds as they are for one size; rows that it has not are left out."""
    lines: list[Line] = []
    for line, times in zip(piece.lines, piece.times, strict=True):
        if isinstance(line, ChartFoldLine):
            with reading("", line.text, piece.page):
                own = _fold_of_size(line, times, size_index, size_count)
            if own is not None:
                lines.append(own)
        else:
            lines.append(line)
    rows = [_place(line) for line in lines]
    for low, high in pairwise(row for row in rows if row is not None):
        if high <= low:
            raise ReadError("the rows do not stand one above the other in their order")
    for index, line in enumerate(lines):
        match line:
            case ChartStripLine(marks=marks):
                above = next((row for row in rows[index:] if row is not None), None)
                below = next((row for row in rows[index::-1] if row is not None), -1.0)
                place = above - 0.5 if above is not None else below + 0.5
                yield _Key(place, index, "".join(sorted({*marks} - {" "}))), line
            case ChartRowLine():
                yield (
                    _Key(rows[index] or 0.0, 0, f"row {line.left_label or line.right_label}"),
                    line,
                )
            case ChartFoldLine():
                yield _Key(rows[index] or 0.0, 0, line.text), line


def _place(line: Line) -> float | None:
    """Where a row stands among the others by its number; a strip has none."""
    match line:
        case ChartRowLine():
            label = line.left_label or line.right_label
            return {"partial": _PARTIAL, "run on": _RUN_ON}.get(label) or float(label)
        case ChartFoldLine():
            match = _FOLD.fullmatch(line.text)
            return float(match[1]) if match else None
        case _:
            return None


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
    count = int(match[2] or match[1]) - int(match[1]) + 1
    group = int(match[5] or match[4]) - int(match[4]) + 1
    if times and (
        unsize(times, size_index, size_count) != f"{count / group:g}" or match[3] != "repeat"
    ):
        raise ReadError("rows and times do not agree")
    if size_count > 1 and match[3] == "repeat" and count == group:
        # Other sizes have more such groups.
        text = text.replace("repeat", "as")
    return replace(fold, text=text)


def _overlaid(shown: Sequence[_Shown], order: Sequence[str]) -> Line:
    """One line of all the pieces that show it."""
    first = shown[0].line
    for other, _, _ in shown[1:]:
        if isinstance(first, ChartFoldLine) and other != first:
            raise ReadError("rows are folded otherwise in one piece than in another")
        if (
            isinstance(first, ChartRowLine)
            and isinstance(other, ChartRowLine)
            and replace(other, cells=first.cells) != first
        ):
            raise ReadError("number and count of a row differ from piece to piece")
    cells = _cells([(_cells_of(line), columns) for line, columns, _ in shown])
    match first:
        case ChartRowLine():
            return replace(first, cells=_in_order(cells, order, UNSHOWN))
        case ChartStripLine():
            return replace(first, marks=_in_order(cells, order, " "), words=_words_of(shown))
        case ChartFoldLine():
            return first


def _cells_of(line: Line) -> str:
    match line:
        case ChartRowLine(cells=cells):
            return cells
        case ChartStripLine(marks=marks):
            return marks
        case ChartFoldLine():
            return ""


def _words_of(shown: Sequence[_Shown]) -> tuple[str, ...]:
    """The words under the marks of a strip, those once that two pieces show with the same marks.

    Words may be alike for two moves: a single edge loop is hung at either side.
    """
    words: Counter[str] = Counter()
    marked: set[str] = set()
    for line, columns, _ in shown:
        if isinstance(line, ChartStripLine):
            here = Counter(line.words)
            pegs = {
                label
                for mark, labels in zip(line.marks, columns, strict=True)
                if mark != " "
                for label in labels
            }
            words = words + here if marked.isdisjoint(pegs) else words | here
            marked |= pegs
    return tuple(words.elements())


def _cells(parts: Sequence[tuple[str, Sequence[tuple[str, ...]]]]) -> dict[str, str]:
    """What is shown at each peg."""
    found: dict[str, str] = {}
    for cells, columns in parts:
        # A fold has no cells.
        for cell, labels in zip(cells, columns, strict=bool(cells)):
            for label in labels:
                if found.setdefault(label, cell) != cell:
                    raise ReadError(f"the cell of peg {label} is drawn twice and differs")
    return found


def _in_order(cells: Mapping[str, str], order: Sequence[str], missing: str) -> str:
    return "".join(cells.get(label, missing) for label in order)


class _Pegs:
    """What is known of the pegs' loops so far."""

    def __init__(self) -> None:
        self.held: set[int] = set()
        self.empty: set[int] = set()


def _without_loops(lines: Sequence[Line]) -> tuple[Line, ...]:
    """The lines with “.” in the cells that are empty because their peg has no loop.

    On paper they look like those of a loop that waits.  A peg has none once its hatching has ended,
    or its loop was moved away.
    """
    pegs = _Pegs()
    found: list[Line] = []
    for line in lines:
        match line:
            case ChartStripLine(marks=marks):
                pegs.empty |= {place for place, mark in enumerate(marks) if mark == "M"}
                found.append(line)
            case ChartRowLine(cells=cells):
                now = {place for place, cell in enumerate(cells) if cell == "h"}
                unseen = {place for place, cell in enumerate(cells) if cell == UNSHOWN}
                pegs.empty |= pegs.held - now - unseen
                pegs.held = now | (pegs.held & unseen)
                shown = (
                    "." if cell == " " and place in pegs.empty else cell
                    for place, cell in enumerate(cells)
                )
                found.append(replace(line, cells="".join(shown)))
            case ChartFoldLine():
                found.append(line)
    return tuple(found)
