"""The three faces we print with: their advance widths and the bytes of their font files.

The widths come from `fonts/metrics.json`, which `fonts/build_metrics.py` makes from the font files,
so measuring text opens no font.
"""

from __future__ import annotations

import json
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from functools import cache
from importlib.resources import files
from typing import Final


class Face(Enum):
    """A font; the value is its PostScript name and the stem of its file in `fonts`."""

    REGULAR = "SourceSans3-Regular"
    BOLD = "SourceSans3-Bold"
    SYMBOLS = "PegfolioSymbols"
    """One em square a stitch: the letter of the stitch table shows as its symbol."""


REPLACEMENT: Final = "?"
"""Printed for a character the face lacks, never an empty box.  Callers refuse such text before, see
`missing_characters`."""


@dataclass(frozen=True, slots=True)
class Metrics:
    """A face measured in thousandths of its size; heights above the base line, descender below."""

    ascender: int
    """Top of d and l; of the cell in SYMBOLS."""
    descender: int
    """Foot of p and g, negative; 0 in SYMBOLS."""
    cap_height: int
    x_height: int
    widths: Mapping[str, int]
    """Advance width of each character that the face can show."""


def metrics(face: Face) -> Metrics:
    """The metrics of a face."""
    return _all_metrics()[face]


def font_bytes(face: Face) -> bytes:
    """The font file of a face, whole and unmodified."""
    return files("fonts").joinpath(f"{face.value}.ttf").read_bytes()


def missing_characters(text: str, face: Face = Face.REGULAR) -> str:
    """Characters of `text` that the face cannot show, each once, in order; "" if all is well.

    Characters without a picture of their own (controls, joiners) are not counted: they are left
    out of print.  A combining mark counts when there is no single character for it and its letter.

    >>> missing_characters("Größe 42 ½")
    ''
    >>> missing_characters("k2 ✂ k2 ✂")
    '✂'
    """
    known = metrics(face).widths
    lacking = [char for char in _normal(text) if char not in known and not _is_unseen(char)]
    return "".join(dict.fromkeys(lacking))


def shown(text: str, face: Face) -> str:
    """The characters that stand on the page for `text`: what is measured is what is written.

    Controls are left out, line ends and tabs become spaces, a letter and its combining mark become
    one character, and what the face lacks becomes `REPLACEMENT`.
    """
    known = metrics(face).widths
    if known.keys() >= set(text):
        return text
    spaced = "".join(" " if char in "\t\n\r\v\f\u2028\u2029" else char for char in _normal(text))
    return "".join(
        char if char in known else REPLACEMENT
        for char in spaced
        if char in known or not _is_unseen(char)
    )


def advance(text: str, face: Face) -> int:
    """Width of `text` as printed, in thousandths of the font size."""
    widths = metrics(face).widths
    try:
        return sum(map(widths.__getitem__, text))
    except KeyError:
        return sum(map(widths.__getitem__, shown(text, face)))


@cache
def _all_metrics() -> dict[Face, Metrics]:
    table = json.loads(files("fonts").joinpath("metrics.json").read_bytes())
    return {
        face: Metrics(
            entry["ascender"],
            entry["descender"],
            entry["cap_height"],
            entry["x_height"],
            dict(zip(entry["characters"], entry["widths"], strict=True)),
        )
        for face in Face
        for entry in (table[face.value],)
    }


def _normal(text: str) -> str:
    return unicodedata.normalize("NFC", text)


def _is_unseen(char: str) -> bool:
    return unicodedata.category(char) in {"Cc", "Cf"}
