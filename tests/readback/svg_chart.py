"""A chart out of an SVG file: the grid from its data attributes, and what is drawn at its places.

A row of the chart is a group that carries its cells and pegs; its symbols are uses of shapes, its
words are text.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from collections.abc import Iterator
from dataclasses import dataclass

from charts.reader import (
    ChartAcross,
    ChartFoldLine,
    ChartRowLine,
    ChartStripLine,
    PlainChart,
    ReadError,
)

SVG = "{http://www.w3.org/2000/svg}"
HREF = "{http://www.w3.org/1999/xlink}href"

NEAR_MM = 0.25
SAME_BAND_MM = 0.8
CAPITALS = 0.66
"""Height of capitals in sizes of the text face."""

_TRANSLATE = re.compile(r"translate\((\S+) (\S+)\)")
_SCALE = re.compile(r"scale\((\S+)\)")
_ACROSS = re.compile(r"pegs? (\d+)(?:–(\d+))? (× \d+, to peg \d+)")


@dataclass(frozen=True)
class Drawn:
    """A symbol or a text and the middle of it on the page."""

    what: str
    x_mm: float
    y_mm: float


@dataclass(frozen=True)
class SvgLine:
    """One line of the chart: its facts, and what is drawn for it."""

    facts: dict[str, str]
    symbols: tuple[Drawn, ...]
    texts: tuple[Drawn, ...]
    words: str
    """What a screen reader says."""


@dataclass(frozen=True)
class SvgChart:
    """The chart of a file."""

    title: str
    pegs: tuple[Drawn, ...]
    lines: tuple[SvgLine, ...]
    """Bottom first."""
    plain: PlainChart


def read_svg(svg: bytes) -> SvgChart:
    """The one chart of the file.  Raises ReadError if its facts and its drawing differ."""
    root = ElementTree.fromstring(svg)
    (table,) = (group for group in root.iter(f"{SVG}g") if "data-chart" in group.attrib)
    title = table.findtext(f"{SVG}title") or ""
    origins = _origins(root)
    lines = [
        _line(group, origins) for group in table.findall(f"{SVG}g") if "data-line" in group.attrib
    ]
    pegs = next(line for line in lines if line.facts["line"] == "pegs")
    lines = [line for line in lines if line.facts["line"] != "pegs"]
    columns = _columns(pegs.facts["pegs"])
    plain = PlainChart(title, columns, tuple(map(_plain, lines)), _across(table, columns))
    for line in lines:
        if line.facts.get("pegs", pegs.facts["pegs"]) != pegs.facts["pegs"]:
            raise ReadError("a line of other pegs", line=line.words)
        _check_drawing(line, pegs.texts)
    heights = [max(one.y_mm for one in (*line.symbols, *line.texts)) for line in lines]
    if heights != sorted(heights, reverse=True):
        raise ReadError("the lines do not stand one above the other")
    return SvgChart(title, pegs.texts, tuple(lines), plain)


def _columns(pegs: str) -> tuple[str, ...]:
    """One label a column: of pegs that repeat across the first."""
    return tuple(label.partition(",")[0] for label in pegs.split())


def _plain(line: SvgLine) -> ChartRowLine | ChartStripLine | ChartFoldLine:
    facts = line.facts
    match facts["line"]:
        case "row":
            sides = (facts["row"], "") if facts["direction"] == "right" else ("", facts["row"])
            stitches = facts["stitches"]
            count = f"{stitches} stitch" + ("" if stitches == "1" else "es")
            return ChartRowLine(facts["cells"], *sides, count)
        case "moves":
            return ChartStripLine(facts["marks"])
        case "fold":
            return ChartFoldLine(facts["text"])
        case other:
            raise ReadError(f"a line of kind {other}")


def _across(table: ElementTree.Element, columns: tuple[str, ...]) -> ChartAcross | None:
    for text in table.iter(f"{SVG}text"):
        match = _ACROSS.fullmatch(text.text or "")
        if match:
            pegs = range(int(match[1]), int(match[2] or match[1]) + 1)
            places = [place for place, label in enumerate(columns) if int(label) in pegs]
            return ChartAcross(places[0], places[-1], match[3])
    return None


# --- Places ----------------------------------------------------------------------------------


def _origins(root: ElementTree.Element) -> dict[ElementTree.Element, tuple[float, float]]:
    """Where each element's own origin lies on the page."""
    origins = {root: (0.0, 0.0)}
    for parent in root.iter():
        x_mm, y_mm = origins[parent]
        for child in parent:
            moved = _TRANSLATE.match(child.get("transform", ""))
            by = (float(moved[1]), float(moved[2])) if moved and child.tag == f"{SVG}g" else (0, 0)
            origins[child] = (x_mm + by[0], y_mm + by[1])
    return origins


