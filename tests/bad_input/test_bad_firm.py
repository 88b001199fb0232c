"""Every file under `firm/` is a firm's file with a mistake, or one that a job does not fit.

A case is read as `firm.yaml` above the job below; what is told may stand in either.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from bad_input.expectations import cases, compare, each, name_of

from compliance.errors import ComplianceError
from compliance.record.load import load_record

CASES = cases(Path(__file__).with_name("firm"))
JOB = """\
record: installation/1
reference: J-1
jurisdiction: GB-ENG
title: An invented job
parts:
  array:
    kind: array
components:
  mod:
    category: module
    usual: a-module
    # the module that this firm fits as a rule

strings:
  S1:
    modules: mod
"""


@pytest.mark.parametrize("case", CASES, ids=name_of)
def test_each_mistake_is_told_at_its_place_in_the_firms_file_or_the_jobs(
    case: Path, tmp_path: Path
) -> None:
    (tmp_path / "firm.yaml").write_bytes(case.read_bytes())
    job = tmp_path / "job"
    job.mkdir()
    (job / "installation.yaml").write_text(JOB, "utf-8")
    with pytest.raises(ComplianceError) as caught:
        load_record(job)
    told = each(caught.value)
    if case.parent.name == "name-of-firm":
        told = [problem for problem in told if problem.id == "record.name-of-firm"]
    compare(case, told)


def test_a_job_whose_firm_has_no_file_is_told_so(tmp_path: Path) -> None:
    (tmp_path / "installation.yaml").write_text(JOB, "utf-8")
    with pytest.raises(ComplianceError, match=r"no firm\.yaml in the folder above"):
        load_record(tmp_path)
