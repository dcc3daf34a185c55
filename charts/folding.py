"""Finding what repeats in a sequence, so that it is printed once."""

from __future__ import annotations

import re
from collections.abc import Hashable, Sequence
from typing import NamedTuple


class Block(NamedTuple):
    """`times` copies of the `period` items from index `start`."""

    start: int
    period: int
    times: int

    @property
    def end(self) -> int:
        """The index after the last copy."""
        return self.start + self.period * self.times


def fold(items: Sequence[Hashable], *, longest: int, least_times: int = 2) -> list[Block]:
    """Cut the sequence into blocks, each a pattern of at most `longest` items and its repeats.

    A pattern counts as repeated from `least_times` copies on; all else is left as single items.
    From each point on the pattern that saves the most items is taken, the shortest of equals.

    >>> [tuple(block) for block in fold("kkkpkpkpkpk", longest=4)]
    [(0, 1, 3), (3, 2, 4)]
    """
    text = _lettered(items)
    repeat = re.compile(rf"(.{{1,{longest}}}?)\1{{{least_times - 1}}}", re.DOTALL)
    blocks: list[Block] = []
    start = 0
    while start < len(text):
        found = repeat.search(text, start)
        singles = range(start, found.start() if found else len(text))
        blocks += (Block(index, 1, 1) for index in singles)
        if found:
            blocks.append(_best_from(text, found.start(), longest, least_times))
        start = blocks[-1].end
    return blocks


def _lettered(items: Sequence[Hashable]) -> str:
    """A letter for each item, the same for equal ones: searched many times faster than items."""
    letters: dict[Hashable, str] = {}
    return "".join(letters.setdefault(item, chr(len(letters))) for item in items)


def _best_from(text: str, start: int, longest: int, least_times: int) -> Block:
    """The pattern from there on that saves most, the shortest of equals."""
    best = Block(start, 1, 1)
    for period in range(1, min(longest, (len(text) - start) // least_times) + 1):
        end = start + period
        while end < len(text) and text[end] == text[end - period]:
            end += 1
        times = (end - start) // period
        if times >= least_times and period * (times - 1) > best.period * (best.times - 1):
            best = Block(start, period, times)
    return best
