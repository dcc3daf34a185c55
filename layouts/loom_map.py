"""The loom from above: the ring drawn to its peg count, with what each peg is for.

The knitter sits at the foot of the picture, outside the ring, before the middle of the heel.  So
left and right in the picture are left and right at the loom.  Seen from above, a round worked
left to right as the knitter faces it runs against the clock (geometry).
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum
from typing import Final

from charts.loom import PegNumber
from charts.parts import Part
from charts.plan import Plan
from charts.words import span
from layouts.block import Block, DoesNotFitError
from layouts.blocks import figure
from layouts.faces import Face, metrics
from layouts.paper import MM_PER_PT
from layouts.scene import (
    BLACK,
    WHITE,
    Align,
    Close,
    Item,
    LineTo,
    MoveTo,
    Path,
    Segment,
    Text,
    arc,
    arc_segments,
    circle,
    hatch,
    line,
    lines,
    polygon,
    polyline,
    rect,
    text_width_mm,
)
from layouts.style import BOOKLET, PageStyle
from layouts.text import NO_BREAK_SPACE, Run, bold, set_paragraph

Point = tuple[float, float]


class Pattern(Enum):
    """Fills of a zone that differ in shape, not in grey."""

    BLANK = "blank"
    STROKES = "strokes leaning one way"
    CROSSED = "crossed strokes"
    BARS = "bars across the band, one a peg"


class PegSign(Enum):
    """How a peg is drawn."""

    WORKED = "filled disc"
    WAITING = "open circle"
    HELD = "open circle on a stroke towards the middle"
    EMPTY = "small cross"


@dataclass(frozen=True, slots=True)
class LoomZone:
    """Neighbouring pegs with one task."""

    name: str
    first: int
    """Place from the round's start."""
    last: int
    pattern: Pattern
    inner: bool = False
    """In the inner band: it overlaps zones of the outer one."""


def loom_zones(plan: Plan) -> tuple[LoomZone, ...]:
    """Every zone of the ring; the toe lies over others and has a band of its own."""
    heel, gusset, ring = plan.heel_pegs, plan.gusset_pegs, plan.loom.pegs
    toe = plan.toe_offset + 1
    return (
        LoomZone("gusset", 1, gusset, Pattern.STROKES),
        LoomZone("turn", gusset + 1, heel - gusset, Pattern.CROSSED),
        LoomZone("gusset", heel - gusset + 1, heel, Pattern.STROKES),
        LoomZone("instep", heel + 1, ring, Pattern.BLANK),
        LoomZone("toe", toe, toe + plan.toe_pegs - 1, Pattern.BARS, inner=True),
    )


def zone_pegs(plan: Plan, zones: Iterable[LoomZone]) -> str:
    """The pegs of zones in words: "2–9, 18–25"; counted on round the ring."""
    runs = []
    ring = plan.loom.pegs
    for zone in zones:
        first, last = plan.peg(zone.first), plan.peg(zone.last)
        if first <= last:
            runs.append(span(first, last))
        else:
            runs += [span(first, ring), span(1, last)]
    return ", ".join(runs)


