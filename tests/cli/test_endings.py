"""Whatever goes wrong ends in the right exit code and one clear line, and nothing is written."""

from __future__ import annotations

import os
import pty
import re
import signal
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import charts.knitted
import layouts.booklet
import layouts.faces
from charts.plan import Plan
from charts.rows import Row, Rows
from charts.sock import make_rows
from charts.virtual_loom import knit_on_loom
from cli.running import PATTERN, command, environment, run, start, wait_until_reading
from layouts.faces import Face

ON_A_PATTERN = (
    ("check",),
    ("booklet",),
    ("card", "--part", "turn"),
    ("chart", "--part", "toe"),
    ("steps",),
    ("data",),
)
"""Every command that reads a pattern, with what it needs besides."""


ENDINGS = {"steps": ".txt", "data": ".json", "new": ".toml"}
"""Of what a command writes, where it is not a .pdf."""


def out(command: str, stem: str = "out") -> str:
    """The name of a file that the command would write."""
    return stem + ENDINGS.get(command, ".pdf")


def unchanged(pattern: Path, text: str = PATTERN) -> None:
    """The pattern is as it was and nothing else is in its folder."""
    assert pattern.read_text(encoding="utf-8") == text
    assert [path.name for path in pattern.parent.iterdir()] == [pattern.name]


@pytest.mark.parametrize("args", ON_A_PATTERN)
def test_good_pattern_ends_with_0_and_no_word_of_trouble(
    pattern: Path, args: tuple[str, ...]
) -> None:
    ended = run(args[0], pattern.name, *args[1:])
    assert (ended.exit_code, ended.stderr) == (0, "")
    assert ended.stdout


@pytest.mark.parametrize("args", ON_A_PATTERN)
def test_pattern_from_standard_input_is_read_too(folder: Path, args: tuple[str, ...]) -> None:
    output = ["--output", "out.pdf"] if args[0] in ("booklet", "card", "chart") else []
    ended = run(args[0], "-", *args[1:], *output, stdin=PATTERN)
    assert (ended.exit_code, ended.stderr) == (0, "")
    assert [path.name for path in folder.iterdir()] == output[1:]


# Usage, input and output: exit code 2, one line.

