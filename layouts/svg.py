"""One page as SVG 1.1: true size, self-contained, symbols as paths, text as text.

Charts can be read back: a row of symbols is a group whose `data-letters` holds its letters, and the
facts that a group of the page carries (`attrs`) stand in `data-` attributes.
"""

from __future__ import annotations

import struct
import zlib
from base64 import b64encode
from collections.abc import Iterable, Iterator
from typing import Final, assert_never
from xml.sax.saxutils import quoteattr

from layouts.faces import Face, shown
from layouts.paper import MM_PER_PT
from layouts.scene import (
    Align,
    Anchor,
    Cap,
    Close,
    CurveTo,
    Dots,
    Group,
    Item,
    Join,
    LineTo,
    Link,
    MoveTo,
    Page,
    Path,
    Picture,
    Role,
    Segment,
    Text,
    text_left_mm,
    text_width_mm,
)
from layouts.symbols import outlines, path_segments
from layouts.xml_text import escaped, xml_text

_FAMILY: Final = "'Source Sans 3','Source Sans Pro','Noto Sans','Helvetica Neue',Arial,sans-serif"

_ANCHORS: Final = {Align.LEFT: "start", Align.CENTRE: "middle", Align.RIGHT: "end"}
_CAPS: Final = {Cap.BUTT: "butt", Cap.ROUND: "round", Cap.SQUARE: "square"}
_JOINS: Final = {Join.MITRE: "miter", Join.ROUND: "round", Join.BEVEL: "bevel"}


def write_svg(
    page: Page, *, title: str = "", description: str = "", language: str = "en-GB"
) -> str:
    """The page as an SVG document whose unit is the millimetre; equal pages give equal text.

    Links and anchors lead to other pages and are left out.
    """
    width, height = _number(page.width_mm), _number(page.height_mm)
    size = f'width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}"'
    pieces = [
        '<?xml version="1.0" encoding="UTF-8"?>\n',
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" ',
        f'version="1.1" {size} xml:lang={_quoted(language)} role="document">\n',
        f"<title>{escaped(title or page.label)}</title>\n",
        f"<desc>{escaped(description)}</desc>\n" if description else "",
        *_definitions(page.items),
        f'<rect width="{width}" height="{height}" fill="#fff"/>\n',
        *_items(page.items),
        "</svg>\n",
    ]
    return "".join(pieces)


def _definitions(items: Iterable[Item]) -> Iterator[str]:
    """One path in a unit square for each symbol that the page shows."""
    letters = sorted(
        {letter for text in _symbol_rows(items) for letter in text if outlines(letter)}
    )
    if letters:
        yield "<defs>\n"
        for letter in letters:
            data = _path_data(path_segments(outlines(letter)))
            yield f'<path id="{_symbol_id(letter)}" d="{data}"/>\n'
        yield "</defs>\n"


def _symbol_rows(items: Iterable[Item]) -> Iterator[str]:
    for item in items:
        if isinstance(item, Group):
            yield from _symbol_rows(item.items)
        elif isinstance(item, Text) and item.face is Face.SYMBOLS:
            yield shown(item.text, item.face)


def _symbol_id(letter: str) -> str:
    return f"symbol-{ord(letter):02x}"


def _items(items: Iterable[Item]) -> Iterator[str]:
    for item in items:
        match item:
            case Text():
                yield _symbols(item) if item.face is Face.SYMBOLS else _text(item)
            case Path():
                yield _path(item)
            case Picture():
                yield _picture(item)
            case Group():
                yield f"<g{_group_attributes(item)}>\n"
                if item.title or item.alt:
                    yield f"<title>{escaped(item.title or item.alt)}</title>\n"
                if item.title and item.alt:
                    yield f"<desc>{escaped(item.alt)}</desc>\n"
                yield from _items(item.items)
                yield "</g>\n"
            case Anchor() | Link():
                pass
            case _:
                assert_never(item)


def _group_attributes(group: Group) -> str:
    found = "".join(f" data-{key}={_quoted(value)}" for key, value in group.attrs)
    if group.role is Role.FIGURE and (group.alt or group.title):
        found += ' role="img"'
    elif group.role is Role.ARTIFACT:
        found += ' aria-hidden="true"'
    moves = []
    if group.dx_mm or group.dy_mm:
        moves.append(f"translate({_number(group.dx_mm)} {_number(group.dy_mm)})")
    if group.quarter_turns % 4:
        moves.append(f"rotate({group.quarter_turns % 4 * 90})")
    return found + (f' transform="{" ".join(moves)}"' if moves else "")


