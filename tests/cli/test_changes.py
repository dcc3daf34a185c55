"""`changes`: what it prints, on the terminal and on a card, and how it ends."""

from __future__ import annotations

import re
from pathlib import Path

import pdfplumber
import pytest

from cli.running import PATTERN, run

OLD, NEW, SLIP, BOOKLET = "old.toml", "new.toml", "slip.pdf", "old.pdf"


@pytest.fixture
def two(folder: Path) -> Path:
    """A pattern and its second edition: the cable leans the other way, the foot is longer."""
    (folder / OLD).write_text(PATTERN, encoding="utf-8")
    new = PATTERN.replace("p k R l k p", "p k r L k p").replace("rows = 10", "rows = 13")
    (folder / NEW).write_text(new, encoding="utf-8")
    return folder


def test_corrections_stand_on_the_terminal_with_both_prints(two: Path) -> None:
    del two
    ended = run("changes", OLD, NEW)
    assert (ended.exit_code, ended.stderr) == (0, "")
    assert "is printed   33–34 cross right with left 1 over right 1" in ended.stdout
    assert "should read  33–34 cross left with right 1 over left 1" in ended.stdout
    foot = ended.stdout.partition("Gusset and foot – first sock")[2].partition("Second sock")[0]
    assert "    should read  Rows 4–13 repeat rows 2–3, 5 times more." in foot
    assert re.search(r"Foot\n    is printed   10 boxes\n    should read  13 boxes", ended.stdout)


def test_whatever_is_printed_stands_on_the_page_that_is_named(two: Path) -> None:
    told = re.sub(r"\n {17}", " ", run("changes", OLD, NEW).stdout)
    assert run("booklet", OLD, "--output", BOOKLET).exit_code == 0
    with pdfplumber.open(two / BOOKLET) as pdf:
        pages = [re.sub(r"\s+", "", page.extract_text()) for page in pdf.pages]
    lines = re.findall(r"^\[ \] page (\d+), (.*)\n    is printed   (.*)$", told, re.M)
    assert len(lines) == told.count("[ ]") > 20
    looked = 0
    for page, where, words in lines:
        text = pages[int(page) - 1]
        if not where.startswith("Chart") and ", boxes" not in where and "boxes" not in words:
            assert re.sub(r"\s+", "", words) in text, (page, where, words)
            assert re.sub(r"\s+", "", where) in text
            looked += 1
    assert looked >= 10


def test_pages_that_the_new_print_has_not_are_not_to_be_printed_anew(two: Path) -> None:
    """A cable that is not mirrored leaves the second sock without pages of its own."""
    new = PATTERN.replace("mirror_cables = true", "mirror_cables = false")
    new = new.replace("rows = 8", "rows = 10")
    (two / NEW).write_text(new, encoding="utf-8")
    told = " ".join(run("changes", OLD, NEW).stdout.split())
    assert "Strike out the pages headed “Second sock”" in told
    assert "second sock" not in told.partition("Numbers or drawings differ")[2]


def test_the_old_proof_is_said_to_stay(two: Path) -> None:
    del two
    assert "The proof on the last page stays that of the old print." in run(
        "changes", OLD, NEW
    ).stdout.replace("\n", " ")


def test_a_new_row_of_a_chart_has_its_place(two: Path) -> None:
    """Nine rows of a motif of two: eight in whole groups, and one that begins the next."""
    new = PATTERN.replace("rows = 10", "rows = 9")
    (two / OLD).write_text(new, encoding="utf-8")
    (two / NEW).write_text(PATTERN, encoding="utf-8")
    assert "Chart, new over rows 4–9: repeat rows 2–3" in run("changes", OLD, NEW).stdout


def test_slip_says_what_the_terminal_says(two: Path) -> None:
    told = run("changes", OLD, NEW).stdout
    for paper, size in ((), (420, 595)), (("--paper", "a6"), (298, 420)):
        ended = run("changes", OLD, NEW, "--output", SLIP, *paper)
        assert ended.exit_code == 0
        with pdfplumber.open(two / SLIP) as pdf:
            assert [(round(page.width), round(page.height)) for page in pdf.pages[:1]] == [size]
            words = [word["text"].lower() for page in pdf.pages for word in page.extract_words()]
        for word in set(re.findall(r"[A-Za-z0-9–]{2,}", told.lower())):
            assert any(word in one for one in words), word


def test_equal_socks_leave_no_card(two: Path) -> None:
    (two / NEW).write_text(PATTERN.replace("Harbour steps", "Harbour"), encoding="utf-8")
    ended = run("changes", OLD, NEW, "--output", SLIP)
    assert ended.exit_code == 0
    assert "nothing to correct" in ended.stdout
    assert not (two / SLIP).exists()


def test_bad_pattern_ends_it_with_its_line(two: Path) -> None:
    (two / NEW).write_text(PATTERN.replace("pegs = 40", "pegs = 7"), encoding="utf-8")
    ended = run("changes", OLD, NEW)
    assert ended.exit_code == 1
    assert ended.stderr.startswith("new.toml:5: loom.pegs: 7")


def test_neither_pattern_is_ever_written_over(two: Path) -> None:
    for name in (OLD, NEW):
        before = (two / name).read_bytes()
        assert run("changes", OLD, NEW, "--output", name).exit_code == 2
        assert (two / name).read_bytes() == before


def test_unknown_size_and_unknown_ending_are_refused(two: Path) -> None:
    del two
    sized = run("changes", OLD, NEW, "--size", "M")
    assert (sized.exit_code, "no size 'M'" in sized.stderr) == (2, True)
    ended = run("changes", OLD, NEW, "--output", "slip.doc")
    assert (ended.exit_code, ".pdf" in ended.stderr) == (2, True)
