"""Printed steps and charts read back: equal to what was proved, and never by guessing."""

import ast
import re
import subprocess
import sys
from collections import Counter
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, reject, settings
from hypothesis import strategies as st

from charts.chart import ChartFold, ChartRow, ChartStrip, Folding, make_chart
from charts.kitchener import graft_words
from charts.loom import DOWN, UP, Loom, Working
from charts.parts import Part, parts_of
from charts.plain_text import chart_text, steps_text
from charts.plan import make_plan
from charts.problems import PatternError
from charts.reader import (
    ChartAcross,
    ChartFoldLine,
    ChartRowLine,
    ChartStripLine,
    PlainChart,
    ReadError,
    ReadMarks,
    ReadNote,
    Ring,
    StepLine,
    StepsPart,
    read_chart,
    read_chart_text,
    read_steps,
    read_steps_text,
)
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
from charts.sock import make_rows
from charts.spec import (
    Cuff,
    Flanks,
    Foot,
    FootInstep,
    Gusset,
    Leftover,
    Leg,
    Motif,
    ShortRows,
    SockSpec,
    Toe,
    ToeShape,
)
from charts.steps import Checkpoint, MoveStep, RepeatStep, ThreadStep, make_steps
from charts.verify import verify

CHARTS = Path(__file__).parents[2] / "charts"
READER = sorted(CHARTS.glob("reader*.py"))

# The reader shares nothing with the writers.

ALLOWED = {"charts.loom", "charts.rows"}


def imported(path):
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0
            yield node.module


def test_reader_imports_no_writer():
    own = {f"charts.{path.stem}" for path in READER}
    assert "charts.reader" in own
    for path in READER:
        names = set(imported(path))
        ours = {name for name in names if name.split(".")[0] in ("charts", "layouts", "fonts")}
        assert ours, path
        assert ours <= ALLOWED | own, path


def test_no_writer_is_loaded_with_the_reader():
    code = "import sys, charts.reader; print(*sorted(m for m in sys.modules if 'charts.' in m))"
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=CHARTS.parent,
        capture_output=True,
        text=True,
        check=True,
    )
    loaded = set(done.stdout.split())
    assert "charts.reader_steps" in loaded
    assert loaded <= ALLOWED | {f"charts.{path.stem}" for path in READER}


# Socks to print.

ROPE = Motif("rope", ("pkkkkp", "pRRllp", "pkkkkp", "prrLLp"))


def proved(spec):
    plan = make_plan(spec)
    return verify(plan, make_rows(plan))


def small(pegs=24, working=Working.LEFT_TO_RIGHT, **changes):
    spec = SockSpec(
        "Small sock",
        Loom(pegs, 15.875, "5/8 in", working),
        cuff=Cuff(rows=3, leftover=Leftover.KNIT),
        leg=Leg(rows=3),
        foot=Foot(rows=4),
    )
    return replace(spec, **changes)


CABLED = small(
    working=Working.RIGHT_TO_LEFT,
    leg=Leg(rows=6, panel="rope", round_start_shift=1, flanks=Flanks.RIB),
    motifs={"rope": ROPE},
    gusset=Gusset(corner_bars=True),
    foot=Foot(rows=9),
)
ODD = small(pegs=25, toe=Toe(short_rows=ShortRows.WRAPPED))
MUTATED = [pytest.param(CABLED, id="cabled, 24 pegs"), pytest.param(ODD, id="odd, 25 pegs")]


@st.composite
def motifs(draw):
    left, right = draw(st.integers(1, 3)), draw(st.integers(1, 3))
    before, after = draw(st.integers(0, 2)), draw(st.integers(0, 2))
    cross = draw(st.sampled_from(["R" * left + "l" * right, "r" * left + "L" * right]))
    plain = draw(st.sampled_from("kp")) * len(cross)
    other = draw(st.sampled_from([cross, cross, plain]))
    rows = draw(st.permutations([cross, plain, other]))
    return Motif("panel", tuple("p" * before + row + "k" * after for row in rows))


@st.composite
def socks(draw):
    motif = draw(motifs())
    rib = draw(st.sampled_from(["kp", "kkpp", "kkp", "kkkp", "ppkk", "kpp"]))
    plain = Leg(rows=draw(st.integers(1, 9)))
    leg = replace(
        plain,
        panel="panel",
        across=draw(st.integers(1, 3)),
        flanks=draw(st.sampled_from(Flanks)),
        round_start_shift=draw(st.none() | st.integers(0, len(rib) - 1)),
    )
    spec = SockSpec(
        draw(st.sampled_from(["Toe", "A sock in two words", "Loomed"])),
        Loom(
            draw(st.integers(16, 60)),
            draw(st.sampled_from([6.35, 9.525, 12.7, 15.875])),
            "as drawn",
            draw(st.sampled_from(Working)),
        ),
        knit=draw(st.sampled_from(["flat", "u-wrap", "e-wrap"])),
        cuff=Cuff(draw(st.integers(1, 8)), rib, Leftover.KNIT),
        leg=leg,
        gusset=Gusset(draw(st.booleans())),
        foot=Foot(draw(st.integers(2, 12)), draw(st.sampled_from(FootInstep))),
        toe=Toe(draw(st.sampled_from(ToeShape)), None, draw(st.sampled_from(ShortRows))),
        motifs={"panel": motif},
    )
    for attempt in (
        spec,
        replace(spec, leg=replace(leg, across=1, flanks=Flanks.KNIT)),
        replace(spec, leg=plain),
        replace(spec, leg=plain, foot=replace(spec.foot, rows=spec.foot.rows + 1)),
    ):
        try:
            plan = make_plan(attempt)
        except PatternError:
            continue
        return verify(plan, make_rows(plan))
    return reject()


