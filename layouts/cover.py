"""The cover: title, designer, and the sock drawn to its counts with every part named and measured.

Parts carry the numbers that their pages carry on the outer edge.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from charts.parts import Part, parts_of
from charts.plan import Plan
from charts.verify import Knit
from layouts.block import Block
from layouts.blocks import figure
from layouts.faces import Face, metrics
from layouts.measures import length_words
from layouts.paper import MM_PER_PT
from layouts.scene import (
    BLACK,
    WHITE,
    Align,
    Group,
    Item,
    Join,
    Path,
    Role,
    Segment,
    Text,
    circle,
    lines,
    rect,
    text_width_mm,
)
from layouts.sock_outline import SockShape, scaled, sock_shape
from layouts.style import PageStyle
from layouts.text import Style, break_lines, set_line, set_lines, set_paragraph

_TITLE_SIZES_PT: Final = (40.0, 34.0, 28.0, 24.0)


def cover(knit: Knit, *, width_mm: float, height_mm: float, style: PageStyle) -> Block:
    """The whole cover inside the margins."""
    spec = knit.plan.spec
    items: list[Item] = []
    items.append(rect(0.0, 0.0, 22.0, 2.0, stroke=None, fill=style.ink))
    title_style = _title_style(spec.title, width_mm)
    title = set_lines(
        break_lines(spec.title, title_style, width_mm),
        0.0,
        8.0,
        width_mm,
        title_style,
        role=Role.H1,
    )
    items.append(title.group)
    y_mm = title.next_mm
    look = Style(style.step.size_pt + 1.0, style.step.leading_pt + 2.0, after_pt=2.0)
    kind = f"A sock for a round loom of {spec.loom.pegs} pegs, {spec.loom.spacing_text} apart"
    placed = set_paragraph(kind, 0.0, y_mm, width_mm, look)
    items.append(placed.group)
    foot_mm = height_mm
    if spec.designer:
        designer = set_lines(break_lines(spec.designer, look, width_mm), 0.0, 0.0, width_mm, look)
        foot_mm -= designer.box.height_mm
        items.append(Group((designer.group,), 0.0, foot_mm))
    top_mm = placed.next_mm + 8.0
    drawing = measured_sock(knit, width_mm=width_mm, height_mm=foot_mm - 8.0 - top_mm, style=style)
    items.append(drawing.placed(0.0, foot_mm - 8.0 - drawing.height_mm))
    return Block(tuple(items), width_mm, height_mm)


def _title_style(title: str, width_mm: float) -> Style:
    """The largest size that sets the title in two lines, or the smallest there is."""
    for size_pt in _TITLE_SIZES_PT:
        style = Style(size_pt, size_pt * 1.1, Face.BOLD, after_pt=size_pt * 0.3)
        words = break_lines(title, style, width_mm)
        if len(words) <= 2 and all(line.width_mm <= width_mm for line in words):
            return style
    return style


# --- The measured sock -----------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class PartLabel:
    """What is written beside one part."""

    name: str
    lines: tuple[str, ...]


def part_label(plan: Plan, part: Part) -> PartLabel:
    """Name, rows and pegs of a part, with lengths where the pattern has a gauge."""
    spec = plan.spec
    match part:
        case Part.CUFF:
            return PartLabel("Cuff", (_rows(plan, spec.cuff.rows), _round(plan)))
        case Part.LEG:
            return PartLabel("Leg", (_rows(plan, spec.leg.rows),))
        case Part.FLAP:
            return PartLabel("Heel flap", (f"{plan.flap_rows} rows", f"{plan.heel_pegs} pegs"))
        case Part.TURN:
            return PartLabel("Heel turn", (f"{plan.turn_rows} rows", f"{plan.centre_pegs} pegs"))
        case Part.FOOT:
            return PartLabel("Gusset and foot", (_rows(plan, spec.foot.rows),))
        case Part.TOE:
            return PartLabel("Toe", (f"{4 * plan.toe_side} short rows", f"{plan.toe_pegs} pegs"))
        case Part.CLOSING:
            return PartLabel("Closing", (f"{plan.toe_pegs} pairs",))


def _rows(plan: Plan, count: int) -> str:
    words = "1 row" if count == 1 else f"{count} rows"
    gauge = plan.spec.gauge
    if gauge is None:
        return words
    return f"{words}, {length_words(count / gauge.rows_per_10cm * 100, plan.spec.units)}"


def _round(plan: Plan) -> str:
    words = f"{plan.loom.pegs} pegs round"
    gauge = plan.spec.gauge
    if gauge is None:
        return words
    around_mm = plan.loom.pegs / gauge.stitches_per_10cm * 100
    return f"{words}, {length_words(around_mm, plan.spec.units)}"


_HEEL_ROOM_MM: Final = 26.0
"""Left of the heel, for its label."""
_SOLE_ROOM_MM: Final = 17.0
"""Below the sole, for its brackets and labels."""


def measured_sock(knit: Knit, *, width_mm: float, height_mm: float, style: PageStyle) -> Block:
    """The sock as large as the room allows, its parts numbered, named and measured."""
    plan = knit.plan
    shape = sock_shape(plan)
    scale = min(
        (width_mm - _HEEL_ROOM_MM - 1.0) / shape.length,
        (height_mm - _SOLE_ROOM_MM - 1.0) / shape.height,
    )
    x_mm, y_mm = _HEEL_ROOM_MM + shape.bulge * scale, 0.5
    drawing = _Drawing(plan, shape, scale, x_mm, y_mm, style)
    parts = parts_of(knit)
    items: list[Item] = [
        *drawing.texture(),
        *(drawing.border(part) for part in parts),
        Path(drawing.place(shape.outline()), 1.6, style.ink, join=Join.ROUND),
    ]
    for number, part in enumerate(parts, start=1):
        items += drawing.number(part, number)
    for part in parts:
        items += drawing.label(part)
    words = "; ".join(
        f"{label.name.lower()}: {', '.join(label.lines)}"
        for label in (part_label(plan, part) for part in parts)
    )
    high_mm = y_mm + shape.height * scale + _SOLE_ROOM_MM
    return figure(Block(tuple(items), width_mm, high_mm), f"The sock from the side. {words}.")


@dataclass(frozen=True, slots=True)
class _Drawing:
    """The shape on paper; everything in it is given in stitch widths."""

    plan: Plan
    shape: SockShape
    scale: float
    x_mm: float
    y_mm: float
    style: PageStyle

    def place(self, segments: tuple[Segment, ...]) -> tuple[Segment, ...]:
        return scaled(segments, self.scale, self.x_mm, self.y_mm)

    def at(self, x: float, y: float) -> tuple[float, float]:
        return (self.x_mm + x * self.scale, self.y_mm + y * self.scale)

    def stroke(self, x1: float, y1: float, x2: float, y2: float) -> Stroke:
        return (*self.at(x1, y1), *self.at(x2, y2))

    def texture(self) -> list[Item]:
        """The rib of the cuff and the short rows of the toe, as light as decoration may be."""
        shape, style = self.shape, self.style
        half = self.plan.loom.pegs // 2
        letters = self.plan.cuff_letters[:half]
        rib = [
            self.stroke(index, 0.0, index, shape.cuff_end)
            for index in range(1, len(letters))
            if letters[index] != letters[index - 1]
        ]
        middle = (shape.foot_top + shape.sole) / 2
        reach = (shape.toe_end - shape.toe_start) * 0.62
        turns = min(self.plan.toe_side, _TURNS_SHOWN)
        barb = (shape.sole - shape.foot_top) * 0.2
        toe = [self.stroke(shape.toe_start, middle, shape.toe_start + reach, middle)]
        for step in range(1, turns + 1):
            x = shape.toe_start + reach * step / turns
            toe += [self.stroke(x, middle, x - barb * 0.5, middle + way * barb) for way in (1, -1)]
        return [
            lines(rib, stroke_pt=1.2, ink=style.tint),
            lines(toe, stroke_pt=1.2, ink=style.tint),
        ]

    def border(self, part: Part) -> Path:
        """The edge of one part; the closing is a heavy seam."""
        if part is Part.CLOSING:
            return Path(self.place(self.shape.seam()), 3.0, self.style.ink)
        return Path(self.place(self.shape.region(part)), 0.6, self.style.ink, join=Join.ROUND)

    def number(self, part: Part, number: int) -> list[Item]:
        """The part's number in white on a disc, as on its thumb mark."""
        x_mm, y_mm = self.at(*self._middle(part))
        size_pt = 10.0
        high_mm = metrics(Face.BOLD).cap_height * size_pt * MM_PER_PT / 1000
        return [
            circle(x_mm, y_mm, 3.0, stroke_pt=0.8, stroke=WHITE, fill=BLACK),
            Text(x_mm, y_mm + high_mm / 2, str(number), Face.BOLD, size_pt, WHITE, Align.CENTRE),
        ]

    def _middle(self, part: Part) -> tuple[float, float]:
        shape = self.shape
        match part:
            case Part.CUFF:
                return (shape.width / 2, shape.cuff_end / 2)
            case Part.LEG:
                return (shape.width / 2, (shape.cuff_end + shape.heel_start) / 2)
            case Part.FLAP:
                return (
                    (shape.flap_width + shape.turn_length) / 4,
                    (shape.heel_start + shape.flap_end) / 2,
                )
            case Part.TURN:
                return (shape.turn_length * 0.5, (shape.flap_end + shape.sole) / 2)
            case Part.FOOT:
                return (
                    (shape.width + shape.toe_start) / 2,
                    (shape.foot_top + shape.sole) / 2,
                )
            case Part.TOE:
                return (
                    shape.toe_start + (shape.toe_end - shape.toe_start) * 0.5,
                    (shape.foot_top + shape.sole) / 2,
                )
            case Part.CLOSING:
                return (shape.toe_start, shape.foot_top)

    def label(self, part: Part) -> list[Item]:
        """A measuring bracket along the part, and its name and figures beside it."""
        shape = self.shape
        match part:
            case Part.CUFF:
                return self._right_of_leg(part, 0.0, shape.cuff_end)
            case Part.LEG:
                return self._right_of_leg(part, shape.cuff_end, shape.heel_start)
            case Part.FLAP:
                return self._left_of_heel(part, shape.heel_start, shape.flap_end)
            case Part.TURN:
                return self._below(part, 0.0, shape.turn_length)
            case Part.FOOT:
                return self._below(part, shape.turn_length, shape.toe_start)
            case Part.TOE:
                return self._below(part, shape.toe_start, shape.toe_end)
            case Part.CLOSING:
                return self._above_toe(part)

    def _right_of_leg(self, part: Part, top: float, bottom: float) -> list[Item]:
        x_mm, top_mm = self.at(self.shape.width + self.shape.bend * 0.3, top)
        bottom_mm = self.at(0, bottom)[1]
        bracket = _bracket(x_mm + 3.0, top_mm + 0.6, x_mm + 3.0, bottom_mm - 0.6, self.style)
        return [bracket, *self._words(part, x_mm + 6.0, (top_mm + bottom_mm) / 2, Align.LEFT)]

    def _left_of_heel(self, part: Part, top: float, bottom: float) -> list[Item]:
        x_mm, top_mm = self.at(-self.shape.bulge, top)
        bottom_mm = self.at(0, bottom)[1]
        bracket = _bracket(x_mm - 3.0, top_mm + 0.6, x_mm - 3.0, bottom_mm - 0.6, self.style)
        return [bracket, *self._words(part, x_mm - 6.0, (top_mm + bottom_mm) / 2, Align.RIGHT)]

    def _below(self, part: Part, left: float, right: float) -> list[Item]:
        left_mm, y_mm = self.at(left, self.shape.sole)
        right_mm = self.at(right, 0)[0]
        bracket = _bracket(left_mm + 0.6, y_mm + 3.0, right_mm - 0.6, y_mm + 3.0, self.style)
        label = part_label(self.plan, part)
        look = self.style.note
        middle_mm = y_mm + 5.0 + look.leading_mm * (len(label.lines) + 1) / 2
        words = (label.name, *label.lines)
        widest_mm = max(text_width_mm(one, Face.BOLD, look.size_pt + 1.5) for one in words)
        if widest_mm > right_mm - left_mm:
            # Too wide for its bracket: it may only reach out to the left.
            return [bracket, *self._words(part, right_mm - 1.6, middle_mm, Align.RIGHT)]
        return [bracket, *self._words(part, left_mm + 0.6, middle_mm, Align.LEFT)]

    def _above_toe(self, part: Part) -> list[Item]:
        x_mm, y_mm = self.at(self.shape.toe_start, self.shape.foot_top)
        return self._words(part, x_mm + 1.0, y_mm - 8.6, Align.LEFT)

    def _words(self, part: Part, x_mm: float, middle_mm: float, align: Align) -> list[Item]:
        """Name and figures, one line each, about a middle height."""
        label = part_label(self.plan, part)
        look = self.style.note
        head = Style(look.size_pt + 1.5, look.leading_pt, Face.BOLD)
        top_mm = middle_mm - look.leading_mm * (len(label.lines) + 1) / 2
        items: list[Item] = list(
            set_line(label.name, x_mm, top_mm + head.baseline_mm, head, align=align)
        )
        for index, words in enumerate(label.lines, start=1):
            y_mm = top_mm + index * look.leading_mm + look.baseline_mm
            items += set_line(words, x_mm, y_mm, look, align=align)
        return items


_TURNS_SHOWN: Final = 8

Stroke = tuple[float, float, float, float]


def _bracket(x1_mm: float, y1_mm: float, x2_mm: float, y2_mm: float, style: PageStyle) -> Path:
    """A measuring line with a short stroke across each end."""
    tick_mm = 1.0
    across_x, across_y = (tick_mm, 0.0) if x1_mm == x2_mm else (0.0, tick_mm)
    return lines(
        [
            (x1_mm, y1_mm, x2_mm, y2_mm),
            (x1_mm - across_x, y1_mm - across_y, x1_mm + across_x, y1_mm + across_y),
            (x2_mm - across_x, y2_mm - across_y, x2_mm + across_x, y2_mm + across_y),
        ],
        stroke_pt=0.6,
        ink=style.ink,
    )
