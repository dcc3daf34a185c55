"""The foot template: a foot to cut out of card, at true size, ruled with the rows of the sock.

What is too long for the paper goes on several sheets, which are joined where their crosses meet.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from charts.feet import Foot
from charts.finished import counts_of, finished_measures
from charts.fitting import FittedSpec
from charts.foot_measures import Measure, Origin
from charts.gauge import GaugeReading
from charts.problems import PatternError, Problem
from charts.spec import Units
from charts.verify import Knit
from layouts.block import Block, DoesNotFitError
from layouts.blocks import Piece, heading, paragraph, side_by_side, stacked
from layouts.foot_shape import (
    BALL_ALONG,
    HEEL_ALONG,
    OUTER_BALL_ALONG,
    FootOutline,
    FootSide,
    ball_width,
    built_outline,
    check_trace,
    traced_outline,
)
from layouts.measured_outline import cm_words, inch_words
from layouts.paper import MM_PER_INCH, PRINTER_SAFE, Paper
from layouts.scene import (
    Align,
    Document,
    Group,
    Item,
    Join,
    Page,
    Path,
    Role,
    line,
    lines,
)
from layouts.style import BOOKLET, PageStyle
from layouts.tables import Column, gap_columns, table_row
from layouts.text import (
    NO_BREAK_SPACE,
    Run,
    Style,
    bold,
    break_lines,
    set_line,
    set_lines,
    width_mm,
)

MARGIN_MM: Final = 8.0
"""Clear of the edges, a little inside what printers can reach."""
OVERLAP_MM: Final = 10.0
"""Drawn on both of two sheets that are joined."""


# --- Rows on the foot ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Ruling:
    """Where the rows of the sock lie along a foot, in mm from its heel end, the sock at rest."""

    row_mm: float
    turn_rows: int
    foot_rows: int
    toe_rows: int
    """Of the toe's short rows: half of them lead to the tip."""
    turn_mm: float
    """Where the heel turn ends and foot row 1 begins."""
    toe_mm: float
    """Where the toe starts."""
    end_mm: float
    """The sock's tip."""
    end_error_mm: float
    """By the spread of the gauge."""
    strip_pegs: int
    strip_mm: float
    """Width of the strip under the heel."""

    def foot_row_mm(self, row: int) -> float:
        """The end of that foot row."""
        return self.turn_mm + row * self.row_mm

    @property
    def tens(self) -> range:
        """The foot rows with a line and a number."""
        return range(10, self.foot_rows, 10)


