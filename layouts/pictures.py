"""A picture file made ready for print: checked before it is decoded, and only its dots kept.

Anybody's file may come here, so the number of its dots is read from its head before room is made
for them, and nothing of it but the dots is printed: no comments, no place or time, no thumbnail.
"""

from __future__ import annotations

import warnings
from io import BytesIO
from typing import TYPE_CHECKING, Final

from layouts.edition import Inks
from layouts.paper import MM_PER_INCH
from layouts.scene import Dots, Picture

if TYPE_CHECKING:
    from PIL.Image import Image

PRINT_PPI: Final = 300
"""Dots to the inch of a picture in print; finer is not seen (common practice, no published source).
"""
LEAST_PPI: Final = 150
"""A coarser picture is printed smaller instead (common practice, no published source)."""

MOST_BYTES: Final = 10_000_000
MOST_DOTS: Final = 16_000_000
"""Width times height: some 64 MB while it is made ready."""
LEAST_SIDE_DOTS: Final = 60
"""Of the longer side: 10 mm in print."""
MOST_LONGER: Final = 12
"""Times that one side may be longer than the other."""

_SIGNATURES: Final = {b"\x89PNG\r\n\x1a\n": "PNG", b"\xff\xd8\xff": "JPEG"}
"""How the files begin: W3C, "PNG Specification (Third Edition)", 5.2; ITU-T T.81, B.1.1.3."""


class PictureError(Exception):
    """Raised for a file that cannot be printed as a picture."""

    def __init__(self, what: str, allowed: str = "", suggestion: str = "") -> None:
        self.what = what
        self.allowed = allowed
        self.suggestion = suggestion
        super().__init__(what)


def read_picture(
    data: bytes, *, width_mm: float, height_mm: float, alt: str, inks: Inks = Inks.GREY
) -> Picture:
    """The picture of a PNG or JPEG file, as large as a box of that size allows, its top left corner
    at the origin.

    What is transparent becomes white paper, what a camera says of the way it was held is heeded,
    colours become greys where there is black ink only, and more dots than `PRINT_PPI` are merged.
    Raises PictureError.
    """
    if len(data) > MOST_BYTES:
        raise PictureError(
            f"the picture has more than {MOST_BYTES // 1_000_000} MB",
            f"up to {MOST_BYTES // 1_000_000} MB",
            "save it smaller",
        )
    kind = next((kind for begin, kind in _SIGNATURES.items() if data.startswith(begin)), None)
    if kind is None:
        what = "the file is empty" if not data else "the file is neither PNG nor JPEG"
        raise PictureError(what, "a PNG or JPEG picture", "save it as PNG")
    whole = _opaque(_decoded(data, kind))
    _refuse_blank(whole)
    columns, rows = whole.size
    scale = min(width_mm / columns, height_mm / rows, MM_PER_INCH / LEAST_PPI)
    shown_mm = (columns * scale, rows * scale)
    dots = [max(1, round(side_mm / MM_PER_INCH * PRINT_PPI)) for side_mm in shown_mm]
    if dots[0] < columns or dots[1] < rows:
        from PIL.Image import Resampling

        whole = whole.resize((dots[0], dots[1]), Resampling.LANCZOS)
    if inks is Inks.GREY or _is_grey(whole):
        # Luma of ITU-R BT.601-7, 2.5.1: what a photocopier would make of it, near enough.
        whole = whole.convert("L")
    return Picture(0.0, 0.0, *shown_mm, Dots(*whole.size, whole.tobytes()), alt)


def _decoded(data: bytes, kind: str) -> Image:
    """The picture, once its head has shown that it is of a size to be printed."""
    from PIL import Image, ImageOps

    try:
        with warnings.catch_warnings():
            # Of many dots, which are counted here, and of what is not printed anyway.
            warnings.simplefilter("ignore")
            image = Image.open(BytesIO(data), formats=(kind,))
            _refuse_size(*image.size)
            image.load()
            return ImageOps.exif_transpose(image)
    except PictureError:
        raise
    except Image.DecompressionBombError:
        raise _too_many_dots("hundreds of millions of dots") from None
    except Exception as error:
        # A broken file can bring decoders to raise almost anything.
        raise PictureError(f"the {kind} picture is broken", suggestion="save it anew") from error


def _refuse_size(columns: int, rows: int) -> None:
    told = f"{columns:,} x {rows:,} dots"
    shorter, longer = sorted((columns, rows))
    if columns * rows > MOST_DOTS:
        raise _too_many_dots(told)
    if longer < LEAST_SIDE_DOTS:
        allowed = f"{LEAST_SIDE_DOTS} dots or more along the longer side"
        raise PictureError(f"the picture has {told}, too few to print", allowed)
    if longer > MOST_LONGER * shorter:
        allowed = f"one side up to {MOST_LONGER} times the other"
        raise PictureError(f"the picture has {told}, too long and narrow", allowed)


def _too_many_dots(told: str) -> PictureError:
    allowed = f"up to {MOST_DOTS // 1_000_000} million dots"
    return PictureError(f"the picture has {told}, too many", allowed, "save it smaller")


def _opaque(image: Image) -> Image:
    """The picture in red, green and blue, or in greys, on white paper."""
    from PIL import Image as Images

    if image.mode.startswith("I"):
        # Greys of 16 bits, which a plain conversion would cut off at 255.
        image = image.convert("I").point(lambda level: level / 256).convert("L")
    if not image.has_transparency_data:
        return image if image.mode == "L" else image.convert("RGB")
    drawn = image.convert("RGBA")
    paper = Images.new("RGBA", drawn.size, "white")
    return Images.alpha_composite(paper, drawn).convert("RGB")


def _refuse_blank(image: Image) -> None:
    darkest, _ = image.convert("L").getextrema()
    if isinstance(darkest, int | float) and darkest > _FAINTEST:
        what = "the picture is white, or nearly, on white paper"
        raise PictureError(what, suggestion="a darker one, or one on a dark ground")


_FAINTEST: Final = 230
"""Of 255: a picture without anything darker is hardly seen in print."""


def _is_grey(image: Image) -> bool:
    """Whether red, green and blue are the same in every dot."""
    if image.mode == "L":
        return True
    red, green, blue = image.split()
    return red.tobytes() == green.tobytes() == blue.tobytes()
