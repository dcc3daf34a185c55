"""Printed steps back into rows and moves."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from charts.loom import UP, PegNumber, Working
from charts.reader_moves import (
    CAST_ON,
    GRAFT_SENTENCES,
    Before,
    check_graft_sentence,
    read_move,
)
from charts.reader_records import (
    LinePlace,
    ReadError,
    ReadNote,
    ReadSteps,
    Ring,
    RowBook,
    StepLine,
    StepsPart,
    reading,
)
from charts.reader_words import (
    ARROWS,
    CUFF_TITLE,
    THREAD,
    N,
    check_count,
    matched,
    read_row_numbers,
    read_row_words,
    section_of,
)
from charts.rows import RUN_ON, Graft, Move, Needle, Row, Section, TakeOff

NOTES: Final = ("Check", "Count", "Graft")
"""Labels of lines that name no peg: what to find, how to count, how the graft is worked."""

THREAD_NOTE: Final = "Thread"
"""Label of the line that ties one, beside its tick box."""

_ROW_LABEL: Final = re.compile(r"Rows? .+")
_REPEAT: Final = re.compile(rf"(?:work as (rows? .+)|repeat (rows? .+), {N} times more)\.")


def read_steps(
    parts: Sequence[StepsPart],
    *,
    pegs: int | None = None,
    working: Working | None = None,
    title: str = "",
    may_lack_flap: bool = False,
) -> ReadSteps:
    """Every row and move told, in order, repeats unfolded; checks and counts as notes.

    `pegs` and `working` may be left out if the parts begin with the cast-on: the first is read
    from its line, the second from the arrow of the cuff's first row.  The parts may be some of a
    sock's only, but edge loops need the flap before them unless it `may_lack_flap`.  Raises
    ReadError naming the line.
    """
    ring = Ring(pegs or _cast_on_pegs(parts), working or _first_direction(parts))
    reader = _StepsReader(ring, may_lack_flap=may_lack_flap)
    for part in parts:
        with reading(part.title, ""):
            section = section_of(part.title)
        for line in part.lines:
            words = " ".join(text for text in (line.label, line.arrow, line.text) if text)
            with reading(part.title, " ".join(words.split()), line.page):
                reader.read(part.title, section, line)
            place = LinePlace(line.page, " ".join(words.split()))
            reader.places += [place] * (len(reader.events) - len(reader.places))
    told = sum(note.label == "Graft" for note in reader.notes)
    if told not in (0, len(GRAFT_SENTENCES)):
        raise ReadError(f"{told} of {len(GRAFT_SENTENCES)} sentences tell the graft")
    return ReadSteps(ring, tuple(reader.events), tuple(reader.notes), title, tuple(reader.places))


def _cast_on_pegs(parts: Sequence[StepsPart]) -> int:
    for part in parts:
        for line in part.lines:
            if match := CAST_ON.fullmatch(" ".join(line.text.split())):
                return int(match[1])
    raise ReadError("no cast-on line tells how many pegs the loom has")


def _first_direction(parts: Sequence[StepsPart]) -> Working:
    """The cuff's first row always runs on round the ring from the cast-on."""
    for part in parts[:1]:
        for line in part.lines:
            if part.title == CUFF_TITLE and line.label.startswith("Row") and line.arrow in ARROWS:
                return Working.LEFT_TO_RIGHT if ARROWS[line.arrow] else Working.RIGHT_TO_LEFT
    raise ReadError("no first row of a cuff tells which way the first round runs")


class _StepsReader:
    def __init__(self, ring: Ring, *, may_lack_flap: bool) -> None:
        self.ring = ring
        self.may_lack_flap = may_lack_flap
        self.events: list[Row | Move] = []
        self.places: list[LinePlace] = []
        self.notes: list[ReadNote] = []
        self.book = RowBook()
        self.flap_row: Row | None = None
        self.taken: dict[Needle, tuple[PegNumber, ...]] = {}

    def read(self, title: str, section: Section, line: StepLine) -> None:
        text = " ".join(line.text.split())
        if line.label in NOTES:
            if line.label == "Graft":
                self.graft_sentence(text)
            self.notes.append(ReadNote(title, line.label, text, len(self.events), line.page))
        elif line.label:
            self.row_line(section, line, text)
        elif line.arrow or line.count:
            raise ReadError("an arrow or a count without the label of a row")
        elif THREAD.fullmatch(text):
            if section is not Section.FLAP or self.flap_row is not None:
                raise ReadError("the thread is tied before the heel flap is begun")
            self.notes.append(ReadNote(title, THREAD_NOTE, text, len(self.events), line.page))
        else:
            before = Before(self.flap_row, self.taken, self.may_lack_flap)
            move = read_move(section, text, line.pairs, self.ring, before)
            if isinstance(move, TakeOff):
                if move.needle in self.taken:
                    raise ReadError(f"the {move.needle.value} needle is filled twice")
                self.taken[move.needle] = move.pegs
            self.events.append(move)

    def graft_sentence(self, text: str) -> None:
        grafts = [event for event in self.events if isinstance(event, Graft)]
        if not grafts:
            raise ReadError("no graft was read that this sentence tells of")
        told = sum(note.label == "Graft" for note in self.notes)
        check_graft_sentence(text, told, len(grafts[-1].pairs))

    def row_line(self, part: Section, line: StepLine, text: str) -> None:
        section, numbers = _label(part, line.label)
        if match := _REPEAT.fullmatch(text):
            as_once, again, times = match.groups()
            like = read_row_numbers(as_once or again)
            if len(numbers) != len(like) * int(times or 1):
                raise ReadError(f"{len(numbers)} rows are not {times or 1} times {len(like)}")
            rows = self.book.repeat(section, numbers, like)
            if line.arrow and any(self._direction(line.arrow) != row.direction for row in rows):
                raise ReadError("an arrow beside a repeat that is not that of its rows")
            if line.count and len(rows) > 1:
                raise ReadError("a count beside a repeat of several rows")
            check_count(line.count, rows[0].stitches)
            self.events += rows
            return
        direction = self._direction(line.arrow)
        pegs, letters = read_row_words(text, self.ring, direction)
        check_count(line.count, letters)
        for number in numbers:
            row = self.book.add(Row(section, number, direction, pegs, letters))
            self.events.append(row)
            if section is Section.FLAP and number == 1:
                if direction != UP:
                    raise ReadError("the flap's first row does not go on from the round")
                self.flap_row = row

    def _direction(self, arrow: str) -> int:
        if arrow not in ARROWS:
            raise ReadError("neither an arrow nor a repeat that is known")
        return self.ring.direction(ARROWS[arrow])


def _label(part: Section, label: str) -> tuple[Section, range]:
    if part is Section.CLOSING:
        raise ReadError("there are no rows in the closing")
    if label == "Partial row":
        if part is not Section.FLAP:
            raise ReadError("a partial row belongs to the heel flap")
        return Section.PARTIAL, range(1, 2)
    if label == "Run on":
        return part, range(RUN_ON, RUN_ON + 1)
    matched(_ROW_LABEL, label, "the label of a row")
    return part, read_row_numbers(label[0].lower() + label[1:])
