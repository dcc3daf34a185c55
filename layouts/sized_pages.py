"""The pages of one part for several sizes.

Sizes that share a chart are laid out as one sock is; where one list of steps goes with several
charts, the charts stand on left pages, each under the names of its sizes, and the steps beside
them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import zip_longest
from typing import Final

from charts.parts import Part, part_record
from charts.rows import Graft
from charts.sized_words import sized
from layouts.block import Block
from layouts.blocks import Piece, paragraph, pieces_height_mm, side_by_side, squeezed, stacked
from layouts.faces import Face
from layouts.frame import Entry, Leaf, Side
from layouts.grafting import (
    grafting_pieces,
    looping_pieces,
    pair_boxes,
    pair_count,
    pair_head,
)
from layouts.grid import FittedChart
from layouts.loom_now import PARTS_WITH_MAP
from layouts.loom_ring import loom_zones
from layouts.page_fill import BETWEEN_MM, balanced_pages, filled_pages, share_out, spaced
from layouts.part_chart import PartChart
from layouts.part_pages import (
    AFTER_COST,
    CROWDED,
    CROWDED_COST,
    EMPTY_COST,
    GOOD_CELL_MM,
    SMALL_CELL_COST,
    PartPages,
    counted,
)
from layouts.scene import Role
from layouts.size_order import SizeSet, order_block
from layouts.sized_sets import sharing, sized_part_steps
from layouts.sized_steps_block import sized_ladder
from layouts.spreads import Way
from layouts.steps_block import Rung
from layouts.text import NO_BREAK_SPACE, Run


@dataclass(frozen=True, kw_only=True)
class SizedPartPages(PartPages):
    """The pages of a part for sizes that share its chart; `knit` is that of the first of them."""

    sizes: SizeSet
    named: bool = False
    """There are other pages of this part for other sizes."""

    @property
    def entry(self) -> Entry:
        title, anchor = self.title, super().entry.anchor
        if self.named:
            title = f"{title}: {self.sizes.order.text}"
            anchor = f"{anchor}-{self.sizes.names[0]}"
        return Entry(title, anchor)

    @cached_property
    def under(self) -> Block:
        return order_block(self.sizes, width_mm=self.frame.width_mm, style=self.frame.style)

    @cached_property
    def rungs(self) -> list[Rung]:
        steps = sized_part_steps(self.sizes, self.part)
        frame = self.frame
        return sized_ladder(steps, self.sizes, width_mm=frame.width_mm, style=frame.style)

    @property
    def has_map(self) -> bool:
        """Whether one ring shows what all these sizes have on it."""
        if self.part not in PARTS_WITH_MAP or self.again:
            return False
        rings = {
            (plan.loom, plan.shift, loom_zones(plan), part_record(knit, self.part).starts.yarn_peg)
            for knit, plan in zip(self.sizes.knits, self.sizes.plans, strict=True)
        }
        return len(rings) == 1 and super().has_map

    @cached_property
    def chart(self) -> PartChart:
        return _chart_of(self.sizes, self)

    def ways(self) -> list[Way]:
        if self.part is Part.CLOSING:
            return [self._sized_closing()]
        charts = self.charts
        if len(charts) == 1 and len(charts[0].sizes.names) == len(self.sizes.names):
            return super().ways()
        return list(_ManyCharts(self, charts).ways())

    @cached_property
    def charts(self) -> tuple[SizedChart, ...]:
        """The chart of each group of sizes; those of the marked size alone if one is marked."""
        groups = [self.sizes.of(group) for group in sharing(self.sizes, self.part)]
        wanted = [one for one in groups if one.marked is not None] or groups
        return tuple(SizedChart(one, _chart_of(one, self)) for one in wanted)

    def _sized_closing(self) -> Way:
        """Loops onto the needles, then the graft with boxes for the pairs of each size."""
        frame, sizes = self.frame, self.sizes
        style, width_mm = frame.style, frame.width_mm
        pairs = [_graft_of(sizes, index).pairs for index in range(len(sizes.names))]
        shown = sizes.marked or 0
        drawn = ""
        if len(set(pairs)) > 1:
            drawn = f"Peg numbers drawn for size {sizes.names[shown]}."
        plan, graft = sizes.plans[shown], _graft_of(sizes, shown)
        steps = len(sized_part_steps(sizes, self.part).steps)
        moves = [rung.piece for rung in self.rungs if rung.step is not None]
        first_step = next(i for i, rung in enumerate(self.rungs) if rung.step is not None)
        last_step = max(i for i, rung in enumerate(self.rungs) if rung.step is not None)
        assert len(moves) == steps
        lead, ends = self.steps[: last_step + 1], self.steps[last_step + 1 :]
        del first_step
        taking_off = [
            *spaced(lead),
            *grafting_pieces(plan, graft, width_mm=width_mm, style=style, drawn=drawn),
        ]
        times = sized([len(one) - 1 for one in pairs])
        grafting = [
            *looping_pieces(plan, graft, width_mm=width_mm, style=style, times=times),
            *pair_head(width_mm=width_mm, style=style),
            *self._pairs(pairs),
            *ends,
        ]
        first = list(filled_pages(taking_off, frame.height_mm))
        second = list(filled_pages(grafting, frame.height_mm))

        def make() -> tuple[Leaf, ...]:
            return (
                self.leaf(first[0], first=True),
                *(self.leaf(page) for page in first[1:]),
                *(self.leaf(page, "the graft") for page in second),
            )

        facing = len(first) == len(second) == 1
        return Way(len(first) + len(second), make, Side.LEFT if facing else Side.EITHER)

    def _pairs(self, pairs: Sequence[tuple[tuple[int, int], ...]]) -> Iterator[Piece]:
        """Boxes for each way in which the sizes pair their loops."""
        style, width_mm = self.frame.style, self.frame.width_mm
        for same in dict.fromkeys(pairs):
            own = self.sizes.of([index for index, one in enumerate(pairs) if one == same])
            if self.sizes.marked is not None and own.marked is None:
                continue
            graft = _graft_of(own, 0)
            if len(own.names) < len(self.sizes.names):
                yield chart_caption(own, width_mm, self.frame.style)
            yield from pair_boxes(graft, width_mm=width_mm, style=style)
            yield pair_count(graft, width_mm=width_mm, style=style)


def _graft_of(sizes: SizeSet, index: int) -> Graft:
    (graft,) = (one for one in sizes.knits[index].rows.events if isinstance(one, Graft))
    return graft


@dataclass(frozen=True)
class SizedChart:
    """A chart and the sizes that are knitted from it."""

    sizes: SizeSet
    chart: PartChart


def _chart_of(sizes: SizeSet, pages: PartPages) -> PartChart:
    frame = pages.frame
    first, *others = sizes.knits
    return PartChart(
        first, pages.part, frame.width_mm, frame.height_mm, frame.style, tuple(others)
    )
