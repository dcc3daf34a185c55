"""Booklets read from their PDF: every step and every cell of every chart is a proved row.

The PDF is read with pdfplumber (on pdfminer.six), which did not write it; words are put together
from the places of their letters, cells from their places under the peg numbers.
"""

from __future__ import annotations

import ast
import ctypes
from collections import Counter
from collections.abc import Iterator
from itertools import product
from pathlib import Path

import pypdfium2
import pypdfium2.raw as pdfium
import pytest

from charts.parts import Part
from charts.reader import Ring
from charts.reader_words import DRAWN
from charts.rows import Graft, Row, Section
from tests.readback.expected import differences, graft_of
from tests.readback.pdf_pages import MM_PER_PT, SYMBOLS, Letter
from tests.readback.socks import NAMES, PrintedSock, printed_sock

PLACE_MM = 0.01
"""How far the places that two libraries find may differ."""

READING = (
    "pdf_pages",
    "printed_chart",
    "printed_steps",
    "printed_graft",
    "read_booklet",
    "svg_chart",
)


@pytest.fixture(params=NAMES, scope="session")
def sock(request: pytest.FixtureRequest) -> PrintedSock:
    return printed_sock(request.param)


def test_reading_shares_no_code_with_writing() -> None:
    """The reading modules use the reader's records and each other, nothing that prints."""
    allowed = {"charts.reader", "charts.reader_words", "charts.rows"}
    allowed |= {f"tests.readback.{name}" for name in READING}
    for name in READING:
        tree = ast.parse((Path(__file__).parent / f"{name}.py").read_text(encoding="utf-8"))
        imported = {
            node.module or ""
            for node in ast.walk(tree)
            if isinstance(node, ast.ImportFrom) and node.level == 0
        }
        plain = {
            alias.name
            for node in ast.walk(tree)
            if isinstance(node, ast.Import)
            for alias in node.names
        }
        ours = {
            module
            for module in imported | plain
            if module.split(".")[0] in ("charts", "layouts", "fonts", "tests")
        }
        assert ours <= allowed, name


def test_steps_are_the_proved_rows_and_moves_of_the_whole_sock(sock: PrintedSock) -> None:
    loom = sock.first.plan.loom
    assert sock.read.steps.ring == Ring(loom.pegs, loom.working)
    titles = [part.title for part in sock.read.parts_of(second=False)]
    assert titles == [part.title for part in Part]
    assert sock.read.steps.events == sock.first.rows.events
    assert sock.read.second_steps.events == sock.second.rows.events


def test_charts_are_the_proved_rows_of_the_whole_sock(sock: PrintedSock) -> None:
    for knit, second in ((sock.first, False), (sock.second, True)):
        rows = tuple(event for event in knit.rows.events if isinstance(event, Row))
        assert sock.read.chart_rows(second=second) == rows


def test_everything_else_that_a_knitter_goes_by_is_the_socks(sock: PrintedSock) -> None:
    """Moves and their words, counts, checkpoints, tick boxes, names over the pegs."""
    read = sock.read
    seconds = {part.title for part in read.parts if part.second}
    assert seconds == ({"Leg", "Gusset and foot"} if len(sock.knits) == 2 else set())
    for knit, steps, second in (
        (sock.first, read.steps, False),
        (sock.second, read.second_steps, True),
    ):
        parts, charts = read.parts_of(second=second), read.charts_of(second=second)
        assert differences(knit, parts=parts, steps=steps, charts=charts) == []


def test_grafting_is_told_pass_by_pass(sock: PrintedSock) -> None:
    (graft,) = (event for event in sock.first.rows.events if isinstance(event, Graft))
    read = sock.read.graft
    assert read == graft_of(len(graft.pairs))
    passes = len(read.set_up) + len(read.repeat) * read.times + len(read.ending)
    assert passes == graft.passes == 4 * sock.first.plan.toe_pegs