USAGE = [
    ([], "Usage: pegfolio"),
    (
        ["chek"],
        r"pegfolio: there is no command 'chek'; allowed: new, .*; try: check",
    ),
    (["--colour"], r"pegfolio: No such option '?--colour'?; see: pegfolio --help"),
    (["check"], r"pegfolio check: Missing argument 'FILE'; see: pegfolio check --help"),
    (["check", "harbour.toml", "more"], r"pegfolio check: .*unexpected extra argument.*more.*"),
    (["check", "harbor.toml"], r"harbor\.toml: there is no such file; try: harbour\.toml"),
    (["check", "harbour"], r"harbour: there is no such file; try: harbour\.toml"),
    (["check", ""], r".*cannot be read: is a directory"),
    (["check", "."], r"\.: cannot be read: is a directory"),
    (["check", "harbour.toml/x"], r"harbour\.toml/x: cannot be read: not a directory"),
    (["check", "a" * 300], r"a{300}: cannot be read: file name too long"),
    (["check", "no\nsuch\x1b[2J"], r"no\\nsuch\\x1b\[2J: there is no such file"),
    (["chart", "harbour.toml"], r"pegfolio chart: Missing option '--part'.*"),
    (
        ["card", "harbour.toml", "--part", "tow"],
        r"--part: 'tow' is no part; "
        r"allowed: cuff, leg, flap, turn, foot, toe, closing, grafting, key or all; try: toe",
    ),
    (
        ["booklet", "harbour.toml", "--paper", "a55"],
        r"--paper: unknown paper 'a55'; allowed: .*a5.*half-letter.*",
    ),
    (["booklet", "harbour.toml", "--paper", "1 x 1 mm"], r"--paper: .*50 to 1000 mm"),
    (["booklet", "harbour.toml", "--paper", "148 x 210"], r"--paper: .*; try: 148 x 210 mm"),
    (
        ["card", "harbour.toml", "--paper", "50 x 50 mm"],
        r"--paper: a card of 50 x 50 mm is too small (?!.* -\d).*; there are \d+ x \d+ mm; .*",
    ),
    (["booklet", "-"], r"--output: a pattern without a file .*; try: --output sock-booklet\.pdf"),
    (["booklet", "."], r"\.: cannot be read: is a directory"),
    (["card", "/"], r"/: cannot be read: is a directory"),
    (["booklet", "harbour.toml", "--output", ""], r"--output: the name is empty.*"),
    (
        ["booklet", "harbour.toml", "--units", "mm"],
        r"--units: 'mm' is none of them; allowed: cm, in or both",
    ),
    (["loom", "--units", "mm"], r"--units: 'mm' is none of them; allowed: cm, in or both"),
    (
        ["chart", "harbour.toml", "--part", "leg", "--part", "toe"],
        r"--part: 2 parts are asked for, and this is of one; try: run it once for each part",
    ),
    (
        ["sizes", "harbour.toml", "--paper", "a5"],
        r"--paper: the paper makes no difference to standard output; try: .*\.pdf",
    ),
    (
        ["sizes", "harbour.toml", "--paper", "a5", "--output", "a.csv"],
        r"--paper: the paper makes no difference to a \.csv; try: .*\.pdf",
    ),
    (
        ["changes", "harbour.toml", "harbour.toml", "--paper", "a5", "--output", "a.txt"],
        r"--paper: the paper makes no difference to a \.txt; try: .*\.pdf",
    ),
    (
        ["booklet", "harbour.toml", "--output", "a.doc"],
        r"a\.doc: cannot write '\.doc'; allowed: \.pdf; try: a\.pdf",
    ),
    (
        ["chart", "harbour.toml", "--part", "leg", "--output", "leg.gif"],
        r"leg\.gif: cannot write '\.gif'; allowed: \.pdf, \.png or \.svg; try: leg\.pdf",
    ),
    (
        ["chart", "harbour.toml", "--part", "leg", "--output", "leg"],
        r"leg: the ending is missing; allowed: \.pdf, \.png or \.svg; try: leg\.pdf",
    ),
    (
        ["chart", "harbour.toml", "--part", "leg", "--output", "-"],
        r"--output: standard output has no ending that tells the format; allowed: .*\.svg",
    ),
    (
        ["chart", "harbour.toml", "--part", "leg", "--output", "leg.svg", "--dpi", "90"],
        r"--dpi: dots per inch make no difference to a \.svg; try: .*\.png",
    ),
    (
        ["chart", "harbour.toml", "--part", "leg", "--dpi", "5"],
        r"--dpi: 5 is too small; allowed: a whole number from 30 to 1200",
    ),
    (
        ["chart", "harbour.toml", "--part", "leg", "--dpi", "1e3"],
        r"--dpi: '1e3' is not a whole number; allowed: a whole number from 30 to 1200",
    ),
    (
        ["card", "harbour.toml", "--sock", "3"],
        r"--sock: 3 is too large; allowed: a whole number from 1 to 2",
    ),
    (
        ["new", "--pegs", "40.5", "--spacing", "3/8 in"],
        r"--pegs: '40\.5' is not a whole number; allowed: a whole number from 16 to 120",
    ),
    (
        ["new", "--pegs", "40", "--spacing", "3/8 in", "--output", "sock.pdf"],
        r"sock\.pdf: cannot write '\.pdf'; allowed: \.toml; try: sock\.toml",
    ),
    (
        ["steps", "harbour.toml", "--output", "a.pdf"],
        r"a\.pdf: cannot write '\.pdf'; allowed: \.txt; try: a\.txt",
    ),
    (
        ["data", "harbour.toml", "--output", "a.csv"],
        r"a\.csv: cannot write '\.csv'; allowed: \.json; try: a\.json",
    ),
    (["data", "harbour.toml", "--output", "."], r"\.: cannot be written: it is a folder.*"),
    (["data", "harbour.toml", "--output", "no/a.json"], r"no/a\.json: .*no folder no;.*"),
    (["data", "harbour.toml", "--output", "harbour.toml/a"], r"harbour\.toml/a: .*not a directory"),
    (
        ["steps", "harbour.toml", "--output", "harbour.toml"],
        r"harbour\.toml: this is the name of a.*",
    ),
]


