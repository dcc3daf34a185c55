"""The booklet of a pattern in several sizes: one that a knitter of any size can follow alone.

Numbers stand in brackets, the sizes' names in that order at the head of each page.  What cannot be
read in brackets has pages for each group of sizes that share a chart.  Paper and folding are as in
`booklet`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cached_property, partial
from typing import Final

from charts.parts import MIRRORED_PARTS, Part, parts_of
from charts.proof import Proof
from charts.sizes import SizedPattern
from charts.told_twice import prove_told
from layouts.block import Block
from layouts.booklet import (
    FOLDED_UP_TO_MM,
    booklet_frame,
    make_booklet,
    told_socks,
)
from layouts.cover import for_hand_words
from layouts.edition import STANDARD_EDITION, Content, Edition
from layouts.frame import Entry, Leaf
from layouts.front_matter import CAUTIONS_PLACE, ContentsLine, finishing_way, key_way, notes_leaf
from layouts.imposition import PAGES_ON_SHEET
from layouts.imprint import NO_IMPRINT, Imprint
from layouts.paper import Paper
from layouts.proof_line import READINGS, above_proof, with_proof
from layouts.scene import Document
from layouts.size_order import SizeSet, order_block
from layouts.size_table import size_table_block
from layouts.sized_cover import kind_words, sized_cover
from layouts.sized_maps import sized_maps_way
from layouts.sized_pages import SizedPartPages
from layouts.sized_plan import sized_gather_way, sized_plan_way
from layouts.sized_reading import contents_pages, lines_on_page, reading_way, reads_beside
from layouts.sized_sets import part_sets
from layouts.sized_techniques import ShownTechniques
from layouts.sized_tracker import sized_tracker_way
from layouts.spreads import Way, choose_ways, places_in
from layouts.techniques import Technique


def make_sized_booklet(
    pattern: SizedPattern,
    *,
    paper: Paper,
    mark: str | None = None,
    edition: Edition = STANDARD_EDITION,
    imprint: Imprint = NO_IMPRINT,
) -> Document:
    """The booklet of every proved size.

    `mark` is the name of a size whose numbers are bold; pages and charts for other sizes alone are
    then left out.  A pattern of one size is printed as that sock's own booklet.  Sizes that cannot
    be made are named on the cover with the reason and stand nowhere else.  Raises ValueError if no
    size is proved or none is called `mark`; DoesNotFitError, saying what would fit, if the paper is
    too small.
    """
    if not pattern.sizes:
        raise ValueError("a booklet needs a size that can be made")
    names = tuple(size.name for size in pattern.sizes)
    if mark is not None and mark not in names:
        raise ValueError(f"no size {mark!r} to mark among {', '.join(names)}")
    return _Maker(pattern, paper, mark, edition, imprint).document()


class _Maker:
    """What all pages of one booklet have in common."""

    def __init__(
        self,
        pattern: SizedPattern,
        paper: Paper,
        mark: str | None,
        edition: Edition,
        imprint: Imprint,
    ) -> None:
        self.pattern = pattern
        names = tuple(size.name for size in pattern.sizes)
        self.sizes = SizeSet(names, tuple(size.knit for size in pattern.sizes), mark)
        self.seconds = SizeSet(names, tuple(size.second for size in pattern.sizes), mark)
        marked = self.sizes.marked
        shown = (len(names) - 1) // 2 if marked is None else marked
        self.frame = booklet_frame(self.sizes.plans[shown], paper, edition, imprint)
        self.places: dict[str, int] = {}
        """Pages that others point to; known when pages are drawn."""

    @cached_property
    def proof(self) -> Proof:
        """Of every size that is told whole: of all, or of the marked one."""
        return prove_told(
            [
                sock
                for size in self.pattern.sizes
                if self.sizes.mark in (None, size.name)
                for sock in told_socks(size.name, size.knit, size.second)
            ],
            READINGS[self.frame.edition.content],
        )

    def document(self) -> Document:
        """All pages, or those of the one sock with a cover that names its size."""
        frame = self.frame
        spec = frame.plan.spec
        if len(self.sizes.names) == 1:
            only = self.pattern.sizes[0]
            whole = make_booklet(
                only.knit,
                only.second,
                paper=frame.paper,
                edition=frame.edition,
                imprint=frame.imprint,
            )
            if not only.name and not self.pattern.failed:
                return whole
            (cover,) = self._cover().make()
            return replace(whole, pages=(frame.page(cover, 1), *whole.pages[1:]))
        leaves = self._with_contents()
        return Document(
            tuple(frame.page(leaf, number) for number, leaf in enumerate(leaves, start=1)),
            spec.title,
            spec.designer,
            for_hand_words(kind_words(self.sizes), *(plan.loom for plan in self.sizes.plans)),
            ("sock", "round loom", "pattern", "sizes"),
            rights=spec.house.rights_words,
        )

    # Leaves

    def _with_contents(self) -> list[Leaf]:
        """Every page; the contents are as long as it takes to name them."""
        cover, *others = self._units()
        pages = 1
        while True:
            contents = [Way(pages, partial(_places, pages))]
            leaves = self._leaves([cover, contents, *others])
            lines = [
                ContentsLine(leaf.entry, leaf.number, page)
                for page, leaf in enumerate(leaves, start=1)
                if leaf.entry is not None
            ]
            needed = -(-len(lines) // lines_on_page(self.frame))
            if needed <= pages:
                break
            pages = needed
        bodies = iter(contents_pages(lines, pages, self.sizes, self.frame))
        return [replace(leaf, body=next(bodies)) if leaf is _CONTENTS else leaf for leaf in leaves]

    def _leaves(self, units: Sequence[Sequence[Way]]) -> list[Leaf]:
        paper = self.frame.paper
        sheet = PAGES_ON_SHEET if paper.width_mm <= FOLDED_UP_TO_MM else 1
        leaves: list[Leaf] = []
        chain = choose_ways(units, sheet=sheet)
        self.places = places_in(chain)
        for way, notes_before in chain:
            if notes_before:
                leaves.append(notes_leaf(self.frame))
            leaves += way.make()
        low = above_proof(self.proof, self.frame)
        leaves += [notes_leaf(low)] * (-len(leaves) % sheet)
        return with_proof(leaves, self.proof, self.frame)

    def _units(self) -> Iterator[list[Way]]:
        """The units in the order they are read, each with its ways; the contents left out."""
        frame, sizes = self.frame, self.sizes
        yield [self._cover()]
        if not reads_beside(sizes, frame):
            yield [reading_way(sizes, frame)]
        yield [self._size_table()]
        yield [sized_maps_way(sizes, frame)]
        yield [sized_gather_way(sizes, frame, lambda: self.places.get(CAUTIONS_PLACE))]
        parts = list(self._parts())
        charts = [
            one.chart
            for part in parts
            if part.part is not Part.CLOSING and not part.opens
            for one in part.charts
        ]
        if frame.edition.content is not Content.STEPS:
            yield [key_way(charts, frame)]
        yield [sized_plan_way(sizes, frame)]
        yield from (part.ways() for part in parts if not part.again)
        yield [finishing_way(frame.plan, frame)]
        yield from (part.ways() for part in parts if part.again)
        yield [sized_tracker_way(sizes, above_proof(self.proof, frame))]

    def _cover(self) -> Way:
        frame = self.frame

        def make() -> tuple[Leaf, ...]:
            body = sized_cover(
                self.pattern,
                self.sizes,
                width_mm=frame.width_mm,
                height_mm=frame.whole_height_mm,
                style=frame.style,
                imprint=frame.imprint,
            )
            return (Leaf(frame.plan.spec.title, body, bare=True),)

        return Way(1, make)

    def _size_table(self) -> Way:
        frame = self.frame
        blocks = size_table_block(
            self.pattern,
            width_mm=frame.width_mm,
            height_mm=frame.height_mm,
            style=frame.style,
        )

        def make() -> tuple[Leaf, ...]:
            return tuple(
                Leaf(
                    "Sizes",
                    block,
                    "continued" if index else "",
                    entry=None if index else Entry("Sizes: every measure", "sizes"),
                )
                for index, block in enumerate(blocks)
            )

        return Way(len(blocks), make)

    # Parts

    def _parts(self) -> Iterator[SizedPartPages]:
        """The parts of the socks, then those of second socks that differ."""
        shown = ShownTechniques()
        there = {part for knit in self.sizes.knits for part in parts_of(knit)}
        numbers = {
            part: str(number)
            for number, part in enumerate((part for part in Part if part in there), start=1)
        }
        for part, number in numbers.items():
            yield from self._pages_of(self.sizes, part, number, shown)
        differ = [
            index
            for index, size in enumerate(self.pattern.sizes)
            if size.second.rows != size.knit.rows
        ]
        if differ:
            for part in MIRRORED_PARTS:
                if part in numbers:
                    seconds = self.seconds.of(differ)
                    yield from self._pages_of(seconds, part, numbers[part], shown, again=True)

    def _pages_of(
        self,
        sizes: SizeSet,
        part: Part,
        number: str,
        shown: ShownTechniques,
        *,
        again: bool = False,
    ) -> Iterator[SizedPartPages]:
        """The pages of a part for each set of sizes; for the marked size alone its own set."""
        sets, apart = part_sets(sizes, part)
        wanted = [one for one in sets if sizes.mark is None or one.marked is not None]
        frame = self.frame

        def pages(
            one: SizeSet, techniques: tuple[Technique, ...], *, opens: bool = False
        ) -> SizedPartPages:
            under = order_block(one, width_mm=frame.width_mm, style=frame.style)
            return SizedPartPages(
                one.knits[0],
                part,
                number,
                replace(frame, under_mm=under.height_mm),
                techniques,
                again,
                sizes=one,
                named=apart,
                opens=opens,
            )

        found = [pages(one, shown.new(one, part)) for one in wanted]
        if len(wanted) > 1 and any(one.techniques for one in found):
            everyone = sizes.of([i for i, knit in enumerate(sizes.knits) if part in parts_of(knit)])
            opener = pages(everyone, shown.new(everyone, part), opens=True)
            others = [pages(one, ()) for one in wanted]
            if opener.least + _total(others) < _total(found):
                found = [opener, *others]
        for one in wanted:
            shown.note(one, part)
        yield from found


def _total(parts: Sequence[SizedPartPages]) -> float:
    return sum(one.least for one in parts)


_CONTENTS: Final = Leaf("Contents", Block((), 0.0, 0.0), heads=True)
"""Holds the place of the contents until all pages are numbered."""


def _places(pages: int) -> tuple[Leaf, ...]:
    return (_CONTENTS,) * pages
