"""The tick sheet: a box a row for both socks."""

from __future__ import annotations

from collections.abc import Callable

from charts.rows import CastOn, Graft
from charts.verify import Knit
from layouts.blocks import stacked
from layouts.scene import Page
from layouts.style import BOOKLET
from layouts.tracker import SOCKS, Track, tracker_head, tracker_pieces, tracks_of
from tests.layouts.placed_items import squares_in, texts_of

WIDTH_MM = 120.0


def test_tracks_of_a_sock_counted_by_hand(knit_of: Callable[[str], Knit]) -> None:
    """40 pegs: 16 cuff rows by default, 30 leg, 16 flap and turn, 48 foot, 24 toe; 20 pairs.

    Two holders, two edges, two bars, two needles; cuff and foot run on to peg 1 and peg 3.
    """
    assert tracks_of(knit_of("rope on 40")) == (
        Track("Cuff", 16, "run on"),
        Track("Leg", 30),
        Track("Heel flap", 16, "partial row"),
        Track("Heel turn", 16, before=(("on holders", 2),)),
        Track("Foot", 48, "run on", (("edge loops", 2), ("lift bars", 2))),
        Track("Toe", 24),
        Track("Pairs grafted", 20, before=(("take off", 2),)),
    )


def test_every_row_move_and_pair_has_a_box_for_each_sock(any_knit: Knit) -> None:
    """Every event of the sock but the cast-on and the graft itself."""
    rows = sum(not isinstance(event, CastOn | Graft) for event in any_knit.rows.events)
    pairs = sum(len(event.pairs) for event in any_knit.rows.events if isinstance(event, Graft))
    block = stacked(tracker_pieces(any_knit, WIDTH_MM, BOOKLET))
    assert squares_in(block.items) == SOCKS * (rows + pairs)


def test_lines_are_numbered_by_their_first_row(knit_of: Callable[[str], Knit]) -> None:
    block = stacked(tracker_pieces(knit_of("rope on 40"), WIDTH_MM, BOOKLET))
    texts = [one.text for one in texts_of(Page(WIDTH_MM, 300.0, block.items))]
    due = ["Cuff", "1", "11", "run on", "Leg", "1", "11", "21", "Heel flap"]
    assert texts[:9] == due


def test_both_socks_are_named_above_their_boxes() -> None:
    head = tracker_head(WIDTH_MM, BOOKLET).block
    assert [one.text for one in texts_of(Page(WIDTH_MM, 20.0, head.items))] == ["Sock 1", "Sock 2"]
