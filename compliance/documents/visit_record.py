"""What the record of one visit receives: who, what was done, that day's readings and photos.

Nothing is decided here. Where two visits were made on one day, the readings and photos of
that day stand in both: the record dates them, it does not say to which visit they belong.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Any

from compliance.documents.commissioning import (
    NOT_SAID,
    equipment,
    firm,
    named,
    readings,
    said,
    when,
)
from compliance.documents.data import day
from compliance.documents.leaving import left_state
from compliance.documents.live import listed
from compliance.documents.tables import shaped
from compliance.documents.tree import Table
from compliance.evidence import Seen
from compliance.rules.job import Job
from compliance.rules.outcome import NO_PERMISSION, Finding
from compliance.rules.points import whole_day

Entry = Mapping[str, Any]


def visit_record_values(job: Job, visit: Entry) -> dict[str, Any]:
    """The values of `visit-record.md.j2`."""
    checked, state = job.checked, list(left_state(visit))
    return {
        "reference": checked.reference,
        "title": checked.title,
        "address": said(job.view["site"], "address", ""),
        "firm": firm(job.view),
        "on": day(checked.on),
        "no_permission": NO_PERMISSION,
        "visit": visit["~name"],
        "visit_on": day(whole_day(visit["on"])),
        "who": listed(map(named, visit.get("who", ()))),
        "done": said(visit, "done", ""),
        "left": [f"{what}: {how}" for what, how in state if how != NOT_SAID],
        "left_unsaid": listed(what for what, how in state if how == NOT_SAID),
        "left_open": list(_left_open(checked.findings, visit)),
    }


def visit_record_tables(job: Job, visit: Entry) -> dict[str, Table]:
    """The tables of `visit-record.md.j2`."""
    view, on = job.view, whole_day(visit["on"])
    return {
        "visit-readings": shaped("visit-readings", _readings(view, on)),
        "visit-photos": shaped("visit-photos", _evidence(job, on, visit["~name"])),
    }


def _readings(view: Entry, on: date) -> Iterator[tuple[str, ...]]:
    """One row for each thing, instrument and person; things that read alike share theirs.

    What would be right of each reading is in the commissioning and test report.
    """
    tested = (*view.get("strings", ()), *view.get("circuits", ()), *equipment(view))
    rows: dict[tuple[str, str], dict[str, list[str]]] = {}
    for subject, what, read, _, by in readings(tested, {}, on):
        test, _, field = what.partition(", ")
        by = re.sub(rf", {on.isoformat()}( \d\d:\d\d)?", "", by)
        rows.setdefault((subject, by), {}).setdefault(test, []).append(f"{field} {read}".strip())
    alike: dict[tuple[str, str], list[str]] = {}
    for (subject, by), tests in rows.items():
        read = "; ".join(f"{test}: {', '.join(r)}" for test, r in tests.items())
        alike.setdefault((read, by), []).append(subject)
    for (read, by), subjects in alike.items():
        yield listed(subjects), read, by


def _left_open(findings: Sequence[Finding], visit: Entry) -> Iterator[str]:
    """What is not as it should be in how this visit left the site."""
    for finding in findings:
        if finding.subject == visit["~name"] and finding.is_gap:
            ended = f". {finding.ended}" if finding.ended else ""
            yield f"{finding.requirement.title} ({finding.outcome}){ended}"


def _evidence(job: Job, on: date, name: str) -> Iterator[tuple[str, ...]]:
    """What was made that day, and what is about the visit."""
    for item in job.view.get("evidence", ()):
        seen = job.seen[item["~name"]]
        if _made(item, seen) == on or name in item["about"]:
            shows = said(item, "shows", "nobody states what it shows")
            yield (
                f"{item['~name']} ({item['kind']})",
                ", ".join(item["about"]),
                shows if seen.is_whole else f"does not count: {seen.fault}",
                f"{named(item.get('by'))}, {when(item, seen)}",
            )


def _made(item: Entry, seen: Seen) -> date | None:
    made = item.get("on", seen.taken)
    return whole_day(made) if isinstance(made, date) else None
