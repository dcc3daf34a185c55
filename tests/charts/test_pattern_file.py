"""Reading and writing pattern files: what is accepted, and what each refusal says."""

import subprocess
import sys
import time
import tomllib
from types import MappingProxyType

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from charts.lengths import read_length
from charts.loom import Loom, Working
from charts.pattern_file import decode_pattern, read_pattern, with_lines, write_pattern
from charts.problems import PatternError, Problem
from charts.spec import (
    BallBand,
    Cuff,
    EaseWanted,
    Flanks,
    Foot,
    FootInstep,
    Gauge,
    Gusset,
    Heel,
    House,
    Leftover,
    Leg,
    Length,
    Motif,
    RowCount,
    ShortRows,
    SockSpec,
    SwatchCount,
    Toe,
    ToeShape,
    Units,
    WearerFacts,
    YarnAmount,
)
from charts.stitches import mirrored
from charts.usual import with_usual_rows

EVERY_KEY = '''\
title = "Harbour steps"
designer = "Designer line"
notes = """
First line.
Second line.
"""
units = "in"
knit = "u-wrap"
yarn = "medium weight wool"

[loom]
pegs = 40
spacing = "3/8 in"
working = "right to left"

[gauge]
stitches = 14.5
rows = 20
per = "10 cm"

[cuff]
rib = "k3 p1"
rows = 12
leftover = "knit"

[leg]
rows = 33
panel = "steps"
across = 2
flanks = "rib"
round_start_shift = 1

[heel]
pegs = 26
centre = 8
flap_rows = 18

[gusset]
corner_bars = true

[foot]
rows = 44
instep = "plain"

[toe]
shape = "tapered"
side = 7
short_rows = "wrap and turn"

[pair]
mirror_cables = true

[house]
licence = "For your own knitting and for gifts."
copyright = "© 2026 Designer line"
logo = "marks/reed.png"
accent = "#0072b2"
edition = 2
date = 2026-03-14

[motif.steps]
rows = """
p k k k p
p r L k p

pkRlp
"""

[motif.Unused-2_]
rows = "k"
'''

EVERY_VALUE = SockSpec(
    title="Harbour steps",
    loom=Loom(40, 9.525, "3/8 in", Working.RIGHT_TO_LEFT),
    designer="Designer line",
    notes="First line.\nSecond line.",
    units=Units.IN,
    knit="u-wrap",
    yarn="medium weight wool",
    gauge=Gauge(14.5, 20.0),
    cuff=Cuff(rows=12, rib="kkkp", leftover=Leftover.KNIT),
    leg=Leg(rows=33, panel="steps", across=2, flanks=Flanks.RIB, round_start_shift=1),
    heel=Heel(pegs=26, centre=8, flap_rows=18),
    gusset=Gusset(corner_bars=True),
    foot=Foot(rows=44, instep=FootInstep.PLAIN),
    toe=Toe(shape=ToeShape.TAPERED, side=7, short_rows=ShortRows.WRAPPED),
    mirror_second_sock=True,
    house=House(
        licence="For your own knitting and for gifts.",
        copyright="© 2026 Designer line",
        logo="marks/reed.png",
        accent="#0072b2",
        edition="2",
        date="2026-03-14",
    ),
    motifs={
        "steps": Motif("steps", ("pkRlp", "prLkp", "pkkkp")),
        "Unused-2_": Motif("Unused-2_", ("k",)),
    },
)

EVERY_KEY_OF_A_WEARER = """\
title = "A"
loom = { pegs = 40, spacing = "3/8 in" }

[gauge]
weight = "4"
swatches = [
  { stitches = 15, rows = 20, over = "10 cm", high = "5 cm", yarn = "3.2 m", washed = false },
  { stitches = 16.5, rows = 21, over = "4 in", yarn = "2.1 g" },
  { stitches = 15, rows = 20, yarn = "3.5 yd" },
]

[wearer]
length = "23.5 cm"
ball = "8 3/4 in"
ankle = "21 cm"
heel_round = "310 mm"
leg_round = "25 cm"
leg_height = "20 cm"
heel_width = "6.5 cm"
heel_height = "6.5 cm"
shoe = "EU 38"
class = "woman"

[ease]
round = "12.5 %"
length = "−1%"

[ball]
metres = 90
grams = 50.5
weight = "Super Fine"
strands = 2

[leg]
rows = 12
round_to_motif = true

[foot]
round_to_motif = true
"""

EVERY_VALUE_OF_A_WEARER = SockSpec(
    title="A",
    loom=Loom(40, 9.525, "3/8 in"),
    gauge=Gauge((15 + 1650 / 101.6 + 15) / 3, (40 + 2100 / 101.6 + 20) / 3),
    swatches=(
        SwatchCount(
            15.0,
            20.0,
            Length(100.0, "10 cm"),
            Length(50.0, "5 cm"),
            YarnAmount(3200.0, None, "3.2 m"),
            washed=False,
        ),
        SwatchCount(16.5, 21.0, Length(101.6, "4 in"), yarn=YarnAmount(None, 2.1, "2.1 g")),
        # a yard is 0.9144 m: NIST Special Publication 811 (2008), appendix B.8
        SwatchCount(15.0, 20.0, yarn=YarnAmount(3.5 * 914.4, None, "3.5 yd")),
    ),
    gauge_weight="medium",
    wearer=WearerFacts(
        length=Length(235.0, "23.5 cm"),
        ball=Length(222.25, "8 3/4 in"),
        ankle=Length(210.0, "21 cm"),
        heel_round=Length(310.0, "310 mm"),
        leg_round=Length(250.0, "25 cm"),
        leg_height=Length(200.0, "20 cm"),
        heel_width=Length(65.0, "6.5 cm"),
        heel_height=Length(65.0, "6.5 cm"),
        shoe="EU 38",
        foot_class="woman",
    ),
    ease=EaseWanted(12.5, -1.0),
    ball=BallBand(90.0, 50.5, "super fine", 2),
    leg=Leg(rows=12, round_to_motif=True),
    foot=Foot(rows=32, round_to_motif=True),
    left_out=frozenset({RowCount.CUFF, RowCount.FOOT}),
)

LEAST = 'title = "A"\n[loom]\npegs = 40\nspacing = "3/8 in"\n'
"""The shortest pattern file; it takes lines 1 to 4."""


def problems_of(call, argument, **options):
    try:
        call(argument, **options)
    except PatternError as error:
        return error.problems
    return ()


def messages(text, **options):
    return [problem.text("sock.toml") for problem in problems_of(read_pattern, text, **options)]


