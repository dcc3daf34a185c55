"""The marks of a chart between two rows, with the words under them, as moves."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Final

from charts.loom import DOWN, UP, PegNumber
from charts.reader_records import ReadError, ReadMarks, Ring
from charts.reader_words import N
from charts.rows import Hold, Holder, LiftBar, Move, Rehang, Section, Shift

_HOLD: Final = re.compile(rf"hold {N}: peg {N} first")
_HANG: Final = re.compile(rf"hang {N} edge loops?(?:, oldest on {N})?")
_LIFT: Final = re.compile(rf"lift bar {N}–{N}")
_SHIFT: Final = re.compile(rf"loop of {N} onto {N}")
_TAKE: Final = re.compile(rf"{N} onto the (front|back) needle")
_KINDS: Final = {"H": _HOLD, "G": _HANG, "B": _LIFT, "M": _SHIFT, "O": _TAKE}


def moves_of(marks: ReadMarks, ring: Ring) -> tuple[Move, ...]:
    """The moves of one strip, those of the near side first.

    Loops taken off are not among them: a chart does not show their order.  Raises ReadError if
    words and marks do not agree.
    """
    matches = []
    for words in marks.words:
        match = _KINDS[marks.mark].fullmatch(words)
        if match is None:
            raise ReadError(f"“{words}” under the marks of another move")
        matches.append(
            [
                None if number is None else int(number) if number.isdigit() else number
                for number in match.groups()
            ]
        )
    if marks.mark == "O":
        if sum(int(match[0] or 0) for match in matches) != len(marks.pegs):
            raise ReadError(f"{len(marks.pegs)} loops are marked to be taken off")
        return ()
    moves = list(_moves(marks, matches, ring))
    told = [peg for move in moves for peg in _marked(move)]
    if sorted(told) != sorted(marks.pegs):
        raise ReadError("the words name other pegs than those that are marked")
    return tuple(sorted(moves, key=_near_first))


def _moves(
    marks: ReadMarks, matches: Sequence[list[int | str | None]], ring: Ring
) -> Iterator[Move]:
    marked = set(marks.pegs)
    rest = list(marks.pegs)
    pairs = list(_pairs(matches))
    for place, (first, second) in enumerate(pairs):
        match marks.mark:
            case "H" | "G":
                if second is None:
                    # One loop has no order; the words stand from the left.
                    ends = rest if ring.rightward > 0 else rest[::-1]
                    if len(matches) != len(ends):
                        raise ReadError("one loop of several marks")
                    second = ends[place]
                pegs, near = _run(first, second, marked, ring, on_left=place == 0)
                holder = Holder.NEAR if near else Holder.FAR
                if marks.mark == "H":
                    yield Hold(Section.TURN, holder, pegs)
                else:
                    yield Rehang(Section.GUSSET, holder, pegs[0], pegs)
            case "B":
                yield from _bars(
                    [(ring.peg(low), ring.peg(high or 0)) for low, high in pairs], rest, ring
                )
                return
            case _:
                yield Shift(Section.FOOT, ring.peg(first), ring.peg(second or 0))


def _bars(
    bars: Sequence[tuple[PegNumber, PegNumber]], marked: Sequence[PegNumber], ring: Ring
) -> Iterator[LiftBar]:
    """Each bar on the marked peg at its end; a peg takes one, so what has no choice goes first."""
    due = list(bars)
    free = set(marked)
    while due:
        ends = [[peg for peg in bar if peg in free] for bar in due]
        place = next((place for place, on in enumerate(ends) if len(on) == 1), 0)
        low, high = due.pop(place)
        if high != ring.beside(low, UP) or len(ends[place]) != 1:
            raise ReadError(f"no bar {low}–{high} is marked")
        free.remove(ends[place][0])
        yield LiftBar(Section.GUSSET, ends[place][0], (low, high))


def _pairs(matches: Sequence[list[int | str | None]]) -> Iterator[tuple[int, int | None]]:
    for first, second in matches:
        assert isinstance(first, int)
        assert not isinstance(second, str)
        yield first, second


def _run(
    count: int, first: int, marked: set[PegNumber], ring: Ring, *, on_left: bool
) -> tuple[tuple[PegNumber, ...], bool]:
    """The marked pegs from the first on, and whether they are those of the near side."""
    start = ring.peg(first)
    runs = {
        step: tuple(ring.beside(start, step * place) for place in range(count))
        for step in (UP, DOWN)
    }
    fitting = [step for step, run in runs.items() if set(run) <= marked]
    if len(fitting) == 2:
        # A run of one: the near side is where the round starts.
        fitting = [UP if on_left == (ring.rightward > 0) else DOWN]
    if len(fitting) != 1:
        raise ReadError(f"{count} pegs from peg {first} on are not marked")
    return runs[fitting[0]], fitting[0] == UP


def _marked(move: Move) -> tuple[PegNumber, ...]:
    """The pegs that a move is marked at."""
    match move:
        case Hold(pegs=pegs) | Rehang(pegs=pegs):
            return pegs
        case LiftBar(peg=peg) | Shift(from_peg=peg):
            return (peg,)
        case _:
            return ()


def _near_first(move: Move) -> tuple[bool, int]:
    match move:
        case Hold(holder=holder) | Rehang(holder=holder):
            return (holder is Holder.FAR, 0)
        case LiftBar(peg=peg):
            return (False, peg)
        case _:
            return (False, 0)
