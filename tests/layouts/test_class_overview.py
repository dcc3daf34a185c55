"""The teacher's sheet, read back: every person's cells under the heads that they belong to."""

from __future__ import annotations

from io import BytesIO
from typing import Any

import pdfplumber
import pytest

from layouts.block import DoesNotFitError
from layouts.class_overview import OverviewRow, make_overview
from layouts.paper import PAPERS, Paper
from layouts.pdf import write_pdf
from layouts.scene import outside_safe_area


def row(number: int, **cells: str) -> OverviewRow:
    """A person whose figures nobody else has."""
    usual = {
        "who": f"Student{number}",
        "size": "Small",
        "foot": "24.0 cm × 23.5 cm",
        "loom": "40 pegs, 3/8 in",
        "heel": str(1000 + number),
        "turn": str(2000 + number),
        "flap": str(3000 + number),
        "foot_rows": str(4000 + number),
        "toe": f"{5000 + number}, 6",
        "yarn": "255 m, 3 balls",
        "fit": "fits",
        "edition": "large print",
        "page": str(6000 + number),
    }
    return OverviewRow(**{**usual, **cells})


def pages_of(rows: list[OverviewRow], paper: str = "a4") -> list[Any]:
    document = make_overview(rows, title="Harbour steps", remarks=["Last."], paper=PAPERS[paper])
    for page in document.pages:
        assert outside_safe_area(page) == ()
    return pdfplumber.open(BytesIO(write_pdf(document))).pages


def test_every_cell_stands_in_the_line_of_its_person_under_its_head() -> None:
    (page,) = pages_of([row(number) for number in range(1, 6)])
    words = page.extract_words()
    heads = {"Heel": 1000, "Turn": 2000, "Flap": 3000, "Page": 6000}
    for number in range(1, 6):
        (who,) = [word for word in words if word["text"] == f"Student{number}"]
        line = [word for word in words if abs(word["top"] - who["top"]) < 2]
        for head, first in heads.items():
            (cell,) = [word for word in line if word["text"] == str(first + number)]
            right = next(word for word in words if word["text"] == head)["x1"]
            assert cell["x1"] == pytest.approx(right, abs=0.5), head


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_many_people_go_over_pages_with_the_heads_on_each(paper: str) -> None:
    found = pages_of([row(number) for number in range(1, 101)], paper)
    assert len(found) > 2
    seen = []
    for number, page in enumerate(found, start=1):
        assert page.width > page.height
        text = page.extract_text()
        assert text.count("Heel") == 1
        assert f"page {number} of {len(found)}" in text
        seen += [word["text"] for word in page.extract_words() if "Student" in word["text"]]
    assert seen == [f"Student{number}" for number in range(1, 101)]
    assert "Last." in found[-1].extract_text()


def test_columns_that_are_empty_for_everybody_are_left_out() -> None:
    (page,) = pages_of([row(1, size="", edition=""), row(2, size="", edition="")])
    text = page.extract_text()
    assert "Size" not in text
    assert "Edition" not in text
    (page,) = pages_of([row(1, size=""), row(2)])
    assert "–" in page.extract_text()


def test_long_words_are_broken_and_numbers_are_not() -> None:
    long = row(1, who="A label of sixty characters " * 2, loom="the old red ring: 40 pegs, 3/8 in")
    (page,) = pages_of([long, row(2, fit="will not pass the heel", size="A long name of it")])
    words = [word["text"] for word in page.extract_words()]
    assert words.count("sixty") == 2
    assert {"1001", "2001", "6001"} <= set(words)


def test_too_narrow_a_paper_is_refused() -> None:
    with pytest.raises(DoesNotFitError, match="overview"):
        make_overview([row(1)], title="x", paper=Paper("", 80.0, 60.0))


def test_same_sheet_same_bytes() -> None:
    first, again = (
        write_pdf(make_overview([row(1)], title="x", paper=PAPERS["a4"])) for _ in range(2)
    )
    assert first == again
