"""Worked-out values of surge protection: of the job, and of each device."""

from __future__ import annotations

from compliance.electrical import surge
from compliance.rules.quantities.binding import Asked, Entry, Gathered, Input, Needs, Quantity, walk

LIVE_LEAD = Input("lead between the protected conductor and the device", ".live_lead_m")
EARTH_LEAD = Input("lead between the device and the earth bar", ".earth_lead_m")


def _routes(_: Entry, asked: Asked) -> tuple[tuple[float, ...], Needs]:
    """The length of each different route of DC cables; every string has its cables told."""
    needs: list[tuple[str, str]] = [
        (f"/{name}", "missing") for name in ("strings", "cables") if name not in asked.job
    ]
    for string in asked.job.get("strings", ()) if not needs else ():
        if not string.get("cables"):
            needs.append((f"/strings[{string['~name']}].cables", "missing"))
    longest: dict[str, float] = {}
    for cable in asked.job.get("cables", ()):
        lacking = [name for name in ("run", "route_m") if cable.get(name) is None]
        needs += [(f"/cables[{cable['~name']}].{name}", "missing") for name in lacking]
        if not lacking:
            longest[cable["run"]] = max(cable["route_m"], longest.get(cable["run"], 0.0))
    return tuple(longest.values()), tuple(needs)


def _sections(entry: Entry, asked: Asked) -> tuple[tuple[float, ...], Needs]:
    """The size of each section from a device to the main earthing terminal."""
    if entry.get("earth_path") is None:
        return (), (("earth_path", "missing"),)
    sizes: list[float] = []
    needs: list[tuple[str, str]] = []
    for section in entry["earth_path"]:
        size, lacking = walk(".size_mm2", section, asked)
        needs += [(f"earth_path[{section['~name']}].{path}", why) for path, why in lacking]
        sizes += [] if lacking else [size]
    return tuple(sizes), tuple(needs)


QUANTITIES = (
    Quantity(
        owner="job",
        name="critical_length_m",
        title="Route length from which the DC side needs surge devices",
        formula="factor of the building / flashes to ground per km² and year",
        inputs={
            "critical_length_factor": Input(
                "factor of the kind of building", "limits.critical_length_factor", "site.building"
            ),
            "ground_flashes_per_km2_year": Input(
                "flashes to ground at the site", "site.ground_flashes_per_km2_year"
            ),
        },
        calculate=surge.critical_length_m,
        source="bs-7671-2018-a2",
        clause="712.443",
        confidence="memory",
    ),
    Quantity(
        owner="job",
        name="dc_route_m",
        title="Length of all DC routes",
        formula="sum of the different routes, one that cables share counted once",
        inputs={"route_lengths_m": Gathered("length of each route", _routes, "cables")},
        calculate=surge.route_length_m,
        source="bs-7671-2018-a2",
        clause="712.443",
        confidence="memory",
        note="The sum over the whole job is taken, which is never milder than the longest route.",
    ),
    Quantity(
        owner="surge_device",
        name="total_lead_m",
        title="Total length of the leads of a surge device",
        formula="live lead + earth lead",
        inputs={"live_lead_m": LIVE_LEAD, "earth_lead_m": EARTH_LEAD},
        calculate=surge.total_lead_m,
        source="bs-7671-2018-a2",
        clause="534.4.8",
        confidence="secondary",
    ),
    Quantity(
        owner="surge_device",
        name="weakest_earth_mm2",
        title="Weakest section between a surge device and the main earthing terminal",
        formula="least of all sections",
        inputs={"section_sizes_mm2": Gathered("size of each section", _sections, ".earth_path")},
        calculate=surge.weakest_section_mm2,
        source="bs-7671-2018-a2",
        clause="534.4.10",
        confidence="memory",
    ),
    Quantity(
        owner="dc_surge_device",
        name="level_with_leads_kv",
        title="Protection level of a surge device with its leads",
        formula="Up + 1 kV/m × (live lead + earth lead)",
        inputs={
            "protection_level_kv": Input("protection level Up", ".protection_level_kv"),
            "live_lead_m": LIVE_LEAD,
            "earth_lead_m": EARTH_LEAD,
        },
        calculate=surge.level_with_leads_kv,
        source="iec-62305-4",
        clause="",
        confidence="memory",
        note="1 kV for each metre of lead is what makers reckon with; it is no measured value.",
    ),
    Quantity(
        owner="ac_surge_device",
        name="least_continuous_v",
        title="Voltage that a surge device on the AC side must bear for good",
        formula="1.1 × nominal voltage to earth",
        inputs={"nominal_voltage_v": Input("nominal voltage to earth", "site.supply.nominal_v")},
        calculate=surge.least_continuous_voltage_v,
        source="iec-60364-5-53",
        clause="table 53C",
        confidence="secondary",
    ),
)
