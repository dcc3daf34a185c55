"""`new`: by options, by asking, and never in the way of what is there."""

from __future__ import annotations

import doctest
import fcntl
import os
import pty
import select
import subprocess
import termios
from pathlib import Path

import pytest

from charts.pattern_file import read_pattern
from cli.running import command, environment, run, wait_until_reading
from layouts.commands import words

ASKED = ("--pegs", "36", "--spacing", "3/8 in")


def test_options_alone_make_a_pattern_that_check_accepts(folder: Path) -> None:
    ended = run("new", "--title", "Harbour steps", *ASKED, "--knit", "u-wrap")
    assert (ended.exit_code, ended.stderr) == (0, "")
    assert [path.name for path in folder.iterdir()] == ["harbour-steps.toml"]
    spec = read_pattern((folder / "harbour-steps.toml").read_text(encoding="utf-8"))
    assert (spec.title, spec.loom.pegs, spec.loom.spacing_mm) == ("Harbour steps", 36, 9.525)
    assert spec.knit == "u-wrap"
    assert run("check", "harbour-steps.toml").exit_code == 0


def test_title_and_knit_have_defaults(folder: Path) -> None:
    assert run("new", *ASKED).exit_code == 0
    spec = read_pattern((folder / "sock-on-36-pegs.toml").read_text(encoding="utf-8"))
    assert (spec.title, spec.knit) == ("Sock on 36 pegs", "flat")


@pytest.mark.parametrize(
    ("args", "missing"),
    [
        ([], "--pegs and --spacing"),
        (["--pegs", "40"], "--spacing"),
        (["--spacing", "1 cm", "--title", "T"], "--pegs"),
    ],
)
def test_without_a_terminal_it_names_what_is_missing_and_waits_for_nothing(
    folder: Path, args: list[str], missing: str
) -> None:
    reading, writing = os.pipe()  # nothing ever comes through it
    try:
        ended = subprocess.run(
            command("new", *args),
            stdin=reading,
            capture_output=True,
            env=environment(),
            timeout=30,
            check=False,
        )
    finally:
        os.close(reading)
        os.close(writing)
    assert (ended.returncode, ended.stdout) == (2, b"")
    line = ended.stderr.decode()
    assert line.startswith(f"pegfolio new: missing {missing}; there is no terminal to ask at")
    assert line.count("\n") == 1
    assert list(folder.iterdir()) == []


def test_impossible_choices_are_told_by_their_options_all_at_once(folder: Path) -> None:
    args = ("--title", "", "--pegs", "7", "--spacing", "3", "--knit", "flap")
    ended = run("new", *args)
    assert (ended.exit_code, ended.stdout) == (2, "")
    options = [line.split(":")[0] for line in ended.stderr.splitlines()]
    assert sorted(options) == ["--knit", "--pegs", "--spacing", "--title"]
    assert '"flat"' in ended.stderr
    assert list(folder.iterdir()) == []


def test_title_that_cannot_be_printed_is_refused(folder: Path) -> None:
    ended = run("new", "--title", "✂", *ASKED)
    assert ended.exit_code == 2
    assert ended.stderr.startswith("--title: the fonts we print with have no '✂'")
    assert list(folder.iterdir()) == []


def test_title_of_other_letters_gives_a_plain_file_name(folder: Path) -> None:
    assert run("new", "--title", "Żółte & Größe/..", *ASKED).exit_code == 0
    assert [path.name for path in folder.iterdir()] == ["zote-grosse.toml"]


def test_file_that_is_there_stays_unless_told(folder: Path) -> None:
    path = folder / "mine.toml"
    path.write_text("precious", encoding="utf-8")
    ended = run("new", *ASKED, "--output", "mine.toml")
    assert (ended.exit_code, ended.stdout) == (2, "")
    assert ended.stderr == "mine.toml: there is such a file already; try: --replace\n"
    assert path.read_text(encoding="utf-8") == "precious"
    assert run("new", *ASKED, "--output", "mine.toml", "--replace").exit_code == 0
    assert read_pattern(path.read_text(encoding="utf-8")).loom.pegs == 36


def test_standard_output_gets_the_pattern_and_nothing_else(folder: Path) -> None:
    ended = run("new", *ASKED, "--output", "-")
    assert (ended.exit_code, ended.stderr) == (0, "")
    assert read_pattern(ended.stdout).loom.pegs == 36
    assert list(folder.iterdir()) == []


def at_a_terminal(args: list[str], answers: list[bytes]) -> tuple[int, str, bytes]:
    """Exit code, what was asked on the terminal, and standard output, given one answer a prompt."""
    ours, theirs = pty.openpty()
    process = subprocess.Popen(
        command("new", *args),
        stdin=theirs,
        stdout=subprocess.PIPE,
        stderr=theirs,
        env=environment(TERM="dumb"),
        start_new_session=True,
        preexec_fn=lambda: fcntl.ioctl(0, termios.TIOCSCTTY, 0),  # so that Ctrl-C reaches it
    )
    os.close(theirs)
    shown = b""
    waiting = list(answers)
    while select.select([ours], [], [], 30)[0]:
        try:
            shown += os.read(ours, 1000)
        except OSError:  # the other end is closed
            break
        if waiting and shown.endswith(b": "):
            wait_until_reading(process)  # Python can lose a Ctrl-C in between
            os.write(ours, waiting.pop(0))
            shown += b"<answered>"
    try:
        stdout, _ = process.communicate(timeout=30)
    finally:
        process.kill()
        os.close(ours)
    return process.returncode, shown.decode(), stdout


def test_terminal_is_asked_for_what_the_options_leave_open(folder: Path) -> None:
    code, shown, stdout = at_a_terminal(
        ["--spacing", "3/8 in"], [b"forty\n", b"40\n", b"\n", b"Dune path\n"]
    )
    assert code == 0
    assert "From peg to peg" not in shown
    assert shown.count("Pegs of the loom") == 2
    assert "[flat]" in shown
    assert "[Sock on 40 pegs]" in shown
    assert b"dune-path.toml: written" in stdout
    spec = read_pattern((folder / "dune-path.toml").read_text(encoding="utf-8"))
    assert (spec.title, spec.loom.pegs, spec.knit) == ("Dune path", 40, "flat")


def test_answers_that_a_pattern_may_not_hold_are_asked_again(folder: Path) -> None:
    code, shown, _ = at_a_terminal(
        [], [b"7\n", b"24\n", b"3\n", b"5/8 in\n", b"purl\n", b"e-wrap\n", b"\n"]
    )
    assert code == 0
    assert "16 to 120" in shown
    assert "a length needs a unit" in shown
    spec = read_pattern((folder / "sock-on-24-pegs.toml").read_text(encoding="utf-8"))
    assert (spec.loom.pegs, spec.loom.spacing_text, spec.knit) == (24, "5/8 in", "e-wrap")


@pytest.mark.parametrize("answer", [b"\x03", b"\x04"], ids=["Ctrl-C", "Ctrl-D"])
def test_interrupted_question_ends_with_130_and_no_file(folder: Path, answer: bytes) -> None:
    code, shown, stdout = at_a_terminal([], [answer])
    assert code == 130
    assert "Traceback" not in shown
    assert stdout == b""
    assert list(folder.iterdir()) == []


def test_doctests_hold() -> None:
    results = doctest.testmod(words)
    assert results.attempted >= 1
    assert results.failed == 0
