"""What lies in a pack's folder, whatever its lists say. Follows no link."""

from __future__ import annotations

import os
import stat
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from compliance.pack.problems import Problem, problem


@dataclass(frozen=True, slots=True)
class Contents:
    """The ordinary files by their path in the pack, with their sizes, and all that is not one."""

    files_bytes: Mapping[str, int]
    problems: tuple[Problem, ...]


def contents(folder: Path) -> Contents:
    """Everything below `folder`."""
    files: dict[str, int] = {}
    problems: list[Problem] = []
    waiting = [""]
    while waiting:
        below = waiting.pop()
        try:
            with os.scandir(folder / below) as entries:
                found = sorted(entries, key=lambda entry: entry.name)
            if below and not found:
                problems.append(problem("pack.empty-folder", below))
            for entry in found:
                path = f"{below}/{entry.name}" if below else entry.name
                state = entry.stat(follow_symlinks=False)
                if stat.S_ISDIR(state.st_mode):
                    waiting.append(path)
                elif stat.S_ISREG(state.st_mode):
                    files[path] = state.st_size
                else:
                    is_link = stat.S_ISLNK(state.st_mode)
                    problems.append(problem("pack.link" if is_link else "pack.not-a-file", path))
        except OSError as error:
            reason = error.strerror or "unknown reason"
            problems.append(problem("pack.cannot-be-read", below or folder.name, reason))
    return Contents(files, tuple(problems))
