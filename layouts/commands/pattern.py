"""From a file's name to a proved pair of socks, or to a refusal that says what to change."""

from __future__ import annotations

import sys
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from enum import Enum
from pathlib import Path
from typing import TYPE_CHECKING

from charts.hands import Hand, for_hand
from charts.knitted import knit_sock
from charts.pattern_file import MOST_BYTES, SIZE, decode_pattern, read_pattern, with_lines
from charts.pattern_words import listed, nearest_word
from charts.plan import second_sock
from charts.problems import PatternError, Problem
from charts.spec import Units
from charts.verify import Knit, NotKnittableError
from layouts.commands.refusal import ExitCode, Refusal, pattern_problems, wrong_usage
from layouts.output import STDOUT, printable, reason

if TYPE_CHECKING:
    from charts.sizes import Size, SizedPattern
    from charts.spec import SockSpec

STDIN_NAME = "standard input"
"""What messages call a pattern that has no file."""


class AskedUnits(Enum):
    """The words of --units."""

    CM = "cm"
    IN = "in"
    BOTH = "both"


@dataclass(frozen=True)
class Asked:
    """What the command line asks of a pattern otherwise than its file does."""

    left_handed: bool = False
    units: AskedUnits | None = None

    def of(self, spec: SockSpec) -> SockSpec:
        """The spec as it is asked for."""
        if self.units is not None:
            spec = replace(spec, units=units_asked(spec.units, self.units))
        return for_hand(spec, Hand.LEFT) if self.left_handed else spec


def units_asked(written: Units, asked: AskedUnits) -> Units:
    """The units asked for; both come in the order that the pattern has them."""
    match asked:
        case AskedUnits.CM:
            return Units.ONLY_CM
        case AskedUnits.IN:
            return Units.ONLY_IN
        case AskedUnits.BOTH:
            return Units.CM if written.is_metric else Units.IN


AS_WRITTEN = Asked()


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
    size: str = ""
    """The size that was asked for; empty if the pattern has none."""

    @property
    def title_line(self) -> str:
        """File, title and size, for the head of what is told."""
        size = f", size {printable(self.size)}" if self.size else ""
        return f"{self.name}: {self.first.plan.spec.title}{size}"


@dataclass(frozen=True)
class SizedFile:
    """A pattern file with every size of it knitted."""

    name: str
    """As messages call it."""
    path: Path | None
    """None for a pattern from standard input."""
    pattern: SizedPattern

    @property
    def problems(self) -> tuple[str, ...]:
        """Those of the sizes that failed, a line each."""
        return tuple(problem.text(self.name) for problem in self.pattern.problems)

    @property
    def count(self) -> int:
        """Of all its sizes, good and bad."""
        return len(self.pattern.sizes) + len(self.pattern.failed)

    def refuse_failed(self) -> None:
        """Raises Refusal if a size failed; what is good has been handed out before."""
        if self.problems:
            raise Refusal(ExitCode.PROBLEMS, *self.problems)


def open_pattern(file: str, *, size: str | None = None, asked: Asked = AS_WRITTEN) -> Pattern:
    """The pattern of a file, or of standard input for "-", read, planned and proved.

    Of a pattern with sizes the one that is named.  Raises Refusal with every problem found.
    """
    name, text = read_text(file)
    return open_text(name, path_of(file), text, size=size, asked=asked)


def open_text(
    name: str,
    path: Path | None,
    text: str,
    *,
    size: str | None = None,
    asked: Asked = AS_WRITTEN,
) -> Pattern:
    """As `open_pattern`, of a text that has been read."""
    if size is not None or may_have_sizes(text):
        only = _chosen_size(name, text, size)
        if only:
            found = _good_size(name, text, only, asked)
            return Pattern(name, path, found.knit, found.second, found.name)
    try:
        spec = asked.of(read_pattern(text))
    except PatternError as error:
        raise pattern_problems(name, error) from None
    try:
        with _faults_told(name):
            first = knit_sock(spec)
            other = second_sock(spec)
            second = first if other == spec else knit_sock(other)
        refuse_unprintable(spec)
    except PatternError as error:
        placed = PatternError(with_lines(error.problems, text))
        raise pattern_problems(name, placed) from None
    return Pattern(name, path, first, second)


def open_sizes(file: str, *, asked: Asked = AS_WRITTEN) -> SizedFile:
    """Every size of a pattern file; one without a name for a file without sizes.

    Raises Refusal if the file cannot be read as a list of sizes; a bad size is told in the result.
    """
    name, text = read_text(file)
    return sizes_of(name, path_of(file), text, asked=asked)


def sizes_of(name: str, path: Path | None, text: str, *, asked: Asked = AS_WRITTEN) -> SizedFile:
    """As `open_sizes`, of a text that has been read."""
    from charts.sizes import knit_sizes

    try:
        found = knit_sizes(text, asked=asked.of)
        refuse_unprintable_sizes(found.sizes)
    except PatternError as error:
        raise pattern_problems(name, error) from None
    return SizedFile(name, path, found)


def read_text(file: str, *, thing: str = "pattern") -> tuple[str, str]:
    """The file's name as messages call it, and its text; `thing` is what it should be.

    Raises Refusal.
    """
    name = STDIN_NAME if file == STDOUT else printable(file)
    data = _read_stdin() if file == STDOUT else read_bytes(file, most=MOST_BYTES)
    try:
        return name, decode_pattern(data, thing=thing)
    except PatternError as error:
        raise pattern_problems(name, error) from None


