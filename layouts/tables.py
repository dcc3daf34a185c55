"""Tables set as stacks of rows, so that a page may break between two rows and never inside one."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from charts.plan import Plan
from layouts.block import Block
from layouts.blocks import Piece
from layouts.paper import MM_PER_PT
from layouts.scene import Align, Group, Item, Role, line
from layouts.style import PageStyle
from layouts.text import NO_BREAK_SPACE, RichText, Run, Style, bold, break_lines, set_lines


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


def named_row(
    name: RichText, words: RichText, name_mm: float, width_mm: float, style: Style
) -> Piece:
    """A name and what it stands for, in two columns, or one above the other where there is no room
    for two, or on one line in a narrow column; `name_mm` is the width of a name on an A5 page."""
    name_mm *= style.size_pt / _NAMED_PT
    if width_mm - name_mm - _GAP_MM >= _LEAST_EMS * style.size_pt * MM_PER_PT:
        return table_row(
            (name, words),
            gap_columns((name_mm,), width_mm),
            style,
            rule_pt=0.3 if name else 0.0,
        )
    items: list[Item] = []
    y_mm = _ABOVE_MM
    texts = [name, words] if name else [words]
    if name and width_mm < _ABOVE_FROM_EMS * style.size_pt * MM_PER_PT:
        texts = [[*_runs(name), Run(_BETWEEN), *_runs(words)]]
    for text in texts:
        placed = set_lines(
            break_lines(text, style, width_mm), 0.0, y_mm, width_mm, style, role=Role.P
        )
        items.append(placed.group)
        y_mm = placed.box.bottom_mm
    # Of one column nothing is a head: it is heard as a list.
    whole: list[Item] = [Group(tuple(items), role=Role.BODY)]
    if name:
        rule = line(0.0, 0.0, width_mm, 0.0, stroke_pt=0.3)
        whole.insert(0, Group((rule,), role=Role.ARTIFACT))
    block = Block(
        (Group(tuple(whole), role=Role.LI),),
        width_mm,
        y_mm + _BELOW_EMS * style.size_pt * MM_PER_PT,
    )
    return Piece(block)


def _runs(text: RichText) -> Sequence[Run]:
    return (Run(text),) if isinstance(text, str) else text


_BETWEEN: Final = 2 * NO_BREAK_SPACE + " "
_ABOVE_FROM_EMS: Final = 23.0
"""Width from which on a name has a line of its own above its words, in sizes of their type."""
_NAMED_PT: Final = 9.5
"""Size of the text on an A5 page."""
_BELOW_EMS: Final = 0.4
"""Room below the words of a name, in the same."""
_LEAST_EMS: Final = 17.5
"""Width of the words beside a name at least, in sizes of their type."""


# --- The plan --------------------------------------------------------------------------------


def plan_head(width_mm: float, style: PageStyle) -> Piece | None:
    """The heads of the plan's three columns, if it has columns; again at the top of each page."""
    if not _has_columns(width_mm, style):
        return None
    cells = [(bold(words),) for words in ("What", "Number", "Why")]
    columns = _plan_columns(width_mm)
    return table_row(cells, columns, style.body, role=Role.TH, rule_pt=1.0, with_next=True)


def plan_rows(plan: Plan, width_mm: float, style: PageStyle) -> list[Piece]:
    """Every number of the plan with its reason; where three columns would be narrow, the reasons
    below."""
    if not _has_columns(width_mm, style):
        return [
            named_row(
                (Run(_capital(one.name) + ": "), bold(one.value)),
                (Run(_capital(one.reason)),),
                width_mm,
                width_mm,
                style.body,
            )
            for one in plan.lines
        ]
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


_LEAST_WHY_EMS: Final = 15.0
"""Width of the plan's reasons at least, in sizes of their type."""


def _has_columns(width_mm: float, style: PageStyle) -> bool:
    *_, why = _plan_columns(width_mm)
    return why.width_mm >= _LEAST_WHY_EMS * style.em_mm


def _plan_columns(width_mm: float) -> tuple[Column, ...]:
    return gap_columns((width_mm * 0.31, width_mm * 0.15), width_mm)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
