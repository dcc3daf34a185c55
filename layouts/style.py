"""How our pages look: type, inks, line weights, cell sizes and margins.

A booklet page lies flat at 50 to 60 cm and is often a grey photocopy, so sizes stay above those of
a book held in the hand.  Type sizes and weights in pt, lengths in mm.

Clear and large print are laid out anew with their own sizes, never enlarged pages:

- clear: nothing under 12 pt, text of 14 pt, lines apart by 1.5 to 2 times the space between words,
  flush left (RNIB clear print guidelines, as reprinted in public appendices);
- large: text of 18 pt, headings of 22 and 20 pt, bold and flush left, lines 1.15 apart or more,
  ragged right, one column, margins of 1 in (American Council of the Blind, "Large Print
  Guidelines", 2022); nothing under 16 pt, where large print begins by RNIB's reading.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import Final

from charts.parts import Part
from layouts.edition import Edition, Inks, PrintSize
from layouts.faces import Face
from layouts.paper import MM_PER_INCH, MM_PER_PT, Margins, Paper
from layouts.scene import BLACK, GREY_60, TINT_15, Ink
from layouts.text import Style
from layouts.zone_inks import ZONE_INKS, ZoneInks, tinted


@dataclass(frozen=True, slots=True)
class PageStyle:
    """One look: a booklet's or a card's.  Larger print is another value of this record."""

    body: Style
    step: Style
    """Row-by-row instructions."""
    note: Style
    """The smallest running text."""
    title: Style
    """A section's title."""
    sub_head: Style
    chart_number: Style
    """Peg numbers and row numbers beside a chart; may be set smaller to fit, see `least_number_pt`.
    """
    chart_label: Style
    """Zone names, folds and moves in a chart."""
    least_number_pt: float
    """Peg numbers are never smaller: they thin out to every fifth peg instead."""

    ink: Ink = BLACK
    soft_ink: Ink = GREY_60
    """The lightest ink that may carry meaning."""
    tint: Ink = TINT_15
    """Decoration only: its contrast carries nothing."""
    zones: ZoneInks | None = None
    """The colours of the zones; None in grey."""
    accent: Ink = BLACK
    """The publisher's: of the title and the bar on the cover and of tabs; as dark as text."""

    grid_pt: float = 0.3
    """Solid black: finer or greyer lines screen into dots and are lost on a photocopy."""
    fifth_pt: float = 0.6
    """The grid line after every fifth peg."""
    border_pt: float = 1.0
    """Edges of heel, instep, panel and the like."""
    repeat_pt: float = 1.2
    """Boxes round repeats."""

    least_cell_mm: float = 3.0
    """Shorter side of a chart cell at least."""
    best_cell_mm: float = 4.5
    """Shorter side of a chart cell that has room."""
    most_cell_mm: float = 6.0
    """Shorter side of a chart cell at most."""

    good_cell_mm: float = 4.2
    """Cells this large are read at arm's length: larger ones are worth no more pages."""

    tick_box_mm: float = 4.0

    inner_mm: float = 16.0
    """Margins of an A5 page; `margins` scales them to other papers."""
    outer_mm: float = 12.0
    top_mm: float = 14.0
    bottom_mm: float = 16.0
    margins_scale: bool = True
    """Else they are the same on any paper."""
    head_mm: float = 16.0
    """From the top margin to the body of a booklet's page."""
    least_page_mm: tuple[float, float] = (128.0, 180.0)
    """A booklet's narrower or lower pages are too small for steps with their boxes."""

    @property
    def growth(self) -> float:
        """How much larger than on an A5 page drawings are: as much as the notes in them."""
        return self.note.size_pt / _DRAWN_NOTE_PT

    @property
    def drawn(self) -> PageStyle:
        """For a drawing that is made as on an A5 page, and then grown."""
        by = 1 / self.growth
        return replace(
            self,
            body=self.body.grown(by),
            note=self.note.grown(by),
            sub_head=self.sub_head.grown(by),
            chart_number=self.chart_number.grown(by),
            chart_label=self.chart_label.grown(by),
            least_number_pt=self.least_number_pt * by,
        )

    @property
    def em_mm(self) -> float:
        """Size of the text."""
        return self.body.size_pt * MM_PER_PT

    @property
    def indent_mm(self) -> float:
        """Room for the number of a movement before its words."""
        return _INDENT_MM * self.body.size_pt / _DRAWN_BODY_PT

    def is_wide(self, width_mm: float) -> bool:
        """Whether there is room for two columns of text."""
        return width_mm >= _TWO_COLUMNS_EMS * self.em_mm

    def measure_mm(self, width_mm: float) -> float:
        """How wide a single column of text may be in that width: lines of more than about 100
        letters are hard to follow."""
        return min(width_mm, _MEASURE_EMS * self.em_mm)

    def zone_tint(self, name: str) -> Ink | None:
        """The ground of a zone by its printed name; None where it stays white."""
        ink = None if self.zones is None else self.zones.of_zone(name)
        return None if ink is None else tinted(ink)

    def part_ink(self, part: Part | None) -> Ink | None:
        """The colour of a part; None in grey and for what has none."""
        return None if self.zones is None or part is None else self.zones.of_part(part)

    def margins(self, paper: Paper, page_number: int) -> Margins:
        """The page's margins: those of A5, scaled by the paper's shorter side to a tenth of a mm.

        Odd pages lie right of the spine.
        """
        shorter_mm = min(paper.width_mm, paper.height_mm)
        scale = shorter_mm / _A5_WIDTH_MM if self.margins_scale else 1.0
        return Margins.bound(
            page_number,
            inner_mm=round(self.inner_mm * scale, 1),
            outer_mm=round(self.outer_mm * scale, 1),
            top_mm=round(self.top_mm * scale, 1),
            bottom_mm=round(self.bottom_mm * scale, 1),
        )


