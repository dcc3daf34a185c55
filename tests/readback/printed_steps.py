"""Printed steps by the places of their letters: tick boxes, row labels, words, counts."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from charts.reader import ReadError, StepLine, StepsPart
from charts.reader_words import TITLES
from tests.readback.pdf_pages import PrintedPage, PrintedSheet, Span, Square

SECOND_SOCK = "Second sock: "
NOTES = {
    "Before you start:": "Check",
    "Now:": "Check",
    "At the end:": "Check",
    "To count:": "Count",
}
"""What a page calls the lines that tell nothing to knit."""

TITLE_ROOM_MM = 40.0
"""The title of a page stands in this much of its top."""
BESIDE_MM = 6.0
"""The words of a step begin this close to its box."""
LEADING = 1.45
"""Lines of one step are nearer than this, in sizes."""
COLUMNS_FROM_MM = 45.0
"""Boxes further apart than this stand in two columns of steps."""
BOX_ROOM_MM = 9.0
"""A label stands this far at most from the left end of its column of steps."""
SAME_MM = 0.15

_GOES_ON = re.compile(r"(Rows \d+–\d+) go on:")
"""Above further boxes of a step, maybe on the next page."""
_LABEL = re.compile(r"Rows? \d+(?:–\d+)?|Partial row|Run on")
_ARROWS = ("→", "←")
_PAIR = re.compile(r"(\d+) \+ (\d+)")
_ORDINALS = re.compile(r"(\d+)(?:–\d+)?")


@dataclass(frozen=True)
class PrintedStep:
    """One step as it stands on the page."""

    line: StepLine
    boxes: tuple[str, ...]
    """The number in each of its tick boxes; one empty text for a single box."""


@dataclass(frozen=True)
class PrintedPart:
    """The steps of one part, from all of its pages."""

    title: str
    second: bool
    """Whether the page says that it is the second sock's."""
    steps: tuple[PrintedStep, ...]

    @property
    def plain(self) -> StepsPart:
        """As the reader takes it."""
        return StepsPart(self.title, tuple(step.line for step in self.steps))


def page_title(page: PrintedPage) -> tuple[str, bool]:
    """The part that a page is about, and whether it is the second sock's; "" for another page."""
    head = [
        span
        for span in page.spans
        if span.is_bold and span.grey == 0.0 and span.baseline_mm < TITLE_ROOM_MM
    ]
    if not head:
        return "", False
    words = max(head, key=lambda span: span.size_mm).text
    title = words.removeprefix(SECOND_SOCK)
    second = title != words
    title = title[:1].upper() + title[1:]
    return (title, second) if title in TITLES else ("", False)


def read_printed_steps(sheets: Sequence[PrintedSheet]) -> tuple[PrintedPart, ...]:
    """The steps of every part, in the order printed; a part goes on over pages of one title.

    Raises ReadError for words of a step's size, and for tick boxes, that belong to no step.
    """
    pages = [sheet.upright for sheet in sheets if page_title(sheet.upright)[0]]
    sizes = {size for page in pages for size in _label_sizes(page)}
    parts: dict[tuple[str, bool], list[PrintedStep]] = {}
    pairs: list[tuple[int, str]] = []
    for page in pages:
        steps, more_pairs = _PageReader(page, sizes).read()
        parts.setdefault(page_title(page), []).extend(steps)
        pairs += more_pairs
    if [ordinal for ordinal, _ in pairs] != list(range(1, len(pairs) + 1)):
        raise ReadError("the numbers above the pairs do not count them")
    return tuple(
        PrintedPart(*title, tuple(_with_pairs(step, pairs) for step in _joined(steps)))
        for title, steps in parts.items()
        if steps
    )


def _joined(steps: Sequence[PrintedStep]) -> list[PrintedStep]:
    """The steps with the boxes that go on elsewhere.  Raises ReadError."""
    found: list[PrintedStep] = []
    for step in steps:
        if step.line.text:
            found.append(step)
            continue
        if not found or found[-1].line.label != step.line.label:
            raise ReadError("boxes that go on from no step", line=step.line.label)
        found[-1] = replace(found[-1], boxes=found[-1].boxes + step.boxes)
    return found


def _with_pairs(step: PrintedStep, pairs: Sequence[tuple[int, str]]) -> PrintedStep:
    """The graft with the pairs that the boxes name; any other step as it is."""
    if not step.line.text.startswith("Graft"):
        return step
    return replace(step, line=replace(step.line, pairs=" ".join(pair for _, pair in pairs)))


