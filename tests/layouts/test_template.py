"""The foot template at true size, read back from its PDF with pdfplumber and pikepdf."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from io import BytesIO
from itertools import pairwise
from typing import Any

import pdfplumber
import pikepdf
import pytest
from fontTools.misc.bezierTools import calcCubicBounds, splitCubic
from hypothesis import given, settings
from hypothesis import strategies as st

from charts.feet import foot_from_measures
from charts.fitting import FittedSpec, fit_spec
from charts.foot_measures import FootMeasures
from charts.pattern_file import read_pattern
from charts.plan import make_plan
from charts.problems import PatternError
from charts.sock import make_rows
from charts.verify import Knit, verify
from layouts.block import DoesNotFitError
from layouts.foot_drawing import ruling_of
from layouts.foot_sheets import OVERLAP_MM
from layouts.foot_side import FootSide
from layouts.paper import MM_PER_PT, PAPERS, Paper
from layouts.pdf import write_pdf
from layouts.scene import Document, Group, Text, outside_safe_area
from layouts.template import make_template

TOLERANCE_MM = 0.05
OUTLINE_PT = 1.6
FOLDED = ("a5", "half-letter")
SHEETS = ("a5", "half-letter", "a4", "letter")

# 25 rows in 10 cm: a row is 4 mm.  The heel less 10 % is 57.6 mm or 10.9 stitches, so 10 of the 24
# heel pegs turn, in 14 rows.  Foot 235 less 2.5 % is 229.1 mm or 57.3 rows; less 14 of turn and
# 12.5 of toe (6 pegs a side) 30.8 are left: 31.
ADULT = """
title = "Harbour steps"
[loom]
pegs = 40
spacing = "3/8 in"
[gauge]
stitches = 19
rows = 25
[wearer]
length = "235 mm"
ball = "225 mm"
heel_width = "64 mm"
"""
CHILD = """
title = "Small steps"
[loom]
pegs = 40
spacing = "1/4 in"
[gauge]
stitches = 26
rows = 34
[wearer]
length = "150 mm"
"""
TRACE = "M60 0 C100 0 92 70 88 110 C84 160 85 180 84 200 A 32 38 0 0 1 20 200 C18 160 0 130 2 90 C4 40 30 0 60 0 Z"  # noqa: E501


@cache
def fitted(pattern: str) -> tuple[FittedSpec, Knit]:
    found = fit_spec(read_pattern(pattern))
    plan = make_plan(found.spec)
    return found, verify(plan, make_rows(plan))


@cache
def template(pattern: str, paper: str, side: FootSide = FootSide.LEFT) -> Document:
    return make_template(*fitted(pattern), paper=PAPERS[paper], side=side)


@cache
def pdf_of(pattern: str, paper: str) -> bytes:
    return write_pdf(template(pattern, paper))


def pages_of(pdf: bytes) -> list[Any]:
    with pdfplumber.open(BytesIO(pdf)) as file:
        return [page for page in file.pages if page.objects]


def mm(points: float) -> float:
    return points * MM_PER_PT


def level_lines(page: Any, width_pt: float) -> list[tuple[float, float, float]]:
    """Left, right and depth in mm of every level line of that stroke width."""
    return [
        (mm(one["x0"]), mm(one["x1"]), mm(one["top"]))
        for one in page.lines
        if abs(one["linewidth"] - width_pt) < 0.01 and abs(one["top"] - one["bottom"]) < 1e-3
    ]


def outline_curves(page: Any) -> Iterator[list[tuple[float, float]]]:
    """The Béziers of the foot's outline, by their four points in mm, y down."""
    for one in page.curves:
        if abs(one["linewidth"] - OUTLINE_PT) > 0.01:
            continue
        at = (0.0, 0.0)
        for operator, *points in one["path"]:
            placed = [(mm(x), mm(y)) for x, y in points]
            if operator == "c":
                yield [at, *placed]
            if placed:
                at = placed[-1]


def outline_span(page: Any) -> tuple[float, float]:
    """Top and bottom of the outline on a page."""
    boxes = [calcCubicBounds(*curve) for curve in outline_curves(page)]
    return min(box[1] for box in boxes), max(box[3] for box in boxes)


