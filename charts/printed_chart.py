"""Printed charts by the places of what is drawn: peg numbers above and below, cells between them.

A chart is what stands between two equal lines of peg numbers.  A knit stitch is a cell with nothing
in it, a held loop a hatched one, a cable cross a drawing across its cells: all of them are told by
what is seen.  Measures are compared with cells and type of the same chart, so that larger print is
read as any other.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from charts.printed_heads import HEAD_WORDS, named
from charts.printed_page import FAINT, Area, Bend, PrintedPage, Span, Stroke, lines_of
from charts.reader_records import (
    ChartAcross,
    ChartFoldLine,
    ChartRowLine,
    ChartStripLine,
    ReadError,
    Ring,
)

NEAR_MM: Final = 0.25
"""Two places that are one on the page: half the thinnest gap of a chart."""
_CLEAR_MM: Final = 0.1
"""The ground of a cross stays further inside its row than this."""
_BAND: Final = 0.25
"""What stands in one row is centred on it to this share of the type or the symbol."""
_ROOM_BELOW: Final = 4.5
"""Words on how a chart goes on stand this close to its numbers, in sizes of these."""
_GOES_ON_BELOW: Final = 3.2
"""The lines nearest to the numbers, in sizes of their own."""
_ROOM_ABOVE: Final = 6.5
"""Names in three tiers have room between such words and the numbers, in sizes."""
_MOST_PLACES: Final = 4000
"""Peg numbers looked at on one page."""

_N: Final = r"([1-9]\d*)"
_LABEL: Final = re.compile(rf"{_N}(?:–{_N})?")
_ROW: Final = re.compile(rf"({_N[1:-1]}|partial|run on)(?:, once)?")
_COUNT: Final = re.compile(rf"{_N} (sts?)")
_FOLD: Final = re.compile(r"(rows? .+: (?:as|repeat) rows? [\d–]+?)(?:, (.+) times? more)?")
_IN_A_WIDE_CELL: Final = re.compile(rf"{_N} (?:pegs )?([a-z][a-z -]*)|× {_N}")
_ACROSS: Final = re.compile(rf"pegs? {_N}(?:–{_N})? (× {_N}, to peg {_N})")
_MOVE: Final = re.compile(
    rf"hold {_N}: peg {_N} first|hang {_N} edge loops?(?:, oldest on {_N})?"
    rf"|lift bar {_N}–{_N}|loop of {_N} onto {_N}|{_N} onto the (?:front|back) needle"
)
_NAME: Final = "(heel|instep|panel|sole|gusset|turn|side|centre)"
_ZONE: Final = re.compile(rf"{_NAME}(?:, {_NAME}(?: {_N}(?:–{_N})?)?)?")
"""One name, or two for the same pegs, or a second one for some of them."""
_LINE: Final = rf"(?:row {_N}|rows [^:]+|partial|run on|the moves)"
_WITH: Final = re.compile(rf"continues with {_LINE}")
_FROM: Final = re.compile(rf"continued from {_LINE}")
_AND: Final = " · "
_GOES_ON: Final = re.compile(
    "(?:(?:^| · )(?:← continues (?:above, )?on the left|continues (?:below, )?on the right →|"
    rf"continued from {_LINE}(?= · |$)))+"
)
"""On to the side where a chart was cut across, from below where it was cut between rows."""
_MARKS: Final = frozenset("HGBMmO")
_PLAIN: Final = "plain"


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
    def is_wide(self) -> bool:
        """Whether several pegs share it."""
        return "–" in self.label

    @property
    def pegs(self) -> tuple[int, int]:
        """First and last, as printed."""
        first, _, last = self.label.partition("–")
        return int(first), int(last or first)


Line = ChartRowLine | ChartStripLine | ChartFoldLine


@dataclass(frozen=True)
class Zone:
    """A name over columns, between brackets."""

    name: str
    first_peg: int
    """As printed, from left to right."""
    last_peg: int


@dataclass(frozen=True)
class Caption:
    """The names of the sizes that a chart, or a set of pairs to graft, is for."""

    left_mm: float
    baseline_mm: float
    sizes: tuple[str, ...]


Rings = Callable[[tuple[str, ...]], Ring]
"""The loom of the sizes named; of the page's own if none is."""