def test_every_key_is_read():
    assert read_pattern(EVERY_KEY) == EVERY_VALUE


def test_every_key_of_a_wearer_is_read():
    assert read_pattern(EVERY_KEY_OF_A_WEARER) == EVERY_VALUE_OF_A_WEARER


def test_rows_that_are_not_given_are_left_to_be_worked_out():
    assert read_pattern(LEAST).left_out == frozenset(RowCount)
    assert read_pattern(LEAST + "[wearer]").left_out == frozenset(RowCount)
    given = "[wearer]\n[cuff]\nrows = 16\n[leg]\nrows = 32\n[foot]\nrows = 50\n"
    assert read_pattern(LEAST + given).left_out == frozenset()


def test_title_and_loom_are_enough():
    spec = read_pattern(LEAST)
    assert spec == SockSpec(
        title="A",
        loom=Loom(40, 9.525, "3/8 in"),
        leg=Leg(rows=32),
        foot=Foot(rows=32),
        left_out=frozenset(RowCount),
    )


def test_motif_rows_are_kept_bottom_row_first():
    assert read_pattern(EVERY_KEY).motifs["steps"].rows[0] == "pkRlp"


def test_count_over_4_in_is_turned_into_a_count_over_10_cm():
    spec = read_pattern(LEAST + '[gauge]\nstitches = 15\nrows = 20.32\nper = "4 in"')
    # 4 in are 10.16 cm: NIST Special Publication 811 (2008), appendix B.8
    assert spec.gauge == Gauge(15 / 1.016, 20.0)


@pytest.mark.parametrize(
    ("rib", "letters"),
    [
        ("k2 p2", "kkpp"),
        ("k2p2", "kkpp"),
        ("K2, P2", "kkpp"),
        ("  k1   p1 ", "kp"),
        ("k1,p1", "kp"),
        ("p1 k3", "pkkk"),
        ("k1 k1 p02", "kkpp"),
        ("k11 p1", "k" * 11 + "p"),
    ],
)
def test_rib_is_read_however_it_is_spaced(rib, letters):
    assert read_pattern(LEAST + f'[cuff]\nrib = "{rib}"').cuff.rib == letters


RIB = 'allowed: k and p with counts such as "k2 p2", 12 pegs in all at most'
LENGTH = 'allowed: a length such as "3/8 in", "1 1/4 in", "9.5 mm" or "0.95 cm"'


def loom(pegs="40", spacing='"3/8 in"', more=""):
    return f'title = "A"\n[loom]\npegs = {pegs}\nspacing = {spacing}\n{more}'


def motif(*rows):
    return LEAST + '[motif.m]\nrows = """\n' + "\n".join(rows) + '\n"""'


