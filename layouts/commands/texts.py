"""`steps` and `data`: what is read on a screen or by another program."""

from __future__ import annotations

import click

from layouts.commands.options import choose_target, file_argument, output_option, warn
from layouts.commands.pattern import open_pattern


@click.command()
@file_argument
@output_option("standard output")
def steps(file: str, output: str | None) -> None:
    """Write the sock's steps, row by row, as plain text.

    The text is UTF-8.  FILE is the pattern; - is standard input.

    \b
    Example:
      pegfolio steps harbour.toml --output harbour-steps.txt
    """
    target = choose_target(file, output, ending=None)
    pattern = open_pattern(file)
    warn(pattern)
    from charts.plain_text import steps_text
    from charts.steps import make_steps

    target.deliver(steps_text(pattern.first, make_steps(pattern.first)).encode())


@click.command()
@file_argument
@output_option("standard output")
def data(file: str, output: str | None) -> None:
    """Write the whole sock as JSON, for other programs.

    The plan with its reasons, every row peg by peg, the moves between rows, the loom after each,
    the steps and the counts; charts/data.py tells what each member means.  FILE is the pattern;
    - is standard input.

    \b
    Example:
      pegfolio data harbour.toml --output harbour.json
    """
    target = choose_target(file, output, ending=None)
    pattern = open_pattern(file)
    warn(pattern)
    from charts.data import data_json

    target.deliver(data_json(pattern.first).encode())
