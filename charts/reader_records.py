"""What the reader is given and what it hands back; no module of the reader imports a writer.

The lines and charts below are the plain form of a printed page: every field is text as it stands
on the paper, so that they can be filled from any file that text can be taken out of.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import pairwise
from typing import NamedTuple

from charts.loom import UP, PegNumber, Working
from charts.rows import RUN_ON, Move, Row, Section


class ReadError(Exception):
    """A line that was not understood; nothing is ever guessed."""

    def __init__(self, what: str, *, part: str = "", line: str = "", page: int = 0) -> None:
        self.what = what
        """What was not understood."""
        self.part = part
        """The title of the part it stands in; empty if none was reached."""
        self.line = line
        """The line as printed."""
        self.page = page
        """Counted from 1 in the file; 0 if there are no pages."""
        place = ": ".join(text for text in (part, line and f"“{line}”") if text)
        super().__init__(f"{place}: {what}" if place else what)


@contextmanager
def reading(part: str, line: str, page: int = 0) -> Iterator[None]:
    """Give the place to a ReadError raised inside."""
    try:
        yield
    except ReadError as error:
        raise ReadError(
            error.what,
            part=error.part or part,
            line=error.line or line,
            page=error.page or page,
        ) from None


class LinePlace(NamedTuple):
    """Where something is printed."""

    page: int
    """Counted from 1 in the file; 0 for a text without pages."""
    line: str
    """The line as printed."""


@dataclass(frozen=True)
class Ring:
    """What the reader must know of the loom."""

    pegs: int
    working: Working

    @property
    def rightward(self) -> int:
        """The change of peg number one peg further to the knitter's right."""
        return 1 if self.working is Working.LEFT_TO_RIGHT else -1

    def direction(self, to_right: bool) -> int:
        """UP or DOWN in peg numbers, for a row that runs to the right or to the left."""
        return self.rightward if to_right else -self.rightward

    def peg(self, number: int) -> PegNumber:
        """The peg with that number.  Raises ReadError if the ring has none."""
        if not 1 <= number <= self.pegs:
            raise ReadError(f"there is no peg {number} on a ring of {self.pegs}")
        return PegNumber(number)

    def beside(self, peg: int, step: int) -> PegNumber:
        """The peg `step` further in peg numbers; peg 1 comes after the last one."""
        return PegNumber((peg - 1 + step) % self.pegs + 1)

    def run(self, first: int, last: int, step: int) -> tuple[PegNumber, ...]:
        """The pegs from first to last in the direction `step`, on round the ring if need be."""
        first, last = self.peg(first), self.peg(last)
        count = (last - first) * step % self.pegs + 1
        return tuple(self.beside(first, step * place) for place in range(count))


# Steps


@dataclass(frozen=True)
class StepLine:
    """One printed step."""

    text: str
    """The words; may be broken over several lines of the page."""
    label: str = ""
    """ "Row 3", "Rows 3–8", "Partial row", "Run on"; "Check" or "Count" for a note; empty for a
    move between rows."""
    arrow: str = ""
    """ "→" or "←" for a row that is spelt out, else empty."""
    count: str = ""
    """ "23 stitches" where the page says so."""
    pairs: str = ""
    """The loops to graft as the tick boxes name them, "3+4 2+5 1+6"; empty if not printed."""
    page: int = field(default=0, compare=False)


@dataclass(frozen=True)
class StepsPart:
    """The printed steps of one part."""

    title: str
    lines: tuple[StepLine, ...]


@dataclass(frozen=True)
class ReadNote:
    """A line that tells nothing to knit."""

    part: str
    label: str
    """ "Check" or "Count"."""
    text: str
    after: int = field(default=0, compare=False)
    """How many rows and moves are told before it."""
    page: int = field(default=0, compare=False)


@dataclass(frozen=True)
class ReadSteps:
    """Printed steps as rows and moves, repeats unfolded."""

    ring: Ring
    events: tuple[Row | Move, ...]
    notes: tuple[ReadNote, ...]
    title: str = ""
    places: tuple[LinePlace, ...] = field(default=(), compare=False)
    """Where each of the events is told."""


# Charts


