"""Each rule of the proof alone stands between some mistake and the printer.

A mistake in the rows is seen by the comparison with the second tiling, whatever else sees it.  The
rules of the loom, of phase, centring and grafting are there for a mistake that was made twice: in
the makers of rows and, alike, in the tiling, the moves and the sums that they are held against.  So
here all these err as the rows do, except the one whose rule is in question; that rule must then be
the only one that is broken.  A rule that no mistake shows alone would be one too many.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import pytest

from charts import verify as proof
from charts.expected import ExpectedRow
from charts.plan import Plan, make_plan
from charts.rows import Graft, Row, Rows, Section, Shift
from charts.sock import make_rows
from charts.spec import SockSpec
from charts.verify import CHECKS, NotKnittableError, section_counts, verify
from charts.virtual_loom import Rule

from . import test_rules as by_hand
from .socks import Break, all_faults, place_of, restitched, with_events
from .test_rules import CABLED, ODD, PLAIN, RIBBED, WRAPPED, both, restitch

Doctor = Callable[[Plan], Plan]


def as_planned(plan: Plan) -> Plan:
    return plan


@dataclass(frozen=True)
class Mistake:
    """A plan or rows gone wrong."""

    spec: SockSpec
    spoil: Break
    doctor: Doctor = as_planned
    """Done to the plan before the rows are made from it."""

    @property
    def sock(self) -> tuple[Plan, Rows]:
        plan = self.doctor(make_plan(self.spec))
        return plan, self.spoil(plan, make_rows(plan))


def as_made(_: Plan, rows: Rows) -> Rows:
    return rows


def leave_the_odd_peg(plan: Plan, rows: Rows) -> Rows:
    """An odd ring is not brought down by one; the loop of peg 14 stays when all else is grafted."""
    index = place_of(rows, Section.FOOT, plan.spec.foot.rows)
    rows = restitched(restitched(rows, index, 13, "k"), index, 14, "k")
    return with_events(rows, place_of(rows, Shift), 1)


def print_another_heel(plan: Plan) -> Plan:
    """The page says 22 heel pegs; every row is worked on the 14 that there are."""
    lines = tuple(
        replace(line, value="22") if line.name == "heel pegs" else line for line in plan.lines
    )
    return replace(plan, lines=lines)


def start_the_round_where_it_was(plan: Plan) -> Plan:
    return replace(plan, shift=0)


ALONE: dict[Rule, Mistake] = {
    Rule.YARN_JUMPS: Mistake(PLAIN, by_hand.work_pegs_in_the_wrong_order),
    # Toe row 1 turns peg 13 and row 15 takes its strands: plain knits there leave a hole.
    Rule.OPEN_TURN: Mistake(
        PLAIN, both(restitch(Section.TOE, 1, 13, "k"), restitch(Section.TOE, 15, 13, "k"))
    ),
    # The loop of peg 14 has just gone onto peg 13.
    Rule.EMPTY_PEG: Mistake(ODD, restitch(Section.FOOT, 4, 14, "s")),
    Rule.PASSED_LOOP: Mistake(PLAIN, restitch(Section.LEG, 1, 7, "x")),
    # A lifted bar hangs there.
    Rule.OVERLOADED: Mistake(PLAIN, restitch(Section.FOOT, 1, 9, "k")),
    Rule.TURNED_STITCH: Mistake(PLAIN, restitch(Section.TOE, 16, 2, "k")),
    Rule.WRAPPED_PEG: Mistake(WRAPPED, restitch(Section.TOE, 16, 2, "k")),
    # The decrease leans to the side that its loops do not lie on.
    Rule.TWO_AS_ONE: Mistake(ODD, restitch(Section.FOOT, 4, 13, "/")),
    Rule.CROSS: Mistake(CABLED, restitch(Section.LEG, 1, 19, "k")),
    Rule.HOLDER: Mistake(PLAIN, by_hand.put_the_outermost_loop_on_top),
    Rule.EDGE_LOOPS: Mistake(PLAIN, by_hand.hang_the_edge_loops_before_the_last_turn_row),
    Rule.BAR: Mistake(PLAIN, by_hand.lift_a_bar_from_further_off),
    Rule.SHIFT: Mistake(ODD, by_hand.move_the_loop_past_a_peg),
    Rule.TAKE_OFF: Mistake(PLAIN, by_hand.take_a_peg_off_twice),
    Rule.GRAFT: Mistake(PLAIN, by_hand.take_two_loops_off_in_the_wrong_order),
    Rule.LOOP_LEFT: Mistake(ODD, leave_the_odd_peg),
    Rule.PLAN: Mistake(PLAIN, as_made, print_another_heel),
    Rule.FABRIC: Mistake(PLAIN, restitch(Section.LEG, 1, 7, "p")),
    Rule.COUNTS: Mistake(PLAIN, restitch(Section.LEG, 1, 7, "s")),
    Rule.MOVES: Mistake(PLAIN, by_hand.hold_the_far_side_first),
    Rule.IN_PHASE: Mistake(RIBBED, restitch(Section.LEG, 2, 27, "k")),
    Rule.CENTRED: Mistake(RIBBED, as_made, start_the_round_where_it_was),
    Rule.ALL_LIVE: Mistake(PLAIN, by_hand.leave_a_bar),
    Rule.GRAFT_PAIRS: Mistake(PLAIN, by_hand.fold_the_toe_askew),
}
"""For every rule a mistake that it alone sees."""


def err_alike(monkeypatch: pytest.MonkeyPatch, plan: Plan, rows: Rows, *, but: Rule | None) -> None:
    """Let everything that the sock is held against make the sock's own mistake, `but` one."""
    tiled = [
        ExpectedRow(event.section, event.number, event.direction, event.pegs, event.stitches)
        for event in rows.events
        if isinstance(event, Row)
    ]
    moves, before = [], 0
    for event in rows.events:
        if isinstance(event, Row):
            before += 1
        else:
            moves.append((before, event))
    counts = section_counts(rows)
    numbers = {name: getattr(plan, name) for name in proof.expected_numbers(plan.spec)}
    second = {
        Rule.PLAN: ("expected_numbers", lambda _: numbers),
        Rule.FABRIC: ("expected_rows", lambda _: iter(tiled)),
        Rule.COUNTS: ("expected_counts", lambda _: counts),
        Rule.MOVES: ("expected_moves", lambda _: moves),
    }
    for rule, (name, answer) in second.items():
        if rule is not but:
            monkeypatch.setattr(proof, name, answer)


