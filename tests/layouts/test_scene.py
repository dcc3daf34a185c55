"""Items: bounds, moving, shapes, the safe area, and the contrast of the inks."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layouts.faces import Face
from layouts.paper import MM_PER_PT, Margins
from layouts.scene import (
    GREY_60,
    MEANING_INKS,
    TINT_15,
    WHITE,
    Align,
    Anchor,
    Box,
    CurveTo,
    Group,
    Ink,
    Item,
    Link,
    MoveTo,
    Page,
    Path,
    Text,
    arc,
    bounds,
    bounds_of,
    circle,
    hatch,
    line,
    lines,
    moved,
    outside_safe_area,
    placed,
    polygon,
    rect,
)

sizes = st.floats(-200, 200)


def box_of(item: Item) -> tuple[float, float, float, float]:
    box = bounds(item)
    return (box.left_mm, box.top_mm, box.right_mm, box.bottom_mm)


def luminance(ink: Ink) -> float:
    """WCAG 2.2, "relative luminance"."""
    linear = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
        for part in (ink.red, ink.green, ink.blue)
    ]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(first: Ink, second: Ink) -> float:
    """WCAG 2.2, "contrast ratio"."""
    lighter, darker = sorted((luminance(first), luminance(second)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_contrast_formula_gives_the_known_ratios() -> None:
    """Worked from WCAG 2.2: black 21, the lightest AA grey #767676 4.54, #777777 just fails."""
    assert contrast(Ink.grey(0), WHITE) == pytest.approx(21)
    assert contrast(Ink.from_hex("#767676"), WHITE) == pytest.approx(4.5422, abs=1e-4)
    assert contrast(Ink.from_hex("#777777"), WHITE) == pytest.approx(4.4781, abs=1e-4)
    assert contrast(Ink.from_hex("#0072B2"), WHITE) == pytest.approx(5.1854, abs=1e-4)


def test_every_ink_that_carries_meaning_passes_for_small_text() -> None:
    """WCAG 2.2, success criterion 1.4.3: 4.5 for text."""
    assert len(MEANING_INKS) == 2
    for ink in MEANING_INKS:
        assert contrast(ink, WHITE) >= 4.5
    assert contrast(GREY_60, WHITE) == pytest.approx(5.7418, abs=1e-4)


def test_tint_is_too_light_to_carry_meaning() -> None:
    """WCAG 2.2, success criterion 1.4.11: 3 for graphics."""
    assert contrast(TINT_15, WHITE) < 3
    assert TINT_15 not in MEANING_INKS


def test_hex_colours() -> None:
    assert Ink.from_hex("#0072B2") == Ink(0, 0x72 / 255, 0xB2 / 255)
    assert Ink.from_hex("#808080").is_grey
    assert not Ink.from_hex("#808081").is_grey
    for text in ("0072B2", "#0072B", "#0072BG", "red", "#0072 B2"):
        with pytest.raises(ValueError, match="six hex digits"):
            Ink.from_hex(text)


def test_text_is_measured_from_its_base_line() -> None:
    # 72 pt make an em of 25.4 mm.  Source Sans 3: H is 652 wide (hmtx), d rises 712, p falls 205.
    text = Text(10, 100, "HH", size_pt=72)
    assert box_of(text) == pytest.approx(
        (10, 100 - 0.712 * 25.4, 10 + 2 * 0.652 * 25.4, 100 + 0.205 * 25.4)
    )


def test_symbols_fill_their_cells() -> None:
    row = Text(10, 100, "kpe", Face.SYMBOLS, 4 / MM_PER_PT)
    assert box_of(row) == pytest.approx((10, 96, 22, 100))


def test_alignment_and_spacing_move_the_ends() -> None:
    def ends(align: Align) -> tuple[float, float]:
        row = Text(50, 20, "kkk", Face.SYMBOLS, 4 / MM_PER_PT, align=align, spacing_mm=1)
        return (bounds(row).left_mm, bounds(row).right_mm)

    assert ends(Align.LEFT) == pytest.approx((50, 64))
    assert ends(Align.CENTRE) == pytest.approx((43, 57))
    assert ends(Align.RIGHT) == pytest.approx((36, 50))


