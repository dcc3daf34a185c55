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
from typing import Final

from layouts.scene import BLACK, Close, Ink, LineTo, MoveTo, Path, Segment

Point = tuple[float, float]
Outline = tuple[Point, ...]
"""A closed shape, filled by the non-zero winding rule together with the others of its symbol."""

WEIGHT: Final = 0.12
"""Width of every stroke, in cells."""

_HATCH_WEIGHT: Final = 0.05
"""Hatching is a tint, not a symbol; thinner, so that no line of it looks like a decrease."""

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
            (1 - t) ** 3 * p0[0] + 3 * (1 - t) ** 2 * t * p1[0] + 3 * (1 - t) * t * t * p2[0]
            + t**3 * p3[0],
            (1 - t) ** 3 * p0[1] + 3 * (1 - t) ** 2 * t * p1[1] + 3 * (1 - t) * t * t * p2[1]
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


def _hatching() -> tuple[Area, ...]:
    """Strokes rising to the right, three a cell, that run on from cell to cell."""
    half = _HATCH_WEIGHT * math.sqrt(0.5)
    bands = []
    for index in range(6):
        middle = (index + 0.5) / 3
        # The band lies where x + y is between middle - half and middle + half.
        low, high = middle - half, middle + half
        ends = [
            (min(low, 1.0), max(0.0, low - 1)), (min(high, 1.0), max(0.0, high - 1)),
            (max(0.0, high - 1), min(high, 1.0)), (max(0.0, low - 1), min(low, 1.0)),
        ]
        bands.append(Area(tuple(ends)))
    return tuple(bands)


_LOW, _HIGH = 0.86, 0.14
"""Middle line of strokes at the foot and the top of the cell; their ink ends 0.08 from its edge."""

_HOOK: Final = ((0.80, _LOW), (0.42, _LOW), *_arc(0.42, 0.69, 0.17, 180, 360))

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
    "d": _strokes(
        ((_HIGH, 0.18), (_LOW, 0.18)), ((0.32, 0.18), (0.32, _LOW)), ((0.68, 0.18), (0.68, _LOW))
    ),
    "w": _strokes((*_HOOK, (0.56, 0.52))),
    "W": _strokes((*_HOOK, (0.66, 0.52), (0.66, _HIGH))),
    "b": _strokes(((0.20, _LOW), (0.80, _LOW)), ((0.24, 0.62), (0.5, 0.16), (0.76, 0.62))),
    "/": _strokes(((_HIGH, _LOW), (_LOW, _HIGH))),
    "\\": _strokes(((_HIGH, _HIGH), (_LOW, _LOW))),
    "j": _strokes(((0.5, _HIGH), (0.5, _LOW)), ((_HIGH, 0.5), (_LOW, 0.5))),
    "x": _strokes(((_HIGH, _HIGH), (_LOW, _LOW)), ((_HIGH, _LOW), (_LOW, _HIGH))),
    "R": (),
    "r": (),
    "L": (),
    "l": (),
    "h": _hatching(),
    "H": _arrow((0.5, _HIGH), (0.5, _LOW)),
    "G": _arrow((0.5, _LOW), (0.5, _HIGH)),
    "B": (*_strokes(((_HIGH, _HIGH), (_LOW, _HIGH))), *_arrow((0.5, _LOW), (0.5, 0.36))),
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

The strands of a cable (R, r, L, l) are empty here: `cable_path` draws the whole cross over them.
h is the hatching of a held peg.  H hold, G hang back, B lift the bar, M and m move a loop to the
right and to the left, O take off onto a needle.  ? stands for a letter without a symbol.
"""