def test_every_rule_has_its_mistake_and_every_check_its_rule() -> None:
    assert set(ALONE) == set(Rule)
    rules = [rule for _, rule in CHECKS]
    assert len(set(rules)) == len(rules)


@pytest.mark.parametrize("rule", Rule, ids=[rule.name for rule in Rule])
def test_no_other_rule_sees_its_mistake(rule: Rule, monkeypatch: pytest.MonkeyPatch) -> None:
    plan, rows = ALONE[rule].sock
    err_alike(monkeypatch, plan, rows, but=rule)
    assert {fault.rule for fault in all_faults(plan, rows)} == {rule}
    with pytest.raises(NotKnittableError):
        verify(plan, rows)


@pytest.mark.parametrize("rule", Rule, ids=[rule.name for rule in Rule])
def test_mistake_made_once_is_seen_by_the_record_too(rule: Rule) -> None:
    """Nothing in `verify` has to be right alone, as long as two who err do not err alike."""
    plan, rows = ALONE[rule].sock
    seen = {fault.rule for fault in all_faults(plan, rows)}
    assert rule in seen
    assert seen & {Rule.PLAN, Rule.FABRIC, Rule.MOVES}


@pytest.mark.parametrize("spec", [PLAIN, WRAPPED, CABLED, ODD, RIBBED])
def test_sound_sock_passes_whoever_errs_alike(
    spec: SockSpec, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = make_plan(spec)
    rows = make_rows(plan)
    err_alike(monkeypatch, plan, rows, but=None)
    assert isinstance(rows.events[-1], Graft)
    assert all_faults(plan, rows) == []
