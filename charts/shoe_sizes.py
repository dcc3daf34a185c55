"""Shoe sizes and the foot lengths they stand for.

A size counts points along the *last*, the form a shoe is built on; the last is longer than the
foot by some room, and no two sources agree by how much.  ISO/TS 19407:2015 says itself that no
exact conversion exists (its tables, and those of ISO 19407:2023, were not readable: no conformance
is claimed).  Only Mondopoint (ISO 9407) is the foot's own length.

Where sources differ the default is the scale as published with two points of room; the others are
kept as limits, and `length_error_mm` is the distance to the farthest of them:

- room of EU lasts: 2 Paris points (13.3 mm) by default; 20 mm at most;
- room of English lasts: 2 barleycorns (16.9 mm) by default; 15 mm at least, 3 barleycorns at most
  (The Shoe and Leather Lexicon, 4th ed., 1918, has 2 or 3; a textbook of 1902 has 2 1/2);
- US women: men's number and 1 1/2 by default (as labels have it), and 1 on retail measuring scales
  (from memory);
- US child: last - 11 2/3 by default, last - 11 where the scale runs on from 13 to 1.

A newspaper table that takes the foot itself for the last is left out of the limits.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from math import floor
from typing import Final

PARIS_POINT_MM: Final = 20 / 3
"""2/3 cm: ISO/TS 19407:2015, introduction."""
BARLEYCORN_MM: Final = 25.4 / 3
"""1/3 in: Golding, The Manufacture of Boots and Shoes, London 1902."""


class Wearer(Enum):
    """Whose foot it is, as far as it matters to the statistics."""

    WOMAN = "woman"
    MAN = "man"
    CHILD = "child"


class SizeSystem(Enum):
    """The shoe-size systems; the value is how a size is written."""

    EU = "EU"
    UK = "UK"
    UK_CHILD = "child UK"
    US_MEN = "US men"
    US_WOMEN = "US women"
    US_CHILD = "child US"
    MONDOPOINT = "mondopoint"


@dataclass(frozen=True)
class Scale:
    """size = last / point - zero, last = foot + room; lengths in mm."""

    point_mm: float
    zero: float
    other_zero: float
    """The other published scale; the same where there is but one."""
    room_mm: float
    least_room_mm: float
    most_room_mm: float
    step: float
    """Sizes are sold in steps of this."""
    least: float
    most: float
    """The sizes accepted here."""
    source: str


def _english(zero: float, least: float, most: float, source: str, other_zero: float = 0) -> Scale:
    return Scale(
        point_mm=BARLEYCORN_MM,
        zero=zero,
        other_zero=other_zero or zero,
        room_mm=2 * BARLEYCORN_MM,
        least_room_mm=15,
        most_room_mm=3 * BARLEYCORN_MM,
        step=0.5,
        least=least,
        most=most,
        source=source,
    )


_TEXTBOOK = "textbook of 1902: child 1 = 4 1/3 in, child 10 = 7 1/3 in, adult 1 = 8 2/3 in"
_FORMULAS = "formulas as listed in an article of 2012, second-hand; they agree with sellers' charts"

SCALES: Final[dict[SizeSystem, Scale]] = {
    SizeSystem.EU: Scale(
        point_mm=PARIS_POINT_MM,
        zero=0,
        other_zero=0,
        room_mm=2 * PARIS_POINT_MM,
        least_room_mm=13,
        most_room_mm=20,
        step=1,
        least=14,
        most=53,
        source="Paris point: ISO/TS 19407:2015; room of 2 points: encyclopaedia",
    ),
    SizeSystem.UK: _english(25, 0, 17, _TEXTBOOK),
    SizeSystem.UK_CHILD: _english(12, 0, 13.5, _TEXTBOOK),
    SizeSystem.US_MEN: _english(24, 1, 18, _FORMULAS),
    SizeSystem.US_WOMEN: _english(22.5, 1, 19, _FORMULAS, 23),
    SizeSystem.US_CHILD: _english(11 + 2 / 3, 0, 20, _FORMULAS, 11),
    SizeSystem.MONDOPOINT: Scale(
        point_mm=1,
        zero=0,
        other_zero=0,
        room_mm=0,
        least_room_mm=0,
        most_room_mm=0,
        step=5,
        least=60,
        most=350,
        source="ISO 9407: foot length in mm; sold in steps of 5 or 7.5 mm (DIN 66074-2:1975)",
    ),
}

YOUTH_FROM: Final = 13
"""The English scales count 1 to 13 and begin again at 1."""

_WIDEST_STEP: Final = {SizeSystem.MONDOPOINT: 7.5}
"""Where sizes are also sold in wider steps than the usual ones."""


@dataclass(frozen=True)
class ShoeSize:
    """A size in one system."""

    system: SizeSystem
    size: float
    """On the child scales counted on past 13: US youth 2 is 15."""
    wearer: Wearer | None = None
    """Where the words or the system tell."""

    @property
    def text(self) -> str:
        """As a designer writes it.

        >>> ShoeSize(SizeSystem.US_CHILD, 15).text, ShoeSize(SizeSystem.EU, 38 + 2 / 3).text
        ('US youth 2', 'EU 38 2/3')
        """
        if self.system is SizeSystem.US_CHILD and self.size > YOUTH_FROM + 0.5:
            return f"US youth {size_words(self.size - YOUTH_FROM)}"
        return f"{self.system.value} {size_words(self.size)}"

    @property
    def foot_length_mm(self) -> float:
        """The foot length it stands for, by the default scale."""
        scale = SCALES[self.system]
        return (self.size + scale.zero) * scale.point_mm - scale.room_mm

    @property
    def length_limits_mm(self) -> tuple[float, float]:
        """Shortest and longest foot by all the sourced rules, half a size step included."""
        scale = SCALES[self.system]
        half_step = _WIDEST_STEP.get(self.system, scale.step) * scale.point_mm / 2
        zeros = (scale.zero, scale.other_zero)
        shortest = (self.size + min(zeros)) * scale.point_mm - scale.most_room_mm
        longest = (self.size + max(zeros)) * scale.point_mm - scale.least_room_mm
        return shortest - half_step, longest + half_step

    @property
    def length_error_mm(self) -> float:
        """How far the foot may be from `foot_length_mm`, by the sources that differ most.

        A limit, not a deviation: about 10 mm for EU, 11 mm for UK and US, 16 mm for US child
        sizes, 4 mm for Mondopoint.
        """
        shortest, longest = self.length_limits_mm
        return max(self.foot_length_mm - shortest, longest - self.foot_length_mm)


GIRTH_ERROR: Final = 0.08
"""A shoe size says the round of the foot to about this share: 95 adults in 100 lie within 2
residual deviations of the line of ball circumference on foot length, ANSUR II (2012)."""


def size_on_scale(system: SizeSystem, foot_length_mm: float) -> float:
    """The exact size of a foot, not rounded to the sizes that are sold.

    >>> round(size_on_scale(SizeSystem.UK, 245), 2), size_on_scale(SizeSystem.MONDOPOINT, 245)
    (5.94, 245.0)
    """
    scale = SCALES[system]
    return (foot_length_mm + scale.room_mm) / scale.point_mm - scale.zero


def nearest_shoe(system: SizeSystem, foot_length_mm: float) -> ShoeSize | None:
    """The nearest size sold, the larger of two as near; None where the system has no such size.

    A child's UK size past 13 1/2 is given on the adult scale, which goes on from there.

    >>> nearest_shoe(SizeSystem.EU, 240).text
    'EU 38'
    """
    scale = SCALES[system]
    # A hair below half a step rounds up too: sizes that are exact on paper stay so in floats.
    steps = size_on_scale(system, foot_length_mm) / scale.step
    size = floor(steps + 0.5 + 1e-9) * scale.step
    if system is SizeSystem.UK_CHILD and size > scale.most:
        adult = nearest_shoe(SizeSystem.UK, foot_length_mm)
        return adult and ShoeSize(SizeSystem.UK, adult.size, Wearer.CHILD)
    if not scale.least <= size <= scale.most:
        return None
    return ShoeSize(system, size, _WEARER_OF_SYSTEM.get(system))


def shoes_for(foot_length_mm: float, wearer: Wearer | None = None) -> tuple[ShoeSize, ...]:
    """The nearest size in each system that suits the wearer, for a size table.

    >>> [shoe.text for shoe in shoes_for(240, Wearer.WOMAN)]
    ['EU 38', 'UK 5.5', 'US women 8', 'mondopoint 240']
    """
    systems = {
        Wearer.WOMAN: (SizeSystem.UK, SizeSystem.US_WOMEN),
        Wearer.MAN: (SizeSystem.UK, SizeSystem.US_MEN),
        Wearer.CHILD: (SizeSystem.UK_CHILD, SizeSystem.US_CHILD),
        None: (SizeSystem.UK, SizeSystem.US_MEN, SizeSystem.US_WOMEN),
    }[wearer]
    found = (
        nearest_shoe(system, foot_length_mm)
        for system in (SizeSystem.EU, *systems, SizeSystem.MONDOPOINT)
    )
    return tuple(shoe for shoe in found if shoe is not None)


_WEARER_OF_SYSTEM: Final = {
    SizeSystem.UK_CHILD: Wearer.CHILD,
    SizeSystem.US_MEN: Wearer.MAN,
    SizeSystem.US_WOMEN: Wearer.WOMAN,
    SizeSystem.US_CHILD: Wearer.CHILD,
}


def size_words(number: float) -> str:
    """A size without needless zeros; thirds as fractions.

    >>> [size_words(value) for value in (38.0, 9.5, 38 + 1 / 3)]
    ['38', '9.5', '38 1/3']
    """
    thirds = round(number * 3)
    if thirds % 3 and abs(number * 3 - thirds) < 1e-6:
        return f"{thirds // 3} {thirds % 3}/3"
    return f"{number:g}"
