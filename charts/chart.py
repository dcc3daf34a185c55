"""Charts of a proved sock: peg-by-row grids as the knitter sees them, without a millimetre.

Columns stand in the order of the pegs seen from outside the ring, rows go up from the bottom, and
the right side shows in every row.  A column is one peg, or several pegs that are worked alike in
every row of the chart: a folded run of neighbours, or the pegs of a repeat.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum
from itertools import accumulate, pairwise

from charts.loom import PegNumber
from charts.parts import Happening, Part, PartRecord, part_record
from charts.plan import Plan
from charts.rows import (
    RUN_ON,
    CastOn,
    Event,
    Graft,
    Hold,
    LiftBar,
    Move,
    Rehang,
    Row,
    Section,
    Shift,
    TakeOff,
)
from charts.steps import fold_rows, row_label
from charts.stitches import STITCHES, drawn_in
from charts.verify import Knit
from charts.words import move_text

WAITING = " "
"""The peg's loop waits; the yarn does not come here in this row."""
HELD = "h"
"""The peg's loop is on a holder."""
ABSENT = "."
"""The peg has no loop, here or on a holder."""
MOVE_MARKS = {Hold: "H", Rehang: "G", LiftBar: "B", Shift: "M", TakeOff: "O"}
"""The mark of each kind of move in a strip: hold, hang back, lift bar, move a loop, take off."""


class Folding(Enum):
    """How much a chart is made narrower."""

    NONE = "every peg"
    RUNS = "runs of pegs worked alike"


@dataclass(frozen=True)
class Column:
    """One column; several pegs if they are all worked alike."""

    pegs: tuple[PegNumber, ...]
    """As seen, left to right."""
    folded: bool = False
    """A run of neighbours drawn as one wide column."""


@dataclass(frozen=True)
class ChartRow:
    """One row of cells."""

    section: Section
    number: int
    label: str
    """ "3", or words for a row without a number: "partial", "run on"."""
    starts_left: bool
    """The row number stands on the side where the row starts."""
    first_peg: PegNumber
    last_peg: PegNumber
    cells: str
    """One a column: a stitch letter, WAITING, HELD or ABSENT."""
    stitches: int


@dataclass(frozen=True)
class ChartStrip:
    """Moves between two rows, marked at the pegs they concern."""

    moves: tuple[Move, ...]
    marks: str
    """One a column: a letter of MOVE_MARKS or a blank."""
    texts: tuple[str, ...]


@dataclass(frozen=True)
class ChartFold:
    """Rows not drawn because they are worked as rows below them."""

    section: Section
    first: int
    last: int
    like_first: int
    like_last: int

    @property
    def text(self) -> str:
        rows = row_label(self.section, self.first, self.last).lower()
        like = row_label(self.section, self.like_first, self.like_last).lower()
        count = self.last - self.first + 1
        once = count == self.like_last - self.like_first + 1
        return f"{rows}: as {like}" if once else f"{rows}: repeat {like}"

    @property
    def told(self) -> str:
        """The same with how many times a group of rows is repeated."""
        height = self.like_last - self.like_first + 1
        times = (self.last - self.first + 1) // height
        return f"{self.text}, {times} times more" if height > 1 and times > 1 else self.text


Line = ChartRow | ChartStrip | ChartFold


@dataclass(frozen=True)
class Zone:
    """Neighbouring columns with a name; a heavy line stands at each of its edges."""

    name: str
    first_column: int
    """0-based index into the chart's columns."""
    last_column: int


@dataclass(frozen=True)
class AcrossRepeat:
    """Columns that are drawn once and worked several times across."""

    first_column: int
    last_column: int
    times: int
    last_peg: PegNumber


@dataclass(frozen=True)
class UpRepeat:
    """Rows that are worked again higher up; boxed in the chart."""

    first_line: int
    """0-based index into the chart's lines."""
    last_line: int
    times: int


@dataclass(frozen=True)
class Chart:
    """One part of a proved sock."""

    part: Part
    columns: tuple[Column, ...]
    """As seen, left to right."""
    lines: tuple[Line, ...]
    """Bottom first."""
    zones: tuple[Zone, ...]
    across: AcrossRepeat | None
    up: tuple[UpRepeat, ...]

    @property
    def letters(self) -> str:
        """The stitch letters used, in the order of the symbol key."""
        used = {cell for line in self.lines if isinstance(line, ChartRow) for cell in line.cells}
        return "".join(letter for letter in STITCHES if letter in used)

    @property
    def marks(self) -> str:
        """The move marks used, in the order of MOVE_MARKS."""
        used = {mark for line in self.lines if isinstance(line, ChartStrip) for mark in line.marks}
        return "".join(mark for mark in MOVE_MARKS.values() if mark in used)