def test_dropped_characters_take_no_spacing() -> None:
    clean = Text(0, 0, "kk", Face.SYMBOLS, 10, spacing_mm=1)
    dirty = Text(0, 0, "k\x00\x01k", Face.SYMBOLS, 10, spacing_mm=1)
    assert bounds(clean) == bounds(dirty)


def test_path_is_measured_with_its_stroke() -> None:
    width_mm = 2.0
    box = rect(10, 20, 30, 40, stroke_pt=width_mm / MM_PER_PT)
    assert box_of(box) == pytest.approx((9, 19, 41, 61))
    assert box_of(rect(10, 20, 30, 40, stroke=None, fill=WHITE)) == pytest.approx((10, 20, 40, 60))


def test_curve_is_measured_where_it_turns_not_at_its_controls() -> None:
    # x = 3 t (1 - t)^2 * 8 + ... by hand: x(t) = 24 t (1 - t), whose top is 6 at t = 1/2.
    curve = Path((MoveTo(0, 0), CurveTo(8, 0, 8, 10, 0, 10)), stroke=None, fill=WHITE)
    assert box_of(curve) == pytest.approx((0, 0, 6, 10))


def test_circle_and_arc_have_the_size_they_say() -> None:
    assert box_of(circle(50, 60, 10, stroke=None, fill=WHITE)) == pytest.approx((40, 50, 60, 70))
    quarter = bounds(arc(50, 60, 10, 0, 90, stroke_pt=0))
    assert (quarter.left_mm, quarter.top_mm) == pytest.approx((50, 50))
    assert (quarter.right_mm, quarter.bottom_mm) == pytest.approx((60, 60))


@given(st.floats(-720, 720), st.floats(-720, 720), st.floats(0, 1))
def test_arcs_stay_on_their_circle(start: float, end: float, t: float) -> None:
    path = arc(3, 4, 10, start, end)
    x, y = path.segments[0][:2]
    for segment in path.segments[1:]:
        assert isinstance(segment, CurveTo)
        x1, y1, x2, y2, x3, y3 = segment
        parts = ((1 - t) ** 3, 3 * (1 - t) ** 2 * t, 3 * (1 - t) * t * t, t**3)
        at_x = sum(part * value for part, value in zip(parts, (x, x1, x2, x3), strict=True))
        at_y = sum(part * value for part, value in zip(parts, (y, y1, y2, y3), strict=True))
        assert math.hypot(at_x - 3, at_y - 4) == pytest.approx(10, abs=0.003)
        x, y = x3, y3


def test_clock_angles_run_clockwise_from_twelve() -> None:
    first, *_, last = arc(0, 0, 10, 0, 90).segments
    assert tuple(first) == pytest.approx((0, -10))
    assert tuple(last)[-2:] == pytest.approx((10, 0))


def test_rounded_corners_stay_inside_and_never_exceed_half_a_side() -> None:
    assert box_of(rect(0, 0, 20, 10, radius_mm=3, stroke_pt=0)) == pytest.approx((0, 0, 20, 10))
    assert box_of(rect(0, 0, 20, 10, radius_mm=99, stroke_pt=0)) == pytest.approx((0, 0, 20, 10))


def test_hatching_fills_a_square_evenly() -> None:
    square = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))
    path = hatch(square, pitch_mm=2, degrees=0)
    # The lattice 0, 2, ... 10 without the last, which the neighbour below would draw again.
    rows = sorted({round(segment[1], 6) for segment in path.segments if segment})
    assert rows == [0, 2, 4, 6, 8]
    for start, end in zip(path.segments[::2], path.segments[1::2], strict=True):
        assert sorted((start[0], end[0])) == pytest.approx([0, 10])


