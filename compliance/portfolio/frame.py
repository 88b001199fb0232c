"""The list that a sample is drawn from: every job once, with its stratum if there are any.

It is kept in a temporary database on the disk, which the last line of its `with` removes, so
that a list of a million jobs takes no more memory than one of ten.
"""

from __future__ import annotations

import hashlib
import sqlite3
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from compliance.errors import ComplianceError, Place, raise_all
from compliance.portfolio.lists import values
from compliance.portfolio.problems import (
    BlankReferenceError,
    NoReferencesError,
    NoRoomError,
    TwiceInFrameError,
)

REFERENCE = "reference"
WHOLE = "all jobs"
"""The one stratum of a list without strata."""
MOST_PROBLEMS = 50

Listed = tuple[str, str, int]
"""Reference, stratum (empty without strata) and row of one job."""

_KEPT = "CREATE TABLE job (reference TEXT, stratum TEXT, row INTEGER)"
_IN_ORDER = "SELECT reference FROM job ORDER BY reference"
_ALL = "SELECT stratum, reference FROM job"
_TWICE = """
    SELECT reference, first, row FROM job JOIN (
        SELECT reference, MIN(row) AS first FROM job GROUP BY reference HAVING COUNT(*) > 1
    ) USING (reference) WHERE row > first ORDER BY row LIMIT ?
"""


@dataclass(frozen=True, slots=True)
class Frame:
    """All jobs that can be drawn."""

    population: Mapping[str, int]
    """How many jobs each stratum holds, by name."""
    sha256: str
    """SHA-256 of the references in order of their bytes, each with a line end."""
    by: str
    _file: sqlite3.Connection = field(compare=False, repr=False)

    def __len__(self) -> int:
        return sum(self.population.values())

    def jobs(self) -> Iterator[tuple[str, str]]:
        """Stratum and reference of every job, one stratum after the other."""
        in_order = " ORDER BY stratum" if len(self.population) > 1 else ""
        return self._file.execute(_ALL + in_order)


@contextmanager
def read_frame(source: Path, by: str = "") -> Iterator[Frame]:
    """The jobs of a folder of job folders, or of a sheet with a column `reference`.

    Args:
        source: The folder or file.
        by: The column, or the path of a field of the record, that tells strata apart.

    Raises:
        SamplingError: If a job stands twice or has no name; all such rows at once.
    """
    if source.is_dir():
        records = sorted(source.glob("*/installation.yaml"))
        found = _from_records(records, by)
    else:
        records, found = [], _from_sheet(source, by)

    def place(row: int) -> Place:
        return Place(str(records[row]), field=by) if records else Place(str(source), row)

    with frame_of(found, by, place) as frame:
        if not frame.population:
            raise NoReferencesError(Place(str(source)))
        yield frame


@contextmanager
def frame_of(found: Iterable[Listed], by: str, place: Callable[[int], Place]) -> Iterator[Frame]:
    """A list as it is read, each row's place at hand for what is wrong with it.

    Raises:
        SamplingError: If a job stands twice or has no name; all such rows at once.
        NoRoomError: If the temporary folder cannot hold the list.
    """
    with closing(sqlite3.connect("")) as file:  # no name: SQLite's own temporary file
        try:
            yield _kept(file, found, by, place)
        except sqlite3.Error as error:
            raise NoRoomError(str(error)) from None


def _kept(
    file: sqlite3.Connection, found: Iterable[Listed], by: str, place: Callable[[int], Place]
) -> Frame:
    blank: list[tuple[int, ComplianceError]] = []
    population: Counter[str] = Counter()

    def named() -> Iterator[Listed]:
        for reference, stratum, row in found:
            if reference and (stratum or not by):
                population[stratum or WHOLE] += 1
                yield reference, stratum or WHOLE, row
            else:
                column = by if reference else REFERENCE
                blank.append((row, BlankReferenceError(column, place(row))))
                if len(blank) >= MOST_PROBLEMS:
                    return

    file.execute(_KEPT)
    file.executemany("INSERT INTO job VALUES (?, ?, ?)", named())
    sha256, different = _hashed(file)
    twice = _twice(file, place) if different < population.total() else ()
    problems = sorted([*blank, *twice], key=lambda problem: problem[0])
    raise_all([problem for _, problem in problems[:MOST_PROBLEMS]])
    return Frame(dict(sorted(population.items())), sha256, by, file)


def _hashed(file: sqlite3.Connection) -> tuple[str, int]:
    """The hash over all references, and how many different ones there are."""
    digest, last, different = hashlib.sha256(), "", 0
    for (reference,) in file.execute(_IN_ORDER):
        digest.update(f"{reference}\n".encode())
        different += reference != last
        last = reference
    return digest.hexdigest(), different


def _twice(
    file: sqlite3.Connection, place: Callable[[int], Place]
) -> Iterator[tuple[int, ComplianceError]]:
    for reference, first, row in file.execute(_TWICE, (MOST_PROBLEMS,)):
        yield row, TwiceInFrameError(reference, place(first), place(row))


def _from_sheet(path: Path, by: str) -> Iterator[Listed]:
    for (reference, *stratum), line in values(path, REFERENCE, *([by] if by else ())):
        yield reference, stratum[0] if by else "", line


def _from_records(records: list[Path], by: str) -> Iterator[Listed]:
    """Every job; all that cannot be read at once, since a list without them would be another."""
    from compliance.files.yaml import read_yaml

    problems: list[ComplianceError] = []
    for row, path in enumerate(records):
        try:
            data: object = read_yaml(path).data
        except ComplianceError as problem:
            problems.append(problem)
            continue
        yield _text(data, REFERENCE), _text(data, by) if by else "", row
    raise_all(problems)


def _text(data: object, path: str) -> str:
    for step in path.split("."):
        data = data.get(step) if isinstance(data, Mapping) else None
    return " ".join(data.split()) if isinstance(data, str) else ""
