"""Which loom for which foot: hand-worked advice, and that what is named does work."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from charts.adviser import (
    LoomGauge,
    Nearest,
    Wishes,
    best_of,
    feet_for,
    gauge_for,
    gauge_needed,
    peg_choices,
    pegs_by_rule,
    try_loom,
    with_counts,
)
from charts.body import foot_rows
from charts.ease import ROUND_LIMITS, Ease
from charts.feet import Foot
from charts.fit import FitClass, check_fit
from charts.gauge import GaugeReading, GaugeSource, gauge_from_spacing
from charts.loom import Loom
from charts.plan import heel_pegs_rule, make_plan
from charts.shoe_sizes import Wearer
from charts.spec import Cuff, Leftover, SockSpec

from .strategies import (
    MEDIAN_MAN,
    MEDIAN_WOMAN,
    SPACINGS,
    feet,
    foot,
    gauge,
    gauges,
    looms,
    ring,
)

wishes_of_any = st.builds(
    Wishes,
    ease=st.builds(Ease, st.floats(*ROUND_LIMITS), st.floats(0, 0.05)),
    ribbed_share=st.floats(0, 1),
    repeat=st.sampled_from([1, 2, 4]),
)


# Hand-worked.


@pytest.mark.parametrize(
    ("pegs", "round_mm", "stitches_per_inch"),
    [
        (24, 227, 2.98),
        (36, 227, 4.48),
        (40, 227, 4.97),
        (52, 227, 6.47),
        (56, 227, 6.96),
        (24, 252, 2.69),
        (36, 252, 4.03),
        (40, 252, 4.48),
        (52, 252, 5.82),
        (56, 252, 6.27),
        (40, 209, 5.40),
        (56, 273, 5.79),
    ],
)
def test_gauge_that_a_ring_needs(pegs: int, round_mm: float, stitches_per_inch: float) -> None:
    """Ball circumferences are percentiles 5, 50 and 95 of ANSUR II; 10 % of ease."""
    wearer = foot(250, ball_mm=round_mm, ankle_mm=0.9 * round_mm, heel_ankle_mm=1.36 * round_mm)
    needed = gauge_needed(wearer, pegs)
    assert needed.best * 0.254 == pytest.approx(stitches_per_inch, abs=0.006)
    assert needed.fewest < needed.best < needed.most


def test_forty_pegs_for_a_median_woman_want_medium_yarn() -> None:
    """4.97 stitches an inch are 19.9 in 4 in: "medium" of the yarn trade's council, 16 to 20."""
    needed = gauge_needed(MEDIAN_WOMAN, 40)
    assert [weight.name for weight in needed.weights] == ["medium"]
    # A stitch of 5.1 mm is 0.54 of 3/8 in, as tight flat knit gives it; of 1/2 in it is 0.40.
    assert needed.suits(9.525)
    assert not needed.suits(12.7)
    # 44 pegs at 1/4 in: 4.64 of 6.35 mm are 0.73.
    assert gauge_needed(MEDIAN_WOMAN, 44).suits(6.35)


def test_peg_counts_for_a_median_man() -> None:
    """At 15 in 10 cm: 252 mm less 20 % is 30.2 pegs, less nothing 37.8; aimed at, 34.0."""
    choices = peg_choices(MEDIAN_MAN, ring(40), gauge(15, 20))
    assert [choice.loom.pegs for choice in choices] == [31, 32, 33, 34, 35, 36, 37]
    # 32 pegs are 213.3 mm, 15.3 % smaller; 35 are 233.3 mm, 7.4 %; 36 are 240 mm, 4.8 %.
    classes = [choice.fit.fit_class for choice in choices]
    assert classes == [FitClass.SNUG] * 2 + [FitClass.FITS] * 3 + [FitClass.LOOSE] * 2
    best = best_of(choices)
    assert best is not None
    assert best.loom.pegs == 34
    fours = peg_choices(MEDIAN_MAN, ring(40), gauge(15, 20), Wishes(repeat=4))
    assert [choice.loom.pegs for choice in fours] == [32, 36]


def test_a_loom_that_is_too_large_names_the_nearest() -> None:
    found = try_loom(MEDIAN_MAN, ring(40), gauge(15, 20))
    assert found.fit.fit_class is FitClass.TOO_LOOSE
    assert found.nearest is not None
    assert found.nearest.words == "a loom of 37 pegs"
    assert found.sentence.startswith("40 pegs, 3/8 in apart: too loose: 26.7 cm round (± 0.9 cm)")
    assert found.sentence.endswith("; nearest that works: a loom of 37 pegs")
    fours = try_loom(MEDIAN_MAN, ring(40), gauge(15, 20), Wishes(repeat=4))
    assert fours.nearest is not None
    assert fours.nearest.loom.pegs == 36


