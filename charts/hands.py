"""The hand a sock is knitted with: a left-handed sock is the mirror image, planned and proved anew.

That left-handed loom knitters work the ring from right to left is common practice, no published
source.  All that follows from it is read off `Loom.working` by the stages that come after: sides,
arrows, leaning decreases, the order of the grafting, the leg of a loop that lies in front.
"""

from __future__ import annotations

from dataclasses import replace
from enum import Enum
from types import MappingProxyType
from typing import Final

from charts.loom import Loom, Working
from charts.spec import Motif, SockSpec
from charts.stitches import mirrored


class Hand(Enum):
    """Which hand a sock is worked with; the value is what its edition is called."""

    RIGHT = "right-handed"
    LEFT = "left-handed"


_OTHER_WAY: Final = {
    Working.LEFT_TO_RIGHT: Working.RIGHT_TO_LEFT,
    Working.RIGHT_TO_LEFT: Working.LEFT_TO_RIGHT,
}


def hand_of(loom: Loom) -> Hand:
    """The hand that the way of working suits."""
    return Hand.RIGHT if loom.working is Working.LEFT_TO_RIGHT else Hand.LEFT


def edition_words(*looms: Loom) -> str:
    """What the pages say of the hand if all these looms are worked so; nothing of the usual one."""
    return f"{Hand.LEFT.value} edition" if {hand_of(loom) for loom in looms} == {Hand.LEFT} else ""


def mirror_image(spec: SockSpec) -> SockSpec:
    """The sock as a mirror shows it: worked the other way round the ring, its motifs mirrored.

    Every count of pegs and rows is kept, and so is the rib, which is told from peg 1 on.  Mirrored
    twice, a spec is itself again.
    """
    loom = replace(spec.loom, working=_OTHER_WAY[spec.loom.working])
    return replace(spec, loom=loom, motifs=mirrored_motifs(spec))


def mirrored_motifs(spec: SockSpec) -> MappingProxyType[str, Motif]:
    """The spec's motifs, each as a mirror shows it."""
    return MappingProxyType(
        {
            name: replace(motif, rows=tuple(map(mirrored, motif.rows)))
            for name, motif in spec.motifs.items()
        }
    )


def for_hand(spec: SockSpec, hand: Hand | None) -> SockSpec:
    """The spec for that hand: itself if it is worked so already, or if no hand is asked for."""
    return spec if hand in (None, hand_of(spec.loom)) else mirror_image(spec)
