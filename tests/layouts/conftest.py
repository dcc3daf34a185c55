"""Proved socks for the tests of pages, each made once."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import pytest

from charts.pattern_file import read_pattern
from charts.plan import make_plan
from charts.sock import make_rows
from charts.verify import Knit, verify

PATTERNS = {
    "rope on 40": """
        title = "Rope"
        [loom]
        pegs = 40
        spacing = "3/8 in"
        [leg]
        rows = 30
        panel = "rope"
        flanks = "rib"
        [foot]
        rows = 48
        [motif.rope]
        rows = '''
        p k k k k p
        p k k k k p
        p k k k k p
        p R R l l p
        p k k k k p
        p k k k k p
        '''
        """,
    "plain on 24": """
        title = "Plain"
        [loom]
        pegs = 24
        spacing = "5/8 in"
        [foot]
        rows = 36
        """,
    "two ropes on 56": """
        title = "Two ropes"
        [loom]
        pegs = 56
        spacing = "1/4 in"
        [gauge]
        stitches = 20
        rows = 28
        [leg]
        rows = 42
        panel = "rope"
        across = 2
        flanks = "purl"
        [foot]
        rows = 60
        [motif.rope]
        rows = '''
        p k k k k p
        p r r L L p
        p k k k k p
        p R R l l p
        '''
        """,
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
}


@cache
def knit_from(pattern: str) -> Knit:
    """The proved sock of a pattern text."""
    plan = make_plan(read_pattern(pattern))
    return verify(plan, make_rows(plan))


@pytest.fixture(scope="session")
def knit_of() -> Callable[[str], Knit]:
    """A proved sock by its name in PATTERNS."""
    return lambda name: knit_from(PATTERNS[name])


@pytest.fixture(params=PATTERNS, scope="session")
def any_knit(request: pytest.FixtureRequest) -> Knit:
    """Each of the socks in turn."""
    return knit_from(PATTERNS[request.param])