many = settings(max_examples=120, deadline=None, suppress_health_check=list(HealthCheck))

# The printed form of steps and charts, field by field as a page shows them.


def printed_graft(part):
    return [
        StepLine(sentence, label="Graft")
        for step in part.steps
        if isinstance(step, MoveStep) and isinstance(step.move, Graft)
        for sentence in graft_words(len(step.move.pairs))
    ]


def printed_steps(steps):
    return [
        StepsPart(
            part.part.title,
            (
                StepLine(part.starts.text, label="Check"),
                *map(printed_step, part.steps),
                *printed_graft(part),
                StepLine(part.ends.text, label="Check"),
                StepLine(part.counting, label="Count"),
            ),
        )
        for part in steps
    ]


def printed_step(step):
    if isinstance(step, Checkpoint):
        return StepLine(step.text, label="Check")
    if isinstance(step, MoveStep | ThreadStep):
        return StepLine(step.text)
    if isinstance(step, RepeatStep):
        return StepLine(step.text, step.label)
    count = f"{step.stitches} stitch" + "es" * (step.stitches != 1)
    return StepLine(step.text, step.label, "→" if step.to_right else "←", count * step.shaped)


def printed_chart(chart):
    across = chart.across and ChartAcross(
        chart.across.first_column,
        chart.across.last_column,
        f"× {chart.across.times}, to peg {chart.across.last_peg}",
    )
    columns = tuple(
        f"{column.pegs[0]}–{column.pegs[-1]}" if column.folded else str(column.pegs[0])
        for column in chart.columns
    )
    return PlainChart(chart.part.title, columns, tuple(map(printed_line, chart.lines)), across)


def printed_line(line):
    if isinstance(line, ChartFold):
        return ChartFoldLine(line.text)
    if isinstance(line, ChartStrip):
        return ChartStripLine(line.marks)
    assert isinstance(line, ChartRow)
    count = f"{line.stitches} stitch" + "es" * (line.stitches != 1)
    sides = (line.label, "") if line.starts_left else ("", line.label)
    return ChartRowLine(line.cells, *sides, count)


def ring_of(knit):
    return Ring(knit.plan.loom.pegs, knit.plan.loom.working)


def rows_of(knit, part):
    return [e for e in knit.rows.events if isinstance(e, Row) and e.section in part.sections]


MARKS = {Hold: "H", Rehang: "G", LiftBar: "B", Shift: "M", TakeOff: "O"}


def marks_of(knit, part):
    """Each mark with the row it comes before: what strips must show, however they are cut."""
    found = Counter()
    rows = 0
    for event in knit.rows.events:
        if event.section not in part.sections or isinstance(event, CastOn | Graft):
            continue
        if isinstance(event, Row):
            rows += 1
            continue
        if isinstance(event, LiftBar):
            pegs = [event.peg]
        elif isinstance(event, Shift):
            pegs = [event.from_peg]
        else:
            pegs = event.pegs
        found.update((rows, MARKS[type(event)], peg) for peg in pegs)
    return found


def marks_read(chart):
    found = Counter()
    rows = 0
    for event in chart.events:
        if isinstance(event, Row):
            rows += 1
        else:
            found.update((rows, event.mark, peg) for peg in event.pegs)
    return found


# Round trips.


@many
@given(socks())
def test_steps_read_back_are_the_proved_rows_and_moves(knit):
    steps = make_steps(knit)
    loom = knit.plan.loom
    read = read_steps(printed_steps(steps))
    assert read.events == knit.rows.events
    assert read.ring == Ring(loom.pegs, loom.working)
    assert read_steps(printed_steps(steps), pegs=loom.pegs, working=loom.working) == read
    from_text = read_steps_text(steps_text(knit, steps))
    assert from_text.title == knit.plan.spec.title
    assert replace(from_text, title="") == read
    notes = [
        text
        for part in steps
        for text in (
            part.starts.text,
            *(step.text for step in part.steps if isinstance(step, Checkpoint | ThreadStep)),
            part.ends.text,
            part.counting,
        )
    ]
    assert [note.text for note in read.notes if note.label != "Graft"] == notes


@many
@given(socks(), st.sampled_from(Folding), st.booleans())
def test_charts_read_back_are_the_proved_rows(knit, folding, fold_up):
    for part in parts_of(knit):
        chart = make_chart(knit, part, folding=folding, fold_up=fold_up)
        read = read_chart(printed_chart(chart), ring_of(knit))
        assert list(read.rows) == rows_of(knit, part)
        assert marks_read(read) == marks_of(knit, part)
        assert read_chart_text(chart_text(chart), ring_of(knit)) == read


@pytest.mark.parametrize("working", Working)
def test_a_heel_that_runs_over_the_end_of_the_numbers_reads_back(working):
    """16 pegs at 1/4 in: the heel takes 8 + 6 pegs, and the start moved by 3 makes it 4 to 1."""
    loom = Loom(16, 6.35, "1/4 in", working)
    knit = proved(small(loom=loom, leg=Leg(rows=2, round_start_shift=3)))
    steps = make_steps(knit)
    assert "pegs 4–16 knit, 1 knit." in steps_text(knit, steps)
    assert read_steps(printed_steps(steps)).events == knit.rows.events
    for part in parts_of(knit):
        for folding in Folding:
            chart = printed_chart(make_chart(knit, part, folding=folding))
            assert list(read_chart(chart, ring_of(knit)).rows) == rows_of(knit, part)


