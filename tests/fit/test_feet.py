"""Feet against published statistics: adults, children, and which of several sources is used."""

from __future__ import annotations

from math import asin, erf, hypot, pi, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from charts.feet import Foot, foot_from_measures, last_girth_mm
from charts.foot_classes import read_foot_class, share_of_adults, share_within
from charts.foot_measures import FootMeasures, Measure, Origin, check_measures
from charts.foot_tables import ADULTS, CHILDREN, LINES, PERCENTS, Place
from charts.problems import PatternError
from charts.shoe_sizes import Wearer
from charts.shoe_words import SizeWordsError, read_shoe_size

WOMAN, MAN, CHILD = Wearer.WOMAN, Wearer.MAN, Wearer.CHILD
EVERYBODY = 1e9


def foot(length_mm: float, wearer: Wearer | None = None) -> Foot:
    return foot_from_measures(FootMeasures(length_mm=length_mm), wearer=wearer)


# The tables agree with themselves: a slip in copying would show.


@pytest.mark.parametrize(
    "key", list(LINES), ids=lambda key: f"{key[0].value} {key[1].value} by {key[2].value}"
)
def test_fitted_lines_agree_with_means_and_deviations(key: tuple[Wearer, Place, Place]) -> None:
    """Least squares: through both means, slope r sy/sx, residual deviation sy sqrt(1 - r^2)."""
    sex, place, by = key
    line, y, x = LINES[key], ADULTS[sex, place], ADULTS[sex, by]
    assert line.intercept_mm + line.slope * x.mean_mm == pytest.approx(y.mean_mm, abs=0.05)
    assert line.slope == pytest.approx(line.pearson_r * y.sd_mm / x.sd_mm, rel=0.003)
    assert line.residual_sd_mm == pytest.approx(y.sd_mm * sqrt(1 - line.pearson_r**2), rel=0.003)


@pytest.mark.parametrize("key", list(ADULTS), ids=lambda key: f"{key[0].value} {key[1].value}")
def test_normal_curve_is_near_the_counted_percentiles(key: tuple[Wearer, Place]) -> None:
    sex, place = key
    spread = ADULTS[key]
    assert list(spread.percentiles_mm) == sorted(spread.percentiles_mm)
    for percent, mm in zip(PERCENTS, spread.percentiles_mm, strict=True):
        # Counted to whole millimetres: half of one either way belongs to the percentile.
        shares = [share_within(place, 0, mm + half, wearer=sex) for half in (-0.5, 0.5)]
        assert shares[0] - 0.03 <= percent / 100 <= shares[1] + 0.03


def test_published_shares_of_the_main_places() -> None:
    """ANSUR II counts 90 in 100 between its 5th and 95th percentiles."""
    for low, high, place, sex in (
        (226, 267.8, Place.LENGTH, WOMAN),
        (209, 248, Place.BALL, WOMAN),
        (250, 293, Place.LENGTH, MAN),
        (232, 273, Place.BALL, MAN),
        (317, 372, Place.HEEL_ANKLE, MAN),
    ):
        assert share_within(place, low, high, wearer=sex) == pytest.approx(0.90, abs=0.015)


@pytest.mark.parametrize("sex", [WOMAN, MAN])
def test_share_of_length_and_ball_is_sheppards_quadrant(sex: Wearer) -> None:
    """Both above their means: 1/4 + asin(r) / 2 pi (Sheppard 1899)."""
    length, ball = ADULTS[sex, Place.LENGTH], ADULTS[sex, Place.BALL]
    share = share_of_adults(
        length_mm=(length.mean_mm, EVERYBODY), ball_mm=(ball.mean_mm, EVERYBODY), wearer=sex
    )
    r = LINES[sex, Place.BALL, Place.LENGTH].pearson_r
    assert share == pytest.approx(0.25 + asin(r) / (2 * pi), abs=0.002)