@dataclass(frozen=True, slots=True)
class _Ring:
    """Angles and points of one drawing of the ring."""

    plan: Plan
    x_mm: float
    y_mm: float
    radius_mm: float
    """To the middle of the pegs."""

    def degrees(self, place: float) -> float:
        """Clock angle of a place; whole numbers are pegs, halves the gaps between them."""
        middle = (1 + self.plan.heel_pegs) / 2
        step = 360 / self.plan.loom.pegs * self.plan.loom.rightward
        return 180 - (place - middle) * step

    def point(self, place: float, radius_mm: float) -> tuple[float, float]:
        angle = math.radians(self.degrees(place))
        return (self.x_mm + radius_mm * math.sin(angle), self.y_mm - radius_mm * math.cos(angle))

    def place(self, peg: int) -> int:
        """The place of a peg, 1 to N."""
        return (peg - self.plan.shift - 1) % self.plan.loom.pegs + 1

    @property
    def pitch_mm(self) -> float:
        return 2 * math.pi * self.radius_mm / self.plan.loom.pegs

    @property
    def peg_mm(self) -> float:
        """Radius of a peg."""
        return min(1.5, self.pitch_mm * 0.34)

    def outline(self, zone: LoomZone, inner_mm: float, outer_mm: float) -> list[Point]:
        """A zone's piece of a band, in straight sides of a few degrees."""
        first, last = zone.first - 0.5, zone.last + 0.5
        count = max(2, round((last - first) * 360 / self.plan.loom.pegs / 4))
        places = [first + (last - first) * i / count for i in range(count + 1)]
        outside = [self.point(place, outer_mm) for place in places]
        return outside + [self.point(place, inner_mm) for place in reversed(places)]


# --- The whole loom --------------------------------------------------------------------------


