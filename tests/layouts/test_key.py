"""The symbol key: every sign of the charts once, with its meaning, and nothing else."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from charts.chart import HELD, MOVE_MARKS, make_chart
from charts.parts import Part
from charts.stitches import STITCHES
from charts.verify import Knit
from layouts.block import Block
from layouts.faces import Face
from layouts.key import KeySigns, signs_of, symbol_key, symbol_line
from layouts.scene import Box, Cap, Group, Item, Path, Role, Text, bounds, bounds_of

KnitOf = Callable[[str], Knit]


def entries(items: tuple[Item, ...], dx_mm: float = 0.0, dy_mm: float = 0.0) -> Iterator[Group]:
    """Each entry of a key, moved to where it stands."""
    for item in items:
        if isinstance(item, Group):
            x_mm, y_mm = dx_mm + item.dx_mm, dy_mm + item.dy_mm
            if item.role is Role.LI:
                yield Group(item.items, x_mm, y_mm, role=Role.LI)
            else:
                yield from entries(item.items, x_mm, y_mm)


def texts(items: tuple[Item, ...]) -> Iterator[Text]:
    for item in items:
        if isinstance(item, Text):
            yield item
        elif isinstance(item, Group):
            yield from texts(item.items)


def words(entry: Group) -> str:
    return " ".join(text.text for text in texts(entry.items) if text.face is not Face.SYMBOLS)


def signs(block: Block) -> str:
    return "".join(text.text for text in texts(block.items) if text.face is Face.SYMBOLS)


def test_signs_are_those_of_the_charts_in_the_order_of_the_table(knit_of: KnitOf) -> None:
    knit = knit_of("two ropes on 56")
    charts = [make_chart(knit, part) for part in (Part.TURN, Part.LEG, Part.FOOT)]
    found = signs_of(charts)
    assert found.letters == "kpbjRrLlh ."
    assert sorted(found.marks) == ["B", "G", "H"]
    assert found.crosses == ((2, 2, "left"), (2, 2, "right"))
    assert signs_of([]) == KeySigns("")


def test_each_sign_is_explained_once_in_the_words_of_the_stitch_table() -> None:
    plain = "".join(letter for letter, stitch in STITCHES.items() if not stitch.cross)
    marks = "".join(MOVE_MARKS.values())
    block = symbol_key(plain + HELD + " ", marks, width_mm=120.0)
    assert signs(block) == plain + HELD + "HGBMO"
    told = [words(entry) for entry in entries(block.items)]
    assert len(told) == len(plain) + 2 + len(marks)
    for letter, text in zip(plain, told, strict=False):
        stitch = STITCHES[letter]
        assert stitch.name in text
        assert stitch.verb in text
        assert text.endswith(f": {stitch.meaning}.")
    named = {
        letter: text.split(" :")[0].split(" ,")[0]
        for letter, text in zip(plain, told, strict=False)
    }
    assert named["k"] == "knit, flat"
    assert named["d"] == "knit both strands as one"
    assert named["b"] == "pick up"
    assert told[plain.index("b")].startswith(
        "pick up , in the steps “knit loop and lifted bar as one”"
    )


def test_cables_are_shown_as_crosses_named_as_in_the_steps() -> None:
    block = symbol_key("kRl", width_mm=120.0, crosses=[(2, 2, "left"), (1, 2, "right")])
    told = [words(entry) for entry in entries(block.items)]
    assert [text.split(" :")[0] for text in told] == [
        "knit, flat",
        "cross right with left 2 over right 2",
        "cross left with right 2 over left 1",
    ]
    assert told[1].endswith(
        "the left 2 loops hang, in order, on the right 2 pegs, passing in front; the right 2 loops "
        "hang, in order, on the left 2 pegs, behind; then knit all 4."
    )
    assert told[2].endswith(
        "the right 2 loops hang, in order, on the left 2 pegs, passing in front; the left loop "
        "hangs on the right peg, behind; then knit all 3."
    )


def test_places_without_a_cell_are_explained_where_a_chart_has_them() -> None:
    assert any("no cell" in words(one) for one in entries(symbol_key("k.", width_mm=90.0).items))
    assert not any("no cell" in words(one) for one in entries(symbol_key("k", width_mm=90.0).items))


def test_a_place_without_a_cell_has_a_dotted_outline_for_a_sign() -> None:
    (entry,) = [
        one for one in entries(symbol_key("k.", width_mm=90.0).items) if "no cell" in words(one)
    ]
    (sign,) = [item for item in entry.items if isinstance(item, Group) and item.role is Role.LABEL]
    (outline,) = sign.items
    assert isinstance(outline, Path)
    assert outline.dash_mm
    assert outline.cap is Cap.ROUND


def test_a_held_loop_is_hatched_and_told_as_it_is_before_the_row() -> None:
    (entry,) = entries(symbol_key("h", width_mm=90.0).items)
    assert words(entry).split(" :")[0] == "held loop"
    assert "as the row begins, the loop of this peg is on a holder" in words(entry)
    (sign,) = [item for item in entry.items if isinstance(item, Group) and item.role is Role.LABEL]
    strokes, frame, letter = sign.items
    assert isinstance(strokes, Path)
    assert len(strokes.segments) > 6
    assert bounds(frame).holds(bounds(strokes), 0.1)
    assert isinstance(letter, Text)


@pytest.mark.parametrize(("width_mm", "columns"), [(80.0, 1), (120.0, 2)])
def test_a_wide_key_has_two_columns(width_mm: float, columns: int) -> None:
    block = symbol_key("kpstd", width_mm=width_mm)
    assert len({entry.dx_mm for entry in entries(block.items)}) == columns


@given(
    letters=st.sets(st.sampled_from([*STITCHES, HELD, " ", "."])),
    marks=st.sets(st.sampled_from(sorted(MOVE_MARKS.values()))),
    width_mm=st.floats(60.0, 300.0),
)
def test_nothing_leaves_the_key_and_no_entry_covers_another(
    letters: set[str], marks: set[str], width_mm: float
) -> None:
    for make in (symbol_key, symbol_line):
        block = make("".join(letters), "".join(marks), width_mm=width_mm, crosses=[(2, 2, "left")])
        whole = Box(0.0, 0.0, block.width_mm, block.height_mm)
        assert whole.holds(bounds_of(block.items), 0.2)
        boxes = [bounds(entry) for entry in entries(block.items)]
        assert not any(one.meets(other, 0.2) for one, other in combinations(boxes, 2))


def test_a_key_of_one_sign_takes_the_whole_width() -> None:
    (entry,) = entries(symbol_key("t", width_mm=190.0).items)
    assert bounds(entry).width_mm > 150.0


def test_the_short_key_has_names_alone_in_the_words_of_the_steps() -> None:
    block = symbol_line("ktj" + HELD + ".", "H", width_mm=190.0)
    assert [words(entry) for entry in entries(block.items)] == [
        "knit, flat",
        "knit and turn",
        "knit and join",
        "held loop",
        "hold",
    ]
    assert signs(block) == "ktjhH"