def test_share_with_both_ranges_is_less_than_either_and_everybody_is_one() -> None:
    length, ball = (226.0, 268.0), (209.0, 248.0)
    both = share_of_adults(length_mm=length, ball_mm=ball, wearer=WOMAN)
    either = share_of_adults(length_mm=length, wearer=WOMAN)
    other = share_of_adults(ball_mm=ball, wearer=WOMAN)
    assert either * other < both < min(either, other)
    assert share_of_adults() == 1
    assert share_of_adults(length_mm=(0, 9e9), ball_mm=(0, 9e9)) == pytest.approx(1, abs=1e-6)
    assert share_of_adults(length_mm=(260, 240), ball_mm=ball) == 0
    mixed = share_of_adults(length_mm=length, ball_mm=ball)
    assert mixed == pytest.approx(
        (both + share_of_adults(length_mm=length, ball_mm=ball, wearer=MAN)) / 2
    )


def test_shares_of_children_are_refused() -> None:
    with pytest.raises(ValueError, match="adults"):
        share_of_adults(length_mm=(100, 200), wearer=CHILD)


@given(
    st.sampled_from([WOMAN, MAN, None]),
    st.floats(150, 330),
    st.floats(0, 60),
    st.floats(0, 30),
)
def test_a_wider_range_never_fits_fewer(
    wearer: Wearer | None, low: float, width: float, more: float
) -> None:
    ball = (200.0, 260.0)
    narrow = share_of_adults(length_mm=(low, low + width), ball_mm=ball, wearer=wearer)
    wide = share_of_adults(length_mm=(low - more, low + width + more), ball_mm=ball, wearer=wearer)
    assert -1e-9 <= narrow <= wide + 1e-4 <= 1.001


@pytest.mark.parametrize(("sex", "share"), [(WOMAN, 0.16), (MAN, 0.02)])
def test_share_with_the_larger_ankle_as_derived_from_ansur_2(sex: Wearer, share: float) -> None:
    ball, ankle = ADULTS[sex, Place.BALL], ADULTS[sex, Place.ANKLE]
    r = LINES[sex, Place.ANKLE, Place.BALL].pearson_r
    sd = sqrt(ball.sd_mm**2 + ankle.sd_mm**2 - 2 * r * ball.sd_mm * ankle.sd_mm)
    below = (1 + erf((ankle.mean_mm - ball.mean_mm) / sd / sqrt(2))) / 2
    assert below == pytest.approx(share, abs=0.01)


# Adults


@pytest.mark.parametrize(
    ("sex", "length", "ball", "heel_ankle"),
    [(WOMAN, 246.29, 228.11, 310.32), (MAN, 271.18, 252.02, 343.47)],
)
def test_the_mean_foot_has_the_mean_girths(
    sex: Wearer, length: float, ball: float, heel_ankle: float
) -> None:
    made = foot(length, sex)
    assert made.ball.mm == pytest.approx(ball, abs=0.1)
    assert made.heel_ankle.mm == pytest.approx(heel_ankle, abs=0.1)
    assert made.heel_width.mm == pytest.approx(ADULTS[sex, Place.HEEL_WIDTH].mean_mm, abs=0.1)
    assert made.heel_height.mm == pytest.approx(ADULTS[sex, Place.ANKLE_HEIGHT].mean_mm, abs=0.1)
    assert {m.origin for m in (made.ball, made.ankle, made.heel_ankle)} == {Origin.ESTIMATED}


@pytest.mark.parametrize("wearer", [WOMAN, MAN, None])
@pytest.mark.parametrize("length", [225, 246, 271, 290])
def test_heel_round_over_ball_is_that_of_three_sources(
    wearer: Wearer | None, length: float
) -> None:
    """ANSUR II 1.36, a hobby survey 1.35, a teaching page 1.30 to 1.40."""
    made = foot(length, wearer)
    assert made.heel_ankle.mm / made.ball.mm == pytest.approx(1.36, abs=0.06)


def test_a_measured_ball_predicts_the_ankle_better_than_the_length() -> None:
    made = foot_from_measures(FootMeasures(length_mm=246, ball_mm=240), wearer=WOMAN)
    assert "ball" in made.ankle.basis
    # 45.39 + 0.7468 x 240; two residual deviations of 12.02 and the tape's 5 mm.
    assert made.ankle.mm == pytest.approx(224.6, abs=0.1)
    assert made.ankle.error_mm == pytest.approx(hypot(24.04, 0.7468 * 5), abs=0.01)
    assert "foot length" in made.heel_ankle.basis


