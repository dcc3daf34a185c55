"""Cards that stand for no part of the sock: the graft with its boxes, and the symbols.

Their pieces are set one below the other, in columns and on as many sides as they need.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from charts.chart import ABSENT, WAITING, make_chart
from charts.kitchener import ENDING, LOOP
from charts.parts import Part, parts_of
from charts.rows import Graft
from charts.verify import Knit
from layouts.block import Block, DoesNotFitError
from layouts.blocks import (
    Piece,
    fitting,
    heading,
    paragraph,
    pieces_height_mm,
    side_by_side,
    space,
    stacked,
)
from layouts.card_side import LARGE_STEPS, STYLES, CardBlank
from layouts.card_subjects import Reference
from layouts.faces import Face
from layouts.grafting import (
    HEAD_SPACE_MM,
    grafting_pieces,
    looping_pieces,
    pair_pieces,
    weaving_pieces,
)
from layouts.key import READING_RULES, signs_of, symbol_key
from layouts.scene import Role, text_width_mm
from layouts.step_columns import COLUMN_GAP_MM, column_width_mm, columns_of
from layouts.style import PageStyle
from layouts.techniques import numbered_moves

MOST_SIDES: Final = 6
LEAST_KEY_COLUMN_MM: Final = 60.0
"""Narrower columns break the meanings into too many lines."""
LEAST_GRAFT_COLUMN_MM: Final = 110.0
"""The drawings of the graft go side by side from twice this width on."""

POINTS: Final = "Points can hurt: cap the needles, and keep them from small children."
"""Common sense, as in `cautions`."""

Column = list[Piece]


def reference_sides(
    knit: Knit, reference: Reference, blanks: Sequence[CardBlank]
) -> list[tuple[CardBlank, Block]]:
    """The sides of that card, held in the one of these ways that takes the fewest sides, and then
    the larger print.  Raises DoesNotFitError if it needs more than six sides."""
    found: list[tuple[int, float, CardBlank, list[Block]]] = []
    refusals = []
    for blank in blanks:
        for style in STYLES:
            card = _ReferenceCard(knit, reference, blank, style)
            try:
                bodies = card.bodies()
            except DoesNotFitError as refusal:
                refusals.append(refusal)
            else:
                found.append((len(bodies), -style.step.size_pt, blank, bodies))
    if not found:
        raise refusals[-1]
    *_, blank, bodies = min(found, key=lambda one: one[:2])
    return [(blank, body) for body in bodies]


@dataclass(frozen=True, slots=True)
class _ReferenceCard:
    knit: Knit
    reference: Reference
    blank: CardBlank
    style: PageStyle
    box_style: PageStyle | None = None
    """Of the boxes for pairs, if it is another."""

    def bodies(self) -> list[Block]:
        """Head and columns of each side.  Raises DoesNotFitError."""
        if self.reference is Reference.KEY:
            return self._sides([self._key], LEAST_KEY_COLUMN_MM)
        sides = self._sides([self._how, self._pairs], LEAST_GRAFT_COLUMN_MM)
        large = replace(self, box_style=LARGE_STEPS)
        larger = large._sides([large._how, large._pairs], LEAST_GRAFT_COLUMN_MM)
        return larger if len(larger) == len(sides) else sides

    def _sides(
        self, makers: Sequence[Callable[[float], list[Piece]]], least_column_mm: float
    ) -> list[Block]:
        """What the makers make, each beginning a side if that takes no more of them."""
        width_mm = self.blank.width_mm
        columns = columns_of(width_mm, least_column_mm)
        column_mm = column_width_mm(width_mm, columns)
        made = [make(column_mm) for make in makers]
        room_mm = self.blank.height_mm - self._head(0).height_mm
        together = _dealt([piece for pieces in made for piece in pieces], columns, room_mm)
        apart = [side for pieces in made for side in _dealt(pieces, columns, room_mm)]
        sides = apart if len(apart) <= len(together) else together
        if len(sides) > MOST_SIDES:
            raise DoesNotFitError(f"it would take {len(sides)} sides, more than {MOST_SIDES}")
        return [self._body(side, column_mm, number) for number, side in enumerate(sides)]

    def _head(self, side: int) -> Piece:
        return self.blank.head(self.reference.title, self.knit.plan, self.style, side=side)

    def _body(self, side: Sequence[Column], column_mm: float, number: int) -> Block:
        blocks = [replace(stacked(column), width_mm=column_mm) for column in side]
        return stacked([self._head(number), Piece(side_by_side(blocks, COLUMN_GAP_MM))])

    # What there is to tell

    def _key(self, width_mm: float) -> list[Piece]:
        """Every sign of every chart, and how to read one."""
        signs = signs_of(make_chart(self.knit, part) for part in parts_of(self.knit))
        style = self.style
        letters = signs.letters
        if WAITING in letters:
            # Both are places without a cell.
            letters = letters.replace(ABSENT, "")
        entries = [
            *(symbol_key(letter, width_mm=width_mm, style=style) for letter in letters),
            *(symbol_key("", mark, width_mm=width_mm, style=style) for mark in signs.marks),
            *(
                symbol_key("", width_mm=width_mm, style=style, crosses=(cross,))
                for cross in signs.crosses
            ),
        ]
        rules = [paragraph(rule, style.note, width_mm, role=Role.LI) for rule in READING_RULES]
        return [
            *(Piece(entry, 1.0) for entry in entries if entry.height_mm > 0),
            space(HEAD_SPACE_MM),
            heading("How to read a chart", style.sub_head, width_mm),
            *rules,
        ]

    def _how(self, width_mm: float) -> list[Piece]:
        """The needles and the moves, drawn where the drawing has room, else in words.

        Raises DoesNotFitError if the needles have none.
        """
        if width_mm < LEAST_NEEDLES_MM:
            raise DoesNotFitError(
                f"the needles need {LEAST_NEEDLES_MM:.0f} mm of width; there are {width_mm:.0f} mm"
            )
        plan, graft, style = self.knit.plan, self._graft, self.style
        pieces = grafting_pieces(plan, graft, width_mm=width_mm, style=style)
        if _holds_moves(width_mm, style):
            moves = looping_pieces(plan, graft, width_mm=width_mm, style=style)
        else:
            moves = [
                heading(f"Four moves, {len(graft.pairs) - 1} times over", style.sub_head, width_mm),
                *numbered_moves((one.words for one in LOOP), width_mm, style),
                space(HEAD_SPACE_MM),
                heading("At the end, once", style.sub_head, width_mm),
                *numbered_moves((one.words for one in ENDING), width_mm, style),
            ]
        return [*pieces, space(HEAD_SPACE_MM), *moves]

    def _pairs(self, width_mm: float) -> list[Piece]:
        """A box for each pair, and what is done afterwards."""
        style = self.box_style or self.style
        return [
            *pair_pieces(self._graft, width_mm=width_mm, style=style),
            space(HEAD_SPACE_MM),
            *weaving_pieces(self.knit.plan, width_mm=width_mm, style=style),
            space(HEAD_SPACE_MM),
            paragraph(POINTS, self.style.note, width_mm),
        ]

    @property
    def _graft(self) -> Graft:
        (graft,) = (
            event for event in self.knit.rows.of(*Part.CLOSING.sections) if isinstance(event, Graft)
        )
        return graft


LEAST_NEEDLES_MM: Final = 80.0
"""Width of the drawing of the needles at least."""
_MOST_DRAWING_MM: Final = 140.0
_FRAME_GAP_MM: Final = 3.0
"""Between the frames of the four moves."""
_NUMERAL_MM: Final = 12.8
"""The big numeral of a frame, and the room beside it and at both edges."""


def _holds_moves(width_mm: float, style: PageStyle) -> bool:
    """Whether the words in the four frames stand clear of the numerals."""
    frame_mm = (min(width_mm, _MOST_DRAWING_MM) - 3 * _FRAME_GAP_MM) / 4
    words_mm = max(
        text_width_mm("front", style.sub_head.face, style.sub_head.size_pt),
        text_width_mm("next loop", Face.REGULAR, style.note.size_pt),
    )
    return _NUMERAL_MM + words_mm <= frame_mm


def _dealt(pieces: Sequence[Piece], columns: int, height_mm: float) -> list[list[Column]]:
    """The pieces in columns, so many on a side; as few sides as there can be, and those of the last
    side as low as can be.  Raises DoesNotFitError if a piece is higher than a side."""
    filled = min((_filled(_closer(pieces, share), height_mm) for share in _SHARES), key=len)
    sides = [filled[first : first + columns] for first in range(0, len(filled), columns)]
    last = [piece for column in sides[-1] for piece in column]
    low_mm = pieces_height_mm(last) / columns
    while low_mm < height_mm:
        even = _tried(last, low_mm)
        if even is not None and len(even) <= columns:
            sides[-1] = even
            break
        low_mm += _BALANCE_STEP_MM
    return sides


_BALANCE_STEP_MM: Final = 2.0
_SHARES: Final = (1.0, 0.85, 0.7, 0.55)
"""Of the room between pieces, where that saves a column."""


def _closer(pieces: Sequence[Piece], share: float) -> list[Piece]:
    return [replace(piece, after_mm=piece.after_mm * share) for piece in pieces]


def _tried(pieces: Sequence[Piece], height_mm: float) -> list[Column] | None:
    try:
        return _filled(pieces, height_mm)
    except DoesNotFitError:
        return None


def _filled(pieces: Sequence[Piece], height_mm: float) -> list[Column]:
    """Columns of that height, one after the other; none begins with empty room."""
    columns: list[Column] = []
    rest = list(pieces)
    while rest:
        while not rest[0].block.items:
            rest.pop(0)
        count = fitting(rest, height_mm)
        if not count:
            raise DoesNotFitError(
                f"{rest[0].block.height_mm:.0f} mm in one piece; a side has {height_mm:.0f} mm"
            )
        columns.append(rest[:count])
        rest = rest[count:]
    return columns
