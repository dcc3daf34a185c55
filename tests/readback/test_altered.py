"""A page altered before it is written is not read as the proved sock.

Every few texts of the charts and steps of a booklet one is altered, each on a page of its own: a
letter of it changed, the whole of it dropped, a row of symbols moved.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import cycle

import pytest

from charts.parts import Part
from charts.reader import ReadError, Ring, read_steps
from layouts.faces import Face
from layouts.pdf import write_pdf
from layouts.scene import Anchor, Group, Item, Link, Page, Role, Text
from tests.readback.expected import differences, graft_of
from tests.readback.pdf_pages import PrintedSheet, read_pdf
from tests.readback.printed_graft import read_graft
from tests.readback.printed_steps import NOTES, page_title, read_printed_steps
from tests.readback.read_booklet import read_charts
from tests.readback.socks import printed_sock

EVERY = 7
PAIR_OR_PASS = r"\d+\s\+\s\d+|(Front|Back) needle, .+|(first|next) loop|(take|leave) it (off|on)"
LIST_ITEM = (Role.LABEL, Role.BODY, Role.LI)
STEP_PT = 11.0
BOX_NUMBER_PT = 6.5

Change = Callable[[Text], Text | None]

CASES = [
    *((part, "ember") for part in Part),
    (Part.TURN, "right to left on 25"),
    (Part.TOE, "right to left on 25"),
]


@dataclass(frozen=True)
class Place:
    """A text of a page, by its place among all texts of the page."""

    page_index: int
    text_index: int
    item: Text


def told_in(page: Page, page_index: int) -> Iterator[Place]:
    """The texts of charts, steps and checkpoints; not those of boxes that show a technique."""
    places = iter(range(10_000))

    def walk(items: tuple[Item, ...], told: bool, role: Role | None) -> Iterator[Place]:
        for item in items:
            if isinstance(item, Group):
                first = next((one for one in item.items if isinstance(one, Text)), None)
                is_note = first is not None and first.text.strip() in NOTES
                is_chart = any(key == "chart" for key, _ in item.attrs)
                kind = Role.FIGURE if role is Role.FIGURE else item.role or role
                yield from walk(item.items, told or is_note or is_chart, kind)
            elif isinstance(item, Text):
                index = next(places)
                is_pair = re.fullmatch(PAIR_OR_PASS, item.text) is not None
                is_step = role in LIST_ITEM and item.size_pt in (STEP_PT, BOX_NUMBER_PT)
                if (told or is_step or is_pair) and item.text.strip():
                    yield Place(page_index, index, item)

    yield from walk(page.items, False, None)


def with_text(page: Page, text_index: int, change: Change) -> Page:
    """The page with one of its texts changed, or left out; without what leads to other pages."""
    places = iter(range(10_000))

    def walk(items: tuple[Item, ...]) -> Iterator[Item]:
        for item in items:
            if isinstance(item, Group):
                yield replace(item, items=tuple(walk(item.items)))
            elif isinstance(item, Text) and next(places) == text_index:
                changed = change(item)
                if changed is not None:
                    yield changed
            elif not isinstance(item, Anchor | Link):
                yield item

    return replace(page, items=tuple(walk(page.items)), outline=())


def other_letter(item: Text) -> Text:
    """One letter in the middle of it changed: a digit into a digit, a symbol into a symbol."""
    text = item.text
    seen = [place for place, letter in enumerate(text) if not letter.isspace()]
    place = seen[len(seen) // 2]
    letter = text[place]
    if item.face is Face.SYMBOLS:
        new = "p" if letter != "p" else "k"
    elif letter.isdigit():
        new = str((int(letter) + 1) % 10)
    else:
        new = {"→": "←", "←": "→", "–": "-"}.get(letter, "x" if letter != "x" else "y")
    return replace(item, text=text[:place] + new + text[place + 1 :])


def dropped(_: Text) -> None:
    """Nothing of it."""


def moved(item: Text) -> Text:
    """A row of symbols one cell, or else half a cell, to the right."""
    cell_mm = item.size_pt * 25.4 / 72 + item.spacing_mm
    return replace(item, x_mm=item.x_mm + (cell_mm if len(item.text) > 1 else cell_mm / 2))


@cache
def sheets_of(name: str, part: Part) -> dict[int, PrintedSheet]:
    """The pages of a part by their index in the booklet."""
    return {
        index: sheet
        for index, sheet in enumerate(printed_sock(name).sheets)
        if page_title(sheet.upright) == (part.title, False)
    }


BEFORE = {Part.FOOT: Part.FLAP, Part.CLOSING: Part.TOE}
"""Edge loops lean on the flap before them; a page without rows on the size of their labels."""


def is_noticed(name: str, part: Part, sheets: dict[int, PrintedSheet]) -> bool:
    """Whether these pages do not tell the part of that sock."""
    knit = printed_sock(name).first
    ring = Ring(knit.plan.loom.pegs, knit.plan.loom.working)
    before = sheets_of(name, BEFORE[part]) if part in BEFORE else {}
    pages = [*before.values(), *(sheets[index] for index in sorted(sheets))]
    try:
        parts = read_printed_steps(pages)
        charts = read_charts(pages, ring)
        steps = read_steps([one.plain for one in parts], pegs=ring.pegs, working=ring.working)
        if part is Part.CLOSING and read_graft(pages) != graft_of(knit.plan.toe_pegs):
            return True
    except ReadError:
        return True
    if part.title not in [one.title for one in parts]:
        return True
    if part is not Part.CLOSING and part.title not in [chart.title for chart in charts]:
        return True
    return differences(knit, parts=parts, steps=steps, charts=charts) != []


@pytest.mark.parametrize(("part", "name"), CASES, ids=lambda one: getattr(one, "value", one))
def test_every_alteration_of_a_chart_or_a_step_is_noticed(part: Part, name: str) -> None:
    document = printed_sock(name).document
    sheets = sheets_of(name, part)
    assert not is_noticed(name, part, sheets)
    places = [place for index in sheets for place in told_in(document.pages[index], index)]
    alterations = list(_alterations(places[::EVERY]))
    assert len(alterations) >= 6
    pages = tuple(
        with_text(document.pages[place.page_index], place.text_index, change)
        for place, change in alterations
    )
    altered = read_pdf(write_pdf(replace(document, pages=pages)))
    for (place, change), sheet in zip(alterations, altered, strict=True):
        assert is_noticed(name, part, sheets | {place.page_index: sheet}), (change.__name__, place)


def _alterations(places: Sequence[Place]) -> Iterator[tuple[Place, Change]]:
    """Each text with one change, by turns."""
    turns = cycle((other_letter, dropped, moved, other_letter, dropped))
    for place in places:
        change = next(change for change in turns if _applies(change, place.item))
        yield place, change


def _applies(change: Change, item: Text) -> bool:
    if change is moved:
        return item.face is Face.SYMBOLS
    # Words in a wide cell only repeat what its symbol and its pegs say.
    is_wide = item.text.startswith("× ") or item.text.endswith((" plain", " purl"))
    return not (change is dropped and is_wide)
