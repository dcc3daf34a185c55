"""What every page of the booklet has round its text: title, signpost, thumb mark, page number."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from functools import cached_property
from typing import Final

from charts.hands import edition_words
from charts.parts import Part
from charts.plan import Plan
from layouts.block import Block
from layouts.contrast import text_ink_on
from layouts.edition import STANDARD_EDITION, Edition
from layouts.faces import Face
from layouts.imprint import NO_IMPRINT, Imprint, copy_block
from layouts.paper import PRINTER_SAFE, Margins, Paper
from layouts.scene import (
    Align,
    Anchor,
    Group,
    Item,
    OutlineEntry,
    Page,
    Role,
    Text,
    lines,
    rect,
)
from layouts.sock_outline import sock_signpost
from layouts.structure import FURNITURE, Furniture
from layouts.style import PageStyle, style_of
from layouts.text import NO_BREAK_SPACE, Run, Style, set_line, shortened, width_mm


class Side(Enum):
    """On which side of an open booklet a page must lie."""

    EITHER = "either"
    LEFT = "left"
    RIGHT = "right"

    @staticmethod
    def of(page_number: int) -> Side:
        return Side.RIGHT if page_number % 2 else Side.LEFT


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of the contents and of the outline."""

    title: str
    anchor: str
    level: int = 1


@dataclass(frozen=True, slots=True)
class Leaf:
    """One page before it has a number: its title and what is set below it."""

    title: str
    body: Block
    beside: str = ""
    """Goes on after the title in a lighter face: "steps", "2 of 3"."""
    number: str = ""
    """Of the part, before the title and on the thumb mark."""
    part: Part | None = None
    """Filled in on the signpost."""
    entry: Entry | None = None
    bare: bool = False
    """Nothing round it: the cover."""
    under: Block | None = None
    """Stands between title and body: whom the page is for."""
    heads: bool = False
    """Its title is a heading, though no entry leads to it."""


_TITLE_MM: Final = 8.0
"""From the top margin to the base line of the title."""
_SIGNPOST_WIDE_MM: Final = 17.0
_SIGNPOST_HIGH_MM: Final = 15.0
_SIGNPOST_HEAD_MM: Final = 16.0
"""Size of a signpost on a page whose head is that high."""
_THUMB_WIDE_MM: Final = 3.4
_THUMB_HIGH_MM: Final = 13.0
"""On an A5 page."""
_BESIDE_COPY_MM: Final = 5.0
THUMBS: Final = 8
"""Places for thumb marks along the edge: seven parts and the tick sheet."""
TICKS: Final = "✓"
"""Stands for the number of a part on the tick sheet."""


