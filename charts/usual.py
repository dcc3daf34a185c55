"""Row counts for a sock whose designer gives none and names no wearer.

They follow from the pegs alone, so that a small ring makes a short sock.  The whole foot takes
three rows for two pegs: an average foot's ball girth is 0.93 of its length (ANSUR II, 2012), the
sock is 10 % smaller round and 2.5 % shorter (common practice), and stockinette has 1.3 rows to a
stitch (Munden 1959), which gives 1.51 rows a peg.  The other two are common practice, no published
source.
"""

from __future__ import annotations

from dataclasses import replace

from charts.plan import centre_pegs_rule, heel_pegs_rule, toe_side_rule
from charts.spec import RowCount, SockSpec

LEAST_FOOT_ROWS = 4

USUAL_REASONS = {
    RowCount.CUFF: "the usual number; 15 to 20 are usual",
    RowCount.LEG: "four for five pegs, as none are given",
    RowCount.FOOT: (
        "three for two pegs, as an average foot is long, less the turn’s and half the toe’s; "
        "counted on the instep"
    ),
}
"""Why each number is what it is, for the plan."""


def usual_foot_rows(spec: SockSpec) -> int:
    """Foot rows for an average adult's foot; the turn and half the toe are part of its length.

    >>> from charts.loom import Loom
    >>> [usual_foot_rows(SockSpec("", Loom(n, mm, ""))) for n, mm in ((24, 15.9), (40, 9.5))]
    [18, 32]
    """
    pegs = spec.loom.pegs
    heel, _ = heel_pegs_rule(pegs, spec.loom.spacing_mm)
    turn_rows = heel - centre_pegs_rule(heel)
    toe_rows = 2 * toe_side_rule(pegs // 2, spec.toe.shape)
    return max(LEAST_FOOT_ROWS, pegs * 3 // 2 - turn_rows - toe_rows)


def with_usual_rows(spec: SockSpec) -> SockSpec:
    """The spec with the row counts that it left out."""
    if RowCount.LEG in spec.left_out:
        spec = replace(spec, leg=replace(spec.leg, rows=spec.loom.pegs * 4 // 5))
    if RowCount.FOOT in spec.left_out:
        spec = replace(spec, foot=replace(spec.foot, rows=usual_foot_rows(spec)))
    return spec
