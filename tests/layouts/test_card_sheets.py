"""Cards on sheets, read back from the finished file by pdfplumber, which did not write it.

Sizes: ISO 216 (A6 105 x 148 mm, A7 74 x 105 mm) and ISO/IEC 7810 (ID-1 85.60 x 53.98 mm), figures
read in the encyclopedia articles.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from io import BytesIO
from typing import Any, NamedTuple

import pdfplumber
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from charts.parts import Part
from charts.verify import Knit
from layouts.block import DoesNotFitError
from layouts.card import make_card
from layouts.card_sheets import PLAIN, CardLook, gang_cards, most_on_a_sheet
from layouts.card_side import joined_cards
from layouts.card_subjects import Hole, Reference
from layouts.imposition import Flip
from layouts.paper import CARD_SAFE, PAPERS, Paper, read_paper
from layouts.pdf import write_pdf
from layouts.scene import Box, Document, Page, Text, bounds
from tests.layouts.placed_items import paths_of, texts_of, words_of
from tests.readback.ink import Layer, drawn_pages, ink_outside, letters_on_letters, shared_ink

MM = 25.4 / 72
KnitOf = Callable[[str], Knit]
A4 = PAPERS["a4"]
INSET_MM = 12.0
"""Where the names of test cards stand: from the left and from the top."""


def named_card(name: str, size: tuple[float, float], sides: int = 2) -> Document:
    """A card with "F" or "B" and its name near the top left corner of each side."""
    width, height = size
    pages = tuple(
        Page(
            width,
            height,
            (Text(INSET_MM, INSET_MM, f"{letter}{name}", size_pt=10.0),),
            safe=CARD_SAFE,
        )
        for letter in "FB"[:sides]
    )
    return Document(pages, f"Card {name}")


class Name(NamedTuple):
    """The start of a card's name, and which way it is read."""

    x_mm: float
    y_mm: float
    along: tuple[int, int]
    """Right, down as unit steps."""


class Side(NamedTuple):
    """A side of a sheet as it is read."""

    width_mm: float
    height_mm: float
    names: dict[str, Name]
    level: list[tuple[float, float, float]]
    """Level lines: height, left and right end."""
    upright: list[tuple[float, float, float]]
    """Upright lines: distance from the left, upper and lower end."""
    words: str


def read_sides(document: Document) -> list[Side]:
    with pdfplumber.open(BytesIO(write_pdf(document))) as pdf:
        return [_side(page) for page in pdf.pages]


def _side(page: Any) -> Side:
    names = {}
    text = "".join(char["text"] for char in page.chars)
    for found in re.finditer(r"[FB]\d+", text):
        matrix = page.chars[found.start()]["matrix"]
        along = (round(matrix[0]), round(-matrix[1]))
        names[found[0]] = Name(matrix[4] * MM, (page.height - matrix[5]) * MM, along)
    level, upright = [], []
    for one in page.lines:
        x0, x1, top, bottom = (one[key] * MM for key in ("x0", "x1", "top", "bottom"))
        if bottom - top < 0.01:
            level.append((top, x0, x1))
        elif x1 - x0 < 0.01:
            upright.append((x0, top, bottom))
    return Side(
        page.width * MM,
        page.height * MM,
        names,
        level,
        upright,
        text.replace("\N{NO-BREAK SPACE}", " "),
    )


def cuts(lines: list[tuple[float, float, float]]) -> list[float]:
    """Where the cut lines are, each once."""
    found: list[float] = []
    for place, _, _ in sorted(lines):
        if not found or place - found[-1] > 0.01:
            found.append(place)
    return found


# --- Geometry --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("size", "across", "down"),
    [((105.0, 148.0), 1, 2), ((74.0, 105.0), 2, 2), ((53.98, 85.6), 2, 4)],
    ids=["A6", "A7", "ID-1"],
)
def test_crop_marks_cut_cards_of_their_size_with_bleed_between(
    size: tuple[float, float], across: int, down: int
) -> None:
    """On A4: two A6, four A7, eight ID-1, each pair 6 mm apart: 3 mm of bleed for either."""
    cards = [named_card(str(number), size) for number in range(across * down)]
    front, back = read_sides(gang_cards(cards, sheet=A4))
    for side in (front, back):
        assert (side.width_mm, side.height_mm) == pytest.approx((210, 297), abs=0.01)
        assert len(side.names) == across * down
        xs, ys = cuts(side.upright), cuts(side.level)
        assert (len(xs), len(ys)) == (2 * across, 2 * down)
        widths = [right - left for left, right in zip(xs[::2], xs[1::2], strict=True)]
        heights = [low - high for high, low in zip(ys[::2], ys[1::2], strict=True)]
        assert len({round(side_mm, 3) for side_mm in widths}) == 1
        assert sorted((widths[0], heights[0])) == pytest.approx(sorted(size), abs=0.01)
        gaps = [
            near - far
            for line in (xs, ys)
            for far, near in zip(line[1:-1:2], line[2::2], strict=True)
        ]
        assert gaps == pytest.approx([6.0] * (across + down - 2), abs=0.01)


