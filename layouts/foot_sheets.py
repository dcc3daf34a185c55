"""A drawing too long for the paper, shared among sheets that are joined along level lines.

Every sheet but the first begins with a strip that the sheet above has too; there the two are glued.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from layouts.scene import WHITE, Align, Group, Item, Role, line, lines, rect
from layouts.style import PageStyle
from layouts.text import bold, set_line, width_mm

OVERLAP_MM: Final = 10.0
"""Drawn on both of two sheets that are joined."""
CROSS_MM: Final = 3.5
"""Length of an arm of an alignment cross."""
WING_MM: Final = 9.0
"""Room at each side of the drawing for the crosses and their letters."""
LEAST_PART_MM: Final = 30.0
"""Less of a drawing is not worth a sheet."""
MOST_SHEETS: Final = 6
_LETTERS: Final = "ABCDE"
_CLEAR_ABOVE_MM: Final = 6.8
_CLEAR_BELOW_MM: Final = 2.6
"""Kept free of the drawing's own lines for the words along a joint."""
_STEP_MM: Final = 0.5


@dataclass(frozen=True, slots=True)
class Sheet:
    """The part of a drawing on one page, by y in the drawing's own mm."""

    top_mm: float
    bottom_mm: float
    above: str = ""
    """The letter of the joint at its top; "" for none."""
    below: str = ""

    @property
    def drawn_top_mm(self) -> float:
        """With the strip that goes under the sheet above."""
        return self.top_mm - OVERLAP_MM if self.above else self.top_mm

    @property
    def drawn_mm(self) -> float:
        """Height on the page, the lower arms of the crosses included."""
        return self.bottom_mm - self.drawn_top_mm + (CROSS_MM if self.below else 0.0)

    def shows(self, y_mm: float) -> bool:
        """Whether that level is drawn here."""
        return self.drawn_top_mm <= y_mm <= self.bottom_mm

    def has_words_at(self, y_mm: float) -> bool:
        """Whether a number on that level would meet the words along a joint."""
        joints = ([self.top_mm] if self.above else []) + ([self.bottom_mm] if self.below else [])
        return any(_is_near(y_mm, joint) for joint in joints)


def share_among_sheets(
    whole_mm: float, rooms_mm: Sequence[float], lines_mm: Sequence[float]
) -> tuple[Sheet, ...]:
    """One sheet a room, top first, in proportion to the rooms; () if the drawing does not fit them.

    Joints keep clear of the levels `lines_mm` as far as the rooms have something to spare.
    """
    last = len(rooms_mm) - 1
    rooms = [
        room - (OVERLAP_MM if index else 0.0) - (CROSS_MM if index < last else 0.0)
        for index, room in enumerate(rooms_mm)
    ]
    if sum(rooms) < whole_mm or (last and min(rooms) < LEAST_PART_MM):
        return ()
    share = whole_mm / sum(rooms)
    cuts = [0.0]
    used_mm = 0.0
    for room, after in pairwise(rooms):
        used_mm += room * share
        # Half of what both sheets have to spare: their other joints may move too.
        spare_mm = min(room, after) * (1 - share) / 2
        cuts.append(_clear_of(lines_mm, used_mm, spare_mm))
    cuts.append(whole_mm)
    letters = ["", *_LETTERS[:last], ""]
    return tuple(
        Sheet(top, bottom, letters[index], letters[index + 1])
        for index, (top, bottom) in enumerate(pairwise(cuts))
    )


def _clear_of(lines_mm: Sequence[float], cut_mm: float, spare_mm: float) -> float:
    """The nearest level without a line through the words along the joint; else the level itself."""
    for number in range(int(spare_mm / _STEP_MM) + 1):
        for moved in (cut_mm - number * _STEP_MM, cut_mm + number * _STEP_MM):
            if not any(_is_near(y_mm, moved) for y_mm in lines_mm):
                return moved
    return cut_mm


def _is_near(y_mm: float, joint_mm: float) -> bool:
    return -_CLEAR_ABOVE_MM < y_mm - joint_mm < _CLEAR_BELOW_MM


def joints_of(
    sheets: Sequence[Sheet], index: int, *, whole_mm: float, middle_mm: float, style: PageStyle
) -> Iterator[Item]:
    """The joint lines of one sheet, in the drawing's own mm: crosses and letters at both ends.

    `whole_mm` is the drawing's width; the words stand about `middle_mm`.
    """
    sheet = sheets[index]
    if sheet.above:
        y_mm = sheet.top_mm
        yield line(
            -WING_MM, sheet.drawn_top_mm, whole_mm + WING_MM, sheet.drawn_top_mm, stroke_pt=0.3
        )
        yield from _joint(y_mm, whole_mm, style)
        # The strip is covered in the end, so the letters stand below the line.
        letter_mm = y_mm + 1.2 + style.sub_head.cap_height_mm
        yield from _letters(sheet.above, letter_mm, whole_mm, style)
        yield from _words(f"this strip goes under sheet {index}", middle_mm, y_mm, style)
    if sheet.below:
        y_mm, letter = sheet.bottom_mm, sheet.below
        yield from _joint(y_mm, whole_mm, style)
        yield from _letters(letter, y_mm - 1.2, whole_mm, style)
        yield from _words(f"cut here, or fold back: {letter}–{letter}", middle_mm, y_mm, style)


_CROSS_AT_MM: Final = WING_MM - CROSS_MM
"""Middle of a cross, beside the drawing."""


def _joint(y_mm: float, whole_mm: float, style: PageStyle) -> Iterator[Item]:
    ends = (-_CROSS_AT_MM, whole_mm + _CROSS_AT_MM)
    yield line(
        -WING_MM, y_mm, whole_mm + WING_MM, y_mm, stroke_pt=0.6, dash_mm=(4.0, 1.0, 1.0, 1.0)
    )
    for x_mm in ends:
        arms = [
            (x_mm, y_mm - CROSS_MM, x_mm, y_mm + CROSS_MM),
            (x_mm - CROSS_MM, y_mm, x_mm + CROSS_MM, y_mm),
        ]
        yield lines(arms, stroke_pt=style.border_pt)


def _letters(letter: str, y_mm: float, whole_mm: float, style: PageStyle) -> Iterator[Item]:
    name = style.sub_head
    left_mm, right_mm = -_CROSS_AT_MM + 1.2, whole_mm + _CROSS_AT_MM - 1.2
    yield from set_line((bold(letter),), left_mm, y_mm, name)
    yield from set_line((bold(letter),), right_mm, y_mm, name, align=Align.RIGHT)


def _words(words: str, middle_mm: float, y_mm: float, style: PageStyle) -> Iterator[Item]:
    """Above the joint, on white, so that no line runs through them."""
    note = style.note
    wide_mm, high_mm = width_mm(words, note) + 2.0, note.cap_height_mm + 1.8
    yield rect(
        middle_mm - wide_mm / 2,
        y_mm - 0.6 - high_mm,
        wide_mm,
        high_mm,
        stroke=None,
        fill=WHITE,
    )
    yield Group(set_line(words, middle_mm, y_mm - 1.4, note, align=Align.CENTRE), role=Role.P)
