"""By when each notice about a part must have gone out, by law and by practice, in words.

How many days stands in `rulesets/gb/limits/deadlines.yaml`, each with its source; here
stands only which part's date starts which clock, and what shows that the notice went out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from compliance.portfolio.calendars import NATIONS, days_after, working_days_after
from compliance.rules.limits import LimitTables
from compliance.rules.outcome import Source

OFFICE = "office"
HANDOVER = "handover"
WORKING = "_working_days"
_ENGLAND_AND_WALES = ("GB-ENG", "GB-WLS")
_ANY_PART = ("array", "inverter", "battery", "charger", "circuit")


@dataclass(frozen=True, slots=True)
class Notice:
    """One duty to tell somebody after a part went into use.

    `name` is what the record's notifications call it; a handover is shown by the part's own
    date. `law` and `practice` name the limit tables of the two readings, where there is one.
    """

    name: str
    title: str
    parts: tuple[str, ...]
    law: str = ""
    practice: str = ""
    nations: tuple[str, ...] = tuple(NATIONS)
    law_nations: tuple[str, ...] = tuple(NATIONS)
    dwellings_only: bool = False
    array_for_inverter: bool = False
    """Whether an array stands for its inverter where no part of the job is one."""
    holds_up: str = HANDOVER


NOTICES = (
    Notice("network notice", "notice to the network operator", ("inverter", "battery"),
           law="network_notice_by_law_days", practice="network_notice_days",
           array_for_inverter=True),
    Notice("network notice", "notice to the network operator", ("charger",),
           practice="charger_notice_days"),
    Notice("scheme certificate", "certificate in the scheme's register", ("array", "battery"),
           practice="scheme_certificate_working_days"),
    Notice("building regulations notice", "Building Regulations notice to the local authority",
           _ANY_PART, law="building_notice_working_days", practice="building_notice_days",
           nations=_ENGLAND_AND_WALES, dwellings_only=True),
    Notice("building regulations certificate", "Building Regulations certificate to the occupier",
           _ANY_PART, law="building_notice_working_days", practice="building_notice_days",
           nations=_ENGLAND_AND_WALES, dwellings_only=True),
    Notice(HANDOVER, "handover of the documents to the customer", _ANY_PART,
           law="owner_information_working_days", practice="handover_working_days",
           law_nations=_ENGLAND_AND_WALES, holds_up="payment"),
)  # fmt: skip


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
    since: date | None
    """The day that started the clock; None where the record does not say it."""
    deadlines: tuple[Deadline, ...]

    @property
    def first(self) -> date | None:
        """The earlier of its deadlines."""
        return min((deadline.day for deadline in self.deadlines), default=None)


def open_notices(job: Mapping[str, Any], tables: LimitTables, today: date) -> Iterator[Open]:
    """The notices of a job that are due or will be, and had not gone out by a day.

    Args:
        job: What `summary.notice_facts` keeps of the record.
        tables: The limit tables of the jurisdiction.
        today: The day; a date in the record after it lies ahead.
    """
    for notice in NOTICES:
        if job["jurisdiction"] not in notice.nations or (
            notice.dwellings_only and job["building"] not in ("dwelling", "")
        ):
            continue
        for part in job["parts"]:
            if _concerns(notice, part["kind"], job["parts"]) and not _is_out(notice, part, today):
                yield from _opened(notice, part, job["jurisdiction"], tables, today)


def _concerns(notice: Notice, kind: str, parts: list[dict[str, Any]]) -> bool:
    if kind == "array" and notice.array_for_inverter:
        return not any(part["kind"] == "inverter" for part in parts)
    return kind in notice.parts


def _is_out(notice: Notice, part: Mapping[str, Any], today: date) -> bool:
    if notice.name == HANDOVER:
        sent = [part["handed_over"]]
    else:
        sent = [on for told, on in part["notifications"] if told == notice.name]
    return any(day is not None and day <= today for day in map(_day, sent))


def _opened(
    notice: Notice, part: Mapping[str, Any], jurisdiction: str, tables: LimitTables, today: date
) -> Iterator[Open]:
    since = _day(part["in_use"])
    if part["in_use"] == "not yet" or (since is not None and since > today):
        return
    found = _readings(notice, since, jurisdiction, tables) if since else ()
    yield Open(notice, part["name"], since, tuple(sorted(found, key=lambda d: d.day)))


def _readings(
    notice: Notice, since: date, jurisdiction: str, tables: LimitTables
) -> Iterator[Deadline]:
    law = notice.law if jurisdiction in notice.law_nations else ""
    for reading, table in (("law", law), ("practice", notice.practice)):
        limit = tables.value(table, (), since) if table else None
        source = tables.source(table, since) if table else None
        if limit is None or source is None:
            continue
        days = round(limit.low)
        if table.endswith(WORKING):
            day = working_days_after(since, days, jurisdiction)
            counted = f"{days} working days in {NATIONS[jurisdiction]} from {since}"
        else:
            day = days_after(since, days)
            counted = f"{days} days from {since}"
        yield Deadline(reading, day, counted, source)


def _day(written: str) -> date | None:
    return date.fromisoformat(written[:10]) if written[:1].isdigit() else None


def in_words(deadlines: tuple[Deadline, ...], today: date) -> str:
    """How a notice stands on a day: `late by practice; due in 6 days by law`."""
    if not deadlines:
        return "no day known"
    said = []
    for deadline in deadlines:
        if deadline.is_late(today):
            said.append(f"late by {deadline.reading}")
        else:
            which = f" by {deadline.reading}" if len(deadlines) > 1 else ""
            said.append(f"{due(deadline.day, today)}{which}")
    return "; ".join(said)


def due(day: date, today: date) -> str:
    """How far off a day is that has not passed."""
    left = (day - today).days
    return "due today" if left == 0 else f"due in {left} day{'s' if left > 1 else ''}"