def loom_map(
    plan: Plan, *, width_mm: float, height_mm: float, style: PageStyle = BOOKLET
) -> Block:
    """The ring with every peg numbered, its zones, markers, first peg, round start and direction.

    Raises DoesNotFitError if the numbers would be too small to read.
    """
    outside_mm = min(width_mm / 2, (height_mm - _SEAT_MM) / 2)
    numbers = _numbers_that_fit(plan.loom.pegs, outside_mm, style)
    ring = _Ring(plan, width_mm / 2, outside_mm, numbers.pegs_mm)
    band_mm = outside_mm * 0.105
    edge_mm = ring.radius_mm - ring.peg_mm - 2.2
    items: list[Item] = [
        *_bands(ring, edge_mm, band_mm, style),
        *_peg_signs(ring, dict.fromkeys(range(1, plan.loom.pegs + 1), PegSign.WAITING)),
        *_peg_numbers(ring, numbers),
        *_markers(ring, edge_mm),
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


def _numbers_that_fit(pegs: int, outside_mm: float, style: PageStyle) -> _Numbers:
    for size_pt in (style.chart_number.size_pt, style.least_number_pt):
        wide_mm = text_width_mm(str(pegs), Face.REGULAR, size_pt)
        high_mm = _figure_height_mm(size_pt)
        cell_mm = math.hypot(wide_mm, high_mm)
        for circles in (1, 2):
            circles_mm = tuple(
                outside_mm - cell_mm / 2 - i * (cell_mm + 0.2) for i in reversed(range(circles))
            )
            if 2 * math.pi * circles_mm[0] * circles / pegs >= wide_mm + 0.6:
                return _Numbers(size_pt, circles_mm, circles_mm[0] - cell_mm / 2 - 2.0)
    raise DoesNotFitError(
        f"a loom map of {pegs} pegs needs more than {2 * outside_mm:.0f} mm of width"
    )


def _figure_height_mm(size_pt: float) -> float:
    return metrics(Face.REGULAR).cap_height * size_pt * MM_PER_PT / 1000


def _bands(ring: _Ring, edge_mm: float, band_mm: float, style: PageStyle) -> list[Item]:
    items: list[Item] = []
    edges: list[Item] = []
    for zone in loom_zones(ring.plan):
        outer_mm = edge_mm - (band_mm + 0.8 if zone.inner else 0.0)
        outline = ring.outline(zone, outer_mm - band_mm, outer_mm)
        items += _filled(ring, zone, outline, outer_mm - band_mm, outer_mm)
        edges.append(polygon(outline, stroke_pt=style.fifth_pt))
    return [*items, *edges]


def _filled(
    ring: _Ring, zone: LoomZone, outline: list[Point], inner_mm: float, outer_mm: float
) -> list[Item]:
    match zone.pattern:
        case Pattern.BLANK:
            return []
        case Pattern.STROKES:
            return [hatch(outline, pitch_mm=1.4, degrees=45)]
        case Pattern.CROSSED:
            return [hatch(outline, pitch_mm=1.4, degrees=angle) for angle in (45, 135)]
        case Pattern.BARS:
            bars = [
                (*ring.point(place, inner_mm), *ring.point(place, outer_mm))
                for place in range(zone.first, zone.last + 1)
            ]
            return [lines(bars, stroke_pt=1.2)]


def _peg_signs(ring: _Ring, signs: dict[int, PegSign]) -> list[Item]:
    """Each place's peg; one path a kind of sign."""
    filled: list[Segment] = []
    open_: list[Segment] = []
    struck: list[tuple[float, float, float, float]] = []
    radius_mm = ring.peg_mm
    for place, sign in signs.items():
        x_mm, y_mm = ring.point(place, ring.radius_mm)
        if sign is PegSign.EMPTY:
            struck += _cross(x_mm, y_mm, radius_mm)
            continue
        disc = (*arc_segments(x_mm, y_mm, radius_mm, 0, 360), Close())
        if sign is PegSign.WORKED:
            filled += disc
            continue
        open_ += disc
        if sign is PegSign.HELD:
            inner, outer = ring.radius_mm - radius_mm * 1.7, ring.radius_mm + radius_mm * 1.7
            struck.append((*ring.point(place, inner), *ring.point(place, outer)))
    items: list[Item] = []
    if open_:
        items.append(Path(tuple(open_), 0.6, BLACK))
    if struck:
        items.append(lines(struck, stroke_pt=0.8))
    if filled:
        items.append(Path(tuple(filled), 0.6, BLACK, BLACK))
    return items


def _cross(x_mm: float, y_mm: float, reach_mm: float) -> list[tuple[float, float, float, float]]:
    return [
        (x_mm - reach_mm, y_mm + way * reach_mm, x_mm + reach_mm, y_mm - way * reach_mm)
        for way in (1, -1)
    ]


def _peg_numbers(ring: _Ring, numbers: _Numbers) -> list[Item]:
    items: list[Item] = []
    drop_mm = _figure_height_mm(numbers.size_pt) / 2
    for peg in range(1, ring.plan.loom.pegs + 1):
        circle_mm = numbers.circles_mm[(peg - 1) % len(numbers.circles_mm)]
        x_mm, y_mm = ring.point(ring.place(peg), circle_mm)
        fifth = peg % 5 == 0 or peg == 1
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


def marker_places(plan: Plan) -> tuple[int, ...]:
    """Places whose peg has a marker just before it: where a zone begins or ends."""
    ring = plan.loom.pegs
    places = {1}
    for zone in loom_zones(plan):
        places |= {zone.first, zone.last % ring + 1}
    return tuple(sorted(places))


def _markers(ring: _Ring, edge_mm: float) -> list[Item]:
    """A small wedge inside the pegs, pointing into the gap; the round's start is filled."""
    segments: list[Segment] = []
    start: list[Segment] = []
    tip_mm = ring.radius_mm - ring.peg_mm * 0.4
    foot_mm = edge_mm + 0.35
    for place in marker_places(ring.plan):
        gap = place - 0.5
        half = min(0.42, 0.9 / ring.pitch_mm)
        corners = (
            ring.point(gap - half, foot_mm),
            ring.point(gap, tip_mm),
            ring.point(gap + half, foot_mm),
        )
        target = start if place == 1 else segments
        target += [MoveTo(*corners[0]), LineTo(*corners[1]), LineTo(*corners[2]), Close()]
    return [Path(tuple(segments), 0.5, BLACK, WHITE), Path(tuple(start), 0.5, BLACK, BLACK)]


def _first_peg(ring: _Ring) -> list[Item]:
    x_mm, y_mm = ring.point(ring.place(1), ring.radius_mm)
    return [circle(x_mm, y_mm, ring.peg_mm, stroke_pt=0.6, fill=BLACK)]


def _zone_names(ring: _Ring, edge_mm: float, band_mm: float, style: PageStyle) -> list[Item]:
    label = style.chart_label
    items: list[Item] = []
    for zone in loom_zones(ring.plan):
        middle_mm = edge_mm - band_mm / 2 - (band_mm + 0.8 if zone.inner else 0.0)
        x_mm, y_mm = ring.point((zone.first + zone.last) / 2, middle_mm)
        width_mm = text_width_mm(zone.name, Face.BOLD, label.size_pt)
        high_mm = _figure_height_mm(label.size_pt)
        items += [
            rect(
                x_mm - width_mm / 2 - 0.8,
                y_mm - high_mm / 2 - 1.0,
                width_mm + 1.6,
                high_mm + 2.0,
                radius_mm=0.8,
                stroke=None,
                fill=WHITE,
            ),
            Text(
                x_mm, y_mm + high_mm / 2, zone.name, Face.BOLD, label.size_pt, align=Align.CENTRE
            ),
        ]
    return items


def _direction(ring: _Ring, radius_mm: float, style: PageStyle) -> list[Item]:
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
    small, big = style.note, style.sub_head
    texts = [
        Text(ring.x_mm, ring.y_mm - 3.0, "Seen from above", big.face, big.size_pt, align=_MIDDLE),
    ]
    y_mm = ring.y_mm + 2.2
    for words in (
        f"{ring.plan.loom.pegs} pegs, {ring.plan.loom.spacing_text} apart",
        "The first round runs",
        f"{ring.plan.loom.working.value}",
        "as you face the pegs.",
    ):
        texts.append(Text(ring.x_mm, y_mm, words, small.face, small.size_pt, align=_MIDDLE))
        y_mm += small.leading_mm
    return [body, head, *texts]


_MIDDLE: Final = Align.CENTRE


def _start_label(ring: _Ring, outside_mm: float, style: PageStyle) -> list[Item]:
    """What the filled wedge and the filled peg are, in the free upper corner beside them."""
    plan = ring.plan
    label = style.chart_label
    left = plan.loom.rightward > 0
    x_mm = 0.0 if left else 2 * ring.x_mm
    align = Align.LEFT if left else Align.RIGHT
    words = ["Round start"]
    if plan.shift:
        words.append(f"from the leg on: peg {plan.peg(1)}")
    widest_mm = text_width_mm(words[0], Face.BOLD, label.size_pt)
    texts: list[Item] = []
    y_mm = label.baseline_mm
    for index, line_text in enumerate(words):
        face = Face.REGULAR if index else Face.BOLD
        texts.append(Text(x_mm, y_mm, line_text, face, label.size_pt, align=align))
        y_mm += label.leading_mm
    from_x = x_mm + (widest_mm / 2 if left else -widest_mm / 2)
    elbow = (from_x, y_mm - label.leading_mm + 1.6)
    points = [elbow, ring.point(0.5, outside_mm + 0.6)]
    if ring.pitch_mm > _ROOM_BETWEEN_NUMBERS_MM:
        points.append(ring.point(0.5, ring.radius_mm + 0.6))
    return [*texts, polyline(points, stroke_pt=0.5)]


_ROOM_BETWEEN_NUMBERS_MM: Final = 5.0
"""Between pegs this far apart a leader passes without touching their numbers."""


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


def pattern_swatch(pattern: Pattern, *, width_mm: float, height_mm: float) -> Block:
    """A sample of a zone's fill for the legend."""
    corners = ((0.0, 0.0), (width_mm, 0.0), (width_mm, height_mm), (0.0, height_mm))
    items: list[Item] = []
    match pattern:
        case Pattern.STROKES:
            items.append(hatch(corners, pitch_mm=1.4, degrees=45))
        case Pattern.CROSSED:
            items += [hatch(corners, pitch_mm=1.4, degrees=angle) for angle in (45, 135)]
        case Pattern.BARS:
            count = 4
            bars = [
                (width_mm * (i + 0.5) / count, 0.0, width_mm * (i + 0.5) / count, height_mm)
                for i in range(count)
            ]
            items.append(lines(bars, stroke_pt=1.2))
    items.append(polygon(corners, stroke_pt=0.6))
    return Block(tuple(items), width_mm, height_mm)


# --- One moment ------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Task:
    """Pegs that do the same while a part is worked."""

    words: str
    sign: PegSign
    first: int
    last: int


PARTS_WITH_MAP: Final = (Part.FLAP, Part.TURN, Part.FOOT, Part.TOE)
"""Where pegs change their task."""


def _tasks(plan: Plan, part: Part) -> tuple[_Task, ...]:
    heel, gusset, ring = plan.heel_pegs, plan.gusset_pegs, plan.loom.pegs
    match part:
        case Part.FLAP:
            return (
                _Task("heel: worked to and fro", PegSign.WORKED, 1, heel),
                _Task("instep: waits", PegSign.WAITING, heel + 1, ring),
            )
        case Part.TURN:
            return (
                _Task("gusset: loops on holders", PegSign.HELD, 1, gusset),
                _Task("turn: worked to and fro", PegSign.WORKED, gusset + 1, heel - gusset),
                _Task("gusset: loops on holders", PegSign.HELD, heel - gusset + 1, heel),
                _Task("instep: waits", PegSign.WAITING, heel + 1, ring),
            )
        case Part.FOOT:
            return (
                _Task("edge loops hung back", PegSign.HELD, 1, gusset),
                _Task("live", PegSign.WORKED, gusset + 1, heel - gusset),
                _Task("edge loops hung back", PegSign.HELD, heel - gusset + 1, heel),
                _Task("live", PegSign.WORKED, heel + 1, ring),
            )
        case Part.TOE:
            first, last = plan.toe_offset + 1, plan.toe_offset + plan.toe_pegs
            toe = _Task("toe: worked to and fro", PegSign.WORKED, first, last)
            empty = int(plan.closing_decrease)
            rest = _Task("the rest: wait", PegSign.WAITING, last + 1 + empty, first - 1 + ring)
            gap = _Task("empty since the decrease", PegSign.EMPTY, last + 1, last + 1)
            return (toe, gap, rest) if empty else (toe, rest)
        case _:
            return ()


def small_loom_map(
    plan: Plan,
    part: Part,
    yarn_peg: PegNumber,
    *,
    width_mm: float,
    height_mm: float,
    style: PageStyle = BOOKLET,
) -> Block:
    """The ring as a part of PARTS_WITH_MAP begins, and beside it what each peg does.

    Only the pegs at borders are numbered; the yarn waits at the peg with the arrow.
    """
    tasks = _tasks(plan, part)
    note = style.note
    wide_mm = text_width_mm(str(plan.loom.pegs), Face.REGULAR, note.size_pt)
    radius_mm = height_mm / 2 - wide_mm - 1.6
    ring = _Ring(plan, height_mm / 2, height_mm / 2, radius_mm)
    signs = {}
    borders: set[tuple[int, int]] = set()
    for task in tasks:
        for place in range(task.first, task.last + 1):
            signs[(place - 1) % plan.loom.pegs + 1] = task.sign
        borders |= {(task.first, -1), (task.last, 1)}
    items: list[Item] = list(_peg_signs(ring, signs))
    drop_mm = _figure_height_mm(note.size_pt) / 2
    circle_mm = radius_mm + ring.peg_mm * 1.7 + wide_mm / 2 + 0.4
    # Numbers on both sides of a border move apart where pegs stand close.
    apart = max(0.0, (3.3 / (ring.pitch_mm * circle_mm / radius_mm) - 1) / 2)
    for place, side in sorted(borders):
        x_mm, y_mm = ring.point(place - side * apart, circle_mm)
        number = str(plan.peg(place))
        items.append(Text(x_mm, y_mm + drop_mm, number, size_pt=note.size_pt, align=_MIDDLE))
    items.append(_yarn_arrow(ring, ring.place(yarn_peg)))
    left_mm = height_mm + 3.0
    column_mm = width_mm - left_mm
    legend = _task_legend(plan, tasks, yarn_peg, column_mm, style)
    top_mm = max(0.0, (height_mm - legend.height_mm) / 2)
    items.append(legend.placed(left_mm, top_mm))
    block = Block(tuple(items), width_mm, max(height_mm, legend.height_mm))
    words = "; ".join(f"{name} {pegs}" for name, pegs in _task_pegs(plan, tasks).items())
    return figure(block, f"The ring seen from above as the {part.value} begins: {words}.")


def _task_pegs(plan: Plan, tasks: Iterable[_Task]) -> dict[str, str]:
    """Pegs by what they do, in the order of the round."""
    zones: dict[str, list[LoomZone]] = {}
    for task in tasks:
        zone = LoomZone(task.words, task.first, task.last, Pattern.BLANK)
        zones.setdefault(task.words, []).append(zone)
    return {words: zone_pegs(plan, group) for words, group in zones.items()}


def _task_legend(
    plan: Plan, tasks: tuple[_Task, ...], yarn_peg: PegNumber, width_mm: float, style: PageStyle
) -> Block:
    body = style.note
    items: list[Item] = []
    signs = {task.words: task.sign for task in tasks}
    y_mm = 0.0
    indent_mm = 5.0
    entries = [
        (signs[words], words, pegs) for words, pegs in _task_pegs(plan, tasks).items()
    ]
    for sign, words, pegs in entries:
        text = (bold(f"{words[0].upper()}{words[1:]}."), Run(f" Pegs{NO_BREAK_SPACE}{pegs}."))
        placed = set_paragraph(text, indent_mm, y_mm, width_mm - indent_mm, body)
        middle_mm = y_mm + body.baseline_mm - _figure_height_mm(body.size_pt) / 2
        items += [*_sign_alone(sign, 1.5, middle_mm), placed.group]
        y_mm = placed.next_mm
    middle_mm = y_mm + body.baseline_mm - _figure_height_mm(body.size_pt) / 2
    items.append(
        polygon(
            ((0.0, middle_mm - 1.3), (2.8, middle_mm), (0.0, middle_mm + 1.3)),
            stroke=None,
            fill=BLACK,
        )
    )
    placed = set_paragraph(
        (bold("The yarn"), Run(f" is at peg {yarn_peg}.")), indent_mm, y_mm, width_mm - indent_mm,
        body,
    )
    items.append(placed.group)
    return Block(tuple(items), width_mm, placed.box.bottom_mm)


def _sign_alone(sign: PegSign, x_mm: float, y_mm: float) -> list[Item]:
    radius_mm = 1.1
    if sign is PegSign.EMPTY:
        return [lines(_cross(x_mm, y_mm, radius_mm), stroke_pt=0.8)]
    fill = BLACK if sign is PegSign.WORKED else None
    items: list[Item] = [circle(x_mm, y_mm, radius_mm, stroke_pt=0.6, fill=fill)]
    if sign is PegSign.HELD:
        reach_mm = radius_mm * 1.5
        items.append(line(x_mm, y_mm - reach_mm, x_mm, y_mm + reach_mm, stroke_pt=0.8))
    return items


def _yarn_arrow(ring: _Ring, place: int) -> Path:
    """A wedge inside the ring that points out at the peg."""
    tip = ring.point(place, ring.radius_mm - ring.peg_mm - 0.5)
    angle = math.radians(ring.degrees(place))
    out = (math.sin(angle), -math.cos(angle))
    foot = (tip[0] - out[0] * 2.8, tip[1] - out[1] * 2.8)
    side = (-out[1] * 1.3, out[0] * 1.3)
    return polygon(
        (tip, (foot[0] + side[0], foot[1] + side[1]), (foot[0] - side[0], foot[1] - side[1])),
        stroke=None,
        fill=BLACK,
    )
