"""Row counts from the body: what is left of a foot and a leg once heel and toe are taken off.

Where each length is measured is drawn in `charts/sock_measures.py`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import ceil, floor
from typing import Final

from charts.ease import Aim, Ease, aim_for, measure_words, small_words
from charts.feet import Foot
from charts.foot_measures import Origin
from charts.gauge import GaugeReading, counted_over
from charts.problems import Problem, setting
from charts.sock_measures import GRAFT_ROWS, Measures, SockCounts, sock_measures
from charts.spec import Units

MOST_ROWS: Final = 400
"""Of leg or foot: no sock has more, a slip of the unit has."""
MOST_CUFF_ROWS: Final = 200
LEAST_FOOT_ROWS: Final = 4
_FEWEST_EXACT: Final = LEAST_FOOT_ROWS - 0.5
"""What still rounds to it."""
_NOISE: Final = 1e-9
"""Rows this close to a limit are on it."""

HEIGHT_OF_LENGTH: Final = 0.7
"""Sock height, floor to top, as a share of the foot length where none is given: a trade council's
chart has 0.63 to 0.81 (from memory)."""
CUFF_OF_LEG: Final = 1 / 3
"""Of the height above the heel flap.  A relief sock's leaflet of the First World War (American Red
Cross) has 4 in of 11."""

FLAP_OF_HEEL: Final = (0.75, 1.25)
"""Flap height as a share of the height of the ankle bone: ours.  Printed flaps of 2 1/4 to 2 3/4 in
(57 to 70 mm) stand against bones at 54 to 83 mm (ANSUR II, percentiles 5 and 95)."""
SEEN_MM: Final = 5
"""A length that is off by more than this is worth a warning: ours, about the usual ease."""


@dataclass(frozen=True)
class SockPegs:
    """The peg counts that row counts depend on."""

    pegs: int
    heel_pegs: int
    centre_pegs: int
    """Of the turn, as given or by the rule."""
    toe_side: int
    """Pegs turned at each side of the toe."""
    centre_is_given: bool = False
    """The designer chose the centre: no heel width may change it."""

    @property
    def turn_rows(self) -> int:
        """As many as flap rows: both gussets together."""
        return self.heel_pegs - self.centre_pegs

    @property
    def toe_rows(self) -> float:
        """From the last foot row to the tip."""
        return 2 * self.toe_side + GRAFT_ROWS


@dataclass(frozen=True)
class Heights:
    """How high the sock is to be; None for what is not chosen."""

    top_mm: float | None = None
    """Floor to the top of the cuff; else the foot's own `leg_height`, else in proportion."""
    cuff_rows: int | None = None
    cuff_mm: float | None = None
    """Used where no cuff rows are given."""
    leg_rows: int | None = None
    """Then the cuff is what is left, unless its rows are given too."""


@dataclass(frozen=True)
class Repeats:
    """To end on a whole motif: rows of its repeat, 1 to count single rows."""

    leg: int = 1
    foot: int = 1


@dataclass(frozen=True)
class BodyLine:
    """One number from the body as the plan prints it: name, value, reason, key that overrules."""

    name: str
    value: str
    reason: str
    key: str = ""


@dataclass(frozen=True)
class FootRows:
    """Foot rows for one foot, and what is wrong with them."""

    rows: int
    """Never fewer than `LEAST_FOOT_ROWS` nor more than `MOST_ROWS`, even beside a problem."""
    exact: float
    """Unrounded; below zero where heel and toe alone are longer than the foot."""
    rounding_mm: float
    """The finished length less the one aimed at, by rounding to rows or repeats."""
    aim: Aim
    problem: Problem | None
    nearest: SockPegs | None
    """Beside a problem: the nearest heel centre and toe side that work; None if none does."""


@dataclass(frozen=True)
class BodyRows:
    """Every row count that the body decides; with problems, the nearest that can be knitted."""

    cuff_rows: int
    leg_rows: int
    foot_rows: int
    pegs: SockPegs
    """With the centre that was settled on."""
    promised: Measures
    lines: tuple[BodyLine, ...]
    problems: tuple[Problem, ...]
    warnings: tuple[str, ...]
    """Sentences for the designer."""


