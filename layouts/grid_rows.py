"""The lines of a chart as groups: symbols, row numbers, counts; folds and strips between them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from charts.chart import Chart, ChartFold, ChartRow, ChartStrip
from charts.rows import Section, Shift
from charts.stitches import STITCHES, crosses
from layouts.faces import Face, metrics
from layouts.grid_geometry import GridGeometry
from layouts.grid_terms import Band, framed_columns, shows_cells
from layouts.paper import MM_PER_PT
from layouts.scene import WHITE, Align, Cap, Group, Item, Join, Path, Role, Text, polyline
from layouts.symbols import Over, cable_cross

RowTexts = Mapping[tuple[Section, int], str]
"""Rows in words, by section and number."""


def line_group(geometry: GridGeometry, index: int, row_texts: RowTexts) -> Group:
    """One line of the chart as a row of its table."""
    line = geometry.chart.lines[index]
    match line:
        case ChartRow():
            return _row_group(geometry, line, index, row_texts)
        case ChartFold():
            return _fold_group(geometry, line, geometry.bands[index])
        case ChartStrip():
            return _strip_group(geometry, line, index)


# --- Rows ------------------------------------------------------------------------------------


def _row_group(geometry: GridGeometry, row: ChartRow, index: int, row_texts: RowTexts) -> Group:
    band = geometry.bands[index]
    items = [
        *_row_number(geometry, row, band, again=index in geometry.piece.again_lines),
        *_cells(geometry, row.cells, band),
        *_folded_words(geometry, row, band),
        *_cables(geometry, row, band),
        *_count(geometry, row, band),
    ]
    return Group(
        tuple(items),
        role=Role.TR,
        alt=_in_words(row, row_texts),
        attrs=(
            ("line", "again" if index in geometry.piece.again_lines else "row"),
            ("section", row.section.value),
            ("row", row.label),
            ("direction", "right" if row.starts_left else "left"),
            ("cells", row.cells),
            ("pegs", geometry.columns_text),
            ("stitches", str(row.stitches)),
        ),
    )


def _in_words(row: ChartRow, row_texts: RowTexts) -> str:
    name = f"Row {row.label}" if row.label.isdigit() else f"{row.label.capitalize()} row"
    if not row.number:
        name = row.label.capitalize()
    way = "to the right" if row.starts_left else "to the left"
    words = row_texts.get((row.section, row.number))
    return f"{name}, {way}: {words or f'pegs {row.first_peg} to {row.last_peg}.'}"


def middle_baseline_mm(middle_mm: float, face: Face, size_pt: float) -> float:
    """The base line of text whose capitals and figures stand centred on a height."""
    return middle_mm + metrics(face).cap_height * size_pt * MM_PER_PT / 2000


def _row_number(
    geometry: GridGeometry, row: ChartRow, band: Band, *, again: bool
) -> Iterator[Item]:
    """The row's number on the side where it starts, and an arrow into the row."""
    if not shows_cells(row.cells):
        return
    first, last = framed_columns(row.cells)
    style, size_pt = geometry.style, geometry.row_number_pt
    near_mm = geometry.number_gap_mm
    baseline_mm = middle_baseline_mm(band.middle_mm, Face.BOLD, size_pt)
    if row.starts_left:
        tip_mm = geometry.edges_mm[first] - near_mm
        tail_mm, align = tip_mm - geometry.arrow_mm, Align.RIGHT
        number_mm = tail_mm - near_mm
    else:
        tip_mm = geometry.edges_mm[last + 1] + near_mm
        tail_mm, align = tip_mm + geometry.arrow_mm, Align.LEFT
        number_mm = tail_mm + near_mm
    face = Face.REGULAR if again else Face.BOLD
    ink = style.soft_ink if again else style.ink
    yield Text(
        number_mm, baseline_mm, geometry.number_text(row), face, size_pt, ink, align, role=Role.TH
    )
    yield from _level_arrow(tail_mm, tip_mm, band.middle_mm, geometry)


def _level_arrow(
    tail_mm: float, tip_mm: float, y_mm: float, geometry: GridGeometry
) -> Iterator[Path]:
    """A small arrow, its head a third of its length."""
    barb_mm = (tip_mm - tail_mm) / 3
    stroke_pt = geometry.row_number_pt / 11
    yield polyline(
        ((tail_mm, y_mm), (tip_mm, y_mm)),
        stroke_pt=stroke_pt,
        ink=geometry.style.ink,
        cap=Cap.ROUND,
    )
    yield polyline(
        (
            (tip_mm - barb_mm, y_mm - abs(barb_mm)),
            (tip_mm, y_mm),
            (tip_mm - barb_mm, y_mm + abs(barb_mm)),
        ),
        stroke_pt=stroke_pt,
        ink=geometry.style.ink,
        cap=Cap.ROUND,
        join=Join.ROUND,
    )


