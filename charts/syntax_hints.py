"""What was probably meant by a line that is not TOML: slips that people make in a first file."""

from __future__ import annotations

import re
from typing import Final, NamedTuple


class Hint(NamedTuple):
    """A slip in plain words."""

    what: str
    suggestion: str


def value_hint(line: str, column: int) -> Hint | None:
    """The slip in a line that the TOML reader stopped at in that column, counted from 1.

    None if it is none of those known here.

    >>> value_hint("pegs = 40,5", 10).suggestion
    '40.5'
    >>> value_hint("title: A sock", 6).suggestion
    'title = "A sock"'
    """
    found = _PAIR.fullmatch(line)
    if found is None or column < found.start("sign"):
        return None
    name, sign, value = found["name"], found["sign"], found["value"]
    if sign == ":":
        return Hint("there is a name but no = behind it", f"{name} = {_right(value) or 'value'}")
    if not value:
        return None
    inches = _INCHES.fullmatch(value)
    if inches is not None:
        return Hint("the inch sign ends the text", f'"{inches["number"].strip()} in"')
    meant = _right(value)
    if not meant:
        return None
    if value[0] in _CURLY:
        return Hint("the quote marks are curly", f"{meant} in straight quotes")
    if value.lower() in _SWITCHES:
        return Hint(f"{value} is not a value", meant)
    if _COMMA.fullmatch(value):
        return Hint("a decimal comma", meant)
    if value[0] in "\"'[{":
        return None
    return Hint("words without quotes", meant)


_PAIR: Final = re.compile(
    r"\s*(?P<name>[A-Za-z0-9_-]{1,40})\s*(?P<sign>[=:])\s*(?P<value>[^#\n]{0,200}?)\s*(?:#.*)?"
)
_CURLY: Final = "“”„‟«»‘’‚′″`"
_SWITCHES: Final = {
    **dict.fromkeys(("true", "yes", "on"), "true"),
    **dict.fromkeys(("false", "no", "off"), "false"),
}
_INCHES: Final = re.compile(r'"?(?P<number>[0-9½¼¾⅛⅜⅝⅞/. ]{1,12})"{1,2}')
_COMMA: Final = re.compile(r"[0-9]{1,9},[0-9]{1,9}")
_BARE: Final = re.compile(r"true|false|[0-9]{1,9}(?:\.[0-9]{1,9})?")


def _right(value: str) -> str:
    """The value as TOML; empty if there is no telling."""
    if not value or any(char in value for char in '"\\') or value[0] in "'[{":
        plain = value.strip('"')
        return value if re.fullmatch(r'"[^"\\]*"', value) and plain else ""
    if value.lower() in _SWITCHES:
        return _SWITCHES[value.lower()]
    if _COMMA.fullmatch(value):
        return value.replace(",", ".")
    if _BARE.fullmatch(value):
        return value
    words = value.strip(_CURLY).strip()
    return f'"{words}"' if words and len(words) <= 60 and not set(words) & set(_CURLY) else ""