def in_inks(style: PageStyle, inks: Inks) -> PageStyle:
    """The look in those inks; soft ink is darker where it may stand on a tint."""
    match inks:
        case Inks.GREY:
            return replace(style, soft_ink=GREY_60, zones=None)
        case Inks.COLOUR:
            return replace(style, soft_ink=GREY_72, zones=ZONE_INKS)


GREY_72: Final = Ink.grey(0.28)
"""72 % black: 4.5 to 1 on every tint of a zone."""

_A5_WIDTH_MM: Final = 148.0
"""ISO 216."""
_DRAWN_NOTE_PT: Final = 8.0
"""Size of the notes that drawings were made for."""
_DRAWN_BODY_PT: Final = 9.5
"""The same of the text."""
_INDENT_MM: Final = 5.0
_MEASURE_EMS: Final = 45.0
_TWO_COLUMNS_EMS: Final = 43.0
"""Two columns of about 40 letters and a gap, in ems of the text."""

BOOKLET: Final = PageStyle(
    body=Style(9.5, 13.0, after_pt=4.0),
    step=Style(11.0, 14.0, after_pt=3.0),
    note=Style(8.0, 11.0, after_pt=3.0),
    title=Style(20.0, 26.0, Face.BOLD, after_pt=6.0),
    sub_head=Style(11.0, 13.0, Face.BOLD, after_pt=2.0),
    chart_number=Style(8.0, 10.0),
    chart_label=Style(8.0, 10.0),
    least_number_pt=6.5,
)
"""The printed booklet on A5 and the like."""

ROOMY_BOOKLET: Final = replace(
    BOOKLET,
    body=Style(10.5, 14.5, after_pt=4.5),
    step=Style(12.0, 15.5, after_pt=3.5),
    note=Style(9.0, 12.0, after_pt=3.5),
    title=Style(24.0, 31.0, Face.BOLD, after_pt=8.0),
    sub_head=Style(12.0, 15.0, Face.BOLD, after_pt=2.5),
    chart_number=Style(9.0, 11.5),
    chart_label=Style(9.0, 11.5),
    least_number_pt=7.5,
    least_cell_mm=3.2,
    best_cell_mm=5.2,
    most_cell_mm=7.0,
    good_cell_mm=4.8,
    tick_box_mm=4.4,
    top_mm=12.0,
    bottom_mm=13.0,
    head_mm=19.0,
)
"""The same on A4 and Letter, which lie further away."""

