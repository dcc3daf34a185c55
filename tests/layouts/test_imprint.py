"""A publisher's marks on covers, a buyer's line on each page: read back with other libraries."""

from __future__ import annotations

from io import BytesIO
from typing import Any

import pdfplumber
import pikepdf
import pypdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from charts.knitted import knit_sock
from charts.parts import Part
from charts.pattern_file import read_pattern
from charts.pattern_values import write_text
from charts.sizes import knit_sizes
from charts.verify import Knit
from layouts.block import DoesNotFitError
from layouts.booklet import make_booklet
from layouts.card import make_card
from layouts.chart_page import make_chart_page
from layouts.cover import LEAST_DRAWING_MM, LEAST_LENGTH_MM, cover
from layouts.faces import Face
from layouts.imprint import LOGO_MM, MOST_COPY_LINE, NO_IMPRINT, Imprint, copy_block
from layouts.paper import MM_PER_PT, read_paper
from layouts.pdf import write_pdf
from layouts.scene import BLACK, Box, Document, Dots, Group, Ink, Page, Picture, bounds_of
from layouts.scene import outside_safe_area as outside
from layouts.sized_booklet import make_sized_booklet
from layouts.style import BOOKLET
from layouts.text import Style
from tests.layouts.conftest import PATTERNS
from tests.layouts.placed_items import groups_of, paths_of, pictures_of, texts_of, words_of

SOCK = PATTERNS["plain on 24"]
LOGO = Picture(0, 0, 36, 12, Dots(6, 2, bytes(range(12))), "Logo of Student A")
TEAL = Ink.from_hex("#005f73")
ORDER = "Copy for order 1042"
LONG = "Designer of the evening class with a very long name, Room 3 "[:60]
LICENCE = ("Knit it for yourself and for gifts, and teach it to whoever asks you. " * 5)[:300]
assert (len(LONG), len(LICENCE)) == (60, 300)

PAPERS = ("a5", "half-letter", "a4", "128 x 180 mm")


def house(**values: str) -> str:
    lines = (f"{key} = {write_text(value)}\n" for key, value in values.items())
    return f"[house]\n{''.join(lines)}"


def knit_of_house(title: str = "Plain", designer: str = "Student A", **values: str) -> Knit:
    head = f"title = {write_text(title)}\ndesigner = {write_text(designer)}"
    return knit_sock(read_pattern(SOCK.replace('title = "Plain"', head) + house(**values)))


def booklet(knit: Knit, imprint: Imprint, paper: str = "a5") -> Document:
    return make_booklet(knit, knit, paper=read_paper(paper), imprint=imprint)


def box_of(found: dict[str, Any]) -> Box:
    """A picture or word that pdfplumber found, in mm."""
    return Box(*(found[side] * MM_PER_PT for side in ("x0", "top", "x1", "bottom")))


def overlaps(page: Page) -> list[tuple[str, str]]:
    """Texts and pictures of a page that share room."""
    texts = [(one.text, one.box) for one in texts_of(page) if one.item.face is not Face.SYMBOLS]
    boxes = texts + [("picture", picture.box) for picture in pictures_of(page)]
    return [
        (name, other)
        for index, (name, box) in enumerate(boxes)
        for other, other_box in boxes[index + 1 :]
        if box.meets(other_box, 0.02)
    ]


def all_inside(page: Page) -> bool:
    """But for the little sock in the corner, which stands a trifle high on the smallest page."""
    return all(bounds_of((item,)).bottom_mm < 25 for item in outside(page))


# --- The cover -------------------------------------------------------------------------------

RIGHTS = {
    "licence": "Knit it for yourself and for gifts.",
    "copyright": "© 2026 Student A",
    "edition": "2.1",
    "date": "March 2026",
}


def test_cover_tells_designer_edition_and_rights_in_that_order() -> None:
    (first, *_) = booklet(knit_of_house(**RIGHTS), NO_IMPRINT).pages
    words = words_of(first)
    told = ["Student A", "Edition 2.1, March 2026", "© 2026 Student A", RIGHTS["licence"]]
    places = [words.index(one) for one in told]
    assert places == sorted(places)


