"""Every sample gives exactly the outcomes that its `expected.yaml` says, written by hand.

A sample may hold further expectations, each of another day, as `expected-WHEN.yaml`. Besides
the lists that are complete, `not due` names some that must be among them, and `met: none`
says that nothing is.
"""

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
EXPECTATIONS = sorted((ROOT / "sample_installs").glob("*/expected*.yaml"))
SCHEMA = json.loads((Path(__file__).parent / "expected.schema.json").read_text("utf-8"))


def _expected(file: Path) -> dict[str, Any]:
    data = read_yaml(file).data
    jsonschema.validate(json.loads(json.dumps(data)), SCHEMA)
    return data


def _lists(written: Any) -> dict[str, list[str]]:
    return {} if written == "none" else {k: sorted(map(str, v)) for k, v in written.items()}


def _found(findings: Any) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for finding in findings:
        found.setdefault(finding.requirement.id, []).append(finding.subject)
    return {key: sorted(subjects) for key, subjects in found.items()}


def _opened(file: Path) -> Job:
    day = date.fromisoformat(_expected(file)["on"])
    return open_job(file.parent, rulesets_folder(), today=day, on=day)


def _label(file: Path) -> str:
    return f"{file.parent.name}-{file.stem}"


each_expectation = pytest.mark.parametrize("file", EXPECTATIONS, ids=_label)
each_sample = pytest.mark.parametrize("sample", SAMPLES, ids=lambda p: p.name)


def test_there_are_samples() -> None:
    assert len(SAMPLES) >= 6
    assert len(EXPECTATIONS) > len(SAMPLES)


@each_expectation
def test_a_sample_gives_what_it_is_expected_to(file: Path) -> None:
    expected, findings = _expected(file), _opened(file).checked.findings

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
        assert _are_among(wanted, not_shown)
    not_due, wanted = _found(having(Outcome.NOT_DUE)), _lists(expected.get("not due", "none"))
    assert _are_among(wanted, not_due)
    assert "met" not in expected or not having(Outcome.MET)


def _are_among(wanted: dict[str, list[str]], found: dict[str, list[str]]) -> bool:
    return all(set(wanted[key]) <= set(found.get(key, ())) for key in wanted)


@each_expectation
def test_the_command_ends_with_the_expected_exit_code(file: Path) -> None:
    command = [sys.executable, "-m", "compliance", "check", str(file.parent)]
    if file.name != "expected.yaml":
        command += ["--on", _expected(file)["on"]]
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run(command, capture_output=True, text=True, check=False, env=environment)  # noqa: S603
    assert done.returncode == int(_expected(file)["exit"]), done.stderr
    assert "no permission to energise" in done.stdout


@each_expectation
def test_outcomes_are_counted_positively(file: Path) -> None:
    checked = _opened(file).checked
    assert sum(checked.counts.values()) == len(checked.findings)
    assert set(checked.counts) == set(Outcome)
    data = findings_data(checked)
    assert sum(data["counts"].values()) == len(data["findings"])


@each_expectation
def test_every_gap_says_what_was_found_or_what_to_supply(file: Path) -> None:
    for gap in _opened(file).checked.gaps:
        assert gap.requirement.why
        assert gap.requirement.remedy
        if gap.outcome is Outcome.NOT_MET:
            assert gap.facts, gap
            assert all(fact.found and fact.right for fact in gap.facts)
        else:
            assert gap.needs or gap.remark, gap
            assert all(need.supply for need in gap.needs)


@each_sample
def test_a_sample_says_that_it_is_invented(sample: Path) -> None:
    assert "invented" in (sample / "PURPOSE.md").read_text("utf-8").lower()
    assert "invented" in (sample / "installation.yaml").read_text("utf-8").splitlines()[0].lower()
