"""The place, its supply, the parts of the job and the visits to it, and how each was left."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
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
    WholeDay,
    YesNo,
    words,
)
from compliance.record.start import Agreement, Existing, NestCheck


class Supply(Group):
    """The network operator's supply at the origin of the installation.

    `fuse_a` is the rating of the operator's fuse or of the device before the board, and
    `let_through_a2_s` what its maker states for the fault current there; `demand_a` is the
    greatest current of a line as the designer worked it out, chargers in full; `neutral_mm2`,
    `tails_mm2` and `earthing_mm2` are the sizes of the supply's neutral, of the tails between
    that device and the board, and of the earthing conductor, in copper.
    """

    phases: Figure | None = None
    nominal_v: Figure | None = None
    earthing: Annotated[str, words("TN-S", "TN-C-S", "TT")] | None = None
    ze_ohm: Reading | None = None
    prospective_fault_ka: Reading | None = None
    fuse_a: Figure | None = None
    let_through_a2_s: Figure | None = None
    demand_a: Figure | None = None
    neutral_mm2: Figure | None = None
    tails_mm2: Figure | None = None
    earthing_mm2: Figure | None = None
    operator: FreeText | None = None
    meter: Annotated[str, words("at the origin", "elsewhere")] | None = None


class Board(Group):
    """The board on whose bars the supply and what generates meet, if they do."""

    rated_a: Figure | None = None
    sources: Annotated[str, words("on its ways", "joined before it")] | None = None


class Plan(Group):
    """What was meant before the first visit; `compliance new` asks it, the visit sheet reads it."""

    work: Annotated[str, words("new", "replacement", "addition")] | None = None
    old_array: Annotated[str, words("no old array", "earns no tariff", "earns a tariff")] | None = (
        None
    )
    visits: Figure | None = None


OF_AN_AREA = (
    "building", "ground_flashes_per_km2_year", "latitude_deg", "longitude_deg", "lowest_cell_c",
    "overvoltage_could", "supply.nominal_v", "supply.operator",
)  # fmt: skip
"""What a firm can say of all the properties of one kind in an area, before it has seen them."""


class Site(Group):
    """The property; for the sun's place a tenth of a degree of latitude and longitude will do.

    `usual` is the firm's entry for properties of this kind in this area.
    """

    usual: FreeText | None = None
    address: FreeText | None = None
    latitude_deg: Figure | None = None
    longitude_deg: Figure | None = None
    lowest_cell_c: Figure | None = None
    building: Annotated[str, words("dwelling", "ground plant", "other building")] | None = None
    ground_flashes_per_km2_year: Figure | None = None
    lightning_protection: (
        Annotated[str, words("not fitted", "kept apart", "not kept apart")] | None
    ) = None
    overvoltage_could: (
        Annotated[
            str,
            words(
                "injure or kill",
                "stop a safety service",
                "lose much money or data",
                "do no more than damage",
            ),
        ]
        | None
    ) = None
    supply: Supply = Supply()
    existing: Existing = Existing()
    agreement: Agreement = Agreement()
    board: Board = Board()


class Part(Batched):
    """One part of the job, with its own dates and clocks; what is taken away is `removed`.

    `made_safe` is the day since which nothing of the part can hurt anybody, whoever comes near.
    `frame_bonded`, `nests`, `dc_on_arrival`, `structure`, `roof_dead_kg_m2`, the dead load of
    the roof before the work, and `roof`, the covering as it was last seen from above, are
    asked of an array.
    """

    kind: Annotated[str, words("array", "inverter", "battery", "charger", "circuit", "removed")]
    agreed: DayAhead | None = None
    designed: DayAhead | None = None
    started: DayAhead | None = None
    covered: DayAhead | None = None
    made_safe: DayAhead | None = None
    in_use: DayAhead | None = None
    handed_over: DayAhead | None = None
    frame_bonded: YesNo | None = None
    roof: Annotated[str, words("weathertight", "covered for now", "open")] | None = None
    structure: (
        Annotated[str, words("sound as seen", "confirmed by a structural engineer", "doubtful")]
        | None
    ) = None
    roof_dead_kg_m2: Figure | None = None
    nests: NestCheck = NestCheck()
    dc_on_arrival: (
        Annotated[str, words("no array there", "made safe", "kept clear of", "live within reach")]
        | None
    ) = None


class LiveThing(Entry):
    """One thing that can be live when everybody has left, and what can make it so."""

    where: FreeText | None = None
    source: (
        Annotated[str, words("array in daylight", "network", "battery", "island mode", "car")]
        | None
    ) = None


class Left(Group):
    """How the site was left at the end of a visit.

    `work` is the state of what this job puts in; `live` is all of it that can be live.
    `locked_off` names the switches that were locked open, `key_with` who took the key.
    `told` is what the occupier was told, and whom; `told_by` who told them.
    """

    work: (
        Annotated[str, words("in use", "locked off", "not connected", "open but not locked")] | None
    ) = None
    live: Annotated[list[LiveThing] | None, CollectionKind()] = None
    dc_ends: Annotated[str, words("joined", "insulated", "bare", "no loose ends")] | None = None
    connectors: Annotated[str, words("joined", "capped", "open", "none fitted")] | None = None
    locked_off: Annotated[tuple[str, ...], Reference("isolators", many=True)] | None = None
    key_with: Annotated[str, Reference("people")] | None = None
    roof: Annotated[str, words("weathertight", "covered for now", "open", "not touched")] | None = (
        None
    )
    openings: Annotated[str, words("closed", "guarded", "open", "none made")] | None = None
    ladders: (
        Annotated[str, words("taken away", "closed off", "left standing", "none used")] | None
    ) = None
    told: FreeText | None = None
    told_by: Annotated[str, Reference("people")] | None = None


class Visit(Usual):
    """One day on site; `scaffold_inspected` is the day of the latest inspection by that day."""

    on: Day
    who: Annotated[tuple[str, ...], Reference("people", many=True)] | None = None
    done: FreeText | None = None
    access: Annotated[str, words("scaffold", "tower", "ladder", "none needed")] | None = None
    scaffold_inspected: Day | None = None
    scaffold_found: Annotated[str, words("safe", "not safe")] | None = None
    left: Left = Left()
    next_on: WholeDay | None = None
    next_who: Annotated[tuple[str, ...], Reference("people", many=True)] | None = None


def visit_names(days: Iterable[str]) -> Iterator[str]:
    """What people call each visit, by its day; a second one that day is `visit 2 of` it."""
    counted: dict[str, int] = {}
    for day in (moment[:10] for moment in days):
        counted[day] = number = counted.get(day, 0) + 1
        yield f"visit of {day}" if number == 1 else f"visit {number} of {day}"


NOTIFICATIONS = (
    "network notice",
    "scheme certificate",
    "building regulations notice",
    "building regulations certificate",
)


class Notification(Entry):
    """What was sent about one part of the job, and the day on which it went out.

    The network notice goes to the network operator, the scheme certificate to the scheme's
    register, the notice to the local authority and the certificate to the occupier.
    """

    notice: Annotated[str, words(*NOTIFICATIONS)]
    of: Annotated[str, Reference("parts", back="notifications")]
    on: Day


class Alteration(Entry):
    """A repair or change after testing: what was measured before that day is open again."""

    altered: Annotated[str, words("string", "circuit")]
    on: Day
    what: FreeText | None = None


class StringAlteration(Alteration):
    """A change to one string."""

    tag: ClassVar[str] = "string"

    of: Annotated[str, Reference("strings", back="alterations")]


class CircuitAlteration(Alteration):
    """A change to one circuit."""

    tag: ClassVar[str] = "circuit"

    of: Annotated[str, Reference("circuits", back="alterations")]
