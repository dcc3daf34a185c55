"""One person's pack: their numbers, charts with steps, and the card of the heel turn.

What belongs to the sock is laid out once (`SockPack`) and serves all who knit it in the same print;
the label and the page numbers are a person's own (`make_pack`).  A pack has whole sheets, so that
packs printed one after the other on both sides begin each on a sheet of their own.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any, Final, NamedTuple, TypeVar

from charts.gauge_of import gauge_of
from charts.hands import edition_words
from charts.parts import MIRRORED_PARTS, Part, parts_of
from charts.plan import Plan
from charts.verify import Knit
from charts.yarn_figures import YarnFigures, yarn_figures
from layouts.block import DoesNotFitError
from layouts.blocks import Piece, heading, paragraph, running_text, space, stacked
from layouts.booklet import second_sock_words
from layouts.card import make_card
from layouts.cautions import caution_rows
from layouts.edition import Edition, PrintSize
from layouts.frame import PageFrame, Side, notes_lines
from layouts.front_matter import key_pieces
from layouts.grafting import weaving_pieces
from layouts.key import READING_RULES, signs_of
from layouts.pack_numbers import Personal, SockNumbers
from layouts.pack_parts import (
    RUNNING_HEAD_MM,
    Fixed,
    PackPage,
    PackPart,
    PackRoom,
    PartLayout,
    pack_pages,
    part_key,
)
from layouts.page_fill import filled_pages
from layouts.paper import CARD_SAFE, PRINTER_SAFE, Paper
from layouts.scene import Align, Document, Group, Item, OutlineEntry, Page, Role, line
from layouts.style import BOOKLET, PageStyle, style_of
from layouts.text import Style, bold, set_line, width_mm

CARD_PART: Final = Part.TURN
PACK: Final = replace(
    BOOKLET,
    body=Style(9.5, 12.5, after_pt=3.2),
    step=Style(10.5, 13.0, after_pt=2.6),
    inner_mm=13.0,
    outer_mm=11.0,
    top_mm=10.0,
    bottom_mm=11.0,
)
"""The booklet's look set closer: loose sheets, read with the loom beside them."""

_KEY: Final = "Signs in the charts"
_FINISHING: Final = "Finishing"
_CAUTIONS: Final = "Cautions"
_NOTES: Final = "Notes"
_AFTER_HEADING_MM: Final = 1.6
_BEFORE_HEAD_MM: Final = 3.0


_T = TypeVar("_T")


class Shelf:
    """What was laid out last, so that socks that share it need not make it again."""

    def __init__(self) -> None:
        self._kept: dict[Hashable, Any] = {}

    def find(self, key: Hashable, make: Callable[[], _T]) -> _T:
        """What is kept under the key; made and kept if there is nothing."""
        found: _T = self._kept.pop(key) if key in self._kept else make()
        self._kept[key] = found
        if len(self._kept) > _KEPT:
            del self._kept[next(iter(self._kept))]
        return found


_KEPT: Final = 48
"""Things on the shelf at most: the parts of some looms; what was not asked for longest goes."""


@dataclass(frozen=True, slots=True)
class PackFrame(PageFrame):
    """The frame of a pack's pages."""

    @property
    def style(self) -> PageStyle:
        """A pack's own look in standard print."""
        if self.edition.size is PrintSize.STANDARD:
            return PACK
        return style_of(self.edition, self.paper)


