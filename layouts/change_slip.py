"""The change slip: what a knitter corrects with a pencil in an older print, line by line.

On a page as wide as the booklet's what is printed and what it should read stand side by side; on a
narrower card one below the other.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final, NamedTuple

from charts.changes import Correction, PartCorrections, SockCorrections
from layouts.block import Block, DoesNotFitError
from layouts.blocks import Piece, fitting, heading, paragraph, pieces_height_mm, stacked
from layouts.paper import CARD_SAFE, MM_PER_PT, PAPERS, Paper
from layouts.scene import Document, Group, Item, OutlineEntry, Page, Role, rect
from layouts.style import SMALL_CARD, PageStyle
from layouts.tables import Column, gap_columns, table_row
from layouts.text import Run, bold, break_lines, set_lines

DEFAULT_SLIP: Final = PAPERS["a5"]
LEAST_WIDTH_MM: Final = 70.0
"""Text of a narrower slip would be all line ends."""
_BOX_MM: Final = 3.6
PRINTED: Final = "is printed"
SHOULD_READ: Final = "should read"
_LABEL_MM: Final = 20.0
"""Column of these two on a narrow card."""
TABLE_FROM_MM: Final = 120.0
"""From this width on lines are told in a table."""
_PAGE_MM: Final = 8.0
_LINE_MM: Final = 24.0
_AFTER_PART_MM: Final = 2.4
_TABLE_TOP_MM: Final = 0.9
"""From a rule to the words below it."""
_GAP_MM: Final = 1.8


def make_change_slip(
    title: str,
    socks: Sequence[SockCorrections],
    *,
    paper: Paper = DEFAULT_SLIP,
    style: PageStyle = SMALL_CARD,
) -> Document:
    """The slip for every sock that has something to correct, on as many sides as it takes.

    Raises ValueError if there is nothing to correct, DoesNotFitError, saying what would fit, if
    the card is too small.
    """
    if not socks:
        raise ValueError("a change slip needs something to correct")
    width_mm = paper.width_mm - CARD_SAFE.left_mm - CARD_SAFE.right_mm
    if width_mm < LEAST_WIDTH_MM:
        wide_mm = LEAST_WIDTH_MM + CARD_SAFE.left_mm + CARD_SAFE.right_mm
        raise DoesNotFitError(f"a change slip needs a width of {wide_mm:g} mm or more, such as a6")
    head = _head(title, width_mm, style)
    entries = [entry for sock in socks for entry in _sock_entries(sock, width_mm, style)]
    room_mm = (
        paper.height_mm - CARD_SAFE.top_mm - CARD_SAFE.bottom_mm - pieces_height_mm(head) - _GAP_MM
    )
    sides = list(_sides(entries, room_mm, width_mm, style))
    return Document(
        tuple(
            _page(paper, _side(head, side, number, len(sides), width_mm, style), number)
            for number, side in enumerate(sides, start=1)
        ),
        f"{title}: corrections",
        subject="What to correct in an older print, line by line",
        keywords=("sock", "corrections"),
    )


_HOW: Final = (
    "With the booklet beside you, write each line in and tick it. Pages are those of the A5 "
    "booklet for one size; in another edition find the part, then the line by its name."
)


class _Entry(NamedTuple):
    """A piece of the slip and the part of the sock that it is about; "" for a heading."""

    piece: Piece
    part: str = ""


def _sides(
    entries: list[_Entry], room_mm: float, width_mm: float, style: PageStyle
) -> Iterator[list[Piece]]:
    """What each side holds; a part that goes on has its heading again."""
    while entries:
        pieces = [entry.piece for entry in entries]
        part = entries[0].part
        again = [heading(f"{part}, continued", style.sub_head, width_mm)] if part else []
        if part and width_mm >= TABLE_FROM_MM:
            again.append(_table_head(width_mm, style))
        count = fitting([*again, *pieces], room_mm) - len(again)
        if count <= 0:
            raise DoesNotFitError("a correction is longer than the card; try a larger one: a5")
        yield [*again, *pieces[:count]]
        entries = entries[count:]


def _page(paper: Paper, body: Block, number: int) -> Page:
    return Page(
        paper.width_mm,
        paper.height_mm,
        (body.placed(CARD_SAFE.left_mm, CARD_SAFE.top_mm),),
        safe=CARD_SAFE,
        outline=(OutlineEntry(1, f"Side {number}"),),
    )


def _side(
    head: Sequence[Piece],
    pieces: Sequence[Piece],
    number: int,
    sides: int,
    width_mm: float,
    style: PageStyle,
) -> Block:
    """The head, with the side's number where there are several, over its corrections."""
    if sides > 1:
        words = f"{number} of {sides}"
        about = paragraph(f"Corrections to an older print · {words}", style.note, width_mm)
        head = (head[0], about, *(head[2:] if number == 1 else ()))
    return stacked((*head, Piece(Block((), 0.0, 0.0), _GAP_MM, with_next=True), *pieces))


