"""The change slip: a card that tells a knitter what to correct in an older print."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import Final, NamedTuple

from charts.changes import SockCorrections
from layouts.block import Block, DoesNotFitError
from layouts.blocks import Piece, fitting, heading, paragraph, pieces_height_mm, stacked
from layouts.paper import CARD_SAFE, MM_PER_PT, PAPERS, Paper
from layouts.scene import Document, Group, Item, OutlineEntry, Page, Role, rect
from layouts.style import SMALL_CARD, PageStyle
from layouts.text import Run, bold, break_lines, set_lines

DEFAULT_SLIP: Final = PAPERS["a6"]
LEAST_WIDTH_MM: Final = 70.0
"""Text of a narrower slip would be all line ends."""
_BOX_MM: Final = 3.6
_LABEL_MM: Final = 10.0
"""Column of "was" and "now"."""
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
        subject="What to correct in an older print, row by row",
        keywords=("sock", "corrections"),
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
        if part:
            pieces.insert(0, heading(f"{part}, continued", style.sub_head, width_mm))
        count = fitting(pieces, room_mm)
        if not count:
            raise DoesNotFitError("a correction is longer than the card; try a larger one: a5")
        yield pieces[:count]
        entries = entries[count - bool(part) :]


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
        head = (head[0], about)
    return stacked((*head, Piece(Block((), 0.0, 0.0), _GAP_MM, with_next=True), *pieces))


def _head(title: str, width_mm: float, style: PageStyle) -> tuple[Piece, ...]:
    return (
        heading(title, style.title, width_mm, role=Role.H1),
        paragraph("Corrections to an older print", style.note, width_mm),
    )


def _sock_entries(sock: SockCorrections, width_mm: float, style: PageStyle) -> Iterator[_Entry]:
    name = f"{sock.name}: {sock.loom_text}" if sock.name else sock.loom_text
    yield _Entry(paragraph((bold(name),), style.body, width_mm, with_next=True))
    if sock.another_ring:
        words = sock.another_ring[:1].upper() + sock.another_ring[1:] + "."
        yield _Entry(paragraph(words, style.body, width_mm))
    for part, corrections in groupby(sock.corrections, key=lambda one: one.part):
        yield _Entry(heading(part.title, style.sub_head, width_mm))
        for one in corrections:
            yield _Entry(_correction(one.place, one.old, one.new, width_mm, style), part.title)


def _correction(place: str, old: str, new: str, width_mm: float, style: PageStyle) -> Piece:
    """A tick box, the place, and below it the words of both prints."""
    body = style.body
    left_mm = _BOX_MM + 1.8
    items: list[Item] = [
        Group(
            (rect(0.3, body.baseline_mm - _BOX_MM + 0.5, _BOX_MM - 0.3, _BOX_MM - 0.3),),
            role=Role.ARTIFACT,
        )
    ]
    y_mm = 0.0
    for label, words in (("", place), ("was", old), ("now", new)):
        inset_mm = left_mm + (_LABEL_MM if label else 0.0)
        room_mm = width_mm - inset_mm
        runs = (Run(words),) if label == "was" else (bold(words),)
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
