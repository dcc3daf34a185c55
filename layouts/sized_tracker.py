"""The row tracker of several sizes: boxes for the size with most rows, each size's stop named."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from layouts.block import Block
from layouts.blocks import Piece, paragraph, stacked
from layouts.faces import Face
from layouts.frame import Entry, Leaf, PageFrame
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
    TrackerLayout,
    tracker_head,
    tracker_layout,
    tracks_of,
)


@dataclass(frozen=True, slots=True)
class SizedTrack:
    """The boxes of one part for all sizes."""

    name: str
    counts: tuple[int, ...]
    """Boxes a size; 0 for one without the part."""
    extra: str = ""
    """Words for one more box after the numbered ones."""


def sized_tracks(sizes: SizeSet) -> tuple[SizedTrack, ...]:
    """One box a numbered row, and one a grafted pair."""
    each = [{track.name: track for track in tracks_of(knit)} for knit in sizes.knits]
    names = dict.fromkeys(name for one in sorted(each, key=len, reverse=True) for name in one)
    tracks = []
    for name in names:
        own = [one.get(name) for one in each]
        counts = tuple(0 if track is None else track.boxes for track in own)
        extra = next((track.extra for track in own if track is not None), "")
        tracks.append(SizedTrack(name, counts, extra))
    return tuple(tracks)


def sized_tracker_way(sizes: SizeSet, frame: PageFrame) -> Way:
    """Boxes for both socks, for whichever size is knitted."""
    style, width_mm = frame.style, frame.width_mm
    lines = list(_lines(sizes, width_mm, style))
    head = tracker_head(width_mm, style)
    pages = list(filled_pages(lines, frame.height_mm, head))
    under = order_block(sizes, width_mm=width_mm, style=style)

    def make() -> tuple[Leaf, ...]:
        return tuple(
            Leaf(
                "Row tracker",
                stacked(page),
                "for both socks",
                number="✓",
                entry=None if index else Entry("Row tracker for both socks", "tracker"),
                under=under,
            )
            for index, page in enumerate(pages)
        )

    return Way(len(pages), make)


def _lines(sizes: SizeSet, width_mm: float, style: PageStyle) -> Iterator[Piece]:
    """A piece for each line of boxes; the first of a part carries its name."""
    layout = tracker_layout(width_mm)
    if any(len(set(track.counts)) > 1 for track in sized_tracks(sizes)):
        words = "A heavy stroke ends the boxes of the size named below it: tick up to yours."
        yield paragraph(words, style.note, width_mm)
    for track in sized_tracks(sizes):
        stops = stops_of(track.counts, sizes)
        most = max(track.counts)
        starts = range(0, most, BOXES_IN_LINE)
        for start in starts:
            last = start == starts[-1]
            line = _line(
                layout,
                "" if start else track.name,
                range(start + 1, min(start + BOXES_IN_LINE, most) + 1),
                stops,
                width_mm,
                style,
            )
            after_mm = 3.6 if last and not track.extra else BETWEEN_LINES_MM
            yield Piece(line, after_mm, with_next=start == 0 and not last)
        if track.extra:
            line = _line(layout, track.extra, range(0, 1), {}, width_mm, style)
            yield Piece(line, 3.6)


def _line(
    layout: TrackerLayout,
    name: str,
    numbers: range,
    stops: dict[int, Stop],
    width_mm: float,
    style: PageStyle,
) -> Block:
    """One line of boxes for both socks; `numbers` are those of its boxes, 0 for one without."""
    note, box_mm = style.note, layout.box_mm
    base_mm = box_mm / 2 + note.cap_height_mm / 2
    items: list[Item] = []
    if name:
        look = Style(note.size_pt, note.leading_pt, Face.BOLD if numbers[0] else Face.REGULAR)
        items += set_line(name, 0.0, base_mm, look)
    if numbers[0]:
        right_mm = layout.left_mm(0) - 1.6
        items += set_line(str(numbers[0]), right_mm, base_mm, note, align=Align.RIGHT)
    corners = []
    below_mm = 0.0
    for sock in range(SOCKS):
        lefts_mm = {
            number: layout.box_left_mm(sock, place) for place, number in enumerate(numbers)
        }
        corners += [(left_mm, 0.0) for left_mm in lefts_mm.values()]
        rights_mm = {number: left_mm + box_mm for number, left_mm in lefts_mm.items()}
        marks, high_mm = stop_marks(
            stops, rights_mm, 0.0, box_mm, layout.left_mm(sock), layout.line_mm, style
        )
        items += marks
        below_mm = max(below_mm, high_mm)
    boxes = boxes_path(corners, box_mm)
    return Block((Group((*items[:2], boxes, *items[2:]), role=Role.LI),), width_mm, box_mm + below_mm)
