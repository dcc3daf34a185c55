"""The whole loom from above: every peg numbered, zones by pattern and name, markers, direction."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Final

from charts.plan import Plan
from layouts.block import Block, DoesNotFitError
from layouts.blocks import figure
from layouts.faces import Face
from layouts.grid_terms import is_fifth
from layouts.loom_ring import (
    SIDE_DEGREES,
    LoomZone,
    Pattern,
    PegSign,
    Point,
    Ring,
    figure_height_mm,
    loom_zones,
    marker_places,
    peg_signs,
    zone_pegs,
)
from layouts.paper import MM_PER_PT
from layouts.scene import (
    BLACK,
    WHITE,
    Align,
    Box,
    Group,
    Ink,
    Item,
    Text,
    arc,
    circle,
    hatch,
    lines,
    polygon,
    polyline,
    rect,
    text_width_mm,
)
from layouts.style import BOOKLET, PageStyle


def loom_map(plan: Plan, *, width_mm: float, height_mm: float, style: PageStyle = BOOKLET) -> Block:
    """The ring with every peg numbered, its zones, markers, first peg, round start and direction.

    Raises DoesNotFitError if the numbers would be too small to read.
    """
    growth = style.growth
    return _loom_map(plan, width_mm / growth, height_mm / growth, style.drawn).grown(growth)


def _loom_map(plan: Plan, width_mm: float, height_mm: float, style: PageStyle) -> Block:
    """The map as on an A5 page."""
    outside_mm = min(width_mm / 2, (height_mm - _SEAT_MM) / 2)
    numbers = _numbers_that_fit(plan.loom.pegs, outside_mm, style)
    ring = Ring(plan, width_mm / 2, outside_mm, numbers.pegs_mm)
    band_mm = outside_mm * 0.105
    edge_mm = ring.radius_mm - ring.peg_mm - 2.2
    items: list[Item] = [
        *_bands(ring, edge_mm, band_mm, style),
        *_name_grounds(ring, edge_mm, band_mm, style),
        *_edges(ring, edge_mm, band_mm, style),
        *peg_signs(ring, dict.fromkeys(range(1, plan.loom.pegs + 1), PegSign.WAITING)),
        *_peg_numbers(ring, numbers),
        *_markers(ring),
        *_first_peg(ring),
        *_zone_names(ring, edge_mm, band_mm, style),
        *_direction(ring, edge_mm - 2 * band_mm - 5.0, style),
        *_start_label(ring, outside_mm, style),
        *_seat(width_mm / 2, 2 * outside_mm, style),
    ]
    return figure(Block(tuple(items), width_mm, 2 * outside_mm + _SEAT_MM), loom_in_words(plan))


_SEAT_MM: Final = 8.0
"""Room below the ring for the knitter's place."""


def loom_in_words(plan: Plan) -> str:
    """The loom map for those who hear it."""
    by_name: dict[str, list[LoomZone]] = {}
    for zone in loom_zones(plan):
        by_name.setdefault(zone.name, []).append(zone)
    zones = "; ".join(f"{name} {zone_pegs(plan, group)}" for name, group in by_name.items())
    return (
        f"The ring of {plan.loom.pegs} pegs seen from above; the first round runs "
        f"{plan.loom.working.value} as you face the pegs. Pegs: {zones}. "
        f"From the leg on each round starts at peg {plan.peg(1)}."
    )


@dataclass(frozen=True, slots=True)
class _Numbers:
    """Where the peg numbers stand: on one circle, or by turns on two where pegs are close."""

    size_pt: float
    circles_mm: tuple[float, ...]
    """Inner first."""
    pegs_mm: float
    fifths: bool = False
    """Only peg 1 and each fifth one, where there is no room for every number."""

    def shows(self, peg: int, pegs: int) -> bool:
        """Whether one peg of so many has its number; none that is too near peg 1."""
        return not self.fifths or peg == 1 or (is_fifth(peg) and pegs - peg >= _FIFTHS_APART - 1)


_FIFTHS_APART: Final = 4
"""From peg 1 to peg 5."""


