"""Cables: loops that really change places, mirrored socks, and motifs seen as they were drawn."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from charts.chart import ChartRow, make_chart
from charts.loom import PegNumber, Working
from charts.parts import Part
from charts.plan import second_sock
from charts.rows import Row, Section
from charts.spec import Flanks, Foot, Leg
from charts.steps import RowStep, ThreadStep, make_part_steps
from charts.stitches import MOTIF_LETTERS, STITCHES, crosses, mirrored
from charts.verify import Knit

from .socks import motif_rows, place_of, proved, row_at, sock

# What a row of letters means.


@pytest.mark.parametrize(
    ("letters", "found"),
    [
        ("", []),
        ("kkpp", []),
        ("Rl", [(0, 1, 1)]),
        ("rL", [(0, 1, 1)]),
        ("RRll", [(0, 2, 2)]),
        ("rrLL", [(0, 2, 2)]),
        ("pRRRlp", [(1, 3, 1)]),
        ("prLLLp", [(1, 1, 3)]),
        ("RlRl", [(0, 1, 1), (2, 1, 1)]),
        ("RlrLRRll", [(0, 1, 1), (2, 1, 1), (4, 2, 2)]),
        ("kRllkrrLk", [(1, 1, 2), (5, 2, 1)]),
    ],
)
def test_crosses_are_read(letters: str, found: list[tuple[int, int, int]]) -> None:
    assert crosses(letters) == found


@pytest.mark.parametrize(
    ("letters", "said"),
    [
        ("R", "column 1: strand 'R' needs 'l' to its right"),
        ("kkr", "column 3: strand 'r' needs 'L' to its right"),
        ("RL", "column 1: strand 'R' needs 'l' to its right"),
        ("rl", "column 1: strand 'r' needs 'L' to its right"),
        ("kl", "column 2: strand 'l' has no partner on its left"),
        ("RkL", "column 1: strand 'R' needs 'l' to its right"),
        ("RlL", "column 3: strand 'L' has no partner on its left"),
        ("Rpl", "column 1: strand 'R' needs 'l' to its right"),
    ],
)
def test_a_strand_without_its_partner_is_told_by_column(letters: str, said: str) -> None:
    with pytest.raises(ValueError, match="^" + said + "$"):
        crosses(letters)


def test_table_tells_which_strand_is_on_top_and_where_it_goes() -> None:
    told = {letter: (stitch.cross, stitch.leans) for letter, stitch in STITCHES.items()}
    assert {letter: told[letter] for letter in "RrLl"} == {
        "R": ("over", 1),
        "r": ("under", 1),
        "L": ("over", -1),
        "l": ("under", -1),
    }
    assert all(told[letter] == ("", 0) for letter in STITCHES if letter not in "RrLl")


@given(motif_rows())
def test_every_drawn_row_has_whole_crosses_of_motif_letters(rows: tuple[str, ...]) -> None:
    for row in rows:
        assert set(row) <= set(MOTIF_LETTERS)
        assert sum(left + right for _, left, right in crosses(row)) == sum(map(row.count, "RrLl"))


# Mirrors.


@given(st.text(alphabet="".join(STITCHES)))
def test_mirrored_twice_is_as_drawn(row: str) -> None:
    assert mirrored(mirrored(row)) == row


@given(motif_rows())
def test_a_mirror_turns_each_cross_round_in_its_place(rows: tuple[str, ...]) -> None:
    for row in rows:
        there = [(len(row) - at - a - b, b, a) for at, a, b in crosses(row)]
        assert crosses(mirrored(row)) == there[::-1]
        for at, left, right in crosses(row):
            strand = mirrored(row)[len(row) - at - left - right]
            # What leaned right in front leans left in front, and starts on the right.
            assert strand == {"R": "r", "r": "R"}[row[at]]


@pytest.mark.parametrize("working", Working)
def test_second_sock_of_a_pair_is_proved_with_its_cables_mirrored(working: Working) -> None:
    spec = sock(
        40,
        "3/8 in",
        working=working,
        motif=("kRRlkp", "pkrLLk"),
        leg=Leg(4, "m", across=2, flanks=Flanks.RIB),
        mirror_second_sock=True,
    )
    first, second = proved(spec), proved(second_sock(spec))
    assert panel_as_seen(second) == [mirrored(row) for row in panel_as_seen(first)]
    assert second.counts == first.counts


# What the loops do.


def leg_sock(motif: tuple[str, ...], working: Working = Working.LEFT_TO_RIGHT) -> Knit:
    """24 pegs, instep 15-24; a motif of six stands on pegs 17-22."""
    return proved(sock(24, working=working, motif=motif, leg=Leg(3, "m"), foot=Foot(4)))


def came_from(knit: Knit, section: Section, number: int) -> dict[int, int]:
    """For each peg the peg on which the loop was born that this row's loop is drawn through."""
    trace, index = knit.trace, place_of(knit.rows, section, number)
    found: dict[int, int] = {}
    for loop, event in enumerate(trace.born_event):
        if event == index:
            (below,) = trace.drawn_through[loop]
            found[trace.born_peg[loop]] = trace.born_peg[below]
    return found


def as_seen(knit: Knit) -> tuple[PegNumber, ...]:
    """The panel's pegs from the knitter's left to right."""
    pegs = tuple(PegNumber(peg) for peg in range(17, 23))
    return pegs if knit.plan.loom.rightward > 0 else pegs[::-1]


