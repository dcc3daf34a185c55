"""Charts as drawn: read back from the items, and looked at as a knitter would."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import combinations, pairwise
from pathlib import Path as FilePath

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from charts.chart import ABSENT, Chart, ChartFold, ChartRow, ChartStrip, Folding, make_chart
from charts.loom import Loom, Working
from charts.parts import Part, parts_of
from charts.pattern_file import read_pattern
from charts.plan import make_plan
from charts.problems import PatternError
from charts.rows import Row, Section
from charts.sock import make_rows
from charts.spec import Flanks, Gauge, Leg, Motif, SockSpec
from charts.stretches import stretch_cuts
from charts.verify import Knit, verify
from layouts.block import Block, DoesNotFitError
from layouts.edition import Edition, PrintSize
from layouts.faces import Face, metrics
from layouts.grid import (
    STOCKINETTE_RATIO,
    cell_ratio,
    draw_chart,
    fit_chart,
    measure_chart,
    rows_in_words,
)
from layouts.grid_geometry import GridGeometry
from layouts.grid_split import cut_up, shaping_turns
from layouts.grid_terms import ChartPiece, column_label
from layouts.paper import MM_PER_PT, PAPERS
from layouts.scene import Box, Cap, Group, Item, LineTo, MoveTo, Path, Role, Text, bounds, bounds_of
from layouts.strips import WantedLabel, place_labels
from layouts.style import BOOKLET, CARD, SMALL_CARD, PageStyle, style_of
from layouts.symbols import outlines

KnitOf = Callable[[str], Knit]

WIDTH_MM, HEIGHT_MM = 120.0, 180.0
"""The room on an A5 page (ISO 216) inside our margins."""


def on_a5(knit: Knit, part: Part) -> tuple[Block, ...]:
    return fit_chart(knit, part, width_mm=WIDTH_MM, height_mm=HEIGHT_MM)


# --- Reading the drawing: by what stands where, not by what its attributes say -----------------


@dataclass(frozen=True)
class Placed:
    item: Text | Path
    box: Box


def placed(items: tuple[Item, ...], dx_mm: float = 0.0, dy_mm: float = 0.0) -> Iterator[Placed]:
    """Texts and paths with their boxes on the block; groups on their side are not looked into."""
    for item in items:
        if isinstance(item, Group):
            assert item.quarter_turns == 0
            yield from placed(item.items, dx_mm + item.dx_mm, dy_mm + item.dy_mm)
        elif isinstance(item, Text | Path):
            yield Placed(item, bounds(item).moved(dx_mm, dy_mm))


def groups(items: tuple[Item, ...]) -> Iterator[Group]:
    for item in items:
        if isinstance(item, Group):
            yield item
            yield from groups(item.items)


def table_rows(block: Block, kind: str) -> list[Group]:
    return [group for group in groups(block.items) if ("line", kind) in group.attrs]


def texts(group: Group | Block) -> list[Text]:
    return [one.item for one in placed(group.items) if isinstance(one.item, Text)]


def middles_mm(block: Block) -> dict[float, tuple[int, ...]]:
    """Middle of each numbered column and its pegs, from the printed numbers."""
    (header,) = table_rows(block, "pegs")
    found = {}
    for one in placed(header.items):
        assert isinstance(one.item, Text)
        first, *last = map(int, one.item.text.split("–"))
        if not last:
            pegs: tuple[int, ...] = (first,)
        elif first <= last[0]:
            pegs = tuple(range(first, last[0] + 1))
        else:
            pegs = tuple(range(first, last[0] - 1, -1))
        found[(one.box.left_mm + one.box.right_mm) / 2] = pegs
    return found


def columns_mm(block: Block) -> list[tuple[float, float, tuple[int, ...]]]:
    """Left and right edge of each column, from the upright lines, and its pegs."""
    edges = sorted({round(x1, 3) for x1, y1, x2, y2, _ in strokes(block) if x1 == x2 and y1 != y2})
    return [
        (left, right, pegs)
        for left, right in pairwise(edges)
        for middle, pegs in middles_mm(block).items()
        if left < middle < right
    ]


def letters_by_peg(block: Block, row: Group) -> dict[int, str]:
    """The symbols of a drawn row by the pegs whose numbers stand above them."""
    columns = columns_mm(block)
    found: dict[int, str] = {}
    for text in texts(row):
        if text.face is not Face.SYMBOLS:
            continue
        em_mm = text.size_pt * MM_PER_PT
        for index, letter in enumerate(text.text):
            middle_mm = text.x_mm + em_mm / 2 + index * (em_mm + text.spacing_mm)
            (pegs,) = [pegs for left, right, pegs in columns if left < middle_mm < right]
            assert not found.keys() & set(pegs)
            found |= dict.fromkeys(pegs, letter)
    return found


def strokes(block: Block) -> Iterator[tuple[float, float, float, float, float]]:
    """Straight strokes `(x1, y1, x2, y2, weight)` of the grid."""
    for one in placed(block.items):
        path = one.item
        if (
            not isinstance(path, Path)
            or path.stroke is None
            or path.dash_mm
            or path.cap is Cap.ROUND
        ):
            continue
        for start, end in pairwise(path.segments):
            if isinstance(start, MoveTo | LineTo) and isinstance(end, LineTo):
                yield (start.x_mm, start.y_mm, end.x_mm, end.y_mm, path.stroke_pt)


def drawn(knit: Knit, part: Part, folding: Folding = Folding.NONE) -> tuple[Chart, Block]:
    chart = make_chart(knit, part, folding=folding, fold_up=False)
    return chart, draw_chart(chart, cell_width_mm=5.2, cell_height_mm=4.0)


# --- Read back ---------------------------------------------------------------------------------


@pytest.mark.parametrize("folding", Folding)
def test_every_row_reads_back_as_it_was_proved(any_knit: Knit, folding: Folding) -> None:
    for part in (Part.LEG, Part.FLAP, Part.TURN, Part.FOOT, Part.TOE):
        _, block = drawn(any_knit, part, folding)
        proved = [event for event in any_knit.rows.of(*part.sections) if isinstance(event, Row)]
        rows = table_rows(block, "row")
        assert len(rows) == len(proved)
        for row, group in zip(proved, rows, strict=True):
            found = letters_by_peg(block, group)
            assert {peg: found[peg] for peg in row.pegs} == dict(
                zip(row.pegs, row.stitches, strict=True)
            )
            assert set("".join(letter for peg, letter in found.items() if peg not in row.pegs)) <= {
                "h",
                " ",
            }


def test_cuff_repeats_its_pegs_across(knit_of: KnitOf) -> None:
    _, block = drawn(knit_of("rope on 40"), Part.CUFF)
    rows = table_rows(block, "row")
    assert letters_by_peg(block, rows[0]) == {1: "k", 2: "k", 3: "p", 4: "p"}
    assert [text.text for text in texts(block) if "×" in text.text] == ["pegs 1–4 × 10, to peg 40"]


def test_attributes_say_what_is_drawn(any_knit: Knit) -> None:
    for part in (Part.LEG, Part.TURN, Part.TOE):
        chart, block = drawn(any_knit, part)
        rows = [line for line in chart.lines if isinstance(line, ChartRow)]
        for line, group in zip(rows, table_rows(block, "row"), strict=True):
            facts = dict(group.attrs)
            assert facts["cells"] == line.cells
            assert facts["row"] == line.label
            assert facts["direction"] == ("right" if line.starts_left else "left")
            assert facts["section"] == line.section.value
            assert facts["pegs"].split() == [str(column.pegs[0]) for column in chart.columns]
            found = letters_by_peg(block, group)
            for column, cell in zip(chart.columns, line.cells, strict=True):
                assert found.get(column.pegs[0], " ") == cell.replace(ABSENT, " ")


def test_rows_are_heard_in_the_words_of_the_steps_from_the_first_on(knit_of: KnitOf) -> None:
    (block,) = on_a5(knit_of("rope on 40"), Part.TOE)
    heard = [group.alt for group in table_rows(block, "row")]
    assert heard[0] == "Row 1, to the right: pegs 4–22 knit, 23 knit and turn."
    assert heard[1] == "Row 2, to the left: pegs 22–5 knit, 4 knit and turn."
    assert len(heard) == 24
    (table,) = [group for group in groups(block.items) if group.role is Role.TABLE]
    assert dict(table.attrs)["chart"] == "toe"


def test_rows_without_a_number_are_named(knit_of: KnitOf) -> None:
    knit = knit_of("rope on 40")
    (flap,) = on_a5(knit, Part.FLAP)
    assert table_rows(flap, "row")[-1].alt == "Partial row, to the right: peg 2 slip, 3–10 knit."
    (cuff,) = on_a5(knit, Part.CUFF)
    assert table_rows(cuff, "row")[-1].alt == "Run on, to the right: peg 1 knit."


# --- What is where -----------------------------------------------------------------------------


def test_row_numbers_stand_where_the_row_starts_and_arrows_point_into_it(any_knit: Knit) -> None:
    for part in (Part.FLAP, Part.TURN, Part.TOE):
        chart, block = drawn(any_knit, part)
        rows = [line for line in chart.lines if isinstance(line, ChartRow)]
        for line, group in zip(rows, table_rows(block, "row"), strict=True):
            symbols = [text for text in texts(group) if text.face is Face.SYMBOLS]
            left_mm = min(bounds(text).left_mm for text in symbols)
            right_mm = max(bounds(text).right_mm for text in symbols)
            (number,) = [text for text in texts(group) if text.text == line.label]
            paths = [one for one in placed(group.items) if isinstance(one.item, Path)]
            arrow = bounds_of([one.item for one in paths[:2]])
            if line.starts_left:
                assert bounds(number).right_mm < arrow.left_mm < arrow.right_mm < left_mm
            else:
                assert right_mm < arrow.left_mm < arrow.right_mm < bounds(number).left_mm


def test_counts_stand_at_the_end_of_shaped_rows_only(knit_of: KnitOf) -> None:
    knit = knit_of("rope on 40")
    _, toe = drawn(knit, Part.TOE)
    counts = [text.text for text in texts(toe) if re.fullmatch(r"\d+ sts", text.text)]
    hand_worked = [*range(20, 8, -1), 9, *range(9, 20)]
    assert counts == [f"{count} sts" for count in hand_worked]
    _, leg = drawn(knit, Part.LEG)
    assert not [text for text in texts(leg) if "st" in text.text.split()]


def test_no_frame_stands_where_there_is_no_stitch(any_knit: Knit) -> None:
    for part in (Part.TURN, Part.TOE, Part.FOOT):
        chart, block = drawn(any_knit, part)
        lines = list(strokes(block))
        middles = sorted(middles_mm(block))
        rows = [line for line in chart.lines if isinstance(line, ChartRow)]
        for line, group in zip(rows, table_rows(block, "row"), strict=True):
            symbol = next(text for text in texts(group) if text.face is Face.SYMBOLS)
            middle_mm = symbol.y_mm - symbol.size_pt * MM_PER_PT / 2
            upright = {
                round(x1, 2)
                for x1, y1, x2, y2, _ in lines
                if x1 == x2 and min(y1, y2) < middle_mm < max(y1, y2)
            }
            framed = [cell not in " ." for cell in line.cells]
            edges = [middles[0] - 2.6, *(x_mm + 2.6 for x_mm in middles)]
            wanted = {
                round(x_mm, 2)
                for x_mm, left, right in zip(edges, [False, *framed], [*framed, False], strict=True)
                if left or right
            }
            assert upright == wanted


def test_fifth_pegs_and_borders_have_heavier_lines(knit_of: KnitOf) -> None:
    for name, fifth_after in (("rope on 40", (5, 10, 15, 20)), ("right to left on 25", (11, 6))):
        chart, block = drawn(knit_of(name), Part.LEG)
        weights = weights_after_pegs(block)
        for peg in fifth_after:
            assert weights[peg] == BOOKLET.fifth_pt
        for zone in chart.zones:
            assert weights[chart.columns[zone.last_column].pegs[0]] >= BOOKLET.border_pt
        thin = [weight for weight in weights.values() if weight == BOOKLET.grid_pt]
        assert len(thin) > len(chart.columns) / 2


def test_a_fifth_peg_beside_a_border_has_no_line_that_would_double_it(knit_of: KnitOf) -> None:
    # Heel 2–25 and panel 31–36 end after 25, 30 and 36; the chart ends after peg 1.
    _, block = drawn(knit_of("rope on 40"), Part.LEG)
    weights = weights_after_pegs(block)
    assert [weights[peg] for peg in (25, 30, 36, 1)] == [BOOKLET.border_pt] * 4
    assert [weights[peg] for peg in (35, 40)] == [BOOKLET.grid_pt] * 2


def weights_after_pegs(block: Block) -> dict[int, float]:
    """The weight of the line to the right of each peg."""
    after = {round(x_mm + 2.6, 2): pegs[0] for x_mm, pegs in middles_mm(block).items()}
    weights: dict[int, float] = {}
    for x1, _, x2, _, weight in strokes(block):
        if x1 == x2 and round(x1, 2) in after:
            peg = after[round(x1, 2)]
            weights[peg] = max(weight, weights.get(peg, 0.0))
    return weights


def test_zone_names_stand_over_their_pegs(knit_of: KnitOf) -> None:
    _, block = drawn(knit_of("rope on 40"), Part.LEG)
    at_mm = {pegs[0]: x_mm for x_mm, pegs in middles_mm(block).items()}
    for name, first, last in (("heel", 2, 25), ("instep", 26, 1), ("panel", 31, 36)):
        (text,) = [text for text in texts(block) if text.text == name]
        assert text.x_mm == pytest.approx((at_mm[first] + at_mm[last]) / 2)
    heel, instep, panel = (
        next(text for text in texts(block) if text.text == name).y_mm
        for name in ("heel", "instep", "panel")
    )
    assert heel == instep < panel


def test_repeats_are_boxed_and_named(knit_of: KnitOf) -> None:
    knit = knit_of("rope on 40")
    chart = make_chart(knit, Part.LEG)
    block = draw_chart(chart, cell_width_mm=5.2, cell_height_mm=4.0)
    boxes = [
        one.box
        for one in placed(block.items)
        if isinstance(one.item, Path) and one.item.stroke_pt == BOOKLET.repeat_pt
    ]
    (box,) = boxes
    assert box.height_mm == pytest.approx(6 * 4.0 + BOOKLET.repeat_pt * MM_PER_PT)
    assert box.width_mm == pytest.approx(40 * 5.2 + BOOKLET.repeat_pt * MM_PER_PT)
    (fold,) = table_rows(block, "fold")
    assert [text.text for text in texts(fold)] == ["rows 7–30: repeat rows 1–6, 4 times more"]
    assert dict(fold.attrs)["text"] == "rows 7–30: repeat rows 1–6"
    assert texts(fold)[0].y_mm < box.top_mm


def test_moves_are_marked_at_their_pegs_and_told_in_full(knit_of: KnitOf) -> None:
    knit = knit_of("rope on 40")
    chart, block = drawn(knit, Part.FOOT)
    strips = table_rows(block, "moves")
    marked = [letters_by_peg(block, strip) for strip in strips]
    hang = dict.fromkeys((*range(2, 10), *range(18, 26)), "G")
    assert {peg: mark for peg, mark in marked[0].items() if mark != " "} == hang
    assert {peg: mark for peg, mark in marked[1].items() if mark != " "} == {10: "B", 17: "B"}
    told = [line.texts for line in chart.lines if isinstance(line, ChartStrip)]
    assert [strip.alt for strip in strips] == [" ".join(sentences) for sentences in told]


@pytest.mark.parametrize(("working", "mark"), [("left to right", "m"), ("right to left", "M")])
def test_a_moved_loop_goes_the_way_its_arrow_points(working: str, mark: str) -> None:
    # The decrease of an odd ring moves the loop of peg 14 onto peg 13, its neighbour on the left
    # if the round runs left to right.
    spec = read_pattern(f"""
        title = "Odd"
        [loom]
        pegs = 25
        spacing = "5/8 in"
        working = "{working}"
        [cuff]
        rib = "k1 p1"
        leftover = "knit"
        """)
    plan = make_plan(spec)
    _, block = drawn(verify(plan, make_rows(plan)), Part.FOOT)
    marks = [letters_by_peg(block, strip) for strip in table_rows(block, "moves")]
    assert {peg: sign for found in marks for peg, sign in found.items() if sign in "Mm"} == {
        14: mark
    }


def test_folded_columns_say_how_many_pegs_they_stand_for(knit_of: KnitOf) -> None:
    chart = make_chart(knit_of("rope on 40"), Part.LEG, folding=Folding.RUNS)
    block = draw_chart(chart, cell_width_mm=5.2, cell_height_mm=4.0)
    assert (*range(2, 26),) in middles_mm(block).values()
    said = [text.text for text in texts(block) if "plain" in text.text]
    assert said == ["24 pegs plain"] * 6


@pytest.mark.parametrize("working", Working)
def test_no_folded_column_goes_over_the_end_of_the_peg_numbers(working: Working) -> None:
    """40 pegs whose round starts at peg 2: the instep ends with pegs 38, 39, 40 and 1, all plain;
    as one column they would be read as a run down from 38, or as nearly the whole ring."""
    spec = SockSpec(
        "Over the end",
        Loom(40, 9.525, "3/8 in", working),
        leg=Leg(12, panel="rib", flanks=Flanks.KNIT),
        motifs={"rib": Motif("rib", ("pkkkkkkp",))},
    )
    plan = make_plan(spec)
    assert plan.shift == 1
    knit = verify(plan, make_rows(plan))
    for part in (Part.LEG, Part.FOOT):
        columns = make_chart(knit, part, folding=Folding.RUNS).columns
        pegs = [column.pegs for column in columns]
        assert sorted(peg for one in pegs for peg in one) == list(range(1, 41))
        assert all(max(one) - min(one) == len(one) - 1 for one in pegs)
        assert any(len(one) > 2 for one in pegs)


@pytest.mark.parametrize("style", [BOOKLET, CARD, SMALL_CARD])
def test_words_in_cells_keep_clear_of_the_lines(knit_of: KnitOf, style: PageStyle) -> None:
    chart = make_chart(knit_of("two ropes on 56"), Part.TOE, folding=Folding.RUNS, fold_up=False)
    seen = set()
    for tenths in range(round(10 * style.least_cell_mm), 61):
        height_mm = tenths / 10
        block = draw_chart(
            chart, cell_width_mm=1.3 * height_mm, cell_height_mm=height_mm, style=style
        )
        level = sorted({round(y1, 3) for _, y1, _, y2, _ in strokes(block) if y1 == y2})
        words = [text for text in texts(block) if re.fullmatch(r"\d+ .*plain|× \d+", text.text)]
        assert len(words) == 36
        for text in words:
            em_mm = text.size_pt * MM_PER_PT / 1000
            face = metrics(text.face)
            hangs = face.descender if "p" in text.text else 0
            top_mm, foot_mm = text.y_mm - face.cap_height * em_mm, text.y_mm - hangs * em_mm
            above = max(y_mm for y_mm in level if y_mm < text.y_mm - em_mm * 200)
            below = min(y_mm for y_mm in level if y_mm > text.y_mm)
            assert above + 0.2 < top_mm
            assert foot_mm + 0.2 < below
            assert text.size_pt >= style.least_number_pt
            seen.add(text.text[0])
    assert seen == ({"×", "1"} if style is CARD else {"1"})


def test_a_row_that_runs_on_is_named_as_worked_once_beside_a_repeat_across(knit_of: KnitOf) -> None:
    for part, name in ((Part.CUFF, "run on, once"), (Part.FOOT, "run on")):
        _, block = drawn(knit_of("rope on 40"), part)
        assert [text.text for text in texts(block) if text.text.startswith("run on")] == [name]


def test_held_loops_are_hatched_over_the_whole_of_their_cells(any_knit: Knit) -> None:
    chart, block = drawn(any_knit, Part.TURN)
    columns = {pegs[0]: (left, right) for left, right, pegs in columns_mm(block)}
    hatched = [
        one.box.grown(-one.item.stroke_pt * MM_PER_PT / 2)
        for one in placed(block.items)
        if isinstance(one.item, Path) and is_slanted(one.item)
    ]
    area_mm2 = sum(box.width_mm * box.height_mm for box in hatched)
    held = sum(line.cells.count("h") for line in chart.lines if isinstance(line, ChartRow))
    assert held > 0
    assert area_mm2 == pytest.approx(held * 5.2 * 4.0, rel=1e-3)
    for box in hatched:
        assert any(abs(left - box.left_mm) < 0.1 for left, _ in columns.values())
        assert any(abs(right - box.right_mm) < 0.1 for _, right in columns.values())


def is_slanted(path: Path) -> bool:
    start, end = path.segments[:2]
    assert isinstance(start, MoveTo)
    return (
        len(path.segments) > 4
        and path.cap is Cap.BUTT
        and isinstance(end, LineTo)
        and abs(end.x_mm - start.x_mm) == pytest.approx(abs(end.y_mm - start.y_mm))
        and end.x_mm != start.x_mm
    )


# --- Sizes and proportions ---------------------------------------------------------------------


def test_cells_without_a_gauge_have_the_proportions_of_plain_knitting() -> None:
    # Courses to wales by Munden's constants for relaxed plain knitting (J. Textile Inst. 50,
    # 1959, figures as later texts quote them): 5.0/3.8, 5.3/4.1, 5.5/4.2.
    published = [5.0 / 3.8, 5.3 / 4.1, 5.5 / 4.2]
    assert min(published) - 0.005 <= STOCKINETTE_RATIO <= max(published) + 0.005
    assert cell_ratio(None) == STOCKINETTE_RATIO


def test_peg_numbers_shrink_before_they_thin_out_to_fives_and_borders(knit_of: KnitOf) -> None:
    chart = make_chart(knit_of("rope on 40"), Part.TURN, fold_up=False)
    shown = {}
    for width_mm in (5.2, 3.2, 2.4):
        block = draw_chart(chart, cell_width_mm=width_mm, cell_height_mm=3.0)
        (header,) = table_rows(block, "pegs")
        shown[width_mm] = {int(text.text): text.size_pt for text in texts(header)}
        assert min(shown[width_mm].values()) >= BOOKLET.least_number_pt
    assert list(shown[5.2]) == list(shown[3.2]) == list(range(2, 26))
    assert shown[5.2][2] == 8.0 > shown[3.2][2]
    assert {2, 5, 9, 15, 17, 20, 25} <= shown[2.4].keys() < set(range(2, 26))


def test_a_block_is_wide_enough_for_its_words(knit_of: KnitOf) -> None:
    chart = make_chart(knit_of("plain on 24"), Part.FOOT)
    lines = tuple(
        replace(line, cells=line.cells[-2:]) if isinstance(line, ChartRow) else line
        for line in chart.lines
        if not isinstance(line, ChartStrip)
    )
    narrow = replace(chart, columns=chart.columns[-2:], lines=lines[1:], zones=(), up=())
    block = draw_chart(narrow, cell_width_mm=5.2, cell_height_mm=4.0)
    assert [text.text for text in texts(block) if "repeat" in text.text]
    assert_is_inside(block, 100.0, 100.0)


def test_cells_have_the_proportions_of_the_gauge(knit_of: KnitOf) -> None:
    assert cell_ratio(Gauge(stitches_per_10cm=20, rows_per_10cm=28)) == pytest.approx(1.4)
    (block,) = on_a5(knit_of("two ropes on 56"), Part.TURN)
    row, above = table_rows(block, "row")[1:3]
    symbols = next(text for text in texts(row) if text.face is Face.SYMBOLS)
    higher = next(text for text in texts(above) if text.face is Face.SYMBOLS)
    height_mm = symbols.y_mm - higher.y_mm
    width_mm = symbols.size_pt * MM_PER_PT + symbols.spacing_mm
    assert width_mm / height_mm == pytest.approx(28 / 20)


def test_nothing_is_smaller_than_the_style_allows(any_knit: Knit) -> None:
    for style, room in ((BOOKLET, (120.0, 180.0)), (CARD, (198.0, 136.0))):
        for part in parts_of(any_knit):
            fitted = measure_chart(any_knit, part, width_mm=room[0], height_mm=room[1], style=style)
            assert style.least_cell_mm <= fitted.cell_mm <= style.most_cell_mm
            for block in fitted.draw({}):
                for group in groups(block.items):
                    for item in group.items:
                        if isinstance(item, Text) and item.face is not Face.SYMBOLS:
                            assert item.size_pt >= 6.5 - 1e-9


LABELS_TOUCH_MM = 0.3
"""Boxes of labels are as tall as the face, whatever letters they hold; so much may be shared."""


def has_ink(text: Text) -> bool:
    return text.face is not Face.SYMBOLS or any(map(outlines, text.text))


def assert_labels_are_apart(block: Block) -> None:
    labels = [one for one in placed(block.items) if isinstance(one.item, Text)]
    words = [one for one in labels if one.item.face is not Face.SYMBOLS]  # type: ignore[union-attr]
    for one, other in combinations(words, 2):
        assert not one.box.meets(other.box, LABELS_TOUCH_MM), (one.item, other.item)
    for group in table_rows(block, "row"):
        inside = [one for one in placed(group.items) if isinstance(one.item, Text)]
        inked = [one for one in inside if has_ink(one.item)]  # type: ignore[arg-type]
        for one, other in combinations(inked, 2):
            assert not one.box.meets(other.box, LABELS_TOUCH_MM), (one.item, other.item)


def assert_is_inside(block: Block, width_mm: float, height_mm: float) -> None:
    assert block.width_mm <= width_mm + 1e-6
    assert block.height_mm <= height_mm + 1e-6
    whole = Box(0.0, 0.0, block.width_mm, block.height_mm)
    assert whole.holds(bounds_of(block.items), 0.05)


def test_nothing_leaves_its_block_and_no_label_covers_another(any_knit: Knit) -> None:
    for part in parts_of(any_knit):
        for width_mm, height_mm in ((120.0, 180.0), (113.3, 187.6), (180.0, 250.0)):
            for block in fit_chart(any_knit, part, width_mm=width_mm, height_mm=height_mm):
                assert_is_inside(block, width_mm, height_mm)
                if not block.turned:
                    assert_labels_are_apart(block)


@settings(max_examples=25, deadline=None)
@given(
    pegs=st.integers(16, 72),
    spacing=st.sampled_from(["1/4 in", "3/8 in", "5/8 in"]),
    working=st.sampled_from(["left to right", "right to left"]),
    short_rows=st.sampled_from(["turned stitch", "wrap and turn"]),
    width_mm=st.floats(70.0, 250.0),
    height_mm=st.floats(70.0, 250.0),
)
def test_any_sock_fits_any_page_or_says_what_would(
    pegs: int, spacing: str, working: str, short_rows: str, width_mm: float, height_mm: float
) -> None:
    spec = read_pattern(f"""
        title = "Any"
        [loom]
        pegs = {pegs}
        spacing = "{spacing}"
        working = "{working}"
        [cuff]
        leftover = "knit"
        [toe]
        short_rows = "{short_rows}"
        """)
    try:
        plan = make_plan(spec)
    except PatternError:
        return
    knit = verify(plan, make_rows(plan))
    for part in parts_of(knit):
        blocks: tuple[Block, ...] = ()
        refusal = ""
        try:
            blocks = fit_chart(knit, part, width_mm=width_mm, height_mm=height_mm)
        except DoesNotFitError as error:
            refusal = str(error)
        assert blocks or re.search(r"needs \d+ x \d+ mm", refusal)
        for block in blocks:
            assert_is_inside(block, width_mm, height_mm)
            if not block.turned:
                assert_labels_are_apart(block)


# --- Fitting -----------------------------------------------------------------------------------


def columns_of(blocks: tuple[Block, ...]) -> list[int]:
    return [
        len(dict(group.attrs)["pegs"].split())
        for block in blocks
        for group in groups(block.items)
        if group.role is Role.TABLE
    ]


def test_a_narrower_page_folds_then_turns_then_splits(knit_of: KnitOf) -> None:
    knit = knit_of("rope on 40")
    wide = fit_chart(knit, Part.LEG, width_mm=200.0, height_mm=180.0)
    assert (columns_of(wide), wide[0].turned) == ([40], False)
    folded = fit_chart(knit, Part.LEG, width_mm=120.0, height_mm=250.0)
    assert (columns_of(folded), folded[0].turned) == ([17], False)
    turned = fit_chart(knit, Part.LEG, width_mm=75.0, height_mm=250.0)
    assert (columns_of(turned), turned[0].turned) == ([40], True)
    folded_and_turned = fit_chart(knit, Part.LEG, width_mm=75.0, height_mm=110.0)
    assert (columns_of(folded_and_turned), folded_and_turned[0].turned) == ([17], True)
    split = fit_chart(knit, Part.LEG, width_mm=60.0, height_mm=60.0)
    assert len(split) > 1
    assert sum(columns_of(split)) == 17 + len(split) - 1  # neighbours share a column
    with pytest.raises(DoesNotFitError, match="the chart of the leg needs"):
        fit_chart(knit, Part.LEG, width_mm=20.0, height_mm=20.0)


def test_a_foot_too_wide_to_stand_has_small_charts_for_the_rows_worked_once() -> None:
    """44 pegs in k2 p2, worked by hand: heel 26, gussets 9, turn 8, toe 22 on pegs 3-24.

    The bars lie on the ends of the turn, pegs 10 and 17; the yarn runs on to peg 3.
    """
    spec = read_pattern("""
        title = "Ribbed"
        [loom]
        pegs = 44
        spacing = "3/8 in"
        [leg]
        flanks = "rib"
        [foot]
        rows = 20
        """)
    plan = make_plan(spec)
    knit = verify(plan, make_rows(plan))
    every_peg = make_chart(knit, Part.FOOT)
    runs_on = [line for line in every_peg.lines if isinstance(line, ChartRow) and not line.number]
    told = {
        len(stretches): [[column_label(one) for one in chart.columns] for chart in stretches]
        for stretches in stretch_cuts(every_peg)
    }
    assert len(runs_on) == 1
    first, main, last = told[3]
    instep = [str(peg) for peg in range(27, 45)]
    assert first == ["1–9", "10", "11–16", "17", "18–26", *instep]
    assert main == ["1–26", *instep]
    assert last == ["1", "2"]
    upright = measure_chart(
        knit, Part.FOOT, width_mm=WIDTH_MM, height_mm=HEIGHT_MM, style=BOOKLET, piled=True
    )
    assert (upright.piled, upright.turned, upright.block_count) == (True, False, 1)
    (block,) = upright.draw(rows_in_words(knit, Part.FOOT))
    assert_is_inside(block, WIDTH_MM, HEIGHT_MM)
    assert_labels_are_apart(block)
    assert measure_chart(knit, Part.FOOT, width_mm=WIDTH_MM, height_mm=HEIGHT_MM).turned


def test_rows_that_are_repeated_stay_with_the_line_that_says_so(any_knit: Knit) -> None:
    """Cut anywhere, the lines are those of the whole chart in its order."""
    for part in parts_of(any_knit):
        if part in (Part.CUFF, Part.CLOSING):
            continue
        chart = make_chart(any_knit, part)
        for stretches in stretch_cuts(chart):
            rows = [line for one in stretches for line in one.lines]
            assert [type(line) for line in rows] == [type(line) for line in chart.lines]
            repeats = [fold for fold in rows if isinstance(fold, ChartFold)]
            assert sum(len(one.up) for one in stretches) == len(repeats) == len(chart.up)
            for one in stretches:
                assert not isinstance(one.lines[0], ChartFold)
                assert not isinstance(one.lines[-1], ChartStrip)


def test_cells_grow_with_the_page_up_to_the_most(knit_of: KnitOf) -> None:
    knit = knit_of("plain on 24")
    sizes_mm = [
        measure_chart(knit, Part.TURN, width_mm=width_mm, height_mm=250.0).cell_mm
        for width_mm in (80.0, 100.0, 120.0, 400.0)
    ]
    assert sizes_mm == sorted(sizes_mm)
    assert sizes_mm[0] < sizes_mm[-1] == BOOKLET.most_cell_mm


def test_turn_and_toe_show_every_row_and_other_parts_fold_repeats(any_knit: Knit) -> None:
    for part in parts_of(any_knit):
        lines = (
            measure_chart(any_knit, part, width_mm=WIDTH_MM, height_mm=HEIGHT_MM).charts[0].lines
        )
        folded = any(isinstance(line, ChartFold) for line in lines)
        if part in (Part.TURN, Part.TOE):
            assert not folded
        elif part is not Part.CLOSING:
            assert folded


TALL = """
    title = "Tall"
    [loom]
    pegs = 48
    spacing = "1/4 in"
    [leg]
    rows = 50
    panel = "diagonals"
    [motif.diagonals]
    rows = '''
    {rows}
    '''
    """.format(
    rows="\n".join(
        "".join("p" if (row * 7 + place * 3) % 11 < 3 else "k" for place in range(16))
        for row in range(11)
    )
)


def test_a_chart_too_tall_goes_on_with_its_last_row_shown_again() -> None:
    plan = make_plan(read_pattern(TALL))
    knit = verify(plan, make_rows(plan))
    blocks = fit_chart(knit, Part.TOE, width_mm=130.0, height_mm=60.0)
    assert len(blocks) > 2
    shown = [[dict(row.attrs)["row"] for row in table_rows(block, "row")] for block in blocks]
    again = [[dict(row.attrs)["row"] for row in table_rows(block, "again")] for block in blocks]
    assert [number for rows in shown for number in rows] == [str(n) for n in range(1, 33)]
    assert again == [[], *([rows[-1]] for rows in shown[:-1])]
    for block, following in pairwise(blocks):
        notes = [text.text for text in texts(block)]
        next_row = dict(table_rows(following, "row")[0].attrs)["row"]
        assert f"continues with row {next_row}" in notes


@pytest.mark.parametrize("name", ["two ropes on 56", "right to left on 25"])
def test_a_toe_is_cut_where_narrowing_turns_into_widening(knit_of: KnitOf, name: str) -> None:
    knit = knit_of(name)
    chart = make_chart(knit, Part.TOE, fold_up=False)
    geometry = GridGeometry(ChartPiece(chart), 5.2, 4.0, BOOKLET)
    half = 2 * knit.plan.toe_side
    whole_mm = geometry.height_mm
    for rows in range(half + 1, 2 * half - 1):
        height_mm = whole_mm - (2 * half - rows) * 4.0 + 2 * geometry.note_line_mm
        _, second = cut_up(geometry, height_mm)
        again, first = second.chart.lines[:2]
        assert isinstance(again, ChartRow)
        assert isinstance(first, ChartRow)
        assert (again.number, first.number) == (half, half + 1)


def test_shaping_turns_after_more_than_one_shorter_row() -> None:
    assert shaping_turns([20, 19, 18, 18, 18, 19, 20]) == (3,)
    assert shaping_turns([11, 10, 9, 8, 9, 10]) == (4,)
    assert shaping_turns([24, 23, 23, 23]) == ()
    assert shaping_turns([8, 9, 8, 9, 8, 9]) == ()
    assert shaping_turns([10, 9, 8, None, 9, 10]) == ()
    assert shaping_turns([]) == ()


def test_pegs_that_run_on_are_no_chart_of_their_own_where_other_rows_can_show_them() -> None:
    """24 pegs in large print: the last row runs on to one peg, a chart of one cell."""
    path = FilePath(__file__).parents[2] / "samples" / "ember.toml"
    plan = make_plan(read_pattern(path.read_text(encoding="utf-8")))
    knit = verify(plan, make_rows(plan))
    style = style_of(Edition(size=PrintSize.LARGE), PAPERS["a4"])
    found = measure_chart(knit, Part.FOOT, width_mm=159.0, height_mm=222.0, style=style, piled=True)
    assert found.piled
    assert [len(chart.lines) > 1 for chart in found.charts] == [True, True]


def test_a_fold_is_never_cut_from_its_rows() -> None:
    plan = make_plan(read_pattern(TALL))
    knit = verify(plan, make_rows(plan))
    chart = make_chart(knit, Part.LEG, folding=Folding.RUNS)
    geometry = GridGeometry(ChartPiece(chart), 5.2, 4.0, BOOKLET)
    cut_somewhere = 0
    for height_mm in range(45, 110):
        pieces = cut_up(geometry, float(height_mm))
        cut_somewhere += len(pieces) > 1
        numbers = []
        for piece in pieces:
            assert not isinstance(piece.chart.lines[len(piece.again_lines)], ChartFold)
            numbers += [
                line.number
                for index, line in enumerate(piece.chart.lines)
                if isinstance(line, ChartRow) and index not in piece.again_lines
            ]
        assert numbers == [*range(1, 12), *range(45, 51)]
    assert cut_somewhere > 20


def test_moves_are_never_cut_from_the_row_they_lead_to(knit_of: KnitOf) -> None:
    chart = make_chart(knit_of("right to left on 25"), Part.FOOT)
    geometry = GridGeometry(ChartPiece(chart), 5.2, 4.0, BOOKLET)
    for height_mm in range(55, 100):
        for piece in cut_up(geometry, float(height_mm)):
            assert not isinstance(piece.chart.lines[-1], ChartStrip)


def test_no_cut_runs_through_a_cable(knit_of: KnitOf) -> None:
    knit = knit_of("two ropes on 56")
    cut_somewhere = 0
    for width_mm in range(50, 90, 2):
        fitted = measure_chart(knit, Part.LEG, width_mm=float(width_mm), height_mm=60.0)
        cut_somewhere += len(fitted.geometries) > 1
        for chart in fitted.charts:
            for line in chart.lines:
                if isinstance(line, ChartRow):
                    assert re.fullmatch(r"([^RrLl]|RRll|rrLL)*", line.cells)
    assert cut_somewhere > 5


def test_rows_in_words_are_those_of_the_part(knit_of: KnitOf) -> None:
    words = rows_in_words(knit_of("rope on 40"), Part.FLAP)
    assert words[Section.FLAP, 2] == "peg 25 slip, 24–2 knit."
    assert {section for section, _ in words} == {Section.FLAP, Section.PARTIAL}


# --- Labels of moves -----------------------------------------------------------------------------


@given(
    marks=st.lists(
        st.tuples(st.floats(0.0, 100.0), st.floats(1.0, 40.0), st.floats(5.0, 60.0)), max_size=6
    )
)
def test_labels_of_one_line_never_touch(marks: list[tuple[float, float, float]]) -> None:
    wanted = [
        WantedLabel(str(index), width_mm, left_mm, left_mm + run_mm)
        for index, (left_mm, run_mm, width_mm) in enumerate(marks)
    ]
    found = place_labels(wanted, 0.0, 140.0)
    assert sorted(label.text for label in found) == sorted(label.text for label in wanted)
    for one, other in combinations(found, 2):
        if one.tier == other.tier:
            first, second = sorted((one, other), key=lambda label: label.left_mm)
            assert first.left_mm + first.width_mm < second.left_mm
    by_text = {label.text: label for label in wanted}
    for label in found:
        own = by_text[label.text]
        assert label.left_mm <= own.marks_right_mm + 1e-6
        assert label.left_mm + label.width_mm >= own.marks_left_mm - 1e-6


def test_labels_stand_on_one_line_where_there_is_room() -> None:
    found = place_labels(
        [WantedLabel("a", 20.0, 0.0, 10.0), WantedLabel("b", 20.0, 12.0, 22.0)], 0.0, 100.0
    )
    assert [(label.left_mm, label.tier) for label in found] == [(0.0, 0), (21.5, 0)]