@dataclass(frozen=True)
class ChartPiece:
    """What one page shows of a chart."""

    page: int
    sizes: tuple[str, ...]
    """Those that its caption names; empty if it has none."""
    top_mm: float
    bottom_mm: float
    columns: tuple[Column, ...]
    lines: tuple[Line, ...]
    """Bottom first; a blank is a cell that is not drawn.  Folds are as printed, with brackets."""
    times: tuple[str, ...]
    """For each line how often rows are repeated more, where a fold says so; else empty."""
    again: tuple[bool, ...]
    """For each line, whether the piece before shows it too."""
    across: ChartAcross | None
    zones: tuple[Zone, ...]
    goes_on: tuple[str, ...]
    """The words above and below it that say where other pieces go on."""

    @property
    def labels(self) -> tuple[str, ...]:
        return tuple(column.label for column in self.columns)

    @property
    def left_mm(self) -> float:
        return self.columns[0].left_mm

    @property
    def right_mm(self) -> float:
        return self.columns[-1].right_mm


def read_chart_pieces(
    page: PrintedPage, rings: Rings, names: Sequence[str] = ()
) -> tuple[ChartPiece, ...]:
    """The charts, or pieces of charts, on a page held one way: from the top, then from the left.

    `names` are those of the sizes that its captions may name.  Raises ReadError, with the page, for
    anything in a chart that is not understood.
    """
    captions = tuple(read_captions(page, names))
    try:
        frames = _frames(page)
        pieces = [_PieceReader(page, frame, frames, captions, rings).piece() for frame in frames]
        _check_held(page, frames)
    except ReadError as error:
        raise ReadError(error.what, line=error.line, page=page.number) from None
    return tuple(sorted(pieces, key=lambda piece: (round(piece.top_mm), piece.left_mm)))


def _check_held(page: PrintedPage, frames: Sequence[_Frame]) -> None:
    """Raise ReadError for a row that is in no chart: the pegs above it and below differ."""
    for span in page.spans:
        if (
            span.grey < FAINT
            and _ROW.fullmatch(span.text)
            and _arrow_of(span, page.bends) is not None
            and not any(frame.is_inside(span.middle_mm) for frame in frames)
        ):
            raise ReadError("no equal peg numbers above and below this row", line=span.text)


def read_captions(page: PrintedPage, names: Sequence[str]) -> Iterator[Caption]:
    """Every line in bold that is some of the names in their order: "S (M, L)"."""
    for line in lines_of(page.spans):
        if line[0].text in HEAD_WORDS:
            continue
        for span in line:
            if span.is_bold and (sizes := named(span.text, names)):
                yield Caption(span.left_mm, span.baseline_mm, sizes)


def caption_over(captions: Sequence[Caption], left_mm: float, top_mm: float) -> tuple[str, ...]:
    """The names over what begins there; none if there are none."""
    above = [
        one for one in captions if one.baseline_mm < top_mm and one.left_mm < left_mm + NEAR_MM
    ]
    if not above:
        return ()
    return max(above, key=lambda one: (round(one.baseline_mm, 1), one.left_mm)).sizes


# --- Where charts are ------------------------------------------------------------------------


@dataclass(frozen=True)
class _Frame:
    """The peg numbers above a chart, and the base line of those below it."""

    numbers: tuple[Span, ...]
    bottom_mm: float

    @property
    def top_mm(self) -> float:
        return self.numbers[0].baseline_mm

    @property
    def left_mm(self) -> float:
        return self.numbers[0].left_mm

    @property
    def right_mm(self) -> float:
        return self.numbers[-1].right_mm

    def is_inside(self, y_mm: float) -> bool:
        return self.top_mm < y_mm < self.bottom_mm

    def is_beside(self, other: _Frame) -> bool:
        return self.top_mm < other.bottom_mm and other.top_mm < self.bottom_mm

    def away_mm(self, x_mm: float) -> float:
        """How far to the side a place is; 0 between the numbers."""
        return max(self.left_mm - x_mm, x_mm - self.right_mm, 0.0)


