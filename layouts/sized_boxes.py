"""Tick boxes that several sizes share: a heavy stroke ends the boxes of each size.

From the stroke a thin line leads down to the names of the sizes that stop there.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from layouts.faces import Face
from layouts.scene import (
    WHITE,
    Align,
    Group,
    Item,
    Role,
    Text,
    lines,
    rect,
    text_width_mm,
)
from layouts.size_order import SizeSet
from layouts.steps_block import BOXES_HEARD, boxes_path, numbered_box_mm
from layouts.style import PageStyle
from layouts.text import Style

STOP_PT: Final = 1.8
"""Weight of the stroke after a size's last box."""
_LEADER_PT: Final = 0.5
_STROKE_MM: Final = 0.9
"""How far the stroke reaches below its box."""
_NEAR_MM: Final = 0.7
"""Between a name and its own line, and between a name and another size's line."""


@dataclass(frozen=True, slots=True)
class Stop:
    """Where some of the sizes end."""

    names: tuple[str, ...]
    mark: str | None
    """The marked size, if it is one of them."""


def stops_of(counts: Sequence[int], sizes: SizeSet) -> dict[int, Stop]:
    """The sizes that stop after so many boxes, by that number; empty if all have as many.

    A size with no boxes stops nowhere.
    """
    if len(set(counts)) < 2:
        return {}
    found = {}
    for count in sorted(set(counts) - {0}):
        names = tuple(name for name, one in zip(sizes.names, counts, strict=True) if one == count)
        found[count] = Stop(names, sizes.mark if sizes.mark in names else None)
    return found


@dataclass(frozen=True, slots=True)
class _Label:
    """Names in one line, and the stroke that they belong to."""

    text: str
    face: Face
    left_mm: float
    width_mm: float
    stroke_mm: float
    tier: int

    @property
    def right_mm(self) -> float:
        return self.left_mm + self.width_mm

    def holds(self, x_mm: float) -> bool:
        """Whether a line down there would cross the names."""
        return self.left_mm - _NEAR_MM < x_mm < self.right_mm + _NEAR_MM / 2

    def meets(self, other: _Label) -> bool:
        return (
            self.left_mm < other.right_mm + 2 * _NEAR_MM
            and other.left_mm < self.right_mm + 2 * _NEAR_MM
        )


def _placed(
    stops: Mapping[float, Stop], left_mm: float, right_mm: float, look: Style
) -> list[_Label]:
    """A label for each stop, by where its stroke stands, clear of the others.

    It stands to the left of its stroke; where that is too near the left end to the right of it; or
    else below it.
    """
    placed: list[_Label] = []
    others: list[tuple[float, str, Face, float]] = []
    for stroke_mm, stop in sorted(stops.items()):
        for text, face in _lines_of(stop, right_mm - left_mm, look):
            wide_mm = text_width_mm(text, face, look.size_pt)
            if stroke_mm - _NEAR_MM - wide_mm < left_mm:
                others.append((stroke_mm, text, face, wide_mm))
                continue
            start_mm = stroke_mm - _NEAR_MM - wide_mm
            placed.append(_clear(placed, text, face, start_mm, wide_mm, stroke_mm))
    for stroke_mm, text, face, wide_mm in reversed(others):
        start_mm = stroke_mm + _NEAR_MM
        if start_mm + wide_mm > right_mm:
            start_mm = min(max(left_mm, stroke_mm - wide_mm / 2), right_mm - wide_mm)
        placed.append(_clear(placed, text, face, start_mm, wide_mm, stroke_mm))
    return placed


def _clear(
    placed: Sequence[_Label],
    text: str,
    face: Face,
    left_mm: float,
    width_mm: float,
    stroke_mm: float,
) -> _Label:
    """The label in the highest line where it meets no other, nor either's line the other's names;
    else below all."""
    lowest = max((one.tier for one in placed), default=-1) + 1
    for tier in range(lowest + 1):
        label = _Label(text, face, left_mm, width_mm, stroke_mm, tier)
        if all(
            (one.tier != tier or not label.meets(one))
            and (one.tier <= tier or not label.holds(one.stroke_mm))
            and (one.tier >= tier or not one.holds(stroke_mm))
            for one in placed
            if one.stroke_mm != stroke_mm or one.tier == tier
        ):
            return label
    return _Label(text, face, left_mm, width_mm, stroke_mm, lowest)


def _lines_of(stop: Stop, width_mm: float, look: Style) -> list[tuple[str, Face]]:
    """The names in as few lines as the width allows, the marked one alone and bold."""
    labels = [(stop.mark, Face.BOLD)] if stop.mark else []
    line = ""
    for name in (name for name in stop.names if name != stop.mark):
        longer = f"{line}, {name}" if line else name
        if line and text_width_mm(longer, look.face, look.size_pt) > width_mm:
            labels.append((line, look.face))
            longer = name
        line = longer
    return [*labels, (line, look.face)] if line else labels


