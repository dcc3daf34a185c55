"""The steps of a part line by line, as they stand on a printed page: label, arrow, words, count.

What is printed beside a step and what a change slip tells to correct are the same words because
both are taken from here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from charts.parts import Part
from charts.rows import Section
from charts.steps import Checkpoint, MoveStep, PartSteps, RepeatStep, RowStep, Step, ThreadStep

START: Final = "Before you start"
NOW: Final = "Now"
END: Final = "At the end"
COUNT: Final = "To count"
"""The names of the lines to hold the knitting against."""
RIGHTWARD: Final = "→"
LEFTWARD: Final = "←"


@dataclass(frozen=True)
class StepLine:
    """One line of a part's steps."""

    label: str
    """ "Row 3", "To count"; empty for a move and a remark."""
    text: str
    """As printed, with a full stop."""
    arrow: str = ""
    count: str = ""
    """Stitches, where they are printed beside the row."""
    boxes: tuple[int, int] | None = None
    """First and last row with a tick box; (0, 0) for one box without a number, None for none."""
    section: Section | None = None
    """Of a row."""

    @property
    def whole(self) -> str:
        """Label, arrow and words in the order they are read."""
        label = f"{self.label}:" if self.label and self.boxes is None else self.label
        return " ".join(filter(None, (label, self.arrow, self.text)))


def step_lines(part_steps: PartSteps) -> tuple[StepLine, ...]:
    """Every line of the part from the first checkpoint to how to count."""
    return tuple(_lines(part_steps))


def _lines(part_steps: PartSteps) -> Iterator[StepLine]:
    yield StepLine(START, starting_words(part_steps))
    worked = worked_already(part_steps)
    told: dict[tuple[Section, int], RowStep] = {}
    for step in part_steps.steps:
        like: RowStep | None = None
        match step:
            case RowStep():
                if worked and not told:
                    yield StepLine("", worked)
                numbers = range(step.first, step.last + 1)
                told |= dict.fromkeys(((step.section, number) for number in numbers), step)
                like = step
            case RepeatStep():
                like = like_row(step, told)
            case MoveStep() | ThreadStep():
                yield StepLine("", step.text, boxes=(0, 0))
                continue
            case Checkpoint():
                yield StepLine(NOW, step_words(step))
                continue
        yield StepLine(
            step.label,
            step.text,
            "" if like is None else RIGHTWARD if like.to_right else LEFTWARD,
            str(like.stitches) if like is not None and like.shaped else "",
            (0, 0) if step.boxes == 1 else (step.first, step.last),
            step.section,
        )
    yield StepLine(END, as_sentence(part_steps.ends.text))
    yield StepLine(COUNT, part_steps.counting)


def like_row(
    step: RowStep | RepeatStep, told: Mapping[tuple[Section, int], RowStep]
) -> RowStep | None:
    """The row whose arrow and count stand beside the step too; None beside a group of rows."""
    if isinstance(step, RowStep):
        return step
    return told.get((step.section, step.like_first)) if step.first == step.last else None


def starting_words(part_steps: PartSteps) -> str:
    """What the knitter must find before the first step; the cuff begins on an empty loom."""
    if part_steps.part is Part.CUFF:
        return "The loom is empty."
    return as_sentence(part_steps.starts.text)


def worked_already(part_steps: PartSteps) -> str:
    """Which peg the turn does not begin on, because the partial row has knitted it."""
    peg = part_steps.starts.state.yarn_peg
    if part_steps.part is not Part.TURN or peg is None:
        return ""
    return f"Peg {peg} was knitted in the partial row: row 1 starts beside it."


def step_words(step: Step) -> str:
    """The words of a step as printed."""
    return as_sentence(step.text) if isinstance(step, Checkpoint) else step.text


def as_sentence(text: str) -> str:
    """With a capital and a full stop."""
    stop = "" if text.endswith(".") else "."
    return text[:1].upper() + text[1:] + stop
