"""A chart in stretches of rows, so that rows worked once do not keep all others from folding.

Over most of a foot the sole is plain, and only its first rows and what runs on at its end tell its
pegs apart: in charts of their own these leave one wide column for the sole.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise, product

from charts.chart import (
    ABSENT,
    WAITING,
    Chart,
    ChartFold,
    ChartRow,
    ChartStrip,
    Line,
    fold_columns,
    with_columns,
)
from charts.rows import RUN_ON

MOST_FIRST_ROWS = 4
"""Rows that are worked once are few."""


def stretch_cuts(chart: Chart) -> Iterator[tuple[Chart, ...]]:
    """Ways to tell a chart with a column for each peg in stretches, bottom first, runs folded.

    Each has so many of the first rows, with the moves before them, in a chart of their own, as few
    as there can be; or the row that runs on at the end, if there is one; or both.
    """
    lines = chart.lines
    end = len(lines) - (isinstance(lines[-1], ChartRow) and lines[-1].number == RUN_ON)
    rows = [index for index, line in enumerate(lines[:end]) if isinstance(line, ChartRow)]
    starts = [0, *(index + 1 for index in rows[:MOST_FIRST_ROWS])]
    tried: list[list[int]] = []
    for start, stop in product(starts, (end, len(lines))):
        cuts = sorted({0, start, stop, len(lines)})
        if len(cuts) > 2 and cuts not in tried and all(_may_cut(chart, cut) for cut in cuts[1:-1]):
            tried.append(cuts)
            yield tuple(
                fold_columns(_between(chart, first, last)) for first, last in pairwise(cuts)
            )


def _may_cut(chart: Chart, cut: int) -> bool:
    """Rows that are repeated stay with the line that says so, and moves with the row after them."""
    repeated = any(up.first_line < cut <= up.last_line + 1 for up in chart.up)
    after, before = chart.lines[cut], chart.lines[cut - 1]
    return not (repeated or isinstance(after, ChartFold) or isinstance(before, ChartStrip))


def _between(chart: Chart, first: int, last: int) -> Chart:
    """Those lines, with the columns that something is drawn in and those between them."""
    lines = chart.lines[first:last]
    shown = [
        place
        for place in range(len(chart.columns))
        if any(_is_drawn(line, place) for line in lines)
    ]
    picks = range(shown[0], shown[-1] + 1)
    up = tuple(
        replace(one, first_line=one.first_line - first, last_line=one.last_line - first)
        for one in chart.up
        if first <= one.first_line and one.last_line < last
    )
    stretch = replace(chart, lines=lines, up=up)
    return with_columns(stretch, [chart.columns[pick] for pick in picks], picks)


def _is_drawn(line: Line, place: int) -> bool:
    match line:
        case ChartRow(cells=cells):
            return cells[place] not in (WAITING, ABSENT)
        case ChartStrip(marks=marks):
            return marks[place] != WAITING
        case ChartFold():
            return False
