"""Finding what repeats in a sequence, so that it is printed once."""

from __future__ import annotations

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
    blocks: list[Block] = []
    start = 0
    while start < len(items):
        best = Block(start, 1, 1)
        for period in range(1, min(longest, (len(items) - start) // least_times) + 1):
            end = start + period
            while end < len(items) and items[end] == items[end - period]:
                end += 1
            times = (end - start) // period
            if times >= least_times and period * (times - 1) > best.period * (best.times - 1):
                best = Block(start, period, times)
        blocks.append(best)
        start = best.end
    return blocks
