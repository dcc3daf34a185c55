"""A PDF that grows at its end: objects written one by one, of which only the places are kept.

Eight bytes an object stay in memory, and a digest for each object that may come again, as fonts do
(ISO 32000-1:2008, clause 7.5).
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Iterator
from decimal import Decimal
from hashlib import sha256
from typing import IO, Final

import pikepdf

_HEADER: Final = b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"
"""The second line says that the file is binary (clause 7.5.2)."""
_KIDS: Final = 64
"""Pages in a node of the page tree."""


class GrowingPdf:
    """The objects of one file in the making, and the tree of its pages."""

    def __init__(self, file: IO[bytes]) -> None:
        self._file = file
        self._offsets = array("Q", [0])
        """Where each object begins, by its number; 0 for one that is not written yet."""
        self._at = 0
        self._shared: dict[bytes, int] = {}
        """Numbers of objects that may come again, by their digests."""
        self._digest = sha256()
        self._pages_root = self.reserve()
        self._nodes: list[int] = []
        self._kids: list[int] = []
        self.page_count = 0
        """Pages so far."""
        self._append(_HEADER)

    # Objects

    def reserve(self) -> int:
        """The number of an object to be written later."""
        self._offsets.append(0)
        return len(self._offsets) - 1

    def write(self, number: int, body: bytes) -> None:
        """An object whose number was reserved."""
        self._offsets[number] = self._at
        self._append(b"%d 0 obj\n%s\nendobj\n" % (number, body))

    def write_new(self, body: bytes) -> int:
        """The number of a new object of that body."""
        number = self.reserve()
        self.write(number, body)
        return number

    def write_shared(self, body: bytes) -> int:
        """The number of an object of that body, which is written if it is the first."""
        digest = sha256(body).digest()
        if digest not in self._shared:
            self._shared[digest] = self.write_new(body)
        return self._shared[digest]

    # Pages

    def write_page(
        self, number: int, page: pikepdf.Page, copied: Copied, more: bytes = b""
    ) -> None:
        """The page at the end of the others, with `more` entries in it."""
        if not self._kids:
            self._nodes.append(self.reserve())
        contents = [copied.content(part) for part in _contents(page)]
        body = b"<< /Type /Page /Parent %d 0 R /MediaBox %s /Resources %s /Contents [ %s ] %s>>" % (
            self._nodes[-1],
            copied.value(page.mediabox),
            copied.value(page.resources),
            b" ".join(b"%d 0 R" % one for one in contents),
            more,
        )
        self.write(number, body)
        self._kids.append(number)
        self.page_count += 1
        if len(self._kids) == _KIDS:
            self._end_node()

    def _end_node(self) -> None:
        """Write the node of the page tree that holds the last pages."""
        if self._kids:
            kids = references(self._kids)
            self.write(
                self._nodes[-1],
                b"<< /Type /Pages /Parent %d 0 R /Kids [ %s ] /Count %d >>"
                % (self._pages_root, kids, len(self._kids)),
            )
            self._kids = []

    # The end

    def finish(self, catalog: bytes, info: bytes) -> None:
        """Write what holds the file together: the tree of the pages, the catalog with these entries
        and the dictionary about the file, the table of the objects' places, and where it begins
        (clauses 7.5.4 and 7.5.5).  Raises ValueError without a page."""
        if not self.page_count:
            raise ValueError("a PDF needs a page")
        self._end_node()
        self.write(
            self._pages_root,
            b"<< /Type /Pages /Kids [ %s ] /Count %d >>"
            % (references(self._nodes), self.page_count),
        )
        root = self.write_new(
            b"<< /Type /Catalog /Pages %d 0 R %s >>" % (self._pages_root, catalog)
        )
        about = self.write_new(info)
        start = self._at
        count = len(self._offsets)
        self._append(b"xref\n0 %d\n0000000000 65535 f \n" % count)
        for offset in self._offsets[1:]:
            self._append(b"%010d 00000 n \n" % offset)
        name = self._digest.hexdigest()[:32].encode()
        self._append(
            b"trailer\n<< /Size %d /Root %d 0 R /Info %d 0 R /ID [ <%s> <%s> ] >>\n"
            b"startxref\n%d\n%%%%EOF\n" % (count, root, about, name, name, start)
        )

    def _append(self, data: bytes) -> None:
        self._file.write(data)
        self._digest.update(data)
        self._at += len(data)


def references(numbers: Iterable[int]) -> bytes:
    """
    >>> references([3, 5])
    b'3 0 R 5 0 R'
    """
    return b" ".join(b"%d 0 R" % number for number in numbers)


class Copied:
    """The objects of one PDF that stand in the growing one already."""

    def __init__(self, growing: GrowingPdf) -> None:
        self._growing = growing
        self._numbers: dict[tuple[int, int], int] = {}

    def content(self, stream: pikepdf.Object) -> int:
        """The number of a page's own stream."""
        return self._growing.write_new(self.body(stream))

    def value(self, one: object) -> bytes:
        """An object as it is written; those that it refers to are copied before it."""
        if isinstance(one, pikepdf.Object) and one.is_indirect:
            if one.objgen not in self._numbers:
                self._numbers[one.objgen] = self._growing.write_shared(self.body(one))
            return b"%d 0 R" % self._numbers[one.objgen]
        return self.body(one)

    def body(self, one: object) -> bytes:
        """The object itself as it is written."""
        match one:
            case bool():
                return b"true" if one else b"false"
            case int() | Decimal():
                return f"{one:f}".encode() if isinstance(one, Decimal) else b"%d" % one
            case None:
                return b"null"
            case pikepdf.Stream():
                head = self._entries(one.stream_dict)
                return b"%s\nstream\n%s\nendstream" % (head, one.read_raw_bytes())
            case pikepdf.Dictionary():
                return self._entries(one)
            case pikepdf.Array():
                return b"[ %s ]" % b" ".join(map(self.value, one))
            case pikepdf.Object():
                return one.unparse()
            case _:
                raise TypeError(f"{type(one).__name__} is no object of a PDF")

    def _entries(self, one: pikepdf.Object) -> bytes:
        return _dictionary((key, self.value(value)) for key, value in one.items())


def _dictionary(entries: Iterable[tuple[str, bytes]]) -> bytes:
    """Names, each with what stands under it."""
    cells = (b"%s %s" % (pikepdf.Name(key).unparse(), value) for key, value in entries)
    return b"<< %s >>" % b" ".join(cells)


def _contents(page: pikepdf.Page) -> Iterator[pikepdf.Object]:
    """The streams of a page, one or several."""
    contents = page.obj.get("/Contents")
    if isinstance(contents, pikepdf.Array):
        yield from contents
    elif contents is not None:
        yield contents
