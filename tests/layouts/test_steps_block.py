"""The ladder of steps: boxes on one edge, words unbroken, counts in line."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from charts.parts import Part
from charts.rows import Section
from charts.step_lines import starting_words, step_words
from charts.steps import Checkpoint, RepeatStep, RowStep, make_part_steps, make_steps
from charts.verify import Knit
from layouts.blocks import stacked
from layouts.scene import Page
from layouts.steps_block import (
    BOXES_IN_BLOCK,
    boxes_in_block,
    folded_boxes,
    held_together,
    step_ladder,
    step_pieces,
)
from layouts.style import BOOKLET, CARD
from tests.layouts.placed_items import paths_of, squares_in, squeezed_words, texts_of, words_of

WIDTH_MM = 120.0


def page_of(knit: Knit, part: Part, width_mm: float = WIDTH_MM) -> Page:
    pieces = step_pieces(make_part_steps(knit, part), width_mm=width_mm, style=BOOKLET)
    block = stacked(pieces)
    return Page(width_mm, block.height_mm, block.items)


def test_the_words_of_each_piece_are_those_of_its_step(any_knit: Knit) -> None:
    for part_steps in make_steps(any_knit):
        ladder = step_ladder(part_steps, width_mm=WIDTH_MM, style=BOOKLET)
        told = [rung for rung in ladder if rung.step is not None]
        assert [rung.step for rung in told] == list(part_steps.steps)
        for rung in told:
            words = words_of(Page(200.0, 200.0, rung.piece.block.items))
            assert squeezed_words(step_words(rung.step)) in words


def test_all_single_boxes_stand_on_one_left_edge(any_knit: Knit) -> None:
    for part_steps in make_steps(any_knit):
        for rung in step_ladder(part_steps, width_mm=WIDTH_MM, style=BOOKLET):
            if rung.step is None or isinstance(rung.step, Checkpoint):
                continue
            boxes = [
                one
                for one in paths_of(Page(WIDTH_MM, 300.0, rung.piece.block.items))
                if squares_in((one.item,))
            ]
            assert min(one.box.left_mm for one in boxes) == pytest.approx(0.0, abs=0.2)


def test_counts_end_on_one_edge_and_only_shaped_rows_have_them(
    knit_of: Callable[[str], Knit],
) -> None:
    """20, 19, ... 10, 9, 9, 9, 10, ... 19 stitches on 6 / 8 / 6 toe pegs, worked by hand."""
    page = page_of(knit_of("rope on 40"), Part.TOE)
    counts = [one for one in texts_of(page) if one.text.isdigit()]
    due = [*range(20, 8, -1), 9, 9, *range(10, 20)]
    assert [int(one.text) for one in counts] == due
    assert len({round(one.box.right_mm, 3) for one in counts}) == 1
    leg = page_of(knit_of("rope on 40"), Part.LEG)
    assert "stitches" in words_of(page)
    assert "stitches" not in words_of(leg)


def test_nothing_leaves_the_column(any_knit: Knit) -> None:
    for part_steps in make_steps(any_knit):
        for width_mm, style in ((WIDTH_MM, BOOKLET), (95.0, CARD)):
            block = stacked(step_pieces(part_steps, width_mm=width_mm, style=style))
            page = Page(width_mm, block.height_mm, block.items)
            for one in [*texts_of(page), *paths_of(page)]:
                assert one.box.right_mm <= width_mm + 0.15
                assert one.box.left_mm >= -0.15


@pytest.mark.parametrize(
    ("step", "block"),
    [
        (RowStep(Section.LEG, 1, 32, True, "", 40, False), 10),
        (RepeatStep(Section.LEG, 5, 32, 1, 4), 4),
        (RepeatStep(Section.FLAP, 4, 15, 2, 3), 2),
        (RepeatStep(Section.LEG, 2, 16, 1, 1), 10),
        (RepeatStep(Section.LEG, 25, 48, 1, 24), 10),
        (RepeatStep(Section.LEG, 9, 32, 1, 8), 8),
    ],
)
def test_boxes_stand_in_blocks_of_whole_repeats_up_to_ten(
    step: RowStep | RepeatStep, block: int
) -> None:
    assert boxes_in_block(step) == block <= BOXES_IN_BLOCK
    boxes = folded_boxes(step, width_mm=WIDTH_MM, style=BOOKLET)
    assert squares_in(boxes.items) == step.boxes
    numbers = [int(one.text) for one in texts_of(Page(WIDTH_MM, 200.0, boxes.items))]
    assert numbers == list(range(step.first, step.last + 1))


def test_folded_boxes_wrap_where_the_column_ends() -> None:
    step = RowStep(Section.LEG, 1, 40, True, "", 40, False)
    boxes = folded_boxes(step, width_mm=60.0, style=BOOKLET)
    lines = {round(one.box.top_mm, 2) for one in texts_of(Page(60.0, 200.0, boxes.items))}
    assert len(lines) == 4


def test_pegs_and_numbers_are_not_parted_at_a_line_end() -> None:
    assert held_together("Pegs 2–26 knit, 27–28 purl.").split(" ") == [
        "Pegs\xa02–26\xa0knit,",
        "27–28\xa0purl.",
    ]


def test_the_cuff_begins_on_an_empty_loom(knit_of: Callable[[str], Knit]) -> None:
    steps = make_part_steps(knit_of("plain on 24"), Part.CUFF)
    assert starting_words(steps) == "The loom is empty."


def test_a_row_worked_as_another_keeps_its_arrow(any_knit: Knit) -> None:
    """The arrow beside "work as row 2" is that of row 2."""
    found = 0
    for part_steps in make_steps(any_knit):
        ways = {
            (step.section, number): "→" if step.to_right else "←"
            for step in part_steps.steps
            if isinstance(step, RowStep)
            for number in range(step.first, step.last + 1)
        }
        for rung in step_ladder(part_steps, width_mm=WIDTH_MM, style=BOOKLET):
            step = rung.step
            if isinstance(step, RepeatStep) and step.first == step.last:
                page = Page(WIDTH_MM, 200.0, rung.piece.block.items)
                arrows = [one.text for one in texts_of(page) if one.text in "→←"]
                assert arrows == [ways[step.section, step.like_first]]
                found += 1
    assert found


def test_the_turn_says_which_peg_the_partial_row_has_knitted(
    knit_of: Callable[[str], Knit],
) -> None:
    (turn,) = (one for one in make_steps(knit_of("rope on 40")) if one.part is Part.TURN)
    words = " ".join(
        one.text
        for rung in step_ladder(turn, width_mm=WIDTH_MM, style=BOOKLET)
        for one in texts_of(Page(WIDTH_MM, 200.0, rung.piece.block.items))
    ).replace("\xa0", " ")
    assert "Peg 10 was knitted in the partial row: row 1 starts beside it." in words
