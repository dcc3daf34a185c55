"""No small change to a verified sock gets past `verify`; what the loom alone lets pass is known.

Run with `-s` to see the table.  The whole campaign is `python -m tests.core.mutate`.
"""

from __future__ import annotations

import re
from collections import Counter
from functools import cache

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from charts.plan import make_plan
from charts.problems import PatternError
from charts.rows import Row
from charts.sock import make_rows
from charts.spec import SockSpec
from charts.stitches import STITCHES

from .mutate import SOCKS, Survey, mutants, survey
from .socks import all_faults, proved, specs

STRIDE = 13
"""Of all mutants every thirteenth: prime to the eighteen letters, so that all of them come up."""

ONE_LOOP = "[kuepsRrLl]"
BLIND = {
    r"row in another section|row renumbered|move altered: \w+\.section": (
        "the loom reads no titles: it is the same sock under another name"
    ),
    r"loom changed: another spacing": "loops are counted, not measured",
    r"loom changed: worked the other way": "only a cable shows from which side pegs are counted",
    rf"stitch changed: {ONE_LOOP} to {ONE_LOOP}$": (
        "each of these leaves one loop where there was one: another fabric, but it can be knitted"
    ),
    rf"stitches swapped: {ONE_LOOP}{{2}}$|stitch put off: {ONE_LOOP}$|row mirrored": (
        "the same stitches in another order: another fabric, but it can be knitted"
    ),
    r"row (dropped|doubled|moved up): (cuff|leg|foot)( after (cuff|leg|foot))?$": (
        "one whole round more or less, or two that change places, can be knitted"
    ),
    r"stitch changed: w to t$": "the turned stitch is lifted with the wraps that come later",
    r"cell dropped: w$": "a row may turn after its W; that a wrap was still due shows in a hole",
    r"move altered: Rehang\.(holder|pegs)": (
        "an edge loop reaches any peg, and the loom does not see that two have crossed"
    ),
    r"move moved up: (Hold|LiftBar|Rehang|TakeOff) after (Hold|LiftBar|Rehang|TakeOff)$": (
        "moves at different pegs can change places"
    ),
    r"move moved up: Hold after heel turn$": "the near holder is first needed in turn row 2",
    r"move moved up: LiftBar after foot$": "the bar at peg 1 is first needed in foot row 2",
    r"row moved up: toe after TakeOff$": "the instep half may come off before the toe's last row",
}
"""What the virtual loom alone lets pass, and why; `verify` sees each of these."""


@cache
def campaign() -> Survey:
    return survey(STRIDE)


def test_every_mutant_is_caught() -> None:
    found = campaign()
    print(f"\n{found.table()}\n")
    assert found.past_verify == []
    assert found.total.real > 5_000


def test_what_the_loom_alone_lets_pass_has_a_reason() -> None:
    unexplained: Counter[str] = Counter()
    used = set()
    for what, times in campaign().past_loom.items():
        reasons = [pattern for pattern in BLIND if re.match(pattern, what)]
        used.update(reasons)
        if not reasons:
            unexplained[what] += times
    assert unexplained == Counter()
    by_reason: Counter[str] = Counter()
    for what, times in campaign().past_loom.items():
        for pattern, reason in BLIND.items():
            if re.match(pattern, what):
                by_reason[reason] += times
    print("\nnot seen by the loom alone, seen by verify:")
    for reason, times in by_reason.most_common():
        print(f"{times:8}  {reason}")


def test_the_loom_alone_catches_four_in_five() -> None:
    total = campaign().total
    assert total.by_loom / total.real > 0.8


@pytest.mark.parametrize("name", SOCKS)
def test_socks_to_be_spoiled_are_sound(name: str) -> None:
    proved(SOCKS[name])


def test_socks_to_be_spoiled_use_every_stitch_and_every_move() -> None:
    letters: set[str] = set()
    moves: set[str] = set()
    for spec in SOCKS.values():
        for event in proved(spec).rows.events:
            if isinstance(event, Row):
                letters.update(event.stitches)
            else:
                moves.add(type(event).__name__)
    assert letters == set(STITCHES) - {"u"}  # u differs from k and e in the hand only
    assert moves == {"CastOn", "Hold", "Rehang", "LiftBar", "Shift", "TakeOff", "Graft"}


def test_every_kind_of_mutant_comes_up_in_the_sample() -> None:
    plan = make_plan(SOCKS["16 pegs"])
    kinds = {mutant.kind for mutant in mutants(make_rows(plan))}
    assert set(campaign().tallies) == kinds


@settings(max_examples=150, deadline=None)
@given(specs(fitting=True), st.data())
def test_any_mutant_of_any_sock_is_caught(spec: SockSpec, data: st.DataObject) -> None:
    try:
        plan = make_plan(spec)
    except PatternError:
        assume(False)
    sound = make_rows(plan)
    every = mutants(sound)
    for _ in range(data.draw(st.integers(0, 20_000), label="mutant")):
        if next(every, None) is None:
            break
    for mutant in (next(every, None), next(every, None)):
        if mutant is not None and mutant.make() != sound:
            assert all_faults(plan, mutant.make()), f"{mutant.kind}: {mutant.what}"