@pytest.mark.parametrize(("args", "said"), USAGE)
def test_wrong_usage_ends_with_2_and_one_line(pattern: Path, args: list[str], said: str) -> None:
    ended = run(*args)
    assert (ended.exit_code, ended.stdout) == (2, "")
    if args:
        assert re.fullmatch(said + "\n", ended.stderr), ended.stderr
    else:
        assert ended.stderr.startswith(said)
    unchanged(pattern)


@pytest.mark.parametrize("args", ON_A_PATTERN[1:])
def test_unwritable_output_is_told_before_the_pattern_is_worked_on(
    pattern: Path, args: tuple[str, ...]
) -> None:
    pattern.write_text(MANY_PROBLEMS, encoding="utf-8")
    ended = run(args[0], pattern.name, *args[1:], "--output", f"no/{out(args[0])}")
    assert (ended.exit_code, ended.stdout) == (2, "")
    assert ended.stderr.startswith(f"no/{out(args[0])}: cannot be written: there is no folder no")


@pytest.mark.parametrize("args", [*ON_A_PATTERN[1:], ("new", "--pegs", "40", "--spacing", "1 cm")])
def test_output_that_cannot_be_written_leaves_what_was_there(
    pattern: Path, monkeypatch: pytest.MonkeyPatch, args: tuple[str, ...]
) -> None:
    name = out(args[0])
    old = pattern.with_name(name)
    old.write_bytes(b"old")
    file = [] if args[0] == "new" else [pattern.name]
    replace_it = ["--replace"] if args[0] == "new" else []

    def fail(*_: object) -> None:
        raise OSError(5, "Input/output error")

    monkeypatch.setattr(os, "fsync", fail)
    ended = run(args[0], *file, *args[1:], "--output", name, *replace_it)
    assert (ended.exit_code, ended.stdout) == (2, "")
    assert ended.stderr == f"{name}: cannot be written: input/output error\n"
    assert old.read_bytes() == b"old"
    assert {path.name for path in pattern.parent.iterdir()} == {"harbour.toml", name}


@pytest.mark.parametrize("args", ON_A_PATTERN[1:])
def test_pattern_is_never_written_over_under_any_name(pattern: Path, args: tuple[str, ...]) -> None:
    name = out(args[0], "link")
    pattern.with_name(name).symlink_to(pattern)
    ended = run(args[0], pattern.name, *args[1:], "--output", name)
    assert (ended.exit_code, ended.stdout) == (2, "")
    assert ended.stderr.startswith(f"{name}: this is the pattern itself; try: ")
    assert pattern.read_text(encoding="utf-8") == PATTERN


def test_file_that_grows_too_large_leaves_what_was_there(pattern: Path) -> None:
    old = pattern.with_name("out.json")
    old.write_bytes(b"old")
    # The shell's limit on the size of files, in its own unit: far less than the data take.
    arguments = command("data", pattern.name, "--output", "out.json")
    ended = subprocess.run(
        ["sh", "-c", 'ulimit -f 4; exec "$@"', "sh", *arguments],
        capture_output=True,
        env=environment(),
        check=False,
    )
    assert (ended.returncode, ended.stdout) == (2, b"")
    assert ended.stderr == b"out.json: cannot be written: file too large\n"
    assert old.read_bytes() == b"old"
    assert {path.name for path in pattern.parent.iterdir()} == {"harbour.toml", "out.json"}


