"""How well two inks are told apart by lightness: W3C, "Web Content Accessibility Guidelines 2.2".

Relative luminance and contrast ratio are WCAG's definitions of those names.  Its floors: 4.5 for
text (success criterion 1.4.3), 3 for graphics that carry meaning (1.4.11).
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


def contrast(one: Ink, other: Ink) -> float:
    """1 for equal lightness to 21 for black on white.

    >>> round(contrast(Ink.from_hex("#0072B2"), WHITE), 4)
    5.1854
    """
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def text_ink_on(ground: Ink) -> Ink:
    """White or black, whichever is read more easily on that ground."""
    return max((WHITE, BLACK), key=lambda ink: contrast(ink, ground))


def readable_ink(ink: Ink) -> Ink:
    """The ink, or the lightest of its hue whose contrast to white paper is enough for text.

    All three parts lose the same share of their light; then each is rounded down to one of 256
    steps, so that the contrast is never under `LEAST_TEXT`.
    """
    if contrast(ink, WHITE) >= LEAST_TEXT:
        return ink
    most = (luminance(WHITE) + 0.05) / LEAST_TEXT - 0.05
    share = most / luminance(ink)
    parts = (_encoded(share * _linear(part)) for part in (ink.red, ink.green, ink.blue))
    return Ink(*(int(part * 255) / 255 for part in parts))


def _linear(part: float) -> float:
    """The light of one part, as the definition of relative luminance has it."""
    return part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4


def _encoded(light: float) -> float:
    """`_linear` backwards."""
    return 12.92 * light if light <= 0.04045 / 12.92 else 1.055 * light ** (1 / 2.4) - 0.055
