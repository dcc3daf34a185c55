"""The tick sheet of several sizes: boxes for the size with most rows, each size's stop named."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from layouts.block import Block
from layouts.blocks import Piece, paragraph, stacked
from layouts.faces import Face
from layouts.frame import TICKS, Entry, Leaf, PageFrame
from layouts.page_fill import filled_pages
from layouts.scene import Align, Group, Item, Role
from layouts.size_order import SizeSet, order_block
from layouts.sized_boxes import Stop, stop_marks, stops_of
from layouts.spreads import Way
from layouts.steps_block import boxes_path
from layouts.style import PageStyle
from layouts.text import Style, set_line
from layouts.tracker import (
    BETWEEN_LINES_MM,
    BOXES_IN_LINE,
    SOCKS,
    Track,
    TrackerLayout,
    line_words,
    tracker_head,
    tracker_layout,
    tracks_of,
)

AFTER_PART_MM = 3.6


@dataclass(frozen=True, slots=True)
class SizedTrack:
    """The boxes of one part, or of one thing to do in it, for all sizes."""

    name: str
    counts: tuple[int, ...]
    """Boxes a size; 0 for one without."""
    numbered: bool
    """Rows, or pairs; else moves and rows that are not counted."""


def sized_tracks(sizes: SizeSet) -> tuple[tuple[SizedTrack, ...], ...]:
    """For each part its moves, its rows or pairs, and what comes after them."""
    each = [{track.name: track for track in tracks_of(knit)} for knit in sizes.knits]
    names = dict.fromkeys(name for one in sorted(each, key=len, reverse=True) for name in one)
    return tuple(_part_tracks([one.get(name) for one in each], name) for name in names)


def _part_tracks(own: Sequence[Track | None], name: str) -> tuple[SizedTrack, ...]:
    there = [track for track in own if track is not None]
    tracks = []
    for words in dict.fromkeys(words for track in there for words, _ in track.before):
        counts = tuple(0 if track is None else dict(track.before).get(words, 0) for track in own)
        tracks.append(SizedTrack(words, counts, numbered=False))
    rows = tuple(0 if track is None else track.boxes for track in own)
    tracks.append(SizedTrack(name, rows, numbered=True))
    for words in dict.fromkeys(track.extra for track in there if track.extra):
        counts = tuple(int(track is not None and track.extra == words) for track in own)
        tracks.append(SizedTrack(words, counts, numbered=False))
    return tuple(tracks)


def sized_tracker_way(sizes: SizeSet, frame: PageFrame) -> Way:
    """Boxes for both socks, for whichever size is knitted."""
    style, width_mm = frame.style, frame.width_mm
    under = order_block(sizes, width_mm=width_mm, style=style)
    lines = list(_lines(sizes, width_mm, style))
    head = tracker_head(width_mm, style)
    pages = list(filled_pages(lines, frame.height_mm - under.height_mm, head))

    def make() -> tuple[Leaf, ...]:
        return tuple(
            Leaf(
                "Tick sheet",
                stacked(page),
                "continued" if index else "for both socks",
                number=TICKS,
                entry=None if index else Entry("Tick sheet for both socks", "tracker"),
                under=under,
            )
            for index, page in enumerate(pages)
        )

    return Way(len(pages), make)


def _lines(sizes: SizeSet, width_mm: float, style: PageStyle) -> Iterator[Piece]:
    """A piece for each line of boxes; the first of a part carries its name."""
    layout = tracker_layout(width_mm, style)
    parts = sized_tracks(sizes)
    if any(len(set(track.counts)) > 1 for part in parts for track in part):
        words = "A heavy stroke ends the boxes of the sizes named below it: tick up to yours."
        yield paragraph(words, style.note, width_mm, with_next=True)
    for part in parts:
        last_of_part = part[-1]
        for track in part:
            most = max(track.counts)
            starts = range(0, most, BOXES_IN_LINE)
            for start in starts:
                line = _line(
                    layout,
                    track,
                    range(start + 1, min(start + BOXES_IN_LINE, most) + 1),
                    stops_of(track.counts, sizes),
                    width_mm,
                    style,
                )
                ends = start == starts[-1]
                after_mm = AFTER_PART_MM if ends and track is last_of_part else BETWEEN_LINES_MM
                # A lone box, for what runs on, stays with what comes before it.
                held = ends and track is not last_of_part
                yield Piece(line, after_mm, with_next=held or (start == 0 and not ends))


def _line(
    layout: TrackerLayout,
    track: SizedTrack,
    numbers: range,
    stops: dict[int, Stop],
    width_mm: float,
    style: PageStyle,
) -> Block:
    """One line of boxes for both socks."""
    note, box_mm = style.note, layout.box_mm
    base_mm = box_mm / 2 + note.cap_height_mm / 2
    label: list[Item] = []
    if numbers[0] == 1:
        face = Face.BOLD if track.numbered else Face.REGULAR
        label += set_line(track.name, 0.0, base_mm, Style(note.size_pt, note.leading_pt, face))
    if track.numbered:
        right_mm = layout.left_mm(0) - 1.6
        label += set_line(str(numbers[0]), right_mm, base_mm, note, align=Align.RIGHT)
    corners = []
    marks: list[Item] = []
    below_mm = 0.0
    for sock in range(SOCKS):
        lefts_mm = [layout.box_left_mm(sock, place) for place in range(len(numbers))]
        corners += [(left_mm, 0.0) for left_mm in lefts_mm]
        rights_mm = {
            number: left_mm + box_mm for number, left_mm in zip(numbers, lefts_mm, strict=True)
        }
        items, high_mm = stop_marks(
            stops, rights_mm, 0.0, box_mm, layout.left_mm(sock), layout.line_mm, style
        )
        marks += items
        below_mm = max(below_mm, high_mm)
    boxes = boxes_path(corners, box_mm)
    first = numbers[0] if track.numbered else None
    ends = [f"{', '.join(stop.names)} to {at}" for at, stop in stops.items() if at in numbers]
    heard = " ".join(
        [line_words(track.name, first, len(numbers)), *(f"Size {end}." for end in ends)]
    )
    group = Group((*label, boxes, *marks), role=Role.LI, alt=heard)
    return Block((group,), width_mm, box_mm + below_mm)
