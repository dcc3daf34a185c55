"""From a file's name to a proved pair of socks, or to a refusal that says what to change."""

from __future__ import annotations

import sys
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from charts.pattern_file import MOST_BYTES, decode_pattern, read_pattern, with_lines
from charts.pattern_words import nearest_word
from charts.plan import make_plan, second_sock
from charts.problems import PatternError, Problem
from charts.sock import make_rows
from charts.verify import Knit, NotKnittableError, verify
from layouts.commands.refusal import ExitCode, Refusal, pattern_problems, wrong_usage
from layouts.output import STDOUT, printable, reason

if TYPE_CHECKING:
    from charts.spec import SockSpec

STDIN_NAME = "standard input"
"""What messages call a pattern that has no file."""


@dataclass(frozen=True)
class Pattern:
    """A pattern that was read and knitted."""

    name: str
    """As messages call it."""
    path: Path | None
    """None for a pattern from standard input."""
    first: Knit
    second: Knit
    """The other sock of the pair; the first again where both are alike."""


def open_pattern(file: str) -> Pattern:
    """The pattern of a file, or of standard input for "-", read, planned and proved.

    Raises Refusal with every problem found.
    """
    name = STDIN_NAME if file == STDOUT else printable(file)
    data = _read_stdin() if file == STDOUT else _read_file(Path(file), name)
    try:
        text = decode_pattern(data)
        spec = read_pattern(text)
    except PatternError as error:
        raise pattern_problems(name, error) from None
    try:
        with _faults_told(name):
            first = prove(spec)
            other = second_sock(spec)
            second = first if other == spec else prove(other)
        refuse_unprintable(spec)
    except PatternError as error:
        placed = PatternError(with_lines(error.problems, text))
        raise pattern_problems(name, placed) from None
    return Pattern(name, None if file == STDOUT else Path(file), first, second)


def prove(spec: SockSpec) -> Knit:
    """The sock knitted.  Raises PatternError, or NotKnittableError, which is a fault of ours."""
    plan = make_plan(spec)
    return verify(plan, make_rows(plan))


def refuse_unprintable(spec: SockSpec) -> None:
    """Raises PatternError for every text with a character that the printed fonts lack."""
    texts = {
        "title": spec.title,
        "designer": spec.designer,
        "notes": spec.notes,
        "yarn": spec.yarn,
        "loom.spacing": spec.loom.spacing_text,
    }
    # Opening the fonts' tables takes longer than knitting the sock, and all have ASCII.
    doubtful = {key: text for key, text in texts.items() if not text.isascii()}
    if not doubtful:
        return
    from layouts.faces import Face, missing_characters

    problems = []
    for key, text in doubtful.items():
        lacking = missing_characters(text, Face.REGULAR) + missing_characters(text, Face.BOLD)
        for char in dict.fromkeys(lacking):
            shown = f"'{char}'" if char.isprintable() else "a character"
            named = f"{shown} (U+{ord(char):04X} {unicodedata.name(char, 'without a name')})"
            what = f"the fonts we print with have no {named}"
            allowed = "European letters, digits, fractions and common signs"
            problems.append(Problem(what, key, allowed, "write it in other characters"))
    if problems:
        raise PatternError(tuple(problems))


@contextmanager
def _faults_told(name: str) -> Iterator[None]:
    """A sock that cannot be knitted is our fault: `make_plan` has let it pass."""
    try:
        yield
    except NotKnittableError as error:
        found = str(error).splitlines()
        last = f"{name}: this is a fault of pegfolio, nothing was printed; please report it"
        raise Refusal(
            ExitCode.PROBLEMS, *(f"{name}: cannot be knitted: {line}" for line in found), last
        ) from None


def _read_stdin() -> bytes:
    if sys.stdin is None:
        raise wrong_usage(STDIN_NAME, "it is closed", suggestion="name a file")
    try:
        return sys.stdin.buffer.read(MOST_BYTES + 1)
    except OSError as error:
        raise wrong_usage(STDIN_NAME, f"cannot be read: {reason(error)}") from None


def _read_file(path: Path, name: str) -> bytes:
    """One byte more than a pattern may have at most: an endless file must not fill the memory."""
    try:
        with path.open("rb") as file:
            return file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        suggestion = _near_pattern(path)
        raise wrong_usage(name, "there is no such file", suggestion=suggestion) from None
    except OSError as error:
        raise wrong_usage(name, f"cannot be read: {reason(error)}") from None


def _near_pattern(path: Path) -> str:
    """The pattern in the same folder whose name is spelt most like this one."""
    try:
        names = sorted(found.name for found in path.parent.glob("*.toml"))
    except OSError:
        return ""
    nearest = nearest_word(path.name, names) or nearest_word(f"{path.name}.toml", names)
    return printable(str(path.parent / nearest)) if nearest else ""
