"""Lengths as a knitter writes them, "3/8 in" or "9.5 mm", read exactly into millimetres.

The arithmetic is on whole numbers up to one last division, so the millimetres are the float
nearest to the true value; `fractions` would give the same and costs more to import than to use.
"""

from __future__ import annotations

import re
from typing import Final

from charts.pattern_words import shortened

LENGTH_FORMS: Final = 'a length such as "3/8 in", "1 1/4 in", "9.5 mm" or "0.95 cm"'
"""What may be written, for messages."""

_TENTHS_OF_MM: Final = {
    "mm": 10,
    "cm": 100,
    "in": 254,
    "inch": 254,
    "inches": 254,
    '"': 254,
    "″": 254,
}
"""An inch is 25.4 mm exactly: NIST Special Publication 811 (2008), appendix B.8."""

_UNIT_BEGINNINGS: Final = {"mi": "mm", "mm": "mm", "c": "cm", "i": "in", "”": "in", "'": "in"}
"""How a misspelt unit begins, and the unit to try."""

_SIGNS: Final = {
    "½": " 1/2",
    "¼": " 1/4",
    "¾": " 3/4",
    "⅛": " 1/8",
    "⅜": " 3/8",
    "⅝": " 5/8",
    "⅞": " 7/8",
    "⁄": "/",
}
"""One-character fractions and the fraction slash, as written with plain characters."""

_SHAPE: Final = re.compile(r"([-+0-9./, ]*)(.*)", re.DOTALL)
_WHOLE_AND_FRACTION: Final = re.compile(r"(?:([0-9]{1,6})[ -])?([0-9]{1,6})/([0-9]{1,6})")
_DECIMAL: Final = re.compile(r"([0-9]{0,6})(?:\.([0-9]{1,6}))?")


class LengthError(ValueError):
    """A text that is no length."""

    def __init__(self, what: str, suggestion: str = "") -> None:
        self.what = what
        """What is wrong, without a full stop."""
        self.suggestion = suggestion
        """A length to write instead; empty if none can be guessed."""
        text = f"{what}; allowed: {LENGTH_FORMS}"
        super().__init__(f'{text}; try: "{suggestion}"' if suggestion else text)


def read_length(text: str) -> float:
    """The length in millimetres.

    A number is whole, decimal, a fraction, or a whole number and a fraction; a unit must follow.
    Raises LengthError for anything else, and for a length that is not above zero.

    >>> read_length("3/8 in"), read_length("1 1/4 in"), read_length("½ in")
    (9.525, 31.75, 12.7)
    >>> read_length("0.95 cm")
    9.5
    """
    plain = text.lower()
    for sign, written in _SIGNS.items():
        plain = plain.replace(sign, written)
    shape = _SHAPE.fullmatch(" ".join(plain.split()))
    number, unit = (part.strip() for part in shape.groups()) if shape else ("", "")
    if not number:
        raise LengthError("a length needs a number")
    if not unit:
        raise LengthError(
            "a length needs a unit", f"{number} in" if "/" in number else f"{number} mm"
        )
    tenths = _TENTHS_OF_MM.get(unit.rstrip("."))
    if tenths is None:
        guess = next((good for bad, good in _UNIT_BEGINNINGS.items() if unit.startswith(bad)), "")
        raise LengthError(
            f"'{shortened(unit)}' is not a unit of length", f"{number} {guess}" if guess else ""
        )
    numerator, denominator = _number(number, unit)
    if numerator == 0:
        raise LengthError("a length must be above zero")
    return numerator * tenths / (denominator * 10)


def _number(number: str, unit: str) -> tuple[int, int]:
    """Numerator and denominator of a number as written."""
    if number.startswith("-"):
        raise LengthError("a length must be above zero")
    fraction = _WHOLE_AND_FRACTION.fullmatch(number)
    if fraction:
        whole, numerator, denominator = (int(part or 0) for part in fraction.groups())
        if denominator == 0:
            raise LengthError(f"'{number}' divides by zero")
        if whole and numerator >= denominator:
            raise LengthError(f"the fraction of '{number}' is not below one")
        return whole * denominator + numerator, denominator
    decimal = _DECIMAL.fullmatch(number)
    if decimal and decimal.group():
        digits = decimal.group(2) or ""
        return int(decimal.group(1) + digits), 10 ** len(digits)
    point = number.replace(",", ".")
    again = f"{point} {unit}" if "," in number and _DECIMAL.fullmatch(point) else ""
    raise LengthError(f"'{shortened(number)}' is not a number", again)
