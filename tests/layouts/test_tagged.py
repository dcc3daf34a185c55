"""Tagged files, read back by a reader that shares no code with the writer."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache
from io import BytesIO
from itertools import pairwise
from pathlib import Path

import pikepdf
import pypdf
import pytest
from lxml import etree

from charts.parts import Part
from charts.steps import Checkpoint, RepeatStep, RowStep, make_steps
from charts.verify import Knit
from layouts.booklet import make_booklet
from layouts.card import make_card
from layouts.chart_page import make_chart_page
from layouts.commands.pattern import open_pattern
from layouts.paper import PAPERS
from layouts.pdf import Tagging, write_pdf
from layouts.scene import Anchor, Document, Group, Link, Page, Role, Text, rect
from tests.layouts.tagged_tree import HEADINGS, Node, read_tagged
from tests.validators.products import PRODUCTS, printed

SAMPLES = Path(__file__).parents[2] / "samples"

PARENTS = {
    "TR": {"Table"},
    "TH": {"TR"},
    "TD": {"TR"},
    "LI": {"L"},
    "Lbl": {"LI"},
    "LBody": {"LI"},
    "TOCI": {"TOC"},
    "Reference": {"TOCI"},
    "Caption": {"Table"},
    "Span": {"P", "LBody", "TD", "TH", "Lbl"},
}
"""What may hold what (ISO 32000-1:2008, tables 335 to 337; captions and spans as we use them)."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where each product is printed once."""
    return tmp_path_factory.mktemp("products")


@pytest.fixture(params=PRODUCTS)
def product(request: pytest.FixtureRequest, folder: Path) -> bytes:
    return printed(request.param, folder).read_bytes()


@cache
def knit_of(name: str) -> Knit:
    return open_pattern(str(SAMPLES / f"{name}.toml")).first


@cache
def booklet_of(name: str) -> bytes:
    knit = knit_of(name)
    return write_pdf(make_booklet(knit, knit, paper=PAPERS["a5"]))


def words(text: str) -> str:
    """With plain blanks."""
    return " ".join(text.replace("\u00a0", " ").split())


# --- Ways there and back ---------------------------------------------------------------------


def test_every_piece_of_a_page_is_in_one_element_and_leads_back_to_it(product: bytes) -> None:
    assert read_tagged(product).wrong == []


Spoil = Callable[[pikepdf.Pdf], None]


def spoilt(pdf: bytes, spoil: Spoil) -> list[str]:
    with pikepdf.open(BytesIO(pdf)) as file:
        spoil(file)
        out = BytesIO()
        file.save(out)
    return read_tagged(out.getvalue()).wrong


def permute_parents(file: pikepdf.Pdf) -> None:
    first = file.Root.StructTreeRoot.ParentTree.Nums[1]
    first[0], first[1] = first[1], first[0]


def swap_pages(file: pikepdf.Pdf) -> None:
    numbers = file.Root.StructTreeRoot.ParentTree.Nums
    numbers[1], numbers[3] = numbers[3], numbers[1]


def swap_links(file: pikepdf.Pdf) -> None:
    first, second, *_ = file.pages[1].Annots
    first.StructParent, second.StructParent = second.StructParent, first.StructParent


def drop_element(file: pikepdf.Pdf) -> None:
    del file.Root.StructTreeRoot.K.K[1]


def hold_twice(file: pikepdf.Pdf) -> None:
    kids = file.Root.StructTreeRoot.K.K
    kids[1].K = kids[0].K


def unmark(file: pikepdf.Pdf) -> None:
    page = file.pages[0]
    content = page.Contents.read_bytes()
    page.Contents.write(content + b"\n0 0 m 9 9 l S")


def lose_character(file: pikepdf.Pdf) -> None:
    for font in file.pages[0].Resources.Font.values():
        table = font.ToUnicode.read_bytes()
        font.ToUnicode.write(re.sub(rb"<..> <0065>", b"<FE> <0065>", table))


@pytest.mark.parametrize(
    "spoil",
    [permute_parents, swap_pages, swap_links, drop_element, hold_twice, unmark, lose_character],
)
def test_broken_ways_are_noticed(spoil: Spoil) -> None:
    assert spoilt(booklet_of("ember"), spoil)


# --- The order that is heard -----------------------------------------------------------------


@pytest.mark.parametrize("name", ["reed-bank", "ember", "millstream"])
def test_steps_are_heard_in_their_order(name: str) -> None:
    """Each step's own words, and before them its label with the way it runs."""
    heard = words(read_tagged(booklet_of(name)).root.words)
    at = 0
    for part_steps in make_steps(knit_of(name)):
        for step in part_steps.steps:
            match step:
                case RowStep():
                    way = "to the right" if step.to_right else "to the left"
                    due = f"{step.label}, {way} {step.text}"
                    if step.shaped:
                        due += f" {step.stitches} stitch"
                case RepeatStep():
                    due = step.text
                case Checkpoint():
                    due = step.text[1:]
                case _:
                    due = step.text
            found = heard.find(words(due), at)
            assert found >= 0, due
            at = found + 1


