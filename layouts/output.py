"""Finished bytes to a file, whole or not at all, or to standard output.

A file is written beside its target under another name, flushed to the disk and renamed, so that a
reader sees the old file or the new one and never a part.  A run that is killed leaves such a file
behind; the next run into the folder clears it away.
"""

from __future__ import annotations

import os
import signal
import stat
import sys
import threading
from contextlib import contextmanager, nullcontext, suppress
from pathlib import Path
from typing import IO, TYPE_CHECKING, Final

from charts.problems import Problem

try:
    import fcntl
except ModuleNotFoundError:
    _LOCKS = False
else:
    _LOCKS = True

if TYPE_CHECKING:
    from collections.abc import Iterator
    from types import FrameType

STDOUT: Final = "-"
"""The file name that stands for standard output (and, to read, for standard input)."""

_TRIES: Final = 100
"""Names tried for the file beside the target; all taken only if something is amiss."""

_UNFINISHED: Final = (".pegfolio-", ".part")
"""How the name of a file that is still written begins and ends."""

_ELSEWHERE: Final = "another place with --output"


class OutputError(Exception):
    """Raised when something cannot be written; nothing was."""

    def __init__(self, name: str, problem: Problem) -> None:
        self.name = name
        """The file as it was asked for, printable."""
        self.problem = problem
        super().__init__(problem.text(name))


def printable(name: str) -> str:
    """A file name as it can stand in a message: one line, nothing that steers a terminal.

    >>> printable("a\\nb")
    'a\\\\nb'
    """
    return "".join(
        char if char.isprintable() else char.encode("unicode_escape").decode() for char in name
    )


def reason(error: OSError) -> str:
    """Why the system refused, in its words with a small first letter, without any path.

    >>> reason(PermissionError(13, "Permission denied", "a.pdf"))
    'permission denied'
    """
    said = error.strerror or type(error).__name__
    return said[:1].lower() + said[1:]


def check_target(path: Path, *, source: Path | None = None) -> None:
    """Find what is wrong with a target before any work is done for it.

    `source` is the file that was read.  Raises OutputError if the target is a folder, lies in no
    folder, may not be written, or is the source.
    """
    with _told(path):
        _find_target(path, source=source)


def write_file(path: Path, data: bytes) -> None:
    """Write the file; one that is there is replaced and keeps its permissions.

    A symbolic link stays, and the file that it leads to is replaced.  Devices and pipes are written
    to as they are.  Raises OutputError, as `check_target` does and for whatever else the system
    refuses; then the old file is as it was and no other is left behind.
    """
    # What is no file may never take the data: only Ctrl-C helps then.
    with _told(path):
        is_file = path.is_file() or not path.exists()
    with _uninterrupted() if is_file else nullcontext(), open_file(path) as file:
        file.write(data)


@contextmanager
def _uninterrupted() -> Iterator[None]:
    """Puts a Ctrl-C off until the end: between the making of a file and the care for it, it would
    leave one behind."""
    before = signal.getsignal(signal.SIGINT)
    if threading.current_thread() is not threading.main_thread() or not callable(before):
        yield
        return
    heard: list[tuple[int, FrameType | None]] = []
    signal.signal(signal.SIGINT, lambda *what: heard.append(what))
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
        if heard:
            before(*heard[0])


@contextmanager
def open_file(path: Path) -> Iterator[IO[bytes]]:
    """A file to be written piece by piece, with all that `write_file` promises: it takes its place
    when all has gone well, and nothing is left behind if not."""
    with _told(path):
        target, there = _find_target(path)
        if there is not None and not stat.S_ISREG(there.st_mode):
            with path.open("wb") as device:
                yield device
            return
        beside: Path | None = None
        try:
            with _uninterrupted():
                beside, handle = _open_beside(
                    target, stat.S_IMODE(there.st_mode) if there else 0o666
                )
            with os.fdopen(handle, "wb") as file:
                if there is not None:
                    _copy_access(file, there)
                yield file
                file.flush()
                os.fsync(file.fileno())
                if _LOCKS:
                    beside.replace(target)  # before the lock is let go of
            if not _LOCKS:
                beside.replace(target)
        except BaseException:
            if beside is not None:
                with suppress(OSError):
                    beside.unlink()
            raise
        _flush_folder(target.parent)
        _clear_away_unfinished(target.parent)


