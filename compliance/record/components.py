"""What was bought and fitted: one entry for each type of component, or for each unit of it.

A module, connector, cable, switch or surge device stands here once for its type; an
inverter, battery or charger stands here itself, with its serial number. An inverter that
serves a battery alone is an inverter too, with its own entry.
"""

from __future__ import annotations

from typing import Annotated, ClassVar

from compliance.record.entry import Batched, Entry, Group, Usual
from compliance.record.kinds import (
    CollectionKind,
    Day,
    DayAhead,
    Figure,
    FreeText,
    Reading,
    Reference,
    Serials,
    YesNo,
    words,
)

CATEGORIES = ("module", "inverter", "mounting", "connector", "cable", "switch-disconnector",
              "surge device", "battery", "charger", "export limiter")  # fmt: skip
STANDARDS = ("IEC 61215", "IEC 61730", "IEC 62109", "IEC 62852", "EN 50618", "IEC 62930",
             "IEC 60947-3", "IEC 61643-11", "IEC 61643-31", "IEC 62619", "IEC 61851-1",
             "MCS 012", "MCS 017", "another")  # fmt: skip


class Approval(Entry):
    """One approval that is relied on: who gave it, under which standard, from when until when.

    Listed are those relied on and no others, so an approval of the past is left out where a
    later one took its place. `until: not yet` is an approval that lasts and names no end.
    """

    standard: Annotated[str, words(*STANDARDS)] | None = None
    scheme: FreeText | None = None
    certificate: FreeText | None = None
    since: Day | None = None
    until: DayAhead | None = None


class ReuseCheck(Group):
    """What was found when a component that had served before was looked at."""

    on: Day | None = None
    by: Annotated[str, Reference("people")] | None = None
    result: Annotated[str, words("fit for reuse", "not fit")] | None = None
    grounds: FreeText | None = None


class NoticeCheck(Group):
    """Whether the maker or an authority called the component back or warned of it."""

    checked: Day | None = None
    found: Annotated[str, words("none", "put right", "open")] | None = None
    notice: FreeText | None = None


class Component(Usual):
    """One kind of component; `category` says which further figures it has."""

    category: Annotated[str, words(*CATEGORIES)]
    part: Annotated[str, Reference("parts")] | None = None
    maker: FreeText | None = None
    model: FreeText | None = None
    origin: Annotated[str, words("new", "reused")] | None = None
    first_installed: Day | None = None
    approval: Annotated[list[Approval] | None, CollectionKind()] = None
    reuse: ReuseCheck = ReuseCheck()
    notices: NoticeCheck = NoticeCheck()


class Module(Component):
    """One type of PV module."""

    tag: ClassVar[str] = "module"
    part_kinds: ClassVar[tuple[str, ...]] = ("array",)

    voc_v: Figure | None = None
    isc_a: Figure | None = None
    imp_a: Figure | None = None
    vmp_v: Figure | None = None
    vmp_coefficient_percent_per_k: Figure | None = None
    max_fuse_a: Figure | None = None
    isc_coefficient_percent_per_k: Figure | None = None
    voc_coefficient_percent_per_k: Figure | None = None
    max_system_voltage_v: Figure | None = None
    mass_kg: Figure | None = None
    area_m2: Figure | None = None
    serials: Annotated[tuple[str, ...], Serials()] | None = None


class RegisterEntry(Group):
    """What the register of type-tested generating units says of an inverter."""

    reference: FreeText | None = None
    status: Annotated[str, words("compliant", "withdrawn", "not listed")] | None = None
    looked_up: Day | None = None
    capacity_kw: Figure | None = None
    firmware_family: FreeText | None = None


# What parts a house from the network before an inverter supplies it alone.
PARTED_BY = (
    "change-over of all lines and neutral", "change-over of all lines", "overcurrent device only",
    "nothing",
)  # fmt: skip


class Island(Group):
    """How a house is earthed and parted while an inverter supplies it without the network.

    `neutral_earthed` says when a switch of the installation joins its neutral to its earth,
    `parted_by` what then parts the network. `electrode_ohm` is as measured, `slowest_rcd_ms` the
    longest time of the RCDs of the circuits so supplied, measured while the inverter supplied.
    """

    neutral_earthed: Annotated[str, words("without the network", "always", "never")] | None = None
    parted_by: Annotated[str, words(*PARTED_BY)] | None = None
    earthed_by: Annotated[str, words("own electrode", "network only")] | None = None
    electrode_ohm: Reading | None = None
    circuits_behind_rcds: YesNo | None = None
    slowest_rcd_ms: Reading | None = None


class Inverter(Component):
    """One inverter; `keeps_dc_out` says what keeps DC fault current out of the AC side.

    `line` is the one that an inverter of one phase feeds, where the supply has three.
    """

    tag: ClassVar[str] = "inverter"
    part_kinds: ClassVar[tuple[str, ...]] = ("inverter", "array")

    serial: FreeText | None = None
    rated_kw: Figure | None = None
    max_input_v: Figure | None = None
    start_v: Figure | None = None
    least_mpp_v: Figure | None = None
    greatest_mpp_v: Figure | None = None
    max_isc_a: Figure | None = None
    max_array_kw: Figure | None = None
    dc_impulse_withstand_kv: Figure | None = None
    keeps_dc_out: (
        Annotated[
            str, words("simple separation", "separate transformer", "maker states so", "nothing")
        ]
        | None
    ) = None
    phases: Figure | None = None
    line: Annotated[str, words("L1", "L2", "L3")] | None = None
    max_output_a: Figure | None = None
    island_mode: YesNo | None = None
    island: Island = Island()
    firmware_family: FreeText | None = None
    type_test: RegisterEntry = RegisterEntry()


