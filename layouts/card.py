"""One part of the sock on a card to laminate: its chart, and its steps with boxes to tick.

The card stands beside the loom and is read from 60 cm: cells of 5 mm and text of 11 pt or more
where the size allows, larger steps and boxes where there is room.  A5 lying level is the default:
its long side holds 24 heel pegs in cells of 5 mm, and half of it (A6) does not.  Chart and steps
share one side if the cells stay that large; otherwise the chart takes the front and the steps the
back, the same way up, so that the card is turned over like a leaf.  Where the steps leave room, the
acts that are neither knit nor purl are explained below them.

`make_card` also makes the cards that stand for no part: the graft and the symbols.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence, Set
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Final

from charts.parts import Part
from charts.rows import Row
from charts.step_lines import starting_words
from charts.steps import PartSteps, RepeatStep, RowStep, make_part_steps
from charts.stitches import KNIT_LETTERS
from charts.verify import Knit
from layouts.block import Block, DoesNotFitError, room_words
from layouts.blocks import Piece, paragraph, pieces_height_mm, stacked
from layouts.card_side import (
    DEFAULT_CARD,
    GAP_MM,
    LARGE_STEPS,
    STYLES,
    CardBlank,
    card_document,
    smallest_card,
    ways_to_hold,
)
from layouts.card_subjects import Hole, Reference, Subject
from layouts.edition import Inks
from layouts.grid import measure_chart, rows_in_words
from layouts.key import KeySigns, signs_of, symbol_key, symbol_line
from layouts.paper import MM_PER_PT, Paper
from layouts.reference_cards import reference_sides
from layouts.scene import Align, Document, Group, Role, rect
from layouts.step_columns import (
    COLUMN_GAP_MM,
    Stack,
    column_width_mm,
    columns_of,
    dealt,
    in_columns,
)
from layouts.steps_block import step_ladder
from layouts.style import CARD, PageStyle, in_inks
from layouts.text import Run, bold, set_line
from layouts.text import width_mm as text_width

LEAST_COLUMN_MM: Final = 70.0
"""Steps stand in two columns where both are at least this wide."""
MOST_BACKS: Final = 6
"""Sides of steps at most; a part with more is for a larger card."""
_WORTH_MM: Final = 0.5
"""Cells larger by less are not worth smaller print."""
_PAD_MM: Final = 2.0
"""Between the words of a box and its frame."""
_BEFORE_BOX_MM: Final = 5.0
_FRAME_PT: Final = 0.5
_PLAIN: Final = frozenset((*KNIT_LETTERS.values(), "p", *"RrLl"))
"""Stitches that no card explains: knit and purl; a cross is on the front with its name."""


def make_card(
    knit: Knit,
    subject: Subject,
    *,
    paper: Paper = DEFAULT_CARD,
    hole: Hole = Hole.NONE,
    inks: Inks = Inks.GREY,
    copy_line: str = "",
) -> Document:
    """The card of a part, or of what stands for no part: one page, or a front and a back, or more
    cards for what is long.

    A named size is held the way that takes the fewest sides, then the one with the larger print,
    then the larger cells; a size of one's own is kept as it is.  All sides are held the same way.
    At the foot of each stands the `copy_line`: whose copy it is.
    Raises DoesNotFitError, saying what would fit, if the card is too small.
    """

    def sides(tried: Paper) -> list[tuple[CardBlank, Block]]:
        blanks = [CardBlank(way, hole, copy_line) for way in ways_to_hold(tried)]
        if isinstance(subject, Reference):
            return reference_sides(knit, subject, blanks)
        return [(side.blank, side.body) for side in _part_sides(knit, subject, blanks, inks)]

    about = subject.title.lower()
    if subject is not Part.CLOSING:
        about = f"the {about}"
    try:
        made = sides(paper)
    except DoesNotFitError as refusal:
        raise DoesNotFitError(
            f"a card of {CardBlank(paper).size_text} is too small for {about}: {refusal}; "
            f"{smallest_card(sides, paper)}"
        ) from None
    return card_document(made, subject.title, knit.plan, about=about)


def _part_sides(knit: Knit, part: Part, blanks: Sequence[CardBlank], inks: Inks) -> list[_Side]:
    """The sides of a part's card, held in the best of these ways.  Raises DoesNotFitError."""
    card = _Card(knit, part, make_part_steps(knit, part), inks)
    found = []
    refusals = []
    for make in (card.on_one_side, card.on_sides):
        for blank in blanks:
            try:
                found.append(make(blank))
            except DoesNotFitError as refusal:
                refusals.append(refusal)
        if found:
            return min(found, key=_rank)
    raise refusals[-len(blanks)]


