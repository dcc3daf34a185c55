"""The walk of the yarn against counts worked by hand, against published rows, and against itself.

The hand-worked numbers are in `tests/counts`, with their arithmetic in comments; each rule there
is marked as common practice or carries its published source.
"""

from __future__ import annotations

import tomllib
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from .yarn_walk import (
    DOWN,
    UP,
    Hand,
    Loop,
    Strand,
    Visit,
    Walk,
    WalkedRow,
    YarnError,
    check_yarn_path,
    walk,
)

COUNTS = Path(__file__).parent.parent / "counts"
SECTIONS = ["cuff", "leg", "heel flap", "partial row", "heel turn", "foot", "toe"]


def read(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text(encoding="utf-8"))


LOOMS = {path.stem: read(path) for path in sorted(COUNTS.glob("*-pegs.toml"))}
SOCKS = [(stem, loom, sock) for stem, loom in LOOMS.items() for sock in loom["sock"]]
each_sock = pytest.mark.parametrize(
    ("loom", "sock"),
    [pytest.param(loom, sock, id=f"{stem}, {sock['name']}") for stem, loom, sock in SOCKS],
)
each_loom = pytest.mark.parametrize("loom", LOOMS.values(), ids=LOOMS)


def rules(name: str) -> dict[str, Any]:
    return read(COUNTS / "rules" / f"{name}.toml")


def knitted(loom: dict[str, Any], sock: dict[str, Any]) -> Walk:
    return walk(
        pegs=loom["loom"]["pegs"],
        heel=loom["heel"]["pegs"],
        centre=loom["heel"]["centre"],
        cuff_rows=sock["rows"]["cuff"],
        leg_rows=sock["rows"]["leg"],
        foot_rows=sock["rows"]["foot"],
        toe_side=sock["toe_side"],
        short_rows=sock["short_rows"],
        shift=sock["shift"],
        rib=loom["rib"]["repeat"],
        plain_pegs=loom["rib"]["plain_pegs"],
    )


def did(rows: tuple[WalkedRow, ...], word: str) -> list[int]:
    """Pegs at which that was done, in order."""
    return [visit.peg for row in rows for visit in row.visits if visit.did == word]


# Against the hand-worked counts.


def test_the_hand_counts_cover_the_looms_they_should() -> None:
    assert len(LOOMS) >= 8
    assert {loom["loom"]["pegs"] for loom in LOOMS.values()} >= {16, 24, 25, 31, 36, 40, 48, 52, 56}
    assert {sock["short_rows"] for _, _, sock in SOCKS} == {"turned stitch", "wrap and turn"}


