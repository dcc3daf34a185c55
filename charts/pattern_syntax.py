"""TOML text to a document, and what the TOML reader refuses in plain words."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from typing import Any, Final

from charts.pattern_words import shown_key
from charts.problems import PatternError, Problem
from charts.syntax_hints import value_hint
from charts.toml_places import Place

_DEEPEST: Final = 8
"""Tables within tables; the pattern file needs three, and TOML readers slow down with depth."""

_AT: Final = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")

_OPEN_TEXT = "a text in quotes is not closed"
_CLOSE_TEXT = "the same quote mark at both ends, or three at each end of text over several lines"
_TWICE = "stands here twice"
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
    ("Cannot declare", f"this table {_TWICE}", "put all its keys under one heading"),
    ("Cannot overwrite", f"this name {_TWICE}", "keep one of the two"),
    ("Duplicate inline", f"this name {_TWICE}", "keep one of the two"),
    ("Cannot redefine", f"this name {_TWICE}", "keep one of the two"),
    ("Cannot mutate", f"this name {_TWICE}", "keep one of the two"),
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
    if what.endswith(_TWICE):
        return _twice(what, suggestion, int(at[1]) if at and at[1] else None, places)
    if at and at[1]:
        line, column = int(at[1]), int(at[2])
        hint = value_hint(text.split("\n")[line - 1], column)
        if hint is not None:
            return _one(f"column {column}: {hint.what}", hint.suggestion, line=line)
        return _one(f"column {column}: {what}", suggestion, line=line)
    if "not closed" in what and places.inside:
        # the reader ran to the end of the file: blame the last thing that was opened
        return _one(what, suggestion, line=_last_line(places))
    return _one(what, suggestion, line=text.rstrip().count("\n") + 1)


def _twice(what: str, suggestion: str, line: int | None, places: Place) -> PatternError:
    """A name given twice; the reader notices it where its value ends, on that line or, without
    one, at the end of the text."""
    again = [
        (place.line, key, place.earlier_line)
        for key, place in _all_places(places)
        if place.earlier_line is not None and (line is None or place.line <= line)
    ]
    if not again:
        return _one(what, suggestion, line=line)
    here, key, first = max(again)
    what = f"{what}, first on line {first}"
    return PatternError((Problem(what, key, suggestion=suggestion, line=here),))


def _all_places(places: Place) -> Iterator[tuple[str, Place]]:
    """Every place with its dotted key."""
    waiting = [("", places)]
    while waiting:
        above, place = waiting.pop()
        for part, inner in place.inside.items():
            name = str(part + 1) if isinstance(part, int) else shown_key(part)
            key = f"{above}.{name}" if above else name
            yield key, inner
            waiting.append((key, inner))


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