def make_chart(
    knit: Knit, part: Part, *, folding: Folding = Folding.NONE, fold_up: bool = True
) -> Chart:
    """The chart of one part.

    A repeat across (a rib) is always drawn once.  `folding` joins runs of pegs worked alike;
    `fold_up` replaces repeated rows by a line that names them.
    """
    return _ChartMaker(knit, part_record(knit, part), folding, fold_up).chart()


class _ChartMaker:
    def __init__(self, knit: Knit, record: PartRecord, folding: Folding, fold_up: bool) -> None:
        self.plan: Plan = knit.plan
        self.record = record
        self.folding = folding
        self.fold_up = fold_up
        self.pegs = self.pegs_as_seen()
        self.across: AcrossRepeat | None = None

    def chart(self) -> Chart:
        lines = self.full_lines()
        drawn = lines
        up: list[UpRepeat] = []
        if self.fold_up:
            drawn, up = self.folded_up(lines)
        columns = self.drawn_columns()
        index = {peg: place for place, peg in enumerate(self.pegs)}
        picks = [index[column.pegs[0]] for column in columns]
        if picks != list(range(len(self.pegs))):
            drawn = [_picked(line, picks) for line in drawn]
        chart = Chart(
            self.record.part,
            columns,
            tuple(drawn),
            self.zones(columns),
            self.across,
            tuple(up),
        )
        folds = self.folding is Folding.RUNS and self.across is None
        return fold_columns(chart) if folds else chart

    def pegs_as_seen(self) -> tuple[PegNumber, ...]:
        """The pegs of the chart from left to right."""
        plan = self.plan
        match self.record.part:
            case Part.CUFF:
                pegs = plan.loom.run(1, plan.loom.pegs)
            case Part.FLAP | Part.TURN:
                pegs = plan.pegs(1, plan.heel_pegs)
            case Part.TOE:
                pegs = plan.pegs(plan.toe_offset + 1, plan.toe_offset + plan.toe_pegs)
            case _:
                pegs = plan.pegs(1, plan.loom.pegs)
        return pegs if plan.loom.rightward > 0 else pegs[::-1]

    # Lines, one cell a peg

    def full_lines(self) -> list[Line]:
        lines: list[Line] = []
        waiting: list[Happening] = []
        background = dict.fromkeys(self.pegs, WAITING)
        for happening in self.record.happenings:
            event = happening.event
            if not isinstance(event, Row):
                waiting.append(happening)
                continue
            if waiting:
                lines += self.strips([item.event for item in waiting], background)
                waiting = []
            lines.append(self.row_line(event, background))
            if "j" in event.stitches:
                background[self.joined_peg(event, background)] = ABSENT
        if waiting:
            lines += self.strips([item.event for item in waiting], background)
        return lines

    def strips(self, moves: list[Event], background: dict[PegNumber, str]) -> list[Line]:
        """One strip for moves that lie side by side; a second where two would share a peg."""
        strips: list[Line] = []
        marks: dict[PegNumber, str] = {}
        group: list[Move] = []
        for move in moves:
            if isinstance(move, Row | CastOn | Graft):
                continue
            mark = MOVE_MARKS[type(move)]
            pegs = marked_pegs(move)
            if any(peg in marks for peg in pegs) or (group and type(group[0]) is not type(move)):
                strips.append(self.strip(group, marks))
                marks, group = {}, []
            group.append(move)
            marks |= dict.fromkeys(pegs, mark)
            if isinstance(move, Hold):
                background |= dict.fromkeys(move.pegs, HELD)
            elif isinstance(move, Shift):
                background[move.from_peg] = ABSENT
        if group:
            strips.append(self.strip(group, marks))
        return strips

    def strip(self, moves: list[Move], marks: dict[PegNumber, str]) -> ChartStrip:
        texts = tuple(move_text(move, self.plan.loom) for move in moves)
        return ChartStrip(tuple(moves), "".join(marks.get(peg, " ") for peg in self.pegs), texts)

    def row_line(self, row: Row, background: dict[PegNumber, str]) -> ChartRow:
        cells = background | dict(zip(row.pegs, row.stitches, strict=True))
        label = "run on" if row.number == RUN_ON else str(row.number)
        if row.section is Section.PARTIAL:
            label = "partial"
        return ChartRow(
            row.section,
            row.number,
            label,
            row.direction == self.plan.loom.rightward,
            row.pegs[0],
            row.pegs[-1],
            "".join(map(cells.__getitem__, self.pegs)),
            drawn_in(row.stitches),
        )

    def joined_peg(self, row: Row, background: dict[PegNumber, str]) -> PegNumber:
        """The peg whose held loop the row's join takes: the nearest one ahead."""
        ring = self.plan.loom.pegs
        held = [peg for peg in self.pegs if background[peg] == HELD]
        return min(held, key=lambda peg: (peg - row.pegs[-1]) * row.direction % ring)

    # Repeated rows

    def folded_up(self, lines: list[Line]) -> tuple[list[Line], list[UpRepeat]]:
        out: list[Line] = []
        up: list[UpRepeat] = []
        stretch: list[ChartRow] = []
        rows = {
            (event.section, event.number): event
            for event, _, _ in self.record.happenings
            if isinstance(event, Row)
        }

        def close() -> None:
            """Put the stretch of rows out, repeats replaced."""
            source = [rows[row.section, row.number] for row in stretch]
            for block in fold_rows(source):
                pattern = stretch[block.start : block.start + block.period]
                first_line = len(out)
                out.extend(pattern)
                if block.times > 1:
                    first, last = pattern[0].number, pattern[-1].number
                    up.append(UpRepeat(first_line, len(out) - 1, block.times))
                    out.append(
                        ChartFold(
                            pattern[0].section,
                            last + 1,
                            stretch[block.end - 1].number,
                            first,
                            last,
                        )
                    )
            stretch.clear()

        for line in lines:
            if isinstance(line, ChartRow) and (not stretch or stretch[-1].section is line.section):
                stretch.append(line)
                continue
            close()
            if isinstance(line, ChartRow):
                stretch.append(line)
            else:
                out.append(line)
        close()
        return out, up

    # Columns

    def drawn_columns(self) -> tuple[Column, ...]:
        """One a peg, or those of a rib that is drawn once."""
        repeated = self.repeated_columns() if self.record.part is Part.CUFF else None
        return repeated or tuple(Column((peg,)) for peg in self.pegs)

    def repeated_columns(self) -> tuple[Column, ...] | None:
        """The cuff's columns with its rib drawn once; None if nothing repeats."""
        rib = len(self.plan.spec.cuff.rib)
        leftover = len(self.pegs) % rib
        times = len(self.pegs) // rib
        if times < 2:
            return None
        rightward = self.plan.loom.rightward > 0
        counted = self.pegs if rightward else self.pegs[::-1]
        singles = [Column((peg,)) for peg in counted[:leftover]]
        repeated = [Column(tuple(counted[leftover + step :: rib])) for step in range(rib)]
        columns = singles + repeated
        first, last = leftover, leftover + rib - 1
        if not rightward:
            columns.reverse()
            first, last = 0, rib - 1
        self.across = AcrossRepeat(first, last, times, counted[-1])
        return tuple(columns)

    # Zones

    def zone_names(self) -> list[tuple[str, tuple[PegNumber, ...]]]:
        """The zones that this part shows, as runs of pegs."""
        plan = self.plan
        heel, gusset, centre = plan.heel_pegs, plan.gusset_pegs, plan.centre_pegs
        whole = [("heel", plan.pegs(1, heel)), ("instep", plan.pegs(heel + 1, plan.loom.pegs))]
        match self.record.part:
            case Part.LEG:
                zones = whole
            case Part.FOOT:
                zones = [("sole", whole[0][1]), whole[1]]
            case Part.FLAP | Part.TURN:
                return [
                    ("gusset", plan.pegs(1, gusset)),
                    ("turn", plan.pegs(gusset + 1, gusset + centre)),
                    ("gusset", plan.pegs(gusset + centre + 1, heel)),
                ]
            case Part.TOE:
                first, side = plan.toe_offset + 1, plan.toe_side
                last = plan.toe_offset + plan.toe_pegs
                return [
                    ("side", plan.pegs(first, first + side - 1)),
                    ("centre", plan.pegs(first + side, last - side)),
                    ("side", plan.pegs(last - side + 1, last)),
                ]
            case _:
                return []
        if plan.panel is not None:
            side = (plan.instep_pegs - plan.panel_pegs) // 2
            first = heel + side + 1
            zones = [*zones, ("panel", plan.pegs(first, first + plan.panel_pegs - 1))]
        return zones

    def zones(self, columns: tuple[Column, ...]) -> tuple[Zone, ...]:
        zones = []
        for name, pegs in self.zone_names():
            inside = [i for i, column in enumerate(columns) if column.pegs[0] in set(pegs)]
            if inside:
                zones.append(Zone(name, inside[0], inside[-1]))
        return tuple(zones)


