"""Where each key of a TOML text stands, so that a message can name the line.

The standard library reads the values and forgets the places; this scanner finds the places and
leaves the values alone.  It follows TOML 1.0.0 (https://toml.io/en/v1.0.0) on texts that are
TOML; on any other text it finds what it can and never raises.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final


@dataclass(frozen=True)
class Place:
    """Where a key, a table heading or an item of a list stands."""

    line: int
    """1-based."""
    column: int
    """1-based, in characters; of a dotted key each part has its own."""
    value_lines: tuple[int, ...] = ()
    """For a text value: the line of the file that each line of the value begins on."""
    inside: dict[str | int, Place] = field(default_factory=dict)
    """The places within: keys of a table by name, items of a list by number from 0."""
    earlier_line: int | None = None
    """Of the same key, or of a heading of the same name, if there is one further up."""

    def nearest(self, path: Sequence[str | int]) -> Place | None:
        """The place at the path, or of the last part of it there is; None if there is no part.

        >>> find_places("[loom]\\npegs = 40").nearest(("loom", "pegs")).line
        2
        >>> find_places("[loom]\\npegs = 40").nearest(("loom", "spacing")).line
        1
        """
        place = None
        inside = self.inside
        for part in path:
            if part not in inside:
                break
            place = inside[part]
            inside = place.inside
        return place


def find_places(text: str) -> Place:
    """The whole text as one place, with the place of every key inside it.  Takes linear time."""
    return _Scanner(text).scan()


_SPACE: Final = re.compile(r"[ \t]*")
_BLANK: Final = re.compile(r"(?:[ \t\n]|#[^\n]*)*+")
_EQUALS: Final = re.compile(r"[ \t]*=?[ \t]*")
_REST_OF_LINE: Final = re.compile(r"[^\n]*")
_SCALAR: Final = re.compile(r"[^\n]?[^,\]}#\n]*")
_KEY: Final = re.compile(r"""[A-Za-z0-9_-]+|"(?:[^"\\\n]|\\[^\n])*+"|'[^'\n]*'""")
_OPENING: Final = re.compile(r"""("{3}|'{3})\n?|["']""")

_ESCAPE: Final = r"\\(?:u[0-9A-Fa-f]{4}|U[0-9A-Fa-f]{8}|x[0-9A-Fa-f]{2}|[^\n])"
_CONTINUED: Final = re.compile(r"\\[ \t]*\n[ \t\n]*")
_MARKS: Final = {
    '"': re.compile(rf'"|{_ESCAPE}|\n'),
    "'": re.compile(r"'|\n"),
    '"""': re.compile(rf'"{{3,5}}|{_CONTINUED.pattern}|{_ESCAPE}|\n'),
    "'''": re.compile(r"'{3,5}|\n"),
}
"""What matters inside a text, by its quotes: its end, escapes, new lines.

Up to two quotes may stand right before the closing three and belong to the text.
"""


