"""Row counts from the body: hand-worked socks, and promises kept by the proved record."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from charts.adviser import pegs_by_rule
from charts.body import (
    LEAST_FOOT_ROWS,
    MOST_CUFF_ROWS,
    MOST_ROWS,
    Heights,
    Repeats,
    SockPegs,
    centre_from_heel_width,
    foot_rows,
    least_rows_per_10cm,
    rows_from_body,
    shortest_foot_mm,
)
from charts.ease import LENGTH_LIMITS, Ease, aim_for
from charts.feet import Foot, foot_from_measures
from charts.finished import counts_of, finished_measures
from charts.foot_measures import FootMeasures
from charts.gauge import GaugeReading
from charts.loom import Loom
from charts.plan import make_plan
from charts.shoe_words import read_shoe_size
from charts.sock import make_rows
from charts.spec import Cuff, Heel, Leftover, Leg, ShortRows, SockSpec, Toe, ToeShape, Units
from charts.spec import Foot as FootSection
from charts.verify import Knit, verify

from .strategies import MEDIAN_MAN, MEDIAN_WOMAN, feet, foot, gauge, gauges, looms, ring

CLASS_SOCK = SockPegs(pegs=40, heel_pegs=24, centre_pegs=8, toe_side=6, centre_is_given=True)
eases = st.builds(Ease, st.just(0.10), st.floats(*LENGTH_LIMITS))


def knitted(
    pegs: SockPegs,
    loom: Loom,
    cuff: int,
    leg: int,
    foot_count: int,
    short_rows: ShortRows = ShortRows.TURNED,
) -> Knit:
    """A plain sock with those counts, proved."""
    spec = SockSpec(
        "Sock",
        loom,
        cuff=Cuff(cuff, leftover=Leftover.KNIT),
        leg=Leg(leg),
        heel=Heel(pegs.heel_pegs, pegs.centre_pegs),
        foot=FootSection(foot_count),
        toe=Toe(side=pegs.toe_side, short_rows=short_rows),
    )
    plan = make_plan(spec)
    return verify(plan, make_rows(plan))


# Hand-worked.


def test_foot_rows_of_the_class_sock() -> None:
    """Median man, 271 mm less 2.5 %: 264.2 mm, at 25 rows in 10 cm 66.06 rows.

    Turn 16, toe 12 and half the graft's row: 66.06 - 28.5 = 37.56, so 38 rows, 1.8 mm too long.
    """
    found = foot_rows(MEDIAN_MAN, gauge(18, 25), Ease(), CLASS_SOCK)
    assert found.aim.mm == pytest.approx(264.225)
    assert found.exact == pytest.approx(37.556, abs=0.001)
    assert found.rows == 38
    assert found.rounding_mm == pytest.approx(1.775, abs=0.001)
    assert found.problem is None


def test_leg_and_cuff_rows_of_the_class_sock() -> None:
    """25 cm high at 25 rows in 10 cm: 62.5 rows, so 63; less 16 of the flap 47, a third 16."""
    body = rows_from_body(
        MEDIAN_MAN, gauge(18, 25), Ease(), CLASS_SOCK, heights=Heights(top_mm=250)
    )
    assert (body.cuff_rows, body.leg_rows, body.foot_rows) == (16, 31, 38)
    assert body.promised.height.mm == pytest.approx(252)
    assert body.promised.length.mm == pytest.approx(266)
    assert body.promised.round.mm == pytest.approx(222.2, abs=0.1)
    assert body.problems == ()
    given_cuff = rows_from_body(
        MEDIAN_MAN, gauge(18, 25), Ease(), CLASS_SOCK, heights=Heights(top_mm=250, cuff_rows=20)
    )
    assert (given_cuff.cuff_rows, given_cuff.leg_rows) == (20, 27)
    by_height = rows_from_body(
        MEDIAN_MAN, gauge(18, 25), Ease(), CLASS_SOCK, heights=Heights(top_mm=250, cuff_mm=40)
    )
    assert (by_height.cuff_rows, by_height.leg_rows) == (10, 37)
    given_leg = rows_from_body(
        MEDIAN_MAN, gauge(18, 25), Ease(), CLASS_SOCK, heights=Heights(top_mm=250, leg_rows=30)
    )
    assert (given_leg.cuff_rows, given_leg.leg_rows) == (17, 30)


def test_reasons_name_the_measures_and_the_gauge() -> None:
    body = rows_from_body(
        MEDIAN_MAN, gauge(18, 25), Ease(), CLASS_SOCK, heights=Heights(top_mm=250)
    )
    reasons = {line.name: line.reason for line in body.lines}
    assert reasons["foot rows"] == (
        "26.4 cm ± 0.5 cm (foot 27.1 cm; 2.5 % less, common practice) less 16 rows of turn and "
        "12.5 of toe, at 25 rows in 10 cm"
    )
    assert reasons["leg rows"] == (
        "a height of 25.0 cm, as given, less 16 flap rows and 16 of the cuff, at 25 rows in 10 cm"
    )
    assert reasons["flap height"] == "16 rows, against 7.3 cm from floor to ankle bone"
    assert reasons["cuff rows"] == "a third of the 47 rows above the heel flap"
    inches = rows_from_body(MEDIAN_MAN, gauge(18, 25), Ease(), CLASS_SOCK, units=Units.IN)
    assert "10.4 in ± 0.2 in (foot 10.7 in" in inches.lines[-1].reason


def test_length_guessed_from_a_shoe_says_how_far_off_it_may_be() -> None:
    guess = foot_from_measures(FootMeasures(), shoe=read_shoe_size("EU 42"))
    body = rows_from_body(guess, gauge(18, 25), Ease(), CLASS_SOCK)
    line = next(line for line in body.lines if line.name == "foot rows")
    assert "from the shoe size" in line.reason
    error = line.reason.split("±")[1].split("cm")[0]
    assert float(error) * 10 == pytest.approx(0.975 * guess.length.error_mm, abs=0.5)


def test_centre_follows_a_measured_heel_width() -> None:
    """72 mm less 10 %: 64.8 mm, at 15 stitches in 10 cm 9.7 stitches: 10 of 24 heel pegs."""
    found = centre_from_heel_width(MEDIAN_MAN, gauge(15, 20), Ease(), 24)
    assert found is not None
    assert found[0] == 10
    assert "9.7 stitches, to the nearest even count like the 24 heel pegs" in found[1]
    odd = centre_from_heel_width(MEDIAN_MAN, gauge(15, 20), Ease(), 23)
    assert odd is not None
    assert odd[0] == 9
    assert centre_from_heel_width(foot(271), gauge(15, 20), Ease(), 24) is None


def test_a_given_centre_is_left_alone() -> None:
    by_rule = replace(CLASS_SOCK, centre_is_given=False)
    assert rows_from_body(MEDIAN_MAN, gauge(15, 20), Ease(), CLASS_SOCK).pegs.centre_pegs == 8
    body = rows_from_body(MEDIAN_MAN, gauge(15, 20), Ease(), by_rule)
    assert body.pegs.centre_pegs == 10
    assert body.pegs.turn_rows == 14
    assert any(line.key == "heel.centre" for line in body.lines)


def test_a_flap_higher_than_the_ankle_bone_is_warned_of() -> None:
    """24 pegs: 10 flap rows of 8.3 mm are 83 mm against 63 mm; 8 rows would be 67 mm."""
    pegs = SockPegs(24, 14, 4, 4, centre_is_given=True)
    body = rows_from_body(MEDIAN_WOMAN, gauge(9, 12), Ease(), pegs)
    assert body.warnings == (
        "The flap of 8.3 cm is high against 6.3 cm from floor to ankle bone; centre = 6 under "
        "[heel] makes it 8 rows, 6.7 cm",
    )
    assert body.problems == ()
    better = replace(pegs, centre_pegs=6)
    assert rows_from_body(MEDIAN_WOMAN, gauge(9, 12), Ease(), better).warnings == ()


def test_whole_motifs_and_the_millimetres_they_cost() -> None:
    """38 foot rows to a motif of 8: 40, that is 2.44 rows or 9.8 mm too long; the leg fits."""
    body = rows_from_body(
        MEDIAN_MAN,
        gauge(18, 25),
        Ease(),
        CLASS_SOCK,
        heights=Heights(top_mm=252, cuff_rows=15),
        repeats=Repeats(leg=8, foot=8),
    )
    assert (body.leg_rows, body.foot_rows) == (32, 40)
    reasons = {line.name: line.reason for line in body.lines}
    assert reasons["foot rows"].endswith("; to whole motifs of 8 rows, +10 mm")
    assert reasons["leg rows"].endswith("; to whole motifs of 8 rows, +0 mm")
    assert len(body.warnings) == 1
    assert body.warnings[0].startswith("Whole motifs of 8 rows make the foot 10 mm longer")


def test_plausibility_against_one_makers_figure() -> None:
    """40 pegs at 3/8 in, worsted in tight flat knit, 55 foot rows, shoe size 9.5 (of which region
    is not said): for plausibility only.

    For this sock it means some 30 to 33 rows in 10 cm whatever the region, more than worsted knits
    by hand (28 rows: 5 stitches and 7 rows in 1 in, common practice) and so indeed tight.
    """
    needed = []
    for shoe in ("US men 9.5", "US women 9.5", "UK 9.5"):
        aim = aim_for(foot(read_shoe_size(shoe).foot_length_mm), Ease()).length.mm
        needed.append((55 + 16 + 12.5) * 100 / aim)
        there = foot_rows(
            foot(read_shoe_size(shoe).foot_length_mm),
            gauge(needed[-1] / 1.31, needed[-1]),
            Ease(),
            CLASS_SOCK,
        )
        assert there.rows == 55
    assert 28 < min(needed) < max(needed) < 35


# What cannot be names what can.


def test_a_foot_too_short_for_heel_and_toe() -> None:
    """150 mm at 12 rows in 10 cm: 17.55 rows less 10 of the turn and 8.5 of the toe: none left."""
    pegs = SockPegs(24, 14, 4, 4, centre_is_given=True)
    found = foot_rows(foot(150), gauge(9, 12), Ease(), pegs)
    assert found.exact == pytest.approx(-0.95)
    assert found.rows == LEAST_FOOT_ROWS
    assert found.problem is not None
    assert found.problem.text() == (
        "foot.length: 14.6 cm of foot are 17.6 rows, and the heel turn's 10 and the toe's 8.5 "
        "leave fewer than 4; allowed: feet from 18.9 cm; try: centre = 6 under [heel] "
        "and side = 2 under [toe]"
    )
    assert found.nearest is not None
    assert foot_rows(foot(150), gauge(9, 12), Ease(), found.nearest).problem is None
    # 18.5 + 3.5 rows of 8.33 mm, less 2.5 %: 188.03 mm.
    assert shortest_foot_mm(gauge(9, 12), Ease(), pegs) == pytest.approx(188.03, abs=0.01)


def test_a_foot_too_short_for_any_heel_and_toe_asks_for_more_rows() -> None:
    """2 rows of turn, 2.5 of toe and 3.5 of foot are the least: 8 rows in 97.5 mm."""
    found = foot_rows(foot(100), gauge(6, 7), Ease(), SockPegs(24, 14, 4, 4))
    assert found.nearest is None
    assert found.problem is not None
    assert found.problem.suggestion == "at least 9 rows in 10 cm"
    assert least_rows_per_10cm(foot(100), Ease()) == pytest.approx(8 / 0.975)


def test_a_sock_lower_than_its_heel_flap() -> None:
    """16 flap rows of 4 mm are 64 mm."""
    low = rows_from_body(MEDIAN_MAN, gauge(18, 25), Ease(), CLASS_SOCK, heights=Heights(top_mm=60))
    assert [problem.key for problem in low.problems] == ["foot.leg_height"]
    assert low.problems[0].allowed == "from 6.9 cm"
    again = rows_from_body(
        MEDIAN_MAN, gauge(18, 25), Ease(), CLASS_SOCK, heights=Heights(top_mm=69)
    )
    assert again.problems == ()
    assert (again.cuff_rows, again.leg_rows) == (1, 0)


@pytest.mark.parametrize(
    ("heights", "key", "suggestion"),
    [
        (Heights(top_mm=150, cuff_rows=30), "cuff.rows", "rows = 22 under [cuff]"),
        (Heights(top_mm=150, cuff_mm=100), "cuff.rows", "rows = 22 under [cuff]"),
        (Heights(top_mm=150, leg_rows=22), "leg.rows", "rows = 21 under [leg]"),
    ],
)
def test_more_rows_than_the_height_has(heights: Heights, key: str, suggestion: str) -> None:
    """150 mm are 38 rows (37.5 rounds up), 16 of them the flap's."""
    body = rows_from_body(MEDIAN_MAN, gauge(18, 25), Ease(), CLASS_SOCK, heights=heights)
    assert [(one.key, one.suggestion) for one in body.problems] == [(key, suggestion)]


