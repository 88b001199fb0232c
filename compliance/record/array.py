"""Strings of modules, and which inverter input each one feeds."""

from __future__ import annotations

from typing import Annotated, ClassVar

from compliance.record.entry import Batched, Entry, Group
from compliance.record.kinds import Figure, FreeText, Reference, words


class Input(Group):
    """Where a string is connected."""

    inverter: Annotated[str, Reference("components.inverter", back="strings")] | None = None
    tracker: FreeText | None = None


class Junction(Entry):
    """A box in which DC cables of an array are joined."""

    part_kinds: ClassVar[tuple[str, ...]] = ("array",)

    part: Annotated[str, Reference("parts")] | None = None
    place: FreeText | None = None


class String(Batched):
    """Modules in series (and equal rows of them in parallel) on one inverter input.

    `azimuth_deg` is where their face looks to, from north by east; `tilt_deg` is 0 for level.
    """

    part_kinds: ClassVar[tuple[str, ...]] = ("array",)

    part: Annotated[str, Reference("parts")] | None = None
    modules: Annotated[str, Reference("components.module", back="strings")] | None = None
    in_series: Figure | None = None
    parallel: Figure | None = None
    face: FreeText | None = None
    azimuth_deg: Figure | None = None
    tilt_deg: Figure | None = None
    leads: Annotated[str, words("clipped clear of the roof", "lying on the roof")] | None = None
    input: Input = Input()
