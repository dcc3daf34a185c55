"""Sizes: how they overrule the file, their order, and that a bad one is named and never made."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from charts import knitted
from charts.finished import counts_of, finished_measures
from charts.pattern_file import read_document, read_pattern
from charts.problems import PatternError
from charts.rows import Rows
from charts.sizes import finished_mm, knit_sizes, read_sizes, size_names
from charts.sock import make_rows
from charts.toml_places import find_places

SAMPLE = Path(__file__).resolve().parents[2] / "samples" / "three-looms.toml"

HEAD = """\
title = "Steps"
loom = { pegs = 32, spacing = "3/8 in" }
gauge = { stitches = 15, rows = 20 }
[foot]
rows = 20
instep = "plain"
"""
"""Six lines."""

TWO = (
    HEAD
    + """\
[[size]]
name = "L"
loom = { pegs = 36 }

[[size]]
name = "S"
[size.foot]
rows = 18
"""
)


def problems(text: str) -> list[str]:
    with pytest.raises(PatternError) as caught:
        read_sizes(text)
    return [problem.text("a.toml") for problem in caught.value.problems]


# Reading.


def test_file_without_sizes_is_one_size_without_a_name() -> None:
    [only] = read_sizes(HEAD)
    assert (only.name, only.spec) == ("", read_pattern(HEAD))
    assert size_names(HEAD) == ("",)


def test_size_overrules_key_by_key_and_keeps_the_rest() -> None:
    small, large = read_sizes(TWO)
    assert (small.name, large.name) == ("S", "L")
    assert size_names(TWO) == ("L", "S")
    assert (small.spec.loom.pegs, small.spec.foot.rows) == (32, 18)
    assert (large.spec.loom.pegs, large.spec.foot.rows) == (36, 20)
    for size in (small, large):
        assert size.spec.loom.spacing_text == "3/8 in"
        assert size.spec.foot.instep.value == "plain"
        assert size.spec.title == "Steps"


def test_size_may_have_its_own_knit_yarn_and_motif() -> None:
    text = (
        HEAD
        + """\
[leg]
panel = "m"
[motif.m]
rows = "kk"
[[size]]
name = "A"
knit = "u-wrap"
yarn = "thin"
[size.motif.m]
rows = "pp"
[[size]]
name = "B"
"""
    )
    a, b = sorted(read_sizes(text), key=lambda size: size.name)
    assert (a.spec.knit, a.spec.yarn, a.spec.motifs["m"].rows) == ("u-wrap", "thin", ("pp",))
    assert (b.spec.knit, b.spec.yarn, b.spec.motifs["m"].rows) == ("flat", "", ("kk",))


@pytest.mark.parametrize(
    ("table", "of_file", "of_size"),
    [
        ("wearer", 'length = "24 cm"\nball = "23 cm"', 'length = "20 cm"'),
        ("gauge", "swatches = [{ stitches = 15, rows = 20 }]", "stitches = 16\nrows = 21"),
        ("ball", "metres = 90\ngrams = 50", 'weight = "fine"'),
    ],
)
def test_foot_swatch_and_ball_are_never_mixed(table: str, of_file: str, of_size: str) -> None:
    head = HEAD.replace("gauge = { stitches = 15, rows = 20 }\n", "")
    text = f'{head}[{table}]\n{of_file}\n[[size]]\nname = "S"\n[size.{table}]\n{of_size}\n'
    [size] = read_sizes(text)
    assert size.spec == read_pattern(f"{head}[{table}]\n{of_size}\n")


def test_what_all_sizes_bring_need_not_stand_in_the_file() -> None:
    text = 'title = "A"\n[[size]]\nname = "S"\nloom = { pegs = 24, spacing = "5/8 in" }\n'
    assert read_sizes(text)[0].spec.loom.pegs == 24


# Order.


def test_sizes_come_by_round_then_by_foot_length_then_by_height() -> None:
    text = HEAD + "".join(
        f'[[size]]\nname = "{name}"\nloom = {{ pegs = {pegs} }}\nfoot = {{ rows = {foot} }}\n'
        f"leg = {{ rows = {leg} }}\n"
        for name, pegs, foot, leg in [
            ("d", 36, 10, 10),
            ("c", 32, 30, 20),
            ("b", 32, 30, 10),
            ("a", 32, 20, 40),
        ]
    )
    assert [size.name for size in read_sizes(text)] == ["a", "b", "c", "d"]
    assert [size.name for size in knit_sizes(text).sizes] == ["a", "b", "c", "d"]


def test_finer_gauge_makes_the_smaller_sock_whatever_the_pegs() -> None:
    text = (
        HEAD
        + """\
