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

from charts.house_values import Colour, EditionDate, EditionNumber, PicturePath
from charts.lengths import LENGTH_FORMS
from charts.loom import Loom, Working
from charts.pattern_syntax import read_toml
from charts.pattern_values import (
    LEAST_PER_10CM,
    MOST_PER_10CM,
    MOST_RIB_PEGS,
    Amount,
    Blame,
    Count,
    Drawing,
    EaseShare,
    FootClassWords,
    Kind,
    Measured,
    Rib,
    ShoeSizeWords,
    Spacing,
    Switch,
    Tables,
    Text,
    Weight,
    Word,
    Yarn,
)
from charts.pattern_words import listed, nearest_word, quoted, shortened, shown, shown_key
from charts.problems import PatternError, Problem
from charts.spec import (
    BallBand,
    Cuff,
    EaseWanted,
    Flanks,
    Foot,
    FootInstep,
    Gauge,
    Gusset,
    Heel,
    House,
    Leftover,
    Leg,
    Motif,
    RowCount,
    ShortRows,
    SockSpec,
    SwatchCount,
    Toe,
    ToeShape,
    Units,
    WearerFacts,
)
from charts.stitches import KNIT_LETTERS
from charts.toml_places import Place, find_places
from charts.usual import with_usual_rows

LEAST_PEGS: Final = 16
MOST_PEGS: Final = 120
MOST_BYTES: Final = 1_000_000
"""A pattern file is some thousand bytes long; a larger one is no pattern file."""

_MOST_NAMES: Final = 20
"""Unknown names of one table that get a suggestion, and names listed: there is no end of them."""

_IN_10CM: Final = {"10 cm": (1, 1), "4 in": (1000, 1016)}
"""From stitches in a length to stitches in 10 cm: 4 in are 101.6 mm, NIST SP 811 (2008), app. B.8.
"""

_MOTIF_NAME: Final = re.compile(r"[A-Za-z0-9_-]{1,40}")


