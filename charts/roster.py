"""The roster of a class: a table of comma-separated values, a row a person.

The head names the columns, in any order; only `who` must be there.  A cell that is wrong is told
with its line and column and spoils no row but its own.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Final, NamedTuple, TypeVar

from charts.hands import Hand
from charts.lengths import LengthError, read_length
from charts.loom import Loom
from charts.looms_file import OwnedLoom
from charts.pattern_file import LEAST_PEGS, MOST_PEGS
from charts.pattern_values import Blame, Count, Measured, ShoeSizeWords, Text
from charts.pattern_words import listed, nearest_word, shortened
from charts.problems import PatternError, Problem
from charts.short_forms import LOOM_FORMS, read_gauge_words, read_loom_words
from charts.spec import Gauge, Length, WearerFacts

MOST_PEOPLE: Final = 2000
MOST_LETTERS: Final = 60
"""Of a label."""
MOST_NOTE_LETTERS: Final = 300


class Column(Enum):
    """The columns by the words of their heads."""

    WHO = "who"
    SIZE = "size"
    LENGTH = "foot length"
    BALL = "ball round"
    LEG_HEIGHT = "leg height"
    SHOE = "shoe"
    LOOM = "loom"
    PEGS = "pegs"
    GAUGE = "gauge"
    PRINT = "print"
    HAND = "hand"
    NOTES = "notes"


@dataclass(frozen=True)
class LoomWanted:
    """The loom of a row."""

    pegs: int
    spacing: tuple[float, str] | None
    """In mm, and as it was written; None for the pattern's."""
    name: str = ""
    """Of a loom that was named."""


@dataclass(frozen=True)
class Person:
    """One row; what it leaves blank is the pattern's own."""

    line: int
    who: str
    """A label of any text, one of a kind."""
    size: str = ""
    """As the pattern spells it."""
    foot: WearerFacts | None = None
    loom: LoomWanted | None = None
    gauge: Gauge | None = None
    """The person's own swatch."""
    print_size: str = ""
    """One of the words that there were to choose from."""
    hand: Hand | None = None
    notes: str = ""


@dataclass(frozen=True)
class Choices:
    """What the rows may name."""

    sizes: Sequence[str] = ()
    """Of the pattern."""
    looms: Sequence[OwnedLoom] = ()
    """Those that have a name."""
    prints: Sequence[str] = ()


@dataclass(frozen=True)
class Roster:
    """A roster read."""

    people: tuple[Person, ...]
    """The good rows, in the order of the file."""
    problems: tuple[Problem, ...]
    """Those of the others, each with its line."""


def read_roster(text: str, choices: Choices | None = None) -> Roster:
    """Everybody on the roster, and what is wrong with the rows that name nobody.

    The columns are parted by commas, semicolons or tabs, whichever the head has most of.  A length
    has its unit in the cell or in the head, as in "foot length (cm)".  Blank rows count for
    nothing.  Raises PatternError for a table whose head is wrong, or that has nobody in it.

    >>> read_roster("who,foot length cm\\nStudent A,23.5").people[0].foot.length.mm
    235.0
    """
    records = _records(text)
    head = next(records, None)
    if head is None:
        raise PatternError((Problem("the roster is empty", suggestion="a head such as who,size"),))
    if head.fault is not None:
        raise PatternError((head.fault,))
    heads = _read_heads(head)
    reading = _Reading(heads, choices or Choices())
    for record in records:
        reading.read(record)
    if not reading.people and not reading.problems:
        what = "there is nobody on the roster"
        raise PatternError((Problem(what, suggestion="a row below the head for each person"),))
    return Roster(tuple(reading.people), tuple(reading.problems))


# The table


class _Record(NamedTuple):
    """One row of the table."""

    line: int
    """Where it begins."""
    cells: list[str]
    fault: Problem | None = None
    """Why it cannot be read as a row."""


