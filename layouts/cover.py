"""The cover: title, designer, and the sock drawn to its counts with every part named and measured.

Parts carry the numbers that their pages carry on the outer edge.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Final

from charts.finished import finished_measures
from charts.gauge_of import gauge_of
from charts.hands import edition_words
from charts.loom import Loom
from charts.parts import Part, parts_of
from charts.plan import Plan
from charts.verify import Knit
from layouts.block import Block, DoesNotFitError
from layouts.blocks import figure
from layouts.faces import Face, metrics
from layouts.imprint import NO_IMPRINT, Imprint, cover_foot
from layouts.measures import length_words
from layouts.paper import MM_PER_PT
from layouts.scene import (
    BLACK,
    WHITE,
    Align,
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
from layouts.text import (
    RichText,
    Run,
    Style,
    bold,
    break_lines,
    set_line,
    set_lines,
    set_paragraph,
)
from layouts.zone_inks import tinted

_TITLE_SHARES: Final = (2.0, 1.7, 1.4, 1.2)
"""Sizes of the cover's title in those of other pages."""
LEAST_DRAWING_MM: Final = 45.0
"""Height of a drawing of the sock that is still of use, on an A5 page."""


def cover(
    knit: Knit,
    *,
    width_mm: float,
    height_mm: float,
    style: PageStyle,
    imprint: Imprint = NO_IMPRINT,
) -> Block:
    """The whole cover inside the margins; the sock has the numbers of its parts alone where words
    leave its labels no room, and is left out where they leave it none."""
    spec = knit.plan.spec
    items: list[Item] = []
    items.append(rect(0.0, 0.0, 22.0, 2.0, stroke=None, fill=style.accent))
    title_style = replace(cover_title_style(spec.title, width_mm, style), ink=style.accent)
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
    placed = set_paragraph(sock_words(spec.loom), 0.0, y_mm, width_mm, look)
    items.append(placed.group)
    hand = hand_line(spec.loom)
    if hand:
        placed = set_paragraph(hand, 0.0, placed.next_mm, width_mm, look)
        items.append(placed.group)
    foot = cover_foot(spec, imprint, width_mm=width_mm, look=look, style=style)
    foot_mm = height_mm - foot.height_mm
    finished = finished_words(knit)
    if finished:
        note = Style(style.step.size_pt, style.step.leading_pt)
        placed = set_paragraph(finished, 0.0, placed.next_mm, width_mm, note)
        items.append(placed.group)
    room_mm = foot_mm - 8.0 - (placed.next_mm + 6.0)
    for drawn in (measured_sock, numbered_sock):
        with suppress(DoesNotFitError):
            drawing = drawn(knit, width_mm=width_mm, height_mm=room_mm, style=style)
            items.append(drawing.placed(0.0, foot_mm - 8.0 - drawing.height_mm))
            break
    items.append(foot.placed(0.0, foot_mm))
    return Block(tuple(items), width_mm, height_mm)


def sock_words(loom: Loom) -> str:
    """What is knitted on what."""
    return f"A sock for a round loom of {loom.pegs} pegs, {loom.spacing_text} apart"


def for_hand_words(kind: str, *looms: Loom) -> str:
    """The same, and for which hand it is, for the catalogue of a library."""
    return "; ".join(filter(None, (kind, edition_words(*looms))))


def hand_line(*looms: Loom) -> RichText:
    """For which hand the pages are; empty for the usual one."""
    words = edition_words(*looms)
    if not words:
        return ""
    return (bold(words.capitalize()), Run(f", worked from {looms[0].working.value}"))


LEAST_LENGTH_MM: Final = 30.0
"""Length of the sock in it: room for the numbers of its parts."""


def finished_words(knit: Knit) -> str:
    """Length of the foot and round of the finished sock; empty without a gauge."""
    gauge = gauge_of(knit.plan.spec)
    if gauge is None:
        return ""
    sizes, units = finished_measures(knit, gauge), knit.plan.spec.units
    about = "about " if gauge.source.is_estimate else ""
    return (
        f"Finished: foot {about}{length_words(sizes.length.mm, units)} long, "
        f"{length_words(sizes.round.mm, units)} round"
    )


