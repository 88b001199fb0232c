"""The commissioning report's tables: every kind of test, who, with what, and what was altered."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

import pytest

from compliance.documents.commissioning import commissioning_tables, commissioning_values
from compliance.documents.tree import Table
from compliance.files.resources import rulesets_folder
from compliance.record.tests import KINDS
from compliance.rules.job import Job, open_job

SAMPLE = Path(__file__).parents[2] / "sample_installs" / "bungalow-two-faces"
DAY = date(2026, 11, 20)


def _opened(folder: Path) -> Job:
    return open_job(folder, rulesets_folder(), today=DAY)


@pytest.fixture(scope="module")
def tables() -> dict[str, Table]:
    return commissioning_tables(_opened(SAMPLE))


def _changed(folder: Path, old: str, new: str) -> Job:
    shutil.copytree(SAMPLE, folder / "job")
    path = folder / "job" / "installation.yaml"
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new), "utf-8")
    return _opened(folder / "job")


def test_every_kind_of_test_is_printed_with_what_would_be_right(tables: dict[str, Table]) -> None:
    names = ("string-readings", "circuit-readings", "equipment-readings")
    rows = [row for name in names for row in tables[name].rows]
    assert {row[1].partition(",")[0].lower() for row in rows} == set(KINDS)
    right = {row[:2]: row[3] for row in rows}
    assert right["C9", "fault current"] == "at most 6 kA"
    assert right["C9", "circuit insulation, test voltage"] == "at least 250 V"
    assert right["inv-5", "loss of mains"] == "stopped"
    assert right["roof-array", "frame continuity"] == "continuous"


def test_what_was_seen_without_an_instrument_says_so(tables: dict[str, Table]) -> None:
    (row,) = [r for r in tables["circuit-readings"].rows if r[1] == "RCD button"]
    assert row[4].startswith("by eye, Rowan Vale")


def test_instruments_say_what_they_bear_and_how_they_were_checked(
    tables: dict[str, Table],
) -> None:
    rows = {row[0].partition(":")[0]: row for row in tables["instruments"].rows}
    assert "rated voltage 1000 V" in rows["pv-tester"][1]
    assert rows["pv-tester"][2] == "calibration until 2027-02-11"
    assert "checked 2026-09-15 agrees, against check box" in rows["multifunction"][2]


def test_people_say_what_makes_them_competent_and_what_they_tested(
    tables: dict[str, Table],
) -> None:
    rows = {row[0]: row for row in tables["people"].rows}
    rowan = rows["Rowan Vale (invented)"]
    assert "inspection and testing" in rowan[2]
    assert rowan[3].startswith("polarity of S1, S2; ")
    assert rows["Ash Merrin (invented)"][2:] == ("not recorded", "none")


def test_an_alteration_is_printed_with_its_day(tmp_path: Path) -> None:
    altered = (
        "alterations:\n  - altered: string\n    of: S1\n    on: 2026-10-13\n"
        "    what: A connector replaced\n"
    )
    job = _changed(tmp_path, "alterations: none\n", altered)
    (row,) = commissioning_tables(job)["alterations"].rows
    assert row == ("string S1", "2026-10-13", "A connector replaced")
    gaps = {(g.requirement.id, g.subject) for g in job.checked.gaps}
    assert gaps == {("string-tested-again", "S1 / alteration 1")}


def test_a_test_of_an_inverter_that_was_not_made_says_why(tmp_path: Path) -> None:
    job = _changed(tmp_path, "    result: stopped\n", "    not_taken: the network was down\n")
    assert "loss of mains of inv-5: the network was down" in commissioning_values(job)["not_taken"]
