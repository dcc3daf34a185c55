"""The rows that are printed against a yarn followed by another program, and against hand counts.

`tests/independent/yarn_walk.py` shares no code with the core and decides peg by peg;
`tests/counts` holds socks counted by hand, each with its arithmetic.  The rules behind both are
common practice with no published source.
"""

from __future__ import annotations

import ast
import sys
import tomllib
from functools import cache
from pathlib import Path
from typing import NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from charts.loom import Working
from charts.plan import Plan
from charts.rows import (
    CastOn,
    Graft,
    Hold,
    Holder,
    LiftBar,
    Needle,
    Rehang,
    Row,
    Rows,
    Section,
    Shift,
    TakeOff,
)
from charts.spec import Cuff, Foot, Heel, Leftover, Leg, ShortRows, SockSpec, Toe
from charts.stitches import STITCHES
from charts.verify import Knit
from tests.independent.yarn_walk import Walk, walk

from .socks import proved, sock

COUNTS = Path(__file__).parent.parent / "counts"

WORDS = {
    "k": "knit",
    "p": "purl",
    "s": "slip",
    "j": "join",
    "b": "knit with bar",
    "t": "knit and turn",
    "d": "knit both strands",
    "w": "wrap",
    "W": "knit with wraps",
    "/": "decrease",
    "\\": "decrease",
    "x": "pass",
}
"""The walk's word for each letter of the stitch table."""


class Pass(NamedTuple):
    """One pass of the yarn as either program tells it."""

    section: str
    number: int
    direction: int
    pegs: tuple[int, ...]
    did: tuple[str, ...]
    drew: tuple[int, ...]


def passes_of_rows(rows: Rows) -> list[Pass]:
    return [
        Pass(
            event.section.value,
            event.number,
            event.direction,
            event.pegs,
            tuple(WORDS[letter] for letter in event.stitches),
            tuple(STITCHES[letter].drawn for letter in event.stitches),
        )
        for event in rows.events
        if isinstance(event, Row)
    ]


def passes_of_walk(walked: Walk) -> list[Pass]:
    return [
        Pass(
            row.section,
            row.number,
            row.direction,
            row.pegs,
            tuple(visit.did for visit in row.visits),
            tuple(visit.drew for visit in row.visits),
        )
        for row in walked.rows
    ]


def same_sock(plan: Plan) -> Walk:
    """The walk of the sock that the plan describes; only plain numbers go over."""
    spec = plan.spec
    return walk(
        pegs=plan.loom.pegs,
        heel=plan.heel_pegs,
        centre=plan.centre_pegs,
        cuff_rows=spec.cuff.rows,
        leg_rows=spec.leg.rows,
        foot_rows=spec.foot.rows,
        toe_side=plan.toe_side,
        short_rows=spec.toe.short_rows.value,
        shift=plan.shift,
        rib=spec.cuff.rib,
        plain_pegs=plan.loom.pegs % len(spec.cuff.rib),
    )


def assert_the_same(knit: Knit, walked: Walk) -> None:
    """Every pass, every move and every count."""
    printed, followed = passes_of_rows(knit.rows), passes_of_walk(walked)
    for ours, theirs in zip(printed, followed, strict=True):
        assert ours == theirs
    moves = [event for event in knit.rows.events if not isinstance(event, Row)]
    sides = {Holder.NEAR: "near", Holder.FAR: "far"}
    assert [move.pegs for move in moves if isinstance(move, CastOn)] == [walked.cast_on]
    held = {sides[move.holder]: move.pegs for move in moves if isinstance(move, Hold)}
    assert held == walked.held
    assert rehung(knit) == walked.rehung
    bars = [
        (move.peg, *(peg for peg in move.between if peg != move.peg))
        for move in moves
        if isinstance(move, LiftBar)
    ]
    assert tuple(bars) == walked.bars
    moved = [(move.from_peg, move.to_peg) for move in moves if isinstance(move, Shift)]
    assert tuple(moved) == walked.moved
    halves = {Needle.FRONT: "instep", Needle.BACK: "toe"}
    off = {halves[move.needle]: move.pegs for move in moves if isinstance(move, TakeOff)}
    assert off == walked.off
    (graft,) = (move for move in moves if isinstance(move, Graft))
    assert graft.pairs == walked.grafted
    assert graft.passes == len(walked.passes)
    counts = {section.value: count for section, count in knit.counts.items()}
    assert counts == walked.counts


def rehung(knit: Knit) -> dict[str, tuple[tuple[int, int], ...]]:
    """For each side the pegs of the edge loops, oldest first, and the flap rows they come from."""
    trace = knit.trace
    found: dict[str, tuple[tuple[int, int], ...]] = {}
    for index, event in enumerate(knit.rows.events):
        if not isinstance(event, Rehang):
            continue
        loops = [loop for loop, born in enumerate(trace.born_event) if born == index]
        rows: list[tuple[int, int]] = []
        for loop in loops:
            (edge,) = trace.drawn_through[loop]
            row = knit.rows.events[trace.born_event[edge]]
            assert isinstance(row, Row)
            assert row.section is Section.FLAP
            rows.append((trace.born_peg[loop], row.number))
        found[event.holder.value] = tuple(rows)
    return found


# Hand-worked socks.

LOOMS = {
    path.stem: tomllib.loads(path.read_text(encoding="utf-8"))
    for path in sorted(COUNTS.glob("*-pegs.toml"))
}
BY_HAND = [
    pytest.param(stem, number, id=f"{stem}, {hand['name']}")
    for stem, loom in LOOMS.items()
    for number, hand in enumerate(loom["sock"])
]
each_sock = pytest.mark.parametrize(("stem", "number"), BY_HAND)


