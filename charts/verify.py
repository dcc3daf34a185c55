"""Proof: a sock that the virtual loom could knit, and that is the sock that was asked for.

`verify` is the only maker of a `Knit`, and charts and steps are made from a `Knit` only, so an
unproved sock cannot be printed.  Each check is a function of its own that returns what it found
and how many things it looked at; a check that looked at nothing is itself a fault.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field

from charts.expected import (
    expected_counts,
    expected_lines,
    expected_moves,
    expected_numbers,
    expected_rows,
)
from charts.plan import Plan
from charts.rows import Graft, Row, Rows, Section
from charts.spec import Flanks
from charts.stitches import drawn_in
from charts.virtual_loom import Fault, Rule, Trace, knit_on_loom


@dataclass(frozen=True)
class _Seal:
    """What was proved; a `Knit` with other records in it is not."""

    plan: Plan
    rows: Rows
    trace: Trace


@dataclass(frozen=True)
class Knit:
    """A proved sock: its plan, its rows and the trace of their knitting.  Made by `verify`."""

    plan: Plan
    rows: Rows
    trace: Trace
    _seal: object = field(repr=False, compare=False)

    def __post_init__(self) -> None:
        seal = self._seal
        if not isinstance(seal, _Seal) or not (
            seal.plan is self.plan and seal.rows is self.rows and seal.trace is self.trace
        ):
            raise TypeError("a Knit is made by verify() only")

    @property
    def counts(self) -> dict[Section, int]:
        """Stitches by section; slipped ones are not counted."""
        return section_counts(self.rows)


class NotKnittableError(Exception):
    """Raised by `verify` with every broken rule."""

    def __init__(self, rows: Rows, faults: tuple[Fault, ...]) -> None:
        self.faults = faults
        super().__init__("\n".join(fault_text(rows, fault) for fault in faults))


def verify(plan: Plan, rows: Rows) -> Knit:
    """Knit the rows and check them against the plan.

    Raises NotKnittableError listing all broken rules with row and peg.
    """
    trace = knit_on_loom(rows)
    faults = trace.faults + tuple(find_faults(plan, rows, trace))
    if faults:
        raise NotKnittableError(rows, faults)
    return Knit(plan, rows, trace, _Seal(plan, rows, trace))


def find_faults(plan: Plan, rows: Rows, trace: Trace) -> list[Fault]:
    """The broken rules that the loom itself cannot see."""
    faults: list[Fault] = []
    for check, rule in CHECKS:
        findings = check(plan, rows, trace)
        faults += findings.faults
        if findings.looked_at == 0:
            faults.append(Fault(rule, f"nothing to check: {rule.value}"))
    return faults


def fault_text(rows: Rows, fault: Fault) -> str:
    """One line: section, row, peg, what is wrong, and the rule.

    >>> from charts.loom import Loom
    >>> fault_text(Rows(Loom(24, 15.875, "5/8 in"), ()), Fault(Rule.LOOP_LEFT, "1 loop left"))
    '1 loop left (rule: no loop is left behind)'
    """
    places = []
    if fault.event_index is not None:
        event = rows.events[fault.event_index]
        places.append(event.section.value)
        if isinstance(event, Row):
            places.append(f"row {event.number}" if event.number else "running on")
    if fault.peg is not None:
        places.append(f"peg {fault.peg}")
    place = ", ".join(places)
    text = f"{fault.what} (rule: {fault.rule.value})"
    return f"{place}: {text}" if place else text


def section_counts(rows: Rows) -> dict[Section, int]:
    """Stitches drawn in each section that has rows."""
    counts: Counter[Section] = Counter()
    drawn: dict[str, int] = {}
    for event in rows.events:
        if isinstance(event, Row):
            letters = event.stitches
            if letters not in drawn:
                drawn[letters] = drawn_in(letters)
            counts[event.section] += drawn[letters]
    return dict(counts)


@dataclass(frozen=True)
class Findings:
    faults: list[Fault]
    looked_at: int


def check_plan(plan: Plan, rows: Rows, trace: Trace) -> Findings:
    """The plan's numbers, and those that it prints, against others worked out from the spec."""
    del rows, trace
    due = expected_numbers(plan.spec)
    faults = [
        Fault(Rule.PLAN, f"{name.replace('_', ' ')}: {getattr(plan, name)}, not {number}")
        for name, number in due.items()
        if getattr(plan, name) != number
    ]
    lines = expected_lines(plan.spec)
    faults += [
        Fault(Rule.PLAN, f"the plan prints {line.value} {line.name}, not {lines[line.name]}")
        for line in plan.lines
        if line.name in lines and line.value != lines[line.name]
    ]
    printed = {line.name for line in plan.lines}
    faults += [
        Fault(Rule.PLAN, f"the plan does not print: {name}")
        for name in lines
        if name not in printed
    ]
    return Findings(faults, len(due))


