"""Closing the toe in several sizes: one way to graft, boxes for the pairs of each size."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from charts.rows import Graft
from charts.sized_words import sized
from layouts.blocks import Piece
from layouts.graft_drawings import PairEnds
from layouts.grafting import (
    grafting_pieces,
    looping_pieces,
    pair_boxes,
    pair_count,
    pair_head,
    tail_mm,
    tail_words,
)
from layouts.measures import length_numbers
from layouts.size_order import SizeSet
from layouts.sized_gallery import chart_caption
from layouts.style import PageStyle


@dataclass(frozen=True)
class SizedGraft:
    """The grafts of sizes that stand together."""

    sizes: SizeSet
    width_mm: float
    style: PageStyle

    @property
    def grafts(self) -> list[Graft]:
        """One a size."""
        return [
            next(one for one in knit.rows.events if isinstance(one, Graft))
            for knit in self.sizes.knits
        ]

    def needles(self, step: Sequence[Piece]) -> list[Piece]:
        """The two needles and the set-up, the ends named by the pegs of all sizes; with one marked
        all loops by its own.  The step that says to graft comes after what tells how."""
        marked = self.sizes.marked
        shown = marked or 0
        ends, drawn = None, ""
        if len({graft.pairs for graft in self.grafts}) > 1:
            if marked is not None:
                drawn = f"Drawn with the peg numbers of size {self.sizes.names[marked]}."
            else:
                ends = PairEnds(self._pegs(0), self._pegs(-1))
                drawn = "The first and the last pair by their pegs; those between follow in order."
        return grafting_pieces(
            self.sizes.plans[shown],
            self.grafts[shown],
            width_mm=self.width_mm,
            style=self.style,
            drawn=drawn,
            ends=ends,
            tail=self._tail(),
            step=step,
        )

    def _tail(self) -> str:
        """How long a tail to cut in each size."""
        plans = self.sizes.plans
        told = {tail_words(plan) for plan in plans}
        if len(told) == 1:
            return told.pop()
        in_cm, in_inches = zip(*(length_numbers(tail_mm(plan)) for plan in plans), strict=True)
        both = plans[0].spec.units.ordered(f"{sized(in_cm)} cm", f"{sized(in_inches)} in")
        return f"{', or '.join(both)}, long" if len(both) > 1 else f"{both[0]} long"

    def _pegs(self, index: int) -> tuple[str, str]:
        """The pegs of one pair, on the front needle and on the back one."""
        pairs = [graft.pairs[index] for graft in self.grafts]
        return sized([front for front, _ in pairs]), sized([back for _, back in pairs])

    def moves(self) -> list[Piece]:
        """The four moves and the ending."""
        return looping_pieces(
            self.sizes.plans[0],
            self.grafts[0],
            width_mm=self.width_mm,
            style=self.style,
            times=sized([len(graft.pairs) - 1 for graft in self.grafts]),
        )

    def pairs(self) -> Iterator[Piece]:
        """Boxes for each way in which the sizes pair their loops; if a size is marked its own."""
        yield from pair_head(width_mm=self.width_mm, style=self.style)
        for graft in dict.fromkeys(self.grafts):
            own = self.sizes.of([i for i, one in enumerate(self.grafts) if one == graft])
            if self.sizes.marked is not None and own.marked is None:
                continue
            if len(own.names) == len(self.sizes.names):
                yield from pair_boxes(graft, width_mm=self.width_mm, style=self.style)
                yield pair_count(graft, width_mm=self.width_mm, style=self.style)
                continue
            count = len(graft.pairs)
            words = f"{count} pairs, {graft.passes} passes of the needle: 2 + 4 × {count - 1} + 2"
            for band in pair_boxes(graft, width_mm=self.width_mm, style=self.style):
                # Each band may be the first of its page.
                yield chart_caption(own, self.width_mm, self.style, words)
                yield band
                words = "continued"
