"""Cautions where a sock or its tools can hurt someone; they defer to clinicians and local rules.

Evidence behind them, none of it medical advice:

- thread round a baby's toe: J Pediatr Orthop B 2017;26(2) (two cases; washing without turning is
  the authors' suggested cause, not proven); HK J Paediatr 2012;17:119-122 (case report);
- socks alone slip on smooth floors: US National Institutes of Health, falls in older adults;
  Gerontology 2024;70(6):611 (filmed falls in care homes);
- gripped soles do not make it safe: Int J Qual Health Care 2021;33(2):mzab057 (review);
- no tight cuff or hard seam with diabetes or poor circulation: American Diabetes Association,
  https://diabetes.org/health-wellness/8-tips-protect-your-feet, and a university hospital's page on
  foot care, https://uihc.org/educational-resources/foot-care-diabetes.

That a hook's point can hurt is common sense, no published source.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from layouts.blocks import Piece
from layouts.style import PageStyle
from layouts.tables import named_row
from layouts.text import bold


@dataclass(frozen=True, slots=True)
class Caution:
    """One danger and what is usually done about it."""

    about: str
    words: str


CAUTIONS: Final = (
    Caution(
        "Hook and needles",
        "Their points can hurt. Work away from your face and the other hand, cap them when you "
        "stop, and keep them from small children.",
    ),
    Caution(
        "Babies and toddlers",
        "Leave no loose yarn, float or tail inside: it can wind round a toe and cut off the blood. "
        "Turn the sock inside out to look before the first wear and at every wash. If a baby "
        "cries and nothing explains it, take the socks off and look at each toe; if a thread is "
        "wound round one, get medical help at once.",
    ),
    Caution(
        "Smooth floors",
        "Socks alone slip on wood, tiles and stairs: wear shoes. Grips on the sole do not make "
        "them safe. Whoever falls easily should ask those who care for them.",
    ),
    Caution(
        "Tight cuffs",
        "A cuff must leave no mark on the skin and the graft no hard ridge. With diabetes, poor "
        "circulation, swollen legs or numb feet ask a clinician before you wear hand-knit "
        "socks. They do not take the place of medical stockings.",
    ),
    Caution(
        "Above all this",
        "The rules of your class, workplace or country, and the advice of a licensed clinician, "
        "come first.",
    ),
)
"""In the order of the page."""


def caution_rows(width_mm: float, style: PageStyle) -> list[Piece]:
    """The cautions as a table."""
    return [
        named_row((bold(caution.about),), caution.words, _ABOUT_MM, width_mm, style.body)
        for caution in CAUTIONS
    ]


_ABOUT_MM: Final = 30.0
"""Width of the column of names on an A5 page."""
