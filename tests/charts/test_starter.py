"""The starter pattern: it reads, plans and knits on every loom, and its remarks are true."""

import re
import tomllib
from dataclasses import replace

import pytest

from charts.pattern_file import read_pattern
from charts.plan import make_plan
from charts.problems import PatternError
from charts.sock import make_rows
from charts.starter import StarterChoices, make_starter
from charts.verify import verify

FINE, MIDDLE, WIDE = "1/4 in", "3/8 in", "3/4 in"


def starter(pegs=40, spacing=MIDDLE, title="Ridge path", **options):
    return make_starter(StarterChoices(title, pegs, spacing, **options))


def with_remarks_set(text):
    """The starter with every remark that looks like a line of the pattern made one."""
    return re.sub(r"^# (\w+ = |\[\w+\]$)", r"\1", text, flags=re.MULTILINE)


@pytest.mark.parametrize("spacing", [FINE, MIDDLE, WIDE])
@pytest.mark.parametrize("pegs", range(16, 121))
def test_starter_reads_back_and_plans_on_every_loom(pegs, spacing):
    spec = read_pattern(starter(pegs, spacing))
    assert (spec.loom.pegs, spec.loom.spacing_text) == (pegs, spacing)
    plan = make_plan(spec)
    assert plan.panel_pegs <= plan.instep_pegs
    assert plan.panel is not None or plan.instep_pegs < 4


@pytest.mark.parametrize("knit", ["flat", "u-wrap", "e-wrap"])
@pytest.mark.parametrize("pegs", [16, 25, 40, 57])
def test_starter_can_be_knitted(pegs, knit):
    plan = make_plan(read_pattern(starter(pegs, knit=knit)))
    assert verify(plan, make_rows(plan)).plan.spec.knit == knit


@pytest.mark.parametrize(
    ("pegs", "rib", "leftover"),
    [
        (16, "kkpp", "refuse"),
        (18, "kp", "refuse"),
        (21, "kkp", "refuse"),
        (31, "kp", "knit"),
        (36, "kkpp", "refuse"),
        (42, "kp", "refuse"),
        (45, "kkp", "refuse"),
        (49, "kp", "knit"),
    ],
)
def test_rib_divides_the_pegs_if_a_usual_one_does(pegs, rib, leftover):
    cuff = read_pattern(starter(pegs)).cuff
    assert (cuff.rib, cuff.leftover.value) == (rib, leftover)


@pytest.mark.parametrize(
    ("pegs", "spacing", "instep", "width"),
    [
        # heel by the rule (common practice, no published source): half rounded down, plus 6, 4, 2
        (16, FINE, 2, None),
        (17, FINE, 3, None),
        (20, FINE, 4, 4),
        (21, FINE, 5, 5),
        (24, FINE, 6, 6),
        (40, MIDDLE, 16, 6),
        (41, MIDDLE, 17, 7),
        (24, WIDE, 10, 6),
        (31, WIDE, 14, 6),
        (120, FINE, 54, 6),
    ],
)
def test_motif_is_as_wide_as_the_instep_takes_and_centred(pegs, spacing, instep, width):
    plan = make_plan(read_pattern(starter(pegs, spacing)))
    assert plan.instep_pegs == instep
    assert (plan.panel.width if plan.panel else None) == width


def test_zigzag_runs_to_the_right_and_back():
    text = starter(40)
    assert text.endswith(
        '''\
[motif.zigzag]
rows = """
p k k k k p
p r L k k p
p k k k k p
p k r L k p
p k k k k p
p k k r L p
p k k k k p
p k k R l p
p k k k k p
p k R l k p
p k k k k p
p R l k k p
"""
'''
    )


def test_leg_ends_on_a_whole_motif():
    for pegs in (24, 40, 41, 56):
        spec = read_pattern(starter(pegs))
        assert spec.leg.rows % spec.motifs["zigzag"].height == 0


