"""The virtual loom by itself on a ring of eight pegs: each mistake of the hand, and its sentence.

Nothing here is a sock.  Each case is the few rows and moves that make one mistake; all that the
loom says about it is written down, but for the loops that are then left on the pegs.
"""

from __future__ import annotations

import pytest

from charts.loom import DOWN, UP, Loom, PegNumber, Working
from charts.rows import (
    CastOn,
    Event,
    Graft,
    Hold,
    Holder,
    LiftBar,
    Needle,
    Rehang,
    Row,
    Rows,
    Section,
    Shift,
    TakeOff,
)
from charts.verify import fault_text
from charts.virtual_loom import Rule, State, knit_on_loom

RING = Loom(8, 9.525, "3/8 in")
LEFTWARD = Loom(8, 9.525, "3/8 in", Working.RIGHT_TO_LEFT)
S = Section.LEG


def pegs(*numbers: int) -> tuple[PegNumber, ...]:
    return tuple(map(PegNumber, numbers))


def up(first: int, letters: str) -> Row:
    return Row(S, 1, UP, RING.run(first, first + len(letters) - 1), letters)


def down(first: int, letters: str) -> Row:
    return Row(S, 2, DOWN, RING.run(first, first - len(letters) + 1), letters)


ON = CastOn(S, RING.run(1, 8))
ROUND = up(1, "k" * 8)


def said(*events: Event, loom: Loom = RING) -> list[str]:
    """What the loom says, without the loops left at the end."""
    rows = Rows(loom, events)
    faults = knit_on_loom(rows).faults
    return [fault_text(rows, each) for each in faults if each.rule is not Rule.LOOP_LEFT]


SOUND = [
    pytest.param((ON, ROUND, ROUND), id="rounds"),
    pytest.param((ON, up(1, "kkkk"), down(4, "skkk"), up(1, "skkk")), id="slipped edges"),
    pytest.param((ON, up(1, "kkkt"), down(3, "kkt"), up(2, "kkd")), id="turned stitches"),
    pytest.param((ON, up(1, "kkkw"), down(3, "kkw"), up(2, "kkW")), id="wraps"),
    pytest.param((ON, up(1, "kRlk")), id="a cross"),
    pytest.param(
        (ON, ROUND, Shift(S, PegNumber(3), PegNumber(2)), up(1, "k\\xkkkkk")),
        id="a loop moved to the left",
    ),
    pytest.param(
        (ON, ROUND, Shift(S, PegNumber(2), PegNumber(3)), up(1, "kx/kkkkk")),
        id="a loop moved to the right",
    ),
    pytest.param(
        (ON, ROUND, LiftBar(S, PegNumber(3), (PegNumber(2), PegNumber(3))), up(1, "kkbkkkkk")),
        id="a bar",
    ),
    pytest.param(
        (ON, up(1, "kkk"), Hold(S, Holder.FAR, pegs(6, 5)), up(4, "j"), down(4, "kkkk")),
        id="a join",
    ),
]


@pytest.mark.parametrize("events", SOUND)
def test_sound_rows_are_passed_in_silence(events: tuple[Event, ...]) -> None:
    assert said(*events) == []


def test_moved_loops_change_their_lean_on_a_loom_worked_to_the_left() -> None:
    onto_2 = (ON, ROUND, Shift(S, PegNumber(3), PegNumber(2)))
    assert said(*onto_2, up(1, "k/xkkkkk"), loom=LEFTWARD) == []
    assert said(*onto_2, up(1, "k\\xkkkkk"), loom=LEFTWARD) == [
        "leg, row 1, peg 2: the loop on top is not the neighbour named "
        "(rule: two loops worked as one are the two that were hung there)"
    ]


