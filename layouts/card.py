"""One part of the sock on a card to laminate: its chart, and its steps with boxes to tick.

The card stands beside the loom and is read from 60 cm: cells of 5 mm and text of 11 pt or more
where the size allows.  A5 lying level is the default: its long side holds 24 heel pegs in cells of
5 mm, and half of it (A6) does not.  Chart and steps share one side if the cells stay that large;
otherwise the chart takes the front and the steps the back.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
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
from layouts.paper import CARD_SAFE, PAPERS, Paper
from layouts.scene import Align, Document, Group, Item, OutlineEntry, Page, Role, line
from layouts.steps_block import starting_words, step_pieces
from layouts.style import CARD, SMALL_CARD, PageStyle
from layouts.text import Run, bold, set_line
from layouts.text import width_mm as text_width

DEFAULT_CARD: Final = PAPERS["a5"].level
COLUMN_GAP_MM: Final = 8.0
LEAST_COLUMN_MM: Final = 70.0
"""Steps stand in two columns where both are at least this wide."""
_GAP_MM: Final = 3.0
"""Between the chart and what is above or below it."""
_BALANCE_STEP_MM: Final = 2.0


def make_card(knit: Knit, part: Part, *, paper: Paper = DEFAULT_CARD) -> Document:
    """The part's card: one page, or a front and a back.

    A named size is held whichever way the cells come out larger; a size of one's own is kept as it
    is.  Raises DoesNotFitError, saying what would fit, if the card is too small.
    """
    ways = (paper.level, paper.upright) if paper.name in PAPERS else (paper,)
    card = _Card(knit, part, make_part_steps(knit, part))
    refusals = []
    for style in (CARD, SMALL_CARD):
        found = []
        for way in ways:
            try:
                found.append(card.sides(way, style))
            except DoesNotFitError as error:
                refusals.append(error)
        if found:
            best = max(found, key=lambda sides: sides.cell_mm)
            return Document(
                best.pages,
                f"{knit.plan.spec.title}: {part.title}, card",
                author=knit.plan.spec.designer,
                subject=f"Card to laminate for the {part.title.lower()} on {_loom(knit.plan)}",
            )
    raise DoesNotFitError(
        f"a card of {paper.width_mm:.0f} x {paper.height_mm:.0f} mm is too small: {refusals[-1]}"
    )


def _loom(plan: Plan) -> str:
    return f"{plan.loom.pegs} pegs, {plan.loom.spacing_text}"


@dataclass(frozen=True, slots=True)
class _Sides:
    pages: tuple[Page, ...]
    cell_mm: float


@dataclass(frozen=True, slots=True)
class _Card:
    knit: Knit
    part: Part
    part_steps: PartSteps

    def sides(self, paper: Paper, style: PageStyle) -> _Sides:
        """The card of that size: one side if the cells stay large, or else two."""
        room = CARD_SAFE
        width_mm = paper.width_mm - room.left_mm - room.right_mm
        height_mm = paper.height_mm - room.top_mm - room.bottom_mm
        try:
            bodies, cell_mm = self._one_side(width_mm, height_mm, style)
        except DoesNotFitError:
            bodies, cell_mm = self._two_sides(width_mm, height_mm, style)
        pages = tuple(
            Page(
                paper.width_mm,
                paper.height_mm,
                (body.placed(room.left_mm, room.top_mm),),
                label=label,
                safe=room,
                outline=(OutlineEntry(1, f"{self.part.title}, {label}"),),
            )
            for body, label in zip(bodies, ("front", "back"), strict=False)
        )
        return _Sides(pages, cell_mm)

    def _one_side(
        self, width_mm: float, height_mm: float, style: PageStyle
    ) -> tuple[list[Block], float]:
        head = _head(self.knit.plan, self.part, width_mm, style)
        steps = self._steps_in_columns(width_mm, height_mm, style)
        chart, cell_mm = self._chart(
            width_mm,
            height_mm,
            style,
            above=[head],
            below_mm=steps.height_mm + _GAP_MM,
            least_mm=style.best_cell_mm,
        )
        return [stacked([head, *chart, Piece(steps)])], cell_mm

    def _two_sides(
        self, width_mm: float, height_mm: float, style: PageStyle
    ) -> tuple[list[Block], float]:
        head = _head(self.knit.plan, self.part, width_mm, style)
        checkpoints = self._checkpoints(width_mm, style)
        chart, cell_mm = self._chart(
            width_mm,
            height_mm,
            style,
            above=[head, *checkpoints],
            below_mm=0.0,
            least_mm=style.least_cell_mm,
        )
        front = stacked([head, *checkpoints, *chart])
        steps = self._steps_in_columns(width_mm, height_mm - head.height_mm, style)
        return [front, stacked([head, Piece(steps)])], cell_mm

    def _chart(
        self,
        width_mm: float,
        height_mm: float,
        style: PageStyle,
        *,
        above: Sequence[Piece],
        below_mm: float,
        least_mm: float,
    ) -> tuple[list[Piece], float]:
        """The chart and the names of its symbols, and the shorter side of its cells in mm.

        Raises DoesNotFitError if the cells would be smaller than `least_mm`.
        """
        room_mm = height_mm - sum(piece.height_mm for piece in above) - below_mm - _GAP_MM
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
        """What to find before the first row and after the last."""
        ends = self.part_steps.ends.text
        return [
            paragraph((bold("Start "), Run(starting_words(self.part_steps))), style.body, width_mm),
            paragraph((bold("End "), Run(f"{ends[:1].upper()}{ends[1:]}.")), style.body, width_mm),
        ]

    def _steps_in_columns(self, width_mm: float, height_mm: float, style: PageStyle) -> Block:
        """The steps in columns of equal height.  Raises DoesNotFitError if they are too long."""
        two_mm = (width_mm - COLUMN_GAP_MM) / 2
        columns = 2 if two_mm >= LEAST_COLUMN_MM else 1
        column_mm = two_mm if columns == 2 else width_mm
        pieces = step_pieces(self.part_steps, width_mm=column_mm, style=style)
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
