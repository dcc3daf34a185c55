"""A finished PDF as the reader's records: the steps of the whole sock, and a chart of each part."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

from charts.reader import ReadChart, ReadSteps, Ring, read_chart, read_steps
from charts.rows import Row
from tests.readback.pdf_pages import PrintedSheet
from tests.readback.printed_chart import (
    ChartPiece,
    joined_chart,
    read_chart_pieces,
    unpiled,
)
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
    """What a booklet tells to knit; everything raises ReadError where it is not understood."""

    sheets: tuple[PrintedSheet, ...]

    @cached_property
    def parts(self) -> tuple[PrintedPart, ...]:
        """The steps as they are printed."""
        return read_printed_steps(self.sheets)

    @cached_property
    def steps(self) -> ReadSteps:
        """Of the first sock."""
        return read_steps([part.plain for part in self.parts if not part.second])

    @cached_property
    def second_steps(self) -> ReadSteps:
        """Of the second sock: its own parts, and the first sock's where it has none."""
        return read_steps([part.plain for part in self.parts_of(second=True)])

    @cached_property
    def charts(self) -> tuple[PrintedPartChart, ...]:
        return read_charts(self.sheets, self.steps.ring)

    @cached_property
    def graft(self) -> PrintedGraft:
        return read_graft(self.sheets)

    def parts_of(self, *, second: bool) -> list[PrintedPart]:
        """The parts of one sock in the order worked."""
        return _of_sock(self.parts, second)

    def charts_of(self, *, second: bool) -> list[PrintedPartChart]:
        """The charts of one sock in the order worked."""
        return _of_sock(self.charts, second)

    def chart_rows(self, *, second: bool = False) -> tuple[Row, ...]:
        """The rows of all charts of a sock, in the order worked."""
        return tuple(row for chart in self.charts_of(second=second) for row in chart.read.rows)


Printed = TypeVar("Printed", PrintedPart, PrintedPartChart)


def _of_sock(printed: Sequence[Printed], second: bool) -> list[Printed]:
    """The first sock's, or in their place the second one's where it has its own."""
    own = {one.title: one for one in printed if one.second} if second else {}
    return [own.get(one.title, one) for one in printed if not one.second]


def read_charts(sheets: Sequence[PrintedSheet], ring: Ring) -> tuple[PrintedPartChart, ...]:
    """The chart of every part that has one, in the order printed.  Raises ReadError."""
    found: dict[tuple[str, bool], list[ChartPiece]] = {}
    for sheet in sheets:
        title = page_title(sheet.upright)
        if title[0]:
            for page in sheet.ways:
                pieces = read_chart_pieces(page, ring)
                found.setdefault(title, []).extend([unpiled(pieces, ring)] if pieces else [])
    return tuple(
        PrintedPartChart(*title, tuple(pieces), read_chart(joined_chart(title[0], pieces), ring))
        for title, pieces in found.items()
        if pieces
    )
