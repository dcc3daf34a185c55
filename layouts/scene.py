"""A finished page as data: a size and items at fixed points, from a short closed list of kinds.

Lengths in mm, origin at the top left corner, y down.  Nothing here knows a file format or a sock.
The order of the items is the order they are painted in and read aloud in.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from typing import Final, NamedTuple, assert_never

from layouts.faces import Face, advance, metrics, shown
from layouts.paper import MM_PER_PT, NO_MARGINS, Margins


@dataclass(frozen=True, slots=True)
class Ink:
    """A colour by its red, green and blue parts, 0 to 1; equal parts print with black ink only."""

    red: float
    green: float
    blue: float

    @staticmethod
    def grey(level: float) -> Ink:
        """A grey: 0 is black, 1 is white."""
        return Ink(level, level, level)

    @staticmethod
    def from_hex(text: str) -> Ink:
        """The ink of "#0072B2".  Raises ValueError if `text` is not # and six hex digits."""
        digits = text.removeprefix("#")
        if len(digits) != 6 or text == digits:
            raise ValueError(f"colour {text!r}; allowed: # and six hex digits, e.g. #0072B2")
        try:
            red, green, blue = (byte / 255 for byte in bytes.fromhex(digits))
        except ValueError:
            raise ValueError(
                f"colour {text!r}; allowed: # and six hex digits, e.g. #0072B2"
            ) from None
        return Ink(red, green, blue)

    @property
    def hex(self) -> str:
        """As `from_hex` reads it, to the nearest of 256 steps a part."""
        return "#" + "".join(
            f"{round(part * 255):02x}" for part in (self.red, self.green, self.blue)
        )

    @property
    def is_grey(self) -> bool:
        """Whether black ink alone can print it."""
        return self.red == self.green == self.blue


BLACK: Final = Ink.grey(0.0)
GREY_60: Final = Ink.grey(0.4)
"""60 % black: the lightest ink that may carry meaning."""
TINT_15: Final = Ink.grey(0.85)
"""15 % black: decoration only."""
WHITE: Final = Ink.grey(1.0)

MEANING_INKS: Final = (BLACK, GREY_60)
"""The inks that text and signs may be printed with on white."""


class Role(Enum):
    """What a piece of the page is to a reader who hears it; values are the structure types of
    ISO 32000-1:2008, 14.8.4."""

    SECTION = "Sect"
    H1 = "H1"
    H2 = "H2"
    H3 = "H3"
    P = "P"
    LIST = "L"
    LI = "LI"
    LABEL = "Lbl"
    """The number or box of a list item."""
    BODY = "LBody"
    """The text of a list item."""
    TABLE = "Table"
    TR = "TR"
    TH = "TH"
    TD = "TD"
    FIGURE = "Figure"
    CAPTION = "Caption"
    NOTE = "Note"
    LINK = "Link"
    SPAN = "Span"
    ARTIFACT = "Artifact"
    """Not read aloud: page numbers, thumb marks, rules, grids."""


class Align(Enum):
    """Where a text stands to its point, or lines to their column."""

    LEFT = "left"
    CENTRE = "centre"
    RIGHT = "right"


class Cap(Enum):
    """The end of a stroke; values as in PDF."""

    BUTT = 0
    ROUND = 1
    SQUARE = 2


