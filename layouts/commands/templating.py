"""`template`: the foot at true scale, with the sock's rows ruled across it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import click

from layouts.commands.foot import foot_options, read_foot
from layouts.commands.options import (
    choose_target,
    file_argument,
    fitting_paper,
    output_option,
    pages_told,
    paper_option,
    size_option,
    warn,
)
from layouts.commands.pattern import Pattern, open_pattern
from layouts.commands.progress import progress
from layouts.commands.refusal import ExitCode, Refusal

if TYPE_CHECKING:
    from charts.feet import Foot
    from charts.fitting import FittedSpec
    from layouts.paper import Paper

_PDF = (".pdf",)


@click.command()
@file_argument
@size_option
@foot_options
@output_option("beside the pattern, harbour.toml -> harbour-template.pdf")
@paper_option("a4, letter, a3, another name,", default="a4")
def template(
    file: str, size: str | None, output: str | None, paper: Paper, **told: str | None
) -> None:
    """Print a foot at true scale, in PDF.

    To try the heel and the length on, with the sock's rows ruled across it.  The foot is the
    pattern's wearer, unless the options tell of another.  Print it at 100 %.  FILE is the pattern;
    - is standard input.

    \b
    Example:
      pegfolio template harbour.toml --foot "24 cm"
    """
    target = choose_target(file, output, ending="-template.pdf", suffixes=_PDF, size=size)
    foot = read_foot(told)
    pattern = open_pattern(file, size=size)
    warn(pattern)
    fitted = _fitted(pattern, foot)
    with progress("drawing the foot"), fitting_paper():
        from layouts.pdf import write_pdf
        from layouts.template import make_template

        document = make_template(fitted, pattern.first, paper=paper)
        written = write_pdf(document)
    target.deliver(written, told=f"{pages_told(document)}, print at 100 %")


def _fitted(pattern: Pattern, foot: Foot | None) -> FittedSpec:
    """The fit of the pattern's sock to that foot, or to its wearer.

    Rows need a height: without a gauge it is guessed from the peg spacing, as `gauge.basis` says.
    Raises Refusal if there is no foot.
    """
    from charts.finished import finished_measures
    from charts.fitting import fit_spec
    from charts.gauge import gauge_from_spacing

    knit = pattern.first
    spec = knit.plan.spec
    fitted = fit_spec(spec)
    if foot is None and fitted.foot is None:
        what = "wearer: a template needs a foot"
        line = f"{pattern.name}: {what}; try: length under [wearer], or --foot"
        raise Refusal(ExitCode.PROBLEMS, line)
    gauge = fitted.gauge or gauge_from_spacing(spec.loom.spacing_mm, knit=spec.knit)
    return replace(
        fitted,
        foot=foot or fitted.foot,
        fit=None if foot is not None else fitted.fit,
        gauge=gauge,
        measures=finished_measures(knit, gauge),
    )
