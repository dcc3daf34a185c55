"""Work spread over processes: the same packs, the same words for what is wrong, no process left."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from functools import partial
from multiprocessing import active_children
from pathlib import Path

import pytest
from pypdf import PdfReader

from cli.running import PATTERN, command, environment, start
from layouts.commands import cores
from layouts.commands.cores import MOST_CORES, cores_worth, spread
from layouts.commands.refusal import Refusal

ROSTER = "\n".join(
    [
        "who,pegs,notes",
        *(f"Student {n},,like the others" for n in range(1, 12)),
        "Student 12,36,",
        "Student 13,36,another note",
        "Student 14,,ÉÈÀ ½",
    ]
)
"""More people with one sock than are one task, and two who have another ring."""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """With a pattern and a roster."""
    (tmp_path / "harbour.toml").write_text(PATTERN, encoding="utf-8")
    (tmp_path / "tuesday.csv").write_text(ROSTER, encoding="utf-8")
    return tmp_path


def made_on(count: int, folder: Path, *args: str) -> tuple[int, bytes, str, dict[str, bytes]]:
    """Exit code, both streams and every file of a run on so many cores."""
    output = folder / f"on-{count}"
    named = ("class", "harbour.toml", "tuesday.csv", "--output", output.name)
    ended = start(*named, "--cores", str(count), *args, cwd=folder)
    files = {path.name: path.read_bytes() for path in output.iterdir()} if output.exists() else {}
    return ended.code, ended.stdout.replace(output.name.encode(), b"on"), ended.stderr, files


# The class


def test_packs_of_several_cores_are_those_of_one_to_the_byte(folder: Path) -> None:
    alone = made_on(1, folder)
    assert alone[0] == 0
    assert len(alone[3]) == 16
    assert made_on(3, folder) == alone
    bound = PdfReader(folder / "on-3" / "all-packs.pdf")
    assert [entry.title for entry in bound.outline] == [f"Student {n}" for n in range(1, 15)]


def test_what_is_wrong_is_told_in_the_same_words_with_the_same_lines(folder: Path) -> None:
    roster = ROSTER.replace("Student 5,,", "Student 5,9,").replace("Student 12,36", "Student 12,41")
    (folder / "tuesday.csv").write_text(roster, encoding="utf-8")
    code, stdout, stderr, files = alone = made_on(1, folder)
    assert code == 1
    assert "tuesday.csv:6: Student 5: pegs: 9 is too small" in stderr
    assert "tuesday.csv:13: Student 12: " in stderr
    assert b"12 packs written" in stdout
    assert len(files) == 14
    assert made_on(2, folder) == alone


def test_what_a_process_finds_wrong_is_told_at_each_row(folder: Path) -> None:
    code, stdout, stderr, files = alone = made_on(1, folder, "--paper", "60 x 90 mm")
    assert (code, stdout, files) == (1, b"", {})
    lines = stderr.splitlines()
    assert [line.split(":")[1] for line in lines] == [str(n) for n in range(2, 16)]
    assert all("does not fit on the paper: " in line for line in lines)
    assert made_on(2, folder, "--paper", "60 x 90 mm") == alone


ANEW = """
from layouts.commands import cores
cores._copies = lambda: False
from layouts.cli import main
main()
"""
"""The program where processes cannot copy themselves."""


def test_packs_are_the_same_where_processes_start_anew(folder: Path) -> None:
    alone = made_on(1, folder)
    named = ("class", "harbour.toml", "tuesday.csv", "--output", "anew", "--cores", "2")
    run = [sys.executable, "-c", ANEW, *named]
    subprocess.run(run, cwd=folder, env=environment(), check=True, capture_output=True)
    assert {path.name: path.read_bytes() for path in (folder / "anew").iterdir()} == alone[3]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("0", f"--cores: 0 is too small; allowed: a whole number from 1 to {MOST_CORES}"),
        ("65", f"--cores: 65 is too large; allowed: a whole number from 1 to {MOST_CORES}"),
        ("two", "--cores: 'two' is not a whole number"),
    ],
)
def test_number_of_cores_has_limits(folder: Path, words: str, told: str) -> None:
    ended = start("class", "harbour.toml", "tuesday.csv", "--cores", words, cwd=folder)
    assert ended.code == 2
    assert told in ended.stderr


# Endings

linux = pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="needs /proc")


def large_class(folder: Path) -> subprocess.Popen[bytes]:
    """A run on two cores that takes long, when it has written a pack."""
    rows = [f"Student {n},{200 + n % 90}" for n in range(400)]
    (folder / "tuesday.csv").write_text("\n".join(["who,pegs", *map(_on_a_ring, rows)]))
    process = subprocess.Popen(
        command("class", "harbour.toml", "tuesday.csv", "--cores", "2"),
        cwd=folder,
        env=environment(),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        start_new_session=True,
    )
    for _ in range(1500):
        if list(folder.glob("tuesday-packs/*.pdf")):
            return process
        time.sleep(0.02)
    raise AssertionError("it never wrote a pack")


def _on_a_ring(row: str) -> str:
    return f"{row.partition(',')[0]},{(36, 40)[len(row) % 2]}"


def children_of(process: subprocess.Popen[bytes]) -> list[int]:
    text = Path(f"/proc/{process.pid}/task/{process.pid}/children").read_text(encoding="ascii")
    return [int(word) for word in text.split()]


def is_running(pid: int) -> bool:
    """Whether there is such a process that has not ended."""
    try:
        state = Path(f"/proc/{pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()[0]
    except OSError:
        return False
    return state not in "ZX"


def hears_no_ctrl_c(pid: int) -> bool:
    """Whether the process ignores SIGINT, or holds it back: a bit of proc(5)'s masks."""
    lines = Path(f"/proc/{pid}/status").read_text(encoding="ascii").splitlines()
    masks = [int(line.split()[1], 16) for line in lines if line.startswith(("SigBlk", "SigIgn"))]
    return any(mask & 1 << signal.SIGINT - 1 for mask in masks)


