"""When evidence counts: the file is whole, a named person says what it shows, its date fits."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

from compliance.evidence import Seen
from compliance.rules.points import passed_on, whole_day

TOO_LATE = "after the last day on which it could show this"
"""How the reason ends why a photo of what was out of sight by then does not count."""
Entry = Mapping[str, Any]
Needs = tuple[tuple[str, str], ...]


def lacking(
    kind: str, about: Entry, before: str, job: Entry, seen: Mapping[str, Seen], today: date
) -> Needs:
    """What is lacking for evidence of a kind to count for an entry; nothing if it is shown.

    Args:
        kind: The kind of evidence, such as `photo`.
        about: The entry that it must be about, or the job.
        before: The point of no return by which a photo must have been taken.
        job: The view of the record.
        seen: What was found on opening each file, by its short name in the record.
        today: The day of the check.
    """
    path = f"evidence: {kind}"
    reasons: list[str] = []
    for item in _about(kind, about["~name"], job):
        fault = fault_of(item, about, before, job, seen.get(item["~name"]), today)
        if not fault:
            return ()
        reasons.append(f"{item['~name']} ({item['file']}) does not count: {fault}")
    return tuple((path, reason) for reason in reasons) or ((path, "missing"),)


def counts_when(kind: str, before: str) -> str:
    """What evidence of a kind must be to count before a point of no return, in words."""
    text = (
        "a file that opens and is whole, about the subject, with a named person's statement of "
        "what it shows, and dated no later than the day of the check"
    )
    if kind == "test sheet":
        text += "; a meter's own file that the tests are read from counts too"
    if kind == "photo" and before != "start":
        text += "; not dated before the work on its part started"
    if kind == "photo" and before in ("cover", "scaffold-down", "leaving"):
        text += ", nor after the last day on which it could show this"
    return text


def fault_of(
    item: Entry, about: Entry, before: str, job: Entry, seen: Seen | None, today: date
) -> str:
    """Why an evidence item does not count for an entry; nothing if it does."""
    return next(_faults(item, about, before, job, seen, today), "")


def _about(kind: str, name: str, job: Entry) -> Iterator[Entry]:
    for item in job.get("evidence", ()):
        if name in item["about"] and (item["kind"] == kind or _stands_for(kind, item)):
            yield item


def _stands_for(kind: str, item: Entry) -> bool:
    """A meter's own file is as good as a sheet of its readings where they are read from it."""
    return kind == "test sheet" and item.get("tests") == "read from it"


def _faults(
    item: Entry, about: Entry, before: str, job: Entry, seen: Seen | None, today: date
) -> Iterator[str]:
    if seen is None:
        yield "the file was not opened"
        return
    if not seen.is_whole:
        yield seen.fault.rstrip(".")
    if "shows" not in item or "by" not in item:
        yield 'no named person states what it shows; add "shows:" and "by:"'
    yield from _faults_of_date(item, about, before, job, seen, today)


def _faults_of_date(
    item: Entry, about: Entry, before: str, job: Entry, seen: Seen, today: date
) -> Iterator[str]:
    stated = item.get("on")
    made = stated if isinstance(stated, date) else seen.taken
    if made is None:
        yield 'neither the file nor the record says when it was made; add "on:"'
        return
    day = whole_day(made)
    if day > today:
        yield f"it is dated {day.isoformat()}, after the day of this check"
    if item["kind"] != "photo":
        return
    started = about.get("part", {}).get("started")
    if before != "start" and isinstance(started, date) and day < whole_day(started):
        yield f"it is dated {day.isoformat()}, before the work on this part started"
    point = passed_on(before, None if about is job else about, job)
    if point is not None and day > point:
        yield f"it is dated {day.isoformat()}, {TOO_LATE}"
