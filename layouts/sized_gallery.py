"""The charts of a part for several sizes, each under the names of those that knit from it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from charts.sized_words import sized
from layouts.block import Block
from layouts.blocks import Piece, paragraph, side_by_side, stacked
from layouts.faces import Face
from layouts.grid import FittedChart
from layouts.part_chart import PartChart
from layouts.scene import Role
from layouts.size_order import SizeSet
from layouts.style import PageStyle
from layouts.text import NO_BREAK_SPACE, Run
from layouts.text import width_mm as text_width

_BESIDE_MM: Final = 8.0
"""Between two charts in a row."""
_CAPTION_MM: Final = 1.0
"""Between the names and their chart."""


@dataclass(frozen=True)
class SizedChart:
    """A chart and the sizes that are knitted from it."""

    sizes: SizeSet
    chart: PartChart

    def in_room(self, fitted: FittedChart, index: int) -> ChartInRoom:
        """One block of the chart as it was fitted."""
        return ChartInRoom(self, fitted, index)


@dataclass(frozen=True)
class ChartInRoom:
    """One block of a chart with its names, measured and not yet drawn."""

    of: SizedChart
    fitted: FittedChart
    index: int

    @property
    def _style(self) -> PageStyle:
        return self.of.chart.style

    @property
    def width_mm(self) -> float:
        geometry = self.fitted.geometries[self.index]
        own_mm = geometry.height_mm if self.fitted.turned else geometry.width_mm
        words_mm = text_width(_caption_runs(self.of.sizes, self._style), self._style.body)
        return max(own_mm, min(words_mm + 1.0, self.of.chart.width_mm))

    @property
    def _caption(self) -> Piece:
        return chart_caption(self.of.sizes, self.width_mm, self._style)

    @property
    def height_mm(self) -> float:
        geometry = self.fitted.geometries[self.index]
        own_mm = geometry.width_mm if self.fitted.turned else geometry.height_mm
        return self._caption.height_mm + own_mm

    def draw(self) -> Block:
        block = self.of.chart.draw(self.fitted)[self.index]
        drawn = stacked([self._caption, Piece(block)])
        return Block(drawn.items, self.width_mm, drawn.height_mm)


@dataclass(frozen=True)
class GalleryRow:
    """Charts side by side."""

    charts: tuple[ChartInRoom, ...]

    @property
    def width_mm(self) -> float:
        return sum(one.width_mm for one in self.charts) + _BESIDE_MM * (len(self.charts) - 1)

    @property
    def height_mm(self) -> float:
        return max(one.height_mm for one in self.charts)

    def draw(self) -> Block:
        return side_by_side([one.draw() for one in self.charts], _BESIDE_MM)


def gallery(charts: Sequence[SizedChart], cell_mm: float) -> list[GalleryRow]:
    """The charts with cells of at most that size in rows as wide as the page, the first first."""
    rows: list[GalleryRow] = []
    for one in charts:
        fitted = one.chart.at_size(cell_mm)
        for index in range(len(fitted.geometries)):
            room = one.in_room(fitted, index)
            longer = GalleryRow((*rows[-1].charts, room)) if rows else None
            if longer is not None and longer.width_mm <= one.chart.width_mm:
                rows[-1] = longer
            else:
                rows.append(GalleryRow((room,)))
    return rows


def chart_caption(sizes: SizeSet, width_mm: float, style: PageStyle, words: str = "") -> Piece:
    """The names of the sizes and their loom, or other words, above what is theirs."""
    caption = paragraph(
        _caption_runs(sizes, style, words), style.body, width_mm, role=Role.CAPTION, with_next=True
    )
    return Piece(caption.block, _CAPTION_MM, with_next=True)


def _caption_runs(sizes: SizeSet, style: PageStyle, words: str = "") -> list[Run]:
    pegs = sized([plan.loom.pegs for plan in sizes.plans])
    lead = Run(sizes.order.text, Face.BOLD)
    rest = words or f"{pegs}{NO_BREAK_SPACE}pegs"
    return [lead, Run(f"   {rest}", Face.REGULAR, style.soft_ink)]
