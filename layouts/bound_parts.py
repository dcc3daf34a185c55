"""A long document written a few pages at a time, as one tagged PDF.

The tree of what a PDF holds is many times larger than its pages, and it is finished in one piece:
a table of a thousand rows takes thirty megabytes.  Here each stretch of pages is written and tagged
as a file of its own, whose objects then go to the end of one growing file.  What is heard is the
same: the elements of all stretches stand under one root (ISO 32000-1:2008, clause 14.7).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from io import BytesIO
from typing import IO, Any, Final

import pikepdf

from layouts.growing_pdf import Copied, GrowingPdf, references
from layouts.pdf import write_pdf
from layouts.scene import Document

PAGES: Final = 8
"""In a stretch; a document of no more is written in one piece."""


def write_in_parts(
    document: Document, file: IO[bytes], *, alphabet: str, dated: datetime | None = None
) -> None:
    """The document as a tagged PDF; equal documents give equal bytes.

    It is `dated` as `write_pdf` does it.  The alphabet holds all its characters.  Raises ValueError
    for one of several stretches that has links or bookmarks, which may lead from one to another.
    """
    if len(document.pages) <= PAGES:
        file.write(write_pdf(document, dated=dated))
        return
    if any(page.outline for page in document.pages):
        raise ValueError("a document with bookmarks is written in one piece")
    binding = _Binding(file)
    for at in range(0, len(document.pages), PAGES):
        part = replace(document, pages=document.pages[at : at + PAGES])
        binding.append(write_pdf(part, alphabet=alphabet, dated=dated))
    binding.finish()


class _Binding:
    """One tagged PDF in the making."""

    def __init__(self, file: IO[bytes]) -> None:
        self._growing = GrowingPdf(file)
        self._trunk = self._growing.reserve()
        self._root = self._growing.reserve()
        self._kids: list[int] = []
        """Of the root, a few each page."""
        self._by_page: list[int] = []
        """The arrays that lead from the content of each page to its elements."""
        self._catalog = b""
        self._info = b""

    def append(self, pdf: bytes) -> None:
        """The pages of a stretch and what is told of them."""
        with pikepdf.open(BytesIO(pdf)) as source:
            copied = Copied(self._growing)
            if not self._catalog:
                self._describe(source, copied)
            pages = {page.obj.objgen: self._growing.reserve() for page in source.pages}
            tree = source.Root.StructTreeRoot
            elements: dict[tuple[int, int], int] = {}
            for kid in _listed(tree.K.K):
                self._kids.append(self._element(kid, self._root, copied, pages, elements))
            by_page = list(_listed(tree.ParentTree.Nums))[1::2]
            for page, parents in zip(source.pages, by_page, strict=True):
                more = b"/Tabs /S /StructParents %d " % len(self._by_page)
                self._growing.write_page(pages[page.obj.objgen], page, copied, more)
                found = references(elements[one.objgen] for one in _listed(parents))
                self._by_page.append(self._growing.write_new(b"[ %s ]" % found))

    def _describe(self, source: pikepdf.Pdf, copied: Copied) -> None:
        """What the first stretch tells of the file tells of the whole one."""
        self._info = copied.body(source.docinfo)
        root = source.Root
        self._catalog = b" ".join(
            b"%s %s" % (key.encode(), copied.value(root[key])) for key in _ABOUT if key in root
        )

    def _element(
        self,
        element: pikepdf.Object,
        parent: int,
        copied: Copied,
        pages: dict[tuple[int, int], int],
        elements: dict[tuple[int, int], int],
    ) -> int:
        """The number of an element, whose kids are written before it."""
        number = self._growing.reserve()
        elements[element.objgen] = number
        kids = []
        for kid in _listed(element.get("/K", pikepdf.Array())):
            if isinstance(kid, int):
                kids.append(b"%d" % kid)
            elif "/S" in kid:
                below = self._element(kid, number, copied, pages, elements)
                kids.append(references([below]))
            else:
                raise ValueError("a document with links is written in one piece")
        entries = [b"/P %d 0 R /K [ %s ]" % (parent, b" ".join(kids))]
        if "/Pg" in element:
            entries.append(b"/Pg %d 0 R" % pages[element.Pg.objgen])
        for key, value in element.items():
            if key not in ("/P", "/K", "/Pg"):
                entries.append(b"%s %s" % (key.encode(), copied.value(value)))
        self._growing.write(number, b"<< %s >>" % b" ".join(entries))
        return number

    def finish(self) -> None:
        """What holds the stretches together."""
        growing = self._growing
        kids = references(self._kids)
        growing.write(self._root, b"<< /S /Document /P %d 0 R /K [ %s ] >>" % (self._trunk, kids))
        numbers = b" ".join(b"%d %d 0 R" % one for one in enumerate(self._by_page))
        parents = growing.write_new(b"<< /Nums [ %s ] >>" % numbers)
        growing.write(
            self._trunk,
            b"<< /Type /StructTreeRoot /K %d 0 R /ParentTree %d 0 R /ParentTreeNextKey %d >>"
            % (self._root, parents, len(self._by_page)),
        )
        catalog = b"/StructTreeRoot %d 0 R %s" % (self._trunk, self._catalog)
        growing.finish(catalog, self._info)


_ABOUT: Final = (
    "/Lang",
    "/MarkInfo",
    "/Metadata",
    "/OutputIntents",
    "/PageMode",
    "/ViewerPreferences",
)
"""What the catalog says of the whole file; pages without labels are numbered from 1."""


def _listed(value: Any) -> Any:
    """The items of an array, or the only one."""
    return value if isinstance(value, pikepdf.Array) else [value]
