"""Each rule of the proof is broken once by hand, and is seen to complain at the right row and peg.

Where it can be done the sock is broken so that no other rule notices.  `check_fabric` and
`check_moves` compare the whole record with the sock that was asked for, so by design one of them
sees every change that is made to rows and moves alone; "no other rule" therefore leaves FABRIC and
MOVES out, except for the cases that are theirs.  `test_rules_alone.py` has a mistake for each rule
that the comparisons make too, so that nothing is left out.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import pytest

from charts.loom import Loom, Working
from charts.plan import Plan, make_plan
from charts.rows import Graft, Hold, LiftBar, Rehang, Row, Rows, Section, Shift, TakeOff
from charts.sock import make_rows
from charts.spec import (
    Cuff,
    Flanks,
    Gusset,
    Heel,
    Leftover,
    Leg,
    ShortRows,
    SockSpec,
    Toe,
)
from charts.verify import CHECKS, NotKnittableError, fault_text, find_faults, verify
from charts.virtual_loom import Fault, Rule, knit_on_loom

from .socks import (
    Break,
    all_faults,
    changed,
    place_of,
    proved,
    restitched,
    row_at,
    sock,
    with_events,
)

RECORD = {Rule.FABRIC, Rule.MOVES}
"""The two rules that compare the record itself."""

# 24 pegs: heel 1-14, gussets 1-5 and 10-14, turn 6-9, instep 15-24, toe 2-13 in thirds of 4.
PLAIN = sock(24)
WRAPPED = sock(24, toe=Toe(short_rows=ShortRows.WRAPPED))
CORNERS = sock(24, gusset=Gusset(corner_bars=True))
CABLED = sock(24, motif=("kkRlkk",), leg=Leg(2, "m"))  # the panel stands on pegs 17-22
# 25 pegs: the same heel and toe; the loop of peg 14 goes onto peg 13 before the last foot row.
ODD = sock(25, cuff=Cuff(2, leftover=Leftover.KNIT))
# 40 pegs in k2 p2: the round starts on peg 2; heel 2-25, instep 26-1, its flanks in rib.
RIBBED = sock(40, "3/8 in", motif=("kppk",), leg=Leg(3, "m", flanks=Flanks.RIB))


@dataclass(frozen=True)
class Broken:
    """A sock spoiled by hand."""

    rule: Rule
    spec: SockSpec
    spoil: Break
    peg: int | None
    """The peg that must be blamed."""
    row: tuple[Section, int] | type | None
    """The row, or the kind of move, that must be blamed; None where the whole sock is."""
    also: frozenset[Rule] = frozenset()
    """Rules that cannot but see it too."""


def restitch(section: Section, number: int, peg: int, letter: str) -> Break:
    def spoil(_: Plan, rows: Rows) -> Rows:
        return restitched(rows, place_of(rows, section, number), peg, letter)

    return spoil


def both(*spoils: Break) -> Break:
    def spoil(plan: Plan, rows: Rows) -> Rows:
        for each in spoils:
            rows = each(plan, rows)
        return rows

    return spoil


def work_pegs_in_the_wrong_order(_: Plan, rows: Rows) -> Rows:
    """Leg row 2 visits pegs 1, 3, 2, 4 …: every peg is knitted once."""
    index = place_of(rows, Section.LEG, 2)
    first, second, third, *rest = row_at(rows, index).pegs
    return changed(rows, index, pegs=(first, third, second, *rest))


def forget_to_run_on(_: Plan, rows: Rows) -> Rows:
    """The foot's last round is not worked on to the peg before the toe."""
    return with_events(rows, place_of(rows, Section.FOOT, 0), 1)


def start_the_leg_at_peg_1(_: Plan, rows: Rows) -> Rows:
    """The cuff's last round is not worked on, though the leg's rounds start a peg later."""
    return with_events(rows, place_of(rows, Section.CUFF, 0), 1)


def put_the_outermost_loop_on_top(_: Plan, rows: Rows) -> Rows:
    index = place_of(rows, Hold, 1)
    hold = rows.events[index]
    assert isinstance(hold, Hold)
    return changed(rows, index, pegs=hold.pegs[::-1])


def hang_the_edge_loops_before_the_last_turn_row(plan: Plan, rows: Rows) -> Rows:
    """The newest near edge loop is then still live on its holder."""
    row, hang = place_of(rows, Section.TURN, plan.turn_rows), place_of(rows, Rehang, 1)
    assert hang == row + 1
    return with_events(rows, row, 2, rows.events[hang], rows.events[row])


