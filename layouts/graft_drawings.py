"""Drawings of the graft: the two needles with their loops, and the four moves as a loop.

Kitchener stitch in stockinette: set-up and the four moves as in a knitting magazine's column of 26
May 2022; the two-move ending follows from each loop being entered twice (from memory).  So n pairs
take 2 + 4(n - 1) + 2 = 4n passes.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Final, NamedTuple

from charts.kitchener import LOOP, Pass
from charts.plan import Plan
from charts.rows import Graft
from layouts.block import Block
from layouts.blocks import figure
from layouts.faces import Face
from layouts.scene import (
    BLACK,
    WHITE,
    Align,
    Cap,
    CurveTo,
    Group,
    Item,
    MoveTo,
    Path,
    Text,
    line,
    lines,
    polygon,
    polyline,
    rect,
    text_width_mm,
)
from layouts.style import PageStyle

# --- The needles ---

_LOOPS_SHOWN: Final = 6
"""At most: fewer where their numbers are wide."""
_LEAST_SHOWN: Final = 3
_BETWEEN_NUMBERS_MM: Final = 0.7
"""White between two of the numbers at least."""


@dataclass(frozen=True, slots=True)
class _Mirror:
    """Points of a drawing made for a sock worked left to right, mirrored for the other."""

    width_mm: float
    mirrored: bool

    def x(self, x_mm: float) -> float:
        return self.width_mm - x_mm if self.mirrored else x_mm

    def point(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        return (self.x(x_mm), y_mm)

    def curve(self, *points: tuple[float, float]) -> CurveTo:
        (x1, y1), (x2, y2), (x3, y3) = points
        return CurveTo(self.x(x1), y1, self.x(x2), y2, self.x(x3), y3)


class PairEnds(NamedTuple):
    """Words for the first and the last pair of several sizes: pegs in brackets."""

    first: tuple[str, str]
    """Front, back."""
    last: tuple[str, str]


def needles_drawing(
    plan: Plan, graft: Graft, *, width_mm: float, style: PageStyle, ends: PairEnds | None = None
) -> Block:
    """Both needles from the front, the first pair at the end where the yarn is; they are pointed
    at both ends, for the loop taken first is grafted first.

    With `ends` these two pairs alone are named, by those words.
    """
    growth = style.growth
    return _needles(plan, graft, width_mm / growth, style.drawn, ends).grown(growth)


def _needles(
    plan: Plan, graft: Graft, width_mm: float, style: PageStyle, ends: PairEnds | None
) -> Block:
    wide_mm = min(width_mm, _MOST_WIDTH_MM)
    mirror = _Mirror(wide_mm, plan.loom.rightward < 0)
    size_pt = style.note.size_pt
    head_mm, tip_mm = 18.0, wide_mm - 20.0
    back_mm, front_mm, height_mm = 11.6, 24.8, 36.8
    number_mm = max(
        text_width_mm(str(peg), Face.BOLD, size_pt) for pair in graft.pairs for peg in pair
    )
    most = int((tip_mm - head_mm - 12.0) / (number_mm + _BETWEEN_NUMBERS_MM) - 0.8)
    count = max(_LEAST_SHOWN, min(_LOOPS_SHOWN, most))
    shown = graft.pairs[:count]
    pitch_mm = (tip_mm - head_mm - 12.0) / (count + 0.8)
    places = [tip_mm - 7.0 - pitch_mm * index for index in range(len(shown))]
    places.append(places[-1] - pitch_mm * 1.8)
    pairs = [*shown, graft.pairs[-1]]
    items: list[Item] = []
    for y_mm, away in ((back_mm, -1.0), (front_mm, 1.0)):
        fabric_mm = y_mm + (4.2 if away > 0 else -7.2)
        left_mm, right_mm = sorted((mirror.x(places[-1] - 4.0), mirror.x(places[0] + 4.0)))
        items.append(
            rect(left_mm, fabric_mm, right_mm - left_mm, 3.0, stroke=None, fill=style.tint)
        )
        items += [_loop_path(mirror, x_mm, y_mm, away, whole=True) for x_mm in places]
        items += _needle(mirror, head_mm, tip_mm, y_mm)
        items += [_loop_path(mirror, x_mm, y_mm, away, whole=False) for x_mm in places]
    named: list[tuple[float, tuple[str, str]]] = [
        (x_mm, (str(front), str(back))) for x_mm, (front, back) in zip(places, pairs, strict=True)
    ]
    if ends is not None:
        named = [(places[0], ends.first), (places[-1], ends.last)]
    gap_mm = (places[-2] + places[-1]) / 2
    for x_mm, (front, back) in (*named, *([(gap_mm, ("…", "…"))] if ends is None else [])):
        for y_mm, words in ((back_mm - 8.6, back), (front_mm + 11.4, front)):
            half_mm = text_width_mm(words, Face.BOLD, size_pt) / 2
            middle_mm = max(half_mm, min(mirror.x(x_mm), wide_mm - half_mm))
            items.append(Text(middle_mm, y_mm, words, Face.BOLD, size_pt, align=Align.CENTRE))
    ties = [(mirror.x(x), back_mm + 3.6, mirror.x(x), front_mm - 3.6) for x in places]
    items.append(lines(ties, stroke_pt=0.5, dash_mm=(0.8, 0.8)))
    items += _working_yarn(mirror, places[0], back_mm, tip_mm)
    side = Align.RIGHT if mirror.mirrored else Align.LEFT
    for y_mm, name, what in ((back_mm, "Back", "toe"), (front_mm, "Front", "instep")):
        items += [
            Text(mirror.x(0.0), y_mm, name, Face.BOLD, style.body.size_pt, align=side),
            Text(mirror.x(0.0), y_mm + 4.2, what, size_pt=size_pt, align=side),
        ]
    end = "left" if mirror.mirrored else "right"
    alt = (
        "Two needles, one behind the other, both pointed at both ends. The loops of the toe are "
        f"on the back needle, those of the instep on the front one; first pair at the {end}. The "
        f"yarn hangs at the {end} end of the back needle and is threaded in a darning needle."
    )
    return figure(Block(tuple(items), wide_mm, height_mm), alt)


_MOST_WIDTH_MM: Final = 140.0


def _needle(mirror: _Mirror, head_mm: float, tip_mm: float, y_mm: float) -> list[Item]:
    half = 0.8
    corners = (
        (head_mm - 2.0, y_mm),
        (head_mm + 2.0, y_mm - half),
        (tip_mm, y_mm - half),
        (tip_mm + 4.0, y_mm),
        (tip_mm, y_mm + half),
        (head_mm + 2.0, y_mm + half),
    )
    return [polygon([mirror.point(*corner) for corner in corners], stroke_pt=0.8, fill=WHITE)]


def _loop_path(mirror: _Mirror, x_mm: float, y_mm: float, away: float, *, whole: bool) -> Path:
    """A loop over a needle, its legs in the fabric; `away` is +1 for fabric below the needle.

    Not `whole`: only the leg that lies in front of the needle.
    """
    foot, top = y_mm + 4.6 * away, y_mm - 2.8 * away
    front = (
        MoveTo(*mirror.point(x_mm, top)),
        mirror.curve((x_mm + 1.9, top), (x_mm + 1.1, y_mm + 1.6 * away), (x_mm + 1.7, foot)),
    )
    back = (
        MoveTo(*mirror.point(x_mm, top)),
        mirror.curve((x_mm - 1.9, top), (x_mm - 1.1, y_mm + 1.6 * away), (x_mm - 1.7, foot)),
    )
    return Path(back + front if whole else front, 1.7, cap=Cap.ROUND)


def _working_yarn(mirror: _Mirror, first_mm: float, back_mm: float, tip_mm: float) -> list[Item]:
    """From the end of the back needle's fabric to the eye of the darning needle."""
    start = (first_mm + 4.0, back_mm - 5.6)
    eye = (tip_mm + 15.0, back_mm + 5.0)
    yarn = Path(
        (
            MoveTo(*mirror.point(*start)),
            mirror.curve((tip_mm + 4.0, back_mm - 6.4), (tip_mm + 17.0, back_mm - 6.0), eye),
        ),
        1.7,
        cap=Cap.ROUND,
    )
    point = (eye[0] - 4.0, eye[1] + 14.0)
    needle = polygon(
        [
            mirror.point(*corner)
            for corner in (
                (eye[0] - 0.8, eye[1] - 1.2),
                (eye[0] + 0.9, eye[1] - 0.8),
                (eye[0] + 0.2, eye[1] + 4.0),
                point,
                (eye[0] - 1.8, eye[1] + 4.0),
            )
        ],
        stroke_pt=0.7,
        fill=WHITE,
    )
    return [needle, yarn]


