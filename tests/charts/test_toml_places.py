"""Places of keys, against the standard library's TOML reader.

`tomllib` shares no code with the scanner (but for one escaped key): whatever it accepts, both must
name the same keys, and the place named must show the key.
"""

import re
import time
import tomllib

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from charts.toml_places import find_places

# What both readers found, as paths of keys and list numbers.


def leaves_of_value(value, path=()):
    inside = value.items() if isinstance(value, dict) else enumerate(value)
    if not isinstance(value, dict | list) or not value:
        return {path: value}
    return {
        leaf: found
        for key, inner in inside
        for leaf, found in (
            leaves_of_value(inner, (*path, key)).items()
            if isinstance(inner, dict | list)
            else [((*path, key), inner)]
        )
    }


def leaves_of_place(place, path=()):
    if not place.inside:
        return {path: place}
    return {
        leaf: found
        for key, inner in place.inside.items()
        for leaf, found in leaves_of_place(inner, (*path, key)).items()
    }


def all_places(place, path=()):
    for key, inner in place.inside.items():
        yield (*path, key), inner
        yield from all_places(inner, (*path, key))


KEY_TOKEN = re.compile(r"""[A-Za-z0-9_-]+|"(?:[^"\\]|\\.)*"|'[^']*'""")


def check_agrees_with_tomllib(text):
    document = tomllib.loads(text)
    places = find_places(text)
    values, found = leaves_of_value(document), leaves_of_place(places)
    assert set(found) == set(values)
    for path, value in values.items():
        expected_lines = value.count("\n") + 1 if isinstance(value, str) else 0
        assert len(found[path].value_lines) == expected_lines
    lines = text.replace("\r\n", "\n").split("\n")
    for path, place in all_places(places):
        if isinstance(path[-1], str):
            token = KEY_TOKEN.match(lines[place.line - 1], place.column - 1)
            assert token, path
            assert tomllib.loads(f"{token.group()} = 0") == {path[-1]: 0}


# TOML texts made from their parts.

NAMES = [
    "rows",
    "pegs",
    "a",
    "1",
    "-",
    "two words",
    "dot.ted",
    "é",
    'quo"te',
    "it's",
    "",
    "#",
    "\n",
]


@st.composite
def written_keys(draw, name):
    forms = ['"' + name.replace('"', '\\"').replace("\n", "\\n").replace("é", "\\u00e9") + '"']
    if re.fullmatch("[A-Za-z0-9_-]+", name):
        forms.append(name)
    if "'" not in name and "\n" not in name:
        forms.append(f"'{name}'")
    return draw(st.sampled_from(forms))


blank = st.sampled_from(["", " ", "\t", "  "])
comment = st.sampled_from(["", "# a = 1", '# "', "# [x]", "#'''"])
gap = st.lists(st.tuples(blank, comment, st.just("\n")).map("".join), max_size=2).map("".join)
"""Blanks, comments and new lines, as a list may hold between its items."""

one_line = st.sampled_from(
    [
        '""',
        "''",
        '"a # b"',
        "'a = 1'",
        r'"say \"k2 p2\" \\"',
        r'"two\nlines"',
        r'"\u000Aline\U0000000a"',
        r"'\n is no new line'",
        '"[x]"',
    ]
)
several_lines = st.sampled_from(
    [
        '""""""',
        "''''''",
        '"""\n"""',
        '"""\np k k p\np R l p\n"""',
        "'''\nk = 1\n[x]\n'''",
        "'''one'''",
        '"""a""b"""',
        '"""two quotes""\n"""""',
        "'''two quotes''\n'''''",
        '"""\\\n   joined \\  \n\n  up"""',
        '"""esc \\""" \\n \\\\"""',
        '"""# no comment\r\n"""',
    ]
)
plain = st.sampled_from(
    [
        "1",
        "0x1F",
        "1_000",
        "3.5e-2",
        "inf",
        "true",
        "1979-05-27",
        "1979-05-27 07:32:00",
        "1979-05-27T00:32:00.5-07:00",
        "07:32:00",
    ]
)


@st.composite
def lists(draw, values):
    items = draw(st.lists(values, max_size=3))
    text = "["
    for number, item in enumerate(items):
        last = number == len(items) - 1
        comma = draw(st.sampled_from(["", ","])) if last else ","
        text += draw(gap) + draw(blank) + item + draw(gap) + comma
    return text + draw(gap) + "]"


@st.composite
def pairs(draw, values):
    """`key = value` lines with keys that do not collide, some of them dotted."""
    made = []
    for name in draw(st.lists(st.sampled_from(NAMES), max_size=3, unique=True)):
        parts = [name, *draw(st.lists(st.sampled_from(NAMES), max_size=2))]
        key = (draw(blank) + "." + draw(blank)).join([draw(written_keys(part)) for part in parts])
        made.append(f"{key}{draw(blank)}={draw(blank)}{draw(values)}")
    return made


@st.composite
def braces(draw, values):
    return "{ " + ", ".join(draw(pairs(values))) + draw(blank) + "}"


values = st.recursive(
    one_line | several_lines | plain, lambda inner: lists(inner) | braces(inner), max_leaves=6
)


