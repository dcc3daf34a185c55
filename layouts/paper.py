"""Paper and card sizes, margins, and the reading of a size somebody typed.

Sizes in mm.  A series: ISO 216 (figures read in the encyclopedia article "ISO 216").  ID-1: ISO/IEC
7810.  Letter, legal and the index and photo cards: exact inch conversions; the inch sizes are from
memory.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

MM_PER_INCH: Final = 25.4
MM_PER_PT: Final = MM_PER_INCH / 72
"""One point in mm: 1/72 inch."""

LEAST_SIDE_MM: Final = 50.0
MOST_SIDE_MM: Final = 1000.0


@dataclass(frozen=True, slots=True)
class Margins:
    """Widths of the four strips at the edges of a page, in mm."""

    top_mm: float
    right_mm: float
    bottom_mm: float
    left_mm: float

    @staticmethod
    def even(width_mm: float) -> Margins:
        """The same margin on all four sides."""
        return Margins(width_mm, width_mm, width_mm, width_mm)

    @staticmethod
    def bound(
        page_number: int, *, inner_mm: float, outer_mm: float, top_mm: float, bottom_mm: float
    ) -> Margins:
        """Margins of a page in a bound booklet: odd pages lie right of the spine, even ones left.

        >>> Margins.bound(2, inner_mm=16, outer_mm=12, top_mm=14, bottom_mm=16).right_mm
        16
        """
        if page_number % 2:
            return Margins(top_mm, outer_mm, bottom_mm, inner_mm)
        return Margins(top_mm, inner_mm, bottom_mm, outer_mm)


NO_MARGINS: Final = Margins.even(0.0)

CARD_SAFE: Final = Margins.even(6.0)
"""Clear of a card's cut edge: 3 mm for the cut and 3 mm for the laminate's rim (common practice,
no published source)."""

PRINTER_SAFE: Final = Margins.even(6.0)
"""A home printer's unprintable edge (common practice, no published source)."""


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet or card, as it is held: `width_mm` runs level."""

    name: str
    width_mm: float
    height_mm: float

    @property
    def upright(self) -> Paper:
        """The same sheet with the long side upright."""
        return self if self.height_mm >= self.width_mm else self.turned

    @property
    def level(self) -> Paper:
        """The same sheet with the long side level."""
        return self if self.width_mm >= self.height_mm else self.turned

    @property
    def turned(self) -> Paper:
        """The same sheet turned by a quarter."""
        return Paper(self.name, self.height_mm, self.width_mm)


def _inches(name: str, width_in: float, height_in: float) -> Paper:
    return Paper(name, round(width_in * MM_PER_INCH, 4), round(height_in * MM_PER_INCH, 4))


PAPERS: Final[dict[str, Paper]] = {
    paper.name: paper
    for paper in (
        Paper("a3", 297.0, 420.0),
        Paper("a4", 210.0, 297.0),
        Paper("a5", 148.0, 210.0),
        Paper("a6", 105.0, 148.0),
        Paper("a7", 74.0, 105.0),
        _inches("letter", 8.5, 11.0),
        _inches("half-letter", 5.5, 8.5),
        _inches("quarter-letter", 4.25, 5.5),
        _inches("legal", 8.5, 14.0),
        Paper("id-1", 53.98, 85.6),
        _inches("index-3x5", 3.0, 5.0),
        _inches("index-4x6", 4.0, 6.0),
        _inches("index-5x8", 5.0, 8.0),
        _inches("photo-3.5x5", 3.5, 5.0),
        _inches("photo-4x6", 4.0, 6.0),
        _inches("photo-5x7", 5.0, 7.0),
    )
}
"""Every named size, upright."""

_CUSTOM: Final = re.compile(
    r"(?P<width>\d+(?:\.\d+)?)\s*(?P<first>mm|in)?\s*[x×]\s*(?P<height>\d+(?:\.\d+)?)\s*(?P<unit>mm|in)"
)


_NO_UNIT: Final = re.compile(
    r"(?P<width>\d{1,4}(?:\.\d{1,3})?)\s*(?:cm)?\s*[x×]\s*(?P<height>\d{1,4}(?:\.\d{1,3})?)\s*(?P<unit>cm)?"
)


def read_paper(text: str) -> Paper:
    """The size with that name, or a size of its own: "105 x 148 mm", "4 x 6 in".

    Raises ValueError saying what is allowed, in one line.

    >>> read_paper("A5")
    Paper(name='a5', width_mm=148.0, height_mm=210.0)
    >>> read_paper("4 x 6 in").height_mm
    152.4
    """
    name = " ".join(text.lower().replace("_", "-").split())
    named = PAPERS.get(name.replace(" ", "-"))
    if named is not None:
        return named
    match = _CUSTOM.fullmatch(name)
    if match is None or match["first"] not in (None, match["unit"]):
        names = ", ".join(PAPERS)
        again = _with_unit(name)
        raise ValueError(
            f"unknown paper {text!r}; allowed: {names}, or a size such as 105 x 148 mm or 4 x 6 in"
            + (f"; try: {again}" if again else "")
        )
    factor = MM_PER_INCH if match["unit"] == "in" else 1.0
    width_mm = round(float(match["width"]) * factor, 4)
    height_mm = round(float(match["height"]) * factor, 4)
    for side_mm in (width_mm, height_mm):
        if not LEAST_SIDE_MM <= side_mm <= MOST_SIDE_MM:
            raise ValueError(
                f"paper side of {side_mm:g} mm; allowed: {LEAST_SIDE_MM:g} to {MOST_SIDE_MM:g} mm"
            )
    return Paper(f"{width_mm:g} x {height_mm:g} mm", width_mm, height_mm)


def _with_unit(name: str) -> str:
    """The size that was meant by one in cm or without a unit; empty if there is no telling."""
    match = _NO_UNIT.fullmatch(name)
    if match is None:
        return ""
    sides = [float(match["width"]), float(match["height"])]
    unit = "mm"
    if match["unit"] == "cm":
        sides = [10 * side for side in sides]
    elif max(sides) <= MOST_SIDE_MM / MM_PER_INCH and max(sides) < LEAST_SIDE_MM:
        unit = "in"
    return f"{sides[0]:g} x {sides[1]:g} {unit}"
