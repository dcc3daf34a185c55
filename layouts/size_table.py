"""The sizes of a pattern in one table: a column a size, smallest first, cm above or beside inches.

Beside it stands one of the socks to scale, with the measured places lettered as in the table.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import ceil
from typing import Final, TypeVar

from charts.foot_measures import Origin
from charts.gauge import GaugeReading, counted_over
from charts.range_fit import range_fit
from charts.shoe_sizes import YOUTH_FROM, ShoeSize, SizeSystem, size_words
from charts.size_figures import SizeFigures, size_figures
from charts.sizes import SizedPattern
from charts.spec import Units
from charts.yarn_need import whole_up
from layouts.block import Block, DoesNotFitError
from layouts.blocks import (
    Piece,
    fitting,
    heading,
    paragraph,
    pieces_height_mm,
    side_by_side,
    stacked,
)
from layouts.measured_outline import (
    MeasuredOutline,
    Place,
    badge,
    badge_mm,
    cm_words,
    inch_words,
    measured_outline,
    scale_words,
)
from layouts.paper import MM_PER_PT, PRINTER_SAFE, Paper
from layouts.scene import Align, Document, Group, Item, Page, Role, line
from layouts.style import BOOKLET, PageStyle
from layouts.text import NO_BREAK_SPACE, Style, bold, break_lines, set_line, set_lines, width_mm

NONE: Final = "–"
"""Printed where a size has no such figure."""
MARGIN_MM: Final = 11.0


def make_size_table(pattern: SizedPattern, *, paper: Paper, style: PageStyle = BOOKLET) -> Document:
    """The table of every proved size, on as many pages as it takes.

    Sizes that could not be made are named below it and have no column.  Raises ValueError for a
    pattern without a proved size, DoesNotFitError, saying what would fit, for too small a page.
    """
    if not pattern.sizes:
        raise ValueError("a size table needs a size that can be made")
    paper = paper.upright
    spec = pattern.sizes[0].knit.plan.spec
    width = paper.width_mm - 2 * MARGIN_MM
    head = stacked(
        [
            heading("Sizes", style.title, width, role=Role.H1),
            paragraph(spec.title, style.sub_head, width),
        ]
    )
    top_mm = MARGIN_MM + head.height_mm + _GAP_MM
    blocks = size_table_block(
        pattern, width_mm=width, height_mm=paper.height_mm - top_mm - MARGIN_MM, style=style
    )
    pages = tuple(
        Page(
            paper.width_mm,
            paper.height_mm,
            (head.placed(MARGIN_MM, MARGIN_MM), block.placed(MARGIN_MM, top_mm)),
            safe=PRINTER_SAFE,
        )
        for block in blocks
    )
    return Document(
        pages,
        f"{spec.title}: sizes",
        spec.designer,
        "Foot, loom, finished sock, ease and yarn of each size",
        ("sock", "sizes", "round loom"),
    )


def size_table_block(
    pattern: SizedPattern, *, width_mm: float, height_mm: float, style: PageStyle = BOOKLET
) -> tuple[Block, ...]:
    """The drawing, the table and its remarks as blocks of at most that size, one a page.

    Raises DoesNotFitError where not even one size has room.
    """
    figures = [size_figures(size) for size in pattern.sizes]
    return tuple(_Table(pattern, figures, width_mm, height_mm, style).pages())


_T = TypeVar("_T")
_U = TypeVar("_U")

# --- Rows ------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Row:
    """One line of the table for all sizes."""

    label: str
    units: tuple[str, ...]
    """Of the one or two values in each cell; empty where they need none."""
    cells: tuple[tuple[str, ...], ...]
    """One or two values a size; a single `NONE` where there is no value."""
    place: Place | None = None
    begins: bool = False
    """First of a group: a heavier rule above it."""

    def told_in(self, units: Units) -> _Row:
        """The same in those units; made with the metric value first."""

        def told(pair: tuple[str, ...]) -> tuple[str, ...]:
            return units.ordered(*pair) if len(pair) == 2 else pair

        return replace(self, units=told(self.units), cells=tuple(map(told, self.cells)))


_SHOES: Final = (
    (SizeSystem.EU, "shoe, EU"),
    (SizeSystem.UK, "shoe, UK"),
    (SizeSystem.UK_CHILD, "shoe, child’s UK"),
    (SizeSystem.US_WOMEN, "shoe, US women’s"),
    (SizeSystem.US_MEN, "shoe, US men’s"),
    (SizeSystem.US_CHILD, "shoe, child’s US"),
)


def _rows(figures: Sequence[SizeFigures], units: Units) -> Iterator[_Row]:
    """Every row that says something of any of the sizes, in the units asked for."""
    rows = [
        _lengths(
            "foot length",
            [_of(one.foot, lambda foot: foot.length.mm) for one in figures],
            begins=True,
        ),
        *_shoe_rows(figures),
        replace(_texts("loom, pegs", [str(one.loom.pegs) for one in figures]), begins=True),
    ]
    if len({one.loom.spacing_text for one in figures}) > 1:
        rows.append(_texts("pegs apart", [one.loom.spacing_text for one in figures]))
    for place in Place:
        lengths = [_of(one.measures, place.mm) for one in figures]
        rows.append(_lengths(place.words, lengths, place, begins=place is Place.ROUND))
        if place is Place.ROUND:
            spread = [_of(one.measures, lambda found: found.round.error_mm) for one in figures]
            rows.append(_lengths("A, ± by the gauge", spread))
    if any(one.measures is None for one in figures):
        rows += _count_rows(figures)
    rows += [
        replace(_texts("ease round", [_ease_round(one) for one in figures]), begins=True),
        _texts("ease in length", [_ease_length(one) for one in figures]),
        _texts("fit", ["" if one.fit is None else one.fit.fit_class.value for one in figures]),
        *_yarn_rows(figures),
    ]
    known = (row for row in rows if any(cell != (NONE,) for cell in row.cells))
    return (row.told_in(units) for row in known)


def _of(record: _T | None, value: Callable[[_T], _U]) -> _U | None:
    """The value of a record that there may not be."""
    return None if record is None else value(record)


def _texts(label: str, values: Sequence[str]) -> _Row:
    return _Row(label, (), tuple((value or NONE,) for value in values))


def _lengths(
    label: str,
    lengths_mm: Sequence[float | None],
    place: Place | None = None,
    *,
    begins: bool = False,
) -> _Row:
    cells = tuple((NONE,) if mm is None else (cm_words(mm), inch_words(mm)) for mm in lengths_mm)
    return _Row(label, ("cm", "in"), cells, place, begins)


def _shoe_rows(figures: Sequence[SizeFigures]) -> Iterator[_Row]:
    for system, label in _SHOES:
        shoes = [{shoe.system: shoe for shoe in one.shoes}.get(system) for one in figures]
        yield _texts(label, ["" if shoe is None else _shoe_words(shoe) for shoe in shoes])


def _shoe_words(shoe: ShoeSize) -> str:
    """The size without its system; the child scale counts on from 13, and so does the table."""
    if shoe.system is SizeSystem.US_CHILD and shoe.size > YOUTH_FROM + 0.5:
        return f"youth {size_words(shoe.size - YOUTH_FROM)}"
    return size_words(shoe.size)


def _ease_round(one: SizeFigures) -> str:
    """The sock less the foot, by ball or ankle, the larger."""
    if one.foot is None or one.measures is None:
        return ""
    return _percent(one.measures.round.mm / one.foot.widest_mm - 1)


def _ease_length(one: SizeFigures) -> str:
    if one.foot is None or one.measures is None:
        return ""
    return _percent(one.measures.length.mm / one.foot.length.mm - 1)


def _percent(share: float) -> str:
    number = round(100 * share)
    sign = "−" if number < 0 else "+" if number > 0 else ""
    return f"{sign}{abs(number)}{NO_BREAK_SPACE}%"


def _count_rows(figures: Sequence[SizeFigures]) -> Iterator[_Row]:
    """Rows of the parts, for sizes whose lengths no gauge tells."""
    counts = [one.counts for one in figures]
    yield replace(_texts("cuff, rows", [str(one.cuff) for one in counts]), begins=True)
    yield _texts("leg, rows", [str(one.leg) for one in counts])
    yield _texts("heel flap, rows", [str(one.flap) for one in counts])
    yield _texts("foot, rows", [str(one.foot) for one in counts])


def _yarn_rows(figures: Sequence[SizeFigures]) -> Iterator[_Row]:
    """Yarn for a pair, rounded up."""
    pairs = [_of(one.yarn, lambda yarn: yarn.pair) for one in figures]
    lengths = tuple(
        (NONE,) if pair is None else (str(whole_up(pair.metres)), str(whole_up(pair.yards)))
        for pair in pairs
    )
    yield _Row("yarn for a pair", ("m", "yd"), lengths, begins=True)
    grams = [_of(pair, lambda need: need.grams) for pair in pairs]
    weights = tuple((NONE,) if weight is None else (str(whole_up(weight)),) for weight in grams)
    yield _Row("its weight", ("g",), weights)


# --- The table -------------------------------------------------------------------------------

_GAP_MM: Final = 5.0
_COLUMN_GAP_MM: Final = 2.6
"""Between the widest values of two sizes at least."""
_LEAST_COLUMN_MM: Final = 11.5
_MOST_COLUMN_MM: Final = 30.0
_PAIR_GAP_MM: Final = 2.2
"""Between cm and inches side by side."""
_ABOVE_MM: Final = 0.7
_BELOW_MM: Final = 0.5
_LEAST_DRAWING_MM: Final = (62.0, 38.0)
"""Sizes on an A5 page, as those that follow."""
_MOST_DRAWING_MM: Final = (105.0, 95.0)
_BESIDE_FROM_MM: Final = 66.0
"""Room at the right of the table from which on drawing and remarks stand there."""
_REMARKS_FROM_MM: Final = 40.0
"""Room at the right of the drawing for the remarks."""


@dataclass(frozen=True)
class _Table:
    pattern: SizedPattern
    figures: Sequence[SizeFigures]
    width: float
    height: float
    style: PageStyle

    @property
    def look(self) -> Style:
        """The body's type set closer."""
        body = self.style.body
        return Style(body.size_pt, body.size_pt * 1.22, body.face, body.ink)

    @property
    def second(self) -> Style:
        """The second unit’s: smaller, so that the pairs of two sizes stand apart."""
        note = self.style.note
        return Style(note.size_pt, note.size_pt * 1.22, note.face)

    @property
    def units(self) -> Units:
        return self.pattern.sizes[0].knit.plan.spec.units

    @property
    def rows(self) -> list[_Row]:
        return list(_rows(self.figures, self.units))

    # Pages

    def pages(self) -> Iterator[Block]:
        """Blocks of at most the width and height."""
        tables = self._tables()
        width = tables[0].width_mm
        beside = self.width - width - _GAP_MM
        if beside >= _BESIDE_FROM_MM * self.style.growth:
            column = stacked(self._column(beside, self.height))
            if column.height_mm <= self.height:
                first, *others = tables
                yield side_by_side([first, column], self.width - width - beside)
                yield from others
                return
        whole = self._on_top(tables[0])
        if whole is not None:
            yield whole
            yield from tables[1:]
            return
        yield from self._in_turns(self._column(self.width, self.height))
        yield from tables

    def _on_top(self, table: Block) -> Block | None:
        """The drawing above the table, remarks beside it as far as there is room, others below; in
        one paragraph if they must.  None if there is no room."""
        told = self._remark_words()
        for remarks in (told, [" ".join(told)]):
            for count in range(len(remarks), -1, -1):
                below = self._paragraphs(remarks[count:], self.width)
                below_mm = _GAP_MM + pieces_height_mm(below) if below else 0.0
                room = self.height - table.height_mm - _GAP_MM - below_mm
                top = self._top(remarks[:count], room)
                if top is not None:
                    return stacked([Piece(top, _GAP_MM), Piece(table, _GAP_MM), *below])
        return None

    def _in_turns(self, pieces: Sequence[Piece], head: Piece | None = None) -> Iterator[Block]:
        """As many pieces a block as go in; each block below the head."""
        room = self.height - (head.height_mm if head else 0.0)
        rest = list(pieces)
        while rest:
            count = fitting(rest, room)
            if not count:
                raise DoesNotFitError("a size table needs a higher page")
            yield stacked([*([head] if head else []), *rest[:count]])
            rest = rest[count:]

    def _column(self, width: float, height: float) -> list[Piece]:
        """The drawing above the remarks."""
        remarks = self._remarks(width)
        room = height - pieces_height_mm(remarks) - _GAP_MM
        wide, high = self._most_drawing
        drawing = self._drawing(min(width, wide), min(room, high))
        return [*drawing, *remarks]

    def _top(self, words: Sequence[str], height: float) -> Block | None:
        """The drawing with these remarks at its right, if there is room for both."""
        growth = self.style.growth
        if height < _LEAST_DRAWING_MM[1] * growth:
            return None
        most_wide, most_high = self._most_drawing
        high = min(height, most_high)
        for share in (most_wide, 0.55 * self.width, _LEAST_DRAWING_MM[0] * growth):
            wide = min(share, self.width - _REMARKS_FROM_MM * growth - _GAP_MM)
            drawing = stacked(self._drawing(wide, high))
            remarks = stacked(self._paragraphs(words, self.width - drawing.width_mm - _GAP_MM))
            if remarks.height_mm <= height:
                if not remarks.items:
                    return drawing if drawing.items else None
                return side_by_side([drawing, remarks], _GAP_MM) if drawing.items else remarks
        return None

    # Drawing and remarks

    @property
    def _most_drawing(self) -> tuple[float, float]:
        growth = self.style.growth
        return _MOST_DRAWING_MM[0] * growth, _MOST_DRAWING_MM[1] * growth

    def _drawing(self, width: float, height: float) -> list[Piece]:
        """One of the socks, the middle one, with its name and scale; none without a gauge."""
        known = [one for one in self.figures if one.measures is not None]
        if not known:
            return []
        one = known[(len(known) - 1) // 2]
        assert one.measures is not None
        note = self.style.note
        room = height - note.leading_mm - 1.5
        try:
            drawn = measured_outline(one.measures, width_mm=width, height_mm=room, style=self.style)
        except DoesNotFitError:
            return []
        return [Piece(drawn.block, 1.5), self._caption(one, drawn)]

    def _caption(self, one: SizeFigures, drawn: MeasuredOutline) -> Piece:
        words = scale_words(drawn.scale)
        if one.name:
            words = f"{one.name}, {words}"
        note = self.style.note
        return paragraph(
            words[:1].upper() + words[1:], note, drawn.block.width_mm, role=Role.CAPTION
        )

    def _remarks(self, width: float) -> list[Piece]:
        return self._paragraphs(self._remark_words(), width)

    def _paragraphs(self, remarks: Sequence[str], width: float) -> list[Piece]:
        return [paragraph(words, self.style.note, width) for words in remarks]

    def _remark_words(self) -> list[str]:
        return list(self._remarks_told())

    def _remarks_told(self) -> Iterator[str]:
        figures = self.figures
        if any(one.measures is not None for one in figures):
            yield (
                "Letters: the finished sock at rest, counted in its knitted record; a rib or a "
                "cable draws in. Ease: sock less foot, − where the sock is smaller."
            )
        if any(one.measures is None for one in figures):
            yield "Without a gauge there are no sizes to tell."
        if any(one.foot is not None for one in figures):
            yield (
                "Choose by the round of the foot, then by its length: no shoe size converts "
                "exactly."
            )
        for origin in (Origin.SHOE, Origin.CLASS, Origin.ESTIMATED):
            names = [
                one.name
                for one in figures
                if one.foot is not None and one.foot.length.origin is origin
            ]
            if names:
                yield f"Foot length {origin.value}{_of_sizes(names)}."
        found = range_fit(figures)
        if found is not None:
            yield found.text
        loose = [one for one in figures if one.fit is not None and not one.fit.works]
        if loose:
            yield f"Does not fit its foot{_of_sizes([one.name for one in loose])}."
        yield from self._common_words()
        for failed in self.pattern.failed:
            yield f"Left out, for it cannot be made as the pattern stands: {failed.name}."

    def _common_words(self) -> Iterator[str]:
        """Loom, gauge and yarn: once where all sizes agree, else by size."""
        sizes = self.pattern.sizes
        if len({one.loom.spacing_text for one in self.figures}) == 1:
            yield f"Loom: pegs {self.figures[0].loom.spacing_text} apart."
        for name, told in (
            ("Gauge", [_gauge_words(size.fitted.gauge, self.units) for size in sizes]),
            ("Yarn", [size.knit.plan.spec.yarn for size in sizes]),
        ):
            for words in dict.fromkeys(told):
                if words:
                    of = [size.name for size, one in zip(sizes, told, strict=True) if one == words]
                    which = "" if len(of) == len(sizes) else f", {_listed(of)}"
                    yield f"{name}{which}: {words.rstrip('.')}."
        margins = {one.yarn.pair.margin for one in self.figures if one.yarn is not None}
        if len(margins) == 1:
            percent = f"{100 * margins.pop():.0f}{NO_BREAK_SPACE}%"
            yield f"Yarn amounts are computed and have {percent} in hand."

    # The table itself

    def _tables(self) -> list[Block]:
        """The table cut into pages: first by sizes, then by rows."""
        label = self._label_mm()
        least = max(_LEAST_COLUMN_MM, self._value_mm(paired=False) + _COLUMN_GAP_MM)
        most = int((self.width - label) / least)
        if most < 1:
            needed = label + least
            raise DoesNotFitError(f"a size table needs {needed:.0f} mm between the margins")
        paired = max(_LEAST_COLUMN_MM, self._value_mm(paired=True) + _COLUMN_GAP_MM)
        count = len(self.figures)
        parts = ceil(count / most)
        if parts == ceil(count / max(1, int((self.width - label) / paired))):
            return list(self._cut(parts, label, paired, is_paired=True))
        return list(self._cut(parts, label, least, is_paired=False))

    def _cut(self, parts: int, label: float, least: float, *, is_paired: bool) -> Iterator[Block]:
        count = len(self.figures)
        across = ceil(count / parts)
        column = min(max(least, (self.width - label) / across), max(least, _MOST_COLUMN_MM))
        for part in range(parts):
            chosen = slice(count * part // parts, count * (part + 1) // parts)
            head = self._head(chosen, label, column)
            rows = [self._row(row, chosen, label, column, is_paired) for row in self.rows]
            yield from self._in_turns(self._with_end(rows), head)

    @property
    def _letter_mm(self) -> float:
        """Room for the letter before a label."""
        return 2 * badge_mm(self.style) + 1.4

    def _label_mm(self) -> float:
        words = max(width_mm(row.label, self.look) for row in self.rows)
        return self._letter_mm + words + _COLUMN_GAP_MM + self._units_mm()

    def _units_mm(self) -> float:
        return max(width_mm(_units(row.units), self.style.note) for row in self.rows)

    def _value_mm(self, *, paired: bool) -> float:
        """Width of the widest cell; texts may break at spaces."""
        widths = [
            width_mm((bold(word),), self.look)
            for one in self.figures
            for word in _name(one).split()
        ]
        if paired:
            widths.append(self._half_mm(0) + _PAIR_GAP_MM + self._half_mm(1))
        for row in self.rows:
            for cell in row.cells:
                if not (paired and len(cell) == 2):
                    widths += [
                        width_mm(word, self.look) for value in cell for word in value.split(" ")
                    ]
        return max(widths)

    def _half_mm(self, index: int) -> float:
        """Width of the widest first, or second, value of a pair."""
        style = self.second if index else self.look
        pairs = (cell for row in self.rows for cell in row.cells if len(cell) == 2)
        return max((width_mm(cell[index], style) for cell in pairs), default=0.0)

    def _head(self, chosen: slice, label: float, column: float) -> Piece:
        """The names of the sizes."""
        look = self.look
        shown = self.figures[chosen]
        set_names = []
        for index, one in enumerate(shown):
            right = label + (index + 1) * column
            wide = column - _COLUMN_GAP_MM / 2
            lines_of = break_lines((bold(_name(one)),), look, wide)
            set_names.append((lines_of, right - wide, wide))
        high = max(len(lines_of) for lines_of, _, _ in set_names) * look.leading_mm
        items: list[Item] = [
            set_lines(
                lines_of,
                left,
                high - len(lines_of) * look.leading_mm,
                wide,
                look,
                align=Align.RIGHT,
                role=Role.TH,
            ).group
            for lines_of, left, wide in set_names
        ]
        whole = label + len(shown) * column
        corner = Group((), role=Role.TH)
        return Piece(
            Block((Group((corner, *items), role=Role.TR),), whole, high + _BELOW_MM), with_next=True
        )

    def _row(self, row: _Row, chosen: slice, label: float, column: float, is_paired: bool) -> Piece:
        """A row under its rule; the values right-aligned in their columns."""
        look, note = self.look, self.style.note
        cells = row.cells[chosen]
        whole = label + len(cells) * column
        items: list[Item] = []
        high = look.leading_mm
        base = _ABOVE_MM + look.baseline_mm
        half = self._half_mm(1) if is_paired and row.units[1:] else 0.0
        for index, cell in enumerate(cells):
            right = label + (index + 1) * column
            if is_paired and len(cell) == 2:
                texts = [
                    *set_line(cell[0], right - half - _PAIR_GAP_MM, base, look, align=Align.RIGHT),
                    *set_line(cell[1], right, base, self.second, align=Align.RIGHT),
                ]
                items.append(Group(tuple(texts), role=Role.TD))
                continue
            y_mm = _ABOVE_MM
            values: list[Item] = []
            for value, style in zip(cell, (look, self.second), strict=False):
                wide = column - _COLUMN_GAP_MM / 2
                lines_of = break_lines(value, style, wide)
                placed = set_lines(
                    lines_of, right - wide, y_mm, wide, style, align=Align.RIGHT, role=None
                )
                values.append(placed.group)
                y_mm = placed.next_mm
            items.append(Group(tuple(values), role=Role.TD))
            high = max(high, y_mm - _ABOVE_MM)
        letters: list[Item] = []
        if row.place is not None:
            middle = base - look.cap_height_mm / 2
            letters += badge(row.place, badge_mm(self.style), middle, self.style)
        letters += set_line(row.label, self._letter_mm, base, look)
        units = [_units(row.units)] if is_paired else list(row.units)
        left = label - self._units_mm()
        for index, unit in enumerate(units):
            letters += set_line(unit, left, base + index * look.leading_mm, note)
        rule = line(0.0, 0.0, whole, 0.0, stroke_pt=1.0 if row.begins else 0.3)
        group = Group(
            (Group((rule,), role=Role.ARTIFACT), Group(tuple(letters), role=Role.TH), *items),
            role=Role.TR,
        )
        return Piece(Block((group,), whole, _ABOVE_MM + high + _BELOW_MM))

    def _with_end(self, rows: list[Piece]) -> list[Piece]:
        """The last row with a rule below it."""
        last = rows[-1].block
        rule = line(0.0, last.height_mm, last.width_mm, last.height_mm, stroke_pt=1.0)
        end = Group((rule,), role=Role.ARTIFACT)
        height = last.height_mm + 0.5 * MM_PER_PT
        return [*rows[:-1], Piece(Block((*last.items, end), last.width_mm, height))]


def _gauge_words(gauge: GaugeReading | None, units: Units) -> str:
    if gauge is None:
        return ""
    stitches, span = counted_over(gauge.stitches.per_10cm, units)
    rows, _ = counted_over(gauge.rows.per_10cm, units)
    counts = f"{stitches:.3g} stitches and {rows:.3g} rows in {span.replace(' ', NO_BREAK_SPACE)}"
    return f"{counts}, {gauge.basis}" if gauge.source.is_estimate else counts


def _units(units: Sequence[str]) -> str:
    return ", ".join(units)


def _name(one: SizeFigures) -> str:
    return one.name or "this sock"


def _of_sizes(names: Sequence[str]) -> str:
    """The sizes meant, nothing where the pattern has but one.

    >>> _of_sizes(["S", "M"]), _of_sizes([""])
    (': S and M', '')
    """
    return f": {_listed(names)}" if any(names) else ""


def _listed(names: Sequence[str]) -> str:
    """Names in words.

    >>> _listed(["S", "M", "L"])
    'S, M and L'
    """
    return " and ".join(part for part in (", ".join(names[:-1]), names[-1]) if part)
