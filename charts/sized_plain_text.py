"""The steps of a pattern in several sizes as plain text, each number in brackets.

The form is that of `charts.plain_text`; before what is not for all sizes stands a line that names
those it is for, and after tick boxes that not all sizes need, how many each ticks.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import chain
from typing import Final, NamedTuple

from charts.kitchener import graft_words
from charts.plain_text import BOX, WIDTH, box_lines, note_lines, wrapped
from charts.rows import Graft
from charts.sized_steps import SizedNote, SizedPartSteps, SizedStep
from charts.sized_words import merge_texts, sized
from charts.spec import Units
from charts.steps import Checkpoint, MoveStep, RepeatStep, RowStep, ThreadStep
from charts.verify import Knit

WIDEST_LABEL: Final = 22
"""Longer labels of rows do not make a column."""


class SizedBlock(NamedTuple):
    """The steps of one part for some sizes, or for all."""

    names: tuple[str, ...]
    """In the order of the brackets."""
    steps: SizedPartSteps


def sized_steps_text(
    knits: Sequence[Knit], names: Sequence[str], blocks: Sequence[SizedBlock]
) -> str:
    """The steps of all sizes as lines of at most 80 characters, with a newline at the end.

    `names` are the sizes' names, smallest first; a block of some of them says whose it is.
    """
    plans = [knit.plan for knit in knits]
    spacing = merge_texts([f"{plan.loom.spacing_text} apart" for plan in plans]).text
    working = sized([plan.loom.working.value for plan in plans])
    loom = f"{sized([plan.loom.pegs for plan in plans])} pegs, {spacing}"
    lines = [
        *wrapped("", plans[0].spec.title),
        *note_lines("Sizes", sized(names)),
        *note_lines("Loom", f"{loom}; the first round runs from {working}."),
        *note_lines(
            "Brackets",
            "one number a size, in this order; in steps for some sizes, in the order named there. "
            "A dash stands for a size that has none. Circle your own before you begin.",
        ),
    ]
    for block in blocks:
        lines += [
            "",
            *_block_lines(block, plans[0].spec.units, is_for_all=len(block.names) == len(names)),
        ]
    return "\n".join(lines) + "\n"


def _block_lines(block: SizedBlock, units: Units, *, is_for_all: bool) -> list[str]:
    part = block.steps
    title = part.part.title
    widest = max((len(step.label.text) for step in part.steps), default=0)
    label_width = widest if widest <= WIDEST_LABEL else 0
    return [
        title,
        "-" * len(title),
        *([] if is_for_all else note_lines("Sizes", sized(block.names))),
        *_notes("Check", part.starts),
        *chain.from_iterable(_step_lines(step, label_width) for step in part.steps),
        *_graft_lines(part.steps, units),
        *_notes("Check", part.ends),
        *_notes("Count", part.counting),
    ]


def _only_lines(only: str) -> list[str]:
    return wrapped("", f"{only[:1].upper()}{only[1:]}:") if only else []


def _notes(label: str, notes: Sequence[SizedNote]) -> Iterator[str]:
    for note in notes:
        yield from _only_lines(note.only)
        yield from note_lines(label, note.text.text)


def _step_lines(step: SizedStep, label_width: int) -> list[str]:
    lines = _only_lines(step.only)
    there = [own for own in step.own if own is not None]
    match there[0]:
        case Checkpoint():
            return [*lines, *note_lines("Check", step.text.text)]
        case MoveStep():
            lines += wrapped(BOX, step.text.text, hang=len(BOX) + 2)
            return [*lines, *_pair_lines(step)]
        case ThreadStep():
            return [*lines, *wrapped(BOX, step.text.text, hang=len(BOX) + 2)]
        case RowStep() | RepeatStep():
            return [*lines, *_row_lines(step, label_width)]


def _row_lines(step: SizedStep, label_width: int) -> list[str]:
    box = BOX if step.boxes == 1 else " " * len(BOX)
    head = f"{box}{step.label.text:<{label_width}}  {step.arrow.text or ' '}  "
    lines = wrapped(head, step.text.text, hang=len(head) if label_width else 2 * len(BOX))
    count = step.count.text
    if count:
        room = WIDTH - len(count)
        if len(lines[-1]) + 2 > room:
            lines.append("")
        lines[-1] = f"{lines[-1]:<{room}}{count}"
    if step.boxes > 1:
        lines += [" " * 2 * len(BOX) + boxes for boxes in box_lines(*_numbers(step))]
    if step.boxes_text:
        lines += note_lines("Tick", f"{step.boxes_text}.")
    return lines


def _numbers(step: SizedStep) -> tuple[int, int]:
    """First and last number of the boxes: those of the rows where all sizes begin with the same
    row, or else counted from 1."""
    firsts = {own.first for own in step.own if isinstance(own, RowStep | RepeatStep)}
    first = firsts.pop() if len(firsts) == 1 else 1
    return first, first + step.boxes - 1


def _pair_lines(step: SizedStep) -> list[str]:
    """A box a pair."""
    cells = [f"{BOX}{pair.text}" for pair in step.pairs]
    width = max(map(len, cells), default=1)
    across = max(1, (WIDTH - len(BOX) - 2) // (width + 2))
    return [
        " " * (len(BOX) + 2)
        + "  ".join(f"{cell:<{width}}" for cell in cells[at : at + across]).rstrip()
        for at in range(0, len(cells), across)
    ]


def _graft_lines(steps: Sequence[SizedStep], units: Units) -> Iterator[str]:
    """How the grafting is worked."""
    for step in steps:
        grafts = [
            own.move
            for own in step.own
            if isinstance(own, MoveStep) and isinstance(own.move, Graft)
        ]
        if grafts:
            told = [graft_words(len(graft.pairs), units) for graft in grafts]
            for sentences in zip(*told, strict=True):
                yield from note_lines("Graft", merge_texts(sentences).text)