def cover_title_style(title: str, width_mm: float, page_style: PageStyle) -> Style:
    """The largest size that sets the title in two lines, or the smallest there is."""
    for share in _TITLE_SHARES:
        size_pt = share * page_style.title.size_pt
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
    facts: tuple[tuple[str, ...], ...]
    """Each a count and, if it is known, a length."""

    @property
    def joined(self) -> tuple[str, ...]:
        """A line for each fact."""
        return tuple(", ".join(fact) for fact in self.facts)

    @property
    def short(self) -> PartLabel:
        """The counts without their lengths."""
        return PartLabel(self.name, tuple(fact[:1] for fact in self.facts))

    @property
    def split(self) -> tuple[str, ...]:
        """More and shorter lines: each length in one of its own."""
        return tuple(words for fact in self.facts for words in fact)


def part_label(plan: Plan, part: Part) -> PartLabel:
    """Name, rows and pegs of a part, with lengths where the pattern has a gauge."""
    spec = plan.spec
    match part:
        case Part.CUFF:
            return PartLabel("Cuff", (_rows(plan, spec.cuff.rows), _round(plan)))
        case Part.LEG:
            return PartLabel("Leg", (_rows(plan, spec.leg.rows),))
        case Part.FLAP:
            facts = ((f"{plan.flap_rows} rows",), (f"{plan.heel_pegs} pegs",))
            return PartLabel("Heel flap", facts)
        case Part.TURN:
            facts = ((f"{plan.turn_rows} rows",), (f"{plan.centre_pegs} pegs",))
            return PartLabel("Heel turn", facts)
        case Part.FOOT:
            return PartLabel("Gusset and foot", (_rows(plan, spec.foot.rows),))
        case Part.TOE:
            facts = ((f"{4 * plan.toe_side} short rows",), (f"{plan.toe_pegs} pegs",))
            return PartLabel("Toe", facts)
        case Part.CLOSING:
            return PartLabel("Closing", ((f"{plan.toe_pegs} pairs",),))


def _rows(plan: Plan, count: int) -> tuple[str, ...]:
    words = "1 row" if count == 1 else f"{count} rows"
    gauge = plan.spec.gauge
    if gauge is None:
        return (words,)
    return (words, length_words(count / gauge.rows_per_10cm * 100, plan.spec.units))


def _round(plan: Plan) -> tuple[str, ...]:
    words = f"{plan.loom.pegs} pegs round"
    gauge = plan.spec.gauge
    if gauge is None:
        return (words,)
    around_mm = plan.loom.pegs / gauge.stitches_per_10cm * 100
    return (words, length_words(around_mm, plan.spec.units))


_HEEL_ROOM_MM: Final = 26.0
"""Left of the heel, for its label."""
_SOLE_ROOM_MM: Final = 17.0
"""Below the sole, for its brackets and labels."""


_FRONT_GAP_MM: Final = 6.0
"""From the leg's front, past its brackets, to its labels."""


def measured_sock(
    knit: Knit,
    *,
    width_mm: float,
    height_mm: float,
    style: PageStyle,
    labels: Mapping[Part, PartLabel] | None = None,
) -> Block:
    """The sock as large as the room allows, its parts numbered, named and measured.

    `labels` say otherwise than the sock's own counts what is written beside its parts.  Raises
    DoesNotFitError where the parts would be too small for their numbers.
    """
    growth = style.growth
    if height_mm < LEAST_DRAWING_MM * growth:
        raise DoesNotFitError("a drawing of the sock needs more height")
    drawn = _measured(knit, width_mm / growth, height_mm / growth, style.drawn, labels)
    return drawn.grown(growth)


