"""The rings of a pattern in several sizes: a small map for each, one table of their zones."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from layouts.block import Block
from layouts.blocks import Piece, paragraph, side_by_side, stacked
from layouts.frame import Entry, Leaf, PageFrame
from layouts.front_matter import ZONE_USES
from layouts.loom_map import first_peg_sample, loom_map, marker_sample, pattern_swatch
from layouts.loom_ring import loom_zones, marker_places, zone_pegs
from layouts.page_fill import filled_pages
from layouts.scene import Group, Item, Role, line
from layouts.size_order import SizeSet
from layouts.sized_gallery import chart_caption
from layouts.spreads import Way
from layouts.style import PageStyle
from layouts.text import Run, bold, break_lines, set_lines

_LEAST_RING_MM: Final = 54.0
_MOST_RING_MM: Final = 110.0
_RING_STEP_MM: Final = 4.0
_PER_PEG_MM: Final = 1.5
_SEAT_MM: Final = 20.0
"""Below the ring for the knitter's place, and above it for the names of its sizes."""
_BETWEEN_MM: Final = 5.0
_LEAST_COLUMN_MM: Final = 25.0
_NAME_MM: Final = 27.0
"""Swatch and name of a zone; sizes on an A5 page, as those above but the step."""


def map_groups(sizes: SizeSet) -> tuple[SizeSet, ...]:
    """The sizes in sets with one ring each; that of the marked size alone if one is marked."""
    groups: dict[object, list[int]] = {}
    for index, plan in enumerate(sizes.plans):
        groups.setdefault((plan.loom, plan.shift, loom_zones(plan)), []).append(index)
    sets = tuple(sizes.of(group) for group in groups.values())
    return tuple(one for one in sets if one.marked is not None) or sets


def sized_maps_way(sizes: SizeSet, frame: PageFrame) -> Way:
    """A ring for each set of sizes, and below them what the zones are and where they lie."""
    groups = map_groups(sizes)
    title = "Loom maps" if len(groups) > 1 else "Loom map"
    tried = [list(_pages(groups, ring_mm, frame)) for ring_mm in _rings_mm(groups, frame)]
    pages = min(tried, key=lambda pages: (len(pages), sum(map(_has_map, pages))))

    def make() -> tuple[Leaf, ...]:
        return tuple(
            Leaf(
                title,
                stacked(page),
                "continued" if index else "",
                entry=None if index else Entry(title, "loom"),
            )
            for index, page in enumerate(pages)
        )

    return Way(len(pages), make)


def _rings_mm(groups: Sequence[SizeSet], frame: PageFrame) -> list[float]:
    """Widths of a ring to try, the largest first."""
    growth = frame.style.growth
    least_mm = min(_least_ring_mm(groups) * growth, frame.width_mm)
    most_mm = min(_MOST_RING_MM * growth, frame.width_mm, frame.height_mm - _SEAT_MM * growth)
    count = int((most_mm - least_mm) / _RING_STEP_MM)
    return [most_mm - step * _RING_STEP_MM for step in range(count + 1)] or [most_mm]


def _least_ring_mm(groups: Sequence[SizeSet]) -> float:
    """Where the numbers of the ring with most pegs can be read."""
    return max(_LEAST_RING_MM, max(one.plans[0].loom.pegs for one in groups) * _PER_PEG_MM)


def _pages(groups: Sequence[SizeSet], ring_mm: float, frame: PageFrame) -> Iterator[list[Piece]]:
    """The maps with rings of that width, as many in a row as there is room for, then the table."""
    style, width_mm = frame.style, frame.width_mm
    across = max(1, int((width_mm + _BETWEEN_MM) / (ring_mm + _BETWEEN_MM)))
    pieces: list[Piece] = []
    for start in range(0, len(groups), across):
        blocks = [_labelled(one, ring_mm, style) for one in groups[start : start + across]]
        pieces.append(Piece(side_by_side(blocks, _BETWEEN_MM), _BETWEEN_MM))
    yield from filled_pages([*pieces, *zone_table(groups, width_mm, style)], frame.height_mm)


def _has_map(page: Sequence[Piece]) -> bool:
    return any(piece.block.height_mm > _LEAST_RING_MM for piece in page)


def _labelled(sizes: SizeSet, ring_mm: float, style: PageStyle) -> Block:
    caption = chart_caption(sizes, ring_mm, style)
    ring = loom_map(
        sizes.plans[0], width_mm=ring_mm, height_mm=ring_mm + 8.0 * style.growth, style=style
    )
    return stacked([Piece(caption.block, 2.0), Piece(ring)])


# --- Zones -----------------------------------------------------------------------------------


