"""`check`: is all well with a pattern?"""

from __future__ import annotations

import click

from charts.verify import Knit
from layouts.commands.options import file_argument
from layouts.commands.pattern import Pattern, open_pattern


@click.command()
@file_argument
def check(file: str) -> None:
    """Read, plan and knit a pattern, and say what came of it.

    Both socks of the pair are knitted on a virtual loom; nothing is written.  FILE is the pattern;
    - is standard input.

    \b
    Example:
      pegfolio check harbour.toml
    """
    click.echo("\n".join(summary(open_pattern(file))))


def summary(pattern: Pattern) -> list[str]:
    """What came of it, a line each."""
    knit = pattern.first
    plan = knit.plan
    loom = plan.loom
    lines = [
        f"{pattern.name}: {plan.spec.title}",
        f"loom: {loom.pegs} pegs, {loom.spacing_text} apart, first round {loom.working.value}",
        f"heel {plan.heel_pegs} pegs, turn {plan.centre_pegs}, instep {plan.instep_pegs}, "
        f"toe {plan.toe_pegs}",
        *_counts(knit),
        "every row knits" + ("" if pattern.second is knit else ", on both socks"),
    ]
    return lines + [f"warning: {warning}" for warning in plan.warnings]


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