@pytest.mark.parametrize("args", ON_A_PATTERN)
def test_huge_file_is_refused_and_not_read_to_its_end(folder: Path, args: tuple[str, ...]) -> None:
    with (folder / "huge.toml").open("wb") as file:
        file.truncate(50_000_000)
    ended = run(args[0], "huge.toml", *args[1:])
    assert (ended.exit_code, ended.stdout) == (1, "")
    # One byte more than is allowed is read, to tell that there are more.
    assert re.fullmatch(r"huge\.toml: the file is 1,000,001 bytes long.*\n", ended.stderr)
    assert [path.name for path in folder.iterdir()] == ["huge.toml"]


def test_closed_standard_input_is_told(folder: Path) -> None:
    ended = subprocess.run(
        ["sh", "-c", 'exec "$@" <&-', "sh", *command("check", "-")],
        capture_output=True,
        env=environment(),
        cwd=folder,
        check=False,
    )
    assert (ended.returncode, ended.stdout) == (2, b"")
    assert ended.stderr == b"standard input: it is closed; try: name a file\n"


@pytest.mark.parametrize("args", ON_A_PATTERN)
@pytest.mark.usefixtures("folder")
def test_missing_file_ends_with_2(args: tuple[str, ...]) -> None:
    ended = run(args[0], "none.toml", *args[1:])
    assert (ended.exit_code, ended.stdout) == (2, "")
    assert ended.stderr == "none.toml: there is no such file\n"


# Problems of the pattern: exit code 1, a line each.

MANY_PROBLEMS = """\
title = "Harbour steps"

[loom]
pegs = 40
spacing = "3/8 in"

[heel]
pegs = 25
flap_rows = 17

[toe]
side = 40
"""


@pytest.mark.parametrize("args", ON_A_PATTERN)
def test_all_problems_of_meaning_come_with_file_line_and_key(
    folder: Path, args: tuple[str, ...]
) -> None:
    path = folder / "harbour.toml"
    path.write_text(MANY_PROBLEMS, encoding="utf-8")
    ended = run(args[0], path.name, *args[1:])
    assert (ended.exit_code, ended.stdout) == (1, "")
    places = [line.split(": ")[:2] for line in ended.stderr.splitlines()]
    assert places == [
        ["harbour.toml:8", "heel.pegs"],
        ["harbour.toml:9", "heel.flap_rows"],
        ["harbour.toml:12", "toe.side"],
    ]
    assert all("; allowed: " in line and "; try: " in line for line in ended.stderr.splitlines())
    unchanged(path, MANY_PROBLEMS)


def test_problem_of_a_key_that_is_not_there_is_placed_at_its_table(folder: Path) -> None:
    text = 'title = "x"\nloom = { pegs = 30, spacing = "3/8 in" }\n\n[cuff]\nrows = 12\n'
    (folder / "a.toml").write_text(text, encoding="utf-8")
    ended = run("check", "a.toml")
    assert ended.exit_code == 1
    assert ended.stderr.startswith("a.toml:4: cuff.rib: ")


def test_problem_in_standard_input_names_it_and_the_line() -> None:
    ended = run("check", "-", stdin=MANY_PROBLEMS)
    assert ended.exit_code == 1
    assert ended.stderr.splitlines()[0].startswith("standard input:8: heel.pegs: ")


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"title = \n", r"a\.toml:1: .*"),
        (b"\xff\xfet\x00", r"a\.toml: .*UTF-16.*UTF-8"),
        (b'title = "\xe9"\n', r"a\.toml:1: .*not UTF-8.*"),
        (b"\x00", r"a\.toml:1: .*zero byte.*"),
        (b"[" * 3000, r"a\.toml:1: .*"),
        (b"title = " + b"9" * 5000, r"a\.toml:1: .*digits.*"),
    ],
)
def test_file_that_is_no_toml_is_one_problem(folder: Path, data: bytes, said: str) -> None:
    (folder / "a.toml").write_bytes(data)
    ended = run("check", "a.toml")
    assert (ended.exit_code, ended.stdout) == (1, "")
    assert re.fullmatch(said + "\n", ended.stderr)