FAULTS = [
    # Yarn.
    (
        (
            ON,
            TakeOff(S, Needle.FRONT, pegs(1)),
            TakeOff(S, Needle.BACK, pegs(8)),
            Graft(S, ((PegNumber(1), PegNumber(8)),)),
            up(2, "k"),
        ),
        Rule.YARN_JUMPS,
        "leg, row 1, peg 2: there is no yarn yet",
    ),
    ((ON, up(2, "k")), Rule.YARN_JUMPS, "leg, row 1, peg 2: the yarn hangs at peg 8"),
    ((ON, ROUND, down(6, "k")), Rule.YARN_JUMPS, "leg, row 2, peg 6: the yarn hangs at peg 8"),
    (
        (ON, Row(S, 1, UP, pegs(1, 2, 4), "kkk")),
        Rule.YARN_JUMPS,
        "leg, row 1, peg 4: the yarn jumps from peg 2",
    ),
    (
        (ON, Row(S, 1, UP, pegs(1, 2), "kkk")),
        Rule.YARN_JUMPS,
        "leg, row 1: a row needs one stitch for each of its pegs",
    ),
    (
        (ON, Row(S, 1, UP, (), "")),
        Rule.YARN_JUMPS,
        "leg, row 1: a row needs one stitch for each of its pegs",
    ),
    (
        (CastOn(S, pegs(1, 2, 4)),),
        Rule.YARN_JUMPS,
        "leg, peg 4: the cast-on jumps from peg 2",
    ),
    # Turning back.
    (
        (ON, up(1, "kkkk"), down(4, "k")),
        Rule.OPEN_TURN,
        "leg, row 2, peg 4: the first stitch after the turn is not slipped",
    ),
    (
        (ON, up(1, "kkkk"), down(3, "k")),
        Rule.OPEN_TURN,
        "leg, row 2, peg 3: nothing closes the turn at peg 4",
    ),
    (
        (ON, up(1, "kkt"), up(4, "k")),
        Rule.OPEN_TURN,
        "leg, row 1, peg 4: the row before this one turned back",
    ),
    (
        (ON, up(1, "kwk")),
        Rule.OPEN_TURN,
        "leg, row 1: wrap and turn before the end of the row",
    ),
    # One stitch.
    (
        (ON, ROUND, Hold(S, Holder.FAR, pegs(3)), up(1, "kkk")),
        Rule.EMPTY_PEG,
        "knit on an empty peg",
    ),
    ((ON, Hold(S, Holder.FAR, pegs(3)), up(1, "kks")), Rule.EMPTY_PEG, "slip on an empty peg"),
    (
        (ON, Hold(S, Holder.FAR, pegs(3)), up(1, "kkw")),
        Rule.EMPTY_PEG,
        "leg, row 1, peg 3: a wrap needs one loop on its peg",
    ),
    (
        (
            ON,
            up(1, "kkw"),
            down(2, "kw"),
            LiftBar(S, PegNumber(3), (PegNumber(3), PegNumber(4))),
            up(2, "kW"),
        ),
        Rule.EMPTY_PEG,
        "leg, row 1, peg 3: a wrapped peg has one loop",
    ),
    ((ON, up(1, "kW")), Rule.WRAPPED_PEG, "leg, row 1, peg 2: there is no wrap on the peg"),
    (
        (ON, up(1, "kkkw"), down(3, "kkw"), up(2, "kkk")),
        Rule.WRAPPED_PEG,
        "leg, row 1, peg 4: knit without the peg's wraps",
    ),
    ((ON, up(1, "kx")), Rule.PASSED_LOOP, "leg, row 1, peg 2: the yarn passes behind a peg"),
    ((ON, up(1, "kd")), Rule.TURNED_STITCH, "leg, row 1, peg 2: there is no turned stitch"),
    (
        (ON, up(1, "kkkt"), down(3, "kkt"), up(2, "kkk")),
        Rule.TURNED_STITCH,
        "leg, row 1, peg 4: knit on one strand of a turned stitch",
    ),
    ((ON, up(1, "kb")), Rule.TWO_AS_ONE, "leg, row 1, peg 2: 1 loop(s) on the peg, not two"),
    (
        (ON, Shift(S, PegNumber(3), PegNumber(2)), up(1, "kb")),
        Rule.TWO_AS_ONE,
        "leg, row 1, peg 2: the second loop is not a lifted bar",
    ),
    (
        (ON, Shift(S, PegNumber(3), PegNumber(2)), up(1, "k/")),
        Rule.TWO_AS_ONE,
        "leg, row 1, peg 2: the loop on top is not the neighbour named",
    ),
    (
        (ON, Shift(S, PegNumber(3), PegNumber(2)), up(1, "kk")),
        Rule.OVERLOADED,
        "leg, row 1, peg 2: knit on a peg with 2 loops",
    ),
    # Cables.
    (
        (ON, up(1, "kRkk")),
        Rule.CROSS,
        "leg, row 1, peg 2: strand 'R' needs 'l' to its right",
    ),
    # Holders.
    ((ON, up(1, "kj")), Rule.HOLDER, "leg, row 1, peg 2: no loop is left on the far holder"),
    (
        (ON, up(1, "kkk"), Hold(S, Holder.FAR, pegs(5, 6)), up(4, "j")),
        Rule.HOLDER,
        "leg, row 1, peg 4: the nearest held loop does not come off first",
    ),
    (
        (ON, Hold(S, Holder.FAR, pegs(5, 5))),
        Rule.HOLDER,
        "leg, peg 5: 0 loop(s) on the peg, not one",
    ),
    (
        (ON, up(1, "kkt"), Hold(S, Holder.FAR, pegs(3))),
        Rule.TURNED_STITCH,
        "leg, peg 3: a turned stitch was never worked as one",
    ),
    (
        (ON, up(1, "kkw"), Hold(S, Holder.FAR, pegs(3))),
        Rule.WRAPPED_PEG,
        "leg, peg 3: a wrap was never worked",
    ),
    # Edge loops: pegs 1-4 back and forth leave one edge loop at peg 4 and one at peg 1.
    (
        (
            ON,
            up(1, "kkkk"),
            down(4, "skkk"),
            up(1, "skkk"),
            Hold(S, Holder.FAR, pegs(4, 3)),
            Rehang(S, Holder.FAR, PegNumber(4), pegs(4, 3)),
        ),
        Rule.EDGE_LOOPS,
        "leg, peg 4: 1 edge loops for 2 gusset pegs",
    ),
    (
        (
            ON,
            up(1, "kkkk"),
            down(4, "skkk"),
            Hold(S, Holder.FAR, pegs(4)),
            Rehang(S, Holder.FAR, PegNumber(4), pegs(4)),
        ),
        Rule.EDGE_LOOPS,
        "leg, peg 4: the edge loop is still in use",
    ),
    (
        (
            ON,
            up(1, "kkkk"),
            down(4, "skkk"),
            up(1, "skkk"),
            Rehang(S, Holder.FAR, PegNumber(4), pegs(4)),
        ),
        Rule.OVERLOADED,
        "leg, peg 4: an edge loop is hung on a peg with a loop",
    ),
    # Other moves.
    ((ON, CastOn(S, pegs(1))), Rule.OVERLOADED, "leg, peg 1: cast on over a loop"),
    (
        (ON, LiftBar(S, PegNumber(3), (PegNumber(4), PegNumber(5)))),
        Rule.BAR,
        "leg, peg 3: there is no bar from peg 4 to peg 5 here",
    ),
    (
        (ON, LiftBar(S, PegNumber(3), (PegNumber(3), PegNumber(5)))),
        Rule.BAR,
        "leg, peg 3: there is no bar from peg 3 to peg 5 here",
    ),
    (
        (ON, Hold(S, Holder.FAR, pegs(3)), LiftBar(S, PegNumber(3), (PegNumber(3), PegNumber(4)))),
        Rule.BAR,
        "leg, peg 3: the bar needs one loop on its peg to be worked with",
    ),
    (
        (ON, Shift(S, PegNumber(3), PegNumber(5))),
        Rule.SHIFT,
        "leg, peg 5: the loop is moved past a peg",
    ),
    (
        (ON, Hold(S, Holder.FAR, pegs(2)), Shift(S, PegNumber(3), PegNumber(2))),
        Rule.SHIFT,
        "leg, peg 2: the neighbour has not one loop",
    ),
    (
        (ON, Hold(S, Holder.FAR, pegs(3)), Shift(S, PegNumber(3), PegNumber(2))),
        Rule.SHIFT,
        "leg, peg 3: 0 loop(s) on the peg, not one",
    ),
    (
        (ON, TakeOff(S, Needle.BACK, pegs(3, 3))),
        Rule.TAKE_OFF,
        "leg, peg 3: 0 loop(s) on the peg, not one",
    ),
    # Grafting: after the cast-on the yarn hangs at peg 8.
    (
        (
            ON,
            TakeOff(S, Needle.FRONT, pegs(1, 2)),
            TakeOff(S, Needle.BACK, pegs(8)),
            Graft(S, ((PegNumber(1), PegNumber(8)),)),
        ),
        Rule.GRAFT,
        "leg: 2 loops in front and 1 at the back",
    ),
    (
        (
            ON,
            TakeOff(S, Needle.FRONT, pegs(1)),
            TakeOff(S, Needle.BACK, pegs(8)),
            Graft(S, ((PegNumber(2), PegNumber(8)),)),
        ),
        Rule.GRAFT,
        "leg, peg 2: the loop is not the next one on its needle",
    ),
    (
        (
            ON,
            TakeOff(S, Needle.FRONT, pegs(1)),
            TakeOff(S, Needle.BACK, pegs(7)),
            Graft(S, ((PegNumber(1), PegNumber(7)),)),
        ),
        Rule.YARN_JUMPS,
        "leg, peg 7: the yarn hangs at peg 8",
    ),
]


