"""One word of a step, or one symbol of a chart, altered on a finished page: noticed, with its page.

A sample of the campaign that `python -m tests.prove.alter` runs whole.
"""

from __future__ import annotations

import pytest

from charts.loom import Working
from charts.prove import prove
from charts.spec import Gusset, Heel
from layouts.booklet import make_booklet
from layouts.paper import PAPERS
from layouts.pdf import write_pdf
from layouts.pdf_reading import read_pages
from tests.core.socks import proved, sock
from tests.prove.alter import Alteration, alterations, pages_named, reports, told_in
from tests.prove.files import with_word_replaced
from tests.prove.prints import ALTERED, printed

SAMPLE = 12
"""Alterations of each print."""


@pytest.mark.parametrize("name", ALTERED)
def test_an_altered_word_or_symbol_is_noticed_and_its_page_named(name: str) -> None:
    document, pdf = printed(name)
    every = list(alterations(document))
    assert {one.is_symbol for one in every} == {True, False}
    chosen = every[7 :: max(1, len(every) // SAMPLE)]
    assert len(chosen) >= SAMPLE
    for one, report in reports(document, read_pages(pdf), chosen):
        assert not report.is_proved, one
        assert one.page_index + 1 in pages_named(report), one


def test_a_word_altered_in_the_bytes_of_the_file_is_named_with_its_line() -> None:
    """The codes of one word in the content of a page: "purl" is set as "knit"."""
    page = 11
    altered = with_word_replaced(printed("reed-bank")[1], "purl", "knit", page=page)
    report = prove(read_pages(altered))
    (difference,) = report.differences
    assert difference.what == "leg, row 1: steps and chart differ"
    (steps, says), (chart, shows) = difference.places
    assert (steps.page, chart.page) == (page, page)
    assert steps.line.startswith("Row 1 → pegs 2–26 knit, 27–28 knit")
    assert says == "the steps say peg 27 knit"
    assert (chart.line, shows) == ("chart, row 1", "the chart shows peg 27 purl")


@pytest.mark.parametrize(
    ("name", "was", "now"),
    [
        # Where a chart goes on in another piece of it.
        ("reed-bank", "continued from row 1", "continued from row 2"),
        ("reed-bank", "continued from row 1", "continuex from row 1"),
        ("reed-bank", "continues with row 2", "continues witx row 2"),
        # Without its peg numbers a chart is none; the row beside it tells that there is one.
        ("sized: odd rings", "1–17", "2–17"),
        # The pegs of the loom are told in this step alone.
        (
            "sized: odd rings",
            "Cast on 25 pegs, 1–25: slip knot on peg 1; then wrap each of",
            "Cast ox 25 pegs, 1–25: slip knot on peg 1; then wrap each of",
        ),
        # Two lines that cannot both be true: both pages are named.
        ("card: toe", " Yarn at peg 3; all 40 pegs live.", " Yarn at peg 4; all 40 pegs live."),
    ],
)
def test_what_stands_round_a_chart_is_read_too(name: str, was: str, now: str) -> None:
    document, pdf = printed(name)
    page, place = next(
        (index, told)
        for index, page in enumerate(document.pages)
        for told in told_in(page)
        if plain(told.item.text) == was
    )
    one = Alteration(page, place.text_index, was, now, is_symbol=False)
    ((_, report),) = reports(document, read_pages(pdf), [one])
    assert not report.is_proved
    assert page + 1 in pages_named(report)


def plain(text: str) -> str:
    return text.replace("\N{NO-BREAK SPACE}", " ")


def test_two_pegs_for_the_thread_to_count_from_are_named_with_both_pages() -> None:
    document, pdf = printed("sized: five on three")
    threads = [
        one
        for one in alterations(document)
        if "contrasting" in one.was and plain(one.now).endswith("(20, 24, 25, 26);")
    ]
    for one, report in reports(document, read_pages(pdf), threads[:1]):
        assert one.page_index + 1 in pages_named(report)
        assert [difference.what for difference in report.differences] == [
            "rows are counted at two pegs"
        ]
    assert threads


@pytest.mark.parametrize("working", Working)
@pytest.mark.parametrize("corner_bars", [False, True])
def test_gusset_of_one_peg_a_side_is_proved(working: Working, corner_bars: bool) -> None:
    """Its two edge loops are told in the chart by the same words; a bar may have marks at both
    ends."""
    spec = sock(24, working=working, heel=Heel(14, 12), gusset=Gusset(corner_bars))
    knit = proved(spec)
    pdf = write_pdf(make_booklet(knit, knit, paper=PAPERS["a5"]))
    assert prove(read_pages(pdf)).is_proved