def test_girth_from_a_length_is_sure_to_about_eight_percent() -> None:
    made = foot(246, WOMAN)
    assert made.ball.error_mm / made.ball.mm == pytest.approx(0.083, abs=0.003)


def test_an_adult_of_unknown_sex_lies_between_woman_and_man_and_is_less_sure() -> None:
    woman, man, unknown = foot(260, WOMAN), foot(260, MAN), foot(260)
    assert woman.ball.mm < unknown.ball.mm < man.ball.mm
    assert unknown.ball.error_mm > max(woman.ball.error_mm, man.ball.error_mm)


def test_the_sock_is_sized_by_the_larger_of_ball_and_ankle() -> None:
    made = foot_from_measures(FootMeasures(length_mm=246, ball_mm=220, ankle_mm=235))
    assert made.widest_mm == 235
    assert any("ankle is rounder" in note for note in made.notes)
    assert foot(246).widest_mm == foot(246).ball.mm


def test_the_leg_lies_between_ankle_and_calf_by_its_height() -> None:
    low, middle, high, higher = (_leg_mm(height) for height in (60, 152, 330, 500))
    assert low == pytest.approx(215.74, abs=0.1)
    assert high == higher == pytest.approx(373.26, abs=0.1)
    # A teaching page: 6 in up, at most 1.30 times the ball.
    assert low < middle < 1.30 * 228.11
    assert foot(246).leg is None
    assert foot(246).leg_height is None


def _leg_mm(height_mm: float) -> float:
    measures = FootMeasures(length_mm=246.29, leg_height_mm=height_mm)
    leg = foot_from_measures(measures, wearer=WOMAN).leg
    assert leg is not None
    return leg.mm


# Children

# Textbook of 1902: UK size, joint girth in inches, girth over foot length.
GIRTHS_OF_1902 = [
    (-12, 4 + 9 / 16, 1.30),
    (-9, 5 + 1 / 8, 1.14),
    (-6, 5 + 11 / 16, 1.03),
    (-3, 6 + 1 / 4, 0.96),
    (0, 7.0, 0.93),
    (1, 7 + 1 / 4, 0.93),
    (4, 8.0, 0.91),
    (6, 8.5, 0.89),
]


@pytest.mark.parametrize(("size", "girth_in", "ratio"), GIRTHS_OF_1902)
def test_girths_of_the_1902_scale(size: int, girth_in: float, ratio: float) -> None:
    """Sizes counted on the adult scale, child 13 as 0; the foot is the last less 2 1/2 sizes."""
    foot_in = (size + 25 - 2.5) / 3
    assert last_girth_mm(foot_in * 25.4) / 25.4 == pytest.approx(girth_in, abs=0.001)
    assert girth_in / foot_in == pytest.approx(ratio, abs=0.006)


@given(st.floats(60, 180), st.sampled_from([CHILD, None]))
def test_small_feet_are_never_given_the_adults_ratio(length: float, wearer: Wearer | None) -> None:
    """The adults' mean ratio of ball to length is 0.93 (ANSUR II); small feet are stouter."""
    made = foot(length, wearer)
    assert made.ball.mm / length > 0.94
    assert made.ball.mm == pytest.approx(last_girth_mm(length))
    assert "1902" in made.ball.basis
    assert "adults' proportion" in made.heel_ankle.basis


def test_a_childs_girth_is_within_its_error_of_the_only_measured_width() -> None:
    """Int J Foot Ankle 5:058: ages 6-15, 213.5 mm long, 84.0 mm wide; with girth over breadth of
    ANSUR II (228.11 / 92.71 and 252.02 / 101.86) that is 207 mm round."""
    girth = 84.0 * (228.11 / 92.71 + 252.02 / 101.86) / 2
    made = foot(213.5, CHILD)
    assert abs(made.ball.mm - girth) < made.ball.error_mm
    assert abs(made.ball.mm - girth) / girth < 0.06


