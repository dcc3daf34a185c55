"""One chart of 400 rows by 400 pegs that no fold shortens, beyond the limit of the pattern file.

python tests/bench/big_chart.py OUT.pdf
"""

from __future__ import annotations

import gc
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from charts.knitted import knit_sock
from charts.loom import Loom
from charts.parts import Part
from charts.spec import Cuff, Foot, Leg, Motif, SockSpec
from layouts.chart_page import make_chart_page
from layouts.pdf import Tagging, write_pdf
from layouts.scene import Document

COUNT = 400


def make_big_chart() -> Document:
    """Planned, knitted, proved and laid out."""
    rows = tuple(
        "".join(
            "kp"[(x * 7 + y * y * 3 + x * y % 11 + y // 13 * x) % 7 < 3] for x in range(COUNT // 4)
        )
        for y in range(COUNT)
    )
    spec = SockSpec(
        "Wide",
        Loom(COUNT, 9.525, "3/8 in"),
        cuff=Cuff(4),
        leg=Leg(rows=COUNT, panel="m"),
        foot=Foot(rows=4),
        motifs={"m": Motif("m", rows)},
    )
    return make_chart_page(knit_sock(spec), Part.LEG)


if __name__ == "__main__":
    # As the program does.
    gc.set_threshold(200_000, 50, 50)
    Path(sys.argv[1]).write_bytes(write_pdf(make_big_chart(), tagging=Tagging.PLAIN))
