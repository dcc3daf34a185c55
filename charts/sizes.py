"""Sizes: one pattern file for several socks, each read, fitted, planned and proved on its own.

A `[[size]]` has a name and tables that overrule the file's: `wearer`, `gauge` and `ball` as a
whole, because half of one foot or swatch and half of another make neither; all others key by key.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any, Final

from charts.fitting import FittedSpec, fit_spec, planned_counts
from charts.gauge import gauge_from_spacing
from charts.gauge_of import gauge_of
from charts.knitted import knit_sock
from charts.pattern_file import HOUSE, MOST_PEGS, SIZE, read_document, table_names
from charts.pattern_syntax import read_toml
from charts.pattern_values import Text
from charts.pattern_words import listed, nearest_word, quoted, shown, shown_key
from charts.plan import make_plan, plan_counts, second_sock
from charts.problems import PatternError, Problem
from charts.sock_measures import sock_measures
from charts.spec import SockSpec
from charts.toml_places import Place, find_places
from charts.verify import Knit, NotKnittableError

MOST_SIZES: Final = 40

_NAME: Final = Text(20, required=True)
_OWN_KEYS: Final = ("name", "knit", "yarn")
"""What a size may have beside tables: stitch and yarn go with its loom."""
_WHOLE: Final = frozenset({"wearer", "gauge", "ball"})
"""Tables that a size takes from the file as a whole or not at all."""


@dataclass(frozen=True)
class SizedSpec:
    """What the file asks for in one size."""

    name: str
    """Empty for the one sock of a file without sizes."""
    spec: SockSpec


@dataclass(frozen=True)
class Size:
    """One size, proved."""

    name: str
    fitted: FittedSpec
    knit: Knit
    second: Knit
    """The other sock of the pair; the first again where both are alike."""


@dataclass(frozen=True)
class FailedSize:
    """One size that cannot be made."""

    name: str
    problems: tuple[Problem, ...]
    line: int | None = None
    """Where the size begins in the file."""


@dataclass(frozen=True)
class SizedPattern:
    """Every size of a pattern file."""

    sizes: tuple[Size, ...]
    """The proved ones, smallest first."""
    failed: tuple[FailedSize, ...]
    """The others, in the order of the file."""

    @property
    def problems(self) -> tuple[Problem, ...]:
        """Those of the failed sizes, each naming its sizes; those of every size only once."""
        return _told(self.failed, len(self.sizes) + len(self.failed))


def read_sizes(text: str, *, most_pegs: int = MOST_PEGS) -> tuple[SizedSpec, ...]:
    """What the file asks for in each size, smallest first: by finished round, then by foot length.

    A file without sizes is one size without a name.  Raises PatternError with the problems of all
    sizes.
    """
    entries = _entries(text)
    found, failed = [], []
    for entry in entries:
        try:
            found.append(SizedSpec(entry.name, entry.read(most_pegs)))
        except PatternError as error:
            failed.append(FailedSize(entry.name, error.problems, entry.line))
    if failed:
        raise PatternError(_told(failed, len(entries)))
    return tuple(sorted(found, key=lambda size: finished_mm(size.spec)))


def size_names(text: str) -> tuple[str, ...]:
    """The names of the sizes in the order of the file; one empty name for a file without any.

    Raises PatternError for a text that is not TOML or a list of sizes that is none.
    """
    return tuple(entry.name for entry in _entries(text))


def as_written(spec: SockSpec) -> SockSpec:
    """The spec itself: nothing is asked otherwise than the file has it."""
    return spec


def knit_sizes(
    text: str,
    *,
    only: str | None = None,
    asked: Callable[[SockSpec], SockSpec] = as_written,
) -> SizedPattern:
    """Every size of the file, or `only` the one of that name, read, planned and proved.

    `asked` makes of each spec what is asked for otherwise than the file has it: its mirror image,
    for instance.
    A size that cannot be made does not stop the others.  Raises PatternError for a text that is not
    TOML, or a list of sizes that is none.
    """
    sizes, failed = [], []
    for entry in _entries(text):
        if only is not None and entry.name != only:
            continue
        try:
            sizes.append(_knitted(entry.name, asked(entry.read(MOST_PEGS))))
        except PatternError as error:
            failed.append(FailedSize(entry.name, entry.placed(error.problems), entry.line))
        except NotKnittableError as error:
            told = tuple(Problem(f"cannot be knitted: {line}") for line in str(error).splitlines())
            failed.append(FailedSize(entry.name, (*told, _OUR_FAULT), entry.line))
    sizes.sort(key=lambda size: finished_mm(size.fitted.spec))
    return SizedPattern(tuple(sizes), tuple(failed))


_OUR_FAULT: Final = Problem("this is a fault of pegfolio; please report it")


def _knitted(name: str, spec: SockSpec) -> Size:
    first = knit_sock(spec)
    other = second_sock(spec)
    return Size(name, fit_spec(spec), first, first if other == spec else knit_sock(other))


def finished_mm(spec: SockSpec) -> tuple[float, float, float]:
    """Round, foot length and height of the finished sock, to sort sizes by.

    Without a gauge by a stitch's usual share of the peg spacing; a spec that does not plan has its
    round only.
    """
    gauge = gauge_of(spec) or gauge_from_spacing(spec.loom.spacing_mm, knit=spec.knit)
    try:
        plan = plan_counts(fit_spec(spec).spec)
    except PatternError:
        return gauge.stitches.mm(spec.loom.pegs)[0], 0.0, 0.0
    measures = sock_measures(planned_counts(plan), gauge)
    return measures.round.mm, measures.length.mm, measures.height.mm


# Reading


@dataclass(frozen=True)
class SizeFile:
    """A pattern file from which one sock after another is read, each with changes of its own."""

    names: tuple[str, ...]
    """Of the sizes in the order of the file; none for a file without any."""
    _entries: Mapping[str, _Entry]
    """By name; the file without its sizes has none."""

    def table(self, name: str, table: str) -> Mapping[str, Any]:
        """A table of a size, or of the file for an empty name, as it stands in the text."""
        found = self._entries[name].document.get(table)
        return found if isinstance(found, dict) else {}

    def read(
        self,
        name: str = "",
        *,
        changes: Mapping[str, Any] = MappingProxyType({}),
        without: Collection[str] = (),
    ) -> SockSpec:
        """The spec of a size, or of the file for an empty name, with tables laid over as a size
        lays them, and without these keys, dotted, of the file.

        Raises PatternError with every problem of meaning.
        """
        return self._entries[name].changed(changes, without).read(MOST_PEGS)


def open_sizes(text: str) -> SizeFile:
    """The file, so that socks can be read from it.

    Raises PatternError for a text that is not TOML or a list of sizes that is none.
    """
    entries = _entries(text)
    names = tuple(entry.name for entry in entries if entry.name)
    if not names:
        return SizeFile((), {"": entries[0]})
    places = find_places(text)
    document = {key: value for key, value in read_toml(text, places).items() if key != SIZE}
    bare = _Entry("", document, places, None)
    return SizeFile(names, {entry.name: entry for entry in (bare, *entries)})


@dataclass(frozen=True)
class _Entry:
    """One size as a document of its own: the file's tables with the size's laid over them."""

    name: str
    document: Mapping[str, Any]
    places: Place
    line: int | None
    """Where the size begins; None for a file without sizes."""

    def read(self, most_pegs: int) -> SockSpec:
        return read_document(self.document, self.places, most_pegs=most_pegs)

    def changed(self, changes: Mapping[str, Any], without: Collection[str]) -> _Entry:
        """The same without those keys, and with the changes laid over."""
        document: dict[str, Any] = {}
        for name, value in self.document.items():
            kept = value
            if isinstance(value, dict):
                kept = {key: one for key, one in value.items() if f"{name}.{key}" not in without}
            # A table that is left without a key would say that something is missing.
            if kept or not value:
                document[name] = kept
        return replace(self, document=_laid_over(document, changes))

    def placed(self, problems: Sequence[Problem]) -> tuple[Problem, ...]:
        """The problems of later stages with the lines of their keys."""
        return tuple(
            problem if problem.line is not None else replace(problem, line=self._line(problem.key))
            for problem in problems
        )

    def _line(self, key: str) -> int | None:
        place = self.places.nearest(key.split("."))
        return place.line if place else None


def _entries(text: str) -> tuple[_Entry, ...]:
    places = find_places(text)
    document = read_toml(text, places)
    if SIZE not in document:
        return (_Entry("", document, places, None),)
    tables = document[SIZE]
    place = places.inside[SIZE]
    problem = _list_problem(tables)
    if problem is not None:
        raise PatternError((replace(problem, line=place.line),))
    problems = tuple(_entry_problems(tables, place))
    entries = tuple(
        _Entry(
            _name_of(table, number),
            _laid_over(document, table),
            _places_laid_over(places, place.inside[number]),
            place.inside[number].line,
        )
        for number, table in enumerate(tables)
    )
    if problems:
        inner = _told(tuple(_unplannable(entries)), len(entries))
        told = sorted((*problems, *inner), key=lambda problem: problem.line or 0)
        raise PatternError(tuple(told))
    return entries


def _name_of(table: Mapping[str, Any], number: int) -> str:
    """The size's name; its number in the list where that is none."""

    def ignore(*_: object, **__: object) -> None:
        """What is wrong with names is told elsewhere."""

    name = _NAME.read(table.get("name"), ignore)
    return str(number + 1) if name is None else " ".join(name.split())