CLEAR_BOOKLET: Final = replace(
    BOOKLET,
    body=Style(14.0, 19.0, after_pt=6.0),
    step=Style(15.0, 20.0, after_pt=6.0),
    note=Style(12.0, 16.5, after_pt=4.0),
    title=Style(24.0, 31.0, Face.BOLD, after_pt=8.0),
    sub_head=Style(16.0, 21.0, Face.BOLD, after_pt=3.0),
    chart_number=Style(12.0, 15.0),
    chart_label=Style(12.0, 15.0),
    least_number_pt=12.0,
    least_cell_mm=4.3,
    best_cell_mm=5.6,
    most_cell_mm=8.0,
    good_cell_mm=5.2,
    tick_box_mm=5.2,
    top_mm=12.0,
    bottom_mm=15.0,
    head_mm=20.0,
)
"""Clear print: text of 14 pt, nothing under 12 pt."""

LARGE_BOOKLET: Final = replace(
    BOOKLET,
    body=Style(18.0, 24.0, after_pt=8.0),
    step=Style(19.0, 25.0, after_pt=8.0),
    note=Style(16.0, 21.5, after_pt=6.0),
    title=Style(22.0, 29.0, Face.BOLD, after_pt=8.0),
    sub_head=Style(20.0, 26.0, Face.BOLD, after_pt=4.0),
    chart_number=Style(16.0, 20.0),
    chart_label=Style(16.0, 20.0),
    least_number_pt=16.0,
    least_cell_mm=5.7,
    best_cell_mm=7.0,
    most_cell_mm=10.0,
    good_cell_mm=6.2,
    tick_box_mm=6.5,
    inner_mm=MM_PER_INCH,
    outer_mm=MM_PER_INCH,
    top_mm=MM_PER_INCH,
    bottom_mm=MM_PER_INCH,
    margins_scale=False,
    head_mm=24.0,
    least_page_mm=(205.0, 270.0),
)
"""Large print: text of 18 pt, nothing under 16 pt."""

_ROOMY_FROM_MM: Final = 185.0
"""Papers with a shorter side than this are held as near as A5."""


@cache
def style_of(edition: Edition, paper: Paper) -> PageStyle:
    """How a booklet of that edition looks on that paper."""
    match edition.size:
        case PrintSize.CLEAR:
            style = CLEAR_BOOKLET
        case PrintSize.LARGE:
            style = LARGE_BOOKLET
        case PrintSize.STANDARD:
            is_roomy = min(paper.width_mm, paper.height_mm) >= _ROOMY_FROM_MM
            style = ROOMY_BOOKLET if is_roomy else BOOKLET
    return in_inks(style, edition.inks)


CARD: Final = PageStyle(
    body=Style(11.0, 14.0, after_pt=3.0),
    step=Style(12.0, 15.0, after_pt=3.0),
    note=Style(11.0, 13.5, after_pt=2.0),
    title=Style(18.0, 22.0, Face.BOLD, after_pt=4.0),
    sub_head=Style(12.0, 15.0, Face.BOLD, after_pt=2.0),
    chart_number=Style(11.0, 13.0),
    chart_label=Style(11.0, 13.0),
    least_number_pt=8.0,
    best_cell_mm=5.0,
    most_cell_mm=9.0,
    tick_box_mm=6.0,
)
"""A laminated card, read from 60 cm; a tick box takes a dry-wipe pen."""

SMALL_CARD: Final = replace(
    CARD,
    body=Style(9.5, 12.0, after_pt=2.0),
    step=Style(10.0, 12.5, after_pt=2.0),
    note=Style(9.0, 11.0, after_pt=2.0),
    title=Style(14.0, 17.0, Face.BOLD, after_pt=2.0),
    sub_head=Style(10.0, 12.5, Face.BOLD, after_pt=2.0),
    chart_number=Style(9.0, 11.0),
    chart_label=Style(9.0, 11.0),
    least_number_pt=6.5,
    tick_box_mm=5.0,
)
"""A card too small for that: read in the hand."""
