"""Steps and charts as plain text, for a terminal and for a page without pictures.

A tick box stands for each row.  The form is told in `charts.reader`, which reads it back.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Callable, Sequence

from charts.changes import SockCorrections
from charts.chart import Chart, ChartFold, ChartRow, ChartStrip, Column, Line
from charts.kitchener import graft_words
from charts.rows import Graft
from charts.spec import Units
from charts.steps import MoveStep, PartSteps, RepeatStep, RowStep, Step, Steps, ThreadStep
from charts.verify import Knit

WIDTH = 80
"""Characters in a line."""
BOX = "[ ] "
MOST_BOXES = 60
"""Rows in a folded step that still get a tick box each; beyond it one box stands for ten rows."""
ROWS_A_BOX = 10


def steps_text(knit: Knit, steps: Steps) -> str:
    """The steps of a sock as lines of at most 80 characters, with a newline at the end.

    Checkpoints before and after each part, a tick box a row, the stitch count at the right end
    of rows that shape.  `steps` may be some of the sock's parts only.
    """
    loom = knit.plan.loom
    lines = [
        *wrapped("", knit.plan.spec.title),
        f"Loom: {loom.pegs} pegs, {loom.spacing_text} apart; the first round runs from "
        f"{loom.working.value}.",
    ]
    for part in steps:
        lines += ["", *_part_lines(part, knit.plan.spec.units)]
    return "\n".join(lines) + "\n"


def _part_lines(part: PartSteps, units: Units) -> list[str]:
    title = part.part.title
    label_width = max(
        (len(step.label) for step in part.steps if isinstance(step, RowStep | RepeatStep)),
        default=0,
    )
    lines = [title, "-" * len(title), *note_lines("Check", part.starts.text)]
    for step in part.steps:
        lines += _step_lines(step, label_width)
    return [
        *lines,
        *_graft_lines(part, units),
        *note_lines("Check", part.ends.text),
        *note_lines("Count", part.counting),
    ]


def _graft_lines(part: PartSteps, units: Units) -> list[str]:
    """How the grafting is worked, under the part that has one."""
    grafts = [step.move for step in part.steps if isinstance(step, MoveStep)]
    return [
        line
        for move in grafts
        if isinstance(move, Graft)
        for sentence in graft_words(len(move.pairs), units)
        for line in note_lines("Graft", sentence)
    ]


def note_lines(label: str, text: str) -> list[str]:
    """A sentence that is no step, after its label."""
    return wrapped(f"{label}: ", text)


def _step_lines(step: Step, label_width: int) -> list[str]:
    match step:
        case MoveStep(move=move, text=text):
            pairs = _pair_lines(move) if isinstance(move, Graft) else []
            return wrapped(BOX, text, hang=len(BOX) + 2) + pairs
        case ThreadStep():
            return wrapped(BOX, step.text, hang=len(BOX) + 2)
        case RowStep() | RepeatStep():
            return _row_lines(step, label_width)
        case _:
            return note_lines("Check", step.text)


def _row_lines(step: RowStep | RepeatStep, label_width: int) -> list[str]:
    arrow, count = " ", ""
    if isinstance(step, RowStep):
        arrow = "→" if step.to_right else "←"
        if step.shaped:
            count = f"{step.stitches} stitch" + ("" if step.stitches == 1 else "es")
    box = BOX if step.boxes == 1 else " " * len(BOX)
    lines = wrapped(f"{box}{step.label:<{label_width}}  {arrow}  ", step.text)
    indent = len(BOX) + label_width + 5
    if count:
        room = WIDTH - len(count)
        if len(lines[-1]) + 2 > room:
            lines.append("")
        lines[-1] = f"{lines[-1]:<{room}}{count}"
    if step.boxes > 1:
        lines += [" " * indent + boxes for boxes in box_lines(step.first, step.last)]
    return lines


def box_lines(first: int, last: int) -> list[str]:
    """Boxes in lines of ten, each line with the number of its first row before it."""
    if last - first + 1 > MOST_BOXES:
        reached = [*range(first + ROWS_A_BOX - 1, last, ROWS_A_BOX), last]
        boxes = [f"{BOX}{number}" for number in reached]
        return ["  ".join(boxes[start : start + 5]) for start in range(0, len(boxes), 5)]
    digits = len(str(last))
    lines = []
    for start in range(first, last + 1, ROWS_A_BOX):
        there = min(ROWS_A_BOX, last + 1 - start)
        halves = [BOX * min(5, there), BOX * max(0, there - 5)]
        lines.append(f"{start:>{digits}}  " + " ".join(halves).rstrip())
    return lines


def _pair_lines(graft: Graft) -> list[str]:
    """A box a pair, front peg first."""
    width = max(len(f"{front}+{back}") for front, back in graft.pairs)
    cells = [f"{BOX}{f'{front}+{back}':<{width}}" for front, back in graft.pairs]
    return [
        " " * (len(BOX) + 2) + "  ".join(cells[start : start + 5]).rstrip()
        for start in range(0, len(cells), 5)
    ]


def wrapped(head: str, text: str, *, hang: int = 0) -> list[str]:
    """The text after its head, later lines indented as far as the head or by `hang`."""
    lines = textwrap.wrap(
        _AFTER_NUMBER.sub(_BOUND, text),
        WIDTH,
        initial_indent=head,
        subsequent_indent=" " * (hang or len(head)),
        break_on_hyphens=False,
        break_long_words=False,
    )
    return [line.replace(_BOUND, " ") for line in lines]


_BOUND = "\N{NO-BREAK SPACE}"
_AFTER_NUMBER = re.compile(r"(?<=\d) (?=[^\W\d])")
"""No line ends between a peg and what is done there."""


def changes_text(title: str, socks: Sequence[SockCorrections]) -> str:
    """What to correct in an old print as lines of at most 80 characters, a box each correction."""
    lines = wrapped("", f"{title}: corrections to an older print")
    for sock in socks:
        name = f"{sock.name}: " if sock.name else ""
        lines += ["", *wrapped("", f"{name}{sock.loom_text}")]
        if sock.another_ring:
            lines += wrapped("  ", sock.another_ring)
        for part in sock.parts:
            lines += ["", part.heading, "-" * len(part.heading)]
            for one in part.lines:
                page = f"page {one.page}, " if one.page else ""
                lines += [
                    *wrapped(BOX, f"{page}{one.where}"),
                    *wrapped(" " * len(BOX) + "is printed   ", one.printed),
                    *wrapped(" " * len(BOX) + "should read  ", one.should_read),
                ]
        for remark in sock.remarks:
            lines += ["", *wrapped("", remark)]
    return "\n".join(lines) + "\n"


def chart_text(chart: Chart) -> str:
    """The chart as lines of text, top row first, peg numbers below; for looking into charts."""
    labels = [_column_label(column) for column in chart.columns]
    widths = [len(label) for label in labels]

    def line(left: str, cells: list[str], right: str) -> str:
        drawn = " | ".join(f"{cell:<{width}}" for cell, width in zip(cells, widths, strict=True))
        return f"{left:>8} | {drawn} | {right}".rstrip()

    lines = [chart.part.title]
    for drawn in reversed(chart.lines):
        lines.append(_chart_line(drawn, line))
    lines.append(line("", labels, "pegs"))
    if chart.across is not None:
        across = chart.across
        columns = f"{across.first_column + 1}–{across.last_column + 1}"
        lines.append(f"repeat across: columns {columns} × {across.times}, to peg {across.last_peg}")
    return "\n".join(lines) + "\n"


def _chart_line(drawn: Line, line: Callable[[str, list[str], str], str]) -> str:
    match drawn:
        case ChartRow(label=label, cells=cells, stitches=stitches):
            count = f"{stitches} stitch" + ("" if stitches == 1 else "es")
            left, right = (label, "") if drawn.starts_left else ("", label)
            return line(left, list(cells), f"{right:<7}  {count}")
        case ChartStrip(marks=marks):
            return line("moves", list(marks), "")
        case ChartFold(text=text):
            return text


def _column_label(column: Column) -> str:
    return f"{column.pegs[0]}–{column.pegs[-1]}" if column.folded else str(column.pegs[0])