@pytest.mark.parametrize(("events", "rule", "sentence"), FAULTS)
def test_mistake_is_told_in_one_sentence(
    events: tuple[Event, ...], rule: Rule, sentence: str
) -> None:
    (text,) = said(*events)
    assert sentence in text
    assert text.endswith(f"(rule: {rule.value})")


def test_cross_over_an_empty_peg_is_told_and_then_the_empty_peg() -> None:
    assert said(ON, Hold(S, Holder.FAR, pegs(3)), up(1, "kRl")) == [
        "leg, row 1, peg 2: a strand of the cross has not one loop (rule: a cable cross is whole)",
        "leg, row 1, peg 3: cross on an empty peg (rule: a stitch needs a loop on its peg)",
    ]


def test_loom_without_a_cast_on_has_neither_yarn_nor_loops() -> None:
    texts = said(up(1, "kk"))
    assert [text.partition(" (")[0] for text in texts] == [
        "leg, row 1, peg 1: there is no yarn yet",
        "leg, row 1, peg 1: knit on an empty peg",
        "leg, row 1, peg 2: knit on an empty peg",
    ]


@pytest.mark.parametrize(
    ("events", "text"),
    [
        ((ON,), "leg, peg 1: 1 loop(s) left on the peg (rule: no loop is left behind)"),
        (
            (ON, Hold(S, Holder.NEAR, pegs(1, 2))),
            "leg: 2 loop(s) left on the near holder (rule: no loop is left behind)",
        ),
        (
            (ON, TakeOff(S, Needle.BACK, pegs(1))),
            "leg: 1 loop(s) left on the back needle (rule: no loop is left behind)",
        ),
    ],
)
def test_loop_left_at_the_end_is_told(events: tuple[Event, ...], text: str) -> None:
    rows = Rows(RING, events)
    assert text in [fault_text(rows, fault) for fault in knit_on_loom(rows).faults]


