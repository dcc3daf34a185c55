"""What the content operators of a PDF page show: letters, lines and shapes at their places.

ISO 32000-1:2008, clauses 8 (graphics) and 9 (text).  Letters and lines that cannot be seen are left
out; see `pdf_reading`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Final, NamedTuple

from pypdf import PageObject, PdfReader
from pypdf.generic import ArrayObject, ContentStream, DecodedStreamObject, DictionaryObject

from charts.printed_page import (
    FAINT,
    Area,
    Bend,
    Face,
    Letter,
    Point,
    PrintedSheet,
    Square,
    Stroke,
)
from layouts.pdf_letters import NO_LETTER, FontLetters, letters_of

MM_PER_PT: Final = 25.4 / 72
_DEEPEST: Final = 8
"""Pictures within pictures (form XObjects) are followed this far."""
_UNSEEN_MODES: Final = (3, 7)
"""Text rendering modes that paint nothing."""
_SQUARE_MM: Final = 0.01
"""Sides of a square differ by less."""
_MOST_ANGLE: Final = 0.01
"""How far text may lean (sine) and still be upright."""


class PageTooLongError(Exception):
    """The pages of a file hold more operators, or more bytes, than any page needs."""


class _Matrix(NamedTuple):
    a: float
    b: float
    c: float
    d: float
    e: float
    f: float

    def then(self, other: _Matrix) -> _Matrix:
        """First this one, then the other."""
        return _Matrix(
            self.a * other.a + self.b * other.c,
            self.a * other.b + self.b * other.d,
            self.c * other.a + self.d * other.c,
            self.c * other.b + self.d * other.d,
            self.e * other.a + self.f * other.c + other.e,
            self.e * other.b + self.f * other.d + other.f,
        )

    def point(self, x: float, y: float) -> tuple[float, float]:
        return (self.a * x + self.c * y + self.e, self.b * x + self.d * y + self.f)


_UNMOVED: Final = _Matrix(1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


class _Frame(NamedTuple):
    """A level rectangle in points, y up."""

    left: float
    bottom: float
    right: float
    top: float

    @staticmethod
    def round_about(points: Sequence[tuple[float, float]]) -> _Frame:
        xs, ys = [x for x, _ in points], [y for _, y in points]
        return _Frame(min(xs), min(ys), max(xs), max(ys))

    def cut(self, other: _Frame) -> _Frame:
        return _Frame(
            max(self.left, other.left),
            max(self.bottom, other.bottom),
            min(self.right, other.right),
            min(self.top, other.top),
        )

    def holds(self, x: float, y: float) -> bool:
        return self.left <= x <= self.right and self.bottom <= y <= self.top


@dataclass(frozen=True)
class _Font:
    """A font of the page."""

    letters: FontLetters
    first: int
    widths: tuple[float, ...]
    """In thousandths of the size, from the code `first` on."""
    missing: float

    def letter(self, code: int) -> str:
        return self.letters.by_code.get(code, NO_LETTER)

    def width(self, code: int) -> float:
        place = code - self.first
        return self.widths[place] if 0 <= place < len(self.widths) else self.missing


_NO_FONT: Final = _Font(FontLetters(Face.OTHER, {}, ()), 0, (), 500.0)


@dataclass(frozen=True)
class _State:
    """The graphics state, as far as it changes what is seen."""

    matrix: _Matrix
    clip: _Frame
    fill: float = 0.0
    stroke: float = 0.0
    """Greys, 0 is black."""
    seen: float = 1.0
    """How opaque fills are."""
    line_width: float = 1.0
    font: _Font = _NO_FONT
    size: float = 0.0
    spacing: float = 0.0
    word_spacing: float = 0.0
    stretch: float = 1.0
    leading: float = 0.0
    rise: float = 0.0
    mode: int = 0


@dataclass
class _Shown:
    """What a page shows so far; each thing with its place in the order of painting."""

    order: int = 0
    letters: list[tuple[int, Letter]] = field(default_factory=list)
    areas: list[tuple[int, Area]] = field(default_factory=list)
    strokes: list[Stroke] = field(default_factory=list)
    bends: list[Bend] = field(default_factory=list)
    squares: list[Square] = field(default_factory=list)
    covers: list[tuple[int, Area]] = field(default_factory=list)
    """Level areas and pictures: letters below them are not seen."""


Operands = Sequence[Any]


class ContentReader:
    """Reads the pages of one file; `most_operators` is for all of them together."""

    def __init__(self, file: PdfReader, *, most_operators: int, most_bytes: int) -> None:
        self.file = file
        self.left = most_operators
        self.most_bytes = most_bytes
        self.fonts: dict[int, _Font] = {}

    def sheet(self, number: int, page: PageObject) -> PrintedSheet:
        """What the page shows.

        Raises PageTooLongError, or whatever pypdf raises for a damaged file.
        """
        box = page.cropbox
        frame = _Frame(*(float(edge) for edge in (box.left, box.bottom, box.right, box.top)))
        shown = _Shown()
        to_mm = _Matrix(
            MM_PER_PT, 0.0, 0.0, -MM_PER_PT, -frame.left * MM_PER_PT, frame.top * MM_PER_PT
        )
        if "/Contents" in page:
            resources = page.get("/Resources", DictionaryObject()).get_object()
            painter = _Painter(self, shown, to_mm, resources, 0)
            painter.run(self.operations(page["/Contents"]), _State(_UNMOVED, frame))
        return PrintedSheet(
            number,
            (frame.right - frame.left) * MM_PER_PT,
            (frame.top - frame.bottom) * MM_PER_PT,
            tuple(_uncovered(shown.letters, shown.covers)),
            tuple(shown.strokes),
            tuple(shown.bends),
            tuple(area for _, area in shown.areas),
            tuple(shown.squares),
        )

    def operations(self, contents: Any) -> list[tuple[Operands, bytes]]:
        """The operators of a stream, or of several that follow each other."""
        whole = contents.get_object()
        streams = whole if isinstance(whole, ArrayObject) else [whole]
        data = b""
        for stream in streams:
            data += stream.get_object().get_data() + b"\n"
            if len(data) > self.most_bytes:
                raise PageTooLongError
        joined = DecodedStreamObject()
        joined.set_data(data)
        found: list[tuple[Operands, bytes]] = ContentStream(
            joined, self.file, forced_encoding="bytes"
        ).operations
        self.left -= len(found)
        if self.left < 0:
            raise PageTooLongError
        return found

    def font(self, entry: Any) -> _Font:
        """The font of a resource, read once for the file."""
        font = entry.get_object()
        key = getattr(entry, "idnum", 0) or id(font)
        if key not in self.fonts:
            self.fonts[key] = _read_font(font)
        return self.fonts[key]


def _read_font(font: Any) -> _Font:
    """A simple TrueType font with its file embedded; any other shows no letter that is known."""
    described = font.get("/FontDescriptor", DictionaryObject()).get_object()
    file = described.get("/FontFile2")
    if font.get("/Subtype") != "/TrueType" or file is None:
        return _NO_FONT
    widths = font.get("/Widths", ArrayObject()).get_object()
    return _Font(
        letters_of(file.get_object().get_data()),
        int(font.get("/FirstChar", 0)),
        tuple(float(width.get_object()) for width in widths),
        float(described.get("/MissingWidth", 0)),
    )


def _uncovered(
    letters: Sequence[tuple[int, Letter]], covers: Sequence[tuple[int, Area]]
) -> Iterator[Letter]:
    """The letters that nothing lies upon."""
    for order, letter in letters:
        x_mm, y_mm = _middle(letter)
        if not any(
            later > order
            and cover.left_mm < x_mm < cover.right_mm
            and cover.top_mm < y_mm < cover.bottom_mm
            for later, cover in covers
        ):
            yield letter


def _middle(letter: Letter) -> tuple[float, float]:
    """About the middle of the letter's ink."""
    along, up = letter.width_mm / 2, letter.size_mm / 3
    dx, dy = {0: (along, -up), 1: (-up, -along), 2: (-along, up), 3: (up, along)}[letter.turn]
    return (letter.start.x_mm + dx, letter.start.y_mm + dy)


