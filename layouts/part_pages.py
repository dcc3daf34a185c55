"""The pages of one part: chart, steps, loom map and techniques, in the ways they may be laid out.

Chart and steps of the same rows lie on one page, or on two that face each other.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import zip_longest
from typing import Final, NamedTuple

from charts.loom import PegNumber
from charts.parts import Part, part_record, second_sock_title
from charts.rows import Graft
from charts.steps import Checkpoint, MoveStep, PartSteps, RepeatStep, RowStep, make_part_steps
from charts.verify import Knit
from layouts.block import Block
from layouts.blocks import (
    Piece,
    headed,
    paragraph,
    pieces_height_mm,
    side_by_side,
    space,
    squeezed,
    stacked,
)
from layouts.edition import Content
from layouts.frame import Entry, Leaf, PageFrame, Side
from layouts.grafting import HEAD_SPACE_MM, grafting_pieces, looping_pieces, pair_pieces
from layouts.grid import FittedChart
from layouts.loom_now import PARTS_WITH_MAP, small_loom_map
from layouts.page_fill import (
    BETWEEN_MM,
    balanced_pages,
    dealt_pages,
    filled_pages,
    share_out,
    spaced,
    tight_pages,
)
from layouts.part_chart import PartChart, last_rows
from layouts.spreads import Way
from layouts.steps_block import Rung, step_ladder, without_rows
from layouts.techniques import Technique, technique_boxes

SMALL_MAP_MM: Final = 40.0
"""Heights of the small loom map on an A5 page."""
TINY_MAP_MM: Final = 31.0
LARGE_MAP_MM: Final = 54.0
MAP_COSTS: Final = {LARGE_MAP_MM: 0.0, SMALL_MAP_MM: 0.02, TINY_MAP_MM: 0.06, 0.0: 0.5}
"""What a smaller loom map, or none, costs in pages."""
TINY_MAP_PEGS: Final = 64
"""A ring of more pegs is not drawn that small."""
PAIR_GAP_MM: Final = 6.0
MOST_TURNS: Final = 6
"""Pieces that a tall chart is cut into at most, each with its own page of steps."""


Openers = list[list[Piece]]
"""What stands on each page before chart and steps."""


class _Share(NamedTuple):
    """Boxes and the loom map of a part, shared out."""

    before: list[Piece]
    """On the pages before chart and steps, in the order in which they are needed."""
    kept: list[Piece]
    """Beside chart and steps."""
    late: int
    """How many of these are needed before the first row."""
    keeps_map: bool
    """Whether the loom map is one of these, and the first."""


@dataclass(frozen=True)
class PartPages:
    """Everything that the pages of one part are made of."""

    knit: Knit
    part: Part
    number: str
    frame: PageFrame
    techniques: tuple[Technique, ...]
    """Those that are first needed here."""
    again: bool = False
    """The second sock's, whose cables are mirrored."""
    hint: str = ""
    """Stands under the title of every page; the frame has room for it."""

    @property
    def title(self) -> str:
        return second_sock_title(self.part) if self.again else self.part.title

    @property
    def under(self) -> Block | None:
        """What stands under the title of every page."""
        return hint_block(self.hint, self.frame) if self.hint else None

    @property
    def entry(self) -> Entry:
        """Of the contents; it leads to the part's first page."""
        return Entry(self.title, f"{self.part.value}-2" if self.again else self.part.value)

    def ways(self) -> list[Way]:
        """Every way to lay the part out; at least one."""
        if self.part is Part.CLOSING:
            return self._closing()
        if self.frame.edition.content is not Content.FULL:
            return self._flowing()
        found: list[Way] = []
        for map_mm in self._map_heights_mm():
            against = MAP_COSTS[map_mm] if self.has_map else 0.0
            for share in self._shares(map_mm):
                ways = (*self._on_one_page(share), *self._facing(share))
                found += [replace(way, cost=way.cost + against) for way in ways]
        found = found or [*self._in_turns()] or self._split()
        fewest = min(way.pages for way in found)
        return found + [way for way in self._flowing() if way.pages < fewest]

    def _shares(self, map_mm: float) -> Iterator[_Share]:
        """Every way to share out the boxes and the loom map."""
        boxes = self.boxes
        ring = [self.loom_map(map_mm)] if self.has_map and map_mm else []
        for count in range(len(boxes) + 1):
            late = sum(one.between_rows for one, _ in self._boxes[count:])
            before, kept = boxes[:count], boxes[count:]
            yield _Share(self._in_rows([*ring, *before]), self._in_rows(kept), late, False)
            if ring:
                yield _Share(self._in_rows(before), self._in_rows([*ring, *kept]), late, True)

    def _map_heights_mm(self) -> tuple[float, ...]:
        """Sizes of the small loom map to try; 0 for none."""
        if not self.has_map:
            return (0.0,)
        return tuple(
            height_mm
            for height_mm in MAP_COSTS
            if height_mm != TINY_MAP_MM or self.knit.plan.loom.pegs <= TINY_MAP_PEGS
        )

    # What there is to set

    @cached_property
    def part_steps(self) -> PartSteps:
        return make_part_steps(self.knit, self.part)

    @cached_property
    def all_rungs(self) -> list[Rung]:
        """The ladder of the part."""
        return step_ladder(self.part_steps, width_mm=self.frame.width_mm, style=self.frame.style)

    @cached_property
    def rungs(self) -> list[Rung]:
        """What of the ladder is printed: where there are charts alone, no rows."""
        if self.frame.edition.content is Content.CHARTS and self.part is not Part.CLOSING:
            lead, tail = without_rows(self.all_rungs)
            return [*lead, *tail]
        return self.all_rungs

    @cached_property
    def steps(self) -> list[Piece]:
        return [rung.piece for rung in self.rungs]

    @cached_property
    def yarn_peg(self) -> PegNumber | None:
        return part_record(self.knit, self.part).starts.yarn_peg

    @property
    def has_map(self) -> bool:
        return self.part in PARTS_WITH_MAP and not self.again and self.yarn_peg is not None

    def loom_map(self, height_mm: float) -> Block:
        """The ring as the part begins; `height_mm` on an A5 page."""
        assert self.yarn_peg is not None
        return small_loom_map(
            self.knit.plan,
            self.part,
            self.yarn_peg,
            width_mm=self.box_width_mm,
            height_mm=height_mm * self.frame.style.growth,
            style=self.frame.style,
        )

    @property
    def boxes(self) -> list[Block]:
        """The technique boxes."""
        return [box for _, box in self._boxes]

    @cached_property
    def _boxes(self) -> list[tuple[Technique, Block]]:
        return [
            (one, box)
            for one in self.techniques
            for box in technique_boxes(
                one,
                width_mm=self.box_width_mm,
                height_mm=self.frame.height_mm,
                style=self.frame.style,
            )
        ]

    @property
    def box_width_mm(self) -> float:
        whole_mm = self.frame.width_mm
        return (whole_mm - PAIR_GAP_MM) / 2 if self.frame.is_wide else whole_mm

    def extras(self, map_mm: float) -> list[Piece]:
        """The loom map and the technique boxes; on wide paper two in a row."""
        blocks = list(self.boxes)
        if self.has_map and map_mm:
            blocks.insert(0, self.loom_map(map_mm))
        return self._in_rows(blocks)

    def _in_rows(self, blocks: Sequence[Block]) -> list[Piece]:
        """Each in a line of its own; on wide paper two in one, or all in two columns if that is
        lower."""
        if self.box_width_mm == self.frame.width_mm:
            return [Piece(block, _BETWEEN_BOXES_MM) for block in blocks]
        rows = [blocks[index : index + 2] for index in range(0, len(blocks), 2)]
        pieces = [Piece(side_by_side(row, PAIR_GAP_MM), _BETWEEN_BOXES_MM) for row in rows]
        if len(rows) > 1:
            columns = _in_columns(blocks)
            if columns.height_mm < pieces_height_mm(pieces):
                return [Piece(columns, _BETWEEN_BOXES_MM)]
        return pieces

    @cached_property
    def chart(self) -> PartChart:
        frame = self.frame
        return PartChart(
            self.knit, self.part, frame.width_mm, frame.height_mm, frame.style, piled=True
        )

    def drawn(self, chart: FittedChart) -> list[Piece]:
        """The chart's blocks."""
        return [Piece(block, BETWEEN_MM) for block in self.chart.draw(chart)]

    # Pages

    def leaf(self, pieces: Sequence[Piece], beside: str = "", *, first: bool = False) -> Leaf:
        """One page of the part."""
        return Leaf(
            self.title,
            stacked(pieces),
            beside,
            self.number,
            self.part,
            self.entry if first else None,
            under=self.under,
        )

    def _before(self, openers: Openers) -> list[Leaf]:
        """The pages before chart and steps: boxes left over, or what is done before row 1."""
        lead = {id(piece.block) for piece in self.steps[: self._lead_count]}
        names = [
            _FIRST if any(id(piece.block) in lead for piece in page) else BEFORE for page in openers
        ]
        return [
            self.leaf(
                page,
                counted(name, names.count(name))[names[:index].count(name)],
                first=not index,
            )
            for index, (page, name) in enumerate(zip(openers, names, strict=True))
        ]

    def _openers(self, lead: list[Piece], boxes: list[Piece]) -> Iterator[Openers]:
        """The pages before chart and steps: as few as there can be, and one more, so that what
        follows can lie on the side where it must.

        On several pages the boxes come first, since they tell how to do what is done first.
        """
        if not lead and not boxes:
            yield []
            return
        height_mm = self.frame.height_mm
        whole = [*spaced(lead), *boxes]
        fewest = 1
        if pieces_height_mm(whole) <= height_mm:
            yield [whole]
        pieces = [*spaced(boxes), *lead]
        if pieces_height_mm(whole) > height_mm:
            fewest = len(list(filled_pages(pieces, height_mm)))
            yield from filter(None, [dealt_pages(pieces, fewest, height_mm)])
        yield from filter(None, [dealt_pages(pieces, fewest + 1, height_mm)])

    def _on_one_page(self, share: _Share) -> Iterator[Way]:
        """Chart, steps and boxes one below the other; what is done before the first row may stand
        on the pages before, with the boxes left over."""
        for on_opener, rows in self._lead_splits():
            chart, below = self._chart_above([*spaced(rows), *share.kept])
            if chart is None:
                continue
            against = LATE_COST * (share.late * bool(on_opener) + share.keeps_map)
            for openers in self._openers(on_opener, share.before):
                for way in self._one_page_ways(chart, below, openers):
                    yield replace(way, cost=way.cost + against)

    def _one_page_ways(
        self, chart: FittedChart, below: list[Piece], openers: Openers
    ) -> Iterator[Way]:
        def make() -> tuple[Leaf, ...]:
            page = self.leaf([*self.drawn(chart), *below], first=not openers)
            return (*self._before(openers), page)

        used_mm = [chart.height_mm + pieces_height_mm(below) + BETWEEN_MM]
        cost = self._cost(chart, used_mm, openers)
        count = len(openers)
        if not count:
            yield Way(1, make, cost=cost)
            return
        # The last opener faces the chart, or the chart is overleaf.
        yield Way(count + 1, make, Side.LEFT if count % 2 else Side.RIGHT, cost)
        yield Way(count + 1, make, cost=cost + OVERLEAF_COST)

    def _lead_splits(self) -> list[tuple[list[Piece], list[Piece]]]:
        """What may stand before the chart, and the rest of the steps."""
        lead, rows = self.steps[: self._lead_count], self.steps[self._lead_count :]
        return [([], self.steps), (lead, rows)] if lead else [([], self.steps)]

    def _chart_above(self, below: list[Piece]) -> tuple[FittedChart | None, list[Piece]]:
        """The largest chart that has room above these pieces, which may move closer for it.

        A chart on its side has a page of its own.
        """
        if not self.chart.fits_page:
            return None, below
        if not below:
            return self.chart.best, below
        room_mm = self.frame.height_mm - BETWEEN_MM
        closer = squeezed(below, room_mm - self.chart.best.height_mm)
        if closer != below and not self.chart.best.turned:
            return self.chart.best, closer
        return self.chart.in_room(room_mm - pieces_height_mm(below)), below

    def _facing(self, share: _Share) -> Iterator[Way]:
        """Chart on a left page, steps on the right page beside it; boxes where there is room.

        What is done before the first row may stand below the chart, or on the pages before.
        """
        height_mm = self.frame.height_mm
        kept = share.kept
        lead, rows = self.steps[: self._lead_count], self.steps[self._lead_count :]
        splits: list[tuple[list[Piece], list[Piece], list[Piece]]] = [([], [], self.steps)]
        if lead:
            splits += [([], lead, rows), (lead, [], rows)]
        for on_opener, below_chart, beside in splits:
            # Boxes are read in the order in which they are needed: first those of the left page.
            for count in range(len(kept) + 1):
                right = squeezed([*spaced(beside), *kept[count:]], height_mm)
                if pieces_height_mm(right) > height_mm:
                    continue
                chart, left = self._chart_above([*spaced(below_chart), *kept[:count]])
                if chart is None:
                    continue
                # The map is the first of what is kept.
                below_steps = share.keeps_map and not count
                against = LATE_COST * (share.late * bool(on_opener) + below_steps)
                for openers in self._openers(on_opener, share.before):
                    way = self._facing_way(chart, left, right, openers)
                    yield replace(way, cost=way.cost + against)

    def _facing_way(
        self, chart: FittedChart, left: list[Piece], right: list[Piece], openers: Openers
    ) -> Way:
        def make() -> tuple[Leaf, ...]:
            return (
                *self._before(openers),
                self.leaf([*self.drawn(chart), *left], first=not openers),
                self.leaf(right, "steps"),
            )

        left_mm = chart.height_mm + pieces_height_mm(left) + BETWEEN_MM * bool(left)
        cost = self._cost(chart, [left_mm, pieces_height_mm(right)], openers)
        cost += APART_COST + OVERLEAF_COST * bool(openers)
        start = Side.RIGHT if len(openers) % 2 else Side.LEFT
        return Way(2 + len(openers), make, start, cost)

    @property
    def _lead_count(self) -> int:
        """How many lines of the ladder come before the first row: moves and what follows them."""
        if not isinstance(self.part_steps.steps[0], MoveStep):
            return 0
        for index, rung in enumerate(self.rungs):
            if isinstance(rung.step, Checkpoint):
                return index + 1
        return 0

    def _flowing(self) -> list[Way]:
        """Boxes, chart and steps one after the other over as many pages as they need, the chart
        where it leaves least room empty; the best such way from each side on to each side."""
        best: dict[tuple[Side, int], Way] = {}
        # There are pages enough for the loom map.
        for map_mm in filter(None, self._map_heights_mm()) if self.has_map else (0.0,):
            extras = self.extras(map_mm)
            against = MAP_COSTS[map_mm] if self.has_map else 0.0
            for chart in self._sizes_of_chart():
                for place in range(len(extras) + 1):
                    for way in self._flow(extras[:place], chart, extras[place:], against):
                        sides = (way.start, way.pages % 2)
                        known = best.get(sides)
                        if known is None or way.pages + way.cost < known.pages + known.cost:
                            best[sides] = way
        return list(best.values())

    def _sizes_of_chart(self) -> Sequence[FittedChart | None]:
        """Large, and so small that more goes beside it."""
        if self.frame.edition.content is Content.STEPS:
            return [None]
        good_mm = self.frame.style.good_cell_mm
        sizes = [self.chart.best, self.chart.at_size(good_mm), self.chart.at_size(0.85 * good_mm)]
        return [size for index, size in enumerate(sizes) if size not in sizes[:index]]

    def _flow(
        self, first: list[Piece], chart: FittedChart | None, then: list[Piece], against: float
    ) -> Iterator[Way]:
        """These boxes, the chart, more boxes and the steps; from either side on."""
        height_mm = self.frame.height_mm
        rooms = self._rooms_of(chart)
        charts = [Piece(room, BETWEEN_MM) for room in rooms]
        rows = {id(rung.piece.block) for rung in self.rungs if rung.is_row}
        lead: list[Piece] = []
        rest = self.steps
        if not rows:
            # What is done before the first row stands before the chart.
            lead, rest = ([rung.piece for rung in some] for some in without_rows(self.all_rungs))
            # A chart on its side goes on the next page.
            lead[-1:] = [replace(one, with_next=False) for one in lead[-1:]]
        flowing = [*charts, *spaced(then), *rest]
        yield from self._flow_ways(
            tight_pages([*spaced(first), *spaced(lead), *flowing], height_mm), chart, rooms, against
        )
        if first:
            # Boxes on pages of their own.
            pages = tight_pages([*spaced(lead), *flowing], height_mm)
            for openers in self._openers([], first):
                yield from self._flow_ways([*openers, *pages], chart, rooms, against)

    def _flow_ways(
        self,
        pages: list[list[Piece]],
        chart: FittedChart | None,
        rooms: list[Block],
        against: float,
    ) -> Iterator[Way]:
        """These pages, from either side on."""
        height_mm = self.frame.height_mm
        rows = {id(rung.piece.block) for rung in self.rungs if rung.is_row}

        def make() -> tuple[Leaf, ...]:
            blocks = self.chart.draw(chart) if chart is not None else ()
            drawn = {id(room): block for room, block in zip(rooms, blocks, strict=True)}
            words = counted("", len(pages))
            return tuple(
                self.leaf(
                    [replace(one, block=drawn.get(id(one.block), one.block)) for one in page],
                    which,
                    first=not index,
                )
                for index, (page, which) in enumerate(zip(pages, words, strict=True))
            )

        pages_mm = [pieces_height_mm(page) for page in pages]
        cost = against + fill_cost(pages_mm, height_mm)
        if chart is not None:
            cost += self._small_cost(chart)
        blocks = [[piece.block for piece in page] for page in pages]
        chart_pages = [
            index
            for index, page in enumerate(blocks)
            if any(one is room for one in page for room in rooms)
        ]
        row_pages = [
            index for index, page in enumerate(blocks) if any(id(one) in rows for one in page)
        ]
        for start in (Side.LEFT, Side.RIGHT):
            if row_pages and chart_pages and _overleaf(chart_pages[-1], row_pages[0], start):
                continue
            apart = sum(
                max((_apart_cost(one, page, start) for one in chart_pages), default=0.0)
                for page in row_pages
            )
            yield Way(len(pages), make, start, cost + apart)

    def _rooms_of(self, chart: FittedChart | None) -> list[Block]:
        """The room of each of its blocks; one on its side has a page of its own."""
        if chart is None:
            return []
        if chart.piled:
            return [_room_of(chart.height_mm)]
        if chart.turned:
            return [_room_of(self.frame.height_mm) for _ in chart.geometries]
        return [_room_of(one.height_mm) for one in chart.geometries]

    def _in_turns(self) -> Iterator[Way]:
        """A tall chart in pieces on left pages, each facing the steps of its rows."""
        height_mm = self.frame.height_mm
        for count in range(2, MOST_TURNS + 1):
            chart = self.chart.in_pieces(count)
            if chart is None:
                continue
            chunks = [squeezed(headed(chunk), height_mm) for chunk in self._chunks(chart)]
            if len(chunks) != count or any(pieces_height_mm(one) > height_mm for one in chunks):
                continue
            rooms = [Piece(_room_of(one.height_mm), BETWEEN_MM) for one in chart.geometries]
            pages = [page for pair in zip(rooms, chunks, strict=True) for page in _pages(*pair)]
            for openers in self._openers([], self.extras(SMALL_MAP_MM)):
                if openers:
                    yield self._turns_way(chart, pages[::2], pages[1::2], openers)
            if self._place_extras(pages):
                yield self._turns_way(chart, pages[::2], pages[1::2], [])
                return

    def _place_extras(self, pages: list[list[Piece]]) -> bool:
        """Put loom map and boxes on the first two pages, or without the map on any; in place."""
        height_mm = self.frame.height_mm
        for map_mm in self._map_heights_mm():
            extras = self.extras(map_mm)
            first = [list(page) for page in pages[:2]]
            if not share_out(extras, first, height_mm):
                pages[:2] = first
                return True
        return not share_out(self.extras(0.0), pages, height_mm)

    def _turns_way(
        self,
        chart: FittedChart,
        lefts: list[list[Piece]],
        chunks: list[list[Piece]],
        openers: Openers,
    ) -> Way:
        def make() -> tuple[Leaf, ...]:
            leaves = self._before(openers)
            words = counted("", len(chunks))
            for block, left, right, which in zip(
                self.drawn(chart), lefts, chunks, words, strict=True
            ):
                leaves.append(self.leaf([block, *left[1:]], which, first=not leaves))
                leaves.append(self.leaf(right, f"steps, {which}"))
            return tuple(leaves)

        used_mm = [pieces_height_mm(page) for page in (*lefts, *chunks)]
        cost = self._cost(chart, used_mm, openers)
        start = Side.RIGHT if len(openers) % 2 else Side.LEFT
        return Way(len(openers) + 2 * len(chunks), make, start, cost)

    def _chunks(self, chart: FittedChart) -> list[list[Piece]]:
        """The ladder cut where the chart is."""
        ends = list(last_rows(chart))
        chunks: list[list[Piece]] = [[]]
        for rung, after in zip_longest(self.rungs, self.rungs[1:]):
            chunks[-1].append(rung.piece)
            step = rung.step
            if isinstance(step, RowStep | RepeatStep):
                ends_here = len(chunks) <= len(ends) and ends[len(chunks) - 1] == (
                    step.section,
                    step.last,
                )
                goes_on = after is not None and after.step is step
                if ends_here and len(chunks) < len(ends) and not goes_on:
                    chunks.append([])
        return chunks

    def _split(self) -> list[Way]:
        """What fits no better way: pieces of the chart on left pages, steps on the right ones; the
        boxes, with what is done before the first row, on a page before them or after them.

        Raises DoesNotFitError if no piece of the chart fits a page.
        """
        lead, rows = self.steps[: self._lead_count], self.steps[self._lead_count :]
        sizes_mm = [size for size in self._map_heights_mm() if size != LARGE_MAP_MM]
        ways = []
        for size in sizes_mm:
            against = MAP_COSTS[size] * self.has_map
            extras = self.extras(size)
            behind = list(filled_pages(extras, self.frame.height_mm))
            found = [self._split_way([], self.steps, behind)]
            found += [
                self._split_way(openers, rows, [])
                for openers in self._openers(lead, extras)
                if openers
            ]
            ways += [replace(way, cost=way.cost + against) for way in found]
        return ways

    def _split_way(self, openers: Openers, steps: list[Piece], behind: list[list[Piece]]) -> Way:
        step_pages = balanced_pages(steps, self.frame.height_mm)
        chart_pages = self.chart.best.block_count

        def make() -> tuple[Leaf, ...]:
            before = self._before(openers)
            after = [
                self.leaf(page, words)
                for page, words in zip(behind, counted(BEFORE, len(behind)), strict=True)
            ]
            charts = [
                self.leaf([Piece(block)], words)
                for block, words in zip(
                    self.chart.draw(self.chart.best), counted("", chart_pages), strict=True
                )
            ]
            words = counted("steps", len(step_pages))
            told = [self.leaf(page, which) for page, which in zip(step_pages, words, strict=True)]
            by_turns = [leaf for pair in zip_longest(charts, told) for leaf in pair if leaf]
            leaves = [*before, *by_turns, *after]
            return tuple(
                replace(leaf, entry=None if index else self.entry)
                for index, leaf in enumerate(leaves)
            )

        start = Side.RIGHT if len(openers) % 2 else Side.LEFT
        pages = len(openers) + chart_pages + len(step_pages) + len(behind)
        return Way(pages, make, start, BEHIND_COST * len(behind))

    def _closing(self) -> list[Way]:
        """Loops onto the needles on one page, the graft itself on the page beside it."""
        frame = self.frame
        plan, style, width_mm = self.knit.plan, frame.style, frame.width_mm
        (graft,) = (
            event for event in self.knit.rows.of(*self.part.sections) if isinstance(event, Graft)
        )
        at = next(
            index
            for index, rung in enumerate(self.rungs)
            if isinstance(rung.step, MoveStep) and rung.step.move is graft
        )
        moves, ends = self.steps[:at], self.steps[at + 1 :]
        how = grafting_pieces(
            plan, graft, width_mm=width_mm, style=style, step=self.steps[at : at + 1]
        )
        boxes = [Piece(block, BETWEEN_MM - 2.0) for block in self.boxes]
        grafting = [
            *looping_pieces(plan, graft, width_mm=width_mm, style=style),
            *pair_pieces(graft, width_mm=width_mm, style=style),
            *ends,
        ]
        whole = [*spaced(moves), *boxes, *how, space(HEAD_SPACE_MM), *grafting]
        pages = tight_pages(whole, frame.height_mm)

        def make() -> tuple[Leaf, ...]:
            first, *others = pages
            words = counted("the graft", len(others))
            return (
                self.leaf(first, first=True),
                *(self.leaf(page, which) for page, which in zip(others, words, strict=True)),
            )

        if len(pages) % 2:
            return [Way(len(pages), make)]
        return [Way(len(pages), make, Side.LEFT), Way(len(pages), make, cost=OVERLEAF_COST)]

    def _cost(self, chart: FittedChart, used_mm: Sequence[float], before: Openers) -> float:
        """What speaks against a way, in pages: cells smaller than they could be, empty pages."""
        before_mm = [pieces_height_mm(page) for page in before]
        pages_mm = [*used_mm, *before_mm]
        if len(before) > 1 and sum(before_mm) <= self.frame.height_mm:
            # They would go on one page: the other is as good as empty.
            pages_mm.append(0.0)
        return self._small_cost(chart) + fill_cost(pages_mm, self.frame.height_mm)

    def _small_cost(self, chart: FittedChart) -> float:
        best_mm = min(self.chart.best.cell_mm, self.frame.style.good_cell_mm)
        return max(0.0, best_mm - chart.cell_mm) * SMALL_CELL_COST + TURNED_COST * chart.turned


