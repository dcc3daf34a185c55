"""`class`: a pack for everybody on a roster, all packs in one file to print, and an overview."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from charts.pattern_words import listed
from charts.problems import PatternError, Problem
from charts.verify import NotKnittableError
from layouts.commands.cores import MOST_CORES, cores_worth, spread
from layouts.commands.options import WholeNumber, file_argument, file_stem, paper_option
from layouts.commands.pattern import read_text, refuse_unprintable, unprintable
from layouts.commands.print_date import print_date
from layouts.commands.progress import progress_bar
from layouts.commands.refusal import ExitCode, Refusal, pattern_problems, wrong_usage
from layouts.output import (
    STDOUT,
    OutputError,
    check_target,
    open_file,
    printable,
    reason,
    write_file,
)

if TYPE_CHECKING:
    from charts.looms_file import OwnedLoom
    from charts.roster import Person, Roster
    from charts.sizes import SizeFile
    from layouts.class_overview import OverviewRow
    from layouts.class_packs import MadePack, Member, PackMaker
    from layouts.paper import Paper

ALL_PACKS: Final = "all-packs.pdf"
OVERVIEW: Final = "overview.pdf"


@click.command("class")
@file_argument
@click.argument("roster", metavar="ROSTER")
@click.option("--looms", metavar="FILE", help="Looms that rows may name: a [[loom]] each, in TOML.")
@click.option(
    "--output",
    metavar="FOLDER",
    help="Where to write.  Default: beside the roster, tuesday.csv -> tuesday-packs.",
)
@paper_option("a4, letter, a5, another name,", default="a4")
@click.option(
    "--cores",
    type=WholeNumber(1, MOST_CORES),
    help="Cores of the machine to make packs on; the packs are the same.  Default: as many as pay.",
)
def class_packs(
    file: str,
    roster: str,
    looms: str | None,
    output: str | None,
    paper: Paper,
    cores: int | None,
) -> None:
    """Print a pack for everybody of a class, in PDF.

    ROSTER is a table of comma-separated values with a row for each person: who, and as far as they
    differ from the pattern size, foot length, ball round, shoe, loom or pegs, gauge, print, hand,
    notes.  A pack has the person's own numbers, charts with steps, and the card of the heel turn.

    The folder gets a file for each person, all-packs.pdf to print on both sides, and overview.pdf
    for the teacher.  A row that is wrong is told with its line, and the others are made.  FILE is
    the pattern; - is standard input, for one of the two.

    \b
    Example:
      pegfolio class harbour.toml tuesday.csv --looms looms.toml
    """
    if file == roster == STDOUT:
        what = "both the pattern and the roster would be read from it"
        raise wrong_usage("standard input", what, suggestion="name a file for one of them")
    folder = _choose_folder(roster, output)
    name, text = read_text(file)
    pattern = _open_pattern(name, text)
    roster_name, read = _read_roster(roster, pattern, looms)
    problems = list(read.problems)
    letters: set[str] = set()
    packs = _write_packs(read.people, pattern, folder, paper, cores, problems, letters)
    _warn(roster_name, packs)
    if packs:
        told = _write_sheets(packs, folder, pattern, paper, letters)
        click.echo(f"{printable(str(folder))}: {told}")
    if problems:
        problems.sort(key=lambda problem: problem.line or 0)
        raise Refusal(ExitCode.PROBLEMS, *(problem.text(roster_name) for problem in problems))


# What is read


def _open_pattern(name: str, text: str) -> SizeFile:
    """The pattern, each size of which can be read.  Raises Refusal."""
    from charts.sizes import open_sizes

    try:
        pattern = open_sizes(text)
        for size in pattern.names or ("",):
            refuse_unprintable(pattern.read(size))
        refused = unprintable({"size.name": "".join(pattern.names)})
        if refused:
            raise PatternError(refused)
    except PatternError as error:
        raise pattern_problems(name, error) from None
    return pattern


def _read_roster(file: str, pattern: SizeFile, looms: str | None) -> tuple[str, Roster]:
    """The roster's name as messages call it, and everybody on it.  Raises Refusal."""
    from charts.roster import Choices, read_roster
    from layouts.edition import PrintSize

    choices = Choices(pattern.names, _read_looms(looms), [one.value for one in PrintSize])
    name, text = read_text(file, thing="roster")
    try:
        return name, read_roster(text, choices)
    except PatternError as error:
        raise pattern_problems(name, error) from None


def _read_looms(file: str | None) -> tuple[OwnedLoom, ...]:
    from charts.looms_file import read_looms

    if file is None:
        return ()
    name, text = read_text(file, thing="file of looms")
    try:
        return read_looms(text)
    except PatternError as error:
        raise pattern_problems(name, error) from None