@pytest.mark.parametrize("args", ON_A_PATTERN)
def test_character_that_the_fonts_lack_is_a_problem_of_the_pattern(
    folder: Path, args: tuple[str, ...]
) -> None:
    text = PATTERN.replace("Harbour", "Harbour ✂").replace("Class of", "教室 Class of")
    path = folder / "a.toml"
    path.write_text(text, encoding="utf-8")
    ended = run(args[0], path.name, *args[1:])
    assert (ended.exit_code, ended.stdout) == (1, "")
    lines = ended.stderr.splitlines()
    assert lines[0].startswith("a.toml:1: title: the fonts we print with have no '✂' (U+2702 ")
    assert [line.split(": ")[1] for line in lines] == ["title", "designer", "designer"]
    unchanged(path, text)


@pytest.mark.parametrize("face", Face)
def test_character_must_be_in_both_text_fonts(
    pattern: Path, monkeypatch: pytest.MonkeyPatch, face: Face
) -> None:
    def lacks_o_umlaut(text: str, asked: Face = Face.REGULAR) -> str:
        return "ö" if "ö" in text and asked is face else ""

    monkeypatch.setattr(layouts.faces, "missing_characters", lacks_o_umlaut)
    pattern.write_text(PATTERN.replace("Class", "Clöss"), encoding="utf-8")
    ended = run("check", pattern.name)
    if face is Face.SYMBOLS:
        assert ended.exit_code == 0
    else:
        assert ended.exit_code == 1
        assert ended.stderr.startswith("harbour.toml:2: designer: the fonts we print with have no")


def test_european_letters_and_fractions_are_printed(folder: Path) -> None:
    text = PATTERN.replace("Harbour steps", "Żółć, Größe, œuvre ½ × ⅜ – „…“").replace("3/8", "⅜")
    (folder / "a.toml").write_text(text, encoding="utf-8")
    assert run("check", "a.toml").exit_code == 0


@pytest.mark.parametrize("args", ON_A_PATTERN)
def test_sock_that_does_not_knit_is_our_fault_and_is_not_printed(
    pattern: Path, monkeypatch: pytest.MonkeyPatch, args: tuple[str, ...]
) -> None:
    def spoilt(plan: Plan) -> Rows:
        rows = make_rows(plan)
        index = next(i for i, event in enumerate(rows.events) if isinstance(event, Row))
        row = rows.events[index]
        assert isinstance(row, Row)
        dropped = replace(row, pegs=row.pegs[:-1], stitches=row.stitches[:-1])
        return replace(rows, events=(*rows.events[:index], dropped, *rows.events[index + 1 :]))

    monkeypatch.setattr(charts.knitted, "make_rows", spoilt)
    ended = run(args[0], pattern.name, *args[1:])
    assert (ended.exit_code, ended.stdout) == (1, "")
    *faults, last = ended.stderr.splitlines()
    assert "this is a fault of pegfolio, nothing was printed" in last
    assert len(faults) > 1
    assert any("cuff, row 1" in fault for fault in faults)
    unchanged(pattern)


