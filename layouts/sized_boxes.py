"""Tick boxes that several sizes share: below the last box of a size its name says where it stops.

A heavy stroke ends the boxes of each size; who stops there reads it below.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from layouts.faces import Face
from layouts.scene import Align, Group, Item, Role, Text, lines, text_width_mm
from layouts.size_order import SizeSet
from layouts.steps_block import boxes_path
from layouts.strips import WantedLabel, place_labels
from layouts.style import PageStyle
from layouts.text import Style

STOP_PT: Final = 1.8
"""Weight of the stroke after a size's last box."""
_STROKE_MM: Final = 0.9
"""How far that stroke reaches below its box."""


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
        here = [index for index, one in enumerate(counts) if one == count]
        names = tuple(sizes.names[index] for index in here)
        found[count] = Stop(names, sizes.mark if sizes.mark in names else None)
    return found


def _labels(stop: Stop, width_mm: float, look: Style) -> list[tuple[str, Face]]:
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
    here = {number: stop for number, stop in stops.items() if number in rights_mm}
    if not here:
        return [], 0.0
    foot_mm = top_mm + box_mm + _STROKE_MM
    strokes = [(rights_mm[number], top_mm - 0.3, rights_mm[number], foot_mm) for number in here]
    items: list[Item] = [Group((lines(strokes, stroke_pt=STOP_PT),), role=Role.ARTIFACT)]
    look = stop_style(style)
    wanted = []
    faces = {}
    for number, stop in here.items():
        right_mm = rights_mm[number] - left_mm
        for text, face in _labels(stop, width_mm, look):
            faces[text] = face
            wide_mm = text_width_mm(text, face, look.size_pt)
            wanted.append(WantedLabel(text, wide_mm, right_mm - box_mm, right_mm))
    tiers = 0
    for placed in place_labels(wanted, 0.0, width_mm):
        tiers = max(tiers, placed.tier + 1)
        x_mm = left_mm + max(0.0, min(placed.left_mm, width_mm - placed.width_mm))
        y_mm = foot_mm + placed.tier * look.leading_mm + look.baseline_mm
        items.append(Text(x_mm, y_mm, placed.text, faces[placed.text], look.size_pt, look.ink))
    return items, _STROKE_MM + tiers * look.leading_mm


def stop_style(style: PageStyle) -> Style:
    """The names below the boxes."""
    return Style(style.least_number_pt + 0.5, style.least_number_pt + 2.0)


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
    side_mm = style.tick_box_mm + 0.8
    block_mm = block * side_mm + _BLOCK_GAP_MM
    across = max(1, int((width_mm + _BLOCK_GAP_MM) / block_mm))
    most = max(counts)
    stops = stops_of(counts, sizes)
    size_pt = style.least_number_pt
    drop_mm = Style(size_pt, size_pt).cap_height_mm / 2
    corners: list[tuple[float, float]] = []
    items: list[Item] = []
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
        marks, below_mm = stop_marks(stops, rights_mm, y_mm, side_mm, 0.0, width_mm, style)
        items += marks
        y_mm += side_mm + below_mm + _LINE_GAP_MM
    boxes = boxes_path(corners, side_mm)
    group = Group((boxes, Group(tuple(numbers), role=Role.LABEL), *items))
    return group, y_mm - _LINE_GAP_MM


_BLOCK_GAP_MM: Final = 2.4
_LINE_GAP_MM: Final = 1.2
