"""How to do the few movements that need a picture: boxes printed where each is first needed.

The words say what the stitch table says, one hand movement a line; the drawings are ours.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from charts.loom import Loom
from charts.parts import Part
from charts.rows import Row, Rows, Shift
from charts.stitches import crosses
from charts.words import span
from layouts.block import Block
from layouts.blocks import Piece, figure, paragraph, stacked
from layouts.faces import Face
from layouts.paper import MM_PER_PT
from layouts.scene import (
    BLACK,
    WHITE,
    Align,
    Cap,
    CurveTo,
    Group,
    Item,
    LineTo,
    MoveTo,
    Path,
    Role,
    Text,
    circle,
    line,
    polygon,
    rect,
)
from layouts.style import PageStyle
from layouts.text import bold, set_line, set_paragraph


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
            return f"Cross left {self.left} over right {self.right}"
        return f"Cross right {self.right} over left {self.left}"


@dataclass(frozen=True, slots=True)
class Technique:
    """One movement in words and a picture."""

    title: str
    moves: tuple[str, ...]
    drawing: Block


def crosses_of(rows: Rows, part: Part) -> tuple[Cross, ...]:
    """Each kind of cable cross of a part once, in the order met."""
    found: dict[tuple[int, int, bool], Cross] = {}
    for row in rows.of(*part.sections):
        if not isinstance(row, Row) or not set(row.stitches) & set("RrLl"):
            continue
        as_seen = 1 if row.direction == rows.loom.rightward else -1
        letters, pegs = row.stitches[::as_seen], row.pegs[::as_seen]
        for start, left, right in crosses(letters):
            over = letters[start] == "R"
            places = pegs[start : start + left + right]
            found.setdefault((left, right, over), Cross(left, right, over, places))
    return tuple(found.values())


def techniques_of(rows: Rows, part: Part) -> tuple[Technique, ...]:
    """The techniques that a part needs, in the order of its rows; repeats of earlier parts too."""
    letters = {
        letter
        for row in rows.of(*part.sections)
        if isinstance(row, Row)
        for letter in row.stitches
    }
    shifts = [move for move in rows.of(*part.sections) if isinstance(move, Shift)]
    found = [cable_technique(cross) for cross in crosses_of(rows, part)]
    if "j" in letters:
        found.append(join_technique())
    if "b" in letters:
        found.append(bar_technique())
    if "t" in letters:
        found.append(turned_technique())
    if "w" in letters:
        found.append(wrapped_technique())
    found += [decrease_technique(move, rows.loom) for move in shifts]
    return tuple(found)


# --- The movements ---------------------------------------------------------------------------


def cable_technique(cross: Cross) -> Technique:
    """Both strands change pegs: the one on top on a needle outside the ring, the other behind."""
    left, right = cross.pegs[: cross.left], cross.pegs[cross.left :]
    over, under = (left, right) if cross.left_over else (right, left)
    first, last = cross.pegs[: cross.right], cross.pegs[cross.right :]
    over_to, under_to = (last, first) if cross.left_over else (first, last)
    hops = list(zip(under, under_to, strict=True))
    if not cross.left_over:
        # The loop nearest to the pegs just emptied moves first.
        hops.reverse()
    moved = ", ".join(f"{start} to {end}" for start, end in hops)
    return Technique(
        f"{cross.name}, for instance on pegs {span(cross.pegs[0], cross.pegs[-1])}",
        (
            f"Take the {_loops(len(over))} of {_listed(over)} onto the cable needle and let it "
            "hang in front, outside the ring.",
            f"Behind it move the {_loops(len(under))} of {_listed(under)}, one by one: {moved}.",
            f"Hang the {_loops(len(over))} of the needle on {_listed(over_to)}, in the order "
            "they came off, none twisted.",
            "Knit all these pegs where the row comes to them.",
        ),
        _cross_drawing(cross),
    )


def join_technique() -> Technique:
    return Technique(
        "Knit and join",
        (
            "Knit the last peg of the row.",
            "Hang the nearest loop of the holder on the same peg: it comes off first.",
            "Lay the yarn across and lift both loops over it together: knit both as one.",
            "Go back. The next row starts by knitting this peg again.",
        ),
        _join_drawing(),
    )


def turned_technique() -> Technique:
    return Technique(
        "Knit and turn: the turned stitch",
        (
            "Knit the last peg of the row.",
            "Pull the yarn tight up and over the peg, to the inside, until both legs of the new "
            "loop show on it: one loop, two strands.",
            "Hold the yarn tight and go back from the peg beside it.",
            "Later, knit both strands as one: lift them over the yarn together.",
        ),
        _turned_drawing(),
    )


def wrapped_technique() -> Technique:
    return Technique(
        "Wrap and turn",
        (
            "Take the loop of the next peg off.",
            "Bring the yarn round that peg from the inside.",
            "Hang the loop back above the wrap, and go back from the peg beside it.",
            "Later, knit loop and wraps as one: lift them over the yarn together.",
        ),
        _wrapped_drawing(),
    )


def bar_technique() -> Technique:
    return Technique(
        "Lift the bar",
        (
            "Between the two pegs find the strand that runs from one stitch to the next.",
            "Lift it with the hook and hang it on the peg named, above the loop there.",
            "In the next row knit loop and bar as one: no hole is left.",
        ),
        _bar_drawing(),
    )


def decrease_technique(shift: Shift, loom: Loom) -> Technique:
    """The one decrease of an odd ring, told by pegs."""
    goes_left = (shift.to_peg - shift.from_peg) * loom.rightward in (-1, loom.pegs - 1)
    side = "left" if goes_left else "right"
    return Technique(
        "The one decrease",
        (
            f"Move the loop of peg {shift.from_peg} to peg {shift.to_peg}, its {side} neighbour, "
            "on top of the loop there.",
            f"Knit both loops of peg {shift.to_peg} as one.",
            f"Peg {shift.from_peg} stays empty from now on: carry the yarn past it inside the "
            "ring.",
        ),
        _decrease_drawing(shift, goes_left),
    )


def _loops(count: int) -> str:
    return "loop" if count == 1 else f"{count} loops"


def _listed(pegs: Sequence[int]) -> str:
    if len(pegs) == 1:
        return f"peg {pegs[0]}"
    if len(pegs) == 2:
        return f"pegs {pegs[0]} and {pegs[1]}"
    return f"pegs {pegs[0]} to {pegs[-1]}"


# --- The box ---------------------------------------------------------------------------------

_PAD_MM: Final = 3.0
DRAWING_MM: Final = 34.0
"""Width of a technique's drawing."""


