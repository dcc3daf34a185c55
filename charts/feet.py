"""A foot, from what is known of it: measures, else a shoe size, else an age or size class.

Measures win over shoe sizes, and a shoe size over a class; whatever is missing is estimated from
published statistics.  Each measure keeps where it came from and how far off it may be.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot
from typing import Final

from charts.foot_classes import FootClass
from charts.foot_measures import FootMeasures, Measure, Origin, check_measures, measured
from charts.foot_tables import ADULTS, LAST_GIRTHS, LAST_ROOM_IN, LINES, Place
from charts.problems import PatternError, Problem
from charts.shoe_sizes import ShoeSize, Wearer


@dataclass(frozen=True)
class Foot:
    """A foot with every measure that a sock needs."""

    length: Measure
    ball: Measure
    ankle: Measure
    heel_ankle: Measure
    heel_width: Measure
    heel_height: Measure
    leg: Measure | None
    """None if it was not measured and the leg height or the statistics are missing."""
    leg_height: Measure | None
    """Never estimated: it is a choice."""
    wearer: Wearer | None
    notes: tuple[str, ...] = ()
    """What was used and what was not; sentences without a full stop."""

    @property
    def widest_mm(self) -> float:
        """The round that a sock's circumference is chosen from: ball or ankle, the larger.

        By ANSUR II about 16 women in 100 and 2 men in 100 have the larger ankle.
        """
        return max(self.ball.mm, self.ankle.mm)


CHILD_GIRTH_ERROR: Final = 0.10
"""Share by which a child's girth may differ from the 1902 scale: estimate.  Ages 6-15 pooled (Int J
Foot Ankle 5:058) are 213.5 mm long and 84.0 wide, with the adults' girth to breadth about 207 mm
round: 6 % above the scale."""
CHILD_PROPORTION_ERROR: Final = 0.10
"""Share by which an adult proportion may fail for a child: estimate."""

SCALE_ONLY_BELOW_MM: Final = 200
"""Below it a child's girth is the 1902 scale's; then a straight passage to the adults' line."""
ADULTS_FROM_MM: Final = (LAST_GIRTHS[-1].last_length_in - LAST_ROOM_IN) * 25.4
"""The end of the 1902 scale, 241 mm: from here on the adults' line."""


def foot_from_measures(
    measures: FootMeasures,
    *,
    wearer: Wearer | None = None,
    shoe: ShoeSize | None = None,
    foot_class: FootClass | None = None,
    key: str = "foot",
) -> Foot:
    """The foot, every measure with its origin and error.

    The length is the measured one, else the shoe size's, else the class's.  Raises PatternError
    with every measure that cannot be, or if no length is known; `key` is the table that the
    problems name.
    """
    problems = check_measures(measures, key=key)
    length, notes = _length(measures, shoe, foot_class)
    if length is None:
        what = "a foot needs a length, a shoe size or a class"
        problems += (Problem(what, f"{key}.length"),)
    if problems or length is None:
        raise PatternError(problems)
    if wearer is None and shoe is not None:
        wearer = shoe.wearer
    if wearer is None and foot_class is not None:
        wearer = foot_class.wearer
    known = {Place.LENGTH: length}
    for place, mm in (
        (Place.BALL, measures.ball_mm),
        (Place.ANKLE, measures.ankle_mm),
        (Place.HEEL_ANKLE, measures.heel_ankle_mm),
        (Place.HEEL_WIDTH, measures.heel_width_mm),
        (Place.ANKLE_HEIGHT, measures.heel_height_mm),
    ):
        known[place] = measured(mm) if mm is not None else _estimate(place, known, wearer)
    if known[Place.ANKLE].mm > known[Place.BALL].mm:
        notes += ("the ankle is rounder than the ball: the sock is sized by the ankle",)
    return Foot(
        length=length,
        ball=known[Place.BALL],
        ankle=known[Place.ANKLE],
        heel_ankle=known[Place.HEEL_ANKLE],
        heel_width=known[Place.HEEL_WIDTH],
        heel_height=known[Place.ANKLE_HEIGHT],
        leg=_leg(measures, known, wearer),
        leg_height=None if measures.leg_height_mm is None else measured(measures.leg_height_mm),
        wearer=wearer,
        notes=notes,
    )


