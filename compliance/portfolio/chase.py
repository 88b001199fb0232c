"""What is not shown in a folder of jobs: one item for each thing that somebody can supply.

Two sources: the gaps of each check, and the notices that had not gone out. Both become items
of one kind, with who holds it, what it holds up, by when, and how long ago the work was done.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from sys import intern
from typing import Any

from compliance.portfolio.deadlines import (
    NO_DAY,
    OFFICE,
    Deadline,
    Open,
    SentLate,
    in_words,
    open_notices,
    sent_late,
)
from compliance.portfolio.notices import HANDOVER
from compliance.portfolio.whom import Whom, whom
from compliance.rules.limits import LimitTables
from compliance.rules.outcome import STOPS, HoldsUp

Data = Mapping[str, Any]
_WAITS_FOR = {
    HoldsUp.CERTIFICATE: ("scheme certificate", "building regulations certificate"),
    HoldsUp.HANDOVER: (HANDOVER,),
    HoldsUp.PAYMENT: (HANDOVER,),
}
"""Which notice must wait for a gap, by what the gap holds up."""
_FIRST_OF_ALL = {
    "in_use": "; first of all the day on which it went into use, as `in_use`",
    "started": "; first of all the day on which work started, as `started`",
}


@dataclass(frozen=True, slots=True)
class Item:
    """One thing that one holder can supply for one job."""

    whom: Whom
    reference: str
    folder: str
    title: str
    """The job's title."""
    thing: str
    asked_by: tuple[str, ...]
    """The titles of the requirements that ask for it, or the notice itself."""
    part: str
    holds_up: str
    deadline: date | None
    standing: str
    """How it stands on the day: `late by law`, `due in 6 days`."""
    since_done_days: int | None
    """Days since the part went into use; None where it did not, or nobody says when."""
    notice: Open | None = None

    @property
    def order(self) -> tuple[date, str, str, str]:
        """By deadline, what has none at the end, then by job."""
        return self.deadline or date.max, self.reference, self.folder, self.thing


def items(folder: str, line: Data, more: Data, tables: LimitTables, today: date) -> Iterator[Item]:
    """Everything that is lacking of one job.

    Args:
        folder: The name of its folder.
        line: Its line; see `summary.line_data`.
        more: What else was kept of it; see `summary.more_data`.
        tables: The limit tables of its jurisdiction.
        today: The day for deadlines and ages, which may be later than that of the check.
    """
    job = _Job(folder, line, more, today, tuple(open_notices(more["notices"], tables, today)))
    together: dict[tuple[str, tuple[Deadline, ...], str, str], list[Open]] = {}
    for found in job.notices:
        key = (found.notice.name, found.deadlines, found.lacks, found.note)
        together.setdefault(key, []).append(found)
    for alike in together.values():
        yield job.of_notice(alike[0], [found.part for found in alike])
    things: dict[tuple[Whom, str], list[Item]] = {}
    for gap in more["lacking"]:
        for item in job.of_gap(gap):
            things.setdefault((item.whom, item.thing), []).append(item)
    for same in things.values():
        yield _as_one(same)


@dataclass(frozen=True, slots=True)
class Late:
    """A notice of one job that went out too late: nobody can supply anything, and it is told."""

    reference: str
    folder: str
    thing: str
    part: str
    sent: SentLate

    @property
    def order(self) -> tuple[bool, str, str, date]:
        """What was late by practice too before what was late by law alone, then by job."""
        readings = {deadline.reading for deadline in self.sent.missed}
        return readings == {"law"}, self.reference, self.folder, self.sent.sent


def late_ones(
    folder: str, line: Data, more: Data, tables: LimitTables, today: date
) -> Iterator[Late]:
    """The notices of one job that went out late; the arguments are those of `items`."""
    together: dict[tuple[str, date, tuple[Deadline, ...]], list[SentLate]] = {}
    for found in sent_late(more["notices"], tables, today):
        together.setdefault((found.notice.name, found.sent, found.missed), []).append(found)
    for alike in together.values():
        part = ", ".join(found.part for found in alike)
        thing = f"{alike[0].notice.title}, about {part}"
        yield Late(line["reference"], folder, thing, part, alike[0])


def by_holder(found: Iterable[Item]) -> dict[Whom, list[Item]]:
    """The items of each person, by deadline; whoever has the earliest comes first."""
    held: dict[Whom, list[Item]] = {}
    for item in sorted(found, key=lambda item: item.order):
        held.setdefault(item.whom, []).append(item)
    return held


