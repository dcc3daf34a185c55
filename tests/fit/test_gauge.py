"""Gauge against hand-worked counts and the tables it guesses from."""

from __future__ import annotations

from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from charts.gauge import (
    ROWS_PER_STITCH,
    Count,
    GaugeSource,
    Swatch,
    gauge_as_given,
    gauge_from_category,
    gauge_from_spacing,
    gauge_from_swatches,
    swatch,
)
from charts.lengths import LengthError
from charts.spec import Gauge
from charts.yarn_weights import YARN_WEIGHTS, YarnWeight, weights_for, yarn_weight


def _numbers(gauge: Gauge) -> tuple[float, float]:
    return gauge.stitches_per_10cm, gauge.rows_per_10cm


def test_repeated_counts_give_their_mean_and_spread() -> None:
    """18, 18 1/2 and 19 stitches: mean 18.5, deviation 1/2, of the mean 1/2 / sqrt 3."""
    reading = gauge_from_swatches([swatch(n, 24) for n in (18, 18.5, 19)])
    assert reading.stitches.per_10cm == pytest.approx(18.5)
    assert reading.stitches.sd == pytest.approx(0.5)
    assert reading.stitches.standard_error == pytest.approx(0.5 / sqrt(3))
    assert reading.source is GaugeSource.SWATCH
    assert not reading.source.is_estimate
    assert _numbers(reading.gauge) == pytest.approx((18.5, 24))
    assert reading.basis == "counted 3 times in a washed swatch"


def test_one_count_is_sure_to_half_a_stitch() -> None:
    """Half a stitch in 18 is 2.8 %: 6 mm on a 22 cm round."""
    stitches = gauge_from_swatches([swatch(18, 24)]).stitches
    assert stitches.share == pytest.approx(0.5 / 18)
    round_mm, off_mm = stitches.mm(18 * 2.2)
    assert round_mm == pytest.approx(220)
    assert off_mm == pytest.approx(6.1, abs=0.05)


def test_equal_counts_are_no_surer_than_counting_allows() -> None:
    reading = gauge_from_swatches([swatch(18, 24)] * 4)
    assert reading.stitches.sd == pytest.approx(0.25)
    assert reading.stitches.standard_error == pytest.approx(0.125)


def test_four_inches_are_101_6_mm() -> None:
    """An inch is 25.4 mm: NIST SP 811 (2008), appendix B.8."""
    reading = gauge_from_swatches([swatch(18, 24, over="4 in")])
    assert reading.stitches.per_10cm == pytest.approx(18 / 1.016)
    assert reading.rows.per_10cm == pytest.approx(24 / 1.016)


def test_width_and_height_may_differ() -> None:
    reading = gauge_from_swatches([swatch(9, 30, over="5 cm", high="12.5 cm")])
    assert _numbers(reading.gauge) == pytest.approx((18, 24))


def test_an_unwashed_swatch_says_what_washing_will_do() -> None:
    """Plain wool from dry- to fully relaxed: length 5.0 / 5.5, width 3.8 / 4.2, 9 % each way."""
    reading = gauge_from_swatches([swatch(18, 24), swatch(18, 24, washed=False)])
    assert any("9 % smaller" in warning for warning in reading.warnings)
    assert "unwashed" in reading.basis
    assert gauge_from_swatches([swatch(18, 24)]).warnings == ()


@pytest.mark.parametrize(("rows", "doubtful"), [(19, True), (20, False), (30, False), (31, True)])
def test_an_unusual_ratio_of_rows_to_stitches_is_doubted(rows: float, doubtful: bool) -> None:
    """Common practice: 1.1 to 1.7 rows for each stitch."""
    warnings = gauge_as_given(Gauge(18, rows)).warnings
    assert bool(warnings) is doubtful


@pytest.mark.parametrize(
    ("swatches", "what"),
    [
        ([], "needs a swatch"),
        ([swatch(18, 24), swatch(16, 22, knit="e-wrap")], "e-wrap and flat"),
    ],
)
def test_swatches_that_give_no_one_gauge_are_refused(swatches: list[Swatch], what: str) -> None:
    with pytest.raises(ValueError, match=what):
        gauge_from_swatches(swatches)


