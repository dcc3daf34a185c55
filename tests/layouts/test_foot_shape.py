"""Outlines of feet: built to the measures, traced by their owners, cut where sheets meet.

Bounds and crossings are taken by fontTools, which shares no code with ours.
"""

from __future__ import annotations

from itertools import pairwise

import pytest
from fontTools.misc.bezierTools import splitCubic, splitLine
from fontTools.pens.boundsPen import BoundsPen
from hypothesis import given, settings
from hypothesis import strategies as st

from charts.feet import foot_from_measures
from charts.foot_measures import FootMeasures, Origin
from charts.problems import PatternError
from layouts.foot_shape import (
    BALL_ALONG,
    BALL_WIDTH_OF_ROUND,
    HEEL_ALONG,
    MOST_PATH_LETTERS,
    FootOutline,
    ball_width,
    built_outline,
    check_trace,
    traced_outline,
)
from layouts.foot_side import FootSide
from layouts.scene import Close, CurveTo, LineTo, MoveTo, Segment

ADULT = built_outline(235, ball_width_mm=92, heel_width_mm=66, side=FootSide.LEFT)

lengths = st.floats(100, 330)
ball_shares = st.floats(0.3, 0.5)
heel_shares = st.floats(0.5, 0.85)
sides = st.sampled_from(FootSide)


@st.composite
def outlines(draw: st.DrawFn) -> tuple[FootOutline, float, float, float]:
    """A built outline with the length, ball width and heel width asked for."""
    length = draw(lengths)
    ball = length * draw(ball_shares)
    heel = ball * draw(heel_shares)
    side = draw(sides)
    return (
        built_outline(length, ball_width_mm=ball, heel_width_mm=heel, side=side),
        length,
        ball,
        heel,
    )


def bounds(segments: tuple[Segment, ...]) -> tuple[float, float, float, float]:
    """Left, top, right, bottom of the exact curves, by fontTools."""
    pen = BoundsPen(None)
    for segment in segments:
        match segment:
            case MoveTo(x, y):
                pen.moveTo((x, y))
            case LineTo(x, y):
                pen.lineTo((x, y))
            case CurveTo(x1, y1, x2, y2, x, y):
                pen.curveTo((x1, y1), (x2, y2), (x, y))
            case Close():
                pen.closePath()
    assert pen.bounds is not None
    return pen.bounds


def crossings(segments: tuple[Segment, ...], y_mm: float) -> list[float]:
    """The x of each crossing of a level, by cutting every curve there with fontTools."""
    found = []
    at = (0.0, 0.0)
    for segment in segments:
        match segment:
            case MoveTo(x, y):
                at = (x, y)
            case LineTo(x, y):
                found += [part[-1][0] for part in splitLine(at, (x, y), y_mm, True)[:-1]]
                at = (x, y)
            case CurveTo(x1, y1, x2, y2, x, y):
                parts = splitCubic(at, (x1, y1), (x2, y2), (x, y), y_mm, True)
                found += [part[-1][0] for part in parts[:-1]]
                at = (x, y)
    return sorted(found)


# Built


@given(outlines())
def test_a_built_outline_has_exactly_the_length_and_the_ball_width_asked_for(
    made: tuple[FootOutline, float, float, float],
) -> None:
    outline, length, ball, _ = made
    assert bounds(outline.segments) == pytest.approx((0, 0, ball, length), abs=1e-6)
    assert (outline.width_mm, outline.length_mm) == pytest.approx((ball, length))


@given(outlines())
def test_the_heel_is_as_wide_as_asked_at_its_place(
    made: tuple[FootOutline, float, float, float],
) -> None:
    outline, length, _, heel = made
    ((left, right),) = outline.spans_at(length * (1 - HEEL_ALONG))
    assert right - left == pytest.approx(heel, abs=1e-6)


