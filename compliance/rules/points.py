"""Points of no return: by when evidence must exist, and whether that day has passed."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from compliance.values import NotYet

Entry = Mapping[str, Any]

FIELDS = {"start": "started", "use": "in_use", "handover": "handed_over", "cover": "covered"}
POINTS = (*FIELDS, "leaving")
PRINTED = {
    "start": "work starts",
    "cover": "it is covered over",
    "leaving": "leaving the site",
    "use": "switching on",
    "handover": "handover",
}


def lies_ahead(before: str, subject: Entry | None, job: Entry, today: date) -> bool:
    """Whether the point is still ahead; a date left out counts as passed.

    For the whole job, `start` and `use` are the earliest of its parts, `handover` the
    latest.
    """
    if before == "leaving":
        return _is_after(subject.get("on") if subject else None, today)
    name = FIELDS[before]
    if subject is not None:
        own = subject.get(name)
        part = subject.get("part", {})
        return _is_after(part.get(name) if own is None else own, today)
    ahead = [_is_after(part.get(name), today) for part in job.get("parts", ())]
    if before == "handover":
        return any(ahead)
    return bool(ahead) and all(ahead)


def day_of(by: str, subject: Entry | None, job: Entry) -> date | None:
    """The date of the subject's part that picks an edition; None if it is not known.

    For what belongs to no part, and for the whole job, it is the earliest of all parts'.
    """
    if subject is not None and "part" in subject:
        return _known(subject["part"].get(by))
    days = [d for d in (part.get(by) for part in job.get("parts", ())) if isinstance(d, date)]
    return min((whole_day(d) for d in days), default=None)


def passed_on(before: str, subject: Entry | None, job: Entry) -> date | None:
    """The day on which the point was passed, if it is known.

    For the whole job, the earliest day that is known of `start` and `use` (the true one is
    no later), and the latest of `handover` where every part's is known.
    """
    if before == "leaving":
        return _known(subject.get("on") if subject else None)
    if subject is not None:
        own = _known(subject.get(FIELDS[before]))
        return own or _known(subject.get("part", {}).get(FIELDS[before]))
    days = [_known(part.get(FIELDS[before])) for part in job.get("parts", ())]
    known = [d for d in days if d is not None]
    if before == "handover":
        return max(known, default=None) if len(known) == len(days) else None
    return min(known, default=None)


def _known(moment: Any) -> date | None:
    return whole_day(moment) if isinstance(moment, date) else None


def whole_day(moment: date) -> date:
    """A moment without its time of day."""
    if moment.__class__ is date:
        return moment
    return date(moment.year, moment.month, moment.day)


def _is_after(moment: Any, today: date) -> bool:
    if moment.__class__ is date:
        return bool(moment > today)
    if isinstance(moment, NotYet):
        return True
    return isinstance(moment, date) and whole_day(moment) > today
