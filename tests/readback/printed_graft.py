"""The grafting as printed: numbered moves before and after, and four moves drawn as a loop."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from charts.reader import ReadError
from tests.readback.pdf_pages import PrintedPage, PrintedSheet, Span
from tests.readback.printed_steps import page_title

CLOSING = "Closing the toe"
PANEL_EDGE_MM = 3.2
"""A numeral stands so far inside of its panel."""

_MOVE = re.compile(
    r"(Front|Back) needle, (first|next) loop: (knitwise|purlwise); (take it off|leave it on)\."
)
_AGAIN = re.compile(r"again, (\d+) times in all|(once)")
_NEEDLES = ("front", "back")
_WAYS = ("knitwise", "purlwise")
_ENDS = ("take it off", "leave it on")
_LOOPS = ("first loop", "next loop")


class GraftMove(NamedTuple):
    """One pass of the darning needle."""

    needle: str
    loop: str
    way: str
    end: str


@dataclass(frozen=True)
class PrintedGraft:
    """What the knitter does with the darning needle."""

    set_up: tuple[GraftMove, ...]
    repeat: tuple[GraftMove, ...]
    times: int
    ending: tuple[GraftMove, ...]


def read_graft(sheets: Sequence[PrintedSheet]) -> PrintedGraft:
    """The grafting of a booklet.  Raises ReadError."""
    pages = [sheet.upright for sheet in sheets if page_title(sheet.upright)[0] == CLOSING]
    before: list[GraftMove] = []
    after: list[GraftMove] = []
    panels: list[GraftMove] = []
    times = 0
    for page in pages:
        panels += _panels(page)
        for span in sorted(page.spans, key=lambda span: span.baseline_mm):
            if match := _AGAIN.fullmatch(span.text):
                times = int(match[1] or 1)
            elif match := _MOVE.fullmatch(span.text):
                needle, loop, way, end = match.groups()
                (after if times else before).append(GraftMove(needle.lower(), loop, way, end))
    if not times:
        raise ReadError("nothing tells how often the four moves are worked")
    return PrintedGraft(tuple(before), tuple(panels), times, tuple(after))


def _panels(page: PrintedPage) -> list[GraftMove]:
    """The panels in the order of their numerals; each has a needle, a loop, a way and an end."""
    needles = _named(page, _NEEDLES)
    numerals = sorted(
        (
            span
            for span in page.spans
            if span.text in "1234" and needles and span.size_mm > 2 * needles[0].size_mm
        ),
        key=lambda span: span.text,
    )
    if [numeral.text for numeral in numerals] != list("1234")[: len(numerals)]:
        raise ReadError("the four moves are not numbered 1 to 4")
    if len(numerals) not in (0, 4):
        raise ReadError(f"{len(numerals)} numbers for the four moves")
    moves = []
    for numeral in numerals:
        beside = [one.left_mm for one in numerals if one.left_mm > numeral.left_mm]
        right_mm = min(beside, default=page.width_mm) - PANEL_EDGE_MM
        kinds = (_NEEDLES, _LOOPS, _WAYS, _ENDS)
        moves.append(GraftMove(*(_inside(numeral, right_mm, _named(page, one)) for one in kinds)))
    return moves


def _named(page: PrintedPage, words: Sequence[str]) -> list[Span]:
    return [span for span in page.spans if span.text in words]


def _inside(numeral: Span, right_mm: float, words: Sequence[Span]) -> str:
    """The one of the words that stands in the panel of the numeral."""
    inside = [
        span.text
        for span in words
        if numeral.left_mm - PANEL_EDGE_MM < span.centre_mm < right_mm
        and -1.0 < (span.baseline_mm - numeral.baseline_mm) / numeral.size_mm < 3.0
    ]
    if len(inside) != 1:
        raise ReadError(f"{len(inside)} words of one kind in the panel of move {numeral.text}")
    return inside[0].removesuffix(" loop")
