"""What the leave-safe sheets receive: how the last visit left the site, and what is open.

One sheet is for the next crew, one for the people who live there meanwhile.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from compliance.documents.commissioning import NOT_SAID, firm, named, said
from compliance.documents.data import day
from compliance.documents.gaps import alike
from compliance.documents.live import dangers, listed, live_afterwards
from compliance.documents.shutdown import emergency_number
from compliance.documents.tables import shaped
from compliance.documents.tree import Table
from compliance.rules.job import Job
from compliance.rules.outcome import NO_PERMISSION, Finding, HoldsUp
from compliance.rules.points import whole_day

Entry = Mapping[str, Any]

_PLACE_UNSAID = "place not recorded"
_FOR_CREWS = ("What can be live", "Ends of the DC cables", "Plug connectors", "Told by")


def leaving_values(job: Job) -> dict[str, Any]:
    """The values of `leave-safe-sheet.md.j2`, for the next crew."""
    view, checked = job.view, job.checked
    visit = last_visit(job)
    return {
        "reference": checked.reference,
        "title": checked.title,
        "address": said(view["site"], "address", ""),
        "firm": firm(view),
        "on": day(checked.on),
        "no_permission": NO_PERMISSION,
        "visit_on": day(whole_day(visit["on"])) if visit else "",
        "who": _names(visit.get("who", ())),
        "done": said(visit, "done"),
        "dangers": list(dangers(checked.gaps)),
        "live": list(live_afterwards(view, checked.workings)),
        "open_before_leaving": list(_open(checked.gaps, HoldsUp.LEAVING)),
        "open_before_use": list(_open(checked.gaps, HoldsUp.USE)),
    }


def leaving_tables(job: Job) -> dict[str, Table]:
    """The tables of `leave-safe-sheet.md.j2`."""
    return {"left-state": shaped("left-state", left_state(last_visit(job)))}


def occupier_values(job: Job) -> dict[str, Any]:
    """The values of `leave-safe-sheet-for-occupier.md.j2`."""
    view, checked = job.view, job.checked
    visit = last_visit(job)
    return {
        "address": said(view["site"], "address", ""),
        "firm": firm(view),
        "on": day(checked.on),
        "emergency": emergency_number(view),
        "visit_on": day(whole_day(visit["on"])) if visit else "",
        "dangers": list(dangers(checked.gaps)),
        "live": list(live_afterwards(view, checked.workings)),
        "is_in_use": _is_in_use(visit),
        "locked": _locked_names(visit.get("left", {})),
    }


def occupier_tables(job: Job) -> dict[str, Table]:
    """The tables of `leave-safe-sheet-for-occupier.md.j2`."""
    visit = last_visit(job)
    rows = [row for row in left_state(visit) if row[0] not in _FOR_CREWS]
    if _is_in_use(visit):  # nothing is locked off, nobody comes back: no lines about it
        rows = [row for row in rows if row[1] != NOT_SAID]
    return {"left-state": shaped("left-state", rows)}


def _is_in_use(visit: Entry) -> bool:
    return bool(visit.get("left", {}).get("work") == "in use")


def visits_made(job: Job) -> list[Entry]:
    """The visits up to the day of the check, in the order of the record."""
    return [v for v in job.view.get("visits", ()) if whole_day(v["on"]) <= job.checked.on]


def last_visit(job: Job) -> Entry:
    """The last visit up to the day of the check; empty if there is none on record."""
    return max(visits_made(job), key=lambda visit: whole_day(visit["on"]), default={})


def left_state(visit: Entry) -> Iterator[Sequence[str]]:
    """How a visit left the site, line by line: the rows of the table `left-state`."""
    left = visit.get("left", {})
    yield "What this job puts in", said(left, "work")
    yield "What can be live", _live(left)
    yield "Ends of the DC cables", said(left, "dc_ends")
    yield "Plug connectors", said(left, "connectors")
    yield "Locked off", _locked(left)
    yield "Key of the lock with", named(left.get("key_with"))
    yield "Roof", said(left, "roof")
    yield "Openings in walls, floors and ceilings", said(left, "openings")
    yield "Ladders and scaffold", said(left, "ladders")
    yield "What the occupier was told", said(left, "told")
    yield "Told by", named(left.get("told_by"))
    yield "Next visit", day(visit["next_on"]) if "next_on" in visit else NOT_SAID
    yield "Who comes then", _names(visit.get("next_who", ()))


def _live(left: Entry) -> str:
    """What was recorded as live, each with what makes it so."""
    if "live" not in left:
        return NOT_SAID
    things = (f"{said(t, 'where')} (from: {said(t, 'source')})" for t in left["live"])
    return "; ".join(things) or "nothing, as recorded"


def _locked(left: Entry) -> str:
    if "locked_off" not in left:
        return NOT_SAID
    return "; ".join(f"{i['~name']}, {i.get('place', _PLACE_UNSAID)}" for i in left["locked_off"])


def _locked_names(left: Entry) -> str:
    names = [isolator["~name"] for isolator in left.get("locked_off", ())]
    return listed(names) if names else ""


def _names(people: Iterable[Entry]) -> str:
    return listed(map(named, people)) or NOT_SAID


def _open(gaps: Iterable[Finding], holds_up: HoldsUp) -> Iterator[str]:
    """The gaps that hold something up, one line a requirement and outcome."""
    held = (g for g in gaps if g.holds_something_up and g.requirement.holds_up is holds_up)
    for gap, subjects in alike(held):
        yield f"{gap.title}: {listed(subjects)} ({gap.outcome})"
