"""Steps of several sizes as a ladder: boxes on one left edge, numbers of all sizes in brackets.

A row's number is set before its words and not in a column, since in brackets it is wide.  Steps
that not all sizes have stand below a line that names those that do.  A step is one piece and no
page breaks it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from charts.parts import Part
from charts.rows import Section
from charts.sized_steps import SizedNote, SizedPartSteps, SizedStep
from charts.sized_words import SizedText, merge_texts
from charts.step_lines import COUNT, END, NOW, START, worked_already
from charts.steps import (
    Checkpoint,
    MoveStep,
    RepeatStep,
    RowStep,
    Step,
    ThreadStep,
    make_part_steps,
)
from layouts.block import Block
from layouts.blocks import Piece, paragraph
from layouts.faces import Face
from layouts.paper import MM_PER_PT
from layouts.scene import Align, Group, Item, LineTo, MoveTo, Path, Role
from layouts.size_order import SizeSet, sentence_runs, sized_runs
from layouts.sized_boxes import numbered_boxes
from layouts.steps_block import (
    BOXES_IN_BLOCK,
    Rung,
    boxes_in_block,
    boxes_path,
    column_gap_mm,
    count_words,
)
from layouts.style import PageStyle
from layouts.text import NO_BREAK_SPACE, Run, Style, bold, break_lines, set_line, set_lines
from layouts.text import width_mm as text_width

ALL_SIZES: Final = "All sizes"


def sized_ladder(
    part_steps: SizedPartSteps, sizes: SizeSet, *, width_mm: float, style: PageStyle
) -> list[Rung]:
    """Every line of the ladder; a rung's step is that of the first size that has it."""
    ladder = _Ladder(sizes, width_mm, style)
    rungs = [
        Rung(piece)
        for note in part_steps.starts
        for piece in ladder.note(START, note, with_next=True)
    ]
    if part_steps.part is Part.CUFF:
        rungs = [Rung(ladder.flag(START, [Run("The loom is empty.")]))]
    only, begun = "", False
    again: Block | None = None
    arrows = _Arrows(part_steps, sizes)
    head = ladder.count_head()
    for step in part_steps.steps:
        if isinstance(_own(step), RowStep) and not begun:
            rungs += [Rung(piece) for piece in ladder.worked_already(part_steps.part)]
            begun = True
        if step.only != only:
            line = ladder.head(step.only or ALL_SIZES)
            rungs.append(Rung(replace(line, again=again), heads_rows=True))
            only = step.only
        if step.count.text and again is None:
            rungs.append(Rung(head, heads_rows=True))
            again = head.block
        rungs.append(Rung(replace(ladder.step(step, arrows.of(step)), again=again), _own(step)))
    notes = [
        piece
        for name, told in ((END, part_steps.ends), (COUNT, part_steps.counting))
        for note in told
        for piece in ladder.note(name, note)
    ]
    if part_steps.part is not Part.CLOSING:
        # What ends the part is never alone on a page.
        rungs[-1] = replace(rungs[-1], piece=replace(rungs[-1].piece, with_next=True))
        notes[:-1] = [replace(piece, with_next=True) for piece in notes[:-1]]
    return [*rungs, *map(Rung, notes)]


_STITCHES: Final = "stitches"


def _count_runs(count: SizedText) -> list[Run]:
    """The count without its noun, which stands above; with it where it is told inside brackets."""
    segments = count.segments
    last = segments[-1]
    for noun in (f" {_STITCHES}", " stitch"):
        if last.text.endswith(noun) and count.text.count(noun.strip()) == 1:
            kept = last._replace(text=last.text.removesuffix(noun))
            return sized_runs(SizedText((*segments[:-1], kept)))
    return sized_runs(count)


def _own(step: SizedStep) -> Step:
    """The step as the first size has it."""
    return next(own for own in step.own if own is not None)


class _Arrows:
    """Which way rows run, those too that are worked as one row below them."""

    def __init__(self, part_steps: SizedPartSteps, sizes: SizeSet) -> None:
        self.mark = sizes.marked
        self.rows: list[dict[tuple[Section, int], bool]] = [{} for _ in sizes.names]
        for step in part_steps.steps:
            for rows, own in zip(self.rows, step.own, strict=True):
                if isinstance(own, RowStep):
                    numbers = range(own.first, own.last + 1)
                    rows |= {(own.section, number): own.to_right for number in numbers}

    def of(self, step: SizedStep) -> SizedText:
        """The arrow after the row's number; empty for rows that run to and fro."""
        if step.arrow.text:
            return step.arrow
        texts = []
        for rows, own in zip(self.rows, step.own, strict=True):
            way = None
            if isinstance(own, RepeatStep) and own.first == own.last:
                way = rows.get((own.section, own.like_first))
            texts.append(None if way is None else "→" if way else "←")
        if sum(text is not None for text in texts) < sum(own is not None for own in step.own):
            return step.arrow
        return merge_texts(texts, mark=self.mark)