class Join(Enum):
    """The corner of a stroke; values as in PDF."""

    MITRE = 0
    ROUND = 1
    BEVEL = 2


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle in mm."""

    left_mm: float
    top_mm: float
    right_mm: float
    bottom_mm: float

    @property
    def width_mm(self) -> float:
        return self.right_mm - self.left_mm

    @property
    def height_mm(self) -> float:
        return self.bottom_mm - self.top_mm

    def union(self, other: Box) -> Box:
        """The smallest box round both."""
        return Box(
            min(self.left_mm, other.left_mm),
            min(self.top_mm, other.top_mm),
            max(self.right_mm, other.right_mm),
            max(self.bottom_mm, other.bottom_mm),
        )

    def moved(self, dx_mm: float, dy_mm: float) -> Box:
        return Box(
            self.left_mm + dx_mm, self.top_mm + dy_mm, self.right_mm + dx_mm, self.bottom_mm + dy_mm
        )

    def grown(self, by_mm: float) -> Box:
        """The box with `by_mm` more on every side; less if negative."""
        return Box(
            self.left_mm - by_mm, self.top_mm - by_mm, self.right_mm + by_mm, self.bottom_mm + by_mm
        )

    def holds(self, other: Box, tolerance_mm: float = 0.01) -> bool:
        """Whether `other` lies wholly inside."""
        room = self.grown(tolerance_mm)
        return (
            room.left_mm <= other.left_mm
            and room.top_mm <= other.top_mm
            and other.right_mm <= room.right_mm
            and other.bottom_mm <= room.bottom_mm
        )

    def meets(self, other: Box, tolerance_mm: float = 0.01) -> bool:
        """Whether the two share more than `tolerance_mm` both ways."""
        return (
            min(self.right_mm, other.right_mm) - max(self.left_mm, other.left_mm) > tolerance_mm
            and min(self.bottom_mm, other.bottom_mm) - max(self.top_mm, other.top_mm) > tolerance_mm
        )


class MoveTo(NamedTuple):
    """Start a new stroke here."""

    x_mm: float
    y_mm: float


class LineTo(NamedTuple):
    """Straight on to here."""

    x_mm: float
    y_mm: float


class CurveTo(NamedTuple):
    """A cubic Bézier curve by its two control points and its end."""

    x1_mm: float
    y1_mm: float
    x2_mm: float
    y2_mm: float
    x_mm: float
    y_mm: float


class Close(NamedTuple):
    """Back to the start of this stroke."""


Segment = MoveTo | LineTo | CurveTo | Close


@dataclass(frozen=True, slots=True)
class Text:
    """One line of one face and size."""

    x_mm: float
    y_mm: float
    """The base line; in SYMBOLS the foot of the cells."""
    text: str
    face: Face = Face.REGULAR
    size_pt: float = 9.5
    ink: Ink = BLACK
    align: Align = Align.LEFT
    spacing_mm: float = 0.0
    """Extra room after each character."""
    role: Role | None = None


@dataclass(frozen=True, slots=True)
class Path:
    """Strokes and areas of one ink."""

    segments: tuple[Segment, ...]
    stroke_pt: float = 0.5
    stroke: Ink | None = BLACK
    fill: Ink | None = None
    """Filled by the non-zero winding rule."""
    dash_mm: tuple[float, ...] = ()
    cap: Cap = Cap.BUTT
    join: Join = Join.MITRE
    role: Role | None = None


@dataclass(frozen=True, slots=True)
class Dots:
    """A picture as it is printed, without any surroundings: opaque, 8 bits a part."""

    columns: int
    rows: int
    data: bytes
    """Rows from the top, dots from the left; a byte a dot for greys, else red, green and blue."""

    def __post_init__(self) -> None:
        """Raises ValueError if the bytes are not those of so many dots."""
        count = self.columns * self.rows
        if self.columns < 1 or self.rows < 1 or len(self.data) not in (count, 3 * count):
            raise ValueError(
                f"{len(self.data)} bytes are no picture of {self.columns} x {self.rows} dots"
            )

    @property
    def is_grey(self) -> bool:
        """Whether black ink alone can print it."""
        return len(self.data) == self.columns * self.rows


@dataclass(frozen=True, slots=True)
class Picture:
    """Dots stretched over an upright rectangle."""

    x_mm: float
    y_mm: float
    """The top left corner."""
    width_mm: float
    height_mm: float
    dots: Dots
    alt: str = ""
    """What a reader hears in its place."""
    role: Role | None = Role.FIGURE


@dataclass(frozen=True, slots=True)
class Group:
    """Items that belong together and move together."""

    items: tuple[Item, ...]
    dx_mm: float = 0.0
    dy_mm: float = 0.0
    quarter_turns: int = 0
    """Clockwise about the group's own origin, before it is moved by `dx_mm`, `dy_mm`."""
    role: Role | None = None
    alt: str = ""
    """What a reader hears in place of the drawing."""
    title: str = ""
    attrs: tuple[tuple[str, str], ...] = ()
    """Facts for a reading program, e.g. ("row", "12"); names of lower-case letters and hyphens."""

    def outer(self, box: Box) -> Box:
        """A box of the group as it stands where the group does."""
        for _ in range(self.quarter_turns % 4):
            box = Box(-box.bottom_mm, box.left_mm, -box.top_mm, box.right_mm)
        return box.moved(self.dx_mm, self.dy_mm)


