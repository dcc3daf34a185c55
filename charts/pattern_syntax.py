"""TOML text to a document, and what the TOML reader refuses in plain words."""

from __future__ import annotations

import re
import tomllib
from typing import Any, Final

from charts.problems import PatternError, Problem
from charts.toml_places import Place

_DEEPEST: Final = 8
"""Tables within tables; the pattern file needs three, and TOML readers slow down with depth."""

_AT: Final = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")

_OPEN_TEXT = "a text in quotes is not closed"
_CLOSE_TEXT = "the same quote mark at both ends, or three at each end of text over several lines"
_PLAIN_WORDS: Final = (
    ("Expected '=' after a key", "there is a name but no = behind it", "name = value"),
    ("Invalid value", "there is no value here", 'a number, true, false, or words in "quotes"'),
    (
        "Expected newline or end of document",
        "something stands behind the value",
        'one name = value on a line, decimals with a point, "in" for inches within quotes',
    ),
    ("Illegal character '\\n'", _OPEN_TEXT, _CLOSE_TEXT),
    ("Found invalid character '\\n'", _OPEN_TEXT, _CLOSE_TEXT),
    ("Unterminated string", _OPEN_TEXT, _CLOSE_TEXT),
    ("Expected \"'", _OPEN_TEXT, _CLOSE_TEXT),
    ("Illegal character", "a control character stands here", "delete it"),
    ("Found invalid character", "a control character stands here", "delete it"),
    (
        "Unescaped '\\' in a string",
        "a text holds a backslash just before this",
        "write it twice, \\\\",
    ),
    ("Invalid hex value", "a text holds a backslash just before this", "write it twice, \\\\"),
    ("Escaped character", "a text holds a backslash just before this", "write it twice, \\\\"),
    ("Cannot declare", "this table stands here twice", "put all its keys under one heading"),
    ("Cannot overwrite", "this name stands here twice", "keep one of the two"),
    ("Duplicate inline", "this name stands here twice", "keep one of the two"),
    ("Cannot redefine", "this name stands here twice", "keep one of the two"),
    ("Cannot mutate", "this name stands here twice", "keep one of the two"),
    ("Expected ']", "the heading of a table is not closed", "[name] on a line of its own"),
    ("Invalid initial character for a key", "a name is missing", "name = value, or [name]"),
    ("Invalid statement", "this line is neither [table] nor name = value", "name = value"),
    ("Unclosed array", "a list is not closed", "close it with ]"),
    ("Unclosed inline table", "a table in braces is not closed", "close it with }"),
)
"""What the TOML reader says, the same in plain words, and what to do."""


def read_toml(text: str, places: Place) -> dict[str, Any]:
    """The TOML document.  Raises PatternError with the one problem of a text that is not TOML."""
    deep = _deep_place(places)
    if deep:
        what = "tables or lists within one another too deep"
        raise _one(what, allowed=f"up to {_DEEPEST} within one another", line=deep.line)
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _syntax_error(str(error), text, places) from None
    except ValueError:
        # Python refuses to read whole numbers of thousands of digits
        number = re.search(r"[0-9][0-9_]{3999}", text)
        line = text.count("\n", 0, number.start()) + 1 if number else None
        raise _one("a number has thousands of digits", line=line) from None


def _syntax_error(message: str, text: str, places: Place) -> PatternError:
    at = _AT.search(message)
    said = message[: at.start()] if at else message
    known = (row for row in _PLAIN_WORDS if said.startswith(row[0]))
    _, what, suggestion = next(known, ("", f"this is not TOML: {said}", ""))
    if at and at[1]:
        line, column = int(at[1]), int(at[2])
        return _one(f"column {column}: {what}", suggestion, line=line)
    if "not closed" in what and places.inside:
        # the reader ran to the end of the file: blame the last thing that was opened
        return _one(what, suggestion, line=_last_line(places))
    return _one(what, suggestion, line=text.rstrip().count("\n") + 1)


def _deep_place(places: Place) -> Place | None:
    """A place too deep within others, if there is one."""
    level = [places]
    for _ in range(_DEEPEST + 1):
        level = [inner for place in level for inner in place.inside.values()]
    return level[0] if level else None


def _last_line(places: Place) -> int:
    """The line of the last key or heading."""
    last = places.line
    waiting = [places]
    while waiting:
        place = waiting.pop()
        last = max(last, place.line)
        waiting.extend(place.inside.values())
    return last


def _one(
    what: str, suggestion: str = "", *, allowed: str = "", line: int | None = None
) -> PatternError:
    return PatternError((Problem(what, allowed=allowed, suggestion=suggestion, line=line),))
