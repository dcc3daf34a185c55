"""Whatever surrounds a run: no folder for temporary files, a disk that is read only, Ctrl-C at a
terminal, another run into the same folder."""

from __future__ import annotations

import fcntl
import os
import pty
import re
import signal
import subprocess
import sys
import termios
import time
from pathlib import Path

import pytest

from tests.cli.running import environment
from tests.faults.full import small_disk
from tests.faults.products import OLD, PRODUCTS, UNFINISHED


def whole_run(name: str, folder: Path, **changes: str) -> tuple[int, dict[str, bytes]]:
    """How a run of the product ends, and what it writes."""
    process = PRODUCTS[name].start(folder, **changes)
    process.communicate()
    return process.returncode, PRODUCTS[name].written(folder)


@pytest.mark.parametrize("name", ["booklet", "class", "picture"])
def test_no_folder_for_temporary_files_or_of_the_user_is_needed(name: str, tmp_path: Path) -> None:
    outcomes = []
    nowhere = str(tmp_path / "nowhere")
    for changes in ({}, {"TMPDIR": nowhere, "HOME": nowhere, "XDG_CACHE_HOME": nowhere}):
        folder = tmp_path / ("bare" if changes else "usual")
        PRODUCTS[name].lay_inputs(folder)
        outcomes.append(whole_run(name, folder, **changes))
    assert outcomes[0] == outcomes[1]
    assert outcomes[0][1]
    assert not Path(nowhere).exists()


@pytest.mark.parametrize("name", ["booklet", "class", "picture"])
@pytest.mark.parametrize("there", [True, False])
def test_disk_that_is_read_only_is_told_in_one_line(name: str, there: bool, tmp_path: Path) -> None:
    if os.geteuid() != 0:
        pytest.skip("only root may mount a disk")
    product, disk = PRODUCTS[name], tmp_path / "disk"
    disk.mkdir()
    try:
        with small_disk(disk):
            product.lay_inputs(disk / "it")
            if there:
                whole_run(name, disk / "it")
            before = product.written(disk / "it")
            subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
            process = product.start(disk / "it")
            stdout, stderr = process.communicate()
            assert product.written(disk / "it") == before
    except subprocess.CalledProcessError:
        pytest.skip("no disk may be mounted here")
    assert (process.returncode, stdout) == (2, b"")
    line = rb"\S+: cannot be written: it(s folder)? is read-only; try: another .*--output\n"
    assert re.fullmatch(line, stderr), stderr


def test_ctrl_c_at_a_terminal_leaves_whole_files_and_the_terminal_as_it_was(tmp_path: Path) -> None:
    product, folder = PRODUCTS["class"], tmp_path / "it"
    product.lay_inputs(folder)
    roster = folder / "roster.csv"
    # Everybody in a group of their own, so that it takes a while.
    people = [
        f"Student {number},Small,{16 + number % 3} x {20 + number / 10}" for number in range(60)
    ]
    roster.write_text("\n".join(["who,size,gauge", *people]) + "\n", encoding="utf-8")
    ours, theirs = pty.openpty()
    before = termios.tcgetattr(theirs)

    def at_the_terminal() -> None:
        fcntl.ioctl(theirs, termios.TIOCSCTTY, 0)

    process = subprocess.Popen(
        [sys.executable, *product.args],
        cwd=folder,
        env=environment(),
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        start_new_session=True,
        preexec_fn=at_the_terminal,
    )
    try:
        until = time.monotonic() + 60
        while not list((folder / "packs").glob("*.pdf")):
            assert process.poll() is None
            assert time.monotonic() < until
            time.sleep(0.01)
        os.write(ours, b"\x03")
        ended = process.wait(60)
        after = termios.tcgetattr(theirs)
    finally:
        os.close(theirs)
    shown = b""
    while chunk := _read(ours):
        shown += chunk
    os.close(ours)
    # Python ends itself by the signal where the interrupt met it in the middle of something.
    assert ended in (130, -signal.SIGINT)
    assert after == before
    # The line of the bar is wiped before anything else is told.
    assert shown.endswith(b"\r\x1b[Kpegfolio: stopped\r\n"), shown
    assert b"Traceback" not in shown
    assert not list(folder.rglob(UNFINISHED))
    packs = list((folder / "packs").iterdir())
    assert 0 < len(packs) < 60
    for pack in packs:
        assert pack.read_bytes().rstrip().endswith(b"%%EOF")


def _read(handle: int) -> bytes:
    """What the terminal still shows; nothing once everybody has gone."""
    try:
        return os.read(handle, 4_096)
    except OSError:
        return b""


def test_two_runs_into_one_folder_leave_whole_files(tmp_path: Path) -> None:
    product, folder = PRODUCTS["class"], tmp_path / "it"
    product.lay_inputs(folder)
    new = whole_run("class", folder)[1]
    for name in new:
        (folder / name).write_bytes(OLD)
    both = [product.start(folder) for _ in range(2)]
    ends = [process.communicate() for process in both]
    assert ends[0] == ends[1]
    assert product.written(folder) == new
