"""Only what is seen on paper is read, and no file brings the reader down."""

from __future__ import annotations

import random
from io import BytesIO
from typing import Any

import pikepdf
import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from charts.printed_page import Face, PrintedSheet, lines_of
from charts.prove import NothingToProveError, ProofReport, prove
from layouts import pdf_reading
from layouts.pdf_reading import UnreadablePdfError, read_pages
from tests.prove.alter import pages_named
from tests.prove.files import Operators, saved, with_operators, with_word_replaced
from tests.prove.prints import printed

NAME = "card: turn"
"""A small file."""


def proved(pdf: bytes) -> ProofReport:
    return prove(read_pages(pdf))


def code_of(pdf: bytes) -> str:
    (booklet,) = proved(pdf).booklets
    assert booklet.proof is not None
    return booklet.proof.code


# --- What is seen ------------------------------------------------------------------------------


def test_letters_stand_where_another_library_finds_them() -> None:
    """pypdfium2 (PDFium) draws what is read: its text of each page has all of our words."""
    pdf = printed("reed-bank")[1]
    file = pypdfium2.PdfDocument(pdf)
    for sheet, page in zip(read_pages(pdf), file, strict=True):
        theirs = "".join(page.get_textpage().get_text_bounded().split())
        for line in lines_of(sheet.held(0).spans):
            for span in line:
                words = "".join(span.text.split()).replace("-", "")
                assert words in theirs.replace("\ufffe", "").replace("-", ""), span


def test_the_same_pages_in_other_bytes_have_the_same_code() -> None:
    pdf = printed(NAME)[1]
    with pikepdf.open(BytesIO(pdf)) as file:
        file.docinfo["/Title"] = "Another"
        other = saved(file, linearize=True, object_stream_mode=pikepdf.ObjectStreamMode.generate)
    assert other != pdf
    assert code_of(other) == code_of(pdf)


def test_the_character_table_of_a_file_is_not_believed() -> None:
    """It says that every purl is a knit; the shapes on the page are what they were."""
    with pikepdf.open(BytesIO(printed("card: leg")[1])) as file:
        for page in file.pages:
            for font in page.Resources.Font.values():  # type: ignore[union-attr]
                table = bytes(font.ToUnicode.read_bytes()).replace(b"<0070>", b"<006B>")
                font.ToUnicode = file.make_stream(table)
        lying = saved(file)
    assert code_of(lying) == code_of(printed("card: leg")[1])


def test_words_that_a_file_keeps_for_machines_are_not_read() -> None:
    def change(_: Any, operators: Operators) -> Operators:
        words = pikepdf.Dictionary(ActualText=pikepdf.String("Row 1 pegs 1-40 purl."))
        begin = ([pikepdf.Name("/Span"), words], pikepdf.Operator("BDC"))
        return [begin, *operators, ([], pikepdf.Operator("EMC"))]

    pdf = printed(NAME)[1]
    assert code_of(with_operators(pdf, 2, change)) == code_of(pdf)


def test_a_symbol_of_another_shape_is_another_stitch() -> None:
    altered = with_word_replaced(printed("reed-bank")[1], "j", "d", page=14, face="Symbols")
    report = proved(altered)
    assert 14 in pages_named(report)


@pytest.mark.parametrize(
    "how", ["covered", "white", "invisible", "in a hidden layer", "cut off", "transparent"]
)
def test_what_cannot_be_seen_is_not_read(how: str) -> None:
    """The words of a card's steps are there, and nobody sees them."""
    op = pikepdf.Operator

    def change(page: Any, operators: Operators) -> Operators:
        match how:
            case "covered":
                white = [([1], op("g")), ([0, 0, 2000, 2000], op("re")), ([], op("f"))]
                return [*operators, *white]
            case "white":
                inks = ("g", "rg")
                return [
                    ([1] * len(operands), name) if str(name) in inks else (operands, name)
                    for operands, name in [([0], op("g")), *operators]
                ]
            case "invisible":
                return [([3], op("Tr")), *operators]
            case "in a hidden layer":
                begin = ([pikepdf.Name("/OC"), pikepdf.Name("/MC0")], op("BDC"))
                return [begin, *operators, ([], op("EMC"))]
            case "cut off":
                clip = [([0, 0, 1, 1], op("re")), ([], op("W")), ([], op("n"))]
                return [*clip, *operators]
            case _:
                state = pikepdf.Dictionary(G0=pikepdf.Dictionary(ca=0))
                page.Resources.ExtGState = state
                return [([pikepdf.Name("/G0")], op("gs")), *operators]

    sheets = read_pages(with_operators(printed(NAME)[1], 2, change))
    words = [letter for letter in sheets[1].letters if letter.text.strip()]
    assert words == []
    assert sheets[0].letters


