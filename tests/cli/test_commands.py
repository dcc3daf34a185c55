"""What the commands hand out: contents, names, help; the same bytes each time; quick to load."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from xml.etree import ElementTree

import click
import pytest
from PIL import Image
from pypdf import PdfReader

import layouts.cli
from charts import __version__
from charts.parts import Part
from cli.running import PATTERN, ROOT, command, environment, run, start
from layouts.commands.program import program
from layouts.commands.progress import progress
from layouts.paper import PAPERS

TOP = Path(__file__).resolve().parents[2]


# What comes out.


def test_check_sums_up_a_sock_counted_by_hand(pattern: Path) -> None:
    ended = run("check", pattern.name)
    # Rib k2 p2 on 40 pegs with heel 24: the round's start moves by 1, so the cuff has 1 more.
    cuff, leg, flap, partial = 6 * 40 + 1, 8 * 40, 24 + 15 * 23, 8
    # The first foot row goes from peg 9 of 40; 2 pegs are knitted on to the toe.
    turn, foot, toe = 8 + 15 * 9, 32 + 9 * 40 + 2, 337
    counts = dict(re.findall(r"^  ([a-z ]+?) +(\d+)$", ended.stdout, re.MULTILINE))
    assert {name: int(count) for name, count in counts.items()} == {
        "cuff": cuff,
        "leg": leg,
        "heel flap": flap,
        "partial row": partial,
        "heel turn": turn,
        "foot": foot,
        "toe": toe,
        "total": cuff + leg + flap + partial + turn + foot + toe,
    }
    assert ended.stdout.splitlines()[:3] == [
        "harbour.toml: Harbour steps",
        "loom: 40 pegs, 3/8 in apart, first round left to right",
        "heel 24 pegs, turn 8, instep 16, toe 20",
    ]


def test_warnings_are_told_by_check_and_on_standard_error_elsewhere(pattern: Path) -> None:
    pattern.write_text('knit = "e-wrap"\n' + PATTERN, encoding="utf-8")
    checked = run("check", pattern.name)
    warning = checked.stdout.splitlines()[-1]
    assert warning.startswith("warning: An e-wrap knit is looser")
    assert checked.stderr == ""
    for name in ("steps", "data"):
        ended = run(name, pattern.name)
        assert ended.exit_code == 0
        assert ended.stderr == f"harbour.toml: {warning}\n"


def test_data_and_steps_go_to_standard_output_or_to_a_file_alike(pattern: Path) -> None:
    for name, out in (("data", "out.json"), ("steps", "out.txt")):
        written = run(name, pattern.name, "--output", out)
        assert written.stdout == f"{out}: written\n"
        assert run(name, pattern.name).stdout_bytes == pattern.with_name(out).read_bytes()
    assert json.loads(run("data", pattern.name).stdout)["title"] == "Harbour steps"
    steps = run("steps", pattern.name).stdout
    assert steps.startswith("Harbour steps\n")
    assert all(f"\n{part.title}\n---" in steps for part in Part)


def test_default_names_stand_beside_the_pattern(folder: Path) -> None:
    (folder / "deep").mkdir()
    (folder / "deep" / "harbour.v2.toml").write_text(PATTERN, encoding="utf-8")
    for args in (("booklet",), ("card", "--part", "turn"), ("chart", "--part", "leg")):
        assert run(args[0], "deep/harbour.v2.toml", *args[1:]).exit_code == 0
    assert sorted(path.name for path in (folder / "deep").iterdir()) == [
        "harbour.v2-booklet.pdf",
        "harbour.v2-leg-chart.pdf",
        "harbour.v2-turn-card.pdf",
        "harbour.v2.toml",
    ]
    assert [path.name for path in folder.iterdir()] == ["deep"]


def test_booklet_is_a_pdf_of_the_paper_asked_for(pattern: Path) -> None:
    for args, name in (([], "a5"), (["--paper", "half-letter"], "half-letter")):
        ended = run("booklet", pattern.name, *args)
        pdf = PdfReader(pattern.with_name("harbour-booklet.pdf"))
        assert ended.stdout == f"harbour-booklet.pdf: written ({len(pdf.pages)} pages)\n"
        box, paper = pdf.pages[0].mediabox, PAPERS[name]
        assert float(box.width) == pytest.approx(paper.width_mm * 72 / 25.4, abs=0.01)
        assert float(box.height) == pytest.approx(paper.height_mm * 72 / 25.4, abs=0.01)
        assert pdf.metadata
        assert pdf.metadata.title == "Harbour steps"


def test_booklet_on_standard_output_is_the_pdf_and_nothing_else(pattern: Path) -> None:
    ended = start("booklet", pattern.name, "--output", "-", cwd=pattern.parent)
    assert (ended.code, ended.stderr) == (0, "")
    assert len(PdfReader(BytesIO(ended.stdout)).pages) > 8


@pytest.mark.parametrize("part", [part.value for part in Part])
def test_chart_of_each_part_comes_in_the_format_of_its_ending(pattern: Path, part: str) -> None:
    for name in ("a.pdf", "a.svg", "a.PNG"):
        ended = run("chart", pattern.name, "--part", part, "--output", name)
        assert (ended.exit_code, ended.stderr) == (0, "")
    assert len(PdfReader(pattern.with_name("a.pdf")).pages) == 1
    svg = ElementTree.fromstring(pattern.with_name("a.svg").read_bytes())
    assert svg.tag == "{http://www.w3.org/2000/svg}svg"
    with Image.open(pattern.with_name("a.PNG")) as picture:
        assert picture.format == "PNG"


def test_dots_per_inch_make_the_picture_larger(pattern: Path) -> None:
    widths = []
    for dpi in ("50", "100"):
        run("chart", pattern.name, "--part", "toe", "--output", "a.png", "--dpi", dpi)
        with Image.open(pattern.with_name("a.png")) as picture:
            widths.append(picture.width)
    assert widths[1] == pytest.approx(2 * widths[0], abs=2)


def test_picture_of_too_many_dots_is_refused_before_it_takes_the_memory(folder: Path) -> None:
    text = 'title = "Wide"\nloom = { pegs = 120, spacing = "1/4 in" }\nleg = { panel = "m" }\n'
    rows = "\n".join(("kp" * 26)[at % 2 :][:50] for at in range(0, 60, 1))
    path = folder / "wide.toml"
    path.write_text(f'{text}[motif.m]\nrows = """\n{rows}\n"""\n', encoding="utf-8")
    args = ("chart", path.name, "--part", "leg", "--output", "wide.png", "--dpi")
    ended = run(*args, "1200")
    assert (ended.exit_code, ended.stdout) == (2, "")
    told = re.fullmatch(r"--dpi: 1200 dots .*; allowed: 30 to (\d+) for this chart\n", ended.stderr)
    assert told
    assert run(*args, str(int(told[1]) + 1)).exit_code == 2
    assert [each.name for each in folder.iterdir()] == ["wide.toml"]


def test_paper_too_small_is_refused_with_what_would_fit(pattern: Path) -> None:
    ended = run("booklet", pattern.name, "--paper", "a7")
    assert (ended.exit_code, ended.stdout) == (2, "")
    assert ended.stderr.startswith("--paper: ")
    assert "a5" in ended.stderr
    assert not pattern.with_name("harbour-booklet.pdf").exists()


def test_chart_of_several_pages_is_no_picture(folder: Path) -> None:
    text = 'title = "Wide"\nloom = { pegs = 120, spacing = "1/4 in" }\n'
    (folder / "wide.toml").write_text(text, encoding="utf-8")
    args = ("chart", "wide.toml", "--part", "toe", "--paper", "a5", "--output")
    for name in ("toe.svg", "toe.png"):
        ended = run(*args, name)
        assert (ended.exit_code, ended.stdout) == (2, "")
        assert re.fullmatch(
            r"--paper: the chart takes \d+ pages .*; try: leave --paper out, or write a \.pdf\n",
            ended.stderr,
        )
    assert run(*args, "toe.pdf").exit_code == 0
    assert len(PdfReader(folder / "toe.pdf").pages) > 1


def test_part_that_the_sock_does_not_have_is_refused(folder: Path) -> None:
    text = 'title = "Footlet"\nloom = { pegs = 24, spacing = "5/8 in" }\nleg = { rows = 0 }\n'
    (folder / "footlet.toml").write_text(text, encoding="utf-8")
    for name in ("card", "chart"):
        ended = run(name, "footlet.toml", "--part", "leg")
        assert (ended.exit_code, ended.stdout) == (2, "")
        assert ended.stderr == (
            "--part: this sock has no leg; allowed: cuff, flap, turn, foot, toe or closing\n"
        )


# Help.


def all_commands() -> Iterator[tuple[str, click.Command]]:
    with click.Context(program) as context:
        for name in program.list_commands(context):
            command = program.get_command(context, name)
            assert command is not None
            yield name, command


def made_for_examples(pattern: Path) -> None:
    """The files beside the pattern that the examples of the help name."""
    again = pattern.read_text(encoding="utf-8")
    pattern.with_name("harbour-2.toml").write_text(again, encoding="utf-8")
    pattern.with_name("tuesday.csv").write_text("who\nStudent A\n", encoding="utf-8")
    shutil.copy(ROOT / "samples" / "looms.toml", pattern.with_name("looms.toml"))
    run("booklet", pattern.name)


@pytest.mark.parametrize("name", [name for name, _ in all_commands()])
def test_help_of_each_command_has_an_example_that_works(pattern: Path, name: str) -> None:
    ended = run(name, "--help")
    assert (ended.exit_code, ended.stderr) == (0, "")
    example = re.search(r"Example:\n +pegfolio (.*)\n", ended.stdout)
    assert example
    words = [word.strip('"') for word in re.findall(r'"[^"]*"|\S+', example[1])]
    assert words[0] == name
    made_for_examples(pattern)
    done = run(*words)
    assert (done.exit_code, done.stderr) == (0, "")
    assert pattern.exists()


@pytest.mark.parametrize(
    ("args", "name"),
    [
        (("booklet",), "harbour-booklet.pdf"),
        (("card", "--part", "turn"), "harbour-turn-card.pdf"),
        (("chart", "--part", "leg"), "harbour-leg-chart.pdf"),
    ],
)
def test_help_states_the_default_name(pattern: Path, args: tuple[str, ...], name: str) -> None:
    assert f"harbour.toml -> {name}" in " ".join(run(args[0], "--help").stdout.split())
    run(args[0], pattern.name, *args[1:])
    assert pattern.with_name(name).exists()


def test_every_command_is_documented_in_the_readme_and_no_other() -> None:
    readme = (TOP / "README.md").read_text(encoding="utf-8")
    section = re.search(r"^## Commands\n(.*?)^## ", readme, re.MULTILINE | re.DOTALL)
    assert section
    assert re.findall(r"^\| `pegfolio ([a-z]+)\b", section[1], re.MULTILINE) == [
        name for name, _ in all_commands()
    ]


def test_help_lists_every_command_and_the_exit_codes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    ended = run("--help")
    assert re.findall(r"^  ([a-z]+)  +\w", ended.stdout, re.MULTILINE) == [
        name for name, _ in all_commands()
    ]
    assert "..." not in ended.stdout.partition("Commands:")[2]
    assert all(f" {code} " in " ".join(ended.stdout.split()) for code in (0, 1, 2))


def test_version_is_the_packages() -> None:
    assert run("--version").stdout == f"pegfolio {__version__}\n"


# The same bytes each time.

EVERY_OUTPUT = (
    ("check", "FILE"),
    ("steps", "FILE"),
    ("data", "FILE"),
    ("booklet", "FILE", "--output", "OUT.pdf"),
    ("card", "FILE", "--part", "turn", "--output", "OUT.pdf"),
    ("chart", "FILE", "--part", "leg", "--output", "OUT.pdf"),
    ("chart", "FILE", "--part", "leg", "--output", "OUT.svg"),
    ("chart", "FILE", "--part", "leg", "--output", "OUT.png"),
    ("new", "--pegs", "36", "--spacing", "3/8 in", "--output", "OUT.toml"),
)


@pytest.mark.parametrize("args", EVERY_OUTPUT, ids=" ".join)
def test_output_is_the_same_whatever_the_hash_seed_time_zone_locale_and_folder(
    tmp_path: Path, args: tuple[str, ...]
) -> None:
    outputs = []
    surroundings = (
        ("here", "0", "UTC", "C.UTF-8", "1"),
        ("there/deeper", "4242", "Pacific/Kiritimati", "de_DE.UTF-8", "1"),
        ("ascii", "7", "America/St_Johns", "POSIX", "0"),
    )
    for place, seed, zone, locale, utf8 in surroundings:
        folder = tmp_path / place
        folder.mkdir(parents=True)
        (folder / "harbour.toml").write_text(PATTERN, encoding="utf-8")
        words = [word.replace("FILE", "harbour.toml").replace("OUT", "out") for word in args]
        ended = start(
            *words,
            cwd=folder,
            PYTHONHASHSEED=seed,
            TZ=zone,
            LC_ALL=locale,
            PYTHONUTF8=utf8,
            PYTHONCOERCECLOCALE=utf8,
        )
        assert (ended.code, ended.stderr) == (0, "")
        written = [path for path in folder.iterdir() if path.name.startswith("out")]
        outputs.append((ended.stdout, [path.read_bytes() for path in written]))
    assert outputs[0] == outputs[1] == outputs[2]
    stdout, files = outputs[0]
    assert b"".join(files) or stdout
    assert str(tmp_path).encode() not in stdout + b"".join(files)


# Quick to load.

HEAVY = ("reportlab", "pikepdf", "pypdfium2", "PIL", "importlib.metadata", "fractions", "decimal")
LIGHT_COMMANDS = (
    ("--help",),
    ("--version",),
    ("check", "--help"),
    ("booklet", "--help"),
    ("check", "harbour.toml"),
    ("steps", "harbour.toml"),
    ("data", "harbour.toml"),
    ("new", "--pegs", "40", "--spacing", "3/8 in"),
)


def loaded(args: tuple[str, ...]) -> set[str]:
    """The modules that a process has loaded when its command has ended."""
    code = (
        "import sys, runpy\n"
        f"sys.argv = ['pegfolio', *{args!r}]\n"
        "try: runpy.run_module('layouts.cli', run_name='__main__')\n"
        "except SystemExit as ended: assert ended.code == 0, ended.code\n"
        "print(*sys.modules, file=sys.stderr)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, env=environment(), check=True
    )
    return set(done.stderr.decode().split())


@pytest.mark.parametrize("args", LIGHT_COMMANDS, ids=" ".join)
@pytest.mark.usefixtures("pattern")
def test_commands_that_print_nothing_load_no_heavy_library(args: tuple[str, ...]) -> None:
    assert loaded(args).isdisjoint(HEAVY)


@pytest.mark.usefixtures("pattern")
def test_pictures_load_their_libraries_only_then() -> None:
    booklet = loaded(("booklet", "harbour.toml"))
    assert "reportlab" in booklet
    assert "pypdfium2" not in booklet  # PIL is another matter: reportlab loads it
    assert "pypdfium2" in loaded(("chart", "harbour.toml", "--part", "toe", "--output", "a.png"))


def test_missing_click_is_told_in_one_line(folder: Path) -> None:
    code = "import sys; sys.modules['click'] = None; import layouts.cli; layouts.cli.main()"
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        env=environment(),
        cwd=folder,
        check=False,
    )
    assert (done.returncode, done.stdout) == (2, b"")
    assert done.stderr == b"pegfolio: the library 'click' is missing; try: pip install click\n"


def test_entry_point_is_the_program() -> None:
    project = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert project["scripts"] == {"pegfolio": "layouts.cli:main"}
    assert callable(layouts.cli.main)
    done = subprocess.run(command("--version"), capture_output=True, env=environment(), check=True)
    assert done.stdout.startswith(b"pegfolio ")


# Progress.


class Screen:
    """Standard error, as a terminal or not."""

    def __init__(self, *, terminal: bool) -> None:
        self.terminal = terminal
        self.shown = ""

    def isatty(self) -> bool:
        return self.terminal

    def write(self, text: str) -> None:
        self.shown += text

    def flush(self) -> None:
        pass


@pytest.mark.parametrize(
    ("terminal", "slow", "shown"),
    [(True, True, "drawing …\n"), (True, False, ""), (False, True, "")],
)
def test_progress_is_told_to_a_terminal_and_only_when_it_takes_long(
    monkeypatch: pytest.MonkeyPatch, terminal: bool, slow: bool, shown: str
) -> None:
    import time

    screen = Screen(terminal=terminal)
    monkeypatch.setattr(sys, "stderr", screen)
    monkeypatch.setattr("layouts.commands.progress.AFTER_S", 0.05)
    with progress("drawing"):
        time.sleep(0.3 if slow else 0)
    time.sleep(0.1)
    assert screen.shown == shown