def outline_crossings(page: Any, y_mm: float) -> list[float]:
    return sorted(
        part[-1][0]
        for curve in outline_curves(page)
        for part in splitCubic(*curve, y_mm, True)[:-1]
    )


def crosses(page: Any) -> list[tuple[float, float]]:
    """The middles of the alignment crosses in mm: an upright and a level stroke of one length."""
    strokes = [one for one in page.lines if abs(one["linewidth"] - 1.0) < 0.01]
    upright = [one for one in strokes if abs(one["x0"] - one["x1"]) < 1e-3]
    return sorted(
        (mm(one["x0"]), mm((one["top"] + one["bottom"]) / 2))
        for one in upright
        if mm(one["bottom"] - one["top"]) == pytest.approx(7, abs=TOLERANCE_MM)
    )


# True size


@pytest.mark.parametrize("paper", SHEETS)
@pytest.mark.parametrize("pattern", [ADULT, CHILD])
def test_the_bar_is_ten_centimetres_and_four_inches_on_every_sheet(
    pattern: str, paper: str
) -> None:
    for page in pages_of(pdf_of(pattern, paper)):
        long = [right - left for left, right, _ in level_lines(page, 0.6)]
        assert any(abs(length - 100) <= TOLERANCE_MM for length in long)
        assert any(abs(length - 101.6) <= TOLERANCE_MM for length in long)
        text = page.extract_text()
        assert "10 cm" in text.replace("\xa0", " ")
        assert "4 in" in text.replace("\xa0", " ")


def test_a_foot_as_long_as_the_paper_has_the_bar_upright_beside_it() -> None:
    found, knit = fitted(ADULT)
    foot = foot_from_measures(FootMeasures(length_mm=260))
    document = make_template(replace(found, foot=foot), knit, paper=PAPERS["letter"])
    (page,) = pages_of(write_pdf(document))
    top, bottom = outline_span(page)
    assert bottom - top == pytest.approx(260, abs=TOLERANCE_MM)
    upright = [mm(one["bottom"] - one["top"]) for one in page.lines if one["x0"] == one["x1"]]
    assert any(abs(length - 100) <= TOLERANCE_MM for length in upright)
    assert any(abs(length - 101.6) <= TOLERANCE_MM for length in upright)


@pytest.mark.parametrize(
    ("pattern", "paper", "length"),
    [(ADULT, "a4", 235), (ADULT, "letter", 235), *((CHILD, paper, 150) for paper in SHEETS)],
)
def test_on_one_sheet_the_outline_is_as_long_as_the_foot(
    pattern: str, paper: str, length: float
) -> None:
    (page,) = pages_of(pdf_of(pattern, paper))
    top, bottom = outline_span(page)
    assert bottom - top == pytest.approx(length, abs=TOLERANCE_MM)


def test_the_outline_is_as_wide_as_ball_and_heel() -> None:
    (page,) = pages_of(pdf_of(ADULT, "a4"))
    boxes = [calcCubicBounds(*curve) for curve in outline_curves(page)]
    width = max(box[2] for box in boxes) - min(box[0] for box in boxes)
    assert width == pytest.approx(0.405 * 225, abs=TOLERANCE_MM)
    _, heel_end = outline_span(page)
    left, right = outline_crossings(page, heel_end - 0.16 * 235)
    assert right - left == pytest.approx(64, abs=TOLERANCE_MM)


@pytest.mark.parametrize("paper", SHEETS)
def test_viewers_are_told_not_to_scale_and_readers_too(paper: str) -> None:
    pdf = pdf_of(ADULT, paper)
    with pikepdf.open(BytesIO(pdf)) as file:
        assert str(file.Root.ViewerPreferences.PrintScaling) == "/None"
    text = pages_of(pdf)[0].extract_text().replace("\xa0", " ")
    assert "Print at 100 %" in text


# Rows


def test_the_ruling_is_counted_in_the_knitted_record() -> None:
    found, knit = fitted(ADULT)
    assert found.gauge is not None
    ruling = ruling_of(knit, found.gauge)
    assert (ruling.turn_rows, ruling.foot_rows, ruling.toe_rows) == (14, 31, 24)
    assert ruling.row_mm == 4
    assert ruling.turn_mm == pytest.approx(56)
    assert ruling.toe_mm == pytest.approx(180)
    assert ruling.end_mm == pytest.approx(230)
    assert ruling.strip_pegs == 10
    assert ruling.strip_mm == pytest.approx(52.63, abs=0.01)