def _length(
    measures: FootMeasures, shoe: ShoeSize | None, foot_class: FootClass | None
) -> tuple[Measure | None, tuple[str, ...]]:
    """The length by the best that is known, and what was left unused."""
    notes: tuple[str, ...] = ()
    found: Measure | None = None
    if measures.length_mm is not None:
        found = measured(measures.length_mm)
    if shoe is not None:
        if found is None:
            basis = f"{shoe.text}: the last less its usual room"
            found = Measure(shoe.foot_length_mm, Origin.SHOE, shoe.length_error_mm, basis)
            notes += (f"the length is a guess from {shoe.text}: measure the foot if you can",)
        else:
            off = shoe.foot_length_mm - found.mm
            note = f"measures used, not {shoe.text}, which says {shoe.foot_length_mm:.0f} mm"
            if abs(off) > shoe.length_error_mm + found.error_mm:
                note += ": they differ by more than shoe sizes do, so measure again"
            notes += (note,)
    if foot_class is not None:
        if found is None:
            found = Measure(
                foot_class.length_mm, Origin.CLASS, foot_class.error_mm, foot_class.source
            )
            notes += (f"the length is the middle of the class '{foot_class.name}'",)
        else:
            notes += (f"the class '{foot_class.name}' is not used for the length",)
    return found, notes


# Estimates


def _is_small(wearer: Wearer | None, length_mm: float) -> bool:
    """Whether the foot is outside the adults' statistics."""
    if wearer is Wearer.CHILD:
        return True
    if wearer is None:
        return length_mm < ADULTS[Wearer.WOMAN, Place.LENGTH].percentiles_mm[0]
    return length_mm < _SHORTEST_MM[wearer]


_SHORTEST_MM: Final = {Wearer.WOMAN: 198.0, Wearer.MAN: 216.0}
"""The shortest feet in ANSUR II."""


def _estimate(place: Place, known: dict[Place, Measure], wearer: Wearer | None) -> Measure:
    length = known[Place.LENGTH]
    small = _is_small(wearer, length.mm)
    if place is Place.BALL:
        if small or (wearer is None and length.mm < ADULTS_FROM_MM):
            return _ball_of_small_foot(length)
        return _by_lines(place, {Place.LENGTH: length}, wearer)
    if place is Place.HEEL_WIDTH:
        return _by_proportion(place, known[Place.BALL], Place.BALL, wearer, small)
    if place is Place.ANKLE_HEIGHT:
        return _by_proportion(place, length, Place.LENGTH, wearer, small)
    if small:
        return _by_proportion(place, known[Place.BALL], Place.BALL, wearer, small)
    predictors = {Place.LENGTH: length}
    if known[Place.BALL].origin is Origin.MEASURED:
        predictors[Place.BALL] = known[Place.BALL]
    return _by_lines(place, predictors, wearer)


def _by_lines(place: Place, predictors: dict[Place, Measure], wearer: Wearer | None) -> Measure:
    """By the fitted line with the least error; unknown adults by the mean of both sexes' lines."""
    found = []
    for by, measure in predictors.items():
        values, errors = [], []
        for sex in _sexes(wearer):
            line = LINES[sex, place, by]
            values.append(line.intercept_mm + line.slope * measure.mm)
            errors.append(hypot(2 * line.residual_sd_mm, line.slope * measure.error_mm))
        mm = sum(values) / len(values)
        error = max(errors) + (max(values) - min(values)) / 2
        basis = f"from the {by.value}, ANSUR II, {_sample_words(wearer)}"
        found.append(Measure(mm, Origin.ESTIMATED, error, basis))
    return min(found, key=lambda measure: measure.error_mm)


def _by_proportion(
    place: Place, measure: Measure, by: Place, wearer: Wearer | None, small: bool
) -> Measure:
    """By the ratio of the adults' means; for small feet a proportion borrowed from adults."""
    sexes = _sexes(None if small else wearer)
    ratios = [ADULTS[sex, place].mean_mm / ADULTS[sex, by].mean_mm for sex in sexes]
    ratio = sum(ratios) / len(ratios)
    spread = max(2 * _residual_mm(sex, place, by) / ADULTS[sex, place].mean_mm for sex in sexes)
    shares = [spread, measure.error_mm / measure.mm]
    basis = f"{ratio:.2f} of the {by.value}, ANSUR II, {_sample_words(wearer)}"
    if small:
        shares.append(CHILD_PROPORTION_ERROR)
        basis = f"{ratio:.2f} of the {by.value}, adults' proportion: no children's figures found"
    mm = ratio * measure.mm
    return Measure(mm, Origin.ESTIMATED, mm * hypot(*shares), basis)


