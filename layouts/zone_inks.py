"""The colours of the zones of a sock; shape, number or name tells the same wherever they are.

The palette is that of Okabe and Ito, "Color Universal Design" (2002, modified 2008), chosen by its
authors for the common kinds of colour vision.  Which zone has which is ours: of all ways to give
seven colours to seven zones this is one of those in which neighbours differ most as people with a
colour vision deficiency see them (simulated after Machado, Oliveira and Fernandes, IEEE TVCG 15(6),
2009).  Told apart by lightness alone they are not: no meaning may rest on them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from charts.parts import Part
from layouts.scene import Ink

ORANGE: Final = Ink.from_hex("#E69F00")
SKY_BLUE: Final = Ink.from_hex("#56B4E9")
BLUISH_GREEN: Final = Ink.from_hex("#009E73")
YELLOW: Final = Ink.from_hex("#F0E442")
BLUE: Final = Ink.from_hex("#0072B2")
VERMILLION: Final = Ink.from_hex("#D55E00")
REDDISH_PURPLE: Final = Ink.from_hex("#CC79A7")

TINT_SHARE: Final = 0.35
"""Colour in a tint, the rest is white: neighbouring tints differ as much as they must, and black
signs stay clear on them."""


@dataclass(frozen=True, slots=True)
class ZoneInks:
    """One ink for each zone, as strong as on a thumb mark; `tinted` for grounds."""

    cuff: Ink
    instep: Ink
    heel: Ink
    turn: Ink
    gusset: Ink
    toe: Ink
    panel: Ink

    def of_zone(self, name: str) -> Ink | None:
        """The ink of a zone by the name that charts and the loom map print; None for one that
        stays white, the middle of the toe."""
        return {
            "heel": self.heel,
            "sole": self.heel,
            "instep": self.instep,
            "panel": self.panel,
            "gusset": self.gusset,
            "turn": self.turn,
            "toe": self.toe,
            "side": self.toe,
        }.get(name)

    def of_part(self, part: Part) -> Ink | None:
        """The ink of a part of the sock; None for the closing, a seam."""
        return {
            Part.CUFF: self.cuff,
            Part.LEG: self.instep,
            Part.FLAP: self.heel,
            Part.TURN: self.turn,
            Part.FOOT: self.gusset,
            Part.TOE: self.toe,
        }.get(part)


ZONE_INKS: Final = ZoneInks(
    cuff=SKY_BLUE,
    instep=YELLOW,
    heel=BLUE,
    turn=ORANGE,
    gusset=VERMILLION,
    toe=BLUISH_GREEN,
    panel=REDDISH_PURPLE,
)


def tinted(ink: Ink) -> Ink:
    """The ink as a ground for black signs."""
    return Ink(*(1 - TINT_SHARE * (1 - part) for part in (ink.red, ink.green, ink.blue)))
