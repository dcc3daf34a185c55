"""Steps and plans of several sizes in one, as a printed pattern has them; read back for each."""

import re
from dataclasses import replace
from types import MappingProxyType

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from charts.loom import Working
from charts.parts import Part
from charts.plan import PlanLine
from charts.problems import PatternError
from charts.reader import ReadError, StepLine, StepsPart, read_steps
from charts.reader_sizes import (
    SizedStepLine,
    SizedStepsPart,
    read_only,
    read_size,
    unsize,
)
from charts.rows import Graft
from charts.sized_steps import make_sized_lines, make_sized_steps
from charts.sized_words import (
    Segment,
    form_of,
    merge_texts,
    same_forms,
    sized,
    sized_text,
)
from charts.spec import Cuff, Flanks, Foot, Gusset, Heel, Leftover, Leg, Motif, ShortRows, Toe
from charts.steps import (
    Checkpoint,
    MoveStep,
    RepeatStep,
    RowStep,
    ThreadStep,
    make_part_steps,
    make_steps,
)
from tests.core.socks import loom, proved, sock, specs

SML = ("S", "M", "L")


# Values and texts.


@pytest.mark.parametrize(
    ("values", "printed"),
    [
        ((24, 28, 32), "24 (28, 32)"),
        ((24, 24, 24), "24"),
        ((24, 24, 32), "24 (24, 32)"),
        (("2–25", "2–29"), "2–25 (2–29)"),
        (("–", 28, 28), "– (28, 28)"),
        ((7,), "7"),
    ],
)
def test_values_stand_smallest_size_first_the_others_in_brackets(values, printed):
    assert sized(values) == printed
    assert sized_text(values).text == printed


MERGED = [
    # A number that all agree on stands once, a run is bracketed as a whole.
    (
        ("pegs 2–25 knit, 26 purl.", "pegs 2–29 knit, 30 purl."),
        "pegs 2–25 (2–29) knit, 26 (30) purl.",
    ),
    (("peg 1 slip, 2–22 knit.", "peg 1 slip, 2–24 knit."), "peg 1 slip, 2–22 (2–24) knit."),
    # Nouns that differ stand in the brackets with their numbers.
    (("peg 1 knit.", "pegs 1–2 knit."), "peg 1 (pegs 1–2) knit."),
    (
        ("the 1 loop of peg 3", "the 2 loops of pegs 3–4"),
        "the 1 loop (2 loops) of peg 3 (pegs 3–4)",
    ),
    (("Row 9", "Rows 9–12"), "Row 9 (Rows 9–12)"),
    (("1 stitch", "12 stitches"), "1 stitch (12 stitches)"),
    # Left and right where they tell a side, an arrow, the pair of a graft.
    (("on the left holder", "on the right holder"), "on the left (right) holder"),
    (("with the right on top", "with the left on top"), "with the right (left) on top"),
    (("→", "←"), "→ (←)"),
    (("12+13", "9+10"), "12+13 (9+10)"),
    # What a plan says besides: lengths, thirds, ribs, signs, decimals, thousands.
    (("3/8 in apart", "1/4 in apart"), "3/8 (1/4) in apart"),
    (("3/8 in apart", "9.5 mm apart"), "3/8 in (9.5 mm) apart"),
    (("1 1/4 in apart", "3/8 in apart"), "1 1/4 (3/8) in apart"),
    (("6 / 6 / 6", "6 / 8 / 6"), "6 / 6 / 6 (6 / 8 / 6)"),
    (("k2 p2 is", "k3 p2 k1 p2 is"), "k2 p2 (k3 p2 k1 p2) is"),
    (("rows, −3 mm", "rows, +2 mm"), "rows, −3 (+2) mm"),
    (("19.5 cm, 1,020 m", "21.25 cm, 998 m"), "19.5 (21.25) cm, 1,020 (998) m"),
    (("(22 − 18) / 2", "(24 − 20) / 2"), "(22 (24) − 18 (20)) / 2"),
    (("0 pegs", "1 peg"), "0 pegs (1 peg)"),
    # A name in quotes is no value.
    (("'2 (3)' is 6 wide", "'2 (3)' is 8 wide"), "'2 (3)' is 6 (8) wide"),
    (("adults' 2.9, children's 3", "adults' 3, children's 3"), "adults' 2.9 (3), children's 3"),
]


@pytest.mark.parametrize(("texts", "merged"), MERGED)
def test_texts_of_one_form_are_merged_and_read_back(texts, merged):
    assert form_of(texts[0]) == form_of(texts[1])
    assert merge_texts(texts).text == merged
    for index, text in enumerate(texts):
        assert unsize(merged, index, 2) == text


@pytest.mark.parametrize(
    ("text", "other"),
    [
        ("pegs 1–8 knit.", "pegs 1–8 purl."),
        ("pegs 1–8 knit.", "pegs 1–6 knit, 7–8 knit."),
        ("peg 8 knit.", "Peg 8 knit."),
        ("peg 8 knit.", "row 8 knit."),
        ("cross right with left 2 over right 2", "cross left with right 2 over left 2"),
        ("'rope' is 6 wide", "'reed' is 6 wide"),
        ("'3' is 6 wide", "'4' is 6 wide"),
        ("2 loops", "2 pegs"),
    ],
)
def test_texts_that_differ_in_words_are_not_merged(text, other):
    assert same_forms((text, other, None, text)) == ((0, 3), (1,))
    with pytest.raises(ValueError, match="not of one form"):
        merge_texts((text, other))


def test_a_dash_stands_for_a_size_that_the_text_is_not_for():
    texts = (None, "pegs 2–8 knit, 9 purl.", "pegs 2–8 knit, 10 purl.")
    assert merge_texts(texts).text == "pegs 2–8 knit, – (9, 10) purl."
    assert merge_texts(texts, gaps=True).text == "pegs – (2–8, 2–8) knit, – (9, 10) purl."
    assert merge_texts((None, "Row 9", "Rows 9–12"), gaps=True).text == "– (Row 9, Rows 9–12)"
    assert merge_texts(("Row 9", None), gaps=True).text == "Row 9 (–)"