[[size]]
name = "coarse"
[[size]]
name = "fine"
loom = { pegs = 40 }
gauge = { stitches = 25, rows = 33 }
"""
    )
    assert [size.name for size in read_sizes(text)] == ["fine", "coarse"]


def test_sizes_without_a_gauge_are_ordered_by_their_pegs_and_spacing() -> None:
    text = """\
title = "A"
[[size]]
name = "wide"
loom = { pegs = 24, spacing = "5/8 in" }
[[size]]
name = "narrow"
loom = { pegs = 40, spacing = "1/4 in" }
"""
    assert [size.name for size in read_sizes(text)] == ["narrow", "wide"]


# Slips.


@pytest.mark.parametrize(
    ("tail", "told"),
    [
        (
            "[size]\nname = 'S'\n",
            ["a.toml:7: size: sizes are a list of tables; try: [[size]] in double brackets above "
             "each size"],
        ),
        (
            "[[size]]\n",
            ['a.toml:7: size.1: a size needs a name; allowed: text in quotes; try: name = "S"'],
        ),
        (
            "[[size]]\nname = 'S'\n[[size]]\nname = 's'\n",
            ['a.toml:10: size.2.name: there is a size "S" already; allowed: names that differ'],
        ),
        (
            "[[size]]\nname = 's'\n[[size]]\nname = 'S'\n",
            ['a.toml:10: size.2.name: there is a size "s" already; allowed: names that differ'],
        ),
        (
            "[[size]]\nname = 'S'\nloom = { pegs = 8 }\n"
            "[[size]]\nnam = 'M'\nheel = { centre = 5 }\n"
            "[[size]]\nname = 38\nfoot = { rows = 1 }\n",
            [
                'a.toml:9: size "S": loom.pegs: 8 is too small; '
                "allowed: a whole number from 16 to 120",
                'a.toml:10: size.2: a size needs a name; allowed: text in quotes; try: name = "S"',
                "a.toml:11: size.2.nam: a size has no such key; allowed: name, knit, yarn, loom, "
                "gauge, wearer, ease, ball, cuff, leg, heel, gusset, foot, toe, pair and motif; "
                "try: name",
                'a.toml:12: size "2": heel.centre: a centre of 5 does not leave two equal gussets '
                "of 20 heel pegs; allowed: 2, 4, 6 … 18; try: centre = 4 under [heel]",
                'a.toml:14: size.3.name: 38 is not text; allowed: text in quotes; try: "38"',
                'a.toml:15: size "3": foot.rows: 1 is too small; '
                "allowed: a whole number from 4 to 400",
            ],
        ),
        (
            "[[size]]\nname = 38\n",
            ['a.toml:8: size.1.name: 38 is not text; allowed: text in quotes; try: "38"'],
        ),
        (
            f"[[size]]\nname = '{'x' * 21}'\n",
            ["a.toml:8: size.1.name: 21 characters are too many; allowed: up to 20 characters"],
        ),
        (
            "[[size]]\nname = 'S'\ntitle = 'B'\nlom = { pegs = 3 }\n",
            [
                "a.toml:9: size.1.title: a size has no such key; allowed: name, knit, yarn, loom, "
                "gauge, wearer, ease, ball, cuff, leg, heel, gusset, foot, toe, pair and motif",
                "a.toml:10: size.1.lom: a size has no such table; allowed: name, knit, yarn, loom, "
                "gauge, wearer, ease, ball, cuff, leg, heel, gusset, foot, toe, pair and motif; "
                "try: loom",
            ],
        ),
        (
            "".join(f"[[size]]\nname = '{number}'\n" for number in range(41)),
            ["a.toml:7: size: 41 sizes are too many; allowed: 1 to 40"],
        ),
    ],
)  # fmt: skip
def test_slips_in_the_list_of_sizes_are_told_with_their_lines(tail: str, told: list[str]) -> None:
    assert problems(HEAD + tail) == told


def test_forty_sizes_are_read() -> None:
    text = HEAD + "".join(f"[[size]]\nname = '{number}'\n" for number in range(40))
    assert len(read_sizes(text)) == 40


def test_problem_of_a_size_names_it_and_the_line_that_is_to_blame() -> None:
    text = HEAD + "[[size]]\nname = 'S'\nloom = { pegs = 8 }\n[[size]]\nname = 'M'\n"
    assert problems(text) == [
        'a.toml:9: size "S": loom.pegs: 8 is too small; allowed: a whole number from 16 to 120'
    ]


def test_problem_of_the_file_is_told_once_and_names_the_sizes_that_have_it() -> None:
    bad = HEAD.replace("rows = 20\ninstep", "rows = 2\ninstep")
    sizes_of_it = "[[size]]\nname = 'S'\n[[size]]\nname = 'M'\n"
    too_small = "foot.rows: 2 is too small; allowed: a whole number from 4 to 400"
    assert problems(bad + sizes_of_it) == [f"a.toml:5: {too_small}"]
    cured = sizes_of_it + "[[size]]\nname = 'L'\nfoot = { rows = 9 }\n"
    assert problems(bad + cured) == [f'a.toml:5: sizes "S" and "M": {too_small}']


def test_problem_of_a_key_of_the_file_is_placed_there_though_the_size_has_the_table_too() -> None:
    text = HEAD + "[heel]\ncentre = 7\n[[size]]\nname = 'S'\nheel = { pegs = 20 }\n"
    [problem] = knit_sizes(text).problems
    assert (problem.line, problem.key) == (8, 'size "S": heel.centre')


def test_missing_key_is_placed_at_the_table_of_the_size() -> None:
    text = 'title = "A"\n[[size]]\nname = "S"\n[size.loom]\npegs = 24\n'
    [told] = problems(text)
    assert told.startswith('a.toml:4: size "S": loom.spacing: this key is missing')


# Knitting.


def test_bad_size_is_named_and_the_good_ones_are_made_without_it() -> None:
    text = TWO + "[[size]]\nname = 'M'\nloom = { pegs = 34 }\n"
    found = knit_sizes(text)
    assert [size.name for size in found.sizes] == ["S", "L"]
    assert [size.name for size in found.failed] == ["M"]
    told = [problem.text("a.toml") for problem in found.problems]
    assert len(told) == 1
    assert told[0].startswith('a.toml:15: size "M": cuff.rib: k2 p2 repeats over 4 pegs')


def test_problem_of_a_later_stage_gets_the_line_of_its_size() -> None:
    text = TWO + "[[size]]\nname = 'M'\n\nheel = { pegs = 21 }\n"
    [problem] = knit_sizes(text).problems
    assert (problem.line, problem.key) == (18, 'size "M": heel.pegs')


def test_one_size_can_be_knitted_alone() -> None:
    text = TWO + "[[size]]\nname = 'M'\nloom = { pegs = 34 }\n"
    found = knit_sizes(text, only="L")
    assert [size.name for size in found.sizes] == ["L"]
    assert found.failed == ()
    assert found.problems == ()


def test_size_that_the_loom_cannot_knit_is_never_among_the_good(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def spoilt(plan: object) -> Rows:
        rows = make_rows(plan)  # type: ignore[arg-type]
        return Rows(rows.loom, rows.events[:-3]) if rows.loom.pegs == 36 else rows

    monkeypatch.setattr(knitted, "make_rows", spoilt)
    found = knit_sizes(TWO)
    assert [size.name for size in found.sizes] == ["S"]
    assert [size.name for size in found.failed] == ["L"]
    told = [problem.text() for problem in found.problems]
    assert any("cannot be knitted" in line for line in told)
    assert any("fault of pegfolio" in line for line in told)


def test_second_sock_is_another_only_where_cables_are_mirrored() -> None:
    text = (
        HEAD
        + """\