def test_second_sock_is_knitted_as_well(pattern: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    knitted: list[str] = []

    def watched(plan: Plan) -> Rows:
        rows = make_rows(plan)
        assert knit_on_loom(rows).faults == ()
        motif = plan.spec.motifs["gulls"]
        knitted.append(motif.rows[0])
        return rows

    monkeypatch.setattr(charts.knitted, "make_rows", watched)
    ended = run("check", pattern.name)
    assert ended.stdout.endswith(", on both socks; --sock 2 is the one with mirrored cables\n")
    assert knitted == ["pkRlkp", "pkrLkp"]


# Signals, pipes and streams.

WRITING_TO_STDOUT = (
    ("--help",),
    ("check", "harbour.toml"),
    ("steps", "harbour.toml"),
    ("sizes", "harbour.toml"),
    ("booklet", "harbour.toml", "--output", "-"),
    ("data", "harbour.toml"),
    ("new", "--pegs", "40", "--spacing", "3/8 in", "--output", "-"),
)
"""Little and much, text and bytes."""


@pytest.mark.parametrize("args", WRITING_TO_STDOUT)
@pytest.mark.usefixtures("pattern")
def test_reader_that_goes_away_ends_it_without_a_word(args: tuple[str, ...]) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    try:
        ended = subprocess.run(
            command(*args),
            stdout=writing,
            stderr=subprocess.PIPE,
            env=environment(),
            check=False,
        )
    finally:
        os.close(writing)
    assert (ended.returncode, ended.stderr) == (141, b"")


@pytest.mark.parametrize("args", WRITING_TO_STDOUT)
@pytest.mark.usefixtures("pattern")
def test_full_disk_behind_standard_output_is_told_in_one_line(args: tuple[str, ...]) -> None:
    with Path("/dev/full").open("wb") as full:
        ended = subprocess.run(
            command(*args), stdout=full, stderr=subprocess.PIPE, env=environment(), check=False
        )
    assert ended.returncode == 2
    assert re.fullmatch(rb"standard output: .*no space left on device\n", ended.stderr)


def test_closed_standard_output_is_told_in_one_line(pattern: Path) -> None:
    ended = subprocess.run(
        ["sh", "-c", 'exec "$@" >&-', "sh", *command("data", pattern.name)],
        stderr=subprocess.PIPE,
        env=environment(),
        check=False,
    )
    assert ended.returncode == 2
    assert ended.stderr == b"standard output: it is closed; try: --output FILE\n"


@pytest.mark.usefixtures("folder")
def test_closed_standard_error_does_not_change_the_exit_code() -> None:
    ended = subprocess.run(
        ["sh", "-c", 'exec "$@" 2>&-', "sh", *command("check", "none.toml")],
        stdout=subprocess.PIPE,
        env=environment(),
        check=False,
    )
    assert (ended.returncode, ended.stdout) == (2, b"")


@pytest.mark.usefixtures("folder")
def test_standard_error_that_nobody_reads_does_not_change_the_exit_code() -> None:
    reading, writing = os.pipe()
    os.close(reading)
    try:
        ended = subprocess.run(
            command("check", "none.toml"),
            stdout=subprocess.PIPE,
            stderr=writing,
            env=environment(),
            check=False,
        )
    finally:
        os.close(writing)
    assert (ended.returncode, ended.stdout) == (2, b"")


def test_bytes_of_a_booklet_are_not_sent_to_a_terminal(pattern: Path) -> None:
    ours, theirs = pty.openpty()
    try:
        ended = subprocess.run(
            command("booklet", pattern.name, "--output", "-"),
            stdin=subprocess.DEVNULL,
            stdout=theirs,
            stderr=subprocess.PIPE,
            env=environment(),
            timeout=30,  # nobody reads what comes to this terminal
            check=False,
        )
    finally:
        os.close(theirs)
        os.close(ours)
    assert ended.returncode == 2
    assert ended.stderr.startswith(b"standard output: this is no text for a terminal; try: ")


@pytest.mark.usefixtures("folder")
def test_ctrl_c_ends_with_130_and_no_traceback() -> None:
    waiting = subprocess.Popen(
        command("check", "-"),
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=environment(),
    )
    wait_until_reading(waiting)
    waiting.send_signal(signal.SIGINT)
    stdout, stderr = waiting.communicate(timeout=30)
    assert (waiting.returncode, stdout, stderr) == (130, b"", b"pegfolio: stopped\n")


def test_ctrl_c_before_anything_is_loaded_ends_the_same_way(folder: Path) -> None:
    code = """if True:
        import sys
        class Interrupted:
            def find_spec(self, name, *_):
                if name == "layouts.commands.program":
                    raise KeyboardInterrupt
        sys.meta_path.insert(0, Interrupted())
        from layouts.cli import main
        main()
    """
    ended = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        env=environment(),
        cwd=folder,
        check=False,
    )
    assert (ended.returncode, ended.stdout, ended.stderr) == (130, b"", b"pegfolio: stopped\n")


