"""How to read a pattern of several sizes: find your number in every bracket, and circle it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from charts.sized_steps import SizedLine, make_sized_lines
from layouts.block import Block
from layouts.blocks import Piece, heading, paragraph, side_by_side, space, stacked
from layouts.frame import Entry, Leaf, PageFrame
from layouts.front_matter import (
    COLUMN_GAP_MM,
    ContentsLine,
    contents_columns,
    contents_list,
    reading_pieces,
)
from layouts.page_fill import filled_pages
from layouts.scene import Group, Item, Role, line, rect
from layouts.size_order import SizeSet, sized_runs
from layouts.spreads import Way
from layouts.style import PageStyle
from layouts.text import NO_BREAK_SPACE, Run, bold, set_line
from layouts.text import width_mm as text_width

_LEAST_PITCH: Final = 0.93
"""Height of a line of the contents at least, in lines of the steps."""
_PLACES: Final = (
    "the number before the bracket",
    "the first number in the bracket",
    "the second number in the bracket",
    "the third number in the bracket",
    "the fourth number in the bracket",
)


# --- Contents --------------------------------------------------------------------------------


def lines_on_page(frame: PageFrame) -> int:
    """How many lines of contents a page holds."""
    return int(frame.height_mm / (_LEAST_PITCH * frame.style.step.leading_mm)) - 1


def contents_room_mm(frame: PageFrame) -> float:
    """Width of a title in the contents."""
    return contents_width_mm(frame) - contents_columns(frame.style).title_mm


def contents_width_mm(frame: PageFrame) -> float:
    """Width of the list; on wide paper how to read stands beside it."""
    return (frame.width_mm - COLUMN_GAP_MM) / 2 if frame.is_wide else frame.width_mm


def contents_pages(
    contents: Sequence[ContentsLine], pages: int, sizes: SizeSet, frame: PageFrame
) -> list[Block]:
    """The contents on so many pages; on wide paper with how to read beside them."""
    beside = reads_beside(sizes, frame)
    wide_mm = contents_width_mm(frame) if beside else frame.width_mm
    share = -(-len(contents) // pages)
    bodies = [
        contents_list(contents[start : start + share], wide_mm, frame.height_mm, frame)
        for start in range(0, share * pages, share)
    ]
    if beside:
        reading = stacked(_reading(sizes, wide_mm, frame))
        bodies[0] = side_by_side([bodies[0], reading], COLUMN_GAP_MM)
    return bodies


# --- How to read -----------------------------------------------------------------------------


def reads_beside(sizes: SizeSet, frame: PageFrame) -> bool:
    """Whether how to read stands beside the contents and not on pages of its own."""
    wide_mm = contents_width_mm(frame)
    return frame.is_wide and stacked(_reading(sizes, wide_mm, frame)).height_mm <= frame.height_mm


def reading_way(sizes: SizeSet, frame: PageFrame) -> Way:
    """Where to write one's size, how brackets are read, and how charts and steps are."""
    pieces = _reading(sizes, frame.width_mm, frame)
    bodies = [stacked(page) for page in filled_pages(pieces, frame.height_mm)]

    def make() -> tuple[Leaf, ...]:
        return tuple(
            Leaf(
                "Find your size",
                body,
                "continued" if index else "",
                entry=None if index else Entry("Find your size: how to read", "reading"),
            )
            for index, body in enumerate(bodies)
        )

    return Way(len(bodies), make)


def _reading(sizes: SizeSet, width_mm: float, frame: PageFrame) -> list[Piece]:
    first = size_pieces(sizes, width_mm, frame.style)
    return [*first, space(5.0), *reading_pieces(width_mm, frame)]


def size_pieces(sizes: SizeSet, width_mm: float, style: PageStyle) -> list[Piece]:
    """A line to write one's size on, then how numbers in brackets are read."""
    body = style.body
    pieces = [Piece(_size_line(sizes, width_mm, style), 5.0)]
    if len(sizes.names) == 1:
        return pieces
    pieces += [
        heading("Numbers in brackets", style.sub_head, width_mm),
        paragraph(
            [
                Run("Every bracket holds one number a size, smallest first: "),
                *sizes.order_runs,
                Run("."),
            ],
            body,
            width_mm,
        ),
        *_places(sizes, width_mm, style),
        *_example(sizes, width_mm, style),
    ]
    for first, rest in _RULES:
        words = (bold(first), Run(" " + rest))
        pieces.append(paragraph(words, body, width_mm, role=Role.LI))
    if sizes.mark is not None:
        words = (
            bold(f"This copy is marked for size {sizes.mark}."),
            Run(
                " Its numbers are bold; pages and charts that are for other sizes alone are "
                "left out."
            ),
        )
        pieces.append(paragraph(words, body, width_mm, role=Role.LI))
    return pieces


