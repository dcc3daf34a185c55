"""Choosing, for each unit of the booklet, the layout that lets facing pages face each other.

A unit (a part, a table) may be laid out in several ways; some must begin on a left page, so that
chart and steps lie side by side.  The cheapest chain of ways is found by going through the units
once for each side that the next page may lie on.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from layouts.frame import Leaf, Side


@dataclass(frozen=True, slots=True)
class Way:
    """One way to lay out a unit."""

    pages: int
    make: Callable[[], tuple[Leaf, ...]]
    """Draws the pages; called for the way that is chosen."""
    start: Side = Side.EITHER
    """Where its first page must lie."""
    cost: float = 0.0
    """What speaks against it, in pages, beside its pages."""
    places: tuple[tuple[str, int], ...] = ()
    """What other pages point to, by name, and how many pages of this way come before it."""


FILLER_COST: Final = 4.0
"""What speaks against a page of lines for notes between two units, in pages: it is there only if
chart and steps could not face each other otherwise."""
LAST_FILLER_COST: Final = 0.4
"""The same for one at the end of the last sheet."""

Chain = list[tuple[Way, bool]]
"""Ways in order, each with whether a page for notes comes before it."""


def choose_ways(units: Sequence[Sequence[Way]], *, sheet: int) -> Chain:
    """For each unit its way, so that whole sheets of `sheet` pages cost least.

    The first page lies on the right.  Raises ValueError for a unit without a way.
    """
    best: dict[int, tuple[float, Chain]] = {0: (0.0, [])}
    """Cost and ways so far, by the pages on the last sheet."""
    turn = max(2, sheet)
    for ways in units:
        if not ways:
            raise ValueError("a unit needs at least one way to be laid out")
        after: dict[int, tuple[float, Chain]] = {}
        for pages_before, (cost, chain) in best.items():
            side = Side.of(pages_before + 1)
            for way in ways:
                filler = way.start not in (Side.EITHER, side)
                total = cost + way.cost + way.pages + (1 + FILLER_COST) * filler
                pages = (pages_before + way.pages + filler) % turn
                if pages not in after or total < after[pages][0]:
                    after[pages] = (total, [*chain, (way, filler)])
        best = after
    whole = {
        cost + -pages % sheet * LAST_FILLER_COST: chain for pages, (cost, chain) in best.items()
    }
    return whole[min(whole)]


def places_in(chain: Chain) -> dict[str, int]:
    """The pages that others point to, by name, counted from 1."""
    places: dict[str, int] = {}
    page = 1
    for way, notes_before in chain:
        page += notes_before
        places |= {name: page + offset for name, offset in way.places}
        page += way.pages
    return places
