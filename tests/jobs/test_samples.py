"""Every sample gives exactly the outcomes that its `expected.yaml` says, written by hand."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from datetime import date
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from compliance.files.resources import rulesets_folder
from compliance.files.yaml import read_yaml
from compliance.rules.job import Job, open_job
from compliance.rules.outcome import Finding, Outcome, findings_data

ROOT = Path(__file__).parents[2]
SAMPLES = sorted(p.parent for p in (ROOT / "sample_installs").glob("*/expected.yaml"))
SCHEMA = json.loads((Path(__file__).parent / "expected.schema.json").read_text("utf-8"))


def _expected(sample: Path) -> dict[str, Any]:
    data = read_yaml(sample / "expected.yaml").data
    jsonschema.validate(json.loads(json.dumps(data)), SCHEMA)
    return data


def _lists(written: Any) -> dict[str, list[str]]:
    return {} if written == "none" else {k: sorted(map(str, v)) for k, v in written.items()}


def _found(findings: Any) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for finding in findings:
        found.setdefault(finding.requirement.id, []).append(finding.subject)
    return {key: sorted(subjects) for key, subjects in found.items()}


def _opened(sample: Path) -> Job:
    day = date.fromisoformat(_expected(sample)["on"])
    return open_job(sample, rulesets_folder(), today=day, on=day)


def test_there_are_samples() -> None:
    assert len(SAMPLES) >= 2


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda p: p.name)
def test_a_sample_gives_what_it_is_expected_to(sample: Path) -> None:
    expected, findings = _expected(sample), _opened(sample).checked.findings

    def having(outcome: Outcome) -> list[Finding]:
        return [f for f in findings if f.outcome is outcome]

    assert _found(having(Outcome.NOT_MET)) == _lists(expected["not met"])
    assert _found(having(Outcome.FOR_JUDGEMENT)) == _lists(expected["for judgement"])
    assert _found(f for f in findings if f.is_danger) == _lists(expected["danger"])
    assert _found(f for f in findings if f.set_aside) == _lists(expected["set aside"])
    not_shown, wanted = _found(having(Outcome.NOT_SHOWN)), _lists(expected["not shown"])
    if expected["complete"] == "yes":
        assert not_shown == wanted
    else:
        assert all(set(wanted[key]) <= set(not_shown.get(key, ())) for key in wanted)


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda p: p.name)
def test_the_command_ends_with_the_expected_exit_code(sample: Path) -> None:
    command = [sys.executable, "-m", "compliance", "check", str(sample)]
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run(command, capture_output=True, text=True, check=False, env=environment)  # noqa: S603
    assert done.returncode == int(_expected(sample)["exit"]), done.stderr
    assert "no permission to energise" in done.stdout


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda p: p.name)
def test_outcomes_are_counted_positively(sample: Path) -> None:
    checked = _opened(sample).checked
    assert sum(checked.counts.values()) == len(checked.findings)
    assert set(checked.counts) == set(Outcome)
    data = findings_data(checked)
    assert sum(data["counts"].values()) == len(data["findings"])


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda p: p.name)
def test_every_gap_says_what_was_found_or_what_to_supply(sample: Path) -> None:
    for gap in _opened(sample).checked.gaps:
        assert gap.requirement.why
        assert gap.requirement.remedy
        if gap.outcome is Outcome.NOT_MET:
            assert gap.facts, gap
            assert all(fact.found and fact.right for fact in gap.facts)
        else:
            assert gap.needs or gap.remark, gap
            assert all(need.supply for need in gap.needs)


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda p: p.name)
def test_a_sample_says_that_it_is_invented(sample: Path) -> None:
    assert "invented" in (sample / "PURPOSE.md").read_text("utf-8").lower()
    assert "invented" in (sample / "installation.yaml").read_text("utf-8").splitlines()[0].lower()