def test_swatches_that_cannot_be_are_refused() -> None:
    with pytest.raises(ValueError, match="above zero"):
        swatch(0, 24)
    with pytest.raises(ValueError, match="no knit stitch"):
        swatch(18, 24, knit="garter")
    with pytest.raises(LengthError):
        swatch(18, 24, over="10")


counts = st.floats(5, 60)
swatches = st.builds(
    Swatch, counts, st.floats(40, 200), counts, st.floats(40, 200), st.just("u-wrap")
)


@given(st.lists(swatches, min_size=1, max_size=8))
def test_the_mean_lies_among_the_counts_and_is_surer_than_one(measures: list[Swatch]) -> None:
    reading = gauge_from_swatches(measures)
    single = [gauge_from_swatches([one]).stitches for one in measures]
    per_10cm = [one.per_10cm for one in single]
    assert min(per_10cm) - 1e-9 <= reading.stitches.per_10cm <= max(per_10cm) + 1e-9
    assert 0 < reading.stitches.standard_error <= reading.stitches.sd
    assert reading.stitches.sd >= min(one.sd for one in single) - 1e-9
    twice = gauge_from_swatches(measures * 2)
    assert twice.stitches.standard_error < reading.stitches.standard_error + 1e-12
    assert twice.knit == "u-wrap"


@given(st.floats(5, 60), st.floats(0.01, 5), st.integers(1, 200), st.integers(0, 50))
def test_more_stitches_are_never_narrower(
    per_10cm: float, error: float, stitches: int, more: int
) -> None:
    count = Count(per_10cm, error, error)
    width, off = count.mm(stitches)
    wider, more_off = count.mm(stitches + more)
    assert width <= wider
    assert off <= more_off


# Guesses


@pytest.mark.parametrize(
    ("spacing_mm", "fewest", "most"),
    [
        (4.7625, 26, 32),
        (6.35, 20, 24),
        (7.9375, 16, 19),
        (9.525, 13, 16),
        (12.7, 10, 12),
        (15.875, 8, 10),
        (19.05, 6.6, 8),
    ],
)
def test_guess_from_spacing_is_the_rules_range(
    spacing_mm: float, fewest: float, most: float
) -> None:
    """A stitch 0.65 to 0.80 of the spacing, from memory; rounded as such tables are."""
    reading = gauge_from_spacing(spacing_mm)
    assert fewest <= reading.stitches.per_10cm <= most
    assert reading.stitches.per_10cm == pytest.approx(100 / (0.72 * spacing_mm))
    assert 100 / (0.65 * spacing_mm) == pytest.approx(most, rel=0.05)
    assert 100 / (0.80 * spacing_mm) == pytest.approx(fewest, rel=0.05)
    low, high = 1 - reading.stitches.share, 1 + reading.stitches.share
    assert low * reading.stitches.per_10cm <= fewest + 0.6
    assert high * reading.stitches.per_10cm >= most - 0.6
    assert reading.source is GaugeSource.SPACING
    assert reading.source.is_estimate
    assert "swatch" in reading.basis


def test_looser_knits_are_guessed_wider() -> None:
    """Flat, then u-wrap, then e-wrap: common practice."""
    flat, u_wrap, e_wrap = (
        gauge_from_spacing(9.525, knit=knit).stitches.per_10cm
        for knit in ("flat", "u-wrap", "e-wrap")
    )
    assert flat > u_wrap > e_wrap


@pytest.mark.parametrize("weight", YARN_WEIGHTS, ids=lambda weight: weight.name)
def test_guess_from_a_category_is_the_middle_of_its_range(weight: YarnWeight) -> None:
    reading = gauge_from_category(weight)
    low, high = (count / 1.016 for count in weight.stitches_per_4in)
    middle = reading.stitches.per_10cm
    assert middle == pytest.approx((low + high) / 2)
    assert middle * (1 - reading.stitches.share) == pytest.approx(low)
    assert middle * (1 + reading.stitches.share) == pytest.approx(high)
    assert reading.source.is_estimate
    assert any("loom" in warning for warning in reading.warnings)


