"""A drawing as a mirror shows it, its words still to be read."""

from __future__ import annotations

from dataclasses import replace
from typing import Final, assert_never

from layouts.block import Block
from layouts.scene import (
    Align,
    Anchor,
    Close,
    CurveTo,
    Group,
    Item,
    LineTo,
    Link,
    MoveTo,
    Path,
    Picture,
    Segment,
    Text,
)


def mirrored_block(block: Block) -> Block:
    """The block with left and right changed over; words stand where their mirror image would.

    Raises ValueError for a drawing on its side: its left is the page's top.
    """
    return replace(block, items=tuple(_mirrored(item, block.width_mm) for item in block.items))


_OTHER_SIDE: Final = {Align.LEFT: Align.RIGHT, Align.CENTRE: Align.CENTRE, Align.RIGHT: Align.LEFT}


def _mirrored(item: Item, width_mm: float) -> Item:
    match item:
        case Text():
            return replace(item, x_mm=width_mm - item.x_mm, align=_OTHER_SIDE[item.align])
        case Path():
            segments = tuple(_segment(one, width_mm) for one in item.segments)
            return replace(item, segments=segments)
        case Group():
            if item.quarter_turns:
                raise ValueError("a drawing on its side has no mirror image here")
            # Its own origin goes over to the other side, so its items are mirrored about it.
            items = tuple(_mirrored(one, 0.0) for one in item.items)
            return replace(item, items=items, dx_mm=width_mm - item.dx_mm)
        case Anchor():
            return replace(item, x_mm=width_mm - item.x_mm)
        case Link() | Picture():
            # A picture is not turned over: it may hold words.
            return replace(item, x_mm=width_mm - item.x_mm - item.width_mm)
        case _:
            assert_never(item)


def _segment(segment: Segment, width_mm: float) -> Segment:
    match segment:
        case MoveTo(x_mm=x, y_mm=y):
            return MoveTo(width_mm - x, y)
        case LineTo(x_mm=x, y_mm=y):
            return LineTo(width_mm - x, y)
        case CurveTo(x1_mm=x1, y1_mm=y1, x2_mm=x2, y2_mm=y2, x_mm=x, y_mm=y):
            return CurveTo(width_mm - x1, y1, width_mm - x2, y2, width_mm - x, y)
        case Close():
            return segment
        case _:
            assert_never(segment)
