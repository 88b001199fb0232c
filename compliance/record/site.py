"""The place, its supply, the parts of the job and the visits to it."""

from __future__ import annotations

from typing import Annotated

from compliance.record.entry import Entry, Group
from compliance.record.kinds import (
    Day,
    DayAhead,
    Figure,
    FreeText,
    Reading,
    Reference,
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
    building: Annotated[str, words("dwelling", "ground plant", "other building")] | None = None
    ground_flashes_per_km2_year: Figure | None = None
    lightning_protection: (
        Annotated[str, words("not fitted", "kept apart", "not kept apart")] | None
    ) = None
    overvoltage_could: (
        Annotated[
            str,
            words(
                "injure or kill",
                "stop a safety service",
                "lose much money or data",
                "do no more than damage",
            ),
        ]
        | None
    ) = None
    supply: Supply = Supply()


class Part(Entry):
    """One part of the job, with its own dates and clocks."""

    kind: Annotated[str, words("array", "inverter", "battery", "charger", "circuit")]
    agreed: DayAhead | None = None
    designed: DayAhead | None = None
    started: DayAhead | None = None
    covered: DayAhead | None = None
    in_use: DayAhead | None = None
    handed_over: DayAhead | None = None


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
