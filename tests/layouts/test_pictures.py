"""Picture files made ready for print; made here with pillow, read back with pypdf."""

from __future__ import annotations

import os
import struct
import subprocess
import sys
import zlib
from io import BytesIO
from pathlib import Path
from typing import Any

import pypdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageCms, PngImagePlugin

from layouts.edition import Inks
from layouts.pdf import write_pdf
from layouts.pictures import (
    LEAST_PPI,
    LEAST_SIDE_DOTS,
    MOST_BYTES,
    MOST_DOTS,
    PRINT_PPI,
    PictureError,
    read_picture,
)
from layouts.scene import Document, Page, Picture

WIDE_MM, HIGH_MM = 36.0, 16.0


def png(image: Image.Image, **options: Any) -> bytes:
    file = BytesIO()
    image.save(file, "PNG", **options)
    return file.getvalue()


def jpeg(image: Image.Image, **options: Any) -> bytes:
    file = BytesIO()
    image.save(file, "JPEG", quality=95, **options)
    return file.getvalue()


def ready(data: bytes, *, inks: Inks = Inks.GREY) -> Picture:
    return read_picture(data, width_mm=WIDE_MM, height_mm=HIGH_MM, alt="A reed", inks=inks)


def image_of(picture: Picture) -> Image.Image:
    dots = picture.dots
    return Image.frombytes("L" if dots.is_grey else "RGB", (dots.columns, dots.rows), dots.data)


def refusal(data: bytes) -> str:
    with pytest.raises(PictureError) as caught:
        ready(data)
    error = caught.value
    return " | ".join((error.what, error.allowed, error.suggestion))


HALVES = Image.new("RGB", (200, 100), "red")
"""Red with a blue right half."""
HALVES.paste("blue", (100, 0, 200, 100))


@pytest.mark.parametrize("data", [png(HALVES), jpeg(HALVES)], ids=["png", "jpeg"])
def test_colours_are_kept_for_colour_and_turned_to_greys_for_black_ink(data):
    coloured = image_of(ready(data, inks=Inks.COLOUR))
    assert coloured.mode == "RGB"
    assert coloured.getpixel((20, 50)) == pytest.approx((255, 0, 0), abs=3)
    assert coloured.getpixel((coloured.width - 20, 50)) == pytest.approx((0, 0, 255), abs=3)
    grey = image_of(ready(data))
    assert grey.mode == "L"
    # ITU-R BT.601-7: 0.299 of red, 0.587 of green, 0.114 of blue
    assert grey.getpixel((20, 50)) == pytest.approx(0.299 * 255, abs=2)
    assert grey.getpixel((grey.width - 20, 50)) == pytest.approx(0.114 * 255, abs=2)


def test_picture_without_colours_is_grey_in_colour_too():
    assert ready(png(Image.new("RGB", (100, 100), "#808080")), inks=Inks.COLOUR).dots.is_grey
    assert not ready(png(Image.new("RGB", (100, 100), "#808081")), inks=Inks.COLOUR).dots.is_grey


@pytest.mark.parametrize(
    ("size", "shown_mm"),
    [
        ((3600, 1600), (36.0, 16.0)),
        ((3600, 400), (36.0, 4.0)),
        ((800, 1600), (8.0, 16.0)),
        # 60 dots at 150 to the inch are 10.16 mm
        ((60, 30), (10.16, 5.08)),
    ],
)
def test_picture_is_as_large_as_its_box_and_its_dots_allow(size, shown_mm):
    picture = ready(png(Image.new("L", size)))
    assert (picture.width_mm, picture.height_mm) == pytest.approx(shown_mm)


@pytest.mark.parametrize("size", [(3600, 1600), (1000, 1000), (430, 200), (200, 100), (60, 60)])
def test_resolution_is_that_of_print_and_never_invented(size):
    picture = ready(png(Image.new("L", size)))
    ppi = picture.dots.columns / (picture.width_mm / 25.4)
    if size[0] / (picture.width_mm / 25.4) > PRINT_PPI:
        assert ppi == pytest.approx(PRINT_PPI, abs=1)
    else:
        assert (picture.dots.columns, picture.dots.rows) == size
        assert ppi >= LEAST_PPI - 1e-6