def test_the_marked_size_is_marked_where_the_sizes_differ():
    texts = ("pegs 2–25 knit, 1 purl.", "pegs 2–29 knit, 1 purl.", None)
    assert merge_texts(texts, mark=1).segments == (
        Segment("pegs 2–25 (", False),
        Segment("2–29", True),
        Segment(", –) knit, 1 purl.", False),
    )
    assert merge_texts(texts, mark=2).segments == (
        Segment("pegs 2–25 (2–29, –) knit, 1 purl.", False),
    )
    assert sized_text((24, 28), mark=0).segments == (Segment("24", True), Segment(" (28)", False))
    assert sized_text((24, 24), mark=0).segments == (Segment("24", False),)


# The printed form, field by field as a page shows it.


def printed(parts):
    return tuple(
        SizedStepsPart(
            part.part.title,
            (
                *printed_notes("Check", part.starts),
                *map(printed_step, part.steps),
                *printed_notes("Check", part.ends),
                *printed_notes("Count", part.counting),
            ),
        )
        for part in parts
    )


def printed_notes(label, notes):
    return [SizedStepLine(note.text.text, label, only=note.only) for note in notes]


def printed_step(step):
    kind = next(type(own) for own in step.own if own is not None)
    return SizedStepLine(
        step.text.text,
        "Check" if kind is Checkpoint else step.label.text,
        step.arrow.text,
        step.count.text,
        tuple(pair.text for pair in step.pairs),
        step.only,
    )


def own_printed(knit):
    """The sock's own steps as a page for it alone prints them."""
    return tuple(
        StepsPart(
            part.part.title,
            (
                StepLine(part.starts.text, "Check"),
                *map(own_line, part.steps),
                StepLine(part.ends.text, "Check"),
                StepLine(part.counting, "Count"),
            ),
        )
        for part in make_steps(knit)
    )


def own_line(step):
    match step:
        case Checkpoint():
            return StepLine(step.text, "Check")
        case MoveStep(move=Graft(pairs=pairs)):
            return StepLine(step.text, pairs=" ".join(f"{front}+{back}" for front, back in pairs))
        case MoveStep() | ThreadStep():
            return StepLine(step.text)
        case RepeatStep():
            return StepLine(step.text, step.label)
        case RowStep():
            count = f"{step.stitches} stitch" + "es" * (step.stitches != 1)
            arrow = "→" if step.to_right else "←"
            return StepLine(step.text, step.label, arrow, count * step.shaped)


def check_reads_back(knits, names, mark=None):
    """Every size, read out of the page for all, is its own page, and its own proved rows."""
    parts = make_sized_steps(knits, names, mark=mark)
    page = printed(parts)
    for index, knit in enumerate(knits):
        own = read_size(page, index, names)
        assert own == own_printed(knit)
        assert read_steps(own).events == knit.rows.events
    for part in parts:
        for step in part.steps:
            there = [index for index, own in enumerate(step.own) if own is not None]
            assert read_only(step.only, names) == set(there)
            assert [bool(count) for count in step.box_counts] == [
                own is not None and not isinstance(own, Checkpoint) for own in step.own
            ]
    return parts


def lines_of(parts, part):
    """Steps of one part as one string each: label, arrow, text, count, boxes, sizes."""
    (found,) = [one for one in parts if one.part is part]
    return [
        " | ".join(
            field
            for field in (
                f"{step.label.text} {step.arrow.text}".strip(),
                step.text.text,
                step.count.text,
                step.boxes_text,
                step.only,
            )
            if field
        )
        for step in found.steps
    ]


# Three sizes of one plain sock, worked by hand.
#
#   pegs               36   40   48   all 3/8 in apart: half and 4 more make the heel
#   heel               22   24   28
#   instep             14   16   20
#   turn                8    8   10   nearest third that is even
#   gusset              7    8    9
#   flap, turn rows    14   16   18
#   toe                18   20   24
#   toe, each side      6    6    8   a third, rounded down
#   toe begins after    2    2    2   (22 - 18) / 2 and so on: pegs 3-20, 3-22, 3-26


def plain(pegs, foot_rows, **sections):
    return sock(pegs, "3/8 in", cuff=Cuff(12), leg=Leg(20), foot=Foot(foot_rows), **sections)


THREE = tuple(proved(plain(*counts)) for counts in ((36, 44), (40, 50), (48, 56)))


