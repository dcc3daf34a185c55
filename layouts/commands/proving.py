"""`prove`: does a finished PDF tell the same sock twice, and does it knit?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from pathlib import Path

import click

from charts.proof import Readings
from charts.prove import (
    BookletReport,
    Difference,
    NothingToProveError,
    ProofReport,
    SockReport,
    prove,
)
from layouts.commands.progress import progress
from layouts.commands.refusal import ExitCode, Refusal, wrong_usage
from layouts.commands.words import table_lines
from layouts.output import printable, reason


@click.command("prove")
@click.argument("file", metavar="FILE.pdf")
def prove_file(file: str) -> None:
    """Read a finished PDF back and prove it anew.

    FILE.pdf is a booklet, a card or a chart.  No pattern is needed: the steps are read as they are
    printed, and apart from them the cells of the charts; each is knitted on a virtual loom, and
    both must make the same sock, row by row.  What differs first is told with its page and line.
    Only what can be seen on paper is read.

    \b
    Example:
      pegfolio prove harbour-booklet.pdf

    Exit codes: 0 proved; 1 not proved; 2 no PDF that can be read, or none with rows in it.
    """
    from layouts.pdf_reading import MOST_BYTES, UnreadablePdfError, read_pages

    name = printable(file)
    data = _read(Path(file), name, most=MOST_BYTES)
    with progress("reading the pages"):
        try:
            report = prove(read_pages(data))
        except UnreadablePdfError as error:
            raise wrong_usage(name, str(error)) from None
        except NothingToProveError:
            what = "no page of it tells rows to knit"
            allowed = "a booklet, a card or a chart that pegfolio printed"
            raise wrong_usage(name, what, allowed=allowed) from None
    for line in report_lines(name, report):
        click.echo(printable(line))
    if not report.is_proved:
        raise Refusal(ExitCode.PROBLEMS, f"{name}: not proved")


def _read(path: Path, name: str, *, most: int) -> bytes:
    """One byte more than is allowed at most: an endless file must not fill the memory."""
    try:
        with path.open("rb") as file:
            return file.read(most + 1)
    except FileNotFoundError:
        raise wrong_usage(name, "there is no such file") from None
    except OSError as error:
        raise wrong_usage(name, f"cannot be read: {reason(error)}") from None


def report_lines(name: str, report: ProofReport) -> Iterator[str]:
    """What came of the pages: a line each part, then what is wrong or the proof."""
    yield f"{name}: {report.pages} page{'s' * (report.pages != 1)}"
    for booklet in report.booklets:
        yield from _booklet_lines(booklet)
    if report.unread:
        yield f"not read, for they hold no rows: {_pages_words(report.unread)}"


def _booklet_lines(booklet: BookletReport) -> Iterator[str]:
    if booklet.label:
        yield f"{booklet.label}:"
    for sock in booklet.socks:
        if len(booklet.socks) > 1 or sock.name.text:
            yield f"{sock.name.text or 'first sock'}:"
        yield from _sock_lines(sock)
    if booklet.difference is not None:
        yield from _difference_lines(booklet.difference)
    if booklet.left_out:
        yield f"not told whole, since another size is marked: {', '.join(booklet.left_out)}"
    if booklet.proof is not None:
        yield booklet.proof.text
        if booklet.printed is None:
            yield "no page bears a proof to compare with"
        elif booklet.difference is None:
            yield f"the proof on page {booklet.printed.page} says the same"


def _sock_lines(sock: SockReport) -> Iterator[str]:
    if sock.difference is not None:
        yield from _difference_lines(sock.difference)
        return
    rows = []
    for part in sock.parts:
        if part.in_steps is None or part.in_chart is None:
            told = Readings.CHART if part.in_steps is None else Readings.STEPS
            count = part.in_chart if part.in_steps is None else part.in_steps
            words = f"{part.pairs} pairs" if part.pairs else f"{count} rows"
            rows.append((part.title, words, "", f"{told.value} alone"))
        else:
            rows.append(
                (part.title, f"{part.in_steps} rows", f"{part.in_chart} in the chart", "equal")
            )
    yield from table_lines(rows)
    for assumed in sock.assumed:
        yield f"taken for granted: {assumed}"


def _difference_lines(difference: Difference) -> Iterator[str]:
    yield difference.what
    for place, words in difference.places:
        where = f"page {place.page}" if place.page else ""
        line = f"“{place.line}”" if place.line else ""
        at = ", ".join(filter(None, (where, line)))
        yield "  " + ": ".join(filter(None, (at, words)))


def _pages_words(pages: Sequence[tuple[int, str]]) -> str:
    """
    >>> _pages_words([(1, "A sock"), (2, "Contents"), (7, "Notes")])
    'pages 1–2 (A sock, Contents), page 7 (Notes)'
    """
    told = []
    for _, group in groupby(enumerate(pages), key=lambda one: one[1][0] - one[0]):
        run = [page for _, page in group]
        numbers = f"page {run[0][0]}" if len(run) == 1 else f"pages {run[0][0]}–{run[-1][0]}"
        titles = ", ".join(dict.fromkeys(title for _, title in run if title))
        told.append(f"{numbers} ({titles})" if titles else numbers)
    return ", ".join(told)