def _count(geometry: GridGeometry, row: ChartRow, band: Band) -> Iterator[Text]:
    text = geometry.count_text(row)
    if not text or not shows_cells(row.cells):
        return
    first, last = framed_columns(row.cells)
    size_pt = geometry.row_number_pt
    baseline_mm = middle_baseline_mm(band.middle_mm, Face.REGULAR, size_pt)
    near_mm = 2 * geometry.number_gap_mm
    if row.starts_left:
        x_mm, align = geometry.edges_mm[last + 1] + near_mm, Align.LEFT
    else:
        x_mm, align = geometry.edges_mm[first] - near_mm, Align.RIGHT
    ink = geometry.style.soft_ink
    yield Text(x_mm, baseline_mm, text, Face.REGULAR, size_pt, ink, align, role=Role.TD)


# --- Cells -----------------------------------------------------------------------------------


def _cells(geometry: GridGeometry, cells: str, band: Band) -> Iterator[Text]:
    """The symbols: one string for each stretch of columns of one width."""
    columns = geometry.chart.columns
    start = 0
    for end in range(1, len(columns) + 1):
        if end < len(columns) and not columns[end].folded and not columns[start].folded:
            continue
        stretch = cells[start:end].replace(".", " ")
        text = stretch.strip(" ")
        if text:
            first = start + len(stretch) - len(stretch.lstrip(" "))
            if columns[start].folded:
                left_mm = geometry.folded_symbol_left_mm(start, cells[start])
            else:
                spare_mm = geometry.cell_width_mm - geometry.symbol_mm
                left_mm = geometry.edges_mm[first] + spare_mm / 2
            yield _symbol_text(geometry, text, left_mm, band.middle_mm)
        start = end


def _symbol_text(geometry: GridGeometry, letters: str, left_mm: float, middle_mm: float) -> Text:
    """A string of symbols with a cell's width from each to the next."""
    side_mm = geometry.symbol_mm
    spacing_mm = geometry.cell_width_mm - side_mm if len(letters) > 1 else 0.0
    return Text(
        left_mm,
        middle_mm + side_mm / 2,
        letters,
        Face.SYMBOLS,
        side_mm / MM_PER_PT,
        geometry.style.ink,
        spacing_mm=spacing_mm,
        role=Role.TD,
    )


def _folded_words(geometry: GridGeometry, row: ChartRow, band: Band) -> Iterator[Text]:
    size_pt = geometry.folded_text_pt
    for place in geometry.folded_places:
        cell = row.cells[place]
        text = geometry.folded_words.get((place, cell))
        if text:
            yield Text(
                geometry.folded_words_left_mm(place, cell),
                middle_baseline_mm(band.middle_mm, Face.REGULAR, size_pt),
                text,
                Face.REGULAR,
                size_pt,
                geometry.style.soft_ink,
            )


_CROSSED = frozenset(letter for letter, stitch in STITCHES.items() if stitch.cross)


def _cables(geometry: GridGeometry, row: ChartRow, band: Band) -> Iterator[Item]:
    if _CROSSED.isdisjoint(row.cells):
        return
    for start, left, right in crosses(row.cells):
        yield cable_cross(
            left,
            right,
            Over.LEFT if row.cells[start] == "R" else Over.RIGHT,
            x_mm=geometry.edges_mm[start],
            y_mm=band.top_mm,
            cell_mm=geometry.cell_height_mm,
            cell_width_mm=geometry.cell_width_mm,
            ink=geometry.style.ink,
            ground=geometry.column_tints[start] or WHITE,
        )


# --- Folds and strips ------------------------------------------------------------------------


def _fold_group(geometry: GridGeometry, fold: ChartFold, band: Band) -> Group:
    label = geometry.style.chart_label
    text = Text(
        geometry.fold_text_span(fold).left_mm,
        middle_baseline_mm(band.middle_mm, label.face, label.size_pt),
        geometry.fold_text(fold),
        label.face,
        label.size_pt,
        label.ink,
        role=Role.TD,
    )
    return Group(
        (text,),
        role=Role.TR,
        alt=fold.text.capitalize() + ".",
        attrs=(("line", "fold"), ("section", fold.section.value), ("text", fold.text)),
    )


def _strip_group(geometry: GridGeometry, strip: ChartStrip, index: int) -> Group:
    marks_band, label = geometry.marks_band(index), geometry.style.chart_label
    items: list[Item] = list(_cells(geometry, _marks_as_drawn(geometry.chart, strip), marks_band))
    for placed in geometry.strip_labels(index):
        line_mm = marks_band.bottom_mm + (placed.tier + 0.5) * geometry.label_line_mm
        items.append(
            Text(
                placed.left_mm,
                middle_baseline_mm(line_mm, label.face, label.size_pt),
                placed.text,
                label.face,
                label.size_pt,
                label.ink,
                role=Role.TD,
            )
        )
    return Group(
        tuple(items),
        role=Role.TR,
        alt=" ".join(strip.texts),
        attrs=(("line", "moves"), ("marks", strip.marks), ("pegs", geometry.columns_text)),
    )


def _marks_as_drawn(chart: Chart, strip: ChartStrip) -> str:
    """The marks with the arrow of a moved loop pointing the way it goes."""
    marks = strip.marks
    places = {peg: place for place, column in enumerate(chart.columns) for peg in column.pegs}
    for move in strip.moves:
        if isinstance(move, Shift) and move.from_peg in places:
            source = places[move.from_peg]
            if places.get(move.to_peg, source + 1) < source:
                marks = marks[:source] + "m" + marks[source + 1 :]
    return marks
