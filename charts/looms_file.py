"""The `looms` file: the looms that somebody owns, as TOML."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from charts.lengths import LENGTH_FORMS
from charts.loom import Loom
from charts.pattern_file import LEAST_PEGS, MOST_PEGS
from charts.pattern_syntax import read_toml
from charts.pattern_values import Count, Kind, Spacing, Text
from charts.pattern_words import listed, nearest_word, shown, shown_key
from charts.problems import PatternError, Problem
from charts.toml_places import Place, find_places


@dataclass(frozen=True)
class OwnedLoom:
    """A loom of the `looms` file."""

    name: str
    loom: Loom


_LOOM_KEYS: Final[dict[str, Kind]] = {
    "name": Text(40, required=True),
    "pegs": Count(LEAST_PEGS, MOST_PEGS),
    "spacing": Spacing(),
}
_ALLOWED: Final = {
    "name": 'a name of your own in quotes, such as "blue ring"',
    "pegs": f"{LEAST_PEGS} to {MOST_PEGS}",
    "spacing": f"centre to centre, {LENGTH_FORMS}",
}
"""What a missing key is to hold."""
_MOST_STRANGERS: Final = 20
"""Unknown keys that are named: there is no end of them."""


def read_looms(text: str) -> tuple[OwnedLoom, ...]:
    """The looms of a `looms` file: TOML, a `[[loom]]` for each with name, pegs and spacing.

    Raises PatternError: with one problem if the text is not TOML, else with every problem of
    meaning, each with its line.

    >>> read_looms('[[loom]]\\nname = "blue ring"\\npegs = 40\\nspacing = "3/8 in"')[0].loom.pegs
    40
    """
    places = find_places(text)
    document = read_toml(text, places)
    reading = _LoomsReading(places)
    looms = reading.looms(document)
    if reading.problems:
        raise PatternError(tuple(sorted(reading.problems, key=lambda one: one.line or 0)))
    return looms


class _LoomsReading:
    """Collects the problems of one `looms` file."""

    def __init__(self, places: Place) -> None:
        self.places = places
        self.problems: list[Problem] = []

    def looms(self, document: dict[str, Any]) -> tuple[OwnedLoom, ...]:
        """The looms that have all they need; the rest are problems."""
        self._strangers((), document, ("loom",))
        entries = document.get("loom", [])
        if not isinstance(entries, list) or not all(isinstance(one, dict) for one in entries):
            heading = "[[loom]], in double brackets, on a line of its own above each loom"
            self._blame(("loom",), f"{shown(entries)} is no list of looms", suggestion=heading)
            return ()
        if not entries:
            self._blame(("loom",), "there are no looms here", suggestion="[[loom]] above each one")
        looms: list[OwnedLoom] = []
        for index, entry in enumerate(entries):
            owned = self._loom(index, entry)
            if owned is None:
                continue
            if any(owned.name == other.name for other in looms):
                what = f"there is another loom named {shown(owned.name)}"
                self._blame(("loom", index, "name"), what, "a name of its own for each loom")
            looms.append(owned)
        return tuple(looms)

    def _loom(self, index: int, entry: dict[str, Any]) -> OwnedLoom | None:
        path = ("loom", index)
        self._strangers(path, entry, tuple(_LOOM_KEYS))
        found: dict[str, Any] = {}
        for key, kind in _LOOM_KEYS.items():
            if key not in entry:
                self._blame((*path, key), "this key is missing", _ALLOWED[key])
                continue

            def blame(
                what: str,
                allowed: str = "",
                suggestion: str = "",
                *,
                value_line: int | None = None,
                key: str = key,
            ) -> None:
                del value_line
                self._blame((*path, key), what, allowed, suggestion)

            found[key] = kind.read(entry[key], blame)
        if any(found.get(key) is None for key in _LOOM_KEYS):
            return None
        spacing_mm, spacing_text = found["spacing"]
        return OwnedLoom(found["name"], Loom(found["pegs"], spacing_mm, spacing_text))

    def _strangers(
        self, path: tuple[str | int, ...], table: dict[str, Any], known: tuple[str, ...]
    ) -> None:
        for key in [key for key in table if key not in known][:_MOST_STRANGERS]:
            what = "there is no such key"
            self._blame((*path, key), what, listed(known, "and"), nearest_word(key, known))

    def _blame(
        self, path: tuple[str | int, ...], what: str, allowed: str = "", suggestion: str = ""
    ) -> None:
        """A problem at the path; looms are counted from 1 in its key."""
        place = self.places.nearest(path)
        key = ".".join(str(part + 1) if isinstance(part, int) else shown_key(part) for part in path)
        line = None if place is None else place.line
        self.problems.append(Problem(what, key, allowed, suggestion, line))