BAD_MEANING = [
    # whole numbers
    (
        loom(pegs="8"),
        "sock.toml:3: loom.pegs: 8 is too small; allowed: a whole number from 16 to 120",
    ),
    (
        loom(pegs="121"),
        "sock.toml:3: loom.pegs: 121 is too large; allowed: a whole number from 16 to 120",
    ),
    (
        loom(pegs="24.0"),
        "sock.toml:3: loom.pegs: 24.0 is not a whole number; "
        "allowed: a whole number from 16 to 120; try: 24",
    ),
    (
        loom(pegs="24.5"),
        "sock.toml:3: loom.pegs: 24.5 is not a whole number; "
        "allowed: a whole number from 16 to 120",
    ),
    (
        loom(pegs='"24"'),
        'sock.toml:3: loom.pegs: "24" is not a whole number; '
        "allowed: a whole number from 16 to 120; try: 24 without quotes",
    ),
    (
        loom(pegs="true"),
        "sock.toml:3: loom.pegs: true is not a whole number; "
        "allowed: a whole number from 16 to 120",
    ),
    (
        loom(pegs="[24]"),
        "sock.toml:3: loom.pegs: a list is not a whole number; "
        "allowed: a whole number from 16 to 120",
    ),
    (
        loom(pegs="{ all = 24 }"),
        "sock.toml:3: loom.pegs: a table is not a whole number; "
        "allowed: a whole number from 16 to 120",
    ),
    (
        loom(pegs="2024-01-01"),
        "sock.toml:3: loom.pegs: a date or time is not a whole number; "
        "allowed: a whole number from 16 to 120",
    ),
    (
        loom(pegs="nan"),
        "sock.toml:3: loom.pegs: nan is not a whole number; allowed: a whole number from 16 to 120",
    ),
    (
        loom(pegs="0x" + "f" * 5000),
        "sock.toml:3: loom.pegs: a number of 20 digits or more is too large; "
        "allowed: a whole number from 16 to 120",
    ),
    # lengths
    (
        loom(spacing="9.5"),
        f'sock.toml:4: loom.spacing: 9.5 is not a length with a unit; {LENGTH}; try: "9.5 mm"',
    ),
    (
        loom(spacing='"3/8"'),
        f'sock.toml:4: loom.spacing: "3/8": a length needs a unit; {LENGTH}; try: "3/8 in"',
    ),
    (
        loom(spacing='"9,5 mm"'),
        f'sock.toml:4: loom.spacing: "9,5 mm": \'9,5\' is not a number; {LENGTH}; try: "9.5 mm"',
    ),
    (
        loom(spacing='"wide"'),
        f'sock.toml:4: loom.spacing: "wide": a length needs a number; {LENGTH}',
    ),
    (
        loom(spacing="true"),
        f"sock.toml:4: loom.spacing: true is not a length with a unit; {LENGTH}",
    ),
    (
        loom(spacing='"2.9 mm"'),
        'sock.toml:4: loom.spacing: "2.9 mm" is 2.9 mm, too small for a peg spacing; '
        "allowed: 3 to 30 mm, centre to centre",
    ),
    (
        loom(spacing='"1 1/4 in"'),
        'sock.toml:4: loom.spacing: "1 1/4 in" is 31.75 mm, too large for a peg spacing; '
        "allowed: 3 to 30 mm, centre to centre",
    ),
    # words
    (
        loom(more='working = "Left to Right"'),
        'sock.toml:5: loom.working: "Left to Right" is not one of the words here; '
        'allowed: "left to right" or "right to left"; try: "left to right"',
    ),
    (
        'units = "inch"\n' + LEAST,
        'sock.toml:1: units: "inch" is not one of the words here; allowed: "cm", "in", '
        '"cm only" or "in only"; try: "in"',
    ),
    (
        'knit = "uwrap"\n' + LEAST,
        'sock.toml:1: knit: "uwrap" is not one of the words here; '
        'allowed: "flat", "u-wrap" or "e-wrap"; try: "u-wrap"',
    ),
    (
        'knit = "FLAT"\n' + LEAST,
        'sock.toml:1: knit: "FLAT" is not one of the words here; '
        'allowed: "flat", "u-wrap" or "e-wrap"; try: "flat"',
    ),
    (
        "knit = 1\n" + LEAST,
        'sock.toml:1: knit: 1 is not one of the words here; allowed: "flat", "u-wrap" or "e-wrap"',
    ),
    (
        LEAST + '[toe]\nshape = "pointed"',
        'sock.toml:6: toe.shape: "pointed" is not one of the words here; '
        'allowed: "blunt" or "tapered"',
    ),
    # true and false
    (
        LEAST + '[pair]\nmirror_cables = "true"',
        'sock.toml:6: pair.mirror_cables: "true" is neither true nor false; '
        "allowed: true or false; try: true without quotes",
    ),
    (
        LEAST + '[pair]\nmirror_cables = "No"',
        'sock.toml:6: pair.mirror_cables: "No" is neither true nor false; '
        "allowed: true or false; try: false without quotes",
    ),
    (
        LEAST + "[gusset]\ncorner_bars = 1",
        "sock.toml:6: gusset.corner_bars: 1 is neither true nor false; "
        "allowed: true or false; try: true",
    ),
    (
        LEAST + "[gusset]\ncorner_bars = 0.0",
        "sock.toml:6: gusset.corner_bars: 0.0 is neither true nor false; allowed: true or false",
    ),
    # gauge
    (
        LEAST + "[gauge]\nstitches = 0\nrows = 20",
        "sock.toml:6: gauge.stitches: 0 is too small; allowed: 1 to 100",
    ),
    (
        LEAST + "[gauge]\nstitches = inf\nrows = 20",
        "sock.toml:6: gauge.stitches: inf is too large; allowed: 1 to 100",
    ),
    (
        LEAST + "[gauge]\nstitches = nan\nrows = 20",
        "sock.toml:6: gauge.stitches: nan is no number; allowed: 1 to 100",
    ),
    (
        LEAST + "[gauge]\nstitches = true\nrows = 20",
        "sock.toml:6: gauge.stitches: true is not a number; allowed: 1 to 100",
    ),
    (
        LEAST + '[gauge]\nstitches = "14.5"\nrows = 20',
        'sock.toml:6: gauge.stitches: "14.5" is not a number; '
        "allowed: 1 to 100; try: 14.5 without quotes",
    ),
    (
        LEAST + "[gauge]\nstitches = 15",
        "sock.toml:5: gauge.rows: this key is missing; "
        "allowed: the rows counted in 10 cm, or in what per says",
    ),
    (
        LEAST + '[gauge]\nstitches = 15\nrows = 20\nper = "1 in"',
        'sock.toml:8: gauge.per: "1 in" is not one of the words here; '
        'allowed: "10 cm" or "4 in"; try: "4 in"',
    ),
    (
        LEAST + "[gauge]\nrows = 20\nweight = 'medium'",
        "sock.toml:5: gauge.stitches: this key is missing; "
        "allowed: the stitches counted in 10 cm, or in what per says",
    ),
    (
        LEAST + '[gauge]\nweight = "mediun"',
        'sock.toml:6: gauge.weight: "mediun" is no weight category; allowed: "lace", "super fine", '
        '"fine", "light", "medium", "bulky", "super bulky" or "jumbo", or its number from 0 to 7; '
        'try: "medium"',
    ),
    (
        LEAST + "[gauge]\nstitches = 15\nrows = 20\nswatches = [{ stitches = 15, rows = 20 }]",
        "sock.toml:6: gauge.stitches: the gauge is given twice: here and by swatches; "
        "try: leave stitches out, or the swatches",
        "sock.toml:7: gauge.rows: the gauge is given twice: here and by swatches; "
        "try: leave rows out, or the swatches",
    ),
    (
        LEAST + "[gauge]\nswatches = { stitches = 15, rows = 20 }",
        "sock.toml:6: gauge.swatches: a table is not a list of tables; allowed: tables in braces; "
        "try: [{ stitches = …, rows = … }]",
    ),
    (
        LEAST + "[gauge]\nswatches = []",
        "sock.toml:6: gauge.swatches: 0 are too few; allowed: 1 to 20",
    ),
    (
        LEAST
        + "[gauge]\nswatches = [\n{ stitches = 15, rows = 20 },\n{ stitches = 15, over = 10 }]",
        "sock.toml:8: gauge.swatches.2.over: 10 is not a length with a unit; "
        f'{LENGTH}; try: "10 cm"',
        "sock.toml:8: gauge.swatches.2.rows: this key is missing",
    ),
    (
        LEAST + '[gauge]\nswatches = [{ stitches = 15, rows = 20, yarn = "2.1" }]',
        'sock.toml:6: gauge.swatches.1.yarn: "2.1" is no amount of yarn; allowed: yarn by length '
        'or weight, such as "3.2 m", "3.5 yd" or "2.1 g"; try: "2.1 m" or "2.1 g"',
    ),
    (
        LEAST + '[gauge]\nswatches = [{ stitches = 15, rows = 20, yarn = "2.1 g" }]',
        "sock.toml:6: gauge.swatches.1.yarn: grams tell no length of yarn without a ball's metres "
        'and grams; try: give them under [ball], or the yarn\'s weight, as weight = "medium" '
        "under [ball]",
    ),
    # the wearer, ease and ball
    (
        LEAST + "[wearer]\nlength = 23.5",
        f'sock.toml:6: wearer.length: 23.5 is not a length with a unit; {LENGTH}; try: "23.5 cm"',
    ),
    (
        LEAST + '[wearer]\nlength = "23.5"',
        f'sock.toml:6: wearer.length: "23.5": a length needs a unit; {LENGTH}; try: "23.5 cm"',
    ),
    (
        LEAST + '[wearer]\nheel_round = "31 m"',
        f"sock.toml:6: wearer.heel_round: \"31 m\": 'm' is not a unit of length; {LENGTH}",
    ),
    (
        LEAST + '[wearer]\nlength = "9.5 mm"',
        'sock.toml:6: wearer.length: "9.5 mm" is 9.5 mm, too small for the length of a foot; '
        'allowed: 2 to 70 cm; try: "9.5 cm"',
    ),
    (
        LEAST + '[wearer]\nheel_round = "235 cm"',
        'sock.toml:6: wearer.heel_round: "235 cm" is 2350 mm, too large for the heel round of a '
        "foot; allowed: 2 to 70 cm",
    ),
    (
        LEAST + "[wearer]\nshoe = 38",
        "sock.toml:6: wearer.shoe: 38 is no shoe size; allowed: a shoe size such as "
        '"EU 38", "UK 5", "US men 9.5", "US women 8", "child UK 10", "child US 10", "US youth 2" '
        'or "mondopoint 240"; try: "EU 38"',
    ),
    (
        LEAST + '[wearer]\nshoe = "EU 99"',
        'sock.toml:6: wearer.shoe: "EU 99": there is no EU 99; allowed: EU 14 to 53',
    ),
    (
        LEAST + '[wearer]\nclass = "girl"',
        "sock.toml:6: wearer.class: \"girl\": 'girl' is no class of feet; allowed: a class such as "
        '"newborn", "girl 7", "boy 10", "child 4" (2 to 18 years), "woman", "small woman" or '
        '"large man"; try: girl 7, boy 7 or child 7',
    ),
    (
        LEAST + "[wearer]\nball_round = '22 cm'",
        "sock.toml:6: wearer.ball_round: there is no such key; allowed: length, ball, ankle, "
        "heel_round, leg_round, leg_height, heel_width, heel_height, shoe and class; try: "
        "leg_round",
    ),
    (
        LEAST + "[ease]\nround = 10",
        "sock.toml:6: ease.round: 10 is not a share in percent; allowed: a share from "
        '"-10 %" to "25 %" by which the sock is smaller; try: "10 %"',
    ),
    (
        LEAST + '[ease]\nlength = "11 %"',
        'sock.toml:6: ease.length: "11 %" smaller is too much; allowed: a share from "-5 %" to '
        '"10 %" by which the sock is smaller; try: "10 %"',
    ),
    (
        LEAST + "[ball]\nmetres = 90",
        "sock.toml:6: ball.metres: the metres of a ball say too little without its grams; "
        'try: give grams too, or the yarn\'s weight, as weight = "medium" under [ball]',
    ),
    (
        LEAST + '[ball]\nmetres = "90 m"\ngrams = 50',
        'sock.toml:6: ball.metres: "90 m" is not a number; allowed: a number above 0, up to 5000; '
        "try: 90 without quotes",
    ),
    (
        LEAST + "[foot]\nround_to_motif = 1",
        "sock.toml:6: foot.round_to_motif: 1 is neither true nor false; "
        "allowed: true or false; try: true",
    ),
    (
        LEAST + "[[size]]\nname = 'S'",
        "sock.toml:5: size: the pattern has sizes: it is not one sock",
    ),
    # ribs
    (
        LEAST + '[cuff]\nrib = "2x2"',
        f'sock.toml:6: cuff.rib: "2x2" is not a rib; {RIB}; try: "k2 p2"',
    ),
    (
        LEAST + '[cuff]\nrib = "3×1 rib"',
        f'sock.toml:6: cuff.rib: "3×1 rib" is not a rib; {RIB}; try: "k3 p1"',
    ),
    (
        LEAST + '[cuff]\nrib = "kkpp"',
        f'sock.toml:6: cuff.rib: "kkpp" is not a rib; {RIB}; try: "k2 p2"',
    ),
    (
        LEAST + '[cuff]\nrib = "k, p"',
        f'sock.toml:6: cuff.rib: "k, p" is not a rib; {RIB}; try: "k1 p1"',
    ),
    (
        LEAST + '[cuff]\nrib = "knit two"',
        f'sock.toml:6: cuff.rib: "knit two" is not a rib; {RIB}',
    ),
    (
        LEAST + '[cuff]\nrib = ""',
        f'sock.toml:6: cuff.rib: "" is not a rib; {RIB}',
    ),
    (
        LEAST + "[cuff]\nrib = 2",
        f'sock.toml:6: cuff.rib: 2 is not a rib; {RIB}; try: "k2 p2"',
    ),
    (
        LEAST + '[cuff]\nrib = "k2"',
        f'sock.toml:6: cuff.rib: "k2" is no rib: it needs both knit and purl; {RIB}',
    ),
    (
        LEAST + '[cuff]\nrib = "k2 p0"',
        f'sock.toml:6: cuff.rib: "k2 p0" counts no pegs for a stitch; {RIB}',
    ),
    (
        LEAST + '[cuff]\nrib = "k7 p6"',
        f'sock.toml:6: cuff.rib: "k7 p6" takes 13 pegs, too many; {RIB}',
    ),
    # text
    (
        "title = 24\n" + LEAST[12:],
        'sock.toml:1: title: 24 is not text; allowed: text in quotes; try: "24"',
    ),
    (
        "title = false\n" + LEAST[12:],
        "sock.toml:1: title: false is not text; allowed: text in quotes",
    ),
    (
        'title = "  "\n' + LEAST[12:],
        "sock.toml:1: title: the text is empty; allowed: 1 to 120 characters",
    ),
    (
        f'title = "{"x" * 121}"\n' + LEAST[12:],
        "sock.toml:1: title: 121 characters are too many; allowed: up to 120 characters",
    ),
    (
        f'designer = "{"x" * 81}"\n' + LEAST,
        "sock.toml:1: designer: 81 characters are too many; allowed: up to 80 characters",
    ),
    (
        f'notes = "{"x" * 2001}"\n' + LEAST,
        "sock.toml:1: notes: 2,001 characters are too many; allowed: up to 2,000 characters",
    ),
    (
        'notes = "a\\tb"\n' + LEAST,
        "sock.toml:1: notes: a tab at character 2; allowed: text over several lines",
    ),
    (
        'notes = "a\\nb\\u001b"\n' + LEAST,
        "sock.toml:1: notes: the unprintable U+001B at character 4; "
        "allowed: text over several lines",
    ),
    (
        'designer = "a\\nb"\n' + LEAST,
        "sock.toml:1: designer: a new line at character 2; allowed: text on one line",
    ),
    (
        'yarn = "a\\u202Eb"\n' + LEAST,
        "sock.toml:1: yarn: the unprintable U+202E at character 2; allowed: text on one line",
    ),
    # keys and tables
    (
        "[loom]\npegs = 40\nspacing = '3/8 in'",
        "sock.toml: title: this key is missing; allowed: text in quotes",
    ),
    (
        'title = "A"\n[loom]\npegs = 40',
        f"sock.toml:2: loom.spacing: this key is missing; {LENGTH}",
    ),
    (
        "tittle = 'A'\n" + LEAST,
        "sock.toml:1: tittle: there is no such key; "
        "allowed: title, designer, notes, units, knit and yarn; try: title",
    ),
    (
        LEAST + "[cuffs]\nrows = 16",
        "sock.toml:5: cuffs: there is no such table; allowed: loom, gauge, wearer, ease, ball, "
        "cuff, leg, heel, gusset, foot, toe, pair, house, motif and size; try: cuff",
    ),
    (
        LEAST + "[leg]\nrow = 16",
        "sock.toml:6: leg.row: there is no such key; "
        "allowed: rows, panel, across, flanks, round_start_shift and round_to_motif; try: rows",
    ),
    (
        LEAST + "[loom.extra]\n",
        "sock.toml:5: loom.extra: there is no such table",
    ),
    (
        LEAST + 'designer = "B"',
        "sock.toml:5: loom.designer: there is no such key; allowed: pegs, spacing and working; "
        "try: move it above the first [table]",
    ),
    (
        "side = 6\n" + LEAST,
        "sock.toml:1: side: there is no such key; "
        "allowed: title, designer, notes, units, knit and yarn; try: move it under [toe]",
    ),
    (
        "rows = 6\n" + LEAST,
        "sock.toml:1: rows: there is no such key; allowed: title, designer, notes, units, knit "
        "and yarn; try: move it under [gauge], [cuff], [leg] or [foot]",
    ),
    (
        '"" = 6\n' + LEAST,
        'sock.toml:1: "": there is no such key; '
        "allowed: title, designer, notes, units, knit and yarn",
    ),
    (
        '"loom.\\npegs" = 6\n' + LEAST,
        'sock.toml:1: "loom. pegs": there is no such key; '
        "allowed: title, designer, notes, units, knit and yarn",
    ),
    (
        "cuff = 3\n" + LEAST,
        "sock.toml:1: cuff: 3 is not a table; try: [cuff] on a line of its own",
    ),
    (
        LEAST + "[[cuff]]\nrows = 3",
        "sock.toml:5: cuff: a list is not a table; try: [cuff] on a line of its own",
    ),
    # motifs
    (
        motif("p k k p", "p R x p", "p k k p"),
        "sock.toml:8: motif.m.rows: column 3: 'x' is not a letter of a motif; allowed: k p R r L l",
    ),
    (
        motif("p k k p", "", "K p p K"),
        "sock.toml:9: motif.m.rows: columns 1 and 4: 'K' is not a letter of a motif; "
        "allowed: k p R r L l; try: 'k'",
    ),
    (
        motif("p\u00a0p"),
        "sock.toml:7: motif.m.rows: column 2: U+00A0 is not a letter of a motif; "
        "allowed: k p R r L l",
    ),
    (
        motif("p k k p", "p k p", "p k k p"),
        "sock.toml:8: motif.m.rows: the row has 3 stitches, the others 4; "
        "allowed: rows of one width",
    ),
    (
        motif("p k k p", "p", "p k k p"),
        "sock.toml:8: motif.m.rows: the row has 1 stitch, the others 4; allowed: rows of one width",
    ),
    # no number is tried again that would be refused again
    (
        loom(spacing="inf"),
        f"sock.toml:4: loom.spacing: inf is not a length with a unit; {LENGTH}",
    ),
    (
        loom(spacing="-3"),
        f"sock.toml:4: loom.spacing: -3 is not a length with a unit; {LENGTH}",
    ),
    (
        LEAST + "[ease]\nround = inf",
        "sock.toml:6: ease.round: inf is not a share in percent; "
        'allowed: a share from "-10 %" to "25 %" by which the sock is smaller',
    ),
    (
        motif("p k p", "p k k p", "p k k p"),
        "sock.toml:7: motif.m.rows: the row has 3 stitches, the others 4; "
        "allowed: rows of one width",
    ),
    (
        motif("k\u2028k"),
        "sock.toml:7: motif.m.rows: column 2: U+2028 is not a letter of a motif; "
        "allowed: k p R r L l",
    ),
    (
        motif("p k k p", "p R k p"),
        "sock.toml:8: motif.m.rows: column 2: strand 'R' needs 'l' to its right; "
        "allowed: R with l to its right, r with L to its right",
    ),
    (
        motif("p k l p"),
        "sock.toml:7: motif.m.rows: column 3: strand 'l' has no partner on its left; "
        "allowed: R with l to its right, r with L to its right",
    ),
    (
        motif("k" * 61),
        "sock.toml:7: motif.m.rows: the row has 61 stitches, too many; allowed: 1 to 60",
    ),
    (
        motif(*["k"] * 61),
        "sock.toml:6: motif.m.rows: 61 rows are too many; allowed: 1 to 60 rows",
    ),
    (
        motif(" ", ""),
        "sock.toml:6: motif.m.rows: the motif has no rows; allowed: 1 to 60 rows",
    ),
    (
        LEAST + "[motif.m]\nrows = ['k']",
        "sock.toml:6: motif.m.rows: a list is not a drawing; allowed: text over several lines; "
        'try: the rows as lines between """ and """',
    ),
    (
        LEAST + "[motif.m]",
        "sock.toml:5: motif.m.rows: this key is missing",
    ),
    (
        LEAST + "[motif.m]\nrows = 'k'\nrow = 'k'",
        "sock.toml:7: motif.m.row: there is no such key; allowed: rows; try: rows",
    ),
    (
        LEAST + "[motif]\nrows = 'k'",
        "sock.toml:6: motif.rows: a motif is a table of its own; "
        "try: [motif.NAME], in single brackets, on the line above the rows",
    ),
    (
        LEAST + "[[motif.m]]\nrows = 'k'",
        "sock.toml:5: motif.m: a motif is a table of its own; "
        "try: [motif.NAME], in single brackets, on the line above the rows",
    ),
    (
        "motif = 'm'\n" + LEAST,
        'sock.toml:1: motif: "m" is not a table; try: [motif.NAME] on a line of its own',
    ),
    (
        LEAST + "[motif.'two words']\nrows = 'k'",
        'sock.toml:5: motif."two words": this is not a name for a motif; '
        "allowed: 1 to 40 letters a–z or A–Z, digits, - and _",
    ),
    (
        LEAST + "[leg]\npanel = 'diamnd'\n[motif.diamond]\nrows = 'k'\n[motif.wave]\nrows = 'k'",
        'sock.toml:6: leg.panel: there is no motif "diamnd"; allowed: "diamond" or "wave"; '
        'try: "diamond"',
    ),
    (
        LEAST + "[leg]\npanel = 'wave'",
        'sock.toml:6: leg.panel: there is no motif "wave"; try: draw it under [motif.wave]',
    ),
    (
        LEAST + "[leg]\npanel = ''",
        'sock.toml:6: leg.panel: there is no motif ""',
    ),
    (
        LEAST + "[leg]\npanel = 'm1'\n" + "".join(f"[motif.x{n}]\nrows = 'k'\n" for n in range(22)),
        'sock.toml:6: leg.panel: there is no motif "m1"; allowed: '
        + ", ".join(f'"x{n}"' for n in range(20))
        + " or 2 more",
    ),
]


