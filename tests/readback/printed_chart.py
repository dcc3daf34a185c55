"""Printed charts by the places of their letters: peg numbers above, cells in columns below them.

A chart is what stands between two equal lines of peg numbers.  `read_chart_pieces` finds what one
page shows; `joined_chart` puts the pieces of a chart that was cut together again, as the plain
record that `charts.reader` takes.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from charts.reader import (
    ChartAcross,
    ChartFoldLine,
    ChartRowLine,
    ChartStripLine,
    PlainChart,
    ReadError,
    Ring,
)
from tests.readback.pdf_pages import Area, PrintedPage, Span, Stroke

NEAR_MM = 0.25
"""Two places that are one on the page: half the thinnest gap of a chart."""
SAME_BAND_MM = 0.8
"""A row's number, count and symbols stand centred on its middle; rows are 3 mm high at least."""
ROOM_BELOW_MM = 13.0
"""Words on how a chart goes on stand this close to its numbers."""
ROOM_ABOVE_MM = 24.0
BELOW_NAME = 0.57
"""From the base line of a name to the bracket that it stands on, at most, in its sizes."""

_NUMBER = r"([1-9]\d*)"
_LABEL = re.compile(rf"{_NUMBER}(?:–{_NUMBER})?")
_ROW = re.compile(rf"({_NUMBER[1:-1]}|partial|run on)(?:, once)?")
_COUNT = re.compile(rf"{_NUMBER} (sts?)")
_FOLD = re.compile(rf"rows? {_NUMBER}(?:–{_NUMBER})?: (as|repeat) rows? {_NUMBER}(?:–{_NUMBER})?")
_TIMES_MORE = re.compile(rf"(.+), {_NUMBER} times more")
_IN_A_WIDE_CELL = re.compile(rf"{_NUMBER} (?:pegs )?([a-z][a-z -]*)|× {_NUMBER}")
_CROSS = re.compile(r"(R+)(l+)|(r+)(L+)")
_ACROSS = re.compile(rf"pegs? {_NUMBER}(?:–{_NUMBER})? (× {_NUMBER}, to peg {_NUMBER})")
_MOVE = re.compile(
    rf"hold {_NUMBER}: peg {_NUMBER} first|hang {_NUMBER} edge loops?(?:, oldest on {_NUMBER})?"
    rf"|lift bar {_NUMBER}–{_NUMBER}|loop of {_NUMBER} onto {_NUMBER}"
    rf"|{_NUMBER} onto the (?:front|back) needle"
)
_MARKS = frozenset("HGBMmO")
_NAME = "(heel|instep|panel|sole|gusset|turn|side|centre)"
_ZONE = re.compile(rf"{_NAME}(?:, {_NAME}(?: {_NUMBER}(?:–{_NUMBER})?)?)?")
"""Two names for the same pegs, or another's pegs among them."""
_PLAIN = "plain"


@dataclass(frozen=True)
class Column:
    """One column of cells."""

    label: str
    left_mm: float
    right_mm: float
    again: bool = False
    """Shown on the neighbouring piece too."""

    @property
    def centre_mm(self) -> float:
        return (self.left_mm + self.right_mm) / 2

    @property
    def pegs(self) -> tuple[int, int]:
        """First and last, as printed."""
        first, _, last = self.label.partition("–")
        return int(first), int(last or first)


@dataclass(frozen=True)
class Zone:
    """A name over columns, between brackets."""

    name: str
    pegs: tuple[int, int]
    """First and last, from left to right."""


Line = ChartRowLine | ChartStripLine | ChartFoldLine


@dataclass(frozen=True)
class ChartPiece:
    """What one page shows of a chart."""

    columns: tuple[Column, ...]
    lines: tuple[Line, ...]
    """Bottom first; a blank is a cell without a symbol."""
    again: tuple[bool, ...]
    """For each line, whether the piece before shows it too."""
    across: ChartAcross | None
    moves: tuple[str, ...]
    """The words under strips, bottom line first, each from left to right."""
    zones: tuple[Zone, ...]

    @property
    def labels(self) -> tuple[str, ...]:
        return tuple(column.label for column in self.columns)


