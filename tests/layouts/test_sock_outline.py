"""The sock outline: lengths follow the counts, parts fill the outline without gap or overlap."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from charts.loom import Loom
from charts.parts import Part
from charts.plan import Plan, make_plan
from charts.spec import Cuff, Foot, Gauge, Heel, Leftover, Leg, SockSpec
from layouts.scene import Box, CurveTo, LineTo, MoveTo, Page, Segment
from layouts.sock_outline import sock_shape, sock_signpost
from tests.layouts.placed_items import paths_of

FILLED = (Part.CUFF, Part.LEG, Part.FLAP, Part.TURN, Part.FOOT, Part.TOE)


def plan_of(**changes: object) -> Plan:
    spec = SockSpec("Sock", Loom(40, 9.525, "3/8 in"), gauge=Gauge(15, 20))
    return make_plan(replace(spec, **changes))  # type: ignore[arg-type]


def area(segments: tuple[Segment, ...]) -> float:
    """By the shoelace formula over points on the outline; curves in 64 straight pieces."""
    points: list[tuple[float, float]] = []
    x = y = 0.0
    for segment in segments:
        match segment:
            case MoveTo() | LineTo():
                x, y = segment
                points.append((x, y))
            case CurveTo(x1, y1, x2, y2, x3, y3):
                for step in range(1, 65):
                    t = step / 64
                    u = 1 - t
                    points.append(
                        (
                            u**3 * x + 3 * u * u * t * x1 + 3 * u * t * t * x2 + t**3 * x3,
                            u**3 * y + 3 * u * u * t * y1 + 3 * u * t * t * y2 + t**3 * y3,
                        )
                    )
                x, y = x3, y3
    twice = sum(
        x1 * y2 - x2 * y1
        for (x1, y1), (x2, y2) in zip(points, [*points[1:], points[0]], strict=True)
    )
    return abs(twice) / 2


def test_lengths_follow_the_counts_and_the_gauge() -> None:
    """15 stitches and 20 rows: a row is 0.75 stitch widths high.  16 and 32 rows, 50 foot rows."""
    shape = sock_shape(plan_of())
    assert shape.width == 20.0
    assert shape.cuff_end == pytest.approx(16 * 0.75)
    assert shape.heel_start - shape.cuff_end == pytest.approx(32 * 0.75)
    assert shape.toe_start - shape.turn_length == pytest.approx(50 * 0.75)
    assert shape.turn_length == pytest.approx(16 * 0.75)
    assert shape.toe_end - shape.toe_start == pytest.approx(12 * 0.75)


def test_more_rows_make_a_longer_part() -> None:
    short, long = sock_shape(plan_of()), sock_shape(plan_of(leg=Leg(rows=48)))
    assert long.heel_start > short.heel_start
    assert long.cuff_end == short.cuff_end


@settings(max_examples=60, deadline=None)
@given(
    pegs=st.integers(16, 120),
    cuff=st.integers(1, 200),
    leg=st.integers(0, 400),
    foot=st.integers(4, 400),
)
def test_the_parts_of_any_sock_fill_its_outline(pegs: int, cuff: int, leg: int, foot: int) -> None:
    plan = plan_of(
        loom=Loom(pegs, 9.525, "3/8 in"),
        cuff=Cuff(rows=cuff, leftover=Leftover.KNIT),
        leg=Leg(rows=leg),
        foot=Foot(rows=foot),
    )
    shape = sock_shape(plan)
    whole = area(shape.outline())
    parts = [area(region) for part in FILLED if (region := shape.region(part))]
    assert all(one > 0 for one in parts)
    assert sum(parts) == pytest.approx(whole, rel=0.03)


def test_a_leg_without_rows_has_no_region() -> None:
    assert sock_shape(plan_of(leg=Leg(rows=0))).region(Part.LEG) == ()


def test_a_very_wide_heel_still_draws_a_sock() -> None:
    shape = sock_shape(plan_of(heel=Heel(pegs=38, centre=2)))
    assert 0 < shape.heel_start < shape.flap_end < shape.sole
    assert shape.heel_start < shape.foot_top < shape.sole
    assert shape.flap_width < shape.width


@pytest.mark.parametrize("part", [None, *Part])
def test_signposts_stay_in_their_room(part: Part | None) -> None:
    block = sock_signpost(plan_of(), part, width_mm=17.0, height_mm=15.0)
    assert block.width_mm <= 17.0 + 1e-9
    assert block.height_mm <= 15.0 + 1e-9
    room = Box(0.0, 0.0, 17.0, 15.0).grown(0.2)
    page = Page(17.0, 15.0, block.items)
    assert all(room.holds(one.box) for one in paths_of(page))


def test_each_part_is_filled_at_another_place() -> None:
    boxes = set()
    for part in Part:
        block = sock_signpost(plan_of(), part, width_mm=17.0, height_mm=15.0)
        marked = paths_of(Page(17.0, 15.0, block.items))[0].box
        boxes.add((round(marked.left_mm, 2), round(marked.top_mm, 2)))
    assert len(boxes) == len(Part)
