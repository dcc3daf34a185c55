"""The stitch symbols as shapes in a unit square: one table for the symbol font and for SVG.

The square is one cell of a chart, origin at its top left corner, y down.  Symbols are strokes of
one weight and discs, given by their middle lines; `outlines` turns them into closed outlines to
fill.  `fonts/build_symbols.py` makes the font from the same outlines, so paper and screen agree.

Shapes follow common practice where the trade has one (dot, V, leaning stroke, crossed loop, crossed
strands); there is no published standard for them on looms.  The rest are our own: see the key that
every chart prints.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from functools import cache
from itertools import pairwise
from typing import Final

from layouts.paper import MM_PER_PT
from layouts.scene import (
    BLACK,
    WHITE,
    Box,
    Close,
    Group,
    Ink,
    LineTo,
    MoveTo,
    Path,
    Segment,
    hatch,
    rect,
)

Point = tuple[float, float]
Outline = tuple[Point, ...]
"""A closed shape, filled by the non-zero winding rule together with the others of its symbol."""

WEIGHT: Final = 0.12
"""Width of every stroke, in cells."""

_HATCH_WEIGHT: Final = 0.05
"""Hatching is a tint, not a symbol; thinner, so that no line of it looks like a decrease."""

_HATCH_PITCH: Final = 0.2357
"""Between two strokes of the hatching, in symbols: three strokes on a side."""

_FLATTENING_DEGREES: Final = 9.0
"""Turn of an arc from one point to the next: on a cell of 10 mm it strays by under 0.01 mm."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line of weight WEIGHT with round ends through these points."""

    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Disc:
    """A filled circle."""

    x: float
    y: float
    diameter: float


@dataclass(frozen=True, slots=True)
class Area:
    """A filled shape with straight sides."""

    corners: tuple[Point, ...]


Shape = Stroke | Disc | Area


def _arc(x: float, y: float, radius: float, start: float, end: float) -> tuple[Point, ...]:
    """Points of an arc; degrees clockwise from twelve o'clock."""
    count = max(1, round(abs(end - start) / _FLATTENING_DEGREES))
    angles = (math.radians(start + (end - start) * index / count) for index in range(count + 1))
    return tuple((x + radius * math.sin(angle), y - radius * math.cos(angle)) for angle in angles)


def _curve(p0: Point, p1: Point, p2: Point, p3: Point) -> tuple[Point, ...]:
    """Points of a cubic Bézier curve."""
    return tuple(
        (
            (1 - t) ** 3 * p0[0]
            + 3 * (1 - t) ** 2 * t * p1[0]
            + 3 * (1 - t) * t * t * p2[0]
            + t**3 * p3[0],
            (1 - t) ** 3 * p0[1]
            + 3 * (1 - t) ** 2 * t * p1[1]
            + 3 * (1 - t) * t * t * p2[1]
            + t**3 * p3[1],
        )
        for t in (index / 16 for index in range(17))
    )


def _strokes(*paths: Sequence[Point]) -> tuple[Stroke, ...]:
    return tuple(Stroke(tuple(path)) for path in paths)


def _arrow(tail: Point, tip: Point, barb: float = 0.24) -> tuple[Stroke, ...]:
    """A level or upright arrow; its barbs go back by `barb`."""
    dx = (tip[0] > tail[0]) - (tip[0] < tail[0])
    dy = (tip[1] > tail[1]) - (tip[1] < tail[1])
    back_x, back_y = tip[0] - dx * barb, tip[1] - dy * barb
    head = ((back_x - dy * barb, back_y - dx * barb), tip, (back_x + dy * barb, back_y + dx * barb))
    return _strokes((tail, tip), head)


_LOW, _HIGH = 0.86, 0.14
"""Middle line of strokes at the foot and the top of the cell; their ink ends 0.08 from its edge."""

_HOOK: Final = ((0.76, _LOW), *_arc(0.44, 0.72, 0.14, 180, 360))

