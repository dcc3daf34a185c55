"""Marks that say where a sheet is cut, folded and stapled.

Hairlines of 0.25 pt in solid black, the thinnest that a laser printer keeps, and the places of two
staples (common practice, no published source).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from layouts.scene import BLACK, Box, Group, Path, Role, arc_segments, line, lines

HAIRLINE_PT: Final = 0.25
MARK_MM: Final = 4.0
"""Length of a crop mark."""
GAP_CLEAR_MM: Final = 1.0
"""Between a mark and the cut edge, in the gap between two cards."""
_LEAST_GAP_MM: Final = 4.0
"""A narrower gap holds no mark."""
STAPLES: Final = (0.25, 0.75)
"""Their middles along the spine."""
STAPLE_MM: Final = 12.0
"""The mark is as long as the crown of a common staple, which covers it."""
FOLD_MARK_MM: Final = 4.0

Stroke = tuple[float, float, float, float]


def crop_marks(trims: Sequence[Box], *, room: Box, offset_mm: float, gap_mm: float) -> Group:
    """The cut lines of a grid of cards, carried on beyond it and across its gaps.

    `offset_mm` is the clear room between the grid and its marks; marks that would leave `room` are
    left out, and no items are left if all are.  Where no mark of a cut line has room, because the
    cards reach the sheet's edge, it is marked on the cut line itself, just inside `room`.
    """
    grid = trims[0]
    for trim in trims[1:]:
        grid = grid.union(trim)
    xs = _cuts(edge for trim in trims for edge in (trim.left_mm, trim.right_mm))
    ys = _cuts(edge for trim in trims for edge in (trim.top_mm, trim.bottom_mm))
    across = (room.left_mm, grid.left_mm, grid.right_mm, room.right_mm)
    down = (room.top_mm, grid.top_mm, grid.bottom_mm, room.bottom_mm)
    strokes: list[Stroke] = []
    for x in xs:
        if room.left_mm <= x <= room.right_mm:
            strokes += [(x, start, x, end) for start, end in _ends(down, offset_mm)]
            strokes += [(x, start, x, end) for start, end in _in_gaps(ys, gap_mm)]
    for y in ys:
        if room.top_mm <= y <= room.bottom_mm:
            strokes += [(start, y, end, y) for start, end in _ends(across, offset_mm)]
            strokes += [(start, y, end, y) for start, end in _in_gaps(xs, gap_mm)]
    drawn = (lines(strokes, stroke_pt=HAIRLINE_PT),) if strokes else ()
    return Group(drawn, role=Role.ARTIFACT)


def _cuts(edges: Iterable[float]) -> list[float]:
    """Each cut line once; edges that meet are one."""
    found: list[float] = []
    for edge in sorted(edges):
        if not found or edge - found[-1] > 1e-6:
            found.append(edge)
    return found


def _ends(
    line_mm: tuple[float, float, float, float], offset_mm: float
) -> list[tuple[float, float]]:
    """Start and end of the marks at both ends of a cut line; the room's edges are outermost."""
    room_first, first, last, room_last = line_mm
    marks = []
    if first - offset_mm - MARK_MM >= room_first - 1e-6:
        marks.append((first - offset_mm - MARK_MM, first - offset_mm))
    if last + offset_mm + MARK_MM <= room_last + 1e-6:
        marks.append((last + offset_mm, last + offset_mm + MARK_MM))
    if not marks:
        marks = [(room_first, room_first + MARK_MM), (room_last - MARK_MM, room_last)]
    return marks


def _in_gaps(cuts: Sequence[float], gap_mm: float) -> list[tuple[float, float]]:
    """Start and end of the marks between neighbours; cuts come in pairs, near and far edge."""
    if gap_mm < _LEAST_GAP_MM:
        return []
    return [
        (cuts[index] + GAP_CLEAR_MM, cuts[index + 1] - GAP_CLEAR_MM)
        for index in range(1, len(cuts) - 1, 2)
    ]


def corner_guides(trims: Iterable[Box], radius_mm: float) -> Group:
    """An arc in each corner of each card, to round it by."""
    arcs = []
    for trim in trims:
        left, right = trim.left_mm + radius_mm, trim.right_mm - radius_mm
        top, bottom = trim.top_mm + radius_mm, trim.bottom_mm - radius_mm
        corners = ((right, top), (right, bottom), (left, bottom), (left, top))
        for quarter, (x, y) in enumerate(corners):
            start = 90.0 * quarter
            arcs.append(Path(arc_segments(x, y, radius_mm, start, start + 90), HAIRLINE_PT, BLACK))
    return Group(tuple(arcs), role=Role.ARTIFACT)


def spine_marks(x_mm: float, top_mm: float, bottom_mm: float, *, room: Box, staples: bool) -> Group:
    """Short strokes on the fold at head and foot, inside `room`, and where the staples go in."""
    first, last = max(top_mm, room.top_mm), min(bottom_mm, room.bottom_mm)
    strokes: list[Stroke] = [
        (x_mm, first, x_mm, first + FOLD_MARK_MM),
        (x_mm, last - FOLD_MARK_MM, x_mm, last),
    ]
    marks = [lines(strokes, stroke_pt=HAIRLINE_PT, dash_mm=(1.0, 0.5))]
    if staples:
        for place in STAPLES:
            middle = top_mm + (bottom_mm - top_mm) * place
            ends = (middle - STAPLE_MM / 2, middle + STAPLE_MM / 2)
            marks.append(line(x_mm, ends[0], x_mm, ends[1], stroke_pt=0.5))
    return Group(tuple(marks), role=Role.ARTIFACT)