def test_proportions_borrowed_from_adults_are_less_sure() -> None:
    """Two residual deviations (ANSUR II), a tenth for the proportion, the girth's own error."""
    made = foot_from_measures(FootMeasures(length_mm=160, ball_mm=155), wearer=CHILD)
    share = hypot(2 * 11.05 / 343.47, 0.10, 5 / 155)
    assert made.heel_ankle.mm == pytest.approx(155 * 1.3616, abs=0.3)
    assert made.heel_ankle.error_mm / made.heel_ankle.mm == pytest.approx(share, abs=0.003)


@pytest.mark.parametrize(
    ("who", "age", "mean", "sd"),
    [
        ("boy", 3, 156, 8),
        ("girl", 3, 153, 9),
        ("girl", 17, 234, 13),
        ("boy", 18, 258, 15),
    ],
)
def test_ages_agree_with_a_second_survey(who: str, age: int, mean: float, sd: float) -> None:
    """Cheng et al. 1997, as tabulated in Children 2022;9(5):750: within one of its deviations."""
    assert abs(read_foot_class(f"{who} {age}").length_mm - mean) <= sd


@pytest.mark.parametrize(
    ("who", "oldest", "start", "slope"), [("boy", 12, 125, 9.2), ("girl", 11, 122, 9.3)]
)
def test_ages_follow_the_fitted_growth_line(
    who: str, oldest: int, start: float, slope: float
) -> None:
    """Fitted to the same survey's records, residual deviation 11 to 12 mm; the middle of age a is
    a + 1/2."""
    for age in range(2, oldest + 1):
        due = start + slope * (age + 0.5)
        assert read_foot_class(f"{who} {age}").length_mm == pytest.approx(due, abs=11 / 2)


def test_the_survey_has_its_published_number_of_feet() -> None:
    assert sum(row.boys.people + row.girls.people for row in CHILDREN.values()) <= 3838
    assert set(CHILDREN) == set(range(2, 19))


@pytest.mark.parametrize(
    ("words", "name", "wearer", "mm"),
    [
        ("girl 7", "girl 7", CHILD, 192.5),
        ("Boy 10 years", "boy 10", CHILD, 221.6),
        ("child, aged 4", "child 4", CHILD, 166.5),
        ("boy 17", "boy 17", MAN, 266.4),
        ("newborn", "newborn", CHILD, 77.3),
        ("woman", "woman", WOMAN, 246),
        ("Large man", "large man", MAN, 288),
        ("woman small", "small woman", WOMAN, 230),
    ],
)
def test_classes_as_designers_write_them(words: str, name: str, wearer: Wearer, mm: float) -> None:
    found = read_foot_class(words)
    assert (found.name, found.wearer, found.length_mm) == (name, wearer, mm)
    made = foot_from_measures(FootMeasures(), foot_class=found)
    assert made.length == Measure(mm, Origin.CLASS, found.error_mm, found.source)
    assert made.wearer is wearer


@pytest.mark.parametrize(
    ("words", "what"),
    [
        ("girl 1", "no published foot lengths"),
        ("boy 30", "no published foot lengths"),
        ("girl", "no class"),
        ("giant", "no class"),
        ("large small woman", "no class"),
        ("", "no class"),
    ],
)
def test_words_that_are_no_class_are_refused(words: str, what: str) -> None:
    with pytest.raises(SizeWordsError, match=what):
        read_foot_class(words)


# Which source is used


def test_a_measure_wins_over_a_shoe_size_and_the_record_says_so() -> None:
    made = foot_from_measures(FootMeasures(length_mm=236), shoe=read_shoe_size("EU 38"))
    assert (made.length.mm, made.length.origin) == (236, Origin.MEASURED)
    assert any("not EU 38, which says 240 mm" in note for note in made.notes)
    assert not any("measure again" in note for note in made.notes)


