"""DC cables of strings: what they are, where they run, and what is written on them."""

from __future__ import annotations

from typing import Annotated, ClassVar

from compliance.record.entry import Usual
from compliance.record.kinds import Figure, FreeText, Reference, YesNo, words


class Cable(Usual):
    """One single-core DC cable of a string, from the array to the inverter's side.

    Cables that run together all the way name the same `run`. What is written at an end
    is told as it was read there, the array's and the inverter's each for itself; `no mark`
    where there is none. `grouped` counts the strings whose cables lie together where most
    do, its own among them.
    """

    part_kinds: ClassVar[tuple[str, ...]] = ("array", "inverter")

    serves: Annotated[str, Reference("strings", back="cables")]
    pole: Annotated[str, words("positive", "negative")]
    part: Annotated[str, Reference("parts")] | None = None
    designation: FreeText | None = None
    insulation: Annotated[str, words("single", "double", "reinforced")] | None = None
    rated_v: Figure | None = None
    size_mm2: Figure | None = None
    run: FreeText | None = None
    route_m: Figure | None = None
    grouped: Figure | None = None
    containment: Annotated[str, words("conduit", "trunking", "tray", "clipped", "loose")] | None = (
        None
    )
    at_risk: YesNo | None = None
    from_ac: (
        Annotated[str, words("no AC near", "own containment", "partition", "apart", "touching")]
        | None
    ) = None
    mark_at_array: FreeText | None = None
    mark_at_inverter: FreeText | None = None
    sleeve_at_array: Annotated[str, words("positive", "negative", "no sleeve")] | None = None
    sleeve_at_inverter: Annotated[str, words("positive", "negative", "no sleeve")] | None = None
    identified_by: Annotated[str, words("meter", "colour", "drawing")] | None = None
    sight: Annotated[str, words("in view", "out of view")] | None = None
    label_spacing_m: Figure | None = None
    labels_say: (
        Annotated[str, words("DC and live in daylight", "DC", "colour or sign without words")]
        | None
    ) = None
    passages: Figure | None = None
    passages_labelled: Figure | None = None