def test_fonts_that_are_not_ours_show_no_letters() -> None:
    with pikepdf.open(BytesIO(printed(NAME)[1])) as file:
        for page in file.pages:
            for font in page.Resources.Font.values():  # type: ignore[union-attr]
                font.Subtype = pikepdf.Name("/Type1")
        other = saved(file)
    assert {letter.face for sheet in read_pages(other) for letter in sheet.letters} == {Face.OTHER}
    with pytest.raises(NothingToProveError):
        proved(other)


def test_pages_and_pictures_turned_and_moved_are_read_as_they_stand() -> None:
    """The content of a page as a picture on it (a form), a little smaller."""
    pdf = printed("reed-bank")[1]
    with pikepdf.open(BytesIO(pdf)) as file:
        for page in file.pages:
            form = file.make_stream(page.Contents.read_bytes())
            form.Type, form.Subtype = pikepdf.Name("/XObject"), pikepdf.Name("/Form")
            form.BBox = pikepdf.Array([0, 0, 2000, 2000])
            form.Resources = page.Resources
            page.Resources = pikepdf.Dictionary(XObject=pikepdf.Dictionary(P=form))
            page.Contents = file.make_stream(b"q 0.9 0 0 0.9 20 20 cm /P Do Q")
        other = saved(file)
    assert code_of(other) == code_of(pdf)


# --- Files that are not what they should be ----------------------------------------------------


def test_what_is_no_pdf_is_refused() -> None:
    for data in (b"", b"a pattern", b"%PDF-1.7", b"%PDF-1.7\n" + b"0" * 4000):
        with pytest.raises(UnreadablePdfError):
            read_pages(data)


def test_a_locked_file_is_refused() -> None:
    with pikepdf.open(BytesIO(printed(NAME)[1])) as file:
        locked = saved(file, encryption=pikepdf.Encryption(owner="a", user="b"))
    with pytest.raises(UnreadablePdfError, match="locked"):
        read_pages(locked)


def test_more_than_a_booklet_holds_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    pdf = printed(NAME)[1]
    for limit in ("MOST_BYTES", "MOST_PAGES", "MOST_OPERATORS", "MOST_PAGE_BYTES"):
        with monkeypatch.context() as patch:
            patch.setattr(pdf_reading, limit, 1)
            with pytest.raises(UnreadablePdfError):
                read_pages(pdf)


def test_pictures_within_pictures_end() -> None:
    with pikepdf.open(BytesIO(printed(NAME)[1])) as file:
        form = file.make_stream(b"/P Do /P Do")
        form.Type, form.Subtype = pikepdf.Name("/XObject"), pikepdf.Name("/Form")
        form.BBox = pikepdf.Array([0, 0, 100, 100])
        form = file.make_indirect(form)
        form.Resources = pikepdf.Dictionary(XObject=pikepdf.Dictionary(P=form))
        file.pages[0].Resources = form.Resources
        file.pages[0].Contents = file.make_stream(b"/P Do")
        endless = saved(file)
    with pytest.raises(UnreadablePdfError):
        read_pages(endless)


def outcome(pdf: bytes) -> object:
    """Whatever comes of a file; nothing else may be raised."""
    try:
        return proved(pdf)
    except (UnreadablePdfError, NothingToProveError) as refusal:
        return refusal


@pytest.mark.parametrize("seed", range(30))
def test_bytes_spoiled_at_random_bring_nothing_down(seed: int) -> None:
    chance = random.Random(seed)
    data = bytearray(printed(NAME)[1])
    for _ in range(chance.choice((1, 3, 30))):
        data[chance.randrange(len(data))] = chance.randrange(256)
    outcome(bytes(data))
    outcome(bytes(data[: chance.randrange(len(data))]))


@given(st.lists(st.integers(0, 10**6), min_size=1, max_size=6), st.randoms(use_true_random=False))
@settings(max_examples=25, deadline=None)
def test_operators_in_any_order_bring_nothing_down(
    places: list[int], chance: random.Random
) -> None:
    def change(_: Any, operators: Operators) -> Operators:
        for place in places:
            operators.insert(
                place % len(operators), operators.pop(chance.randrange(len(operators)))
            )
        return operators

    outcome(with_operators(printed(NAME)[1], 1, change))


@given(st.data())
@settings(max_examples=10, deadline=None)
def test_pages_with_any_letters_missing_bring_nothing_down(data: st.DataObject) -> None:
    sheets = list(read_pages(printed("sized: odd rings")[1]))[14:22]
    index = data.draw(st.integers(0, len(sheets) - 1))
    one = sheets[index]
    gone = data.draw(st.sets(st.integers(0, len(one.letters) - 1), min_size=1, max_size=200))
    letters = tuple(letter for place, letter in enumerate(one.letters) if place not in gone)
    sheets[index] = PrintedSheet(
        one.number,
        one.width_mm,
        one.height_mm,
        letters,
        one.strokes[: data.draw(st.integers(0, len(one.strokes)))],
        one.bends,
        one.areas,
        one.squares,
    )
    report = prove(tuple(sheets))
    assert not report.is_proved
