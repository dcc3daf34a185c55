"""The loom maps: every peg at its place, zones and markers where the plan has them."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from charts.loom import Loom, Working
from charts.parts import Part, part_record
from charts.plan import Plan, make_plan
from charts.spec import Cuff, Flanks, Leftover, Leg, SockSpec
from charts.verify import Knit
from layouts.block import Block, DoesNotFitError
from layouts.faces import Face
from layouts.front_matter import first_peg_words, marker_words
from layouts.loom_map import loom_map
from layouts.loom_now import PARTS_WITH_MAP, small_loom_map
from layouts.loom_ring import loom_zones, marker_places, zone_pegs
from layouts.scene import BLACK, Box, Page
from tests.layouts.placed_items import PlacedText, paths_of, texts_of

WIDTH_MM, HEIGHT_MM = 112.0, 112.0


def plan_of(pegs: int, working: Working = Working.LEFT_TO_RIGHT) -> Plan:
    spec = SockSpec(
        "Ring",
        Loom(pegs, 9.525, "3/8 in", working),
        cuff=Cuff(leftover=Leftover.KNIT),
        leg=Leg(flanks=Flanks.RIB if pegs == 40 else Flanks.KNIT),
    )
    return make_plan(spec)


def page_of(block: Block) -> Page:
    return Page(block.width_mm, block.height_mm, block.items)


def numbers_on(block: Block, pegs: int) -> list[PlacedText]:
    return [
        one for one in texts_of(page_of(block)) if one.text.isdigit() and 1 <= int(one.text) <= pegs
    ]


def clock_degrees(box: Box, block: Block) -> float:
    x_mm = (box.left_mm + box.right_mm) / 2 - block.width_mm / 2
    y_mm = (box.top_mm + box.bottom_mm) / 2 - (block.height_mm - 8.0) / 2
    return math.degrees(math.atan2(x_mm, -y_mm)) % 360


def test_zones_of_forty_pegs_are_those_worked_by_hand() -> None:
    """k2 p2 on 40 pegs moves the round's start by one: heel 2-25, toe 4-23."""
    plan = plan_of(40)
    pegs = {
        name: zone_pegs(plan, [zone for zone in loom_zones(plan) if zone.name == name])
        for name in ("gusset", "turn", "instep", "toe")
    }
    assert pegs == {"gusset": "2–9, 18–25", "turn": "10–17", "instep": "26–40, 1", "toe": "4–23"}
    assert [plan.peg(place) for place in marker_places(plan)] == [2, 4, 10, 18, 24, 26]


@pytest.mark.parametrize("working", Working)
@pytest.mark.parametrize("pegs", [16, 25, 40, 56, 120])
def test_every_peg_is_numbered_once_on_its_place_of_the_ring(pegs: int, working: Working) -> None:
    """Seen from above a round worked left to right runs against the clock (geometry)."""
    plan = plan_of(pegs, working)
    block = loom_map(plan, width_mm=WIDTH_MM, height_mm=HEIGHT_MM)
    numbers = {int(one.text): clock_degrees(one.box, block) for one in numbers_on(block, pegs)}
    assert sorted(numbers) == list(range(1, pegs + 1))
    way = -1 if working is Working.LEFT_TO_RIGHT else 1
    for peg in range(1, pegs):
        turned = (numbers[peg + 1] - numbers[peg]) * way % 360
        assert turned == pytest.approx(360 / pegs, abs=360 / pegs * 0.35)


@pytest.mark.parametrize("working", Working)
def test_the_heel_lies_before_the_knitter(working: Working) -> None:
    """Heel pegs are centred on six o'clock, their first one at the knitter's left or right."""
    plan = plan_of(40, working)
    block = loom_map(plan, width_mm=WIDTH_MM, height_mm=HEIGHT_MM)
    numbers = {int(one.text): one.box for one in numbers_on(block, 40)}
    first, last = numbers[plan.peg(1)], numbers[plan.peg(plan.heel_pegs)]
    assert first.top_mm == pytest.approx(last.top_mm, abs=0.01)
    assert (first.left_mm < last.left_mm) == (working is Working.LEFT_TO_RIGHT)
    middle = numbers[plan.peg(12)]
    assert middle.top_mm > numbers[plan.peg(32)].top_mm


@settings(max_examples=30, deadline=None)
@given(st.integers(16, 120), st.sampled_from(Working))
def test_numbers_of_any_ring_stay_apart_and_legible(pegs: int, working: Working) -> None:
    block = loom_map(plan_of(pegs, working), width_mm=WIDTH_MM, height_mm=HEIGHT_MM)
    numbers = numbers_on(block, pegs)
    assert min(one.item.size_pt for one in numbers) >= 6.5
    for index, one in enumerate(numbers):
        assert not any(one.box.meets(other.box, 0.05) for other in numbers[index + 1 :])
    whole = Box(0.0, 0.0, block.width_mm, block.height_mm)
    page = page_of(block)
    assert all(whole.holds(one.box) for one in [*texts_of(page), *paths_of(page)])


