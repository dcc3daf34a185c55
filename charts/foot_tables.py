"""Published measurements of feet, as tables: adults, children by age, a last-maker's girths.

All lengths in mm unless a name says otherwise.
"""

from __future__ import annotations

from enum import Enum
from typing import Final, NamedTuple

from charts.shoe_sizes import Wearer


class Place(Enum):
    """Where a foot is measured."""

    LENGTH = "foot length"
    BALL = "ball circumference"
    """Round the widest part, over the joints of the toes."""
    ANKLE = "ankle circumference"
    """The least round above the ankle bones."""
    HEEL_ANKLE = "heel-to-ankle round"
    """Over the heel's point and the bend of the ankle: what a sock must stretch over."""
    CALF = "calf circumference"
    HEEL_WIDTH = "heel width"
    ANKLE_HEIGHT = "ankle bone height"
    """Floor to the outer ankle bone."""


class Spread(NamedTuple):
    """How a measure is spread over a sample."""

    mean_mm: float
    sd_mm: float
    percentiles_mm: tuple[float, ...]
    """At `PERCENTS`."""


PERCENTS: Final = (1, 5, 10, 25, 50, 75, 90, 95, 99)

ADULTS: Final[dict[tuple[Wearer, Place], Spread]] = {
    (Wearer.WOMAN, Place.LENGTH): Spread(
        246.29, 12.44, (219, 226, 230, 238, 246, 254, 263, 267.8, 276)
    ),
    (Wearer.WOMAN, Place.BALL): Spread(
        228.11, 11.77, (203, 209, 214, 220, 227, 236, 244, 248, 257)
    ),
    (Wearer.WOMAN, Place.ANKLE): Spread(
        215.74, 14.89, (185, 193, 197, 205, 215, 225, 235, 242, 255)
    ),
    (Wearer.WOMAN, Place.HEEL_ANKLE): Spread(
        310.32, 15.31, (277, 287, 292, 300, 310, 320, 330, 337, 348)
    ),
    (Wearer.WOMAN, Place.CALF): Spread(
        373.26, 28.52, (312.7, 328, 338, 354, 372, 391.8, 410, 423, 452)
    ),
    (Wearer.WOMAN, Place.HEEL_WIDTH): Spread(67.16, 5.17, (57, 60, 61, 64, 67, 70, 74, 76, 80.2)),
    (Wearer.WOMAN, Place.ANKLE_HEIGHT): Spread(62.75, 5.11, (51, 54, 57, 59, 63, 66, 69, 71, 75)),
    (Wearer.MAN, Place.LENGTH): Spread(271.18, 13.1, (242, 250, 254, 263, 271, 280, 288, 293, 302)),
    (Wearer.MAN, Place.BALL): Spread(
        252.02, 12.94, (224, 232, 236, 243, 252, 261, 268.9, 273, 284)
    ),
    (Wearer.MAN, Place.ANKLE): Spread(
        229.34, 14.65, (198, 206, 211, 219.2, 228, 239, 248, 254, 268)
    ),
    (Wearer.MAN, Place.HEEL_ANKLE): Spread(
        343.47, 16.62, (307, 317, 323, 333, 343, 354, 365, 372, 385)
    ),
    (Wearer.MAN, Place.CALF): Spread(
        392.26, 29.71, (329.8, 346, 355, 372, 392, 412, 430, 443, 467)
    ),
    (Wearer.MAN, Place.HEEL_WIDTH): Spread(72.51, 5.47, (61, 64, 66, 69, 72, 76, 80, 82, 87)),
    (Wearer.MAN, Place.ANKLE_HEIGHT): Spread(72.9, 5.67, (60, 64, 66, 69, 73, 77, 80, 83, 87)),
}
"""ANSUR II: 2012 Anthropometric Survey of U.S. Army Personnel, Natick/TR-15/007 (2014), 1986 women
and 4082 men; computed from the public record-level files, quantiles by linear interpolation.  A
fit, standing, working-age sample: not the whole public."""


class Line(NamedTuple):
    """y = intercept + slope x, fitted to a sample."""

    slope: float
    intercept_mm: float
    pearson_r: float
    residual_sd_mm: float