@given(outlines())
def test_the_inner_edge_reaches_farthest_at_the_balls_share_of_the_length(
    made: tuple[FootOutline, float, float, float],
) -> None:
    outline, length, _, _ = made
    level = length * (1 - BALL_ALONG)

    def from_inner_edge(y_mm: float) -> float:
        ((left, right),) = outline.spans_at(y_mm)
        return min(left, outline.width_mm - right)

    assert from_inner_edge(level) == pytest.approx(0, abs=1e-6)
    assert from_inner_edge(level - 0.02 * length) > 0
    assert from_inner_edge(level + 0.02 * length) > 0


def test_ball_share_and_width_are_the_means_of_ansur_ii() -> None:
    # ANSUR II, Natick/TR-15/007: means of ball-of-foot length over foot length, and of horizontal
    # foot breadth over ball-of-foot circumference, women and men.
    along = (182.05 / 246.29 + 200.94 / 271.18) / 2
    across = (92.71 / 228.11 + 101.86 / 252.02) / 2
    assert pytest.approx(along, abs=0.005) == BALL_ALONG
    assert pytest.approx(across, abs=0.001) == BALL_WIDTH_OF_ROUND


def test_the_ball_width_follows_from_the_ball_circumference_and_says_so() -> None:
    foot = foot_from_measures(FootMeasures(length_mm=240, ball_mm=230))
    width = ball_width(foot)
    assert width.mm == pytest.approx(93.15)
    assert width.origin is Origin.ESTIMATED
    assert "ANSUR II" in width.basis


def test_the_big_toe_of_a_left_foot_seen_from_above_is_at_the_right() -> None:
    ((left, right),) = ADULT.spans_at(0.5)
    assert (left + right) / 2 > ADULT.width_mm / 2


def test_a_right_foot_is_the_mirror_of_the_left() -> None:
    right = built_outline(235, ball_width_mm=92, heel_width_mm=66, side=FootSide.RIGHT)
    for level in (5.0, 61.0, 117.0, 230.0):
        ((left_start, left_end),) = ADULT.spans_at(level)
        ((start, end),) = right.spans_at(level)
        assert (92 - end, 92 - start) == pytest.approx((left_start, left_end))


# Cutting


@given(outlines(), st.floats(0.01, 0.99))
def test_spans_are_the_crossings_that_another_library_finds(
    made: tuple[FootOutline, float, float, float], share: float
) -> None:
    outline, length, _, _ = made
    level = share * length
    ours = [x for span in outline.spans_at(level) for x in span]
    assert ours == pytest.approx(crossings(outline.segments, level), abs=1e-4)


def test_nothing_lies_above_the_tip_or_below_the_heel() -> None:
    assert ADULT.spans_at(-1.0) == ADULT.spans_at(236.0) == ()


@settings(max_examples=40)
@given(st.floats(1.0, 110.0), st.floats(115.0, 234.0))
def test_a_part_of_the_outline_ends_exactly_at_the_levels_it_was_cut_at(
    top: float, bottom: float
) -> None:
    part = ADULT.between(top, bottom)
    _, upper, _, lower = bounds(part)
    assert (upper, lower) == pytest.approx((top, bottom), abs=1e-6)
    assert sum(isinstance(segment, MoveTo) for segment in part) == 2
    assert not any(isinstance(segment, Close) for segment in part)
    for level in (top + 0.1, (top + bottom) / 2):
        assert crossings(part, level) == pytest.approx(crossings(ADULT.segments, level), abs=1e-4)


def test_the_part_with_the_heel_is_one_stroke() -> None:
    part = ADULT.between(150, 235)
    assert [type(segment) for segment in part].count(MoveTo) == 1
    assert bounds(part)[3] == pytest.approx(235)


def test_the_whole_outline_stays_closed() -> None:
    whole = ADULT.between(-5, 240)
    assert isinstance(whole[-1], Close)
    assert bounds(whole) == pytest.approx(bounds(ADULT.segments))


