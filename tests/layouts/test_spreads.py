"""Choosing layouts: facing pages face, sheets are filled, filler pages only where they must be."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layouts.frame import Side
from layouts.spreads import FILLER_COST, LAST_FILLER_COST, Way, choose_ways


def way(pages: int, start: Side = Side.EITHER, cost: float = 0.0) -> Way:
    return Way(pages, lambda: (), start, cost)


def total_cost(chain: list[tuple[Way, bool]], sheet: int) -> float:
    cost, pages = 0.0, 0
    for one, filler in chain:
        assert filler or one.start in (Side.EITHER, Side.of(pages + 1))
        pages += one.pages + filler
        cost += one.cost + one.pages + (1 + FILLER_COST) * filler
    return cost + -pages % sheet * LAST_FILLER_COST


def test_the_first_page_is_a_right_hand_page() -> None:
    assert [filler for _, filler in choose_ways([[way(1, Side.RIGHT)]], sheet=1)] == [False]
    assert [filler for _, filler in choose_ways([[way(1, Side.LEFT)]], sheet=1)] == [True]


def test_a_spread_gets_its_left_page_from_a_longer_layout_before_it() -> None:
    """One page, then a unit of one or two pages, then a spread: 1 | 2 3 | 4 5 needs the two."""
    units = [[way(1)], [way(1), way(2, cost=0.2)], [way(2, Side.LEFT)]]
    assert [one.pages for one, _ in choose_ways(units, sheet=1)] == [1, 2, 2]


def test_a_page_for_notes_comes_before_a_spread_if_nothing_else_helps() -> None:
    chain = choose_ways([[way(1)], [way(1)], [way(2, Side.LEFT)]], sheet=1)
    assert [filler for _, filler in chain] == [False, False, True]


def test_a_unit_without_a_way_is_an_error() -> None:
    with pytest.raises(ValueError, match="at least one way"):
        choose_ways([[]], sheet=4)


ways = st.builds(way, st.integers(1, 3), st.sampled_from(Side), st.sampled_from([0.0, 0.3, 0.7]))


@given(st.lists(st.lists(ways, min_size=1, max_size=3), min_size=1, max_size=5))
def test_no_chain_is_cheaper_than_the_one_chosen(units: list[list[Way]]) -> None:
    """Against every chain there is, tried one by one."""
    chosen = choose_ways(units, sheet=4)
    least = min(total_cost(_with_fillers(list(chain)), 4) for chain in product(*units))
    assert total_cost(chosen, 4) == pytest.approx(least)


def _with_fillers(chain: list[Way]) -> list[tuple[Way, bool]]:
    found, pages = [], 0
    for one in chain:
        filler = one.start not in (Side.EITHER, Side.of(pages + 1))
        found.append((one, filler))
        pages += one.pages + filler
    return found
