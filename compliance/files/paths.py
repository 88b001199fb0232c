"""Files named by a person or a record: opened only where they may be, and never waited for."""

from __future__ import annotations

import errno
import os
import re
import stat
from io import BufferedReader
from pathlib import Path

from compliance.errors import ComplianceError, Place
from compliance.files.written import shown

_NO_FOLLOW = getattr(os, "O_NOFOLLOW", 0)
_HOW = ("O_NONBLOCK", "O_NOCTTY", "O_CLOEXEC", "O_BINARY")  # not every system has each
_NO_WAIT = sum(getattr(os, name, 0) for name in _HOW)
_CAN_STEP = os.open in os.supports_dir_fd and _NO_FOLLOW != 0


class PathError(ComplianceError):
    """A file that was named cannot be opened."""


class OutsideTheJobError(PathError):
    """A path that a record names leads out of the folder it must stay in."""

    id = "path.outside-the-job"

    def __init__(self, relative: str, reason: str, place: Place | None = None) -> None:
        super().__init__(
            f'"{shown(relative)}" {reason}. Put the file inside the folder and name it from '
            "there, such as evidence/photo.jpg",
            place,
        )


class NotThereError(PathError):
    """No file has that name."""

    id = "path.not-there"

    def __init__(self, path: str, place: Place | None = None) -> None:
        super().__init__(
            f'"{shown(path, 200)}" is not there. Check the name, capitals included, and the folder',
            place,
        )


class NotAFileError(PathError):
    """The name belongs to a folder, a device or a pipe."""

    id = "path.not-a-file"

    def __init__(self, path: str, what: str, place: Place | None = None) -> None:
        super().__init__(f'"{shown(path, 200)}" is {what}; an ordinary file is needed here', place)


class CannotBeReadError(PathError):
    """The file is there, but the system does not let us read it."""

    id = "path.cannot-be-read"

    def __init__(self, path: str, place: Place | None = None) -> None:
        super().__init__(
            f'"{shown(path, 200)}" is there but may not be read. '
            "Ask its owner for the right to read it, or copy it",
            place,
        )


def inside(folder: Path, relative: str, *, place: Place | None = None) -> Path:
    """The path of `relative` in `folder`, which it must not leave; it need not exist.

    `place` is where the path was written, for the message.
    """
    _parts(relative, place)
    path = folder / relative
    try:
        leads_out = not path.resolve().is_relative_to(folder.resolve())
    except RuntimeError:  # links in a circle
        raise NotAFileError(relative, "a link that leads to itself", place) from None
    except (OSError, ValueError) as error:
        raise _named(error, relative, place) from None
    if leads_out:
        raise OutsideTheJobError(relative, "is a link that leads out of the folder", place)
    return path


def open_regular(folder: Path, relative: str, *, place: Place | None = None) -> BufferedReader:
    """Open the ordinary file `relative` in `folder` for reading, following no link below it.

    A pipe or device is refused instead of waited for. Where the system can't step folder
    by folder (Windows), the path is resolved first and then opened.
    """
    path = inside(folder, relative, place=place)
    if not _CAN_STEP:
        return open_file(path, name=relative, place=place)
    try:
        return _regular(_step_to(folder, _parts(relative, place)), relative, place)
    except OSError as error:
        raise _named(error, relative, place) from None


def open_file(path: Path, *, name: str | None = None, place: Place | None = None) -> BufferedReader:
    """Open an ordinary file that a person named themselves; links are followed."""
    name = str(path) if name is None else name
    try:
        return _regular(os.open(path, os.O_RDONLY | _NO_WAIT), name, place)
    except (OSError, ValueError) as error:
        raise _named(error, name, place) from None


def _parts(relative: str, place: Place | None) -> list[str]:
    """The names in a relative path, refused if any could lead elsewhere on any system."""
    reason = ""
    if not relative.strip() or "\0" in relative:
        reason = "is not a file name"
    elif relative.startswith(("/", "\\")) or re.match(r"[A-Za-z]:", relative):
        reason = "starts at the top of a disk, not in the folder"
    elif "\\" in relative:
        reason = "has a backslash; folders are separated by / here"
    elif ".." in relative.split("/"):
        reason = "steps out of a folder with .."
    if reason:
        raise OutsideTheJobError(relative, reason, place)
    return [part for part in relative.split("/") if part not in ("", ".")]


def _step_to(folder: Path, parts: list[str]) -> int:
    """A descriptor of the file, each part opened from the one before without following links."""
    here = os.open(folder, os.O_RDONLY | _NO_WAIT)
    for part in parts:
        try:
            there = os.open(part, os.O_RDONLY | _NO_FOLLOW | _NO_WAIT, dir_fd=here)
        finally:
            os.close(here)
        here = there
    return here


def _regular(descriptor: int, name: str, place: Place | None) -> BufferedReader:
    kind = os.fstat(descriptor).st_mode
    if not stat.S_ISREG(kind):
        os.close(descriptor)
        raise NotAFileError(name, "a folder" if stat.S_ISDIR(kind) else "a pipe or device", place)
    return os.fdopen(descriptor, "rb")


def _named(error: OSError | ValueError, name: str, place: Place | None) -> PathError:
    """Our own words for what the system answered."""
    number = getattr(error, "errno", None)
    if number == errno.ELOOP:
        return NotAFileError(name, "a link", place)
    if number in (errno.EACCES, errno.EPERM):
        return CannotBeReadError(name, place)
    if number in (errno.EISDIR, errno.ENXIO, errno.ENODEV):
        return NotAFileError(name, "a folder or device", place)
    return NotThereError(name, place)