@pytest.mark.parametrize("part", Part)
def test_steps_of_one_part_can_be_read_alone_unless_they_lean_on_the_flap(part):
    knit = proved(CABLED)
    steps = [steps for steps in make_steps(knit) if steps.part is part]
    loom = knit.plan.loom
    if part is Part.FOOT:
        with pytest.raises(ReadError, match="no heel flap was read"):
            read_steps(printed_steps(steps), pegs=loom.pegs, working=loom.working)
        return
    read = read_steps(printed_steps(steps), pegs=loom.pegs, working=loom.working)
    assert read.events == knit.rows.of(*part.sections)
    assert read_steps_text(steps_text(knit, tuple(steps))).events == read.events


# The text for a terminal.


def test_steps_text_is_narrow_and_has_a_box_for_each_row_and_pair():
    spec = SockSpec(
        "Forty",
        Loom(40, 9.525, "3/8 in"),
        cuff=Cuff(rows=60),
        leg=Leg(rows=61, panel="rope", flanks=Flanks.RIB),
        motifs={"rope": ROPE},
    )
    knit = proved(spec)
    text = steps_text(knit, make_steps(knit))
    assert max(map(len, text.splitlines())) <= 80
    assert not [line for line in text.splitlines() if line != line.rstrip()]
    boxes = {
        title: block.count("[ ]")
        for title, block in pairwise(re.split(r"\n\n(.+)\n-+\n", text))
        if title in {part.title for part in Part}
    }
    # Cast on, 60 rows, one run-on; rows 5-60 of the leg have 56 boxes beside 4 + 1.
    assert boxes["Cast on and cuff"] == 1 + 60 + 1
    assert boxes["Leg"] == 61
    # The thread, 16 rows and the partial one.
    assert boxes["Heel flap"] == 1 + 16 + 1
    # Two holds; two edges and two bars; 24 toe rows; two needles, the graft and its 20 pairs.
    assert boxes["Heel turn"] == 2 + 16
    assert boxes["Gusset and foot"] == 4 + 50 + 1
    assert boxes["Toe"] == 24
    assert boxes["Closing the toe"] == 3 + 20


def test_beyond_sixty_rows_a_box_stands_for_ten():
    knit = proved(small(leg=Leg(rows=63)))
    text = steps_text(knit, make_steps(knit))
    leg = text.split("\nLeg\n")[1].split("\nHeel flap\n")[0]
    assert leg.splitlines()[2:5] == [
        "    Rows 1–63  →  pegs 1–24 knit.",
        "                  [ ] 10  [ ] 20  [ ] 30  [ ] 40  [ ] 50",
        "                  [ ] 60  [ ] 63",
    ]


def test_a_shaped_row_tells_its_stitches_at_the_right_end():
    knit = proved(small())
    lines = steps_text(knit, make_steps(knit)).splitlines()
    turn = lines[lines.index("Heel turn") :]
    (row,) = [line for line in turn if "Row 2 " in line][:1]
    assert row == "[ ] Row 2     ←  pegs 9–7 knit, 6 knit and join.".ljust(69) + " 5 stitches"


# Read by hand.


def line(label, arrow, text, count=""):
    return StepLine(text, label, arrow, count)


def test_steps_written_by_hand():
    """Three rows of a heel on 40 pegs whose edge runs over the end of the numbers."""
    parts = [
        StepsPart(
            "Heel flap",
            (
                line("Row 1", "→", "pegs 38–40 knit, 1–2 purl."),
                line("Row 2", "←", "peg 2 slip,\n1 knit, 40–38 knit.", "4 stitches"),
                line("Row 3", "→", "peg 38 slip, 39–40 knit, 1–2 knit."),
                StepLine("repeat rows 2–3, 2 times more.", "Rows 4–7"),
                StepLine("work as row 2.", "Row 8"),
                line("Partial row", "→", "peg 38 slip, 39–40 u-wrap knit."),
            ),
        ),
        StepsPart(
            "Heel turn",
            (
                StepLine(
                    "Put the 2 loops of pegs 38–39 on the left holder, peg 38 first, so that the "
                    "loop of peg 39 comes off first."
                ),
                line("Row 1", "→", "peg 1 knit and join."),
            ),
        ),
    ]
    read = read_steps(parts, pegs=40, working=Working.LEFT_TO_RIGHT)
    there, back = (38, 39, 40, 1, 2), (2, 1, 40, 39, 38)
    rows = [(UP, there, "kkkpp"), (DOWN, back, "skkkk"), (UP, there, "skkkk")]
    rows += [rows[1], rows[2]] * 2 + [rows[1]]
    assert read.events == (
        *(Row(Section.FLAP, number, *row) for number, row in enumerate(rows, 1)),
        Row(Section.PARTIAL, 1, UP, (38, 39, 40), "suu"),
        Hold(Section.TURN, Holder.NEAR, (38, 39)),
        Row(Section.TURN, 1, UP, (1,), "j"),
    )


def test_steps_of_a_mirrored_loom_swap_arrows_and_sides():
    parts = [
        StepsPart(
            "Leg",
            (
                line(
                    "Row 1",
                    "←",
                    "pegs 2–3 cross right with left 1 over right 1, 4–16 purl, 1 purl.",
                ),
            ),
        ),
        StepsPart("Heel turn", (StepLine("Put the 1 loop of peg 2 on the right holder."),)),
    ]
    read = read_steps(parts, pegs=16, working=Working.RIGHT_TO_LEFT)
    pegs = (*range(2, 17), 1)
    assert read.events == (
        Row(Section.LEG, 1, UP, pegs, "lR" + "p" * 14),
        Hold(Section.TURN, Holder.NEAR, (2,)),
    )