class Mounting(Component):
    """One mounting kit, with the modules that its approval names and the wind it was tested for."""

    tag: ClassVar[str] = "mounting"
    part_kinds: ClassVar[tuple[str, ...]] = ("array",)

    kind: Annotated[str, words("above roof", "in-roof", "flat roof", "ground")] | None = None
    clamps: Annotated[str, words("as the maker says", "otherwise")] | None = None
    approved_for: (
        Annotated[tuple[str, ...], Reference("components.module", back="mountings", many=True)]
        | None
    ) = None
    uplift_resistance_pa: Figure | None = None
    design_uplift_pa: Figure | None = None
    mass_kg_m2: Figure | None = None
    fire_class: (
        Annotated[
            str,
            words("BROOF(t4)", "CROOF(t4)", "DROOF(t4)", "EROOF(t4)", "FROOF(t4)", "not available"),
        ]
        | None
    ) = None
    barrier_layer: YesNo | None = None


class Connector(Component):
    """One type of plug connector, whether fitted on site or by the maker of what it belongs to."""

    tag: ClassVar[str] = "connector"
    part_kinds: ClassVar[tuple[str, ...]] = ("array",)


class CableProduct(Component):
    """One type of cable."""

    tag: ClassVar[str] = "cable"
    part_kinds: ClassVar[tuple[str, ...]] = ("array", "inverter", "circuit", "battery", "charger")

    side: Annotated[str, words("dc", "ac")] | None = None


class SwitchDisconnector(Component):
    """One type of switch, to which isolators point as their product."""

    tag: ClassVar[str] = "switch-disconnector"
    part_kinds: ClassVar[tuple[str, ...]] = ("inverter", "array")


class SurgeProduct(Component):
    """One type of surge protective device."""

    tag: ClassVar[str] = "surge device"
    part_kinds: ClassVar[tuple[str, ...]] = ("inverter", "array")

    side: Annotated[str, words("dc", "ac")] | None = None


class Battery(Component):
    """One battery, and the inverter whose DC side it is on."""

    tag: ClassVar[str] = "battery"
    part_kinds: ClassVar[tuple[str, ...]] = ("battery", "inverter")

    serial: FreeText | None = None
    inverter: Annotated[str, Reference("components.inverter", back="batteries")] | None = None


# Where neutral and earth of the supply are one conductor, these keep a car safe while it is
# broken; the devices sense the voltage of the earth, or that between line and neutral.
OPEN_PEN_WAYS = (
    "device by touch voltage", "device by supply voltage", "own electrode",
    "electrode on the supply earth", "balanced three phases", "nothing",
)  # fmt: skip


class OpenPen(Group):
    """What keeps a car at a charger safe when the supply's neutral and earth is broken.

    Figures are the maker's of a device, or worked out for an electrode: `touch_v` is the
    greatest voltage to true earth that stays, `below_v` and `above_v` the supply voltages
    at which a device opens, `within_s` its longest time. `electrode_ohm` is as measured.
    """

    way: Annotated[str, words(*OPEN_PEN_WAYS)] | None = None
    opens: Annotated[str, words("live conductors and earth", "live conductors only")] | None = None
    within_s: Figure | None = None
    touch_v: Figure | None = None
    below_v: Figure | None = None
    above_v: Figure | None = None
    electrode_ohm: Reading | None = None


class Charger(Component):
    """One car charger; `vehicle_gives_back` says whether a car on it can supply the house.

    `used_outdoors` is yes if a car may stand outdoors while it charges; `dc_sensing` says
    what finds 6 mA of smooth direct fault current; `throttles_above_a` is the current of the
    supply above which it is set to give way.
    """

    tag: ClassVar[str] = "charger"
    part_kinds: ClassVar[tuple[str, ...]] = ("charger",)

    serial: FreeText | None = None
    phases: Figure | None = None
    rated_a: Figure | None = None
    throttles_above_a: Figure | None = None
    used_outdoors: YesNo | None = None
    dc_sensing: Annotated[str, words("in the charger", "a device before it", "none")] | None = None
    open_pen: OpenPen = OpenPen()
    vehicle_gives_back: YesNo | None = None


class ExportLimiter(Component):
    """What holds the current that flows back into the network; an inverter's own function too.

    `set_kw` is its setting, `tried` what it did when more could have flowed back, and
    `without_signal` what it did when its meter was disconnected.
    """

    tag: ClassVar[str] = "export limiter"
    part_kinds: ClassVar[tuple[str, ...]] = ("inverter", "array", "battery")

    set_kw: Figure | None = None
    tried: Annotated[str, words("held", "exceeded", "not tried")] | None = None
    without_signal: Annotated[str, words("held", "exceeded", "not tried")] | None = None


class ConnectorPair(Batched):
    """Two plug connectors that were mated on site, by their types; of the part of their string."""

    on: Annotated[str, Reference("strings", back="connector_pairs")]
    at: Annotated[str, words("array", "isolator", "inverter")] | None = None
    pole: Annotated[str, words("positive", "negative")] | None = None
    one: Annotated[str, Reference("components.connector")] | None = None
    other: Annotated[str, Reference("components.connector")] | None = None
