"""Points of no return: by when evidence must exist, and whether that day has passed."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from compliance.values import NotYet

Entry = Mapping[str, Any]

FIELDS = {"start": "started", "use": "in_use", "handover": "handed_over", "cover": "covered"}
SCAFFOLD = "scaffold-down"
POINTS = (*FIELDS, SCAFFOLD, "leaving")
PRINTED = {
    "start": "work starts",
    "cover": "it is covered over",
    "scaffold-down": "the scaffold comes down",
    "leaving": "leaving the site",
    "use": "switching on",
    "handover": "handover",
}


def lies_ahead(before: str, subject: Entry | None, job: Entry, today: date) -> bool:
    """Whether the point is still ahead; a date left out counts as passed.

    For the whole job, `start` and `use` are the earliest of its parts, `handover` the
    latest; nothing that was taken away comes into use. The scaffold comes down with the last
    of those that serve the subject's part; where there is none, or nobody says so, it counts
    as down.
    """
    if before == "leaving":
        return _is_after(subject.get("on") if subject else None, today)
    if before == SCAFFOLD:
        standing = [_is_after(s.get("struck"), today) for s in _scaffolds(subject)]
        return bool(standing) and all(standing)
    name = FIELDS[before]
    if subject is not None:
        return _is_after(_own_moment(name, subject), today)
    settles, ahead = before == "handover", False
    for part in job.get("parts", ()):
        if before == "use" and part.get("kind") == "removed":
            continue
        ahead = _is_after(part.get(name), today)
        if ahead is settles:
            break
    return ahead


def day_of(by: str, subject: Entry | None, job: Entry) -> date | None:
    """The date of the subject's part that picks an edition; None if it is not known.

    For what belongs to no part, and for the whole job, it is the earliest of all parts'.
    """
    if subject is not None and "part" in subject:
        return _known(subject["part"].get(by))
    first = None
    for part in job.get("parts", ()):
        day = part.get(by)
        if day.__class__ is not date:
            day = _known(day)
        if day is not None and (first is None or day < first):
            first = day
    return first


def passed_on(before: str, subject: Entry | None, job: Entry) -> date | None:
    """The day on which the point was passed, if it is known.

    For the whole job, the earliest day that is known of `start` and `use` (the true one is
    no later), and the latest of `handover` where every part's is known. So too of the
    scaffolds of one part.
    """
    if before == "leaving":
        return _known(subject.get("on") if subject else None)
    if before == SCAFFOLD:
        return _last([_known(scaffold.get("struck")) for scaffold in _scaffolds(subject)])
    if subject is not None:
        own = _known(subject.get(FIELDS[before]))
        return own or _known(subject.get("part", {}).get(FIELDS[before]))
    days = [_known(part.get(FIELDS[before])) for part in _parts(before, job)]
    if before == "handover":
        return _last(days)
    return min((d for d in days if d is not None), default=None)


def ahead_and_day(
    before: str, subject: Entry | None, job: Entry, today: date
) -> tuple[bool, date | None]:
    """What `lies_ahead` and `passed_on` say, together."""
    if subject is not None and before in FIELDS:
        day = _own_moment(FIELDS[before], subject)
        if day.__class__ is date:  # as for most subjects: the two say the same of one day
            return day > today, day
    return lies_ahead(before, subject, job, today), passed_on(before, subject, job)


def can_still_be_shown(before: str, subject: Entry | None, job: Entry, today: date) -> bool:
    """Whether a photo taken on the day of the check would still show it: until that day ends."""
    is_ahead = lies_ahead(before, subject, job, today)
    return is_ahead or passed_on(before, subject, job) == today


def _own_moment(name: str, subject: Entry) -> Any:
    """A moment as the subject says it, else as its part does."""
    moment = subject.get(name)
    if moment is None and "part" in subject:
        moment = subject["part"].get(name)
    return moment


def _scaffolds(subject: Entry | None) -> list[Entry]:
    """The scaffolds from which a subject is reached: its part's, or the subject itself."""
    if subject is None:
        return []
    part = subject.get("part")
    return [subject] if part is None else list(part.get("scaffolds", ()))


def _parts(before: str, job: Entry) -> list[Entry]:
    """The parts of a job that pass a point."""
    parts = job.get("parts", ())
    return [p for p in parts if before != "use" or p.get("kind") != "removed"]


def _last(days: list[date | None]) -> date | None:
    """The latest day, if every one is known."""
    known = [d for d in days if d is not None]
    return max(known, default=None) if len(known) == len(days) else None


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
    if moment.__class__ is NotYet:
        return True
    return isinstance(moment, date) and whole_day(moment) > today
