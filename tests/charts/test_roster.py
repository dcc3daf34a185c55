"""Rosters: what is read, and what is told of every cell that is wrong."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from charts.hands import Hand
from charts.loom import Loom
from charts.looms_file import OwnedLoom
from charts.pattern_file import decode_pattern
from charts.problems import PatternError, Problem
from charts.roster import (
    MOST_PEOPLE,
    Choices,
    Column,
    LoomWanted,
    Person,
    Roster,
    read_roster,
)
from charts.spec import Gauge, Length, WearerFacts

CHOICES = Choices(
    sizes=("Small", "Large"),
    looms=(OwnedLoom("blue ring", Loom(40, 9.525, "3/8 in")),),
    prints=("standard", "clear", "large"),
)


def read(text: str) -> Roster:
    return read_roster(text, CHOICES)


def only(text: str) -> Person:
    roster = read(text)
    assert roster.problems == ()
    (person,) = roster.people
    return person


def told(text: str) -> list[str]:
    """The problems of the rows, as they are printed."""
    return [problem.text("r.csv") for problem in read(text).problems]


def refused(text: str) -> list[str]:
    """The problems of a table that cannot be read at all."""
    with pytest.raises(PatternError) as raised:
        read(text)
    return [problem.text("r.csv") for problem in raised.value.problems]


# What is read


def test_row_with_every_cell_is_read() -> None:
    person = only(
        "who,size,foot length,ball round,shoe,loom,gauge,print,hand,notes\n"
        'Student A,small,23.5 cm,9 in,EU 38,"36 x 3/8 in",15 x 20,Large,left,"Brings, late, wool"\n'
    )
    # 9 in are 228.6 mm: NIST SP 811 (2008), appendix B.8.
    foot = WearerFacts(Length(235.0, "23.5 cm"), Length(228.6, "9 in"), shoe="EU 38")
    assert person == Person(
        line=2,
        who="Student A",
        size="Small",
        foot=foot,
        loom=LoomWanted(36, (9.525, "3/8 in")),
        gauge=Gauge(15, 20),
        print_size="large",
        hand=Hand.LEFT,
        notes="Brings, late, wool",
    )


def test_label_alone_leaves_all_else_to_the_pattern() -> None:
    assert only("who\nStudent A\n") == Person(2, "Student A")


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("ends", ["\n", "\r\n", "\r"])
def test_tables_of_any_program_are_read_alike(separator: str, ends: str) -> None:
    rows = [["who", "pegs", "notes"], ["Student A", "40", '"of one, two; three"'], ["", "", ""]]
    text = ends.join(separator.join(row) for row in rows)
    assert only(text) == Person(
        2, "Student A", loom=LoomWanted(40, None), notes="of one, two; three"
    )


def test_byte_order_mark_is_no_part_of_the_head() -> None:
    assert only(decode_pattern(b"\xef\xbb\xbfwho\r\nStudent A\r\n", thing="roster")).line == 2


@pytest.mark.parametrize(
    "head", ["Foot length", "foot_length", "FOOT-LENGTH", " foot  length ", "Foot length (mm)"]
)
def test_heads_are_read_in_any_writing(head: str) -> None:
    person = only(f"{head},Who\n235 mm,Student A\n")
    assert person.foot == WearerFacts(Length(235.0, "235 mm"))


@pytest.mark.parametrize(
    ("head", "cell", "mm"),
    [
        ("foot length cm", "23.5", 235.0),
        ("foot length (cm)", "23,5", 235.0),
        ("foot length, mm", "235", 235.0),
        ("foot length in", "9 1/4", 234.95),
        ("foot length cm", "240 mm", 240.0),
    ],
)
def test_length_has_its_unit_in_the_head_or_in_the_cell(head: str, cell: str, mm: float) -> None:
    foot = only(f"who;{head}\nA;{cell}\n".replace(", mm", " mm")).foot
    assert foot is not None
    assert foot.length is not None
    assert foot.length.mm == mm


@pytest.mark.parametrize(
    ("cell", "loom"),
    [
        ("40", LoomWanted(40, None)),
        ("40 pegs", LoomWanted(40, None)),
        ("40 x 9.5 mm", LoomWanted(40, (9.5, "9.5 mm"))),
        ("Blue  Ring", LoomWanted(40, (9.525, "3/8 in"), "blue ring")),
    ],
)
def test_loom_is_named_or_counted(cell: str, loom: LoomWanted) -> None:
    assert only(f"who,loom\nA,{cell}\n").loom == loom


def test_quoted_cell_over_two_lines_keeps_the_lines_of_the_rows_below() -> None:
    assert told('who,notes\nA,"one\ntwo"\nB,\nC,,x\n') == [
        "r.csv:2: A: notes: a new line at character 4; allowed: text on one line",
        "r.csv:5: C: there are 3 cells, and the head names 2 columns; try: quotation marks round a "
        "cell that has the separator in it",
    ]


# What is wrong with a row


@pytest.mark.parametrize(
    ("row", "problem"),
    [
        ({"who": "", "pegs": "40"}, "r.csv:2: who: the text is empty; allowed: 1 to 60 characters"),
        (
            {"who": "x" * 61},
            "r.csv:2: who: 61 characters are too many; allowed: up to 60 characters",
        ),
        (
            {"who": "A\x07"},
            "r.csv:2: who: the unprintable U+0007 at character 2; allowed: text on one line",
        ),
        (
            {"size": "smal"},
            "r.csv:2: A: size: 'smal' is none of these; allowed: Small or Large; try: Small",
        ),
        (
            {"foot length": "23.5"},
            'r.csv:2: A: foot length: "23.5": a length needs a unit; allowed: a length such as '
            '"3/8 in", "1 1/4 in", "9.5 mm" or "0.95 cm"; try: "23.5 cm"',
        ),
        (
            {"ball round": "2 m"},
            "r.csv:2: A: ball round: \"2 m\": 'm' is not a unit of length; allowed: a length such "
            'as "3/8 in", "1 1/4 in", "9.5 mm" or "0.95 cm"',
        ),
        (
            {"shoe": "38"},
            'r.csv:2: A: shoe: "38": 38 of which system?; allowed: a shoe size such as "EU 38", '
            '"UK 5", "US men 9.5", "US women 8", "child UK 10", "child US 10", "US youth 2" or '
            '"mondopoint 240"; try: "EU 38"',
        ),
        (
            {"loom": "blue rng"},
            "r.csv:2: A: loom: 'blue rng' is no loom; allowed: \"40 x 3/8 in\", pegs and spacing, "
            "pegs alone or blue ring; try: blue ring",
        ),
        (
            {"loom": "9"},
            "r.csv:2: A: loom: 9 is too small; allowed: a whole number from 16 to 120",
        ),
        (
            {"pegs": "40.5"},
            'r.csv:2: A: pegs: "40.5" is not a whole number; allowed: a whole number from 16 to '
            "120",
        ),
        (
            {"loom": "40", "pegs": "40"},
            "r.csv:2: A: pegs: this row has a loom already; try: fill in loom or pegs, not both",
        ),
        (
            {"gauge": "15"},
            "r.csv:2: A: gauge: '15' is no gauge; allowed: \"15 x 20\", stitches and rows in 10 "
            'cm, or "15 x 20 in 4 in"',
        ),
        (
            {"print": "huge"},
            "r.csv:2: A: print: 'huge' is none of these; allowed: standard, clear or large",
        ),
        (
            {"hand": "lft"},
            "r.csv:2: A: hand: 'lft' is none of these; allowed: right-handed or left-handed; try: "
            "left-handed",
        ),
        (
            {"notes": "x" * 301},
            "r.csv:2: A: notes: 301 characters are too many; allowed: up to 300 characters",
        ),
    ],
)
def test_each_wrong_cell_is_told_and_spoils_no_other_row(row: dict[str, str], problem: str) -> None:
    cells = {"who": "A", **row}
    text = f"{';'.join(cells)}\n{';'.join(cells.values())}\nB{';' * (len(cells) - 1)}\n"
    found = read(text)
    shown = [one.text("r.csv") for one in found.problems]
    # What shoe words say of a missing system is told in their own tests.
    if "shoe" in row:
        assert shown[0].startswith('r.csv:2: A: shoe: "38": ')
    else:
        assert shown == [problem]
    assert [person.who for person in found.people] == ["B"]


def test_every_wrong_cell_of_a_row_is_told() -> None:
    keys = [problem.key for problem in read("who,pegs,print\nA,9,tiny\n").problems]
    assert keys == ["A: pegs", "A: print"]


def test_second_of_the_same_label_is_told_where_the_first_is() -> None:
    assert told("who\nA\nB\na\n") == [
        "r.csv:4: a: who: line 2 is for the same; allowed: a label of its own for each person"
    ]


def test_people_beyond_the_most_are_told_once() -> None:
    text = "who\n" + "".join(f"Student {number}\n" for number in range(MOST_PEOPLE + 3))
    found = read(text)
    assert len(found.people) == MOST_PEOPLE == 2000
    assert [problem.text("r.csv") for problem in found.problems] == [
        "r.csv:2002: more than 2,000 people are too many; the rest is left out; allowed: 1 to 2,000"
    ]


def test_open_quotation_mark_ends_the_table_and_is_told() -> None:
    found = read('who,notes\nA,fine\nB,"never closed\nC,\n')
    assert [person.who for person in found.people] == ["A"]
    (problem,) = found.problems
    assert problem.text("r.csv").startswith("r.csv:3: a quotation mark is not closed")


# What is wrong with the table


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("", "r.csv: the roster is empty; try: a head such as who,size"),
        ("\n \n", "r.csv: the roster is empty; try: a head such as who,size"),
        (
            "who\n",
            "r.csv: there is nobody on the roster; try: a row below the head for each person",
        ),
        ("who,WHO\nA,B\n", "r.csv:1: there are two columns 'who'; try: leave one out"),
        (
            "size\nSmall\n",
            "r.csv:1: the first row must name the columns, and 'who' is not among them; try: "
            "who,size,foot length,ball round,leg height,shoe,loom,pegs,gauge,print,hand,notes",
        ),
        (
            "\nwho,foot_lenght\nA,24\n",
            "r.csv:2: there is no column 'foot_lenght'; allowed: who, size, foot length, ball "
            "round, leg height, shoe, loom, pegs, gauge, print, hand and notes; try: foot length",
        ),
        (
            "who,loom cm\nA,24\n",
            "r.csv:1: there is no column 'loom cm'; allowed: who, size, foot length, ball round, "
            "leg height, shoe, loom, pegs, gauge, print, hand and notes; try: loom",
        ),
    ],
)
def test_wrong_head_is_told(text: str, problem: str) -> None:
    assert refused(text) == [problem]


@pytest.mark.parametrize(
    ("data", "problem"),
    [
        (b"who\nA\x00\n", "line 2: there is a zero byte: this is not UTF-8 text; try: save it as "),
        ("who\nA\n".encode("utf-16"), "the file is UTF-16 or UTF-32 text; try: save it as UTF-8"),
        (b"who\n\xff\n", "line 2: there is a byte that is not UTF-8 text; try: save it as UTF-8"),
        (b"x" * 1_000_001, "the file is 1,000,001 bytes long, too long for a roster; allowed: up "),
    ],
)
def test_bytes_that_are_no_roster_are_told(data: bytes, problem: str) -> None:
    with pytest.raises(PatternError) as raised:
        decode_pattern(data, thing="roster")
    assert raised.value.problems[0].text().startswith(problem)


# Any text at all

HEADS = st.sampled_from([column.value for column in Column] + ["foot length cm", "", "x"])
CELLS = st.one_of(
    st.text(max_size=12),
    st.sampled_from(
        ["Student A", "40", "40 x 3/8 in", "23.5 cm", "EU 38", '"', '"a""b"', "15 x 20"]
    ),
)


@given(st.text())
def test_any_text_is_people_or_problems(text: str) -> None:
    _check(text)


@given(
    st.sampled_from(",;\t"),
    st.lists(HEADS, max_size=5),
    st.lists(st.lists(CELLS, max_size=6), max_size=5),
)
def test_any_table_is_people_or_problems(
    separator: str, heads: list[str], rows: list[list[str]]
) -> None:
    _check("\n".join(separator.join(row) for row in [["who", *heads], *rows]))


def _check(text: str) -> None:
    problems, people = _outcome(text)
    assert problems or people
    labels = [person.who.casefold() for person in people]
    assert len(set(labels)) == len(labels)
    lines = [person.line for person in people]
    assert lines == sorted(set(lines))
    assert not set(lines) & {problem.line for problem in problems}
    for problem in problems:
        assert re.fullmatch(r"[^\n\r\x00]+", problem.text("r.csv"))


def _outcome(text: str) -> tuple[tuple[Problem, ...], tuple[Person, ...]]:
    """Problems and people; of a table that cannot be read at all the problems."""
    try:
        found = read(text)
    except PatternError as error:
        return error.problems, ()
    return found.problems, found.people