def _unplannable(entries: Sequence[_Entry]) -> Iterator[FailedSize]:
    """The sizes that could not be planned either, were the list itself in order."""
    for entry in entries:
        try:
            make_plan(entry.read(MOST_PEGS))
        except PatternError as error:
            yield FailedSize(entry.name, entry.placed(error.problems), entry.line)


def _list_problem(tables: object) -> Problem | None:
    if not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
        heading = "[[size]] in double brackets above each size"
        return Problem("sizes are a list of tables", SIZE, suggestion=heading)
    if not 1 <= len(tables) <= MOST_SIZES:
        how = "few" if not tables else "many"
        return Problem(f"{len(tables):,} sizes are too {how}", SIZE, f"1 to {MOST_SIZES}")
    return None


def _allowed_keys() -> tuple[str, ...]:
    """What a size may hold."""
    return (*_OWN_KEYS, *(name for name in table_names() if name != HOUSE))


def _entry_problems(tables: Sequence[Mapping[str, Any]], place: Place) -> Iterator[Problem]:
    """What is wrong with the sizes' names and their own keys."""
    seen: dict[str, str] = {}
    allowed = _allowed_keys()
    for number, table in enumerate(tables):
        key, here = f"{SIZE}.{number + 1}", place.inside[number]
        for name in table:
            if name not in allowed:
                nearest = nearest_word(name, allowed)
                thing = "table" if isinstance(table[name], dict) else "key"
                yield Problem(
                    f"a size has no such {thing}",
                    f"{key}.{shown_key(name)}",
                    listed(allowed, "and"),
                    nearest,
                    here.inside[name].line,
                )
        if "name" not in table:
            yield Problem("a size needs a name", key, "text in quotes", 'name = "S"', here.line)
            continue
        line = here.inside["name"].line
        faults: list[Problem] = []

        def blame(
            what: str, allowed: str = "", suggestion: str = "", *, value_line: int | None = None
        ) -> None:
            del value_line
            faults.append(Problem(what, f"{key}.name", allowed, suggestion, line))  # noqa: B023

        found = _NAME.read(table["name"], blame)
        yield from faults
        if found is not None:
            if found.casefold() in seen:
                what = f"there is a size {shown(seen[found.casefold()])} already"
                yield Problem(what, f"{key}.name", "names that differ", line=line)
            seen.setdefault(found.casefold(), found)


