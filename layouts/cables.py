"""Cable crosses over cells that are wider than tall."""

from __future__ import annotations

from dataclasses import replace

from layouts.scene import Close, CurveTo, Group, Ink, Item, LineTo, MoveTo, Path, Segment
from layouts.symbols import Over, cable_cross


def cable_over_cells(
    left_width: int,
    right_width: int,
    left_over: bool,
    *,
    x_mm: float,
    y_mm: float,
    cell_width_mm: float,
    cell_height_mm: float,
    ink: Ink,
) -> Group:
    """The cross with its top left corner there, spread to the width of the cells.

    Spreading thickens only what stands upright, and the strands of a cross lie flat.
    """
    square = cable_cross(
        left_width,
        right_width,
        Over.LEFT if left_over else Over.RIGHT,
        x_mm=0.0,
        y_mm=0.0,
        cell_mm=cell_height_mm,
        ink=ink,
    )
    return Group((_spread(square, cell_width_mm / cell_height_mm),), x_mm, y_mm)


def _spread(item: Item, factor: float) -> Item:
    match item:
        case Group():
            return replace(item, items=tuple(_spread(inner, factor) for inner in item.items))
        case Path():
            return replace(item, segments=tuple(_wider(one, factor) for one in item.segments))
        case _:
            return item


def _wider(segment: Segment, factor: float) -> Segment:
    match segment:
        case MoveTo(x, y):
            return MoveTo(x * factor, y)
        case LineTo(x, y):
            return LineTo(x * factor, y)
        case CurveTo(x1, y1, x2, y2, x, y):
            return CurveTo(x1 * factor, y1, x2 * factor, y2, x * factor, y)
        case Close():
            return segment