@pytest.mark.parametrize(
    ("heights", "cuff", "leg"),
    [
        (Heights(cuff_rows=60), 60, 0),
        (Heights(cuff_mm=240), 60, 1),
        (Heights(leg_rows=60), 1, 60),
        (Heights(cuff_rows=50, leg_rows=60), 50, 60),
    ],
)
def test_a_guessed_height_gives_way_to_what_was_chosen(
    heights: Heights, cuff: int, leg: int
) -> None:
    body = rows_from_body(MEDIAN_MAN, gauge(18, 25), Ease(), CLASS_SOCK, heights=heights)
    assert body.problems == ()
    assert (body.cuff_rows, body.leg_rows) == (cuff, leg)


def test_a_slip_of_the_unit_is_no_thousand_row_foot() -> None:
    fine = foot_rows(MEDIAN_MAN, gauge(120, 200), Ease(), CLASS_SOCK)
    assert fine.rows == MOST_ROWS
    assert fine.problem is not None
    assert fine.problem.suggestion == "at most 162 rows in 10 cm"


# Properties.


@given(feet(), looms, gauges, eases)
def test_no_row_count_is_negative_or_absurd(
    body: Foot, loom: Loom, reading: GaugeReading, ease: Ease
) -> None:
    found = rows_from_body(body, reading, ease, pegs_by_rule(loom))
    assert 1 <= found.cuff_rows <= MOST_CUFF_ROWS
    assert 0 <= found.leg_rows <= MOST_ROWS
    assert LEAST_FOOT_ROWS <= found.foot_rows <= MOST_ROWS
    assert 2 <= found.pegs.centre_pegs <= found.pegs.heel_pegs - 2
    assert found.pegs.turn_rows % 2 == 0
    assert all(problem.suggestion and problem.allowed for problem in found.problems)
    assert all(line.reason for line in found.lines)


