"""One part's chart on a page of its own, with its title and key: for the `chart` command."""

from __future__ import annotations

import contextlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, NamedTuple

from charts.hands import edition_words
from charts.parts import Part
from charts.plan import Plan
from charts.verify import Knit
from layouts.block import Block, DoesNotFitError
from layouts.blocks import Piece, fitting, paragraph, pieces_height_mm, stacked
from layouts.cover import for_hand_words
from layouts.edition import STANDARD_EDITION, Edition
from layouts.grid import FittedChart, measure_chart, rows_in_words
from layouts.imprint import copy_block
from layouts.key import READING_RULES, signs_of, symbol_key
from layouts.paper import PAPERS, PRINTER_SAFE, Paper
from layouts.scene import Document, OutlineEntry, Page, Role
from layouts.size_order import SizeSet
from layouts.sized_sets import sharing
from layouts.style import PageStyle, style_of

MARGIN_MM: Final = 10.0
"""Round everything, clear of the printer's edge."""
LEAST_WIDTH_MM: Final = 110.0
"""Of a page made to measure, in standard print: room for the key."""
BOUNDLESS_MM: Final = 2000.0
"""Room in which every chart fits with cells of the best size."""
AFTER_CHART_MM: Final = 5.0
AFTER_KEY_MM: Final = 2.0
ABOVE_COPY_MM: Final = 3.0


def make_chart_page(
    knit: Knit,
    part: Part,
    *,
    paper: Paper | None = None,
    edition: Edition = STANDARD_EDITION,
    copy_line: str = "",
) -> Document:
    """The part's chart with title, key and how to read it, in the edition's print size.

    Without a paper the one page is just as large as it needs to be, with cells of the style's best
    size.  On a paper the chart is as large as fits, on several pages if it must be.  At the foot of
    each stands the `copy_line`: whose copy it is.  Raises DoesNotFitError, saying what would fit.
    """
    return _document(knit, part, _Maker((knit,), part, _style(edition), copy_line).pages(paper))


def _style(edition: Edition) -> PageStyle:
    """One chart is looked at from near on any paper: A5's style is the standard one."""
    return style_of(edition, PAPERS["a5"])


def make_sized_chart_pages(
    sizes: SizeSet,
    part: Part,
    *,
    paper: Paper | None = None,
    edition: Edition = STANDARD_EDITION,
    copy_line: str = "",
) -> Document:
    """The charts of the sizes that have the part: one for all that knit from the same, with the
    sizes named that it is for where there are several.

    The rest is as for `make_chart_page`.
    """
    groups = [sizes.of(group) for group in sharing(sizes, part)]
    pages: list[Page] = []
    for group in groups:
        names = group.order.text if len(groups) > 1 else ""
        pages += _Maker(group.knits, part, _style(edition), copy_line, names).pages(paper)
    return _document(sizes.knits[0], part, pages)


def _document(knit: Knit, part: Part, pages: Sequence[Page]) -> Document:
    return Document(
        tuple(pages),
        f"{knit.plan.spec.title}: {part.title}",
        author=knit.plan.spec.designer,
        subject=for_hand_words(
            f"Chart of the {part.title.lower()} for {loom_words(knit.plan)}", knit.plan.loom
        ),
        rights=knit.plan.spec.house.rights_words,
    )


def loom_words(plan: Plan) -> str:
    """The loom in a few words."""
    return f"a loom of {plan.loom.pegs} pegs, {plan.loom.spacing_text} apart"


