"""A chart on a page of its own."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from xml.etree import ElementTree

import pytest

from charts.chart import make_chart
from charts.parts import Part, parts_of
from charts.verify import Knit
from layouts.block import DoesNotFitError
from layouts.chart_page import LEAST_WIDTH_MM, MARGIN_MM, make_chart_page
from layouts.faces import Face
from layouts.key import READING_RULES
from layouts.paper import MM_PER_PT, PAPERS, Paper
from layouts.scene import Group, Item, Page, Text, bounds_of
from layouts.style import BOOKLET
from layouts.svg import write_svg

KnitOf = Callable[[str], Knit]


def texts(items: tuple[Item, ...]) -> Iterator[Text]:
    for item in items:
        if isinstance(item, Text):
            yield item
        elif isinstance(item, Group):
            yield from texts(item.items)


def said(page: Page) -> str:
    return " ".join(text.text for text in texts(page.items))


def test_a_page_made_to_measure_is_just_as_large_as_its_ink_needs(any_knit: Knit) -> None:
    for part in parts_of(any_knit):
        (page,) = make_chart_page(any_knit, part).pages
        ink = bounds_of(page.items)
        assert page.safe_box.holds(ink)
        assert ink.left_mm == pytest.approx(MARGIN_MM, abs=1.0)
        assert page.height_mm - ink.bottom_mm == pytest.approx(MARGIN_MM, abs=1.5)
        if page.width_mm > LEAST_WIDTH_MM + 2 * MARGIN_MM:
            assert page.width_mm - ink.right_mm == pytest.approx(MARGIN_MM, abs=1.5)


def test_a_page_made_to_measure_has_cells_of_the_best_size(knit_of: KnitOf) -> None:
    (page,) = make_chart_page(knit_of("rope on 40"), Part.TOE).pages
    rows = [text for text in texts(page.items) if text.face is Face.SYMBOLS and len(text.text) > 1]
    assert rows[0].size_pt * MM_PER_PT == pytest.approx(BOOKLET.best_cell_mm)


def test_page_names_part_sock_and_loom_and_tells_how_to_read(knit_of: KnitOf) -> None:
    document = make_chart_page(knit_of("rope on 40"), Part.TURN)
    (page,) = document.pages
    assert document.title == "Rope: Heel turn"
    for words in ("Heel turn", "Rope · a loom of 40 pegs, 3/8 in apart", "join"):
        assert words in said(page)
    for word in " ".join(READING_RULES).split():
        assert word in said(page)


@pytest.mark.parametrize("size", ["a5", "a4", "half-letter", "letter"])
def test_on_a_paper_nothing_leaves_the_printable_part(any_knit: Knit, size: str) -> None:
    paper = PAPERS[size]
    for part in parts_of(any_knit):
        for page in make_chart_page(any_knit, part, paper=paper).pages:
            assert {page.width_mm, page.height_mm} == {paper.width_mm, paper.height_mm}
            assert page.safe_box.holds(bounds_of(page.items))


def test_a_wide_chart_takes_the_paper_level(knit_of: KnitOf) -> None:
    (page,) = make_chart_page(knit_of("rope on 40"), Part.TURN, paper=PAPERS["a6"]).pages[:1]
    assert page.width_mm > page.height_mm


def test_small_paper_takes_several_pages_and_smaller_is_refused(knit_of: KnitOf) -> None:
    knit = knit_of("rope on 40")
    assert len(make_chart_page(knit, Part.FOOT, paper=PAPERS["a6"]).pages) > 1
    with pytest.raises(DoesNotFitError, match=r"\d+ mm"):
        make_chart_page(knit, Part.FOOT, paper=Paper("tiny", 50.0, 50.0))


def test_svg_of_the_page_reads_back_into_the_rows(knit_of: KnitOf) -> None:
    knit = knit_of("rope on 40")
    (page,) = make_chart_page(knit, Part.TOE).pages
    root = ElementTree.fromstring(write_svg(page, title="Toe"))
    read = [
        (row.get("data-row"), row.get("data-direction"), row.get("data-cells"))
        for row in root.iter("{http://www.w3.org/2000/svg}g")
        if row.get("data-line") == "row"
    ]
    lines = make_chart(knit, Part.TOE, fold_up=False).lines
    assert [cells for _, _, cells in read] == [line.cells for line in lines]  # type: ignore[union-attr]
    assert [row for row, _, _ in read] == [str(number) for number in range(1, 25)]
    assert {way for row, way, _ in read if re.fullmatch(r"\d*[13579]", row or "")} == {"right"}