_E_LOOP: Final = (
    *_curve((0.22, _LOW), (0.42, 0.74), (0.80, 0.50), (0.76, 0.32)),
    *_curve((0.76, 0.32), (0.72, 0.08), (0.28, 0.08), (0.24, 0.32))[1:],
    *_curve((0.24, 0.32), (0.20, 0.50), (0.58, 0.74), (0.78, _LOW))[1:],
)

SYMBOLS: Final[dict[str, tuple[Shape, ...]]] = {
    "k": (),
    "u": _strokes(((0.32, 0.46), *_arc(0.5, 0.68, 0.18, 270, 90), (0.68, 0.46))),
    "e": _strokes(_E_LOOP),
    "p": (Disc(0.5, 0.5, 0.30),),
    "s": _strokes(((_HIGH, _HIGH), (0.5, _LOW), (_LOW, _HIGH))),
    "t": _strokes(((0.37, _HIGH), (0.37, _LOW)), ((0.63, _HIGH), (0.63, _LOW))),
    "d": (
        # The heavy head is seen where two strokes and a bar would run together in grey.
        Area(((0.08, 0.08), (0.92, 0.08), (0.92, 0.50), (0.08, 0.50))),
        *_strokes(((0.32, 0.44), (0.32, _LOW)), ((0.68, 0.44), (0.68, _LOW))),
    ),
    "w": _strokes((*_HOOK, (0.54, 0.58))),
    "W": _strokes((*_HOOK, (0.62, 0.58), (0.62, _HIGH))),
    "b": _strokes(((0.20, _LOW), (0.80, _LOW)), ((0.24, 0.62), (0.5, 0.16), (0.76, 0.62))),
    "/": _strokes(((_HIGH, _LOW), (_LOW, _HIGH))),
    "\\": _strokes(((_HIGH, _HIGH), (_LOW, _LOW))),
    "j": _strokes(((0.5, _HIGH), (0.5, _LOW)), ((_HIGH, 0.5), (_LOW, 0.5))),
    "x": _strokes(((_HIGH, _HIGH), (_LOW, _LOW)), ((_HIGH, _LOW), (_LOW, _HIGH))),
    "R": (),
    "r": (),
    "L": (),
    "l": (),
    "h": (),
    "H": _arrow((0.5, _HIGH), (0.5, _LOW)),
    "G": _arrow((0.5, _LOW), (0.5, _HIGH)),
    # The bar lies at the foot: at the top it would make a pair with the bar of a b above it.
    "B": (*_strokes(((_HIGH, _LOW), (_LOW, _LOW))), *_arrow((0.5, _LOW), (0.5, 0.26))),
    "M": _arrow((_HIGH, 0.5), (_LOW, 0.5)),
    "m": _arrow((_LOW, 0.5), (_HIGH, 0.5)),
    "O": (
        *_strokes(((_HIGH, 0.54), (_HIGH, _LOW), (_LOW, _LOW), (_LOW, 0.54))),
        *_arrow((0.5, 0.66), (0.5, _HIGH)),
    ),
    "?": (Area(((0.5, 0.1), (0.9, 0.5), (0.5, 0.9), (0.1, 0.5))),),
    " ": (),
}
"""Every symbol by its letter: stitches first, then the moves between rows.

The strands of a cable (R, r, L, l) are empty here: `cable_cross` draws the whole cross over them.
So is h, a held loop: `held_hatching` fills cells of any proportions evenly.  H hold, G hang back,
B lift the bar, M and m move a loop to the right and to the left, O take off onto a needle.
? stands for a letter without a symbol.
"""


class Over(Enum):
    """Which strand of a cable cross lies on top: the one that starts at the left or at the right.

    LEFT leans to the right (a right cross), RIGHT leans to the left.
    """

    LEFT = "left"
    RIGHT = "right"


