"""`class`: packs for everybody whose row is good, every bad row told, and how it ends."""

from __future__ import annotations

import os
from io import BytesIO
from pathlib import Path
from typing import Any

import pdfplumber
import pytest
from click.testing import Result
from pypdf import PdfReader

import charts.class_socks
from charts.verify import NotKnittableError
from cli.running import PATTERN, run, start

ROSTER = """\
who,foot length cm,pegs,gauge,notes
Student A,,,,
Student B,24,,18 x 26,
Student C,,36,,Another ring
Student D,,,,
"""


@pytest.fixture
def roster(pattern: Path) -> Path:
    """tuesday.csv, beside the pattern."""
    path = pattern.with_name("tuesday.csv")
    path.write_text(ROSTER, encoding="utf-8")
    return path


def folder_of(roster: Path) -> Path:
    return roster.with_name("tuesday-packs")


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def text_of(path: Path) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(path).pages)


def ended_with(ended: Result, code: int) -> str:
    """What stands on standard error of a run that ended so."""
    assert ended.exception is None or isinstance(ended.exception, SystemExit), ended.exception
    assert ended.exit_code == code, ended.stderr
    return ended.stderr


# What is made


def test_folder_beside_the_roster_has_a_file_each_the_packs_and_the_overview(roster: Path) -> None:
    ended = run("class", "harbour.toml", roster.name)
    ended_with(ended, 0)
    folder = folder_of(roster)
    people = [f"student-{letter}.pdf" for letter in "abcd"]
    assert names(folder) == sorted([*people, "all-packs.pdf", "overview.pdf"])
    pages = sum(len(PdfReader(folder / name).pages) for name in people)
    assert ended.stdout == (
        f"tuesday-packs: 4 packs written; all-packs.pdf ({pages} pages), overview.pdf\n"
    )


def test_all_packs_are_the_packs_in_the_order_of_the_roster_on_whole_sheets(roster: Path) -> None:
    run("class", "harbour.toml", roster.name)
    folder = folder_of(roster)
    whole = PdfReader(folder / "all-packs.pdf", strict=True)
    bookmarks = [
        (entry.title, whole.get_destination_page_number(entry) + 1) for entry in whole.outline
    ]
    assert [title for title, _ in bookmarks] == [f"Student {letter}" for letter in "ABCD"]
    assert all(page % 2 == 1 for _, page in bookmarks)
    apart = [
        page.extract_text()
        for letter in "abcd"
        for page in PdfReader(folder / f"student-{letter}.pdf").pages
    ]
    assert [page.extract_text() for page in whole.pages] == apart
    assert len(apart) % 2 == 0


def test_overview_names_the_page_that_each_pack_begins_on(roster: Path) -> None:
    run("class", "harbour.toml", roster.name)
    folder = folder_of(roster)
    whole = PdfReader(folder / "all-packs.pdf")
    rows = _overview_rows(folder / "overview.pdf")
    assert list(rows) == [f"Student {letter}" for letter in "ABCD"]
    for entry in whole.outline:
        assert rows[entry.title][-1] == str(whole.get_destination_page_number(entry) + 1)


def _overview_rows(path: Path) -> dict[str, list[str]]:
    """The words of each line of the table by the person's label."""
    (page,) = pdfplumber.open(path).pages
    lines: dict[float, list[dict[str, Any]]] = {}
    for word in page.extract_words():
        lines.setdefault(round(word["bottom"]), []).append(word)
    texts = [[word["text"] for word in line] for line in lines.values()]
    return {" ".join(line[:2]): line[2:] for line in texts if line[0] == "Student"}


def test_each_person_has_their_own_ring_and_note(roster: Path) -> None:
    run("class", "harbour.toml", roster.name)
    folder = folder_of(roster)
    assert "40 pegs, 3/8 in apart" in text_of(folder / "student-a.pdf")
    third = text_of(folder / "student-c.pdf")
    assert "36 pegs, 3/8 in apart" in third
    assert "Another ring" in third
    assert "40 pegs" not in third


def test_run_again_gives_the_same_bytes_and_leaves_other_files_alone(roster: Path) -> None:
    run("class", "harbour.toml", roster.name)
    folder = folder_of(roster)
    before = {name: (folder / name).read_bytes() for name in names(folder)}
    (folder / "mine.txt").write_text("mine", encoding="utf-8")
    ended = run("class", "harbour.toml", roster.name, "--output", str(folder))
    ended_with(ended, 0)
    after = {name: (folder / name).read_bytes() for name in names(folder)}
    assert after.pop("mine.txt") == b"mine"
    assert after == before


def test_paper_is_that_asked_for(roster: Path) -> None:
    run("class", "harbour.toml", roster.name, "--paper", "letter", "--output", "out")
    for name in ("student-a.pdf", "all-packs.pdf", "overview.pdf"):
        box = PdfReader(Path("out") / name).pages[0].mediabox
        assert sorted((float(box.width), float(box.height))) == [612, 792]


