"""The outline of a foot from above: built from its length and widths, or traced by its owner.

The outline stands as on the page, toes up: x runs from its left edge, y down from the tip, both in
mm; the heel end is at y = `length_mm`.  A built outline is our own construction: the ball and the
widths lie where the published proportions have them, and the smoothest curves join them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import isfinite, sqrt
from typing import Final

from fontTools.svgLib.path.parser import parse_path

from charts.feet import Foot
from charts.foot_measures import LONGEST_MM, SHORTEST_MM, Measure, Origin
from charts.problems import PatternError, Problem
from layouts.foot_side import FootSide
from layouts.scene import Close, CurveTo, LineTo, MoveTo, Segment

BALL_ALONG: Final = 0.74
"""The inner ball of the foot from the heel end, as a share of the foot length: mean of 182.05 /
246.29 (women) and 200.94 / 271.18 (men), ANSUR II (Natick/TR-15/007, 2014)."""
BALL_WIDTH_OF_ROUND: Final = 0.405
"""Ball width as a share of the ball circumference: mean of 92.71 / 228.11 (women) and 101.86 /
252.02 (men), ANSUR II.  Used for children too: no such figures of theirs were found."""
OUTER_BALL_ALONG: Final = 0.63
HEEL_ALONG: Final = 0.16
"""The joint of the little toe and the widest place of the heel, from the heel end, as shares of the
foot length: from memory."""


def ball_width(foot: Foot) -> Measure:
    """The width at the ball, which nobody measures with a tape, from the ball circumference."""
    basis = f"{BALL_WIDTH_OF_ROUND:g} of the ball circumference, ANSUR II"
    share = BALL_WIDTH_OF_ROUND
    return Measure(share * foot.ball.mm, Origin.ESTIMATED, share * foot.ball.error_mm, basis)


@dataclass(frozen=True, slots=True)
class FootOutline:
    """One closed outline."""

    segments: tuple[Segment, ...]
    width_mm: float
    length_mm: float
    traced: bool
    """By the foot's owner, not built by us."""

    def spans_at(self, y_mm: float) -> tuple[tuple[float, float], ...]:
        """From where to where a level line lies inside, left to right, by x in mm.

        One pair for a foot; more where a traced line wavers, none above the tip or below the heel.
        """
        return _pairs(_crossings(self.segments, _Y, y_mm))

    def depths_at(self, x_mm: float) -> tuple[tuple[float, float], ...]:
        """From where to where an upright line lies inside, top to bottom, by y in mm."""
        return _pairs(_crossings(self.segments, _X, x_mm))

    def between(self, top_mm: float, bottom_mm: float) -> tuple[Segment, ...]:
        """The strokes of the outline from one level to another, cut exactly there."""
        kept: list[list[_Curve]] = []
        for curve in _curves(self.segments):
            times = sorted(
                {0.0, 1.0, *_times_at(curve, _Y, top_mm), *_times_at(curve, _Y, bottom_mm)}
            )
            for start, end in pairwise(times):
                piece = _piece(curve, start, end)
                if not top_mm <= _point(piece, 0.5)[_Y] <= bottom_mm:
                    continue
                if kept and _meet(kept[-1][-1][-1], piece[0]):
                    kept[-1].append(piece)
                else:
                    kept.append([piece])
        return tuple(_strokes(_closed_up(kept)))


# --- Built -----------------------------------------------------------------------------------


def built_outline(
    length_mm: float, *, ball_width_mm: float, heel_width_mm: float, side: FootSide
) -> FootOutline:
    """A plain outline of exactly that length and those widths.

    Smooth curves join the heel end, both sides of the heel, the inner and the outer ball and the
    tip.  They run level through heel end and tip and upright through the ball, so they overshoot
    none of these; through the sides of the heel they slant as the foot widens.
    """
    heel = heel_width_mm / 2
    inner, outer = _INNER_OF_BALL * ball_width_mm, (_INNER_OF_BALL - 1) * ball_width_mm
    heel_y, inner_y, outer_y = (
        share * length_mm for share in (HEEL_ALONG, BALL_ALONG, OUTER_BALL_ALONG)
    )
    # x to the big toe's side from the middle of the heel, y from the heel end to the toes; each
    # node with the direction in which the outline runs through it.
    nodes: tuple[tuple[_Point, _Point], ...] = (
        ((0.0, 0.0), (1.0, 0.0)),
        ((heel, heel_y), (_SLANT * (inner - heel) / (inner_y - heel_y), 1.0)),
        ((inner, inner_y), (0.0, 1.0)),
        ((_TIP_OF_BALL * ball_width_mm, length_mm), (-1.0, 0.0)),
        ((outer, outer_y), (0.0, -1.0)),
        ((-heel, heel_y), (_SLANT * (-heel - outer) / (outer_y - heel_y), -1.0)),
        ((0.0, 0.0), (1.0, 0.0)),
    )
    segments: list[Segment] = [MoveTo(0.0, 0.0)]
    for (start, leaving), (end, arriving), arms in zip(nodes, nodes[1:], _ARMS, strict=False):
        first, second = (
            (point[_X] + way * arm * direction[_X], point[_Y] + way * arm * direction[_Y])
            for point, direction, way, arm in (
                (start, leaving, 1, arms[0] * _reach(start, end, leaving)),
                (end, arriving, -1, arms[1] * _reach(start, end, arriving)),
            )
        )
        segments.append(CurveTo(*first, *second, *end))
    segments.append(Close())
    flip = -1.0 if side is FootSide.RIGHT else 1.0
    return _set_upright(segments, flip, -1.0, traced=False)


