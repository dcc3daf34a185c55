"""Lines: measured, broken, kept together, placed."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from layouts.faces import Face
from layouts.paper import MM_PER_PT
from layouts.scene import Align, Ink, Role, Text, bounds, bounds_of
from layouts.text import (
    NO_BREAK_SPACE,
    Run,
    Style,
    bold,
    break_lines,
    set_line,
    set_lines,
    set_paragraph,
    split_lines,
    symbols,
    width_mm,
)

BODY = Style(9.5, 13, after_pt=4)
EM = Style(1 / MM_PER_PT, 1.5 / MM_PER_PT)
"""An em of 1 mm: a width in thousandths of an em is a width in micrometres."""

CELLS = Style(1 / MM_PER_PT, 1 / MM_PER_PT, Face.SYMBOLS)
"""Every character 1 mm wide, so that breaks can be counted by hand."""


def texts(text: str, column_mm: float, style: Style = CELLS) -> list[str]:
    return [line.text for line in break_lines(text, style, column_mm)]


def test_width_is_the_sum_of_the_advances() -> None:
    # Source Sans 3 Regular (hmtx): P 566, e 496, g 504, space 200, 1 and 2 497 each.
    assert width_mm("Peg 12", EM) == pytest.approx(0.566 + 0.496 + 0.504 + 0.200 + 2 * 0.497)


def test_lines_are_as_full_as_they_can_be() -> None:
    assert texts("kk pp kk pp", 5) == ["kk pp", "kk pp"]
    assert texts("kk pp kk pp", 4.9) == ["kk", "pp", "kk", "pp"]
    assert texts("kk pp kk pp", 11) == ["kk pp kk pp"]


def test_a_last_word_is_not_left_alone_if_two_stay_above() -> None:
    assert texts("k p k p k e", 9.5) == ["k p k p", "k e"]
    assert texts("kk pp e", 5) == ["kk pp", "e"], "only one word would stay above"


def test_spaces_at_a_break_vanish_and_others_stay() -> None:
    assert texts("  kk  pp   kk ", 6) == ["kk  pp", "kk"]


def test_no_break_space_holds_its_neighbours_together() -> None:
    held = f"turn peg{NO_BREAK_SPACE}12"
    for column_mm in (5, 10, 15, 20):
        assert not any(text.endswith("peg") for text in texts(held, column_mm, BODY))


def test_hyphens_break_between_letters_only() -> None:
    assert texts("two-strand yarn", 12, BODY) == ["two-", "strand", "yarn"]
    assert "e-wrap" in texts("knit the e-wrap", 12, BODY)
    assert "3–8" in texts("pegs 3–8 and 10-12", 8, BODY)
    assert "10-12" in texts("pegs 3–8 and 10-12", 10, BODY)


def test_a_word_wider_than_the_column_is_cut_not_shrunk() -> None:
    assert texts("kkkkkkk p", 3) == ["kkk", "kkk", "k p"]
    assert texts("kkk", 0.5) == ["k", "k", "k"], "one character a line at least"


def test_line_ends_break_and_blank_lines_stay() -> None:
    assert texts("k\np", 9) == ["k", "p"]
    assert texts("k\r\n\r\np\n", 9) == ["k", "", "p"]
    assert texts("\n", 9) == []
    assert texts("  ", 9) == []
    assert texts("", 9) == []


def test_runs_keep_their_face_across_a_break() -> None:
    red = Ink(1, 0, 0)
    text = [Run("knit "), bold("to peg 12"), Run(" and", ink=red), symbols("w")]
    lines = break_lines(text, BODY, 14)
    faces = [(run.text, run.face, run.ink) for line in lines for run in line.runs]
    assert faces == [
        ("knit ", None, None),
        ("to", Face.BOLD, None),
        ("peg 12", Face.BOLD, None),
        ("and", None, red),
        ("w", Face.SYMBOLS, None),
    ]


def test_a_word_of_two_faces_is_one_word() -> None:
    text = [Run("kk p"), Run("p", ink=Ink(1, 0, 0)), Run("p kk")]
    assert [line.text for line in break_lines(text, CELLS, 5)] == ["kk", "ppp", "kk"]
    assert [line.text for line in break_lines(text, CELLS, 6)] == ["kk ppp", "kk"]


def test_controls_take_no_room_and_break_nothing() -> None:
    dirty = "kk\x00 \ud800pp\x0bk"
    assert texts(dirty, 3) == ["kk", "?pp", "k"]
    assert texts("kkk\x00\x01", 3) == ["kkk"]


words = st.lists(st.text("kuep", min_size=1, max_size=9), min_size=1, max_size=30)


@given(words, st.floats(1, 40))
def test_no_line_leaves_its_column_and_no_letter_is_lost(
    found: list[str], column_mm: float
) -> None:
    lines = break_lines(" ".join(found), CELLS, column_mm)
    assert all(line.width_mm <= column_mm + 1e-5 for line in lines)
    assert all(line.text == line.text.strip() and line.text for line in lines)
    assert "".join(line.text for line in lines).replace(" ", "") == "".join(found)


@given(words, st.floats(10, 40))
def test_words_that_fit_are_never_cut(found: list[str], column_mm: float) -> None:
    lines = break_lines(" ".join(found), CELLS, column_mm)
    assert " ".join(line.text for line in lines) == " ".join(found)


@given(words, st.floats(10, 40))
def test_a_line_breaks_only_when_the_next_word_would_not_fit(
    found: list[str], column_mm: float
) -> None:
    lines = [line.text.split(" ") for line in break_lines(" ".join(found), CELLS, column_mm)]
    assume(len(lines) > 2)
    for line, following in pairwise(lines[:-1]):
        assert len(" ".join([*line, following[0]])) > column_mm


@given(st.integers(1, 40), st.integers(0, 40), st.integers(1, 3))
@example(5, 1, 2)
@example(3, 2, 2)
def test_split_leaves_no_line_alone(count: int, room: int, least: int) -> None:
    kept = split_lines(count, room, least=least)
    assert 0 <= kept <= min(count, room)
    if count <= room:
        assert kept == count
    if 0 < kept < count:
        assert kept >= least
        assert count - kept >= least
    if count > room >= least and count - room >= least:
        assert kept == room, "as many as there is room for"


def test_paragraph_takes_whole_lines_of_its_column() -> None:
    block = set_paragraph("kk pp kk", 10, 20, 5, CELLS)
    assert block.box.left_mm == 10
    assert block.box.right_mm == 15
    assert (block.box.top_mm, block.box.bottom_mm) == pytest.approx((20, 22))
    assert block.next_mm == pytest.approx(22)
    assert block.group.role is Role.P
    assert set_paragraph("kk", 0, 0, 50, BODY).next_mm == pytest.approx((13 + 4) * MM_PER_PT)


def test_base_lines_are_one_leading_apart_and_ink_is_centred_in_its_line() -> None:
    block = set_paragraph("Peg\nPeg\nPeg", 0, 100, 50, BODY)
    items = [item for item in block.group.items if isinstance(item, Text)]
    first, second, third = (item.y_mm for item in items)
    assert second - first == pytest.approx(13 * MM_PER_PT)
    assert third - second == pytest.approx(13 * MM_PER_PT)
    box = bounds(items[0])
    assert box.top_mm - 100 == pytest.approx(100 + 13 * MM_PER_PT - box.bottom_mm)


@pytest.mark.parametrize(
    ("align", "left_mm", "right_mm"),
    [(Align.LEFT, 10, 12), (Align.CENTRE, 14, 16), (Align.RIGHT, 18, 20)],
)
def test_lines_align_in_their_column(align: Align, left_mm: float, right_mm: float) -> None:
    block = set_lines(break_lines("kp", CELLS, 10), 10, 0, 10, CELLS, align=align)
    box = bounds(block.group)
    assert (box.left_mm, box.right_mm) == pytest.approx((left_mm, right_mm))


def test_runs_of_a_line_follow_without_gap() -> None:
    text = [Run("knit "), bold("12"), Run(" pegs")]
    items = set_line(text, 100, 50, BODY, align=Align.RIGHT)
    assert bounds_of(items).right_mm == pytest.approx(100)
    for one, following in pairwise(items):
        assert bounds(one).right_mm == pytest.approx(following.x_mm)
    assert {item.y_mm for item in items} == {50}


def test_symbol_among_letters_is_centred_on_the_capitals() -> None:
    letter, symbol = set_line([Run("H"), symbols("p")], 0, 50, BODY)
    em_mm = 9.5 * MM_PER_PT
    box = bounds(symbol)
    # Source Sans 3: capitals are 660 high (OS/2, sCapHeight).
    assert (box.top_mm + box.bottom_mm) / 2 == pytest.approx(letter.y_mm - 0.660 * em_mm / 2)
