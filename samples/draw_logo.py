"""Draws the logo of a sample: three reeds over water in a ring, in one colour on clear ground.

    .venv/bin/python samples/draw_logo.py

It goes beside the patterns, as `reed-bank-logo.png`.
"""

from __future__ import annotations

import math
from itertools import pairwise
from pathlib import Path
from typing import Final

from PIL import Image, ImageDraw

LOGO: Final = Path(__file__).resolve().with_name("reed-bank-logo.png")

SIDE: Final = 300
"""Dots of the picture each way."""
DRAWN: Final = 600
"""Side of the square that the figures here are drawn in."""
FINER: Final = 4
"""Drawn so many times as large, then made smaller: smooth edges."""
COLOUR: Final = (0, 95, 115)

RING: Final = (300, 300, 280, 22)
"""Centre, radius and stroke."""
REEDS: Final = ((205, 178, -6), (300, 112, 0), (395, 210, 7))
"""Where each stands at the water, the top of its head, and how far it leans to the right."""
WATER: Final = 410
HEAD_HIGH: Final = 112


def main() -> None:
    """Writes the file."""
    drawn().save(LOGO, "PNG", optimize=True)


def drawn() -> Image.Image:
    """The picture: greys say how much of each dot is inked."""
    large = Image.new("L", (DRAWN * FINER, DRAWN * FINER), 0)
    pen = ImageDraw.Draw(large)
    _ring(pen)
    for reed in REEDS:
        _reed(pen, *reed)
    for row in range(3):
        _wave(pen, WATER + 44 * row, 176 - 34 * row)
    cover = large.resize((SIDE, SIDE), Image.Resampling.LANCZOS)
    logo = Image.new("RGBA", (SIDE, SIDE), (*COLOUR, 0))
    logo.putalpha(cover)
    return logo


def _ring(pen: ImageDraw.ImageDraw) -> None:
    x, y, radius, stroke = (part * FINER for part in RING)
    pen.ellipse((x - radius, y - radius, x + radius, y + radius), outline=255, width=stroke)


def _reed(pen: ImageDraw.ImageDraw, x: int, top: int, lean: int) -> None:
    """A stem, and a head with round ends on it."""

    def at(y: float) -> tuple[float, float]:
        return ((x + lean * (WATER - y) / 50) * FINER, y * FINER)

    _stroke(pen, at(top), at(WATER - 12), 12)
    _stroke(pen, at(top + 40), at(top + HEAD_HIGH), 38)


def _wave(pen: ImageDraw.ImageDraw, y: int, half: int) -> None:
    steps = [x / 2 for x in range(-2 * half, 2 * half + 1)]
    points = [((300 + x) * FINER, (y + 9 * math.sin(x / 21)) * FINER) for x in steps]
    for start, end in pairwise(points):
        _stroke(pen, start, end, 14)


def _stroke(
    pen: ImageDraw.ImageDraw, start: tuple[float, float], end: tuple[float, float], width: int
) -> None:
    """A straight stroke with round ends."""
    pen.line((*start, *end), fill=255, width=width * FINER)
    half = width * FINER / 2
    for x, y in (start, end):
        pen.ellipse((x - half, y - half, x + half, y + half), fill=255)


if __name__ == "__main__":
    main()