def hang_one_edge_loop_too_few(_: Plan, rows: Rows) -> Rows:
    index = place_of(rows, Rehang, 2)
    hang = rows.events[index]
    assert isinstance(hang, Rehang)
    return changed(rows, index, pegs=hang.pegs[:-1])


def lift_a_bar_from_further_off(plan: Plan, rows: Rows) -> Rows:
    return changed(rows, place_of(rows, LiftBar, 1), between=(plan.peg(4), plan.peg(5)))


def move_the_loop_past_a_peg(plan: Plan, rows: Rows) -> Rows:
    """From peg 14 to peg 12 instead of 13, and worked there as one."""
    index = place_of(rows, Section.FOOT, plan.spec.foot.rows)
    rows = restitched(rows, index, 13, "k")
    rows = restitched(rows, index, 12, "/")
    return changed(rows, place_of(rows, Shift), to_peg=plan.peg(12))


def take_a_peg_off_twice(_: Plan, rows: Rows) -> Rows:
    index = place_of(rows, TakeOff, 1)
    off = rows.events[index]
    assert isinstance(off, TakeOff)
    return changed(rows, index, pegs=(*off.pegs, off.pegs[-1]))


def take_two_loops_off_in_the_wrong_order(_: Plan, rows: Rows) -> Rows:
    index = place_of(rows, TakeOff, 1)
    off = rows.events[index]
    assert isinstance(off, TakeOff)
    first, second, *rest = off.pegs
    return changed(rows, index, pegs=(second, first, *rest))


def leave_the_last_pair_on_the_pegs(_: Plan, rows: Rows) -> Rows:
    """Peg 14 of the instep half and peg 13 of the toe half stay where they are."""
    front, back, graft = (rows.events[-3], rows.events[-2], rows.events[-1])
    assert isinstance(front, TakeOff)
    assert isinstance(back, TakeOff)
    assert isinstance(graft, Graft)
    return with_events(
        rows,
        len(rows.events) - 3,
        3,
        replace(front, pegs=front.pegs[:-1]),
        replace(back, pegs=back.pegs[1:]),
        replace(graft, pairs=graft.pairs[:-1]),
    )


def fold_the_toe_askew(_: Plan, rows: Rows) -> Rows:
    """The front needle begins one peg further on: each loop meets its neighbour's partner."""
    front, graft = rows.events[-3], rows.events[-1]
    assert isinstance(front, TakeOff)
    assert isinstance(graft, Graft)
    pegs = (*front.pegs[1:], front.pegs[0])
    pairs = tuple((peg, back) for peg, (_, back) in zip(pegs, graft.pairs, strict=True))
    rows = changed(rows, len(rows.events) - 3, pegs=pegs)
    return changed(rows, len(rows.events) - 1, pairs=pairs)


def hold_the_far_side_first(_: Plan, rows: Rows) -> Rows:
    index = place_of(rows, Hold, 1)
    return with_events(rows, index, 2, rows.events[index + 1], rows.events[index])


def leave_a_bar(_: Plan, rows: Rows) -> Rows:
    """A bar is not lifted, and its peg is knitted as if there had never been one."""
    rows = with_events(rows, place_of(rows, LiftBar, 2), 1)
    return restitched(rows, place_of(rows, Section.FOOT, 1), 9, "k")


def lift_no_bar(_: Plan, rows: Rows) -> Rows:
    return with_events(rows, place_of(rows, LiftBar, 2), 1)


