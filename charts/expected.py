"""The sock tiled a second time, straight from the spec, for `verify` to compare with.

Written apart from the section makers and in another manner: each letter is a formula of section,
row and place, measured from the instep's centre line where the makers count from its edge, and
the counts are closed sums.  It shares no function with `plan` or the makers: `expected_numbers`
works the plan's numbers out anew, and where they agree the rows are tiled from them.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import NamedTuple

from charts.loom import DOWN, UP, PegNumber, Working
from charts.plan import Plan
from charts.rows import (
    RUN_ON,
    CastOn,
    Graft,
    Hold,
    Holder,
    LiftBar,
    Move,
    Needle,
    Rehang,
    Section,
    Shift,
    TakeOff,
)
from charts.spec import Flanks, FootInstep, ShortRows, SockSpec, ToeShape


class ExpectedRow(NamedTuple):
    section: Section
    number: int
    direction: int
    pegs: tuple[PegNumber, ...]
    stitches: str


HEEL_EXTRA = ((7.9, 6), (11.1, 4), (float("inf"), 2))
"""Pegs a heel takes beyond half, up to each spacing in mm (common practice)."""


def expected_numbers(spec: SockSpec) -> dict[str, int | str]:
    """The numbers of the plan, by the names of its fields, worked out from the spec alone."""
    ring, spacing = spec.loom.pegs, spec.loom.spacing_mm
    half = ring // 2
    extra = next(
        more for limit, more in HEEL_EXTRA if spacing < limit or (more == 4 and spacing == limit)
    )
    heel = spec.heel.pegs or half + extra
    # A gusset, like the centre, is about a third of the heel.
    gusset = (2 * heel + 3) // 6 if spec.heel.centre is None else (heel - spec.heel.centre) // 2
    third = half // 3 if spec.toe.shape is ToeShape.BLUNT else (half + 2) // 3
    knit = {"flat": "k", "u-wrap": "u", "e-wrap": "e"}[spec.knit]
    return {
        "heel_pegs": heel,
        "centre_pegs": heel - 2 * gusset,
        "gusset_pegs": gusset,
        "flap_rows": spec.heel.flap_rows or 2 * gusset,
        "turn_rows": 2 * gusset,
        "instep_pegs": ring - heel,
        "toe_pegs": half,
        "toe_side": spec.toe.side or min(third, (half - 1) // 2),
        "toe_offset": (heel - half) // 2,
        "shift": _expected_shift(spec, heel, knit),
        "cuff_letters": "".join(_rib_letter(spec, peg, knit) for peg in range(1, ring + 1)),
    }


def expected_lines(spec: SockSpec) -> dict[str, str]:
    """What the plan prints beside the name of each count, worked out from the spec alone."""
    due = expected_numbers(spec)
    ring, half, side, shift = spec.loom.pegs, spec.loom.pegs // 2, due["toe_side"], due["shift"]
    assert isinstance(side, int)
    lines: dict[str, object] = {
        "pegs": ring,
        "cuff rows": spec.cuff.rows,
        "rib": " ".join(f"{letter}{len(list(run))}" for letter, run in groupby(spec.cuff.rib)),
        "round start moves by": "1 peg" if shift == 1 else f"{shift} pegs",
        "leg rows": spec.leg.rows,
        "heel pegs": due["heel_pegs"],
        "turn pegs (centre)": due["centre_pegs"],
        "gusset pegs, each side": due["gusset_pegs"],
        "flap rows": due["flap_rows"],
        "edge loops, each side": due["gusset_pegs"],
        "turn rows": due["turn_rows"],
        "instep pegs": due["instep_pegs"],
        "foot rows": spec.foot.rows,
        "toe pegs": half,
        "toe: side / centre / side": f"{side} / {half - side - side} / {side}",
        "toe rows": 4 * side,
        "pegs before the toe": due["toe_offset"],
        "pairs to graft": half,
    }
    if spec.leg.panel is not None:
        lines["panel pegs"] = len(spec.motifs[spec.leg.panel].rows[0]) * spec.leg.across
    if ring % 2:
        lines["decrease before the toe"] = 1
    return {name: str(value) for name, value in lines.items()}


def _expected_shift(spec: SockSpec, heel: int, knit: str) -> int:
    """The round's start moves until the cuff reads alike from both edges of the instep."""
    leg, ring = spec.leg, spec.loom.pegs
    if leg.round_start_shift is not None:
        return leg.round_start_shift
    if leg.panel is None and leg.flanks is not Flanks.RIB:
        return 0

    def letter(place: int) -> str:
        return _rib_letter(spec, (place - 1) % ring + 1, knit)

    for shift in range(len(spec.cuff.rib)):
        edges = ((heel + 1 + step, ring - step) for step in range(ring - heel))
        if all(letter(left + shift) == letter(right + shift) for left, right in edges):
            return shift
    return 0