@dataclass(frozen=True)
class SockPack:
    """All of a pack that is the same for everyone who knits this sock in this print."""

    knit: Knit
    second: Knit
    """The other sock of the pair; the first again where both are alike."""
    paper: Paper
    size: PrintSize = PrintSize.STANDARD
    shelf: Shelf = field(default_factory=Shelf)
    """What other socks of the class have in common with this one."""

    @cached_property
    def room(self) -> PackRoom:
        return PackRoom(PackFrame(self.knit.plan, self.paper.upright, Edition(self.size)))

    @property
    def style(self) -> PageStyle:
        return self.room.style

    @cached_property
    def yarn(self) -> YarnFigures | None:
        """None without a gauge."""
        gauge = gauge_of(self.knit.plan.spec)
        return None if gauge is None else yarn_figures(self.knit, self.second, gauge)

    @cached_property
    def numbers(self) -> SockNumbers:
        return SockNumbers(self.knit, self.yarn, self.room)

    @cached_property
    def pages(self) -> tuple[PackPage, ...]:
        """Key, parts, finishing and cautions.  Raises DoesNotFitError on too small a page."""
        parts = list(self._parts())
        return tuple(pack_pages([*self._key(parts), *parts, *self._tail()], self.room))

    def _parts(self) -> Iterator[PackPart]:
        numbers = {part: str(number) for number, part in enumerate(parts_of(self.knit), start=1)}
        for part, number in numbers.items():
            yield self._part(self.knit, part, number, again=False)
        if self.second.rows != self.knit.rows:
            for part in MIRRORED_PARTS:
                if part in numbers:
                    yield self._part(self.second, part, numbers[part], again=True)

    def _part(self, knit: Knit, part: Part, number: str, *, again: bool) -> PackPart:
        key = (part_key(knit, part), number, again, self._look)
        layout = self.shelf.find(key, lambda: PartLayout(knit, part, number, self.room, again))
        return PackPart(layout, self.room)

    @property
    def _look(self) -> Hashable:
        return (self.paper, self.size)

    def _key(self, parts: Sequence[PackPart]) -> Iterator[Fixed]:
        """The signs of all charts, and how a chart is read."""
        room = self.room
        charts = (one for one in parts if one.part is not Part.CLOSING)
        signs = signs_of(chart for one in charts for chart in one.layout.chart.best.charts)
        first, *others = key_pieces(signs, room.frame)
        rules = paragraph(" ".join(READING_RULES), room.style.body, room.width_mm)
        yield from self._text(_KEY, [first, *others, rules])

    def _tail(self) -> Iterator[Fixed]:
        """What comes after the parts: finishing, the second sock, the designer's words, dangers."""
        style, wide_mm = self.room.style, self.room.width_mm
        spec = self.knit.plan.spec
        finishing = [
            *weaving_pieces(self.knit.plan, width_mm=wide_mm, style=style),
            space(_BEFORE_HEAD_MM),
            heading("The second sock", style.sub_head, wide_mm),
            paragraph(second_sock_words(self.knit, self.second), style.body, wide_mm),
        ]
        yield from self._text(_FINISHING, finishing)
        if spec.notes:
            notes = running_text(spec.notes, style.body, wide_mm)
            yield from self._text("From the designer", notes)
        yield from self._text(_CAUTIONS, caution_rows(wide_mm, style))

    def _text(self, title: str, pieces: Sequence[Piece]) -> Iterator[Fixed]:
        """Pieces under a heading, a page's worth in each."""
        room = self.room
        head = replace(heading(title, room.head, room.width_mm), after_mm=_AFTER_HEADING_MM)
        pages = filled_pages([head, *pieces], room.height_mm)
        for index, page in enumerate(pages):
            yield Fixed("" if index else title, stacked(page))

    @cached_property
    def card_sheets(self) -> tuple[CardSide, ...]:
        """The pages of the card, fronts and backs of sheets in turn.

        Both sides of a card of half the paper stand one above the other to be cut out, and the back
        of their sheet is blank; where such a card is too small it is as large as the paper.  Empty
        if that is too small as well: then the pages of the turn must do.
        """
        key = ("card", part_key(self.knit, CARD_PART), self._look)
        return self.shelf.find(key, self._make_card_sheets)

    def _make_card_sheets(self) -> tuple[CardSide, ...]:
        paper = self.paper.upright
        half = Paper("", paper.width_mm, paper.height_mm / 2)
        try:
            sides = make_card(self.knit, CARD_PART, paper=half).pages
        except DoesNotFitError:
            try:
                whole = make_card(self.knit, CARD_PART, paper=paper).pages
            except DoesNotFitError:
                return ()
            return tuple(CardSide(_upright(page, at, paper)) for at, page in enumerate(whole))
        sheets: list[CardSide] = []
        for at in range(0, len(sides), 2):
            sheets += (_to_cut_out(sides[at : at + 2], half), CardSide(()))
        return tuple(sheets)


class CardSide(NamedTuple):
    """One side of a sheet with the card."""

    items: tuple[Item, ...]
    cut_mm: float | None = None
    """From the top of the paper to where it is cut."""


def _to_cut_out(sides: Sequence[Page], half: Paper) -> CardSide:
    """Sides one above the other with a line to cut along."""
    from_mm = PRINTER_SAFE.left_mm + 0.5
    to_mm = half.width_mm - from_mm
    cut = line(from_mm, half.height_mm, to_mm, half.height_mm, stroke_pt=0.5, dash_mm=(2.0,))
    items = (
        *(
            Group(side.items, 0.0, at * half.height_mm, role=Role.SECTION)
            for at, side in enumerate(sides)
        ),
        Group((cut,), role=Role.ARTIFACT),
    )
    return CardSide(items, half.height_mm)


def _labelled(side: CardSide, who: str, style: PageStyle) -> tuple[Item, ...]:
    """The side with the label above and below the cut, in the margins of both halves."""
    if side.cut_mm is None:
        return side.items
    look = Style(style.note.size_pt, style.note.leading_pt)
    above_mm = side.cut_mm - _FROM_CUT_MM
    below_mm = side.cut_mm + _FROM_CUT_MM + look.cap_height_mm
    labels = (set_line((bold(who),), CARD_SAFE.left_mm, at, look) for at in (above_mm, below_mm))
    return (*side.items, *(Group(label, role=Role.P) for label in labels))


_FROM_CUT_MM: Final = 3.2
"""Clear of the cut and of the words on both sides."""


def _upright(side: Page, index: int, paper: Paper) -> tuple[Item, ...]:
    """A side of a card on an upright page; a level one is turned so that front and back are read
    one after the other when the sheet is turned over at its long edge."""
    if side.width_mm <= side.height_mm:
        return side.items
    if index % 2:
        return (Group(side.items, 0.0, paper.height_mm, quarter_turns=3),)
    return (Group(side.items, paper.width_mm, 0.0, quarter_turns=1),)


