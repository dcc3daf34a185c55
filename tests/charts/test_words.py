"""Symbols, verbs and sentences against tables written here by hand, for writer and reader alike."""

import pytest

from charts.chart import ABSENT, HELD, MOVE_MARKS, WAITING
from charts.loom import DOWN, UP, Loom, PegNumber, Working
from charts.parts import Part
from charts.reader_records import ReadError, Ring
from charts.reader_words import DRAWN, LETTERS, TITLES, VERBS, read_row_words
from charts.rows import (
    CastOn,
    Graft,
    Hold,
    Holder,
    LiftBar,
    Needle,
    Rehang,
    Row,
    Section,
    Shift,
    TakeOff,
)
from charts.stitches import STITCHES
from charts.words import move_text, row_text, side_of, span

TABLE = [
    # letter, verb, loops drawn, whether the row turns there
    ("k", "knit", 1, False),
    ("u", "u-wrap knit", 1, False),
    ("e", "e-wrap knit", 1, False),
    ("p", "purl", 1, False),
    ("s", "slip", 0, False),
    ("t", "knit and turn", 1, True),
    ("d", "knit both strands as one", 1, False),
    ("w", "wrap and turn", 0, True),
    ("W", "knit loop and wraps as one", 1, False),
    ("b", "knit loop and lifted bar as one", 1, False),
    ("/", "knit both loops as one with the left on top", 1, False),
    ("\\", "knit both loops as one with the right on top", 1, False),
    ("j", "knit and join", 2, False),
    ("x", "pass behind the empty peg", 0, False),
    ("R", "cross", 1, False),
    ("r", "cross", 1, False),
    ("L", "cross", 1, False),
    ("l", "cross", 1, False),
]
"""Slash leans right and backslash left, as in the text convention of the encyclopedia article
"Knitting pattern" (2015 revision): the loop on top comes from the side the stitch leans away
from.  A join draws two loops, slips and wraps none: common practice, no published source."""

TITLE_TABLE = {
    "Cast on and cuff": Section.CUFF,
    "Leg": Section.LEG,
    "Heel flap": Section.FLAP,
    "Heel turn": Section.TURN,
    "Gusset and foot": Section.FOOT,
    "Toe": Section.TOE,
    "Closing the toe": Section.CLOSING,
}

RIGHT = Loom(40, 9.525, "3/8 in")
LEFT = Loom(40, 9.525, "3/8 in", Working.RIGHT_TO_LEFT)


def row(loom, first, last, letters, direction=UP, section=Section.LEG):
    pegs = []
    peg = first
    while not pegs or pegs[-1] != last:
        pegs.append(PegNumber(peg))
        peg = (peg - 1 + direction) % loom.pegs + 1
    assert len(pegs) == len(letters)
    return Row(section, 1, direction, tuple(pegs), letters)


def test_the_table_of_stitches_is_the_one_written_by_hand():
    entries = [(s.letter, s.verb, s.drawn, s.turns) for s in STITCHES.values()]
    assert entries == TABLE


def test_the_readers_verbs_and_counts_are_those_written_by_hand():
    assert {(letter, verb) for verb, letter in VERBS.items()} == {
        (letter, verb) for letter, verb, _, _ in TABLE if verb != "cross"
    }
    assert {letter for letter, *_ in TABLE} == LETTERS
    assert {letter: DRAWN.get(letter, 1) for letter in LETTERS} == {
        letter: drawn for letter, _, drawn, _ in TABLE
    }


def test_part_titles_of_writer_and_reader_are_those_written_by_hand():
    assert [part.title for part in Part] == list(TITLE_TABLE)
    assert TITLES == TITLE_TABLE


def test_signs_that_are_no_stitches():
    assert (WAITING, HELD, ABSENT) == (" ", "h", ".")
    assert {Hold: "H", Rehang: "G", LiftBar: "B", Shift: "M", TakeOff: "O"} == MOVE_MARKS


ROWS = [
    # loom, first peg, last peg, letters in working order, direction, sentence
    (RIGHT, 1, 40, "kkpp" * 10, UP, "pegs 1–2 knit, 3–4 purl; repeat to peg 40."),
    (RIGHT, 1, 1, "k", UP, "peg 1 knit."),
    (RIGHT, 25, 2, "s" + "k" * 23, DOWN, "peg 25 slip, 24–2 knit."),
    (RIGHT, 2, 1, "k" * 38 + "pk", UP, "pegs 2–39 knit, 40 purl, 1 knit."),
    (RIGHT, 39, 2, "kppk", UP, "peg 39 knit, 40 purl, 1 purl, 2 knit."),
    (RIGHT, 2, 39, "kppk", DOWN, "peg 2 knit, 1 purl, 40 purl, 39 knit."),
    (RIGHT, 17, 10, "k" * 7 + "j", DOWN, "pegs 17–11 knit, 10 knit and join."),
    (RIGHT, 13, 16, "k/xk", UP,
     "peg 13 knit, 14 knit both loops as one with the left on top, 15 pass behind the empty "
     "peg, 16 knit."),
    (RIGHT, 31, 34, "rrLL", UP, "pegs 31–34 cross left with right 2 over left 2."),
    (RIGHT, 30, 35, "pRRllp", UP, "peg 30 purl, 31–34 cross right with left 2 over right 2, 35 purl."),  # noqa: E501
    (RIGHT, 31, 33, "Rll", UP, "pegs 31–33 cross right with left 1 over right 2."),
    (RIGHT, 31, 33, "rLL", UP, "pegs 31–33 cross left with right 2 over left 1."),
    (RIGHT, 31, 36, "RlRlRl", UP, "pegs 31–32 cross right with left 1 over right 1; repeat to peg 36."),  # noqa: E501
    # Peg 31 is the rightmost of the three here, and it is worked first.
    (LEFT, 31, 33, "llR", UP, "pegs 31–33 cross right with left 1 over right 2."),
    (LEFT, 31, 33, "Lrr", UP, "pegs 31–33 cross left with right 1 over left 2."),
    # Over the end of the numbers, up and down.
    (RIGHT, 39, 2, "rrLL", UP, "pegs 39–40 and 1–2 cross left with right 2 over left 2."),
    (RIGHT, 39, 1, "Rll", UP, "pegs 39–40 and 1 cross right with left 1 over right 2."),
    (RIGHT, 40, 2, "kRl", UP, "peg 40 knit, 1–2 cross right with left 1 over right 1."),
    (LEFT, 40, 1, "lR", UP, "pegs 40 and 1 cross right with left 1 over right 1."),
    (LEFT, 1, 39, "Rll", DOWN, "pegs 1 and 40–39 cross right with left 1 over right 2."),
    # Worked against the first round, to the right.
    (LEFT, 33, 31, "Rll", DOWN, "pegs 33–31 cross right with left 1 over right 2."),
    (RIGHT, 1, 9, "ppkpkpkpk", UP, "pegs 1–2 purl, 3 knit, 4 purl, 5 knit, 6 purl, 7 knit, "
     "8 purl, 9 knit."),
]  # fmt: skip


