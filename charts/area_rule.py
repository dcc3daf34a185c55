"""Yarn by the trade's rule of thumb, to hold against what is computed.

Yards = length x width x stitches an inch / 6, all in inches: common practice, no published
source; no table of yards for a pair was found that tells its method.  By Munden's constants bare
stockinette takes area x stitches an inch x Kc / 36, Kc 5.0 to 5.5: the rule has 9 to 20 % in hand.
"""

from __future__ import annotations

from typing import Final

from charts.gauge import GaugeReading
from charts.verify import Knit
from charts.yarn import YARD_M

_INCHES_IN_10CM: Final = 10 / 2.54
_DIVISOR: Final = 6


def area_rule_metres(knit: Knit, gauge: GaugeReading) -> float:
    """Metres for one sock, its area being that of its stitches side by side at that gauge."""
    stitches_per_in = gauge.stitches.per_10cm / _INCHES_IN_10CM
    rows_per_in = gauge.rows.per_10cm / _INCHES_IN_10CM
    area_in2 = sum(knit.counts.values()) / (stitches_per_in * rows_per_in)
    return area_in2 * stitches_per_in / _DIVISOR * YARD_M
