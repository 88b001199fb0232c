"""Readings of one job that are another's digit for digit: asked about, never a finding.

Kept of each job is how many figures there are and a hash over them, so that the index holds
nobody's readings.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

Data = Mapping[str, Any]

FEWEST = 6
"""Fewer figures may well be the same by chance (our choice, common practice)."""
SETTINGS = frozenset({"test_voltage_v"})
"""What was set on the instrument and not read from it."""
OF = ("strings", "circuits")
ASK = "Does each set of readings belong to its job?"
INNOCENT = (
    "One job may stand in two folders, or a record was begun as a copy of a like one and its "
    "readings are still to be put in."
)


@dataclass(frozen=True, slots=True)
class Same:
    """Jobs whose readings on strings, or on circuits, are the very same."""

    of: str
    readings: int
    folders: tuple[str, ...]

    def __str__(self) -> str:
        first = ", ".join(self.folders[:-1])
        return (
            f"The {self.readings} readings on {self.of} of {first} and {self.folders[-1]} are the "
            f"very same, digit for digit. {ASK} It may be innocent: {INNOCENT}"
        )

    def data(self) -> dict[str, Any]:
        """The question as plain data."""
        return {
            "id": "readings-of-another-job",
            "of": self.of,
            "readings": self.readings,
            "folders": list(self.folders),
            "ask": ASK,
            "innocent": INNOCENT,
        }


def reading_hashes(view: Data) -> dict[str, list[Any]]:
    """For strings and for circuits, how many figures were read on them and a hash over all.

    Only plain numbers count: what lies beyond a meter's range is the same on every sound job.
    """
    found: dict[str, list[Any]] = {}
    for of in OF:
        subjects = {id(entry) for entry in view.get(of, ())}
        figures = sorted(
            f"{test['test']}.{name}={value!r}"
            for test in view.get("tests", ())
            if id(test["~subject"]) in subjects
            for name, value in test.items()
            if value.__class__ is float and name not in SETTINGS
        )
        if len(figures) >= FEWEST:
            digest = hashlib.sha256("\n".join(figures).encode()).hexdigest()
            found[of] = [len(figures), digest]
    return found


def same_readings(jobs: Mapping[str, Data]) -> Iterator[Same]:
    """Every set of readings that several jobs have, by their folders.

    Args:
        jobs: What `reading_hashes` gave for each job, by its folder.
    """
    having: dict[tuple[str, int, str], list[str]] = {}
    for folder, hashes in jobs.items():
        for of, (readings, digest) in hashes.items():
            having.setdefault((of, readings, digest), []).append(folder)
    for (of, readings, _), folders in having.items():
        if len(folders) > 1:
            yield Same(of, readings, tuple(folders))
