"""Loop length: the yarn in one stitch, from a swatch or from the knitted density; tightness."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from math import sqrt
from typing import Final

from charts.gauge import GaugeReading
from charts.munden import (
    Relaxation,
    loop_length_from_rows_mm,
    loop_length_from_stitches_mm,
    loop_length_mm,
)


class LoopMethod(Enum):
    """How a loop length was found, surest first."""

    SWATCH_LENGTH = "yarn measured out of a swatch"
    SWATCH_WEIGHT = "yarn weighed in a swatch"
    GEOMETRY = "from the gauge, by Munden's constants"


@dataclass(frozen=True)
class LoopLength:
    """The yarn in one plain stitch of the sock's own knit."""

    mm: float
    low_mm: float
    high_mm: float
    knit: str
    method: LoopMethod
    basis: str
    """What it rests on, in words; no full stop."""


E_WRAP_TWIST: Final = 1.1
"""An e-wrap loop crosses its legs, which Munden's plain loop does not: estimate."""

COUNTED_BACK_MM: Final = 10
"""Yarn drawn straight from a swatch is measured to about this: estimate."""
SCALE_GRAMS: Final = 1.0
"""What a household scale shows: read to half of it."""


def loop_from_gauge(reading: GaugeReading, *, state: Relaxation = Relaxation.FULL) -> LoopLength:
    """By loop geometry from stitches and rows.

    The limits are the smallest and largest of all states by density, and of this state by the
    stitches alone and the rows alone, each widened by the gauge's own spread.
    """
    stitches, rows = reading.stitches.per_10cm, reading.rows.per_10cm
    twist = E_WRAP_TWIST if reading.knit == "e-wrap" else 1.0
    ways = [loop_length_mm(stitches, rows, other) for other in Relaxation]
    ways.append(loop_length_from_stitches_mm(stitches, state))
    ways.append(loop_length_from_rows_mm(rows, state))
    spread = sqrt(reading.stitches.share**2 + reading.rows.share**2) / 2
    basis = f"{stitches:.1f} stitches and {rows:.1f} rows in 10 cm, Munden's plain knit"
    if twist != 1.0:
        basis += ", and a tenth more for the crossed loop (estimate)"
    return LoopLength(
        twist * loop_length_mm(stitches, rows, state),
        twist * min(ways) * (1 - spread),
        twist * max(ways) * (1 + spread),
        reading.knit,
        LoopMethod.GEOMETRY,
        f"{basis}, {state.value}",
    )


def loop_from_swatch_length(stitches: int, length_mm: float, *, knit: str = "flat") -> LoopLength:
    """From the yarn of so many stitches, drawn out straight and not stretched.

    EN 14970:2006 finds the stitch length of a knit by unravelling; 20 stitches are usual.
    """
    if stitches < 1 or length_mm <= 0:
        raise ValueError("the swatch needs stitches and a length of yarn")
    off = COUNTED_BACK_MM / length_mm
    mm = length_mm / stitches
    basis = f"{stitches} stitches held {length_mm:.0f} mm of yarn"
    return _measured(mm, off, knit, LoopMethod.SWATCH_LENGTH, basis)


def loop_from_swatch_weight(
    stitches: int, grams: float, *, metres_per_100g: float, knit: str = "flat"
) -> LoopLength:
    """From the weight of a swatch of so many stitches, edges and tails left out."""
    if stitches < 1 or grams <= 0 or metres_per_100g <= 0:
        raise ValueError("the swatch needs stitches, a weight and the yarn's metres")
    off = SCALE_GRAMS / 2 / grams
    mm = grams * metres_per_100g * 10 / stitches
    basis = f"{stitches} stitches weighed {grams:g} g at {metres_per_100g:g} m in 100 g"
    return _measured(mm, off, knit, LoopMethod.SWATCH_WEIGHT, basis)


def _measured(mm: float, off: float, knit: str, method: LoopMethod, basis: str) -> LoopLength:
    return LoopLength(mm, mm * max(1 - off, 0.0), mm * (1 + off), knit, method, basis)


# Tightness

OPEN_BELOW: Final = 9.5
STIFF_ABOVE: Final = 15.0
"""In sqrt(tex) / cm: plain machine knits lie at 13 to 15 (Spencer and a second text), hand-knit
socks at about 11.5 to 14 (computed, common practice); the warnings' limits are ours.  Loops touch
at 15.5 by Chamberlain's model (l/d = 16.67)."""


def tightness(loop_mm: float, *, metres_per_100g: float) -> float:
    """The tightness factor sqrt(tex) / l, in sqrt(tex) / cm; tex is grams a kilometre.

    >>> round(tightness(20.31, metres_per_100g=200), 1)
    11.0
    """
    return sqrt(100_000 / metres_per_100g) / (loop_mm / 10)


def tightness_warning(loop_mm: float, *, metres_per_100g: float) -> str:
    """A sentence for a fabric too open or too stiff for a sock; empty if it is neither."""
    factor = tightness(loop_mm, metres_per_100g=metres_per_100g)
    if factor < OPEN_BELOW:
        return (
            f"The fabric is open for a sock (tightness {factor:.1f}, socks have about 11.5 to 14): "
            "it will wear out soon; take a thicker yarn or two strands"
        )
    if factor > STIFF_ABOVE:
        return (
            f"The fabric is very stiff (tightness {factor:.1f}, socks have about 11.5 to 14) and "
            "hard on the hook: take a thinner yarn"
        )
    return ""
