"""Problems in the words a designer can act on: what, where, what is allowed, what to do."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Problem:
    """One thing wrong with a pattern."""

    what: str
    """One sentence without a full stop: what is wrong."""
    key: str = ""
    """Dotted key of the pattern file, e.g. "heel.centre"; empty if no key is to blame."""
    allowed: str = ""
    """The values that are allowed."""
    suggestion: str = ""
    """What to change it to."""
    line: int | None = None
    """1-based line in the pattern file, where known."""

    def text(self, file_name: str = "") -> str:
        """One line: `file:line: key: what; allowed: …; try: …`."""
        place = file_name
        if self.line is not None:
            place += f":{self.line}" if place else f"line {self.line}"
        parts = [part for part in (place, self.key) if part]
        text = ": ".join([*parts, self.what])
        if self.allowed:
            text += f"; allowed: {self.allowed}"
        if self.suggestion:
            text += f"; try: {self.suggestion}"
        return text


def setting(key: str, value: object) -> str:
    """What to write for a dotted key, and under which heading, ready to be copied.

    >>> setting("heel.pegs", 22)
    'pegs = 22 under [heel]'
    """
    table, _, name = key.rpartition(".")
    return f"{name} = {value} under [{table}]"


class PatternError(Exception):
    """Raised with every problem found at once."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        self.problems = problems
        super().__init__("\n".join(problem.text() for problem in problems))
