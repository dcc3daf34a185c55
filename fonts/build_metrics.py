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
    """One face: heights and `{width: its characters}`, in thousandths of the size."""
    font = TTFont(path)
    scale = 1000 / font["head"].unitsPerEm
    glyphs, advances, cmap = font["glyf"], font["hmtx"], font.getBestCmap()
    by_width: dict[int, list[str]] = {}
    for code, name in sorted(cmap.items()):
        if unicodedata.category(chr(code)) not in _LEFT_OUT:
            by_width.setdefault(round(advances[name][0] * scale), []).append(chr(code))
    is_symbols = "d" not in cmap or font["hhea"].descent == 0
    top = font["hhea"].ascent if is_symbols else glyphs[cmap[ord("d")]].yMax
    foot = font["hhea"].descent if is_symbols else glyphs[cmap[ord("p")]].yMin
    return {
        "ascender": round(top * scale),
        "descender": round(foot * scale),
        "cap_height": round(font["OS/2"].sCapHeight * scale),
        "x_height": round(font["OS/2"].sxHeight * scale),
        "widths": {str(width): "".join(by_width[width]) for width in sorted(by_width)},
    }


def metrics_json() -> str:
    """The whole file."""
    table = {stem: face_metrics(FOLDER / f"{stem}.ttf") for stem in STEMS}
    return json.dumps(table, ensure_ascii=True, indent=0) + "\n"


if __name__ == "__main__":
    (FOLDER / "metrics.json").write_text(metrics_json(), encoding="ascii", newline="\n")
