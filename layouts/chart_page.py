"""One part's chart on a page of its own, with its title and key: for the `chart` command."""

from __future__ import annotations

import contextlib
from dataclasses import replace
from typing import Final, NamedTuple

from charts.parts import Part
from charts.plan import Plan
from charts.verify import Knit
from layouts.block import Block, DoesNotFitError
from layouts.blocks import Piece, fitting, paragraph, pieces_height_mm, stacked
from layouts.edition import STANDARD_EDITION, Edition
from layouts.grid import FittedChart, measure_chart, rows_in_words
from layouts.key import READING_RULES, signs_of, symbol_key
from layouts.paper import PAPERS, PRINTER_SAFE, Paper
from layouts.scene import Document, OutlineEntry, Page, Role
from layouts.style import PageStyle, style_of

MARGIN_MM: Final = 10.0
"""Round everything, clear of the printer's edge."""
LEAST_WIDTH_MM: Final = 110.0
"""Of a page made to measure, in standard print: room for the key."""
BOUNDLESS_MM: Final = 2000.0
"""Room in which every chart fits with cells of the best size."""
AFTER_CHART_MM: Final = 5.0
AFTER_KEY_MM: Final = 2.0


def make_chart_page(
    knit: Knit,
    part: Part,
    *,
    paper: Paper | None = None,
    edition: Edition = STANDARD_EDITION,
) -> Document:
    """The part's chart with title, key and how to read it, in the edition's print size.

    Without a paper the one page is just as large as it needs to be, with cells of the style's best
    size.  On a paper the chart is as large as fits, on several pages if it must be.  Raises
    DoesNotFitError, saying what would fit.
    """
    # One chart is looked at from near on any paper: A5's style is the standard one.
    style = style_of(edition, PAPERS["a5"])
    pages = _to_measure(knit, part, style) if paper is None else _on_paper(knit, part, paper, style)
    return Document(
        tuple(pages),
        f"{knit.plan.spec.title}: {part.title}",
        author=knit.plan.spec.designer,
        subject=f"Chart of the {part.title.lower()} for {loom_words(knit.plan)}",
    )


def loom_words(plan: Plan) -> str:
    """The loom in a few words."""
    return f"a loom of {plan.loom.pegs} pegs, {plan.loom.spacing_text} apart"


def _to_measure(knit: Knit, part: Part, style: PageStyle) -> list[Page]:
    best = replace(style, least_cell_mm=style.best_cell_mm, most_cell_mm=style.best_cell_mm)
    fitted = measure_chart(knit, part, width_mm=BOUNDLESS_MM, height_mm=BOUNDLESS_MM, style=best)
    (chart,) = fitted.draw(rows_in_words(knit, part))
    width_mm = max(chart.width_mm, LEAST_WIDTH_MM * style.growth)
    body = stacked(
        [
            *_head(knit, part, width_mm, style),
            Piece(chart, AFTER_CHART_MM),
            *_foot(fitted, width_mm, style),
        ]
    )
    paper = Paper("", width_mm + 2 * MARGIN_MM, body.height_mm + 2 * MARGIN_MM)
    return [_page(paper, body, part.title)]


def _on_paper(knit: Knit, part: Part, paper: Paper, style: PageStyle) -> list[Page]:
    """Chart and key on one page if they fit on it, upright or level; or else on several pages."""
    sheets = (paper, paper.turned)
    for sheet in sheets:
        with contextlib.suppress(DoesNotFitError):
            return [_one_page(knit, part, sheet, style)]
    found: list[_Pages] = []
    refusals: list[DoesNotFitError] = []
    for sheet in sheets:
        try:
            found.append(_several_pages(knit, part, sheet, style))
        except DoesNotFitError as refusal:
            refusals.append(refusal)
    if not found:
        raise refusals[0]
    return min(found, key=lambda pages: (len(pages.pages), pages.turned)).pages


class _Pages(NamedTuple):
    pages: list[Page]
    turned: bool
    """Whether the chart lies on its side."""


def _one_page(knit: Knit, part: Part, sheet: Paper, style: PageStyle) -> Page:
    """Chart above key.  Raises DoesNotFitError."""
    width_mm, height_mm = _room_mm(sheet)
    head = _head(knit, part, width_mm, style)
    room_mm = height_mm - sum(piece.height_mm for piece in head)
    fitted = measure_chart(knit, part, width_mm=width_mm, height_mm=room_mm, style=style)
    foot = _foot(fitted, width_mm, style)
    left_mm = room_mm - AFTER_CHART_MM - pieces_height_mm(foot)
    fitted = measure_chart(knit, part, width_mm=width_mm, height_mm=left_mm, style=style)
    if len(fitted.geometries) > 1 or fitted.turned:
        raise DoesNotFitError("the chart leaves no room for its key")
    (chart,) = fitted.draw(rows_in_words(knit, part))
    return _page(sheet, stacked([*head, Piece(chart, AFTER_CHART_MM), *foot]), part.title)


def _several_pages(knit: Knit, part: Part, sheet: Paper, style: PageStyle) -> _Pages:
    """The chart as large as it goes, then the key on a page of its own.

    Raises DoesNotFitError.
    """
    width_mm, height_mm = _room_mm(sheet)
    head = _head(knit, part, width_mm, style)
    room_mm = height_mm - sum(piece.height_mm for piece in head)
    fitted = measure_chart(knit, part, width_mm=width_mm, height_mm=room_mm, style=style)
    bodies = [stacked([*head, Piece(chart)]) for chart in fitted.draw(rows_in_words(knit, part))]
    rest = _foot(fitted, width_mm, style)
    while rest:
        count = fitting(rest, height_mm)
        if not count:
            key_mm = rest[0].block.height_mm
            raise DoesNotFitError(
                f"the key needs {key_mm:.0f} mm of height; there are {height_mm:.0f} mm"
            )
        bodies.append(stacked(rest[:count]))
        rest = rest[count:]
    pages = [_page(sheet, body, "" if index else part.title) for index, body in enumerate(bodies)]
    return _Pages(pages, fitted.turned)


def _room_mm(sheet: Paper) -> tuple[float, float]:
    return sheet.width_mm - 2 * MARGIN_MM, sheet.height_mm - 2 * MARGIN_MM


def _head(knit: Knit, part: Part, width_mm: float, style: PageStyle) -> list[Piece]:
    sock = f"{knit.plan.spec.title} · {loom_words(knit.plan)}"
    return [
        paragraph(part.title, style.title, width_mm, role=Role.H1),
        paragraph(sock, style.body, width_mm),
    ]


def _foot(fitted: FittedChart, width_mm: float, style: PageStyle) -> list[Piece]:
    signs = signs_of(fitted.charts)
    key = symbol_key(
        signs.letters, signs.marks, width_mm=width_mm, style=style, crosses=signs.crosses
    )
    return [Piece(key, AFTER_KEY_MM), paragraph(" ".join(READING_RULES), style.note, width_mm)]


def _page(paper: Paper, body: Block, title: str) -> Page:
    return Page(
        paper.width_mm,
        paper.height_mm,
        (body.placed(MARGIN_MM, MARGIN_MM),),
        safe=PRINTER_SAFE,
        outline=(OutlineEntry(1, title),) if title else (),
    )