def test_a_loom_that_works_says_how_many_foot_rows() -> None:
    found = try_loom(MEDIAN_MAN, ring(36), gauge(15, 20))
    assert found.works
    assert found.nearest is None
    # 264.2 mm are 52.8 rows; 36 pegs: 22 heel, 8 centre, 14 turn rows, 12.5 of toe: 26.3.
    assert found.sentence.endswith("; 26 foot rows")


def test_a_babys_foot_on_a_large_gauge_ring_is_sent_to_a_finer_one() -> None:
    baby = foot(105, Wearer.CHILD)
    found = try_loom(baby, ring(24, "5/8 in"), gauge_from_spacing(15.875))
    assert not found.works
    assert found.nearest is not None
    assert found.nearest.loom.spacing_mm < 15.875
    assert "apart" in found.nearest.words


def test_a_gauge_holds_for_the_spacing_it_was_counted_on() -> None:
    counted = LoomGauge(gauge(15, 20), 9.525)
    assert gauge_for(ring(36), counted) == counted.reading
    assert gauge_for(Loom(36, 9.5, "9.5 mm"), counted) == counted.reading
    assert gauge_for(ring(56, "1/4 in"), counted).source is GaugeSource.SPACING
    assert gauge_for(ring(56, "1/4 in"), None).source is GaugeSource.SPACING


def test_a_guessed_gauge_is_told_as_a_guess() -> None:
    found = try_loom(MEDIAN_WOMAN, ring(36), gauge_from_spacing(9.525))
    assert "guessed" in found.sentence


def test_feet_that_a_loom_fits() -> None:
    """36 pegs at 16 in 10 cm: 225 mm round, for feet of 225 mm to 281.25 mm (20 % more)."""
    found = feet_for(ring(36), gauge(16, 21))
    assert list(found.round_mm) == pytest.approx([225, 281.25])
    # 14 turn rows, 12.5 of toe and 3.5 of foot at 4.76 mm, less 2.5 %: 146.5 mm.
    assert found.shortest_mm == pytest.approx(146.52, abs=0.01)
    # By ANSUR II: half of women have 227 mm or more, 95 men in 100 232 mm or more.
    assert 0.55 < found.share_of_women < 0.65
    assert 0.95 < found.share_of_men < 1
    assert found.usual_length_mm is not None
    low, high = found.usual_length_mm
    assert low < 246 < high


def test_heel_and_toe_are_those_of_the_plan() -> None:
    for loom in (ring(40), ring(25, "5/8 in"), ring(52, "1/4 in"), ring(16)):
        plan = make_plan(SockSpec("Sock", loom, cuff=Cuff(leftover=Leftover.KNIT)))
        pegs = pegs_by_rule(loom)
        assert (pegs.heel_pegs, pegs.centre_pegs, pegs.toe_side, pegs.turn_rows) == (
            plan.heel_pegs,
            plan.centre_pegs,
            plan.toe_side,
            plan.turn_rows,
        )


# Properties.


def works(body: Foot, nearest: Nearest, wishes: Wishes) -> bool:
    """Tried anew, with none of the adviser's own search."""
    fit = check_fit(
        body,
        nearest.loom.pegs,
        nearest.gauge,
        wishes.ease,
        ribbed_share=wishes.ribbed_share,
    )
    rows = foot_rows(body, nearest.gauge, wishes.ease, nearest.sock_pegs)
    return fit.works and rows.problem is None and rows.rows >= 4


@settings(max_examples=200, deadline=None)
@given(feet(), looms, gauges, wishes_of_any)
def test_every_refused_combination_names_a_nearest_that_works(
    body: Foot, loom: Loom, reading: GaugeReading, wishes: Wishes
) -> None:
    found = try_loom(body, loom, reading, wishes)
    assert (found.nearest is None) == found.works
    if found.nearest is not None:
        assert works(body, found.nearest, wishes)
        assert found.nearest.words
        assert found.sentence.endswith(found.nearest.words)
        pegs = found.nearest.sock_pegs
        assert pegs.turn_rows >= 2
        assert pegs.toe_side >= 1
        assert pegs.heel_pegs == heel_pegs_rule(pegs.pegs, found.nearest.loom.spacing_mm)[0]