@dataclass
class _Subpath:
    points: list[tuple[float, float]]
    closed: bool = False
    curved: bool = False


class _Painter:
    """Runs the operators of a page, or of a picture on it."""

    def __init__(
        self,
        reader: ContentReader,
        shown: _Shown,
        to_mm: _Matrix,
        resources: Mapping[str, Any],
        depth: int,
    ) -> None:
        self.reader = reader
        self.shown = shown
        self.to_mm = to_mm
        self.resources = resources
        self.depth = depth
        self.state = _State(_UNMOVED, _Frame(0.0, 0.0, 0.0, 0.0))
        self.stack: list[_State] = []
        self.path: list[_Subpath] = []
        self.clipping = False
        self.text = _UNMOVED
        self.line = _UNMOVED
        self.hidden: list[bool] = []
        """For each open marked-content sequence, whether it is of a layer that can be hidden."""

    def run(self, operations: Sequence[tuple[Operands, bytes]], state: _State) -> None:
        self.state = state
        for operands, operator in operations:
            do = _OPERATORS.get(operator)
            if do is not None:
                do(self, operands)

    # Graphics state (8.4)

    def save(self, _: Operands) -> None:
        self.stack.append(self.state)

    def restore(self, _: Operands) -> None:
        if self.stack:
            self.state = self.stack.pop()

    def move(self, operands: Operands) -> None:
        moved = _matrix(operands).then(self.state.matrix)
        self.state = replace(self.state, matrix=moved)

    def width(self, operands: Operands) -> None:
        self.state = replace(self.state, line_width=float(operands[0]))

    def graphics(self, operands: Operands) -> None:
        known = self._resource("/ExtGState", operands[0])
        if known is not None and "/ca" in known:
            self.state = replace(self.state, seen=float(known["/ca"]))

    def fill_ink(self, operands: Operands) -> None:
        self.state = replace(self.state, fill=_grey(operands))

    def stroke_ink(self, operands: Operands) -> None:
        self.state = replace(self.state, stroke=_grey(operands))

    def fill_space(self, _: Operands) -> None:
        self.state = replace(self.state, fill=0.0)

    def stroke_space(self, _: Operands) -> None:
        self.state = replace(self.state, stroke=0.0)

    # Paths (8.5)

    def _placed(self, x: Any, y: Any) -> tuple[float, float]:
        return self.state.matrix.point(float(x), float(y))

    def begin(self, operands: Operands) -> None:
        self.path.append(_Subpath([self._placed(*operands[:2])]))

    def line_to(self, operands: Operands) -> None:
        if self.path:
            self.path[-1].points.append(self._placed(*operands[:2]))

    def curve_to(self, operands: Operands) -> None:
        if self.path:
            self.path[-1].points.append(self._placed(*operands[-2:]))
            self.path[-1].curved = True

    def close(self, _: Operands) -> None:
        if self.path:
            self.path[-1].closed = True

    def rectangle(self, operands: Operands) -> None:
        x, y, width, height = (float(value) for value in operands[:4])
        corners = ((x, y), (x + width, y), (x + width, y + height), (x, y + height))
        self.path.append(_Subpath([self._placed(*corner) for corner in corners], closed=True))

    def clip(self, _: Operands) -> None:
        self.clipping = True

    def end(self, _: Operands) -> None:
        if self.clipping and self.path:
            points = [point for one in self.path for point in one.points]
            kept = self.state.clip.cut(_Frame.round_about(points))
            self.state = replace(self.state, clip=kept)
        self.clipping = False
        self.path = []

    def stroked(self, operands: Operands) -> None:
        self._stroke()
        self.end(operands)

    def closed_stroked(self, operands: Operands) -> None:
        self.close(operands)
        self.stroked(operands)

    def filled(self, operands: Operands) -> None:
        self._fill()
        self.end(operands)

    def filled_stroked(self, operands: Operands) -> None:
        self._fill()
        self._stroke(filled=True)
        self.end(operands)

    def closed_filled_stroked(self, operands: Operands) -> None:
        self.close(operands)
        self.filled_stroked(operands)

    def _on_page(self, points: Sequence[tuple[float, float]]) -> list[Point]:
        return [Point(*self.to_mm.point(*point)) for point in points]

    def _stroke(self, *, filled: bool = False) -> None:
        if self.state.stroke >= FAINT or self._is_hidden():
            return
        scale = abs(self.state.matrix.a) + abs(self.state.matrix.b)
        wide_mm = self.state.line_width * scale * MM_PER_PT
        for one in self.path:
            points = self._on_page(one.points)
            if not any(self.state.clip.holds(*point) for point in one.points) or one.curved:
                continue
            if len(points) == 2:
                self.shown.strokes.append(Stroke(points[0], points[1], wide_mm))
            elif len(points) == 3 and not one.closed and not filled:
                self.shown.bends.append(Bend(*points))
            elif len(points) == 4 and one.closed and not filled:
                left, right = (edge(point.x_mm for point in points) for edge in (min, max))
                top, bottom = (edge(point.y_mm for point in points) for edge in (min, max))
                if abs((right - left) - (bottom - top)) < _SQUARE_MM:
                    self.shown.squares.append(Square(left, top, right - left))

    def _fill(self) -> None:
        if self.state.seen < 1 - FAINT or self._is_hidden():
            return
        self.shown.order += 1
        for one in self.path:
            area = Area(tuple(self._on_page(one.points)), self.state.fill)
            self.shown.areas.append((self.shown.order, area))
            if area.is_level:
                self.shown.covers.append((self.shown.order, area))

    # Pictures (8.8 to 8.11)

    def _resource(self, kind: str, name: Any) -> Any:
        known = self.resources.get(kind)
        entry = None if known is None else known.get_object().get(name)
        return None if entry is None else entry.get_object()

    def picture(self, operands: Operands) -> None:
        what = self._resource("/XObject", operands[0])
        if what is None or self._is_hidden():
            return
        if what.get("/Subtype") == "/Image":
            self.image(operands)
        elif what.get("/Subtype") == "/Form":
            if self.depth == _DEEPEST:
                raise PageTooLongError
            own = what.get("/Resources")
            inner = _Painter(
                self.reader,
                self.shown,
                self.to_mm,
                self.resources if own is None else own.get_object(),
                self.depth + 1,
            )
            matrix = _matrix(what.get("/Matrix", _UNMOVED)).then(self.state.matrix)
            x0, y0, x1, y1 = (float(edge) for edge in what["/BBox"])
            corners = [matrix.point(x, y) for x in (x0, x1) for y in (y0, y1)]
            clip = self.state.clip.cut(_Frame.round_about(corners))
            inner.run(self.reader.operations(what), replace(self.state, matrix=matrix, clip=clip))

    def image(self, _: Operands) -> None:
        """A picture hides what it lies on."""
        matrix = self.state.matrix
        corners = [matrix.point(x, y) for x, y in ((0, 0), (1, 0), (1, 1), (0, 1))]
        self.shown.order += 1
        area = Area(tuple(self._on_page(corners)), 0.5)
        self.shown.covers.append((self.shown.order, area))

    # Marked content (14.6): only layers make a difference to what is seen

    def mark(self, operands: Operands) -> None:
        self.hidden.append(bool(operands) and operands[0] == "/OC")

    def end_mark(self, _: Operands) -> None:
        if self.hidden:
            self.hidden.pop()

    def _is_hidden(self) -> bool:
        return any(self.hidden)

    # Text (9)

    def begin_text(self, _: Operands) -> None:
        self.text = self.line = _UNMOVED

    def font(self, operands: Operands) -> None:
        fonts = self.resources.get("/Font")
        entry = None if fonts is None else fonts.get_object().raw_get(operands[0])
        font = _NO_FONT if entry is None else self.reader.font(entry)
        self.state = replace(self.state, font=font, size=float(operands[1]))

    def spacing(self, operands: Operands) -> None:
        self.state = replace(self.state, spacing=float(operands[0]))

    def word_spacing(self, operands: Operands) -> None:
        self.state = replace(self.state, word_spacing=float(operands[0]))

    def stretch(self, operands: Operands) -> None:
        self.state = replace(self.state, stretch=float(operands[0]) / 100)

    def leading(self, operands: Operands) -> None:
        self.state = replace(self.state, leading=float(operands[0]))

    def rise(self, operands: Operands) -> None:
        self.state = replace(self.state, rise=float(operands[0]))

    def mode(self, operands: Operands) -> None:
        self.state = replace(self.state, mode=int(operands[0]))

    def next_line(self, operands: Operands) -> None:
        x, y = float(operands[0]), float(operands[1])
        self.text = self.line = _Matrix(1.0, 0.0, 0.0, 1.0, x, y).then(self.line)

    def next_line_leading(self, operands: Operands) -> None:
        self.leading([-float(operands[1])])
        self.next_line(operands)

    def set_line(self, operands: Operands) -> None:
        self.text = self.line = _matrix(operands)

    def below(self, _: Operands) -> None:
        self.next_line([0.0, -self.state.leading])

    def show(self, operands: Operands) -> None:
        self._letters(bytes(operands[0]))

    def show_spaced(self, operands: Operands) -> None:
        for one in operands[0]:
            if isinstance(one, bytes):
                self._letters(bytes(one))
            else:
                back = -float(one) / 1000 * self.state.size * self.state.stretch
                self.text = _Matrix(1.0, 0.0, 0.0, 1.0, back, 0.0).then(self.text)

    def below_show(self, operands: Operands) -> None:
        self.below(operands)
        self.show(operands)

    def below_show_spaced(self, operands: Operands) -> None:
        self.word_spacing(operands[:1])
        self.spacing(operands[1:2])
        self.below_show(operands[2:])

    def _letters(self, codes: bytes) -> None:
        state, font = self.state, self.state.font
        self.shown.order += 1
        unseen = state.mode in _UNSEEN_MODES or state.fill >= FAINT or state.seen < 1 - FAINT
        unseen = unseen or self._is_hidden()
        for code in codes:
            whole = self.text.then(state.matrix)
            x, y = whole.point(0.0, state.rise)
            size = abs(state.size) * (whole.c**2 + whole.d**2) ** 0.5
            share = font.width(code) / 1000
            turn = _turn_of(whole)
            if not unseen and turn is not None and state.clip.holds(x, y):
                along = (whole.a**2 + whole.b**2) ** 0.5 * state.stretch
                letter = Letter(
                    font.letter(code),
                    Point(*self.to_mm.point(x, y)),
                    share * abs(state.size) * along * MM_PER_PT,
                    turn,
                    font.letters.face,
                    round(size, 2) * MM_PER_PT,
                    state.fill,
                )
                self.shown.letters.append((self.shown.order, letter))
            on = share * state.size + state.spacing
            on += state.word_spacing if code == _BLANK_CODE else 0.0
            self.text = _Matrix(1.0, 0.0, 0.0, 1.0, on * state.stretch, 0.0).then(self.text)


