"""Arguments and options that several commands share, and where their output goes."""

from __future__ import annotations

import re
import sys
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from charts.hands import Hand
from charts.parts import Part, parts_of
from charts.pattern_words import listed, nearest_word
from layouts.commands.pattern import AskedUnits
from layouts.commands.refusal import wrong_usage
from layouts.edition import Content, Inks, PrintSize
from layouts.output import STDOUT, check_target, printable, write_file, write_stdout

if TYPE_CHECKING:
    from charts.verify import Knit
    from layouts.commands.pattern import Pattern, SizedFile
    from layouts.paper import Paper
    from layouts.scene import Document

Command = TypeVar("Command", bound=Callable[..., Any])


def file_argument(command: Command) -> Command:
    """FILE: the pattern."""
    return click.argument("file", metavar="FILE")(command)


class WholeNumber(click.ParamType[int]):
    """A whole number within limits; refused in the words that all else is refused in."""

    name = "N"

    def __init__(self, least: int, most: int, *, told_later: bool = False) -> None:
        """`told_later` if whoever asked tells of a number out of range, with other faults."""
        self._least = least
        self._most = most
        self._told_later = told_later

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        """The number.  Raises Refusal."""
        del ctx
        found = int(value) if re.fullmatch(r"\s*[+-]?[0-9]{1,9}\s*", str(value)) else None
        if found is not None and (self._told_later or self._least <= found <= self._most):
            return found
        option = param.opts[0] if param is not None else "number"
        shown = printable(str(value)[:40])
        if found is None:
            what = f"'{shown}' is not a whole number"
        else:
            what = f"{found} is too {'small' if found < self._least else 'large'}"
        allowed = f"a whole number from {self._least} to {self._most}"
        raise wrong_usage(option, what, allowed=allowed)


def size_option(command: Command) -> Command:
    """--size: one size of a pattern that has several."""
    return click.option("--size", metavar="NAME", help="One size of a pattern that has several.")(
        command
    )


def sock_option(command: Command) -> Command:
    """--sock: which sock of a pair whose cables mirror each other."""
    return click.option(
        "--sock",
        type=WholeNumber(1, 2),
        help="Which sock of the pair, where pair.mirror_cables makes them differ.  Default: 1.",
    )(command)


def left_handed_option(command: Command) -> Command:
    """--left-handed: the mirror image of a pattern that is worked from left to right."""
    return click.option(
        "--left-handed",
        is_flag=True,
        help="For a left-handed knitter: mirrored, worked from right to left.",
    )(command)


def colour_option(command: Command) -> Command:
    """--colour: the edition in colours."""
    return click.option(
        "--colour",
        is_flag=True,
        help="In colours that suit most kinds of colour vision.  Default: black ink only.",
    )(command)


def units_option(command: Command) -> Command:
    """--units: what lengths are printed in."""
    told = "what lengths are told in.  Default: as the pattern says, else both"
    return word_option("--units", AskedUnits, told, default=None)(command)


def part_option(default: Part | None = None) -> Callable[[Command], Command]:
    """--part: a part of the sock by its word; required unless there is a default."""
    words = ", ".join(part.value for part in Part)
    # None would count as a default that was given.
    given = {"required": True} if default is None else {"default": [default.value]}
    return click.option(
        "--part",
        callback=_read_part,
        multiple=True,
        metavar="PART",
        show_default=True,
        help=f"One of {words}.",
        **given,
    )


def _read_part(context: click.Context, option: click.Parameter, given: tuple[str, ...]) -> Part:
    """The one part; several are taken as such so that none is left out without a word."""
    del context, option
    words = [part.value for part in Part]
    if len(given) > 1:
        what = f"{len(given)} parts are asked for, and this is of one"
        raise wrong_usage("--part", what, suggestion="run it once for each part")
    (word,) = given
    if word not in words:
        nearest = nearest_word(word, words)
        what = f"'{printable(word)}' is no part"
        raise wrong_usage("--part", what, allowed=listed(words), suggestion=nearest)
    return Part(word)


def paper_option(
    told: str, *, default: str | None = None, default_told: str = "", name: str = "--paper"
) -> Callable[[Command], Command]:
    """--paper: a paper by its name or its size, with what it is for told in words, and the default
    too where other options choose it."""
    tail = f"  Default: {default_told}." if default_told else ""
    return click.option(
        name,
        callback=_read_paper,
        metavar="PAPER",
        default=default,
        show_default=True,
        help=f"{told} or a size such as '148 x 210 mm'.{tail}",
    )


