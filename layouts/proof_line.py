"""The line at the foot of the last page that tells what was knitted to prove the pages."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from charts.proof import Proof, Readings
from layouts.block import Block
from layouts.blocks import paragraph
from layouts.edition import Content
from layouts.frame import Leaf, PageFrame

READINGS: Final = {
    Content.FULL: Readings.BOTH,
    Content.CHARTS: Readings.CHART,
    Content.STEPS: Readings.STEPS,
}
"""What the pages of each content tell the rows by."""
_ABOVE_MM: Final = 3.0
"""Between what stands on the page and the line."""


def proof_block(proof: Proof, frame: PageFrame) -> Block:
    """The line, or what it takes of lines."""
    return paragraph(proof.text, frame.style.note, frame.width_mm).block


def above_proof(proof: Proof, frame: PageFrame) -> PageFrame:
    """The frame of pages that leave room at their foot for the line."""
    taken_mm = proof_block(proof, frame).height_mm + _ABOVE_MM
    return replace(frame, under_mm=frame.under_mm + taken_mm)


def with_proof(leaves: Sequence[Leaf], proof: Proof, frame: PageFrame) -> list[Leaf]:
    """The pages, the line at the foot of the last; it was laid out with `above_proof`."""
    *others, last = leaves
    block = proof_block(proof, frame)
    room_mm = frame.height_mm - (last.under.height_mm if last.under else 0.0)
    items = (*last.body.items, block.placed(0.0, room_mm - block.height_mm))
    return [*others, replace(last, body=Block(items, frame.width_mm, room_mm))]
