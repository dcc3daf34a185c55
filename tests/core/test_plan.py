"""The plan against check values worked by hand, every override, and every sentence of refusal.

Heel width, turn width, thirds of the toe, flap rows and the shift of the rib are common practice
with no published source, and so are the values here, unless a source is named beside them.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from charts.loom import Working
from charts.plan import Plan, PlanLine, make_plan, second_sock
from charts.problems import PatternError
from charts.spec import (
    Cuff,
    Flanks,
    Foot,
    FootInstep,
    Heel,
    Leftover,
    Leg,
    SockSpec,
    Toe,
    ToeShape,
)

from .socks import problems_of, sock

RULES = Path(__file__).parent.parent / "counts" / "rules"


def table(name: str) -> dict[str, Any]:
    return tomllib.loads((RULES / f"{name}.toml").read_text(encoding="utf-8"))


def line(plan: Plan, name: str) -> PlanLine:
    (found,) = (each for each in plan.lines if each.name == name)
    return found


def any_rib(pegs: int, spacing: str = "3/8 in", **sections: Any) -> SockSpec:
    """A sock on a loom that its rib need not suit."""
    return sock(pegs, spacing, **({"cuff": Cuff(2, leftover=Leftover.KNIT)} | sections))


# Heel, turn, gusset, toe: common practice, no published source.


@pytest.mark.parametrize(
    ("pegs", "spacing", "heel", "centre"),
    [
        (52, "1/4 in", 32, 10),
        (56, "1/4 in", 34, 12),
        (36, "3/8 in", 22, 8),
        (40, "3/8 in", 24, 8),
        (24, "1/2 in", 14, 4),
        (24, "5/8 in", 14, 4),
        (25, "1/2 in", 14, 4),
        (25, "5/8 in", 14, 4),
    ],
)
def test_heel_and_turn_of_the_named_looms(pegs: int, spacing: str, heel: int, centre: int) -> None:
    plan = make_plan(any_rib(pegs, spacing))
    gusset = (heel - centre) // 2
    assert (plan.heel_pegs, plan.centre_pegs, plan.gusset_pegs) == (heel, centre, gusset)
    assert plan.flap_rows == plan.turn_rows == 2 * gusset
    assert plan.instep_pegs == pegs - heel


@pytest.mark.parametrize("hand", table("heel")["heel"], ids=lambda row: f"{row['pegs']} pegs")
def test_heel_of_every_hand_worked_loom(hand: dict[str, Any]) -> None:
    plan = make_plan(any_rib(hand["pegs"], hand["spacing"]))
    assert plan.heel_pegs == hand["heel"] == hand["half"] + hand["plus"]
    assert (plan.centre_pegs, plan.gusset_pegs) == (hand["centre"], hand["gusset"])


@pytest.mark.parametrize(
    ("spacing", "plus"),
    [
        ("5 mm", 6),
        ("7.89 mm", 6),
        ("7.9 mm", 4),
        ("5/16 in", 4),  # 7.94 mm, just above the middle of 1/4 and 3/8 in
        ("11.1 mm", 4),
        ("7/16 in", 2),  # 11.11 mm, just above the middle of 3/8 and 1/2 in
        ("3/4 in", 2),
    ],
)
def test_extra_heel_pegs_change_at_the_midpoints_of_the_named_spacings(
    spacing: str, plus: int
) -> None:
    assert make_plan(sock(48, spacing)).heel_pegs == 24 + plus


@pytest.mark.parametrize(
    ("heel", "centre"), [(24, 8), (22, 8), (32, 10), (34, 12), (14, 4), (20, 6), (26, 8), (28, 10)]
)
def test_turn_is_the_number_nearest_to_a_third_of_the_heel(heel: int, centre: int) -> None:
    pegs = 40 if heel >= 20 else 24  # a heel may have any even number from half the pegs on
    assert make_plan(sock(pegs, heel=Heel(heel))).centre_pegs == centre


@pytest.mark.parametrize(
    ("pegs", "shape", "thirds"),
    [
        (40, ToeShape.BLUNT, (6, 8, 6)),
        (40, ToeShape.TAPERED, (7, 6, 7)),
        (36, ToeShape.BLUNT, (6, 6, 6)),
        (36, ToeShape.TAPERED, (6, 6, 6)),
    ],
)
def test_thirds_of_the_toe(pegs: int, shape: ToeShape, thirds: tuple[int, int, int]) -> None:
    plan = make_plan(sock(pegs, "3/8 in", toe=Toe(shape)))
    assert (plan.toe_side, plan.toe_centre, plan.toe_side) == thirds
    assert line(plan, "toe: side / centre / side").value == " / ".join(map(str, thirds))


@pytest.mark.parametrize("hand", table("thirds")["thirds"], ids=lambda row: f"{row['half']} pegs")
def test_thirds_of_every_hand_worked_toe(hand: dict[str, Any]) -> None:
    for shape in ToeShape:
        plan = make_plan(any_rib(2 * hand["half"], toe=Toe(shape)))
        assert [plan.toe_side, plan.toe_centre, plan.toe_side] == hand[shape.value]


def test_tapered_toe_rounds_as_a_printed_table_does() -> None:
    """Wraps a side as a needle tutorial's undated table prints them, rounded up throughout."""
    printed = table("thirds")["table"]
    for half, side in zip(printed["half"], printed["side"], strict=True):
        assert make_plan(any_rib(2 * half, toe=Toe(ToeShape.TAPERED))).toe_side == side