@dataclass(frozen=True)
class ChartRowLine:
    """One row of cells; the row number stands on the side where the row starts."""

    cells: str
    """One character a column, left to right: a stitch letter, a blank for a loop that waits,
    `h` for one on a holder, `.` for none."""
    left_label: str = ""
    right_label: str = ""
    count: str = ""
    """ "23 stitches" where the page says so."""
    page: int = field(default=0, compare=False)


@dataclass(frozen=True)
class ChartStripLine:
    """Moves between two rows."""

    marks: str
    """One character a column: H, G, B, M or O, or a blank."""
    words: tuple[str, ...] = ()
    """What stands under the marks, from the left: "hold 8: peg 2 first"."""
    page: int = field(default=0, compare=False)


@dataclass(frozen=True)
class ChartFoldLine:
    """Rows that are named instead of drawn: "rows 5–32: repeat rows 1–4"."""

    text: str
    page: int = field(default=0, compare=False)


@dataclass(frozen=True)
class ChartAcross:
    """The bracket over columns that are worked several times across."""

    first_column: int
    """0-based, from the left."""
    last_column: int
    text: str
    """ "× 10, to peg 40"."""


@dataclass(frozen=True)
class PlainChart:
    """A printed chart."""

    title: str
    columns: tuple[str, ...]
    """Peg labels left to right: "3", or "2–25" for pegs drawn as one column."""
    lines: tuple[ChartRowLine | ChartStripLine | ChartFoldLine, ...]
    """Bottom first."""
    across: ChartAcross | None = None


@dataclass(frozen=True)
class ReadMarks:
    """The marks of one strip."""

    mark: str
    pegs: tuple[PegNumber, ...]
    """In the order of peg numbers round the ring, from the chart's lowest place."""
    words: tuple[str, ...] = ()
    """As `ChartStripLine` has them."""


@dataclass(frozen=True)
class ReadChart:
    """A chart as rows and marks, repeats unfolded."""

    title: str
    events: tuple[Row | ReadMarks, ...]
    places: tuple[LinePlace, ...] = field(default=(), compare=False)
    """Where each of the events is drawn."""

    @property
    def rows(self) -> tuple[Row, ...]:
        return tuple(event for event in self.events if isinstance(event, Row))


class RowBook:
    """Rows read so far, by section: numbers must follow one another, repeats look back."""

    def __init__(self) -> None:
        self._rows: dict[Section, list[Row]] = {}
        self._ended: set[Section] = set()

    def add(self, row: Row) -> Row:
        """Keep the row.  Raises ReadError if its number does not follow the last one's."""
        rows = self._rows.setdefault(row.section, [])
        if row.section in self._ended:
            raise ReadError("a row after the one that runs on to the next section")
        if row.number == RUN_ON:
            self._ended.add(row.section)
        elif row.number != len(rows) + 1:
            raise ReadError(f"row {row.number} where row {len(rows) + 1} is due")
        else:
            rows.append(row)
        return row

    def row(self, section: Section, number: int) -> Row:
        """An earlier row.  Raises ReadError if it was not read."""
        rows = self._rows.get(section, [])
        if not 1 <= number <= len(rows):
            raise ReadError(f"row {number} was not read before")
        return rows[number - 1]

    def repeat(self, section: Section, rows: range, like: range) -> list[Row]:
        """Keep the rows as copies of earlier ones, group after group, and return them."""
        if like.stop > rows.start:
            raise ReadError(f"row {like.stop - 1} is not earlier than row {rows.start}")
        if len(rows) % len(like):
            raise ReadError(f"{len(rows)} rows are no whole number of groups of {len(like)}")
        made = []
        for place, number in enumerate(rows):
            earlier = self.row(section, like[place % len(like)])
            made.append(
                self.add(Row(section, number, earlier.direction, earlier.pegs, earlier.stitches))
            )
        return made


def check_one_after_another(pegs: tuple[PegNumber, ...], ring: Ring, step: int = UP) -> None:
    """Raise ReadError if a peg is passed over, or the ring is gone round more than once."""
    for peg, following in pairwise(pegs):
        if following != ring.beside(peg, step):
            raise ReadError(f"peg {following} does not come after peg {peg}")
    if len(pegs) > ring.pegs:
        raise ReadError(f"{len(pegs)} pegs in one row of a ring of {ring.pegs}")