@pytest.mark.parametrize(("loom", "first", "last", "letters", "direction", "sentence"), ROWS[:-1])
def test_row_in_words_and_back(loom, first, last, letters, direction, sentence):
    given_row = row(loom, first, last, letters, direction)
    assert row_text(given_row, loom) == sentence
    ring = Ring(loom.pegs, loom.working)
    assert read_row_words(sentence, ring, direction) == (given_row.pegs, given_row.stitches)


@pytest.mark.parametrize(
    "sentence",
    ["pegs 39–2 knit.", "pegs 37–38 and 39–40 knit.", "pegs 39–40 and 2 knit.", "pegs 3–2 knit."],
)
def test_a_run_that_reads_backwards_or_is_torn_apart_is_not_understood(sentence):
    with pytest.raises(ReadError):
        read_row_words(sentence, Ring(40, Working.LEFT_TO_RIGHT), UP)


def test_words_between_repeats_keep_to_sentences_of_their_own():
    text = "pegs 1–3 knit. Pegs 4–5 purl, 6–7 knit; repeat to peg 23. Pegs 24–25 purl."
    loom = Loom(25, 9.525, "3/8 in")
    rib = row(loom, 1, 25, "kkk" + "ppkk" * 5 + "pp")
    assert row_text(rib, loom) == text
    assert read_row_words(text, Ring(25, loom.working), UP) == (rib.pegs, rib.stitches)


MOVES = [
    (
        CastOn(Section.CAST_ON, RIGHT.run(1, 40)),
        "Cast on 40 pegs, 1–40: slip knot on peg 1; then wrap each of pegs 2–40 twice from the "
        "inside and lift its lower loop over before going to the next.",
    ),
    (
        Hold(Section.TURN, Holder.NEAR, RIGHT.run(2, 9)),
        "Put the 8 loops of pegs 2–9 on the left holder, peg 2 first, so that the loop of peg 9 "
        "comes off first.",
    ),
    (
        Hold(Section.TURN, Holder.FAR, RIGHT.run(24, 24)),
        "Put the 1 loop of peg 24 on the right holder.",
    ),
    (
        Rehang(Section.GUSSET, Holder.FAR, PegNumber(25), RIGHT.run(25, 18)),
        "Hang the 8 edge loops of the heel flap’s right edge on pegs 25–18: the oldest, nearest "
        "the leg, on peg 25, the newest, joined last, on peg 18; both legs of a loop go over its "
        "peg and count "
        "as one.",
    ),
    (
        LiftBar(Section.GUSSET, PegNumber(1), (PegNumber(40), PegNumber(1))),
        "Lift the bar between pegs 40 and 1 onto peg 1.",
    ),
    (
        Shift(Section.FOOT, PegNumber(15), PegNumber(14)),
        "Move the loop of peg 15 onto peg 14, on top; peg 15 is then empty.",
    ),
    (
        TakeOff(Section.CLOSING, Needle.FRONT, RIGHT.run(43, 24)),
        "From inside the ring take the 20 loops of pegs 3–1, 40–24 onto the front needle, in this "
        "order; of each loop the leg that is on the right as you see it from outside "
        "lies in front.",
    ),
    (
        Graft(
            Section.CLOSING,
            tuple((PegNumber(a), PegNumber(b)) for a, b in [(3, 4), (2, 5), (1, 6)]),
        ),
        "Graft 3 pairs of loops, peg 3 with peg 4 first and peg 1 with peg 6 last: 12 needle "
        "passes.",
    ),
]


@pytest.mark.parametrize(("move", "sentence"), MOVES)
def test_move_in_words(move, sentence):
    assert move_text(move, RIGHT) == sentence


def test_the_holder_beside_the_rounds_start_is_on_the_left_of_a_round_that_runs_right():
    assert [side_of(holder, RIGHT) for holder in Holder] == ["left", "right"]
    assert [side_of(holder, LEFT) for holder in Holder] == ["right", "left"]


def test_a_span_of_one_is_one_number():
    assert (span(3, 3), span(3, 8), span(39, 1)) == ("3", "3–8", "39–1")
