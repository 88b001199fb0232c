"""Who takes part in a job, and with what they measure."""

from __future__ import annotations

from compliance.record.entry import Entry, Group
from compliance.record.kinds import DayAhead, FreeText


class Organisation(Group):
    """The firm that does the work."""

    name: FreeText | None = None
    address: FreeText | None = None
    phone: FreeText | None = None


class Customer(Group):
    """For whom the work is done."""

    name: FreeText | None = None
    surge_risk_accepted: DayAhead | None = None


class Person(Entry):
    """One person, referred to by short name."""

    name: FreeText | None = None
    role: FreeText | None = None


class Instrument(Entry):
    """One test instrument."""

    kind: FreeText | None = None
    serial: FreeText | None = None
    calibration_due: DayAhead | None = None
