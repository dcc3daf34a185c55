"""What share of adults one of a pattern's sizes fits, by published measurements of feet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from charts.class_fit import LENGTH_WITHIN
from charts.fit import WORN_WITHIN
from charts.foot_classes import FeetBox, share_of_adults_in
from charts.shoe_sizes import Wearer
from charts.size_figures import SizeFigures


@dataclass(frozen=True)
class RangeFit:
    """Shares of adults, 0 to 1."""

    women: float
    men: float

    @property
    def text(self) -> str:
        """In a sentence, with whose feet these are."""
        return (
            f"Fits {_percent(self.women)} of women and {_percent(self.men)} of men in length and "
            "ball (normal curves, ANSUR II: US Army personnel, 2012; not the whole public)."
        )


def _percent(share: float) -> str:
    percent = 100 * share
    return "fewer than 1 %" if percent < 0.5 else f"{percent:.0f} %"


def range_fit(figures: Sequence[SizeFigures]) -> RangeFit | None:
    """How many adults the sizes fit together; None if no size has a gauge.

    A sock fits a foot whose length and ball circumference, less the size's ease, its own differ
    from by no more than `LENGTH_WITHIN` and `WORN_WITHIN`; ankle and heel are not looked at.
    """
    boxes = [box for one in figures if (box := feet_in(one)) is not None]
    if not boxes:
        return None
    return RangeFit(
        share_of_adults_in(boxes, wearer=Wearer.WOMAN),
        share_of_adults_in(boxes, wearer=Wearer.MAN),
    )


def feet_in(size: SizeFigures) -> FeetBox | None:
    """The feet that the finished sock of one size fits; None without a gauge."""
    if size.measures is None:
        return None
    aimed_mm = size.measures.length.mm / (1 - size.ease.length_share)
    round_mm, worn = size.measures.round.mm, 1 - size.ease.round_share
    return FeetBox(
        (aimed_mm / (1 + LENGTH_WITHIN), aimed_mm / (1 - LENGTH_WITHIN)),
        (round_mm / (worn + WORN_WITHIN), round_mm / (worn - WORN_WITHIN)),
    )