def print_option(command: Command) -> Command:
    """--print: how large type and charts are."""
    return word_option(
        "--print",
        PrintSize,
        "clear has text of 14 pt, large of 18 pt",
        default=PrintSize.STANDARD,
        name="print_size",
    )(command)


def content_option(command: Command) -> Command:
    """--content: what the parts of the sock are told by."""
    return word_option(
        "--content",
        Content,
        "charts with steps, or one of the two alone",
        default=Content.FULL,
    )(command)


def word_option(
    option: str,
    words: Iterable[Enum],
    told: str,
    *,
    default: Enum | None,
    name: str | None = None,
) -> Callable[[Command], Command]:
    """An option whose value is one of an enum, or of some of its members, by its word.

    `name` is the command's parameter.
    """
    named = {str(one.value): one for one in words}

    def read(context: click.Context, parameter: click.Parameter, word: str | None) -> Enum | None:
        del context, parameter
        if word is None:
            return None
        if word not in named:
            what = f"'{printable(word)}' is none of them"
            nearest = nearest_word(word, tuple(named))
            raise wrong_usage(option, what, allowed=listed(named), suggestion=nearest)
        return named[word]

    return click.option(
        option,
        *([name] if name else []),
        callback=read,
        metavar="WORD",
        default=None if default is None else default.value,
        show_default=default is not None,
        help=f"{listed(named)}: {told}.",
    )


def pdf_paper_option(told: str, *, default: str) -> Callable[[Command], Command]:
    """--paper of a command that need not write a PDF; None if it was not given."""
    return paper_option(f"For a .pdf: {told}", default_told=default)


def refuse_paper(paper: Paper | None, target: Target) -> None:
    """Raises Refusal if a paper was asked for and no PDF."""
    refuse_idle("--paper", paper, target, suffix=".pdf", what="the paper makes")


def _read_paper(context: click.Context, option: click.Parameter, text: str | None) -> Paper | None:
    del context
    if text is None:
        return None
    from layouts.paper import read_paper

    try:
        return read_paper(text)
    except ValueError as error:
        raise wrong_usage(option.opts[0], str(error)) from None


def output_option(default: str, *, formats: bool = False) -> Callable[[Command], Command]:
    """--output, with its default told in words; `formats` if its ending tells the format."""
    dash = "" if formats else "; - is standard output"
    told = f"Where to write{dash}.  Default: {default}."
    return click.option("--output", metavar="PATH", help=told)


@dataclass(frozen=True)
class Target:
    """Where a command's bytes go."""

    path: Path | None
    """None is standard output."""

    @property
    def suffix(self) -> str:
        """The ending that tells the format, in small letters; "" on standard output."""
        return "" if self.path is None else self.path.suffix.lower()

    def deliver(self, data: bytes, *, told: str = "") -> None:
        """Write, and for a file say so, with what is `told` about it."""
        if self.path is None:
            write_stdout(data)
            return
        write_file(self.path, data)
        tail = f" ({told})" if told else ""
        click.echo(f"{printable(str(self.path))}: written{tail}")


def choose_target(
    file: str,
    output: str | None,
    *,
    ending: str | None,
    suffixes: tuple[str, ...] = (),
    size: str | None = None,
    edition: Sequence[str] = (),
) -> Target:
    """Where to write: what --output says, or beside the pattern `file`.

    `ending` makes the default name from the pattern's, with the `size` before it if one was asked
    for, and the words of the `edition`; None stands for standard output, where text goes.  If there
    are `suffixes`, a file must have one of them; of one alone it may do without.  Raises Refusal or
    OutputError before any work is done in vain.
    """
    source = None if file == STDOUT else Path(file)
    if ending is not None:
        words = [file_stem(size, fallback="size")] if size is not None else []
        ending = "".join(f"-{word}" for word in (*words, *edition)) + ending
    if output == "":
        raise wrong_usage("--output", "the name is empty", suggestion="leave --output out")
    if output == STDOUT or (output is None and ending is None):
        if ending is not None:
            _refuse_stdout(suffixes)
        return Target(None)
    if output is not None:
        path = Path(output)
    elif source is not None and source.name:
        path = source.with_name(f"{source.stem}{ending}")
    elif source is not None:  # "." or "/", which is no file to be named after
        raise wrong_usage(printable(file), "cannot be read: is a directory")
    else:
        what = "a pattern without a file gives its output no name"
        raise wrong_usage("--output", what, suggestion=f"--output sock{ending}")
    target = Target(path)
    _refuse_suffix(target, path, suffixes)
    check_target(path, source=source)
    return target


