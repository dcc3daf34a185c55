"""The pages of one part for several sizes.

Sizes that share a chart are laid out as one sock is; where one list of steps goes with several
charts, the charts stand on left pages, each under the names of its sizes, and the steps beside
them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import product, zip_longest
from typing import Final

from charts.parts import Part, part_record
from charts.rows import Graft
from charts.steps import MoveStep, Step
from layouts.block import Block, DoesNotFitError
from layouts.blocks import Piece, pieces_height_mm, squeezed
from layouts.edition import Content
from layouts.frame import Entry, Leaf, Side
from layouts.loom_now import PARTS_WITH_MAP
from layouts.loom_ring import loom_zones
from layouts.page_fill import (
    BETWEEN_MM,
    balanced_pages,
    filled_pages,
    share_out,
    spaced,
    tight_pages,
)
from layouts.part_chart import PartChart
from layouts.part_pages import (
    AFTER_COST,
    BEFORE,
    PartPages,
    counted,
    fill_cost,
)
from layouts.size_order import SizeSet, order_block
from layouts.sized_closing import SizedGraft
from layouts.sized_gallery import GalleryRow, SizedChart, chart_caption, gallery
from layouts.sized_reading import contents_room_mm
from layouts.sized_sets import sharing
from layouts.sized_steps_block import sized_ladder
from layouts.spreads import Way
from layouts.steps_block import Rung
from layouts.text import width_mm as text_width


@dataclass(frozen=True, kw_only=True)
class SizedPartPages(PartPages):
    """The pages of a part for sizes that stand together; `knit` is that of the first of them."""

    sizes: SizeSet
    named: bool = False
    """There are other pages of this part for other sizes."""
    opens: bool = False
    """The techniques alone, before the pages of each size."""

    @property
    def entry(self) -> Entry:
        entry = super().entry
        if self.opens:
            return Entry(f"{entry.title}: {BEFORE}", f"{entry.anchor}-{_OPENER}")
        if not self.named:
            return entry
        anchor = f"{entry.anchor}-{self.sizes.names[0]}"
        first, last = self.sizes.names[0], self.sizes.names[-1]
        for names in (self.sizes.order.text, f"{first} to {last}", first):
            title = f"{entry.title}: {names}"
            if text_width(title, self.frame.style.step) <= contents_room_mm(self.frame):
                break
        return Entry(title, anchor)

    @cached_property
    def under(self) -> Block:
        return order_block(self.sizes, width_mm=self.frame.width_mm, style=self.frame.style)

    @cached_property
    def all_rungs(self) -> list[Rung]:
        steps = self.sizes.steps_of(self.part)
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
    def charts(self) -> tuple[SizedChart, ...]:
        """The chart of each group of sizes; that of the marked size alone if one is marked."""
        groups = [self.sizes.of(group) for group in sharing(self.sizes, self.part)]
        wanted = [one for one in groups if one.marked is not None] or groups
        return tuple(SizedChart(one, self._chart_of(one)) for one in wanted)

    @cached_property
    def chart(self) -> PartChart:
        """The chart of the only group there is."""
        return self.charts[0].chart

    def _chart_of(self, sizes: SizeSet) -> PartChart:
        frame = self.frame
        height_mm = frame.height_mm
        if len(sizes.names) < len(self.sizes.names):
            height_mm -= chart_caption(sizes, frame.width_mm, frame.style).height_mm
        first, *others = sizes.knits
        return PartChart(first, self.part, frame.width_mm, height_mm, frame.style, tuple(others))

    def ways(self) -> list[Way]:
        if self.opens:
            return [self._opening_way()]
        if self.part is Part.CLOSING:
            return [self._graft_way()]
        one_chart = len(self.charts[0].sizes.names) == len(self.sizes.names)
        if one_chart or self.frame.edition.content is Content.STEPS:
            return super().ways()
        return self._with_gallery()

    @property
    def least(self) -> float:
        """Pages and what speaks against them of the way that costs least."""
        return min(way.pages + way.cost for way in self.ways())

    def _opening_way(self) -> Way:
        pages = list(filled_pages(self.extras(0.0), self.frame.height_mm))

        def make() -> tuple[Leaf, ...]:
            return tuple(
                self.leaf(page, BEFORE, first=not index) for index, page in enumerate(pages)
            )

        return Way(len(pages), make)

    def _graft_way(self) -> Way:
        """Loops onto the needles, the four moves, then boxes for the pairs of each size."""
        frame = self.frame
        graft = SizedGraft(self.sizes, frame.width_mm, frame.style)
        at = next(index for index, rung in enumerate(self.rungs) if _grafts(rung.step))
        last = max(index for index, rung in enumerate(self.rungs) if rung.step is not None)
        count = len(self.sizes.steps_of(self.part).counting)
        lead, step, ends, counting = (
            self.steps[:at],
            self.steps[at : last + 1],
            self.steps[last + 1 : -count],
            self.steps[-count:],
        )
        boxes = [Piece(block, BETWEEN_MM - 2.0) for block in self.boxes]
        moves = [*graft.needles(step), *graft.moves(), *counting]
        pieces = [*spaced(lead), *boxes, *moves, *graft.pairs(), *ends]
        pages = tight_pages(pieces, frame.height_mm)

        def make() -> tuple[Leaf, ...]:
            words = counted("", len(pages))
            return tuple(
                self.leaf(page, which, first=not index)
                for index, (page, which) in enumerate(zip(pages, words, strict=True))
            )

        return Way(len(pages), make, Side.EITHER if len(pages) % 2 else Side.LEFT)

    # Several charts

    def _with_gallery(self) -> list[Way]:
        """Ways to lay out one list of steps with several charts."""
        ways = [way for cell_mm in self._cells_mm() for way in self._gallery_ways(cell_mm)]
        if not ways:
            raise DoesNotFitError(f"the charts of the {self.part.value} need a larger page")
        return ways

    def _cells_mm(self) -> list[float]:
        style = self.frame.style
        count = round((style.best_cell_mm - style.least_cell_mm) / _CELL_STEP_MM)
        return [style.best_cell_mm - step * _CELL_STEP_MM for step in range(count + 1)]

    def _gallery_ways(self, cell_mm: float) -> Iterator[Way]:
        height_mm = self.frame.height_mm
        rows = gallery(self.charts, cell_mm)
        blocks = [_room_of(row) for row in rows]
        rooms = {id(block): row for block, row in zip(blocks, rows, strict=True)}
        charts = [Piece(block, BETWEEN_MM) for block in blocks]
        small = (
            max(0.0, min(self.frame.style.good_cell_mm, self._best_mm) - cell_mm) * _SMALL_CELL_COST
        )
        whole = [*spaced(charts), *self.steps]
        flowing = list(filled_pages(whole, height_mm))
        tried = [
            ([squeezed(whole, height_mm)], Side.EITHER),
            ([charts, squeezed(self.steps, height_mm)], Side.LEFT),
            (self._by_turns(charts), Side.LEFT),
        ]
        if len(flowing) <= _PAGES_IN_SIGHT:
            tried.append((flowing, Side.LEFT))
        for pages, start in tried:
            if all(pieces_height_mm(page) <= height_mm for page in pages):
                way = self._gallery_way(pages, rooms, start)
                alone = sum(
                    all(id(piece.block) in rooms for piece in page) for page in pages[2::2]
                ) - (len(pages) // 2 - 1)
                yield replace(way, cost=way.cost + small + max(0, alone) * _ALONE_COST)

    @property
    def _best_mm(self) -> float:
        return min(one.chart.best.cell_mm for one in self.charts)

    def _by_turns(self, charts: list[Piece]) -> list[list[Piece]]:
        """Charts on left pages, steps on right ones."""
        height_mm = self.frame.height_mm
        lefts = list(filled_pages(charts, height_mm))
        closer = [piece for page in tight_pages(self.steps, height_mm) for piece in page]
        rights = balanced_pages(closer, height_mm)
        return [page for pair in zip_longest(lefts, rights) for page in pair if page]

    def _gallery_way(
        self, pages: Sequence[Sequence[Piece]], rooms: dict[int, GalleryRow], start: Side
    ) -> Way:
        """These pages with the boxes on them where there is room, or on pages before them."""
        height_mm = self.frame.height_mm
        filled, rest = _shared_out(self.extras(0.0), pages, height_mm)
        before = list(filled_pages(rest, height_mm)) if rest else []
        if before and start is Side.LEFT and len(before) % 2:
            start = Side.RIGHT

        def make() -> tuple[Leaf, ...]:
            leaves = [self.leaf(page, BEFORE) for page in before]
            words = counted("", len(filled)) if len(filled) > 2 else [""] * len(filled)
            for page, which in zip(filled, words, strict=True):
                drawn = [
                    replace(piece, block=rooms[id(piece.block)].draw())
                    if id(piece.block) in rooms
                    else piece
                    for piece in page
                ]
                has_chart = any(id(piece.block) in rooms for piece in page)
                beside = which if has_chart else ", ".join(filter(None, ("steps", which)))
                leaves.append(self.leaf(drawn, beside))
            first, *others = leaves
            return (replace(first, entry=self.entry), *others)

        used_mm = [pieces_height_mm(page) for page in (*before, *filled)]
        cost = fill_cost(used_mm, height_mm) + AFTER_COST * len(before)
        return Way(len(before) + len(filled), make, start, cost)


def _grafts(step: Step | None) -> bool:
    return isinstance(step, MoveStep) and isinstance(step.move, Graft)


def _shared_out(
    extras: Sequence[Piece], pages: Sequence[Sequence[Piece]], height_mm: float
) -> tuple[list[list[Piece]], list[Piece]]:
    """The pages with the extras on them, in order if they can be, and those that found no room."""
    if len(pages) ** len(extras) <= _MOST_TRIED:
        for places in product(range(len(pages)), repeat=len(extras)):
            filled = [list(page) for page in pages]
            for extra, place in zip(extras, places, strict=True):
                filled[place] = [*spaced(filled[place]), extra]
            if all(pieces_height_mm(page) <= height_mm for page in filled):
                return filled, []
    filled = [list(page) for page in pages]
    return filled, share_out(list(extras), filled, height_mm)


_MOST_TRIED: Final = 300
_ALONE_COST: Final = 0.6
"""Pages that a page of charts with no steps beside it costs."""
_SMALL_CELL_COST: Final = 0.6
"""Pages that a millimetre less costs where several charts share a page."""
_CELL_STEP_MM: Final = 0.3
_PAGES_IN_SIGHT: Final = 2
"""Of an open booklet."""
_OPENER: Final = "open"


def _room_of(row: GalleryRow) -> Block:
    """The room of charts that are not drawn yet."""
    return Block((), row.width_mm, row.height_mm)
