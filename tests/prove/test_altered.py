"""One word of a step, or one symbol of a chart, altered on a finished page: noticed, with its page.

A sample of the campaign that `python -m tests.prove.alter` runs whole.
"""

from __future__ import annotations

import pytest

from charts.prove import prove
from layouts.pdf_reading import read_pages
from tests.prove.alter import alterations, pages_named, reports
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