def path_of(file: str) -> Path | None:
    """None for standard input."""
    return None if file == STDOUT else Path(file)


def may_have_sizes(text: str) -> bool:
    """Whether it is worth the while to look for sizes: most patterns have none."""
    return SIZE in text


def has_sizes(name: str, text: str) -> bool:
    """Whether the pattern has sizes by name.  Raises Refusal for a text that is not TOML."""
    return may_have_sizes(text) and _size_names(name, text) != ("",)


def _size_names(name: str, text: str) -> tuple[str, ...]:
    from charts.sizes import size_names

    try:
        return size_names(text)
    except PatternError as error:
        raise pattern_problems(name, error) from None


def _chosen_size(name: str, text: str, size: str | None) -> str:
    """The name of the size asked for, as the file spells it; empty if the pattern has no sizes."""
    names = _size_names(name, text)
    if names == ("",):
        if size is not None:
            raise wrong_usage("--size", f"{name} has no sizes", suggestion="leave --size out")
        return ""
    shown = [printable(each) for each in names]
    if size is None:
        if len(names) == 1:
            return names[0]
        what = f"{name} has {len(names)} sizes: which one?"
        raise wrong_usage("--size", what, allowed=listed(shown), suggestion=f"--size '{shown[0]}'")
    found = size_called(size, names)
    if found is None:
        what = f"{name} has no size '{printable(size)}'"
        nearest = nearest_word(size, shown)
        raise wrong_usage("--size", what, allowed=listed(shown), suggestion=nearest)
    return found


def size_called(asked: str, names: Sequence[str]) -> str | None:
    """The name as the file spells it; capitals and blanks do not matter."""
    wanted = " ".join(asked.split()).casefold()
    return next((each for each in names if each.casefold() == wanted), None)


def _good_size(name: str, text: str, only: str, asked: Asked) -> Size:
    from charts.sizes import knit_sizes

    try:
        found = knit_sizes(text, only=only, asked=asked.of)
        if found.problems:
            raise PatternError(found.problems)
        refuse_unprintable_sizes(found.sizes)
    except PatternError as error:
        raise pattern_problems(name, error) from None
    return found.sizes[0]


def refuse_unprintable(spec: SockSpec) -> None:
    """Raises PatternError for every text with a character that the printed fonts lack."""
    texts = {
        "title": spec.title,
        "designer": spec.designer,
        "notes": spec.notes,
        "yarn": spec.yarn,
        "loom.spacing": spec.loom.spacing_text,
        "house.licence": spec.house.licence,
        "house.copyright": spec.house.copyright,
        "house.date": spec.house.date,
    }
    problems = unprintable(texts)
    if problems:
        raise PatternError(problems)


def refuse_unprintable_sizes(sizes: Sequence[Size]) -> None:
    """The same for what is printed of sizes, their names as well."""
    problems: list[Problem] = []
    for size in sizes:
        problems += unprintable({"size.name": size.name})
        try:
            refuse_unprintable(size.knit.plan.spec)
        except PatternError as error:
            problems += error.problems
    if problems:
        raise PatternError(tuple(dict.fromkeys(problems)))


def unprintable(texts: Mapping[str, str]) -> tuple[Problem, ...]:
    """A problem for every character of the texts, by key, that the printed fonts lack."""
    # Opening the fonts' tables takes longer than knitting the sock, and all have ASCII.
    doubtful = {key: text for key, text in texts.items() if not text.isascii()}
    if not doubtful:
        return ()
    from layouts.faces import Face, missing_characters

    problems = []
    for key, text in doubtful.items():
        lacking = missing_characters(text, Face.REGULAR) + missing_characters(text, Face.BOLD)
        for char in dict.fromkeys(lacking):
            shown = f"'{char}'" if char.isprintable() else "character"
            named = f"{shown} (U+{ord(char):04X} {unicodedata.name(char, 'without a name')})"
            what = f"the fonts we print with have no {named}"
            allowed = "European letters, digits, fractions and common signs"
            problems.append(Problem(what, key, allowed, "write it in other characters"))
    return tuple(problems)


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


def read_bytes(file: str, *, most: int) -> bytes:
    """One byte more than the file may have at most: an endless one must not fill the memory.

    Raises Refusal.
    """
    path, name = Path(file), printable(file)
    try:
        with path.open("rb") as opened:
            return opened.read(most + 1)
    except FileNotFoundError:
        suggestion = _near_file(path)
        raise wrong_usage(name, "there is no such file", suggestion=suggestion) from None
    except OSError as error:
        raise wrong_usage(name, f"cannot be read: {reason(error)}") from None


def _near_file(path: Path) -> str:
    """The file of that kind in the same folder whose name is spelt most like this one."""
    suffix = path.suffix or ".toml"
    try:
        names = sorted(found.name for found in path.parent.glob(f"*{suffix}"))
    except (OSError, ValueError):
        return ""
    nearest = nearest_word(path.name, names) or nearest_word(f"{path.name}{suffix}", names)
    return printable(str(path.parent / nearest)) if nearest else ""
