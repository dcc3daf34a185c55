"""Rows, turn and fit from the wearer: by hand, what wins, what is refused, and for anybody."""

from __future__ import annotations

import re
import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from charts.adviser import Wishes, try_loom
from charts.finished import finished_measures
from charts.fit import FitClass
from charts.fitting import FittedSpec, fit_spec, foot_of
from charts.gauge_of import gauge_of
from charts.pattern_file import read_pattern
from charts.plan import Plan, PlanLine, make_plan, plan_counts
from charts.problems import PatternError, Problem
from charts.sock import make_rows
from charts.spec import RowCount, SockSpec
from charts.usual import USUAL_REASONS
from charts.verify import verify

RING_32 = 'title = "A"\n[loom]\npegs = 32\nspacing = "3/8 in"\n'
GAUGE = "[gauge]\nstitches = 15\nrows = 20\n"
WEARER = '[wearer]\nlength = "24 cm"\nball = "23 cm"\nleg_height = "20 cm"\n'
FITTED = RING_32 + GAUGE + WEARER
MOTIF = '[motif.m]\nrows = """\n' + "kk\n" * 6 + '"""\n'


def fitted(text: str) -> FittedSpec:
    return fit_spec(read_pattern(text))


def plan(text: str) -> Plan:
    return make_plan(read_pattern(text))


def line(found: Plan, name: str) -> PlanLine:
    return next(each for each in found.lines if each.name == name)


def problems(text: str) -> tuple[Problem, ...]:
    with pytest.raises(PatternError) as caught:
        plan(text)
    return caught.value.problems


def rows(spec: SockSpec) -> tuple[int, int, int]:
    return spec.cuff.rows, spec.leg.rows, spec.foot.rows


# By hand: 32 pegs at 3/8 in have a heel of 20, a turn of 6, so 14 rows of flap and of turn; toe 16,
# side 5, so 10.5 rows to the tip.  At 20 rows in 10 cm a row is 5 mm.


def test_rows_of_a_sock_worked_by_hand() -> None:
    found = fitted(FITTED)
    # 240 mm less 2.5 % = 234 mm = 46.8 rows; less 14 and 10.5: 22.3.
    # 200 mm = 40 rows; 26 above the flap: a third, 8.67, is cuff, the rest leg.
    assert rows(found.spec) == (9, 17, 22)
    assert found.spec.left_out == frozenset()
    assert found.measures is not None
    assert found.measures.round.mm == pytest.approx(32 / 15 * 100)
    assert found.measures.height.mm == pytest.approx((9 + 17 + 14) * 5)
    assert found.measures.length.mm == pytest.approx((14 + 22 + 10.5) * 5)


def test_fit_of_a_sock_worked_by_hand() -> None:
    fit = fitted(FITTED).fit
    assert fit is not None
    # 213.3 mm round on a ball of 230: 7.2 % smaller, where 10 % are aimed at.
    assert fit.fit_class is FitClass.FITS
    assert fit.smaller_share == pytest.approx(1 - 213.333 / 230, abs=1e-5)


def test_every_computed_number_has_its_reason_and_the_key_that_overrules_it() -> None:
    found = plan(FITTED)
    assert line(found, "foot rows") == PlanLine(
        "foot rows",
        "22",
        # half a row in 20 is 2.5 %, 6 mm: more than the 5 mm of the tape
        "23.4 cm ± 0.6 cm (foot 24.0 cm; 2.5 % less, common practice) less 14 rows of turn and "
        "10.5 of toe, at 20 rows in 10 cm",
        "foot.rows",
    )
    assert line(found, "leg rows").reason.startswith("a leg height of 20.0 cm less 14 flap rows")
    assert line(found, "cuff rows").reason == "a third of the 26 rows above the heel flap"
    assert line(found, "foot length").reason == "as measured; ± 0.5 cm"
    assert line(found, "stitches in 10 cm") == PlanLine(
        "stitches in 10 cm", "15", "as given; ± 3.3 %", "gauge.stitches"
    )
    assert line(found, "finished round").reason.endswith(
        "aimed at 20.7 cm: ball 23.0 cm; 10 % less, usual for plain knit"
    )
    assert line(found, "fit").value == "fits"
    assert [each.name for each in found.lines][:4] == [
        "foot length",
        "round the ball",
        "round the ankle",
        "round heel and ankle",
    ]


