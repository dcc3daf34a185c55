"""Strips of a chart: the moves between two rows as short labels under their marks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

from charts.chart import Column
from charts.loom import PegNumber
from charts.rows import (
    CastOn,
    Graft,
    Hold,
    LiftBar,
    Move,
    Needle,
    Rehang,
    Shift,
    TakeOff,
)

LABEL_GAP_MM: Final = 1.5
"""Room between two labels of one line."""


@dataclass(frozen=True, slots=True)
class PlacedLabel:
    """A label in a line of labels below the marks; tier 0 is the uppermost line."""

    text: str
    left_mm: float
    width_mm: float
    tier: int


def move_label(move: Move) -> str:
    """What a strip says of the move, in a few words; the steps have the whole sentence."""
    match move:
        case Hold(pegs=pegs):
            return f"hold {len(pegs)}: peg {pegs[0]} first"
        case Rehang(pegs=pegs):
            loops = "1 edge loop" if len(pegs) == 1 else f"{len(pegs)} edge loops"
            return f"hang {loops}" + (f", oldest on {pegs[0]}" if len(pegs) > 1 else "")
        case LiftBar(between=(low, high)):
            return f"lift bar {low}–{high}"
        case Shift(from_peg=from_peg, to_peg=to_peg):
            return f"loop of {from_peg} onto {to_peg}"
        case TakeOff(needle=needle, pegs=pegs):
            end = "front" if needle is Needle.FRONT else "back"
            return f"{len(pegs)} onto the {end} needle"
        case CastOn() | Graft():
            raise ValueError("no strip shows this move")


def mark_run(columns: Sequence[Column], pegs: Sequence[PegNumber]) -> tuple[int, int] | None:
    """First and last column of the longest unbroken run of these pegs; None if none is shown."""
    wanted = set(pegs)
    best: tuple[int, int] | None = None
    start: int | None = None
    for place in range(len(columns) + 1):
        inside = place < len(columns) and columns[place].pegs[0] in wanted
        if inside and start is None:
            start = place
        elif not inside and start is not None:
            if best is None or place - start > best[1] - best[0] + 1:
                best = (start, place - 1)
            start = None
    return best


class WantedLabel(NamedTuple):
    """A label and the stretch of marks that it belongs to."""

    text: str
    width_mm: float
    marks_left_mm: float
    marks_right_mm: float

    @property
    def centred_mm(self) -> float:
        """Where it starts if nothing is in its way."""
        return (self.marks_left_mm + self.marks_right_mm - self.width_mm) / 2


def place_labels(
    wanted: Sequence[WantedLabel], left_mm: float, right_mm: float
) -> tuple[PlacedLabel, ...]:
    """The labels set in as few lines as they need, from left to right.

    A label stands centred on its marks; it gives way to its neighbours and to the ends as long as
    it still reaches its marks, or else goes a line lower.
    """
    waiting = sorted(wanted, key=lambda label: label.centred_mm + label.width_mm / 2)
    placed: list[PlacedLabel] = []
    tier = 0
    while waiting:
        line, lower = waiting, list[WantedLabel]()
        lefts_mm = _lefts_mm(line, left_mm, right_mm)
        while lefts_mm is None and len(line) > 1:
            # Every other label goes down first, then every other of what is left.
            line, lower = line[::2], [*line[1::2], *lower]
            lefts_mm = _lefts_mm(line, left_mm, right_mm)
        for label, start_mm in zip(line, lefts_mm or [line[0].centred_mm], strict=True):
            placed.append(PlacedLabel(label.text, start_mm, label.width_mm, tier))
        waiting = sorted(lower, key=lambda label: label.centred_mm + label.width_mm / 2)
        tier += 1
    return tuple(placed)


def _lefts_mm(line: Sequence[WantedLabel], left_mm: float, right_mm: float) -> list[float] | None:
    """Left ends of labels in one line; None if they do not all reach their marks."""
    lefts_mm: list[float] = []
    free_mm = left_mm
    for label in line:
        lefts_mm.append(max(label.centred_mm, free_mm))
        free_mm = lefts_mm[-1] + label.width_mm + LABEL_GAP_MM
    end_mm = right_mm
    for index in reversed(range(len(line))):
        lefts_mm[index] = min(lefts_mm[index], end_mm - line[index].width_mm)
        end_mm = lefts_mm[index] - LABEL_GAP_MM
    reached = all(
        start_mm <= label.marks_right_mm and label.marks_left_mm <= start_mm + label.width_mm
        for start_mm, label in zip(lefts_mm, line, strict=True)
    )
    return lefts_mm if reached and lefts_mm[0] >= left_mm - _ROUNDING_MM else None


_ROUNDING_MM: Final = 1e-6
