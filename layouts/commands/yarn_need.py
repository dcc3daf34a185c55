"""`yarn`: how much a sock takes, and where every factor comes from."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import click

from layouts.commands.options import file_argument, size_option, warn
from layouts.commands.pattern import Pattern, open_pattern
from layouts.commands.words import table_lines, yarn_in_both

if TYPE_CHECKING:
    from charts.spec import Units
    from charts.yarn import YarnUse
    from charts.yarn_figures import YarnFigures
    from charts.yarn_need import BallShare, YarnNeed


@click.command()
@file_argument
@size_option
def yarn(file: str, size: str | None) -> None:
    """Tell the yarn of a sock and of the pair.

    Metres, yards, grams and balls, by stitch and by section, counted from the proved rows.  Without
    a gauge in the pattern the stitches are guessed from the peg spacing.  FILE is the pattern; - is
    standard input.

    \b
    Example:
      pegfolio yarn harbour.toml
    """
    pattern = open_pattern(file, size=size)
    warn(pattern)
    for line in _yarn_lines(pattern):
        click.echo(line)


def _yarn_lines(pattern: Pattern) -> Iterator[str]:
    """Everything about the yarn of that pattern, a line each."""
    from charts.area_rule import area_rule_metres
    from charts.gauge import gauge_from_spacing
    from charts.gauge_of import gauge_of
    from charts.yarn_figures import yarn_figures

    spec = pattern.first.plan.spec
    gauge = gauge_of(spec) or gauge_from_spacing(spec.loom.spacing_mm, knit=spec.knit)
    figures = yarn_figures(pattern.first, pattern.second, gauge)
    loop = figures.loop
    yield pattern.title_line
    yield (
        f"a stitch takes {loop.mm:.1f} mm of yarn, {loop.low_mm:.1f} to {loop.high_mm:.1f} mm: "
        f"{loop.method.value}; {loop.basis}"
    )
    if gauge.source.is_estimate:
        yield f"the gauge is {gauge.basis}: what follows is as doubtful as that"
    yield ""
    yield from _by_use(figures)
    yield ""
    yield from _by_section(figures)
    yield ""
    yield from _totals(figures, spec.units)
    yield _against_the_rule(area_rule_metres(pattern.first, gauge), figures.sock.metres, spec.units)
    yield from (f"warning: {warning}" for warning in figures.warnings)


def _by_use(figures: YarnFigures) -> Iterator[str]:
    """The first sock's yarn by stitch, with the factor of each and its source."""
    from charts.yarn import YarnUse

    rows = [("yarn for", "count", "mm each", "metres")]
    factors = ["factor"]
    for use in YarnUse:
        parts = [part for part in figures.sock.parts if part.use is use]
        if parts:
            count, metres = sum(part.count for part in parts), sum(part.metres for part in parts)
            rows.append((use.value, f"{count:,}", f"{parts[0].mm_each:.1f}", f"{metres:.1f}"))
            factors.append(_factor_words(use))
    for line, factor in zip(table_lines(rows, numbers_from=1), factors, strict=True):
        yield f"{line}  {factor}"


def _factor_words(use: YarnUse) -> str:
    from charts.yarn import FACTORS, Of

    factor = FACTORS[use]
    times = "" if factor.of is Of.LENGTH else f"{factor.times:.2f} of {factor.of.value}; "
    return f"{times}{factor.source}"


def _by_section(figures: YarnFigures) -> list[str]:
    from charts.rows import Section

    rows = [("section", "metres")]
    for section in Section:
        metres = figures.sock.metres_of(section)
        if metres:
            rows.append((section.value, f"{metres:.1f}"))
    return table_lines(rows, numbers_from=1)


def _totals(figures: YarnFigures, units: Units) -> Iterator[str]:
    """What to buy for one sock and for the pair, and how two socks share the balls."""
    from charts.yarn import YARD_M

    sock, one, pair = figures.sock, figures.one, figures.pair
    low, high = sock.low_metres, sock.high_metres
    yield (
        f"one sock as computed: {yarn_in_both(sock.metres, sock.metres / YARD_M, units)}, "
        f"{low:.0f} to {high:.0f} m by the limits of the stitch"
    )
    in_hand = f"with {100 * pair.margin:.0f} % in hand"
    if pair.strands > 1:
        in_hand += f" and {pair.strands} strands"
    yield f"one sock {in_hand}: {_need_words(one, units)}"
    yield f"the pair {in_hand}: {_need_words(pair, units)}"
    if figures.ball is None:
        yield 'grams and balls are not known: give metres and grams, or weight, under "[ball]"'
        return
    yield f"balls of {figures.ball.metres:.0f} m, {figures.ball.grams:.0f} g: {figures.ball_basis}"
    if pair.shares is not None:
        first, second = pair.shares
        yield f"first sock {_share_words(first)}; second sock {_share_words(second)}"


def _against_the_rule(rule_m: float, computed_m: float, units: Units) -> str:
    """How far the computed yarn is from the trade's rule of thumb."""
    from charts.yarn import YARD_M

    off = round(100 * (computed_m / rule_m - 1))
    how = f"{abs(off)} % {'more' if off > 0 else 'less'}" if off else "as much"
    return (
        "for comparison: yards = area x stitches an inch / 6, in inches (common practice, no "
        "published source; 9 to 20 % in hand), gives "
        f"{yarn_in_both(rule_m, rule_m / YARD_M, units)} a sock; computed is {how}"
    )


def _need_words(need: YarnNeed, units: Units) -> str:
    words = yarn_in_both(need.metres, need.yards, units)
    if need.grams is None or need.balls is None:
        return words
    return f"{words}, {need.grams:.0f} g, {need.balls} ball{'s' if need.balls > 1 else ''}"


def _share_words(share: BallShare) -> str:
    """The balls of one sock, and its part of the one that is divided.

    >>> from charts.yarn_need import BallShare
    >>> _share_words(BallShare(1, 25.0))
    '1 ball and 25 g of the divided one'
    """
    whole = f"{share.whole} ball{'' if share.whole == 1 else 's'}"
    return f"{whole} and {share.part_grams:.0f} g of the divided one" if share.part_grams else whole