[leg]
panel = "m"
[motif.m]
rows = "Rl"
[[size]]
name = "same"
[[size]]
name = "mirrored"
[size.pair]
mirror_cables = true
"""
    )
    by_name = {size.name: size for size in knit_sizes(text).sizes}
    assert by_name["same"].second is by_name["same"].knit
    assert by_name["mirrored"].second.plan.spec.motifs["m"].rows == ("rL",)


# The sample.


def test_sample_has_five_sizes_on_three_looms_that_all_fit() -> None:
    found = knit_sizes(SAMPLE.read_text(encoding="utf-8"))
    assert found.failed == ()
    assert [size.name for size in found.sizes] == ["Child", "Youth", "Small", "Medium", "Large"]
    assert len({size.knit.plan.loom.pegs for size in found.sizes}) == 3
    for size in found.sizes:
        assert size.fitted.fit is not None
        assert size.fitted.fit.works
        assert size.knit.plan.warnings == ()
        assert size.fitted.gauge is not None
        assert finished_measures(size.knit, size.fitted.gauge) == size.fitted.measures
    rounds = [finished_mm(size.fitted.spec)[:2] for size in found.sizes]
    assert rounds == sorted(rounds)


def test_sample_by_hand() -> None:
    small = next(
        size
        for size in knit_sizes(SAMPLE.read_text(encoding="utf-8")).sizes
        if size.name == "Small"
    )
    # 32 pegs: heel 20, turn 6, so 14 rows of flap and of turn; toe side 5: 10.5 rows to the tip.
    # Swatches: 15 1/6 stitches and 20 1/3 rows.  230 mm less 2.5 % are 45.6 rows; less 24.5: 21.1.
    # 185 mm are 37.6 rows, 38; 24 above the flap: 8 of cuff; 15.6 of leg, to whole fours: 16.
    counts = counts_of(small.knit)
    assert (counts.cuff, counts.leg, counts.flap, counts.turn, counts.foot, counts.toe) == (
        *(8, 16, 14, 14, 21),
        10.5,
    )


# Any sizes.

overrides = st.fixed_dictionaries(
    {},
    optional={
        "loom": st.fixed_dictionaries({"pegs": st.sampled_from([24, 28, 32, 36, 40])}),
        "foot": st.fixed_dictionaries({"rows": st.integers(4, 60)}),
        "gauge": st.fixed_dictionaries(
            {"stitches": st.integers(10, 30), "rows": st.integers(12, 40)}
        ),
        "toe": st.fixed_dictionaries({"shape": st.sampled_from(["blunt", "tapered"])}),
    },
)


def written(tables: dict[str, dict[str, object]]) -> str:
    return "".join(
        f"{name} = {{ "
        + ", ".join(
            f'{key} = "{value}"' if isinstance(value, str) else f"{key} = {value}"
            for key, value in table.items()
        )
        + " }\n"
        for name, table in tables.items()
    )


@settings(max_examples=60, deadline=None)
@given(st.lists(overrides, min_size=1, max_size=5), st.randoms(use_true_random=False))
def test_each_size_is_the_sock_of_its_own_file_in_any_order_of_the_list(
    every: list[dict[str, dict[str, object]]], chance: object
) -> None:
    blocks = [f'[[size]]\nname = "n{at}"\n{written(one)}' for at, one in enumerate(every)]
    found = {size.name: size.spec for size in read_sizes(HEAD + "".join(blocks))}
    base = tomllib.loads(HEAD)
    for at, one in enumerate(every):
        # merged here in another way: table by table into a document of its own
        alone = {
            name: {**table, **one.get(name, {})} if isinstance(table, dict) else table
            for name, table in base.items()
        }
        alone |= {name: table for name, table in one.items() if name not in base}
        assert found[f"n{at}"] == read_document(alone, find_places(""))
    order = [size.name for size in read_sizes(HEAD + "".join(blocks))]
    sizes_mm = [finished_mm(found[name]) for name in order]
    assert sizes_mm == sorted(sizes_mm)
    chance.shuffle(blocks)  # type: ignore[attr-defined]
    again = {size.name: size.spec for size in read_sizes(HEAD + "".join(blocks))}
    assert again == found
