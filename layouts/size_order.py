"""The sizes that a page is for, and texts that hold a number for each of them.

The sizes' names stand at the head of every page in the order of its brackets; the numbers of a
marked size are bold.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final, NamedTuple

from charts.parts import Part
from charts.plan import Plan
from charts.sized_steps import SizedPartSteps, make_sized_part_steps
from charts.sized_words import SizedText, merge_texts, same_forms, sized_text
from charts.verify import Knit
from layouts.block import Block
from layouts.faces import Face
from layouts.paper import MM_PER_PT
from layouts.scene import Group, Role, line
from layouts.steps_block import held_together
from layouts.style import PageStyle
from layouts.text import NO_BREAK_SPACE, Run, break_lines, set_lines

MOST_IN_BRACKETS: Final = 5
"""Sizes whose numbers can be told apart in one bracket."""
_HELD_UP_TO: Final = 30
"""Characters of a bracket that is kept on one line."""


class Told(NamedTuple):
    """A text and the sizes that it is for."""

    only: str
    """Their names; empty for all."""
    text: SizedText


@dataclass(frozen=True)
class SizeSet:
    """Sizes that stand together, smallest first."""

    names: tuple[str, ...]
    knits: tuple[Knit, ...]
    mark: str | None = None
    """The size whose numbers are marked, whether it is among these or not."""

    @property
    def plans(self) -> tuple[Plan, ...]:
        return tuple(knit.plan for knit in self.knits)

    @property
    def marked(self) -> int | None:
        """The index of the marked size."""
        return self.names.index(self.mark) if self.mark in self.names else None

    @cached_property
    def _made(self) -> dict[Part, SizedPartSteps]:
        """Steps that were asked for."""
        return {}

    def steps_of(self, part: Part) -> SizedPartSteps:
        """The steps of a part that any of the sizes has.  Raises ValueError for another."""
        if part not in self._made:
            made = make_sized_part_steps(self.knits, self.names, part, mark=self.marked)
            if made is None:
                raise ValueError(f"none of these sizes has a {part.value}")
            self._made[part] = made
        return self._made[part]

    def of(self, indices: Sequence[int]) -> SizeSet:
        """Some of them, or all."""
        if len(indices) == len(self.names):
            return self
        names = tuple(self.names[index] for index in indices)
        return SizeSet(names, tuple(self.knits[index] for index in indices), self.mark)

    def chunks(self) -> tuple[SizeSet, ...]:
        """The sizes in sets, of about equal size, that a bracket can hold."""
        count = len(self.names)
        parts = -(-count // MOST_IN_BRACKETS)
        return tuple(
            self.of(range(count * part // parts, count * (part + 1) // parts))
            for part in range(parts)
        )

    @property
    def order(self) -> SizedText:
        """ "S (M, L)"."""
        return sized_text(self.names, mark=self.marked)

    @property
    def order_runs(self) -> list[Run]:
        """The names in the order of the brackets; all bold if none of them is marked."""
        if len(self.names) == 1 or self.marked is None:
            return [Run(self.order.text, Face.BOLD)]
        return [
            Run(text, Face.BOLD if marked else Face.REGULAR) for text, marked in self.order.segments
        ]

    def told(self, texts: Sequence[str | None]) -> list[Told]:
        """The texts of the sizes as few as can be; None for a size without one."""
        if len(self.names) > MOST_IN_BRACKETS and len(set(texts)) > 1:
            groups = _equal(texts)
        else:
            groups = same_forms(texts)
        found = []
        for group in groups:
            own = self.of(group)
            only = "" if len(group) == len(self.names) else own.order.text
            merged = merge_texts([texts[index] for index in group], mark=own.marked)
            found.append(Told(only, merged))
        return found


def _equal(texts: Sequence[str | None]) -> tuple[tuple[int, ...], ...]:
    groups: dict[str, list[int]] = {}
    for index, text in enumerate(texts):
        if text is not None:
            groups.setdefault(text, []).append(index)
    return tuple(map(tuple, groups.values()))


# --- Texts in runs ---------------------------------------------------------------------------


def sized_runs(text: SizedText, *, rest: Face | None = None) -> list[Run]:
    """The text with the marked values bold, short brackets kept on one line.

    `rest` is the face of everything else.
    """
    whole = _brackets_held(held_together(text.text))
    runs = []
    at = 0
    for segment, marked in text.segments:
        end = at + len(segment)
        runs.append(Run(whole[at:end], Face.BOLD if marked else rest))
        at = end
    return runs


def sentence_runs(text: SizedText) -> list[Run]:
    """The text as a sentence, with a capital and a full stop."""
    runs = sized_runs(text)
    first = runs[0]
    runs[0] = Run(first.text[:1].upper() + first.text[1:], first.face)
    if not text.text.endswith("."):
        runs.append(Run("."))
    return runs


def _brackets_held(text: str) -> str:
    """With no-break spaces in brackets of a few short values and before them.

    >>> _brackets_held("12 (14, 16) pegs (as many as in the whole of the flap)").count(" ")
    11
    """
    out = []
    opened = 0
    for index, char in enumerate(text):
        if char == "(":
            opened = index
        elif char == ")" and index - opened <= _HELD_UP_TO:
            inside = text[opened : index + 1]
            if any(map(str.isdigit, inside)) and "(" not in inside[1:]:
                out.append((opened, index))
    chars = list(text)
    for start, end in out:
        for index in range(max(0, start - 1), end):
            if chars[index] == " ":
                chars[index] = NO_BREAK_SPACE
    return "".join(chars)


# --- The head of a page ----------------------------------------------------------------------


def order_block(sizes: SizeSet, *, width_mm: float, style: PageStyle) -> Block:
    """The sizes of a page in the order of its brackets, and their looms, above a rule."""
    look = style.sub_head
    soft = style.soft_ink
    pegs = sized_text([plan.loom.pegs for plan in sizes.plans], mark=sizes.marked)
    lead = "size" if len(sizes.names) == 1 else "sizes"
    runs = [
        Run(lead + NO_BREAK_SPACE, Face.REGULAR, soft),
        *(Run(run.text, run.face, run.ink) for run in sizes.order_runs),
        Run("   ", Face.REGULAR),
        *(
            Run(run.text, run.face or Face.REGULAR, soft if run.face is None else None)
            for run in sized_runs(pegs)
        ),
        Run(f"{NO_BREAK_SPACE}pegs", Face.REGULAR, soft),
    ]
    placed = set_lines(break_lines(runs, look, width_mm), 0.0, 0.0, width_mm, look)
    rule_mm = placed.box.height_mm + 1.2
    rule = Group((line(0.0, rule_mm, width_mm, rule_mm, stroke_pt=0.6),), role=Role.ARTIFACT)
    after_mm = style.sub_head.leading_pt * MM_PER_PT * 0.6
    return Block((placed.group, rule), width_mm, rule_mm + after_mm)
