"""PNG pictures: size, resolution, sameness, and the message when a library is missing."""

from __future__ import annotations

import struct
import sys
import zlib
from io import BytesIO

import pytest
from PIL import Image

from layouts.faces import Face
from layouts.paper import MM_PER_PT
from layouts.png import MissingLibraryError, write_png
from layouts.scene import Group, Ink, Link, OutlineEntry, Page, Text, rect

PAGE = Page(
    50.8,
    25.4,
    (
        Text(5, 10, "Heel"),
        Text(5, 20, "pe", Face.SYMBOLS, 5 / MM_PER_PT),
        Group((Link(0, 0, 9, 9, "elsewhere"),)),
        rect(30, 5, 10, 10, stroke=None, fill=Ink.from_hex("#0072B2")),
    ),
    outline=(OutlineEntry(1, "Heel"),),
)


def chunks(png: bytes) -> dict[str, bytes]:
    """The chunks of a PNG by name (PNG specification, 5.3)."""
    assert png[:8] == b"\x89PNG\r\n\x1a\n"
    found, at = {}, 8
    while at < len(png):
        length, name = struct.unpack_from(">L4s", png, at)
        data = png[at + 8 : at + 8 + length]
        assert struct.unpack_from(">L", png, at + 8 + length) == (zlib.crc32(name + data),)
        found[name.decode()] = data
        at += 12 + length
    return found


def test_picture_is_as_large_as_the_page_and_says_so() -> None:
    for dpi in (100, 150):
        png = write_png(PAGE, dpi=dpi)
        assert Image.open(BytesIO(png)).size == (2 * dpi, dpi)
        across, down, unit = struct.unpack(">LLB", chunks(png)["pHYs"])
        assert (across, down, unit) == (round(dpi / 0.0254), round(dpi / 0.0254), 1)


def test_picture_shows_the_page() -> None:
    image = Image.open(BytesIO(write_png(PAGE, dpi=127))).convert("RGB")
    # 5 pixels a millimetre.
    assert image.getpixel((2, 2)) == (255, 255, 255)
    assert image.getpixel((175, 50)) == (0, 0x72, 0xB2)
    dot = image.crop((25, 75, 50, 100)).convert("L")
    assert dot.getpixel((12, 12)) == 0
    assert dot.getpixel((1, 1)) == 255


def test_picture_is_the_same_each_time_and_holds_no_date() -> None:
    first, second = write_png(PAGE), write_png(PAGE)
    assert first == second
    assert set(chunks(first)) == {"IHDR", "pHYs", "IDAT", "IEND"}


def test_missing_library_is_named_with_the_way_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "pypdfium2", None)
    with pytest.raises(MissingLibraryError) as caught:
        write_png(PAGE)
    message = str(caught.value)
    assert "pypdfium2" in message
    assert "pip install 'pegfolio[png]'" in message
    assert "\n" not in message