def test_smallest_toe_keeps_a_centre() -> None:
    plan = make_plan(sock(16, toe=Toe(ToeShape.TAPERED)))
    assert (plan.toe_pegs, plan.toe_side, plan.toe_centre) == (8, 3, 2)


# Where the round starts: common practice, no published source.


def places(plan: Plan) -> tuple[tuple[int, int], tuple[int, int]]:
    """First and last peg of the heel and of the toe."""
    first_toe = plan.toe_offset + 1
    return (plan.peg(1), plan.peg(plan.heel_pegs)), (
        plan.peg(first_toe),
        plan.peg(first_toe + plan.toe_pegs - 1),
    )


def test_k2_p2_on_40_pegs_moves_the_round_by_one_peg() -> None:
    plan = make_plan(sock(40, "3/8 in", leg=Leg(2, flanks=Flanks.RIB)))
    assert plan.shift == 1
    assert places(plan) == ((2, 25), (4, 23))
    assert plan.instep_letters(1) == "kppkkppkkppkkppk"
    assert line(plan, "round start moves by") == PlanLine(
        "round start moves by",
        "1 peg",
        "the rib k2 p2 is then centred on the instep, pegs 26–40 and 1",
        "leg.round_start_shift",
    )


def test_k2_p2_on_36_pegs_needs_no_shift() -> None:
    plan = make_plan(sock(36, "3/8 in", leg=Leg(2, flanks=Flanks.RIB)))
    assert plan.shift == 0
    assert plan.instep_letters(1) == "ppkkppkkppkkpp"
    assert (
        line(plan, "round start moves by").reason
        == "the rib k2 p2 is centred on the instep as it is"
    )


def test_plain_leg_moves_no_round() -> None:
    plan = make_plan(sock(40, "3/8 in"))
    assert (plan.shift, places(plan)) == (0, ((1, 24), (3, 22)))
    reason = "the leg is plain: nothing to line up with the rib"
    assert line(plan, "round start moves by").reason == reason


def test_panel_on_a_plain_leg_is_set_below_a_knit_or_purl_of_the_rib() -> None:
    """The rib is centred for the panel too, so that the two share their middle."""
    plan = make_plan(sock(40, "3/8 in", motif=("kppk",), leg=Leg(2, "m")))
    assert plan.shift == 1
    assert plan.instep_letters(1) == "k" * 6 + "kppk" + "k" * 6


