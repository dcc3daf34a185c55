"""Work spread over the cores of the machine: tasks that know nothing of each other.

Each process is handed one task at a time and sends back what it makes, piece by piece, through a
pipe that holds little: one that is faster than its reader waits, so that nothing piles up.  Only
the first process touches files; the others can be ended at any moment and leave nothing behind.
They end by themselves when their pipe does, however the first process came to its end.
"""

from __future__ import annotations

import gc
import os
import signal
import sys
import threading
from collections.abc import Callable, Generator, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING, Any, Final, TypeAlias, TypeVar, cast

from layouts.commands.refusal import PROGRAM, ExitCode, Refusal

if TYPE_CHECKING:
    from multiprocessing.connection import Connection
    from multiprocessing.process import BaseProcess

MOST_CORES: Final = 64
_TO_LOAD: Final = 5
"""How many times as much a process must have to do that loads everything first."""

_Task = TypeVar("_Task")
_Made = TypeVar("_Made")


def cores_worth(things: int, *, least_each: int) -> int:
    """Cores to spread so many things over: each makes at least so many where a process starts as a
    copy of this one, and several times as many where it has everything to load first."""
    each = least_each if _copies() else least_each * _TO_LOAD
    return max(1, min(_cores_here(), things // each))


def _cores_here() -> int:
    """Cores that the system lets this process use, up to `MOST_CORES`."""
    count: int | None
    if sys.version_info >= (3, 13):
        count = os.process_cpu_count()
    elif hasattr(os, "sched_getaffinity"):
        count = len(os.sched_getaffinity(0))
    else:
        count = os.cpu_count()
    return min(count or 1, MOST_CORES)


def spread(
    tasks: Sequence[_Task], make: Callable[[_Task], Iterable[_Made]], *, cores: int
) -> Generator[_Made]:
    """All that `make` makes of the tasks.

    The pieces of one task come in their order, those of several as they are finished.  On several
    cores, tasks, pieces and `make` must be such that pickle can take them along; no piece may be
    None.  Close the generator to end the processes.  Raises Refusal if somebody else ends one.
    """
    with _garbage_apart():
        team = _start_team(tasks, make, min(cores, len(tasks)))
        if team:
            yield from _collect(team, len(tasks))
        else:
            for task in tasks:
                yield from _work(task, make)


def _work(task: _Task, make: Callable[[_Task], Iterable[_Made]]) -> Iterator[_Made]:
    """What is made of a task in this process."""
    yield from make(task)
    # What holds itself goes only when it is looked for, which the start of the program has made
    # rare: without this something of every task would stay.
    gc.collect()


@contextmanager
def _garbage_apart() -> Iterator[None]:
    """What is there now is not looked at for garbage: that is quicker, and leaves memory that
    processes have in common as it is."""
    gc.freeze()
    try:
        yield
    finally:
        gc.unfreeze()


# Processes

_Team: TypeAlias = "dict[Connection[Any, Any], BaseProcess]"
"""Each process by our end of its pipe."""


def _copies() -> bool:
    """Whether a process starts as a copy of this one, which takes no time.  A copy of one that has
    threads might wait for a lock that nobody holds, and on macOS the system has some of its own."""
    return hasattr(os, "fork") and sys.platform != "darwin" and threading.active_count() == 1


def _start_team(
    tasks: Sequence[_Task], make: Callable[[_Task], Iterable[_Made]], count: int
) -> _Team:
    """So many processes, or as many as the system lets us start; none where one is enough."""
    team: _Team = {}
    if count < 2:
        return team
    from multiprocessing import get_context

    copies = _copies()
    context = get_context("fork" if copies else "spawn")
    try:
        with _interrupts_held_back(), suppress(OSError):
            for _ in range(count):
                ours, theirs = context.Pipe()
                # No pipe ends as long as a copy of our end is open in another process.
                copied = (*team, ours) if copies else ()
                process = context.Process(  # type: ignore[attr-defined]
                    target=_serve, args=(theirs, copied, tasks, make), daemon=True
                )
                with theirs:
                    process.start()
                team[ours] = process
    except BaseException:
        _end(team)
        raise
    return team


@contextmanager
def _interrupts_held_back() -> Iterator[None]:
    """Ctrl-C waits; processes that are started here never hear of it and are ended by this one."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _serve(
    end: Connection[Any, Any],
    copied: Sequence[Connection[Any, Any]],
    tasks: Sequence[_Task],
    make: Callable[[_Task], Iterable[_Made]],
) -> None:
    """What a process does: each task that it is sent the index of, until the pipe ends."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    for one in copied:
        one.close()
    with suppress(EOFError, ConnectionError):
        while True:
            for made in _work(tasks[end.recv()], make):
                end.send(made)
            end.send(None)


def _collect(team: _Team, count: int) -> Iterator[Any]:
    """Hands out so many tasks, and all that comes back of them; ends the processes."""
    from multiprocessing.connection import wait

    untouched = iter(range(count))
    busy: list[Connection[Any, Any]] = []

    def send_next(end: Connection[Any, Any]) -> None:
        index = next(untouched, None)
        if index is not None:
            with suppress(ConnectionError):  # it is told of below, when nothing comes back
                end.send(index)
            busy.append(end)

    try:
        for end in team:
            send_next(end)
        while busy:
            for end in cast("list[Connection[Any, Any]]", wait(busy)):
                made = _received(end)
                if made is None:
                    busy.remove(end)
                    send_next(end)
                else:
                    yield made
    finally:
        _end(team)


def _received(end: Connection[Any, Any]) -> Any:
    """What a process sends.  Raises Refusal for one that is no more."""
    try:
        return end.recv()
    except (EOFError, ConnectionError):
        what = (
            f"{PROGRAM}: one of its processes was ended from outside, for want of memory perhaps; "
            "what was written is whole; try: --cores 1"
        )
        raise Refusal(ExitCode.USAGE, what) from None


def _end(team: _Team) -> None:
    """Ends the processes, whatever they are at."""
    for end, process in team.items():
        end.close()
        process.terminate()
    for process in team.values():
        process.join()
