"""Lengths as they are printed, in the units asked for."""

from __future__ import annotations

from typing import Final

from charts.spec import Units
from layouts.paper import MM_PER_INCH
from layouts.text import NO_BREAK_SPACE

_QUARTERS: Final = ("", "¼", "½", "¾")


def length_words(length_mm: float, units: Units) -> str:
    """The length to half a centimetre and a quarter inch.

    >>> length_words(250, Units.CM).replace(NO_BREAK_SPACE, " ")
    '25 cm (9¾ in)'
    >>> length_words(69, Units.IN).replace(NO_BREAK_SPACE, " ")
    '2¾ in (7 cm)'
    >>> length_words(250, Units.ONLY_IN).replace(NO_BREAK_SPACE, " ")
    '9¾ in'
    """
    in_cm, in_inches = length_numbers(length_mm)
    metric, inches = f"{in_cm}{NO_BREAK_SPACE}cm", f"{in_inches}{NO_BREAK_SPACE}in"
    return units.told(metric, inches)


def length_numbers(length_mm: float) -> tuple[str, str]:
    """The number of centimetres to a half, and of inches to a quarter.

    >>> length_numbers(250)
    ('25', '9¾')
    """
    halves = round(length_mm / 5)
    whole, quarter = divmod(round(length_mm / MM_PER_INCH * 4), 4)
    return (
        f"{halves // 2}{'.5' if halves % 2 else ''}",
        f"{whole or ('' if quarter else 0)}{_QUARTERS[quarter]}",
    )
