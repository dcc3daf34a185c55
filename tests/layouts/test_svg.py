"""SVG files, read back with lxml and drawn by another program's library."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from io import BytesIO
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree
from PIL import Image

from layouts.faces import Face
from layouts.paper import MM_PER_PT
from layouts.png import write_png
from layouts.scene import (
    GREY_60,
    Align,
    Anchor,
    Cap,
    Group,
    Ink,
    Item,
    Join,
    Link,
    Page,
    Role,
    Text,
    circle,
    line,
    polyline,
    rect,
)
from layouts.svg import write_svg
from layouts.symbols import Over, cable_cross

SVG = "{http://www.w3.org/2000/svg}"
XLINK = "{http://www.w3.org/1999/xlink}"


def parsed(*items: Item, title: str = "", description: str = "") -> etree._Element:
    page = Page(148, 210, items, "7")
    text = write_svg(page, title=title, description=description)
    return etree.fromstring(text.encode())


CHART = Group(
    (
        Group(
            (Text(20, 30, "kpe/", Face.SYMBOLS, 5 / MM_PER_PT),),
            attrs=(("row", "2"), ("pegs", "1 2 3 4")),
        ),
        Group((Text(20, 35, "k\\wx", Face.SYMBOLS, 5 / MM_PER_PT),), attrs=(("row", "1"),)),
    ),
    role=Role.FIGURE,
    alt="Heel turn, two rows of four",
    title="Chart",
)


def test_page_is_true_to_size_in_millimetres() -> None:
    root = parsed()
    assert root.tag == f"{SVG}svg"
    assert (root.get("width"), root.get("height")) == ("148mm", "210mm")
    assert root.get("viewBox") == "0 0 148 210"
    assert root.get("{http://www.w3.org/XML/1998/namespace}lang") == "en-GB"


def test_title_and_description() -> None:
    root = parsed(title="Heel & toe", description="a < b")
    assert root[0].tag == f"{SVG}title"
    assert root.findtext(f"{SVG}title") == "Heel & toe"
    assert root.findtext(f"{SVG}desc") == "a < b"
    assert parsed().findtext(f"{SVG}title") == "7"


def test_grid_of_letters_comes_back() -> None:
    rows = {
        group.get("data-row"): group.find(f"{SVG}g").get("data-letters")
        for group in parsed(CHART).iter(f"{SVG}g")
        if group.get("data-row")
    }
    assert rows == {"2": "kpe/", "1": "k\\wx"}
    (first,) = parsed(CHART).iterfind(f".//{SVG}g[@data-pegs]")
    assert first.get("data-pegs") == "1 2 3 4"


def test_symbols_stand_in_their_cells() -> None:
    uses = list(parsed(CHART).iter(f"{SVG}use"))
    found = {(use.get(f"{XLINK}href"), use.get("transform")) for use in uses}
    assert found == {
        ("#symbol-70", "translate(25 25) scale(5)"),
        ("#symbol-65", "translate(30 25) scale(5)"),
        ("#symbol-2f", "translate(35 25) scale(5)"),
        ("#symbol-5c", "translate(25 30) scale(5)"),
        ("#symbol-77", "translate(30 30) scale(5)"),
        ("#symbol-78", "translate(35 30) scale(5)"),
    }


def test_every_reference_is_resolved_inside_the_file() -> None:
    root = parsed(
        CHART, cable_cross(1, 1, Over.LEFT, x_mm=9, y_mm=9, cell_mm=5), Link(0, 0, 9, 9, 3)
    )
    ids = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(ids) == len(set(ids)) == 6
    targets = {element.get(f"{XLINK}href") for element in root.iter(f"{SVG}use")}
    assert targets == {f"#{name}" for name in ids}
    text = etree.tostring(root).decode()
    assert set(re.findall(r"https?://[^\"' ]+", text)) == {
        "http://www.w3.org/2000/svg",
        "http://www.w3.org/1999/xlink",
    }
    assert "url(" not in text


def test_text_is_text_at_its_place() -> None:
    root = parsed(
        Text(12, 20, "Größe ½ <&>", size_pt=9.5),
        Text(50, 30, "12", Face.BOLD, 20, GREY_60, Align.RIGHT),
        Text(50, 40, "mid", align=Align.CENTRE),
    )
    left, right, middle = root.iter(f"{SVG}text")
    assert left.text == "Größe ½ <&>"
    assert (left.get("x"), left.get("y")) == ("12", "20")
    assert float(left.get("font-size")) == pytest.approx(9.5 * 0.352778, abs=1e-4)
    assert left.get("font-family").split(",")[0] == "'Source Sans 3'"
    assert left.get("font-family").endswith(",sans-serif")
    assert left.get("text-anchor") is None
    assert (right.get("text-anchor"), middle.get("text-anchor")) == ("end", "middle")
    assert (right.get("font-weight"), right.get("fill")) == ("700", "#666666")
    # Two figures of 528 (hmtx of the bold face), at 20 pt.
    assert float(right.get("textLength")) == pytest.approx(2 * 0.528 * 20 * 0.352778, abs=1e-3)


def test_paths_keep_their_strokes() -> None:
    root = parsed(
        rect(1, 2, 3, 4, stroke_pt=1, fill=Ink.from_hex("#0072B2")),
        line(0, 0, 5, 5, dash_mm=(2, 1), cap=Cap.ROUND, stroke_pt=0.5),
        polyline(((0, 0), (5, 5)), join=Join.ROUND),
        circle(9, 9, 3, stroke=None, fill=GREY_60),
    )
    box, dashed, joined, disc = root.iter(f"{SVG}path")
    assert box.get("d") == "M1 2L4 2L4 6L1 6Z"
    assert (box.get("fill"), box.get("stroke")) == ("#0072b2", "#000000")
    assert float(box.get("stroke-width")) == pytest.approx(0.3528, abs=1e-4)
    assert (dashed.get("stroke-dasharray"), dashed.get("stroke-linecap")) == ("2 1", "round")
    assert dashed.get("fill") == "none"
    assert joined.get("stroke-linejoin") == "round"
    assert disc.get("stroke") is None


def test_groups_say_what_they_are() -> None:
    root = parsed(
        CHART,
        Group((line(0, 0, 1, 1),), 3, 4, 1, role=Role.ARTIFACT),
        Group((), attrs=(("pegs", 'a"b<c'),)),
        Anchor("toe"),
    )
    chart, _, _, _, _, ruled, plain = root.iter(f"{SVG}g")
    assert chart.get("role") == "img"
    assert chart.findtext(f"{SVG}title") == "Chart"
    assert chart.findtext(f"{SVG}desc") == "Heel turn, two rows of four"
    assert ruled.get("aria-hidden") == "true"
    assert ruled.get("transform") == "translate(3 4) rotate(90)"
    assert plain.get("data-pegs") == 'a"b<c'


any_text = st.text(st.characters(exclude_categories=[]), max_size=30)


@given(any_text, st.sampled_from(Face))
def test_no_text_breaks_the_file(text: str, face: Face) -> None:
    group = Group((Text(5, 50, text, face),), alt=text, title=text[::-1], attrs=(("note", text),))
    root = parsed(group, title=text, description=text)
    assert len(list(root.iter(f"{SVG}g"))) == (2 if face is Face.SYMBOLS else 1)


def test_same_picture_as_the_pdf() -> None:
    """Drawn by cairosvg, against the PDF drawn by PDFium: shapes and turned groups agree."""
    cairosvg = pytest.importorskip("cairosvg")
    items = (
        CHART,
        Group((rect(0, 0, 20, 10, stroke_pt=3),), 40, 50, 1),
        cable_cross(2, 2, Over.RIGHT, x_mm=10, y_mm=60, cell_mm=5),
        circle(60, 30, 8, fill=GREY_60),
    )
    page = Page(80, 80, items)
    drawing = cairosvg.svg2png(bytestring=write_svg(page).encode(), dpi=254, output_width=800)
    by_svg = Image.open(BytesIO(drawing)).convert("L")
    by_pdf = Image.open(BytesIO(write_png(page, dpi=254))).convert("L").resize(by_svg.size)
    pairs = list(zip(by_svg.tobytes(), by_pdf.tobytes(), strict=True))
    ink = sum(255 - grey for _, grey in pairs)
    assert ink > 1_000_000
    assert sum(abs(one - other) for one, other in pairs) / ink < 0.06


def test_same_page_gives_the_same_text_in_any_process() -> None:
    program = (
        "import sys\n"
        "from layouts.faces import Face\n"
        "from layouts.scene import Page, Text, circle\n"
        "from layouts.svg import write_svg\n"
        "items = (Text(9, 19, 'kpewjx', Face.SYMBOLS, 9), circle(40, 40, 9), Text(1, 2, 'ö'))\n"
        "sys.stdout.buffer.write(write_svg(Page(99, 99, items)).encode())\n"
    )
    found = set()
    for seed, zone in (("0", "UTC"), ("42", "Pacific/Auckland")):
        environment = {
            **os.environ, "PYTHONHASHSEED": seed, "TZ": zone,
            "PYTHONPATH": str(Path(__file__).parents[2]),
        }  # fmt: skip
        run = [sys.executable, "-c", program]
        found.add(subprocess.run(run, env=environment, capture_output=True, check=True).stdout)
    assert len(found) == 1