def test_a_shoe_size_that_contradicts_the_measure_asks_to_measure_again() -> None:
    made = foot_from_measures(FootMeasures(length_mm=200), shoe=read_shoe_size("EU 38"))
    assert any("measure again" in note for note in made.notes)


def test_a_shoe_size_wins_over_a_class_and_is_called_a_guess() -> None:
    made = foot_from_measures(
        FootMeasures(ball_mm=220), shoe=read_shoe_size("UK 5"), foot_class=read_foot_class("woman")
    )
    assert made.length.origin is Origin.SHOE
    assert made.length.error_mm == pytest.approx(10.6, abs=0.05)
    assert made.ball == Measure(220, Origin.MEASURED, 5, "as measured")
    assert made.wearer is WOMAN
    assert any("guess from UK 5" in note for note in made.notes)
    assert any("class 'woman' is not used" in note for note in made.notes)


def test_a_shoe_size_tells_the_wearer_and_widens_the_error_of_the_girth() -> None:
    made, sure = (
        foot_from_measures(FootMeasures(), shoe=read_shoe_size("US women 8")),
        foot(241.3, WOMAN),
    )
    assert made.wearer is WOMAN
    assert made.ball.mm == pytest.approx(sure.ball.mm)
    assert made.ball.error_mm > sure.ball.error_mm


def test_a_foot_of_which_nothing_is_known_is_refused() -> None:
    with pytest.raises(PatternError) as caught:
        foot_from_measures(FootMeasures(ball_mm=220), key="sizes.foot")
    assert [problem.key for problem in caught.value.problems] == ["sizes.foot.length"]


@given(
    st.sampled_from([WOMAN, MAN, CHILD, None]),
    st.floats(60, 350),
    st.floats(0, 100),
)
def test_a_longer_foot_is_never_narrower(wearer: Wearer | None, length: float, more: float) -> None:
    small, large = foot(length, wearer), foot(min(length + more, 350), wearer)
    for name in ("ball", "ankle", "heel_ankle"):
        less, greater = getattr(small, name), getattr(large, name)
        assert less.mm <= greater.mm + 1e-9
        assert 0 < less.error_mm < less.mm
    assert 0 < small.heel_width.mm < small.length.mm
    assert 0 < small.heel_height.mm < small.length.mm


@given(st.floats(100, 330), st.sampled_from([WOMAN, MAN, CHILD, None]))
def test_estimated_feet_pass_the_checks_for_slips(length: float, wearer: Wearer | None) -> None:
    made = foot(length, wearer)
    again = FootMeasures(
        length, made.ball.mm, made.ankle.mm, made.heel_ankle.mm,
        heel_width_mm=made.heel_width.mm, heel_height_mm=made.heel_height.mm,
    )  # fmt: skip
    assert check_measures(again) == ()


def test_every_slip_of_tape_or_unit_is_named_at_once() -> None:
    measures = FootMeasures(
        length_mm=240, ball_mm=22, heel_ankle_mm=150, heel_width_mm=0.65, leg_height_mm=2000
    )
    with pytest.raises(PatternError) as caught:
        foot_from_measures(measures)
    found = {problem.key: problem for problem in caught.value.problems}
    assert set(found) == {"foot.ball", "foot.heel_width", "foot.leg_height"} | {"foot.heel_ankle"}
    assert found["foot.ball"].suggestion == '"22 cm"'
    assert found["foot.leg_height"].suggestion == '"200 mm"'


@pytest.mark.parametrize(
    ("length", "suggestion"), [(24, '"24 cm"'), (9.5, '"9.5 cm" or "9.5 in"'), (2400, '"240 mm"')]
)
def test_a_length_in_the_wrong_unit_is_guessed(length: float, suggestion: str) -> None:
    (problem,) = check_measures(FootMeasures(length_mm=length, ball_mm=220))
    assert (problem.key, problem.suggestion) == ("foot.length", suggestion)


@pytest.mark.parametrize("mm", [0, -5, float("nan")])
def test_measures_must_be_above_zero(mm: float) -> None:
    (problem,) = check_measures(FootMeasures(length_mm=mm))
    assert problem.allowed == "above zero"
