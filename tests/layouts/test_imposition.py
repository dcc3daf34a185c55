"""Orders of pages on sheets, folded and turned in the head.

That a folded booklet has a multiple of four pages: a general article, "Page order for booklet
printing" (legalclarity.org).  The pairs of the tables below follow from folding a pile of paper.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layouts.imposition import (
    Flip,
    back_turns,
    creep_mm,
    missing_pages,
    reader_spreads,
    saddle_stitch,
)

# Worked by hand with folded slips of paper: for each sheet, the outermost first, the outside's left
# and right page, then the inside's.
FOLDED = {
    4: [((4, 1), (2, 3))],
    8: [((8, 1), (2, 7)), ((6, 3), (4, 5))],
    12: [((12, 1), (2, 11)), ((10, 3), (4, 9)), ((8, 5), (6, 7))],
    16: [
        ((16, 1), (2, 15)),
        ((14, 3), (4, 13)),
        ((12, 5), (6, 11)),
        ((10, 7), (8, 9)),
    ],
}


@pytest.mark.parametrize("count", FOLDED)
def test_folded_sheets_are_those_of_the_worked_example(count: int) -> None:
    sheets = [(tuple(one.outside), tuple(one.inside)) for one in saddle_stitch(count)]
    assert sheets == FOLDED[count]


@given(st.integers(1, 60))
def test_reading_the_folded_pile_leaf_by_leaf_gives_every_page_once(sheets: int) -> None:
    """The pile is folded with sheet 1 outside: its right halves are read first, from the outermost
    in, each leaf front and back; then the left halves from the innermost out.  Behind the right
    half of an outside lies the left half of the inside."""
    pile = saddle_stitch(4 * sheets)
    read: list[int | None] = []
    for sheet in pile:
        read += [sheet.outside.right, sheet.inside.left]
    for sheet in reversed(pile):
        read += [sheet.inside.right, sheet.outside.left]
    assert read == list(range(1, 4 * sheets + 1))


@given(st.integers(1, 60))
def test_even_pages_lie_left_and_the_two_pages_of_a_side_add_up_alike(sheets: int) -> None:
    count = 4 * sheets
    for sheet in saddle_stitch(count):
        for left, right in sheet:
            assert left is not None
            assert right is not None
            assert (left % 2, right % 2) == (0, 1)
            assert left + right == count + 1


@given(st.integers(-8, 200).filter(lambda count: count < 4 or count % 4 != 0))
def test_pages_that_fill_no_whole_sheets_are_refused(count: int) -> None:
    with pytest.raises(ValueError, match=f"{count} pages cannot be folded; allowed: a multiple"):
        saddle_stitch(count)


@given(st.integers(1, 200))
def test_missing_pages_fill_the_last_sheet(count: int) -> None:
    assert 0 <= missing_pages(count) < 4
    assert (count + missing_pages(count)) % 4 == 0


@pytest.mark.parametrize(
    ("count", "spreads"),
    [
        (1, [(None, 1)]),
        (2, [(None, 1), (2, None)]),
        (5, [(None, 1), (2, 3), (4, 5)]),
        (6, [(None, 1), (2, 3), (4, 5), (6, None)]),
    ],
)
def test_spreads_are_those_of_an_open_booklet(
    count: int, spreads: list[tuple[int | None, int | None]]
) -> None:
    assert [tuple(halves) for halves in reader_spreads(count)] == spreads


@pytest.mark.parametrize(
    ("sheets", "thickness_mm", "innermost_mm"),
    # Own geometry: each fold, pressed flat, takes one thickness: 16 pages are 4 sheets.
    [(2, 0.10, 0.10), (3, 0.10, 0.20), (4, 0.10, 0.30), (4, 0.16, 0.48)],
)
def test_creep_of_the_innermost_sheet(
    sheets: int, thickness_mm: float, innermost_mm: float
) -> None:
    assert creep_mm(1, thickness_mm) == 0
    assert creep_mm(sheets, thickness_mm) == pytest.approx(innermost_mm)


@pytest.mark.parametrize(
    ("upright", "flip", "turns"),
    [
        # Turned like a leaf: a head that points right points left from behind.
        (True, Flip.LONG_EDGE, {0: 0, 1: 3, 2: 2, 3: 1}),
        (False, Flip.SHORT_EDGE, {0: 0, 1: 3, 2: 2, 3: 1}),
        # Turned head over heels: what is up comes out below, what is right stays right.
        (True, Flip.SHORT_EDGE, {0: 2, 1: 1, 2: 0, 3: 3}),
        (False, Flip.LONG_EDGE, {0: 2, 1: 1, 2: 0, 3: 3}),
    ],
)
def test_backs_are_the_same_way_up_as_their_fronts(
    upright: bool, flip: Flip, turns: dict[int, int]
) -> None:
    assert {front: back_turns(front, upright=upright, flip=flip) for front in range(4)} == turns
