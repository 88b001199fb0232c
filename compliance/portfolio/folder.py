"""A folder of job folders: which there are, and what is in each, by content.

Reading every photo again to see that nothing changed would cost more than the check. So a
file's content is taken for the same while its size and its times are, among them the one
that nobody can put back by hand; what was written a moment ago is always read again.
"""

from __future__ import annotations

import hashlib
import os
import stat
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from compliance.files.hashes import sha256_of
from compliance.files.paths import PathError
from compliance.record.opened import FILE

_TOO_FRESH_NS = 2_000_000_000
"""A file that changed so shortly before may change again without its times showing it."""
_DEEPEST = 12


@dataclass(frozen=True, slots=True)
class Stamps:
    """Every file of a job by name, size and times; `sha256` stands for all of them."""

    sha256: str
    newest_ns: int
    files: tuple[str, ...]

    def is_settled(self, now_ns: int) -> bool:
        """Whether the times are old enough to be relied on."""
        return now_ns - self.newest_ns > _TOO_FRESH_NS


def job_folders(folder: Path) -> list[Path]:
    """The job folders in a folder, by name."""
    return sorted(path.parent for path in folder.glob(f"*/{FILE}"))


def other_folders(folder: Path) -> list[str]:
    """The folders in it that hold no record, and so are no jobs; hidden ones left out."""
    return sorted(
        path.name
        for path in folder.iterdir()
        if path.is_dir() and not path.name.startswith(".") and not (path / FILE).exists()
    )


def stamps(job: Path) -> Stamps:
    """What the files of a job look like from outside.

    Raises:
        OSError: If the folder cannot be read.
    """
    seen, newest, names = hashlib.sha256(), 0, list[str]()
    for name, status in sorted(_walk(str(job), "", 0)):
        names.append(name)
        newest = max(newest, status.st_mtime_ns, status.st_ctime_ns)
        line = f"{name}\0{status.st_size}\0{status.st_mtime_ns}\0{status.st_ctime_ns}\n"
        seen.update(line.encode("utf-8", "surrogateescape"))
    return Stamps(seen.hexdigest(), newest, tuple(names))


def content(job: Path, files: tuple[str, ...]) -> str:
    """SHA-256 over name and content of every file of a job; what cannot be read stands as such."""
    digest = hashlib.sha256()
    for name in files:
        try:
            of = sha256_of(job / name)
        except (OSError, PathError):
            of = "not readable"
        digest.update(f"{name}\0{of}\n".encode("utf-8", "surrogateescape"))
    return digest.hexdigest()


def _walk(folder: str, below: str, depth: int) -> Iterator[tuple[str, os.stat_result]]:
    """Every file below a folder, through links too; so deep that a link in a circle ends."""
    with os.scandir(folder) as entries:
        for entry in entries:
            name = f"{below}{entry.name}"
            if entry.is_dir():
                if depth < _DEEPEST:
                    yield from _walk(entry.path, f"{name}/", depth + 1)
                continue
            try:
                status = entry.stat()
            except OSError:
                status = entry.stat(follow_symlinks=False)
            if stat.S_ISREG(status.st_mode) or stat.S_ISLNK(status.st_mode):
                yield name, status