_RULES: Final = (
    ("One number alone", "is for every size."),
    ("A dash", "– means that your size has no such row or number: go on to the next."),
    (
        "“Only”",
        "above a row names the sizes that work it; the others pass on to “All sizes”.",
    ),
    (
        "The head of each page",
        "names its sizes. On a page for some of them brackets hold the numbers of these alone.",
    ),
    (
        "Before you cast on",
        "go through the pages and circle your number in every bracket.",
    ),
)


def _size_line(sizes: SizeSet, width_mm: float, style: PageStyle) -> Block:
    """ "My size is ____" in a frame; filled in where a size is marked."""
    head = style.sub_head
    high_mm, pad_mm = 14.0, 4.0
    baseline_mm = high_mm / 2 + head.cap_height_mm / 2
    rule_mm = baseline_mm + 1.0
    lead = "My size:"
    texts = list(set_line(lead, pad_mm, baseline_mm, head))
    left_mm = pad_mm + text_width(lead, head) + 3.0
    name = sizes.mark or (sizes.names[0] if len(sizes.names) == 1 else "")
    items: list[Item] = [
        Group(
            (
                rect(0.2, 0.2, width_mm - 0.4, high_mm - 0.4, radius_mm=2.0, stroke_pt=1.2),
                line(left_mm, rule_mm, width_mm - pad_mm, rule_mm, stroke_pt=0.6),
            ),
            role=Role.ARTIFACT,
        ),
        *texts,
    ]
    if name:
        items += set_line(name, left_mm + 1.0, baseline_mm, head)
    return Block(tuple(items), width_mm, high_mm)


def _places(sizes: SizeSet, width_mm: float, style: PageStyle) -> list[Piece]:
    """Which number is whose; not where brackets are too long to count in them."""
    if len(sizes.names) > len(_PLACES):
        return []
    wide_mm = max(text_width((bold(name),), style.body) for name in sizes.names) + 4.0
    pieces = []
    for name, place in zip(sizes.names, _PLACES, strict=False):
        label = set_line((bold(name),), 4.0, style.body.baseline_mm, style.body)
        words = paragraph(place, style.body, width_mm - wide_mm - 4.0, role=Role.BODY)
        items = (Group(label, role=Role.LABEL), words.block.placed(wide_mm + 4.0, 0.0))
        block = Block((Group(items, role=Role.LI),), width_mm, words.block.height_mm)
        pieces.append(Piece(block, 0.0))
    return [*pieces[:-1], Piece(pieces[-1].block, words.after_mm)]


def _example(sizes: SizeSet, width_mm: float, style: PageStyle) -> list[Piece]:
    """One number of the plan read for one of the sizes."""
    if len(sizes.names) > len(_PLACES):
        return []
    found = _differing(make_sized_lines(sizes.plans, sizes.names, mark=sizes.marked))
    if found is None:
        return []
    index = (len(sizes.names) // 2) if sizes.marked is None else sizes.marked
    own = found.own[index]
    assert own is not None
    words = [
        Run("For instance "),
        *sized_runs(found.value),
        Run(f"{NO_BREAK_SPACE}{found.name}: in size {sizes.names[index]} "),
        bold(own.value),
        Run("."),
    ]
    return [paragraph(words, style.body, width_mm)]


_EXAMPLES: Final = ("pegs", "leg rows", "foot rows", "cuff rows")
"""Lines of the plan whose value is a plain count."""


def _differing(lines: Sequence[SizedLine]) -> SizedLine | None:
    """The first of the examples whose number is not the same for all sizes."""
    for name in _EXAMPLES:
        for one in lines:
            if one.name == name and not one.only and "(" in one.value.text:
                return one
    return None
