"""A save against a disk that fails or stops at its N-th operation, for every N.

The disk is a model in memory: what was not brought down to it is lost in a crash, a name as
well as a content. After every failure and every crash the old record or the new one is there.
"""

from __future__ import annotations

import errno
import threading
from datetime import datetime
from pathlib import Path

import pytest

from compliance.errors import Place
from compliance.files.disk import Disk
from compliance.files.hashes import sha256_bytes
from compliance.files.write import (
    BusyError,
    ChangedMeanwhileError,
    NotSavedError,
    locked,
    save,
)

OLD, NEW, OTHER = b"old: 1\n", b"new: 2\n", b"other: 3\n"
WHEN = datetime(2026, 11, 25, 18, 0)


class StoppedError(BaseException):
    """The process was killed, or the power went."""


class Model(Disk):
    """A disk in memory that remembers what a crash would leave of it."""

    def __init__(
        self, folder: Path, fails_at: int = 0, failure: BaseException | None = None
    ) -> None:
        self.now: dict[Path, bytes] = {folder / "installation.yaml": OLD}
        self.folders = {folder}
        self.sure_names = dict(self.now)
        self.sure_content = {OLD}
        self.sure_folders = {folder}
        self.fails_at, self.failure = fails_at, failure
        self.steps = 0

    def _step(self) -> None:
        self.steps += 1
        stopped = isinstance(self.failure, StoppedError) and self.steps > self.fails_at > 0
        if self.failure and (self.steps == self.fails_at or stopped):
            raise self.failure

    def read(self, path: Path) -> bytes:
        return self.now[path]

    def names(self, folder: Path) -> list[str]:
        inside = {p.name for p in (*self.now, *self.folders) if p.parent == folder}
        return sorted(inside)

    def make_folder(self, folder: Path) -> None:
        self._step()
        self.folders.add(folder)

    def create(self, path: Path, data: bytes) -> None:
        assert path not in self.now
        assert path.parent in self.folders
        self.now[path] = data[: len(data) // 2]  # a full disk leaves half of it
        self._step()
        self.now[path] = data

    def same_rights(self, path: Path, like: Path) -> None:
        self._step()

    def sync(self, path: Path) -> None:
        self._step()
        self.sure_content.add(self.now[path])

    def replace(self, old: Path, new: Path) -> None:
        self._step()
        self.now[new] = self.now.pop(old)

    def settle(self, folder: Path) -> None:
        self._step()
        for path in {*self.sure_names, *self.now}:
            if path.parent == folder:
                self.sure_names.pop(path, None)
                if path in self.now:
                    self.sure_names[path] = self.now[path]
        self.sure_folders |= {f for f in self.folders if f.parent == folder}

    def remove(self, path: Path) -> None:
        self._step()
        self.now.pop(path, None)

    def after_a_crash(self, *, loses_names: bool) -> dict[Path, bytes]:
        """What is found afterwards; a content that was not brought down comes back empty."""
        names = self.sure_names if loses_names else self.now
        return {p: data if data in self.sure_content else b"" for p, data in names.items()}


def _save(disk: Disk, path: Path, was: bytes = OLD) -> str:
    return save(path, NEW, was=sha256_bytes(was), when=WHEN, device="Office PC", disk=disk).history


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "installation.yaml"


@pytest.fixture
def steps(path: Path) -> int:
    disk = Model(path.parent)
    _save(disk, path)
    assert disk.steps >= 10
    return disk.steps


def test_a_save_leaves_the_new_bytes_and_keeps_the_old_ones(path: Path) -> None:
    disk = Model(path.parent)
    kept = _save(disk, path)
    for found in (disk.now, disk.after_a_crash(loses_names=True)):
        assert found[path] == NEW
        assert found[path.parent / kept] == OLD
    assert all(not p.name.endswith(".tmp") for p in disk.now)


@pytest.mark.parametrize("loses_names", [False, True])
def test_a_stop_at_any_step_leaves_the_old_or_the_new_record(
    path: Path, steps: int, loses_names: bool
) -> None:
    for step in range(1, steps + 1):
        disk = Model(path.parent, step, StoppedError())
        with pytest.raises(StoppedError):
            _save(disk, path)
        found = disk.after_a_crash(loses_names=loses_names)
        assert found[path] in (OLD, NEW), f"stopped at step {step}"
        if found[path] == NEW:
            assert OLD in found.values(), f"step {step} lost the bytes before"


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EIO, errno.EROFS])
def test_a_disk_that_refuses_at_any_step_is_told_and_nothing_is_lost(
    path: Path, steps: int, number: int
) -> None:
    for step in range(1, steps + 1):
        disk = Model(path.parent, step, OSError(number, "the disk refused"))
        with pytest.raises(NotSavedError) as told:
            _save(disk, path)
        assert "the disk refused" in str(told.value)
        for loses_names in (False, True):
            assert disk.after_a_crash(loses_names=loses_names)[path] in (OLD, NEW)
        assert not [p for p in disk.now if p.name.endswith(".tmp")], f"step {step}"


