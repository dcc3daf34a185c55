"""Rows and moves in words: the sentences of the steps, from the stitch table's verbs.

The grammar is plain enough to be read back:

- a row is sentences, each "pegs 1–2 knit, 3–4 purl", closed by "; repeat to peg 40" where the
  phrases since the sentence's start are worked again and again up to that peg; all but the first
  begin with a capital;
- a phrase is a peg or a run of pegs in the order they are worked and one verb; only the pegs of a
  cable cross may go over the end of the peg numbers, and then they are two runs: "39–40 and 1–2";
- a cable cross is "pegs 31–34 cross right with left 2 over right 2", left and right as the
  knitter sees them.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from charts.folding import fold
from charts.loom import Loom, PegNumber
from charts.rows import (
    CastOn,
    Graft,
    Hold,
    Holder,
    LiftBar,
    Move,
    Needle,
    Rehang,
    Row,
    Shift,
    TakeOff,
)
from charts.stitches import STITCHES, crosses

LONGEST_REPEAT = 12
"""Phrases in a repeat at most; a longer one is no help to the knitter."""


class Run(NamedTuple):
    """Neighbouring pegs with one verb, in the order they are worked."""

    pegs: tuple[PegNumber, ...]
    verb: str

    @property
    def text(self) -> str:
        """The pegs and the verb."""
        return f"{spans(self.pegs)} {self.verb}"


def row_runs(row: Row, loom: Loom) -> tuple[Run, ...]:
    """The row as runs of pegs worked alike; each cable cross is a run of its own."""
    rightward = row.direction == loom.rightward
    count = len(row.pegs)
    crossed: dict[int, tuple[int, str]] = {}
    if any(STITCHES[letter].cross for letter in set(row.stitches)):
        for start, left, right in crosses(row.stitches if rightward else row.stitches[::-1]):
            width = left + right
            first = start if rightward else count - start - width
            over_left = (row.stitches if rightward else row.stitches[::-1])[start] == "R"
            verb = (
                f"cross right with left {left} over right {right}"
                if over_left
                else f"cross left with right {right} over left {left}"
            )
            crossed[first] = (width, verb)
    breaks = sorted({*crossed, *_jumps(row.pegs, row.direction)})
    runs = []
    index = 0
    while index < count:
        if index in crossed:
            width, verb = crossed[index]
        else:
            letter = row.stitches[index]
            verb = STITCHES[letter].verb
            alike = len(row.stitches) - len(row.stitches[index:].lstrip(letter))
            width = next((place for place in breaks if index < place < alike), alike) - index
        runs.append(Run(row.pegs[index : index + width], verb))
        index += width
    return tuple(runs)


@lru_cache(maxsize=256)
def _jumps(pegs: tuple[PegNumber, ...], step: int) -> list[int]:
    """Where in a row the next peg has not the next number: from the ring's last peg to 1."""
    return [
        place
        for place, (peg, following) in enumerate(pairwise(pegs), start=1)
        if following != peg + step
    ]


def row_text(row: Row, loom: Loom) -> str:
    """What to do in the row, without its number; begins with a small letter, ends with a stop."""
    runs = row_runs(row, loom)
    sentences = []
    plain: list[Run] = []
    for block in fold(
        [(run.verb, len(run.pegs)) for run in runs], longest=LONGEST_REPEAT, least_times=3
    ):
        pattern = runs[block.start : block.start + block.period]
        if block.times < 3:
            plain += runs[block.start : block.end]
            continue
        if plain:
            sentences.append(_phrases(plain))
            plain = []
        last = runs[block.end - 1].pegs[-1]
        sentences.append(f"{_phrases(pattern)}; repeat to peg {last}")
    if plain:
        sentences.append(_phrases(plain))
    return ". ".join(sentences[:1] + [text.capitalize() for text in sentences[1:]]) + "."


def _phrases(runs: list[Run] | tuple[Run, ...]) -> str:
    noun = "peg" if len(runs[0].pegs) == 1 else "pegs"
    return f"{noun} " + ", ".join(run.text for run in runs)


def span(first: int, last: int) -> str:
    """`3` or `3–8`."""
    return str(first) if first == last else f"{first}–{last}"


