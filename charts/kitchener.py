"""Kitchener stitch in stockinette, pass by pass.

Set-up and the four moves as published in many places (a knitting magazine's column of 26 May 2022
among them); the two-move ending follows from each loop being entered twice (from memory).  So n
pairs take 2 + 4(n - 1) + 2 = 4n passes.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from charts.spec import Units


@dataclass(frozen=True, slots=True)
class Pass:
    """One pass of the darning needle through the first loop of a needle."""

    needle: str
    """ "front" or "back"."""
    knitwise: bool
    off: bool
    """The loop is taken off the needle; else it stays for its second pass."""
    is_next: bool = False
    """The loop before it has just been taken off the same needle."""

    @property
    def loop(self) -> str:
        """Which loop of the needle."""
        return "next loop" if self.is_next else "first loop"

    @property
    def words(self) -> str:
        how = "knitwise" if self.knitwise else "purlwise"
        end = "take it off" if self.off else "leave it on"
        return f"{self.needle.capitalize()} needle, {self.loop}: {how}; {end}."


SETTING_UP: Final = (Pass("front", False, False), Pass("back", True, False))
LOOP: Final = (
    Pass("front", True, True),
    Pass("front", False, False, is_next=True),
    Pass("back", False, True),
    Pass("back", True, False, is_next=True),
)
ENDING: Final = (Pass("front", True, True), Pass("back", False, True))


def passes_of(pairs: int) -> tuple[Pass, ...]:
    """Every pass of the grafting, in order."""
    return (*SETTING_UP, *(LOOP * (pairs - 1)), *ENDING)


def graft_words(pairs: int, units: Units = Units.CM) -> tuple[str, ...]:
    """The whole grafting in sentences, from cutting the yarn to weaving in the ends."""
    again = "once" if pairs == 2 else f"{pairs - 1} times"
    return (
        "Cut the yarn, leaving a tail four times as long as the toe is wide and "
        f"{units.told('25 cm', '10 in')} at the least; thread the darning needle.",
        "Set up, once: " + " ".join(one.words for one in SETTING_UP),
        f"Then, {again}: " + " ".join(one.words for one in LOOP),
        "At the end, once: " + " ".join(one.words for one in ENDING),
        "Draw the tail through, close the corners with it, and weave in all ends.",
    )
