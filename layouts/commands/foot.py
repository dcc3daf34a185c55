"""Options that tell of a foot, a gauge or a loom, and what they mean."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, TypeVar

import click

from layouts.commands.refusal import ExitCode, Refusal, wrong_usage

if TYPE_CHECKING:
    from charts.feet import Foot
    from charts.loom import Loom
    from charts.pattern_values import Blame, Kind
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
    found = {key: read_option(_option(key), kinds[key].read, words) for key, words in given.items()}
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


def read_option(option: str, read: Callable[[Any, Blame], Any], value: object) -> Any:
    """The value as a kind of the pattern file reads it.  Raises Refusal with the first fault."""
    faults: list[Refusal] = []

    def blame(
        what: str, allowed: str = "", suggestion: str = "", *, value_line: int | None = None
    ) -> None:
        del value_line
        faults.append(wrong_usage(option, what, allowed=allowed, suggestion=suggestion))

    found = read(value, blame)
    if faults:
        raise faults[0]
    return found


def read_gauge(words: str) -> Gauge:
    """The gauge of --gauge.  Raises Refusal."""
    from charts.short_forms import read_gauge_words

    gauge: Gauge = read_option("--gauge", read_gauge_words, words)
    return gauge


def read_loom(words: str) -> Loom:
    """The loom of --loom.  Raises Refusal."""
    from charts.short_forms import read_loom_words

    loom: Loom = read_option("--loom", read_loom_words, words)
    return loom


def read_spacing(option: str, words: str) -> tuple[float, str]:
    """A spacing in mm with the words it was written in.  Raises Refusal."""
    from charts.pattern_values import Spacing

    spacing: tuple[float, str] = read_option(option, Spacing().read, words)
    return spacing