@dataclass(frozen=True, slots=True)
class Anchor:
    """A point that links and the outline lead to; its name is unique in the document."""

    name: str
    y_mm: float = 0.0
    x_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Link:
    """An area that leads to another place of the same document."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    target: str | int
    """The name of an anchor, or a page number from 1."""
    alt: str = ""


Item = Text | Path | Picture | Group | Anchor | Link


@dataclass(frozen=True, slots=True)
class OutlineEntry:
    """A line of the outline that a viewer shows beside the pages."""

    level: int
    """1 for the top."""
    title: str
    y_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Page:
    """One side of paper, finished."""

    width_mm: float
    height_mm: float
    items: tuple[Item, ...]
    label: str = ""
    """The page number as printed, e.g. "iv"; "" to count on from 1."""
    safe: Margins = NO_MARGINS
    """Strips that no ink may enter."""
    outline: tuple[OutlineEntry, ...] = ()

    @property
    def safe_box(self) -> Box:
        """Where ink may be."""
        return Box(
            self.safe.left_mm,
            self.safe.top_mm,
            self.width_mm - self.safe.right_mm,
            self.height_mm - self.safe.bottom_mm,
        )


@dataclass(frozen=True, slots=True)
class Document:
    """Pages and what a library or a screen reader wants to know about them."""

    pages: tuple[Page, ...]
    title: str
    author: str = ""
    subject: str = ""
    keywords: tuple[str, ...] = ()
    language: str = "en-GB"
    rights: str = ""
    """Copyright and licence."""


# --- Shapes ----------------------------------------------------------------------------------


def line(
    x1_mm: float,
    y1_mm: float,
    x2_mm: float,
    y2_mm: float,
    *,
    stroke_pt: float = 0.5,
    ink: Ink = BLACK,
    dash_mm: tuple[float, ...] = (),
    cap: Cap = Cap.BUTT,
) -> Path:
    """A straight stroke."""
    return Path(
        (MoveTo(x1_mm, y1_mm), LineTo(x2_mm, y2_mm)), stroke_pt, ink, dash_mm=dash_mm, cap=cap
    )


def lines(
    ends: Iterable[tuple[float, float, float, float]],
    *,
    stroke_pt: float = 0.5,
    ink: Ink = BLACK,
    dash_mm: tuple[float, ...] = (),
    cap: Cap = Cap.BUTT,
) -> Path:
    """Many straight strokes `(x1_mm, y1_mm, x2_mm, y2_mm)` as one path: a grid is one item."""
    segments: list[Segment] = []
    for x1_mm, y1_mm, x2_mm, y2_mm in ends:
        segments += (MoveTo(x1_mm, y1_mm), LineTo(x2_mm, y2_mm))
    return Path(tuple(segments), stroke_pt, ink, dash_mm=dash_mm, cap=cap)


def polyline(
    points: Sequence[tuple[float, float]],
    *,
    stroke_pt: float = 0.5,
    ink: Ink = BLACK,
    dash_mm: tuple[float, ...] = (),
    cap: Cap = Cap.BUTT,
    join: Join = Join.MITRE,
) -> Path:
    """An open stroke through the points."""
    return Path(_through(points), stroke_pt, ink, None, dash_mm, cap, join)


def polygon(
    points: Sequence[tuple[float, float]],
    *,
    stroke_pt: float = 0.5,
    stroke: Ink | None = BLACK,
    fill: Ink | None = None,
    dash_mm: tuple[float, ...] = (),
    join: Join = Join.MITRE,
) -> Path:
    """A closed shape through the points."""
    return Path((*_through(points), Close()), stroke_pt, stroke, fill, dash_mm, join=join)


def rect(
    x_mm: float,
    y_mm: float,
    width_mm: float,
    height_mm: float,
    *,
    radius_mm: float = 0.0,
    stroke_pt: float = 0.5,
    stroke: Ink | None = BLACK,
    fill: Ink | None = None,
    dash_mm: tuple[float, ...] = (),
) -> Path:
    """An upright rectangle from its top left corner; its corners rounded by `radius_mm`."""
    right_mm, bottom_mm = x_mm + width_mm, y_mm + height_mm
    if radius_mm <= 0:
        corners = ((x_mm, y_mm), (right_mm, y_mm), (right_mm, bottom_mm), (x_mm, bottom_mm))
        return polygon(corners, stroke_pt=stroke_pt, stroke=stroke, fill=fill, dash_mm=dash_mm)
    radius_mm = min(radius_mm, width_mm / 2, height_mm / 2)
    segments: list[Segment] = []
    for centre_x, centre_y, start in (
        (right_mm - radius_mm, y_mm + radius_mm, 0.0),
        (right_mm - radius_mm, bottom_mm - radius_mm, 90.0),
        (x_mm + radius_mm, bottom_mm - radius_mm, 180.0),
        (x_mm + radius_mm, y_mm + radius_mm, 270.0),
    ):
        first, *curves = arc_segments(centre_x, centre_y, radius_mm, start, start + 90)
        segments += (LineTo(*first) if segments else first, *curves)
    return Path((*segments, Close()), stroke_pt, stroke, fill, dash_mm)


def circle(
    x_mm: float,
    y_mm: float,
    radius_mm: float,
    *,
    stroke_pt: float = 0.5,
    stroke: Ink | None = BLACK,
    fill: Ink | None = None,
    dash_mm: tuple[float, ...] = (),
) -> Path:
    """A circle about its centre."""
    segments = arc_segments(x_mm, y_mm, radius_mm, 0, 360)
    return Path((*segments, Close()), stroke_pt, stroke, fill, dash_mm)


def arc(
    x_mm: float,
    y_mm: float,
    radius_mm: float,
    start_degrees: float,
    end_degrees: float,
    *,
    stroke_pt: float = 0.5,
    ink: Ink = BLACK,
    dash_mm: tuple[float, ...] = (),
    cap: Cap = Cap.BUTT,
) -> Path:
    """An open arc; degrees clockwise from twelve o'clock, as on a clock face."""
    segments = arc_segments(x_mm, y_mm, radius_mm, start_degrees, end_degrees)
    return Path(segments, stroke_pt, ink, dash_mm=dash_mm, cap=cap)


