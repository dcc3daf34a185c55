"""The lines of a chart: a frame round every cell that is drawn, borders, repeat boxes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby, pairwise

from charts.chart import HELD, ChartFold, ChartRow, ChartStrip, Column
from layouts.grid_geometry import GridGeometry
from layouts.grid_terms import Band, Span, framed_columns, framed_places
from layouts.scene import Box, Cap, Path, lines, rect
from layouts.symbols import held_hatching

Ends = tuple[float, float, float, float]


def grid_paths(geometry: GridGeometry) -> Iterator[Path]:
    """Frames of the cells, thinnest lines first; where there is no stitch there is no frame."""
    style = geometry.style
    verticals: dict[float, list[Ends]] = {
        style.grid_pt: [],
        style.fifth_pt: [],
        style.border_pt: [],
    }
    rows = list(_edged_rows(geometry))
    for boundary, weight_pt in enumerate(_weights_pt(geometry)):
        verticals[weight_pt] += _vertical_ends(rows, boundary, geometry.edges_mm[boundary])
    thin = [*_horizontal_ends(geometry), *verticals[style.grid_pt]]
    if thin:
        yield lines(thin, stroke_pt=style.grid_pt, ink=style.ink)
    for weight_pt in (style.fifth_pt, style.border_pt):
        if verticals[weight_pt]:
            yield lines(verticals[weight_pt], stroke_pt=weight_pt, ink=style.ink, cap=Cap.SQUARE)


def _weights_pt(geometry: GridGeometry) -> list[float]:
    """The weight of each edge between columns.

    A fifth beside a border stays thin: two heavier lines one cell apart look like a double border.
    """
    style, chart = geometry.style, geometry.chart
    borders = {edge for zone in chart.zones for edge in (zone.first_column, zone.last_column + 1)}
    fifths = {
        boundary
        for boundary, (left, right) in enumerate(pairwise(chart.columns), start=1)
        if chart.across is None and _after_fifth(left, right)
    }
    return [
        style.border_pt
        if boundary in borders
        else style.fifth_pt
        if boundary in fifths and not borders & {boundary - 1, boundary + 1}
        else style.grid_pt
        for boundary in range(len(chart.columns) + 1)
    ]


def _after_fifth(left: Column, right: Column) -> bool:
    """Whether the count of fives ends between the two columns, whichever way the numbers run."""
    low, high = sorted((left.pegs[-1], right.pegs[0]))
    return (low if high - low == 1 else high) % 5 == 0


def _edged_rows(geometry: GridGeometry) -> Iterator[tuple[frozenset[int], Band]]:
    """The edges of columns that bound a cell that is drawn, of each row with its band."""
    for line, band in zip(geometry.chart.lines, geometry.bands, strict=True):
        if isinstance(line, ChartRow):
            places = framed_places(line.cells)
            yield frozenset(places).union(place + 1 for place in places), band


def _vertical_ends(
    rows: Sequence[tuple[frozenset[int], Band]], boundary: int, x_mm: float
) -> list[Ends]:
    ends: list[Ends] = []
    for edges, band in rows:
        if boundary not in edges:
            continue
        if ends and ends[-1][1] == band.bottom_mm:
            ends[-1] = (x_mm, band.top_mm, x_mm, ends[-1][3])
        else:
            ends.append((x_mm, band.top_mm, x_mm, band.bottom_mm))
    return ends


def _horizontal_ends(geometry: GridGeometry) -> Iterator[Ends]:
    framed: dict[float, set[int]] = {}
    for line, band in zip(geometry.chart.lines, geometry.bands, strict=True):
        if isinstance(line, ChartRow):
            for y_mm in (band.top_mm, band.bottom_mm):
                framed.setdefault(y_mm, set()).update(framed_places(line.cells))
    for y_mm, places in framed.items():
        for first, last in runs_of(sorted(places)):
            span = geometry.columns_span(first, last)
            yield (span.left_mm, y_mm, span.right_mm, y_mm)


def runs_of(places: list[int]) -> Iterator[tuple[int, int]]:
    """First and last of each run of consecutive numbers.

    >>> list(runs_of([1, 2, 3, 7, 9, 10]))
    [(1, 3), (7, 7), (9, 10)]
    """
    start = 0
    for end in range(1, len(places) + 1):
        if end == len(places) or places[end] != places[end - 1] + 1:
            yield places[start], places[end - 1]
            start = end


def fold_edges(geometry: GridGeometry) -> Iterator[Path]:
    """Dotted edges where rows are left out: the fabric goes on there."""
    span = geometry.grid_span
    for line, band in zip(geometry.chart.lines, geometry.bands, strict=True):
        if not isinstance(line, ChartFold):
            continue
        edges_mm = [span.left_mm]
        if geometry.fold_text_span(line).right_mm < span.right_mm:
            edges_mm.append(span.right_mm)
        yield lines(
            [(x_mm, band.bottom_mm, x_mm, band.top_mm) for x_mm in edges_mm],
            stroke_pt=geometry.style.border_pt,
            ink=geometry.style.ink,
            dash_mm=(0.0, 1.0),
            cap=Cap.ROUND,
        )


def zone_grounds(geometry: GridGeometry) -> Iterator[Path]:
    """The colours of the zones below their cells, one piece for each stretch of like rows."""
    tints = geometry.column_tints
    if not any(tints):
        return
    grounds: dict[tuple[int, int], list[tuple[float, float]]] = {}
    for line, band in zip(geometry.chart.lines, geometry.bands, strict=True):
        if not isinstance(line, ChartRow):
            continue
        for tint, places in groupby(framed_places(line.cells), key=lambda place: tints[place]):
            for run in runs_of(list(places)) if tint is not None else ():
                spans = grounds.setdefault(run, [])
                if spans and spans[-1][0] == band.bottom_mm:
                    spans[-1] = (band.top_mm, spans[-1][1])
                else:
                    spans.append((band.top_mm, band.bottom_mm))
    for (first, last), spans in grounds.items():
        across = geometry.columns_span(first, last)
        for top_mm, bottom_mm in spans:
            yield rect(
                across.left_mm,
                top_mm,
                across.width_mm,
                bottom_mm - top_mm,
                stroke=None,
                fill=tints[first],
            )


def mark_grounds(geometry: GridGeometry) -> Iterator[Path]:
    """A tint behind the marks of moves, which have no frame."""
    for index, line in enumerate(geometry.chart.lines):
        if not isinstance(line, ChartStrip):
            continue
        band = geometry.marks_band(index)
        marked = [place for place, mark in enumerate(line.marks) if mark != " "]
        for first, last in runs_of(marked):
            span = geometry.columns_span(first, last)
            yield rect(
                span.left_mm,
                band.top_mm,
                span.width_mm,
                band.bottom_mm - band.top_mm,
                stroke=None,
                fill=geometry.style.tint,
            )


def held_grounds(geometry: GridGeometry) -> Iterator[Path]:
    """Hatching over the cells of held loops, one stretch for each run of neighbours."""
    for line, band in zip(geometry.chart.lines, geometry.bands, strict=True):
        if isinstance(line, ChartRow):
            held = [place for place, cell in enumerate(line.cells) if cell == HELD]
            for first, last in runs_of(held):
                span = geometry.columns_span(first, last)
                cells = Box(span.left_mm, band.top_mm, span.right_mm, band.bottom_mm)
                yield held_hatching(cells, geometry.symbol_mm, ink=geometry.style.ink)


def repeat_boxes(geometry: GridGeometry) -> Iterator[Path]:
    """Boxes round rows that are worked again higher up, and round pegs that repeat across."""
    chart, style = geometry.chart, geometry.style
    for up in chart.up:
        rows = chart.lines[up.first_line : up.last_line + 1]
        ends = [framed_columns(row.cells) for row in rows if isinstance(row, ChartRow)]
        span = geometry.columns_span(min(first for first, _ in ends), max(last for _, last in ends))
        yield _box(
            span,
            geometry.bands[up.last_line].top_mm,
            geometry.bands[up.first_line].bottom_mm,
            style.repeat_pt,
        )
    if chart.across is not None:
        span = geometry.columns_span(chart.across.first_column, chart.across.last_column)
        rows_mm = [
            band
            for line, band in zip(chart.lines, geometry.bands, strict=True)
            if isinstance(line, ChartRow) and line.number
        ]
        if rows_mm:
            yield _box(span, rows_mm[-1].top_mm, geometry.grid_bottom_mm, style.repeat_pt)


def _box(span: Span, top_mm: float, bottom_mm: float, stroke_pt: float) -> Path:
    return rect(span.left_mm, top_mm, span.width_mm, bottom_mm - top_mm, stroke_pt=stroke_pt)
