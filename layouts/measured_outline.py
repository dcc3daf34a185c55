"""The sock drawn to scale from its measures, with the measured places lettered.

Seen from the side as it is worn: heights are measured up the back, lengths along the sole, and the
leg is as thick as a tube of the sock's round.
"""

from __future__ import annotations

from layouts.paper import MM_PER_INCH

_EIGHTHS = ("", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞")


def cm_words(length_mm: float) -> str:
    """Centimetres to the millimetre, without the unit.

    >>> cm_words(220.0), cm_words(66.66)
    ('22.0', '6.7')
    """
    return f"{length_mm / 10:.1f}"


def inch_words(length_mm: float) -> str:
    """Inches to the nearest eighth, without the unit.

    >>> inch_words(220.0), inch_words(25.4), inch_words(6.0), inch_words(1.0)
    ('8⅝', '1', '¼', '0')
    """
    whole, eighths = divmod(round(length_mm / MM_PER_INCH * 8), 8)
    return f"{whole or ('' if eighths else 0)}{_EIGHTHS[eighths]}"
