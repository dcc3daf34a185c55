"""How well two inks are told apart by lightness: relative luminance and contrast of WCAG 2.2.

Floors of WCAG 2.2: 4.5 for text (1.4.3), 3 for graphics that carry meaning (1.4.11).
"""

from __future__ import annotations

from typing import Final

from layouts.scene import BLACK, WHITE, Ink

LEAST_TEXT: Final = 4.5
LEAST_GRAPHICS: Final = 3.0


def luminance(ink: Ink) -> float:
    """0 for black to 1 for white."""
    red, green, blue = map(_linear, (ink.red, ink.green, ink.blue))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _linear(part: float) -> float:
    return part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4


def contrast(one: Ink, other: Ink) -> float:
    """1 for equal lightness to 21 for black on white.

    >>> round(contrast(Ink.from_hex("#0072B2"), WHITE), 2)
    5.19
    """
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def text_ink_on(ground: Ink) -> Ink:
    """White or black, whichever is read more easily on that ground."""
    return max((WHITE, BLACK), key=lambda ink: contrast(ink, ground))