@dataclass(frozen=True)
class _Begun:
    """A step of which the first line of words is known."""

    start: Span
    """The label, the name of the note, or the words of a move."""
    first: Span
    left_mm: float
    """Where its other lines start."""
    line: StepLine
    has_box: bool


@dataclass(frozen=True)
class _Finished:
    left_mm: float
    top_mm: float
    step: PrintedStep


class _PageReader:
    """Takes away what it has understood; nothing of a step may be left in the end."""

    def __init__(self, page: PrintedPage, sizes: set[float]) -> None:
        self.sizes = _label_sizes(page) or sizes
        self.left = [span for span in page.spans if span.grey < 1.0]
        self.squares = list(page.squares)

    def read(self) -> tuple[tuple[PrintedStep, ...], list[tuple[int, str]]]:
        pairs = self._pairs()
        labels = [span for span in self.left if span.is_bold and _LABEL.fullmatch(span.text)]
        names = [span for span in self.left if span.is_bold and span.text in NOTES]
        more = [span for span in self.left if _GOES_ON.fullmatch(span.text)]
        starts = [*labels, *names, *more]
        begun = [*map(self._more, more), *map(self._row, labels), *map(self._note, names)]
        moves = [square for square in self.squares if not self._number_in(square)]
        begun += map(self._move, moves)
        # Only when every first line is known is it clear which lines go on.
        begun.sort(key=lambda one: one.first.baseline_mm)
        found = [self._finished(one, starts) for one in begun]
        rest = [span for span in self.left if self._is_of_a_step(span)]
        if rest:
            raise ReadError("words that belong to no step", line=rest[0].text)
        if self.squares:
            raise ReadError(f"{len(self.squares)} tick boxes that belong to no step")
        return tuple(one.step for one in _in_order(found)), pairs

    def _is_of_a_step(self, span: Span) -> bool:
        return round(span.size_mm, 2) in self.sizes and not span.is_bold and span.grey == 0.0

    # Kinds of steps

    def _row(self, label: Span) -> _Begun:
        self.left.remove(label)
        line = self._on_line(label)
        arrow = ""
        if line and line[0].text in _ARROWS and line[0].is_bold:
            arrow = line[0].text
            self.left.remove(line.pop(0))
        if not line:
            raise ReadError("a row without words", line=label.text)
        words, *others = line
        self.left.remove(words)
        count = ""
        if others and others[0].text.isdigit():
            number = others[0].text
            count = f"{number} stitch" + ("" if number == "1" else "es")
            self.left.remove(others[0])
        plain = StepLine("", label.text, arrow, count)
        has_box = self._take_box(label) is not None
        return _Begun(label, words, words.left_mm, plain, has_box)

    def _more(self, words: Span) -> _Begun:
        """Further boxes of a step: it has no words of its own."""
        self.left.remove(words)
        match = _GOES_ON.fullmatch(words.text)
        assert match is not None
        return _Begun(words, words, words.left_mm, StepLine("", match[1]), False)

    def _note(self, name: Span) -> _Begun:
        self.left.remove(name)
        line = self._on_line(name)
        if not line:
            raise ReadError("a note without words", line=name.text)
        words = line[0]
        self.left.remove(words)
        return _Begun(name, words, name.left_mm, StepLine("", NOTES[name.text]), False)

    def _move(self, square: Square) -> _Begun:
        """The step without a label whose words begin beside the box."""
        beside = [
            span
            for span in self.left
            if self._is_of_a_step(span) and _are_side_by_side(square, span)
        ]
        if len(beside) != 1:
            raise ReadError(f"{len(beside)} texts beside a tick box")
        (words,) = beside
        self.squares.remove(square)
        self.left.remove(words)
        return _Begun(words, words, words.left_mm, StepLine(""), True)

    def _finished(self, begun: _Begun, starts: Sequence[Span]) -> _Finished:
        goes_on = begun.first is begun.start and begun.line.label != ""
        text, bottom_mm = ("", begun.first.baseline_mm) if goes_on else self._words(begun)
        boxes: tuple[str, ...] = ("",) if begun.has_box else ()
        if begun.line.label.startswith("Row") and not begun.has_box:
            boxes = self._take_numbered_boxes(begun.start, bottom_mm, starts)
        step = PrintedStep(replace(begun.line, text=text), boxes)
        return _Finished(begun.start.left_mm, begun.start.baseline_mm, step)

    def _words(self, begun: _Begun) -> tuple[str, float]:
        """The text with the lines below that go on with it, and its last base line."""
        first = last = begun.first
        text = first.text
        while True:
            following = [
                span
                for span in self.left
                if abs(span.left_mm - begun.left_mm) < SAME_MM
                and span.size_mm == first.size_mm
                and not span.is_bold
                and 0 < span.baseline_mm - last.baseline_mm < LEADING * first.size_mm
            ]
            if not following:
                return text, last.baseline_mm
            if len(following) > 1:
                raise ReadError("two lines that could go on", line=text)
            (last,) = following
            self.left.remove(last)
            text += ("" if text.endswith("-") else " ") + last.text

    def _on_line(self, start: Span) -> list[Span]:
        """What follows on the base line from the left, up to the next label of another column."""
        line = sorted(
            (
                span
                for span in self.left
                if abs(span.baseline_mm - start.baseline_mm) < SAME_MM
                and span.left_mm > start.left_mm
            ),
            key=lambda span: span.left_mm,
        )
        for place, span in enumerate(line):
            if span.is_bold and span.text not in _ARROWS:
                return line[:place]
        return line

    # Boxes

    def _number_in(self, square: Square) -> Span | None:
        inside = [span for span in self.left if square.holds(span)]
        return inside[0] if len(inside) == 1 and inside[0].text.isdigit() else None

    def _take_box(self, span: Span) -> Square | None:
        """The box before a text."""
        for square in self.squares:
            if _are_side_by_side(square, span):
                self.squares.remove(square)
                return square
        return None

    def _take_numbered_boxes(
        self, label: Span, top_mm: float, starts: Sequence[Span]
    ) -> tuple[str, ...]:
        """The numbers in the boxes below a row of several, line by line: down to the next step of
        its column, and across to the next column."""
        below_mm = [
            start.baseline_mm - start.size_mm
            for start in starts
            if abs(start.left_mm - label.left_mm) < COLUMNS_FROM_MM and start.baseline_mm > top_mm
        ]
        beside_mm = [
            start.left_mm for start in starts if start.left_mm > label.left_mm + COLUMNS_FROM_MM
        ]
        bottom_mm = min(below_mm, default=float("inf"))
        right_mm = min(beside_mm, default=float("inf")) - BOX_ROOM_MM
        left_mm = label.left_mm - BOX_ROOM_MM
        numbers = []
        for square in sorted(self.squares, key=lambda one: (round(one.top_mm, 1), one.left_mm)):
            number = self._number_in(square)
            inside = left_mm < square.left_mm + square.side_mm / 2 < right_mm
            if number and inside and top_mm < square.top_mm < bottom_mm:
                numbers.append(number.text)
                self.left.remove(number)
                self.squares.remove(square)
        return tuple(numbers)

    # The graft

    def _pairs(self) -> list[tuple[int, str]]:
        """The pairs to graft with their ordinals, each beside its box."""
        heads = {
            span: int(match[1])
            for span in self.left
            if (match := _ORDINALS.fullmatch(span.text)) and span.grey > 0.0
        }
        columns: dict[Span, list[tuple[float, str]]] = {}
        for span in [*self.left]:
            match = _PAIR.fullmatch(span.text)
            if match is None:
                continue
            square = self._take_box(span)
            if square is None:
                raise ReadError("a pair without its box", line=span.text)
            self.left.remove(span)
            above = [
                head
                for head in heads
                if abs(head.left_mm - square.left_mm) < SAME_MM and head.baseline_mm < square.top_mm
            ]
            if not above:
                raise ReadError("no number above a column of pairs", line=span.text)
            head = max(above, key=lambda head: head.baseline_mm)
            columns.setdefault(head, []).append((square.top_mm, f"{match[1]}+{match[2]}"))
        return sorted(
            (heads[head] + place, pair)
            for head, column in columns.items()
            for place, (_, pair) in enumerate(sorted(column))
        )


def _label_sizes(page: PrintedPage) -> set[float]:
    """Sizes of row labels: the words of a row are as large."""
    return {
        round(span.size_mm, 2)
        for span in page.spans
        if span.is_bold and _LABEL.fullmatch(span.text)
    }


def _are_side_by_side(square: Square, span: Span) -> bool:
    gap_mm = span.left_mm - square.left_mm - square.side_mm
    return (
        0 < gap_mm < BESIDE_MM and square.top_mm < span.middle_mm < square.top_mm + square.side_mm
    )


def _in_order(found: Sequence[_Finished]) -> list[_Finished]:
    """Down the columns, the left one first."""
    lefts_mm = sorted(one.left_mm for one in found)
    if not lefts_mm or lefts_mm[-1] - lefts_mm[0] < COLUMNS_FROM_MM:
        return sorted(found, key=lambda one: one.top_mm)
    middle_mm = (lefts_mm[0] + lefts_mm[-1]) / 2
    return sorted(found, key=lambda one: (one.left_mm > middle_mm, one.top_mm))
