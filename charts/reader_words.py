"""The reader's own vocabulary, written by hand from the printed page, and the reading of sentences.

Nothing here is taken from the modules that write the sentences: a word changed there and not here
is not understood, and the tests say so.
"""

from __future__ import annotations

import re
from typing import Final

from charts.loom import DOWN, UP, PegNumber
from charts.reader_records import ReadError, Ring, check_one_after_another
from charts.rows import Section

VERBS: Final = {
    "knit": "k",
    "u-wrap knit": "u",
    "e-wrap knit": "e",
    "purl": "p",
    "slip": "s",
    "knit and turn": "t",
    "knit both strands as one": "d",
    "wrap and turn": "w",
    "knit loop and wraps as one": "W",
    "knit loop and lifted bar as one": "b",
    "knit both loops as one with the left on top": "/",
    "knit both loops as one with the right on top": "\\",
    "knit and join": "j",
    "pass behind the empty peg": "x",
}
"""The letter of each verb; cable crosses are read by `_cross`."""

LETTERS: Final = frozenset((*VERBS.values(), *"RrLl"))
"""What a worked cell of a chart may hold."""

DRAWN: Final = {"s": 0, "x": 0, "w": 0, "j": 2}
"""Loops drawn at a peg, where it is not one."""

CUFF_TITLE: Final = "Cast on and cuff"
TITLES: Final = {
    CUFF_TITLE: Section.CUFF,
    "Leg": Section.LEG,
    "Heel flap": Section.FLAP,
    "Heel turn": Section.TURN,
    "Gusset and foot": Section.FOOT,
    "Toe": Section.TOE,
    "Closing the toe": Section.CLOSING,
}
"""The section of a part's numbered rows, by the part's title."""

ARROWS: Final = {"→": True, "←": False}
"""Whether the row runs to the knitter's right."""

N: Final = r"([1-9]\d*)"
"""A number in a pattern; captured."""

INSTEP: Final = rf"(?:instep peg {N}|the middle instep peg)"
"""A peg whose column of stitches is counted; its number is captured."""

THREAD: Final = re.compile(
    rf"Tie a contrasting thread to the loop of {INSTEP}; leave it there: the foot’s rows are "
    r"counted from it\."
)

_CROSS: Final = re.compile(rf"cross (left|right) with (left|right) {N} over (left|right) {N}")
_PHRASE: Final = re.compile(rf"{N}(?:–{N})?(?: and {N}(?:–{N})?)? (\S.*)")
_SENTENCE: Final = re.compile(rf"(pegs?) (.+?)(?:; repeat to peg {N})?")
_SPAN: Final = re.compile(rf"{N}(?:–{N})?")
_ROWS: Final = re.compile(rf"row {N}|rows {N}–{N}")
_COUNT: Final = re.compile(rf"{N} stitch(es)?")


def section_of(title: str) -> Section:
    """The section of the part's rows."""
    if title not in TITLES:
        raise ReadError(f"“{title}” is not the title of a part")
    return TITLES[title]


def matched(pattern: re.Pattern[str], text: str, what: str) -> re.Match[str]:
    """The match of the whole text.  Raises ReadError saying that it is not `what`."""
    match = pattern.fullmatch(text)
    if match is None:
        raise ReadError(f"“{text}” is not {what}")
    return match


def read_span(text: str) -> tuple[int, int]:
    """First and last of "3" or "3–8"; the last may be the smaller."""
    match = matched(_SPAN, text, "a number or a run of numbers such as 3–8")
    first = int(match[1])
    last = int(match[2] or first)
    if match[2] and first == last:
        raise ReadError(f"“{text}” is a run of one")
    return first, last


def read_row_numbers(text: str) -> range:
    """The numbers of "row 3" or "rows 3–8"."""
    match = matched(_ROWS, text, "“row” and a number, or “rows” and two")
    if match[1]:
        return range(int(match[1]), int(match[1]) + 1)
    first, last = int(match[2]), int(match[3])
    if last <= first:
        raise ReadError(f"“{text}” does not count up")
    return range(first, last + 1)


def check_count(text: str, letters: str) -> None:
    """Raise ReadError if a printed stitch count is not that of the row."""
    if not text:
        return
    match = matched(_COUNT, text, "a stitch count")
    count = int(match[1])
    drawn = sum(DRAWN.get(letter, 1) for letter in letters)
    if count != drawn or bool(match[2]) != (count != 1):
        raise ReadError(f"the count says “{text}”, the row has {drawn}")


