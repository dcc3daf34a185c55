"""The sizes of a proved sock, counted from its own record.

Rows are counted as the times that the yarn crosses one peg in the middle of the sole, whatever the
plan says; the middle line and what lies on it are drawn in `charts/sock_measures.py`.
"""

from __future__ import annotations

from charts.gauge import GaugeReading
from charts.rows import Graft, Row, Section
from charts.sock_measures import Measures, SockCounts, sock_measures
from charts.stitches import drawn_in
from charts.verify import Knit


def finished_measures(knit: Knit, gauge: GaugeReading) -> Measures:
    """The sock laid flat and at rest, at that gauge of plain knit.

    Ribs and cables draw in, and are not taken into account.
    """
    return sock_measures(counts_of(knit), gauge)


def counts_of(knit: Knit) -> SockCounts:
    """Stitches round and rows along the middle line of the proved rows.

    The middle peg of the sole (the second of two middle ones) is worked in every row of the turn
    and the toe, and in no row that only runs on to where the next section starts.
    """
    rows = [event for event in knit.rows.events if isinstance(event, Row)]
    middle = knit.plan.peg(knit.plan.heel_pegs // 2 + 1)
    passes = dict.fromkeys(Section, 0)
    for row in rows:
        passes[row.section] += middle in row.pegs
    grafts = sum(isinstance(event, Graft) for event in knit.rows.events)
    return SockCounts(
        round_stitches=max(_stitches(row) for row in rows if row.section is Section.FOOT),
        centre_stitches=max(len(row.pegs) for row in rows if row.section is Section.TURN),
        cuff=passes[Section.CUFF],
        leg=passes[Section.LEG],
        flap=passes[Section.FLAP],
        turn=passes[Section.TURN],
        foot=passes[Section.FOOT],
        toe=(passes[Section.TOE] + grafts) / 2,
    )


def _stitches(row: Row) -> int:
    """Stitches of a foot row side by side; an empty peg has none."""
    return drawn_in(row.stitches)
