"""`new`: a pattern to start from."""

from __future__ import annotations

import re
import sys
import unicodedata
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

import click

from charts.pattern_file import LEAST_PEGS, MOST_PEGS, read_pattern
from charts.pattern_words import listed
from charts.problems import PatternError
from charts.stitches import KNIT_LETTERS
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
_FALLBACK_NAME = "sock"


@click.command()
@click.option("--title", metavar="TEXT", help="The sock's name.  Default: 'Sock on N pegs'.")
@click.option(
    "--pegs", type=int, metavar="N", help=f"Pegs of the loom, {LEAST_PEGS} to {MOST_PEGS}."
)
@click.option("--spacing", metavar="LENGTH", help="From peg to peg: '3/8 in', '9.5 mm'.")
@click.option("--knit", metavar="WORD", help=f"{listed(_KNITS)}.  Default: {_KNITS[0]}.")
@click.option(
    "--output",
    metavar="PATH",
    help="Where to write; - is standard output.  Default: the title in this folder, "
    "'Harbour steps' -> harbour-steps.toml.",
)
@click.option("--replace", is_flag=True, help="Write over a file that is there.")
def new(
    title: str | None,
    pegs: int | None,
    spacing: str | None,
    knit: str | None,
    output: str | None,
    replace: bool,
) -> None:
    """Write a pattern to start from, every key of it explained.

    At a terminal it asks for what the options leave open.  Elsewhere --pegs and --spacing must be
    given.

    \b
    Example:
      pegfolio new --title "Harbour steps" --pegs 40 --spacing "3/8 in"
    """
    from charts.starter import StarterChoices, make_starter

    if output == "":
        raise wrong_usage("--output", "the name is empty", suggestion="leave --output out")
    if sys.stdin is not None and sys.stdin.isatty():
        pegs = _ask(pegs, "Pegs of the loom", int)
        spacing = _ask(spacing, 'From peg to peg, such as "3/8 in"', str)
        knit = _ask(knit, f"Knit: {listed(_KNITS)}", str, default=_KNITS[0])
        title = _ask(title, "Title", str, default=_default_title(pegs))
    missing = [name for name, value in (("--pegs", pegs), ("--spacing", spacing)) if value is None]
    if pegs is None or spacing is None:
        what = f"missing {listed(missing, 'and')}; there is no terminal to ask at"
        raise wrong_usage("pegfolio new", what, suggestion='--pegs 40 --spacing "3/8 in"')
    choices = StarterChoices(
        title=_default_title(pegs) if title is None else title,
        pegs=pegs,
        spacing=spacing,
        knit=_KNITS[0] if knit is None else knit,
    )
    try:
        text = make_starter(choices)
        refuse_unprintable(read_pattern(text))
    except PatternError as error:
        raise _choices_refused(error) from None
    if output == STDOUT:
        write_stdout(text.encode())
        return
    path = Path(f"{_file_stem(choices.title)}.toml" if output is None else output)
    name = printable(str(path))
    check_target(path)
    if path.is_file() and not replace:
        raise wrong_usage(name, "there is such a file already", suggestion="--replace")
    write_file(path, text.encode())
    click.echo(f"{name}: written; next: pegfolio check {name}")


def _ask(
    given: Answer | None,
    question: str,
    kind: Callable[[str], Answer],
    *,
    default: str | None = None,
) -> Answer:
    """What the option says, or what the knitter answers on standard error."""
    if given is not None:
        return given
    answer: Answer = click.prompt(question, default=default, value_proc=kind, err=True)
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


def _file_stem(title: str) -> str:
    """The title as a file's name: plain small letters and digits, words joined by hyphens.

    >>> _file_stem("Hafen, zweite Größe")
    'hafen-zweite-grosse'
    """
    plain = unicodedata.normalize("NFKD", title.lower().replace("ß", "ss"))
    words = re.findall(r"[a-z0-9]+", "".join(char for char in plain if char.isascii()))
    return "-".join(words)[:60].strip("-") or _FALLBACK_NAME
