"""A second check takes from the cache what is the same, and nothing that has changed."""

from __future__ import annotations

import os
import pickle
import shutil
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from compliance.files.cache import Cache, FolderCache, NoCache
from compliance.files.resources import rulesets_folder
from compliance.rules.job import open_job
from compliance.rules.outcome import Checked, Outcome

SAMPLES = Path(__file__).parents[2] / "sample_installs"
DAY = date(2026, 11, 25)


class Watched:
    """A cache that tells what it answered."""

    def __init__(self, folder: Path) -> None:
        self.within = FolderCache(folder)
        self.answered: list[str] = []

    def get(self, kind: str, *made_from: str) -> Any:
        found = self.within.get(kind, *made_from)
        self.answered += [kind] if found is not None else []
        return found

    def put(self, value: object, kind: str, *made_from: str) -> None:
        self.within.put(value, kind, *made_from)


@pytest.fixture(params=sorted(p.parent.name for p in SAMPLES.glob("*/installation.yaml")))
def job(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    return shutil.copytree(SAMPLES / request.param, tmp_path / "job")


@pytest.fixture
def kept(tmp_path: Path) -> Watched:
    return Watched(tmp_path / "kept")


def _checked(job: Path, cache: Cache | None = None, rulesets: Path | None = None) -> Checked:
    return open_job(job, rulesets or rulesets_folder(), today=DAY, cache=cache).checked


def test_the_second_check_finds_the_same_from_the_cache(job: Path, kept: Watched) -> None:
    plain = _checked(job, NoCache())
    assert _checked(job, kept) == plain
    assert kept.answered == []
    assert _checked(job, kept) == plain
    assert kept.answered == ["record", "rulesets", "evidence"]


def test_a_changed_record_is_read_again(job: Path, kept: Watched) -> None:
    _checked(job, kept)
    record = job / "installation.yaml"
    record.write_text(record.read_text("utf-8").replace("reference: ", "reference: X", 1), "utf-8")
    assert _checked(job, kept).reference.startswith("X")
    assert kept.answered == ["rulesets", "evidence"]


def test_a_changed_ruleset_is_loaded_again(job: Path, kept: Watched, tmp_path: Path) -> None:
    folder = shutil.copytree(rulesets_folder(), tmp_path / "rulesets")
    _checked(job, kept, folder)
    path = folder / "gb" / "pv-string-tests.yaml"
    path.write_text(path.read_text("utf-8").replace("title: ", "title: Other ", 1), "utf-8")
    _checked(job, kept, folder)
    assert kept.answered == ["record", "evidence"]


def test_an_evidence_file_damaged_afterwards_is_seen(tmp_path: Path, kept: Watched) -> None:
    job = shutil.copytree(SAMPLES / "bungalow-two-faces", tmp_path / "bungalow")
    before = _checked(job, kept)
    for photo in job.glob("evidence/*.jpg"):
        status = photo.stat()
        data = photo.read_bytes()
        photo.write_bytes(data[: len(data) // 2] + bytes(len(data) - len(data) // 2))
        os.utime(photo, ns=(status.st_atime_ns, status.st_mtime_ns))  # even if the date is put back
    after = _checked(job, kept)
    assert after == _checked(job, NoCache())
    assert after.counts[Outcome.NOT_SHOWN] > before.counts[Outcome.NOT_SHOWN]


def test_no_pack_is_made_from_the_cache(job: Path, kept: Watched) -> None:
    _checked(job, kept)
    for entry in _entries(kept):
        entry.write_bytes(pickle.dumps("poisoned"))
    assert _checked(job) == _checked(job, NoCache())  # as `pack` opens a job


def _entries(kept: Watched) -> Iterator[Path]:
    yield from kept.within._folder.iterdir()
