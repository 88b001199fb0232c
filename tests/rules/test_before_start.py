"""What is looked at before work starts, an old tariff and a meter's file, in a whole job."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

import pytest

from compliance.documents.live import live_afterwards
from compliance.files.resources import rulesets_folder
from compliance.rules.job import Job, open_job
from compliance.units import find, shown

SAMPLE = Path(__file__).parents[2] / "sample_installs" / "old-array-paused-six-weeks"
CLOSED = date(2026, 11, 14)


def opened(folder: Path, *changes: tuple[str, str], on: date = CLOSED) -> Job:
    """The paused job with some lines changed."""
    shutil.copytree(SAMPLE, folder / "job")
    path = folder / "job" / "installation.yaml"
    text = path.read_text("utf-8")
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    path.write_text(text, "utf-8")
    return open_job(folder / "job", rulesets_folder(), today=CLOSED, on=on)


@pytest.mark.parametrize(
    ("old", "new", "gaps"),
    [
        # inspections at most seven days apart: Work at Height Regulations 2005, as a trainer's
        # page tells regulation 12 (secondary)
        ("scaffold_inspected: 2026-11-10", "scaffold_inspected: 2026-11-04",
         {"scaffold-inspected visit of 2026-11-12": "not met"}),
        ("asbestos: none in the sample", "asbestos: not looked at",
         {"asbestos-known-before-disturbing soffit-board": "not met"}),
        ("asbestos: none in the sample", "asbestos: presumed",
         {"asbestos-plan-of-work soffit-board": "not shown"}),
        ("kind: laboratory report", "kind: certificate",
         {"asbestos-sample-reported soffit-board": "not shown"}),
        ("found: none\n    # the old", "found: in use\n    # the old",
         {"nests-looked-for new-array": "not met"}),
        ("dc_on_arrival: kept clear of", "dc_on_arrival: live within reach",
         {"live-dc-on-arrival new-array": "not met"}),
        ("found: fit to be added to", "found: not fit",
         {"existing-installation-seen loft-inverter": "not met"}),
        ("told_on: 2026-09-10", "told_on: 2026-09-29",
         {"tariff-licensee-told south-array": "not met"}),
        ("    read_on: 2026-09-28\n", "", {"generation-meter-read south-array": "not shown"}),
        ("new_array_apart: yes", "new_array_apart: no",
         {"generation-meter-kept south-array": "not met"}),
        ("kind: meter file", "kind: datasheet",
         {"meter-file-kept S1": "not shown", "meter-file-kept S2": "not shown"}),
    ],
)  # fmt: skip
def test_a_slip_gives_its_gap_and_no_other(
    tmp_path: Path, old: str, new: str, gaps: dict[str, str]
) -> None:
    checked = opened(tmp_path, (old, new)).checked
    assert {f"{f.requirement.id} {f.subject}": f.outcome.value for f in checked.gaps} == gaps


def test_an_alteration_that_lies_ahead_is_not_known_yet(tmp_path: Path) -> None:
    job = opened(tmp_path, on=date(2026, 10, 20))
    assert [string["alterations"] for string in job.view["strings"]] == [[], []]
    assert "scaffold_inspected" not in job.view["visits"][2]
    assert job.view["visits"][1]["left"]["work"] == "locked off"


def test_an_older_array_stays_live_on_the_sheets(tmp_path: Path) -> None:
    job = opened(tmp_path)
    told = " ".join(live_afterwards(job.view, job.checked.workings))
    assert "The old array of 2012 on the south face, 2.4 kWp: live in daylight" in told


def test_an_array_without_a_tariff_is_not_forgotten(tmp_path: Path) -> None:
    text = (SAMPLE / "installation.yaml").read_text("utf-8")
    tariff = text[text.index("tariffs:\n") : text.index("people:\n")]
    photo = "    about: south-array\n", "    about: new-array\n"
    job = opened(tmp_path, (tariff, "tariffs: none\n"), photo)
    told = " ".join(live_afterwards(job.view, job.checked.workings))
    assert "An array that was there before this one" in told
    assert job.checked.gaps == ()


def test_a_large_reading_is_printed_as_it_was_written() -> None:
    assert shown(28412.6, find("generation_kwh")) == "28412.6 kWh"
    assert shown(0.1 + 0.2, find("ze_ohm")) == "0.3 Ω"
