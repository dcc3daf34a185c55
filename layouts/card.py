"""One part of the sock on a card to laminate: its chart, and its steps with boxes to tick.

The card stands beside the loom and is read from 60 cm: cells of 5 mm and text of 11 pt or more
where the size allows.  A5 lying level is the default: its long side holds 24 heel pegs in cells of
5 mm, and half of it (A6) does not.  Chart and steps share one side if the cells stay that large;
otherwise the chart takes the front and the steps the back.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from charts.parts import Part
from charts.plan import Plan
from charts.steps import PartSteps, make_part_steps
from charts.verify import Knit
from layouts.block import Block, DoesNotFitError
from layouts.blocks import Piece, fitting, paragraph, pieces_height_mm, stacked
from layouts.grid import measure_chart, rows_in_words
from layouts.key import KeySigns, signs_of, symbol_line
from layouts.paper import CARD_SAFE, MM_PER_PT, PAPERS, Paper
from layouts.scene import Align, Document, Group, Item, OutlineEntry, Page, Role, line
from layouts.steps_block import starting_words, step_pieces
from layouts.style import CARD, SMALL_CARD, PageStyle
from layouts.text import Run, bold, set_line
from layouts.text import width_mm as text_width

DEFAULT_CARD: Final = PAPERS["a5"].level
COLUMN_GAP_MM: Final = 8.0
LEAST_COLUMN_MM: Final = 70.0
"""Steps stand in two columns where both are at least this wide."""
_INSET_MM: Final = 0.3
"""Half of the heaviest line, which stands that far beyond what it bounds."""
_GAP_MM: Final = 3.0
"""Between the chart and what is above or below it."""
_BALANCE_STEP_MM: Final = 2.0


def make_card(knit: Knit, part: Part, *, paper: Paper = DEFAULT_CARD) -> Document:
    """The part's card: one page, or a front and a back, or a second card for a long part's steps.

    A named size is held whichever way the cells come out larger, and turned over and round if its
    steps need that; a size of one's own is kept as it is.  Raises DoesNotFitError, saying what
    would fit, if the card is too small.
    """
    ways = (paper.level, paper.upright) if paper.name in PAPERS else (paper,)
    card = _Card(knit, part, make_part_steps(knit, part))
    try:
        sides = [_best(card.whole, ways, (CARD,))]
    except DoesNotFitError:
        try:
            front = _best(card.front, ways, (CARD, SMALL_CARD))
            same_way_first = sorted(ways, key=lambda way: way != front.paper)
            sides = [front, *card.backs(same_way_first, (CARD, SMALL_CARD))]
        except DoesNotFitError as refusal:
            raise DoesNotFitError(
                f"a card of {paper.width_mm:.0f} x {paper.height_mm:.0f} mm is too small: {refusal}"
            ) from None
    return Document(
        tuple(side.page(part.title, _label(index)) for index, side in enumerate(sides)),
        f"{knit.plan.spec.title}: {part.title}, card",
        author=knit.plan.spec.designer,
        subject=f"Card to laminate for the {part.title.lower()} on {_loom(knit.plan)}",
    )


def _label(side: int) -> str:
    """ "front", "back", "front 2" …"""
    name = "back" if side % 2 else "front"
    return name if side < 2 else f"{name} {side // 2 + 1}"


def _loom(plan: Plan) -> str:
    return f"{plan.loom.pegs} pegs, {plan.loom.spacing_text}"


@dataclass(frozen=True, slots=True)
class _Side:
    """One side of a card, held that way."""

    paper: Paper
    body: Block
    cell_mm: float = 0.0
    """Shorter side of the chart's cells."""

    def page(self, title: str, label: str) -> Page:
        return Page(
            self.paper.width_mm,
            self.paper.height_mm,
            (self.body.placed(CARD_SAFE.left_mm + _INSET_MM, CARD_SAFE.top_mm + _INSET_MM),),
            label=label,
            safe=CARD_SAFE,
            outline=(OutlineEntry(1, f"{title}, {label}"),),
        )