_BLANK_CODE: Final = 32


def _matrix(operands: Sequence[Any]) -> _Matrix:
    a, b, c, d, e, f = (float(value) for value in operands)
    return _Matrix(a, b, c, d, e, f)


def _grey(operands: Operands) -> float:
    """How light an ink is, from 0 to 1; of one that is not known, black."""
    values = [float(value) for value in operands if isinstance(value, int | float)]
    match values:
        case [grey]:
            return grey
        case [red, green, blue]:
            return 0.299 * red + 0.587 * green + 0.114 * blue
        case [cyan, magenta, yellow, black]:
            light = 0.299 * (1 - cyan) + 0.587 * (1 - magenta) + 0.114 * (1 - yellow)
            return light * (1 - black)
        case _:
            return 0.0


def _turn_of(matrix: _Matrix) -> int | None:
    """Quarter turns clockwise until the letters stand upright; None where they lean."""
    length = (matrix.a**2 + matrix.b**2) ** 0.5
    if not length or matrix.a * matrix.d - matrix.b * matrix.c <= 0:
        return None
    right, up = matrix.a / length, matrix.b / length
    if abs(up) < _MOST_ANGLE:
        return 0 if right > 0 else 2
    if abs(right) < _MOST_ANGLE:
        return 1 if up > 0 else 3
    return None


