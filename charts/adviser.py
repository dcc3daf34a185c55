"""Which loom for which foot: peg counts that fit, the nearest loom owned, the gauge a loom needs.

A *combination* is one foot on one loom at one gauge.  It works if the sock can be worn and put on
(`charts/fit.py`) and if heel and toe leave foot rows (`charts/body.py`); one that does not names
the nearest that does.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from math import ceil, floor
from typing import Final

from charts.body import (
    FootRows,
    SockPegs,
    foot_rows,
    least_rows_per_10cm,
    shortest_foot_mm,
)
from charts.ease import Ease
from charts.feet import Foot, foot_from_measures
from charts.fit import WORN_WITHIN, Fit, check_fit, round_aim
from charts.foot_classes import share_of_adults
from charts.foot_measures import LONGEST_MM, FootMeasures
from charts.gauge import (
    ROWS_PER_STITCH,
    SOUND_ROWS_PER_STITCH,
    GaugeReading,
    counted_over,
    gauge_from_spacing,
)
from charts.gauge import Count as GaugeCount
from charts.lengths import read_length
from charts.loom import Loom
from charts.pattern_file import LEAST_PEGS, MOST_PEGS
from charts.plan import centre_pegs_rule, heel_pegs_rule, toe_side_rule
from charts.problems import setting
from charts.shoe_sizes import Wearer
from charts.spec import ToeShape, Units
from charts.yarn_weights import YarnWeight, weights_for

SAME_SPACING: Final = 0.02
"""Spacings that differ by less than this share are one: 9.5 mm is a 3/8 in loom."""

TRADE_SPACINGS: Final = ("1/4 in", "3/8 in", "1/2 in", "5/8 in")
"""The spacings with a name in the trade: common practice."""


# Gauge by loom


KNITTABLE_OF_SPACING: Final = (0.50, 0.85)
"""Stitch widths, as shares of the peg spacing, between tight flat knit and loose e-wrap: from
memory, no published source.  Tight flat knit goes below the usual 0.65: by one maker's figure, 55
foot rows on 40 pegs 3/8 in apart, stitches are about half the spacing wide."""


@dataclass(frozen=True)
class LoomGauge:
    """A gauge and the spacing of the loom that it was knitted on."""

    reading: GaugeReading
    spacing_mm: float


def gauge_for(loom: Loom, counted: LoomGauge | None, *, knit: str = "flat") -> GaugeReading:
    """The counted gauge if it is from a loom of that spacing, else a guess from the spacing for
    that knit, or the one counted."""
    if counted is None:
        return gauge_from_spacing(loom.spacing_mm, knit=knit)
    if abs(loom.spacing_mm - counted.spacing_mm) <= SAME_SPACING * counted.spacing_mm:
        return counted.reading
    return gauge_from_spacing(loom.spacing_mm, knit=counted.reading.knit)


def pegs_by_rule(loom: Loom, *, toe: ToeShape = ToeShape.BLUNT) -> SockPegs:
    """Heel, turn and toe of that loom by the rules of the plan."""
    heel, _ = heel_pegs_rule(loom.pegs, loom.spacing_mm)
    side = toe_side_rule(loom.pegs // 2, toe)
    return SockPegs(loom.pegs, heel, centre_pegs_rule(heel), side)


# One combination


@dataclass(frozen=True)
class Nearest:
    """The nearest combination that works."""

    loom: Loom
    gauge: GaugeReading
    sock_pegs: SockPegs
    """Heel, turn and toe; by the rules, or the nearest to them that leave foot rows."""
    words: str
    """What to change, e.g. "a loom of 36 pegs"."""


@dataclass(frozen=True)
class LoomFit:
    """One foot on one loom at one gauge."""

    loom: Loom
    gauge: GaugeReading
    fit: Fit
    foot_rows: FootRows
    sock_pegs: SockPegs
    nearest: Nearest | None
    """None if this one works."""

    @property
    def works(self) -> bool:
        return self.fit.works and self.foot_rows.problem is None

    @property
    def sentence(self) -> str:
        """For the knitter, with what to change if it does not work; no full stop."""
        text = f"{self.loom.pegs} pegs, {self.loom.spacing_text} apart: {self.fit.sentence}"
        if self.foot_rows.problem is not None:
            text += f"; {self.foot_rows.problem.what}"
        elif self.works:
            text += f"; {self.foot_rows.rows} foot rows"
        if self.gauge.source.is_estimate:
            text += f"; gauge {self.gauge.basis}"
        return f"{text}; nearest that works: {self.nearest.words}" if self.nearest else text


@dataclass(frozen=True)
class Wishes:
    """What a sock is to be, whatever loom it is made on."""

    ease: Ease = field(default_factory=Ease)
    knit: str = "flat"
    """A word of KNIT_LETTERS."""
    ribbed_share: float = 0.0
    """Of the leg's pegs."""
    repeat: int = 1
    """Pegs of the cuff's rib: only looms that it divides are named; 1 for any."""
    toe: ToeShape = ToeShape.BLUNT
    units: Units = Units.CM


