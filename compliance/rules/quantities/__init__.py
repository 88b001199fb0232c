"""Worked-out values: which record fields feed which calculation, with unit and source.

Must not know requirements. Start reading in `binding.py`.
"""

from collections.abc import Iterator, Mapping

from compliance.rules.language.calculation import Calculations
from compliance.rules.quantities import (
    ac_design,
    circuits,
    compared,
    currents,
    dc_cables,
    earthing,
    inverters,
    modules,
    order,
    site,
    sky,
    string_design,
    strings,
    surge,
    year,
)
from compliance.rules.quantities.binding import Asked, Entry, Quantity, table_of

__all__ = ["CALCULATIONS", "QUANTITIES", "Asked", "Quantity", "owners_in", "table_of"]

QUANTITIES: Mapping[tuple[str, str], Quantity] = {
    (q.owner, q.name): q
    for q in (
        *modules.QUANTITIES,
        *strings.QUANTITIES,
        *currents.QUANTITIES,
        *string_design.QUANTITIES,
        *dc_cables.QUANTITIES,
        *inverters.QUANTITIES,
        *circuits.QUANTITIES,
        *ac_design.QUANTITIES,
        *order.QUANTITIES,
        *surge.QUANTITIES,
        *sky.QUANTITIES,
        *compared.QUANTITIES,
        *site.QUANTITIES,
        *earthing.QUANTITIES,
        *year.QUANTITIES,
    )
}
CALCULATIONS: Calculations = {
    key: calculation
    for key, quantity in QUANTITIES.items()
    if (calculation := quantity.calculation({name for _, name in QUANTITIES})) is not None
}
"""What the generated code works out itself: what rests on fields and limits alone."""

# Where the entries stand that quantities belong to; what is of the job stands in no collection.
_COLLECTIONS = {
    "part": "parts",
    "module": "modules",
    "string": "strings",
    "cable": "cables",
    "inverter": "inverters",
    "circuit": "circuits",
    "surge_device": "surge",
    "dc_surge_device": "dc_surge_devices",
    "ac_surge_device": "ac_surge_devices",
}


def owners_in(job: Entry) -> Iterator[tuple[str, Entry]]:
    """Every entry of a job that quantities belong to, with the owner's name; the job last."""
    for owner, collection in _COLLECTIONS.items():
        for entry in job.get(collection, ()):
            yield owner, entry
    yield "job", job
