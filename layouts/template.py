"""The foot template: a foot to cut out of card, at true size, ruled with the rows of the sock.

What is too long for the paper goes on several sheets, which are joined where their crosses meet.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from charts.feet import Foot
from charts.fitting import FittedSpec
from charts.foot_measures import Measure, Origin
from charts.gauge import GaugeReading, counted_over
from charts.problems import PatternError, Problem
from charts.spec import Units
from charts.verify import Knit
from layouts.block import Block, DoesNotFitError
from layouts.blocks import (
    Piece,
    heading,
    paragraph,
    pieces_height_mm,
    side_by_side,
    squeezed,
    stacked,
)
from layouts.foot_drawing import RuledFoot, Ruling, ruling_of
from layouts.foot_shape import (
    BALL_ALONG,
    HEEL_ALONG,
    OUTER_BALL_ALONG,
    FootOutline,
    ball_width,
    built_outline,
    check_trace,
    traced_outline,
)
from layouts.foot_sheets import MOST_SHEETS, WING_MM, Sheet, share_among_sheets
from layouts.foot_side import FootSide
from layouts.measured_outline import both_words
from layouts.paper import PRINTER_SAFE, Paper
from layouts.scale_bar import BAR_CM, BAR_HIGH_MM, BAR_IN, scale_bar
from layouts.scene import Align, Document, Group, Item, Page, Role
from layouts.style import BOOKLET, PageStyle
from layouts.tables import Column, gap_columns, table_row
from layouts.text import NO_BREAK_SPACE, Run, Style, bold, set_line, width_mm


def make_template(
    fitted: FittedSpec,
    knit: Knit,
    *,
    paper: Paper,
    outline_path: str | None = None,
    side: FootSide = FootSide.LEFT,
    traced_side: FootSide | None = None,
    style: PageStyle = BOOKLET,
) -> Document:
    """The template of the wearer's foot, on as few sheets as its true size allows.

    `outline_path` is the path data of an SVG path, 1 unit = 1 mm, toes up, in place of the outline
    built from the measures; it is mirrored if `traced_side` is not the `side` wanted.  Raises
    PatternError without a gauge, without a foot, or for a path that is not of this foot;
    DoesNotFitError, saying what would fit, for paper that is too small.
    """
    gauge, foot = fitted.gauge, fitted.foot
    problems = []
    if gauge is None:
        what = "the rows of a template need a gauge"
        problems.append(Problem(what, "gauge", suggestion="stitches and rows under [gauge]"))
    if foot is None and outline_path is None:
        what = "a template needs a foot"
        hint = 'length = "23.5 cm" under [wearer], or a traced outline'
        problems.append(Problem(what, "wearer", suggestion=hint))
    if gauge is None or problems:
        raise PatternError(tuple(problems))
    if outline_path is not None:
        outline = traced_outline(outline_path, mirrored=traced_side not in (None, side))
        if foot is not None:
            check_trace(outline, foot.length.mm)
    else:
        assert foot is not None
        outline = built_outline(
            foot.length.mm,
            ball_width_mm=ball_width(foot).mm,
            heel_width_mm=foot.heel_width.mm,
            side=side,
        )
    spec = knit.plan.spec
    words = _Words(
        spec.title,
        spec.units,
        side,
        foot,
        gauge,
        outline,
        ruling_of(knit, gauge),
        style,
        style.body,
    )
    return Document(
        _Template(words, style).pages(paper.upright),
        f"{spec.title}: foot template",
        spec.designer,
        f"A foot at true size with the rows of the sock; print at 100{NO_BREAK_SPACE}%",
        ("sock", "foot", "template", "true size"),
    )


# --- Words -----------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Words:
    """What is told beside the drawing, in pieces for a column."""

    title: str
    units: Units
    side: FootSide
    foot: Foot | None
    gauge: GaugeReading
    outline: FootOutline
    ruling: Ruling
    style: PageStyle
    body: Style

    def both(self, length_mm: float) -> str:
        return both_words(length_mm, self.units)

    def title_pieces(self, width: float) -> list[Piece]:
        style = self.style
        length = self.both(self.outline.length_mm)
        words = f"{self.side.value.capitalize()} foot from above, {length}, at true size."
        return [
            heading("Foot template", style.title, width, role=Role.H1),
            paragraph(self.title, style.sub_head, width),
            paragraph(words, self.body, width),
        ]

    def print_pieces(self, width: float) -> list[Piece]:
        style = self.style
        words = (
            f"Choose 100{NO_BREAK_SPACE}% or “actual size”, never “fit to page”. Lay a ruler on "
            f"the bar on this page: it must measure {BAR_CM}{NO_BREAK_SPACE}cm, or "
            f"{BAR_IN}{NO_BREAK_SPACE}in."
        )
        return [
            heading(f"Print at 100{NO_BREAK_SPACE}%", style.sub_head, width),
            paragraph(words, self.body, width),
        ]

    def use_pieces(self, width: float, sheets: int) -> list[Piece]:
        style = self.style
        told = []
        if sheets > 1:
            told.append(
                "Cut the upper sheet along A–A, or fold it back there. Lay it on the next so that "
                "the crosses meet, and glue it down."
            )
        told += [
            "Stick the foot on card and cut along the heavy line; help a child to cut. Turned over "
            "it is the other foot.",
            f"Heel: between the dashed lines runs the strip of {self.ruling.strip_pegs} pegs under "
            "it. If your heel is much wider or narrower, turn it on more or fewer pegs.",
            "Length: slip the card into the knitting, heel to heel, and smooth the sock without "
            "stretching it. Begin the toe when the last row reaches the line below “Toe”.",
        ]
        pieces = [heading("Make it and use it", style.sub_head, width)]
        for number, words in enumerate(told, start=1):
            numbered = (bold(f"{number}{2 * NO_BREAK_SPACE}"), Run(words))
            pieces.append(paragraph(numbered, self.body, width, role=Role.LI))
        return pieces

    def length_pieces(self, width: float) -> list[Piece]:
        style, ruling = self.style, self.ruling
        lengths = (
            (f"turn ends, {ruling.turn_rows} rows", ruling.turn_mm),
            (f"toe starts, {ruling.foot_rows} rows on", ruling.toe_mm),
            ("sock ends, at rest", ruling.end_mm),
            ("foot ends", self.outline.length_mm),
        )
        words_mm = max(width_mm(self.both(mm), self.body) for _, mm in lengths) + 0.5
        first, last = gap_columns((width - words_mm - 4.0,), width)
        columns = (first, Column(last.width_mm, Align.RIGHT))
        return [
            heading("From the heel end", style.sub_head, width),
            *(
                table_row(
                    (words, self.both(mm)), columns, self.body, with_next=words != lengths[-1][0]
                )
                for words, mm in lengths
            ),
        ]

    def source_pieces(self, width: float) -> list[Piece]:
        style = self.style
        return [
            heading("Where the sizes come from", style.sub_head, width),
            *(paragraph(words, style.note, width) for words in self._sources()),
        ]

    def _sources(self) -> Iterator[str]:
        foot, gauge = self.foot, self.gauge
        if self.outline.traced:
            yield (
                "The outline is the one that was traced; a pencil makes it some millimetres larger "
                "than the foot."
            )
        elif foot is not None:
            ball, heel = ball_width(foot), foot.heel_width
            if foot.length.origin is not Origin.MEASURED:
                yield f"Foot length {_told(foot.length)}."
            yield (
                f"Ball width {self.both(ball.mm)}: {ball.basis}, US Army, 2012; the circumference, "
                f"{self.both(foot.ball.mm)}, {_told(foot.ball)}."
            )
            yield f"Heel width {self.both(heel.mm)}, {_told(heel)}."
            yield (
                f"Inner ball at {BALL_ALONG:g} of the length, ANSUR II; outer ball at "
                f"{OUTER_BALL_ALONG:g} and the widest of the heel at {HEEL_ALONG:g} from memory. "
                "The curve through them is ours: trace your own foot for a better one."
            )
        guess = "a guess, " if gauge.source.is_estimate else ""
        rows, span = counted_over(gauge.rows.per_10cm, self.units)
        yield (
            f"{rows:.4g} rows in {span.replace(' ', NO_BREAK_SPACE)}, {guess}{gauge.basis}; "
            f"±{NO_BREAK_SPACE}{self.ruling.end_error_mm:.0f}{NO_BREAK_SPACE}mm at the tip of the "
            "sock."
        )


def _told(measure: Measure) -> str:
    """Where a measure comes from, and how far off it may be."""
    if measure.origin is Origin.MEASURED:
        return "as measured"
    off = f"±{NO_BREAK_SPACE}{measure.error_mm:.0f}{NO_BREAK_SPACE}mm"
    return f"estimated: {measure.basis}; {off}"


# --- Pages -----------------------------------------------------------------------------------

MARGIN_MM: Final = 8.0
"""Clear of the edges, a little inside what printers can reach."""
_GAP_MM: Final = 6.0
_SECTION_MM: Final = 2.5
"""Above a heading in a column, beside what the piece before it leaves."""
_BAR_ROOM_MM: Final = BAR_HIGH_MM + 3.5
_LEAST_COLUMN_MM: Final = 56.0
_MOST_COLUMN_MM: Final = 92.0
_TWO_COLUMNS_MM: Final = 110.0
_NAMED_FROM_MM: Final = 60.0
"""Room beside the bar from which on the words stand there too."""


@dataclass(frozen=True)
class _Layout:
    """One way to use the paper."""

    sheets: tuple[Sheet, ...]
    beside: Block | None = None
    """Text at the right of the foot, on the first sheet."""
    head: Block | None = None
    """Text above the foot on the first sheet."""
    tail: Block | None = None
    """Text below the foot on the last sheet."""
    apart: Block | None = None
    """Text on a page of its own."""
    bar_upright: bool = False
    """The bar stands at the right edge: the foot takes the whole height."""

    @property
    def cost(self) -> tuple[int, int]:
        """Sheets to be joined, then pages."""
        return len(self.sheets), len(self.sheets) + (self.apart is not None)


@dataclass(frozen=True)
class _Template:
    words: _Words
    style: PageStyle

    @property
    def foot(self) -> RuledFoot:
        words = self.words
        which = f"{words.side.value} foot, {words.both(words.outline.length_mm)}"
        return RuledFoot(words.outline, words.ruling, words.title, which, self.style)

    def pages(self, paper: Paper) -> tuple[Page, ...]:
        """The finished pages.  Raises DoesNotFitError."""
        layouts = list(
            self._layouts(paper.width_mm - 2 * MARGIN_MM, paper.height_mm - 2 * MARGIN_MM)
        )
        if not layouts:
            least_mm = self.words.outline.width_mm + 2 * (WING_MM + MARGIN_MM)
            raise DoesNotFitError(
                f"this foot at true size needs paper from {max(least_mm, _LEAST_PAPER_MM):.0f} mm "
                "wide, such as a5, half-letter, a4 or letter"
            )
        best = min(layouts, key=lambda layout: layout.cost)
        pages = [self._page(paper, best, index) for index in range(len(best.sheets))]
        if best.apart is not None:
            pages.append(_page(paper, [best.apart.placed(MARGIN_MM, MARGIN_MM)]))
        return tuple(pages)

    def _layouts(self, width: float, height: float) -> Iterator[_Layout]:
        """Every way that fits; of those that cost the same the best first."""
        for count in range(1, MOST_SHEETS + 1):
            wings = 2 * WING_MM if count > 1 else 0.0
            if self.words.outline.width_mm + wings > width or width < _LEAST_TEXT_MM:
                continue
            for body in (self.style.step, self.style.body, self.style.note):
                words = replace(self.words, body=body)
                yield from self._beside(words, width, height, count, wings)
                yield from self._below(words, width, height, count)

    def _beside(
        self, words: _Words, width: float, height: float, count: int, wings: float
    ) -> Iterator[_Layout]:
        """The text, or as much of it as has room, in a column at the right of the foot."""
        column = min(width - words.outline.width_mm - wings - _GAP_MM, _MOST_COLUMN_MM)
        for upright in (False, True):
            room = height if upright else height - _BAR_ROOM_MM
            text = column - (BAR_HIGH_MM + _GAP_MM if upright else 0.0)
            sheets = self._shared([room] * count)
            if text < _LEAST_COLUMN_MM or not sheets:
                continue
            groups = [
                words.title_pieces(text),
                words.print_pieces(text),
                words.use_pieces(text, count),
                words.length_pieces(text),
                words.source_pieces(text),
            ]
            whole = squeezed(_sections(groups), room)
            if pieces_height_mm(whole) <= room:
                yield _Layout(sheets, beside=stacked(whole), bar_upright=upright)
            some = squeezed(_sections(groups[:-1]), room)
            if pieces_height_mm(some) <= room:
                apart = self._columns([words.source_pieces], width)
                yield _Layout(sheets, beside=stacked(some), apart=apart, bar_upright=upright)

    def _below(self, words: _Words, width: float, height: float, count: int) -> Iterator[_Layout]:
        """The text above and below the foot, or on a page of its own."""
        head = self._columns([words.title_pieces, words.print_pieces], width)
        tail = self._columns(
            [
                words.length_pieces,
                lambda column: words.use_pieces(column, count),
                words.source_pieces,
            ],
            width,
        )
        rooms = [height - _BAR_ROOM_MM] * count
        rooms[0] -= head.height_mm + _GAP_MM
        sheets = self._shared(rooms)
        if sheets and tail.height_mm <= height:
            yield _Layout(sheets, head=head, apart=tail)
        rooms[-1] -= tail.height_mm + _GAP_MM
        sheets = self._shared(rooms)
        if sheets:
            yield _Layout(sheets, head=head, tail=tail)

    def _shared(self, rooms_mm: Sequence[float]) -> tuple[Sheet, ...]:
        return share_among_sheets(self.words.outline.length_mm, rooms_mm, self.foot.lines_mm)

    def _columns(self, sections: Sequence[_Section], width: float) -> Block:
        """Sections in one column or, where there is room, in two as level as can be."""
        if width < _TWO_COLUMNS_MM:
            return stacked(_sections([section(width) for section in sections]))
        column = (width - _GAP_MM) / 2
        pieces = _sections([section(column) for section in sections])
        cuts = [index for index in range(1, len(pieces) + 1) if not pieces[index - 1].with_next]
        ways = [
            side_by_side([stacked(pieces[:cut]), stacked(pieces[cut:])], _GAP_MM) for cut in cuts
        ]
        return min(ways, key=lambda way: way.height_mm)

    # One page

    def _page(self, paper: Paper, layout: _Layout, index: int) -> Page:
        sheet, count = layout.sheets[index], len(layout.sheets)
        whole_mm = self.words.outline.width_mm
        wing_mm = WING_MM if count > 1 else 0.0
        x_mm, y_mm = MARGIN_MM + wing_mm, MARGIN_MM
        items: list[Item] = []
        if layout.beside is None:
            x_mm = (paper.width_mm - whole_mm) / 2
        elif index == 0:
            items.append(layout.beside.placed(x_mm + whole_mm + wing_mm + _GAP_MM, y_mm))
        if layout.head is not None and index == 0:
            items.append(layout.head.placed(MARGIN_MM, y_mm))
            y_mm += layout.head.height_mm + _GAP_MM
        part = f", part {index + 1} of {count}" if count > 1 else ""
        items.append(
            Group(
                tuple(self.foot.drawing(layout.sheets, index)),
                x_mm,
                y_mm - sheet.drawn_top_mm,
                role=Role.FIGURE,
                alt=f"Outline of the {self.words.side.value} foot at true size, toes up{part}. "
                "Lines across it show where the heel turn ends, every tenth foot row, where the "
                "toe starts and where the sock ends.",
            )
        )
        if layout.tail is not None and index == count - 1:
            items.append(layout.tail.placed(MARGIN_MM, y_mm + sheet.drawn_mm + _GAP_MM))
        return _page(paper, [*items, *self._foot_of_page(paper, layout, index)])

    def _foot_of_page(self, paper: Paper, layout: _Layout, index: int) -> Iterator[Item]:
        """The bar, and which sheet this is."""
        bar, count = scale_bar(self.style), len(layout.sheets)
        bottom_mm, right_mm = paper.height_mm - MARGIN_MM, paper.width_mm - MARGIN_MM
        words = [f"Sheet {index + 1} of {count}"] if count > 1 else []
        if layout.bar_upright:
            yield Group(bar.items, right_mm - BAR_HIGH_MM, bottom_mm, quarter_turns=3)
            right_mm -= BAR_HIGH_MM + 3.0
        else:
            yield bar.placed(MARGIN_MM, bottom_mm - BAR_HIGH_MM)
            if right_mm - MARGIN_MM - bar.width_mm > _NAMED_FROM_MM:
                words.insert(0, f"Print at 100{NO_BREAK_SPACE}%")
            else:
                # A half-letter page is short of room beside the bar.
                right_mm += 1.5
        if words:
            y_mm = bottom_mm - 1.2
            text = (bold(" · ".join(words)),)
            yield Group(
                set_line(text, right_mm, y_mm, self.style.note, align=Align.RIGHT), role=Role.P
            )


_LEAST_TEXT_MM: Final = 90.0
_LEAST_PAPER_MM: Final = _LEAST_TEXT_MM + 2 * MARGIN_MM
"""Narrower columns of text would be longer than the page; the bar needs more yet."""

_Section = Callable[[float], list[Piece]]
"""Makes the pieces of one section for a column of that width in mm."""


def _sections(groups: Sequence[Sequence[Piece]]) -> list[Piece]:
    """The sections one below the other, with more room above each heading."""
    pieces: list[Piece] = []
    for group in groups:
        if pieces:
            last = pieces[-1]
            pieces[-1] = replace(last, after_mm=last.after_mm + _SECTION_MM)
        pieces += group
    return pieces


def _page(paper: Paper, items: Sequence[Item]) -> Page:
    return Page(paper.width_mm, paper.height_mm, tuple(items), safe=PRINTER_SAFE)
