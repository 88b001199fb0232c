"""Who takes part in a job, and with what they measure."""

from __future__ import annotations

from typing import Annotated

from compliance.record.entry import Entry, Group
from compliance.record.kinds import CollectionKind, Day, DayAhead, Figure, FreeText, words


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
    competence: FreeText | None = None


class AccuracyCheck(Entry):
    """One reading of a known thing, taken to see that an instrument still reads true."""

    on: Day
    against: FreeText | None = None
    result: Annotated[str, words("agrees", "differs")] | None = None


class Column(Entry):
    """What a column of the files that an instrument writes is called, and what it means."""

    called: FreeText
    means: FreeText


class Instrument(Entry):
    """One test instrument; `rated_v` is the greatest voltage that its leads and inputs bear."""

    kind: FreeText | None = None
    serial: FreeText | None = None
    calibration_due: DayAhead | None = None
    checks: Annotated[list[AccuracyCheck] | None, CollectionKind(is_complete=False)] = None
    rated_v: Figure | None = None
    overvoltage_category: Annotated[str, words("II", "III", "IV")] | None = None
    columns: Annotated[list[Column] | None, CollectionKind()] = None
