"""The reading of moves between rows: one pattern for each, every word of it wanted."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final, NamedTuple

from charts.loom import DOWN, UP, PegNumber
from charts.reader_records import ReadError, Ring
from charts.reader_words import N, counted_run, matched, read_span
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
    Section,
    Shift,
    TakeOff,
)

_PEGS: Final = rf"(?:peg {N}|pegs {N}–{N})"

CAST_ON: Final = re.compile(
    rf"Cast on {N} pegs, {N}–{N}: slip knot on peg {N}; then wrap each of pegs {N}–{N} twice from "
    r"the inside and lift its lower loop over before going to the next\."
)
_HOLD: Final = re.compile(
    rf"Put the {N} loops? of {_PEGS} on the (left|right) holder"
    rf"(?:, peg {N} first, so that the loop of peg {N} comes off first)?\."
)
_REHANG: Final = re.compile(
    rf"Hang the {N} edge loops? of the heel flap’s (left|right) edge on {_PEGS}"
    rf"(?:: the oldest, nearest the leg, on peg {N}, the newest, joined last, on peg {N})?"
    r"; both legs of a loop go over its peg and count as one\."
)
_LIFT_BAR: Final = re.compile(rf"Lift the bar between pegs {N} and {N} onto peg {N}\.")
_SHIFT: Final = re.compile(
    rf"Move the loop of peg {N} onto peg {N}, on top; peg {N} is then empty\."
)
_TAKE_OFF: Final = re.compile(
    rf"From inside the ring take the {N} loops? of pegs ([\d–, ]+) onto the (front|back) needle, "
    r"in this order; of each loop the leg that is on the (right|left) as you see it from outside "
    r"lies in front\."
)
_GRAFT: Final = re.compile(
    rf"Graft {N} pairs? of loops, peg {N} with peg {N} first and peg {N} with peg {N} last: "
    rf"{N} needle passes\."
)


GRAFT_SENTENCES: Final = (
    "Cut the yarn, leaving a tail four times as long as the toe is wide and {least} at the least; "
    "thread the darning needle.",
    "Set up, once: Front needle, first loop: purlwise; leave it on. Back needle, first loop: "
    "knitwise; leave it on.",
    "Then, {times}: Front needle, first loop: knitwise; take it off. Front needle, next loop: "
    "purlwise; leave it on. Back needle, first loop: purlwise; take it off. Back needle, next "
    "loop: knitwise; leave it on.",
    "At the end, once: Front needle, first loop: knitwise; take it off. Back needle, first loop: "
    "purlwise; take it off.",
    "Draw the tail through, close the corners with it, and weave in all ends.",
)
"""How the graft is told, sentence by sentence; `times` is the pairs less one, `least` one of
`LEAST_TAILS`."""

LEAST_TAILS: Final = ("25 cm (10 in)", "10 in (25 cm)", "25 cm", "10 in")


def check_graft_sentence(text: str, place: int, pairs: int) -> None:
    """The sentence at that place of the graft's telling.  Raises ReadError."""
    if place >= len(GRAFT_SENTENCES):
        raise ReadError("the graft is told already")
    times = "once" if pairs == 2 else f"{pairs - 1} times"
    form = GRAFT_SENTENCES[place]
    if text not in {form.format(times=times, least=least) for least in LEAST_TAILS}:
        raise ReadError(f"sentence {place + 1} of the graft is not as it should be")


class Before(NamedTuple):
    """What a move's sentence leaves to what was read before it."""

    flap_row: Row | None
    """The flap's first row: its ends are the flap's edges."""
    taken: Mapping[Needle, tuple[PegNumber, ...]]
    """Loops on the closing needles, in the order they were taken off."""
    may_lack_flap: bool = False
    """The flap may be told elsewhere: its edges are then where the oldest loops hang."""


def read_move(part: Section, text: str, pairs: str, ring: Ring, before: Before) -> Move:
    """The move; `part` is the section of the rows in the part it stands in.

    `pairs` are the grafted pairs as the tick boxes name them, or empty.  Raises ReadError.
    """
    move: Move
    if match := CAST_ON.fullmatch(text):
        move, home = _cast_on(match, ring), Section.CUFF
    elif match := _HOLD.fullmatch(text):
        move, home = _hold(match, ring), Section.TURN
    elif match := _REHANG.fullmatch(text):
        flap_row, may_lack_flap = before.flap_row, before.may_lack_flap
        move = _rehang(match, ring, flap_row, may_lack_flap=may_lack_flap)
        home = Section.FOOT
    elif match := _LIFT_BAR.fullmatch(text):
        move, home = _lift_bar(match, ring), Section.FOOT
    elif match := _SHIFT.fullmatch(text):
        move, home = _shift(match, ring), Section.FOOT
    elif match := _TAKE_OFF.fullmatch(text):
        move, home = _take_off(match, ring), Section.CLOSING
    else:
        match = matched(_GRAFT, text, "a move that is known")
        move, home = _graft(match, ring, before.taken), Section.CLOSING
        if pairs and pairs.split() != [f"{front}+{back}" for front, back in move.pairs]:
            raise ReadError("the tick boxes do not name the loops as they lie on the needles")
    if home is not part:
        raise ReadError("this move belongs to another part")
    return move