def _best(
    make: Callable[[Paper, PageStyle], _Side], ways: Sequence[Paper], styles: Sequence[PageStyle]
) -> _Side:
    """The side with the largest cells in the first style in which there is one.

    Raises DoesNotFitError if there is none in any.
    """
    refusals = []
    for style in styles:
        found = []
        for way in ways:
            try:
                found.append(make(way, style))
            except DoesNotFitError as refusal:
                refusals.append(refusal)
        if found:
            return max(found, key=lambda side: side.cell_mm)
    raise refusals[0]


@dataclass(frozen=True, slots=True)
class _Card:
    knit: Knit
    part: Part
    part_steps: PartSteps

    def whole(self, paper: Paper, style: PageStyle) -> _Side:
        """Chart above steps, if the cells stay large."""
        width_mm, height_mm = _room_mm(paper)
        head = _head(self.knit.plan, self.part, width_mm, style)
        steps = self._steps_in_columns(width_mm, height_mm - head.height_mm, style)
        room_mm = height_mm - head.height_mm - steps.height_mm - _GAP_MM
        chart, cell_mm = self._chart(width_mm, room_mm, style, least_mm=style.best_cell_mm)
        return _Side(paper, stacked([head, *chart, Piece(steps)]), cell_mm)

    def front(self, paper: Paper, style: PageStyle) -> _Side:
        """The chart alone, as large as it goes, between its checkpoints and its symbols."""
        width_mm, height_mm = _room_mm(paper)
        above = [_head(self.knit.plan, self.part, width_mm, style)]
        above += self._checkpoints(width_mm, style)
        room_mm = height_mm - sum(piece.height_mm for piece in above)
        chart, cell_mm = self._chart(width_mm, room_mm, style, least_mm=style.least_cell_mm)
        return _Side(paper, stacked([*above, *chart]), cell_mm)

    def backs(self, ways: Sequence[Paper], styles: Sequence[PageStyle]) -> list[_Side]:
        """The steps, on one side if any of the ways and styles allows it."""
        refusals = []
        for style in styles:
            for way in ways:
                width_mm, height_mm = _room_mm(way)
                head = _head(self.knit.plan, self.part, width_mm, style)
                try:
                    steps = self._steps_in_columns(width_mm, height_mm - head.height_mm, style)
                except DoesNotFitError as refusal:
                    refusals.append(refusal)
                else:
                    return [_Side(way, stacked([head, Piece(steps)]))]
        way, style = ways[0], styles[-1]
        width_mm, height_mm = _room_mm(way)
        head = _head(self.knit.plan, self.part, width_mm, style)
        rest = self._step_pieces(width_mm, style)
        sides = []
        while rest:
            count = fitting(rest, height_mm - head.height_mm)
            if not count:
                raise refusals[-1]
            sides.append(_Side(way, stacked([head, *rest[:count]])))
            rest = rest[count:]
        return sides

    def _step_pieces(self, width_mm: float, style: PageStyle) -> list[Piece]:
        return step_pieces(self.part_steps, width_mm=width_mm, style=style)

    def _chart(
        self, width_mm: float, height_mm: float, style: PageStyle, *, least_mm: float
    ) -> tuple[list[Piece], float]:
        """The chart and the names of its symbols, and the shorter side of its cells in mm.

        Raises DoesNotFitError if the cells would be smaller than `least_mm`.
        """
        room_mm = height_mm - _GAP_MM
        key_mm = 0.0
        while True:
            fitted = measure_chart(
                self.knit,
                self.part,
                width_mm=width_mm,
                height_mm=room_mm - key_mm,
                style=style,
            )
            if len(fitted.geometries) > 1 or fitted.turned or fitted.cell_mm < least_mm:
                raise DoesNotFitError(
                    f"the chart of the {self.part.title.lower()} does not fit in one piece with "
                    f"cells of {least_mm:g} mm; try a larger card"
                )
            key = _key_line(signs_of(fitted.charts), width_mm, style)
            if key.height_mm <= key_mm:
                break
            key_mm = key.height_mm
        (chart,) = fitted.draw(rows_in_words(self.knit, self.part))
        centred = Block(
            (chart.placed((width_mm - chart.width_mm) / 2, 0.0),), width_mm, chart.height_mm
        )
        return [Piece(centred, _GAP_MM), Piece(key, _GAP_MM)], fitted.cell_mm

    def _checkpoints(self, width_mm: float, style: PageStyle) -> list[Piece]:
        """What to find before the first row and after the last; on one line where there is room."""
        look = style.body
        start = (bold("Start "), Run(starting_words(self.part_steps)))
        ends = self.part_steps.ends.text
        end = (bold("End "), Run(f"{ends[:1].upper()}{ends[1:]}."))
        if text_width(start, look) + COLUMN_GAP_MM + text_width(end, look) > width_mm:
            return [paragraph(words, look, width_mm) for words in (start, end)]
        items = (
            Group(set_line(start, 0.0, look.baseline_mm, look), role=Role.P),
            Group(set_line(end, width_mm, look.baseline_mm, look, align=Align.RIGHT), role=Role.P),
        )
        return [Piece(Block(items, width_mm, look.leading_mm), look.after_pt * MM_PER_PT)]

    def _steps_in_columns(self, width_mm: float, height_mm: float, style: PageStyle) -> Block:
        """The steps in columns of equal height.  Raises DoesNotFitError if they are too long."""
        two_mm = (width_mm - COLUMN_GAP_MM) / 2
        columns = 2 if two_mm >= LEAST_COLUMN_MM else 1
        column_mm = two_mm if columns == 2 else width_mm
        pieces = self._step_pieces(column_mm, style)
        whole_mm = pieces_height_mm(pieces)
        for tallest_mm in _heights_mm(whole_mm / columns, height_mm):
            stacks = _in_columns(pieces, columns, tallest_mm)
            if stacks is not None:
                blocks = [stacked(stack) for stack in stacks]
                items = tuple(
                    block.placed(index * (column_mm + COLUMN_GAP_MM), 0.0)
                    for index, block in enumerate(blocks)
                )
                return Block(items, width_mm, max(block.height_mm for block in blocks))
        raise DoesNotFitError(
            f"the steps of the {self.part.title.lower()} need about {whole_mm / columns:.0f} mm of "
            f"height on a side; there are {height_mm:.0f} mm"
        )


