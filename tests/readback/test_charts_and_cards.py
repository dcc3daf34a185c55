"""Single charts and cards, read back from PDF and SVG."""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree

import pytest

from charts.parts import Part, parts_of
from charts.reader import Ring, read_chart, read_steps
from charts.rows import Row
from charts.verify import Knit
from layouts.card import make_card
from layouts.chart_page import make_chart_page
from layouts.paper import PAPERS
from layouts.pdf import write_pdf
from layouts.svg import write_svg
from tests.readback.expected import differences
from tests.readback.pdf_pages import read_pdf
from tests.readback.printed_steps import read_printed_steps
from tests.readback.read_booklet import read_charts
from tests.readback.socks import NAMES, printed_sock
from tests.readback.svg_chart import HREF, SVG, read_svg


def ring_of(knit: Knit) -> Ring:
    return Ring(knit.plan.loom.pegs, knit.plan.loom.working)


def svg_of(knit: Knit, part: Part) -> bytes:
    document = make_chart_page(knit, part)
    return write_svg(document.pages[0], title=document.title).encode()


@pytest.mark.parametrize(
    ("name", "part", "paper"),
    [
        ("reed-bank", Part.TURN, "a5"),
        ("reed-bank", Part.TOE, "a4"),
        ("ember", Part.TURN, "index-5x8"),
        ("millstream", Part.LEG, "a4"),
        ("right to left on 25", Part.TURN, "a5"),
        ("right to left on 25", Part.TOE, "index-5x8"),
        ("mirrored pair on 36", Part.FLAP, "a5"),
        ("charts in pieces on 96", Part.TURN, "a4"),
    ],
)
def test_card_tells_its_part_whole(name: str, part: Part, paper: str) -> None:
    """Steps in one column or two, on one side or on both."""
    knit = printed_sock(name).first
    sheets = read_pdf(write_pdf(make_card(knit, part, paper=PAPERS[paper])))
    ring = ring_of(knit)
    parts = read_printed_steps(sheets)
    charts = read_charts(sheets, ring)
    assert [one.title for one in parts] == [one.title for one in charts] == [part.title]
    steps = read_steps([one.plain for one in parts], pegs=ring.pegs, working=ring.working)
    assert differences(knit, parts=parts, steps=steps, charts=charts) == []


@pytest.mark.parametrize("paper", [None, "a4"])
@pytest.mark.parametrize("name", ["reed-bank", "right to left on 25"])
def test_chart_of_each_part_as_pdf_is_the_proved_rows(name: str, paper: str | None) -> None:
    knit = printed_sock(name).first
    for part in parts_of(knit):
        document = make_chart_page(knit, part, paper=PAPERS[paper] if paper else None)
        charts = read_charts(read_pdf(write_pdf(document)), ring_of(knit))
        assert [chart.title for chart in charts] == [part.title]
        assert differences(knit, charts=charts) == []


@pytest.mark.parametrize("name", NAMES)
def test_chart_of_each_part_as_svg_is_the_proved_rows(name: str) -> None:
    """The facts of the file read into rows; its symbols and texts stand where the facts say."""
    for knit in printed_sock(name).knits:
        for part in parts_of(knit):
            chart = read_svg(svg_of(knit, part))
            assert chart.title == part.title
            rows = [row for row in knit.rows.of(*part.sections) if isinstance(row, Row)]
            assert list(read_chart(chart.plain, ring_of(knit)).rows) == rows


@pytest.mark.parametrize("name", ["reed-bank", "right to left on 25"])
def test_svg_leads_to_nothing_outside_of_itself(name: str) -> None:
    knit = printed_sock(name).first
    for part in parts_of(knit):
        root = ElementTree.fromstring(svg_of(knit, part))
        names = {element.get("id") for element in root.iter() if element.get("id")}
        uses = [use.get(HREF, "") for use in root.iter(f"{SVG}use")]
        assert {use.removeprefix("#") for use in uses} == names
        for element in root.iter():
            assert element.tag.startswith(SVG)
            assert not any("url(" in value for value in element.attrib.values())
