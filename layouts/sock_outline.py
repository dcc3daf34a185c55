"""The sock from the side, drawn to the counts of the plan: small as a signpost, large on the cover.

Lengths follow the counts: a row is as high and a stitch as wide as the gauge says.  The curves
between them are ours.  The leg lies flat, so it is half a ring wide; the heel is at the left and
the toe points to the right.
"""

from __future__ import annotations

from dataclasses import dataclass

from charts.parts import Part
from charts.plan import Plan
from layouts.block import Block
from layouts.grid import cell_ratio
from layouts.scene import (
    BLACK,
    Close,
    CurveTo,
    Ink,
    Item,
    Join,
    LineTo,
    MoveTo,
    Path,
    Segment,
)


@dataclass(frozen=True, slots=True)
class SockShape:
    """The corners of the drawing, in stitch widths; x to the right, y down from the cuff's edge.

    The back of the leg is at x = 0; the heel stands out behind it by `bulge`.
    """

    width: float
    """Of the leg as it lies flat."""
    cuff_end: float
    heel_start: float
    flap_end: float
    flap_width: float
    sole: float
    turn_length: float
    """How far the turn reaches along the sole."""
    toe_start: float
    toe_end: float
    foot_top: float
    """Top of the foot where the toe begins."""
    bend: float
    """How far up the leg the instep's bend begins."""
    bulge: float

    @property
    def height(self) -> float:
        return self.sole

    @property
    def front(self) -> float:
        """How far the leg reaches to the right, down to where the heel begins."""
        return self.width + self.bend * 0.3

    @property
    def length(self) -> float:
        """From the back of the heel to the tip of the toe."""
        return self.toe_end + self.bulge

    def outline(self) -> tuple[Segment, ...]:
        """Once round: down the front, along the instep, round the toe, back along the sole."""
        return (
            MoveTo(0, 0),
            LineTo(self.width, 0),
            *self._leg_front(),
            *self._instep(),
            *self._toe_cap(),
            *self._heel_cup(),
            *self._heel_back(),
            Close(),
        )

    def region(self, part: Part) -> tuple[Segment, ...]:
        """The closed shape of one part, () if it has none; the closing's is a line."""
        match part:
            case Part.CUFF:
                return _box(self.width, 0, self.cuff_end)
            case Part.LEG:
                if self.heel_start <= self.cuff_end:
                    return ()
                return (
                    MoveTo(0, self.cuff_end),
                    LineTo(self.width, self.cuff_end),
                    *self._leg_front(),
                    LineTo(0, self.heel_start),
                    Close(),
                )
            case Part.FLAP:
                return (
                    MoveTo(0, self.heel_start),
                    LineTo(self.flap_width, self.heel_start),
                    LineTo(self.turn_length, self.flap_end),
                    LineTo(-self.bulge, self.flap_end),
                    *self._heel_back(),
                    Close(),
                )
            case Part.TURN:
                return (
                    MoveTo(-self.bulge, self.flap_end),
                    LineTo(self.turn_length, self.flap_end),
                    LineTo(self.turn_length, self.sole),
                    *self._heel_cup(),
                    Close(),
                )
            case Part.FOOT:
                return (
                    MoveTo(self.flap_width, self.heel_start),
                    LineTo(*self._ankle),
                    *self._instep(),
                    LineTo(self.toe_start, self.sole),
                    LineTo(self.turn_length, self.sole),
                    LineTo(self.turn_length, self.flap_end),
                    Close(),
                )
            case Part.TOE:
                return (MoveTo(self.toe_start, self.foot_top), *self._toe_cap(), Close())
            case Part.CLOSING:
                return self.seam()

    def seam(self) -> tuple[Segment, ...]:
        """Where the toe is closed: the upper half of its edge."""
        middle = (self.foot_top + self.sole) / 2
        return (MoveTo(self.toe_start, self.foot_top), LineTo(self.toe_start, middle))

    @property
    def _ankle(self) -> tuple[float, float]:
        """Where the leg's front edge meets the first row of the foot."""
        return (self.width + self.bend * 0.28, self.heel_start)

    def _leg_front(self) -> tuple[Segment, ...]:
        """From anywhere up the front edge down to the ankle."""
        x, y = self._ankle
        bend = self.bend
        return (
            LineTo(self.width, y - bend),
            CurveTo(self.width, y - bend * 0.5, x - bend * 0.16, y - bend * 0.2, x, y),
        )

    def _instep(self) -> tuple[CurveTo, LineTo]:
        """From the ankle to the top of the toe."""
        x, y = self._ankle
        run = min(self.width * 0.5, (self.toe_start - x) * 0.7)
        knee_x, knee_y = x + run, y + (self.foot_top - y) * 0.7
        slope = (self.foot_top - knee_y) / (self.toe_start - knee_x)
        return (
            CurveTo(
                x + self.bend * 0.24,
                y + self.bend * 0.28,
                knee_x - run * 0.6,
                knee_y - run * 0.6 * slope,
                knee_x,
                knee_y,
            ),
            LineTo(self.toe_start, self.foot_top),
        )

    def instep_at(self, x: float) -> float:
        """How high the instep is there; it falls from the ankle to the toe."""
        start = self._ankle
        curve, line = self._instep()
        points = [start]
        for step in range(1, _STEPS + 1):
            t = step / _STEPS
            shares = ((1 - t) ** 3, 3 * (1 - t) ** 2 * t, 3 * (1 - t) * t**2, t**3)
            corners = (start, curve[:2], curve[2:4], curve[4:])
            across, down = (
                sum(share * corner[axis] for share, corner in zip(shares, corners, strict=True))
                for axis in (0, 1)
            )
            points.append((across, down))
        points.append((line[0], line[1]))
        # That of the point before: the edge is nowhere higher.
        return max((down for across, down in points if across <= x), default=start[1])

    def _toe_cap(self) -> tuple[Segment, ...]:
        """Round the toe, from the top of the foot to the sole."""
        length = self.toe_end - self.toe_start
        middle = self.foot_top + (self.sole - self.foot_top) * 0.55
        return (
            CurveTo(
                self.toe_start + length * 0.62,
                self.foot_top,
                self.toe_end,
                self.foot_top + (middle - self.foot_top) * 0.4,
                self.toe_end,
                middle,
            ),
            CurveTo(
                self.toe_end,
                self.sole - (self.sole - middle) * 0.35,
                self.toe_start + length * 0.72,
                self.sole,
                self.toe_start,
                self.sole,
            ),
        )

    def _heel_cup(self) -> tuple[Segment, ...]:
        """From the sole round the heel to the foot of the flap."""
        reach = min(self.turn_length, self.width * 0.6)
        cup = self.sole - self.flap_end
        return (
            LineTo(reach, self.sole),
            CurveTo(
                reach * 0.3,
                self.sole,
                -self.bulge,
                self.sole - cup * 0.5,
                -self.bulge,
                self.flap_end,
            ),
        )

    def _heel_back(self) -> tuple[Segment, ...]:
        """From the foot of the flap up to where the heel begins."""
        flap = self.flap_end - self.heel_start
        return (
            CurveTo(
                -self.bulge,
                self.flap_end - flap * 0.45,
                0,
                self.heel_start + flap * 0.35,
                0,
                self.heel_start,
            ),
        )