def _numbers_that_fit(pegs: int, outside_mm: float, style: PageStyle) -> _Numbers:
    tried = [
        (style.chart_number.size_pt, 1, False),
        (style.chart_number.size_pt, 2, False),
        (style.least_number_pt, 1, False),
        (style.least_number_pt, 2, False),
        (style.least_number_pt, 1, True),
    ]
    for size_pt, circles, fifths in tried:
        wide_mm = text_width_mm(str(pegs), Face.REGULAR, size_pt)
        cell_mm = math.hypot(wide_mm, figure_height_mm(size_pt))
        circles_mm = tuple(
            outside_mm - cell_mm / 2 - i * (cell_mm + 0.2) for i in reversed(range(circles))
        )
        apart = _FIFTHS_APART if fifths else circles
        pegs_mm = circles_mm[0] - cell_mm / 2 - _PEG_TO_NUMBER_MM
        roomy = 2 * math.pi * circles_mm[0] * apart / pegs >= wide_mm + _BETWEEN_NUMBERS_MM
        if roomy and 2 * math.pi * pegs_mm / pegs >= _LEAST_PITCH_MM:
            return _Numbers(size_pt, circles_mm, pegs_mm, fifths)
    raise DoesNotFitError(
        f"a loom map of {pegs} pegs needs more than {2 * outside_mm:.0f} mm of width"
    )


_BETWEEN_NUMBERS_MM: Final = 0.6
_LEAST_PITCH_MM: Final = 1.5
"""From peg to peg at least."""
_PEG_TO_NUMBER_MM: Final = 3.0
"""From the middle of a peg to its number: a peg and its marker lie between."""


def _outer_mm(zone: LoomZone, edge_mm: float, band_mm: float) -> float:
    return edge_mm - (band_mm + 0.8 if zone.inner else 0.0)


def _bands(ring: Ring, edge_mm: float, band_mm: float, style: PageStyle) -> list[Item]:
    items: list[Item] = []
    for zone in loom_zones(ring.plan):
        outer_mm = _outer_mm(zone, edge_mm, band_mm)
        outline = ring.outline(zone, outer_mm - band_mm, outer_mm)
        items += _ground(outline, style.zone_tint(zone.name))
        items += _filled(ring, zone, outline, outer_mm - band_mm, outer_mm)
    return items


def _edges(ring: Ring, edge_mm: float, band_mm: float, style: PageStyle) -> list[Item]:
    """Outlines of the zones, over the white that their names stand on."""
    edges: list[Item] = []
    for zone in loom_zones(ring.plan):
        outer_mm = _outer_mm(zone, edge_mm, band_mm)
        outline = ring.outline(zone, outer_mm - band_mm, outer_mm)
        edges.append(polygon(outline, stroke_pt=style.fifth_pt))
    return edges


def _ground(outline: Sequence[Point], tint: Ink | None) -> list[Item]:
    """The colour below a zone's pattern, where there is one."""
    return [] if tint is None else [polygon(outline, stroke=None, fill=tint)]


def _filled(
    ring: Ring, zone: LoomZone, outline: list[Point], inner_mm: float, outer_mm: float
) -> list[Item]:
    match zone.pattern:
        case Pattern.BLANK:
            return []
        case Pattern.STROKES:
            return [hatch(outline, pitch_mm=1.4, degrees=45)]
        case Pattern.CROSSED:
            return [hatch(outline, pitch_mm=1.4, degrees=angle) for angle in (45, 135)]
        case Pattern.BARS:
            # Clear of the outline, so that each bar is seen to belong to its peg.
            inset_mm = (outer_mm - inner_mm) * 0.24
            bars = [
                (*ring.point(place, inner_mm + inset_mm), *ring.point(place, outer_mm - inset_mm))
                for place in range(zone.first, zone.last + 1)
            ]
            return [lines(bars, stroke_pt=1.6)]


