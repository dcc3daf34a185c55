"""A measured chart drawn: lines first, then names and numbers, then the rows from the bottom up."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from layouts.block import Block
from layouts.faces import Face
from layouts.grid_geometry import GAP_MM, GridGeometry
from layouts.grid_lines import fold_edges, grid_paths, held_grounds, mark_grounds, repeat_boxes
from layouts.grid_rows import RowTexts, columns_text, line_group, middle_baseline_mm
from layouts.grid_terms import column_label, is_fifth
from layouts.scene import Align, Group, Item, Role, Text, lines


def draw_geometry(geometry: GridGeometry, row_texts: RowTexts) -> Block:
    """A measured chart, drawn."""
    chart = geometry.chart
    table = Group(
        (
            Group(
                (
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
                attrs=(("line", "pegs"), ("pegs", columns_text(chart))),
            ),
            *(line_group(geometry, index, row_texts) for index in range(len(chart.lines))),
            Group(tuple(_peg_numbers(geometry, geometry.grid_bottom_mm)), role=Role.ARTIFACT),
            *_words_outside(geometry),
        ),
        role=Role.TABLE,
        title=chart.part.title,
        alt=f"Chart: {chart.part.title}. Row 1 is at the bottom.",
        attrs=(("chart", chart.part.value), ("pegs", columns_text(chart))),
    )
    return Block((table,), geometry.width_mm, geometry.height_mm)


def _zone_names(geometry: GridGeometry) -> Iterator[Item]:
    """Names over their pegs, between brackets that stand on the borders."""
    style = geometry.style
    for zone, tier in geometry.zone_tiers:
        span = geometry.columns_span(zone.first_column, zone.last_column)
        line_mm = geometry.numbers_top_mm - (tier + 0.5) * geometry.zone_line_mm
        label = style.chart_label
        yield Text(
            span.middle_mm,
            middle_baseline_mm(line_mm, label.face, label.size_pt),
            zone.name,
            label.face,
            label.size_pt,
            label.ink,
            Align.CENTRE,
        )
        arm_mm = span.width_mm / 2 - geometry.label_width_mm(zone.name) / 2 - GAP_MM
        # A name wider than its pegs stands above the bracket's ends.
        top_mm = line_mm if arm_mm > -GAP_MM else line_mm + label.cap_height_mm / 2 + _BELOW_MM
        ends = [
            (x_mm, top_mm, x_mm, geometry.grid_top_mm) for x_mm in (span.left_mm, span.right_mm)
        ]
        if arm_mm > 0:
            ends.append((span.left_mm, line_mm, span.left_mm + arm_mm, line_mm))
            ends.append((span.right_mm - arm_mm, line_mm, span.right_mm, line_mm))
        yield lines(ends, stroke_pt=style.fifth_pt, ink=style.ink)


_BELOW_MM: Final = 0.5
"""Between a name and the ends of its bracket below it: letters may hang."""


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
