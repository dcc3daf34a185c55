"""Will it fit, and will it go on: a sock's round against the foot, and over the heel.

A sock is judged twice.  Worn, its round is compared with what the foot asks for.  Put on, its ankle
must stretch over the heel: the heel-to-ankle round is the widest place that a sock has to pass.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from math import hypot
from typing import Final

from charts.ease import Aim, Ease, aim_for, measure_words
from charts.feet import Foot
from charts.gauge import GaugeReading
from charts.spec import Units


class FitClass(Enum):
    """How a sock sits, from the smallest sock to the largest."""

    WILL_NOT_PASS = "will not pass the heel"
    TOO_TIGHT = "too tight"
    SNUG = "snug"
    FITS = "fits"
    LOOSE = "loose"
    TOO_LOOSE = "too loose"

    @property
    def can_be_worn(self) -> bool:
        return self in (FitClass.SNUG, FitClass.FITS, FitClass.LOOSE)


FITS_WITHIN: Final = 0.05
WORN_WITHIN: Final = 0.10
"""Shares of the foot's round by which the ease may differ from the one aimed at.  With the usual
10 %: 5 to 15 % fits, 15 to 20 % is snug, 0 to 5 % is loose; a sock more than 20 % smaller is too
tight, one larger than the foot too loose.  The range of advice in print is 5 to 20 % (common
practice); where the classes part is ours."""

_NOISE: Final = 1e-9
"""A share this close to a limit is on it."""


@dataclass(frozen=True)
class Stretch:
    """How far a fabric opens widthwise, as a multiple of its round at rest."""

    easy: float
    most: float
    source: str


PLAIN_STRETCH: Final = Stretch(
    1.5,
    1.7,
    "1.5 common practice; 1.7 derived: 20 % of ease, the most advised for plain knit, asks "
    "1.36 / 0.8 of an average foot (heel-to-ankle over ball, ANSUR II)",
)
RIB_STRETCH: Final = Stretch(
    1.9,
    1.96,
    "1.9 common practice; 1.96 the widest of k1 p1, one hobby page, weak (2.23 for k2 p2)",
)
"""Lecture notes on weft knitting say that k1 p1 stretches about twice as far as plain knit, without
a test method.  The round at rest is taken at the gauge of plain knit: how far a loom's rib draws in
was not found, so a swatch of the rib decides."""


def stretch_of(ribbed_share: float) -> Stretch:
    """The stretch of a leg of which that share of the pegs is ribbed, the rest plain: each peg adds
    its own.

    >>> stretch_of(0).most, stretch_of(1).easy, round(stretch_of(0.5).most, 2)
    (1.7, 1.9, 1.83)
    """
    if not 0 <= ribbed_share <= 1:
        raise ValueError("the ribbed share of a leg is from 0 to 1")
    plain = 1 - ribbed_share
    return Stretch(
        plain * PLAIN_STRETCH.easy + ribbed_share * RIB_STRETCH.easy,
        plain * PLAIN_STRETCH.most + ribbed_share * RIB_STRETCH.most,
        f"plain: {PLAIN_STRETCH.source}; rib: {RIB_STRETCH.source}",
    )


@dataclass(frozen=True)
class RoundAim:
    """The round to knit, and the rounds between which a sock of that ease can be worn."""

    aim: Aim
    foot_mm: float
    """The foot's round that the classes are shares of."""
    least_mm: float
    most_mm: float
    passes_mm: float
    """The least round that passes the heel."""


def round_aim(
    foot: Foot, ease: Ease, *, ribbed_share: float = 0.0, units: Units = Units.CM
) -> RoundAim:
    """By the ball or the ankle, the larger; by the heel where that needs a larger sock to pass."""
    aim = aim_for(foot, ease, units=units).round
    passes_mm = foot.heel_ankle.mm / stretch_of(ribbed_share).most
    if passes_mm > aim.mm:
        reason = (
            f"the least that stretches over a heel of {measure_words(foot.heel_ankle.mm, units)}"
            f": ball and ankle alone ask for {measure_words(aim.mm, units)}"
        )
        aim = Aim(passes_mm, foot.heel_ankle.error_mm / stretch_of(ribbed_share).most, reason)
    foot_mm = aim.mm / (1 - ease.round_share)
    least_mm, most_mm = (
        foot_mm * (1 - ease.round_share - within) for within in (WORN_WITHIN, -WORN_WITHIN)
    )
    return RoundAim(aim, foot_mm, max(least_mm, passes_mm), most_mm, passes_mm)


@dataclass(frozen=True)
class Fit:
    """How one foot and the round of one sock go together."""

    fit_class: FitClass
    may_be: tuple[FitClass, ...]
    """Every class between the ends of the spread, smallest sock first; one if all is sure."""
    pegs: int
    round_mm: float
    round_error_mm: float
    """By the spread of the gauge."""
    aim: Aim
    smaller_share: float
    """How much smaller than the foot the sock is; below zero it is larger."""
    heel_stretch: float
    """What ankle and cuff must stretch to over the heel, as a multiple of the round."""
    stretch: Stretch
    """What the ankle can do."""
    leg_stretch: float | None
    """What the cuff is stretched to while worn; None where the leg is not known."""
    sentence: str
    notes: tuple[str, ...]
    """Sentences for the knitter, cautions among them."""

    @property
    def difference_mm(self) -> float:
        """The sock's round less the round aimed at."""
        return self.round_mm - self.aim.mm

    @property
    def difference_share(self) -> float:
        """The difference as a share of the round aimed at."""
        return self.difference_mm / self.aim.mm

    @property
    def works(self) -> bool:
        return self.fit_class.can_be_worn