def _frames(page: PrintedPage) -> list[_Frame]:
    """Pairs of equal lines of peg numbers with rows or marks between them, no two overlapping."""
    labels = [
        span
        for span in page.spans
        if span.grey < FAINT
        and _LABEL.fullmatch(span.text)
        # An arrow leads from the number of a row.
        and _arrow_of(span, page.bends) is None
    ]
    if len(labels) > _MOST_PLACES:
        raise ReadError("more numbers than a chart has", page=page.number)
    levels = [stroke for stroke in page.strokes if stroke.is_level]
    lines = lines_of(labels)
    found: list[_Frame] = []
    for place, upper in enumerate(lines):
        for lower in lines[place + 1 :]:
            twins = [one for one in upper if any(_is_twin(one, other) for other in lower)]
            for numbers in _linked(twins, levels, lower[0].baseline_mm):
                frame = _Frame(tuple(numbers), lower[0].baseline_mm)
                if _has_content(page, frame):
                    found.append(frame)
    # A number beside a row may stand above a peg's: the longest lines are the pegs'.
    found.sort(key=lambda frame: (-len(frame.numbers), frame.bottom_mm - frame.top_mm))
    kept: list[_Frame] = []
    for frame in found:
        if not any(_overlap(frame, other) for other in kept):
            kept.append(frame)
    return kept


def _is_twin(one: Span, other: Span) -> bool:
    return one.text == other.text and abs(one.centre_mm - other.centre_mm) < NEAR_MM


def _linked(
    numbers: Sequence[Span], levels: Sequence[Stroke], bottom_mm: float
) -> Iterator[list[Span]]:
    """The numbers in runs that stand over one grid."""
    run: list[Span] = []
    for number in numbers:
        if run and not _is_linked(run, number, levels, bottom_mm):
            yield run
            run = []
        run.append(number)
    if run:
        yield run


def _is_linked(
    run: Sequence[Span], other: Span, levels: Sequence[Stroke], bottom_mm: float
) -> bool:
    one = run[-1]
    if any(
        stroke.left_mm < one.centre_mm
        and stroke.right_mm > other.centre_mm
        and one.baseline_mm < stroke.top_mm < bottom_mm
        for stroke in levels
    ):
        return True
    last, first = int(one.text.split("–")[-1]), int(other.text.split("–")[0])
    if abs(first - last) == 1:
        return True
    # From the last peg of the ring on to peg 1, or back: told by the room between them.
    as_far = len(run) > 1 and _is_near(
        other.centre_mm - one.centre_mm, one.centre_mm - run[-2].centre_mm
    )
    return as_far and 1 in (first, last)


def _is_near(one_mm: float, other_mm: float) -> bool:
    return abs(one_mm - other_mm) < NEAR_MM


def _has_content(page: PrintedPage, frame: _Frame) -> bool:
    """Whether there is a symbol, or a row's number with its arrow, between the numbers."""
    for symbol in page.symbols:
        if frame.is_inside(symbol.middle_mm) and not frame.away_mm(symbol.centre_mm):
            return True
    for span in page.spans:
        if frame.is_inside(span.middle_mm) and span.grey < FAINT and _ROW.fullmatch(span.text):
            arrow = _arrow_of(span, page.bends)
            room_mm = _ARROW_ROOM * span.size_mm
            if arrow is not None and frame.away_mm(arrow.tip.x_mm) < room_mm:
                return True
    return False


def _overlap(one: _Frame, other: _Frame) -> bool:
    return one.is_beside(other) and one.left_mm < other.right_mm and other.left_mm < one.right_mm


def _arrow_of(label: Span, bends: Sequence[Bend]) -> Bend | None:
    """The head of the arrow that leads from a row's number into the row."""
    near = [
        bend
        for bend in bends
        if abs(bend.tip.y_mm - label.middle_mm) < _BAND * label.size_mm
        and _gap_mm(label, bend.tip.x_mm) < _ARROW_ROOM * label.size_mm
        and (bend.tip.x_mm > bend.first.x_mm) == (bend.tip.x_mm > label.right_mm)
    ]
    return min(near, key=lambda bend: _gap_mm(label, bend.tip.x_mm)) if near else None


_ARROW_ROOM: Final = 3.0
"""From a row's number to the tip of its arrow, and from there to the grid, in sizes."""


def _gap_mm(label: Span, x_mm: float) -> float:
    return max(label.left_mm - x_mm, x_mm - label.right_mm)


# --- One piece -------------------------------------------------------------------------------


