"""Where the names of zones stand over a chart, so that no bracket runs through a name.

A name that has room stands in the line of its bracket, between the arms.  One wider than its zone
stands on its bracket, above all others; where such names would meet each other they go down like
stairs, each beginning at its own zone, so that a bracket never reaches as high as a name that is
left of it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Final

from charts.chart import Column, Zone
from layouts.grid_terms import Span

NAME_GAP_MM: Final = 0.8
"""Beside a name."""
_TOUCH_MM: Final = 0.01
"""Neighbours share an edge; that is not an overlap."""


@dataclass(frozen=True, slots=True)
class ZoneName:
    """One bracket with its name."""

    text: str
    bracket: Span
    name: Span
    tier: int
    """The line that the name stands in; 0 is the line nearest the grid."""
    on_bracket: bool
    """The name stands on its bracket, not between its arms."""


def zone_names(
    zones: Sequence[Zone],
    columns: Sequence[Column],
    edges_mm: Sequence[float],
    width_mm: Callable[[str], float],
) -> tuple[ZoneName, ...]:
    """The names of zones over the columns between these edges, in mm of the same origin."""
    wanted = [_wanted(zone.name, _span(zone, edges_mm), width_mm) for zone in _merged(zones)]
    inner = [one for one in wanted if any(_is_inside(one, other) for other in wanted)]
    outer = [one for one in wanted if one not in inner]
    placed: list[ZoneName] = []
    for one in inner:
        (around,) = (other for other in outer if _is_inside(one, other))
        kept = _between(one, around.bracket)
        if kept is not None:
            placed.append(kept)
            continue
        zone = next(zone for zone in zones if zone.name == one.text)
        pegs = [columns[zone.first_column].pegs[0], columns[zone.last_column].pegs[-1]]
        text = f"{around.text}, {one.text} {'–'.join(map(str, dict.fromkeys(pegs)))}"
        outer[outer.index(around)] = _wanted(text, around.bracket, width_mm)
    tier = 1 if placed else 0
    placed += [replace(one, tier=tier) for one in outer if not one.on_bracket]
    above = 1 + max((one.tier for one in placed), default=-1)
    return (*placed, *_stairs([one for one in outer if one.on_bracket], above))


def _span(zone: Zone, edges_mm: Sequence[float]) -> Span:
    return Span(edges_mm[zone.first_column], edges_mm[zone.last_column + 1])


def _merged(zones: Sequence[Zone]) -> list[Zone]:
    """Zones with the same columns as one, with both names."""
    names: dict[tuple[int, int], list[str]] = {}
    for zone in zones:
        names.setdefault((zone.first_column, zone.last_column), []).append(zone.name)
    return [Zone(", ".join(found), *columns) for columns, found in names.items()]


def _wanted(text: str, bracket: Span, width_mm: Callable[[str], float]) -> ZoneName:
    """The name over the middle of its zone."""
    wide_mm = width_mm(text)
    on_bracket = wide_mm + 2 * NAME_GAP_MM > bracket.width_mm + _TOUCH_MM
    return ZoneName(text, bracket, Span.about(bracket.middle_mm, wide_mm), 0, on_bracket)


def _is_inside(one: ZoneName, other: ZoneName) -> bool:
    return (
        one is not other
        and other.bracket.left_mm <= one.bracket.left_mm
        and one.bracket.right_mm <= other.bracket.right_mm
    )


def _between(one: ZoneName, around: Span) -> ZoneName | None:
    """The name in the lowest line, moved to stand inside the bracket around it; None if it is
    wider than that."""
    room = Span(around.left_mm + NAME_GAP_MM, around.right_mm - NAME_GAP_MM)
    if one.name.width_mm > room.width_mm + _TOUCH_MM:
        return None
    left_mm = max(room.left_mm, min(one.name.left_mm, room.right_mm - one.name.width_mm))
    return replace(one, name=Span(left_mm, left_mm + one.name.width_mm))


def _stairs(names: list[ZoneName], tier: int) -> list[ZoneName]:
    """Names on their brackets from that line on: all in it if they keep clear of each other."""
    if not any(
        one.name.near(other.name, NAME_GAP_MM)
        or one.name.near(other.bracket, NAME_GAP_MM)
        or other.name.near(one.bracket, NAME_GAP_MM)
        for one, other in combinations(names, 2)
    ):
        return [replace(one, tier=tier) for one in names]
    down = sorted(names, key=lambda one: one.bracket.left_mm, reverse=True)
    found = []
    for step, one in enumerate(down):
        left_mm = one.bracket.left_mm + NAME_GAP_MM
        name = Span(left_mm, left_mm + one.name.width_mm)
        found.append(replace(one, name=name, tier=tier + step))
    return found