LINES: Final[dict[tuple[Wearer, Place, Place], Line]] = {
    (Wearer.WOMAN, Place.BALL, Place.LENGTH): Line(0.5732, 86.94, 0.606, 9.37),
    (Wearer.WOMAN, Place.ANKLE, Place.LENGTH): Line(0.513, 89.4, 0.428, 13.46),
    (Wearer.WOMAN, Place.HEEL_ANKLE, Place.LENGTH): Line(0.9883, 66.9, 0.803, 9.13),
    (Wearer.WOMAN, Place.CALF, Place.LENGTH): Line(0.9406, 141.59, 0.41, 26.01),
    (Wearer.WOMAN, Place.ANKLE, Place.BALL): Line(0.7468, 45.39, 0.59, 12.02),
    (Wearer.WOMAN, Place.HEEL_ANKLE, Place.BALL): Line(0.9617, 90.96, 0.739, 10.31),
    (Wearer.MAN, Place.BALL, Place.LENGTH): Line(0.5895, 92.15, 0.597, 10.38),
    (Wearer.MAN, Place.ANKLE, Place.LENGTH): Line(0.5468, 81.06, 0.489, 12.78),
    (Wearer.MAN, Place.HEEL_ANKLE, Place.LENGTH): Line(1.0067, 70.49, 0.794, 10.11),
    (Wearer.MAN, Place.CALF, Place.LENGTH): Line(0.8503, 161.68, 0.375, 27.54),
    (Wearer.MAN, Place.ANKLE, Place.BALL): Line(0.7726, 34.63, 0.682, 10.71),
    (Wearer.MAN, Place.HEEL_ANKLE, Place.BALL): Line(0.9595, 101.67, 0.747, 11.05),
}
"""The first place on the second, ANSUR II as above."""


class GirthRow(NamedTuple):
    """One size of a last-maker's scale, in inches."""

    joint_girth_in: float
    last_length_in: float


_CHILD_GIRTHS_IN = (
    4.5625, 4.75, 4.9375, 5.125, 5.3125, 5.5, 5.6875, 5.875, 6.0625, 6.25, 6.5, 6.75, 7.0,
)  # fmt: skip
_ADULT_GIRTHS_IN = (7.25, 7.5, 7.75, 8.0, 8.25, 8.5)

LAST_GIRTHS: Final = tuple(
    GirthRow(girth, 4 + (number + 1) / 3)
    for number, girth in enumerate(_CHILD_GIRTHS_IN + _ADULT_GIRTHS_IN)
)
"""UK child 1 to 13, then adult 1 to 6: male scale, medium ("3") fitting, from The Manufacture of
Boots and Shoes (Golding; Chapman & Hall, London 1902).  Girths of lasts, not of feet, and old: a
rough figure, but no measured girths of children's feet by age were found."""

LAST_ROOM_IN: Final = 2.5 / 3
"""The last is 2 1/2 sizes longer than the foot, by the same book."""


class Sample(NamedTuple):
    """Foot lengths of one sex and age."""

    people: int
    mean_mm: float
    sd_mm: float


class AgeRow(NamedTuple):
    boys: Sample
    girls: Sample


CHILDREN: Final[dict[int, AgeRow]] = {
    2: AgeRow(Sample(54, 144.8, 11.5), Sample(55, 141.1, 8.7)),
    3: AgeRow(Sample(123, 156.4, 7.8), Sample(93, 154.2, 11.2)),
    4: AgeRow(Sample(128, 167.6, 10.0), Sample(125, 165.4, 9.5)),
    5: AgeRow(Sample(125, 175.4, 11.0), Sample(110, 173.3, 9.4)),
    6: AgeRow(Sample(99, 185.9, 11.8), Sample(116, 183.3, 11.1)),
    7: AgeRow(Sample(110, 194.0, 10.5), Sample(108, 192.5, 11.3)),
    8: AgeRow(Sample(97, 205.3, 11.8), Sample(112, 201.4, 11.8)),
    9: AgeRow(Sample(128, 214.1, 12.5), Sample(140, 210.9, 12.1)),
    10: AgeRow(Sample(125, 221.6, 13.0), Sample(132, 220.3, 13.5)),
    11: AgeRow(Sample(149, 228.7, 13.6), Sample(135, 226.9, 12.5)),
    12: AgeRow(Sample(157, 239.8, 13.7), Sample(152, 233.5, 12.5)),
    13: AgeRow(Sample(154, 248.6, 16.2), Sample(135, 234.8, 12.3)),
    14: AgeRow(Sample(153, 255.6, 14.8), Sample(117, 237.3, 13.1)),
    15: AgeRow(Sample(99, 263.3, 12.6), Sample(121, 236.6, 11.9)),
    16: AgeRow(Sample(107, 265.0, 13.1), Sample(105, 237.8, 13.3)),
    17: AgeRow(Sample(96, 266.4, 14.5), Sample(99, 236.2, 11.0)),
    18: AgeRow(Sample(46, 272.4, 14.7), Sample(28, 238.2, 12.6)),
}
"""Foot length by age, a.00 to a.99 years: Anthropometry of Infants, Children, and Youths to Age 18
for Product Safety Design, UM-HSRI-77-17 (1977), data published by NIST (AnthroKids); computed from
the record-level file.  US children of 1975-77; today's may be a little larger."""

NEWBORN: Final = Sample(300, 77.3, 5.9)
"""A hospital study of 300 newborns (Int J Contemp Pediatr, abstract); others give 69 to 82 mm."""