@given(feet(), st.floats(0, 60), looms, gauges, eases)
def test_a_longer_foot_never_has_fewer_rows(
    body: Foot, more_mm: float, loom: Loom, reading: GaugeReading, ease: Ease
) -> None:
    longer = replace(body, length=replace(body.length, mm=body.length.mm + more_mm))
    for repeat in (1, 6):
        one, other = (
            foot_rows(wearer, reading, ease, pegs_by_rule(loom), repeat=repeat)
            for wearer in (body, longer)
        )
        assert one.rows <= other.rows


@given(st.floats(100, 330), st.floats(0, 60), looms, gauges)
def test_a_longer_foot_never_has_fewer_rows_where_all_else_is_estimated(
    length_mm: float, more_mm: float, loom: Loom, reading: GaugeReading
) -> None:
    pegs = pegs_by_rule(loom)
    shorter = rows_from_body(foot(length_mm), reading, Ease(), pegs)
    longer = rows_from_body(foot(min(length_mm + more_mm, 330)), reading, Ease(), pegs)
    assert shorter.foot_rows <= longer.foot_rows


@given(looms, st.integers(1, 20), gauges)
def test_more_pegs_never_make_a_smaller_sock(loom: Loom, more: int, reading: GaugeReading) -> None:
    larger = replace(loom, pegs=min(loom.pegs + more, 120))
    one, other = (
        rows_from_body(MEDIAN_MAN, reading, Ease(), pegs_by_rule(ring_)) for ring_ in (loom, larger)
    )
    assert one.promised.round.mm <= other.promised.round.mm
    # Nor a shorter one, but for rounding to whole rows.
    row_mm, _ = reading.rows.mm(1)
    assert one.promised.length.mm <= other.promised.length.mm + row_mm


