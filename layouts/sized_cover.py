"""The cover of a pattern in several sizes: title, a line for each size, the sock, its parts named.

Sizes that could not be made are named at its foot with the reason, so that nobody looks for them.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from typing import Final

from charts.foot_measures import Measure
from charts.parts import Part
from charts.pattern_words import listed
from charts.problems import Problem
from charts.size_figures import SizeFigures, size_figures
from charts.sizes import FailedSize, Size, SizedPattern
from charts.sock_measures import Extent
from charts.spec import Units
from layouts.block import Block, DoesNotFitError
from layouts.blocks import Piece, paragraph, stacked
from layouts.cover import (
    PartLabel,
    cover_title_style,
    hand_line,
    measured_sock,
    part_label,
)
from layouts.faces import Face
from layouts.imprint import NO_IMPRINT, Imprint, cover_foot
from layouts.measured_outline import both_words
from layouts.scene import Group, Item, Role, rect
from layouts.size_order import SizeSet
from layouts.style import PageStyle
from layouts.tables import Column, table_row
from layouts.text import Run, Style, bold, break_lines, set_lines, set_paragraph

_MOST_LISTED: Final = 0.3
"""Share of the cover that the table of sizes takes at most; else their names stand alone."""
_BESIDE_MM: Final = 4.0


def sized_cover(
    pattern: SizedPattern,
    sizes: SizeSet,
    *,
    width_mm: float,
    height_mm: float,
    style: PageStyle,
    imprint: Imprint = NO_IMPRINT,
) -> Block:
    """The whole cover inside the margins; `sizes` are those of the pattern."""
    spec = pattern.sizes[0].knit.plan.spec
    title_style = replace(cover_title_style(spec.title, width_mm, style), ink=style.accent)
    lines = break_lines(spec.title, title_style, width_mm)
    title = set_lines(lines, 0.0, 8.0, width_mm, title_style, role=Role.H1)
    look = Style(style.step.size_pt + 1.0, style.step.leading_pt + 2.0, after_pt=2.0)
    kind = set_paragraph(kind_words(sizes), 0.0, title.next_mm, width_mm, look)
    hand = hand_line(*(plan.loom for plan in sizes.plans))
    below = set_paragraph(hand, 0.0, kind.next_mm, width_mm, look) if hand else kind
    marks = cover_foot(spec, imprint, width_mm=width_mm, look=look, style=style)
    foot = stacked([*_not_printed(pattern.failed, width_mm, style), Piece(marks)])
    foot_mm = height_mm - foot.height_mm
    top_mm = below.next_mm + 5.0
    items: list[Item] = [
        rect(0.0, 0.0, 22.0, 2.0, stroke=None, fill=style.accent),
        title.group,
        kind.group,
        *([below.group] if hand else []),
        Group(foot.items, 0.0, foot_mm),
    ]
    listed_sizes = _listed_sizes(pattern, sizes, width_mm, height_mm, style)
    items.append(listed_sizes.placed(0.0, top_mm))
    top_mm += listed_sizes.height_mm + 9.0
    room_mm = foot_mm - 8.0 - top_mm
    with suppress(DoesNotFitError):
        knit = sizes.knits[_shown(sizes)]
        labels = {part: PartLabel(part_label(knit.plan, part).name, ()) for part in Part}
        drawing = measured_sock(
            knit, width_mm=width_mm, height_mm=room_mm, style=style, labels=labels
        )
        items.append(drawing.placed(0.0, foot_mm - 8.0 - drawing.height_mm))
    return Block(tuple(items), width_mm, height_mm)


def _shown(sizes: SizeSet) -> int:
    """The size that is drawn: the marked one, or the middle one."""
    marked = sizes.marked
    return (len(sizes.names) - 1) // 2 if marked is None else marked


def kind_words(sizes: SizeSet) -> str:
    """What is knitted on what: "A sock in 3 sizes for round looms of 28 and 32 pegs, …"."""
    count = len(sizes.names)
    what = f"A sock in {count} sizes" if count > 1 else "A sock"
    looms = list(dict.fromkeys(plan.loom for plan in sizes.plans))
    apart: dict[str, list[str]] = {}
    for loom in sorted(looms, key=lambda loom: loom.pegs):
        pegs = apart.setdefault(loom.spacing_text, [])
        if str(loom.pegs) not in pegs:
            pegs.append(str(loom.pegs))
    rings = listed(
        [f"{listed(pegs, 'and')} pegs, {spacing} apart" for spacing, pegs in apart.items()], "and"
    )
    noun = "a round loom" if sum(map(len, apart.values())) == 1 else "round looms"
    return f"{what} for {noun} of {rings}"


# --- The sizes -------------------------------------------------------------------------------


def _listed_sizes(
    pattern: SizedPattern, sizes: SizeSet, width_mm: float, height_mm: float, style: PageStyle
) -> Block:
    """A row for each size, or all names in one paragraph where there are many."""
    figures = [size_figures(size) for size in pattern.sizes]
    rows = stacked(_size_rows(figures, sizes, pattern.sizes, width_mm, style))
    if rows.height_mm <= _MOST_LISTED * height_mm and rows.width_mm <= width_mm:
        return rows
    runs = [Run("Sizes "), *sizes.order_runs]
    return stacked([paragraph(runs, style.step, width_mm)])


def _size_rows(
    figures: Sequence[SizeFigures],
    sizes: SizeSet,
    made: Sequence[Size],
    width_mm: float,
    style: PageStyle,
) -> list[Piece]:
    units = made[0].knit.plan.spec.units
    cells = [
        ("Size", [name or "this sock" for name in sizes.names]),
        ("Loom", [f"{plan.loom.pegs} pegs" for plan in sizes.plans]),
        (
            "Foot length",
            [_length(None if one.foot is None else one.foot.length, units) for one in figures],
        ),
        (
            "Sock, round",
            [
                _length(None if one.measures is None else one.measures.round, units)
                for one in figures
            ],
        ),
    ]
    shown = [(head, column) for head, column in cells if any(column)]
    wide_mm = (min(width_mm, 130.0) + _BESIDE_MM) / len(shown) - _BESIDE_MM
    columns = [Column(wide_mm)] * len(shown)
    look = style.body
    head = table_row([(bold(head),) for head, _ in shown], columns, look, role=Role.TH, rule_pt=1.0)
    return [
        head,
        *(
            table_row(
                [
                    (Run(column[index], None if place and index != sizes.marked else Face.BOLD),)
                    for place, (_, column) in enumerate(shown)
                ],
                columns,
                look,
            )
            for index in range(len(sizes.names))
        ),
    ]


def _length(measure: Measure | Extent | None, units: Units) -> str:
    return "" if measure is None else both_words(measure.mm, units)


# --- The foot --------------------------------------------------------------------------------


def _not_printed(failed: Sequence[FailedSize], width_mm: float, style: PageStyle) -> list[Piece]:
    """The sizes that are not here."""
    return [
        paragraph((bold(f"Not printed: {names}. "), Run(reason)), style.note, width_mm)
        for names, reason in not_printed(failed)
    ]


_LONGEST_REASON: Final = 220


def not_printed(failed: Sequence[FailedSize]) -> list[tuple[str, str]]:
    """The names of the sizes that cannot be made, those alike together, and why."""
    reasons: dict[str, list[str]] = {}
    for size in failed:
        told = "; ".join(dict.fromkeys(map(_reason, size.problems)))
        if len(told) > _LONGEST_REASON:
            told = told[:_LONGEST_REASON].rsplit(" ", 1)[0] + " …"
        reasons.setdefault(told, []).append(size.name)
    return [(listed(names, "and"), _stopped(reason)) for reason, names in reasons.items()]


def _reason(problem: Problem) -> str:
    return f"{problem.key}: {problem.what}" if problem.key else problem.what


def _stopped(words: str) -> str:
    return words if words.endswith((".", "…")) else f"{words}."