def try_loom(foot: Foot, loom: Loom, gauge: GaugeReading, wishes: Wishes | None = None) -> LoomFit:
    """How that foot fits that loom at that gauge, and if it does not, the nearest that works."""
    wishes = wishes or Wishes()
    found = _try(foot, loom, gauge, wishes)
    if found.works:
        return found
    return replace(found, nearest=_nearest(foot, found, wishes))


def _try(
    foot: Foot,
    loom: Loom,
    gauge: GaugeReading,
    wishes: Wishes,
    sock_pegs: SockPegs | None = None,
) -> LoomFit:
    """The combination with those peg counts, by the rules unless given; without its nearest."""
    sock_pegs = sock_pegs or pegs_by_rule(loom, toe=wishes.toe)
    fit = check_fit(
        foot,
        loom.pegs,
        gauge,
        wishes.ease,
        ribbed_share=wishes.ribbed_share,
        units=wishes.units,
    )
    rows = foot_rows(foot, gauge, wishes.ease, sock_pegs, units=wishes.units)
    return LoomFit(loom, gauge, fit, rows, sock_pegs, None)


def _nearest(foot: Foot, refused: LoomFit, wishes: Wishes) -> Nearest:
    """The least change that works, tried in this order.

    A shorter heel and toe; another peg count; the gauge that this loom needs, if its pegs can give
    it; a loom of another spacing; and last that gauge whatever the pegs, which always works.
    """
    loom, gauge = refused.loom, refused.gauge
    if refused.fit.works and refused.foot_rows.nearest is not None:
        sock_pegs = refused.foot_rows.nearest
        return Nearest(loom, gauge, sock_pegs, _heel_and_toe_words(sock_pegs))
    choices = peg_choices(foot, loom, gauge, wishes)
    if choices:
        choice = min(choices, key=lambda one: (abs(one.loom.pegs - loom.pegs), one.loom.pegs))
        return Nearest(choice.loom, gauge, choice.sock_pegs, f"a loom of {choice.loom.pegs} pegs")
    needed = gauge_needed(foot, loom.pegs, wishes)
    if not needed.suits(loom.spacing_mm):
        other = _other_spacing(foot, loom, gauge.knit, wishes)
        if other is not None:
            return other
    return _at_needed_gauge(foot, refused, needed, wishes)


def _other_spacing(foot: Foot, loom: Loom, knit: str, wishes: Wishes) -> Nearest | None:
    """The best loom of the trade's spacing nearest to this one; its gauge is guessed."""
    spacings = [(read_length(text), text) for text in TRADE_SPACINGS]
    for spacing_mm, text in sorted(spacings, key=lambda one: abs(one[0] - loom.spacing_mm)):
        other = replace(loom, spacing_mm=spacing_mm, spacing_text=text)
        gauge = gauge_from_spacing(spacing_mm, knit=knit)
        best = best_of(peg_choices(foot, other, gauge, wishes))
        if best is not None:
            words = f"a loom of {best.loom.pegs} pegs {text} apart (gauge {gauge.basis})"
            return Nearest(best.loom, gauge, best.sock_pegs, words)
    return None


def _at_needed_gauge(foot: Foot, refused: LoomFit, needed: GaugeNeeded, wishes: Wishes) -> Nearest:
    """This loom with the stitches it needs, and with rows enough for a heel, a foot and a toe."""
    rows = max(
        needed.best * _rows_per_stitch(refused.gauge), least_rows_per_10cm(foot, wishes.ease)
    )
    gauge = with_counts(refused.gauge, needed.best, rows)
    found = _try(foot, refused.loom, gauge, wishes)
    stitches, span = counted_over(needed.best, wishes.units)
    words = f"a gauge of {stitches:.1f} stitches and "
    words += f"{counted_over(rows, wishes.units)[0]:.1f} rows in {span}"
    sock_pegs = found.sock_pegs
    if found.foot_rows.nearest is not None:
        sock_pegs = found.foot_rows.nearest
        words += f" with {_heel_and_toe_words(sock_pegs)}"
    if not needed.suits(refused.loom.spacing_mm):
        words += f", which pegs {refused.loom.spacing_text} apart hardly give"
    return Nearest(refused.loom, gauge, sock_pegs, words)


def _heel_and_toe_words(sock_pegs: SockPegs) -> str:
    heel, toe = (
        setting("heel.centre", sock_pegs.centre_pegs),
        setting("toe.side", sock_pegs.toe_side),
    )
    return f"{heel} and {toe}"


def _rows_per_stitch(gauge: GaugeReading) -> float:
    """The knitter's own ratio, or the usual one where that is unsound."""
    ratio = gauge.rows.per_10cm / gauge.stitches.per_10cm
    low, high = SOUND_ROWS_PER_STITCH
    return ratio if low <= ratio <= high else ROWS_PER_STITCH


def with_counts(gauge: GaugeReading, stitches: float, rows: float) -> GaugeReading:
    """The reading with other counts in 10 cm and its spread in proportion."""
    return replace(
        gauge,
        stitches=_count(gauge.stitches, stitches),
        rows=_count(gauge.rows, rows),
        warnings=(),
    )