def test_panel_half_a_peg_off_the_rib_is_told() -> None:
    plan = make_plan(sock(40, "3/8 in", cuff=Cuff(2, "kp"), motif=("kk",), leg=Leg(2, "m")))
    assert plan.warnings == (
        "k1 p1 cannot be centred on 16 instep pegs; the panel stands half a peg off the rib "
        "above it",
    )
    assert plan.shift == 0


# Every override.


def test_heel_can_be_given() -> None:
    plan = make_plan(sock(40, "3/8 in", heel=Heel(28)))
    assert (plan.heel_pegs, plan.instep_pegs, plan.toe_offset) == (28, 12, 4)
    assert line(plan, "heel pegs") == PlanLine("heel pegs", "28", "as given", "heel.pegs")


def test_heel_of_half_the_pegs_starts_the_toe_at_once() -> None:
    plan = make_plan(sock(40, "3/8 in", heel=Heel(20)))
    assert (plan.toe_offset, places(plan)) == (0, ((1, 20), (1, 20)))


def test_centre_can_be_given() -> None:
    plan = make_plan(sock(40, "3/8 in", heel=Heel(centre=12)))
    assert (plan.centre_pegs, plan.gusset_pegs, plan.flap_rows, plan.turn_rows) == (12, 6, 12, 12)


def test_flap_rows_may_be_written_down() -> None:
    plan = make_plan(sock(40, "3/8 in", heel=Heel(flap_rows=16)))
    assert plan.flap_rows == 16
    assert line(plan, "flap rows").reason == "as given: both gussets together"


def test_toe_side_can_be_given() -> None:
    for side in range(1, 10):
        plan = make_plan(sock(40, "3/8 in", toe=Toe(side=side)))
        assert (plan.toe_side, plan.toe_centre) == (side, 20 - 2 * side)
    assert line(plan, "toe: side / centre / side").reason == "as given"


def test_shift_can_be_given() -> None:
    for shift in range(4):
        leg = Leg(2, flanks=Flanks.RIB, round_start_shift=shift)
        plan = make_plan(sock(40, "3/8 in", leg=leg))
        assert plan.shift == shift
        assert line(plan, "round start moves by").reason == "as given"


def test_rib_can_be_given() -> None:
    plan = make_plan(sock(40, "3/8 in", cuff=Cuff(2, "kkkpp")))
    assert plan.cuff_letters == "kkkpp" * 8
    assert line(plan, "rib") == PlanLine("rib", "k3 p2", "40 pegs = 8 times 5", "cuff.rib")


@pytest.mark.parametrize(("knit", "letter"), [("flat", "k"), ("u-wrap", "u"), ("e-wrap", "e")])
def test_knit_of_the_sock_is_the_knit_of_rib_and_motif(knit: str, letter: str) -> None:
    leg = Leg(2, "m", flanks=Flanks.RIB)
    plan = make_plan(sock(40, "3/8 in", knit=knit, motif=("kRlk",), leg=leg))
    assert plan.cuff_letters == (letter * 2 + "pp") * 10
    side = letter + "pp" + letter * 2 + "p"
    assert plan.instep_letters(1) == side + letter + "Rl" + letter + side[::-1]
    assert bool(plan.warnings) == (knit == "e-wrap")


def test_flanks_beside_the_panel() -> None:
    drawn = {
        Flanks.KNIT: "kkkkkk" + "pkkp" + "kkkkkk",
        Flanks.PURL: "pppppp" + "pkkp" + "pppppp",
        Flanks.RIB: "kppkkp" + "pkkp" + "pkkppk",
    }
    for flanks, letters in drawn.items():
        leg = Leg(2, "m", flanks=flanks)
        plan = make_plan(sock(40, "3/8 in", motif=("pkkp", "kkkk"), leg=leg))
        assert plan.instep_letters(1) == plan.instep_letters(3) == letters
        assert plan.instep_letters(2) == letters[:6] + "kkkk" + letters[10:]