@pytest.mark.parametrize("size", [(105.0, 148.0), (74.0, 105.0), (85.6, 53.98)])
@pytest.mark.parametrize("sheet", ["a4", "letter", "a3"])
def test_marks_are_in_the_printable_room_and_outside_of_every_card(
    size: tuple[float, float], sheet: str
) -> None:
    cards = [named_card(str(number), size) for number in range(12)]
    for side in read_sides(gang_cards(cards, sheet=PAPERS[sheet])):
        xs, ys = cuts(side.upright), cuts(side.level)
        trims = [
            Box(left, top, right, bottom)
            for left, right in zip(xs[::2], xs[1::2], strict=True)
            for top, bottom in zip(ys[::2], ys[1::2], strict=True)
        ]
        marks = [Box(left, y, right, y) for y, left, right in side.level]
        marks += [Box(x, top, x, bottom) for x, top, bottom in side.upright]
        room = Box(6.0, 6.0, side.width_mm - 6.0, side.height_mm - 6.0)
        for mark in marks:
            assert room.holds(mark, 0.01)
            for trim in trims:
                apart = trim.grown(0.9)
                assert (
                    mark.right_mm <= apart.left_mm
                    or mark.left_mm >= apart.right_mm
                    or mark.bottom_mm <= apart.top_mm
                    or mark.top_mm >= apart.bottom_mm
                )


@pytest.mark.parametrize("flip", Flip)
@pytest.mark.parametrize("size", [(105.0, 148.0), (148.0, 105.0), (100.0, 100.0), (74.0, 105.0)])
@pytest.mark.parametrize("sheet", ["a4", "a3", "letter"])
@pytest.mark.parametrize("bleed_mm", [3.0, 0.0])
def test_back_lies_behind_its_front_and_the_card_is_turned_like_a_leaf(
    flip: Flip, size: tuple[float, float], sheet: str, bleed_mm: float
) -> None:
    """Seen from the front, the back's name starts at the front's top right corner and runs left."""
    cards = [named_card(str(number), size) for number in range(5)]
    # One card lies across the others.
    cards.append(named_card("5", (size[1], size[0])))
    sides = read_sides(gang_cards(cards, sheet=PAPERS[sheet], flip=flip, bleed_mm=bleed_mm))
    told = set()
    for front, back in zip(sides[::2], sides[1::2], strict=True):
        wide, high = front.width_mm, front.height_mm
        about_upright = (high > wide) is (flip is Flip.LONG_EDGE)
        for name, one in front.names.items():
            told.add(name)
            behind = back.names[name.replace("F", "B")]
            seen = (wide - behind.x_mm, behind.y_mm)
            runs = (-behind.along[0], behind.along[1])
            if not about_upright:
                seen = (behind.x_mm, high - behind.y_mm)
                runs = (behind.along[0], -behind.along[1])
            right, down = one.along
            width = size[0] if name != "F5" else size[1]
            reach = width - 2 * INSET_MM
            expected = (one.x_mm + right * reach, one.y_mm + down * reach)
            assert seen == pytest.approx(expected, abs=0.1)
            assert runs == (-right, -down)
    assert told == {f"F{number}" for number in range(6)}


def test_cards_without_bleed_fill_the_sheet_and_share_their_cuts() -> None:
    """Four A6 make one A4 (ISO 216), two A5 too; marks then lie on the cut lines themselves."""
    a6 = [named_card(str(number), (105.0, 148.0)) for number in range(4)]
    front, _ = read_sides(gang_cards(a6, sheet=A4, bleed_mm=0))
    assert len(front.names) == 4
    assert cuts(front.upright) == pytest.approx([105.0], abs=0.01)
    assert cuts(front.level) == pytest.approx([148.5], abs=0.01)
    assert most_on_a_sheet(a6, A4, 0) == 4
    assert most_on_a_sheet(a6, A4, 3) == 2
    a5 = [named_card(str(number), (148.0, 210.0)) for number in range(2)]
    front, _ = read_sides(gang_cards(a5, sheet=A4, bleed_mm=0))
    assert len(front.names) == 2