@given(feet(), looms, gauges, eases)
def test_a_refused_foot_length_names_a_heel_and_toe_that_work(
    body: Foot, loom: Loom, reading: GaugeReading, ease: Ease
) -> None:
    pegs = pegs_by_rule(loom)
    found = foot_rows(body, reading, ease, pegs)
    assume(found.problem is not None)
    if found.nearest is not None:
        again = foot_rows(body, reading, ease, found.nearest)
        assert again.problem is None
        assert again.rows >= LEAST_FOOT_ROWS
        # One step less would not do.
        steps = pegs.turn_rows + pegs.toe_rows - found.nearest.turn_rows - found.nearest.toe_rows
        assert found.exact + steps - 2 < LEAST_FOOT_ROWS - 0.5
    else:
        assert found.problem is not None
        assert found.problem.suggestion.startswith("at least")
        assert reading.rows.per_10cm < least_rows_per_10cm(body, ease)


# The proved record keeps the promise.


@pytest.mark.parametrize("short_rows", list(ShortRows))
@pytest.mark.parametrize("loom", [ring(40), ring(25, "5/8 in"), ring(16, "1/4 in"), ring(57)])
def test_counts_of_the_record(loom: Loom, short_rows: ShortRows) -> None:
    pegs = pegs_by_rule(loom)
    counts = counts_of(knitted(pegs, loom, 5, 7, 9, short_rows))
    assert (counts.cuff, counts.leg, counts.foot) == (5, 7, 9)
    assert (counts.flap, counts.turn) == (pegs.turn_rows, pegs.turn_rows)
    assert counts.toe == 2 * pegs.toe_side + 0.5
    assert counts.round_stitches == loom.pegs
    assert counts.centre_stitches == pegs.centre_pegs


