"""Cards to laminate: sizes that can be read from 60 cm, clear of the cut edge."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from charts.parts import Part
from charts.steps import Checkpoint, make_part_steps
from charts.stitches import STITCHES
from charts.verify import Knit
from layouts.block import DoesNotFitError
from layouts.card import DEFAULT_CARD, make_card
from layouts.card_subjects import Reference, Subject
from layouts.faces import Face
from layouts.paper import MM_PER_PT, PAPERS, Paper, read_paper
from layouts.pdf import write_pdf
from layouts.scene import Document, Group, Item, Page, Path, Role, Text, bounds_of
from layouts.style import CARD, SMALL_CARD
from tests.layouts.placed_items import squeezed_words, texts_of

KnitOf = Callable[[str], Knit]
SHARED = HealthCheck.function_scoped_fixture
"""The fixture makes each sock once and nothing changes it."""


def texts(items: tuple[Item, ...]) -> Iterator[Text]:
    for item in items:
        if isinstance(item, Text):
            yield item
        elif isinstance(item, Group):
            yield from texts(item.items)


def groups(items: tuple[Item, ...]) -> Iterator[Group]:
    for item in items:
        if isinstance(item, Group):
            yield item
            yield from groups(item.items)


def cell_mm(page: Page) -> float:
    """Shorter side of the chart's cells: the size of its symbols."""
    rows = [group for group in groups(page.items) if ("line", "row") in group.attrs]
    sizes_pt = [text.size_pt for text in texts(rows[0].items) if text.face is Face.SYMBOLS]
    return min(sizes_pt) * MM_PER_PT


def said(document: Document) -> str:
    return " ".join(text.text for page in document.pages for text in texts(page.items)).replace(
        "\N{NO-BREAK SPACE}", " "
    )


def test_default_card_is_a5_lying_level() -> None:
    # ISO 216
    assert (DEFAULT_CARD.width_mm, DEFAULT_CARD.height_mm) == (210.0, 148.0)


@pytest.mark.parametrize("name", ["rope on 40", "plain on 24", "right to left on 25"])
def test_heel_turn_can_be_read_from_60_cm(knit_of: KnitOf, name: str) -> None:
    front, back = make_card(knit_of(name), Part.TURN).pages
    assert cell_mm(front) >= 5.0
    sizes_pt = [text.size_pt for text in texts(front.items) if text.face is not Face.SYMBOLS]
    assert min(sizes_pt) >= 11.0
    rows = [group for group in groups(front.items) if ("line", "row") in group.attrs]
    assert len(rows) == knit_of(name).plan.turn_rows
    assert not [group for group in groups(back.items) if group.role is Role.TABLE]


@pytest.mark.parametrize("part", [Part.FLAP, Part.TURN, Part.FOOT, Part.TOE])
@pytest.mark.parametrize("size", ["a5", "a4", "index-5x8", "half-letter"])
def test_all_ink_keeps_clear_of_the_cut_edge(any_knit: Knit, part: Part, size: str) -> None:
    document = make_card(any_knit, part, paper=PAPERS[size])
    for page in document.pages:
        assert page.safe.left_mm == page.safe.top_mm == 6.0
        assert page.safe_box.holds(bounds_of(page.items), 0.05)
        assert sorted((page.width_mm, page.height_mm)) == sorted(
            (PAPERS[size].width_mm, PAPERS[size].height_mm)
        )
    assert write_pdf(document).startswith(b"%PDF")


