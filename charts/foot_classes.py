"""Age and size classes of feet, and what share of adults has feet in a range: published figures."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import erf, exp, pi, sqrt
from typing import Final, NamedTuple

from charts.foot_tables import ADULTS, CHILDREN, LINES, NEWBORN, PERCENTS, Place
from charts.shoe_sizes import Wearer
from charts.shoe_words import SizeWordsError

CLASS_FORMS: Final = (
    'a class such as "newborn", "girl 7", "boy 10", "child 4" (2 to 18 years), "woman", '
    '"small woman" or "large man"'
)
"""What may be written, for messages."""


@dataclass(frozen=True)
class FootClass:
    """The middle foot of a class."""

    name: str
    wearer: Wearer
    length_mm: float
    error_mm: float
    """For an age, two standard deviations; for a size, half the way to the next size."""
    source: str


_ADULT_SIZES: Final = {"small": 10, "medium": 50, "large": 90}
"""The percentile of the foot length that stands for each size: ours."""
_SEX_WORDS: Final = {"woman": Wearer.WOMAN, "man": Wearer.MAN}
_AGE: Final = re.compile(r"(boy|girl|child),? *(?:aged? *)?([0-9]{1,2})(?: *(?:y|years?))?")
_GROWN_AGE: Final = 16
"""From this age the statistics of adults are nearer: feet have stopped growing (Cheng 1997)."""


def read_foot_class(text: str) -> FootClass:
    """The class that the words name.

    Raises SizeWordsError for anything else, and for ages without published figures.

    >>> read_foot_class("girl 7").length_mm, read_foot_class("large man").length_mm
    (192.5, 288)
    """
    plain = " ".join(text.lower().split())
    if plain == "newborn":
        source = "newborns, hospital studies"
        return FootClass("newborn", Wearer.CHILD, NEWBORN.mean_mm, 2 * NEWBORN.sd_mm, source)
    aged = _AGE.fullmatch(plain)
    if aged:
        return _of_age(aged.group(1), int(aged.group(2)))
    words = set(plain.split())
    sexes = words & _SEX_WORDS.keys()
    sizes = words - sexes
    if len(sexes) == 1 and len(sizes) <= 1 and sizes <= _ADULT_SIZES.keys():
        return _adult(sexes.pop(), sizes.pop() if sizes else "medium")
    again = "girl 7, boy 7 or child 7" if words & {"girl", "boy", "child"} else ""
    raise SizeWordsError(f"'{text[:30]}' is no class of feet", CLASS_FORMS, again)


def _of_age(who: str, age: int) -> FootClass:
    row = CHILDREN.get(age)
    if row is None:
        youngest, oldest = min(CHILDREN), max(CHILDREN)
        what = f"there are no published foot lengths for a {who} of {age} here"
        again = '"woman" or "man"' if age > oldest else "the foot's own length, or a shoe size"
        raise SizeWordsError(what, f"newborn, or {youngest} to {oldest} years", again)
    samples = {"boy": (row.boys,), "girl": (row.girls,), "child": (row.boys, row.girls)}[who]
    means = [sample.mean_mm for sample in samples]
    mean = sum(means) / len(means)
    error = 2 * max(sample.sd_mm for sample in samples) + (max(means) - min(means)) / 2
    grown = {"boy": Wearer.MAN, "girl": Wearer.WOMAN}.get(who) if age >= _GROWN_AGE else None
    source = f"US survey of 1975-77, {who} of {age}"
    return FootClass(f"{who} {age}", grown or Wearer.CHILD, round(mean, 2), error, source)


def _adult(who: str, size: str) -> FootClass:
    wearer = _SEX_WORDS[who]
    lengths = dict(zip(PERCENTS, ADULTS[wearer, Place.LENGTH].percentiles_mm, strict=True))
    percent = _ADULT_SIZES[size]
    length = lengths[percent]
    error = min(abs(lengths[other] - length) for other in (10, 50, 90) if other != percent) / 2
    name = who if size == "medium" else f"{size} {who}"
    return FootClass(name, wearer, length, error, f"ANSUR II, percentile {percent} of foot length")


# Shares of adults


def share_within(
    place: Place, low_mm: float, high_mm: float, *, wearer: Wearer | None = None
) -> float:
    """Share of adults, 0 to 1, whose measure lies in the range.

    By the normal curve with the mean and standard deviation of ANSUR II (within 1.5 in 100 of its
    counted percentiles); without a wearer, of as many women as men.

    >>> round(share_within(Place.LENGTH, 226, 267.8, wearer=Wearer.WOMAN), 2)
    0.91
    """
    shares = []
    for sex in _adults(wearer):
        spread = ADULTS[sex, place]
        shares.append(
            _below((high_mm - spread.mean_mm) / spread.sd_mm)
            - _below((low_mm - spread.mean_mm) / spread.sd_mm)
        )
    return max(sum(shares) / len(shares), 0.0)


def share_of_adults(
    *,
    length_mm: tuple[float, float] | None = None,
    ball_mm: tuple[float, float] | None = None,
    wearer: Wearer | None = None,
) -> float:
    """Share of adults, 0 to 1, whose foot length and ball circumference both lie in the ranges.

    Both normal, and ball circumference on foot length by the fitted line with its residual
    deviation, ANSUR II; without a wearer, of as many women as men.  A range left out asks
    nothing.
    """
    if ball_mm is None:
        return 1.0 if length_mm is None else share_within(Place.LENGTH, *length_mm, wearer=wearer)
    if length_mm is None:
        return share_within(Place.BALL, *ball_mm, wearer=wearer)
    return share_of_adults_in([FeetBox(length_mm, ball_mm)], wearer=wearer)


class FeetBox(NamedTuple):
    """Feet between two lengths and two ball circumferences."""

    length_mm: tuple[float, float]
    ball_mm: tuple[float, float]


def share_of_adults_in(boxes: Sequence[FeetBox], *, wearer: Wearer | None = None) -> float:
    """Share of adults, 0 to 1, whose foot lies in at least one of the boxes; as
    `share_of_adults`."""
    sexes = _adults(wearer)
    return sum(_in_boxes(sex, boxes) for sex in sexes) / len(sexes)


_FARTHEST_SD: Final = 6
"""Lengths farther from the mean than this many deviations add nothing that can be seen."""
_SLICES: Final = 240
"""At most, for each stretch of lengths that lies in the same boxes."""


def _in_boxes(sex: Wearer, boxes: Sequence[FeetBox]) -> float:
    """The share by adding up slices of length between the edges of boxes, Simpson's rule."""
    lengths = ADULTS[sex, Place.LENGTH]
    reach_mm = _FARTHEST_SD * lengths.sd_mm
    low_mm, high_mm = lengths.mean_mm - reach_mm, lengths.mean_mm + reach_mm
    edges = {low_mm, high_mm, *(edge for box in boxes for edge in box.length_mm)}
    total = 0.0
    for start_mm, end_mm in pairwise(sorted(edge for edge in edges if low_mm <= edge <= high_mm)):
        middle_mm = (start_mm + end_mm) / 2
        balls = [box.ball_mm for box in boxes if box.length_mm[0] < middle_mm < box.length_mm[1]]
        if balls:
            total += _slices(sex, start_mm, end_mm, _joined(balls))
    return total


