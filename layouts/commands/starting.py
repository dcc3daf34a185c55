"""`new`: a pattern to start from."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar

import click

from charts.pattern_file import LEAST_PEGS, MOST_PEGS, read_pattern
from charts.pattern_words import listed
from charts.problems import PatternError
from charts.starter import StarterChoices, make_starter
from charts.stitches import KNIT_LETTERS
from layouts.commands.options import WholeNumber, file_stem
from layouts.commands.pattern import refuse_unprintable
from layouts.commands.refusal import ExitCode, Refusal, wrong_usage
from layouts.output import STDOUT, check_target, printable, write_file, write_stdout

Answer = TypeVar("Answer")

_OPTION_OF_KEY = {
    "title": "--title",
    "loom.pegs": "--pegs",
    "loom.spacing": "--spacing",
    "knit": "--knit",
}
_KNITS = tuple(KNIT_LETTERS)
_GOOD_CHOICES = StarterChoices("Sock", 40, "3/8 in")
"""To try one answer at a time among good ones."""
_FALLBACK_NAME = "sock"
_SUFFIX = ".toml"


@click.command()
@click.option("--title", metavar="TEXT", help="The sock's name.  Default: 'Sock on N pegs'.")
@click.option(
    "--pegs",
    type=WholeNumber(LEAST_PEGS, MOST_PEGS, told_later=True),
    help=f"Pegs of the loom, {LEAST_PEGS} to {MOST_PEGS}.",
)
@click.option("--spacing", metavar="LENGTH", help="From peg to peg: '3/8 in', '9.5 mm'.")
@click.option("--knit", metavar="WORD", help=f"{listed(_KNITS)}.  Default: {_KNITS[0]}.")
@click.option(
    "--output",
    metavar="PATH",
    help="Where to write; - is standard output.  Default: the title in this folder, "
    "'Harbour steps' -> harbour-steps.toml.",
)
@click.option("--replace", "overwrite", is_flag=True, help="Write over a file that is there.")
def new(
    title: str | None,
    pegs: int | None,
    spacing: str | None,
    knit: str | None,
    output: str | None,
    overwrite: bool,
) -> None:
    """Write a pattern to start from, every key of it explained.

    At a terminal it asks for what the options leave open.  Elsewhere --pegs and --spacing must be
    given.

    \b
    Example:
      pegfolio new --title "Harbour steps" --pegs 40 --spacing "3/8 in"
    """
    if output == "":
        raise wrong_usage("--output", "the name is empty", suggestion="leave --output out")
    if sys.stdin is not None and sys.stdin.isatty():
        if pegs is None:
            pegs = _ask("pegs", "Pegs of the loom", int)
        if spacing is None:
            spacing = _ask("spacing", 'From peg to peg, such as "3/8 in"', str)
        if knit is None:
            knit = _ask("knit", f"Knit: {listed(_KNITS)}", str, default=_KNITS[0])
        if title is None:
            title = _ask("title", "Title", str, default=_default_title(pegs))
    if pegs is None or spacing is None:
        given = (("--pegs", pegs), ("--spacing", spacing))
        missing = listed((name for name, value in given if value is None), "and")
        what = f"missing {missing}; there is no terminal to ask at"
        raise wrong_usage("pegfolio new", what, suggestion='--pegs 40 --spacing "3/8 in"')
    choices = StarterChoices(
        title=_default_title(pegs) if title is None else title,
        pegs=pegs,
        spacing=spacing,
        knit=_KNITS[0] if knit is None else knit,
    )
    try:
        text = _starter(choices)
    except PatternError as error:
        raise _choices_refused(error) from None
    if output == STDOUT:
        write_stdout(text.encode())
        return
    default_name = f"{file_stem(choices.title, fallback=_FALLBACK_NAME)}{_SUFFIX}"
    path = Path(default_name if output is None else output)
    name = printable(str(path))
    if path.suffix.lower() not in ("", _SUFFIX):
        what = f"cannot write '{printable(path.suffix)}'"
        suggestion = printable(str(path.with_suffix(_SUFFIX)))
        raise wrong_usage(name, what, allowed=_SUFFIX, suggestion=suggestion)
    check_target(path)
    if path.is_file() and not overwrite:
        raise wrong_usage(name, "there is such a file already", suggestion="--replace")
    write_file(path, text.encode())
    click.echo(f"{name}: written; next: pegfolio check {name}")


def _starter(choices: StarterChoices) -> str:
    """The pattern with those choices.  Raises PatternError with all that it may not hold."""
    text = make_starter(choices)
    refuse_unprintable(read_pattern(text))
    return text


def _ask(
    name: str, question: str, kind: Callable[[str], Answer], *, default: str | None = None
) -> Answer:
    """What the knitter answers, asked on standard error until a pattern may hold it."""

    def read(text: str) -> Answer:
        try:
            answer = kind(text)
        except ValueError:
            raise click.UsageError(f"'{text}' is not a whole number") from None
        tried: dict[str, Any] = {name: answer}
        try:
            _starter(replace(_GOOD_CHOICES, **tried))
        except PatternError as error:
            raise click.UsageError(replace(error.problems[0], key="").text()) from None
        return answer

    answer: Answer = click.prompt(question, default=default, value_proc=read, err=True)
    return answer


def _choices_refused(error: PatternError) -> Refusal:
    """The problems by the options that brought them."""
    lines = []
    for problem in error.problems:
        option = _OPTION_OF_KEY.get(problem.key, "pegfolio new")
        lines.append(
            wrong_usage(
                option, problem.what, allowed=problem.allowed, suggestion=problem.suggestion
            ).lines[0]
        )
    return Refusal(ExitCode.USAGE, *lines)


def _default_title(pegs: int) -> str:
    return f"Sock on {pegs} pegs"