def test_motif_stands_side_by_side_and_is_seen_as_drawn_on_a_loom_worked_to_the_left() -> None:
    for working, panel in (
        (Working.LEFT_TO_RIGHT, "kpp" * 2),
        (Working.RIGHT_TO_LEFT, "ppk" * 2),  # in the order of the pegs, which run to the left
    ):
        spec = sock(40, "3/8 in", working=working, motif=("kpp",), leg=Leg(2, "m", across=2))
        assert make_plan(spec).instep_letters(1) == "k" * 5 + panel + "k" * 5


def test_leftover_pegs_are_knitted_before_the_rib() -> None:
    plan = make_plan(any_rib(31, "1/2 in"))
    assert plan.cuff_letters == "kkk" + "kkpp" * 7
    (one,) = (each.reason for each in make_plan(any_rib(25)).lines if each.name == "rib")
    assert "on peg 1, at" in one
    reason = "7 times 4; the 3 left over are knitted on pegs 1–3, at the round’s start"
    assert line(plan, "rib").reason == reason


def test_second_sock_is_mirrored_only_where_asked_for() -> None:
    spec = sock(motif=("kRRlp",), leg=Leg(2, "m"))
    assert second_sock(spec) is spec
    mirrored = second_sock(sock(motif=("kRRlp",), leg=Leg(2, "m"), mirror_second_sock=True))
    assert mirrored.motifs["m"].rows == ("prLLk",)


# Each number with its reason.


def test_every_number_is_printed_with_its_reason() -> None:
    plan = make_plan(sock(40, "3/8 in", cuff=Cuff(15), leg=Leg(30), foot=Foot(55)))
    assert [(each.name, each.value, each.reason, each.key) for each in plan.lines] == [
        ("pegs", "40", "the loom, 3/8 in apart", "loom.pegs"),
        ("cuff rows", "15", "as given; 15 to 20 are usual", "cuff.rows"),
        ("rib", "k2 p2", "40 pegs = 10 times 4", "cuff.rib"),
        ("heel pegs", "24", "half of 40, plus 4 for a 3/8 in loom", "heel.pegs"),
        ("instep pegs", "16", "40 pegs less the 24 of the heel", ""),
        (
            "round start moves by",
            "0 pegs",
            "the leg is plain: nothing to line up with the rib",
            "leg.round_start_shift",
        ),
        ("leg rows", "30", "as given", "leg.rows"),
        (
            "turn pegs (centre)",
            "8",
            "the even number nearest to a third of 24",
            "heel.centre",
        ),
        ("gusset pegs, each side", "8", "24 heel pegs less 8, shared by two sides", ""),
        ("flap rows", "16", "both gussets together: 8 + 8", "heel.flap_rows"),
        (
            "edge loops, each side",
            "8",
            "one for every two of the 16 flap rows, so that each gusset peg gets one",
            "",
        ),
        ("turn rows", "16", "each row joins one of 8 + 8 held loops", ""),
        ("foot rows", "55", "as given, counted on the instep", "foot.rows"),
        ("toe pegs", "20", "half of 40", ""),
        (
            "toe: side / centre / side",
            "6 / 8 / 6",
            "a third of 20, rounded down: blunt",
            "toe.side",
        ),
        ("pegs before the toe", "2", "(24 − 20) / 2 centre it under the heel", ""),
        ("toe rows", "24", "12 narrowing and 12 widening", ""),
        ("pairs to graft", "20", "20 loops on each needle; 80 needle passes", ""),
    ]


