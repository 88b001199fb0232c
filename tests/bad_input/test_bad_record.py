"""Every file under `record/` is a record with one mistake; its first line says what is told.

A case is read as `installation.yaml`. What only the rulesets can refuse (a judgement about
no requirement) is found by opening the whole job. New files are found by themselves.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from bad_input.expectations import cases, compare, each, expected, name_of

from compliance.errors import ComplianceError
from compliance.files.resources import rulesets_folder
from compliance.files.yaml import parse_yaml
from compliance.record.load import record_from
from compliance.rules.job import open_job

CASES = cases(Path(__file__).with_name("record"))
NEEDS_RULESETS = {
    "record.unknown-document",
    "record.unknown-requirement",
    "record.unknown-subject",
}


def told(case: Path, folder: Path) -> list[ComplianceError]:
    """What is told about a record on loading it, or on checking it where that takes rules."""
    data = case.read_bytes()
    with pytest.raises(ComplianceError) as caught:  # noqa: PT012 - one of two ways to open it
        if NEEDS_RULESETS.isdisjoint(want.cause for want in expected(case)):
            record_from(parse_yaml(data, name=case.name), folder)
        else:
            (folder / "installation.yaml").write_bytes(data)
            open_job(folder, rulesets_folder(), today=date(2026, 11, 25))
    return each(caught.value)


@pytest.mark.parametrize("case", CASES, ids=name_of)
def test_each_mistake_is_told_at_its_place_with_what_would_be_right(
    case: Path, tmp_path: Path
) -> None:
    compare(case, told(case, tmp_path))


@pytest.mark.parametrize("case", CASES, ids=name_of)
def test_a_case_lies_in_the_folder_of_a_cause_it_expects(case: Path) -> None:
    causes = {want.cause for want in expected(case)}
    assert f"record.{case.parent.name}" in causes or case.parent.name == "several"
