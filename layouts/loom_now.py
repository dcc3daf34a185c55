"""The ring as a part begins: which pegs are worked, wait or are held, and where the yarn is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from charts.loom import PegNumber
from charts.parts import Part
from charts.plan import Plan
from layouts.block import Block
from layouts.blocks import figure
from layouts.faces import Face
from layouts.loom_ring import (
    BALL_MM,
    LoomZone,
    Pattern,
    PegSign,
    Ring,
    cross_strokes,
    figure_height_mm,
    peg_signs,
    yarn_ball,
    zone_pegs,
)
from layouts.scene import (
    BLACK,
    Align,
    Box,
    Item,
    Text,
    circle,
    line,
    lines,
    text_width_mm,
)
from layouts.style import BOOKLET, PageStyle
from layouts.text import NO_BREAK_SPACE, Run, Style, bold, set_paragraph


@dataclass(frozen=True, slots=True)
class _Task:
    """Pegs that do the same while a part is worked."""

    words: str
    sign: PegSign
    first: int
    last: int


MOMENT: Final = "Before row 1"
"""When the ring is as it is drawn: what is done first is done, no row of the part is worked."""

PARTS_WITH_MAP: Final = (Part.FLAP, Part.TURN, Part.FOOT, Part.TOE)
"""Where pegs change their task."""


def _tasks(plan: Plan, part: Part) -> tuple[_Task, ...]:
    heel, gusset, ring = plan.heel_pegs, plan.gusset_pegs, plan.loom.pegs
    match part:
        case Part.FLAP:
            return (
                _Task("heel: worked to and fro", PegSign.WORKED, 1, heel),
                _Task("instep: waits", PegSign.WAITING, heel + 1, ring),
            )
        case Part.TURN:
            return (
                _Task("gusset: loops on holders", PegSign.HELD, 1, gusset),
                _Task("turn: worked to and fro", PegSign.WORKED, gusset + 1, heel - gusset),
                _Task("gusset: loops on holders", PegSign.HELD, heel - gusset + 1, heel),
                _Task("instep: waits", PegSign.WAITING, heel + 1, ring),
            )
        case Part.FOOT:
            return (
                _Task("edge loops hung back", PegSign.HELD, 1, gusset),
                _Task("live", PegSign.WORKED, gusset + 1, heel - gusset),
                _Task("edge loops hung back", PegSign.HELD, heel - gusset + 1, heel),
                _Task("live", PegSign.WORKED, heel + 1, ring),
            )
        case Part.TOE:
            first, last = plan.toe_offset + 1, plan.toe_offset + plan.toe_pegs
            toe = _Task("toe: worked to and fro", PegSign.WORKED, first, last)
            empty = int(plan.closing_decrease)
            rest = _Task("the rest: wait", PegSign.WAITING, last + 1 + empty, first - 1 + ring)
            gap = _Task("empty since the decrease", PegSign.EMPTY, last + 1, last + 1)
            return (toe, gap, rest) if empty else (toe, rest)
        case _:
            return ()


def small_loom_map(
    plan: Plan,
    part: Part,
    yarn_peg: PegNumber,
    *,
    width_mm: float,
    height_mm: float,
    style: PageStyle = BOOKLET,
) -> Block:
    """The ring as a part of PARTS_WITH_MAP begins, and beside it what each peg does.

    Only the pegs at borders are numbered, as far as there is room; the ball lies at the peg where
    the yarn waits.
    """
    growth = style.growth
    size_mm = (width_mm / growth, height_mm / growth)
    return _small_loom_map(plan, part, yarn_peg, *size_mm, style.drawn).grown(growth)


def _small_loom_map(
    plan: Plan,
    part: Part,
    yarn_peg: PegNumber,
    width_mm: float,
    height_mm: float,
    style: PageStyle,
) -> Block:
    """The map as on an A5 page."""
    tasks = _tasks(plan, part)
    note = style.note
    wide_mm = text_width_mm(str(plan.loom.pegs), Face.REGULAR, note.size_pt)
    radius_mm = height_mm / 2 - wide_mm - 2.0
    ring = Ring(plan, height_mm / 2, height_mm / 2, radius_mm)
    signs = {}
    for task in tasks:
        for place in range(task.first, task.last + 1):
            signs[(place - 1) % plan.loom.pegs + 1] = task.sign
    items: list[Item] = list(peg_signs(ring, signs))
    circle_mm = radius_mm + ring.peg_mm * 1.7 + wide_mm / 2 + 0.8
    items += _border_numbers(ring, tasks, circle_mm, note)
    items += _yarn_at(ring, ring.place(yarn_peg))
    beside = width_mm >= height_mm + _LEGEND_MM
    left_mm = height_mm + 3.0 if beside else 0.0
    legend = _task_legend(plan, tasks, yarn_peg, width_mm - left_mm, style)
    top_mm = max(0.0, (height_mm - legend.height_mm) / 2) if beside else height_mm + 2.0
    items.append(legend.placed(left_mm, top_mm))
    block = Block(tuple(items), width_mm, max(height_mm, top_mm + legend.height_mm))
    words = "; ".join(f"{name} {pegs}" for name, pegs in _task_pegs(plan, tasks).items())
    return figure(block, f"The ring before row 1 of the {part.value}, seen from above: {words}.")


def _border_numbers(
    ring: Ring, tasks: Iterable[_Task], circle_mm: float, note: Style
) -> list[Item]:
    """Numbers of the first and last peg of each task, those of worked pegs first; one that would
    touch another is left to the legend."""
    borders: dict[tuple[int, int], None] = {}
    for task in sorted(tasks, key=lambda task: task.sign is not PegSign.WORKED):
        alone = task.first == task.last
        borders |= dict.fromkeys([(task.first, 0)] if alone else [(task.first, -1), (task.last, 1)])
    high_mm = figure_height_mm(note.size_pt)
    # Numbers on both sides of a border move apart where pegs stand close.
    apart = max(0.0, (3.3 / (ring.pitch_mm * circle_mm / ring.radius_mm) - 1) / 2)
    items: list[Item] = []
    taken: list[Box] = []
    for place, side in borders:
        x_mm, y_mm = ring.point(place - side * apart, circle_mm)
        number = str(ring.plan.peg(place))
        half_mm = text_width_mm(number, Face.REGULAR, note.size_pt) / 2
        box = Box(x_mm - half_mm, y_mm - high_mm / 2, x_mm + half_mm, y_mm + high_mm / 2)
        if any(box.meets(other.grown(_BETWEEN_NUMBERS_MM)) for other in taken):
            continue
        taken.append(box)
        items.append(
            Text(x_mm, y_mm + high_mm / 2, number, size_pt=note.size_pt, align=Align.CENTRE)
        )
    return items


_BETWEEN_NUMBERS_MM: Final = 0.6

_LEGEND_MM: Final = 48.0
"""Width of a legend at least; where there is less beside the ring it goes below."""


def _task_pegs(plan: Plan, tasks: Iterable[_Task]) -> dict[str, str]:
    """Pegs by what they do, in the order of the round."""
    zones: dict[str, list[LoomZone]] = {}
    for task in tasks:
        zone = LoomZone(task.words, task.first, task.last, Pattern.BLANK)
        zones.setdefault(task.words, []).append(zone)
    return {words: zone_pegs(plan, group) for words, group in zones.items()}


def _task_legend(
    plan: Plan, tasks: tuple[_Task, ...], yarn_peg: PegNumber, width_mm: float, style: PageStyle
) -> Block:
    body = style.note
    signs = {task.words: task.sign for task in tasks}
    indent_mm = 5.0
    # Wherever on the page it has room: the moment is told beside it.
    moment = set_paragraph((bold(MOMENT),), 0.0, 0.0, width_mm, body)
    items: list[Item] = [moment.group]
    y_mm = moment.next_mm
    entries = [(signs[words], words, pegs) for words, pegs in _task_pegs(plan, tasks).items()]
    for sign, words, pegs in entries:
        text = (bold(f"{words[0].upper()}{words[1:]}."), Run(f" Pegs{NO_BREAK_SPACE}{pegs}."))
        placed = set_paragraph(text, indent_mm, y_mm, width_mm - indent_mm, body)
        middle_mm = y_mm + body.baseline_mm - figure_height_mm(body.size_pt) / 2
        items += [*_sign_alone(sign, 1.5, middle_mm), placed.group]
        y_mm = placed.next_mm
    middle_mm = y_mm + body.baseline_mm - figure_height_mm(body.size_pt) / 2
    items += yarn_ball(1.5, middle_mm)
    placed = set_paragraph(
        (bold("The yarn"), Run(f" is at peg {yarn_peg}.")),
        indent_mm,
        y_mm,
        width_mm - indent_mm,
        body,
    )
    items.append(placed.group)
    return Block(tuple(items), width_mm, placed.box.bottom_mm)


def _sign_alone(sign: PegSign, x_mm: float, y_mm: float) -> list[Item]:
    radius_mm = 1.1
    if sign is PegSign.EMPTY:
        return [lines(cross_strokes(x_mm, y_mm, radius_mm), stroke_pt=0.8)]
    fill = BLACK if sign is PegSign.WORKED else None
    items: list[Item] = [circle(x_mm, y_mm, radius_mm, stroke_pt=0.6, fill=fill)]
    if sign is PegSign.HELD:
        reach_mm = radius_mm * 1.5
        items.append(line(x_mm, y_mm - reach_mm, x_mm, y_mm + reach_mm, stroke_pt=0.8))
    return items


def _yarn_at(ring: Ring, place: int) -> list[Item]:
    """The ball inside the ring, its tail at the peg."""
    end = ring.point(place, ring.radius_mm - ring.peg_mm * 1.7 - 0.2)
    middle = ring.point(place, ring.radius_mm - ring.peg_mm - 2.6 - BALL_MM)
    return yarn_ball(*middle, (end,))
