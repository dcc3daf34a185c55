"""What was measured on a foot, checked for slips; and the record of one measure."""

from __future__ import annotations

from dataclasses import dataclass, fields
from enum import Enum
from typing import Final

from charts.problems import Problem


class Origin(Enum):
    """Where a measure came from."""

    MEASURED = "measured"
    SHOE = "from the shoe size"
    CLASS = "from the age or size class"
    ESTIMATED = "estimated"


@dataclass(frozen=True)
class Measure:
    """One measure of a foot."""

    mm: float
    origin: Origin
    error_mm: float
    """About 95 feet in 100 lie within it; for a shoe size, the limit of the sources."""
    basis: str
    """What it rests on, in words for the plan; no full stop."""


@dataclass(frozen=True)
class FootMeasures:
    """What was measured on the foot; None where nothing was."""

    length_mm: float | None = None
    ball_mm: float | None = None
    """Round the ball of the foot."""
    ankle_mm: float | None = None
    """Round the ankle above the bones, where it is thinnest."""
    heel_ankle_mm: float | None = None
    """Round over the heel's point and the bend of the ankle."""
    leg_mm: float | None = None
    """Round the leg where the sock ends."""
    leg_height_mm: float | None = None
    """Floor to where the sock ends."""
    heel_width_mm: float | None = None
    heel_height_mm: float | None = None
    """Floor to the ankle bone."""


TAPE_ERROR_MM: Final = 5
"""A home tape read to half a centimetre, and a foot that is 2-4 mm longer standing than not
(abstract of Cheng et al. 1997): estimate."""


def measured(mm: float) -> Measure:
    """A measure taken on the foot itself."""
    return Measure(mm, Origin.MEASURED, TAPE_ERROR_MM, "as measured")


SHORTEST_MM: Final = 60
LONGEST_MM: Final = 350

_RATIOS: Final = {
    "ball": ("length", 0.7, 1.6),
    "ankle": ("ball", 0.6, 1.5),
    "heel_ankle": ("ball", 1.0, 1.8),
    "heel_width": ("length", 0.15, 0.5),
    "heel_height": ("length", 0.1, 0.6),
    "leg": ("ankle", 0.8, 3.0),
}
"""Each measure as a share of another; wide enough for anybody in ANSUR II and on the 1902 scale:
they catch slips of the tape or the unit."""


def check_measures(measures: FootMeasures, *, key: str = "foot") -> tuple[Problem, ...]:
    """Every measure that cannot be, as problems naming `key` and the measure."""
    given: dict[str, float] = {}
    for field in fields(measures):
        value = getattr(measures, field.name)
        if value is not None:
            given[field.name.removesuffix("_mm")] = value
    problems = [
        Problem(f"{mm:g} mm is no measure", f"{key}.{name}", "above zero")
        for name, mm in given.items()
        if not mm > 0
    ]
    if problems:
        return tuple(problems)
    length = given.get("length")
    if length is not None and not SHORTEST_MM <= length <= LONGEST_MM:
        problems.append(
            Problem(
                f"no foot is {length:g} mm long",
                f"{key}.length",
                f"{SHORTEST_MM} to {LONGEST_MM} mm",
                _unit_slip(length, SHORTEST_MM, LONGEST_MM),
            )
        )
        return tuple(problems)
    for name, (other, least, most) in _RATIOS.items():
        if name not in given or other not in given:
            continue
        low, high = least * given[other], most * given[other]
        if not low <= given[name] <= high:
            what = f"{given[name]:g} mm does not go with a {other.replace('_', ' ')} of "
            problems.append(
                Problem(
                    f"{what}{given[other]:g} mm",
                    f"{key}.{name}",
                    f"{low:.0f} to {high:.0f} mm",
                    _unit_slip(given[name], low, high),
                )
            )
    height = given.get("leg_height")
    if height is not None and not 20 <= height <= 700:
        slip = _unit_slip(height, 20, 700)
        what = f"a sock {height:g} mm high is none"
        problems.append(Problem(what, f"{key}.leg_height", "20 to 700 mm", slip))
    return tuple(problems)


def _unit_slip(mm: float, least: float, most: float) -> str:
    """What was meant, if the number fits in other units."""
    meant = (
        (f'"{mm:g} cm"', 10.0),
        (f'"{mm:g} in"', 25.4),
        (f'"{mm / 10:g} mm"', 0.1),
    )
    return " or ".join(text for text, times in meant if least <= mm * times <= most)
