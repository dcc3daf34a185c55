"""The size table, read back from its PDF with pdfplumber and worked by hand."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from io import BytesIO
from typing import Any

import pdfplumber
import pytest

from charts.problems import Problem
from charts.sizes import FailedSize, Size, SizedPattern, knit_sizes
from charts.sock_measures import Extent, Measures
from layouts.block import DoesNotFitError
from layouts.measured_outline import Place, measured_outline, measured_shape
from layouts.paper import MM_PER_PT, PAPERS
from layouts.pdf import write_pdf
from layouts.scene import outside_safe_area
from layouts.size_table import NONE, make_size_table, size_table_block
from layouts.style import BOOKLET

PAPERS_TRIED = ("a5", "half-letter", "a4", "letter")

# 16 stitches and 25 rows in 10 cm: a stitch is 6.25 mm, a row 4 mm.
PATTERN = """
title = "Ladder sock"
yarn = "light wool"
{units}
[loom]
spacing = "3/8 in"
[gauge]
stitches = 16
rows = 25
[ball]
metres = 112
grams = 50
[[size]]
name = "M"
loom = {{ pegs = 32 }}
wearer = {{ length = "22 cm", ball = "22 cm", leg_height = "20 cm" }}
[[size]]
name = "S"
loom = {{ pegs = 24 }}
wearer = {{ length = "17 cm", ball = "17 cm", leg_height = "16 cm", class = "child 4" }}
[[size]]
name = "L"
loom = {{ pegs = 36, spacing = "9.5 mm" }}
wearer = {{ shoe = "US men 9", ball = "25 cm", leg_height = "24 cm" }}
"""

HAND_WORKED = {
    # 32 pegs: 200 mm round.  Heel 20, centre 6, so 14 rows of flap and turn; toe 5 a side, 10.5
    # rows.  220 mm less 2.5 % is 53.6 rows, 29 of them foot.  200 mm high: 50 rows, a third of the
    # 36 above the flap are cuff.
    "M": {
        "foot length": ["22.0", "8⅝"],
        "shoe, EU": ["35"],
        "loom, pegs": ["32"],
        "A": ["20.0", "7⅞"],
        "B": ["21.4", "8⅜"],
        "C": ["17.2", "6¾"],
        "D": ["20.0", "7⅞"],
        "E": ["4.8", "1⅞"],
        "F": ["5.6", "2¼"],
        "ease round": ["−9", "%"],
        "ease in length": ["−3", "%"],
    },
    # 24 pegs: 150 mm round.  Heel 16, centre 6, so 10 rows; toe 4 a side, 8.5 rows.  170 mm less
    # 2.5 % is 41.4 rows, 23 of them foot.  160 mm high: 40 rows, a third of the 30 are cuff.
    "S": {
        "foot length": ["17.0", "6¾"],
        "shoe, EU": ["28"],
        "loom, pegs": ["24"],
        "A": ["15.0", "5⅞"],
        "B": ["16.6", "6½"],
        "C": ["13.2", "5¼"],
        "D": ["16.0", "6¼"],
        "E": ["4.0", "1⅝"],
        "F": ["4.0", "1⅝"],
        "ease round": ["−12", "%"],
    },
}


@cache
def pattern(units: str = "cm") -> SizedPattern:
    found = knit_sizes(PATTERN.format(units=f'units = "{units}"'))
    assert not found.failed
    return found


@cache
def pdf_of(paper: str, units: str = "cm") -> bytes:
    return write_pdf(make_size_table(pattern(units), paper=PAPERS[paper]))


def pages_of(pdf: bytes) -> list[Any]:
    with pdfplumber.open(BytesIO(pdf)) as file:
        return [page for page in file.pages if page.objects]


def text_of(page: Any) -> str:
    return " ".join(page.extract_text().replace("\xa0", " ").split())


def cells_of(page: Any, names: tuple[str, ...]) -> dict[str, dict[str, list[str]]]:
    """The words of each row and size, by the row's label or letter; columns by their right edge."""
    words = page.extract_words()
    heads = [word for word in words if word["text"] in names]
    top = max(word["bottom"] for word in heads)
    rights = sorted((word["x1"], word["text"]) for word in heads if word["bottom"] > top - 1)
    width = rights[1][0] - rights[0][0] if len(rights) > 1 else 60
    labels_end = rights[0][0] - width
    rows: dict[float, list[Any]] = {}
    for word in words:
        # Beside a narrow table stand the drawing and the remarks.
        if word["top"] > top - 1 and word["x0"] < rights[-1][0]:
            near = next((at for at in rows if abs(at - word["bottom"]) < 3.2), word["bottom"])
            rows.setdefault(near, []).append(word)
    found: dict[str, dict[str, list[str]]] = {}
    for row in rows.values():
        left = [word["text"] for word in row if word["x0"] < labels_end]
        label = left[0] if re.fullmatch("[A-F]", left[0]) else " ".join(left)
        label = re.sub(r" (cm|m), (in|yd)$| g$", "", label)
        before = labels_end
        found[label] = {}
        for right, name in rights:
            found[label][name] = [
                word["text"]
                for word in row
                if before < word["x1"] <= right + 1 < word["x1"] + width
            ]
            before = right + 1
    return found


