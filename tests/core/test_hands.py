"""The left-handed sock: the mirror image of any sock, proved in its own right."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings

from charts.hands import Hand, edition_words, for_hand, hand_of, mirror_image
from charts.loom import Working
from charts.pattern_file import read_pattern
from charts.plain_text import steps_text
from charts.plan import make_plan, second_sock
from charts.problems import PatternError
from charts.reader import Ring, read_steps_text
from charts.rows import Event, Graft, Hold, Holder, Rehang, Row, Section, TakeOff
from charts.sizes import knit_sizes
from charts.spec import Leg, SockSpec
from charts.steps import MoveStep, RowStep, Steps, make_steps
from charts.verify import Knit

from .socks import problems_of, proved, sock, specs

SAMPLES = Path(__file__).parents[2] / "samples"

OTHER_LEAN = {"R": "L", "L": "R", "r": "l", "l": "r", "/": "\\", "\\": "/"}
"""What a mirror makes of a stitch that leans; all others are their own image."""


def swapped(event: Event) -> Event:
    """The row or move in a mirror, its pegs as they are numbered there: the same ones."""
    if isinstance(event, Row):
        letters = "".join(OTHER_LEAN.get(letter, letter) for letter in event.stitches)
        return replace(event, stitches=letters)
    return event


SMALL = sock(16, motif=("Rl",), leg=Leg(1, "m"))
"""16 pegs of 5/8 in: heel 10, turn 4, gussets 3, instep 6, a panel of 2 between 2 and 2."""


def small_left() -> Knit:
    return proved(mirror_image(SMALL))


# Worked by hand.


def test_a_small_left_handed_sock_is_the_one_worked_by_hand() -> None:
    """The right cross is a left one; round the ring its stronger strand now comes first, from the
    right.  Heel pegs are 1–10 as before, seen from the right; toe pegs 2–9."""
    spec = mirror_image(SMALL)
    assert spec.loom.working is Working.RIGHT_TO_LEFT
    assert spec.motifs["m"].rows == ("rL",)
    knit = proved(spec)
    (leg,) = knit.rows.of(Section.LEG)
    assert isinstance(leg, Row)
    assert leg.pegs == tuple(range(1, 17))
    assert leg.stitches == "k" * 12 + "Lr" + "kk"
    holds = [event for event in knit.rows.events if isinstance(event, Hold)]
    assert [(each.holder, each.pegs) for each in holds] == [
        (Holder.NEAR, (1, 2, 3)),
        (Holder.FAR, (10, 9, 8)),
    ]
    rehung = [event for event in knit.rows.events if isinstance(event, Rehang)]
    assert [each.pegs for each in rehung] == [(1, 2, 3), (10, 9, 8)]
    front, back = (event for event in knit.rows.events if isinstance(event, TakeOff))
    assert front.pegs == (1, 16, 15, 14, 13, 12, 11, 10)
    assert back.pegs == (9, 8, 7, 6, 5, 4, 3, 2)
    (graft,) = (event for event in knit.rows.events if isinstance(event, Graft))
    assert graft.pairs[0] == (1, 2)
    assert graft.pairs[-1] == (10, 9)


def test_its_steps_are_told_for_the_left_hand() -> None:
    steps = {part.part.value: part for part in make_steps(small_left())}
    cuff, leg = steps["cuff"], steps["leg"]
    assert [step.to_right for step in cuff.steps if isinstance(step, RowStep)] == [False]
    (row,) = (step for step in leg.steps if isinstance(step, RowStep))
    assert row.text == "pegs 1–12 knit, 13–14 cross left with right 1 over left 1, 15–16 knit."
    assert not row.to_right
    flap = [step for step in steps["flap"].steps if isinstance(step, RowStep)]
    assert (flap[1].text, flap[1].to_right) == ("peg 10 slip, 9–1 knit.", True)
    assert moves(steps["turn"].steps)[:2] == [
        "Put the 3 loops of pegs 1–3 on the right holder, peg 1 first, so that the loop of peg 3 "
        "comes off first.",
        "Put the 3 loops of pegs 10–8 on the left holder, peg 10 first, so that the loop of peg 8 "
        "comes off first.",
    ]
    assert "right edge on pegs 1–3" in moves(steps["foot"].steps)[0]
    assert "left edge on pegs 10–8" in moves(steps["foot"].steps)[1]
    assert "the leg that is on the left as you see it" in moves(steps["closing"].steps)[0]


def moves(steps: Iterator[object] | tuple[object, ...]) -> list[str]:
    return [step.text for step in steps if isinstance(step, MoveStep)]


# Any sock at all.


@settings(max_examples=300, deadline=None)
@given(specs())
def test_mirrored_twice_a_spec_is_itself_again(spec: SockSpec) -> None:
    mirror = mirror_image(spec)
    assert mirror.loom.working is not spec.loom.working
    assert mirror_image(mirror) == spec
    assert second_sock(mirror) == mirror_image(second_sock(spec))


@settings(max_examples=150, deadline=None)
@given(specs())
def test_the_mirror_image_is_refused_for_the_same_keys(spec: SockSpec) -> None:
    mirror = problems_of(mirror_image(spec))
    assert [each.key for each in mirror] == [each.key for each in problems_of(spec)]


@settings(max_examples=150, deadline=None)
@given(specs(fitting=True))
def test_the_mirror_image_is_proved_where_the_sock_is(spec: SockSpec) -> None:
    """Row by row and move by move: the same pegs in the same order, every lean swapped."""
    try:
        make_plan(spec)
    except PatternError:
        with pytest.raises(PatternError):
            make_plan(mirror_image(spec))
        return
    knit, mirror = proved(spec), proved(mirror_image(spec))
    assert mirror.rows.events == tuple(map(swapped, knit.rows.events))
    assert mirror.counts == knit.counts


@settings(max_examples=60, deadline=None)
@given(specs(fitting=True))
def test_the_steps_in_words_read_back_and_mirrored_are_the_steps_of_the_sock(
    spec: SockSpec,
) -> None:
    if problems_of(spec):
        return
    knit, mirror = proved(spec), proved(mirror_image(spec))
    read = read_steps_text(steps_text(mirror, make_steps(mirror)))
    assert read.ring == Ring(spec.loom.pegs, mirror.plan.loom.working)
    assert tuple(map(swapped, read.events)) == knit.rows.events


def test_every_sample_is_mirrored_size_by_size() -> None:
    text = (SAMPLES / "three-looms.toml").read_text(encoding="utf-8")
    written = knit_sizes(text)
    found = knit_sizes(text, asked=lambda spec: for_hand(spec, Hand.LEFT))
    assert len(found.sizes) == len(written.sizes) > 1
    for size, mirror in zip(written.sizes, found.sizes, strict=True):
        assert mirror.name == size.name
        assert mirror.knit.rows.events == tuple(map(swapped, size.knit.rows.events))
        assert mirror.second.rows.events == tuple(map(swapped, size.second.rows.events))
        assert mirror.fitted.foot == size.fitted.foot


# Words.

SAME_IN_A_MIRROR = ("no loop is left", "what is left on both", "no hole is left")
"""Where the word is no side."""
SIDES = {"left": "right", "right": "left", "Left": "Right", "Right": "Left"}


def told(steps: Steps) -> Iterator[str]:
    """Everything the steps say, with an arrow where a row has one."""
    for part in steps:
        yield part.starts.text
        for step in part.steps:
            arrow = ("→ " if step.to_right else "← ") if isinstance(step, RowStep) else ""
            yield arrow + step.text
        yield part.ends.text
        yield part.counting


def word_swapped(text: str) -> str:
    """Left for right and right for left, word by word; arrows too."""
    for phrase in SAME_IN_A_MIRROR:
        text = text.replace(phrase, phrase.replace("left", "LEFT"))
    words = [
        "".join(SIDES.get(piece, piece) for piece in _pieces(word)) for word in text.split(" ")
    ]
    turned = " ".join(words).translate({ord("→"): "←", ord("←"): "→"})
    return turned.replace("LEFT", "left")


def _pieces(word: str) -> list[str]:
    bare = word.rstrip(".,;:")
    return [bare, word[len(bare) :]]


@pytest.mark.parametrize("name", ["ember", "millstream", "reed-bank"])
def test_each_sample_tells_the_same_with_left_and_right_exchanged(name: str) -> None:
    spec = read_pattern((SAMPLES / f"{name}.toml").read_text(encoding="utf-8"))
    assert_words_exchanged(spec)


@settings(max_examples=60, deadline=None)
@given(specs(fitting=True))
def test_any_sock_tells_the_same_with_left_and_right_exchanged(spec: SockSpec) -> None:
    if not problems_of(spec):
        assert_words_exchanged(spec)


def assert_words_exchanged(spec: SockSpec) -> None:
    plain = list(told(make_steps(proved(spec))))
    mirror = list(told(make_steps(proved(mirror_image(spec)))))
    assert mirror == [word_swapped(text) for text in plain]
    assert any(one != other for one, other in zip(plain, mirror, strict=True))


# Which hand.


def test_a_sock_that_is_worked_so_already_is_left_as_it_is() -> None:
    left = mirror_image(SMALL)
    assert hand_of(SMALL.loom) is Hand.RIGHT
    assert hand_of(left.loom) is Hand.LEFT
    assert for_hand(SMALL, Hand.LEFT) == left
    assert for_hand(left, Hand.LEFT) is left
    assert for_hand(SMALL, None) is SMALL
    assert for_hand(left, Hand.RIGHT) == SMALL


def test_the_edition_is_named_only_if_all_of_it_is_left_handed() -> None:
    left = mirror_image(SMALL)
    assert edition_words(SMALL.loom) == ""
    assert edition_words(left.loom) == "left-handed edition"
    assert edition_words(left.loom, left.loom) == "left-handed edition"
    assert edition_words(left.loom, SMALL.loom) == ""