def numbered_sock(knit: Knit, *, width_mm: float, height_mm: float, style: PageStyle) -> Block:
    """The sock as large as the room allows, its parts numbered only.

    Raises DoesNotFitError where the parts would be too small for their numbers.
    """
    growth, shape = style.growth, sock_shape(knit.plan)
    wide_mm, high_mm = width_mm / growth - 1.0, height_mm / growth - 1.0
    scale = min(wide_mm / shape.length, high_mm / shape.height)
    if shape.length * scale < LEAST_LENGTH_MM:
        raise DoesNotFitError("a drawing of the sock needs more room")
    drawing = _Drawing(
        knit.plan, shape, scale, 0.5 + shape.bulge * scale, 0.5, style.drawn, {}, wide_mm
    )
    parts = parts_of(knit)
    words = ", ".join(f"{number} {part.title.lower()}" for number, part in enumerate(parts, 1))
    block = Block(tuple(drawing.outline(parts)), wide_mm, shape.height * scale + 1.0)
    return figure(block, f"The sock from the side, its parts numbered: {words}.").grown(growth)


def _measured(
    knit: Knit,
    width_mm: float,
    height_mm: float,
    style: PageStyle,
    labels: Mapping[Part, PartLabel] | None,
) -> Block:
    """The sock with all labels; with shorter ones, or names alone, where they would leave it much
    less room."""
    parts = parts_of(knit)
    whole = labels or {part: part_label(knit.plan, part) for part in parts}
    short = {part: label.short for part, label in whole.items()}
    names = {part: PartLabel(label.name, ()) for part, label in whole.items()}
    for shown in (whole, short, names):
        wanted = _drawing(knit.plan, parts, width_mm, height_mm, style, shown)
        drawing, room_mm = wanted, height_mm
        # Labels that reach above the cuff take their room from the sock.
        while drawing.high_mm > height_mm + _ROUNDING_MM and room_mm > LEAST_DRAWING_MM / 2:
            room_mm -= drawing.high_mm - height_mm
            drawing = _drawing(knit.plan, parts, width_mm, room_mm, style, shown)
        fits = drawing.high_mm <= height_mm + _ROUNDING_MM
        if fits and drawing.scale >= _LEAST_SHARE * wanted.scale:
            break
    if not fits or drawing.shape.length * drawing.scale < LEAST_LENGTH_MM:
        raise DoesNotFitError("a drawing of the sock needs more room")
    return _drawn(drawing, parts, width_mm)


_LEAST_SHARE: Final = 0.8
"""Of the size that a sock would have if its labels needed no more height than itself."""
_ROUNDING_MM: Final = 0.01


def _drawing(
    plan: Plan,
    parts: Sequence[Part],
    width_mm: float,
    height_mm: float,
    style: PageStyle,
    labels: Mapping[Part, PartLabel],
) -> _Drawing:
    """The sock as large as fits, but for labels that reach above it."""
    shape = sock_shape(plan)
    front = [labels[part] for part in parts if part in (Part.CUFF, Part.LEG)]
    front_mm = max(_lines_width_mm(label.name, label.split, style) for label in front)
    scale = min(
        (width_mm - _HEEL_ROOM_MM - 1.0) / shape.length,
        (width_mm - _HEEL_ROOM_MM - _FRONT_GAP_MM - front_mm) / shape.front,
        (height_mm - _SOLE_ROOM_MM - 1.0) / shape.height,
    )
    top_mm = 0.5
    x_mm = _HEEL_ROOM_MM + shape.bulge * scale
    drawing = _Drawing(plan, shape, scale, x_mm, top_mm, style, labels, width_mm)
    # Labels of a very short leg reach above the cuff.
    top_mm += max(0.0, -min(place.top_mm for place in drawing.front_places(parts, width_mm)))
    return replace(drawing, y_mm=top_mm)


def _drawn(drawing: _Drawing, parts: Sequence[Part], width_mm: float) -> Block:
    labels = drawing.labels
    items: list[Item] = drawing.outline(parts)
    for place in drawing.front_places(parts, width_mm):
        items += drawing.front_label(place)
    for part in parts:
        items += drawing.label(part)
    items += drawing.sole_labels()
    words = "; ".join(
        ": ".join(filter(None, (labels[part].name.lower(), ", ".join(labels[part].joined))))
        for part in parts
    )
    block = Block(tuple(items), width_mm, drawing.high_mm)
    return figure(block, f"The sock from the side. {words}.")


