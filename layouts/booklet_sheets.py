"""Finished pages of a booklet on larger sheets: to fold and staple, or two by two to read.

`fold_booklet(document)` takes any document whose pages have one size, such as a booklet or a pack
for a class, and gives a document of sheets: the outside of sheet 1, its inside, the outside of
sheet 2, and so on, ready for a printer that prints both sides.  `spread_booklet(document)` puts
pages 2 and 3, 4 and 5 … side by side.  Both work on pages of items, never on a finished file.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from layouts.block import DoesNotFitError
from layouts.crop_marks import crop_marks, spine_marks
from layouts.edition import STANDARD_EDITION, Edition
from layouts.faces import Face
from layouts.frame import Side, notes_lines
from layouts.imposition import (
    Flip,
    FoldedSheet,
    Halves,
    creep_mm,
    missing_pages,
    reader_spreads,
    saddle_stitch,
)
from layouts.paper import MM_PER_PT, PAPERS, PRINTER_SAFE, Paper
from layouts.scene import Align, Box, Document, Group, Item, OutlineEntry, Page, Role, bounds_of
from layouts.sheet import page_on_sheet, size_words
from layouts.style import BOOKLET, PageStyle, style_of
from layouts.text import NO_BREAK_SPACE, Run, Style, bold, set_line, width_mm

SHEETS: Final = tuple(PAPERS[name] for name in ("a5", "a4", "letter", "legal", "a3"))
"""What a home or school prints on, the smaller first."""
MOST_SHEETS_STAPLED: Final = 20
"""What a common stapler of 6 mm legs goes through (common practice, no published source)."""
_NOTE: Final = Style(7.5, 9.0, ink=BOOKLET.soft_ink)
_NOTE_FROM_FOLD_MM: Final = 2.4
_MARK_OFFSET_MM: Final = 1.0


def fold_booklet(
    document: Document,
    *,
    sheet: Paper | None = None,
    flip: Flip = Flip.SHORT_EDGE,
    thickness_mm: float = 0.0,
    edition: Edition = STANDARD_EDITION,
) -> Document:
    """The pages on sheets to print on both sides, fold as one pile and staple on the fold.

    Without a `sheet` the smallest usual one that holds two pages is taken, or one of exactly two.
    Each page is centred in its half.  Missing pages up to a multiple of four are pages for notes at
    the end, in the look of the booklet's `edition`.  With `flip` about the long edge every back is
    turned by a half.  `thickness_mm` of the paper moves the pages of inner sheets towards the fold,
    for a booklet whose front edge is trimmed afterwards; 0 leaves them.  Raises DoesNotFitError,
    saying what would fit, if pages are of several sizes, if the sheet is too small, or if the paper
    is too thick for so many sheets.
    """
    width, height = _page_size(document)
    sheet = _sheet(sheet, width, height)
    style = style_of(edition, Paper(size_words(width, height), width, height))
    pages = [*document.pages, *_notes(document, style)]
    folded = saddle_stitch(len(pages))
    _check_creep(pages, len(folded), thickness_mm)
    note = _note_beside_fold(pages, creep_mm(len(folded), thickness_mm), style)
    fold = _Fold(tuple(pages), sheet, flip, thickness_mm, len(folded), note)
    return _document(
        document,
        [side for number, one in enumerate(folded, start=1) for side in fold.sides(number, one)],
        f"{len(folded)} sheets to print on both sides, {flip.words}, fold and staple",
    )


def spread_booklet(document: Document, *, sheet: Paper | None = None) -> Document:
    """The pages two by two in reading order, the cover alone on the right, for one side of paper.

    Raises DoesNotFitError as `fold_booklet` does.
    """
    width, height = _page_size(document)
    sheet = _sheet(sheet, width, height)
    spreads = reader_spreads(len(document.pages))
    sides = []
    for number, halves in enumerate(spreads, start=1):
        items: list[Item] = list(_halves(document.pages, halves, sheet))
        if number == 1:
            told = f"Two pages side by side, to read. {_TRUE_SIZE}."
            items.append(_foot_note(told, sheet))
        title = " and ".join(_page_names(document.pages, halves))
        sides.append(_side(sheet, items, str(number), title))
    return _document(document, sides, "Two pages side by side, to read")


def notes_to_add(document: Document) -> int:
    """How many pages for notes `fold_booklet` puts at the end."""
    return missing_pages(len(document.pages))


_TRUE_SIZE: Final = f"Print at 100{NO_BREAK_SPACE}%"


# --- Sizes -----------------------------------------------------------------------------------


def _page_size(document: Document) -> tuple[float, float]:
    """Width and height of every page, in mm."""
    sizes = sorted({(page.width_mm, page.height_mm) for page in document.pages})
    if len(sizes) != 1:
        told = " and ".join(size_words(*size) for size in sizes)
        raise DoesNotFitError(f"pages of {told} make no booklet; try pages of one size")
    return sizes[0]


def _sheet(sheet: Paper | None, width: float, height: float) -> Paper:
    """The sheet, long side level, that holds two pages side by side."""
    needed = 2 * width
    if sheet is None:
        fitting = [one.level for one in SHEETS if _holds(one.level, needed, height)]
        exact = Paper(size_words(needed, height), needed, height)
        return min(fitting, key=lambda one: one.width_mm * one.height_mm, default=exact)
    for one in (sheet.level, sheet.upright):
        if _holds(one, needed, height):
            return one
    raise DoesNotFitError(
        f"two pages of {size_words(width, height)} side by side need a sheet of "
        f"{size_words(needed, height)} or more{_named_sheet(needed, height)}"
    )


def _holds(sheet: Paper, width: float, height: float) -> bool:
    return width <= sheet.width_mm + 1e-6 and height <= sheet.height_mm + 1e-6


def _named_sheet(width: float, height: float) -> str:
    """ ", such as a4", if any."""
    names = [one.name for one in SHEETS if _holds(one.level, width, height)]
    return f", such as {names[0]}" if names else ""


def _check_creep(pages: Sequence[Page], sheets: int, thickness_mm: float) -> None:
    """What is moved towards the fold must not come near it."""
    most = creep_mm(sheets, thickness_mm)
    room = min(_clear_of_fold(page, number) for number, page in enumerate(pages, start=1))
    if most > 0 and most > room - _NOTE_ROOM_MM:
        # Rounded down, so that the thickness told is one that works.
        allowed = math.floor(max(0.0, room - _NOTE_ROOM_MM) / (sheets - 1) * 100) / 100
        raise DoesNotFitError(
            f"the innermost of {sheets} sheets of {thickness_mm:g} mm would be moved by "
            f"{most:.1f} mm, into the fold; try paper of {allowed:g} mm or less, or no trimming"
        )


def _clear_of_fold(page: Page, number: int) -> float:
    """From the page's ink to the edge that lies in the fold, in mm."""
    ink = bounds_of(page.items)
    return page.width_mm - ink.right_mm if Side.of(number) is Side.LEFT else ink.left_mm


