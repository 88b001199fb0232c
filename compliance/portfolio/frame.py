"""The list that a sample is drawn from: every job once, with its stratum if there are any."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from compliance.errors import ComplianceError, Place, raise_all
from compliance.portfolio.lists import rows
from compliance.portfolio.problems import (
    BlankReferenceError,
    NoReferencesError,
    TwiceInFrameError,
)

REFERENCE = "reference"
WHOLE = "all jobs"
"""The one stratum of a list without strata."""
MOST_PROBLEMS = 50


@dataclass(frozen=True, slots=True)
class Frame:
    """All jobs that can be drawn, by stratum, in the order of the list."""

    strata: Mapping[str, tuple[str, ...]]
    by: str = ""
    sha256: str = field(init=False)
    """SHA-256 of the references in order of their bytes, each with a line end."""

    def __post_init__(self) -> None:
        every = sorted(r.encode() for some in self.strata.values() for r in some)
        digest = hashlib.sha256(b"".join(r + b"\n" for r in every)).hexdigest()
        object.__setattr__(self, "sha256", digest)

    def __len__(self) -> int:
        return sum(map(len, self.strata.values()))


def read_frame(source: Path, by: str = "") -> Frame:
    """The jobs of a folder of job folders, or of a CSV file with a column `reference`.

    Args:
        source: The folder or file.
        by: The column, or the path of a field of the record, that tells strata apart.

    Raises:
        SamplingError: If a job stands twice or has no name; all such rows at once.
    """
    found = _from_folder(source, by) if source.is_dir() else _from_csv(source, by)
    first: dict[str, Place] = {}
    strata: dict[str, list[str]] = {}
    problems: list[ComplianceError] = []
    for reference, stratum, place in found:
        if not reference or (by and not stratum):
            problems.append(BlankReferenceError(by if reference else REFERENCE, place))
        elif reference in first:
            problems.append(TwiceInFrameError(reference, first[reference], place))
        else:
            first[reference] = place
            strata.setdefault(stratum or WHOLE, []).append(reference)
        if len(problems) >= MOST_PROBLEMS:
            break
    raise_all(problems)
    if not strata:
        raise NoReferencesError(Place(str(source)))
    return Frame({name: tuple(some) for name, some in sorted(strata.items())}, by)


def _from_csv(path: Path, by: str) -> Iterator[tuple[str, str, Place]]:
    for row, place in rows(path, REFERENCE, *([by] if by else ())):
        yield row[REFERENCE], row[by] if by else "", place


def _from_folder(folder: Path, by: str) -> Iterator[tuple[str, str, Place]]:
    """Every job; all that cannot be read at once, since a list without them would be another."""
    from compliance.files.yaml import read_yaml

    problems: list[ComplianceError] = []
    for path in sorted(folder.glob("*/installation.yaml")):
        try:
            data: object = read_yaml(path).data
        except ComplianceError as problem:
            problems.append(problem)
            continue
        yield _text(data, REFERENCE), _text(data, by) if by else "", Place(str(path), field=by)
    raise_all(problems)


def _text(data: object, path: str) -> str:
    for step in path.split("."):
        data = data.get(step) if isinstance(data, Mapping) else None
    return " ".join(data.split()) if isinstance(data, str) else ""