def test_loom_goes_on_after_a_mistake_and_tells_all() -> None:
    texts = said(ON, up(1, "kxkbkdkW"), up(2, "k"))
    assert [text.partition(":")[0] for text in texts] == [
        "leg, row 1, peg 2",
        "leg, row 1, peg 4",
        "leg, row 1, peg 6",
        "leg, row 1, peg 8",
        "leg, row 1, peg 2",
    ]


def test_states_tell_yarn_pegs_holders_and_needles_after_each_event() -> None:
    rows = Rows(
        RING,
        (
            ON,
            up(1, "kkkk"),
            Hold(S, Holder.NEAR, pegs(1, 2)),
            Hold(S, Holder.FAR, pegs(8)),
            LiftBar(S, PegNumber(5), (PegNumber(5), PegNumber(6))),
            TakeOff(S, Needle.FRONT, pegs(7)),
            TakeOff(S, Needle.BACK, pegs(4)),
            Graft(S, ((PegNumber(7), PegNumber(4)),)),
        ),
    )
    assert knit_on_loom(rows).states == (
        State(PegNumber(8), 8, 8, 0, 0, 0, 0),
        State(PegNumber(4), 8, 8, 0, 0, 0, 0),
        State(PegNumber(4), 6, 6, 2, 0, 0, 0),
        State(PegNumber(4), 5, 5, 2, 1, 0, 0),
        State(PegNumber(4), 5, 6, 2, 1, 0, 0),
        State(PegNumber(4), 4, 5, 2, 1, 1, 0),
        State(PegNumber(4), 3, 4, 2, 1, 1, 1),
        State(None, 3, 4, 2, 1, 0, 0),
    )


def test_trace_follows_each_loop_to_the_one_drawn_through_it() -> None:
    trace = knit_on_loom(Rows(RING, (CastOn(S, pegs(1, 2, 3)), down(3, "spk"), up(1, "se"))))
    assert trace.letter == ("c", "c", "c", "p", "k", "e")
    assert trace.born_peg == (1, 2, 3, 2, 1, 2)
    assert trace.born_event == (0, 0, 0, 1, 1, 2)
    assert trace.drawn_through == ((), (), (), (1,), (0,), (3,))
