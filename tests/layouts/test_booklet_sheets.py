"""Booklets on sheets, read back from the finished file by pdfplumber, which did not write it.

Sizes: ISO 216 (A4 210 x 297 mm, A5 148 x 210 mm; figures read in the encyclopedia article).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from io import BytesIO
from typing import Any, NamedTuple

import pdfplumber
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from charts.verify import Knit
from layouts.block import DoesNotFitError
from layouts.booklet import make_booklet
from layouts.booklet_sheets import fold_booklet, notes_to_add, spread_booklet
from layouts.edition import Edition, PrintSize
from layouts.faces import Face
from layouts.imposition import Flip
from layouts.paper import PAPERS, PRINTER_SAFE, Paper, read_paper
from layouts.pdf import write_pdf
from layouts.scene import Align, Anchor, Document, Link, Page, Text, line
from tests.readback.ink import Layer, drawn_pages, ink_outside, letters_on_letters, shared_ink

MM = 25.4 / 72
KnitOf = Callable[[str], Knit]
A4_MM = (297.0, 210.0)
A5 = (148.0, 210.0)


def numbered(count: int, size: tuple[float, float] = A5) -> Document:
    """Pages with their number in the middle, and a way to the last."""
    width, height = size
    pages = tuple(
        Page(
            width,
            height,
            (
                Anchor(f"page-{number}"),
                Text(width / 2, height / 2, str(number), Face.BOLD, 24, align=Align.CENTRE),
                Link(20, 20, 40, 8, f"page-{count}"),
                Link(20, 40, 40, 8, count),
            ),
            str(number),
            PRINTER_SAFE,
        )
        for number in range(1, count + 1)
    )
    return Document(pages, "Numbers")


class Number(NamedTuple):
    """A printed page number, with the middle of its base line."""

    value: int
    x_mm: float
    y_mm: float
    upright: bool


class Sheet(NamedTuple):
    """A side of a sheet as it is read."""

    size_mm: tuple[float, float]
    numbers: list[Number]
    """From the left."""
    words: str
    sizes_pt: set[float]

    @property
    def values(self) -> list[int]:
        return [number.value for number in self.numbers]


def read_sheets(pdf: bytes, *, face: str = "Bold", size_pt: float = 24) -> list[Sheet]:
    """Every side; its numbers are the figures in that face and size."""
    with pdfplumber.open(BytesIO(pdf)) as document:
        return [_sheet(page, face, size_pt) for page in document.pages]


def _sheet(page: Any, face: str, size_pt: float) -> Sheet:
    found = [
        char
        for char in page.chars
        if char["text"].isdigit()
        and face in char["fontname"]
        and abs(_size_pt(char) - size_pt) < 0.01
    ]
    numbers = [_number(run, page.height) for run in _runs(found)]
    return Sheet(
        (page.width * MM, page.height * MM),
        sorted(numbers, key=lambda one: one.x_mm),
        "".join(char["text"] for char in page.chars).replace("\N{NO-BREAK SPACE}", " "),
        {round(_size_pt(char), 2) for char in page.chars},
    )


def _size_pt(char: dict[str, Any]) -> float:
    """The type size: how wide the box of a letter is that lies on its side, how high of others."""
    on_its_side = abs(char["matrix"][0]) < abs(char["matrix"][1])
    return float(char["width"] if on_its_side else char["height"])


def _runs(chars: Sequence[dict[str, Any]]) -> list[list[dict[str, Any]]]:
    """Figures that stand beside each other."""
    runs: list[list[dict[str, Any]]] = []
    for char in chars:
        last = runs[-1][-1] if runs else None
        if last and min(abs(char["x0"] - last["x1"]), abs(char["x1"] - last["x0"])) < 0.5:
            runs[-1].append(char)
        else:
            runs.append([char])
    return runs


def _number(run: list[dict[str, Any]], height_pt: float) -> Number:
    left, right = min(char["x0"] for char in run), max(char["x1"] for char in run)
    base = run[0]["matrix"][5]
    return Number(
        int("".join(char["text"] for char in run)),
        (left + right) / 2 * MM,
        (height_pt - base) * MM,
        run[0]["matrix"][0] > 0,
    )


# --- Folded ----------------------------------------------------------------------------------


@pytest.mark.parametrize("count", [4, 8, 12, 16, 24])
def test_printed_numbers_of_each_half_are_those_of_a_folded_pile(count: int) -> None:
    sides = read_sheets(write_pdf(fold_booklet(numbered(count))))
    assert len(sides) == count // 2
    read = []
    for outside, inside in zip(sides[::2], sides[1::2], strict=True):
        read += [outside.values[1], inside.values[0]]
    for outside, inside in reversed(list(zip(sides[::2], sides[1::2], strict=True))):
        read += [inside.values[1], outside.values[0]]
    assert read == list(range(1, count + 1))


def test_a5_pages_stand_in_the_middle_of_each_half_of_a4() -> None:
    """Half of A4 is 148.5 mm, A5 148 mm: a quarter of a millimetre on either side."""
    for side in read_sheets(write_pdf(fold_booklet(numbered(8)))):
        assert side.size_mm == pytest.approx(A4_MM, abs=0.01)
        left, right = side.numbers
        assert (left.x_mm, right.x_mm) == pytest.approx((297 / 4, 297 * 3 / 4), abs=0.05)
        assert left.y_mm == right.y_mm == pytest.approx(105.0, abs=0.05)
        assert left.upright
        assert right.upright


def test_half_letter_pages_are_folded_from_letter() -> None:
    """8.5 x 11 in and 5.5 x 8.5 in (from memory; an inch is 25.4 mm)."""
    half_letter = (5.5 * 25.4, 8.5 * 25.4)
    for side in read_sheets(write_pdf(fold_booklet(numbered(4, half_letter)))):
        assert side.size_mm == pytest.approx((11 * 25.4, 8.5 * 25.4), abs=0.01)


@pytest.mark.parametrize("flip", Flip)
def test_backs_lie_behind_their_fronts_when_the_sheet_is_turned_about_its_edge(flip: Flip) -> None:
    """A level sheet turned about its short edge: left and right change places.  About its long
    edge: head and foot do, so that the back is printed upside down."""
    sides = read_sheets(write_pdf(fold_booklet(numbered(12), flip=flip)))
    for front, back in zip(sides[::2], sides[1::2], strict=True):
        behind = {}
        for number in back.numbers:
            assert number.upright is (flip is Flip.SHORT_EDGE)
            x_mm = 297 - number.x_mm if flip is Flip.SHORT_EDGE else number.x_mm
            behind[number.value] = x_mm
        for number in front.numbers:
            # Odd pages have the next one behind them, even pages the one before.
            other = number.value + (1 if number.value % 2 else -1)
            assert behind[other] == pytest.approx(number.x_mm, abs=0.1)
    words = f"flip on the {flip.value.replace('-', ' ')}"
    assert words in sides[0].words


def test_missing_pages_are_pages_for_notes_with_their_numbers() -> None:
    document = numbered(5)
    assert notes_to_add(document) == 3
    folded = fold_booklet(document)
    sides = read_sheets(write_pdf(folded))
    assert [side.values for side in sides] == [[1], [2], [3], [4, 5]]
    assert sum(side.words.count("Notes") for side in sides) == 3
    folios = read_sheets(write_pdf(folded), size_pt=9.5)
    assert sorted(value for side in folios for value in side.values) == [6, 7, 8]


def test_thickness_of_the_paper_moves_inner_sheets_towards_the_fold() -> None:
    plain = read_sheets(write_pdf(fold_booklet(numbered(16))))
    moved = read_sheets(write_pdf(fold_booklet(numbered(16), thickness_mm=0.16)))
    for index, (before, after) in enumerate(zip(plain, moved, strict=True)):
        # 0.16 mm for each sheet outside of this one: 0.48 mm for the fourth.
        creep = 0.16 * (index // 2)
        shifts = [b.x_mm - a.x_mm for a, b in zip(before.numbers, after.numbers, strict=True)]
        assert shifts == pytest.approx([creep, -creep], abs=0.005)


def test_paper_too_thick_for_so_many_sheets_is_refused_with_a_thickness_that_works() -> None:
    near_the_fold = line(8, 150, 140, 150)
    pages = [replace(page, items=(*page.items, near_the_fold)) for page in numbered(80).pages]
    document = Document(tuple(pages), "Thick")
    with pytest.raises(DoesNotFitError, match="into the fold") as refusal:
        fold_booklet(document, thickness_mm=0.3)
    named = re.search(r"try paper of ([0-9.]+) mm or less", str(refusal.value))
    assert named is not None
    assert float(named[1]) > 0.1
    assert fold_booklet(document, thickness_mm=float(named[1])).pages


def test_marks_for_fold_and_staples_lie_on_the_fold() -> None:
    with pdfplumber.open(BytesIO(write_pdf(fold_booklet(numbered(8))))) as pdf:
        first, second, third, _ = (_strokes(page) for page in pdf.pages)
    # Two staples on the outermost sheet only, at a quarter and three quarters of the spine (common
    # practice, no published source), inside the printable 6 mm.
    fold = [(6.0, 10.0), (200.0, 204.0)]
    staples = [(52.5 - 6, 52.5 + 6), (157.5 - 6, 157.5 + 6)]
    assert first == sorted([*fold, *staples])
    assert second == []
    assert third == fold


def _strokes(page: Any) -> list[Any]:
    """Tops and bottoms of the lines on the fold."""
    return sorted(
        (round(one["top"] * MM, 2), round(one["bottom"] * MM, 2))
        for one in page.lines
        if abs(one["x0"] * MM - 148.5) < 0.01
    )


def test_sheet_larger_than_its_pages_has_marks_to_cut_it_by() -> None:
    """A5 pages on a sheet of 340 x 250 mm: cut lines at 22 and 318, 20 and 230 mm."""
    folded = fold_booklet(numbered(4), sheet=Paper("", 340.0, 250.0))
    with pdfplumber.open(BytesIO(write_pdf(folded))) as pdf:
        lines = pdf.pages[0].lines
    level = {
        round(line["top"] * MM, 1) for line in lines if abs(line["top"] - line["bottom"]) < 0.1
    }
    upright = {round(line["x0"] * MM, 1) for line in lines if abs(line["x0"] - line["x1"]) < 0.1}
    assert level == {20.0, 230.0}
    assert upright == {22.0, 170.0, 318.0}


def test_a_printed_sheet_has_no_links() -> None:
    pdf = PdfReader(BytesIO(write_pdf(fold_booklet(numbered(8)))))
    assert all("/Annots" not in page for page in pdf.pages)
    assert pdf.root_object["/ViewerPreferences"]["/PrintScaling"] == "/None"  # type: ignore[index]


def test_pages_of_two_sizes_are_refused() -> None:
    document = numbered(2)
    mixed = Document((*document.pages, *numbered(2, (210.0, 148.0)).pages), "Mixed")
    with pytest.raises(DoesNotFitError, match="148 x 210 mm and 210 x 148 mm make no booklet"):
        fold_booklet(mixed)


SIDES_MM = st.floats(60, 320).map(lambda side: round(side, 2))


@given(page=st.tuples(SIDES_MM, SIDES_MM), sheet=st.tuples(SIDES_MM, SIDES_MM))
@settings(max_examples=60, deadline=None)
def test_pages_fit_on_a_sheet_or_are_refused_with_one_that_does(
    page: tuple[float, float], sheet: tuple[float, float]
) -> None:
    document = numbered(4, page)
    needed = (2 * page[0], page[1])
    paper = Paper("", *sheet)
    fits = any(
        needed[0] <= one.width_mm and needed[1] <= one.height_mm for one in (paper, paper.turned)
    )
    for lay in (fold_booklet, spread_booklet):
        held = paper
        if not fits:
            with pytest.raises(DoesNotFitError) as refusal:
                lay(document, sheet=paper)
            named = re.search(r"need a sheet of (\S+ x \S+ mm)", str(refusal.value))
            assert named is not None
            held = read_paper(named[1])
        for side in lay(document, sheet=held).pages:
            assert sorted((side.width_mm, side.height_mm)) == sorted(
                (held.width_mm, held.height_mm)
            )


# --- Spreads ---------------------------------------------------------------------------------


def test_spreads_show_two_pages_that_face_each_other_and_the_cover_alone() -> None:
    sides = read_sheets(write_pdf(spread_booklet(numbered(6))))
    assert [side.values for side in sides] == [[1], [2, 3], [4, 5], [6]]
    assert sides[0].numbers[0].x_mm == pytest.approx(297 * 3 / 4, abs=0.05)
    assert sides[3].numbers[0].x_mm == pytest.approx(297 / 4, abs=0.05)
    assert "Print at 100 %" in sides[0].words


# --- Booklets --------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["rope on 40", "right to left on 25"])
@pytest.mark.parametrize("paper", ["a5", "half-letter", "a4"])
def test_folded_booklet_reads_in_order_and_keeps_clear(
    knit_of: KnitOf, name: str, paper: str
) -> None:
    knit = knit_of(name)
    booklet = make_booklet(knit, knit, paper=PAPERS[paper])
    count = len(booklet.pages) + notes_to_add(booklet)
    pdf = write_pdf(fold_booklet(booklet))
    # Page numbers are bold, as large as the text, at the foot; the cover has none.
    text_pt = 10.5 if paper == "a4" else 9.5
    read = {}
    for index, side in enumerate(read_sheets(pdf, size_pt=text_pt)):
        high = side.size_mm[1]
        for number in side.numbers:
            if number.y_mm > high - 17 * high / 210 and _is_folio(number, side.size_mm[0]):
                read[number.value] = (index, number.x_mm > side.size_mm[0] / 2)
        # Smallest type that solid black may have: 6 pt (common practice, no published source).
        assert min(side.sizes_pt) >= 6.0
    places = {}
    for sheet in range(count // 4):
        places |= {
            count - 2 * sheet: (2 * sheet, False),
            2 * sheet + 1: (2 * sheet, True),
            2 * sheet + 2: (2 * sheet + 1, False),
            count - 2 * sheet - 1: (2 * sheet + 1, True),
        }
    places.pop(1)
    assert read == places


def _is_folio(number: Number, width_mm: float) -> bool:
    """Whether it stands near the outer edge of its half."""
    from_edge = min(number.x_mm, width_mm - number.x_mm)
    return from_edge < 22 * width_mm / 297


def test_folded_booklet_has_no_ink_at_the_edge_and_none_on_other_ink(knit_of: KnitOf) -> None:
    knit = knit_of("rope on 40")
    pdf = write_pdf(fold_booklet(make_booklet(knit, knit, paper=PAPERS["a5"])))
    for page in drawn_pages(pdf, Layer.ALL, dpi=100):
        assert ink_outside(page, 5.9) == ""
    layers = zip(drawn_pages(pdf, Layer.TEXTS), drawn_pages(pdf, Layer.OTHERS), strict=True)
    for number, (texts, others) in enumerate(layers, start=1):
        assert shared_ink(texts, others) is None, number
    assert list(letters_on_letters(pdf, tolerance_mm=0.05)) == []


@pytest.mark.parametrize(
    ("size", "paper", "least_pt"),
    [(PrintSize.CLEAR, "a5", 9.0), (PrintSize.LARGE, "a4", 12.0)],
)
def test_the_words_beside_the_fold_grow_with_the_print(
    knit_of: KnitOf, size: PrintSize, paper: str, least_pt: float
) -> None:
    knit, edition = knit_of("plain on 24"), Edition(size=size)
    booklet = make_booklet(knit, knit, paper=PAPERS[paper], edition=edition)
    pdf = write_pdf(fold_booklet(booklet, edition=edition))
    first, *_ = read_sheets(pdf)
    assert "Sheet 1 of" in first.words
    assert min(first.sizes_pt) >= least_pt
    assert list(letters_on_letters(pdf, tolerance_mm=0.05)) == []


def test_the_first_sheet_says_how_it_is_printed_and_bound(knit_of: KnitOf) -> None:
    knit = knit_of("rope on 40")
    first, *others = read_sheets(
        write_pdf(fold_booklet(make_booklet(knit, knit, paper=PAPERS["a5"])))
    )
    for words in ("Print at 100 %", "both sides", "flip on the short edge", "staple at the two"):
        assert words in first.words
    assert f"Sheet 2 of {(len(others) + 1) // 2}, outside" in others[1].words


def test_the_same_booklet_gives_the_same_sheets(knit_of: KnitOf) -> None:
    knit = knit_of("plain on 24")
    booklet = make_booklet(knit, knit, paper=PAPERS["a5"])
    for lay in (fold_booklet, spread_booklet):
        assert write_pdf(lay(booklet)) == write_pdf(lay(booklet))