@pytest.mark.parametrize("pegs", [16, 25, 40, 57, 120])
@pytest.mark.parametrize("spacing", [FINE, MIDDLE, WIDE])
def test_remarks_show_what_holds_if_they_are_left_out(pegs, spacing):
    text = starter(pegs, spacing)
    left_out, set_here = read_pattern(text), read_pattern(with_remarks_set(text))
    plan, same = make_plan(left_out), make_plan(set_here)
    counts = ("heel_pegs", "centre_pegs", "flap_rows", "toe_side", "shift", "cuff_letters")
    assert [getattr(plan, name) for name in counts] == [getattr(same, name) for name in counts]
    assert left_out == replace(
        set_here,
        gauge=None,
        gauge_weight="",
        wearer=None,
        ease=left_out.ease,
        ball=left_out.ball,
        heel=left_out.heel,
        toe=replace(set_here.toe, side=None),
        leg=replace(set_here.leg, round_start_shift=None),
        house=left_out.house,
    )


def test_every_key_of_the_pattern_file_is_shown():
    shown = tomllib.loads(with_remarks_set(starter()))
    assert {
        key: set(value) if isinstance(value, dict) else None for key, value in shown.items()
    } == {
        "title": None,
        "designer": None,
        "notes": None,
        "units": None,
        "knit": None,
        "yarn": None,
        "loom": {"pegs", "spacing", "working"},
        "gauge": {"stitches", "rows", "per", "weight"},  # and swatches, which exclude counts
        "wearer": {
            *("length", "ball", "ankle", "heel_round", "leg_round", "leg_height"),
            *("heel_width", "heel_height", "shoe", "class"),
        },
        "ease": {"round", "length"},
        "ball": {"metres", "grams", "weight", "strands"},
        "cuff": {"rib", "rows", "leftover"},
        "leg": {"rows", "panel", "across", "flanks", "round_start_shift", "round_to_motif"},
        "heel": {"pegs", "centre", "flap_rows"},
        "gusset": {"corner_bars"},
        "foot": {"rows", "instep", "round_to_motif"},
        "toe": {"shape", "side", "short_rows"},
        "pair": {"mirror_cables"},
        "house": {"licence", "copyright", "logo", "accent", "edition", "date"},
        "motif": {"zigzag"},
    }


def test_every_line_that_sets_something_has_a_remark():
    lines = starter().splitlines()
    setting = [line for line in lines if re.match(r"(# )?\w+ = ", line)]
    bare = [line for line in setting if "  # " not in line]
    assert len(setting) == 56
    assert bare == ['title = "Ridge path"', 'rows = """']


def test_lines_fit_a_terminal_of_100_columns():
    for pegs in (16, 31, 120):
        assert max(map(len, starter(pegs).splitlines())) <= 100


def test_cautions_come_with_every_starter():
    for pegs in (16, 40):
        text = starter(pegs)
        assert "The swatch decides." in text
        assert "ask a doctor or nurse" in text


@pytest.mark.parametrize("title", ['The "round" one', "Back\\slash", "# no remark", "Größe 38"])
def test_title_is_kept_whatever_it_holds(title):
    assert read_pattern(starter(title=title)).title == title


def test_choices_a_pattern_may_not_hold_are_refused_all_at_once():
    with pytest.raises(PatternError) as caught:
        starter(8, "3/8", title="two\nlines", knit="flatt")
    assert [problem.text() for problem in caught.value.problems] == [
        "title: a new line at character 4; allowed: text on one line",
        'knit: "flatt" is not one of the words here; allowed: "flat", "u-wrap" or "e-wrap"; '
        'try: "flat"',
        "loom.pegs: 8 is too small; allowed: a whole number from 16 to 120",
        'loom.spacing: "3/8": a length needs a unit; allowed: a length such as "3/8 in", '
        '"1 1/4 in", "9.5 mm" or "0.95 cm"; try: "3/8 in"',
    ]