def make_pack(pack: SockPack, personal: Personal) -> Document:
    """The person's pack on whole sheets: an even number of pages, the card on the last of them.

    Raises DoesNotFitError, saying what would fit, if the paper is too small.
    """
    first = _numbers(pack, personal)
    text = [*first, *pack.pages]
    if len(text) % 2:
        text.append(_notes_page(pack.room))
    count = len(text) + len(pack.card_sheets)
    pages = [
        _text_page(pack, personal, page, number, count) for number, page in enumerate(text, start=1)
    ]
    for number, side in enumerate(pack.card_sheets, start=len(text) + 1):
        items = _labelled(side, personal.who, pack.style)
        title = f"{CARD_PART.title}, card" if number == len(text) + 1 else ""
        pages.append(_page(pack, items, number, (title,) if title else ()))
    plan = pack.knit.plan
    return Document(
        tuple(pages),
        f"{personal.who}: {plan.spec.title}",
        plan.spec.designer,
        f"A sock for a round loom of {_loom_words(plan)}",
        ("sock", "round loom", "class pack"),
        rights=plan.spec.house.rights_words,
    )


def _notes_page(room: PackRoom) -> PackPage:
    """A page to write on."""
    head = heading(_NOTES, room.head, room.width_mm)
    lines = notes_lines(room.width_mm, room.height_mm - head.height_mm, room.style)
    return PackPage((_NOTES,), stacked([head, Piece(lines)]))


def _numbers(pack: SockPack, personal: Personal) -> list[PackPage]:
    """The first pages; they name the page of the cautions, which stand behind them."""
    before = next(index for index, page in enumerate(pack.pages) if _CAUTIONS in page.titles)
    found = pack.numbers.pages(personal, cautions_page=1 + before + 1)
    if len(found) == 1:
        return found
    return pack.numbers.pages(personal, cautions_page=len(found) + before + 1)


# Pages


def _text_page(pack: SockPack, personal: Personal, page: PackPage, number: int, count: int) -> Page:
    """A page with its running head, which the first does without, and its foot."""
    frame, style = pack.room.frame, pack.style
    margins = style.margins(frame.paper, number)
    top_mm = margins.top_mm
    items: list[Item] = []
    if number > 1:
        head = _running_head(pack, personal)
        items.append(Group(head, margins.left_mm, top_mm, role=Role.ARTIFACT))
        top_mm += RUNNING_HEAD_MM
    items.append(page.body.placed(margins.left_mm, top_mm))
    foot_mm = frame.paper.height_mm - max(margins.bottom_mm - _FOOT_MM, _LEAST_FOOT_MM)
    words = f"page {number} of {count}"
    look = Style(style.note.size_pt, style.note.leading_pt, ink=style.soft_ink)
    is_left = Side.of(number) is Side.LEFT
    x_mm = margins.left_mm if is_left else frame.paper.width_mm - margins.right_mm
    align = Align.LEFT if is_left else Align.RIGHT
    foot = set_line(words, x_mm, foot_mm, look, align=align)
    items.append(Group(foot, role=Role.ARTIFACT))
    return _page(pack, tuple(items), number, page.titles)


_FOOT_MM: Final = 6.5
"""From the body to the base line of the page number."""
_LEAST_FOOT_MM: Final = 6.9
"""From that base line to the edge of the paper."""


def _page(pack: SockPack, items: tuple[Item, ...], number: int, titles: Sequence[str]) -> Page:
    outline = tuple(OutlineEntry(1, title) for title in titles if title)
    paper = pack.room.frame.paper
    return Page(paper.width_mm, paper.height_mm, items, str(number), PRINTER_SAFE, outline)


def _running_head(pack: SockPack, personal: Personal) -> tuple[Item, ...]:
    """Whose page it is, and which sock on which loom, over a rule."""
    style, room = pack.style, pack.room
    look = Style(style.step.size_pt, style.step.leading_pt)
    small = Style(style.note.size_pt, style.note.leading_pt, ink=style.soft_ink)
    plan = room.plan
    base_mm = look.baseline_mm
    who = bold(personal.who)
    left_mm = room.width_mm - width_mm((who,), look) - _HEAD_GAP_MM
    loom = " · ".join(filter(None, (_loom_words(plan), edition_words(plan.loom))))
    about = f"{plan.spec.title} · {loom}"
    rule_mm = look.leading_mm + 0.6
    items: list[Item] = [
        *set_line((who,), 0.0, base_mm, look),
        line(0.0, rule_mm, room.width_mm, rule_mm, stroke_pt=style.fifth_pt),
    ]
    if width_mm(about, small) > left_mm:
        about = loom
    if width_mm(about, small) <= left_mm:
        items += set_line(about, room.width_mm, base_mm, small, align=Align.RIGHT)
    return tuple(items)


_HEAD_GAP_MM: Final = 6.0


def _loom_words(plan: Plan) -> str:
    return f"{plan.loom.pegs} pegs, {plan.loom.spacing_text} apart"
