"""What the drawing of a chart is spoken of in: pieces, spans, bands, and the words of columns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from charts.chart import ABSENT, WAITING, Chart, Column
from charts.stitches import KNIT_LETTERS, STITCHES


@dataclass(frozen=True, slots=True)
class ChartPiece:
    """A chart, or what one block shows of it."""

    chart: Chart
    again_lines: frozenset[int] = frozenset()
    """Lines that the block before shows too: worked already."""
    again_columns: frozenset[int] = frozenset()
    """Columns that a neighbouring block shows too."""
    above: str = ""
    """Words over the chart where it goes on elsewhere."""
    below: str = ""


@dataclass(frozen=True, slots=True)
class Span:
    """A level stretch."""

    left_mm: float
    right_mm: float

    @property
    def middle_mm(self) -> float:
        return (self.left_mm + self.right_mm) / 2

    @property
    def width_mm(self) -> float:
        return self.right_mm - self.left_mm

    @staticmethod
    def about(middle_mm: float, width_mm: float) -> Span:
        return Span(middle_mm - width_mm / 2, middle_mm + width_mm / 2)

    def moved(self, dx_mm: float) -> Span:
        return Span(self.left_mm + dx_mm, self.right_mm + dx_mm)

    def near(self, other: Span, gap_mm: float) -> bool:
        """Whether less than `gap_mm` lies between the two."""
        return self.left_mm < other.right_mm + gap_mm and other.left_mm < self.right_mm + gap_mm


@dataclass(frozen=True, slots=True)
class Band:
    """The height that one line of the chart takes."""

    top_mm: float
    bottom_mm: float

    @property
    def middle_mm(self) -> float:
        return (self.top_mm + self.bottom_mm) / 2


_UNFRAMED: Final = WAITING + ABSENT
"""What is not drawn; a stitch is, a held loop, and an empty peg that the yarn passes."""


def shows_cells(cells: str) -> bool:
    """Whether any of a row is drawn."""
    return cells.strip(_UNFRAMED) != ""


@lru_cache(maxsize=4096)
def framed_columns(cells: str) -> tuple[int, int]:
    """First and last column of a row that is drawn: its number stands beside them."""
    if not shows_cells(cells):
        return (0, len(cells) - 1)
    return len(cells) - len(cells.lstrip(_UNFRAMED)), len(cells.rstrip(_UNFRAMED)) - 1


@lru_cache(maxsize=4096)
def framed_places(cells: str) -> Sequence[int]:
    """The columns of a row that are drawn."""
    if not set(_UNFRAMED) & set(cells):
        return range(len(cells))
    return [place for place, cell in enumerate(cells) if cell not in _UNFRAMED]


def column_label(column: Column) -> str:
    """ "7", or "2–25" for a folded run."""
    first = column.pegs[0]
    return f"{first}–{column.pegs[-1]}" if column.folded else str(first)


WORDINGS: Final = 3


def folded_texts(column: Column, cell: str) -> tuple[str, ...]:
    """The wordings of a cell of a folded column, the longest first."""
    count = len(column.pegs)
    word = "plain" if cell == KNIT_LETTERS["flat"] else STITCHES[cell].verb
    return (f"{count} pegs {word}", f"{count} {word}", f"× {count}")


def is_fifth(peg: int) -> bool:
    """Pegs that are counted off: 1, 5, 10 …"""
    return peg == 1 or peg % 5 == 0