def read_chart_pieces(page: PrintedPage, ring: Ring) -> tuple[ChartPiece, ...]:
    """The charts, or pieces of charts, on a page held one way, from the top.

    Raises ReadError for anything in a chart that is not understood.
    """
    return tuple(_PieceReader(page, *numbers, ring).piece() for numbers in _number_lines(page))


def _number_lines(page: PrintedPage) -> Iterator[tuple[list[Span], list[Span]]]:
    """Pairs of equal lines of peg numbers with symbols between them."""
    lines = [
        line
        for line in _lines_of(_on_white(page))
        if all(_LABEL.fullmatch(one.text) for one in line)
    ]
    below = 0.0
    for place, upper in enumerate(lines):
        for lower in lines[place + 1 :]:
            between = (upper[0].baseline_mm, lower[0].baseline_mm)
            if _are_equal(upper, lower) and any(
                between[0] < symbol.middle_mm < between[1] for symbol in page.symbols
            ):
                if upper[0].baseline_mm > below:
                    yield upper, lower
                    below = lower[0].baseline_mm
                break


def _on_white(page: PrintedPage) -> list[Span]:
    """All texts but the white ones, which stand on the black marks of the page's edge."""
    return [span for span in page.spans if span.grey < 1.0]


def _are_equal(upper: Sequence[Span], lower: Sequence[Span]) -> bool:
    return len(upper) == len(lower) and all(
        one.text == other.text and abs(one.centre_mm - other.centre_mm) < NEAR_MM
        for one, other in zip(upper, lower, strict=True)
    )


def _lines_of(spans: Sequence[Span]) -> list[list[Span]]:
    """Spans with one base line, from the left; lines from the top."""
    lines: list[list[Span]] = []
    for span in sorted(spans, key=lambda span: (span.baseline_mm, span.left_mm)):
        if lines and abs(lines[-1][0].baseline_mm - span.baseline_mm) < NEAR_MM:
            lines[-1].append(span)
        else:
            lines.append([span])
    return [sorted(line, key=lambda span: span.left_mm) for line in lines]


@dataclass(frozen=True)
class _PlacedLine:
    middle_mm: float
    line: Line
    again: bool = False


