"""Slips of a first pattern file: what is said of each, and that nothing else is taken for one."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from charts.pattern_file import read_pattern
from charts.problems import PatternError
from charts.syntax_hints import value_hint

NO_VALUE = 'there is no value here; try: a number, true, false, or words in "quotes"'
LEAST = 'title = "A"\n[loom]\npegs = 40\nspacing = "3/8 in"\n'


def messages(text: str) -> list[str]:
    try:
        read_pattern(text)
    except PatternError as error:
        return [problem.text() for problem in error.problems]
    return []


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ("title = “A sock”", '9: the quote marks are curly; try: "A sock" in straight quotes'),
        ("title = „A“  # mine", '9: the quote marks are curly; try: "A" in straight quotes'),
        ("title = `A`", '9: the quote marks are curly; try: "A" in straight quotes'),
        ("title = A sock", '9: words without quotes; try: "A sock"'),
        ("spacing = 3/8 in", '12: words without quotes; try: "3/8 in"'),
        ('spacing = "3/8""', '16: the inch sign ends the text; try: "3/8 in"'),
        ('spacing = 3/8"', '12: the inch sign ends the text; try: "3/8 in"'),
        ("stitches = 19,5", "14: a decimal comma; try: 19.5"),
        ("bars = True", "8: True is not a value; try: true"),
        ("bars = no # never", "8: no is not a value; try: false"),
        ("title: A sock", '6: there is a name but no = behind it; try: title = "A sock"'),
        ("pegs: 40", "5: there is a name but no = behind it; try: pegs = 40"),
        ('title: "A"', '6: there is a name but no = behind it; try: title = "A"'),
        ("bars =", f"7: {NO_VALUE}"),
        ("title = [A]", f"10: {NO_VALUE}"),
        ("rows = {a = b}", f"13: {NO_VALUE}"),
    ],
)
def test_slip_is_told_with_the_line_as_it_was_meant(line: str, message: str) -> None:
    assert messages(f"{line}\nmore = 1\n") == [f"line 1: column {message}"]


@given(st.text("ab =:“”\"'#,.0123456789/\\trues[{", max_size=40), st.integers(1, 40))
def test_suggestion_is_a_value_that_can_be_read(line: str, column: int) -> None:
    hint = value_hint(line, column)
    if hint is None or hint.suggestion.endswith(" = value"):
        return
    meant = hint.suggestion.removesuffix(" in straight quotes")
    tomllib.loads(meant if " = " in meant.split('"')[0] else f"key = {meant}")


@given(st.text(max_size=80), st.integers(1, 80))
def test_any_line_has_a_hint_or_none(line: str, column: int) -> None:
    value_hint(line.replace("\n", ""), column)


# --- What stands twice -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "[leg]\nrows = 3\npanel = '''\n\n'''\nrows = 4\n",
            "line 6: leg.rows: this name stands here twice, first on line 2; "
            "try: keep one of the two",
        ),
        (
            "[leg]\nrows = 3\n[foot]\nrows = 4\n[leg]\nacross = 2\n",
            "line 5: leg: this table stands here twice, first on line 1; "
            "try: put all its keys under one heading",
        ),
        (
            "loom = { pegs = 40, pegs = 41 }\n",
            "line 1: loom.pegs: this name stands here twice, first on line 1; "
            "try: keep one of the two",
        ),
        (
            "[motif.m]\nrows = '''\nk\n'''\nrows = '''\nk\np\n'''\n",
            "line 5: motif.m.rows: this name stands here twice, first on line 2; "
            "try: keep one of the two",
        ),
    ],
)
def test_what_stands_twice_is_named_with_its_first_line(text: str, message: str) -> None:
    assert messages(text) == [message]


# --- Tables under a wrong name ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "keys"),
    [
        ('title = "A"\n[lom]\npegs = 40\nspacing = "1 cm"\n', ["lom"]),
        (LEAST + '[leg]\npanel = "m"\n[motiv.m]\nrows = "k"\n', ["motiv"]),
        (LEAST + '[leg]\npanel = "m"\n[mofit.m]\nrows = "k"\n[lag]\nrows = 3\n', ["mofit", "lag"]),
        # one of that name is there: what it lacks is told
        ('title = "A"\n[loom]\npegs = 40\n[lom]\nspacing = "1 cm"\n', ["loom.spacing", "lom"]),
        # nothing like it is there
        ('title = "A"\n[xyz]\npegs = 40\n', ["loom.pegs", "loom.spacing", "xyz"]),
    ],
)
def test_what_a_misspelt_table_holds_is_not_told_as_missing(text: str, keys: list[str]) -> None:
    with pytest.raises(PatternError) as caught:
        read_pattern(text)
    assert [problem.key for problem in caught.value.problems] == keys