def _records(text: str) -> Iterator[_Record]:
    """Every row that is not blank; after one that cannot be read there is none."""
    lines = _LINE.findall(text)
    reader = csv.reader(lines, delimiter=_separator(text), strict=True)
    before = 0
    while True:
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error:
            what = "a quotation mark is not closed, or something follows one that closes a cell"
            again = 'a quotation mark inside a quoted cell twice, as in "5"" ring"'
            yield _Record(before + 1, [], Problem(what, suggestion=again, line=before + 1))
            return
        if any(cell.strip() for cell in cells):
            yield _Record(before + 1, cells)
        before = reader.line_num


_SEPARATORS: Final = ",;\t"


_LINE: Final = re.compile(r"[^\r\n]*(?:\r\n|\r|\n)|[^\r\n]+")
"""No other sign ends a line of a table, as str.splitlines has it."""


def _separator(text: str) -> str:
    """What parts the cells of the first line that is not blank; a comma if nothing does."""
    line = next((line for line in text.splitlines() if line.strip()), "")
    bare = re.sub(r'"[^"]*"', "", line)
    return max(_SEPARATORS, key=bare.count)


class _Head(NamedTuple):
    column: Column
    unit: str
    """Of lengths without one; empty if the cells must tell."""


def _read_heads(record: _Record) -> tuple[_Head | None, ...]:
    """The columns in the order of the table; None for one without head.

    Raises PatternError with every head that is wrong.
    """
    problems: list[Problem] = []
    heads: list[_Head | None] = []
    for cell in record.cells:
        head = _read_head(cell)
        if head is None and cell.strip():
            problems.append(_stranger(cell, record.line))
        elif head is not None and head.column in [one.column for one in heads if one]:
            what = f"there are two columns '{head.column.value}'"
            problems.append(Problem(what, line=record.line, suggestion="leave one out"))
        heads.append(head)
    if not problems and all(head is None or head.column is not Column.WHO for head in heads):
        what = "the first row must name the columns, and 'who' is not among them"
        problems.append(Problem(what, line=record.line, suggestion=f"who,{_columns('')}"))
    if problems:
        raise PatternError(tuple(problems[:_MOST_HEAD_PROBLEMS]))
    return tuple(heads)


_MOST_HEAD_PROBLEMS: Final = 20
_WORDS: Final = {column.value: column for column in Column}
_LENGTHS: Final = (Column.LENGTH, Column.BALL, Column.LEG_HEIGHT)
_UNIT: Final = re.compile(r"(.*?)[ (,]+(cm|mm|in)\)?")


def _read_head(cell: str) -> _Head | None:
    """
    >>> _read_head("Foot_length (cm)")
    _Head(column=<Column.LENGTH: 'foot length'>, unit='cm')
    """
    words = " ".join(re.sub(r"[_-]", " ", cell).split()).casefold()
    if words in _WORDS:
        return _Head(_WORDS[words], "")
    found = _UNIT.fullmatch(words)
    column = _WORDS.get(found[1]) if found else None
    return _Head(column, found[2]) if found and column in _LENGTHS and column else None


def _stranger(cell: str, line: int) -> Problem:
    what = f"there is no column '{shortened(cell.strip())}'"
    words = re.sub(r"[_-]", " ", cell)
    nearest = nearest_word(words, _WORDS)
    return Problem(what, allowed=_columns("and"), suggestion=nearest, line=line)


def _columns(joint: str) -> str:
    """The columns in a row; those beside `who` as a head has them if there is no joint."""
    names = [column.value for column in Column]
    return listed(names, joint) if joint else ",".join(names[1:])


# Rows

_T = TypeVar("_T")


