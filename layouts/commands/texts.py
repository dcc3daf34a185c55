"""`steps` and `data`: what is read on a screen or by another program."""

from __future__ import annotations

from collections.abc import Sequence

import click

from charts.parts import Part, parts_of
from layouts.commands.named_socks import NamedSock, open_socks
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

    A pattern with sizes comes as one text for all of them, smallest first and the others in
    brackets; --size writes one alone.  The text is UTF-8.  FILE is the pattern; - is standard
    input.

    \b
    Example:
      pegfolio steps harbour.toml --output harbour-steps.txt
    """
    target = choose_target(file, output, ending=None, suffixes=(".txt",))
    opened = open_socks(file, size=size, sock=sock, asked=Asked(left_handed=left_handed))
    if opened.sized is not None:
        if opened.socks:
            target.deliver(_sized_steps(opened.socks).encode())
        opened.refuse_failed()
        return
    from charts.plain_text import steps_text
    from charts.steps import make_steps

    (only,) = opened.socks
    target.deliver(steps_text(only.knit, make_steps(only.knit)).encode())


def _sized_steps(socks: Sequence[NamedSock]) -> str:
    """The steps of all sizes; a part is told for those together that its pages are."""
    from charts.sized_plain_text import SizedBlock, sized_steps_text
    from layouts.size_order import SizeSet
    from layouts.sized_sets import part_sets

    sizes = SizeSet(tuple(one.size for one in socks), tuple(one.knit for one in socks))
    there = {part for one in socks for part in parts_of(one.knit)}
    blocks = [
        SizedBlock(found.names, found.steps_of(part))
        for part in Part
        if part in there
        for found in part_sets(sizes, part).sets
    ]
    return sized_steps_text(sizes.knits, sizes.names, blocks)


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
