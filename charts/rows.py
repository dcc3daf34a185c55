"""Rows of stitches and the moves between them: the whole sock as data.

A `Row` is one pass of the yarn: the pegs it visits in the order it visits them, and one letter of
the stitch table for each.  A `Move` needs no yarn: it happens between rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from charts.loom import Loom, PegNumber


class Section(Enum):
    """The parts of the sock in the order they are knitted."""

    CAST_ON = "cast on"
    CUFF = "cuff"
    LEG = "leg"
    FLAP = "heel flap"
    PARTIAL = "partial row"
    TURN = "heel turn"
    GUSSET = "gusset"
    FOOT = "foot"
    TOE = "toe"
    CLOSING = "closing"


RUN_ON = 0
"""The number of a row that only runs on from the last one to where the next section starts."""


@dataclass(frozen=True)
class Row:
    """One pass of the yarn, round or across the loom."""

    section: Section
    number: int
    """As printed, from 1 in each section; RUN_ON for the pegs worked on to the next section."""
    direction: int
    """UP or DOWN in peg numbers."""
    pegs: tuple[PegNumber, ...]
    """The pegs in the order the yarn visits them."""
    stitches: str
    """One letter of the stitch table a peg."""


class Holder(Enum):
    """Where loops wait off the loom: a stitch holder at each side of the heel turn."""

    NEAR = "near"
    """Beside the low-numbered gusset, where the round starts."""
    FAR = "far"
    """Beside the high-numbered gusset."""


class Needle(Enum):
    """The two closed holders or needles that the last loops are taken off onto."""

    FRONT = "front"
    BACK = "back"


@dataclass(frozen=True)
class CastOn:
    """Slip knot on the first peg, then e-wrap each peg twice and lift the lower loop over."""

    section: Section
    pegs: tuple[PegNumber, ...]


@dataclass(frozen=True)
class Hold:
    """Loops put on a holder, in the order they go on; they come off last on, first off."""

    section: Section
    holder: Holder
    pegs: tuple[PegNumber, ...]


@dataclass(frozen=True)
class Rehang:
    """Edge loops of the flap hung back on pegs: the oldest on the first peg named."""

    section: Section
    holder: Holder
    """The side of the heel whose edge it is."""
    edge_peg: PegNumber
    """The flap's end peg at which these loops were slipped."""
    pegs: tuple[PegNumber, ...]
    """Where they go, oldest loop (nearest the leg) first."""


@dataclass(frozen=True)
class LiftBar:
    """The strand between two stitches lifted onto a peg beside the loop already there."""

    section: Section
    peg: PegNumber
    between: tuple[PegNumber, PegNumber]
    """The two pegs the bar runs between; one of them is `peg`."""


@dataclass(frozen=True)
class Shift:
    """One peg's loop moved onto a neighbour that has its own; the first peg is then empty."""

    section: Section
    from_peg: PegNumber
    to_peg: PegNumber


@dataclass(frozen=True)
class TakeOff:
    """Loops taken off the pegs onto a needle from inside the ring, in this order."""

    section: Section
    needle: Needle
    pegs: tuple[PegNumber, ...]


@dataclass(frozen=True)
class Graft:
    """Loops joined in pairs by Kitchener stitch: `(front peg, back peg)` in order."""

    section: Section
    pairs: tuple[tuple[PegNumber, PegNumber], ...]

    @property
    def passes(self) -> int:
        """Needle passes: each loop is entered exactly twice, so four a pair; see `kitchener`."""
        return 4 * len(self.pairs)


Move = CastOn | Hold | Rehang | LiftBar | Shift | TakeOff | Graft
Event = Row | Move


@dataclass(frozen=True)
class Rows:
    """The whole sock in the order it is made."""

    loom: Loom
    events: tuple[Event, ...]

    def of(self, *sections: Section) -> tuple[Event, ...]:
        """The events of these sections, in order."""
        return tuple(event for event in self.events if event.section in sections)


def event_pegs(event: Event) -> tuple[PegNumber, ...]:
    """Every peg that a row or move names."""
    match event:
        case LiftBar(peg=peg, between=between):
            return (peg, *between)
        case Shift(from_peg=from_peg, to_peg=to_peg):
            return (from_peg, to_peg)
        case Graft(pairs=pairs):
            return tuple(peg for pair in pairs for peg in pair)
        case Rehang(edge_peg=edge_peg, pegs=pegs):
            return (edge_peg, *pegs)
        case _:
            return event.pegs
