"""`check`: is all well with a pattern?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import click

from charts.verify import Knit
from layouts.commands.imprint import Source, imprint_lines, imprint_warnings, read_logo
from layouts.commands.options import file_argument, size_option
from layouts.commands.pattern import (
    Pattern,
    SizedFile,
    has_sizes,
    open_text,
    path_of,
    read_text,
    sizes_of,
)
from layouts.commands.refusal import ExitCode, Refusal
from layouts.commands.words import length_in_both, table_lines, yarn_in_both
from layouts.output import printable

if TYPE_CHECKING:
    from charts.spec import SockSpec


@click.command()
@file_argument
@size_option
def check(file: str, size: str | None) -> None:
    """Read, plan and knit a pattern, and say what came of it.

    Both socks of the pair are knitted on a virtual loom, of every size or of the one named; nothing
    is written.  FILE is the pattern; - is standard input.

    \b
    Example:
      pegfolio check harbour.toml
    """
    name, text = read_text(file)
    source = Source(name, path_of(file), text)
    if size is None and has_sizes(name, text):
        sized = sizes_of(name, source.path, text)
        problems = list(sized.problems)
        marks: list[str] = []
        try:
            marks = _marks(source, sized)
        except Refusal as refusal:
            problems += refusal.lines
        for line in sizes_summary(sized, marks):
            click.echo(line)
        if problems:
            raise Refusal(ExitCode.PROBLEMS, *problems)
    else:
        pattern = open_text(name, source.path, text, size=size)
        click.echo("\n".join(summary(pattern, source)))


def _marks(source: Source, sized: SizedFile) -> list[str]:
    """What the cover carries besides.  Raises Refusal if the logo cannot be printed."""
    if not sized.pattern.sizes:
        return []
    spec = sized.pattern.sizes[0].knit.plan.spec
    return list(imprint_lines(spec, read_logo(source, spec)))


def summary(pattern: Pattern, source: Source) -> list[str]:
    """What came of it, a line each.  Raises Refusal if the logo cannot be printed."""
    knit = pattern.first
    plan = knit.plan
    loom = plan.loom
    logo = read_logo(source, plan.spec)
    lines = [
        pattern.title_line,
        f"loom: {loom.pegs} pegs, {loom.spacing_text} apart, first round {loom.working.value}",
        f"heel {plan.heel_pegs} pegs, turn {plan.centre_pegs}, instep {plan.instep_pegs}, "
        f"toe {plan.toe_pegs}",
        *_counts(knit),
        *_fit_and_yarn(pattern),
        *imprint_lines(plan.spec, logo),
        "every row knits" + ("" if pattern.second is knit else _BOTH),
    ]
    warnings = (*plan.warnings, *imprint_warnings(plan.spec))
    return lines + [f"warning: {warning}" for warning in warnings]


_BOTH = ", on both socks; --sock 2 is the one with mirrored cables"


def sizes_summary(sized: SizedFile, marks: Sequence[str]) -> Iterator[str]:
    """What came of each size that can be made, a line each, and what the cover carries besides."""
    made = sized.pattern.sizes
    if made:
        yield f"{sized.name}: {made[0].knit.plan.spec.title}"
        rows = [("size", "loom", "rows of cuff/leg/foot", "stitches", "fit")]
        for size in made:
            spec, fit = size.knit.plan.spec, size.fitted.fit
            rows.append(
                (
                    printable(size.name),
                    f"{spec.loom.pegs} pegs, {spec.loom.spacing_text}",
                    f"{spec.cuff.rows}/{spec.leg.rows}/{spec.foot.rows}",
                    f"{sum(size.knit.counts.values()):,}",
                    "" if fit is None else fit.sentence,
                )
            )
        yield from table_lines(rows)
        yield from marks
        yield f"{len(made)} of {sized.count} sizes: every row knits, on both socks"
    for size in made:
        for warning in size.knit.plan.warnings:
            yield f"{printable(size.name)}: warning: {warning}"
    if made:
        for warning in imprint_warnings(made[0].knit.plan.spec):
            yield f"warning: {warning}"


def _fit_and_yarn(pattern: Pattern) -> Iterator[str]:
    """In short; nothing of a pattern without a gauge."""
    spec = pattern.first.plan.spec
    if spec.wearer is not None:
        from charts.fitting import fit_spec  # slow to import, and not for every pattern

        fit = fit_spec(spec).fit
        if fit is not None:
            yield f"fit: {fit.sentence}"
    if spec.gauge is not None or spec.gauge_weight:
        yield from _finished_and_yarn(pattern, spec)


def _finished_and_yarn(pattern: Pattern, spec: SockSpec) -> Iterator[str]:
    from charts.finished import finished_measures
    from charts.gauge_of import gauge_of
    from charts.yarn_figures import yarn_figures

    gauge = gauge_of(spec)
    if gauge is None:
        return
    sock = finished_measures(pattern.first, gauge)
    round_, length, height = (
        length_in_both(extent.mm, spec.units) for extent in (sock.round, sock.length, sock.height)
    )
    yield f"finished: {round_} round, {length} long, {height} high"
    pair = yarn_figures(pattern.first, pattern.second, gauge).pair
    amount = yarn_in_both(pair.metres, pair.yards, spec.units)
    balls = "" if pair.balls is None else f", {pair.grams:.0f} g, {pair.balls} balls"
    yield f"yarn: {amount}{balls} for the pair, {100 * pair.margin:.0f} % in hand"


def _counts(knit: Knit) -> list[str]:
    """Stitches by section and in all."""
    counts = {section.value: count for section, count in knit.counts.items()}
    counts["total"] = sum(counts.values())
    name_width = max(map(len, counts))
    count_width = len(str(counts["total"]))
    return [
        "stitches:",
        *(f"  {name:<{name_width}}  {count:>{count_width}}" for name, count in counts.items()),
    ]
