"""A printed page as what is seen on it: letters, lines and shapes at their places.

A format reader fills a `PrintedSheet` from its file; `held` gives the sheet as the reader holds it,
with the letters joined to texts.  Nothing here knows of socks, nor of any file format.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from functools import cached_property
from itertools import pairwise
from typing import Final, NamedTuple

CAPITALS: Final = 0.66
"""Height of the text faces' capitals in sizes, from the OS/2 table of their font files."""
TOUCHING: Final = 0.03
"""Letters of one text start where the one before ends, to this share of their size."""
SAME_LINE: Final = 0.05
"""Base lines nearer than this share of the letters' size are one line."""
FAINT: Final = 0.97
"""What is at least as light as this on white paper is not seen."""


class Face(Enum):
    """The kinds of type on a page, told by the shapes of the letters."""

    REGULAR = "regular"
    BOLD = "bold"
    SYMBOLS = "symbols"
    OTHER = "other"
    """None that is known; its letters cannot be told."""


class Point(NamedTuple):
    """A place on the page, from its top left corner."""

    x_mm: float
    y_mm: float


class Letter(NamedTuple):
    """One character where it stands."""

    text: str
    start: Point
    """On the base line; in the symbol face at the foot of the cell."""
    width_mm: float
    turn: int
    """Quarter turns clockwise after which it stands upright."""
    face: Face
    size_mm: float
    grey: float
    """0 is black, 1 is white."""


class Stroke(NamedTuple):
    """A straight line of two points."""

    start: Point
    end: Point
    width_mm: float

    @property
    def is_upright(self) -> bool:
        return abs(self.start.x_mm - self.end.x_mm) < _STRAIGHT_MM

    @property
    def is_level(self) -> bool:
        return abs(self.start.y_mm - self.end.y_mm) < _STRAIGHT_MM

    @property
    def top_mm(self) -> float:
        return min(self.start.y_mm, self.end.y_mm)

    @property
    def bottom_mm(self) -> float:
        return max(self.start.y_mm, self.end.y_mm)

    @property
    def left_mm(self) -> float:
        return min(self.start.x_mm, self.end.x_mm)

    @property
    def right_mm(self) -> float:
        return max(self.start.x_mm, self.end.x_mm)


_STRAIGHT_MM: Final = 0.02


class Area(NamedTuple):
    """A closed shape that is filled."""

    corners: tuple[Point, ...]
    grey: float

    @property
    def left_mm(self) -> float:
        return min(point.x_mm for point in self.corners)

    @property
    def right_mm(self) -> float:
        return max(point.x_mm for point in self.corners)

    @property
    def top_mm(self) -> float:
        return min(point.y_mm for point in self.corners)

    @property
    def bottom_mm(self) -> float:
        return max(point.y_mm for point in self.corners)

    @property
    def height_mm(self) -> float:
        return self.bottom_mm - self.top_mm

    @property
    def middle_mm(self) -> float:
        return (self.top_mm + self.bottom_mm) / 2

    @property
    def is_level(self) -> bool:
        """Whether it is a rectangle that stands square on the page."""
        return len(self.corners) in (4, 5) and all(
            min(point.x_mm - self.left_mm, self.right_mm - point.x_mm) < _STRAIGHT_MM
            and min(point.y_mm - self.top_mm, self.bottom_mm - point.y_mm) < _STRAIGHT_MM
            for point in self.corners
        )


class Bend(NamedTuple):
    """A line of three points that is not closed: the head of an arrow."""

    first: Point
    tip: Point
    last: Point


class Square(NamedTuple):
    """A square that is drawn and not filled: a box to tick."""

    left_mm: float
    top_mm: float
    side_mm: float

    @property
    def right_mm(self) -> float:
        return self.left_mm + self.side_mm

    @property
    def middle_mm(self) -> float:
        return self.top_mm + self.side_mm / 2

    def holds(self, span: Span) -> bool:
        """Whether the middle of the text lies in the box."""
        return (
            self.left_mm < span.centre_mm < self.right_mm
            and self.top_mm < span.middle_mm < self.top_mm + self.side_mm
        )


@dataclass(frozen=True, slots=True)
class Span:
    """Letters of one face, size and ink that follow one another without a gap."""

    text: str
    """Without blanks at its ends."""
    face: Face
    size_mm: float
    grey: float
    left_mm: float
    right_mm: float
    baseline_mm: float

    @property
    def centre_mm(self) -> float:
        return (self.left_mm + self.right_mm) / 2

    @property
    def middle_mm(self) -> float:
        """Half the height of its capitals, or of its cell in the symbol face."""
        tall = 1.0 if self.face is Face.SYMBOLS else CAPITALS
        return self.baseline_mm - tall * self.size_mm / 2

    @property
    def is_bold(self) -> bool:
        return self.face is Face.BOLD