def _text(item: Text) -> str:
    """The text with the width it was measured at, so that another font cannot outgrow its place."""
    text = shown(item.text, item.face)
    width_mm = text_width_mm(item.text, item.face, item.size_pt, item.spacing_mm)
    attributes = [
        f'x="{_number(item.x_mm)}" y="{_number(item.y_mm)}"',
        f'font-family="{_FAMILY}" font-size="{_number(item.size_pt * MM_PER_PT)}"',
        f'fill="{item.ink.hex}"',
    ]
    if item.face is Face.BOLD:
        attributes.append('font-weight="700"')
    if item.align is not Align.LEFT:
        attributes.append(f'text-anchor="{_ANCHORS[item.align]}"')
    if len(text) > 1:
        attributes.append(f'textLength="{_number(width_mm)}" lengthAdjust="spacingAndGlyphs"')
    return f'<text {" ".join(attributes)} xml:space="preserve">{escaped(text)}</text>\n'


def _symbols(item: Text) -> str:
    """A row of symbols: the letters as data, a shape for each that has one."""
    text = shown(item.text, item.face)
    cell_mm = item.size_pt * MM_PER_PT
    left_mm, top_mm = text_left_mm(item), item.y_mm - cell_mm
    uses = "".join(
        f'<use xlink:href="#{_symbol_id(letter)}" transform="translate('
        f"{_number(left_mm + index * (cell_mm + item.spacing_mm))} {_number(top_mm)}) "
        f'scale({_number(cell_mm)})"/>\n'
        for index, letter in enumerate(text)
        if outlines(letter)
    )
    return f'<g fill="{item.ink.hex}" data-letters={_quoted(text)}>\n{uses}</g>\n'


def _path(item: Path) -> str:
    attributes = [
        f'd="{_path_data(item.segments)}"',
        f'fill="{item.fill.hex if item.fill is not None else "none"}"',
    ]
    if item.stroke is not None:
        attributes.append(f'stroke="{item.stroke.hex}"')
        attributes.append(f'stroke-width="{_number(item.stroke_pt * MM_PER_PT)}"')
        if item.dash_mm:
            attributes.append(f'stroke-dasharray="{" ".join(map(_number, item.dash_mm))}"')
        if item.cap is not Cap.BUTT:
            attributes.append(f'stroke-linecap="{_CAPS[item.cap]}"')
        if item.join is not Join.MITRE:
            attributes.append(f'stroke-linejoin="{_JOINS[item.join]}"')
    return f"<path {' '.join(attributes)}/>\n"


def _picture(item: Picture) -> str:
    """The dots as a PNG within the document."""
    attributes = [
        f'x="{_number(item.x_mm)}" y="{_number(item.y_mm)}"',
        f'width="{_number(item.width_mm)}" height="{_number(item.height_mm)}"',
        'preserveAspectRatio="none"',
        f'xlink:href="data:image/png;base64,{b64encode(_png(item.dots)).decode()}"',
    ]
    if item.role is Role.FIGURE and item.alt:
        attributes.append('role="img"')
    elif item.role is Role.ARTIFACT:
        attributes.append('aria-hidden="true"')
    title = f"<title>{escaped(item.alt)}</title>" if item.alt else ""
    return f"<image {' '.join(attributes)}>{title}</image>\n"


def _png(dots: Dots) -> bytes:
    """The dots as a PNG without any metadata (W3C PNG specification, third edition)."""
    parts = 1 if dots.is_grey else 3
    stride = dots.columns * parts
    lines = b"".join(
        b"\0" + dots.data[start : start + stride] for start in range(0, len(dots.data), stride)
    )
    # 8 bits a part; colour type 0 is grey, 2 is red, green and blue.
    head = struct.pack(">IIBBBBB", dots.columns, dots.rows, 8, 0 if dots.is_grey else 2, 0, 0, 0)
    chunks = (_chunk(b"IHDR", head), _chunk(b"IDAT", zlib.compress(lines, 9)), _chunk(b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(chunks)


def _chunk(name: bytes, data: bytes) -> bytes:
    checked = name + data
    return struct.pack(">I", len(data)) + checked + struct.pack(">I", zlib.crc32(checked))


def _path_data(segments: Iterable[Segment]) -> str:
    steps = []
    for segment in segments:
        match segment:
            case MoveTo():
                letter = "M"
            case LineTo():
                letter = "L"
            case CurveTo():
                letter = "C"
            case Close():
                letter = "Z"
            case _:
                assert_never(segment)
        steps.append(letter + " ".join(map(_number, segment)))
    return "".join(steps)


def _number(value: float) -> str:
    """A number to a ten-thousandth of a millimetre, as short as it goes."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _quoted(text: str) -> str:
    return quoteattr(xml_text(text))
