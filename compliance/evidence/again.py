"""Evidence files seen before and not touched since are not opened a second time."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

from compliance.evidence.images import look
from compliance.evidence.seen import Seen
from compliance.evidence.twice import told_of_twins
from compliance.files.cache import Cache
from compliance.files.paths import PathError, open_regular

Touched = tuple[int, int, int]
"""Size, time of the last change of content and of any change, both in nanoseconds."""


def look_again(folder: Path, files: Mapping[str, str], cache: Cache) -> dict[str, Seen]:
    """What each evidence file of a job is; see `look`.

    Args:
        folder: The job folder.
        files: The files' paths inside it, by short name in the record.
        cache: Where earlier looks are kept.
    """
    made_from = str(folder.resolve())
    kept: dict[str, tuple[Touched, Seen]] = cache.get("evidence", made_from) or {}
    found: dict[str, tuple[Touched, Seen]] = {}
    seen: dict[str, Seen] = {}
    for name, file in files.items():
        touched = _touched(folder, file)
        before, known = kept.get(file, (None, None))
        seen[name] = known if known and before == touched else look(folder, file)
        if touched:
            found[file] = (touched, seen[name])
    if found != kept:
        cache.put(found, "evidence", made_from)
    return told_of_twins(seen)


def _touched(folder: Path, file: str) -> Touched | None:
    """None where there is no ordinary file inside the folder; `look` says why."""
    try:
        with open_regular(folder, file) as opened:
            status = os.fstat(opened.fileno())
    except (PathError, OSError):
        return None
    return status.st_size, status.st_mtime_ns, status.st_ctime_ns
