"""What a booklet of a proved sock must tell, worked out from its rows, and how it differs.

The words here are written by hand a second time: nothing comes from the modules that print.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from charts.parts import Part
from charts.plan import Plan
from charts.reader import ChartRowLine, ReadSteps, Ring
from charts.rows import (
    CastOn,
    Event,
    Graft,
    Hold,
    LiftBar,
    Rehang,
    Row,
    Shift,
    TakeOff,
)
from charts.steps import Checkpoint, ThreadStep, make_part_steps
from charts.verify import Knit
from tests.readback.printed_graft import GraftMove, PrintedGraft
from tests.readback.printed_steps import PrintedPart
from tests.readback.read_booklet import PrintedPartChart

SHAPED = (Part.FLAP, Part.TURN, Part.TOE)
"""Parts whose rows differ in length: the count of each row is printed."""

PART = {part.title: part for part in Part}


FRONT_OFF = GraftMove("front", "first", "knitwise", "take it off")
BACK_OFF = GraftMove("back", "first", "purlwise", "take it off")
SET_UP = (
    GraftMove("front", "first", "purlwise", "leave it on"),
    GraftMove("back", "first", "knitwise", "leave it on"),
)
REPEAT = (
    FRONT_OFF,
    GraftMove("front", "next", "purlwise", "leave it on"),
    BACK_OFF,
    GraftMove("back", "next", "knitwise", "leave it on"),
)
"""Kitchener stitch in stockinette, as published in a knitting magazine's column of 26 May 2022; the
ending from memory."""


def graft_of(pairs: int) -> PrintedGraft:
    """What a booklet must tell of the grafting: 2 + 4 (pairs - 1) + 2 passes."""
    return PrintedGraft(SET_UP, REPEAT, pairs - 1, (FRONT_OFF, BACK_OFF))


def differences(
    knit: Knit,
    *,
    parts: Sequence[PrintedPart] = (),
    steps: ReadSteps | None = None,
    charts: Sequence[PrintedPartChart] = (),
) -> list[str]:
    """How the parts and charts read differ from the sock; empty if they tell all of it.

    `parts`, with `steps` read from them, may be some of the sock's only, and so may `charts`.
    """
    found: list[str] = []
    if steps is not None:
        sections = [section for part in parts for section in PART[part.title].sections]
        if steps.events != knit.rows.of(*sections):
            found.append("the steps tell other rows or moves")
        found += _notes_that_differ(knit, parts, steps)
        for part in parts:
            found += _boxes_that_differ(knit, part)
            found += _counts_that_lack(part)
    for chart in charts:
        charted = PART[chart.title]
        if list(chart.read.rows) != _rows_of(knit, charted):
            found.append(f"{chart.title}: the chart shows other rows")
        if _marks_read(chart) != _marks_due(knit, charted):
            found.append(f"{chart.title}: the chart marks other moves")
        if Counter(_moves_named(chart)) != Counter(_moves_due(knit, charted)):
            found.append(f"{chart.title}: the words under the marks are others")
        found += _zones_that_differ(knit.plan, chart)
        found += _rows_without_count(chart)
    return found


# --- Steps -----------------------------------------------------------------------------------


def _notes_that_differ(knit: Knit, parts: Sequence[PrintedPart], steps: ReadSteps) -> list[str]:
    """Checkpoints and how to count, as the trace has them; sentences on the page."""
    found = []
    for part in parts:
        due = make_part_steps(knit, PART[part.title])
        starts = "The loom is empty" if due.part is Part.CUFF else due.starts.text
        between = [step.text for step in due.steps if isinstance(step, Checkpoint | ThreadStep)]
        texts = [starts, *between, due.ends.text, due.counting]
        read = [note.text for note in steps.notes if note.part == part.title]
        if read != [_sentence(text) for text in texts]:
            found.append(f"{part.title}: other checkpoints")
    return found


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:].removesuffix(".") + "."


def _boxes_that_differ(knit: Knit, part: PrintedPart) -> list[str]:
    """A box for each row and move in order; where rows are folded, each box has its number."""
    due = ["move"] if PART[part.title] is Part.FLAP else []  # for the thread that is tied
    due += [
        str(event.number) if isinstance(event, Row) else "move"
        for event in knit.rows.of(*PART[part.title].sections)
    ]
    boxes: list[str] = []
    for step in part.steps:
        if step.line.label in ("Check", "Count"):
            if step.boxes:
                return [f"{part.title}: a checkpoint with a box"]
        elif not step.line.label:
            boxes += ["move"] * len(step.boxes)
        elif step.boxes == ("",):
            boxes.append(_number(step.line.label))
        else:
            boxes += step.boxes
    return [] if boxes == due else [f"{part.title}: the tick boxes do not count rows and moves"]


def _number(label: str) -> str:
    return {"Partial row": "1", "Run on": "0"}.get(label) or label.removeprefix("Row ")


def _counts_that_lack(part: PrintedPart) -> list[str]:
    """A single row, and rows that are spelt out, have an arrow; in shaped parts a count too."""
    shaped = PART[part.title] in SHAPED
    found = []
    for step in part.steps:
        line = step.line
        is_repeat = line.text.startswith(("work as ", "repeat "))
        is_single = step.boxes == ("",) and line.label != ""
        if is_single or (step.boxes and line.label and not is_repeat):
            if not line.arrow:
                found.append(f"{part.title}: {line.label} has no arrow")
            if bool(line.count) != shaped:
                found.append(f"{part.title}: {line.label} has {line.count or 'no count'}")
    return found


# --- Charts ----------------------------------------------------------------------------------

_MARKS = {Hold: "H", Rehang: "G", LiftBar: "B", Shift: "M", TakeOff: "O"}


def _rows_of(knit: Knit, part: Part) -> list[Row]:
    return [event for event in knit.rows.of(*part.sections) if isinstance(event, Row)]


def _marked(knit: Knit, part: Part) -> Iterator[tuple[int, Event]]:
    """Each move that is marked, with how many rows come before it."""
    rows = 0
    for event in knit.rows.of(*part.sections):
        if isinstance(event, Row):
            rows += 1
        elif not isinstance(event, CastOn | Graft):
            yield rows, event


def _marks_due(knit: Knit, part: Part) -> Counter[tuple[int, str, int]]:
    found: Counter[tuple[int, str, int]] = Counter()
    for rows, event in _marked(knit, part):
        match event:
            case LiftBar(peg=peg) | Shift(from_peg=peg):
                pegs: tuple[int, ...] = (peg,)
            case Hold(pegs=pegs) | Rehang(pegs=pegs) | TakeOff(pegs=pegs):
                pass
        found.update((rows, _MARKS[type(event)], peg) for peg in pegs)
    return found


def _marks_read(chart: PrintedPartChart) -> Counter[tuple[int, str, int]]:
    found: Counter[tuple[int, str, int]] = Counter()
    rows = 0
    for event in chart.read.events:
        if isinstance(event, Row):
            rows += 1
        else:
            found.update((rows, event.mark, peg) for peg in event.pegs)
    return found


def _rows_without_count(chart: PrintedPartChart) -> list[str]:
    """In shaped parts the count stands at the end of every row, in others of none."""
    shaped = PART[chart.title] in SHAPED
    return [
        f"{chart.title}: {line.left_label or line.right_label} has {line.count or 'no count'}"
        for piece in chart.pieces
        for line in piece.lines
        if isinstance(line, ChartRowLine) and bool(line.count) != shaped
    ]


def _moves_named(chart: PrintedPartChart) -> list[str]:
    """The words under the strips; in a chart cut across a move may be named on both sides."""
    found: list[str] = []
    for piece in chart.pieces:
        found += [words for words in piece.moves if words not in found]
    return found


def _moves_due(knit: Knit, part: Part) -> Iterator[str]:
    for _, event in _marked(knit, part):
        match event:
            case Hold(pegs=pegs):
                yield f"hold {len(pegs)}: peg {pegs[0]} first"
            case Rehang(pegs=pegs) if len(pegs) == 1:
                yield "hang 1 edge loop"
            case Rehang(pegs=pegs):
                yield f"hang {len(pegs)} edge loops, oldest on {pegs[0]}"
            case LiftBar(between=(low, high)):
                yield f"lift bar {low}–{high}"
            case Shift(from_peg=from_peg, to_peg=to_peg):
                yield f"loop of {from_peg} onto {to_peg}"
            case TakeOff(needle=needle, pegs=pegs):
                yield f"{len(pegs)} onto the {needle.value} needle"


def _zones_due(plan: Plan, part: Part) -> set[tuple[str, frozenset[int]]]:
    """The names over a chart and their pegs, counted from the round's start as the plan counts."""
    heel, gusset, turn = plan.heel_pegs, plan.gusset_pegs, plan.centre_pegs
    pegs = plan.loom.pegs

    def zone(name: str, first: int, count: int) -> tuple[str, frozenset[int]]:
        return name, frozenset(plan.pegs(first, first + count - 1))

    if part in (Part.FLAP, Part.TURN):
        return {
            zone("gusset", 1, gusset),
            zone("turn", gusset + 1, turn),
            zone("gusset", gusset + turn + 1, gusset),
        }
    if part is Part.TOE:
        first, side, toe = plan.toe_offset + 1, plan.toe_side, plan.toe_pegs
        return {
            zone("side", first, side),
            zone("centre", first + side, toe - 2 * side),
            zone("side", first + toe - side, side),
        }
    if part not in (Part.LEG, Part.FOOT):
        return set()
    found = {
        zone("heel" if part is Part.LEG else "sole", 1, heel),
        zone("instep", heel + 1, pegs - heel),
    }
    if plan.panel is not None:
        side = (pegs - heel - plan.panel_pegs) // 2
        found.add(zone("panel", heel + side + 1, plan.panel_pegs))
    return found


def _zones_that_differ(plan: Plan, chart: PrintedPartChart) -> list[str]:
    ring = Ring(plan.loom.pegs, plan.loom.working)
    due = _zones_due(plan, PART[chart.title])
    for piece in chart.pieces:
        shown = {peg for column in piece.columns for peg in _run(ring, *column.pegs)}
        # What only the column drawn again belongs to is named beside, where the others are.
        new = {
            peg for column in piece.columns if not column.again for peg in _run(ring, *column.pegs)
        }
        wanted = {(name, pegs & shown) for name, pegs in due if pegs & new}
        read = {(zone.name, frozenset(_run(ring, *zone.pegs))) for zone in piece.zones}
        if read != (wanted if chart.is_cut_across else due):
            return [f"{chart.title}: other names over the pegs"]
    return []


def _run(ring: Ring, first: int, last: int) -> tuple[int, ...]:
    """Pegs told from left to right."""
    return ring.run(first, last, ring.rightward)
