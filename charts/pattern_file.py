"""The pattern file: TOML text to `SockSpec` and back.

One table of keys, `_tables`, says for every key what may stand there; reading, writing and the
spelling of unknown keys all go by it.  Every problem of meaning is reported at once.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from types import MappingProxyType
from typing import Any, Final

from charts.lengths import LENGTH_FORMS
from charts.loom import Loom, Working
from charts.pattern_syntax import read_toml
from charts.pattern_values import (
    MOST_RIB_PEGS,
    Blame,
    Count,
    Drawing,
    Kind,
    Measure,
    Rib,
    Spacing,
    Switch,
    Text,
    Word,
)
from charts.pattern_words import listed, nearest_word, quoted, shortened, shown, shown_key
from charts.problems import PatternError, Problem
from charts.spec import (
    Cuff,
    Flanks,
    Foot,
    FootInstep,
    Gauge,
    Gusset,
    Heel,
    Leftover,
    Leg,
    Motif,
    ShortRows,
    SockSpec,
    Toe,
    ToeShape,
    Units,
)
from charts.stitches import KNIT_LETTERS
from charts.toml_places import Place, find_places

LEAST_PEGS: Final = 16
MOST_PEGS: Final = 120
MOST_BYTES: Final = 1_000_000
"""A pattern file is some thousand bytes long; a larger one is no pattern file."""

_MOST_NAMES: Final = 20
"""Unknown names of one table that get a suggestion, and names listed: there is no end of them."""

_4_IN_10CM: Final = (1000, 1016)
"""From stitches in 4 in to stitches in 10 cm: 4 in are 101.6 mm, NIST SP 811 (2008), app. B.8."""

_MOTIF_NAME: Final = re.compile(r"[A-Za-z0-9_-]{1,40}")


def decode_pattern(data: bytes) -> str:
    """The text of a pattern file: UTF-8, with or without a byte order mark, lines ended by LF.

    Raises PatternError with one problem for a file that is too large or not UTF-8 text.
    """
    if len(data) > MOST_BYTES:
        what = f"the file is {len(data):,} bytes long, too long for a pattern"
        problem = Problem(what, allowed=f"up to {MOST_BYTES:,} bytes")
    elif data.startswith(_WIDE_MARKS):
        problem = Problem("the file is UTF-16 or UTF-32 text", suggestion="save it as UTF-8")
    elif b"\x00" in data:
        what = "there is a zero byte: this is not UTF-8 text"
        problem = Problem(what, suggestion="save it as UTF-8", line=_line(data, data.index(0)))
    else:
        text = data.removeprefix(b"\xef\xbb\xbf")
        try:
            return text.decode().replace("\r\n", "\n")
        except UnicodeDecodeError as error:
            line = _line(text, error.start)
        what = "there is a byte that is not UTF-8 text"
        problem = Problem(what, suggestion="save it as UTF-8", line=line)
    raise PatternError((problem,))


_WIDE_MARKS: Final = (b"\xff\xfe", b"\xfe\xff", b"\x00\x00\xfe\xff")
"""The byte order marks of UTF-16 and UTF-32 (Unicode Standard, section 23.8)."""


def _line(data: bytes, index: int) -> int:
    return data.count(b"\n", 0, index) + 1


def read_pattern(text: str, *, most_pegs: int = MOST_PEGS) -> SockSpec:
    """What the pattern file asks for.

    Raises PatternError: with one problem if the text is not TOML, else with every problem of
    meaning, each with its key and, where the text has one, its line.
    """
    places = find_places(text)
    document = read_toml(text, places)
    faults: list[_Fault] = []
    tables = _tables(most_pegs)
    others = (*(name for name in tables if name != _TOP), _MOTIF)
    found = {_TOP: _read_table((), document, tables[_TOP], faults, others=others)}
    for name in others[:-1]:
        asked = name in document or name == "loom"
        table = document.get(name, {})
        found[name] = _read_table((name,), table, tables[name], faults) if asked else {}
    motif_table = document.get(_MOTIF, {})
    motifs = _read_motifs(motif_table, faults)
    panel = found["leg"].get("panel")
    if panel is not None and isinstance(motif_table, dict):
        _check_panel(panel, tuple(motif_table), faults)
    if faults:
        problems = (_problem(fault, places) for fault in faults)
        raise PatternError(tuple(sorted(problems, key=lambda problem: problem.line or 0)))
    return _make_spec(found, motifs)


def write_pattern(spec: SockSpec) -> str:
    """The pattern file of a spec, with only the keys that differ from their defaults.

    Reading it gives an equal spec, for every spec that reading can give.
    """
    default = SockSpec(title="", loom=replace(spec.loom, working=Working.LEFT_TO_RIGHT))
    always = {"loom": ("pegs", "spacing"), "gauge": ("stitches", "rows"), _TOP: ("title",)}
    blocks = []
    for name, kinds in _tables(max(MOST_PEGS, spec.loom.pegs)).items():
        values, defaults = _values(name, spec), _values(name, default)
        lines = [
            f"{key} = {kind.write(values[key])}"
            for key, kind in kinds.items()
            if key in values and (key in always.get(name, ()) or values[key] != defaults[key])
        ]
        if lines and name:
            lines.insert(0, f"[{name}]")
        blocks.append(lines)
    for motif in spec.motifs.values():
        blocks.append([f"[{_MOTIF}.{motif.name}]", f"rows = {Drawing().write(motif.rows)}"])
    return "\n\n".join("\n".join(lines) for lines in blocks if lines) + "\n"


def with_lines(problems: Iterable[Problem], text: str) -> tuple[Problem, ...]:
    """The problems, each that names a key and no line now with the line of that key.

    For problems that later stages find in the spec read from this text.  A key that is not in
    the text is placed at its table's heading, if there is one.
    """
    places = find_places(text)
    placed = []
    for problem in problems:
        place = places.nearest(tuple(problem.key.split(".")))
        if problem.line is None and place:
            problem = replace(problem, line=place.line)
        placed.append(problem)
    return tuple(placed)


# The table of keys.

_TOP: Final = ""
_MOTIF: Final = "motif"

_REQUIRED: Final[Mapping[str, tuple[str, ...]]] = {
    _TOP: ("title",),
    "loom": ("pegs", "spacing"),
    "gauge": ("stitches", "rows"),
    _MOTIF: ("rows",),
}


def _words(words: type[Enum]) -> Word:
    return Word({word.value: word for word in words})


def _tables(most_pegs: int) -> dict[str, dict[str, Kind]]:
    """Every table of the file and every key in it, in the order they are written."""
    return {
        _TOP: {
            "title": Text(120, required=True),
            "designer": Text(80),
            "notes": Text(2000, lines=True),
            "units": _words(Units),
            "knit": Word({word: word for word in KNIT_LETTERS}),
            "yarn": Text(80),
        },
        "loom": {
            "pegs": Count(LEAST_PEGS, most_pegs),
            "spacing": Spacing(),
            "working": _words(Working),
        },
        "gauge": {
            "stitches": Measure(),
            "rows": Measure(),
            "per": Word({"10 cm": (1, 1), "4 in": _4_IN_10CM}),
        },
        "cuff": {"rib": Rib(), "rows": Count(1, 200), "leftover": _words(Leftover)},
        "leg": {
            "rows": Count(0, 400),
            "panel": Text(40),
            "across": Count(1, 20),
            "flanks": _words(Flanks),
            "round_start_shift": Count(0, MOST_RIB_PEGS - 1),
        },
        "heel": {
            "pegs": Count(1, most_pegs),
            "centre": Count(1, most_pegs),
            "flap_rows": Count(1, 400),
        },
        "gusset": {"corner_bars": Switch()},
        "foot": {"rows": Count(4, 400), "instep": _words(FootInstep)},
        "toe": {
            "shape": _words(ToeShape),
            "side": Count(1, most_pegs),
            "short_rows": _words(ShortRows),
        },
        "pair": {"mirror_cables": Switch()},
    }


def _make_spec(found: Mapping[str, Mapping[str, Any]], motifs: dict[str, Motif]) -> SockSpec:
    loom = dict(found["loom"])
    spacing_mm, spacing_text = loom.pop("spacing")
    gauge = None
    if found["gauge"]:
        up, down = found["gauge"].get("per", (1, 1))
        gauge = Gauge(*(found["gauge"][key] * up / down for key in ("stitches", "rows")))
    return SockSpec(
        loom=Loom(spacing_mm=spacing_mm, spacing_text=spacing_text, **loom),
        gauge=gauge,
        cuff=Cuff(**found["cuff"]),
        leg=Leg(**found["leg"]),
        heel=Heel(**found["heel"]),
        gusset=Gusset(**found["gusset"]),
        foot=Foot(**found["foot"]),
        toe=Toe(**found["toe"]),
        mirror_second_sock=found["pair"].get("mirror_cables", False),
        motifs=MappingProxyType(motifs),
        **found[_TOP],
    )


def _values(table: str, spec: SockSpec) -> Mapping[str, Any]:
    """The values of one table of a spec by key: `_make_spec` backwards."""
    if table == _TOP:
        return vars(spec)
    if table == "loom":
        return {**vars(spec.loom), "spacing": (spec.loom.spacing_mm, spec.loom.spacing_text)}
    if table == "gauge":
        if spec.gauge is None:
            return {}
        return {"stitches": spec.gauge.stitches_per_10cm, "rows": spec.gauge.rows_per_10cm}
    if table == "pair":
        return {"mirror_cables": spec.mirror_second_sock}
    section: Mapping[str, Any] = vars(getattr(spec, table))
    return section


# Reading tables.

_Path = tuple[str, ...]


@dataclass(frozen=True)
class _Fault:
    """A problem before its line is known."""

    path: _Path
    what: str
    allowed: str = ""
    suggestion: str = ""
    value_line: int | None = None
    """For a text over several lines: the line to blame, from 0."""


def _read_table(
    path: _Path,
    table: object,
    kinds: Mapping[str, Kind],
    faults: list[_Fault],
    *,
    others: Sequence[str] = (),
) -> dict[str, Any]:
    """The values of one table by key; `others` are the tables that may stand in it."""
    if not isinstance(table, dict):
        heading = f"[{'.'.join(shown_key(part) for part in path)}] on a line of its own"
        faults.append(_Fault(path, f"{shown(table)} is not a table", suggestion=heading))
        return {}
    found = {}
    strangers = []
    for key, value in table.items():
        if key in kinds:
            found[key] = kinds[key].read(value, _blame((*path, key), faults))
        elif key not in others:
            strangers.append(key)
    for number, key in enumerate(strangers):
        thing = "table" if isinstance(table[key], dict) else "key"
        names = others if thing == "table" else tuple(kinds)
        suggestion = _better(key, names) if number < _MOST_NAMES else ""
        what = f"there is no such {thing}"
        faults.append(_Fault((*path, key), what, listed(names, "and"), suggestion))
    for key in _REQUIRED.get(path[0] if path else _TOP, ()):
        if key not in table:
            faults.append(_Fault((*path, key), "this key is missing", _FORMS.get(key, "")))
    return found


_FORMS: Final = {
    "title": "text in quotes",
    "pegs": "the number of pegs of the loom",
    "spacing": LENGTH_FORMS,
}
"""What a missing key is to hold."""


def _blame(path: _Path, faults: list[_Fault]) -> Blame:
    def blame(
        what: str,
        allowed: str = "",
        suggestion: str = "",
        *,
        value_line: int | None = None,
    ) -> None:
        faults.append(_Fault(path, what, allowed, suggestion, value_line))

    return blame


def _better(key: str, names: Sequence[str]) -> str:
    """What to write for a key there is not: the nearest spelling, or where the key belongs."""
    nearest = nearest_word(key, names)
    homes = [name for name, kinds in _tables(MOST_PEGS).items() if key in kinds]
    if nearest or not homes:
        return nearest
    if _TOP in homes:
        return "move it above the first [table]"
    return f"move it under {listed(f'[{home}]' for home in homes)}"


def _read_motifs(table: object, faults: list[_Fault]) -> dict[str, Motif]:
    """The motifs by name; faulty ones are left out."""
    if not isinstance(table, dict):
        what = f"{shown(table)} is not a table"
        faults.append(_Fault((_MOTIF,), what, suggestion="[motif.NAME] on a line of its own"))
        return {}
    motifs = {}
    for name, motif in table.items():
        path = (_MOTIF, name)
        if not isinstance(motif, dict):
            heading = "[motif.NAME], in single brackets, on the line above the rows"
            faults.append(_Fault(path, "a motif is a table of its own", suggestion=heading))
            continue
        if not _MOTIF_NAME.fullmatch(name):
            allowed = "1 to 40 letters a–z or A–Z, digits, - and _"
            faults.append(_Fault(path, "this is not a name for a motif", allowed))
        rows = _read_table(path, motif, {"rows": Drawing()}, faults).get("rows")
        if rows:
            motifs[name] = Motif(name, rows)
    return motifs


def _check_panel(panel: str, names: Sequence[str], faults: list[_Fault]) -> None:
    if panel in names:
        return
    nearest = nearest_word(panel, names)
    suggestion = shown(nearest) if nearest else ""
    if not names:
        suggestion = f"draw it under [motif.{panel}]" if _MOTIF_NAME.fullmatch(panel) else ""
    known = [quoted(shortened(name)) for name in names[:_MOST_NAMES]]
    allowed = listed([*known, f"{len(names) - _MOST_NAMES} more"] if names[_MOST_NAMES:] else known)
    what = f"there is no motif {shown(panel)}"
    faults.append(_Fault(("leg", "panel"), what, allowed, suggestion))


def _problem(fault: _Fault, places: Place) -> Problem:
    place = places.nearest(fault.path)
    line = place.line if place else None
    if place and place.value_lines and fault.value_line is not None:
        line = place.value_lines[fault.value_line]
    key = ".".join(shown_key(part) for part in fault.path)
    return Problem(fault.what, key, fault.allowed, fault.suggestion, line)
