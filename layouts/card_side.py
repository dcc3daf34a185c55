"""What every card has: a blank to print on, a head, a clear rim, a hole to punch, its sides.

A card is read from 60 cm beside the loom, or held in the hand if it is small.  A hole for a ring is
6 mm wide with its middle 9.5 mm from both edges, and 14 mm of the corner are kept free for it
(common practice, no published source).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from charts.hands import edition_words
from charts.plan import Plan
from layouts.block import Block, DoesNotFitError
from layouts.blocks import Piece
from layouts.card_subjects import Hole
from layouts.cover import for_hand_words
from layouts.crop_marks import HAIRLINE_PT
from layouts.imprint import copy_block
from layouts.paper import CARD_SAFE, PAPERS, Paper
from layouts.scene import (
    Align,
    Document,
    Group,
    Item,
    OutlineEntry,
    Page,
    Role,
    circle,
    line,
    lines,
)
from layouts.sheet import size_words
from layouts.step_columns import COLUMN_GAP_MM
from layouts.style import BOOKLET, CARD, SMALL_CARD, PageStyle
from layouts.text import Style, set_line
from layouts.text import width_mm as text_width

DEFAULT_CARD: Final = PAPERS["a5"].level
STYLES: Final = (CARD, SMALL_CARD)
"""Prints to try, the larger first."""
LARGE_STEPS: Final = replace(
    CARD,
    body=Style(13.0, 16.5, after_pt=4.0),
    step=Style(14.0, 18.0, after_pt=5.0),
    note=Style(13.0, 16.0, after_pt=3.0),
    least_number_pt=9.5,
    tick_box_mm=8.0,
)
"""Steps that leave room on their side: read at arm's length, with boxes for a thick pen."""
GAP_MM: Final = 1.8
"""Between the chart and what is above or below it."""
INSET_MM: Final = 0.3
"""Half of the heaviest line, which stands that far beyond what it bounds."""
_UNDER_HEAD_MM: Final = 0.8
_ABOVE_COPY_MM: Final = 1.0

HOLE_MM: Final = 6.0
HOLE_FROM_EDGE_MM: Final = 9.5
HOLE_ROOM_MM: Final = 14.0
"""Side of the square in the corner that is kept free."""
_CROSS_MM: Final = 1.2


@dataclass(frozen=True, slots=True)
class CardBlank:
    """A card before it is printed, held that way."""

    paper: Paper
    hole: Hole = Hole.NONE
    copy_line: str = ""
    """Whose copy it is, at the foot of each side."""

    @property
    def width_mm(self) -> float:
        """Of what is printed, clear of the cut edge."""
        return self.paper.width_mm - CARD_SAFE.left_mm - CARD_SAFE.right_mm - 2 * INSET_MM

    @property
    def height_mm(self) -> float:
        """Above the copy line."""
        whole_mm = self.paper.height_mm - CARD_SAFE.top_mm - CARD_SAFE.bottom_mm - 2 * INSET_MM
        copy = self._copy()
        return whole_mm - copy.height_mm - (_ABOVE_COPY_MM if copy.items else 0.0)

    @property
    def size_text(self) -> str:
        return size_words(self.paper.width_mm, self.paper.height_mm)

    def head(self, title: str, plan: Plan, style: PageStyle, *, side: int) -> Piece:
        """The title line of that side, counted from 0: the part, then the sock and its loom, over
        a rule.  It keeps clear of the hole, which is left on fronts and right on backs."""
        clear_mm = 0.0
        if self.hole is Hole.CORNER:
            clear_mm = HOLE_ROOM_MM - CARD_SAFE.left_mm - INSET_MM
        left_mm = 0.0 if side % 2 else clear_mm
        right_mm = self.width_mm - (clear_mm if side % 2 else 0.0)
        name, about = style.title, style.body
        sock = f"{plan.spec.title} · {_loom_and_hand(plan)}"
        room_mm = right_mm - left_mm
        items: list[Item] = [*set_line(title, left_mm, name.baseline_mm, name)]
        height_mm = name.leading_mm
        if text_width(title, name) + COLUMN_GAP_MM + text_width(sock, about) <= room_mm:
            items += set_line(sock, right_mm, name.baseline_mm, about, align=Align.RIGHT)
        else:
            items += set_line(
                _sock_words(plan, about, room_mm),
                left_mm,
                height_mm + about.baseline_mm,
                about,
            )
            height_mm += about.leading_mm
        rule_mm = max(height_mm, clear_mm) + _UNDER_HEAD_MM
        rule = line(0.0, rule_mm, self.width_mm, rule_mm, stroke_pt=style.border_pt, ink=style.ink)
        group = Group(tuple(items), role=Role.H1)
        block = Block((group, Group((rule,), role=Role.ARTIFACT)), self.width_mm, rule_mm)
        return Piece(block, GAP_MM)

    def page(self, body: Block, title: str, *, side: int) -> Page:
        """The finished side, counted from 0."""
        label = side_label(side)
        items: list[Item] = [body.placed(CARD_SAFE.left_mm + INSET_MM, CARD_SAFE.top_mm + INSET_MM)]
        if self.hole is Hole.CORNER and side % 2 == 0:
            items.append(_hole())
        copy = self._copy()
        if copy.items:
            top_mm = self.paper.height_mm - CARD_SAFE.bottom_mm - INSET_MM - copy.height_mm
            items.append(copy.placed(CARD_SAFE.left_mm + INSET_MM, top_mm))
        return Page(
            self.paper.width_mm,
            self.paper.height_mm,
            tuple(items),
            label=label,
            safe=CARD_SAFE,
            outline=(OutlineEntry(1, f"{title}, {label}"),),
        )

    def _copy(self) -> Block:
        return copy_block(self.copy_line, BOOKLET.note, self.width_mm)