def test_lines_lie_where_turn_and_toe_and_every_tenth_foot_row_end() -> None:
    (page,) = pages_of(pdf_of(ADULT, "a4"))
    top, heel_end = outline_span(page)
    borders = sorted(heel_end - y for _, _, y in level_lines(page, 1.2))
    assert borders == pytest.approx([56, 180], abs=TOLERANCE_MM)
    inside = [heel_end - y for _, _, y in level_lines(page, 0.6) if top < y < heel_end]
    assert sorted(set(inside)) == pytest.approx([96, 136, 176], abs=TOLERANCE_MM)
    (end,) = {round(heel_end - y, 3) for _, _, y in level_lines(page, 0.9)}
    assert end == pytest.approx(230, abs=TOLERANCE_MM)


def test_lines_run_from_edge_to_edge_of_the_foot() -> None:
    (page,) = pages_of(pdf_of(ADULT, "a4"))
    for left, right, y in level_lines(page, 1.2):
        assert [left, right] == pytest.approx(outline_crossings(page, y), abs=TOLERANCE_MM)


@pytest.mark.parametrize("paper", SHEETS)
def test_row_numbers_stand_at_their_lines(paper: str) -> None:
    found = {}
    for page in pages_of(pdf_of(ADULT, paper)):
        words = page.extract_words()
        for word, number in pairwise(words):
            if word["text"] == "row" and number["text"].isdigit():
                middle = mm((number["top"] + number["bottom"]) / 2)
                _, bottom = outline_span(page)
                below = [y for _, _, y in level_lines(page, 0.6) if abs(y - middle) < 0.6]
                assert below, number["text"]
                found[number["text"]] = bottom - below[0]
    assert found.keys() == {"10", "20", "30"}


def test_the_strip_under_the_heel_is_as_wide_as_its_pegs() -> None:
    (page,) = pages_of(pdf_of(ADULT, "a4"))
    _, heel_end = outline_span(page)
    edges = sorted(
        {
            round(mm(one["x0"]), 2)
            for one in page.lines
            if one["x0"] == one["x1"] and abs(mm(one["top"]) - (heel_end - 56)) < TOLERANCE_MM
        }
    )
    assert len(edges) == 2
    assert edges[1] - edges[0] == pytest.approx(52.63, abs=TOLERANCE_MM)


def test_there_is_a_tick_at_both_edges_for_every_row() -> None:
    (page,) = pages_of(pdf_of(ADULT, "a4"))
    _, heel_end = outline_span(page)
    depths = [heel_end - y for left, right, y in level_lines(page, 0.3) if right - left < 3.5]
    # All the rows up to the tip but those at both ends, where the foot is too narrow for ticks.
    for row in range(3, 14 + 31 + 10):
        at = [depth for depth in depths if abs(depth - 4 * row) < TOLERANCE_MM]
        assert len(at) == 2, row


# Sheets that are joined


def joined(pattern: str, paper: str) -> tuple[Any, Any, tuple[float, float]]:
    """Two pages and the shift that carries a point of the second onto the first, by the crosses."""
    upper, lower = pages_of(pdf_of(pattern, paper))
    above, below = crosses(upper), crosses(lower)
    assert len(above) == len(below) == 2
    shifts = [(ax - bx, ay - by) for (ax, ay), (bx, by) in zip(above, below, strict=True)]
    assert shifts[0] == pytest.approx(shifts[1], abs=0.001)
    return upper, lower, shifts[0]


@pytest.mark.parametrize("paper", FOLDED)
def test_the_outline_meets_where_two_sheets_are_joined(paper: str) -> None:
    upper, lower, (shift_x, shift_y) = joined(ADULT, paper)
    joint = crosses(upper)[0][1]
    for above_mm in (0.5, 2.0, 5.0, 9.5):
        y = joint - above_mm
        there = outline_crossings(upper, y)
        here = [x + shift_x for x in outline_crossings(lower, y - shift_y)]
        assert len(there) == 2
        assert here == pytest.approx(there, abs=TOLERANCE_MM)


