"""Tables set as stacks of rows, so that a page may break between two rows and never inside one."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from charts.plan import Plan
from layouts.block import Block
from layouts.blocks import Piece
from layouts.paper import MM_PER_PT
from layouts.scene import Align, Group, Item, Role, line
from layouts.style import PageStyle
from layouts.text import RichText, Run, Style, bold, break_lines, set_lines


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table."""

    width_mm: float
    align: Align = Align.LEFT


_GAP_MM = 4.0
_ABOVE_MM = 0.9
"""Between a rule and the words below it."""


def table_row(
    cells: Sequence[RichText],
    columns: Sequence[Column],
    style: Style,
    *,
    role: Role = Role.TD,
    rule_pt: float = 0.3,
    with_next: bool = False,
) -> Piece:
    """Cells side by side under a rule; as high as the highest of them."""
    items: list[Item] = []
    x_mm = high_mm = 0.0
    for cell, column in zip(cells, columns, strict=True):
        placed = set_lines(
            break_lines(cell, style, column.width_mm),
            x_mm,
            _ABOVE_MM,
            column.width_mm,
            style,
            align=column.align,
            role=role,
        )
        items.append(placed.group)
        high_mm = max(high_mm, placed.box.height_mm)
        x_mm += column.width_mm + _GAP_MM
    whole_mm = x_mm - _GAP_MM
    rule = Group((line(0.0, 0.0, whole_mm, 0.0, stroke_pt=rule_pt),), role=Role.ARTIFACT)
    block = Block(
        (Group((rule, *items), role=Role.TR),), whole_mm, high_mm + _ABOVE_MM + 1.6 * MM_PER_PT
    )
    return Piece(block, 0.0, with_next)


def gap_columns(widths_mm: Iterable[float], whole_mm: float) -> tuple[Column, ...]:
    """Columns of the widths given and a last one that takes the rest."""
    columns = [Column(width) for width in widths_mm]
    used_mm = sum(column.width_mm + _GAP_MM for column in columns)
    return (*columns, Column(whole_mm - used_mm))


# --- The plan --------------------------------------------------------------------------------


def plan_head(width_mm: float, style: PageStyle) -> Piece:
    """The heads of the plan's three columns; again at the top of each page."""
    cells = [(bold(words),) for words in ("What", "Number", "Why")]
    columns = _plan_columns(width_mm)
    return table_row(cells, columns, style.body, role=Role.TH, rule_pt=1.0, with_next=True)


def plan_rows(plan: Plan, width_mm: float, style: PageStyle) -> list[Piece]:
    """Every number of the plan with its reason."""
    columns = _plan_columns(width_mm)
    return [
        table_row(
            (
                _capital(one.name),
                (bold(one.value),),
                (Run(_capital(one.reason)),),
            ),
            columns,
            style.body,
        )
        for one in plan.lines
    ]


def _plan_columns(width_mm: float) -> tuple[Column, ...]:
    return gap_columns((width_mm * 0.31, width_mm * 0.15), width_mm)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
