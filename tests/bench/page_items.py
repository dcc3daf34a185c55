"""Our finished pages as plain numbers and words: every text and line where it stands.

For a typesetter that is to print the very same pages.  Pictures, links and what is told to those
who hear a page are left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from layouts.scene import (
    Close,
    CurveTo,
    Document,
    Group,
    Ink,
    Item,
    LineTo,
    MoveTo,
    Path,
    Text,
    text_left_mm,
)

_FAMILIES = {
    "SourceSans3-Regular": ("Source Sans 3", "regular"),
    "SourceSans3-Bold": ("Source Sans 3", "bold"),
    "PegfolioSymbols": ("Pegfolio Symbols", "regular"),
}


class _Place:
    """Where the items of a group stand on the page."""

    def __init__(self, x_mm: float = 0.0, y_mm: float = 0.0, turns: int = 0) -> None:
        self.x_mm, self.y_mm, self.turns = x_mm, y_mm, turns % 4

    def point(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        for _ in range(self.turns):
            x_mm, y_mm = -y_mm, x_mm
        return self.x_mm + x_mm, self.y_mm + y_mm

    def inside(self, group: Group) -> _Place:
        return _Place(*self.point(group.dx_mm, group.dy_mm), self.turns + group.quarter_turns)


def items_of(document: Document) -> list[dict[str, Any]]:
    """Each page's size, and its items in mm from the top left; ready for JSON."""
    pages = []
    for page in document.pages:
        found = list(_flat(page.items, _Place()))
        pages.append(
            {
                "width": page.width_mm,
                "height": page.height_mm,
                "texts": [_text(item, place) for item, place in found if isinstance(item, Text)],
                "paths": [_path(item, place) for item, place in found if isinstance(item, Path)],
            }
        )
    return pages


def _flat(items: Iterable[Item], place: _Place) -> Iterator[tuple[Item, _Place]]:
    for item in items:
        if isinstance(item, Group):
            yield from _flat(item.items, place.inside(item))
        else:
            yield item, place


def _text(item: Text, place: _Place) -> dict[str, Any]:
    x_mm, y_mm = place.point(text_left_mm(item), item.y_mm)
    font, weight = _FAMILIES[item.face.value]
    return {
        "x": x_mm,
        "y": y_mm,
        "turn": place.turns,
        "text": item.text,
        "font": font,
        "weight": weight,
        "size": item.size_pt,
        "ink": _ink(item.ink),
        "spacing": item.spacing_mm,
    }


def _path(item: Path, place: _Place) -> dict[str, Any]:
    segments: list[list[Any]] = []
    for segment in item.segments:
        match segment:
            case MoveTo() | LineTo():
                kind = "m" if isinstance(segment, MoveTo) else "l"
                segments.append([kind, place.point(*segment)])
            case CurveTo():
                ends = [place.point(*segment[index : index + 2]) for index in (0, 2, 4)]
                segments.append(["c", *ends])
            case Close():
                segments.append(["z"])
    return {
        "segments": segments,
        "width": item.stroke_pt,
        "stroke": _ink(item.stroke),
        "fill": _ink(item.fill),
        "cap": ("butt", "round", "square")[item.cap.value],
        "dash": list(item.dash_mm),
    }


def _ink(ink: Ink | None) -> list[float] | None:
    return None if ink is None else [ink.red, ink.green, ink.blue]
