"""The whole loom from above: every peg numbered, zones by pattern and name, markers, direction."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from charts.plan import Plan
from layouts.block import Block, DoesNotFitError
from layouts.blocks import figure
from layouts.faces import Face
from layouts.grid_terms import is_fifth
from layouts.loom_ring import (
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
from layouts.scene import (
    BLACK,
    WHITE,
    Align,
    Group,
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
from layouts.text import Style


def loom_map(plan: Plan, *, width_mm: float, height_mm: float, style: PageStyle = BOOKLET) -> Block:
    """The ring with every peg numbered, its zones, markers, first peg, round start and direction.

    Raises DoesNotFitError if the numbers would be too small to read.
    """
    growth = style.growth
    seat_mm = _SEAT_MM * growth
    outside_mm = min(width_mm / 2, (height_mm - seat_mm) / 2)
    numbers = _numbers_that_fit(plan.loom.pegs, outside_mm, style)
    ring = Ring(plan, width_mm / 2, outside_mm, numbers.pegs_mm, growth)
    band_mm = max(outside_mm * _BAND, _LEAST_BAND_MM * growth)
    edge_mm = ring.radius_mm - ring.peg_mm - 2.2 * growth
    items: list[Item] = [
        *_bands(ring, edge_mm, band_mm),
        *_name_grounds(ring, edge_mm, band_mm, style),
        *_edges(ring, edge_mm, band_mm, style),
        *peg_signs(ring, dict.fromkeys(range(1, plan.loom.pegs + 1), PegSign.WAITING)),
        *_peg_numbers(ring, numbers),
        *_markers(ring),
        *_first_peg(ring),
        *_zone_names(ring, edge_mm, band_mm, style),
        *_direction(ring, edge_mm - 2 * band_mm - 5.0 * growth, style),
        *_start_label(ring, outside_mm, style),
        *_seat(width_mm / 2, 2 * outside_mm, style),
    ]
    return figure(Block(tuple(items), width_mm, 2 * outside_mm + seat_mm), loom_in_words(plan))


_BAND: Final = 0.105
"""Width of a band of zones, in radii of the map."""
_LEAST_BAND_MM: Final = 3.0
"""The same at least, for the names in it, on an A5 page."""
_SEAT_MM: Final = 8.0
"""Room below the ring for the knitter's place, on an A5 page."""


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
        high_mm = figure_height_mm(size_pt)
        cell_mm = math.hypot(wide_mm, high_mm)
        circles_mm = tuple(
            outside_mm - cell_mm / 2 - i * (cell_mm + 0.2) for i in reversed(range(circles))
        )
        apart = _FIFTHS_APART if fifths else circles
        pegs_mm = circles_mm[0] - cell_mm / 2 - _PEG_TO_NUMBER_MM * style.growth
        roomy = 2 * math.pi * circles_mm[0] * apart / pegs >= wide_mm + 0.6
        if roomy and 2 * math.pi * pegs_mm / pegs >= _LEAST_PITCH_MM:
            return _Numbers(size_pt, circles_mm, pegs_mm, fifths)
    raise DoesNotFitError(
        f"a loom map of {pegs} pegs needs more than {2 * outside_mm:.0f} mm of width"
    )


_LEAST_PITCH_MM: Final = 1.5
"""From peg to peg at least."""
_PEG_TO_NUMBER_MM: Final = 3.0
"""From the middle of a peg to its number: a peg and its marker lie between; on an A5 page."""


def _outer_mm(zone: LoomZone, edge_mm: float, band_mm: float) -> float:
    return edge_mm - (band_mm + 0.8 if zone.inner else 0.0)


def _bands(ring: Ring, edge_mm: float, band_mm: float) -> list[Item]:
    items: list[Item] = []
    for zone in loom_zones(ring.plan):
        outer_mm = _outer_mm(zone, edge_mm, band_mm)
        outline = ring.outline(zone, outer_mm - band_mm, outer_mm)
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
    for peg in range(1, pegs + 1):
        if not numbers.shows(peg, pegs):
            continue
        circle_mm = numbers.circles_mm[(peg - 1) % len(numbers.circles_mm)]
        x_mm, y_mm = ring.point(ring.place(peg), circle_mm)
        counted = is_fifth(peg) and not numbers.fifths
        items.append(
            Text(
                x_mm,
                y_mm + drop_mm,
                str(peg),
                Face.BOLD if counted else Face.REGULAR,
                numbers.size_pt,
                align=Align.CENTRE,
            )
        )
    return items


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
    x_mm: float
    y_mm: float
    quarter_turns: int