def arc_segments(
    x_mm: float, y_mm: float, radius_mm: float, start_degrees: float, end_degrees: float
) -> tuple[Segment, ...]:
    """A MoveTo and the curves of an arc; degrees clockwise from twelve o'clock.

    Each curve spans a quarter turn at most, so it strays from the circle by under 0.03 % of the
    radius (the usual cubic with control arms of 4/3 tan(angle/4)).
    """
    count = max(1, math.ceil(abs(end_degrees - start_degrees) / 90 - 1e-9))
    step = math.radians(end_degrees - start_degrees) / count
    arm_mm = radius_mm * 4 / 3 * math.tan(step / 4)
    angle = math.radians(start_degrees)
    x1, y1 = x_mm + radius_mm * math.sin(angle), y_mm - radius_mm * math.cos(angle)
    segments: list[Segment] = [MoveTo(x1, y1)]
    for _ in range(count):
        after = angle + step
        x2, y2 = x_mm + radius_mm * math.sin(after), y_mm - radius_mm * math.cos(after)
        segments.append(
            CurveTo(
                x1 + arm_mm * math.cos(angle),
                y1 + arm_mm * math.sin(angle),
                x2 - arm_mm * math.cos(after),
                y2 - arm_mm * math.sin(after),
                x2,
                y2,
            )
        )
        angle, x1, y1 = after, x2, y2
    return tuple(segments)