@pytest.mark.parametrize(
    ("text", "expected"),
    [(text, told) for text, *told in BAD_MEANING],
    ids=lambda it: repr(it)[:60],
)
def test_refusal_names_place_key_fault_and_remedy_on_one_line(text, expected):
    assert messages(text) == expected


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "title: A",
            'line 1: column 6: there is a name but no = behind it; try: title = "A"',
        ),
        (
            "title = “A”",
            'line 1: column 9: the quote marks are curly; try: "A" in straight quotes',
        ),
        (
            LEAST + 'yarn = "3/8""',
            'line 5: column 13: the inch sign ends the text; try: "3/8 in"',
        ),
        (
            'title = "A\n[loom]',
            "line 1: column 11: a text in quotes is not closed; try: the same quote mark at both "
            "ends, or three at each end of text over several lines",
        ),
        (
            LEAST + "\n[motif.m]\nrows = '''\nk\nk\n",
            "line 7: a text in quotes is not closed; try: the same quote mark at both "
            "ends, or three at each end of text over several lines",
        ),
        (
            'title = "A\x01"',
            "line 1: column 11: a control character stands here; try: delete it",
        ),
        (
            'title = "A\\d"',
            "line 1: column 13: a text holds a backslash just before this; "
            "try: write it twice, \\\\",
        ),
        (
            "[loom]\n[loom]\n",
            "line 2: loom: this table stands here twice, first on line 1; "
            "try: put all its keys under one heading",
        ),
        (
            "title = 'A'\n\ntitle = 'B'\n\n",
            "line 3: title: this name stands here twice, first on line 1; try: keep one of the two",
        ),
        (
            "title = 'A'\n\ntitle = 'B'",
            "line 3: title: this name stands here twice, first on line 1; try: keep one of the two",
        ),
        (
            "[loom",
            "line 1: the heading of a table is not closed; try: [name] on a line of its own",
        ),
        ("[]", "line 1: column 2: a name is missing; try: name = value, or [name]"),
        (
            "= 3",
            "line 1: column 1: this line is neither [table] nor name = value; try: name = value",
        ),
        ("a = [1\nb = 2", "line 2: column 1: a list is not closed; try: close it with ]"),
        ("a = {b = 2", "line 1: a table in braces is not closed; try: close it with }"),
        ("\n\na = " + "9" * 5000, "line 3: a number has thousands of digits"),
        (
            "\na = " + "[" * 5000,
            "line 2: tables or lists within one another too deep; "
            "allowed: up to 8 within one another",
        ),
        (
            "a." * 200_000 + "a = 1\na = 1",
            "line 1: tables or lists within one another too deep; "
            "allowed: up to 8 within one another",
        ),
    ],
    ids=lambda text: repr(text)[:60],
)
def test_text_that_is_not_toml_is_refused_alone_with_its_line(text, message):
    assert [problem.text() for problem in problems_of(read_pattern, text)] == [message]