def _head(title: str, width_mm: float, style: PageStyle) -> tuple[Piece, ...]:
    return (
        heading(title, style.title, width_mm, role=Role.H1),
        paragraph("Corrections to an older print", style.note, width_mm),
        paragraph(_HOW, style.body, width_mm),
    )


def _sock_entries(sock: SockCorrections, width_mm: float, style: PageStyle) -> Iterator[_Entry]:
    name = f"{sock.name}: {sock.loom_text}" if sock.name else sock.loom_text
    yield _Entry(paragraph((bold(name),), style.body, width_mm, with_next=True))
    if sock.another_ring:
        words = sock.another_ring[:1].upper() + sock.another_ring[1:] + "."
        yield _Entry(paragraph(words, style.body, width_mm))
    for part in sock.parts:
        yield _Entry(heading(part.heading, style.sub_head, width_mm))
        yield from _part_entries(part, width_mm, style)
    if sock.remarks:
        yield _Entry(heading("Other pages", style.sub_head, width_mm))
    for remark in sock.remarks:
        yield _Entry(paragraph(remark, style.body, width_mm))


def _part_entries(part: PartCorrections, width_mm: float, style: PageStyle) -> Iterator[_Entry]:
    wide = width_mm >= TABLE_FROM_MM
    if wide:
        yield _Entry(_table_head(width_mm, style))
    for one in part.lines:
        piece = _table_line(one, width_mm, style) if wide else _card_lines(one, width_mm, style)
        if one is part.lines[-1]:
            piece = replace(piece, after_mm=piece.after_mm + _AFTER_PART_MM)
        yield _Entry(piece, part.heading)


def _columns(width_mm: float) -> tuple[Column, ...]:
    """Page, line, what is printed, and the rest for what it should read."""
    left_mm = _BOX_MM + _GAP_MM
    words_mm = (width_mm - left_mm - _PAGE_MM - _LINE_MM) / 2
    return gap_columns((_PAGE_MM, _LINE_MM, words_mm - 6.0), width_mm - left_mm)


def _table_head(width_mm: float, style: PageStyle) -> Piece:
    names = ("page", "line", PRINTED, SHOULD_READ)
    row = table_row(names, _columns(width_mm), style.note, role=Role.TH, rule_pt=0.0)
    block = Block((row.block.placed(_BOX_MM + _GAP_MM, 0.0),), width_mm, row.block.height_mm)
    return Piece(block, 0.0, with_next=True)


def _table_line(one: Correction, width_mm: float, style: PageStyle) -> Piece:
    """A tick box, and beside it the page, the line and the words of both prints."""
    cells = (one.page, (bold(one.where),), one.printed, (bold(one.should_read),))
    row = table_row(cells, _columns(width_mm), style.body)
    items = (_tick_box(style, _TABLE_TOP_MM), row.block.placed(_BOX_MM + _GAP_MM, 0.0))
    return Piece(Block(items, width_mm, row.block.height_mm), row.after_mm)


def _tick_box(style: PageStyle, top_mm: float) -> Group:
    side_mm = _BOX_MM - 0.3
    box = rect(0.3, top_mm + style.body.baseline_mm - _BOX_MM + 0.5, side_mm, side_mm)
    return Group((box,), role=Role.ARTIFACT)


def _card_lines(one: Correction, width_mm: float, style: PageStyle) -> Piece:
    """A tick box, the place, and below it the words of both prints."""
    body = style.body
    left_mm = _BOX_MM + _GAP_MM
    items: list[Item] = [_tick_box(style, 0.0)]
    y_mm = 0.0
    place = f"page {one.page}, {one.where}" if one.page else one.where
    told = (("", place), (PRINTED, one.printed), (SHOULD_READ, one.should_read))
    for label, words in told:
        inset_mm = left_mm + (_LABEL_MM if label else 0.0)
        room_mm = width_mm - inset_mm
        runs = (Run(words),) if label == PRINTED else (bold(words),)
        placed = set_lines(
            break_lines(runs, body, room_mm), inset_mm, y_mm, room_mm, body, role=Role.P
        )
        if label:
            mark = set_lines(
                break_lines(label, style.note, _LABEL_MM), left_mm, y_mm, _LABEL_MM, style.note
            )
            items.append(mark.group)
        items.append(placed.group)
        y_mm += placed.box.height_mm
    block = Block((Group(tuple(items), role=Role.SECTION),), width_mm, y_mm)
    return Piece(block, style.step.after_pt * MM_PER_PT + 1.2)
