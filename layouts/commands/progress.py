"""A word on standard error while something takes long, or a bar where its end is known."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

AFTER_S = 1.0
"""Anything quicker passes without a word."""


@contextmanager
def progress(doing: str) -> Iterator[None]:
    """Says what is being done once it has taken a second; only to a terminal."""
    stream = sys.stderr
    if stream is None or not stream.isatty():
        yield
        return
    from threading import Timer

    def say() -> None:
        stream.write(f"{doing} …\n")
        stream.flush()

    timer = Timer(AFTER_S, say)
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()


@contextmanager
def progress_bar(doing: str, total: int) -> Iterator[Callable[[], None]]:
    """Hands out what is to be called after each of so many things; shows a bar, only to a terminal.

    The bar is gone again when all is done, so that what is told below it stands alone.
    """
    stream = sys.stderr
    if stream is None or not stream.isatty():
        yield lambda: None
        return
    done = 0

    def step() -> None:
        nonlocal done
        done += 1
        filled = done * _BAR // total
        stream.write(f"\r{doing} [{'#' * filled}{'.' * (_BAR - filled)}] {done} of {total}")
        stream.flush()

    try:
        yield step
    finally:
        stream.write("\r\x1b[K")
        stream.flush()


_BAR = 30
"""Signs that the bar is long."""
