"""Worked-out values: which record fields feed which calculation, with unit and source.

Must not know requirements. Start reading in `binding.py`.
"""

from collections.abc import Iterator, Mapping

from compliance.rules.quantities import (
    ac_design,
    circuits,
    currents,
    inverters,
    modules,
    order,
    site,
    string_design,
    strings,
    surge,
    year,
)
from compliance.rules.quantities.binding import Asked, Entry, Quantity, table_of

__all__ = ["QUANTITIES", "Asked", "Quantity", "owners_in", "table_of"]

QUANTITIES: Mapping[tuple[str, str], Quantity] = {
    (q.owner, q.name): q
    for q in (
        *modules.QUANTITIES,
        *strings.QUANTITIES,
        *currents.QUANTITIES,
        *string_design.QUANTITIES,
        *inverters.QUANTITIES,
        *circuits.QUANTITIES,
        *ac_design.QUANTITIES,
        *order.QUANTITIES,
        *surge.QUANTITIES,
        *site.QUANTITIES,
        *year.QUANTITIES,
    )
}
# Where the entries stand that quantities belong to; what is of the job stands in no collection.
_COLLECTIONS = {
    "part": "parts",
    "module": "modules",
    "string": "strings",
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