def test_reasons_of_an_odd_ring_tell_the_rounding_and_the_decrease() -> None:
    plan = make_plan(any_rib(25, "1/2 in", toe=Toe(ToeShape.TAPERED)))
    assert line(plan, "heel pegs").reason == "half of 25 rounded down, plus 2 for a 1/2 in loom"
    assert line(plan, "toe pegs").reason == "half of 25 rounded down"
    assert line(plan, "toe: side / centre / side").reason == "a third of 12"
    reason = "25 is odd: 12 toe pegs against 13 would not graft"
    decrease = line(plan, "decrease before the toe")
    assert (decrease.value, decrease.reason) == ("1", reason)
    heel_17 = make_plan(any_rib(31, "1/2 in"))
    reason = "the odd number nearest to a third of 17"
    assert line(heel_17, "turn pegs (centre)").reason == reason


def test_panel_is_explained() -> None:
    plan = make_plan(sock(40, "3/8 in", motif=("kpkp",), leg=Leg(2, "m", across=2)))
    reason = "'m' is 4 wide × 2; 4 of the 16 instep pegs at each side of it"
    assert (line(plan, "panel pegs").value, line(plan, "panel pegs").reason) == ("8", reason)
    single = make_plan(sock(40, "3/8 in", motif=("kpkp",), leg=Leg(2, "m")))
    reason = "'m' is 4 wide; 6 of the 16 instep pegs at each side of it"
    assert line(single, "panel pegs").reason == reason


@pytest.mark.parametrize("pegs", [16, 17, 25, 40, 56, 119, 120])
def test_a_number_that_can_be_overruled_names_the_key_that_does(pegs: int) -> None:
    keys = {each.key for each in make_plan(any_rib(pegs)).lines if each.key}
    assert keys >= {"heel.pegs", "heel.centre", "heel.flap_rows", "toe.side", "cuff.rib"}


# Every refusal, word for word.

CROSSES_AT_ITS_EDGE = ("kkkkkkkkkkkkk", "RlkkkkkkkkkRl")