@pytest.mark.parametrize(
    ("values", "told"),
    [
        ({"edition": "3"}, "Edition 3"),
        ({"date": "2026-03"}, "2026-03"),
        ({"edition": "3", "date": "2026"}, "Edition 3, 2026"),
    ],
)
def test_edition_is_told_as_far_as_it_is_given(values: dict[str, str], told: str) -> None:
    (first, *_) = booklet(knit_of_house(**values), NO_IMPRINT).pages
    assert told in [text.text for text in texts_of(first)]


def test_cover_without_marks_has_none() -> None:
    knit = knit_of_house(designer="")
    (first, *_) = booklet(knit, NO_IMPRINT).pages
    assert pictures_of(first) == []
    assert "Edition" not in words_of(first)


def test_logo_stands_on_the_cover_alone_clear_of_all_words() -> None:
    pdf = write_pdf(booklet(knit_of_house(**RIGHTS), Imprint(LOGO)))
    with pdfplumber.open(BytesIO(pdf)) as file:
        page, *others = file.pages
        (image,) = page.images
        logo = box_of(image)
        words = [box_of(word) for word in page.extract_words()]
        assert not any(other.images for other in others)
    assert (logo.width_mm, logo.height_mm) == pytest.approx((36, 12), abs=0.01)
    assert not any(logo.meets(word) for word in words)
    # at the outer edge, 12 mm from the cut
    assert logo.right_mm == pytest.approx(148 - 12, abs=0.01)


def test_logo_is_told_in_words_to_those_who_hear_the_page() -> None:
    (first, *_) = booklet(knit_of_house(), Imprint(LOGO)).pages
    (logo,) = pictures_of(first)
    assert logo.item.alt == "Logo of Student A"


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("title", ["Plain", "Plain socks " * 10])
def test_long_words_wrap_and_nothing_lies_on_anything(paper: str, title: str) -> None:
    knit = knit_of_house(
        title,
        LONG + " " + LONG[:19],
        licence=LICENCE,
        copyright=LICENCE[:120],
        edition="1.10.2b",
        date="Midsummer of the year 2026",
    )
    logo = Picture(0, 0, *LOGO_MM, LOGO.dots)
    document = booklet(knit, Imprint(logo, copy_line="W" * MOST_COPY_LINE), paper)
    first = document.pages[0]
    assert overlaps(first) == []
    assert all_inside(first)
    words = words_of(first)
    assert LONG in words
    assert LICENCE.strip() in words


@settings(max_examples=25, deadline=None)
@given(
    st.text("abc W", max_size=118).map(lambda words: f"A{words}B"),
    st.text("abc W,.", max_size=80),
    st.text("abc W,.", max_size=300),
    st.text("abc W,.", max_size=120),
    st.sampled_from(PAPERS),
)
def test_any_words_leave_room_for_each_other(
    title: str, designer: str, licence: str, rights: str, paper: str
) -> None:
    knit = knit_of_house(title, designer.strip(), licence=licence.strip(), copyright=rights.strip())
    first = booklet(knit, Imprint(LOGO, copy_line=ORDER), paper).pages[0]
    assert overlaps(first) == []
    assert all_inside(first)


def test_sock_stands_on_the_cover_under_the_longest_words() -> None:
    """On the smallest page too, without its labels."""
    knit = knit_of_house("Plain socks " * 10, LONG, licence=LICENCE, copyright=LICENCE[:120])
    small, large = (
        booklet(knit, Imprint(LOGO), paper).pages[0] for paper in ("128 x 180 mm", "a4")
    )
    heights_mm = []
    for page in (small, large):
        (sock,) = (group for group in groups_of(page) if "from the side" in group.alt)
        heights_mm.append(bounds_of((sock,)).height_mm)
        assert bounds_of((sock,)).width_mm > LEAST_LENGTH_MM
    assert LEAST_DRAWING_MM / 2 < heights_mm[0] < 40 < heights_mm[1]


@pytest.mark.parametrize("high_mm", range(50, 200, 5))
def test_sock_on_the_cover_is_large_enough_to_see_or_left_out(high_mm: int) -> None:
    block = cover(knit_of_house(**RIGHTS), width_mm=100, height_mm=high_mm, style=BOOKLET)
    drawn = [item for item in block.items if isinstance(item, Group) and "side" in figure_alt(item)]
    for group in drawn:
        assert bounds_of((group,)).height_mm > LEAST_DRAWING_MM / 2
        assert bounds_of((group,)).width_mm > LEAST_LENGTH_MM
        assert bounds_of((group,)).top_mm > 20
    assert len(drawn) == (1 if high_mm > 130 else 0 if high_mm < 90 else len(drawn))


