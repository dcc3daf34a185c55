"""Negative ease: how much smaller than the foot a sock is made, round it and along it.

Ease is taken once.  `aim_for` turns a foot into the sizes of the finished sock, and nothing takes
ease off a `SockAim`; sizes that a table gives for the finished sock already need none.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from charts.feet import Foot
from charts.foot_measures import Measure, Origin
from charts.spec import Units

ROUND_SHARE: Final = 0.10
"""Plain knit is made 10 % smaller than the foot: a book on the fit of hand-knit socks (ISBN
978-1-61212-542-8, chapter 3).  Another book's tables come to 9.1 and 12.5 %; advice runs from 5 %
in stranded colour to 20 % (common practice)."""
ROUND_LIMITS: Final = (-0.10, 0.25)
"""Rib is made up to 25 % smaller (the same book); a sock a tenth larger than the foot is a bed
sock: ours."""

LENGTH_SHARE: Final = 0.025
"""The middle of 0 to 5 %; 6 mm on an adult foot, the middle of 0 to 1/2 in: common practice, no
published source."""
LENGTH_LIMITS: Final = (-0.05, 0.10)
"""Ours: twice as far as common practice goes."""


@dataclass(frozen=True)
class Ease:
    """The shares by which the sock is smaller than the foot; below zero it is larger."""

    round_share: float = ROUND_SHARE
    length_share: float = LENGTH_SHARE

    def __post_init__(self) -> None:
        for share, (least, most) in (
            (self.round_share, ROUND_LIMITS),
            (self.length_share, LENGTH_LIMITS),
        ):
            if not least <= share <= most:
                raise ValueError(f"an ease of {share:g} is not from {least:g} to {most:g}")

    @property
    def round_words(self) -> str:
        """For the plan, e.g. "10 % less, usual for plain knit"."""
        return _words(self.round_share, ROUND_SHARE, "usual for plain knit")

    @property
    def length_words(self) -> str:
        """For the plan, e.g. "2.5 % less, common practice"."""
        return _words(self.length_share, LENGTH_SHARE, "common practice")


@dataclass(frozen=True)
class Aim:
    """A size that the finished sock is to have."""

    mm: float
    error_mm: float
    """How far off it may be because of the foot's own measures."""
    reason: str
    """In words for the plan; no full stop."""


@dataclass(frozen=True)
class SockAim:
    """The sizes of the finished sock for one foot: ease is taken off already."""

    round: Aim
    """By the ball or the ankle, the larger."""
    length: Aim
    """From the back of the heel to the tip of the toe."""
    heel_width: Aim


def aim_for(foot: Foot, ease: Ease, *, units: Units = Units.CM) -> SockAim:
    """The foot less the ease, each size with its reason."""
    ankle_is_larger = foot.ankle.mm > foot.ball.mm
    place, widest = ("ankle", foot.ankle) if ankle_is_larger else ("ball", foot.ball)
    return SockAim(
        round=_eased(place, widest, ease.round_share, ease.round_words, units),
        length=_eased("foot", foot.length, ease.length_share, ease.length_words, units),
        heel_width=_eased("heel", foot.heel_width, ease.round_share, ease.round_words, units),
    )


def _eased(place: str, measure: Measure, share: float, words: str, units: Units) -> Aim:
    origin = "" if measure.origin is Origin.MEASURED else f", {measure.origin.value}"
    reason = f"{place} {measure_words(measure.mm, units)}{origin}; {words}"
    return Aim(measure.mm * (1 - share), measure.error_mm * (1 - share), reason)


def _words(share: float, usual: float, why: str) -> str:
    if share == usual:
        return f"{100 * share:g} % less, {why}"
    if share < 0:
        return f"{-100 * share:g} % more, as given"
    return f"{100 * share:g} % less, as given" if share else "no ease, as given"


def measure_words(length_mm: float, units: Units) -> str:
    """A body measure to the millimetre or the tenth of an inch.

    An inch is 25.4 mm exactly: NIST Special Publication 811 (2008), appendix B.8.

    >>> measure_words(213.4, Units.CM), measure_words(213.4, Units.IN)
    ('21.3 cm', '8.4 in')
    """
    if not units.is_metric:
        return f"{length_mm / 25.4:.1f} in"
    return f"{length_mm / 10:.1f} cm"


def small_words(length_mm: float, units: Units, *, signed: bool = False) -> str:
    """A difference to the millimetre or the tenth of an inch.

    >>> small_words(-7.2, Units.CM, signed=True), small_words(7.2, Units.IN)
    ('−7 mm', '0.3 in')
    """
    sign = "+" if signed else ""
    words = f"{length_mm:{sign}.0f} mm" if units.is_metric else f"{length_mm / 25.4:{sign}.1f} in"
    return words.replace("-", "−")
