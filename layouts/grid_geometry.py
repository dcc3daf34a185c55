"""Where everything of a chart stands: columns, lines, gutters, numbers, names; nothing is drawn.

Measuring is kept apart from drawing because fitting a chart measures it at several cell sizes and
draws it once.  Lengths in mm, y down; `bare` distances run from the left end of the grid, all
others from the top left corner of the block.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import accumulate
from typing import Final

from charts.chart import Chart, ChartFold, ChartRow, ChartStrip, Column, marked_pegs
from charts.parts import Part
from charts.rows import RUN_ON
from charts.sized_charts import SharedFold
from charts.stitches import KNIT_LETTERS, STITCHES
from charts.words import pegs_text
from layouts.faces import Face, metrics
from layouts.grid_terms import (
    WORDINGS,
    Band,
    ChartPiece,
    Span,
    column_label,
    folded_texts,
    framed_columns,
    is_fifth,
)
from layouts.paper import MM_PER_PT
from layouts.scene import Ink, text_width_mm
from layouts.strips import PlacedLabel, WantedLabel, mark_run, move_label, place_labels
from layouts.style import PageStyle
from layouts.symbols import SYMBOLS
from layouts.zone_names import ZoneName, zone_names

EDGE_MM: Final = 0.4
"""Room for half the heaviest line at the edge of a block."""
ARROW_EMS: Final = 0.92
"""Length of a row's arrow, in sizes of its number."""
NUMBER_GAP_EMS: Final = 0.32
"""Between cells, arrow and number, in sizes of the number."""
GAP_MM: Final = 0.8
"""Between other things that stand close."""
FOLD_INDENT_MM: Final = 1.2
NUMBER_ROOM_MM: Final = 0.6
"""White between two peg numbers, at least."""
CELL_AIR_MM: Final = 0.25
"""White between the words of a cell and the middle of its lines."""
LEAST_FOLDED_CELLS: Final = 2
"""A folded run is at least as wide as this many cells, or it would look like one peg."""

SHAPED: Final = (Part.FLAP, Part.TURN, Part.TOE)
"""Parts whose rows differ in length: the count of each row is printed."""


