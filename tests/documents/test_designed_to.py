"""The commissioning report: what the record states, as rows of text."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

import pytest

from compliance.documents.commissioning import commissioning_tables
from compliance.files.resources import rulesets_folder
from compliance.rules.job import open_job

SAMPLE = Path(__file__).parents[2] / "sample_installs" / "bungalow-two-faces"


@pytest.mark.parametrize(
    ("line", "rows"),
    [
        ("", []),
        ("designed_to: bs-7671-2018-a4\n", [("Designed to", "bs-7671-2018-a4")]),
        (
            "designed_to: [bs-7671-2018-a4, iec-62446-1]\n",
            [("Designed to", "bs-7671-2018-a4, iec-62446-1")],
        ),
    ],
)
def test_what_the_job_was_designed_to_is_printed_where_it_is_stated(
    tmp_path: Path, line: str, rows: list[tuple[str, str]]
) -> None:
    job = tmp_path / "job"
    shutil.copytree(SAMPLE, job)
    record = job / "installation.yaml"
    record.write_text(record.read_text("utf-8") + line, "utf-8")
    opened = open_job(job, rulesets_folder(), today=date(2026, 11, 25))
    system = commissioning_tables(opened)["system"].rows
    assert [tuple(row) for row in system if row[0] == "Designed to"] == rows
