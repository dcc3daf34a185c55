"""A foot from above, ruled with the rows of a sock: where they lie, and their drawing.

Drawn in the outline's own mm: x from its left edge, y down from the tip.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from charts.finished import counts_of, finished_measures
from charts.gauge import GaugeReading
from charts.verify import Knit
from layouts.foot_shape import HEEL_ALONG, FootOutline
from layouts.foot_sheets import Sheet, joints_of
from layouts.scene import Align, Group, Item, Join, Path, Role, line, lines
from layouts.style import PageStyle
from layouts.text import Style, bold, set_line, width_mm


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

    @property
    def tens(self) -> range:
        """The foot rows that have a line with a number."""
        return range(10, self.foot_rows, 10)

    def foot_row_mm(self, row: int) -> float:
        """Where that foot row ends."""
        return self.turn_mm + row * self.row_mm

    @property
    def lines_mm(self) -> tuple[float, ...]:
        """Every line across the foot, from the heel on."""
        tens = (self.foot_row_mm(row) for row in self.tens)
        return (self.turn_mm, *tens, self.toe_mm, self.end_mm)


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


SEEN_MM: Final = 1.0
"""A sock whose tip is nearer to the foot's is as long as the foot."""
_OUTLINE_PT: Final = 1.6
_TICK_MM: Final = 1.6
_FIFTH_TICK_MM: Final = 3.0

_Caption = tuple[tuple[str, Style], ...]
"""Lines of text, one below the other."""