@pytest.mark.parametrize("working", Working)
@pytest.mark.parametrize(
    ("drawn", "sources"),
    [
        # Place 0 is the leftmost as seen; the loop at each place comes from that place below.
        ("kkkkkk", [0, 1, 2, 3, 4, 5]),
        ("kkRlkk", [0, 1, 3, 2, 4, 5]),
        ("kkrLkk", [0, 1, 3, 2, 4, 5]),
        ("kRRllk", [0, 3, 4, 1, 2, 5]),
        ("krrLLk", [0, 3, 4, 1, 2, 5]),
        ("RRRlpp", [3, 0, 1, 2, 4, 5]),
        ("pprLLL", [0, 1, 3, 4, 5, 2]),
        ("RlrLRl", [1, 0, 3, 2, 5, 4]),
        ("RRlrLL", [2, 0, 1, 4, 5, 3]),
        ("RRRlll", [3, 4, 5, 0, 1, 2]),
    ],
)
def test_loops_change_places(drawn: str, sources: list[int], working: Working) -> None:
    knit = leg_sock(("kkkkkk", drawn), working)
    pegs = as_seen(knit)
    came = came_from(knit, Section.LEG, 2)
    assert [pegs.index(PegNumber(came[peg])) for peg in pegs] == sources
    others = [peg for peg in came if peg not in pegs]
    assert all(came[peg] == peg for peg in others)


def test_left_pair_of_a_right_cross_goes_on_on_the_right_pegs() -> None:
    """Followed by birth through three rows: 2/2 on pegs 18-21, worked as the panel is drawn."""
    knit = leg_sock(("kkkkkk", "kRRllk", "kkkkkk"))
    below, above = came_from(knit, Section.LEG, 2), came_from(knit, Section.LEG, 3)
    column = {peg: below[above[peg]] for peg in range(18, 22)}
    assert column == {18: 20, 19: 21, 20: 18, 21: 19}


def test_two_crosses_bring_every_loop_home() -> None:
    knit = leg_sock(("kRRllk", "krrLLk", "kkkkkk"))
    first, second = came_from(knit, Section.LEG, 1), came_from(knit, Section.LEG, 2)
    assert {peg: first[second[peg]] for peg in range(17, 23)} == {peg: peg for peg in range(17, 23)}


def test_a_cable_goes_on_into_the_foot() -> None:
    """Leg of three rows and a motif of two: the foot's first row is the motif's second."""
    knit = leg_sock(("kkkkkk", "kRRllk"))
    came = came_from(knit, Section.FOOT, 2)
    assert [came[peg] for peg in range(17, 23)] == list(range(17, 23))
    trace, index = knit.trace, place_of(knit.rows, Section.FOOT, 1)
    letters = {
        trace.born_peg[loop]: trace.letter[loop]
        for loop, event in enumerate(trace.born_event)
        if event == index
    }
    assert "".join(letters[peg] for peg in map(PegNumber, range(17, 23))) == "kRRllk"


# What the knitter sees.


def panel_as_seen(knit: Knit) -> list[str]:
    """The panel's cells in the leg's chart, bottom row first, every row drawn."""
    chart = make_chart(knit, Part.LEG, fold_up=False)
    (zone,) = (zone for zone in chart.zones if zone.name == "panel")
    return [
        line.cells[zone.first_column : zone.last_column + 1]
        for line in chart.lines
        if isinstance(line, ChartRow)
    ]


@pytest.mark.parametrize("working", Working)
def test_chart_shows_the_motif_as_drawn_whichever_way_the_round_runs(working: Working) -> None:
    motif = ("kRRlpp", "prLkkk", "kkkppk")
    assert panel_as_seen(leg_sock(motif, working)) == list(motif)


def test_a_loom_worked_to_the_left_works_the_motif_from_its_right_edge() -> None:
    knit = leg_sock(("kRRlpp",), Working.RIGHT_TO_LEFT)
    row: Row = row_at(knit.rows, place_of(knit.rows, Section.LEG, 1))
    assert row.stitches[16:22] == "pplRRk"
    assert row.pegs[16:22] == tuple(range(17, 23))


def test_the_counting_thread_of_a_mirrored_pair_hangs_at_one_peg_for_both_socks() -> None:
    """A panel with purls on one side only: its mirror purls where the first sock knits."""
    spec = replace(sock(40, "3/8 in", motif=("kkpkRl",), leg=Leg(2, "m")), mirror_second_sock=True)
    told = [
        re.findall(r"instep peg (\d+)", text)
        for one in (spec, second_sock(spec))
        for text in (
            make_part_steps(proved(one), Part.FLAP).steps[0].text,
            make_part_steps(proved(one), Part.FOOT).counting,
        )
    ]
    assert told[0]
    assert told == told[:1] * 4


def test_the_thread_that_the_foot_is_counted_from_is_tied_before_the_flap_is_begun() -> None:
    """Where it is tied it has a box to tick; where rows are counted from it, it is told again."""
    knit = proved(sock(40, "3/8 in"))
    flap, foot = (make_part_steps(knit, part) for part in (Part.FLAP, Part.FOOT))
    first, row = flap.steps[:2]
    assert isinstance(first, ThreadStep)
    assert first.boxes == 1
    assert isinstance(row, RowStep)
    assert row.first == 1
    (peg,) = re.findall(r"instep peg (\d+)", first.text)
    assert f"instep peg {peg} above the contrasting thread, tied there before" in foot.counting
    assert "thread" not in flap.counting
