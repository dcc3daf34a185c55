"""The sections joined to one sock."""

from __future__ import annotations

from charts.closing import make_closing
from charts.cuff import make_cast_on, make_cuff
from charts.foot import make_foot
from charts.heel import make_flap, make_gusset, make_partial_row, make_turn
from charts.leg import make_leg
from charts.plan import Plan
from charts.rows import Rows
from charts.toe import make_toe

SECTIONS = (
    make_cast_on,
    make_cuff,
    make_leg,
    make_flap,
    make_partial_row,
    make_turn,
    make_gusset,
    make_foot,
    make_toe,
    make_closing,
)
"""Each section's maker, in the order the sock is knitted."""


def make_rows(plan: Plan) -> Rows:
    """Every row and move of the sock, unchecked: only `verify` says that it can be knitted."""
    return Rows(plan.loom, tuple(event for make in SECTIONS for event in make(plan)))