# Figures


@pytest.mark.parametrize("paper", PAPERS_TRIED)
@pytest.mark.parametrize("name", HAND_WORKED)
def test_the_table_has_the_figures_worked_by_hand(paper: str, name: str) -> None:
    (page,) = pages_of(pdf_of(paper))
    cells = cells_of(page, ("S", "M", "L"))
    for label, due in HAND_WORKED[name].items():
        assert cells[label][name] == due, label


def test_the_figures_are_those_of_the_knitted_record_and_not_of_the_plan() -> None:
    (first, second, third) = pattern().sizes
    # The record of M under the name and the fit of S.
    swapped = replace(first, knit=second.knit, second=second.second)
    table = make_size_table(replace(pattern(), sizes=(swapped, third)), paper=PAPERS["a4"])
    (page,) = pages_of(write_pdf(table))
    cells = cells_of(page, ("S", "L"))
    assert cells["A"]["S"] == HAND_WORKED["M"]["A"]
    assert cells["loom, pegs"]["S"] == ["32"]


def test_columns_stand_smallest_first() -> None:
    (page,) = pages_of(pdf_of("a5"))
    names = [word for word in page.extract_words() if word["text"] in ("S", "M", "L")]
    assert [word["text"] for word in sorted(names, key=lambda word: word["x1"])] == ["S", "M", "L"]


def test_inches_come_first_where_the_designer_writes_inches() -> None:
    (page,) = pages_of(pdf_of("a5", "in"))
    cells = cells_of(page, ("S", "M", "L"))
    assert cells["B"]["S"] == ["6½", "16.6"]
    assert cells["B"]["M"] == ["8⅜", "21.4"]
    assert "in, cm" in text_of(page)


def test_shoe_sizes_stand_in_the_systems_that_suit_the_wearer() -> None:
    (page,) = pages_of(pdf_of("a4"))
    cells = cells_of(page, ("S", "M", "L"))
    # US men 9 is the shoe given; a child of 4 has no adult size.
    assert cells["shoe, US men’s"]["L"] == ["9"]
    assert cells["shoe, US men’s"]["S"] == [NONE]
    assert cells["shoe, child’s UK"]["L"] == [NONE]
    assert cells["shoe, child’s UK"]["S"] != [NONE]


def test_yarn_is_rounded_up() -> None:
    size = pattern().sizes[1]
    (page,) = pages_of(pdf_of("a4"))
    metres, yards = cells_of(page, ("S", "M", "L"))["yarn for a pair"][size.name]
    assert int(yards) >= int(metres) / 0.9144 - 1.1
    (grams,) = cells_of(page, ("S", "M", "L"))["its weight"][size.name]
    assert int(grams) == pytest.approx(int(metres) * 50 / 112, abs=1.0)