@st.composite
def documents(draw):
    def body():
        return [
            draw(blank) + pair + draw(blank) + draw(comment) + "\n" + draw(gap)
            for pair in draw(pairs(values))
        ]

    text = draw(gap) + "".join(body())
    for number in range(draw(st.integers(0, 3))):
        # headings of their own, so that nothing is declared twice
        head = f"t{number}"
        tail = draw(st.lists(st.sampled_from(NAMES), max_size=2))
        path = [draw(written_keys(part)) for part in (head, *tail)]
        dotted = (draw(blank) + "." + draw(blank)).join(path)
        if draw(st.booleans()):
            for _ in range(draw(st.integers(1, 3))):
                text += f"{draw(blank)}[[{draw(blank)}{dotted} ]] {draw(comment)}\n"
                text += "".join(body())
                text += f"[{dotted}.under]\n" if draw(st.booleans()) else ""
        else:
            text += f"[{dotted}.under]\nx = 1\n" if draw(st.booleans()) else ""
            text += f"{draw(blank)}[ {dotted}{draw(blank)}] {draw(comment)}\n"
            text += "".join(body())
    return text.rstrip("\n") if draw(st.booleans()) else text


@settings(max_examples=300, deadline=None)
@given(documents())
def test_finds_the_keys_that_tomllib_reads_and_their_places(text):
    check_agrees_with_tomllib(text)


@settings(max_examples=100, deadline=None)
@given(documents())
def test_places_do_not_depend_on_line_ends(text):
    unix = text.replace("\r\n", "\n")
    assert find_places(unix.replace("\n", "\r\n")) == find_places(unix)


declared_again = st.lists(
    st.sampled_from(
        [
            "[a]",
            "[[a]]",
            "[a.b]",
            "[[a.b]]",
            "a = [1, {b = 1}]",
            "a.b = 1",
            "a = {b.c = 1}",
            "b = []",
            "b = {",
            "b = [",
            '"b" = """',
            "c = '",
            "]",
        ]
    ),
    max_size=9,
).map("\n".join)


@settings(max_examples=1000, deadline=None)
@given(st.text(alphabet="a1\"'\\\n\r[]{}=., #un0\tx") | st.text() | declared_again)
@example("a = [1]\n[a]\nb = 1\n[a.b]")
def test_any_text_at_all_is_scanned_and_agrees_if_it_is_toml(text):
    find_places(text)
    try:
        tomllib.loads(text)
    except ValueError:
        return
    check_agrees_with_tomllib(text)


def test_every_key_of_a_pattern_has_its_line_and_column():
    text = "\n".join(
        [
            'title = "A" # 1',
            "",
            "  [loom] # pegs = 3",
            "pegs = 40",
            '  "spacing"   = """3/8 in"""',
            "[leg]",
            "rows=1",
            "[motif.rope]",
            "rows = '''",
            "k",
            "",
            "p'''",
        ]
    )
    places = find_places(text)
    assert {
        ".".join(path): (place.line, place.column, place.value_lines)
        for path, place in all_places(places)
    } == {
        "title": (1, 1, (1,)),
        "loom": (3, 4, ()),
        "loom.pegs": (4, 1, ()),
        "loom.spacing": (5, 3, (5,)),
        "leg": (6, 2, ()),
        "leg.rows": (7, 1, ()),
        "motif": (8, 2, ()),
        "motif.rope": (8, 8, ()),
        "motif.rope.rows": (9, 1, (10, 11, 12)),
    }


@pytest.mark.parametrize(
    ("text", "value_lines"),
    [
        ('k = """\nw0\nw1"""', (2, 3)),
        ('k = """w0\nw1\n"""', (1, 2, 3)),
        ('k = """\\\n\n   w0\n w1"""', (3, 4)),
        ('k = """ \\\n   w0\n w1"""', (2, 3)),
        ('k = """\nw0 \\\n   more\nw1"""', (2, 4)),
        ('k = """\nw0\\nw1\nw2"""', (2, 2, 3)),
        ('k = """\nw0\\u000aw1"""', (2, 2)),
        ('k = """\nw0\\\\\nw1"""', (2, 3)),
        ('k = "w0\\nw1\\\\nsame"', (1, 1)),
        ("k = '''\r\nw0\r\n\r\nw2'''", (2, 3, 4)),
        ("k = 'w0\\nsame'", (1,)),
        ("k = 1", ()),
    ],
)
def test_each_line_of_a_text_value_is_named_by_the_file_line_it_begins_on(text, value_lines):
    assert find_places(text).inside["k"].value_lines == value_lines
    value = tomllib.loads(text)["k"]
    for line, number in zip(str(value).split("\n"), value_lines, strict=False):
        words = re.findall(r"w\d", line)
        assert set(words) <= set(re.findall(r"w\d", text.split("\n")[number - 1]))


def test_nearest_place_is_the_key_or_the_table_it_is_missing_from():
    places = find_places("[loom]\npegs = 40\n[[list]]\n[[list]]\nx = 1")
    assert places.nearest(("loom", "pegs")).line == 2
    assert places.nearest(("loom", "spacing")).line == 1
    assert places.nearest(("list", 1, "x")).line == 5
    assert places.nearest(("toe", "side")) is None
    assert places.nearest(()) is None


@pytest.mark.parametrize(
    "text",
    [
        "a." * 100_000 + "a = 1",
        "a = " + "[" * 200_000,
        "a = " + "{a=" * 60_000,
        "[" + "a." * 100_000 + "a]\n" + "x = 1\n" * 5_000,
        "[[a]]\n" * 30_000,
        'a = "' + "\\n" * 100_000 + '"',
        'a = """' + "\\\n" * 100_000 + '"""',
        'a = """' + '""x' * 60_000 + '"""',
        "a = '''" + "\n" * 200_000 + "'''",
        "\\" + " " * 200_000,
        'a = "' + "\\ " * 100_000,
        "# x\n" * 50_000,
        '"' + "\\a" * 100_000,
    ],
    ids=lambda text: repr(text[:12]),
)
def test_time_grows_no_faster_than_the_text(text):
    # a scan that took quadratic time would need minutes here
    start = time.process_time()
    find_places(text)
    assert time.process_time() - start < 5