def test_a_cabled_sock_counted_by_hand_is_whole_from_the_file_to_the_paper_and_back() -> None:
    """40 pegs, 15/30/55 rows, a centred 2/2 cable between k2 p2; worked by hand.

    The k2 p2 is centred when the round starts on peg 2, so the cuff runs one peg further.  Flap 24
    + 15 × 23, turn 8 + 15 × 9, foot 32 + 54 × 40 + 2; toe 20, 19 … 9, then 9, 9, 10 … 19.  Slipped
    stitches are not counted.
    """
    read = printed_sock("centred cable on 40").read
    due = {
        Section.CUFF: 15 * 40 + 1,
        Section.LEG: 30 * 40,
        Section.FLAP: 24 + 15 * 23,
        Section.PARTIAL: 8,
        Section.TURN: 8 + 15 * 9,
        Section.FOOT: 32 + 54 * 40 + 2,
        Section.TOE: sum(range(9, 21)) + 9 + sum(range(9, 20)),
    }
    assert due[Section.TOE] == 337
    for rows in (
        [event for event in read.steps.events if isinstance(event, Row)],
        read.chart_rows(),
    ):
        counts: Counter[Section] = Counter()
        for row in rows:
            counts[row.section] += sum(DRAWN.get(letter, 1) for letter in row.stitches)
        assert counts == due
    # Heel 2–25, instep 26–40 and 1: five pegs of the cuff's rib, the panel of six, five of rib.
    crossed = next(
        row for row in read.chart_rows() if row.section is Section.LEG and "R" in row.stitches
    )
    assert (crossed.number, crossed.pegs[0]) == (2, 2)
    assert crossed.stitches == "k" * 24 + "kppkk" + "pRRllp" + "kkppk"
    cuff = read.chart_rows()[0]
    assert all(
        cuff.stitches[peg - 1] == rib for peg, rib in zip(range(26, 31), "kppkk", strict=True)
    )


def test_charts_cut_into_pieces_are_whole_again() -> None:
    """The wide sock has charts on their side, charts cut across and charts cut between rows.

    What stands on one page counts as one piece: there the halves of the leg are.
    """
    read = printed_sock("charts in pieces on 96").read
    pieces = {chart.title: len(chart.pieces) for chart in read.charts}
    assert pieces["Heel turn"] > 1
    assert pieces["Toe"] > 1
    cut_across = {chart.title for chart in read.charts if chart.is_cut_across}
    assert cut_across
    assert set(pieces) - cut_across
    assert any(pieces[title] > 1 for title in set(pieces) - cut_across)


def test_two_libraries_find_the_same_letters_in_the_same_places(sock: PrintedSock) -> None:
    """pypdfium2 (PDFium) beside pdfplumber.

    PDFium takes a string that shows nothing for no text, such as the lone empty cell of a knit
    stitch, and a string that lies close to its equal for the same one printed twice to look bold.
    Both happen among the symbols only.
    """
    document = pypdfium2.PdfDocument(sock.pdf)
    assert len(document) == len(sock.sheets)
    for sheet, page in zip(sock.sheets, document, strict=True):
        ours = [letter for letter in sheet.letters if not letter.text.isspace()]
        unfound: dict[tuple[str, int, int], list[Letter]] = {}
        for letter in ours:
            unfound.setdefault(_cell(letter.text, *letter.start), []).append(letter)
        for text, x_mm, y_mm in _letters_by_pdfium(page):
            near = (
                letter
                for dx, dy in product((0, -1, 1), repeat=2)
                for letter in unfound.get(_cell(text, x_mm + dx, y_mm + dy), ())
                if letter.start == pytest.approx((x_mm, y_mm), abs=PLACE_MM)
            )
            found = next(near, None)
            assert found is not None, (page, text, x_mm, y_mm)
            unfound[_cell(text, *found.start)].remove(found)
        left = [letter for letters in unfound.values() for letter in letters]
        assert {letter.face for letter in left} <= {SYMBOLS}


def _cell(text: str, x_mm: float, y_mm: float) -> tuple[str, int, int]:
    """Where to look for a letter: a square millimetre of the page."""
    return (text, int(x_mm), int(y_mm))


def _letters_by_pdfium(page: pypdfium2.PdfPage) -> Iterator[tuple[str, float, float]]:
    """Every letter with the place where it starts on its base line."""
    text = page.get_textpage()
    height_mm = page.get_height() * MM_PER_PT
    x_pt, y_pt = ctypes.c_double(), ctypes.c_double()
    for index in range(text.count_chars()):
        letter = chr(pdfium.FPDFText_GetUnicode(text, index))
        if pdfium.FPDFText_IsGenerated(text, index) == 1 or letter.isspace():
            continue
        pdfium.FPDFText_GetCharOrigin(text, index, x_pt, y_pt)
        # It tells a hyphen at the end of a line by a sign of its own.
        yield (
            letter.replace("\x02", "-"),
            x_pt.value * MM_PER_PT,
            height_mm - y_pt.value * MM_PER_PT,
        )
