"""Yarn-weight categories: the stitches and the metres that the trade expects of each.

Stitches: Standard Yarn Weight System of the Craft Yarn Council, stockinette in 4 in (second-hand,
from pages that name the council); guidelines, and a pattern's own gauge wins.  Metres in 100 g are
common practice: three retail tables and a spinning magazine's sheet of yd/lb disagree, so both the
usual figure and the farthest limits are kept.  Read the metres off the band where there is one.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

PER_4IN_IN_10CM: Final = 100 / 101.6
"""From a count in 4 in to one in 10 cm: an inch is 25.4 mm, NIST SP 811 (2008), appendix B.8."""


@dataclass(frozen=True)
class YarnWeight:
    """One category."""

    category: int
    name: str
    stitches_per_4in: tuple[int, int]
    """Fewest and most, whole stitches."""
    metres_per_100g: float
    """The middle of the usual retail table."""
    metres_limits: tuple[float, float]
    """Fewest and most of all the tables read."""

    @property
    def stitches_per_10cm(self) -> tuple[float, float]:
        low, high = self.stitches_per_4in
        return low * PER_4IN_IN_10CM, high * PER_4IN_IN_10CM


YARN_WEIGHTS: Final = (
    YarnWeight(0, "lace", (33, 40), 700, (484, 800)),
    YarnWeight(1, "super fine", (27, 32), 400, (330, 484)),
    YarnWeight(2, "fine", (23, 26), 300, (242, 400)),
    YarnWeight(3, "light", (21, 24), 225, (182, 300)),
    YarnWeight(4, "medium", (16, 20), 160, (120, 240)),
    YarnWeight(5, "bulky", (12, 15), 110, (81, 130)),
    YarnWeight(6, "super bulky", (7, 11), 70, (40, 100)),
    # The council prints "6 and fewer" and "under 40 m": the other ends are ours.
    YarnWeight(7, "jumbo", (4, 6), 35, (20, 40)),
)
"""By category number.  Lace is commonly worked loosely, so its stitches are the least certain."""


def weights_for(stitches_per_10cm: float) -> tuple[YarnWeight, ...]:
    """Every category whose range holds the gauge, finest first; none if no range does.

    The ranges overlap and are whole stitches, so half a stitch more or fewer counts as inside.

    >>> [weight.name for weight in weights_for(20.5 * PER_4IN_IN_10CM)]
    ['light', 'medium']
    """
    # Rounded, so that a range's own end, brought to 10 cm and back, is still inside.
    count = round(stitches_per_10cm / PER_4IN_IN_10CM, 6)
    return tuple(
        weight
        for weight in YARN_WEIGHTS
        if weight.stitches_per_4in[0] - 0.5 <= count <= weight.stitches_per_4in[1] + 0.5
    )


def yarn_weight(name_or_number: str) -> YarnWeight | None:
    """The category by its name or number, in any case; None if there is no such category.

    >>> yarn_weight("Medium").category, yarn_weight("4").name
    (4, 'medium')
    """
    wanted = " ".join(name_or_number.lower().replace("-", " ").split())
    return next(
        (weight for weight in YARN_WEIGHTS if wanted in (weight.name, str(weight.category))), None
    )
