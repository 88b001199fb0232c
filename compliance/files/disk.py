"""Every change made to the disk, one at a time, each on the disk before the next.

Behind a seam, so that a test can make the disk fail at each step.
"""

from __future__ import annotations

import hashlib
import os
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO

_BLOCK_BYTES = 1 << 20
_CREATE = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)


class Disk:
    """The disk as it is."""

    def read(self, path: Path) -> bytes:
        """The bytes of a file."""
        return path.read_bytes()

    def names(self, folder: Path) -> list[str]:
        """What is in a folder, in order of name; nothing if there is no such folder."""
        return sorted(p.name for p in folder.iterdir()) if folder.is_dir() else []

    def create(self, path: Path, data: bytes) -> None:
        """Write a file that must not be there yet; only `sync` brings it down to the disk."""
        with os.fdopen(os.open(path, _CREATE, 0o600), "wb") as file:
            file.write(data)

    def same_rights(self, path: Path, like: Path) -> None:
        """Let the same people read and write a file as another, if that one is there."""
        if like.exists():
            shutil.copymode(like, path)

    def sync(self, path: Path) -> None:
        """Bring a file's content down to the disk."""
        descriptor = os.open(path, os.O_RDWR | getattr(os, "O_BINARY", 0))
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)

    def replace(self, old: Path, new: Path) -> None:
        """Move over whatever has the new name, at once or not at all."""
        os.replace(old, new)

    def make_folder(self, folder: Path) -> None:
        """Make one folder that must not be there yet."""
        folder.mkdir()

    def write(self, path: Path, data: bytes) -> None:
        """Write a file that must not be there yet, down to the disk."""
        self._write(path, lambda file: file.write(data))

    def copy(self, source: BinaryIO, path: Path) -> tuple[str, int]:
        """Write what can be read from `source` as `write` does; its SHA-256 and its size."""
        digest = hashlib.sha256()
        size = 0

        def pour(file: BinaryIO) -> None:
            nonlocal size
            while block := source.read(_BLOCK_BYTES):
                digest.update(block)
                size += file.write(block)

        self._write(path, pour)
        return digest.hexdigest(), size

    def settle(self, folder: Path) -> None:
        """Bring the names in a folder down to the disk, where the system can do that."""
        if os.name == "nt":
            return
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)

    def rename(self, old: Path, new: Path) -> None:
        """Move within one disk, at once or not at all."""
        old.rename(new)

    def remove(self, path: Path) -> None:
        """Take away a file or a whole folder; what is not there is no trouble."""
        if path.is_dir() and not path.is_symlink():
            shutil.rmtree(path)
        else:
            path.unlink(missing_ok=True)

    def _write(self, path: Path, fill: Callable[[BinaryIO], object]) -> None:
        with os.fdopen(os.open(path, _CREATE, 0o644), "wb") as file:
            fill(file)
            file.flush()
            os.fsync(file.fileno())