def _reach(start: _Point, end: _Point, direction: _Point) -> float:
    """How far the curve goes along the level or upright line that it leaves by or arrives on."""
    axis = _X if abs(direction[_X]) > abs(direction[_Y]) else _Y
    return abs(end[axis] - start[axis])


_INNER_OF_BALL: Final = 0.47
_TIP_OF_BALL: Final = 0.2
"""How far the inner ball and the tip lie to the big toe's side of the middle of the heel, as shares
of the ball's width: ours."""
_SLANT: Final = 1.1
"""Slant of the sides at the heel, as a share of the straight line to the ball: ours."""
_ARMS: Final = (
    (0.5523, 0.5523),
    (0.35, 0.4),
    (0.55, 0.62),
    (0.56, 0.52),
    (0.4, 0.35),
    (0.5523, 0.5523),
)
"""Control arms at both ends of each curve, as shares of its rise or run: ours; 0.5523 is the usual
cubic for a quarter of an ellipse."""


# --- Traced ----------------------------------------------------------------------------------

MOST_PATH_LETTERS: Final = 200_000
KEY: Final = "outline"
_UNITS: Final = (
    ("in pixels of 1/96 in", 25.4 / 96),
    ("in points of 1/72 in", 25.4 / 72),
    ("in centimetres", 10.0),
    ("in inches", 25.4),
    ("in tenths of a millimetre", 0.1),
)
LEAST_WIDTH_SHARE: Final = 0.25
MOST_WIDTH_SHARE: Final = 0.65
"""Width of a foot as a share of its length; wide enough for newborns: ours, to catch slips."""


def traced_outline(path: str, *, mirrored: bool = False) -> FootOutline:
    """The outline of the path data of an SVG `path`, 1 unit = 1 mm, toes up, heel end lowest.

    Path data as in Scalable Vector Graphics 2, 9.3, in one stroke; an open one is closed by a
    straight line.  `mirrored` makes the other foot of it.  Raises PatternError, saying what would
    do, if the text is no path, has several strokes, or is not the size or shape of a foot.
    """
    segments = _one_stroke(path)
    outline = _set_upright(segments, -1.0 if mirrored else 1.0, 1.0, traced=True)
    width_mm, length_mm = outline.width_mm, outline.length_mm
    longer_mm = max(width_mm, length_mm)
    if not SHORTEST_MM <= longer_mm <= LONGEST_MM:
        _refuse(
            f"no foot is {longer_mm:.4g} mm long",
            f"{SHORTEST_MM} to {LONGEST_MM} mm, 1 unit of the path for 1 mm",
            _units_meant(lambda factor: SHORTEST_MM <= longer_mm * factor <= LONGEST_MM),
        )
    if not LEAST_WIDTH_SHARE <= width_mm / length_mm <= MOST_WIDTH_SHARE:
        lies = LEAST_WIDTH_SHARE <= length_mm / width_mm <= MOST_WIDTH_SHARE
        _refuse(
            f"an outline {width_mm:.0f} mm wide and {length_mm:.0f} mm high is not a foot's",
            f"a width of {100 * LEAST_WIDTH_SHARE:g} to {100 * MOST_WIDTH_SHARE:g} % of the length",
            "turn it by a quarter: toes up, heel down" if lies else "",
        )
    return outline


TRACE_LIMITS: Final = (-0.05, 0.08)
"""A pencil held upright traces a foot some mm larger: how far a trace may differ from the length
that was measured, as shares of it.  Ours."""