def loop_drawing(*, width_mm: float, mirrored: bool, again: str, style: PageStyle) -> Block:
    """The four moves side by side, or in pairs where there is no room for four, under big numerals,
    and the way back from the last to the first, with how often it is taken: "again, 19 times in
    all"."""
    growth = style.growth
    drawn = style.drawn
    wide_mm = min(width_mm / growth, _MOST_WIDTH_MM)
    cell_mm = (wide_mm - 3 * _CELL_GAP_MM) / 4
    if cell_mm >= _least_cell_mm(drawn):
        high_mm = _CELL_MM
        places = [(index * (cell_mm + _CELL_GAP_MM), 0.0) for index in range(4)]
        ways, height_mm = _ways_in_line(cell_mm, wide_mm, again, drawn)
    else:
        high_mm = _PAIRED_CELL_MM
        cell_mm = (wide_mm - _LEFT_WAY_MM - _CELL_GAP_MM) / 2
        places = [
            (
                _LEFT_WAY_MM + column * (cell_mm + _CELL_GAP_MM),
                row * (_PAIRED_CELL_MM + _ROW_GAP_MM),
            )
            for row in range(2)
            for column in range(2)
        ]
        ways, height_mm = _ways_in_pairs(cell_mm, again, drawn)
    items: list[Item] = []
    for number, (one, place) in enumerate(zip(LOOP, places, strict=True), start=1):
        items.append(_move_cell(number, one, place, (cell_mm, high_mm), drawn, mirrored=mirrored))
    moves = " ".join(f"{number}: {one.words}" for number, one in enumerate(LOOP, start=1))
    block = Block((*items, *ways), wide_mm, height_mm)
    return figure(block.grown(growth), f"{moves} {again.capitalize()}.")