@pytest.mark.parametrize("paper", FOLDED)
def test_two_sheets_together_are_as_long_as_the_foot(paper: str) -> None:
    upper, lower, (_, shift_y) = joined(ADULT, paper)
    tip, joint = outline_span(upper)
    strip, heel_end = outline_span(lower)
    assert heel_end + shift_y - tip == pytest.approx(235, abs=TOLERANCE_MM)
    assert joint - (strip + shift_y) == pytest.approx(OVERLAP_MM, abs=TOLERANCE_MM)
    assert joint == pytest.approx(crosses(upper)[0][1], abs=TOLERANCE_MM)


@pytest.mark.parametrize("paper", FOLDED)
def test_rows_run_on_over_the_joint(paper: str) -> None:
    upper, lower, (_, shift_y) = joined(ADULT, paper)
    tip, joint = outline_span(upper)
    heel_end = tip + 235
    strip, bottom = outline_span(lower)
    seen = {heel_end - y for _, _, y in level_lines(upper, 0.6) if tip < y < joint - 0.1}
    seen |= {
        heel_end - (y + shift_y)
        for _, _, y in level_lines(lower, 0.6)
        if strip < y < bottom and abs(y + shift_y - joint) > 0.1
    }
    for depth in seen:
        assert min(abs(depth - due) for due in (96, 136, 176)) < TOLERANCE_MM
    assert {round(depth) for depth in seen} == {96, 136, 176}


@pytest.mark.parametrize("paper", FOLDED)
def test_both_sheets_name_the_joint_and_themselves(paper: str) -> None:
    upper, lower = pages_of(pdf_of(ADULT, paper))
    for number, page in enumerate((upper, lower), start=1):
        words = [word["text"] for word in page.extract_words()]
        assert words.count("A") == 2
        assert f"Sheet {number} of 2" in page.extract_text()
    assert "A–A" in upper.extract_text()
    assert "this strip goes under sheet 1" in lower.extract_text()


# Words and looks


def texts(items: tuple[Any, ...]) -> Iterator[Text]:
    for item in items:
        if isinstance(item, Group):
            yield from texts(item.items)
        elif isinstance(item, Text):
            yield item


@pytest.mark.parametrize("paper", SHEETS)
@pytest.mark.parametrize("pattern", [ADULT, CHILD])
def test_no_word_lies_on_another(pattern: str, paper: str) -> None:
    for page in pages_of(pdf_of(pattern, paper)):
        words = page.extract_words()
        for index, one in enumerate(words):
            for other in words[index + 1 :]:
                across = min(one["x1"], other["x1"]) - max(one["x0"], other["x0"])
                down = min(one["bottom"], other["bottom"]) - max(one["top"], other["top"])
                # Lines of text set close share the room for their ascenders.
                apart = across <= 0.1 or down <= 0.35 * (one["bottom"] - one["top"])
                assert apart, (one["text"], other["text"])


def test_estimates_say_what_they_rest_on() -> None:
    (page,) = pages_of(pdf_of(CHILD, "a4"))
    text = " ".join(page.extract_text().replace("\xa0", " ").split())
    for words in ("0.405 of the ball circumference, ANSUR II", "1902", "estimated", "from memory"):
        assert words in text


def test_measured_widths_are_not_called_estimates() -> None:
    (page,) = pages_of(pdf_of(ADULT, "a4"))
    text = " ".join(page.extract_text().replace("\xa0", " ").split())
    assert "Heel width 6.4 cm (2½ in), as measured" in text


def test_lengths_are_told_in_both_units_the_designers_first() -> None:
    inches = ADULT.replace('title = "Harbour steps"', 'title = "Harbour steps"\nunits = "in"')
    (page,) = pages_of(pdf_of(inches, "a4"))
    text = page.extract_text().replace("\xa0", " ")
    assert "9¼ in (23.5 cm)" in text
    assert "2¼ in (5.6 cm)" in text
    # 25 rows in 10 cm are 25.4 in 4 in, which are 101.6 mm
    assert "25.4 rows in 4 in, as given" in text
    assert "rows in 10 cm" not in text


def test_everything_is_black_on_white() -> None:
    for page in pages_of(pdf_of(ADULT, "a5")):
        inks = {char["non_stroking_color"] for char in page.chars}
        inks |= {one["stroking_color"] for one in (*page.lines, *page.curves) if one["stroke"]}
        assert inks <= {(0,), 0}