def ended_within(pids: list[int], seconds: float) -> bool:
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        if not any(map(is_running, pids)):
            return True
        time.sleep(0.02)
    return False


def files_are_whole(folder: Path) -> bool:
    packs = folder / "tuesday-packs"
    return all(
        path.suffix == ".pdf" and path.read_bytes().rstrip().endswith(b"%%EOF")
        for path in packs.iterdir()
    )


@linux
@pytest.mark.parametrize("everyone", [True, False], ids=["from the terminal", "to the first alone"])
def test_ctrl_c_ends_every_process_and_leaves_whole_files(folder: Path, everyone: bool) -> None:
    process = large_class(folder)
    others = children_of(process)
    assert len(others) == 2
    assert all(map(hears_no_ctrl_c, others))
    if everyone:
        os.killpg(process.pid, signal.SIGINT)
    else:
        process.send_signal(signal.SIGINT)
    stdout, stderr = process.communicate(timeout=20)
    assert (process.returncode, stdout, stderr) == (130, b"", b"pegfolio: stopped\n")
    assert not any(map(is_running, others))
    assert files_are_whole(folder)
    assert not (folder / "tuesday-packs" / "all-packs.pdf").exists()


@linux
@pytest.mark.parametrize("number", [signal.SIGKILL, signal.SIGTERM])
def test_processes_end_by_themselves_when_the_first_is_killed(folder: Path, number: int) -> None:
    process = large_class(folder)
    others = children_of(process)
    assert len(others) == 2
    process.send_signal(number)
    _, stderr = process.communicate(timeout=20)
    assert process.returncode == -number
    assert stderr == b""
    assert ended_within(others, 10.0)


@linux
def test_a_process_that_is_killed_ends_the_run_with_a_word(folder: Path) -> None:
    process = large_class(folder)
    others = children_of(process)
    os.kill(others[0], signal.SIGKILL)
    stdout, stderr = process.communicate(timeout=20)
    assert (process.returncode, stdout) == (2, b"")
    assert stderr.decode() == (
        "pegfolio: one of its processes was ended from outside, for want of memory perhaps; what "
        "was written is whole; try: --cores 1\n"
    )
    assert not any(map(is_running, others))
    assert files_are_whole(folder)


@linux
def test_file_that_cannot_be_written_ends_every_process(folder: Path) -> None:
    (folder / "on-2" / "student-1.pdf").mkdir(parents=True)
    named = ("class", "harbour.toml", "tuesday.csv", "--output", "on-2", "--cores", "2")
    ended = start(*named, cwd=folder)
    assert ended.code == 2
    assert ended.stderr.endswith("it is a folder; try: a file name in it\n")
    assert not list(folder.glob("on-2/.pegfolio-*"))


