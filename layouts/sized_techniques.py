"""The technique boxes of several sizes: each shown once to every size, peg numbers in brackets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from charts.parts import Part
from charts.sized_words import merge_texts, same_forms
from layouts.size_order import MOST_IN_BRACKETS, SizeSet, sized_runs
from layouts.techniques import Technique, techniques_of
from layouts.text import RichText


class ShownTechniques:
    """Remembers which sizes have seen which technique."""

    def __init__(self) -> None:
        self._seen: dict[str, set[str]] = {}
        """Names of sizes by the technique's title."""

    def new(self, sizes: SizeSet, part: Part) -> tuple[Technique, ...]:
        """The techniques of the part that not all of these sizes have seen."""
        found = []
        for title, users in _users(sizes, part).items():
            own = sizes.of(list(users))
            if not self._seen.get(title, set()).issuperset(own.names):
                merged = _merged(list(users.values()), own)
                if len(users) < len(sizes.names):
                    merged = replace(merged, where=f"{merged.where}: {own.order.text} only")
                found.append(merged)
        return tuple(found)

    def note(self, sizes: SizeSet, part: Part) -> None:
        """All these sizes have seen the techniques of the part now."""
        for title, users in _users(sizes, part).items():
            self._seen.setdefault(title, set()).update(sizes.names[index] for index in users)


def _users(sizes: SizeSet, part: Part) -> dict[str, dict[int, Technique]]:
    """Each technique as the sizes that need it have it, by title and index of the size."""
    found: dict[str, dict[int, Technique]] = {}
    for index, knit in enumerate(sizes.knits):
        for technique in techniques_of(knit, part):
            found.setdefault(technique.title, {})[index] = technique
    return found


def _merged(own: Sequence[Technique], sizes: SizeSet) -> Technique:
    """One technique as all these sizes work it; as one of them does where that cannot be read."""
    told = [list(texts) for texts in zip(*map(_texts, own), strict=True)]
    wheres = [technique.where for technique in own]
    alike = all(len(set(texts)) == 1 for texts in [*told, wheres])
    one_form = all(len(same_forms(texts)) == 1 for texts in [*told, wheres])
    mark = sizes.marked
    if alike or (one_form and len(own) <= MOST_IN_BRACKETS):
        moves = [merge_texts(texts, mark=mark) for texts in told]
        if alike or all(len(move.text) <= LONGEST_MOVE for move in moves):
            merged: list[RichText] = [sized_runs(move) for move in moves]
            return replace(own[0], moves=tuple(merged), where=merge_texts(wheres).text)
    shown = own[mark or 0]
    return replace(shown, where=f"{shown.where}, as in size {sizes.names[mark or 0]}")


LONGEST_MOVE: Final = 180
"""Characters of a movement in brackets at most."""


def _texts(technique: Technique) -> list[str]:
    """The moves of a technique of one size, which are plain text."""
    return [
        move if isinstance(move, str) else "".join(run.text for run in move)
        for move in technique.moves
    ]
