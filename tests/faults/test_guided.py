"""What guided fuzzing feeds: its seeds are sound, and it would notice."""

from __future__ import annotations

import pytest

from charts.problems import PatternError
from tests.faults import guided
from tests.faults.guided import TARGETS, check_ending


@pytest.mark.parametrize("target", TARGETS)
def test_every_seed_ends_as_it_should_and_so_does_none_of_it(target: str) -> None:
    feed, seeds = TARGETS[target]
    every = seeds()
    assert every
    for data in (*every, every[0][: len(every[0]) // 2], b"", b"\xff\x00"):
        check_ending(feed, data)


@pytest.mark.parametrize("target", ["pattern", "motif"])
def test_seeds_of_patterns_are_knitted(target: str) -> None:
    """They lead into the planner: most are patterns without a mistake."""
    feed, seeds = TARGETS[target]
    knitted = 0
    for data in seeds():
        try:
            feed(data)
        except guided.fuzz.REFUSALS:
            continue
        knitted += 1
    assert 2 * knitted > len(seeds())


def test_what_is_fed_is_what_prove_reads_on_the_first_page() -> None:
    first = guided.contents()[0]
    report = guided.feed_pdf(first)
    assert report.is_proved
    assert report.unread == ()
    assert guided.feed_pdf(b"").unread == ((1, ""),)


@pytest.mark.parametrize("fault", [KeyError("peg"), PatternError(())])
def test_traceback_and_silent_refusal_are_noticed(fault: Exception) -> None:
    def fail(data: bytes) -> None:
        del data
        raise fault

    with pytest.raises((KeyError, AssertionError)):
        check_ending(fail, b"")


def test_long_wait_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    ticks = iter((0.0, 60.0))
    monkeypatch.setattr(guided.time, "process_time", lambda: next(ticks))
    with pytest.raises(AssertionError, match=r"took 60\.0 s"):
        check_ending(len, b"")