def test_no_word_is_run_together_with_the_next() -> None:
    """Lines end without a space on paper and with one in what is heard; broken words do not."""
    lines = [Text(10, 20, "lift the loop over the double-"), Text(10, 25, "pointed needle and")]
    lines += [Text(10, 30, "go"), Text(13.44, 30, " on"), Text(40, 30, "24")]
    document = Document((Page(100, 100, (Group(tuple(lines), role=Role.P),)),), "Test")
    (paragraph,) = read_tagged(write_pdf(document)).root.all("P")
    assert paragraph.text == "lift the loop over the double-pointed needle and go on 24"


def test_rows_of_a_chart_are_heard_in_words() -> None:
    """The heel flap of the sample on 40 pegs, by hand: 24 heel pegs, 2 to 25; 16 rows whose first
    stitch is slipped from row 2 on; then a partial row to peg 10."""
    pdf = write_pdf(make_card(knit_of("reed-bank"), Part.FLAP))
    (chart,) = read_tagged(pdf).root.all("Table")
    rows = list(chart.all("TR"))
    assert [[words(cell.heard) for cell in row.kids] for row in rows] == [
        [f"Pegs, left to right: {', '.join(map(str, range(2, 26)))}."],
        ["1", "Row 1, to the right: pegs 2–25 knit."],
        ["2", "Row 2, to the left: peg 25 slip, 24–2 knit."],
        ["3", "Row 3, to the right: peg 2 slip, 3–25 knit."],
        ["Rows 4–15: repeat rows 2–3."],
        ["16", "Row 16, to the left: peg 25 slip, 24–2 knit."],
        ["partial", "Partial row, to the right: peg 2 slip, 3–10 knit."],
    ]
    assert [[cell.tag for cell in row.kids] for row in rows] == [
        ["TH"], *[["TH", "TD"]] * 3, ["TD"], *[["TH", "TD"]] * 2
    ]  # fmt: skip
    heads = [row.kids[0].attributes for row in rows if len(row.kids) == 2]
    assert all(head["/Scope"] == "/Row" for head in heads)
    assert chart.attributes["/Summary"] == "Chart: Heel flap. Row 1 is at the bottom."


def test_what_is_heard_later_than_painted_still_leads_back() -> None:
    """A paragraph that is painted between two rows of a table is heard after it."""

    def said(text: str, role: Role) -> Group:
        return Group((Text(1, 1, text),), role=role)

    rows = [Group((said("a", Role.TH), said(word, Role.TD)), role=Role.TR) for word in ("b", "d")]
    table = Group((rows[0], said("c", Role.P), rows[1]), role=Role.TABLE)
    found = read_tagged(write_pdf(Document((Page(50, 50, (table,)),), "Test")))
    assert found.wrong == []
    assert found.root.words == "a b a d c"


# --- Elements --------------------------------------------------------------------------------


def tree_of(pdf: bytes) -> Node:
    return read_tagged(pdf).root


def test_headings_never_skip_a_level(product: bytes) -> None:
    levels = [HEADINGS.index(node.tag) + 1 for node in tree_of(product).all(*HEADINGS)]
    assert levels[:1] == [1]
    assert all(after <= before + 1 for before, after in pairwise(levels))


def test_figures_say_what_they_show_and_where(product: bytes) -> None:
    with pikepdf.open(BytesIO(product)) as file:
        sizes = [[float(side) for side in page.MediaBox[2:]] for page in file.pages]
        boxes = list(boxes_of(file))
    for figure in tree_of(product).all("Figure"):
        assert figure.alt.strip()
        assert not figure.actual
        assert figure.page is not None
        left, bottom, right, top = boxes.pop(0)
        wide, high = sizes[figure.page]
        assert 0 <= left < right <= wide
        assert 0 <= bottom < top <= high
    assert boxes == []


def boxes_of(file: pikepdf.Pdf) -> list[list[float]]:
    found = []

    def walk(element: pikepdf.Object) -> None:
        if element.S == "/Figure":
            found.append([float(side) for side in element.A.BBox])
        kids = element.get("/K", [])
        for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
            if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
                walk(kid)

    walk(file.Root.StructTreeRoot.K)
    return found


def test_elements_stand_where_they_may(product: bytes) -> None:
    def check(node: Node) -> None:
        for kid in node.kids:
            if kid.tag in PARENTS:
                assert node.tag in PARENTS[kid.tag], (node.tag, kid.tag)
            check(kid)
        inside = {kid.tag for kid in node.kids}
        assert node.tag != "L" or inside == {"LI"}
        assert node.tag != "Table" or inside <= {"TR", "Caption"}
        assert node.tag != "LI" or [kid.tag for kid in node.kids] in (["Lbl", "LBody"], ["LBody"])
        assert node.tag != "P" or not inside - {"Span", "Link", "Figure"}
        assert node.kids or node.text.strip() or node.links or node.tag == "TH" or node.heard

    root = tree_of(product)
    assert root.tag == "Document"
    check(root)


