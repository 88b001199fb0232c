"""By hand: registered capacity, yield of a year, load of the roof."""

from __future__ import annotations

from compliance.electrical import site
from compliance.rules.quantities.by_hand.entry import ByHand, given

QUANTITIES = (
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
