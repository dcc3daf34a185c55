"""The sections joined to one sock."""

from __future__ import annotations

from charts.closing import make_closing
from charts.cuff import make_cast_on, make_cuff
from charts.foot import make_foot
from charts.heel import make_flap, make_gusset, make_partial_row, make_turn
from charts.leg import make_leg
from charts.plan import Plan, make_plan
from charts.rows import Rows
from charts.spec import SockSpec
from charts.toe import make_toe
from charts.verify import Knit, verify

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


def knit_sock(spec: SockSpec) -> Knit:
    """The sock planned, laid out and proved.

    Raises PatternError with the problems of meaning, or NotKnittableError, a fault of ours.
    """
    plan = make_plan(spec)
    return verify(plan, make_rows(plan))


def make_rows(plan: Plan) -> Rows:
    """Every row and move of the sock, unchecked: only `verify` says that it can be knitted."""
    return Rows(plan.loom, tuple(event for make in SECTIONS for event in make(plan)))
