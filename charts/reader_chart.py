"""Printed charts back into rows.

The reader follows what waits on holders and which pegs are empty, so that a cell which is not
worked is checked as well as one that is.
"""

from __future__ import annotations

import re
from typing import Final, NamedTuple

from charts.loom import DOWN, PegNumber
from charts.reader_records import (
    ChartAcross,
    ChartFoldLine,
    ChartRowLine,
    ChartStripLine,
    LinePlace,
    PlainChart,
    ReadChart,
    ReadError,
    ReadMarks,
    Ring,
    RowBook,
    check_one_after_another,
    reading,
)
from charts.reader_words import (
    LETTERS,
    N,
    check_count,
    matched,
    read_row_numbers,
    read_span,
    section_of,
)
from charts.rows import RUN_ON, Row, Section

_WAITING: Final = " "
_HELD: Final = "h"
_ABSENT: Final = "."
UNSHOWN: Final = "~"
"""A cell of a row that is drawn for other pegs only."""
_MARKS: Final = "HGBMO"
"""Hold, hang back, lift bar, move a loop, take off."""

_ACROSS: Final = re.compile(rf"× {N}, to peg {N}")
_FOLD: Final = re.compile(r"(rows? .+): (as|repeat) (rows? .+)")
_NUMBER: Final = re.compile(N)


class _Place(NamedTuple):
    """One peg of the chart."""

    peg: PegNumber
    column: int
    copy: int
    """0, or which repeat across after the first one it belongs to."""


def read_chart(chart: PlainChart, ring: Ring) -> ReadChart:
    """Every row of the chart, repeats unfolded, with the marks of the strips between them.

    Rows come in the order they are worked, pegs in the order the yarn visits them.  Raises
    ReadError naming the line.
    """
    with reading(chart.title, " ".join(chart.columns), chart.lines[0].page if chart.lines else 0):
        section = section_of(chart.title)
        reader = _ChartReader(section, _places(chart.columns, chart.across, ring), ring)
    for line in chart.lines:
        with reading(chart.title, _shown(line), line.page):
            if isinstance(line, ChartRowLine | ChartStripLine):
                cells = line.cells if isinstance(line, ChartRowLine) else line.marks
                if len(cells) != len(chart.columns):
                    raise ReadError(f"{len(cells)} cells in {len(chart.columns)} columns")
            reader.read(line)
        place = LinePlace(line.page, _named(line))
        reader.drawn_at += [place] * (len(reader.events) - len(reader.drawn_at))
    return ReadChart(chart.title, tuple(reader.events), tuple(reader.drawn_at))


def _named(line: ChartRowLine | ChartStripLine | ChartFoldLine) -> str:
    """What a reader finds the line by."""
    match line:
        case ChartRowLine():
            return f"chart, row {line.left_label or line.right_label}"
        case ChartStripLine(words=words):
            return f"chart, {', '.join(words) or 'moves'}"
        case ChartFoldLine(text=text):
            return f"chart, {text}"


def _shown(line: ChartRowLine | ChartStripLine | ChartFoldLine) -> str:
    match line:
        case ChartRowLine():
            return f"{line.left_label} |{line.cells}| {line.right_label}".strip()
        case ChartStripLine(marks=marks):
            return f"moves |{marks}|"
        case ChartFoldLine(text=text):
            return text


def _places(columns: tuple[str, ...], across: ChartAcross | None, ring: Ring) -> list[_Place]:
    """Every peg the chart stands for, in the order of peg numbers round the ring."""
    pegs = [ring.run(*read_span(label), ring.rightward) for label in columns]
    order = range(len(columns))
    if ring.rightward == DOWN:
        pegs = [run[::-1] for run in pegs]
        order = order[::-1]
    places: list[_Place] = []
    group = _bracket(across, len(columns))
    done = False
    for column in order:
        if column not in group:
            places += [_Place(peg, column, 0) for peg in pegs[column]]
        elif not done and across is not None:
            places += _repeated([c for c in order if c in group], pegs, across, ring)
            done = True
    check_one_after_another(tuple(place.peg for place in places), ring)
    return places


def _bracket(across: ChartAcross | None, columns: int) -> range:
    if across is None:
        return range(0)
    if not 0 <= across.first_column <= across.last_column < columns:
        raise ReadError("the repeat across does not stand over columns of the chart")
    return range(across.first_column, across.last_column + 1)


def _repeated(
    group: list[int], pegs: list[tuple[PegNumber, ...]], across: ChartAcross, ring: Ring
) -> list[_Place]:
    match = matched(_ACROSS, across.text, "a repeat across")
    times, last = int(match[1]), ring.peg(int(match[2]))
    if any(len(pegs[column]) != 1 for column in group):
        raise ReadError("a column of several pegs inside a repeat across")
    places = [
        _Place(ring.beside(pegs[column][0], copy * len(group)), column, copy)
        for copy in range(times)
        for column in group
    ]
    if times < 2 or places[-1].peg != last:
        raise ReadError(f"“{across.text}”: the repeat ends on peg {places[-1].peg}")
    return places


