"""The teacher's sheet: everybody of a class with their loom, their numbers and their page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from layouts.block import Block, DoesNotFitError
from layouts.blocks import Piece, paragraph, stacked
from layouts.page_fill import filled_pages
from layouts.paper import PRINTER_SAFE, Paper
from layouts.scene import Align, Document, Group, Item, Page, Role, line
from layouts.style import BOOKLET, PageStyle
from layouts.text import (
    RichText,
    Style,
    bold,
    break_lines,
    set_line,
    set_lines,
    width_mm,
)

MARGIN_MM: Final = 12.0
_GAP_MM: Final = 3.2
_MEETING_MM: Final = 2.4
_ABOVE_MM: Final = 1.1
_BELOW_MM: Final = 0.9
_NONE: Final = "–"


@dataclass(frozen=True)
class OverviewRow:
    """One person of the class; every cell as it is printed."""

    who: str
    size: str
    foot: str
    loom: str
    heel: str
    """Pegs."""
    turn: str
    """Pegs in the middle."""
    flap: str
    """Rows."""
    foot_rows: str
    toe: str
    """Pegs, and how many are turned at a side."""
    yarn: str
    fit: str
    edition: str
    """What is special about hand and print."""
    page: str
    """In the file of all packs."""


@dataclass(frozen=True, slots=True)
class _Column:
    """How a column of the table is headed and set."""

    name: str
    """Of the field."""
    heads: tuple[str, ...]
    """A line each."""
    align: Align = Align.LEFT
    least_mm: float = 0.0
    """A column of words may be set as narrow as this; one of numbers is as wide as its widest."""


_COLUMNS: Final = (
    _Column("who", ("Who",), least_mm=22.0),
    _Column("size", ("Size",), least_mm=12.0),
    _Column("foot", ("Foot",), least_mm=18.0),
    _Column("loom", ("Loom",), least_mm=20.0),
    _Column("heel", ("Heel", "pegs"), Align.RIGHT),
    _Column("turn", ("Turn", "pegs"), Align.RIGHT),
    _Column("flap", ("Flap", "rows"), Align.RIGHT),
    _Column("foot_rows", ("Foot", "rows"), Align.RIGHT),
    _Column("toe", ("Toe pegs,", "a side"), Align.RIGHT),
    _Column("yarn", ("Yarn", "a pair"), Align.RIGHT),
    _Column("fit", ("Fit",), least_mm=18.0),
    _Column("edition", ("Edition",), least_mm=16.0),
    _Column("page", ("Page",), Align.RIGHT),
)


def make_overview(
    rows: Sequence[OverviewRow],
    *,
    title: str,
    remarks: Sequence[str] = (),
    paper: Paper,
    style: PageStyle = BOOKLET,
) -> Document:
    """The table on as many level pages as it takes, its heads on each; remarks stand below it.

    Columns in which nobody has anything are left out.  Raises DoesNotFitError for too small a page.
    """
    paper = paper.level
    whole_mm = paper.width_mm - 2 * MARGIN_MM
    table = _Table(rows, whole_mm, style)
    look = Style(style.title.size_pt, style.title.size_pt * 1.2, style.title.face)
    pieces = [*table.rows(), *_remarks(remarks, whole_mm, style)]
    head_mm = look.leading_mm + _AFTER_TITLE_MM
    room_mm = paper.height_mm - 2 * MARGIN_MM - head_mm - _FOOT_MM
    bodies = [stacked(page) for page in filled_pages(pieces, room_mm, table.head())]
    pages = tuple(
        _page(paper, body, number, len(bodies), title, len(rows), look, style)
        for number, body in enumerate(bodies, start=1)
    )
    return Document(pages, f"{title}: class overview", subject="Who knits which sock on which loom")


_AFTER_TITLE_MM: Final = 4.0
_FOOT_MM: Final = 6.0
_AFTER_TABLE_MM: Final = 5.0


def _page(
    paper: Paper,
    body: Block,
    number: int,
    count: int,
    title: str,
    people: int,
    look: Style,
    style: PageStyle,
) -> Page:
    small = Style(style.body.size_pt, style.body.leading_pt, ink=style.soft_ink)
    right_mm = paper.width_mm - MARGIN_MM
    base_mm = MARGIN_MM + look.baseline_mm
    people_words = f"{people} {'person' if people == 1 else 'people'}"
    head = Group(set_line((bold(title),), MARGIN_MM, base_mm, look), role=Role.H1)
    about = set_line(
        f"Class overview · {people_words}", right_mm, base_mm, small, align=Align.RIGHT
    )
    items: list[Item] = [
        head,
        Group(about, role=Role.P),
        body.placed(MARGIN_MM, MARGIN_MM + look.leading_mm + _AFTER_TITLE_MM),
    ]
    if count > 1:
        foot_mm = paper.height_mm - MARGIN_MM
        foot = set_line(f"page {number} of {count}", right_mm, foot_mm, small, align=Align.RIGHT)
        items.append(Group(foot, role=Role.ARTIFACT))
    return Page(paper.width_mm, paper.height_mm, tuple(items), str(number), PRINTER_SAFE)


def _remarks(words: Sequence[str], whole_mm: float, style: PageStyle) -> Iterator[Piece]:
    for index, one in enumerate(words):
        piece = paragraph(one, style.note, whole_mm)
        if index == 0:
            placed = piece.block.placed(0.0, _AFTER_TABLE_MM)
            high_mm = piece.block.height_mm + _AFTER_TABLE_MM
            piece = Piece(Block((placed,), whole_mm, high_mm), piece.after_mm)
        yield piece


class _Table:
    """The rows as lines of one table, its columns as wide as they need to be."""

    def __init__(self, rows: Sequence[OverviewRow], whole_mm: float, style: PageStyle) -> None:
        self._rows = rows
        self._style = style
        self._whole_mm = whole_mm
        self._columns = [
            column
            for column in _COLUMNS
            if column.name == "who" or any(getattr(row, column.name) for row in rows)
        ]
        self._widths_mm = self._fitted()

    @property
    def _look(self) -> Style:
        return self._style.body

    @property
    def _head_look(self) -> Style:
        note = self._style.note
        return Style(note.size_pt, note.leading_pt * 0.95, self._style.sub_head.face)

    def _fitted(self) -> list[float]:
        """The width of each column: what its widest cell needs; where that is too much together,
        columns of words give way alike."""
        wanted = [
            max(
                *(width_mm(_cell(column, row), self._look) for row in self._rows),
                *(width_mm(head, self._head_look) for head in column.heads),
            )
            for column in self._columns
        ]
        room_mm = self._whole_mm - sum(self._gaps_mm)
        give = [
            max(0.0, wide - column.least_mm) if column.least_mm else 0.0
            for wide, column in zip(wanted, self._columns, strict=True)
        ]
        over_mm = sum(wanted) - room_mm
        if over_mm > sum(give):
            raise DoesNotFitError(
                f"the overview needs pages {sum(wanted) - sum(give) + self._whole_mm - room_mm:.0f}"
                " mm wide between their margins; try a4 or letter"
            )
        if over_mm > 0:
            share = over_mm / sum(give)
            return [
                wide - one * share + _ROUNDING_MM for wide, one in zip(wanted, give, strict=True)
            ]
        # What is left goes to the gaps, but not so much that a row falls apart.
        more_mm = min(-over_mm / len(wanted), _MOST_MORE_MM)
        return [wide + more_mm for wide in wanted]

    def head(self) -> Piece:
        """The heads, at the top of each page."""
        lines = max(len(column.heads) for column in self._columns)
        look = self._head_look
        high_mm = lines * look.leading_mm + _BELOW_MM
        items: list[Item] = []
        for column, left_mm, wide_mm in self._places():
            x_mm = left_mm + (wide_mm if column.align is Align.RIGHT else 0.0)
            first = lines - len(column.heads)
            texts: list[Item] = []
            for index, head in enumerate(column.heads, start=first):
                y_mm = index * look.leading_mm + look.baseline_mm
                texts += set_line(head, x_mm, y_mm, look, align=column.align)
            items.append(Group(tuple(texts), role=Role.TH))
        return Piece(
            Block((Group(tuple(items), role=Role.TR),), self._whole_mm, high_mm), with_next=True
        )

    def rows(self) -> Iterator[Piece]:
        """A line for each person, under a rule."""
        for index, row in enumerate(self._rows):
            items: list[Item] = [
                line(
                    0.0,
                    0.0,
                    self._wide_mm,
                    0.0,
                    stroke_pt=self._style.border_pt if index == 0 else self._style.grid_pt,
                )
            ]
            rule = Group(tuple(items), role=Role.ARTIFACT)
            cells: list[Item] = [rule]
            high_mm = 0.0
            for column, left_mm, wide_mm in self._places():
                placed = set_lines(
                    break_lines(_cell(column, row), self._look, wide_mm),
                    left_mm,
                    _ABOVE_MM,
                    wide_mm,
                    self._look,
                    align=column.align,
                    role=Role.TD,
                )
                cells.append(placed.group)
                high_mm = max(high_mm, placed.box.height_mm)
            block = Block(
                (Group(tuple(cells), role=Role.TR),),
                self._whole_mm,
                high_mm + _ABOVE_MM + _BELOW_MM,
            )
            yield Piece(block)

    @property
    def _wide_mm(self) -> float:
        return sum(self._widths_mm) + sum(self._gaps_mm)

    @property
    def _gaps_mm(self) -> list[float]:
        """Between the columns; more where words follow numbers, which meet otherwise."""
        return [
            _GAP_MM + _MEETING_MM * (one.align is Align.RIGHT and other.align is Align.LEFT)
            for one, other in pairwise(self._columns)
        ]

    def _places(self) -> Iterator[tuple[_Column, float, float]]:
        """Each column with its left edge and its width."""
        left_mm = 0.0
        gaps_mm = (*self._gaps_mm, 0.0)
        for column, wide_mm, gap_mm in zip(self._columns, self._widths_mm, gaps_mm, strict=True):
            yield column, left_mm, wide_mm
            left_mm += wide_mm + gap_mm


_ROUNDING_MM: Final = 1e-4
_MOST_MORE_MM: Final = 6.0


def _cell(column: _Column, row: OverviewRow) -> RichText:
    words = getattr(row, column.name) or _NONE
    return (bold(words),) if column.name in ("who", "page") else words