def _peg_numbers(ring: Ring, numbers: _Numbers) -> list[Item]:
    items: list[Item] = []
    drop_mm = figure_height_mm(numbers.size_pt) / 2
    pegs = ring.plan.loom.pegs
    for peg in filter(lambda one: numbers.shows(one, pegs), range(1, pegs + 1)):
        circle_mm = numbers.circles_mm[(peg - 1) % len(numbers.circles_mm)]
        place = ring.place(peg) + (_first_moved(ring, numbers) if peg == 1 else 0.0)
        x_mm, y_mm = ring.point(place, circle_mm)
        fifth = not numbers.fifths and (peg % 5 == 0 or peg == 1)
        items.append(
            Text(
                x_mm,
                y_mm + drop_mm,
                str(peg),
                Face.BOLD if fifth else Face.REGULAR,
                numbers.size_pt,
                align=Align.CENTRE,
            )
        )
    return items


def _first_moved(ring: Ring, numbers: _Numbers) -> float:
    """How far number 1 moves towards number 2, in pegs: on an odd ring whose numbers stand on two
    circles by turns, it has the last number beside it on its own."""
    pegs = ring.plan.loom.pegs
    if len(numbers.circles_mm) == 1 or pegs % 2 == 0:
        return 0.0
    pitch_mm = ring.pitch_mm * numbers.circles_mm[0] / ring.radius_mm
    widths_mm = (text_width_mm(text, Face.BOLD, numbers.size_pt) for text in ("1", str(pegs)))
    return max(0.0, (sum(widths_mm) / 2 + _BETWEEN_NUMBERS_MM) / pitch_mm - 1.0)


def _markers(ring: Ring) -> list[Item]:
    """A band round each marked peg; at the round's start a dot in it too."""
    items: list[Item] = []
    for place in marker_places(ring.plan):
        x_mm, y_mm = ring.point(place, ring.radius_mm)
        items += _marked_peg(x_mm, y_mm, ring.peg_mm, is_start=place == 1)
    return items


def _marked_peg(x_mm: float, y_mm: float, peg_mm: float, *, is_start: bool) -> list[Item]:
    items: list[Item] = [circle(x_mm, y_mm, peg_mm * _BAND_RADII, stroke_pt=0.8)]
    if is_start:
        items.append(circle(x_mm, y_mm, peg_mm * _DOT_RADII, stroke_pt=0.5, fill=BLACK))
    return items


_DOT_RADII: Final = 0.45
"""Radius of the dot at the round's start, in radii of its peg."""


_BAND_RADII: Final = 1.45
"""Radius of a marker's band, in radii of its peg."""


def _first_peg(ring: Ring) -> list[Item]:
    x_mm, y_mm = ring.point(ring.place(1), ring.radius_mm)
    disc: list[Item] = [circle(x_mm, y_mm, ring.peg_mm, stroke_pt=0.6, fill=BLACK)]
    if ring.place(1) == 1:
        disc.append(circle(x_mm, y_mm, ring.peg_mm * _DOT_RADII, stroke=None, fill=WHITE))
    return disc


@dataclass(frozen=True, slots=True)
class _ZoneName:
    """Where the name of a zone stands: upright, or on its side where the band runs steeply."""

    name: str
    ground: Box
    """The white that it stands on."""
    quarter_turns: int


def _places_of_names(
    ring: Ring, edge_mm: float, band_mm: float, style: PageStyle
) -> Iterator[_ZoneName]:
    """The names that have room in their zone: as near to its middle as they keep off its outline.

    A zone too small for its name is told by its fill, which the legend names.
    """
    label = style.chart_label
    for zone in loom_zones(ring.plan):
        outer_mm = _outer_mm(zone, edge_mm, band_mm)
        wide_mm = text_width_mm(zone.name, Face.BOLD, label.size_pt) + 1.6
        high_mm = figure_height_mm(label.size_pt) + 1.4
        middle = (zone.first + zone.last) / 2
        steps = range(int((zone.last - zone.first) / 2 / _NAME_STEP_PEGS) + 1)
        places = [middle + side * step * _NAME_STEP_PEGS for step in steps for side in (-1, 1)]
        for place, turns in product(places, (0, 1)):
            x_mm, y_mm = ring.point(place, outer_mm - band_mm / 2)
            across_mm, up_mm = (high_mm, wide_mm) if turns else (wide_mm, high_mm)
            ground = Box(
                x_mm - across_mm / 2, y_mm - up_mm / 2, x_mm + across_mm / 2, y_mm + up_mm / 2
            )
            if _is_in_band(
                ring, zone, ground.grown(-_GROUND_OVER_MM), outer_mm - band_mm, outer_mm
            ):
                yield _ZoneName(zone.name, ground, turns and (1 if x_mm > ring.x_mm else 3))
                break