def zone_table(groups: Sequence[SizeSet], width_mm: float, style: PageStyle) -> list[Piece]:
    """Each zone with its fill and use, and its pegs on every ring; a table for as many rings as
    there is room for columns."""
    growth = style.growth
    across = max(1, int((width_mm - _NAME_MM * growth) / (_LEAST_COLUMN_MM * growth)))
    pieces: list[Piece] = []
    for start in range(0, len(groups), across):
        table = _ZoneTable(groups[start : start + across], width_mm, style)
        pieces += table.rows()
    return [*pieces, *_direction(groups, width_mm, style)]


def _direction(groups: Sequence[SizeSet], width_mm: float, style: PageStyle) -> list[Piece]:
    ways = dict.fromkeys(plan.loom.working.value for one in groups for plan in one.plans)
    words = " or ".join(ways)
    text = (
        f"The rings are seen from above; you sit at the foot. The first round runs {words} as you "
        "face the pegs."
    )
    return [paragraph(text, style.body, width_mm)]


@dataclass(frozen=True)
class _ZoneTable:
    """Columns of rings, rows of zones."""

    groups: Sequence[SizeSet]
    width_mm: float
    style: PageStyle

    @property
    def column_mm(self) -> float:
        return (self.width_mm - self._name_mm) / len(self.groups)

    @property
    def _name_mm(self) -> float:
        return _NAME_MM * self.style.growth

    def rows(self) -> list[Piece]:
        plans = [one.plans[0] for one in self.groups]
        names = [one.order.text for one in self.groups]
        found = [self._row(None, "Pegs of", names, head=True)]
        growth = self.style.growth
        for name, use in ZONE_USES.items():
            zones = [[zone for zone in loom_zones(plan) if zone.name == name] for plan in plans]
            swatch = pattern_swatch(
                zones[0][0].pattern,
                width_mm=7.0 * growth,
                height_mm=3.2 * growth,
                tint=self.style.zone_tint(name),
            )
            pegs = [zone_pegs(plan, zone) for plan, zone in zip(plans, zones, strict=True)]
            found.append(self._row(swatch, name, pegs, use=use))
        sample = marker_sample(width_mm=7.0, height_mm=3.2).grown(growth)
        markers = [", ".join(str(plan.peg(at)) for at in marker_places(plan)) for plan in plans]
        use = "a band or a dot on these pegs; with a black dot: the round’s start"
        found.append(self._row(sample, "markers", markers, use=use))
        starts = [str(plan.peg(1)) for plan in plans]
        sample = first_peg_sample(width_mm=7.0, height_mm=3.2).grown(growth)
        use = "from the leg on; the cast-on and the cuff’s rounds start at peg 1, which is black"
        found.append(self._row(sample, "start", starts, use=use, last=True))
        return found

    def _row(
        self,
        swatch: Block | None,
        name: str,
        cells: Sequence[str],
        *,
        use: str = "",
        head: bool = False,
        last: bool = False,
    ) -> Piece:
        """One row; the table stays on one page."""
        look, note = self.style.body, self.style.note
        items: list[Item] = []
        high_mm = look.leading_mm
        top_mm = 0.8
        if swatch is not None:
            items.append(swatch.placed(0.0, top_mm + 0.6))
        name_mm = self._name_mm
        left_mm = 9.0 * self.style.growth if swatch is not None else 0.0
        label = break_lines((bold(name[:1].upper() + name[1:]),), look, name_mm - left_mm)
        items.append(set_lines(label, left_mm, top_mm, name_mm - left_mm, look, role=Role.TH).group)
        for index, cell in enumerate(cells):
            wide_mm = self.column_mm - 2.0
            text = (bold(cell),) if head else (Run(cell),)
            placed = set_lines(
                break_lines(text, look, wide_mm),
                name_mm + index * self.column_mm,
                top_mm,
                wide_mm,
                look,
                role=Role.TH if head else Role.TD,
            )
            items.append(placed.group)
            high_mm = max(high_mm, placed.box.height_mm)
        y_mm = top_mm + high_mm
        if use:
            wide_mm = self.width_mm - left_mm
            placed = set_lines(
                break_lines(use[:1].upper() + use[1:] + ".", note, wide_mm),
                left_mm,
                y_mm,
                wide_mm,
                note,
                role=Role.TD,
            )
            items.append(placed.group)
            y_mm += placed.box.height_mm
        elif head:
            items.append(Group((), role=Role.TH, alt="Use"))
        rule = line(0.0, 0.0, self.width_mm, 0.0, stroke_pt=1.0 if head else 0.3)
        group = Group((Group((rule,), role=Role.ARTIFACT), *items), role=Role.TR)
        return Piece(
            Block((group,), self.width_mm, y_mm + 0.8), 3.0 if last else 0.0, with_next=not last
        )