def _places_of_names(ring: Ring, edge_mm: float, band_mm: float, label: Style) -> list[_ZoneName]:
    found = []
    for zone in loom_zones(ring.plan):
        middle_mm = _outer_mm(zone, edge_mm, band_mm) - band_mm / 2
        half_mm = text_width_mm(zone.name, Face.BOLD, label.size_pt) / 2 + 0.8
        place = _level_place(ring, zone, half_mm / (2 * math.pi * middle_mm) * ring.plan.loom.pegs)
        across = math.sin(math.radians(ring.degrees(place)))
        turns = 0 if abs(across) < _STEEP else 1 if across > 0 else 3
        found.append(_ZoneName(zone.name, *ring.point(place, middle_mm), turns))
    return found


def _level_place(ring: Ring, zone: LoomZone, half: float) -> float:
    """The place in the zone, `half` a name from its ends at least, where the band runs most nearly
    level or upright: an upright name lies best in it there."""
    low, high = zone.first - 0.5 + half, zone.last + 0.5 - half
    middle = (zone.first + zone.last) / 2
    if low >= high:
        return middle
    step = 360 / ring.plan.loom.pegs * ring.plan.loom.rightward
    off_degrees = (ring.degrees(middle) + 45) % 90 - 45
    return min(max(middle + off_degrees / step, low), high)


_STEEP: Final = 0.75
"""From this share of the way to the side on, a name lies along its band."""


def _name_grounds(ring: Ring, edge_mm: float, band_mm: float, style: PageStyle) -> list[Item]:
    """White below the names, under the outlines."""
    label = style.chart_label
    items: list[Item] = []
    for one in _places_of_names(ring, edge_mm, band_mm, label):
        wide_mm = text_width_mm(one.name, Face.BOLD, label.size_pt) + 1.6 * style.growth
        high_mm = figure_height_mm(label.size_pt) + 2.0 * style.growth
        if one.quarter_turns:
            wide_mm, high_mm = high_mm, wide_mm
        left_mm, top_mm = one.x_mm - wide_mm / 2, one.y_mm - high_mm / 2
        items.append(
            rect(left_mm, top_mm, wide_mm, high_mm, radius_mm=0.8, stroke=None, fill=WHITE)
        )
    return items


def _zone_names(ring: Ring, edge_mm: float, band_mm: float, style: PageStyle) -> list[Item]:
    label = style.chart_label
    drop_mm = figure_height_mm(label.size_pt) / 2
    items: list[Item] = []
    for one in _places_of_names(ring, edge_mm, band_mm, label):
        text = Text(0.0, drop_mm, one.name, Face.BOLD, label.size_pt, align=Align.CENTRE)
        items.append(Group((text,), one.x_mm, one.y_mm, quarter_turns=one.quarter_turns))
    return items


def _direction(ring: Ring, radius_mm: float, style: PageStyle) -> list[Item]:
    """The arrow of the first round, and from where the ring is seen, inside the ring."""
    if radius_mm < _LEAST_ARROW_MM * ring.growth:
        return []
    way = ring.plan.loom.rightward
    reach = 52.0
    # Clock degrees fall when the round runs to the right before the knitter.
    start, end = 180 + way * reach, 180 - way * reach
    body = arc(ring.x_mm, ring.y_mm, radius_mm, start, end, stroke_pt=1.6 * ring.growth)
    angle = math.radians(end)
    tip = (ring.x_mm + radius_mm * math.sin(angle), ring.y_mm - radius_mm * math.cos(angle))
    ahead = (-way * math.cos(angle) * ring.growth, -way * math.sin(angle) * ring.growth)
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
    """From where the ring is seen and which way the round runs; a small ring has its pegs alone, a
    tiny one nothing."""
    loom, small, big = ring.plan.loom, style.note, style.sub_head
    pegs = f"{loom.pegs} pegs"
    head = "Seen from above"
    lines_ = (
        f"{pegs}, {loom.spacing_text} apart",
        "The first round runs",
        f"{loom.working.value}",
        "as you face the pegs.",
    )
    head_mm, y_mm = ring.y_mm - 3.0 * ring.growth, ring.y_mm + 2.2 * ring.growth
    reach_mm = text_width_mm(head, big.face, big.size_pt) / 2
    for index, words in enumerate(lines_):
        below_mm = y_mm - ring.y_mm + index * small.leading_mm + 0.25 * small.leading_mm
        half_mm = text_width_mm(words, small.face, small.size_pt) / 2
        reach_mm = max(reach_mm, math.hypot(half_mm, below_mm))
    if radius_mm < reach_mm + _ROUND_WORDS_MM:
        for size_pt in (big.size_pt, small.size_pt):
            if radius_mm >= text_width_mm(pegs, big.face, size_pt) / 2 + 1.0:
                return [Text(ring.x_mm, ring.y_mm, pegs, big.face, size_pt, align=_MIDDLE)]
        return []
    texts: list[Item] = [
        Text(ring.x_mm, head_mm, head, big.face, big.size_pt, align=_MIDDLE),
    ]
    for words in lines_:
        texts.append(Text(ring.x_mm, y_mm, words, small.face, small.size_pt, align=_MIDDLE))
        y_mm += small.leading_mm
    return texts


