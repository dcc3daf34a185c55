"""A loom and a gauge in one line of words, for options and for cells of a table."""

from __future__ import annotations

import re
from typing import Final

from charts.loom import Loom
from charts.pattern_file import LEAST_PEGS, MOST_PEGS, gauge_over
from charts.pattern_values import LEAST_PER_10CM, MOST_PER_10CM, Amount, Blame, Count, Spacing
from charts.pattern_words import shortened
from charts.spec import Gauge

LOOM_FORMS: Final = '"40 x 3/8 in", pegs and spacing'
GAUGE_FORMS: Final = '"15 x 20", stitches and rows in 10 cm, or "15 x 20 in 4 in"'
"""What may be written, for messages."""

_LOOM: Final = re.compile(r"\s*([0-9]{1,4}) *(?:pegs?)? *(?:[x×,]|at) *(.{1,40}?)\s*")
_COUNT: Final = r"([0-9]{1,3}(?:\.[0-9]{1,3})?)"
_GAUGE: Final = re.compile(rf"\s*{_COUNT} *[x×] *{_COUNT} *(?:in *(10 cm|4 in))?\s*")


def read_loom_words(words: str, blame: Blame) -> Loom | None:
    """The loom of words such as "40 x 3/8 in"; None after blaming."""
    found = _LOOM.fullmatch(words)
    if found is None:
        blame(f"'{shortened(words)}' is no loom", LOOM_FORMS)
        return None
    pegs = Count(LEAST_PEGS, MOST_PEGS).read(int(found[1]), blame)
    spacing = Spacing().read(found[2], blame)
    return None if pegs is None or spacing is None else Loom(pegs, *spacing)


def read_gauge_words(words: str, blame: Blame) -> Gauge | None:
    """The gauge of words such as "15 x 20"; None after blaming."""
    found = _GAUGE.fullmatch(words)
    if found is None:
        blame(f"'{shortened(words)}' is no gauge", GAUGE_FORMS)
        return None
    kind = Amount(MOST_PER_10CM, LEAST_PER_10CM)
    stitches, rows = (kind.read(float(found[at]), blame) for at in (1, 2))
    if stitches is None or rows is None:
        return None
    return gauge_over(stitches, rows, found[3] or "10 cm")