def test_a_short_round_foot_gets_a_shorter_heel_and_toe_with_its_gauge() -> None:
    """16 pegs round 135 mm: 11.85 stitches and 1.12 times as many rows in 10 cm.  97.5 mm are 12.9
    rows; the rules take 6 for the turn and 4.5 for the toe, and 3.5 make 4: one step short."""
    stout = foot(100, ball_mm=150, ankle_mm=140, heel_ankle_mm=200)
    found = try_loom(stout, ring(16, "1/2 in"), gauge(6, 6.72))
    assert found.nearest is not None
    assert found.nearest.loom == ring(16, "1/2 in")
    assert found.nearest.words == (
        "a gauge of 11.9 stitches and 13.3 rows in 10 cm with centre = 4 under "
        "[heel] and side = 1 under [toe]"
    )
    assert works(stout, found.nearest, Wishes())


def test_rows_enough_for_the_shortest_heel_and_toe_are_asked_for() -> None:
    """A foot as round as no foot is: 264 mm of sock round 100 mm of length."""
    wishes = Wishes(ease=Ease(-0.10))
    swollen = foot(100, ball_mm=160, ankle_mm=240, heel_ankle_mm=288)
    found = try_loom(swollen, Loom(16, 22.2, "7/8 in"), gauge(4, 4.4), wishes)
    assert found.nearest is not None
    assert found.nearest.gauge.rows.per_10cm == pytest.approx(8 / 0.975)
    assert works(swollen, found.nearest, wishes)


@settings(max_examples=50, deadline=None)
@given(feet(), looms, gauges, wishes_of_any)
def test_peg_choices_are_all_that_work_and_no_other(
    body: Foot, loom: Loom, reading: GaugeReading, wishes: Wishes
) -> None:
    named = {choice.loom.pegs for choice in peg_choices(body, loom, reading, wishes)}
    for pegs in range(16, 121):
        one = replace(loom, pegs=pegs)
        nearest = Nearest(one, reading, pegs_by_rule(one), "")
        fits = works(body, nearest, wishes) and pegs % wishes.repeat == 0
        assert (pegs in named) == fits


@given(feet(), st.integers(16, 120), wishes_of_any)
def test_gauge_needed_gives_the_round_aimed_at(body: Foot, pegs: int, wishes: Wishes) -> None:
    needed = gauge_needed(body, pegs, wishes)
    fit = check_fit(
        body, pegs, gauge(needed.best, 20), wishes.ease, ribbed_share=wishes.ribbed_share
    )
    assert fit.fit_class is FitClass.FITS
    assert fit.difference_mm == pytest.approx(0, abs=1e-6)


@settings(max_examples=15, deadline=None)
@given(looms, gauges, st.integers(1, 20))
def test_more_pegs_fit_larger_feet(loom: Loom, reading: GaugeReading, more: int) -> None:
    larger = replace(loom, pegs=min(120, loom.pegs + more))
    one, other = (feet_for(ring_, reading) for ring_ in (loom, larger))
    assert one.round_mm[0] <= other.round_mm[0]
    assert one.round_mm[1] <= other.round_mm[1]
    assert one.shortest_mm <= other.shortest_mm


@given(gauges, st.floats(5, 40), st.floats(5, 60))
def test_other_counts_keep_the_spread(reading: GaugeReading, stitches: float, rows: float) -> None:
    other = with_counts(reading, stitches, rows)
    assert other.stitches.per_10cm == stitches
    assert other.rows.per_10cm == rows
    assert other.stitches.share == pytest.approx(reading.stitches.share)
    assert other.rows.share == pytest.approx(reading.rows.share)


@settings(max_examples=15, deadline=None)
@given(looms, gauges)
def test_a_foot_of_a_usual_length_within_the_range_works(loom: Loom, reading: GaugeReading) -> None:
    found = feet_for(loom, reading)
    if found.usual_length_mm is None:
        return
    for length_mm in found.usual_length_mm:
        assert length_mm >= found.shortest_mm - 1
        assert try_loom(foot(length_mm), loom, reading).works


def test_trade_spacings_are_tried_for_every_other() -> None:
    for spacing in SPACINGS:
        found = try_loom(foot(110, Wearer.CHILD), ring(120, spacing), gauge(40, 52))
        assert found.works or found.nearest is not None
