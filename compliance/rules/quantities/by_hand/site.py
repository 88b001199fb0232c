"""By hand: registered capacity, yield of a year, load of the roof."""

from __future__ import annotations

from compliance.electrical import site
from compliance.rules.quantities.by_hand.entry import ByHand, given, several

QUANTITIES = (
    ByHand(
        name="shade_factor",
        title="Shade factor of a roof face",
        formula="1 - 0.01 × shaded segments",
        inputs={"shaded_segments": given("shaded segments of the sun-path chart")},
        calculate=site.shade_factor,
        source="mis-3002",
        clause="",
        confidence="memory",
    ),
    ByHand(
        name="annual_yield_kwh",
        title="Energy of a year by the standard method",
        formula="sum over the faces of power × specific yield × shade factor",
        inputs={
            "face_powers_kw": several("power of each face at STC"),
            "specific_yields_kwh_per_kw": several("tabulated yearly yield of each face"),
            "shade_factors": several("shade factor of each face"),
        },
        calculate=site.annual_yield_kwh,
        source="mis-3002",
        clause="",
        confidence="memory",
        note="Guidance for the first year and no guarantee of what the weather will do. The "
        "scheme's table of specific yields is not here: enter its figure.",
    ),
    ByHand(
        name="added_load_kg_m2",
        title="Load that an array adds to the roof under it",
        formula="(modules × mass of one + mounting) / covered area",
        inputs={
            "modules": given("modules on the face"),
            "module_mass_kg": given("mass of one module"),
            "mounting_mass_kg": given("mass of all mounting parts"),
            "covered_m2": given("area of the roof that is covered"),
        },
        calculate=site.added_load_kg_m2,
        source="common-practice",
        clause="",
        confidence="common practice",
        note="Dead load only: wind, snow and the points where fixings bring it down are for a "
        "structural engineer.",
    ),
)