# Remarks


def test_what_differs_by_size_has_a_row_and_what_does_not_a_remark() -> None:
    (page,) = pages_of(pdf_of("a4"))
    assert "pegs apart" in cells_of(page, ("S", "M", "L"))
    text = text_of(page)
    assert "Yarn: light wool." in text
    assert "Gauge: 16 stitches and 25 rows in 10 cm." in text


def test_sizes_whose_length_is_a_guess_are_named() -> None:
    (page,) = pages_of(pdf_of("a4"))
    assert "Foot length from the shoe size: L." in text_of(page)


@pytest.mark.parametrize("paper", PAPERS_TRIED)
def test_a_size_that_failed_is_named_and_has_no_column(paper: str) -> None:
    failed = (FailedSize("XL", (Problem("a fault"),)),)
    table = make_size_table(replace(pattern(), failed=failed), paper=PAPERS[paper])
    pages = pages_of(write_pdf(table))
    # A letter of the drawing may stand in one line with words beside it.
    text = re.sub(r" [A-F](?= )", "", " ".join(map(text_of, pages)))
    assert "cannot be made as the pattern stands: XL." in text
    assert text.count("XL") == 1


def test_a_pattern_without_a_good_size_has_no_table() -> None:
    with pytest.raises(ValueError, match="a size that can be made"):
        make_size_table(SizedPattern((), ()), paper=PAPERS["a4"])


def test_without_gauge_and_wearer_pegs_and_rows_are_told() -> None:
    one = knit_sizes('title = "Plain"\n[loom]\npegs = 40\nspacing = "3/8 in"\n[cuff]\nrows = 17')
    (page,) = pages_of(write_pdf(make_size_table(one, paper=PAPERS["a5"])))
    text = text_of(page)
    assert "loom, pegs 40" in text
    assert "cuff, rows 17" in text
    assert "Without a gauge" in text
    assert "foot length" not in text


# The drawing


def measures(**lengths: float) -> Measures:
    sizes = {
        "round": 220.0,
        "cuff": 60.0,
        "leg": 70.0,
        "flap": 65.0,
        "turn": 65.0,
        "foot": 110.0,
        "toe": 50.0,
    } | lengths
    return Measures(
        **{name: Extent(mm, 0.0) for name, mm in sizes.items()},
        height=Extent(sizes["cuff"] + sizes["leg"] + sizes["flap"], 0.0),
        length=Extent(sizes["turn"] + sizes["foot"] + sizes["toe"], 0.0),
        heel_width=Extent(50.0, 0.0),
    )


def test_every_letter_of_the_drawing_is_a_row_of_the_table() -> None:
    for paper in PAPERS_TRIED:
        (page,) = pages_of(pdf_of(paper))
        words = [word["text"] for word in page.extract_words()]
        for place in Place:
            assert words.count(place.value) == 2, place


@pytest.mark.parametrize("paper", PAPERS_TRIED)
def test_the_measuring_lines_are_to_the_scale_told(paper: str) -> None:
    (page,) = pages_of(pdf_of(paper))
    scale = re.search(r"M, drawn 1 : ([\d.]+)", text_of(page))
    assert scale is not None
    thin = [one for one in page.lines if abs(one["linewidth"] - 0.5) < 0.01]
    across = sorted((one["x1"] - one["x0"]) * MM_PER_PT * float(scale[1]) for one in thin)
    up = sorted((one["bottom"] - one["top"]) * MM_PER_PT * float(scale[1]) for one in thin)
    # M by hand: 214 mm long, 172 to the toe; 200 high, 56 of flap, 48 of cuff.
    assert across[-2:] == pytest.approx([172, 214], abs=0.05 * float(scale[1]))
    assert [up[-3], up[-2], up[-1]] == pytest.approx([48, 56, 200], abs=0.05 * float(scale[1]))