def expected_rows(plan: Plan) -> Iterator[ExpectedRow]:
    """Every row that is due, in order."""
    ring = plan.loom.pegs
    spec = plan.spec
    knit = {"flat": "k", "u-wrap": "u", "e-wrap": "e"}[spec.knit]
    heel, centre = plan.heel_pegs, plan.centre_pegs
    gusset = (heel - centre) // 2
    turn = (gusset + 1, gusset + centre)

    cuff = "".join(_rib_letter(spec, peg, knit) for peg in range(1, ring + 1))
    around = _pegs(plan, 1, ring)
    for number in range(1, spec.cuff.rows + 1):
        yield ExpectedRow(Section.CUFF, number, UP, _numbers(range(1, ring + 1)), cuff)
    if plan.shift:
        run_on = range(1, plan.shift + 1)
        yield ExpectedRow(Section.CUFF, RUN_ON, UP, _numbers(run_on), cuff[: plan.shift])

    insteps = _instep_rows(plan, knit)
    height = len(insteps)
    for row in range(spec.leg.rows):
        yield ExpectedRow(Section.LEG, row + 1, UP, around, heel * knit + insteps[row % height])

    for number in range(1, 2 * gusset + 1):
        ends = (1, heel) if number % 2 else (heel, 1)
        letters = heel * knit if number == 1 else "s" + (heel - 1) * knit
        yield ExpectedRow(Section.FLAP, number, _way(number), _pegs(plan, *ends), letters)
    yield ExpectedRow(Section.PARTIAL, 1, UP, _pegs(plan, 1, gusset + 1), "s" + gusset * knit)

    for number in range(1, 2 * gusset + 1):
        ends = turn if number % 2 else turn[::-1]
        pegs = _pegs(plan, *ends)
        letters = (centre - 1) * knit + "j"
        # The first stitch of the first row belongs to the partial row.
        yield ExpectedRow(
            Section.TURN, number, _way(number), pegs[number == 1 :], letters[number == 1 :]
        )

    bars = set(turn)
    late_bars: set[int] = set()
    if spec.gusset.corner_bars:
        bars.add(heel)
        late_bars.add(1)
    plain = spec.foot.instep is FootInstep.PLAIN
    toe_first = (heel - ring // 2) // 2 + 1
    toe_last = toe_first + ring // 2 - 1
    for number in range(1, spec.foot.rows + 1):
        lifted = bars if number == 1 else late_bars if number == 2 else set()
        sole = "".join("b" if place in lifted else knit for place in range(1, heel + 1))
        motif_row = (spec.leg.rows + number - 1) % height
        letters = sole + ((ring - heel) * knit if plain else insteps[motif_row])
        if ring % 2 and number == spec.foot.rows:
            lean = "\\" if plan.loom.working is Working.LEFT_TO_RIGHT else "/"
            letters = f"{letters[: toe_last - 1]}{lean}x{letters[toe_last + 1 :]}"
        start = turn[0] if number == 1 else 1
        yield ExpectedRow(Section.FOOT, number, UP, around[start - 1 :], letters[start - 1 :])
    if toe_first > 1:
        run_on_pegs = around[: toe_first - 1]
        yield ExpectedRow(Section.FOOT, RUN_ON, UP, run_on_pegs, (toe_first - 1) * knit)

    toe_rows = _turned_toe_row if spec.toe.short_rows is ShortRows.TURNED else _wrapped_toe_row
    for number in range(1, 4 * plan.toe_side + 1):
        first, last, letters = toe_rows(number, ring // 2, plan.toe_side, knit)
        if number % 2:
            ends = (toe_first + first, toe_first + last)
        else:
            ends = (toe_last - first, toe_last - last)
        yield ExpectedRow(Section.TOE, number, _way(number), _pegs(plan, *ends), letters)


def _turned_toe_row(number: int, width: int, side: int, knit: str) -> tuple[int, int, str]:
    """First and last peg from the edge the row starts at, from 0, and its letters."""
    if number <= 2 * side:
        # Each side has lost one peg in two rows; the row also starts beside the last turn.
        first, last = number // 2, width - 1 - (number - 1) // 2
        return first, last, (last - first) * knit + "t"
    widened = number - 2 * side
    first = side if widened == 1 else side - (widened - 2) // 2
    last = width - 1 - side + (widened + 1) // 2
    return first, last, (last - first) * knit + "d"


def _wrapped_toe_row(number: int, width: int, side: int, knit: str) -> tuple[int, int, str]:
    """As `_turned_toe_row`: the last peg is wrapped, or worked with its wraps and one beyond."""
    if number <= 2 * side:
        first, last = number // 2, width - 1 - (number - 1) // 2
        return first, last, (last - first) * knit + "w"
    widened = number - 2 * side
    first = side - widened // 2
    unwrapped = width - 1 - side + (widened + 1) // 2
    letters = (unwrapped - first) * knit + "W"
    if unwrapped == width - 1:
        return first, unwrapped, letters
    return first, unwrapped + 1, letters + "w"


def _way(number: int) -> int:
    return UP if number % 2 else DOWN


def _numbers(pegs: range) -> tuple[PegNumber, ...]:
    return tuple(PegNumber(peg) for peg in pegs)


def _pegs(plan: Plan, first: int, last: int) -> tuple[PegNumber, ...]:
    step = 1 if first <= last else -1
    places = range(first + plan.shift, last + plan.shift + step, step)
    return tuple(PegNumber((place - 1) % plan.loom.pegs + 1) for place in places)


def _rib_letter(spec: SockSpec, peg: int, knit: str) -> str:
    rib = spec.cuff.rib
    beyond = peg - 1 - spec.loom.pegs % len(rib)
    return "p" if beyond >= 0 and rib[beyond % len(rib)] == "p" else knit


def _instep_rows(plan: Plan, knit: str) -> list[str]:
    """The letters of the instep until they repeat: those of the panel found by the distance of
    each place from the centre line, the others those of the flanks."""
    places = range(plan.heel_pegs + 1, plan.loom.pegs + 1)
    flanks = [_flank_letter(plan, place, knit) for place in places]
    if plan.panel is None:
        return ["".join(flanks)]
    columns = len(plan.panel.rows[0])
    width = columns * plan.spec.leg.across
    mirror = -1 if plan.loom.working is Working.RIGHT_TO_LEFT else 1
    shown: list[int | None] = []
    for place in places:
        # Twice the distance, so that a centre between two pegs stays whole.
        off_centre = mirror * (2 * place - (plan.heel_pegs + 1 + plan.loom.pegs))
        inside = abs(off_centre) < width
        shown.append((off_centre + width - 1) // 2 % columns if inside else None)
    return [
        "".join(
            flank if column is None else row[column]
            for flank, column in zip(flanks, shown, strict=True)
        )
        for row in (row.replace("k", knit) for row in plan.panel.rows)
    ]


def _flank_letter(plan: Plan, place: int, knit: str) -> str:
    spec = plan.spec
    if spec.leg.flanks is Flanks.RIB:
        return _rib_letter(spec, _pegs(plan, place, place)[0], knit)
    return "p" if spec.leg.flanks is Flanks.PURL else knit


def expected_counts(plan: Plan) -> dict[Section, int]:
    """Stitches of each section as closed sums; slipped ones are not counted."""
    ring, heel, centre, spec = plan.loom.pegs, plan.heel_pegs, plan.centre_pegs, plan.spec
    gusset, half, side = (heel - centre) // 2, ring // 2, plan.toe_side
    offset = (heel - half) // 2
    narrowing = sum(range(half - 2 * side + 1, half + 1))
    if spec.toe.short_rows is ShortRows.TURNED:
        toe = narrowing + (half - 2 * side + 1) + sum(range(half - 2 * side + 1, half))
    else:
        toe = 4 * side * (half - side)
    return {
        Section.CUFF: spec.cuff.rows * ring + plan.shift,
        Section.LEG: spec.leg.rows * ring,
        Section.FLAP: heel + (2 * gusset - 1) * (heel - 1),
        Section.PARTIAL: gusset,
        Section.TURN: 2 * gusset * (centre + 1) - 1,
        Section.FOOT: ring - gusset + (spec.foot.rows - 1) * ring + offset - ring % 2,
        Section.TOE: toe,
    }


def expected_moves(plan: Plan) -> list[tuple[int, Move]]:
    """Every move that is due, with the number of rows that come before it."""
    ring, heel, centre, spec = plan.loom.pegs, plan.heel_pegs, plan.centre_pegs, plan.spec
    gusset = (heel - centre) // 2
    half = ring // 2
    offset = (heel - half) // 2

    def peg(place: int) -> PegNumber:
        return _pegs(plan, place, place)[0]

    before_turn = spec.cuff.rows + (plan.shift > 0) + spec.leg.rows + 2 * gusset + 1
    before_foot = before_turn + 2 * gusset
    before_closing = before_foot + spec.foot.rows + (offset > 0) + 4 * plan.toe_side
    near, far = _pegs(plan, 1, gusset), _pegs(plan, heel, heel - gusset + 1)
    bars = [(gusset + 1, gusset), (gusset + centre, gusset + centre)]
    if spec.gusset.corner_bars:
        bars += [(heel, heel), (1, ring)]
    moves: list[tuple[int, Move]] = [
        (0, CastOn(Section.CAST_ON, _numbers(range(1, ring + 1)))),
        (before_turn, Hold(Section.TURN, Holder.NEAR, near)),
        (before_turn, Hold(Section.TURN, Holder.FAR, far)),
        (before_foot, Rehang(Section.GUSSET, Holder.NEAR, peg(1), near)),
        (before_foot, Rehang(Section.GUSSET, Holder.FAR, peg(heel), far)),
    ]
    moves += [
        (before_foot, LiftBar(Section.GUSSET, peg(on), (peg(low), peg(low + 1))))
        for on, low in bars
    ]
    last_toe = offset + half
    if ring % 2:
        shift = Shift(Section.FOOT, peg(last_toe + 1), peg(last_toe))
        moves.append((before_foot + spec.foot.rows - 1, shift))
    instep = tuple(peg(place) for place in range(offset, offset - half, -1))
    toe = _pegs(plan, last_toe, offset + 1)
    return [
        *moves,
        (before_closing, TakeOff(Section.CLOSING, Needle.FRONT, instep)),
        (before_closing, TakeOff(Section.CLOSING, Needle.BACK, toe)),
        (before_closing, Graft(Section.CLOSING, tuple(zip(instep, toe[::-1], strict=True)))),
    ]
