"""The tick sheet: a box for every row and move of both socks, ten to a line, by section."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from charts.parts import Part, parts_of
from charts.rows import RUN_ON, Event, Graft, Hold, LiftBar, Rehang, Row, Section, Shift, TakeOff
from charts.verify import Knit
from layouts.block import Block
from layouts.blocks import Piece
from layouts.faces import Face
from layouts.scene import Align, Group, Item, Role
from layouts.steps_block import boxes_path
from layouts.style import PageStyle
from layouts.text import Style, set_line

BOXES_IN_LINE: Final = 10
SOCKS: Final = 2
_NAME_MM: Final = 19.0
_NUMBER_MM: Final = 7.0
"""Widths of the columns of names and numbers on an A5 page."""
_BETWEEN_SOCKS_MM: Final = 7.0
_AFTER_FIFTH_MM: Final = 1.0
BETWEEN_LINES_MM: Final = 0.9
_LEAST_BOX_MM: Final = 3.4
_MOST_BOX_MM: Final = 5.6


@dataclass(frozen=True, slots=True)
class Track:
    """The boxes of one part for one sock."""

    name: str
    boxes: int
    extra: str = ""
    """Words for one more box after the numbered ones."""
    before: tuple[tuple[str, int], ...] = ()
    """Boxes for moves before the first row: words and how many."""


def tracks_of(knit: Knit) -> tuple[Track, ...]:
    """One box a row, one a move between rows, and one a grafted pair."""
    tracks = []
    for part in parts_of(knit):
        events = knit.rows.of(*part.sections)
        if part is Part.CLOSING:
            pairs = sum(len(event.pairs) for event in events if isinstance(event, Graft))
            tracks.append(Track("Pairs grafted", pairs, before=_moves(events)))
            continue
        rows = [event for event in events if isinstance(event, Row) and event.number]
        partial = [row for row in rows if row.section is Section.PARTIAL]
        runs_on = any(isinstance(event, Row) and event.number == RUN_ON for event in events)
        extra = "partial row" if partial else "run on" if runs_on else ""
        name = _NAMES.get(part, part.title)
        tracks.append(Track(name, len(rows) - len(partial), extra, _moves(events)))
    return tuple(tracks)


def _moves(events: Sequence[Event]) -> tuple[tuple[str, int], ...]:
    """The moves of a part by what they are, in the order met."""
    counts: dict[str, int] = {}
    for event in events:
        words = _MOVES.get(type(event))
        if words is not None:
            counts[words] = counts.get(words, 0) + 1
    return tuple(counts.items())


_MOVES: Final[Mapping[type[Event], str]] = {
    Hold: "on holders",
    Rehang: "edge loops",
    LiftBar: "lift bars",
    Shift: "decrease",
    TakeOff: "take off",
}


_NAMES: Final = {Part.CUFF: "Cuff", Part.FOOT: "Foot"}


@dataclass(frozen=True, slots=True)
class TrackerLayout:
    """Where the boxes of each sock stand."""

    box_mm: float
    growth: float = 1.0

    def left_mm(self, sock: int) -> float:
        labels_mm = (_NAME_MM + _NUMBER_MM) * self.growth
        return labels_mm + sock * (self.line_mm + _BETWEEN_SOCKS_MM)

    @property
    def line_mm(self) -> float:
        return BOXES_IN_LINE * self.box_mm + _AFTER_FIFTH_MM

    def box_left_mm(self, sock: int, place: int) -> float:
        gap_mm = _AFTER_FIFTH_MM if place >= BOXES_IN_LINE // 2 else 0.0
        return self.left_mm(sock) + place * self.box_mm + gap_mm


def tracker_layout(width_mm: float, style: PageStyle) -> TrackerLayout:
    """The boxes of both socks in that width."""
    growth = style.growth
    free_mm = width_mm - (_NAME_MM + _NUMBER_MM) * growth - (SOCKS - 1) * _BETWEEN_SOCKS_MM
    box_mm = (free_mm / SOCKS - _AFTER_FIFTH_MM) / BOXES_IN_LINE
    return TrackerLayout(max(_LEAST_BOX_MM, min(_MOST_BOX_MM * growth, box_mm)), growth)


def tracker_head(width_mm: float, style: PageStyle) -> Piece:
    """The names of the two socks above their boxes; again at the top of each page."""
    layout = tracker_layout(width_mm, style)
    look = style.sub_head
    items: list[Item] = []
    for sock in range(SOCKS):
        items += set_line(f"Sock {sock + 1}", layout.left_mm(sock), look.baseline_mm, look)
    head = Group(tuple(items), role=Role.ARTIFACT)
    return Piece(Block((head,), width_mm, look.leading_mm), 1.5, with_next=True)


def tracker_pieces(knit: Knit, width_mm: float, style: PageStyle) -> list[Piece]:
    """A piece for each line of boxes; the first of a part carries its name."""
    layout = tracker_layout(width_mm, style)
    pieces: list[Piece] = []
    for track in tracks_of(knit):
        for words, count in track.before:
            line = _line(layout, words, None, count, width_mm, style)
            pieces.append(Piece(line, BETWEEN_LINES_MM, with_next=True))
        starts = range(0, track.boxes, BOXES_IN_LINE)
        for start in starts:
            count = min(BOXES_IN_LINE, track.boxes - start)
            last = start == starts[-1]
            after_mm = 3.6 if last and not track.extra else BETWEEN_LINES_MM
            line = _line(layout, track.name, start + 1, count, width_mm, style)
            # The box for what runs on is not alone on a page.
            held = bool(track.extra) if last else start == 0
            pieces.append(Piece(line, after_mm, with_next=held))
        if track.extra:
            pieces.append(Piece(_line(layout, track.extra, None, 1, width_mm, style), 3.6))
    return pieces


def _line(
    layout: TrackerLayout,
    track: str,
    number: int | None,
    count: int,
    width_mm: float,
    style: PageStyle,
) -> Block:
    """A line of boxes; the first of a track, and one without a number, carries its name."""
    name = track if number is None or number == 1 else ""
    note = style.note
    box_mm = layout.box_mm
    corners = [
        (layout.box_left_mm(sock, place), 0.0) for sock in range(SOCKS) for place in range(count)
    ]
    label: list[Item] = []
    base_mm = box_mm / 2 + note.cap_height_mm / 2
    if name:
        look = Style(note.size_pt, note.leading_pt, Face.BOLD if number else Face.REGULAR)
        label += set_line(name, 0.0, base_mm, look)
    if number is not None:
        right_mm = layout.left_mm(0) - 1.6
        label += set_line(str(number), right_mm, base_mm, note, align=Align.RIGHT)
    boxes = boxes_path(corners, box_mm)
    items = (Group((*label, boxes), role=Role.LI, alt=line_words(track, number, count)),)
    return Block(items, width_mm, box_mm)


def line_words(track: str, first: int | None, count: int) -> str:
    """A line of boxes as it is heard; `first` is the number of its first row or pair.

    >>> line_words("Leg", 11, 10)
    'Leg, 11 to 20: 10 boxes for each sock.'
    >>> line_words("lift bars", None, 1)
    'Lift bars: 1 box for each sock.'
    """
    name = track[:1].upper() + track[1:]
    if first is not None:
        name += f", {first} to {first + count - 1}" if count > 1 else f", {first}"
    return f"{name}: {count} {'box' if count == 1 else 'boxes'} for each sock."
