"""What a size table tells of a size: foot, shoes, loom, the finished sock, ease, fit, yarn."""

from __future__ import annotations

from dataclasses import dataclass

from charts.ease import Ease
from charts.feet import Foot
from charts.finished import counts_of
from charts.fit import Fit
from charts.loom import Loom
from charts.shoe_sizes import ShoeSize, shoes_for
from charts.sizes import Size
from charts.sock_measures import Measures, SockCounts, sock_measures
from charts.yarn_figures import YarnFigures, yarn_figures


@dataclass(frozen=True)
class SizeFigures:
    """One size in figures; what neither wearer nor gauge tells is None or empty."""

    name: str
    loom: Loom
    counts: SockCounts
    """Rows and stitches, counted from the proved sock's record."""
    measures: Measures | None
    """The finished sock, from that record."""
    foot: Foot | None
    shoes: tuple[ShoeSize, ...]
    """The nearest in each system that suits the wearer."""
    ease: Ease
    fit: Fit | None
    yarn: YarnFigures | None


def size_figures(size: Size) -> SizeFigures:
    """The figures of one size."""
    fitted, counts = size.fitted, counts_of(size.knit)
    foot, gauge = fitted.foot, fitted.gauge
    return SizeFigures(
        name=size.name,
        loom=size.knit.plan.loom,
        counts=counts,
        measures=None if gauge is None else sock_measures(counts, gauge),
        foot=foot,
        shoes=() if foot is None else shoes_for(foot.length.mm, foot.wearer),
        ease=fitted.ease,
        fit=fitted.fit,
        yarn=None if gauge is None else yarn_figures(size.knit, size.second, gauge),
    )