def test_a_map_too_small_to_read_is_refused() -> None:
    with pytest.raises(DoesNotFitError, match="120 pegs"):
        loom_map(plan_of(120), width_mm=60.0, height_mm=60.0)


def test_zones_are_named_in_letters_not_only_by_their_fill() -> None:
    block = loom_map(plan_of(40), width_mm=WIDTH_MM, height_mm=HEIGHT_MM)
    bold = [one.text for one in texts_of(page_of(block)) if one.item.face is Face.BOLD]
    for name in ("gusset", "turn", "instep", "toe"):
        assert name in bold


def test_small_maps_tell_pegs_and_yarn_as_the_part_begins(
    knit_of: Callable[[str], Knit],
) -> None:
    """Worked by hand from the check sock: heel 2-25, turn 10-17, toe 4-23."""
    knit = knit_of("rope on 40")
    due = {
        Part.FLAP: ("Pegs 2–25.", "Pegs 26–40, 1.", "is at peg 1."),
        Part.TURN: ("Pegs 2–9, 18–25.", "Pegs 10–17.", "Pegs 26–40, 1.", "is at peg 10."),
        Part.FOOT: ("Pegs 2–9, 18–25.", "Pegs 10–17, 26–40, 1.", "is at peg 10."),
        Part.TOE: ("Pegs 4–23.", "Pegs 24–40, 1–3.", "is at peg 3."),
    }
    assert set(due) == set(PARTS_WITH_MAP)
    for part, texts in due.items():
        yarn_peg = part_record(knit, part).starts.yarn_peg
        assert yarn_peg is not None
        block = small_loom_map(knit.plan, part, yarn_peg, width_mm=120.0, height_mm=40.0)
        words = " ".join(one.text for one in texts_of(page_of(block))).replace("\xa0", " ")
        # Wherever it stands on the page, its moment is told beside it.
        for text in ("Before row 1", *texts):
            assert text in words, part


def test_the_empty_peg_of_an_odd_ring_is_told(knit_of: Callable[[str], Knit]) -> None:
    knit = knit_of("right to left on 25")
    yarn_peg = part_record(knit, Part.TOE).starts.yarn_peg
    assert yarn_peg is not None
    block = small_loom_map(knit.plan, Part.TOE, yarn_peg, width_mm=120.0, height_mm=40.0)
    words = " ".join(one.text for one in texts_of(page_of(block)))
    assert "Empty since the decrease." in words


def test_a_band_is_drawn_round_each_marked_peg_and_a_dot_at_the_round_start() -> None:
    """40 pegs: pegs 2, 4, 10, 18, 24 and 26 of the check sock carry a marker."""
    plan = plan_of(40)
    block = loom_map(plan, width_mm=WIDTH_MM, height_mm=HEIGHT_MM)
    numbers = {int(one.text): clock_degrees(one.box, block) for one in numbers_on(block, 40)}
    rounds: dict[float, list[float]] = {}
    for path in paths_of(page_of(block)):
        box = path.box
        wide_mm = box.right_mm - box.left_mm
        if wide_mm < 8.0 and abs(wide_mm - (box.bottom_mm - box.top_mm)) < 0.05:
            rounds.setdefault(round(clock_degrees(box, block), 1), []).append(wide_mm)
    bands = {
        peg
        for peg, degrees in numbers.items()
        if any(abs(degrees - at) < 1.5 and max(wide) > 4.0 for at, wide in rounds.items())
    }
    assert bands == {2, 4, 10, 18, 24, 26}


def test_markers_and_first_peg_have_their_legend(knit_of: Callable[[str], Knit]) -> None:
    plan = knit_of("rope on 40").plan
    markers = "".join(run.text for run in marker_words(plan))
    first = "".join(run.text for run in first_peg_words(plan))
    assert "on pegs 2, 4, 10, 18, 24, 26" in markers
    assert "black" in first
    assert "from the leg on they start at peg 2" in first


def test_yarn_round_start_and_knitter_have_marks_of_three_kinds(
    knit_of: Callable[[str], Knit],
) -> None:
    """A filled triangle is the knitter's place alone."""
    plan = knit_of("rope on 40").plan
    whole = loom_map(plan, width_mm=WIDTH_MM, height_mm=HEIGHT_MM)
    now = small_loom_map(plan, Part.TURN, plan.peg(9), width_mm=120.0, height_mm=40.0)

    def triangles(block: Block) -> int:
        return sum(
            path.item.fill == BLACK and len(path.item.segments) == 4
            for path in paths_of(page_of(block))
        )

    # The arrow of the first round has a head of the same form.
    assert triangles(whole) == 2
    assert triangles(now) == 0
