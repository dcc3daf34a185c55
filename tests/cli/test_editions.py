"""--colour and --units, from the command line to the pages."""

from __future__ import annotations

import re
from io import BytesIO
from pathlib import Path

import pypdf
import pytest

from charts.spec import Units
from cli.running import PATTERN, run

GAUGE = """
[gauge]
stitches = 20
rows = 28
"""
SIZES = """
[wearer]
length = "24 cm"
ball = "23 cm"
[[size]]
name = "S"
[size.loom]
pegs = 36
[[size]]
name = "M"
"""


@pytest.fixture(autouse=True)
def pattern(folder: Path) -> None:
    measured = PATTERN + GAUGE
    (folder / "harbour.toml").write_text(measured, encoding="utf-8")
    (folder / "sizes.toml").write_text(measured + SIZES, encoding="utf-8")
    inches = 'units = "in"\n' + measured
    (folder / "inches.toml").write_text(inches, encoding="utf-8")


def words_of(path: Path) -> str:
    """All words of a PDF but the spacing of the loom, which is its name, and the line to measure
    the print by."""
    pages = pypdf.PdfReader(BytesIO(path.read_bytes())).pages
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    text = text.replace("\N{NO-BREAK SPACE}", " ")
    return text.replace("3/8 in", "").replace("50 mm when printed at 100 %", "")


METRIC = re.compile(r"\d ?(?:mm|cm|m)\b")
INCHES = re.compile(r"[\d¼½¾⅛⅜⅝⅞] ?(?:in(?! all| each| a )|yd)\b")


# Colour.


@pytest.mark.parametrize(
    ("args", "name"),
    [
        (("booklet", "harbour.toml"), "harbour-colour-booklet.pdf"),
        (("booklet", "sizes.toml", "--size", "S"), "sizes-s-colour-booklet.pdf"),
        (("booklet", "sizes.toml", "--left-handed"), "sizes-left-handed-colour-booklet.pdf"),
        (("card", "harbour.toml"), "harbour-colour-turn-card.pdf"),
        (("chart", "harbour.toml", "--part", "leg"), "harbour-colour-leg-chart.pdf"),
    ],
)
def test_colour_is_printed_and_named(folder: Path, args: tuple[str, ...], name: str) -> None:
    done = run(*args, "--colour")
    assert done.exit_code == 0, done.output
    assert name in done.output
    reader = pypdf.PdfReader(BytesIO((folder / name).read_bytes()))
    used = [page.get_contents() for page in reader.pages]
    assert any(b" rg" in content.get_data() for content in used if content is not None)


def test_a_chart_is_coloured_in_svg_too(folder: Path) -> None:
    args = ("chart", "harbour.toml", "--part", "leg", "--output")
    assert run(*args, "grey.svg").exit_code == 0
    assert run(*args, "colour.svg", "--colour").exit_code == 0
    hues = re.compile(r"#(?!(..)\1\1\b|(.)\2\2\b)[0-9a-f]{3,6}\b", re.IGNORECASE)
    assert not hues.search((folder / "grey.svg").read_text(encoding="utf-8"))
    assert hues.search((folder / "colour.svg").read_text(encoding="utf-8"))


# Units.


@pytest.mark.parametrize("file", ["harbour.toml", "sizes.toml", "inches.toml"])
def test_one_unit_alone_is_printed_where_it_is_asked_for(folder: Path, file: str) -> None:
    for word, only, other in (("cm", METRIC, INCHES), ("in", INCHES, METRIC)):
        assert run("booklet", file, "--units", word, "--output", "b.pdf").exit_code == 0
        words = words_of(folder / "b.pdf")
        assert only.search(words)
        assert not other.search(words), other.search(words)


@pytest.mark.parametrize("file", ["harbour.toml", "sizes.toml", "inches.toml"])
def test_both_units_are_the_default_the_pattern_s_own_first(folder: Path, file: str) -> None:
    assert run("booklet", file, "--output", "a.pdf").exit_code == 0
    assert run("booklet", file, "--units", "both", "--output", "b.pdf").exit_code == 0
    assert (folder / "a.pdf").read_bytes() == (folder / "b.pdf").read_bytes()
    words = words_of(folder / "a.pdf")
    first = re.search(r"5 cm \(2 in\)|2 in \(5 cm\)", words)
    assert first is not None
    assert first[0].startswith("2 in" if file == "inches.toml" else "5 cm")


@pytest.mark.parametrize("word", ["cm only", "in only"])
def test_a_pattern_may_ask_for_one_unit_itself(folder: Path, word: str) -> None:
    text = f'units = "{word}"\n' + (folder / "harbour.toml").read_text(encoding="utf-8")
    (folder / "one.toml").write_text(text, encoding="utf-8")
    assert run("booklet", "one.toml", "--output", "a.pdf").exit_code == 0
    args = ("booklet", "harbour.toml", "--units", word.split()[0], "--output", "b.pdf")
    assert run(*args).exit_code == 0
    assert words_of(folder / "a.pdf") == words_of(folder / "b.pdf")
    assert run("booklet", "one.toml", "--units", "both", "--output", "c.pdf").exit_code == 0
    both = words_of(folder / "c.pdf")
    assert METRIC.search(both)
    assert INCHES.search(both)


def test_a_word_that_is_no_unit_is_refused() -> None:
    done = run("booklet", "harbour.toml", "--units", "ell")
    assert done.exit_code != 0
    assert "cm" in done.output
    assert "both" in done.output


@pytest.mark.parametrize(
    ("units", "told"),
    [
        (Units.CM, "25 cm (10 in)"),
        (Units.IN, "10 in (25 cm)"),
        (Units.ONLY_CM, "25 cm"),
        (Units.ONLY_IN, "10 in"),
    ],
)
def test_a_measure_is_told_in_the_units_asked_for(units: Units, told: str) -> None:
    assert units.told("25 cm", "10 in") == told
