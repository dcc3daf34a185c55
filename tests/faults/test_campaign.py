"""A short stretch of the campaign, and that it would notice a stage that sees nothing."""

from __future__ import annotations

import pytest

from tests.faults import campaign


@pytest.mark.parametrize("stage", ["plan", "rows", "steps", "chart", "reader"])
def test_faults_are_caught_or_their_harmlessness_is_known(stage: str) -> None:
    """The faults of finished files are sown in tests/prove."""
    tally = campaign.campaign(19, stages=(stage,))[stage]
    assert tally.caught > 5
    assert [what for what in tally.survivors if not campaign.reason_of(stage, what)] == []


def test_what_is_sound_is_not_taken_for_a_fault() -> None:
    for one in campaign.socks():
        assert not one.tells_otherwise(one.steps), one.name
        assert not any(one.draws_otherwise(*chart) for chart in one.charts), one.name
        plan = one.knit.plan
        assert not campaign.refuses(plan, plan), one.name


def test_reader_that_is_not_changed_is_no_fault() -> None:
    verbs = campaign.reader_words.VERBS
    assert not campaign.misreads(verbs, {"knit": verbs["knit"]})


def test_proof_that_sees_nothing_leaves_survivors(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(campaign, "find_faults", lambda *_: [])
    for stage in ("plan", "rows"):
        tally = campaign.campaign(19, stages=(stage,))[stage]
        assert any(not campaign.reason_of(stage, what) for what in tally.survivors)
