"""`prove` passes whatever is printed, and says what it read.

The rows that it reads are compared with those that were knitted: it has never seen the pattern.
"""

from __future__ import annotations

import ast
from dataclasses import replace
from pathlib import Path

import pytest

import charts
from charts.printed_booklet import PrintedBooklet, SockName
from charts.printed_sheets import booklets_of, single_pages
from charts.proof import Readings, ToldSock, make_proof
from charts.prove import NothingToProveError, ProofReport, prove
from charts.rows import Row
from layouts.pdf_reading import read_pages
from tests.prove.alter import pages_named
from tests.prove.prints import BOOKLETS, NAMES, events_of, printed
from tests.readback.socks import printed_sock

SAMPLES = Path(__file__).parents[2] / "samples"
NO_ROWS = ("class-overview.pdf", "three-looms-sizes.pdf")


def proved(pdf: bytes) -> ProofReport:
    return prove(read_pages(pdf))


@pytest.mark.parametrize("name", NAMES)
def test_whatever_is_printed_is_proved(name: str) -> None:
    report = proved(printed(name)[1])
    assert report.differences == ()
    assert report.is_proved


@pytest.mark.parametrize("path", sorted(SAMPLES.glob("*.pdf")), ids=lambda path: path.name)
def test_the_samples_are_proved(path: Path) -> None:
    sheets = read_pages(path.read_bytes())
    if path.name in NO_ROWS:
        with pytest.raises(NothingToProveError):
            prove(sheets)
    else:
        assert prove(sheets).is_proved


@pytest.mark.parametrize("name", BOOKLETS)
def test_a_booklet_bears_the_proof_of_the_rows_that_were_knitted(name: str) -> None:
    (report,) = proved(printed(name)[1]).booklets
    sock = printed_sock(name)
    told = [ToldSock("", sock.first.rows.events)]
    if len(sock.knits) == 2:
        told.append(ToldSock("second sock", sock.second.rows.events))
    assert report.proof == make_proof(told, Readings.BOTH)
    assert report.printed is not None
    assert report.printed.line == report.proof.text
    assert report.printed.page == len(printed(name)[0].pages)


@pytest.mark.parametrize("name", ["card: turn", "card: foot", "chart: flap", "chart: toe"])
def test_a_part_alone_is_read_row_by_row(name: str) -> None:
    (report,) = proved(printed(name)[1]).booklets
    rows = [event for event in events_of(name) if isinstance(event, Row)]
    assert report.proof is not None
    assert report.proof.rows == len([row for row in rows if row.number])
    ((part,),) = (sock.parts for sock in report.socks)
    assert part.in_chart == len(rows)
    assert part.in_steps == (len(rows) if name.startswith("card") else None)


def test_the_code_of_equal_rows_is_equal_on_any_paper_and_any_sheet() -> None:
    codes = {
        name: proved(printed(name)[1]).booklets[0].proof.code  # type: ignore[union-attr]
        for name in (
            *("reed-bank", "letter: reed-bank", "right to left on 25"),
            *("sheets: fold", "sheets: spreads"),
        )
    }
    assert codes["reed-bank"] == codes["letter: reed-bank"]
    assert codes["right to left on 25"] == codes["sheets: fold"] == codes["sheets: spreads"]
    assert len(set(codes.values())) == 2


def test_one_other_row_makes_another_code() -> None:
    events = events_of("reed-bank")
    place = next(i for i, event in enumerate(events) if isinstance(event, Row))
    row = events[place]
    assert isinstance(row, Row)
    other = (*events[:place], replace(row, stitches="p" + row.stitches[1:]), *events[place + 1 :])
    codes = {make_proof([ToldSock("", one)]).code for one in (events, other, events[:-1])}
    assert len(codes) == 3
    assert make_proof([ToldSock("", events)]).code == make_proof([ToldSock("", events)]).code


def test_each_size_is_knitted_and_so_is_the_second_sock_of_each() -> None:
    (report,) = proved(printed("sized: odd rings")[1]).booklets
    assert [sock.name.text for sock in report.socks] == ["size A", "size B", "size C"]
    assert report.proof is not None
    assert report.proof.socks == 3


def test_sizes_beside_a_marked_one_are_said_to_be_left_out() -> None:
    (report,) = proved(printed("marked: five on three")[1]).booklets
    assert len(report.socks) == 1
    assert len(report.left_out) == 4
    assert report.socks[0].name.size not in report.left_out


def test_pages_without_rows_are_named() -> None:
    report = proved(printed("reed-bank")[1])
    unread = dict(report.unread)
    assert unread[2] == "Contents"
    assert "Tick sheet" in unread.values()
    booklet = PrintedBooklet(read_pages(printed("reed-bank")[1]))
    told = {page for page in range(1, len(booklet.sheets) + 1) if page not in unread}
    assert told == {place.page for place in booklet.steps(SockName()).places} | {
        place.page for chart in booklet.charts(SockName()) for place in chart.places
    } | {place.page for _, place in booklet.pairs(SockName())}


