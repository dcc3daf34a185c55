"""Finished cards on sheets: cut, laminate, trim.

`gang_cards(cards, sheet=paper)` takes cards as documents, from `make_card` or made otherwise: their
pages are front, back, front 2, back 2 and so on.  It gives a document of sheets, fronts and backs
in turn, each back where it meets its front when the sheet is turned about the edge named.

Between cards there is room for the bleed on both; the ground is white, so that a cut that is off
shows no edge.  Home printers leave 6 mm of a sheet unprinted and lay fronts and backs up to 2 mm
apart, laminating film needs a sealed rim of 3 mm round the card and a pouch 6 mm larger each way
(all common practice, no published source).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from typing import Final, NamedTuple

from layouts.block import DoesNotFitError
from layouts.booklet_sheets import SHEETS
from layouts.crop_marks import MARK_MM, corner_guides, crop_marks
from layouts.imposition import Flip, about_upright_edge, back_turns
from layouts.paper import PRINTER_SAFE, Paper
from layouts.scene import Box, Document, Group, Item, OutlineEntry, Page, Role
from layouts.sheet import page_on_sheet, size_words
from layouts.text import NO_BREAK_SPACE, RichText, Run, Style, bold, break_lines, set_lines

BLEED_MM: Final = 3.0
CORNER_RADIUS_MM: Final = 3.0
"""Within the 2.88 to 3.48 mm of an ID-1 card (ISO/IEC 7810, read in the encyclopedia article)."""
SEAL_MM: Final = 3.0
"""Clear rim of film round a laminated card."""
MISREGISTER_MM: Final = 2.0
_LEAST_OFFSET_MM: Final = 2.0
"""Between a cut edge and its marks, at least."""
_NOTE: Final = Style(8.0, 10.5)
_NOTE_ABOVE_MM: Final = 1.5


class CardLook(NamedTuple):
    """What is done with the cards besides cutting them."""

    corner_radius_mm: float = 0.0
    """0 for square corners."""
    punched: bool = False
    """The cards are drawn with a hole to punch."""


PLAIN: Final = CardLook()


def gang_cards(
    cards: Sequence[Document],
    *,
    sheet: Paper,
    bleed_mm: float = BLEED_MM,
    flip: Flip = Flip.LONG_EDGE,
    look: CardLook = PLAIN,
    title: str = "",
) -> Document:
    """The cards on as few sheets as hold them, in their order; other sizes on sheets of their own.

    Sheet and cards are turned as most cards go on a sheet.  With `bleed_mm` 0 cards touch and share
    their cuts, and where it helps they fill the sheet to its edges.  If any card has a back, every
    sheet has a side of backs.  Raises DoesNotFitError, saying what would fit, if a card with its
    bleed and marks is too large for the sheet.
    """
    leaves = [leaf for card in cards for leaf in _leaves(card)]
    sizes = dict.fromkeys(leaf.size for leaf in leaves)
    both = any(leaf.back for leaf in leaves)
    sides: list[Page] = []
    for size in sizes:
        same = [leaf for leaf in leaves if leaf.size == size]
        grid = _best_grid(same, sheet, bleed_mm, _words(size, flip if both else None, look))
        for first in range(0, len(same), grid.cells):
            some = same[first : first + grid.cells]
            number = 1 + len(sides) // (2 if both else 1)
            sides.append(grid.fronts(number, some, look))
            if both:
                sides.append(grid.backs(number, some, flip, look))
    card = cards[0]
    told = "both sides, " + flip.words if both else "one side"
    return Document(
        tuple(sides),
        title or card.title,
        card.author,
        f"Cards to print at 100{NO_BREAK_SPACE}%, {told}, to cut and laminate",
        language=card.language,
        rights=card.rights,
    )


def most_on_a_sheet(cards: Sequence[Document], sheet: Paper, bleed_mm: float) -> int:
    """How many of the cards `gang_cards` puts on the fullest sheet; 0 if they do not fit."""
    try:
        ganged = gang_cards(cards, sheet=sheet, bleed_mm=bleed_mm)
    except DoesNotFitError:
        return 0
    return max(
        sum(isinstance(item, Group) and item.role is Role.SECTION for item in page.items)
        for page in ganged.pages
    )


# --- Leaves ----------------------------------------------------------------------------------


class _Leaf(NamedTuple):
    """A card of paper with its two sides."""

    front: Page
    back: Page | None

    @property
    def size(self) -> tuple[float, float]:
        """Shorter and longer side, in mm."""
        short, long = sorted((self.front.width_mm, self.front.height_mm))
        return short, long


def _leaves(card: Document) -> Iterator[_Leaf]:
    for front, back in zip_longest(card.pages[::2], card.pages[1::2]):
        if back and (back.width_mm, back.height_mm) != (front.width_mm, front.height_mm):
            raise DoesNotFitError(
                f"front and back of a card differ: {size_words(front.width_mm, front.height_mm)} "
                f"and {size_words(back.width_mm, back.height_mm)}; try one size for both"
            )
        yield _Leaf(front, back)


# --- Grids -----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Grid:
    """Where the cards of one size stand on a sheet."""

    sheet: Paper
    columns: int
    rows: int
    cell_mm: tuple[float, float]
    """Width and height of a card as it lies."""
    corner_mm: tuple[float, float]
    """Top left corner of the first card."""
    gap_mm: float
    offset_mm: float
    """From the cut edge to the marks."""
    note: Group | None
    """What to do with the sheet; none where the cards leave it no room."""

    @property
    def cells(self) -> int:
        return self.columns * self.rows

    def fronts(self, number: int, leaves: Sequence[_Leaf], look: CardLook) -> Page:
        """The side with the fronts."""
        items: list[Item] = []
        for trim, leaf in zip(self.trims(), leaves, strict=False):
            turns = 0 if self._lies_so(leaf.front) else 1
            items.append(_card(leaf.front, trim, turns))
        items += self._marks(self.trims()[: len(leaves)], look)
        if self.note is not None:
            items.append(self.note)
        return self._page(number, "fronts", items, [leaf.front for leaf in leaves])

    def backs(self, number: int, leaves: Sequence[_Leaf], flip: Flip, look: CardLook) -> Page:
        """The side with the backs, each behind its front."""
        upright = self.sheet.height_mm >= self.sheet.width_mm
        behind = [self._behind(trim, upright, flip) for trim in self.trims()]
        items: list[Item] = []
        for trim, leaf in zip(behind, leaves, strict=False):
            if leaf.back is not None:
                front_turns = 0 if self._lies_so(leaf.front) else 1
                turns = back_turns(front_turns, upright=upright, flip=flip)
                items.append(_card(leaf.back, trim, turns))
        items += self._marks(behind[: len(leaves)], look)
        return self._page(number, "backs", items, [leaf.back for leaf in leaves if leaf.back])

    def trims(self) -> list[Box]:
        """The cards row by row, from the left."""
        (width, height), (left, top) = self.cell_mm, self.corner_mm
        return [
            Box(0.0, 0.0, width, height).moved(
                left + column * (width + self.gap_mm), top + row * (height + self.gap_mm)
            )
            for row in range(self.rows)
            for column in range(self.columns)
        ]

    def _lies_so(self, page: Page) -> bool:
        return abs(page.width_mm - self.cell_mm[0]) < 1e-6

    def _behind(self, trim: Box, upright: bool, flip: Flip) -> Box:
        """Where the card lies as the sheet is looked at from behind."""
        wide, high = self.sheet.width_mm, self.sheet.height_mm
        if about_upright_edge(upright=upright, flip=flip):
            return Box(wide - trim.right_mm, trim.top_mm, wide - trim.left_mm, trim.bottom_mm)
        return Box(trim.left_mm, high - trim.bottom_mm, trim.right_mm, high - trim.top_mm)

    def _marks(self, trims: Sequence[Box], look: CardLook) -> Iterator[Item]:
        marks = crop_marks(
            trims, room=_printable(self.sheet), offset_mm=self.offset_mm, gap_mm=self.gap_mm
        )
        if marks.items:
            yield marks
        if look.corner_radius_mm > 0:
            yield corner_guides(trims, look.corner_radius_mm)

    def _page(self, number: int, side: str, items: Sequence[Item], cards: Sequence[Page]) -> Page:
        names = "; ".join(card.outline[0].title for card in cards if card.outline)
        title = f"Sheet {number}, {side}" + (f": {names}" if names else "")
        return Page(
            self.sheet.width_mm,
            self.sheet.height_mm,
            tuple(items),
            f"{number} {side}",
            PRINTER_SAFE,
            (OutlineEntry(1, title),),
        )


def _card(page: Page, trim: Box, turns: int) -> Group:
    """The card with its corner on that of its trim."""
    placed = page_on_sheet(page, trim.left_mm, trim.top_mm, quarter_turns=turns)
    return Group((placed,), role=Role.SECTION)


def _best_grid(leaves: Sequence[_Leaf], sheet: Paper, bleed_mm: float, words: RichText) -> _Grid:
    """The grid that holds most of these cards; upright sheets and cards that lie as they are read
    come first among equals."""
    short, long = leaves[0].size
    read_level = leaves[0].front.width_mm > leaves[0].front.height_mm
    cells = ((long, short), (short, long)) if read_level else ((short, long), (long, short))
    found = [
        grid
        for held in (sheet.upright, sheet.level)
        for cell in cells
        if (grid := _marked_grid(held, cell, bleed_mm, words)) is not None
    ]
    if bleed_mm == 0 and all(map(_keeps_clear, leaves)):
        found += [
            grid
            for held in (sheet.upright, sheet.level)
            for cell in cells
            if (grid := _filling_grid(held, cell)) is not None
        ]
    if not found:
        raise DoesNotFitError(_too_large(cells[0], sheet, bleed_mm, words))
    return max(found, key=lambda grid: min(grid.cells, len(leaves)))


def _marked_grid(
    sheet: Paper, cell: tuple[float, float], bleed_mm: float, words: RichText
) -> _Grid | None:
    """Cards in the middle of the room that edge, marks and note leave."""
    room = _room(sheet, bleed_mm, words)
    gap = 2 * bleed_mm
    columns = _count(room.width_mm, cell[0], gap)
    rows = _count(room.height_mm, cell[1], gap)
    if not columns or not rows:
        return None
    spare = (
        room.width_mm - columns * cell[0] - (columns - 1) * gap,
        room.height_mm - rows * cell[1] - (rows - 1) * gap,
    )
    corner = (room.left_mm + spare[0] / 2, room.top_mm + spare[1] / 2)
    return _Grid(sheet, columns, rows, cell, corner, gap, _offset_mm(bleed_mm), _note(sheet, words))


def _filling_grid(sheet: Paper, cell: tuple[float, float]) -> _Grid | None:
    """Cards that touch, on the whole sheet."""
    columns = _count(sheet.width_mm, cell[0], 0.0)
    rows = _count(sheet.height_mm, cell[1], 0.0)
    if not columns or not rows:
        return None
    corner = (
        (sheet.width_mm - columns * cell[0]) / 2,
        (sheet.height_mm - rows * cell[1]) / 2,
    )
    return _Grid(sheet, columns, rows, cell, corner, 0.0, _offset_mm(0.0), None)


def _keeps_clear(leaf: _Leaf) -> bool:
    """Whether the card's own clear rim is as wide as what a printer leaves unprinted."""
    edge = PRINTER_SAFE.left_mm
    return all(
        min(page.safe.top_mm, page.safe.right_mm, page.safe.bottom_mm, page.safe.left_mm) >= edge
        for page in leaf
        if page is not None
    )


