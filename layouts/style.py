"""How our pages look: type, inks, line weights, cell sizes and margins.

A booklet page lies flat at 50 to 60 cm and is often a grey photocopy, so sizes stay above those of
a book held in the hand.  Type sizes and weights in pt, lengths in mm.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from charts.parts import Part
from layouts.edition import Inks
from layouts.faces import Face
from layouts.paper import Margins, Paper
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

    tick_box_mm: float = 4.0

    inner_mm: float = 16.0
    """Margins of an A5 page; `margins` scales them to other papers."""
    outer_mm: float = 12.0
    top_mm: float = 14.0
    bottom_mm: float = 16.0

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
        scale = min(paper.width_mm, paper.height_mm) / _A5_WIDTH_MM
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
"""The printed booklet."""

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
