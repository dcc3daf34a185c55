"""A finished PDF as the reader's records: the steps of the whole sock, and a chart of each part."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from charts.reader import ReadChart, ReadSteps, Ring, read_chart, read_steps
from charts.rows import Row
from tests.readback.pdf_pages import PrintedSheet
from tests.readback.printed_chart import ChartPiece, joined_chart, read_chart_pieces
from tests.readback.printed_graft import PrintedGraft, read_graft
from tests.readback.printed_steps import PrintedPart, page_title, read_printed_steps


@dataclass(frozen=True)
class PrintedPartChart:
    """The chart of one part, from all of its pages."""

    title: str
    second: bool
    pieces: tuple[ChartPiece, ...]
    read: ReadChart

    @property
    def is_cut_across(self) -> bool:
        """Whether no piece shows all pegs."""
        return len({piece.labels for piece in self.pieces}) > 1


@dataclass(frozen=True)
class ReadBooklet:
    """What a booklet tells to knit."""

    parts: tuple[PrintedPart, ...]
    steps: ReadSteps
    """Of the first sock."""
    second_steps: ReadSteps
    """Of the second sock: its own parts, and the first sock's where it has none."""
    charts: tuple[PrintedPartChart, ...]
    graft: PrintedGraft

    def chart_rows(self, *, second: bool = False) -> tuple[Row, ...]:
        """The rows of all charts of a sock, in the order worked."""
        rows: list[Row] = []
        for chart in self.charts:
            if not chart.second:
                rows += _own(self.charts, chart, second).read.rows
        return tuple(rows)


def _own(
    charts: Sequence[PrintedPartChart], first: PrintedPartChart, second: bool
) -> PrintedPartChart:
    for chart in charts:
        if second and chart.second and chart.title == first.title:
            return chart
    return first


def read_booklet(sheets: Sequence[PrintedSheet]) -> ReadBooklet:
    """Everything that the booklet tells to knit.  Raises ReadError."""
    parts = read_printed_steps(sheets)
    seconds = {part.title: part for part in parts if part.second}
    firsts = [part for part in parts if not part.second]
    steps = read_steps([part.plain for part in firsts])
    others = [seconds.get(part.title, part) for part in firsts]
    second_steps = read_steps([part.plain for part in others])
    charts = read_charts(sheets, steps.ring)
    return ReadBooklet(parts, steps, second_steps, charts, read_graft(sheets))


def read_charts(sheets: Sequence[PrintedSheet], ring: Ring) -> tuple[PrintedPartChart, ...]:
    """The chart of every part that has one, in the order printed.  Raises ReadError."""
    found: dict[tuple[str, bool], list[ChartPiece]] = {}
    for sheet in sheets:
        title = page_title(sheet.upright)
        if title[0]:
            for page in sheet.ways:
                found.setdefault(title, []).extend(read_chart_pieces(page, ring))
    return tuple(
        PrintedPartChart(*title, tuple(pieces), read_chart(joined_chart(title[0], pieces), ring))
        for title, pieces in found.items()
        if pieces
    )
