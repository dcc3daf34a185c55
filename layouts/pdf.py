"""Documents as PDF: true size, embedded fonts, outline, links, page labels; no clock, no chance.

reportlab makes the file, its objects and the font subsets; the pages are written as content
operators (ISO 32000-1:2008, clauses 8, 9 and 14.6) straight from the items, so that a chart row is
one string and a dense booklet takes a few hundredths of a second.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from enum import Enum
from functools import cache, lru_cache
from io import BytesIO
from typing import Final, NamedTuple, assert_never

from reportlab import rl_config
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFName, PDFStream, PDFString, PDFZCompress
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from layouts.faces import Face, font_bytes, metrics, shown
from layouts.paper import MM_PER_PT
from layouts.pdf_metadata import PROGRAM, pdf_date
from layouts.pdf_text import plain_text
from layouts.scene import (
    Anchor,
    Close,
    CurveTo,
    Document,
    Dots,
    Group,
    Ink,
    Item,
    LineTo,
    Link,
    MoveTo,
    Page,
    Path,
    Picture,
    Segment,
    Text,
    text_left_mm,
)
from layouts.structure import Furniture, Leaf, Mark, make_structure

_PT_PER_MM: Final = 1 / MM_PER_PT


class Tagging(Enum):
    """Whether a file says what its content is, for those who hear it and for archives."""

    TAGGED = "tagged"
    """To PDF/UA-1 and PDF/A-2a."""
    PLAIN = "plain"
    """Pages alone, in half the time: for print."""


def write_pdf(
    document: Document,
    *,
    tagging: Tagging = Tagging.TAGGED,
    alphabet: str = "",
    dated: datetime | None = None,
) -> bytes:
    """The document as a PDF file; equal documents give equal bytes.

    Viewers are told to print it at 100 %.  It bears the instant of UTC that is `dated`, or no date
    at all.  Documents that are written with the same `alphabet`, which holds all their characters,
    have the very same fonts in them.  Raises ValueError if a link leads nowhere or two anchors have
    one name.
    """
    if tagging is Tagging.PLAIN:
        return _pages(document, alphabet=alphabet, dated=dated)
    from layouts.tagged_pdf import tagged

    structure = make_structure(document)
    pages = _pages(document, structure.leaves, alphabet=alphabet, dated=dated)
    return tagged(pages, document, structure, dated=dated)


def _pages(
    document: Document,
    leaves: Sequence[Sequence[Leaf]] | None = None,
    *,
    alphabet: str,
    dated: datetime | None,
) -> bytes:
    """The pages as a file, with marked content if there are leaves."""
    # Streams stay binary: a fifth smaller than in ASCII.
    rl_config.useA85 = 0
    fonts = _fonts()
    buffer = BytesIO()
    canvas = Canvas(
        buffer,
        invariant=1,
        # What is tagged is compressed when it is finished.
        pageCompression=int(leaves is None),
        initialFontName=fonts[Face.REGULAR].fontName,
        lang=document.language,
        pdfVersion=(1, 7),
    )
    _describe(canvas, document, dated)
    for face in Face if alphabet else ():
        known = metrics(face).widths
        shared = "".join(char for char in alphabet if char in known)
        # Asking for the name gives the fonts of all documents the same ones.
        for subset, _ in fonts[face].splitString(shared, canvas._doc):
            fonts[face].getSubsetInternalName(subset, canvas._doc)
    anchors = set(_anchor_names(document.pages))
    for number, page in enumerate(document.pages, 1):
        canvas.setPageSize((page.width_mm * _PT_PER_MM, page.height_mm * _PT_PER_MM))
        painter = _Painter(canvas, iter(leaves[number - 1]) if leaves is not None else None)
        painter.paint(page.items, _Place.of(page))
        canvas.addLiteral(painter.content())
        canvas.bookmarkPage(_page_key(number), fit="Fit")
        for anchor, place in painter.anchors:
            x_pt, y_pt = place.point(anchor.x_mm, anchor.y_mm)
            canvas.bookmarkPage(anchor.name, fit="XYZ", left=x_pt, top=y_pt, zoom=0)
        for link, place in painter.links:
            _add_link(canvas, link, place, anchors, len(document.pages))
        _add_outline(canvas, page, number)
        _add_page_label(canvas, page, number)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


@cache
def _fonts() -> dict[Face, TTFont]:
    """The three faces as reportlab knows them; only the characters in use are embedded."""
    fonts = {}
    for face in Face:
        fonts[face] = TTFont(
            face.value, BytesIO(font_bytes(face)), asciiReadable=False, shapable=False
        )
        pdfmetrics.registerFont(fonts[face])
    return fonts


def _describe(canvas: Canvas, document: Document, dated: datetime | None) -> None:
    """Metadata, and how viewers are to show and print the file."""
    canvas.setTitle(plain_text(document.title))
    canvas.setAuthor(plain_text(document.author))
    canvas.setSubject(plain_text(document.subject))
    canvas.setKeywords(plain_text(", ".join(document.keywords)))
    canvas.setCreator(PROGRAM)
    canvas.setProducer(PROGRAM)
    info = canvas._doc.info
    facts = {
        "Title": info.title,
        "Author": info.author,
        "Subject": info.subject,
        "Keywords": info.keywords,
        "Creator": info.creator,
        "Producer": info.producer,
    }
    if dated is not None:
        facts |= {"CreationDate": pdf_date(dated), "ModDate": pdf_date(dated)}
    told = PDFDictionary({key: PDFString(text) for key, text in facts.items()})
    told.dict["Trapped"] = PDFName(info.trapped)
    # reportlab's own always has dates, and makes them up.
    info.format = told.format
    canvas.setViewerPreference("DisplayDocTitle", "true")
    canvas.setViewerPreference("PrintScaling", "None")
    if any(page.outline for page in document.pages):
        canvas.showOutline()


def _anchor_names(pages: Sequence[Page]) -> Iterator[str]:
    """The name of every anchor; raises ValueError at the second of one name."""
    seen: set[str] = set()
    for page in pages:
        for item, _ in _walk(page.items, _Place.of(page)):
            if isinstance(item, Anchor):
                if item.name in seen:
                    raise ValueError(f"two anchors are named {item.name!r}")
                seen.add(item.name)
                yield item.name


def _page_key(number: int) -> str:
    """The destination of a whole page; the blank keeps it apart from the names of anchors."""
    return f"page {number}"


def _add_link(
    canvas: Canvas, link: Link, place: _Place, anchors: set[str], page_count: int
) -> None:
    if isinstance(link.target, int):
        if not 1 <= link.target <= page_count:
            raise ValueError(f"a link leads to page {link.target} of {page_count}")
        key = _page_key(link.target)
    elif link.target not in anchors:
        raise ValueError(f"a link leads to {link.target!r}, and no anchor has that name")
    else:
        key = link.target
    x1, y1 = place.point(link.x_mm, link.y_mm)
    x2, y2 = place.point(link.x_mm + link.width_mm, link.y_mm + link.height_mm)
    box = (min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2))
    # F 4: printed with the page.
    canvas.linkRect(plain_text(link.alt), key, box, Border="[0 0 0]", F=4)


def _add_outline(canvas: Canvas, page: Page, number: int) -> None:
    for index, entry in enumerate(page.outline):
        key = f"outline {number} {index}"
        top = (page.height_mm - entry.y_mm) * _PT_PER_MM
        canvas.bookmarkPage(key, fit="XYZ", left=0, top=top, zoom=0)
        canvas.addOutlineEntry(plain_text(entry.title), key, entry.level - 1, closed=True)


def _add_page_label(canvas: Canvas, page: Page, number: int) -> None:
    if page.label:
        canvas.addPageLabel(number - 1, prefix=plain_text(page.label))
    else:
        canvas.addPageLabel(number - 1, style="ARABIC", start=number)


# --- Places ----------------------------------------------------------------------------------


class _Place(NamedTuple):
    """From the mm of a group, y down, to the points of its page, y up."""

    a: float
    b: float
    c: float
    d: float
    x_pt: float
    y_pt: float

    @staticmethod
    def of(page: Page) -> _Place:
        """The place of a page's own items."""
        return _Place(_PT_PER_MM, 0.0, 0.0, -_PT_PER_MM, 0.0, page.height_mm * _PT_PER_MM)

    def point(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """A point of the group on the page."""
        return (
            self.x_pt + self.a * x_mm + self.c * y_mm,
            self.y_pt + self.b * x_mm + self.d * y_mm,
        )

    def inside(self, group: Group) -> _Place:
        """The place of a group's items."""
        a, b, c, d = self[:4]
        for _ in range(group.quarter_turns % 4):
            a, b, c, d = c, d, -a, -b
        return _Place(a, b, c, d, *self.point(group.dx_mm, group.dy_mm))


def _walk(items: Iterable[Item], place: _Place) -> Iterator[tuple[Item, _Place]]:
    """Every item that is not a group, with its place."""
    for item in items:
        if isinstance(item, Group):
            yield from _walk(item.items, place.inside(item))
        else:
            yield item, place


# --- Painting --------------------------------------------------------------------------------


@dataclass
class _Painter:
    """Writes the items of one page as content operators (clauses 8 and 9)."""

    canvas: Canvas
    leaves: Iterator[Leaf] | None = None
    """Of every text and drawing, in order; None to mark nothing."""
    mark: Mark | None = None
    """Of the marked content that is open."""
    operators: list[str] = field(default_factory=list)
    links: list[tuple[Link, _Place]] = field(default_factory=list)
    anchors: list[tuple[Anchor, _Place]] = field(default_factory=list)
    state: dict[str, str] = field(
        default_factory=lambda: (
            {"stroke": "0 G", "fill": "0 g", "width": "1 w", "cap": "0 J"}
            | {"join": "0 j", "dash": "[] 0 d", "spacing": "0 Tc"}
        )
    )
    """The operator that set each graphics parameter; at first the defaults of clause 8.4.1."""

    def content(self) -> str:
        """The operators so far; no marked content stays open."""
        if self.mark is not None:
            self.mark = None
            self.operators.append("EMC")
        return "\n".join(self.operators)

    def paint(self, items: Iterable[Item], place: _Place) -> None:
        """Paints the items in order."""
        for item in items:
            match item:
                case Text():
                    self._text(item, place, space_after=self._next_leaf())
                case Path():
                    self._next_leaf()
                    self._path(item, place)
                case Picture():
                    self._next_leaf()
                    self._picture(item, place)
                case Group():
                    self.paint(item.items, place.inside(item))
                case Link():
                    self.links.append((item, place))
                case Anchor():
                    self.anchors.append((item, place))
                case _:
                    assert_never(item)

    def _next_leaf(self) -> bool:
        """Opens the marked content of the next leaf; whether a space follows it."""
        if self.leaves is None:
            return False
        mark, space_after = next(self.leaves)
        if mark != self.mark:
            if self.mark is not None:
                self.operators.append("EMC")
            self.mark = mark
            self.operators.append(_marked(mark))
        return space_after

    def _set(self, parameter: str, operator: str) -> None:
        if self.state.get(parameter) != operator:
            self.state[parameter] = operator
            self.operators.append(operator)

    def _text(self, item: Text, place: _Place, *, space_after: bool) -> None:
        text = shown(item.text, item.face)
        if not text:
            return
        if space_after:
            text += " "
        self._set("fill", _ink(item.ink, "g", "rg"))
        self._set("spacing", f"{number(item.spacing_mm * _PT_PER_MM)} Tc")
        x_pt, y_pt = place.point(text_left_mm(item), item.y_mm)
        if place.a > 0:
            position = f"{number(x_pt)} {number(y_pt)} Td"
        else:
            matrix = (place.a, place.b, -place.c, -place.d)
            turn = " ".join(number(value * MM_PER_PT) for value in matrix)
            position = f"{turn} {number(x_pt)} {number(y_pt)} Tm"
        self.operators.append(f"BT {position}")
        font = _fonts()[item.face]
        # Of a face more than 255 characters make a second subset, with a name of its own.
        for subset, codes in font.splitString(text, self.canvas._doc):
            name = font.getSubsetInternalName(subset, self.canvas._doc)
            self._set("font", f"{name} {number(item.size_pt)} Tf")
            self.operators.append(f"<{codes.hex()}> Tj")
        self.operators.append("ET")

    def _path(self, item: Path, place: _Place) -> None:
        if item.stroke is None and item.fill is None:
            return
        if item.fill is not None:
            self._set("fill", _ink(item.fill, "g", "rg"))
        if item.stroke is not None:
            self._set("stroke", _ink(item.stroke, "G", "RG"))
            self._set("width", f"{number(item.stroke_pt)} w")
            self._set("cap", f"{item.cap.value} J")
            self._set("join", f"{item.join.value} j")
            dash = " ".join(number(mm * _PT_PER_MM) for mm in item.dash_mm)
            self._set("dash", f"[{dash}] 0 d")
        self.operators.append(_outline(item.segments, place))
        if item.fill is None:
            self.operators.append("S")
        else:
            self.operators.append("f" if item.stroke is None else "B")

    def _picture(self, item: Picture, place: _Place) -> None:
        """The dots as an image XObject (clause 8.9.5), stretched from its unit square."""
        name = _add_image(self.canvas, item.dots)
        left_mm, foot_mm = item.x_mm, item.y_mm + item.height_mm
        x_pt, y_pt = place.point(left_mm, foot_mm)
        wide, high = item.width_mm, item.height_mm
        matrix = (place.a * wide, place.b * wide, -place.c * high, -place.d * high, x_pt, y_pt)
        self.operators.append(f"q {' '.join(map(number, matrix))} cm /{name} Do Q")


def _add_image(canvas: Canvas, dots: Dots) -> str:
    """The name of these dots on the page; equal dots are one object of the file."""
    shape = f"{dots.columns} {dots.rows} ".encode()
    own = "image" + hashlib.sha256(shape + dots.data).hexdigest()[:16]
    name: str = canvas._doc.getXObjectName(own)
    if name not in canvas._doc.idToObject:
        image = PDFStream(content=dots.data, filters=[PDFZCompress])
        image.dictionary.dict |= {
            "Type": PDFName("XObject"),
            "Subtype": PDFName("Image"),
            "Width": dots.columns,
            "Height": dots.rows,
            "ColorSpace": PDFName("DeviceGray" if dots.is_grey else "DeviceRGB"),
            "BitsPerComponent": 8,
        }
        canvas._doc.addForm(own, image)
    if own not in canvas._formsinuse:
        canvas._formsinuse.append(own)
    return name


_FURNITURE: Final = {
    Furniture.LAYOUT: "/Layout",
    Furniture.PAGINATION: "/Pagination",
    Furniture.FOOTER: "/Pagination /Subtype /Footer",
}


def _marked(mark: Mark) -> str:
    """The operator that opens the marked content."""
    if mark.tag is None:
        return f"/Artifact <</Type {_FURNITURE[mark.furniture]}>> BDC"
    return f"/{mark.tag.value} <</MCID {mark.content_index}>> BDC"


@lru_cache(maxsize=4096)
def _outline(segments: tuple[Segment, ...], place: _Place) -> str:
    """The operators of a path's segments; the same drawing is on many pages of a class."""
    a, b, c, d, x_pt, y_pt = place
    written: list[str] = []
    for segment in segments:
        for x_mm, y_mm in zip(segment[::2], segment[1::2], strict=True):
            written += (number(x_pt + a * x_mm + c * y_mm), number(y_pt + b * x_mm + d * y_mm))
        written.append(_SEGMENT_OPERATORS[type(segment)])
    return " ".join(written)


_SEGMENT_OPERATORS: Final[dict[type[Segment], str]] = {
    MoveTo: "m",
    LineTo: "l",
    CurveTo: "c",
    Close: "h",
}


def _ink(ink: Ink, grey: str, colour: str) -> str:
    if ink.is_grey:
        return f"{number(ink.red)} {grey}"
    return f"{number(ink.red)} {number(ink.green)} {number(ink.blue)} {colour}"


@lru_cache(maxsize=8192)
def number(value: float) -> str:
    """A number to three places, as short as it goes.

    >>> number(12.0), number(-0.00049), number(0.1 + 0.2)
    ('12', '0', '0.3')
    """
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
