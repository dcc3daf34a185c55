"""Steps of several sizes as text: each size reads its own proved sock out of it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from charts.parts import Part, parts_of
from charts.reader import ReadError, StepsPart, read_steps
from charts.reader_sizes import SizedStepLine, SizedStepsPart, read_only, read_size
from charts.sized_plain_text import SizedBlock, sized_steps_text
from charts.sized_steps import make_sized_part_steps, make_sized_steps
from charts.sizes import SizedPattern, knit_sizes

SAMPLE = Path("samples/three-looms.toml").read_text(encoding="utf-8")
MIXED = """
title = "Mixed"
[loom]
spacing = "5/8 in"
[cuff]
leftover = "knit"
[[size]]
name = "A"
loom = { pegs = 24 }
foot = { rows = 8 }
leg = { rows = 0 }
[[size]]
name = "B"
loom = { pegs = 25, working = "right to left" }
foot = { rows = 30 }
leg = { rows = 70 }
"""


def blocks_of(pattern: SizedPattern) -> list[SizedBlock]:
    """Every part for all the sizes that have it."""
    blocks = []
    for part in Part:
        here = [one for one in pattern.sizes if part in parts_of(one.knit)]
        names = tuple(one.name for one in here)
        made = make_sized_part_steps(tuple(one.knit for one in here), names, part)
        assert made is not None
        blocks.append(SizedBlock(names, made))
    return blocks


def text_of(pattern: SizedPattern) -> str:
    knits = [one.knit for one in pattern.sizes]
    return sized_steps_text(knits, [one.name for one in pattern.sizes], blocks_of(pattern))


# --- The text read again, by its form alone ---------------------------------------------------

_BOXES = re.compile(r"(?=.*\[ \])(?:\d+|\[ \]\d*)(?: (?:\d+|\[ \]\d*))*")
_NUMBERS = r"[\d–]+(?: \([\d–, ]+\))?"
_ROW = re.compile(
    rf"(Rows? {_NUMBERS}|Partial row|Run on)(?: ((?:[→←])(?: \([→←, –]+\))?))? (.+?\.)"
    rf"(?: ({_NUMBERS} stitch(?:es)?))?"
)
_PAIR = re.compile(r"\[ \] ((?:\d+\+\d+|–)(?: \([\d+, –]+\))?)")


def read_text(text: str) -> list[tuple[tuple[str, ...], SizedStepsPart]]:
    """Each block with the names of its sizes."""
    head, *blocks = text.split("\n\n")
    names = names_in(next(item for item in items(head) if item.startswith("Sizes: ")))
    found = []
    for block in blocks:
        title, _, *rest = block.split("\n")
        told = items("\n".join(rest))
        own = names
        if told[0].startswith("Sizes: "):
            own = names_in(told.pop(0))
        lines, only = [], ""
        for item in told:
            if item.startswith(("Tick: ", "Graft: ")):
                continue
            if match := re.fullmatch(r"(Sizes? .+ only):", item):
                only = match[1][0].lower() + match[1][1:]
                continue
            lines.append(step_line(item, only))
            only = ""
        found.append((own, SizedStepsPart(title, tuple(lines))))
    return found


def names_in(item: str) -> tuple[str, ...]:
    first, _, others = item.removeprefix("Sizes: ").partition(" (")
    return (first, *filter(None, others.removesuffix(")").split(", ")))


def items(block: str) -> list[str]:
    found: list[str] = []
    for line in block.split("\n"):
        words = " ".join(line.split())
        if _BOXES.fullmatch(words) and "+" not in words:
            continue
        if re.match(r"\S| {4}Rows? ", line):
            found.append(words)
        elif words:
            found[-1] += f" {words}"
    return found


def step_line(item: str, only: str) -> SizedStepLine:
    for label in ("Check", "Count"):
        if item.startswith(f"{label}: "):
            return SizedStepLine(item.removeprefix(f"{label}: "), label, only=only)
    words = item.removeprefix("[ ] ")
    if row := _ROW.fullmatch(words):
        return SizedStepLine(row[3], row[1], row[2] or "", row[4] or "", only=only)
    text, stop, rest = words.partition(". [ ] ")
    if not stop:
        return SizedStepLine(words, only=only)
    return SizedStepLine(f"{text}.", pairs=tuple(_PAIR.findall(f"[ ] {rest}")), only=only)


def parts_read(text: str, name: str) -> tuple[StepsPart, ...]:
    parts: list[StepsPart] = []
    for names, part in read_text(text):
        if name in names:
            parts += read_size([part], names.index(name), names)
    return tuple(parts)


@pytest.mark.parametrize("pattern", [SAMPLE, MIXED], ids=["three looms", "mixed"])
def test_every_size_reads_its_own_proved_sock(pattern: str) -> None:
    sized = knit_sizes(pattern)
    text = text_of(sized)
    assert all(len(line) <= 80 for line in text.split("\n"))
    for one in sized.sizes:
        assert read_steps(parts_read(text, one.name)).events == one.knit.rows.events, one.name


def test_a_number_that_is_altered_is_noticed() -> None:
    sized = knit_sizes(MIXED)
    text = text_of(sized)
    assert text.count("pegs 1–14 knit.") == 1
    other = text.replace("pegs 1–14 knit.", "pegs 1–13 knit.")
    with pytest.raises(ReadError, match="Row 1"):
        read_steps(parts_read(other, "A"))


def test_steps_for_some_sizes_name_them_before_the_step() -> None:
    """25 pegs are odd: the larger size alone moves a loop before its toe."""
    text = text_of(knit_sizes(MIXED))
    at = text.index("Size B only:\n[ ]")
    assert "onto" in text[at : at + 120]
    assert read_only("size B only", ("A", "B")) == {1}
    leg = text[text.index("\nLeg\n") :].split("\n\n")[0]
    assert leg.split("\n")[3] == "Sizes: B"


def test_boxes_that_sizes_differ_in_are_counted_for_each() -> None:
    """Foot of 8 and 30 rows, both from row 1: the first is told, the others are ticked."""
    text = text_of(knit_sizes(MIXED))
    assert re.search(r"Tick: \d+ \(\d+\) boxes\.", text)


def test_one_part_is_merged_as_it_is_among_all() -> None:
    sized = knit_sizes(SAMPLE)
    knits, names = tuple(one.knit for one in sized.sizes), tuple(one.name for one in sized.sizes)
    whole = {one.part: one for one in make_sized_steps(knits, names, mark=1)}
    for part in Part:
        assert make_sized_part_steps(knits, names, part, mark=1) == whole[part]
    short = knit_sizes(MIXED).sizes[0].knit
    assert make_sized_part_steps((short,), ("A",), Part.LEG) is None
