"""Charts drawn as grids of cells, fitted to the room there is.

A cell has the proportions of a stitch, so that a wedge looks like the sock.  Without a gauge they
are those of plain knitting: courses to wales 1.29 to 1.32 by the relaxed-fabric constants first
worked out by Munden (J. Textile Inst. 50, 1959), figures read in later texts that quote them.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from charts.chart import Chart, ChartRow, Folding
from charts.parts import Part, part_record
from charts.rows import Row, Section
from charts.sized_charts import make_shared_chart
from charts.spec import Gauge
from charts.stretches import stretch_cuts
from charts.verify import Knit
from charts.words import row_text
from layouts.block import Block, DoesNotFitError, room_words
from layouts.grid_drawing import draw_geometry
from layouts.grid_geometry import GridGeometry
from layouts.grid_rows import RowTexts
from layouts.grid_split import cut_across, cut_evenly, cut_up, line_name, without_blank_strips
from layouts.grid_terms import ChartPiece
from layouts.scene import Group, Item
from layouts.style import BOOKLET, PageStyle

STOCKINETTE_RATIO: Final = 1.30
"""Width to height of a plain-knit stitch, between Munden's 1.29 and 1.32."""

UNFOLDED_UP: Final = (Part.TURN, Part.TOE)
"""Parts whose every row is drawn, so that they can be read at a glance."""

SIZE_STEP_MM: Final = 0.1
"""Cell sizes are tried in these steps."""


def cell_ratio(gauge: Gauge | None) -> float:
    """Width to height of a cell: rows to stitches in the same length of fabric."""
    if gauge is None:
        return STOCKINETTE_RATIO
    return gauge.rows_per_10cm / gauge.stitches_per_10cm


def draw_chart(
    chart: Chart,
    *,
    cell_width_mm: float,
    cell_height_mm: float,
    style: PageStyle = BOOKLET,
    row_texts: RowTexts | None = None,
) -> Block:
    """The whole chart at that cell size; `row_texts` are the rows in words, to be read aloud."""
    geometry = GridGeometry(ChartPiece(chart), cell_width_mm, cell_height_mm, style)
    return draw_geometry(geometry, row_texts or {})


def fit_chart(
    knit: Knit, part: Part, *, width_mm: float, height_mm: float, style: PageStyle = BOOKLET
) -> tuple[Block, ...]:
    """One part's chart, drawn as large as the room allows; several blocks if it must be split.

    Tries every peg in a column of its own, then runs of pegs folded, then the page turned, then
    columns split.  Every block fits `width_mm` x `height_mm`; a block on its side says so.  Blocks
    of a split chart come from the left and from the bottom, as they are worked.  Raises
    DoesNotFitError, saying what would fit.
    """
    fitted = measure_chart(knit, part, width_mm=width_mm, height_mm=height_mm, style=style)
    return fitted.draw(rows_in_words(knit, part))


@dataclass(frozen=True, slots=True)
class FittedChart:
    """How a chart can be drawn in the room given; one geometry for each block, or for each small
    chart of the one block that they are piled up in."""

    geometries: tuple[GridGeometry, ...]
    turned: bool
    piled: bool = False
    """The first one is the lowest."""

    @property
    def cell_mm(self) -> float:
        """The shorter side of a cell."""
        return self.geometries[0].symbol_mm

    @property
    def charts(self) -> tuple[Chart, ...]:
        """What is shown in each geometry."""
        return tuple(geometry.chart for geometry in self.geometries)

    @property
    def block_count(self) -> int:
        return 1 if self.piled else len(self.geometries)

    @property
    def height_mm(self) -> float:
        """Height of the first block on the page."""
        if self.piled:
            between_mm = PILE_GAP_MM * (len(self.geometries) - 1)
            return sum(geometry.height_mm for geometry in self.geometries) + between_mm
        return self.geometries[0].width_mm if self.turned else self.geometries[0].height_mm

    def resized(self, cell_mm: float) -> FittedChart:
        """The same blocks with cells of another size, their proportions kept."""
        geometries = tuple(one.resized(cell_mm) for one in self.geometries)
        return replace(self, geometries=geometries)

    def draw(self, row_texts: RowTexts) -> tuple[Block, ...]:
        """The blocks."""
        blocks = tuple(draw_geometry(geometry, row_texts) for geometry in self.geometries)
        if self.piled:
            return (_pile(self.geometries, blocks),)
        return tuple(map(_turned, blocks)) if self.turned else blocks


PILE_GAP_MM: Final = 3.0
"""Between the small charts of a pile."""


