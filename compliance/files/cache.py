"""What was worked out before, kept in the user's own cache folder so that it is not done twice.

An entry is named by what it was made from: the content of its sources, this program's own
files and the version of Python. The folder holds pickled objects and code, so it is used
only if it and all in it belong to the user and nobody else can write there. Whatever is
wrong with it, the answer is "not there"; a cache never stops or changes a command.
"""

from __future__ import annotations

import hashlib
import os
import pickle
import stat
import sys
import tempfile
from functools import cache as once
from pathlib import Path
from typing import Any, Protocol

_PACKAGE = Path(__file__).resolve().parents[1]
MOST_ENTRIES = 4_000
"""Beyond so many files the older half is deleted."""


class Cache(Protocol):
    """Somewhere to keep what was worked out."""

    def get(self, kind: str, *made_from: str) -> Any:
        """What was kept under a kind and all that it was made from, or None."""

    def put(self, value: object, kind: str, *made_from: str) -> None:
        """Keeps a value that can be pickled; does nothing if it cannot be kept."""


class NoCache:
    """Keeps nothing: for `--no-cache`, and wherever nothing kept may be trusted."""

    def get(self, kind: str, *made_from: str) -> None:
        """Nothing is there."""

    def put(self, value: object, kind: str, *made_from: str) -> None:
        """Nothing is kept."""


class Remembering:
    """In front of another cache, for one command over many jobs: some kinds stay in memory too.

    What is taken from memory is the very object that was kept, so nobody may change it.
    """

    def __init__(self, behind: Cache, *kinds: str) -> None:
        self._behind = behind
        self._kinds = kinds
        self._kept: dict[tuple[str, ...], Any] = {}

    def get(self, kind: str, *made_from: str) -> Any:
        """What is remembered, else what the cache behind has."""
        key = (kind, *made_from)
        if key in self._kept:
            return self._kept[key]
        found = self._behind.get(kind, *made_from)
        if found is not None and kind in self._kinds:
            self._kept[key] = found
        return found

    def put(self, value: object, kind: str, *made_from: str) -> None:
        """Keeps a value in both."""
        if kind in self._kinds:
            self._kept[kind, *made_from] = value
        self._behind.put(value, kind, *made_from)


class FolderCache:
    """A folder that belongs to the user alone, one file an entry."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._is_ours = False

    def get(self, kind: str, *made_from: str) -> Any:
        """What was kept under a kind and all that it was made from, or None."""
        if not self._usable():
            return None
        try:
            with (self._folder / _name(kind, made_from)).open("rb") as file:
                return pickle.load(file) if _is_private(os.fstat(file.fileno())) else None  # noqa: S301 - only files of the user's own, in a folder nobody else can write
        except Exception:  # a damaged entry can raise anything; it counts as not there
            return None

    def put(self, value: object, kind: str, *made_from: str) -> None:
        """Keeps a value; does nothing if it cannot be kept."""
        if not self._usable():
            return
        try:
            data = pickle.dumps(value, pickle.HIGHEST_PROTOCOL)
            self._write(self._folder / _name(kind, made_from), data)
            self._thin_out()
        except (OSError, pickle.PicklingError, RecursionError, TypeError, AttributeError):
            return

    def _usable(self) -> bool:
        if not self._is_ours:
            try:
                self._folder.mkdir(mode=0o700, parents=True, exist_ok=True)
                self._is_ours = _is_private(os.lstat(self._folder))
            except OSError:
                return False
        return self._is_ours

    def _write(self, path: Path, data: bytes) -> None:
        descriptor, made = tempfile.mkstemp(dir=self._folder, prefix="being-written-")
        try:
            with os.fdopen(descriptor, "wb") as file:
                file.write(data)
            os.replace(made, path)
        except BaseException:
            os.unlink(made)
            raise

    def _thin_out(self) -> None:
        entries = list(os.scandir(self._folder))
        if len(entries) > MOST_ENTRIES:
            entries.sort(key=lambda entry: entry.stat().st_mtime_ns)
            for entry in entries[: len(entries) // 2]:
                os.unlink(entry.path)


def user_cache() -> Cache:
    """The cache in the user's own cache folder, wherever this system keeps those."""
    from platformdirs import user_cache_path

    return FolderCache(user_cache_path("installation-evidence", appauthor=False))


def _is_private(status: os.stat_result) -> bool:
    """Whether it is this user's and nobody else may write it; Windows keeps it in the profile."""
    if not hasattr(os, "getuid"):
        return True
    others_write = status.st_mode & (stat.S_IWGRP | stat.S_IWOTH)
    return status.st_uid == os.getuid() and not others_write and not stat.S_ISLNK(status.st_mode)


def _name(kind: str, made_from: tuple[str, ...]) -> str:
    digest = hashlib.sha256("\0".join((_program(), *made_from)).encode("utf-8", "surrogatepass"))
    return f"{kind}-{digest.hexdigest()[:40]}"


def program_sha256() -> str:
    """What tells this program, as it is installed, from every other version of it."""
    return hashlib.sha256(_program().encode("utf-8", "surrogatepass")).hexdigest()


@once
def _program() -> str:
    """This program as it is installed: Python's version, and size and time of each source file."""
    found = [sys.version]
    for folder, _, files in os.walk(_PACKAGE):
        for name in sorted(files):
            if name.endswith(".py"):
                status = os.stat(os.path.join(folder, name))
                found.append(f"{name} {status.st_size} {status.st_mtime_ns}")
    return "\n".join(found)
