"""Pieces dealt out over pages."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import cache
from typing import Final

from layouts.block import DoesNotFitError
from layouts.blocks import Piece, closer, fitting, headed, pieces_height_mm, squeezed

BETWEEN_MM: Final = 6.0
"""Between chart, steps and boxes."""


def filled_pages(
    pieces: Sequence[Piece], height_mm: float, head: Piece | None = None
) -> Iterator[list[Piece]]:
    """The pieces page by page; `head` comes first on each.

    A piece that is to stay with the next one is parted from it only where a page cannot hold both;
    what goes on has its head again at the top of the page.
    Raises DoesNotFitError if a piece is higher than a page.
    """
    room_mm = height_mm - (head.height_mm if head else 0.0)
    rest = squeezed(pieces, room_mm)
    while rest:
        rest = headed(rest)
        count = fitting(rest, room_mm) or fitting(_loose(rest), room_mm)
        if not count:
            raise DoesNotFitError(
                f"{rest[0].block.height_mm:.0f} mm in one piece; a page has {room_mm:.0f} mm"
            )
        yield [*([head] if head else []), *rest[:count]]
        rest = rest[count:]


def _loose(pieces: Sequence[Piece]) -> list[Piece]:
    return [Piece(piece.block, piece.after_mm, again=piece.again) for piece in pieces]


def tight_pages(
    pieces: Sequence[Piece], height_mm: float, head: Piece | None = None
) -> list[list[Piece]]:
    """As few pages as there can be with less room between the pieces, and the most room at which
    there are no more.  Raises as `filled_pages` does."""
    best = list(filled_pages(pieces, height_mm, head))
    for share in _CLOSER:
        if len(best) < 2:
            break
        found = list(filled_pages(closer(pieces, share), height_mm, head))
        if len(found) < len(best):
            best = found
    return best


_CLOSER: Final = (0.85, 0.7, 0.55)
"""Shares of the room between pieces."""


def balanced_pages(pieces: Sequence[Piece], height_mm: float) -> list[list[Piece]]:
    """As few pages as `filled_pages` needs, filled about alike."""
    pages = list(filled_pages(pieces, height_mm))
    share_mm = pieces_height_mm(pieces) / len(pages)
    tallest_mm = max(piece.height_mm for piece in pieces)
    for room_mm in (share_mm + tallest_mm * part for part in (0.5, 1.0, 1.5, 2.0)):
        if room_mm < height_mm:
            even = list(filled_pages(pieces, room_mm))
            if len(even) == len(pages):
                return even
    return pages


def dealt_pages(pieces: Sequence[Piece], count: int, height_mm: float) -> list[list[Piece]] | None:
    """The pieces on so many pages, the fullest as low as can be; None if they cannot be dealt out
    so.  Of equal ways the one with most on the last pages."""
    cuts = [place for place in range(1, len(pieces)) if not pieces[place - 1].with_next]

    @cache
    def page_mm(first: int, after: int) -> float:
        return pieces_height_mm(pieces[first:after])

    @cache
    def fullest_mm(first: int, pages: int) -> float:
        """Of so many pages with the pieces from there on; each way to go on is tried once."""
        if pages == 1:
            return page_mm(first, len(pieces))
        return min((most_mm(first, cut, pages) for cut in cuts if cut > first), default=math.inf)

    def most_mm(first: int, cut: int, pages: int) -> float:
        return max(page_mm(first, cut), fullest_mm(cut, pages - 1))

    least_mm = fullest_mm(0, count)
    if least_mm > height_mm:
        return None
    dealt, first = [], 0
    for pages in range(count, 1, -1):
        cut = next(cut for cut in cuts if cut > first and most_mm(first, cut, pages) <= least_mm)
        dealt.append(list(pieces[first:cut]))
        first = cut
    return [*dealt, list(pieces[first:])]


def share_out(extras: list[Piece], pages: list[list[Piece]], height_mm: float) -> list[Piece]:
    """Put each of the extras, in order, on the first page that has room; returns those left."""
    rest = list(extras)
    for page in pages:
        while rest:
            longer = [*spaced(page), rest[0]]
            if pieces_height_mm(longer) > height_mm:
                break
            page[:] = longer
            rest.pop(0)
    return rest


def spaced(pieces: Sequence[Piece]) -> list[Piece]:
    """The pieces with the room below them that stands between chart, steps and boxes."""
    if not pieces:
        return []
    last = pieces[-1]
    return [*pieces[:-1], Piece(last.block, BETWEEN_MM, last.with_next)]