def test_three_sizes_of_a_plain_sock():
    parts = check_reads_back(THREE, SML)
    assert not any(step.only for part in parts if part.part is not Part.TOE for step in part.steps)
    assert lines_of(parts, Part.CUFF) == [
        "Cast on 36 (40, 48) pegs, 1–36 (1–40, 1–48): slip knot on peg 1; then wrap each of pegs "
        "2–36 (2–40, 2–48) twice from the inside and lift its lower loop over before "
        "going to the next.",
        "yarn at peg 36 (40, 48); all 36 (40, 48) pegs live",
        "Rows 1–12 → | pegs 1–2 knit, 3–4 purl; repeat to peg 36 (40, 48).",
    ]
    assert lines_of(parts, Part.LEG) == ["Rows 1–20 → | pegs 1–36 (1–40, 1–48) knit."]
    # The middle of the instep: 7, 8 and 10 pegs on from the heel.
    assert lines_of(parts, Part.FLAP) == [
        "Tie a contrasting thread to the loop of instep peg 29 (32, 38); leave it there: the "
        "foot’s rows are counted from it.",
        "Row 1 → | pegs 1–22 (1–24, 1–28) knit. | 22 (24, 28) stitches",
        "Row 2 ← | peg 22 (24, 28) slip, 21–1 (23–1, 27–1) knit. | 21 (23, 27) stitches",
        "Row 3 → | peg 1 slip, 2–22 (2–24, 2–28) knit. | 21 (23, 27) stitches",
        "Rows 4–13 (4–15, 4–17) | repeat rows 2–3, 5 (6, 7) times more. | 10 (12, 14) boxes",
        "Row 14 (16, 18) | work as row 2.",
        "Partial row → | peg 1 slip, 2–8 (2–9, 2–10) knit. | 7 (8, 9) stitches",
    ]
    assert lines_of(parts, Part.TURN) == [
        "Put the 7 (8, 9) loops of pegs 1–7 (1–8, 1–9) on the left holder, peg 1 first, so that "
        "the loop of peg 7 (8, 9) comes off first.",
        "Put the 7 (8, 9) loops of pegs 22–16 (24–17, 28–20) on the right holder, peg 22 (24, 28) "
        "first, so that the loop of peg 16 (17, 20) comes off first.",
        "yarn at peg 8 (9, 10); 8 (8, 10) live pegs at the heel, 14 (16, 20) waiting on the "
        "instep; 7 (8, 9) loops on each holder",
        "Row 1 → | pegs 9–14 (10–15, 11–18) knit, 15 (16, 19) knit and join. | 8 (8, 10) stitches",
        "Row 2 ← | pegs 15–9 (16–10, 19–11) knit, 8 (9, 10) knit and join. | 9 (9, 11) stitches",
        "Row 3 → | pegs 8–14 (9–15, 10–18) knit, 15 (16, 19) knit and join. | 9 (9, 11) stitches",
        "Rows 4–13 (4–15, 4–17) | repeat rows 2–3, 5 (6, 7) times more. | 10 (12, 14) boxes",
        "Row 14 (16, 18) | work as row 2.",
    ]
    assert lines_of(parts, Part.FOOT) == [
        "Hang the 7 (8, 9) edge loops of the heel flap’s left edge on pegs 1–7 (1–8, 1–9): the "
        "oldest, nearest the leg, on peg 1, the newest, joined last, on peg 7 (8, 9); both legs "
        "of a loop go "
        "over its peg and count as one.",
        "Hang the 7 (8, 9) edge loops of the heel flap’s right edge on pegs 22–16 (24–17, 28–20): "
        "the oldest, nearest the leg, on peg 22 (24, 28), the newest, joined last, on peg "
        "16 (17, 20); both legs of a loop go over its peg and count as one.",
        "Lift the bar between pegs 7 (8, 9) and 8 (9, 10) onto peg 8 (9, 10).",
        "Lift the bar between pegs 15 (16, 19) and 16 (17, 20) onto peg 15 (16, 19).",
        "yarn at peg 8 (9, 10); all 36 (40, 48) pegs live; 38 (42, 50) loops on them, the lifted "
        "bars counted",
        "Row 1 → | peg 8 (9, 10) knit loop and lifted bar as one, 9–14 (10–15, 11–18) knit, 15 "
        "(16, 19) knit loop and lifted bar as one, 16–36 (17–40, 20–48) knit.",
        "Rows 2–44 (2–50, 2–56) → | pegs 1–36 (1–40, 1–48) knit. | 43 (49, 55) boxes",
        "Run on → | pegs 1–2 knit.",
    ]


def test_narrowing_rows_stand_with_narrowing_rows_and_widening_with_widening():
    toe = lines_of(make_sized_steps(THREE, SML), Part.TOE)
    # 12 narrowing rows of all sizes, 4 of L; 12 widening rows of all, 4 of L.
    only = ["", "size L only", "", "size L only"]
    runs = [only[which] for which, count in enumerate((12, 4, 12, 4)) for _ in range(count)]
    assert ["size L only" if line.endswith("only") else "" for line in toe] == runs
    assert toe[0] == (
        "Row 1 → | pegs 3–19 (3–21, 3–25) knit, 20 (22, 26) knit and turn. | 18 (20, 24) stitches"
    )
    assert toe[11:18] == [
        "Row 12 ← | pegs 14–9 (16–9, 20–9) knit, 8 knit and turn. | 7 (9, 13) stitches",
        "Row – (–, 13) → | pegs 9–19 knit, 20 knit and turn. | 12 stitches | size L only",
        "Row – (–, 14) ← | pegs 19–10 knit, 9 knit and turn. | 11 stitches | size L only",
        "Row – (–, 15) → | pegs 10–18 knit, 19 knit and turn. | 10 stitches | size L only",
        "Row – (–, 16) ← | pegs 18–11 knit, 10 knit and turn. | 9 stitches | size L only",
        "Row 13 (13, 17) → | pegs 9–14 (9–16, 11–18) knit, 15 (17, 19) knit both strands as one."
        " | 7 (9, 9) stitches",
        "Row 14 (14, 18) ← | pegs 14–9 (16–9, 18–11) knit, 8 (8, 10) knit both strands as one."
        " | 7 (9, 9) stitches",
    ]
    assert toe[-1] == (
        "Row – (–, 32) ← | pegs 25–4 knit, 3 knit both strands as one. | 23 stitches | size L only"
    )


def test_closing_has_a_tick_box_for_each_pair_of_the_largest_size():
    (closing,) = [part for part in make_sized_steps(THREE, SML) if part.part is Part.CLOSING]
    front, back, graft = closing.steps
    assert front.text.text == (
        "From inside the ring take the 18 (20, 24) loops of pegs 2–1, 36–21 (40–23, 48–27) onto "
        "the front needle, in this order; of each loop the leg that is on the right as you see it "
        "from outside lies in front."
    )
    assert back.text.text.startswith(
        "From inside the ring take the 18 (20, 24) loops of pegs 20–3 (22–3, 26–3) onto the back"
    )
    assert graft.text.text == (
        "Graft 18 (20, 24) pairs of loops, peg 2 with peg 3 first and peg 21 (23, 27) with peg 20 "
        "(22, 26) last: 72 (80, 96) needle passes."
    )
    pairs = [pair.text for pair in graft.pairs]
    assert len(pairs) == 24
    assert pairs[:3] == ["2+3", "1+4", "36+5 (40+5, 48+5)"]
    assert pairs[17:21] == [
        "21+20 (25+20, 33+20)",
        "– (24+21, 32+21)",
        "– (23+22, 31+22)",
        "– (–, 30+23)",
    ]


