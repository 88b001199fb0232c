"""Strings of modules, and which inverter input each one feeds."""

from __future__ import annotations

from typing import Annotated, ClassVar

from compliance.record.entry import Batched, Entry, Group
from compliance.record.kinds import CollectionKind, Figure, FreeText, Reference, words


class Input(Group):
    """Where a string is connected."""

    inverter: Annotated[str, Reference("components.inverter", back="strings")] | None = None
    tracker: FreeText | None = None


class Junction(Entry):
    """A box in which DC cables of an array are joined."""

    part_kinds: ClassVar[tuple[str, ...]] = ("array",)

    part: Annotated[str, Reference("parts")] | None = None
    place: FreeText | None = None


class StringFuse(Entry):
    """The fuses of a string, one in each pole, where it has any."""

    rated_a: Figure | None = None


class String(Batched):
    """Modules in series (and equal rows of them in parallel) on one inverter input.

    `azimuth_deg` is where their face looks to, from north by east; `tilt_deg` is 0 for level.
    `yield_kwh_per_kw` is what the scheme's table says of a year on its face, and
    `shaded_segments` how many segments of the sun-path chart are touched by shade.
    """

    part_kinds: ClassVar[tuple[str, ...]] = ("array",)

    part: Annotated[str, Reference("parts")] | None = None
    modules: Annotated[str, Reference("components.module", back="strings")] | None = None
    in_series: Figure | None = None
    parallel: Figure | None = None
    face: FreeText | None = None
    azimuth_deg: Figure | None = None
    tilt_deg: Figure | None = None
    yield_kwh_per_kw: Figure | None = None
    shaded_segments: Figure | None = None
    leads: Annotated[str, words("clipped clear of the roof", "lying on the roof")] | None = None
    input: Input = Input()
    fuse: Annotated[list[StringFuse] | None, CollectionKind(at_most_one=True)] = None