def test_all_problems_are_reported_at_once_in_the_order_of_the_file():
    text = """\
titel = "A"
[loom]
pegs = 12
spacing = "3/8"
[cuff]
rib = "2x2"
[leg]
panel = "m"
[toe]
side = true
[motif.n]
rows = '''
kk
kx
kkk
'''
"""
    assert [(problem.line, problem.key) for problem in problems_of(read_pattern, text)] == [
        (None, "title"),
        (1, "titel"),
        (3, "loom.pegs"),
        (4, "loom.spacing"),
        (6, "cuff.rib"),
        (8, "leg.panel"),
        (10, "toe.side"),
        (14, "motif.n.rows"),
        (15, "motif.n.rows"),
    ]


COUNTS = [
    ("loom", "pegs", 16, 120),
    ("cuff", "rows", 1, 200),
    ("leg", "rows", 0, 400),
    ("leg", "across", 1, 20),
    ("leg", "round_start_shift", 0, 11),
    ("heel", "pegs", 1, 120),
    ("heel", "centre", 1, 120),
    ("heel", "flap_rows", 1, 400),
    ("foot", "rows", 4, 400),
    ("toe", "side", 1, 120),
    ("ball", "strands", 1, 6),
]


@pytest.mark.parametrize(("table", "key", "least", "most"), COUNTS)
def test_counts_are_taken_up_to_their_limits_and_no_further(table, key, least, most):
    def text(count):
        line = f"{key} = {count}"
        return (
            LEAST.replace("pegs = 40", line)
            if key == "pegs" and table == "loom"
            else (LEAST + f"[{table}]\n{line}")
        )

    for count in (least, most):
        assert getattr(getattr(read_pattern(text(count)), table), key) == count
    for count in (least - 1, most + 1):
        [message] = messages(text(count))
        assert f"{table}.{key}: {count} is too" in message
        assert message.endswith(f"; allowed: a whole number from {least} to {most}")


