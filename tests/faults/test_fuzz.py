"""A short stretch of the fuzz campaign, and that the campaign would notice."""

from __future__ import annotations

import random

import pytest

from charts.problems import PatternError
from tests.faults import fuzz


@pytest.mark.parametrize("kind", fuzz.KINDS)
def test_spoiled_input_ends_in_a_result_or_in_messages(kind: str) -> None:
    ends = [fuzz.run_case(kind, number) for number in range(60)]
    assert set(ends) <= {fuzz.FINE, fuzz.REFUSED}
    assert fuzz.REFUSED in ends


@pytest.mark.parametrize("fault", [ZeroDivisionError(), PatternError(())])
def test_campaign_notices_a_traceback_and_a_silent_refusal(
    monkeypatch: pytest.MonkeyPatch, fault: Exception
) -> None:
    def fail(chance: random.Random) -> None:
        del chance
        raise fault

    monkeypatch.setitem(fuzz.KINDS, "pattern", fail)
    assert fuzz.run_case("pattern", 0) not in (fuzz.FINE, fuzz.REFUSED)


def test_libraries_that_read_a_damaged_file_are_silent(
    capfd: pytest.CaptureFixture[str],
) -> None:
    for number in range(25):
        fuzz.run_case("pdf", number)
    assert capfd.readouterr() == ("", "")