# What wins.


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        ("[cuff]\nrows = 5\n", (5, 21, 22)),
        ("[leg]\nrows = 30\n", (9, 30, 22)),
        ("[foot]\nrows = 41\n", (9, 17, 41)),
        ("[cuff]\nrows = 5\n[leg]\nrows = 30\n[foot]\nrows = 41\n", (5, 30, 41)),
    ],
)
def test_rows_that_are_given_win(given: str, expected: tuple[int, int, int]) -> None:
    found = plan(FITTED + given)
    assert rows(found.spec) == expected
    for table in ("cuff", "leg", "foot"):
        as_given = line(found, f"{table} rows").reason.startswith("as given")
        assert as_given is (f"[{table}]" in given)


def test_without_a_wearer_nothing_changes_and_no_line_is_added() -> None:
    spec = read_pattern(RING_32 + GAUGE)
    assert fit_spec(spec).spec == spec
    usual = {rows.value: USUAL_REASONS[rows] for rows in RowCount}
    assert make_plan(spec) == plan_counts(spec, usual)


@pytest.mark.parametrize(
    ("given", "centre"),
    [
        ("", "10"),
        ("[heel]\ncentre = 8\n", "8"),
        ("[heel]\nflap_rows = 14\n", "6"),
    ],
)
def test_heel_width_chooses_the_turn_unless_the_designer_did(given: str, centre: str) -> None:
    # 70 mm less 10 % are 9.45 stitches at 15 in 10 cm: the nearest even count is 10
    found = plan(FITTED + 'heel_width = "7 cm"\n' + given)
    assert line(found, "turn pegs (centre)").value == centre
    assert line(found, "turn rows").value == str(20 - int(centre))


def test_turn_of_an_unmeasured_heel_follows_the_rule() -> None:
    assert line(plan(FITTED), "turn pegs (centre)").reason.startswith(
        "the even number nearest to a third of 20"
    )


def test_measures_win_over_the_shoe_and_the_plan_says_so() -> None:
    found = plan(FITTED + 'shoe = "EU 40"\n')
    told = line(found, "foot length")
    assert told.value == "24.0 cm"
    assert "measures used, not EU 40, which says 253 mm" in told.reason


def test_shoe_size_alone_is_told_as_a_guess_with_its_error() -> None:
    found = plan(RING_32 + GAUGE + '[wearer]\nshoe = "EU 38"\n')
    told = line(found, "foot length")
    # 38 points of 2/3 cm less 2: 24 cm; the farthest source is 10 mm off
    assert (told.value, told.key) == ("24.0 cm", "wearer.length")
    assert told.reason == (
        "EU 38: the last less its usual room; ± 1.0 cm; the length is a guess from EU 38: measure "
        "the foot if you can"
    )


def test_ease_of_the_file_is_used() -> None:
    tight = fitted(FITTED + '[ease]\nround = "20 %"\nlength = "5 %"\n')
    assert (tight.ease.round_share, tight.ease.length_share) == (0.2, 0.05)
    # 240 mm less 5 %: 45.6 rows, less 24.5: 21.1
    assert tight.spec.foot.rows == 21


# Gauges.


def test_wearer_without_a_gauge_keeps_the_usual_rows_and_is_warned() -> None:
    found = plan(RING_32 + WEARER)
    assert rows(found.spec) == (16, 25, 24)
    assert line(found, "foot rows").reason.startswith("three for two pegs")
    assert "no gauge: no row is fitted" in found.warnings[0]
    assert fitted(RING_32 + WEARER).fit is None


def test_gauge_guessed_from_a_category_serves_and_is_marked_as_a_guess() -> None:
    found = plan(RING_32 + '[gauge]\nweight = "medium"\n' + WEARER)
    assert "guessed from the medium weight category" in line(found, "rows in 10 cm").reason
    assert any("every size here is as doubtful" in warning for warning in found.warnings)
    assert found.spec.gauge is None


def test_counts_win_over_the_category() -> None:
    reading = gauge_of(read_pattern(RING_32 + GAUGE + 'weight = "lace"\n'))
    assert reading is not None
    assert reading.stitches.per_10cm == 15


def test_swatches_give_a_spread_that_the_plan_carries() -> None:
    text = FITTED.replace(
        "stitches = 15\nrows = 20\n",
        "swatches = [{ stitches = 14, rows = 20 }, { stitches = 16, rows = 20 }]\n",
    )
    found = plan(text)
    # mean 15, sd sqrt(2), standard error 1: two of them are 2 in 15
    assert line(found, "stitches in 10 cm").reason.endswith("± 13.3 %")
    assert "± 2.8 cm" in line(found, "finished round").reason


def test_swatches_are_told_without_a_wearer_too() -> None:
    found = plan(RING_32 + "[gauge]\nswatches = [{ stitches = 15, rows = 20, washed = false }]\n")
    assert "unwashed" in line(found, "rows in 10 cm").reason
    assert any("wash it and count again" in warning for warning in found.warnings)


# What does not fit, and what cannot be.


