"""Files are written whole or not at all."""

from __future__ import annotations

import doctest
import fcntl
import os
import signal
import stat
import subprocess
import sys
import threading
from io import FileIO
from pathlib import Path
from typing import Any

import pytest

from cli.running import environment
from layouts import output
from layouts.output import OutputError, check_target, printable, write_file

OLD, NEW = b"old", b"new" * 1000


def only(folder: Path, *names: str) -> None:
    """Nothing but these is in the folder: no unfinished file is left behind."""
    assert sorted(path.name for path in folder.iterdir()) == sorted(names)


def test_new_file_holds_the_bytes_and_the_usual_permissions(folder: Path) -> None:
    old_mask = os.umask(0o027)
    try:
        write_file(Path("a.pdf"), NEW)
    finally:
        os.umask(old_mask)
    path = folder / "a.pdf"
    assert path.read_bytes() == NEW
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    only(folder, "a.pdf")


@pytest.mark.parametrize("mode", [0o600, 0o664, 0o755])
def test_replaced_file_keeps_its_permissions(folder: Path, mode: int) -> None:
    path = folder / "a.pdf"
    path.write_bytes(OLD)
    path.chmod(mode)
    write_file(path, NEW)
    assert path.read_bytes() == NEW
    assert stat.S_IMODE(path.stat().st_mode) == mode
    only(folder, "a.pdf")


