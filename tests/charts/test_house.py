"""`[house]`: what a publisher may print on a pattern, and what each refusal says."""

import json
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from charts.data import data_json
from charts.knitted import knit_sock
from charts.pattern_file import read_pattern
from charts.pattern_values import write_text
from charts.problems import PatternError
from charts.sizes import knit_sizes
from charts.spec import House

LEAST = 'title = "A"\ndesigner = "Student A"\n[loom]\npegs = 40\nspacing = "3/8 in"\n[house]\n'
"""It takes lines 1 to 6."""


def house(lines):
    return read_pattern(LEAST + lines).house


def messages(lines):
    try:
        read_pattern(LEAST + lines)
    except PatternError as error:
        return [problem.text("sock.toml") for problem in error.problems]
    return []


def test_nothing_is_printed_that_is_not_given():
    assert house("") == House("", "", "", "", "", "")


def test_designer_stays_beside_the_house():
    assert read_pattern(LEAST).designer == "Student A"
    [message] = messages('designer = "Student A"')
    assert message.startswith("sock.toml:7: house.designer: there is no such key")
    assert message.endswith("try: move it above the first [table]")


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("2", "2"),
        ('"2"', "2"),
        ('" 2.10 "', "2.10"),
        ('"3b"', "3b"),
        ('"0.9.1"', "0.9.1"),
        ("9999", "9999"),
    ],
)
def test_edition_is_kept_as_it_was_written(written, read):
    assert house(f"edition = {written}").edition == read


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("2026", "2026"),
        ("2026-03-14", "2026-03-14"),
        ('"2026-03"', "2026-03"),
        ('"2024-02-29"', "2024-02-29"),
        ('"14 March 2026"', "14 March 2026"),
        ('"Spring 2026"', "Spring 2026"),
    ],
)
def test_date_is_kept_as_it_was_written(written, read):
    assert house(f"date = {written}").date == read