@pytest.mark.parametrize("ratio", [1 / 0.714, 1 / 0.75, 1 / 0.80, 1.29, 1.32, 1 / 0.667])
def test_guessed_rows_hold_every_published_ratio(ratio: float) -> None:
    """5:7, 3:4, 4:5, Munden's 1.29 to 1.32, and 5:7.5."""
    reading = gauge_from_spacing(9.525)
    rows = reading.rows
    assert rows.per_10cm == pytest.approx(reading.stitches.per_10cm * ROWS_PER_STITCH)
    due = reading.stitches.per_10cm * ratio
    assert abs(due - rows.per_10cm) <= rows.share * rows.per_10cm


# Yarn weights

CYC_STITCHES = {
    0: (33, 40), 1: (27, 32), 2: (23, 26), 3: (21, 24), 4: (16, 20), 5: (12, 15), 6: (7, 11),
}  # fmt: skip
# Common practice: metres in 100 g of three retail tables, and a spinning magazine's yd/lb.
RETAIL_METRES = {
    0: [(600, 800)],
    1: [(350, 450), (400, 480), (330, 330)],
    2: [(250, 350), (300, 400), (270, 290)],
    3: [(200, 250), (240, 300), (200, 250)],
    4: [(120, 200), (120, 240), (130, 180)],
    5: [(100, 130), (100, 130), (90, 100)],
    6: [(60, 70)],
}
SPINNERS_YD_PER_LB = {
    1: (1901, 2400),
    2: (1201, 1900),
    3: (901, 1200),
    4: (601, 900),
    5: (401, 600),
}


@pytest.mark.parametrize(("category", "stitches"), CYC_STITCHES.items())
def test_stitches_are_those_of_the_standard_yarn_weight_system(
    category: int, stitches: tuple[int, int]
) -> None:
    """Craft Yarn Council, stockinette in 4 in."""
    assert YARN_WEIGHTS[category].stitches_per_4in == stitches
    assert YARN_WEIGHTS[category].category == category


def test_metres_limits_hold_every_table_that_disagrees() -> None:
    for category, ranges in RETAIL_METRES.items():
        low, high = YARN_WEIGHTS[category].metres_limits
        assert all(low <= least and most <= high for least, most in ranges)
        assert low < YARN_WEIGHTS[category].metres_per_100g < high
    for category, yards in SPINNERS_YD_PER_LB.items():
        low, high = YARN_WEIGHTS[category].metres_limits
        least, most = (yd_per_lb * 0.201585 for yd_per_lb in yards)
        assert low <= least + 1
        assert most <= high + 1


@pytest.mark.parametrize(
    ("stitches_per_4in", "categories"),
    [
        (18, [4]),
        (23.5, [2, 3]),
        (20.5, [3, 4]),
        (26.5, [1, 2]),
        (15.75, [4]),
        (6.8, [6]),
        (50, []),
        (2, []),
    ],
)
def test_every_category_that_fits_a_gauge_is_named(
    stitches_per_4in: float, categories: list[int]
) -> None:
    found = weights_for(stitches_per_4in / 1.016)
    assert [weight.category for weight in found] == categories


# Pegs, girth round the ball in mm, stitches in 4 in that a sock of 90 % needs, category.
RING_FIT = [
    (24, 227, 11.9, {5}),
    (36, 227, 17.9, {4}),
    (40, 252, 17.9, {4}),
    (52, 252, 23.3, {2, 3}),
    (56, 227, 27.8, {1}),
    (56, 252, 25.1, {2}),
]


@pytest.mark.parametrize(("pegs", "ball_mm", "stitches", "categories"), RING_FIT)
def test_categories_for_rings_round_median_feet(
    pegs: int, ball_mm: float, stitches: float, categories: set[int]
) -> None:
    """ANSUR II medians, 10 % ease (common practice)."""
    per_10cm = pegs / (0.9 * ball_mm) * 100
    assert per_10cm * 1.016 == pytest.approx(stitches, abs=0.06)
    assert {weight.category for weight in weights_for(per_10cm)} == categories


@pytest.mark.parametrize("words", ["medium", " Medium", "4"])
def test_a_category_is_found_by_name_or_number(words: str) -> None:
    found = yarn_weight(words)
    assert found is YARN_WEIGHTS[4]


def test_an_unknown_category_is_none() -> None:
    assert yarn_weight("thickish") is None
    assert yarn_weight("super-fine") is YARN_WEIGHTS[1]