class _PieceReader:
    def __init__(self, page: PrintedPage, upper: list[Span], lower: list[Span], ring: Ring) -> None:
        self.page = page
        self.ring = ring
        self.numbers = upper
        self.top_mm, self.bottom_mm = upper[0].baseline_mm, lower[0].baseline_mm
        # A blank letter between two symbols is nothing to see.
        self.symbols = [one for one in page.symbols if one.text != " " and self._is_inside(one)]
        self.texts = [one for one in _on_white(page) if self._is_inside(one)]
        self.slants = [
            stroke
            for stroke in page.strokes
            if not stroke.is_upright
            and not stroke.is_level
            and self.top_mm < stroke.top_mm
            and stroke.bottom_mm < self.bottom_mm
        ]
        self.columns = self._columns()

    def _is_inside(self, span: Span) -> bool:
        return self.top_mm + NEAR_MM < span.middle_mm and span.baseline_mm < self.bottom_mm - 1.0

    def piece(self) -> ChartPiece:
        placed = [*self._rows(), *self._folds(), *self._strips()]
        placed.sort(key=lambda one: -one.middle_mm)
        moves = self._moves()
        if self.texts:
            raise ReadError("not understood in a chart", line=self.texts[0].text)
        return ChartPiece(
            self.columns,
            tuple(one.line for one in placed),
            tuple(one.again for one in placed),
            self._across(),
            moves,
            self._zones(),
        )

    # Columns

    def _columns(self) -> tuple[Column, ...]:
        """The numbered columns, and between them those that have no room for their numbers."""
        edges = self._edges_mm()
        cells = [(left, right) for left, right in pairwise(edges) if right - left > 1.0]
        pitch_mm = self._pitch_mm(cells)
        columns: list[Column] = []
        for number in self.numbers:
            column = self._numbered(number, cells, pitch_mm, columns[-1:])
            if columns:
                columns += self._between(columns[-1], column, pitch_mm)
            columns.append(column)
        return tuple(columns)

    def _edges_mm(self) -> list[float]:
        """Where upright lines stand between the two lines of numbers."""
        found: list[float] = []
        for stroke in sorted(self._uprights(), key=lambda stroke: stroke.start.x_mm):
            if not found or stroke.start.x_mm - found[-1] > NEAR_MM:
                found.append(stroke.start.x_mm)
        return found

    def _uprights(self) -> Iterator[Stroke]:
        for stroke in self.page.strokes:
            inside = self.top_mm < stroke.top_mm and stroke.bottom_mm < self.bottom_mm
            if stroke.is_upright and inside:
                yield stroke

    def _pitch_mm(self, cells: Sequence[tuple[float, float]]) -> float:
        """Width of a column of one peg."""
        singles = [
            right - left
            for left, right in cells
            for number in self.numbers
            if "–" not in number.text and abs((left + right) / 2 - number.centre_mm) < NEAR_MM
        ]
        if singles:
            return min(singles)
        centres = sorted({round(symbol.centre_mm, 2) for symbol in self.symbols})
        gaps = [right - left for left, right in pairwise(centres) if right - left > 1.0]
        # Where every column is folded no width of a single one is asked for.
        return min(gaps, default=math.inf)

    def _numbered(
        self,
        number: Span,
        cells: Sequence[tuple[float, float]],
        pitch_mm: float,
        before: Sequence[Column],
    ) -> Column:
        again = number.grey > 0.0
        if "–" not in number.text:
            left, right = number.centre_mm - pitch_mm / 2, number.centre_mm + pitch_mm / 2
            return Column(number.text, left, right, again)
        for left, right in cells:
            if abs((left + right) / 2 - number.centre_mm) < NEAR_MM:
                return Column(number.text, left, right, again)
        # Pegs that are marked and not worked have no frame: they reach from column to column.
        for left, _ in cells:
            mirrored = 2 * number.centre_mm - left
            if number.right_mm < left and (
                not before or abs(before[0].right_mm - mirrored) < NEAR_MM
            ):
                return Column(number.text, mirrored, left, again)
        if before and before[0].right_mm < number.left_mm:
            left = before[0].right_mm
            return Column(number.text, left, 2 * number.centre_mm - left, again)
        raise ReadError("no lines beside the column of these pegs", line=number.text)

    def _between(self, left: Column, right: Column, pitch_mm: float) -> Iterator[Column]:
        gap_mm = right.left_mm - left.right_mm
        count = round(gap_mm / pitch_mm)
        if abs(gap_mm - count * pitch_mm) > NEAR_MM:
            raise ReadError(f"a gap of {gap_mm:.1f} mm between {left.label} and {right.label}")
        if count == 0:
            return
        step = self.ring.rightward
        last, following = left.pegs[1], right.pegs[0]
        if self.ring.beside(last, step * (count + 1)) != following:
            raise ReadError(f"{count} columns between {left.label} and {right.label}")
        for place in range(count):
            left_mm = left.right_mm + place * pitch_mm
            label = str(self.ring.beside(last, step * (place + 1)))
            yield Column(label, left_mm, left_mm + pitch_mm)

    def _column_of(self, symbol: Span) -> int:
        for place, column in enumerate(self.columns):
            if column.left_mm < symbol.centre_mm < column.right_mm:
                if "–" not in column.label and (abs(column.centre_mm - symbol.centre_mm) > NEAR_MM):
                    raise ReadError(f"“{symbol.text}” is not in the middle of {column.label}")
                return place
        raise ReadError(f"“{symbol.text}” stands in no column")

    def _cells(self, symbols: Sequence[Span]) -> str:
        cells = [" "] * len(self.columns)
        for symbol in symbols:
            place = self._column_of(symbol)
            if cells[place] != " ":
                raise ReadError(f"two symbols in one cell of {self.columns[place].label}")
            cells[place] = symbol.text
        return "".join(cells)

    # Lines

    def _take_texts(self, pattern: re.Pattern[str]) -> list[Span]:
        """The texts of that form; they are understood and taken away."""
        found = [text for text in self.texts if pattern.fullmatch(text.text)]
        self.texts = [text for text in self.texts if text not in found]
        return found

    def _take_symbols(self, middle_mm: float) -> list[Span]:
        found = [one for one in self.symbols if abs(one.middle_mm - middle_mm) < SAME_BAND_MM]
        self.symbols = [one for one in self.symbols if one not in found]
        return found

    def _rows(self) -> Iterator[_PlacedLine]:
        counts = self._take_texts(_COUNT)
        for label in self._take_texts(_ROW):
            match = _ROW.fullmatch(label.text)
            assert match is not None
            middle_mm = label.middle_mm
            symbols = self._take_symbols(middle_mm)
            if not symbols:
                raise ReadError("a row number without a row", line=label.text)
            cells = self._cells(symbols)
            self._check_wide_cells(cells, middle_mm)
            self._check_hatching(cells, middle_mm)
            self._check_crosses(cells, middle_mm)
            on_left = label.centre_mm < self.columns[0].right_mm or all(
                label.centre_mm < one.left_mm for one in symbols
            )
            if not on_left and not all(label.centre_mm > one.right_mm for one in symbols):
                raise ReadError("a row number among the cells", line=label.text)
            self._check_arrow(label, symbols, on_left)
            beside = [one for one in counts if abs(one.middle_mm - middle_mm) < SAME_BAND_MM]
            counts = [one for one in counts if one not in beside]
            if len(beside) > 1:
                raise ReadError("two counts beside one row", line=label.text)
            left, right = (match[1], "") if on_left else ("", match[1])
            count = _count_in_words(beside[0].text) if beside else ""
            row = ChartRowLine(cells, left, right, count)
            yield _PlacedLine(middle_mm, row, not label.is_bold)
        if counts:
            raise ReadError("a count beside no row", line=counts[0].text)

    def _check_arrow(self, label: Span, symbols: Sequence[Span], on_left: bool) -> None:
        """An arrow stands between number and cells and points from the one to the others."""
        nearest_mm = min((one.left_mm for one in symbols), default=0.0)
        farthest_mm = max((one.right_mm for one in symbols), default=0.0)
        low_mm, high_mm = (label.right_mm, nearest_mm) if on_left else (farthest_mm, label.left_mm)
        tips = [
            bend
            for bend in self.page.bends
            if abs(bend.tip.y_mm - label.middle_mm) < SAME_BAND_MM
            and low_mm < bend.tip.x_mm < high_mm
        ]
        if len(tips) != 1 or (tips[0].tip.x_mm > tips[0].first.x_mm) != on_left:
            raise ReadError("no arrow from its number into the row", line=label.text)

    def _check_hatching(self, cells: str, middle_mm: float) -> None:
        """Held loops are hatched over their cells, and nothing else is."""
        hatched = set()
        for stroke in self.slants:
            if abs((stroke.top_mm + stroke.bottom_mm) / 2 - middle_mm) < SAME_BAND_MM:
                x_mm = (stroke.start.x_mm + stroke.end.x_mm) / 2
                hatched |= {
                    place
                    for place, column in enumerate(self.columns)
                    if column.left_mm < x_mm < column.right_mm
                }
        if hatched != {place for place, cell in enumerate(cells) if cell == "h"}:
            raise ReadError("other cells are hatched than those of held loops", line=cells)

    def _check_crosses(self, cells: str, middle_mm: float) -> None:
        """The strands of a cross are drawn over its letters: the one on top is whole and leans the
        way it goes, as far as the other is wide."""
        strands = [
            area
            for area in self.page.areas
            if abs((area.top_mm + area.bottom_mm) / 2 - middle_mm) < SAME_BAND_MM
            and self.columns[0].left_mm < area.left_mm < self.columns[-1].right_mm
        ]
        tallest_mm = max((area.height_mm for area in strands), default=0.0)
        whole = [area for area in strands if area.height_mm > 0.8 * tallest_mm]
        drawn = sorted(
            (self._place_at(area.left_mm), self._place_at(area.right_mm), _leans_right(area))
            for area in whole
        )
        due = []
        for match in _CROSS.finditer(cells):
            first, last = match.start(), match.end() - 1
            right_over = match[1] is not None
            # Two edges of the strand on top, each from its place at the foot to that at the top.
            over, under = match.span(1 if right_over else 4), match.span(2 if right_over else 3)
            under_width = under[1] - under[0]
            over_width = over[1] - over[0]
            due.append((first, first + under_width, right_over))
            due.append((first + over_width - 1, last, right_over))
        if drawn != sorted(due):
            raise ReadError("other crosses are drawn than the letters tell", line=cells)

    def _place_at(self, x_mm: float) -> int:
        for place, column in enumerate(self.columns):
            if column.left_mm < x_mm < column.right_mm:
                return place
        raise ReadError("a strand of a cross ends in no column")

    def _check_wide_cells(self, cells: str, middle_mm: float) -> None:
        """What is written in a wide cell must be true of it."""
        for text in self._take_wide_texts(middle_mm):
            place = next(
                (
                    place
                    for place, column in enumerate(self.columns)
                    if column.left_mm < text.centre_mm < column.right_mm
                ),
                None,
            )
            match = _IN_A_WIDE_CELL.fullmatch(text.text)
            if place is None or match is None:
                raise ReadError("words outside of a wide cell", line=text.text)
            pegs = len(self.ring.run(*self.columns[place].pegs, self.ring.rightward))
            if int(match[1] or match[3]) != pegs:
                raise ReadError(f"{pegs} pegs in the column", line=text.text)
            if (match[2] == _PLAIN) != (cells[place] == "k") and match[2]:
                raise ReadError(f"“{cells[place]}” in the cell", line=text.text)

    def _take_wide_texts(self, middle_mm: float) -> list[Span]:
        found = [
            text
            for text in self.texts
            if abs(text.middle_mm - middle_mm) < SAME_BAND_MM
            and _IN_A_WIDE_CELL.fullmatch(text.text)
        ]
        self.texts = [text for text in self.texts if text not in found]
        return found

    def _folds(self) -> Iterator[_PlacedLine]:
        for text in [*self.texts]:
            words = text.text
            more = _TIMES_MORE.fullmatch(words)
            if more:
                words = more[1]
            match = _FOLD.fullmatch(words)
            if match is None:
                continue
            self.texts.remove(text)
            first, last, how, like_first, like_last = match.groups()
            rows = int(last or first) - int(first) + 1
            group = int(like_last or like_first) - int(like_first) + 1
            if more and (rows != int(more[2]) * group or how != "repeat"):
                raise ReadError("rows and times do not agree", line=text.text)
            yield _PlacedLine(text.middle_mm, ChartFoldLine(words))

    def _strips(self) -> Iterator[_PlacedLine]:
        """Symbols that no row number stands beside."""
        while self.symbols:
            middle_mm = self.symbols[0].middle_mm
            marks = self._take_symbols(middle_mm)
            if not {mark.text for mark in marks} <= _MARKS:
                raise ReadError("a row of cells without its number")
            yield _PlacedLine(middle_mm, ChartStripLine(self._cells(marks).replace("m", "M")))

    def _moves(self) -> tuple[str, ...]:
        lines = _lines_of(self._take_texts(_MOVE))
        return tuple(text.text for line in reversed(lines) for text in line)

    # Round about

    def _across(self) -> ChartAcross | None:
        for text in self.page.spans:
            below_mm = text.baseline_mm - self.bottom_mm
            match = _ACROSS.fullmatch(text.text)
            if match and 0 < below_mm < ROOM_BELOW_MM:
                first, last = int(match[1]), int(match[2] or match[1])
                places = [
                    place
                    for place, column in enumerate(self.columns)
                    if first <= column.pegs[0] <= last
                ]
                if len(places) != last - first + 1:
                    raise ReadError("not all of these pegs have a column", line=text.text)
                return ChartAcross(places[0], places[-1], match[3])
        return None

    def _zones(self) -> tuple[Zone, ...]:
        """Names above the numbers; brackets reach down from them on both sides to the grid."""
        found = []
        for text in self.page.spans:
            above_mm = self.top_mm - text.baseline_mm
            match = _ZONE.fullmatch(text.text)
            if match is None or not 0 < above_mm < ROOM_ABOVE_MM:
                continue
            left_mm, right_mm = self._bracket(text)
            inside = [column for column in self.columns if left_mm < column.centre_mm < right_mm]
            pegs = (inside[0].pegs[0], inside[-1].pegs[-1])
            found.append((right_mm, Zone(match[1], pegs)))
            if match[2]:
                within = (int(match[3]), int(match[4] or match[3])) if match[3] else pegs
                found.append((right_mm, Zone(match[2], within)))
        return tuple(zone for _, zone in sorted(found, key=lambda one: one[0]))

    def _bracket(self, text: Span) -> tuple[float, float]:
        """Where the bracket of a name reaches down: on both sides of it, or below it."""
        ends = [
            (stroke.start.x_mm, stroke.top_mm)
            for stroke in self.page.strokes
            if stroke.is_upright and self.top_mm < stroke.bottom_mm < self.bottom_mm
        ]
        bars = [
            stroke
            for stroke in self.page.strokes
            if stroke.is_level
            and text.baseline_mm < stroke.top_mm < text.baseline_mm + BELOW_NAME * text.size_mm
            and min(stroke.start.x_mm, stroke.end.x_mm) < text.right_mm
            and text.left_mm < max(stroke.start.x_mm, stroke.end.x_mm)
        ]
        beside = [x_mm for x_mm, top_mm in ends if abs(top_mm - text.middle_mm) < NEAR_MM]
        left = [x_mm for x_mm in beside if x_mm < text.left_mm]
        right = [x_mm for x_mm in beside if x_mm > text.right_mm]
        if left and right and not bars:
            return max(left), min(right)
        for bar in bars:
            low, high = sorted((bar.start.x_mm, bar.end.x_mm))
            legs = [x_mm for x_mm, top_mm in ends if abs(top_mm - bar.top_mm) < NEAR_MM]
            if all(any(abs(leg - x_mm) < NEAR_MM for leg in legs) for x_mm in (low, high)):
                return low, high
        raise ReadError("a name without brackets", line=text.text)