def figure_alt(group: Group) -> str:
    """The words of the figure in a placed block."""
    return " ".join(item.alt for item in group.items if isinstance(item, Group))


def test_cover_of_sizes_has_the_same_marks() -> None:
    sizes = '[[size]]\nname = "S"\n[[size]]\nname = "M"\nloom = { pegs = 28 }\n'
    pattern = knit_sizes(SOCK + house(**RIGHTS) + sizes)
    document = make_sized_booklet(
        pattern, paper=read_paper("a5"), imprint=Imprint(LOGO, TEAL, ORDER)
    )
    (first, *_) = document.pages
    assert len(pictures_of(first)) == 1
    assert "Edition 2.1, March 2026" in words_of(first)
    assert all(ORDER in words_of(page) for page in document.pages)
    assert TEAL in fills(first)
    assert document.rights == "© 2026 Student A Knit it for yourself and for gifts."


# --- The accent ------------------------------------------------------------------------------


def fills(page: Page) -> set[Ink]:
    return {path.item.fill for path in paths_of(page) if path.item.fill is not None}


def test_accent_colours_tabs_and_the_title_of_the_cover_and_no_other_text() -> None:
    document = booklet(knit_of_house(), Imprint(accent=TEAL))
    coloured = [index for index, page in enumerate(document.pages) if TEAL in fills(page)]
    tabbed = [
        index
        for index, page in enumerate(document.pages)
        if any(text.text.startswith("part ") or text.text == "ticks" for text in texts_of(page))
    ]
    assert coloured == [0, *tabbed]
    coloured_texts = [
        text.text for page in document.pages for text in texts_of(page) if text.item.ink == TEAL
    ]
    assert coloured_texts == ["Plain"]


def test_nothing_is_coloured_without_an_accent() -> None:
    for page in booklet(knit_of_house(), NO_IMPRINT).pages:
        assert all(ink.is_grey for ink in fills(page))
    assert NO_IMPRINT.accent == BLACK


# --- The buyer's line ------------------------------------------------------------------------


def copy_boxes(pdf: bytes, words: str) -> list[list[Box]]:
    """Where the line stands on each page, by pdfplumber."""
    with pdfplumber.open(BytesIO(pdf)) as file:
        return [[box_of(found) for found in page.search(words)] for page in file.pages]


@pytest.mark.parametrize("paper", PAPERS)
def test_copy_line_stands_once_at_the_foot_of_each_page_of_a_booklet(paper: str) -> None:
    knit = knit_of_house("Plain socks " * 9, **RIGHTS)
    document = booklet(knit, Imprint(LOGO, copy_line=ORDER), paper)
    found = copy_boxes(write_pdf(document), ORDER)
    assert [len(boxes) for boxes in found] == [1] * len(document.pages)
    for page, (box,) in zip(document.pages, found, strict=True):
        # in the strip below the body, which is 16 mm high on A5 and grows with the paper
        assert box.top_mm > page.height_mm - 16 * page.width_mm / 148
        assert overlaps(page) == []
        assert all_inside(page)


def test_sold_copy_differs_from_the_others_by_its_line_alone() -> None:
    def without(page: Page, line: str) -> list[tuple[str, Box]]:
        return [(text.text, text.box) for text in texts_of(page) if text.text != line]

    knit = knit_of_house(**RIGHTS)
    plain, sold = booklet(knit, NO_IMPRINT), booklet(knit, Imprint(copy_line=ORDER))
    for one, other in zip(plain.pages, sold.pages, strict=True):
        assert without(one, ORDER) == without(other, ORDER)


@pytest.mark.parametrize("line", [ORDER, "W" * MOST_COPY_LINE, "Copy for order 1042, " * 2 + "A"])
@pytest.mark.parametrize("paper", ["a5", "a6", "index-4x6", "100 x 150 mm"])
@pytest.mark.parametrize("part", [Part.TURN, Part.LEG])
def test_copy_line_stands_on_each_side_of_a_card(paper: str, line: str, part: Part) -> None:
    knit = knit_of_house()
    try:
        document = make_card(knit, part, paper=read_paper(paper), copy_line=line)
    except DoesNotFitError:
        assert paper != "a5"
        return
    for page in document.pages:
        assert line.replace(" ", "") in words_of(page).replace(" ", "")
        assert overlaps(page) == []
        assert outside(page) == ()


