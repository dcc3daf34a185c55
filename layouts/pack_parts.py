"""The parts of a sock on as few pages as can be read: heading, chart, steps in columns.

Parts share a page where all their charts keep cells of a good size.  A part that is too large for a
page of its own is laid out as in the booklet.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, partial
from typing import Final, NamedTuple

from charts.parts import Part, part_record
from charts.pattern_file import write_pattern
from charts.plan import Plan
from charts.steps import make_part_steps
from charts.verify import Knit
from layouts.block import Block, DoesNotFitError
from layouts.blocks import Piece, pieces_height_mm, stacked
from layouts.faces import Face
from layouts.frame import Leaf, PageFrame
from layouts.paper import MM_PER_PT
from layouts.part_chart import PartChart
from layouts.part_pages import PartPages
from layouts.scene import Group, Item, Role
from layouts.sock_outline import sock_signpost
from layouts.step_columns import Stack, column_width_mm, columns_of, dealt, in_columns
from layouts.steps_block import Rung, step_ladder
from layouts.style import PageStyle
from layouts.text import NO_BREAK_SPACE, Run, Style, set_line

LEAST_COLUMN_EMS: Final = 16.5
"""Steps stand in two columns where both are at least this wide, in ems of the steps."""
GAP_MM: Final = 8.0
"""Between two parts on a page at least."""
MOST_GAP_MM: Final = 14.0
_MUCH: Final = 0.85
"""Rows are followed more easily in one column, so two must be lower than this share of it."""
_AFTER_HEAD_MM: Final = 2.0
_AFTER_CHART_MM: Final = 4.0
_SIGNPOST_MM: Final = (14.0, 11.0)
_SMALL_CELL_COST: Final = 0.5
"""Pages that a millimetre less costs."""
_CELL_STEP_MM: Final = 0.3


RUNNING_HEAD_MM: Final = 9.0
"""From the top margin to the body of every page but the first."""


@dataclass(frozen=True, slots=True)
class PackRoom:
    """The room of a pack's pages."""

    frame: PageFrame

    @property
    def plan(self) -> Plan:
        return self.frame.plan

    @property
    def style(self) -> PageStyle:
        return self.frame.style

    @property
    def width_mm(self) -> float:
        return self.frame.width_mm

    @property
    def height_mm(self) -> float:
        """Below the running head."""
        return self.frame.whole_height_mm - RUNNING_HEAD_MM

    @property
    def head(self) -> Style:
        """Of a part."""
        size_pt = (self.style.title.size_pt + self.style.sub_head.size_pt) / 2
        return Style(size_pt, size_pt * 1.25, Face.BOLD)

    @property
    def part_head_mm(self) -> float:
        """Height of a part's heading and the room below it."""
        return max(self.head.leading_mm, _SIGNPOST_MM[1]) + _AFTER_HEAD_MM


class Fixed(NamedTuple):
    """Something of one size that goes before or between the parts."""

    title: str
    block: Block


class PackPage(NamedTuple):
    """The body of a page."""

    titles: tuple[str, ...]
    """Of what begins on it."""
    body: Block


