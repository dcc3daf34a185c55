"""Contrast by W3C, "Web Content Accessibility Guidelines (WCAG) 2.2", worked again by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layouts.contrast import LEAST_TEXT, contrast, luminance, readable_ink
from layouts.scene import BLACK, GREY_60, WHITE, Ink

HEX = st.integers(0, 0xFFFFFF).map(lambda number: f"#{number:06x}")


def ratio_to_white(hex_text: str) -> float:
    """From the definitions, in whole steps of a byte and with no code of ours."""
    light = []
    for byte in bytes.fromhex(hex_text[1:]):
        part = byte / 255
        light.append(part / 12.92 if part <= 0.04045 else pow((part + 0.055) / 1.055, 2.4))
    whole = sum(
        float(Fraction(weight, 10_000)) * part
        for weight, part in zip((2126, 7152, 722), light, strict=True)
    )
    return 1.05 / (whole + 0.05)


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("#000000", "#ffffff", 21.0),
        ("#595959", "#ffffff", 7.0047),
        ("#767676", "#ffffff", 4.5422),
        ("#777777", "#ffffff", 4.4781),
        ("#0072b2", "#ffffff", 5.1854),
        ("#e69f00", "#ffffff", 2.2523),
        ("#d55e00", "#0072b2", 1.3409),
        ("#000000", "#d9d9d9", 14.8774),
    ],
)
def test_contrast_of_known_pairs(one, other, ratio):
    found = contrast(Ink.from_hex(one), Ink.from_hex(other))
    assert found == pytest.approx(ratio, abs=5e-5)
    assert contrast(Ink.from_hex(other), Ink.from_hex(one)) == found


def test_our_greys_are_dark_enough_for_text():
    assert readable_ink(BLACK) == BLACK
    assert readable_ink(GREY_60) == GREY_60


@given(HEX)
def test_contrast_to_white_is_that_of_the_definition(text):
    assert contrast(Ink.from_hex(text), WHITE) == pytest.approx(ratio_to_white(text), rel=1e-12)


@given(HEX)
def test_any_colour_is_made_readable(text):
    ink = readable_ink(Ink.from_hex(text))
    assert ratio_to_white(ink.hex) >= LEAST_TEXT
    assert Ink.from_hex(ink.hex) == ink


@given(HEX)
def test_colour_that_is_readable_stays_as_it_is_and_no_other_does(text):
    kept = readable_ink(Ink.from_hex(text)).hex == text
    assert kept == (ratio_to_white(text) >= LEAST_TEXT)


@given(HEX)
def test_darkened_colour_is_hardly_darker_than_it_must_be(text):
    ink = Ink.from_hex(text)
    if ratio_to_white(text) < LEAST_TEXT:
        assert ratio_to_white(readable_ink(ink).hex) < LEAST_TEXT * 1.03


@given(HEX)
def test_darkened_colour_keeps_the_order_of_its_parts(text):
    def order(ink: Ink) -> list[bool]:
        return [ink.red >= ink.green, ink.green >= ink.blue, ink.red >= ink.blue]

    ink = Ink.from_hex(text)
    dark = readable_ink(ink)
    assert all(now or not before for before, now in zip(order(ink), order(dark), strict=True))
    assert luminance(dark) <= luminance(ink)


@pytest.mark.parametrize(
    ("light", "dark"),
    [
        # light parts times 0.18333 over the luminance, worked with a pocket calculator:
        # white: 0.18333 each, encoded 0.4657, 118.7 of 255
        ("#ffffff", "#767676"),
        # yellow: luminance 0.9278, each part 0.19760, encoded 0.4820, 122.9 of 255
        ("#ffff00", "#7a7a00"),
    ],
)
def test_darkened_colours_worked_by_hand(light, dark):
    assert readable_ink(Ink.from_hex(light)).hex == dark
