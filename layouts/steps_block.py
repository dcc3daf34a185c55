"""Steps of a part as a ladder of lines: tick box, row, arrow, words, count.

All boxes stand on one left edge, so that the eye finds its place by the last tick.  A step is one
piece and no page breaks it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from charts.parts import Part
from charts.rows import Section
from charts.step_lines import (
    COUNT,
    END,
    LEFTWARD,
    NOW,
    RIGHTWARD,
    START,
    as_sentence,
    like_row,
    starting_words,
    worked_already,
)
from charts.steps import Checkpoint, MoveStep, PartSteps, RepeatStep, RowStep, Step, ThreadStep
from layouts.block import Block
from layouts.blocks import AFTER_HEAD_MM, Piece
from layouts.paper import MM_PER_PT
from layouts.scene import Align, Close, Group, Item, LineTo, MoveTo, Path, Role, Segment, Text
from layouts.style import PageStyle
from layouts.text import (
    NO_BREAK_SPACE,
    RichText,
    Run,
    Style,
    bold,
    break_lines,
    set_line,
    set_lines,
)
from layouts.text import width_mm as text_width

BOXES_IN_BLOCK: Final = 10
_GAP_MM: Final = 2.6
"""Between the columns on an A5 page."""
_STEP_PT: Final = 11.0
"""Size of the steps there."""
_BLOCK_GAP_MM: Final = 1.8
"""Between two blocks of boxes."""
_ARROWS: Final = {True: RIGHTWARD, False: LEFTWARD}
_WAYS: Final = {True: "to the right", False: "to the left"}
BOXES_HEARD: Final = "A box to tick for each row."


@dataclass(frozen=True, slots=True)
class Columns:
    """Left edges of the ladder's columns, in mm."""

    label_mm: float
    arrow_mm: float
    text_mm: float
    text_width_mm: float
    right_mm: float
    """Where the count ends."""
    whole_mm: float
    """Of everything that is no row: checkpoints, moves, boxes of folded rows."""


def step_columns(part_steps: PartSteps, *, width_mm: float, style: PageStyle) -> Columns:
    """The columns that suit these steps: labels as wide as the widest, the count close behind the
    longest row."""
    step = style.step
    rows = [one for one in part_steps.steps if isinstance(one, RowStep | RepeatStep)]
    arrow_width_mm = text_width((bold(_ARROWS[True]),), step)
    shaped = any(isinstance(row, RowStep) and row.shaped for row in rows)
    growth = step.size_pt / _STEP_PT
    gap_mm = column_gap_mm(style)
    label_mm = style.tick_box_mm + gap_mm
    # Rows told together have no arrow: their label may reach into its column.
    label_width_mm = max(
        (
            text_width((bold(_label(row)),), step)
            - (0.0 if _has_arrow(row) else arrow_width_mm + gap_mm)
            for row in rows
        ),
        default=0.0,
    )
    arrow_mm = label_mm + label_width_mm + gap_mm
    text_mm = arrow_mm + (arrow_width_mm + gap_mm if rows else 0.0)
    if not rows:
        text_mm = label_mm
    count_mm = text_width("000", step) + gap_mm if shaped else 0.0
    longest_mm = max((text_width(held_together(row.text), step) for row in rows), default=0.0)
    right_mm = min(width_mm, text_mm + max(longest_mm, _LEAST_WORDS_MM * growth) + count_mm)
    return Columns(label_mm, arrow_mm, text_mm, right_mm - count_mm - text_mm, right_mm, width_mm)


def column_gap_mm(style: PageStyle) -> float:
    """Between the columns."""
    return _GAP_MM * style.step.size_pt / _STEP_PT


_LEAST_WORDS_MM: Final = 46.0
"""Width of the words at least on an A5 page, so that short rows still make a ladder."""


@dataclass(frozen=True, slots=True)
class Rung:
    """One line of the ladder, and the step that it tells; checkpoints at both ends have none."""

    piece: Piece
    step: Step | None = None
    heads_rows: bool = False
    """Says something about the rows that follow and is nothing without them."""

    @property
    def is_row(self) -> bool:
        return isinstance(self.step, RowStep | RepeatStep)


def without_rows(rungs: Sequence[Rung]) -> tuple[list[Rung], list[Rung]]:
    """What there is to do and to find before the first row, and after the last one."""
    rows = [index for index, rung in enumerate(rungs) if rung.is_row]
    lead, tail = rungs[: rows[0]], rungs[rows[-1] + 1 :]
    return [rung for rung in lead if not rung.heads_rows], list(tail)


