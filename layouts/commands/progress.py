"""A word on standard error while something takes long."""

from __future__ import annotations

import sys
from collections.abc import Iterator
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