def read_row_words(text: str, ring: Ring, direction: int) -> tuple[tuple[PegNumber, ...], str]:
    """The pegs of a spelt-out row in the order they are worked, and a letter for each.

    A row is sentences: "pegs 1–2 knit, 3–4 purl" with "; repeat to peg 40" or without, each
    closed by a full stop; from the second on they begin with a capital.  Raises ReadError.
    """
    if not text.endswith("."):
        raise ReadError("the row does not end with a full stop")
    pegs: tuple[PegNumber, ...] = ()
    letters = ""
    for place, sentence in enumerate(text[:-1].split(". ")):
        if place > 0:
            if not sentence.startswith("P"):
                raise ReadError(f"the sentence “{sentence}” does not begin with a capital")
            sentence = "p" + sentence[1:]
        more_pegs, more_letters = _sentence(sentence, ring, direction)
        pegs += more_pegs
        letters += more_letters
    check_one_after_another(pegs, ring, direction)
    return pegs, letters


def _sentence(text: str, ring: Ring, direction: int) -> tuple[tuple[PegNumber, ...], str]:
    noun, body, to_peg = matched(_SENTENCE, text, "a sentence that begins with “pegs”").groups()
    pegs: tuple[PegNumber, ...] = ()
    letters = ""
    for place, phrase in enumerate(body.split(", ")):
        more_pegs, more_letters = _phrase(phrase, ring, direction)
        if place == 0 and (noun == "peg") != (len(more_pegs) == 1):
            raise ReadError(f"“{noun}” does not suit “{phrase}”")
        pegs += more_pegs
        letters += more_letters
    check_one_after_another(pegs, ring, direction)
    if to_peg is None:
        return pegs, letters
    whole = ring.run(pegs[0], int(to_peg), direction)
    if len(whole) <= len(pegs) or len(whole) % len(pegs):
        raise ReadError(
            f"pegs {pegs[0]} to {to_peg} are no whole number of repeats of {len(pegs)} pegs"
        )
    return whole, letters * (len(whole) // len(pegs))


def _phrase(text: str, ring: Ring, direction: int) -> tuple[tuple[PegNumber, ...], str]:
    match = matched(_PHRASE, text, "a peg or a run of pegs and a verb")
    pegs = _run_of(match[1], match[2], text, ring, direction)
    if match[3]:
        end, start = (ring.pegs, 1) if direction == UP else (1, ring.pegs)
        if pegs[-1] != end or int(match[3]) != start:
            raise ReadError(f"“{text}” is told in two runs; only pegs over the end of the ring are")
        pegs += _run_of(match[3], match[4], text, ring, direction)
    verb = match[5]
    if verb in VERBS:
        return pegs, VERBS[verb] * len(pegs)
    letters = _cross(verb)
    if len(letters) != len(pegs):
        raise ReadError(f"“{text}” is {len(pegs)} pegs; the cross moves {len(letters)}")
    return pegs, letters if direction == ring.rightward else letters[::-1]


def _run_of(
    first: str, last: str | None, text: str, ring: Ring, direction: int
) -> tuple[PegNumber, ...]:
    """The pegs of a run, which does not go over the end of the numbers."""
    if last is None:
        return (ring.peg(int(first)),)
    if (int(last) - int(first)) * direction <= 0:
        what = "is a run of one peg" if first == last else "runs the other way"
        raise ReadError(f"“{text}” {what}")
    return ring.run(int(first), int(last), direction)


def _cross(verb: str) -> str:
    """The strands of a cable cross as the knitter sees them, left to right."""
    match = matched(_CROSS, verb, "a verb that is known")
    lean, over, under = match[1], match[2], match[4]
    on_top, beneath = int(match[3]), int(match[5])
    if over == under:
        raise ReadError(f"“{verb}” names the {over} strand twice")
    if lean == over:
        raise ReadError(f"“{verb}”: the {over} strand does not go to the {lean}")
    # The strand on the left goes to the right, and the other way about.
    return "R" * on_top + "l" * beneath if over == "left" else "r" * beneath + "L" * on_top


def counted_run(first: int, last: int, count: int, ring: Ring) -> tuple[PegNumber, ...]:
    """The run from first to last that is `count` pegs long, whichever way it goes.

    Raises ReadError if neither way does, or both do.
    """
    runs = {ring.run(first, last, step) for step in (UP, DOWN)}
    fitting = [run for run in runs if len(run) == count]
    if len(fitting) != 1:
        raise ReadError(f"{first} to {last} are not {count} pegs on a ring of {ring.pegs}")
    return fitting[0]