def check_fit(
    foot: Foot,
    pegs: int,
    gauge: GaugeReading,
    ease: Ease | None = None,
    *,
    ribbed_share: float = 0.0,
    units: Units = Units.CM,
) -> Fit:
    """The class of the sock with that many pegs, with what it rests on.

    `ribbed_share` is the share of the leg's pegs that are ribbed, 1 for a sock without a plain leg.
    The cuff is rib and stretches at least as far as the leg, so the leg decides what passes.
    """
    ease = ease or Ease()
    wanted = round_aim(foot, ease, ribbed_share=ribbed_share, units=units)
    round_mm, error_mm = gauge.stitches.mm(pegs)
    spread_mm = hypot(error_mm, wanted.aim.error_mm)
    fit_class = _class_of(round_mm, wanted, ease)
    ends = [_class_of(end, wanted, ease) for end in (round_mm - spread_mm, round_mm + spread_mm)]
    order = list(FitClass)
    may_be = tuple(order[order.index(ends[0]) : order.index(ends[1]) + 1])
    stretch = stretch_of(ribbed_share)
    heel_stretch = foot.heel_ankle.mm / round_mm
    leg_stretch = None if foot.leg is None else foot.leg.mm / round_mm
    smaller_share = 1 - round_mm / foot.widest_mm
    return Fit(
        fit_class=fit_class,
        may_be=may_be,
        pegs=pegs,
        round_mm=round_mm,
        round_error_mm=error_mm,
        aim=wanted.aim,
        smaller_share=smaller_share,
        heel_stretch=heel_stretch,
        stretch=stretch,
        leg_stretch=leg_stretch,
        sentence=_sentence(fit_class, round_mm, error_mm, wanted.aim, heel_stretch, stretch, units),
        notes=_notes(fit_class, may_be, gauge, leg_stretch),
    )


def _class_of(round_mm: float, wanted: RoundAim, ease: Ease) -> FitClass:
    if round_mm < wanted.passes_mm - _NOISE:
        return FitClass.WILL_NOT_PASS
    tighter = 1 - round_mm / wanted.foot_mm - ease.round_share
    if tighter > WORN_WITHIN + _NOISE:
        return FitClass.TOO_TIGHT
    if tighter > FITS_WITHIN + _NOISE:
        return FitClass.SNUG
    if tighter >= -FITS_WITHIN - _NOISE:
        return FitClass.FITS
    return FitClass.LOOSE if tighter >= -WORN_WITHIN - _NOISE else FitClass.TOO_LOOSE


def _sentence(
    fit_class: FitClass,
    round_mm: float,
    error_mm: float,
    aim: Aim,
    heel_stretch: float,
    stretch: Stretch,
    units: Units,
) -> str:
    """Class, round, aim, difference and stretch in one sentence; no full stop."""
    off = round_mm - aim.mm
    percent = abs(100 * off / aim.mm)
    more = "more" if off > 0 else "less"
    if percent < 0.5:
        against = "as aimed at"
    else:
        against = (
            f"{measure_words(abs(off), units)} ({percent:.0f} %) {more} than the "
            f"{measure_words(aim.mm, units)} aimed at"
        )
    times = f"{heel_stretch:.2f} times"
    if heel_stretch <= stretch.easy:
        going_on = f"stretched {times} it goes over the heel easily"
    elif heel_stretch <= stretch.most + _NOISE:
        going_on = f"stretched {times} it goes over the heel with a pull"
    else:
        going_on = f"the heel would stretch it {times} and it gives {stretch.most:.2f}"
    return (
        f"{fit_class.value}: {measure_words(round_mm, units)} round "
        f"(± {measure_words(error_mm, units)}), {against}; {going_on}"
    )


def _notes(
    fit_class: FitClass,
    may_be: tuple[FitClass, ...],
    gauge: GaugeReading,
    leg_stretch: float | None,
) -> tuple[str, ...]:
    notes = []
    if len(may_be) > 1:
        notes.append(
            "The gauge and the foot are not sure enough to say more than: anything from "
            f"“{may_be[0].value}” to “{may_be[-1].value}”"
        )
    if gauge.knit == "e-wrap":
        notes.append("E-wrap stitches are twisted and give less: try the swatch over the heel")
    tight_leg = leg_stretch is not None and leg_stretch > RIB_STRETCH.easy
    if tight_leg:
        notes.append("The cuff would be tight on the leg: make it lower, or take more pegs")
    if tight_leg or fit_class in (FitClass.WILL_NOT_PASS, FitClass.TOO_TIGHT):
        notes.append(
            "A tight cuff can hinder the blood and must leave no mark; with diabetes or poor "
            "circulation ask a clinician first"
        )
    if leg_stretch is not None and leg_stretch <= 1:
        notes.append("The cuff is no smaller than the leg: nothing would hold it up")
    return tuple(notes)
