"""Texts and files that somebody else wrote: nothing in them gets further than it should."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Final
from xml.etree import ElementTree

import pikepdf
import pypdf
import pytest

from charts import body, pattern_file, pattern_values, roster, sizes
from cli.running import PATTERN, ROOT, run
from layouts import pdf_reading, pictures, svg_outline
from layouts.commands import pages
from layouts.delimited import write_csv

SAMPLES: Final = ROOT / "samples"
MARKUP: Final = """</title><script>alert(1)</script>&amp;]]>--> \\ (a) %s <</A 1>> "'"""
"""Ends an element, a comment, a string and a dictionary, of whatever format."""
LOOMS: Final = '[[loom]]\nname = "blue"\npegs = 32\nspacing = "3/8 in"\n'
ROSTER: Final = "who,size,loom\nStudent A,Small,blue\n"


def class_of(folder: Path, text: str, people: bytes, looms: bytes) -> dict[str, bytes]:
    """The packs, by their names."""
    folder.mkdir()
    (folder / "sizes.toml").write_text(text, encoding="utf-8")
    (folder / "class.csv").write_bytes(people)
    (folder / "looms.toml").write_bytes(looms)
    files = (str(folder / "sizes.toml"), str(folder / "class.csv"))
    ended = run("class", *files, "--looms", str(folder / "looms.toml"))
    assert ended.exit_code == 0, ended.stderr
    return {path.name: path.read_bytes() for path in (folder / "class-packs").iterdir()}


# Bytes.


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_byte_order_mark_and_line_ends_change_no_byte_of_what_is_printed(
    folder: Path, mark: str, ends: str
) -> None:
    def written(text: str) -> bytes:
        return (mark + text.replace("\n", ends)).encode()

    for name, data in (("plain.toml", PATTERN.encode()), ("other.toml", written(PATTERN))):
        (folder / name).write_bytes(data)
        assert run("booklet", name).exit_code == 0
    assert Path("plain-booklet.pdf").read_bytes() == Path("other-booklet.pdf").read_bytes()
    sized = (SAMPLES / "three-looms.toml").read_text(encoding="utf-8")
    plain = class_of(folder / "plain", sized, ROSTER.encode(), LOOMS.encode())
    assert class_of(folder / "other", sized, written(ROSTER), written(LOOMS)) == plain
    assert len(plain) == 3


@pytest.mark.parametrize("coding", ["utf-16", "utf-16-le", "utf-32", "latin-1"])
@pytest.mark.parametrize("which", ["roster", "looms", "outline"])
def test_files_beside_the_pattern_in_another_coding_are_refused_in_one_line(
    folder: Path, which: str, coding: str
) -> None:
    spoilt = "# größer\n".encode(coding)
    (folder / "spoilt").write_bytes(spoilt)
    (folder / "class.csv").write_text(ROSTER, encoding="utf-8")
    sized = str(SAMPLES / "three-looms.toml")
    args = {
        "roster": ("class", sized, "spoilt", "--output", "packs"),
        "looms": ("class", sized, "class.csv", "--looms", "spoilt", "--output", "packs"),
        "outline": ("template", sized, "--size", "Small", "--outline", "spoilt", "--side", "left"),
    }
    ended = run(*args[which])
    assert ended.exit_code in (1, 2)
    assert ended.stdout == ""
    assert re.fullmatch(r"spoilt: .+\n|spoilt:1: .+\n", ended.stderr), ended.stderr
    assert sorted(path.name for path in folder.iterdir()) == ["class.csv", "spoilt"]


# Characters.

UNSEEN: Final = {
    "a bell": "\\u0007",
    "zero": "\\u0000",
    "escape": "\\u001b",
    "delete": "\\u007f",
    "next line": "\\u0085",
    "a control of C1": "\\u009f",
    "a line separator": "\\u2028",
    "right-to-left override": "\\u202e",
    "right-to-left isolate": "\\u2067",
    "no character": "\\ufffe",
    "no character of another plane": "\\U0001ffff",
    "private use": "\\ue000",
    "Hebrew": "שלום",
    "Arabic": "سلام",
    "a mark on a digit": "1\\u0301",
    "a mark that no font has joined": "q\\u0308",
    "a heap of marks": "a" + "\\u0301\\u0308" * 4,
}


