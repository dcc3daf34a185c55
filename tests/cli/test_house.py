"""A publisher's marks from the command line: the logo's file, the accent, the buyer's line."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from io import BytesIO
from pathlib import Path

import pdfplumber
import pypdf
import pytest
from PIL import Image

from tests.cli.running import PATTERN, environment, run, start

HOUSE = """
[house]
licence = "For your own knitting."
copyright = "© 2026 Class of Room 3"
logo = "marks/logo.png"
accent = "#0072B2"
edition = 2
date = "March 2026"
"""
LOGO_LINE = (PATTERN + HOUSE).split("\n").index('logo = "marks/logo.png"') + 1
ORDER = "Copy for order 1042"
SIZES = '\n[[size]]\nname = "S"\n[[size]]\nname = "M"\nloom = { pegs = 44 }\n'


def png(width: int = 400, height: int = 180, colour: str = "#005f73") -> bytes:
    file = BytesIO()
    Image.new("RGB", (width, height), colour).save(file, "PNG")
    return file.getvalue()


@pytest.fixture
def marked(folder: Path) -> Path:
    """harbour.toml with a house, and its logo in a folder below."""
    path = folder / "harbour.toml"
    path.write_text(PATTERN + HOUSE, encoding="utf-8")
    (folder / "marks").mkdir()
    (folder / "marks" / "logo.png").write_bytes(png())
    return path


def files_of(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


def refusal(path: Path, *args: str) -> str:
    """The one line on standard error; nothing is written."""
    before = files_of(path.parent)
    ended = run(*(args or ("booklet",)), path.name)
    assert (ended.exit_code, ended.stdout) == (1, "")
    assert files_of(path.parent) == before
    (line,) = ended.stderr.splitlines()
    return line


def test_booklet_has_the_logo_and_the_marks_on_its_cover(marked: Path) -> None:
    ended = run("booklet", marked.name)
    assert (ended.exit_code, ended.stderr) == (0, "")
    pages = pypdf.PdfReader(marked.with_name("harbour-booklet.pdf")).pages
    assert [len(page.images) for page in pages] == [1] + [0] * (len(pages) - 1)
    logo = pages[0].images[0].image
    # 40 x 18 mm at 300 dots to 25.4 mm; 400 x 180 dots are fewer and stay
    assert (logo.mode, logo.size) == ("L", (400, 180))
    words = pages[0].extract_text()
    for told in ("Class of Room 3", "Edition 2, March 2026", "For your own knitting."):
        assert told in words


def test_check_tells_edition_and_logo(marked: Path) -> None:
    ended = run("check", marked.name)
    assert (ended.exit_code, ended.stderr) == (0, "")
    assert "\nedition 2, March 2026\nlogo 40 x 18 mm at 254 dots to the inch\n" in ended.stdout


def test_check_of_sizes_tells_them_once(marked: Path) -> None:
    marked.write_text(PATTERN + HOUSE + SIZES, encoding="utf-8")
    ended = run("check", marked.name)
    assert (ended.exit_code, ended.stderr) == (0, "")
    assert ended.stdout.count("edition 2, March 2026\nlogo 40 x 18 mm") == 1


def test_data_has_the_house(marked: Path) -> None:
    house = json.loads(run("data", marked.name).stdout)["house"]
    assert (house["edition"], house["accent"]) == ("2", "#0072B2")
    assert house["logo"] == "marks/logo.png"


@pytest.mark.parametrize(
    ("house", "said"),
    [
        ('edition = 2\ndate = "March 2026"', "edition 2, March 2026"),
        ("edition = 2", "edition 2"),
        ('date = "March 2026"', "dated March 2026"),
    ],
)
def test_check_says_what_number_and_date_are_of(pattern: Path, house: str, said: str) -> None:
    pattern.write_text(f"{PATTERN}\n[house]\n{house}\n", encoding="utf-8")
    assert f"\n{said}\n" in run("check", pattern.name).stdout


def test_booklet_of_sizes_has_the_marks(marked: Path) -> None:
    marked.write_text(PATTERN + HOUSE + SIZES, encoding="utf-8")
    ended = run("booklet", marked.name, "--copy-line", ORDER)
    assert (ended.exit_code, ended.stderr) == (0, "")
    pages = pypdf.PdfReader(marked.with_name("harbour-booklet.pdf")).pages
    assert [len(page.images) for page in pages] == [1] + [0] * (len(pages) - 1)
    assert all(ORDER in page.extract_text() for page in pages)


# --- The logo's file -------------------------------------------------------------------------


def test_logo_that_is_not_there_is_told_with_its_line(marked: Path) -> None:
    (marked.parent / "marks" / "logo.png").unlink()
    expected = (
        f"harbour.toml:{LOGO_LINE}: house.logo: there is no file marks/logo.png in the pattern's "
        "folder; try: put it there, or leave the logo out"
    )
    assert refusal(marked) == expected
    assert refusal(marked, "check") == expected


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (
            b"GIF89a",
            "the file is neither PNG nor JPEG; allowed: a PNG or JPEG picture; try: save it as PNG",
        ),
        (png()[:200], "the PNG picture is broken; try: save it anew"),
        (
            png(20, 20),
            "the picture has 20 x 20 dots, too few to print; "
            "allowed: 60 dots or more along the longer side",
        ),
        (
            png(8000, 4000),
            "the picture has 8,000 x 4,000 dots, too many; allowed: up to 16 million dots; "
            "try: save it smaller",
        ),
        (
            png() + bytes(10_000_000),
            "the picture has more than 10 MB; allowed: up to 10 MB; try: save it smaller",
        ),
        (
            png(colour="white"),
            "the picture is white, or nearly, on white paper; "
            "try: a darker one, or one on a dark ground",
        ),
    ],
)
def test_logo_that_cannot_be_printed_is_told(marked: Path, data: bytes, told: str) -> None:
    (marked.parent / "marks" / "logo.png").write_bytes(data)
    assert refusal(marked) == f"harbour.toml:{LOGO_LINE}: house.logo: {told}"


def test_link_that_stays_in_the_folder_is_followed(marked: Path) -> None:
    logo = marked.parent / "marks" / "logo.png"
    logo.rename(marked.parent / "other.png")
    logo.symlink_to("../other.png")
    assert run("booklet", marked.name).exit_code == 0


@pytest.mark.parametrize("below", [False, True])
def test_link_that_leads_out_of_the_folder_is_refused(
    marked: Path, tmp_path_factory: pytest.TempPathFactory, below: bool
) -> None:
    outside = tmp_path_factory.mktemp("outside")
    (outside / "logo.png").write_bytes(png())
    marks = marked.parent / "marks"
    (marks / "logo.png").unlink()
    if below:
        marks.rmdir()
        marks.symlink_to(outside)
    else:
        (marks / "logo.png").symlink_to(outside / "logo.png")
    assert refusal(marked) == (
        f"harbour.toml:{LOGO_LINE}: house.logo: marks/logo.png is a link that leads out of the "
        "pattern's folder; allowed: a file in that folder or below; try: copy the file there"
    )


def test_link_in_a_circle_is_told(marked: Path) -> None:
    logo = marked.parent / "marks" / "logo.png"
    logo.unlink()
    logo.symlink_to("logo.png")
    assert "house.logo: marks/logo.png cannot be read: " in refusal(marked)


def test_pipe_and_folder_are_no_logo(marked: Path) -> None:
    logo = marked.parent / "marks" / "logo.png"
    logo.unlink()
    os.mkfifo(logo)
    assert "house.logo: marks/logo.png is not a file; allowed: a PNG or JPEG" in refusal(marked)
    logo.unlink()
    logo.mkdir()
    assert "house.logo: marks/logo.png is not a file; allowed: a PNG or JPEG" in refusal(marked)


def test_logo_is_looked_for_beside_the_pattern_and_not_here(
    marked: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    elsewhere = marked.parent / "elsewhere"
    elsewhere.mkdir()
    monkeypatch.chdir(elsewhere)
    assert run("check", "../harbour.toml").exit_code == 0
    ended = run("check", "-", stdin=PATTERN + HOUSE)
    assert ended.exit_code == 1
    assert "there is no file marks/logo.png in the working folder" in ended.stderr


def test_problems_of_sizes_and_of_the_logo_are_told_together(marked: Path) -> None:
    (marked.parent / "marks" / "logo.png").unlink()
    bad = SIZES + '[[size]]\nname = "L"\nheel = { centre = 99 }\n'
    marked.write_text(PATTERN + HOUSE + bad, encoding="utf-8")
    ended = run("check", marked.name)
    assert ended.exit_code == 1
    assert "2 of 3 sizes" in ended.stdout
    told = ended.stderr.splitlines()
    assert any('size "L": heel.centre' in line for line in told)
    assert any("house.logo: there is no file" in line for line in told)


def test_commands_that_print_no_cover_need_no_logo(marked: Path) -> None:
    (marked.parent / "marks" / "logo.png").unlink()
    for args in (("card",), ("chart", "--part", "toe"), ("steps",), ("data",), ("yarn",)):
        assert run(args[0], marked.name, *args[1:]).exit_code == 0, args


def test_marks_with_characters_that_no_font_has_are_told(marked: Path) -> None:
    text = (PATTERN + HOUSE).replace("own knitting", "own 編み")
    marked.write_text(text, encoding="utf-8")
    ended = run("check", marked.name)
    assert ended.exit_code == 1
    assert "house.licence: the fonts we print with have no '編'" in ended.stderr


# --- The accent ------------------------------------------------------------------------------


def test_light_accent_is_told_with_what_is_printed_instead(marked: Path) -> None:
    text = (PATTERN + HOUSE).replace("#0072B2", "#FFFF00")
    marked.write_text(text, encoding="utf-8")
    told = (
        "warning: house.accent: #FFFF00 is too light for a title on white paper: its contrast "
        "is 1.0 : 1, and text needs 4.5 : 1 (WCAG 2.2, criterion 1.4.3); in colour, #7A7A00 "
        "is printed"
    )
    assert run("check", marked.name).stdout.splitlines()[-1] == told
    assert run("booklet", marked.name).stderr == f"harbour.toml: {told}\n"


def test_dark_accent_is_not_mentioned(marked: Path) -> None:
    assert "accent" not in run("check", marked.name).stdout
    assert run("booklet", marked.name).stderr == ""


def test_accent_colours_nothing_where_there_is_black_ink_only(marked: Path) -> None:
    assert run("booklet", marked.name).exit_code == 0
    with pdfplumber.open(marked.with_name("harbour-booklet.pdf")) as file:
        for page in file.pages:
            for thing in (*page.rects, *page.curves, *page.chars):
                colour = thing["non_stroking_color"]
                assert not isinstance(colour, tuple) or len(colour) == 1


def test_accent_and_logo_are_in_their_colours_where_they_are_asked_for(marked: Path) -> None:
    assert run("booklet", marked.name, "--colour", "--output", "out.pdf").exit_code == 0
    with pdfplumber.open(marked.with_name("out.pdf")) as file:
        cover = file.pages[0]
        (title,) = {char["non_stroking_color"] for char in cover.chars if char["size"] > 30}
        (logo,) = cover.images
    assert title == pytest.approx((0, 0x72 / 255, 0xB2 / 255), abs=0.001)
    assert "DeviceRGB" in str(logo["colorspace"])


# --- The buyer's line ------------------------------------------------------------------------


@pytest.mark.parametrize(
    "args",
    [
        ("booklet",),
        ("booklet", "--paper", "letter"),
        ("card", "--part", "turn"),
        ("card", "--part", "leg"),
        ("chart", "--part", "leg"),
        ("chart", "--part", "foot", "--paper", "a6"),
    ],
)
def test_copy_line_is_on_each_page(pattern: Path, args: tuple[str, ...]) -> None:
    ended = run(args[0], pattern.name, *args[1:], "--copy-line", ORDER, "--output", "out.pdf")
    assert (ended.exit_code, ended.stderr) == (0, "")
    pages = pypdf.PdfReader(pattern.with_name("out.pdf")).pages
    assert [page.extract_text().count(ORDER) for page in pages] == [1] * len(pages)


def test_copy_line_is_in_a_drawing(pattern: Path) -> None:
    ended = run(
        *("chart", pattern.name, "--part", "leg", "--output", "leg.svg", "--copy-line", ORDER)
    )
    assert ended.exit_code == 0
    assert re.search(f">{ORDER}</text>", (pattern.parent / "leg.svg").read_text("utf-8"))


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("", "--copy-line: the line is empty; allowed: 1 to 60 characters on one line"),
        ("  ", "--copy-line: the line is empty; allowed: 1 to 60 characters on one line"),
        (
            "x" * 61,
            "--copy-line: 61 characters are too many; allowed: 1 to 60 characters on one line",
        ),
        (
            "two\nlines",
            "--copy-line: there is the unprintable U+000A at character 4; "
            "allowed: 1 to 60 characters on one line",
        ),
        (
            "a\u202eb",
            "--copy-line: there is the unprintable U+202E at character 2; "
            "allowed: 1 to 60 characters on one line",
        ),
        (
            "編",
            "--copy-line: the fonts we print with have no '編' "
            "(U+7DE8 CJK UNIFIED IDEOGRAPH-7DE8); "
            "allowed: European letters, digits, fractions and common signs; "
            "try: write it in other characters",
        ),
    ],
)
def test_copy_line_that_cannot_be_printed_is_refused(pattern: Path, line: str, told: str) -> None:
    ended = run("card", pattern.name, "--copy-line", line)
    assert (ended.exit_code, ended.stdout, ended.stderr) == (2, "", told + "\n")
    assert files_of(pattern.parent) == {"harbour.toml"}


def test_two_runs_write_equal_bytes(marked: Path) -> None:
    written = []
    for seed in ("1", "2"):
        args = ("booklet", marked.name, "--copy-line", ORDER, "--output", "-")
        ended = start(*args, cwd=marked.parent, PYTHONHASHSEED=seed)
        assert ended.code == 0
        written.append(ended.stdout)
    assert written[0] == written[1]


def test_pillow_is_not_loaded_to_check_a_pattern_without_a_logo(pattern: Path) -> None:
    code = (
        "import sys\n"
        "from layouts.commands.program import program\n"
        "try: program.main(['check', sys.argv[1]])\n"
        "except SystemExit as done: assert done.code == 0\n"
        "assert not {'PIL', 'layouts.imprint', 'layouts.contrast'} & sys.modules.keys()\n"
    )
    args = [sys.executable, "-c", code, str(pattern)]
    subprocess.run(args, check=True, env=environment(), capture_output=True, timeout=60)