BY_HAND = [
    # What the loom itself sees.
    Broken(Rule.YARN_JUMPS, PLAIN, work_pegs_in_the_wrong_order, 3, (Section.LEG, 2)),
    Broken(Rule.YARN_JUMPS, PLAIN, forget_to_run_on, 2, (Section.TOE, 1), frozenset({Rule.COUNTS})),
    Broken(
        Rule.YARN_JUMPS,
        RIBBED,
        start_the_leg_at_peg_1,
        2,
        (Section.LEG, 1),
        frozenset({Rule.COUNTS}),
    ),
    # Toe row 1 turns peg 13 and row 15 takes its strands: plain knits there leave a hole.
    Broken(
        Rule.OPEN_TURN,
        PLAIN,
        both(restitch(Section.TOE, 1, 13, "k"), restitch(Section.TOE, 15, 13, "k")),
        12,
        (Section.TOE, 2),
    ),
    Broken(
        Rule.OPEN_TURN,
        PLAIN,
        restitch(Section.FLAP, 4, 14, "k"),
        14,
        (Section.FLAP, 4),
        frozenset({Rule.EDGE_LOOPS, Rule.COUNTS, Rule.EMPTY_PEG, Rule.ALL_LIVE}),
    ),
    Broken(Rule.EMPTY_PEG, ODD, restitch(Section.FOOT, 4, 14, "s"), 14, (Section.FOOT, 4)),
    Broken(
        Rule.PASSED_LOOP,
        PLAIN,
        restitch(Section.LEG, 1, 7, "x"),
        7,
        (Section.LEG, 1),
        frozenset({Rule.COUNTS}),
    ),
    Broken(Rule.OVERLOADED, PLAIN, restitch(Section.FOOT, 1, 9, "k"), 9, (Section.FOOT, 1)),
    Broken(Rule.TURNED_STITCH, PLAIN, restitch(Section.LEG, 1, 7, "d"), 7, (Section.LEG, 1)),
    Broken(Rule.TURNED_STITCH, PLAIN, restitch(Section.TOE, 16, 2, "k"), 2, (Section.TOE, 16)),
    Broken(Rule.WRAPPED_PEG, WRAPPED, restitch(Section.TOE, 16, 2, "k"), 2, (Section.TOE, 16)),
    Broken(Rule.TWO_AS_ONE, ODD, restitch(Section.FOOT, 4, 13, "/"), 13, (Section.FOOT, 4)),
    Broken(
        Rule.TWO_AS_ONE,
        PLAIN,
        lift_no_bar,
        9,
        (Section.FOOT, 1),
        frozenset({Rule.ALL_LIVE}),
    ),
    Broken(Rule.CROSS, CABLED, restitch(Section.LEG, 1, 19, "k"), 20, (Section.LEG, 1)),
    Broken(Rule.HOLDER, PLAIN, put_the_outermost_loop_on_top, 6, (Section.TURN, 2)),
    Broken(Rule.EDGE_LOOPS, PLAIN, hang_the_edge_loops_before_the_last_turn_row, 5, Rehang),
    Broken(
        Rule.EDGE_LOOPS,
        PLAIN,
        hang_one_edge_loop_too_few,
        14,
        Rehang,
        frozenset({Rule.EMPTY_PEG, Rule.ALL_LIVE}),
    ),
    Broken(Rule.BAR, PLAIN, lift_a_bar_from_further_off, 6, LiftBar),
    Broken(Rule.SHIFT, ODD, move_the_loop_past_a_peg, 12, Shift),
    Broken(Rule.TAKE_OFF, PLAIN, take_a_peg_off_twice, 14, TakeOff),
    Broken(Rule.GRAFT, PLAIN, take_two_loops_off_in_the_wrong_order, 1, Graft),
    Broken(
        Rule.LOOP_LEFT,
        PLAIN,
        leave_the_last_pair_on_the_pegs,
        14,
        Graft,
        frozenset({Rule.GRAFT_PAIRS}),
    ),
    # What only the plan can tell.
    Broken(Rule.FABRIC, PLAIN, restitch(Section.LEG, 1, 7, "p"), 7, (Section.LEG, 1)),
    Broken(Rule.COUNTS, PLAIN, restitch(Section.LEG, 1, 7, "s"), None, None),
    Broken(Rule.MOVES, PLAIN, hold_the_far_side_first, None, Hold),
    Broken(Rule.IN_PHASE, RIBBED, restitch(Section.LEG, 2, 27, "k"), 27, (Section.LEG, 2)),
    Broken(Rule.ALL_LIVE, PLAIN, leave_a_bar, None, LiftBar),
    Broken(Rule.GRAFT_PAIRS, PLAIN, fold_the_toe_askew, 24, Graft),
    # The first leg row is where the rib's two edges are compared, and where its phase begins.
    Broken(
        Rule.CENTRED,
        RIBBED,
        restitch(Section.LEG, 1, 27, "k"),
        None,
        None,
        frozenset({Rule.IN_PHASE}),
    ),
]


def spoiled(case: Broken) -> tuple[Plan, Rows, list[Fault]]:
    plan = make_plan(case.spec)
    rows = case.spoil(plan, make_rows(plan))
    return plan, rows, all_faults(plan, rows)


each_break = pytest.mark.parametrize(
    "case", BY_HAND, ids=[f"{case.rule.name}-{index}" for index, case in enumerate(BY_HAND)]
)


