"""What the notice of danger receives: each danger found, what makes it safe, who was told.

A danger that has ended since stands on it too, with the visit that ended it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from compliance.documents.commissioning import firm, named, said
from compliance.documents.data import day
from compliance.documents.leaving import last_visit, visits_made
from compliance.rules.job import Job
from compliance.rules.outcome import NO_PERMISSION, Fact, Finding
from compliance.rules.points import whole_day

Entry = Mapping[str, Any]

SAFE = ("locked off", "not connected")
"""The states of the work in which a visit can leave it so that nobody makes it live by chance."""


@dataclass(frozen=True, slots=True)
class DangerView:
    """One danger: what, where, what was found, what to do, and how it ended if it did."""

    what: str
    where: str
    part: str
    facts: tuple[Fact, ...]
    now: str
    ended: str


def found_dangers(job: Job) -> list[Finding]:
    """Every danger that the check found, those that have ended since last."""
    return sorted((f for f in job.checked.findings if f.was_danger), key=lambda f: bool(f.ended))


def danger_values(job: Job) -> dict[str, Any]:
    """The values of `notice-of-danger.md.j2`."""
    view, checked = job.view, job.checked
    return {
        "reference": checked.reference,
        "title": checked.title,
        "address": said(view["site"], "address", ""),
        "firm": firm(view),
        "on": day(checked.on),
        "no_permission": NO_PERMISSION,
        "dangers": [_view(finding) for finding in found_dangers(job)],
        "made_safe": list(_made_safe(last_visit(job), view.get("parts", ()))),
        "told": list(_told(visits_made(job))),
    }


def _view(finding: Finding) -> DangerView:
    requirement = finding.requirement
    return DangerView(
        requirement.title,
        finding.subject,
        finding.part,
        finding.facts,
        requirement.danger,
        finding.ended,
    )


def _made_safe(visit: Entry, parts: Sequence[Entry]) -> Iterator[str]:
    """What the record says was done so that nobody comes to harm."""
    left = visit.get("left", {})
    if left.get("work") in SAFE:
        on = day(whole_day(visit["on"]))
        locked = ", ".join(switch["~name"] for switch in left.get("locked_off", ()))
        switches = f": {locked}, key with {named(left.get('key_with'))}" if locked else ""
        yield f"The visit of {on} left the work {left['work']}{switches}."
    for part in parts:
        safe = part.get("made_safe")
        if isinstance(safe, date):
            yield f"{part['~name']} was made safe on {day(whole_day(safe))}."


def _told(visits: Sequence[Entry]) -> Iterator[str]:
    """What was told at the end of each visit, and by whom."""
    for visit in visits:
        left = visit["left"]
        if "told" in left:
            by = named(left.get("told_by"))
            yield f"{day(whole_day(visit['on']))}: {left['told']} (told by: {by})"
