"""Which letters the codes of an embedded font show, told by the shapes of its glyphs.

A file says in hidden tables which characters its codes stand for; a reader sees the shapes alone.
So the outlines of each embedded glyph (OpenType 1.9, tables `glyf` and `loca`) are compared with
those of the font files that we print with; a shape that is in none of them is no letter.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from importlib.resources import files
from io import BytesIO
from typing import Final

from fontTools.ttLib import TTFont

from charts.printed_page import Face

NO_LETTER: Final = "\ufffd"
"""Stands for a shape that is not known."""

_FILES: Final = {
    Face.REGULAR: "SourceSans3-Regular.ttf",
    Face.BOLD: "SourceSans3-Bold.ttf",
    Face.SYMBOLS: "PegfolioSymbols.ttf",
}
_MOST_GLYPHS: Final = 5000
_DEEPEST: Final = 4
"""Glyphs of glyphs are followed this far."""


@dataclass(frozen=True)
class FontLetters:
    """What a font shows."""

    face: Face
    by_code: dict[int, str]
    """The letter of each code of one byte."""
    by_glyph: tuple[str, ...]
    """The letter of each glyph; a glyph without ink is a blank."""


def letters_of(font_file: bytes) -> FontLetters:
    """The letters of an embedded TrueType font.

    Raises whatever fontTools raises for a file that is no font.
    """
    font = TTFont(BytesIO(font_file), lazy=True, fontNumber=0)
    shapes = list(_shapes(font))
    known = max(
        _alphabets().items(),
        key=lambda one: sum(bool(shape) and shape in one[1] for shape in shapes),
    )
    face, alphabet = known
    letters = tuple(alphabet.get(shape, NO_LETTER) if shape else " " for shape in shapes)
    if all(letter in (" ", NO_LETTER) for letter in letters):
        face = Face.OTHER
    ids = {name: index for index, name in enumerate(font.getGlyphOrder())}
    codes: dict[int, str] = {}
    for table in font["cmap"].tables if "cmap" in font else ():
        if (table.platformID, table.platEncID) in ((1, 0), (3, 0)):
            for code, name in table.cmap.items():
                codes.setdefault(code & 0xFF, letters[ids[name]])
    return FontLetters(face, codes, letters)


@cache
def _alphabets() -> dict[Face, dict[bytes, str]]:
    """The letter of every shape of the faces that we print with."""
    found = {}
    for face, name in _FILES.items():
        font = TTFont(BytesIO(files("fonts").joinpath(name).read_bytes()), lazy=True)
        shapes = list(_shapes(font))
        alphabet: dict[bytes, str] = {}
        for code, glyph in sorted(font.getBestCmap().items(), key=lambda one: _rank(one[0])):
            shape = shapes[font.getGlyphID(glyph)]
            if shape:
                alphabet.setdefault(shape, chr(code))
        found[face] = alphabet
    return found


def _rank(code: int) -> tuple[bool, int]:
    """Of characters with one shape the plain one comes first: ’ before the letter like it."""
    return (unicodedata.category(chr(code)) in ("Lm", "Sk", "Mn"), code)


def _shapes(font: TTFont) -> Iterator[bytes]:
    """The outline of each glyph without its hints, as a digest; nothing for one without ink."""
    places = font["loca"]
    count = len(places) - 1
    if count > _MOST_GLYPHS:
        raise ValueError(f"{count} glyphs")
    table = font.reader["glyf"]
    outlines = _Outlines([table[places[index] : places[index + 1]] for index in range(count)])
    for index in range(count):
        yield outlines.shape(index)


class _Outlines:
    """The glyphs of a font; a glyph made of others is as they are."""

    def __init__(self, glyphs: list[bytes]) -> None:
        self.glyphs = glyphs
        self.found: dict[int, bytes] = {}

    def shape(self, index: int, depth: int = 0) -> bytes:
        if index not in self.found:
            data = self.glyphs[index]
            self.found[index] = sha256(self._outline(data, depth)).digest() if data else b""
        return self.found[index]

    def _outline(self, data: bytes, depth: int) -> bytes:
        contours = int.from_bytes(data[:2], "big", signed=True)
        if contours >= 0:
            head = 10 + 2 * contours
            hints = int.from_bytes(data[head : head + 2], "big")
            return data[:head] + data[head + 2 + hints :].rstrip(b"\0")
        if depth == _DEEPEST:
            raise ValueError("glyphs within glyphs")
        return b"".join([data[:10], *self._parts(data, depth)])

    def _parts(self, data: bytes, depth: int) -> Iterator[bytes]:
        """The shapes and places of what a glyph is made of."""
        at, more = 10, True
        while more:
            flags, index = (int.from_bytes(data[at + k : at + k + 2], "big") for k in (0, 2))
            size = 4 if flags & _WORDS else 2
            size += 2 if flags & _SCALE else 4 if flags & _SCALES else 8 if flags & _MATRIX else 0
            yield data[at + 4 : at + 4 + size]
            yield self.shape(index, depth + 1)
            at += 4 + size
            more = bool(flags & _MORE)


_WORDS: Final = 0x0001
_SCALE: Final = 0x0008
_MORE: Final = 0x0020
_SCALES: Final = 0x0040
_MATRIX: Final = 0x0080
"""Flags of a part of a glyph (OpenType 1.9, `glyf`, component flags)."""