def _cast_on(match: re.Match[str], ring: Ring) -> CastOn:
    count, first, last, knot, *wrapped = map(int, match.groups())
    pegs = ring.run(first, last, UP)
    if not count == len(pegs) == ring.pegs:
        raise ReadError(f"{count} pegs, {first}–{last}, are not the whole ring of {ring.pegs}")
    if wrapped != [pegs[1], pegs[-1]]:
        raise ReadError(f"pegs {wrapped[0]}–{wrapped[1]} are not all but the first")
    if knot != first:
        raise ReadError(f"the slip knot is on peg {knot}, the first peg is {first}")
    return CastOn(Section.CAST_ON, pegs)


def _hold(match: re.Match[str], ring: Ring) -> Hold:
    count, single, first, last, side, first_on, first_off = match.groups()
    pegs = _listed(count, single or first, single or last, ring)
    _check_ends(pegs, first_on, first_off)
    return Hold(Section.TURN, _holder(side, ring), pegs)


def _rehang(
    match: re.Match[str], ring: Ring, flap_row: Row | None, *, may_lack_flap: bool
) -> Rehang:
    count, side, single, first, last, oldest, newest = match.groups()
    pegs = _listed(count, single or first, single or last, ring)
    _check_ends(pegs, oldest, newest)
    holder = _holder(side, ring)
    if flap_row is not None:
        edge = flap_row.pegs[0] if holder is Holder.NEAR else flap_row.pegs[-1]
    elif may_lack_flap:
        # The oldest loop hangs at the edge itself.
        edge = pegs[0]
    else:
        raise ReadError("no heel flap was read whose edge loops these are")
    return Rehang(Section.GUSSET, holder, edge, pegs)


def _listed(count: str, first: str, last: str, ring: Ring) -> tuple[PegNumber, ...]:
    return counted_run(int(first), int(last), int(count), ring)


def _check_ends(pegs: tuple[PegNumber, ...], first: str | None, last: str | None) -> None:
    """The order told in words is the order of the run; one loop has none."""
    if len(pegs) == 1 and first is None:
        return
    if first is None or last is None or len(pegs) == 1:
        raise ReadError(f"the order of {len(pegs)} loops is not told as it should be")
    if (int(first), int(last)) != (pegs[0], pegs[-1]):
        raise ReadError(f"the order told is not that of pegs {pegs[0]}–{pegs[-1]}")


def _holder(side: str, ring: Ring) -> Holder:
    """The near holder is where the round starts: on the left if the first round runs right."""
    return Holder.NEAR if (side == "left") == (ring.rightward > 0) else Holder.FAR


def _lift_bar(match: re.Match[str], ring: Ring) -> LiftBar:
    low, high, onto = (ring.peg(int(number)) for number in match.groups())
    if high != ring.beside(low, UP):
        raise ReadError(f"no bar runs between pegs {low} and {high}: they are not neighbours")
    if onto not in (low, high):
        raise ReadError(f"the bar between pegs {low} and {high} does not reach peg {onto}")
    return LiftBar(Section.GUSSET, onto, (low, high))


def _shift(match: re.Match[str], ring: Ring) -> Shift:
    from_peg, to_peg, empty = (ring.peg(int(number)) for number in match.groups())
    if to_peg not in (ring.beside(from_peg, UP), ring.beside(from_peg, DOWN)):
        raise ReadError(f"peg {to_peg} is no neighbour of peg {from_peg}")
    if empty != from_peg:
        raise ReadError(f"peg {empty} is not the one whose loop was moved")
    return Shift(Section.FOOT, from_peg, to_peg)


def _take_off(match: re.Match[str], ring: Ring) -> TakeOff:
    count, listed, needle, leg = match.groups()
    if (leg == "right") != (ring.rightward > 0):
        raise ReadError(f"the {leg} leg in front is that of a ring worked the other way")
    pegs: tuple[PegNumber, ...] = ()
    for text in listed.split(", "):
        first, last = read_span(text)
        if last > first:
            raise ReadError(f"“{text}” goes up: the loops come off going down the numbers")
        pegs += ring.run(first, last, DOWN)
    if len(set(pegs)) != len(pegs) or len(pegs) != int(count):
        raise ReadError(f"“{listed}” does not name {count} pegs once each")
    return TakeOff(Section.CLOSING, Needle(needle), pegs)


def _graft(
    match: re.Match[str], ring: Ring, taken: Mapping[Needle, tuple[PegNumber, ...]]
) -> Graft:
    """Front loops in the order they came off, each with the back loop that faces it.

    The back needle's loops face the front ones in the opposite order, since both were taken off
    going the same way round the ring.
    """
    count, *ends, passes = (int(number) for number in match.groups())
    front, back = taken.get(Needle.FRONT, ()), taken.get(Needle.BACK, ())
    if not count == len(front) == len(back):
        raise ReadError(
            f"{count} pairs; {len(front)} loops were taken on the front needle and {len(back)} "
            "on the back one"
        )
    pairs = tuple(zip(front, reversed(back), strict=True))
    if tuple(ring.peg(number) for number in ends) != (*pairs[0], *pairs[-1]):
        raise ReadError("the first and last pair told are not the ends of the needles")
    graft = Graft(Section.CLOSING, pairs)
    if passes != graft.passes:
        raise ReadError(f"{count} pairs take {graft.passes} needle passes, not {passes}")
    return graft
