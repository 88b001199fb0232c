"""AC circuits with the devices that protect them."""

from __future__ import annotations

from typing import Annotated, ClassVar

from compliance.record.entry import Entry, Group, Usual
from compliance.record.kinds import CollectionKind, Figure, FreeText, Reference, YesNo, words

# How a flat cable lies, by the names of the reference methods; any other cable and way of
# laying has its own table, from which the designer takes the current.
METHODS = (
    "method A", "method C", "method 100", "method 101", "method 102", "method 103",
    "surrounded by insulation", "another table",
)  # fmt: skip


class CircuitCable(Group):
    """The cable of a circuit, with copper conductors.

    `method` is how a flat twin and earth cable lies where it is worst off; `tabulated_a` is
    the current from `another table`, before any correction. `grouped` counts the loaded
    cables that lie together there, this one among them.
    """

    insulation: Annotated[str, words("70 °C thermoplastic", "90 °C thermosetting")] | None = None
    size_mm2: Figure | None = None
    protective_mm2: Figure | None = None
    method: Annotated[str, words(*METHODS)] | None = None
    tabulated_a: Figure | None = None
    ambient_c: Figure | None = None
    grouped: Figure | None = None


class Device(Group):
    """The overcurrent device of a circuit; `let_through_a2_s` is its maker's at its place.

    `both_ways` says whether its maker allows current through it in either direction.
    """

    kind: Annotated[str, words("circuit-breaker", "fuse")] | None = None
    curve: Annotated[str, words("B", "C", "D")] | None = None
    rated_a: Figure | None = None
    breaking_ka: Figure | None = None
    both_ways: YesNo | None = None
    let_through_a2_s: Figure | None = None


class Bond(Entry):
    """One main bond, by the short name of what it bonds: gas, water, oil, steel."""

    size_mm2: Figure | None = None


class Rcd(Entry):
    """The residual current device of a circuit: alone, with the breaker, or in a charger.

    `both_ways` says whether its maker allows current through it in either direction.
    """

    type: Annotated[str, words("AC", "A", "F", "B")] | None = None
    residual_ma: Figure | None = None
    delay: Annotated[str, words("general", "delayed")] | None = None
    both_ways: YesNo | None = None


class Circuit(Usual):
    """One AC circuit; `disconnected_by` names the device that clears an earth fault in time.

    `feeds` names what is at its far end, an inverter or a charger; `length_m` is the length
    of its cable from the board to there.
    """

    part_kinds: ClassVar[tuple[str, ...]] = ("circuit", "inverter", "charger", "battery")

    part: Annotated[str, Reference("parts")] | None = None
    feeds: (
        Annotated[
            str,
            Reference("components.inverter", back="circuits", also=("components.charger",)),
        ]
        | None
    ) = None
    board: FreeText | None = None
    disconnected_by: Annotated[str, words("overcurrent device", "RCD")] | None = None
    device: Device = Device()
    cable: CircuitCable = CircuitCable()
    length_m: Figure | None = None
    rcd: Annotated[list[Rcd] | None, CollectionKind(at_most_one=True)] = None