def step_pieces(part_steps: PartSteps, *, width_mm: float, style: PageStyle) -> list[Piece]:
    """Every line of the ladder, from the first checkpoint to how to count."""
    return [rung.piece for rung in step_ladder(part_steps, width_mm=width_mm, style=style)]


def step_ladder(part_steps: PartSteps, *, width_mm: float, style: PageStyle) -> list[Rung]:
    """Every line of the ladder with its step."""
    columns = step_columns(part_steps, width_mm=width_mm, style=style)
    opening = starting_words(part_steps)
    rungs = [Rung(_checkpoint(START, opening, columns, style, with_next=True))]
    headed = False
    told: dict[tuple[Section, int], RowStep] = {}
    worked = worked_already(part_steps)
    head = _count_head(columns, style)
    for step in part_steps.steps:
        if isinstance(step, RowStep):
            if worked and not told:
                rungs.append(Rung(_note(worked, columns, style)))
            if step.shaped and not headed:
                rungs.append(Rung(head, heads_rows=True))
                headed = True
            numbers = range(step.first, step.last + 1)
            told |= dict.fromkeys(((step.section, one) for one in numbers), step)
        pieces = _pieces(step, columns, style, told)
        if headed and isinstance(step, RowStep | RepeatStep):
            pieces = [replace(piece, again=head.block) for piece in pieces]
        rungs += [Rung(piece, step) for piece in pieces]
    if part_steps.part is not Part.CLOSING:
        # What ends the part is never alone on a page.
        rungs[-1] = replace(rungs[-1], piece=replace(rungs[-1].piece, with_next=True))
    closing = as_sentence(part_steps.ends.text)
    rungs.append(Rung(_checkpoint(END, closing, columns, style, with_next=True)))
    rungs.append(Rung(_checkpoint(COUNT, part_steps.counting, columns, style)))
    return rungs


def _pieces(
    step: Step, columns: Columns, style: PageStyle, told: Mapping[tuple[Section, int], RowStep]
) -> list[Piece]:
    match step:
        case RowStep():
            return _row_pieces(step, step, columns, style)
        case RepeatStep():
            return _row_pieces(step, like_row(step, told), columns, style)
        case MoveStep() | ThreadStep():
            return [_move_piece(step, columns, style)]
        case Checkpoint():
            return [_checkpoint(NOW, as_sentence(step.text), columns, style)]


def _row_pieces(
    step: RowStep | RepeatStep, like: RowStep | None, columns: Columns, style: PageStyle
) -> list[Piece]:
    """The row with arrow and count of the row told that is worked like it, if it is one row; boxes
    of very many rows go on in pieces of their own."""
    look = style.step
    placed = set_lines(
        break_lines(held_together(step.text), look, columns.text_width_mm),
        columns.text_mm,
        0.0,
        columns.text_width_mm,
        look,
        role=Role.BODY,
    )
    label: list[Item] = [*set_line((bold(_label(step)),), columns.label_mm, look.baseline_mm, look)]
    if like is not None:
        arrow = bold(_ARROWS[like.to_right])
        label += set_line((arrow,), columns.arrow_mm, look.baseline_mm, look)
    body: list[Item] = [placed.group]
    if like is not None and like.shaped:
        count = set_line(
            str(like.stitches), columns.right_mm, look.baseline_mm, look, align=Align.RIGHT
        )
        body.append(Group(count, role=Role.SPAN, alt=count_words(str(like.stitches))))
    height_mm = placed.box.height_mm
    if step.boxes == 1:
        label.insert(0, boxes_path([(0.0, _box_top_mm(style))], style.tick_box_mm))
    heard = step.label if like is None else f"{step.label}, {_WAYS[like.to_right]}"
    if step.boxes == 1:
        return [_list_item(label, body, columns, height_mm, look.after_pt, heard=heard)]
    first, *others = [
        folded_boxes(step, width_mm=columns.whole_mm, style=style, rows=rows)
        for rows in _rows_in_pieces(step, columns.whole_mm, style)
    ]
    body.append(first.placed(0.0, height_mm + 1.0))
    height_mm += 1.0 + first.height_mm + 1.4
    return [
        _list_item(label, body, columns, height_mm, look.after_pt, heard=heard),
        *(_more_boxes(step, boxes, columns, style) for boxes in others),
    ]


