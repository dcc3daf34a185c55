"""The pages around the parts: cover, contents, loom map, what to gather, key, plan, the last."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from charts.plan import Plan
from charts.verify import Knit
from layouts.block import Block
from layouts.blocks import (
    Piece,
    heading,
    paragraph,
    running_text,
    side_by_side,
    space,
    stacked,
)
from layouts.cautions import caution_rows
from layouts.cover import cover
from layouts.edition import Content
from layouts.frame import TICKS, Entry, Leaf, PageFrame, Side, notes_lines
from layouts.gather import early_caution, gauge_words, term_rows, tool_rows
from layouts.grafting import weaving_pieces
from layouts.key import READING_RULES, KeySigns, key_lines, signs_of, symbol_key
from layouts.loom_map import first_peg_sample, loom_map, marker_sample, pattern_swatch
from layouts.loom_ring import loom_zones, marker_places, zone_pegs
from layouts.page_fill import balanced_pages, filled_pages, tight_pages
from layouts.part_chart import PartChart
from layouts.part_pages import OVERLEAF_COST, hint_block
from layouts.scene import Align, Group, Item, Link, Role, line
from layouts.spreads import Way
from layouts.style import PageStyle
from layouts.tables import plan_head, plan_rows
from layouts.text import NO_BREAK_SPACE, Run, Style, bold, set_line, shortened
from layouts.text import width_mm as width_mm_of
from layouts.tracker import tracker_head, tracker_pieces

COLUMN_GAP_MM: Final = 8.0


def cover_way(knit: Knit, frame: PageFrame) -> Way:
    """The first page."""

    def make() -> tuple[Leaf, ...]:
        body = cover(
            knit,
            width_mm=frame.width_mm,
            height_mm=frame.whole_height_mm,
            style=frame.style,
            imprint=frame.imprint,
        )
        return (Leaf(knit.plan.spec.title, body, bare=True),)

    return Way(1, make)


# --- Contents --------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class ContentsLine:
    """One line of the contents."""

    entry: Entry
    number: str
    """Of the part, as on its thumb mark."""
    page: int


def contents_body(contents: Sequence[ContentsLine], frame: PageFrame) -> Block:
    """Page numbers on the left edge, titles beside them, and below how to read the booklet, if
    there is room for it."""
    width_mm = frame.width_mm
    if frame.is_wide:
        column_mm = (width_mm - COLUMN_GAP_MM) / 2
        listed = contents_list(contents, column_mm, frame.height_mm, frame)
        reading = stacked(reading_pieces(column_mm, frame))
        return side_by_side((listed, reading), COLUMN_GAP_MM)
    if not reads_below(len(contents), frame):
        return contents_list(contents, width_mm, frame.height_mm, frame)
    reading = stacked(reading_pieces(width_mm, frame))
    room_mm = frame.height_mm - reading.height_mm - _BEFORE_READING_MM
    listed = contents_list(contents, width_mm, room_mm, frame)
    foot_mm = frame.height_mm - reading.height_mm
    items = (listed.placed(0.0, 0.0), reading.placed(0.0, foot_mm))
    return Block(items, width_mm, frame.height_mm)


def reads_below(lines: int, frame: PageFrame) -> bool:
    """Whether how to read the booklet stands on the page of so many lines of contents."""
    if frame.is_wide:
        return True
    reading = stacked(reading_pieces(frame.width_mm, frame))
    head_mm = frame.style.note.leading_mm
    room_mm = frame.height_mm - reading.height_mm - _BEFORE_READING_MM - head_mm
    return lines * frame.style.step.leading_mm <= room_mm


_BEFORE_READING_MM: Final = 9.0
ENTRIES_AROUND: Final = 7
"""Lines of the contents that name no part: map, tools, words, key, plan, finishing, ticks."""


def reading_ways(frame: PageFrame) -> list[Way]:
    """How to read the booklet, on pages of its own."""
    pieces = reading_pieces(frame.width_mm, frame)
    pages = list(filled_pages(pieces[1:], frame.height_mm))

    def make() -> tuple[Leaf, ...]:
        return tuple(
            Leaf(
                READING_TITLE,
                stacked(page),
                entry=None if index else Entry(READING_TITLE, "reading"),
            )
            for index, page in enumerate(pages)
        )

    return [Way(len(pages), make)]


@dataclass(frozen=True, slots=True)
class ContentsColumns:
    """Where page, part and title of a line of the contents stand."""

    page_mm: float
    part_mm: float
    """Right edges."""
    title_mm: float


def contents_columns(style: PageStyle) -> ContentsColumns:
    """As wide as their heads are."""
    page_mm = max(7.0, width_mm_of("page", style.note) + 0.3)
    part_mm = page_mm + max(7.0, width_mm_of("part", style.note) + 1.2)
    return ContentsColumns(page_mm, part_mm, part_mm + 4.0)


def contents_list(
    contents: Sequence[ContentsLine], width_mm: float, room_mm: float, frame: PageFrame
) -> Block:
    """The lines of the contents alone."""
    look = frame.style.step
    note = frame.style.body
    head = frame.style.note
    head_mm = head.leading_mm
    columns = contents_columns(frame.style)
    pitch_mm = min(_PITCH * look.leading_mm, (room_mm - head_mm) / max(1, len(contents)))
    heads = (
        *set_line("page", columns.page_mm, head.baseline_mm, head, align=Align.RIGHT),
        *set_line("part", columns.part_mm, head.baseline_mm, head, align=Align.RIGHT),
    )
    items: list[Item] = []
    for index, one in enumerate(contents):
        y_mm = head_mm + index * pitch_mm + look.baseline_mm
        texts = [*set_line((bold(str(one.page)),), columns.page_mm, y_mm, look, align=Align.RIGHT)]
        if one.number:
            number = Style(note.size_pt, note.leading_pt, look.face, frame.style.soft_ink)
            texts += set_line(one.number, columns.part_mm, y_mm, number, align=Align.RIGHT)
        title = shortened(one.entry.title, look, width_mm - columns.title_mm)
        texts += set_line(title, columns.title_mm, y_mm, look)
        top_mm = head_mm + index * pitch_mm
        link = Link(0.0, top_mm, width_mm, pitch_mm, one.entry.anchor, f"to {one.entry.title}")
        heard = f"{one.entry.title}, page {one.page}"
        items.append(Group((*texts, link), role=Role.LI, alt=heard))
    listed = Group(tuple(items), role=Role.LIST)
    return Block(
        (Group(heads, role=Role.ARTIFACT), listed), width_mm, head_mm + len(contents) * pitch_mm
    )


_PITCH: Final = 1.296
"""From line to line of the contents at most, in lines of the steps."""

READING_TITLE: Final = "How to read this booklet"

_IN_CHARTS: Final = (Content.FULL, Content.CHARTS)
_IN_STEPS: Final = (Content.FULL, Content.STEPS)
_ALWAYS: Final = tuple(Content)

READING: Final = (
    (_IN_CHARTS, "From the bottom up.", "Row 1 is the lowest row of a chart."),
    (_ALWAYS, "One row, one pass of the yarn.", "The arrow shows which way it runs."),
    (
        _IN_CHARTS,
        "The right side always faces you.",
        "A cell means the same act whichever way the row runs.",
    ),
    (
        (Content.STEPS,),
        "The right side always faces you.",
        "A word means the same act whichever way the row runs.",
    ),
    (
        _IN_STEPS,
        "Tick as you go.",
        "Each row has one box; rows told together have small boxes with their numbers.",
    ),
    (
        (Content.CHARTS,),
        "Tick as you go.",
        "Each row has a box on the tick sheet at the end.",
    ),
    (
        _ALWAYS,
        "Check.",
        "A line with a grey bar says what you must find on the loom; if you do not, go back.",
    ),
    (
        _ALWAYS,
        "Find your place.",
        "The small sock in the corner and the black mark on the edge name the part you are at.",
    ),
)
"""How to read the booklet: what it must hold, what to remember, and why or how."""


def reading_pieces(width_mm: float, frame: PageFrame) -> list[Piece]:
    """How to read the booklet, and a line to measure the print by."""
    style = frame.style
    pieces = [heading(READING_TITLE, style.sub_head, width_mm)]
    for contents, first, rest in READING:
        if frame.edition.content not in contents:
            continue
        words = (bold(first), Run(" " + rest))
        pieces.append(paragraph(words, style.body, width_mm, role=Role.LI))
    return [*pieces, Piece(_ruler(width_mm, frame))]


def _ruler(width_mm: float, frame: PageFrame) -> Block:
    """A line of 50 mm: a printer that scales shows it."""
    note = frame.style.note
    y_mm = max(2.2, note.cap_height_mm)
    strokes: list[Item] = [
        line(0.0, y_mm, 50.0, y_mm, stroke_pt=0.6),
        *(line(x, y_mm - 1.4, x, y_mm + 1.4, stroke_pt=0.6) for x in (0.0, 50.0)),
        *(line(x, y_mm - 0.8, x, y_mm, stroke_pt=0.6) for x in (10.0, 20.0, 30.0, 40.0)),
    ]
    told = f"50{NO_BREAK_SPACE}mm when printed at 100{NO_BREAK_SPACE}%"
    height_mm = max(5.0, 2 * y_mm)
    if 53.0 + width_mm_of(told, note) <= width_mm:
        words = set_line(told, 53.0, y_mm + note.cap_height_mm / 2, note)
    else:
        words = set_line(told, 0.0, height_mm + note.baseline_mm, note)
        height_mm += note.leading_mm
    items = (Group(tuple(strokes), role=Role.ARTIFACT), Group(words, role=Role.P))
    return Block(items, width_mm, height_mm)


# --- Loom map --------------------------------------------------------------------------------

ZONE_USES: Final = {
    "gusset": "on holders while the heel turns; hung with edge loops for the foot",
    "turn": "the middle of the heel, worked to and fro for the turn",
    "instep": "waits while heel and toe are worked",
    "toe": "short rows to and fro; then grafted to the instep",
}


def loom_map_ways(plan: Plan, frame: PageFrame) -> list[Way]:
    """The ring and its legend; on two pages that face each other where the ring would be small."""
    width_mm = frame.width_mm
    legend = map_legend(plan, frame.style.measure_mm(width_mm), frame)
    room_mm = frame.height_mm - legend.height_mm - 5.0
    ring_mm = min(width_mm, _RING_MM * frame.style.growth)
    apart = room_mm < _LEAST_RING * ring_mm

    def make() -> tuple[Leaf, ...]:
        high_mm = frame.height_mm if apart else room_mm
        drawing = loom_map(plan, width_mm=ring_mm, height_mm=high_mm, style=frame.style)
        pieces = [Piece(drawing, 5.0), Piece(legend)]
        pages = [[piece] for piece in pieces] if apart else [pieces]
        return tuple(
            Leaf(
                "Loom map",
                stacked(page),
                "what it shows" if index else "",
                entry=None if index else Entry("Loom map", "loom"),
            )
            for index, page in enumerate(pages)
        )

    if not apart:
        return [Way(1, make)]
    return [Way(2, make, Side.LEFT), Way(2, make, cost=OVERLEAF_COST)]


_LEAST_RING: Final = 0.75
"""Height of the map beside its legend at least, in widths that it could have."""


_RING_MM: Final = 150.0
"""Width of the loom map at most, on an A5 page."""


def map_legend(plan: Plan, width_mm: float, frame: PageFrame) -> Block:
    """Zones by their fill, with their pegs; then the markers."""
    style = frame.style
    look = style.body
    items: list[Item] = []
    y_mm = 0.0
    growth = style.growth
    wide_mm, high_mm, indent_mm = 8.0 * growth, 3.4 * growth, 11.0 * growth
    drop_mm = (look.leading_mm - high_mm) / 2 + 0.1
    zones = loom_zones(plan)
    for name, use in ZONE_USES.items():
        group = [zone for zone in zones if zone.name == name]
        swatch = pattern_swatch(
            group[0].pattern, width_mm=wide_mm, height_mm=high_mm, tint=style.zone_tint(name)
        )
        words = (bold(f"{name.capitalize()}"), Run(f", pegs {zone_pegs(plan, group)}: {use}."))
        text = paragraph(words, look, width_mm - indent_mm, role=Role.LI)
        items += [swatch.placed(0.0, y_mm + drop_mm), text.block.placed(indent_mm, y_mm)]
        y_mm += text.block.height_mm + 0.8 * growth
    for sample, told in (
        (marker_sample(width_mm=8.0, height_mm=3.4).grown(growth), marker_words(plan)),
        (first_peg_sample(width_mm=8.0, height_mm=3.4).grown(growth), first_peg_words(plan)),
    ):
        text = paragraph(told, look, width_mm - indent_mm, role=Role.LI)
        items += [sample.placed(0.0, y_mm + drop_mm), text.block.placed(indent_mm, y_mm)]
        y_mm += text.block.height_mm + 0.8 * growth
    return Block((Group(tuple(items), role=Role.LIST),), width_mm, y_mm - 0.8 * growth)


def marker_words(plan: Plan) -> tuple[Run, ...]:
    """Which pegs carry a marker."""
    markers = ", ".join(str(plan.peg(place)) for place in marker_places(plan))
    return (
        bold("Markers"),
        Run(f", a band or a dot on pegs {markers}; drawn with a dot: the round’s start."),
    )


def first_peg_words(plan: Plan) -> tuple[Run, ...]:
    """What the black peg is."""
    moved = f"; from the leg on they start at peg {plan.peg(1)}" if plan.shift else ""
    return (bold("Peg 1"), Run(f", black: the cast-on and the cuff’s rounds start here{moved}."))


# --- Gather, key, plan -----------------------------------------------------------------------


def gather_way(
    knit: Knit,
    frame: PageFrame,
    *,
    cautions_page: Callable[[], int | None] = lambda: None,
) -> Way:
    """Tools, gauge and the designer's notes, then the words used.

    `cautions_page` is asked when the pages are drawn.
    """
    column_mm = gather_column_mm(frame)
    tools = tool_rows(knit, column_mm, frame.style, frame.edition.content)
    terms = term_rows(knit, column_mm, frame.style)

    def make() -> tuple[Leaf, ...]:
        return tuple(_gather_leaves(knit, tools, terms, frame, cautions_page()))

    return Way(len(_gather_leaves(knit, tools, terms, frame, ANY_PAGE)), make)


GATHER_TITLE: Final = "What to gather"
WORDS_TITLE: Final = "Words used here"
_BEFORE_WORDS_MM: Final = 6.0
ANY_PAGE: Final = 88
"""As wide as the page number that is not known yet."""


def gather_column_mm(frame: PageFrame) -> float:
    """Width of the tables; on wide paper there are two side by side."""
    if frame.is_wide:
        return (frame.width_mm - COLUMN_GAP_MM) / 2
    return frame.width_mm


def _gather_leaves(
    knit: Knit,
    tool_table: Sequence[Piece],
    terms: Sequence[Piece],
    frame: PageFrame,
    cautions_page: int | None,
) -> list[Leaf]:
    """The words on a page of their own, or close behind where pages have two columns or the tools
    take more than one."""
    style, column_mm = frame.style, gather_column_mm(frame)
    tools = [
        *tool_table,
        space(4.0),
        early_caution(column_mm, style, cautions_page),
        space(2.0),
        heading("Gauge", style.sub_head, column_mm),
        paragraph(gauge_words(knit.plan), style.body, column_mm),
    ]
    if knit.plan.spec.notes:
        tools += [
            space(4.0),
            heading("From the designer", style.sub_head, column_mm),
            *running_text(knit.plan.spec.notes, style.body, column_mm),
        ]
    head = heading(WORDS_TITLE, style.sub_head, column_mm)
    first, *others = filled_pages(tools, frame.height_mm)
    if frame.is_wide or others:
        flowing = [*tools, space(_BEFORE_WORDS_MM), head, *terms]
        columns = tight_pages(flowing, frame.height_mm)
        even = balanced_pages(flowing, frame.height_mm)
        if not frame.is_wide and len(even) == len(columns):
            columns = even
    else:
        words, *more = filled_pages(terms, frame.height_mm)
        columns = [first, [head, *words], *more]
    return list(_titled(columns, head, across=2 if frame.is_wide else 1))


def _titled(columns: Sequence[list[Piece]], head: Piece, *, across: int) -> Iterator[Leaf]:
    """Pages of so many columns each, by what they begin with; `head` is that of the words."""
    words_begun = False
    before = ""
    for index in range(0, len(columns), across):
        shown = [[*column] for column in columns[index : index + across]]
        with_head = any(piece.block is head.block for column in shown for piece in column)
        title = WORDS_TITLE if words_begun else GATHER_TITLE
        if shown[0][0].block is head.block:
            title = WORDS_TITLE
            del shown[0][0]
        words_begun = words_begun or with_head
        entry = Entry(WORDS_TITLE, "words") if with_head else None
        if not index:
            entry = Entry(GATHER_TITLE, "gather")
        body = side_by_side([stacked(column) for column in shown], COLUMN_GAP_MM)
        yield Leaf(title, body, "continued" if title == before else "", entry=entry)
        before = title


def key_way(charts: Iterable[PartChart], frame: PageFrame) -> Way:
    """Every sign of every chart, and how to read a chart."""
    style, width_mm = frame.style, frame.width_mm
    signs = signs_of(chart for part in charts for chart in part.best.charts)
    rules = [
        heading("How to read a chart", style.sub_head, width_mm),
        *(paragraph(rule, style.body, width_mm, role=Role.LI) for rule in READING_RULES),
    ]
    pages = list(filled_pages([*key_pieces(signs, frame), *rules], frame.height_mm))

    def make() -> tuple[Leaf, ...]:
        return tuple(
            Leaf(
                "Symbol key",
                stacked(page),
                "continued" if index else "",
                entry=None if index else Entry("Symbol key", "key"),
            )
            for index, page in enumerate(pages)
        )

    return Way(len(pages), make)


def key_pieces(signs: KeySigns, frame: PageFrame) -> list[Piece]:
    """The key in one piece; one that is higher than a page sign by sign."""
    style, width_mm = frame.style, frame.width_mm
    whole = symbol_key(
        signs.letters, signs.marks, width_mm=width_mm, style=style, crosses=signs.crosses
    )
    if whole.height_mm <= frame.height_mm:
        return [Piece(whole, _AFTER_KEY_MM)]
    *lead, last = key_lines(signs, width_mm=width_mm, style=style)
    return [*map(Piece, lead), Piece(last, _AFTER_KEY_MM)]


_AFTER_KEY_MM: Final = 7.0


def plan_way(plan: Plan, frame: PageFrame) -> Way:
    """Every number with its reason, and the warnings."""
    style = frame.style
    width_mm = style.measure_mm(frame.width_mm)
    head = plan_head(width_mm, style)
    rows = plan_rows(plan, width_mm, style)
    if plan.warnings:
        rows.append(space(4.0))
        rows.append(heading("Mind", style.sub_head, width_mm))
        rows += [paragraph(_stopped(words), style.body, width_mm) for words in plan.warnings]
    if head is None:
        pages = balanced_pages(rows, frame.height_mm)
    else:
        pages = list(filled_pages(rows, frame.height_mm, head))

    def make() -> tuple[Leaf, ...]:
        return tuple(
            Leaf(
                "The plan",
                stacked(page),
                "" if not index else "continued",
                entry=None if index else Entry("The plan: every number and why", "plan"),
            )
            for index, page in enumerate(pages)
        )

    return Way(len(pages), make)


def _stopped(words: str) -> str:
    return words if words.endswith(".") else words + "."


# --- The last pages --------------------------------------------------------------------------


def tracker_way(knit: Knit, frame: PageFrame, *, hint: str = "") -> Way:
    """Boxes for both socks; `hint` tells how the second one is knitted."""
    style = frame.style
    width_mm = frame.width_mm
    lines = tracker_pieces(knit, width_mm, style)
    under = hint_block(hint, frame) if hint else None
    room_mm = frame.height_mm - (under.height_mm if under else 0.0)
    pages = list(filled_pages(lines, room_mm, tracker_head(width_mm, style)))

    def make() -> tuple[Leaf, ...]:
        return tuple(
            Leaf(
                "Tick sheet",
                stacked(page),
                "continued" if index else "for both socks",
                number=TICKS,
                entry=None if index else Entry("Tick sheet for both socks", "tracker"),
                under=under,
            )
            for index, page in enumerate(pages)
        )

    return Way(len(pages), make)


def finishing_way(plan: Plan, frame: PageFrame, *, hint: str = "") -> Way:
    """Weaving in, how the second sock is knitted if the `hint` tells it, and the cautions."""
    style = frame.style
    width_mm = style.measure_mm(frame.width_mm)
    finishing = weaving_pieces(plan, width_mm=width_mm, style=style)
    if hint:
        finishing += [
            space(4.0),
            heading("The second sock", style.sub_head, width_mm),
            paragraph(hint, style.body, width_mm),
        ]
    cautions = [
        heading("Cautions", style.sub_head, width_mm),
        *caution_rows(width_mm, style),
    ]
    pages = list(filled_pages([*finishing, space(6.0), *cautions], frame.height_mm))
    if len(pages) > 1:
        first = list(filled_pages(finishing, frame.height_mm))
        pages = [*first, *balanced_pages(cautions, frame.height_mm)]
    before = next(index for index, page in enumerate(pages) if cautions[0] in page)

    def make() -> tuple[Leaf, ...]:
        return tuple(
            Leaf(
                "Finishing",
                stacked(page),
                "and cautions" if index == before else "continued" if index else "",
                entry=None if index else Entry("Finishing and cautions", "finishing"),
            )
            for index, page in enumerate(pages)
        )

    return Way(len(pages), make, places=((CAUTIONS_PLACE, before),))


CAUTIONS_PLACE: Final = "cautions"
"""Name of the page that the cautions begin on."""


def notes_leaf(frame: PageFrame) -> Leaf:
    """A page to write on."""
    lines = notes_lines(frame.width_mm, frame.height_mm, frame.style)
    return Leaf("Notes", lines, heads=True)
