"""Who fits which loom and which size: looms ranked for one foot, and for a class of people."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from charts.adviser import (
    GaugeNeeded,
    LoomFit,
    LoomGauge,
    Wishes,
    gauge_for,
    gauge_needed,
    try_loom,
)
from charts.ease import aim_for
from charts.feet import Foot
from charts.fit import Fit, check_fit
from charts.gauge import GaugeReading
from charts.loom import Loom
from charts.looms_file import OwnedLoom


@dataclass(frozen=True)
class OwnedFit:
    """A foot on a loom that somebody owns."""

    owned: OwnedLoom
    found: LoomFit
    gauge_needed: GaugeNeeded


def rank_looms(
    foot: Foot,
    looms: Sequence[OwnedLoom],
    *,
    counted: LoomGauge | None = None,
    wishes: Wishes | None = None,
) -> tuple[OwnedFit, ...]:
    """The looms, the best for the foot first: those that work, then by how far off the round is."""
    knit = (wishes or Wishes()).knit
    fits = [
        OwnedFit(
            owned,
            try_loom(foot, owned.loom, gauge_for(owned.loom, counted, knit=knit), wishes),
            gauge_needed(foot, owned.loom.pegs, wishes),
        )
        for owned in looms
    ]
    return tuple(
        sorted(
            fits,
            key=lambda one: (not one.found.works, abs(one.found.fit.difference_share)),
        )
    )


@dataclass(frozen=True)
class MadeSize:
    """One size of a pattern: the finished sock, measured off its own record."""

    name: str
    loom: Loom
    gauge: GaugeReading
    length_mm: float
    """Back of the heel to the tip of the toe."""


@dataclass(frozen=True)
class SizeFit:
    """One foot in one size of a pattern."""

    size: MadeSize
    fit: Fit
    length_off_mm: float
    """The sock's length less the one aimed at."""
    works: bool


LENGTH_WITHIN: Final = 0.05
"""Share by which a sock's length may miss the one aimed at: common practice makes the foot 0 to 5 %
shorter than the wearer's; ours as a limit."""


@dataclass(frozen=True)
class Person:
    """Somebody in a class, by role."""

    role: str
    """E.g. "Student A"; never a name."""
    foot: Foot
    loom: OwnedLoom | None = None
    """The loom this person brings."""
    counted: LoomGauge | None = None
    """This person's own swatch."""


@dataclass(frozen=True)
class PersonFit:
    """One row of a class's table."""

    person: Person
    own: LoomFit | None
    """On the loom this person brings."""
    looms: tuple[OwnedFit, ...]
    """On each loom there is, the best first."""
    sizes: tuple[SizeFit, ...]
    """In each size, the best first."""

    @property
    def best_loom(self) -> OwnedFit | None:
        """The best loom that works; None if none does."""
        return next((one for one in self.looms if one.found.works), None)

    @property
    def best_size(self) -> SizeFit | None:
        """The best size that works; None if none does."""
        return next((one for one in self.sizes if one.works), None)


def class_fit(
    people: Sequence[Person],
    looms: Sequence[OwnedLoom],
    *,
    sizes: Sequence[MadeSize] = (),
    wishes: Wishes | None = None,
) -> tuple[PersonFit, ...]:
    """Who fits which loom and which size, in the order of the people.

    The looms are those given and those that people bring, each once.
    """
    brought = [person.loom for person in people if person.loom is not None]
    all_looms = tuple(dict.fromkeys((*looms, *brought)))
    return tuple(_person_fit(person, all_looms, sizes, wishes or Wishes()) for person in people)


def _person_fit(
    person: Person, looms: Sequence[OwnedLoom], sizes: Sequence[MadeSize], wishes: Wishes
) -> PersonFit:
    ranked = rank_looms(person.foot, looms, counted=person.counted, wishes=wishes)
    own = next((one.found for one in ranked if one.owned == person.loom), None)
    tried = [try_size(person.foot, size, wishes) for size in sizes]
    tried.sort(key=lambda one: (not one.works, abs(one.fit.difference_share)))
    return PersonFit(person, own, ranked, tuple(tried))


def try_size(foot: Foot, size: MadeSize, wishes: Wishes | None = None) -> SizeFit:
    """How a foot fits a sock that is made already: round and length."""
    wishes = wishes or Wishes()
    fit = check_fit(
        foot,
        size.loom.pegs,
        size.gauge,
        wishes.ease,
        ribbed_share=wishes.ribbed_share,
        units=wishes.units,
    )
    aim_mm = aim_for(foot, wishes.ease).length.mm
    off_mm = size.length_mm - aim_mm
    return SizeFit(size, fit, off_mm, fit.works and abs(off_mm) <= LENGTH_WITHIN * aim_mm)