def _count(room_mm: float, side_mm: float, gap_mm: float) -> int:
    return int((room_mm + gap_mm + 1e-6) // (side_mm + gap_mm))


def _offset_mm(bleed_mm: float) -> float:
    return max(bleed_mm, _LEAST_OFFSET_MM)


def _printable(sheet: Paper) -> Box:
    return Page(sheet.width_mm, sheet.height_mm, (), safe=PRINTER_SAFE).safe_box


def _room(sheet: Paper, bleed_mm: float, words: RichText) -> Box:
    """Where cards may lie, clear of edge, marks and note."""
    inside = _printable(sheet).grown(-MARK_MM - _offset_mm(bleed_mm))
    note_mm = _note_lines_mm(sheet.width_mm, words)
    return Box(inside.left_mm, inside.top_mm, inside.right_mm, inside.bottom_mm - note_mm)


def _too_large(cell: tuple[float, float], sheet: Paper, bleed_mm: float, words: RichText) -> str:
    """What does not fit, and the sheet that would hold the card as it is read."""
    rim = PRINTER_SAFE.left_mm + MARK_MM + _offset_mm(bleed_mm)
    wide = max(cell[0] + 2 * rim, _LEAST_NOTE_MM)
    high = cell[1] + 2 * rim + _note_lines_mm(wide, words)
    names = [one.name for one in SHEETS if _fits(one, cell, bleed_mm, words)]
    named = f", such as {names[0]}" if names else ""
    bleed = f" with {bleed_mm:g} mm of bleed" if bleed_mm else ""
    return (
        f"a card of {size_words(*cell)}{bleed} and its marks does not go on a sheet of "
        f"{size_words(sheet.width_mm, sheet.height_mm)}; it needs {size_words(wide, high)} or "
        f"more{named}"
    )


def _fits(sheet: Paper, cell: tuple[float, float], bleed_mm: float, words: RichText) -> bool:
    return any(
        _marked_grid(held, lying, bleed_mm, words)
        for held in (sheet.upright, sheet.level)
        for lying in (cell, cell[::-1])
    )


# --- Words -----------------------------------------------------------------------------------


_LEAST_NOTE_MM: Final = 60.0
"""A narrower sheet has no room for the words."""


def _words(size: tuple[float, float], flip: Flip | None, look: CardLook) -> tuple[Run, ...]:
    """How the sheet is printed, and what is done with it in what order.

    `flip` is None for sheets with one printed side.
    """
    pouch = size_words(*(math.ceil(side + 2 * SEAL_MM) for side in size))
    print_it = f"Print at 100{NO_BREAK_SPACE}%"
    if flip is not None:
        print_it += (
            f", both sides, {flip.words}; held to the light, the marks of both sides lie within "
            f"{MISREGISTER_MM:g}{NO_BREAK_SPACE}mm of each other"
        )
    steps = ["Cut at the marks" + (", round the corners" if look.corner_radius_mm else "")]
    steps += ["Punch the hole"] if look.punched else []
    steps += [
        f"Laminate in a pouch of {pouch.replace(' ', NO_BREAK_SPACE)} or more",
        f"Trim the film, leaving a clear rim of {SEAL_MM:g}{NO_BREAK_SPACE}mm round the card",
    ]
    steps += ["Punch a smaller hole through the film"] if look.punched else []
    runs = [Run(f"{print_it}.\n")]
    for number, step in enumerate(steps, 1):
        runs += [bold(f"{number}{NO_BREAK_SPACE}"), Run(f"{step}. ")]
    return tuple(runs)


def _note(sheet: Paper, words: RichText) -> Group:
    """The words at the foot of the sheet."""
    room = _printable(sheet)
    lines = break_lines(words, _NOTE, room.width_mm)
    top = room.bottom_mm - len(lines) * _NOTE.leading_mm
    placed = set_lines(lines, room.left_mm, top, room.width_mm, _NOTE)
    return Group((placed.group,), role=Role.NOTE)


def _note_lines_mm(sheet_width_mm: float, words: RichText) -> float:
    """Height that the note takes."""
    width = max(sheet_width_mm, _LEAST_NOTE_MM) - PRINTER_SAFE.left_mm - PRINTER_SAFE.right_mm
    return len(break_lines(words, _NOTE, width)) * _NOTE.leading_mm + _NOTE_ABOVE_MM
