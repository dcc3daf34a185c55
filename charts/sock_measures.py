"""The lengths of a sock along its middle line, from counts of rows and stitches.

Everything is measured on one line, the middle of the sock seen from the side: down the back of the
leg, round the heel, along the sole, to the tip of the toe.  The yarn crosses that line once in
every row, so rows on it are lengths.

::

      top ____ ____
         |         |                       cuff rows
         |_________|
         |         |                       leg rows
         |         |
         |_________|__  ankle bend: the instep waits here, on its pegs, from the last leg row on
         |.        |  \\
         |  .      |    \\__                the flap is the back alone: flap rows, from the last
         | flap .  |       \\____           leg row down to the floor
         |       . |            \\_____
         |_________|_____________|_____)   tip
         ^  turn   ^    foot     ^ toe
       back       row 1     last row

- Leg height: from the floor to the top, on the back line: cuff + leg + flap rows.
- The turn is a strip of the centre pegs under the heel.  It begins where the flap ends, at the back
  of the heel, and each of its 2 x gusset rows joins one held loop, so it is 2 x gusset rows long.
  The partial row reaches only the strip's first peg: it adds none.
- The gusset pegs get the flap's edge loops back, one for two of its rows.  So the first foot row
  runs down one edge of the flap, across the end of the turn and up the other edge, and over the
  instep at the ankle bend.  Foot rows are whole rounds: as many on the sole, counted from the end
  of the turn, as on the instep, counted from the ankle bend.
- The toe narrows for 2 x side rows: that is the sole's way to the tip.  It then folds up and widens
  for 2 x side rows on top, where grafting to the instep adds a row of its own.  Sole and instep
  have the same foot rows, so the fold, the tip, lies in the middle: (4 x side + 1) / 2 rows.

Foot length, back of the heel to the tip = (turn + foot + 2 x side + 1/2) rows.  Derived from the
way this sock is knitted; that short rows add 2 x side rows on the centre line is common practice
too.  The cast-on's own height is left out.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from charts.gauge import Count, GaugeReading

GRAFT_ROWS: Final = 0.5
"""Half of the row that grafting makes: the tip lies in the middle of the toe."""


@dataclass(frozen=True)
class Extent:
    """A length of the finished sock and its plus or minus by the spread of the gauge."""

    mm: float
    error_mm: float


@dataclass(frozen=True)
class SockCounts:
    """Stitches round and rows along the middle line."""

    round_stitches: int
    centre_stitches: int
    cuff: int
    leg: int
    flap: int
    turn: int
    foot: int
    toe: float
    """To the tip: half of the toe's rows and of the graft's."""


@dataclass(frozen=True)
class Measures:
    """The sizes of a sock laid flat and at rest."""

    round: Extent
    cuff: Extent
    leg: Extent
    """Between cuff and heel flap."""
    flap: Extent
    height: Extent
    """Floor to top at the back: cuff, leg and flap."""
    turn: Extent
    foot: Extent
    """The foot rows."""
    toe: Extent
    length: Extent
    """Back of the heel to the tip: turn, foot and toe."""
    heel_width: Extent
    """The strip under the heel."""


def sock_measures(counts: SockCounts, gauge: GaugeReading) -> Measures:
    """Counts as lengths at that gauge."""

    def length(count: Count, number: float) -> Extent:
        return Extent(*count.mm(number))

    rows, stitches = gauge.rows, gauge.stitches
    return Measures(
        round=length(stitches, counts.round_stitches),
        cuff=length(rows, counts.cuff),
        leg=length(rows, counts.leg),
        flap=length(rows, counts.flap),
        height=length(rows, counts.cuff + counts.leg + counts.flap),
        turn=length(rows, counts.turn),
        foot=length(rows, counts.foot),
        toe=length(rows, counts.toe),
        length=length(rows, counts.turn + counts.foot + counts.toe),
        heel_width=length(stitches, counts.centre_stitches),
    )