def alike(some: Iterable[Item]) -> list[list[Item]]:
    """Things of one job that stand alike, together, so that what they share is said once."""
    together: dict[tuple[object, ...], list[Item]] = {}
    for item in some:
        of_notice = item.notice.deadlines if item.notice else ()
        key = (item.reference, item.folder, item.standing, item.holds_up, item.since_done_days)
        together.setdefault((*key, of_notice), []).append(item)
    return list(together.values())


def stands(item: Item) -> str:
    """How an item stands, with the days of a notice, what it holds up, and its age."""
    deadlines = item.notice.deadlines if item.notice else ()
    said = item.standing
    if deadlines:
        days = " and ".join(f"{d.day} by {d.reading}" for d in deadlines)
        said += f" (last day {days if len(deadlines) > 1 else deadlines[0].day})"
    said += f"; holds up {item.holds_up}"
    if item.since_done_days is not None:
        said += (
            f"; done {'1 day' if item.since_done_days == 1 else f'{item.since_done_days} days'} ago"
        )
    return said


@dataclass(frozen=True, slots=True)
class _Job:
    folder: str
    line: Data
    more: Data
    today: date
    notices: tuple[Open, ...]
    whom: dict[str, Whom] = field(default_factory=dict)

    def of_notice(self, found: Open, parts: list[str]) -> Item:
        """The item of a notice that had not gone out, about all parts of the same day."""
        about = ", ".join(parts)
        thing = f"{found.notice.title}, about {about}"
        thing += f" ({found.note})" if found.note else ""
        thing += _FIRST_OF_ALL.get(found.lacks, "")
        return self.item(
            OFFICE, thing, (found.notice.title,), about, found.notice.holds_up, found.first,
            found.standing(self.today), found,
        )  # fmt: skip

    def of_gap(self, gap: Data) -> Iterator[Item]:
        """One item for each thing that a gap lacks."""
        deadline, standing = self.waiting(gap)
        other = f" (or: {'; '.join(gap['or'])})" if gap["or"] else ""
        for thing in gap["things"]:
            yield self.item(
                gap["held_by"], f"{thing}{other}", (gap["title"],), gap["part"], gap["holds_up"],
                deadline, standing, None,
            )  # fmt: skip

    def waiting(self, gap: Data) -> tuple[date | None, str]:
        """The deadline of what waits for a gap; the point that it should have been shown by."""
        names = _WAITS_FOR.get(HoldsUp(gap["holds_up"]), ())
        all_waiting = [n for n in self.notices if n.notice.name in names and n.deadlines]
        own = [n for n in all_waiting if n.part == gap["part"]]
        first = min(own or all_waiting, key=lambda n: n.first or date.max, default=None)
        if first is not None:
            return first.first, in_words(first.deadlines, self.today)
        if gap["point"]:
            return date.fromisoformat(gap["point"]), f"was needed by {gap['point']}"
        return None, NO_DAY

    def item(
        self, holder: str, thing: str, asked_by: tuple[str, ...], part: str, holds_up: str,
        deadline: date | None, standing: str, notice: Open | None,
    ) -> Item:  # fmt: skip
        # Thousands of jobs say the same few things, so each text is kept once.
        return Item(
            self.asked(holder), self.line["reference"], self.folder, self.line["title"],
            intern(thing), tuple(map(intern, asked_by)), intern(part), STOPS[HoldsUp(holds_up)],
            deadline, intern(standing), self.since_done(notice.part if notice else part), notice,
        )  # fmt: skip

    def asked(self, holder: str) -> Whom:
        """Whom a holder's things are asked of."""
        if holder not in self.whom:
            self.whom[holder] = whom(holder, self.more["people"], self.folder)
        return self.whom[holder]

    def since_done(self, part: str) -> int | None:
        """Days since the part went into use; for what is of no part, since the first one did."""
        used = {p["name"]: p["in_use"] for p in self.more["notices"]["parts"]}
        days = [date.fromisoformat(d) for d in used.values() if d[:1].isdigit()]
        if part in used:
            days = [date.fromisoformat(d) for d in (used[part],) if d[:1].isdigit()]
        passed = [(self.today - day).days for day in days if day <= self.today]
        return max(passed, default=None)


def _as_one(alike: list[Item]) -> Item:
    """The same thing for several requirements: the most urgent of them, with all their titles."""
    first = min(alike, key=lambda item: (item.order, _STOPS_IN_ORDER.index(item.holds_up)))
    titles = tuple(dict.fromkeys(title for item in alike for title in item.asked_by))
    return Item(
        first.whom, first.reference, first.folder, first.title, first.thing, titles, first.part,
        first.holds_up, first.deadline, first.standing, first.since_done_days, first.notice,
    )  # fmt: skip


_STOPS_IN_ORDER = list(STOPS.values())