REFUSALS = [
    pytest.param(
        sock(40, "3/8 in", heel=Heel(centre=7)),
        "heel.centre: a centre of 7 does not leave two equal gussets of 24 heel pegs; "
        "allowed: 2, 4, 6 … 22; try: centre = 6 under [heel]",
        id="centre of the other parity",
    ),
    pytest.param(
        sock(40, "3/8 in", heel=Heel(centre=24)),
        "heel.centre: a centre of 24 does not leave two equal gussets of 24 heel pegs; "
        "allowed: 2, 4, 6 … 22; try: centre = 22 under [heel]",
        id="no gusset left",
    ),
    pytest.param(
        any_rib(31, "1/2 in", heel=Heel(centre=1)),
        "heel.centre: a centre of 1 does not leave two equal gussets of 17 heel pegs; "
        "allowed: 3, 5, 7 … 15; try: centre = 3 under [heel]",
        id="centre of one peg",
    ),
    pytest.param(
        sock(40, "3/8 in", heel=Heel(25)),
        "heel.pegs: 25 heel pegs and 20 toe pegs differ by an odd number: the toe would sit half "
        "a peg off centre; allowed: 20, 22, 24 … 38; try: pegs = 24 under [heel]",
        id="heel of the toe's other parity",
    ),
    pytest.param(
        sock(40, "3/8 in", heel=Heel(18)),
        "heel.pegs: 18 heel pegs do not suit a ring of 40; allowed: 20, 22, 24 … 38; "
        "try: pegs = 20 under [heel]",
        id="heel below half the pegs",
    ),
    pytest.param(
        sock(20, "3/8 in", heel=Heel(20)),
        "heel.pegs: 20 heel pegs do not suit a ring of 20; allowed: 10, 12, 14, 16, 18; "
        "try: pegs = 18 under [heel]",
        id="five heels to choose from",
    ),
    pytest.param(
        sock(24, "3/8 in", heel=Heel(24)),
        "heel.pegs: 24 heel pegs do not suit a ring of 24; allowed: 12, 14, 16, 18, 20, 22; "
        "try: pegs = 22 under [heel]",
        id="six heels to choose from",
    ),
    pytest.param(
        sock(16, heel=Heel(16)),
        "heel.pegs: 16 heel pegs do not suit a ring of 16; allowed: 8, 10, 12, 14; "
        "try: pegs = 14 under [heel]",
        id="no instep left",
    ),
    pytest.param(
        sock(40, "3/8 in", motif=("k" * 9,), leg=Leg(2, "m", across=2)),
        "leg.panel: the panel 'm' is 18 pegs wide (9 × 2) and the instep has 16; allowed: at most "
        "16 pegs, and even; try: draw a narrower motif, or take a loom with more pegs",
        id="panel wider than the instep",
    ),
    pytest.param(
        any_rib(25, motif=("k" * 4,), leg=Leg(2, "m"), heel=Heel(14)),
        "leg.panel: a panel of 4 pegs would sit half a peg off the centre of 11 instep pegs; "
        "allowed: odd widths up to 11; try: add or leave out one column of 'm'",
        id="even panel on an odd instep",
    ),
    pytest.param(
        sock(36, motif=("k" * 5,), leg=Leg(2, "m"), heel=Heel(18)),
        "leg.panel: a panel of 5 pegs would sit half a peg off the centre of 18 instep pegs; "
        "allowed: even widths up to 18; try: add or leave out one column of 'm'",
        id="odd panel on an even instep",
    ),
    pytest.param(
        sock(25),
        "cuff.rib: k2 p2 repeats over 4 pegs and 25 pegs leave 1 over; allowed: looms of 24 or 28 "
        'pegs, or on 25 pegs k3 p2; try: leftover = "knit" under [cuff] knits the rest at the '
        "round’s start",
        id="rib that leaves a peg over",
    ),
    pytest.param(
        sock(31, cuff=Cuff(2, "kkp")),
        "cuff.rib: k2 p1 repeats over 3 pegs and 31 pegs leave 1 over; allowed: looms of 30 or 33 "
        'pegs; try: leftover = "knit" under [cuff] knits the rest at the round’s start',
        id="loom that no usual rib divides",
    ),
    pytest.param(
        sock(40, "3/8 in", heel=Heel(flap_rows=15)),
        "heel.flap_rows: 15 flap rows end on the other side of the heel from where the turn "
        "starts; allowed: 16 with a centre of 8; try: flap_rows = 16 under [heel]",
        id="odd flap",
    ),
    pytest.param(
        sock(40, "3/8 in", heel=Heel(flap_rows=14)),
        "heel.flap_rows: 14 flap rows make 7 edge loops a side for 8 gusset pegs; allowed: 16 with "
        "a centre of 8; try: flap_rows = 16 under [heel], or centre = 10 under [heel], "
        "which makes gussets of 7",
        id="flap too short for its gussets",
    ),
    pytest.param(
        sock(40, "3/8 in", heel=Heel(flap_rows=40)),
        "heel.flap_rows: 40 flap rows make 20 edge loops a side for 8 gusset pegs; allowed: 16 "
        "with a centre of 8; try: flap_rows = 16 under [heel]",
        id="flap too long for any centre",
    ),
    pytest.param(
        sock(40, "3/8 in", heel=Heel(flap_rows=22)),
        "heel.flap_rows: 22 flap rows make 11 edge loops a side for 8 gusset pegs; allowed: 16 "
        "with a centre of 8; try: flap_rows = 16 under [heel], or centre = 2 under [heel], "
        "which makes gussets of 11",
        id="flap for the narrowest centre",
    ),
    pytest.param(
        sock(40, "3/8 in", heel=Heel(flap_rows=0)),
        "heel.flap_rows: 0 flap rows make 0 edge loops a side for 8 gusset pegs; allowed: 16 with "
        "a centre of 8; try: flap_rows = 16 under [heel]",
        id="no flap",
    ),
    pytest.param(
        sock(40, "3/8 in", toe=Toe(side=10)),
        "toe.side: 10 pegs turned at each side do not suit 20 toe pegs; allowed: 1 to 9; "
        "try: side = 9 under [toe]",
        id="toe without a centre",
    ),
    pytest.param(
        sock(40, "3/8 in", leg=Leg(2, round_start_shift=4)),
        "leg.round_start_shift: a shift of 4 pegs; allowed: 0 to 3",
        id="shift of a whole repeat",
    ),
    pytest.param(
        sock(40, "3/8 in", leg=Leg(2, round_start_shift=-1)),
        "leg.round_start_shift: a shift of -1 pegs; allowed: 0 to 3",
        id="shift backwards",
    ),
    pytest.param(
        sock(40, "3/8 in", cuff=Cuff(2, "kp"), leg=Leg(2, flanks=Flanks.RIB)),
        "leg.flanks: k1 p1 cannot be centred on 16 instep pegs: the two edges of the instep would "
        'differ; allowed: on this loom k2 p2 or k3 p2; try: flanks = "knit", another cuff.rib, or '
        "round_start_shift = 0 to accept it",
        id="rib that cannot be centred",
    ),
    pytest.param(
        any_rib(25, heel=Heel(12), motif=CROSSES_AT_ITS_EDGE, leg=Leg(2, "m"), foot=Foot(4)),
        "foot.rows: the decrease before the toe falls on a cable cross of the last foot row; "
        "try: rows = 5 under [foot]",
        id="decrease on a cable",
    ),
]