@pytest.mark.parametrize("text", UNSEEN.values(), ids=UNSEEN)
@pytest.mark.parametrize(
    ("key", "add"),
    [
        ("title", ""),
        ("designer", ""),
        ("notes", 'notes = "TEXT"\n'),
        ("house.copyright", '[house]\ncopyright = "TEXT"\n'),
        ("size.name", '[[size]]\nname = "TEXT"\n'),
    ],
)
def test_character_that_cannot_be_printed_is_refused_with_its_key(
    folder: Path, key: str, add: str, text: str
) -> None:
    words = {"title": "Harbour steps", "designer": "Class of Room 3"}
    pattern = PATTERN.replace(words.get(key, "\0"), f"a{text}b")
    add = add.replace("TEXT", f"a{text}b")
    pattern = pattern + add if add.startswith("[") else add + pattern
    (folder / "a.toml").write_text(pattern, encoding="utf-8")
    if key == "notes" and text == "\\u2028":
        return  # it ends a line there
    ended = run("booklet", "a.toml")
    assert (ended.exit_code, ended.stdout) == (1, "")
    lines = ended.stderr.splitlines()
    assert lines
    where = key.replace(".name", r"(\.1)?\.name")
    for line in lines:
        assert re.match(rf"a\.toml(:\d+)?: {where}: ", line), line
        assert line.isprintable()
    assert [path.name for path in folder.iterdir()] == ["a.toml"]


def test_letter_with_a_mark_is_printed_as_the_letter_that_has_it(folder: Path) -> None:
    for name, letter in (("one", "\u00e9"), ("two", "e\u0301")):
        text = PATTERN.replace("Harbour", f"Caf{letter}")
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")
        assert run("booklet", f"{name}.toml").exit_code == 0
    words = [
        pypdf.PdfReader(f"{name}-booklet.pdf").pages[0].extract_text() for name in ("one", "two")
    ]
    assert words[0] == words[1]
    assert "Caf\u00e9 steps" in words[0]


# Markup.


@pytest.fixture
def marked_up(folder: Path) -> Path:
    """A pattern whose texts are markup."""
    text = PATTERN.replace('"Harbour steps"', json.dumps(MARKUP))
    path = folder / "a.toml"
    path.write_text(text.replace('"Class of Room 3"', json.dumps(MARKUP)), encoding="utf-8")
    return path


def test_markup_in_a_title_is_text_in_an_svg(marked_up: Path) -> None:
    args = ("chart", marked_up.name, "--part", "leg", "--copy-line", MARKUP[:60])
    assert run(*args, "--output", "a.svg").exit_code == 0
    root = ElementTree.parse("a.svg").getroot()
    space = "{http://www.w3.org/2000/svg}"
    assert MARKUP in (root.findtext(f"{space}title") or "")
    assert MARKUP[:60] in "".join(root.itertext())
    assert not list(root.iter(f"{space}script"))


@pytest.mark.parametrize("command", ["booklet", "card"])
def test_markup_in_a_title_is_text_in_a_pdf_and_its_metadata(marked_up: Path, command: str) -> None:
    assert run(command, marked_up.name, "--output", "a.pdf").exit_code == 0
    with pikepdf.open("a.pdf") as file:
        assert not file.check_pdf_syntax()
        assert MARKUP in str(file.docinfo["/Title"])
        assert file.docinfo["/Author"] == MARKUP
        with file.open_metadata(set_pikepdf_as_editor=False) as xmp:
            assert MARKUP in xmp["dc:title"]
            assert xmp["dc:creator"] == [MARKUP]
        assert set(file.Root.keys()).isdisjoint({"/OpenAction", "/AA", "/AcroForm"})


def test_markup_in_a_title_comes_back_from_data(marked_up: Path) -> None:
    assert json.loads(run("data", marked_up.name).stdout)["title"] == MARKUP


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠"])
def test_no_text_of_a_table_starts_as_a_formula_may(start: str) -> None:
    assert write_csv([[f"{start}cmd"]]).strip(b'"\r\n').startswith(b"'")


# Limits.


def test_readme_tells_the_limits_that_hold() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    table = readme.partition("\n## Limits\n")[2].partition("\n## ")[0]
    told = dict(re.findall(r"^\| (.+?) \| (.+?) \|$", table, re.MULTILINE))
    assert told["pegs; rows of a section"] == f"{pattern_file.MOST_PEGS}; {body.MOST_ROWS}"
    assert told["sizes in a file; people on a roster"] == (
        f"{sizes.MOST_SIZES}; {roster.MOST_PEOPLE:,}"
    )
    side = pattern_values.MOST_MOTIF_SIDE
    assert told["stitches across and rows of a motif"] == f"{side} x {side}"
    million = 1_000_000
    assert told["pattern file, roster, file of looms"] == f"{pattern_file.MOST_BYTES // million} MB"
    assert told["logo"] == (
        f"{pictures.MOST_BYTES // million} MB, {pictures.MOST_DOTS // million} million dots"
    )
    assert told["traced outline"] == f"{svg_outline.MOST_SVG_BYTES // million} MB"
    assert told["dots of a `.png`"] == f"{pages.MOST_DOTS // million} million"
    assert told["PDF for `prove`"] == (
        f"{pdf_reading.MOST_BYTES // million} MB, {pdf_reading.MOST_PAGES} pages"
    )