_STEPS = 24
"""In which the edge of the instep is followed."""


def sock_shape(plan: Plan) -> SockShape:
    """The corners by the plan's counts; a part too long or short to draw is held to a limit."""
    row = 1 / cell_ratio(plan.spec.gauge)
    width = plan.loom.pegs / 2
    cuff = _held(plan.spec.cuff.rows * row, width * 0.25, width * 2.2)
    leg = _held(plan.spec.leg.rows * row, 0.0, width * 3.0)
    flap = _held(plan.flap_rows * row, width * 0.4, width * 1.2)
    turn = _held(plan.turn_rows * row, width * 0.4, width * 0.8)
    foot = _held(plan.spec.foot.rows * row, width * 1.1, width * 4.0)
    toe = _held(2 * plan.toe_side * row, width * 0.35, width * 0.8)
    cup = _held(plan.centre_pegs / 2, width * 0.28, width * 0.4)
    heel_start = cuff + leg
    sole = heel_start + max(flap + cup, width * 0.96)
    return SockShape(
        width=width,
        cuff_end=cuff,
        heel_start=heel_start,
        flap_end=sole - cup,
        flap_width=min(plan.heel_pegs / 2, width * 0.75),
        sole=sole,
        turn_length=turn,
        toe_start=turn + foot,
        toe_end=turn + foot + toe,
        foot_top=max(heel_start + width * 0.14, sole - width * 0.92),
        bend=min(width * 0.42, heel_start * 0.7),
        bulge=width * 0.05,
    )


def _held(length: float, least: float, most: float) -> float:
    return min(max(length, least), most)


def sock_signpost(
    plan: Plan,
    part: Part | None,
    *,
    width_mm: float,
    height_mm: float,
    ink: Ink = BLACK,
    fill: Ink | None = None,
) -> Block:
    """The outline with one part filled in, as large as the room allows, at its top left.

    A part filled with another ink has an edge of its own.
    """
    shape = sock_shape(plan)
    line_mm = 0.35
    scale = min((width_mm - line_mm) / shape.length, (height_mm - line_mm) / shape.height)
    items: list[Item] = []

    def place(segments: tuple[Segment, ...]) -> tuple[Segment, ...]:
        return scaled(segments, scale, line_mm / 2 + shape.bulge * scale, line_mm / 2)

    if part is Part.CLOSING:
        items.append(Path(place(shape.seam()), 3.0, ink))
    elif part is not None and shape.region(part):
        edge = None if fill is None else ink
        items.append(Path(place(shape.region(part)), 0.8, edge, fill or ink, join=Join.ROUND))
    items.append(Path(place(shape.outline()), 0.8, ink, join=Join.ROUND))
    return Block(tuple(items), shape.length * scale + line_mm, shape.height * scale + line_mm)


def scaled(
    segments: tuple[Segment, ...], scale: float, x_mm: float, y_mm: float
) -> tuple[Segment, ...]:
    """Segments in stitch widths as segments in mm; the origin goes to `x_mm`, `y_mm`."""
    found: list[Segment] = []
    for segment in segments:
        numbers = [
            value * scale + (y_mm if index % 2 else x_mm) for index, value in enumerate(segment)
        ]
        found.append(type(segment)(*numbers))
    return tuple(found)


def _box(right: float, top: float, bottom: float) -> tuple[Segment, ...]:
    return (
        MoveTo(0, top),
        LineTo(right, top),
        LineTo(right, bottom),
        LineTo(0, bottom),
        Close(),
    )