def _note_beside_fold(pages: Sequence[Page], creep: float, style: PageStyle) -> Style:
    """The words beside the fold as large as the booklet's print, or as there is room for."""
    clear = min(_clear_of_fold(page, number) for number, page in enumerate(pages, start=1))
    room_pt = (clear - creep - _NOTE_FROM_FOLD_MM) / MM_PER_PT
    size_pt = max(_NOTE.size_pt, min(_NOTE.size_pt * style.growth, room_pt))
    return replace(_NOTE, size_pt=size_pt, leading_pt=size_pt * _NOTE.leading_pt / _NOTE.size_pt)


_NOTE_ROOM_MM: Final = 4.5
"""Kept free at the fold for its marks and words."""


# --- Sides -----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Fold:
    """What every sheet of one booklet has in common."""

    pages: tuple[Page, ...]
    sheet: Paper
    flip: Flip
    thickness_mm: float
    sheets: int
    note: Style
    """Of the words beside the fold."""

    def sides(self, number: int, folded: FoldedSheet) -> Iterator[Page]:
        """Outside and inside of a sheet."""
        shift = creep_mm(number, self.thickness_mm)
        outside = [*_halves(self.pages, folded.outside, self.sheet, shift), *self._marks(number)]
        yield self._side(number, "outside", folded.outside, outside)
        inside: list[Item] = list(_halves(self.pages, folded.inside, self.sheet, shift))
        if self.flip is Flip.LONG_EDGE:
            sheet = self.sheet
            inside = [Group(tuple(inside), sheet.width_mm, sheet.height_mm, quarter_turns=2)]
        yield self._side(number, "inside", folded.inside, inside)

    def _side(self, number: int, name: str, halves: Halves, items: Sequence[Item]) -> Page:
        title = f"Sheet {number}, {name}: pages {' and '.join(_page_names(self.pages, halves))}"
        return _side(self.sheet, items, f"{number} {name}", title)

    def _marks(self, number: int) -> Iterator[Item]:
        """On the outside: where it is folded, and stapled through the outermost sheet; cut lines
        where the sheet is larger than its pages; beside the fold what sheet this is."""
        sheet, page = self.sheet, self.pages[0]
        room = _printable(sheet)
        fold = sheet.width_mm / 2
        top = (sheet.height_mm - page.height_mm) / 2
        bottom = top + page.height_mm
        yield spine_marks(fold, top, bottom, room=room, staples=number == 1)
        trim = Box(fold - page.width_mm, top, fold + page.width_mm, bottom)
        if not trim.grown(_LEAST_TRIM_MM).holds(Box(0.0, 0.0, sheet.width_mm, sheet.height_mm)):
            yield crop_marks([trim], room=room, offset_mm=_MARK_OFFSET_MM, gap_mm=0.0)
        middle = (top + bottom) / 2
        length = min(bottom, room.bottom_mm) - max(top, room.top_mm)
        words = self._words(number, length)
        centred = set_line(words, 0.0, 0.0, self.note, align=Align.CENTRE)
        yield Group(centred, fold - _NOTE_FROM_FOLD_MM, middle, quarter_turns=3, role=Role.ARTIFACT)

    def _words(self, number: int, length: float) -> Sequence[Run]:
        """What sheet this is; on the first also how they are printed and bound, if it has room."""
        name = bold(f"Sheet {number} of {self.sheets}, outside")
        if number > 1:
            return (name,)
        done = " Fold the sheets as one pile; staple at the two marks."
        if self.sheets > MOST_SHEETS_STAPLED:
            done = " Fold the sheets as one pile; sew it, it is too thick for common staples."
        printed = f". {_TRUE_SIZE}, both sides, {self.flip.words}."
        for rest in (printed + done, printed, f". {self.flip.words.capitalize()}."):
            words = (name, Run(rest))
            if width_mm(words, self.note) <= length:
                return words
        return (name,)


