"""The virtual loom: knits rows and moves, following every loop until something is drawn through it.

It knows pegs, holders, needles, edge loops and the stitch table; what sock they are meant to make
is for `verify` to say.  It never stops at a mistake: it notes the broken rule and goes on as a
knitter would who has not noticed, so that all mistakes of a pattern are found in one run.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from typing import NamedTuple

from charts.loom import Loom, PegNumber
from charts.rows import (
    CastOn,
    Event,
    Graft,
    Hold,
    Holder,
    LiftBar,
    Needle,
    Rehang,
    Row,
    Rows,
    Shift,
    TakeOff,
    event_pegs,
)
from charts.stitches import STITCHES, CrossError, Effect, crosses


class Rule(Enum):
    """The rules that a sock can break."""

    YARN_JUMPS = "the yarn goes from peg to neighbouring peg"
    OPEN_TURN = "a row that turns back leaves no hole"
    EMPTY_PEG = "a stitch needs a loop on its peg"
    PASSED_LOOP = "a peg passed as empty has no loop"
    OVERLOADED = "a plain stitch takes the one loop of its peg"
    TURNED_STITCH = "both strands of a turned stitch are worked as one"
    WRAPPED_PEG = "a wrapped peg is worked with its wraps"
    TWO_AS_ONE = "two loops worked as one are the two that were hung there"
    CROSS = "a cable cross is whole"
    HOLDER = "a held loop goes on and comes off its holder in order"
    EDGE_LOOPS = "there is one edge loop for each gusset peg"
    BAR = "a bar is lifted onto a peg at its end"
    SHIFT = "a loop is moved onto a neighbour that has one loop"
    TAKE_OFF = "each loop is taken off once, as one plain loop"
    GRAFT = "loops are grafted in the order of the needles"
    LOOP_LEFT = "no loop is left behind"
    PLAN = "the numbers of the plan follow from the spec"
    FABRIC = "the fabric is the one that was asked for"
    COUNTS = "the sections have the stitches they were planned with"
    MOVES = "the moves between rows are the ones that were planned"
    IN_PHASE = "the rib runs from the cuff into the leg without a step"
    CENTRED = "heel, panel, rib and toe are centred on each other"
    ALL_LIVE = "every peg is live when the foot begins"
    GRAFT_PAIRS = "grafted loops lie opposite each other"


@dataclass(frozen=True)
class Fault:
    """One broken rule, and where."""

    rule: Rule
    what: str
    event_index: int | None = None
    peg: PegNumber | None = None


class State(NamedTuple):
    """The loom after an event."""

    yarn_peg: PegNumber | None
    """Where the yarn hangs; None once it is used up by the graft."""
    live_pegs: int
    loops: int
    """Loops on pegs; a turned stitch counts as one."""
    held_near: int
    held_far: int
    on_front: int
    on_back: int


@dataclass(frozen=True)
class LoomStart:
    """A loom in the middle of a sock, as a page that tells one part of it says."""

    yarn_peg: PegNumber
    live: tuple[PegNumber, ...]
    """Pegs with one loop each."""
    edge_loops: tuple[tuple[PegNumber, int], ...] = ()
    """Pegs at the flap's edges and how many edge loops hang there, all of them worked."""


@dataclass(frozen=True)
class Trace:
    """What happened: each loop by the event and peg of its birth, and the loom after each event.

    The four loop columns are parallel; a loop's number is its index in them.
    """

    rows: Rows
    born_event: tuple[int, ...]
    born_peg: tuple[PegNumber, ...]
    letter: tuple[str, ...]
    """The stitch that made the loop; "c" cast on, "B" a lifted bar, "G" an edge loop hung back, "a"
    one that was there at the start."""
    drawn_through: tuple[tuple[int, ...], ...]
    """The loops that it was drawn through, or for a hung-back loop the edge loop itself."""
    states: tuple[State, ...]
    """One an event."""
    faults: tuple[Fault, ...]


