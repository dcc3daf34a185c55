"""The picture as an item of a page: where it stands, and its dots read back by other libraries."""

from __future__ import annotations

from base64 import b64decode
from dataclasses import replace
from io import BytesIO

import pdfplumber
import pikepdf
import pypdf
import pypdfium2
import pytest
from lxml import etree
from PIL import Image

from layouts.paper import MM_PER_PT
from layouts.pdf import write_pdf
from layouts.png import write_png
from layouts.scene import (
    Box,
    Document,
    Dots,
    Group,
    Page,
    Picture,
    Role,
    bounds,
    moved,
    outside_safe_area,
)
from layouts.svg import write_svg

RED, GREEN, BLUE, WHITE = b"\xff\0\0", b"\0\x80\0", b"\0\0\xff", b"\xff\xff\xff"
COLOURED = Dots(2, 2, RED + GREEN + BLUE + WHITE)
"""Red and green above blue and white."""
GREY = Dots(3, 2, bytes([0, 51, 102, 153, 204, 255]))

XLINK = "{http://www.w3.org/1999/xlink}href"


def page_of(*items: Picture | Group) -> Page:
    return Page(148, 210, items)


def pdf_of(*items: Picture | Group) -> bytes:
    return write_pdf(Document((page_of(*items),), "Test"))


def images_in(pdf: bytes) -> list[Image.Image]:
    return [found.image for found in pypdf.PdfReader(BytesIO(pdf)).pages[0].images]


def test_bounds_and_moves_are_those_of_its_rectangle():
    picture = Picture(10, 20, 30, 40, GREY)
    assert bounds(picture) == Box(10, 20, 40, 60)
    assert moved(picture, 1, 2) == replace(picture, x_mm=11, y_mm=22)
    assert bounds(Group((picture,), 100, 0, quarter_turns=1)) == Box(40, 10, 80, 40)


def test_picture_outside_the_safe_area_is_found():
    picture = Picture(120, 20, 30, 40, GREY)
    assert outside_safe_area(page_of(picture)) == (picture,)
    assert outside_safe_area(page_of(replace(picture, x_mm=100))) == ()


@pytest.mark.parametrize("dots", [(2, 2, bytes(5)), (0, 2, b""), (2, -2, b""), (2, 2, bytes(8))])
def test_bytes_that_do_not_make_a_picture_are_refused(dots):
    with pytest.raises(ValueError, match="are no picture of"):
        Dots(*dots)


@pytest.mark.parametrize(
    ("dots", "mode", "space"), [(GREY, "L", "/DeviceGray"), (COLOURED, "RGB", "/DeviceRGB")]
)
def test_dots_in_a_pdf_are_read_back_by_pypdf(dots, mode, space):
    pdf = pdf_of(Picture(10, 20, 30, 40, dots))
    (image,) = images_in(pdf)
    assert (image.mode, image.size) == (mode, (dots.columns, dots.rows))
    assert image.tobytes() == dots.data
    with pikepdf.open(BytesIO(pdf)) as file:
        (found,) = file.pages[0].get_images().values()
        assert str(found.ColorSpace) == space
        # nothing but the dots: no colour profile, no metadata, no mask
        assert set(found.keys()) == {
            *("/Type", "/Subtype", "/Width", "/Height", "/ColorSpace", "/BitsPerComponent"),
            *("/Filter", "/Length"),
        }


def test_picture_in_a_pdf_stands_where_it_was_put():
    with pdfplumber.open(BytesIO(pdf_of(Picture(10, 20, 30, 40, GREY)))) as file:
        (image,) = file.pages[0].images
    found = [image[side] * MM_PER_PT for side in ("x0", "top", "x1", "bottom")]
    assert found == pytest.approx([10, 20, 40, 60], abs=0.01)


@pytest.mark.parametrize(
    ("turns", "corners"),
    [
        # clockwise from the top left corner of what is seen
        (0, (RED, GREEN, WHITE, BLUE)),
        (1, (BLUE, RED, GREEN, WHITE)),
        (2, (WHITE, BLUE, RED, GREEN)),
        (3, (GREEN, WHITE, BLUE, RED)),
    ],
)
def test_picture_turns_with_its_group(turns, corners):
    group = Group((Picture(-20, -20, 40, 40, COLOURED),), 60, 60, quarter_turns=turns)
    file = pypdfium2.PdfDocument(pdf_of(group))
    drawn = file[0].render(scale=MM_PER_PT).to_pil().convert("RGB")
    places = ((45, 45), (75, 45), (75, 75), (45, 75))
    for place, corner in zip(places, corners, strict=True):
        assert drawn.getpixel(place) == pytest.approx(tuple(corner), abs=2), place


def test_equal_pictures_are_one_object_of_the_file():
    pages = tuple(page_of(Picture(10, 20 + n, 30, 40, GREY)) for n in range(3))
    pdf = write_pdf(Document(pages, "Test"))
    assert pdf.count(b"/Subtype /Image") == 1
    assert [len(page.images) for page in pypdf.PdfReader(BytesIO(pdf)).pages] == [1, 1, 1]


def test_same_dots_of_another_shape_are_another_picture():
    tall = Dots(GREY.rows, GREY.columns, GREY.data)
    found = images_in(pdf_of(Picture(10, 20, 30, 40, GREY), Picture(50, 20, 30, 40, tall)))
    assert sorted(image.size for image in found) == [(2, 3), (3, 2)]


def test_pages_without_the_picture_do_not_name_it():
    pages = (page_of(Picture(10, 20, 30, 40, GREY)), page_of())
    with pikepdf.open(BytesIO(write_pdf(Document(pages, "Test")))) as file:
        assert [len(page.get_images()) for page in file.pages] == [1, 0]


def test_equal_documents_with_pictures_give_equal_bytes():
    picture = Picture(10, 20, 30, 40, COLOURED)
    assert pdf_of(picture) == pdf_of(picture)


@pytest.mark.parametrize(("dots", "mode"), [(GREY, "L"), (COLOURED, "RGB")])
def test_dots_in_an_svg_are_read_back(dots, mode):
    text = write_svg(page_of(Picture(10, 20, 30, 40, dots, "A reed")))
    (found,) = etree.fromstring(text.encode()).iter("{http://www.w3.org/2000/svg}image")
    place = [found.get(name) for name in ("x", "y", "width", "height")]
    assert place == ["10", "20", "30", "40"]
    assert found.get("role") == "img"
    assert found[0].text == "A reed"
    kind, _, data = found.get(XLINK).partition(",")
    assert kind == "data:image/png;base64"
    image = Image.open(BytesIO(b64decode(data)))
    image.load()
    assert (image.mode, image.size, image.info) == (mode, (dots.columns, dots.rows), {})
    assert image.tobytes() == dots.data


def test_picture_without_words_is_hidden_from_those_who_hear_the_page():
    text = write_svg(page_of(Picture(10, 20, 30, 40, GREY, role=Role.ARTIFACT)))
    assert 'aria-hidden="true"' in text
    assert 'role="img"' not in text


def test_picture_is_in_the_png_of_its_page():
    drawn = Image.open(BytesIO(write_png(page_of(Picture(10, 20, 30, 40, COLOURED)), dpi=127)))
    # 127 dots to the inch are 5 to the millimetre
    assert drawn.convert("RGB").getpixel((60, 120)) == pytest.approx((255, 0, 0), abs=2)
    assert drawn.convert("RGB").getpixel((190, 290)) == (255, 255, 255)
