"""Calendars and deadlines against the published figures of the reference facts."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from portfolio.by_hand import BANK_HOLIDAYS

from compliance.portfolio.calendars import days_after, is_working, working_days_after
from compliance.portfolio.deadlines import Deadline, in_words
from compliance.rules.outcome import Source

FACTS = pytest.mark.source(
    document="reference facts of the project, process.md section 10 (dates derived there)",
    table="10 and 30 days after four commissioning dates",
    confidence="secondary",
)


@FACTS
@pytest.mark.parametrize(
    ("event", "days", "nation", "last"),
    [
        ("2026-12-21", 10, "GB-ENG", "2027-01-07"),
        ("2026-12-21", 10, "GB-WLS", "2027-01-07"),
        ("2026-12-21", 10, "GB-NIR", "2027-01-07"),
        ("2026-12-21", 10, "GB-SCT", "2027-01-08"),
        ("2026-12-21", 30, "GB-ENG", "2027-02-04"),
        ("2026-12-21", 30, "GB-SCT", "2027-02-05"),
        ("2026-03-30", 10, "GB-ENG", "2026-04-15"),
        ("2026-03-30", 10, "GB-NIR", "2026-04-15"),
        ("2026-03-30", 10, "GB-SCT", "2026-04-14"),
        ("2026-11-26", 10, "GB-ENG", "2026-12-10"),
        ("2026-11-26", 10, "GB-SCT", "2026-12-11"),
    ],
)
def test_working_days_by_the_calendar_of_the_nation(
    event: str, days: int, nation: str, last: str
) -> None:
    assert working_days_after(date.fromisoformat(event), days, nation).isoformat() == last


@FACTS
@pytest.mark.parametrize(("days", "last"), [(28, "2027-01-18"), (30, "2027-01-20")])
def test_calendar_days(days: int, last: str) -> None:
    assert days_after(date(2026, 12, 21), days).isoformat() == last


@pytest.mark.source(
    document="reference facts of the project, process.md section 8 (from the holidays library)",
    table="bank holidays 2026 and 2027 on working days",
    confidence="secondary",
)
@pytest.mark.parametrize("nation", sorted(BANK_HOLIDAYS))
def test_bank_holidays_of_two_years(nation: str) -> None:
    days = [date(2026, 1, 1) + timedelta(n) for n in range(730)]
    off = {d for d in days if d.weekday() < 5 and not is_working(d, nation)}
    assert off == {d for d in BANK_HOLIDAYS[nation] if d.weekday() < 5}


@pytest.mark.parametrize("nation", sorted(BANK_HOLIDAYS))
def test_an_event_on_a_day_off_counts_from_the_next_working_day(nation: str) -> None:
    christmas = date(2026, 12, 25)
    assert working_days_after(christmas, 0, nation) == christmas
    assert working_days_after(christmas, 1, nation) == date(2026, 12, 29)


def deadline(reading: str, day: str) -> Deadline:
    return Deadline(reading, date.fromisoformat(day), "", Source("d", "", "memory"))


@pytest.mark.parametrize(
    ("today", "words"),
    [
        ("2026-11-01", "due in 9 days by practice; due in 20 days by law"),
        ("2026-11-09", "due in 1 day by practice; due in 12 days by law"),
        ("2026-11-10", "due today by practice; due in 11 days by law"),
        ("2026-11-11", "late by practice; due in 10 days by law"),
        ("2026-11-21", "late by practice; due today by law"),
        ("2026-11-22", "late by practice; late by law"),
    ],
)
def test_both_readings_in_words(today: str, words: str) -> None:
    both = (deadline("practice", "2026-11-10"), deadline("law", "2026-11-21"))
    assert in_words(both, date.fromisoformat(today)) == words


def test_one_reading_in_words() -> None:
    one = (deadline("practice", "2026-11-10"),)
    assert in_words(one, date(2026, 11, 4)) == "due in 6 days"
    assert in_words(one, date(2026, 11, 11)) == "late by practice"
    assert in_words((), date(2026, 11, 11)) == "no day known"
