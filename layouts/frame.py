"""What every page of the booklet has round its text: title, signpost, thumb mark, page number."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import Enum
from typing import Final

from charts.hands import edition_words
from charts.parts import Part
from charts.plan import Plan
from layouts.block import Block
from layouts.contrast import text_ink_on
from layouts.faces import Face, metrics
from layouts.imprint import NO_IMPRINT, Imprint, copy_block
from layouts.paper import MM_PER_PT, PRINTER_SAFE, Margins, Paper
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
from layouts.style import PageStyle
from layouts.text import NO_BREAK_SPACE, Run, Style, set_line, width_mm


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


HEAD_MM: Final = 16.0
"""From the top margin to the body, on A5."""
_SIGNPOST_WIDE_MM: Final = 17.0
_SIGNPOST_HIGH_MM: Final = 15.0
_THUMB_WIDE_MM: Final = 3.4
_THUMB_HIGH_MM: Final = 13.0
_THUMB_PT: Final = 8.0
_FOLIO_MM: Final = 7.0
"""From the outer edge to the words beside the page number."""
_BESIDE_COPY_MM: Final = 5.0
THUMBS: Final = 8
"""Places for thumb marks along the edge: seven parts and the tick sheet."""
TICKS: Final = "✓"
"""Stands for the number of a part on the tick sheet."""


@dataclass(frozen=True, slots=True)
class PageFrame:
    """The frame of all pages of one booklet."""

    plan: Plan
    paper: Paper
    style: PageStyle
    under_mm: float = 0.0
    """Room kept between title and body for what stands under the title."""
    imprint: Imprint = NO_IMPRINT

    @property
    def width_mm(self) -> float:
        """Of the body."""
        margins = self._margins(1)
        return self.paper.width_mm - margins.left_mm - margins.right_mm

    @property
    def height_mm(self) -> float:
        """Of the body, below the title and what stands under it."""
        return self.whole_height_mm - HEAD_MM - self.under_mm

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
            body_top_mm += HEAD_MM
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
        baseline_mm = margins.top_mm + 8.0
        room_mm = self.width_mm
        if leaf.part is not None:
            signpost = sock_signpost(
                self.plan,
                leaf.part,
                width_mm=_SIGNPOST_WIDE_MM,
                height_mm=_SIGNPOST_HIGH_MM,
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
        if leaf.beside:
            runs.append(Run(2 * NO_BREAK_SPACE + leaf.beside, Face.REGULAR, self.style.soft_ink))
        title = self.style.title
        while width_mm(runs, title) > room_mm and title.size_pt > self.style.sub_head.size_pt:
            title = Style(title.size_pt - 1.0, title.leading_pt, title.face, title.ink)
        role = Role.H1 if leaf.entry is not None or leaf.heads else Role.P
        items.append(Group(set_line(runs, left_mm, baseline_mm, title), role=role))
        return items

    def _foot(self, leaf: Leaf, number: int, margins: Margins) -> list[Item]:
        """The page number at the outer edge, and what the page is about."""
        style = self.style
        y_mm = self._foot_line_mm(margins)
        folio = Style(style.body.size_pt, style.body.leading_pt, Face.BOLD)
        about = Style(style.note.size_pt, style.note.leading_pt, ink=style.soft_ink)
        gap_mm = _FOLIO_MM
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
        whole = self.plan.spec.title
        rest = (edition_words(self.plan.loom), leaf.title)
        for end in range(len(whole), 0, -1):
            title = whole if end == len(whole) else whole[:end].rstrip() + "…"
            about = " · ".join(filter(None, (title, *rest)))
            if width_mm(about, look) <= room_mm:
                return about
        return leaf.title if width_mm(leaf.title, look) <= room_mm else ""

    def _foot_line_mm(self, margins: Margins) -> float:
        """The base line of what stands below the body."""
        return self.paper.height_mm - margins.bottom_mm + 7.0

    def _copy_block(self, align: Align) -> Block:
        look = replace(self.style.note, after_pt=0.0)
        return copy_block(
            self.imprint.copy_line, look, self.width_mm - _FOLIO_MM - _BESIDE_COPY_MM, align=align
        )

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
        first_mm = margins.top_mm + HEAD_MM
        last_mm = self.paper.height_mm - margins.bottom_mm - _THUMB_HIGH_MM
        y_mm = first_mm + (last_mm - first_mm) * place / (THUMBS - 1)
        edge_mm = PRINTER_SAFE.left_mm
        x_mm = edge_mm
        if Side.of(number) is Side.RIGHT:
            x_mm = self.paper.width_mm - edge_mm - _THUMB_WIDE_MM
        high_mm = metrics(Face.BOLD).cap_height * _THUMB_PT * MM_PER_PT / 1000
        ground = self.style.part_ink(leaf.part)
        tab = rect(
            x_mm,
            y_mm,
            _THUMB_WIDE_MM,
            _THUMB_HIGH_MM,
            stroke_pt=0.6,
            stroke=None if ground is None else self.style.ink,
            fill=ground or self.style.accent,
        )
        ink = text_ink_on(ground or self.style.accent)
        words = "ticks" if leaf.number == TICKS else f"part {leaf.number}"
        mark = Text(0.0, high_mm / 2, words, Face.BOLD, _THUMB_PT, ink, Align.CENTRE)
        turned = Group(
            (mark,),
            x_mm + _THUMB_WIDE_MM / 2,
            y_mm + _THUMB_HIGH_MM / 2,
            quarter_turns=3 if Side.of(number) is Side.LEFT else 1,
        )
        return [_furniture((tab, turned), Furniture.PAGINATION)]


def _furniture(items: Iterable[Item], kind: Furniture) -> Group:
    return Group(tuple(items), role=Role.ARTIFACT, attrs=((FURNITURE, kind.value),))


NOTES_PITCH_MM: Final = 8.0


def notes_lines(width_mm: float, height_mm: float, style: PageStyle) -> Block:
    """Lines to write on, as far as the room goes."""
    count = int(height_mm / NOTES_PITCH_MM)
    rules = lines(
        [
            (0.0, NOTES_PITCH_MM * index, width_mm, NOTES_PITCH_MM * index)
            for index in range(1, count + 1)
        ],
        stroke_pt=0.5,
        ink=style.soft_ink,
    )
    return Block((Group((rules,), role=Role.ARTIFACT),), width_mm, count * NOTES_PITCH_MM + 0.2)
