"""The chart of one part in whatever room a page leaves it: measured once, then scaled."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cache, cached_property
from typing import Final

from charts.chart import Chart, ChartFold, ChartRow
from charts.parts import Part
from charts.rows import Section
from charts.verify import Knit
from layouts.block import Block, DoesNotFitError
from layouts.grid import SIZE_STEP_MM, FittedChart, measure_chart, rows_in_words
from layouts.grid_geometry import GridGeometry
from layouts.grid_split import cut_evenly
from layouts.style import PageStyle

BOUNDLESS_MM: Final = 10_000.0
_TALL: Final = 0.5
"""Height from which on a chart is worth cutting, in pages."""


@dataclass(frozen=True)
class PartChart:
    """One part's chart for pages of one size."""

    knit: Knit
    part: Part
    width_mm: float
    page_height_mm: float
    style: PageStyle
    sharing: tuple[Knit, ...] = ()
    """Socks of other sizes that are knitted from the same chart."""
    piled: bool = False
    """Rows that are worked once may have small charts of their own in the same block."""

    @cached_property
    def best(self) -> FittedChart:
        """As `measure_chart` draws it on a page of its own.  Raises DoesNotFitError."""
        return self._measured(self.page_height_mm)

    @cached_property
    def _resized(self) -> Callable[[float], FittedChart]:
        """The best one with cells of another size, each size measured once."""
        return cache(self.best.resized)

    @cached_property
    def fits_page(self) -> bool:
        """Whether it lies on one page, turned or not."""
        try:
            return self.best.block_count == 1
        except DoesNotFitError:
            return False

    def at_size(self, cell_mm: float) -> FittedChart:
        """The chart with cells of at most that size; one that fits no page upright as it is."""
        if not self.fits_page or self.best.turned or cell_mm >= self.best.cell_mm:
            return self.best
        return self._resized(max(cell_mm, self.style.least_cell_mm))

    def in_room(self, height_mm: float) -> FittedChart | None:
        """The upright chart in that height, with cells as large as it allows; None if too high."""
        if not self.fits_page or self.best.turned:
            return None
        if self.best.height_mm <= height_mm:
            return self.best
        least_mm = self.style.least_cell_mm
        least = self._resized(least_mm)
        if least.height_mm > height_mm:
            return None
        # Heights grow with the cells but for lines of text, so one look is nearly enough.
        rise = (self.best.height_mm - least.height_mm) / (self.best.cell_mm - least_mm)
        steps = math.floor((height_mm - least.height_mm) / rise / SIZE_STEP_MM)
        for step in range(steps, 0, -1):
            found = self._resized(least_mm + step * SIZE_STEP_MM)
            if found.height_mm <= height_mm:
                return found
        return least

    def in_pieces(self, count: int) -> FittedChart | None:
        """The upright chart, if it is tall, cut between rows into so many pieces, about equally
        high."""
        whole = self._whole
        if whole is None or whole.height_mm < _TALL * self.page_height_mm:
            return None
        pieces = cut_evenly(whole, count, self.page_height_mm)
        if pieces is None:
            return None
        return FittedChart(tuple(replace(whole, piece=piece) for piece in pieces), False)

    def draw(self, chart: FittedChart) -> tuple[Block, ...]:
        """Its blocks, with the rows in words for those who hear them."""
        return chart.draw(rows_in_words(self.knit, self.part))

    @cached_property
    def _whole(self) -> GridGeometry | None:
        """The upright chart of any height with cells of a good size; None if it is too wide."""
        try:
            found = self._measured(BOUNDLESS_MM)
        except DoesNotFitError:
            return None
        if found.turned or len(found.geometries) > 1:
            return None
        good_mm = min(found.cell_mm, self.style.best_cell_mm)
        return found.geometries[0].resized(good_mm)

    def _measured(self, height_mm: float) -> FittedChart:
        return measure_chart(
            self.knit,
            self.part,
            width_mm=self.width_mm,
            height_mm=height_mm,
            style=self.style,
            sharing=self.sharing,
            piled=self.piled,
        )


def last_rows(chart: FittedChart) -> Iterator[tuple[Section, int] | None]:
    """Section and number of the topmost row of each block, drawn or folded."""
    return map(_last_row, chart.charts)


def _last_row(chart: Chart) -> tuple[Section, int] | None:
    for one in reversed(chart.lines):
        if isinstance(one, ChartRow):
            return (one.section, one.number)
        if isinstance(one, ChartFold):
            return (one.section, one.last)
    return None