def test_looms_are_named_from_their_file(roster: Path) -> None:
    looms = '[[loom]]\nname = "blue ring"\npegs = 36\nspacing = "3/8 in"\n'
    Path("looms.toml").write_text(looms, encoding="utf-8")
    roster.write_text("who,loom\nStudent A,Blue ring\n", encoding="utf-8")
    ended_with(run("class", "harbour.toml", roster.name, "--looms", "looms.toml"), 0)
    assert "blue ring: 36 pegs" in text_of(folder_of(roster) / "student-a.pdf")
    stderr = ended_with(run("class", "harbour.toml", roster.name, "--output", "out"), 1)
    assert "tuesday.csv:2: Student A: loom: 'Blue ring' is no loom" in stderr


def test_pattern_or_roster_may_come_from_standard_input(roster: Path) -> None:
    ended = run("class", "harbour.toml", "-", "--output", "out", stdin="who\nStudent A\n")
    ended_with(ended, 0)
    ended = run("class", "-", roster.name, "--output", "out", stdin=PATTERN)
    ended_with(ended, 0)
    assert "student-d.pdf" in names(Path("out"))


# Bad rows


def test_bad_row_is_told_with_its_line_and_the_others_are_made(roster: Path) -> None:
    roster.write_text(ROSTER.replace("Student B,24,,18 x 26", "Student B,24,,18"), encoding="utf-8")
    ended = run("class", "harbour.toml", roster.name)
    stderr = ended_with(ended, 1)
    assert stderr == (
        "tuesday.csv:3: Student B: gauge: '18' is no gauge; allowed: \"15 x 20\", stitches and "
        'rows in 10 cm, or "15 x 20 in 4 in"\n'
    )
    assert ended.stdout.startswith("tuesday-packs: 3 packs written; ")
    people = [f"student-{letter}.pdf" for letter in "acd"]
    assert names(folder_of(roster)) == sorted([*people, "all-packs.pdf", "overview.pdf"])


def test_bad_rows_of_every_kind_are_told_in_the_order_of_the_lines(roster: Path) -> None:
    roster.write_text(
        "who,foot length cm,pegs,gauge,notes\nStudent A,24,,,\nStudent B,,41,,\n"
        "Student C,,,,✂ cut\nStudent D,,nine,,\nStudent E,,,,\nstudent e,,,,\n",
        encoding="utf-8",
    )
    ended = run("class", "harbour.toml", roster.name)
    lines = ended_with(ended, 1).splitlines()
    starts = [line.split(": ")[:3] for line in lines]
    assert starts[0] == ["tuesday.csv:2", "Student A", "gauge"]
    assert starts[1][:2] == ["tuesday.csv:3", "Student B"]
    assert ["tuesday.csv:4", "Student C", "notes"] in starts
    assert ["tuesday.csv:5", "Student D", "pegs"] in starts
    assert starts[-1] == ["tuesday.csv:7", "student e", "who"]
    assert lines == sorted(lines, key=lambda line: int(line.split(":")[1]))
    assert "1 pack written" in ended.stdout


def test_nothing_is_made_where_every_row_is_bad(roster: Path) -> None:
    roster.write_text("who,pegs\nStudent A,9\nStudent B,x\n", encoding="utf-8")
    ended = run("class", "harbour.toml", roster.name)
    assert len(ended_with(ended, 1).splitlines()) == 2
    assert ended.stdout == ""
    assert not folder_of(roster).exists()


def test_wrong_head_is_one_clear_problem(roster: Path) -> None:
    roster.write_text("name,pegs\nStudent A,40\n", encoding="utf-8")
    stderr = ended_with(run("class", "harbour.toml", roster.name), 1)
    (line,) = stderr.splitlines()
    assert line.startswith("tuesday.csv:1: there is no column 'name'; allowed: who, ")
    assert not folder_of(roster).exists()


def test_bad_pattern_is_told_once_and_nothing_is_made(roster: Path) -> None:
    Path("harbour.toml").write_text(PATTERN.replace("pegs = 40", "pegs = 9"), encoding="utf-8")
    stderr = ended_with(run("class", "harbour.toml", roster.name), 1)
    assert stderr.startswith("harbour.toml:5: loom.pegs: 9 is too small")
    assert len(stderr.splitlines()) == 1
    assert not folder_of(roster).exists()


def test_paper_too_small_is_told_at_each_row(roster: Path) -> None:
    ended = run("class", "harbour.toml", roster.name, "--paper", "60 x 90 mm")
    lines = [line for line in ended_with(ended, 1).splitlines() if "warning" not in line]
    assert len(lines) == 4
    assert all("does not fit on the paper" in line for line in lines)


class _SpoiltError(NotKnittableError):
    def __init__(self) -> None:
        Exception.__init__(self, "peg 3 is empty")


