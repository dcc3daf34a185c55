"""The pattern file: TOML text to `SockSpec` and back.

One table of keys, `_tables`, says for every key what may stand there; reading, writing and the
spelling of unknown keys all go by it.  Every problem of meaning is reported at once.
"""

from __future__ import annotations

import itertools
import math
import re
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from types import MappingProxyType
from typing import Any, Final, Protocol

from charts.lengths import LENGTH_FORMS, LengthError, read_length
from charts.loom import Loom, Working
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
from charts.stitches import KNIT_LETTERS, MOTIF_LETTERS, crosses
from charts.toml_places import Place, find_places

LEAST_PEGS: Final = 16
MOST_PEGS: Final = 120
MOST_BYTES: Final = 1_000_000
"""A pattern file is some thousand bytes long; a larger one is no pattern file."""

MOST_RIB_PEGS: Final = 12
_MOST_MOTIF_SIDE: Final = 60
_SPACING_MM: Final = (3.0, 30.0)
_MOST_PER_10CM: Final = 100.0
_DEEPEST: Final = 8
"""Tables within tables; the pattern file needs three, and TOML readers slow down with depth."""
_MOST_SUGGESTIONS: Final = 20
"""Unknown names of one table that get a suggestion: looking for near spellings is slow."""

_INCHES_4_IN_10CM: Final = 1000 / 1016
"""Stitches in 4 in to stitches in 10 cm: 4 in are 101.6 mm, NIST SP 811 (2008), appendix B.8."""

_MOTIF_NAME: Final = re.compile(r"[A-Za-z0-9_-]{1,40}")
_RIB: Final = re.compile(r"(?:[kp][0-9]{1,2}(?:, ?| ?))*")
_RIB_RUN: Final = re.compile(r"([kp])([0-9]+)")

Path = tuple[str, ...]


def decode_pattern(data: bytes) -> str:
    """The text of a pattern file: UTF-8, with or without a byte order mark, lines ended by LF.

    Raises PatternError with one problem for a file that is too large or not UTF-8 text.
    """
    if len(data) > MOST_BYTES:
        raise _one(
            f"the file is {len(data):,} bytes long, too long for a pattern",
            allowed=f"up to {MOST_BYTES:,} bytes",
        )
    if data.startswith((b"\xff\xfe", b"\xfe\xff", b"\x00\x00\xfe\xff")):
        raise _one("the file is UTF-16 or UTF-32 text", suggestion="save it as UTF-8")
    if b"\x00" in data:
        line = data.count(b"\n", 0, data.index(b"\x00")) + 1
        raise _one("a zero byte: this is not a text file", "save it as UTF-8 text", line=line)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        # after a byte order mark the positions are counted from behind it
        line = error.object.count(b"\n", 0, error.start) + 1
        raise _one("a byte that is not UTF-8 text", "save it as UTF-8", line=line) from None
    return text.replace("\r\n", "\n")


def read_pattern(text: str, *, most_pegs: int = MOST_PEGS) -> SockSpec:
    """What the pattern file asks for.

    Raises PatternError: with one problem if the text is not TOML, else with every problem of
    meaning, each with its key and, where the text has one, its line.
    """
    places = find_places(text)
    document = _parse(text, places)
    faults: list[_Fault] = []
    found: dict[str, dict[str, Any]] = {}
    tables = _tables(most_pegs)
    for name, kinds in tables.items():
        if name == _TOP:
            others = (*tables, _MOTIF)
            found[name] = _read_table((), document, kinds, faults, others=others)
        elif name in document or name == "loom":
            found[name] = _read_table((name,), document.get(name, {}), kinds, faults)
        else:
            found[name] = {}
    motifs = _read_motifs(document.get(_MOTIF, {}), faults)
    panel = found["leg"].get("panel")
    if panel is not None and isinstance(document.get(_MOTIF, {}), dict):
        _check_panel(panel, tuple(document.get(_MOTIF, {})), faults)
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