def _head_style(style: PageStyle) -> Style:
    return Style(style.note.size_pt + 1.5, style.note.leading_pt, Face.BOLD)


def _lines_width_mm(name: str, lines_: Sequence[str], style: PageStyle) -> float:
    note, head = style.note, _head_style(style)
    return max(
        [
            text_width_mm(name, head.face, head.size_pt),
            *(text_width_mm(words, note.face, note.size_pt) for words in lines_),
        ]
    )


@dataclass(frozen=True, slots=True)
class _FrontPlace:
    """Where the label of a part of the leg stands, and what it measures."""

    part: Part
    name: str
    lines: tuple[str, ...]
    top_mm: float
    from_mm: float
    to_mm: float


@dataclass(frozen=True, slots=True)
class _Drawing:
    """The shape on paper; everything in it is given in stitch widths."""

    plan: Plan
    shape: SockShape
    scale: float
    x_mm: float
    y_mm: float
    style: PageStyle
    labels: Mapping[Part, PartLabel]
    width_mm: float
    """Of the page; no label reaches beyond it."""

    @property
    def high_mm(self) -> float:
        """With the labels below the sole."""
        return self.y_mm + self.shape.height * self.scale + _SOLE_ROOM_MM

    def place(self, segments: tuple[Segment, ...]) -> tuple[Segment, ...]:
        return scaled(segments, self.scale, self.x_mm, self.y_mm)

    def at(self, x: float, y: float) -> tuple[float, float]:
        return (self.x_mm + x * self.scale, self.y_mm + y * self.scale)

    def stroke(self, x1: float, y1: float, x2: float, y2: float) -> Stroke:
        return (*self.at(x1, y1), *self.at(x2, y2))

    def outline(self, parts: Sequence[Part]) -> list[Item]:
        """The sock with its parts and their numbers."""
        return [
            *self.grounds(parts),
            *self.texture(),
            *(self.border(part) for part in parts),
            Path(self.place(self.shape.outline()), 1.6, self.style.ink, join=Join.ROUND),
            *(item for number, part in enumerate(parts, 1) for item in self.number(part, number)),
        ]

    def grounds(self, parts: Sequence[Part]) -> list[Item]:
        """The colours of the parts, where they have any."""
        inks = {part: self.style.part_ink(part) for part in parts}
        return [
            Path(self.place(self.shape.region(part)), stroke=None, fill=tinted(ink))
            for part, ink in inks.items()
            if ink is not None and self.shape.region(part)
        ]

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

    def front_places(self, parts: Sequence[Part], width_mm: float) -> list[_FrontPlace]:
        """Labels of cuff and leg at the middle of what they measure, moved apart if they must be,
        and clear of what stands below them."""
        spans = {
            Part.CUFF: (0.0, self.shape.cuff_end),
            Part.LEG: (self.shape.cuff_end, self.shape.heel_start),
        }
        left_mm = self.at(self.shape.front, 0.0)[0] + _FRONT_GAP_MM
        places: list[_FrontPlace] = []
        free_mm = float("-inf")
        for part in (part for part in parts if part in spans):
            label = self.labels[part]
            words = label.joined
            if left_mm + _lines_width_mm(label.name, words, self.style) > width_mm:
                words = label.split
            from_mm, to_mm = (self.at(0.0, y)[1] for y in spans[part])
            high_mm = self.style.note.leading_mm * (len(words) + 1)
            top_mm = max(free_mm, (from_mm + to_mm - high_mm) / 2)
            free_mm = top_mm + high_mm + 1.0
            places.append(_FrontPlace(part, label.name, words, top_mm, from_mm, to_mm))
        right_mm = left_mm + max(
            _lines_width_mm(place.name, place.lines, self.style) for place in places
        )
        seam_mm, foot_mm = self.at(self.shape.toe_start, self.shape.foot_top)
        limit_mm = foot_mm - (_CLOSING_ROOM_MM if right_mm > seam_mm - 1.0 else 3.0)
        edge = self.shape.instep_at((left_mm - self.x_mm) / self.scale)
        limit_mm = min(limit_mm, self.at(0.0, edge)[1] - 2.0)
        up_mm = max(0.0, free_mm - limit_mm)
        return [replace(place, top_mm=place.top_mm - up_mm) for place in places]

    def front_label(self, place: _FrontPlace) -> list[Item]:
        """The bracket along a part of the leg, and its name and figures."""
        x_mm = self.at(self.shape.front, 0.0)[0]
        bracket = _bracket(
            x_mm + 3.0, place.from_mm + 0.6, x_mm + 3.0, place.to_mm - 0.6, self.style
        )
        words = self._lines(place.name, place.lines, x_mm + _FRONT_GAP_MM, place.top_mm, Align.LEFT)
        return [bracket, *words]

    def label(self, part: Part) -> list[Item]:
        """The label of the heel flap, at the left, or of the closing, above the toe."""
        shape = self.shape
        match part:
            case Part.FLAP:
                return self._left_of_heel(part, shape.heel_start, shape.flap_end)
            case Part.CLOSING:
                return self._above_toe(part)
            case _:
                return []

    def _left_of_heel(self, part: Part, top: float, bottom: float) -> list[Item]:
        x_mm, top_mm = self.at(-self.shape.bulge, top)
        bottom_mm = self.at(0, bottom)[1]
        bracket = _bracket(x_mm - 3.0, top_mm + 0.6, x_mm - 3.0, bottom_mm - 0.6, self.style)
        label = self.labels[part]
        high_mm = self.style.note.leading_mm * (len(label.split) + 1)
        words_mm = (top_mm + bottom_mm - high_mm) / 2
        words = self._lines(label.name, label.split, x_mm - 6.0, words_mm, Align.RIGHT)
        return [bracket, *words]

    def sole_labels(self) -> list[Item]:
        """Brackets below the sole; labels start with their brackets, and move to the left where
        they would run into the next one or past the toe."""
        shape = self.shape
        ends = (
            (Part.TURN, 0.0, shape.turn_length),
            (Part.FOOT, shape.turn_length, shape.toe_start),
            (Part.TOE, shape.toe_start, shape.toe_end),
        )
        items: list[Item] = []
        y_mm = self.at(0.0, shape.sole)[1]
        free_mm = self.at(shape.toe_end, 0.0)[0]
        for part, left, right in reversed(ends):
            left_mm, right_mm = self.at(left, 0.0)[0] + 0.6, self.at(right, 0.0)[0] - 0.6
            label = self.labels[part]
            wide_mm = _lines_width_mm(label.name, label.split, self.style)
            x_mm = min(left_mm, free_mm - wide_mm)
            free_mm = x_mm - _BESIDE_MM
            items.append(_bracket(left_mm, y_mm + 3.0, right_mm, y_mm + 3.0, self.style))
            items += self._lines(label.name, label.split, x_mm, y_mm + 5.0, Align.LEFT)
        return items

    def _above_toe(self, part: Part) -> list[Item]:
        x_mm, y_mm = self.at(self.shape.toe_start, self.shape.foot_top)
        label = self.labels[part]
        top_mm = y_mm - _CLOSING_ROOM_MM
        wide_mm = _lines_width_mm(label.name, label.split, self.style)
        left_mm = min(x_mm + 1.0, self.width_mm - wide_mm)
        return self._lines(label.name, label.split, left_mm, top_mm, Align.LEFT)

    def _lines(
        self, name: str, lines_: Sequence[str], x_mm: float, top_mm: float, align: Align
    ) -> list[Item]:
        """Name and figures, one line each."""
        look, head = self.style.note, _head_style(self.style)
        items: list[Item] = [*set_line(name, x_mm, top_mm + head.baseline_mm, head, align=align)]
        for index, words in enumerate(lines_, start=1):
            y_mm = top_mm + index * look.leading_mm + look.baseline_mm
            items += set_line(words, x_mm, y_mm, look, align=align)
        return items


_BESIDE_MM: Final = 3.0
"""Between two labels on one line."""
_CLOSING_ROOM_MM: Final = 12.6
"""Above the foot, for the label of the closing."""
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
