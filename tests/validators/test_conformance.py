"""Every printed product keeps PDF/UA-1 (ISO 14289-1:2014) and PDF/A-2a (ISO 19005-2:2011)."""

from __future__ import annotations

import re
from io import BytesIO
from pathlib import Path

import page
import pikepdf
import pytest

from layouts.pdf import Tagging, write_pdf
from layouts.scene import Document, Group, Page, Role, Text, rect
from tests.validators.conformance import check, class_path
from tests.validators.products import PRODUCTS, SAMPLES, printed, run

PROFILES = ("ua1", "2a")
STREAM_LENGTH = "PDFA2A-STREAM-LENGTH-001"
STREAM = re.compile(
    rb" obj\n<<(?:(?!endobj).)*?/Length (\d+)(?:(?!endobj).)*?>>\nstream\n", re.DOTALL
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where each product is printed once."""
    return tmp_path_factory.mktemp("products")


def broken_rules(pdf: bytes, profile: str) -> list[str]:
    """The rules broken, each with its message.

    Compressed data that happens to end in a carriage return, with the line feed after it, looks to
    the validator like one end of a line and a byte too few; the lengths are counted here instead.
    """
    found = page.validate_pdf_bytes(pdf, profile=profile).failures
    counted = lengths_are_true(pdf)
    return [
        f"{one.rule_id}: {one.message}"
        for one in found
        if not (one.rule_id == STREAM_LENGTH and counted)
    ]


def lengths_are_true(pdf: bytes) -> bool:
    """Whether every stream ends where its length says, before one line feed."""
    end = 0
    while start := STREAM.search(pdf, end):
        end = start.end() + int(start[1])
        if not pdf.startswith(b"\nendstream", end):
            return False
    return end > 0


@pytest.mark.parametrize("profile", PROFILES)
@pytest.mark.parametrize("name", PRODUCTS)
def test_product_keeps_the_standard(name: str, profile: str, folder: Path) -> None:
    assert broken_rules(printed(name, folder).read_bytes(), profile) == []


@pytest.mark.parametrize("profile", PROFILES)
def test_packs_and_overview_of_a_class_keep_the_standard(
    profile: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    packs = tmp_path_factory.mktemp("class")
    sized, looms = str(SAMPLES / "three-looms.toml"), str(SAMPLES / "looms.toml")
    run(("class", sized, str(SAMPLES / "roster.csv"), "--looms", looms), packs)
    for name in ("overview", "student-a", "student-d"):
        assert broken_rules((packs / f"{name}.pdf").read_bytes(), profile) == []


@pytest.mark.parametrize("profile", PROFILES)
def test_file_with_a_date_keeps_the_standard(
    profile: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1772357400")
    for name in ("ember booklet", "sizes", "key card"):
        pdf = printed(name, tmp_path).read_bytes()
        with pikepdf.open(BytesIO(pdf)) as file:
            assert file.docinfo["/CreationDate"] == "D:20260301093000+00'00'"
        assert broken_rules(pdf, profile) == []


def test_plain_file_is_refused() -> None:
    document = Document((Page(100, 100, (Text(10, 10, "peg"),)),), "Test")
    assert broken_rules(write_pdf(document), "ua1") == []
    plain = write_pdf(document, tagging=Tagging.PLAIN)
    for profile in PROFILES:
        assert broken_rules(plain, profile)


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (b"<pdfuaid:part>1</pdfuaid:part>", b"<pdfuaid:part>7</pdfuaid:part>"),
        (b"/Marked true", b"/Marked null"),
        (b"/S /GTS_PDFA1", b"/S /GTS_PDFX1"),
        (b"/Alt", b"/Art"),
        (b"/StructTreeRoot", b"/StructTreeLoot"),
    ],
)
def test_altered_file_is_refused(before: bytes, after: bytes) -> None:
    """One thing spoilt in a file without compression."""
    figure = Group((rect(10, 10, 20, 20),), role=Role.FIGURE, alt="A square.")
    pdf = write_pdf(Document((Page(100, 100, (Text(10, 10, "peg"), figure)),), "Test"))
    with pikepdf.open(BytesIO(pdf)) as file:
        out = BytesIO()
        file.save(
            out,
            compress_streams=False,
            fix_metadata_version=False,
            object_stream_mode=pikepdf.ObjectStreamMode.disable,
            stream_decode_level=pikepdf.StreamDecodeLevel.generalized,
        )
    loose = out.getvalue()
    assert before in loose
    assert [broken_rules(loose, profile) for profile in PROFILES] == [[], []]
    spoilt = loose.replace(before, after)
    assert any(broken_rules(spoilt, profile) for profile in PROFILES)


def test_wrong_length_is_noticed() -> None:
    pdf = write_pdf(Document((Page(100, 100, (Text(10, 10, "peg"),)),), "Test"))
    assert lengths_are_true(pdf)
    assert not lengths_are_true(pdf.replace(b"\nendstream", b"\n\nendstream", 1))


def test_engine_that_archives_use_agrees(folder: Path) -> None:
    """veraPDF, where it is at hand."""
    path = class_path()
    if path is None:
        pytest.skip("no veraPDF; see conformance.py")
    found = check([printed(name, folder) for name in PRODUCTS], path)
    assert found.returncode == 0, found.stdout


@pytest.mark.parametrize(
    "command", [("booklet", "--layout", "fold"), ("card", "--part", "turn", "--sheet", "a4")]
)
def test_what_is_cut_or_folded_is_not_tagged(command: tuple[str, ...], tmp_path: Path) -> None:
    name, *options = command
    path = tmp_path / "sheets.pdf"
    run((name, str(SAMPLES / "ember.toml"), *options), path)
    with pikepdf.open(path) as file:
        assert "/StructTreeRoot" not in file.Root