COLOUR = 'allowed: a # and six hex digits, red, green and blue, such as "#0072B2"'
LOGO = "allowed: a file in the pattern's folder or below, ending in .png, .jpg or .jpeg"
EDITION = 'allowed: a number such as 2, "2.1" or "3b"'
DATE = 'allowed: "2026", "2026-03", "2026-03-14", or words with a year, such as "March 2026"'


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ('accent = "0072B2"', f'accent: "0072B2" is not a colour; {COLOUR}; try: "#0072B2"'),
        ('accent = "#07b"', f'accent: "#07b" is not a colour; {COLOUR}; try: "#0077bb"'),
        ('accent = "blue"', f'accent: "blue" is not a colour; {COLOUR}'),
        ('accent = "#0072B"', f'accent: "#0072B" is not a colour; {COLOUR}'),
        ('accent = "#0072B2FF"', f'accent: "#0072B2FF" is not a colour; {COLOUR}'),
        ('accent = "#007 2B2"', f'accent: "#007 2B2" is not a colour; {COLOUR}'),
        ("accent = 7", f"accent: 7 is not a colour; {COLOUR}"),
        ('accent = "#٠٠٧٢٠٠"', f'accent: "#٠٠٧٢٠٠" is not a colour; {COLOUR}'),
        (
            'logo = "/home/marks/logo.png"',
            'logo: "/home/marks/logo.png" does not start from the pattern\'s folder; '
            f'{LOGO}; try: copy the file there, and "logo.png"',
        ),
        (
            "logo = 'C:\\marks\\logo.png'",
            'logo: "C:\\marks\\logo.png" does not start from the pattern\'s folder; '
            f'{LOGO}; try: copy the file there, and "logo.png"',
        ),
        (
            'logo = "https://example.org/logo.png"',
            'logo: "https://example.org/logo.png" does not start from the pattern\'s folder; '
            f'{LOGO}; try: copy the file there, and "logo.png"',
        ),
        (
            'logo = "~/secret"',
            f'logo: "~/secret" does not start from the pattern\'s folder; {LOGO}',
        ),
        (
            'logo = "marks/../../logo.png"',
            'logo: "marks/../../logo.png" leads out of the pattern\'s folder; '
            f'{LOGO}; try: copy the file there, and "logo.png"',
        ),
        (
            "logo = 'marks\\logo.png'",
            f'logo: "marks\\logo.png" has a backslash; {LOGO}; try: "marks/logo.png"',
        ),
        (
            'logo = "logo.svg"',
            f'logo: "logo.svg" is not the name of a PNG or JPEG picture; {LOGO}',
        ),
        ('logo = ""', "logo: the text is empty; allowed: 1 to 200 characters"),
        (
            'logo = "lo\\u0000go.png"',
            "logo: the unprintable U+0000 at character 3; allowed: text on one line",
        ),
        ("edition = 2.5", f'edition: 2.5 is not the number of an edition; {EDITION}; try: "2.5"'),
        (
            'edition = "Edition 2"',
            f'edition: "Edition 2" is not the number of an edition; {EDITION}; try: "2"',
        ),
        ('edition = "2nd"', f'edition: "2nd" is not the number of an edition; {EDITION}'),
        ("edition = 10000", f"edition: 10000 is not the number of an edition; {EDITION}"),
        ("edition = true", f"edition: true is not the number of an edition; {EDITION}"),
        ('date = "2026-02-30"', f'date: "2026-02-30" is not a date; {DATE}'),
        ('date = "2026-13"', f'date: "2026-13" is not a date; {DATE}'),
        ('date = "14/03/2026"', f'date: "14/03/2026" is not a date; {DATE}'),
        ('date = "last spring"', f'date: "last spring" names no year; {DATE}'),
        ("date = 2026-03-14T10:00:00", f"date: a date or time is not a date; {DATE}"),
        ("date = 10:00:00", f"date: a date or time is not a date; {DATE}"),
        ("date = 26", f"date: 26 is not a date; {DATE}"),
        (
            'licence = "a\\tb"',
            "licence: a tab at character 2; allowed: text on one line",
        ),
        (
            f'copyright = "{121 * "x"}"',
            "copyright: 121 characters are too many; allowed: up to 120 characters",
        ),
        (
            'copyright = "a\\u202Eb"',
            "copyright: the unprintable U+202E at character 2; allowed: text on one line",
        ),
        (
            'license = "mine"',
            "license: there is no such key; allowed: licence, copyright, logo, accent, edition "
            "and date; try: licence",
        ),
    ],
)
def test_refusal_names_line_key_fault_and_remedy(line, told):
    assert messages(line) == [f"sock.toml:7: house.{told}"]


def test_all_problems_are_told_at_once():
    told = messages('accent = "x"\nlogo = "/a.png"\nedition = "x"\ndate = "x"\n')
    assert [message.split(": ")[:2] for message in told] == [
        ["sock.toml:7", "house.accent"],
        ["sock.toml:8", "house.logo"],
        ["sock.toml:9", "house.edition"],
        ["sock.toml:10", "house.date"],
    ]


@given(st.dates(min_value=date(1000, 1, 1)))
def test_every_day_of_the_calendar_is_a_date(day):
    assert house(f'date = "{day.isoformat()}"').date == day.isoformat()


@given(st.text(max_size=60))
def test_logo_never_leads_out_of_the_folder(text):
    lines = f"logo = {write_text(text.encode(errors='ignore').decode())}"
    if not messages(lines):
        logo = house(lines).logo
        assert not logo.startswith(("/", "~"))
        assert not {"..", "\\", ":"} & {*logo.split("/"), logo[:2][1:]}


def test_house_is_among_the_data():
    found = json.loads(data_json(knit_sock(read_pattern(LEAST + 'edition = "2.10"\n'))))
    assert found["house"] == {
        "licence": "",
        "copyright": "",
        "logo": "",
        "accent": "",
        "edition": "2.10",
        "date": "",
    }


def test_all_sizes_have_the_house_of_the_file_and_none_of_their_own():
    sizes = '[[size]]\nname = "S"\n[[size]]\nname = "M"\nloom = { pegs = 44 }\n'
    found = knit_sizes(LEAST + "edition = 3\n" + sizes)
    assert [size.knit.plan.spec.house.edition for size in found.sizes] == ["3", "3"]
    with pytest.raises(PatternError, match=r"size\.1\.house: a size has no such table"):
        knit_sizes(LEAST + '[[size]]\nname = "S"\nhouse = { edition = 4 }\n')
