"""What was looked at before work began: materials, nests, what was there, an old tariff."""

from __future__ import annotations

from typing import Annotated, ClassVar

from compliance.record.entry import Entry, Group, InBatch
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


class Material(Entry):
    """A material of the building that the work drills, cuts or takes off.

    `known_on` is the day on which it was known what stands under `asbestos`: that of the
    laboratory's report, or of looking. `plan` says how it is worked on without setting
    fibres free.
    """

    part_kinds: ClassVar[tuple[str, ...]] = ("array", "inverter", "circuit", "battery", "charger")

    part: Annotated[str, Reference("parts")] | None = None
    what: FreeText | None = None
    asbestos: (
        Annotated[
            str,
            words(
                "none in the sample",
                "found in the sample",
                "presumed",
                "newer than the ban",
                "not looked at",
            ),
        ]
        | None
    ) = None
    known_on: Day | None = None
    sample: FreeText | None = None
    plan: FreeText | None = None


class NestCheck(InBatch):
    """Whether birds nest where the work will be, and what was done about it."""

    on: Day | None = None
    by: Annotated[str, Reference("people")] | None = None
    found: Annotated[str, words("none", "kept clear of", "in use")] | None = None


class Existing(InBatch):
    """The electrical installation that was there, as found before anything was added to it.

    `sources_kw` is the rated output of what generates there already and is not among the
    components, on the line that has most of it; 0 where there is nothing.
    """

    on: Day | None = None
    by: Annotated[str, Reference("people")] | None = None
    found: Annotated[str, words("fit to be added to", "put right", "not fit")] | None = None
    sources_kw: Figure | None = None


class Agreement(Group):
    """What the network operator agreed to before anything was connected, and the day of it.

    `export_kw` is what may flow back into the network, where that is less than the capacity.
    """

    capacity_kw: Figure | None = None
    on: Day | None = None
    export_kw: Figure | None = None


class Tariff(Entry):
    """An array that was there before and is paid for what it generates.

    `licensee` is the electricity supplier that pays; `told_on` the day on which it was told
    what would be changed. `generation_meter` is what became of the meter that is paid by,
    `generation_kwh` what it showed before that.
    """

    part_kinds: ClassVar[tuple[str, ...]] = ("array",)

    part: Annotated[str, Reference("parts")] | None = None
    array: FreeText | None = None
    licensee: FreeText | None = None
    told_on: DayAhead | None = None
    generation_meter: (
        Annotated[str, words("left as it was", "moved", "replaced", "taken away")] | None
    ) = None
    generation_kwh: Reading | None = None
    read_on: Day | None = None
    new_array_apart: YesNo | None = None