def hatch(
    outline: Sequence[tuple[float, float]],
    *,
    pitch_mm: float,
    degrees: float = 45.0,
    stroke_pt: float = 0.5,
    ink: Ink = BLACK,
    dash_mm: tuple[float, ...] = (),
) -> Path:
    """Parallel strokes that fill a closed outline of straight sides, convex or not.

    `degrees` is the rise of the strokes to the right.  The strokes lie on one lattice through the
    origin of the page, so hatched neighbours join without a seam.
    """
    angle = math.radians(degrees)
    along_x, along_y = math.cos(angle), -math.sin(angle)
    turned = [(x * along_x + y * along_y, y * along_x - x * along_y) for x, y in outline]
    heights = [height for _, height in turned]
    ends: list[tuple[float, float, float, float]] = []
    for index in range(math.ceil(min(heights) / pitch_mm), math.floor(max(heights) / pitch_mm) + 1):
        height = index * pitch_mm
        crossings = sorted(
            x1 + (height - y1) / (y2 - y1) * (x2 - x1)
            for (x1, y1), (x2, y2) in zip(turned, [*turned[1:], turned[0]], strict=True)
            if (y1 <= height) != (y2 <= height)
        )
        for start, end in zip(crossings[::2], crossings[1::2], strict=True):
            ends.append(
                (
                    start * along_x - height * along_y,
                    start * along_y + height * along_x,
                    end * along_x - height * along_y,
                    end * along_y + height * along_x,
                )
            )
    return lines(ends, stroke_pt=stroke_pt, ink=ink, dash_mm=dash_mm)


def _through(points: Sequence[tuple[float, float]]) -> tuple[Segment, ...]:
    first, *others = points
    return (MoveTo(*first), *(LineTo(*point) for point in others))


# --- Measuring, moving -----------------------------------------------------------------------


def text_width_mm(text: str, face: Face, size_pt: float, spacing_mm: float = 0.0) -> float:
    """Width of a line of text; the spacing after its last character is not counted."""
    width_mm = advance(text, face) * size_pt * MM_PER_PT / 1000
    if not spacing_mm:
        return width_mm
    return width_mm + spacing_mm * max(0, len(shown(text, face)) - 1)


def text_left_mm(item: Text) -> float:
    """Where the first character of a text starts, whatever its alignment."""
    if item.align is Align.LEFT:
        return item.x_mm
    width_mm = text_width_mm(item.text, item.face, item.size_pt, item.spacing_mm)
    return item.x_mm - (width_mm if item.align is Align.RIGHT else width_mm / 2)


def bounds(item: Item) -> Box:
    """The box round an item's ink.

    A text is measured by its advance widths and by the ascender and descender of its face, whatever
    letters it holds, so lines of one style are equally tall.  A path is measured with the width of
    its stroke.  An anchor, and a group without ink, has no extent; a link has its own area.
    """
    match item:
        case Link():
            return _area(item)
        case Anchor():
            return Box(item.x_mm, item.y_mm, item.x_mm, item.y_mm)
        case Group():
            return _ink_bounds(item) or Box(item.dx_mm, item.dy_mm, item.dx_mm, item.dy_mm)
        case _:
            return _ink_bounds(item) or Box(0.0, 0.0, 0.0, 0.0)


def bounds_of(items: Iterable[Item]) -> Box:
    """The box round the ink of several items."""
    return bounds(Group(tuple(items)))