def test_sock_that_does_not_fit_is_a_warning_that_names_a_loom_that_does() -> None:
    text = FITTED.replace("pegs = 32", "pegs = 40")
    found = fitted(text)
    assert found.fit is not None
    assert found.fit.fit_class is FitClass.TOO_LOOSE
    warning = next(each for each in found.warnings if each.startswith("The sock is too loose"))
    # looms that the rib of 4 divides only
    assert warning.endswith("nearest that works: a loom of 32 pegs")
    again = fitted(text.replace("pegs = 40", "pegs = 32"))
    assert again.fit is not None
    assert again.fit.works


def test_sock_that_will_not_pass_the_heel_is_a_warning() -> None:
    found = fitted(FITTED.replace("pegs = 32", "pegs = 20"))
    assert found.fit is not None
    assert found.fit.fit_class is FitClass.WILL_NOT_PASS
    warning = next(each for each in found.warnings if "will not pass the heel" in each)
    assert "nearest that works: a loom of 28 pegs" in warning
    assert any("circulation" in each for each in found.warnings)


def test_ribbed_instep_lets_a_sock_pass_that_would_not() -> None:
    # 24 pegs at 15 in 10 cm are 160 mm round: plain knit opens to 272, a third of rib to 286
    text = FITTED.replace("pegs = 32", "pegs = 24").replace('"23 cm"', '"19 cm"')
    plain, ribbed, no_leg = (
        fitted(f'{text}heel_round = "27.6 cm"\n[cuff]\nrib = "k1 p1"\n[leg]\n{leg}').fit
        for leg in ("", 'flanks = "rib"\nround_start_shift = 0\n', "rows = 0\n")
    )
    assert plain is not None
    assert ribbed is not None
    assert no_leg is not None
    assert plain.fit_class is FitClass.WILL_NOT_PASS
    # 24 pegs have a heel of 16 and an instep of 8: a third of the leg is ribbed
    assert ribbed.stretch.most == pytest.approx(
        plain.stretch.most * 2 / 3 + no_leg.stretch.most / 3
    )
    assert ribbed.fit_class is not FitClass.WILL_NOT_PASS
    assert no_leg.fit_class is not FitClass.WILL_NOT_PASS


def test_slips_of_the_tape_are_problems_by_the_keys_of_the_file() -> None:
    text = RING_32 + '[wearer]\nlength = "24 cm"\nball = "23 cm"\nheel_round = "60 cm"\n'
    (problem,) = problems(text + 'leg_height = "71 mm"\n')
    assert (problem.key, problem.allowed) == ("wearer.heel_round", "230 to 414 mm")


def test_problems_of_the_pegs_and_of_the_foot_come_together() -> None:
    text = RING_32.replace("32", "33") + '[wearer]\nball = "23 cm"\n'
    assert [problem.key for problem in problems(text)] == ["cuff.rib", "wearer.length"]


SHORT = FITTED.replace('"24 cm"', '"13 cm"').replace('"23 cm"', '"15 cm"')


def test_foot_too_short_for_heel_and_toe_is_refused_with_what_would_do() -> None:
    (problem,) = problems(SHORT)
    assert problem.key == "wearer.length"
    found = re.findall(r"(\w+ = \d+) under (\[\w+\])", problem.suggestion)
    assert found
    tables = "".join(f"{heading}\n{line}\n" for line, heading in found)
    assert plan(SHORT + tables).spec.foot.rows >= 4


def test_foot_too_short_is_no_matter_where_the_rows_are_given() -> None:
    assert plan(SHORT + "[foot]\nrows = 4\n").spec.foot.rows == 4


LOW = FITTED.replace('"20 cm"', '"6 cm"')


def test_sock_lower_than_its_flap_is_refused_unless_its_rows_are_given() -> None:
    (problem,) = problems(LOW)
    assert problem.key == "wearer.leg_height"
    assert "leg height" in problem.suggestion
    assert rows(plan(LOW + "[cuff]\nrows = 8\n[leg]\nrows = 2\n").spec)[:2] == (8, 2)


def test_cuff_that_leaves_no_leg_is_refused() -> None:
    (problem,) = problems(FITTED + "[cuff]\nrows = 27\n")
    assert (problem.key, problem.suggestion) == ("cuff.rows", "rows = 26 under [cuff]")
    assert plan(FITTED + "[cuff]\nrows = 27\n[leg]\nrows = 1\n").spec.cuff.rows == 27


# Motifs.