@pytest.mark.parametrize(("spec", "text"), REFUSALS)
def test_refusal_says_what_is_wrong_what_is_allowed_and_what_to_try(
    spec: SockSpec, text: str
) -> None:
    (problem,) = problems_of(spec)
    assert problem.text() == text


def test_toe_turned_at_no_peg_is_refused() -> None:
    (problem,) = problems_of(sock(40, "3/8 in", toe=Toe(side=0)))
    assert (problem.key, problem.allowed) == ("toe.side", "1 to 9")
    assert problem.suggestion == "side = 1 under [toe]"


def test_decrease_is_looked_for_in_the_motif_row_that_it_falls_on() -> None:
    """A motif of three rows, the third with crosses: 1 leg row and 5 foot rows end on it."""
    rows = ("kkkkkkkkkkkkk", "kkkkkkkkkkkkk", "RlkkkkkkkkkRl")
    for foot_rows, refused in ((4, False), (5, True), (6, False), (7, False), (8, True)):
        spec = any_rib(25, heel=Heel(12), motif=rows, leg=Leg(1, "m"), foot=Foot(foot_rows))
        assert bool(problems_of(spec)) == refused


def test_even_ring_has_no_decrease_to_fall_on_a_cable() -> None:
    spec = sock(24, heel=Heel(12), motif=("RlkkkkkkkkRl",), leg=Leg(2, "m"))
    assert problems_of(spec) == ()


def test_decrease_takes_a_plain_foot_or_a_row_without_a_cross() -> None:
    sections: dict[str, Any] = {"heel": Heel(12), "motif": CROSSES_AT_ITS_EDGE, "leg": Leg(2, "m")}
    assert problems_of(any_rib(25, foot=Foot(5), **sections)) == ()
    assert problems_of(any_rib(25, foot=Foot(4, FootInstep.PLAIN), **sections)) == ()


def test_all_problems_are_told_at_once_in_the_words_of_their_keys() -> None:
    spec = sock(
        41,
        "3/8 in",
        motif=("k" * 30,),
        leg=Leg(2, "m", round_start_shift=9),
        heel=Heel(23, 7, 3),
        toe=Toe(side=99),
    )
    with pytest.raises(PatternError) as raised:
        make_plan(spec)
    keys = [problem.key for problem in raised.value.problems]
    assert keys == [
        "cuff.rib",
        "heel.pegs",
        "leg.panel",
        "leg.round_start_shift",
        "heel.centre",
        "heel.flap_rows",
        "toe.side",
    ]
    assert str(raised.value).count("\n") == 6