def write_text(text: str) -> str:
    """A TOML string with that text, over several lines if the text has several.

    >>> print(write_text('a "round" toe'))
    "a \\"round\\" toe"
    """
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"""\n{escaped}\n"""' if "\n" in text else f'"{escaped}"'


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


# What may stand at a key.


@dataclass(frozen=True)
class _Fault:
    """A problem before its line is known."""

    path: Path
    what: str
    allowed: str = ""
    suggestion: str = ""
    value_line: int | None = None
    """For a text over several lines: the line to blame, from 0."""


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
            "per": Word({"10 cm": 1.0, "4 in": _INCHES_4_IN_10CM}),
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
        scale = found["gauge"].get("per", 1.0)
        gauge = Gauge(found["gauge"]["stitches"] * scale, found["gauge"]["rows"] * scale)
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


def _read_table(
    path: Path,
    table: object,
    kinds: Mapping[str, Kind],
    faults: list[_Fault],
    *,
    others: Iterable[str] = (),
) -> dict[str, Any]:
    """The values of one table by key; `others` are the tables that may stand in it."""
    dotted = ".".join(path)
    if not isinstance(table, dict):
        faults.append(
            _Fault(path, f"{shown(table)} is not a table", "", f"[{dotted}] on its own line")
        )
        return {}
    found = {}
    strangers = []
    for key, value in table.items():
        if key in kinds:
            found[key] = kinds[key].read(value, _blame((*path, key), faults))
        elif key not in others:
            strangers.append(key)
    for number, key in enumerate(strangers):
        names = (name for name in others if name) if isinstance(table[key], dict) else kinds
        faults.append(_stranger(path, key, tuple(names), number < _MOST_SUGGESTIONS))
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


def _blame(path: Path, faults: list[_Fault]) -> Blame:
    def blame(
        what: str,
        allowed: str = "",
        suggestion: str = "",
        *,
        value_line: int | None = None,
    ) -> None:
        faults.append(_Fault(path, what, allowed, suggestion, value_line))

    return blame


def _stranger(path: Path, key: str, names: Sequence[str], suggest: bool) -> _Fault:
    """The fault of a key or table that the pattern file does not know."""
    what = "there is no such key" if names and path else "there is no such key or table"
    nearest = nearest_word(key, names) if suggest else ""
    suggestion = nearest
    if suggest and not nearest:
        homes = [name for name, kinds in _tables(MOST_PEGS).items() if key in kinds]
        if _TOP in homes:
            suggestion = "move it above the first [table]"
        elif homes:
            suggestion = f"move it under {listed(f'[{home}]' for home in homes)}"
    return _Fault((*path, key), what, listed(names, "and"), suggestion)


def _read_motifs(table: object, faults: list[_Fault]) -> dict[str, Motif]:
    """The motifs by name; faulty ones are left out."""
    if not isinstance(table, dict):
        faults.append(
            _Fault((_MOTIF,), f"{shown(table)} is not a table", "", "[motif.NAME] on its own line")
        )
        return {}
    motifs = {}
    for name, motif in table.items():
        path = (_MOTIF, name)
        if not isinstance(motif, dict):
            again = f"[motif.NAME] above it, with a name for the motif, then {name} = …"
            faults.append(_Fault(path, "this key stands in no motif", "", again))
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
    suggestion = quoted(nearest) if nearest else ""
    if not names:
        suggestion = f"draw it under [motif.{panel}]" if _MOTIF_NAME.fullmatch(panel) else ""
    allowed = listed(quoted(shortened(name)) for name in names)
    what = f"there is no motif {shown(panel)}"
    faults.append(_Fault(("leg", "panel"), what, allowed, suggestion))


def _problem(fault: _Fault, places: Place) -> Problem:
    place = places.nearest(fault.path)
    line = place.line if place else None
    if place and place.value_lines and fault.value_line is not None:
        line = place.value_lines[fault.value_line]
    key = ".".join(shown_key(part) for part in fault.path)
    return Problem(fault.what, key, fault.allowed, fault.suggestion, line)
