"""The head of a printed page: which part of the sock it tells, for which sock, loom and sizes."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from charts.printed_page import PrintedPage, Span, joined, lines_of
from charts.reader_records import ReadError
from charts.reader_words import TITLES

SECOND_SOCK: Final = "Second sock: "
HEAD_WORDS: Final = ("size", "sizes")
"""What the line of the sizes' names begins with, below the title."""
_HEAD_SHARE: Final = 0.25
"""The title stands in this share of the page, from its top."""
_ROOM_BELOW: Final = 5.0
"""The names of the sizes stand this close below the title, in its sizes."""
_LEADING: Final = 1.6
"""Lines of one paragraph are nearer than this, in sizes."""
_NUMBER: Final = re.compile(r"[1-9]\d?")
_SIZES: Final = re.compile(r"(sizes?) (.+?) (\d+(?: \([\d, ]+\))?) pegs")
_PEGS: Final = re.compile(r".+ · (?:a loom of )?([1-9]\d*) pegs, .+")


@dataclass(frozen=True)
class PageHead:
    """What the head of a page says."""

    title: str
    """Of the page, as printed; of a part as in `TITLES`."""
    is_part: bool
    second: bool = False
    """Whether it is for the second sock alone."""
    number: str = ""
    """Of the part, in a booklet."""
    sizes: tuple[str, ...] = ()
    """Names of the sizes in the order of the brackets; empty where there is one sock."""
    marked: str = ""
    """The one of them whose name alone is bold."""
    about: str = ""
    """The sock and its loom, as a card or a chart names them."""

    @property
    def pegs(self) -> int:
        """Of the loom, where a card or a chart says so; else 0."""
        match = _PEGS.fullmatch(self.about)
        return int(match[1]) if match else 0


def read_head(page: PrintedPage) -> PageHead:
    """The head of a page held upright.

    Raises ReadError for a numbered page whose title is not that of a part.
    """
    top = [
        span
        for span in page.spans
        if span.is_bold and span.baseline_mm < _HEAD_SHARE * page.height_mm
    ]
    worded = [span for span in top if not _is_number(span) and span.text[0].isalpha()]
    if not worded:
        return PageHead("", is_part=False)
    size_mm = max(span.size_mm for span in worded)
    words, *others = [span for span in worded if span.size_mm == size_mm]
    title = words.text.removeprefix(SECOND_SOCK)
    second = title != words.text
    title = title[:1].upper() + title[1:]
    before = [
        span.text
        for span in top
        if _is_number(span)
        and span.size_mm == size_mm
        and span.right_mm < words.left_mm
        and abs(span.baseline_mm - words.baseline_mm) < 0.1 * size_mm
    ]
    number = before[0] if before else ""
    if title not in TITLES or others:
        if number:
            raise ReadError("not the title of a part", line=words.text, page=page.number)
        return PageHead(words.text, is_part=False)
    sizes, marked = _sizes(page, words)
    return PageHead(title, True, second, number, sizes, marked, _about(page))


def part_titles(page: PrintedPage) -> list[Span]:
    """Titles of parts with their numbers before them, wherever on the page, from the top."""
    found = []
    for line in lines_of(page.spans):
        for number, title in pairwise(line):
            words = title.text.removeprefix(SECOND_SOCK)
            if words != title.text:
                words = words[:1].upper() + words[1:]
            is_title = title.is_bold and words in TITLES
            if is_title and _is_number(number) and number.is_bold:
                found.append(title)
    return found


def _is_number(span: Span) -> bool:
    return _NUMBER.fullmatch(span.text) is not None


def _about(page: PrintedPage) -> str:
    """The line beside or below the title of a card or a chart."""
    for span in page.spans:
        if span.baseline_mm < _HEAD_SHARE * page.height_mm and _PEGS.fullmatch(span.text):
            return span.text
    return ""


def _sizes(page: PrintedPage, title: Span) -> tuple[tuple[str, ...], str]:
    """The names in the lines that begin with "size" or "sizes" below the title."""
    lines = [
        line
        for line in lines_of(page.spans)
        if 0 < line[0].baseline_mm - title.baseline_mm < _ROOM_BELOW * title.size_mm
    ]
    start = next((place for place, line in enumerate(lines) if line[0].text in HEAD_WORDS), None)
    if start is None:
        return (), ""
    whole = [lines[start]]
    for line in lines[start + 1 :]:
        if _SIZES.fullmatch(" ".join(map(joined, whole))):
            break
        if line[0].baseline_mm - whole[-1][0].baseline_mm > _LEADING * line[0].size_mm:
            break
        whole.append(line)
    words = " ".join(map(joined, whole))
    match = _SIZES.fullmatch(words)
    if match is None:
        raise ReadError("not the names of sizes", line=words, page=page.number)
    names = read_names(match[2], one=match[1] == "size")
    bold = "".join(span.text for line in whole for span in line if span.is_bold)
    return names, bold if bold in names and len(names) > 1 else ""


def read_names(words: str, *, one: bool) -> tuple[str, ...]:
    """The names in "S (M, L)", or the one name.  Raises ReadError."""
    if one:
        return (words,)
    match = re.fullmatch(r"(.+?) \((.+)\)", words)
    if match is None:
        raise ReadError("not the names of several sizes", line=words)
    return (match[1], *match[2].split(", "))


def named(words: str, names: Sequence[str]) -> tuple[str, ...]:
    """The names in the words, "S" or "S (M, L)", if they are some of `names`; else none."""
    if words in names:
        return (words,)
    match = re.fullmatch(r"(.+?) \((.+)\)", words)
    found = (match[1], *match[2].split(", ")) if match else ()
    return found if all(name in names for name in found) else ()
