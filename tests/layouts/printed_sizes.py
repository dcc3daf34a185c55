"""Steps and charts of a booklet in several sizes, read from where its letters stand.

Knows the scene's items alone, and of the booklet what a reader of it is told: the head of a page
names its sizes in the order of the brackets, a label is bold, "only" names whom steps are for.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from charts.reader_records import ReadError, StepsPart
from charts.reader_sizes import (
    SizedStepLine,
    SizedStepsPart,
    read_only,
    read_size,
    unsize,
)
from charts.reader_words import TITLES
from layouts.faces import Face
from layouts.scene import Document, Group, Item, Page, Role, Text
from tests.layouts.placed_items import squares_in, squeezed_words, texts_in

_NOW = "Now"
FLAGS = {
    "Before you start": "Check",
    _NOW: _NOW,
    "At the end": "Check",
    "To count": "Count",
}
SECOND_SOCK = "Second sock: "
ALL_SIZES = "All sizes:"
_ARROW = re.compile(r"[→←](?: \([→←–, ]+\))?$")
_PAIR = re.compile(r"(\d+) \+ (\d+)")


@dataclass(frozen=True)
class SizedPage:
    """A page of steps or charts: its part and the sizes that its head names."""

    page: Page
    part: str
    second: bool
    sizes: tuple[str, ...]


@dataclass(frozen=True)
class PrintedRow:
    """A chart's row for the sizes that its caption or its page names."""

    sizes: tuple[str, ...]
    section: str
    label: str
    to_right: bool
    cells: tuple[tuple[str, str], ...]
    """Pegs as printed, "7", "2–5" or "1,5,9", and their letter; from left to right."""


@dataclass(frozen=True)
class PrintedFold:
    """Rows that a chart names and does not draw."""

    sizes: tuple[str, ...]
    section: str
    text: str

    def of(self, name: str) -> tuple[range, range] | None:
        """The rows of that size and the first of those that they repeat; None if it has none."""
        rows, _, like = self.text.partition(": ")
        index, count = self.sizes.index(name), len(self.sizes)
        try:
            own = unsize(rows, index, count)
        except ReadError:
            return None
        return _numbers(own), _numbers(like)


def _numbers(words: str) -> range:
    """ "rows 5–12" as 5 to 12."""
    match = re.search(r"rows? (\d+)(?:–(\d+))?", words)
    assert match is not None, words
    return range(int(match[1]), int(match[2] or match[1]) + 1)


def sized_pages(document: Document, names: Sequence[str]) -> list[SizedPage]:
    """The pages of the parts."""
    found = []
    for page in document.pages:
        title = _title(page)
        sizes = _head_sizes(page, names)
        if title and sizes:
            part = title.removeprefix(SECOND_SOCK)
            second = part != title
            part = part[:1].upper() + part[1:]
            if part in TITLES:
                found.append(SizedPage(page, part, second, sizes))
    return found


def steps_of_size(
    document: Document, name: str, names: Sequence[str], *, second: bool = False
) -> tuple[StepsPart, ...]:
    """Every part as a page for that size alone would print it."""
    parts: dict[tuple[str, tuple[str, ...]], list[SizedStepLine]] = {}
    pairs: list[str] = []
    for page in sized_pages(document, names):
        if page.second == second and name in page.sizes:
            parts.setdefault((page.part, page.sizes), []).extend(_lines(page.page))
            pairs += _pairs(page, name, names)
    read = []
    for (title, sizes), lines in parts.items():
        if lines:
            whole = (SizedStepsPart(title, tuple(_only_carried(lines))),)
            read += read_size(whole, sizes.index(name), sizes)
    return tuple(_with_pairs(part, " ".join(pairs)) for part in read)


def charts_of_size(
    document: Document, name: str, names: Sequence[str]
) -> dict[str, list[PrintedRow | PrintedFold]]:
    """The lines of charts that are for that size, from the bottom up, by part."""
    found: dict[str, list[PrintedRow | PrintedFold]] = {}
    for page in sized_pages(document, names):
        if not page.second and name in page.sizes:
            for line in _chart_lines(page, names):
                if name in line.sizes:
                    found.setdefault(page.part, []).append(line)
    return found


# --- Heads -----------------------------------------------------------------------------------


def _title(page: Page) -> str:
    """The largest bold words at the top."""
    for group in _groups(page.items):
        if group.role in (Role.H1, Role.P):
            texts = [text for text in texts_in(group) if text.face is Face.BOLD]
            for text in texts:
                words = squeezed_words(text.text)
                if words and not words.isdigit() and text.size_pt > 11.0:
                    return words
    return ""


def _head_sizes(page: Page, names: Sequence[str]) -> tuple[str, ...]:
    """The names in the line that begins with "size" or "sizes", in its order."""
    for group in _groups(page.items):
        if group.role is not Role.P:
            continue
        texts = texts_in(group)
        if texts and squeezed_words(texts[0].text) in ("size", "sizes"):
            words = _lines_of(texts[1:])
            bracketed = squeezed_words(words)
            return _named(re.sub(r" ?\d+(?: \([\d, ]+\))? pegs$", "", bracketed), names)
    return ()