def _residual_mm(sex: Wearer, place: Place, by: Place) -> float:
    """Deviation left about the fitted line; the whole deviation where no line is known."""
    line = LINES.get((sex, place, by))
    return ADULTS[sex, place].sd_mm if line is None else line.residual_sd_mm


def _ball_of_small_foot(length: Measure) -> Measure:
    """By the scale of 1902, passing over to the adults' line where that scale ends."""
    adult = _by_lines(Place.BALL, {Place.LENGTH: length}, None)
    if length.mm >= ADULTS_FROM_MM:
        return adult
    scale_mm = last_girth_mm(length.mm)
    if length.mm <= SCALE_ONLY_BELOW_MM:
        mm, basis = scale_mm, "last-makers' scale of 1902, from the foot length"
    else:
        span = ADULTS_FROM_MM - SCALE_ONLY_BELOW_MM
        mm = scale_mm + (length.mm - SCALE_ONLY_BELOW_MM) / span * (adult.mm - scale_mm)
        basis = "between the last-makers' scale of 1902 and ANSUR II, from the foot length"
    by_length = (last_girth_mm(length.mm + length.error_mm) - scale_mm) / scale_mm
    error = mm * hypot(CHILD_GIRTH_ERROR, by_length)
    return Measure(mm, Origin.ESTIMATED, error, basis)


def last_girth_mm(foot_length_mm: float) -> float:
    """Joint girth on the scale of 1902 for a foot, by straight lines between its sizes.

    Below its smallest size the girth shrinks in proportion; above its largest it goes on in steps
    as between the last two.

    >>> round(last_girth_mm(6.5 * 25.4) / 25.4, 2), round(last_girth_mm(77) / 77, 2)
    (6.25, 1.3)
    """
    rows = [
        ((row.last_length_in - LAST_ROOM_IN) * 25.4, row.joint_girth_in * 25.4)
        for row in LAST_GIRTHS
    ]
    if foot_length_mm <= rows[0][0]:
        return foot_length_mm * rows[0][1] / rows[0][0]
    upper = next((i for i, row in enumerate(rows) if row[0] >= foot_length_mm), len(rows) - 1)
    (length, girth), (longer, larger) = rows[upper - 1], rows[upper]
    return girth + (larger - girth) * (foot_length_mm - length) / (longer - length)


ANKLE_AT_MM: Final = 100
CALF_AT_MM: Final = 330
"""Heights of the thinnest ankle and the widest calf of an adult, from memory: estimate."""


def _leg(
    measures: FootMeasures, known: dict[Place, Measure], wearer: Wearer | None
) -> Measure | None:
    """The leg where the sock ends: between ankle and calf by its height."""
    if measures.leg_mm is not None:
        return measured(measures.leg_mm)
    height = measures.leg_height_mm
    if height is None or _is_small(wearer, known[Place.LENGTH].mm):
        return None
    ankle = known[Place.ANKLE]
    calf = _by_lines(Place.CALF, {Place.LENGTH: known[Place.LENGTH]}, wearer)
    share = min(max((height - ANKLE_AT_MM) / (CALF_AT_MM - ANKLE_AT_MM), 0), 1)
    mm = ankle.mm + share * (calf.mm - ankle.mm)
    error = (1 - share) * ankle.error_mm + share * calf.error_mm
    return Measure(mm, Origin.ESTIMATED, error, "between ankle and calf by the height, a guess")


def _sexes(wearer: Wearer | None) -> tuple[Wearer, ...]:
    """Whose statistics serve: a child who has outgrown the scale counts as an unknown adult."""
    if wearer is None or wearer is Wearer.CHILD:
        return (Wearer.WOMAN, Wearer.MAN)
    return (wearer,)


def _sample_words(wearer: Wearer | None) -> str:
    return {Wearer.WOMAN: "women", Wearer.MAN: "men"}.get(wearer or Wearer.CHILD, "women and men")
