"""`steps` and `data`: what is read on a screen or by another program."""

from __future__ import annotations

import click

from layouts.commands.options import (
    choose_target,
    chosen_sock,
    file_argument,
    left_handed_option,
    output_option,
    size_option,
    sock_option,
    warn,
    warn_sizes,
)
from layouts.commands.pattern import (
    Asked,
    Pattern,
    has_sizes,
    open_pattern,
    open_text,
    path_of,
    read_text,
    sizes_of,
)


@click.command()
@file_argument
@size_option
@sock_option
@left_handed_option
@output_option("standard output")
def steps(
    file: str, size: str | None, sock: int | None, left_handed: bool, output: str | None
) -> None:
    """Write the sock's steps, row by row, as plain text.

    The text is UTF-8.  FILE is the pattern; - is standard input.

    \b
    Example:
      pegfolio steps harbour.toml --output harbour-steps.txt
    """
    target = choose_target(file, output, ending=None, suffixes=(".txt",))
    pattern = open_pattern(file, size=size, asked=Asked(left_handed=left_handed))
    warn(pattern)
    from charts.plain_text import steps_text
    from charts.steps import make_steps

    knit = chosen_sock(pattern, sock)
    target.deliver(steps_text(knit, make_steps(knit)).encode())


@click.command()
@file_argument
@size_option
@sock_option
@left_handed_option
@output_option("standard output")
def data(
    file: str, size: str | None, sock: int | None, left_handed: bool, output: str | None
) -> None:
    """Write the whole sock as JSON, for other programs.

    The plan with its reasons, the fit, the finished sizes and the yarn, every row peg by peg, the
    moves between rows, the loom after each, the steps and the counts; charts/data.py tells what
    each member means.  A pattern with sizes comes as a list of socks.  FILE is the pattern; - is
    standard input.

    \b
    Example:
      pegfolio data harbour.toml --output harbour.json
    """
    target = choose_target(file, output, ending=None, suffixes=(".json",))
    asked = Asked(left_handed=left_handed)
    name, text = read_text(file)
    if size is None and has_sizes(name, text):
        sized = sizes_of(name, path_of(file), text, asked=asked)
        warn_sizes(sized)
        if sized.pattern.sizes:
            from charts.data import sizes_json

            target.deliver(sizes_json(sized.pattern.sizes).encode())
        sized.refuse_failed()
    else:
        pattern = open_text(name, path_of(file), text, size=size, asked=asked)
        warn(pattern)
        target.deliver(_sock_json(pattern, sock).encode())


def _sock_json(pattern: Pattern, sock: int | None) -> str:
    from charts.data import data_json

    spec, fitted = pattern.first.plan.spec, None
    if spec.wearer is not None or spec.gauge is not None or spec.gauge_weight:
        from charts.fitting import fit_spec  # slow to import, and not for every pattern

        fitted = fit_spec(spec)
    knit = chosen_sock(pattern, sock)
    return data_json(knit, fitted=fitted, second=pattern.second)
