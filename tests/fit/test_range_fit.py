"""What share of adults a range of sizes fits: against the counted percentiles of ANSUR II."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from charts.foot_classes import FeetBox, share_of_adults, share_of_adults_in
from charts.range_fit import RangeFit, feet_in, range_fit
from charts.shoe_sizes import Wearer
from charts.size_figures import size_figures
from charts.sizes import knit_sizes

SAMPLE = Path("samples/three-looms.toml").read_text(encoding="utf-8")
ANY_BALL = (0.0, 1000.0)
ranges = st.tuples(st.floats(180, 300), st.floats(1, 60)).map(lambda one: (one[0], sum(one)))
boxes = st.lists(st.builds(FeetBox, ranges, ranges), min_size=1, max_size=5)


def test_shares_are_those_between_counted_percentiles() -> None:
    """ANSUR II (Natick/TR-15/007), foot length in mm: women 226 (p5), 238 (p25), 246 (p50), 267.8
    (p95); men 250 (p5), 263 (p25), 280 (p75), 293 (p95).  Rounded to 1 mm, so within 2 in 100."""
    women = [FeetBox((226, 238), ANY_BALL), FeetBox((246, 267.8), ANY_BALL)]
    assert share_of_adults_in(women, wearer=Wearer.WOMAN) == pytest.approx(0.20 + 0.45, abs=0.02)
    men = [FeetBox((250, 280), ANY_BALL), FeetBox((263, 293), ANY_BALL)]
    assert share_of_adults_in(men, wearer=Wearer.MAN) == pytest.approx(0.90, abs=0.02)


@given(boxes, st.sampled_from([Wearer.WOMAN, Wearer.MAN]))
def test_another_size_never_fits_fewer_and_overlaps_count_once(
    some: list[FeetBox], wearer: Wearer
) -> None:
    whole = share_of_adults_in(some, wearer=wearer)
    single = [
        share_of_adults(length_mm=box.length_mm, ball_mm=box.ball_mm, wearer=wearer) for box in some
    ]
    assert -1e-9 <= whole <= 1 + 1e-9
    assert max(single) - 1e-6 <= whole <= sum(single) + 1e-6
    assert share_of_adults_in(some + some, wearer=wearer) == pytest.approx(whole, abs=1e-9)
    assert share_of_adults_in(some[1:], wearer=wearer) <= whole + 1e-6


def test_boxes_side_by_side_are_one_wider_box() -> None:
    halves = [FeetBox((230, 245), (215, 240)), FeetBox((245, 260), (215, 240))]
    stacked = [FeetBox((230, 260), (215, 225)), FeetBox((230, 260), (224, 240))]
    whole = share_of_adults(length_mm=(230, 260), ball_mm=(215, 240))
    assert share_of_adults_in(halves) == pytest.approx(whole, abs=1e-6)
    assert share_of_adults_in(stacked) == pytest.approx(whole, abs=1e-6)


def test_feet_of_a_size_are_its_sock_with_the_ease_taken_back() -> None:
    """32 pegs at 15 1/6 stitches in 10 cm: 211 mm round; 10 % of ease, worn up to 10 % either way.

    So round feet of 211 / 1.0 to 211 / 0.8 mm.
    """
    small = size_figures(knit_sizes(SAMPLE, only="Small").sizes[0])
    box = feet_in(small)
    assert box is not None
    assert small.ease.round_share == pytest.approx(0.10)
    assert box.ball_mm == pytest.approx((211.0, 263.7), abs=0.1)
    assert small.measures is not None
    middle = small.measures.length.mm / (1 - small.ease.length_share)
    assert box.length_mm == pytest.approx((middle / 1.05, middle / 0.95))


def test_the_sentence_says_whose_feet_these_are() -> None:
    found = range_fit([size_figures(size) for size in knit_sizes(SAMPLE).sizes])
    assert found is not None
    assert found.text == (
        f"Fits {100 * found.women:.0f} % of women and {100 * found.men:.0f} % of men in length and "
        "ball (normal curves, ANSUR II: US Army personnel, 2012; not the whole public)."
    )
    assert RangeFit(0.004, 0.5).text.startswith("Fits fewer than 1 % of women and 50 % of men")


def test_without_a_gauge_nothing_is_said() -> None:
    figures = size_figures(knit_sizes(SAMPLE, only="Small").sizes[0])
    assert range_fit([replace(figures, measures=None)]) is None
