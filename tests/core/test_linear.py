"""Work grows with rows times pegs, shown by counting and without a clock.

What is counted: loops in the trace, and lines of Python executed.  Both are the same on every
machine for one version of the code.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from itertools import pairwise
from types import FrameType
from typing import Any

import pytest

from charts.plan import make_plan
from charts.rows import Row, Rows
from charts.sock import make_rows
from charts.spec import Cuff, Flanks, Foot, Leg, SockSpec
from charts.verify import verify
from charts.virtual_loom import knit_on_loom

from .socks import sock

RINGS = (40, 120, 400)
"""The engine has no limit of its own; 120 is the pattern file's."""


def long_sock(pegs: int, rows: int) -> SockSpec:
    """A sock with that many rows in each of cuff, leg and foot."""
    return sock(
        pegs,
        "3/8 in",
        cuff=Cuff(rows),
        motif=("kRRllk", "kkkkkk"),
        leg=Leg(rows, "m", flanks=Flanks.RIB),
        foot=Foot(rows),
    )


def laid_out(pegs: int, rows: int) -> Rows:
    return make_rows(make_plan(long_sock(pegs, rows)))


def cells(rows: Rows) -> int:
    """Pegs visited in all rows."""
    return sum(len(event.pegs) for event in rows.events if isinstance(event, Row))


def lines_run(work: Callable[[], object]) -> int:
    """Lines of the core executed while the work is done."""
    lines = 0

    def trace(frame: FrameType, event: str, argument: Any) -> Any:
        nonlocal lines
        del argument
        if event == "call":
            return trace if frame.f_globals.get("__name__", "").startswith("charts.") else None
        lines += event == "line"
        return trace

    before = sys.gettrace()
    sys.settrace(trace)
    try:
        work()
    finally:
        sys.settrace(before)
    return lines


def test_each_further_foot_row_adds_one_loop_a_peg() -> None:
    loops = [
        len(knit_on_loom(make_rows(make_plan(sock(40, "3/8 in", foot=Foot(rows))))).letter)
        for rows in (20, 21, 40, 80)
    ]
    assert [after - loops[0] for after in loops] == [0, 40, 20 * 40, 60 * 40]


@pytest.mark.parametrize("pegs", RINGS)
def test_loops_are_the_visited_cells_and_little_more(pegs: int) -> None:
    rows = laid_out(pegs, 20)
    loops = len(knit_on_loom(rows).letter)
    # Beside a loop a cell: the cast-on, a second loop a join, edge loops and bars; less the slips.
    assert 0 < loops - cells(rows) < 3 * pegs


def test_lines_run_by_the_loom_grow_no_faster_than_the_cells() -> None:
    shares = []
    for pegs in RINGS:
        rows = laid_out(pegs, 20)
        shares.append(lines_run(lambda rows=rows: knit_on_loom(rows)) / cells(rows))  # type: ignore[misc]
    assert_no_growth(shares)


def test_lines_run_by_plan_rows_and_proof_grow_no_faster_than_the_cells() -> None:
    shares = []
    for pegs in RINGS:
        spec = long_sock(pegs, 20)

        def whole(spec: SockSpec = spec) -> None:
            plan = make_plan(spec)
            verify(plan, make_rows(plan))

        shares.append(lines_run(whole) / cells(laid_out(pegs, 20)))
    assert_no_growth(shares)


def assert_no_growth(shares: list[float]) -> None:
    """Lines for each cell, the smallest ring first: a larger one may cost less a cell, as plain
    stretches are knitted at once, but not more."""
    for small, large in pairwise(shares):
        assert large < 1.1 * small, shares


def test_lines_run_grow_with_the_rows() -> None:
    """The same ring with twice and four times the rows: the further rows cost the same each."""

    def cost(rows: int) -> int:
        plan = make_plan(long_sock(40, rows))
        made = make_rows(plan)
        return lines_run(lambda: verify(plan, made))

    base, twice, four_times = cost(20), cost(40), cost(80)
    assert (four_times - twice) / (twice - base) == pytest.approx(2, rel=0.02)