_LEAST_ARROW_MM: Final = 3.5
"""Radius of the arrow at least, on an A5 page."""
_ROUND_WORDS_MM: Final = 1.5
"""White between the words in the middle and the arrow round them."""


_MIDDLE: Final = Align.CENTRE


def _start_label(ring: Ring, outside_mm: float, style: PageStyle) -> list[Item]:
    """Where the rounds start, in the free upper corner beside the first peg."""
    plan = ring.plan
    label = style.chart_label
    left = plan.loom.rightward > 0
    x_mm = 0.0 if left else 2 * ring.x_mm
    align = Align.LEFT if left else Align.RIGHT
    words = ["Round start"]
    more = f"from the leg on: peg {plan.peg(1)}"
    # The ring leaves a corner free.
    from_middle_mm = math.hypot(
        outside_mm - text_width_mm(more, Face.REGULAR, label.size_pt),
        outside_mm - 2 * label.leading_mm,
    )
    if plan.shift and from_middle_mm >= outside_mm - _NEAR_RING_MM:
        words.append(more)
    widest_mm = text_width_mm(words[0], Face.BOLD, label.size_pt)
    texts: list[Item] = []
    y_mm = label.baseline_mm
    for index, line_text in enumerate(words):
        face = Face.REGULAR if index else Face.BOLD
        texts.append(Text(x_mm, y_mm, line_text, face, label.size_pt, align=align))
        y_mm += label.leading_mm
    from_x = x_mm + (widest_mm / 2 if left else -widest_mm / 2)
    elbow = (from_x, y_mm - label.leading_mm + 1.6 * ring.growth)
    end = ring.point(1, outside_mm + 0.8)
    points = [elbow, end]
    edge_mm = x_mm + (_AT_EDGE_MM if left else -_AT_EDGE_MM)
    if end[1] < ring.y_mm:
        # Down the edge and across: a slanting line would run through numbers.
        corner = (edge_mm, end[1]) if abs(end[0] - x_mm) > 2 * _AT_EDGE_MM else end
        points = [(corner[0], elbow[1]), corner, *([end] if corner != end else [])]
    return [*texts, polyline(points, stroke_pt=0.5)]


_AT_EDGE_MM: Final = 0.6
"""From the side of the map to a line along it."""
_NEAR_RING_MM: Final = 1.8
"""How far words in a corner may reach into the circle round the ring: between two numbers."""


def _seat(x_mm: float, y_mm: float, style: PageStyle) -> list[Item]:
    label, growth = style.chart_label, style.growth
    wedge = ((-1.8, 3.6), (0.0, 1.2), (1.8, 3.6))
    return [
        polygon(
            [(x_mm + x * growth, y_mm + y * growth) for x, y in wedge], stroke=None, fill=BLACK
        ),
        Text(x_mm, y_mm + 7.0 * growth, "You are here.", size_pt=label.size_pt, align=_MIDDLE),
    ]


def pattern_swatch(pattern: Pattern, *, width_mm: float, height_mm: float) -> Block:
    """A sample of a zone's fill for the legend, as on an A5 page."""
    corners = ((0.0, 0.0), (width_mm, 0.0), (width_mm, height_mm), (0.0, height_mm))
    items: list[Item] = []
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
