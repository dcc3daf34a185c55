"""Print sizes and contents of a booklet by the command line, read back with pypdf."""

from __future__ import annotations

from pathlib import Path

import pytest
from pypdf import PdfReader

from cli.running import run

MM = 25.4 / 72
A4 = (210, 297)
A5 = (148, 210)
"""ISO 216 (figures read in the encyclopedia article)."""


def made(pattern: Path, *edition: str) -> PdfReader:
    """The booklet, with what its name says of the edition."""
    return PdfReader(pattern.with_name("-".join(("harbour", *edition, "booklet.pdf"))))


def size_mm(pdf: PdfReader) -> tuple[int, int]:
    box = pdf.pages[0].mediabox
    return (round(float(box.width) * MM), round(float(box.height) * MM))


def titles(pdf: PdfReader) -> list[str]:
    return [str(entry.title) for entry in pdf.outline if not isinstance(entry, list)]


@pytest.mark.parametrize(("word", "size"), [("standard", A5), ("clear", A4), ("large", A4)])
def test_print_size_chooses_its_paper(pattern: Path, word: str, size: tuple[int, int]) -> None:
    assert run("booklet", pattern.name, "--print", word).exit_code == 0
    named = () if word == "standard" else (f"{word}-print",)
    assert size_mm(made(pattern, *named)) == size


def test_somebody_may_choose_another_paper(pattern: Path) -> None:
    assert run("booklet", pattern.name, "--print", "clear", "--paper", "a5").exit_code == 0
    assert size_mm(made(pattern, "clear-print")) == A5


def test_large_print_on_small_paper_is_refused_and_nothing_is_written(pattern: Path) -> None:
    ended = run("booklet", pattern.name, "--print", "large", "--paper", "a5")
    assert ended.exit_code == 2
    assert "large print needs pages" in ended.stderr
    assert "such as a4 or letter" in ended.stderr
    assert list(pattern.parent.glob("*.pdf")) == []


@pytest.mark.parametrize(
    ("content", "has_key"), [("full", True), ("charts", True), ("steps", False)]
)
def test_content_follows_the_word(pattern: Path, content: str, has_key: bool) -> None:
    assert run("booklet", pattern.name, "--content", content).exit_code == 0
    found = titles(made(pattern, *(() if content == "full" else (content,))))
    assert ("Symbol key" in found) is has_key
    assert "Heel turn" in found


@pytest.mark.parametrize(
    ("option", "word", "nearest"), [("--print", "lareg", "large"), ("--content", "step", "steps")]
)
def test_a_wrong_word_is_told_with_the_right_ones(
    pattern: Path, option: str, word: str, nearest: str
) -> None:
    ended = run("booklet", pattern.name, option, word)
    assert ended.exit_code == 2
    assert f"try: {nearest}" in ended.stderr


def test_a_chart_has_print_sizes(pattern: Path) -> None:
    widths = []
    for word in ("standard", "large"):
        ended = run("chart", pattern.name, "--part", "turn", "--print", word)
        assert ended.exit_code == 0
        (path,) = pattern.parent.glob("*-turn-chart.pdf")
        page = PdfReader(path).pages[0]
        path.unlink()
        widths.append(float(page.mediabox.width))
    assert widths[1] > 1.3 * widths[0]
