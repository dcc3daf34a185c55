"""PDF files, read back with readers that share no code with the writer."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from io import BytesIO
from itertools import pairwise
from pathlib import Path
from typing import Any

import pdfplumber
import pikepdf
import pypdf
import pypdfium2
import pytest
from fontTools.ttLib import TTFont
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from layouts.faces import Face, font_bytes, metrics
from layouts.paper import MM_PER_PT
from layouts.pdf import write_pdf
from layouts.scene import (
    BLACK,
    GREY_60,
    Align,
    Anchor,
    Cap,
    Document,
    Group,
    Ink,
    Item,
    Join,
    Link,
    OutlineEntry,
    Page,
    Text,
    circle,
    line,
    polyline,
    rect,
)

TOLERANCE_MM = 0.05

LATIN = "Größe 40 – ½ × “peg” 3\u00a0cm łőș →"
ROW = "kuepstdwWb/\\jxRrLlkkhHGBMmO"


def one_page(*items: Item, width_mm: float = 148, height_mm: float = 210) -> bytes:
    return write_pdf(Document((Page(width_mm, height_mm, items),), "Test"))


def content_of(pdf: bytes, page_index: int = 0) -> str:
    with pikepdf.open(BytesIO(pdf)) as file:
        return file.pages[page_index].Contents.read_bytes().decode("ascii")


OpenPdf = Callable[[bytes], pikepdf.Pdf]


@pytest.fixture
def open_pdf() -> Iterator[OpenPdf]:
    """Opens files for pikepdf and keeps them open while the test looks at them."""
    with ExitStack() as stack:
        yield lambda pdf: stack.enter_context(pikepdf.open(BytesIO(pdf)))


def origin_mm(char: dict[str, tuple[float, ...]], height_mm: float = 210) -> tuple[float, float]:
    """Where a character found by pdfplumber starts on its base line."""
    *_, x_pt, y_pt = char["matrix"]
    return (x_pt * MM_PER_PT, height_mm - y_pt * MM_PER_PT)


SAMPLE = (
    Text(12, 20, LATIN, size_pt=9.5),
    Text(12, 30, "Heel turn", Face.BOLD, 20),
    Text(12, 100, ROW, Face.SYMBOLS, 4 / MM_PER_PT),
    rect(12, 40, 30, 20, stroke_pt=1.2),
    line(12, 70, 42, 70, stroke_pt=0.3, ink=GREY_60),
)


def test_file_is_sound() -> None:
    with pikepdf.open(BytesIO(one_page(*SAMPLE))) as file:
        assert file.check_pdf_syntax() == []
        assert file.pdf_version == "1.7"
        assert len(file.pages) == 1


def test_page_is_true_to_size() -> None:
    with pikepdf.open(BytesIO(one_page(*SAMPLE, width_mm=215.9, height_mm=279.4))) as file:
        box = [float(side) for side in file.pages[0].MediaBox]
        # US Letter is 8.5 by 11 inches of 72 points.
        assert box == pytest.approx([0, 0, 612, 792], abs=0.001)
        assert file.Root.ViewerPreferences.PrintScaling == "/None"


def test_text_and_letters_come_back() -> None:
    pdf = one_page(*SAMPLE)
    with pdfplumber.open(BytesIO(pdf)) as file:
        chars = file.pages[0].chars
    # reportlab writes a no-break space as a space: on paper they are the same.
    latin = LATIN.replace("\u00a0", " ")
    assert "".join(char["text"] for char in chars) == latin + "Heel turn" + ROW
    letters = "".join(char["text"] for char in chars if "PegfolioSymbols" in char["fontname"])
    assert letters == ROW, "empty cells keep their letter"
    page = pypdfium2.PdfDocument(pdf)[0].get_textpage()
    assert ROW in page.get_text_range()
    assert pypdf.PdfReader(BytesIO(pdf)).pages[0].extract_text().endswith(ROW)


def test_characters_stand_where_the_page_says() -> None:
    with pdfplumber.open(BytesIO(one_page(*SAMPLE))) as file:
        chars = file.pages[0].chars
    first = next(char for char in chars if char["text"] == "G")
    assert origin_mm(first) == pytest.approx((12, 20), abs=TOLERANCE_MM)
    assert first["size"] == pytest.approx(9.5)
    symbols = [char for char in chars if "PegfolioSymbols" in char["fontname"]]
    for index, char in enumerate(symbols):
        assert origin_mm(char) == pytest.approx((12 + 4 * index, 100), abs=TOLERANCE_MM)
        assert (char["x1"] - char["x0"]) * MM_PER_PT == pytest.approx(4, abs=TOLERANCE_MM)


@pytest.mark.parametrize("align", list(Align))
def test_alignment_and_spacing_on_paper(align: Align) -> None:
    row = Text(70, 100, "kpep", Face.SYMBOLS, 4 / MM_PER_PT, align=align, spacing_mm=1)
    with pdfplumber.open(BytesIO(one_page(row))) as file:
        starts = [origin_mm(char)[0] for char in file.pages[0].chars]
    left = {Align.LEFT: 70, Align.CENTRE: 70 - 9.5, Align.RIGHT: 70 - 19}[align]
    assert starts == pytest.approx([left, left + 5, left + 10, left + 15], abs=TOLERANCE_MM)


def test_spacing_ends_with_its_text() -> None:
    pdf = one_page(Text(10, 20, "kk", Face.SYMBOLS, 10, spacing_mm=3), Text(10, 40, "pegs"))
    with pdfplumber.open(BytesIO(pdf)) as file:
        plain = [char for char in file.pages[0].chars if char["text"] in "pegs"]
    for one, following in pairwise(plain):
        assert one["x1"] == pytest.approx(following["x0"], abs=0.01)


def test_shapes_stand_where_the_page_says() -> None:
    with pdfplumber.open(BytesIO(one_page(*SAMPLE, circle(100, 50, 10, fill=GREY_60)))) as file:
        page = file.pages[0]
        box, stroke, ring = page.rects[0], page.lines[0], page.curves[0]
    found = [box[key] * MM_PER_PT for key in ("x0", "top", "x1", "bottom")]
    assert found == pytest.approx([12, 40, 42, 60], abs=TOLERANCE_MM)
    assert box["linewidth"] == pytest.approx(1.2)
    assert (stroke["x0"] * MM_PER_PT, stroke["top"] * MM_PER_PT) == pytest.approx(
        (12, 70), abs=TOLERANCE_MM
    )
    assert stroke["linewidth"] == pytest.approx(0.3)
    assert stroke["stroking_color"] == 0.4
    found = [ring[key] * MM_PER_PT for key in ("x0", "top", "x1", "bottom")]
    assert found == pytest.approx([90, 40, 110, 60], abs=TOLERANCE_MM)
    assert ring["non_stroking_color"] == 0.4


def test_graphics_state_does_not_leak_from_item_to_item() -> None:
    pdf = one_page(
        line(0, 10, 9, 10, stroke_pt=3, ink=GREY_60, dash_mm=(2, 1), cap=Cap.ROUND),
        line(0, 20, 9, 20),
        polyline(((0, 30), (5, 35), (9, 30)), join=Join.ROUND, stroke_pt=1),
        Text(0, 40, "a", ink=GREY_60),
        Text(0, 50, "b"),
    )
    with pdfplumber.open(BytesIO(pdf)) as file:
        dashed, plain = file.pages[0].lines[:2]
        grey, black = file.pages[0].chars
    assert (dashed["linewidth"], dashed["stroking_color"]) == (3, 0.4)
    assert (plain["linewidth"], plain["stroking_color"]) == (0.5, 0)
    assert grey["non_stroking_color"] == (0.4,)
    assert black["non_stroking_color"] == (0,)
    operators = content_of(pdf).splitlines()
    assert [entry for entry in operators if entry.endswith(" d")] == ["[5.669 2.835] 0 d", "[] 0 d"]
    assert [entry for entry in operators if entry.endswith(" J")] == ["1 J", "0 J"]


def test_groups_move_and_turn_their_text() -> None:
    items = [Group((Text(3, 4, "abc"),), 50 + 20 * turns, 100, turns) for turns in range(4)]
    with pdfplumber.open(BytesIO(one_page(*items))) as file:
        chars = file.pages[0].chars
    # A quarter turn clockwise takes (3, 4) to (-4, 3), a second one to (-3, -4), and so on.
    starts = [(53, 104), (66, 103), (87, 96), (114, 97)]
    assert [origin_mm(char) for char in chars[::3]] == [
        pytest.approx(start, abs=TOLERANCE_MM) for start in starts
    ]
    directions = [tuple(char["matrix"][:2]) for char in chars[::3]]
    assert directions == [
        pytest.approx(want, abs=1e-3) for want in ((1, 0), (0, -1), (-1, 0), (0, 1))
    ]


def test_nested_groups_add_up() -> None:
    inner = Group((Text(1, 2, "x"),), 10, 20, 1)
    with pdfplumber.open(BytesIO(one_page(Group((inner,), 50, 60, 1)))) as file:
        (char,) = file.pages[0].chars
    # (1, 2) turns to (-2, 1), moves to (8, 21), turns to (-21, 8), moves to (29, 68).
    assert origin_mm(char) == pytest.approx((29, 68), abs=TOLERANCE_MM)
    assert char["matrix"][:2] == pytest.approx((-1, 0), abs=1e-3)


def test_fonts_are_embedded_and_cut_down(open_pdf: OpenPdf) -> None:
    fonts = list(open_pdf(one_page(*SAMPLE)).pages[0].Resources.Font.values())
    names = sorted(str(font.BaseFont) for font in fonts)
    assert len(names) == 3
    assert all(re.fullmatch(r"/[A-Z]{6}\+[A-Za-z0-9-]+", found) for found in names)
    assert {found.split("+")[1] for found in names} == {face.value for face in Face}
    for font in fonts:
        program = bytes(font.FontDescriptor.FontFile2.read_bytes())
        assert TTFont(BytesIO(program))["maxp"].numGlyphs < 70
        assert len(program) < 30_000


def test_nothing_refers_to_a_font_that_is_not_embedded() -> None:
    pdf = one_page(*SAMPLE)
    assert b"Helvetica" not in pdf
    used = set(re.findall(r"/(F\d\+\d) [\d.]+ Tf", content_of(pdf)))
    with pikepdf.open(BytesIO(pdf)) as file:
        assert used == {key[1:] for key in file.pages[0].Resources.Font}
    assert b"/F2" not in one_page(Text(10, 10, "regular only"))


def test_widths_in_the_file_are_those_of_the_font(open_pdf: OpenPdf) -> None:
    for font in open_pdf(one_page(*SAMPLE)).pages[0].Resources.Font.values():
        program = TTFont(BytesIO(bytes(font.FontDescriptor.FontFile2.read_bytes())))
        glyphs = program["cmap"].tables[0].cmap
        widths = {code: program["hmtx"][glyph][0] for code, glyph in glyphs.items() if code >= 1}
        assert widths
        for code, width in widths.items():
            if code <= int(font.LastChar):
                assert float(font.Widths[code]) == pytest.approx(width, abs=0.5)


def test_more_characters_than_one_subset_holds_come_back() -> None:
    every = "".join(char for char in metrics(Face.REGULAR).widths if char not in " \u00a0")
    lines = [Text(1, 2 + k, every[k * 90 : k * 90 + 90], size_pt=1) for k in range(18)]
    with pdfplumber.open(BytesIO(one_page(*lines))) as file:
        assert "".join(char["text"] for char in file.pages[0].chars) == every


def test_grey_pages_use_black_ink_only() -> None:
    assert not re.search(r"\b(rg|RG|k|K|cs|CS|sc|scn)\b", content_of(one_page(*SAMPLE)))
    accent = Ink.from_hex("#0072B2")
    coloured = content_of(one_page(rect(0, 0, 9, 9, stroke=None, fill=accent)))
    assert "0 0.447 0.698 rg" in coloured


def test_metadata_comes_back() -> None:
    document = Document(
        (Page(148, 210, SAMPLE),), "Sock (size 40) – ½", "Student A", "a \\ b", ("sock", "loom"),
        "de-DE",
    )  # fmt: skip
    with pikepdf.open(BytesIO(write_pdf(document))) as file:
        info = {key: str(value) for key, value in file.docinfo.items()}
        # No dates: they would not be true.
        assert info == {
            "/Trapped": "/False",
            "/Title": "Sock (size 40) – ½",
            "/Author": "Student A",
            "/Subject": "a \\ b",
            "/Keywords": "sock, loom",
            "/Creator": "pegfolio",
            "/Producer": "pegfolio",
        }
        assert file.Root.Lang == "de-DE"
        assert file.Root.ViewerPreferences.DisplayDocTitle


def booklet(*items: Item) -> Document:
    pages = (
        Page(148, 210, items, "i", outline=(OutlineEntry(1, "Cover"),)),
        Page(
            148, 210, (Anchor("heel", 50, 12),), "1",
            outline=(OutlineEntry(1, "Heel"), OutlineEntry(2, "Heel turn", 50)),
        ),
        Page(148, 210, (), "2", outline=(OutlineEntry(3, "Wraps", 105), OutlineEntry(1, "Toe"))),
    )  # fmt: skip
    return Document(pages, "Booklet")


def test_outline_leads_to_the_places() -> None:
    reader = pypdf.PdfReader(BytesIO(write_pdf(booklet())))

    def listed(entries: Any) -> list[Any]:
        return [
            listed(entry)
            if isinstance(entry, list)
            else (
                entry["/Title"],
                reader.get_destination_page_number(entry),
                round(210 - float(entry["/Top"]) * MM_PER_PT, 2),
            )
            for entry in entries
        ]

    assert listed(reader.outline) == [
        ("Cover", 0, 0),
        ("Heel", 1, 0),
        [("Heel turn", 1, 50), [("Wraps", 2, 105)]],
        ("Toe", 2, 0),
    ]
    assert reader.page_mode == "/UseOutlines"


def test_outline_can_be_walked_backwards_and_up(open_pdf: OpenPdf) -> None:
    top = open_pdf(write_pdf(booklet())).Root.Outlines
    titles = []
    entry = top.Last
    while True:
        titles.append(str(entry.Title))
        assert entry.Parent.objgen == top.objgen
        if "/Prev" not in entry:
            break
        entry = entry.Prev
    assert titles == ["Toe", "Heel", "Cover"]
    heel = top.Last.Prev
    assert heel.Count < 0, "shown closed"
    assert heel.First.objgen == heel.Last.objgen
    assert heel.First.Parent.objgen == heel.objgen


def test_page_labels_are_those_printed() -> None:
    assert pypdf.PdfReader(BytesIO(write_pdf(booklet()))).page_labels == ["i", "1", "2"]
    mixed = Document((Page(99, 99, (), "cover"), Page(99, 99, ())), "Mixed")
    assert pypdf.PdfReader(BytesIO(write_pdf(mixed))).page_labels == ["cover", "2"]


def test_links_lead_to_anchors_and_pages() -> None:
    document = booklet(
        Link(10, 20, 30, 5, "heel", "to the heel"), Group((Link(0, 0, 9, 4, 3),), 50, 60, 1)
    )
    with pikepdf.open(BytesIO(write_pdf(document))) as file:
        by_name, by_number = file.pages[0].Annots
        rect_mm = [float(side) * MM_PER_PT for side in by_name.Rect]
        assert rect_mm == pytest.approx([10, 210 - 25, 40, 210 - 20], abs=TOLERANCE_MM)
        assert by_name.Dest[0].objgen == file.pages[1].obj.objgen
        assert float(by_name.Dest[3]) * MM_PER_PT == pytest.approx(160, abs=TOLERANCE_MM)
        assert by_name.Contents == "to the heel"
        assert by_number.Dest[0].objgen == file.pages[2].obj.objgen
        rect_mm = [float(side) * MM_PER_PT for side in by_number.Rect]
        assert rect_mm == pytest.approx([46, 210 - 69, 50, 210 - 60], abs=TOLERANCE_MM)


@pytest.mark.parametrize("target", ["sole", 0, 4])
def test_a_link_to_nowhere_is_refused(target: str | int) -> None:
    with pytest.raises(ValueError, match="link leads to"):
        write_pdf(booklet(Link(0, 0, 9, 9, target)))


def test_two_anchors_of_one_name_are_refused() -> None:
    with pytest.raises(ValueError, match="two anchors are named 'heel'"):
        write_pdf(booklet(Anchor("heel")))


def test_symbols_are_drawn_upright_in_their_cells() -> None:
    """The hook of w has ink at the foot of its cell and none at the top."""
    cell_mm = 10.0
    pdf = one_page(Text(5, 15, "w", Face.SYMBOLS, cell_mm / MM_PER_PT), width_mm=50, height_mm=50)
    image = pypdfium2.PdfDocument(pdf)[0].render(scale=10 * MM_PER_PT).to_pil().convert("L")
    assert image.size == pytest.approx((500, 500), abs=1)
    cell = image.crop((50, 50, 150, 150))
    assert cell.crop((0, 0, 100, 50)).getextrema() == (255, 255)
    assert cell.crop((0, 50, 100, 100)).getextrema()[0] == 0
    assert ink_outside(image, (50, 50, 150, 150)) == 0


def ink_outside(image: Image.Image, box: tuple[int, int, int, int]) -> int:
    """Pixels that are not white outside a box."""
    blank = image.copy()
    blank.paste(255, box)
    return sum(blank.histogram()[:255])


PROGRAM = """
import sys
from layouts.faces import Face
from layouts.pdf import write_pdf
from layouts.scene import Document, OutlineEntry, Page, Text, circle
items = (Text(9, 9, "Größe ½"), Text(9, 19, "kpe", Face.SYMBOLS, 9), circle(40, 40, 9))
page = Page(99, 99, items, "i", outline=(OutlineEntry(1, "One"),))
sys.stdout.buffer.write(write_pdf(Document((page, page), "Title", keywords=("b", "a"))))
"""


def test_same_document_gives_the_same_bytes_in_any_process() -> None:
    root = Path(__file__).parents[2]
    found = set()
    for seed, zone in (("0", "UTC"), ("1", "Pacific/Auckland"), ("42", "America/New_York")):
        environment = {
            **os.environ, "PYTHONHASHSEED": seed, "TZ": zone, "PYTHONPATH": str(root),
        }  # fmt: skip
        run = [sys.executable, "-c", PROGRAM]
        found.add(subprocess.run(run, env=environment, capture_output=True, check=True).stdout)
    assert len(found) == 1
    (pdf,) = found
    assert pdf.startswith(b"%PDF-1.7")


def test_drawing_order_is_kept() -> None:
    pdf = one_page(rect(0, 0, 50, 50, stroke=None, fill=BLACK), rect(0, 0, 50, 50, fill=GREY_60))
    image = pypdfium2.PdfDocument(pdf)[0].render(scale=1).to_pil().convert("L")
    assert image.getpixel((60, 60)) == 0x66


any_text = st.text(st.characters(exclude_categories=[]), max_size=30)


@settings(max_examples=60, deadline=None)
@given(any_text, any_text, st.sampled_from(Face))
def test_no_text_breaks_the_file(text: str, title: str, face: Face) -> None:
    page = Page(
        100, 100, (Text(5, 50, text, face), Link(0, 0, 9, 9, 1, text)), title,
        outline=(OutlineEntry(1, title),),
    )  # fmt: skip
    pdf = write_pdf(Document((page,), title, text, text, (text,)))
    with pikepdf.open(BytesIO(pdf)) as file:
        assert file.check_pdf_syntax() == []
        assert all(ord(char) >= 32 for char in str(file.docinfo.get("/Title", "")) if char < "\x80")


def test_fonts_on_disk_stay_whole() -> None:
    before = font_bytes(Face.REGULAR)
    one_page(*SAMPLE)
    assert font_bytes(Face.REGULAR) == before
