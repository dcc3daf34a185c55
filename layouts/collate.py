"""Finished PDFs bound into one, page after page, without holding any of them.

A class has hundreds of packs.  Each is written once, as a PDF of its own; here the objects of its
pages are copied to the end of one growing file, so that what is kept in memory is one pack and
eight bytes an object, however many packs there are.  Making one long document instead would hold
every page until the fonts are known.  Fonts that are alike, as those of `write_pdf` with one
alphabet are, are written once.

Only what a printer needs is bound: pages and a bookmark for each PDF; links, tags and the bookmarks
within a PDF stay with the PDFs.
"""

from __future__ import annotations

from datetime import datetime
from io import BytesIO
from typing import IO, NamedTuple

import pikepdf

from layouts.growing_pdf import Copied, GrowingPdf
from layouts.pdf_metadata import PROGRAM, pdf_date


class Collation:
    """One PDF in the making.  `append` puts PDFs at its end; `finish` completes it."""

    def __init__(
        self, file: IO[bytes], *, title: str, author: str = "", dated: datetime | None = None
    ) -> None:
        """`dated` is an instant of UTC; without it the file has no date."""
        self._growing = GrowingPdf(file)
        self._facts = {"/Title": title, "/Author": author, "/Creator": PROGRAM}
        if dated is not None:
            self._facts |= {"/CreationDate": pdf_date(dated), "/ModDate": pdf_date(dated)}
        self._outline = self._growing.reserve()
        self._bookmark: _Bookmark | None = None
        """The last one, which is not written yet."""
        self._first_bookmark = 0
        self._bookmarks = 0

    @property
    def page_count(self) -> int:
        """Pages so far."""
        return self._growing.page_count

    def append(self, pdf: bytes, *, bookmark: str) -> int:
        """Bind the PDF; returns the number of its first page, from 1.

        Raises ValueError for a PDF without pages, pikepdf.PdfError for what is no PDF.
        """
        first = self.page_count + 1
        with pikepdf.open(BytesIO(pdf)) as source:
            if not source.pages:
                raise ValueError("a PDF without pages cannot be bound")
            copied = Copied(self._growing)
            for page in source.pages:
                number = self._growing.reserve()
                self._growing.write_page(number, page, copied)
                if self.page_count == first:
                    self._mark(bookmark, number)
        return first

    def finish(self) -> None:
        """Write what holds the pages together.  Nothing can be appended afterwards."""
        if not self.page_count:
            raise ValueError("a PDF needs a page")
        self._finish_outline()
        catalog = (
            b"/Outlines %d 0 R /PageMode /UseOutlines "
            b"/ViewerPreferences << /DisplayDocTitle true /PrintScaling /None >>" % self._outline
        )
        facts = (
            b"%s %s" % (key.encode(), pikepdf.String(one).unparse())
            for key, one in self._facts.items()
        )
        self._growing.finish(catalog, b"<< %s >>" % b" ".join(facts))

    # Bookmarks

    def _mark(self, title: str, page: int) -> None:
        """A bookmark for the page.  It is written once its neighbours have numbers."""
        number = self._growing.reserve()
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
        self._growing.write(
            mark.number,
            b"<< /Title %s /Parent %d 0 R /Dest [ %d 0 R /Fit ] %s >>"
            % (pikepdf.String(mark.title).unparse(), self._outline, mark.page, links),
        )

    def _finish_outline(self) -> None:
        self._write_bookmark(following=0)
        assert self._bookmark is not None
        self._growing.write(
            self._outline,
            b"<< /Type /Outlines /First %d 0 R /Last %d 0 R /Count %d >>"
            % (self._first_bookmark, self._bookmark.number, self._bookmarks),
        )


class _Bookmark(NamedTuple):
    number: int
    """Of its object."""
    before: int
    """Of the bookmark before it; 0 for the first."""
    title: str
    page: int
    """Of the page's object."""