def _rank(sides: Sequence[_Side]) -> tuple[int, int, float, float]:
    """The lowest is the best way to hold a card."""
    smallest_pt = min(side.style.step.size_pt for side in sides)
    return (len(sides), sides[0].charts, -smallest_pt, -sides[0].cell_mm)


@dataclass(frozen=True, slots=True)
class _Side:
    """One side of a card."""

    blank: CardBlank
    style: PageStyle
    body: Block
    charts: int = 0
    """Pieces that its chart is in."""
    cell_mm: float = 0.0
    """Shorter side of the chart's cells."""


@dataclass(frozen=True, slots=True)
class _Card:
    knit: Knit
    part: Part
    part_steps: PartSteps
    inks: Inks
    """Of the chart: all else is grey."""

    def on_one_side(self, blank: CardBlank) -> list[_Side]:
        """Chart above steps, if the cells stay large; those of the closing, which is one line of
        loops to take off, may be smaller.  Raises DoesNotFitError."""
        style = CARD
        width_mm = blank.width_mm
        head = self._head(blank, style, 0)
        room_mm = blank.height_mm - head.height_mm
        columns = columns_of(width_mm, LEAST_COLUMN_MM)
        stacks = self._dealt(columns, columns, width_mm, room_mm, style)
        steps = in_columns(stacks, width_mm)
        left_mm = room_mm - steps.height_mm - GAP_MM
        least_mm = style.least_cell_mm if self._is_line else style.best_cell_mm
        chart, cell_mm = self._chart(width_mm, left_mm, style, least_mm=least_mm)
        side = _Side(blank, style, stacked([head, *chart, Piece(steps)]), len(chart) - 1, cell_mm)
        return [_with_acts(side, self._acts(stacks)) or side]

    def on_sides(self, blank: CardBlank) -> list[_Side]:
        """The chart, then the steps on as few sides as hold them.

        What there is no room to explain beside its rows is explained below the chart, if there is
        room.  Raises DoesNotFitError.
        """
        front = self._front(blank)
        found = list(self._backs(blank))
        for backs, homeless in found:
            whole = _with_acts(front, homeless)
            if whole is not None:
                return [whole, *backs]
        return [front, *found[0][0]]

    def _head(self, blank: CardBlank, style: PageStyle, side: int) -> Piece:
        return blank.head(self.part.title, self.knit.plan, style, side=side)

    def _front(self, blank: CardBlank) -> _Side:
        """The chart alone, as large as it goes, between its checkpoints and its symbols.

        Where larger cells need it the checkpoints give way, which the steps have too, and then the
        size of the print.
        """
        found: list[_Side] = []
        refusals = []
        for style in STYLES:
            for checked in (True, False):
                above = [self._head(blank, style, 0)]
                above += self._checkpoints(blank.width_mm, style) if checked else []
                room_mm = blank.height_mm - sum(piece.height_mm for piece in above)
                try:
                    chart, cell_mm = self._chart(
                        blank.width_mm, room_mm, style, least_mm=style.least_cell_mm
                    )
                except DoesNotFitError as refusal:
                    refusals.append(refusal)
                    continue
                found.append(
                    _Side(blank, style, stacked([*above, *chart]), len(chart) - 1, cell_mm)
                )
        if not found:
            raise refusals[-1]
        largest_mm = min(max(side.cell_mm for side in found), CARD.best_cell_mm)
        return next(side for side in found if side.cell_mm >= largest_mm - _WORTH_MM)

    def _backs(self, blank: CardBlank) -> Iterator[tuple[list[_Side], set[str]]]:
        """The steps, on as few sides as there can be, in the larger print first, and the acts
        that there is no room to explain on their side.  Raises DoesNotFitError."""
        refusals = []
        found = False
        for count in range(1, MOST_BACKS + 1):
            for style in (LARGE_STEPS, *STYLES):
                try:
                    sides, homeless = self._steps(blank, count, style)
                except DoesNotFitError as refusal:
                    refusals.append(refusal)
                    continue
                if style is not LARGE_STEPS or not homeless:
                    found = True
                    yield sides, homeless
            if found:
                return
        raise refusals[-1]

    def _steps(
        self, blank: CardBlank, count: int, style: PageStyle
    ) -> tuple[list[_Side], set[str]]:
        """The steps on so many sides, and the acts that are explained on none of them."""
        width_mm = blank.width_mm
        columns = columns_of(width_mm, LEAST_COLUMN_MM)
        head_mm = self._head(blank, style, 1).height_mm
        room_mm = blank.height_mm - head_mm
        stacks = self._dealt(count * columns, columns, width_mm, room_mm, style)
        sides: list[_Side] = []
        told: set[str] = set()
        homeless: set[str] = set()
        for number, beside in enumerate(_by_sides(stacks, columns), start=1):
            head = self._head(blank, style, number)
            body = stacked([head, Piece(in_columns(beside, width_mm))])
            side = _Side(blank, style, body)
            acts = self._acts(beside)
            kept = next(some for some in _subsets(acts) if _with_acts(side, some))
            told |= kept
            homeless |= acts - kept
            sides.append(_with_acts(side, kept) or side)
        return sides, homeless - told

    def _chart(
        self, width_mm: float, height_mm: float, style: PageStyle, *, least_mm: float
    ) -> tuple[list[Piece], float]:
        """The chart and the names of its symbols, and the shorter side of its cells in mm.

        One piece for each piece of the chart and one for the names.  Raises DoesNotFitError if the
        cells would be smaller than `least_mm`.
        """
        room_mm = height_mm - GAP_MM
        key_mm = 0.0
        while True:
            fitted = measure_chart(
                self.knit,
                self.part,
                width_mm=width_mm,
                height_mm=room_mm - key_mm,
                style=in_inks(style, self.inks),
            )
            is_whole = len(fitted.geometries) == 1 or self._is_line
            if not is_whole or fitted.turned or fitted.cell_mm < least_mm:
                raise DoesNotFitError(
                    f"its chart does not fit in one piece with cells of {least_mm:g} mm"
                )
            key = _key_line(signs_of(fitted.charts), width_mm, style)
            if key.height_mm <= key_mm:
                break
            key_mm = key.height_mm
        charts = [
            Block((chart.placed((width_mm - chart.width_mm) / 2, 0.0),), width_mm, chart.height_mm)
            for chart in fitted.draw(rows_in_words(self.knit, self.part))
        ]
        pieces = [*(Piece(chart, GAP_MM) for chart in charts), Piece(key, GAP_MM)]
        if pieces_height_mm(pieces) > height_mm:
            raise DoesNotFitError(
                f"its chart needs {pieces_height_mm(pieces):.0f} mm of height; there are "
                f"{height_mm:.0f} mm"
            )
        return pieces, fitted.cell_mm

    @property
    def _is_line(self) -> bool:
        """Whether the chart is one line of loops, which may be broken like a line of words."""
        return self.part is Part.CLOSING

    def _checkpoints(self, width_mm: float, style: PageStyle) -> list[Piece]:
        """What to find before the first row and after the last; on one line where there is room."""
        look = style.body
        start = (bold("Start "), Run(starting_words(self.part_steps)))
        ends = self.part_steps.ends.text
        end = (bold("End "), Run(f"{ends[:1].upper()}{ends[1:]}."))
        if text_width(start, look) + COLUMN_GAP_MM + text_width(end, look) > width_mm:
            below = replace(look, after_pt=0.0)
            return [paragraph(start, below, width_mm), paragraph(end, look, width_mm)]
        items = (
            Group(set_line(start, 0.0, look.baseline_mm, look), role=Role.P),
            Group(set_line(end, width_mm, look.baseline_mm, look, align=Align.RIGHT), role=Role.P),
        )
        return [Piece(Block(items, width_mm, look.leading_mm), look.after_pt * MM_PER_PT)]

    def _dealt(
        self, count: int, columns: int, width_mm: float, height_mm: float, style: PageStyle
    ) -> list[Stack]:
        """The steps in so many columns, `columns` of them side by side.  Raises DoesNotFitError."""
        column_mm = column_width_mm(width_mm, columns)
        rungs = step_ladder(self.part_steps, width_mm=column_mm, style=style)
        found = dealt(rungs, count, height_mm)
        if found is None:
            whole_mm = pieces_height_mm([rung.piece for rung in rungs])
            raise DoesNotFitError(
                f"the steps of the {self.part.title.lower()} need {width_mm:.0f} x "
                f"{whole_mm / count:.0f} mm or more on a side; there are "
                f"{room_words(width_mm, height_mm)}"
            )
        return found

    def _acts(self, stacks: Iterable[Stack]) -> set[str]:
        """The stitches of these rows that a knitter may have to look up."""
        told = {
            (step.section, number)
            for step in (rung.step for stack in stacks for rung in stack.rungs)
            if isinstance(step, RowStep | RepeatStep)
            for number in range(step.first, step.last + 1)
        }
        return {
            letter
            for event in self.knit.rows.of(*self.part.sections)
            if isinstance(event, Row) and (event.section, event.number) in told
            for letter in event.stitches
        } - _PLAIN


