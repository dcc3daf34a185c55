"""Options that tell of a foot, a gauge or a loom, and what they mean."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, TypeVar

import click

from layouts.commands.refusal import ExitCode, Refusal, wrong_usage

if TYPE_CHECKING:
    from charts.feet import Foot
    from charts.loom import Loom
    from charts.pattern_values import Kind
    from charts.spec import Gauge

Command = TypeVar("Command", bound=Callable[..., Any])

_MEASURES = {
    "length": ("--foot", "Heel to the longest toe, such as '23.5 cm'."),
    "ball": ("--ball", "Round the ball of the foot."),
    "ankle": ("--ankle", "Round the ankle, where it is thinnest."),
    "heel_round": ("--heel-round", "Round heel and bend of the ankle."),
}
_WORDS = {
    "shoe": ("--shoe", "A shoe size, such as 'EU 38'; measures win over it."),
    "foot_class": ("--class", "An age or size class, such as 'girl 7' or 'woman'."),
}


def foot_options(command: Command) -> Command:
    """The options of a foot: measures, shoe size, class; all may be left out."""
    for key, (option, told) in reversed({**_MEASURES, **_WORDS}.items()):
        metavar = "LENGTH" if key in _MEASURES else "WORDS"
        command = click.option(option, key, metavar=metavar, help=told)(command)
    return command


def read_foot(told: Mapping[str, str | None]) -> Foot | None:
    """The foot that the options tell of; None if none was given.  Raises Refusal."""
    given = {key: words for key, words in told.items() if words is not None}
    if not given:
        return None
    from charts.fitting import foot_of
    from charts.pattern_values import FootClassWords, Measured, ShoeSizeWords
    from charts.problems import PatternError
    from charts.spec import WearerFacts

    kinds: dict[str, Kind] = {"shoe": ShoeSizeWords(), "foot_class": FootClassWords()}
    for key in _MEASURES:
        kinds[key] = Measured(20, 700, f"the {key.replace('_', ' ')} of a foot", unit="cm")
    found = {key: read_option(_option(key), kinds[key], words) for key, words in given.items()}
    try:
        return foot_of(WearerFacts(**found))
    except PatternError as error:
        lines = [
            wrong_usage(
                _option(problem.key.removeprefix("wearer.")),
                problem.what,
                allowed=problem.allowed,
                suggestion=problem.suggestion,
            ).lines[0]
            for problem in error.problems
        ]
        raise Refusal(ExitCode.USAGE, *lines) from None


def _option(key: str) -> str:
    known = {**_MEASURES, **_WORDS}
    return known[key][0] if key in known else f"--{key.replace('_', '-')}"


def read_option(option: str, kind: Kind, value: object) -> Any:
    """The value that a kind of the pattern file reads.  Raises Refusal with the first fault."""
    faults: list[Refusal] = []

    def blame(
        what: str, allowed: str = "", suggestion: str = "", *, value_line: int | None = None
    ) -> None:
        del value_line
        faults.append(wrong_usage(option, what, allowed=allowed, suggestion=suggestion))

    found = kind.read(value, blame)
    if faults:
        raise faults[0]
    return found


_COUNT = r"([0-9]{1,3}(?:\.[0-9]{1,3})?)"
_GAUGE = re.compile(rf"\s*{_COUNT} *[x×] *{_COUNT} *(?:in *(10 cm|4 in))?\s*")
GAUGE_FORMS = '"15 x 20", stitches and rows in 10 cm, or "15 x 20 in 4 in"'


def read_gauge(words: str) -> Gauge:
    """The gauge of --gauge.  Raises Refusal."""
    from charts.pattern_file import gauge_over
    from charts.pattern_values import MOST_PER_10CM, Amount

    found = _GAUGE.fullmatch(words)
    if found is None:
        raise wrong_usage("--gauge", f"'{words[:40]}' is no gauge", allowed=GAUGE_FORMS)
    kind = Amount(MOST_PER_10CM)
    stitches, rows = (read_option("--gauge", kind, float(found[at])) for at in (1, 2))
    return gauge_over(stitches, rows, found[3] or "10 cm")


LOOM_FORMS = '"40 x 3/8 in", pegs and spacing'
_LOOM = re.compile(r"\s*([0-9]{1,4}) *(?:pegs?)? *(?:[x×,]|at) *(.{1,40}?)\s*")


def read_loom(words: str) -> Loom:
    """The loom of --loom.  Raises Refusal."""
    from charts.loom import Loom
    from charts.pattern_file import LEAST_PEGS, MOST_PEGS
    from charts.pattern_values import Count

    found = _LOOM.fullmatch(words)
    if found is None:
        raise wrong_usage("--loom", f"'{words[:40]}' is no loom", allowed=LOOM_FORMS)
    pegs = read_option("--loom", Count(LEAST_PEGS, MOST_PEGS), int(found[1]))
    spacing_mm, spacing_text = read_spacing("--loom", found[2])
    return Loom(pegs, spacing_mm, spacing_text)


def read_spacing(option: str, words: str) -> tuple[float, str]:
    """A spacing in mm with the words it was written in.  Raises Refusal."""
    from charts.pattern_values import Spacing

    spacing: tuple[float, str] = read_option(option, Spacing(), words)
    return spacing
