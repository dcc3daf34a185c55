"""The font files: what they are, and that the tables made from them are fresh and true."""

from __future__ import annotations

import hashlib
import re
import unicodedata
from io import BytesIO
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st

from charts.stitches import STITCHES
from fonts.build_metrics import metrics_json
from fonts.build_symbols import make_font
from layouts.faces import Face, advance, font_bytes, metrics, missing_characters, shown
from layouts.symbols import SYMBOLS

FONTS = Path(__file__).parents[2] / "fonts"


def open_font(face: Face) -> TTFont:
    return TTFont(BytesIO(font_bytes(face)))


def test_every_font_file_is_listed_with_its_checksum() -> None:
    listed = dict(
        re.findall(r"`(\w[\w-]*\.ttf)`.*`([0-9a-f]{64})`", (FONTS / "SOURCES.md").read_text())
    )
    found = {
        path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in FONTS.glob("*.ttf")
    }
    assert listed == found
    assert len(found) == 3


def test_symbol_font_is_what_the_shapes_make() -> None:
    assert make_font() == font_bytes(Face.SYMBOLS)


def test_metrics_are_what_the_fonts_say() -> None:
    assert (FONTS / "metrics.json").read_text() == metrics_json()


@pytest.mark.parametrize("face", list(Face))
def test_widths_agree_with_fonttools(face: Face) -> None:
    font = open_font(face)
    known = metrics(face)
    assert font["head"].unitsPerEm == 1000
    for char, width in known.widths.items():
        name = font.getBestCmap()[ord(char)]
        assert width == font["hmtx"][name][0]


@pytest.mark.parametrize("face", [Face.REGULAR, Face.BOLD])
def test_figures_are_of_one_width(face: Face) -> None:
    assert len({metrics(face).widths[figure] for figure in "0123456789"}) == 1


def test_symbol_font_has_a_cell_of_one_em_for_every_stitch() -> None:
    font = open_font(Face.SYMBOLS)
    cmap = font.getBestCmap()
    assert set(STITCHES) <= set(SYMBOLS)
    assert {chr(code) for code in cmap} == set(SYMBOLS)
    assert (font["hhea"].ascent, font["hhea"].descent) == (1000, 0)
    for name in cmap.values():
        width, bearing = font["hmtx"][name]
        assert width == 1000
        glyph = font["glyf"][name]
        if glyph.numberOfContours:
            assert bearing == glyph.xMin, "a viewer would shift the glyph"
            assert 0 <= glyph.xMin < glyph.xMax <= 1000
            assert 0 <= glyph.yMin < glyph.yMax <= 1000


def test_symbol_font_holds_no_date_of_the_day() -> None:
    head = open_font(Face.SYMBOLS)["head"]
    # 2025-01-01 less 1904-01-01 is 44196 days (121 years of 365 days and 31 leap days).
    assert head.created == head.modified == (121 * 365 + 31) * 86400


def test_strokes_that_cross_leave_no_hole() -> None:
    """Every outline of a symbol turns the same way, so the non-zero rule fills what they share."""
    font = open_font(Face.SYMBOLS)
    seen = 0
    for letter in "x+j/\\sdtuHGBMO".replace("+", ""):
        glyph = font["glyf"][font.getBestCmap()[ord(letter)]]
        ends = list(glyph.endPtsOfContours)
        points = list(glyph.coordinates)
        for start, end in zip([0, *(end + 1 for end in ends)], ends, strict=False):
            ring = points[start : end + 1]
            area = sum(
                x1 * y2 - x2 * y1
                for (x1, y1), (x2, y2) in zip(ring, [*ring[1:], ring[0]], strict=True)
            )
            assert area < 0, f"an outline of {letter} turns the wrong way"
            seen += 1
    assert seen > 14


def test_missing_characters_are_named_once_in_order() -> None:
    assert missing_characters("size ½ — 3 × “Größe” łőș") == ""
    assert missing_characters("✂ k ☃✂") == "✂☃"
    assert missing_characters("kq", Face.SYMBOLS) == "q"
    assert missing_characters("a\tb\nc\x00\u200b") == ""
    assert missing_characters("e\u0301") == "", "composed to one character"
    assert missing_characters("q\u0302\ud800") == "\u0302\ud800"


def test_shown_text_drops_controls_and_never_prints_an_empty_box() -> None:
    assert shown("a\x00b\tc\u00add\ud800", Face.REGULAR) == "ab cd?"
    assert shown("pq", Face.SYMBOLS) == "p?"
    assert shown("cafe\u0301", Face.BOLD) == "café"


@given(st.text(st.characters(exclude_categories=[])), st.sampled_from(Face))
def test_any_text_can_be_measured_and_shown(text: str, face: Face) -> None:
    printed = shown(text, face)
    assert set(printed) <= metrics(face).widths.keys()
    assert advance(text, face) == sum(metrics(face).widths[char] for char in printed)
    assert shown(printed, face) == printed
    if not missing_characters(text, face) and "?" not in text:
        assert "?" not in printed
    assert not any(unicodedata.category(char) == "Cc" for char in printed)
