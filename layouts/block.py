"""A finished piece of a page: items and the room they take, its top left corner at the origin."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import assert_never

from layouts.scene import Anchor, Group, Item, Link, Path, Picture, Text, placed


def room_words(width_mm: float, height_mm: float) -> str:
    """How much room there is, in whole mm; none where a sum comes out below.

    >>> room_words(37.2, -14.6)
    '37 x 0 mm'
    """
    return f"{max(0.0, width_mm):.0f} x {max(0.0, height_mm):.0f} mm"


class DoesNotFitError(Exception):
    """Raised when something cannot be drawn legibly in the room given; says what would fit."""


@dataclass(frozen=True, slots=True)
class Block:
    """Items inside `0 ≤ x ≤ width_mm`, `0 ≤ y ≤ height_mm`."""

    items: tuple[Item, ...]
    width_mm: float
    height_mm: float
    turned: bool = False
    """Lies on its side, head to the left: the reader turns the page clockwise.  The items are
    turned already and the sizes are those on the upright page."""

    def placed(self, x_mm: float, y_mm: float) -> Group:
        """The block with its top left corner there."""
        return Group(self.items, x_mm, y_mm)

    def grown(self, by: float) -> Block:
        """A drawing so many times as large, with its type and its strokes."""
        items = self.items if by == 1 else tuple(_grown(item, by) for item in self.items)
        return Block(items, self.width_mm * by, self.height_mm * by, self.turned)


def _grown(item: Item, by: float) -> Item:
    match item:
        case Text():
            return replace(
                item,
                x_mm=item.x_mm * by,
                y_mm=item.y_mm * by,
                size_pt=item.size_pt * by,
                spacing_mm=item.spacing_mm * by,
            )
        case Path():
            return replace(
                placed(item, 0.0, 0.0, scale=by),
                stroke_pt=item.stroke_pt * by,
                dash_mm=tuple(length_mm * by for length_mm in item.dash_mm),
            )
        case Group():
            return replace(
                item,
                items=tuple(_grown(one, by) for one in item.items),
                dx_mm=item.dx_mm * by,
                dy_mm=item.dy_mm * by,
            )
        case Anchor():
            return replace(item, x_mm=item.x_mm * by, y_mm=item.y_mm * by)
        case Link() | Picture():
            return replace(
                item,
                x_mm=item.x_mm * by,
                y_mm=item.y_mm * by,
                width_mm=item.width_mm * by,
                height_mm=item.height_mm * by,
            )
        case _:
            assert_never(item)
