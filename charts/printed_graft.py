"""The grafting as printed: moves of the darning needle before and after, four drawn as a loop.

Kitchener stitch in stockinette as in a knitting magazine's column of 26 May 2022; the ending from
memory.  The words are written here a second time, by hand from the page.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final, NamedTuple

from charts.printed_page import PrintedPage, Span, joined, lines_of
from charts.reader_records import ReadError
from charts.reader_sizes import unsize

_MOVE: Final = re.compile(
    r"(Front|Back) needle, (first|next) loop: (knitwise|purlwise); (take it off|leave it on)\."
)
_AGAIN: Final = re.compile(r"again, (.+) times in all|(once)")
_HEAD: Final = re.compile(r"Four moves, (.+) times over")
_NEEDLES: Final = ("front", "back")
_WAYS: Final = ("knitwise", "purlwise")
_ENDS: Final = ("take it off", "leave it on")
_LOOPS: Final = ("first loop", "next loop")
_NUMERAL: Final = 1.8
"""The numeral of a panel is so many times as large as its words, or larger."""


class GraftMove(NamedTuple):
    """One pass of the darning needle."""

    needle: str
    loop: str
    way: str
    end: str


_FRONT_OFF: Final = GraftMove("front", "first", "knitwise", "take it off")
_BACK_OFF: Final = GraftMove("back", "first", "purlwise", "take it off")
_SET_UP: Final = [
    GraftMove("front", "first", "purlwise", "leave it on"),
    GraftMove("back", "first", "knitwise", "leave it on"),
]
_LOOP: Final = [
    _FRONT_OFF,
    GraftMove("front", "next", "purlwise", "leave it on"),
    _BACK_OFF,
    GraftMove("back", "next", "knitwise", "leave it on"),
]
_ENDING: Final = [_FRONT_OFF, _BACK_OFF]


def check_printed_graft(
    pages: Sequence[PrintedPage], pairs: int, *, size_index: int = 0, size_count: int = 1
) -> None:
    """Raise ReadError, with the page, unless the pages tell Kitchener stitch over so many pairs.

    Pages without any of it, such as a card's, are not found fault with.
    """
    told = _told(pages)
    if told is None:
        return
    due = [("Set up", _SET_UP), ("four moves", _LOOP), ("At the end", _ENDING)]
    for (what, moves), found in zip(due, (told.before, told.panels, told.after), strict=True):
        for place, move in enumerate(moves):
            if place >= len(found) or found[place][0] != move:
                # Of a move that is not understood at all, the page of the one before it.
                nearest = found[place : place + 1] or found[-1:]
                page = nearest[0][1] if nearest else told.page
                line = f"{what}, {place + 1}"
                raise ReadError("not a move of Kitchener stitch", line=line, page=page)
        if len(found) > len(moves):
            raise ReadError("a move too many", line=what, page=found[-1][1])
    for words, page in told.times:
        if words is None or unsize(words, size_index, size_count) != str(pairs - 1):
            what = f"the four moves are worked {pairs - 1} times for {pairs} pairs"
            raise ReadError(what, line=words or "", page=page)


class _Told(NamedTuple):
    page: int
    before: list[tuple[GraftMove, int]]
    """With the page of each."""
    panels: list[tuple[GraftMove, int]]
    after: list[tuple[GraftMove, int]]
    times: list[tuple[str | None, int]]
    """How often the four moves are worked, as the heading says and as the loop does."""


def _told(pages: Sequence[PrintedPage]) -> _Told | None:
    """What the pages tell of it; raises ReadError for a line that only looks like a part of it."""
    before: list[tuple[GraftMove, int]] = []
    after: list[tuple[GraftMove, int]] = []
    panels: list[tuple[GraftMove, int]] = []
    times: list[tuple[str | None, int]] = []
    for page in pages:
        panels += [(move, page.number) for move in _panels(page)]
        for line in lines_of(page.spans):
            for words in dict.fromkeys((joined(line), *(span.text for span in line))):
                if match := _HEAD.fullmatch(words) or _AGAIN.fullmatch(words):
                    times.append((match[1] or "1", page.number))
                    break
                if match := _MOVE.fullmatch(words):
                    needle, loop, way, end = match.groups()
                    move = GraftMove(needle.lower(), loop, way, end)
                    (after if times else before).append((move, page.number))
                    break
            else:
                alike = next((one.text for one in line if _ALIKE.fullmatch(one.text)), None)
                if alike is not None:
                    what = "not how the grafting is told"
                    raise ReadError(what, line=alike, page=page.number)
    if not (before or after or panels or times):
        return None
    page_number = (panels or before or after or times)[0][1]
    while len(times) < 2:
        times.append((None, page_number))
    return _Told(page_number, before, panels, after, times)


_ALIKE: Final = re.compile(
    r"(?:\S+ needle, \S+ loop|\S+ \S+, (?:first|next) loop): .*|\S+, .+ times in all"
    r"|.+ knitwise; .+|.+ purlwise; .+"
)
"""A line that is meant to be a move of the grafting, or to say how often."""


def _panels(page: PrintedPage) -> list[GraftMove]:
    """The panels in the order of their numerals; each has a needle, a loop, a way and an end."""
    needles = _named(page, _NEEDLES)
    numerals = sorted(
        (
            span
            for span in page.spans
            if needles and span.text in "1234" and span.size_mm > _NUMERAL * needles[0].size_mm
        ),
        key=lambda span: span.text,
    )
    # The number of the part before the title is as large and stands alone above.
    numerals = [one for one in numerals if one.is_bold and one.grey == 0.0]
    if len(numerals) < 2:
        return []
    pitch_mm = min(
        abs(one.left_mm - other.left_mm)
        for one in numerals
        for other in numerals
        if abs(one.left_mm - other.left_mm) > one.size_mm
    )
    kinds = (_NEEDLES, _LOOPS, _WAYS, _ENDS)
    return [
        GraftMove(*(_inside(numeral, pitch_mm, _named(page, one), page) for one in kinds))
        for numeral in numerals
    ]


def _named(page: PrintedPage, words: Sequence[str]) -> list[Span]:
    return [span for span in page.spans if span.text in words]


def _inside(numeral: Span, pitch_mm: float, words: Sequence[Span], page: PrintedPage) -> str:
    """The one of the words that stands in the panel of the numeral."""
    from_mm = numeral.left_mm - numeral.size_mm / 2
    inside = [
        span.text
        for span in words
        if from_mm < span.centre_mm < from_mm + pitch_mm
        and -1.0 < (span.baseline_mm - numeral.baseline_mm) / numeral.size_mm < 3.0
    ]
    if len(inside) != 1:
        what = f"{len(inside)} words of one kind in the panel of this move"
        raise ReadError(what, line=f"four moves, {numeral.text}", page=page.number)
    return inside[0].removesuffix(" loop")
