"""A sock from its spec to its proof in one call."""

from __future__ import annotations

from charts.plan import make_plan
from charts.sock import make_rows
from charts.spec import SockSpec
from charts.verify import Knit, verify


def knit_sock(spec: SockSpec) -> Knit:
    """The sock planned, laid out and proved.

    Raises PatternError with the problems of meaning, or NotKnittableError, a fault of ours.
    """
    plan = make_plan(spec)
    return verify(plan, make_rows(plan))