@cache
def by_hand(stem: str, number: int, working: Working = Working.LEFT_TO_RIGHT) -> Knit:
    """A hand-worked sock, its heel left to the rules of the plan."""
    loom, hand = LOOMS[stem], LOOMS[stem]["sock"][number]
    return proved(
        sock(
            loom["loom"]["pegs"],
            loom["loom"]["spacing"],
            working=working,
            cuff=Cuff(hand["rows"]["cuff"], loom["rib"]["repeat"], Leftover.KNIT),
            leg=Leg(hand["rows"]["leg"], round_start_shift=hand["shift"]),
            foot=Foot(hand["rows"]["foot"]),
            toe=Toe(side=hand["toe_side"], short_rows=ShortRows(hand["short_rows"])),
        )
    )


def test_at_least_six_looms_were_counted_by_hand() -> None:
    assert len({loom["loom"]["pegs"] for loom in LOOMS.values()}) >= 6
    assert any(loom["loom"]["pegs"] % 2 for loom in LOOMS.values())


@each_sock
def test_counts_of_every_section_are_those_worked_by_hand(stem: str, number: int) -> None:
    hand = LOOMS[stem]["sock"][number]
    counts = {section.value: count for section, count in by_hand(stem, number).counts.items()}
    assert counts == hand["counts"]
    assert sum(counts.values()) == hand["total"]["stitches"]


@each_sock
def test_toe_rows_are_those_worked_by_hand(stem: str, number: int) -> None:
    hand = LOOMS[stem]["sock"][number]
    toe = [p for p in passes_of_rows(by_hand(stem, number).rows) if p.section == "toe"]
    assert [sum(row.drew) for row in toe] == hand["narrowing"] + hand["widening"]


@each_sock
def test_graft_is_the_one_worked_by_hand(stem: str, number: int) -> None:
    hand, knit = LOOMS[stem]["sock"][number]["graft"], by_hand(stem, number)
    (graft,) = (event for event in knit.rows.events if isinstance(event, Graft))
    assert graft.passes == hand["passes"]
    if "pairs" in hand:
        assert [list(pair) for pair in graft.pairs] == hand["pairs"]


@each_sock
def test_places_are_those_found_by_hand(stem: str, number: int) -> None:
    loom, plan = LOOMS[stem], by_hand(stem, number).plan
    assert loom["heel"] == {
        "pegs": plan.heel_pegs,
        "centre": plan.centre_pegs,
        "gusset": plan.gusset_pegs,
        "flap_rows": plan.flap_rows,
    }
    assert loom["places"]["toe"] == [plan.toe_offset + 1, plan.toe_offset + plan.toe_pegs]
    assert loom["places"]["instep"] == [plan.heel_pegs + 1, plan.loom.pegs]


@each_sock
def test_rows_of_a_hand_worked_sock_are_those_of_the_walk(stem: str, number: int) -> None:
    knit = by_hand(stem, number)
    assert_the_same(knit, same_sock(knit.plan))


@each_sock
def test_a_loom_worked_to_the_left_has_the_same_rows(stem: str, number: int) -> None:
    """Pegs are numbered as the first round runs, so nothing but the view changes."""
    knit = by_hand(stem, number, Working.RIGHT_TO_LEFT)
    assert_the_same(knit, same_sock(knit.plan))


# Any plain sock.


@st.composite
def plain_socks(draw: st.DrawFn) -> SockSpec:
    pegs = draw(st.integers(16, 120))
    half = pegs // 2
    heel = draw(st.sampled_from(range(half, pegs - 1, 2)))
    rib = draw(st.sampled_from(["kp", "kkpp", "kkp", "kpp", "kkkpp"]))
    return sock(
        pegs,
        working=draw(st.sampled_from(Working)),
        cuff=Cuff(draw(st.integers(1, 3)), rib, Leftover.KNIT),
        leg=Leg(draw(st.integers(0, 3)), round_start_shift=draw(st.integers(0, len(rib) - 1))),
        heel=Heel(heel, draw(st.sampled_from(range(2 + heel % 2, heel - 1, 2)))),
        foot=Foot(draw(st.integers(2, 5))),
        toe=Toe(
            side=draw(st.integers(1, (half - 1) // 2)), short_rows=draw(st.sampled_from(ShortRows))
        ),
    )


@settings(max_examples=150, deadline=None)
@given(plain_socks())
def test_rows_of_any_plain_sock_are_those_of_the_walk(spec: SockSpec) -> None:
    knit = proved(spec)
    assert_the_same(knit, same_sock(knit.plan))


def test_walk_is_a_second_opinion() -> None:
    """It imports the standard library and nothing else."""
    source = (COUNTS.parent / "independent" / "yarn_walk.py").read_text(encoding="utf-8")
    imported = {
        alias.name if isinstance(node, ast.Import) else node.module or "."
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.Import | ast.ImportFrom)
        for alias in node.names
    }
    assert {name.partition(".")[0] for name in imported} <= sys.stdlib_module_names


def test_comparison_sees_one_wrong_peg() -> None:
    """The comparison broken once on purpose: another toe, another shift."""
    knit = proved(sock(40, "3/8 in"))
    other = proved(sock(40, "3/8 in", toe=Toe(side=7)))
    with pytest.raises((AssertionError, ValueError)):
        assert_the_same(knit, same_sock(other.plan))
    shifted = proved(sock(40, "3/8 in", leg=Leg(2, round_start_shift=1)))
    with pytest.raises((AssertionError, ValueError)):
        assert_the_same(knit, same_sock(shifted.plan))
