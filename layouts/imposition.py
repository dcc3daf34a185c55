"""Which pages stand on which sheet: a stapled booklet, spreads to read, cards that share a sheet.

Numbers alone; `booklet_sheets` and `card_sheets` put pages there.  A booklet folded from a pile of
sheets has a multiple of four pages (a general article on page order for booklet printing); the
pairs follow from folding a pile of sheets and turning its leaves.
"""

from __future__ import annotations

from enum import Enum
from typing import Final, NamedTuple

PAGES_ON_SHEET: Final = 4
"""Of a folded sheet: two leaves, both sides of each."""


class Flip(Enum):
    """The edge of the sheet about which a printer turns it to print the back."""

    LONG_EDGE = "long-edge"
    SHORT_EDGE = "short-edge"

    @property
    def words(self) -> str:
        """What to choose in the printer's window."""
        return f"flip on the {self.value.replace('-', ' ')}"


class Halves(NamedTuple):
    """The pages on one side of a sheet as it is looked at, counted from 1; None for no page."""

    left: int | None
    right: int | None


class FoldedSheet(NamedTuple):
    """A sheet of a folded booklet."""

    outside: Halves
    """Uppermost before folding, outermost after it."""
    inside: Halves


def saddle_stitch(count: int) -> tuple[FoldedSheet, ...]:
    """The sheets of a booklet of that many pages, the outermost first.

    Raises ValueError unless the pages fill whole sheets.

    >>> saddle_stitch(8)[0]
    FoldedSheet(outside=Halves(left=8, right=1), inside=Halves(left=2, right=7))
    """
    if count < PAGES_ON_SHEET or count % PAGES_ON_SHEET:
        raise ValueError(f"{count} pages cannot be folded; allowed: a multiple of four")
    return tuple(
        FoldedSheet(Halves(count - before, before + 1), Halves(before + 2, count - before - 1))
        for before in range(0, count // 2, 2)
    )


def reader_spreads(count: int) -> tuple[Halves, ...]:
    """The pages two by two as an open booklet shows them: the cover alone on the right.

    >>> [tuple(halves) for halves in reader_spreads(4)]
    [(None, 1), (2, 3), (4, None)]
    """
    numbers = [None, *range(1, count + 1)]
    if len(numbers) % 2:
        numbers.append(None)
    return tuple(map(Halves, numbers[::2], numbers[1::2]))


def missing_pages(count: int) -> int:
    """How many pages are missing to fill whole folded sheets."""
    return -count % PAGES_ON_SHEET


def creep_mm(sheet_number: int, thickness_mm: float) -> float:
    """How far the leaves of a folded sheet stand out past those of the outermost, sheet 1.

    The fold of each sheet lies inside the one before it and, pressed flat, takes one thickness of
    paper (own geometry; a round fold takes pi/2 times as much).
    """
    return (sheet_number - 1) * thickness_mm


def back_turns(front_turns: int, *, upright: bool, flip: Flip) -> int:
    """Quarter turns, clockwise, of a card's back whose front is turned by `front_turns`.

    The two sides of the cut card are the same way up and it is turned over like a leaf.  `upright`:
    the sheet is higher than wide, so that its long edge stands.
    """
    if about_upright_edge(upright=upright, flip=flip):
        return -front_turns % 4
    return (2 - front_turns) % 4


def about_upright_edge(*, upright: bool, flip: Flip) -> bool:
    """Whether left and right change places when the sheet is turned; else top and bottom do."""
    return upright is (flip is Flip.LONG_EDGE)