@cache
def outlines(letter: str) -> tuple[Outline, ...]:
    """The closed outlines of a symbol, to be filled by the non-zero winding rule; () if empty.

    Raises KeyError for a letter without a symbol.
    """
    return tuple(outline for shape in SYMBOLS[letter] for outline in _shape_outlines(shape))


def symbol_path(letter: str, x_mm: float, y_mm: float, cell_mm: float, *, ink: Ink = BLACK) -> Path:
    """A symbol drawn in the cell whose top left corner is given."""
    segments = path_segments(outlines(letter), x_mm, y_mm, cell_mm)
    return Path(segments, stroke=None, fill=ink)


def held_hatching(cells: Box, symbol_mm: float, *, ink: Ink = BLACK) -> Path:
    """The hatching of neighbouring held cells, where symbols are that large.

    Its strokes lie on one lattice, so it runs on from cell to cell and from row to row.
    """
    corners = (
        (cells.left_mm, cells.top_mm),
        (cells.right_mm, cells.top_mm),
        (cells.right_mm, cells.bottom_mm),
        (cells.left_mm, cells.bottom_mm),
    )
    return hatch(
        corners,
        pitch_mm=_HATCH_PITCH * symbol_mm,
        stroke_pt=_HATCH_WEIGHT * symbol_mm / MM_PER_PT,
        ink=ink,
    )


def cable_cross(
    left_width: int,
    right_width: int,
    over: Over,
    *,
    x_mm: float,
    y_mm: float,
    cell_mm: float,
    cell_width_mm: float | None = None,
    ink: Ink = BLACK,
    ground: Ink = WHITE,
) -> Group:
    """A cable cross over `left_width + right_width` cells of one row; paint it after the grid.

    `x_mm`, `y_mm` is the top left corner of its first cell, `cell_mm` the height of the row; cells
    are square unless `cell_width_mm` says otherwise.  The cross hides the grid lines inside it with
    the `ground` of its cells, as the symbol is one shape as wide as all its stitches.  Each strand
    is a pair of edge lines from the foot of the row to its top; the strand on top is unbroken, the
    other stops short of it (common practice, no published standard).
    """
    aspect = 1.0 if cell_width_mm is None else cell_width_mm / cell_mm
    left, right = left_width * aspect, right_width * aspect
    margin_mm = _HIDDEN_FROM * cell_mm
    hidden = rect(
        x_mm + margin_mm,
        y_mm + margin_mm,
        (left + right) * cell_mm - 2 * margin_mm,
        cell_mm - 2 * margin_mm,
        stroke=None,
        fill=ground,
    )
    segments = path_segments(_cable_outlines(left, right, over), x_mm, y_mm, cell_mm)
    return Group((hidden, Path(segments, stroke=None, fill=ink)))


_HIDDEN_FROM: Final = 0.06
"""How far inside the cells the grid is hidden: clear of the border, short of the strokes."""

_CLEARANCE: Final = 0.10
"""White between the strand on top and the end of the strand beneath."""


@cache
def _cable_outlines(left: float, right: float, over: Over) -> tuple[Outline, ...]:
    """The strands for widths in row heights."""
    whole = left + right
    if over is Over.RIGHT:
        # The same cross in a mirror; walked backwards, so that it still turns clockwise.
        mirrored = _cable_outlines(right, left, Over.LEFT)
        return tuple(tuple((whole - x, y) for x, y in reversed(outline)) for outline in mirrored)
    top_left = ((_HIGH, _LOW), (right + _HIGH, _HIGH))
    top_right = ((left - _HIGH, _LOW), (whole - _HIGH, _HIGH))
    strokes = [Stroke(top_left), Stroke(top_right)]
    for start, end in (
        ((left + _HIGH, _LOW), (_HIGH, _HIGH)),
        ((whole - _HIGH, _LOW), (right - _HIGH, _HIGH)),
    ):
        # Measured along the strand beneath, the white is wider the flatter the two cross.
        sine = math.sin(_angle(start, end) - _angle(*top_right))
        gap = (WEIGHT + _CLEARANCE) / abs(sine) / math.dist(start, end)
        hidden_from = _crossing(start, end, top_right) - gap
        hidden_to = _crossing(start, end, top_left) + gap
        strokes += [
            Stroke((_along(start, end, first), _along(start, end, last)))
            for first, last in ((0.0, hidden_from), (hidden_to, 1.0))
            if first < last
        ]
    return tuple(outline for stroke in strokes for outline in _shape_outlines(stroke))


