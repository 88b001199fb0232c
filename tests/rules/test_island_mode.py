"""The earthing of a house that runs by itself, in the sample that can: one slip, one gap."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

import pytest

from compliance.files.resources import rulesets_folder
from compliance.rules.connections import connections
from compliance.rules.job import Job, open_job
from compliance.rules.labels_due import FIT, KEEP, schedule

SAMPLE = Path(__file__).parents[2] / "sample_installs" / "two-inverters-island"
CLOSED = date(2026, 11, 24)
KIND = "live without the network"


def opened(folder: Path, old: str = "", new: str = "") -> Job:
    shutil.copytree(SAMPLE, folder / "job")
    path = folder / "job" / "installation.yaml"
    text = path.read_text("utf-8")
    assert not old or text.count(old) == 1, old
    path.write_text(text.replace(old, new) if old else text, "utf-8")
    return open_job(folder / "job", rulesets_folder(), today=CLOSED)


def gaps(job: Job) -> dict[str, str]:
    found = job.checked.gaps
    return {
        f"{f.requirement.id} {f.subject}": f.outcome.value
        for f in found
        if f.requirement.id.startswith("island-") and f.requirement.id != "island-mode-label"
    }


def test_the_sample_is_earthed_as_it_should_be_and_its_plain_inverter_is_not_asked(
    tmp_path: Path,
) -> None:
    job = opened(tmp_path)
    assert not gaps(job)
    asked = {
        f.subject: f.outcome.value
        for f in job.checked.findings
        if f.requirement.id == "island-neutral-earthed"
    }
    assert asked == {"inv-hybrid": "met", "inv-plain": "not applicable"}


@pytest.mark.parametrize(
    ("old", "new", "requirement", "outcome"),
    [
        ("neutral_earthed: without the network", "neutral_earthed: always",
         "island-neutral-earthed", "not met"),
        ("parted_by: change-over of all lines and neutral", "parted_by: change-over of all lines",
         "island-parted-from-network", "not met"),
        ("earthed_by: own electrode", "earthed_by: network only", "island-own-electrode",
         "not met"),
        ("electrode_ohm: 68", "electrode_ohm: 240", "island-own-electrode", "not met"),
        ("      electrode_ohm: 68\n", "", "island-own-electrode", "not shown"),
        ("circuits_behind_rcds: yes", "circuits_behind_rcds: no", "island-circuits-behind-rcds",
         "not met"),
        ("slowest_rcd_ms: 29", "slowest_rcd_ms: over 1999", "island-rcds-open-in-time",
         "not met"),
        (f"kind: {KIND}", "kind: two supplies", "island-notice-at-board", "not met"),
    ],
)  # fmt: skip
def test_one_slip_is_one_gap(
    tmp_path: Path, old: str, new: str, requirement: str, outcome: str
) -> None:
    assert gaps(opened(tmp_path, old, new)) == {f"{requirement} inv-hybrid": outcome}


@pytest.mark.parametrize(
    ("old", "new", "what"), [("", "", KEEP), (f"kind: {KIND}", "kind: circuit", FIT)]
)
def test_the_label_schedule_asks_for_the_notice_where_the_inverter_goes_on(
    tmp_path: Path, old: str, new: str, what: str
) -> None:
    view = opened(tmp_path, old, new).view
    notices = [x for x in schedule(view, connections(view)) if x.kind == KIND]
    assert [(x.where, x.what) for x in notices] == [("house board, way 5", what)]