def test_closing_written_by_hand():
    """On 8 pegs with toe pegs 2-5: front 1, 8, 7, 6, back 5, 4, 3, 2; the fold adds up to 11."""
    lines = (
        StepLine(
            "From inside the ring take the 4 loops of pegs 1, 8–6 onto the front needle, in this "
            "order; of each loop the leg that is on the right as you see it from outside "
            "lies in front."
        ),
        StepLine(
            "From inside the ring take the 4 loops of pegs 5–2 onto the back needle, in this "
            "order; of each loop the leg that is on the right as you see it from outside "
            "lies in front."
        ),
        StepLine(
            "Graft 4 pairs of loops, peg 1 with peg 2 first and peg 6 with peg 5 last: 16 needle "
            "passes.",
            pairs="1+2 8+3 7+4 6+5",
        ),
    )
    read = read_steps([StepsPart("Closing the toe", lines)], pegs=8, working=Working.LEFT_TO_RIGHT)
    assert read.events == (
        TakeOff(Section.CLOSING, Needle.FRONT, (1, 8, 7, 6)),
        TakeOff(Section.CLOSING, Needle.BACK, (5, 4, 3, 2)),
        Graft(Section.CLOSING, ((1, 2), (8, 3), (7, 4), (6, 5))),
    )


def test_chart_written_by_hand():
    """A turn over pegs 5-8 with a gusset of two pegs each side; the run 6-7 is one column."""
    chart = PlainChart(
        "Heel turn",
        ("3", "4", "5", "6–7", "8", "9", "10"),
        (
            ChartStripLine("HH   HH"),
            ChartRowLine("hh kjhh", left_label="1", count="4 stitches"),
            ChartRowLine("hhjkk.h", right_label="2"),
            ChartFoldLine("row 3: as row 1"),
            ChartRowLine("h.jkk..", right_label="4"),
        ),
    )
    read = read_chart(chart, Ring(16, Working.LEFT_TO_RIGHT))
    assert read.events == (
        ReadMarks("H", (3, 4, 9, 10)),
        Row(Section.TURN, 1, UP, (6, 7, 8), "kkj"),
        Row(Section.TURN, 2, DOWN, (8, 7, 6, 5), "kkkj"),
        Row(Section.TURN, 3, UP, (6, 7, 8), "kkj"),
        Row(Section.TURN, 4, DOWN, (8, 7, 6, 5), "kkkj"),
    )


def test_chart_of_a_mirrored_loom_written_by_hand():
    """A rib on 9 pegs numbered right to left: peg 1 plain, then k p four times, then one more."""
    chart = PlainChart(
        "Cast on and cuff",
        ("3", "2", "1"),
        (
            ChartRowLine("pkk", right_label="1"),
            ChartFoldLine("rows 2–3: repeat row 1"),
            ChartRowLine(" kk", right_label="run on"),
        ),
        ChartAcross(0, 1, "× 4, to peg 9"),
    )
    read = read_chart(chart, Ring(9, Working.RIGHT_TO_LEFT))
    whole = (tuple(range(1, 10)), "kkpkpkpkp")
    assert read.events == (
        *(Row(Section.CUFF, number, UP, *whole) for number in (1, 2, 3)),
        Row(Section.CUFF, 0, UP, (1, 2), "kk"),
    )


# What is not understood.

