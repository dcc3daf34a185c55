"""Finished pages altered by one word or one symbol: `prove` must notice, and name the page.

    python -m tests.prove.alter [EVERY]

runs the whole campaign, or every so-manieth alteration, and prints the share that was noticed.  A
page is altered in the scene, before it is written; what is read is a finished PDF.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cache
from typing import Final
from unittest.mock import patch

from charts import printed_booklet
from charts.printed_chart import ChartPiece, Rings, read_chart_pieces
from charts.printed_page import PrintedPage, PrintedSheet
from charts.printed_steps import PrintedLadder, read_ladder
from charts.prove import ProofReport, prove
from charts.reader_records import Ring
from layouts.faces import Face
from layouts.pdf import write_pdf
from layouts.pdf_reading import read_pages
from layouts.scene import Anchor, Document, Group, Item, Link, Page, Role, Text
from tests.layouts.placed_items import squares_in, texts_in
from tests.prove.prints import ALTERED, printed

EMPTY: Final = "k"
"""The letter of the symbol face without ink that is altered: a symbol then stands in its cell."""
UNSEEN: Final = frozenset("RrLlh. ")
"""The others: a cross or hatching is drawn over their cells, and nothing of a letter is seen."""
OTHER_WORDS: Final = {
    "knit": "purl",
    "purl": "knit",
    "slip": "knit",
    "left": "right",
    "right": "left",
    "front": "back",
    "back": "front",
    "→": "←",
    "←": "→",
    "first": "last",
    "knitwise": "purlwise",
    "purlwise": "knitwise",
}


@dataclass(frozen=True)
class Alteration:
    """One text of one page with one word or symbol changed."""

    page_index: int
    text_index: int
    was: str
    now: str
    is_symbol: bool


def alterations(document: Document) -> Iterator[Alteration]:
    """Every word of every step and note, every symbol and number of every chart, one at a time."""
    for index, page in enumerate(document.pages):
        if not is_told(index, document):
            continue
        for place in told_in(page):
            text = place.item.text
            if place.item.face is Face.SYMBOLS:
                for at, letter in enumerate(text):
                    if letter in UNSEEN:
                        continue
                    now = EMPTY if letter == "p" else "p"
                    whole = text[:at] + now + text[at + 1 :]
                    yield Alteration(index, place.text_index, text, whole, is_symbol=True)
            else:
                for word in re.finditer(r"\w+|[→←]", text):
                    whole = text[: word.start()] + other_word(word[0]) + text[word.end() :]
                    yield Alteration(index, place.text_index, text, whole, is_symbol=False)


@dataclass(frozen=True)
class Place:
    """A text of a page, by its place among all texts of the page."""

    text_index: int
    item: Text


STEPS: Final = (
    *("Row", "Partial row", "Run on", "Tie a", "Cast on", "Put the", "Hang the", "Lift the bar"),
    *("Move the loop", "From inside", "Graft"),
)
NOTES: Final = ("Before you start", "Now", "At the end", "To count", "Start ", "End ")
STOP_BELOW_PT: Final = 8.0
GRAFT: Final = re.compile(
    r"\d+\s\+\s\d+|(Front|Back) needle, .+|(first|next) loop|(take|leave) it (off|on)"
    r"|front|back|knitwise|purlwise|Four moves, .+|again, .+"
)


def told_in(page: Page) -> Iterator[Place]:
    """The texts of charts, steps, checkpoints and the grafting; not those that explain."""
    places = iter(range(100_000))

    def walk(items: tuple[Item, ...], told: bool, in_boxes: bool = False) -> Iterator[Place]:
        for item in items:
            if isinstance(item, Group):
                words = "".join(text.text for text in texts_in(item)).strip()
                is_note = words.startswith(NOTES) and item.role is Role.P
                is_chart = any(key == "chart" for key, _ in item.attrs)
                is_step = (
                    item.role is Role.LI
                    and words.startswith(STEPS)
                    and bool(squares_in(item.items))
                )
                yield from walk(
                    item.items, told or is_note or is_chart or is_step, in_boxes or is_step
                )
            elif isinstance(item, Text):
                index = next(places)
                # Names below boxes say where each size ends; they are not read.
                is_stop = item.size_pt < STOP_BELOW_PT and not re.search(r"\d", item.text)
                is_stop = is_stop and item.face is not Face.SYMBOLS
                if item.text.strip() and (
                    (told and not (is_stop and in_boxes)) or GRAFT.fullmatch(item.text)
                ):
                    yield Place(index, item)

    yield from walk(page.items, False)


@cache
def _titles(document: Document) -> tuple[bool, ...]:
    from charts.printed_heads import read_head

    sheets = read_pages(write_pdf(document))
    return tuple(read_head(sheet.held(0)).is_part for sheet in sheets)


def is_told(index: int, document: Document) -> bool:
    """Whether the page is one of a part of the sock."""
    return _titles(document)[index]


def other_word(word: str) -> str:
    """A word of the trade for one of the trade, a number for a number."""
    if word in OTHER_WORDS:
        return OTHER_WORDS[word]
    if word.isdigit():
        return str(int(word) + 1)
    return word[:-1] + ("x" if word[-1] != "x" else "y")


def altered_page(page: Page, alteration: Alteration) -> Page:
    """The page with that one text changed, without what leads to other pages."""
    places = iter(range(100_000))

    def walk(items: tuple[Item, ...]) -> Iterator[Item]:
        for item in items:
            if isinstance(item, Group):
                yield replace(item, items=tuple(walk(item.items)))
            elif isinstance(item, Text) and next(places) == alteration.text_index:
                yield replace(item, text=alteration.now)
            elif not isinstance(item, Anchor | Link):
                yield item

    return replace(page, items=tuple(walk(page.items)), outline=())


def reports(
    document: Document, sheets: Sequence[PrintedSheet], chosen: Sequence[Alteration]
) -> Iterator[tuple[Alteration, ProofReport]]:
    """What is said of each alteration, the other pages as they are."""
    pages = tuple(altered_page(document.pages[one.page_index], one) for one in chosen)
    read = read_pages(write_pdf(replace(document, pages=pages))) if pages else ()
    found = []
    with read_once(sheets):
        for one, sheet in zip(chosen, read, strict=True):
            whole = [*sheets]
            whole[one.page_index] = replace(sheet, number=one.page_index + 1)
            found.append((one, prove(tuple(whole))))
    yield from found


@contextmanager
def read_once(sheets: Sequence[PrintedSheet]) -> Iterator[None]:
    """While it lasts, charts and steps of these sheets are read once for each ring they are for.

    Both readers are pure functions of page, names and rings; an altered page is none of these.
    """
    ours = {id(sheet.held(0)) for sheet in sheets}

    @cache
    def ladder_of(page: Same) -> PrintedLadder:
        return read_ladder(page.page)

    @cache
    def pieces_of(
        page: Same, names: tuple[str, ...], rings: tuple[Ring, ...]
    ) -> tuple[ChartPiece, ...]:
        due = dict(zip(((), *((name,) for name in names)), rings, strict=True))
        return read_chart_pieces(page.page, lambda sizes: due[sizes[:1]], names)

    def ladder(page: PrintedPage) -> PrintedLadder:
        return ladder_of(Same(page)) if id(page) in ours else read_ladder(page)

    def pieces(page: PrintedPage, rings: Rings, names: tuple[str, ...]) -> tuple[ChartPiece, ...]:
        if id(page) not in ours:
            return read_chart_pieces(page, rings, names)
        due = (rings(()), *(rings((name,)) for name in names))
        return pieces_of(Same(page), names, due)

    with (
        patch.object(printed_booklet, "read_ladder", ladder),
        patch.object(printed_booklet, "read_chart_pieces", pieces),
    ):
        yield


class Same:
    """A page that is equal to itself alone: the letters of a page are many to compare."""

    def __init__(self, page: PrintedPage) -> None:
        self.page = page

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Same) and self.page is other.page

    def __hash__(self) -> int:
        return id(self.page)


def pages_named(report: ProofReport) -> set[int]:
    """Every page that the report finds something wrong on."""
    return {place.page for one in report.differences for place, _ in one.places}


def main() -> None:
    """The campaign over every print."""
    every = int(sys.argv[1]) if len(sys.argv) > 1 else 1
    looked_at = noticed = placed = 0
    for name in ALTERED:
        document, pdf = printed(name)
        sheets = read_pages(pdf)
        chosen = list(alterations(document))[::every]
        print(f"{name}: {len(chosen)} alterations", flush=True)
        for start in range(0, len(chosen), BATCH):
            for one, report in reports(document, sheets, chosen[start : start + BATCH]):
                looked_at += 1
                noticed += not report.is_proved
                placed += one.page_index + 1 in pages_named(report)
                if report.is_proved or one.page_index + 1 not in pages_named(report):
                    print(f"{name}, page {one.page_index + 1}: “{one.was}” → “{one.now}”", end=" ")
                    named = f"named {pages_named(report)}"
                    print("proved" if report.is_proved else named, flush=True)
    print(f"{looked_at} alterations, {noticed} noticed, {placed} with their page")


BATCH: Final = 100
"""Altered pages in one file; a file has so many pages at most."""


if __name__ == "__main__":
    main()
