"""The yarn of a sock and of the pair, by what the pattern file tells of swatch, gauge and ball."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from charts.gauge import GaugeReading
from charts.loop_lengths import (
    LoopLength,
    loop_from_gauge,
    loop_from_swatch_length,
    loop_from_swatch_weight,
    tightness_warning,
)
from charts.spec import SockSpec, SwatchCount
from charts.verify import Knit
from charts.yarn import SockYarn, sock_yarn
from charts.yarn_need import Ball, YarnNeed, ball_of_weight, yarn_need
from charts.yarn_weights import yarn_weight


@dataclass(frozen=True)
class YarnFigures:
    """What one sock takes, and both."""

    loop: LoopLength
    ball: Ball | None
    ball_basis: str
    """Where metres and grams come from, in words; empty without a ball."""
    one: YarnNeed
    """For the first sock alone."""
    pair: YarnNeed
    warnings: tuple[str, ...]
    """Sentences for the designer."""

    @property
    def sock(self) -> SockYarn:
        """The first sock's yarn, by section and use."""
        return self.one.socks[0]


def yarn_figures(first: Knit, second: Knit, gauge: GaugeReading) -> YarnFigures:
    """The yarn of both socks, from their own records."""
    spec = first.plan.spec
    ball, basis = ball_of(spec)
    loop = loop_of(spec, gauge, ball)
    strands = spec.ball.strands
    socks = [sock_yarn(knit, loop) for knit in (first, second)]
    warning = ""
    if ball is not None:
        warning = tightness_warning(loop.mm, metres_per_100g=ball.metres_per_100g / strands)
    return YarnFigures(
        loop=loop,
        ball=ball,
        ball_basis=basis,
        one=yarn_need(socks[:1], ball=ball, strands=strands),
        pair=yarn_need(socks, ball=ball, strands=strands),
        warnings=(warning,) if warning else (),
    )


def ball_of(spec: SockSpec) -> tuple[Ball | None, str]:
    """The ball, and where its metres and grams come from; None if too little is known of it."""
    band = spec.ball
    weight = yarn_weight(band.weight or spec.gauge_weight)
    if band.metres is not None and band.grams is not None:
        return Ball(band.metres, band.grams), "metres and grams of the band"
    if weight is None:
        return None, ""
    usual = f"the usual {weight.metres_per_100g:g} m in 100 g of {weight.name} yarn, an estimate"
    if band.metres is not None:
        grams = 100 * band.metres / weight.metres_per_100g
        return Ball(band.metres, grams, is_estimate=True), f"metres of the band; grams by {usual}"
    if band.grams is not None:
        return ball_of_weight(weight, grams=band.grams), f"grams of the band; metres by {usual}"
    return ball_of_weight(weight), f"a ball of 50 g by {usual}"


def loop_of(spec: SockSpec, gauge: GaugeReading, ball: Ball | None) -> LoopLength:
    """The surest loop there is: yarn measured in a swatch, weighed in one, or the gauge's."""
    measured = [
        loop_from_swatch_length(_stitches(one), one.yarn.mm, knit=spec.knit)
        for one in spec.swatches
        if one.yarn is not None and one.yarn.mm is not None
    ]
    if measured:
        return _mean(measured)
    if ball is not None:
        weighed = [
            loop_from_swatch_weight(
                _stitches(one),
                one.yarn.grams,
                metres_per_100g=ball.metres_per_100g / spec.ball.strands,
                knit=spec.knit,
            )
            for one in spec.swatches
            if one.yarn is not None and one.yarn.grams is not None
        ]
        if weighed:
            return _mean(weighed)
    return loop_from_gauge(gauge)


def _stitches(swatch: SwatchCount) -> int:
    """All the stitches of the area counted."""
    return max(round(swatch.stitches * swatch.rows), 1)


def _mean(loops: Sequence[LoopLength]) -> LoopLength:
    """The mean of several swatches, between the lowest and the highest limit of all."""
    number = len(loops)
    if number == 1:
        return loops[0]
    return replace(
        loops[0],
        mm=sum(loop.mm for loop in loops) / number,
        low_mm=min(loop.low_mm for loop in loops),
        high_mm=max(loop.high_mm for loop in loops),
        basis=f"the mean of {number} swatches: {'; '.join(loop.basis for loop in loops)}",
    )
