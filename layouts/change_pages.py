"""Where in the old booklet each correction stands, and what differs on its other pages."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from charts.changes import (
    TICKS_TITLE,
    Correction,
    Leaves,
    PartCorrections,
    SockCorrections,
)
from charts.parts import parts_of
from charts.pattern_words import listed
from charts.verify import Knit
from layouts.block import DoesNotFitError
from layouts.booklet import make_booklet
from layouts.paper import PAPERS
from layouts.scene import Document, Group, Item, Page, Text
from layouts.techniques import Technique, techniques_of
from layouts.text import NO_BREAK_SPACE
from layouts.tracker import Track, tracks_of

BOOKLET_PAPER: Final = PAPERS["a5"]
"""What the pages are numbered by: the usual paper of a booklet."""

Pair = tuple[Knit, Knit]


def with_pages(found: SockCorrections, old: Pair, new: Pair) -> SockCorrections:
    """The corrections with the tick sheet's, each with its page in the old booklet on A5, and a
    remark that names the pages that differ besides.

    Without pages where there is no such booklet, because the sock is too large for the paper.
    """
    ticks = tuple(_tick_corrections(tracks_of(old[0]), tracks_of(new[0])))
    parts = (*found.parts, PartCorrections(TICKS_TITLE, Leaves.BOTH, ticks))
    found = replace(found, parts=tuple(part for part in parts if part.lines))
    try:
        before, after = (make_booklet(*pair, paper=BOOKLET_PAPER) for pair in (old, new))
    except DoesNotFitError:
        return found
    sheets = _units(before)
    placed = tuple(_placed(part, sheets) for part in found.parts)
    told = [part.title for part in placed]
    others = (*_others(sheets, _units(after), told), *_techniques(old, new))
    proof = ("The proof on the last page stays that of the old print.",) if placed else ()
    return replace(found, parts=placed, remarks=(*found.remarks, *others, *proof))


# --- The pages of a booklet ------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Sheet:
    """One page as it is read."""

    page: int
    text: str
    heard: tuple[str, ...]
    """What its drawings and chart rows are told by."""


_COVER: Final = "The cover"


def _units(document: Document) -> dict[str, list[_Sheet]]:
    """The pages of each entry of the contents, by its title."""
    units: dict[str, list[_Sheet]] = {}
    title = _COVER
    for number, page in enumerate(document.pages, start=1):
        if page.outline:
            title = page.outline[0].title
        units.setdefault(title, []).append(_read(page, number))
    return units


def _read(page: Page, number: int) -> _Sheet:
    texts: list[str] = []
    heard: list[str] = []
    _gather(page.items, texts, heard)
    return _Sheet(number, _plain(" ".join(texts)), tuple(heard))


def _gather(items: Sequence[Item], texts: list[str], heard: list[str]) -> None:
    for item in items:
        if isinstance(item, Group):
            if item.alt:
                heard.append(item.alt)
            _gather(item.items, texts, heard)
        elif isinstance(item, Text):
            texts.append(item.text)


def _plain(text: str) -> str:
    return re.sub(r"\s+", " ", text.replace(NO_BREAK_SPACE, " "))


# --- Placing ---------------------------------------------------------------------------------


def _placed(part: PartCorrections, units: dict[str, list[_Sheet]]) -> PartCorrections:
    """The part's corrections with pages; a new line has that of the line above it."""
    sheets = next((units[title] for title in units if title.startswith(part.title)), [])
    return replace(part, lines=tuple(_with_page(one, sheets) for one in part.lines))


def _with_page(one: Correction, sheets: Sequence[_Sheet]) -> Correction:
    found = [sheet for sheet in sheets if _holds(sheet, one)] or list(sheets)
    return replace(one, page=str(found[0].page) if found else "")


def _holds(sheet: _Sheet, one: Correction) -> bool:
    """Whether the printed line, or for a new one that above it, is on the page."""
    if one.where.startswith("Chart"):
        return any(alt.startswith("Chart:") for alt in sheet.heard)
    where, _, what = one.where.partition(", ")
    if where == "New":
        return what.removeprefix("below ").strip("“…” ") in sheet.text
    named = where in ("Step", "Remark") or re.search(rf"{re.escape(where)}(?!\d)", sheet.text)
    return bool(named) and (bool(what) or one.old in sheet.text)


# --- What is not told line by line -----------------------------------------------------------


def _others(
    old: dict[str, list[_Sheet]], new: dict[str, list[_Sheet]], told: Sequence[str]
) -> Iterator[str]:
    """A sentence that names the pages whose words or drawings differ besides, if the new print has
    them too."""
    differing = [
        f"page {sheets[0].page} ({title[:1].lower()}{title[1:]})"
        for title, sheets in old.items()
        if title != "Contents"
        and title in new
        and not any(title.startswith(one) for one in told)
        and [_bare(one) for one in sheets] != [_bare(one) for one in new[title]]
    ]
    if differing:
        yield f"Numbers or drawings differ on {listed(differing, 'and')} too: print these anew."


def _techniques(old: Pair, new: Pair) -> Iterator[str]:
    """What is done now that no box of the old print shows."""
    shown, needed = ([one.title for one in _shown(pair)] for pair in (old, new))
    lacking = [title for title in dict.fromkeys(needed) if title not in shown]
    if lacking:
        yield f"The old print does not show how this is done: {listed(lacking, 'and')}."


def _shown(pair: Pair) -> Iterator[Technique]:
    for knit in pair:
        for part in parts_of(knit):
            yield from techniques_of(knit, part)


def _bare(sheet: _Sheet) -> tuple[str, tuple[str, ...]]:
    """What is on the page but for page numbers, its own and those that it points to."""
    text = re.sub(rf"\b{sheet.page}\b$|^{sheet.page}\b", "", sheet.text)
    return re.sub(r"on page \d+|Proof [0-9A-Z-]+", "", text), sheet.heard


# --- The tick sheet --------------------------------------------------------------------------


def _tick_corrections(old: Sequence[Track], new: Sequence[Track]) -> Iterator[Correction]:
    """The lines of boxes that differ."""
    after = {track.name: track for track in new}
    for was in old:
        now = after.pop(was.name, None)
        if now is None:
            yield Correction(was.name, _boxes(was.boxes), "")
            continue
        if was.boxes != now.boxes:
            yield Correction(was.name, _boxes(was.boxes), _boxes(now.boxes))
        befores, afters = (dict(track.before) for track in (was, now))
        if was.extra or now.extra:
            befores[was.extra or now.extra] = int(bool(was.extra))
            afters[was.extra or now.extra] = int(bool(now.extra))
        for words in dict.fromkeys((*befores, *afters)):
            counts = befores.get(words, 0), afters.get(words, 0)
            if counts[0] != counts[1]:
                yield Correction(
                    f"{was.name}, {words}", *(_boxes(count) if count else "" for count in counts)
                )
    for track in after.values():
        yield Correction(f"New line, {track.name.lower()}", "", _boxes(track.boxes))


def _boxes(count: int) -> str:
    return "1 box" if count == 1 else f"{count} boxes"
