"""One text for several sizes: "24 (28, 32) pegs", the same number once where all sizes agree.

Smallest first and the others in brackets, as printed patterns have it (common practice, no
published source).  What may differ between two texts of one form is their values:

- a number, a run such as 2–25, a length such as 3/8 in, loops that meet such as 3+4, thirds such as
  6 / 8 / 6, a rib such as k2 p2;
- which holder, edge or strand: left or right; an arrow;
- "peg 1" against "pegs 1–2", "1 loop" against "2 loops".

A run is bracketed as a whole, and a noun with its number where the nouns differ.  An en dash stands
for a size that the text is not for.  What stands in single quotes is a name and has no values.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

NO_VALUE: Final = "–"
"""Stands for a size that has no such number."""


class Segment(NamedTuple):
    """A piece of a text."""

    text: str
    marked: bool
    """Whether it is a value of the marked size, to be printed bold."""


@dataclass(frozen=True)
class SizedText:
    """A text for several sizes."""

    segments: tuple[Segment, ...]

    @property
    def text(self) -> str:
        """The whole text without marks."""
        return "".join(segment.text for segment in self.segments)


def sized(values: Sequence[str | int]) -> str:
    """The values of all sizes in order, at least one: the first, then the others in brackets.

    >>> sized((24, 28, 32)), sized((24, 24, 24)), sized(("2–25", "2–29"))
    ('24 (28, 32)', '24', '2–25 (2–29)')
    """
    return "".join(piece.text for piece in _sized_pieces([str(value) for value in values], None))


def sized_text(values: Sequence[str | int], *, mark: int | None = None) -> SizedText:
    """As `sized`, with the value of the size with index `mark` marked where the values differ."""
    return SizedText(_joined(_sized_pieces([str(value) for value in values], mark)))


def _sized_pieces(values: Sequence[str], mark: int | None) -> list[Segment]:
    if len(set(values)) == 1:
        return [Segment(values[0], False)]
    pieces = []
    for index, value in enumerate(values):
        pieces.append(Segment(("", " (", ", ")[min(index, 2)], False))
        pieces.append(Segment(value, index == mark and value != NO_VALUE))
    return [*pieces, Segment(")", False)]


def _joined(pieces: Sequence[Segment]) -> tuple[Segment, ...]:
    """Neighbours with the same mark as one."""
    joined: list[Segment] = []
    for piece in pieces:
        if joined and joined[-1].marked == piece.marked:
            joined[-1] = Segment(joined[-1].text + piece.text, piece.marked)
        elif piece.text:
            joined.append(piece)
    return tuple(joined)


# Texts and their values


class _Value(NamedTuple):
    """A value as it stands in a text."""

    lead: str
    """A noun before the number, with its space: "pegs "."""
    core: str
    tail: str
    """A noun or unit after the number, with its space: " loops"."""


Form = tuple[str, ...]
"""A text without its values: what stands between them, and of what kind each of them is."""

_NUMBER: Final = r"[−+]?\d+(?:,\d{3})*(?:\.\d+)?"
_VALUES: Final = re.compile(
    r"(?<!\w)'[^']*'(?!\w)"
    r"|(?<![\w.])(?:"
    r"(?P<rib>[kp]\d+(?: [kp]\d+)*)"
    r"|(?P<side>(?:left|right)(?= holder| edge| on top)|[→←])"
    r"|(?P<lead>(?:[Pp]egs?|[Rr]ows?) )?"
    r"(?P<core>(?P<pair>\d+\+\d+)|(?P<thirds>\d+(?: / \d+)+)|(?:\d+ )?\d+/\d+"
    rf"|{_NUMBER}(?:–{_NUMBER})?)"
    r"(?P<tail> (?:(?:edge )?loops?|pegs?|rows?|pairs?|stitch(?:es)?|mm|cm|in)\b)?"
    r")(?!\w|\.\d)"
)
_KINDS: Final = ("rib", "side", "pair", "thirds")
_LENGTH_UNITS: Final = (" mm", " cm", " in")


def form_of(text: str) -> Form:
    """What texts must have in common to be printed as one.

    >>> form_of("pegs 2–25 knit.") == form_of("peg 3 knit.") != form_of("peg 3 purl.")
    True
    """
    return _read(text)[0]


def merge_texts(
    texts: Sequence[str | None], *, mark: int | None = None, gaps: bool = False
) -> SizedText:
    """The texts of all sizes as one; `None` for a size that the text is not for.

    With `gaps` every number shows that size as an en dash, else only those numbers that differ.
    `mark` is the index of the size whose values are marked.  Raises ValueError for texts that are
    not of one form.

    >>> merge_texts(("peg 2 slip, 3–25 knit.", "peg 2 slip, 3–29 knit.")).text
    'peg 2 slip, 3–25 (3–29) knit.'
    >>> merge_texts((None, "Row 13", "Row 13"), gaps=True).text
    'Row – (13, 13)'
    """
    read = [None if text is None else _read(text) for text in texts]
    there = [one for one in read if one is not None]
    if len({form for form, _, _ in there}) != 1:
        raise ValueError(f"not of one form: {texts}")
    between = there[0][1]
    pieces = [Segment(between[0], False)]
    for place, following in enumerate(between[1:]):
        values = [None if one is None else one[2][place] for one in read]
        pieces += _merged_values(values, mark, gaps)
        pieces.append(Segment(following, False))
    return SizedText(_joined(pieces))


def same_forms(texts: Sequence[str | None]) -> tuple[tuple[int, ...], ...]:
    """The indices of the texts in groups that `merge_texts` can print as one."""
    groups: dict[Form, list[int]] = {}
    for index, text in enumerate(texts):
        if text is not None:
            groups.setdefault(form_of(text), []).append(index)
    return tuple(map(tuple, groups.values()))


def _read(text: str) -> tuple[Form, tuple[str, ...], list[_Value]]:
    """The text's form, the words between its values, and the values."""
    between = [""]
    form: list[str] = []
    values = []
    end = 0
    for match in _VALUES.finditer(text):
        between[-1] += text[end : match.start()]
        end = match.end()
        core = match["rib"] or match["side"] or match["core"]
        if core is None:
            between[-1] += match[0]
            continue
        lead, tail = match["lead"] or "", match["tail"] or ""
        kind = next((kind for kind in _KINDS if match[kind]), "number")
        form += [between[-1], _noun(lead) + kind + _noun(tail)]
        values.append(_Value(lead, core, tail))
        between.append("")
    between[-1] += text[end:]
    return (*form, between[-1]), tuple(between), values


def _noun(word: str) -> str:
    """The noun in the singular, and one name for all units of length."""
    if word in _LENGTH_UNITS:
        return " length"
    return word.replace("stitches", "stitch").replace("s ", " ").removesuffix("s")


def _merged_values(values: Sequence[_Value | None], mark: int | None, gaps: bool) -> list[Segment]:
    there = [value for value in values if value is not None]
    if not gaps and len(set(there)) == 1:
        return [Segment("".join(there[0]), False)]
    leads, tails = {value.lead for value in there}, {value.tail for value in there}
    lead = there[0].lead if len(leads) == 1 else ""
    tail = there[0].tail if len(tails) == 1 else ""
    printed = [
        NO_VALUE if value is None else "".join(value).removeprefix(lead)[: -len(tail) or None]
        for value in values
    ]
    return [Segment(lead, False), *_sized_pieces(printed, mark), Segment(tail, False)]