def test_a_right_foot_is_the_mirror_of_the_left() -> None:
    (left,) = pages_of(pdf_of(ADULT, "a4"))
    (right,) = pages_of(write_pdf(template(ADULT, "a4", FootSide.RIGHT)))
    top, _ = outline_span(left)
    for depth in (5.0, 61.0, 200.0):
        start, end = outline_crossings(left, top + depth)
        mirrored = outline_crossings(right, top + depth)
        middle = 2 * 8.0 + 0.405 * 225
        assert mirrored == pytest.approx([middle - end, middle - start], abs=TOLERANCE_MM)
    assert "Right foot" in right.extract_text()


def test_the_same_template_gives_the_same_bytes() -> None:
    again = make_template(*fitted(ADULT), paper=PAPERS["a5"])
    assert write_pdf(again) == pdf_of(ADULT, "a5")


# Traced outlines


def test_a_traced_outline_is_printed_at_its_own_size() -> None:
    document = make_template(*fitted(ADULT), paper=PAPERS["a4"], outline_path=TRACE)
    (page,) = pages_of(write_pdf(document))
    top, bottom = outline_span(page)
    assert bottom - top == pytest.approx(238, abs=TOLERANCE_MM)
    assert "traced" in page.extract_text()


def test_the_trace_of_the_other_foot_is_mirrored() -> None:
    made = [
        make_template(
            *fitted(ADULT), paper=PAPERS["a4"], outline_path=TRACE, traced_side=traced_side
        )
        for traced_side in (None, FootSide.LEFT, FootSide.RIGHT)
    ]
    as_traced, same, mirrored = map(write_pdf, made)
    assert as_traced == same != mirrored


def test_a_trace_needs_no_measured_foot() -> None:
    found, knit = fitted(ADULT)
    document = make_template(
        replace(found, foot=None), knit, paper=PAPERS["a4"], outline_path=TRACE
    )
    assert len(document.pages) == 1


# What cannot be drawn


def test_without_gauge_and_foot_both_are_asked_for() -> None:
    found, knit = fitted(ADULT)
    with pytest.raises(PatternError) as caught:
        make_template(replace(found, foot=None, gauge=None), knit, paper=PAPERS["a4"])
    assert [problem.key for problem in caught.value.problems] == ["gauge", "wearer"]


def test_a_trace_of_another_foot_is_refused() -> None:
    found, knit = fitted(CHILD)
    with pytest.raises(PatternError, match="238 mm long and the foot 150 mm"):
        make_template(found, knit, paper=PAPERS["a4"], outline_path=TRACE)


def test_paper_too_small_is_refused_with_what_would_fit() -> None:
    with pytest.raises(DoesNotFitError, match="mm wide, such as a5"):
        make_template(*fitted(ADULT), paper=PAPERS["a7"])


def test_a_foot_much_shorter_than_the_sock_is_drawn_all_the_same() -> None:
    found, knit = fitted(ADULT)
    foot = foot_from_measures(FootMeasures(length_mm=150))
    document = make_template(replace(found, foot=foot), knit, paper=PAPERS["a4"])
    (page,) = pages_of(write_pdf(document))
    top, bottom = outline_span(page)
    assert bottom - top == pytest.approx(150, abs=TOLERANCE_MM)


@settings(max_examples=60, deadline=None)
@given(
    st.floats(80, 330),
    st.floats(0.75, 1.3),
    st.sampled_from([*(PAPERS[name] for name in SHEETS), Paper("own", 160.0, 190.0)]),
    st.sampled_from(FootSide),
)
def test_any_foot_on_any_paper_stays_inside_the_safe_area(
    length: float, ball_share: float, paper: Paper, side: FootSide
) -> None:
    found, knit = fitted(CHILD)
    foot = foot_from_measures(FootMeasures(length_mm=length, ball_mm=ball_share * length))
    try:
        document = make_template(replace(found, foot=foot), knit, paper=paper, side=side)
    except DoesNotFitError:
        assert 0.405 * ball_share * length + 16 > paper.width_mm - 18
        return
    for page in document.pages:
        assert outside_safe_area(page) == ()
        assert (page.width_mm, page.height_mm) == (paper.width_mm, paper.height_mm)