NOT_UNDERSTOOD = [
    # part, line, what
    ("Leg", line("Row 1", "→", "pegs 1–8 knot."), "“knot” is not a verb that is known"),
    ("Leg", line("Row 1", "→", "pegs 1–8 knit"), "does not end with a full stop"),
    ("Leg", line("Row 1", "→", "1–8 knit."), "not a sentence that begins with “pegs”"),
    ("Leg", line("Row 1", "→", "peg 1–8 knit."), "“peg” does not suit"),
    ("Leg", line("Row 1", "→", "pegs 1 knit."), "“pegs” does not suit"),
    ("Leg", line("Row 1", "→", "pegs one knit."), "not a peg or a run of pegs and a verb"),
    ("Leg", line("Row 1", "→", "pegs 3–3 knit."), "a run of one peg"),
    ("Leg", line("Row 1", "→", "pegs 1–17 knit."), "there is no peg 17 on a ring of 16"),
    ("Leg", line("Row 1", "→", "pegs 1–2 knit, 4 purl."), "peg 4 does not come after peg 2"),
    ("Leg", line("Row 1", "→", "pegs 1–2 knit. Pegs 4–5 purl."), "peg 4 does not come after"),
    ("Leg", line("Row 1", "→", "pegs 1–16 knit, 1 knit."), "17 pegs in one row"),
    ("Leg", line("Row 1", "→", "pegs 1–2 knit, 3 purl; repeat to peg 16."), "no whole number"),
    ("Leg", line("Row 1", "→", "pegs 1–2 knit, 3 purl; repeat to peg 3."), "no whole number"),
    ("Leg", line("Row 1", "→", "pegs 1–2 knit; repeat to 3."), "not a verb that is known"),
    ("Leg", line("Row 1", "→", "pegs 1–3 cross right with left 2 over right 2."), "the cross moves 4"),  # noqa: E501
    ("Leg", line("Row 1", "→", "pegs 1–4 cross right with left 2 over left 2."), "names the left strand"),  # noqa: E501
    ("Leg", line("Row 1", "", "pegs 1–8 knit."), "neither an arrow nor a repeat"),
    ("Leg", line("Row 1", "↑", "pegs 1–8 knit."), "neither an arrow nor a repeat"),
    ("Leg", line("Row 2", "→", "pegs 1–8 knit."), "row 2 where row 1 is due"),
    ("Leg", line("Rows 2–1", "→", "pegs 1–8 knit."), "does not count up"),
    ("Leg", line("Round 1", "→", "pegs 1–8 knit."), "not the label of a row"),
    ("Leg", line("Rows 1", "→", "pegs 1–8 knit."), "not “row” and a number"),
    ("Leg", line("Partial row", "→", "pegs 1–8 knit."), "belongs to the heel flap"),
    ("Closing the toe", line("Row 1", "→", "pegs 1–8 knit."), "no rows in the closing"),
    ("Leg", line("Row 1", "→", "pegs 1–8 knit.", "7 stitches"), "the row has 8"),
    ("Leg", line("Row 1", "→", "peg 1 knit.", "1 stitches"), "the row has 1"),
    ("Leg", line("Row 1", "→", "peg 1 knit.", "one"), "not a stitch count"),
    ("Leg", StepLine("work as row 1.", "Row 1"), "row 1 is not earlier than row 1"),
    ("Leg", StepLine("work as row 3.", "Row 5"), "row 3 was not read before"),
    ("Leg", StepLine("repeat rows 1–2, 2 times more.", "Rows 3–5"), "3 rows are not 2 times 2"),
    ("Leg", StepLine("work like row 1.", "Row 2"), "neither an arrow nor a repeat"),
    ("Leg", StepLine("Sing a song."), "not a move that is known"),
    ("Leg", StepLine("Lift the bar between pegs 1 and 2 onto peg 2."), "belongs to another part"),
    ("Leg", StepLine("Lift it.", arrow="→"), "without the label of a row"),
    ("Sleeve", StepLine("Lift it."), "not the title of a part"),
    (
        "Cast on and cuff",
        StepLine(
            "Cast on 15 pegs, 1–15: slip knot on peg 1; then wrap each of pegs 2–15 twice from "
            "the inside and "
            "lift its lower loop over before going to the next."
        ),
        "not the whole ring of 16",
    ),
    (
        "Cast on and cuff",
        StepLine(
            "Cast on 16 pegs, 1–16: slip knot on peg 2; then wrap each of pegs 2–16 twice from "
            "the inside and "
            "lift its lower loop over before going to the next."
        ),
        "slip knot is on peg 2",
    ),
    (
        "Heel turn",
        StepLine("Put the 2 loops of pegs 1–3 on the left holder, peg 1 first, so that the loop "
                 "of peg 3 comes off first."),
        "1 to 3 are not 2 pegs",
    ),
    (
        "Heel turn",
        StepLine("Put the 9 loops of pegs 1–9 on the left holder, peg 1 first, so that the loop "
                 "of peg 9 comes off first."),
        "1 to 9 are not 9 pegs",  # both ways round fit
    ),
    (
        "Heel turn",
        StepLine("Put the 3 loops of pegs 1–3 on the left holder, peg 3 first, so that the loop "
                 "of peg 1 comes off first."),
        "the order told is not that",
    ),
    ("Heel turn", StepLine("Put the 3 loops of pegs 1–3 on the left holder."), "order of 3 loops"),
    (
        "Heel turn",
        StepLine("Put the 1 loop of peg 1 on the left holder, peg 1 first, so that the loop of "
                 "peg 1 comes off first."),
        "order of 1 loops",
    ),
    (
        "Gusset and foot",
        StepLine("Hang the 1 edge loop of the heel flap’s left edge on peg 1; both legs of a loop "
                 "go over its peg and count as one."),
        "no heel flap was read",
    ),
    ("Gusset and foot", StepLine("Lift the bar between pegs 2 and 1 onto peg 1."), "neighbours"),
    ("Gusset and foot", StepLine("Lift the bar between pegs 1 and 2 onto peg 3."), "not reach"),
    (
        "Gusset and foot",
        StepLine("Move the loop of peg 5 onto peg 7, on top; peg 5 is then empty."),
        "no neighbour",
    ),
    (
        "Gusset and foot",
        StepLine("Move the loop of peg 5 onto peg 4, on top; peg 4 is then empty."),
        "not the one whose loop was moved",
    ),
    (
        "Closing the toe",
        StepLine("From inside the ring take the 3 loops of pegs 1–3 onto the back needle, in this "
                 "order; of each loop the leg that is on the right as you see it from outside "
                 "lies in front."),
        "goes up",
    ),
    (
        "Closing the toe",
        StepLine("From inside the ring take the 4 loops of pegs 3–1 onto the back needle, in this "
                 "order; of each loop the leg that is on the right as you see it from outside "
                 "lies in front."),
        "does not name 4 pegs",
    ),
    (
        "Closing the toe",
        StepLine("From inside the ring take the 3 loops of pegs 3–2, 2 onto the back needle, in "
                 "this order; of each loop the leg that is on the right as you see it from "
                 "outside lies in front."),
        "does not name 3 pegs",
    ),
    (
        "Closing the toe",
        StepLine("Graft 2 pairs of loops, peg 1 with peg 2 first and peg 16 with peg 3 last: 8 "
                 "needle passes."),
        "0 loops were taken",
    ),
]  # fmt: skip