def _apart_cost(chart_page: int, page: int, start: Side) -> float:
    """What it costs if the rows of a page are worked from a chart on another one, or overleaf."""
    if page == chart_page:
        return 0.0
    return APART_COST + OVERLEAF_COST * _overleaf(chart_page, page, start)


def _overleaf(page: int, other: int, start: Side) -> bool:
    """Whether two pages do not lie open side by side if the first of all lies on that side."""
    before = int(start is Side.RIGHT)
    return (page + before) // 2 != (other + before) // 2


def _in_columns(blocks: Sequence[Block]) -> Block:
    """Two columns, read one after the other, the taller as low as it can be."""
    stacks = [
        [stacked([Piece(block, _BETWEEN_BOXES_MM) for block in part]) for part in parts if part]
        for parts in ((blocks[:count], blocks[count:]) for count in range(1, len(blocks) + 1))
    ]
    columns = (side_by_side(stack, PAIR_GAP_MM) for stack in stacks)
    return min(columns, key=lambda block: block.height_mm)


_BETWEEN_BOXES_MM: Final = BETWEEN_MM - 2.0


def hint_block(words: str, frame: PageFrame) -> Block:
    """A line under the titles of pages, with the room below it."""
    placed = paragraph(words, frame.style.body, frame.width_mm)
    return Block(placed.block.items, frame.width_mm, placed.block.height_mm + 2.0)