_OPERATORS: Final[dict[bytes, Callable[[_Painter, Operands], None]]] = {
    b"q": _Painter.save,
    b"Q": _Painter.restore,
    b"cm": _Painter.move,
    b"w": _Painter.width,
    b"gs": _Painter.graphics,
    b"g": _Painter.fill_ink,
    b"rg": _Painter.fill_ink,
    b"k": _Painter.fill_ink,
    b"sc": _Painter.fill_ink,
    b"scn": _Painter.fill_ink,
    b"cs": _Painter.fill_space,
    b"G": _Painter.stroke_ink,
    b"RG": _Painter.stroke_ink,
    b"K": _Painter.stroke_ink,
    b"SC": _Painter.stroke_ink,
    b"SCN": _Painter.stroke_ink,
    b"CS": _Painter.stroke_space,
    b"m": _Painter.begin,
    b"l": _Painter.line_to,
    b"c": _Painter.curve_to,
    b"v": _Painter.curve_to,
    b"y": _Painter.curve_to,
    b"h": _Painter.close,
    b"re": _Painter.rectangle,
    b"W": _Painter.clip,
    b"W*": _Painter.clip,
    b"n": _Painter.end,
    b"S": _Painter.stroked,
    b"s": _Painter.closed_stroked,
    b"f": _Painter.filled,
    b"F": _Painter.filled,
    b"f*": _Painter.filled,
    b"B": _Painter.filled_stroked,
    b"B*": _Painter.filled_stroked,
    b"b": _Painter.closed_filled_stroked,
    b"b*": _Painter.closed_filled_stroked,
    b"Do": _Painter.picture,
    b"INLINE IMAGE": _Painter.image,
    b"BMC": _Painter.mark,
    b"BDC": _Painter.mark,
    b"EMC": _Painter.end_mark,
    b"BT": _Painter.begin_text,
    b"Tf": _Painter.font,
    b"Tc": _Painter.spacing,
    b"Tw": _Painter.word_spacing,
    b"Tz": _Painter.stretch,
    b"TL": _Painter.leading,
    b"Ts": _Painter.rise,
    b"Tr": _Painter.mode,
    b"Td": _Painter.next_line,
    b"TD": _Painter.next_line_leading,
    b"Tm": _Painter.set_line,
    b"T*": _Painter.below,
    b"Tj": _Painter.show,
    b"TJ": _Painter.show_spaced,
    b"'": _Painter.below_show,
    b'"': _Painter.below_show_spaced,
}
