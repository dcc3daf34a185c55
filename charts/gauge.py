"""Gauge: how many stitches and rows lie in 10 cm, how sure that is, and where it came from.

Counted in swatches it comes with the spread of the counts; from a yarn's category or the spacing of
the pegs it is a guess and marked as one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from math import sqrt
from typing import Final

from charts.lengths import read_length
from charts.munden import MUNDEN, Relaxation
from charts.spec import Gauge, Units
from charts.stitches import KNIT_LETTERS
from charts.yarn_weights import YarnWeight


def counted_over(per_10cm: float, units: Units) -> tuple[float, str]:
    """A count in 10 cm as it is told: with inches first it is one in 4 in, which are 10.16 cm.

    An inch is 25.4 mm exactly: NIST Special Publication 811 (2008), appendix B.8.

    >>> counted_over(25, Units.CM), counted_over(25, Units.ONLY_IN)
    ((25, '10 cm'), (25.4, '4 in'))
    """
    return (per_10cm, "10 cm") if units.is_metric else (per_10cm * 1016 / 1000, "4 in")


class GaugeSource(Enum):
    """Where a gauge came from, surest first."""

    SWATCH = "counted in swatches"
    GIVEN = "as given"
    CATEGORY = "guessed from the yarn's weight category"
    SPACING = "guessed from the peg spacing"

    @property
    def is_estimate(self) -> bool:
        return self in (GaugeSource.CATEGORY, GaugeSource.SPACING)


@dataclass(frozen=True)
class Swatch:
    """One count: so many stitches over a width, so many rows over a height."""

    stitches: float
    """Half stitches count."""
    width_mm: float
    rows: float
    height_mm: float
    knit: str = "flat"
    """"flat", "u-wrap" or "e-wrap": the stitch it was knitted in."""
    washed: bool = True

    def __post_init__(self) -> None:
        if min(self.stitches, self.width_mm, self.rows, self.height_mm) <= 0:
            raise ValueError("a swatch's counts and lengths must be above zero")
        if self.knit not in KNIT_LETTERS:
            raise ValueError(f"'{self.knit}' is no knit stitch: {', '.join(KNIT_LETTERS)}")


def swatch(
    stitches: float,
    rows: float,
    *,
    over: str = "10 cm",
    high: str = "",
    knit: str = "flat",
    washed: bool = True,
) -> Swatch:
    """A swatch with its lengths in words: stitches over a width, rows over a height.

    The height is the width unless given.  Raises LengthError for words that are no length,
    ValueError for counts that are not above zero or an unknown knit.

    >>> swatch(18, 24, over="4 in").width_mm
    101.6
    """
    return Swatch(stitches, read_length(over), rows, read_length(high or over), knit, washed)


@dataclass(frozen=True)
class Count:
    """Stitches, or rows, in 10 cm."""

    per_10cm: float
    sd: float
    """Standard deviation of one measure."""
    standard_error: float
    """Standard deviation of the mean: sd / sqrt(measures)."""

    @property
    def share(self) -> float:
        """Two standard errors as a share of the count: about 95 means in 100 lie within it."""
        return 2 * self.standard_error / self.per_10cm

    def mm(self, count: float) -> tuple[float, float]:
        """The length of so many stitches or rows, and its plus or minus, in mm."""
        length = count * 100 / self.per_10cm
        return length, length * self.share


@dataclass(frozen=True)
class GaugeReading:
    """A gauge with its spread and its source."""

    stitches: Count
    rows: Count
    source: GaugeSource
    knit: str
    basis: str
    """What it rests on, in words for the plan; no full stop."""
    warnings: tuple[str, ...] = ()
    """Sentences for the designer."""

    @property
    def gauge(self) -> Gauge:
        """The plain numbers, as the pattern file has them."""
        return Gauge(self.stitches.per_10cm, self.rows.per_10cm)


HALF_STITCH: Final = 0.5
"""A count cannot be read closer than half a stitch or row: taken as two standard deviations of one
measure.  Common practice counts half stitches; 1/2 in 18 is 2.8 %, 6 mm on a 22 cm round."""

ROWS_PER_STITCH: Final = MUNDEN[Relaxation.FULL].courses / MUNDEN[Relaxation.FULL].wales
"""Rows for each stitch in the same length: 1.31, Munden's Kc/Kw of fully relaxed plain knit."""
ROWS_PER_STITCH_LIMITS: Final = (1.25, 1.50)
"""From 4 stitches to 5 rows, to 5 to 7.5: hand gauges as printed, common practice."""
SOUND_ROWS_PER_STITCH: Final = (1.1, 1.7)
"""Outside it a count is doubtful: common practice."""

WIDTH_OF_SPACING: Final = {"flat": 0.72, "u-wrap": 0.78, "e-wrap": 0.82}
"""Relaxed stitch width as a share of the peg spacing: an estimate from memory.  0.72 for flat knit;
the others by their widths on one loom, flat 0.875 to u-wrap 0.95 to e-wrap 1.00 (from memory)."""
WIDTH_OF_SPACING_LIMITS: Final = (0.65, 0.80)
"""The rule's own range for flat and u-wrap knit, from memory."""


