"""The ring of pegs seen from above, as geometry and as zones of pegs; what both loom maps share.

The knitter sits at the foot of the picture, outside the ring, before the middle of the heel.  So
left and right in the picture are left and right at the loom.  Seen from above, a round worked
left to right as the knitter faces it runs against the clock (geometry).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import Enum
from typing import Final

from charts.plan import Plan
from charts.words import span
from layouts.faces import Face, metrics
from layouts.paper import MM_PER_PT
from layouts.scene import (
    BLACK,
    WHITE,
    Close,
    CurveTo,
    Item,
    MoveTo,
    Path,
    Segment,
    circle,
    lines,
    polyline,
)

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
class Ring:
    """Angles and points of one drawing of the ring."""

    plan: Plan
    x_mm: float
    y_mm: float
    radius_mm: float
    """To the middle of the pegs."""
    growth: float = 1.0
    """How much larger than on an A5 page its signs are."""

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
        return min(1.5 * self.growth, self.pitch_mm * 0.34)

    def outline(self, zone: LoomZone, inner_mm: float, outer_mm: float) -> list[Point]:
        """A zone's piece of a band, in straight sides of a few degrees."""
        first, last = zone.first - 0.5, zone.last + 0.5
        count = max(2, round((last - first) * 360 / self.plan.loom.pegs / 4))
        places = [first + (last - first) * i / count for i in range(count + 1)]
        outside = [self.point(place, outer_mm) for place in places]
        return outside + [self.point(place, inner_mm) for place in reversed(places)]


def marker_places(plan: Plan) -> tuple[int, ...]:
    """Places whose peg carries a marker: where a zone begins, or the one before it has ended.

    A band or a dot on the peg itself is common practice, no published source.
    """
    ring = plan.loom.pegs
    places = {1}
    for zone in loom_zones(plan):
        places |= {zone.first, zone.last % ring + 1}
    return tuple(sorted(places))


# --- Pegs ---


def figure_height_mm(size_pt: float) -> float:
    """Height of a numeral."""
    return metrics(Face.REGULAR).cap_height * size_pt * MM_PER_PT / 1000


def peg_signs(ring: Ring, signs: Mapping[int, PegSign]) -> list[Item]:
    """Each place's peg; one path a kind of sign."""
    filled: list[Segment] = []
    open_: list[Segment] = []
    struck: list[tuple[float, float, float, float]] = []
    radius_mm = ring.peg_mm
    for place, sign in signs.items():
        x_mm, y_mm = ring.point(place, ring.radius_mm)
        if sign is PegSign.EMPTY:
            struck += cross_strokes(x_mm, y_mm, radius_mm)
            continue
        outline = _disc(x_mm, y_mm, radius_mm)
        if sign is PegSign.WORKED:
            filled += outline
            continue
        open_ += outline
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


_ARM: Final = 0.5523
"""Control arms of a quarter circle, in radii: 4/3 tan(90°/4)."""


def _disc(x_mm: float, y_mm: float, radius_mm: float) -> tuple[Segment, ...]:
    """A circle as a closed path; a ring has many, so its angles are not worked out again."""
    left, right, top, foot = x_mm - radius_mm, x_mm + radius_mm, y_mm - radius_mm, y_mm + radius_mm
    arm = radius_mm * _ARM
    return (
        MoveTo(x_mm, top),
        CurveTo(x_mm + arm, top, right, y_mm - arm, right, y_mm),
        CurveTo(right, y_mm + arm, x_mm + arm, foot, x_mm, foot),
        CurveTo(x_mm - arm, foot, left, y_mm + arm, left, y_mm),
        CurveTo(left, y_mm - arm, x_mm - arm, top, x_mm, top),
        Close(),
    )


BALL_MM: Final = 1.5
"""Radius of the ball that stands for the yarn, on an A5 page."""


def yarn_ball(
    x_mm: float, y_mm: float, tail: tuple[Point, ...] = (), *, growth: float = 1.0
) -> list[Item]:
    """The yarn: a ball with its windings, and its tail by the points given."""
    radius_mm = BALL_MM * growth
    turns = [
        Path(
            (
                MoveTo(x_mm - radius_mm * 0.9, y_mm + shift_mm * growth),
                CurveTo(
                    x_mm - radius_mm * 0.3,
                    y_mm + shift_mm * growth - radius_mm * 0.9,
                    x_mm + radius_mm * 0.3,
                    y_mm + shift_mm * growth - radius_mm * 0.9,
                    x_mm + radius_mm * 0.9,
                    y_mm + shift_mm * growth,
                ),
            ),
            0.5,
        )
        for shift_mm in (0.1, 0.8)
    ]
    items: list[Item] = [circle(x_mm, y_mm, radius_mm, stroke_pt=0.8, fill=WHITE), *turns]
    if tail:
        items.insert(0, polyline(((x_mm, y_mm), *tail), stroke_pt=0.8))
    return items


def cross_strokes(
    x_mm: float, y_mm: float, reach_mm: float
) -> list[tuple[float, float, float, float]]:
    """The two strokes of a small cross."""
    return [
        (x_mm - reach_mm, y_mm + way * reach_mm, x_mm + reach_mm, y_mm - way * reach_mm)
        for way in (1, -1)
    ]