def test_checkpoints_and_how_to_count_are_merged():
    parts = {part.part: part for part in make_sized_steps(THREE, SML)}
    (starts,), (ends,) = parts[Part.CUFF].starts, parts[Part.CLOSING].ends
    assert starts.text.text == "the loom is empty"
    assert ends.text.text == "both needles are empty; no loop is left"
    (flap,) = parts[Part.FLAP].ends
    assert (flap.text.text, flap.only) == ("yarn at peg 8 (9, 10); all 36 (40, 48) pegs live", "")
    (count,) = parts[Part.TOE].counting
    assert count.text.text == (
        "After the narrowing 6 (6, 8) pegs are turned at each side, with 6 (8, 8) plain between "
        "them; each widening row clears one."
    )


def test_the_most_boxes_of_any_size_are_told_with_those_of_each():
    (flap,) = [part for part in make_sized_steps(THREE, SML) if part.part is Part.FLAP]
    repeat = flap.steps[4]
    assert (repeat.box_counts, repeat.boxes) == ((10, 12, 14), 14)
    assert repeat.boxes_text == "10 (12, 14) boxes"
    assert [step.boxes_text for step in flap.steps].count("") == 6


def test_one_size_can_be_marked_in_every_text():
    marked = make_sized_steps(THREE, SML, mark=1)
    assert printed(marked) == printed(make_sized_steps(THREE, SML))
    found = []
    for part in marked:
        for step in part.steps:
            for text in (step.label, step.arrow, step.text, step.count, *step.pairs):
                found += [segment.text for segment in text.segments if segment.marked]
                # Nothing is marked that the size's own step does not say.
                assert step.own[1] is not None or not any(one.marked for one in text.segments)
    assert found[:4] == ["40", "1–40", "2–40", "40"]
    (line,) = [
        line
        for line in make_sized_lines(tuple(knit.plan for knit in THREE), SML, mark=2)
        if line.name == "heel pegs"
    ]
    assert line.value.segments == (
        Segment("22 (24, ", False),
        Segment("28", True),
        Segment(")", False),
    )


def test_plan_lines_are_merged_with_their_reasons():
    lines = {line.name: line for line in make_sized_lines(tuple(knit.plan for knit in THREE), SML)}
    assert [line.only for line in lines.values()] == [""] * len(lines)

    def shown(name):
        line = lines[name]
        return (
            line.value.text,
            *(f"{one.only}: {one.text.text}".removeprefix(": ") for one in line.reasons),
        )

    assert shown("pegs") == ("36 (40, 48)", "the loom, 3/8 in apart")
    assert shown("rib") == ("k2 p2", "36 (40, 48) pegs = 9 (10, 12) times 4")
    assert shown("heel pegs") == ("22 (24, 28)", "half of 36 (40, 48), plus 4 for a 3/8 in loom")
    assert shown("turn pegs (centre)") == (
        "8 (8, 10)",
        "the even number nearest to a third of 22 (24, 28)",
    )
    assert shown("toe: side / centre / side") == (
        "6 / 6 / 6 (6 / 8 / 6, 8 / 8 / 8)",
        "sizes S (L) only: a third of 18 (–, 24)",
        "size M only: a third of 20, rounded down: blunt",
    )
    assert shown("pegs before the toe") == (
        "2",
        "(22 (24, 28) − 18 (20, 24)) / 2 centre it under the heel",
    )


def test_a_line_that_one_size_has_is_told_for_it_alone():
    plans = [proved(sock(pegs, cuff=Cuff(2, leftover=Leftover.KNIT))).plan for pegs in (24, 25)]
    lines = {line.name: line for line in make_sized_lines(tuple(plans), ("S", "M"))}
    decrease = lines["decrease before the toe"]
    assert (decrease.only, decrease.value.text) == ("size M only", "1")
    assert lines["rib"].value.text == "k2 p2"
    assert [one.only for one in lines["rib"].reasons] == ["size S only", "size M only"]
    names = list(lines)
    assert names.index("toe rows") + 1 == names.index("decrease before the toe")


def test_values_of_different_form_are_bracketed_as_a_whole():
    plan = THREE[0].plan
    fits = replace(plan, lines=(PlanLine("fit", "fits", "as aimed at"),))
    loose = replace(plan, lines=(PlanLine("fit", "loose by 2 cm", "2 cm more"),))
    (line,) = make_sized_lines((fits, loose), ("S", "M"))
    assert line.value.text == "fits (loose by 2 cm)"


# Looms, panels and shifts that differ.


def test_two_looms_of_different_spacing():
    """40 pegs at 3/8 in: heel 20 + 4, gusset 8; 48 at 1/4 in: heel 24 + 6, turn 10, gusset 10."""
    knits = (proved(sock(40, "3/8 in")), proved(sock(48, "1/4 in")))
    parts = check_reads_back(knits, ("wide", "fine"))
    assert lines_of(parts, Part.FLAP)[4:] == [
        "Rows 4–15 (4–19) | repeat rows 2–3, 6 (8) times more. | 12 (16) boxes",
        "Row 16 (20) | work as row 2.",
        "Partial row → | peg 1 slip, 2–9 (2–11) knit. | 8 (10) stitches",
    ]
    lines = {
        line.name: line
        for line in make_sized_lines(tuple(knit.plan for knit in knits), ("wide", "fine"))
    }
    assert lines["pegs"].reasons[0].text.text == "the loom, 3/8 (1/4) in apart"
    assert lines["heel pegs"].reasons[0].text.text == (
        "half of 40 (48), plus 4 (6) for a 3/8 (1/4) in loom"
    )


def test_looms_worked_either_way_share_lines_with_arrows_and_sides_bracketed():
    knits = (
        proved(sock(24)),
        proved(sock(24, working=Working.RIGHT_TO_LEFT)),
        proved(sock(28, working=Working.RIGHT_TO_LEFT)),
    )
    parts = check_reads_back(knits, SML)
    assert not any(step.only for part in parts[:-2] for step in part.steps)
    turn = lines_of(parts, Part.TURN)
    assert turn[0].startswith("Put the 5 loops of pegs 1–5 on the left (right, right) holder")
    assert turn[4] == (
        "Row 2 ← (→, →) | pegs 9–7 (9–7, 11–7) knit, 6 knit and join. | 5 (5, 7) stitches"
    )