def test_cards_with_ink_near_their_edge_do_not_fill_a_sheet() -> None:
    bare = [
        Document((Page(105.0, 148.0, (Text(1, 5, f"F{number}"),)),), "Bare") for number in range(4)
    ]
    assert most_on_a_sheet(bare, A4, 0) == 2


def test_cards_of_two_sizes_come_on_sheets_of_their_own() -> None:
    cards = [named_card("0", (105.0, 148.0)), named_card("1", (74.0, 105.0))]
    sides = read_sides(gang_cards(cards, sheet=A4))
    assert [sorted(side.names) for side in sides] == [["F0"], ["B0"], ["F1"], ["B1"]]


def test_cards_printed_on_one_side_take_no_backs() -> None:
    cards = [named_card(str(number), (105.0, 148.0), sides=1) for number in range(2)]
    (side,) = read_sides(gang_cards(cards, sheet=A4))
    assert sorted(side.names) == ["F0", "F1"]
    assert "both sides" not in side.words
    mixed = [*cards, named_card("2", (105.0, 148.0))]
    assert len(read_sides(gang_cards(mixed, sheet=A4))) == 4


def test_front_and_back_of_two_sizes_are_refused() -> None:
    front, back = named_card("0", (105.0, 148.0), 1), named_card("1", (148.0, 105.0), 1)
    card = Document((*front.pages, *back.pages), "Odd")
    with pytest.raises(DoesNotFitError, match="front and back of a card differ"):
        gang_cards([card], sheet=A4)


def test_sheet_tells_the_order_of_the_work() -> None:
    look = CardLook(corner_radius_mm=3.0, punched=True)
    front, back = read_sides(gang_cards([named_card("0", (105.0, 148.0))], sheet=A4, look=look))
    order = (
        "Print at 100 %, both sides, flip on the long edge",
        "1 Cut at the marks, round the corners.",
        "2 Punch the hole.",
        # A pouch is 6 mm larger each way than an A6 card (common practice, no published source).
        "3 Laminate in a pouch of 111 x 154 mm or more.",
        "4 Trim the film, leaving a clear rim of 3 mm round the card.",
        "5 Punch a smaller hole through the film.",
    )
    places = [front.words.find(words) for words in order]
    assert -1 not in places
    assert places == sorted(places)
    assert "Cut" not in back.words


def test_corners_are_rounded_by_the_radius_of_an_id_1_card() -> None:
    """3 mm, between 2.88 and 3.48 mm (ISO/IEC 7810, read in the encyclopedia article)."""
    look = CardLook(corner_radius_mm=3.0)
    plain = gang_cards([named_card("0", (85.6, 53.98), 1)], sheet=A4, look=PLAIN)
    guided = gang_cards([named_card("0", (85.6, 53.98), 1)], sheet=A4, look=look)
    with pdfplumber.open(BytesIO(write_pdf(plain))) as pdf:
        assert pdf.pages[0].curves == []
    with pdfplumber.open(BytesIO(write_pdf(guided))) as pdf:
        (page,) = pdf.pages
        assert len(page.curves) == 4
        for curve in page.curves:
            assert (curve["x1"] - curve["x0"]) * MM == pytest.approx(3.0, abs=0.01)
            assert (curve["bottom"] - curve["top"]) * MM == pytest.approx(3.0, abs=0.01)


SIDES_MM = st.floats(50, 320).map(lambda side: round(side, 2))


@given(
    card=st.tuples(SIDES_MM, SIDES_MM),
    sheet=st.tuples(SIDES_MM, SIDES_MM),
    bleed_mm=st.sampled_from([0.0, 1.5, 3.0, 5.0]),
    sides=st.integers(1, 2),
)
@settings(max_examples=80, deadline=None)
def test_cards_fit_on_a_sheet_or_are_refused_with_one_that_does(
    card: tuple[float, float], sheet: tuple[float, float], bleed_mm: float, sides: int
) -> None:
    cards = [named_card("0", card, sides)]
    paper = Paper("", *sheet)
    try:
        ganged = gang_cards(cards, sheet=paper, bleed_mm=bleed_mm)
    except DoesNotFitError as refusal:
        named = re.search(r"it needs (\S+ x \S+ mm) or more", str(refusal))
        assert named is not None
        paper = read_paper(named[1])
        ganged = gang_cards(cards, sheet=paper, bleed_mm=bleed_mm)
        for name in re.findall(r"such as (\S+)$", str(refusal)):
            assert gang_cards(cards, sheet=PAPERS[name], bleed_mm=bleed_mm).pages
    for page in ganged.pages:
        assert sorted((page.width_mm, page.height_mm)) == sorted((paper.width_mm, paper.height_mm))
        for item in page.items:
            assert page.safe_box.holds(bounds(item), 0.05)