def _more_boxes(
    step: RowStep | RepeatStep, boxes: Block, columns: Columns, style: PageStyle
) -> Piece:
    """Further boxes of a step, under its label."""
    look = style.body
    words = set_line(f"{_label(step)} go on:", columns.label_mm, look.baseline_mm, look)
    top_mm = look.leading_mm + 1.0
    body: list[Item] = [boxes.placed(0.0, top_mm)]
    height_mm = top_mm + boxes.height_mm + 1.4
    return _list_item(list(words), body, columns, height_mm, style.step.after_pt)


def count_words(stitches: str) -> str:
    """A count as it is heard.

    >>> count_words("1"), count_words("24")
    ('1 stitch', '24 stitches')
    """
    return f"{stitches} stitch" if stitches == "1" else f"{stitches} stitches"


def _move_piece(step: MoveStep | ThreadStep, columns: Columns, style: PageStyle) -> Piece:
    look = style.step
    column_mm = columns.whole_mm - columns.label_mm
    lines = break_lines(held_together(step.text), look, column_mm)
    placed = set_lines(lines, columns.label_mm, 0.0, column_mm, look, role=Role.BODY)
    box = boxes_path([(0.0, _box_top_mm(style))], style.tick_box_mm)
    return _list_item([box], [placed.group], columns, placed.box.height_mm, look.after_pt)


def _list_item(
    label: list[Item],
    body: list[Item],
    columns: Columns,
    height_mm: float,
    after_pt: float,
    *,
    heard: str = "",
) -> Piece:
    """A step; its label is `heard` instead of the number and the arrow."""
    items = (Group(tuple(label), role=Role.LABEL, alt=heard), *body)
    block = Block((Group(items, role=Role.LI),), columns.whole_mm, height_mm)
    return Piece(block, after_pt * MM_PER_PT)


def _checkpoint(
    name: str, words: str, columns: Columns, style: PageStyle, *, with_next: bool = False
) -> Piece:
    """A line to hold the knitting against, beside a flag in the column of the boxes."""
    look = style.body
    text: RichText = (bold(name + ":"), Run(" " + held_together(words)))
    left_mm = columns.label_mm
    column_mm = columns.whole_mm - left_mm
    placed = set_lines(break_lines(text, look, column_mm), left_mm, 0.8, column_mm, look)
    height_mm = placed.box.height_mm + 1.6
    bar = Path(
        (MoveTo(1.0, 0.6), LineTo(1.0, height_mm - 0.6)), 2.4, style.soft_ink, role=Role.ARTIFACT
    )
    block = Block((bar, placed.group), columns.whole_mm, height_mm)
    return Piece(block, look.after_pt * MM_PER_PT, with_next)


def _note(words: str, columns: Columns, style: PageStyle) -> Piece:
    """A sentence before the first row."""
    left_mm, look = columns.label_mm, style.body
    width_mm = columns.whole_mm - left_mm
    placed = set_lines(
        break_lines(held_together(words), look, width_mm), left_mm, 0, width_mm, look
    )
    block = Block((placed.group,), columns.whole_mm, placed.box.height_mm)
    return Piece(block, look.after_pt * MM_PER_PT, with_next=True)


def _count_head(columns: Columns, style: PageStyle) -> Piece:
    """The name of the count column, above its right edge."""
    look = style.note
    words = set_line("stitches", columns.right_mm, look.baseline_mm, look, align=Align.RIGHT)
    head = Group(words, role=Role.ARTIFACT)
    return Piece(Block((head,), columns.right_mm, look.leading_mm), AFTER_HEAD_MM, with_next=True)


def _box_top_mm(style: PageStyle) -> float:
    """A box stands on the base line and a little below it, centred on the capitals."""
    look = style.step
    return look.baseline_mm - look.cap_height_mm / 2 - style.tick_box_mm / 2


def boxes_path(corners: list[tuple[float, float]], side_mm: float) -> Path:
    segments: list[Segment] = []
    for x_mm, y_mm in corners:
        segments += (
            MoveTo(x_mm, y_mm),
            LineTo(x_mm + side_mm, y_mm),
            LineTo(x_mm + side_mm, y_mm + side_mm),
            LineTo(x_mm, y_mm + side_mm),
            Close(),
        )
    return Path(tuple(segments), 0.6)