_LEAST_TRIM_MM: Final = 1.0
"""What is less than this goes unnoticed: half an A4 sheet is 148.5 mm, A5 148 mm (ISO 216)."""


def _halves(
    pages: Sequence[Page], halves: Halves, sheet: Paper, shift: float = 0.0
) -> Iterator[Group]:
    """The pages, each in the middle of its half, moved towards the fold by `shift` mm."""
    half = sheet.width_mm / 2
    for number, left, towards in ((halves.left, 0.0, shift), (halves.right, half, -shift)):
        if number is not None:
            page = pages[number - 1]
            x = left + (half - page.width_mm) / 2 + towards
            y = (sheet.height_mm - page.height_mm) / 2
            yield page_on_sheet(page, x, y)


def _side(sheet: Paper, items: Sequence[Item], label: str, title: str) -> Page:
    entry = OutlineEntry(1, title[:1].upper() + title[1:])
    return Page(sheet.width_mm, sheet.height_mm, tuple(items), label, PRINTER_SAFE, (entry,))


def _printable(sheet: Paper) -> Box:
    return Page(sheet.width_mm, sheet.height_mm, (), safe=PRINTER_SAFE).safe_box


def _page_names(pages: Sequence[Page], halves: Halves) -> list[str]:
    """The pages by their printed numbers."""
    return [pages[number - 1].label or str(number) for number in halves if number is not None]


def _foot_note(words: str, sheet: Paper) -> Group:
    """In the empty half beside the cover."""
    room = _printable(sheet)
    return Group(
        set_line(words, room.left_mm + 2.0, room.bottom_mm - 2.0, _NOTE), role=Role.ARTIFACT
    )


def _document(document: Document, sides: Sequence[Page], how: str) -> Document:
    subject = f"{document.subject}. {how}" if document.subject else how
    return replace(document, pages=tuple(sides), subject=subject)


# --- Notes -----------------------------------------------------------------------------------


def _notes(document: Document, style: PageStyle) -> Iterator[Page]:
    """Pages to write on, up to a multiple of four."""
    first = document.pages[0]
    paper = Paper("", first.width_mm, first.height_mm)
    start = len(document.pages) + 1
    for number in range(start, start + notes_to_add(document)):
        yield _notes_page(paper, number, style)


def _notes_page(paper: Paper, number: int, style: PageStyle) -> Page:
    margins = style.margins(paper, number)
    width = paper.width_mm - margins.left_mm - margins.right_mm
    top = margins.top_mm + style.title.leading_mm
    lines = notes_lines(width, paper.height_mm - margins.bottom_mm - top, style)
    head = style.title
    title = set_line("Notes", margins.left_mm, margins.top_mm + head.baseline_mm, head)
    folio = Style(style.body.size_pt, style.body.leading_pt, Face.BOLD)
    left = Side.of(number) is Side.LEFT
    x = margins.left_mm if left else paper.width_mm - margins.right_mm
    y = paper.height_mm - margins.bottom_mm + 7.0
    number_line = set_line(str(number), x, y, folio, align=Align.LEFT if left else Align.RIGHT)
    items = (
        Group(title, role=Role.H1),
        lines.placed(margins.left_mm, top),
        Group(number_line, role=Role.ARTIFACT),
    )
    return Page(paper.width_mm, paper.height_mm, items, str(number), PRINTER_SAFE)
