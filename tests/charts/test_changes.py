"""Change slips: corrections applied to the old rows give the new ones, and nothing else is told."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

from hypothesis import given, reject, settings
from hypothesis import strategies as st

from charts.changes import (
    NOTHING,
    STRIKE_OUT,
    Correction,
    Leaves,
    SockCorrections,
    compare_pairs,
    differing_words,
    line_corrections,
    part_corrections,
)
from charts.knitted import knit_sock
from charts.parts import Part
from charts.pattern_file import read_pattern
from charts.plain_text import changes_text
from charts.plan import second_sock
from charts.problems import PatternError
from charts.step_lines import StepLine, step_lines
from charts.steps import make_steps
from charts.verify import Knit

SAMPLE = (Path(__file__).resolve().parents[2] / "samples" / "ember.toml").read_text("utf-8")


def knit(*edits: tuple[str, str]) -> Knit:
    text = SAMPLE
    for old, new in edits:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return knit_sock(read_pattern(text))


def pair(*edits: tuple[str, str]) -> tuple[Knit, Knit]:
    first = knit(*edits)
    other = second_sock(first.plan.spec)
    return first, first if other == first.plan.spec else knit_sock(other)


def compared(*edits: tuple[str, str]) -> SockCorrections:
    found = compare_pairs(pair(), pair(*edits))
    assert found is not None
    return found


def told(found: SockCorrections, title: str) -> list[tuple[str, str, str]]:
    """Where, is printed, should read: the steps of one part."""
    (part,) = (part for part in found.parts if part.title == title)
    return [(one.where, one.printed, one.should_read) for one in part.lines]


def penciled(lines: Sequence[StepLine], corrections: Sequence[Correction]) -> list[str]:
    """The printed lines with every correction written in, by one who reads nothing but the slip:
    each line as it is read, then its count and its boxes."""
    page = [[line.label, line.whole, line.count, boxes(line)] for line in lines]
    written: dict[int, list[list[str]]] = {}
    """New lines below each printed one."""
    struck: set[int] = set()
    for one in corrections:
        where, _, what = one.where.partition(", ")
        if where == "New":
            below = what.removeprefix("below ").strip("“…” ")
            at = -1 if what == "above all" else found_at(page, below, below)
            written.setdefault(at, []).append(["", *new_line(one.new)])
            continue
        at = found_at(page, where, one.old)
        if what:
            column = {"stitches": 2, "boxes": 3}[what]
            assert page[at][column] == one.old
            page[at][column] = one.new
        elif one.new:
            assert page[at][1].count(one.old) == 1, "is printed there, and once only"
            page[at][1] = page[at][1].replace(one.old, one.new)
        else:
            assert page[at][1] == one.old
            struck.add(at)
    out = list(written.get(-1, []))
    for at, line in enumerate(page):
        out += [line] * (at not in struck)
        out += written.get(at, [])
    return ["|".join(line[1:]) for line in out]


def found_at(page: Sequence[Sequence[str]], label: str, words: str) -> int:
    """The line of that label, or one without any that begins so."""
    labelled = [at for at, line in enumerate(page) if line[0] == label]
    (at,) = labelled or [
        at for at, line in enumerate(page) if not line[0] and line[1].startswith(words)
    ]
    return at


def new_line(words: str) -> list[str]:
    found = re.fullmatch(r"(.*?)(?: Stitches: (.*?)\.)?(?: Draw (a box|boxes (.*))\.)?", words)
    assert found
    span = found[4] or ""
    numbers = span.replace("–", " to ") if span else ("one box" if found[3] else "")
    return [found[1], found[2] or "", numbers]


def boxes(line: StepLine) -> str:
    if line.boxes is None:
        return ""
    first, last = line.boxes
    return f"{first} to {last}" if last else "one box"


def test_equal_socks_have_nothing_to_correct_though_the_files_differ() -> None:
    other = pair(
        ('title = "Ember bed sock"', 'title = "Cinder"'), ("stitches = 11", "stitches = 12")
    )
    assert compare_pairs(pair(), other) is None


def test_a_cable_is_corrected_where_it_is_printed_and_not_where_rows_repeat() -> None:
    found = compared(("p k r L k p", "p k R l k p"))
    assert told(found, "Leg") == [
        (
            "Row 4",
            "19–20 cross left with right 1 over left 1",
            "19–20 cross right with left 1 over right 1",
        ),
        (
            "Chart, row 4",
            "the symbols of “19–20 cross left with right 1 over left 1”",
            "the symbols of “19–20 cross right with left 1 over right 1”",
        ),
    ]


def test_a_longer_part_changes_its_repeat_its_boxes_and_how_to_count() -> None:
    found = compared(("rows = 10", "rows = 12"))
    counted = "the loop on the peg as the last:"
    assert told(found, "Cast on and cuff") == [
        (
            "Rows 1–10",
            "Rows 1–10 → pegs 1–2 knit, 3–4 purl; repeat to peg 24.",
            "Rows 1–12 → pegs 1–2 knit, 3–4 purl; repeat to peg 24.",
        ),
        ("Rows 1–10, boxes", "1 to 10", "1 to 12"),
        ("To count", f"{counted} 10.", f"{counted} 12."),
        ("Chart", "rows 2–10: repeat row 1", "rows 2–12: repeat row 1"),
    ]
    assert told(found, "The plan")[0] == ("Cuff rows", "10", "12")


def test_lists_say_for_which_sock_they_are() -> None:
    longer = compared(("rows = 10", "rows = 12"))
    assert {part.leaves for part in longer.parts} == {Leaves.BOTH}
    found = compared(("p k r L k p", "p k R l k p"))
    assert [part.heading for part in found.parts] == [
        "Leg – first sock",
        "Gusset and foot – first sock",
        "Second sock: leg",
        "Second sock: gusset and foot",
    ]


def test_a_second_sock_that_the_old_print_has_no_pages_for_is_told() -> None:
    alike = ("mirror_cables = true", "mirror_cables = false")
    found = compare_pairs(pair(alike), pair())
    assert found is not None
    assert "print the booklet anew" in found.remarks[0]
    assert "Strike out" in compared(alike).remarks[0]


def test_another_ring_is_told() -> None:
    found = compared(("pegs = 24", "pegs = 28"))
    assert "24 pegs" in found.another_ring
    assert found.parts == ()


def test_text_has_a_box_for_every_correction() -> None:
    found = compared(("rows = 10", "rows = 12"))
    text = changes_text("Ember", [found])
    assert max(map(len, text.splitlines())) <= 80
    places = [one.where for part in found.parts for one in part.lines]
    assert re.findall(r"^\[ \] (.*)$", text, re.M) == places
    assert text.count("    is printed ") == text.count("    should read ") == len(places)


def test_words_are_told_with_enough_beside_them_to_be_found() -> None:
    assert differing_words("pegs 2 knit, 3 purl, 4 knit.", "pegs 2 knit, 3 knit, 4 knit.") == (
        ("3 purl", "3 knit"),
    )
    (piece,) = differing_words("pegs 2–3 knit, 12–3 knit.", "pegs 2–3 knit, 12–3 purl.")
    assert piece == ("12–3 knit.", "12–3 purl.")


SOCKS = st.builds(
    lambda heel, side, rib, cuff, leg, foot, motif, instep: (
        f"""title = "Steps"