def ruling_of(knit: Knit, gauge: GaugeReading) -> Ruling:
    """The rows counted in the proved sock, as lengths at that gauge."""
    counts, measures = counts_of(knit), finished_measures(knit, gauge)
    return Ruling(
        row_mm=gauge.rows.mm(1)[0],
        turn_rows=counts.turn,
        foot_rows=counts.foot,
        toe_rows=4 * knit.plan.toe_side,
        turn_mm=measures.turn.mm,
        toe_mm=measures.turn.mm + measures.foot.mm,
        end_mm=measures.length.mm,
        end_error_mm=measures.length.error_mm,
        strip_pegs=counts.centre_stitches,
        strip_mm=measures.heel_width.mm,
    )


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
    DoesNotFitError, saying what would fit, for paper narrower than the foot.
    """
    problems = []
    if fitted.gauge is None:
        what = "the rows of a template need a gauge"
        problems.append(Problem(what, "gauge", suggestion="stitches and rows under [gauge]"))
    if fitted.foot is None and outline_path is None:
        what = "a template needs a foot"
        hint = 'length = "23.5 cm" under [wearer], or a traced outline'
        problems.append(Problem(what, "wearer", suggestion=hint))
    if problems or fitted.gauge is None:
        raise PatternError(tuple(problems))
    outline = _outline(fitted.foot, outline_path, side, traced_side)
    ruling = ruling_of(knit, fitted.gauge)
    template = _Template(knit, fitted.foot, fitted.gauge, outline, ruling, side, style)
    pages = template.pages(paper.upright)
    spec = knit.plan.spec
    return Document(
        pages,
        f"{spec.title}: foot template",
        spec.designer,
        "A foot at true size with the rows of the sock; print at 100 %",
        ("sock", "foot", "template", "true size"),
    )


def _outline(
    foot: Foot | None, path: str | None, side: FootSide, traced_side: FootSide | None
) -> FootOutline:
    if path is not None:
        traced = traced_outline(path, mirrored=traced_side not in (None, side))
        if foot is not None:
            check_trace(traced, foot.length.mm)
        return traced
    assert foot is not None
    return built_outline(
        foot.length.mm,
        ball_width_mm=ball_width(foot).mm,
        heel_width_mm=foot.heel_width.mm,
        side=side,
    )


# --- The bar ---------------------------------------------------------------------------------

BAR_CM: Final = 10
BAR_IN: Final = 4


def scale_bar(style: PageStyle) -> Block:
    """Two rulers back to back, 10 cm and 4 in long, from the block's left edge.

    They show whether the printer kept to the size.
    """
    note = style.note
    first_mm, second_mm = 3.2, 4.6
    strokes: list[tuple[float, float, float, float]] = [
        (0.0, first_mm, 10.0 * BAR_CM, first_mm),
        (0.0, second_mm, MM_PER_INCH * BAR_IN, second_mm),
    ]
    for tick in range(2 * BAR_CM + 1):
        high_mm = 1.6 if tick % 2 else 2.8
        strokes.append((5.0 * tick, first_mm, 5.0 * tick, first_mm - high_mm))
    for tick in range(4 * BAR_IN + 1):
        x_mm = MM_PER_INCH * tick / 4
        high_mm = 1.6 if tick % 4 else 2.8
        strokes.append((x_mm, second_mm, x_mm, second_mm + high_mm))
    rulers = [line(*ends, stroke_pt=0.6) for ends in strokes[:2]]
    ticks = lines(strokes[2:], stroke_pt=0.6)
    x_mm = MM_PER_INCH * BAR_IN + 2.4
    centimetres, inches = f"{BAR_CM}{NO_BREAK_SPACE}cm", f"{BAR_IN}{NO_BREAK_SPACE}in"
    words = (
        *set_line((bold(centimetres),), x_mm, 3.2, note),
        *set_line((bold(inches),), x_mm, 4.6 + note.cap_height_mm, note),
    )
    items = (Group((*rulers, ticks), role=Role.ARTIFACT), Group(words, role=Role.P))
    width = x_mm + max(width_mm((bold(text),), note) for text in (centimetres, inches))
    return Block(items, width, BAR_HIGH_MM)


BAR_HIGH_MM: Final = 8.0
"""Height of the bar's block."""


# --- Sheets ----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Sheet:
    """The part of the foot on one page, by y in the outline's own mm."""

    top_mm: float
    bottom_mm: float
    above: str = ""
    """The letter of the joint at its top; "" for none."""
    below: str = ""

    @property
    def drawn_top_mm(self) -> float:
        """With the strip that goes under the sheet above."""
        return self.top_mm - OVERLAP_MM if self.above else self.top_mm

    @property
    def drawn_mm(self) -> float:
        return self.bottom_mm - self.drawn_top_mm + (_CROSS_MM if self.below else 0.0)


_CROSS_MM: Final = 3.5
"""Length of an arm of an alignment cross."""
_WING_MM: Final = 9.0
"""Room beside the outline for the crosses and their letters."""
_GAP_MM: Final = 6.0
_BAR_ROOM_MM: Final = BAR_HIGH_MM + 5.0
_LEAST_COLUMN_MM: Final = 56.0
_MOST_COLUMN_MM: Final = 95.0
_TWO_COLUMNS_MM: Final = 110.0
_LEAST_PART_MM: Final = 30.0
"""Of a foot on one sheet."""
_CLEAR_MM: Final = 4.8
"""Between a joint and a line with a number, on its upper side; half of it below."""


@dataclass(frozen=True)
class _Layout:
    """One way to use the paper."""

    sheets: tuple[_Sheet, ...]
    beside: Block | None = None
    """Text at the right of the foot, on the first sheet."""
    head: Block | None = None
    """Text above the foot on the first sheet."""
    tail: Block | None = None
    """Text below the foot on the last sheet."""
    tail_apart: bool = False
    """The tail has a page of its own."""
    bar_upright: bool = False
    """The bar stands at the right edge: the foot takes the whole height."""

    @property
    def pages(self) -> int:
        return len(self.sheets) + self.tail_apart