def _laid_over(document: Mapping[str, Any], size: Mapping[str, Any]) -> dict[str, Any]:
    """The file's document without its sizes, each key overruled by that of the size."""
    merged = {key: value for key, value in document.items() if key != SIZE}
    for key, value in size.items():
        if key not in _allowed_keys() or key == "name":
            continue
        below = merged.get(key)
        if isinstance(value, dict) and isinstance(below, dict) and key not in _WHOLE:
            value = {**below, **value}
        merged[key] = value
    return merged


def _places_laid_over(file: Place, size: Place) -> Place:
    """The places of a document laid over so."""
    inside = {key: place for key, place in file.inside.items() if key != SIZE}
    for key, place in size.inside.items():
        below = inside.get(key)
        if below is not None and key not in _WHOLE:
            place = replace(place, inside={**below.inside, **place.inside})
        inside[key] = place
    return replace(file, inside=inside)


def _told(failed: Sequence[FailedSize], total: int) -> tuple[Problem, ...]:
    """The problems in the order of the file; those alike are told once and name all their sizes.

    One of a key that stands nowhere is placed where its size begins, if it is of one size alone.
    """
    sizes_of: dict[Problem, list[FailedSize]] = {}
    for size in failed:
        for problem in size.problems:
            sizes_of.setdefault(problem, []).append(size)
    told = []
    for problem, sizes in sizes_of.items():
        if not sizes[0].name or len(sizes) == total > 1:
            told.append(problem)
            continue
        line = problem.line
        if line is None and len(sizes) == 1:
            line = sizes[0].line
        key = _key([size.name for size in sizes], problem.key)
        told.append(replace(problem, key=key, line=line))
    return tuple(sorted(told, key=lambda problem: problem.line or 0))


def _key(names: Sequence[str], key: str) -> str:
    """The key after the sizes that it is wrong in, as `size "S": loom.pegs`."""
    sizes = f"size{'s' if len(names) > 1 else ''} {listed(map(quoted, names), 'and')}"
    return f"{sizes}: {key}" if key else sizes
