"""Drawings of single movements at the pegs, all of one width; pegs are seen from the front.

They are drawn for a row to the right; `layouts.mirror` turns them for a ring that is worked to the
left, and of a drawing in stages each by itself: they are looked at in order.  A cross and a
decrease are drawn as the pegs lie, whichever way the ring is worked.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from typing import Final

from charts.rows import Shift
from layouts.block import Block
from layouts.faces import Face
from layouts.scene import (
    BLACK,
    WHITE,
    Align,
    Cap,
    CurveTo,
    Item,
    MoveTo,
    Path,
    Text,
    circle,
    line,
    polygon,
    rect,
    text_width_mm,
)

DRAWING_MM: Final = 34.0
"""Width of every drawing."""


@dataclass(frozen=True, slots=True)
class Cross:
    """A cable cross as the knitter sees it, with the pegs it is first worked on."""

    left: int
    """Pegs of the strand that starts at the left."""
    right: int
    left_over: bool
    """The left strand goes over the right one, to the right."""
    pegs: tuple[int, ...]
    """Left to right."""

    @property
    def name(self) -> str:
        if self.left_over:
            return f"Cross right with left {self.left} over right {self.right}"
        return f"Cross left with right {self.right} over left {self.left}"


_PEG_WIDE: Final = 5.0
_PEG_HIGH: Final = 17.0
_YARN_PT: Final = 2.2


def _peg(x_mm: float, y_mm: float, number: str = "", *, high_mm: float = _PEG_HIGH) -> list[Item]:
    """A peg from the front, its head at the top; `x_mm` is its middle."""
    items: list[Item] = [
        rect(
            x_mm - _PEG_WIDE / 2,
            y_mm,
            _PEG_WIDE,
            high_mm,
            radius_mm=1.6,
            stroke_pt=0.8,
            fill=WHITE,
        ),
        line(x_mm - _PEG_WIDE / 2, y_mm + 3.4, x_mm + _PEG_WIDE / 2, y_mm + 3.4, stroke_pt=0.5),
    ]
    if number:
        items.append(Text(x_mm, y_mm + high_mm + 3.6, number, size_pt=8.0, align=Align.CENTRE))
    return items


def _loop(x_mm: float, y_mm: float, dip_mm: float = 1.2) -> Path:
    """A strand across the front of a peg, lying a little lower in the middle."""
    half = _PEG_WIDE / 2 + 0.7
    return _yarn((x_mm - half, y_mm), (x_mm + half, y_mm), dip_mm)


def _yarn(start: tuple[float, float], end: tuple[float, float], dip_mm: float = 0.0) -> Path:
    dx = (end[0] - start[0]) / 3
    curve = CurveTo(start[0] + dx, start[1] + dip_mm, end[0] - dx, end[1] + dip_mm, end[0], end[1])
    return Path((MoveTo(*start), curve), _YARN_PT, cap=Cap.ROUND)


def _arrow(
    start: tuple[float, float], bend: tuple[float, float], end: tuple[float, float]
) -> list[Item]:
    """A thin bent arrow: how something moves."""
    body = Path((MoveTo(*start), CurveTo(*bend, *bend, *end)), 0.8, dash_mm=(1.0, 0.8))
    dx, dy = end[0] - bend[0], end[1] - bend[1]
    size = (dx * dx + dy * dy) ** 0.5
    dx, dy = dx / size, dy / size
    head = polygon(
        (
            (end[0] + dx * 1.4, end[1] + dy * 1.4),
            (end[0] - dy * 1.0, end[1] + dx * 1.0),
            (end[0] + dy * 1.0, end[1] - dx * 1.0),
        ),
        stroke=None,
        fill=BLACK,
    )
    return [body, head]


def cast_on_drawing() -> Block:
    """Two wraps on a peg, the lower one about to be lifted over."""
    items = [*_peg(8.0, 3.0, "1"), _loop(8.0, 13.0)]
    items.append(Path((MoveTo(8.6, 14.0), CurveTo(10.0, 17.0, 7.0, 18.0, 8.0, 19.0)), _YARN_PT))
    items += [*_peg(25.0, 3.0, "2"), _loop(25.0, 11.0), _loop(25.0, 15.0)]
    items += [_yarn((11.2, 13.0), (21.8, 11.2), 2.0)]
    items += _arrow((28.8, 16.0), (32.6, 8.0), (27.4, 2.0))
    return Block(tuple(items), DRAWING_MM, 25.0)


def knit_drawing(reach_mm: float) -> Block:
    """The yarn above the loop, the loop about to be lifted; `reach_mm`: how far the yarn goes
    round the peg."""
    x = 17.0
    items = [*_peg(x, 3.0), _loop(x, 15.0)]
    items.append(_yarn((3.0, 10.5), (x + 3.2, 10.5), 0.8))
    if reach_mm:
        end = (x + 3.2, 10.5)
        turn = CurveTo(end[0] + reach_mm * 0.6, 10.4, end[0] + reach_mm * 0.5, 8.6, end[0], 8.4)
        items.append(Path((MoveTo(*end), turn), _YARN_PT, cap=Cap.ROUND))
    if reach_mm > 3.0:
        items.append(_yarn((x - 3.2, 8.4), (3.0, 7.0)))
    if not reach_mm:
        items.append(_yarn((x + 3.2, 10.5), (31.0, 10.0)))
    items += _arrow((x + 3.6, 15.6), (x + 9.0, 8.0), (x + 2.0, 2.4))
    return Block(tuple(items), DRAWING_MM, 21.0)


def purl_drawing() -> Block:
    """The yarn below the loop, drawn up through it."""
    x = 17.0
    items = [*_peg(x, 3.0), _loop(x, 10.0), _yarn((3.0, 15.5), (31.0, 15.5), 1.0)]
    items += _arrow((x, 15.2), (x + 0.2, 10.0), (x, 5.4))
    return Block(tuple(items), DRAWING_MM, 21.0)


def slip_drawing() -> Block:
    """The loop left as it is, the yarn behind the peg."""
    x = 17.0
    yarn, peg = _yarn((3.0, 7.0), (31.0, 7.0), 0.6), _peg(x, 1.0, high_mm=13.0)
    return Block((yarn, *peg, _loop(x, 10.5)), DRAWING_MM, 15.0)


def cross_drawing(cross: Cross) -> Block:
    """From the pegs before, below, to the pegs after, above, as rows grow in a chart; the strand
    on top is thick and unbroken."""
    count = len(cross.pegs)
    pitch = min(7.5, (DRAWING_MM - 5.0) / max(1, count - 1))
    left = (DRAWING_MM - pitch * (count - 1)) / 2
    after_mm, before_mm = 8.4, 23.4
    from_mm, to_mm = before_mm - 2.0, after_mm + 2.0

    radius = min(1.4, 0.4 * pitch)
    # Numbers stand apart: on a wide cross only some pegs are numbered, the ends always.
    widest = max(text_width_mm(str(peg), Face.BOLD, 8.0) for peg in cross.pegs)
    every = ceil((widest + 0.6) / pitch)
    numbered = {i for i in range(0, count, every) if count - 1 - i >= every} | {count - 1}

    def x_of(index: int) -> float:
        return left + pitch * index

    ways = [(i, i + cross.right, cross.left_over) for i in range(cross.left)]
    ways += [(cross.left + i, i, not cross.left_over) for i in range(cross.right)]
    items: list[Item] = []
    for on_top in (False, True):
        strands = [(x_of(a), from_mm, x_of(b), to_mm) for a, b, top in ways if top is on_top]
        if on_top:
            items += [line(*strand, stroke_pt=6.0, ink=WHITE) for strand in strands]
        items += [
            line(*strand, stroke_pt=2.4 if on_top else 0.9, cap=Cap.ROUND) for strand in strands
        ]
    for index, peg in enumerate(cross.pegs):
        x_mm = x_of(index)
        items += [
            circle(x_mm, before_mm, radius, stroke_pt=0.8, fill=WHITE),
            circle(x_mm, after_mm, radius, stroke_pt=0.8, fill=WHITE),
        ]
        if index in numbered:
            items += [
                Text(x_mm, after_mm - 2.4, str(peg), Face.BOLD, 8.0, align=Align.CENTRE),
                Text(x_mm, before_mm + 4.4, str(peg), Face.BOLD, 8.0, align=Align.CENTRE),
            ]
    middle = DRAWING_MM / 2
    items += [
        Text(middle, 2.4, "after", size_pt=8.0, align=Align.CENTRE),
        Text(middle, before_mm + 8.0, "before", size_pt=8.0, align=Align.CENTRE),
    ]
    return Block(tuple(items), DRAWING_MM, before_mm + 8.8)


def join_drawing() -> Block:
    """A peg with its own loop; the holder's nearest loop is on its way to it."""
    peg_x = 8.0
    items = _peg(peg_x, 4.0)
    items += [_loop(peg_x, 14.5), _loop(peg_x, 11.0)]
    items += [
        line(18.0, 17.0, 33.0, 17.0, stroke_pt=1.2, cap=Cap.ROUND),
        *(_yarn((x, 17.8), (x + 2.4, 17.8), -2.6) for x in (19.0, 23.4, 27.8)),
        *_arrow((20.2, 14.6), (18.0, 8.0), (13.6, 9.6)),
        Text(26.0, 22.6, "holder", size_pt=8.0, align=Align.CENTRE),
    ]
    return Block(tuple(items), DRAWING_MM, 25.0)