@dataclass(frozen=True, slots=True)
class _Maker:
    """What all pages of one chart have in common."""

    knits: tuple[Knit, ...]
    """Of the sizes that are knitted from the chart."""
    part: Part
    style: PageStyle
    copy_line: str
    sizes: str = ""
    """Their names; empty where it is for all."""

    @property
    def title(self) -> str:
        return f"{self.part.title}: {self.sizes}" if self.sizes else self.part.title

    def pages(self, paper: Paper | None) -> list[Page]:
        """On that paper or to measure.  Raises DoesNotFitError."""
        return self.to_measure() if paper is None else self.on_paper(paper)

    def to_measure(self) -> list[Page]:
        """One page, as large as it needs to be."""
        cell_mm = self.style.best_cell_mm
        best = replace(self.style, least_cell_mm=cell_mm, most_cell_mm=cell_mm)
        fitted = self._measured(BOUNDLESS_MM, BOUNDLESS_MM, best)
        (chart,) = self._drawn(fitted)
        width_mm = max(chart.width_mm, LEAST_WIDTH_MM * self.style.growth)
        body = stacked(
            [
                *self._head(width_mm),
                Piece(chart, AFTER_CHART_MM),
                *_foot(fitted, width_mm, self.style),
            ]
        )
        room_mm = body.height_mm + self._copy_mm(width_mm)
        paper = Paper("", width_mm + 2 * MARGIN_MM, room_mm + 2 * MARGIN_MM)
        return [self._page(paper, body, self.title)]

    def on_paper(self, paper: Paper) -> list[Page]:
        """Chart and key on one page if they fit on it, upright or level; or else on several pages.

        Raises DoesNotFitError.
        """
        sheets = (paper, paper.turned)
        for sheet in sheets:
            with contextlib.suppress(DoesNotFitError):
                return [self._one_page(sheet)]
        found: list[_Pages] = []
        refusals: list[DoesNotFitError] = []
        for sheet in sheets:
            try:
                found.append(self._several_pages(sheet))
            except DoesNotFitError as refusal:
                refusals.append(refusal)
        if not found:
            raise refusals[0]
        return min(found, key=lambda pages: (len(pages.pages), pages.turned)).pages

    def _one_page(self, sheet: Paper) -> Page:
        """Chart above key.  Raises DoesNotFitError."""
        width_mm, height_mm = self._room_mm(sheet)
        head = self._head(width_mm)
        room_mm = height_mm - sum(piece.height_mm for piece in head)
        fitted = self._measured(width_mm, room_mm, self.style)
        foot = _foot(fitted, width_mm, self.style)
        left_mm = room_mm - AFTER_CHART_MM - pieces_height_mm(foot)
        fitted = self._measured(width_mm, left_mm, self.style)
        if len(fitted.geometries) > 1 or fitted.turned:
            raise DoesNotFitError("the chart leaves no room for its key")
        (chart,) = self._drawn(fitted)
        body = stacked([*head, Piece(chart, AFTER_CHART_MM), *foot])
        return self._page(sheet, body, self.title)

    def _several_pages(self, sheet: Paper) -> _Pages:
        """The chart as large as it goes, then the key on a page of its own.

        Raises DoesNotFitError.
        """
        width_mm, height_mm = self._room_mm(sheet)
        head = self._head(width_mm)
        room_mm = height_mm - sum(piece.height_mm for piece in head)
        fitted = self._measured(width_mm, room_mm, self.style)
        bodies = [stacked([*head, Piece(chart)]) for chart in self._drawn(fitted)]
        rest = _foot(fitted, width_mm, self.style)
        while rest:
            count = fitting(rest, height_mm)
            if not count:
                key_mm, there_mm = rest[0].block.height_mm, max(0.0, height_mm)
                raise DoesNotFitError(
                    f"the key needs {key_mm:.0f} mm of height; there are {there_mm:.0f} mm"
                )
            bodies.append(stacked(rest[:count]))
            rest = rest[count:]
        pages = [
            self._page(sheet, body, "" if index else self.title)
            for index, body in enumerate(bodies)
        ]
        return _Pages(pages, fitted.turned)

    def _measured(self, width_mm: float, height_mm: float, style: PageStyle) -> FittedChart:
        return measure_chart(
            self.knits[0],
            self.part,
            width_mm=width_mm,
            height_mm=height_mm,
            style=style,
            sharing=self.knits[1:],
        )

    def _drawn(self, fitted: FittedChart) -> Sequence[Block]:
        return fitted.draw(rows_in_words(self.knits[0], self.part))

    def _head(self, width_mm: float) -> list[Piece]:
        plan = self.knits[0].plan
        word = "sizes" if len(self.knits) > 1 else "size"
        told = (
            plan.spec.title,
            loom_words(plan),
            f"{word} {self.sizes}" if self.sizes else "",
            edition_words(plan.loom),
        )
        return [
            paragraph(self.part.title, self.style.title, width_mm, role=Role.H1),
            paragraph(" · ".join(filter(None, told)), self.style.body, width_mm),
        ]

    def _room_mm(self, sheet: Paper) -> tuple[float, float]:
        width_mm = sheet.width_mm - 2 * MARGIN_MM
        return width_mm, sheet.height_mm - 2 * MARGIN_MM - self._copy_mm(width_mm)

    def _copy(self, width_mm: float) -> Block:
        return copy_block(self.copy_line, self.style.note, width_mm)

    def _copy_mm(self, width_mm: float) -> float:
        """What the copy line takes of the body; most of it stands in the margin."""
        copy = self._copy(width_mm)
        in_margin_mm = MARGIN_MM - PRINTER_SAFE.bottom_mm
        return max(0.0, copy.height_mm + ABOVE_COPY_MM - in_margin_mm) if copy.items else 0.0

    def _page(self, paper: Paper, body: Block, title: str) -> Page:
        items = [body.placed(MARGIN_MM, MARGIN_MM)]
        copy = self._copy(paper.width_mm - 2 * MARGIN_MM)
        if copy.items:
            bottom_mm = paper.height_mm - PRINTER_SAFE.bottom_mm
            items.append(copy.placed(MARGIN_MM, bottom_mm - copy.height_mm))
        return Page(
            paper.width_mm,
            paper.height_mm,
            tuple(items),
            safe=PRINTER_SAFE,
            outline=(OutlineEntry(1, title),) if title else (),
        )


class _Pages(NamedTuple):
    pages: list[Page]
    turned: bool
    """Whether the chart lies on its side."""


def _foot(fitted: FittedChart, width_mm: float, style: PageStyle) -> list[Piece]:
    signs = signs_of(fitted.charts)
    key = symbol_key(
        signs.letters, signs.marks, width_mm=width_mm, style=style, crosses=signs.crosses
    )
    return [Piece(key, AFTER_KEY_MM), paragraph(" ".join(READING_RULES), style.note, width_mm)]
