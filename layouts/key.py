"""The symbol key of one or more charts: what each sign in them means, and nothing else."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from charts.chart import ABSENT, HELD, WAITING, Chart, ChartRow
from charts.stitches import STITCHES, Stitch, crosses
from layouts.block import Block
from layouts.blocks import side_by_side
from layouts.faces import Face
from layouts.grid import STOCKINETTE_RATIO
from layouts.paper import MM_PER_PT
from layouts.scene import Box, Cap, Group, Item, Role, Text, rect
from layouts.style import BOOKLET, PageStyle
from layouts.symbols import Over, cable_cross, held_hatching
from layouts.text import RichText, Run, bold, break_lines, set_lines, width_mm

Cross = tuple[int, int, str]
"""A cable cross: left width, right width, and "left" or "right" for the strand on top."""

READING_RULES: Final = (
    "Read from the bottom row up. A row’s number stands where the row starts, and its arrow "
    "points the way.",
    "A cell means the same act whichever way the row runs: the right side of the fabric always "
    "faces you.",
    "A wide cell stands for neighbouring pegs that are worked alike.",
    "Rows in a heavy box are worked again, as the line above the box says.",
)
"""How to read any of our charts; the fact that the right side always faces out is reasoned from
how a loom works, no published source."""

_TWO_COLUMNS_EMS: Final = 41.0
"""Width from which on the key has two columns, in sizes of its type."""
COLUMN_GAP_MM: Final = 6.0
_GAP_MM: Final = 2.4
"""Between a symbol and its words."""
_SIGN_HEARD: Final = "Sign of"
"""Before the name: whoever hears the chart hears the stitches, not the signs."""
_BETWEEN_MM: Final = 5.0
"""Between two entries on one line."""


@dataclass(frozen=True, slots=True)
class KeySigns:
    """What a key must explain."""

    letters: str
    """Stitch letters; HELD, WAITING and ABSENT where a chart shows them."""
    marks: str = ""
    """Letters of MOVE_MARKS."""
    crosses: tuple[Cross, ...] = ()


def signs_of(charts: Iterable[Chart]) -> KeySigns:
    """Everything that these charts use, each sign once, in the order of the key."""
    shown = list(charts)
    rows = [line for chart in shown for line in chart.lines if isinstance(line, ChartRow)]
    cells = set("".join(row.cells for row in rows))
    marks = dict.fromkeys("".join(chart.marks for chart in shown))
    found = {
        (left, right, "left" if row.cells[start] == "R" else "right")
        for row in rows
        for start, left, right in crosses(row.cells)
    }
    letters = [letter for letter in (*STITCHES, HELD, WAITING, ABSENT) if letter in cells]
    return KeySigns("".join(letters), "".join(marks), tuple(sorted(found)))


@dataclass(frozen=True, slots=True)
class _Entry:
    sign: str
    """A letter of the symbol font; "" for a place without a cell."""
    name: str
    meaning: str
    verb: str = ""
    """The words of the steps where they are not in the name."""
    cross: Cross | None = None
    framed: bool = True


def symbol_key(
    letters: str,
    marks: str = "",
    *,
    width_mm: float,
    style: PageStyle = BOOKLET,
    crosses: Sequence[Cross] = (),
) -> Block:
    """Symbol, name and meaning of each sign; in two columns where the width allows."""
    entries = _entries(letters, marks, crosses)
    columns = _columns(width_mm, style) if len(entries) > 1 else 1
    column_mm = (width_mm - (columns - 1) * COLUMN_GAP_MM) / columns
    blocks = [_full_entry(entry, column_mm, style) for entry in entries]
    first = _shorter_half(blocks, columns)
    items: list[Item] = []
    height_mm = 0.0
    for column, stack in enumerate((blocks[:first], blocks[first:])):
        y_mm = 0.0
        for block in stack:
            items.append(block.placed(column * (column_mm + COLUMN_GAP_MM), y_mm))
            y_mm += block.height_mm
            height_mm = max(height_mm, y_mm)
    return Block((Group(tuple(items), role=Role.LIST),), width_mm, height_mm)


def key_lines(signs: KeySigns, *, width_mm: float, style: PageStyle) -> list[Block]:
    """The same line by line, for a key that goes over several pages: one sign in each, or two."""
    entries = _entries(signs.letters, signs.marks, signs.crosses)
    columns = _columns(width_mm, style)
    column_mm = (width_mm - (columns - 1) * COLUMN_GAP_MM) / columns
    blocks = [_full_entry(entry, column_mm, style) for entry in entries]
    if columns == 1:
        return blocks
    return [
        side_by_side(blocks[index : index + columns], COLUMN_GAP_MM)
        for index in range(0, len(blocks), columns)
    ]


def _columns(width_mm: float, style: PageStyle) -> int:
    return 2 if width_mm >= _TWO_COLUMNS_EMS * style.note.size_pt * MM_PER_PT else 1


def symbol_line(
    letters: str,
    marks: str = "",
    *,
    width_mm: float,
    style: PageStyle = BOOKLET,
    crosses: Sequence[Cross] = (),
) -> Block:
    """Symbols and names alone, one after the other, in as many lines as they need.

    What the steps have other words for is named as they do.  What has no symbol is left out.
    """
    items: list[Item] = []
    x_mm = y_mm = 0.0
    line_mm = max(_cell_height_mm(style), style.note.leading_mm) + 1.2
    for entry in _entries(letters, marks, crosses):
        if not entry.sign and entry.cross is None:
            continue
        sign_mm = _sign_width_mm(entry, style)
        name = entry.verb or entry.name
        whole_mm = sign_mm + _GAP_MM / 2 + width_mm_of(name, style)
        if x_mm > 0 and x_mm + whole_mm > width_mm:
            x_mm, y_mm = 0.0, y_mm + line_mm
        words = set_lines(
            break_lines(name, style.note, whole_mm),
            x_mm + sign_mm + _GAP_MM / 2,
            y_mm + (line_mm - style.note.leading_mm) / 2,
            whole_mm,
            style.note,
            role=Role.BODY,
        )
        sign_top_mm = y_mm + (line_mm - _cell_height_mm(style)) / 2
        sign = Group(
            tuple(_sign(entry, style)), x_mm, sign_top_mm, role=Role.LABEL, alt=_SIGN_HEARD
        )
        items.append(Group((sign, words.group), role=Role.LI))
        x_mm += whole_mm + _BETWEEN_MM
    return Block((Group(tuple(items), role=Role.LIST),), width_mm, y_mm + line_mm if items else 0.0)


def width_mm_of(text: RichText, style: PageStyle) -> float:
    """Width of a note on one line."""
    return width_mm(text, style.note)


# --- Entries ---------------------------------------------------------------------------------


def _entries(letters: str, marks: str, cable_crosses: Sequence[Cross]) -> list[_Entry]:
    entries = [
        _stitch_entry(stitch)
        for letter, stitch in STITCHES.items()
        if letter in letters and not stitch.cross
    ]
    if HELD in letters:
        entries.append(_Entry(HELD, *_HELD_WORDS))
    entries += [
        _Entry(mark, *_MARK_WORDS[mark], framed=False) for mark in _MARK_WORDS if mark in marks
    ]
    if WAITING in letters or ABSENT in letters:
        entries.append(_Entry("", *_NO_CELL_WORDS))
    return entries + [_cross_entry(cross) for cross in cable_crosses]


def _stitch_entry(stitch: Stitch) -> _Entry:
    """A stitch by its name, and by the verb of the steps where the one does not tell the other."""
    name, verb = stitch.name, stitch.verb
    if verb in name:
        return _Entry(stitch.letter, name, stitch.meaning)
    if name in verb:
        return _Entry(stitch.letter, verb, stitch.meaning)
    return _Entry(stitch.letter, name, stitch.meaning, verb)


_HELD_WORDS: Final = (
    "held loop",
    "as the row begins, the loop of this peg is on a holder and the peg is empty",
)

_NO_CELL_WORDS: Final = (
    "no cell",
    "nothing to work: the peg is empty, or its loop waits and the yarn does not come here",
)

_MARK_WORDS: Final = {
    "H": ("hold", "put the loop of this peg on a holder"),
    "G": ("hang back", "hang an edge loop of the heel flap on this peg, both legs over it"),
    "B": ("lift the bar", "lift the strand between two stitches onto this peg, above its loop"),
    "M": (
        "move the loop",
        "hang the loop of this peg on top of the loop of the neighbour that the arrow points to",
    ),
    "O": ("take off", "take the loop of this peg onto a needle, from inside the ring"),
}
"""Names and meanings of the marks between rows, in the order of the key."""


def _cross_entry(cross: Cross) -> _Entry:
    left, right, top = cross
    if top == "left":
        name = f"cross right with left {left} over right {right}"
        in_front, behind, way = left, right, "right"
    else:
        name = f"cross left with right {right} over left {left}"
        in_front, behind, way = right, left, "left"
    meaning = (
        f"{_hung(in_front, top, way)}, passing in front; {_hung(behind, way, top)}, behind; "
        f"then knit all {left + right}"
    )
    return _Entry("", name, meaning, cross=cross)


def _hung(count: int, start: str, end: str) -> str:
    """Where the loops of a strand go; it fills as many pegs on its new side as it left.

    >>> _hung(2, "left", "right")
    'the left 2 loops hang, in order, on the right 2 pegs'
    """
    if count == 1:
        return f"the {start} loop hangs on the {end} peg"
    return f"the {start} {count} loops hang, in order, on the {end} {count} pegs"


# --- Drawing ---------------------------------------------------------------------------------


def _cell_height_mm(style: PageStyle) -> float:
    return max(style.least_cell_mm, style.note.size_pt * MM_PER_PT * 1.3)


_WIDEST_CROSS_MM: Final = 30.0
"""A wider cross is shown with narrower cells, so that its meaning keeps a column; on an A5 page."""


def _cells(entry: _Entry) -> int:
    return 1 if entry.cross is None else entry.cross[0] + entry.cross[1]


def _cell_width_mm(entry: _Entry, style: PageStyle) -> float:
    whole_mm = _cell_height_mm(style) * STOCKINETTE_RATIO
    return (
        whole_mm
        if entry.cross is None
        else min(whole_mm, _WIDEST_CROSS_MM * style.growth / _cells(entry))
    )


def _sign_width_mm(entry: _Entry, style: PageStyle) -> float:
    return _cells(entry) * _cell_width_mm(entry, style)


def _sign(entry: _Entry, style: PageStyle) -> Iterable[Item]:
    """The sign in its cells, top left corner at the origin."""
    height_mm = _cell_height_mm(style)
    cell_mm = _cell_width_mm(entry, style)
    whole_mm = _sign_width_mm(entry, style)
    if not entry.sign and entry.cross is None:
        # Where a cell would be.
        dotted = rect(0.0, 0.0, whole_mm, height_mm, stroke_pt=style.border_pt)
        yield replace(dotted, dash_mm=(0.0, height_mm / 4), cap=Cap.ROUND)
        return
    if entry.sign == HELD:
        yield held_hatching(Box(0.0, 0.0, whole_mm, height_mm), height_mm, ink=style.ink)
    if entry.framed:
        yield rect(0.0, 0.0, whole_mm, height_mm, stroke_pt=style.grid_pt)
    if entry.cross is not None:
        left, right, top = entry.cross
        yield cable_cross(
            left,
            right,
            Over(top),
            x_mm=0.0,
            y_mm=0.0,
            cell_mm=height_mm,
            cell_width_mm=cell_mm,
            ink=style.ink,
        )
    elif entry.sign:
        yield Text(
            (cell_mm - height_mm) / 2,
            height_mm,
            entry.sign,
            Face.SYMBOLS,
            height_mm / MM_PER_PT,
            style.ink,
        )


def _full_entry(entry: _Entry, column_mm: float, style: PageStyle) -> Block:
    """Sign, name and meaning; the block has the room below it too."""
    sign_mm = _sign_width_mm(entry, style)
    in_steps = f", in the steps “{entry.verb}”" if entry.verb else ""
    words: RichText = (bold(entry.name), Run(f"{in_steps}: {entry.meaning}."))
    left_mm = sign_mm + _GAP_MM
    look = style.note
    rest_mm = column_mm - left_mm
    set_words = set_lines(
        break_lines(words, look, rest_mm), left_mm, 0.0, rest_mm, look, role=Role.BODY
    )
    top_mm = (look.leading_mm - _cell_height_mm(style)) / 2
    sign = Group(
        tuple(_sign(entry, style)), 0.0, max(0.0, top_mm), role=Role.LABEL, alt=_SIGN_HEARD
    )
    height_mm = max(set_words.box.height_mm, max(0.0, top_mm) + _cell_height_mm(style))
    item = Group((sign, set_words.group), role=Role.LI)
    return Block((item,), column_mm, height_mm + look.after_pt * MM_PER_PT)


def _shorter_half(blocks: Sequence[Block], columns: int) -> int:
    """How many entries stand in the first column, so that the taller column is shortest."""
    if columns == 1:
        return len(blocks)
    heights_mm = [block.height_mm for block in blocks]
    return min(
        range(len(blocks) + 1),
        key=lambda first: (max(sum(heights_mm[:first]), sum(heights_mm[first:])), -first),
    )