@dataclass(frozen=True)
class _Template:
    knit: Knit
    foot: Foot | None
    gauge: GaugeReading
    outline: FootOutline
    ruling: Ruling
    side: FootSide
    style: PageStyle

    # Choosing a layout

    def pages(self, paper: Paper) -> tuple[Page, ...]:
        """The finished pages."""
        width = paper.width_mm - 2 * MARGIN_MM
        height = paper.height_mm - 2 * MARGIN_MM
        layouts = list(self._layouts(width, height))
        if not layouts:
            needed = self.outline.width_mm + 2 * (_WING_MM + MARGIN_MM)
            raise DoesNotFitError(
                f"a template of this foot needs paper {needed:.0f} mm wide or more and 180 mm "
                "high, such as a5 or half-letter"
            )
        best = min(layouts, key=lambda layout: layout.pages)
        drawn = [
            self._page(paper, best, index, width) for index in range(len(best.sheets))
        ]
        if best.tail_apart and best.tail is not None:
            drawn.append(_page_of(paper, [best.tail.placed(MARGIN_MM, MARGIN_MM)]))
        return tuple(drawn)

    def _layouts(self, width: float, height: float) -> Iterator[_Layout]:
        """Every way that fits, the best first among those of as many pages."""
        foot_mm = self.outline.width_mm
        for count in range(1, _MOST_SHEETS + 1):
            wings = 2 * _WING_MM if count > 1 else 0.0
            if foot_mm + wings > width:
                continue
            column_mm = min(width - foot_mm - wings - _GAP_MM, _MOST_COLUMN_MM)
            for upright in (False, True):
                room = height if upright else height - _BAR_ROOM_MM
                bar_mm = BAR_HIGH_MM + _GAP_MM if upright else 0.0
                if column_mm - bar_mm < _LEAST_COLUMN_MM:
                    continue
                beside = stacked(self._all_text(column_mm - bar_mm, count))
                sheets = self._split([room] * count)
                if beside.height_mm <= room and sheets:
                    yield _Layout(sheets, beside=beside, bar_upright=upright)
            room = height - _BAR_ROOM_MM
            head, tail = self._head(width), self._tail(width, count)
            rooms = [room] * count
            rooms[0] -= head.height_mm + _GAP_MM
            sheets = self._split(rooms)
            if sheets and tail.height_mm <= height:
                yield _Layout(sheets, head=head, tail=tail, tail_apart=True)
            rooms[-1] -= tail.height_mm + _GAP_MM
            sheets = self._split(rooms)
            if sheets:
                yield _Layout(sheets, head=head, tail=tail)

    def _split(self, rooms_mm: Sequence[float]) -> tuple[_Sheet, ...]:
        """The foot shared among sheets in proportion to their rooms; () if it does not fit."""
        whole_mm, count = self.outline.length_mm, len(rooms_mm)
        rooms = [
            room - (OVERLAP_MM if index else 0.0) - (_CROSS_MM if index < count - 1 else 0.0)
            for index, room in enumerate(rooms_mm)
        ]
        if sum(rooms) < whole_mm or (count > 1 and min(rooms) < _LEAST_PART_MM):
            return ()
        share = whole_mm / sum(rooms)
        cuts, slack = [0.0], 1.0 - share
        for index, room in enumerate(rooms[:-1]):
            cut = cuts[-1] + room * share
            # What the sheets on both sides have to spare, the joint may move.
            most = min(slack * room, slack * rooms[index + 1]) / 2
            cuts.append(self._clear_of_lines(cut, most))
        cuts.append(whole_mm)
        letters = ["", *_JOINTS[: count - 1], ""]
        return tuple(
            _Sheet(top, bottom, letters[index], letters[index + 1])
            for index, (top, bottom) in enumerate(pairwise(cuts))
        )

    def _clear_of_lines(self, cut_mm: float, most_mm: float) -> float:
        """The nearest level where no ruled line runs through the words along the joint."""
        levels = [self._y(mm) for mm in self._ruled_mm()]
        steps = [0.0]
        while steps[-1] + 0.5 <= most_mm:
            steps.append(steps[-1] + 0.5)
        for step in steps:
            for moved in (cut_mm - step, cut_mm + step):
                if not any(-_CLEAR_MM < level - moved < _CLEAR_MM / 2 for level in levels):
                    return moved
        return cut_mm

    def _ruled_mm(self) -> list[float]:
        ruling = self.ruling
        tens = [ruling.foot_row_mm(row) for row in ruling.tens]
        return [ruling.turn_mm, *tens, ruling.toe_mm, ruling.end_mm]

    def _y(self, from_heel_mm: float) -> float:
        return self.outline.length_mm - from_heel_mm

    # Pages

    def _page(
        self, paper: Paper, layout: _Layout, index: int, width: float
    ) -> Page:
        sheet, count = layout.sheets[index], len(layout.sheets)
        first, last = index == 0, index == count - 1
        wing = _WING_MM if count > 1 else 0.0
        items: list[Item] = []
        x_mm, y_mm = MARGIN_MM + wing, MARGIN_MM
        if layout.beside is None:
            x_mm = MARGIN_MM + (width - self.outline.width_mm) / 2
        if layout.head is not None and first:
            items.append(layout.head.placed(MARGIN_MM, y_mm))
            y_mm += layout.head.height_mm + _GAP_MM
        drawing = Group(
            tuple(self._drawing(layout.sheets, index)),
            x_mm,
            y_mm - sheet.drawn_top_mm,
            role=Role.FIGURE,
            alt=self._alt(index, count),
        )
        column_mm = MARGIN_MM + self.outline.width_mm + 2 * wing + _GAP_MM
        if layout.beside is not None and first:
            items.append(layout.beside.placed(column_mm, MARGIN_MM))
        items.append(drawing)
        if layout.tail is not None and last and not layout.tail_apart:
            y_mm += sheet.drawn_mm + _GAP_MM
            items.append(layout.tail.placed(MARGIN_MM, y_mm))
        items += self._foot_of_page(paper, layout, index)
        return _page_of(paper, items)

    def _foot_of_page(self, paper: Paper, layout: _Layout, index: int) -> Iterator[Item]:
        """The bar, and which sheet this is."""
        bar, note = scale_bar(self.style), self.style.note
        count = len(layout.sheets)
        bottom_mm = paper.height_mm - MARGIN_MM
        right_mm = paper.width_mm - MARGIN_MM
        said = [f"Sheet {index + 1} of {count}"] if count > 1 else []
        if layout.bar_upright:
            yield Group(bar.items, right_mm - BAR_HIGH_MM, bottom_mm, quarter_turns=3)
        else:
            yield bar.placed(MARGIN_MM, bottom_mm - BAR_HIGH_MM)
            if right_mm - MARGIN_MM - bar.width_mm > 55:
                said.insert(0, f"Print at 100{NO_BREAK_SPACE}%")
        if said:
            words = " · ".join(said)
            x_mm = right_mm - (BAR_HIGH_MM + 2.0 if layout.bar_upright else 0.0)
            yield Group(
                set_line((bold(words),), x_mm, bottom_mm - 1.2, note, align=Align.RIGHT),
                role=Role.P,
            )

    def _alt(self, index: int, count: int) -> str:
        part = f", part {index + 1} of {count}" if count > 1 else ""
        return (
            f"Outline of the {self.side.value} foot at true size, toes up{part}; lines across it "
            "show where the heel turn ends, every tenth foot row, where the toe starts and where "
            "the sock ends."
        )

    # The foot

    def _drawing(self, sheets: Sequence[_Sheet], index: int) -> Iterator[Item]:
        """The items of one sheet, in the outline's own mm."""
        sheet = sheets[index]
        yield from self._ticks(sheet)
        yield from self._strip(sheet)
        yield from self._rules(sheet)
        yield Path(
            self.outline.between(sheet.drawn_top_mm, sheet.bottom_mm),
            _OUTLINE_PT,
            join=Join.ROUND,
        )
        yield from self._captions(sheets, sheet)
        for letter, level, is_above in (
            (sheet.above, sheet.top_mm, True),
            (sheet.below, sheet.bottom_mm, False),
        ):
            if letter:
                yield from self._joint(letter, level, index, is_above=is_above)

    def _ticks(self, sheet: _Sheet) -> Iterator[Item]:
        """A short stroke at both edges for every row, a longer one for every fifth."""
        ruling = self.ruling
        found = []
        for start_mm, rows in (
            (0.0, ruling.turn_rows),
            (ruling.turn_mm, ruling.foot_rows),
            (ruling.toe_mm, ruling.toe_rows // 2),
        ):
            for row in range(1, rows + 1):
                y_mm = self._y(start_mm + row * ruling.row_mm)
                if not sheet.drawn_top_mm <= y_mm <= sheet.bottom_mm:
                    continue
                long_mm = _FIFTH_TICK_MM if row % 5 == 0 else _TICK_MM
                for left, right in self.outline.spans_at(y_mm):
                    if right - left > 4 * long_mm:
                        found.append((left, y_mm, left + long_mm, y_mm))
                        found.append((right - long_mm, y_mm, right, y_mm))
        if found:
            yield lines(found, stroke_pt=self.style.grid_pt)

    def _strip(self, sheet: _Sheet) -> Iterator[Item]:
        """Both edges of the strip that turns under the heel."""
        length = self.outline.length_mm
        spans = self.outline.spans_at(length * (1 - HEEL_ALONG))
        if not spans:
            return
        middle = (spans[0][0] + spans[-1][1]) / 2
        found = []
        for x_mm in (middle - self.ruling.strip_mm / 2, middle + self.ruling.strip_mm / 2):
            for top, bottom in self.outline.depths_at(x_mm):
                top = max(top, self._y(self.ruling.turn_mm), sheet.drawn_top_mm)
                bottom = min(bottom, sheet.bottom_mm)
                if top < bottom:
                    found.append((x_mm, top, x_mm, bottom))
        if found:
            yield lines(found, stroke_pt=0.6, dash_mm=(2.0, 1.2))

    def _rules(self, sheet: _Sheet) -> Iterator[Item]:
        """The lines across the foot, with their numbers."""
        ruling, style = self.ruling, self.style
        note = style.note
        for row in ruling.tens:
            mm = ruling.foot_row_mm(row)
            room = min(ruling.toe_mm - mm, mm - ruling.turn_mm)
            words = f"row {row}" if room > note.leading_mm * 0.6 else ""
            yield from self._rule(mm, sheet, 0.6, words)
        for mm in (ruling.turn_mm, ruling.toe_mm):
            yield from self._rule(mm, sheet, 1.2, "")
        if ruling.end_mm < self.outline.length_mm - 1.0:
            yield from self._rule(ruling.end_mm, sheet, 0.9, "", dash_mm=(3.0, 1.2))

    def _rule(
        self,
        from_heel_mm: float,
        sheet: _Sheet,
        stroke_pt: float,
        words: str,
        dash_mm: tuple[float, ...] = (),
    ) -> Iterator[Item]:
        """A line across the foot that leaves room for its words in the middle."""
        y_mm = self._y(from_heel_mm)
        if not sheet.drawn_top_mm <= y_mm <= sheet.bottom_mm:
            return
        note = self.style.note
        spans = self.outline.spans_at(y_mm)
        ends = [(left, y_mm, right, y_mm) for left, right in spans]
        if words and spans:
            middle = (spans[0][0] + spans[-1][1]) / 2
            half_mm = width_mm((bold(words),), note) / 2
            gap = half_mm + 1.6
            ends = [
                one
                for left, right in spans
                for one in (
                    (left, y_mm, min(right, middle - gap), y_mm),
                    (max(left, middle + gap), y_mm, right, y_mm),
                )
                if one[0] < one[2]
            ]
            yield Group(
                set_line(
                    (bold(words),), middle, y_mm + note.cap_height_mm / 2, note, align=Align.CENTRE
                ),
                role=Role.P,
            )
        for one in ends:
            yield line(*one, stroke_pt=stroke_pt, dash_mm=dash_mm)

    # Words inside the foot

    def _captions(self, sheets: Sequence[_Sheet], sheet: _Sheet) -> Iterator[Item]:
        """The names of the parts between the lines, each on the sheet where it has room."""
        for low_mm, high_mm, caption in self._named_parts():
            found = self._placed_caption(low_mm, high_mm, caption, sheets)
            if found is not None and found[0] is sheet:
                yield found[1]

    def _named_parts(self) -> Iterator[tuple[float, float, tuple[tuple[str, Style], ...]]]:
        """From where to where from the heel end, and what stands there."""
        ruling, style = self.ruling, self.style
        name, small = style.sub_head, style.note
        yield (
            0.12 * ruling.turn_mm,
            ruling.turn_mm,
            (
                ("Heel turn", name),
                (f"{ruling.turn_rows} rows on {ruling.strip_pegs} pegs", small),
            ),
        )
        foot = [ruling.turn_mm, *map(ruling.foot_row_mm, ruling.tens), ruling.toe_mm]
        gaps = list(pairwise(foot))
        yield (*gaps[0], (("Foot", name), (f"{ruling.foot_rows} rows", small)))
        if len(gaps) > 2:
            which = f"{self.side.value} foot, {self._both(self.outline.length_mm)}"
            gap = gaps[len(gaps) // 2]
            yield (*gap, ((self.knit.plan.spec.title, name), (which, small)))
        end_mm = min(ruling.end_mm, self.outline.length_mm)
        yield (
            ruling.toe_mm,
            end_mm,
            (
                ("Toe", name),
                (f"{ruling.toe_rows} rows: {ruling.toe_rows // 2} to the tip,", small),
                (f"{ruling.toe_rows // 2} back on top", small),
            ),
        )

    def _placed_caption(
        self,
        low_mm: float,
        high_mm: float,
        caption: Sequence[tuple[str, Style]],
        sheets: Sequence[_Sheet],
    ) -> tuple[_Sheet, Item] | None:
        """The caption in the roomiest part of its gap, centred; None where it has no room."""
        height = sum(style.leading_mm for _, style in caption)
        parts = [
            (max(self._y(high_mm), one.top_mm + 1), min(self._y(low_mm), one.bottom_mm - 5), one)
            for one in sheets
        ]
        top, bottom, sheet = max(parts, key=lambda part: part[1] - part[0])
        if bottom - top < height + 2.0:
            return None
        y_mm = (top + bottom - height) / 2
        left, right = self._inside(y_mm, y_mm + height)
        room = right - left - 2 * _FIFTH_TICK_MM - 2.0
        items: list[Item] = []
        for words, style in caption:
            if width_mm(words, style) > room:
                return None
            set_words = set_lines(
                break_lines(words, style, room),
                left + (right - left - room) / 2,
                y_mm,
                room,
                style,
                align=Align.CENTRE,
            )
            items.append(set_words.group)
            y_mm += style.leading_mm
        return sheet, Group(tuple(items))

    def _inside(self, top_mm: float, bottom_mm: float) -> tuple[float, float]:
        """The widest upright strip inside the outline between two levels."""
        spans = [
            (one[0][0], one[-1][1])
            for share in (0.0, 0.25, 0.5, 0.75, 1.0)
            if (one := self.outline.spans_at(top_mm + share * (bottom_mm - top_mm)))
        ]
        if not spans:
            return 0.0, 0.0
        return max(left for left, _ in spans), min(right for _, right in spans)

    # Joints

    def _joint(self, letter: str, y_mm: float, index: int, *, is_above: bool) -> Iterator[Item]:
        """The line along which two sheets meet, a cross and a letter at each end.

        On the upper sheet the words and letters stand above the line, on the lower one below it.
        """
        note, name = self.style.note, self.style.sub_head
        whole_mm = self.outline.width_mm
        middle_mm = _WING_MM - _CROSS_MM
        ends = (-middle_mm, whole_mm + middle_mm)
        left, right = ends[0] - _CROSS_MM, ends[1] + _CROSS_MM
        yield line(left, y_mm, right, y_mm, stroke_pt=0.6, dash_mm=(4.0, 1.0, 1.0, 1.0))
        yield lines(
            [
                stroke
                for x_mm in ends
                for stroke in (
                    (x_mm, y_mm - _CROSS_MM, x_mm, y_mm + _CROSS_MM),
                    (x_mm - _CROSS_MM, y_mm, x_mm + _CROSS_MM, y_mm),
                )
            ],
            stroke_pt=0.9,
        )
        baseline_mm = y_mm - 1.2
        if is_above:
            baseline_mm = y_mm + 1.2 + name.cap_height_mm
            top_mm = y_mm - OVERLAP_MM
            yield line(left, top_mm, right, top_mm, stroke_pt=0.3)
        for x_mm, align in (
            (ends[0] + 1.2, Align.LEFT),
            (ends[1] - 1.2, Align.RIGHT),
        ):
            yield from set_line((bold(letter),), x_mm, baseline_mm, name, align=align)
        words = f"cut here, or fold back: {letter}–{letter}"
        if is_above:
            words = f"this strip goes under sheet {index}"
        spans = self.outline.spans_at(y_mm)
        x_mm = (spans[0][0] + spans[-1][1]) / 2 if spans else whole_mm / 2
        yield Group(set_line(words, x_mm, y_mm - 1.4, note, align=Align.CENTRE), role=Role.P)

    # Text

    @property
    def _units(self) -> Units:
        return self.knit.plan.spec.units

    def _both(self, length_mm: float) -> str:
        """A length in both units, the designer's first."""
        metric = f"{cm_words(length_mm)}{NO_BREAK_SPACE}cm"
        inches = f"{inch_words(length_mm)}{NO_BREAK_SPACE}in"
        first, second = (metric, inches) if self._units is Units.CM else (inches, metric)
        return f"{first} ({second})"

    def _all_text(self, width: float, sheets: int) -> list[Piece]:
        return [
            *self._title_text(width),
            *self._print_text(width),
            *self._use_text(width, sheets),
            *self._length_text(width),
            *self._source_text(width),
        ]

    def _head(self, width: float) -> Block:
        """Title and printing, side by side where there is room."""
        if width < _TWO_COLUMNS_MM:
            return stacked([*self._title_text(width), *self._print_text(width)])
        column_mm = (width - _GAP_MM) / 2
        columns = (self._title_text(column_mm), self._print_text(column_mm))
        return side_by_side([stacked(pieces) for pieces in columns], _GAP_MM)

    def _tail(self, width: float, sheets: int) -> Block:
        """The rest of the text, in two columns where there is room."""
        if width < _TWO_COLUMNS_MM:
            return stacked(
                [
                    *self._use_text(width, sheets),
                    *self._length_text(width),
                    *self._source_text(width),
                ]
            )
        column_mm = (width - _GAP_MM) / 2
        left = stacked([*self._use_text(column_mm, sheets), *self._length_text(column_mm)])
        return side_by_side([left, stacked(self._source_text(column_mm))], _GAP_MM)

    def _title_text(self, width: float) -> list[Piece]:
        style = self.style
        length = self._both(self.outline.length_mm)
        return [
            heading("Foot template", style.title, width, role=Role.H1),
            paragraph(self.knit.plan.spec.title, style.sub_head, width),
            paragraph(
                f"The {self.side.value} foot from above, {length} long, at true size. Turn the "
                "cut-out over for the other foot.",
                style.body,
                width,
            ),
        ]

    def _print_text(self, width: float) -> list[Piece]:
        style = self.style
        return [
            heading(f"Print at 100{NO_BREAK_SPACE}%", style.sub_head, width),
            paragraph(
                f"Choose 100{NO_BREAK_SPACE}% or “actual size”, never “fit to page”. Then lay a "
                f"ruler on the bar: it must measure 10{NO_BREAK_SPACE}cm, or "
                f"4{NO_BREAK_SPACE}in.",
                style.body,
                width,
            ),
        ]

    def _use_text(self, width: float, sheets: int) -> list[Piece]:
        style, ruling = self.style, self.ruling
        told = []
        if sheets > 1:
            told.append(
                "Cut the upper sheet along A–A, or fold it back there; lay it on the next sheet "
                "so that the crosses and the lines meet, and glue it down."
            )
        told += [
            "Stick the foot on card and cut along the heavy line.",
            f"Heel width: the dashed lines are the strip of {ruling.strip_pegs} pegs that runs "
            "under the heel. If the heel is much wider or narrower, take more or fewer pegs for "
            "the turn.",
            "Length: slip the cut-out into the knitting, its heel end in the heel, and smooth the "
            "sock without stretching it. Begin the toe when the last row reaches the line below "
            "“Toe”.",
        ]
        pieces = [heading("Make it and use it", style.sub_head, width)]
        for number, words in enumerate(told, start=1):
            numbered = (bold(f"{number}{NO_BREAK_SPACE}{NO_BREAK_SPACE}"), Run(words))
            pieces.append(paragraph(numbered, style.body, width, role=Role.LI))
        return pieces

    def _length_text(self, width: float) -> list[Piece]:
        style, ruling = self.style, self.ruling
        lengths = [
            (f"heel turn ends, {ruling.turn_rows} rows", ruling.turn_mm),
            (f"toe starts, {ruling.foot_rows} rows on", ruling.toe_mm),
            ("sock ends, at rest", ruling.end_mm),
            ("foot ends", self.outline.length_mm),
        ]
        words_mm = max(width_mm(self._both(mm), style.body) for _, mm in lengths) + 0.5
        rest, last = gap_columns((width - words_mm - 4.0,), width)
        columns = (rest, Column(last.width_mm, Align.RIGHT))
        rows = [
            table_row((words, self._both(mm)), columns, style.body) for words, mm in lengths
        ]
        return [heading("From the heel end", style.sub_head, width), *rows, _SPACE]

    def _source_text(self, width: float) -> list[Piece]:
        style = self.style
        head = heading("Where the sizes come from", style.sub_head, width)
        return [head, *(paragraph(words, style.note, width) for words in self._sources())]

    def _sources(self) -> Iterator[str]:
        foot, gauge, ruling = self.foot, self.gauge, self.ruling
        if self.outline.traced:
            yield (
                "The outline is the one that was traced. A pencil makes it some millimetres "
                "larger than the foot."
            )
        elif foot is not None:
            ball, heel = ball_width(foot), foot.heel_width
            yield f"Foot length {self._both(foot.length.mm)}, {_told(foot.length)}."
            yield (
                f"Ball width {self._both(ball.mm)}: {ball.basis}, a US Army survey of 2012; the "
                f"circumference, {self._both(foot.ball.mm)}, {_told(foot.ball)}."
            )
            yield f"Heel width {self._both(heel.mm)}, {_told(heel)}."
            yield (
                f"The inner ball lies at {BALL_ALONG:g} of the length by the same survey; the "
                f"outer ball at {OUTER_BALL_ALONG:g} and the widest place of the heel at "
                f"{HEEL_ALONG:g} are from memory, and the curve through them is ours. No foot is "
                "quite like it: trace your own if you can."
            )
        guess = "a guess, " if gauge.source.is_estimate else ""
        yield (
            f"Rows: {gauge.rows.per_10cm:.4g} in 10{NO_BREAK_SPACE}cm, {guess}{gauge.basis}; "
            f"±{NO_BREAK_SPACE}{ruling.end_error_mm:.0f}{NO_BREAK_SPACE}mm at the tip. The sock "
            "is drawn at rest; a shorter sock stretches to the foot."
        )


_MOST_SHEETS: Final = 6
_JOINTS: Final = "ABCDE"
_OUTLINE_PT: Final = 1.6
_TICK_MM: Final = 1.6
_FIFTH_TICK_MM: Final = 3.0
_SPACE: Final = Piece(Block((), 0.0, 0.0), 4.0)


def _told(measure: Measure) -> str:
    """Where a measure comes from, and how far off it may be."""
    if measure.origin is Origin.MEASURED:
        return "as measured"
    off = f"±{NO_BREAK_SPACE}{measure.error_mm:.0f}{NO_BREAK_SPACE}mm"
    return f"estimated: {measure.basis}; {off}"


def _page_of(paper: Paper, items: Sequence[Item]) -> Page:
    return Page(paper.width_mm, paper.height_mm, tuple(items), safe=PRINTER_SAFE)