@pytest.mark.parametrize(
    ("again", "what"),
    [
        (StepLine("work as row 1.", "Row 2"), ""),
        (StepLine("work as row 1.", "Row 2", "→", "8 stitches"), ""),
        (StepLine("work as row 1.", "Row 2", "←"), "an arrow beside a repeat"),
        (StepLine("work as row 1.", "Row 2", "→", "7 stitches"), "the row has 8"),
        (StepLine("repeat row 1, 2 times more.", "Rows 2–3", "", "8 stitches"), "several rows"),
    ],
)
def test_arrow_and_count_beside_a_repeat_are_those_of_its_row(again, what):
    steps = [StepsPart("Leg", (line("Row 1", "→", "pegs 1–8 knit."), again))]
    if not what:
        (one, other) = read_steps(steps, pegs=16, working=Working.LEFT_TO_RIGHT).events
        assert (other.pegs, other.direction) == (one.pegs, one.direction)
        return
    with pytest.raises(ReadError, match=what):
        read_steps(steps, pegs=16, working=Working.LEFT_TO_RIGHT)


@pytest.mark.parametrize(("part", "step", "what"), NOT_UNDERSTOOD)
def test_a_step_that_is_not_understood_is_named(part, step, what):
    with pytest.raises(ReadError, match=re.escape(what)) as caught:
        read_steps([StepsPart(part, (step,))], pegs=16, working=Working.LEFT_TO_RIGHT)
    if part != "Sleeve":
        shown = " ".join(text for text in (step.label, step.arrow, step.text) if text)
        assert (caught.value.part, caught.value.line) == (part, shown)
        assert str(caught.value).startswith(f"{part}: “{shown}”: ")


NEEDLES = (
    "From inside the ring take the 2 loops of pegs 2–1 onto the front needle, in this order; of "
    "each loop the leg that is on the right as you see it from outside lies in front.",
    "From inside the ring take the 2 loops of pegs 4–3 onto the back needle, in this order; of "
    "each loop the leg that is on the right as you see it from outside lies in front.",
)


@pytest.mark.parametrize(
    ("words", "pairs", "what"),
    [
        ("peg 2 with peg 3 first and peg 1 with peg 4 last: 9", "", "take 8 needle passes, not 9"),
        ("peg 2 with peg 4 first and peg 1 with peg 3 last: 8", "", "not the ends of the needles"),
        ("peg 2 with peg 3 first and peg 1 with peg 4 last: 8", "2+3 1+3", "tick boxes do not"),
    ],
)
def test_a_graft_that_does_not_suit_the_needles_is_named(words, pairs, what):
    lines = (*map(StepLine, NEEDLES), StepLine(f"Graft 2 pairs of loops, {words} needle passes.",
             pairs=pairs))  # fmt: skip
    with pytest.raises(ReadError, match=re.escape(what)):
        read_steps([StepsPart("Closing the toe", lines)], pegs=4, working=Working.LEFT_TO_RIGHT)


def test_a_needle_filled_twice_is_named():
    lines = (StepLine(NEEDLES[0]), StepLine(NEEDLES[0]))
    with pytest.raises(ReadError, match="the front needle is filled twice"):
        read_steps([StepsPart("Closing the toe", lines)], pegs=4, working=Working.LEFT_TO_RIGHT)


@pytest.mark.parametrize(
    ("lines", "what"),
    [
        (
            (line("Run on", "→", "peg 1 knit."), line("Row 1", "→", "peg 1 knit.")),
            "a row after the one that runs on",
        ),
        (
            (line("Row 1", "→", "peg 1 knit."), line("Row 1", "→", "peg 1 knit.")),
            "row 1 where row 2 is due",
        ),
    ],
)
def test_rows_out_of_order_are_named(lines, what):
    with pytest.raises(ReadError, match=what):
        read_steps([StepsPart("Leg", lines)], pegs=16, working=Working.LEFT_TO_RIGHT)


def test_a_flap_that_does_not_go_on_from_the_round_is_named():
    flap = StepsPart("Heel flap", (line("Row 1", "←", "pegs 8–1 knit."),))
    with pytest.raises(ReadError, match="does not go on from the round"):
        read_steps([flap], pegs=16, working=Working.LEFT_TO_RIGHT)


def test_what_the_loom_is_must_be_told_somewhere():
    leg = StepsPart("Leg", (line("Row 1", "→", "pegs 1–16 knit."),))
    with pytest.raises(ReadError, match="how many pegs"):
        read_steps([leg], working=Working.LEFT_TO_RIGHT)
    with pytest.raises(ReadError, match="which way the first round runs"):
        read_steps([leg], pegs=16)


def test_notes_are_handed_back_and_tell_nothing_to_knit():
    leg = StepsPart("Leg", (StepLine("all is\n well", label="Check"), StepLine("c", label="Count")))
    read = read_steps([leg], pegs=16, working=Working.LEFT_TO_RIGHT)
    assert read.notes == (ReadNote("Leg", "Check", "all is well"), ReadNote("Leg", "Count", "c"))
    assert read.events == ()


def test_a_thread_that_is_tied_when_the_flap_is_begun_is_refused():
    row = line("Row 1", "→", "pegs 1–8 knit.")
    tie = StepLine(
        "Tie a contrasting thread to the loop of instep peg 12; leave it there: the foot’s rows "
        "are counted from it."
    )
    read = read_steps([StepsPart("Heel flap", (tie, row))], pegs=16, working=Working.LEFT_TO_RIGHT)
    assert [note.label for note in read.notes] == ["Thread"]
    for title, lines in (("Heel flap", (row, tie)), ("Leg", (tie,))):
        with pytest.raises(ReadError, match="tied before the heel flap is begun"):
            read_steps([StepsPart(title, lines)], pegs=16, working=Working.LEFT_TO_RIGHT)


