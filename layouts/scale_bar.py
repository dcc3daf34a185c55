"""A bar of known length on the page: whoever lays a ruler on it sees whether the printer scaled."""

from __future__ import annotations

from typing import Final

from layouts.block import Block
from layouts.paper import MM_PER_INCH
from layouts.scene import Group, Role, line, lines
from layouts.style import PageStyle
from layouts.text import NO_BREAK_SPACE, bold, set_line, width_mm

BAR_CM: Final = 10
BAR_IN: Final = 4
_HEARD: Final = f"Rulers of {BAR_CM} cm and {BAR_IN} in, to check the size of the print by."
BAR_HIGH_MM: Final = 8.0
"""Height of the bar's block."""
_FIRST_MM: Final = 3.2
_SECOND_MM: Final = 4.6
"""Where the two rulers lie in it."""
_LONG_TICK_MM: Final = 2.8
_SHORT_TICK_MM: Final = 1.6


def scale_bar(style: PageStyle) -> Block:
    """Two rulers back to back, 10 cm and 4 in long from the block's left edge, with their names."""
    ticks = []
    for number in range(2 * BAR_CM + 1):
        high_mm = _SHORT_TICK_MM if number % 2 else _LONG_TICK_MM
        ticks.append((5.0 * number, _FIRST_MM, 5.0 * number, _FIRST_MM - high_mm))
    for number in range(4 * BAR_IN + 1):
        x_mm = MM_PER_INCH * number / 4
        high_mm = _SHORT_TICK_MM if number % 4 else _LONG_TICK_MM
        ticks.append((x_mm, _SECOND_MM, x_mm, _SECOND_MM + high_mm))
    rulers = (
        line(0.0, _FIRST_MM, 10.0 * BAR_CM, _FIRST_MM, stroke_pt=0.6),
        line(0.0, _SECOND_MM, MM_PER_INCH * BAR_IN, _SECOND_MM, stroke_pt=0.6),
        lines(ticks, stroke_pt=0.6),
    )
    note = style.note
    left_mm = MM_PER_INCH * BAR_IN + 1.8
    names = (f"{BAR_CM}{NO_BREAK_SPACE}cm", f"{BAR_IN}{NO_BREAK_SPACE}in")
    words = (
        *set_line((bold(names[0]),), left_mm, _FIRST_MM, note),
        *set_line((bold(names[1]),), left_mm, _SECOND_MM + note.cap_height_mm, note),
    )
    return Block(
        (Group(rulers, role=Role.ARTIFACT), Group(words, role=Role.P, alt=_HEARD)),
        left_mm + max(width_mm((bold(name),), note) for name in names),
        BAR_HIGH_MM,
    )
