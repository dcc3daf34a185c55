"""Who of a class knits which sock: the pattern, changed by what a row of the roster tells.

A row is laid over the pattern as a size is, and what comes of it is mirrored for the other hand.
Its measures take the place of those of the size's wearer, or of the pattern's; what it does not
measure is kept, and the rows of the foot follow.  Without a size a pattern's wearer is somebody
else's foot, of which only the height of the leg is kept: a choice of the design.  On
another ring than the pattern's the numbers that were given for that ring alone are left to the
rules, and with pegs farther apart or nearer so are the gauge and the rows.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final, NamedTuple

from charts.adviser import SAME_SPACING
from charts.feet import Foot
from charts.fit import check_fit
from charts.fitting import FittedSpec, ease_of, fit_spec, foot_of
from charts.gauge import gauge_from_spacing
from charts.gauge_of import gauge_of
from charts.hands import for_hand
from charts.knitted import knit_sock
from charts.lengths import LengthError, read_length
from charts.pattern_words import listed
from charts.plan import second_sock
from charts.problems import PatternError, Problem
from charts.roster import Column, LoomWanted, Person, person_key
from charts.sizes import SizeFile
from charts.spec import EaseWanted, SockSpec, WearerFacts
from charts.verify import Knit


class KeptLength(NamedTuple):
    """A length that the row does not tell, and the pattern does."""

    name: str
    """ "leg height"."""
    text: str
    """As the pattern has it."""


@dataclass(frozen=True)
class PersonSock:
    """The sock of one person, planned and not yet knitted."""

    person: Person
    kept: tuple[KeptLength, ...]
    """Of the wearer that the row was laid over."""
    fitted: FittedSpec
    """With the person's foot, if it was told."""

    @property
    def sock(self) -> SockSpec:
        """What is knitted, whoever it is for: equal for all who knit the same."""
        spec = self.fitted.spec
        return replace(spec, wearer=None, ease=EaseWanted(), left_out=frozenset())


def sock_for(person: Person, pattern: SizeFile) -> PersonSock:
    """The sock that the row asks for.

    Raises PatternError with every problem, each with the row's line.
    """
    try:
        fitted = fit_spec(_spec(person, pattern))
        if person.foot is not None and fitted.gauge is None:
            raise PatternError((_no_gauge(fitted.spec),))
    except PatternError as error:
        raise PatternError(tuple(_placed(error.problems, person))) from None
    return PersonSock(person, tuple(_kept_lengths(person, pattern)), fitted)


def knit_pair(sock: SockSpec) -> tuple[Knit, Knit]:
    """Both socks of a pair, proved; the first again where both are alike.

    Raises as `knit_sock` does.
    """
    first, other = knit_sock(sock), second_sock(sock)
    return first, first if other == sock else knit_sock(other)


# The row laid over the pattern


def _spec(person: Person, pattern: SizeFile) -> SockSpec:
    if pattern.names and not person.size and person.loom is None:
        raise PatternError((_no_size(person, pattern),))
    changes: dict[str, Any] = {}
    without: set[str] = set()
    loom = pattern.table(person.size, "loom")
    if person.loom is not None:
        changes["loom"] = _loom_table(person.loom)
        if person.loom.pegs != loom.get("pegs"):
            without |= _OF_THE_RING
        if _is_other_spacing(person.loom, loom.get("spacing")):
            without |= _OF_THE_SPACING
    if person.foot is not None:
        kept = _kept(person, pattern)
        changes["wearer"] = {**kept, **_wearer_table(person.foot)}
        if person.foot.leg_height is not None:
            without |= _OF_THE_LEG
        if _tells_a_foot(person.foot):
            without |= _OF_THE_FOOT
    if person.gauge is not None:
        stitches, rows = person.gauge.stitches_per_10cm, person.gauge.rows_per_10cm
        changes["gauge"] = {"stitches": stitches, "rows": rows}
    spec = pattern.read(person.size, changes=changes, without=without)
    return for_hand(spec, person.hand)


_OF_THE_RING: Final = frozenset(
    {"heel.pegs", "heel.centre", "heel.flap_rows", "leg.round_start_shift", "toe.side"}
)
"""Numbers that suit one ring of pegs."""
_OF_THE_SPACING: Final = frozenset(
    {f"gauge.{key}" for key in ("stitches", "rows", "per", "swatches", "weight")}
    | {"cuff.rows", "leg.rows", "foot.rows"}
)
"""What pegs farther apart or nearer change."""
_OF_THE_FOOT: Final = frozenset({"foot.rows"})
"""What follows from a foot if it is told."""
_OF_THE_LEG: Final = frozenset({"leg.rows"})
"""What follows from the height of a leg."""
_OTHER_LENGTHS: Final = ("ankle", "heel_round", "leg_round", "heel_width", "heel_height")
"""Lengths that a roster has no column for."""