LOOM_LINE = "Loom: 16 pegs, 5/8 in apart; the first round runs from left to right.\n"


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("A sock\n", "no line tells of the loom"),
        ("A sock\nLoom: many pegs.\n", "not told as it should be"),
        ("A sock\n" + LOOM_LINE + "Foreword\n", "before the first part’s title"),
        ("A sock\n" + LOOM_LINE + "Leg\n---\n    more\n", "goes on with nothing"),
        ("A sock\n" + LOOM_LINE + "Leg\n---\nBe glad.\n", "neither a row, nor a note"),
        ("A sock\n" + LOOM_LINE + "Leg\n---\n[ ] Be glad. [ ] 1\n", "tick boxes that name no"),
        ("A sock\n" + LOOM_LINE + "Leg\n---\n[ ] Row 1  pegs 1–2 knit.\n", "neither an arrow"),
    ],
)
def test_text_that_is_not_understood_is_named(text, what):
    with pytest.raises(ReadError, match=what):
        read_steps_text(text)


def chart(*lines, title="Heel turn", columns=("3", "4", "5", "6", "7"), across=None):
    return PlainChart(title, columns, lines, across)


TAIL = ChartAcross(3, 4, "× 2, to peg 9")
BAD_CHARTS = [
    (chart(title="Sleeve"), "not the title of a part"),
    (chart(columns=("3", "5")), "peg 5 does not come after peg 3"),
    (chart(columns=("4", "3")), "peg 3 does not come after peg 4"),
    (chart(columns=("3", "x")), "not a number or a run"),
    (chart(columns=("3–3",)), "a run of one"),
    (chart(columns=("3", "17")), "there is no peg 17"),
    (chart(columns=("3–2", "3")), "17 pegs in one row"),
    (chart(across=ChartAcross(4, 5, "× 2, to peg 9")), "not stand over columns"),
    (chart(across=ChartAcross(3, 4, "× 2, to peg 10")), "the repeat ends on peg 9"),
    (chart(across=ChartAcross(3, 4, "× 1, to peg 7")), "the repeat ends on peg 7"),
    (chart(across=ChartAcross(3, 4, "twice")), "not a repeat across"),
    (chart(columns=("3–6", "7"), across=ChartAcross(0, 1, "× 2, to peg 12")), "several pegs"),
    (chart(ChartRowLine("kkkk", "1")), "4 cells in 5 columns"),
    (chart(ChartStripLine("HH")), "2 cells in 5 columns"),
    (chart(ChartRowLine("kkkkk")), "must stand on one side"),
    (chart(ChartRowLine("kkkkk", "1", "1")), "must stand on one side"),
    (chart(ChartRowLine("     ", "1")), "without a worked cell"),
    (chart(ChartRowLine("kk kk", "1")), "peg 6 does not come after peg 4"),
    (chart(ChartRowLine("kkqkk", "1")), "“q” at peg 5 is no symbol"),
    (chart(ChartRowLine("kkkkh", "1")), "“h” at peg 7 where “ ” is due"),
    (chart(ChartRowLine("kkkk.", "1")), "“.” at peg 7 where “ ” is due"),
    (chart(ChartRowLine("kkkkx", "1")), "does not suit what is on the peg"),
    (chart(ChartRowLine("kkkkj", "1")), "no held loop is left to join"),
    (chart(ChartRowLine("kkkkk", "1", count="6 stitches")), "the row has 5"),
    (chart(ChartRowLine("kkkkk", "2")), "row 2 where row 1 is due"),
    (chart(ChartRowLine("kkkkk", "one")), "not a row number"),
    (chart(ChartRowLine("kkkkk", "partial")), "belongs to the heel flap"),
    (chart(ChartRowLine("kkkkk", "1"), title="Closing the toe"), "no rows in the closing"),
    (chart(ChartStripLine("     ")), "marks of one kind"),
    (chart(ChartStripLine("H   B")), "marks of one kind"),
    (chart(ChartStripLine("Q    ")), "marks of one kind"),
    (chart(ChartStripLine("    H"), ChartRowLine("kkkkk", "1")), "while its loop is on a holder"),
    (chart(ChartStripLine("    H"), ChartRowLine("kkkk ", "1")), "where “h” is due"),
    (chart(ChartStripLine("    M"), ChartRowLine("kkkkk", "1")), "does not suit what is on"),
    (chart(ChartFoldLine("row 2: as row 1")), "row 1 was not read before"),
    (chart(ChartRowLine("kkkkk", "1"), ChartFoldLine("row 2: repeat row 1")), "does not suit"),
    (chart(ChartRowLine("kkkkk", "1"), ChartFoldLine("rows 2–3: as row 1")), "does not suit"),
    (chart(ChartRowLine("kkkkk", "1"), ChartFoldLine("row 3: as row 1")), "row 3 where row 2"),
    (chart(ChartRowLine("kkkkk", "1"), ChartFoldLine("and so on")), "not a line that names"),
    (
        chart(
            ChartRowLine("kkkkk", "1"),
            ChartRowLine("kkkkk", "2"),
            ChartFoldLine("rows 3–5: repeat rows 1–2"),
        ),
        "no whole number of groups",
    ),
]


@pytest.mark.parametrize(("printed", "what"), BAD_CHARTS)
def test_a_chart_that_is_not_understood_is_named(printed, what):
    with pytest.raises(ReadError, match=re.escape(what)) as caught:
        read_chart(printed, Ring(16, Working.LEFT_TO_RIGHT))
    assert caught.value.part == printed.title
    assert caught.value.line