def centre_from_heel_width(
    foot: Foot, gauge: GaugeReading, ease: Ease, heel_pegs: int, *, units: Units = Units.CM
) -> tuple[int, str] | None:
    """Pegs of the turn as wide as the eased heel, with the reason; None if it was not measured.

    As even or odd as the heel, so that both gussets are equal, and at least one gusset peg a side.
    """
    if foot.heel_width.origin is not Origin.MEASURED:
        return None
    aim = aim_for(foot, ease, units=units).heel_width
    wanted = aim.mm * gauge.stitches.per_10cm / 100
    choices = range(2 + heel_pegs % 2, heel_pegs - 1, 2)
    centre = min(choices, key=lambda choice: (abs(choice - wanted), choice))
    parity = "odd" if heel_pegs % 2 else "even"
    return centre, (
        f"{aim.reason}: {wanted:.1f} stitches, to the nearest {parity} count like the "
        f"{heel_pegs} heel pegs"
    )


def foot_rows(
    foot: Foot,
    gauge: GaugeReading,
    ease: Ease,
    pegs: SockPegs,
    *,
    repeat: int = 1,
    units: Units = Units.CM,
) -> FootRows:
    """What is left of the eased foot length after turn and toe, in rows."""
    aim = aim_for(foot, ease, units=units).length
    whole = aim.mm * gauge.rows.per_10cm / 100
    exact = whole - pegs.turn_rows - pegs.toe_rows
    rows = _to_repeat(exact, repeat, LEAST_FOOT_ROWS, MOST_ROWS)
    rounding_mm, _ = gauge.rows.mm(rows - exact)
    problem, nearest = None, None
    if exact < _FEWEST_EXACT - _NOISE:
        nearest = _shorter_heel_and_toe(pegs, _FEWEST_EXACT - exact)
        problem = _too_short(foot, whole, aim, gauge, ease, pegs, nearest, units)
    elif exact > MOST_ROWS + 0.5:
        most = (MOST_ROWS + pegs.turn_rows + pegs.toe_rows) * 100 / aim.mm
        problem = Problem(
            f"a foot of {exact:.0f} rows is none that is knitted",
            "gauge.rows",
            f"up to {MOST_ROWS} foot rows",
            f"at most {floor(most)} rows in 10 cm",
        )
    return FootRows(rows, exact, rounding_mm, aim, problem, nearest)


def _shorter_heel_and_toe(pegs: SockPegs, missing_rows: float) -> SockPegs | None:
    """A wider centre and a shorter toe side that give so many rows back, as few steps as will do.

    Two pegs more at the centre, or one less at the toe's side, each give back two rows.
    """
    steps = ceil(missing_rows / 2 - _NOISE)
    widest = (pegs.heel_pegs - 2 - pegs.centre_pegs) // 2
    choices = [
        (abs(2 * wider - steps), wider)
        for wider in range(max(0, widest) + 1)
        if 0 <= steps - wider <= pegs.toe_side - 1
    ]
    if not choices:
        return None
    _, wider = min(choices)
    return replace(
        pegs,
        centre_pegs=pegs.centre_pegs + 2 * wider,
        toe_side=pegs.toe_side - (steps - wider),
        centre_is_given=True,
    )


def shortest_foot_mm(gauge: GaugeReading, ease: Ease, pegs: SockPegs) -> float:
    """The length of the shortest foot that heel and toe leave foot rows for."""
    eased_mm, _ = gauge.rows.mm(pegs.turn_rows + pegs.toe_rows + _FEWEST_EXACT)
    return eased_mm / (1 - ease.length_share)


def least_rows_per_10cm(foot: Foot, ease: Ease) -> float:
    """The row gauge that two turn rows and one peg at each side of the toe need."""
    rows = 2 + (2 + GRAFT_ROWS) + _FEWEST_EXACT
    return rows * 100 / aim_for(foot, ease).length.mm


