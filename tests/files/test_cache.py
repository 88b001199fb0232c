"""The cache: it never answers what was not put there for the very same sources."""

from __future__ import annotations

import os
import pickle
from pathlib import Path

import pytest

from compliance.files import cache as module
from compliance.files.cache import FolderCache, NoCache, Remembering


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "kept" / "here"


def test_it_gives_back_what_was_put_under_the_same_name(folder: Path) -> None:
    FolderCache(folder).put({"a": 1.5}, "record", "abc", "file")
    assert FolderCache(folder).get("record", "abc", "file") == {"a": 1.5}
    for other in (("record", "abd", "file"), ("record", "abcfile"), ("rulesets", "abc", "file")):
        assert FolderCache(folder).get(*other) is None


def test_its_folder_is_for_the_user_alone(folder: Path) -> None:
    FolderCache(folder).put(1, "record", "abc")
    assert os.stat(folder).st_mode & 0o777 == 0o700


@pytest.mark.parametrize("mode", [0o777, 0o770, 0o702])
def test_a_folder_that_others_can_write_is_not_used(folder: Path, mode: int) -> None:
    FolderCache(folder).put(1, "record", "abc")
    folder.chmod(mode)
    assert FolderCache(folder).get("record", "abc") is None
    FolderCache(folder).put(2, "record", "other")
    assert len(list(folder.iterdir())) == 1


def test_an_entry_that_others_can_write_is_not_used(folder: Path) -> None:
    FolderCache(folder).put(1, "record", "abc")
    next(folder.iterdir()).chmod(0o666)
    assert FolderCache(folder).get("record", "abc") is None


def test_a_folder_of_somebody_else_is_not_used(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    FolderCache(folder).put(1, "record", "abc")
    monkeypatch.setattr(os, "getuid", lambda: os.stat(folder).st_uid + 1)
    assert FolderCache(folder).get("record", "abc") is None


def test_a_link_in_place_of_the_folder_is_not_used(folder: Path, tmp_path: Path) -> None:
    FolderCache(folder).put(1, "record", "abc")
    link = tmp_path / "link"
    link.symlink_to(folder)
    assert FolderCache(link).get("record", "abc") is None


@pytest.mark.parametrize("data", [b"", b"\x80", b"not a pickle", pickle.dumps(7)[:-2]])
def test_a_damaged_entry_counts_as_not_there(folder: Path, data: bytes) -> None:
    FolderCache(folder).put(1, "record", "abc")
    next(folder.iterdir()).write_bytes(data)
    assert FolderCache(folder).get("record", "abc") is None


def test_what_cannot_be_kept_is_not_kept(folder: Path) -> None:
    FolderCache(folder).put(lambda: 1, "record", "abc")
    deep: list[object] = []
    for _ in range(100_000):
        deep = [deep]
    FolderCache(folder).put(deep, "record", "deep")
    assert list(folder.iterdir()) == []


def test_a_place_where_no_folder_can_be_made_stops_nothing(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", "utf-8")
    kept = FolderCache(tmp_path / "file" / "below")
    kept.put(1, "record", "abc")
    assert kept.get("record", "abc") is None


def test_another_version_of_the_program_finds_nothing(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    FolderCache(folder).put(1, "record", "abc")
    monkeypatch.setattr(module, "_program", lambda: "another")
    assert FolderCache(folder).get("record", "abc") is None


def test_it_does_not_grow_without_end(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "MOST_ENTRIES", 10)
    for number in range(40):
        FolderCache(folder).put(number, "record", str(number))
    assert len(list(folder.iterdir())) <= 10
    assert FolderCache(folder).get("record", "39") == 39


def test_without_a_cache_nothing_is_kept() -> None:
    NoCache().put(1, "record", "abc")
    assert NoCache().get("record", "abc") is None


def test_what_is_remembered_is_asked_for_once(tmp_path: Path) -> None:
    behind = FolderCache(tmp_path / "kept")
    behind.put("old", "rules", "a")
    cache = Remembering(behind, "rules")
    assert cache.get("rules", "a") == "old"
    behind.put("new", "rules", "a")
    assert cache.get("rules", "a") == "old"
    assert cache.get("rules", "b") is None
    assert cache.get("record", "a") is None
    behind.put("new", "record", "a")
    assert cache.get("record", "a") == "new"


def test_without_a_cache_behind_it_still_remembers_for_its_command() -> None:
    cache = Remembering(NoCache(), "rules")
    cache.put("made", "rules", "a")
    cache.put("made", "record", "a")
    assert cache.get("rules", "a") == "made"
    assert cache.get("record", "a") is None