_CELL_GAP_MM: Final = 3.0
_CELL_MM: Final = 39.4
"""Height of the cell of a move, from 0.2 mm on."""
_PAIRED_CELL_MM: Final = 37.0
"""The same where moves stand in pairs."""
_ROW_GAP_MM: Final = 6.4
_LEFT_WAY_MM: Final = 5.0
"""Room for the way back at the left of moves in pairs."""
_NUMERAL_PT: Final = 34.0
_PAD_MM: Final = 3.0
"""From the frame of a cell to the words in its corners."""


def _least_cell_mm(style: PageStyle) -> float:
    """Width of a cell that holds the words of every move."""
    numeral_mm = text_width_mm("0", Face.BOLD, _NUMERAL_PT)
    head, body, note = style.sub_head, style.body, style.note
    corner_mm = max(
        *(text_width_mm(one.needle, Face.BOLD, head.size_pt) for one in LOOP),
        *(text_width_mm(one.loop, Face.REGULAR, note.size_pt) for one in LOOP),
    )
    below_mm = max(
        *(text_width_mm(words, Face.BOLD, head.size_pt) for words in ("knitwise", "purlwise")),
        *(
            text_width_mm(words, Face.REGULAR, body.size_pt)
            for words in ("take it off", "leave it on")
        ),
    )
    return max(2 * _PAD_MM + numeral_mm + 1.0 + corner_mm, below_mm + 2.0)