_NAME_STEP_PEGS: Final = 0.25
_GROUND_OVER_MM: Final = 0.3
"""So much of the white round a name may lie under the zone's outline, which is drawn over it."""


def _is_in_band(ring: Ring, zone: LoomZone, box: Box, inner_mm: float, outer_mm: float) -> bool:
    """Whether a box lies inside the outline of a zone."""
    corners = list(product((box.left_mm, box.right_mm), (box.top_mm, box.bottom_mm)))
    near_x = max(box.left_mm - ring.x_mm, 0.0, ring.x_mm - box.right_mm)
    near_y = max(box.top_mm - ring.y_mm, 0.0, ring.y_mm - box.bottom_mm)
    # The band is drawn in straight sides, which cut off a little of its outer edge.
    farthest_mm = outer_mm * math.cos(math.radians(SIDE_DEGREES / 2))
    return (
        math.hypot(near_x, near_y) >= inner_mm
        and all(math.dist(corner, (ring.x_mm, ring.y_mm)) <= farthest_mm for corner in corners)
        and all(
            zone.first - 0.5 <= ring.place_at(corner, zone) <= zone.last + 0.5 for corner in corners
        )
    )


def _name_grounds(ring: Ring, edge_mm: float, band_mm: float, style: PageStyle) -> list[Item]:
    """White below the names, under the outlines."""
    return [
        rect(
            one.ground.left_mm,
            one.ground.top_mm,
            one.ground.width_mm,
            one.ground.height_mm,
            radius_mm=0.8,
            stroke=None,
            fill=WHITE,
        )
        for one in _places_of_names(ring, edge_mm, band_mm, style)
    ]


def _zone_names(ring: Ring, edge_mm: float, band_mm: float, style: PageStyle) -> list[Item]:
    label = style.chart_label
    # The names are in small letters, some with tails: capitals would stand lower.
    tail_mm = _TAIL_EMS * label.size_pt * MM_PER_PT
    drop_mm = (figure_height_mm(label.size_pt) - tail_mm) / 2
    items: list[Item] = []
    for one in _places_of_names(ring, edge_mm, band_mm, style):
        text = Text(0.0, drop_mm, one.name, Face.BOLD, label.size_pt, align=Align.CENTRE)
        box = one.ground
        x_mm, y_mm = (box.left_mm + box.right_mm) / 2, (box.top_mm + box.bottom_mm) / 2
        items.append(Group((text,), x_mm, y_mm, quarter_turns=one.quarter_turns))
    return items


_TAIL_EMS: Final = 0.2


def _direction(ring: Ring, radius_mm: float, style: PageStyle) -> list[Item]:
    """The arrow of the first round, and from where the ring is seen, inside the ring."""
    way = ring.plan.loom.rightward
    reach = 52.0
    # Clock degrees fall when the round runs to the right before the knitter.
    start, end = 180 + way * reach, 180 - way * reach
    body = arc(ring.x_mm, ring.y_mm, radius_mm, start, end, stroke_pt=1.6)
    angle = math.radians(end)
    tip = (ring.x_mm + radius_mm * math.sin(angle), ring.y_mm - radius_mm * math.cos(angle))
    ahead = (-way * math.cos(angle), -way * math.sin(angle))
    side = (-ahead[1], ahead[0])
    head = polygon(
        (
            (tip[0] + ahead[0] * 2.6, tip[1] + ahead[1] * 2.6),
            (tip[0] + side[0] * 1.6, tip[1] + side[1] * 1.6),
            (tip[0] - side[0] * 1.6, tip[1] - side[1] * 1.6),
        ),
        stroke=None,
        fill=BLACK,
    )
    return [body, head, *_middle_words(ring, radius_mm, style)]


