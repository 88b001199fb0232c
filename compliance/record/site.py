"""The place, its supply, the parts of the job and the visits to it."""

from __future__ import annotations

from typing import Annotated, ClassVar

from compliance.record.entry import Entry, Group
from compliance.record.kinds import (
    Day,
    DayAhead,
    Figure,
    FreeText,
    Reading,
    Reference,
    YesNo,
    words,
)


class Supply(Group):
    """The network operator's supply at the origin of the installation."""

    phases: Figure | None = None
    nominal_v: Figure | None = None
    earthing: Annotated[str, words("TN-S", "TN-C-S", "TT")] | None = None
    ze_ohm: Reading | None = None
    prospective_fault_ka: Reading | None = None


class Site(Group):
    """The property."""

    address: FreeText | None = None
    lowest_cell_c: Figure | None = None
    supply: Supply = Supply()


class Part(Entry):
    """One part of the job, with its own dates and clocks; `frame_bonded` is asked of an array."""

    kind: Annotated[str, words("array", "inverter", "battery", "charger", "circuit")]
    agreed: DayAhead | None = None
    designed: DayAhead | None = None
    started: DayAhead | None = None
    covered: DayAhead | None = None
    in_use: DayAhead | None = None
    handed_over: DayAhead | None = None
    frame_bonded: YesNo | None = None


class Left(Group):
    """How the site was left at the end of a visit."""

    dc_ends: Annotated[str, words("joined", "insulated", "bare", "no loose ends")] | None = None
    told: FreeText | None = None


class Visit(Entry):
    """One day on site."""

    on: Day
    who: Annotated[tuple[str, ...], Reference("people", many=True)] | None = None
    done: FreeText | None = None
    left: Left = Left()


class Alteration(Entry):
    """A repair or change after testing: what was measured before that day is open again."""

    altered: Annotated[str, words("string", "circuit")]
    on: Day
    what: FreeText | None = None


class StringAlteration(Alteration):
    """A change to one string."""

    tag: ClassVar[str] = "string"

    of: Annotated[str, Reference("strings", back="alterations")]


class CircuitAlteration(Alteration):
    """A change to one circuit."""

    tag: ClassVar[str] = "circuit"

    of: Annotated[str, Reference("circuits", back="alterations")]
