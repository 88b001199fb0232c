"""From the clock on the wall of a site to the days since 2000 that the sun goes by."""

from __future__ import annotations

from datetime import datetime, timedelta

NOON_OF_2000 = datetime(2000, 1, 1, 12)
SECONDS_A_DAY = 86_400.0
SUNDAY = 6
CHANGES_AT = timedelta(hours=1)
"""Summer time in the United Kingdom begins and ends on the last Sundays of March and October,
at one o'clock of Greenwich (Summer Time Act 1972 as amended by the Order of 2002, from memory)."""


def since_2000_days(moment: datetime) -> float:
    """Days since noon UTC on 1 January 2000 at a moment by the clock of a site here.

    In the hour that the clock shows twice in October it is taken as the first of the two.
    """
    year = moment.year
    begins, ends = (_last_sunday(year, month) + CHANGES_AT for month in (3, 10))
    ahead = timedelta(hours=1)
    is_summer = begins + ahead <= moment < ends + ahead
    utc = moment - ahead if is_summer else moment
    return (utc - NOON_OF_2000).total_seconds() / SECONDS_A_DAY


def _last_sunday(year: int, month: int) -> datetime:
    """The last Sunday of a month of 31 days."""
    last = datetime(year, month, 31)
    return last - timedelta(days=(last.weekday() - SUNDAY) % 7)