@pytest.mark.parametrize("failing", ["open", "fchmod", "fdopen", "fsync", "replace"])
@pytest.mark.parametrize("there", [True, False])
def test_failure_at_any_step_leaves_the_old_file_and_no_other(
    folder: Path, monkeypatch: pytest.MonkeyPatch, failing: str, there: bool
) -> None:
    path = folder / "a.pdf"
    if there:
        path.write_bytes(OLD)

    def fail(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(os, failing, fail)
        if failing == "fchmod":
            write_file(path, NEW)  # some file systems have no permissions: no reason to fail
        else:
            with pytest.raises(OutputError, match=r"a\.pdf: cannot be written: no space left"):
                write_file(path, NEW)
    if failing == "fchmod":
        assert path.read_bytes() == NEW
        only(folder, "a.pdf")
        return
    only(folder, *(["a.pdf"] if there else []))
    if there:
        assert path.read_bytes() == OLD


@pytest.mark.parametrize("failing", ["fsync", "replace"])
def test_interrupted_writing_leaves_the_old_file_and_no_other(
    folder: Path, monkeypatch: pytest.MonkeyPatch, failing: str
) -> None:
    path = folder / "a.pdf"
    path.write_bytes(OLD)

    def interrupt(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr(os, failing, interrupt)
        with pytest.raises(KeyboardInterrupt):
            write_file(path, NEW)
    assert path.read_bytes() == OLD
    only(folder, "a.pdf")


def test_write_that_fails_half_way_leaves_the_old_file_and_no_other(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = folder / "a.pdf"
    path.write_bytes(OLD)

    class FullDisk(FileIO):
        def write(self, data: Any) -> int:
            super().write(data[:100])
            raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(os, "fdopen", FullDisk)
        with pytest.raises(OutputError, match="no space left on device"):
            write_file(path, NEW)
    assert path.read_bytes() == OLD
    only(folder, "a.pdf")


def test_bytes_are_on_the_disk_before_the_name_is(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    done: list[str] = []
    real_fsync, real_replace = os.fsync, os.replace

    def fsync(handle: int) -> None:
        done.append("folder" if stat.S_ISDIR(os.fstat(handle).st_mode) else "file")
        real_fsync(handle)

    def replace(source: Path, target: Path) -> None:
        assert Path(source).read_bytes() == NEW
        assert Path(source).parent == Path(target).parent
        done.append("rename")
        real_replace(source, target)

    monkeypatch.setattr(os, "fsync", fsync)
    monkeypatch.setattr(os, "replace", replace)
    write_file(folder / "a.pdf", NEW)
    assert done == ["file", "rename", "folder"]


def test_reader_never_sees_a_part(folder: Path) -> None:
    path = folder / "a.bin"
    versions = {bytes([number]) * 100_000 for number in range(20)}
    path.write_bytes(min(versions))
    seen: set[bytes] = set()
    stop = threading.Event()

    def read() -> None:
        while not stop.is_set():
            seen.add(path.read_bytes())

    reader = threading.Thread(target=read)
    reader.start()
    for version in sorted(versions):
        write_file(path, version)
    stop.set()
    reader.join()
    assert seen
    assert seen <= versions


def test_link_stays_and_the_file_it_leads_to_is_replaced(folder: Path) -> None:
    (folder / "kept").mkdir()
    real, link = folder / "kept" / "real.pdf", folder / "link.pdf"
    real.write_bytes(OLD)
    link.symlink_to("kept/real.pdf")
    write_file(link, NEW)
    assert link.is_symlink()
    assert real.read_bytes() == NEW
    only(folder, "kept", "link.pdf")
    only(folder / "kept", "real.pdf")


def test_link_that_leads_to_nothing_yet_makes_the_file(folder: Path) -> None:
    (folder / "kept").mkdir()
    (folder / "link.pdf").symlink_to("kept/real.pdf")
    write_file(folder / "link.pdf", NEW)
    assert (folder / "kept" / "real.pdf").read_bytes() == NEW


def test_file_of_several_names_is_replaced_under_one(folder: Path) -> None:
    first, second = folder / "a.pdf", folder / "b.pdf"
    first.write_bytes(OLD)
    second.hardlink_to(first)
    write_file(first, NEW)
    assert (first.read_bytes(), second.read_bytes()) == (NEW, OLD)


def test_name_as_long_as_the_system_allows(folder: Path) -> None:
    name = "a" * 251 + ".pdf"
    write_file(folder / name, NEW)
    only(folder, name)


def test_unfinished_file_of_another_run_is_left_alone(folder: Path) -> None:
    other = folder / f".pegfolio-{os.getpid()}-0.part"
    other.write_bytes(OLD)
    with other.open("rb") as file:
        fcntl.flock(file, fcntl.LOCK_EX)
        write_file(folder / "a.pdf", NEW)
    assert other.read_bytes() == OLD
    only(folder, "a.pdf", other.name)


def test_unfinished_file_of_a_killed_run_is_cleared_away_and_no_other(folder: Path) -> None:
    (folder / ".pegfolio-1-0.part").write_bytes(OLD)
    (folder / "away").write_bytes(OLD)
    (folder / ".pegfolio-2-0.part").symlink_to(folder / "away")
    (folder / ".pegfolio-notes").write_bytes(OLD)
    write_file(folder / "a.pdf", NEW)
    only(folder, "a.pdf", ".pegfolio-notes", "away", ".pegfolio-2-0.part")
    assert (folder / "away").read_bytes() == OLD


def test_pipe_is_written_to_and_stays_a_pipe(folder: Path) -> None:
    # Devices go the same way; a test that fails must not replace one of this machine's.
    pipe = folder / "pipe"
    os.mkfifo(pipe)
    got: list[bytes] = []
    reader = threading.Thread(target=lambda: got.append(pipe.read_bytes()))
    reader.start()
    write_file(pipe, NEW)
    reader.join()
    assert got == [NEW]
    assert stat.S_ISFIFO(pipe.stat().st_mode)


def refusal(path: Path | str) -> str:
    """The message of the check, which writing gives as well."""
    with pytest.raises(OutputError) as checked:
        check_target(Path(path))
    with pytest.raises(OutputError) as written:
        write_file(Path(path), NEW)
    assert str(checked.value) == str(written.value)
    return str(checked.value)


def test_folder_is_refused(folder: Path) -> None:
    (folder / "out").mkdir()
    assert refusal("out") == "out: cannot be written: it is a folder; try: a file name in it"
    only(folder / "out")


def test_missing_folder_is_named(folder: Path) -> None:
    assert "there is no folder out/of" in refusal("out/of/a.pdf")
    only(folder)


def test_path_below_a_file_is_refused(folder: Path) -> None:
    (folder / "a").write_bytes(OLD)
    assert refusal("a/b.pdf") == "a/b.pdf: cannot be written: not a directory"


def test_links_in_a_circle_are_refused(folder: Path) -> None:
    (folder / "a").symlink_to("b")
    (folder / "b").symlink_to("a")
    assert "circle" in refusal("a")
    assert (folder / "a").is_symlink()


def test_name_that_is_too_long_is_refused(folder: Path) -> None:
    assert "file name too long" in refusal("a" * 300)
    only(folder)


def test_source_is_refused_under_any_of_its_names(folder: Path) -> None:
    source = folder / "a.toml"
    source.write_bytes(OLD)
    (folder / "hard.pdf").hardlink_to(source)
    (folder / "soft.pdf").symlink_to(source)
    for name in ("a.toml", "./a.toml", "hard.pdf", "soft.pdf"):
        with pytest.raises(OutputError, match="this is the pattern itself"):
            check_target(Path(name), source=source)
    check_target(folder / "b.pdf", source=source)
    assert source.read_bytes() == OLD


def test_read_only_file_is_refused(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = folder / "a.pdf"
    path.write_bytes(OLD)
    # Tests may run as root, to whom nothing is read-only.
    monkeypatch.setattr(os, "access", lambda name, _: Path(name) != path)
    assert "it is read-only" in refusal(path)
    assert path.read_bytes() == OLD


def test_read_only_folder_is_refused(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "access", lambda name, _: Path(name) != folder)
    assert "its folder is read-only" in refusal(folder / "a.pdf")
    only(folder)


@pytest.mark.parametrize("size", [10, 100_000])
def test_failed_standard_output_is_not_tried_again_when_python_ends(size: int) -> None:
    code = (
        "import sys\n"
        "from layouts.output import OutputError, write_stdout\n"
        f"try: write_stdout(b'x' * {size})\n"
        "except OutputError as error: sys.exit(str(error))\n"
    )
    with Path("/dev/full").open("wb") as full:
        ended = subprocess.run(
            [sys.executable, "-c", code],
            stdout=full,
            stderr=subprocess.PIPE,
            env=environment(),
            check=False,
        )
    assert ended.returncode == 1
    assert ended.stderr == b"standard output: cannot be written: no space left on device\n"


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("plain name.pdf", "plain name.pdf"),
        ("two\nlines", "two\\nlines"),
        ("\x1b[2Jwiped", "\\x1b[2Jwiped"),
        ("not utf-8 \udcff", "not utf-8 \\udcff"),
        ("Größe.pdf", "Größe.pdf"),
    ],
)
def test_name_in_a_message_is_one_harmless_line(name: str, shown: str) -> None:
    assert printable(name) == shown


def test_doctests_hold() -> None:
    results = doctest.testmod(output)
    assert results.attempted >= 2
    assert results.failed == 0


def test_ctrl_c_just_as_the_file_is_made_leaves_nothing_unfinished(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file at one stroke is finished first; one written piece by piece is cleared away."""
    make = output._open_beside

    def interrupted(target: Path, mode: int) -> tuple[Path, int]:
        made = make(target, mode)
        signal.raise_signal(signal.SIGINT)
        return made

    monkeypatch.setattr(output, "_open_beside", interrupted)
    before = signal.getsignal(signal.SIGINT)
    with pytest.raises(KeyboardInterrupt):
        output.write_file(tmp_path / "whole.txt", b"whole")
    with pytest.raises(KeyboardInterrupt), output.open_file(tmp_path / "pieces.txt") as file:
        file.write(b"piece")
    assert signal.getsignal(signal.SIGINT) is before
    assert (tmp_path / "whole.txt").read_bytes() == b"whole"
    assert not [
        path for path in tmp_path.iterdir() if path.name.startswith((".pegfolio", "pieces"))
    ]
