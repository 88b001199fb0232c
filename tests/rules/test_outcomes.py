"""Outcomes without reasons are the outcomes of the check, on jobs with all that a job has."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from compliance.rules.check import Checker
from compliance.rules.job import open_job
from compliance.rules.language.compile import one_by_one

ROOT = Path(__file__).parents[2]
SAMPLES = sorted(path.parent for path in ROOT.glob("sample_installs/*/installation.yaml"))


@pytest.mark.parametrize("day", [None, date(2018, 1, 1), date(2030, 1, 1)], ids=str)
@pytest.mark.parametrize("folder", SAMPLES, ids=lambda folder: folder.name)
def test_each_outcome_is_that_of_the_finding_with_reasons(folder, day):
    job = open_job(folder, ROOT / "rulesets", today=date(2026, 11, 25), on=day)
    found = Checker.of(job.rules).outcomes(job.view, job.seen, job.checked.on)
    assert found
    in_order = sorted(one_by_one(found), key=lambda decided: decided[0])
    said = [(job.rules.rules[n].requirement.id, outcome) for n, _, outcome in in_order]
    assert said == [(f.requirement.id, f.outcome) for f in job.checked.findings]