def _members(
    people: Sequence[Person], pattern: SizeFile, problems: list[Problem]
) -> Iterator[Member]:
    """Everybody whose sock can be planned; the others are problems."""
    from charts.roster import Column, person_key
    from layouts.class_packs import member_of

    for person in people:
        texts = {Column.WHO: person.who, Column.NOTES: person.notes}
        try:
            lacking = unprintable(
                {person_key(person.who, column): words for column, words in texts.items()}
            )
            if lacking:
                raise PatternError(tuple(replace(one, line=person.line) for one in lacking))
            member = member_of(person, pattern)
        except PatternError as error:
            problems += error.problems
        else:
            yield member


# Where it goes


def _choose_folder(roster: str, output: str | None) -> Path:
    """The folder of --output, or one beside the roster.  Raises Refusal before any work is done."""
    if output == STDOUT:
        what = "packs are many files, and standard output is one"
        raise wrong_usage("--output", what, suggestion="--output FOLDER")
    if output == "":
        raise wrong_usage("--output", "the name is empty", suggestion="leave --output out")
    if output is None and roster == STDOUT:
        what = "a roster without a file gives the folder no name"
        raise wrong_usage("--output", what, suggestion="--output packs")
    beside = Path(roster)
    folder = Path(output) if output is not None else beside.with_name(f"{beside.stem}-packs")
    name = printable(str(folder))
    try:
        if folder.is_dir():
            writable, lacking = folder, "it is read-only"
        elif folder.exists() or folder.is_symlink():
            raise wrong_usage(name, "it is a file, not a folder", suggestion="another --output")
        elif not folder.parent.is_dir():
            what = f"there is no folder {printable(str(folder.parent))}"
            raise wrong_usage(name, what, suggestion="make it first, or another --output")
        else:
            writable, lacking = folder.parent, "its folder is read-only"
    except (OSError, ValueError) as error:
        what = reason(error) if isinstance(error, OSError) else "it is no name of a folder"
        raise wrong_usage(name, f"cannot be written: {what}") from None
    if not os.access(writable, os.W_OK):
        raise wrong_usage(name, f"cannot be written: {lacking}", suggestion="another --output")
    return folder


def _paths(people: Sequence[Person], folder: Path) -> Mapping[int, Path]:
    """A file for each person, by the line of the roster: plain names, no two alike."""
    taken = {Path(name).stem for name in (ALL_PACKS, OVERVIEW)}
    found: dict[int, Path] = {}
    for person in people:
        stem = file_stem(person.who, fallback=f"line-{person.line}")
        if stem in _DEVICES:
            stem = f"{stem}-pack"
        plain, number = stem, 1
        while stem in taken:
            number += 1
            stem = f"{plain}-{number}"
        taken.add(stem)
        found[person.line] = folder / f"{stem}.pdf"
    return found


