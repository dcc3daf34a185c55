"""The reader: printed steps and charts back into the rows they were made from.

It imports no module that writes them, nor the table of stitches: what a page says is found out
from the page alone.  `read_steps` and `read_chart` take the plain records of `reader_records`,
which any file with text in it can be turned into; the functions here take plain text.

Steps as plain text::

    <title>
    Loom: 40 pegs, 3/8 in apart; the first round runs from left to right.

    Heel flap
    ---------
    Check: yarn at peg 1; all 40 pegs live
    [ ] Row 1          →  pegs 2–25 knit.                             24 stitches
    [ ] Row 2          ←  peg 25 slip, 24–2 knit.                     23 stitches
    [ ] Row 3          →  peg 2 slip, 3–25 knit.                      23 stitches
        Rows 4–15         repeat rows 2–3, 6 times more.
                          4  [ ] [ ] [ ] …
    Count: …

A line that begins at the margin, or four spaces in with the label of a row, is a new item;
anything further in goes on with the item above it, and lines of nothing but numbers and tick
boxes are left out.  The boxes of the grafting carry the pairs, "[ ] 3+4".

A chart as plain text, top row first::

    Heel flap
      partial | s | k   | k  |       |       |    |          8 stitches
              | k | k   | k  | k     | k     | s  | 16       23 stitches
    rows 4–15: repeat rows 2–3
    …
              | 2 | 3–9 | 10 | 11–17 | 18–24 | 25 | pegs
    repeat across: columns 1–4 × 10, to peg 40

Moves between rows are a line whose label is "moves".
"""

from __future__ import annotations

import re
from typing import Final

from charts.loom import Working
from charts.reader_chart import read_chart
from charts.reader_records import (
    ChartAcross,
    ChartFoldLine,
    ChartRowLine,
    ChartStripLine,
    PlainChart,
    ReadChart,
    ReadError,
    ReadMarks,
    ReadNote,
    ReadSteps,
    Ring,
    StepLine,
    StepsPart,
    reading,
)
from charts.reader_steps import NOTES, read_steps
from charts.reader_words import TITLES, N

__all__ = [
    "ChartAcross",
    "ChartFoldLine",
    "ChartRowLine",
    "ChartStripLine",
    "PlainChart",
    "ReadChart",
    "ReadError",
    "ReadMarks",
    "ReadNote",
    "ReadSteps",
    "Ring",
    "StepLine",
    "StepsPart",
    "read_chart",
    "read_chart_text",
    "read_steps",
    "read_steps_text",
]

_LOOM: Final = re.compile(
    rf"Loom: {N} pegs, .+ apart; the first round runs from (left to right|right to left)\."
)
_BOXES: Final = re.compile(r"(?=.*\[ \])(?:\d+|\[ \])(?: (?:\d+|\[ \]))*")
_PAIRS: Final = re.compile(rf"\[ \] {N}\+{N}(?: \[ \] {N}\+{N})*")
_ITEM: Final = re.compile(r"(?=\S)| {4}(?=Rows? )")
_NOTE: Final = re.compile(rf"({'|'.join(NOTES)}): (.+)")
_ROW: Final = re.compile(
    rf"(Rows? {N}(?:–{N})?|Partial row|Run on)(?: ([→←]))? (.+?\.)(?: (\d+ stitch(?:es)?))?"
)
_BOX: Final = "[ ] "


def read_steps_text(text: str) -> ReadSteps:
    """The rows and moves of steps printed as plain text; raises ReadError."""
    lines = text.split("\n")
    loom = next((at for at, line in enumerate(lines) if line.startswith("Loom: ")), None)
    if loom is None:
        raise ReadError("no line tells of the loom")
    with reading("", lines[loom]):
        match = _LOOM.fullmatch(lines[loom])
        if match is None:
            raise ReadError("the loom is not told as it should be")
    parts: list[StepsPart] = []
    for title, block in _blocks(lines[loom + 1 :]):
        items: list[StepLine] = []
        for printed in _items(block):
            with reading(title, printed):
                items.append(_step_line(printed))
        parts.append(StepsPart(title, tuple(items)))
    title = " ".join(" ".join(lines[:loom]).split())
    return read_steps(parts, pegs=int(match[1]), working=Working(match[2]), title=title)


