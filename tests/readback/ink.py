"""Pages of a PDF as dots of ink: everything, the texts alone, or all that is no text.

pikepdf (on qpdf) takes operators out of a page, pypdfium2 (PDFium) draws what is left and knows
the ink box of each letter.
"""

from __future__ import annotations

import ctypes
from collections.abc import Iterator
from enum import Enum
from io import BytesIO
from itertools import product
from typing import Any, NamedTuple

import pikepdf
import pypdfium2
import pypdfium2.raw as pdfium
from PIL import Image, ImageChops

MM_PER_PT = 25.4 / 72
DPI = 200
"""Dots of 0.13 mm: fine enough to see a letter touch a line of 0.3 pt."""
EDGE_DPI = 100

_PAINT = frozenset(("S", "s", "f", "F", "f*", "B", "B*", "b", "b*"))
_SHOW = frozenset(("Tj", "TJ", "'", '"'))
_SYMBOLS = "PegfolioSymbols"


class Layer(Enum):
    """What of a page is drawn."""

    ALL = "all"
    TEXTS = "texts"
    """Letters in black; symbols and white letters are left out."""
    OTHERS = "others"
    """Lines, areas and symbols."""


def drawn_pages(pdf: bytes, layer: Layer, *, dpi: int = DPI) -> Iterator[Image.Image]:
    """Each page in greys."""
    data = pdf if layer is Layer.ALL else _only(pdf, layer)
    document = pypdfium2.PdfDocument(data)
    try:
        for page in document:
            yield page.render(scale=dpi / 72, grayscale=True).to_pil().convert("L")
    finally:
        document.close()


def _only(pdf: bytes, layer: Layer) -> bytes:
    out = BytesIO()
    with pikepdf.open(BytesIO(pdf)) as file:
        for page in file.pages:
            symbols = {
                str(name)
                for name, font in page.Resources.Font.items()
                if str(font.BaseFont).endswith(_SYMBOLS)
            }
            kept = _kept(page, symbols, layer)
            page.Contents = file.make_stream(pikepdf.unparse_content_stream(kept))
        file.save(out, compress_streams=False)
    return out.getvalue()


def _kept(page: pikepdf.Page, symbols: set[str], layer: Layer) -> list[Any]:
    """The operations of that layer."""
    texts = layer is Layer.TEXTS
    kept: list[Any] = []
    in_symbols, is_white = False, False
    for one in pikepdf.parse_content_stream(page):
        operator = str(one.operator)
        if operator == "Tf":
            in_symbols = str(one.operands[0]) in symbols
        elif operator == "g":
            is_white = float(one.operands[0]) == 1.0
        if texts and operator == "g":
            kept.append(([0], pikepdf.Operator("g")))
        elif texts and operator in _PAINT:
            kept.append(([], pikepdf.Operator("n")))
        elif operator not in _SHOW or (in_symbols != texts and not (texts and is_white)):
            kept.append(one)
    return kept


def shared_ink(texts: Image.Image, others: Image.Image) -> tuple[int, int, int, int] | None:
    """Where letters lie on lines, areas or symbols, in dots; None if nowhere."""
    return ImageChops.logical_and(_mask(texts), _mask(others)).getbbox()


def ink_outside(page: Image.Image, margin_mm: float) -> str:
    """The edges whose strip of that width has ink, of a page drawn with EDGE_DPI; empty if none."""
    strip = int(margin_mm / 25.4 * EDGE_DPI)
    width, height = page.size
    strips = {
        "left": (0, 0, strip, height),
        "right": (width - strip, 0, width, height),
        "top": (0, 0, width, strip),
        "bottom": (0, height - strip, width, height),
    }
    white = 250
    return " ".join(name for name, box in strips.items() if any(page.crop(box).histogram()[:white]))


def _mask(page: Image.Image) -> Image.Image:
    """The dots that are more than half covered with black."""
    return page.point([255 if level < 128 else 0 for level in range(256)]).convert("1")


# --- Letters on letters ----------------------------------------------------------------------


class InkBox(NamedTuple):
    """The box round the ink of one letter, in points, y up."""

    letter: str
    text: int
    """Tells the texts of a page apart."""
    left: float
    bottom: float
    right: float
    top: float

    def shares(self, other: InkBox, more_than_mm: float) -> bool:
        """Whether the two share more than that both ways."""
        room = more_than_mm / MM_PER_PT
        return (
            min(self.right, other.right) - max(self.left, other.left) > room
            and min(self.top, other.top) - max(self.bottom, other.bottom) > room
        )


def letters_on_letters(pdf: bytes, *, tolerance_mm: float) -> Iterator[tuple[int, str, str]]:
    """Page number and letters, for letters of two texts whose ink boxes share more than that."""
    document = pypdfium2.PdfDocument(pdf)
    for number, page in enumerate(document, start=1):
        fields: dict[tuple[int, int], list[InkBox]] = {}
        for box in _ink_boxes(page):
            reached = {
                (int(x // _FIELD), int(y // _FIELD))
                for x, y in product((box.left, box.right), (box.bottom, box.top))
            }
            for field in reached:
                for other in fields.setdefault(field, []):
                    if other.text != box.text and box.shares(other, tolerance_mm):
                        yield number, other.letter, box.letter
                fields[field].append(box)


_FIELD = 40.0
"""Letters are looked for in squares of that many points; all are smaller."""


def _ink_boxes(page: pypdfium2.PdfPage) -> Iterator[InkBox]:
    """Every letter but symbols and blanks."""
    text = page.get_textpage()
    is_symbol: dict[int, bool] = {}
    for index in range(text.count_chars()):
        letter = chr(pdfium.FPDFText_GetUnicode(text, index))
        if letter.isspace() or pdfium.FPDFText_IsGenerated(text, index) == 1:
            continue
        item = pdfium.FPDFText_GetTextObject(text, index)
        address = ctypes.addressof(item.contents)
        if address not in is_symbol:
            is_symbol[address] = _font_name(item).endswith(_SYMBOLS)
        if not is_symbol[address]:
            yield InkBox(letter, address, *text.get_charbox(index))


def _font_name(item: pdfium.FPDF_PAGEOBJECT) -> str:
    font = pdfium.FPDFTextObj_GetFont(item)
    name = ctypes.create_string_buffer(200)
    pdfium.FPDFFont_GetBaseFontName(font, name, len(name))
    return name.value.decode("ascii")