def turned_stages() -> tuple[Block, Block]:
    """Knitted, and pulled over until two strands lie on the peg; half a drawing each."""
    before: list[Item] = [*_peg(7.0, 4.0), _loop(7.0, 12.5)]
    before += [
        _yarn((10.2, 12.5), (14.0, 15.5)),
        *_arrow((14.2, 13.4), (14.2, 4.0), (10.6, 2.2)),
    ]
    after: list[Item] = [
        *_peg(8.0, 4.0),
        _yarn((6.9, 15.0), (6.9, 4.2), 0.0),
        _yarn((9.1, 15.0), (9.1, 4.2), 0.0),
        Path((MoveTo(6.9, 4.2), CurveTo(6.9, 2.6, 9.1, 2.6, 9.1, 4.2)), _YARN_PT),
    ]
    return _stage(before), _stage(after)


def wrapped_stages() -> tuple[Block, Block]:
    """The wrap lies round the peg, and the loop above it; half a drawing each."""
    before: list[Item] = [*_peg(7.0, 4.0), _yarn((3.8, 14.0), (14.0, 14.0), 1.2)]
    before += _arrow((9.0, 1.8), (13.6, 1.0), (14.0, 6.0))
    after: list[Item] = [*_peg(8.0, 4.0), _loop(8.0, 10.5), _yarn((4.8, 14.0), (14.5, 14.6), 1.2)]
    return _stage(before), _stage(after)