def test_what_is_called_saved_is_on_the_disk(path: Path, steps: int) -> None:
    disk = Model(path.parent, steps + 1, StoppedError())
    _save(disk, path)
    assert disk.after_a_crash(loses_names=True)[path] == NEW


def test_after_a_crash_the_next_save_moves_half_files_aside(path: Path, steps: int) -> None:
    for step in range(1, steps + 1):
        disk = Model(path.parent, step, StoppedError())
        with pytest.raises(StoppedError):
            _save(disk, path)
        disk.failure = None
        left = [p for p in disk.now if p.name.endswith(".tmp")]
        done = save(path, OTHER, was=sha256_bytes(disk.now[path]), when=WHEN, device="", disk=disk)
        assert len(done.recovered) == len(left)
        assert disk.now[path] == OTHER
        assert not [p for p in disk.now if p.name.startswith(".") and p.name.endswith(".tmp")]


def test_somebody_elses_save_is_never_written_over(path: Path) -> None:
    path.write_bytes(OTHER)
    with pytest.raises(ChangedMeanwhileError) as told:
        _save(Disk(), path)
    assert path.read_bytes() == OTHER
    (copy,) = path.parent.glob("installation.conflict-20261125T180000-office-pc-*.yaml")
    assert copy.read_bytes() == NEW
    assert copy.name in str(told.value)


def test_history_grows_and_the_same_bytes_are_kept_once(path: Path) -> None:
    path.write_bytes(OLD)
    path.chmod(0o640)
    first = _save(Disk(), path)
    save(path, OLD, was=sha256_bytes(NEW), when=WHEN, device="x")
    names = sorted(p.name for p in (path.parent / "history").iterdir())
    assert [n[:5] for n in names] == ["00001", "00002"]
    assert (path.parent / first).read_bytes() == OLD
    assert path.stat().st_mode & 0o777 == 0o640


def test_two_savers_at_once_lose_no_acknowledged_edit(path: Path) -> None:
    path.write_bytes(b"0")
    done: list[int] = []

    def edit(number: int) -> None:
        while True:
            before = path.read_bytes()
            try:
                save(
                    path, before + b" %d" % number, was=sha256_bytes(before), when=WHEN, device="x"
                )
            except ChangedMeanwhileError:
                continue
            done.append(number)
            return

    threads = [threading.Thread(target=edit, args=(n,)) for n in range(1, 7)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(path.read_bytes().split()[1:]) == sorted(b"%d" % n for n in done)
    assert len(done) == 6


def test_a_held_lock_is_waited_for_and_then_named(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path.write_bytes(OLD)
    monkeypatch.setattr("compliance.files.write._PATIENCE_S", 0.1)
    with locked(path.parent, Place("held")), pytest.raises(BusyError):
        _save(Disk(), path)
    assert path.read_bytes() == OLD