def _line(
    group: ElementTree.Element, origins: dict[ElementTree.Element, tuple[float, float]]
) -> SvgLine:
    facts = {
        key.removeprefix("data-"): value
        for key, value in group.attrib.items()
        if key.startswith("data-")
    }
    return SvgLine(
        facts,
        tuple(_symbols(group, origins)),
        tuple(_texts(group, origins)),
        group.findtext(f"{SVG}title") or "",
    )


def _symbols(
    group: ElementTree.Element, origins: dict[ElementTree.Element, tuple[float, float]]
) -> Iterator[Drawn]:
    for use in group.iter(f"{SVG}use"):
        x_mm, y_mm = origins[use]
        moved, scaled = (
            pattern.search(use.get("transform", "")) for pattern in (_TRANSLATE, _SCALE)
        )
        assert moved is not None
        assert scaled is not None
        half_mm = float(scaled[1]) / 2
        letter = chr(int(use.get(HREF, "").removeprefix("#symbol-"), 16))
        yield Drawn(letter, x_mm + float(moved[1]) + half_mm, y_mm + float(moved[2]) + half_mm)


def _texts(
    group: ElementTree.Element, origins: dict[ElementTree.Element, tuple[float, float]]
) -> Iterator[Drawn]:
    for text in group.iter(f"{SVG}text"):
        x_mm, y_mm = origins[text]
        half_mm = float(text.get("textLength", "0")) / 2
        shift_mm = {"start": half_mm, "middle": 0.0, "end": -half_mm}[
            text.get("text-anchor", "start")
        ]
        tall_mm = CAPITALS * float(text.get("font-size", "0"))
        yield Drawn(
            text.text or "",
            x_mm + float(text.get("x", "0")) + shift_mm,
            y_mm + float(text.get("y", "0")) - tall_mm / 2,
        )


def _check_drawing(line: SvgLine, pegs: tuple[Drawn, ...]) -> None:
    """Each symbol stands under its peg's number, and the row's number beside the cells."""
    facts = line.facts
    cells = facts.get("cells", facts.get("marks", "")).replace("M", "m")
    labels = _columns(facts.get("pegs", ""))
    numbered = {peg.what: peg.x_mm for peg in pegs}
    drawn = {}
    for symbol in line.symbols:
        letter = symbol.what.replace("M", "m")
        places = [
            place
            for place, label in enumerate(labels)
            if "–" not in label
            and label in numbered
            and abs(numbered[label] - symbol.x_mm) < NEAR_MM
        ]
        if len(places) == 1:
            drawn[places[0]] = letter
    due = {
        place: cell
        for place, (cell, label) in enumerate(zip(cells, labels, strict=True))
        if cell not in BLANK and "–" not in label and label in numbered
    }
    if drawn != due:
        raise ReadError("other symbols are drawn than the cells say", line=line.words)
    if facts["line"] != "row":
        return
    number, *others = line.texts
    if number.what.removesuffix(", once") != facts["row"]:
        raise ReadError("another row number is drawn", line=line.words)
    starts_left = number.x_mm < min(
        (symbol.x_mm for symbol in line.symbols), default=sum(numbered.values()) / len(numbered)
    )
    if starts_left != (facts["direction"] == "right"):
        raise ReadError("the row number stands at the row's end", line=line.words)
    counts = [text.what for text in others if re.fullmatch(r"\d+ sts?", text.what)]
    if counts and counts != [f"{facts['stitches']} st" + "s" * (facts["stitches"] != "1")]:
        raise ReadError("another count is drawn", line=line.words)


BLANK = "kRrLlh. "
"""Cells without a symbol: knit is an empty cell, crosses and hatching are drawn over theirs."""