loom = {{ pegs = 32, spacing = "3/8 in" }}
cuff = {{ rib = "{rib}", rows = {cuff} }}
leg = {{ rows = {leg}, panel = "m" }}
heel = {{ pegs = {heel} }}
foot = {{ rows = {foot}, instep = "{instep}" }}
toe = {{ side = {side} }}
[motif.m]
rows = "{motif}"
"""
    ),
    st.sampled_from([16, 18, 20, 22]),
    st.integers(2, 7),
    st.sampled_from(["k2 p2", "k1 p1", "k3 p1"]),
    st.integers(1, 6),
    st.integers(1, 8),
    st.integers(4, 8),
    st.sampled_from(["Rl", "rL", "RRll", "kppk", "Rlkk"]),
    st.sampled_from(["plain", "continue"]),
)


@settings(max_examples=120, deadline=None)
@given(SOCKS, SOCKS)
def test_corrections_written_into_the_old_print_give_the_new_one(one: str, other: str) -> None:
    try:
        old, new = (knit_sock(read_pattern(text)) for text in (one, other))
    except PatternError:
        reject()
    for before, after in zip(make_steps(old), make_steps(new), strict=True):
        was, now = step_lines(before), step_lines(after)
        found = list(line_corrections(was, now))
        assert penciled(was, found) == penciled(now, [])
        assert bool(found) is (was != now)


@settings(max_examples=60, deadline=None)
@given(SOCKS, SOCKS)
def test_whatever_differs_in_a_part_is_told_in_it(one: str, other: str) -> None:
    try:
        old, new = (knit_sock(read_pattern(text)) for text in (one, other))
    except PatternError:
        reject()
    for part in Part:
        same = old.rows.of(*part.sections) == new.rows.of(*part.sections)
        if not same:
            found = list(part_corrections(old, new, part))
            assert found
            assert all(one.old or one.new for one in found)
            assert {NOTHING, STRIKE_OUT}.isdisjoint(one.old for one in found)