def test_tables_are_regular_and_have_heads(product: bytes) -> None:
    for table in tree_of(product).all("Table"):
        rows = list(table.all("TR"))
        widths = {
            sum(int(str(cell.attributes.get("/ColSpan", 1))) for cell in row.kids) for row in rows
        }
        assert len(widths) == 1
        heads = list(table.all("TH"))
        assert heads
        assert all(head.attributes["/Scope"] in ("/Row", "/Column") for head in heads)


def columns_of(cell: Node) -> int:
    return int(str(cell.attributes.get("/ColSpan", 1)))


def test_notes_have_names() -> None:
    notes = list(tree_of(booklet_of("reed-bank")).all("Note"))
    assert notes
    assert all(note.name for note in notes)


def test_contents_lead_to_their_pages() -> None:
    root = tree_of(booklet_of("ember"))
    (contents,) = root.all("TOC")
    links = list(contents.all("Link"))
    reader = pypdf.PdfReader(BytesIO(booklet_of("ember")))
    assert len(links) == len(contents.kids) == len(reader.pages[1]["/Annots"]) >= 12  # type: ignore[arg-type]
    assert all(link.links == 1 for link in links)
    assert links[0].heard == "Loom map, page 3"


def test_page_numbers_and_thumb_marks_are_not_read() -> None:
    found = read_tagged(booklet_of("ember"))
    assert "12" in found.furniture
    assert "part 3" in found.furniture
    assert "part 3" not in found.root.words
    with pikepdf.open(BytesIO(booklet_of("ember"))) as file:
        content = file.pages[4].Contents.read_bytes()
    assert b"/Artifact <</Type /Pagination /Subtype /Footer>> BDC" in content


# --- The file about itself -------------------------------------------------------------------

SPACES = {
    "dc": "http://purl.org/dc/elements/1.1/",
    "pdf": "http://ns.adobe.com/pdf/1.3/",
    "pdfaid": "http://www.aiim.org/pdfa/ns/id/",
    "pdfuaid": "http://www.aiim.org/pdfua/ns/id/",
    "rdf": "http://www.w3.org/1999/02/22-rdf-syntax-ns#",
    "xmp": "http://ns.adobe.com/xap/1.0/",
}


def test_metadata_say_the_same_twice() -> None:
    page = Page(99, 99, (Text(9, 9, "peg"),))
    document = Document((page,), "Größe <40> & ½", "Student A", "a \\ b", ("sock", "loom"), "de-DE")
    with pikepdf.open(BytesIO(write_pdf(document))) as file:
        packet = etree.fromstring(file.Root.Metadata.read_bytes())
        info = file.docinfo

        def told(path: str) -> str:
            return " ".join(packet.xpath(f"//{path}//text()", namespaces=SPACES)).strip()

        assert told("dc:title") == info["/Title"] == "Größe <40> & ½"
        assert told("dc:creator") == info["/Author"] == "Student A"
        assert told("dc:description") == info["/Subject"] == "a \\ b"
        assert told("pdf:Keywords") == info["/Keywords"] == "sock, loom"
        assert told("pdf:Producer") == info["/Producer"] == "pegfolio"
        assert told("xmp:CreatorTool") == info["/Creator"] == "pegfolio"
        assert told("dc:language") == file.Root.Lang == "de-DE"
        assert (told("pdfaid:part"), told("pdfaid:conformance")) == ("2", "A")
        assert told("pdfuaid:part") == "1"
        assert file.Root.MarkInfo.Marked is True
        assert file.Root.ViewerPreferences.DisplayDocTitle is True


def test_same_document_gives_the_same_bytes() -> None:
    knit = knit_of("ember")
    document = make_booklet(knit, knit, paper=PAPERS["a5"])
    assert write_pdf(document) == write_pdf(document)


def test_plain_file_has_the_same_pages_and_no_tags() -> None:
    knit = knit_of("ember")
    document = make_chart_page(knit, Part.LEG)
    plain, marked = (
        write_pdf(document, tagging=tagging) for tagging in (Tagging.PLAIN, Tagging.TAGGED)
    )
    with pikepdf.open(BytesIO(plain)) as file:
        assert "/StructTreeRoot" not in file.Root
        assert b"BDC" not in file.pages[0].Contents.read_bytes()
    texts = [pypdf.PdfReader(BytesIO(pdf)).pages[0].extract_text() for pdf in (plain, marked)]
    assert texts[0].split() == texts[1].split()


def test_link_that_stands_alone_is_heard_by_where_it_leads() -> None:
    page = Page(
        99, 99, (Anchor("heel", 50), Link(10, 10, 20, 5, "heel", "to the heel"), rect(1, 1, 9, 9))
    )
    found = read_tagged(write_pdf(Document((page,), "Test")))
    assert found.wrong == []
    (link,) = found.root.all("Link")
    assert (link.links, link.text) == (1, "")
