"""The grafting page: passes counted by hand, pairs with their boxes, direction told."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from charts.kitchener import ENDING, LOOP, SETTING_UP, passes_of
from charts.rows import Graft
from charts.spec import Gauge
from charts.verify import Knit
from layouts.block import Block
from layouts.blocks import paragraph, stacked
from layouts.graft_drawings import needles_drawing
from layouts.grafting import (
    direction_words,
    grafting_pieces,
    looping_pieces,
    pair_pieces,
    tail_mm,
    tail_words,
    weaving_pieces,
)
from layouts.scene import WHITE, LineTo, MoveTo, Page, Path, Role
from layouts.style import BOOKLET
from tests.layouts.placed_items import groups_of, paths_of, squares_in, texts_of, words_of

WIDTH_MM = 120.0


def graft_of(knit: Knit) -> Graft:
    (graft,) = (event for event in knit.rows.events if isinstance(event, Graft))
    return graft


def page_of(block: Block) -> Page:
    return Page(block.width_mm, block.height_mm, block.items)


@pytest.mark.parametrize(("pairs", "passes"), [(1, 4), (2, 8), (3, 12), (20, 80), (60, 240)])
def test_passes_are_two_four_times_all_but_one_and_two(pairs: int, passes: int) -> None:
    found = passes_of(pairs)
    assert len(found) == passes == 2 + 4 * (pairs - 1) + 2
    assert found[:2] == SETTING_UP
    assert found[-2:] == ENDING


def test_each_loop_is_entered_twice_and_taken_off_at_the_second() -> None:
    """Knitted on two lists of loops: an own little simulation of the two needles."""
    pairs = 7
    needles = {"front": list(range(pairs)), "back": list(range(pairs))}
    entered = {"front": [0] * pairs, "back": [0] * pairs}
    for one in passes_of(pairs):
        loop = needles[one.needle][0]
        entered[one.needle][loop] += 1
        if one.off:
            assert entered[one.needle][loop] == 2
            needles[one.needle].pop(0)
    assert needles == {"front": [], "back": []}
    assert set(entered["front"] + entered["back"]) == {2}


def test_the_moves_are_those_of_the_trade() -> None:
    """Hand-written: front knit off, front purl on, back purl off, back knit on."""
    assert [one.words for one in LOOP] == [
        "Front needle, first loop: knitwise; take it off.",
        "Front needle, next loop: purlwise; leave it on.",
        "Back needle, first loop: purlwise; take it off.",
        "Back needle, next loop: knitwise; leave it on.",
    ]


def test_pairs_are_printed_in_order_with_a_box_each(any_knit: Knit) -> None:
    graft = graft_of(any_knit)
    block = stacked(pair_pieces(graft, width_mm=WIDTH_MM, style=BOOKLET))
    printed = [one.text.replace("\xa0", " ") for one in texts_of(page_of(block)) if "+" in one.text]
    due = [f"{front} + {back}" for front, back in graft.pairs]
    assert [words for words in printed if words in due] == due
    assert squares_in(block.items) == len(due)
    words = words_of(page_of(block))
    assert f"{len(due)} pairs, {4 * len(due)} passes of the needle" in words


def test_first_and_last_pairs_of_the_check_sock(knit_of: Callable[[str], Knit]) -> None:
    graft = graft_of(knit_of("rope on 40"))
    assert graft.pairs[0] == (3, 4)
    words = words_of(page_of(stacked(pair_pieces(graft, width_mm=WIDTH_MM, style=BOOKLET))))
    assert "3 + 4" in words
    assert "24 + 23" in words


@pytest.mark.parametrize(
    ("name", "knit_way", "purl_way"),
    [
        ("rope on 40", "left to right", "right to left"),
        ("right to left on 25", "right to left", "left to right"),
    ],
)
def test_directions_are_mirrored_with_the_sock(
    knit_of: Callable[[str], Knit], name: str, knit_way: str, purl_way: str
) -> None:
    words = "".join(run.text for run in direction_words(knit_of(name).plan))
    assert f"Knitwise: into the loop from {knit_way}." in words
    assert f"Purlwise: from {purl_way}." in words


def test_the_yarn_leaves_the_back_needle_where_the_first_pair_is(
    knit_of: Callable[[str], Knit],
) -> None:
    for name, at_right in (("rope on 40", True), ("right to left on 25", False)):
        knit = knit_of(name)
        graft = graft_of(knit)
        block = needles_drawing(knit.plan, graft, width_mm=WIDTH_MM, style=BOOKLET)
        texts = {one.text: one.box for one in texts_of(page_of(block))}
        first_front, first_back = (texts[str(peg)] for peg in graft.pairs[0])
        last_front = texts[str(graft.pairs[-1][0])]
        assert (first_front.left_mm > last_front.left_mm) is at_right
        # The toe's loops are on the back needle, drawn above the front one.
        assert first_back.bottom_mm < first_front.top_mm
        drawn = [one.box for one in paths_of(page_of(block))]
        if at_right:
            assert max(box.right_mm for box in drawn) > first_front.right_mm + 10
        else:
            assert min(box.left_mm for box in drawn) < first_front.left_mm - 10


def test_numerals_of_the_loop_are_the_largest_type(any_knit: Knit) -> None:
    plan, graft = any_knit.plan, graft_of(any_knit)
    block = stacked(looping_pieces(plan, graft, width_mm=WIDTH_MM, style=BOOKLET))
    texts = texts_of(page_of(block))
    largest = max(one.item.size_pt for one in texts)
    assert [one.text for one in texts if one.item.size_pt == largest] == ["1", "2", "3", "4"]
    assert f"again, {len(graft.pairs) - 1} times in all" in words_of(page_of(block))


def test_the_whole_way_is_told(any_knit: Knit) -> None:
    plan, graft = any_knit.plan, graft_of(any_knit)
    pieces = [
        *grafting_pieces(plan, graft, width_mm=WIDTH_MM, style=BOOKLET),
        *looping_pieces(plan, graft, width_mm=WIDTH_MM, style=BOOKLET),
        *weaving_pieces(plan, width_mm=WIDTH_MM, style=BOOKLET),
    ]
    words = words_of(page_of(stacked(pieces)))
    for due in (*SETTING_UP, *ENDING):
        assert due.words in words
    assert "Weave in the ends" in words


def test_needles_are_pointed_at_both_ends(any_knit: Knit) -> None:
    """The loop taken first is grafted first, so it must leave by the other end."""
    block = needles_drawing(any_knit.plan, graft_of(any_knit), width_mm=WIDTH_MM, style=BOOKLET)
    (drawn,) = (group for group in groups_of(page_of(block)) if group.role is Role.FIGURE)
    assert "both pointed at both ends" in drawn.alt
    needles = [
        one
        for one in drawn.items
        if isinstance(one, Path) and one.fill == WHITE and len(one.segments) == 7
    ]
    assert len(needles) == 2
    for needle in needles:
        corners = [(s.x_mm, s.y_mm) for s in needle.segments if isinstance(s, MoveTo | LineTo)]
        middle_mm = sum(y for _, y in corners) / len(corners)
        for end in (min(corners), max(corners)):
            assert end[1] == pytest.approx(middle_mm)


@pytest.mark.parametrize(
    ("stitches", "due_mm", "words"),
    [
        (None, 250.0, "25 cm (9¾ in) at least, four times the width of the toe"),
        (18.0, 450.0, "45 cm (17¾ in) long"),
        (40.0, 250.0, "25 cm (9¾ in) long"),
    ],
)
def test_the_tail_is_four_toe_widths_by_the_gauge_and_25_cm_at_least(
    knit_of: Callable[[str], Knit], stitches: float | None, due_mm: float, words: str
) -> None:
    """By hand: 20 toe pegs at 18 stitches in 10 cm are 11.1 cm, four times that 44.4 cm; at 40
    stitches 20 cm.  Lengths go up to the next 5 cm."""
    plan = knit_of("rope on 40").plan
    gauge = None if stitches is None else Gauge(stitches, 26.0)
    plan = replace(plan, spec=replace(plan.spec, gauge=gauge))
    assert tail_mm(plan) == due_mm
    assert tail_words(plan).replace("\xa0", " ") == words


def test_cutting_the_yarn_is_a_step_to_tick_before_the_graft(any_knit: Knit) -> None:
    graft = graft_of(any_knit)
    step = paragraph("Graft now.", BOOKLET.step, WIDTH_MM)
    pieces = grafting_pieces(any_knit.plan, graft, width_mm=WIDTH_MM, style=BOOKLET, step=(step,))
    words = words_of(page_of(stacked(pieces)))
    assert "Turn the work so that the instep faces you." in words
    places = [words.index(one) for one in ("Cut the yarn", "Graft now.", "Set up, once")]
    assert places == sorted(places)