def _leans_right(area: Area) -> bool:
    """Whether a strand goes to the right from its foot to its top."""
    middle_mm = (area.top_mm + area.bottom_mm) / 2
    above = [point.x_mm for point in area.corners if point.y_mm < middle_mm]
    below = [point.x_mm for point in area.corners if point.y_mm > middle_mm]
    return sum(above) / len(above) > sum(below) / len(below)


def _count_in_words(text: str) -> str:
    match = _COUNT.fullmatch(text)
    assert match is not None
    if (match[1] == "1") != (match[2] == "st"):
        raise ReadError("a count in the wrong number", line=text)
    return f"{match[1]} stitch" + ("" if match[1] == "1" else "es")


# --- Small charts piled up on one page -------------------------------------------------------


def unpiled(pieces: Sequence[ChartPiece], ring: Ring) -> ChartPiece:
    """The charts of one part on one page, from the top, as one with a column for each peg: each
    goes on where the one below it ends, or shows more pegs of the same rows.

    Raises ReadError if they do not fit together.
    """
    if len(pieces) == 1:
        return pieces[0]
    widest = {peg for piece in pieces for column in piece.columns for peg in _pegs(column, ring)}
    first = (
        next(peg for peg in sorted(widest) if ring.beside(peg, -ring.rightward) not in widest)
        if len(widest) < ring.pegs
        else _leftmost(pieces)
    )
    order = [first]
    while (following := ring.beside(order[-1], ring.rightward)) in widest - set(order):
        order.append(following)
    if len(order) != len(widest):
        raise ReadError("the charts of a page leave pegs out between them")
    lines: dict[tuple[str, str], tuple[Line, dict[int, str]]] = {}
    for piece in reversed(pieces):
        if any(piece.again):
            raise ReadError("a row drawn again in a pile of charts")
        for line in piece.lines:
            _, cells = lines.setdefault(_key(line), (line, {}))
            for column, cell in zip(
                piece.columns, _cells_of(line, len(piece.columns)), strict=True
            ):
                for peg in _pegs(column, ring):
                    if cells.setdefault(peg, cell) != cell:
                        raise ReadError(f"peg {peg} is drawn twice and differs")
    whole = [
        _with_cells(line, "".join(cells.get(peg, " ") for peg in order))
        for line, cells in lines.values()
    ]
    return ChartPiece(
        tuple(Column(str(peg), 0.0, 0.0) for peg in order),
        tuple(whole),
        tuple(False for _ in whole),
        None,
        tuple(move for piece in reversed(pieces) for move in piece.moves),
        _joined_zones(pieces, order, ring),
    )


