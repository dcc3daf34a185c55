"""A killed run leaves the old file or the new one; two runs at once leave one whole file."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.running import PATTERN, ROOT
from tests.faults.kill import SOUND, campaign
from tests.faults.products import PRODUCTS

STOPPED = """
import os, signal, sys
from pathlib import Path
from layouts import output

step = sys.argv[1]
real = getattr(os, step)

def killed(*args, **kept):
    if sys.argv[2] == "after":
        real(*args, **kept)
    os.kill(os.getpid(), signal.SIGKILL)

setattr(os, step, killed)
output.write_file(Path("a.pdf"), b"new" * 1000)
"""
"""Writes a file and is killed at one of the system calls."""


def test_runs_killed_at_chance_leave_no_half_file(tmp_path: Path) -> None:
    chosen = {name: PRODUCTS[name] for name in ("booklet", "class")}
    found = campaign(tmp_path, 6, products=chosen)
    assert found.total() == 6
    assert {what for _, what in found} <= SOUND


@pytest.mark.parametrize("when", ["before", "after"])
@pytest.mark.parametrize("step", ["open", "fdopen", "fsync", "replace"])
def test_run_killed_at_a_step_of_writing_leaves_a_whole_file(
    tmp_path: Path, step: str, when: str
) -> None:
    target = tmp_path / "a.pdf"
    target.write_bytes(b"old" * 500)
    ended = subprocess.run(
        [sys.executable, "-c", STOPPED, step, when],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        check=False,
    )
    assert ended.returncode == -signal.SIGKILL
    done = (step, when) == ("replace", "after")
    assert target.read_bytes() == (b"new" * 1000 if done else b"old" * 500)


def test_two_runs_into_one_file_leave_one_whole_file(tmp_path: Path) -> None:
    papers = ("a5", "a4")
    whole = {}
    for paper in papers:
        _run(tmp_path, paper, f"{paper}.pdf").wait()
        whole[paper] = (tmp_path / f"{paper}.pdf").read_bytes()
    for _ in range(4):
        both = [_run(tmp_path, paper, "one.pdf") for paper in papers]
        assert [process.wait() for process in both] == [0, 0]
        assert (tmp_path / "one.pdf").read_bytes() in whole.values()
    names = {path.name for path in tmp_path.iterdir()}
    assert names == {"sock.toml", "a5.pdf", "a4.pdf", "one.pdf"}


def _run(folder: Path, paper: str, name: str) -> subprocess.Popen[bytes]:
    (folder / "sock.toml").write_text(PATTERN, encoding="utf-8")
    command = [sys.executable, "-m", "layouts.cli", "booklet", "sock.toml", "--paper", paper]
    return subprocess.Popen(
        [*command, "--output", name],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.DEVNULL,
    )
