"""The one screen of `check`: about twenty lines beside the dangers, and nothing lost from sight."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest

from compliance.cli.report import dangers
from compliance.cli.screen import LINES, screen
from compliance.files.resources import rulesets_folder
from compliance.rules.job import Job, open_job
from compliance.rules.outcome import NO_PERMISSION

SAMPLES = sorted(p.parent for p in Path("sample_installs").glob("*/installation.yaml"))
DAY = date(2026, 11, 20)


@pytest.fixture(params=SAMPLES, ids=lambda folder: folder.name, scope="module")
def job(request: pytest.FixtureRequest) -> Job:
    return open_job(request.param, rulesets_folder(), today=DAY)


def _dangers(job: Job) -> list[str]:
    return dangers([gap for gap in job.checked.gaps if gap.is_open], everything=False)


def test_a_screen_holds_about_twenty_lines_beside_the_dangers(
    job: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    rest = len(screen(job.checked, job.seen).splitlines()) - len(_dangers(job))
    told = sum(bool(one.fault) + bool(one.remark) for one in job.seen.values())
    assert rest <= LINES + 5 + 3 * told  # a first entry and the files are never left out


def test_dangers_stand_first_and_whole(job: Job) -> None:
    found = "\n".join(_dangers(job))
    text = screen(job.checked, job.seen)
    assert found in text
    for later in ("Holds up", "Last chance", "Also open", "Supply first"):
        assert later not in text or text.index(found) <= text.index(later)
    assert NO_PERMISSION in " ".join(text.split())


def test_every_open_gap_is_printed_or_counted(job: Job) -> None:
    text = " ".join(screen(job.checked, job.seen).split())
    held = [g for g in job.checked.gaps if g.is_open and g.requirement.holds_up != "nothing"]
    told = [int(n) for n in re.findall(r"(?:Holds up[^(]*|DANGER) \((\d+)\)", text)]
    counted = re.search(r"Also open: (.*?)\. --all", text)
    told += [int(n) for n in re.findall(r"\((\d+)\)", counted[1])] if counted else []
    last = re.search(r"Last chance on \S+ \((\d+)\)", text)
    told += [int(last[1])] if last else []
    assert sum(told) == len(held)