def _pegs(column: Column, ring: Ring) -> tuple[int, ...]:
    return ring.run(*column.pegs, ring.rightward)


def _leftmost(pieces: Sequence[ChartPiece]) -> int:
    """The first peg of the chart that shows most, from the left."""
    return max(pieces, key=lambda piece: len(piece.columns)).columns[0].pegs[0]


def _with_cells(line: Line, cells: str) -> Line:
    match line:
        case ChartRowLine():
            return replace(line, cells=cells)
        case ChartStripLine():
            return ChartStripLine(cells)
        case ChartFoldLine():
            return line


def _joined_zones(
    pieces: Sequence[ChartPiece], order: Sequence[int], ring: Ring
) -> tuple[Zone, ...]:
    """Each name with all pegs that it stands over in any of the charts.

    Raises ReadError if two charts disagree about a peg that both show.
    """
    pegs: dict[str, set[int]] = {}
    for piece in pieces:
        for zone in piece.zones:
            pegs.setdefault(zone.name, set()).update(ring.run(*zone.pegs, ring.rightward))
    for piece in pieces:
        shown = {peg for column in piece.columns for peg in _pegs(column, ring)}
        new = {peg for one in piece.columns if not one.again for peg in _pegs(one, ring)}
        for name, due in pegs.items():
            own = [
                set(ring.run(*zone.pegs, ring.rightward))
                for zone in piece.zones
                if zone.name == name
            ]
            # What only the column drawn again belongs to is named beside, where the others are.
            if (own and own[0] != due & shown) or (not own and due & new):
                raise ReadError(f"the {name} has other pegs in another chart of the page")
    placed = [[peg for peg in order if peg in due] for due in pegs.values()]
    return tuple(Zone(name, (run[0], run[-1])) for name, run in zip(pegs, placed, strict=True))


