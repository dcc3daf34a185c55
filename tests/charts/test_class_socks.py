"""Who of a class knits what: each sock is that of a pattern file with the row written into it."""

from __future__ import annotations

import pytest

from charts.class_socks import PersonSock, knit_pair, sock_for
from charts.hands import mirror_image
from charts.loom import Loom, Working
from charts.looms_file import OwnedLoom
from charts.pattern_file import read_pattern
from charts.plan import Plan, make_plan
from charts.problems import PatternError
from charts.roster import Choices, read_roster
from charts.sizes import open_sizes

HEAD = """\
title = "Ferry sock"
{yarn}
[loom]
pegs = {pegs}
spacing = "{spacing}"
"""
GAUGE = "[gauge]\nstitches = {stitches}\nrows = {rows}\n"
BODY = '[cuff]\nrib = "k1 p1"\nrows = 10\n[leg]\nrows = 20\n'
FOOT = "[foot]\nrows = 34\n"
HEEL = "[heel]\npegs = 26\ncentre = 10\n[toe]\nside = 5\n"


def pattern(
    *,
    pegs: int = 40,
    spacing: str = "3/8 in",
    gauge: tuple[int, int] | None = (15, 20),
    foot: bool = True,
    heel: bool = True,
    wearer: str = "",
) -> str:
    """A pattern file, each part of which can be left out."""
    parts = [HEAD.format(pegs=pegs, spacing=spacing, yarn="")]
    if gauge is not None:
        parts.append(GAUGE.format(stitches=gauge[0], rows=gauge[1]))
    parts.append(BODY)
    parts += [FOOT] * foot + [HEEL] * heel
    return "".join(parts) + (f"[wearer]\n{wearer}\n" if wearer else "")


SIZED = pattern(heel=False, foot=False) + (
    '[[size]]\nname = "Small"\nloom = { pegs = 32 }\nwearer = { length = "23 cm" }\n'
    '[[size]]\nname = "Large"\nloom = { pegs = 40 }\nwearer = { length = "27 cm" }\n'
)
LOOMS = (
    OwnedLoom("fine ring", Loom(56, 6.35, "1/4 in")),
    OwnedLoom("same ring", Loom(40, 9.5, "9.5 mm")),
)


def sock(row: str, text: str | None = None) -> PersonSock:
    """Of a roster's one row, under a head with every column that decides a sock."""
    opened = open_sizes(text or pattern())
    head = "who,size,foot length cm,ball round cm,shoe,loom,pegs,gauge"
    roster = read_roster(f"{head}\n{row}", Choices(opened.names, LOOMS))
    assert roster.problems == ()
    return sock_for(roster.people[0], opened)


def counts(plan: Plan) -> tuple[object, ...]:
    """Everything that is counted in a plan."""
    spec = plan.spec
    rows = (spec.cuff.rows, spec.leg.rows, plan.flap_rows, plan.turn_rows, spec.foot.rows)
    pegs = (plan.loom, plan.heel_pegs, plan.centre_pegs, plan.gusset_pegs, plan.toe_pegs)
    return (*rows, *pegs, plan.toe_side, plan.cuff_letters, spec.gauge)


def by_hand(text: str) -> tuple[object, ...]:
    """The counts of a pattern file into which the row was written by hand."""
    return counts(make_plan(read_pattern(text)))


def counted(row: str, text: str | None = None) -> tuple[object, ...]:
    return counts(make_plan(sock(row, text).sock))


def test_blank_row_is_the_patterns_own_sock() -> None:
    assert counted("A,,,,,,,") == by_hand(pattern())


def test_foot_takes_the_wearers_place_and_decides_its_rows() -> None:
    wearer = 'length = "24 cm"\nball = "23 cm"'
    assert counted("A,,24,23,,,,") == by_hand(pattern(foot=False, wearer=wearer))
    old = pattern(wearer='length = "20 cm"\nheel_width = "9 cm"')
    assert counted("A,,24,23,,,,", old) == by_hand(pattern(foot=False, wearer=wearer))


NO_ROWS = HEAD.format(pegs=32, spacing="3/8 in", yarn="") + GAUGE.format(stitches=15, rows=20)
MEDIUM = 'length = "25 cm"\nball = "24 cm"\nankle = "22 cm"\nleg_height = "21.5 cm"'