def test_more_pegs_are_taken_where_the_caller_allows_them():
    text = LEAST.replace("40", "2000")
    assert read_pattern(text, most_pegs=2000).loom.pegs == 2000
    assert messages(text, most_pegs=1999) == [
        "sock.toml:3: loom.pegs: 2000 is too large; allowed: a whole number from 16 to 1999"
    ]


def test_unused_motif_is_no_problem():
    assert read_pattern(motif("k p")).motifs["m"].rows == ("kp",)


def test_faulty_motif_is_not_reported_missing_as_well():
    [message] = messages(LEAST + "[leg]\npanel = 'm'\n[motif.m]\nrows = 'x'")
    assert "motif.m.rows" in message


def test_suggestions_stop_after_twenty_unknown_keys():
    text = LEAST + "[leg]\n" + "\n".join(f"row{number} = 1" for number in range(30))
    assert sum("try: rows" in message for message in messages(text)) == 20


def test_later_problems_get_the_line_of_their_key_or_of_its_table():
    text = LEAST + "[heel]\ncentre = 7\n"
    problems = (
        Problem("odd", key="heel.centre"),
        Problem("too few", key="heel.pegs"),
        Problem("none", key="toe.side"),
        Problem("all of it"),
        Problem("known", key="heel.centre", line=1),
    )
    assert [problem.line for problem in with_lines(problems, text)] == [6, 5, 3, None, 1]


