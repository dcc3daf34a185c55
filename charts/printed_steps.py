"""Printed steps by the places of their letters: tick boxes, row labels, words, counts.

A step begins beside its tick box; rows that are told together have a box each below them, with
its number; checkpoints begin with a name of their own.  Sizes of type are compared with each other
only, so that a page in larger print is read as any other.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from charts.printed_page import PrintedPage, Span, Square, joined, lines_of
from charts.reader_records import ReadError
from charts.reader_sizes import SizedStepLine

ALL_SIZES: Final = "All sizes:"
START, NOW, END, COUNT = "Before you start", "Now", "At the end", "To count"
NOTES: Final = {START: "Check", NOW: "Check", END: "Check", COUNT: "Count"}
"""What a page calls the lines that tell nothing to knit, and what the reader calls them."""
CARD_NOTES: Final = {"Start": START, "End": END}
"""What stands over the chart of a card."""

_LABEL: Final = r"Partial row|Run on|Rows? [\d–][\d–(), ]*"
_ARROW: Final = r"[→←](?: \([→←–, ]+\))?"
_ROW: Final = re.compile(rf"({_LABEL}?)(?: ({_ARROW}))? ([a-z].*)")
_BEGINS_ROW: Final = re.compile(rf"(?:{_LABEL}).*")
_COUNT: Final = re.compile(r"[1-9–][\d–(), ]*(?: stitch(?:es)?)?[),\d– a-z]*")
_NOTE: Final = re.compile(rf"({'|'.join(NOTES)})(?:, (sizes? .+ only))?: ?(.*)")
_BEGINS_NOTE: Final = re.compile(rf"(?:{'|'.join(NOTES)})(?::|, sizes? )|Sizes? .")
"""The first words of a note, or of a line that names the sizes that steps are for."""
_ONLY: Final = re.compile(r"(Sizes? .+ only):")
_PAIR: Final = re.compile(r"([1-9]\d*) \+ ([1-9]\d*)")
_ORDINALS: Final = re.compile(r"([1-9]\d*)(?:–([1-9]\d*))?")

_BESIDE: Final = 1.4
"""The words of a step begin this close to its box, in sides of the box."""
_INDENT: Final = 3.0
"""The words of a step begin this close to the left edge of the boxes, in sides of a box."""
_LEADING: Final = 1.5
"""Lines of one step are nearer than this, in sizes of the type."""
_COUNT_GAP: Final = 0.33
"""Before a count there is more room than this, in sizes: more than between words."""
_SAME_MM: Final = 0.3


@dataclass(frozen=True)
class PrintedStep:
    """One step as it stands on the page; numbers in brackets are not yet those of one size."""

    line: SizedStepLine
    name: str = ""
    """Of a note, as printed."""
    boxes: tuple[int, ...] = ()
    """The numbers in the boxes below rows that are told together."""


@dataclass(frozen=True)
class PrintedPairs:
    """A column of pairs to graft, each with a box to tick."""

    top_mm: float
    """Of the ordinals above it."""
    left_mm: float
    first: int
    last: int
    """Ordinals of its first pair and its last one."""
    pairs: tuple[str, ...]
    """ "3+4"."""


@dataclass(frozen=True)
class PrintedLadder:
    """The steps of one page in the order in which they are worked."""

    steps: tuple[PrintedStep, ...]
    pairs: tuple[PrintedPairs, ...]


def read_ladder(page: PrintedPage) -> PrintedLadder:
    """The steps and pairs of a page held upright.

    Raises ReadError, with the page, for a tick box that belongs to no step and for lines that are
    not told as they should be.
    """
    return _PageReader(page).read()


@dataclass(frozen=True)
class _Begun:
    """The first line of a step or a note."""

    spans: tuple[Span, ...]
    box: Square | None
    from_mm: float
    to_mm: float
    """Left and right ends of its column of steps, the boxes counted."""

    @property
    def left_mm(self) -> float:
        return self.spans[0].left_mm

    @property
    def baseline_mm(self) -> float:
        return self.spans[0].baseline_mm


class _PageReader:
    """Takes away the boxes that it has understood; none may be left in the end."""

    def __init__(self, page: PrintedPage) -> None:
        self.page = page
        self.lines = lines_of(page.spans)
        self.numbered = [
            (square, number)
            for square in page.squares
            for number in page.spans
            if square.holds(number) and number.text.isdigit()
        ]
        with_number = {square for square, _ in self.numbered}
        self.boxes = [square for square in page.squares if square not in with_number]
        self.only = ""

    def read(self) -> PrintedLadder:
        pairs = tuple(self._pairs())
        beside = [(square, span) for square in self.boxes if (span := self._beside(square))]
        notes = [line[0] for line in self.lines if self._is_note(line)]
        lefts_mm = sorted({span.left_mm for _, span in beside} | {span.left_mm for span in notes})
        columns_mm = _apart(lefts_mm)
        begun: list[_Begun] = []
        indent_mm = self._indent_mm(beside, columns_mm)
        for left_mm, next_mm in pairwise([*columns_mm, self.page.width_mm + indent_mm]):
            right_mm = next_mm - indent_mm - _SAME_MM
            begun += self._column(left_mm, indent_mm, right_mm, beside)
        steps = [step for one in begun for step in self._finished(one, begun)]
        self._check_no_box_left(beside)
        return PrintedLadder(tuple(steps), pairs)

    def _indent_mm(
        self, beside: Sequence[tuple[Square, Span]], columns_mm: Sequence[float]
    ) -> float:
        """From the left edge of the boxes to that of the words."""
        if beside:
            return max(span.left_mm - square.left_mm for square, span in beside)
        return max(
            (
                left_mm - square.left_mm
                for left_mm in columns_mm
                for square, _ in self.numbered
                if 0 < left_mm - square.left_mm < _INDENT * square.side_mm
            ),
            default=0.0,
        )

    def _beside(self, square: Square) -> Span | None:
        """The text that begins beside a box."""
        found = [
            span
            for span in self.page.spans
            if 0 < span.left_mm - square.right_mm < _BESIDE * square.side_mm
            and square.top_mm < span.middle_mm < square.top_mm + square.side_mm
            and not _is_inside(span, self.page.squares)
        ]
        return min(found, key=lambda span: span.left_mm) if found else None

    def _is_note(self, line: Sequence[Span]) -> bool:
        return line[0].is_bold and _BEGINS_NOTE.match(joined(line)) is not None

    def _column(
        self,
        left_mm: float,
        indent_mm: float,
        right_mm: float,
        beside: Sequence[tuple[Square, Span]],
    ) -> Iterator[_Begun]:
        """The first lines of one column, from the top."""
        boxes = {span: square for square, span in beside}
        for line in self.lines:
            here = tuple(span for span in line if left_mm - _SAME_MM < span.left_mm < right_mm)
            if not here or abs(here[0].left_mm - left_mm) > _SAME_MM:
                continue
            words = joined(here)
            box = boxes.get(here[0])
            if box is not None or (
                here[0].grey < 1.0
                and (
                    (here[0].is_bold and _BEGINS_NOTE.match(words) is not None)
                    or words == ALL_SIZES
                    or _is_folded(words)
                )
            ):
                yield _Begun(here, box, left_mm - indent_mm - _SAME_MM, right_mm)

    # One step

    def _finished(self, one: _Begun, begun: Sequence[_Begun]) -> Iterator[PrintedStep]:
        following = [
            other.baseline_mm
            for other in begun
            if other.from_mm == one.from_mm and other.baseline_mm > one.baseline_mm
        ]
        below_mm = min(following, default=self.page.height_mm)
        text, count = self._words(one, below_mm)
        if _is_head(text):
            only = text.removesuffix(":")
            self.only = "" if text == ALL_SIZES else only[:1].lower() + only[1:]
            return
        if note := _NOTE.fullmatch(text):
            yield self._note(note, text)
            return
        with_count = f"{text} {count}".strip()
        row = _ROW.fullmatch(text) if _BEGINS_ROW.match(text) else None
        if row is None:
            if one.box is None:
                raise ReadError("not told as a row is", line=with_count, page=self.page.number)
            yield PrintedStep(SizedStepLine(with_count, only=self.only, page=self.page.number))
            return
        label, arrow, words = row.groups()
        if count and "stitch" not in count:
            count += " stitch" if count == "1" else " stitches"
        boxes = self._numbers(one, below_mm) if one.box is None else ()
        line = SizedStepLine(
            words, label, arrow or "", count, only=self.only, page=self.page.number
        )
        yield PrintedStep(line, "", boxes)

    def _note(self, note: re.Match[str], text: str) -> PrintedStep:
        name, only, words = note[1], note[2] or "", note[3]
        if not words:
            raise ReadError("nothing is said", line=text, page=self.page.number)
        if name == NOW:
            only = only or self.only
        line = SizedStepLine(words, NOTES[name], only=only, page=self.page.number)
        return PrintedStep(line, name)

    def _words(self, one: _Begun, below_mm: float) -> tuple[str, str]:
        """The words of a step with the lines that go on with it, and the count at their end."""
        spans, count = _without_count(one.spans)
        texts = [joined(spans)]
        lefts_mm = [one.left_mm]
        if len(spans) > 1:
            lefts_mm.append(spans[-1].left_mm)
        last_mm, size_mm = one.baseline_mm, one.spans[-1].size_mm
        right_mm = max(span.right_mm for span in one.spans)
        for line in self.lines:
            here = [span for span in line if one.left_mm - _SAME_MM < span.left_mm < one.to_mm]
            if not here or not last_mm < here[0].baseline_mm < below_mm - _SAME_MM:
                continue
            if here[0].baseline_mm - last_mm > _LEADING * size_mm:
                break
            if abs(here[0].size_mm - size_mm) > _SAME_MM:
                continue
            starts = any(abs(here[0].left_mm - left_mm) < _SAME_MM for left_mm in lefts_mm)
            if starts and not count:
                kept, count = _without_count(here)
                texts.append(joined(kept))
                last_mm = here[0].baseline_mm
            elif starts:
                kept, more = _without_count(here)
                texts.append(joined(kept))
                last_mm = here[0].baseline_mm
                if more:
                    raise ReadError("two counts", line=" ".join(texts), page=self.page.number)
            elif not count and here[-1].right_mm > right_mm - _SAME_MM:
                words = joined(here)
                if _COUNT.fullmatch(words):
                    count = words
                    break
        return _rejoined(texts), count

    def _numbers(self, one: _Begun, below_mm: float) -> tuple[int, ...]:
        """The numbers in the boxes between a row of several and the next step."""
        found = sorted(
            (
                (square, number)
                for square, number in self.numbered
                if one.baseline_mm < square.middle_mm < below_mm
                and one.from_mm < square.left_mm < one.to_mm
            ),
            key=lambda each: (round(each[0].top_mm, 1), each[0].left_mm),
        )
        self.numbered = [each for each in self.numbered if each not in found]
        loose = [
            square
            for square in self.boxes
            if one.baseline_mm < square.middle_mm < below_mm
            and one.from_mm < square.left_mm < one.to_mm
            and not self._beside(square)
        ]
        self.boxes = [square for square in self.boxes if square not in loose]
        return tuple(int(number.text) for _, number in found)

    def _check_no_box_left(self, beside: Sequence[tuple[Square, Span]]) -> None:
        if self.numbered:
            _, number = self.numbered[0]
            raise ReadError(
                "a tick box that belongs to no row", line=number.text, page=self.page.number
            )
        known = {square for square, _ in beside}
        for square in self.boxes:
            if square not in known:
                raise ReadError("a tick box with no words beside it", page=self.page.number)

    # Pairs

    def _pairs(self) -> Iterator[PrintedPairs]:
        """The columns of pairs, from the top and from the left."""
        found: list[tuple[Square, str]] = []
        for square in [*self.boxes]:
            span = self._beside(square)
            match = _PAIR.fullmatch(span.text) if span else None
            if match:
                self.boxes.remove(square)
                found.append((square, f"{match[1]}+{match[2]}"))
        heads: dict[Span, list[tuple[float, str]]] = {}
        for square, pair in found:
            above = [
                span
                for span in self.page.spans
                if _ORDINALS.fullmatch(span.text)
                and abs(span.left_mm - square.left_mm) < _SAME_MM
                and span.baseline_mm < square.top_mm
            ]
            if not above:
                raise ReadError("no number above these pairs", line=pair, page=self.page.number)
            head = max(above, key=lambda span: span.baseline_mm)
            heads.setdefault(head, []).append((square.top_mm, pair))
        for head in sorted(heads, key=lambda span: (round(span.baseline_mm, 1), span.left_mm)):
            match = _ORDINALS.fullmatch(head.text)
            assert match is not None
            pairs = tuple(pair for _, pair in sorted(heads[head]))
            first, last = int(match[1]), int(match[2] or match[1])
            if last - first + 1 != len(pairs):
                raise ReadError(
                    f"{len(pairs)} pairs below this number", line=head.text, page=self.page.number
                )
            yield PrintedPairs(head.baseline_mm, head.left_mm, first, last, pairs)


def _is_inside(span: Span, squares: Sequence[Square]) -> bool:
    return span.text.isdigit() and any(square.holds(span) for square in squares)


def _is_head(words: str) -> bool:
    """Whether the words name the sizes that the steps below are for."""
    return words == ALL_SIZES or _ONLY.fullmatch(words) is not None


def _is_folded(words: str) -> bool:
    """Whether a line without a tick box tells rows."""
    return words.startswith(("Rows ", "Row ")) and _BEGINS_ROW.match(words) is not None


def _apart(lefts_mm: Sequence[float]) -> list[float]:
    """The left edges of columns, those that are one told once."""
    found: list[float] = []
    for left_mm in lefts_mm:
        if not found or left_mm - found[-1] > _SAME_MM:
            found.append(left_mm)
    return found


def _without_count(spans: Sequence[Span]) -> tuple[list[Span], str]:
    """The spans of a line, and the count that stands apart at its right end."""
    for place in range(len(spans) - 1, 0, -1):
        gap_mm = spans[place].left_mm - spans[place - 1].right_mm
        words = joined(spans[place:])
        if gap_mm > _COUNT_GAP * spans[place].size_mm:
            if _COUNT.fullmatch(words):
                return list(spans[:place]), words
            break
    return list(spans), ""


def _rejoined(texts: Sequence[str]) -> str:
    """Lines as one text; a line that ends with a hyphen goes on without a blank."""
    whole = texts[0]
    for text in texts[1:]:
        whole += ("" if whole.endswith("-") else " ") + text
    return whole
