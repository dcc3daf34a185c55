"""The booklet: everything a class needs to knit the sock, as finished pages.

A5 and half-letter pages are folded and stapled: their number is a multiple of four, filled up with
pages for notes, and chart and steps of a part lie on one page or face each other.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

from charts.parts import MIRRORED_PARTS, Part, parts_of
from charts.pattern_words import listed
from charts.plan import Plan
from charts.proof import Proof
from charts.told_twice import NamedKnit, prove_told
from charts.verify import Knit
from layouts.block import Block, DoesNotFitError
from layouts.cover import for_hand_words, sock_words
from layouts.edition import STANDARD_EDITION, Content, Edition, PrintSize
from layouts.frame import Leaf, PageFrame
from layouts.front_matter import (
    CAUTIONS_PLACE,
    ENTRIES_AROUND,
    ContentsLine,
    contents_body,
    cover_way,
    finishing_way,
    gather_way,
    key_way,
    loom_map_ways,
    notes_leaf,
    plan_way,
    reading_ways,
    reads_below,
    tracker_way,
)
from layouts.imposition import PAGES_ON_SHEET
from layouts.imprint import NO_IMPRINT, Imprint
from layouts.paper import PAPERS, Paper
from layouts.part_pages import PartPages, hint_block
from layouts.proof_line import READINGS, above_proof, with_proof
from layouts.scene import Document
from layouts.spreads import Way, choose_ways, places_in
from layouts.techniques import Technique, techniques_of

FOLDED_UP_TO_MM: Final = 160.0
"""Pages up to this width are folded sheets; wider ones are single leaves."""


def make_booklet(
    knit: Knit,
    second: Knit,
    *,
    paper: Paper,
    edition: Edition = STANDARD_EDITION,
    imprint: Imprint = NO_IMPRINT,
) -> Document:
    """The booklet of a pair; `second` is the other sock, proved on its own.

    Where its cables are mirrored, its leg and foot have pages of their own.  Raises
    DoesNotFitError, saying what would fit, if the paper is too small.
    """
    frame = booklet_frame(knit.plan, paper, edition, imprint)
    paper = frame.paper
    sheet = PAGES_ON_SHEET if paper.width_mm <= FOLDED_UP_TO_MM else 1
    proof = prove_told(told_socks("", knit, second), READINGS[edition.content])
    leaves = _leaves(knit, second, frame, sheet, proof)
    leaves += [notes_leaf(above_proof(proof, frame))] * (-len(leaves) % sheet)
    leaves = with_proof(_with_contents(leaves, frame), proof, frame)
    spec = knit.plan.spec
    return Document(
        tuple(frame.page(leaf, number) for number, leaf in enumerate(leaves, start=1)),
        spec.title,
        spec.designer,
        for_hand_words(sock_words(spec.loom), spec.loom),
        ("sock", "round loom", "pattern"),
        rights=spec.house.rights_words,
    )


def told_socks(size: str, knit: Knit, second: Knit) -> list[NamedKnit]:
    """The socks that the pages for a size tell: one, or two that differ."""
    name = f"size {size}" if size else ""
    socks = [NamedKnit(name, knit)]
    if second.rows != knit.rows:
        socks.append(NamedKnit(", ".join(filter(None, (name, "second sock"))), second))
    return socks


def booklet_frame(
    plan: Plan, paper: Paper, edition: Edition, imprint: Imprint = NO_IMPRINT
) -> PageFrame:
    """What is round every page, on upright paper.  Raises DoesNotFitError if it is too small."""
    frame = PageFrame(plan, paper.upright, edition, imprint=imprint)
    least_width_mm, least_height_mm = frame.style.least_page_mm
    if frame.paper.width_mm < least_width_mm or frame.paper.height_mm < least_height_mm:
        what = "a booklet" if edition.size is PrintSize.STANDARD else f"{edition.size.value} print"
        fitting = [
            name
            for name in _SUGGESTED
            if PAPERS[name].width_mm >= least_width_mm and PAPERS[name].height_mm >= least_height_mm
        ]
        raise DoesNotFitError(
            f"{what} needs pages of {least_width_mm:g} x {least_height_mm:g} mm or more, such as "
            f"{listed(fitting[:2])}"
        )
    return frame


_SUGGESTED: Final = ("a5", "half-letter", "a4", "letter")
"""Papers for booklets, the smallest first."""


def _units(
    knit: Knit, second: Knit, frame: PageFrame, places: Mapping[str, int], proof: Proof
) -> Iterator[list[Way]]:
    """The units of the booklet in the order they are read, each with its ways.

    `places` are the pages that other pages point to; they are known when pages are drawn.
    """
    hint = second_sock_words(knit, second)
    parts = list(_parts(knit, second, frame))
    yield [cover_way(knit, frame)]
    yield [Way(1, lambda: (_CONTENTS,))]
    if not reads_below(len(parts) + ENTRIES_AROUND, frame):
        yield reading_ways(frame)
    yield loom_map_ways(knit.plan, frame)
    yield [gather_way(knit, frame, cautions_page=lambda: places.get(CAUTIONS_PLACE))]
    if frame.edition.content is not Content.STEPS:
        yield [key_way([part.chart for part in parts if part.part is not Part.CLOSING], frame)]
    yield [plan_way(knit.plan, frame)]
    yield from (part.ways() for part in parts if not part.again)
    yield [finishing_way(knit.plan, frame, hint=hint)]
    yield from (part.ways() for part in parts if part.again)
    yield [tracker_way(knit, above_proof(proof, frame), hint=hint)]


def second_sock_words(knit: Knit, second: Knit) -> str:
    """How the second sock is knitted: like the first, or which parts have pages of their own."""
    if second.rows == knit.rows:
        return "Make the second sock the same."
    numbers = {part: number for number, part in enumerate(parts_of(knit), start=1)}
    own = [numbers[part] for part in MIRRORED_PARTS if part in numbers]
    same = [number for number in numbers.values() if number not in own]
    return (
        f"Second sock: parts {_listed(same)} as before; {_listed(own)} from the pages headed "
        "“Second sock”, where the cables are mirrored."
    )


def _listed(numbers: Sequence[int]) -> str:
    """
    >>> _listed((1, 3, 4))
    '1, 3 and 4'
    """
    *first, last = map(str, numbers)
    return f"{', '.join(first)} and {last}" if first else last


def _parts(knit: Knit, second: Knit, frame: PageFrame) -> Iterator[PartPages]:
    """The parts of the sock, then those of a second sock that differs."""
    shown: set[str] = set()
    numbers = {part: str(number) for number, part in enumerate(parts_of(knit), start=1)}
    for part, number in numbers.items():
        yield PartPages(knit, part, number, frame, _new_techniques(knit, part, shown))
    if second.rows != knit.rows:
        hint = second_sock_words(knit, second)
        lower = replace(frame, under_mm=hint_block(hint, frame).height_mm)
        for part in MIRRORED_PARTS:
            if part in numbers:
                new = _new_techniques(second, part, shown)
                yield PartPages(second, part, numbers[part], lower, new, again=True, hint=hint)


def _new_techniques(knit: Knit, part: Part, shown: set[str]) -> tuple[Technique, ...]:
    """The part's techniques that no earlier part has shown; they are noted as shown."""
    new = tuple(one for one in techniques_of(knit, part) if one.title not in shown)
    shown.update(one.title for one in new)
    return new


_CONTENTS: Final = Leaf("Contents", Block((), 0.0, 0.0), heads=True)
"""Holds the place of the contents until all pages are numbered."""


def _leaves(knit: Knit, second: Knit, frame: PageFrame, sheet: int, proof: Proof) -> list[Leaf]:
    """Every page but those that fill up the last sheet."""
    places: dict[str, int] = {}
    chain = choose_ways(list(_units(knit, second, frame, places, proof)), sheet=sheet)
    places |= places_in(chain)
    leaves: list[Leaf] = []
    for way, notes_before in chain:
        if notes_before:
            leaves.append(notes_leaf(frame))
        leaves += way.make()
    return leaves


def _with_contents(leaves: Sequence[Leaf], frame: PageFrame) -> list[Leaf]:
    """The pages with the contents drawn in their place."""
    lines = [
        ContentsLine(leaf.entry, leaf.number, page)
        for page, leaf in enumerate(leaves, start=1)
        if leaf.entry is not None
    ]
    body = contents_body(lines, frame)
    return [replace(leaf, body=body) if leaf is _CONTENTS else leaf for leaf in leaves]