class _Reading:
    """Collects the people of one roster and what is wrong."""

    def __init__(self, heads: tuple[_Head | None, ...], choices: Choices) -> None:
        self.heads = heads
        self.choices = choices
        self.people: list[Person] = []
        self.problems: list[Problem] = []
        self.seen: dict[str, int] = {}
        """The line of each label, letters of either case alike."""
        self.rows = 0

    def read(self, record: _Record) -> None:
        """One row more."""
        self.rows += 1
        if record.fault is not None:
            self.problems.append(record.fault)
        elif self.rows == MOST_PEOPLE + 1:
            what = f"more than {MOST_PEOPLE:,} people are too many; the rest is left out"
            self.problems.append(Problem(what, allowed=f"1 to {MOST_PEOPLE:,}", line=record.line))
        elif self.rows <= MOST_PEOPLE:
            self._read_row(record)

    def _read_row(self, record: _Record) -> None:
        cells = {
            head.column: cell.strip()
            for head, cell in zip(self.heads, record.cells, strict=False)
            if head is not None and cell.strip()
        }
        row = _Row(record.line, cells, self.heads)
        who = row.read(Column.WHO, Text(MOST_LETTERS, required=True).read, "")
        row.who = who or ""
        known = {place for place, head in enumerate(self.heads) if head is not None}
        beyond = [cell for place, cell in enumerate(record.cells) if place not in known]
        if any(cell.strip() for cell in beyond):
            count = len(record.cells)
            what = f"there are {count} cells, and the head names {len(known)} columns"
            again = "quotation marks round a cell that has the separator in it"
            row.fault(None, what, suggestion=again)
        if who is not None:
            self._note(who, row)
        person = None if who is None else self._person(who, row)
        if row.faults:
            self.problems += row.faults
        elif person is not None:
            self.people.append(person)

    def _note(self, who: str, row: _Row) -> None:
        """Labels tell people apart, whatever their case."""
        key = who.casefold()
        if key in self.seen:
            what = f"line {self.seen[key]} is for the same"
            row.fault(Column.WHO, what, "a label of its own for each person")
        self.seen.setdefault(key, row.line)

    def _person(self, who: str, row: _Row) -> Person:
        """What the cells say; those at fault are blank."""
        size = row.choose(Column.SIZE, self.choices.sizes, "the pattern has no sizes")
        hand = row.choose(Column.HAND, [hand.value for hand in Hand], "")
        return Person(
            row.line,
            who,
            size or "",
            self._foot(row),
            self._loom(row),
            row.read(Column.GAUGE, read_gauge_words),
            row.choose(Column.PRINT, self.choices.prints, "there is one print only") or "",
            Hand(hand) if hand else None,
            row.read(Column.NOTES, Text(MOST_NOTE_LETTERS).read) or "",
        )

    def _foot(self, row: _Row) -> WearerFacts | None:
        """What is told of the foot; None if nothing is."""
        if not row.cells.keys() & {*_LENGTHS, Column.SHOE}:
            return None
        return WearerFacts(
            length=row.length(Column.LENGTH),
            ball=row.length(Column.BALL),
            leg_height=row.length(Column.LEG_HEIGHT),
            shoe=row.read(Column.SHOE, ShoeSizeWords().read) or "",
        )

    def _loom(self, row: _Row) -> LoomWanted | None:
        if Column.LOOM in row.cells and Column.PEGS in row.cells:
            what = "this row has a loom already"
            row.fault(Column.PEGS, what, suggestion="fill in loom or pegs, not both")
            return None
        pegs = row.read(Column.PEGS, _read_count)
        if pegs is not None:
            return LoomWanted(pegs, None)
        return row.read(Column.LOOM, self._read_loom)

    def _read_loom(self, words: str, blame: Blame) -> LoomWanted | None:
        """A loom by name, by pegs and spacing, or by its pegs alone."""
        plain = " ".join(words.split()).casefold()
        for owned in self.choices.looms:
            if " ".join(owned.name.split()).casefold() == plain:
                return _wanted(owned.loom, owned.name)
        bare = re.fullmatch(r"([0-9]{1,4})(?: *pegs?)?", plain)
        if bare is not None:
            pegs = _read_count(bare[1], blame)
            return None if pegs is None else LoomWanted(pegs, None)
        if not plain[:1].isdigit():
            names = [owned.name for owned in self.choices.looms]
            allowed = listed([LOOM_FORMS, "pegs alone", *names])
            blame(f"'{shortened(words)}' is no loom", allowed, nearest_word(plain, names))
            return None
        loom = read_loom_words(words, blame)
        return None if loom is None else _wanted(loom, "")