def _sock_words(plan: Plan, look: Style, room_mm: float) -> str:
    """The sock and its loom; its title cut short if it must be."""
    whole = plan.spec.title
    tail = f" · {_loom_and_hand(plan)}"
    for end in range(len(whole), 0, -1):
        words = (whole if end == len(whole) else whole[:end].rstrip() + "…") + tail
        if text_width(words, look) <= room_mm:
            return words
    return _loom_and_hand(plan)


def _hole() -> Group:
    """The edge of the hole, and a cross to aim at."""
    middle = HOLE_FROM_EDGE_MM
    cross = (
        (middle - _CROSS_MM, middle, middle + _CROSS_MM, middle),
        (middle, middle - _CROSS_MM, middle, middle + _CROSS_MM),
    )
    edge = circle(middle, middle, HOLE_MM / 2, stroke_pt=HAIRLINE_PT)
    return Group((edge, lines(cross, stroke_pt=HAIRLINE_PT)), role=Role.ARTIFACT)


def _loom_and_hand(plan: Plan) -> str:
    return " · ".join(filter(None, (loom_words(plan), edition_words(plan.loom))))


def loom_words(plan: Plan) -> str:
    """ "40 pegs, 3/8 in"."""
    return f"{plan.loom.pegs} pegs, {plan.loom.spacing_text}"


def side_label(side: int) -> str:
    """The side of a card, counted from 0 over the cards of one part.

    >>> [side_label(side) for side in range(3)]
    ['front', 'back', 'front 2']
    """
    name = "back" if side % 2 else "front"
    return name if side < 2 else f"{name} {side // 2 + 1}"


# --- Sizes -----------------------------------------------------------------------------------

CARD_SIZES: Final = (
    "id-1",
    "a7",
    "index-3x5",
    "photo-3.5x5",
    "quarter-letter",
    "photo-4x6",
    "a6",
    "photo-5x7",
    "index-5x8",
    "half-letter",
    "a5",
    "letter",
    "a4",
    "a3",
)
"""Cards that may be named to somebody whose card is too small, smaller ones first."""


def ways_to_hold(paper: Paper) -> tuple[Paper, ...]:
    """A named size may be held level or upright; a size of one's own is kept as it is."""
    return (paper.level, paper.upright) if PAPERS.get(paper.name) else (paper,)


def smallest_card(make: Callable[[Paper], object], too_small: Paper) -> str:
    """What would fit, as words of a refusal: the card turned, or the smallest usual one.

    `make` raises DoesNotFitError for a card that is too small.
    """
    if len(ways_to_hold(too_small)) == 1 and _makes(make, too_small.turned):
        return f"try {size_words(too_small.height_mm, too_small.width_mm)}"
    held = too_small.upright
    for name in CARD_SIZES:
        paper = PAPERS[name]
        no_larger = paper.width_mm <= held.width_mm and paper.height_mm <= held.height_mm
        if not no_larger and _makes(make, paper):
            size = size_words(paper.width_mm, paper.height_mm)
            return f"the smallest usual card that holds it is {name}, {size}"
    return "no usual card holds it: print it in the booklet"


def _makes(make: Callable[[Paper], object], paper: Paper) -> bool:
    try:
        make(paper)
    except DoesNotFitError:
        return False
    return True


def card_document(
    sides: Sequence[tuple[CardBlank, Block]], title: str, plan: Plan, *, about: str
) -> Document:
    """The sides of one part's cards as pages."""
    return Document(
        tuple(blank.page(body, title, side=side) for side, (blank, body) in enumerate(sides)),
        f"{plan.spec.title}: {title}, card",
        author=plan.spec.designer,
        subject=for_hand_words(f"Card to laminate for {about} on {loom_words(plan)}", plan.loom),
        rights=plan.spec.house.rights_words,
    )


def joined_cards(cards: Iterable[Document], title: str) -> Document:
    """The pages of several cards in one document, for a printer that takes the cards themselves.

    A card without a back is followed by an empty side, so that both sides of the next one meet.
    """
    documents = list(cards)
    pages: list[Page] = []
    for card in documents:
        if len(pages) % 2:
            last = pages[-1]
            size = (last.width_mm, last.height_mm)
            pages.append(Page(*size, (), label="back", safe=CARD_SAFE))
        pages += card.pages
    return Document(
        tuple(pages),
        title,
        documents[0].author,
        "Cards to laminate",
        language=documents[0].language,
        rights=documents[0].rights,
    )
