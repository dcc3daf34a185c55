"""A sock as rewriting: every stitch replaces what hangs on its peg by what it makes of it.

This is a second model of the loom, made to disagree with the first wherever one of the two is
wrong.  It shares only the records of rows and moves with the package, and has a table of stitches
of its own.  The first model goes from peg to peg with counters and notes faults as it goes on; this
one has no counters and no faults:

- a place (a peg, a holder, a needle) holds a word, a tuple of hanging things;
- a stitch is a rule "this word becomes that word", and it applies or it does not;
- a sock is a chain of such steps, each from one frozen fabric to the next;
- loops are nested records: a loop *is* what it was drawn through, so the finished chain is the
  fabric as a graph.

`rewrite(rows)` gives the fabrics after each event, or raises `NoRuleError` at the first step that
no rule allows.  The rules are common practice, no published source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import NamedTuple

from charts.loom import Loom, Working
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


class NoRuleError(Exception):
    """Raised when what should be done cannot be done with what hangs there."""


@dataclass(frozen=True, eq=False)
class Loop:
    """A loop, and the loops that it was drawn through."""

    tick: int
    """Index of its event."""
    peg: int
    through: tuple[Loop, ...] = ()


class Hung(NamedTuple):
    """A thing on a peg: what it is, and its loop; a wrap has none."""

    kind: str
    """ "plain", "turned", "bar", "wrap", "from left", "from right"."""
    loop: Loop | None


Word = tuple[Hung, ...]


class StitchRule(NamedTuple):
    """A word of kinds as a regular expression over `kind;kind;`, and what one new loop is."""

    takes: str
    makes: str


RULES = {
    **dict.fromkeys("kuepRrLl", StitchRule("plain;", "plain")),
    "t": StitchRule("plain;", "turned"),
    "d": StitchRule("turned;", "plain"),
    "W": StitchRule("plain;(wrap;)+", "plain"),
    "b": StitchRule("plain;bar;", "plain"),
    "/": StitchRule("plain;from left;", "plain"),
    "\\": StitchRule("plain;from right;", "plain"),
}
"""Stitches that draw one loop through all that hangs on the peg."""
KEEPS = {"s": "plain;", "x": "", "w": "plain;(wrap;)*"}
"""Stitches that draw none: slip, pass behind an empty peg, wrap."""
TURNS_BACK = "tw"


@dataclass(frozen=True)
class Fabric:
    """Everything that hangs somewhere, and where the yarn is."""

    pegs: tuple[Word, ...]
    """By peg number from 1; the first is not used."""
    holders: tuple[tuple[Holder, tuple[Loop, ...]], ...] = ()
    needles: tuple[tuple[Needle, tuple[Loop, ...]], ...] = ()
    edges: tuple[tuple[int, tuple[Loop, ...]], ...] = ()
    """Loops slipped at the start of a row that goes back, by the peg they were slipped at."""
    worked: frozenset[int] = frozenset()
    """The `id` of every loop that something was drawn through."""
    yarn: int | None = None
    last: Row | None = None
    made: tuple[Loop, ...] = ()
    """The loops of the last event, in the order they were made."""

    @property
    def loops(self) -> int:
        return sum(hung.kind != "wrap" for word in self.pegs for hung in word)

    @property
    def live(self) -> int:
        return sum(bool(word) for word in self.pegs)

    def held(self, holder: Holder) -> tuple[Loop, ...]:
        return dict(self.holders).get(holder, ())

    def on_needle(self, needle: Needle) -> tuple[Loop, ...]:
        return dict(self.needles).get(needle, ())


def rewrite(rows: Rows) -> Iterator[Fabric]:
    """The fabric after each event.  Raises NoRuleError; at the end too, if something is left."""
    fabric = Fabric(((),) * (rows.loom.pegs + 1))
    for tick, event in enumerate(rows.events):
        if any(not 1 <= peg <= rows.loom.pegs for peg in event_pegs(event)):
            raise NoRuleError("no such peg")
        fabric = _step(rows.loom, replace(fabric, made=()), tick, event)
        yield fabric
    left = (*fabric.pegs, *(loops for _, loops in (*fabric.holders, *fabric.needles)))
    if any(left):
        raise NoRuleError("something is left")


def _step(loom: Loom, fabric: Fabric, tick: int, event: Event) -> Fabric:
    match event:
        case Row():
            return _row(loom, fabric, tick, event)
        case CastOn():
            return _cast_on(loom, fabric, tick, event)
        case Hold() | TakeOff():
            return _lift(fabric, event)
        case Rehang():
            return _rehang(loom, fabric, tick, event)
        case LiftBar():
            low, high = event.between
            _need(event.peg in (low, high) and high == low % loom.pegs + 1, "no such bar")
            _need(len(fabric.pegs[event.peg]) == 1, "a bar beside one loop")
            bar = Loop(tick, event.peg)
            return _hang(replace(fabric, made=(bar,)), event.peg, Hung("bar", bar))
        case Shift():
            return _shift(loom, fabric, event)
        case Graft():
            return _graft(fabric, event)


def _need(holds: bool, what: str) -> None:
    if not holds:
        raise NoRuleError(what)


def _kinds(word: Word) -> str:
    return "".join(f"{hung.kind};" for hung in word)


def _write(fabric: Fabric, peg: int, word: Word) -> Fabric:
    return replace(fabric, pegs=(*fabric.pegs[:peg], word, *fabric.pegs[peg + 1 :]))


def _hang(fabric: Fabric, peg: int, hung: Hung) -> Fabric:
    return _write(fabric, peg, (*fabric.pegs[peg], hung))


# --- Rows ------------------------------------------------------------------------------------


def _row(loom: Loom, fabric: Fabric, tick: int, row: Row) -> Fabric:
    _need(len(row.pegs) == len(row.stitches) > 0, "one stitch a peg")
    path = [(peg * row.direction) % loom.pegs for peg in row.pegs]
    steps = {(after - before) % loom.pegs for before, after in pairwise(path)}
    _need(steps <= {1 % loom.pegs}, "the yarn jumps")
    _need(not set(row.stitches[:-1]) & set(TURNS_BACK), "a turn inside the row")
    fabric = _crossed(loom, _begun(loom, fabric, row), row)
    made: list[Loop] = []
    words = list(fabric.pegs)
    holders = dict(fabric.holders)
    for peg, letter in zip(row.pegs, row.stitches, strict=True):
        word = words[peg]
        if letter in KEEPS:
            _need(re.fullmatch(KEEPS[letter], _kinds(word)) is not None, f"no rule for {letter}")
            if letter == "w":
                words[peg] = (*word, Hung("wrap", None))
            continue
        if letter == "j":
            _need(_kinds(word) == "plain;", "a join on one plain loop")
            knit = Loop(tick, peg, _loops(word))
            holder = Holder.FAR if row.direction > 0 else Holder.NEAR
            waiting = holders.get(holder, ())
            _need(bool(waiting), "the holder is empty")
            *rest, nearest = waiting
            ahead = [(loop.peg - peg) * row.direction % loom.pegs for loop in waiting]
            _need(min(ahead) == ahead[-1], "another held loop is nearer")
            holders[holder] = tuple(rest)
            joined = Loop(tick, peg, (knit, nearest))
            made += (knit, joined)
            words[peg] = (Hung("plain", joined),)
            continue
        _need(letter in RULES, "no such stitch")
        rule = RULES[letter]
        _need(re.fullmatch(rule.takes, _kinds(word)) is not None, f"no rule for {letter}")
        loop = Loop(tick, peg, _loops(word))
        made.append(loop)
        words[peg] = (Hung(rule.makes, loop),)
    drawn = {id(parent) for loop in made for parent in loop.through}
    return replace(
        fabric,
        pegs=tuple(words),
        holders=tuple(holders.items()),
        worked=fabric.worked | drawn,
        yarn=row.pegs[-1],
        last=row,
        made=tuple(made),
    )


def _loops(word: Word) -> tuple[Loop, ...]:
    return tuple(hung.loop for hung in word if hung.loop is not None)


def _begun(loom: Loom, fabric: Fabric, row: Row) -> Fabric:
    """The row begins where the yarn hangs: on the next peg, or back over the peg it came from."""
    _need(fabric.yarn is not None, "no yarn")
    assert fabric.yarn is not None
    first = row.pegs[0]
    beside = fabric.yarn % loom.pegs + 1 if row.direction > 0 else (fabric.yarn - 2) % loom.pegs + 1
    last = fabric.last
    if last is None or last.direction == row.direction:
        _need(first == beside, "the yarn is elsewhere")
        _need(last is None or last.stitches[-1] not in TURNS_BACK, "the last row turned back")
        return fabric
    ended = last.stitches[-1]
    if first == beside:
        _need(ended in "twd", "a hole at the turn")
        return fabric
    _need(first == fabric.yarn, "the yarn is elsewhere")
    if row.stitches[0] == "s":
        word = fabric.pegs[first]
        if ended == "W":
            _need(not _wrapped_before(loom, fabric, row), "the next wrapped peg stays behind")
        if len(word) == 1 and word[0].loop is not None:
            edges = dict(fabric.edges)
            edges[first] = (*edges.get(first, ()), word[0].loop)
            return replace(fabric, edges=tuple(edges.items()))
        return fabric
    _need(ended in "jW", "the edge is not slipped")
    if ended == "W":
        _need(not _wrapped_before(loom, fabric, row), "the next wrapped peg stays behind")
    return fabric


def _wrapped_before(loom: Loom, fabric: Fabric, row: Row) -> bool:
    """Whether the peg that the last row would have come to next carries a wrap."""
    peg = (row.pegs[0] - row.direction - 1) % loom.pegs + 1
    return any(hung.kind == "wrap" for hung in fabric.pegs[peg])


def _crossed(loom: Loom, fabric: Fabric, row: Row) -> Fabric:
    """The loops of cable crosses change places; the row is read as the knitter sees it."""
    seen_along = (row.direction > 0) == (loom.working is Working.LEFT_TO_RIGHT)
    letters = row.stitches if seen_along else row.stitches[::-1]
    pegs = row.pegs if seen_along else row.pegs[::-1]
    spans = list(re.finditer("(R+)(l+)|(r+)(L+)", letters))
    strands = sum(match.end() - match.start() for match in spans)
    _need(strands == sum(letter in "RrLl" for letter in letters), "a strand without its partner")
    for match in spans:
        left = len(match[1] or match[3])
        there = pegs[match.start() : match.end()]
        words = [fabric.pegs[peg] for peg in there]
        _need(all(len(word) == 1 for word in words), "a strand of one loop")
        for peg, word in zip(there, words[left:] + words[:left], strict=True):
            fabric = _write(fabric, peg, word)
    return fabric


# --- Moves -----------------------------------------------------------------------------------


def _cast_on(loom: Loom, fabric: Fabric, tick: int, move: CastOn) -> Fabric:
    for before, after in pairwise(move.pegs):
        _need(after == before % loom.pegs + 1, "the cast-on jumps")
    made = tuple(Loop(tick, peg) for peg in move.pegs)
    for loop in made:
        _need(not fabric.pegs[loop.peg], "cast on over a loop")
        fabric = _hang(fabric, loop.peg, Hung("plain", loop))
    return replace(fabric, yarn=move.pegs[-1] if move.pegs else None, made=made)


def _lift(fabric: Fabric, move: Hold | TakeOff) -> Fabric:
    lifted: list[Loop] = []
    for peg in move.pegs:
        _need(_kinds(fabric.pegs[peg]) == "plain;", "one plain loop is lifted off")
        lifted += _loops(fabric.pegs[peg])
        fabric = _write(fabric, peg, ())
    if isinstance(move, Hold):
        holders = dict(fabric.holders)
        holders[move.holder] = (*holders.get(move.holder, ()), *lifted)
        return replace(fabric, holders=tuple(holders.items()))
    needles = dict(fabric.needles)
    needles[move.needle] = (*needles.get(move.needle, ()), *lifted)
    return replace(fabric, needles=tuple(needles.items()))


def _rehang(loom: Loom, fabric: Fabric, tick: int, move: Rehang) -> Fabric:
    edges = dict(fabric.edges)
    edge = edges.pop(move.edge_peg, ())
    _need(len(edge) == len(move.pegs), "an edge loop for each peg")
    towards = 1 if move.holder is Holder.NEAR else -1
    made = []
    for away, (loop, peg) in enumerate(zip(edge, move.pegs, strict=True)):
        _need(peg == (move.edge_peg + towards * away - 1) % loom.pegs + 1, "edge loops cross")
        _need(id(loop) in fabric.worked, "the edge loop is still in use")
        _need(not fabric.pegs[peg], "the peg has a loop")
        hung = Loop(tick, peg, (loop,))
        made.append(hung)
        fabric = _hang(fabric, peg, Hung("plain", hung))
    return replace(fabric, edges=tuple(edges.items()), made=tuple(made))


def _shift(loom: Loom, fabric: Fabric, move: Shift) -> Fabric:
    apart = (move.from_peg - move.to_peg) % loom.pegs
    _need(apart in (1, loom.pegs - 1), "past a peg")
    _need(len(fabric.pegs[move.to_peg]) == 1, "the neighbour has one loop")
    _need(_kinds(fabric.pegs[move.from_peg]) == "plain;", "one plain loop is moved")
    higher = apart == 1
    from_right = higher == (loom.working is Working.LEFT_TO_RIGHT)
    (hung,) = fabric.pegs[move.from_peg]
    fabric = _write(fabric, move.from_peg, ())
    kind = "from right" if from_right else "from left"
    return _hang(fabric, move.to_peg, Hung(kind, hung.loop))


def _graft(fabric: Fabric, move: Graft) -> Fabric:
    front, back = fabric.on_needle(Needle.FRONT), fabric.on_needle(Needle.BACK)
    _need(len(front) == len(back), "as many loops in front as at the back")
    _need(not move.pairs or fabric.yarn == move.pairs[0][1], "the yarn is elsewhere")
    wanted = [(one.peg, other.peg) for one, other in zip(front, back[::-1], strict=True)]
    count = len(move.pairs)
    _need(list(move.pairs) == wanted[:count], "not the next loops of their needles")
    rest = ((Needle.FRONT, front[count:]), (Needle.BACK, back[: len(back) - count]))
    return replace(fabric, needles=rest, yarn=None)