def decode_pattern(data: bytes, *, thing: str = "pattern") -> str:
    """The text of a pattern file: UTF-8, with or without a byte order mark, lines ended by LF.

    `thing` is what messages call it.

    Raises PatternError with one problem for a file that is too large or not UTF-8 text.
    """
    if len(data) > MOST_BYTES:
        what = f"the file is {len(data):,} bytes long, too long for a {thing}"
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

    Raises PatternError: with one problem if the text is not TOML or holds sizes, else with every
    problem of meaning, each with its key and, where the text has one, its line.
    """
    places = find_places(text)
    document = read_toml(text, places)
    if SIZE in document:
        place = places.nearest((SIZE,))
        what = "the pattern has sizes: it is not one sock"
        raise PatternError((Problem(what, SIZE, line=place.line if place else None),))
    return read_document(document, places, most_pegs=most_pegs)


def read_document(
    document: Mapping[str, Any], places: Place, *, most_pegs: int = MOST_PEGS
) -> SockSpec:
    """What a TOML document without sizes asks for; `places` has the lines of its keys.

    Raises PatternError with every problem of meaning.
    """
    faults: list[_Fault] = []
    tables = _tables(most_pegs)
    others = (*table_names(), SIZE)
    top = tables[_TOP]
    found = {_TOP: _read_table((), document, top, faults, required=("title",), others=others)}
    misspelt = _misspelt(document, others)
    for name in others[:-2]:
        required = ("pegs", "spacing") if name == "loom" and name not in misspelt else ()
        table = document.get(name, {})
        found[name] = _read_table((name,), table, tables[name], faults, required=required)
    motif_table = document.get(_MOTIF, {})
    motifs = _read_motifs(motif_table, faults)
    _check_gauge(found["gauge"], isinstance(document.get("gauge"), dict), faults)
    _check_ball(found["ball"], found["gauge"], faults)
    panel = found["leg"].get("panel")
    if panel is not None and isinstance(motif_table, dict) and _MOTIF not in misspelt:
        _check_panel(panel, tuple(motif_table), faults)
    if faults:
        problems = (_problem(fault, places) for fault in faults)
        raise PatternError(tuple(sorted(problems, key=lambda problem: problem.line or 0)))
    return _make_spec(found, motifs, wearer="wearer" in document)


def table_names() -> tuple[str, ...]:
    """The tables that describe one sock."""
    return (*(name for name in _tables(MOST_PEGS) if name != _TOP), _MOTIF)


def write_pattern(spec: SockSpec) -> str:
    """The pattern file of a spec, with only the keys that differ from their defaults.

    Reading it gives an equal spec, for every spec that reading can give.
    """
    default = SockSpec(title="", loom=replace(spec.loom, working=Working.LEFT_TO_RIGHT))
    always = {"title", "loom.pegs", "loom.spacing", "gauge.stitches", "gauge.rows"}
    left_out = {rows.value for rows in spec.left_out}
    # A number that is not written would be worked out anew.
    always |= {rows.value for rows in RowCount} - left_out
    blocks = []
    for name, kinds in _tables(max(MOST_PEGS, spec.loom.pegs)).items():
        values, defaults = _values(name, spec), _values(name, default)
        lines = [
            f"{key} = {kind.write(values[key])}"
            for key, kind in kinds.items()
            if key in values
            and f"{name}.{key}" not in left_out
            and (f"{name}.{key}".strip(".") in always or values[key] != defaults.get(key))
        ]
        if name and (lines or (name == "wearer" and spec.wearer is not None)):
            lines.insert(0, f"[{name}]")
        blocks.append(lines)
    for motif in spec.motifs.values():
        blocks.append([f"[{_MOTIF}.{motif.name}]", f"rows = {Drawing().write(motif.rows)}"])
    return "\n\n".join("\n".join(lines) for lines in blocks if lines) + "\n"


def with_lines(problems: Iterable[Problem], text: str) -> tuple[Problem, ...]:
    """The problems, each that names a key and no line now with the line of that key.

    For problems that later stages find in the spec read from this text.  A key that is not in
    the text is placed at its table's heading; a usual number whose table is not there either, at
    the loom that it does not suit.
    """
    places = find_places(text)
    loom = places.nearest(("loom", "pegs"))
    placed = []
    for problem in problems:
        place = places.nearest(tuple(problem.key.split("."))) or (loom if problem.key else None)
        if problem.line is None and place:
            problem = replace(problem, line=place.line)
        placed.append(problem)
    return tuple(placed)


# The table of keys.

_TOP: Final = ""
_MOTIF: Final = "motif"
SIZE: Final = "size"
"""The list of sizes; `charts.sizes` reads it."""

HOUSE: Final = "house"
"""How the publisher marks the pattern; the same for all its sizes."""


def _words(words: type[Enum]) -> Word:
    return Word({word.value: word for word in words})


_SWATCH: Final[Mapping[str, Kind]] = {
    "stitches": Amount(400),
    "rows": Amount(400),
    "over": Measured(20, 500, "a swatch", unit="cm"),
    "high": Measured(20, 500, "a swatch", unit="cm"),
    "yarn": Yarn(),
    "washed": Switch(),
}

_MEASURES: Final = (
    "length",
    "ball",
    "ankle",
    "heel_round",
    "leg_round",
    "leg_height",
    "heel_width",
    "heel_height",
)


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
            "stitches": Amount(MOST_PER_10CM, LEAST_PER_10CM),
            "rows": Amount(MOST_PER_10CM, LEAST_PER_10CM),
            "per": Word({words: words for words in _IN_10CM}),
            "swatches": Tables(_SWATCH, ("stitches", "rows"), 20),
            "weight": Weight(),
        },
        "wearer": {
            **{
                name: Measured(20, 700, f"the {name.replace('_', ' ')} of a foot", unit="cm")
                for name in _MEASURES
            },
            "shoe": ShoeSizeWords(),
            "class": FootClassWords(),
        },
        "ease": {"round": EaseShare(along=False), "length": EaseShare(along=True)},
        "ball": {
            "metres": Amount(5000),
            "grams": Amount(2000),
            "weight": Weight(),
            "strands": Count(1, 6),
        },
        "cuff": {"rib": Rib(), "rows": Count(1, 200), "leftover": _words(Leftover)},
        "leg": {
            "rows": Count(0, 400),
            "panel": Text(40),
            "across": Count(1, 20),
            "flanks": _words(Flanks),
            "round_start_shift": Count(0, MOST_RIB_PEGS - 1),
            "round_to_motif": Switch(),
        },
        "heel": {
            "pegs": Count(1, most_pegs),
            "centre": Count(1, most_pegs),
            "flap_rows": Count(1, 400),
        },
        "gusset": {"corner_bars": Switch()},
        "foot": {
            "rows": Count(4, 400),
            "instep": _words(FootInstep),
            "round_to_motif": Switch(),
        },
        "toe": {
            "shape": _words(ToeShape),
            "side": Count(1, most_pegs),
            "short_rows": _words(ShortRows),
        },
        "pair": {"mirror_cables": Switch()},
        HOUSE: {
            "licence": Text(300),
            "copyright": Text(120),
            "logo": PicturePath(),
            "accent": Colour(),
            "edition": EditionNumber(),
            "date": EditionDate(),
        },
    }


def _make_spec(
    found: Mapping[str, Mapping[str, Any]], motifs: dict[str, Motif], *, wearer: bool
) -> SockSpec:
    loom = dict(found["loom"])
    spacing_mm, spacing_text = loom.pop("spacing")
    swatches = tuple(SwatchCount(**swatch) for swatch in found["gauge"].get("swatches", ()))
    spec = SockSpec(
        loom=Loom(spacing_mm=spacing_mm, spacing_text=spacing_text, **loom),
        gauge=_make_gauge(found["gauge"], swatches),
        swatches=swatches,
        gauge_weight=found["gauge"].get("weight", ""),
        wearer=WearerFacts(**_renamed(found["wearer"], _WEARER_FIELDS)) if wearer else None,
        ease=EaseWanted(**_renamed(found["ease"], _EASE_FIELDS)),
        ball=BallBand(**found["ball"]),
        cuff=Cuff(**found["cuff"]),
        leg=Leg(**found["leg"]),
        heel=Heel(**found["heel"]),
        gusset=Gusset(**found["gusset"]),
        foot=Foot(**found["foot"]),
        toe=Toe(**found["toe"]),
        mirror_second_sock=found["pair"].get("mirror_cables", False),
        house=House(**found[HOUSE]),
        motifs=MappingProxyType(motifs),
        left_out=frozenset(
            rows for rows in RowCount if "rows" not in found[rows.value.split(".")[0]]
        ),
        **found[_TOP],
    )
    return with_usual_rows(spec)


def _make_gauge(found: Mapping[str, Any], swatches: tuple[SwatchCount, ...]) -> Gauge | None:
    """As counted: over 10 cm or 4 in, or the mean of the swatches."""
    if swatches:
        stitches, rows = [], []
        for swatch in swatches:
            stitches.append(100 * swatch.stitches / swatch.over.mm)
            rows.append(100 * swatch.rows / (swatch.high or swatch.over).mm)
        return Gauge(sum(stitches) / len(swatches), sum(rows) / len(swatches))
    if "stitches" not in found:
        return None
    return gauge_over(found["stitches"], found["rows"], found.get("per", "10 cm"))


def gauge_over(stitches: float, rows: float, per: str) -> Gauge:
    """The gauge of counts over "10 cm" or "4 in"."""
    up, down = _IN_10CM[per]
    return Gauge(stitches * up / down, rows * up / down)


_WEARER_FIELDS: Final = {"class": "foot_class"}
_EASE_FIELDS: Final = {"round": "round_percent", "length": "length_percent"}
"""Keys that are called otherwise in the spec."""


def _renamed(found: Mapping[str, Any], names: Mapping[str, str]) -> dict[str, Any]:
    return {names.get(key, key): value for key, value in found.items()}


def _values(table: str, spec: SockSpec) -> Mapping[str, Any]:
    """The values of one table of a spec by key: `_make_spec` backwards."""
    if table == _TOP:
        return vars(spec)
    if table == "loom":
        return {**vars(spec.loom), "spacing": (spec.loom.spacing_mm, spec.loom.spacing_text)}
    if table == "gauge":
        return _gauge_values(spec)
    if table == "wearer":
        facts = vars(spec.wearer) if spec.wearer else {}
        keys = (*_MEASURES, "shoe", "class")
        return {key: facts.get(_WEARER_FIELDS.get(key, key)) or None for key in keys}
    if table == "ease":
        return {key: getattr(spec.ease, name) for key, name in _EASE_FIELDS.items()}
    if table == "pair":
        return {"mirror_cables": spec.mirror_second_sock}
    section: Mapping[str, Any] = vars(getattr(spec, table))
    return section


def _gauge_values(spec: SockSpec) -> Mapping[str, Any]:
    values: dict[str, Any] = {"weight": spec.gauge_weight} if spec.gauge_weight else {}
    if spec.swatches:
        default = vars(SwatchCount(0, 0))
        values["swatches"] = [
            {key: value for key, value in vars(swatch).items() if value != default[key]}
            for swatch in spec.swatches
        ]
    elif spec.gauge is not None:
        values["stitches"] = spec.gauge.stitches_per_10cm
        values["rows"] = spec.gauge.rows_per_10cm
    return values


# Reading tables.

_Path = tuple[str | int, ...]
"""Keys by name, items of a list by number from 0."""


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
    required: Sequence[str] = (),
    others: Sequence[str] = (),
) -> dict[str, Any]:
    """The values of one table by key; `others` are the tables that may stand in it."""
    if not isinstance(table, dict):
        heading = f"[{_key(path)}] on a line of its own"
        faults.append(_Fault(path, f"{shown(table)} is not a table", suggestion=heading))
        return {}
    found = {}
    strangers = []
    for key, value in table.items():
        if key in kinds:
            kind = kinds[key]
            found[key] = kind.read(value, _blame((*path, key), faults))
            if isinstance(kind, Tables):
                found[key] = _read_list((*path, key), kind, found[key] or (), faults)
        elif key not in others:
            strangers.append(key)
    for number, key in enumerate(strangers):
        thing = "table" if isinstance(table[key], dict) else "key"
        names = others if thing == "table" else tuple(kinds)
        suggestion = _better(key, names) if number < _MOST_NAMES else ""
        what = f"there is no such {thing}"
        faults.append(_Fault((*path, key), what, listed(names, "and"), suggestion))
    faults.extend(_missing(path, key) for key in required if key not in table)
    return found


def _read_list(
    path: _Path, kind: Tables, tables: Sequence[object], faults: list[_Fault]
) -> list[dict[str, Any]]:
    return [
        _read_table((*path, number), table, kind.kinds, faults, required=kind.required)
        for number, table in enumerate(tables)
    ]


def _missing(path: _Path, key: str, allowed: str = "") -> _Fault:
    return _Fault((*path, key), "this key is missing", allowed or _FORMS.get(key, ""))


def _check_gauge(found: Mapping[str, Any], there: bool, faults: list[_Fault]) -> None:
    """A gauge is counts, or swatches, or a weight to guess it from."""
    counts = [key for key in ("stitches", "rows") if key in found]
    if "swatches" in found:
        faults.extend(
            _Fault(
                ("gauge", key),
                "the gauge is given twice: here and by swatches",
                suggestion=f"leave {key} out, or the swatches",
            )
            for key in counts
        )
    elif len(counts) == 1 or (there and not counts and "weight" not in found):
        faults.extend(
            _missing(("gauge",), key, f"the {key} counted in 10 cm, or in what per says")
            for key in ("stitches", "rows")
            if key not in counts
        )


_FORMS: Final = {
    "title": "text in quotes",
    "pegs": "the number of pegs of the loom",
    "spacing": LENGTH_FORMS,
}
"""What a missing key is to hold."""


def _check_ball(found: Mapping[str, Any], gauge: Mapping[str, Any], faults: list[_Fault]) -> None:
    """Grams are turned into metres, and back, by the band or by a weight category."""
    if "weight" in found or "weight" in gauge or {"metres", "grams"} <= found.keys():
        return
    hint = 'or the yarn\'s weight, as weight = "medium" under [ball]'
    for key, other in (("metres", "grams"), ("grams", "metres")):
        if key in found:
            what = f"the {key} of a ball say too little without its {other}"
            faults.append(_Fault(("ball", key), what, suggestion=f"give {other} too, {hint}"))
    for number, swatch in enumerate(gauge.get("swatches", ())):
        if swatch.get("yarn") is not None and swatch["yarn"].grams is not None:
            what = "grams tell no length of yarn without a ball's metres and grams"
            path = ("gauge", "swatches", number, "yarn")
            faults.append(_Fault(path, what, suggestion=f"give them under [ball], {hint}"))


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


def _misspelt(document: Mapping[str, Any], names: Sequence[str]) -> set[str]:
    """The tables that are not there and seem to stand under another name: what is missing in them
    is not told as well."""
    strangers = [
        key for key, value in document.items() if isinstance(value, dict) and key not in names
    ]
    meant = {nearest_word(key, names) for key in strangers[:_MOST_NAMES]}
    return meant - document.keys()


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
        rows = _read_table(path, motif, {"rows": Drawing()}, faults, required=("rows",)).get("rows")
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
    return Problem(fault.what, _key(fault.path), fault.allowed, fault.suggestion, line)


def _key(path: _Path) -> str:
    """The dotted key; an item of a list by its number from 1."""
    return ".".join(str(part + 1) if isinstance(part, int) else shown_key(part) for part in path)
