"""`template`: the foot at true scale, with the sock's rows ruled across it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import click

from charts.problems import PatternError, Problem
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
    word_option,
)
from layouts.commands.pattern import Pattern, open_pattern, read_bytes
from layouts.commands.print_date import print_date
from layouts.commands.progress import progress
from layouts.commands.refusal import ExitCode, Refusal, wrong_usage
from layouts.foot_side import FootSide
from layouts.output import printable

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
@click.option(
    "--outline",
    metavar="FILE.svg",
    help="The foot traced, toes up: the largest path is taken.  1 unit is 1 mm, unless the page "
    "has a size in mm, cm, in or pt.",
)
@word_option("--side", FootSide, "the foot that is printed", default=FootSide.LEFT)
@word_option("--traced", FootSide, "the foot of the outline.  Default: as --side", default=None)
def template(
    file: str,
    size: str | None,
    output: str | None,
    paper: Paper,
    outline: str | None,
    side: FootSide,
    traced: FootSide | None,
    **told: str | None,
) -> None:
    """Print a foot at true scale, in PDF.

    To try the heel and the length on, with the sock's rows ruled across it.  The foot is the
    pattern's wearer, unless the options tell of another.  Its outline is built from the measures,
    or read from a drawing of your own foot.  Print it at 100 %.  FILE is the pattern; - is standard
    input.

    \b
    Example:
      pegfolio template harbour.toml --foot "24 cm"
      pegfolio template harbour.toml --outline left-foot.svg --side left
    """
    if traced is not None and outline is None:
        what = "there is no outline that it could tell of"
        raise wrong_usage("--traced", what, suggestion="--outline FILE.svg")
    target = choose_target(file, output, ending="-template.pdf", suffixes=_PDF, size=size)
    foot = read_foot(told)
    path = None if outline is None else _read_outline(outline)
    pattern = open_pattern(file, size=size)
    warn(pattern)
    fitted = _fitted(pattern, foot, needs_foot=path is None)
    with progress("drawing the foot"), fitting_paper():
        from layouts.pdf import write_pdf
        from layouts.template import make_template

        try:
            document = make_template(
                fitted,
                pattern.first,
                paper=paper,
                outline_path=path,
                side=side,
                traced_side=traced,
            )
        except PatternError as error:
            raise _of_outline(outline or "", error) from None
        written = write_pdf(document, dated=print_date())
    target.deliver(written, told=f"{pages_told(document)}, print at 100 %")


def _read_outline(file: str) -> str:
    """The path data of the outline in mm.  Raises Refusal."""
    from layouts.svg_outline import MOST_SVG_BYTES, read_outline

    try:
        return read_outline(read_bytes(file, most=MOST_SVG_BYTES))
    except PatternError as error:
        raise _of_outline(file, error) from None


def _of_outline(file: str, error: PatternError) -> Refusal:
    """What is wrong with the drawing, by the name of its file."""
    lines = [
        Problem(each.what, "", each.allowed, each.suggestion).text(printable(file))
        for each in error.problems
    ]
    return Refusal(ExitCode.USAGE, *lines)


def _fitted(pattern: Pattern, foot: Foot | None, *, needs_foot: bool) -> FittedSpec:
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
    if needs_foot and foot is None and fitted.foot is None:
        what = "wearer: a template needs a foot"
        line = f"{pattern.name}: {what}; try: length under [wearer], --foot or --outline"
        raise Refusal(ExitCode.PROBLEMS, line)
    gauge = fitted.gauge or gauge_from_spacing(spec.loom.spacing_mm, knit=spec.knit)
    return replace(
        fitted,
        foot=foot or fitted.foot,
        fit=None if foot is not None else fitted.fit,
        gauge=gauge,
        measures=finished_measures(knit, gauge),
    )
