"""PDF objects and the file round them (ISO 32000-1:2008, clauses 7.3 and 7.5)."""

from __future__ import annotations

import hashlib
import re
import unicodedata
import zlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Final, NewType

Pdf = NewType("Pdf", str)
"""A piece of PDF syntax, ready to be written."""

_HEADER: Final = b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"
_IRREGULAR: Final = re.compile(rb"[^!-~]|[#()<>\[\]{}/%]")


def name(text: str) -> Pdf:
    """A name: "/Font".

    >>> name("a b")
    '/a#20b'
    """
    escaped = _IRREGULAR.sub(lambda match: b"#%02X" % match[0][0], text.encode())
    return Pdf("/" + escaped.decode("ascii"))


def string(text: str) -> Pdf:
    """A text string: plain ASCII as it is, anything else in UTF-16.

    Control characters are left out; a lone surrogate becomes the replacement character.
    """
    text = "".join(char for char in text if unicodedata.category(char) != "Cc")
    if text.isascii():
        for char in "\\()":
            text = text.replace(char, "\\" + char)
        return Pdf(f"({text})")
    whole = text.encode("utf-16-be", "surrogatepass").decode("utf-16-be", "replace")
    return Pdf(f"<FEFF{whole.encode('utf-16-be').hex().upper()}>")


def number(value: float) -> Pdf:
    """A number to three places, as short as it goes.

    >>> number(12.0), number(-0.00049), number(0.1 + 0.2)
    ('12', '0', '0.3')
    """
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return Pdf("0" if text == "-0" else text)


def array(items: Iterable[str]) -> Pdf:
    """An array of pieces of syntax."""
    return Pdf(f"[{' '.join(items)}]")


def numbers(values: Iterable[float]) -> Pdf:
    """An array of numbers."""
    return array(map(number, values))


def dictionary(entries: Mapping[str, str]) -> Pdf:
    """A dictionary; keys without their slash."""
    return Pdf("<<" + "".join(f"/{key} {value}\n" for key, value in entries.items()) + ">>")


@dataclass
class PdfFile:
    """The objects of a file under construction, numbered from 1 in the order they are reserved."""

    bodies: list[bytes | None] = field(default_factory=list)

    def reserve(self) -> Pdf:
        """A reference to an object that will be filled later."""
        self.bodies.append(None)
        return Pdf(f"{len(self.bodies)} 0 R")

    def fill(self, reference: str, body: str) -> None:
        """Writes the object that was reserved."""
        self._put(reference, body.encode("ascii"))

    def add(self, body: str) -> Pdf:
        """Writes one more object."""
        reference = self.reserve()
        self.fill(reference, body)
        return reference

    def add_stream(self, content: bytes, entries: Mapping[str, str] | None = None) -> Pdf:
        """Writes a compressed stream."""
        packed = zlib.compress(content)
        entries = {**(entries or {}), "Filter": "/FlateDecode", "Length": str(len(packed))}
        reference = self.reserve()
        head = dictionary(entries).encode("ascii")
        self._put(reference, head + b"\nstream\n" + packed + b"\nendstream")
        return reference

    def finish(self, *, root: str, info: str) -> bytes:
        """The whole file.  Its identifier is made from its content alone."""
        pieces = [_HEADER]
        offsets = []
        position = len(_HEADER)
        for index, body in enumerate(self.bodies):
            assert body is not None, f"object {index + 1} was reserved and never filled"
            piece = b"%d 0 obj\n%s\nendobj\n" % (index + 1, body)
            offsets.append(position)
            pieces.append(piece)
            position += len(piece)
        size = len(offsets) + 1
        identifier = hashlib.sha256(b"".join(pieces)).hexdigest()[:32]
        trailer = dictionary(
            {
                "Size": str(size),
                "Root": root,
                "Info": info,
                "ID": array([f"<{identifier}>", f"<{identifier}>"]),
            }
        )
        table = "".join(f"{offset:010d} 00000 n \n" for offset in offsets)
        pieces.append(
            f"xref\n0 {size}\n0000000000 65535 f \n{table}"
            f"trailer\n{trailer}\nstartxref\n{position}\n%%EOF\n".encode("ascii")
        )
        return b"".join(pieces)

    def _put(self, reference: str, body: bytes) -> None:
        self.bodies[int(reference.split()[0]) - 1] = body