_DEVICES: Final = frozenset(
    ["con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(10))]
)
"""Names that some systems keep for devices, whatever follows the point."""


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        problem = Problem(f"cannot be made: {reason(error)}")
        raise OutputError(printable(str(folder)), problem) from None


# What is written


@dataclass(frozen=True, slots=True)
class _Written:
    """One pack that is on the disk."""

    person: Person
    path: Path
    row: OverviewRow
    warnings: tuple[str, ...]


@dataclass(frozen=True)
class _Failed:
    """A pack that cannot be made."""

    person: Person
    problems: tuple[Problem, ...]


@dataclass(frozen=True)
class _Making:
    """Makes the packs of some people of the roster, in whatever process it is."""

    pattern: SizeFile
    maker: PackMaker

    def __call__(self, people: Sequence[Person]) -> Iterator[MadePack | _Failed]:
        from layouts.block import DoesNotFitError
        from layouts.class_packs import member_of

        for person in people:
            try:
                yield self.maker.make(member_of(person, self.pattern))
            except PatternError as error:
                yield _Failed(person, error.problems)
            except NotKnittableError as error:
                told = (Problem(f"cannot be knitted: {line}") for line in str(error).splitlines())
                yield _Failed(person, (*told, _OUR_FAULT))
            except DoesNotFitError as error:
                yield _Failed(person, (Problem(f"does not fit on the paper: {error}"),))


_OUR_FAULT: Final = Problem("this is a fault of pegfolio; please report it")


def _write_packs(
    people: Sequence[Person],
    pattern: SizeFile,
    folder: Path,
    paper: Paper,
    cores: int | None,
    problems: list[Problem],
    letters: set[str],
) -> list[_Written]:
    """Everybody's file, written as it is made, sock by sock; told in the order of the roster.

    Every character that is printed for anybody goes into `letters`.
    A sock or a page that cannot be made is a problem of each person whose it is.
    """
    from layouts.class_packs import PackMaker, alphabet_of, groups_of

    groups = groups_of(_noted(_members(people, pattern, problems), letters))
    count = sum(map(len, groups))
    if not count:
        return []
    tasks = [group[at : at + _AT_ONCE] for group in groups for at in range(0, len(group), _AT_ONCE)]
    maker = PackMaker(paper=paper, alphabet=alphabet_of(letters), dated=print_date())
    making = _Making(pattern, maker)
    paths = _paths(people, folder)
    written: list[_Written] = []
    told: dict[str, str] = {}
    worth = cores_worth(count, least_each=_LEAST_PACKS) if cores is None else cores
    with (
        progress_bar("packs", count) as step,
        closing(spread(tasks, making, cores=worth)) as packs,
    ):
        for made in packs:
            if isinstance(made, _Failed):
                problems += _placed(made)
            else:
                # One string for all who are warned of the same.
                warnings = tuple(told.setdefault(one, one) for one in made.warnings)
                path = paths[made.person.line]
                _make_folder(folder)
                write_file(path, made.pdf)
                written.append(_Written(made.person, path, made.row, warnings))
            step()
    return sorted(written, key=lambda one: one.person.line)


_AT_ONCE: Final = 8
"""People of a group whose packs are one task: few, so that no core is left without work at the end
for long.  Whoever takes the next task of the group has the sock still."""
_LEAST_PACKS: Final = 6
"""What a process must have to make to be worth its start."""


def _noted(members: Iterator[Member], letters: set[str]) -> Iterator[Member]:
    """The members; every character of their packs goes into the set."""
    for member in members:
        letters.update(*_texts(member))
        yield member


def _texts(member: Member) -> Iterator[str]:
    """What of the pattern and the roster is printed in a pack."""
    person, spec = member.sock.person, member.sock.sock
    yield from (person.who, person.notes, person.size)
    yield from (spec.title, spec.designer, spec.yarn, spec.loom.spacing_text, *spec.motifs)
    yield from (spec.notes, spec.house.rights_words)
    if person.loom is not None:
        yield person.loom.name


def _placed(failed: _Failed) -> Iterator[Problem]:
    """The problems at the person's row."""
    from charts.roster import person_key

    who = person_key(failed.person.who, None)
    for problem in failed.problems:
        key = ": ".join(filter(None, (who, problem.key)))
        yield replace(problem, key=key, line=failed.person.line)


def _write_sheets(
    packs: Sequence[_Written], folder: Path, pattern: SizeFile, paper: Paper, letters: set[str]
) -> str:
    """All packs in one file and the overview; tells what there is."""
    from layouts.bound_parts import write_in_parts
    from layouts.class_overview import make_overview
    from layouts.class_packs import alphabet_of, member_of
    from layouts.collate import Collation

    spec = member_of(packs[0].person, pattern).sock.sock
    dated = print_date()
    rows = []
    check_target(folder / OVERVIEW)
    with open_file(folder / ALL_PACKS) as file:
        title = f"{spec.title}: all packs"
        bound = Collation(file, title=title, author=spec.designer, dated=dated)
        for pack in packs:
            first = bound.append(pack.path.read_bytes(), bookmark=pack.person.who)
            rows.append(replace(pack.row, page=str(first)))
        bound.finish()
    sheet = make_overview(rows, title=spec.title, remarks=_REMARKS, paper=_overview_paper(paper))
    with open_file(folder / OVERVIEW) as file:
        write_in_parts(sheet, file, alphabet=alphabet_of(letters), dated=dated)
    count = "1 pack" if len(packs) == 1 else f"{len(packs)} packs"
    return f"{count} written; {ALL_PACKS} ({bound.page_count} pages), {OVERVIEW}"


_REMARKS: Final = (
    "Pages are those of all-packs.pdf, to be printed on both sides at 100 %: each pack has whole "
    "sheets of its own. Foot: length × round the ball.",
    "Fit by the gauge of the pattern or of the person’s own swatch: a washed swatch decides. A "
    "cuff must leave no mark; with diabetes or poor circulation ask a clinician first.",
)


def _overview_paper(paper: Paper) -> Paper:
    """The paper of the packs, or one that is large enough for the table."""
    from layouts.paper import PAPERS

    if max(paper.width_mm, paper.height_mm) >= _LEAST_LENGTH_MM:
        return paper
    return PAPERS["letter" if "letter" in paper.name else "a4"]


_LEAST_LENGTH_MM: Final = 275.0


def _warn(roster_name: str, packs: Sequence[_Written]) -> None:
    """The warnings on standard error, each with whom it is for."""
    people: dict[str, list[str]] = {}
    for pack in packs:
        for warning in pack.warnings:
            people.setdefault(warning, []).append(printable(pack.person.who))
    for warning, names in people.items():
        more = [f"{len(names) - _NAMED} more"] if len(names) > _NAMED else []
        whose = listed([*names[: _NAMED if more else len(names)], *more], "and")
        click.echo(f"{roster_name}: {whose}: warning: {warning}", err=True)


_NAMED: Final = 4
"""People who are named in a warning."""
