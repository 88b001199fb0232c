"""Readings that are another job's digit for digit: asked about, changing nothing."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

Call = Callable[..., tuple[int, str, str]]

RECORD = """\
record: installation/1
reference: {reference}
jurisdiction: GB-ENG
title: A job (invented)
strings: {{S1: {{}}, S2: {{}}}}
circuits: {{C1: {{}}}}
tests:
  - {{test: open-circuit voltage, of: S1, value_v: {first}, irradiance_w_m2: 612, cell_c: 24}}
  - {{test: open-circuit voltage, of: S2, value_v: 262.8, irradiance_w_m2: 455, cell_c: 22}}
  - {{test: insulation, of: S1, test_voltage_v: 500, positive_earth_megohm: over 200}}
  - {{test: continuity, of: C1, r1_r2_ohm: 0.31}}
"""


def _jobs(folder: Path, *firsts: str) -> Path:
    for number, first in enumerate(firsts):
        job = folder / f"job-{number}"
        job.mkdir(parents=True)
        text = RECORD.format(reference=f"J-{number}", first=first)
        (job / "installation.yaml").write_text(text, "utf-8")
    return folder


def test_the_same_readings_of_two_jobs_are_asked_about(call: Call, tmp_path: Path) -> None:
    code, out, _ = call("check", _jobs(tmp_path / "jobs", "341.2", "341.3", "341.2"))
    said = " ".join(out.split())
    assert "The 6 readings on strings of job-0 and job-2 are the very same" in said
    assert "It may be innocent" in said
    assert "circuits of" not in said  # one figure is no set
    assert said.count("A reader would ask (1); no findings, they hold nothing up") == 1
    assert code == 1  # as without it: these records are held up by what they lack


@pytest.mark.parametrize("other", ["341.3", "over 341", "'not taken: rain'"])
def test_readings_that_differ_anywhere_are_not(call: Call, tmp_path: Path, other: str) -> None:
    _, out, _ = call("check", _jobs(tmp_path / "jobs", "341.2", other))
    assert "reader would ask" not in out


def test_json_has_them_apart_and_no_job_carries_a_hash(call: Call, tmp_path: Path) -> None:
    jobs = _jobs(tmp_path / "jobs", "341.2", "341.2")
    for _ in range(2):  # made now, then as kept
        data = json.loads(call("check", jobs, "--format", "json")[1])
        (question,) = data["questions"]
        assert question["folders"] == ["job-0", "job-1"]
        assert question["readings"] == 6
        assert all("readings" not in job for job in data["jobs"])


def test_a_job_changed_since_is_asked_about_no_more(call: Call, tmp_path: Path) -> None:
    jobs = _jobs(tmp_path / "jobs", "341.2", "341.2")
    assert "very same" in " ".join(call("check", jobs)[1].split())
    record = jobs / "job-1" / "installation.yaml"
    record.write_text(record.read_text("utf-8").replace("341.2", "338.9"), "utf-8")
    assert "very same" not in " ".join(call("check", jobs)[1].split())