def _middle_words(ring: Ring, radius_mm: float, style: PageStyle) -> list[Item]:
    """From where the ring is seen and which way the round runs; a small ring has its pegs alone."""
    loom, small, big = ring.plan.loom, style.note, style.sub_head
    pegs = f"{loom.pegs} pegs"
    if radius_mm < _PEGS_FROM_MM:
        return []
    if radius_mm < _WORDS_FROM_MM:
        return [Text(ring.x_mm, ring.y_mm, pegs, big.face, big.size_pt, align=_MIDDLE)]
    texts: list[Item] = [
        Text(ring.x_mm, ring.y_mm - 3.0, "Seen from above", big.face, big.size_pt, align=_MIDDLE),
    ]
    y_mm = ring.y_mm + 2.2
    for words in (
        f"{pegs}, {loom.spacing_text} apart",
        "The first round runs",
        f"{loom.working.value}",
        "as you face the pegs.",
    ):
        texts.append(Text(ring.x_mm, y_mm, words, small.face, small.size_pt, align=_MIDDLE))
        y_mm += small.leading_mm
    return texts


_WORDS_FROM_MM: Final = 21.0
"""Radius of the arrow from which on there is room for words inside it."""
_PEGS_FROM_MM: Final = 5.5
"""Radius of the arrow from which on there is room for the number of pegs above it."""


_MIDDLE: Final = Align.CENTRE


def _start_label(ring: Ring, outside_mm: float, style: PageStyle) -> list[Item]:
    """Where the rounds start, in the free corner beside the first peg, and a line to the ring."""
    label = style.chart_label
    end = ring.point(1, outside_mm + 0.3)
    on_left, above = end[0] < ring.x_mm, end[1] < ring.y_mm

    def box_of(words: Sequence[str]) -> Box:
        wide_mm = max(
            text_width_mm(text, Face.REGULAR if index else Face.BOLD, label.size_pt)
            for index, text in enumerate(words)
        )
        high_mm = len(words) * label.leading_mm
        left_mm = 0.0 if on_left else 2 * ring.x_mm - wide_mm
        top_mm = 0.0 if above else 2 * outside_mm - high_mm
        return Box(left_mm, top_mm, left_mm + wide_mm, top_mm + high_mm)

    words = next(
        (
            found
            for found in _start_words(ring.plan)
            if _is_off_ring(ring, outside_mm, box_of(found))
        ),
        [],
    )
    if not words:
        return []
    box = box_of(words)
    x_mm, align = (box.left_mm, Align.LEFT) if on_left else (box.right_mm, Align.RIGHT)
    texts: list[Item] = [
        Text(
            x_mm,
            box.top_mm + index * label.leading_mm + label.baseline_mm,
            text,
            Face.REGULAR if index else Face.BOLD,
            label.size_pt,
            align=align,
        )
        for index, text in enumerate(words)
    ]
    return [*texts, polyline((_lead_start(ring, outside_mm, box, end), end), stroke_pt=0.5)]


def _start_words(plan: Plan) -> Iterator[list[str]]:
    """What the label may say, in lines; the longest first."""
    if plan.shift:
        peg = f"peg {plan.peg(1)}"
        yield ["Round start", f"from the leg on: {peg}"]
        yield ["Round start", "from the leg on:", peg]
        yield ["Round start", "from the", "leg on:", peg]
    yield ["Round start"]
    yield ["Round", "start"]
    yield ["Start"]


def _is_off_ring(ring: Ring, outside_mm: float, box: Box) -> bool:
    """Whether a box in a corner keeps clear of the numbers."""
    corners = product((box.left_mm, box.right_mm), (box.top_mm, box.bottom_mm))
    return all(
        math.dist(corner, (ring.x_mm, ring.y_mm)) >= outside_mm + _OFF_RING_MM for corner in corners
    )


_OFF_RING_MM: Final = 0.6


