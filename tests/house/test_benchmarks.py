"""The benchmark works, and the ways of deciding that it compares agree. Never a time."""

from __future__ import annotations

import pytest

from benchmarks import adapter, by_hand, measure
from benchmarks.__main__ import main
from benchmarks.checks import CHECKS
from benchmarks.records import TODAY, records
from compliance.rules.outcome import Outcome


@pytest.fixture(scope="module")
def jobs():
    return records(40)


def test_forty_checks_agree_with_the_hand_written_ones_and_every_outcome_occurs(jobs):
    counted = measure.assert_agreement(jobs)
    assert len(CHECKS) == 40
    assert set(counted) == set(Outcome)


def test_a_disagreement_is_not_timed(jobs, monkeypatch):
    honest = by_hand.outcomes

    def too_kind(job, today):
        return [(number, entries, Outcome.MET) for number, entries, _ in honest(job, today)]

    monkeypatch.setattr(measure.by_hand, "outcomes", too_kind, raising=True)
    with pytest.raises(measure.DisagreementError):
        measure.assert_agreement(jobs)


def test_every_outcome_without_reasons_is_the_outcome_with_reasons(jobs):
    engine = adapter.checker(CHECKS)
    for job in jobs:
        plain = sorted(adapter.outcomes(engine, job, TODAY), key=lambda decided: decided[0])
        with_reasons = adapter.findings(engine, job, TODAY).findings
        assert [outcome for _, _, outcome in plain] == [f.outcome for f in with_reasons]


def test_the_command_runs_small_and_says_how_to_install_what_is_missing(capsys):
    assert main(["--records", "3", "--rounds", "1", "--engine-records", "2", "--no-commands"]) == 0
    said = capsys.readouterr().out
    assert "Agreement with the hand-written checks" in said
    assert "[bench]" in said or "rule-engine" in said
