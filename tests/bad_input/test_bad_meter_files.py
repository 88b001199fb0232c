"""Every CSV file under `meter/` is a meter's file with one mistake; beside it what is told."""

from __future__ import annotations

from pathlib import Path
from textwrap import dedent

import pytest
from bad_input.expectations import compare, each, name_of

from compliance.errors import ComplianceError
from compliance.files.yaml import parse_yaml
from compliance.record.load import record_from

CASES = sorted(Path(__file__).with_name("meter").rglob("*.csv"))
RECORD = dedent("""\
    record: installation/2
    reference: J
    jurisdiction: GB-ENG
    title: t
    strings:
      S1:
        in_series: 9
    evidence:
      file:
        file: meter.csv
        kind: meter file
        tests: read from it
    """)


@pytest.mark.parametrize("case", CASES, ids=name_of)
def test_each_mistake_is_told_at_its_cell_with_what_would_be_right(
    case: Path, tmp_path: Path
) -> None:
    (tmp_path / "meter.csv").write_bytes(case.read_bytes())
    with pytest.raises(ComplianceError) as caught:
        record_from(parse_yaml(RECORD.encode(), name="r"), tmp_path)
    compare(case.with_suffix(".expect"), each(caught.value))


@pytest.mark.parametrize("case", CASES, ids=name_of)
def test_a_case_lies_in_the_folder_of_its_cause(case: Path) -> None:
    assert f" record.{case.parent.name} " in case.with_suffix(".expect").read_text("utf-8")