def _blocks(lines: list[str]) -> list[tuple[str, list[str]]]:
    """The lines under each part's title."""
    blocks: list[tuple[str, list[str]]] = []
    for line in lines:
        if line in TITLES:
            blocks.append((line, []))
        elif not line.strip():
            continue
        elif not blocks:
            raise ReadError("a line before the first part’s title", line=line)
        elif blocks[-1][1] or line != "-" * len(blocks[-1][0]):
            blocks[-1][1].append(line)
    return blocks


def _items(lines: list[str]) -> list[str]:
    """The lines joined to one string an item, lines of tick boxes left out."""
    items: list[str] = []
    for line in lines:
        words = " ".join(line.split())
        if _BOXES.fullmatch(words):
            continue
        if _ITEM.match(line):
            items.append(words)
        elif not items:
            raise ReadError("a line that goes on with nothing", line=words)
        else:
            items[-1] += " " + words
    return items


def _step_line(printed: str) -> StepLine:
    if note := _NOTE.fullmatch(printed):
        return StepLine(note[2], label=note[1])
    words = printed.removeprefix(_BOX)
    if row := _ROW.fullmatch(words):
        return StepLine(row[5], label=row[1], arrow=row[4] or "", count=row[6] or "")
    if words == printed:
        raise ReadError("neither a row, nor a note, nor a step with a tick box")
    text, stop, rest = words.partition(". [ ] ")
    if not stop:
        return StepLine(words)
    if not _PAIRS.fullmatch("[ ] " + rest):
        raise ReadError("tick boxes that name no pairs")
    return StepLine(text + ".", pairs=rest.replace("[ ] ", ""))


_CELLS: Final = re.compile(r"([^|]*)\|(.*)\|([^|]*)")
_AFTER: Final = re.compile(rf"({N}|partial|run on)?(?:^| +|$)(\d+ stitch(?:es)?)?")
_ACROSS: Final = re.compile(rf"repeat across: columns {N}–{N} (× .+)")
_MOVES: Final = "moves"
_PEGS: Final = "pegs"


def read_chart_text(text: str, ring: Ring) -> ReadChart:
    """The rows and marks of a chart printed as plain text; raises ReadError."""
    title, *lines = [line for line in text.split("\n") if line.strip()] or [""]
    drawn: list[ChartRowLine | ChartStripLine | ChartFoldLine] = []
    columns: tuple[str, ...] = ()
    across: ChartAcross | None = None
    for line in lines:
        with reading(title, line.strip()):
            if match := _ACROSS.fullmatch(line):
                across = ChartAcross(int(match[1]) - 1, int(match[2]) - 1, match[3])
            elif match := _CELLS.fullmatch(line):
                left, right = match[1].strip(), match[3].strip()
                cells = match[2].split("|")
                if right == _PEGS and not left:
                    columns = tuple(cell.strip() for cell in cells)
                else:
                    drawn.append(_cells_line(left, cells, right))
            else:
                drawn.append(ChartFoldLine(line.strip()))
    return read_chart(PlainChart(title, columns, tuple(reversed(drawn)), across), ring)


def _cells_line(left: str, cells: list[str], right: str) -> ChartRowLine | ChartStripLine:
    row = "".join(cell.strip() or " " for cell in cells)
    if left == _MOVES and not right:
        return ChartStripLine(row)
    after = _AFTER.fullmatch(right)
    if after is None:
        raise ReadError(f"“{right}” is neither a row label nor a stitch count")
    return ChartRowLine(row, left, after[1] or "", after[3] or "")