@pytest.mark.parametrize("pegs", range(16, 121))
def test_looms_and_ribs_named_for_a_rib_that_does_not_fit_do_fit(pegs: int) -> None:
    for rib in ("kkpp", "kkp", "kkkpp"):
        if pegs % len(rib) == 0:
            continue
        (problem,) = problems_of(sock(pegs, cuff=Cuff(2, rib)))
        looms, _, ribs = problem.allowed.partition(" pegs")
        for count in map(int, re.findall(r"\d+", looms)):
            assert problems_of(sock(count, cuff=Cuff(2, rib))) == ()
        for words in re.findall(r"k\d p\d", ribs):
            letters = "k" * int(words[1]) + "p" * int(words[4])
            assert problems_of(sock(pegs, cuff=Cuff(2, letters))) == ()


@pytest.mark.parametrize("pegs", range(16, 121))
def test_ribs_named_for_one_that_cannot_be_centred_can_be(pegs: int) -> None:
    leg = Leg(2, flanks=Flanks.RIB)
    for problem in problems_of(any_rib(pegs, leg=leg, cuff=Cuff(2, "kp", Leftover.KNIT))):
        assert problem.key == "leg.flanks"
        for words in re.findall(r"k\d p\d", problem.allowed):
            letters = "k" * int(words[1]) + "p" * int(words[4])
            assert problems_of(sock(pegs, leg=leg, cuff=Cuff(2, letters), spacing="3/8 in")) == ()


CURE = re.compile(r"(\w+) = (\d+) under \[(\w+)\]")


def cured(spec: SockSpec, suggestion: str) -> list[SockSpec]:
    """The spec with each number put in that is to be tried."""
    return [
        replace(spec, **{section: replace(getattr(spec, section), **{key: int(number)})})
        for key, number, section in CURE.findall(suggestion)
    ]


@pytest.mark.parametrize(("spec", "text"), REFUSALS)
def test_number_to_try_cures_the_problem(spec: SockSpec, text: str) -> None:
    for other in cured(spec, text.partition("; try: ")[2]):
        assert problems_of(other) == ()


def test_numbers_are_tried_in_many_refusals() -> None:
    """Else the test above looks at nothing."""
    assert sum(bool(CURE.search(str(case.values[1]))) for case in REFUSALS) >= 8


@pytest.mark.parametrize(("rows", "free"), [(33, 34), (35, 36)])
def test_foot_rows_to_try_have_no_cross_at_the_decrease(rows: int, free: int) -> None:
    crosses_in_every_other_row = ("RlkkkkkkkkkRl", "k" * 13)
    spec = any_rib(25, heel=Heel(12), motif=crosses_in_every_other_row, leg=Leg(2, "m"))
    (problem,) = problems_of(replace(spec, foot=Foot(rows)))
    assert problem.suggestion == f"rows = {free} under [foot]"
    assert [problems_of(other) for other in cured(spec, problem.suggestion)] == [()]


def test_a_plain_instep_is_tried_where_every_row_has_a_cross_at_the_decrease() -> None:
    spec = any_rib(25, heel=Heel(12), motif=("RlkkkkkkkkkRl",), leg=Leg(2, "m"))
    (problem,) = problems_of(spec)
    assert problem.suggestion == 'instep = "plain" under [foot]'
    assert problems_of(replace(spec, foot=replace(spec.foot, instep=FootInstep.PLAIN))) == ()


def test_a_column_more_or_less_is_tried_only_where_it_helps() -> None:
    """Two motifs side by side are of even width, whatever theirs."""
    (single,) = problems_of(any_rib(25, motif=("kk",), leg=Leg(2, "m")))
    assert single.suggestion == "add or leave out one column of 'm'"
    (double,) = problems_of(any_rib(25, motif=("kkk",), leg=Leg(2, "m", across=2)))
    assert double.suggestion == "across = 1 or 3 under [leg], with columns to suit"
