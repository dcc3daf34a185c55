"""What a publisher prints on a pattern beside the sock: logo, edition, rights, a buyer's line."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from charts.spec import SockSpec
from layouts.block import Block
from layouts.blocks import Piece, paragraph, pieces_height_mm, stacked
from layouts.scene import BLACK, Align, Group, Ink, Item, Picture, Role, line
from layouts.style import PageStyle
from layouts.text import Style, break_lines, set_lines

LOGO_MM: Final = (40.0, 18.0)
"""Width and height that a logo fills at most."""

MOST_COPY_LINE: Final = 60
"""Characters of a buyer's line at most: on the narrowest page they still go on two lines."""
_LEAST_COPY_PT: Final = 6.0
"""The smallest black print (common practice, no published source)."""
_COPY_STEP_PT: Final = 0.5


@dataclass(frozen=True, slots=True)
class Imprint:
    """The marks that are no words of the pattern."""

    logo: Picture | None = None
    """Its top left corner at the origin, within `LOGO_MM`."""
    accent: Ink = BLACK
    """Of the title and the bar on the cover and of tabs; black where there is black ink only."""
    copy_line: str = ""
    """Stands on each page: whose copy it is."""


NO_IMPRINT: Final = Imprint()


def cover_foot(
    spec: SockSpec, imprint: Imprint, *, width_mm: float, look: Style, style: PageStyle
) -> Block:
    """Designer, edition and logo, and the rights below them; empty if there is nothing to tell.

    `look` is that of the designer's line.
    """
    pieces = []
    logo = imprint.logo
    column_mm = width_mm - (logo.width_mm + _BESIDE_LOGO_MM if logo is not None else 0.0)
    edition = spec.house.edition_words
    words = [paragraph(spec.designer, look, column_mm)] if spec.designer else []
    words += [paragraph(edition, style.body, column_mm)] if edition else []
    if words or logo is not None:
        text = stacked(words)
        high_mm = max(text.height_mm, logo.height_mm if logo is not None else 0.0)
        items: list[Item] = [text.placed(0.0, high_mm - text.height_mm)] if words else []
        if logo is not None:
            left_mm, top_mm = width_mm - logo.width_mm, high_mm - logo.height_mm
            items.append(replace(logo, x_mm=left_mm, y_mm=top_mm))
        pieces.append(Piece(Block(tuple(items), width_mm, high_mm), _ABOVE_RIGHTS_MM))
    small = replace(style.note, ink=style.soft_ink, after_pt=1.5)
    rights = [
        paragraph(told, small, width_mm)
        for told in (spec.house.copyright, spec.house.licence)
        if told
    ]
    if rights:
        rule = line(0.0, 0.0, width_mm, 0.0, stroke_pt=_RULE_PT, ink=style.soft_ink)
        ruled = Block((Group((rule,), role=Role.ARTIFACT),), width_mm, 0.0)
        pieces += [Piece(ruled, _BELOW_RULE_MM), *rights]
    return Block(stacked(pieces).items, width_mm, pieces_height_mm(pieces))


_BESIDE_LOGO_MM: Final = 8.0
_ABOVE_RIGHTS_MM: Final = 3.0
_BELOW_RULE_MM: Final = 1.4
_RULE_PT: Final = 0.5


def copy_block(words: str, look: Style, width_mm: float, *, align: Align = Align.LEFT) -> Block:
    """The buyer's line, as wide as it is: smaller to stay on one line, or else on more.

    Empty without words.
    """
    if not words.strip():
        return Block((), 0.0, 0.0)
    size_pt = look.size_pt
    while True:
        small = replace(look, size_pt=size_pt, leading_pt=look.leading_pt * size_pt / look.size_pt)
        lines = break_lines(words, small, width_mm)
        if len(lines) == 1 or size_pt <= _LEAST_COPY_PT:
            break
        size_pt = max(_LEAST_COPY_PT, size_pt - _COPY_STEP_PT)
    wide_mm = max(one.width_mm for one in lines)
    text = set_lines(lines, 0.0, 0.0, wide_mm, small, align=align, role=Role.ARTIFACT)
    return Block((text.group,), wide_mm, text.box.height_mm)