# --- Pieces put together ---------------------------------------------------------------------


def joined_chart(title: str, pieces: Sequence[ChartPiece]) -> PlainChart:
    """The chart that the pieces were cut from; they come from the left and from the bottom up.

    Raises ReadError if they do not fit together.
    """
    piles: list[ChartPiece] = []
    for piece in pieces:
        if piles and piece.labels == piles[-1].labels:
            piles[-1] = _above(piles[-1], piece)
        else:
            piles.append(piece)
    whole = piles[0]
    for pile in piles[1:]:
        whole = _beside(whole, pile)
    return PlainChart(title, whole.labels, _without_loops(whole.lines), whole.across)


def _above(lower: ChartPiece, upper: ChartPiece) -> ChartPiece:
    shown = [line for line, again in zip(upper.lines, upper.again, strict=True) if again]
    if shown != list(lower.lines[len(lower.lines) - len(shown) :]):
        raise ReadError("the row drawn again is not the last one before")
    new = [line for line, again in zip(upper.lines, upper.again, strict=True) if not again]
    return replace(
        lower,
        lines=(*lower.lines, *new),
        again=(*lower.again, *(False for _ in new)),
        moves=lower.moves + upper.moves,
    )


def _beside(left: ChartPiece, right: ChartPiece) -> ChartPiece:
    shared = sum(column.again for column in right.columns)
    if right.labels[:shared] != left.labels[len(left.labels) - shared :]:
        raise ReadError("the column drawn again is not the last one before")
    kept = len(left.columns) - shared
    lines = []
    for one, other in _paired(left.lines, right.lines):
        lines.append(_side_by_side(one, other, kept, len(right.columns), shared))
    return ChartPiece(
        left.columns[:kept] + right.columns,
        tuple(lines),
        tuple(False for _ in lines),
        left.across or right.across,
        left.moves + right.moves,
        left.zones + right.zones,
    )


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
        case ChartStripLine():
            return ChartStripLine(cells)
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