@dataclass(frozen=True)
class PartLayout:
    """What the pages of one part are made of but for headings: it serves all socks in which the
    part is the same, however long their legs and feet are."""

    knit: Knit
    part: Part
    number: str
    room: PackRoom
    again: bool

    @cached_property
    def chart(self) -> PartChart:
        room = self.room
        return PartChart(self.knit, self.part, room.width_mm, room.height_mm, room.style)

    @cached_property
    def steps(self) -> Block | None:
        """The steps in one column, or in two if that is much lower; None if they are higher than a
        page."""
        room = self.room
        part_steps = make_part_steps(self.knit, self.part)
        least_mm = LEAST_COLUMN_EMS * room.style.step.size_pt * MM_PER_PT
        best: Block | None = None
        for columns in range(1, columns_of(room.width_mm, least_mm) + 1):
            column_mm = column_width_mm(room.width_mm, columns)
            rungs = step_ladder(part_steps, width_mm=column_mm, style=room.style)
            stacks = _dealt_low(rungs, columns, room.height_mm)
            if stacks is None:
                continue
            block = in_columns(stacks, room.width_mm)
            if best is None or block.height_mm < _MUCH * best.height_mm:
                best = block
        return best

    @cached_property
    def is_compact(self) -> bool:
        """Whether its chart lies upright on a page and has room there with its steps."""
        if self.part is Part.CLOSING or self.steps is None:
            return False
        if not self.chart.fits_page or self.chart.best.turned:
            return False
        return self.high_mm(self.room.style.least_cell_mm) <= self.room.height_mm

    def high_mm(self, cell_mm: float) -> float:
        """Height under a heading, and with it, with cells of at most that size."""
        assert self.steps is not None
        if cell_mm not in self._chart_mm:
            self._chart_mm[cell_mm] = self.chart.at_size(cell_mm).height_mm
        chart_mm = self._chart_mm[cell_mm] + _AFTER_CHART_MM
        return self.room.part_head_mm + chart_mm + self.steps.height_mm

    def body(self, cell_mm: float) -> Block:
        """Chart and steps, one below the other."""
        assert self.steps is not None
        if cell_mm not in self._drawn:
            (chart,) = self.chart.draw(self.chart.at_size(cell_mm))
            self._drawn[cell_mm] = stacked([Piece(chart, _AFTER_CHART_MM), Piece(self.steps)])
        return self._drawn[cell_mm]

    @cached_property
    def own_leaves(self) -> tuple[Leaf, ...]:
        """Pages of its own: as the booklet has it, without the boxes that explain how."""
        room = self.room
        over_mm = room.frame.height_mm - room.height_mm + room.part_head_mm
        frame = replace(room.frame, under_mm=room.frame.under_mm + over_mm)
        pages = PartPages(self.knit, self.part, self.number, frame, (), again=self.again)
        return min(pages.ways(), key=lambda one: one.pages + one.cost).make()

    @cached_property
    def _chart_mm(self) -> dict[float, float]:
        """Heights of the chart by the size of its cells, as far as they were asked for."""
        return {}

    @cached_property
    def _drawn(self) -> dict[float, Block]:
        """The same of what was drawn."""
        return {}


def part_key(knit: Knit, part: Part) -> Hashable:
    """Equal for parts whose chart and steps are the same: what happens in the part, what is said of
    it, and all that was asked for but the rows of cuff, leg and foot, which its own rows tell."""
    spec = knit.plan.spec
    rowless = replace(
        spec,
        cuff=replace(spec.cuff, rows=0),
        leg=replace(spec.leg, rows=0),
        foot=replace(spec.foot, rows=0),
    )
    return (part, write_pattern(rowless), part_record(knit, part), make_part_steps(knit, part))


@dataclass(frozen=True)
class PackPart:
    """One part of a sock, to be put on a page."""

    layout: PartLayout
    room: PackRoom
    """Of the sock, which the small socks beside headings are drawn to."""

    @property
    def part(self) -> Part:
        return self.layout.part

    @property
    def title(self) -> str:
        title = self.part.title
        return f"Second sock: {title.lower()}" if self.layout.again else title

    def heading(self, beside: str = "") -> Piece:
        """Number and title, and at the right the small sock with the part filled in."""
        look, style, width_mm = self.room.head, self.room.style, self.room.width_mm
        signpost = sock_signpost(
            self.room.plan, self.part, width_mm=_SIGNPOST_MM[0], height_mm=_SIGNPOST_MM[1]
        )
        high_mm = self.room.part_head_mm - _AFTER_HEAD_MM
        number = Run(self.layout.number + 2 * NO_BREAK_SPACE, ink=style.soft_ink)
        runs = [number, Run(self.title)]
        if beside:
            runs.append(Run(2 * NO_BREAK_SPACE + beside, Face.REGULAR, style.soft_ink))
        base_mm = high_mm - look.leading_mm + look.baseline_mm
        left_mm = width_mm - signpost.width_mm
        items: tuple[Item, ...] = (
            Group(set_line(runs, 0.0, base_mm, look), role=Role.H2),
            Group(signpost.items, left_mm, high_mm - signpost.height_mm, role=Role.ARTIFACT),
        )
        return Piece(Block(items, width_mm, high_mm), _AFTER_HEAD_MM, with_next=True)

    def drawn(self, cell_mm: float) -> Block:
        """Heading, chart and steps, with cells of at most that size."""
        return stacked([self.heading(), Piece(self.layout.body(cell_mm))])

    def own_pages(self) -> list[Block]:
        """On pages of its own."""
        return [
            stacked([self.heading(leaf.beside), Piece(leaf.body)])
            for leaf in self.layout.own_leaves
        ]