def test_smaller_picture_shows_the_same():
    large = HALVES.resize((4000, 2000))
    small = image_of(ready(png(large), inks=Inks.COLOUR))
    assert small.size == (378, 189)  # 32 x 16 mm at 300 dots to 25.4 mm
    assert small.getpixel((100, 90)) == (255, 0, 0)
    assert small.getpixel((280, 90)) == (0, 0, 255)


CLEAR_HALF = Image.new("RGBA", (100, 100), (0, 0, 0, 255))
"""Black with nothing at all at the right."""
CLEAR_HALF.paste((0, 0, 0, 0), (50, 0, 100, 100))
OF_PALETTE = Image.new("P", (100, 100), 0)
OF_PALETTE.putpalette([0, 0, 0, 10, 10, 10])
OF_PALETTE.paste(1, (50, 0, 100, 100))


@pytest.mark.parametrize(
    "data",
    [png(CLEAR_HALF), png(CLEAR_HALF.convert("LA")), png(OF_PALETTE, transparency=1)],
    ids=["colours", "greys", "palette"],
)
def test_what_is_transparent_is_white_paper(data):
    image = image_of(ready(data))
    assert (image.getpixel((20, 50)), image.getpixel((80, 50))) == (0, 255)


def test_half_transparent_black_is_grey_on_white_paper():
    image = Image.new("RGBA", (100, 100), (0, 0, 0, 51))
    assert image_of(ready(png(image))).getpixel((50, 50)) == 204


def test_greys_of_16_bits_are_not_cut_off():
    image = Image.new("I;16", (100, 100), 0x8000)
    assert image_of(ready(png(image))).getpixel((50, 50)) == 0x80


def test_black_and_white_of_one_bit_is_read():
    image = Image.new("1", (100, 100), 0)
    assert image_of(ready(png(image))).getpixel((50, 50)) == 0


def test_inks_of_a_printing_press_are_read():
    image = Image.new("CMYK", (100, 100), (0, 255, 255, 0))
    shown = image_of(ready(jpeg(image), inks=Inks.COLOUR))
    assert shown.getpixel((50, 50)) == pytest.approx((254, 0, 0), abs=4)


def test_camera_that_was_held_upright_is_heeded():
    exif = Image.Exif()
    exif[0x0112] = 6  # orientation, turn by a quarter clockwise: CIPA DC-008 (Exif 2.3), 4.6.4
    picture = ready(jpeg(HALVES, exif=exif), inks=Inks.COLOUR)
    image = image_of(picture)
    assert picture.height_mm > picture.width_mm
    assert image.getpixel((40, 20)) == pytest.approx((255, 0, 0), abs=3)
    assert image.getpixel((40, image.height - 20)) == pytest.approx((0, 0, 255), abs=3)


SECRET = b"Room of Student B"


def laden(kind: str) -> bytes:
    """A picture with everything beside its dots that a file can carry."""
    exif = Image.Exif()
    exif[0x010E] = SECRET.decode()
    exif.get_ifd(0x8825)[1] = "N"
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    if kind == "jpeg":
        return jpeg(HALVES, exif=exif, comment=SECRET, icc_profile=profile)
    words = PngImagePlugin.PngInfo()
    words.add_text("Comment", SECRET.decode())
    words.add_itxt("XML:com.adobe.xmp", f"<x>{SECRET.decode()}</x>", zip=True)
    return png(HALVES, exif=exif, pnginfo=words, icc_profile=profile) + SECRET


@pytest.mark.parametrize("kind", ["png", "jpeg"])
def test_nothing_but_the_dots_is_printed(kind):
    data = laden(kind)
    assert SECRET in data
    picture = ready(data, inks=Inks.COLOUR)
    assert SECRET not in picture.dots.data
    pdf = write_pdf(Document((Page(148, 210, (picture,)),), "Test"))
    (found,) = pypdf.PdfReader(BytesIO(pdf)).pages[0].images
    assert found.image.tobytes() == picture.dots.data
    assert SECRET not in pdf
    assert not {"exif", "icc_profile", "comment"} & found.image.info.keys()


def test_bare_and_laden_files_of_one_picture_give_equal_dots():
    assert ready(laden("png")) == ready(png(HALVES))


# --- Refusals --------------------------------------------------------------------------------


def chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def png_head(columns: int, rows: int, *chunks: bytes) -> bytes:
    """A PNG that says it is so large, and holds next to nothing."""
    head = struct.pack(">IIBBBBB", columns, rows, 8, 0, 0, 0, 0)
    body = (chunk(b"IHDR", head), *chunks, chunk(b"IDAT", zlib.compress(b"\0" * 10)))
    return b"\x89PNG\r\n\x1a\n" + b"".join((*body, chunk(b"IEND", b"")))


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"", "the file is empty | a PNG or JPEG picture | save it as PNG"),
        (b"GIF89a", "the file is neither PNG nor JPEG | a PNG or JPEG picture | save it as PNG"),
        (
            b"<svg xmlns='http://www.w3.org/2000/svg'/>",
            "the file is neither PNG nor JPEG | a PNG or JPEG picture | save it as PNG",
        ),
        (b"\x89PNG\r\n\x1a\n", "the PNG picture is broken |  | save it anew"),
        (b"\xff\xd8\xff\xe0", "the JPEG picture is broken |  | save it anew"),
        (png(HALVES)[:-300], "the PNG picture is broken |  | save it anew"),
        (jpeg(HALVES)[:400], "the JPEG picture is broken |  | save it anew"),
        (
            png(Image.new("L", (59, 20))),
            "the picture has 59 x 20 dots, too few to print | "
            "60 dots or more along the longer side | ",
        ),
        (
            png(Image.new("L", (1300, 100))),
            "the picture has 1,300 x 100 dots, too long and narrow | "
            "one side up to 12 times the other | ",
        ),
        (
            png(Image.new("RGBA", (100, 100), (0, 0, 0, 0))),
            "the picture is white, or nearly, on white paper |  | "
            "a darker one, or one on a dark ground",
        ),
    ],
)
def test_refusal_says_what_is_wrong_and_what_is_allowed(data, told):
    assert refusal(data) == told


def test_file_that_is_too_long_is_refused_before_it_is_looked_at():
    data = png(HALVES) + bytes(MOST_BYTES)
    assert refusal(data) == "the picture has more than 10 MB | up to 10 MB | save it smaller"


@pytest.mark.parametrize(
    ("columns", "rows", "told"),
    [
        (4001, 4000, "4,001 x 4,000 dots"),
        # more than pillow warns at, and more than it opens
        (10_000, 10_000, "10,000 x 10,000 dots"),
        (60_000, 60_000, "hundreds of millions of dots"),
    ],
)
def test_too_many_dots_are_refused_before_any_is_decoded(monkeypatch, columns, rows, told):
    monkeypatch.setattr(PngImagePlugin.PngImageFile, "load", None)
    expected = f"the picture has {told}, too many | up to 16 million dots | save it smaller"
    assert refusal(png_head(columns, rows)) == expected


def test_comment_that_unpacks_to_very_much_is_refused_or_left_alone():
    bomb = chunk(b"zTXt", b"Comment\0\0" + zlib.compress(bytes(200_000_000), 9))
    assert refusal(png_head(100, 100, bomb)) == "the PNG picture is broken |  | save it anew"


def test_as_many_dots_as_are_allowed_are_taken():
    side = int(MOST_DOTS**0.5)
    assert ready(png(Image.new("1", (side, side)))).dots.columns == 189


def test_fewest_dots_that_are_allowed_are_taken():
    assert ready(png(Image.new("L", (LEAST_SIDE_DOTS, 5)))).dots.rows == 5


@settings(max_examples=150, deadline=None)
@given(st.sampled_from([png(HALVES), jpeg(HALVES)]), st.data())
def test_broken_file_is_a_picture_or_a_refusal(data, drawn):
    broken = bytearray(data)
    for place in drawn.draw(st.lists(st.integers(3, len(data) - 1), min_size=1, max_size=8)):
        broken[place] = drawn.draw(st.integers(0, 255))
    try:
        picture = ready(bytes(broken[: drawn.draw(st.integers(0, len(broken)))]))
    except PictureError:
        return
    assert picture.width_mm <= WIDE_MM + 1e-9
    assert picture.height_mm <= HIGH_MM + 1e-9


def test_pillow_is_loaded_for_pictures_only():
    code = (
        "import sys, layouts.pictures as p\n"
        "assert 'PIL' not in sys.modules\n"
        "try: p.read_picture(b'', width_mm=1, height_mm=1, alt='')\n"
        "except p.PictureError: pass\n"
        "assert 'PIL' not in sys.modules\n"
    )
    root = Path(__file__).resolve().parents[2]
    environment = {**os.environ, "PYTHONPATH": str(root)}
    subprocess.run([sys.executable, "-c", code], check=True, env=environment, timeout=60)
