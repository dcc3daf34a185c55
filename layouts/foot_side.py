"""Which foot: a word of options, kept apart from what is slow to import."""

from __future__ import annotations

from enum import Enum


class FootSide(Enum):
    """Which foot, as its wearer sees it from above."""

    LEFT = "left"
    RIGHT = "right"
