"""The lines beside the steps that tell nothing to knit, held against what was knitted.

A checkpoint says where the yarn is and how many loops are where; a line on counting says how many
rows there are.  As all of the reader the words here are written by hand from the printed page.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from charts.loom import PegNumber
from charts.reader_records import ReadError, Ring
from charts.reader_words import INSTEP, THREAD, N, matched
from charts.rows import RUN_ON, Event, Graft, Holder, Row, Section
from charts.virtual_loom import State

_NONE: Final = ("The loom is empty.", "Both needles are empty; no loop is left.")
_YARN: Final = re.compile(rf"yarn at peg {N}")
_ALL: Final = re.compile(rf"all {N} pegs live")
_HEEL: Final = re.compile(rf"{N} live pegs at the heel, {N} waiting on the instep")
_LIVE: Final = re.compile(rf"{N} live pegs")
_LOOPS: Final = re.compile(rf"{N} loops on them, the (?:lifted bars|moved loop) counted")
_EACH: Final = re.compile(rf"{N} loops? on each holder")
_HOLDERS: Final = re.compile(rf"{N} on the (left|right) holder, {N} on the (left|right) holder")
_EMPTY: Final = "both holders empty"
_NEEDLES: Final = re.compile(r"(\d+) loops on the front needle, (\d+) on the back")


def read_state(text: str, ring: Ring) -> State:
    """The loom as a checkpoint tells it.  Raises ReadError."""
    if text in _NONE:
        return State(None, 0, 0, 0, 0, 0, 0)
    if not text.endswith("."):
        raise ReadError("a checkpoint without its full stop")
    words = text[:1].lower() + text[1:-1]
    yarn: int | None = None
    live = loops = near = far = front = back = 0
    for phrase in words.split("; "):
        if match := _YARN.fullmatch(phrase):
            yarn = ring.peg(int(match[1]))
        elif match := _ALL.fullmatch(phrase):
            live = int(match[1])
            if live != ring.pegs:
                raise ReadError(f"“{phrase}”: the ring has {ring.pegs} pegs")
        elif match := _HEEL.fullmatch(phrase):
            live = int(match[1]) + int(match[2])
        elif match := _LIVE.fullmatch(phrase):
            live = int(match[1])
        elif match := _LOOPS.fullmatch(phrase):
            loops = int(match[1])
        elif match := _EACH.fullmatch(phrase):
            near = far = int(match[1])
        elif match := _HOLDERS.fullmatch(phrase):
            sides = {match[2]: int(match[1]), match[4]: int(match[3])}
            if len(sides) == 1:
                raise ReadError(f"“{phrase}” names one holder twice")
            left, right = sides["left"], sides["right"]
            near, far = (left, right) if ring.rightward > 0 else (right, left)
        elif match := _NEEDLES.fullmatch(phrase):
            front, back = int(match[1]), int(match[2])
        elif phrase != _EMPTY:
            raise ReadError(f"“{phrase}” is nothing that a checkpoint says")
    peg = None if yarn is None else ring.peg(yarn)
    return State(peg, live, loops or live, near, far, front, back)


def check_state(text: str, ring: Ring, found: State) -> None:
    """Raise ReadError if a checkpoint is not how the loom is."""
    told = read_state(text, ring)
    if told == found:
        return
    for name, said, there in (
        ("the yarn hangs at peg", told.yarn_peg, found.yarn_peg),
        ("pegs with loops:", told.live_pegs, found.live_pegs),
        ("loops on them:", told.loops, found.loops),
        (f"loops on the {Holder.NEAR.value} holder:", told.held_near, found.held_near),
        (f"loops on the {Holder.FAR.value} holder:", told.held_far, found.held_far),
        ("loops on the front needle:", told.on_front, found.on_front),
        ("loops on the back needle:", told.on_back, found.on_back),
    ):
        if said != there:
            raise ReadError(f"{name} {there}, not {said}")


# --- Counting --------------------------------------------------------------------------------

_PEG: Final = rf"(?:peg {N}|one back column)"
_COUNTING: Final = {
    Section.CUFF: re.compile(
        r"Each row adds one V to a column of knit stitches: count the Vs above the cast-on edge, "
        rf"the loop on the peg as the last: {N}\."
    ),
    Section.LEG: re.compile(
        rf"Count the Vs of {_PEG} up from the ribbing, the loop on the peg as the last: {N}\."
    ),
    Section.FLAP: re.compile(
        rf"Counts leave out slipped stitches\. One edge loop stands for two rows: {N} on each edge "
        r"once the partial row is done, the last of them still live\."
    ),
    Section.TURN: re.compile(
        r"Each row takes one loop off a holder: what is left on both holders is the rows still to "
        r"work\. A join counts as two stitches\."
    ),
    Section.FOOT: re.compile(
        rf"Count the Vs of {INSTEP} above the contrasting thread, tied there before the heel "
        rf"flap, the loop on the peg as the last: {N}\."
    ),
    Section.TOE: re.compile(
        rf"After the narrowing {N} pegs are (?:turned|wrapped) at each side, with {N} plain "
        r"between them; each widening row clears one\."
    ),
    Section.CLOSING: re.compile(rf"Tick each pair: {N} in all\."),
}


def check_counting(text: str, section: Section, events: Sequence[Event]) -> PegNumber | None:
    """Raise ReadError if the line on how to count a part is not true of the sock's rows.

    Returns the peg of the instep that it names, which is the same in every part.
    """
    match = _COUNTING[section].fullmatch(text)
    if match is None:
        raise ReadError("not how this part is counted")
    rows = [event for event in events if isinstance(event, Row) and event.section is section]
    numbered = [row for row in rows if row.number != RUN_ON]
    numbers = [None if number is None else int(number) for number in match.groups()]
    match section:
        case Section.CUFF:
            wanted: list[int | None] = [len(numbered)]
        case Section.LEG | Section.FOOT:
            wanted = [numbers[0], len(numbered)]
        case Section.FLAP:
            wanted = [len(numbered) // 2]
        case Section.TOE:
            side = len(numbered) // 4
            wanted = [side, len(rows[0].pegs) - 2 * side]
        case Section.CLOSING:
            wanted = [len(event.pairs) for event in events if isinstance(event, Graft)]
        case _:
            wanted = []
    if numbers != wanted:
        said, there = next(
            (said, there) for said, there in zip(numbers, wanted, strict=True) if said != there
        )
        raise ReadError(f"it says {said}, and there are {there}")
    return _check_peg(section, numbers, events)


def check_thread(text: str, events: Sequence[Event]) -> PegNumber | None:
    """Raise ReadError if the loop that the thread is tied to is none of the instep.

    Returns its peg, which the foot's line on counting names again.
    """
    number = matched(THREAD, text, "how the thread is tied")[1]
    return _check_peg(Section.FOOT, [int(number) if number else None], events)


def _check_peg(
    section: Section, numbers: Sequence[int | None], events: Sequence[Event]
) -> PegNumber | None:
    """The column to count must be one that shows; returns that on the instep."""
    place = {Section.LEG: 0, Section.FOOT: 0}.get(section)
    peg = None if place is None else numbers[place]
    if peg is None:
        return None
    rows = [event for event in events if isinstance(event, Row)]
    heel = next((row.pegs for row in rows if row.section is Section.FLAP), ())
    if section is Section.LEG:
        cuff = next((row for row in rows if row.section is Section.CUFF), None)
        if cuff is not None and heel:
            # The first row of the leg shows where the cuff was purled.
            stitches = dict(zip(cuff.pegs, cuff.stitches, strict=True))
            first = next((at for at in heel if stitches[at] == "p"), peg)
            if peg != first:
                raise ReadError(f"peg {first} is the first that the cuff purled at the back")
        return None
    if peg in heel:
        raise ReadError(f"peg {peg} is not on the instep")
    return PegNumber(peg)