def test_panels_of_one_kind_share_lines_whatever_their_width():
    motifs = ("pRlp", "pkkp"), ("pRRllp", "pkkkkp")
    knits = tuple(
        proved(sock(40, "3/8 in", motif=motif, leg=Leg(8, "m", round_start_shift=0)))
        for motif in motifs
    )
    leg = lines_of(check_reads_back(knits, ("S", "M")), Part.LEG)
    # Instep 16, pegs 25-40; panel 4 (31-34) or 6 (30-35).
    assert leg == [
        "Row 1 → | pegs 1–30 (1–29) knit, 31 (30) purl, 32–33 (31–34) cross right with left 1 (2) "
        "over right 1 (2), 34 (35) purl, 35–40 (36–40) knit.",
        "Row 2 → | pegs 1–30 (1–29) knit, 31 (30) purl, 32–33 (31–34) knit, 34 (35) purl, 35–40 "
        "(36–40) knit.",
        "Rows 3–8 | repeat rows 1–2, 3 times more.",
    ]


def test_other_panels_have_blocks_of_their_own():
    rope, reeds = ("pRlp", "pkkp", "pRlp", "pkkp"), ("pkkp", "prLp", "pkkp", "pppp")
    legs = [(rope, 10), (reeds, 8), (reeds, 8)]
    knits = tuple(
        proved(sock(pegs, "3/8 in", motif=motif, leg=Leg(rows, "m", round_start_shift=0)))
        for pegs, (motif, rows) in zip((36, 40, 40), legs, strict=True)
    )
    leg = lines_of(check_reads_back(knits, SML), Part.LEG)
    labels = [line.split(" | ")[0] for line in leg]
    assert labels == [
        "Row 1 (–, –) →",
        "Row 2 (–, –) →",
        "Rows 3–10 (–, –)",
        "Row – (1, 1) →",
        "Row – (2, 2) →",
        "Row – (3, 3) →",
        "Row – (4, 4) →",
        "Rows – (5–8, 5–8)",
    ]
    assert leg[0].endswith("| size S only")
    # Both sizes agree on every number: no bracket.
    assert leg[3] == (
        "Row – (1, 1) → | pegs 1–30 knit, 31 purl, 32–33 knit, 34 purl, 35–40 knit. "
        "| sizes M (L) only"
    )


def test_one_other_row_of_a_panel_stands_beside_its_like():
    motifs = ("ppkp", "pRlp", "pkkp", "prLp"), ("kkkk", "pRlp", "pkkp", "prLp")
    knits = tuple(
        proved(sock(40, "3/8 in", motif=motif, leg=Leg(4, "m", round_start_shift=0)))
        for motif in motifs
    )
    leg = lines_of(check_reads_back(knits, ("S", "M")), Part.LEG)
    assert [line.split(" | ")[0] for line in leg] == [
        "Row 1 (–) →",
        "Row – (1) →",
        "Row 2 →",
        "Row 3 →",
        "Row 4 →",
    ]


def panelled(motif):
    spec = sock(40, "3/8 in", motif=motif, leg=Leg(len(motif), "m", round_start_shift=0))
    return proved(spec)


def test_rows_that_go_to_and_fro_between_sizes_are_put_into_blocks():
    """Rows 2 and 4 are alike, but 1 and 3 are not: S reads 1 to 3, M reads 1 to 3, both read 4."""
    knits = (
        panelled(("pRlp", "pkkp", "pRlp", "kkkk")),
        panelled(("prLp", "pkkp", "prLp", "kkkk")),
    )
    leg = lines_of(check_reads_back(knits, ("S", "M")), Part.LEG)
    assert [line.split(" | ")[0] for line in leg] == [
        *("Row 1 (–) →", "Row 2 (–) →", "Row 3 (–) →"),
        *("Row – (1) →", "Row – (2) →", "Row – (3) →"),
        "Row 4 →",
    ]


def test_blocks_are_parted_again_where_two_of_three_sizes_go_to_and_fro():
    """M and L share three rows of five, S none; row 6 is everyone's."""
    knits = (
        panelled(("kpkk", "kppk", "kpkk", "ppkk", "kpkk", "kkkk")),
        panelled(("pRlp", "pkkp", "pkpp", "pkkp", "pRlp", "kkkk")),
        panelled(("prLp", "pkkp", "pkpp", "pkkp", "prLp", "kkkk")),
    )
    leg = lines_of(check_reads_back(knits, SML), Part.LEG)
    assert [line.split(" | ")[0] for line in leg] == [
        *(f"Row {number} (–, –) →" for number in range(1, 6)),
        *(f"Row – ({number}, –) →" for number in range(1, 6)),
        *(f"Row – (–, {number}) →" for number in range(1, 6)),
        "Row 6 →",
    ]


def test_sizes_that_share_rows_by_turns_have_a_block_each():
    """Row 1 is alike in S and M, row 2 in S and L: no two go together in both."""
    knits = (panelled(("pRlp", "pkkp")), panelled(("pRlp", "kkkk")), panelled(("prLp", "pkkp")))
    leg = lines_of(check_reads_back(knits, SML), Part.LEG)
    assert [line.split(" | ")[0] for line in leg] == [
        *("Row 1 (–, –) →", "Row 2 (–, –) →"),
        *("Row – (1, –) →", "Row – (2, –) →"),
        *("Row – (–, 1) →", "Row – (–, 2) →"),
    ]


def test_of_moves_that_differ_in_words_the_smaller_size_comes_first():
    """A heel of half the pegs has the toe at the round's start: its loops come off in one run."""
    knits = (proved(sock(24, heel=Heel(12))), proved(sock(24)))
    closing = lines_of(check_reads_back(knits, ("S", "M")), Part.CLOSING)
    assert [line.split(" onto ")[0].split(" of ")[1] for line in closing[:3]] == [
        "pegs 24–13",
        "pegs 1, 24–14",
        "pegs 12–1 (13–2)",
    ]
    assert closing[0].endswith("| size S only")
    assert closing[1].endswith("| size M only")


