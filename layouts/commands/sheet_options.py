"""Options of what is printed on larger sheets, and how a booklet's pages are laid on them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING, Any, TypeVar

import click

from layouts.commands.options import fitting_paper, pages_told, paper_option, word_option
from layouts.commands.refusal import wrong_usage
from layouts.imposition import Flip

if TYPE_CHECKING:
    from layouts.edition import Edition
    from layouts.paper import Paper
    from layouts.pdf import Tagging
    from layouts.scene import Document

Command = TypeVar("Command", bound=Callable[..., Any])

_LEAST_THICKNESS_MM, _MOST_THICKNESS_MM = 0.03, 0.5


def sheet_option(told: str) -> Callable[[Command], Command]:
    """--sheet: the paper that several pages or cards are printed on."""
    return paper_option(told, name="--sheet")


def flip_option(told: str) -> Callable[[Command], Command]:
    """--flip: the edge about which the printer turns a sheet; None if it was not given."""
    return word_option(
        "--flip", Flip, f"the edge that the printer turns a sheet about.  {told}", default=None
    )


def read_mm(option: str, words: str, *, least_mm: float, most_mm: float) -> float:
    """The length of an option in mm.  Raises Refusal."""
    from charts.lengths import LENGTH_FORMS, LengthError, read_length

    allowed = f"{least_mm:g} to {most_mm:g} mm"
    if least_mm == 0 and words.strip().partition(" ")[0] == "0":
        return 0.0
    try:
        length_mm = read_length(words)
    except LengthError as error:
        raise wrong_usage(
            option, error.what, allowed=LENGTH_FORMS, suggestion=error.suggestion
        ) from None
    if not least_mm <= length_mm <= most_mm:
        raise wrong_usage(option, f"{length_mm:g} mm is out of range", allowed=allowed)
    return length_mm


# --- Booklets --------------------------------------------------------------------------------


class Layout(Enum):
    """How the pages of a booklet lie on paper."""

    PAGES = "pages"
    """One by one."""
    FOLD = "fold"
    """Two on each side of a sheet, to fold and staple."""
    SPREADS = "spreads"
    """Side by side in reading order."""


def booklet_sheet_options(command: Command) -> Command:
    """--layout, --sheet, --flip and --thickness of a booklet."""
    for option in (
        click.option(
            "--thickness",
            metavar="LENGTH",
            help="Of the paper, such as '0.1 mm', if the folded booklet is to be trimmed in front.",
        ),
        flip_option("Default: short-edge"),
        sheet_option("What is folded: a4, letter, a3, another name,"),
        word_option(
            "--layout",
            Layout,
            "one by one, two on each side of a sheet to fold and staple, or side by side to read",
            default=Layout.PAGES,
        ),
    ):
        command = option(command)
    return command


@dataclass(frozen=True)
class BookletSheets:
    """How the pages of a booklet are laid on paper."""

    layout: Layout = Layout.PAGES
    sheet: Paper | None = None
    flip: Flip = Flip.SHORT_EDGE
    thickness_mm: float = 0.0

    @property
    def ending(self) -> str:
        """Of the file's name."""
        return (
            "-booklet.pdf" if self.layout is Layout.PAGES else f"-booklet-{self.layout.value}.pdf"
        )

    @property
    def tagging(self) -> Tagging:
        """A folded booklet is read on paper alone."""
        from layouts.pdf import Tagging

        return Tagging.PLAIN if self.layout is Layout.FOLD else Tagging.TAGGED

    def laid(self, document: Document, edition: Edition) -> Document:
        """The booklet on its sheets.  Raises Refusal for a sheet that is too small."""
        if self.layout is Layout.PAGES:
            return document
        from layouts.booklet_sheets import fold_booklet, spread_booklet

        option = "--thickness" if self.thickness_mm else "--sheet"
        with fitting_paper(option):
            if self.layout is Layout.SPREADS:
                return spread_booklet(document, sheet=self.sheet)
            return fold_booklet(
                document,
                sheet=self.sheet,
                flip=self.flip,
                thickness_mm=self.thickness_mm,
                edition=edition,
            )

    def told(self, document: Document, laid: Document) -> str:
        """What was written, in words."""
        pages = pages_told(document)
        if self.layout is Layout.PAGES:
            return pages
        size = sheet_words(laid)
        if self.layout is Layout.SPREADS:
            return f"{pages} two by two on {len(laid.pages)} sides of {size}; print at 100 %"
        from layouts.booklet_sheets import MOST_SHEETS_STAPLED, notes_to_add

        sheets = len(laid.pages) // 2
        notes = notes_to_add(document)
        added = f" and {notes} for notes" if notes else ""
        thick = ", too many for common staples" if sheets > MOST_SHEETS_STAPLED else ""
        return (
            f"{pages}{added} on {counted(sheets, 'sheet')} of {size}{thick}; print at 100 %, both "
            f"sides, {self.flip.words}, then fold and staple"
        )


def read_booklet_sheets(told: Mapping[str, Any]) -> BookletSheets:
    """What the options of `booklet_sheet_options` say.

    Raises Refusal for those that would do nothing.
    """
    layout, sheet, flip, thickness = (
        told[name] for name in ("layout", "sheet", "flip", "thickness")
    )
    for option, given in (("--flip", flip), ("--thickness", thickness)):
        if given is not None and layout is not Layout.FOLD:
            what = "only a booklet to fold has it"
            raise wrong_usage(option, what, suggestion=f"--layout fold, or leave {option} out")
    if sheet is not None and layout is Layout.PAGES:
        what = "pages one by one are printed on --paper"
        raise wrong_usage("--sheet", what, suggestion="--layout fold")
    thickness_mm = 0.0
    if thickness is not None:
        limits = {"least_mm": _LEAST_THICKNESS_MM, "most_mm": _MOST_THICKNESS_MM}
        thickness_mm = read_mm("--thickness", thickness, **limits)
    return BookletSheets(layout, sheet, flip or Flip.SHORT_EDGE, thickness_mm)


def sheet_words(laid: Document) -> str:
    """The sheet by its name, or its size."""
    from layouts.paper import PAPERS
    from layouts.sheet import size_words

    page = laid.pages[0]
    size = sorted((page.width_mm, page.height_mm))
    names = [one.name for one in PAPERS.values() if sorted((one.width_mm, one.height_mm)) == size]
    return names[0] if names else size_words(page.width_mm, page.height_mm)


def counted(count: int, noun: str) -> str:
    """
    >>> counted(1, "sheet"), counted(2, "card")
    ('1 sheet', '2 cards')
    """
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"