def _room_mm(paper: Paper) -> tuple[float, float]:
    """Width and height of a side, clear of the cut edge."""
    return (
        paper.width_mm - CARD_SAFE.left_mm - CARD_SAFE.right_mm - 2 * _INSET_MM,
        paper.height_mm - CARD_SAFE.top_mm - CARD_SAFE.bottom_mm - 2 * _INSET_MM,
    )


def _heights_mm(least_mm: float, most_mm: float) -> Iterator[float]:
    """Heights to try, from the least on; the last is the most."""
    height_mm = least_mm
    while height_mm < most_mm:
        yield height_mm
        height_mm += _BALANCE_STEP_MM
    yield most_mm


def _in_columns(
    pieces: Sequence[Piece], columns: int, height_mm: float
) -> list[Sequence[Piece]] | None:
    """The pieces in that many columns, filled in turn; None if they are too many."""
    stacks: list[Sequence[Piece]] = []
    rest = pieces
    for _ in range(columns):
        count = fitting(rest, height_mm)
        stacks.append(rest[:count])
        rest = rest[count:]
    return None if rest else stacks


def _head(plan: Plan, part: Part, width_mm: float, style: PageStyle) -> Piece:
    """The title line: the part, then the sock and its loom, over a rule."""
    title, about = style.title, style.body
    sock = f"{plan.spec.title} · {_loom(plan)}"
    height_mm = title.leading_mm
    baseline_mm = title.baseline_mm
    one_line = text_width(part.title, title) + COLUMN_GAP_MM + text_width(sock, about) <= width_mm
    items: list[Item] = [*set_line(part.title, 0.0, baseline_mm, title)]
    if one_line:
        items += set_line(sock, width_mm, baseline_mm, about, align=Align.RIGHT)
    else:
        items += set_line(sock, 0.0, height_mm + about.baseline_mm, about)
        height_mm += about.leading_mm
    height_mm += 0.8
    rule = line(0.0, height_mm, width_mm, height_mm, stroke_pt=style.border_pt, ink=style.ink)
    group = Group(tuple(items), role=Role.H1)
    return Piece(Block((group, Group((rule,), role=Role.ARTIFACT)), width_mm, height_mm), _GAP_MM)


def _key_line(signs: KeySigns, width_mm: float, style: PageStyle) -> Block:
    return symbol_line(
        signs.letters, signs.marks, width_mm=width_mm, style=style, crosses=signs.crosses
    )