def sized(wearer: str) -> str:
    """A file of one size, whose cuff, leg and foot follow from its wearer."""
    entries = wearer.replace("\n", ", ")
    return f'{NO_ROWS}[[size]]\nname = "Medium"\nwearer = {{ {entries} }}\n'


@pytest.mark.parametrize(
    ("row", "wearer", "kept"),
    [
        (
            "A,Medium,24,23,,,,",
            'length = "24 cm"\nball = "23 cm"\nankle = "22 cm"\nleg_height = "21.5 cm"',
            ["leg height", "round the ankle"],
        ),
        (
            "A,Medium,24,,,,,",
            'length = "24 cm"\nball = "24 cm"\nankle = "22 cm"\nleg_height = "21.5 cm"',
            ["leg height", "round the ankle", "round the ball"],
        ),
        # A shoe tells the length: the size's own would win over it.
        (
            "A,Medium,,,EU 38,,,",
            'shoe = "EU 38"\nball = "24 cm"\nankle = "22 cm"\nleg_height = "21.5 cm"',
            ["leg height", "round the ankle", "round the ball"],
        ),
    ],
)
def test_own_foot_keeps_what_the_row_does_not_measure(
    row: str, wearer: str, kept: list[str]
) -> None:
    made = sock(row, sized(MEDIUM))
    assert counts(make_plan(made.sock)) == by_hand(f"{NO_ROWS}[wearer]\n{wearer}\n")
    assert [one.name for one in made.kept] == kept
    # 21.5 cm at 20 rows in 10 cm, less the flap: not the 0.7 of a foot that is guessed.
    assert made.sock.leg.rows + made.sock.cuff.rows == 43 - make_plan(made.sock).flap_rows


def test_of_a_pattern_without_sizes_the_height_of_the_leg_alone_is_kept() -> None:
    made = sock("A,,24,,,,,", f"{NO_ROWS}[wearer]\n{MEDIUM}\n")
    wearer = 'length = "24 cm"\nleg_height = "21.5 cm"'
    assert counts(make_plan(made.sock)) == by_hand(f"{NO_ROWS}[wearer]\n{wearer}\n")
    assert [tuple(one) for one in made.kept] == [("leg height", "21.5 cm")]


def test_height_of_the_row_wins_over_the_sizes_and_keeps_its_foot() -> None:
    head = "who,size,leg height cm"
    person = read_roster(f"{head}\nA,Medium,18", Choices(("Medium",), ())).people[0]
    made = sock_for(person, open_sizes(sized(MEDIUM)))
    wearer = MEDIUM.replace("21.5", "18")
    assert counts(make_plan(made.sock)) == by_hand(f"{NO_ROWS}[wearer]\n{wearer}\n")


def test_shoe_size_stands_for_a_foot() -> None:
    assert counted("A,,,,EU 42,,,") == by_hand(pattern(foot=False, wearer='shoe = "EU 42"'))


def test_other_ring_leaves_the_numbers_of_the_patterns_ring_to_the_rules() -> None:
    assert counted("A,,,,,,36,") == by_hand(pattern(pegs=36, heel=False))


def test_same_ring_keeps_them() -> None:
    same = counted("A,,,,,,40,")
    assert same == by_hand(pattern())
    assert same[6] == 26


def test_other_spacing_leaves_gauge_and_rows_behind() -> None:
    fine = 'title = "Ferry sock"\n[loom]\npegs = 56\nspacing = "1/4 in"\n[cuff]\nrib = "k1 p1"\n'
    assert counted("A,,,,,fine ring,,") == by_hand(fine)


def test_spacing_that_differs_by_a_hair_is_the_same() -> None:
    # 9.5 mm for 3/8 in, which is 9.525 mm: 0.3 % less.
    assert counted("A,,,,,same ring,,") == by_hand(pattern(spacing="9.5 mm"))


def test_own_swatch_takes_the_place_of_the_gauge() -> None:
    wearer = 'length = "24 cm"'
    assert counted("A,,24,,,,,18 x 24") == by_hand(
        pattern(foot=False, gauge=(18, 24), wearer=wearer)
    )
    assert counted("A,,24,,,fine ring,,20 x 28") == by_hand(
        'title = "Ferry sock"\n[loom]\npegs = 56\nspacing = "1/4 in"\n[cuff]\nrib = "k1 p1"\n'
        '[gauge]\nstitches = 20\nrows = 28\n[wearer]\nlength = "24 cm"\n'
    )