def test_the_shape_has_the_sizes_measured() -> None:
    shape = measured_shape(measures())
    assert shape.length == pytest.approx(225)
    assert shape.height == pytest.approx(195)
    assert shape.cuff_end == 60
    assert shape.toe_start + shape.bulge == pytest.approx(175)
    assert shape.width == pytest.approx(70.03, abs=0.01)  # 220 / pi


@pytest.mark.parametrize(
    "odd",
    [
        {"leg": 0.0},
        {"leg": 400.0},
        {"foot": 16.0, "turn": 40.0, "toe": 30.0},
        {"foot": 260.0},
        {"flap": 8.0, "turn": 8.0},
        {"round": 90.0, "cuff": 20.0, "leg": 4.0, "flap": 35.0, "turn": 35.0, "foot": 16.0},
        {"round": 480.0},
    ],
)
def test_odd_socks_are_drawn_within_their_room(odd: dict[str, float]) -> None:
    drawn = measured_outline(measures(**odd), width_mm=80, height_mm=60, style=BOOKLET)
    assert drawn.block.width_mm <= 80
    assert drawn.block.height_mm <= 60


def test_a_drawing_without_room_is_refused() -> None:
    with pytest.raises(DoesNotFitError):
        measured_outline(measures(), width_mm=30, height_mm=16, style=BOOKLET)


# Pages


@cache
def many(count: int) -> SizedPattern:
    sizes: list[Size] = []
    for number in range(count):
        size = pattern().sizes[number % 3]
        sizes.append(replace(size, name=f"N{number + 1}"))
    return SizedPattern(tuple(sizes), ())


@pytest.mark.parametrize("paper", PAPERS_TRIED)
@pytest.mark.parametrize("count", [1, 2, 4, 5, 7, 8, 10, 12])
def test_any_number_of_sizes_stays_inside_the_safe_area(count: int, paper: str) -> None:
    document = make_size_table(many(count), paper=PAPERS[paper])
    for page in document.pages:
        assert outside_safe_area(page) == ()
    heads = [
        word["text"]
        for page in pages_of(write_pdf(document))
        for word in page.extract_words()
        if re.fullmatch(r"N\d+", word["text"])
    ]
    for number in range(1, count + 1):
        assert f"N{number}" in heads


@pytest.mark.parametrize("paper", PAPERS_TRIED)
@pytest.mark.parametrize("count", [3, 5, 12])
def test_no_word_lies_on_another(count: int, paper: str) -> None:
    for page in pages_of(write_pdf(make_size_table(many(count), paper=PAPERS[paper]))):
        words = page.extract_words()
        for index, one in enumerate(words):
            for other in words[index + 1 :]:
                across = min(one["x1"], other["x1"]) - max(one["x0"], other["x0"])
                down = min(one["bottom"], other["bottom"]) - max(one["top"], other["top"])
                apart = across <= 0.1 or down <= 0.35 * (one["bottom"] - one["top"])
                assert apart, (one["text"], other["text"])


def test_twelve_sizes_go_on_one_page_of_a4() -> None:
    assert len(make_size_table(many(12), paper=PAPERS["a4"]).pages) == 1


def test_blocks_keep_to_the_room_of_a_booklet_page() -> None:
    for count in (1, 3, 5, 12):
        blocks = size_table_block(many(count), width_mm=120, height_mm=164)
        for block in blocks:
            assert block.width_mm <= 120 + 1e-6
            assert block.height_mm <= 164 + 1e-6


def test_a_page_too_narrow_is_refused() -> None:
    with pytest.raises(DoesNotFitError, match="between the margins"):
        size_table_block(pattern(), width_mm=40, height_mm=164)


def test_a_page_too_low_is_refused() -> None:
    with pytest.raises(DoesNotFitError, match="higher page"):
        size_table_block(pattern(), width_mm=120, height_mm=6)


def test_the_same_table_gives_the_same_bytes() -> None:
    again = make_size_table(pattern(), paper=PAPERS["a5"])
    assert write_pdf(again) == pdf_of("a5")
