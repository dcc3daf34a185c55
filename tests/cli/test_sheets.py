"""Booklets and cards on sheets, by the command line, read back with pypdf."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

import pytest
from pypdf import PdfReader

from cli.running import run

MM = 25.4 / 72
A4 = (210.0, 297.0)
"""ISO 216 (figures read in the encyclopedia article)."""


def sizes_mm(pdf: PdfReader) -> set[tuple[float, float]]:
    return {
        (round(float(page.mediabox.width) * MM, 1), round(float(page.mediabox.height) * MM, 1))
        for page in pdf.pages
    }


def made(pattern: Path, name: str) -> PdfReader:
    return PdfReader(pattern.with_name(name))


def test_booklet_to_fold_stands_beside_the_one_to_read(pattern: Path) -> None:
    assert run("booklet", pattern.name).exit_code == 0
    ended = run("booklet", pattern.name, "--layout", "fold")
    assert ended.exit_code == 0
    pages = len(made(pattern, "harbour-booklet.pdf").pages)
    folded = made(pattern, "harbour-booklet-fold.pdf")
    assert len(folded.pages) == pages // 2
    assert sizes_mm(folded) == {(297.0, 210.0)}
    assert ended.stdout == (
        f"harbour-booklet-fold.pdf: written ({pages} pages on {pages // 4} sheets of a4; print at "
        "100 %, both sides, flip on the short edge, then fold and staple)\n"
    )
    spread = run("booklet", pattern.name, "--layout", "spreads")
    assert "two by two" in spread.stdout
    assert len(made(pattern, "harbour-booklet-spreads.pdf").pages) == pages // 2 + 1


def test_pages_added_to_fill_the_last_sheet_are_told(pattern: Path) -> None:
    """Single leaves of A4 need not be a multiple of four."""
    run("booklet", pattern.name, "--paper", "a4")
    pages = len(made(pattern, "harbour-booklet.pdf").pages)
    ended = run("booklet", pattern.name, "--paper", "a4", "--layout", "fold", "--flip", "long-edge")
    added = -pages % 4
    notes = f" and {added} for notes" if added else ""
    assert f"({pages} pages{notes} on {(pages + added) // 4} sheets of a3;" in ended.stdout
    assert "flip on the long edge" in ended.stdout


def test_booklet_of_sizes_is_folded_too(folder: Path) -> None:
    (folder / "two.toml").write_text(SIZED, encoding="utf-8")
    ended = run("booklet", "two.toml", "--layout", "fold", "--thickness", "0.1 mm")
    assert ended.exit_code == 0, ended.stderr
    assert sizes_mm(PdfReader(folder / "two-booklet-fold.pdf")) == {(297.0, 210.0)}


SIZED = """
title = "Two"
[loom]
pegs = 24
spacing = "5/8 in"
[cuff]
rows = 4
[leg]
rows = 4
[foot]
rows = 8
[[size]]
name = "S"
[[size]]
name = "L"
foot = { rows = 12 }
"""


def test_several_parts_are_one_file_of_cards(pattern: Path) -> None:
    ended = run("card", pattern.name, "--part", "turn", "--part", "toe", "--part", "turn")
    assert ended.exit_code == 0
    cards = made(pattern, "harbour-cards.pdf")
    text = [page.extract_text() for page in cards.pages]
    assert "Heel turn" in text[0]
    assert "Toe" in text[2]
    assert len([one for one in text if "Heel turn" in one]) == 2


@pytest.mark.parametrize("word", ["grafting", "key"])
def test_cards_that_are_no_part_have_their_own_names(pattern: Path, word: str) -> None:
    assert run("card", pattern.name, "--part", word).exit_code == 0
    assert made(pattern, f"harbour-{word}-card.pdf").pages


def test_all_cards_on_sheets_by_one_command(pattern: Path) -> None:
    args = ("--part", "all", "--paper", "a6", "--sheet", "a4", "--hole", "corner")
    ended = run("card", pattern.name, *args, "--round-corners")
    assert ended.exit_code == 0, ended.stderr
    sheets = made(pattern, "harbour-cards-sheet.pdf")
    assert sizes_mm(sheets) == {A4}
    told = re.search(r"\((\d+) cards on (\d+) sheets of a4; print at 100 %", ended.stdout)
    assert told is not None
    assert len(sheets.pages) == 2 * int(told[2])
    text = " ".join(page.extract_text() for page in sheets.pages)
    for title in ("Cast on and cuff", "Heel turn", "Grafting", "Symbols", "Cut at the marks"):
        assert title in text
    assert "--bleed '0 mm' puts 4 on a sheet" in ended.stdout
    assert str(sheets.root_object["/ViewerPreferences"]["/PrintScaling"]) == "/None"  # type: ignore[index]


def test_copies_fill_a_sheet(pattern: Path) -> None:
    args = ("--part", "turn", "--paper", "a5", "--sheet", "a4", "--bleed", "0 mm", "--copies", "2")
    ended = run("card", pattern.name, *args)
    assert "(2 cards on 1 sheet of a4;" in ended.stdout
    assert len(made(pattern, "harbour-turn-card-sheet.pdf").pages) == 2


@pytest.mark.parametrize(
    ("args", "message"),
    [
        (("booklet", "--sheet", "a4"), "--sheet: pages one by one are printed on --paper"),
        (("booklet", "--flip", "long-edge"), "--flip: only a booklet to fold has it"),
        (
            ("booklet", "--layout", "spreads", "--thickness", "0.1 mm"),
            "--thickness: only a booklet to fold has it; try: --layout fold, or leave",
        ),
        (("booklet", "--layout", "foldd"), "'foldd' is none of them; allowed: pages, fold or"),
        (("booklet", "--layout", "fold", "--sheet", "a5"), "a sheet of 296 x 210 mm or more"),
        (("booklet", "--layout", "fold", "--thickness", "3"), "needs a unit"),
        (
            ("booklet", "--layout", "fold", "--thickness", "3 mm"),
            "3 mm is out of range; allowed: 0.03 to 0.5 mm",
        ),
        (("card", "--copies", "2"), "--copies: only cards on a sheet have it; try: --sheet a4"),
        (("card", "--round-corners"), "--round-corners: only cards on a sheet have it"),
        (("card", "--sheet", "a5"), "does not go on a sheet of 148 x 210 mm; it needs"),
        (("card", "--sheet", "a4", "--bleed", "30 mm"), "allowed: 0 to 10 mm"),
        (("card", "--part", "kee"), "'kee' is no part; allowed: cuff, leg, "),
        (("card", "--paper", "id-1"), "the smallest usual card that holds it is"),
        (("card", "--hole", "corners"), "try: corner"),
    ],
)
def test_what_cannot_be_laid_out_is_refused_and_nothing_is_written(
    pattern: Path, args: Sequence[str], message: str
) -> None:
    command, *options = args
    ended = run(command, pattern.name, *options)
    assert ended.exit_code == 2
    assert message in ended.stderr
    assert ended.stderr.count("\n") == 1
    assert [path.name for path in pattern.parent.iterdir()] == ["harbour.toml"]


def test_every_card_that_is_too_small_is_told_on_a_line_of_its_own(pattern: Path) -> None:
    ended = run("card", pattern.name, "--part", "all", "--paper", "id-1")
    assert ended.exit_code == 2
    lines = ended.stderr.splitlines()
    assert len(lines) > 3
    assert all(
        line.startswith("--paper: a card of 54 x 85.6 mm is too small for") for line in lines
    )
