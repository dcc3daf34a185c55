"""A traced outline out of an SVG file: the largest stroke of its paths, in mm.

The file may come from anywhere: its size, depth and number of paths are limited, it may declare no
entities, and nothing it names is ever opened.  Paths stand inside transformed groups, as drawing
programs write layers; what is only defined (clip paths, symbols) is not drawn and not read.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import cos, isfinite, radians, sin, tan
from typing import Final, NoReturn
from xml.parsers import expat

from charts.problems import PatternError, Problem
from layouts.foot_shape import KEY, MOST_PATH_LETTERS, read_strokes
from layouts.scene import CurveTo, LineTo, MoveTo, Segment

MOST_SVG_BYTES: Final = 4_000_000
_MOST_DEPTH: Final = 64
_MOST_PATHS: Final = 2_000
_MOST_LETTERS: Final = 5 * MOST_PATH_LETTERS
"""Of all path data together."""

_MM: Final[Mapping[str, float]] = {
    "mm": 1.0,
    "cm": 10.0,
    "q": 0.25,
    "in": 25.4,
    "pt": 25.4 / 72,
    "pc": 25.4 / 6,
}
"""CSS Values and Units 4, 6.2: absolute lengths."""
_PX_MM: Final = 25.4 / 96
"""A user unit of a page with a size in absolute lengths and no viewBox: the same source."""
_LENGTH: Final = re.compile(r"\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*([A-Za-z]*)\s*")
_NOT_DRAWN: Final = frozenset(
    ("defs", "clipPath", "mask", "marker", "pattern", "symbol", "linearGradient", "filter")
)
_SVG: Final = "http://www.w3.org/2000/svg"


@dataclass(frozen=True)
class _Matrix:
    """x' = a x + c y + e, y' = b x + d y + f; SVG 2, 8.5."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    def of(self, x: float, y: float) -> tuple[float, float]:
        return (self.a * x + self.c * y + self.e, self.b * x + self.d * y + self.f)

    def after(self, inner: _Matrix) -> _Matrix:
        """First the inner one, then this."""
        e, f = self.of(inner.e, inner.f)
        return _Matrix(
            self.a * inner.a + self.c * inner.b,
            self.b * inner.a + self.d * inner.b,
            self.a * inner.c + self.c * inner.d,
            self.b * inner.c + self.d * inner.d,
            e,
            f,
        )


def read_outline(data: bytes) -> str:
    """The path data of the largest stroke in the file, 1 unit = 1 mm, as `traced_outline` reads it.

    In a file whose page has a size in mm, cm, in or pt the paths are of that size; in any other
    one unit counts as 1 mm.  Raises PatternError, saying what would do, for a file that is too
    large, is no SVG, declares entities, or has no path.
    """
    if len(data) > MOST_SVG_BYTES:
        _refuse(
            f"the file is larger than {MOST_SVG_BYTES // 10**6} million bytes",
            "a drawing of one foot",
            "save the traced path alone, and no picture",
        )
    reader = _Reader()
    reader.read(data)
    if not reader.strokes:
        _refuse("the file has no path that is drawn", _ALLOWED, "turn the outline into a path")
    return _path_data(max(reader.strokes, key=_extent))


_ALLOWED: Final = "an SVG file with the outline of a foot as its largest path"


def _refuse(what: str, allowed: str = _ALLOWED, suggestion: str = "") -> NoReturn:
    raise PatternError((Problem(what, KEY, allowed, suggestion),))


@dataclass
class _Reader:
    """Takes down the strokes of all paths as expat finds them."""

    strokes: list[list[Segment]] = field(default_factory=list)
    _matrices: list[_Matrix] = field(default_factory=list)
    """Of the elements that are open."""
    _hidden: int = 0
    """Elements open whose content is not drawn."""
    _letters: int = 0
    _paths: int = 0

    def read(self, data: bytes) -> None:
        parser = expat.ParserCreate(namespace_separator=" ")
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.StartDoctypeDeclHandler = self._doctype
        parser.EntityDeclHandler = self._entity
        try:
            parser.Parse(data, True)
        except expat.ExpatError as error:
            _refuse(f"the file is no XML: {expat.ErrorString(error.code)}, line {error.lineno}")
        except (ValueError, LookupError):
            _refuse("the file is in an encoding that is not known", suggestion="save it as UTF-8")

    def _doctype(self, *told: object) -> None:
        """A document type by name alone is what older programs write, and is not opened."""
        has_inside = told[-1]
        if has_inside:
            self._entity()

    def _entity(self, *_: object) -> None:
        _refuse("the file declares entities", "plain SVG", "save it as plain SVG")

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        space, _, local = name.rpartition(" ")
        if not self._matrices:
            if local != "svg":
                _refuse(f"the file is no SVG but has '{local[:20]}' outermost")
            self._matrices.append(_page_matrix(attributes))
            return
        if len(self._matrices) >= _MOST_DEPTH:
            _refuse(f"the file has more than {_MOST_DEPTH} elements inside one another")
        matrix = self._matrices[-1]
        drawn = space in ("", _SVG) and local not in _NOT_DRAWN and local != "svg"
        if self._hidden or not drawn or attributes.get("display") == "none":
            self._hidden += 1
        else:
            matrix = matrix.after(_transform(attributes.get("transform", "")))
            if local == "path" and attributes.get("d", "").strip():
                self._path(attributes["d"], matrix)
        self._matrices.append(matrix)

    def _end(self, _: str) -> None:
        self._matrices.pop()
        self._hidden = max(0, self._hidden - 1)

    def _path(self, path: str, matrix: _Matrix) -> None:
        self._paths += 1
        self._letters += len(path)
        if self._paths > _MOST_PATHS or self._letters > _MOST_LETTERS:
            what = (
                f"the file has more than {_MOST_PATHS} paths or {_MOST_LETTERS} characters in them"
            )
            _refuse(what, suggestion="save the outline alone")
        for stroke in read_strokes(path):
            moved = [_moved(segment, matrix) for segment in stroke]
            if not all(isfinite(number) for segment in moved for number in segment):
                _refuse("the outline has numbers without end")
            self.strokes.append(moved)


