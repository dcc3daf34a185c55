"""The `looms` file: what is read, and what each slip is told."""

from __future__ import annotations

import pytest

from charts.lengths import LENGTH_FORMS
from charts.looms_file import OwnedLoom, read_looms
from charts.problems import PatternError

from .strategies import ring

GOOD = """# what hangs on the wall
[[loom]]
name = "blue ring"
pegs = 40
spacing = "3/8 in"

[[loom]]
name = "grey ring"
pegs = 24
spacing = "5/8 in"
"""


def problems(text: str) -> list[str]:
    with pytest.raises(PatternError) as caught:
        read_looms(text)
    return [problem.text("looms.toml") for problem in caught.value.problems]


def test_looms_come_in_the_order_of_the_file() -> None:
    assert read_looms(GOOD) == (
        OwnedLoom("blue ring", ring(40)),
        OwnedLoom("grey ring", ring(24, "5/8 in")),
    )


def test_every_slip_is_told_at_once_with_its_line() -> None:
    text = GOOD.replace("pegs = 40", "pegs = 4").replace('spacing = "5/8 in"', 'spacng = "5/8 in"')
    assert problems(text) == [
        "looms.toml:4: loom.1.pegs: 4 is too small; allowed: a whole number from 16 to 120",
        "looms.toml:7: loom.2.spacing: this key is missing; allowed: centre to centre, "
        f"{LENGTH_FORMS}",
        "looms.toml:10: loom.2.spacng: there is no such key; allowed: name, pegs and spacing; "
        "try: spacing",
    ]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", "looms.toml: loom: there are no looms here; try: [[loom]] above each one"),
        (
            '[loom]\nname = "ring"\npegs = 40\nspacing = "3/8 in"',
            "looms.toml:1: loom: a table is no list of looms; try: [[loom]], in double brackets, "
            "on a line of its own above each loom",
        ),
        (
            "loom = [40, 24]",
            "looms.toml:1: loom: a list is no list of looms; try: [[loom]], in double brackets, "
            "on a line of its own above each loom",
        ),
        (
            f"{GOOD}\n[[ring]]\n",
            "looms.toml:12: ring: there is no such key; allowed: loom",
        ),
        (
            GOOD.replace("grey", "blue"),
            'looms.toml:8: loom.2.name: there is another loom named "blue ring"; allowed: a name '
            "of its own for each loom",
        ),
        (
            GOOD.replace('"grey ring"', '" "'),
            "looms.toml:8: loom.2.name: the text is empty; allowed: 1 to 40 characters",
        ),
    ],
)
def test_one_slip(text: str, expected: str) -> None:
    assert problems(text) == [expected]


def test_text_that_is_not_toml_is_one_problem() -> None:
    assert len(problems('[[loom]]\nname = "ring\npegs = 40')) == 1