def _subsets(letters: Set[str]) -> Iterator[Set[str]]:
    """All of them, then as many as can be without one, and so on down to none."""
    for count in range(len(letters), -1, -1):
        yield from map(set, combinations(sorted(letters, reverse=True), count))


def _with_acts(side: _Side, letters: Set[str]) -> _Side | None:
    """The side with a box at its foot that tells how these stitches are made; None if there is no
    room for it."""
    width_mm, height_mm = side.blank.width_mm, side.blank.height_mm
    if not letters:
        return side
    looks = (LARGE_STEPS, *STYLES)
    for look in looks[looks.index(side.style) :]:
        key = symbol_key("".join(sorted(letters)), width_mm=width_mm - 2 * _PAD_MM, style=look)
        box_mm = key.height_mm + 2 * _PAD_MM - look.note.after_pt * MM_PER_PT
        if side.body.height_mm + _BEFORE_BOX_MM + box_mm > height_mm:
            continue
        frame = rect(0.0, 0.0, width_mm, box_mm, stroke_pt=_FRAME_PT, stroke=look.ink)
        items = (Group((frame,), role=Role.ARTIFACT), key.placed(_PAD_MM, _PAD_MM))
        box = Block(items, width_mm, box_mm)
        return replace(side, body=stacked([Piece(side.body, _BEFORE_BOX_MM), Piece(box)]))
    return None


def _by_sides(stacks: Sequence[Stack], columns: int) -> Iterator[Sequence[Stack]]:
    """The columns of each side."""
    for first in range(0, len(stacks), columns):
        yield stacks[first : first + columns]


def _key_line(signs: KeySigns, width_mm: float, style: PageStyle) -> Block:
    return symbol_line(
        signs.letters, signs.marks, width_mm=width_mm, style=style, crosses=signs.crosses
    )
