"""Paper sizes against the published figures, and sizes that people type."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layouts.paper import (
    CARD_SAFE,
    MM_PER_INCH,
    MM_PER_PT,
    PAPERS,
    Margins,
    read_paper,
)


def test_a_series_follows_iso_216() -> None:
    """ISO 216 (figures read in the encyclopedia article of that name): each size is half of the
    one before, its short side rounded down to a whole millimetre."""
    sizes = [PAPERS[name] for name in ("a3", "a4", "a5", "a6", "a7")]
    assert [(paper.width_mm, paper.height_mm) for paper in sizes] == [
        (297, 420), (210, 297), (148, 210), (105, 148), (74, 105),
    ]  # fmt: skip
    for larger, smaller in pairwise(sizes):
        assert smaller.height_mm == larger.width_mm
        assert smaller.width_mm == larger.height_mm // 2


def test_card_follows_iso_7810() -> None:
    """ISO/IEC 7810, ID-1 (figures read in the encyclopedia article of that name)."""
    card = PAPERS["id-1"]
    assert (card.height_mm, card.width_mm) == (85.60, 53.98)
    assert card.height_mm == pytest.approx(3.370 * 25.4, abs=0.01)
    assert card.width_mm == pytest.approx(2.125 * 25.4, abs=0.01)


def test_inch_sizes_are_exact() -> None:
    """The inch is 25.4 mm and the point 1/72 inch; the inch sizes themselves are from memory."""
    assert MM_PER_INCH == 25.4
    assert pytest.approx(0.352778, abs=1e-6) == MM_PER_PT
    sizes = {
        "letter": (215.9, 279.4),
        "half-letter": (139.7, 215.9),
        "quarter-letter": (107.95, 139.7),
        "legal": (215.9, 355.6),
        "index-3x5": (76.2, 127.0),
        "index-4x6": (101.6, 152.4),
        "index-5x8": (127.0, 203.2),
        "photo-3.5x5": (88.9, 127.0),
        "photo-4x6": (101.6, 152.4),
        "photo-5x7": (127.0, 177.8),
    }
    found = {name: (PAPERS[name].width_mm, PAPERS[name].height_mm) for name in sizes}
    assert found == sizes


def test_every_named_size_is_upright_and_reads_back() -> None:
    assert len(PAPERS) == 16
    for name, paper in PAPERS.items():
        assert paper.height_mm > paper.width_mm
        assert read_paper(name.upper()) == paper
        assert paper.level.turned == paper.upright == paper


@pytest.mark.parametrize(
    ("text", "width_mm", "height_mm"),
    [
        ("105 x 148 mm", 105, 148),
        ("105x148mm", 105, 148),
        ("4 × 6 in", 101.6, 152.4),
        ("8.5 in x 11 in", 215.9, 279.4),
        ("210 mm x 100 mm", 210, 100),
        ("Half Letter", 139.7, 215.9),
        ("half_letter", 139.7, 215.9),
    ],
)
def test_sizes_people_type(text: str, width_mm: float, height_mm: float) -> None:
    paper = read_paper(text)
    assert (paper.width_mm, paper.height_mm) == pytest.approx((width_mm, height_mm))


@pytest.mark.parametrize(
    "text",
    ["", "a9", "105 x 148", "105 mm", "0 x 100 mm", "-3 x 4 in", "40 x 100 mm", "1e3 x 9 in"],
)
def test_other_sizes_are_refused_with_what_is_allowed(text: str) -> None:
    with pytest.raises(ValueError, match="allowed: "):
        read_paper(text)


def test_a_unit_must_not_be_mixed() -> None:
    with pytest.raises(ValueError, match="allowed: "):
        read_paper("60 in x 100 mm")


@given(st.floats(50, 1000), st.floats(50, 1000))
def test_own_sizes_are_read_as_they_are_told(width_mm: float, height_mm: float) -> None:
    paper = read_paper(f"{width_mm:.4f} x {height_mm:.4f} mm")
    assert (paper.width_mm, paper.height_mm) == pytest.approx((width_mm, height_mm), abs=1e-4)


def test_bound_margins_keep_the_wide_one_at_the_spine() -> None:
    right = Margins.bound(1, inner_mm=16, outer_mm=12, top_mm=14, bottom_mm=15)
    left = Margins.bound(2, inner_mm=16, outer_mm=12, top_mm=14, bottom_mm=15)
    assert right == Margins(top_mm=14, right_mm=12, bottom_mm=15, left_mm=16)
    assert left == Margins(top_mm=14, right_mm=16, bottom_mm=15, left_mm=12)
    assert Margins(6, 6, 6, 6) == CARD_SAFE