class _Scanner:
    """One pass over the text; nested values are kept on a list, not on Python's own stack."""

    def __init__(self, text: str) -> None:
        self._text = text.replace("\r\n", "\n")
        self._index = 0
        self._line_starts = [0, *(match.end() for match in re.finditer("\n", self._text))]
        self._root = Place(1, 1)

    def scan(self) -> Place:
        table = self._root
        self._pass(_BLANK)
        while self._index < len(self._text):
            table = self._heading() if self._take("[") else self._pair(table)
            self._pass(_REST_OF_LINE)
            self._pass(_BLANK)
        return self._root

    def _heading(self) -> Place:
        """The table that the keys below belong to; the first bracket is already behind."""
        is_list = self._take("[")
        self._pass(_SPACE)
        parts = self._key_parts()
        if not parts:
            return self._root
        table = self._walk(self._root, parts[:-1])
        name, start = parts[-1]
        if not is_list:
            return self._put(table, name, start)
        tables = table.inside.get(name) or self._put(table, name, start)
        return self._put(tables, len(tables.inside), start)

    def _pair(self, table: Place) -> Place:
        """A key and its value; returns the table it stands in."""
        parts = self._key_parts()
        if parts:
            self._value(self._walk(table, parts[:-1]), *parts[-1])
        return table

    def _value(self, parent: Place, name: str | int, start: int) -> None:
        """One value with everything nested in it, from behind its key."""
        self._pass(_EQUALS)
        unclosed: list[tuple[Place, str]] = []
        while True:
            value_lines = self._text_value()
            place = self._put(parent, name, start, value_lines)
            if not value_lines and self._take("["):
                unclosed.append((place, "]"))
            elif not value_lines and self._take("{"):
                unclosed.append((place, "}"))
            elif not value_lines:
                self._pass(_SCALAR)
            while unclosed:
                self._pass(_BLANK)
                if self._index == len(self._text):
                    return
                holder, close = unclosed[-1]
                if self._take(close):
                    unclosed.pop()
                elif self._take(","):
                    continue
                elif close == "]":
                    parent, name, start = holder, len(holder.inside), self._index
                    break
                elif parts := self._key_parts():
                    self._pass(_EQUALS)
                    parent = self._walk(holder, parts[:-1])
                    name, start = parts[-1]
                    break
                else:
                    self._index += 1  # not TOML: go on
            else:
                return

    def _text_value(self) -> tuple[int, ...]:
        """The lines of a text value that starts here; empty if none does."""
        opening = _OPENING.match(self._text, self._index)
        if not opening:
            return ()
        quotes = opening.group(1) or opening.group()
        self._index = begin = opening.end()
        lines = []
        while mark := _MARKS[quotes].search(self._text, self._index):
            self._index = mark.end()
            found = mark.group()
            if found.startswith(quotes):
                break
            if found == "\n" and len(quotes) == 1:
                self._index = mark.start()  # not TOML: the quote is never closed
                break
            if found == "\n" or _is_new_line(found):
                lines.append(self._line(begin))
                begin = self._index
            elif _CONTINUED.fullmatch(found) and not self._text[begin : mark.start()].strip():
                begin = self._index  # nothing on this line yet: it begins on a later one
        else:
            self._index = len(self._text)
        return (*lines, self._line(begin))

    def _key_parts(self) -> list[tuple[str, int]]:
        """The parts of a dotted key that starts here, with where each starts."""
        parts = []
        while key := _KEY.match(self._text, self._index):
            parts.append((_key_name(key.group()), key.start()))
            self._index = key.end()
            self._pass(_SPACE)
            if not self._take("."):
                break
            self._pass(_SPACE)
        return parts

    def _walk(self, table: Place, parts: list[tuple[str, int]]) -> Place:
        """The table at the end of the parts; of a list of tables, the last."""
        for name, start in parts:
            table = table.inside.get(name) or self._put(table, name, start)
            # a list numbers what is inside it; the keys of a table are no numbers
            table = table.inside.get(len(table.inside) - 1) or table
        return table

    def _put(
        self, parent: Place, name: str | int, start: int, value_lines: tuple[int, ...] = ()
    ) -> Place:
        """A new place; what is known to be inside it already stays there."""
        known = parent.inside.get(name)
        line = self._line(start)
        column = start - self._line_starts[line - 1] + 1
        inside = known.inside if known else {}
        place = Place(line, column, value_lines, inside, known.line if known else None)
        parent.inside[name] = place
        return place

    def _line(self, index: int) -> int:
        return bisect_right(self._line_starts, index)

    def _pass(self, pattern: re.Pattern[str]) -> None:
        """Go on behind the pattern, which may match nothing but never fails."""
        match = pattern.match(self._text, self._index)
        self._index = match.end() if match else self._index

    def _take(self, character: str) -> bool:
        taken = self._text.startswith(character, self._index)
        self._index += taken
        return taken


def _key_name(written: str) -> str:
    """A part of a key without its quotes and escapes."""
    if "\\" in written and written.startswith('"'):
        try:
            return next(iter(tomllib.loads(f"{written} = 0")))
        except tomllib.TOMLDecodeError:
            return written
    return written[1:-1] if written[0] in "\"'" else written


def _is_new_line(escape: str) -> bool:
    """Whether an escape stands for a new line."""
    return escape == "\\n" or (escape[1] in "uUx" and int(escape[2:] or "0", 16) == 0x0A)