def _joined(ranges: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Ranges that meet as one, empty ones left out."""
    joined: list[tuple[float, float]] = []
    for low, high in sorted(one for one in ranges if one[0] < one[1]):
        if joined and low <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(high, joined[-1][1]))
        else:
            joined.append((low, high))
    return joined


def _slices(
    sex: Wearer, start_mm: float, end_mm: float, balls: Sequence[tuple[float, float]]
) -> float:
    """The share of those lengths with a ball in one of the ranges, which are apart."""
    lengths, line = ADULTS[sex, Place.LENGTH], LINES[sex, Place.BALL, Place.LENGTH]
    step = (end_mm - start_mm) / _SLICES
    total = 0.0
    for number in range(_SLICES + 1):
        mm = start_mm + number * step
        off = (mm - lengths.mean_mm) / lengths.sd_mm
        middle = line.intercept_mm + line.slope * mm
        within = sum(
            _below((high - middle) / line.residual_sd_mm)
            - _below((low - middle) / line.residual_sd_mm)
            for low, high in balls
        )
        weight = 1 if number in (0, _SLICES) else 4 if number % 2 else 2
        total += weight * within * exp(-off * off / 2)
    return total * step / 3 / (lengths.sd_mm * sqrt(2 * pi))


def _below(deviations: float) -> float:
    """The share of a normal curve below so many standard deviations from its mean."""
    return (1 + erf(deviations / sqrt(2))) / 2


def _adults(wearer: Wearer | None) -> tuple[Wearer, ...]:
    if wearer is Wearer.CHILD:
        raise ValueError("these are statistics of adults")
    return (Wearer.WOMAN, Wearer.MAN) if wearer is None else (wearer,)