def _angle(start: Point, end: Point) -> float:
    return math.atan2(end[1] - start[1], end[0] - start[0])


def _crossing(start: Point, end: Point, other: tuple[Point, Point]) -> float:
    """How far from `start` to `end`, 0 to 1, the line through both meets the line `other`."""
    (x1, y1), (x2, y2) = other
    dx, dy = x2 - x1, y2 - y1
    ahead = (end[0] - start[0]) * dy - (end[1] - start[1]) * dx
    return ((x1 - start[0]) * dy - (y1 - start[1]) * dx) / ahead


def _along(start: Point, end: Point, part: float) -> Point:
    return (start[0] + part * (end[0] - start[0]), start[1] + part * (end[1] - start[1]))


def path_segments(
    shapes: Sequence[Outline], x_mm: float = 0.0, y_mm: float = 0.0, cell_mm: float = 1.0
) -> tuple[Segment, ...]:
    """Outlines as the segments of a path, in a cell whose top left corner is given."""
    segments: list[Segment] = []
    for outline in shapes:
        first, *others = ((x_mm + x * cell_mm, y_mm + y * cell_mm) for x, y in outline)
        segments += (MoveTo(*first), *(LineTo(*point) for point in others), Close())
    return tuple(segments)


# --- From middle lines to outlines -----------------------------------------------------------


def _shape_outlines(shape: Shape) -> tuple[Outline, ...]:
    match shape:
        case Stroke(points):
            return (_stroke_outline(points),)
        case Disc(x, y, diameter):
            return (_arc(x, y, diameter / 2, 0, 360)[:-1],)
        case Area(corners):
            return (corners,)


def _stroke_outline(points: Sequence[Point]) -> Outline:
    """Out along the left side of the line, round its end, back along the right side, round again.

    Every outline so made turns clockwise on the page, even where the line crosses itself, so the
    non-zero winding rule fills all of it.
    """
    forth, back = list(points), list(reversed(points))
    return tuple(_side(forth) + _side(back))


def _side(points: Sequence[Point]) -> list[Point]:
    """The points half a weight to the left of the line, and the round end after its last point."""
    half = WEIGHT / 2
    angles = [math.atan2(y2 - y1, x2 - x1) for (x1, y1), (x2, y2) in pairwise(points)]
    found = [_beside(points[0], angles[0], half)]
    for point, before, after in zip(points[1:-1], angles, angles[1:], strict=False):
        turn = (after - before + math.pi) % (2 * math.pi) - math.pi
        if turn > math.radians(2 * _FLATTENING_DEGREES):
            # A corner whose outer side this is: round.
            found += _fan(point, before, turn, half)
        else:
            found.append(_beside(point, before + turn / 2, half / math.cos(turn / 2)))
    found += _fan(points[-1], angles[-1], math.pi, half)
    return found


def _beside(point: Point, angle: float, distance: float) -> Point:
    """To the left of someone who stands at `point` and walks towards `angle`, y down."""
    return (point[0] + distance * math.sin(angle), point[1] - distance * math.cos(angle))


def _fan(point: Point, angle: float, turn: float, distance: float) -> list[Point]:
    count = max(1, round(math.degrees(turn) / _FLATTENING_DEGREES))
    return [_beside(point, angle + turn * step / count, distance) for step in range(count + 1)]