def test_every_rule_is_broken_by_hand() -> None:
    assert {case.rule for case in BY_HAND} == set(Rule) - {Rule.PLAN}, "its breaks are below"


@pytest.mark.parametrize("spec", [PLAIN, WRAPPED, CORNERS, CABLED, ODD, RIBBED])
def test_the_socks_are_sound_before_they_are_broken(spec: SockSpec) -> None:
    proved(spec)


@each_break
def test_broken_rule_is_told_with_row_and_peg(case: Broken) -> None:
    _, rows, faults = spoiled(case)
    blamed = [fault for fault in faults if fault.rule is case.rule and fault.peg == case.peg]
    assert blamed, [fault_text(rows, fault) for fault in faults]
    if case.row is None:
        return
    events = [rows.events[fault.event_index] for fault in blamed if fault.event_index is not None]
    if isinstance(case.row, tuple):
        named = [(event.section, event.number) for event in events if isinstance(event, Row)]
        assert named[0] == case.row
    else:
        assert isinstance(events[0], case.row)


@each_break
def test_no_other_rule_sees_it(case: Broken) -> None:
    _, rows, faults = spoiled(case)
    seen = {fault.rule for fault in faults}
    assert case.rule in seen
    assert seen - RECORD - {case.rule} == case.also, [fault_text(rows, each) for each in faults]


@each_break
def test_verify_refuses_with_all_faults(case: Broken) -> None:
    plan, rows, faults = spoiled(case)
    with pytest.raises(NotKnittableError) as raised:
        verify(plan, rows)
    assert raised.value.faults == tuple(faults)
    assert str(raised.value).splitlines() == [fault_text(rows, fault) for fault in faults]


def test_wrong_shift_is_seen_by_the_centring() -> None:
    """A plan with the round's start where it was, tiled and knitted in all good faith."""
    plan = replace(make_plan(RIBBED), shift=0)
    assert {fault.rule for fault in all_faults(plan, make_rows(plan))} == {Rule.CENTRED, Rule.PLAN}


DOCTORED: list[tuple[SockSpec, dict[str, int]]] = [
    (CABLED, {"shift": 2}),
    (PLAIN, {"heel_pegs": 16, "instep_pegs": 8, "gusset_pegs": 6, "toe_offset": 2}),
    (PLAIN, {"centre_pegs": 10, "gusset_pegs": 2, "flap_rows": 4, "turn_rows": 4}),
    (PLAIN, {"toe_side": 2}),
    (PLAIN, {"flap_rows": 18}),
    (PLAIN, {"turn_rows": 12}),
    (PLAIN, {"gusset_pegs": 7}),
    (PLAIN, {"instep_pegs": 15}),
]


@pytest.mark.parametrize(("spec", "numbers"), DOCTORED)
def test_number_that_does_not_follow_from_the_spec_is_refused(
    spec: SockSpec, numbers: dict[str, int]
) -> None:
    """Whether the rows were made from the doctored plan or from the sound one."""
    sound = make_plan(spec)
    plan = replace(sound, **numbers)  # type: ignore[arg-type]
    for rows in (make_rows(sound), make_rows(plan)):
        assert Rule.PLAN in {fault.rule for fault in all_faults(plan, rows)}


def test_number_given_in_the_spec_and_not_kept_is_refused() -> None:
    sound = make_plan(PLAIN)
    for part in (Heel(pegs=16), Heel(centre=6), Heel(flap_rows=3)):
        plan = replace(sound, spec=replace(sound.spec, heel=part))
        assert Rule.PLAN in {fault.rule for fault in all_faults(plan, make_rows(sound))}


@pytest.mark.parametrize("spec", [PLAIN, CABLED, ODD, RIBBED])
def test_plan_that_prints_another_number_or_leaves_it_out_is_refused(spec: SockSpec) -> None:
    sound = make_plan(spec)
    rows = make_rows(sound)
    for at, line in enumerate(sound.lines):
        before, after = sound.lines[:at], sound.lines[at + 1 :]
        for lines in ((*before, replace(line, value=f"1{line.value}"), *after), before + after):
            plan = replace(sound, lines=lines)
            (fault,) = all_faults(plan, rows)
            assert fault.rule is Rule.PLAN
            assert line.name in fault.what


