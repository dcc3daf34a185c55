"""`booklet` and `chart`: what is printed; cards are in `cards`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from charts.parts import Part
from charts.pattern_words import listed, nearest_word
from layouts.commands.imprint import Source, copy_line_option, read_imprint, warn_imprint
from layouts.commands.named_socks import NamedSock, open_socks
from layouts.commands.options import (
    Target,
    WholeNumber,
    choose_target,
    colour_option,
    content_option,
    edition_in_name,
    file_argument,
    fitting_paper,
    inks_of,
    left_handed_option,
    output_option,
    pages_told,
    paper_option,
    part_option,
    print_option,
    refuse_idle,
    size_option,
    sock_option,
    units_option,
    warn,
    warn_sizes,
)
from layouts.commands.pattern import (
    Asked,
    SizedFile,
    has_sizes,
    open_text,
    path_of,
    read_text,
    size_called,
    sizes_of,
)
from layouts.commands.print_date import print_date
from layouts.commands.progress import progress
from layouts.commands.refusal import ExitCode, Refusal, wrong_usage
from layouts.commands.sheet_options import (
    BookletSheets,
    booklet_sheet_options,
    read_booklet_sheets,
)
from layouts.edition import Content, Edition, PrintSize, usual_paper
from layouts.output import printable
from layouts.paper import MM_PER_INCH, Paper

if TYPE_CHECKING:
    from collections.abc import Sequence

    from layouts.commands.pattern import AskedUnits
    from layouts.scene import Document, Page

_DPI = 150
_LEAST_DPI, _MOST_DPI = 30, 1200
MOST_DOTS = 100_000_000
"""In one picture."""
_PDF = (".pdf",)
_CHART_SUFFIXES = (".pdf", ".png", ".svg")


@click.command()
@file_argument
@size_option
@left_handed_option
@colour_option
@units_option
@click.option("--mark", metavar="NAME", help="Print the numbers of one of the sizes in bold.")
@output_option("beside the pattern, harbour.toml -> harbour-booklet.pdf")
@paper_option(
    "a5, half-letter, a4, letter, another name,",
    default_told="a5; a4 for clear and large print",
)
@print_option
@content_option
@booklet_sheet_options
@copy_line_option
def booklet(
    file: str,
    size: str | None,
    left_handed: bool,
    colour: bool,
    units: AskedUnits | None,
    mark: str | None,
    output: str | None,
    paper: Paper | None,
    print_size: PrintSize,
    content: Content,
    copy_line: str,
    **sheets: Any,
) -> None:
    """Print the whole sock as a booklet, in PDF.

    A pattern with sizes comes as one booklet for all of them, smallest first and the others in
    brackets; --size prints one alone.  --layout fold puts two pages on a sheet, to fold and staple.
    FILE is the pattern; - is standard input.

    \b
    Example:
      pegfolio booklet harbour.toml --paper half-letter
      pegfolio booklet harbour.toml --layout fold
      pegfolio booklet harbour.toml --print large --content steps
    """
    layout = read_booklet_sheets(sheets)
    in_name = edition_in_name(
        left_handed=left_handed, colour=colour, print_size=print_size, content=content
    )
    asked = Asked(left_handed=left_handed, units=units)
    target = choose_target(
        file, output, ending=layout.ending, suffixes=_PDF, size=size, edition=in_name
    )
    edition = Edition(print_size, content, inks_of(colour))
    paper = paper or usual_paper(edition)
    name, text = read_text(file)
    source = Source(name, path_of(file), text)
    if size is None and has_sizes(name, text):
        sized = sizes_of(name, source.path, text, asked=asked)
        _sized_booklet(sized, source, target, mark, paper, layout, edition, copy_line)
        return
    if mark is not None:
        raise wrong_usage("--mark", "there are no other sizes beside it", suggestion="leave it out")
    pattern = open_text(name, source.path, text, size=size, asked=asked)
    spec = pattern.first.plan.spec
    imprint = read_imprint(source, spec, copy_line=copy_line, inks=inks_of(colour))
    warn(pattern)
    warn_imprint(name, spec)
    with progress("laying out the booklet"), fitting_paper():
        from layouts.booklet import make_booklet
        from layouts.pdf import write_pdf

        document = make_booklet(
            pattern.first, pattern.second, paper=paper, edition=edition, imprint=imprint
        )
        laid = layout.laid(document, edition)
        written = write_pdf(laid, tagging=layout.tagging, dated=print_date())
    target.deliver(written, told=layout.told(document, laid))


def _sized_booklet(
    sized: SizedFile,
    source: Source,
    target: Target,
    mark: str | None,
    paper: Paper,
    layout: BookletSheets,
    edition: Edition,
    copy_line: str,
) -> None:
    """One booklet for every size that can be made; a bad size is told and ends it with 1."""
    warn_sizes(sized)
    names = [found.name for found in sized.pattern.sizes]
    if mark is not None:
        marked = size_called(mark, names)
        if marked is None:
            shown = [printable(name) for name in names]
            what = f"no size '{printable(mark)}' can be made"
            nearest = nearest_word(mark, shown)
            raise wrong_usage("--mark", what, allowed=listed(shown), suggestion=nearest)
        mark = marked
    if names:
        spec = sized.pattern.sizes[0].knit.plan.spec
        imprint = read_imprint(source, spec, copy_line=copy_line, inks=edition.inks)
        warn_imprint(sized.name, spec)
        with progress("laying out the booklet"), fitting_paper():
            from layouts.pdf import write_pdf
            from layouts.sized_booklet import make_sized_booklet

            document = make_sized_booklet(
                sized.pattern, paper=paper, mark=mark, edition=edition, imprint=imprint
            )
            laid = layout.laid(document, edition)
            written = write_pdf(laid, tagging=layout.tagging, dated=print_date())
        target.deliver(written, told=layout.told(document, laid))
    sized.refuse_failed()


@click.command()
@file_argument
@size_option
@sock_option
@left_handed_option
@colour_option
@part_option()
@output_option("beside the pattern, harbour.toml -> harbour-leg-chart.pdf", formats=True)
@paper_option("A paper to fit the chart on, not as large as the chart: a4, letter, another name,")
@copy_line_option
@print_option
@click.option(
    "--dpi",
    type=WholeNumber(_LEAST_DPI, _MOST_DPI),
    help=f"Dots per inch of a .png.  Default: {_DPI}.",
)
def chart(
    file: str,
    size: str | None,
    sock: int | None,
    left_handed: bool,
    colour: bool,
    part: Part,
    output: str | None,
    paper: Paper | None,
    copy_line: str,
    print_size: PrintSize,
    dpi: int | None,
) -> None:
    """Draw the chart of one part, in PDF, SVG or PNG.

    The ending of --output tells the format.  A pattern with sizes comes with a chart for all that
    knit from the same one; --size draws one alone.  FILE is the pattern; - is standard input.

    \b
    Example:
      pegfolio chart harbour.toml --part leg --output leg.svg
    """
    ending = f"-{part.value}-chart.pdf"
    in_name = edition_in_name(left_handed=left_handed, colour=colour, print_size=print_size)
    target = choose_target(
        file, output, ending=ending, suffixes=_CHART_SUFFIXES, size=size, edition=in_name
    )
    refuse_idle("--dpi", dpi, target, suffix=".png", what="dots per inch make")
    opened = open_socks(file, size=size, sock=sock, asked=Asked(left_handed=left_handed))
    socks = opened.with_part(part)
    if socks:
        with progress("drawing the chart"), fitting_paper():
            edition = Edition(print_size, inks=inks_of(colour))
            document = _charts(socks, part, paper, edition, copy_line)
            _refuse_several(document, target.suffix, socks)
            written = _drawn(document, target.suffix, dpi or _DPI)
        target.deliver(written, told=pages_told(document) if target.suffix == ".pdf" else "")
    opened.refuse_failed()


def _charts(
    socks: Sequence[NamedSock], part: Part, paper: Paper | None, edition: Edition, copy_line: str
) -> Document:
    """The chart, or those of all sizes."""
    from layouts.chart_page import make_chart_page, make_sized_chart_pages

    if len(socks) == 1:
        knit = socks[0].knit
        return make_chart_page(knit, part, paper=paper, edition=edition, copy_line=copy_line)
    from layouts.size_order import SizeSet

    sizes = SizeSet(tuple(one.size for one in socks), tuple(one.knit for one in socks))
    return make_sized_chart_pages(sizes, part, paper=paper, edition=edition, copy_line=copy_line)


def _refuse_several(document: Document, suffix: str, socks: Sequence[NamedSock]) -> None:
    """Raises Refusal for a picture of more than one page."""
    if suffix == ".pdf" or len(document.pages) == 1:
        return
    charts = sum(bool(page.outline) for page in document.pages)
    if charts > 1:
        what = f"the sizes have {charts} charts of this part, and a {suffix} has one"
        names = [printable(one.size) for one in socks]
        suggestion = f"--size '{names[0]}', or write a .pdf"
        raise wrong_usage("--size", what, allowed=listed(names), suggestion=suggestion)
    what = f"the chart takes {pages_told(document)} of this paper, and a {suffix} has one"
    raise wrong_usage("--paper", what, suggestion="leave --paper out, or write a .pdf")


def _drawn(document: Document, suffix: str, dpi: int) -> bytes:
    """The document, or its one page, in the format of that suffix."""
    page = document.pages[0]
    if suffix == ".svg":
        from layouts.svg import write_svg

        return write_svg(
            page, title=document.title, description=document.subject, language=document.language
        ).encode()
    if suffix == ".png":
        from layouts.png import MissingLibraryError, write_png

        _refuse_too_many_dots(page, dpi)
        try:
            return write_png(page, dpi=dpi)
        except MissingLibraryError as error:
            raise Refusal(ExitCode.USAGE, str(error)) from None
    from layouts.pdf import write_pdf

    return write_pdf(document, dated=print_date())


def _refuse_too_many_dots(page: Page, dpi: int) -> None:
    """Some viewers refuse such pictures, and making one takes gigabytes of memory."""
    area_in2 = page.width_mm * page.height_mm / MM_PER_INCH**2
    if area_in2 * dpi**2 > MOST_DOTS:
        what = f"{dpi} dots per inch make a picture of more than {MOST_DOTS // 10**6} million dots"
        allowed = f"{_LEAST_DPI} to {int((MOST_DOTS / area_in2) ** 0.5)} for this chart"
        raise wrong_usage("--dpi", what, allowed=allowed)