def test_rows_folded_otherwise_do_not_share_a_line():
    """Rows 1 and 2 are equal in M only: its first line is "Rows 1–2"."""
    motifs = ("pkkp", "pkpp", "pkkp"), ("pkkp", "pkkp", "pRlp")
    knits = tuple(
        proved(sock(40, "3/8 in", motif=motif, leg=Leg(3, "m", round_start_shift=0)))
        for motif in motifs
    )
    leg = lines_of(check_reads_back(knits, ("S", "M")), Part.LEG)
    assert [line.split(" | ")[0] for line in leg] == [
        "Row 1 (–) →",
        "Row 2 (–) →",
        "Row 3 (–) →",
        "Rows – (1–2) →",
        "Row – (3) →",
    ]


def test_a_size_whose_round_start_moves_has_a_row_to_run_on():
    """36 pegs, instep 23-36, k2 p2: centred as it is.  40 pegs: after a move of 1, pegs 26-1."""
    knits = tuple(
        proved(sock(pegs, "3/8 in", leg=Leg(2, flanks=Flanks.RIB))) for pegs in (36, 40, 44)
    )
    parts = check_reads_back(knits, SML)
    assert lines_of(parts, Part.CUFF)[-1] == "Run on → | peg 1 knit. | size M only"
    (cuff,) = [part for part in parts if part.part is Part.CUFF]
    assert cuff.ends[0].text.text == "yarn at peg 36 (1, 44); all 36 (40, 44) pegs live"
    assert lines_of(parts, Part.FLAP)[3].startswith("Row 3 → | peg 1 (2, 1) slip, 2–22 (3–25, 2–")


def test_an_odd_ring_among_even_ones_has_its_decrease_alone():
    """25 pegs at 5/8 in: heel 14, gusset 5, toe 12 on pegs 2-13; peg 14 gives its loop to 13."""
    cuff = Cuff(2, leftover=Leftover.KNIT)
    knits = tuple(proved(sock(pegs, cuff=cuff, foot=Foot(6))) for pegs in (24, 25, 28))
    parts = check_reads_back(knits, SML)
    foot = lines_of(parts, Part.FOOT)[5:]
    assert foot == [
        "Row 1 → | peg 6 knit loop and lifted bar as one, 7–8 (7–8, 7–10) knit, 9 (9, 11) knit "
        "loop and lifted bar as one, 10–24 (10–25, 12–28) knit.",
        "Rows 2–6 (2–5, 2–6) → | pegs 1–24 (1–25, 1–28) knit. | 5 (4, 5) boxes",
        "Move the loop of peg 14 onto peg 13, on top; peg 14 is then empty. | size M only",
        "yarn at peg 25; 24 live pegs; 25 loops on them, the moved loop counted | size M only",
        "Row – (6, –) → | pegs 1–12 knit, 13 knit both loops as one with the right on top, 14 pass "
        "behind the empty peg, 15–25 knit. | size M only",
        "Run on → | peg 1 knit.",
    ]
    (toe,) = [part for part in parts if part.part is Part.TOE]
    assert [(note.only, note.text.text) for note in toe.starts] == [
        ("sizes S (L) only", "yarn at peg 1; all 24 (–, 28) pegs live"),
        ("size M only", "yarn at peg 1; 24 live pegs"),
    ]


def test_the_decreases_of_two_odd_rings_share_a_line_whatever_their_rows():
    """25 pegs: toe on 2-13; 27: heel 13 + 2 = 15, toe 13 on 2-14, its neighbour is peg 15."""
    cuff = Cuff(2, leftover=Leftover.KNIT)
    odd = (proved(sock(pegs, cuff=cuff, foot=Foot(rows))) for pegs, rows in ((25, 6), (27, 8)))
    foot = lines_of(check_reads_back((proved(sock(24)), *odd), SML), Part.FOOT)
    assert foot[6:10] == [
        "Rows 2–4 (2–5, 2–7) → | pegs 1–24 (1–25, 1–27) knit. | 3 (4, 6) boxes",
        "Move the loop of peg – (14, 15) onto peg – (13, 14), on top; peg – (14, 15) is then empty."
        " | sizes M (L) only",
        "yarn at peg – (25, 27); – (24, 26) live pegs; – (25, 27) loops on them, the moved loop "
        "counted | sizes M (L) only",
        "Row – (6, 8) → | pegs – (1–12, 1–13) knit, – (13, 14) knit both loops as one with the "
        "right on top, – (14, 15) pass behind the empty peg, – (15–25, 16–27) knit. "
        "| sizes M (L) only",
    ]


def test_a_part_that_a_size_does_not_have_names_the_sizes():
    knits = (proved(sock(24, leg=Leg(0))), proved(sock(24)), proved(sock(28)))
    parts = check_reads_back(knits, SML)
    (leg,) = [part for part in parts if part.part is Part.LEG]
    assert (leg.sizes, leg.only) == ((1, 2), "sizes M (L) only")
    assert lines_of(parts, Part.LEG) == [
        "Rows – (1–2, 1–2) → | pegs – (1–24, 1–28) knit. | sizes M (L) only"
    ]
    assert leg.starts[0].only == "sizes M (L) only"


def test_short_repeats_and_long_ones_are_told_apart():
    """A flap of 6 rows repeats its pair once, one of 10 rows three times more."""
    knits = (proved(sock(16, heel=Heel(10, 4))), proved(sock(24)))
    parts = check_reads_back(knits, ("S", "M"))
    assert lines_of(parts, Part.FLAP)[4:6] == [
        "Rows 4–5 (–) | work as rows 2–3. | size S only",
        "Rows – (4–9) | repeat rows 2–3, 3 times more. | size M only",
    ]


def test_one_size_alone_has_no_brackets():
    (knit,) = THREE[:1]
    parts = check_reads_back((knit,), ("only one",))
    assert not any("(" in line for part in Part for line in lines_of(parts, part))