def fold_columns(chart: Chart) -> Chart:
    """The chart with a column for each run of neighbours that are worked alike in all its rows.

    Pegs at the edge of a zone, or that run on and those that do not, stay in columns of their own;
    so do those on both sides of the end of the numbers: "31–1" would be read as a run down.
    """
    places = range(len(chart.columns))
    rows = [line for line in chart.lines if _cells(line)]
    worked = _upright([_cells(line) for line in rows if not _runs_on(line)], len(places))
    run_on = _upright([_cells(line) for line in rows if _runs_on(line)], len(places))
    numbers = [column.pegs[0] for column in chart.columns]
    ends = [abs(peg - before) != 1 for before, peg in pairwise(numbers)]
    passed = list(accumulate(ends, initial=0))
    keys = [
        (
            worked[place],
            tuple(zone.first_column <= place <= zone.last_column for zone in chart.zones),
            run_on[place],
            passed[place],
        )
        for place in places
    ]
    columns: list[Column] = []
    picks: list[int] = []
    start = 0
    for end in range(1, len(keys) + 1):
        if end < len(keys) and keys[end] == keys[start]:
            continue
        alike = chart.columns[start:end]
        plain = not set("".join(keys[start][0])) & set(NOT_FOLDED)
        if len(alike) >= LEAST_FOLDED and plain:
            columns.append(Column(tuple(peg for one in alike for peg in one.pegs), folded=True))
            picks.append(start)
        else:
            columns += alike
            picks += places[start:end]
        start = end
    return with_columns(chart, columns, picks)


