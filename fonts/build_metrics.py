"""Writes `metrics.json` from the font files beside it: python fonts/build_metrics.py

Kept in the repository so that measuring text opens no font.  Needs fonttools (extra `test`).
"""

from __future__ import annotations

import json
import unicodedata
from pathlib import Path
from typing import Any, Final

from fontTools.ttLib import TTFont

FOLDER: Final = Path(__file__).parent
STEMS: Final = ("SourceSans3-Regular", "SourceSans3-Bold", "PegfolioSymbols")

_LEFT_OUT: Final = frozenset({"Cc", "Cf", "Cs", "Cn", "Co", "Zl", "Zp", "Mn", "Mc", "Me"})
"""Categories of characters we never print: no picture, or a mark that needs placing on a letter."""


def face_metrics(path: Path) -> dict[str, Any]:
    """One face: heights, its characters in one string, and the advance width of each.

    Lengths in thousandths of the size.  Characters beyond U+FFFF are left out: reportlab cannot
    write them so that they can be searched.
    """
    font = TTFont(path)
    scale = 1000 / font["head"].unitsPerEm
    names = {
        chr(code): name
        for code, name in sorted(font.getBestCmap().items())
        if code <= 0xFFFF and unicodedata.category(chr(code)) not in _LEFT_OUT
    }
    if path.stem == "PegfolioSymbols":
        top, foot = font["hhea"].ascent, font["hhea"].descent
    else:
        top, foot = font["glyf"][names["d"]].yMax, font["glyf"][names["p"]].yMin
    return {
        "ascender": round(top * scale),
        "descender": round(foot * scale),
        "cap_height": round(font["OS/2"].sCapHeight * scale),
        "x_height": round(font["OS/2"].sxHeight * scale),
        "characters": "".join(names),
        "widths": [round(font["hmtx"][name][0] * scale) for name in names.values()],
    }


def metrics_json() -> str:
    """The whole file."""
    table = {stem: face_metrics(FOLDER / f"{stem}.ttf") for stem in STEMS}
    return json.dumps(table, ensure_ascii=True, separators=(",", ":")).replace("},", "},\n") + "\n"


if __name__ == "__main__":
    (FOLDER / "metrics.json").write_text(metrics_json(), encoding="ascii", newline="\n")
