"""What a card may be asked to be: what it tells besides the parts, and where it is punched."""

from __future__ import annotations

from enum import Enum

from charts.parts import Part


class Reference(Enum):
    """What a card may tell that is no part; the value is the word of the command line."""

    GRAFTING = "grafting"
    KEY = "key"

    @property
    def title(self) -> str:
        return _TITLES[self]


_TITLES = {Reference.GRAFTING: "Grafting", Reference.KEY: "Symbols"}

Subject = Part | Reference
SUBJECTS: tuple[Subject, ...] = (*Part, *Reference)
"""In the order they are needed."""


class Hole(Enum):
    """Where a hole is to be punched."""

    NONE = "none"
    CORNER = "corner"
    """Top left on the front, for a ring."""