def _too_short(
    foot: Foot,
    whole: float,
    aim: Aim,
    gauge: GaugeReading,
    ease: Ease,
    pegs: SockPegs,
    nearest: SockPegs | None,
    units: Units,
) -> Problem:
    if nearest is not None:
        changes = []
        if nearest.centre_pegs != pegs.centre_pegs:
            changes.append(setting("heel.centre", nearest.centre_pegs))
        if nearest.toe_side != pegs.toe_side:
            changes.append(setting("toe.side", nearest.toe_side))
        suggestion = " and ".join(changes)
    else:
        suggestion = f"at least {ceil(least_rows_per_10cm(foot, ease))} rows in 10 cm"
    return Problem(
        f"{measure_words(aim.mm, units)} of foot are {whole:.1f} rows, and the heel turn's "
        f"{pegs.turn_rows} and the toe's {pegs.toe_rows:g} leave fewer than {LEAST_FOOT_ROWS}",
        "foot.length",
        f"feet from {measure_words(_up_mm(shortest_foot_mm(gauge, ease, pegs)), units)}",
        suggestion,
    )


def _up_mm(mm: float) -> float:
    """Up to the next whole 3 mm, so that the printed tenth of a cm or in is not too small."""
    return ceil(mm / 3) * 3


def rows_from_body(
    foot: Foot,
    gauge: GaugeReading,
    ease: Ease,
    pegs: SockPegs,
    *,
    heights: Heights | None = None,
    repeats: Repeats | None = None,
    units: Units = Units.CM,
) -> BodyRows:
    """Cuff, leg and foot rows, each with its reason, and the sizes that they promise.

    Never raises: what cannot be is a problem that names the nearest that can.  Problems of the foot
    have the keys of `foot_from_measures`, "foot.length" and "foot.leg_height".
    """
    return _Body(foot, gauge, ease, pegs, heights or Heights(), repeats or Repeats(), units).rows()


