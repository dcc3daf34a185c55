"""The sock drawn to scale from its measures, with the measured places lettered.

Seen from the side as it is worn: heights are measured up the back, lengths along the sole, and the
leg is as thick as a tube of the sock's round.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from math import pi
from typing import Final

from charts.parts import Part
from charts.sock_measures import Measures
from charts.spec import Units
from layouts.block import Block, DoesNotFitError
from layouts.faces import Face, metrics
from layouts.paper import MM_PER_INCH, MM_PER_PT
from layouts.scene import (
    BLACK,
    WHITE,
    Align,
    CurveTo,
    Group,
    Item,
    Join,
    MoveTo,
    Path,
    Role,
    Text,
    circle,
    line,
    lines,
)
from layouts.sock_outline import SockShape, scaled
from layouts.style import PageStyle
from layouts.text import NO_BREAK_SPACE


class Place(Enum):
    """A measured place; the value is its letter."""

    ROUND = "A"
    LENGTH = "B"
    TO_TOE = "C"
    HEIGHT = "D"
    CUFF = "E"
    FLAP = "F"

    @property
    def words(self) -> str:
        """What is measured there."""
        return _WORDS[self]

    def mm(self, measures: Measures) -> float:
        """Its size in the finished sock."""
        match self:
            case Place.ROUND:
                return measures.round.mm
            case Place.LENGTH:
                return measures.length.mm
            case Place.TO_TOE:
                return measures.turn.mm + measures.foot.mm
            case Place.HEIGHT:
                return measures.height.mm
            case Place.CUFF:
                return measures.cuff.mm
            case Place.FLAP:
                return measures.flap.mm


_WORDS: Final = {
    Place.ROUND: "round leg and foot",
    Place.LENGTH: "heel to tip",
    Place.TO_TOE: "heel to start of toe",
    Place.HEIGHT: "floor to top",
    Place.CUFF: "cuff",
    Place.FLAP: "heel flap",
}


# --- Lengths in words ------------------------------------------------------------------------

_EIGHTHS: Final = ("", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞")


def cm_words(length_mm: float) -> str:
    """Centimetres to the millimetre, without the unit.

    >>> cm_words(220.0), cm_words(66.66)
    ('22.0', '6.7')
    """
    return f"{length_mm / 10:.1f}"


def inch_words(length_mm: float) -> str:
    """Inches to the nearest eighth, without the unit.

    >>> inch_words(220.0), inch_words(25.4), inch_words(6.0), inch_words(1.0)
    ('8⅝', '1', '¼', '0')
    """
    whole, eighths = divmod(round(length_mm / MM_PER_INCH * 8), 8)
    return f"{whole or ('' if eighths else 0)}{_EIGHTHS[eighths]}"


def both_words(length_mm: float, units: Units) -> str:
    """The length in the units asked for.

    >>> both_words(235.0, Units.CM).replace(NO_BREAK_SPACE, " ")
    '23.5 cm (9¼ in)'
    """
    metric = f"{cm_words(length_mm)}{NO_BREAK_SPACE}cm"
    inches = f"{inch_words(length_mm)}{NO_BREAK_SPACE}in"
    return units.told(metric, inches)


# --- The drawing -----------------------------------------------------------------------------

SCALES: Final = (1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 12.0, 15.0, 20.0)
"""How many times smaller than the sock a drawing may be."""
_BADGE_MM: Final = 2.1
"""Radius of the disc behind a letter on an A5 page."""
_LEFT_MM: Final = 17.0
_RIGHT_MM: Final = 9.0
_BELOW_MM: Final = 13.0
"""Room round the outline for the letters."""
_NEAR_MM: Final = 4.5
_FAR_MM: Final = 10.5
"""From the outline to the two rows of measuring lines."""


def measured_shape(measures: Measures) -> SockShape:
    """The outline in mm: along the back and the sole exactly the sizes measured.

    The leg is round / π thick, less only where the foot is too short for that.
    """
    to_toe_mm = measures.turn.mm + measures.foot.mm
    width = min(measures.round.mm / pi, 0.6 * to_toe_mm)
    heel_start = measures.cuff.mm + measures.leg.mm
    sole = measures.height.mm
    bulge = 0.06 * width
    foot_top = max(heel_start + 0.12 * width, sole - 0.72 * width)
    return SockShape(
        width=width,
        cuff_end=measures.cuff.mm,
        heel_start=heel_start,
        flap_end=sole - min(0.4 * width, 0.45 * measures.flap.mm),
        flap_width=0.6 * width,
        sole=sole,
        turn_length=measures.turn.mm - bulge,
        toe_start=to_toe_mm - bulge,
        toe_end=measures.length.mm - bulge,
        foot_top=min(foot_top, sole - 0.3 * width),
        bend=min(0.42 * width, 0.7 * heel_start),
        bulge=bulge,
    )


@dataclass(frozen=True)
class MeasuredOutline:
    """The drawing and how many times smaller than the sock it is."""

    block: Block
    scale: float


def measured_outline(
    measures: Measures, *, width_mm: float, height_mm: float, style: PageStyle
) -> MeasuredOutline:
    """The largest drawing at a round scale that fits, every measured place lettered.

    Raises DoesNotFitError if even the smallest scale is too large.
    """
    shape, growth = measured_shape(measures), style.growth
    room = (width_mm - (_LEFT_MM + _RIGHT_MM) * growth, height_mm - _BELOW_MM * growth)
    scale = next(
        (
            scale
            for scale in SCALES
            if shape.length / scale <= room[0] and shape.height / scale <= room[1]
        ),
        None,
    )
    if scale is None:
        raise DoesNotFitError("a measured sock needs more room; a larger page would do")
    drawn = scale * growth
    drawing = _Drawing(shape, drawn, style.drawn)
    words = ", ".join(f"{place.value} {place.words}" for place in Place)
    figure = Group(
        tuple(drawing.items()), role=Role.FIGURE, alt=f"The sock from the side; lettered: {words}."
    )
    block = Block(
        (figure,),
        _LEFT_MM + shape.length / drawn + _RIGHT_MM,
        shape.height / drawn + _BELOW_MM,
    )
    return MeasuredOutline(block.grown(growth), scale)


@dataclass(frozen=True)
class _Drawing:
    """Draws a shape with the back of its heel `_LEFT_MM` from the left edge."""

    shape: SockShape
    scale: float
    style: PageStyle

    def items(self) -> Iterator[Item]:
        shape = self.shape
        origin = (_LEFT_MM + shape.bulge / self.scale, 0.5)
        for part in (Part.CUFF, Part.FLAP, Part.TURN, Part.TOE):
            region = shape.region(part)
            if region:
                yield Path(scaled(region, 1 / self.scale, *origin), 0.5, join=Join.ROUND)
        outline = scaled(shape.outline(), 1 / self.scale, *origin)
        yield Path(outline, 1.2, join=Join.ROUND)
        yield from self._round()
        heel, tip = self._x(-shape.bulge), self._x(shape.toe_end)
        floor = self._y(shape.sole)
        yield from self._level(Place.TO_TOE, heel, self._x(shape.toe_start), floor + _NEAR_MM)
        yield from self._level(Place.LENGTH, heel, tip, floor + _FAR_MM)
        yield from self._upright(Place.FLAP, self._y(shape.heel_start), floor, heel - _NEAR_MM)
        yield from self._upright(Place.HEIGHT, self._y(0), floor, heel - _FAR_MM - 2.0)
        front = self._x(shape.width)
        yield from self._upright(Place.CUFF, self._y(0), self._y(shape.cuff_end), front + _NEAR_MM)

    def _x(self, shape_x: float) -> float:
        return _LEFT_MM + (self.shape.bulge + shape_x) / self.scale

    def _y(self, shape_y: float) -> float:
        return 0.5 + shape_y / self.scale

    def _round(self) -> Iterator[Item]:
        """A ring round the leg: in front a full line, behind a broken one."""
        shape = self.shape
        left, right = self._x(0), self._x(shape.width)
        lowest = shape.heel_start - shape.bend
        has_leg = lowest > shape.cuff_end
        at = (shape.cuff_end + lowest) / 2 if has_leg else shape.heel_start / 2
        y_mm, half = self._y(at), (right - left) / 2
        sag, arm = 0.16 * half, 0.5523 * half
        middle = (left + right) / 2
        for way, dash in ((1.0, ()), (-1.0, (0.9, 0.9))):
            deep = y_mm + way * sag
            yield Path(
                (
                    MoveTo(left, y_mm),
                    CurveTo(left, y_mm + way * 0.5523 * sag, middle - arm, deep, middle, deep),
                    CurveTo(middle + arm, deep, right, y_mm + way * 0.5523 * sag, right, y_mm),
                ),
                0.7,
                dash_mm=dash,
            )
        yield line(left - _NEAR_MM, y_mm, left, y_mm, stroke_pt=0.5)
        yield from badge(Place.ROUND, left - _NEAR_MM, y_mm, self.style)

    def _level(self, place: Place, left: float, right: float, y_mm: float) -> Iterator[Item]:
        yield line(left, y_mm, right, y_mm, stroke_pt=0.5)
        yield lines([(x_mm, y_mm - 1.2, x_mm, y_mm + 1.2) for x_mm in (left, right)], stroke_pt=0.7)
        yield from badge(place, (left + right) / 2, y_mm, self.style)

    def _upright(self, place: Place, top: float, bottom: float, x_mm: float) -> Iterator[Item]:
        yield line(x_mm, top, x_mm, bottom, stroke_pt=0.5)
        yield lines([(x_mm - 1.2, y_mm, x_mm + 1.2, y_mm) for y_mm in (top, bottom)], stroke_pt=0.7)
        yield from badge(place, x_mm, (top + bottom) / 2, self.style)


def badge_mm(style: PageStyle) -> float:
    """Radius of the disc behind a letter."""
    return _BADGE_MM * style.growth


def badge(place: Place, x_mm: float, y_mm: float, style: PageStyle) -> Iterator[Item]:
    """The letter of a place, white on a black disc about a point."""
    size_pt = style.note.size_pt
    high_mm = metrics(Face.BOLD).cap_height * size_pt * MM_PER_PT / 1000
    yield circle(x_mm, y_mm, badge_mm(style), stroke=None, fill=BLACK)
    yield Text(x_mm, y_mm + high_mm / 2, place.value, Face.BOLD, size_pt, WHITE, Align.CENTRE)


def scale_words(scale: float) -> str:
    """The scale of a drawing, e.g. "drawn 1 : 4"."""
    return f"drawn{NO_BREAK_SPACE}1{NO_BREAK_SPACE}:{NO_BREAK_SPACE}{scale:g}"
