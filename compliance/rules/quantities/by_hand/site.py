"""By hand: registered capacity, yield of a year, load of the roof."""

from __future__ import annotations

from compliance.electrical import site
from compliance.rules.quantities.by_hand.entry import ByHand, given, several

QUANTITIES = (
    ByHand(
        name="registered_capacity_kw",
        title="Registered capacity on one phase",
        formula="sum of the rated outputs",
        inputs={"source_powers_kw": several("rated output of each source on the phase")},
        calculate=site.registered_capacity_kw,
        source="erec-g98",
        clause="",
        confidence="memory",
        note="Old and new sources and batteries' inverters count; one of three phases with a "
        "third on each. rated_output_a gives the current for the limit of 16 A.",
    ),
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
    ByHand(
        name="load_change_percent",
        title="Change of the roof's dead load",
        formula="added load / existing load × 100",
        inputs={
            "added_kg_m2": given("load that the array adds"),
            "existing_kg_m2": given("dead load of the roof now"),
        },
        calculate=site.load_change_percent,
        source="approved-document-a",
        clause="",
        confidence="memory",
        note="Above about 15 % a structural engineer is needed (memory). Below it the roof's "
        "condition is still looked at by somebody competent.",
    ),
)
