"""PDFs bear the date that SOURCE_DATE_EPOCH asks for, or none; nothing else does."""

from __future__ import annotations

import doctest
import re
from datetime import UTC, datetime
from pathlib import Path

import pikepdf
import pytest
from pypdf import PdfReader

from cli.running import ROOT, run, start
from layouts import pdf_metadata
from layouts.commands import print_date

SAMPLES = ROOT / "samples"
SECONDS = "1772357400"
INSTANT = datetime(2026, 3, 1, 9, 30, tzinfo=UTC)
"""Worked by hand: 56 years of 365 days, 14 leap days between, 59 days, and 34,200 s."""

PRINTING = (
    ("booklet", "harbour.toml"),
    ("booklet", "harbour.toml", "--layout", "fold"),
    ("booklet", str(SAMPLES / "three-looms.toml")),
    ("card", "harbour.toml"),
    ("card", "harbour.toml", "--sheet", "a4"),
    ("chart", "harbour.toml", "--part", "leg"),
    ("changes", "harbour.toml", str(SAMPLES / "ember.toml")),
    ("sizes", str(SAMPLES / "three-looms.toml")),
    ("template", "harbour.toml", "--foot", "24 cm"),
)
"""Every command that writes one PDF, and each way it goes."""


@pytest.fixture(autouse=True)
def unset(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("SOURCE_DATE_EPOCH", raising=False)


def printed(args: tuple[str, ...], name: str = "out.pdf") -> Path:
    ended = run(*args, "--output", name)
    assert ended.exit_code == 0, ended.stderr
    return Path(name)


@pytest.mark.parametrize("args", PRINTING, ids=" ".join)
@pytest.mark.usefixtures("pattern")
def test_date_asked_for_is_in_both_places_of_the_metadata(
    monkeypatch: pytest.MonkeyPatch, args: tuple[str, ...]
) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", SECONDS)
    path = printed(args)
    reader = PdfReader(path)
    assert reader.metadata is not None
    assert reader.metadata.creation_date == reader.metadata.modification_date == INSTANT
    with pikepdf.open(path) as file:
        if "/StructTreeRoot" not in file.Root:
            return  # for print alone: without XMP
        with file.open_metadata(set_pikepdf_as_editor=False) as xmp:
            told = {xmp["xmp:CreateDate"], xmp["xmp:ModifyDate"]}
    assert told == {"2026-03-01T09:30:00Z"}
    assert printed(args, "again.pdf").read_bytes() == path.read_bytes()


@pytest.mark.parametrize("args", PRINTING, ids=" ".join)
@pytest.mark.usefixtures("pattern")
def test_without_the_variable_there_is_no_date(args: tuple[str, ...]) -> None:
    with pikepdf.open(printed(args)) as file:
        assert "/CreationDate" not in file.docinfo
        assert "/ModDate" not in file.docinfo
        packet = file.Root.Metadata.read_bytes() if "/Metadata" in file.Root else b""
    assert b"Date" not in packet


def test_every_file_of_a_class_bears_the_date(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", SECONDS)
    (folder / "class.csv").write_text("who,size\nStudent A,Small\nStudent B,Large\n")
    ended = run("class", str(SAMPLES / "three-looms.toml"), "class.csv", "--output", "packs")
    assert (ended.exit_code, ended.stderr) == (0, "")
    files = sorted((folder / "packs").iterdir())
    assert len(files) == 4
    for path in files:
        metadata = PdfReader(path).metadata
        assert metadata is not None
        assert metadata.creation_date == metadata.modification_date == INSTANT


def test_date_is_of_utc_in_any_time_zone(pattern: Path) -> None:
    files = []
    for zone in ("UTC", "Pacific/Kiritimati"):
        args = ("booklet", pattern.name, "--output", "out.pdf")
        ended = start(*args, cwd=pattern.parent, TZ=zone, SOURCE_DATE_EPOCH=SECONDS)
        assert (ended.code, ended.stderr) == (0, "")
        files.append(pattern.with_name("out.pdf").read_bytes())
    assert files[0] == files[1]


@pytest.mark.parametrize(
    ("value", "year"), [("0", 1970), ("000000000000000000086400", 1970), ("253402300799", 9999)]
)
def test_first_and_last_second_are_taken(
    pattern: Path, monkeypatch: pytest.MonkeyPatch, value: str, year: int
) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", value)
    metadata = PdfReader(printed(("card", pattern.name))).metadata
    assert metadata is not None
    assert metadata.creation_date is not None
    assert metadata.creation_date.year == year


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ("", "'' is not a whole number of seconds"),
        ("-1", "'-1' is not a whole number of seconds"),
        ("+1", r"'\+1' is not a whole number of seconds"),
        ("1.5", "'1.5' is not a whole number of seconds"),
        ("1e9", "'1e9' is not a whole number of seconds"),
        (" 1", "' 1' is not a whole number of seconds"),
        ("1\n", r"'1\\n' is not a whole number of seconds"),
        ("٣", "'٣' is not a whole number of seconds"),
        ("2026-03-01", "'2026-03-01' is not a whole number of seconds"),
        ("253402300800", "'253402300800' lies beyond the year 9999"),
        ("9" * 6000, "'9{40}…' lies beyond the year 9999"),
    ],
)
@pytest.mark.parametrize(
    "args",
    [
        ("booklet", "harbour.toml"),
        ("chart", "harbour.toml", "--part", "leg", "--output", "leg.png"),
        ("check", "harbour.toml"),
    ],
    ids=lambda args: args[-1],
)
def test_wrong_value_is_one_refusal_and_nothing_is_written(
    pattern: Path, monkeypatch: pytest.MonkeyPatch, args: tuple[str, ...], value: str, said: str
) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", value)
    ended = run(*args)
    assert (ended.exit_code, ended.stdout) == (2, "")
    line = (
        rf"SOURCE_DATE_EPOCH: {said}; allowed: seconds since the start of 1970 \(UTC\), "
        r"0 to 253402300799; try: unset SOURCE_DATE_EPOCH\n"
    )
    assert re.fullmatch(line, ended.stderr), ended.stderr
    assert [path.name for path in pattern.parent.iterdir()] == [pattern.name]


@pytest.mark.parametrize("ending", ["png", "svg"])
def test_pictures_are_the_same_whatever_the_date(
    pattern: Path, monkeypatch: pytest.MonkeyPatch, ending: str
) -> None:
    args = ("chart", pattern.name, "--part", "leg")
    without = printed(args, f"without.{ending}").read_bytes()
    monkeypatch.setenv("SOURCE_DATE_EPOCH", SECONDS)
    assert printed(args, f"with.{ending}").read_bytes() == without


def test_doctests_hold() -> None:
    for module in (print_date, pdf_metadata):
        results = doctest.testmod(module)
        assert results.attempted >= 1
        assert results.failed == 0
