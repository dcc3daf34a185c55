"""Shoe sizes against published rows; where sources differ, each of them as a bound."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from charts.foot_tables import ADULTS, LINES, Place
from charts.shoe_sizes import (
    BARLEYCORN_MM,
    GIRTH_ERROR,
    PARIS_POINT_MM,
    SCALES,
    ShoeSize,
    SizeSystem,
    Wearer,
    nearest_shoe,
    shoes_for,
    size_on_scale,
)
from charts.shoe_words import SizeWordsError, read_shoe_size

EU, UK, UK_CHILD = SizeSystem.EU, SizeSystem.UK, SizeSystem.UK_CHILD
US_MEN, US_WOMEN, US_CHILD = SizeSystem.US_MEN, SizeSystem.US_WOMEN, SizeSystem.US_CHILD
MONDOPOINT = SizeSystem.MONDOPOINT

# Common practice: sellers' charts with the foot length in inches.
MENS_CHART = {
    5: 9.0, 6: 9.33, 7: 9.67, 8: 10.0, 9: 10.33, 10: 10.67, 11: 11.0, 12: 11.33, 13: 11.66,
    14: 12.0, 15: 12.33,
}  # fmt: skip
WOMENS_CHART = {5: 8.51, 6: 8.84, 7: 9.17, 8: 9.51, 9: 9.84, 10: 10.17, 11: 10.5}
CHILDS_CHART_CM = {1: 9.0, 3: 10.8, 5: 12.5, 8: 15.0, 10: 16.7, 13: 19.2, 14: 20.1, 18: 23.5}
CHILDS_CHART_RUNNING_ON = {5: 4.66, 7: 5.33, 9: 5.99, 11: 6.65, 13: 7.32, 15: 7.98}
# A published programming textbook: foot = 0.333 size + 7.31 in.
TEXTBOOK_LINE = {3: 8.309, 9: 10.307, 18: 13.304}
# A hosiery sales handbook of the mid 20th century: UK shoe size, hose size in inches.
HOSE_SIZES = {
    1: 8, 1.5: 8, 2: 8, 2.5: 8.5, 3: 8.5, 3.5: 8.5, 4: 9, 4.5: 9, 5: 9.5, 5.5: 9.5, 6: 9.5,
    6.5: 10, 7: 10, 7.5: 10, 8: 10.5, 8.5: 10.5,
}  # fmt: skip


@pytest.mark.parametrize(
    ("system", "chart", "inch"),
    [
        (US_MEN, MENS_CHART, 25.4),
        (US_WOMEN, WOMENS_CHART, 25.4),
        (US_CHILD, CHILDS_CHART_CM, 10.0),
        (US_MEN, TEXTBOOK_LINE, 25.4),
    ],
    ids=["men's chart", "women's chart", "child's chart", "textbook line"],
)
def test_default_scales_give_the_printed_size(
    system: SizeSystem, chart: dict[int, float], inch: float
) -> None:
    for size, length in chart.items():
        assert size_on_scale(system, length * inch) == pytest.approx(size, abs=0.1)


@pytest.mark.parametrize(
    ("system", "size", "last_in"),
    [
        (UK_CHILD, 0, 4.0),
        (UK_CHILD, 1, 4 + 1 / 3),
        (UK_CHILD, 10, 7 + 1 / 3),
        (UK, 1, 8 + 2 / 3),
    ],
)
def test_last_lengths_are_the_scale_points_of_the_textbook_of_1902(
    system: SizeSystem, size: float, last_in: float
) -> None:
    """The Manufacture of Boots and Shoes, London 1902."""
    scale = SCALES[system]
    last_mm = ShoeSize(system, size).foot_length_mm + scale.room_mm
    assert last_mm == pytest.approx(last_in * 25.4)


# Worked by hand from 1.5 (cm + 4/3), 3F - 23, 3F - 22, 3F - 20.5, 3F - 10, 3F - 9 2/3.
WORKED = [
    (120, 20.0, -8.83, -7.83, -6.33, 4.17, 4.51),
    (150, 24.5, -5.28, -4.28, -2.78, 7.72, 8.05),
    (195, 31.25, 0.03, 1.03, 2.53, 13.03, 13.36),
    (230, 36.5, 4.17, 5.17, 6.67, 17.17, 17.5),
    (245, 38.75, 5.94, 6.94, 8.44, 18.94, 19.27),
    (270, 42.5, 8.89, 9.89, 11.39, 21.89, 22.22),
    (310, 48.5, 13.61, 14.61, 16.11, 26.61, 26.95),
]


@pytest.mark.parametrize("row", WORKED, ids=lambda row: f"{row[0]} mm")
def test_worked_rows_of_the_formulas(row: tuple[float, ...]) -> None:
    foot_mm, *sizes = row
    for system, size in zip((EU, UK, US_MEN, US_WOMEN, UK_CHILD, US_CHILD), sizes, strict=True):
        assert size_on_scale(system, foot_mm) == pytest.approx(size, abs=0.006)
    assert size_on_scale(MONDOPOINT, foot_mm) == foot_mm  # ISO 9407


def test_hose_sizes_follow_the_uk_scale_in_14_of_16_rows() -> None:
    agree = [
        hose == round(ShoeSize(UK, size).foot_length_mm / 25.4 * 2 + 1e-9) / 2
        for size, hose in HOSE_SIZES.items()
    ]
    assert (sum(agree), len(agree)) == (14, 16)


def test_child_scale_runs_on_into_the_adult_scale() -> None:
    child_14 = ShoeSize(UK_CHILD, 14).foot_length_mm
    assert ShoeSize(UK, 1).foot_length_mm == pytest.approx(child_14)


# Bounds: every source that disagrees lies within the stated error.


@pytest.mark.parametrize("room_mm", [2 * PARIS_POINT_MM, 2.5 * PARIS_POINT_MM, 15, 20])
def test_eu_rooms_of_all_sources_lie_within_the_limits(room_mm: float) -> None:
    for size in (20, 30, 38, 46):
        shortest, longest = ShoeSize(EU, size).length_limits_mm
        assert shortest <= size * PARIS_POINT_MM - room_mm <= longest


@pytest.mark.parametrize("room_mm", [15, 2 * BARLEYCORN_MM, 2.5 * BARLEYCORN_MM, 3 * BARLEYCORN_MM])
@pytest.mark.parametrize("system", [UK, UK_CHILD, US_MEN, US_WOMEN, US_CHILD])
def test_english_rooms_of_all_sources_lie_within_the_limits(
    system: SizeSystem, room_mm: float
) -> None:
    shortest, longest = ShoeSize(system, 8).length_limits_mm
    for zero in (SCALES[system].zero, SCALES[system].other_zero):
        assert shortest <= (8 + zero) * BARLEYCORN_MM - room_mm <= longest


def test_the_other_childs_chart_lies_within_the_limits() -> None:
    for size, length_in in CHILDS_CHART_RUNNING_ON.items():
        shortest, longest = ShoeSize(US_CHILD, size).length_limits_mm
        assert shortest <= length_in * 25.4 <= longest
        assert (length_in * 3 - 9) == pytest.approx(size, abs=0.1)


def test_womens_sizes_one_or_one_and_a_half_above_mens_are_both_within_the_limits() -> None:
    for size in (5, 8, 11):
        shortest, longest = ShoeSize(US_WOMEN, size).length_limits_mm
        for above in (1, 1.5):
            assert shortest <= ShoeSize(US_MEN, size - above).foot_length_mm <= longest


def test_the_chart_that_prints_uk_half_below_us_lies_within_the_limits() -> None:
    for size, length_in in {4.5: 9.0, 5.5: 9.33, 7.5: 10.0, 9.5: 10.67}.items():
        shortest, longest = ShoeSize(UK, size).length_limits_mm
        assert shortest <= length_in * 25.4 <= longest


def test_tables_that_take_the_foot_for_the_last_are_left_out_on_purpose() -> None:
    """A newspaper table of 2006: EU 41 for a foot of 10.748 in, UK boys 7 1/2 for 6.5 in."""
    assert ShoeSize(EU, 41).length_limits_mm[1] < 10.748 * 25.4
    assert ShoeSize(UK_CHILD, 7.5).length_limits_mm[1] < 6.5 * 25.4


@pytest.mark.parametrize(
    ("shoe", "error_mm"),
    [
        (ShoeSize(EU, 38), 10.0),
        (ShoeSize(UK, 5), 10.6),
        (ShoeSize(US_MEN, 9.5), 10.6),
        (ShoeSize(US_WOMEN, 8), 10.6),
        (ShoeSize(US_CHILD, 10), 16.2),
        (ShoeSize(MONDOPOINT, 240), 3.75),
    ],
)
def test_length_error_is_the_farthest_source_and_half_a_step(
    shoe: ShoeSize, error_mm: float
) -> None:
    assert shoe.length_error_mm == pytest.approx(error_mm, abs=0.05)


def test_girth_error_is_two_residual_deviations_of_ansur_2() -> None:
    for sex in (Wearer.WOMAN, Wearer.MAN):
        line = LINES[sex, Place.BALL, Place.LENGTH]
        share = 2 * line.residual_sd_mm / ADULTS[sex, Place.BALL].mean_mm
        assert share == pytest.approx(GIRTH_ERROR, abs=0.005)


# Words


@pytest.mark.parametrize(
    ("words", "system", "size", "wearer"),
    [
        ("EU 38", EU, 38, None),
        ("38 eu", EU, 38, None),
        ("EU 38 2/3", EU, 38 + 2 / 3, None),
        ("EU 38.67", EU, 38 + 2 / 3, None),
        ("UK 5", UK, 5, None),
        ("Women's UK 5½", UK, 5.5, Wearer.WOMAN),
        ("US men 9.5", US_MEN, 9.5, Wearer.MAN),
        ("US men's size 9 1/2", US_MEN, 9.5, Wearer.MAN),
        ("US women 8", US_WOMEN, 8, Wearer.WOMAN),
        ("child UK 10", UK_CHILD, 10, Wearer.CHILD),
        ("UK children’s 10", UK_CHILD, 10, Wearer.CHILD),
        ("child US 10", US_CHILD, 10, Wearer.CHILD),
        ("US youth 2", US_CHILD, 15, Wearer.CHILD),
        ("UK junior 1", UK, 1, Wearer.CHILD),
        ("EU 27 (child)", EU, 27, Wearer.CHILD),
        ("mondopoint 240", MONDOPOINT, 240, None),
        ("Mondopoint 240 mm", MONDOPOINT, 240, None),
    ],
)
def test_sizes_as_designers_write_them(
    words: str, system: SizeSystem, size: float, wearer: Wearer | None
) -> None:
    shoe = read_shoe_size(words)
    assert (shoe.system, shoe.wearer) == (system, wearer)
    assert shoe.size == pytest.approx(size)


@pytest.mark.parametrize(
    ("words", "what", "suggestion"),
    [
        ("38", "needs its system", '"EU 38"'),
        ("US 9", "men, women, child or youth", '"US men 9" or "US women 9"'),
        ("child 10", "needs its system", '"child UK 10" or "child US 10"'),
        ("child UK 14", "no child UK 14", '"UK 1"'),
        ("child US 15", "no child US 15", '"US youth 2"'),
        ("mondopoint 24", "no mondopoint 24", '"mondopoint 240"'),
        ("EU 38,5", "'38,5' is no number", "38.5"),
        ("UK 5.3", "is not sold", "UK 5.5"),
        ("EUR 38", "'eur' is no word", "EU 38"),
        ("EU 380", "no EU 380", ""),
        ("UK -5", "'-5' is no number", ""),
        ("EU 38 39", "needs one number", ""),
        ("US men women 9", "'women' is no word", ""),
        ("", "needs one number", ""),
    ],
)
def test_words_that_are_no_size_say_what_to_write(words: str, what: str, suggestion: str) -> None:
    with pytest.raises(SizeWordsError) as caught:
        read_shoe_size(words)
    assert what in caught.value.what
    assert caught.value.suggestion.startswith(suggestion)
    assert caught.value.allowed


@given(st.text(alphabet="EUKSeuks womencyth'0123456789.,/½-", max_size=24))
def test_any_text_is_a_size_or_a_named_error(text: str) -> None:
    try:
        shoe = read_shoe_size(text)
    except SizeWordsError:
        return
    assert 40 < shoe.foot_length_mm < 360


def _sold(system: SizeSystem) -> list[float]:
    scale = SCALES[system]
    steps = int((scale.most - scale.least) / scale.step)
    return [scale.least + number * scale.step for number in range(steps + 1)]


@pytest.mark.parametrize("system", list(SizeSystem))
def test_every_size_sold_is_read_back_from_its_own_words(system: SizeSystem) -> None:
    for size in _sold(system):
        again = read_shoe_size(ShoeSize(system, size).text)
        assert (again.system, again.size) == (system, size)


@pytest.mark.parametrize("system", list(SizeSystem))
def test_every_size_sold_is_the_nearest_to_its_own_foot(system: SizeSystem) -> None:
    for size in _sold(system):
        shoe = nearest_shoe(system, ShoeSize(system, size).foot_length_mm)
        assert shoe is not None
        assert (shoe.system, shoe.size) == (system, size)


# Feet to shoes


@given(
    st.sampled_from(SizeSystem),
    st.floats(60, 350),
    st.floats(0, 100),
)
def test_a_longer_foot_never_takes_a_smaller_shoe(
    system: SizeSystem, foot_mm: float, more_mm: float
) -> None:
    assert size_on_scale(system, foot_mm) <= size_on_scale(system, foot_mm + more_mm)
    shoe, larger = nearest_shoe(system, foot_mm), nearest_shoe(system, foot_mm + more_mm)
    if shoe is not None and larger is not None:
        assert _counted_on(shoe) <= _counted_on(larger)


def _counted_on(shoe: ShoeSize) -> float:
    """UK adult sizes for a child, counted on from the child scale's 13."""
    return shoe.size + (13 if shoe.system is UK and shoe.wearer is Wearer.CHILD else 0)


@given(st.sampled_from(SizeSystem), st.floats(75, 330))
def test_the_nearest_shoe_is_within_half_a_step(system: SizeSystem, foot_mm: float) -> None:
    shoe = nearest_shoe(system, foot_mm)
    if shoe is not None:
        scale = SCALES[shoe.system]
        assert abs(shoe.foot_length_mm - foot_mm) <= scale.step * scale.point_mm / 2 + 1e-6


def test_a_foot_too_small_for_a_system_has_no_size_in_it() -> None:
    assert nearest_shoe(US_MEN, 150) is None
    assert [shoe.text for shoe in shoes_for(150, Wearer.MAN)] == ["EU 25", "mondopoint 150"]


def test_a_childs_long_foot_goes_on_to_adult_and_youth_sizes() -> None:
    texts = [shoe.text for shoe in shoes_for(212, Wearer.CHILD)]
    assert texts == ["EU 34", "UK 2", "US youth 2.5", "mondopoint 210"]