def test_sock_that_does_not_knit_is_our_fault_and_spoils_no_other(
    roster: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = charts.class_socks.knit_sock

    def faulty(spec: Any) -> Any:
        if spec.loom.pegs == 36:
            raise _SpoiltError
        return real(spec)

    monkeypatch.setattr(charts.class_socks, "knit_sock", faulty)
    ended = run("class", "harbour.toml", roster.name)
    lines = [line for line in ended_with(ended, 1).splitlines() if "warning" not in line]
    assert lines == [
        "tuesday.csv:4: Student C: cannot be knitted: peg 3 is empty",
        "tuesday.csv:4: Student C: this is a fault of pegfolio; please report it",
    ]
    assert "3 packs written" in ended.stdout


# Names of files


def test_any_label_makes_a_plain_name_of_its_own(roster: Path) -> None:
    labels = ["../etc/passwd", "A/B", "a b", "...", "Größe", "Overview", "all packs", "CON", "=1+1"]
    roster.write_text("who\n" + "".join(f"{one}\n" for one in labels), encoding="utf-8")
    ended_with(run("class", "harbour.toml", roster.name), 0)
    assert names(folder_of(roster)) == sorted(
        [
            *("etc-passwd.pdf", "a-b.pdf", "a-b-2.pdf", "line-5.pdf", "grosse.pdf"),
            *("overview-2.pdf", "all-packs-2.pdf", "con-pack.pdf", "1-1.pdf"),
            *("all-packs.pdf", "overview.pdf"),
        ]
    )
    assert not Path("etc").exists()


def test_name_of_a_file_does_not_hang_on_whether_other_rows_can_be_planned(roster: Path) -> None:
    roster.write_text("who,pegs\nA b,41\na-b,40\n", encoding="utf-8")
    ended_with(run("class", "harbour.toml", roster.name), 1)
    assert "a-b-2.pdf" in names(folder_of(roster))
    assert "a-b.pdf" not in names(folder_of(roster))


# Wrong usage


@pytest.mark.parametrize(
    ("args", "told"),
    [
        (("--output", ""), "--output: the name is empty"),
        (("--output", "-"), "--output: packs are many files, and standard output is one"),
        (("--output", "harbour.toml"), "harbour.toml: it is a file, not a folder"),
        (("--output", "no/such"), "no/such: there is no folder no"),
        (("--looms", "no.toml"), "no.toml: there is no such file"),
        (("--paper", "b9"), "--paper"),
    ],
)
def test_wrong_usage_is_told_and_nothing_is_made(
    roster: Path, args: tuple[str, ...], told: str
) -> None:
    assert told in ended_with(run("class", "harbour.toml", roster.name, *args), 2)
    assert names(roster.parent) == ["harbour.toml", "tuesday.csv"]


def test_missing_files_are_told_with_the_nearest(roster: Path) -> None:
    stderr = ended_with(run("class", "harbour.toml", "tuesdy.csv"), 2)
    assert stderr == f"tuesdy.csv: there is no such file; try: {roster.name}\n"
    ended_with(run("class", "-", "-", "--output", "out"), 2)
    ended_with(run("class", "harbour.toml", "-", stdin="who\nA\n"), 2)


def test_roster_that_is_no_text_is_told(roster: Path) -> None:
    roster.write_bytes("who\nStudent A\n".encode("utf-16"))
    stderr = ended_with(run("class", "harbour.toml", roster.name), 1)
    assert stderr == ("tuesday.csv: the file is UTF-16 or UTF-32 text; try: save it as UTF-8\n")


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write all")
def test_read_only_folder_is_told_before_any_work(roster: Path) -> None:
    folder = folder_of(roster)
    folder.mkdir()
    folder.chmod(0o555)
    assert "it is read-only" in ended_with(run("class", "harbour.toml", roster.name), 2)
    assert names(folder) == []


def test_file_that_cannot_be_replaced_ends_the_run_and_leaves_no_part(roster: Path) -> None:
    folder = folder_of(roster)
    (folder / "student-b.pdf").mkdir(parents=True)
    stderr = ended_with(run("class", "harbour.toml", roster.name), 2)
    assert stderr.endswith("it is a folder; try: a file name in it\n")
    assert not any(name.startswith(".pegfolio") for name in names(folder))
    assert "all-packs.pdf" not in names(folder)


def test_no_bar_and_nothing_else_stands_on_standard_error_of_a_pipe(roster: Path) -> None:
    ended = start("class", "harbour.toml", roster.name, cwd=roster.parent)
    assert ended.code == 0
    assert "\r" not in ended.stderr
    assert all("warning: " in line for line in ended.stderr.splitlines())


def test_pdf_of_a_person_is_whole(roster: Path) -> None:
    run("class", "harbour.toml", roster.name)
    data = (folder_of(roster) / "student-b.pdf").read_bytes()
    reader = PdfReader(BytesIO(data), strict=True)
    assert reader.metadata is not None
    assert reader.metadata.title == "Student B: Harbour steps"
