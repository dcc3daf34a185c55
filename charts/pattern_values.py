"""What may stand at a key of the pattern file: each kind of value, read from TOML and written back.

A kind blames what is wrong in the designer's words and says what is allowed; it knows neither the
key nor the line.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, Protocol

from charts.lengths import LENGTH_FORMS, LengthError, read_length
from charts.pattern_words import code_point, first_control, listed, nearest_word, quoted, shown
from charts.plan import rib_words
from charts.spec import Length, YarnAmount
from charts.stitches import MOTIF_LETTERS, crosses

MOST_RIB_PEGS: Final = 12
LEAST_PER_10CM: Final = 1.0
MOST_PER_10CM: Final = 100.0
"""Stitches, or rows."""

MOST_MOTIF_SIDE: Final = 60

_RIB: Final = re.compile(r"(?:[kp][0-9]{1,2}(?:, ?| ?))*")
_RIB_RUN: Final = re.compile(r"([kp])([0-9]+)")
_CONTROL_NAMES: Final = {"\t": "a tab", "\n": "a new line", "\r": "a carriage return"}


class Blame(Protocol):
    """Notes one fault of the value being read."""

    def __call__(
        self,
        what: str,
        allowed: str = "",
        suggestion: str = "",
        *,
        value_line: int | None = None,
    ) -> None: ...


class Kind(Protocol):
    """What may stand at a key: reads a TOML value, writes it back."""

    def read(self, value: object, blame: Blame) -> Any:
        """The value for the spec; None after blaming."""

    def write(self, value: Any) -> str:
        """The value as TOML."""


def write_text(text: str) -> str:
    """A TOML string with that text, over several lines if the text has several.

    >>> print(write_text('a "round" toe'))
    "a \\"round\\" toe"
    """
    escaped = re.sub(r'["\\]', r"\\\g<0>", text)
    escaped = re.sub(r"[^\n -\x7e\x80-\U0010ffff]", lambda at: f"\\u{ord(at[0]):04X}", escaped)
    return f'"""\n{escaped}"""' if "\n" in text else f'"{escaped}"'


@dataclass(frozen=True)
class Count:
    """A whole number."""

    least: int
    most: int

    def read(self, value: object, blame: Blame) -> int | None:
        if type(value) is int:
            if self.least <= value <= self.most:
                return value
            what = f"{shown(value)} is too {'small' if value < self.least else 'large'}"
            blame(what, self._allowed)
            return None
        suggestion = ""
        if isinstance(value, float) and value.is_integer():
            suggestion = f"{value:.0f}" if abs(value) < 1e15 else ""
        elif isinstance(value, str) and re.fullmatch(r"\s*[0-9]{1,9}\s*", value, re.ASCII):
            suggestion = f"{int(value)} without quotes"
        blame(f"{shown(value)} is not a whole number", self._allowed, suggestion)
        return None

    def write(self, value: int) -> str:
        return str(value)

    @property
    def _allowed(self) -> str:
        return f"a whole number from {self.least} to {self.most}"


@dataclass(frozen=True)
class Text:
    """Free text."""

    most: int
    lines: bool = False
    """Whether it may run over several lines."""
    required: bool = False

    def read(self, value: object, blame: Blame) -> str | None:
        if not isinstance(value, str):
            digits = _digits(value)
            again = f'"{digits}"' if digits else ""
            blame(f"{shown(value)} is not text", "text in quotes", again)
            return None
        text = value.strip()
        control = first_control(text, but="\n" if self.lines else "")
        if control is not None:
            letter = text[control]
            name = _CONTROL_NAMES.get(letter, f"the unprintable {code_point(letter)}")
            allowed = "text over several lines" if self.lines else "text on one line"
            blame(f"{name} at character {control + 1}", allowed)
        elif len(text) > self.most:
            blame(f"{len(text):,} characters are too many", f"up to {self.most:,} characters")
        elif self.required and not text:
            blame("the text is empty", f"1 to {self.most:,} characters")
        else:
            return text
        return None

    def write(self, value: str) -> str:
        return write_text(value)


@dataclass(frozen=True)
class Word:
    """One of a few words."""

    meanings: Mapping[str, Any]

    def read(self, value: object, blame: Blame) -> Any:
        if isinstance(value, str) and value in self.meanings:
            return self.meanings[value]
        allowed = listed(quoted(word) for word in self.meanings)
        nearest = nearest_word(value, self.meanings) if isinstance(value, str) else ""
        blame(
            f"{shown(value)} is not one of the words here",
            allowed,
            quoted(nearest) if nearest else "",
        )
        return None

    def write(self, value: object) -> str:
        return quoted(next(word for word, meaning in self.meanings.items() if meaning == value))


@dataclass(frozen=True)
class Switch:
    """true or false."""

    def read(self, value: object, blame: Blame) -> bool | None:
        if isinstance(value, bool):
            return value
        word = value.strip().lower() if isinstance(value, str) else ""
        suggestion = ""
        if type(value) is int and value in (0, 1):
            suggestion = "true" if value else "false"
        elif word in ("true", "yes", "on"):
            suggestion = "true without quotes"
        elif word in ("false", "no", "off"):
            suggestion = "false without quotes"
        blame(f"{shown(value)} is neither true nor false", "true or false", suggestion)
        return None

    def write(self, value: bool) -> str:
        return "true" if value else "false"


def _digits(value: object, *, least: float = -math.inf) -> str:
    """A number as it is written, to be tried again in quotes or with a unit.

    Empty for what is no number, none of use or too long to be one, and for one not above `least`.

    >>> _digits(38), _digits(math.inf), _digits(True), _digits(-3, least=0)
    ('38', '', '', '')
    """
    if isinstance(value, bool) or not isinstance(value, int | float):
        return ""
    written = shown(value)
    return written if least < value < math.inf and len(written) < 20 else ""


@dataclass(frozen=True)
class Measured:
    """A length with its unit: in mm, with the words that it was written in."""

    least_mm: float
    most_mm: float
    thing: str
    """What it is the length of, with its article."""
    how: str = ""
    """How it is measured, for the allowed range."""
    unit: str = "mm"
    """What is tried for a number without a unit, and what the range is told in."""

    def read(self, value: object, blame: Blame) -> Length | None:
        if not isinstance(value, str):
            digits = _digits(value, least=0)
            again = f'"{digits} {self.unit}"' if digits else ""
            blame(f"{shown(value)} is not a length with a unit", LENGTH_FORMS, again)
            return None
        try:
            length_mm = read_length(value)
        except LengthError as error:
            again = f'"{error.suggestion}"' if error.suggestion else ""
            if re.fullmatch(r"\s*[0-9.]{1,9}\s*", value):
                again = quoted(f"{value.strip()} {self.unit}")
            blame(f"{shown(value)}: {error.what}", LENGTH_FORMS, again)
            return None
        if not self.least_mm <= length_mm <= self.most_mm:
            size = "small" if length_mm < self.least_mm else "large"
            what = f"{shown(value)} is {length_mm:.4g} mm, too {size} for {self.thing}"
            blame(what, self._allowed, self._slip(value))
            return None
        return Length(length_mm, " ".join(value.split()))

    def write(self, value: Length) -> str:
        return write_text(value.text)

    @property
    def _allowed(self) -> str:
        times = 10 if self.unit == "cm" else 1
        how = f", {self.how}" if self.how else ""
        return f"{self.least_mm / times:g} to {self.most_mm / times:g} {self.unit}{how}"

    def _slip(self, value: str) -> str:
        """The same number in the usual unit, if that is in the range: a slip of the unit."""
        number = re.fullmatch(r"\s*([0-9.]+)\s*[a-z]+\s*", value, re.ASCII)
        again = f"{number[1]} {self.unit}" if number else ""
        try:
            meant = bool(again) and self.least_mm <= read_length(again) <= self.most_mm
        except LengthError:
            return ""
        return quoted(again) if meant else ""


@dataclass(frozen=True)
class Spacing:
    """The spacing of the pegs: the length in mm with the words it was written in."""

    def read(self, value: object, blame: Blame) -> tuple[float, str] | None:
        found = _PEG_SPACING.read(value, blame)
        return (found.mm, found.text) if found else None

    def write(self, value: tuple[float, str]) -> str:
        return write_text(value[1])


_PEG_SPACING: Final = Measured(3, 30, "a peg spacing", "centre to centre")


@dataclass(frozen=True)
class EaseShare:
    """A share such as "10 %" by which the sock is smaller, as the number of percent."""

    along: bool
    """Along the foot; else round it."""

    def read(self, value: object, blame: Blame) -> float | None:
        from charts.ease import LENGTH_LIMITS, ROUND_LIMITS  # only needed where ease is given

        least, most = (100 * limit for limit in (LENGTH_LIMITS if self.along else ROUND_LIMITS))
        allowed = f'a share from "{least:g} %" to "{most:g} %" by which the sock is smaller'
        found = _PERCENT.fullmatch(value) if isinstance(value, str) else None
        if found is None or not found[2]:
            digits = found[1] if found else _digits(value)
            again = quoted(f"{digits} %") if digits else ""
            blame(f"{shown(value)} is not a share in percent", allowed, again)
            return None
        percent = float(found[1].replace("−", "-").replace(",", "."))
        if not least <= percent <= most:
            nearest = least if percent < least else most
            size = "little" if percent < least else "much"
            blame(f"{shown(value)} smaller is too {size}", allowed, f'"{nearest:g} %"')
            return None
        return percent

    def write(self, value: float) -> str:
        return quoted(f"{_number(value)} %")


_PERCENT: Final = re.compile(r"\s*([-−]?[0-9]{1,3}(?:[.,][0-9]{1,6})?)\s*(%?)\s*")


def _number(value: float) -> str:
    return str(int(value)) if value.is_integer() else repr(value)


@dataclass(frozen=True)
class Yarn:
    """An amount of yarn, by its length or its weight, with the words that it was written in."""

    def read(self, value: object, blame: Blame) -> YarnAmount | None:
        allowed = 'yarn by length or weight, such as "3.2 m", "3.5 yd" or "2.1 g"'
        found = _YARN.fullmatch(value) if isinstance(value, str) else None
        if found is None:
            bare = isinstance(value, str) and re.fullmatch(r"\s*[0-9.]{1,9}\s*", value)
            digits = str(value).strip() if bare else _digits(value, least=0)
            again = f'"{digits} m" or "{digits} g"' if digits else ""
            blame(f"{shown(value)} is no amount of yarn", allowed, again)
            return None
        amount, text = float(found[1]), " ".join(found[0].split())
        if amount == 0:
            blame(f"{shown(value)} is no yarn at all", allowed)
            return None
        if found[2] == "g":
            return YarnAmount(None, amount, text)
        return YarnAmount(amount * _YARN_UNIT_MM[found[2]], None, text)

    def write(self, value: YarnAmount) -> str:
        return write_text(value.text)


_YARN_UNIT_MM: Final = {"cm": 10, "m": 1000, "yd": 914.4}
"""A yard is 0.9144 m exactly: NIST SP 811 (2008), appendix B.8."""
_YARN: Final = re.compile(r"\s*([0-9]{1,5}(?:\.[0-9]{1,4})?)\s*(cm|m|yd|g)\s*")


@dataclass(frozen=True)
class Amount:
    """A number above zero that need not be whole."""

    most: float
    least: float = 0.0

    def read(self, value: object, blame: Blame) -> float | None:
        start = f"{self.least:g}" if self.least else "a number above 0,"
        allowed = f"{start} {'to' if self.least else 'up to'} {self.most:g}"
        if isinstance(value, bool) or not isinstance(value, int | float):
            found = isinstance(value, str) and re.match(r"\s*([0-9]{1,9}(?:\.[0-9]{1,9})?)", value)
            suggestion = f"{found[1]} without quotes" if found else ""
            blame(f"{shown(value)} is not a number", allowed, suggestion)
        elif not (0 < value <= self.most and value >= self.least):
            is_number = isinstance(value, int) or not math.isnan(value)
            size = "large" if value > self.most else "small"
            blame(f"{shown(value)} is {f'too {size}' if is_number else 'no number'}", allowed)
        else:
            return float(value)
        return None

    def write(self, value: float) -> str:
        return _number(value)


@dataclass(frozen=True)
class ShoeSizeWords:
    """A shoe size such as "EU 38", in words that `read_shoe_size` reads."""

    def read(self, value: object, blame: Blame) -> str | None:
        from charts.shoe_words import SIZE_FORMS, read_shoe_size

        if not isinstance(value, str):
            digits = _digits(value, least=0)
            again = f'"EU {digits}"' if 0 < len(digits) < 6 else ""
            blame(f"{shown(value)} is no shoe size", SIZE_FORMS, again)
            return None
        return _checked_words(value, read_shoe_size, blame)

    def write(self, value: str) -> str:
        return write_text(value)


@dataclass(frozen=True)
class FootClassWords:
    """An age or size class such as "girl 7", in words that `read_foot_class` reads."""

    def read(self, value: object, blame: Blame) -> str | None:
        from charts.foot_classes import CLASS_FORMS, read_foot_class

        if not isinstance(value, str):
            blame(f"{shown(value)} is no class of feet", CLASS_FORMS)
            return None
        return _checked_words(value, read_foot_class, blame)

    def write(self, value: str) -> str:
        return write_text(value)


def _checked_words(value: str, read: Callable[[str], object], blame: Blame) -> str | None:
    """The words, their blanks made single, if `read` understands them."""
    from charts.shoe_words import SizeWordsError  # slow to import, and not for every sock

    try:
        read(value)
    except SizeWordsError as error:
        blame(f"{shown(value)}: {error.what}", error.allowed, error.suggestion)
        return None
    return " ".join(value.split())


@dataclass(frozen=True)
class Weight:
    """A yarn-weight category by its name or number, as its name."""

    def read(self, value: object, blame: Blame) -> str | None:
        from charts.yarn_weights import YARN_WEIGHTS, yarn_weight

        names = [weight.name for weight in YARN_WEIGHTS]
        words = shown(value) if type(value) is int else value
        found = yarn_weight(words) if isinstance(words, str) else None
        if found is not None:
            return found.name
        nearest = nearest_word(words, names) if isinstance(words, str) else ""
        blame(
            f"{shown(value)} is no weight category",
            f"{listed(quoted(name) for name in names)}, or its number from 0 to {len(names) - 1}",
            quoted(nearest) if nearest else "",
        )
        return None

    def write(self, value: str) -> str:
        return write_text(value)


@dataclass(frozen=True)
class Tables:
    """A list of tables that may hold the same keys."""

    kinds: Mapping[str, Kind]
    required: tuple[str, ...]
    most: int

    def read(self, value: object, blame: Blame) -> list[Any] | None:
        """The tables unread; whoever asked reads them by `kinds`."""
        if not isinstance(value, list) or not all(isinstance(item, dict) for item in value):
            again = f"[{{ {', '.join(f'{key} = …' for key in self.required)} }}]"
            blame(f"{shown(value)} is not a list of tables", "tables in braces", again)
        elif not 1 <= len(value) <= self.most:
            size = "few" if not value else "many"
            blame(f"{len(value):,} are too {size}", f"1 to {self.most}")
        else:
            return value
        return None

    def write(self, value: Iterable[Mapping[str, Any]]) -> str:
        """Inline tables of the values that are not None."""
        tables = (
            ", ".join(
                f"{key} = {kind.write(values[key])}"
                for key, kind in self.kinds.items()
                if values.get(key) is not None
            )
            for values in value
        )
        return "[\n" + "".join(f"  {{ {table} }},\n" for table in tables) + "]"


@dataclass(frozen=True)
class Rib:
    """A rib such as "k2 p2", as one letter a peg."""

    def read(self, value: object, blame: Blame) -> str | None:
        allowed = f'k and p with counts such as "k2 p2", {MOST_RIB_PEGS} pegs in all at most'
        if not isinstance(value, str):
            blame(f"{shown(value)} is not a rib", allowed, '"k2 p2"')
            return None
        plain = " ".join(value.lower().split())
        runs = [(letter, int(count)) for letter, count in _RIB_RUN.findall(plain)]
        if not plain or not _RIB.fullmatch(plain):
            guess = _guessed_rib(plain)
            blame(f"{shown(value)} is not a rib", allowed, f'"{guess}"' if guess else "")
            return None
        letters = "".join(letter * count for letter, count in runs)
        if any(count == 0 for _, count in runs):
            blame(f"{shown(value)} counts no pegs for a stitch", allowed)
        elif len(letters) > MOST_RIB_PEGS:
            blame(f"{shown(value)} takes {len(letters)} pegs, too many", allowed)
        elif len(set(letters)) < 2:
            blame(f"{shown(value)} is no rib: it needs both knit and purl", allowed)
        else:
            return letters
        return None

    def write(self, value: str) -> str:
        return quoted(rib_words(value))


@dataclass(frozen=True)
class Drawing:
    """The rows of a motif, drawn with its top row on the top line; bottom row first in the spec."""

    def read(self, value: object, blame: Blame) -> tuple[str, ...] | None:
        if not isinstance(value, str):
            again = 'the rows as lines between """ and """'
            blame(f"{shown(value)} is not a drawing", "text over several lines", again)
            return None
        lines = [re.sub(r"[ \t]", "", line) for line in value.split("\n")]
        drawn = [(index, line) for index, line in enumerate(lines) if line]
        if not drawn:
            blame("the motif has no rows", f"1 to {MOST_MOTIF_SIDE} rows")
            return None
        blamed = False
        if len(drawn) > MOST_MOTIF_SIDE:
            blame(f"{len(drawn):,} rows are too many", f"1 to {MOST_MOTIF_SIDE} rows")
            blamed = True
        rows = drawn[:MOST_MOTIF_SIDE]
        widths = [len(line) for _, line in rows]
        width = max(dict.fromkeys(widths), key=widths.count)
        for index, line in rows:
            for fault in _row_faults(line, width):
                blame(*fault, value_line=index)
                blamed = True
        return None if blamed else tuple(line for _, line in reversed(rows))

    def write(self, value: Sequence[str]) -> str:
        drawn = "\n".join(" ".join(line) for line in reversed(value))
        return f'"""\n{drawn}\n"""'


def _row_faults(line: str, width: int) -> Iterable[tuple[str, str, str]]:
    """What is wrong with one row of a motif: what, allowed, suggestion."""
    letters = " ".join(MOTIF_LETTERS)
    if len(line) > MOST_MOTIF_SIDE:
        yield (f"the row has {len(line):,} stitches, too many", f"1 to {MOST_MOTIF_SIDE}", "")
        return
    if len(line) != width:
        stitches = "1 stitch" if len(line) == 1 else f"{len(line)} stitches"
        yield (f"the row has {stitches}, the others {width}", "rows of one width", "")
    strangers = [letter for letter in dict.fromkeys(line) if letter not in MOTIF_LETTERS]
    for stranger in strangers:
        columns = [str(column) for column, drawn in enumerate(line, 1) if drawn == stranger]
        named = f"column{'s' if len(columns) > 1 else ''} {listed(columns, 'and')}"
        letter = f"'{stranger}'" if stranger.isprintable() else code_point(stranger)
        other_case = stranger.swapcase()
        again = f"'{other_case}'" if other_case in "kp" else ""
        yield (f"{named}: {letter} is not a letter of a motif", letters, again)
    if not strangers:
        try:
            crosses(line)
        except ValueError as error:
            yield (str(error), "R with l to its right, r with L to its right", "")


def _guessed_rib(plain: str) -> str:
    """The rib that was meant by "2x2", "kkpp" or "k p"; empty if there is no telling."""
    plain = plain.replace("rib", "").strip()
    pair = re.fullmatch(r"([1-9]) ?(?:x|×|/|:|by|and|,| ) ?([1-9])", plain)
    if pair:
        return f"k{pair[1]} p{pair[2]}"
    bare = re.sub(r"[ ,]", "", plain)
    if bare and len(bare) <= MOST_RIB_PEGS and set(bare) == {"k", "p"}:
        return rib_words(bare)
    return ""