@dataclass(frozen=True)
class GridGeometry:
    """A piece of a chart, measured."""

    piece: ChartPiece
    cell_width_mm: float
    cell_height_mm: float
    style: PageStyle
    words: bool = True
    """Folded columns are wide enough for "24 pegs plain", or what their height has room for."""

    @property
    def chart(self) -> Chart:
        return self.piece.chart

    def resized(self, cell_mm: float) -> GridGeometry:
        """The same chart with cells of another size, their proportions kept."""
        share = cell_mm / self.symbol_mm
        return replace(
            self,
            cell_width_mm=self.cell_width_mm * share,
            cell_height_mm=self.cell_height_mm * share,
        )

    # Colour

    @cached_property
    def column_tints(self) -> tuple[Ink | None, ...]:
        """The ground of each column's cells: that of the inner one of two zones; None is white."""
        tints: list[Ink | None] = [None] * len(self.chart.columns)
        for zone in sorted(self.chart.zones, key=lambda zone: zone.first_column - zone.last_column):
            for place in range(zone.first_column, zone.last_column + 1):
                tints[place] = self.style.zone_tint(zone.name)
        return tuple(tints)

    # Type

    @cached_property
    def row_number_pt(self) -> float:
        """Size of row numbers and counts: as the style says, or what the height of a row holds."""
        face = metrics(Face.BOLD)
        em = (face.ascender - face.descender) / 1000
        return min(self.style.chart_number.size_pt, self.cell_height_mm / MM_PER_PT / em)

    @property
    def number_gap_mm(self) -> float:
        """Between cells, arrow and number."""
        return NUMBER_GAP_EMS * self.row_number_pt * MM_PER_PT

    @property
    def arrow_mm(self) -> float:
        """Length of a row's arrow."""
        return ARROW_EMS * self.row_number_pt * MM_PER_PT

    @cached_property
    def peg_number_pt(self) -> float:
        """Size of peg numbers: what the columns hold, but never less than the style allows."""
        digits = max((len(column_label(column)) for column in self._single_columns), default=1)
        room_mm = self.cell_width_mm - NUMBER_ROOM_MM
        fitting_pt = room_mm / text_width_mm("8" * digits, Face.BOLD, 1.0)
        return max(self.style.least_number_pt, min(self.style.chart_number.size_pt, fitting_pt))

    @property
    def _single_columns(self) -> list[Column]:
        return [column for column in self.chart.columns if not column.folded]

    def _wording_pt(self, level: int) -> float:
        """Size of a wording in folded columns: what the height of a cell holds clear of its lines.

        The words have letters that hang below the base line; "× 8" has none.
        """
        face = metrics(Face.REGULAR)
        hangs = -face.descender if level < WORDINGS - 1 else 0
        below_em = (face.cap_height / 2 + hangs) / 1000
        fitting_pt = (self.cell_height_mm / 2 - CELL_AIR_MM) / MM_PER_PT / below_em
        wanted_pt = max(self.style.least_number_pt, self.label_pt - 1)
        return min(self.row_number_pt, wanted_pt, fitting_pt)

    @cached_property
    def _longest_wording(self) -> int:
        """The first wording that can be read in a cell of this height."""
        least_pt = self.style.least_number_pt
        levels = (level for level in range(WORDINGS) if self._wording_pt(level) >= least_pt)
        return next(levels, WORDINGS - 1)

    @cached_property
    def _wording(self) -> int:
        """The longest wording that fits in all cells of folded columns; WORDINGS if none does."""
        for level in range(self._longest_wording, WORDINGS):
            if all(
                self._wording_width_mm(cell, folded_texts(self.chart.columns[place], cell), level)
                <= self.column_widths_mm[place] - NUMBER_ROOM_MM
                for place, cell in self._folded_cells
            ):
                return level
        return WORDINGS

    @cached_property
    def folded_text_pt(self) -> float:
        """Size of the words in folded columns."""
        return self._wording_pt(min(self._wording, WORDINGS - 1))

    @cached_property
    def _folded_cells(self) -> frozenset[tuple[int, str]]:
        """The stitches of folded columns, by column and letter."""
        return frozenset(
            (place, line.cells[place])
            for line in self.chart.lines
            if isinstance(line, ChartRow)
            for place, column in enumerate(self.chart.columns)
            if column.folded and line.cells[place] in STITCHES
        )

    @cached_property
    def folded_words(self) -> dict[tuple[int, str], str]:
        """What stands in the cells of folded columns, by column and letter: the longest wording
        that fits in all of them, so that they read alike; "" if none does."""
        if self._wording == WORDINGS:
            return dict.fromkeys(self._folded_cells, "")
        return {
            (place, cell): folded_texts(self.chart.columns[place], cell)[self._wording]
            for place, cell in self._folded_cells
        }

    @cached_property
    def folded_places(self) -> list[int]:
        """The columns in which words may stand."""
        return sorted({place for place, _ in self.folded_words})

    def _wording_width_mm(self, cell: str, texts: Sequence[str], level: int) -> float:
        """Width of a symbol that can be seen, and of the words after it."""
        text_mm = text_width_mm(texts[level], Face.REGULAR, self._wording_pt(level))
        return (self.symbol_mm if SYMBOLS[cell] else 0.0) + text_mm

    def folded_symbol_left_mm(self, place: int, cell: str) -> float:
        """Where the symbol of a folded column starts: before its words, or alone in the middle."""
        middle_mm = self.columns_span(place, place).middle_mm
        text = self.folded_words.get((place, cell), "")
        if not SYMBOLS.get(cell):
            text = ""
        text_mm = text_width_mm(text, Face.REGULAR, self.folded_text_pt)
        return middle_mm - (self.symbol_mm + text_mm) / 2

    def folded_words_left_mm(self, place: int, cell: str) -> float:
        """Where the words of a folded column start."""
        middle_mm = self.columns_span(place, place).middle_mm
        text_mm = text_width_mm(self.folded_words[place, cell], Face.REGULAR, self.folded_text_pt)
        content_mm = (self.symbol_mm if SYMBOLS[cell] else 0.0) + text_mm
        return middle_mm - content_mm / 2 + (self.symbol_mm if SYMBOLS[cell] else 0.0)

    @property
    def label_pt(self) -> float:
        return self.style.chart_label.size_pt

    @property
    def label_line_mm(self) -> float:
        """Height of a line of labels."""
        return self.style.chart_label.leading_mm

    def label_width_mm(self, text: str) -> float:
        return text_width_mm(text, self.style.chart_label.face, self.label_pt)

    # Columns

    @cached_property
    def columns_text(self) -> str:
        """The pegs of every column, left to right: "2–25 26 27", "1,5,9 2,6,10"."""
        return " ".join(
            column_label(column) if column.folded else ",".join(map(str, column.pegs))
            for column in self.chart.columns
        )

    @cached_property
    def column_widths_mm(self) -> tuple[float, ...]:
        return tuple(
            self._folded_width_mm(place, column) if column.folded else self.cell_width_mm
            for place, column in enumerate(self.chart.columns)
        )

    def _folded_width_mm(self, place: int, column: Column) -> float:
        label_mm = text_width_mm(column_label(column), Face.BOLD, self.peg_number_pt)
        names_mm = (
            self.label_width_mm(zone.name) + 2 * GAP_MM
            for zone in self.chart.zones
            if zone.first_column == zone.last_column == place
        )
        least_mm = max(
            label_mm + NUMBER_ROOM_MM, LEAST_FOLDED_CELLS * self.cell_width_mm, *names_mm
        )
        if not self.words:
            return least_mm
        level = self._longest_wording
        text = folded_texts(column, KNIT_LETTERS["flat"])[level]
        text_mm = text_width_mm(text, Face.REGULAR, self._wording_pt(level))
        return max(least_mm, text_mm + 2 * GAP_MM)

    @cached_property
    def _bare_edges_mm(self) -> tuple[float, ...]:
        return tuple(accumulate(self.column_widths_mm, initial=0.0))

    @property
    def _grid_width_mm(self) -> float:
        return self._bare_edges_mm[-1]

    @cached_property
    def edges_mm(self) -> tuple[float, ...]:
        """The edges of the columns, from left to right; one more than columns."""
        return tuple(edge + self.left_gutter_mm for edge in self._bare_edges_mm)

    def columns_span(self, first: int, last: int) -> Span:
        """From the left edge of one column to the right edge of another."""
        return Span(self.edges_mm[first], self.edges_mm[last + 1])

    @property
    def grid_span(self) -> Span:
        return Span(self.edges_mm[0], self.edges_mm[-1])

    # Gutters

    def count_text(self, row: ChartRow) -> str:
        """The stitches of a row of a shaped part, for the end of the row."""
        if self.chart.part not in SHAPED:
            return ""
        return "1 st" if row.stitches == 1 else f"{row.stitches} sts"

    def number_text(self, row: ChartRow) -> str:
        """The row's number or name; what runs on is not repeated with the pegs of its columns."""
        once = self.chart.across is not None and row.number == RUN_ON
        return f"{row.label}, once" if once else row.label

    def _number_width_mm(self, row: ChartRow) -> float:
        label_mm = text_width_mm(self.number_text(row), Face.BOLD, self.row_number_pt)
        return 2 * self.number_gap_mm + self.arrow_mm + label_mm

    def _count_width_mm(self, row: ChartRow) -> float:
        text = self.count_text(row)
        width_mm = text_width_mm(text, Face.REGULAR, self.row_number_pt)
        return 2 * self.number_gap_mm + width_mm if text else 0.0

    def fold_text(self, fold: ChartFold) -> str:
        """The rows that are not drawn, and what they are worked like."""
        if isinstance(fold, SharedFold):
            return fold.text
        return fold.told

    def _bare_fold_span(self, fold: ChartFold) -> Span:
        return Span(
            FOLD_INDENT_MM, FOLD_INDENT_MM + self.label_width_mm(self.fold_text(fold)) + EDGE_MM
        )

    def fold_text_span(self, fold: ChartFold) -> Span:
        """Where the words of a fold stand."""
        bare = self._bare_fold_span(fold)
        left_mm = self.left_gutter_mm
        return Span(bare.left_mm + left_mm, bare.right_mm + left_mm)

    @cached_property
    def _bare_reach(self) -> Span:
        """How far ink reaches to the left and to the right."""
        spans = [Span(-EDGE_MM, self._grid_width_mm + EDGE_MM)]
        for line in self.chart.lines:
            if isinstance(line, ChartRow):
                first, last = framed_columns(line.cells)
                number_mm, count_mm = self._number_width_mm(line), self._count_width_mm(line)
                left_mm, right_mm = (
                    (number_mm, count_mm) if line.starts_left else (count_mm, number_mm)
                )
                spans.append(
                    Span(
                        self._bare_edges_mm[first] - left_mm,
                        self._bare_edges_mm[last + 1] + right_mm,
                    )
                )
            elif isinstance(line, ChartFold):
                spans.append(self._bare_fold_span(line))
        spans += [one.name for one in self._bare_zone_names]
        for labels in self._bare_strip_labels.values():
            spans += [Span(label.left_mm, label.left_mm + label.width_mm) for label in labels]
        for text in (self.piece.above, self.piece.below, self.across_text):
            spans.append(Span(0.0, self.label_width_mm(text)))
        return Span(min(span.left_mm for span in spans), max(span.right_mm for span in spans))

    @property
    def left_gutter_mm(self) -> float:
        return -self._bare_reach.left_mm

    @property
    def width_mm(self) -> float:
        return self._bare_reach.width_mm

    # Zones

    @cached_property
    def _bare_zone_names(self) -> tuple[ZoneName, ...]:
        chart = self.chart
        return zone_names(chart.zones, chart.columns, self._bare_edges_mm, self.label_width_mm)

    @cached_property
    def zone_names(self) -> tuple[ZoneName, ...]:
        """Every zone's bracket and name."""
        left_mm = self.left_gutter_mm
        return tuple(
            replace(one, bracket=one.bracket.moved(left_mm), name=one.name.moved(left_mm))
            for one in self._bare_zone_names
        )

    @property
    def zone_line_mm(self) -> float:
        """Height of a line of zone names."""
        return self.label_line_mm + GAP_MM

    # Strips

    @cached_property
    def _bare_strip_labels(self) -> dict[int, tuple[PlacedLabel, ...]]:
        placed = {}
        for index, line in enumerate(self.chart.lines):
            if not isinstance(line, ChartStrip):
                continue
            wanted = []
            for move in line.moves:
                text, pegs = move_label(move), marked_pegs(move)
                run = mark_run(self.chart.columns, pegs)
                if run is not None:
                    left_mm, right_mm = self._bare_edges_mm[run[0]], self._bare_edges_mm[run[1] + 1]
                    wanted.append(WantedLabel(text, self.label_width_mm(text), left_mm, right_mm))
            placed[index] = place_labels(wanted, 0.0, self._grid_width_mm)
        return placed

    def strip_labels(self, index: int) -> Iterable[PlacedLabel]:
        """The labels of the strip that is that line of the chart."""
        for label in self._bare_strip_labels[index]:
            left_mm = label.left_mm + self.left_gutter_mm
            yield PlacedLabel(label.text, left_mm, label.width_mm, label.tier)

    @property
    def symbol_mm(self) -> float:
        """Side of a symbol: the shorter side of a cell."""
        return min(self.cell_height_mm, self.cell_width_mm)

    # Heights

    def _line_height_mm(self, index: int) -> float:
        match self.chart.lines[index]:
            case ChartRow():
                return self.cell_height_mm
            case ChartFold():
                return self.label_line_mm + GAP_MM
            case ChartStrip():
                labels = self._bare_strip_labels[index]
                tiers = max((label.tier + 1 for label in labels), default=0)
                return self.symbol_mm + tiers * self.label_line_mm + GAP_MM

    @property
    def number_line_mm(self) -> float:
        """Height of a line of peg numbers."""
        return self.peg_number_pt * MM_PER_PT * 1.3

    @property
    def numbers_top_mm(self) -> float:
        """Top of the upper line of peg numbers."""
        tiers = max((one.tier + 1 for one in self._bare_zone_names), default=0)
        return (self.note_line_mm if self.piece.above else 0.0) + tiers * self.zone_line_mm

    @property
    def grid_top_mm(self) -> float:
        return self.numbers_top_mm + self.number_line_mm

    @cached_property
    def grid_bottom_mm(self) -> float:
        heights_mm = map(self._line_height_mm, range(len(self.chart.lines)))
        return self.grid_top_mm + sum(heights_mm)

    @cached_property
    def bands(self) -> tuple[Band, ...]:
        """The band of each line of the chart; the first one is the lowest."""
        bands = []
        bottom_mm = self.grid_bottom_mm
        for index in range(len(self.chart.lines)):
            top_mm = bottom_mm - self._line_height_mm(index)
            bands.append(Band(top_mm, bottom_mm))
            bottom_mm = top_mm
        return tuple(bands)

    def marks_band(self, index: int) -> Band:
        """The height of the marks in the strip that is that line of the chart."""
        top_mm = self.bands[index].top_mm + GAP_MM / 2
        return Band(top_mm, top_mm + self.symbol_mm)

    @property
    def across_text(self) -> str:
        """The words beside the box round pegs that repeat; "" if none do."""
        across = self.chart.across
        if across is None:
            return ""
        columns = self.chart.columns[across.first_column : across.last_column + 1]
        pegs = sorted(column.pegs[0] for column in columns)
        return f"{pegs_text(pegs[0], pegs[-1])} × {across.times}, to peg {across.last_peg}"

    @property
    def height_mm(self) -> float:
        lines = (self.across_text != "") + (self.piece.below != "")
        return self.grid_bottom_mm + self.number_line_mm + lines * self.note_line_mm

    @property
    def note_line_mm(self) -> float:
        """Height of a line of words over or under the chart."""
        return self.label_line_mm + GAP_MM

    # Peg numbers

    @cached_property
    def numbered_columns(self) -> tuple[int, ...]:
        """Columns that carry their number: all that have room, or else borders before fives."""
        columns = self.chart.columns
        spans = [
            Span.about(
                (self._bare_edges_mm[place] + self._bare_edges_mm[place + 1]) / 2,
                text_width_mm(column_label(column), Face.BOLD, self.peg_number_pt),
            )
            for place, column in enumerate(columns)
        ]
        borders = {0, len(columns) - 1}
        for zone in self.chart.zones:
            borders |= {zone.first_column, zone.last_column}
        everywhere = range(len(columns))
        if not any(
            spans[place].near(spans[place + 1], NUMBER_ROOM_MM / 2) for place in everywhere[:-1]
        ):
            return tuple(everywhere)
        chosen: list[int] = []
        for place in (
            *(place for place in everywhere if columns[place].folded),
            *sorted(borders),
            *(place for place in everywhere if is_fifth(columns[place].pegs[0])),
        ):
            if not any(spans[place].near(spans[other], NUMBER_ROOM_MM) for other in chosen):
                chosen.append(place)
        return tuple(sorted(chosen))