# Bytes.


@pytest.mark.parametrize(
    "data",
    [
        LEAST.encode(),
        b"\xef\xbb\xbf" + LEAST.encode(),
        LEAST.replace("\n", "\r\n").encode(),
        b"\xef\xbb\xbf" + LEAST.replace("\n", "\r\n").encode(),
    ],
)
def test_byte_order_mark_and_line_ends_make_no_difference(data):
    assert decode_pattern(data) == LEAST


UTF_16 = "the file is UTF-16 or UTF-32 text; try: save it as UTF-8"
ZERO = "line 1: there is a zero byte: this is not UTF-8 text; try: save it as UTF-8"


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (LEAST.encode("utf-16"), UTF_16),
        (b"\xfe\xff" + LEAST.encode("utf-16-be"), UTF_16),
        (LEAST.encode("utf-32"), UTF_16),
        (LEAST.encode("utf-16-le"), ZERO),
        (b"a\n\nb\x00", ZERO.replace("1", "3", 1)),
        (
            b"\xef\xbb\xbfa\n\xe9t\xe9",
            "line 2: there is a byte that is not UTF-8 text; try: save it as UTF-8",
        ),
        (
            b"a\n\n\xed\xa0\x80",
            "line 3: there is a byte that is not UTF-8 text; try: save it as UTF-8",
        ),
        (
            b"#" * 1_000_001,
            "the file is 1,000,001 bytes long, too long for a pattern; "
            "allowed: up to 1,000,000 bytes",
        ),
    ],
    ids=lambda data: repr(data)[:40],
)
def test_bytes_that_are_no_text_are_refused_with_one_problem(data, message):
    assert [problem.text() for problem in problems_of(decode_pattern, data)] == [message]


@given(st.binary(max_size=40))
def test_any_bytes_are_decoded_or_refused(data):
    assert len(problems_of(decode_pattern, data)) <= 1


# Writing.


def test_only_what_differs_from_the_defaults_is_written():
    assert write_pattern(read_pattern(LEAST)) == (
        'title = "A"\n\n[loom]\npegs = 40\nspacing = "3/8 in"\n'
    )


def test_rows_that_win_over_a_wearer_are_written_even_if_they_are_the_usual_ones():
    text = LEAST + "[wearer]\n[cuff]\nrows = 16\n[leg]\nrows = 32\n[foot]\nrows = 50\n"
    assert read_pattern(write_pattern(read_pattern(text))) == read_pattern(text)


def test_motif_is_written_as_it_is_drawn():
    text = motif("p k k p", "p R l p")
    assert write_pattern(read_pattern(text)).endswith(
        '[motif.m]\nrows = """\np k k p\np R l p\n"""\n'
    )


def printable(most):
    controls = "".join(map(chr, (*range(32), *range(127, 160), 0x2028, 0x2029)))
    turning = "".join(map(chr, (*range(0x202A, 0x202F), *range(0x2066, 0x206A))))
    letters = st.characters(exclude_characters=controls + turning, exclude_categories=["Cs"])
    return st.text(letters | st.sampled_from("\"\\'# ="), max_size=most).map(str.strip)


row_parts = st.sampled_from(["k", "p", "Rl", "rL", "RRl", "rLL"])


@st.composite
def motif_rows(draw):
    first = "".join(draw(st.lists(row_parts, min_size=1, max_size=20)))
    plain = "k" * len(first)
    return tuple(
        draw(st.lists(st.sampled_from([first, mirrored(first), plain]), min_size=1, max_size=60))
    )


names = st.text("abcXYZ0189-_", min_size=1, max_size=40)


def counts(table, key):
    [(least, most)] = [limits[2:] for limits in COUNTS if limits[:2] == (table, key)]
    return st.integers(least, most)


rates = st.floats(1, 100) | st.integers(1, 100).map(float)
spacings = st.sampled_from(["3/8 in", '1/4"', "½ in", "9.5 mm", "0.95 cm", "1 1/16 inch", "30mm"])


lengths = st.builds(
    lambda number, unit: Length(read_length(f"{number} {unit}"), f"{number} {unit}"),
    st.integers(30, 500).map(lambda tenths: f"{tenths / 10:g}"),
    st.just("cm"),
) | st.sampled_from(["2 3/4 in", "200 mm"]).map(lambda text: Length(read_length(text), text))
amounts = st.sampled_from(
    [
        YarnAmount(3200.0, None, "3.2 m"),
        YarnAmount(None, 2.1, "2.1 g"),
        YarnAmount(50.0, None, "5 cm"),
    ]
)
weights = st.sampled_from(["", "lace", "super fine", "medium", "jumbo"])
percents = st.integers(-50, 100).map(lambda tenths: tenths / 10)
whole_or_not = st.floats(0, 400, exclude_min=True) | st.integers(1, 400).map(float)

wearers = st.builds(
    WearerFacts,
    *[st.none() | lengths] * 8,
    shoe=st.sampled_from(["", "EU 38", "Women's UK 5½", "mondopoint 240"]),
    foot_class=st.sampled_from(["", "girl 7", "large man"]),
)


houses = st.builds(
    House,
    licence=printable(300),
    copyright=printable(120),
    logo=st.sampled_from(["", "a.png", "marks/reed bank.JPEG"]),
    accent=st.sampled_from(["", "#0072B2", "#ffffff"]),
    edition=st.sampled_from(["", "1", "2.10", "12.0.3b"]),
    date=st.sampled_from(["", "2026", "2024-02-29", "Mid-March 2026"]),
)


@st.composite
def gauges_and_balls(draw):
    """What a file can tell of gauge and ball, as fields of the spec."""
    fields = {
        "gauge": draw(st.none() | st.builds(Gauge, rates, rates)),
        "gauge_weight": draw(weights),
        "ball": BallBand(
            draw(st.none() | whole_or_not),
            draw(st.none() | whole_or_not),
            draw(weights),
            draw(counts("ball", "strands")),
        ),
    }
    band = fields["ball"]
    known = band.weight or fields["gauge_weight"] or (band.metres and band.grams)
    if not known:
        fields["ball"] = BallBand(strands=band.strands)
    swatches = draw(
        st.lists(
            st.builds(
                SwatchCount,
                whole_or_not,
                whole_or_not,
                st.just(Length(100.0, "10 cm")) | lengths,
                st.none() | lengths,
                st.none() | (amounts if known else amounts.filter(lambda yarn: yarn.mm)),
                st.booleans(),
            ),
            max_size=3,
        )
    )
    if swatches:
        stitches = [100 * one.stitches / one.over.mm for one in swatches]
        rows = [100 * one.rows / (one.high or one.over).mm for one in swatches]
        fields["swatches"] = tuple(swatches)
        fields["gauge"] = Gauge(sum(stitches) / len(stitches), sum(rows) / len(rows))
    return fields


