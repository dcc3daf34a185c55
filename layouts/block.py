"""A finished piece of a page: items and the room they take, its top left corner at the origin."""

from __future__ import annotations

from dataclasses import dataclass

from layouts.scene import Group, Item


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
