"""Components and isolators: what was installed, with the figures of its datasheet."""

from __future__ import annotations

from typing import Annotated, ClassVar

from compliance.record.entry import Entry
from compliance.record.kinds import Figure, FreeText, Reference, YesNo, words


class Component(Entry):
    """One kind of component; `category` says which further figures it has."""

    category: Annotated[str, words("module", "inverter")]
    part: Annotated[str, Reference("parts")] | None = None
    maker: FreeText | None = None
    model: FreeText | None = None


class Module(Component):
    """One type of PV module."""

    tag: ClassVar[str] = "module"
    part_kinds: ClassVar[tuple[str, ...]] = ("array",)

    voc_v: Figure | None = None
    isc_a: Figure | None = None
    voc_coefficient_percent_per_k: Figure | None = None
    max_system_voltage_v: Figure | None = None


class Inverter(Component):
    """One inverter."""

    tag: ClassVar[str] = "inverter"
    part_kinds: ClassVar[tuple[str, ...]] = ("inverter", "array")

    serial: FreeText | None = None
    rated_kw: Figure | None = None
    max_input_v: Figure | None = None
    dc_impulse_withstand_kv: Figure | None = None


class Isolator(Entry):
    """A switch that a person opens to work safely."""

    side: Annotated[str, words("dc", "ac")]
    part: Annotated[str, Reference("parts")] | None = None
    place: FreeText | None = None
    lockable: YesNo | None = None


class DcIsolator(Isolator):
    """A switch between strings and their inverter."""

    tag: ClassVar[str] = "dc"
    part_kinds: ClassVar[tuple[str, ...]] = ("inverter", "array")

    serves: Annotated[tuple[str, ...], Reference("strings", back="isolators", many=True)]
    breaks_positive: Figure | None = None
    breaks_negative: Figure | None = None
    rated_v: Figure | None = None
    rated_a: Figure | None = None


class AcIsolator(Isolator):
    """A switch between an inverter and the board it feeds."""

    tag: ClassVar[str] = "ac"
    part_kinds: ClassVar[tuple[str, ...]] = ("inverter",)

    serves: Annotated[str, Reference("components.inverter", back="isolators")]


class Label(Entry):
    """A label that was fitted, and where."""

    part_kinds: ClassVar[tuple[str, ...]] = ("inverter", "array")

    kind: (
        Annotated[str, words("dc isolator", "live in daylight", "two supplies", "shutdown order")]
        | None
    ) = None
    part: Annotated[str, Reference("parts")] | None = None
    place: (
        Annotated[
            str,
            words("origin", "meter", "board", "isolator", "inverter", "cable route"),
        ]
        | None
    ) = None
    marks: Annotated[str, Reference("isolators", back="labels")] | None = None
    wording: FreeText | None = None