def fill_cost(pages_mm: Sequence[float], height_mm: float) -> float:
    """What empty room and crowded pages cost, in pages; `pages_mm` is what is used of each."""
    shares = [page_mm / height_mm for page_mm in pages_mm]
    empty = sum(max(0.0, 1 - share) ** 2 * EMPTY_COST for share in shares)
    return empty + sum(share > CROWDED for share in shares) * CROWDED_COST


BEFORE: Final = "how to"
_FIRST: Final = "before row 1"
SMALL_CELL_COST: Final = 0.9
"""Pages that a millimetre less costs."""
AFTER_COST: Final = 0.4
"""Pages that a page of boxes apart from the rows that need them costs."""
BEHIND_COST: Final = 4.0
"""The same if it comes after them."""
APART_COST: Final = 0.25
"""Pages that it costs if the eye goes to and fro between chart and steps on two pages."""
LATE_COST: Final = 0.25
"""Pages that a box costs which stands after the move that it explains."""
OVERLEAF_COST: Final = 0.3
"""Pages that it costs to turn a leaf between boxes, or what is done first, and chart."""
TURNED_COST: Final = 0.3
"""Pages that a chart on its side costs: the reader turns the booklet."""
CROWDED: Final = 0.955
"""The share of a page from which on it looks crowded."""
CROWDED_COST: Final = 0.08
EMPTY_COST: Final = 0.9
"""Pages that an empty page costs; half an empty one costs a quarter of it."""


def _pages(room: Piece, steps: list[Piece]) -> tuple[list[Piece], list[Piece]]:
    """A left page with room for its chart, and the right page beside it."""
    return [room], list(steps)


def _room_of(height_mm: float) -> Block:
    """The room of a chart that is not drawn yet."""
    return Block((), 0.0, height_mm)


def counted(words: str, count: int) -> list[str]:
    """The words for each of so many pages.

    >>> counted("steps", 2)
    ['steps, 1 of 2', 'steps, 2 of 2']
    """
    if count == 1:
        return [words]
    lead = f"{words}, " if words else ""
    return [f"{lead}{index} of {count}" for index in range(1, count + 1)]
