"""What is printed for the tests of `prove`: booklets, cards and patterns of several sizes."""

from __future__ import annotations

from functools import cache
from typing import Final

from charts.parts import Part
from layouts.card import make_card
from layouts.chart_page import make_chart_page
from layouts.pdf import write_pdf
from layouts.scene import Document
from tests.layouts.test_sized_booklet import booklet_of
from tests.readback.socks import printed_sock

BOOKLETS: Final = ("reed-bank", "ember", "right to left on 25", "mirrored pair on 36")
SIZED: Final = ("five on three", "odd rings")
CARDS: Final = tuple(Part)
NAMES: Final = (
    *BOOKLETS,
    *(f"sized: {name}" for name in SIZED),
    *(f"card: {part.value}" for part in CARDS),
)


@cache
def printed(name: str) -> tuple[Document, bytes]:
    """The document of that name, and its PDF."""
    kind, _, rest = name.rpartition(": ")
    match kind:
        case "sized":
            document = booklet_of(rest, "a5")
        case "card":
            document = make_card(printed_sock("reed-bank").first, Part(rest))
        case "chart":
            document = make_chart_page(printed_sock("reed-bank").first, Part(rest))
        case _:
            document = printed_sock(rest).document
    return document, write_pdf(document)