def _refuse_stdout(suffixes: tuple[str, ...]) -> None:
    if len(suffixes) > 1:
        what = "standard output has no ending that tells the format"
        raise wrong_usage("--output", what, allowed=f"a file ending in {listed(suffixes)}")
    if suffixes and sys.stdout is not None and sys.stdout.isatty():
        what = "this is no text for a terminal"
        raise wrong_usage("standard output", what, suggestion="--output FILE, or a pipe")


def _refuse_suffix(target: Target, path: Path, suffixes: tuple[str, ...]) -> None:
    name = printable(str(path))
    if target.suffix == ".toml":
        raise wrong_usage(name, "this is the name of a pattern", suggestion="another ending")
    told_by_command = len(suffixes) == 1 and not target.suffix
    if suffixes and target.suffix not in suffixes and not told_by_command:
        what = (
            f"cannot write '{printable(path.suffix)}'" if path.suffix else "the ending is missing"
        )
        suggestion = printable(str(path.with_suffix(suffixes[0]))) if path.name else ""
        raise wrong_usage(name, what, allowed=listed(suffixes), suggestion=suggestion)


def refuse_idle(option: str, given: object, target: Target, *, suffix: str, what: str) -> None:
    """Raises Refusal if an option was given that only a file with that ending can have."""
    if given is not None and target.suffix != suffix:
        other = f"a {target.suffix}" if target.suffix else "standard output"
        suggestion = f"--output with a name that ends in {suffix}"
        raise wrong_usage(option, f"{what} no difference to {other}", suggestion=suggestion)


@contextmanager
def fitting_paper(option: str = "--paper") -> Iterator[None]:
    """Turns what does not fit on the paper of that option into a refusal."""
    from layouts.block import DoesNotFitError

    try:
        yield
    except DoesNotFitError as error:
        raise wrong_usage(option, str(error)) from None


def pages_told(document: Document) -> str:
    """How many pages it has, in words."""
    count = len(document.pages)
    return "1 page" if count == 1 else f"{count} pages"


def refuse_missing_part(knit: Knit, part: Part) -> None:
    """Raises Refusal if the sock has no such part, as a sock without a leg."""
    there = parts_of(knit)
    if part not in there:
        raise wrong_usage(
            "--part",
            f"this sock has no {part.value}",
            allowed=listed(each.value for each in there),
        )


def edition_in_name(
    *,
    left_handed: bool = False,
    colour: bool = False,
    print_size: PrintSize = PrintSize.STANDARD,
    content: Content = Content.FULL,
) -> tuple[str, ...]:
    """What the name of a file says of the edition."""
    words = []
    if left_handed:
        words.append(Hand.LEFT.value)
    if colour:
        words.append(Inks.COLOUR.value)
    if print_size is not PrintSize.STANDARD:
        words.append(f"{print_size.value}-print")
    if content is not Content.FULL:
        words.append(content.value)
    return tuple(words)


def inks_of(colour: bool) -> Inks:
    """The inks asked for."""
    return Inks.COLOUR if colour else Inks.GREY


def file_stem(words: str, *, fallback: str) -> str:
    """The words as a file's name: plain small letters and digits, joined by hyphens.

    >>> file_stem("Hafen, zweite Größe", fallback="sock")
    'hafen-zweite-grosse'
    """
    plain = unicodedata.normalize("NFKD", words.lower().replace("ß", "ss"))
    found = re.findall(r"[a-z0-9]+", "".join(char for char in plain if char.isascii()))
    return "-".join(found)[:60].strip("-") or fallback


def chosen_sock(pattern: Pattern, sock: int | None) -> Knit:
    """The sock that was asked for, else the first."""
    return pattern.second if sock == 2 else pattern.first


def warn(pattern: Pattern) -> None:
    """The plan's warnings on standard error."""
    for warning in pattern.first.plan.warnings:
        click.echo(f"{pattern.name}: warning: {warning}", err=True)


def warn_sizes(sized: SizedFile) -> None:
    """The warnings of every size on standard error."""
    for size in sized.pattern.sizes:
        of = f" size {printable(size.name)}:" if size.name else ""
        for warning in size.knit.plan.warnings:
            click.echo(f"{sized.name}:{of} warning: {warning}", err=True)
