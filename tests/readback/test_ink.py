"""What ink a finished booklet puts on paper, from its PDF: fonts, margins, nothing on top of
anything."""

from __future__ import annotations

import contextlib
import re
from io import BytesIO
from pathlib import Path

import pikepdf
import pytest
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.ttLib import TTFont
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from charts.loom import Working
from charts.parts import Part
from charts.plan import Plan, make_plan
from charts.problems import PatternError
from charts.spec import Cuff, Flanks, Heel, Leftover, Leg, SockSpec
from layouts.block import DoesNotFitError
from layouts.booklet import make_booklet
from layouts.card import make_card
from layouts.loom_map import loom_map
from layouts.loom_now import PARTS_WITH_MAP, small_loom_map
from layouts.paper import PAPERS
from layouts.pdf import write_pdf
from layouts.scene import BLACK, Document, Page, Text, line
from tests.core.socks import loom, proved, specs
from tests.readback.ink import (
    EDGE_DPI,
    Layer,
    drawn_pages,
    ink_outside,
    letters_on_letters,
    shared_ink,
)
from tests.readback.socks import NAMES, printed_sock

FONTS = Path(__file__).parents[2] / "fonts"

SAFE_MM = 6.0
"""A home printer's edge, and a card's (common practice, no published source)."""
CLEAR_MM = SAFE_MM - 25.4 / EDGE_DPI
"""The strip that is looked at: a dot less, which ink beside it may cover in part."""
APART_MM = 0.05


@pytest.mark.parametrize("name", NAMES)
def test_no_ink_leaves_the_safe_area(name: str) -> None:
    pages = list(drawn_pages(printed_sock(name).pdf, Layer.ALL, dpi=EDGE_DPI))
    assert len(pages) == len(printed_sock(name).document.pages)
    for number, page in enumerate(pages, start=1):
        assert ink_outside(page, CLEAR_MM) == "", number


@pytest.mark.parametrize("name", NAMES)
def test_no_letter_lies_on_a_line(name: str) -> None:
    """No dot of 0.13 mm is more than half covered by both; white letters on black tabs aside."""
    pdf = printed_sock(name).pdf
    layers = zip(drawn_pages(pdf, Layer.TEXTS), drawn_pages(pdf, Layer.OTHERS), strict=True)
    for number, (texts, others) in enumerate(layers, start=1):
        assert shared_ink(texts, others) is None, number


@pytest.mark.parametrize("name", NAMES)
def test_no_letter_lies_on_a_letter(name: str) -> None:
    """The boxes round the ink of letters of two texts share no more than APART_MM."""
    assert list(letters_on_letters(printed_sock(name).pdf, tolerance_mm=APART_MM)) == []


@pytest.mark.parametrize("part", [Part.TURN, Part.TOE])
@pytest.mark.parametrize("name", ["reed-bank", "ember", "millstream"])
def test_cards_keep_clear_of_the_cut_edge_and_of_themselves(name: str, part: Part) -> None:
    pdf = write_pdf(make_card(printed_sock(name).first, part))
    for page in drawn_pages(pdf, Layer.ALL, dpi=EDGE_DPI):
        assert ink_outside(page, CLEAR_MM) == ""
    assert_no_ink_on_ink(pdf)


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    """Rings of every size with heels and turns down to a peg or two."""
    pegs = draw(st.integers(16, 120))
    heel = draw(st.none() | st.integers(4, pegs - 2))
    spec = SockSpec(
        "Ring",
        loom(pegs, "3/8 in", draw(st.sampled_from(Working))),
        cuff=Cuff(rib=draw(st.sampled_from(["kkpp", "kp"])), leftover=Leftover.KNIT),
        leg=Leg(flanks=draw(st.sampled_from(Flanks))),
        heel=Heel(heel, draw(st.none() | st.integers(1, heel)) if heel else None),
    )
    try:
        return make_plan(spec)
    except PatternError:
        assume(False)
        raise


@settings(max_examples=25, deadline=None)
@given(plans(), st.sampled_from([54.0, 62.0, 84.0, 112.0, 120.0]), st.integers(0, 119))
def test_maps_of_any_ring_keep_names_numbers_and_lines_apart(
    plan: Plan, width_mm: float, yarn: int
) -> None:
    blocks = [
        small_loom_map(
            plan, part, plan.peg(yarn % plan.loom.pegs), width_mm=115.0, height_mm=height_mm
        )
        for part in PARTS_WITH_MAP
        for height_mm in (40.0, 54.0)
    ]
    with contextlib.suppress(DoesNotFitError):
        blocks.append(loom_map(plan, width_mm=width_mm, height_mm=width_mm + 8.0))
    pages = tuple(Page(140.0, 140.0, (block.placed(10.0, 10.0),)) for block in blocks)
    assert_no_ink_on_ink(write_pdf(Document(pages, "Maps")))


def assert_no_ink_on_ink(pdf: bytes) -> None:
    layers = zip(drawn_pages(pdf, Layer.TEXTS), drawn_pages(pdf, Layer.OTHERS), strict=True)
    for number, (texts, others) in enumerate(layers, start=1):
        assert shared_ink(texts, others) is None, number
    assert list(letters_on_letters(pdf, tolerance_mm=APART_MM)) == []