def boxes_in_block(step: RowStep | RepeatStep) -> int:
    """Boxes that stand together: those of one repeat, so that each box of a block has the place
    and the direction of its row; ten where every row is like the last."""
    if isinstance(step, RepeatStep):
        period = step.like_last - step.like_first + 1
        if 1 < period <= BOXES_IN_BLOCK:
            return period
    return BOXES_IN_BLOCK


def numbered_box_mm(last: int, style: PageStyle) -> float:
    """Side of a box with a row number in it, up to that row's."""
    look = Style(style.least_number_pt, style.least_number_pt)
    return max(
        style.tick_box_mm + 0.8,
        text_width("0" * len(str(last)), look) + _IN_BOX_EMS * look.size_pt * MM_PER_PT,
    )


_IN_BOX_EMS: Final = 0.32
"""White beside the number in a box, both sides together, in sizes of the number."""


def _rows_in_pieces(
    step: RowStep | RepeatStep, width_mm: float, style: PageStyle
) -> Iterator[range]:
    """The rows of a step whose boxes stand together, counted from 0: whole lines of them."""
    side_mm = numbered_box_mm(step.last, style)
    lines = max(1, int(_MOST_BOXES_MM / (side_mm + _LINE_GAP_MM)))
    block = boxes_in_block(step)
    most = lines * block * _blocks_across(block, side_mm, width_mm)
    for start in range(0, step.boxes, most):
        yield range(start, min(start + most, step.boxes))


_MOST_BOXES_MM: Final = 110.0
"""Height of the boxes of one step that stand together."""
_LINE_GAP_MM: Final = 1.2


def _blocks_across(block: int, side_mm: float, width_mm: float) -> int:
    return max(1, int((width_mm + _BLOCK_GAP_MM) / (block * side_mm + _BLOCK_GAP_MM)))


def folded_boxes(
    step: RowStep | RepeatStep, *, width_mm: float, style: PageStyle, rows: range | None = None
) -> Block:
    """One box a row, each with its row number, in blocks; never more than ten in a block.

    `rows` are those of the step's rows that have their boxes here, counted from 0.
    """
    side_mm = numbered_box_mm(step.last, style)
    size_pt = style.least_number_pt
    block = boxes_in_block(step)
    block_mm = block * side_mm + _BLOCK_GAP_MM
    across = _blocks_across(block, side_mm, width_mm)
    shown = range(step.boxes) if rows is None else rows
    corners: list[tuple[float, float]] = []
    numbers: list[Item] = []
    drop_mm = Style(size_pt, size_pt).cap_height_mm / 2
    for index in range(len(shown)):
        group, place = divmod(index, block)
        line, column = divmod(group, across)
        x_mm = column * block_mm + place * side_mm
        y_mm = line * (side_mm + _LINE_GAP_MM)
        corners.append((x_mm, y_mm))
        numbers.append(
            Text(
                x_mm + side_mm / 2,
                y_mm + side_mm / 2 + drop_mm,
                str(step.first + shown[index]),
                size_pt=size_pt,
                align=Align.CENTRE,
            )
        )
    lines = -(-len(shown) // (block * across))
    height_mm = lines * (side_mm + _LINE_GAP_MM) - _LINE_GAP_MM
    named = Group(tuple(numbers), role=Role.LABEL, alt=BOXES_HEARD)
    items = (boxes_path(corners, side_mm), named)
    return Block(items, width_mm, height_mm)


def held_together(text: str) -> str:
    """The text with no-break spaces where a line must not end: between "peg" or "row" and its
    number, and between a number and what is done with it.

    >>> held_together("peg 25 slip, 24–2 knit.").count(NO_BREAK_SPACE)
    3
    """
    words = text.split(" ")
    out = [words[0]]
    for before, word in pairwise(words):
        counted = before[:1].isdigit() and before[-1:].isdigit()
        named = before.lower() in _BEFORE_NUMBERS and word[:1].isdigit()
        out.append((NO_BREAK_SPACE if counted or named else " ") + word)
    return "".join(out)


_BEFORE_NUMBERS: Final = ("peg", "pegs", "row", "rows", "left", "right")


def _has_arrow(step: RowStep | RepeatStep) -> bool:
    return isinstance(step, RowStep) or step.first == step.last


def _label(step: RowStep | RepeatStep) -> str:
    return step.label.replace(" ", NO_BREAK_SPACE)