def _wanted(loom: Loom, name: str) -> LoomWanted:
    return LoomWanted(loom.pegs, (loom.spacing_mm, loom.spacing_text), name)


def _read_count(words: str, blame: Blame) -> int | None:
    """Pegs; what is no number is blamed as it stands."""
    value = int(words) if re.fullmatch(r"[0-9]{1,9}", words) else words
    return Count(LEAST_PEGS, MOST_PEGS).read(value, blame)


_FOOT: Final = {
    Column.LENGTH: Measured(20, 700, "the length of a foot", unit="cm"),
    Column.BALL: Measured(20, 700, "the ball of a foot", unit="cm"),
    Column.LEG_HEIGHT: Measured(20, 700, "the height of a leg", unit="cm"),
}


class _Row:
    """The cells of one row that are filled, and what is wrong with them."""

    def __init__(
        self, line: int, cells: Mapping[Column, str], heads: Sequence[_Head | None]
    ) -> None:
        self.line = line
        self.cells = cells
        self.who = ""
        self.faults: list[Problem] = []
        self._units = {head.column: head.unit for head in heads if head is not None}

    def fault(
        self, column: Column | None, what: str, allowed: str = "", suggestion: str = ""
    ) -> None:
        """Something is wrong in that column, or in the whole row."""
        key = person_key(self.who, column)
        self.faults.append(Problem(what, key, allowed, suggestion, self.line))

    def read(
        self, column: Column, read: Callable[[str, Blame], _T | None], missing: str | None = None
    ) -> _T | None:
        """The value of a cell; None for one that is blank, unless something stands for it."""
        words = self.cells.get(column, missing)
        if words is None:
            return None

        def blame(
            what: str, allowed: str = "", suggestion: str = "", *, value_line: int | None = None
        ) -> None:
            del value_line
            self.fault(column, what, allowed, suggestion)

        return read(words, blame)

    def length(self, column: Column) -> Length | None:
        """A length: in the unit of the head if it has none of its own."""
        unit, words = self._units.get(column, ""), self.cells.get(column)
        if words is None:
            return None
        plain = _DECIMAL_COMMA.sub(".", words)
        if unit and _has_no_unit(plain):
            plain = f"{plain} {unit}"
        return self.read(column, lambda _, blame: _FOOT[column].read(plain, blame))

    def choose(self, column: Column, words: Sequence[str], none: str) -> str | None:
        """One of the words, in either case; `none` says that there are none to choose from."""

        spelt = {spelling: word for word in words for spelling in _spellings(word)}

        def read(cell: str, blame: Blame) -> str | None:
            plain = " ".join(cell.split()).casefold()
            if plain not in spelt:
                nearest = spelt.get(nearest_word(plain, spelt), "")
                what = f"'{shortened(cell)}' is none of these" if words else none
                blame(what, listed(words) if words else "", nearest)
            return spelt.get(plain)

        return self.read(column, read)


def person_key(who: str, column: Column | None) -> str:
    """What a problem is about: the person, and the column if one is to blame."""
    return ": ".join(filter(None, (shortened(who), column.value if column else "")))


def _spellings(word: str) -> tuple[str, ...]:
    """How a word to choose may be written: "left-handed" as "left" too."""
    plain = word.casefold()
    return (plain, plain.partition("-handed")[0], f"{plain} print")


_DECIMAL_COMMA: Final = re.compile(r"(?<=[0-9]),(?=[0-9]{1,3}(?![0-9,.]))")


def _has_no_unit(words: str) -> bool:
    try:
        read_length(words)
    except LengthError:
        return bool(re.fullmatch(r"[0-9./ ½¼¾⅛⅜⅝⅞⁄]+", words))
    return False
