"""`prove`: what it says of a finished PDF on the terminal, and how it ends."""

from __future__ import annotations

from pathlib import Path

import pytest

from cli.running import run, start
from tests.prove.files import with_word_replaced

BOOKLET = "harbour-booklet.pdf"
TURN = ["Heel", "turn", "16", "rows", "16", "in", "the", "chart", "equal"]
"""24 heel pegs less 8 of the turn, a row each."""


@pytest.fixture
def booklet(pattern: Path) -> Path:
    """The booklet of a pair whose cables are mirrored, without its pattern."""
    assert run("booklet", pattern.name).exit_code == 0
    pattern.unlink()
    return pattern.with_name(BOOKLET)


def test_a_booklet_is_proved_without_its_pattern(booklet: Path) -> None:
    ended = run("prove", booklet.name)
    assert (ended.exit_code, ended.stderr) == (0, "")
    lines = ended.stdout.splitlines()
    assert lines[0].startswith(f"{BOOKLET}: ")
    assert any(line.split() == TURN for line in lines)
    assert "second sock:" in lines
    assert sum(line.startswith("Leg ") for line in lines) == 2
    assert any(line.startswith("not read, for they hold no rows: pages 1–") for line in lines)
    assert any(line.startswith("Proved on the virtual loom: 2 socks, ") for line in lines)
    assert any(line == "the proof on page 24 says the same" for line in lines)


def test_a_card_says_the_same_in_a_process_of_its_own(pattern: Path) -> None:
    assert run("card", pattern.name).exit_code == 0
    ended = start("prove", "harbour-turn-card.pdf", cwd=pattern.parent)
    assert ended.code == 0
    assert "chart and steps agree" in ended.stdout.decode()
    assert "no page bears a proof to compare with" in ended.stdout.decode()


def test_one_word_altered_ends_with_1_and_names_page_and_line(booklet: Path) -> None:
    page = next(
        number for number in range(8, 20) if _altered(booklet, number, "and", "joi") is not None
    )
    data = _altered(booklet, page, "and", "joi")
    assert data is not None
    booklet.write_bytes(data)
    ended = run("prove", booklet.name)
    assert ended.exit_code == 1
    assert f"  page {page}, “" in ended.stdout
    assert ended.stderr == f"{BOOKLET}: not proved\n"


def _altered(booklet: Path, page: int, old: str, new: str) -> bytes | None:
    try:
        return with_word_replaced(booklet.read_bytes(), f"knit {old}", f"knit {new}", page=page)
    except AssertionError:
        return None


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (None, "a.pdf: there is no such file"),
        (b"title = 1\n", "a.pdf: this is no PDF"),
        (b"%PDF-1.7\nspoiled", "a.pdf: the PDF is damaged"),
    ],
)
def test_what_cannot_be_read_ends_with_2(folder: Path, content: bytes | None, message: str) -> None:
    if content is not None:
        (folder / "a.pdf").write_bytes(content)
    ended = run("prove", "a.pdf")
    assert ended.exit_code == 2
    assert ended.stdout == ""
    assert ended.stderr.startswith(message)
    assert ended.stderr.count("\n") == 1


def test_a_file_without_rows_ends_with_2_and_says_what_is_allowed(pattern: Path) -> None:
    assert run("sizes", pattern.name, "--output", "sizes.pdf").exit_code == 0
    ended = run("prove", "sizes.pdf")
    assert ended.exit_code == 2
    assert "no page of it tells rows to knit; allowed: a booklet, a card or a chart" in ended.stderr
