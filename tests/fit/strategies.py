"""Feet, gauges and looms for Hypothesis, and a few of each by hand."""

from __future__ import annotations

from hypothesis import strategies as st

from charts.feet import Foot, foot_from_measures
from charts.foot_measures import FootMeasures
from charts.gauge import GaugeReading, gauge_as_given
from charts.lengths import read_length
from charts.loom import Loom
from charts.shoe_sizes import Wearer
from charts.spec import Gauge

SPACINGS = ("1/4 in", "3/8 in", "1/2 in", "5/8 in")


def ring(pegs: int, spacing: str = "3/8 in") -> Loom:
    return Loom(pegs, read_length(spacing), spacing)


def gauge(stitches: float, rows: float, *, knit: str = "flat") -> GaugeReading:
    return gauge_as_given(Gauge(stitches, rows), knit=knit)


def foot(length_mm: float, wearer: Wearer | None = None, **measures: float) -> Foot:
    known = FootMeasures(length_mm=length_mm, **measures)
    return foot_from_measures(known, wearer=wearer)


MEDIAN_MAN = foot(
    271, Wearer.MAN, ball_mm=252, ankle_mm=228, heel_ankle_mm=343, heel_width_mm=72,
    heel_height_mm=73,
)  # fmt: skip
"""ANSUR II, 50th percentiles of men."""
MEDIAN_WOMAN = foot(
    246, Wearer.WOMAN, ball_mm=227, ankle_mm=215, heel_ankle_mm=310, heel_width_mm=67,
    heel_height_mm=63,
)  # fmt: skip
"""ANSUR II, 50th percentiles of women."""

foot_lengths = st.floats(100, 330)


@st.composite
def feet(draw: st.DrawFn, *, lengths: st.SearchStrategy[float] = foot_lengths) -> Foot:
    """Feet of any length; half of them with their own girths, in proportions seen in print."""
    length = draw(lengths)
    if draw(st.booleans()):
        return foot(length, draw(st.sampled_from([None, *Wearer])))
    ball = length * draw(st.floats(0.8, 1.3))
    return foot(
        length,
        draw(st.sampled_from([None, *Wearer])),
        ball_mm=ball,
        ankle_mm=ball * draw(st.floats(0.8, 1.1)),
        heel_ankle_mm=ball * draw(st.floats(1.15, 1.6)),
        heel_width_mm=length * draw(st.floats(0.2, 0.35)),
        heel_height_mm=length * draw(st.floats(0.2, 0.35)),
        leg_height_mm=draw(st.floats(20, 600)),
    )


gauges = st.builds(
    lambda stitches, ratio: gauge(stitches, stitches * ratio),
    st.floats(6, 40),
    st.floats(1.1, 1.7),
)
looms = st.builds(ring, st.integers(16, 120), st.sampled_from(SPACINGS))
