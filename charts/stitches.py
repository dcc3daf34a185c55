"""The one table of stitches: letter, name, words, and what each does to the loops on a peg.

Everything else reads this table: the virtual loom takes the loop effects, the steps take the
words, the charts take the letters, and `layouts` draws one symbol a letter.  A cell of a chart is
one entry.  An entry may be compound (a *join* is three hand movements), because the knitter does
it at one peg without the yarn going anywhere else.

The right side of the fabric always faces the knitter, so a letter means the same act whichever
way the row runs (reasoned from how a loom works; no published source).

Letters for the two decreases follow the text convention of the encyclopedia article "Knitting
pattern" (2015 revision): slash leans right, backslash leans left.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Final


class Effect(Enum):
    """What a stitch does to the loops on its peg; the virtual loom has one branch for each."""

    KNIT = "draw a new loop through the single loop on the peg"
    PURL = "draw a new loop up through the single loop on the peg from below"
    SLIP = "leave the loop; carry the yarn inside, behind the peg"
    TURNED = "knit, then pull the new loop up until both its legs lie over the peg"
    RESOLVE = "draw one new loop through both legs of a turned stitch"
    WRAP = "lay the yarn round the peg beside its loop without drawing it through"
    UNWRAP = "draw one new loop through the loop and every wrap on the peg"
    GATHER = "draw one new loop through the two loops on the peg"
    JOIN = "knit, hang the nearest held loop on the peg, draw one new loop through both"
    EMPTY = "no loop on this peg: carry the yarn behind it"


@dataclass(frozen=True)
class Stitch:
    """One entry of the table."""

    letter: str
    """The letter of motifs, chart cells and `data`; one character."""
    name: str
    """The name in the symbol key."""
    verb: str
    """The word of the steps: "pegs 3–8 <verb>"."""
    meaning: str
    """The hand movement, for the key; one sentence without a full stop."""
    effect: Effect
    drawn: int
    """Loops drawn at this peg: the stitches it adds to a row's count."""
    turns: bool = False
    """The row ends here and the next one goes back."""
    cross: str = ""
    """For the strand of a cable cross: "over" or "under"; the strand's lean is `leans`."""
    leans: int = 0
    """+1 if the strand moves to the knitter's right as it grows, -1 if to the left."""


_ENTRIES: Final = (
    Stitch(
        "k",
        "knit, flat",
        "knit",
        "lay the yarn straight across the front above the loop and lift the loop over it",
        Effect.KNIT,
        1,
    ),
    Stitch(
        "u",
        "knit, u-wrap",
        "u-wrap knit",
        "lay the yarn across the front and half round the peg, then lift the lower loop over",
        Effect.KNIT,
        1,
    ),
    Stitch(
        "e",
        "knit, e-wrap",
        "e-wrap knit",
        "take the yarn all the way round the peg from inside, then lift the lower loop over: "
        "a twisted stitch",
        Effect.KNIT,
        1,
    ),
    Stitch(
        "p",
        "purl",
        "purl",
        "hold the yarn below the loop, draw it up through the loop from below, take the old loop "
        "off and hang the new one",
        Effect.PURL,
        1,
    ),
    Stitch(
        "s",
        "slip",
        "slip",
        "leave the loop as it is and carry the yarn past inside the ring",
        Effect.SLIP,
        0,
    ),
    Stitch(
        "t",
        "turned stitch",
        "knit and turn",
        "knit, then pull the yarn tight up and over the peg so that both legs of the new loop "
        "show: one loop, two strands; the next row goes back from the peg beside it",
        Effect.TURNED,
        1,
        turns=True,
    ),
    Stitch(
        "d",
        "both strands as one",
        "knit both strands as one",
        "lift both strands of the turned stitch over the yarn together",
        Effect.RESOLVE,
        1,
    ),
    Stitch(
        "w",
        "wrap and turn",
        "wrap and turn",
        "take the loop off, bring the yarn round the peg from inside, hang the loop back above "
        "the wrap; the next row goes back from the peg beside it",
        Effect.WRAP,
        0,
        turns=True,
    ),
    Stitch(
        "W",
        "loop and wraps as one",
        "knit loop and wraps as one",
        "lift the loop and every wrap on the peg over the yarn together",
        Effect.UNWRAP,
        1,
    ),
    Stitch(
        "b",
        "pick up",
        "knit loop and lifted bar as one",
        "lift the loop and the bar hung on the same peg over the yarn together",
        Effect.GATHER,
        1,
    ),
    Stitch(
        "/",
        "decrease, leans right",
        "knit both loops as one with the left on top",
        "lift both loops on the peg over the yarn together; the left neighbour's loop lies on top",
        Effect.GATHER,
        1,
    ),
    Stitch(
        "\\",
        "decrease, leans left",
        "knit both loops as one with the right on top",
        "lift both loops on the peg over the yarn together; the right neighbour's loop lies on top",
        Effect.GATHER,
        1,
    ),
    Stitch(
        "j",
        "join",
        "knit and join",
        "knit the peg, hang the nearest loop of the holder on it, lift both over the yarn together",
        Effect.JOIN,
        2,
    ),
    Stitch(
        "x",
        "empty peg",
        "pass behind the empty peg",
        "there is no loop here: carry the yarn past inside the ring",
        Effect.EMPTY,
        0,
    ),
    Stitch(
        "R",
        "cable strand on top, to the right",
        "cross",
        "this loop crosses in front, to the right; then knit it",
        Effect.KNIT,
        1,
        cross="over",
        leans=1,
    ),
    Stitch(
        "r",
        "cable strand beneath, to the right",
        "cross",
        "this loop crosses behind, to the right; then knit it",
        Effect.KNIT,
        1,
        cross="under",
        leans=1,
    ),
    Stitch(
        "L",
        "cable strand on top, to the left",
        "cross",
        "this loop crosses in front, to the left; then knit it",
        Effect.KNIT,
        1,
        cross="over",
        leans=-1,
    ),
    Stitch(
        "l",
        "cable strand beneath, to the left",
        "cross",
        "this loop crosses behind, to the left; then knit it",
        Effect.KNIT,
        1,
        cross="under",
        leans=-1,
    ),
)

