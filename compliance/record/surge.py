"""Surge devices on both sides of an inverter, with their leads and their way to earth."""

from __future__ import annotations

from typing import Annotated, ClassVar

from compliance.record.entry import Entry, Usual
from compliance.record.kinds import CollectionKind, Figure, Reference, YesNo, words


class EarthSection(Entry):
    """One length of conductor on the way from a device to the main earthing terminal."""

    reaches: (
        Annotated[
            str,
            words("earth bar", "inverter earth", "board earth", "frame", "main earthing terminal"),
        ]
        | None
    ) = None
    size_mm2: Figure | None = None


class SurgeDevice(Usual):
    """A device that leads surges to earth; `side` says which side of the inverter it is on.

    The live lead runs from the protected conductor to the device, the earth lead from it to
    the bar that the protected equipment is earthed at; `earth_path` goes on from the device
    to the main earthing terminal, each change of size a section of its own.
    """

    side: Annotated[str, words("dc", "ac")]
    part: Annotated[str, Reference("parts")] | None = None
    place: Annotated[str, words("inverter", "array", "origin", "board")] | None = None
    type: Annotated[str, words("1", "2", "1 and 2")] | None = None
    continuous_v: Figure | None = None
    protection_level_kv: Figure | None = None
    live_lead_m: Figure | None = None
    earth_lead_m: Figure | None = None
    earth_path: Annotated[list[EarthSection] | None, CollectionKind()] = None
    disconnector: Annotated[str, words("built in", "separate", "not fitted")] | None = None
    backup_a: Figure | None = None
    greatest_backup_a: Figure | None = None
    indicator: Annotated[str, words("good", "spent", "without indicator")] | None = None


class DcSurgeDevice(SurgeDevice):
    """A surge device between a string's conductors and earth."""

    tag: ClassVar[str] = "dc"
    part_kinds: ClassVar[tuple[str, ...]] = ("inverter", "array")

    serves: Annotated[tuple[str, ...], Reference("strings", back="surge_devices", many=True)]
    connected: (
        Annotated[str, words("inverter side", "array side", "across the isolator")] | None
    ) = None
    warns_live: YesNo | None = None
    out_for_insulation_test: YesNo | None = None
    back_after_test: YesNo | None = None


class AcSurgeDevice(SurgeDevice):
    """A surge device in the AC installation."""

    tag: ClassVar[str] = "ac"
    part_kinds: ClassVar[tuple[str, ...]] = ("inverter", "circuit")

    connection_type: Annotated[str, words("CT1", "CT2")] | None = None
    before_rcd: YesNo | None = None