def test_names_must_be_one_a_size_and_differ():
    for names in (("S",), ("S", "S"), ("S", "M", "L")):
        with pytest.raises(ValueError, match="sizes and the names"):
            make_sized_steps(THREE[:2], names)
        with pytest.raises(ValueError, match="sizes and the names"):
            make_sized_lines((THREE[0].plan, THREE[1].plan), names)
    with pytest.raises(ValueError, match="sizes and the names"):
        make_sized_steps((), ())
    with pytest.raises(ValueError, match="no size 2 to mark"):
        make_sized_steps(THREE[:2], ("S", "M"), mark=2)


# Five sizes on three looms: what a knitter of each size reads.

PLAIT = ("pRlRlp", "pkkkkp", "prLrLp", "pkkkkp")
FIVE = ("child", "youth", "small", "medium", "large")


def five():
    counts = (
        (28, 10, 12, 30),
        (28, 10, 16, 34),
        (32, 12, 16, 36),
        (32, 12, 20, 41),
        (36, 14, 24, 44),
    )
    return tuple(
        proved(
            sock(pegs, "3/8 in", cuff=Cuff(cuff), motif=PLAIT, leg=Leg(leg, "m"), foot=Foot(foot))
        )
        for pegs, cuff, leg, foot in counts
    )


def test_five_sizes_on_three_looms_can_each_be_followed_alone():
    parts = check_reads_back(five(), FIVE)
    # Only the rings of 32 move the round's start: the words of their rows differ from the others'.
    leg = lines_of(parts, Part.LEG)
    assert [line.split(" → ")[0].split(" | ")[0] for line in leg] == [
        *(f"Row {number} ({number}, –, –, {number})" for number in (1, 2, 3, 4)),
        *(f"Row – (–, {number}, {number}, –)" for number in (1, 2, 3, 4)),
        "Rows 5–12 (5–16, 5–16, 5–20, 5–24)",
    ]
    assert leg[-1].split(" | ")[1:] == [
        "repeat rows 1–4, 2 (3, 3, 4, 5) times more.",
        "8 (12, 12, 16, 20) boxes",
    ]
    # 32 pegs: heel 16 + 4 = 20, moved by 1 to pegs 2-21; instep 22-1, panel after 3 pegs of it.
    assert leg[4].endswith(
        "| pegs 2–24 knit, 25 purl, 26–27 cross right with left 1 over right 1, 28–29 cross right "
        "with left 1 over right 1, 30 purl, 31–32 knit, 1 knit. | sizes small (medium) only"
    )
    # Feet of 30, 34, 36, 41, 44 rows: 1, then 2-5 repeated, then 1, 1, 3, 0 and 3 rows over.
    foot = [line.split(" | ")[0] for line in lines_of(parts, Part.FOOT)[5:-1]]
    assert foot == [
        *(f"Row {number} ({number}, –, –, {number}) →" for number in (1, 2, 3, 4, 5)),
        "Rows 6–29 (6–33, –, –, 6–41)",
        "Row 30 (34, –, –, –)",
        "Rows – (–, –, –, 42–44)",
        *(f"Row – (–, {number}, {number}, –) →" for number in (1, 2, 3, 4, 5)),
        "Rows – (–, 6–33, 6–41, –)",
        "Rows – (–, 34–36, –, –)",
    ]
    # Toes of 14, 16, 18 pegs: a side of 4, 5, 6.
    toe = [line.split(" | ") for line in lines_of(parts, Part.TOE)]
    narrowing = [fields[0] for fields in toe if "knit and turn" in fields[1]]
    assert narrowing[7:] == [
        "Row 8 ←",
        "Row – (–, 9, 9, 9) →",
        "Row – (–, 10, 10, 10) ←",
        "Row – (–, –, –, 11) →",
        "Row – (–, –, –, 12) ←",
    ]
    widening = [fields for fields in toe if "both strands" in fields[1]]
    assert widening[0] == [
        "Row 9 (9, 11, 11, 13) →",
        "pegs 7–12 (7–12, 9–14, 9–14, 9–14) knit, 13 (13, 15, 15, 15) knit both strands as one.",
        "7 stitches",
    ]
    assert widening[-1][0] == "Row – (–, –, –, 24) ←"


# Any socks at all.


@st.composite
def designs(draw):
    """One design on two to six looms: what a pattern file with sizes asks for."""
    first = draw(specs(fitting=True))
    spec = replace(
        first,
        heel=Heel(),
        toe=Toe(first.toe.shape, None, first.toe.short_rows),
        leg=replace(first.leg, round_start_shift=None),
        cuff=replace(first.cuff, leftover=Leftover.KNIT),
    )
    knits = []
    for pegs in sorted(draw(st.lists(st.integers(16, 64), min_size=2, max_size=6))):
        knits.append(
            proved_if_it_plans(
                replace(
                    spec,
                    loom=loom(pegs, draw(st.sampled_from(["3/8 in", "5/8 in"])), spec.loom.working),
                    leg=replace(spec.leg, rows=draw(st.integers(0, 9))),
                    foot=replace(spec.foot, rows=draw(st.integers(4, 12))),
                )
            )
        )
    return knits


@st.composite
def any_socks(draw):
    """Two to six socks that have nothing in common."""
    count = draw(st.integers(2, 6))
    return [proved_if_it_plans(draw(specs(fitting=True))) for _ in range(count)]


def proved_if_it_plans(spec):
    """The sock; plain if its panel does not fit its loom; None if it cannot be made at all."""
    for attempt in (spec, replace(spec, leg=Leg(spec.leg.rows), motifs=MappingProxyType({}))):
        try:
            return proved(attempt)
        except PatternError:
            continue
    return None


many = settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))


@many
@given(designs() | any_socks(), st.data())
def test_every_size_reads_back_and_no_number_is_lost(found, data):
    knits = tuple(knit for knit in found if knit is not None)
    if not knits:
        return
    names = tuple(f"size {chr(ord('A') + index)}" for index in range(len(knits)))
    mark = data.draw(st.none() | st.integers(0, len(knits) - 1))
    parts = check_reads_back(knits, names, mark)
    for part in parts:
        for step in part.steps:
            assert step.boxes == max(step.box_counts)
    plans = tuple(knit.plan for knit in knits)
    lines = make_sized_lines(plans, names, mark=mark)
    for index, plan in enumerate(plans):
        read = []
        for line in lines:
            if index not in read_only(line.only, names):
                continue
            (reason,) = [one for one in line.reasons if index in one.sizes]
            read.append(
                PlanLine(
                    line.name,
                    unsize(line.value.text, index, len(knits)),
                    unsize(reason.text.text, index, len(knits)),
                    line.key,
                )
            )
        assert tuple(read) == plan.lines


