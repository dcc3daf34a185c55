"""A document written in stretches is heard, seen and kept as one that is written in one piece."""

from __future__ import annotations

from functools import cache
from io import BytesIO

import page as validator
import pytest
from pypdf import PdfReader

from layouts.bound_parts import PAGES, write_in_parts
from layouts.class_overview import OverviewRow, make_overview
from layouts.class_packs import alphabet_of
from layouts.paper import PAPERS
from layouts.pdf import write_pdf
from layouts.scene import Document, Group, Link, OutlineEntry, Page, Role, Text
from tests.layouts.tagged_tree import Node, read_tagged

ALPHABET = alphabet_of(["Harbour steps", "Ünal"])


def overview(people: int) -> Document:
    """Some forty people on a page."""
    rows = [
        OverviewRow(
            who=f"Ünal {number}",
            size="Small",
            foot="24.0 cm × 23.5 cm",
            loom="40 pegs, 3/8 in",
            heel=str(number),
            turn="8",
            flap="16",
            foot_rows="30",
            toe="16, 4",
            yarn="180 m, 2 balls",
            fit="fits",
            edition="large print" if number % 3 else "",
            page=str(10 * number + 1),
        )
        for number in range(people)
    ]
    paper = PAPERS["a4"]
    return make_overview(rows, title="Harbour steps", remarks=["First.", "Last."], paper=paper)


@cache
def long() -> Document:
    document = overview(520)
    assert len(document.pages) > 2 * PAGES
    return document


def in_parts(document: Document) -> bytes:
    file = BytesIO()
    write_in_parts(document, file, alphabet=ALPHABET)
    return file.getvalue()


@cache
def bound() -> bytes:
    return in_parts(long())


@cache
def whole() -> bytes:
    return write_pdf(long())


def told(node: Node) -> object:
    """All that an element says and holds."""
    own = (node.tag, node.actual, node.alt, node.name, node.text, node.page)
    return own, sorted(node.attributes.items()), [told(kid) for kid in node.kids]


def test_every_element_is_heard_as_in_one_piece() -> None:
    found, expected = read_tagged(bound()), read_tagged(whole())
    assert found.wrong == expected.wrong == []
    assert told(found.root) == told(expected.root)
    assert len(list(found.root.all("TR"))) > 520
    assert found.furniture == expected.furniture


def test_every_page_is_seen_as_in_one_piece() -> None:
    found, expected = (PdfReader(BytesIO(pdf), strict=True).pages for pdf in (bound(), whole()))
    assert len(found) == len(expected) == len(long().pages)
    for one, other in zip(found, expected, strict=True):
        assert one.mediabox == other.mediabox
        assert one.extract_text() == other.extract_text()


def test_file_tells_the_same_of_itself() -> None:
    found, expected = (PdfReader(BytesIO(pdf)) for pdf in (bound(), whole()))
    assert found.metadata == expected.metadata
    assert found.xmp_metadata is not None
    assert found.xmp_metadata.dc_title == {"x-default": "Harbour steps: class overview"}
    for key in ("/Lang", "/MarkInfo", "/ViewerPreferences", "/PageMode"):
        assert found.root_object[key] == expected.root_object[key]


@pytest.mark.parametrize("profile", ["ua1", "2a"])
def test_file_keeps_the_standards(profile: str) -> None:
    found = validator.validate_pdf_bytes(bound(), profile=profile).failures
    assert [f"{one.rule_id}: {one.message}" for one in found] == []


def test_fonts_are_written_once() -> None:
    reader = PdfReader(BytesIO(bound()))
    files = {
        font.get_object()["/FontDescriptor"].get_object().raw_get("/FontFile2").idnum
        for page in reader.pages
        for font in page["/Resources"]["/Font"].values()  # type: ignore[index]
    }
    assert len(files) <= 3


def test_short_document_is_written_in_one_piece_and_equal_ones_alike() -> None:
    short = overview(30)
    assert in_parts(short) == write_pdf(short)
    assert in_parts(long()) == bound()


def _plain(count: int, page: Page) -> Document:
    return Document((page,) * count, "Pages")


def test_links_and_bookmarks_are_refused() -> None:
    words = Group((Text(20.0, 20.0, "words"),), role=Role.P)
    link = Group((Text(20.0, 30.0, "there"), Link(20.0, 25.0, 9.0, 6.0, 1, "there")), role=Role.P)
    marked = Page(100.0, 100.0, (words,), "", outline=(OutlineEntry(1, "Words"),))
    linked = Page(100.0, 100.0, (words, link), "")
    for page in (marked, linked):
        with pytest.raises(ValueError, match="in one piece"):
            in_parts(_plain(PAGES + 1, page))
