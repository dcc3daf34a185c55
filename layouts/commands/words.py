"""Lengths and amounts as the commands print them: both units, the pattern's own first."""

from __future__ import annotations

from collections.abc import Sequence

from charts.spec import Units
from charts.yarn_need import whole_up

MM_PER_INCH = 25.4
"""Exactly: NIST Special Publication 811 (2008), appendix B.8."""


def length_in_both(length_mm: float, units: Units) -> str:
    """To a millimetre and a tenth of an inch.

    >>> length_in_both(213.4, Units.CM), length_in_both(213.4, Units.IN)
    ('21.3 cm (8.4 in)', '8.4 in (21.3 cm)')
    """
    return units.told(f"{length_mm / 10:.1f} cm", f"{length_mm / MM_PER_INCH:.1f} in")


def yarn_in_both(metres: float, yards: float, units: Units) -> str:
    """To whole metres and yards, rounded up as yarn is everywhere.

    >>> yarn_in_both(91.44, 100, Units.IN)
    '100 yd (92 m)'
    """
    return units.told(f"{whole_up(metres)} m", f"{whole_up(yards)} yd")


def table_lines(rows: Sequence[Sequence[str]], *, numbers_from: int | None = None) -> list[str]:
    """The rows as lines of text with columns under one another, two blanks between.

    Columns from `numbers_from` on are set against their right edge.

    >>> table_lines([("size", "pegs"), ("Small", "8")], numbers_from=1)
    ['size   pegs', 'Small     8']
    """
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    right = len(widths) if numbers_from is None else numbers_from
    return [
        "  ".join(
            cell.rjust(width) if column >= right else cell.ljust(width)
            for column, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in rows
    ]