# --- Cards of socks --------------------------------------------------------------------------


def cards_of(knit: Knit, paper: str, hole: Hole = Hole.NONE) -> list[Document]:
    subjects = (Part.TURN, Part.TOE, *Reference)
    return [make_card(knit, one, paper=PAPERS[paper], hole=hole) for one in subjects]


@pytest.mark.parametrize(("paper", "bleed_mm"), [("a6", 3.0), ("a5", 0.0), ("photo-5x7", 3.0)])
def test_sheets_of_a_sock_keep_clear_of_the_edge_and_of_themselves(
    knit_of: KnitOf, paper: str, bleed_mm: float
) -> None:
    document = gang_cards(cards_of(knit_of("rope on 40"), paper), sheet=A4, bleed_mm=bleed_mm)
    pdf = write_pdf(document)
    for page in drawn_pages(pdf, Layer.ALL, dpi=100):
        assert ink_outside(page, 5.7) == ""
    layers = zip(drawn_pages(pdf, Layer.TEXTS), drawn_pages(pdf, Layer.OTHERS), strict=True)
    for number, (texts, others) in enumerate(layers, start=1):
        assert shared_ink(texts, others) is None, number
    assert list(letters_on_letters(pdf, tolerance_mm=0.05)) == []
    # 6 pt is the smallest for solid black (common practice, no published source).
    sizes = [one.item.size_pt for page in document.pages for one in texts_of(page)]
    assert min(sizes) >= 6.0


@pytest.mark.parametrize("paper", ["a6", "a5", "photo-4x6", "photo-5x7", "quarter-letter"])
def test_corner_with_the_hole_is_free_on_both_sides(knit_of: KnitOf, paper: str) -> None:
    """A hole of 6 mm, its middle 9.5 mm from both edges, 14 mm of the corner free (common practice,
    no published source)."""
    for card in cards_of(knit_of("rope on 40"), paper, Hole.CORNER):
        for number, page in enumerate(card.pages):
            width = page.width_mm
            corner = Box(0, 0, 14, 14) if number % 2 == 0 else Box(width - 14, 0, width, 14)
            hole = []
            for one in (*texts_of(page), *paths_of(page)):
                if one.box.meets(corner, 0.1):
                    hole.append(one.box)
            if number % 2:
                assert hole == []
                continue
            circle, cross = hole
            assert circle.width_mm == pytest.approx(6.0, abs=0.1)
            assert (circle.left_mm + circle.right_mm) / 2 == pytest.approx(9.5)
            assert (circle.top_mm + circle.bottom_mm) / 2 == pytest.approx(9.5)
            assert circle.holds(cross)


def test_a_card_without_a_back_is_followed_by_an_empty_side(knit_of: KnitOf) -> None:
    knit = knit_of("rope on 40")
    one_side = make_card(knit, Part.CLOSING)
    assert len(one_side.pages) == 1
    two_sides = make_card(knit, Part.TURN)
    joined = joined_cards([one_side, two_sides, one_side], "Cards")
    assert [bool(page.items) for page in joined.pages] == [True, False, True, True, True]


# --- What cards tell -------------------------------------------------------------------------


@pytest.mark.parametrize("paper", ["a6", "a5"])
def test_card_for_grafting_has_a_box_for_each_pair_and_all_moves(
    knit_of: KnitOf, paper: str
) -> None:
    card = make_card(knit_of("rope on 40"), Reference.GRAFTING, paper=PAPERS[paper])
    words = " ".join(words_of(page) for page in card.pages)
    # 40 pegs: 20 loops on each needle.
    words = words.replace("2 + 4 × 19 + 2.", "")
    assert len(re.findall(r"\d+ \+ \d+", words)) == 20
    assert words.count("knitwise") >= 2
    assert words.count("purlwise") >= 2
    for told in ("Set up, once", "Four moves, 19 times over", "At the end, once", "can hurt"):
        assert told in words


@pytest.mark.parametrize("paper", ["a7", "a6", "a5"])
def test_card_of_symbols_explains_every_sign_of_every_part_once(
    knit_of: KnitOf, paper: str
) -> None:
    card = make_card(knit_of("rope on 40"), Reference.KEY, paper=PAPERS[paper])
    words = " ".join(words_of(page) for page in card.pages).replace(" :", ":")
    for sign in (
        " purl:",
        "slip:",
        "knit and join:",
        "held loop:",
        "no cell:",
        "hang back:",
        "take off:",
        "cross right with left 2 over right 2:",
    ):
        assert words.count(sign) == 1, sign
    assert "Read from the bottom row up." in words