def _lead_start(ring: Ring, outside_mm: float, box: Box, end: Point) -> Point:
    """Where the line to the ring leaves its label so that it runs clear of both."""
    on_left, above = box.left_mm < ring.x_mm, box.top_mm < ring.y_mm
    facing_mm = box.bottom_mm + 0.4 if above else box.top_mm - 0.4
    beside_mm = box.right_mm + 1.0 if on_left else box.left_mm - 1.0
    edge_mm = box.left_mm + 0.3 if on_left else box.right_mm - 0.3
    middle = ((box.left_mm + box.right_mm) / 2, (box.top_mm + box.bottom_mm) / 2)
    starts: list[Point] = []
    if above == (end[1] > facing_mm):
        starts += [(middle[0], facing_mm), (edge_mm, facing_mm)]
    if on_left == (end[0] > beside_mm):
        nearest_mm = max(box.top_mm + 0.6, min(box.bottom_mm - 0.6, end[1]))
        starts += [(beside_mm, middle[1]), (beside_mm, nearest_mm)]
    return max(starts, key=lambda start: round(_clearance_mm(ring, outside_mm, start, end), 3))


def _clearance_mm(ring: Ring, outside_mm: float, start: Point, end: Point) -> float:
    """How far a line to the ring keeps off its numbers, at most what is enough."""
    along = (start[0] - end[0], start[1] - end[1])
    to_middle = (ring.x_mm - end[0], ring.y_mm - end[1])
    length_mm = math.hypot(*along)
    share = (along[0] * to_middle[0] + along[1] * to_middle[1]) / length_mm**2
    nearest = max(0.0, min(1.0, share))
    gap_mm = math.dist(
        (end[0] + nearest * along[0], end[1] + nearest * along[1]), (ring.x_mm, ring.y_mm)
    )
    return min(gap_mm - outside_mm, 0.2)


def _seat(x_mm: float, y_mm: float, style: PageStyle) -> list[Item]:
    label = style.chart_label
    return [
        polygon(
            ((x_mm - 1.8, y_mm + 3.6), (x_mm, y_mm + 1.2), (x_mm + 1.8, y_mm + 3.6)),
            stroke=None,
            fill=BLACK,
        ),
        Text(x_mm, y_mm + 7.0, "You are here.", size_pt=label.size_pt, align=_MIDDLE),
    ]


def pattern_swatch(
    pattern: Pattern, *, width_mm: float, height_mm: float, tint: Ink | None = None
) -> Block:
    """A sample of a zone's fill for the legend, on its colour if it has one."""
    corners = ((0.0, 0.0), (width_mm, 0.0), (width_mm, height_mm), (0.0, height_mm))
    items: list[Item] = _ground(corners, tint)
    match pattern:
        case Pattern.STROKES:
            items.append(hatch(corners, pitch_mm=1.4, degrees=45))
        case Pattern.CROSSED:
            items += [hatch(corners, pitch_mm=1.4, degrees=angle) for angle in (45, 135)]
        case Pattern.BARS:
            count = 4
            inset_mm = height_mm * 0.24
            places_mm = [width_mm * (i + 0.5) / count for i in range(count)]
            bars = [(x_mm, inset_mm, x_mm, height_mm - inset_mm) for x_mm in places_mm]
            items.append(lines(bars, stroke_pt=1.6))
    items.append(polygon(corners, stroke_pt=0.6))
    return Block(tuple(items), width_mm, height_mm)


def marker_sample(*, width_mm: float, height_mm: float) -> Block:
    """A marked peg of the map for the legend, and the one at the round's start."""
    middle_mm = height_mm / 2
    items: list[Item] = []
    for x_mm, is_start in ((width_mm * 0.25, False), (width_mm * 0.75, True)):
        items.append(circle(x_mm, middle_mm, _SAMPLE_MM, stroke_pt=0.6))
        items += _marked_peg(x_mm, middle_mm, _SAMPLE_MM, is_start=is_start)
    return Block(tuple(items), width_mm, height_mm)


def first_peg_sample(*, width_mm: float, height_mm: float) -> Block:
    """Peg 1 of the map for the legend."""
    disc = circle(width_mm / 2, height_mm / 2, _SAMPLE_MM, stroke_pt=0.6, fill=BLACK)
    return Block((disc,), width_mm, height_mm)


_SAMPLE_MM: Final = 1.1
"""Radius of a peg in the legend."""