def knit_on_loom(rows: Rows, *, start: LoomStart | None = None, to_the_end: bool = True) -> Trace:
    """Knit everything; broken rules are listed in the trace's `faults`.

    It begins on an empty loom unless a `start` is given; `to_the_end` if no loop may be left.
    """
    machine = _Machine(rows.loom)
    if start is not None:
        machine.begin(start)
    for index, event in enumerate(rows.events):
        machine.do(index, event)
    if to_the_end:
        machine.finish()
    return Trace(
        rows,
        tuple(machine.born_event),
        tuple(machine.born_peg),
        tuple(machine.letter),
        tuple(machine.drawn_through),
        tuple(machine.states),
        tuple(machine.faults),
    )


_PLAIN = frozenset(
    letter for letter, stitch in STITCHES.items() if stitch.effect in (Effect.KNIT, Effect.PURL)
)
_STRETCHES = re.compile("[{0}]+|[^{0}]+".format(re.escape("".join(sorted(_PLAIN)))))
"""Plain stitches, and those between them."""
_TURNING = frozenset(letter for letter, stitch in STITCHES.items() if stitch.turns)
_CROSS = frozenset(letter for letter, stitch in STITCHES.items() if stitch.cross)


class _Machine:
    def __init__(self, loom: Loom) -> None:
        self.loom = loom
        self.ring = frozenset(range(1, loom.pegs + 1))
        self.on: list[list[int]] = [[] for _ in range(loom.pegs + 1)]
        self.wrapped: set[int] = set()
        self.turned: set[int] = set()
        self.shifted: dict[int, tuple[PegNumber, PegNumber]] = {}
        """A moved loop: where it came from and where it went."""
        self.holders: dict[Holder, list[int]] = {holder: [] for holder in Holder}
        self.needles: dict[Needle, list[int]] = {needle: [] for needle in Needle}
        self.edge_loops: dict[int, list[int]] = {}
        self.used: set[int] = set()
        """Edge loops that something has been drawn through."""
        self.watched: set[int] = set()
        """Edge loops still waiting to be drawn through."""
        self.yarn: PegNumber | None = None
        self.joins_in = False
        """Whether the next row is the first, on a loom that was knitted on before."""
        self.last_row: Row | None = None
        self.born_event: list[int] = []
        self.born_peg: list[PegNumber] = []
        self.letter: list[str] = []
        self.drawn_through: list[tuple[int, ...]] = []
        self.states: list[State] = []
        self.faults: list[Fault] = []
        self.runs: dict[tuple[PegNumber, int, int], tuple[PegNumber, ...]] = {}
        self.index = 0
        self.live = 0
        self.loops = 0
        self.stitch_effects: dict[str, Callable[[Row, PegNumber, str], None]] = {
            letter: {
                Effect.KNIT: self.plain,
                Effect.PURL: self.plain,
                Effect.SLIP: self.slip,
                Effect.TURNED: self.turn,
                Effect.RESOLVE: self.resolve,
                Effect.WRAP: self.wrap,
                Effect.UNWRAP: self.unwrap,
                Effect.GATHER: self.gather,
                Effect.JOIN: self.join,
                Effect.EMPTY: self.pass_empty,
            }[stitch.effect]
            for letter, stitch in STITCHES.items()
        }

    def fault(self, rule: Rule, what: str, peg: PegNumber | None = None) -> None:
        self.faults.append(Fault(rule, what, self.index, peg))

    def begin(self, start: LoomStart) -> None:
        """The loom as it is when the first row or move begins."""
        self.index = -1
        for peg in start.live:
            self.put(peg, self.new_loop(peg, "a", ()))
        for peg, count in start.edge_loops:
            loops = [self.new_loop(peg, "a", ()) for _ in range(count)]
            self.edge_loops[peg] = loops
            self.used.update(loops)
        self.yarn = start.yarn_peg
        self.joins_in = True

    def do(self, index: int, event: Event) -> None:
        self.index = index
        pegs = event_pegs(event)
        if self.ring.issuperset(pegs):
            self.work(event)
        else:
            stranger = next(peg for peg in pegs if peg not in self.ring)
            self.fault(Rule.FABRIC, "there is no such peg on the loom", stranger)
        self.states.append(self.state())

    def work(self, event: Event) -> None:
        match event:
            case Row():
                self.row(event)
            case CastOn():
                self.cast_on(event)
            case Hold():
                self.hold(event)
            case Rehang():
                self.rehang(event)
            case LiftBar():
                self.lift_bar(event)
            case Shift():
                self.shift(event)
            case TakeOff():
                self.take_off(event)
            case Graft():
                self.graft(event)

    def state(self) -> State:
        return State(
            self.yarn,
            self.live,
            self.loops,
            len(self.holders[Holder.NEAR]),
            len(self.holders[Holder.FAR]),
            len(self.needles[Needle.FRONT]),
            len(self.needles[Needle.BACK]),
        )

    def finish(self) -> None:
        """Everything must be off the loom, the holders and the needles."""
        for number, stack in enumerate(self.on):
            if stack:
                self.fault(
                    Rule.LOOP_LEFT, f"{len(stack)} loop(s) left on the peg", PegNumber(number)
                )
        for holder, held in self.holders.items():
            if held:
                self.fault(Rule.LOOP_LEFT, f"{len(held)} loop(s) left on the {holder.value} holder")
        for needle, loops in self.needles.items():
            if loops:
                self.fault(
                    Rule.LOOP_LEFT, f"{len(loops)} loop(s) left on the {needle.value} needle"
                )

    # Loops

    def new_loop(self, peg: PegNumber, letter: str, through: tuple[int, ...]) -> int:
        self.born_event.append(self.index)
        self.born_peg.append(peg)
        self.letter.append(letter)
        self.drawn_through.append(through)
        if self.watched:
            for loop in through:
                if loop in self.watched:
                    self.watched.discard(loop)
                    self.used.add(loop)
        return len(self.letter) - 1

    def draw_through_all(self, peg: PegNumber, letter: str) -> int:
        """A new loop drawn through everything on the peg; it is then alone there."""
        stack = self.on[peg]
        if not stack:
            self.live += 1
        self.loops += 1 - len(stack)
        loop = self.new_loop(peg, letter, tuple(stack))
        for old in stack:
            self.turned.discard(old)
            self.shifted.pop(old, None)
        self.wrapped.discard(peg)
        self.on[peg] = [loop]
        return loop

    def single(self, peg: PegNumber, doing: str) -> bool:
        """Whether one plain loop is on the peg; notes what is wrong if not."""
        stack = self.on[peg]
        if not stack:
            self.fault(Rule.EMPTY_PEG, f"{doing} on an empty peg", peg)
            return False
        if len(stack) > 1:
            self.fault(Rule.OVERLOADED, f"{doing} on a peg with {len(stack)} loops", peg)
            return False
        if stack[0] in self.turned:
            self.fault(Rule.TURNED_STITCH, f"{doing} on one strand of a turned stitch", peg)
            return False
        if peg in self.wrapped:
            self.fault(Rule.WRAPPED_PEG, f"{doing} without the peg's wraps", peg)
            return False
        return True

    # Rows

    def row(self, row: Row) -> None:
        unknown = set(row.stitches) - STITCHES.keys()
        if unknown:
            self.fault(Rule.FABRIC, f"no such stitch: {''.join(sorted(unknown))}")
            return
        if len(row.pegs) != len(row.stitches) or not row.pegs:
            self.fault(Rule.YARN_JUMPS, "a row needs one stitch for each of its pegs")
            return
        self.check_start(row)
        if not _CROSS.isdisjoint(row.stitches):
            self.swap_crosses(row)
        for stretch in _STRETCHES.finditer(row.stitches):
            if not self.plain_stretch(row, *stretch.span()):
                self.stitch_by_stitch(row, *stretch.span())
        if not _TURNING.isdisjoint(row.stitches[:-1]):
            for letter in row.stitches[:-1]:
                if letter in _TURNING:
                    self.fault(Rule.OPEN_TURN, f"{STITCHES[letter].name} before the end of the row")
        self.yarn = row.pegs[-1]
        self.last_row = row

    def plain_stretch(self, row: Row, first: int, after: int) -> bool:
        """Works those stitches of the row if they are plain, on neighbouring pegs with one loop
        each; if they are not, does nothing and returns False.

        As `stitch_by_stitch` would, at once: nearly all stitches come this way.
        """
        pegs, letters = row.pegs[first:after], row.stitches[first:after]
        reached = row.pegs[max(first - 1, 0) : after]
        if not (
            letters[0] in _PLAIN
            and self.wrapped.isdisjoint(pegs)
            and len(pegs) <= self.loom.pegs
            and reached == self.neighbours(reached[0], row.direction, len(reached))
        ):
            return False
        stacks = [self.on[peg] for peg in pegs]
        olds = [stack[0] for stack in stacks if len(stack) == 1]
        if len(olds) < len(stacks) or not self.turned.isdisjoint(olds):
            return False
        born = len(self.letter)
        self.born_event += [self.index] * len(olds)
        self.born_peg += pegs
        self.letter += letters
        self.drawn_through += zip(olds)
        for loop, stack in enumerate(stacks, start=born):
            stack[0] = loop
        if self.watched:
            drawn = self.watched.intersection(olds)
            self.watched -= drawn
            self.used |= drawn
        return True

    def neighbours(self, first: PegNumber, direction: int, count: int) -> tuple[PegNumber, ...]:
        """So many pegs from that one on, round the ring."""
        key = (first, direction, count)
        if key not in self.runs:
            self.runs[key] = tuple(
                self.loom.wrap(first + direction * step) for step in range(count)
            )
        return self.runs[key]

    def stitch_by_stitch(self, row: Row, first: int, after: int) -> None:
        """Works those stitches of the row."""
        for index in range(first, after):
            peg, letter = row.pegs[index], row.stitches[index]
            if index and (peg - row.pegs[index - 1] - row.direction) % self.loom.pegs:
                what = f"the yarn jumps from peg {row.pegs[index - 1]}"
                self.fault(Rule.YARN_JUMPS, what, peg)
            self.stitch_effects[letter](row, peg, letter)

    def check_start(self, row: Row) -> None:
        """The row starts where the yarn is, and a turn back closes its gap."""
        if self.yarn is None:
            self.fault(Rule.YARN_JUMPS, "there is no yarn yet", row.pegs[0])
            return
        first, last = row.pegs[0], self.last_row
        running_on = last is None or last.direction == row.direction
        ahead = (first - self.yarn) * row.direction % self.loom.pegs
        if self.joins_in:
            # Which way the row before ran is not known: it may have ended on this very peg.
            self.joins_in = False
            if ahead not in (0, 1):
                self.fault(Rule.YARN_JUMPS, f"the yarn hangs at peg {self.yarn}", first)
            if ahead == 0 and row.stitches[0] == "s":
                self.note_edge_loop(first)
            return
        if running_on:
            if ahead != 1:
                self.fault(Rule.YARN_JUMPS, f"the yarn hangs at peg {self.yarn}", first)
            if last is not None and STITCHES[last.stitches[-1]].turns:
                self.fault(Rule.OPEN_TURN, "the row before this one turned back", first)
            return
        assert last is not None
        ended, starts = last.stitches[-1], row.stitches[0]
        if ahead == 0:
            # On the same peg again: the edge of a flap, after a join, or after the last wrap.
            if starts != "s" and ended not in "jW":
                self.fault(Rule.OPEN_TURN, "the first stitch after the turn is not slipped", first)
            elif ended == "W" and self.loom.wrap(first - row.direction) in self.wrapped:
                self.fault(Rule.OPEN_TURN, "the next wrapped peg is not wrapped again", first)
            if starts == "s":
                self.note_edge_loop(first)
        elif ahead == 1:
            if ended not in "twd":
                self.fault(Rule.OPEN_TURN, f"nothing closes the turn at peg {self.yarn}", first)
        else:
            self.fault(Rule.YARN_JUMPS, f"the yarn hangs at peg {self.yarn}", first)

    def note_edge_loop(self, peg: PegNumber) -> None:
        stack = self.on[peg]
        if len(stack) == 1:
            self.edge_loops.setdefault(peg, []).append(stack[0])
            self.watched.add(stack[0])

    def swap_crosses(self, row: Row) -> None:
        """Move the loops of every cable cross before any of its pegs is worked."""
        rightward = row.direction == self.loom.rightward
        letters = row.stitches if rightward else row.stitches[::-1]
        pegs = row.pegs if rightward else row.pegs[::-1]
        try:
            found = crosses(letters)
        except CrossError as error:
            self.fault(Rule.CROSS, error.what, pegs[error.index])
            return
        for start, left, right in found:
            group = pegs[start : start + left + right]
            if any(len(self.on[peg]) != 1 for peg in group):
                self.fault(Rule.CROSS, "a strand of the cross has not one loop", group[0])
                continue
            loops = [self.on[peg] for peg in group]
            for peg, stack in zip(group, loops[left:] + loops[:left], strict=True):
                self.on[peg] = stack

    # Stitches

    def plain(self, row: Row, peg: PegNumber, letter: str) -> None:
        del row
        self.single(peg, STITCHES[letter].verb)
        self.draw_through_all(peg, letter)

    def slip(self, row: Row, peg: PegNumber, letter: str) -> None:
        del row, letter
        self.single(peg, "slip")

    def turn(self, row: Row, peg: PegNumber, letter: str) -> None:
        del row
        self.single(peg, "knit and turn")
        self.turned.add(self.draw_through_all(peg, letter))

    def resolve(self, row: Row, peg: PegNumber, letter: str) -> None:
        del row
        stack = self.on[peg]
        if len(stack) != 1 or stack[0] not in self.turned:
            self.fault(Rule.TURNED_STITCH, "there is no turned stitch on the peg", peg)
        self.draw_through_all(peg, letter)

    def wrap(self, row: Row, peg: PegNumber, letter: str) -> None:
        del row, letter
        if len(self.on[peg]) != 1:
            self.fault(Rule.EMPTY_PEG, "a wrap needs one loop on its peg", peg)
        elif self.on[peg][0] in self.turned:
            self.fault(Rule.TURNED_STITCH, "a turned stitch is wrapped", peg)
        self.wrapped.add(peg)

    def unwrap(self, row: Row, peg: PegNumber, letter: str) -> None:
        del row
        if peg not in self.wrapped:
            self.fault(Rule.WRAPPED_PEG, "there is no wrap on the peg", peg)
        if len(self.on[peg]) != 1:
            self.fault(Rule.EMPTY_PEG, "a wrapped peg has one loop", peg)
        self.draw_through_all(peg, letter)

    def gather(self, row: Row, peg: PegNumber, letter: str) -> None:
        del row
        stack = self.on[peg]
        if len(stack) != 2:
            self.fault(Rule.TWO_AS_ONE, f"{len(stack)} loop(s) on the peg, not two", peg)
        elif letter == "b":
            if self.letter[stack[1]] != "B":
                self.fault(Rule.TWO_AS_ONE, "the second loop is not a lifted bar", peg)
        else:
            moved = self.shifted.get(stack[1])
            from_right = moved is not None and self.is_right_of(moved[0], moved[1])
            if moved is None or from_right != (letter == "\\"):
                self.fault(Rule.TWO_AS_ONE, "the loop on top is not the neighbour named", peg)
        self.draw_through_all(peg, letter)

    def is_right_of(self, peg: PegNumber, other: PegNumber) -> bool:
        return (peg - other) % self.loom.pegs == self.loom.rightward % self.loom.pegs

    def join(self, row: Row, peg: PegNumber, letter: str) -> None:
        self.single(peg, "join")
        self.draw_through_all(peg, "k")
        holder = Holder.FAR if row.direction > 0 else Holder.NEAR
        held = self.holders[holder]
        if not held:
            self.fault(Rule.HOLDER, f"no loop is left on the {holder.value} holder", peg)
            return
        loop = held.pop()
        distance = self.distance_ahead(row, peg, loop)
        if any(self.distance_ahead(row, peg, other) < distance for other in held):
            self.fault(Rule.HOLDER, "the nearest held loop does not come off first", peg)
        self.on[peg].append(loop)
        self.loops += 1
        self.draw_through_all(peg, letter)

    def distance_ahead(self, row: Row, peg: PegNumber, loop: int) -> int:
        return (self.born_peg[loop] - peg) * row.direction % self.loom.pegs

    def pass_empty(self, row: Row, peg: PegNumber, letter: str) -> None:
        del row, letter
        if self.on[peg]:
            self.fault(Rule.PASSED_LOOP, "the yarn passes behind a peg that has a loop", peg)

    # Moves

    def cast_on(self, move: CastOn) -> None:
        previous: int | None = None
        for peg in move.pegs:
            if self.on[peg]:
                self.fault(Rule.OVERLOADED, "cast on over a loop", peg)
            if previous is not None and peg != self.loom.wrap(previous + 1):
                self.fault(Rule.YARN_JUMPS, f"the cast-on jumps from peg {previous}", peg)
            self.put(peg, self.new_loop(peg, "c", ()))
            previous = peg
        self.yarn = move.pegs[-1] if move.pegs else None

    def put(self, peg: PegNumber, loop: int) -> None:
        self.live += not self.on[peg]
        self.loops += 1
        self.on[peg].append(loop)

    def lift_off(self, peg: PegNumber, rule: Rule) -> list[int]:
        """All loops of the peg, which is then empty; notes a fault unless it is one plain loop."""
        stack = self.on[peg]
        if len(stack) != 1:
            self.fault(rule, f"{len(stack)} loop(s) on the peg, not one", peg)
        elif stack[0] in self.turned:
            self.fault(Rule.TURNED_STITCH, "a turned stitch was never worked as one", peg)
        elif peg in self.wrapped:
            self.fault(Rule.WRAPPED_PEG, "a wrap was never worked", peg)
        self.live -= bool(stack)
        self.loops -= len(stack)
        self.on[peg] = []
        return stack

    def hold(self, move: Hold) -> None:
        for peg in move.pegs:
            self.holders[move.holder] += self.lift_off(peg, Rule.HOLDER)

    def rehang(self, move: Rehang) -> None:
        edge = self.edge_loops.pop(move.edge_peg, [])
        if len(edge) != len(move.pegs):
            self.fault(
                Rule.EDGE_LOOPS,
                f"{len(edge)} edge loops for {len(move.pegs)} gusset pegs",
                move.edge_peg,
            )
        step = 1 if move.holder is Holder.NEAR else -1
        inward = tuple(self.loom.wrap(move.edge_peg + step * k) for k in range(len(move.pegs)))
        if move.pegs != inward:
            self.fault(Rule.EDGE_LOOPS, "the edge loops would cross each other", move.edge_peg)
        for loop, peg in zip(edge, move.pegs, strict=False):
            if loop not in self.used:
                self.fault(Rule.EDGE_LOOPS, "the edge loop is still in use", peg)
            if self.on[peg]:
                self.fault(Rule.OVERLOADED, "an edge loop is hung on a peg with a loop", peg)
            self.put(peg, self.new_loop(peg, "G", (loop,)))

    def lift_bar(self, move: LiftBar) -> None:
        low, high = move.between
        if high != self.loom.wrap(low + 1) or move.peg not in move.between:
            self.fault(Rule.BAR, f"there is no bar from peg {low} to peg {high} here", move.peg)
        if len(self.on[move.peg]) != 1:
            self.fault(Rule.BAR, "the bar needs one loop on its peg to be worked with", move.peg)
        self.put(move.peg, self.new_loop(move.peg, "B", ()))

    def shift(self, move: Shift) -> None:
        if (move.from_peg - move.to_peg) % self.loom.pegs not in (1, self.loom.pegs - 1):
            self.fault(Rule.SHIFT, "the loop is moved past a peg", move.to_peg)
        if len(self.on[move.to_peg]) != 1:
            self.fault(Rule.SHIFT, "the neighbour has not one loop", move.to_peg)
        for loop in self.lift_off(move.from_peg, Rule.SHIFT):
            self.shifted[loop] = (move.from_peg, move.to_peg)
            self.put(move.to_peg, loop)

    def take_off(self, move: TakeOff) -> None:
        for peg in move.pegs:
            self.needles[move.needle] += self.lift_off(peg, Rule.TAKE_OFF)

    def graft(self, move: Graft) -> None:
        front, back = self.needles[Needle.FRONT], self.needles[Needle.BACK]
        if len(front) != len(back):
            self.fault(Rule.GRAFT, f"{len(front)} loops in front and {len(back)} at the back")
        if move.pairs and self.yarn != move.pairs[0][1]:
            self.fault(Rule.YARN_JUMPS, f"the yarn hangs at peg {self.yarn}", move.pairs[0][1])
        for front_peg, back_peg in move.pairs:
            for loops, end, peg in ((front, 0, front_peg), (back, -1, back_peg)):
                if not loops or self.born_peg[loops[end]] != peg:
                    self.fault(Rule.GRAFT, "the loop is not the next one on its needle", peg)
                if loops:
                    loops.pop(end)
        self.yarn = None