def test_plan_with_a_turn_of_one_peg_is_refused_in_words() -> None:
    """There would be a row without a peg; `verify` says so and does not break down."""
    sound = make_plan(sock(24, heel=Heel(18, 2)))
    plan = replace(sound, centre_pegs=1)
    told = [fault.what for fault in all_faults(plan, make_rows(sound))]
    assert "centre pegs: 1, not 2" in told
    assert "no pegs were due" in told


def test_panel_half_a_peg_off_is_seen_by_the_centring() -> None:
    sound = make_plan(CABLED)
    motif = replace(sound.spec.motifs["m"], rows=("kkRlkkk",))
    plan = replace(sound, spec=replace(sound.spec, motifs={"m": motif}))
    assert Rule.CENTRED in {fault.rule for fault in all_faults(plan, make_rows(plan))}


def test_toe_off_the_middle_of_the_heel_is_seen_by_the_centring() -> None:
    plan = replace(make_plan(PLAIN), toe_offset=2)
    texts = [fault.what for fault in all_faults(plan, make_rows(plan))]
    assert "the toe is not centred on the heel" in texts


# The loom in more detail: what a knitter would see on the pegs.


def loom_rules(spec: SockSpec, spoil: Break) -> set[Rule]:
    plan = make_plan(spec)
    return {fault.rule for fault in knit_on_loom(spoil(plan, make_rows(plan))).faults}


def test_corner_bar_forgotten_in_round_two_is_seen() -> None:
    assert loom_rules(CORNERS, restitch(Section.FOOT, 2, 1, "k")) == {Rule.OVERLOADED}


def test_bar_worked_as_a_decrease_is_seen() -> None:
    assert loom_rules(PLAIN, restitch(Section.FOOT, 1, 9, "/")) == {Rule.TWO_AS_ONE}


def test_decrease_worked_as_a_bar_is_seen() -> None:
    assert loom_rules(ODD, restitch(Section.FOOT, 4, 13, "b")) == {Rule.TWO_AS_ONE}


def test_wraps_taken_where_there_are_none_are_seen() -> None:
    assert loom_rules(WRAPPED, restitch(Section.TOE, 1, 5, "W")) == {Rule.WRAPPED_PEG}


def test_turned_stitch_slipped_is_seen() -> None:
    assert Rule.TURNED_STITCH in loom_rules(PLAIN, restitch(Section.TOE, 15, 13, "s"))


def test_join_after_the_holder_is_empty_is_seen() -> None:
    def spoil(plan: Plan, rows: Rows) -> Rows:
        last = place_of(rows, Section.TURN, plan.turn_rows)
        return with_events(rows, last + 1, 0, rows.events[last - 1], rows.events[last])

    assert loom_rules(PLAIN, spoil) == {Rule.HOLDER}


def test_join_from_the_wrong_holder_is_seen() -> None:
    def spoil(_: Plan, rows: Rows) -> Rows:
        first = place_of(rows, Hold, 1)
        near, far = rows.events[first], rows.events[first + 1]
        assert isinstance(near, Hold)
        assert isinstance(far, Hold)
        return with_events(
            rows,
            first,
            2,
            replace(near, holder=far.holder),
            replace(far, holder=near.holder),
        )

    # Both holders have loops enough; only their order tells: peg 10's loop is next to peg 9.
    assert Rule.HOLDER in loom_rules(PLAIN, spoil)


def test_cable_on_a_peg_with_two_loops_is_seen() -> None:
    """A cross where the lifted bar of the corner hangs."""
    rows = make_rows(make_plan(CORNERS))
    index = place_of(rows, Section.FOOT, 1)
    rows = restitched(restitched(rows, index, 14, "R"), index, 15, "l")
    faults = knit_on_loom(rows).faults
    assert (Rule.CROSS, 14) in {(fault.rule, fault.peg) for fault in faults}


def test_first_stitch_of_a_toe_row_back_is_not_worked_twice() -> None:
    def spoil(plan: Plan, rows: Rows) -> Rows:
        """Widening row 9 ends on peg 10; row 10 starts there again instead of on peg 9."""
        index = place_of(rows, Section.TOE, 10)
        row = row_at(rows, index)
        return changed(rows, index, pegs=(plan.peg(10), *row.pegs), stitches="k" + row.stitches)

    assert loom_rules(PLAIN, spoil) == {Rule.OPEN_TURN}