@dataclass(frozen=True)
class _Ladder:
    sizes: SizeSet
    width_mm: float
    style: PageStyle

    @property
    def left_mm(self) -> float:
        """Left edge of the words."""
        return self.style.tick_box_mm + column_gap_mm(self.style)

    @property
    def column_mm(self) -> float:
        return self.width_mm - self.left_mm

    # Lines without a box

    def head(self, words: str) -> Piece:
        """Whom the steps below are for."""
        look = Style(self.style.body.size_pt, self.style.body.leading_pt, Face.BOLD, after_pt=1.5)
        placed = paragraph(words[:1].upper() + words[1:] + ":", look, self.column_mm, role=Role.H3)
        items = (placed.block.placed(self.left_mm, 0.0),)
        block = Block(items, self.width_mm, placed.block.height_mm)
        return Piece(block, placed.after_mm, with_next=True)

    def note(self, name: str, note: SizedNote, *, with_next: bool = False) -> list[Piece]:
        """A checkpoint of some sizes or all."""
        lead = f"{name}, {note.only}" if note.only else name
        return [self.flag(lead, sentence_runs(note.text), with_next=with_next)]

    def flag(self, name: str, words: Sequence[Run], *, with_next: bool = True) -> Piece:
        """A line to hold the knitting against, beside a flag in the column of the boxes."""
        look = self.style.body
        runs = [bold(f"{name}:"), Run(" "), *words]
        lines = break_lines(runs, look, self.column_mm)
        placed = set_lines(lines, self.left_mm, 0.8, self.column_mm, look)
        height_mm = placed.box.height_mm + 1.6
        bar = Path(
            (MoveTo(1.0, 0.6), LineTo(1.0, height_mm - 0.6)),
            2.4,
            self.style.soft_ink,
            role=Role.ARTIFACT,
        )
        block = Block((bar, placed.group), self.width_mm, height_mm)
        return Piece(block, look.after_pt * MM_PER_PT, with_next)

    def count_head(self) -> Piece:
        """The name of the counts, above their right edge."""
        look = self.style.note
        words = set_line(_STITCHES, self.width_mm, look.baseline_mm, look, align=Align.RIGHT)
        head = Group(words, role=Role.ARTIFACT)
        return Piece(Block((head,), self.width_mm, look.leading_mm), 0.4, with_next=True)

    # Steps

    def worked_already(self, part: Part) -> Iterator[Piece]:
        """On which peg the turn does not begin, because the partial row has knitted it."""
        look = self.style.body
        words = [worked_already(make_part_steps(knit, part)) or None for knit in self.sizes.knits]
        for only, text in self.sizes.told(words):
            lead = [bold(f"{only}: ")] if only else []
            lines = break_lines([*lead, *sized_runs(text)], look, self.column_mm)
            placed = set_lines(lines, self.left_mm, 0.0, self.column_mm, look)
            block = Block((placed.group,), self.width_mm, placed.box.height_mm)
            yield Piece(block, look.after_pt * MM_PER_PT, with_next=True)

    def step(self, step: SizedStep, arrow: SizedText) -> Piece:
        own = _own(step)
        match own:
            case Checkpoint():
                return self.flag(NOW, sentence_runs(step.text), with_next=False)
            case MoveStep() | ThreadStep():
                return self._move(step)
            case RowStep() | RepeatStep():
                return self._row(step, own, arrow)

    def _move(self, step: SizedStep) -> Piece:
        look = self.style.step
        lines = break_lines(sized_runs(step.text), look, self.column_mm)
        placed = set_lines(lines, self.left_mm, 0.0, self.column_mm, look, role=Role.BODY)
        return self._item([self._box()], [placed.group], placed.box.height_mm)

    def _row(self, step: SizedStep, own: RowStep | RepeatStep, arrow: SizedText) -> Piece:
        look = self.style.step
        label = self._label(step.label, arrow)
        words = sized_runs(step.text)
        lines = break_lines([*label, Run("  "), *words], look, self.column_mm)
        placed = set_lines(lines, self.left_mm, 0.0, self.column_mm, look, role=Role.BODY)
        body: list[Item] = [placed.group]
        height_mm = placed.box.height_mm
        if step.count.text:
            count = _count_runs(step.count)
            room_mm = self.column_mm - lines[-1].width_mm - 2 * column_gap_mm(self.style)
            if text_width(count, look) > room_mm:
                height_mm += look.leading_mm
            baseline_mm = height_mm - look.leading_mm + look.baseline_mm
            placed_count = set_line(count, self.width_mm, baseline_mm, look, align=Align.RIGHT)
            heard = count_words(step.count.text)
            body.append(Group(placed_count, role=Role.SPAN, alt=heard))
        if step.boxes == 1:
            return self._item([self._box()], body, height_mm)
        firsts = {one.first for one in step.own if isinstance(one, RowStep | RepeatStep)}
        boxes, boxes_mm = numbered_boxes(
            step.box_counts,
            self.sizes,
            first=firsts.pop() if len(firsts) == 1 else None,
            block=boxes_in_block(own) if isinstance(own, RepeatStep) else BOXES_IN_BLOCK,
            width_mm=self.width_mm,
            style=self.style,
        )
        body.append(Group((boxes,), 0.0, height_mm + 1.0))
        return self._item([], body, height_mm + 1.0 + boxes_mm + 1.4)

    def _label(self, *texts: SizedText) -> list[Run]:
        """Number and arrow: bold, or bold for the marked size alone."""
        runs: list[Run] = []
        for text in texts:
            if text.text:
                rest = None if any(marked for _, marked in text.segments) else Face.BOLD
                runs += [Run(NO_BREAK_SPACE)] if runs else []
                runs += sized_runs(text, rest=rest)
        return runs

    def _box(self) -> Path:
        look, side_mm = self.style.step, self.style.tick_box_mm
        top_mm = look.baseline_mm - look.cap_height_mm / 2 - side_mm / 2
        return boxes_path([(0.0, top_mm)], side_mm)

    def _item(self, label: list[Item], body: list[Item], height_mm: float) -> Piece:
        items = (Group(tuple(label), role=Role.LABEL), *body) if label else tuple(body)
        block = Block((Group(items, role=Role.LI),), self.width_mm, height_mm)
        return Piece(block, self.style.step.after_pt * MM_PER_PT)
