"""What to gather, the words used and the plan of several sizes, numbers in brackets."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import dropwhile
from typing import Final

from charts.plan import Plan
from charts.sized_steps import SizedLine, make_sized_lines
from layouts.block import Block
from layouts.blocks import Piece, heading, paragraph, running_text, side_by_side, space, stacked
from layouts.edition import Content
from layouts.faces import Face
from layouts.frame import Entry, Leaf, PageFrame
from layouts.front_matter import ANY_PAGE, COLUMN_GAP_MM
from layouts.gather import (
    TERM_MM,
    TOOL_MM,
    Tool,
    early_caution,
    gauge_words,
    marker_tool,
    terms_of,
    tools_of,
)
from layouts.page_fill import filled_pages, tight_pages
from layouts.scene import Group, Item, Role, line
from layouts.size_order import SizeSet, sentence_runs, sized_runs
from layouts.spreads import Way
from layouts.style import PageStyle
from layouts.tables import gap_columns, named_row, table_row
from layouts.text import Run, bold, break_lines, set_lines

# --- What to gather --------------------------------------------------------------------------


def sized_gather_way(
    sizes: SizeSet, frame: PageFrame, cautions_page: Callable[[], int | None] = lambda: None
) -> Way:
    """Tools, gauge and the designer's notes, then the words used; numbers in brackets.

    `cautions_page` is asked when the pages are drawn.
    """
    titles, _ = _gather_pages(sizes, frame, ANY_PAGE)

    def make() -> tuple[Leaf, ...]:
        bodies = _gather_pages(sizes, frame, cautions_page())[1]
        return tuple(
            Leaf(
                title,
                body,
                "" if titles.index(title) == index else "continued",
                entry=Entry(title, _ANCHORS[title]) if titles.index(title) == index else None,
            )
            for index, (title, body) in enumerate(zip(titles, bodies, strict=True))
        )

    return Way(len(titles), make)


def _gather_pages(
    sizes: SizeSet, frame: PageFrame, cautions_page: int | None
) -> tuple[list[str], list[Block]]:
    """Titles and bodies of the pages."""
    style, width_mm = frame.style, frame.width_mm
    wide = frame.is_wide
    column_mm = (width_mm - COLUMN_GAP_MM) / 2 if wide else width_mm
    tools = [
        *tool_rows(sizes, column_mm, style, frame.edition.content),
        space(4.0),
        early_caution(column_mm, style, cautions_page),
        space(2.0),
        heading("Gauge", style.sub_head, column_mm),
        *_told_paragraphs(sizes, [gauge_words(plan) for plan in sizes.plans], column_mm, style),
    ]
    notes = [plan.spec.notes for plan in sizes.plans]
    for words in dict.fromkeys(filter(None, notes)):
        own = sizes.of([index for index, one in enumerate(notes) if one == words])
        which = "" if len(own.names) == len(sizes.names) else f", {own.order.text}"
        tools += [
            space(4.0),
            heading(f"From the designer{which}", style.sub_head, column_mm),
            *running_text(words, style.body, column_mm),
        ]
    terms = term_rows(sizes, column_mm, style)
    if wide:
        head = heading(WORDS, style.sub_head, column_mm)
        pages = tight_pages([*tools, space(6.0), head, *terms], frame.height_mm)
        columns = [stacked(dropwhile(_is_space, page)) for page in pages]
        bodies = [
            side_by_side(columns[index : index + 2], COLUMN_GAP_MM)
            for index in range(0, len(columns), 2)
        ]
        titles = ["What to gather"] * len(bodies)
    else:
        first = list(filled_pages(tools, frame.height_mm))
        second = list(filled_pages(terms, frame.height_mm))
        bodies = [stacked(page) for page in (*first, *second)]
        titles = ["What to gather"] * len(first) + [WORDS] * len(second)

    return titles, bodies


def _is_space(piece: Piece) -> bool:
    return not piece.block.items


WORDS: Final = "Words used here"
_ANCHORS: Final = {"What to gather": "gather", WORDS: "words"}


def tool_rows(sizes: SizeSet, width_mm: float, style: PageStyle, content: Content) -> list[Piece]:
    """The tools of all sizes; those that not every size needs name theirs."""
    found = [
        [_without_places(tool, knit.plan) for tool in tools_of(knit, content)]
        for knit in sizes.knits
    ]
    pairs = [[(tool.name, tool.use) for tool in tools] for tools in found]
    return _rows(sizes, pairs, TOOL_MM, width_mm, style)


def _without_places(tool: Tool, plan: Plan) -> Tool:
    """Markers sit where the loom map of the size says: in brackets nobody finds the pegs."""
    if tool != marker_tool(plan):
        return tool
    use = (
        "A band or a dot on the pegs that the loom map of your size shows, where heel, turn, toe "
        "and instep begin. One looks different and sits on peg 1, where the rounds start; if your "
        "map shows another start, move it there after the cuff."
    )
    return Tool(tool.name, use)


def term_rows(sizes: SizeSet, width_mm: float, style: PageStyle) -> list[Piece]:
    """The words used in any of the sizes."""
    pairs = [
        [(term.word, _sentence(term.meaning)) for term in terms_of(knit)] for knit in sizes.knits
    ]
    return _rows(sizes, pairs, TERM_MM, width_mm, style)


def _rows(
    sizes: SizeSet,
    pairs: Sequence[Sequence[tuple[str, str]]],
    name_mm: float,
    width_mm: float,
    style: PageStyle,
) -> list[Piece]:
    """Name and words of each thing, once for all sizes that say the same of it."""
    by_name = [dict(one) for one in pairs]
    names = dict.fromkeys(name for one in pairs for name, _ in one)
    rows = []
    for name in _in_order(names, [[name for name, _ in one] for one in pairs]):
        lead: list[Run] = [bold(name)]
        for only, text in sizes.told([one.get(name) for one in by_name]):
            words = sized_runs(text)
            if only:
                words = [Run(f"{only}: ", Face.BOLD), *words]
            rows.append(named_row(lead, words, name_mm, width_mm, style.body))
            lead = []
    return rows


def _in_order(names: Iterator[str] | dict[str, None], orders: Sequence[Sequence[str]]) -> list[str]:
    """The names in an order that agrees with that of each size."""
    left = list(names)
    out: list[str] = []
    while left:
        free = next(
            name
            for name in left
            if all(
                name not in order or not set(order[: order.index(name)]) & set(left)
                for order in orders
            )
        )
        left.remove(free)
        out.append(free)
    return out


def _told_paragraphs(
    sizes: SizeSet, texts: Sequence[str], width_mm: float, style: PageStyle
) -> list[Piece]:
    pieces = []
    for only, text in sizes.told(texts):
        lead = [Run(f"{only}: ", Face.BOLD)] if only else []
        pieces.append(paragraph([*lead, *sized_runs(text)], style.body, width_mm))
    return pieces


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


# --- The plan --------------------------------------------------------------------------------

_MOST_MM: Final = 160.0
_AFTER_ROW_MM: Final = 1.2


def sized_plan_way(sizes: SizeSet, frame: PageFrame) -> Way:
    """Every number of the sizes with its reason, and the warnings."""
    style = frame.style
    width_mm = min(frame.width_mm, _MOST_MM)
    pages: list[tuple[SizeSet, list[Piece]]] = []
    for chunk in sizes.chunks():
        rows = [
            piece
            for one in make_sized_lines(chunk.plans, chunk.names, mark=chunk.marked)
            for piece in _plan_row(one, chunk, width_mm, style)
        ]
        rows += _warnings(chunk, width_mm, style)
        head = _plan_head(chunk, width_mm, style)
        pages += [(chunk, page) for page in tight_pages(rows, frame.height_mm, head)]

    def make() -> tuple[Leaf, ...]:
        return tuple(
            Leaf(
                "The plan",
                stacked(page),
                "continued" if index else "",
                entry=None if index else Entry("The plan: every number and why", "plan"),
            )
            for index, (_, page) in enumerate(pages)
        )

    return Way(len(pages), make)


def _plan_columns(width_mm: float) -> float:
    """Where the numbers begin."""
    return width_mm * 0.29


def _plan_head(sizes: SizeSet, width_mm: float, style: PageStyle) -> Piece:
    left_mm = _plan_columns(width_mm)
    columns = gap_columns((left_mm - 4.0,), width_mm)
    return table_row(
        ((bold("What"),), sizes.order_runs),
        columns,
        style.body,
        role=Role.TH,
        rule_pt=1.0,
        with_next=True,
    )


def _plan_row(one: SizedLine, sizes: SizeSet, width_mm: float, style: PageStyle) -> Iterator[Piece]:
    """Name and number on one line, the reasons in smaller type below the number.

    A page may break before the second reason.
    """
    body, note = style.body, style.note
    left_mm = _plan_columns(width_mm)
    wide_mm = width_mm - left_mm
    top_mm = 0.6
    name = set_lines(
        break_lines(one.name[:1].upper() + one.name[1:], body, left_mm - 4.0),
        0.0,
        top_mm,
        left_mm - 4.0,
        body,
        role=Role.TH,
    )
    rest = Face.REGULAR if sizes.marked is not None and "(" in one.value.text else Face.BOLD
    value = [*sized_runs(one.value, rest=rest)]
    placed = set_lines(
        break_lines(value, body, wide_mm), left_mm, top_mm, wide_mm, body, role=Role.TD
    )
    rule = Group((line(0.0, 0.0, width_mm, 0.0, stroke_pt=0.3),), role=Role.ARTIFACT)
    items: list[Item] = [rule, name.group, placed.group]
    y_mm, least_mm = placed.box.bottom_mm, name.box.bottom_mm
    told = sizes.told([None if own is None else own.reason for own in one.own])
    for index, (only, text) in enumerate(told, start=1):
        words = [*([Run(f"{only}: ", Face.BOLD)] if only else []), *sentence_runs(text)]
        reason = set_lines(
            break_lines(words, note, wide_mm), left_mm, y_mm, wide_mm, note, role=Role.TD
        )
        items.append(reason.group)
        height_mm = max(reason.box.bottom_mm, least_mm)
        block = Block((Group(tuple(items), role=Role.TR),), width_mm, height_mm)
        yield Piece(block, _AFTER_ROW_MM if index == len(told) else 0.0)
        items, y_mm, least_mm = [], 0.0, 0.0


def _warnings(sizes: SizeSet, width_mm: float, style: PageStyle) -> list[Piece]:
    """What the designer should mind, size by size where they differ."""
    each = [dict.fromkeys(plan.warnings) for plan in sizes.plans]
    words = dict.fromkeys(warning for one in each for warning in one)
    if not words:
        return []
    pieces = [space(4.0), heading("Mind", style.sub_head, width_mm)]
    for warning in words:
        own = sizes.of([index for index, one in enumerate(each) if warning in one])
        lead = []
        if len(own.names) < len(sizes.names):
            lead = [Run(f"{own.order.text}: ", Face.BOLD)]
        stop = "" if warning.endswith(".") else "."
        pieces.append(paragraph([*lead, Run(warning + stop)], style.body, width_mm))
    return pieces