def test_card_tells_every_step_with_a_box_a_row_and_both_checkpoints(knit_of: KnitOf) -> None:
    knit = knit_of("rope on 40")
    document = make_card(knit, Part.TURN)
    text = said(document)
    steps = make_part_steps(knit, Part.TURN)
    for step in steps.steps:
        if not isinstance(step, Checkpoint):
            for word in step.text.split():
                assert word in text
    for page in document.pages:
        page_text = said(Document((page,), ""))
        assert "Yarn at peg 10; all 40 pegs live." in page_text
        assert "8 live pegs at the heel" in page_text
        assert "Heel turn" in page_text
    boxes = [
        path
        for group in groups(document.pages[1].items)
        for path in group.items
        if isinstance(path, Path) and path.segments and path.stroke_pt == 0.6 and not path.dash_mm
    ]
    drawn = sum(len(path.segments) // 5 for path in boxes)
    assert drawn == 16 + 2  # sixteen rows, two moves
    assert CARD.tick_box_mm >= 6.0 > SMALL_CARD.tick_box_mm >= 5.0


def test_only_the_symbols_used_are_in_the_key(knit_of: KnitOf) -> None:
    front = make_card(knit_of("rope on 40"), Part.TURN).pages[0]
    keys = [group for group in groups(front.items) if group.role is Role.LIST]
    shown = [text.text for key in keys for text in texts(key.items) if text.face is Face.SYMBOLS]
    assert shown == ["k", "j", "h", "H"]


def test_a_large_card_holds_chart_and_steps_on_one_side(knit_of: KnitOf) -> None:
    (page,) = make_card(knit_of("rope on 40"), Part.TURN, paper=PAPERS["a4"]).pages
    assert cell_mm(page) >= 5.0
    assert "repeat rows 2–3" in said(Document((page,), ""))


@pytest.mark.parametrize("part", [Part.FLAP, Part.TURN, Part.FOOT, Part.TOE])
def test_a_card_is_turned_over_like_a_leaf(any_knit: Knit, part: Part) -> None:
    pages = make_card(any_knit, part).pages
    assert len({(page.width_mm, page.height_mm) for page in pages}) == 1


def test_steps_on_two_sides_end_the_first_where_narrowing_ends(knit_of: KnitOf) -> None:
    knit = knit_of("two ropes on 56")
    _, first, second = make_card(knit, Part.TOE).pages
    assert rows_told(first) == list(range(1, 19))
    assert rows_told(second) == list(range(19, 37))


def rows_told(page: Page) -> list[int]:
    return [int(found) for found in re.findall(r"Row (\d+) [→←]", said(Document((page,), "")))]


@pytest.mark.parametrize("part", [Part.TURN, Part.TOE])
def test_counts_stand_below_a_head_in_every_column(any_knit: Knit, part: Part) -> None:
    for page in make_card(any_knit, part).pages[1:]:
        placed = [one for one in texts_of(page) if one.item.face is not Face.SYMBOLS]
        heads = [one for one in placed if one.text == "stitches"]
        counts = [
            one
            for one in placed
            if re.fullmatch(r"\d+", one.text) and one.item.size_pt >= SMALL_CARD.step.size_pt
        ]
        assert counts
        assert heads
        for count in counts:
            assert any(
                head.box.bottom_mm < count.box.top_mm
                and abs(head.box.right_mm - count.box.right_mm) < 1.0
                for head in heads
            ), count.text


def test_acts_that_need_it_are_explained_once_beside_their_rows(knit_of: KnitOf) -> None:
    """Knit is not explained; a toe on two sides has each act on the side that asks for it."""
    _, first, second = (
        squeezed_words(said(Document((page,), "")))
        for page in make_card(knit_of("two ropes on 56"), Part.TOE).pages
    )
    turned, as_one = STITCHES["t"].meaning, STITCHES["d"].meaning
    assert (turned in first, turned in second) == (True, False)
    assert (as_one in first, as_one in second) == (False, True)
    for name, letter in (("rope on 40", "j"), ("plain on 24", "j")):
        text = squeezed_words(said(make_card(knit_of(name), Part.TURN)))
        assert text.count(STITCHES[letter].meaning) == 1
        assert STITCHES["k"].meaning not in text


def test_where_there_is_room_for_one_act_alone_it_is_told(knit_of: KnitOf) -> None:
    """The first back of a small card has rows of both kinds and room for one box: what the second
    back tells as well is left out."""
    document = make_card(knit_of("rope on 40"), Part.TOE, paper=PAPERS["a6"])
    _, first, second = (squeezed_words(said(Document((page,), ""))) for page in document.pages)
    assert STITCHES["t"].meaning in first
    assert STITCHES["d"].meaning in second


def test_rows_are_not_parted_where_the_moves_before_them_fill_a_side(knit_of: KnitOf) -> None:
    document = make_card(knit_of("rope on 40"), Part.TURN, paper=PAPERS["a6"])
    _, first, second = (squeezed_words(said(Document((page,), ""))) for page in document.pages)
    assert "Put the 8 loops" in first
    assert "Row 1 " not in first
    assert "Row 1 " in second


def test_acts_go_below_the_chart_where_the_steps_fill_the_back(knit_of: KnitOf) -> None:
    front, back = (
        squeezed_words(said(Document((page,), "")))
        for page in make_card(knit_of("rope on 40"), Part.TOE).pages
    )
    for letter in "td":
        assert STITCHES[letter].meaning in front
        assert STITCHES[letter].meaning not in back


def test_a_size_of_ones_own_is_kept_as_it_is(knit_of: KnitOf) -> None:
    upright = Paper("150 x 230 mm", 150.0, 230.0)
    for page in make_card(knit_of("rope on 40"), Part.TURN, paper=upright).pages:
        assert (page.width_mm, page.height_mm) == (150.0, 230.0)


@pytest.mark.parametrize("size", ["a7", "id-1"])
def test_a_card_too_small_is_refused_with_what_would_fit(knit_of: KnitOf, size: str) -> None:
    knit = knit_of("rope on 40")
    with pytest.raises(DoesNotFitError, match=r"too small for the heel turn") as refusal:
        make_card(knit, Part.TURN, paper=PAPERS[size])
    named = re.search(r"the smallest usual card that holds it is (\S+),", str(refusal.value))
    assert named is not None
    assert make_card(knit, Part.TURN, paper=PAPERS[named[1]]).pages


def test_a_card_of_ones_own_that_fits_turned_is_told_to_be_turned(knit_of: KnitOf) -> None:
    knit = knit_of("rope on 40")
    upright = Paper("100 x 150 mm", 100.0, 150.0)
    with pytest.raises(DoesNotFitError, match=r"; try 150 x 100 mm$"):
        make_card(knit, Part.TURN, paper=upright)
    assert make_card(knit, Part.TURN, paper=upright.turned).pages


@given(
    size=st.tuples(st.integers(50, 320), st.integers(50, 320)),
    part=st.sampled_from([Part.CUFF, Part.TURN, Part.TOE, Part.CLOSING, *Reference]),
)
@settings(max_examples=40, deadline=None, suppress_health_check=[SHARED])
def test_every_card_fits_or_is_refused_with_one_that_does(
    knit_of: KnitOf, size: tuple[int, int], part: Subject
) -> None:
    knit = knit_of("rope on 40")
    paper = read_paper(f"{size[0]} x {size[1]} mm")
    try:
        card = make_card(knit, part, paper=paper)
    except DoesNotFitError as refusal:
        named = re.search(
            r"try (\S+ x \S+ mm)$|the smallest usual card that holds it is (\S+),", str(refusal)
        )
        assert named is not None
        paper = read_paper(named[1] or named[2])
        card = make_card(knit, part, paper=paper)
    for page in card.pages:
        assert sorted((page.width_mm, page.height_mm)) == sorted((paper.width_mm, paper.height_mm))
        assert page.safe_box.holds(bounds_of(page.items), 0.05)


def test_steps_too_long_for_the_back_go_on_on_a_second_card(knit_of: KnitOf) -> None:
    document = make_card(knit_of("two ropes on 56"), Part.TOE)
    assert [page.label for page in document.pages] == ["front", "back", "front 2"]
    text = said(document)
    assert all(f"Row {number} " in text for number in range(1, 37))


def test_the_same_sock_makes_the_same_card(knit_of: KnitOf) -> None:
    first, second = (write_pdf(make_card(knit_of("rope on 40"), Part.TOE)) for _ in range(2))
    assert first == second