def check_trace(outline: FootOutline, foot_length_mm: float) -> None:
    """Raises PatternError if a traced outline cannot be of a foot of that length."""
    low, high = (foot_length_mm * (1 + share) for share in TRACE_LIMITS)
    if not low <= outline.length_mm <= high:
        _refuse(
            f"the outline is {outline.length_mm:.0f} mm long and the foot {foot_length_mm:.0f} mm",
            f"{low:.0f} to {high:.0f} mm",
            _units_meant(lambda factor: low <= outline.length_mm * factor <= high)
            or "trace it again, the pencil upright, and measure the foot again",
        )


def _refuse(what: str, allowed: str, suggestion: str) -> None:
    raise PatternError((Problem(what, KEY, allowed, suggestion),))


def _units_meant(fits: Callable[[float], bool]) -> str:
    """What was drawn in other units, if it was."""
    return next(
        (f"if it is {words}, multiply by {factor:.4g}" for words, factor in _UNITS if fits(factor)),
        "",
    )


class _Strokes:
    """Takes down what fontTools reads from a path."""

    def __init__(self) -> None:
        self.segments: list[Segment] = []
        self._begun: _Point | None = None
        self._at: _Point = (0.0, 0.0)

    def moveTo(self, point: _Point) -> None:  # noqa: N802, named by the library
        self._begun = point

    def lineTo(self, point: _Point) -> None:  # noqa: N802
        self._begin()
        self.segments.append(LineTo(*point))
        self._at = point

    def curveTo(self, *points: _Point) -> None:  # noqa: N802
        self._begin()
        first, second, end = points
        self.segments.append(CurveTo(*first, *second, *end))
        self._at = end

    def qCurveTo(self, *points: _Point) -> None:  # noqa: N802
        # A parabola as a cubic: both arms reach two thirds of the way to its one control point.
        self._begin()
        control, end = points
        first, second = (
            (near[0] + 2 / 3 * (control[0] - near[0]), near[1] + 2 / 3 * (control[1] - near[1]))
            for near in (self._at, end)
        )
        self.segments.append(CurveTo(*first, *second, *end))
        self._at = end

    def closePath(self) -> None:  # noqa: N802
        self._begun = None

    endPath = closePath  # noqa: N815

    def _begin(self) -> None:
        """A stroke counts from its first line: a point alone draws nothing."""
        if self._begun is not None:
            self.segments.append(MoveTo(*self._begun))
            self._at, self._begun = self._begun, None


def read_strokes(path: str) -> list[list[Segment]]:
    """The strokes of the path data of an SVG path, each from its MoveTo on, not closed.

    Raises PatternError for a text that is no path data or draws nothing.
    """
    allowed = "the path data of one SVG path, such as M 40 0 C 62 0 … Z"
    if len(path) > MOST_PATH_LETTERS:
        _refuse(
            f"the outline has {len(path)} characters",
            f"at most {MOST_PATH_LETTERS}",
            "simplify the path",
        )
    pen = _Strokes()
    try:
        parse_path(path, pen)
    except (ValueError, IndexError, OverflowError, ZeroDivisionError):
        _refuse("the outline is no SVG path data", allowed, "")
    if not pen.segments:
        _refuse("the outline draws nothing", allowed, "")
    if not all(isfinite(number) for segment in pen.segments for number in segment):
        _refuse("the outline has numbers without end", allowed, "")
    strokes: list[list[Segment]] = []
    for segment in pen.segments:
        if isinstance(segment, MoveTo):
            strokes.append([])
        strokes[-1].append(segment)
    return strokes


def _one_stroke(path: str) -> list[Segment]:
    """The stroke of the path data, closed."""
    strokes = read_strokes(path)
    if len(strokes) > 1:
        _refuse(
            f"the outline has {len(strokes)} strokes", "one", "leave out all but the foot's edge"
        )
    return [*strokes[0], Close()]


# --- Curves ----------------------------------------------------------------------------------

_X, _Y = 0, 1
_Point = tuple[float, float]
_Curve = tuple[_Point, ...]
"""A straight line by its 2 ends, or a cubic Bézier by its 4 points."""


def _curves(segments: Iterable[Segment]) -> Iterator[_Curve]:
    """The segments with their starts; a closing line only if it has a length."""
    at = start = (0.0, 0.0)
    for segment in segments:
        match segment:
            case MoveTo(x, y):
                at = start = (x, y)
            case LineTo(x, y):
                yield (at, (x, y))
                at = (x, y)
            case CurveTo(x1, y1, x2, y2, x, y):
                yield (at, (x1, y1), (x2, y2), (x, y))
                at = (x, y)
            case Close():
                if at != start:
                    yield (at, start)
                at = start


