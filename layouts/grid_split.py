"""Charts cut into pieces that fit: between rows, or between columns, never through a cable."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Final

from charts.chart import (
    AcrossRepeat,
    Chart,
    ChartFold,
    ChartRow,
    ChartStrip,
    Line,
    UpRepeat,
    Zone,
)
from charts.stitches import crosses
from layouts.block import DoesNotFitError
from layouts.grid_geometry import GridGeometry
from layouts.grid_terms import ChartPiece


def cut_up(geometry: GridGeometry, height_mm: float) -> tuple[ChartPiece, ...]:
    """Pieces of all columns, from the bottom up, each at most that high.

    Cuts where narrowing turns into widening or where a repeat or a stretch of rows ends, if it can.
    The row below a cut is drawn again above it.  Raises DoesNotFitError if there is no room for a
    row or two.
    """
    lines = geometry.chart.lines
    heights_mm = [band.bottom_mm - band.top_mm for band in geometry.bands]
    notes_mm = 2 * geometry.note_line_mm
    room_mm = height_mm - (geometry.height_mm - sum(heights_mm)) - notes_mm
    pieces = []
    start, again = 0, 0
    while True:
        end = start
        while end < len(lines) and sum(heights_mm[start : end + 1]) <= room_mm:
            end += 1
        if end < len(lines):
            end = _best_cut(geometry.chart, start + again, end)
        pieces.append(_rows_between(geometry.piece, start, end, again))
        if end == len(lines):
            return tuple(pieces)
        again = int(isinstance(lines[end - 1], ChartRow))
        start = end - again


def cut_evenly(
    geometry: GridGeometry, count: int, height_mm: float
) -> tuple[ChartPiece, ...] | None:
    """So many pieces of about equal height, none higher than that; None if it cannot be."""
    for slack_mm in _SLACKS_MM:
        share_mm = min(geometry.height_mm / count + slack_mm, height_mm)
        try:
            pieces = cut_up(geometry, share_mm)
        except DoesNotFitError:
            continue
        if len(pieces) == count:
            return pieces
    return None


_SLACKS_MM: Final = (6.0, 10.0, 14.0, 18.0, 24.0, 32.0, 40.0)
"""What the pieces of a cut chart need in common beside their share of its height."""


def _best_cut(chart: Chart, start: int, most: int) -> int:
    """The best line to begin the next piece with, after `start` and not after `most`."""
    cuts = [cut for cut in range(start + 1, most + 1) if _may_cut(chart.lines, cut)]
    if not cuts:
        raise DoesNotFitError("no room for two rows of the chart")
    roomy = [cut for cut in cuts if cut - start >= (most - start) / 2]
    turns = shaping_turns(
        [line.stitches if isinstance(line, ChartRow) else None for line in chart.lines]
    )
    best = [cut for cut in roomy if cut in turns]
    good = [cut for cut in roomy if _is_good_cut(chart, cut)]
    return (best or good or cuts)[-1]


def shaping_turns(counts: Sequence[int | None]) -> tuple[int, ...]:
    """Where rows that had become shorter, one after the other, stop doing so: the place of the
    first row that is not shorter.  `counts` are stitches a row, None for what is no row.

    >>> shaping_turns([None, 12, 11, 10, 9, 9, 9, 10, 11])
    (5,)
    """
    found = []
    falls = 0
    for place, (before, after) in enumerate(pairwise(counts), start=1):
        if before is not None and after is not None and after < before:
            falls += 1
            continue
        if after is not None and falls >= LEAST_FALLS:
            found.append(place)
        falls = 0
    return tuple(found)


LEAST_FALLS: Final = 2
"""One shorter row is no shaping."""


def _may_cut(lines: Sequence[Line], cut: int) -> bool:
    """A fold stays with its rows, and moves stay with the row that they lead to."""
    return not isinstance(lines[cut], ChartFold) and not isinstance(lines[cut - 1], ChartStrip)


def _is_good_cut(chart: Chart, cut: int) -> bool:
    starts_repeat = any(up.first_line == cut for up in chart.up)
    return starts_repeat or not (
        isinstance(chart.lines[cut], ChartRow) and isinstance(chart.lines[cut - 1], ChartRow)
    )


def _rows_between(piece: ChartPiece, start: int, end: int, again: int) -> ChartPiece:
    chart = piece.chart
    up = tuple(
        UpRepeat(max(up.first_line, start) - start, min(up.last_line, end - 1) - start, up.times)
        for up in chart.up
        if up.first_line < end and up.last_line >= start + again
    )
    lines = chart.lines
    return replace(
        piece,
        chart=replace(chart, lines=lines[start:end], up=up),
        again_lines=frozenset(range(again)),
        below=f"continued from {line_name(lines[start + again - 1])}" if start + again else "",
        above=f"continues with {line_name(lines[end])}" if end < len(lines) else "",
    )


def line_name(line: Line) -> str:
    """What a line of a chart is called beside a cut."""
    match line:
        case ChartRow(label=label):
            return f"row {label}" if label.isdigit() else label
        case ChartFold(first=first, last=last):
            return f"rows {first}–{last}" if first < last else f"row {first}"
        case ChartStrip():
            return "the moves"


def cut_across(geometry: GridGeometry, width_mm: float) -> tuple[ChartPiece, ...]:
    """Pieces of all rows, from left to right, each at most that wide; neighbours share a column.

    Raises DoesNotFitError if there is no room for three columns.
    """
    chart = geometry.chart
    widths_mm = geometry.column_widths_mm
    room_mm = width_mm - (geometry.width_mm - sum(widths_mm))
    allowed = _whole_cable_edges(chart)
    borders = {zone.first_column for zone in chart.zones}
    if chart.across is not None:
        borders |= {chart.across.first_column, chart.across.last_column + 1}
    pieces = []
    start, shared = 0, 0
    while True:
        most = start
        while most < len(widths_mm) and sum(widths_mm[start : most + 1]) <= room_mm:
            most += 1
        end = most
        if most < len(widths_mm):
            ends = [edge for edge in range(start + 3, most + 1) if edge in allowed]
            if not ends:
                raise DoesNotFitError("no room for three columns of the chart")
            good = [edge for edge in ends if edge in borders and 3 * (most - edge) < most - start]
            end = (good or ends)[-1]
        pieces.append(_columns_between(geometry.piece, start, end, shared))
        if end == len(widths_mm):
            return tuple(pieces)
        shared = 1 if end - 1 in allowed else 0
        start = end - shared


def without_blank_strips(piece: ChartPiece) -> ChartPiece:
    """A piece without repeats, without the moves that are all in another piece."""
    lines = tuple(
        line for line in piece.chart.lines if not isinstance(line, ChartStrip) or line.marks.strip()
    )
    return replace(piece, chart=replace(piece.chart, lines=lines))


def _whole_cable_edges(chart: Chart) -> set[int]:
    """Edges of columns that do not run through a cable cross."""
    edges = set(range(len(chart.columns) + 1))
    for cells in {line.cells for line in chart.lines if isinstance(line, ChartRow)}:
        for start, left, right in crosses(cells):
            edges -= set(range(start + 1, start + left + right))
    return edges


def _columns_between(piece: ChartPiece, start: int, end: int, shared: int) -> ChartPiece:
    chart = piece.chart
    across = chart.across
    if across is not None:
        if start <= across.first_column and across.last_column < end:
            across = AcrossRepeat(
                across.first_column - start,
                across.last_column - start,
                across.times,
                across.last_peg,
            )
        else:
            across = None
    zones = tuple(
        Zone(
            zone.name, max(zone.first_column, start) - start, min(zone.last_column, end - 1) - start
        )
        for zone in chart.zones
        if zone.first_column < end and zone.last_column >= start + shared
    )
    below = []
    if start:
        below.append("← continues on the left")
    if end < len(chart.columns):
        below.append("continues on the right →")
    return replace(
        piece,
        chart=replace(
            chart,
            columns=chart.columns[start:end],
            lines=tuple(_cut_line(line, start, end) for line in chart.lines),
            zones=zones,
            across=across,
        ),
        again_columns=frozenset(range(shared)),
        below=" · ".join(below),
    )


def _cut_line(line: Line, start: int, end: int) -> Line:
    match line:
        case ChartRow():
            return replace(line, cells=line.cells[start:end])
        case ChartStrip():
            return replace(line, marks=line.marks[start:end])
        case ChartFold():
            return line