@dataclass(frozen=True)
class RuledFoot:
    """The drawing, whole or in part."""

    outline: FootOutline
    ruling: Ruling
    title: str
    """Of the sock."""
    which: str
    """The foot in words."""
    style: PageStyle

    @property
    def lines_mm(self) -> tuple[float, ...]:
        """The y of each line across the foot."""
        return tuple(map(self._y, self.ruling.lines_mm))

    def drawing(self, sheets: Sequence[Sheet], index: int) -> Iterator[Item]:
        """The items of one sheet."""
        sheet = sheets[index]
        yield from self._ticks(sheet)
        yield from self._strip(sheet)
        yield from self._rules(sheet)
        edge = self.outline.between(sheet.drawn_top_mm, sheet.bottom_mm)
        yield Path(edge, _OUTLINE_PT, join=Join.ROUND)
        for low_mm, high_mm, caption in self._named_parts():
            found = self._settled(low_mm, high_mm, caption, sheets)
            if found is not None and found[0] is sheet:
                yield found[1]
        at_mm = sheet.top_mm if sheet.above else sheet.bottom_mm
        left, right = self._inside(at_mm, at_mm)
        yield from joints_of(
            sheets,
            index,
            whole_mm=self.outline.width_mm,
            middle_mm=(left + right) / 2,
            style=self.style,
        )

    def _y(self, from_heel_mm: float) -> float:
        return self.outline.length_mm - from_heel_mm

    # Lines

    def _ticks(self, sheet: Sheet) -> Iterator[Item]:
        """A short stroke at both edges for every row, a longer one for every fifth of its part."""
        ruling = self.ruling
        found = []
        for start_mm, rows in (
            (0.0, ruling.turn_rows),
            (ruling.turn_mm, ruling.foot_rows),
            (ruling.toe_mm, ruling.toe_rows // 2),
        ):
            for row in range(1, rows + 1):
                y_mm = self._y(start_mm + row * ruling.row_mm)
                if not sheet.shows(y_mm):
                    continue
                long_mm = _TICK_MM if row % 5 else _FIFTH_TICK_MM
                for left, right in self.outline.spans_at(y_mm):
                    if right - left > 4 * long_mm:
                        found.append((left, y_mm, left + long_mm, y_mm))
                        found.append((right - long_mm, y_mm, right, y_mm))
        if found:
            yield lines(found, stroke_pt=self.style.grid_pt)

    def _strip(self, sheet: Sheet) -> Iterator[Item]:
        """Both edges of the strip that turns under the heel."""
        left, right = self._inside(*[self.outline.length_mm * (1 - HEEL_ALONG)] * 2)
        middle, half = (left + right) / 2, self.ruling.strip_mm / 2
        found = []
        for x_mm in (middle - half, middle + half):
            for top, bottom in self.outline.depths_at(x_mm):
                top = max(top, self._y(self.ruling.turn_mm), sheet.drawn_top_mm)
                bottom = min(bottom, sheet.bottom_mm)
                if top < bottom:
                    found.append((x_mm, top, x_mm, bottom))
        if found:
            yield lines(found, stroke_pt=0.6, dash_mm=(2.0, 1.2))

    def _rules(self, sheet: Sheet) -> Iterator[Item]:
        """The lines across the foot; those of the tens with their numbers."""
        ruling = self.ruling
        for row in ruling.tens:
            mm = ruling.foot_row_mm(row)
            has_room = min(ruling.toe_mm - mm, mm - ruling.turn_mm) > _NUMBER_ROOM_MM
            yield from self._rule(mm, sheet, 0.6, f"row {row}" if has_room else "")
        for mm in (ruling.turn_mm, ruling.toe_mm):
            yield from self._rule(mm, sheet, 1.2)
        if ruling.end_mm < self.outline.length_mm - SEEN_MM:
            yield from self._rule(ruling.end_mm, sheet, 0.9, dash_mm=(3.0, 1.2))

    def _rule(
        self,
        from_heel_mm: float,
        sheet: Sheet,
        stroke_pt: float,
        words: str = "",
        dash_mm: tuple[float, ...] = (),
    ) -> Iterator[Item]:
        """A line across the foot that leaves room for its words in the middle."""
        y_mm = self._y(from_heel_mm)
        spans = self.outline.spans_at(y_mm)
        if not sheet.shows(y_mm) or not spans:
            return
        if min(y_mm - sheet.drawn_top_mm, sheet.bottom_mm - y_mm) < _NUMBER_ROOM_MM:
            words = ""
        note = self.style.note
        middle = (spans[0][0] + spans[-1][1]) / 2
        if words and sheet.has_words_at(y_mm):
            # The words along the joint stand in the middle: the number gives way to the left.
            free = middle - _JOINT_WORDS_MM / 2 - spans[0][0]
            words = words if free > _NUMBER_WIDE_MM else ""
            middle = spans[0][0] + free / 2
        strokes = list(spans)
        if words:
            half = width_mm((bold(words),), note) / 2 + 1.6
            strokes = [
                part
                for left, right in spans
                for part in ((left, min(right, middle - half)), (max(left, middle + half), right))
            ]
        for start, end in strokes:
            if start < end:
                yield line(start, y_mm, end, y_mm, stroke_pt=stroke_pt, dash_mm=dash_mm)
        if words:
            base_mm = y_mm + note.cap_height_mm / 2
            yield Group(
                set_line((bold(words),), middle, base_mm, note, align=Align.CENTRE), role=Role.P
            )

    # Words

    def _named_parts(self) -> Iterator[tuple[float, float, _Caption]]:
        """From where to where from the heel end, and what stands there."""
        ruling = self.ruling
        name, small = self.style.sub_head, self.style.note
        rows, pegs = ruling.turn_rows, ruling.strip_pegs
        turn = (("Heel turn", name), (f"{rows} rows on {pegs} pegs", small))
        yield 0.12 * ruling.turn_mm, ruling.turn_mm, turn
        tens = map(ruling.foot_row_mm, ruling.tens)
        gaps = list(pairwise((ruling.turn_mm, *tens, ruling.toe_mm)))
        yield *gaps[0], (("Foot", name), (f"{ruling.foot_rows} rows", small))
        if len(gaps) > 1:
            widest = max(gaps[1:], key=lambda gap: gap[1] - gap[0])
            yield *widest, ((self.title, name), (self.which, small))
        half = ruling.toe_rows // 2
        tip_mm = min(ruling.end_mm, self.outline.length_mm)
        ends_mm = tip_mm - small.leading_mm - 2.4
        if ruling.end_mm < self.outline.length_mm - SEEN_MM:
            yield ends_mm, tip_mm, (("sock ends", small),)
        toe = (
            ("Toe", name),
            (f"{ruling.toe_rows} rows: {half} to the tip,", small),
            (f"{half} back on top", small),
        )
        yield ruling.toe_mm, ends_mm, toe

    def _settled(
        self, low_mm: float, high_mm: float, caption: _Caption, sheets: Sequence[Sheet]
    ) -> tuple[Sheet, Item] | None:
        """The caption in the roomiest part of its gap, centred; None where it has no room."""
        height = sum(style.leading_mm for _, style in caption)
        parts = [
            (
                max(self._y(high_mm), sheet.top_mm + (1.0 if sheet.above else 0.0)),
                min(self._y(low_mm), sheet.bottom_mm - (5.0 if sheet.below else 0.0)),
                sheet,
            )
            for sheet in sheets
        ]
        top, bottom, sheet = max(parts, key=lambda part: part[1] - part[0])
        if bottom - top < height + 1.0:
            return None
        y_mm = (top + bottom - height) / 2
        left, right = self._inside(y_mm, y_mm + height)
        items: list[Item] = []
        for words, style in caption:
            if width_mm(words, style) > right - left - 2 * _FIFTH_TICK_MM - 2.0:
                return None
            items += set_line(
                words, (left + right) / 2, y_mm + style.baseline_mm, style, align=Align.CENTRE
            )
            y_mm += style.leading_mm
        return sheet, Group(tuple(items), role=Role.P)

    def _inside(self, top_mm: float, bottom_mm: float) -> tuple[float, float]:
        """Left and right of the widest upright strip inside the outline between two levels."""
        levels = (top_mm + share * (bottom_mm - top_mm) for share in (0.0, 0.25, 0.5, 0.75, 1.0))
        found = [spans for level in levels if (spans := self.outline.spans_at(level))]
        if not found:
            return 0.0, self.outline.width_mm
        return max(spans[0][0] for spans in found), min(spans[-1][1] for spans in found)


_NUMBER_ROOM_MM: Final = 2.4
"""Between a line with a number and its neighbour."""
_JOINT_WORDS_MM: Final = 42.0
_NUMBER_WIDE_MM: Final = 19.0
"""Room that the words along a joint take, and that a number between edge and words needs."""
