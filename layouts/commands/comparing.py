"""`changes`: what a knitter with an older print must correct."""

from __future__ import annotations

from pathlib import Path

import click

from charts.changes import SockCorrections, compare_pairs
from charts.pattern_words import listed
from layouts.commands.options import (
    choose_target,
    fitting_paper,
    output_option,
    pages_told,
    pdf_paper_option,
    refuse_paper,
    size_option,
)
from layouts.commands.pattern import SizedFile, open_sizes
from layouts.commands.print_date import print_date
from layouts.commands.progress import progress
from layouts.commands.refusal import wrong_usage
from layouts.output import STDOUT, check_target, printable
from layouts.paper import PAPERS, Paper

_SUFFIXES = (".pdf", ".txt")
_PAPER = "a5"
"""Of a .pdf, where no other is asked for."""


@click.command()
@click.argument("old", metavar="OLD")
@click.argument("new", metavar="NEW")
@size_option
@output_option("standard output; a file ends in .pdf or .txt")
@pdf_paper_option("a5, half-letter, another name,", default=_PAPER)
def changes(old: str, new: str, size: str | None, output: str | None, paper: Paper | None) -> None:
    """Tell what to correct in an older print, line by line.

    OLD and NEW are two pattern files.  Both are knitted on the virtual loom and compared; where
    the socks are equal there is nothing to correct, however the files differ.  Pages are those of
    the booklet that OLD gives on A5 without further options.  A .pdf is a slip to hand out.

    \b
    Example:
      pegfolio changes harbour.toml harbour-2.toml --output harbour-corrections.pdf
    """
    if old == new == STDOUT:
        raise wrong_usage("OLD and NEW", "standard input can be read once only")
    target = choose_target(new, output, ending=None, suffixes=_SUFFIXES)
    refuse_paper(paper, target)
    if target.path is not None and old != STDOUT:
        check_target(target.path, source=Path(old))
    before, after = _all_good(old), _all_good(new)
    title, socks = _compared(before, after, size)
    if not socks:
        click.echo(f"{after.name}: nothing to correct: the socks are equal")
        return
    if target.suffix == ".pdf":
        with progress("laying out the slip"), fitting_paper():
            from layouts.change_slip import make_change_slip
            from layouts.pdf import write_pdf

            document = make_change_slip(title, socks, paper=paper or PAPERS[_PAPER])
            written = write_pdf(document, dated=print_date())
        target.deliver(written, told=pages_told(document))
        return
    from charts.plain_text import changes_text

    target.deliver(changes_text(title, socks).encode())


def _all_good(file: str) -> SizedFile:
    """The pattern, if every size of it can be knitted."""
    found = open_sizes(file)
    found.refuse_failed()
    return found


def _compared(
    before: SizedFile, after: SizedFile, size: str | None
) -> tuple[str, tuple[SockCorrections, ...]]:
    """The new title, and what is to correct in each size that both patterns have."""
    old = {found.name: found for found in before.pattern.sizes}
    new = {found.name: found for found in after.pattern.sizes}
    shared = [name for name in new if name in old]
    if size is not None and size not in shared:
        what = f"no size '{printable(size)}' is in both patterns"
        raise wrong_usage("--size", what, allowed=listed(shared) if any(shared) else "")
    if not shared:
        what = "the two patterns have no size in common"
        names = listed((printable(name) for name in old if name), "and") or "no sizes"
        raise wrong_usage(f"{before.name} and {after.name}", f"{what}; the older has {names}")
    for name in [name for name in (*old, *new) if name not in shared]:
        which = before.name if name in old else after.name
        click.echo(f"{which}: size {printable(name)} is in one of the patterns only", err=True)
    from layouts.change_pages import with_pages

    socks: list[SockCorrections] = []
    for name in shared if size is None else [size]:
        pairs = ((old[name].knit, old[name].second), (new[name].knit, new[name].second))
        found = compare_pairs(*pairs, name=f"Size {name}" if name else "")
        if found is not None:
            socks.append(found if found.another_ring else with_pages(found, *pairs))
    return new[shared[0]].knit.plan.spec.title, tuple(socks)
