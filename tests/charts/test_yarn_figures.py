"""Loop and ball from what the pattern file tells: the surest wins, and each says what it is."""

from __future__ import annotations

import pytest

from charts.gauge_of import gauge_of
from charts.loop_lengths import LoopMethod, loop_from_gauge
from charts.pattern_file import read_pattern
from charts.plan import make_plan
from charts.sock import make_rows
from charts.verify import Knit, verify
from charts.yarn_figures import YarnFigures, ball_of, yarn_figures

HEAD = """\
title = "A"
loom = { pegs = 24, spacing = "5/8 in" }
cuff = { rows = 4 }
leg = { rows = 4 }
foot = { rows = 8 }
"""


def knit(text: str) -> Knit:
    plan = make_plan(read_pattern(HEAD + text))
    return verify(plan, make_rows(plan))


def figures(text: str) -> YarnFigures:
    proved = knit(text)
    gauge = gauge_of(proved.plan.spec)
    assert gauge is not None
    return yarn_figures(proved, proved, gauge)


def swatches(*each: str) -> str:
    listed = ", ".join(f"{{ stitches = 10, rows = 12, {one} }}" for one in each)
    return f"[gauge]\nswatches = [{listed}]\n"


def test_loop_of_plain_counts_follows_from_the_gauge() -> None:
    text = "[gauge]\nstitches = 10\nrows = 12\n"
    gauge = gauge_of(read_pattern(HEAD + text))
    assert gauge is not None
    assert figures(text).loop == loop_from_gauge(gauge)


def test_yarn_measured_in_swatches_wins_and_their_spread_is_kept() -> None:
    found = figures(swatches('yarn = "4.8 m"', 'yarn = "5.4 m"', 'yarn = "9 g"') + BAND)
    # 120 stitches each: 40 and 45 mm, measured to 10 mm in 4800 and 5400
    assert found.loop.method is LoopMethod.SWATCH_LENGTH
    assert found.loop.mm == pytest.approx(42.5)
    assert found.loop.low_mm == pytest.approx(40 * (1 - 10 / 4800))
    assert found.loop.high_mm == pytest.approx(45 * (1 + 10 / 5400))
    assert found.loop.basis.startswith("the mean of 2 swatches: 120 stitches held 4800 mm")


BAND = "[ball]\nmetres = 100\ngrams = 50\n"


def test_weighed_yarn_goes_by_the_band() -> None:
    found = figures(swatches('yarn = "2.4 g"') + BAND)
    # 2.4 g are 4.8 m of 120 stitches
    assert found.loop.method is LoopMethod.SWATCH_WEIGHT
    assert found.loop.mm == pytest.approx(40)


def test_two_strands_weigh_and_take_twice_as_much() -> None:
    one = figures(swatches('yarn = "2.4 g"') + BAND)
    two = figures(swatches('yarn = "4.8 g"') + BAND + "strands = 2\n")
    assert two.loop.mm == pytest.approx(one.loop.mm)
    assert two.pair.metres == pytest.approx(2 * one.pair.metres)


def test_pair_is_twice_one_sock_where_both_are_alike() -> None:
    found = figures("[gauge]\nstitches = 10\nrows = 12\n" + BAND)
    assert found.pair.metres == pytest.approx(2 * found.one.metres)
    assert found.one.metres == pytest.approx(1.15 * found.sock.metres)
    assert found.pair.grams == pytest.approx(found.pair.metres / 2)


@pytest.mark.parametrize(
    ("band", "metres", "grams", "estimate", "basis"),
    [
        ("metres = 90\ngrams = 50\n", 90, 50, False, "metres and grams of the band"),
        ('grams = 100\nweight = "medium"\n', 160, 100, True, "grams of the band; metres by"),
        ('metres = 80\nweight = "medium"\n', 80, 50, True, "metres of the band; grams by"),
        ('weight = "medium"\n', 80, 50, True, "a ball of 50 g by"),
        (
            'metres = 90\ngrams = 50\nweight = "lace"\n',
            90,
            50,
            False,
            "metres and grams of the band",
        ),
    ],
)
def test_ball_is_the_band_or_the_category(
    band: str, metres: float, grams: float, estimate: bool, basis: str
) -> None:
    # medium: 160 m in 100 g, common practice
    ball, told = ball_of(read_pattern(f"{HEAD}[ball]\n{band}"))
    assert ball is not None
    assert (ball.metres, ball.grams, ball.is_estimate) == (metres, grams, estimate)
    assert told.startswith(basis)


def test_category_of_the_gauge_serves_for_the_ball_too() -> None:
    ball, _ = ball_of(read_pattern(HEAD + '[gauge]\nweight = "medium"\n'))
    assert ball is not None
    assert ball.metres_per_100g == 160


def test_unknown_ball_leaves_grams_and_balls_open() -> None:
    found = figures("[gauge]\nstitches = 10\nrows = 12\n")
    assert (found.ball, found.ball_basis) == (None, "")
    assert (found.pair.grams, found.pair.balls, found.pair.shares) == (None, None, None)


def test_fabric_too_open_for_the_yarn_is_warned_of() -> None:
    text = "[gauge]\nstitches = 10\nrows = 12\n[ball]\nmetres = 400\ngrams = 100\n"
    [warning] = figures(text).warnings
    assert "open for a sock" in warning
    assert figures(text.replace("400", "40")).warnings == ()
