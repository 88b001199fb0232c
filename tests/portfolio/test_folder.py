"""`compliance check FOLDER`: one line a job, and only what changed is checked again."""

from __future__ import annotations

import json
import os
import re
import shutil
import sqlite3
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from portfolio.jobs import make_jobs

from compliance.portfolio import checked, folder
from compliance.portfolio.index import Index, Kept, index_path

Call = Callable[..., tuple[int, str, str]]
JOBS = int(os.environ.get("COMPLIANCE_JOBS", "12"))
SAMPLES = Path(__file__).parents[2] / "sample_installs"


@pytest.fixture
def jobs(tmp_path: Path) -> Path:
    make_jobs(tmp_path / "jobs", JOBS)
    return tmp_path / "jobs"


def checked_now(err: str) -> int:
    found = re.search(r"checked now: (\d+); unchanged since the last time: (\d+)", err)
    assert found
    assert int(found[1]) + int(found[2]) == JOBS
    return int(found[1])


def record_of(job: Path) -> Path:
    return job / "installation.yaml"


def test_a_second_run_checks_only_what_changed(call: Call, jobs: Path) -> None:
    first = call("check", jobs, "--on", "2026-11-26")
    assert checked_now(first[2]) == JOBS
    second = call("check", jobs, "--on", "2026-11-26")
    assert checked_now(second[2]) == 0
    assert second[:2] == first[:2]
    changed = record_of(jobs / "job-0003")
    changed.write_text(changed.read_text("utf-8").replace("J-0003", "J-changed"), "utf-8")
    third = call("check", jobs, "--on", "2026-11-26")
    assert checked_now(third[2]) == 1
    assert third[1] == first[1].replace("J-0003", "J-changed")


def test_what_is_taken_as_kept_is_what_a_check_gives(call: Call, jobs: Path) -> None:
    call("check", jobs, "--on", "2026-11-26")
    _, kept, _ = call("check", jobs, "--on", "2026-11-26", "--format", "json")
    _, anew, _ = call("check", jobs, "--on", "2026-11-26", "--format", "json", "--no-cache")
    assert json.loads(kept) == json.loads(anew)
    for job in json.loads(kept)["jobs"]:
        _, out, _ = call("check", jobs / job["folder"], "--on", "2026-11-26", "--format", "json")
        alone = json.loads(out)
        assert job["counts"] == alone["counts"]
        assert job["held_up"] is alone["held_up"]


def test_a_change_of_the_same_size_with_the_old_time_put_back_is_noticed(
    call: Call, jobs: Path
) -> None:
    call("check", jobs)
    path = record_of(jobs / "job-0001")
    was = path.stat()
    path.write_text(path.read_text("utf-8").replace("J-0001", "J-9991"), "utf-8")
    os.utime(path, ns=(was.st_atime_ns, was.st_mtime_ns))
    assert path.stat().st_size == was.st_size
    assert "J-9991" in call("check", jobs)[1]


def test_evidence_that_comes_goes_or_changes_is_noticed(call: Call, jobs: Path) -> None:
    call("check", jobs)
    inside = jobs / "job-0002" / "evidence" / "photo.jpg"
    inside.parent.mkdir()
    for act in (lambda: inside.write_bytes(b"one"), lambda: inside.write_bytes(b"two"),
                inside.unlink):  # fmt: skip
        act()
        assert checked_now(call("check", jobs)[2]) == 1
        assert checked_now(call("check", jobs)[2]) == 0


def test_only_touched_is_not_changed(call: Call, jobs: Path) -> None:
    call("check", jobs)
    for job in jobs.iterdir():
        os.utime(record_of(job))
    assert checked_now(call("check", jobs)[2]) == 0


