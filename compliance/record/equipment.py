"""Isolators and labels: what a person opens to work safely, and what tells them so."""

from __future__ import annotations

from typing import Annotated, ClassVar

from compliance.record.entry import Entry
from compliance.record.kinds import Figure, FreeText, Reference, YesNo, words


class Isolator(Entry):
    """A switch that a person opens to work safely."""

    side: Annotated[str, words("dc", "ac")]
    part: Annotated[str, Reference("parts")] | None = None
    place: FreeText | None = None
    lockable: YesNo | None = None
    product: (
        Annotated[str, Reference("components.switch_disconnector", back="isolators")] | None
    ) = None


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