def _upright(rows: Sequence[str], columns: int) -> list[tuple[str, ...]]:
    """The cells of each column, the first row's first."""
    return list(zip(*rows, strict=True)) if rows else [()] * columns


def with_columns(chart: Chart, columns: Sequence[Column], picks: Sequence[int]) -> Chart:
    """The chart with those columns, whose cells are those of its own columns of these indices; no
    repeat across."""
    zones = []
    for zone in chart.zones:
        inside = [
            index
            for index, pick in enumerate(picks)
            if zone.first_column <= pick <= zone.last_column
        ]
        if inside:
            zones.append(Zone(zone.name, inside[0], inside[-1]))
    return replace(
        chart,
        columns=tuple(columns),
        lines=tuple(_picked(line, picks) for line in chart.lines),
        zones=tuple(zones),
        across=None,
    )


NOT_FOLDED = "RrLlHh."
"""Cells that must be seen peg by peg: cables, and what is held or gone."""
LEAST_FOLDED = 3
"""Shorter runs are not worth folding."""


def _cells(line: Line) -> str:
    match line:
        case ChartRow(cells=cells):
            return cells
        case ChartStrip(marks=marks):
            return marks
        case ChartFold():
            return ""


def _runs_on(line: Line) -> bool:
    return isinstance(line, ChartRow) and line.number == 0


def marked_pegs(move: Move) -> tuple[PegNumber, ...]:
    """The pegs at which a strip marks the move."""
    match move:
        case Hold(pegs=pegs) | Rehang(pegs=pegs) | TakeOff(pegs=pegs):
            return pegs
        case LiftBar(peg=peg):
            return (peg,)
        case Shift(from_peg=from_peg):
            return (from_peg,)
        case _:
            return ()


def _picked(line: Line, picks: Sequence[int]) -> Line:
    """The line with only the columns that are drawn."""
    match line:
        case ChartRow():
            return ChartRow(
                line.section,
                line.number,
                line.label,
                line.starts_left,
                line.first_peg,
                line.last_peg,
                "".join(line.cells[pick] for pick in picks),
                line.stitches,
            )
        case ChartStrip():
            return ChartStrip(line.moves, "".join(line.marks[pick] for pick in picks), line.texts)
        case ChartFold():
            return line