@dataclass(frozen=True)
class PageFrame:
    """The frame of all pages of one booklet."""

    plan: Plan
    paper: Paper
    edition: Edition = STANDARD_EDITION
    under_mm: float = 0.0
    """Room kept between title and body for what stands under the title."""
    imprint: Imprint = NO_IMPRINT

    @cached_property
    def style(self) -> PageStyle:
        return replace(style_of(self.edition, self.paper), accent=self.imprint.accent)

    @property
    def is_wide(self) -> bool:
        """Whether the body has room for two columns of text."""
        return self.style.is_wide(self.width_mm)

    @cached_property
    def width_mm(self) -> float:
        """Of the body."""
        margins = self._margins(1)
        return self.paper.width_mm - margins.left_mm - margins.right_mm

    @cached_property
    def height_mm(self) -> float:
        """Of the body, below the title and what stands under it."""
        return self.whole_height_mm - self.style.head_mm - self.under_mm

    @property
    def whole_height_mm(self) -> float:
        """Between the top and bottom margins."""
        margins = self._margins(1)
        return self.paper.height_mm - margins.top_mm - margins.bottom_mm

    def page(self, leaf: Leaf, number: int) -> Page:
        """The finished page."""
        margins = self._margins(number)
        items: list[Item] = []
        outline: tuple[OutlineEntry, ...] = ()
        body_top_mm = margins.top_mm
        if leaf.entry is not None:
            items.append(Anchor(leaf.entry.anchor, margins.top_mm))
            outline = (OutlineEntry(leaf.entry.level, leaf.entry.title),)
        if not leaf.bare:
            body_top_mm += self.style.head_mm
            items += self._head(leaf, number, margins)
        if leaf.under is not None:
            items.append(leaf.under.placed(margins.left_mm, body_top_mm))
            body_top_mm += leaf.under.height_mm
        items.append(leaf.body.placed(margins.left_mm, body_top_mm))
        copy = self._copy(number)
        if copy is not None:
            items.append(copy)
        if not leaf.bare:
            items += self._foot(leaf, number, margins)
            items += self._thumb(leaf, number)
        return Page(
            self.paper.width_mm,
            self.paper.height_mm,
            tuple(items),
            str(number),
            PRINTER_SAFE,
            outline,
        )

    def _margins(self, number: int) -> Margins:
        return self.style.margins(self.paper, number)

    def _head(self, leaf: Leaf, number: int, margins: Margins) -> list[Item]:
        """The title, and in the outer top corner the signpost."""
        left_mm = margins.left_mm
        items: list[Item] = []
        is_left = Side.of(number) is Side.LEFT
        baseline_mm = margins.top_mm + _TITLE_MM
        room_mm = self.width_mm
        if leaf.part is not None:
            share = self.style.head_mm / _SIGNPOST_HEAD_MM
            signpost = sock_signpost(
                self.plan,
                leaf.part,
                width_mm=_SIGNPOST_WIDE_MM * share,
                height_mm=min(_SIGNPOST_HIGH_MM * share, baseline_mm - PRINTER_SAFE.top_mm),
                fill=self.style.part_ink(leaf.part),
            )
            x_mm = left_mm if is_left else left_mm + self.width_mm - signpost.width_mm
            y_mm = baseline_mm - signpost.height_mm + 0.4
            items.append(Group(signpost.items, x_mm, y_mm, role=Role.ARTIFACT))
            room_mm -= signpost.width_mm + 5.0
            if is_left:
                left_mm += signpost.width_mm + 5.0
        runs = [Run(leaf.title)]
        if leaf.number:
            runs.insert(0, Run(leaf.number + 2 * NO_BREAK_SPACE, ink=self.style.soft_ink))
        beside = Run(2 * NO_BREAK_SPACE + leaf.beside, Face.REGULAR, self.style.soft_ink)
        whole = [*runs, beside] if leaf.beside else runs
        title = self._fitting(whole, room_mm)
        below = width_mm(whole, title) > room_mm and leaf.beside != ""
        if below:
            title = self._fitting(runs, room_mm)
        words = set_line(runs if below else whole, left_mm, baseline_mm, title)
        if below:
            second = self.style.sub_head
            second_mm = baseline_mm + second.leading_mm
            words += set_line((replace(beside, text=leaf.beside),), left_mm, second_mm, second)
        role = Role.H1 if leaf.entry is not None or leaf.heads else Role.P
        items.append(Group(words, role=role))
        return items

    def _fitting(self, runs: Sequence[Run], room_mm: float) -> Style:
        """The title's style, smaller if it must be, but no smaller than a heading's."""
        title = self.style.title
        while width_mm(runs, title) > room_mm and title.size_pt > self.style.sub_head.size_pt:
            title = Style(title.size_pt - 1.0, title.leading_pt, title.face, title.ink)
        return title

    def _foot(self, leaf: Leaf, number: int, margins: Margins) -> list[Item]:
        """The page number at the outer edge, and what the page is about."""
        style = self.style
        y_mm = self._foot_line_mm(margins)
        folio = self._folio
        about = Style(style.note.size_pt, style.note.leading_pt, ink=style.soft_ink)
        gap_mm = max(_FOLIO_MM, width_mm(str(number), folio) + 0.55 * style.em_mm)
        copy = self._copy_block(Align.LEFT)
        copy_mm = copy.width_mm + _BESIDE_COPY_MM if copy.items else 0.0
        words = self._about(leaf, about, self.width_mm - gap_mm - copy_mm)
        if Side.of(number) is Side.LEFT:
            x_mm = margins.left_mm
            items = [
                *set_line(str(number), x_mm, y_mm, folio),
                *set_line(words, x_mm + gap_mm, y_mm, about),
            ]
        else:
            x_mm = self.paper.width_mm - margins.right_mm
            items = [
                *set_line(str(number), x_mm, y_mm, folio, align=Align.RIGHT),
                *set_line(words, x_mm - gap_mm, y_mm, about, align=Align.RIGHT),
            ]
        return [_furniture(items, Furniture.FOOTER)]

    def _about(self, leaf: Leaf, look: Style, room_mm: float) -> str:
        """The sock's title, cut short if it must be, for which hand it is, and the page's title;
        nothing without room."""
        rest = " · ".join(filter(None, (edition_words(self.plan.loom), leaf.title)))
        title = shortened(self.plan.spec.title, look, room_mm - width_mm(f" · {rest}", look))
        if title:
            return f"{title} · {rest}"
        return leaf.title if width_mm(leaf.title, look) <= room_mm else ""

    @property
    def _folio(self) -> Style:
        """The look of the page number."""
        return Style(self.style.body.size_pt, self.style.body.leading_pt, Face.BOLD)

    @property
    def _folio_mm(self) -> float:
        """From the outer edge to the words beside a page number of three figures."""
        return max(_FOLIO_MM, width_mm("100", self._folio) + 0.55 * self.style.em_mm)

    def _foot_line_mm(self, margins: Margins) -> float:
        """The base line of what stands below the body."""
        drop_mm = max(_FOOT_MM, self._folio.cap_height_mm + _ABOVE_FOOT_MM)
        return self.paper.height_mm - margins.bottom_mm + drop_mm

    def _copy_block(self, align: Align) -> Block:
        look = replace(self.style.note, after_pt=0.0)
        room_mm = self.width_mm - self._folio_mm - _BESIDE_COPY_MM
        return copy_block(self.imprint.copy_line, look, room_mm, align=align)

    def _copy(self, number: int) -> Group | None:
        """Whose copy it is, at the inner edge of the foot, its last line level with the page's
        number."""
        is_left = Side.of(number) is Side.LEFT
        block = self._copy_block(Align.RIGHT if is_left else Align.LEFT)
        if not block.items:
            return None
        margins = self._margins(number)
        x_mm = margins.left_mm + (self.width_mm - block.width_mm if is_left else 0.0)
        note = self.style.note
        bottom_mm = self._foot_line_mm(margins) + note.leading_mm - note.baseline_mm
        return block.placed(x_mm, bottom_mm - block.height_mm)

    def _thumb(self, leaf: Leaf, number: int) -> list[Item]:
        """A black tab on the outer edge, lower for each part, with its words along the edge: no
        figure of it can be taken for a row's."""
        if not leaf.number:
            return []
        place = list(Part).index(leaf.part) if leaf.part is not None else THUMBS - 1
        margins = self._margins(number)
        look = self.style.note
        wide_mm, high_mm = (one * self.style.growth for one in (_THUMB_WIDE_MM, _THUMB_HIGH_MM))
        first_mm = margins.top_mm + self.style.head_mm
        last_mm = self.paper.height_mm - margins.bottom_mm - high_mm
        y_mm = first_mm + (last_mm - first_mm) * place / (THUMBS - 1)
        edge_mm = PRINTER_SAFE.left_mm
        x_mm = edge_mm
        if Side.of(number) is Side.RIGHT:
            x_mm = self.paper.width_mm - edge_mm - wide_mm
        ground = self.style.part_ink(leaf.part)
        tab = rect(
            x_mm,
            y_mm,
            wide_mm,
            high_mm,
            stroke_pt=0.6,
            stroke=None if ground is None else self.style.ink,
            fill=ground or self.style.accent,
        )
        ink = text_ink_on(ground or self.style.accent)
        words = "ticks" if leaf.number == TICKS else f"part {leaf.number}"
        drop_mm = look.cap_height_mm / 2
        mark = Text(0.0, drop_mm, words, Face.BOLD, look.size_pt, ink, Align.CENTRE)
        turned = Group(
            (mark,),
            x_mm + wide_mm / 2,
            y_mm + high_mm / 2,
            quarter_turns=3 if Side.of(number) is Side.LEFT else 1,
        )
        return [_furniture((tab, turned), Furniture.PAGINATION)]


def _furniture(items: Iterable[Item], kind: Furniture) -> Group:
    return Group(tuple(items), role=Role.ARTIFACT, attrs=((FURNITURE, kind.value),))


_FOOT_MM: Final = 7.0
"""From the body to the base line of the page number at least."""
_ABOVE_FOOT_MM: Final = 3.6
"""The same to the head of the page number."""
_FOLIO_MM: Final = 7.0
"""Width of the page number and the room beside it at least."""

NOTES_PITCH_MM: Final = 8.0
_NOTES_LEADINGS: Final = 1.4
"""The same in lines of the steps, for handwriting as large as the print."""


def notes_lines(width_mm: float, height_mm: float, style: PageStyle) -> Block:
    """Lines to write on, as far as the room goes."""
    pitch_mm = max(NOTES_PITCH_MM, style.step.leading_mm * _NOTES_LEADINGS)
    count = int(height_mm / pitch_mm)
    rules = lines(
        [(0.0, pitch_mm * index, width_mm, pitch_mm * index) for index in range(1, count + 1)],
        stroke_pt=0.5,
        ink=style.soft_ink,
    )
    return Block((Group((rules,), role=Role.ARTIFACT),), width_mm, count * pitch_mm + 0.2)
