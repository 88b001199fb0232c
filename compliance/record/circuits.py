"""AC circuits with the devices that protect them."""

from __future__ import annotations

from typing import Annotated, ClassVar

from compliance.record.entry import Entry, Group, Usual
from compliance.record.kinds import CollectionKind, Figure, FreeText, Reference, words


class Device(Group):
    """The overcurrent device of a circuit."""

    kind: Annotated[str, words("circuit-breaker", "fuse")] | None = None
    curve: Annotated[str, words("B", "C", "D")] | None = None
    rated_a: Figure | None = None
    breaking_ka: Figure | None = None


class Rcd(Entry):
    """The residual current device of a circuit, in its own case or with the breaker."""

    type: Annotated[str, words("AC", "A", "F", "B")] | None = None
    residual_ma: Figure | None = None
    delay: Annotated[str, words("general", "delayed")] | None = None


class Circuit(Usual):
    """One AC circuit; `disconnected_by` names the device that clears an earth fault in time."""

    part_kinds: ClassVar[tuple[str, ...]] = ("circuit", "inverter", "charger", "battery")

    part: Annotated[str, Reference("parts")] | None = None
    feeds: Annotated[str, Reference("components.inverter", back="circuits")] | None = None
    board: FreeText | None = None
    disconnected_by: Annotated[str, words("overcurrent device", "RCD")] | None = None
    device: Device = Device()
    rcd: Annotated[list[Rcd] | None, CollectionKind(at_most_one=True)] = None
