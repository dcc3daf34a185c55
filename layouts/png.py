"""One page as PNG, drawn from its PDF, so that a preview shows what the paper will show."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO

from layouts.pdf import Tagging, write_pdf
from layouts.scene import Document, Group, Item, Link, Page


class MissingLibraryError(Exception):
    """Raised when an optional library is not installed; the message says how to get it."""


def write_png(page: Page, *, dpi: int = 150) -> bytes:
    """The page as a PNG in greys, or in colours if it has any; its resolution is recorded.

    Raises MissingLibraryError if the extra `pegfolio[png]` is not installed.
    """
    try:
        import PIL.Image  # noqa: F401
        import pypdfium2
    except ImportError as error:
        raise MissingLibraryError(
            f"PNG needs {error.name}: install it with  pip install 'pegfolio[png]'"
        ) from error
    alone = replace(page, items=_without_links(page.items), outline=())
    drawn = write_pdf(Document((alone,), page.label), tagging=Tagging.PLAIN)
    pdf = pypdfium2.PdfDocument(drawn)
    try:
        image = pdf[0].render(scale=dpi / 72).to_pil()
    finally:
        pdf.close()
    file = BytesIO()
    image.save(file, "PNG", dpi=(dpi, dpi), optimize=False)
    return file.getvalue()


def _without_links(items: tuple[Item, ...]) -> tuple[Item, ...]:
    """The items without what leads to other pages."""
    return tuple(
        replace(item, items=_without_links(item.items)) if isinstance(item, Group) else item
        for item in items
        if not isinstance(item, Link)
    )