def check_fabric(plan: Plan, rows: Rows, trace: Trace) -> Findings:
    """Each row's pegs and stitches are those that the spec asks for, tiled independently."""
    del trace
    faults: list[Fault] = []
    if rows.loom != plan.loom:
        faults.append(Fault(Rule.FABRIC, "the rows are for another loom than the plan's"))
    expected = expected_rows(plan)
    looked_at = 0
    for index, event in enumerate(rows.events):
        if not isinstance(event, Row):
            continue
        looked_at += 1
        wanted = next(expected, None)
        if wanted is None:
            faults.append(Fault(Rule.FABRIC, "a row too many", index))
            continue
        if (event.section, event.number, event.direction) != wanted[:3]:
            what = f"{wanted[0].value} row {wanted[1]} was due"
            faults.append(Fault(Rule.FABRIC, what, index))
        elif event.pegs != wanted.pegs:
            due = f"pegs {wanted.pegs[0]} to {wanted.pegs[-1]}" if wanted.pegs else "no pegs"
            faults.append(Fault(Rule.FABRIC, f"{due} were due", index))
        elif event.stitches != wanted.stitches:
            faults += [
                Fault(Rule.FABRIC, f"'{is_there}' where '{due}' was due", index, peg)
                for peg, is_there, due in zip(
                    event.pegs, event.stitches, wanted.stitches, strict=False
                )
                if is_there != due
            ]
            if len(event.stitches) != len(wanted.stitches):
                faults.append(Fault(Rule.FABRIC, "a stitch too many or too few", index))
    faults += [
        Fault(Rule.FABRIC, f"{left.section.value} row {left.number} is missing")
        for left in expected
    ]
    return Findings(faults, looked_at)


def check_counts(plan: Plan, rows: Rows, trace: Trace) -> Findings:
    """Stitches by section against the closed sums, and against the loops of the trace."""
    counts, sums = section_counts(rows), expected_counts(plan)
    faults = [
        Fault(Rule.COUNTS, f"{section.value}: {counts.get(section, 0)} stitches, {due} were due")
        for section, due in sums.items()
        if counts.get(section, 0) != due
    ]
    born = len(trace.letter) - sum(map(trace.letter.count, "cBG"))
    if born != sum(sums.values()):
        faults.append(
            Fault(Rule.COUNTS, f"{born} loops drawn, {sum(sums.values())} were due in all")
        )
    return Findings(faults, len(sums))


def check_moves(plan: Plan, rows: Rows, trace: Trace) -> Findings:
    """Moves between rows, in order and each after the row it belongs to."""
    del trace
    found, before = [], 0
    for index, event in enumerate(rows.events):
        if isinstance(event, Row):
            before += 1
        else:
            found.append((before, event, index))
    due = expected_moves(plan)
    faults = [
        Fault(Rule.MOVES, f"not the move that was due here: {wanted[1]}", index)
        for (rows_before, event, index), wanted in zip(found, due, strict=False)
        if (rows_before, event) != wanted
    ]
    if len(found) != len(due):
        faults.append(Fault(Rule.MOVES, f"{len(found)} moves, {len(due)} were due"))
    return Findings(faults, len(found))


def check_rib_in_phase(plan: Plan, rows: Rows, trace: Trace) -> Findings:
    """Where the rib runs on into the leg, each of its pegs goes on with the same stitch."""
    del trace
    cuff = [event for event in rows.of(Section.CUFF) if isinstance(event, Row) and event.number]
    leg = [event for event in rows.of(Section.LEG) if isinstance(event, Row)]
    if plan.spec.leg.flanks is not Flanks.RIB or not leg or not cuff:
        return Findings([], len(cuff))
    above = dict(zip(cuff[-1].pegs, cuff[-1].stitches, strict=False))
    first = plan.heel_pegs + 1
    side = (plan.instep_pegs - plan.panel_pegs) // 2
    flank = {plan.peg(place) for place in range(first, first + side)}
    flank |= {plan.peg(plan.loom.pegs - place) for place in range(side)}
    faults = []
    for index, event in enumerate(rows.events):
        if isinstance(event, Row) and event.section is Section.LEG:
            faults += [
                Fault(Rule.IN_PHASE, "the rib does not go on from the cuff", index, peg)
                for peg, letter in zip(event.pegs, event.stitches, strict=False)
                if peg in flank and letter != above.get(peg)
            ]
    return Findings(faults, len(flank) * len(leg) + len(cuff))