@dataclass(frozen=True)
class _PlacedLine:
    middle_mm: float
    line: Line
    again: bool = False
    times: str = ""


class _PieceReader:
    """Takes away the texts and symbols that it has understood; none may be left in the end."""

    def __init__(
        self,
        page: PrintedPage,
        frame: _Frame,
        frames: Sequence[_Frame],
        captions: Sequence[Caption],
        rings: Rings,
    ) -> None:
        self.page = page
        self.frame = frame
        self.sizes = caption_over(captions, frame.left_mm, frame.top_mm)
        self.ring = rings(self.sizes)
        beside = [one for one in frames if one is not frame and one.is_beside(frame)]

        def is_ours(x_mm: float, y_mm: float) -> bool:
            return frame.is_inside(y_mm) and not any(
                other.away_mm(x_mm) < frame.away_mm(x_mm) for other in beside
            )

        lowest_mm = frame.bottom_mm - frame.numbers[0].size_mm / 2
        self.symbols = [one for one in page.symbols if is_ours(one.centre_mm, one.middle_mm)]
        self.texts = [
            one
            for one in page.spans
            if one.grey < FAINT
            and frame.top_mm + NEAR_MM < one.middle_mm
            and one.baseline_mm < lowest_mm
            and is_ours(one.centre_mm, one.middle_mm)
        ]
        inside = [one for one in page.strokes if frame.is_inside((one.top_mm + one.bottom_mm) / 2)]
        self.slants = [one for one in inside if not one.is_upright and not one.is_level]
        self.uprights = [one for one in inside if one.is_upright]
        self.levels = [
            one
            for one in inside
            if one.is_level and one.left_mm < frame.right_mm and one.right_mm > frame.left_mm
        ]
        self.areas = [one for one in page.areas if frame.is_inside(one.middle_mm)]
        self.columns = self._columns()

    def piece(self) -> ChartPiece:
        self._check_numbers()
        placed = [*self._rows(), *self._folds(), *self._strips()]
        placed.sort(key=lambda one: -one.middle_mm)
        if self.texts:
            raise ReadError("not understood in a chart", line=self.texts[0].text)
        return ChartPiece(
            self.page.number,
            self.sizes,
            self.frame.top_mm,
            self.frame.bottom_mm,
            self.columns,
            tuple(one.line for one in placed),
            tuple(one.times for one in placed),
            tuple(one.again for one in placed),
            self._across(),
            tuple(self._zones()),
            tuple(self._goes_on()),
        )

    # Columns

    def _columns(self) -> tuple[Column, ...]:
        """The numbered columns, and between them those that have no room for their numbers."""
        edges: list[float] = []
        for x_mm in sorted(stroke.start.x_mm for stroke in self.uprights):
            if not edges or x_mm - edges[-1] > NEAR_MM:
                edges.append(x_mm)
        cells = list(pairwise(edges))
        pitch_mm = self._pitch_mm(cells)
        columns: list[Column] = []
        for number in self.frame.numbers:
            column = self._numbered(number, cells, pitch_mm, columns[-1:])
            if columns:
                columns += self._between(columns[-1], column, pitch_mm)
            columns.append(column)
        return tuple(columns)

    def _pitch_mm(self, cells: Sequence[tuple[float, float]]) -> float:
        """Width of a column of one peg."""
        singles = [number for number in self.frame.numbers if "–" not in number.text]
        found = [
            right - left
            for left, right in cells
            for number in singles
            if abs((left + right) / 2 - number.centre_mm) < NEAR_MM
        ]
        found += [
            other.centre_mm - one.centre_mm
            for one, other in pairwise(singles)
            if int(other.text) == self.ring.beside(int(one.text), self.ring.rightward)
        ]
        # Where every column is wide, there is none to be found between two.
        return min(found, default=self.page.width_mm)

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
        # Pegs that are marked and not worked have no frame: they reach to what stands beside them.
        if before and before[0].right_mm < number.left_mm:
            left = before[0].right_mm
            return Column(number.text, left, 2 * number.centre_mm - left, again)
        rights = [left for left, _ in cells if left > number.right_mm]
        if rights:
            right = min(rights)
            return Column(number.text, 2 * number.centre_mm - right, right, again)
        raise ReadError("no lines beside the column of these pegs", line=number.text)

    def _between(self, left: Column, right: Column, pitch_mm: float) -> Iterator[Column]:
        gap_mm = right.left_mm - left.right_mm
        count = round(gap_mm / pitch_mm)
        step = self.ring.rightward
        last, following = left.pegs[1], right.pegs[0]
        if (
            abs(gap_mm - count * pitch_mm) > NEAR_MM
            or self.ring.beside(last, step * (count + 1)) != following
        ):
            what = f"peg {right.label} does not stand as far from peg {left.label} as it should"
            raise ReadError(what, line=right.label)
        for place in range(count):
            left_mm = left.right_mm + place * pitch_mm
            label = str(self.ring.beside(last, step * (place + 1)))
            yield Column(label, left_mm, left_mm + pitch_mm)

    def _place_at(self, x_mm: float) -> int | None:
        for place, column in enumerate(self.columns):
            if column.left_mm < x_mm < column.right_mm:
                return place
        return None

    # Cells

    def _take_symbols(self, middle_mm: float) -> list[Span]:
        found = [
            one for one in self.symbols if abs(one.middle_mm - middle_mm) < one.size_mm * _BAND
        ]
        self.symbols = [one for one in self.symbols if one not in found]
        return found

    def _in_columns(self, symbols: Sequence[Span]) -> list[str]:
        """The symbols by their columns; a blank where there is none."""
        cells = [" "] * len(self.columns)
        for symbol in symbols:
            place = self._place_at(symbol.centre_mm)
            if place is None:
                raise ReadError(f"“{symbol.text}” stands in no column")
            column = self.columns[place]
            if not column.is_wide and abs(column.centre_mm - symbol.centre_mm) > NEAR_MM:
                raise ReadError(f"“{symbol.text}” is not in the middle of peg {column.label}")
            if cells[place] != " ":
                raise ReadError(f"two symbols in one cell of peg {column.label}")
            cells[place] = symbol.text
        return cells

    def _cells(self, middle_mm: float) -> str:
        """What the cells of a row show; a cell that is drawn and empty is knit."""
        cells = self._in_columns(self._take_symbols(middle_mm))
        framed = self._framed(middle_mm)
        for place in self._hatched(middle_mm):
            if cells[place] != " ":
                raise ReadError(f"a stitch on the held loop of peg {self.columns[place].label}")
            cells[place] = "h"
        for place, letter in self._crossed(middle_mm):
            if cells[place] != " ":
                raise ReadError(f"a symbol in the cross at peg {self.columns[place].label}")
            cells[place] = letter
        for place, cell in enumerate(cells):
            if cell != " " and place not in framed:
                raise ReadError(f"a symbol outside of a cell at peg {self.columns[place].label}")
            if cell == " " and place in framed:
                cells[place] = "k"
        return "".join(cells)

    def _framed(self, middle_mm: float) -> set[int]:
        """The columns with a line on all four sides in this row."""
        sides_mm = [
            one.start.x_mm for one in self.uprights if one.top_mm < middle_mm < one.bottom_mm
        ]
        above_mm = max(
            (one.top_mm for one in self.levels if one.top_mm < middle_mm - NEAR_MM), default=0
        )
        below_mm = min(
            (one.top_mm for one in self.levels if one.top_mm > middle_mm + NEAR_MM), default=0
        )
        edges = [
            [one for one in self.levels if abs(one.top_mm - y_mm) < NEAR_MM]
            for y_mm in (above_mm, below_mm)
        ]

        def is_drawn(column: Column) -> bool:
            return all(
                any(abs(x_mm - side_mm) < NEAR_MM for side_mm in sides_mm)
                for x_mm in (column.left_mm, column.right_mm)
            ) and all(
                any(one.left_mm < column.centre_mm < one.right_mm for one in edge) for edge in edges
            )

        return {place for place, column in enumerate(self.columns) if is_drawn(column)}

    def _hatched(self, middle_mm: float) -> set[int]:
        """The columns with a slanting stroke across the middle of this row."""
        found = set()
        for stroke in self.slants:
            if stroke.top_mm <= middle_mm <= stroke.bottom_mm:
                (x1, y1), (x2, y2) = stroke.start, stroke.end
                place = self._place_at(x1 + (middle_mm - y1) * (x2 - x1) / (y2 - y1))
                if place is not None:
                    found.add(place)
        return found

    def _crossed(self, middle_mm: float) -> Iterator[tuple[int, str]]:
        """The strands of cable crosses as letters: R or L on top, l or r beneath.

        A cross is drawn on a ground of its own: the strand on top is two whole lines that lean the
        way it goes, from the foot of the row to its top, as far as the other strand is wide.
        """
        for ground in self.areas:
            if not (ground.is_level and ground.top_mm < middle_mm < ground.bottom_mm):
                continue
            strands = [
                area
                for area in self.areas
                if not area.is_level
                and area.grey < ground.grey
                and ground.left_mm < area.left_mm
                and area.right_mm < ground.right_mm
                and ground.top_mm < area.middle_mm < ground.bottom_mm
            ]
            first, last = (
                self._place_at(x_mm)
                for x_mm in (ground.left_mm + NEAR_MM, ground.right_mm - NEAR_MM)
            )
            # A ground that lies under several rows, or under none of the strands, is a tint.
            if not strands or first is None or last in (None, first):
                continue
            if not self._is_in_row(ground):
                continue
            width = last - first + 1
            over, lean = self._on_top(strands, first, last)
            beneath = width - over
            letters = "R" * over + "l" * beneath if lean else "r" * beneath + "L" * over
            yield from enumerate(letters, start=first)

    def _is_in_row(self, area: Area) -> bool:
        """Whether it lies clear of the lines between rows, which a tint behind cells does not."""
        return not any(
            area.top_mm - _CLEAR_MM < one.top_mm < area.bottom_mm + _CLEAR_MM
            and one.left_mm < area.right_mm
            and area.left_mm < one.right_mm
            for one in self.levels
        )

    def _on_top(self, strands: Sequence[Area], first: int, last: int) -> tuple[int, bool]:
        """How many pegs the strand on top has, and whether it goes to the right."""
        tallest_mm = max((area.height_mm for area in strands), default=0.0)
        whole = sorted(
            (area for area in strands if area.height_mm > _WHOLE * tallest_mm),
            key=lambda area: area.left_mm,
        )
        ends = [(self._place_at(area.left_mm), self._place_at(area.right_mm)) for area in whole]
        leans = {_leans_right(area) for area in whole}
        if len(whole) == 2 and len(leans) == 1:
            (start, stop), (other_start, other_stop) = ends
            if start == first and other_stop == last and stop is not None:
                beneath = stop - first
                over = last - first + 1 - beneath
                if over > 0 and beneath > 0 and other_start == first + over - 1:
                    return over, leans.pop()
        raise ReadError(f"no whole cross from peg {self.columns[first].label}")

    # Lines

    def _take_texts(self, pattern: re.Pattern[str]) -> list[Span]:
        """The texts of that form; they are understood and taken away."""
        found = [text for text in self.texts if pattern.fullmatch(text.text)]
        self.texts = [text for text in self.texts if text not in found]
        return found

    def _rows(self) -> Iterator[_PlacedLine]:
        counts = self._take_texts(_COUNT)
        for label in self._take_texts(_ROW):
            match = _ROW.fullmatch(label.text)
            assert match is not None
            arrow = _arrow_of(label, self.page.bends)
            if arrow is None:
                raise ReadError("no arrow from its number into the row", line=label.text)
            on_left = arrow.tip.x_mm > label.right_mm
            try:
                cells = self._cells(label.middle_mm)
            except ReadError as error:
                raise ReadError(error.what, line=f"row {match[1]}") from None
            drawn = [
                column for column, cell in zip(self.columns, cells, strict=True) if cell != " "
            ]
            if not drawn:
                raise ReadError("a row number without a row", line=label.text)
            if not (
                arrow.tip.x_mm < drawn[0].left_mm + NEAR_MM
                if on_left
                else arrow.tip.x_mm > drawn[-1].right_mm - NEAR_MM
            ):
                raise ReadError("the arrow does not lead into the row", line=label.text)
            self._check_wide_cells(cells, label)
            beside = [one for one in counts if _is_level_with(one, label)]
            counts = [one for one in counts if one not in beside]
            if len(beside) > 1:
                raise ReadError("two counts beside one row", line=label.text)
            left, right = (match[1], "") if on_left else ("", match[1])
            count = _count_in_words(beside[0].text) if beside else ""
            row = ChartRowLine(cells, left, right, count, self.page.number)
            yield _PlacedLine(label.middle_mm, row, not label.is_bold)
        if counts:
            raise ReadError("a count beside no row", line=counts[0].text)

    def _check_wide_cells(self, cells: str, label: Span) -> None:
        """What is written in a wide cell must be true of it."""
        texts = [
            text
            for text in self.texts
            if _is_level_with(text, label) and _IN_A_WIDE_CELL.fullmatch(text.text)
        ]
        self.texts = [text for text in self.texts if text not in texts]
        for text in texts:
            place = self._place_at(text.centre_mm)
            match = _IN_A_WIDE_CELL.fullmatch(text.text)
            if place is None or match is None or not self.columns[place].is_wide:
                raise ReadError("words outside of a wide cell", line=text.text)
            pegs = len(self.ring.run(*self.columns[place].pegs, self.ring.rightward))
            if int(match[1] or match[3]) != pegs:
                raise ReadError(f"{pegs} pegs in the column", line=text.text)
            if match[2] and WIDE_WORDS.get(match[2]) != cells[place]:
                raise ReadError(f"“{cells[place]}” in the cell", line=text.text)

    def _folds(self) -> Iterator[_PlacedLine]:
        for text in self._take_texts(_FOLD):
            match = _FOLD.fullmatch(text.text)
            assert match is not None
            line = ChartFoldLine(match[1], page=self.page.number)
            yield _PlacedLine(text.middle_mm, line, times=match[2] or "")

    def _strips(self) -> Iterator[_PlacedLine]:
        """Symbols that no row number stands beside, with the words under them."""
        words = self._take_texts(_MOVE)
        strips: list[tuple[float, str]] = []
        while self.symbols:
            middle_mm = self.symbols[0].middle_mm
            marks = self._take_symbols(middle_mm)
            if not {mark.text for mark in marks} <= _MARKS:
                raise ReadError("a row of cells without its number", line=marks[0].text)
            strips.append((middle_mm, "".join(self._in_columns(marks)).replace("m", "M")))
        for middle_mm, marks_here in strips:
            own = [
                text
                for text in words
                if middle_mm < text.middle_mm
                and not any(middle_mm < other < text.middle_mm for other, _ in strips)
            ]
            words = [text for text in words if text not in own]
            # One strip holds moves of one kind, told from the left.
            texts = tuple(text.text for text in sorted(own, key=lambda text: text.left_mm))
            yield _PlacedLine(middle_mm, ChartStripLine(marks_here, texts, self.page.number))
        if words:
            raise ReadError("words of a move without its marks", line=words[0].text)

    # Round about

    def _across(self) -> ChartAcross | None:
        for text in self.page.spans:
            below_mm = text.baseline_mm - self.frame.bottom_mm
            match = _ACROSS.fullmatch(text.text)
            if (
                match
                and 0 < below_mm < _ROOM_BELOW * self.frame.numbers[0].size_mm
                and self.columns[0].left_mm - NEAR_MM < text.left_mm < self.columns[-1].right_mm
            ):
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

    def _goes_on(self) -> Iterator[str]:
        """Words at the left edge that say where the chart goes on, above it and below.

        So near below the numbers nothing else may stand there; above them there may be names.
        """
        for text in self.page.spans:
            above_mm = self.frame.top_mm - text.baseline_mm
            below_mm = text.baseline_mm - self.frame.bottom_mm
            if text.is_bold or abs(text.left_mm - self.columns[0].left_mm) > NEAR_MM:
                continue
            if 0 < above_mm < _ROOM_ABOVE * text.size_mm and _WITH.fullmatch(text.text):
                yield text.text
            elif 0 < below_mm < _GOES_ON_BELOW * text.size_mm:
                if not _ACROSS.fullmatch(text.text) and not _GOES_ON.fullmatch(text.text):
                    raise ReadError("not understood below a chart", line=text.text)
                if _GOES_ON.fullmatch(text.text):
                    yield from text.text.split(_AND)

    def _zones(self) -> Iterator[Zone]:
        """Names above the numbers, each between the ends of its bracket or standing on it."""
        legs = [
            one
            for one in self.page.strokes
            if one.is_upright
            and one.top_mm < self.frame.top_mm < one.bottom_mm < self.frame.bottom_mm
            and self.columns[0].left_mm - NEAR_MM < one.start.x_mm
            and one.start.x_mm < self.columns[-1].right_mm + NEAR_MM
        ]
        for text in self.page.spans:
            if text.baseline_mm > self.frame.top_mm - NEAR_MM:
                continue
            bracket = self._bracket(text, legs)
            if bracket is None:
                continue
            match = _ZONE.fullmatch(text.text)
            if match is None:
                raise ReadError("not a name of pegs", line=text.text)
            inside = [
                column for column in self.columns if bracket[0] < column.centre_mm < bracket[1]
            ]
            first, last = inside[0].pegs[0], inside[-1].pegs[1]
            yield Zone(match[1], first, last)
            if match[2]:
                numbers = (match[3], match[4] or match[3]) if match[3] else (first, last)
                yield Zone(match[2], int(numbers[0]), int(numbers[1]))

    def _bracket(self, text: Span, legs: Sequence[Stroke]) -> tuple[float, float] | None:
        """From where to where the bracket of a name reaches; None of another text."""
        near_mm = _BAND * text.size_mm
        beside = [one.start.x_mm for one in legs if abs(one.top_mm - text.middle_mm) < near_mm]
        left = [x_mm for x_mm in beside if x_mm < text.centre_mm]
        right = [x_mm for x_mm in beside if x_mm > text.centre_mm]
        if left and right:
            return max(left), min(right)
        for bar in self.page.strokes:
            below_mm = bar.top_mm - text.baseline_mm
            if not (
                bar.is_level
                and 0 < below_mm < _ON_BRACKET * text.size_mm
                and bar.left_mm < text.centre_mm < bar.right_mm
            ):
                continue
            ends = [one.start.x_mm for one in legs if abs(one.top_mm - bar.top_mm) < NEAR_MM]
            if all(
                any(abs(x_mm - end_mm) < NEAR_MM for end_mm in ends)
                for x_mm in (bar.left_mm, bar.right_mm)
            ):
                return bar.left_mm, bar.right_mm
        return None

    def _check_numbers(self) -> None:
        """The numbers above and below are the same."""
        known = {(number.text, round(number.centre_mm, 1)) for number in self.frame.numbers}
        for span in self.page.spans:
            size_mm = span.size_mm
            is_level = min(
                abs(span.baseline_mm - y_mm) for y_mm in (self.frame.top_mm, self.frame.bottom_mm)
            )
            if (
                is_level < _BAND * size_mm / 2
                and self.columns[0].left_mm - 2 * size_mm < span.centre_mm
                and span.centre_mm < self.columns[-1].right_mm + 2 * size_mm
                and _LABEL.fullmatch(span.text)
                and _arrow_of(span, self.page.bends) is None
                and not any(
                    text == span.text and abs(centre_mm - span.centre_mm) < NEAR_MM
                    for text, centre_mm in known
                )
            ):
                raise ReadError("the peg numbers above and below differ here", line=span.text)


_ON_BRACKET: Final = 0.7
"""From the base line of a name to the bracket that it stands on, in sizes."""
_WHOLE: Final = 0.8
"""Strands lower than this share of the tallest are broken: they lie beneath."""

WIDE_WORDS: Final = {
    _PLAIN: "k",
    "u-wrap knit": "u",
    "e-wrap knit": "e",
    "purl": "p",
    "slip": "s",
}
"""The words in a wide cell, and the stitch that they tell."""


def _is_level_with(one: Span, label: Span) -> bool:
    return abs(one.middle_mm - label.middle_mm) < _BAND * label.size_mm


def _leans_right(area: Area) -> bool:
    """Whether a strand goes to the right from its foot to its top."""
    above = [point.x_mm for point in area.corners if point.y_mm < area.middle_mm]
    below = [point.x_mm for point in area.corners if point.y_mm > area.middle_mm]
    return sum(above) / len(above) > sum(below) / len(below)


def _count_in_words(text: str) -> str:
    match = _COUNT.fullmatch(text)
    assert match is not None
    if (match[1] == "1") != (match[2] == "st"):
        raise ReadError("a count in the wrong number", line=text)
    return f"{match[1]} stitch" + ("" if match[1] == "1" else "es")