class Cell(NamedTuple):
    """A level part of a sheet."""

    left_mm: float
    top_mm: float
    right_mm: float
    bottom_mm: float

    def holds(self, point: Point) -> bool:
        return (
            self.left_mm <= point.x_mm <= self.right_mm
            and self.top_mm <= point.y_mm <= self.bottom_mm
        )


@dataclass(frozen=True)
class PrintedSheet:
    """One page of a file as it lies there, or one that was cut from a larger sheet."""

    number: int
    """From 1, as the pages lie in the file; of a page cut from a sheet, the number at its foot."""
    width_mm: float
    height_mm: float
    letters: tuple[Letter, ...]
    strokes: tuple[Stroke, ...]
    bends: tuple[Bend, ...]
    areas: tuple[Area, ...]
    squares: tuple[Square, ...]
    is_ganged: bool = False
    """Cut from a sheet of several cards."""

    @property
    def ways(self) -> tuple[PrintedPage, ...]:
        """The page held every way that some of its letters can be read, upright first."""
        turns = sorted({letter.turn for letter in self.letters})
        return tuple(map(self.held, turns))

    def turned(self, turn: int) -> PrintedSheet:
        """The sheet after that many quarter turns clockwise."""
        if not turn:
            return self
        move = _turner(turn, self.width_mm, self.height_mm)
        size = (self.width_mm, self.height_mm)
        return PrintedSheet(
            self.number,
            *(size if turn % 2 == 0 else size[::-1]),
            tuple(
                one._replace(start=move(one.start), turn=(one.turn - turn) % 4)
                for one in self.letters
            ),
            tuple(Stroke(move(one.start), move(one.end), one.width_mm) for one in self.strokes),
            tuple(Bend(*map(move, bend)) for bend in self.bends),
            tuple(Area(tuple(map(move, area.corners)), area.grey) for area in self.areas),
            tuple(_turned_square(square, move) for square in self.squares),
            self.is_ganged,
        )

    def cut(self, cell: Cell, number: int) -> PrintedSheet:
        """What stands on a part of the sheet, as a sheet of its own."""

        def moved(point: Point) -> Point:
            return Point(point.x_mm - cell.left_mm, point.y_mm - cell.top_mm)

        return PrintedSheet(
            number,
            cell.right_mm - cell.left_mm,
            cell.bottom_mm - cell.top_mm,
            tuple(
                one._replace(start=moved(one.start))
                for one in self.letters
                if cell.holds(one.start)
            ),
            tuple(
                Stroke(moved(one.start), moved(one.end), one.width_mm)
                for one in self.strokes
                if cell.holds(one.start) and cell.holds(one.end)
            ),
            tuple(Bend(*map(moved, one)) for one in self.bends if cell.holds(one.tip)),
            tuple(
                Area(tuple(map(moved, one.corners)), one.grey)
                for one in self.areas
                if all(map(cell.holds, one.corners))
            ),
            tuple(
                Square(*moved(Point(one.left_mm, one.top_mm)), one.side_mm)
                for one in self.squares
                if cell.holds(Point(one.left_mm, one.top_mm))
            ),
            self.is_ganged,
        )

    def held(self, turn: int) -> PrintedPage:
        """The page after that many quarter turns clockwise: what can then be read."""
        return self.turned(turn)._upright

    @cached_property
    def _upright(self) -> PrintedPage:
        """The page as it lies, which is asked for by all who take a file apart."""
        letters = [letter for letter in self.letters if letter.turn == 0]
        return PrintedPage(
            self.number,
            self.width_mm,
            self.height_mm,
            tuple(_texts([letter for letter in letters if letter.face is not Face.SYMBOLS])),
            tuple(
                _span([letter])
                for letter in letters
                if letter.face is Face.SYMBOLS and not letter.text.isspace()
            ),
            self.strokes,
            self.bends,
            self.areas,
            self.squares,
        )


@dataclass(frozen=True)
class PrintedPage:
    """One page held one way."""

    number: int
    width_mm: float
    height_mm: float
    spans: tuple[Span, ...]
    """Texts from the top, those of one line from the left."""
    symbols: tuple[Span, ...]
    """One letter each; a symbol without ink is none."""
    strokes: tuple[Stroke, ...]
    bends: tuple[Bend, ...]
    areas: tuple[Area, ...]
    squares: tuple[Square, ...]