@settings(max_examples=60, deadline=None)
@given(feet(), looms, gauges, st.sampled_from(ShortRows), st.sampled_from(ToeShape))
def test_the_record_keeps_what_the_plan_promised(
    body: Foot,
    loom: Loom,
    reading: GaugeReading,
    short_rows: ShortRows,
    shape: ToeShape,
) -> None:
    """Within half a row of the length and the height aimed at, and the very pegs round."""
    found = rows_from_body(body, reading, Ease(), pegs_by_rule(loom, toe=shape))
    assume(not found.problems)
    assume(found.leg_rows + found.foot_rows < 250)
    knit = knitted(found.pegs, loom, found.cuff_rows, found.leg_rows, found.foot_rows, short_rows)
    measures = finished_measures(knit, reading)
    assert measures == found.promised
    row_mm = 100 / reading.rows.per_10cm
    half_row_mm, half_stitch_mm = row_mm / 2 + 1e-6, 50 / reading.stitches.per_10cm
    assert abs(measures.length.mm - body.length.mm * 0.975) <= half_row_mm
    assert abs(measures.round.mm - loom.pegs * 2 * half_stitch_mm) <= half_stitch_mm
    if body.leg_height is not None:
        assert abs(measures.height.mm - body.leg_height.mm) <= half_row_mm


def test_a_shorter_record_breaks_the_promise() -> None:
    """The check itself: one row and one peg fewer are seen."""
    loom, reading = ring(40), gauge(18, 25)
    found = rows_from_body(MEDIAN_MAN, reading, Ease(), CLASS_SOCK)
    cuff, leg, rows = found.cuff_rows, found.leg_rows, found.foot_rows
    assert finished_measures(knitted(found.pegs, loom, cuff, leg, rows), reading) == found.promised
    for counts in ((cuff - 1, leg, rows), (cuff, leg - 1, rows), (cuff, leg, rows - 1)):
        short = finished_measures(knitted(found.pegs, loom, *counts), reading)
        assert short != found.promised
    narrow = replace(found.pegs, pegs=39, heel_pegs=23, centre_pegs=7)
    other = finished_measures(knitted(narrow, ring(39), cuff, leg, rows), reading)
    assert other.round.mm < found.promised.round.mm - reading.stitches.mm(0.5)[0]