@each_sock
def test_hand_counts_add_up(loom: dict[str, Any], sock: dict[str, Any]) -> None:
    assert list(sock["counts"]) == SECTIONS
    assert sum(sock["counts"].values()) == sock["total"]["stitches"]
    assert sum(sock["narrowing"]) + sum(sock["widening"]) == sock["counts"]["toe"]
    assert len(sock["narrowing"]) == len(sock["widening"]) == 2 * sock["toe_side"]
    pairs = sock["graft"].get("pairs", [None] * (loom["loom"]["pegs"] // 2))
    assert sock["graft"]["passes"] == 4 * len(pairs) == 4 * (loom["loom"]["pegs"] // 2)


@each_sock
def test_walk_equals_the_counts_of_every_section(
    loom: dict[str, Any], sock: dict[str, Any]
) -> None:
    sock_walked = knitted(loom, sock)
    assert sock_walked.counts == sock["counts"]
    assert list(sock_walked.counts) == SECTIONS


@each_sock
def test_walk_equals_the_rows_of_the_toe(loom: dict[str, Any], sock: dict[str, Any]) -> None:
    toe = knitted(loom, sock).of("toe")
    assert [row.stitches for row in toe] == sock["narrowing"] + sock["widening"]
    assert [row.number for row in toe] == list(range(1, len(toe) + 1))


@each_sock
def test_walk_equals_the_numbers_of_rows(loom: dict[str, Any], sock: dict[str, Any]) -> None:
    rows = knitted(loom, sock)
    numbered = {section: [row.number for row in rows.of(section)] for section in SECTIONS}
    last_run_on = loom["places"]["last_run_on"]
    expected = {
        "cuff": [*range(1, sock["rows"]["cuff"] + 1), *([0] if sock["shift"] else [])],
        "leg": list(range(1, sock["rows"]["leg"] + 1)),
        "heel flap": list(range(1, loom["heel"]["flap_rows"] + 1)),
        "partial row": [1],
        "heel turn": list(range(1, 2 * loom["heel"]["gusset"] + 1)),
        "foot": [*range(1, sock["rows"]["foot"] + 1), *([0] if last_run_on else [])],
        "toe": list(range(1, 4 * sock["toe_side"] + 1)),
    }
    assert numbered == expected


@each_sock
def test_walk_equals_the_graft(loom: dict[str, Any], sock: dict[str, Any]) -> None:
    sock_walked = knitted(loom, sock)
    assert len(sock_walked.passes) == sock["graft"]["passes"]
    if "pairs" in sock["graft"]:
        assert [list(pair) for pair in sock_walked.grafted] == sock["graft"]["pairs"]


@each_sock
def test_walk_equals_the_places(loom: dict[str, Any], sock: dict[str, Any]) -> None:
    sock_walked, places, pegs = knitted(loom, sock), loom["places"], loom["loom"]["pegs"]

    def run(ends: list[int]) -> tuple[int, ...]:
        step = 1 if ends[0] <= ends[1] else -1
        return tuple(
            (peg - 1 + sock["shift"]) % pegs + 1 for peg in range(ends[0], ends[1] + step, step)
        )

    assert sock_walked.of("partial row")[0].pegs == run(places["partial"])
    turn = sock_walked.of("heel turn")
    assert turn[0].pegs == run(places["turn"])[1:]
    assert all(row.pegs == run(places["turn"])[:: row.direction] for row in turn[1:])
    for side in ("near", "far"):
        assert sock_walked.held[side] == run(places[f"{side}_gusset"])
        assert tuple(peg for peg, _ in sock_walked.rehung[side]) == run(places[f"{side}_gusset"])
    bars = [run([peg, peg])[0] for peg in places["bars"]]
    assert [peg for peg, _ in sock_walked.bars] == bars
    foot = sock_walked.of("foot")
    assert foot[0].pegs == run([places["turn"][0], pegs])
    assert did(foot[:1], "knit with bar") == bars
    assert did(foot[1:], "knit with bar") == []
    assert foot[-1].pegs == run(places["last_run_on"])
    toe = run(places["toe"])
    assert sock_walked.off["toe"] == toe[::-1]
    if "decrease" in places:
        assert sock_walked.moved == (run(places["decrease"]),)
        assert did(foot, "pass") == [run(places["decrease"])[0]]
        assert did(foot, "decrease") == [run(places["decrease"])[1]]
    else:
        assert sock_walked.moved == ()


@each_loom
def test_edge_loops_come_from_every_second_row(loom: dict[str, Any]) -> None:
    sock_walked = knitted(loom, loom["sock"][0])
    flap_rows = loom["heel"]["flap_rows"]
    assert [row for _, row in sock_walked.rehung["far"]] == list(range(1, flap_rows, 2))
    assert [row for _, row in sock_walked.rehung["near"]] == list(range(2, flap_rows + 1, 2))


@each_loom
def test_rib_is_centred_on_the_instep_by_the_smallest_shift(loom: dict[str, Any]) -> None:
    """Common practice, no published source: the instep's rib reads the same both ways."""
    rib, pegs, heel = loom["rib"], loom["loom"]["pegs"], loom["heel"]["pegs"]
    cuff = knitted(loom, loom["sock"][0]).of("cuff")[0]
    letters = {visit.peg: "p" if visit.did == "purl" else "k" for visit in cuff.visits}

    def instep(shift: int) -> str:
        return "".join(letters[(heel + shift + at) % pegs + 1] for at in range(pegs - heel))

    centred = [shift for shift in range(len(rib["repeat"])) if instep(shift) == instep(shift)[::-1]]
    if "shift" in rib:
        assert centred[0] == rib["shift"]
        assert instep(rib["shift"]) == rib["instep"]
        assert rib["heel"] == [1 + rib["shift"], heel + rib["shift"]]
        assert rib["toe"] == [end + rib["shift"] for end in loom["places"]["toe"]]
    else:
        assert centred == []


# Against the rules as tables, and against published rows.


def test_heel_table_follows_its_rule() -> None:
    plus = {"1/4 in": 6, "3/8 in": 4, "1/2 in": 2, "5/8 in": 2}
    for line in rules("heel")["heel"]:
        assert line["half"] == line["pegs"] // 2
        assert line["plus"] == plus[line["spacing"]]
        assert line["heel"] == line["half"] + line["plus"]
        assert line["centre"] + 2 * line["gusset"] == line["heel"]
        same_parity = range(line["heel"] % 2 or 2, line["heel"], 2)
        assert line["centre"] == min(same_parity, key=lambda c: abs(3 * c - line["heel"]))


@each_loom
def test_every_loom_uses_the_heel_of_the_table(loom: dict[str, Any]) -> None:
    (line,) = (
        line
        for line in rules("heel")["heel"]
        if (line["pegs"], line["spacing"]) == (loom["loom"]["pegs"], loom["loom"]["spacing"])
    )
    assert loom["heel"] == {
        "pegs": line["heel"],
        "centre": line["centre"],
        "gusset": line["gusset"],
        "flap_rows": 2 * line["gusset"],
    }


def test_thirds_are_the_third_rounded_down_and_up() -> None:
    table = rules("thirds")
    for line in table["thirds"]:
        down, up = line["half"] // 3, -(-line["half"] // 3)
        assert line["blunt"] == [down, line["half"] - 2 * down, down]
        assert line["tapered"] == [up, line["half"] - 2 * up, up]
    # A needle tutorial's printed table rounds up throughout.
    for half, side in zip(table["table"]["half"], table["table"]["side"], strict=True):
        assert side == -(-half // 3)


@each_sock
def test_every_toe_is_one_of_the_thirds(loom: dict[str, Any], sock: dict[str, Any]) -> None:
    half = loom["loom"]["pegs"] // 2
    (line,) = (line for line in rules("thirds")["thirds"] if line["half"] == half)
    shapes = [shape for shape in ("blunt", "tapered") if shape in sock["name"]]
    for shape in shapes or ["blunt", "tapered"]:
        assert line[shape][0] == sock["toe_side"]


def small_sock(pegs: int, heel: int, centre: int, toe_side: int, short_rows: str) -> Walk:
    return walk(
        pegs=pegs,
        heel=heel,
        centre=centre,
        cuff_rows=1,
        leg_rows=1,
        foot_rows=2,
        toe_side=toe_side,
        short_rows=short_rows,
    )


@pytest.mark.parametrize("line", rules("short-rows")["toe"], ids=str)
def test_wrap_and_turn_equals_the_table_and_turned_stitches_are_one_more(
    line: dict[str, int],
) -> None:
    n, w = line["n"], line["w"]
    heel = n + 2
    wrapped, turned = (
        small_sock(2 * n, heel, 2 + heel % 2, w, kind)
        for kind in ("wrap and turn", "turned stitch")
    )
    assert [row.stitches for row in wrapped.of("toe")] == [
        *range(n - 1, n - 2 * w - 1, -1),
        *range(n - 2 * w + 1, n + 1),
    ]
    assert len(wrapped.of("toe")) == len(turned.of("toe")) == line["rows"]
    assert wrapped.counts["toe"] == line["stitches"]
    assert turned.counts["toe"] == line["stitches"] + 1


@pytest.mark.parametrize("line", rules("heel-published")["edge_loops"], ids=lambda x: x["source"])
def test_edge_loops_agree_with_published_heels(line: dict[str, Any]) -> None:
    """Sources named in the table: each edge loop stands for two rows of the flap."""
    heel = 2 * line["loops"] + 2
    sock_walked = small_sock(2 * heel, heel, 2, 1, "turned stitch")
    assert len(sock_walked.of("heel flap")) == line["rows"]
    assert len(sock_walked.rehung["near"]) == len(sock_walked.rehung["far"]) == line["loops"]


@pytest.mark.parametrize("line", rules("heel-published")["square_turn"], ids=lambda x: x["source"])
def test_turn_agrees_with_a_published_square_turn(line: dict[str, Any]) -> None:
    """Source named in the table: one stitch of a side with each row, the centre is left."""
    heel, centre = line["heel"], line["centre"]
    turn = small_sock(2 * heel, heel, centre, 1, "turned stitch").of("heel turn")
    assert len(turn) == line["rows"]
    assert {row.pegs for row in turn[2::2]} == {turn[1].pegs[::-1]}
    assert len(turn[1].pegs) == line["left"]


@pytest.mark.parametrize("line", rules("grafting")["passes"], ids=lambda x: f"{x['pairs']} pairs")
def test_graft_follows_the_published_sequence(line: dict[str, int]) -> None:
    """Set-up and repeat: a knitting magazine column of 26 May 2022, and a book of bind-offs."""
    sequence, n = rules("grafting")["sequence"], line["pairs"]
    heel = n + 2
    made = small_sock(2 * n, heel, 2 + heel % 2, 1, "turned stitch").passes
    words = [
        f"{needle} {way}, {'leave on' if then == 'leave' else then}"
        for needle, _, way, then in made
    ]
    assert words == sequence["set_up"] + sequence["repeat"] * line["repeats"] + sequence["end"]
    assert len(words) == line["passes"]
    assert set(Counter(peg for _, peg, _, _ in made).values()) == {2}


# Properties over looms.


@st.composite
def socks(draw: st.DrawFn) -> dict[str, Any]:
    pegs = draw(st.integers(16, 120))
    half = pegs // 2
    heel = half + draw(st.sampled_from([0, 2, 4, 6]))
    assume(heel < pegs)
    return {
        "pegs": pegs,
        "heel": heel,
        "centre": heel - 2 * draw(st.integers(1, (heel - 2) // 2)),
        "cuff_rows": draw(st.integers(1, 2)),
        "leg_rows": draw(st.integers(1, 2)),
        "foot_rows": draw(st.integers(2, 3)),
        "toe_side": draw(st.integers(1, (half - 1) // 2)),
        "short_rows": draw(st.sampled_from(["turned stitch", "wrap and turn"])),
        "shift": draw(st.integers(0, 5)),
    }


@settings(max_examples=80, deadline=None)
@given(socks())
def test_counts_equal_the_sums_in_closed_form(numbers: dict[str, Any]) -> None:
    sock_walked = walk(**numbers)
    pegs, heel, centre = numbers["pegs"], numbers["heel"], numbers["centre"]
    half, side = pegs // 2, numbers["toe_side"]
    gusset = (heel - centre) // 2
    before_toe = (heel - half) // 2
    odd = pegs % 2
    turned = numbers["short_rows"] == "turned stitch"
    assert sock_walked.counts == {
        "cuff": numbers["cuff_rows"] * pegs + numbers["shift"],
        "leg": numbers["leg_rows"] * pegs,
        "heel flap": 2 * gusset * (heel - 1) + 1,
        "partial row": gusset,
        "heel turn": 2 * gusset * (centre + 1) - 1,
        "foot": numbers["foot_rows"] * pegs - gusset - odd + before_toe,
        "toe": 4 * side * (half - side) + (1 if turned else 0),
    }


@settings(max_examples=60, deadline=None)
@given(socks())
def test_every_peg_is_grafted_once_with_the_peg_across(numbers: dict[str, Any]) -> None:
    sock_walked = walk(**numbers)
    pegs = numbers["pegs"]
    empty = {away for away, _ in sock_walked.moved}
    assert len(empty) == pegs % 2
    grafted = [peg for pair in sock_walked.grafted for peg in pair]
    assert Counter(grafted) == Counter(peg for peg in range(1, pegs + 1) if peg not in empty)
    # Going round the ring the two pegs of a pair are as far from the gap at one side as at the
    # other, but for the empty peg, which lies just past the toe's far end.
    sums = {(front + back) % pegs for front, back in sock_walked.grafted}
    assert len(sums) == 1
    front, back = sock_walked.grafted[-1]
    assert (front - back) % pegs == 1 + pegs % 2


@settings(max_examples=60, deadline=None)
@given(socks())
def test_each_side_of_the_toe_is_turned_and_resolved_alike(numbers: dict[str, Any]) -> None:
    sock_walked = walk(**numbers)
    toe, side = sock_walked.of("toe"), numbers["toe_side"]
    pegs_of_toe = sock_walked.off["toe"][::-1]
    ends = Counter((*pegs_of_toe[:side], *pegs_of_toe[-side:]))
    if numbers["short_rows"] == "turned stitch":
        assert Counter(did(toe, "knit and turn")) == ends
        assert Counter(did(toe, "knit both strands")) == ends
        assert {v.strands for r in toe for v in r.visits if v.did == "knit both strands"} == {2}
    else:
        assert Counter(did(toe, "knit with wraps")) == ends
        innermost = {pegs_of_toe[side - 1], pegs_of_toe[-side]}
        for row in toe:
            for visit in row.visits:
                if visit.did == "knit with wraps":
                    assert visit.strands == (2 if visit.peg in innermost else 3)
    assert [row.direction for row in toe] == [UP, DOWN] * (2 * side)


# Each guard broken once on purpose.

NUMBERS: dict[str, Any] = {
    "pegs": 16,
    "heel": 10,
    "centre": 4,
    "cuff_rows": 2,
    "leg_rows": 2,
    "foot_rows": 3,
    "toe_side": 2,
}


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"heel": 11}, "gussets would differ"),
        ({"heel": 11, "centre": 5}, "half a peg off centre"),
        ({"heel": 16}, "no pegs"),
        ({"centre": 10}, "no pegs"),
        ({"toe_side": 4}, "no centre"),
        ({"rib": "kkp"}, "rib does not fit"),
        ({"foot_rows": 1}, "too few rows"),
        ({"shift": 16}, "cannot move so far"),
        ({"short_rows": "yo-yo"}, "no such short row"),
    ],
)
def test_numbers_that_make_no_sock_are_refused(change: dict[str, Any], message: str) -> None:
    with pytest.raises(YarnError, match=message):
        walk(**(NUMBERS | change))


def test_a_sock_without_a_leg_goes_from_cuff_to_heel() -> None:
    assert list(walk(**(NUMBERS | {"leg_rows": 0})).counts) == [s for s in SECTIONS if s != "leg"]


def test_a_row_with_a_visit_left_out_is_a_jump_unless_the_yarn_turns_there() -> None:
    rows = walk(**NUMBERS).rows
    cast_on_end = NUMBERS["pegs"]
    survivors = []
    for index, row in enumerate(rows):
        for place in range(len(row.visits)):
            shorter = replace(row, visits=row.visits[:place] + row.visits[place + 1 :])
            try:
                check_yarn_path(16, cast_on_end, [*rows[:index], shorter, *rows[index + 1 :]])
            except YarnError:
                continue
            survivors.append((row.section, row.number, row.visits[place].did))
    # A row that goes back may start on the peg the yarn is at or on the one beside it, so the path
    # alone does not tell whether the turning peg was worked once more (flap, turn) or once less
    # (toe): the counts do.
    assert survivors == [
        *(("heel flap", number, "slip") for number in range(2, 7)),
        ("partial row", 1, "slip"),
        *(("heel turn", number, "knit") for number in range(2, 7)),
        ("foot", 1, "knit with bar"),
        *(("toe", number, "knit and turn") for number in range(1, 5)),
        *(("toe", number, "knit both strands") for number in range(5, 9)),
    ]


def test_two_visits_swapped_are_a_jump() -> None:
    rows = walk(**NUMBERS).rows
    for index, row in enumerate(rows):
        for place in range(len(row.visits) - 1):
            visits = list(row.visits)
            visits[place], visits[place + 1] = visits[place + 1], visits[place]
            mutant = [*rows[:index], replace(row, visits=tuple(visits)), *rows[index + 1 :]]
            with pytest.raises(YarnError, match="jumps"):
                check_yarn_path(16, NUMBERS["pegs"], mutant)


def test_the_same_peg_twice_without_going_back_is_a_jump() -> None:
    knit = Visit(1, "knit", 1, ("loop",))
    with pytest.raises(YarnError, match="from peg 1 to peg 1"):
        check_yarn_path(4, 4, [WalkedRow("leg", 1, UP, (knit, knit))])


def test_an_empty_peg_cannot_be_knitted() -> None:
    hand = Hand(4)
    hand.forward()
    with pytest.raises(YarnError, match="peg 1 holds nothing"):
        hand.work()


def test_two_loops_on_a_peg_are_not_knitted_unawares() -> None:
    hand = Hand(4)
    hand.forward()
    for _ in range(2):
        hand.hang(1, Strand("loop", Loop(1, "leg", 1)))
    with pytest.raises(YarnError, match=r"peg 1 holds loop \+ loop"):
        hand.work()


def test_only_a_rows_first_loop_can_be_slipped() -> None:
    hand = Hand(4)
    for peg in (1, 2):
        hand.hang(peg, Strand("loop", Loop(peg, "leg", 1)))
    hand.forward()
    hand.work()
    hand.forward()
    with pytest.raises(YarnError, match="first loop"):
        hand.slip()


def test_a_held_loop_that_is_dropped_is_missed(monkeypatch: pytest.MonkeyPatch) -> None:
    def careless(hand: Hand, _held: Loop) -> None:
        hand.work()

    monkeypatch.setattr(Hand, "join", careless)
    with pytest.raises(YarnError, match=r"still live|live at the end"):
        walk(**NUMBERS)


def test_a_hand_that_skips_pegs_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    def hasty(hand: Hand) -> None:
        hand.at = hand.beside(hand.ahead, hand.direction)

    monkeypatch.setattr(Hand, "forward", hasty)
    with pytest.raises(YarnError):
        walk(**NUMBERS)


def test_a_lost_loop_is_missed_at_the_end(monkeypatch: pytest.MonkeyPatch) -> None:
    true_draw = Hand.draw

    def careless(hand: Hand, kind: str = "loop") -> None:
        true_draw(hand, kind)
        if hand.row == ("leg", 2) and hand.at == 5:
            hand.born.append(Loop(5, "leg", 2))

    monkeypatch.setattr(Hand, "draw", careless)
    with pytest.raises(YarnError, match="live at the end"):
        walk(**NUMBERS)


def test_a_graft_with_the_needle_passes_out_of_order_is_caught(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    from . import yarn_walk

    true_pairs = yarn_walk._pairs_from_the_yarn_outwards

    def crossed(hand: Hand) -> list[tuple[int, int]]:
        first, second, *others = true_pairs(hand)
        return [(second[0], first[1]), (first[0], second[1]), *others]

    monkeypatch.setattr(yarn_walk, "_pairs_from_the_yarn_outwards", crossed)
    with pytest.raises(YarnError, match="side by side"):
        walk(**NUMBERS)