def spans(pegs: Sequence[int]) -> str:
    """Neighbours in the order in which they are worked; two runs where they go over the end of the
    numbers, since "39–2" would be read as a run down.

    >>> spans((3, 4, 5)), spans((39, 40, 1, 2)), spans((40, 1)), spans((2, 1, 40))
    ('3–5', '39–40 and 1–2', '40 and 1', '2–1 and 40')
    """
    if abs(pegs[0] - pegs[-1]) == len(pegs) - 1:
        return span(pegs[0], pegs[-1])
    return " and ".join(span(run[0], run[-1]) for run in _runs(pegs))


def _runs(pegs: Sequence[int]) -> list[list[int]]:
    """The pegs cut where one is no neighbour in number of the one before it."""
    runs: list[list[int]] = []
    for peg in pegs:
        if runs and abs(runs[-1][-1] - peg) == 1:
            runs[-1].append(peg)
        else:
            runs.append([peg])
    return runs


def pegs_text(first: int, last: int) -> str:
    """`peg 3` or `pegs 3–8`."""
    return ("peg " if first == last else "pegs ") + span(first, last)


def side_of(holder: Holder, loom: Loom) -> str:
    """ "left" or "right": where the holder is as the knitter faces the heel."""
    near_is_left = loom.rightward > 0
    return "left" if (holder is Holder.NEAR) == near_is_left else "right"


def front_leg(loom: Loom) -> str:
    """The leg of a loop that lies in front on a needle: on a ring worked to the left all is
    mirrored."""
    return "right" if loom.rightward > 0 else "left"


def back_leg(loom: Loom) -> str:
    """The other leg."""
    return "left" if loom.rightward > 0 else "right"


def _loops(count: int) -> str:
    return "1 loop" if count == 1 else f"{count} loops"


def move_text(move: Move, loom: Loom) -> str:
    """The move as one or two full sentences."""
    match move:
        case CastOn(pegs=pegs):
            return (
                f"Cast on {len(pegs)} pegs, {span(pegs[0], pegs[-1])}: slip knot on peg "
                f"{pegs[0]}; then wrap each of pegs {span(pegs[1], pegs[-1])} twice from the "
                "inside and lift its lower loop over before going to the next."
            )
        case Hold(holder=holder, pegs=pegs):
            order = (
                f", peg {pegs[0]} first, so that the loop of peg {pegs[-1]} comes off first"
                if len(pegs) > 1
                else ""
            )
            return (
                f"Put the {_loops(len(pegs))} of {pegs_text(pegs[0], pegs[-1])} on the "
                f"{side_of(holder, loom)} holder{order}."
            )
        case Rehang(holder=holder, pegs=pegs):
            edge = "1 edge loop" if len(pegs) == 1 else f"{len(pegs)} edge loops"
            order = (
                f": the oldest, nearest the leg, on peg {pegs[0]}, the newest, joined last, "
                f"on peg {pegs[-1]}"
                if len(pegs) > 1
                else ""
            )
            return (
                f"Hang the {edge} of the heel flap’s {side_of(holder, loom)} edge on "
                f"{pegs_text(pegs[0], pegs[-1])}{order}; both legs of a loop go over its peg and "
                "count as one."
            )
        case LiftBar(peg=peg, between=(low, high)):
            return f"Lift the bar between pegs {low} and {high} onto peg {peg}."
        case Shift(from_peg=from_peg, to_peg=to_peg):
            return (
                f"Move the loop of peg {from_peg} onto peg {to_peg}, on top; peg {from_peg} is "
                "then empty."
            )
        case TakeOff(needle=needle, pegs=pegs):
            end, leg = "front" if needle is Needle.FRONT else "back", front_leg(loom)
            return (
                f"From inside the ring take the {_loops(len(pegs))} of pegs {_down(pegs)} onto the "
                f"{end} needle, in this order; of each loop the leg that is on the {leg} "
                "as you see it from outside lies in front."
            )
        case Graft(pairs=pairs):
            return (
                f"Graft {len(pairs)} pairs of loops, peg {pairs[0][0]} with peg {pairs[0][1]} "
                f"first and peg {pairs[-1][0]} with peg {pairs[-1][1]} last: {move.passes} "
                "needle passes."
            )


def _down(pegs: tuple[PegNumber, ...]) -> str:
    """Pegs going down the numbers, in runs: `2–1, 40–23`.

    >>> _down((PegNumber(2), PegNumber(1), PegNumber(40), PegNumber(39)))
    '2–1, 40–39'
    """
    return ", ".join(span(run[0], run[-1]) for run in _runs(pegs))
