"""Pieces dealt out over pages: what is not left alone, what stands again at the top of a page."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from charts.parts import Part
from charts.rows import RUN_ON, Row
from charts.steps import RepeatStep, RowStep, make_part_steps
from charts.verify import Knit
from layouts.block import Block
from layouts.blocks import Piece, pieces_height_mm
from layouts.page_fill import dealt_pages, filled_pages
from layouts.scene import Page
from layouts.steps_block import step_ladder
from layouts.style import BOOKLET
from layouts.tracker import tracker_pieces
from tests.layouts.placed_items import texts_of

KnitOf = Callable[[str], Knit]
WIDTH_MM = 120.0


def block(height_mm: float) -> Block:
    return Block((), WIDTH_MM, height_mm)


def words_on(pieces: list[Piece]) -> list[list[str]]:
    return [
        [text.text for text in texts_of(Page(WIDTH_MM, 300.0, one.block.items))] for one in pieces
    ]


def test_what_goes_on_has_its_head_again_at_the_top_of_each_page() -> None:
    """A head of 4 mm and rows of 10: two rows with it in 25 mm, not three."""
    head = block(4.0)
    rows = [Piece(block(10.0), again=head) for _ in range(5)]
    pages = list(filled_pages([Piece(head, with_next=True), *rows], 25.0))
    assert [[piece.block.height_mm for piece in page] for page in pages] == [
        [4.0, 10.0, 10.0],
        [4.0, 10.0, 10.0],
        [4.0, 10.0],
    ]


def test_a_row_as_high_as_a_page_still_ends_the_dealing_out() -> None:
    rows = [Piece(block(24.0), again=block(4.0)) for _ in range(3)]
    pages = list(filled_pages(rows, 25.0))
    assert sum(piece.block.height_mm == 24.0 for page in pages for piece in page) == 3


def test_pieces_are_dealt_out_with_the_fullest_page_as_low_as_can_be() -> None:
    pieces = [Piece(block(height_mm)) for height_mm in (10.0, 10.0, 10.0, 30.0)]
    pages = dealt_pages(pieces, 2, 50.0)
    assert pages is not None
    assert [pieces_height_mm(page) for page in pages] == [30.0, 30.0]
    assert dealt_pages(pieces, 5, 50.0) is None
    assert dealt_pages(pieces, 2, 29.0) is None


def test_a_heading_is_not_dealt_to_another_page_than_what_it_heads() -> None:
    pieces = [Piece(block(10.0)), Piece(block(10.0), with_next=True), Piece(block(10.0))]
    pages = dealt_pages(pieces, 2, 50.0)
    assert pages is not None
    assert list(map(len, pages)) == [1, 2]


@given(
    st.lists(
        st.tuples(st.sampled_from([3.0, 5.0, 12.5]), st.sampled_from([0.0, 2.0]), st.booleans()),
        min_size=1,
        max_size=8,
    ),
    st.integers(1, 4),
    st.sampled_from([15.0, 25.0, 80.0]),
)
def test_no_other_way_to_deal_out_has_a_lower_fullest_page(
    sizes: list[tuple[float, float, bool]], count: int, height_mm: float
) -> None:
    """Against every way there is."""
    pieces = [Piece(block(high), after, keeps) for high, after, keeps in sizes]
    places = [place for place in range(1, len(pieces)) if not pieces[place - 1].with_next]
    fullest = [
        max(pieces_height_mm(pieces[a:b]) for a, b in pairwise([0, *cuts, len(pieces)]))
        for cuts in combinations(places, count - 1)
    ]
    dealt = dealt_pages(pieces, count, height_mm)
    if min(fullest, default=math.inf) > height_mm:
        assert dealt is None
    else:
        assert dealt is not None
        assert [piece for page in dealt for piece in page] == pieces
        assert max(map(pieces_height_mm, dealt)) == min(fullest)


def test_many_pieces_are_dealt_out_over_many_pages() -> None:
    """60 over 12 pages: five each, found among more ways than could be tried one by one."""
    dealt = dealt_pages([Piece(block(10.0)) for _ in range(60)], 12, 100.0)
    assert dealt is not None
    assert list(map(len, dealt)) == [5] * 12


@pytest.mark.parametrize("part", [part for part in Part if part is not Part.CLOSING])
@pytest.mark.parametrize("room_mm", [60.0, 75.0, 90.0, 105.0])
def test_no_page_holds_only_what_ends_a_part(knit_of: KnitOf, part: Part, room_mm: float) -> None:
    """Wherever the page ends, the last row stands with how the part ends and how to count it."""
    steps = make_part_steps(knit_of("rope on 40"), part)
    rungs = step_ladder(steps, width_mm=WIDTH_MM, style=BOOKLET)
    rows = {id(rung.piece.block) for rung in rungs if rung.is_row}
    *_, last = filled_pages([rung.piece for rung in rungs], room_mm)
    assert any(id(piece.block) in rows for piece in last)


def test_counts_stand_below_their_head_on_each_page(knit_of: KnitOf) -> None:
    steps = make_part_steps(knit_of("rope on 40"), Part.TOE)
    pieces = [rung.piece for rung in step_ladder(steps, width_mm=WIDTH_MM, style=BOOKLET)]
    pages = list(filled_pages(pieces, 60.0))
    assert len(pages) > 2
    for page in pages:
        words = words_on(page)
        first = next(index for index, one in enumerate(words) if one[0].startswith("Row"))
        assert words[first - 1] == ["stitches"]
    assert all(isinstance(step, RowStep | RepeatStep) for step in steps.steps)


def test_the_box_for_what_runs_on_is_on_the_page_of_its_part(knit_of: KnitOf) -> None:
    knit = knit_of("rope on 40")
    assert any(isinstance(row, Row) and row.number == RUN_ON for row in knit.rows.events)
    pieces = tracker_pieces(knit, WIDTH_MM, BOOKLET)
    for tenths in range(200, 1200, 7):
        for page in filled_pages(pieces, tenths / 10):
            assert words_on(page)[0] != ["run on"]