def _pile(geometries: Sequence[GridGeometry], blocks: Sequence[Block]) -> Block:
    """The blocks above one another, the first one lowest, their grids in line at the left where
    there is room."""
    width_mm = max(block.width_mm for block in blocks)
    gutter_mm = max(geometry.left_gutter_mm for geometry in geometries)
    items: list[Item] = []
    y_mm = 0.0
    for geometry, block in zip(reversed(geometries), reversed(blocks), strict=True):
        x_mm = min(gutter_mm - geometry.left_gutter_mm, width_mm - block.width_mm)
        items.append(block.placed(x_mm, y_mm))
        y_mm += block.height_mm + PILE_GAP_MM
    return Block(tuple(items), width_mm, y_mm - PILE_GAP_MM)


def _turned(block: Block) -> Block:
    """The block on its side, head to the left."""
    group = Group(block.items, 0.0, block.width_mm, quarter_turns=3)
    return Block((group,), block.height_mm, block.width_mm, turned=True)


def rows_in_words(knit: Knit, part: Part) -> dict[tuple[Section, int], str]:
    """The rows of a part as the steps tell them, by section and number."""
    return {
        (event.section, event.number): row_text(event, knit.plan.loom)
        for event, _, _ in part_record(knit, part).happenings
        if isinstance(event, Row)
    }


def measure_chart(
    knit: Knit,
    part: Part,
    *,
    width_mm: float,
    height_mm: float,
    style: PageStyle = BOOKLET,
    sharing: Sequence[Knit] = (),
    piled: bool = False,
) -> FittedChart:
    """What `fit_chart` draws, before it is drawn.

    `sharing` are the socks of other sizes that are knitted from the same chart.  With `piled` rows
    that are worked once may have small charts of their own above and below the others, rather than
    that the chart is turned.  Raises DoesNotFitError.
    """
    knits = (knit, *sharing)
    fitter = _Fitter(cell_ratio(knit.plan.spec.gauge), style)
    fold_up = part not in UNFOLDED_UP
    every_peg = make_shared_chart(knits, part, fold_up=fold_up)
    found = fitter.fit(every_peg, width_mm, height_mm, words=True)
    if found:
        return FittedChart(found, turned=False)
    attempts = [(every_peg, True)]
    if any(isinstance(line, ChartRow) for line in every_peg.lines):
        folded = make_shared_chart(knits, part, folding=Folding.RUNS, fold_up=fold_up)
        if folded.columns != every_peg.columns:
            attempts += [(folded, True), (folded, False)]
    for chart, words in attempts[1:]:
        found = fitter.fit(chart, width_mm, height_mm, words=words)
        if found:
            return FittedChart(found, turned=False)
    found = fitter.pile(every_peg, width_mm, height_mm) if piled else ()
    if found:
        return FittedChart(found, turned=False, piled=True)
    for chart, words in attempts:
        found = fitter.fit(chart, height_mm, width_mm, words=words)
        if found:
            return FittedChart(found, turned=True)
    narrowest = attempts[-1][0]
    splits = [
        FittedChart(fitter.split(narrowest, width_mm, height_mm), turned=False),
        FittedChart(fitter.split(narrowest, height_mm, width_mm), turned=True),
    ]
    possible = [split for split in splits if split.geometries]
    if not possible:
        needed = fitter.geometry(narrowest, style.least_cell_mm, words=False)
        raise DoesNotFitError(
            f"the chart of the {part.title.lower()} needs {needed.width_mm:.0f} x "
            f"{needed.height_mm:.0f} mm for cells of {style.least_cell_mm:g} mm; there are "
            f"{room_words(width_mm, height_mm)}"
        )
    return min(possible, key=lambda split: len(split.geometries))