class _Body:
    """Collects the numbers, their reasons and the problems of one foot."""

    def __init__(
        self,
        foot: Foot,
        gauge: GaugeReading,
        ease: Ease,
        pegs: SockPegs,
        heights: Heights,
        repeats: Repeats,
        units: Units,
    ) -> None:
        self.foot = foot
        self.gauge = gauge
        self.ease = ease
        self.pegs = pegs
        self.heights = heights
        self.repeats = repeats
        self.units = units
        self.row_mm, _ = gauge.rows.mm(1)
        self.lines: list[BodyLine] = []
        self.problems: list[Problem] = []
        self.warnings: list[str] = []

    def rows(self) -> BodyRows:
        self._settle_centre()
        self._check_flap()
        cuff, leg = self._cuff_and_leg()
        foot = self._foot()
        counts = SockCounts(
            round_stitches=self.pegs.pegs,
            centre_stitches=self.pegs.centre_pegs,
            cuff=cuff,
            leg=leg,
            flap=self.pegs.turn_rows,
            turn=self.pegs.turn_rows,
            foot=foot,
            toe=self.pegs.toe_rows,
        )
        return BodyRows(
            cuff_rows=cuff,
            leg_rows=leg,
            foot_rows=foot,
            pegs=self.pegs,
            promised=sock_measures(counts, self.gauge),
            lines=tuple(self.lines),
            problems=tuple(self.problems),
            warnings=tuple(self.warnings),
        )

    def _settle_centre(self) -> None:
        if self.pegs.centre_is_given:
            return
        found = centre_from_heel_width(
            self.foot, self.gauge, self.ease, self.pegs.heel_pegs, units=self.units
        )
        if found is None:
            return
        centre, reason = found
        self.pegs = replace(self.pegs, centre_pegs=centre)
        self._line("turn pegs (centre)", centre, reason, "heel.centre")

    def _check_flap(self) -> None:
        """Whether the flap reaches from the floor to about the ankle bone."""
        heel, rows = self.foot.heel_height, self.pegs.turn_rows
        flap_mm = rows * self.row_mm
        low, high = FLAP_OF_HEEL
        origin = "" if heel.origin is Origin.MEASURED else f" ({heel.origin.value})"
        against = f"against {self._words(heel.mm)} from floor to ankle bone{origin}"
        self._line("flap height", self._words(flap_mm), f"{rows} rows, {against}", "heel.flap_rows")
        if low * heel.mm <= flap_mm <= high * heel.mm:
            return
        size = "low" if flap_mm < heel.mm else "high"
        heel_pegs = self.pegs.heel_pegs
        choices = range(2 + heel_pegs % 2, heel_pegs - 1, 2)
        better = min(choices, key=lambda centre: abs((heel_pegs - centre) * self.row_mm - heel.mm))
        hint = ""
        if better != self.pegs.centre_pegs:
            better_rows = heel_pegs - better
            hint = (
                f"; {setting('heel.centre', better)} makes it {better_rows} rows, "
                f"{self._words(better_rows * self.row_mm)}"
            )
        self.warnings.append(f"The flap of {self._words(flap_mm)} is {size} {against}{hint}")

    def _cuff_and_leg(self) -> tuple[int, int]:
        top_mm, why = self._top_mm()
        flap = self.pegs.turn_rows
        above = self._rows_above_flap(top_mm)
        cuff, cuff_why = self._cuff(above)
        self._line("cuff rows", cuff, cuff_why, "cuff.rows")
        if self.heights.leg_rows is not None:
            self._line("leg rows", self.heights.leg_rows, "as given", "leg.rows")
            return cuff, self.heights.leg_rows
        exact = max(top_mm / self.row_mm - flap - cuff, 0)
        repeat = self.repeats.leg
        leg = _to_repeat(exact, repeat, 0, MOST_ROWS)
        if exact > MOST_ROWS + 0.5:
            most = self._words((MOST_ROWS + cuff + flap) * self.row_mm)
            what = f"a leg of {exact:.0f} rows is none that is knitted"
            key = "foot.leg_height"
            self._problem(what, key, f"up to {MOST_ROWS} rows", f"a leg height of {most}")
        off_mm = (leg - exact) * self.row_mm
        reason = f"{why} less {flap} flap rows and {cuff} of the cuff{self._at_gauge()}"
        self._line("leg rows", leg, reason + self._repeat_words(repeat, off_mm), "leg.rows")
        self._warn_of_rounding("leg", repeat, off_mm)
        return cuff, leg

    def _rows_above_flap(self, top_mm: float) -> int:
        """Rows of cuff and leg together; a sock lower than its heel flap is a problem."""
        flap = self.pegs.turn_rows
        above = floor(top_mm / self.row_mm + 0.5) - flap
        if above >= 1:
            return above
        least = self._words(_up_mm((flap + 1) * self.row_mm))
        self._problem(
            f"a sock {self._words(top_mm)} high ends below the top of its heel flap of {flap} rows",
            "foot.leg_height",
            f"from {least}",
            f"a leg height of {least}, or a wider heel.centre, which makes the flap lower",
        )
        return 1

    def _top_mm(self) -> tuple[float, str]:
        """Floor to top, and where it comes from."""
        if self.heights.top_mm is not None:
            return self.heights.top_mm, f"a height of {self._words(self.heights.top_mm)}, as given,"
        if self.foot.leg_height is not None:
            height_mm = self.foot.leg_height.mm
            return height_mm, f"a leg height of {self._words(height_mm)}"
        # A guess gives way to what was chosen: a high flap, the cuff's rows, the leg's rows.
        flap = self.pegs.turn_rows
        chosen = (self.heights.cuff_rows or 1) + (self.heights.leg_rows or 0)
        cuff_mm = (self.heights.cuff_mm or 0) + self.row_mm
        rows_mm = max(1.5 * flap, flap + chosen) * self.row_mm
        height_mm = max(
            HEIGHT_OF_LENGTH * self.foot.length.mm, rows_mm, flap * self.row_mm + cuff_mm
        )
        of_length = height_mm / self.foot.length.mm
        return height_mm, (
            f"a height of {self._words(height_mm)}, {of_length:.2f} of the foot length, a guess,"
        )

    def _cuff(self, above: int) -> tuple[int, str]:
        """Cuff rows of the rows above the flap, with the reason."""
        most = min(above, MOST_CUFF_ROWS)
        given, leg = self.heights.cuff_rows, self.heights.leg_rows
        if given is not None:
            if given > most and leg is None:
                what = f"{given} cuff rows are more than the {above} rows above the heel flap"
                self._problem(what, "cuff.rows", f"1 to {most}", setting("cuff.rows", most))
                return most, "as given"
            return given, "as given"
        if leg is not None:
            if leg >= above:
                what = f"{leg} leg rows leave no cuff of the {above} rows above the heel flap"
                self._problem(what, "leg.rows", f"0 to {above - 1}", setting("leg.rows", above - 1))
            return min(max(above - leg, 1), most), f"what {leg} leg rows leave of {above}"
        if self.heights.cuff_mm is not None:
            wanted = floor(self.heights.cuff_mm / self.row_mm + 0.5)
            words = self._words(self.heights.cuff_mm)
            if wanted > most:
                what = f"a cuff of {words} is higher than the sock above its heel flap"
                up_to = self._words(most * self.row_mm)
                self._problem(what, "cuff.rows", f"up to {up_to}", setting("cuff.rows", most))
            return min(max(wanted, 1), most), f"a cuff of {words}{self._at_gauge()}"
        third = floor(above * CUFF_OF_LEG + 0.5)
        return min(max(third, 1), most), f"a third of the {above} rows above the heel flap"

    def _foot(self) -> int:
        repeat = self.repeats.foot
        found = foot_rows(
            self.foot, self.gauge, self.ease, self.pegs, repeat=repeat, units=self.units
        )
        if found.problem is not None:
            self.problems.append(found.problem)
        turn, toe = self.pegs.turn_rows, self.pegs.toe_rows
        error_mm = max(found.aim.error_mm, found.aim.mm * self.gauge.rows.share)
        reason = (
            f"{self._words(found.aim.mm)} ± {self._words(error_mm)} ({found.aim.reason}) less "
            f"{turn} rows of turn and {toe:g} of toe{self._at_gauge()}"
        )
        reason += self._repeat_words(repeat, found.rounding_mm)
        self._line("foot rows", found.rows, reason, "foot.rows")
        if found.problem is None:
            self._warn_of_rounding("foot", repeat, found.rounding_mm)
        return found.rows

    def _warn_of_rounding(self, part: str, repeat: int, off_mm: float) -> None:
        if repeat > 1 and abs(off_mm) > SEEN_MM:
            change = "longer" if off_mm > 0 else "shorter"
            self.warnings.append(
                f"Whole motifs of {repeat} rows make the {part} "
                f"{small_words(abs(off_mm), self.units)} {change} than aimed at: "
                "let the motif end within a repeat, or draw one of fewer rows"
            )

    def _repeat_words(self, repeat: int, off_mm: float) -> str:
        if repeat == 1:
            return ""
        off = small_words(off_mm, self.units, signed=True)
        return f"; to whole motifs of {repeat} rows, {off}"

    def _at_gauge(self) -> str:
        count, span = counted_over(self.gauge.rows.per_10cm, self.units)
        return f", at {count:.4g} rows in {span}"

    def _words(self, mm: float) -> str:
        return measure_words(mm, self.units)

    def _problem(self, what: str, key: str, allowed: str, suggestion: str) -> None:
        self.problems.append(Problem(what, key, allowed, suggestion))

    def _line(self, name: str, value: object, reason: str, key: str) -> None:
        self.lines.append(BodyLine(name, str(value), reason, key))


def _to_repeat(exact: float, repeat: int, least: int, most: int) -> int:
    """The multiple of `repeat` nearest to the rows, between the limits where one lies there.

    >>> [_to_repeat(rows, 8, 4, 400) for rows in (-3.0, 11.9, 12.0, 900.0)]
    [8, 8, 16, 400]
    """
    nearest = floor(exact / repeat + 0.5)
    fewest, largest = -(-least // repeat), max(most // repeat, 1)
    return repeat * min(max(nearest, fewest), largest)
