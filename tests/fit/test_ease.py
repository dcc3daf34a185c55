"""Ease: published shares, taken off once."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from charts.ease import LENGTH_LIMITS, ROUND_LIMITS, Ease, aim_for, measure_words
from charts.feet import Foot
from charts.shoe_sizes import Wearer
from charts.spec import Units

from .strategies import MEDIAN_MAN, MEDIAN_WOMAN, feet, foot

round_shares = st.floats(*ROUND_LIMITS)
length_shares = st.floats(*LENGTH_LIMITS)


def test_girth_of_nine_inches_less_ten_percent() -> None:
    """A worked example of the trade: 9 in, 10 %, 7.5 stitches an inch make 60.75 stitches."""
    nine = foot(250, ball_mm=9 * 25.4, ankle_mm=200)
    aim = aim_for(nine, Ease())
    assert aim.round.mm / 25.4 * 7.5 == pytest.approx(60.75)


def test_usual_ease_lies_between_the_tables_of_a_book() -> None:
    """Custom sock tables: 5 in for a foot of 5.5 in, 10.5 in for 12 in: 9.1 and 12.5 %."""
    assert 1 - 5 / 5.5 < Ease().round_share < 1 - 10.5 / 12
    # Common practice: the sock's foot is up to 1/2 in shorter than an adult foot.
    assert 0 < 246 * Ease().length_share < 12.7


def test_the_larger_of_ball_and_ankle_decides() -> None:
    """ANSUR II: about 16 women in 100 have a larger ankle than ball."""
    thick = foot(246, ball_mm=220, ankle_mm=240)
    assert aim_for(thick, Ease()).round.mm == pytest.approx(216)
    assert aim_for(thick, Ease()).round.reason.startswith("ankle 24.0 cm")
    assert aim_for(MEDIAN_WOMAN, Ease()).round.mm == pytest.approx(0.9 * 227)
    assert aim_for(MEDIAN_WOMAN, Ease()).round.reason.startswith("ball 22.7 cm; 10 % less")


def test_a_guessed_foot_says_so_and_carries_its_error() -> None:
    aim = aim_for(foot(246, Wearer.WOMAN), Ease())
    assert "estimated" in aim.round.reason
    # A woman's girth from her length: +/- 18.7 mm for 95 in 100, ANSUR II.
    assert 0.9 * 18.7 < aim.round.error_mm < 18.7
    assert aim.length.error_mm < aim.round.error_mm


@given(feet(), round_shares, length_shares)
def test_ease_is_taken_once(body: Foot, around: float, along: float) -> None:
    aim = aim_for(body, Ease(around, along))
    assert aim.round.mm == pytest.approx(body.widest_mm * (1 - around))
    assert aim.length.mm == pytest.approx(body.length.mm * (1 - along))
    assert aim.heel_width.mm == pytest.approx(body.heel_width.mm * (1 - around))


@given(feet(), round_shares, round_shares)
def test_more_ease_makes_a_smaller_sock(body: Foot, one: float, other: float) -> None:
    less, more = sorted((one, other))
    assert aim_for(body, Ease(more)).round.mm <= aim_for(body, Ease(less)).round.mm


@pytest.mark.parametrize(("around", "along"), [(0.3, 0.0), (-0.2, 0.0), (0.1, 0.2), (0.1, -0.06)])
def test_ease_that_no_sock_has_is_refused(around: float, along: float) -> None:
    with pytest.raises(ValueError, match="an ease of"):
        Ease(around, along)


def test_words_say_whether_the_ease_is_the_usual_one() -> None:
    assert Ease().round_words == "10 % less, usual for plain knit"
    assert Ease(0.05).round_words == "5 % less, as given"
    assert Ease(-0.05).round_words == "5 % more, as given"
    assert Ease(0).round_words == "no ease, as given"
    inches = aim_for(MEDIAN_MAN, Ease(), units=Units.IN).round.reason
    assert inches == "ball 9.9 in; 10 % less, usual for plain knit"


@given(st.floats(1, 700))
def test_measures_in_words_are_right_to_their_last_digit(length_mm: float) -> None:
    centimetres, unit = measure_words(length_mm, Units.CM).split()
    assert unit == "cm"
    assert float(centimetres) * 10 == pytest.approx(length_mm, abs=0.501)
    inches, unit = measure_words(length_mm, Units.IN).split()
    assert unit == "in"
    assert float(inches) * 25.4 == pytest.approx(length_mm, abs=1.28)