@dataclass(frozen=True)
class _Fitter:
    """Finds the largest cells at which a chart fits."""

    ratio: float
    style: PageStyle

    def geometry(self, chart: Chart, shorter_mm: float, *, words: bool) -> GridGeometry:
        """The chart measured with cells of that shorter side."""
        width_mm, height_mm = shorter_mm * max(self.ratio, 1.0), shorter_mm / min(self.ratio, 1.0)
        return GridGeometry(ChartPiece(chart), width_mm, height_mm, self.style, words)

    def fit(
        self, chart: Chart, width_mm: float, height_mm: float, *, words: bool
    ) -> tuple[GridGeometry, ...]:
        """The whole, or pieces from the bottom up; none if the chart is too wide."""
        whole = self._largest(chart, width_mm, height_mm, words)
        if whole is not None:
            return (whole,)
        widest = self._largest(chart, width_mm, math.inf, words)
        if widest is None:
            return ()
        roomy_mm = min(widest.symbol_mm, self.style.best_cell_mm)
        close_mm = min(roomy_mm, max(self.style.least_cell_mm, 0.85 * self.style.good_cell_mm))
        best = _piled(self.geometry(chart, roomy_mm, words=words), height_mm)
        # Somewhat smaller cells may save a piece.
        steps = int((roomy_mm - close_mm) / SIZE_STEP_MM)
        for step in range(1, steps + 1):
            cell_mm = roomy_mm - step * SIZE_STEP_MM
            found = _piled(self.geometry(chart, cell_mm, words=words), height_mm)
            if found and (not best or len(found) < len(best)):
                best = found
        return best

    def split(self, chart: Chart, width_mm: float, height_mm: float) -> tuple[GridGeometry, ...]:
        """Pieces side by side, as few as there can be and then as large; none if none fit."""
        best: tuple[GridGeometry, ...] = ()
        for shorter_mm in self._sizes_mm():
            geometry = self.geometry(chart, shorter_mm, words=False)
            try:
                columns = cut_across(geometry, width_mm)
            except DoesNotFitError:
                break
            piles = [_piled(replace(geometry, piece=piece), height_mm) for piece in columns]
            count = sum(map(len, piles))
            if not all(piles) or (best and count > len(best)):
                break
            best = tuple(one for pile in piles for one in pile)
        return best

    def pile(self, every_peg: Chart, width_mm: float, height_mm: float) -> tuple[GridGeometry, ...]:
        """Stretches of the rows above one another, the first lowest; none if they do not fit.

        As few as there can be, none with a row alone if that can be, then as large.
        """
        found = [
            self._largest_pile(stretches, width_mm, height_mm, words=words)
            for stretches in stretch_cuts(every_peg)
            for words in (True, False)
        ]
        piles = [pile for pile in found if pile]
        return min(
            piles,
            key=lambda pile: (len(pile), any(map(_is_one_row, pile)), -pile[0].symbol_mm),
            default=(),
        )

    def _largest_pile(
        self, stretches: Sequence[Chart], width_mm: float, height_mm: float, *, words: bool
    ) -> tuple[GridGeometry, ...]:
        best: tuple[GridGeometry, ...] = ()
        for shorter_mm in self._sizes_mm():
            found = self._stretches(stretches, shorter_mm, width_mm, words=words)
            is_more = best and len(found) > len(best)
            if not found or is_more or FittedChart(found, False, True).height_mm > height_mm:
                break
            best = found
        return best

    def _stretches(
        self, stretches: Sequence[Chart], shorter_mm: float, width_mm: float, *, words: bool
    ) -> tuple[GridGeometry, ...]:
        """Each stretch at that size, a first one without repeats in two halves if it must be; none
        if one is too wide."""
        found: list[GridGeometry] = []
        for place, chart in enumerate(stretches):
            notes = [
                f"continued from {line_name(stretches[place - 1].lines[-1])}" if place else "",
                f"continues with {line_name(stretches[place + 1].lines[0])}"
                if place < len(stretches) - 1
                else "",
            ]
            geometry = self.geometry(chart, shorter_mm, words=words)
            geometry = replace(
                geometry, piece=replace(geometry.piece, below=notes[0], above=notes[1])
            )
            if geometry.width_mm <= width_mm:
                found.append(geometry)
                continue
            if place or chart.up:
                return ()
            try:
                pieces = cut_across(geometry, width_mm)
            except DoesNotFitError:
                return ()
            if len(pieces) > 2:
                return ()
            left, right = map(without_blank_strips, pieces)
            left = replace(left, above=notes[1], below="continues below, on the right →")
            right = replace(right, above="", below="← continues above, on the left")
            found += [replace(geometry, piece=piece) for piece in (right, left)]
        return tuple(found)

    def _sizes_mm(self) -> list[float]:
        least_mm, most_mm = self.style.least_cell_mm, self.style.most_cell_mm
        count = round((most_mm - least_mm) / SIZE_STEP_MM)
        return [round(least_mm + step * SIZE_STEP_MM, 3) for step in range(count + 1)]

    def _largest(
        self, chart: Chart, width_mm: float, height_mm: float, words: bool
    ) -> GridGeometry | None:
        """The chart with the largest cells that fit; a chart grows with its cells."""
        sizes_mm = self._sizes_mm()

        def is_too_large(shorter_mm: float) -> bool:
            geometry = self.geometry(chart, shorter_mm, words=words)
            return geometry.width_mm > width_mm or geometry.height_mm > height_mm

        fitting = bisect_left(sizes_mm, True, key=is_too_large)
        return self.geometry(chart, sizes_mm[fitting - 1], words=words) if fitting else None


def _is_one_row(geometry: GridGeometry) -> bool:
    """Whether a chart is a row alone, such as the few pegs that run on: a strange sight."""
    return len(geometry.chart.lines) == 1


def _piled(geometry: GridGeometry, height_mm: float) -> tuple[GridGeometry, ...]:
    """The piece, or what it is cut into from the bottom up, of about equal height; none if no two
    rows fit."""
    if geometry.height_mm <= height_mm:
        return (geometry,)
    try:
        pieces = cut_up(geometry, height_mm)
    except DoesNotFitError:
        return ()
    return tuple(
        replace(geometry, piece=piece)
        for piece in cut_evenly(geometry, len(pieces), height_mm) or pieces
    )
