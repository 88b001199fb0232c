"""To which part of the job an entry belongs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from compliance.record.entry import Entry


def fitting_parts(entry: type[Entry], kinds: Mapping[str, Any]) -> tuple[str, ...]:
    """The parts that an entry belongs to if it does not say: those of the likeliest kind."""
    for kind in entry.part_kinds:
        fitting = tuple(name for name, found in kinds.items() if found == kind)
        if fitting:
            return fitting
    return ()
