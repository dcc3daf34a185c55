"""Writes `PegfolioSymbols.ttf` from the shapes in `layouts.symbols`: python -m fonts.build_symbols

One em square a cell, the foot of the cell on the base line, every advance one em.  The code points
are the letters of the stitch table, so text taken out of a page gives the letters back.  The same
shapes always give the same bytes.  Needs fonttools (extra `test`).
"""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from pathlib import Path
from typing import Any, Final

from fontTools.agl import UV2AGL
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen

from layouts.symbols import SYMBOLS, Outline, outlines

UNITS_PER_EM: Final = 1000
VERSION: Final = "1.001"

FONT_DATE: Final = 3_818_534_400
"""1 January 2025 in seconds since 1904: the only date in the font, never the clock."""


def make_font() -> bytes:
    """The font file.  Raises ValueError for a shape that leaves its cell."""
    glyphs = {".notdef": _glyph(outlines("?"))}
    codes = {}
    for letter in sorted(SYMBOLS):
        name = UV2AGL[ord(letter)]
        glyphs[name] = _glyph(outlines(letter))
        codes[ord(letter)] = name
    builder = FontBuilder(UNITS_PER_EM, isTTF=True)
    builder.setupGlyphOrder(list(glyphs))
    builder.setupCharacterMap(codes)
    builder.setupGlyf(glyphs)
    table = builder.font["glyf"]
    # The side bearing must be the left edge of the ink, or viewers shift the glyph.
    builder.setupHorizontalMetrics(
        {name: (UNITS_PER_EM, getattr(table[name], "xMin", 0)) for name in glyphs}
    )
    builder.setupHorizontalHeader(ascent=UNITS_PER_EM, descent=0)
    builder.setupNameTable(
        {
            "copyright": "Copyright 2025 the pegfolio authors",
            "familyName": "Pegfolio Symbols",
            "styleName": "Regular",
            "uniqueFontIdentifier": f"PegfolioSymbols-{VERSION}",
            "fullName": "Pegfolio Symbols",
            "version": f"Version {VERSION}",
            "psName": "PegfolioSymbols",
            "licenseDescription": "MIT",
        },
        mac=False,
    )
    builder.setupOS2(
        sTypoAscender=UNITS_PER_EM,
        sTypoDescender=0,
        sTypoLineGap=0,
        usWinAscent=UNITS_PER_EM,
        usWinDescent=0,
        sCapHeight=UNITS_PER_EM,
        sxHeight=UNITS_PER_EM,
        fsType=0,
    )
    builder.setupPost(isFixedPitch=1)
    head: Any = builder.font["head"]
    head.created = head.modified = FONT_DATE
    builder.font.recalcTimestamp = False
    file = BytesIO()
    builder.save(file)
    return file.getvalue()


def _glyph(shapes: Sequence[Outline]) -> Any:
    pen = TTGlyphPen(None)
    for outline in shapes:
        points = [(round(x * UNITS_PER_EM), round((1 - y) * UNITS_PER_EM)) for x, y in outline]
        if not all(0 <= value <= UNITS_PER_EM for point in points for value in point):
            raise ValueError(f"a shape leaves its cell: {points}")
        distinct = [
            point
            for point, before in zip(points, [points[-1], *points], strict=False)
            if point != before
        ]
        if len(distinct) > 2:
            pen.moveTo(distinct[0])
            for point in distinct[1:]:
                pen.lineTo(point)
            pen.closePath()
    glyph = pen.glyph()
    if glyph.numberOfContours > 0:
        # Strokes of one symbol may cross: say so to renderers that would otherwise knock holes.
        glyph.flags[0] |= 0x40
    return glyph


if __name__ == "__main__":
    Path(__file__).with_name("PegfolioSymbols.ttf").write_bytes(make_font())
