"""What a booklet says of its own proof: how much was knitted, and a short code of the rows.

The code is worked out from rows and moves alone, whatever file they are printed in, so that it can
be worked out again from what the pages say.
"""

from __future__ import annotations

from base64 import b32encode
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from hashlib import sha256
from typing import Final

from charts.rows import (
    RUN_ON,
    CastOn,
    Event,
    Graft,
    Hold,
    LiftBar,
    Rehang,
    Row,
    Shift,
    TakeOff,
)
from charts.stitches import drawn_in

CODE_BYTES: Final = 5
"""Bytes of SHA-256 (FIPS 180-4) in the code: eight letters in base 32 (RFC 4648)."""


class Readings(Enum):
    """What a page tells the rows by."""

    BOTH = "chart and steps agree"
    CHART = "told by its charts"
    STEPS = "told by its steps"


@dataclass(frozen=True)
class ToldSock:
    """The rows and moves of one sock in the order they are worked."""

    name: str
    """Of the size, and whether it is the second sock; empty for the one sock there is."""
    events: tuple[Event, ...]


@dataclass(frozen=True)
class Proof:
    """One line for the last page."""

    socks: int
    loops: int
    """Loops drawn in all rows."""
    rows: int
    """Rows with a number, the partial row counted."""
    readings: Readings
    code: str
    """ "K3F7-2QMA"."""

    @property
    def text(self) -> str:
        """
        >>> Proof(1, 4851, 143, Readings.BOTH, "K3F7-2QMA").text[:57]
        'Proved on the virtual loom: 4,851 loops in 143 rows; char'
        """
        socks = "" if self.socks == 1 else f"{self.socks} socks, "
        return (
            f"{PROVED} {socks}{self.loops:,} loops in {self.rows:,} rows; "
            f"{self.readings.value}. Proof {self.code}"
        )


PROVED: Final = "Proved on the virtual loom:"
"""How the line begins."""


def make_proof(socks: Sequence[ToldSock], readings: Readings = Readings.BOTH) -> Proof:
    """The proof of the socks that one file tells, at least one."""
    rows = [event for sock in socks for event in sock.events if isinstance(event, Row)]
    return Proof(
        len(socks),
        sum(drawn_in(row.stitches) for row in rows),
        sum(row.number != RUN_ON for row in rows),
        readings,
        _code(socks),
    )


def _code(socks: Sequence[ToldSock]) -> str:
    lines = [line for sock in socks for line in _lines(sock)]
    digest = sha256("\n".join(lines).encode()).digest()
    letters = b32encode(digest[:CODE_BYTES]).decode()
    return f"{letters[:4]}-{letters[4:]}"


def _lines(sock: ToldSock) -> Iterator[str]:
    yield f"sock {sock.name}"
    for event in sock.events:
        yield " ".join((event.section.value, *_facts(event)))


def _facts(event: Event) -> tuple[str, ...]:
    match event:
        case Row(number=number, direction=direction, pegs=pegs, stitches=stitches):
            return (f"row {number} {direction:+d}", _listed(pegs), stitches)
        case CastOn(pegs=pegs):
            return ("cast on", _listed(pegs))
        case Hold(holder=holder, pegs=pegs):
            return (f"hold {holder.value}", _listed(pegs))
        case Rehang(holder=holder, edge_peg=edge_peg, pegs=pegs):
            return (f"hang {holder.value} {edge_peg}", _listed(pegs))
        case LiftBar(peg=peg, between=between):
            return (f"lift {peg}", _listed(between))
        case Shift(from_peg=from_peg, to_peg=to_peg):
            return (f"move {from_peg} {to_peg}",)
        case TakeOff(needle=needle, pegs=pegs):
            return (f"take {needle.value}", _listed(pegs))
        case Graft(pairs=pairs):
            return ("graft", " ".join(f"{front}+{back}" for front, back in pairs))


def _listed(pegs: Sequence[int]) -> str:
    return ",".join(map(str, pegs))