def test_upright_lines_are_cut_as_level_ones_are() -> None:
    ((top, bottom),) = ADULT.depths_at(46)
    for depth in (top + 1e-6, bottom - 1e-6):
        spans = ADULT.spans_at(depth)
        assert any(abs(x - 46) < 0.2 for span in spans for x in span)


# Traced

BOX = "M0 0 H80 V240 H0 Z"
CURVED = (
    "m 40,0 c 30,0 45,40 40,90 q -6,70 -8,110 a 32 40 0 0 1 -64,0 t -8,-110 C -5,40 10,0 40,0 z"
)


def test_a_traced_outline_keeps_its_size() -> None:
    outline = traced_outline(BOX)
    assert (outline.width_mm, outline.length_mm) == (80, 240)
    assert outline.traced
    assert outline.spans_at(100) == ((0, 80),)


def test_every_kind_of_curve_is_read() -> None:
    outline = traced_outline(CURVED)
    # Down the left: 0 at the top, the arc's depth 40 below its ends at y = 200.
    assert outline.length_mm == pytest.approx(240, abs=0.1)
    assert 75 < outline.width_mm < 110


def test_a_trace_away_from_the_origin_is_moved_there() -> None:
    moved = traced_outline("M500 -90 h80 v240 h-80 Z")
    assert bounds(moved.segments) == (0, 0, 80, 240)


def test_an_open_trace_is_closed() -> None:
    assert traced_outline("M0 0 H80 V240 H0").spans_at(120) == ((0, 80),)


def test_mirroring_a_trace_makes_the_other_foot_of_it() -> None:
    path = "M0 0 L80 40 V240 H20 Z"
    plain, mirrored = traced_outline(path), traced_outline(path, mirrored=True)
    ((left, right),) = plain.spans_at(100)
    assert mirrored.spans_at(100)[0] == pytest.approx((80 - right, 80 - left))


def test_a_trace_that_turns_back_has_several_spans_at_one_level() -> None:
    notch = "M0 0 H80 V240 H50 V200 H30 V240 H0 Z"
    spans = traced_outline(notch).spans_at(220)
    assert len(spans) == 2
    for (_, end), (start, _) in pairwise(spans):
        assert end < start


@pytest.mark.parametrize(
    ("path", "told"),
    [
        ("", "draws nothing"),
        ("M 5 5", "draws nothing"),
        ("a foot", "no SVG path data"),
        ("M 0 0 C 1 2 3", "no SVG path data"),
        ("M 0 0 A 5", "no SVG path data"),
        (BOX + " M 10 10 h 5 v 5 z", "2 strokes"),
        ("M 0 0 H 1e999 V 240 Z", "without end"),
        ("M0 0 H800 V2400 H0 Z", "in tenths of a millimetre, multiply by 0.1"),
        ("M0 0 H302 V907 H0 Z", "in pixels of 1/96 in, multiply by 0.2646"),
        ("M0 0 H8 V24 H0 Z", "in centimetres, multiply by 10"),
        ("M0 0 H240 V80 H0 Z", "turn it by a quarter"),
        ("M0 0 H230 V240 H0 Z", "is not a foot's"),
        ("M0 0 " + "L1 1 " * MOST_PATH_LETTERS, "at most"),
    ],
)
def test_what_is_no_foot_is_refused_with_what_to_do(path: str, told: str) -> None:
    with pytest.raises(PatternError) as caught:
        traced_outline(path)
    (problem,) = caught.value.problems
    assert problem.key == "outline"
    assert told in problem.text()


@pytest.mark.parametrize("length", [224.0, 235.0, 251.0])
def test_a_trace_may_be_a_little_longer_than_the_foot(length: float) -> None:
    check_trace(traced_outline(f"M0 0 H80 V{length} H0 Z"), 235)


@pytest.mark.parametrize("length", [215.0, 260.0])
def test_a_trace_of_another_foot_is_refused(length: float) -> None:
    with pytest.raises(PatternError, match=f"{length:g} mm long and the foot 235 mm"):
        check_trace(traced_outline(f"M0 0 H80 V{length} H0 Z"), 235)