def _turner(turn: int, width_mm: float, height_mm: float) -> Callable[[Point], Point]:
    """Where a point of the sheet lies after so many quarter turns clockwise."""
    return {
        0: lambda point: point,
        1: lambda point: Point(height_mm - point.y_mm, point.x_mm),
        2: lambda point: Point(width_mm - point.x_mm, height_mm - point.y_mm),
        3: lambda point: Point(point.y_mm, width_mm - point.x_mm),
    }[turn]


def _turned_square(square: Square, turned: Callable[[Point], Point]) -> Square:
    left_mm, top_mm, side_mm = square
    one = turned(Point(left_mm, top_mm))
    other = turned(Point(left_mm + side_mm, top_mm + side_mm))
    return Square(min(one.x_mm, other.x_mm), min(one.y_mm, other.y_mm), side_mm)


def _texts(letters: Sequence[Letter]) -> Iterator[Span]:
    """The letters joined to texts, wherever in the file each was written."""
    for line in _lines(letters):
        start = 0
        for index, (one, following) in enumerate(pairwise(line), start=1):
            if not _goes_on(one, following):
                yield from _spans(line[start:index])
                start = index
        yield from _spans(line[start:])


def _lines(letters: Sequence[Letter]) -> Iterator[list[Letter]]:
    """Letters of one base line, from the left; lines from the top."""
    line: list[Letter] = []
    for letter in sorted(letters, key=lambda one: one.start.y_mm):
        if line and letter.start.y_mm - line[0].start.y_mm > SAME_LINE * letter.size_mm:
            yield sorted(line, key=lambda one: one.start.x_mm)
            line = []
        line.append(letter)
    yield sorted(line, key=lambda one: one.start.x_mm)


def _goes_on(one: Letter, following: Letter) -> bool:
    return (
        one.face is following.face
        and abs(one.size_mm - following.size_mm) < TOUCHING * one.size_mm
        and one.grey == following.grey
        and abs(one.start.x_mm + one.width_mm - following.start.x_mm) < TOUCHING * one.size_mm
    )


def _spans(letters: Sequence[Letter]) -> Iterator[Span]:
    """One span; or one for each word, where all of them are numbers: pegs side by side."""
    words = "".join(letter.text for letter in letters).split()
    if len(words) < 2 or not all(map(_NUMBER.fullmatch, words)):
        yield from _trimmed(letters)
        return
    start = 0
    for index, letter in enumerate(letters):
        if letter.text.isspace():
            yield from _trimmed(letters[start:index])
            start = index
    yield from _trimmed(letters[start:])


_NUMBER: Final = re.compile(r"\d+(?:–\d+)?")


def _trimmed(letters: Sequence[Letter]) -> Iterator[Span]:
    """One span without the blanks round it; none if there is nothing else."""
    first, last = 0, len(letters)
    while first < last and letters[first].text.isspace():
        first += 1
    while first < last and letters[last - 1].text.isspace():
        last -= 1
    if first < last:
        yield _span(letters[first:last])


def _span(letters: Sequence[Letter]) -> Span:
    first, last = letters[0], letters[-1]
    return Span(
        "".join(letter.text for letter in letters),
        first.face,
        first.size_mm,
        first.grey,
        first.start.x_mm,
        last.start.x_mm + last.width_mm,
        first.start.y_mm,
    )


def lines_of(spans: Iterable[Span]) -> list[list[Span]]:
    """Texts with one base line, from the left; lines from the top."""
    lines: list[list[Span]] = []
    for span in sorted(spans, key=lambda one: (one.baseline_mm, one.left_mm)):
        near_mm = SAME_LINE * span.size_mm
        if lines and abs(lines[-1][0].baseline_mm - span.baseline_mm) < near_mm:
            lines[-1].append(span)
        else:
            lines.append([span])
    return [sorted(line, key=lambda one: one.left_mm) for line in lines]


def joined(spans: Sequence[Span]) -> str:
    """The words of spans on one line, a blank wherever there is room for one."""
    words = ""
    end_mm = None
    for span in spans:
        if end_mm is not None and span.left_mm - end_mm > _BLANK * span.size_mm:
            words += " "
        words += span.text
        end_mm = span.right_mm
    return " ".join(words.split())


_BLANK: Final = 0.12
"""A narrower gap in sizes is none between words."""