def _dealt_low(rungs: Sequence[Rung], columns: int, most_mm: float) -> list[Stack] | None:
    """The steps in so many columns that are as low as can be."""
    height_mm = pieces_height_mm([rung.piece for rung in rungs]) / columns
    while height_mm < most_mm:
        stacks = dealt(rungs, columns, height_mm)
        if stacks is not None:
            return stacks
        height_mm += _LOWER_MM
    return dealt(rungs, columns, most_mm)


_LOWER_MM: Final = 3.0


Unit = PackPart | Fixed


def pack_pages(units: Sequence[Unit], room: PackRoom) -> list[PackPage]:
    """The units in order on as few pages as can be read, the cells of their charts as large as
    that allows.

    Raises DoesNotFitError if a block is higher than a page, or a chart does not go on one.
    """
    pages: list[list[PackPage]] = [[]]
    cost = [0.0]
    for end in range(1, len(units) + 1):
        tried = [
            (cost[start] + group.cost, start, group)
            for start in range(end)
            if (group := _group(units[start:end], room)) is not None
        ]
        if not tried:
            one = units[end - 1]
            assert isinstance(one, Fixed)
            raise DoesNotFitError(
                f"{one.block.height_mm:.0f} mm in one piece; a page has {room.height_mm:.0f} mm"
            )
        total, start, group = min(tried, key=lambda one: one[0])
        cost.append(total)
        pages.append([*pages[start], *group.make()])
    return pages[-1]


class _Group(NamedTuple):
    """Units that share a page, or one that has pages of its own."""

    cost: float
    """In pages."""
    make: Callable[[], list[PackPage]]


def _group(units: Sequence[Unit], room: PackRoom) -> _Group | None:
    """The units on one page; those after a part with pages of its own below its last."""
    first, *others = units
    if isinstance(first, PackPart) and not first.layout.is_compact:
        return _below_own_pages(first, others, room)
    if any(isinstance(one, PackPart) and not one.layout.is_compact for one in others):
        return None
    sizes_mm = _cell_sizes_mm(room.style)
    # Heights grow with the cells, so halving finds the largest that fit.
    fitting = bisect_right(sizes_mm, room.height_mm, key=lambda cell_mm: _height_mm(units, cell_mm))
    if not fitting:
        return None
    cell_mm = sizes_mm[fitting - 1]
    cost = 1 + max(0.0, room.style.good_cell_mm - cell_mm) * _SMALL_CELL_COST
    return _Group(cost, partial(_shared_page, units, cell_mm, room))


def _cell_sizes_mm(style: PageStyle) -> list[float]:
    """Sizes of cells to try, the smallest first."""
    steps = round((style.most_cell_mm - style.least_cell_mm) / _CELL_STEP_MM)
    return [style.least_cell_mm + step * _CELL_STEP_MM for step in range(steps + 1)]


def _below_own_pages(first: PackPart, others: Sequence[Unit], room: PackRoom) -> _Group | None:
    blocks = [one.block for one in others if isinstance(one, Fixed)]
    *before, last = first.own_pages()
    high_mm = sum(one.height_mm for one in (last, *blocks)) + GAP_MM * len(blocks)
    if len(blocks) < len(others) or (blocks and high_mm > room.height_mm):
        return None

    def make() -> list[PackPage]:
        bodies = [*before, _spread([last, *blocks], room)]
        titles: list[tuple[str, ...]] = [(first.title,), *((),) * len(before)]
        titles[-1] += tuple(one.title for one in others)
        return [PackPage(*page) for page in zip(titles, bodies, strict=True)]

    return _Group(1.0 + len(before), make)


def _height_mm(units: Sequence[Unit], cell_mm: float) -> float:
    """Of the units with the least room between them."""
    heights = [
        one.block.height_mm if isinstance(one, Fixed) else one.layout.high_mm(cell_mm)
        for one in units
    ]
    return sum(heights) + GAP_MM * (len(units) - 1)


def _shared_page(units: Sequence[Unit], cell_mm: float, room: PackRoom) -> list[PackPage]:
    blocks = [one.block if isinstance(one, Fixed) else one.drawn(cell_mm) for one in units]
    return [PackPage(tuple(one.title for one in units), _spread(blocks, room))]


def _spread(blocks: Sequence[Block], room: PackRoom) -> Block:
    """The blocks with some of the room that is left between them."""
    left_mm = room.height_mm - sum(block.height_mm for block in blocks)
    gap_mm = min(left_mm / max(1, len(blocks) - 1), MOST_GAP_MM)
    return stacked([Piece(block, gap_mm) for block in blocks])
