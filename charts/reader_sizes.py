"""One size read out of steps printed for several: brackets resolved, other sizes' steps left out.

As all of the reader this takes the printed page alone: text, and the sizes' names from the page's
head.  What comes out is read on by `charts.reader_steps`.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

from charts.reader_records import ReadError, StepLine, StepsPart, reading


@dataclass(frozen=True)
class SizedStepLine:
    """One printed step for several sizes; the fields hold text as those of `StepLine`."""

    text: str
    label: str = ""
    arrow: str = ""
    count: str = ""
    pairs: tuple[str, ...] = ()
    """One a tick box: "3+4 (2+3)"."""
    only: str = ""
    """ "size L only" or "sizes M (L) only"; empty for a step of all sizes."""
    page: int = field(default=0, compare=False)


@dataclass(frozen=True)
class SizedStepsPart:
    """The printed steps of one part."""

    title: str
    lines: tuple[SizedStepLine, ...]


_NONE: Final = "–"
_NUMBER: Final = r"[−+]?\d+(?:,\d{3})*(?:\.\d+)?"
_NUMBERS: Final = (
    rf"(?:\d+\+\d+|\d+(?: / \d+)+|(?:\d+ )?\d+/\d+|{_NUMBER}(?:–{_NUMBER})?"
    r"|[kp]\d+(?: [kp]\d+)*)"
)
_NOUN: Final = r"(?:[Pp]egs?|[Rr]ows?) "
_UNIT: Final = r" (?:(?:edge )?loops?|pegs?|rows?|pairs?|stitch(?:es)?|mm|cm|in)"
_VALUE: Final = re.compile(rf"{_NONE}|(?:{_NOUN})?{_NUMBERS}(?:{_UNIT})?|left|right|[→←]")
_LED: Final = re.compile(_NOUN)
_GROUP: Final = re.compile(
    rf"(?<!\w)'[^']*'(?!\w)|(?<![\w–.])(?P<noun>{_NOUN})?(?P<first>{_NONE}|{_NUMBERS}(?:{_UNIT})?|left|right"
    r"|[→←]) \((?P<others>[^()]+)\)"
)


def unsize(text: str, size_index: int, size_count: int) -> str:
    """The text for one of the sizes.

    Raises ReadError if a bracket does not hold a value for each size, or none for this one.

    >>> unsize("pegs 2–25 (2–29, 2–33) knit, 26 (30, 34) purl.", 1, 3)
    'pegs 2–29 knit, 30 purl.'
    """
    own = resolved(text, size_index, size_count)
    if own is None:
        raise ReadError(f"“{text}” has no number for size {size_index + 1} of {size_count}")
    return own


def resolved(text: str, size_index: int, size_count: int) -> str | None:
    """The text for one of the sizes; None if a number of it has none for this size.

    Raises ReadError as `unsize` does, but for that.
    """
    if not 0 <= size_index < size_count:
        raise ReadError(f"there is no size {size_index + 1} of {size_count}")
    missing = False

    def chosen(match: re.Match[str]) -> str:
        nonlocal missing
        first, others = match["first"], match["others"]
        if first is None:
            return match[0]
        noun = match["noun"] or ""
        more = others.split(", ")
        if not all(map(_VALUE.fullmatch, more)):
            return match[0]
        # A noun belongs to the brackets if it is said again in them.
        outside = "" if any(map(_LED.match, more)) else noun
        values: list[str] = [noun.removeprefix(outside) + first, *more]
        if len(values) != size_count:
            raise ReadError(f"“{match[0]}” holds {len(values)} sizes, not {size_count}")
        missing |= values[size_index] == _NONE
        return outside + values[size_index]

    own = _GROUP.sub(chosen, text)
    return None if missing else own


def read_only(text: str, names: Sequence[str]) -> frozenset[int]:
    """The indices of the sizes in "size L only" or "sizes M (L) only"; all for an empty text.

    Raises ReadError for anything else, and for names that do not stand in the order of `names`.
    """
    if not text:
        return frozenset(range(len(names)))
    if one := re.fullmatch(r"size (.+) only", text):
        if one[1] not in names:
            raise ReadError(f"“{one[1]}” is not one of the sizes")
        return frozenset({names.index(one[1])})
    many = re.fullmatch(r"sizes (.+)\) only", text)
    for index, name in enumerate(names):
        if many and many[1].startswith(f"{name} ("):
            found = _listed(many[1].removeprefix(f"{name} ("), names, index + 1)
            if found:
                return frozenset({index, *found})
    raise ReadError(f"“{text}” does not name sizes of this pattern in their order")


def _listed(text: str, names: Sequence[str], start: int) -> tuple[int, ...]:
    """The indices of names divided by commas, from `start` on; none if it cannot be read so."""
    for index in range(start, len(names)):
        if text == names[index]:
            return (index,)
        if text.startswith(f"{names[index]}, "):
            more = _listed(text.removeprefix(f"{names[index]}, "), names, index + 1)
            if more:
                return (index, *more)
    return ()


def read_size(
    parts: Sequence[SizedStepsPart], size_index: int, names: Sequence[str]
) -> tuple[StepsPart, ...]:
    """The printed steps of one size, as a page for it alone would print them.

    A part of which nothing is for the size is left out.  Raises ReadError naming the line.
    """
    read = []
    for part in parts:
        lines = []
        for line in part.lines:
            words = " ".join(text for text in (line.label, line.arrow, line.text) if text)
            with reading(part.title, words, line.page):
                sizes = read_only(line.only, names)
                _check_gaps(line.label, sizes, len(names))
                if size_index in sizes:
                    lines.append(_line(line, size_index, len(names)))
        if lines:
            read.append(StepsPart(part.title, tuple(lines)))
    return tuple(read)


def _line(line: SizedStepLine, size_index: int, size_count: int) -> StepLine:
    pairs = [resolved(pair, size_index, size_count) for pair in line.pairs]
    return StepLine(
        unsize(line.text, size_index, size_count),
        unsize(line.label, size_index, size_count),
        unsize(line.arrow, size_index, size_count),
        unsize(line.count, size_index, size_count),
        " ".join(pair for pair in pairs if pair is not None),
        line.page,
    )


def _check_gaps(label: str, sizes: frozenset[int], size_count: int) -> None:
    """Raise ReadError unless the dashes of a row's numbers are those of the sizes not named."""
    if not any(map(str.isdigit, label)):
        return
    for index in range(size_count):
        if (resolved(label, index, size_count) is not None) != (index in sizes):
            raise ReadError(f"“{label}” and the sizes named do not agree on size {index + 1}")