STITCHES: Final[dict[str, Stitch]] = {entry.letter: entry for entry in _ENTRIES}
"""Every stitch by its letter, in the order of the symbol key."""

KNIT_LETTERS: Final = {"flat": "k", "u-wrap": "u", "e-wrap": "e"}
"""The knit of the whole sock, by the word of the pattern file."""

MOTIF_LETTERS: Final = "kpRrLl"
"""What a motif may be drawn with; `k` stands for the sock's own knit."""


def drawn_in(letters: str) -> int:
    """Loops drawn in a row of letters: its stitches, the slipped ones left out.

    >>> drawn_in("skkj")
    4
    """
    return sum(STITCHES[letter].drawn * letters.count(letter) for letter in set(letters))


class CrossError(ValueError):
    """A strand of a cable cross without its partner."""

    def __init__(self, index: int, what: str) -> None:
        self.index = index
        """0-based, from the left as the knitter sees the row."""
        self.what = what
        super().__init__(f"column {index + 1}: {what}")


def crosses(letters: str) -> list[tuple[int, int, int]]:
    """Cable crosses in a row of letters as the knitter sees it, left to right.

    Returns `(start_index, left_width, right_width)` for each: a right cross is a run of `R` then
    one of `l` (the left strand goes over to the right), a left cross a run of `r` then one of
    `L`.  Raises CrossError at a strand without its partner.

    >>> crosses("ppRRllpp")
    [(2, 2, 2)]
    >>> crosses("RlrL")
    [(0, 1, 1), (2, 1, 1)]
    """
    found = []
    index = 0
    while index < len(letters):
        letter = letters[index]
        if letter not in "RrLl":
            index += 1
            continue
        if letter in "Ll":
            raise CrossError(index, f"strand '{letter}' has no partner on its left")
        partner = "l" if letter == "R" else "L"
        middle = index
        while middle < len(letters) and letters[middle] == letter:
            middle += 1
        end = middle
        while end < len(letters) and letters[end] == partner:
            end += 1
        if end == middle:
            raise CrossError(index, f"strand '{letter}' needs '{partner}' to its right")
        found.append((index, middle - index, end - middle))
        index = end
    return found


def mirrored(letters: str) -> str:
    """The row as a mirror shows it: order reversed, every lean swapped.

    >>> mirrored("kRRlp")
    'prLLk'
    """
    return letters[::-1].translate(_MIRROR)


_MIRROR: Final = str.maketrans("RrLl/\\", "LlRr\\/")
