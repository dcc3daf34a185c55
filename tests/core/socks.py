"""Socks for the tests of the core: short specs by hand, and Hypothesis strategies for any spec."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from types import MappingProxyType
from typing import Any

from hypothesis import strategies as st

from charts.lengths import read_length
from charts.loom import Loom, PegNumber, Working
from charts.plan import Plan, make_plan
from charts.problems import PatternError, Problem
from charts.rows import Event, Row, Rows, Section
from charts.sock import make_rows
from charts.spec import (
    Cuff,
    Flanks,
    Foot,
    FootInstep,
    Gusset,
    Heel,
    Leftover,
    Leg,
    Motif,
    ShortRows,
    SockSpec,
    Toe,
    ToeShape,
)
from charts.verify import Knit, find_faults, verify
from charts.virtual_loom import Fault, knit_on_loom

SPACINGS = ("1/4 in", "3/8 in", "1/2 in", "5/8 in")
"""The spacings with a name in the trade."""
RIBS = ("kp", "kkpp", "kkp", "kpp", "kkkp", "kkkpp", "pk", "ppkkkp", "kpkkp")
"""Usual ribs and some that few would knit."""


def loom(pegs: int, spacing: str, working: Working = Working.LEFT_TO_RIGHT) -> Loom:
    return Loom(pegs, read_length(spacing), spacing, working)


def sock(
    pegs: int = 24,
    spacing: str = "5/8 in",
    *,
    working: Working = Working.LEFT_TO_RIGHT,
    motif: tuple[str, ...] = (),
    **sections: Any,
) -> SockSpec:
    """A sock of few rows; `motif` is drawn bottom row first and may be named as leg.panel "m"."""
    few: dict[str, Any] = {"cuff": Cuff(2), "leg": Leg(2), "foot": Foot(4)}
    motifs = MappingProxyType({"m": Motif("m", motif)} if motif else {})
    return SockSpec("Sock", loom(pegs, spacing, working), motifs=motifs, **(few | sections))


def proved(spec: SockSpec) -> Knit:
    """The sock, planned, laid out and verified."""
    plan = make_plan(spec)
    return verify(plan, make_rows(plan))


def problems_of(spec: SockSpec) -> tuple[Problem, ...]:
    """What the plan finds wrong; nothing for a good sock."""
    try:
        make_plan(spec)
    except PatternError as error:
        return error.problems
    return ()


def all_faults(plan: Plan, rows: Rows) -> list[Fault]:
    """What `verify` finds wrong, the loom's faults first."""
    trace = knit_on_loom(rows)
    return [*trace.faults, *find_faults(plan, rows, trace)]


# Finding and changing events by hand.


def place_of(rows: Rows, kind: type[Event] | Section, nth: int = 1) -> int:
    """The index of the nth event of that kind of move, or of the row with that number."""
    if isinstance(kind, Section):
        return next(
            index
            for index, event in enumerate(rows.events)
            if isinstance(event, Row) and event.section is kind and event.number == nth
        )
    found = [index for index, event in enumerate(rows.events) if isinstance(event, kind)]
    return found[nth - 1]


def row_at(rows: Rows, index: int) -> Row:
    event = rows.events[index]
    assert isinstance(event, Row)
    return event


def changed(rows: Rows, index: int, **fields: Any) -> Rows:
    """The rows with some fields of one event replaced."""
    return with_events(rows, index, 1, replace(rows.events[index], **fields))


def with_events(rows: Rows, index: int, count: int, *events: Event) -> Rows:
    """The rows with `count` events from an index on replaced by others."""
    return replace(rows, events=rows.events[:index] + events + rows.events[index + count :])


def restitched(rows: Rows, index: int, peg: int, letter: str) -> Rows:
    """The rows with another stitch at one peg of one row."""
    row = row_at(rows, index)
    at = row.pegs.index(PegNumber(peg))
    return changed(rows, index, stitches=row.stitches[:at] + letter + row.stitches[at + 1 :])


# Any sock at all.


@st.composite
def motif_rows(draw: st.DrawFn, *, widest: int = 12) -> tuple[str, ...]:
    """Rows of one width with knit, purl and whole crosses a over b, left and right."""
    width = draw(st.integers(1, widest))
    return tuple(draw(_motif_row(width)) for _ in range(draw(st.integers(1, 6))))


@st.composite
def _motif_row(draw: st.DrawFn, width: int) -> str:
    row = ""
    while len(row) < width:
        room = width - len(row)
        choice = draw(st.sampled_from("kkppRr" if room > 1 else "kp"))
        if choice in "kp":
            row += choice
            continue
        left = draw(st.integers(1, room - 1))
        right = draw(st.integers(1, room - left))
        row += choice * left + {"R": "l", "r": "L"}[choice] * right
    return row


def _maybe(strategy: st.SearchStrategy[int]) -> st.SearchStrategy[int | None]:
    return st.none() | strategy


@st.composite
def specs(draw: st.DrawFn, *, fitting: bool = False) -> SockSpec:
    """Any sock on 16 to 120 pegs, every setting of the core drawn.

    With `fitting` the numbers are drawn so that most of them suit each other.
    """
    pegs = draw(st.integers(16, 120))
    half = pegs // 2
    wild = not fitting
    heel = draw(_maybe(st.integers(0, pegs + 1) if wild else _steps(half, pegs - 2)))
    centre = draw(_maybe(st.integers(0, half + 2))) if wild else None
    if fitting and heel is not None:
        centre = draw(_maybe(_steps(2 + heel % 2, heel - 2)))
    rows = draw(motif_rows())
    panel = draw(st.booleans())
    rib = draw(st.sampled_from(RIBS))
    spacing = draw(st.sampled_from([*SPACINGS, "7.9 mm", "11.1 mm"]))
    return SockSpec(
        "Sock",
        loom(pegs, spacing, draw(st.sampled_from(Working))),
        knit=draw(st.sampled_from(["flat", "u-wrap", "e-wrap"])),
        cuff=Cuff(
            draw(st.integers(1, 3)),
            rib,
            Leftover.KNIT if fitting else draw(st.sampled_from(Leftover)),
        ),
        leg=Leg(
            draw(st.integers(0, 4)),
            "m" if panel else None,
            draw(st.integers(1, 3)),
            draw(st.sampled_from(Flanks)),
            draw(_maybe(st.integers(0, len(rib) - 1 if fitting else 12))),
        ),
        heel=Heel(heel, centre, draw(_maybe(st.integers(0, pegs))) if wild else None),
        gusset=Gusset(draw(st.booleans())),
        foot=Foot(draw(st.integers(4, 7)), draw(st.sampled_from(FootInstep))),
        toe=Toe(
            draw(st.sampled_from(ToeShape)),
            draw(_maybe(st.integers(0, half) if wild else st.integers(1, (half - 1) // 2))),
            draw(st.sampled_from(ShortRows)),
        ),
        mirror_second_sock=draw(st.booleans()),
        motifs=MappingProxyType({"m": Motif("m", rows)} if panel else {}),
    )


def _steps(first: int, last: int) -> st.SearchStrategy[int]:
    return st.sampled_from(range(first, last + 1, 2))


Break = Callable[[Plan, Rows], Rows]
"""A way to spoil a sock."""
