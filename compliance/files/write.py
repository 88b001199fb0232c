"""Saving one file so that the old one or the new one is on the disk, never a mix of both.

The order is what makes it safe: lock, compare with what the editor had read, copy the old
bytes into `history/`, write a new file beside it, bring it down to the disk, move it over
the old name, bring the name down. Only then is anything called saved.
"""

from __future__ import annotations

import os
import secrets
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from compliance.errors import ComplianceError, Place
from compliance.files.disk import Disk
from compliance.files.hashes import sha256_bytes

LOCK = ".being-saved"
HISTORY, RECOVERED = "history", "recovered"
_PATIENCE_S = 3.0


class SavingError(ComplianceError):
    """A file could not be saved; what was there before is still there."""


class NotSavedError(SavingError):
    """The disk refused."""

    id = "saving.disk"

    def __init__(self, reason: str, place: Place) -> None:
        super().__init__(
            f"could not be saved: {reason}. What was there before is unchanged. Make room on "
            "the disk or choose another, and save again",
            place,
        )


class ChangedMeanwhileError(SavingError):
    """Somebody else saved the file after it was read."""

    id = "saving.changed-meanwhile"

    def __init__(self, conflict: str, place: Place) -> None:
        super().__init__(
            "was changed by somebody else after it was read, and was not written over. Your "
            f"version is kept beside it as {conflict}: compare the two, take over what is "
            "missing, and delete the copy",
            place,
        )


class BusyError(SavingError):
    """Another program holds the lock."""

    id = "saving.busy"

    def __init__(self, place: Place) -> None:
        super().__init__(
            "is being saved by another program at this moment. Nothing was changed; try again",
            place,
        )


@dataclass(frozen=True, slots=True)
class Saved:
    """What a save did: the hash of what is there now, and where the bytes before it are kept."""

    sha256: str
    history: str
    recovered: tuple[str, ...] = ()
    """Half-written files of an earlier crash that were moved aside, never read as records."""


def save(
    path: Path, data: bytes, *, was: str, when: datetime, device: str, disk: Disk | None = None
) -> Saved:
    """Saves a file that is already there.

    Args:
        path: The file.
        data: Its new bytes.
        was: SHA-256 of the bytes that the editor had read.
        when: The time, for the name of a conflict copy.
        device: The name of this computer, for the same.
        disk: The disk to write on.

    Raises:
        ChangedMeanwhileError: If the file no longer has the bytes that were read.
        BusyError: If another program holds the lock.
        NotSavedError: If the disk refuses; the file is as it was.
    """
    disk = disk or Disk()
    place = Place(str(path))
    try:
        with locked(path.parent, place):
            recovered = _recover(path, disk)
            before = disk.read(path)
            if sha256_bytes(before) != was:
                conflict = _conflict(path, when, device)
                put_file(conflict, data, disk)
                raise ChangedMeanwhileError(conflict.name, place)
            kept = _keep(path, before, disk)
            put_file(path, data, disk)
            return Saved(sha256_bytes(data), kept, recovered)
    except OSError as error:
        raise NotSavedError(error.strerror or str(error), place) from None


@contextmanager
def locked(folder: Path, place: Place) -> Iterator[None]:
    """Holds a folder's lock, which goes with the process; the file itself means nothing."""
    descriptor = os.open(folder / LOCK, os.O_RDWR | os.O_CREAT, 0o600)
    try:
        until = time.monotonic() + _PATIENCE_S
        while not _took(descriptor):
            if time.monotonic() > until:
                raise BusyError(place)
            time.sleep(0.05)
        yield
    finally:
        os.close(descriptor)


def _took(descriptor: int) -> bool:
    try:
        if os.name == "nt":
            import msvcrt

            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined]
        else:
            import fcntl

            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def put_file(path: Path, data: bytes, disk: Disk) -> None:
    """Puts bytes under a name: all of them or what was there before."""
    made = path.with_name(f".{path.name}.{secrets.token_hex(6)}.tmp")
    try:
        disk.create(made, data)
        disk.same_rights(made, path)
        disk.sync(made)
        disk.replace(made, path)
    except OSError:
        disk.remove(made)
        raise
    disk.settle(path.parent)


def _keep(path: Path, before: bytes, disk: Disk) -> str:
    """Copies the bytes before into the history, once each; nothing is ever deleted there."""
    folder = path.parent / HISTORY
    if HISTORY not in disk.names(path.parent):
        disk.make_folder(folder)
        disk.settle(path.parent)
    names = [name for name in disk.names(folder) if not name.startswith(".")]
    ending = f"-{sha256_bytes(before)}{path.suffix}"
    if names and names[-1].endswith(ending):
        return f"{HISTORY}/{names[-1]}"
    name = f"{len(names) + 1:05}{ending}"
    put_file(folder / name, before, disk)
    return f"{HISTORY}/{name}"


def _recover(path: Path, disk: Disk) -> tuple[str, ...]:
    """Moves half-written files of a crash aside, under the lock, so none is in use."""
    moved: list[str] = []
    for folder in (path.parent, path.parent / HISTORY):
        for name in disk.names(folder):
            if not (name.startswith(".") and name.endswith(".tmp")):
                continue
            if RECOVERED not in disk.names(path.parent):
                disk.make_folder(path.parent / RECOVERED)
            disk.replace(folder / name, path.parent / RECOVERED / name.lstrip("."))
            moved.append(f"{RECOVERED}/{name.lstrip('.')}")
    if moved:
        disk.settle(path.parent / RECOVERED)
        disk.settle(path.parent)
    return tuple(moved)


def _conflict(path: Path, when: datetime, device: str) -> Path:
    plain = "".join(c if c.isalnum() else "-" for c in device.lower())[:30] or "here"
    stamp = when.strftime("%Y%m%dT%H%M%S")
    mark = secrets.token_hex(2)
    return path.with_name(f"{path.stem}.conflict-{stamp}-{plain}-{mark}{path.suffix}")
