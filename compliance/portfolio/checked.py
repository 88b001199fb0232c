"""Every job of a folder, checked; what did not change since the last time is taken as kept."""

from __future__ import annotations

import hashlib
import json
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from compliance.errors import ComplianceError
from compliance.files.cache import Cache, program_sha256
from compliance.files.hashes import sha256_of
from compliance.portfolio.folder import content, job_folders, stamps
from compliance.portfolio.index import Index, Kept
from compliance.portfolio.summary import line_data, more_data
from compliance.record.opened import FIRM_FILE
from compliance.rules.job import open_job


@dataclass(frozen=True, slots=True)
class Result:
    """One job folder: what its check gave, or why it could not be checked."""

    folder: str
    kept: Kept | None = None
    problem: ComplianceError | None = None
    fault: Exception | None = None
    """A fault of ours, which stops this job alone."""
    is_new: bool = True
    """Whether it was checked now, and not taken from the index."""


@dataclass(frozen=True, slots=True)
class Office:
    """A folder of jobs, and all that their results depend on besides their own files."""

    folder: Path
    rulesets: Path
    today: date
    on: date | None
    firm: Path | None
    cache: Cache
    index: Index | None

    def context(self) -> str:
        """A hash over rulesets, firm file and program: with another one all is checked anew."""
        seen = hashlib.sha256(program_sha256().encode())
        for path in sorted(self.rulesets.rglob("*.yaml")):
            seen.update(f"{path.relative_to(self.rulesets)}\0{sha256_of(path)}\n".encode())
        lender = (self.firm or self.folder.absolute()) / FIRM_FILE
        seen.update(sha256_of(lender).encode() if lender.is_file() else b"none")
        return seen.hexdigest()

    def day(self, closed: str) -> str:
        """The day on which a job is checked: the one asked for, else its own, else today."""
        return self.on.isoformat() if self.on else closed or self.today.isoformat()


def results(
    office: Office, jobs: list[Path] | None = None, moved: Callable[[], None] = lambda: None
) -> Iterator[Result]:
    """Every job of the folder in the order of their names, one after the other.

    Args:
        office: The folder, and what it is checked with.
        jobs: Its job folders, if they are known already.
        moved: Called after each job.
    """
    jobs = job_folders(office.folder) if jobs is None else jobs
    context = office.context()
    try:
        for job in jobs:
            yield _result(office, job, context)
            moved()
    finally:
        if office.index is not None:
            office.index.write()
    if office.index is not None:  # the whole folder was gone through
        office.index.forget_all_but(job.name for job in jobs)


def _result(office: Office, job: Path, context: str) -> Result:
    try:
        now = time.time_ns()
        seen = stamps(job)
        kept = office.index.get(job.name) if office.index else None
        if kept and (kept.context, kept.day) == (context, office.day(kept.line_data()["closed"])):
            if kept.stamps == seen.sha256:
                return Result(job.name, kept, is_new=False)
        else:
            kept = None
        inside = content(job, seen.files)
        stamp = seen.sha256 if seen.is_settled(now) else ""
        if kept and kept.content == inside:
            if office.index and stamp:
                office.index.put(_row(kept, stamp))
            return Result(job.name, kept, is_new=False)
        made = _checked(office, job, context, stamp, inside)
        # A file that was written while it was checked must not stand under what it held before.
        if office.index and content(job, stamps(job).files) == inside:
            office.index.put(made)
        return Result(job.name, made)
    except ComplianceError as problem:
        return Result(job.name, problem=problem)
    except Exception as fault:
        return Result(job.name, fault=fault)


def _row(kept: Kept, stamp: str) -> Kept:
    return Kept(kept.job, stamp, kept.content, kept.context, kept.day, kept.line, kept.more)


def _checked(office: Office, job: Path, context: str, stamp: str, inside: str) -> Kept:
    opened = open_job(
        job, office.rulesets, today=office.today, on=office.on, cache=office.cache,
        firm=office.firm,
    )  # fmt: skip
    line = line_data(opened)
    day = office.day(line["closed"])
    return Kept(job.name, stamp, inside, context, day, _json(line), _json(more_data(opened)))


def _json(data: dict[str, Any]) -> str:
    return json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
