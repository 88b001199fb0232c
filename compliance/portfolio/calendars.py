"""Days counted as the trade counts them: calendar days, or working days of the site's nation.

The day of the event is day 0 and counting starts with the next. A period that ends on a day
off is not made longer, since no rule here says so.
"""

from __future__ import annotations

from datetime import date, timedelta
from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from holidays import HolidayBase

_SATURDAY = 5
NATIONS = {"GB-ENG": "England", "GB-WLS": "Wales", "GB-SCT": "Scotland",
           "GB-NIR": "Northern Ireland"}  # fmt: skip
"""The nations whose bank holidays are known, by the record's jurisdiction."""


def is_working(day: date, jurisdiction: str) -> bool:
    """Whether a day is neither a Saturday, a Sunday nor a bank holiday of the site's nation."""
    return day.weekday() < _SATURDAY and day not in _bank_holidays(jurisdiction)


def days_after(event: date, days: int) -> date:
    """The day so many calendar days after an event."""
    return event + timedelta(days)


def working_days_after(event: date, days: int, jurisdiction: str) -> date:
    """The day so many working days after an event, which need not be one itself."""
    day = event
    while days > 0:
        day += timedelta(1)
        days -= is_working(day, jurisdiction)
    return day


@cache
def _bank_holidays(jurisdiction: str) -> HolidayBase:
    """The nation's bank holidays; local ones, which differ from town to town, are not among them.

    The library works each year out when it is first asked for.
    """
    from holidays import country_holidays

    country, _, nation = jurisdiction.partition("-")
    return country_holidays(country, subdiv=nation)
