"""`changes`: what it prints, on the terminal and on a card, and how it ends."""

from __future__ import annotations

import re
from pathlib import Path

import pdfplumber
import pytest

from cli.running import PATTERN, run

OLD, NEW, SLIP = "old.toml", "new.toml", "slip.pdf"


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
    assert "was  cross right with left 1 over right 1" in ended.stdout
    assert "now  cross left with right 1 over left 1" in ended.stdout
    longer = re.findall(r"^\[ \] (Rows? 1[1-3].*)$", ended.stdout, re.M)
    # The second sock differs in the rows that hold a cross.
    assert longer == ["Rows 11, 13", "Row 12", "Rows 11, 13"]


def test_card_says_what_the_terminal_says(two: Path) -> None:
    told = run("changes", OLD, NEW).stdout
    ended = run("changes", OLD, NEW, "--output", SLIP)
    assert ended.exit_code == 0
    with pdfplumber.open(two / SLIP) as pdf:
        assert [(round(page.width), round(page.height)) for page in pdf.pages[:1]] == [(298, 420)]
        card = " ".join(page.extract_text() for page in pdf.pages)
    flat = re.sub(r"\s+", " ", card)
    places = re.findall(r"^\[ \] (.*)$", told, re.M)
    assert places
    for place in places:
        assert flat.count(place) >= places.count(place), place


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