def _named(words: str, names: Sequence[str]) -> tuple[str, ...]:
    """ "S (M, L)" as names."""
    noun = "size" if words in names else "sizes"
    indices = read_only(f"{noun} {words} only", names)
    return tuple(name for index, name in enumerate(names) if index in indices)


# --- Steps -----------------------------------------------------------------------------------


def _lines(page: Page) -> Iterator[SizedStepLine]:
    """The steps and notes of a page in reading order; "only" lines as steps without words."""
    for group in _groups(page.items):
        texts = texts_in(group)
        if group.role is Role.H3 and texts:
            words = _lines_of(texts)
            if words.endswith("only:"):
                only = words.removesuffix(":")
                yield SizedStepLine("", only=only[:1].lower() + only[1:])
            elif words == ALL_SIZES:
                yield SizedStepLine("", only=ALL_SIZES)
        elif group.role is Role.P and texts and texts[0].face is Face.BOLD:
            yield from _flag(texts)
        elif group.role is Role.LI and squares_in(group.items):
            yield from _step(group)


def _only_carried(lines: Sequence[SizedStepLine]) -> Iterator[SizedStepLine]:
    """The lines with the sizes that the last "only" line named; notes name their own."""
    only = ""
    for line in lines:
        if not line.text:
            only = "" if line.only == ALL_SIZES else line.only
        elif line.label == _NOW:
            yield replace(line, label="Check", only=line.only or only)
        elif line.label in FLAGS.values():
            yield line
        else:
            yield replace(line, only=only)


def _flag(texts: Sequence[Text]) -> Iterator[SizedStepLine]:
    name, _, only = squeezed_words(texts[0].text).removesuffix(":").partition(", ")
    if name in FLAGS:
        words = squeezed_words(_lines_of(texts).removeprefix(squeezed_words(texts[0].text)))
        yield SizedStepLine(words, FLAGS[name], only=only)


def _step(group: Group) -> Iterator[SizedStepLine]:
    bodies = [item for item in group.items if isinstance(item, Group) and item.role is Role.BODY]
    if len(bodies) != 1:
        return
    texts = texts_in(bodies[0])
    label = ""
    while texts and (texts[0].face is Face.BOLD or not texts[0].text.strip()):
        label += texts.pop(0).text
    label = squeezed_words(label)
    arrow = _ARROW.search(label)
    counts = [item for item in group.items if isinstance(item, Group) and item.role is Role.SPAN]
    count = squeezed_words("".join(text.text for one in counts for text in texts_in(one)))
    if count and "stitch" not in count:
        count += " stitch" if count == "1" else " stitches"
    yield SizedStepLine(
        _lines_of(texts),
        label[: arrow.start()].strip() if arrow else label,
        arrow[0] if arrow else "",
        count,
    )


def _lines_of(texts: Sequence[Text]) -> str:
    """The texts in one line of words: those on one base line follow each other."""
    words, last_mm = "", None
    for text in texts:
        same = last_mm is None or abs(text.y_mm - last_mm) < 0.01
        words += text.text if same else f" {text.text}"
        last_mm = text.y_mm
    return squeezed_words(words)


# --- Pairs -----------------------------------------------------------------------------------


def _pairs(page: SizedPage, name: str, names: Sequence[str]) -> list[str]:
    """The pairs to graft under a caption that names the size, or under none."""
    found, sizes = [], page.sizes
    for group in _groups(page.page.items):
        if group.role is Role.CAPTION:
            sizes = _caption_sizes(group, names) or sizes
        elif group.role is Role.LI:
            words = squeezed_words(" ".join(text.text for text in texts_in(group)))
            match = _PAIR.fullmatch(words)
            if match and name in sizes:
                found.append(f"{match[1]}+{match[2]}")
    return found


def _caption_sizes(group: Group, names: Sequence[str]) -> tuple[str, ...]:
    texts = texts_in(group)
    bold = squeezed_words("".join(text.text for text in texts if text.face is Face.BOLD))
    return _named(bold, names) if bold else ()


def _with_pairs(part: StepsPart, pairs: str) -> StepsPart:
    lines = tuple(
        replace(line, pairs=pairs) if line.text.startswith("Graft") else line for line in part.lines
    )
    return StepsPart(part.title, lines)


# --- Charts ----------------------------------------------------------------------------------


def _chart_lines(page: SizedPage, names: Sequence[str]) -> Iterator[PrintedRow | PrintedFold]:
    sizes = page.sizes
    for group in _groups(page.page.items):
        if group.role is Role.CAPTION:
            sizes = _caption_sizes(group, names) or sizes
        attrs = dict(group.attrs)
        kind = attrs.get("line")
        if kind in ("row", "again"):
            cells = tuple(zip(attrs["pegs"].split(), attrs["cells"], strict=True))
            to_right = attrs["direction"] == "right"
            yield PrintedRow(sizes, attrs["section"], attrs["row"], to_right, cells)
        elif kind == "fold":
            yield PrintedFold(sizes, attrs["section"], attrs["text"])


def _groups(items: tuple[Item, ...]) -> Iterator[Group]:
    for item in items:
        if isinstance(item, Group):
            yield item
            yield from _groups(item.items)