@pytest.mark.parametrize(("check", "rule"), CHECKS, ids=[rule.name for _, rule in CHECKS])
def test_check_that_looked_at_nothing_says_so(check: object, rule: Rule) -> None:
    """Sums and the plan's numbers are always there; every other check needs something."""
    del check
    plan = make_plan(PLAIN)
    nothing = Rows(plan.loom, ())
    faults = find_faults(plan, nothing, knit_on_loom(nothing))
    told = [fault for fault in faults if fault.what == f"nothing to check: {rule.value}"]
    assert bool(told) == (rule not in (Rule.COUNTS, Rule.PLAN))
    assert rule is Rule.PLAN or rule in {fault.rule for fault in faults}


@pytest.mark.parametrize("heel", [12, 14, 16, 18, 20, 22])
def test_every_heel_width_knits(heel: int) -> None:
    assert proved(sock(24, heel=Heel(heel))).plan.heel_pegs == heel


# The proof in more detail: what a reader of the whole sock would see.


def sentences(spoil: Break, spec: SockSpec = PLAIN) -> list[str]:
    plan = make_plan(spec)
    rows = spoil(plan, make_rows(plan))
    return [fault_text(rows, fault).partition(" (rule")[0] for fault in all_faults(plan, rows)]


def test_row_that_is_missing_is_told_by_name() -> None:
    def spoil(_: Plan, rows: Rows) -> Rows:
        return with_events(rows, place_of(rows, Section.TOE, 16), 1)

    assert "toe row 16 is missing" in sentences(spoil)


def test_row_too_many_is_told() -> None:
    def spoil(_: Plan, rows: Rows) -> Rows:
        index = place_of(rows, Section.TOE, 16)
        return with_events(rows, index, 0, rows.events[index])

    assert "toe, row 16: a row too many" in sentences(spoil)


def test_row_out_of_turn_is_told_with_the_one_that_was_due() -> None:
    def spoil(_: Plan, rows: Rows) -> Rows:
        index = place_of(rows, Section.LEG, 2)
        return changed(rows, index, number=3)

    assert sentences(spoil) == ["leg, row 3: leg row 2 was due"]


def test_row_on_other_pegs_is_told_with_those_that_were_due() -> None:
    def spoil(_: Plan, rows: Rows) -> Rows:
        index = place_of(rows, Section.TOE, 1)
        row = row_at(rows, index)
        return changed(rows, index, pegs=row.pegs[:-1], stitches=row.stitches[1:])

    assert "toe, row 1: pegs 2 to 13 were due" in sentences(spoil)


@pytest.mark.parametrize("letters", ["k" * 23, "k" * 25])
def test_row_with_a_stitch_too_many_or_too_few_is_told(letters: str) -> None:
    def spoil(_: Plan, rows: Rows) -> Rows:
        return changed(rows, place_of(rows, Section.LEG, 1), stitches=letters)

    assert "leg, row 1: a stitch too many or too few" in sentences(spoil)


def test_counts_are_held_against_the_loops_of_the_trace_too() -> None:
    """A row that cannot be begun draws no loops, whatever its letters add up to."""

    def spoil(_: Plan, rows: Rows) -> Rows:
        index = place_of(rows, Section.LEG, 1)
        return changed(rows, index, pegs=row_at(rows, index).pegs[:-1])

    told = sentences(spoil)
    assert not any(text.startswith("leg: ") for text in told)
    assert any("loops drawn" in text for text in told)


def test_move_too_few_is_told() -> None:
    assert "9 moves, 10 were due" in sentences(lift_no_bar)


def test_dead_peg_at_the_foot_is_told() -> None:
    told = sentences(hang_one_edge_loop_too_few)
    assert "gusset: 1 pegs without a loop" in told


def test_loop_of_the_instep_on_the_back_needle_is_told() -> None:
    def spoil(_: Plan, rows: Rows) -> Rows:
        graft = rows.events[-1]
        assert isinstance(graft, Graft)
        front, back = graft.pairs[0]
        return changed(rows, len(rows.events) - 1, pairs=((back, front), *graft.pairs[1:]))

    assert "closing, peg 1: not a loop of the toe" in sentences(spoil)


@pytest.mark.parametrize(
    "loom",
    [
        replace(PLAIN.loom, working=Working.RIGHT_TO_LEFT),
        replace(PLAIN.loom, spacing_mm=9.525, spacing_text="3/8 in"),
        replace(PLAIN.loom, pegs=25),
    ],
)
def test_rows_for_another_loom_are_refused(loom: Loom) -> None:
    def spoil(_: Plan, rows: Rows) -> Rows:
        return replace(rows, loom=loom)

    assert "the rows are for another loom than the plan's" in sentences(spoil)
