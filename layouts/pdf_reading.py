"""Pages of a finished PDF as letters, lines and shapes at their places.

Only what is seen on paper is read (ISO 32000-1:2008, clauses 8 and 9): the letters by the shapes of
their glyphs, nothing of what a file tells to machines alone (text in tags, character tables,
metadata, outlines, notes), nothing that is invisible, white, cut off, or painted over.  It shares
no code with the modules that write.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator
from io import BytesIO
from typing import Final

from pypdf import PdfReader

from charts.printed_page import PrintedSheet
from layouts.pdf_content import ContentReader, PageTooLongError

MOST_BYTES: Final = 20_000_000
MOST_PAGES: Final = 400
MOST_OPERATORS: Final = 3_000_000
"""In all pages together; a booklet of 44 pages has 50 thousand."""
MOST_PAGE_BYTES: Final = 8_000_000
"""Of what one page shows, unpacked."""


for _library in ("pypdf", "fontTools"):
    # What they think of a damaged file is not for standard error, unless somebody asks for it.
    logging.getLogger(_library).addHandler(logging.NullHandler())


class UnreadablePdfError(Exception):
    """The file is no PDF that can be read; the message says why, and what is allowed."""


def read_pages(pdf: bytes) -> tuple[PrintedSheet, ...]:
    """Every page of the file, the first first.

    Raises UnreadablePdfError for a file that is too large, locked, damaged, or no PDF.
    """
    if len(pdf) > MOST_BYTES:
        raise UnreadablePdfError(
            f"{len(pdf) / 1e6:.0f} MB are too many; allowed: {MOST_BYTES // 10**6} MB"
        )
    if b"%PDF-" not in pdf[:1024]:
        raise UnreadablePdfError("this is no PDF")
    try:
        return tuple(_sheets(pdf))
    except UnreadablePdfError:
        raise
    except PageTooLongError:
        raise UnreadablePdfError("its pages hold more than any booklet does") from None
    except Exception as error:
        # Whatever a damaged file makes of the library that opens it, the file is at fault.
        raise UnreadablePdfError(f"the PDF is damaged ({type(error).__name__})") from None


def _sheets(pdf: bytes) -> Iterator[PrintedSheet]:
    file = PdfReader(BytesIO(pdf), strict=False)
    if file.is_encrypted:
        raise UnreadablePdfError("the PDF is locked with a password; allowed: one without")
    count = len(file.pages)
    if count > MOST_PAGES:
        raise UnreadablePdfError(f"{count} pages are too many; allowed: {MOST_PAGES}")
    reader = ContentReader(file, most_operators=MOST_OPERATORS, most_bytes=MOST_PAGE_BYTES)
    for number, page in enumerate(file.pages, start=1):
        yield reader.sheet(number, page)
