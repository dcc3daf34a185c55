"""`sizes`: every size of a pattern, in one table."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from layouts.commands.options import (
    choose_target,
    file_argument,
    fitting_paper,
    output_option,
    pages_told,
    pdf_paper_option,
    refuse_paper,
    warn_sizes,
)
from layouts.commands.pattern import SizedFile, open_sizes
from layouts.commands.print_date import print_date
from layouts.commands.progress import progress
from layouts.commands.words import MM_PER_INCH, length_in_both, table_lines, yarn_in_both
from layouts.output import printable

if TYPE_CHECKING:
    from charts.size_figures import SizeFigures
    from charts.spec import Units
    from layouts.delimited import Cell
    from layouts.paper import Paper

_SUFFIXES = (".csv", ".pdf")
_PAPER = "a4"
"""Of a .pdf, where no other is asked for."""


@click.command()
@file_argument
@output_option("the table on the terminal; a file ends in .csv or .pdf")
@pdf_paper_option("a5, half-letter, a4, letter, another name,", default=_PAPER)
def sizes(file: str, output: str | None, paper: Paper | None) -> None:
    """Show every size of a pattern in one table.

    Foot, loom, finished sock, rows, fit and yarn, smallest size first.  FILE is the pattern; - is
    standard input.

    \b
    Example:
      pegfolio sizes harbour.toml --output harbour-sizes.csv
    """
    target = choose_target(file, output, ending=None, suffixes=_SUFFIXES)
    refuse_paper(paper, target)
    if target.path is None:
        sized = open_sizes(file)
        for line in terminal_table(sized):
            click.echo(line)
    else:
        sized = open_sizes(file)
        if not sized.pattern.sizes:
            sized.refuse_failed()
        warn_sizes(sized)
        told = []
        if sized.pattern.failed:
            told.append(f"{len(sized.pattern.sizes)} of {sized.count} sizes")
        with progress("laying out the sizes"), fitting_paper():
            if target.suffix == ".csv":
                from layouts.delimited import write_csv

                written = write_csv(csv_rows(sized))
            else:
                from layouts.paper import PAPERS
                from layouts.pdf import write_pdf
                from layouts.size_table import make_size_table

                document = make_size_table(sized.pattern, paper=paper or PAPERS[_PAPER])
                written = write_pdf(document, dated=print_date())
                told.append(pages_told(document))
        target.deliver(written, told=", ".join(told))
    sized.refuse_failed()


def _figures(sized: SizedFile) -> list[tuple[SizeFigures, Units]]:
    from charts.size_figures import size_figures

    return [(size_figures(size), size.knit.plan.spec.units) for size in sized.pattern.sizes]


# On the terminal


_HEADS = (
    *("size", "wearer's foot", "loom", "round", "foot", "height"),
    *("cuff/leg/foot", "fit", "yarn a pair"),
)
_NONE = "–"


def terminal_table(sized: SizedFile) -> list[str]:
    """Title, table and remarks, a line each."""
    figures = _figures(sized)
    if not figures:
        return []
    title = sized.pattern.sizes[0].knit.plan.spec.title
    rows = [_HEADS, *(_terminal_row(one, units) for one, units in figures)]
    lines = [f"{sized.name}: {title}", "", *table_lines(rows), "", *_remarks(figures)]
    lines += [
        f"{printable(size.name)}{': ' if size.name else ''}warning: {warning}"
        for size in sized.pattern.sizes
        for warning in size.knit.plan.warnings
    ]
    return lines


def _remarks(figures: list[tuple[SizeFigures, Units]]) -> list[str]:
    from charts.range_fit import range_fit

    lines = [
        "round, foot (heel to tip) and height (floor to top) are those of the finished sock; "
        "cuff/leg/foot are rows"
    ]
    if any(one.measures is None for one, _ in figures):
        lines.append(f"{_NONE} the pattern has no gauge or no wearer to tell it by")
    margins = {one.yarn.pair.margin for one, _ in figures if one.yarn is not None}
    lines += [f"yarn with {100 * margin:.0f} % in hand" for margin in sorted(margins)]
    found = range_fit([one for one, _ in figures])
    return lines if found is None else [*lines, found.text]


def _terminal_row(one: SizeFigures, units: Units) -> tuple[str, ...]:
    measures, counts = one.measures, one.counts
    finished = (_NONE, _NONE, _NONE)
    if measures is not None:
        finished = (
            length_in_both(measures.round.mm, units),
            length_in_both(measures.length.mm, units),
            length_in_both(measures.height.mm, units),
        )
    yarn = _NONE
    if one.yarn is not None:
        yarn = yarn_in_both(one.yarn.pair.metres, one.yarn.pair.yards, units)
    return (
        printable(one.name) or _NONE,
        _NONE if one.foot is None else length_in_both(one.foot.length.mm, units),
        f"{one.loom.pegs} pegs, {one.loom.spacing_text}",
        *finished,
        f"{counts.cuff}/{counts.leg}/{counts.foot}",
        _NONE if one.fit is None else one.fit.fit_class.value,
        yarn,
    )


# As comma-separated values


_CSV_HEADS = (
    "size",
    "loom pegs",
    "loom spacing",
    "foot length cm",
    "foot length in",
    "foot length plus or minus cm",
    "foot length is",
    "ball round cm",
    "ball round in",
    "shoe sizes",
    "ease round percent",
    "ease length percent",
    "sock round cm",
    "sock round in",
    "sock round plus or minus cm",
    "sock foot cm",
    "sock foot in",
    "sock height cm",
    "sock height in",
    "fit",
    "cuff rows",
    "leg rows",
    "flap rows",
    "turn rows",
    "foot rows",
    "yarn a pair m",
    "yarn a pair yd",
    "yarn a pair g",
    "balls a pair",
)


def csv_rows(sized: SizedFile) -> list[list[Cell]]:
    """A head, and a row a size: every figure in a cell of its own; what is not known is None."""
    rows: list[list[Cell]] = [list(_CSV_HEADS)]
    for one, _ in _figures(sized):
        cells = _csv_cells(one)
        rows.append([cells.get(head) for head in _CSV_HEADS])
    return rows


def _csv_cells(one: SizeFigures) -> dict[str, Cell]:
    """The known cells of one size by their heads."""
    counts = one.counts
    cells: dict[str, Cell] = {
        "size": one.name,
        "loom pegs": one.loom.pegs,
        "loom spacing": one.loom.spacing_text,
        "cuff rows": counts.cuff,
        "leg rows": counts.leg,
        "flap rows": counts.flap,
        "turn rows": counts.turn,
        "foot rows": counts.foot,
    }
    if one.foot is not None:
        cells |= {
            **_in_cm_and_in("foot length", one.foot.length.mm),
            "foot length plus or minus cm": _cm(one.foot.length.error_mm),
            "foot length is": one.foot.length.origin.value,
            **_in_cm_and_in("ball round", one.foot.ball.mm),
            "shoe sizes": "; ".join(shoe.text for shoe in one.shoes),
            "ease round percent": round(100 * one.ease.round_share, 2),
            "ease length percent": round(100 * one.ease.length_share, 2),
        }
    if one.measures is not None:
        cells |= {
            **_in_cm_and_in("sock round", one.measures.round.mm),
            "sock round plus or minus cm": _cm(one.measures.round.error_mm),
            **_in_cm_and_in("sock foot", one.measures.length.mm),
            **_in_cm_and_in("sock height", one.measures.height.mm),
        }
    if one.fit is not None:
        cells["fit"] = one.fit.fit_class.value
    if one.yarn is not None:
        pair = one.yarn.pair
        cells |= {"yarn a pair m": round(pair.metres, 1), "yarn a pair yd": round(pair.yards, 1)}
        if pair.grams is not None:
            cells |= {"yarn a pair g": round(pair.grams, 1), "balls a pair": pair.balls}
    return cells


def _in_cm_and_in(name: str, mm: float) -> dict[str, Cell]:
    return {f"{name} cm": _cm(mm), f"{name} in": round(mm / MM_PER_INCH, 2)}


def _cm(mm: float) -> float:
    return round(mm / 10, 2)
