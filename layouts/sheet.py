"""A finished page put on a larger sheet, turned or not."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from layouts.scene import Anchor, Group, Item, Link, Page


def page_on_sheet(page: Page, left_mm: float, top_mm: float, *, quarter_turns: int = 0) -> Group:
    """The page's ink with the top left corner of what it covers there.

    Links and the places they lead to are left out: paper has none.
    """
    dx_mm, dy_mm = (
        (0.0, 0.0),
        (page.height_mm, 0.0),
        (page.width_mm, page.height_mm),
        (0.0, page.width_mm),
    )[quarter_turns % 4]
    return Group(
        _ink_alone(page.items), left_mm + dx_mm, top_mm + dy_mm, quarter_turns=quarter_turns % 4
    )


def _ink_alone(items: Iterable[Item]) -> tuple[Item, ...]:
    kept: list[Item] = []
    for item in items:
        match item:
            case Link() | Anchor():
                continue
            case Group():
                kept.append(replace(item, items=_ink_alone(item.items)))
            case _:
                kept.append(item)
    return tuple(kept)


def size_words(width_mm: float, height_mm: float) -> str:
    """The size as --paper and --sheet read it, to a tenth of a mm and never below it.

    >>> size_words(296.0, 215.93)
    '296 x 216 mm'
    """
    sides = (math.ceil(side * 10 - 1e-6) / 10 for side in (width_mm, height_mm))
    return " x ".join(f"{side:g}" for side in sides) + " mm"