def _split(curve: _Curve, time: float) -> tuple[_Curve, _Curve]:
    """Both parts of a curve, by de Casteljau's construction."""
    left, right = [curve[0]], [curve[-1]]
    points: Sequence[_Point] = curve
    while len(points) > 1:
        points = [
            (x1 + time * (x2 - x1), y1 + time * (y2 - y1))
            for (x1, y1), (x2, y2) in pairwise(points)
        ]
        left.append(points[0])
        right.append(points[-1])
    return tuple(left), tuple(reversed(right))


def _point(curve: _Curve, time: float) -> _Point:
    return _split(curve, time)[0][-1]


def _piece(curve: _Curve, start: float, end: float) -> _Curve:
    """The part of the curve between two times."""
    if end < 1:
        curve = _split(curve, end)[0]
    return _split(curve, start / end)[1] if start > 0 else curve


def _turning_times(curve: _Curve, axis: int) -> list[float]:
    """Where the curve turns back on that axis: there its derivative is zero."""
    if len(curve) == 2:
        return []
    p0, p1, p2, p3 = (point[axis] for point in curve)
    a, b, c = p3 - 3 * p2 + 3 * p1 - p0, p2 - 2 * p1 + p0, p1 - p0
    if abs(a) < 1e-12:
        times = [-c / (2 * b)] if abs(b) > 1e-12 else []
    else:
        root = sqrt(max(0.0, b * b - a * c))
        times = [(-b + root) / a, (-b - root) / a]
    return sorted(time for time in times if 0 < time < 1)


def _times_at(curve: _Curve, axis: int, value: float) -> list[float]:
    """Every time at which the curve crosses that value, by halving each part that does not turn."""
    found = []
    for start, end in pairwise((0.0, *_turning_times(curve, axis), 1.0)):
        first = _point(curve, start)[axis] <= value
        if first == (_point(curve, end)[axis] <= value):
            continue
        low, high = start, end
        for _ in range(60):
            middle = (low + high) / 2
            if (_point(curve, middle)[axis] <= value) == first:
                low = middle
            else:
                high = middle
        found.append((low + high) / 2)
    return found


def _crossings(segments: Iterable[Segment], axis: int, value: float) -> list[float]:
    """The other coordinate of each crossing, in order."""
    return sorted(
        _point(curve, time)[1 - axis]
        for curve in _curves(segments)
        for time in _times_at(curve, axis, value)
    )


def _pairs(values: Sequence[float]) -> tuple[tuple[float, float], ...]:
    return tuple(zip(values[::2], values[1::2], strict=True))


def _meet(one: _Point, other: _Point) -> bool:
    return abs(one[0] - other[0]) < 1e-6 and abs(one[1] - other[1]) < 1e-6


def _closed_up(strokes: list[list[_Curve]]) -> list[list[_Curve]]:
    """The last stroke goes on with the first where the outline's start lies inside a piece."""
    if len(strokes) > 1 and _meet(strokes[-1][-1][-1], strokes[0][0][0]):
        return [strokes[-1] + strokes[0], *strokes[1:-1]]
    return strokes


def _strokes(strokes: Iterable[Sequence[_Curve]]) -> Iterator[Segment]:
    for stroke in strokes:
        yield MoveTo(*stroke[0][0])
        for curve in stroke:
            if len(curve) == 2:
                yield LineTo(*curve[1])
            else:
                yield CurveTo(*curve[1], *curve[2], *curve[3])
        if _meet(stroke[-1][-1], stroke[0][0]):
            yield Close()


def _set_upright(
    segments: Sequence[Segment], times_x: float, times_y: float, *, traced: bool
) -> FootOutline:
    """The outline mirrored as told, its bounding box moved to the origin."""
    curves = [tuple((x * times_x, y * times_y) for x, y in curve) for curve in _curves(segments)]
    ends = [
        [
            _point(curve, time)[axis]
            for curve in curves
            for time in (0.0, *_turning_times(curve, axis), 1.0)
        ]
        for axis in (_X, _Y)
    ]
    left, top = min(ends[_X]), min(ends[_Y])
    placed = [tuple((x - left, y - top) for x, y in curve) for curve in curves]
    return FootOutline(tuple(_strokes([placed])), max(ends[_X]) - left, max(ends[_Y]) - top, traced)
