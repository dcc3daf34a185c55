"""Blocks set one below the other: paragraphs, headings, and how much of a stack a page takes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import groupby, pairwise
from typing import Final

from layouts.block import Block
from layouts.paper import MM_PER_PT
from layouts.scene import Group, Item, Role
from layouts.text import RichText, Style, break_lines, set_lines


@dataclass(frozen=True, slots=True)
class Piece:
    """A block in a stack of blocks; a page never breaks it."""

    block: Block
    after_mm: float = 0.0
    """Room below it, unless it is the last on its page."""
    with_next: bool = False
    """Never the last on a page: a heading, a paragraph's first line."""
    again: Block | None = None
    """Stands above it where it begins a page: the head over a column that goes on."""

    @property
    def height_mm(self) -> float:
        return self.block.height_mm + self.after_mm


def paragraph(
    text: RichText, style: Style, width_mm: float, *, role: Role = Role.P, with_next: bool = False
) -> Piece:
    """A paragraph in one piece."""
    set_text = set_lines(break_lines(text, style, width_mm), 0.0, 0.0, width_mm, style, role=role)
    block = Block((set_text.group,), width_mm, set_text.box.height_mm)
    return Piece(block, style.after_pt * MM_PER_PT, with_next)


def running_text(text: str, style: Style, width_mm: float) -> list[Piece]:
    """Text of any length that pages may break; each of its lines starts a paragraph, and no line
    of a paragraph is left alone at the foot or the head of a page."""
    pieces = []
    for one in text.splitlines():
        lines = break_lines(one, style, width_mm)
        cuts = [0, *range(2, len(lines) - 1), len(lines)] if len(lines) > 3 else [0, len(lines)]
        for first, after in pairwise(cuts):
            if first == after:
                continue
            placed = set_lines(lines[first:after], 0.0, 0.0, width_mm, style)
            block = Block((placed.group,), width_mm, placed.box.height_mm)
            ends = after == len(lines)
            pieces.append(Piece(block, style.after_pt * MM_PER_PT if ends else 0.0))
    return pieces


def heading(text: str, style: Style, width_mm: float, *, role: Role = Role.H2) -> Piece:
    """A heading that stays with what it heads."""
    return paragraph(text, style, width_mm, role=role, with_next=True)


def space(height_mm: float) -> Piece:
    """Empty room before what follows it."""
    return Piece(Block((), 0.0, 0.0), height_mm, with_next=True)


def headed(pieces: Sequence[Piece]) -> list[Piece]:
    """The pieces as they begin a page: below the head of what they go on with, if there is one."""
    first = pieces[0].again if pieces else None
    if first is None:
        return list(pieces)
    return [
        Piece(first, AFTER_HEAD_MM, with_next=True),
        replace(pieces[0], again=None),
        *pieces[1:],
    ]


AFTER_HEAD_MM: Final = 0.4
"""Between the head of a column and what stands below it."""


def pieces_height_mm(pieces: Sequence[Piece]) -> float:
    """Height of the stack, without the room after its last piece."""
    if not pieces:
        return 0.0
    return sum(piece.height_mm for piece in pieces) - pieces[-1].after_mm


def squeezed(pieces: Sequence[Piece], height_mm: float) -> list[Piece]:
    """The pieces with less room between them if that makes them fit; never below half of it."""
    over_mm = pieces_height_mm(pieces) - height_mm
    gaps_mm = sum(piece.after_mm for piece in pieces[:-1])
    if over_mm <= 0 or over_mm > gaps_mm * MOST_SQUEEZED:
        return list(pieces)
    return closer(pieces, 1 - (over_mm + 1e-3) / gaps_mm)


def closer(pieces: Sequence[Piece], share: float) -> list[Piece]:
    """The pieces with that share of the room between them."""
    return [
        Piece(piece.block, piece.after_mm * share, piece.with_next, piece.again) for piece in pieces
    ]


MOST_SQUEEZED: Final = 0.5


def fitting(pieces: Sequence[Piece], room_mm: float) -> int:
    """How many pieces from the first on go into `room_mm`, none of them a stranded heading."""
    used_mm, best = 0.0, 0
    for count, piece in enumerate(pieces, start=1):
        if used_mm + piece.block.height_mm > room_mm + 1e-6:
            break
        used_mm += piece.height_mm
        if not piece.with_next:
            best = count
    return best


def stacked(pieces: Iterable[Piece]) -> Block:
    """The pieces as one block, the first at the top; items of a list and rows of a table that
    follow each other are made one list or table."""
    items: list[Item] = []
    y_mm = width_mm = 0.0
    kept = list(pieces)
    for role, run in groupby(kept, _whole_role):
        placed: list[Item] = []
        for piece in run:
            if piece.block.items:
                placed.append(piece.block.placed(0.0, y_mm))
            width_mm = max(width_mm, piece.block.width_mm)
            y_mm += piece.height_mm
        items += placed if role is None else [Group(tuple(placed), role=role)]
    return Block(tuple(items), width_mm, pieces_height_mm(kept))


_WHOLES: Final = {Role.LI: Role.LIST, Role.TR: Role.TABLE}


def _whole_role(piece: Piece) -> Role | None:
    """The role of what the piece is an item or a row of."""
    match piece.block.items:
        case (Group(role=Role.LI | Role.TR as role),):
            return _WHOLES[role]
    return None


def side_by_side(blocks: Sequence[Block], gap_mm: float) -> Block:
    """Blocks in a row, tops level."""
    items = []
    x_mm = 0.0
    for block in blocks:
        items.append(block.placed(x_mm, 0.0))
        x_mm += block.width_mm + gap_mm
    height_mm = max(block.height_mm for block in blocks)
    return Block(tuple(items), x_mm - gap_mm, height_mm)


def figure(block: Block, alt: str) -> Block:
    """The block as one drawing, told in words to those who hear the page."""
    group = Group(block.items, role=Role.FIGURE, alt=alt)
    return Block((group,), block.width_mm, block.height_mm)