# Any tasks


copying = pytest.mark.skipif(not hasattr(os, "fork"), reason="processes cannot copy themselves")
WORDS = ("cuff", "leg", "heel", "foot", "toe")
"""Tasks; `list` makes their letters of them."""


@pytest.mark.parametrize(
    "copies",
    [pytest.param(True, marks=copying, id="copied"), pytest.param(False, id="started anew")],
)
def test_every_piece_of_every_task_comes_once_however_processes_start(
    monkeypatch: pytest.MonkeyPatch, copies: bool
) -> None:
    monkeypatch.setattr(cores, "_copies", lambda: copies)
    for count in (1, 2, 4, 9):
        found = list(spread(WORDS, list, cores=count))
        assert sorted(found) == sorted("".join(WORDS))


def test_pieces_of_one_task_keep_their_order() -> None:
    assert list(spread(WORDS, list, cores=1)) == list("".join(WORDS))
    found = list(spread((range(100), range(100, 200)), list, cores=2))
    assert [one for one in found if one < 100] == list(range(100))
    assert [one for one in found if one >= 100] == list(range(100, 200))


def letters(made: list[str], word: str) -> Iterator[str]:
    """Notes each when it is made."""
    for letter in word:
        made.append(letter)
        yield letter


def test_one_core_makes_a_piece_when_it_is_asked_for_and_not_before() -> None:
    made: list[str] = []
    pieces = spread(WORDS, partial(letters, made), cores=1)
    assert made == []
    next(pieces)
    assert made == ["c"]
    pieces.close()


BLOCK = 1_000_000


def blocks(told: Path, number: int) -> Iterator[bytes]:
    """Large pieces; a file tells how many were begun."""
    for _ in range(30):
        with told.open("ab") as file:
            file.write(b".")
        yield bytes([number]) * BLOCK


@copying
def test_processes_wait_for_a_slow_reader(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cores, "_copies", lambda: True)
    told = tmp_path / "begun"
    pieces = spread((1, 2), partial(blocks, told), cores=2)
    for taken in range(1, 8):
        next(pieces)
        time.sleep(0.1)
        # One in each pipe, and one that waits behind it.
        assert told.stat().st_size <= taken + 4
    assert len(active_children()) == 2
    pieces.close()
    assert active_children() == []


@copying
def test_no_process_is_started_where_the_system_allows_none(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def refused() -> int:
        raise BlockingIOError(11, "Resource temporarily unavailable")

    monkeypatch.setattr(os, "fork", refused)
    monkeypatch.setattr(cores, "_copies", lambda: True)
    assert list(spread(WORDS, list, cores=3)) == list("".join(WORDS))


def ends_itself(word: str) -> Iterator[str]:
    yield word
    os._exit(7)


@copying
def test_process_that_ends_too_early_is_a_refusal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cores, "_copies", lambda: True)
    with pytest.raises(Refusal, match="--cores 1"):
        list(spread(WORDS, ends_itself, cores=2))


def test_few_things_stay_on_one_core_and_many_take_all(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cores, "_cores_here", lambda: 4)
    monkeypatch.setattr(cores, "_copies", lambda: True)
    assert [cores_worth(n, least_each=6) for n in (0, 3, 11, 12, 24, 1000)] == [1, 1, 1, 2, 4, 4]
    monkeypatch.setattr(cores, "_copies", lambda: False)
    assert [cores_worth(n, least_each=6) for n in (24, 59, 60, 1000)] == [1, 1, 2, 4]


@pytest.mark.skipif(not hasattr(os, "sched_setaffinity"), reason="needs a choice of cores")
def test_cores_are_those_that_the_process_may_use() -> None:
    may = os.sched_getaffinity(0)
    one = str(min(may))
    told = (
        "import os, sys; os.sched_setaffinity(0, {int(sys.argv[1])});"
        "from layouts.commands.cores import cores_worth; print(cores_worth(10**6, least_each=1))"
    )
    found = subprocess.run(
        [sys.executable, "-c", told, one],
        env=environment(),
        capture_output=True,
        text=True,
        check=True,
    )
    assert found.stdout == "1\n"
