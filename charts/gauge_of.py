"""The gauge of a spec, with its spread, from whatever the pattern file tells of it."""

from __future__ import annotations

from charts.gauge import (
    GaugeReading,
    Swatch,
    gauge_as_given,
    gauge_from_category,
    gauge_from_swatches,
)
from charts.spec import SockSpec
from charts.yarn_weights import yarn_weight


def gauge_of(spec: SockSpec) -> GaugeReading | None:
    """The surest gauge there is: swatches, counts, a weight category; None if there is none."""
    if spec.swatches:
        return gauge_from_swatches(
            [
                Swatch(
                    one.stitches,
                    one.over.mm,
                    one.rows,
                    (one.high or one.over).mm,
                    spec.knit,
                    one.washed,
                )
                for one in spec.swatches
            ]
        )
    if spec.gauge is not None:
        return gauge_as_given(spec.gauge, knit=spec.knit)
    weight = yarn_weight(spec.gauge_weight)
    return None if weight is None else gauge_from_category(weight, knit=spec.knit)