def test_bars_at_the_corners_and_wrapped_toes_read_back():
    specs_ = (
        sock(24, gusset=Gusset(True)),
        sock(28),
        sock(32, toe=Toe(short_rows=ShortRows.WRAPPED)),
        sock(40, toe=Toe(short_rows=ShortRows.WRAPPED)),
    )
    parts = check_reads_back(tuple(map(proved, specs_)), ("A", "B", "C", "D"))
    toe = lines_of(parts, Part.TOE)
    ways = {line.rsplit(" | ", 1)[1] for line in toe}
    # Turned and wrapped toes are blocks; the larger wrapped toe has more rows.
    assert ways == {"sizes A (B) only", "sizes C (D) only", "size D only"}
    assert lines_of(parts, Part.FOOT)[4:6] == [
        "Lift the bar between pegs 14 and 15 onto peg 14. | size A only",
        "Lift the bar between pegs 24 and 1 onto peg 1. | size A only",
    ]


# What is not understood.


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("pegs 2–25 (2–29) knit.", "holds 2 sizes, not 3"),
        ("24 (28, 32, 36) pegs", "holds 4 sizes, not 3"),
        ("pegs 2–25 (–, 2–33) knit.", "has no number for size 2 of 3"),
        ("Row – (–, 13)", "has no number for size 2 of 3"),
    ],
)
def test_brackets_that_do_not_suit_the_sizes_are_named(text, what):
    with pytest.raises(ReadError, match=re.escape(what)):
        unsize(text, 1, 3)


def test_there_must_be_such_a_size():
    with pytest.raises(ReadError, match="there is no size 4 of 3"):
        unsize("24 (28, 32)", 3, 3)


@pytest.mark.parametrize(
    "text", ["turn pegs (centre)", "the 24 (all of them)", "(22 − 18) / 2", "'2 (3, 4)' is wide"]
)
def test_other_brackets_are_left_alone(text):
    assert unsize(text, 1, 3) == text


ODD_NAMES = ("S (35/36)", "S", "M, wide", "L")


@pytest.mark.parametrize(
    ("only", "sizes"),
    [
        ("", {0, 1, 2, 3}),
        ("size S only", {1}),
        ("size S (35/36) only", {0}),
        ("sizes S (35/36) (S, L) only", {0, 1, 3}),
        ("sizes S (35/36) (M, wide) only", {0, 2}),
        ("sizes S (M, wide, L) only", {1, 2, 3}),
    ],
)
def test_sizes_named_are_read_by_their_names(only, sizes):
    assert read_only(only, ODD_NAMES) == sizes


@pytest.mark.parametrize(
    "only",
    [
        "size XL only",
        "S only",
        "sizes S only",
        "sizes L (S) only",
        "sizes S (XL) only",
        "sizes S (S) only",
        "sizes S (L, M, wide) only",
        "sizes S (M, wide,L) only",
    ],
)
def test_sizes_that_are_not_the_patterns_are_named(only):
    with pytest.raises(ReadError, match="size"):
        read_only(only, ODD_NAMES)


def test_dashes_must_agree_with_the_sizes_named():
    line = SizedStepLine("pegs 1–8 knit.", "Row – (13, 13)", "→", only="sizes M (L) only")
    assert read_size([SizedStepsPart("Toe", (line,))], 0, SML) == ()
    (part,) = read_size([SizedStepsPart("Toe", (line,))], 2, SML)
    assert part.lines == (StepLine("pegs 1–8 knit.", "Row 13", "→"),)
    for only in ("size L only", ""):
        wrong = replace(line, only=only)
        with pytest.raises(ReadError, match="do not agree on size"):
            read_size([SizedStepsPart("Toe", (wrong,))], 2, SML)


def altered_pages():
    """The page of three sizes with one bracketed value made another, or left out."""
    page = printed(make_sized_steps(THREE, SML))
    for part_index, part in enumerate(page):
        for line_index, line in enumerate(part.lines):
            if line.label in ("Check", "Count"):
                continue
            for match in re.finditer(r", (\d+)(?=\))", line.text):
                start, end = match.span(1)
                for other in (str(int(match[1]) + 1), None):
                    text = (
                        line.text[: match.start()] + line.text[end:]
                        if other is None
                        else line.text[:start] + other + line.text[end:]
                    )
                    lines = list(part.lines)
                    lines[line_index] = replace(line, text=text)
                    altered = list(page)
                    altered[part_index] = replace(part, lines=tuple(lines))
                    yield altered


def test_a_bracketed_number_that_is_altered_or_left_out_is_noticed():
    looked_at = 0
    thread = make_part_steps(THREE[2], Part.FLAP).steps[0]
    told = (THREE[2].rows.events, [thread.text])
    for page in altered_pages():
        looked_at += 1
        try:
            read = read_steps(read_size(page, 2, SML))
        except ReadError:
            continue
        threads = [note.text for note in read.notes if note.label == "Thread"]
        assert (read.events, threads) != told
    assert looked_at > 50


def test_motif_names_that_look_like_brackets_are_left_alone():
    knits = []
    for pegs in (36, 40):
        spec = sock(pegs, "3/8 in", leg=Leg(2, "8 (10)", round_start_shift=0))
        motif = Motif("8 (10)", ("pkkp",))
        knits.append(proved(replace(spec, motifs=MappingProxyType({"8 (10)": motif}))))
    lines = make_sized_lines(tuple(knit.plan for knit in knits), ("S", "M"))
    (panel,) = [line for line in lines if line.name == "panel pegs"]
    (reason,) = panel.reasons
    for index, side in enumerate((5, 6)):
        assert unsize(reason.text.text, index, 2).startswith(f"'8 (10)' is 4 wide; {side} of the ")
