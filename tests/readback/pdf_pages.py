"""Pages of a finished PDF as letters and lines at their places, found by a library that did not
write it.

Nothing here, nor in the other reading modules of this folder, comes from the modules that write:
what a page says is found out from the file alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from io import BytesIO
from itertools import pairwise
from typing import Any, NamedTuple

import pdfplumber

MM_PER_PT = 25.4 / 72

SYMBOLS = "PegfolioSymbols"
BOLD = "SourceSans3-Bold"
REGULAR = "SourceSans3-Regular"

CAPITALS = 0.66
"""Height of the text face's capitals in sizes, from the OS/2 table of its font files."""

TOUCHING = 0.03
"""Letters of one text start where the one before ends, to this share of their size."""
SAME_LINE_MM = 0.1
"""Base lines nearer than this are one line; the file gives places to 0.0004 mm."""


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
    to_right: int
    """1 for upright letters; else 0."""
    upwards: int
    """1 for letters read with the page's right side turned down; else 0."""
    face: str
    size_mm: float
    grey: float
    """0 is black, 1 is white."""


@dataclass(frozen=True)
class Span:
    """Letters of one face, size and ink that follow one another without a gap."""

    text: str
    face: str
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
        tall = 1.0 if self.face == SYMBOLS else CAPITALS
        return self.baseline_mm - tall * self.size_mm / 2

    @property
    def is_bold(self) -> bool:
        return self.face == BOLD


class Stroke(NamedTuple):
    """A straight line of two points."""

    start: Point
    end: Point

    @property
    def is_upright(self) -> bool:
        return abs(self.start.x_mm - self.end.x_mm) < 0.01

    @property
    def is_level(self) -> bool:
        return abs(self.start.y_mm - self.end.y_mm) < 0.01

    @property
    def top_mm(self) -> float:
        return min(self.start.y_mm, self.end.y_mm)

    @property
    def bottom_mm(self) -> float:
        return max(self.start.y_mm, self.end.y_mm)


class Area(NamedTuple):
    """A closed shape that is filled with black."""

    corners: tuple[Point, ...]

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

    def holds(self, span: Span) -> bool:
        """Whether the text stands in the box."""
        return (
            self.left_mm < span.centre_mm < self.left_mm + self.side_mm
            and self.top_mm < span.middle_mm < self.top_mm + self.side_mm
        )


@dataclass(frozen=True)
class PrintedPage:
    """One page held one way: upright, or with its right side turned down."""

    number: int
    width_mm: float
    height_mm: float
    spans: tuple[Span, ...]
    """Texts that can be read so held, in the order written."""
    symbols: tuple[Span, ...]
    """Symbols that can be read so held, one letter each."""
    strokes: tuple[Stroke, ...]
    bends: tuple[Bend, ...]
    areas: tuple[Area, ...]
    squares: tuple[Square, ...]


@dataclass(frozen=True)
class PrintedSheet:
    """One page of the file, both ways that it can be held."""

    upright: PrintedPage
    on_its_side: PrintedPage
    letters: tuple[Letter, ...]

    @property
    def ways(self) -> tuple[PrintedPage, PrintedPage]:
        return (self.upright, self.on_its_side)


def read_pdf(pdf: bytes) -> tuple[PrintedSheet, ...]:
    """Every page of the file."""
    with pdfplumber.open(BytesIO(pdf)) as file:
        return tuple(_sheet(page) for page in file.pages)