def gauge_from_swatches(swatches: Sequence[Swatch]) -> GaugeReading:
    """The mean of the counts, with their spread.

    `sd` is the sample deviation (n - 1), never less than counting to half a stitch allows; with
    one count it is that alone.  Raises ValueError for no swatch, or swatches of several knits.
    """
    if not swatches:
        raise ValueError("a gauge needs a swatch")
    knits = sorted({one.knit for one in swatches})
    if len(knits) > 1:
        raise ValueError(f"swatches of {' and '.join(knits)} knit give no one gauge")
    stitches = _mean([(one.stitches, one.width_mm) for one in swatches])
    rows = _mean([(one.rows, one.height_mm) for one in swatches])
    unwashed = not all(one.washed for one in swatches)
    warnings = _ratio_warnings(stitches, rows)
    if unwashed:
        dry, full = MUNDEN[Relaxation.DRY], MUNDEN[Relaxation.FULL]
        percent = 100 * (1 - sqrt(dry.density / full.density))
        warnings += (
            f"The swatch was not washed: plain wool ends about {percent:.0f} % smaller each way "
            "once fully relaxed, so wash it and count again",
        )
    times = "once" if len(swatches) == 1 else f"{len(swatches)} times"
    basis = f"counted {times} in a{'n unwashed' if unwashed else ' washed'} swatch"
    return GaugeReading(stitches, rows, GaugeSource.SWATCH, knits[0], basis, warnings)


def gauge_as_given(gauge: Gauge, *, knit: str = "flat") -> GaugeReading:
    """The pattern file's plain numbers, as if counted once over 10 cm."""
    stitches, rows = (
        _mean([(count, 100.0)]) for count in (gauge.stitches_per_10cm, gauge.rows_per_10cm)
    )
    warnings = _ratio_warnings(stitches, rows)
    return GaugeReading(stitches, rows, GaugeSource.GIVEN, knit, "as given", warnings)


def gauge_from_category(weight: YarnWeight, *, knit: str = "flat") -> GaugeReading:
    """The middle of the category's range: a guess, and a loom gives fewer stitches than that.

    The range's half width is taken as two standard deviations.
    """
    low, high = weight.stitches_per_10cm
    stitches = _guess((low + high) / 2, (high - low) / (high + low))
    basis = f"guessed from the {weight.name} weight category; knit a swatch"
    warning = (
        "The category is a hand knitter's: a loom usually gives fewer stitches with the same yarn",
    )
    return GaugeReading(stitches, _rows_for(stitches), GaugeSource.CATEGORY, knit, basis, warning)


def gauge_from_spacing(spacing_mm: float, *, knit: str = "flat") -> GaugeReading:
    """The stitch as a share of the peg spacing: a guess, whatever the yarn.

    >>> round(gauge_from_spacing(9.525).stitches.per_10cm, 1)
    14.6
    """
    share = WIDTH_OF_SPACING[knit]
    low, high = WIDTH_OF_SPACING_LIMITS
    off = max(high - WIDTH_OF_SPACING["flat"], WIDTH_OF_SPACING["flat"] - low)
    stitches = _guess(100 / (share * spacing_mm), off / WIDTH_OF_SPACING["flat"])
    basis = f"guessed: a stitch {share:.2f} of the peg spacing wide; knit a swatch"
    return GaugeReading(stitches, _rows_for(stitches), GaugeSource.SPACING, knit, basis)


def _mean(measures: list[tuple[float, float]]) -> Count:
    """Mean and spread in 10 cm of `(count, length_mm)` measures."""
    number = len(measures)
    values = [100 * count / length_mm for count, length_mm in measures]
    mean = sum(values) / number
    finest = sqrt(sum((HALF_STITCH / 2 * 100 / mm) ** 2 for _, mm in measures) / number)
    sd = 0.0
    if number > 1:
        sd = sqrt(sum((value - mean) ** 2 for value in values) / (number - 1))
    sd = max(sd, finest)
    return Count(mean, sd, sd / sqrt(number))


def _guess(per_10cm: float, share: float) -> Count:
    """A guess that may be off by that share: two deviations, however often it is repeated."""
    sd = per_10cm * share / 2
    return Count(per_10cm, sd, sd)


def _rows_for(stitches: Count) -> Count:
    """Rows by the usual ratio; its own limits are added to the spread of the stitches."""
    off = max(abs(limit - ROWS_PER_STITCH) for limit in ROWS_PER_STITCH_LIMITS) / ROWS_PER_STITCH
    return _guess(stitches.per_10cm * ROWS_PER_STITCH, sqrt(off**2 + stitches.share**2))


def _ratio_warnings(stitches: Count, rows: Count) -> tuple[str, ...]:
    ratio = rows.per_10cm / stitches.per_10cm
    low, high = SOUND_ROWS_PER_STITCH
    if low <= ratio <= high:
        return ()
    return (
        f"{ratio:.2f} rows for each stitch is unusual (plain knit has about "
        f"{ROWS_PER_STITCH:.2f}): count the swatch again",
    )