def test_size_is_the_patterns_and_may_be_changed_too() -> None:
    small = pattern(pegs=32, heel=False, foot=False, wearer='length = "23 cm"')
    assert counted("A,Small,,,,,,", SIZED) == by_hand(small)
    own = pattern(pegs=32, heel=False, foot=False, wearer='length = "25 cm"')
    assert counted("A,Small,25,,,,,", SIZED) == by_hand(own)
    ring = pattern(pegs=36, heel=False, foot=False, wearer='length = "23 cm"')
    assert counted("A,Small,,,,,36,", SIZED) == by_hand(ring)


def test_loom_alone_takes_no_size_of_a_pattern_with_sizes() -> None:
    bare = pattern(pegs=36, heel=False, foot=False, wearer='length = "24 cm"')
    assert counted("A,,24,,,,36,", SIZED) == by_hand(bare)


def test_left_hand_is_the_mirror_image_with_the_same_counts() -> None:
    opened = open_sizes(pattern())
    people = read_roster("who,hand,pegs\nA,left,36\nB,,36\nC,right-handed,36").people
    left, plain, right = (sock_for(person, opened).sock for person in people)
    assert plain == right
    assert left == mirror_image(right)
    assert left.loom.working is Working.RIGHT_TO_LEFT
    assert counts(make_plan(left))[:5] == counts(make_plan(right))[:5]


def test_equal_socks_are_equal_whoever_they_are_for() -> None:
    assert sock("A,,24,,,,,").sock == sock("B,,24.05,,,,,").sock
    assert sock("A,,24,,,,,").fitted.foot != sock("B,,24.05,,,,,").fitted.foot
    assert sock("A,,24,,,,,").sock != sock("B,,26,,,,,").sock


def test_what_is_knitted_is_what_was_planned_with_the_foot() -> None:
    found = sock("A,,24,23,,,,")
    first, second = knit_pair(found.sock)
    assert first is second
    assert counts(first.plan) == counts(make_plan(found.fitted.spec))


@pytest.mark.parametrize(
    ("row", "text", "problem"),
    [
        (
            "A,,24,,,fine ring,,",
            None,
            "r.csv:2: A: gauge: a foot needs a gauge, and the pattern has none for pegs 1/4 in "
            "apart; allowed: stitches and rows in 10 cm of a swatch from this loom; try: a guess "
            "by the spacing: 22 x 29",
        ),
        (
            "A,,24,,,,,",
            pattern(gauge=None),
            "r.csv:2: A: gauge: a foot needs a gauge, and the pattern has none for pegs 3/8 in "
            "apart; allowed: stitches and rows in 10 cm of a swatch from this loom; try: a guess "
            "by the spacing: 15 x 19",
        ),
        (
            "A,,,22,,,,",
            None,
            "r.csv:2: A: foot length: a foot needs a length, a shoe size or a class",
        ),
        (
            "A,,24,,,,,",
            SIZED,
            "r.csv:2: A: size: the pattern has 2 sizes: which one, or which loom?; allowed: Small "
            "or Large; try: Small, which fits",
        ),
        (
            "A,,,,,,,",
            SIZED,
            "r.csv:2: A: size: the pattern has 2 sizes: which one, or which loom?; allowed: Small "
            "or Large",
        ),
        (
            "A,,,,,,41,",
            None,
            "r.csv:2: A: cuff.rib: k1 p1 repeats over 2 pegs and 41 pegs leave 1 over; allowed: "
            'looms of 40 or 42 pegs; try: leftover = "knit" under [cuff]',
        ),
        ("A,,9,,,,,", None, "r.csv:2: A: foot length: "),
    ],
)
def test_sock_that_cannot_be_planned_is_told_at_its_row(
    row: str, text: str | None, problem: str
) -> None:
    with pytest.raises(PatternError) as raised:
        sock(row, text)
    told = [one.text("r.csv") for one in raised.value.problems]
    assert told[0].startswith(problem)
    assert all(line.startswith("r.csv:2: A: ") for line in told)