def _move_cell(
    number: int,
    one: Pass,
    place: tuple[float, float],
    size: tuple[float, float],
    style: PageStyle,
    *,
    mirrored: bool,
) -> Group:
    """One move in its frame."""
    (left_mm, top_mm), (cell_mm, high_mm) = place, size
    middle_mm, right_mm = left_mm + cell_mm / 2, left_mm + cell_mm - _PAD_MM
    head, body, note = style.sub_head, style.body, style.note
    way = "knitwise" if one.knitwise else "purlwise"
    end = "take it off" if one.off else "leave it on"

    def text(
        x_mm: float, y_mm: float, words: str, face: Face, size_pt: float, align: Align
    ) -> Text:
        return Text(x_mm, top_mm + y_mm, words, face, size_pt, align=align)

    return Group(
        (
            rect(left_mm, top_mm + 0.2, cell_mm, high_mm, radius_mm=2.0, stroke_pt=0.6),
            text(left_mm + _PAD_MM, 12.6, str(number), Face.BOLD, _NUMERAL_PT, Align.LEFT),
            text(right_mm, 6.6, one.needle, Face.BOLD, head.size_pt, Align.RIGHT),
            text(right_mm, 10.6, one.loop, Face.REGULAR, note.size_pt, Align.RIGHT),
            *_pass_drawing(one, middle_mm, top_mm + 0.548 * high_mm, mirrored),
            text(middle_mm, high_mm - 6.8, way, Face.BOLD, head.size_pt, Align.CENTRE),
            text(middle_mm, high_mm - 2.4, end, Face.REGULAR, body.size_pt, Align.CENTRE),
        )
    )


def _ways_in_line(
    cell_mm: float, wide_mm: float, again: str, style: PageStyle
) -> tuple[list[Item], float]:
    """Arrows from each of four cells in a line to the next, and below them back to the first; with
    the height of it all."""
    step_mm = cell_mm + _CELL_GAP_MM
    items: list[Item] = [
        _arrow_head(index * step_mm - 0.4, _CELL_MM / 2, Towards.RIGHT) for index in range(1, 4)
    ]
    base_mm = _CELL_MM + 5.4
    ends = (wide_mm - cell_mm / 2, cell_mm / 2)
    half_mm = _half_mm(again, style)
    middle_mm = wide_mm / 2
    items += [
        polyline(
            ((ends[0], _CELL_MM + 0.6), (ends[0], base_mm), (middle_mm + half_mm, base_mm)),
            stroke_pt=1.2,
        ),
        polyline(
            ((middle_mm - half_mm, base_mm), (ends[1], base_mm), (ends[1], _CELL_MM + 2.6)),
            stroke_pt=1.2,
        ),
        polygon(
            (
                (ends[1] - 1.3, _CELL_MM + 2.8),
                (ends[1], _CELL_MM + 0.7),
                (ends[1] + 1.3, _CELL_MM + 2.8),
            ),
            stroke=None,
            fill=BLACK,
        ),
        _again_text(again, middle_mm, base_mm, style),
    ]
    return items, base_mm + 2.0


