"""Munden's relations between loop length and density of plain knit.

Courses C and wales W in a length are Kc / l and Kw / l, loops in an area Ks / l^2, with l in the
same unit.  The constants have no unit.  Attributed to Munden 1959, the fully relaxed row to
Knapton; as tabulated in D. J. Spencer, Knitting Technology, 3rd ed., 2001, sections 22.5-22.6 (read
as copied out by others).  The published Ks is not exactly Kc Kw: the figures are rounded.  They
were found on worsted-spun wool; cotton and blends differ.
"""

from __future__ import annotations

from enum import Enum
from math import sqrt
from typing import Final, NamedTuple


class Relaxation(Enum):
    """How far the fabric has come to rest."""

    DRY = "dry-relaxed"
    """Off the loom and left to rest."""
    WET = "wet-relaxed"
    """Soaked and dried flat."""
    FULL = "fully relaxed"
    """Washed several times, or soaked and tumbled dry."""


class Munden(NamedTuple):
    """Munden's constants of one state."""

    courses: float
    """Kc"""
    wales: float
    """Kw"""
    density: float
    """Ks, as published"""


MUNDEN: Final = {
    Relaxation.DRY: Munden(5.0, 3.8, 19.0),
    Relaxation.WET: Munden(5.3, 4.1, 21.6),
    Relaxation.FULL: Munden(5.5, 4.2, 23.1),
}


def loop_length_mm(
    stitches_per_10cm: float, rows_per_10cm: float, state: Relaxation = Relaxation.FULL
) -> float:
    """l = sqrt(Ks / (C W)), in mm: the steadiest of the three relations for a hand gauge.

    >>> round(loop_length_mm(20, 28), 2)
    20.31
    """
    return 100 * sqrt(MUNDEN[state].density / (stitches_per_10cm * rows_per_10cm))


def loop_length_from_stitches_mm(
    stitches_per_10cm: float, state: Relaxation = Relaxation.FULL
) -> float:
    """l = Kw / W, in mm."""
    return 100 * MUNDEN[state].wales / stitches_per_10cm


def loop_length_from_rows_mm(rows_per_10cm: float, state: Relaxation = Relaxation.FULL) -> float:
    """l = Kc / C, in mm."""
    return 100 * MUNDEN[state].courses / rows_per_10cm


def density_of(loop_mm: float, state: Relaxation = Relaxation.FULL) -> tuple[float, float]:
    """Stitches and rows in 10 cm of plain knit with that loop.

    >>> [round(count, 1) for count in density_of(3.5)]
    [120.0, 157.1]
    """
    return 100 * MUNDEN[state].wales / loop_mm, 100 * MUNDEN[state].courses / loop_mm
