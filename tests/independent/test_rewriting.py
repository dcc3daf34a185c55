"""Two models of the loom, one answer: on sound socks loop by loop, on spoiled ones in what they
refuse."""

from __future__ import annotations

import re
from itertools import islice
from pathlib import Path

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from charts.plan import make_plan
from charts.rows import Holder, Needle, Rows
from charts.sock import make_rows
from charts.spec import SockSpec
from charts.virtual_loom import State, Trace, knit_on_loom
from tests.core.mutate import SOCKS, mutants
from tests.core.socks import problems_of, specs

from .rewriting import Fabric, Loop, NoRuleError, rewrite


def state(fabric: Fabric) -> State:
    """The fabric as the first model sums it up."""
    return State(
        fabric.yarn,
        fabric.live,
        fabric.loops,
        *(len(fabric.held(holder)) for holder in (Holder.NEAR, Holder.FAR)),
        *(len(fabric.on_needle(needle)) for needle in (Needle.FRONT, Needle.BACK)),
    )


def agree(rows: Rows, trace: Trace) -> None:
    """Every loop has the same birth and the same parents, and every state is the same."""
    number: dict[int, int] = {}
    kept: list[Loop] = []
    for index, fabric in enumerate(rewrite(rows)):
        assert state(fabric) == trace.states[index], (index, rows.events[index])
        for loop in fabric.made:
            number[id(loop)] = len(kept)
            kept.append(loop)
            born = len(kept) - 1
            assert (loop.tick, loop.peg) == (trace.born_event[born], trace.born_peg[born])
            through = tuple(number[id(parent)] for parent in loop.through)
            assert through == trace.drawn_through[born], (index, loop.peg)
    assert len(kept) == len(trace.letter)


def accepts(rows: Rows) -> bool:
    try:
        for _ in rewrite(rows):
            pass
    except NoRuleError:
        return False
    return True


@pytest.mark.parametrize("name", SOCKS)
def test_models_agree_loop_by_loop(name: str) -> None:
    rows = make_rows(make_plan(SOCKS[name]))
    agree(rows, knit_on_loom(rows))


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(specs(fitting=True))
def test_models_agree_on_any_sock(spec: SockSpec) -> None:
    assume(not problems_of(spec))
    rows = make_rows(make_plan(spec))
    agree(rows, knit_on_loom(rows))


@pytest.mark.parametrize("name", SOCKS)
def test_models_refuse_the_same_spoiled_socks(name: str) -> None:
    sound = make_rows(make_plan(SOCKS[name]))
    seen = {True: 0, False: 0}
    for mutant in islice(mutants(sound), 5, None, 43):
        rows = mutant.make()
        by_loom = not knit_on_loom(rows).faults
        assert accepts(rows) is by_loom, (mutant.kind, mutant.what)
        seen[by_loom] += 1
    assert min(seen.values()) > 5


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(specs(fitting=True), st.data())
def test_models_refuse_the_same_spoiled_sock_of_any_loom(
    spec: SockSpec, data: st.DataObject
) -> None:
    assume(not problems_of(spec))
    sound = make_rows(make_plan(spec))
    place = data.draw(st.integers(0, 4000))
    mutant = next(islice(mutants(sound), place, None), None)
    if mutant is not None:
        rows = mutant.make()
        assert accepts(rows) is not bool(knit_on_loom(rows).faults), (mutant.kind, mutant.what)


def test_second_model_takes_nothing_but_records_from_the_package() -> None:
    text = Path(__file__).with_name("rewriting.py").read_text(encoding="utf-8")
    taken = set(re.findall(r"^from (\S+) import", text, re.M))
    assert {name for name in taken if name.startswith("charts")} == {"charts.loom", "charts.rows"}