def _page_matrix(attributes: Mapping[str, str]) -> _Matrix:
    """From the units of the page to mm."""
    sizes_mm = [_length_mm(attributes.get(name, "")) for name in ("width", "height")]
    box = [float(number) for number in re.findall(_NUMBER, attributes.get("viewBox", ""))]
    known = [size for size in sizes_mm if size is not None]
    if not known:
        return _Matrix()
    if len(box) != 4:
        return _Matrix(_PX_MM, d=_PX_MM)
    # As large as goes in both ways: the usual preserveAspectRatio.
    shares = [
        size / side
        for size, side in zip(sizes_mm, box[2:], strict=True)
        if size is not None and side > 0
    ]
    if not shares or not all(isfinite(share) and share > 0 for share in shares):
        _refuse("the size of the page is none")
    return _Matrix(min(shares), d=min(shares))


_NUMBER: Final = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"


def _length_mm(text: str) -> float | None:
    """None for a length in other units than absolute ones."""
    match = _LENGTH.fullmatch(text)
    unit_mm = _MM.get(match[2].lower()) if match else None
    return None if match is None or unit_mm is None else float(match[1]) * unit_mm


_CALL: Final = re.compile(r"\s*,?\s*([a-zA-Z]+)\s*\(([^()]*)\)")


def _transform(text: str) -> _Matrix:
    """The transform attribute; SVG 2, 8.5.  Raises PatternError for what is none."""
    matrix = _Matrix()
    at = 0
    while text[at:].strip():
        match = _CALL.match(text, at)
        one = None if match is None else _one_transform(match[1], _numbers(match[2]))
        if match is None or one is None:
            _refuse(f"'{text[at:].strip()[:20]}' is no transform")
        matrix = matrix.after(one)
        at = match.end()
    return matrix


def _numbers(text: str) -> list[float]:
    return [float(number) for number in re.findall(_NUMBER, text)]


def _one_transform(name: str, numbers: Sequence[float]) -> _Matrix | None:
    match name, numbers:
        case "matrix", [a, b, c, d, e, f]:
            return _Matrix(a, b, c, d, e, f)
        case "translate", [x]:
            return _Matrix(e=x)
        case "translate", [x, y]:
            return _Matrix(e=x, f=y)
        case "scale", [share]:
            return _Matrix(share, d=share)
        case "scale", [across, down]:
            return _Matrix(across, d=down)
        case "rotate", [degrees]:
            return _turned(degrees)
        case "rotate", [degrees, x, y]:
            return _Matrix(e=x, f=y).after(_turned(degrees)).after(_Matrix(e=-x, f=-y))
        case "skewX", [degrees]:
            return _Matrix(c=tan(radians(degrees)))
        case "skewY", [degrees]:
            return _Matrix(b=tan(radians(degrees)))
        case _:
            return None


def _turned(degrees: float) -> _Matrix:
    angle = radians(degrees)
    return _Matrix(cos(angle), sin(angle), -sin(angle), cos(angle))


def _moved(segment: Segment, matrix: _Matrix) -> Segment:
    numbers = [
        number
        for x, y in zip(segment[::2], segment[1::2], strict=True)
        for number in matrix.of(x, y)
    ]
    return type(segment)(*numbers)


def _extent(stroke: Sequence[Segment]) -> float:
    """The area of the box round its points."""
    xs = [number for segment in stroke for number in segment[::2]]
    ys = [number for segment in stroke for number in segment[1::2]]
    return (max(xs) - min(xs)) * (max(ys) - min(ys))


_LETTERS: Final[Mapping[type[Segment], str]] = {MoveTo: "M", LineTo: "L", CurveTo: "C"}


def _path_data(stroke: Sequence[Segment]) -> str:
    """The stroke as path data, closed."""
    words = [
        f"{_LETTERS[type(segment)]} {' '.join(f'{number:.6f}' for number in segment)}"
        for segment in stroke
    ]
    return " ".join([*words, "Z"])