def _tells_a_foot(foot: WearerFacts) -> bool:
    return bool(foot.length or foot.ball or foot.shoe)


def _kept(person: Person, pattern: SizeFile) -> Mapping[str, Any]:
    """What the row leaves of the wearer that it is laid over.

    A shoe or a measured length of the row puts the size's own length out; where it tells nothing
    of the foot, all is kept."""
    foot, wearer = person.foot, pattern.table(person.size, "wearer")
    if foot is None:
        return {}
    if not _tells_a_foot(foot):
        return wearer
    keys = ["leg_height"]
    if person.size:
        keys += [*_OTHER_LENGTHS, "ball"]
        keys += ["length", "shoe"] * (foot.length is None and not foot.shoe)
    return {key: wearer[key] for key in keys if key in wearer}


def _kept_lengths(person: Person, pattern: SizeFile) -> Iterator[KeptLength]:
    """The lengths that are kept and not told by the row."""
    told = _wearer_table(person.foot) if person.foot is not None else {}
    for key, value in _kept(person, pattern).items():
        if key not in told and key != "class":
            yield KeptLength(_LENGTH_NAMES.get(key, key.replace("_", " ")), str(value))


_LENGTH_NAMES: Final = {
    "length": "foot length",
    "ball": "round the ball",
    "ankle": "round the ankle",
    "heel_round": "round heel and ankle",
    "leg_round": "round the leg",
}


def _loom_table(loom: LoomWanted) -> dict[str, Any]:
    spacing = {} if loom.spacing is None else {"spacing": loom.spacing[1]}
    return {"pegs": loom.pegs, **spacing}


def _wearer_table(foot: WearerFacts) -> dict[str, Any]:
    """The foot as the pattern file would tell it."""
    lengths = {"length": foot.length, "ball": foot.ball, "leg_height": foot.leg_height}
    table: dict[str, Any] = {key: one.text for key, one in lengths.items() if one is not None}
    return {**table, "shoe": foot.shoe} if foot.shoe else table


def _is_other_spacing(loom: LoomWanted, spacing: object) -> bool:
    """Whether a gauge from pegs so far apart does not hold for the loom."""
    if loom.spacing is None or not isinstance(spacing, str):
        return False
    try:
        counted_mm = read_length(spacing)
    except LengthError:
        return False
    return abs(loom.spacing[0] - counted_mm) > SAME_SPACING * counted_mm


# What is wrong with a row


def _placed(problems: Sequence[Problem], person: Person) -> Iterator[Problem]:
    """The problems of the sock at the row that asks for it."""
    for problem in problems:
        column = _COLUMNS.get(problem.key)
        if column is Column.LOOM and person.loom is not None and person.loom.spacing is None:
            column = Column.PEGS
        key = person_key(person.who, column)
        if column is None and problem.key:
            key = f"{key}: {problem.key}"
        yield replace(problem, key=key, line=person.line)


_COLUMNS: Final = {
    "wearer.length": Column.LENGTH,
    "wearer.ball": Column.BALL,
    "wearer.shoe": Column.SHOE,
    "wearer.leg_height": Column.LEG_HEIGHT,
    "loom.pegs": Column.LOOM,
    "loom.spacing": Column.LOOM,
    "gauge": Column.GAUGE,
    "size": Column.SIZE,
}
"""The column that decides a key of the pattern file."""


def _no_gauge(spec: SockSpec) -> Problem:
    """A foot asks for so many rows of a height that nobody knows."""
    guess = gauge_from_spacing(spec.loom.spacing_mm, knit=spec.knit)
    return Problem(
        f"a foot needs a gauge, and the pattern has none for pegs {spec.loom.spacing_text} apart",
        "gauge",
        "stitches and rows in 10 cm of a swatch from this loom",
        f"a guess by the spacing: {guess.stitches.per_10cm:.0f} x {guess.rows.per_10cm:.0f}",
    )


def _no_size(person: Person, pattern: SizeFile) -> Problem:
    """The pattern has sizes and the row names none."""
    nearest = _best_size(foot_of(person.foot), pattern) if person.foot is not None else ""
    return Problem(
        f"the pattern has {len(pattern.names)} sizes: which one, or which loom?",
        "size",
        listed(pattern.names),
        f"{nearest}, which fits" if nearest else "",
    )


def _best_size(foot: Foot, pattern: SizeFile) -> str:
    """The size that fits the foot best by its round; empty if none does."""
    found: list[tuple[float, str]] = []
    for name in pattern.names:
        spec = pattern.read(name)
        gauge = gauge_of(spec)
        if gauge is not None:
            fit = check_fit(foot, spec.loom.pegs, gauge, ease_of(spec.ease), units=spec.units)
            if fit.works:
                found.append((abs(fit.difference_share), name))
    return min(found, default=(0.0, ""))[1]