def stop_marks(
    stops: Mapping[int, Stop],
    rights_mm: Mapping[int, float],
    top_mm: float,
    box_mm: float,
    left_mm: float,
    width_mm: float,
    style: PageStyle,
) -> tuple[list[Item], float]:
    """Strokes and names for the stops in one line of boxes, and the height the names take.

    `rights_mm` are the right edges of the boxes of the line, by their number; names stay between
    `left_mm` and `left_mm + width_mm`.
    """
    here = {rights_mm[number]: stop for number, stop in stops.items() if number in rights_mm}
    if not here:
        return [], 0.0
    look = Style(style.least_number_pt + 0.5, style.least_number_pt + 2.0)
    foot_mm = top_mm + box_mm + _STROKE_MM
    labels = _placed(here, left_mm, left_mm + width_mm, look)
    strokes = [(x_mm, top_mm - 0.3, x_mm, foot_mm) for x_mm in here]
    leaders = []
    grounds: list[Item] = []
    texts: list[Item] = []
    for one in labels:
        head_mm = foot_mm + one.tier * look.leading_mm
        beside = not one.left_mm < one.stroke_mm < one.right_mm
        end_mm = head_mm + (look.leading_mm * 0.75 if beside else 0.3)
        leaders.append((one.stroke_mm, foot_mm, one.stroke_mm, end_mm))
        if any(other.tier > one.tier and one.holds(other.stroke_mm) for other in labels):
            ground = rect(
                one.left_mm,
                head_mm,
                one.width_mm,
                look.leading_mm,
                stroke=None,
                fill=WHITE,
            )
            grounds.append(Group((ground,), role=Role.ARTIFACT))
        y_mm = head_mm + look.baseline_mm
        texts.append(Text(one.left_mm, y_mm, one.text, one.face, look.size_pt, look.ink))
    drawn = (lines(strokes, stroke_pt=STOP_PT), lines(leaders, stroke_pt=_LEADER_PT))
    names_mm = (max(one.tier for one in labels) + 1) * look.leading_mm
    return [Group(drawn, role=Role.ARTIFACT), *grounds, *texts], _STROKE_MM + names_mm


def numbered_boxes(
    counts: Sequence[int],
    sizes: SizeSet,
    *,
    first: int | None,
    block: int,
    width_mm: float,
    style: PageStyle,
) -> tuple[Group, float]:
    """A box a row for the size with most rows, in blocks, each size's stop marked; and the height.

    `first` is the number of the first row, None where it is not the same for all.
    """
    side_mm = numbered_box_mm(max(counts) + (first or 1) - 1, style)
    block_mm = block * side_mm + _BLOCK_GAP_MM
    across = max(1, int((width_mm + _BLOCK_GAP_MM) / block_mm))
    most = max(counts)
    stops = stops_of(counts, sizes)
    size_pt = style.least_number_pt
    drop_mm = Style(size_pt, size_pt).cap_height_mm / 2
    corners: list[tuple[float, float]] = []
    marks: list[Item] = []
    numbers: list[Item] = []
    y_mm = 0.0
    for start in range(0, most, block * across):
        rights_mm: dict[int, float] = {}
        for index in range(start, min(start + block * across, most)):
            group, place = divmod(index - start, block)
            x_mm = group * block_mm + place * side_mm
            corners.append((x_mm, y_mm))
            rights_mm[index + 1] = x_mm + side_mm
            if first is not None:
                numbers.append(
                    Text(
                        x_mm + side_mm / 2,
                        y_mm + side_mm / 2 + drop_mm,
                        str(first + index),
                        size_pt=size_pt,
                        align=Align.CENTRE,
                    )
                )
        items, below_mm = stop_marks(stops, rights_mm, y_mm, side_mm, 0.0, width_mm, style)
        marks += items
        y_mm += side_mm + below_mm + _LINE_GAP_MM
    boxes = boxes_path(corners, side_mm)
    numbered = Group(tuple(numbers), role=Role.LABEL)
    drawn = Group((boxes, numbered, *marks), role=Role.SPAN, alt=_heard(counts, sizes))
    return drawn, y_mm - _LINE_GAP_MM


def _heard(counts: Sequence[int], sizes: SizeSet) -> str:
    if len(set(counts)) == 1:
        return BOXES_HEARD
    told = (f"{name} {count}" for name, count in zip(sizes.names, counts, strict=True))
    return f"{BOXES_HEARD} Boxes by size: {', '.join(told)}."


_BLOCK_GAP_MM: Final = 1.8
_LINE_GAP_MM: Final = 1.2
