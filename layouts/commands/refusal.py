"""How a command ends that cannot do what it was asked."""

from __future__ import annotations

from enum import IntEnum

from charts.problems import PatternError, Problem

PROGRAM = "pegfolio"
STOPPED = f"{PROGRAM}: stopped"
"""Told after Ctrl-C."""


class ExitCode(IntEnum):
    """What the command line hands back."""

    FINE = 0
    PROBLEMS = 1
    """The pattern has problems."""
    USAGE = 2
    """Wrong usage, unreadable input, unwritable output, a missing library."""
    INTERRUPTED = 130
    """Ctrl-C: 128 and the number of the signal, as shells count."""
    PIPE_CLOSED = 141
    """Nobody reads the output any more: likewise."""


class Refusal(Exception):  # noqa: N818 (it is no mistake of the program)
    """Ends a command with lines for standard error; nothing has been written."""

    def __init__(self, exit_code: ExitCode, *lines: str) -> None:
        self.exit_code = exit_code
        self.lines = lines
        super().__init__("\n".join(lines))


def wrong_usage(name: str, what: str, *, allowed: str = "", suggestion: str = "") -> Refusal:
    """What is wrong with a file or an option, which is named first."""
    problem = Problem(what, allowed=allowed, suggestion=suggestion)
    return Refusal(ExitCode.USAGE, problem.text(name))


def pattern_problems(name: str, error: PatternError) -> Refusal:
    """All problems of the pattern of that name, one line each."""
    return Refusal(ExitCode.PROBLEMS, *(problem.text(name) for problem in error.problems))


def missing_library(error: ModuleNotFoundError) -> str:
    """What is missing and how to get it, on one line."""
    name = (error.name or "a library").partition(".")[0]
    if name in ("charts", "layouts", "fonts"):
        return f"{PROGRAM}: '{error.name}' is missing, a part of {PROGRAM}; try: install it again"
    package = _PACKAGES.get(name, name.lower())
    return f"{PROGRAM}: the library '{name}' is missing; try: pip install {package}"


_PACKAGES = {"PIL": "pillow", "pypdfium2": "'pegfolio[png]'"}
"""What brings a library that is not named like its package, or comes with an extra."""
