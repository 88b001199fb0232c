"""The samples' own evidence agrees with their records, and claims when and where it was made."""

from __future__ import annotations

import csv
from datetime import datetime
from pathlib import Path

import pytest

from compliance.evidence.images import look
from compliance.record.load import load_record
from compliance.values import Over

ROOT = Path(__file__).parents[2] / "sample_installs"
PAUSED = ROOT / "old-array-paused-six-weeks"
WITH_PLACE = (PAUSED, ROOT / "semi-twelve-faults")
FIELDS = {
    "insulation, positive to earth": "positive_earth_megohm",
    "insulation, negative to earth": "negative_earth_megohm",
    "open-circuit voltage": "value_v",
    "short-circuit current": "value_a",
}


def _rows() -> list[dict[str, str]]:
    with (PAUSED / "evidence" / "pv-tester-x1007.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_the_meters_file_holds_the_readings_of_the_record_and_no_others() -> None:
    tests = load_record(PAUSED).record.tests or []
    taken_over = {
        (test.test, test.of, test.on, field): getattr(test, field)
        for test in tests
        if test.known == "meter file"
        for field in FIELDS.values()
        if hasattr(test, field)
    }
    in_file = {
        (row["test"].partition(",")[0], row["string"], datetime.fromisoformat(row["taken"]),
         FIELDS[row["test"]]): _value(row["value"])
        for row in _rows()
    }  # fmt: skip
    assert taken_over == in_file
    assert len(in_file) == 8


def test_light_and_warmth_in_the_meters_file_are_those_of_the_record() -> None:
    tests = {
        (t.test, t.of): t for t in load_record(PAUSED).record.tests or [] if t.known == "meter file"
    }
    in_light = [row for row in _rows() if row["w_per_m2"]]
    assert len(in_light) == 4
    for row in in_light:
        test = tests[row["test"], row["string"]]
        assert (float(row["w_per_m2"]), float(row["cells_c"])) == (
            test.irradiance_w_m2,
            test.cell_c,
        )


def _value(text: str) -> float | Over:
    return Over(float(text[1:])) if text.startswith(">") else float(text)


@pytest.mark.parametrize("sample", WITH_PLACE, ids=lambda p: p.name)
def test_each_photo_claims_a_time_and_a_place(sample: Path) -> None:
    photos = sorted((sample / "evidence").glob("*.jpg"))
    assert len(photos) >= 8
    for photo in photos:
        seen = look(sample, f"evidence/{photo.name}")
        assert seen.is_whole, seen.fault
        assert seen.taken
        assert seen.has_position


@pytest.mark.parametrize("sample", sorted(p.parent for p in ROOT.glob("*/PURPOSE.md")), ids=str)
def test_every_file_of_a_sample_is_named_in_its_record(sample: Path) -> None:
    record = load_record(sample).record
    named = {item.file for item in (record.evidence or {}).values()}
    there = {f"evidence/{p.name}" for p in (sample / "evidence").glob("*")}
    assert named == there
