"""A printed booklet, card or pattern of several sizes: what its pages tell each sock.

The pages are gathered by the titles, and the names of sizes, at their heads; nothing is known of
the pattern but what they say.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cached_property
from itertools import pairwise
from typing import Final

from charts.loom import Working
from charts.printed_chart import ChartPiece, Zone, read_captions, read_chart_pieces
from charts.printed_graft import check_printed_graft
from charts.printed_heads import PageHead, read_head
from charts.printed_joins import joined_chart
from charts.printed_page import PrintedPage, PrintedSheet, joined, lines_of
from charts.printed_steps import (
    CARD_NOTES,
    COUNT,
    END,
    NOTES,
    START,
    PrintedLadder,
    PrintedStep,
    read_ladder,
)
from charts.proof import PROVED
from charts.reader_chart import read_chart
from charts.reader_moves import CAST_ON
from charts.reader_records import (
    LinePlace,
    PlainChart,
    ReadChart,
    ReadError,
    ReadSteps,
    Ring,
    StepsPart,
    reading,
)
from charts.reader_sizes import SizedStepsPart, read_only, read_size, resolved
from charts.reader_steps import read_steps
from charts.reader_words import ARROWS, CUFF_TITLE, TITLES, read_row_numbers

_ROUND_LOOM: Final = re.compile(r".*round loom of ([1-9]\d*) pegs.*")
_LEG: Final = re.compile(r".*the leg that is on the (right|left) as you see it.*")
_RUN: Final = re.compile(r"([1-9]\d*)–([1-9]\d*)")
_CODE: Final = re.compile(r".+ Proof [A-Z2-7]{4}-[A-Z2-7]{4}")
_MOST_LINES: Final = 6
"""Of the proof."""
_LEAST_NUMBERS: Final = 4
"""Peg numbers in a line of which most count up or most count down."""


@dataclass(frozen=True)
class SockName:
    """Which of the socks that a file tells."""

    size: str = ""
    """Empty where there is one size."""
    second: bool = False
    """The second sock of a pair that differs from the first."""

    @property
    def text(self) -> str:
        """Empty for the one sock there is."""
        size = f"size {self.size}" if self.size else ""
        return ", ".join(filter(None, (size, "second sock" if self.second else "")))


@dataclass(frozen=True)
class Told:
    """A page of a part."""

    index: int
    """Among the pages of the booklet."""
    sheet: PrintedSheet
    page: PrintedPage
    head: PageHead

    def has(self, sock: SockName) -> bool:
        """Whether it is for that size."""
        return not sock.size or sock.size in self.head.sizes


@dataclass(frozen=True)
class PrintedBooklet:
    """The pages of a file."""

    sheets: tuple[PrintedSheet, ...]

    @cached_property
    def pages(self) -> tuple[Told, ...]:
        """Every page upright with its head.  Raises ReadError."""
        told = []
        for index, sheet in enumerate(self.sheets):
            page = sheet.held(0)
            told.append(Told(index, sheet, page, read_head(page)))
        return tuple(told)

    @cached_property
    def parts(self) -> tuple[Told, ...]:
        """The pages that are about a part of the sock."""
        return tuple(page for page in self.pages if page.head.is_part)

    @cached_property
    def sizes(self) -> tuple[str, ...]:
        """The names of the sizes in the order in which they are met."""
        return tuple(dict.fromkeys(name for page in self.parts for name in page.head.sizes))

    @property
    def socks(self) -> tuple[SockName, ...]:
        """The socks that are told whole; of a marked pattern those of the marked size."""
        marked = {page.head.marked for page in self.parts} - {""}
        names = [name for name in self.sizes if not marked or name in marked] or [""]
        found = []
        for name in names:
            found.append(SockName(name))
            if any(page.head.second and page.has(SockName(name)) for page in self.parts):
                found.append(SockName(name, second=True))
        return tuple(found)

    @property
    def is_card(self) -> bool:
        """Whether it is a card or a chart by itself: its title has no number."""
        return not any(page.head.number for page in self.parts)

    @property
    def is_whole(self) -> bool:
        """Whether a whole sock is told, from the cast-on to the closing of the toe."""
        return len({page.head.title for page in self.parts}) > 1

    def check_numbers(self) -> None:
        """Raise ReadError if the parts are not all there, by the numbers before their titles."""
        numbers: dict[str, int] = {}
        for page in self.parts:
            if not page.head.number:
                if self.is_whole:
                    raise ReadError(
                        "no number before the title", line=page.head.title, page=page.page.number
                    )
                continue
            number = int(page.head.number)
            due = numbers.setdefault(page.head.title, number)
            if (
                number != due
                or number > max(numbers.values())
                or number != 1 + list(numbers).index(page.head.title)
            ):
                raise ReadError(
                    f"part {number} where another is due",
                    line=f"{number} {page.head.title}",
                    page=page.page.number,
                )
        if numbers and not {"Cast on and cuff", "Closing the toe"} <= numbers.keys():
            first, last = self.parts[0], self.parts[-1]
            page = first if "Cast on and cuff" not in numbers else last
            raise ReadError(
                "the sock is not told to its end", line=page.head.title, page=page.page.number
            )

    # Steps

    @cached_property
    def _ladders(self) -> dict[int, PrintedLadder]:
        return {page.index: read_ladder(page.page) for page in self.parts}

    def _pages_of(self, sock: SockName) -> dict[str, list[Told]]:
        """The pages of each part of a sock: its own, or in their place the first sock's."""
        found: dict[tuple[str, bool], list[Told]] = {}
        for page in self.parts:
            if page.has(sock):
                found.setdefault((page.head.title, page.head.second), []).append(page)
        return {
            title: found.get((title, sock.second)) or found[title, False]
            for title in TITLES
            if (title, False) in found
        }

    def _steps_of(self, sock: SockName) -> Iterator[tuple[str, list[PrintedStep], StepsPart]]:
        """Each part as it is printed, and as a page for that size alone would print it."""
        for title, pages in self._pages_of(sock).items():
            sizes = {page.head.sizes for page in pages}
            printed: list[PrintedStep] = []
            lines = []
            for group in sorted(sizes):
                steps = [
                    step
                    for page in pages
                    if page.head.sizes == group
                    for step in self._ladders[page.index].steps
                ]
                if not steps:
                    continue
                part = SizedStepsPart(title, tuple(step.line for step in steps))
                if sock.size:
                    index = group.index(sock.size)
                    with reading(title, ""):
                        read = read_size((part,), index, group)
                    names = [step for step in steps if index in read_only(step.line.only, group)]
                else:
                    read, names = read_size((part,), 0, ("",)), steps
                printed += names
                lines += [line for one in read for line in one.lines]
            if lines:
                yield title, printed, StepsPart(title, tuple(lines))

    def has_steps(self, sock: SockName) -> bool:
        """Whether any part is told in words.  Raises ReadError."""
        return any(True for _ in self._steps_of(sock))

    def steps(self, sock: SockName) -> ReadSteps:
        """The rows and moves that the steps tell.  Raises ReadError with the page."""
        parts = []
        for title, printed, part in self._steps_of(sock):
            self._check_notes(sock, title, printed)
            parts.append(part)
        for page in self.parts:
            if page.has(sock):
                _check_boxes(page.head, self._ladders[page.index])
        ring = self.ring(sock)
        # The flap is on another card, or drawn and not told.
        lacks_flap = not any(line.label == "Partial row" for part in parts for line in part.lines)
        return read_steps(parts, pegs=ring.pegs, working=ring.working, may_lack_flap=lacks_flap)

    def _check_notes(self, sock: SockName, title: str, steps: Sequence[PrintedStep]) -> None:
        """A part says how the loom is before and after it, and how its rows are counted."""
        pages = [
            page.page.number
            for page in self._pages_of(sock)[title]
            if self._ladders[page.index].steps or self._ladders[page.index].pairs
        ]
        for name in (START, END, COUNT):
            found = [step for step in steps if step.name == name]
            if len(found) != 1:
                page = found[-1].line.page if found else pages[0 if name == START else -1]
                page = self._page_of_name_like(name, title) or page
                raise ReadError(f"{len(found)} lines “{name}:” in this part", part=title, page=page)

    def _page_of_name_like(self, name: str, title: str) -> int:
        """The page of the part on which the name of a note stands spelt otherwise; 0 if none."""
        for page in self.parts:
            if page.head.title == title:
                names = [
                    span.text.removesuffix(":")
                    for span in page.page.spans
                    if span.is_bold and span.text.endswith(":")
                ]
                others = [one for one in names if one not in NOTES]
                if get_close_matches(name, others, n=1):
                    return page.page.number
        return 0

    def ring(self, sock: SockName) -> Ring:
        """The loom, as far as pages tell it.  Raises ReadError."""
        return Ring(self._pegs(sock), self._working(sock))

    def _pegs(self, sock: SockName) -> int:
        for _, _, part in self._steps_of(sock):
            for line in part.lines:
                if match := CAST_ON.fullmatch(" ".join(line.text.split())):
                    return int(match[1])
                # In the first part what is neither a row nor a note can be nothing else.
                if part.title == CUFF_TITLE and not line.label:
                    raise ReadError(
                        "not how a loom is cast on",
                        part=part.title,
                        line=line.text,
                        page=line.page,
                    )
        for page in self.parts:
            if page.head.pegs:
                return page.head.pegs
        for page in self.pages:
            for span in page.page.spans:
                if match := _ROUND_LOOM.fullmatch(span.text):
                    return int(match[1])
        raise ReadError("no page tells how many pegs the loom has")

    def _working(self, sock: SockName) -> Working:
        """Which way the first round runs: the way of a row whose pegs count up."""
        for _, _, part in self._steps_of(sock):
            for line in part.lines:
                if leg := _LEG.fullmatch(line.text):
                    return _way(leg[1] == "right")
                run = _RUN.search(line.text)
                if line.arrow in ARROWS and run:
                    return _way((int(run[1]) < int(run[2])) == ARROWS[line.arrow])
        for page in self.parts:
            for way in page.sheet.ways:
                for spans in lines_of(way.spans):
                    numbers = [int(span.text) for span in spans if span.text.isdigit()]
                    if len(numbers) >= _LEAST_NUMBERS and len(numbers) == len(spans):
                        ups = sum(a < b for a, b in pairwise(numbers))
                        return _way(2 * ups > len(numbers))
        raise ReadError("no page tells which way the first round runs")

    # Charts

    @cached_property
    def _rings(self) -> dict[str, Ring]:
        names = self.sizes or ("",)
        return {name: self.ring(SockName(name)) for name in names}

    @cached_property
    def _pieces(self) -> dict[int, tuple[ChartPiece, ...]]:
        """The pieces of charts on each page of a part."""
        found: dict[int, tuple[ChartPiece, ...]] = {}
        for page in self.parts:
            own = page.head.sizes

            def ring_of(sizes: tuple[str, ...], own: tuple[str, ...] = own) -> Ring:
                return self._rings[(sizes or own or ("",))[0]]

            pieces: list[ChartPiece] = []
            for way in page.sheet.ways:
                pieces += read_chart_pieces(way, ring_of, own)
            found[page.index] = tuple(pieces)
        return found

    def _charts_of(self, sock: SockName) -> Iterator[PlainChart]:
        for title, pages in self._pages_of(sock).items():
            pieces: list[ChartPiece] = []
            group: tuple[str, ...] = ()
            for page in pages:
                for piece in self._pieces[page.index]:
                    sizes = piece.sizes or page.head.sizes
                    if not sock.size or sock.size in sizes:
                        pieces.append(piece)
                        group = sizes
            if pieces:
                index = group.index(sock.size) if sock.size else 0
                yield joined_chart(
                    title,
                    pieces,
                    self._rings[sock.size],
                    size_index=index,
                    size_count=max(1, len(group)),
                )

    def charts(self, sock: SockName) -> tuple[ReadChart, ...]:
        """The chart of each part that has one.  Raises ReadError with the page."""
        ring = self._rings[sock.size]
        return tuple(read_chart(chart, ring) for chart in self._charts_of(sock))

    def zones(self, sock: SockName) -> Iterator[tuple[str, int, Zone, tuple[str, ...]]]:
        """The names over the pegs of each chart: part, page, name, labels of its columns."""
        for title, pages in self._pages_of(sock).items():
            for page in pages:
                for piece in self._pieces[page.index]:
                    if not sock.size or sock.size in (piece.sizes or page.head.sizes):
                        for zone in piece.zones:
                            yield title, piece.page, zone, piece.labels

    # Round about

    def pairs(self, sock: SockName) -> tuple[tuple[str, LinePlace], ...]:
        """The pairs to graft as their boxes name them: "3+4", and where.

        Raises ReadError if the numbers above them do not count them.
        """
        found: list[tuple[str, LinePlace]] = []
        for pages in self._pages_of(sock).values():
            for page in pages:
                captions = tuple(read_captions(page.page, page.head.sizes))
                for column in self._ladders[page.index].pairs:
                    above = [one for one in captions if one.baseline_mm < column.top_mm]
                    last = max(above, key=lambda one: one.baseline_mm, default=None)
                    if sock.size and last is not None and sock.size not in last.sizes:
                        continue
                    place = LinePlace(page.page.number, "pairs from " + str(column.first))
                    if column.first != len(found) + 1:
                        raise ReadError(
                            "the numbers above the pairs do not count them",
                            part=page.head.title,
                            line=str(column.first),
                            page=page.page.number,
                        )
                    found += [(pair, place) for pair in column.pairs]
        return tuple(found)

    def check_graft(self, sock: SockName, pairs: int) -> None:
        """Raise ReadError unless the drawings of the grafting tell so many pairs."""
        for title, pages in self._pages_of(sock).items():
            if TITLES[title].value == "closing":
                sizes = pages[0].head.sizes
                index = sizes.index(sock.size) if sock.size else 0
                with reading(title, ""):
                    check_printed_graft(
                        [page.page for page in pages],
                        pairs,
                        size_index=index,
                        size_count=max(1, len(sizes)),
                    )

    @cached_property
    def card_notes(self) -> tuple[tuple[str, str, int], ...]:
        """What a card prints over its chart: the name of the note, its words and the page."""
        found: list[tuple[str, str, int]] = []
        for page in self.parts:
            if not page.head.number:
                notes = list(_card_notes(page.page))
                if notes and [name for name, _ in notes] != [START, END]:
                    what = "a card says how the loom is at the start and at the end"
                    raise ReadError(what, line=": ".join(notes[0]), page=page.page.number)
                found += [(*note, page.page.number) for note in notes]
        return tuple(found)

    @cached_property
    def proof_line(self) -> LinePlace | None:
        """The line that tells of the proof, and its page."""
        for page in reversed(self.pages):
            lines = lines_of(page.page.spans)
            for place, line in enumerate(lines):
                if not joined(line).startswith(PROVED):
                    continue
                words = ""
                for other in lines[place : place + _MOST_LINES]:
                    if abs(other[0].left_mm - line[0].left_mm) < other[0].size_mm / 2:
                        words = f"{words} {joined(other)}".strip()
                    if _CODE.fullmatch(words):
                        break
                return LinePlace(page.page.number, words)
        return None

    def unread(self) -> tuple[tuple[int, str], ...]:
        """The number and the title of every page that holds no row and no move."""
        found = []
        for page in self.pages:
            told = page.head.is_part and (
                self._ladders[page.index].steps
                or self._ladders[page.index].pairs
                or self._pieces[page.index]
            )
            if not told:
                found.append((page.page.number, page.head.title))
        return tuple(found)


