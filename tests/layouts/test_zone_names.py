"""Names over a chart: each at its bracket, none with a line or another name through it."""

from __future__ import annotations

from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from charts.chart import Column, Zone
from charts.loom import PegNumber
from layouts.grid_terms import Span
from layouts.zone_names import NAME_GAP_MM, ZoneName, zone_names

LETTER_MM = 1.5
"""In these tests every letter is so wide."""
CELL_MM = 4.0


def width_mm(text: str) -> float:
    return len(text) * LETTER_MM


def named(zones: list[Zone], columns: int, cell_mm: float = CELL_MM) -> tuple[ZoneName, ...]:
    pegs = tuple(Column((PegNumber(peg),)) for peg in range(1, columns + 1))
    edges_mm = [cell_mm * place for place in range(columns + 1)]
    return zone_names(zones, pegs, edges_mm, width_mm)


def assert_clear(names: tuple[ZoneName, ...]) -> None:
    """No two names in one line meet, and no bracket runs through a name.

    The legs of a bracket go down from its line to the grid; the arms of one whose name stands
    between them, or the bar of one whose name stands on it, lie in that line.
    """
    for one, other in combinations(names, 2):
        assert one.tier != other.tier or not one.name.near(other.name, NAME_GAP_MM - 0.02)
    for one in names:
        for other in names:
            legs = (other.bracket.left_mm, other.bracket.right_mm)
            reach = other.tier >= one.tier
            for x_mm in legs if reach else ():
                on_own = one is other and one.on_bracket
                clear = NAME_GAP_MM - 0.02
                inside = one.name.left_mm - clear < x_mm < one.name.right_mm + clear
                assert not inside or on_own, (one, other)
            if other is not one and other.tier == one.tier:
                assert not one.name.near(other.bracket, 0.0), (one, other)


def test_names_with_room_stand_between_the_arms_of_their_brackets() -> None:
    """Heel of 5 pegs, instep of 6 with a panel of 3 that has 12 mm for 7.5."""
    heel, instep, panel = Zone("heel", 0, 4), Zone("instep", 5, 10), Zone("panel", 6, 8)
    names = {one.text: one for one in named([heel, instep, panel], 11)}
    assert {text: (one.tier, one.on_bracket) for text, one in names.items()} == {
        "heel": (1, False),
        "instep": (1, False),
        "panel": (0, False),
    }
    assert names["heel"].name == Span(7.0, 13.0)
    assert_clear(tuple(names.values()))


def test_a_name_wider_than_its_zone_stands_on_its_bracket_above_its_neighbours() -> None:
    """A toe with sides of one peg: 6 mm of "side" over 4 mm."""
    names = named([Zone("side", 0, 0), Zone("centre", 1, 8), Zone("side", 9, 9)], 10)
    assert [(one.text, one.tier, one.on_bracket) for one in names] == [
        ("centre", 0, False),
        ("side", 1, True),
        ("side", 1, True),
    ]
    assert names[1].name == Span(-1.0, 5.0)
    assert_clear(names)


def test_wide_names_that_would_meet_go_down_like_stairs() -> None:
    """Gussets and turn of one peg each: 9 mm and 6 mm of name over 4 mm, from the left."""
    names = named([Zone("gusset", 0, 0), Zone("turn", 1, 1), Zone("gusset", 2, 2)], 3)
    places = sorted((one.bracket.left_mm, one.tier, one.name.left_mm) for one in names)
    assert places == [(0.0, 2, 0.8), (4.0, 1, 4.8), (8.0, 0, 8.8)]
    assert_clear(names)


def test_a_narrow_panel_is_named_inside_the_bracket_of_its_instep() -> None:
    (instep, panel) = named([Zone("instep", 0, 9), Zone("panel", 1, 1)], 10)[::-1]
    assert (panel.tier, panel.on_bracket, panel.name) == (0, True, Span(2.25, 9.75))
    assert (instep.tier, instep.on_bracket) == (1, False)


def test_a_panel_without_room_is_told_with_its_instep() -> None:
    """Two zones of the same pegs, and one whose name is wider than the bracket around it."""
    assert [one.text for one in named([Zone("instep", 0, 4), Zone("panel", 0, 4)], 5)] == [
        "instep, panel"
    ]
    assert [one.text for one in named([Zone("instep", 0, 1), Zone("panel", 1, 1)], 2)] == [
        "instep, panel 2"
    ]


@given(
    st.lists(
        st.tuples(st.sampled_from(["gusset", "turn", "heel", "centre"]), st.integers(1, 9)),
        min_size=1,
        max_size=4,
    ),
    st.integers(0, 6),
    st.integers(1, 6),
    st.floats(2.4, 9.0),
)
def test_names_of_any_zones_keep_clear(
    widths: list[tuple[str, int]], before: int, panel: int, cell_mm: float
) -> None:
    """Zones side by side, a panel inside the last one where it has room."""
    zones, place = [], 0
    for name, count in widths:
        zones.append(Zone(name, place, place + count - 1))
        place += count
    last = zones[-1]
    if last.first_column + before + panel - 1 <= last.last_column:
        first = last.first_column + before
        zones.append(Zone("panel", first, first + panel - 1))
    names = named(zones, place, cell_mm)
    told = ", ".join(one.text for one in names)
    assert all(zone.name in told for zone in zones)
    assert_clear(names)
