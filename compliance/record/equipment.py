"""Isolators and labels: what a person opens to work safely, and what tells them so."""

from __future__ import annotations

from typing import Annotated, ClassVar

from compliance.record.entry import Usual
from compliance.record.kinds import Figure, FreeText, Reference, YesNo, words
from compliance.record.labels import TERMINALS

# The utilisation categories that switches for DC carry. Those ending in 20A or 20B, and
# DC-PV0, are for parting without load.
DC_CATEGORIES = (
    "DC-PV0", "DC-PV1", "DC-PV2", "DC-20A", "DC-20B", "DC-21A", "DC-21B", "DC-22A", "DC-22B",
)  # fmt: skip
OPENS = ("all lines and neutral", "all lines", "one line of several")


class Isolator(Usual):
    """A switch that a person opens to work safely."""

    side: Annotated[str, words("dc", "ac", "supply")]
    part: Annotated[str, Reference("parts")] | None = None
    place: FreeText | None = None
    reached: (
        Annotated[
            str, words("from the floor", "by a fixed ladder", "by a loose ladder", "with tools")
        ]
        | None
    ) = None
    lockable: YesNo | None = None
    rated_a: Figure | None = None
    product: (
        Annotated[str, Reference("components.switch_disconnector", back="isolators")] | None
    ) = None


class DcIsolator(Isolator):
    """A switch between strings and their inverter, in its own case or built into the inverter.

    `rated_v` and `rated_a` are the maker's for `rated_breaks` breaks in series in each
    pole. `plugs_beside` says that its strings can be unplugged next to it while it is open.
    """

    tag: ClassVar[str] = "dc"
    part_kinds: ClassVar[tuple[str, ...]] = ("inverter", "array")

    serves: Annotated[tuple[str, ...], Reference("strings", back="isolators", many=True)]
    breaks_positive: Figure | None = None
    breaks_negative: Figure | None = None
    rated_v: Figure | None = None
    rated_breaks: Figure | None = None
    utilisation_category: Annotated[str, words(*DC_CATEGORIES)] | None = None
    built_in: YesNo | None = None
    plugs_beside: YesNo | None = None


class AcIsolator(Isolator):
    """A switch between an inverter and the board it feeds.

    `network_terminals` are those that the network keeps live when it is open.
    """

    tag: ClassVar[str] = "ac"
    part_kinds: ClassVar[tuple[str, ...]] = ("inverter",)

    serves: Annotated[str, Reference("components.inverter", back="isolators")]
    opens: Annotated[str, words(*OPENS)] | None = None
    network_terminals: Annotated[str, words(*TERMINALS)] | None = None


class SupplyIsolator(Isolator):
    """A main switch: parts the installation from the network's supply."""

    tag: ClassVar[str] = "supply"
    part_kinds: ClassVar[tuple[str, ...]] = ("inverter", "circuit")

    opens: Annotated[str, words(*OPENS)] | None = None