def test_chart_text_that_is_not_understood_is_named():
    ring = Ring(16, Working.LEFT_TO_RIGHT)
    with pytest.raises(ReadError, match="neither a row label nor a stitch count"):
        read_chart_text("Leg\n  | k | k | many\n  | 1 | 2 | pegs\n", ring)
    with pytest.raises(ReadError, match="not the title of a part"):
        read_chart_text("", ring)


# Anything altered on the page is noticed.

TOKEN = re.compile(r"\d+|[A-Za-z’-]+|[→←–;:,.+]")
SWAPS = ["knit", "purl", "slip", "left", "right", "front", "back", "row", "rows", "→", "←", ""]


def altered_tokens(text):
    """Every number, word, arrow and stop of the lines that tell what to do, changed in turn."""
    at = text.index("Cast on and cuff")
    note = False
    for printed in text[at:].splitlines(keepends=True):
        if not printed.startswith(" "):
            note = printed.startswith(("Check:", "Count:"))
        boxes = re.fullmatch(r"[\s\d]*(\[ \][\s\d]*)+\n", printed)
        if not note and not boxes and not printed.startswith("-"):
            for token in TOKEN.finditer(printed):
                for other in instead(token[0]):
                    yield (
                        text[: at + token.start()] + other + text[at + token.end() :],
                        printed,
                    )
        at += len(printed)


def instead(token):
    if token.isdigit():
        return [str(int(token) + 1), str(int(token) - 1)]
    if token in SWAPS:
        return [other for other in SWAPS if other != token]
    return ["", "knit"]


def told(read):
    """Everything that has a box to tick."""
    return read.events, [note for note in read.notes if note.label == "Thread"]


@pytest.mark.parametrize("spec", MUTATED)
def test_a_word_altered_in_the_steps_is_noticed(spec):
    knit = proved(spec)
    text = steps_text(knit, make_steps(knit))
    right = read_steps_text(text)
    unnoticed = []
    mutants = 0
    for altered, printed in altered_tokens(text):
        mutants += 1
        try:
            same = told(read_steps_text(altered)) == told(right)
        except ReadError:
            continue
        if same:
            unnoticed.append(printed)
    assert mutants > 2000
    assert unnoticed == []


@pytest.mark.parametrize("spec", MUTATED)
def test_a_step_dropped_or_changed_with_its_neighbour_is_noticed(spec):
    knit = proved(spec)
    parts = printed_steps(make_steps(knit))
    ring = ring_of(knit)
    right = read_steps(parts, pegs=ring.pegs, working=ring.working)
    assert right.events == knit.rows.events
    for at, part in enumerate(parts):
        steps = [step for step in part.lines if step.label not in ("Check", "Count", "Graft")]
        dropped = [steps[:place] + steps[place + 1 :] for place in range(len(steps))]
        swapped = [
            [*steps[:place], steps[place + 1], steps[place], *steps[place + 2 :]]
            for place in range(len(steps) - 1)
        ]
        for lines in (*dropped, *swapped):
            altered = [*parts[:at], StepsPart(part.title, tuple(lines)), *parts[at + 1 :]]
            try:
                read = read_steps(altered, pegs=ring.pegs, working=ring.working)
            except ReadError:
                continue
            assert told(read) != told(right)


def altered_charts(printed, cells):
    """Every cell, label, mark and name of the chart changed in turn."""
    for place, label in enumerate(printed.columns):
        for token in re.finditer(r"\d+", label):
            new = label[: token.start()] + str(int(token[0]) + 1) + label[token.end() :]
            columns = (*printed.columns[:place], new, *printed.columns[place + 1 :])
            yield replace(printed, columns=columns), label
    for at, drawn in enumerate(printed.lines):
        for new in altered_lines(drawn, cells):
            yield replace(printed, lines=(*printed.lines[:at], new, *printed.lines[at + 1 :])), new
        yield replace(printed, lines=printed.lines[:at] + printed.lines[at + 1 :]), drawn


def altered_lines(drawn, cells):
    if isinstance(drawn, ChartFoldLine):
        for token in re.finditer(r"\d+", drawn.text):
            for other in (int(token[0]) - 1, int(token[0]) + 1):
                yield ChartFoldLine(
                    f"{drawn.text[: token.start()]}{other}{drawn.text[token.end() :]}"
                )
        return
    if isinstance(drawn, ChartRowLine):
        yield replace(drawn, left_label=drawn.right_label, right_label=drawn.left_label)
        for shown in cells:
            for place, cell in enumerate(drawn.cells):
                if cell != shown:
                    changed = drawn.cells[:place] + shown + drawn.cells[place + 1 :]
                    yield replace(drawn, cells=changed, count="")
        return
    for place, mark in enumerate(drawn.marks):
        for shown in "HG ":
            if mark != shown:
                yield ChartStripLine(drawn.marks[:place] + shown + drawn.marks[place + 1 :])


@pytest.mark.parametrize("folding", Folding)
@pytest.mark.parametrize("spec", MUTATED)
def test_a_cell_altered_in_a_chart_is_noticed(spec, folding):
    knit = proved(spec)
    ring = ring_of(knit)
    unnoticed = []
    mutants = 0
    for part in parts_of(knit):
        made = make_chart(knit, part, folding=folding, fold_up=part is not Part.TURN)
        printed = printed_chart(made)
        right = read_chart(printed, ring)
        assert list(right.rows) == rows_of(knit, part)
        for altered, where in altered_charts(printed, "kpRlhx. "):
            mutants += 1
            try:
                same = read_chart(altered, ring).events == right.events
            except ReadError:
                continue
            if same:
                unnoticed.append((part, where))
    assert mutants > 2000
    assert unnoticed == []