@settings(max_examples=4, deadline=None, suppress_health_check=list(HealthCheck))
@given(specs(fitting=True), st.sampled_from(["a5", "half-letter", "a4"]))
def test_the_booklet_of_any_sock_has_no_ink_on_ink(spec: SockSpec, paper: str) -> None:
    try:
        knit = proved(spec)
        document = make_booklet(knit, knit, paper=PAPERS[paper])
    except (PatternError, DoesNotFitError):
        assume(False)
        raise
    pdf = write_pdf(document)
    assert_no_ink_on_ink(pdf)
    for number, page in enumerate(drawn_pages(pdf, Layer.ALL, dpi=EDGE_DPI), start=1):
        assert ink_outside(page, CLEAR_MM) == "", number


def drawn(*items: Text) -> bytes:
    return write_pdf(Document((Page(60, 40, items),), "Test"))


@pytest.mark.parametrize(
    ("other", "on_letters", "on_lines"),
    [
        (Text(12, 30, "toe"), False, False),
        (Text(17.5, 20, "toe"), True, False),
        (Text(19, 20, "toe"), False, False),
        (line(10, 19.5, 30, 19.5, stroke_pt=0.3), False, True),
        (line(10, 21.5, 30, 21.5, stroke_pt=0.3), False, False),
    ],
)
def test_ink_on_ink_is_seen(other: Text, on_letters: bool, on_lines: bool) -> None:
    """What the checks above look for, drawn on purpose."""
    pdf = drawn(Text(12, 20, "heel"), other)
    (texts,), (others,) = (drawn_pages(pdf, layer) for layer in (Layer.TEXTS, Layer.OTHERS))
    assert any(letters_on_letters(pdf, tolerance_mm=APART_MM)) is on_letters
    assert (shared_ink(texts, others) is not None) is on_lines


@pytest.mark.parametrize(
    ("item", "edges"),
    [
        (Text(20, 20, "peg"), ""),
        (Text(5, 20, "peg"), "left"),
        (Text(52, 20, "peg"), "right"),
        (line(20, 4, 20, 36, ink=BLACK), "top bottom"),
    ],
)
def test_ink_at_an_edge_is_seen(item: Text, edges: str) -> None:
    (page,) = drawn_pages(drawn(item), Layer.ALL, dpi=EDGE_DPI)
    assert ink_outside(page, CLEAR_MM) == edges


@pytest.mark.parametrize("name", NAMES)
def test_fonts_are_embedded_cut_down_and_draw_the_letters_that_they_stand_for(name: str) -> None:
    """ISO 32000-1:2008, 9.6.4: the name of a subset begins with six capitals and a plus sign.

    Each letter that can be copied out of the file is drawn with the outline that our font has for
    it, so a symbol cannot look like another one.
    """
    found = set()
    with pikepdf.open(BytesIO(printed_sock(name).pdf)) as file:
        for page in file.pages:
            for font in page.Resources.Font.values():
                found.add(font.objgen)
        for number in found:
            font = file.get_object(number)
            name_in_file = str(font.BaseFont)
            assert re.fullmatch(r"/[A-Z]{6}\+[A-Za-z0-9-]+", name_in_file)
            whole = FONTS / f"{name_in_file.partition('+')[2]}.ttf"
            embedded = font.FontDescriptor.FontFile2.read_bytes()
            assert len(embedded) < whole.stat().st_size
            _check_outlines(TTFont(BytesIO(embedded)), TTFont(whole), _letters_of(font))
    assert len(found) == 3


def _letters_of(font: pikepdf.Object) -> dict[int, str]:
    """The character of each code, by the table for copying text out (ISO 32000-1:2008, 9.10.3)."""
    table = font.ToUnicode.read_bytes().decode("ascii")
    found = {}
    for block in re.findall(r"beginbfchar(.*?)endbfchar", table, re.DOTALL):
        for code, char in re.findall(r"<(\w+)>\s*<(\w+)>", block):
            found[int(code, 16)] = bytes.fromhex(char).decode("utf-16-be")
    for block in re.findall(r"beginbfrange(.*?)endbfrange", table, re.DOTALL):
        for first, _, chars in re.findall(r"<(\w+)>\s*<(\w+)>\s*\[(.*?)\]", block, re.DOTALL):
            for place, char in enumerate(re.findall(r"<(\w+)>", chars)):
                found[int(first, 16) + place] = bytes.fromhex(char).decode("utf-16-be")
    return found


def _check_outlines(embedded: TTFont, whole: TTFont, letters: dict[int, str]) -> None:
    codes = embedded["cmap"].tables[0].cmap
    names = whole.getBestCmap()
    assert letters
    for code, char in letters.items():
        if char == "\0":
            continue
        ours = _outline(whole, names[ord(char)])
        assert _outline(embedded, codes[code]) == ours, char


def _outline(font: TTFont, glyph: str) -> list[tuple[str, object]]:
    glyphs = font.getGlyphSet()
    pen = DecomposingRecordingPen(glyphs)
    glyphs[glyph].draw(pen)
    return list(pen.value)