def check_centred(plan: Plan, rows: Rows, trace: Trace) -> Findings:
    """Heel, turn, toe and instep share one centre line, and so does the rib above the instep.

    Centres are compared as sums of first and last place, so that half pegs count.
    """
    del trace
    total = plan.loom.pegs
    centre_line = 1 + plan.heel_pegs
    faults = []
    spans: dict[str, tuple[int, int]] = {}
    for section, name in (
        (Section.FLAP, "heel flap"),
        (Section.TURN, "turn"),
        (Section.TOE, "toe"),
    ):
        places = {
            (peg - plan.shift - 1) % total + 1
            for event in rows.of(section)
            if isinstance(event, Row)
            for peg in event.pegs
        }
        if places:
            spans[name] = (min(places), max(places))
    for name, (first, last) in spans.items():
        if first + last != centre_line:
            faults.append(Fault(Rule.CENTRED, f"the {name} is not centred on the heel"))
    chosen = plan.spec.leg.round_start_shift is not None
    ribbed = plan.spec.leg.flanks is Flanks.RIB
    side = (plan.instep_pegs - plan.panel_pegs) // 2
    leg = [event for event in rows.of(Section.LEG) if isinstance(event, Row)]
    if ribbed and not chosen and leg:
        instep = leg[0].stitches[plan.heel_pegs :]
        if instep[:side] != instep[::-1][:side]:
            faults.append(Fault(Rule.CENTRED, "the rib differs at the two edges of the instep"))
    if (plan.instep_pegs - plan.panel_pegs) % 2 and plan.panel is not None:
        faults.append(Fault(Rule.CENTRED, "the panel is half a peg off the instep's centre"))
    return Findings(faults, len(spans))


def check_all_live(plan: Plan, rows: Rows, trace: Trace) -> Findings:
    """When the foot begins every peg is live, with one loop and the lifted bars."""
    bars = 4 if plan.spec.gusset.corner_bars else 2
    gusset = [i for i, event in enumerate(rows.events) if event.section is Section.GUSSET]
    if not gusset:
        return Findings([], 0)
    state = trace.states[gusset[-1]]
    faults = []
    if state.live_pegs != plan.loom.pegs:
        dead = plan.loom.pegs - state.live_pegs
        faults.append(Fault(Rule.ALL_LIVE, f"{dead} pegs without a loop", gusset[-1]))
    if state.loops != plan.loom.pegs + bars:
        what = f"{state.loops} loops, {plan.loom.pegs} and {bars} bars were due"
        faults.append(Fault(Rule.ALL_LIVE, what, gusset[-1]))
    return Findings(faults, 1)


def check_graft_pairs(plan: Plan, rows: Rows, trace: Trace) -> Findings:
    """Grafted loops face each other when the toe is folded up under the instep.

    Folding carries place a onto place b where a + b, counted round the ring, is the same for all
    pairs.
    """
    del trace
    total = plan.loom.pegs
    first, last = plan.toe_offset + 1, plan.toe_offset + plan.toe_pegs
    faults = []
    looked_at = 0
    for index, event in enumerate(rows.events):
        if not isinstance(event, Graft):
            continue
        for number, (front, back) in enumerate(event.pairs):
            looked_at += 1
            front_place = (front - plan.shift - 1) % total + 1
            back_place = (back - plan.shift - 1) % total + 1
            if not first <= back_place <= last:
                faults.append(Fault(Rule.GRAFT_PAIRS, "not a loop of the toe", index, back))
            elif (
                back_place != first + number
                or (front_place + back_place) % total != (2 * first - 1) % total
            ):
                what = f"pegs {front} and {back} do not lie opposite each other"
                faults.append(Fault(Rule.GRAFT_PAIRS, what, index, front))
        if looked_at != plan.toe_pegs:
            what = f"{looked_at} pairs for {plan.toe_pegs} toe pegs"
            faults.append(Fault(Rule.GRAFT_PAIRS, what, index))
    return Findings(faults, looked_at)


Check = Callable[[Plan, Rows, Trace], Findings]

CHECKS: tuple[tuple[Check, Rule], ...] = (
    (check_plan, Rule.PLAN),
    (check_fabric, Rule.FABRIC),
    (check_counts, Rule.COUNTS),
    (check_moves, Rule.MOVES),
    (check_rib_in_phase, Rule.IN_PHASE),
    (check_centred, Rule.CENTRED),
    (check_all_live, Rule.ALL_LIVE),
    (check_graft_pairs, Rule.GRAFT_PAIRS),
)
"""What is checked beside the knitting itself, with the rule that each stands for."""
