"""By when each notice about a part must have gone out, by law and by practice, in words.

A notice that has not gone out is open. One that went out after its last day is late for good:
it is no longer open, and is told apart, so that nothing that was late ever looks in time.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from compliance.portfolio.calendars import NATIONS, days_after, working_days_after
from compliance.portfolio.notices import (
    HANDOVER,
    NETWORK_AGREEMENT,
    NOTICES,
    Notice,
    concerns,
)
from compliance.rules.language.interval import INF, about_at_most, between
from compliance.rules.limits import LimitTables
from compliance.rules.outcome import Source

OFFICE = "office"
WORKING = "_working_days"
BEFORE_WORK = "due before work starts"
NO_DAY = "no day known"


@dataclass(frozen=True, slots=True)
class Deadline:
    """One reading of a deadline: the last day in time, and how it was counted."""

    reading: str
    """`law` or `practice`."""
    day: date
    counted: str
    source: Source

    def is_late(self, today: date) -> bool:
        """Whether the last day has passed."""
        return today > self.day


@dataclass(frozen=True, slots=True)
class Open:
    """A notice about one part that had not gone out by a day."""

    notice: Notice
    part: str
    deadlines: tuple[Deadline, ...]
    lacks: str = ""
    """The part's date that would start the clock, where the record does not say it."""
    note: str = ""
    """Why it is asked for, or what could not be told."""

    @property
    def first(self) -> date | None:
        """The earlier of its deadlines."""
        return min((deadline.day for deadline in self.deadlines), default=None)

    def standing(self, today: date) -> str:
        """How it stands on a day, in words."""
        if self.deadlines:
            return in_words(self.deadlines, today)
        return NO_DAY if self.lacks else BEFORE_WORK


@dataclass(frozen=True, slots=True)
class SentLate:
    """A notice about one part that went out after a last day."""

    notice: Notice
    part: str
    sent: date
    missed: tuple[Deadline, ...]
    """The readings that it was too late for, the earlier one first."""

    def in_words(self) -> str:
        """By how much it was late: `sent 2026-11-20: 8 days late by practice`."""
        said = [
            f"{days_in_words((self.sent - deadline.day).days)} late by {deadline.reading}"
            for deadline in self.missed
        ]
        return f"{self.notice.done} {self.sent}: {', '.join(said)}"


def open_notices(job: Mapping[str, Any], tables: LimitTables, today: date) -> Iterator[Open]:
    """The notices of a job that are due or will be, and had not gone out by a day.

    Args:
        job: What `summary.notice_facts` keeps of the record.
        tables: The limit tables of the jurisdiction.
        today: The day; a date in the record after it lies ahead.
    """
    for notice, part in _duties(job):
        if _sent(notice, part, today) is not None or not _is_asked_for(notice, part, today):
            continue
        if notice.above_kw and not _is_above(notice.above_kw, part, job, tables, today):
            continue
        found = _readings(notice, part, job["jurisdiction"], tables)
        deadlines = tuple(sorted(found, key=lambda deadline: deadline.day))
        lacks = "" if deadlines else _lacking(notice, part)
        yield Open(notice, part["name"], deadlines, lacks, _note(notice, part, job, tables, today))


def sent_late(job: Mapping[str, Any], tables: LimitTables, today: date) -> Iterator[SentLate]:
    """The notices of a job that went out by a day, and later than they should have.

    Args:
        job: What `summary.notice_facts` keeps of the record.
        tables: The limit tables of the jurisdiction.
        today: The day; what went out after it is open on it.
    """
    for notice, part in _duties(job):
        sent = _sent(notice, part, today)
        if sent is None:
            continue
        if notice.above_kw and not _is_above(notice.above_kw, part, job, tables, today):
            continue
        found = _readings(notice, part, job["jurisdiction"], tables)
        missed = sorted((d for d in found if d.is_late(sent)), key=lambda d: d.day)
        if missed:
            yield SentLate(notice, part["name"], sent, tuple(missed))


def _duties(job: Mapping[str, Any]) -> Iterator[tuple[Notice, Mapping[str, Any]]]:
    for notice in NOTICES:
        for part in job["parts"]:
            if concerns(notice, part, job):
                yield notice, part