def _way(to_right: bool) -> Working:
    return Working.LEFT_TO_RIGHT if to_right else Working.RIGHT_TO_LEFT


def _check_boxes(head: PageHead, ladder: PrintedLadder) -> None:
    """Rows that are told together have a box each, with its number; sizes share their boxes."""
    names = head.sizes or ("",)
    for step in ladder.steps:
        label = step.line.label
        if not step.boxes:
            continue
        with reading(head.title, f"{label} {step.line.text}", step.line.page):
            labels = [resolved(label, index, len(names)) for index in range(len(names))]
            rows = [
                read_row_numbers(_numbered(own[0].lower() + own[1:]))
                for own in labels
                if own is not None
            ]
            longest = max(rows, key=len)
            if list(step.boxes) != list(longest):
                raise ReadError("the boxes below have other numbers than the rows")


def _numbered(words: str) -> str:
    """ "rows 5" of one size among several as "row 5"."""
    return words if "–" in words else words.replace("rows", "row")


def _card_notes(page: PrintedPage) -> Iterator[tuple[str, str]]:
    lines = lines_of(page.spans)
    name, words = "", ""
    last_mm = 0.0
    for line in lines:
        for span in line:
            if span.is_bold and span.text in CARD_NOTES:
                if name:
                    yield name, words
                name, words = CARD_NOTES[span.text], ""
            elif name and (span.is_bold or span.baseline_mm - last_mm > 1.6 * span.size_mm):
                yield name, words
                name = ""
            elif name:
                words = f"{words} {span.text}".strip()
            if name:
                last_mm = span.baseline_mm
    if name:
        yield name, words