def test_settled_files_are_not_read_again(
    call: Call, jobs: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(folder, "_TOO_FRESH_NS", -1)
    call("check", jobs)
    read: list[Path] = []
    monkeypatch.setattr(checked, "content", lambda job, files: read.append(job) or "")
    assert checked_now(call("check", jobs)[2]) == 0
    assert read == []


@pytest.mark.parametrize("what", ["day", "firm", "rulesets", "program"])
def test_another_day_firm_rule_or_program_checks_all_again(
    call: Call, jobs: Path, what: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    call("check", jobs, "--on", "2026-11-26")
    day = "2026-11-27" if what == "day" else "2026-11-26"
    if what == "firm":
        (jobs / "firm.yaml").write_text("firm: firm/1\n", "utf-8")
    if what == "rulesets":
        copy = tmp_path / "rulesets"
        shutil.copytree(SAMPLES.parent / "rulesets", copy)
        with (copy / "sources.yaml").open("a", encoding="utf-8") as file:
            file.write("# another byte\n")
        monkeypatch.setattr("compliance.files.resources.rulesets_folder", lambda: copy)
    if what == "program":
        monkeypatch.setattr(checked, "program_sha256", lambda: "another")
    _, _, err = call("check", jobs, "--on", day)
    assert "checked now: 0" not in err


def test_a_closed_record_keeps_its_day_and_the_others_are_of_today(
    call: Call, jobs: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    call("check", jobs)

    class Tomorrow(date):
        @classmethod
        def today(cls) -> date:
            return date(2031, 1, 1)

    closed = sum("closed:" in record_of(job).read_text("utf-8") for job in jobs.iterdir())
    assert closed
    monkeypatch.setattr("compliance.cli.folder.date", Tomorrow)
    assert checked_now(call("check", jobs)[2]) == JOBS - closed


def test_a_bad_job_is_named_and_stops_no_other(call: Call, jobs: Path) -> None:
    record_of(jobs / "job-0004").write_text("record: installation/1\nreference: [\n", "utf-8")
    code, out, err = call("check", jobs)
    assert code == 2
    lines = out.splitlines()
    assert lines[4].startswith("job-0004  CANNOT BE CHECKED")
    assert [line.split()[0] for line in lines[:JOBS] if "J-" in line] == [
        f"J-{n:04}" for n in range(JOBS) if n != 4
    ]
    assert "job-0004/installation.yaml" in err
    assert "1 that cannot be checked (job-0004)" in " ".join(out.split())
    code, _, err = call("chase", jobs, "--on", "2026-11-26")
    assert code == 2


def test_a_fault_of_ours_in_one_job_stops_no_other(
    call: Call, jobs: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = checked.open_job

    def open_job(job: Path, *more: object, **named: object) -> object:
        if job.name == "job-0005":
            raise ZeroDivisionError("a secret of the customer")
        return real(job, *more, **named)  # type: ignore[arg-type]

    monkeypatch.setattr(checked, "open_job", open_job)
    code, out, err = call("check", jobs)
    assert code == 70
    assert "This is our fault" in err
    assert "secret" not in err
    assert "J-0006" in out


def test_two_jobs_of_one_reference_are_told(call: Call, jobs: Path) -> None:
    shutil.copytree(jobs / "job-0000", jobs / "copy")
    _, _, err = call("check", jobs)
    assert '"J-0000" is the reference of copy and of job-0000' in err


def test_folders_that_hold_no_record_are_told(call: Call, jobs: Path) -> None:
    (jobs / "not yet begun").mkdir()
    (jobs / ".hidden").mkdir()
    _, _, err = call("check", jobs)
    assert "no installation.yaml, so no job: not yet begun\n" in err


def test_nothing_held_up_is_0_and_gives_no_permission(call: Call, tmp_path: Path) -> None:
    shutil.copytree(SAMPLES / "bungalow-two-faces", tmp_path / "jobs" / "one")
    code, out, _ = call("check", tmp_path / "jobs")
    assert code == 0
    assert "2026-117  nothing that was checked is held up" in out
    assert "no permission to energise" in out


@pytest.mark.parametrize("option", [("--all",), ("--visit", "2026-11-01"), ("--explain", "x"),
                                    ("--format", "markdown")])  # fmt: skip
def test_what_only_one_job_can_answer_is_refused(
    call: Call, jobs: Path, option: tuple[str, ...]
) -> None:
    code, _, err = call("check", jobs, *option)
    assert code == 2
    assert "name one job of the folder" in err


# -- the index file ----------------------------------------------------------------------


def test_no_cache_makes_no_index(call: Call, jobs: Path) -> None:
    call("check", jobs, "--no-cache")
    assert not index_path(jobs).exists()


@pytest.mark.parametrize("damage", ["cut off", "no database", "overwritten"])
def test_a_damaged_index_is_made_anew(call: Call, jobs: Path, damage: str) -> None:
    first = call("check", jobs)
    path = index_path(jobs)
    data = path.read_bytes()
    path.write_bytes(
        {"cut off": data[: len(data) // 2], "no database": b"not a database, but long enough" * 99,
         "overwritten": data[:4096] + b"\xff" * (len(data) - 4096)}[damage]
    )  # fmt: skip
    code, out, err = call("check", jobs)
    assert (code, out) == first[:2]
    assert "is made anew" in err
    assert checked_now(call("check", jobs)[2]) == 0


def test_a_row_that_was_changed_is_not_believed(call: Call, jobs: Path) -> None:
    first = call("check", jobs)
    with sqlite3.connect(index_path(jobs)) as file:
        file.execute(
            "UPDATE kept SET line = replace(line, '\"held_up\":true', '\"held_up\":false')"
        )
    file.close()
    again = call("check", jobs)
    assert again[:2] == first[:2]
    assert checked_now(again[2]) > 0


def test_an_index_of_another_format_is_made_anew(call: Call, jobs: Path) -> None:
    with sqlite3.connect(index_path(jobs)) as file:
        file.execute("CREATE TABLE kept (something)")
    file.close()
    assert checked_now(call("check", jobs)[2]) == JOBS
    assert checked_now(call("check", jobs)[2]) == 0


def test_a_job_that_is_gone_is_forgotten(call: Call, jobs: Path) -> None:
    call("check", jobs)
    shutil.rmtree(jobs / "job-0007")
    call("check", jobs)
    with sqlite3.connect(index_path(jobs)) as file:
        kept = {row[0] for row in file.execute("SELECT job FROM kept")}
    file.close()
    assert kept == {job.name for job in jobs.iterdir()}


@pytest.mark.parametrize("attempt", range(8))
def test_two_at_once_lose_nothing(tmp_path: Path, attempt: int) -> None:
    said: list[str] = []

    def writes(of: str) -> None:
        index = Index(tmp_path / "i.sqlite", said.append)
        for n in range(300):
            index.put(Kept(f"{of}{n}", "", "", "", "", "{}", "{}"))
        index.close()

    threads = [threading.Thread(target=writes, args=(of,)) for of in "abc"]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    index = Index(tmp_path / "i.sqlite", said.append)
    assert all(index.get(f"{of}{n}") for of in "abc" for n in range(300))
    index.close()
    assert said == []


def test_two_commands_at_once_give_the_same(call: Call, jobs: Path) -> None:
    ours = [sys.executable, "-m", "compliance", "check", str(jobs)]
    both = [
        subprocess.Popen(ours, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)  # noqa: S603 - our own program
        for _ in range(2)
    ]
    (first, told), (second, _) = (one.communicate(timeout=120) for one in both)
    assert first == second
    assert first.count("J-") == JOBS
    assert "made anew" not in told
    assert checked_now(call("check", jobs)[2]) == 0


def test_a_command_that_is_killed_leaves_an_index_that_can_be_used(call: Call, jobs: Path) -> None:
    with subprocess.Popen(  # noqa: S603 - our own program
        [sys.executable, "-m", "compliance", "check", str(jobs)],
        stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
    ) as one:  # fmt: skip
        assert one.stdout is not None
        one.stdout.readline()
        one.kill()
    _, out, err = call("check", jobs)
    assert out.count("J-") == JOBS
    assert "made anew" not in err


def test_a_locked_index_is_told_and_the_results_are_right_all_the_same(
    call: Call, jobs: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = call("check", jobs)
    monkeypatch.setattr("compliance.portfolio.index._PATIENCE_S", 0.05)
    other = sqlite3.connect(index_path(jobs), isolation_level=None)
    other.execute("BEGIN EXCLUSIVE")
    began = time.monotonic()
    code, out, err = call("check", jobs)
    other.close()
    assert (code, out) == first[:2]
    assert "is in use by another command" in err
    assert time.monotonic() - began < 60


def test_a_place_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    said: list[str] = []
    index = Index(tmp_path / "nowhere" / "i.sqlite", said.append)
    index.put(Kept("a", "", "", "", "", "{}", "{}"))
    index.close()
    assert len(said) == 1
    assert "nothing is kept" in said[0]
