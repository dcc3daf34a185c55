"""Spoil a verified sock in every small way, and count what notices.

    python -m tests.core.mutate [STRIDE]

runs the whole campaign (every STRIDE-th mutant, 1 by default) and prints the table and whatever
got past `verify`.

A mutant differs from the sock in one place: one cell, one row, one move, or the loom it is told
for.  A mutant whose record equals the sock's is no mutant; it is counted as such and left out.
Pegs stay on the ring and letters in the stitch table, as every maker of rows has them.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, fields, replace
from enum import Enum
from functools import partial
from itertools import islice
from typing import Any

from charts.loom import Working
from charts.plan import Plan, make_plan
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
    ShortRows,
    SockSpec,
    Toe,
)
from charts.stitches import STITCHES
from charts.verify import find_faults
from charts.virtual_loom import knit_on_loom

from .socks import sock

SOCKS: dict[str, SockSpec] = {
    "16 pegs": sock(16),
    "16 pegs, wrapped toe, to the left": sock(
        16, working=Working.RIGHT_TO_LEFT, toe=Toe(short_rows=ShortRows.WRAPPED)
    ),
    "25 pegs, cable, corner bars, to the left": sock(
        25,
        working=Working.RIGHT_TO_LEFT,
        cuff=Cuff(2, leftover=Leftover.KNIT),
        motif=("kRlppRl", "pprrLpp"),
        leg=Leg(2, "m", flanks=Flanks.PURL),
        gusset=Gusset(corner_bars=True),
    ),
    "27 pegs, heel of half, e-wrap, plain foot": sock(
        27,
        "1/2 in",
        knit="e-wrap",
        cuff=Cuff(2, "kkp"),
        heel=Heel(13),
        foot=Foot(4, FootInstep.PLAIN),
        toe=Toe(side=1),
    ),
    "40 pegs, ribbed flanks, cable": sock(
        40,
        "3/8 in",
        motif=("kRRllk", "kkkkkk"),
        leg=Leg(3, "m", flanks=Flanks.RIB),
        gusset=Gusset(corner_bars=True),
    ),
    "24 pegs, turn of two, wrapped toe": sock(
        24,
        cuff=Cuff(2, "kp"),
        heel=Heel(18, 2),
        toe=Toe(side=5, short_rows=ShortRows.WRAPPED),
        leg=Leg(2, flanks=Flanks.RIB, round_start_shift=1),
    ),
}
"""Short socks that between them use every stitch and every move."""


@dataclass(frozen=True)
class Mutant:
    """One way to spoil a sock; the rows are made only when they are looked at."""

    kind: str
    what: str
    make: Callable[[], Rows]


@dataclass
class Tally:
    """How many mutants of one kind were seen by what."""

    made: int = 0
    equal: int = 0
    by_loom: int = 0
    by_verify: int = 0

    @property
    def real(self) -> int:
        return self.made - self.equal


@dataclass
class Survey:
    """What a campaign found."""

    tallies: dict[str, Tally] = field(default_factory=dict)
    past_loom: Counter[str] = field(default_factory=Counter)
    """What the loom alone did not see."""
    past_verify: list[str] = field(default_factory=list)
    """What nothing saw."""

    def add(self, name: str, plan: Plan, sound: Rows, mutant: Mutant) -> None:
        tally = self.tallies.setdefault(mutant.kind, Tally())
        tally.made += 1
        rows = mutant.make()
        if rows == sound:
            tally.equal += 1
            return
        trace = knit_on_loom(rows)
        if trace.faults:
            tally.by_loom += 1
        else:
            self.past_loom[f"{mutant.kind}: {mutant.what}"] += 1
        if trace.faults or find_faults(plan, rows, trace):
            tally.by_verify += 1
        else:
            self.past_verify.append(f"{name}: {mutant.kind}: {mutant.what}")

    @property
    def total(self) -> Tally:
        every = self.tallies.values()
        return Tally(
            sum(tally.made for tally in every),
            sum(tally.equal for tally in every),
            sum(tally.by_loom for tally in every),
            sum(tally.by_verify for tally in every),
        )

    def table(self) -> str:
        """The shares caught, a line for each kind of mutant."""
        head = f"{'mutant':32}{'made':>8}{'equal':>8}{'loom alone':>12}{'verify':>9}"
        lines = [head, "-" * len(head)]
        for kind, tally in [*sorted(self.tallies.items()), ("all", self.total)]:
            shares = [
                f"{100 * caught / tally.real:.1f} %" if tally.real else "–"
                for caught in (tally.by_loom, tally.by_verify)
            ]
            lines.append(f"{kind:32}{tally.made:8}{tally.equal:8}{shares[0]:>12}{shares[1]:>9}")
        return "\n".join(lines)


def survey(stride: int, *, socks: dict[str, SockSpec] = SOCKS) -> Survey:
    """Every `stride`-th mutant of each sock, the first one a sock later each time."""
    found = Survey()
    for number, (name, spec) in enumerate(socks.items()):
        plan = make_plan(spec)
        sound = make_rows(plan)
        for mutant in islice(mutants(sound), number % stride, None, stride):
            found.add(name, plan, sound, mutant)
    return found


def mutants(rows: Rows) -> Iterator[Mutant]:
    """Every small way to spoil the rows, in a fixed order."""
    yield from _of_the_loom(rows)
    for index, event in enumerate(rows.events):
        yield from _of_the_order(rows, index)
        if isinstance(event, Row):
            yield from _of_a_row(rows, index, event)
            for at in range(len(event.pegs)):
                yield from _of_a_cell(rows, index, event, at)
        else:
            yield from _of_a_move(rows, index)


def _cut(rows: Rows, index: int, count: int, *events: Event) -> Callable[[], Rows]:
    return lambda: replace(rows, events=rows.events[:index] + events + rows.events[index + count :])


def _set(rows: Rows, index: int, **values: Any) -> Callable[[], Rows]:
    return lambda: _cut(rows, index, 1, replace(rows.events[index], **values))()


def _of_the_loom(rows: Rows) -> Iterator[Mutant]:
    loom = rows.loom
    other = next(way for way in Working if way is not loom.working)
    for what, changed in (
        ("worked the other way", replace(loom, working=other)),
        ("another spacing", replace(loom, spacing_mm=loom.spacing_mm + 1)),
        ("a peg more", replace(loom, pegs=loom.pegs + 1)),
    ):
        yield Mutant("loom changed", what, partial(replace, rows, loom=changed))


def _of_the_order(rows: Rows, index: int) -> Iterator[Mutant]:
    event = rows.events[index]
    noun = "row" if isinstance(event, Row) else "move"
    what = _name(event)
    yield Mutant(f"{noun} dropped", what, _cut(rows, index, 1))
    yield Mutant(f"{noun} doubled", what, _cut(rows, index, 0, event))
    for ahead in (1, 2):
        after = rows.events[index + 1 : index + 1 + ahead]
        if len(after) == ahead:
            pair = f"{what} after {_name(after[-1])}"
            yield Mutant(f"{noun} moved up", pair, _cut(rows, index, 1 + ahead, *after, event))


def _of_a_row(rows: Rows, index: int, row: Row) -> Iterator[Mutant]:
    yield Mutant("row told backwards", _name(row), _set(rows, index, direction=-row.direction))
    yield Mutant(
        "row worked backwards",
        _name(row),
        _set(
            rows,
            index,
            direction=-row.direction,
            pegs=row.pegs[::-1],
            stitches=row.stitches[::-1],
        ),
    )
    yield Mutant("row mirrored", _name(row), _set(rows, index, stitches=row.stitches[::-1]))
    for by in (-1, 1):
        pegs = tuple(rows.loom.wrap(peg + by) for peg in row.pegs)
        yield Mutant("row a peg aside", _name(row), _set(rows, index, pegs=pegs))
        yield Mutant("row renumbered", _name(row), _set(rows, index, number=row.number + by))
    for section in Section:
        what = f"{_name(row)} as {section.value}"
        yield Mutant("row in another section", what, _set(rows, index, section=section))


def _of_a_cell(rows: Rows, index: int, row: Row, at: int) -> Iterator[Mutant]:
    pegs, letters = row.pegs, row.stitches
    letter = letters[at]

    def cells(first: int, last: int, new_pegs: tuple[int, ...], new: str) -> Callable[[], Rows]:
        return lambda: _set(
            rows,
            index,
            pegs=pegs[:first] + new_pegs + pegs[last:],
            stitches=letters[:first] + new + letters[last:],
        )()

    yield Mutant("cell dropped", letter, cells(at, at + 1, (), ""))
    yield Mutant("cell doubled", letter, cells(at, at + 1, (pegs[at],) * 2, letter * 2))
    without = letters[:at] + letters[at + 1 :]
    yield Mutant("stitch dropped", letter, _set(rows, index, stitches=without))
    twice = letters[: at + 1] + letters[at:]
    yield Mutant("stitch doubled", letter, _set(rows, index, stitches=twice))
    yield Mutant("peg dropped", letter, _set(rows, index, pegs=pegs[:at] + pegs[at + 1 :]))
    if at + 1 < len(pegs):
        there = letters[at : at + 2]
        pair = pegs[at : at + 2]
        yield Mutant("stitches swapped", there, cells(at, at + 2, pair, there[::-1]))
        yield Mutant("pegs swapped", there, cells(at, at + 2, pair[::-1], there))
        yield Mutant("cells swapped", there, cells(at, at + 2, pair[::-1], there[::-1]))
        # A stitch left out here and worked once more at the row's end keeps the row's length.
        moved = without + letter
        yield Mutant("stitch put off", letter, _set(rows, index, stitches=moved))
    for by in (-1, 1, rows.loom.pegs // 2):
        other = rows.loom.wrap(pegs[at] + by)
        yield Mutant("peg changed", letter, cells(at, at + 1, (other,), letter))
    for other_letter in STITCHES:
        what = f"{letter} to {other_letter}"
        yield Mutant("stitch changed", what, cells(at, at + 1, (pegs[at],), other_letter))


def _of_a_move(rows: Rows, index: int) -> Iterator[Mutant]:
    move = rows.events[index]
    for each in fields(move):
        value = getattr(move, each.name)
        for how, other in _other_values(rows, value, of_two=each.name == "between"):
            what = f"{type(move).__name__}.{each.name} {how}"
            yield Mutant("move altered", what, _set(rows, index, **{each.name: other}))


def _other_values(
    rows: Rows, value: object, *, of_two: bool = False
) -> Iterator[tuple[str, object]]:
    """What a field of a move could be by mistake; a pair stays `of_two`."""
    match value:
        case Enum():
            yield from (("changed", other) for other in type(value))
        case int():
            for by in (-2, -1, 1, 2, rows.loom.pegs // 2):
                yield "changed", rows.loom.wrap(value + by)
        case tuple():
            yield "reversed", value[::-1]
            if not of_two:
                yield "emptied", ()
                yield "rotated", value[1:] + value[:1]
            for at, item in enumerate(value):
                if not of_two:
                    yield "short of one", value[:at] + value[at + 1 :]
                    yield "with one twice", (*value[:at], item, *value[at:])
                    if at + 1 < len(value):
                        swapped = (*value[:at], value[at + 1], item, *value[at + 2 :])
                        yield "with two swapped", swapped
                for how, other in _other_values(rows, item, of_two=True):
                    yield f"with one {how}", (*value[:at], other, *value[at + 1 :])


def _name(event: Event) -> str:
    return event.section.value if isinstance(event, Row) else type(event).__name__


def main() -> None:
    found = survey(int(sys.argv[1]) if len(sys.argv) > 1 else 1)
    print(found.table())
    print("\nnot seen by the loom alone:")
    for what, times in sorted(found.past_loom.items()):
        print(f"{times:8}  {what}")
    print("\nseen by nothing:")
    print("\n".join(found.past_verify) or "none")


if __name__ == "__main__":
    main()
