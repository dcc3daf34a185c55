"""What is printed for the tests of `prove`: booklets, cards, charts and patterns of sizes."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Final

from charts.hands import Hand, for_hand
from charts.parts import Part
from charts.rows import Event
from layouts.booklet import make_booklet
from layouts.booklet_sheets import fold_booklet, spread_booklet
from layouts.card import make_card
from layouts.card_sheets import gang_cards
from layouts.chart_page import make_chart_page
from layouts.edition import Content, Edition, Inks, PrintSize
from layouts.imposition import Flip
from layouts.paper import PAPERS
from layouts.pdf import write_pdf
from layouts.scene import Document
from layouts.sized_booklet import make_sized_booklet
from tests.layouts.test_sized_booklet import booklet_of, pattern_of
from tests.readback.socks import printed_sock, proved

BOOKLETS: Final = (
    "reed-bank",
    "ember",
    "right to left on 25",
    "mirrored pair on 36",
    "charts in pieces on 96",
)
SIZED: Final = ("five on three", "leftwards", "odd rings", "seven on one", "long names")
SHEETS: Final = ("fold", "fold, flipped on the long edge", "spreads", "cards", "cards, cut")
NAMES: Final = (
    *BOOKLETS,
    "letter: reed-bank",
    "left-handed: reed-bank",
    "in colour: ember",
    *("edition: clear", "edition: large", "edition: charts", "edition: steps"),
    *(f"sized: {name}" for name in SIZED),
    "marked: five on three",
    *(f"card: {part.value}" for part in Part),
    *(f"chart: {part.value}" for part in Part if part is not Part.CLOSING),
    *(f"sheets: {name}" for name in SHEETS),
)
EDITIONS: Final = {
    "clear": Edition(size=PrintSize.CLEAR),
    "large": Edition(size=PrintSize.LARGE),
    "charts": Edition(content=Content.CHARTS),
    "steps": Edition(content=Content.STEPS),
}
ALTERED: Final = (
    *("reed-bank", "right to left on 25", "mirrored pair on 36"),
    *("sized: five on three", "sized: odd rings"),
    *(f"card: {part.value}" for part in Part),
)
"""Those that are altered in the campaign."""


@cache
def printed(name: str) -> tuple[Document, bytes]:
    """The document of that name, and its PDF."""
    document = _document(name)
    return document, write_pdf(document)


def _document(name: str) -> Document:
    kind, _, rest = name.rpartition(": ")
    reed = printed_sock("reed-bank")
    match kind:
        case "sized":
            return booklet_of(rest, "a5")
        case "marked":
            pattern = pattern_of(rest)
            return make_sized_booklet(pattern, paper=PAPERS["a5"], mark=pattern.sizes[1].name)
        case "letter":
            return make_booklet(reed.first, reed.second, paper=PAPERS["letter"])
        case "left-handed":
            spec = for_hand(printed_sock(rest).first.plan.spec, Hand.LEFT)
            knit = proved(spec)
            return make_booklet(knit, knit, paper=PAPERS["a5"])
        case "in colour":
            sock = printed_sock(rest)
            look = Edition(inks=Inks.COLOUR)
            return make_booklet(sock.first, sock.second, paper=PAPERS["a5"], edition=look)
        case "edition":
            first = reed.first
            paper = PAPERS["a4" if rest == "large" else "a5"]
            return make_booklet(first, first, paper=paper, edition=EDITIONS[rest])
        case "wider turn":
            spec = reed.first.plan.spec
            knit = proved(replace(spec, heel=replace(spec.heel, centre=10)))
            return make_booklet(knit, knit, paper=PAPERS["a5"])
        case "card":
            return make_card(reed.first, Part(rest))
        case "chart":
            return make_chart_page(reed.first, Part(rest))
        case "sheets":
            return _sheets(rest)
        case _:
            return printed_sock(rest).document


def _sheets(name: str) -> Document:
    sock = printed_sock("right to left on 25")
    parts = (Part.TURN, Part.TOE, Part.LEG)
    match name:
        case "fold":
            return fold_booklet(sock.document, sheet=PAPERS["a3"], thickness_mm=0.1)
        case "fold, flipped on the long edge":
            return fold_booklet(sock.document, flip=Flip.LONG_EDGE)
        case "spreads":
            return spread_booklet(sock.document)
        case "cards":
            cards = [make_card(sock.first, part, paper=PAPERS["a6"]) for part in parts]
            return gang_cards([*cards, *cards], sheet=PAPERS["a4"])
        case _:
            cards = [make_card(sock.first, part, paper=PAPERS["a6"]) for part in parts]
            return gang_cards(cards, sheet=PAPERS["a4"], bleed_mm=0.0)


def events_of(name: str) -> tuple[Event, ...]:
    """The rows and moves that a print of one sock was made from."""
    kind, _, rest = name.rpartition(": ")
    knit = printed_sock("reed-bank" if kind else rest).first
    if kind in ("card", "chart"):
        return knit.rows.of(*Part(rest).sections)
    return knit.rows.events
