"""Labels and notices: those that were fitted, and those found from before."""

from __future__ import annotations

from typing import Annotated, ClassVar

from compliance.record.entry import Entry, Usual
from compliance.record.kinds import FreeText, Reference, YesNo, words

KINDS = (
    "dc isolator", "ac isolator", "main switch", "live in daylight", "live from both sides",
    "do not unplug under load", "two supplies", "panels on the roof", "shutdown order", "circuit",
    "live without the network", "single line diagram", "installer contact", "protection settings",
)  # fmt: skip
PLACES = ("origin", "meter", "board", "isolator", "inverter", "junction", "cable route")
TERMINALS = ("top", "bottom", "left", "right")


class Label(Usual):
    """A label that was fitted, and where.

    It stands at a switch (`marks`), an inverter, a junction, or at the board for a circuit.
    `names` are the switches that its words name, in the order of the words;
    `live_terminals` those that it says stay live.
    """

    part_kinds: ClassVar[tuple[str, ...]] = ("inverter", "array")

    kind: Annotated[str, words(*KINDS)] | None = None
    part: Annotated[str, Reference("parts")] | None = None
    place: Annotated[str, words(*PLACES)] | None = None
    marks: Annotated[str, Reference("isolators", back="labels")] | None = None
    inverter: Annotated[str, Reference("components.inverter", back="labels")] | None = None
    junction: Annotated[str, Reference("junctions", back="labels")] | None = None
    circuit: Annotated[str, Reference("circuits", back="labels")] | None = None
    names: Annotated[tuple[str, ...], Reference("isolators", back="named_by", many=True)] | None = (
        None
    )
    live_terminals: Annotated[str, words(*TERMINALS)] | None = None
    wording: FreeText | None = None
    readable: (
        Annotated[str, words("as it hangs", "only with a cover off", "not readable")] | None
    ) = None
    lasting: YesNo | None = None
    language: Annotated[str, words("English", "Welsh and English", "another")] | None = None


class OldLabel(Entry):
    """A label or marking that was there before the work, and what became of it."""

    part_kinds: ClassVar[tuple[str, ...]] = ("inverter", "circuit", "array")

    part: Annotated[str, Reference("parts")] | None = None
    place: Annotated[str, words(*PLACES)] | None = None
    circuit: Annotated[str, Reference("circuits")] | None = None
    wording: FreeText | None = None
    now: Annotated[str, words("removed", "still true", "still there and wrong")] | None = None