def _sheet(page: Any) -> PrintedSheet:
    height_mm = float(page.height) * MM_PER_PT
    width_mm = float(page.width) * MM_PER_PT
    letters = tuple(_letter(char, height_mm) for char in page.chars)
    strokes = tuple(Stroke(*points) for points in map(_points, page.lines) if len(points) == 2)
    bends = tuple(
        Bend(*points)
        for curve in page.curves
        if curve["stroke"] and not curve["fill"] and len(points := _points(curve)) == 3
    )
    areas = tuple(
        Area(tuple(_points(curve)))
        for curve in page.curves
        if curve["fill"] and curve["non_stroking_color"] in (0, (0,), [0])
    )
    squares = tuple(
        _square(rect)
        for rect in page.rects
        if rect["stroke"] and not rect["fill"] and abs(rect["width"] - rect["height"]) < 0.01
    )
    upright = PrintedPage(
        page.page_number,
        width_mm,
        height_mm,
        tuple(_texts(letter for letter in letters if letter.to_right)),
        tuple(_symbols(letter for letter in letters if letter.to_right)),
        strokes,
        bends,
        areas,
        squares,
    )
    turned = [_turned_letter(letter, height_mm) for letter in letters if letter.upwards]

    def turn(point: Point) -> Point:
        return Point(height_mm - point.y_mm, point.x_mm)

    on_its_side = PrintedPage(
        page.page_number,
        height_mm,
        width_mm,
        tuple(_texts(turned)),
        tuple(_symbols(turned)),
        tuple(Stroke(*map(turn, stroke)) for stroke in strokes),
        tuple(Bend(*map(turn, bend)) for bend in bends),
        tuple(Area(tuple(map(turn, area.corners))) for area in areas),
        (),
    )
    return PrintedSheet(upright, on_its_side, letters)


def _letter(char: Mapping[str, Any], height_mm: float) -> Letter:
    a, b, _, _, x_pt, y_pt = char["matrix"]
    # The box of a letter is as tall as its size, the way the letter stands.
    size_pt = char["x1"] - char["x0"] if abs(b) > abs(a) else char["y1"] - char["y0"]
    return Letter(
        char["text"],
        Point(x_pt * MM_PER_PT, height_mm - y_pt * MM_PER_PT),
        char["adv"] * MM_PER_PT,
        int(a > 0.5),
        int(b > 0.5),
        char["fontname"].partition("+")[2],
        round(size_pt, 2) * MM_PER_PT,
        float(char["non_stroking_color"][0]),
    )


def _turned_letter(letter: Letter, height_mm: float) -> Letter:
    start = Point(height_mm - letter.start.y_mm, letter.start.x_mm)
    return letter._replace(start=start, to_right=1, upwards=0)


def _points(shape: Mapping[str, Any]) -> list[Point]:
    return [Point(x_pt * MM_PER_PT, y_pt * MM_PER_PT) for x_pt, y_pt in shape["pts"]]


def _square(rect: Mapping[str, Any]) -> Square:
    return Square(*(float(rect[key]) * MM_PER_PT for key in ("x0", "top", "width")))


def _symbols(letters: Iterable[Letter]) -> Iterator[Span]:
    for letter in letters:
        if letter.face == SYMBOLS:
            yield _span([letter])


def _texts(letters: Iterable[Letter]) -> Iterator[Span]:
    texts = [letter for letter in letters if letter.face != SYMBOLS]
    start = 0
    for index, (one, following) in enumerate(pairwise(texts), start=1):
        if not _goes_on(one, following):
            yield from _spans(texts[start:index])
            start = index
    yield from _spans(texts[start:])


def _goes_on(one: Letter, following: Letter) -> bool:
    return (
        (one.face, one.size_mm, one.grey) == (following.face, following.size_mm, following.grey)
        and abs(one.start.y_mm - following.start.y_mm) < SAME_LINE_MM
        and abs(one.start.x_mm + one.width_mm - following.start.x_mm) < TOUCHING * one.size_mm
    )


def _spans(letters: list[Letter]) -> Iterator[Span]:
    """One span without the blanks round it; none if there is nothing else."""
    while letters and letters[0].text.isspace():
        letters = letters[1:]
    while letters and letters[-1].text.isspace():
        letters = letters[:-1]
    if letters:
        yield _span(letters)


def _span(letters: list[Letter]) -> Span:
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