def write_stdout(data: bytes) -> None:
    """Write to standard output.

    Raises OutputError, or BrokenPipeError when nobody reads any more.
    """
    if sys.stdout is None:
        what = "it is closed"
        raise OutputError("standard output", Problem(what, suggestion="--output FILE"))
    try:
        sys.stdout.flush()
        sys.stdout.buffer.write(data)
        sys.stdout.buffer.flush()
    except OSError as error:
        let_go_of(sys.stdout)
        if isinstance(error, BrokenPipeError):
            raise
        problem = Problem(f"cannot be written: {reason(error)}")
        raise OutputError("standard output", problem) from error


def let_go_of(stream: IO[str] | None) -> None:
    """To be called when writing to it has failed, lest Python try once more when it ends."""
    if stream is None:
        return
    with suppress(OSError, ValueError):
        handle = stream.fileno()
        os.dup2(os.open(os.devnull, os.O_WRONLY), handle)


@contextmanager
def _told(path: Path) -> Iterator[None]:
    """Turns what the system refuses into an OutputError that names the file asked for."""
    try:
        yield
    except OSError as error:
        problem = Problem(f"cannot be written: {reason(error)}")
        raise OutputError(printable(str(path)), problem) from error


def _find_target(path: Path, *, source: Path | None = None) -> tuple[Path, os.stat_result | None]:
    """The file behind any links, and what is there now."""

    def refuse(what: str, suggestion: str = "") -> OutputError:
        return OutputError(printable(str(path)), Problem(what, suggestion=suggestion))

    # Not Path.resolve(): it raises RuntimeError on links that lead in a circle.
    target = Path(os.path.realpath(path))
    if target.is_symlink():
        raise refuse("cannot be written: the link leads in a circle")
    try:
        there = path.stat()
    except FileNotFoundError:
        folder = target.parent
        if not folder.is_dir():
            name = printable(str(path.parent if not path.is_symlink() else folder))
            what = f"cannot be written: there is no folder {name}"
            raise refuse(what, f"make it first, or {_ELSEWHERE}") from None
        if not os.access(folder, os.W_OK):
            raise refuse("cannot be written: its folder is read-only", _ELSEWHERE) from None
        return target, None
    if stat.S_ISDIR(there.st_mode):
        raise refuse("cannot be written: it is a folder", "a file name in it")
    if source is not None and source.exists() and source.samefile(path):
        raise refuse("this is the pattern itself", _ELSEWHERE)
    if not os.access(path, os.W_OK):
        raise refuse("cannot be written: it is read-only", _ELSEWHERE)
    return target, there


def _open_beside(target: Path, mode: int) -> tuple[Path, int]:
    """A new file in the target's folder, with at most the permissions that are named.

    Its name does not grow with the target's, which may be as long as the system allows.
    """
    for number in range(_TRIES):
        beside = target.with_name(f"{_UNFINISHED[0]}{os.getpid()}-{number}{_UNFINISHED[1]}")
        flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
        with suppress(FileExistsError):
            handle = os.open(beside, flags, mode)
            if _lock(handle) and beside.exists():
                return beside, handle
            os.close(handle)  # another run took it for a file left behind
    raise FileExistsError(17, "too many unfinished files in the folder")


def _lock(handle: int) -> bool:
    """Whether nobody else writes the file."""
    if not _LOCKS:
        return True  # there an open file cannot be deleted
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError:
        return True  # a file system without locks
    return True


def _clear_away_unfinished(folder: Path) -> None:
    """Deletes what killed runs left behind; never a file that is still written."""
    first, last = _UNFINISHED
    with suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            if not (entry.name.startswith(first) and entry.name.endswith(last)):
                continue
            with suppress(OSError):
                handle = os.open(entry.path, os.O_WRONLY | getattr(os, "O_NOFOLLOW", 0))
                try:
                    if _lock(handle):
                        Path(entry.path).unlink()
                finally:
                    os.close(handle)


def _copy_access(file: IO[bytes], there: os.stat_result) -> None:
    """Owner, then permissions, which a change of owner can clear; both as far as we may."""
    if hasattr(os, "fchown"):
        with suppress(OSError):
            os.fchown(file.fileno(), there.st_uid, there.st_gid)
    if hasattr(os, "fchmod"):
        with suppress(OSError):
            os.fchmod(file.fileno(), stat.S_IMODE(there.st_mode))


def _flush_folder(folder: Path) -> None:
    """Make the renaming last; some systems cannot open a folder, and the file is there already."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