def test_rows_are_rounded_to_the_motif_with_the_error_told() -> None:
    text = f'{FITTED}[leg]\npanel = "m"\nround_to_motif = true\n[foot]\nround_to_motif = true\n'
    found = plan(text.replace("24 cm", "24.2 cm") + MOTIF)
    # 17 rows to 18; 242 mm less 2.5 % are 47.19 rows, less 24.5: 22.69, to 24; a row is 5 mm
    assert rows(found.spec) == (9, 18, 24)
    assert line(found, "leg rows").reason.endswith("to whole motifs of 6 rows, +5 mm")
    assert line(found, "foot rows").reason.endswith("to whole motifs of 6 rows, +7 mm")
    assert any("make the foot 7 mm longer" in warning for warning in found.warnings)


@pytest.mark.parametrize(("leg_rows", "warned"), [(18, False), (20, True)])
def test_foot_ends_on_a_motif_only_if_the_leg_does(leg_rows: int, warned: bool) -> None:
    text = f'{FITTED}[leg]\npanel = "m"\nrows = {leg_rows}\n[foot]\nround_to_motif = true\n'
    warnings = plan(text + MOTIF).warnings
    assert any("give the leg 18 or 24 rows" in warning for warning in warnings) is warned


def test_plain_foot_is_not_rounded() -> None:
    text = f'{FITTED}[leg]\npanel = "m"\n[foot]\ninstep = "plain"\nround_to_motif = true\n'
    assert plan(text + MOTIF).spec.foot.rows == 22


# Anybody.

SPACINGS = ("1/4 in", "3/8 in", "1/2 in", "5/8 in")


@st.composite
def patterns(draw: st.DrawFn) -> str:
    """A file with a wearer, a loom and a gauge, sensible or not."""
    pegs = draw(st.integers(16, 120))
    stitches = draw(st.integers(6, 45))
    row_share = draw(st.integers(100, 180))
    length = draw(st.integers(100, 330))
    text = (
        f'title = "A"\nloom = {{ pegs = {pegs}, spacing = "{draw(st.sampled_from(SPACINGS))}" }}\n'
        f"gauge = {{ stitches = {stitches}, rows = {stitches * row_share / 100} }}\n"
        f'cuff = {{ rib = "k1 p1", leftover = "knit" }}\n[wearer]\nlength = "{length} mm"\n'
    )
    for key, least, most in (
        ("ball", 80, 125),
        ("leg_height", 30, 120),
        ("heel_width", 20, 35),
    ):
        if draw(st.booleans()):
            text += f'{key} = "{length * draw(st.integers(least, most)) // 100} mm"\n'
    if draw(st.booleans()):
        text += f"[heel]\ncentre = {draw(st.integers(1, 40))}\n"
    return text


@settings(max_examples=120, deadline=None)
@given(patterns())
def test_any_wearer_loom_and_gauge_knits_or_is_refused_with_what_to_do(text: str) -> None:
    spec = read_pattern(text)
    try:
        found = fit_spec(spec)
    except PatternError as error:
        for problem in error.problems:
            assert problem.key
            assert problem.allowed or problem.suggestion
            assert problem.text().isprintable()
        return
    made = make_plan(spec)
    assert made.spec == found.spec
    knit = verify(made, make_rows(made))
    assert found.gauge is not None
    assert found.foot is not None
    # what was promised is what the proved record measures
    assert finished_measures(knit, found.gauge) == found.measures
    assert found.fit is not None
    if not found.fit.works:
        assert any(
            "nearest that works: " in warning and warning.startswith("The sock ")
            for warning in found.warnings
        )


@settings(max_examples=60, deadline=None)
@given(patterns())
def test_named_nearest_works(text: str) -> None:
    spec = read_pattern(text)
    assert spec.wearer is not None
    try:
        foot = foot_of(spec.wearer)
    except PatternError:
        return
    gauge = gauge_of(spec)
    assert gauge is not None
    wishes = Wishes(repeat=2)
    nearest = try_loom(foot, spec.loom, gauge, wishes).nearest
    if nearest is not None:
        assert try_loom(foot, nearest.loom, nearest.gauge, wishes).fit.works


@settings(max_examples=40, deadline=None)
@given(patterns())
def test_same_file_gives_the_same_plan(text: str) -> None:
    def outcome() -> object:
        try:
            return make_plan(read_pattern(text))
        except PatternError as error:
            return error.problems

    assert outcome() == outcome()


# Cost.


@pytest.mark.parametrize(("text", "loads"), [(RING_32 + GAUGE, False), (FITTED, True)])
def test_feet_are_loaded_for_a_pattern_with_a_wearer_only(text: str, loads: bool) -> None:
    code = (
        "import sys; from charts.pattern_file import read_pattern; "
        f"from charts.plan import make_plan; make_plan(read_pattern({text!r})); "
        "print('charts.feet' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == f"{loads}\n"