def test_a_chart_alone_says_what_it_takes_for_granted() -> None:
    (report,) = proved(printed("chart: turn")[1]).booklets
    assert any("no line tells" in what for sock in report.socks for what in sock.assumed)
    (card,) = proved(printed("card: turn")[1]).booklets
    assert card.socks[0].assumed == ()


# --- What does not fit together ----------------------------------------------------------------


def sheets_but(name: str, *left_out: int) -> ProofReport:
    sheets = read_pages(printed(name)[1])
    return prove(tuple(sheet for sheet in sheets if sheet.number not in left_out))


def test_a_missing_part_is_noticed() -> None:
    """Steps and charts would agree without it."""
    for title in ("Cast on and cuff", "Leg", "Heel turn", "Toe", "Closing the toe"):
        booklet = PrintedBooklet(read_pages(printed("reed-bank")[1]))
        numbers = [page.page.number for page in booklet.parts if page.head.title == title]
        report = sheets_but("reed-bank", *numbers)
        assert not report.is_proved, title


def test_a_title_that_is_no_part_is_named() -> None:
    sheets = list(read_pages(printed("reed-bank")[1]))
    page = next(i for i, sheet in enumerate(sheets) if "Toe" in title_of(sheet))
    letters = tuple(
        letter._replace(text="x") if letter.text == "T" and letter.size_mm > 6 else letter
        for letter in sheets[page].letters
    )
    sheets[page] = replace(sheets[page], letters=letters)
    report = prove(tuple(sheets))
    assert pages_named(report) == {page + 1}


def title_of(sheet: object) -> str:
    from charts.printed_heads import read_head
    from charts.printed_page import PrintedSheet

    assert isinstance(sheet, PrintedSheet)
    return read_head(sheet.held(0)).title


def test_parts_of_two_socks_do_not_knit_together() -> None:
    """Steps and chart of each page agree; the loom finds where the wrong part begins."""
    pages = read_pages(printed("reed-bank")[1])
    wider = read_pages(printed("wider turn: reed-bank")[1])
    turn = [sheet for sheet in wider if title_of(sheet) == "Heel turn"]
    first = next(sheet.number for sheet in pages if title_of(sheet) == "Heel turn")
    mixed = [sheet for sheet in pages if title_of(sheet) != "Heel turn"]
    mixed[first - 1 : first - 1] = [
        replace(sheet, number=first + place) for place, sheet in enumerate(turn)
    ]
    report = prove(tuple(mixed))
    (difference,) = report.differences
    assert difference.what == "the steps cannot be knitted"
    ((place, words),) = difference.places
    assert place.page >= first
    assert "heel turn" in words
    assert "rule:" in words


def test_a_proof_that_is_not_of_these_rows_is_told() -> None:
    sheets = list(read_pages(printed("reed-bank")[1]))
    last = sheets[-1]
    digits = [i for i, letter in enumerate(last.letters) if letter.text == "4"]
    letters = list(last.letters)
    letters[digits[0]] = letters[digits[0]]._replace(text="5")
    sheets[-1] = replace(last, letters=tuple(letters))
    report = prove(tuple(sheets))
    assert not report.is_proved
    assert last.number in pages_named(report)


def test_copies_of_a_card_are_read_once() -> None:
    report = proved(printed("sheets: cards")[1])
    assert [booklet.label for booklet in report.booklets] == [
        "card, Heel turn",
        "card, Toe",
        "card, Leg",
    ]


# --- Independence ------------------------------------------------------------------------------

WRITERS = {
    *("charts.words", "charts.steps", "charts.chart", "charts.plain_text", "charts.sock"),
    *("charts.sized_steps", "charts.sized_words", "charts.sized_charts", "charts.kitchener"),
    *("charts.plan", "charts.spec", "charts.pattern_file", "charts.verify", "charts.told_twice"),
}
OF_LAYOUTS = {"layouts.pdf_reading", "layouts.pdf_content", "layouts.pdf_letters"}


def modules_behind(name: str, seen: set[str]) -> set[str]:
    """Every module of ours that a module imports, and so on."""
    if name in seen:
        return seen
    seen.add(name)
    path = Path(charts.__file__).parents[1] / f"{name.replace('.', '/')}.py"
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            if node.module.split(".")[0] in ("charts", "layouts"):
                modules_behind(node.module, seen)
        elif isinstance(node, ast.Import):
            for alias in node.names:
                assert alias.name.split(".")[0] not in ("charts", "layouts")
    return seen


def test_the_reader_has_no_writer_behind_it() -> None:
    behind = modules_behind("charts.prove", set())
    assert not behind & WRITERS
    assert all(name.startswith("charts.") for name in behind)
    assert modules_behind("layouts.pdf_reading", set()) - behind <= OF_LAYOUTS | {
        "charts.printed_page"
    }


def test_a_booklet_is_taken_apart_into_its_own_pages() -> None:
    (pages,) = booklets_of(single_pages(read_pages(printed("sheets: fold")[1])))
    assert [page.number for page in pages] == sorted(page.number for page in pages)
    assert len(pages) == len(printed("right to left on 25")[0].pages)