def technique_box(technique: Technique, *, width_mm: float, style: PageStyle) -> Block:
    """Title, drawing at the left, numbered movements at the right, in a thin round frame."""
    left_mm = _PAD_MM + DRAWING_MM + 4.0
    column_mm = width_mm - left_mm - _PAD_MM
    head = style.sub_head
    title = set_paragraph(
        technique.title, _PAD_MM, _PAD_MM - 0.6, width_mm - 2 * _PAD_MM, head, role=Role.H3
    )
    top_mm = title.next_mm + 0.6
    moves = stacked(numbered_moves(technique.moves, column_mm, style))
    drawing = figure(technique.drawing, f"Drawing: {technique.title}")
    inner_mm = max(moves.height_mm, drawing.height_mm)
    height_mm = top_mm + inner_mm + _PAD_MM
    frame = rect(
        0.2, 0.2, width_mm - 0.4, height_mm - 0.4, radius_mm=2.0, stroke_pt=0.6, stroke=style.ink
    )
    items = (
        Group((frame,), role=Role.ARTIFACT),
        title.group,
        drawing.placed(_PAD_MM, top_mm + max(0.0, (inner_mm - drawing.height_mm) / 2)),
        moves.placed(left_mm, top_mm),
    )
    return Block(items, width_mm, height_mm)


def numbered_moves(moves: Iterable[str], width_mm: float, style: PageStyle) -> list[Piece]:
    """Movements with bold numbers on a left edge of their own."""
    look = style.body
    indent_mm = 5.0
    pieces = []
    for number, words in enumerate(moves, start=1):
        label = set_line((bold(str(number)),), 0.0, look.baseline_mm, look)
        body = paragraph(words, look, width_mm - indent_mm, role=Role.BODY)
        items = (Group(label, role=Role.LABEL), body.block.placed(indent_mm, 0.0))
        block = Block((Group(items, role=Role.LI),), width_mm, body.block.height_mm)
        pieces.append(Piece(block, 2.0 * MM_PER_PT))
    return pieces


# --- The drawings ----------------------------------------------------------------------------

_PEG_WIDE: Final = 5.0
_PEG_HIGH: Final = 17.0
_YARN_PT: Final = 2.2


