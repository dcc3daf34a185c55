"""The parts a sock is taught and printed in; each has one chart and one list of steps."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Final, NamedTuple

from charts.rows import Event, Section
from charts.verify import Knit
from charts.virtual_loom import State


class Part(Enum):
    """In the order they are knitted; the value is the word of the command line."""

    CUFF = "cuff"
    LEG = "leg"
    FLAP = "flap"
    TURN = "turn"
    FOOT = "foot"
    TOE = "toe"
    CLOSING = "closing"

    @property
    def sections(self) -> tuple[Section, ...]:
        return _SECTIONS[self]

    @property
    def title(self) -> str:
        return _TITLES[self]


_SECTIONS = {
    Part.CUFF: (Section.CAST_ON, Section.CUFF),
    Part.LEG: (Section.LEG,),
    Part.FLAP: (Section.FLAP, Section.PARTIAL),
    Part.TURN: (Section.TURN,),
    Part.FOOT: (Section.GUSSET, Section.FOOT),
    Part.TOE: (Section.TOE,),
    Part.CLOSING: (Section.CLOSING,),
}

_TITLES = {
    Part.CUFF: "Cast on and cuff",
    Part.LEG: "Leg",
    Part.FLAP: "Heel flap",
    Part.TURN: "Heel turn",
    Part.FOOT: "Gusset and foot",
    Part.TOE: "Toe",
    Part.CLOSING: "Closing the toe",
}


MIRRORED_PARTS: Final = (Part.LEG, Part.FOOT)
"""Where a second sock with mirrored cables differs."""


def second_sock_title(part: Part) -> str:
    """What heads the pages of a second sock that differs."""
    return f"Second sock: {part.title.lower()}"


class Happening(NamedTuple):
    """An event of a part with the state of the loom before and after it."""

    event: Event
    before: State
    after: State


_BARE_LOOM = State(None, 0, 0, 0, 0, 0, 0)


@dataclass(frozen=True)
class PartRecord:
    """What happens in one part of a proved sock."""

    part: Part
    happenings: tuple[Happening, ...]

    @property
    def starts(self) -> State:
        return self.happenings[0].before

    @property
    def ends(self) -> State:
        return self.happenings[-1].after


def part_record(knit: Knit, part: Part) -> PartRecord:
    """The part's events with the loom before and after each; none if the part has no rows."""
    states = (_BARE_LOOM, *knit.trace.states)
    return PartRecord(
        part,
        tuple(
            Happening(event, states[index], states[index + 1])
            for index, event in enumerate(knit.rows.events)
            if event.section in part.sections
        ),
    )


def parts_of(knit: Knit) -> tuple[Part, ...]:
    """The parts that this sock has, in order."""
    there = {event.section for event in knit.rows.events}
    return tuple(part for part in Part if there.intersection(part.sections))