def _sent(notice: Notice, part: Mapping[str, Any], today: date) -> date | None:
    """The day on which a notice first went out, if that was by a day."""
    if notice.name == HANDOVER:
        written = [part["handed_over"]]
    else:
        written = [on for told, on in part["notifications"] if told == notice.name]
    days = [day for day in map(_day, written) if day is not None and day <= today]
    return min(days, default=None)


def _is_asked_for(notice: Notice, part: Mapping[str, Any], today: date) -> bool:
    """Whether a notice can be asked for: once the part is in use, or before work of any day."""
    if notice.is_before_work:
        return True
    used = _day(part["in_use"])
    return part["in_use"] != "not yet" and (used is None or used <= today)


def _is_above(
    table: str, part: Mapping[str, Any], job: Mapping[str, Any], tables: LimitTables, today: date
) -> bool | None:
    """Whether the job's capacity per phase is above a limit; None where the record can't tell."""
    limit = tables.value(table, (), _route_day(part, today))
    if limit is None or job["per_phase_kw"] is None:
        return None
    low, high = job["per_phase_kw"]
    within = about_at_most(between(low, INF if high is None else high), limit)
    return None if within is None else not within


def _route_day(part: Mapping[str, Any], today: date) -> date:
    """The day by which the route to the network operator is chosen."""
    return _day(part["started"]) or _day(part["in_use"]) or today


def _note(
    notice: Notice, part: Mapping[str, Any], job: Mapping[str, Any], tables: LimitTables,
    today: date,
) -> str:  # fmt: skip
    table = notice.above_kw or notice.unless_above_kw
    limit = tables.value(table, (), _route_day(part, today)) if table else None
    if limit is None:
        return ""
    if notice.above_kw:
        low, high = job["per_phase_kw"]
        least = "" if low == high else "at least "
        return f"{least}{low:.4g} kW per phase, above {limit.low:g} kW"
    agreed = any(told == NETWORK_AGREEMENT for told, _ in part["notifications"])
    if agreed or _is_above(table, part, job, tables, today) is not None:
        return ""
    return f"capacity per phase not shown; above {limit.low:g} kW it has to agree before work"


def _lacking(notice: Notice, part: Mapping[str, Any]) -> str:
    is_silent = not part["in_use"] and not part[notice.practice_from]
    return notice.practice_from if is_silent else ""


def _readings(
    notice: Notice, part: Mapping[str, Any], jurisdiction: str, tables: LimitTables
) -> Iterator[Deadline]:
    law = notice.law if jurisdiction in notice.law_nations else ""
    for reading, table, event in (
        ("law", law, "in_use"),
        ("practice", notice.practice, notice.practice_from),
    ):
        since = _day(part[event])
        if not table or since is None:
            continue
        limit, source = tables.value(table, (), since), tables.source(table, since)
        if limit is None or source is None:
            continue
        days = round(limit.low)
        if table.endswith(WORKING):
            day = working_days_after(since, days, jurisdiction)
            counted = f"{days} working days from {since}, bank holidays of {NATIONS[jurisdiction]}"
        else:
            day = days_after(since, days)
            counted = (
                f"{days_in_words(days)} from {since}" if days else f"by the day itself, {since}"
            )
        yield Deadline(reading, day, counted, source)


def _day(written: str) -> date | None:
    return date.fromisoformat(written[:10]) if written[:1].isdigit() else None


def in_words(deadlines: tuple[Deadline, ...], today: date) -> str:
    """How a notice stands on a day: `late by practice; due in 6 days by law`."""
    said = []
    for deadline in deadlines:
        if deadline.is_late(today):
            said.append(f"late by {deadline.reading}")
        else:
            which = f" by {deadline.reading}" if len(deadlines) > 1 else ""
            said.append(f"{due(deadline.day, today)}{which}")
    return "; ".join(said) or NO_DAY


def due(day: date, today: date) -> str:
    """How far off a day is that has not passed."""
    left = (day - today).days
    return "due today" if left == 0 else f"due in {days_in_words(left)}"


def days_in_words(count: int) -> str:
    """So many days: `1 day`, `6 days`."""
    return "1 day" if count == 1 else f"{count} days"
