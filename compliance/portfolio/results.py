"""What was found at the jobs of a draw: each once, and only those that were drawn."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from compliance.errors import ComplianceError, Place, raise_all
from compliance.portfolio.draw import Draw, Drawn
from compliance.portfolio.lists import rows
from compliance.portfolio.problems import (
    BlankReferenceError,
    NotADrawError,
    NotDrawnError,
    ReplacedButSeenError,
    ResultTwiceError,
    UnknownResultError,
)

REFERENCE, RESULT, REMARK = "reference", "result", "remark"
SOUND, BAD, NOT_SEEN = "sound", "bad", "not seen"
NO_ROW = "no result was brought back"


@dataclass(frozen=True, slots=True)
class Found:
    """One job of the draw, with what was found."""

    reference: str
    stratum: str
    result: str
    remark: str = ""


def read_draw(path: Path) -> tuple[Draw, str]:
    """A draw from its file, and the field that its strata are told apart by.

    Raises:
        NotADrawError: If the file holds no draw.
    """
    try:
        data: dict[str, Any] = json.loads(path.read_text("utf-8"))
        strata = {str(s["name"]): (int(s["jobs"]), int(s["drawn"])) for s in data["strata"]}
        jobs = tuple(
            Drawn(str(j["reference"]), str(j["stratum"]), int(j["place"]), str(j["instead"]),
                  str(j["stands_in_for"]))
            for j in data["jobs"]
        )  # fmt: skip
        draw = Draw(
            str(data["seed"]), str(data["frame_sha256"]), {n: s[0] for n, s in strata.items()},
            {n: s[1] for n, s in strata.items()}, jobs,
        )  # fmt: skip
        by = str(data["stratified_by"])
    except (ValueError, KeyError, TypeError, OSError) as fault:
        raise NotADrawError.of(fault, Place(str(path))) from None
    if _contradicts_itself(draw):
        raise NotADrawError("its jobs and its strata do not fit together", Place(str(path)))
    return draw, by


def _contradicts_itself(draw: Draw) -> bool:
    names = [job.reference for job in draw.jobs]
    of = {name: sum(j.stratum == name for j in draw.jobs) for name in draw.population}
    return (
        len(set(names)) != len(names)
        or sum(of.values()) != len(names)
        or any(of[name] < size for name, size in draw.sizes.items())
        or any(of[name] > count for name, count in draw.population.items())
    )


def read_results(path: Path, draw: Draw) -> tuple[Found, ...]:
    """What was found at each job of a draw, in its order; every problem of the file at once.

    A job without a row was not seen. One that another stands in for was not seen either, and
    its reason is that of the draw.

    Raises:
        SamplingError: If a row cannot be counted.
    """
    drawn = {job.reference: job for job in draw.jobs}
    brought: dict[str, tuple[Mapping[str, str], Place]] = {}
    problems: list[ComplianceError] = []
    for written, place in rows(path, REFERENCE, RESULT):
        row = {**written, REFERENCE: _plain(written[REFERENCE], drawn)}
        wrong = list(_wrong(row, place, drawn, brought))
        problems += wrong
        if not wrong:
            brought[row[REFERENCE]] = (row, place)
    raise_all(problems)
    return tuple(_found(job, brought.get(job.reference)) for job in draw.jobs)


def _plain(reference: str, drawn: Mapping[str, Drawn]) -> str:
    """A reference without the mark that keeps it text in a sheet of ours; see `sheets.as_text`."""
    unmarked = reference.removeprefix("'")
    return unmarked if reference not in drawn and unmarked in drawn else reference


def _wrong(
    row: Mapping[str, str], place: Place, drawn: Mapping[str, Drawn],
    brought: Mapping[str, tuple[Mapping[str, str], Place]],
) -> Iterator[ComplianceError]:  # fmt: skip
    reference, result = row[REFERENCE], row[RESULT]
    if not reference:
        yield BlankReferenceError(REFERENCE, place)
    elif reference not in drawn:
        yield NotDrawnError(reference, drawn, place)
    elif reference in brought:
        yield ResultTwiceError(reference, brought[reference][1], place)
    elif result not in (SOUND, BAD, NOT_SEEN):
        yield UnknownResultError(result, (SOUND, BAD, NOT_SEEN), place)
    elif result != NOT_SEEN and drawn[reference].instead:
        yield ReplacedButSeenError(reference, drawn[reference].instead, place)


def _found(job: Drawn, brought: tuple[Mapping[str, str], Place] | None) -> Found:
    if job.instead:
        return Found(job.reference, job.stratum, NOT_SEEN, job.instead)
    if brought is None:
        return Found(job.reference, job.stratum, NOT_SEEN, NO_ROW)
    row, _ = brought
    return Found(job.reference, job.stratum, row[RESULT], row.get(REMARK, ""))