def _count(count: GaugeCount, per_10cm: float) -> GaugeCount:
    times = per_10cm / count.per_10cm
    return GaugeCount(per_10cm, count.sd * times, count.standard_error * times)


# All peg counts, and the gauge that a loom needs


def peg_choices(
    foot: Foot, loom: Loom, gauge: GaugeReading, wishes: Wishes | None = None
) -> tuple[LoomFit, ...]:
    """Every peg count that works at that loom's spacing, fewest pegs first; none if none does."""
    wishes = wishes or Wishes()
    wanted = round_aim(foot, wishes.ease, ribbed_share=wishes.ribbed_share)
    per_mm = gauge.stitches.per_10cm / 100
    fewest = max(LEAST_PEGS, floor(wanted.least_mm * per_mm))
    most = min(MOST_PEGS, ceil(wanted.most_mm * per_mm))
    tried = (
        _try(foot, replace(loom, pegs=pegs), gauge, wishes)
        for pegs in range(fewest, most + 1)
        if pegs % wishes.repeat == 0
    )
    return tuple(found for found in tried if found.works)


def best_of(fits: Iterable[LoomFit]) -> LoomFit | None:
    """The one to knit: those that work first, then the nearest to the round aimed at.

    Of two as near, the one with fewer pegs, which is less work; None of none.
    """
    return min(
        fits,
        key=lambda one: (not one.works, abs(one.fit.difference_share), one.loom.pegs),
        default=None,
    )


@dataclass(frozen=True)
class GaugeNeeded:
    """Stitches in 10 cm that make a loom fit a foot."""

    pegs: int
    fewest: float
    """Of the largest sock that can be worn."""
    best: float
    most: float
    """Of the smallest sock that can be worn and passes the heel."""

    @property
    def weights(self) -> tuple[YarnWeight, ...]:
        """Yarn categories of that gauge; a loom usually takes a finer yarn for it than needles."""
        return weights_for(self.best)

    def suits(self, spacing_mm: float) -> bool:
        """Whether pegs that far apart can give such stitches, worked tight or loose."""
        low, high = KNITTABLE_OF_SPACING
        return low * spacing_mm <= 100 / self.best <= high * spacing_mm


def gauge_needed(foot: Foot, pegs: int, wishes: Wishes | None = None) -> GaugeNeeded:
    """The gauge at which that many pegs give the round that the foot asks for."""
    wishes = wishes or Wishes()
    wanted = round_aim(foot, wishes.ease, ribbed_share=wishes.ribbed_share)
    stitches = 100 * pegs
    return GaugeNeeded(
        pegs, stitches / wanted.most_mm, stitches / wanted.aim.mm, stitches / wanted.least_mm
    )


# The range of feet


@dataclass(frozen=True)
class FeetRange:
    """The feet that one loom at one gauge fits."""

    loom: Loom
    gauge: GaugeReading
    round_mm: tuple[float, float]
    """Ball or ankle, the larger."""
    shortest_mm: float
    """Any shorter foot leaves no foot rows."""
    usual_length_mm: tuple[int, int] | None
    """Lengths of feet whose round is the usual one for their length; None if none of those fit."""
    share_of_women: float
    share_of_men: float
    """Shares of adults by length and ball, ANSUR II, 0 to 1."""


USUAL_LENGTHS_MM: Final = range(100, 331)
"""Where the usual lengths are looked for."""


def feet_for(
    loom: Loom,
    gauge: GaugeReading,
    wishes: Wishes | None = None,
    *,
    wearer: Wearer | None = None,
) -> FeetRange:
    """The feet that can wear that loom's socks; `wearer` says whose usual rounds are meant."""
    wishes = wishes or Wishes()
    ease = wishes.ease
    round_mm, _ = gauge.stitches.mm(loom.pegs)
    rounds = (
        round_mm / (1 - ease.round_share + WORN_WITHIN),
        round_mm / (1 - ease.round_share - WORN_WITHIN),
    )
    shortest_mm = shortest_foot_mm(gauge, ease, pegs_by_rule(loom, toe=wishes.toe))
    usual = [
        length_mm
        for length_mm in USUAL_LENGTHS_MM
        if _try(_usual_foot(length_mm, wearer), loom, gauge, wishes).works
    ]
    women, men = (
        share_of_adults(length_mm=(shortest_mm, LONGEST_MM), ball_mm=rounds, wearer=sex)
        for sex in (Wearer.WOMAN, Wearer.MAN)
    )
    return FeetRange(
        loom=loom,
        gauge=gauge,
        round_mm=rounds,
        shortest_mm=shortest_mm,
        usual_length_mm=(usual[0], usual[-1]) if usual else None,
        share_of_women=women,
        share_of_men=men,
    )


def _usual_foot(length_mm: float, wearer: Wearer | None) -> Foot:
    return foot_from_measures(FootMeasures(length_mm=length_mm), wearer=wearer)