@pytest.mark.parametrize("line", [ORDER, "W" * MOST_COPY_LINE])
@pytest.mark.parametrize("paper", [None, "a4", "a5", "letter"])
@pytest.mark.parametrize("part", [Part.LEG, Part.TOE])
def test_copy_line_stands_on_each_page_of_a_chart(paper: str | None, line: str, part: Part) -> None:
    document = make_chart_page(
        knit_of_house(), part, paper=None if paper is None else read_paper(paper), copy_line=line
    )
    for page in document.pages:
        (copy,) = [text.box for text in texts_of(page) if text.text.startswith(line[:5])]
        above = [text.box.bottom_mm for text in texts_of(page) if text.box != copy]
        assert copy.top_mm - max(above) > 3
        assert overlaps(page) == []
        assert outside(page) == ()


NOTE = Style(8.0, 11.0)


def test_no_copy_line_takes_no_room() -> None:
    assert copy_block("", NOTE, 100).items == ()


def test_copy_line_grows_smaller_to_stay_on_one_line() -> None:
    whole = copy_block(ORDER, NOTE, 100)
    tight = copy_block(ORDER, NOTE, whole.width_mm * 0.9)
    assert tight.width_mm <= whole.width_mm * 0.9
    assert tight.height_mm < whole.height_mm


@given(st.text("W i.", min_size=1, max_size=MOST_COPY_LINE), st.floats(20, 200))
def test_copy_line_is_as_wide_as_it_may_be_and_never_under_6_pt(
    words: str, width_mm: float
) -> None:
    block = copy_block(words, BOOKLET.note, width_mm)
    assert block.width_mm <= width_mm + 1e-6
    texts = [item for group in block.items for item in group.items]  # type: ignore[union-attr]
    assert all(6.0 <= text.size_pt <= 8.0 for text in texts)  # type: ignore[union-attr]
    assert "".join(text.text for text in texts).replace(" ", "") == words.replace(" ", "")  # type: ignore[union-attr]


# --- What the file tells of itself -----------------------------------------------------------


def test_pdf_names_designer_and_title() -> None:
    pdf = write_pdf(booklet(knit_of_house(**RIGHTS), Imprint(LOGO)))
    told = pypdf.PdfReader(BytesIO(pdf)).metadata
    assert told is not None
    assert (told.author, told.title) == ("Student A", "Plain")


def test_pdf_tells_the_rights_to_libraries() -> None:
    pdf = write_pdf(booklet(knit_of_house(**RIGHTS), NO_IMPRINT))
    with pikepdf.open(BytesIO(pdf)) as file, file.open_metadata() as told:
        assert told["dc:rights"] == "© 2026 Student A Knit it for yourself and for gifts."


def test_pdf_without_rights_tells_none() -> None:
    pdf = write_pdf(booklet(knit_of_house(), NO_IMPRINT))
    with pikepdf.open(BytesIO(pdf)) as file, file.open_metadata() as told:
        assert "dc:rights" not in told


def test_documents_know_their_rights() -> None:
    knit = knit_of_house(**RIGHTS)
    rights = "© 2026 Student A Knit it for yourself and for gifts."
    card, chart = make_card(knit, Part.TURN), make_chart_page(knit, Part.LEG)
    assert [one.rights for one in (booklet(knit, NO_IMPRINT), card, chart)] == [rights] * 3


def test_copy_line_is_no_text_to_those_who_hear_the_page() -> None:
    (first, *_) = booklet(knit_of_house(), Imprint(copy_line=ORDER)).pages
    (group,) = [
        group
        for group in groups_of(first)
        if any(getattr(item, "text", "") == ORDER for item in group.items)
    ]
    assert isinstance(group, Group)
    assert group.role is not None
    assert group.role.value == "Artifact"


def test_equal_booklets_give_equal_bytes() -> None:
    knit, imprint = knit_of_house(**RIGHTS), Imprint(LOGO, TEAL, ORDER)
    assert write_pdf(booklet(knit, imprint)) == write_pdf(booklet(knit, imprint))