def _stage(items: list[Item]) -> Block:
    return Block(tuple(items), DRAWING_MM / 2, 22.0)


def edge_loop_drawing(oldest: int, newest: int) -> Block:
    """The flap's edge below the gusset's pegs: its loops slope up to the turn, at the right; the
    oldest hangs on its peg by both legs."""
    items: list[Item] = []
    places = (5.0, 17.0, 29.0)
    for x_mm, name in zip(places, (str(oldest), "…", str(newest)), strict=True):
        items += _peg(x_mm, 4.2, high_mm=13.0)
        items.append(Text(x_mm, 3.2, name, Face.BOLD, 8.0, align=Align.CENTRE))
    first = places[0]
    items += [_loop(first, 11.0), _loop(first, 13.2)]
    for index, x_mm in enumerate(places):
        y_mm = 27.6 - 2.0 * index
        items += [
            _yarn((x_mm - 4.6, y_mm), (x_mm + 4.6, y_mm), 2.4),
            _yarn((x_mm - 4.6, y_mm), (x_mm + 4.6, y_mm), -2.4),
        ]
        if index:
            items += _arrow((x_mm, y_mm - 2.8), (x_mm + 4.8, 19.0), (x_mm + 3.8, 12.6))
    items += [
        Text(0.0, 33.4, "oldest", size_pt=8.0),
        Text(DRAWING_MM, 33.4, "newest", size_pt=8.0, align=Align.RIGHT),
    ]
    return Block(tuple(items), DRAWING_MM, 34.2)


def take_off_drawing(front: str, behind: str) -> Block:
    """One loop seen from outside: the needle comes from inside the ring behind the leg at the
    right, and out over the one at the left; their names are those of the legs."""

    def leg(x_mm: float) -> Path:
        curve = CurveTo(x_mm, 9.0, x_mm, 4.6, 17.0, 4.6)
        return Path((MoveTo(x_mm, 19.0), curve), 3.0, cap=Cap.ROUND)

    needle = polygon(
        ((1.0, 13.0), (5.0, 12.0), (33.0, 12.0), (33.0, 14.0), (5.0, 14.0)),
        stroke_pt=0.8,
        fill=WHITE,
    )
    items: list[Item] = [
        leg(11.0),
        needle,
        leg(23.0),
        *_arrow((19.0, 17.0), (15.0, 17.0), (14.4, 17.0)),
        Text(25.0, 22.8, f"{front} leg", Face.BOLD, 8.0, align=Align.CENTRE),
        Text(25.0, 26.0, "in front", size_pt=8.0, align=Align.CENTRE),
        Text(9.0, 22.8, f"{behind} leg", size_pt=8.0, align=Align.CENTRE),
        Text(9.0, 26.0, "behind", size_pt=8.0, align=Align.CENTRE),
    ]
    return Block(tuple(items), DRAWING_MM, 27.0)


def bar_drawing() -> Block:
    """Two pegs, the strand between their stitches, and where it goes."""
    items = [*_peg(8.0, 4.0), *_peg(26.0, 4.0), _loop(8.0, 12.5), _loop(26.0, 12.5)]
    items += [
        _yarn((11.2, 16.2), (22.8, 16.2), 1.6),
        *_arrow((17.0, 15.8), (18.0, 8.2), (22.0, 8.6)),
    ]
    return Block(tuple(items), DRAWING_MM, 22.0)


def decrease_drawing(shift: Shift, goes_left: bool) -> Block:
    """The loop that moves, and the peg that it leaves empty."""
    to_x, from_x = (8.0, 26.0) if goes_left else (26.0, 8.0)
    way = -1.0 if goes_left else 1.0
    items = [*_peg(to_x, 2.0, str(shift.to_peg)), *_peg(from_x, 2.0, str(shift.from_peg))]
    items += [
        _loop(to_x, 13.0),
        _loop(from_x, 10.0),
        *_arrow((from_x + way * 4.0, 9.0), (17.0, 4.6), (to_x - way * 4.4, 8.4)),
    ]
    return Block(tuple(items), DRAWING_MM, 24.0)