def _peg(x_mm: float, y_mm: float, number: str = "") -> list[Item]:
    """A peg from the front, its head at the top; `x_mm` is its middle."""
    items: list[Item] = [
        rect(
            x_mm - _PEG_WIDE / 2,
            y_mm,
            _PEG_WIDE,
            _PEG_HIGH,
            radius_mm=1.6,
            stroke_pt=0.8,
            fill=WHITE,
        ),
        line(x_mm - _PEG_WIDE / 2, y_mm + 3.4, x_mm + _PEG_WIDE / 2, y_mm + 3.4, stroke_pt=0.5),
    ]
    if number:
        items.append(Text(x_mm, y_mm + _PEG_HIGH + 3.6, number, size_pt=8.0, align=Align.CENTRE))
    return items


def _loop(x_mm: float, y_mm: float, dip_mm: float = 1.2) -> Path:
    """A strand across the front of a peg, lying a little lower in the middle."""
    half = _PEG_WIDE / 2 + 0.7
    return _yarn((x_mm - half, y_mm), (x_mm + half, y_mm), dip_mm)


def _yarn(start: tuple[float, float], end: tuple[float, float], dip_mm: float = 0.0) -> Path:
    dx = (end[0] - start[0]) / 3
    curve = CurveTo(
        start[0] + dx, start[1] + dip_mm, end[0] - dx, end[1] + dip_mm, end[0], end[1]
    )
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


def _cross_drawing(cross: Cross) -> Block:
    """From the pegs before, below, to the pegs after, above, as rows grow in a chart; the strand
    on top is thick and unbroken."""
    count = len(cross.pegs)
    pitch = min(7.5, (DRAWING_MM - 5.0) / max(1, count - 1))
    left = (DRAWING_MM - pitch * (count - 1)) / 2
    after_mm, before_mm = 8.4, 23.4
    from_mm, to_mm = before_mm - 2.0, after_mm + 2.0

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
            circle(x_mm, before_mm, 1.4, stroke_pt=0.8, fill=WHITE),
            circle(x_mm, after_mm, 1.4, stroke_pt=0.8, fill=WHITE),
            Text(x_mm, after_mm - 2.4, str(peg), Face.BOLD, 8.0, align=Align.CENTRE),
            Text(x_mm, before_mm + 4.4, str(peg), Face.BOLD, 8.0, align=Align.CENTRE),
        ]
    middle = DRAWING_MM / 2
    items += [
        Text(middle, 2.4, "after", size_pt=8.0, align=Align.CENTRE),
        Text(middle, before_mm + 8.0, "before", size_pt=8.0, align=Align.CENTRE),
    ]
    return Block(tuple(items), DRAWING_MM, before_mm + 8.8)


def _join_drawing() -> Block:
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


def _turned_drawing() -> Block:
    """Knitted, and pulled over until two strands lie on the peg."""
    items = [*_peg(7.0, 4.0), _loop(7.0, 12.5)]
    items += [
        _yarn((10.2, 12.5), (14.0, 15.5)),
        *_arrow((14.2, 13.4), (14.2, 4.0), (10.6, 2.2)),
    ]
    items += _peg(25.0, 4.0)
    items += [
        _yarn((23.9, 15.0), (23.9, 4.2), 0.0),
        _yarn((26.1, 15.0), (26.1, 4.2), 0.0),
        Path((MoveTo(23.9, 4.2), CurveTo(23.9, 2.6, 26.1, 2.6, 26.1, 4.2)), _YARN_PT),
    ]
    return Block(tuple(items), DRAWING_MM, 22.0)


def _wrapped_drawing() -> Block:
    """The wrap lies round the peg, the loop above it."""
    items = [*_peg(7.0, 4.0), _yarn((3.8, 14.0), (14.0, 14.0), 1.2)]
    items += [*_arrow((9.0, 1.8), (13.6, 1.0), (14.0, 6.0))]
    items += [*_peg(25.0, 4.0), _loop(25.0, 10.5), _yarn((21.8, 14.0), (31.5, 14.6), 1.2)]
    return Block(tuple(items), DRAWING_MM, 22.0)


def _bar_drawing() -> Block:
    """Two pegs, the strand between their stitches, and where it goes."""
    items = [*_peg(8.0, 4.0), *_peg(26.0, 4.0), _loop(8.0, 12.5), _loop(26.0, 12.5)]
    items += [
        _yarn((11.2, 16.2), (22.8, 16.2), 1.6),
        *_arrow((17.0, 15.8), (18.0, 8.2), (22.0, 8.6)),
    ]
    return Block(tuple(items), DRAWING_MM, 22.0)


def _decrease_drawing(shift: Shift, goes_left: bool) -> Block:
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
