"""The JSON of a sock: against a sock worked by hand, and read back into the rows that it tells."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest

from charts import data
from charts.data import data_json, sizes_json, sock_data
from charts.fitting import fit_spec
from charts.loom import DOWN, UP, PegNumber
from charts.pattern_file import read_pattern
from charts.plan import make_plan
from charts.rows import (
    CastOn,
    Event,
    Graft,
    Hold,
    Holder,
    LiftBar,
    Needle,
    Rehang,
    Row,
    Rows,
    Section,
    Shift,
    TakeOff,
)
from charts.sizes import knit_sizes
from charts.sock import make_rows
from charts.verify import Knit, verify

LOOM_24 = '[loom]\npegs = 24\nspacing = "5/8 in"\n'

BY_HAND = f'title = "Sock"\n{LOOM_24}[cuff]\nrows = 15\n[leg]\nrows = 30\n[foot]\nrows = 40\n'
"""24 pegs, heel 14, turn 4, gussets 5, toe 2–13: worked by hand below."""

PATTERNS = {
    "by hand": BY_HAND,
    "odd ring": 'title = "Odd"\nloom = { pegs = 25, spacing = "5/8 in" }\n'
    '[cuff]\nleftover = "knit"\n',
    "right to left, wrapped toe, corner bars": 'title = "Mirrored"\n'
    'loom = { pegs = 40, spacing = "3/8 in", working = "right to left" }\n'
    "gusset = { corner_bars = true }\n"
    'toe = { short_rows = "wrap and turn" }\n',
    "no leg": f'title = "Footlet"\n{LOOM_24}[leg]\nrows = 0\n',
    "cables and a gauge": 'title = "Größe „42“"\nnotes = "one\\ntwo \\"three\\" \\\\ four"\n'
    'loom = { pegs = 36, spacing = "9.5 mm" }\n'
    "gauge = { stitches = 14.5, rows = 20 }\n"
    'leg = { panel = "rope", rows = 9 }\n'
    '[motif.rope]\nrows = """\nkRRllk\nkkkkkk\n"""\n',
}


def proved(text: str) -> Knit:
    plan = make_plan(read_pattern(text))
    return verify(plan, make_rows(plan))


@pytest.fixture(params=PATTERNS.values(), ids=list(PATTERNS))
def knit(request: pytest.FixtureRequest) -> Knit:
    return proved(request.param)


def rows_back(found: dict[str, Any], knit: Knit) -> Rows:
    """The events read back; shares nothing with the writer but the records."""
    return Rows(knit.plan.loom, tuple(_event_back(entry) for entry in found["events"]))


def _event_back(entry: dict[str, Any]) -> Event:
    section = Section(entry["section"])

    def pegs(name: str = "pegs") -> tuple[PegNumber, ...]:
        return tuple(PegNumber(peg) for peg in entry[name])

    match entry["kind"]:
        case "row":
            direction = {"up": UP, "down": DOWN}[entry["direction"]]
            return Row(section, entry["number"], direction, pegs(), entry["stitches"])
        case "cast on":
            return CastOn(section, pegs())
        case "hold":
            return Hold(section, Holder(entry["holder"]), pegs())
        case "hang back":
            edge_peg = PegNumber(entry["edge_peg"])
            return Rehang(section, Holder(entry["holder"]), edge_peg, pegs())
        case "lift bar":
            low, high = pegs("between")
            return LiftBar(section, PegNumber(entry["peg"]), (low, high))
        case "move loop":
            return Shift(section, PegNumber(entry["from_peg"]), PegNumber(entry["to_peg"]))
        case "take off":
            return TakeOff(section, Needle(entry["needle"]), pegs())
        case "graft":
            pairs = ((PegNumber(front), PegNumber(back)) for front, back in entry["pairs"])
            return Graft(section, tuple(pairs))
    raise AssertionError(entry["kind"])


def test_events_read_back_are_the_rows_that_were_proved(knit: Knit) -> None:
    back = rows_back(json.loads(data_json(knit)), knit)
    assert back == knit.rows
    verify(knit.plan, back)


def test_text_and_object_are_the_same_and_hold_json_types_only(knit: Knit) -> None:
    found = sock_data(knit)
    assert json.loads(data_json(knit)) == found
    assert _types(found) <= {dict, list, str, int, float, bool, type(None)}


def _types(value: object) -> set[type]:
    inside: list[object] = []
    if isinstance(value, dict):
        inside = [*value, *value.values()]
    elif isinstance(value, list):
        inside = value
    return {type(value)}.union(*map(_types, inside))


def test_counts_are_those_worked_by_hand() -> None:
    found = sock_data(proved(BY_HAND))
    sections = {
        "cuff": 15 * 24,
        "leg": 30 * 24,
        "heel flap": 14 + 9 * 13,
        "partial row": 5,
        "heel turn": 4 + 9 * 5,
        "foot": 19 + 39 * 24 + 1,
        "toe": 129,
    }
    assert found["counts"] == {"sections": sections, "total": 2350}
    assert list(found["counts"]["sections"]) == list(sections)


def test_rows_and_moves_are_those_worked_by_hand() -> None:
    events = sock_data(proved(BY_HAND))["events"]
    without_after = [{**event, "after": None} for event in events]
    flap_2 = {
        "kind": "row",
        "section": "heel flap",
        "number": 2,
        "direction": "down",
        "to_right": False,
        "pegs": [14, 13, 12, 11, 10, 9, 8, 7, 6, 5, 4, 3, 2, 1],
        "stitches": "skkkkkkkkkkkkk",
        "count": 13,
        "after": None,
    }
    assert flap_2 in without_after
    moves = [
        {"section": "cast on", "kind": "cast on", "pegs": list(range(1, 25))},
        {"section": "heel turn", "kind": "hold", "holder": "near", "pegs": [1, 2, 3, 4, 5]},
        {"section": "heel turn", "kind": "hold", "holder": "far", "pegs": [14, 13, 12, 11, 10]},
        {
            "section": "gusset",
            "kind": "hang back",
            "holder": "near",
            "edge_peg": 1,
            "pegs": [1, 2, 3, 4, 5],
        },
        {
            "section": "gusset",
            "kind": "hang back",
            "holder": "far",
            "edge_peg": 14,
            "pegs": [14, 13, 12, 11, 10],
        },
        {"section": "gusset", "kind": "lift bar", "peg": 6, "between": [5, 6]},
        {"section": "gusset", "kind": "lift bar", "peg": 9, "between": [9, 10]},
        {
            "section": "closing",
            "kind": "take off",
            "needle": "front",
            "pegs": [1, 24, 23, 22, 21, 20, 19, 18, 17, 16, 15, 14],
        },
        {
            "section": "closing",
            "kind": "take off",
            "needle": "back",
            "pegs": [13, 12, 11, 10, 9, 8, 7, 6, 5, 4, 3, 2],
        },
        {
            "section": "closing",
            "kind": "graft",
            "pairs": [
                *([1, 2], [24, 3], [23, 4], [22, 5], [21, 6], [20, 7]),
                *([19, 8], [18, 9], [17, 10], [16, 11], [15, 12], [14, 13]),
            ],
            "passes": 48,
        },
    ]
    found = [
        {name: value for name, value in event.items() if name != "after"}
        for event in events
        if event["kind"] != "row"
    ]
    assert found == moves


def test_loom_after_each_event_is_the_one_worked_by_hand() -> None:
    events = sock_data(proved(BY_HAND))["events"]
    names = ["yarn_peg", "live_pegs", "loops", "held_near", "held_far", "on_front", "on_back"]
    assert list(events[0]["after"]) == names

    def after(kind: str, section: str, nth: int = -1) -> list[int | None]:
        found = [e for e in events if (e["kind"], e["section"]) == (kind, section)]
        return list(found[nth]["after"].values())

    assert after("cast on", "cast on") == [24, 24, 24, 0, 0, 0, 0]
    assert after("row", "heel flap", 0) == [14, 24, 24, 0, 0, 0, 0]
    assert after("row", "partial row") == [6, 24, 24, 0, 0, 0, 0]
    assert after("hold", "heel turn", 0) == [6, 19, 19, 5, 0, 0, 0]
    assert after("hold", "heel turn", 1) == [6, 14, 14, 5, 5, 0, 0]
    assert after("row", "heel turn", 0) == [9, 14, 14, 5, 4, 0, 0]
    assert after("row", "heel turn") == [6, 14, 14, 0, 0, 0, 0]
    assert after("hang back", "gusset") == [6, 24, 24, 0, 0, 0, 0]
    assert after("lift bar", "gusset") == [6, 24, 26, 0, 0, 0, 0]
    assert after("row", "foot", 0) == [24, 24, 24, 0, 0, 0, 0]
    assert after("row", "toe") == [2, 24, 24, 0, 0, 0, 0]
    assert after("take off", "closing", 0) == [2, 12, 12, 0, 0, 12, 0]
    assert after("take off", "closing", 1) == [2, 0, 0, 0, 0, 12, 12]
    assert after("graft", "closing") == [None, 0, 0, 0, 0, 0, 0]


def test_row_counts_add_up_to_the_section_counts(knit: Knit) -> None:
    found = sock_data(knit)
    sums: dict[str, int] = {}
    for event in found["events"]:
        if event["kind"] == "row":
            sums[event["section"]] = sums.get(event["section"], 0) + event["count"]
    assert sums == found["counts"]["sections"]
    assert sum(sums.values()) == found["counts"]["total"]


def test_every_letter_of_a_row_is_explained_and_no_other(knit: Knit) -> None:
    found = sock_data(knit)
    used = {letter for event in found["events"] for letter in event.get("stitches", "")}
    assert {stitch["letter"] for stitch in found["stitches"]} == used


def test_printed_steps_stand_for_every_row_once(knit: Knit) -> None:
    found = sock_data(knit)
    told: dict[str, list[int]] = {}
    for part in found["parts"]:
        for step in part["steps"]:
            if step["kind"] in ("row", "repeat"):
                assert step["section"] in part["sections"]
                told.setdefault(step["section"], []).extend(range(step["first"], step["last"] + 1))
    rows: dict[str, list[int]] = {}
    for event in found["events"]:
        if event["kind"] == "row":
            rows.setdefault(event["section"], []).append(event["number"])
    assert {section: sorted(numbers) for section, numbers in told.items()} == {
        section: sorted(numbers) for section, numbers in rows.items()
    }


def test_eye_goes_right_on_upward_rows_unless_the_ring_is_worked_the_other_way() -> None:
    plain = sock_data(proved(BY_HAND))
    other = sock_data(proved(PATTERNS["right to left, wrapped toe, corner bars"]))
    for found, upward in ((plain, True), (other, False)):
        rows = [event for event in found["events"] if event["kind"] == "row"]
        assert {(row["direction"], row["to_right"]) for row in rows} == {
            ("up", upward),
            ("down", not upward),
        }


def test_what_the_designer_wrote_comes_through_unchanged() -> None:
    text = data_json(proved(PATTERNS["cables and a gauge"]))
    assert '"title": "Größe „42“"' in text
    found = json.loads(text)
    assert found["title"] == "Größe „42“"
    assert found["notes"] == 'one\ntwo "three" \\ four'
    assert found["gauge"] == {"stitches_per_10cm": 14.5, "rows_per_10cm": 20.0}
    assert found["loom"] == {
        "pegs": 36,
        "spacing_mm": 9.5,
        "spacing": "9.5 mm",
        "working": "left to right",
    }


def test_each_event_step_and_plan_line_stands_on_a_line_of_its_own(knit: Knit) -> None:
    found, text = sock_data(knit), data_json(knit)
    assert text.startswith("{\n")
    assert text.endswith("\n}\n")
    assert "\r" not in text
    items = sum(len(found[name]) for name in ("plan", "stitches", "events"))
    items += sum(len(part["steps"]) for part in found["parts"])
    alone = [line for line in text.splitlines() if re.fullmatch(r" +\{.*\},?", line)]
    assert len(alone) == items


def test_docstring_names_every_member_and_its_example_is_a_row() -> None:
    told = set(re.findall(r"`(\w+)`", data.__doc__ or ""))
    named: set[str] = set()
    for text in PATTERNS.values():
        found = sock_data(proved(text))
        del found["counts"]["sections"]  # its members are named by the sections
        named |= _names(found)
    assert named - told == set()
    example = re.search(r"::\n\n(.*)", data.__doc__ or "", re.DOTALL)
    assert example
    assert json.loads(example[1]) in sock_data(proved(BY_HAND))["events"]


# Wearer, fit and yarn.

FITTED = (
    f'title = "Sock"\n{LOOM_24}[gauge]\nstitches = 10\nrows = 13\n'
    '[wearer]\nlength = "26 cm"\nball = "26 cm"\nleg_height = "25 cm"\n'
    "[ball]\nmetres = 50\ngrams = 50\n"
)


def fitted_data(text: str) -> dict[str, Any]:
    knit = proved(text)
    return sock_data(knit, fitted=fit_spec(read_pattern(text)))


def test_fit_members_are_null_for_a_sock_without_wearer_and_gauge() -> None:
    for found in (sock_data(proved(BY_HAND)), fitted_data(BY_HAND)):
        assert [found[name] for name in ("wearer", "measures", "fit", "yarn_need")] == [None] * 4


def test_gauge_alone_tells_measures_and_yarn() -> None:
    found = fitted_data(PATTERNS["cables and a gauge"])
    assert (found["wearer"], found["fit"]) == (None, None)
    assert found["measures"]["round"]["mm"] == pytest.approx(3600 / 14.5)
    assert found["yarn_need"]["ball"] is None


def test_fit_and_measures_are_those_worked_by_hand() -> None:
    found = fitted_data(FITTED)
    # 24 pegs: heel 14, turn 4, so 10 rows of flap and of turn; toe side 4, 8.5 rows to the tip.
    # 260 mm less 2.5 % are 32.96 rows, less 18.5: 14.5; 250 mm are 32.5 rows, 33.
    measures = found["measures"]
    foot_rows = found["counts"]["sections"]["foot"] // 24 + 1
    assert foot_rows == 14
    assert measures["round"]["mm"] == pytest.approx(240)
    assert measures["length"]["mm"] == pytest.approx((10 + 14 + 8.5) / 13 * 100)
    assert measures["height"]["mm"] == pytest.approx(33 / 13 * 100, abs=100 / 13)
    assert measures["gauge"]["source"] == "as given"
    fit = found["fit"]
    assert (fit["class"], fit["works"]) == ("fits", True)
    assert fit["smaller"] == pytest.approx(1 - 240 / 260)
    assert (fit["ease_round"], fit["ease_length"]) == (0.1, 0.025)
    wearer = {each["name"]: each for each in found["wearer"]["measures"]}
    assert wearer["length"] == {
        "name": "length",
        "mm": 260.0,
        "error_mm": 5,
        "origin": "measured",
        "basis": "as measured",
    }
    assert wearer["heel_width"]["origin"] == "estimated"


def test_yarn_adds_up_from_its_parts() -> None:
    yarn = fitted_data(FITTED)["yarn_need"]
    net = sum(part["count"] * part["mm_each"] for part in yarn["parts"]) / 1000
    assert yarn["one_sock"]["net_metres"] == pytest.approx(net)
    assert yarn["pair"]["metres"] == pytest.approx(2 * net * (1 + yarn["margin"]))
    assert yarn["pair"]["grams"] == pytest.approx(yarn["pair"]["metres"])
    assert yarn["ball"]["basis"] == "metres and grams of the band"


def test_docstring_names_every_member_of_the_fit_and_the_text_is_the_object() -> None:
    told = set(re.findall(r"`(\w+)`", data.__doc__ or ""))
    found = fitted_data(FITTED)
    named: set[str] = set()
    for member in ("wearer", "measures", "fit", "yarn_need"):
        named |= {member} | _names(found[member])
    assert named - told == set()
    text = data_json(proved(FITTED), fitted=fit_spec(read_pattern(FITTED)))
    assert json.loads(text) == found


def test_sizes_come_as_the_socks_that_each_would_be_alone() -> None:
    head = f'title = "Sock"\n{LOOM_24}'
    text = f'{head}[[size]]\nname = "L"\n[[size]]\nname = "S"\nfoot = {{ rows = 9 }}\n'
    found = json.loads(sizes_json(knit_sizes(text).sizes))
    assert (found["format"], found["version"]) == ("pegfolio sizes", 1)
    assert [size["name"] for size in found["sizes"]] == ["S", "L"]
    small, large = (size["sock"] for size in found["sizes"])
    assert large == sock_data(proved(head))
    assert small == sock_data(proved(f"{head}[foot]\nrows = 9\n"))


def _names(value: object) -> set[str]:
    if isinstance(value, dict):
        return set(value).union(*map(_names, value.values()))
    return set().union(*map(_names, value)) if isinstance(value, list) else set()
