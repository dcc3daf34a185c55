"""Sheets that hold several pages or cards, taken apart; and files that hold several booklets.

Two pages stand side by side where two page numbers stand at the feet of one sheet.  Cards on a
sheet are told by the crop marks round them.  A sheet or a card is read the way most of its letters
stand.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Final

from charts.printed_heads import PageHead, part_titles, read_head
from charts.printed_page import Cell, PrintedPage, PrintedSheet, Span, Stroke, lines_of
from charts.printed_steps import NOTES, START
from charts.reader_records import ReadError

HAIRLINE_MM: Final = 0.1
"""Crop marks are thinner than any line of a page that was not made smaller."""
MARK_MM: Final = 10.0
"""They are not longer than this, and the lines of a chart that was made smaller are."""
_NEAR_MM: Final = 0.05
_ABOUT: Final = " · "
"""Stands at the foot of a page between the sock and what the page is about."""


def single_pages(sheets: Sequence[PrintedSheet]) -> tuple[PrintedSheet, ...]:
    """Every page or card by itself, upright; pages in the order of their numbers, a card that is
    printed several times once."""
    upright = [_upright(sheet) for sheet in sheets]
    if any(len(_folios(sheet.held(0))) > 1 for sheet in upright):
        pages = _in_order([half for sheet in upright for half in _halves(sheet)])
    else:
        pages = tuple(_once([card for sheet in upright for card in _cards(sheet)]))
    return tuple(part for page in pages for part in _parts(page))


def _upright(sheet: PrintedSheet) -> PrintedSheet:
    """The sheet turned so that its title or page number stands upright; else most of its letters.

    A chart may lie on its side below its title.
    """
    turns = Counter(letter.turn for letter in sheet.letters if not letter.text.isspace())
    for turn in sorted(turns):
        page = sheet.held(turn)
        if _folios(page) or _has_title(page):
            return sheet.turned(turn)
    return sheet.turned(max(turns, key=lambda turn: (turns[turn], -turn), default=0))


def _has_title(page: PrintedPage) -> bool:
    try:
        return read_head(page).is_part
    except ReadError:
        return True


def _parts(sheet: PrintedSheet) -> Iterator[PrintedSheet]:
    """A page by the parts of the sock on it: cut above each title but one at its head."""
    titles = part_titles(sheet.held(0))
    tops_mm = [title.baseline_mm - _ABOVE_TITLE * title.size_mm for title in titles]
    if not titles or (len(titles) == 1 and tops_mm[0] < _HEAD_SHARE * sheet.height_mm):
        yield sheet
        return
    for top_mm, bottom_mm in pairwise([0.0, *tops_mm, sheet.height_mm]):
        part = sheet.cut(Cell(0.0, top_mm, sheet.width_mm, bottom_mm), sheet.number)
        if any(not letter.text.isspace() for letter in part.letters):
            yield part


_ABOVE_TITLE: Final = 1.6
"""A page is cut so far above the base line of a title, in sizes."""
_HEAD_SHARE: Final = 0.15


# --- Pages -----------------------------------------------------------------------------------


def _folios(page: PrintedPage) -> list[Span]:
    """The page numbers: in bold, beside what the page is about."""
    return [
        span
        for line in lines_of(page.spans)
        for span, other in [*pairwise(line), *pairwise(line[::-1])]
        if span.is_bold and span.text.isdigit() and _ABOUT in other.text
    ]


def _halves(sheet: PrintedSheet) -> Iterator[tuple[int, PrintedSheet]]:
    """The two pages of a sheet with their numbers; a page without one, the cover, is the first."""
    middle_mm = sheet.width_mm / 2
    for cell in (
        Cell(0.0, 0.0, middle_mm, sheet.height_mm),
        Cell(middle_mm, 0.0, sheet.width_mm, sheet.height_mm),
    ):
        half = sheet.cut(cell, 0)
        page = half.held(0)
        if page.spans:
            folios = _folios(page)
            yield int(folios[0].text) if folios else 1, half


def _in_order(halves: Sequence[tuple[int, PrintedSheet]]) -> tuple[PrintedSheet, ...]:
    return tuple(
        half.cut(Cell(0.0, 0.0, half.width_mm, half.height_mm), number)
        for number, half in sorted(halves, key=lambda one: one[0])
    )


# --- Cards -----------------------------------------------------------------------------------


def _cards(sheet: PrintedSheet) -> Iterator[PrintedSheet]:
    """The cards between the crop marks of a sheet, row by row; the sheet itself if it has none."""
    thin = [one for one in sheet.strokes if one.width_mm < HAIRLINE_MM]
    marks = [one for one in thin if one.is_upright or one.is_level]
    if not marks or any(_length_mm(one) > MARK_MM for one in marks):
        yield sheet
        return
    # Cards may reach to the edges of the sheet, which need no marks.
    xs = _cuts(one.start.x_mm for one in marks if one.is_upright)
    ys = _cuts(one.start.y_mm for one in marks if one.is_level)
    for top_mm, bottom_mm in pairwise([0.0, *ys, sheet.height_mm]):
        for left_mm, right_mm in pairwise([0.0, *xs, sheet.width_mm]):
            card = sheet.cut(Cell(left_mm, top_mm, right_mm, bottom_mm), sheet.number)
            if any(not letter.text.isspace() for letter in card.letters):
                yield _upright(replace(card, is_ganged=True))


def _length_mm(stroke: Stroke) -> float:
    return max(stroke.right_mm - stroke.left_mm, stroke.bottom_mm - stroke.top_mm)


def _cuts(places_mm: Iterator[float]) -> list[float]:
    found: list[float] = []
    for place_mm in sorted(places_mm):
        if not found or place_mm - found[-1] > _NEAR_MM:
            found.append(place_mm)
    return found


def _once(pages: Sequence[PrintedSheet]) -> Iterator[PrintedSheet]:
    """Pages that are not copies of one before."""
    seen: set[tuple[tuple[str, int, int], ...]] = set()
    for page in pages:
        print_ = tuple(
            sorted(
                (letter.text, round(letter.start.x_mm), round(letter.start.y_mm))
                for letter in page.letters
            )
        )
        if not print_ or print_ not in seen:
            seen.add(print_)
            yield page


# --- Booklets --------------------------------------------------------------------------------


def booklets_of(pages: Sequence[PrintedSheet]) -> list[tuple[PrintedSheet, ...]]:
    """The pages of each booklet, and of each card, that a file holds; other pages with the first.

    A new booklet begins where the number of the part before the titles starts again.  Cards have no
    numbers: the sides of one follow each other, or stand on sheets in any order.
    """
    numbered: list[list[PrintedSheet]] = []
    cards: list[list[PrintedSheet]] = []
    ganged: dict[PageHead, list[PrintedSheet]] = {}
    others: list[PrintedSheet] = []
    last, before = 0, PageHead("", is_part=False)
    for page in pages:
        head = read_head(page.held(0))
        if not head.is_part:
            (numbered[-1] if numbered else others).append(page)
        elif not head.number:
            if page.is_ganged:
                sides = ganged.setdefault(head, [])
                if not sides:
                    cards.append(sides)
            elif head != before:
                cards.append([])
            (ganged[head] if page.is_ganged else cards[-1]).append(page)
        else:
            if not numbered or _begins(head, last):
                numbered.append([])
            last = max(last if numbered[-1] else 0, int(head.number))
            numbered[-1].append(page)
        before = head
    for sides in ganged.values():
        sides.sort(key=lambda side: _first_told(side.held(0)))
    found = [*map(tuple, numbered), *map(tuple, cards)]
    if found:
        found[0] = (*others, *found[0])
    return found


def _first_told(page: PrintedPage) -> int:
    """Where a side of a card comes among its sides: that of the chart first, then by their rows.

    On sheets all fronts come before their backs.
    """
    words = [span.text for span in page.spans if span.is_bold]
    if f"{START}:" in words:
        return 0
    rows = [int(match[1]) for one in words if (match := _ROW.fullmatch(one))]
    if rows:
        return min(rows)
    return _LAST if any(one.removesuffix(":") in NOTES for one in words) else -1


_ROW: Final = re.compile(r"Rows? ([1-9]\d*)(?:–\d+)?")
_LAST: Final = 10**6


def _begins(head: PageHead, last: int) -> bool:
    """Whether the first part comes again after the last one."""
    return not head.second and int(head.number) == 1 and last > 1
