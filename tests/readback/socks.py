"""Socks to print and read back, each proved and printed once."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path

from charts.hands import mirror_image
from charts.pattern_file import read_pattern
from charts.plan import make_plan, second_sock
from charts.sock import make_rows
from charts.spec import SockSpec
from charts.verify import Knit, verify
from layouts.booklet import make_booklet
from layouts.edition import STANDARD_EDITION, Edition, Inks
from layouts.paper import PAPERS
from layouts.pdf import write_pdf
from layouts.scene import Document
from tests.readback.pdf_pages import PrintedSheet, read_pdf
from tests.readback.read_booklet import ReadBooklet

SAMPLES = Path(__file__).parents[2] / "samples"

CENTRED_CABLE = """
title = "Forty pegs"
[loom]
pegs = 40
spacing = "3/8 in"
[cuff]
rib = "k2 p2"
rows = 15
[leg]
rows = 30
panel = "cable"
flanks = "rib"
[foot]
rows = 55
[motif.cable]
rows = '''
p k k k k p
p k k k k p
p R R l l p
p k k k k p
'''
"""

PATTERNS = {
    "centred cable on 40": CENTRED_CABLE,
    "right to left on 25": """
        title = "Backwards"
        [loom]
        pegs = 25
        spacing = "5/8 in"
        working = "right to left"
        [cuff]
        rib = "k1 p1"
        leftover = "knit"
        [leg]
        panel = "tiny"
        [gusset]
        corner_bars = true
        [toe]
        short_rows = "wrap and turn"
        [motif.tiny]
        rows = '''
        k k k
        R l p
        p r L
        '''
        """,
    "mirrored pair on 36": """
        title = "A pair that mirrors, from the cuff to the toe"
        knit = "u-wrap"
        [loom]
        pegs = 36
        spacing = "3/8 in"
        [leg]
        rows = 26
        panel = "ropes"
        flanks = "purl"
        [foot]
        rows = 44
        [toe]
        shape = "tapered"
        [pair]
        mirror_cables = true
        [motif.ropes]
        rows = '''
        k k k k k k
        k r r L k k
        k k k k k k
        R l k k R l
        '''
        """,
    "narrow zones on 48": """
        title = "A turn of two pegs and an instep of six"
        [loom]
        pegs = 48
        spacing = "3/8 in"
        [cuff]
        leftover = "knit"
        [leg]
        rows = 4
        panel = "ladder"
        [heel]
        pegs = 42
        centre = 2
        [foot]
        rows = 9
        [motif.ladder]
        rows = '''
        p k
        k k
        '''
        """,
    "charts in a pile on 60": """
        title = "Ribbed down to the toe"
        [loom]
        pegs = 60
        spacing = "1/4 in"
        working = "right to left"
        [leg]
        rows = 20
        flanks = "rib"
        [gusset]
        corner_bars = true
        [foot]
        rows = 40
        """,
    "charts in pieces on 96": """
        title = "Wide"
        knit = "e-wrap"
        [loom]
        pegs = 96
        spacing = "1/4 in"
        working = "right to left"
        [gauge]
        stitches = 30
        rows = 44
        [leg]
        rows = 21
        panel = "ropes"
        across = 3
        flanks = "rib"
        [foot]
        rows = 40
        [motif.ropes]
        rows = '''
        p k k k k p
        p r r L L p
        p k k k k p
        p R R l l p
        '''
        """,
}
SAMPLE_NAMES = ("reed-bank", "ember", "millstream")
PAPER_OF = {"mirrored pair on 36": "a4", "charts in pieces on 96": "half-letter"}
"""Papers of booklets that are not A5."""
NAMES = (*SAMPLE_NAMES, *PATTERNS)


@dataclass(frozen=True)
class PrintedSock:
    """A pair of socks and its booklet, as it was made and as it is read."""

    first: Knit
    second: Knit
    document: Document

    @property
    def knits(self) -> tuple[Knit, ...]:
        """The socks that differ: one or both."""
        return (self.first,) if self.second is self.first else (self.first, self.second)

    @cached_property
    def pdf(self) -> bytes:
        return write_pdf(self.document)

    @cached_property
    def sheets(self) -> tuple[PrintedSheet, ...]:
        return read_pdf(self.pdf)

    @cached_property
    def read(self) -> ReadBooklet:
        return ReadBooklet(self.sheets)


@cache
def printed_sock(name: str) -> PrintedSock:
    """The sock of that name in `PATTERNS` or among the samples."""
    return _printed(read_pattern(_text(name)), name)


@cache
def left_handed_sock(name: str) -> PrintedSock:
    """Its mirror image: the left-handed edition of one that is worked from left to right."""
    return _printed(mirror_image(read_pattern(_text(name))), name)


@cache
def colour_sock(name: str) -> PrintedSock:
    """The same in its colour edition."""
    return _printed(read_pattern(_text(name)), name, edition=Edition(inks=Inks.COLOUR))


def _text(name: str) -> str:
    return PATTERNS.get(name) or (SAMPLES / f"{name}.toml").read_text(encoding="utf-8")


def _printed(spec: SockSpec, name: str, *, edition: Edition = STANDARD_EDITION) -> PrintedSock:
    other = second_sock(spec)
    first = proved(spec)
    second = first if other == spec else proved(other)
    paper = PAPERS[PAPER_OF.get(name, "a5")]
    return PrintedSock(first, second, make_booklet(first, second, paper=paper, edition=edition))


def proved(spec: SockSpec) -> Knit:
    """The sock, planned, laid out and verified."""
    plan = make_plan(spec)
    return verify(plan, make_rows(plan))