def test_hatching_leaves_a_notch_free() -> None:
    notched = ((0.0, 0.0), (4.0, 0.0), (4.0, 6.0), (6.0, 6.0), (6.0, 0.0), (10.0, 0.0),
               (10.0, 10.0), (0.0, 10.0))  # fmt: skip
    path = hatch(notched, pitch_mm=1, degrees=0)
    spans = [
        (start[0], end[0])
        for start, end in zip(path.segments[::2], path.segments[1::2], strict=True)
        if start[1] < -3 or 2.5 < start[1] < 3.5
    ]
    assert [pytest.approx(span) for span in spans] == [(0, 4), (6, 10)]


@given(st.floats(0, 180), st.floats(0.5, 5))
def test_hatching_stays_inside_its_outline(degrees: float, pitch_mm: float) -> None:
    hexagon = [(20 + 10 * math.sin(k), 30 + 10 * math.cos(k)) for k in range(6)]
    path = hatch(hexagon, pitch_mm=pitch_mm, degrees=degrees, stroke_pt=0)
    assert path.segments
    assert bounds(polygon(hexagon, stroke=None)).holds(bounds(path))


def test_group_moves_and_turns_its_items() -> None:
    item = rect(1, 2, 10, 4, stroke=None, fill=WHITE)
    assert box_of(Group((item,), 100, 50)) == pytest.approx((101, 52, 111, 56))
    # Clockwise: what lay to the right now lies below, what lay below now lies to the left.
    assert box_of(Group((item,), 100, 50, 1)) == pytest.approx((94, 51, 98, 61))
    assert box_of(Group((item,), 100, 50, 2)) == pytest.approx((89, 44, 99, 48))
    assert box_of(Group((item,), 100, 50, 3)) == pytest.approx((102, 39, 106, 49))
    assert bounds(Group((item,), 100, 50, 4)) == bounds(Group((item,), 100, 50))


@given(sizes, sizes, st.integers(0, 3))
def test_moved_items_take_their_bounds_along(dx_mm: float, dy_mm: float, turns: int) -> None:
    items: list[Item] = [
        Text(3, 4, "peg 12"),
        circle(5, 6, 7),
        Group((Text(1, 2, "x"), line(0, 0, 5, 5)), 3, 4, turns),
        Link(1, 2, 3, 4, "toe"),
        Anchor("toe", 9),
    ]
    for item in items:
        found = box_of(moved(item, dx_mm, dy_mm))
        want = bounds(item).moved(dx_mm, dy_mm)
        assert found == pytest.approx((want.left_mm, want.top_mm, want.right_mm, want.bottom_mm))


def test_placed_scales_the_shape_and_not_the_stroke() -> None:
    big = placed(circle(1, 1, 1, stroke_pt=2), 10, 20, scale=5)
    assert big.stroke_pt == 2
    assert bounds(big).grown(-1 * MM_PER_PT) == Box(*map(pytest.approx, (10, 20, 20, 30)))


def test_things_without_ink_do_not_count() -> None:
    ink = rect(10, 10, 5, 5, stroke=None, fill=WHITE)
    mixed = (Anchor("start", 0), Link(0, 0, 99, 99, 1), Group(()), Text(0, 0, ""), ink)
    assert bounds_of(mixed) == bounds(ink)


def test_items_outside_the_safe_area_are_found() -> None:
    inside = rect(6, 6, 62, 93, stroke=None, fill=WHITE)
    outside = [
        rect(5.9, 6, 1, 1, stroke=None, fill=WHITE),
        Text(60, 50, "a long line of text"),
        Group((line(0, 0, 0, 10),), 10, 98),
    ]
    page = Page(74, 105, (inside, Link(0, 0, 74, 105, 1), *outside), safe=Margins.even(6))
    assert outside_safe_area(page) == tuple(outside)


def test_boxes_hold_and_meet() -> None:
    box = Box(0, 0, 10, 10)
    assert box.holds(Box(0, 0, 10, 10))
    assert not box.holds(Box(0, 0, 10.1, 10))
    assert box.meets(Box(9, 9, 20, 20))
    assert not box.meets(Box(10, 0, 20, 10)), "sharing an edge is not meeting"
    assert lines([(0, 0, 1, 1), (2, 2, 3, 3)]).segments[2] == MoveTo(2, 2)