def _ways_in_pairs(cell_mm: float, again: str, style: PageStyle) -> tuple[list[Item], float]:
    """The same for two lines of two cells: on to the second line, and at the left back up."""
    step_mm = cell_mm + _CELL_GAP_MM
    cell_high_mm = _PAIRED_CELL_MM
    second_mm = cell_high_mm + _ROW_GAP_MM
    left_mm, right_mm = _LEFT_WAY_MM + cell_mm / 2, _LEFT_WAY_MM + step_mm + cell_mm / 2
    between_mm = cell_high_mm + _ROW_GAP_MM / 2
    foot_mm = second_mm + cell_high_mm
    base_mm = foot_mm + 5.4
    half_mm, middle_mm = _half_mm(again, style), (1.0 + right_mm) / 2
    # Where the words are too long for a gap in the line they go below it.
    below = middle_mm + half_mm > right_mm - 2.0
    gap_mm = 0.0 if below else half_mm
    words_mm = base_mm + style.body.leading_mm if below else base_mm
    items: list[Item] = [
        _arrow_head(_LEFT_WAY_MM + step_mm - 0.4, middle, Towards.RIGHT)
        for middle in (cell_high_mm / 2, second_mm + cell_high_mm / 2)
    ]
    items += [
        polyline(
            (
                (right_mm, cell_high_mm + 0.6),
                (right_mm, between_mm),
                (left_mm, between_mm),
                (left_mm, second_mm - 1.8),
            ),
            stroke_pt=1.2,
        ),
        _arrow_head(left_mm, second_mm - 0.3, Towards.FOOT),
        polyline(
            ((right_mm, foot_mm + 0.6), (right_mm, base_mm), (middle_mm + gap_mm, base_mm)),
            stroke_pt=1.2,
        ),
        polyline(
            (
                (middle_mm - gap_mm, base_mm),
                (1.0, base_mm),
                (1.0, cell_high_mm / 2),
                (_LEFT_WAY_MM - 2.0, cell_high_mm / 2),
            ),
            stroke_pt=1.2,
        ),
        _arrow_head(_LEFT_WAY_MM - 0.5, cell_high_mm / 2, Towards.RIGHT),
        _again_text(again, middle_mm, words_mm, style),
    ]
    return items, words_mm + 2.0


def _half_mm(again: str, style: PageStyle) -> float:
    """Half the width of the gap for the words in a line."""
    return text_width_mm(again, Face.BOLD, style.body.size_pt) / 2 + 1.6


def _again_text(again: str, x_mm: float, y_mm: float, style: PageStyle) -> Text:
    return Text(x_mm, y_mm + 1.0, again, Face.BOLD, style.body.size_pt, align=Align.CENTRE)


class Towards(Enum):
    """Where an arrow head points."""

    RIGHT = "right"
    FOOT = "foot"


def _arrow_head(x_mm: float, y_mm: float, towards: Towards) -> Path:
    """A small wedge with its tip there."""
    corners = ((-2.0, -1.5), (0.0, 0.0), (-2.0, 1.5))
    if towards is Towards.FOOT:
        corners = ((1.5, -2.0), (0.0, 0.0), (-1.5, -2.0))
    return polygon([(x_mm + x, y_mm + y) for x, y in corners], stroke=None, fill=BLACK)


def _pass_drawing(one: Pass, x_mm: float, y_mm: float, mirrored: bool) -> list[Item]:
    """One loop on its needle and the darning needle's way through it."""
    mirror = _Mirror(2 * x_mm, mirrored)
    needle = (mirror.x(x_mm - 9.0), mirror.x(x_mm + 9.0))
    items: list[Item] = [
        _loop_path(mirror, x_mm, y_mm, 1.0, whole=True),
        line(needle[0], y_mm, needle[1], y_mm, stroke_pt=4.4, cap=Cap.ROUND),
        line(needle[0], y_mm, needle[1], y_mm, stroke_pt=2.8, ink=WHITE, cap=Cap.ROUND),
        _loop_path(mirror, x_mm, y_mm, 1.0, whole=False),
    ]
    way = 1.0 if one.knitwise else -1.0
    start, end = x_mm - 8.0 * way, x_mm + 7.4 * way
    low_mm = y_mm + 3.2
    items.append(
        line(mirror.x(start), low_mm, mirror.x(end), low_mm, stroke_pt=1.4, dash_mm=(1.6, 0.8))
    )
    items.append(
        polygon(
            (
                mirror.point(end, low_mm - 1.4),
                mirror.point(end + 2.4 * way, low_mm),
                mirror.point(end, low_mm + 1.4),
            ),
            stroke=None,
            fill=BLACK,
        )
    )
    if one.off:
        items += [
            line(mirror.x(x_mm), y_mm - 4.2, mirror.x(x_mm), y_mm - 7.2, stroke_pt=1.0),
            polygon(
                (
                    mirror.point(x_mm - 1.1, y_mm - 7.0),
                    mirror.point(x_mm, y_mm - 9.0),
                    mirror.point(x_mm + 1.1, y_mm - 7.0),
                ),
                stroke=None,
                fill=BLACK,
            ),
        ]
    return items