class _ChartReader:
    def __init__(self, section: Section, places: list[_Place], ring: Ring) -> None:
        self.section = section
        self.places = places
        self.ring = ring
        self.events: list[Row | ReadMarks] = []
        self.drawn_at: list[LinePlace] = []
        self.book = RowBook()
        self.resting = {place.peg: _WAITING for place in places}
        """What a peg shows in a row that does not work it."""

    def read(self, line: ChartRowLine | ChartStripLine | ChartFoldLine) -> None:
        match line:
            case ChartRowLine():
                self.row_line(line)
            case ChartStripLine(marks=marks, words=words):
                self.strip(marks, words)
            case ChartFoldLine(text=text):
                self.fold(text)

    def row_line(self, line: ChartRowLine) -> None:
        if bool(line.left_label) == bool(line.right_label):
            raise ReadError("the row number must stand on one side, where the row starts")
        section, number = self.label(line.left_label or line.right_label)
        direction = self.ring.direction(bool(line.left_label))
        # Pegs worked on to the next section are worked once, whatever repeats below them.
        cells = {
            place.peg: _WAITING if number == RUN_ON and place.copy else line.cells[place.column]
            for place in self.places
        }
        for peg, cell in cells.items():
            self.check_cell(peg, cell)
        pegs = tuple(peg for peg, cell in cells.items() if cell in LETTERS)
        if not pegs:
            raise ReadError("a row without a worked cell")
        check_one_after_another(pegs, self.ring)
        letters = "".join(cells[peg] for peg in pegs)
        check_count(line.count, letters)
        if direction == DOWN:
            pegs, letters = pegs[::-1], letters[::-1]
        row = self.book.add(Row(section, number, direction, pegs, letters))
        self.events.append(row)
        self.join(row)

    def label(self, label: str) -> tuple[Section, int]:
        if self.section is Section.CLOSING:
            raise ReadError("there are no rows in the closing")
        if label == "partial":
            if self.section is not Section.FLAP:
                raise ReadError("a partial row belongs to the heel flap")
            return Section.PARTIAL, 1
        if label == "run on":
            return self.section, RUN_ON
        return self.section, int(matched(_NUMBER, label, "a row number")[1])

    def check_cell(self, peg: PegNumber, cell: str) -> None:
        """A worked cell needs a loop on its peg; any other one shows what the peg holds."""
        if cell == UNSHOWN:
            return
        rests = self.resting[peg]
        if cell in LETTERS:
            if rests == _HELD:
                raise ReadError(f"peg {peg} is worked while its loop is on a holder")
            if (cell == "x") != (rests == _ABSENT):
                raise ReadError(f"“{cell}” at peg {peg} does not suit what is on the peg")
        elif cell not in (_WAITING, _HELD, _ABSENT):
            raise ReadError(f"“{cell}” at peg {peg} is no symbol that is known")
        elif cell != rests:
            raise ReadError(f"“{cell}” at peg {peg} where “{rests}” is due")

    def join(self, row: Row) -> None:
        """A join takes the nearest held loop ahead off its holder."""
        for _ in range(row.stitches.count("j")):
            ahead = self.ring.run(
                row.pegs[-1], self.ring.beside(row.pegs[-1], -row.direction), row.direction
            )
            held = next((peg for peg in ahead if self.resting.get(peg) == _HELD), None)
            if held is None:
                raise ReadError("no held loop is left to join")
            self.resting[held] = _ABSENT

    def strip(self, marks: str, words: tuple[str, ...]) -> None:
        kinds = set(marks) - {" "}
        if len(kinds) != 1 or not kinds <= set(_MARKS):
            raise ReadError("a strip has marks of one kind, " + ", ".join(_MARKS))
        (mark,) = kinds
        pegs = tuple(place.peg for place in self.places if marks[place.column] == mark)
        if mark in "HM":
            self.resting |= dict.fromkeys(pegs, _HELD if mark == "H" else _ABSENT)
        self.events.append(ReadMarks(mark, pegs, words))

    def fold(self, text: str) -> None:
        match = matched(_FOLD, text, "a line that names repeated rows")
        numbers, like = read_row_numbers(match[1]), read_row_numbers(match[3])
        if (match[2] == "as") != (len(numbers) == len(like)):
            raise ReadError(f"“{match[2]}” does not suit {len(numbers)} and {len(like)} rows")
        for row in self.book.repeat(self.section, numbers, like):
            self.events.append(row)
            self.join(row)
