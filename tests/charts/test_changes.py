"""Change slips: corrections applied to the old rows give the new ones, and nothing else is told."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, reject, settings
from hypothesis import strategies as st

from charts.changes import (
    Change,
    MoveChange,
    RowChange,
    StitchChange,
    compare_pairs,
    corrections,
    find_changes,
    rows_text,
)
from charts.knitted import knit_sock
from charts.pattern_file import read_pattern
from charts.plain_text import changes_text
from charts.problems import PatternError
from charts.rows import RUN_ON, Event, Row, Rows, Section
from charts.verify import Knit

SAMPLE = (Path(__file__).resolve().parents[2] / "samples" / "ember.toml").read_text("utf-8")


def knit(*edits: tuple[str, str]) -> Knit:
    text = SAMPLE
    for old, new in edits:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return knit_sock(read_pattern(text))


def corrected(old: Rows, changes: Sequence[Change]) -> tuple[Event, ...]:
    """The old print with every correction written in, section by section."""
    events: list[Event] = []
    for section in Section:
        rows = {event.number: event for event in old.of(section) if isinstance(event, Row)}
        moves: list[tuple[int, Event]] = []
        before = 0
        for event in old.of(section):
            if isinstance(event, Row):
                before += 1
            else:
                moves.append((before, event))
        at_end = {at for at, (place, _) in enumerate(moves) if place == before}
        mine = [change for change in changes if change.section is section]
        gone = []
        for change in mine:
            match change:
                case StitchChange():
                    for number in change.rows:
                        row = rows[number]
                        first = row.pegs.index(change.pegs[0])
                        end = first + len(change.pegs)
                        assert row.pegs[first:end] == change.pegs
                        assert row.stitches[first:end] == change.old
                        letters = row.stitches[:first] + change.new + row.stitches[end:]
                        rows[number] = replace(row, stitches=letters)
                case RowChange():
                    for number in change.rows:
                        assert (number in rows) is (change.old is not None)
                        if change.new is None:
                            del rows[number]
                        else:
                            rows[number] = replace(change.new, number=number)
                case MoveChange():
                    if change.old is None:
                        assert change.new is not None
                        moves.append((change.after[1], change.new))
                    else:
                        at = moves.index((change.after[0], change.old))
                        at_end.discard(at)
                        if change.new is None:
                            gone.append(at)
                        else:
                            moves[at] = (change.after[1], change.new)
        numbers = sorted(rows, key=lambda one: (one == RUN_ON, one))
        kept = [
            (len(numbers) if at in at_end else place, move)
            for at, (place, move) in enumerate(moves)
            if at not in gone
        ]
        for place in range(len(numbers) + 1):
            events += [move for at, move in kept if at == place]
            if place < len(numbers):
                events.append(rows[numbers[place]])
    return tuple(events)


def test_equal_socks_have_nothing_to_correct_though_the_files_differ() -> None:
    other = knit(
        ('title = "Ember bed sock"', 'title = "Cinder"'), ("stitches = 11", "stitches = 12")
    )
    assert find_changes(knit().rows, other.rows) == ()
    assert corrections(knit(), other) == ()
    assert compare_pairs((knit(), knit()), (other, other)) == ()


def test_hand_made_corrections() -> None:
    told = corrections(knit(), knit(("p k r L k p", "p k R l k p")))
    assert [(one.part.value, one.place, one.old, one.new) for one in told] == [
        (
            part,
            "Rows 4, 8 … 16, pegs 19–20",
            "cross left with right 1 over left 1",
            "cross right with left 1 over right 1",
        )
        for part in ("leg", "foot")
    ]


def test_rows_left_out_and_rows_added_are_told_by_their_numbers() -> None:
    fewer = corrections(
        knit(), knit(('[cuff]\nrib = "k2 p2"\nrows = 10', '[cuff]\nrib = "k2 p2"\nrows = 8'))
    )
    assert [(one.place, one.old, one.new) for one in fewer] == [
        ("Rows 9–10", "as printed", "leave out")
    ]
    more = corrections(knit(), knit(("rows = 10", "rows = 12")))
    assert [(one.place, one.old, one.new) for one in more] == [
        ("Rows 11–12", "not in the older print", "pegs 1–2 knit, 3–4 purl; repeat to peg 24.")
    ]


def test_row_with_many_corrections_is_written_anew() -> None:
    told = corrections(knit(), knit(('rib = "k2 p2"', 'rib = "k1 p1"')))
    assert [(one.place, one.new) for one in told] == [
        ("Rows 1–10", "peg 1 knit, 2 purl; repeat to peg 24.")
    ]


def test_another_ring_is_refused_and_told() -> None:
    other = knit(("pegs = 24", "pegs = 28"))
    with pytest.raises(ValueError, match="different rings"):
        find_changes(knit().rows, other.rows)
    (sock,) = compare_pairs((knit(), knit()), (other, other))
    assert "24 pegs" in sock.another_ring
    assert sock.corrections == ()


def test_text_names_every_place_once_with_both_prints() -> None:
    old, new = knit(), knit(("p k r L k p", "p k R l k p"))
    text = changes_text("Ember", compare_pairs((old, old), (new, new)))
    assert max(map(len, text.splitlines())) <= 80
    assert re.findall(r"^\[ \] (.*)$", text, re.M) == ["Rows 4, 8 … 16, pegs 19–20"] * 2
    assert len(re.findall(r"^    was  ", text, re.M)) == 2


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ((1,), "Row 1"),
        ((1, 2), "Rows 1–2"),
        ((2, 4), "Rows 2, 4"),
        ((1, 5, 9), "Rows 1, 5, 9"),
        ((1, 5, 9, 13), "Rows 1, 5 … 13"),
        ((1, 2, 3, 9, 10), "Rows 1–3, 9–10"),
    ],
)
def test_row_numbers_in_words(rows: tuple[int, ...], words: str) -> None:
    assert rows_text(Section.LEG, rows) == words


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


@settings(max_examples=120)
@given(SOCKS, SOCKS)
def test_corrections_written_into_the_old_print_give_the_new_sock(one: str, other: str) -> None:
    try:
        old, new = (knit_sock(read_pattern(text)) for text in (one, other))
    except PatternError:
        reject()
    changes = find_changes(old.rows, new.rows)
    assert corrected(old.rows, changes) == new.rows.events
    assert bool(changes) is (old.rows.events != new.rows.events)
    assert len(corrections(old, new)) == len(changes)
