"""The grafting: two needles with the yarn at the back one, four moves as a loop, a box a pair.

A tail of four times the width is common practice, no published source; 25 cm at least as in a
knitting magazine's column of 26 May 2022.  The moves are in `graft_drawings`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from charts.gauge_of import gauge_of
from charts.kitchener import ENDING, SETTING_UP
from charts.plan import Plan
from charts.rows import Graft
from charts.words import span
from layouts.block import Block
from layouts.blocks import Piece, heading, paragraph, space
from layouts.graft_drawings import PairEnds, loop_drawing, needles_drawing
from layouts.measures import length_words
from layouts.scene import (
    Group,
    Item,
    Role,
    Text,
    rect,
    text_width_mm,
)
from layouts.style import PageStyle
from layouts.techniques import numbered_moves
from layouts.text import NO_BREAK_SPACE, Run, bold, set_line


def direction_words(plan: Plan) -> tuple[Run, ...]:
    """Which way the darning needle goes; mirrored where the sock is worked right to left."""
    knit, purl = ("left to right", "right to left")
    if plan.loom.rightward < 0:
        knit, purl = purl, knit
    return (
        bold("Knitwise"),
        Run(f": into the loop from {knit}. "),
        bold("Purlwise"),
        Run(f": from {purl}."),
    )


HEAD_SPACE_MM: Final = 2.6
"""Above a heading in the middle of a page."""


LEAST_TAIL_MM: Final = 250.0
TAIL_WIDTHS: Final = 4
"""The tail in widths of the toe."""
TAIL_STEP_MM: Final = 50.0


def tail_mm(plan: Plan) -> float:
    """Length of the tail: by the gauge if there is one, up to the next 5 cm, 25 cm at least."""
    gauge = gauge_of(plan.spec)
    if gauge is None:
        return LEAST_TAIL_MM
    width_mm, _ = gauge.stitches.mm(plan.toe_pegs)
    steps = math.ceil(TAIL_WIDTHS * width_mm / TAIL_STEP_MM - 1e-9)
    return max(LEAST_TAIL_MM, steps * TAIL_STEP_MM)


def tail_words(plan: Plan) -> str:
    """How long a tail to leave; a pattern without a gauge knows only the least."""
    length = length_words(tail_mm(plan), plan.spec.units)
    if gauge_of(plan.spec) is None:
        return f"{length} at least, four times the width of the toe"
    return f"{length} long"


# --- What to do ------------------------------------------------------------------------------


def grafting_pieces(
    plan: Plan,
    graft: Graft,
    *,
    width_mm: float,
    style: PageStyle,
    drawn: str = "",
    ends: PairEnds | None = None,
    tail: str = "",
    step: Sequence[Piece] = (),
) -> list[Piece]:
    """The needles, which way to go through a loop, and the set-up.

    `drawn` is a sentence below the needles, `ends` are the words of the only pairs named on them,
    `tail` tells otherwise than the plan how long a tail to cut; `step` is the step of the grafting
    itself, before the set-up.
    """
    end = "right" if plan.loom.rightward > 0 else "left"
    body, head = style.body, style.sub_head
    return [
        heading("The two needles", head, width_mm),
        paragraph(
            "Turn the work so that the instep faces you. Hold the needles side by side, wrong "
            f"sides together, the instep in front, the yarn at the {end} end of the back needle.",
            body,
            width_mm,
        ),
        ready_step(
            f"Cut the yarn, {tail or tail_words(plan)}, and thread the darning needle.",
            width_mm=width_mm,
            style=style,
        ),
        Piece(
            needles_drawing(plan, graft, width_mm=width_mm, style=style, ends=ends),
            4.0,
            with_next=bool(drawn),
        ),
        *([paragraph(drawn, style.note, width_mm, role=Role.CAPTION)] if drawn else []),
        paragraph(direction_words(plan), body, width_mm),
        space(HEAD_SPACE_MM),
        *step,
        heading("Set up, once", head, width_mm),
        *numbered_moves((one.words for one in SETTING_UP), width_mm, style),
    ]


def ready_step(words: str, *, width_mm: float, style: PageStyle) -> Piece:
    """Something to get ready, with a round-cornered box to tick: no stitch is made."""
    look, side_mm = style.body, style.tick_box_mm
    left_mm = side_mm + 2.6
    text = paragraph(words, look, width_mm - left_mm, role=Role.BODY)
    top_mm = look.baseline_mm - look.cap_height_mm / 2 - side_mm / 2
    box = rect(0.0, top_mm, side_mm, side_mm, radius_mm=0.8, stroke_pt=0.6)
    items = (Group((box,), role=Role.LABEL), text.block.placed(left_mm, 0.0))
    block = Block((Group(items, role=Role.LI),), width_mm, text.block.height_mm)
    return Piece(block, 2.0)


def looping_pieces(
    plan: Plan, graft: Graft, *, width_mm: float, style: PageStyle, times: str = ""
) -> list[Piece]:
    """The four moves and the ending; `times` tells otherwise than the graft how often they go."""
    times = times or str(len(graft.pairs) - 1)
    head = style.sub_head
    again = "once" if times == "1" else f"again, {times} times in all"
    mirrored = plan.loom.rightward < 0
    return [
        heading(f"Four moves, {times} times over", head, width_mm),
        Piece(loop_drawing(width_mm=width_mm, mirrored=mirrored, again=again, style=style), 3.0),
        space(HEAD_SPACE_MM),
        heading("At the end, once", head, width_mm),
        *numbered_moves((one.words for one in ENDING), width_mm, style),
    ]


def pair_pieces(graft: Graft, *, width_mm: float, style: PageStyle) -> list[Piece]:
    """A tick box for each pair and the count."""
    return [
        *pair_head(width_mm=width_mm, style=style),
        *pair_boxes(graft, width_mm=width_mm, style=style),
        pair_count(graft, width_mm=width_mm, style=style),
    ]


def pair_head(*, width_mm: float, style: PageStyle) -> list[Piece]:
    """What the boxes of pairs are."""
    return [
        space(HEAD_SPACE_MM),
        heading("Tick each pair", style.sub_head, width_mm),
        paragraph(
            "Front + back loop, by their pegs; each round of the four moves frees a pair.",
            style.body,
            width_mm,
            with_next=True,
        ),
    ]


def pair_count(graft: Graft, *, width_mm: float, style: PageStyle) -> Piece:
    """Pairs and passes of the needle."""
    count = len(graft.pairs)
    words = (
        bold(f"{count} pairs, {graft.passes} passes of the needle: "),
        Run(f"2 + 4 × {count - 1} + 2."),
    )
    return paragraph(words, style.body, width_mm)


def weaving_pieces(plan: Plan, *, width_mm: float, style: PageStyle) -> list[Piece]:
    """Weaving in the ends (common practice, no published source)."""
    far = length_words(50, plan.spec.units)
    return [
        heading("Weave in the ends", style.sub_head, width_mm),
        *numbered_moves(
            (
                "Draw up the graft, loop by loop, until its stitches are as large as the others.",
                "Take the tail to the inside at the corner of the toe and close the small gap "
                "there.",
                f"Turn the sock inside out. Thread each end through the backs of stitches for "
                f"about {far}, then a short way back. In the cuff follow the rib, so that it "
                "still stretches.",
                "Take out the contrasting thread. Trim the ends. Look for loose loops inside the "
                "toe and the heel.",
            ),
            width_mm,
            style,
        ),
    ]


PAIRS_IN_COLUMN: Final = 5
_BETWEEN_PAIRS_MM: Final = 1.6


def pair_boxes(graft: Graft, *, width_mm: float, style: PageStyle) -> list[Piece]:
    """The boxes in columns of five with their numbers above; a band of columns is one piece."""
    body = style.body
    side_mm = style.tick_box_mm
    pairs = graft.pairs
    words = [f"{front} + {back}".replace(" ", NO_BREAK_SPACE) for front, back in pairs]
    widest_mm = max(text_width_mm(one, body.face, body.size_pt) for one in words)
    beside_mm, gap_mm = 2.0 * style.growth, 3.0 * style.growth
    column_mm = side_mm + beside_mm + widest_mm + gap_mm
    across = max(1, int((width_mm + gap_mm) / column_mm))
    row_mm = side_mm + _BETWEEN_PAIRS_MM
    pieces = []
    for start in range(0, len(pairs), across * PAIRS_IN_COLUMN):
        items: list[Item] = []
        head_mm = style.note.leading_mm + 0.6
        band = words[start : start + across * PAIRS_IN_COLUMN]
        for index, one in enumerate(band):
            column, place = divmod(index, PAIRS_IN_COLUMN)
            x_mm, y_mm = column * column_mm, head_mm + place * row_mm
            if place == 0:
                first = start + index + 1
                last = min(first + PAIRS_IN_COLUMN - 1, len(pairs))
                numbers = Text(
                    x_mm,
                    style.note.baseline_mm,
                    span(first, last),
                    size_pt=style.note.size_pt,
                    ink=style.soft_ink,
                )
                items.append(Group((numbers,), role=Role.ARTIFACT))
            base_mm = y_mm + side_mm / 2 + body.cap_height_mm / 2
            box = rect(x_mm, y_mm, side_mm, side_mm, stroke_pt=0.6)
            texts = set_line(one, x_mm + side_mm + beside_mm, base_mm, body)
            front, back = pairs[start + index]
            heard = f"Pair {start + index + 1}: peg {front} with peg {back}."
            items.append(Group((box, *texts), role=Role.LI, alt=heard))
        rows = min(len(band), PAIRS_IN_COLUMN)
        height_mm = head_mm + rows * row_mm - _BETWEEN_PAIRS_MM
        listed = Group(tuple(items), role=Role.LIST)
        pieces.append(Piece(Block((listed,), width_mm, height_mm), 4.0))
    return pieces
