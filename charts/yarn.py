"""Yarn: how much a proved sock takes, from its own record of stitches.

Every loop that the virtual loom drew is counted by its kind and given the length of a plain loop
times that kind's factor; floats, wraps, the cast-on, the graft and the tails are added.  No
published factors for loom stitches were found: each factor says whether it is derived or an
estimate.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from itertools import pairwise
from typing import Final

from charts.loop_lengths import LoopLength
from charts.munden import MUNDEN, Relaxation
from charts.rows import CastOn, Graft, Row, Section
from charts.stitches import STITCHES, Effect
from charts.verify import Knit


class YarnUse(Enum):
    """What yarn goes into."""

    KNIT = "knit stitches"
    PURL = "purl stitches"
    CABLE = "stitches of cable crosses"
    CHANGE = "changes between knit and purl"
    FLOAT = "floats behind slipped stitches and empty pegs"
    WRAP = "wraps of short rows"
    CAST_ON = "cast-on stitches"
    GRAFT = "grafting, with its tail"
    TAIL = "the tail at the cast-on"


class Of(Enum):
    """What a factor multiplies."""

    PLAIN = "a plain loop, as of u-wrap knit"
    OWN = "a loop of the sock's own knit"
    LENGTH = "nothing: its length is fixed or follows from the width"


@dataclass(frozen=True)
class YarnFactor:
    """How much yarn one piece of a use takes."""

    times: float
    of: Of
    source: str


LOOP_OF_KNIT: Final = {"flat": 0.92, "u-wrap": 1.0, "e-wrap": 1.225}
"""A loop of each knit as a share of u-wrap's on the same loom: estimates from memory.  Flat knit by
the widths 0.875 and 0.95; e-wrap takes 1.15 to 1.3 times the yarn."""

FACTORS: Final[Mapping[YarnUse, YarnFactor]] = {
    YarnUse.KNIT: YarnFactor(1.0, Of.OWN, "the loop length itself"),
    YarnUse.PURL: YarnFactor(1.0, Of.PLAIN, "as wide as u-wrap knit: estimate, from memory"),
    YarnUse.CABLE: YarnFactor(1.15, Of.OWN, "the loop slants across its neighbours: estimate"),
    YarnUse.CHANGE: YarnFactor(0.1, Of.PLAIN, "the yarn passes from face to face: estimate"),
    YarnUse.FLOAT: YarnFactor(
        1 / MUNDEN[Relaxation.FULL].wales, Of.OWN, "one stitch width, l / Kw: derived"
    ),
    YarnUse.WRAP: YarnFactor(0.5, Of.OWN, "half a loop round the peg: estimate"),
    YarnUse.CAST_ON: YarnFactor(
        2 * LOOP_OF_KNIT["e-wrap"], Of.PLAIN, "two e-wraps a peg: estimate"
    ),
    YarnUse.GRAFT: YarnFactor(
        1.0, Of.LENGTH, "4 times the width grafted, at least 25 cm: common practice"
    ),
    YarnUse.TAIL: YarnFactor(1.0, Of.LENGTH, "15 cm to weave in: common practice"),
}

TAIL_MM: Final = 150
GRAFT_TAIL_MM: Final = 250
GRAFT_WIDTHS: Final = 4
MARGIN: Final = 0.15
"""Common practice: 10 to 20 %."""

YARD_M: Final = 0.9144
"""A yard is 0.9144 m exactly: NIST SP 811 (2008), appendix B.8."""


@dataclass(frozen=True)
class YarnPart:
    """One use of yarn in one section of the sock."""

    section: Section
    use: YarnUse
    count: int
    mm_each: float

    @property
    def metres(self) -> float:
        return self.count * self.mm_each / 1000


@dataclass(frozen=True)
class SockYarn:
    """The yarn of one sock, nothing added in hand."""

    parts: tuple[YarnPart, ...]
    """By section, then by use; all that have any."""
    loop: LoopLength

    @property
    def metres(self) -> float:
        return sum(part.metres for part in self.parts)

    @property
    def low_metres(self) -> float:
        """With the loop at its low limit."""
        return self._metres_with(self.loop.low_mm)

    @property
    def high_metres(self) -> float:
        """With the loop at its high limit."""
        return self._metres_with(self.loop.high_mm)

    def metres_of(self, *sections: Section) -> float:
        """The yarn of these sections."""
        return sum(part.metres for part in self.parts if part.section in sections)

    def _metres_with(self, loop_mm: float) -> float:
        fixed = sum(part.metres for part in self.parts if FACTORS[part.use].of is Of.LENGTH)
        return fixed + (self.metres - fixed) * loop_mm / self.loop.mm


def sock_yarn(knit: Knit, loop: LoopLength) -> SockYarn:
    """The yarn that the sock's own record takes with that loop.

    A loop measured in another knit than the sock's is brought over by `LOOP_OF_KNIT`.
    """
    plain_mm = loop.mm / LOOP_OF_KNIT[loop.knit]
    own_mm = plain_mm * LOOP_OF_KNIT[knit.plan.spec.knit]
    unit_mm = {Of.PLAIN: plain_mm, Of.OWN: own_mm}
    stitch_width_mm = own_mm / MUNDEN[Relaxation.FULL].wales
    graft_mm = max(GRAFT_TAIL_MM, GRAFT_WIDTHS * knit.plan.toe_pegs * stitch_width_mm)
    fixed_mm = {YarnUse.GRAFT: graft_mm, YarnUse.TAIL: TAIL_MM}
    counts = yarn_counts(knit)
    parts = []
    for section in Section:
        for use in YarnUse:
            count = counts[section, use]
            if count:
                factor = FACTORS[use]
                of_mm = fixed_mm[use] if factor.of is Of.LENGTH else unit_mm[factor.of]
                parts.append(YarnPart(section, use, count, factor.times * of_mm))
    return SockYarn(tuple(parts), loop)


def yarn_counts(knit: Knit) -> Counter[tuple[Section, YarnUse]]:
    """How often each use occurs in each section.

    Loops are those of the trace, so that a join counts the two it draws and a lifted bar none;
    what draws no loop is counted from the rows.
    """
    events = knit.rows.events
    counts: Counter[tuple[Section, YarnUse]] = Counter()
    for event_index, letter in zip(knit.trace.born_event, knit.trace.letter, strict=True):
        use = _USE_OF_LOOP.get(letter, YarnUse.KNIT)
        if use is not None:
            counts[events[event_index].section, use] += 1
    for event in events:
        match event:
            case Row():
                for use, count in _between_loops(event, knit.rows.loom.pegs):
                    counts[event.section, use] += count
            case CastOn():
                counts[event.section, YarnUse.TAIL] += 1
            case Graft():
                counts[event.section, YarnUse.GRAFT] += 1
            case _:
                pass
    return counts


_USE_OF_LOOP: Final[Mapping[str, YarnUse | None]] = {
    **{letter: YarnUse.PURL for letter, entry in STITCHES.items() if entry.effect is Effect.PURL},
    **{letter: YarnUse.CABLE for letter, entry in STITCHES.items() if entry.cross},
    "c": YarnUse.CAST_ON,
    "B": None,
    "G": None,
}
"""By the letter that the trace gives a loop; all others are the sock's own knit.  A lifted bar and
an edge loop hung back are yarn that is there already."""

_FLOATS: Final = frozenset(
    letter for letter, entry in STITCHES.items() if entry.effect in (Effect.SLIP, Effect.EMPTY)
)
_WRAPS: Final = frozenset(
    letter for letter, entry in STITCHES.items() if entry.effect is Effect.WRAP
)
_PURLS: Final = frozenset(
    letter for letter, entry in STITCHES.items() if entry.effect is Effect.PURL
)


def _between_loops(row: Row, pegs_in_ring: int) -> tuple[tuple[YarnUse, int], ...]:
    """Floats, wraps and changes between knit and purl of one row; a round's ends meet."""
    faces = [letter in _PURLS for letter in row.stitches if STITCHES[letter].drawn]
    changes = sum(one != other for one, other in pairwise(faces))
    if faces and len(row.pegs) == pegs_in_ring:
        changes += faces[0] != faces[-1]
    return (
        (YarnUse.FLOAT, sum(letter in _FLOATS for letter in row.stitches)),
        (YarnUse.WRAP, sum(letter in _WRAPS for letter in row.stitches)),
        (YarnUse.CHANGE, changes),
    )