def _ink_bounds(item: Item) -> Box | None:
    match item:
        case Text():
            return _text_bounds(item)
        case Path():
            return _path_bounds(item)
        case Picture():
            return _area(item)
        case Group():
            boxes = [box for box in map(_ink_bounds, item.items) if box is not None]
            if not boxes:
                return None
            whole = boxes[0]
            for box in boxes[1:]:
                whole = whole.union(box)
            return item.outer(whole)
        case Link() | Anchor():
            return None
        case _:
            assert_never(item)


def _area(item: Picture | Link) -> Box:
    return Box(item.x_mm, item.y_mm, item.x_mm + item.width_mm, item.y_mm + item.height_mm)


def _text_bounds(item: Text) -> Box | None:
    if not item.text:
        return None
    face = metrics(item.face)
    left_mm = text_left_mm(item)
    em_mm = item.size_pt * MM_PER_PT
    return Box(
        left_mm,
        item.y_mm - face.ascender * em_mm / 1000,
        left_mm + text_width_mm(item.text, item.face, item.size_pt, item.spacing_mm),
        item.y_mm - face.descender * em_mm / 1000,
    )


def _path_bounds(item: Path) -> Box | None:
    xs: list[float] = []
    ys: list[float] = []
    x = y = 0.0
    for segment in item.segments:
        match segment:
            case MoveTo() | LineTo():
                x, y = segment
                xs.append(x)
                ys.append(y)
            case CurveTo(x1, y1, x2, y2, x3, y3):
                xs += _curve_extremes(x, x1, x2, x3)
                ys += _curve_extremes(y, y1, y2, y3)
                x, y = x3, y3
            case Close():
                pass
    if not xs:
        return None
    box = Box(min(xs), min(ys), max(xs), max(ys))
    return box.grown(item.stroke_pt * MM_PER_PT / 2) if item.stroke is not None else box


def _curve_extremes(p0: float, p1: float, p2: float, p3: float) -> list[float]:
    """The end of a cubic and its turning values on one axis, where its derivative is zero."""
    a, b, c = p3 - 3 * p2 + 3 * p1 - p0, p2 - 2 * p1 + p0, p1 - p0
    if abs(a) < 1e-12:
        times = [-c / (2 * b)] if abs(b) > 1e-12 else []
    else:
        root = math.sqrt(max(0.0, b * b - a * c))
        times = [(-b + root) / a, (-b - root) / a]
    return [p3] + [
        (1 - t) ** 3 * p0 + 3 * (1 - t) ** 2 * t * p1 + 3 * (1 - t) * t * t * p2 + t**3 * p3
        for t in times
        if 0 < t < 1
    ]


def moved(item: Item, dx_mm: float, dy_mm: float) -> Item:
    """The same item elsewhere."""
    match item:
        case Text() | Picture() | Link() | Anchor():
            return replace(item, x_mm=item.x_mm + dx_mm, y_mm=item.y_mm + dy_mm)
        case Group():
            return replace(item, dx_mm=item.dx_mm + dx_mm, dy_mm=item.dy_mm + dy_mm)
        case Path():
            return placed(item, dx_mm, dy_mm)
        case _:
            assert_never(item)


def placed(path: Path, dx_mm: float, dy_mm: float, *, scale: float = 1.0) -> Path:
    """The path scaled about the origin, then moved; strokes and dashes keep their width."""
    segments = tuple(
        type(segment)(
            *(
                value * scale + (dy_mm if index % 2 else dx_mm)
                for index, value in enumerate(segment)
            )
        )
        for segment in path.segments
    )
    return replace(path, segments=segments)


def outside_safe_area(page: Page) -> tuple[Item, ...]:
    """The top-level items of a page whose ink leaves its safe area; empty if all is well."""
    room = page.safe_box
    return tuple(
        item
        for item in page.items
        if (box := _ink_bounds(item)) is not None and not room.holds(box)
    )
