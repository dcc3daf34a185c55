"""The ring of pegs, and which way the first round runs."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import NewType

PegNumber = NewType("PegNumber", int)
"""A peg, 1..N in the direction of the first round."""


class Working(Enum):
    """Which way the first round runs, seen by the knitter from outside the ring."""

    LEFT_TO_RIGHT = "left to right"
    RIGHT_TO_LEFT = "right to left"


UP = 1
"""Direction of a row towards higher peg numbers: the way the first round runs."""
DOWN = -1
"""Direction of a row towards lower peg numbers."""


@dataclass(frozen=True)
class Loom:
    """A round peg loom."""

    pegs: int
    spacing_mm: float
    """Centre to centre of neighbouring pegs."""
    spacing_text: str
    """The spacing as the designer wrote it, e.g. "3/8 in"."""
    working: Working = Working.LEFT_TO_RIGHT

    def wrap(self, number: int) -> PegNumber:
        """The peg with that number, counting on round the ring: N + 1 is peg 1."""
        return PegNumber((number - 1) % self.pegs + 1)

    def run(self, first: int, last: int) -> tuple[PegNumber, ...]:
        """Pegs from `first` to `last`, both counted on round the ring; downwards if `last` is
        the smaller.

        >>> Loom(40, 9.525, "3/8 in").run(39, 42)
        (39, 40, 1, 2)
        """
        step = UP if last >= first else DOWN
        return tuple(self.wrap(number) for number in range(first, last + step, step))

    @property
    def rightward(self) -> int:
        """The change of peg number when the knitter's eye goes one peg to the right."""
        return UP if self.working is Working.LEFT_TO_RIGHT else DOWN