def test_letters_that_the_terminal_cannot_show_do_not_end_it(folder: Path) -> None:
    (folder / "größe.toml").write_text(PATTERN.replace("Harbour", "Łódź"), encoding="utf-8")
    ended = start("check", "größe.toml", cwd=folder, PYTHONIOENCODING="latin-1")
    assert (ended.code, ended.stderr) == (0, "")
    assert ended.stdout.startswith("größe.toml: \\u0141ód\\u017a steps".encode("latin-1"))


def test_file_name_that_is_not_utf_8_is_read_and_shown_harmlessly(folder: Path) -> None:
    name = b"harbour-\xff.toml"
    Path(os.fsdecode(folder), os.fsdecode(name)).write_text(PATTERN, encoding="utf-8")
    ended = subprocess.run(
        [*map(os.fsencode, command("check")), name],
        capture_output=True,
        env=environment(),
        check=False,
    )
    assert (ended.returncode, ended.stderr) == (0, b"")
    assert ended.stdout.startswith(rb"harbour-\udcff.toml: Harbour steps")


def test_steps_and_data_are_utf_8_whatever_the_terminal_speaks(pattern: Path) -> None:
    for name in ("steps", "data"):
        plain = start(name, pattern.name, cwd=pattern.parent)
        other = start(name, pattern.name, cwd=pattern.parent, PYTHONIOENCODING="latin-1")
        assert plain.stdout == other.stdout
        assert "–" in plain.stdout.decode()


# Libraries.


def test_missing_library_of_png_is_told_with_how_to_get_it(
    pattern: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "pypdfium2", None)
    ended = run("chart", pattern.name, "--part", "toe", "--output", "toe.png")
    assert (ended.exit_code, ended.stdout) == (2, "")
    assert re.fullmatch(r".*pypdfium2.*pip install 'pegfolio\[png\]'\n", ended.stderr)
    unchanged(pattern)


def test_without_the_libraries_of_png_all_else_works(
    pattern: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("pypdfium2", "PIL"):
        monkeypatch.setitem(sys.modules, name, None)
    for args in ON_A_PATTERN:
        assert run(args[0], pattern.name, *args[1:]).exit_code == 0
    assert run("chart", pattern.name, "--part", "leg", "--output", "leg.svg").exit_code == 0


@pytest.mark.parametrize(
    ("name", "said"),
    [
        (
            "reportlab.pdfgen",
            "pegfolio: the library 'reportlab' is missing; try: pip install reportlab",
        ),
        (
            "layouts.pdf",
            "pegfolio: 'layouts.pdf' is missing, a part of pegfolio; try: install it again",
        ),
    ],
)
def test_missing_module_is_told_with_how_to_get_it(
    pattern: Path, monkeypatch: pytest.MonkeyPatch, name: str, said: str
) -> None:
    def fail(*_: object, **__: object) -> None:
        raise ModuleNotFoundError(f"No module named {name!r}", name=name)

    monkeypatch.setattr(layouts.booklet, "make_booklet", fail)
    ended = run("booklet", pattern.name)
    assert (ended.exit_code, ended.stdout, ended.stderr) == (2, "", said + "\n")
    unchanged(pattern)


# Any bytes at all.

_lines = st.sampled_from(PATTERN.splitlines(keepends=True))
_broken_patterns = st.lists(_lines | st.text(max_size=20), max_size=12).map("".join)


@settings(max_examples=60, deadline=None)
@given(st.binary(max_size=300) | _broken_patterns.map(lambda text: text.encode(errors="ignore")))
def test_any_bytes_end_with_0_or_with_1_and_a_line_for_each_problem(data: bytes) -> None:
    ended = run("check", "-", stdin=data)
    assert ended.exception is None or isinstance(ended.exception, SystemExit)
    assert ended.exit_code in (0, 1)
    assert (ended.exit_code == 0) == (ended.stderr == "")
    if ended.exit_code:
        assert ended.stdout == ""
        assert all(line.startswith("standard input:") for line in ended.stderr.splitlines())