@st.composite
def specs(draw):
    wearer = draw(st.none() | wearers)
    left_out = draw(st.frozensets(st.sampled_from(RowCount)))

    def rows(table, default):
        of_wearer = RowCount(f"{table}.rows") in left_out
        return st.just(default) if of_wearer else counts(table, "rows")

    motifs = draw(st.dictionaries(names, motif_rows(), max_size=3))
    spacing = draw(spacings)
    panel = st.none() | st.sampled_from(sorted(motifs)) if motifs else st.none()
    ribs = st.text("kp", min_size=2, max_size=12).filter(lambda rib: len(set(rib)) == 2)
    return SockSpec(
        title=draw(printable(120).filter(bool)),
        loom=Loom(
            draw(counts("loom", "pegs")),
            read_length(spacing),
            spacing,
            draw(st.sampled_from(Working)),
        ),
        designer=draw(printable(80)),
        notes="\n".join(draw(st.lists(printable(60), max_size=5))).strip(),
        units=draw(st.sampled_from(Units)),
        knit=draw(st.sampled_from(["flat", "u-wrap", "e-wrap"])),
        yarn=draw(printable(80)),
        wearer=wearer,
        house=draw(houses),
        left_out=left_out,
        ease=EaseWanted(draw(st.none() | percents), draw(st.none() | percents)),
        **draw(gauges_and_balls()),
        cuff=draw(st.builds(Cuff, rows("cuff", 16), ribs, st.sampled_from(Leftover))),
        leg=draw(
            st.builds(
                Leg,
                rows("leg", 32),
                panel,
                counts("leg", "across"),
                st.sampled_from(Flanks),
                st.none() | counts("leg", "round_start_shift"),
                st.booleans(),
            )
        ),
        heel=draw(
            st.builds(
                Heel,
                st.none() | counts("heel", "pegs"),
                st.none() | counts("heel", "centre"),
                st.none() | counts("heel", "flap_rows"),
            )
        ),
        gusset=draw(st.builds(Gusset, st.booleans())),
        foot=draw(st.builds(Foot, rows("foot", 50), st.sampled_from(FootInstep), st.booleans())),
        toe=draw(
            st.builds(
                Toe,
                st.sampled_from(ToeShape),
                st.none() | counts("toe", "side"),
                st.sampled_from(ShortRows),
            )
        ),
        mirror_second_sock=draw(st.booleans()),
        motifs=MappingProxyType({name: Motif(name, rows) for name, rows in motifs.items()}),
    )


@settings(max_examples=200, deadline=None)
@given(specs().map(with_usual_rows))
def test_reading_what_was_written_gives_the_same_spec(spec):
    written = write_pattern(spec)
    assert read_pattern(written) == spec
    assert decode_pattern(written.encode()) == written


# Any TOML at all.

KEYS = [
    *("title", "loom", "pegs", "spacing", "gauge", "rows", "cuff", "rib", "leg", "panel", "motif"),
    *(
        "swatches",
        "stitches",
        "yarn",
        "weight",
        "wearer",
        "length",
        "shoe",
        "class",
        "ease",
        "round",
    ),
    *("ball", "metres", "grams"),
]
odd_values = st.recursive(
    st.sampled_from(["1", "-7", "24.0", "nan", "-inf", "true", "07:32:00", "2024-01-01"])
    | st.sampled_from(['"10 %"', '"EU 38"', '"2 g"', '"24 cm"', '"girl 7"', '"fine"', '"- %"'])
    | st.sampled_from(['""', '"k2 p2"', '"3/8 in"', '"\\u0000"', '"""\nk\nR"""', "'''\n\n'''"]),
    lambda inner: (
        st.lists(inner, max_size=2).map(lambda items: f"[{', '.join(items)}]")
        | st.dictionaries(st.sampled_from(KEYS), inner, max_size=2).map(
            lambda items: "{" + ", ".join(f"{key} = {value}" for key, value in items.items()) + "}"
        )
    ),
    max_leaves=4,
)


@settings(max_examples=300, deadline=None)
@given(
    st.dictionaries(st.sampled_from(KEYS), odd_values, max_size=4),
    st.dictionaries(
        st.sampled_from([*KEYS, "motif.m", "'x y'"]),
        st.dictionaries(st.sampled_from(KEYS), odd_values, max_size=3),
        max_size=3,
    ),
)
def test_any_toml_is_a_spec_or_a_list_of_one_line_problems(top, tables):
    text = "".join(f"{key} = {value}\n" for key, value in top.items())
    for name, table in tables.items():
        text += f"[{name}]\n" + "".join(f"{key} = {value}\n" for key, value in table.items())
    for problem in problems_of(read_pattern, text):
        assert problem.text().isprintable()
        assert problem.line is None or 1 <= problem.line <= text.count("\n") + 1


@settings(max_examples=300)
@given(st.text(alphabet="tile=\"'\n[]{}., #1k\\") | st.text())
def test_any_text_without_a_loom_is_refused(text):
    problems = problems_of(read_pattern, text)
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        assert len(problems) == 1
    else:
        assert len(problems) >= 3


# Cost.


def test_usual_file_is_read_within_three_milliseconds():
    def once():
        start = time.process_time()
        read_pattern(EVERY_KEY)
        return time.process_time() - start

    assert min(once() for _ in range(20)) < 0.003


@pytest.mark.parametrize(
    "text",
    [
        LEAST + "\n".join(f"row{number} = 1" for number in range(20_000)),
        "\n".join(f"[motf{number}]" for number in range(20_000)),
        motif(*["kx"] * 60_000),
        motif("z" * 200_000),
        f'title = "{"k" * 200_000}"',
    ],
    ids=["keys", "tables", "rows", "row", "text"],
)
def test_file_full_of_faults_is_refused_in_good_time(text):
    # a check that took quadratic time would need minutes here
    start = time.process_time()
    assert messages(text)
    assert time.process_time() - start < 5


def test_modules_that_only_messages_need_are_not_loaded_for_a_good_file():
    code = (
        "import sys; from charts.pattern_file import read_pattern; "
        f"read_pattern({LEAST!r}); "
        "print(sorted({'difflib', 'fractions', 'decimal', 'layouts'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"
