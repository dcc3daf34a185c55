"""A measured chart drawn: lines first, then names and numbers, then the rows from the bottom up."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from layouts.block import Block
from layouts.faces import Face
from layouts.grid_geometry import GridGeometry
from layouts.grid_lines import (
    fold_edges,
    grid_paths,
    held_grounds,
    mark_grounds,
    repeat_boxes,
    zone_grounds,
)
from layouts.grid_rows import RowTexts, line_group, middle_baseline_mm
from layouts.grid_terms import column_label, is_fifth
from layouts.scene import Align, Group, Item, Role, Text, lines
from layouts.zone_names import NAME_GAP_MM


def draw_geometry(geometry: GridGeometry, row_texts: RowTexts) -> Block:
    """A measured chart, drawn."""
    chart = geometry.chart
    table = Group(
        (
            Group(
                (
                    *zone_grounds(geometry),
                    *mark_grounds(geometry),
                    *held_grounds(geometry),
                    *grid_paths(geometry),
                    *fold_edges(geometry),
                    *repeat_boxes(geometry),
                ),
                role=Role.ARTIFACT,
            ),
            Group(tuple(_zone_names(geometry)), role=Role.ARTIFACT),
            Group(
                tuple(_peg_numbers(geometry, geometry.numbers_top_mm)),
                role=Role.TR,
                alt=f"Pegs, left to right: {', '.join(map(column_label, chart.columns))}.",
                attrs=(("line", "pegs"), ("pegs", geometry.columns_text)),
            ),
            *(line_group(geometry, index, row_texts) for index in range(len(chart.lines))),
            Group(tuple(_peg_numbers(geometry, geometry.grid_bottom_mm)), role=Role.ARTIFACT),
            *_words_outside(geometry),
        ),
        role=Role.TABLE,
        title=chart.part.title,
        alt=f"Chart: {chart.part.title}. Row 1 is at the bottom.",
        attrs=(("chart", chart.part.value), ("pegs", geometry.columns_text)),
    )
    return Block((table,), geometry.width_mm, geometry.height_mm)


def _zone_names(geometry: GridGeometry) -> Iterator[Item]:
    """Names over their pegs, with brackets that stand on the borders."""
    style = geometry.style
    label = style.chart_label
    for one in geometry.zone_names:
        foot_mm = geometry.numbers_top_mm - one.tier * geometry.zone_line_mm
        middle_mm = foot_mm - geometry.zone_line_mm / 2
        yield Text(
            one.name.middle_mm,
            middle_baseline_mm(middle_mm, label.face, label.size_pt),
            one.text,
            label.face,
            label.size_pt,
            label.ink,
            Align.CENTRE,
        )
        left_mm, right_mm = one.bracket.left_mm, one.bracket.right_mm
        bar_mm = foot_mm - _BAR_MM if one.on_bracket else middle_mm
        ends = [(x_mm, bar_mm, x_mm, geometry.grid_top_mm) for x_mm in (left_mm, right_mm)]
        if one.on_bracket:
            ends.append((left_mm, bar_mm, right_mm, bar_mm))
        else:
            ends.append((left_mm, bar_mm, one.name.left_mm - NAME_GAP_MM, bar_mm))
            ends.append((one.name.right_mm + NAME_GAP_MM, bar_mm, right_mm, bar_mm))
        yield lines(ends, stroke_pt=style.fifth_pt, ink=style.ink)


_BAR_MM: Final = 0.3
"""From the bracket below a name to the foot of its line."""


def _peg_numbers(geometry: GridGeometry, top_mm: float) -> Iterator[Text]:
    size_pt = geometry.peg_number_pt
    middle_mm = top_mm + geometry.number_line_mm / 2
    for place in geometry.numbered_columns:
        column = geometry.chart.columns[place]
        counted = is_fifth(column.pegs[0]) and not column.folded
        face = Face.BOLD if counted else Face.REGULAR
        again = place in geometry.piece.again_columns
        yield Text(
            geometry.columns_span(place, place).middle_mm,
            middle_baseline_mm(middle_mm, face, size_pt),
            column_label(column),
            face,
            size_pt,
            geometry.style.soft_ink if again else geometry.style.ink,
            Align.CENTRE,
            role=Role.TH,
        )


def _words_outside(geometry: GridGeometry) -> Iterator[Item]:
    """How often pegs repeat; where a piece of a chart goes on."""
    label = geometry.style.chart_label
    piece, left_mm = geometry.piece, geometry.grid_span.left_mm
    y_mm = geometry.grid_bottom_mm + geometry.number_line_mm
    step_mm = geometry.note_line_mm
    across = geometry.chart.across
    for text, x_mm, middle_mm in (
        (piece.above, left_mm, step_mm / 2),
        (
            geometry.across_text,
            geometry.edges_mm[across.first_column] if across is not None else left_mm,
            y_mm + step_mm / 2,
        ),
        (piece.below, left_mm, y_mm + step_mm * (1.5 if across is not None else 0.5)),
    ):
        if text:
            baseline_mm = middle_baseline_mm(middle_mm, label.face, label.size_pt)
            yield Text(
                x_mm, baseline_mm, text, label.face, label.size_pt, label.ink, role=Role.NOTE
            )
