"""How messages about a pattern file show what stands in it: short and on one line."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final

_BARE_KEY: Final = re.compile(r"[A-Za-z0-9_-]{1,40}")
_CONTROLS: Final = re.compile(
    r"[\x00-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ud800-\udfff]"
)
"""Control characters of ISO/IEC 6429, the two line separators of Unicode, its marks that turn the
direction of the text around them (Unicode Standard Annex 9, section 2), and halves of surrogate
pairs, which no file can hold."""


def first_control(text: str, *, but: str) -> int | None:
    """The index of the first character that cannot be printed, `but` this one; None if none."""
    return next((match.start() for match in _CONTROLS.finditer(text) if match.group() != but), None)


def nearest_word(word: str, words: Iterable[str]) -> str:
    """The word spelt most like the given one; empty if none is near."""
    from difflib import get_close_matches  # slow to import, and seldom needed

    if len(word) > 40:
        return ""
    near = get_close_matches(word.strip().lower(), [name.lower() for name in words], 1)
    return next((name for name in words if near and name.lower() == near[0]), "")


def listed(words: Iterable[str], joint: str = "or") -> str:
    """The words in a row, the last after `joint`.

    >>> listed(["a", "b", "c"])
    'a, b or c'
    """
    *first, last = list(words) or [""]
    return f"{', '.join(first)} {joint} {last}" if first else last


def quoted(text: str) -> str:
    return f'"{text}"'


def shortened(text: str) -> str:
    """The text on one line, 40 characters at most, control characters spelt out."""
    plain = "".join(
        code_point(letter) if _CONTROLS.match(letter) and letter != "\n" else letter
        for letter in text[:41]
    ).replace("\n", " ")
    return plain if len(plain) <= 40 else plain[:39] + "…"


def shown(value: object) -> str:
    """A value as it stands in the file, short."""
    if isinstance(value, str):
        return quoted(shortened(value))
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        # Python refuses to write whole numbers of thousands of digits
        return str(value) if value.bit_length() < 64 else "a number of 20 digits or more"
    if isinstance(value, float):
        return repr(value)
    if isinstance(value, list):
        return "a list"
    return "a table" if isinstance(value, dict) else "a date or time"


def shown_key(part: str) -> str:
    return part if _BARE_KEY.fullmatch(part) else quoted(shortened(part))


def code_point(letter: str) -> str:
    return f"U+{ord(letter):04X}"
