"""Finished PDFs bound into one, page after page, without holding any of them.

A class has hundreds of packs.  Each is written once, as a PDF of its own; here the objects of its
pages are copied to the end of one growing file (ISO 32000-1:2008, clause 7.5), so that what is
kept in memory is one pack and eight bytes an object, however many packs there are.  Making one long
document instead would hold every page until the fonts are known.  Fonts that are alike, as those of
`write_pdf` with one alphabet are, are written once.

Only what a printer needs is bound: pages and a bookmark for each PDF; links, tags and the bookmarks
within a PDF stay with the PDFs.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Iterator
from decimal import Decimal
from hashlib import sha256
from io import BytesIO
from typing import IO, Final, NamedTuple

import pikepdf

_HEADER: Final = b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"
"""The second line says that the file is binary (clause 7.5.2)."""
_KIDS: Final = 64
"""Pages in a node of the page tree."""
_CATALOG, _ROOT, _INFO, _OUTLINE = 1, 2, 3, 4
"""Numbers of the objects that are written last."""


class Collation:
    """One PDF in the making.  `append` puts PDFs at its end; `finish` completes it."""

    def __init__(self, file: IO[bytes], *, title: str, author: str = "") -> None:
        self._file = file
        self._title = title
        self._author = author
        self._offsets = array("Q", [0] * (_OUTLINE + 1))
        """Where each object begins, by its number; 0 for one that is not written yet."""
        self._at = 0
        self._shared: dict[bytes, int] = {}
        """Numbers of the objects below `Resources` by their digests: fonts, which are few."""
        self._digest = sha256()
        self._nodes: list[int] = []
        self._kids: list[int] = []
        self._node = 0
        self._pages = 0
        self._bookmark: _Bookmark | None = None
        """The last one, which is not written yet."""
        self._first_bookmark = 0
        self._bookmarks = 0
        self._write(_HEADER)

    @property
    def page_count(self) -> int:
        """Pages so far."""
        return self._pages

    def append(self, pdf: bytes, *, bookmark: str) -> int:
        """Bind the PDF; returns the number of its first page, from 1.

        Raises ValueError for a PDF without pages, pikepdf.PdfError for what is no PDF.
        """
        first = self._pages + 1
        with pikepdf.open(BytesIO(pdf)) as source:
            if not source.pages:
                raise ValueError("a PDF without pages cannot be bound")
            copied = _Copied(self)
            for page in source.pages:
                number = self._append_page(page, copied)
                if self._pages == first:
                    self._mark(bookmark, number)
        return first

    def finish(self) -> None:
        """Write what holds the pages together.  Nothing can be appended afterwards."""
        if not self._pages:
            raise ValueError("a PDF needs a page")
        self._end_node()
        kids = " ".join(f"{node} 0 R" for node in self._nodes)
        self._object(_ROOT, f"<< /Type /Pages /Kids [ {kids} ] /Count {self._pages} >>".encode())
        self._finish_outline()
        catalog = (
            f"<< /Type /Catalog /Pages {_ROOT} 0 R /Outlines {_OUTLINE} 0 R /PageMode /UseOutlines "
            "/ViewerPreferences << /DisplayDocTitle true /PrintScaling /None >> >>"
        )
        self._object(_CATALOG, catalog.encode())
        info = {"/Title": self._title, "/Author": self._author, "/Creator": "pegfolio"}
        facts = (
            b"%s %s" % (key.encode(), pikepdf.String(one).unparse()) for key, one in info.items()
        )
        self._object(_INFO, b"<< %s >>" % b" ".join(facts))
        self._finish_file()

    # Pages

    def _append_page(self, page: pikepdf.Page, copied: _Copied) -> int:
        if not self._kids:
            self._node = self._reserve()
            self._nodes.append(self._node)
        number = self._reserve()
        contents = [copied.content(part) for part in _contents(page)]
        body = b"<< /Type /Page /Parent %d 0 R /MediaBox %s /Resources %s /Contents [ %s ] >>" % (
            self._node,
            copied.value(page.mediabox),
            copied.value(page.resources),
            b" ".join(b"%d 0 R" % one for one in contents),
        )
        self._object(number, body)
        self._kids.append(number)
        self._pages += 1
        if len(self._kids) == _KIDS:
            self._end_node()
        return number

    def _end_node(self) -> None:
        """Write the node of the page tree that holds the last pages."""
        if self._kids:
            kids = " ".join(f"{kid} 0 R" for kid in self._kids)
            count = len(self._kids)
            node = f"<< /Type /Pages /Parent {_ROOT} 0 R /Kids [ {kids} ] /Count {count} >>"
            self._object(self._node, node.encode())
            self._kids = []

    # Bookmarks

    def _mark(self, title: str, page: int) -> None:
        """A bookmark for the page.  It is written once its neighbours have numbers."""
        number = self._reserve()
        before = self._bookmark.number if self._bookmark else 0
        self._write_bookmark(following=number)
        self._bookmark = _Bookmark(number, before, title, page)
        self._first_bookmark = self._first_bookmark or number
        self._bookmarks += 1

    def _write_bookmark(self, *, following: int) -> None:
        if self._bookmark is None:
            return
        mark = self._bookmark
        beside = [(b"/Prev", mark.before), (b"/Next", following)]
        links = b" ".join(b"%s %d 0 R" % one for one in beside if one[1])
        self._object(
            mark.number,
            b"<< /Title %s /Parent %d 0 R /Dest [ %d 0 R /Fit ] %s >>"
            % (pikepdf.String(mark.title).unparse(), _OUTLINE, mark.page, links),
        )

    def _finish_outline(self) -> None:
        self._write_bookmark(following=0)
        assert self._bookmark is not None
        self._object(
            _OUTLINE,
            b"<< /Type /Outlines /First %d 0 R /Last %d 0 R /Count %d >>"
            % (self._first_bookmark, self._bookmark.number, self._bookmarks),
        )

    # The file

    def write_shared(self, body: bytes) -> int:
        """The number of an object of that body, which is written if it is the first."""
        digest = sha256(body).digest()
        if digest not in self._shared:
            number = self._reserve()
            self._object(number, body)
            self._shared[digest] = number
        return self._shared[digest]

    def write_object(self, body: bytes) -> int:
        """The number of a new object of that body."""
        number = self._reserve()
        self._object(number, body)
        return number

    def _reserve(self) -> int:
        """The number of an object to be written later."""
        self._offsets.append(0)
        return len(self._offsets) - 1

    def _object(self, number: int, body: bytes) -> None:
        self._offsets[number] = self._at
        self._write(b"%d 0 obj\n%s\nendobj\n" % (number, body))

    def _write(self, data: bytes) -> None:
        self._file.write(data)
        self._digest.update(data)
        self._at += len(data)

    def _finish_file(self) -> None:
        """The table of the objects' places, and where it begins (clauses 7.5.4 and 7.5.5)."""
        start = self._at
        count = len(self._offsets)
        self._write(b"xref\n0 %d\n0000000000 65535 f \n" % count)
        for offset in self._offsets[1:]:
            self._write(b"%010d 00000 n \n" % offset)
        name = self._digest.hexdigest()[:32].encode()
        self._write(
            b"trailer\n<< /Size %d /Root %d 0 R /Info %d 0 R /ID [ <%s> <%s> ] >>\n"
            b"startxref\n%d\n%%%%EOF\n" % (count, _CATALOG, _INFO, name, name, start)
        )


class _Bookmark(NamedTuple):
    number: int
    """Of its object."""
    before: int
    """Of the bookmark before it; 0 for the first."""
    title: str
    page: int
    """Of the page's object."""


class _Copied:
    """The objects of one PDF that stand in the collation already."""

    def __init__(self, collation: Collation) -> None:
        self._collation = collation
        self._numbers: dict[tuple[int, int], int] = {}

    def content(self, stream: pikepdf.Object) -> int:
        """The number of a page's own stream."""
        return self._collation.write_object(self._body(stream))

    def value(self, one: object) -> bytes:
        """An object as it is written; those that it refers to are copied before it."""
        if isinstance(one, pikepdf.Object) and one.is_indirect:
            if one.objgen not in self._numbers:
                self._numbers[one.objgen] = self._collation.write_shared(self._body(one))
            return b"%d 0 R" % self._numbers[one.objgen]
        return self._body(one)

    def _body(self, one: object) -> bytes:
        """The object itself."""
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
