"""Which sizes stand together on the pages of a part.

All of them, with brackets, as long as a bracket can be read: up to five sizes whose rows have the
same form.  Where rows differ in more than numbers, or hold so many that a row would fill a
paragraph, the sizes that are knitted from one chart have pages of their own.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import Final, NamedTuple

from charts.parts import Part, parts_of
from charts.sized_charts import chart_groups
from charts.sized_steps import SizedPartSteps, SizedStep
from charts.steps import RepeatStep, RowStep, Step
from layouts.grid import UNFOLDED_UP
from layouts.size_order import MOST_IN_BRACKETS, SizeSet

LONGEST_ROW: Final = 150
"""Characters of a row in brackets at most; a longer one is not followed with a hook in the hand."""


class PartSets(NamedTuple):
    """The sizes of a part."""

    sets: tuple[SizeSet, ...]
    apart: bool
    """Each set has pages of its own because one for all could not be read."""


def part_sets(sizes: SizeSet, part: Part) -> PartSets:
    """The sizes that have the part, in as few sets as can be read."""
    here = sizes.of([i for i, knit in enumerate(sizes.knits) if part in parts_of(knit)])
    if is_readable(here.steps_of(part), len(here.names)):
        return PartSets((here,), apart=False)
    sets = [here.of(group) for group in sharing(here, part)]
    return PartSets(
        tuple(
            chunk
            for one in sets
            for chunk in ((one,) if all(map(_is_alike, one.steps_of(part).steps)) else one.chunks())
        ),
        apart=True,
    )


def sharing(sizes: SizeSet, part: Part) -> tuple[tuple[int, ...], ...]:
    """The indices of the sizes that are knitted from one chart, as pages draw it."""
    return chart_groups(sizes.knits, part, fold_up=part not in UNFOLDED_UP)


def is_readable(part_steps: SizedPartSteps, count: int) -> bool:
    """Whether steps for so many sizes can be followed in one list."""
    if all(map(_is_alike, part_steps.steps)):
        return True
    return (
        count <= MOST_IN_BRACKETS
        and not _is_tangled(part_steps.steps)
        and not any(map(_is_long, part_steps.steps))
    )


def _is_alike(step: SizedStep) -> bool:
    """Whether the step is the very same for all sizes."""
    return len({_words(own) for own in step.own}) == 1


def _words(step: Step | None) -> tuple[str, str]:
    match step:
        case RowStep() | RepeatStep():
            return (step.label, step.text)
        case None:
            return ("", "")
        case _:
            return ("", step.text)


def _is_tangled(steps: Sequence[SizedStep]) -> bool:
    """Whether between two steps for all sizes each of two has one that the other has not."""
    gap: list[set[int]] = []
    for step in steps:
        who = {index for index, own in enumerate(step.own) if own is not None}
        if len(who) == len(step.own):
            gap = []
            continue
        gap.append(who)
        if any(one - other and other - one for one, other in combinations(gap, 2)):
            return True
    return False


def _is_long(step: SizedStep) -> bool:
    """Whether it is a row that brackets make too long."""
    rows = [len(own.text) for own in step.own if isinstance(own, RowStep)]
    return bool(rows) and len(step.text.text) > max(LONGEST_ROW, *rows)
