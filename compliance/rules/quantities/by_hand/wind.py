"""By hand: wind at the roof, its pull on a module, and what each fixing has to bear."""

from __future__ import annotations

from compliance.electrical import wind
from compliance.rules.quantities.by_hand.entry import ByHand, Told, given

ENGINEER = (
    "In outline. A structural engineer is needed on a steep hill or ridge, at the edge of the sea, "
    "on a tall building, in the edge zone of the roof, on a flat roof, and where the roof's own "
    "timbers are in doubt."
)
WHOLE_PERCENT = 100


def _held(demand_kn: float, resistance_kn: float) -> Told:
    """Whether the declared resistance is enough, and what is needed where it is not."""
    if wind.fixing_share_percent(demand_kn, resistance_kn) <= WHOLE_PERCENT:
        return (("declared resistance", "enough for this demand, if the timber under it is sound"),)
    return (("declared resistance", "not enough: more fixings, or a structural engineer"),)


QUANTITIES = (
    ByHand(
        name="exposure_factor",
        title="Exposure factor of terrain and height",
        formula="(0.19 × (z0 / 0.05)^0.07 × ln(z / z0))² × (1 + 7 / ln(z / z0))",
        inputs={
            "roof_height_m": given("height z of the ridge above ground"),
            "roughness_length_m": given("roughness length z0", "roughness_length_m"),
            "least_wind_height_m": given("least height for z", "least_wind_height_m"),
        },
        calculate=wind.exposure_factor,
        source="en-1991-1-4",
        clause="4.3 to 4.5",
        confidence="memory",
        note="For level ground, by the general text: the national annex's charts rise towards the "
        f"shore, so take the coast's row when in doubt. {ENGINEER}",
    ),
    ByHand(
        name="peak_velocity_pressure_pa",
        title="Peak velocity pressure of the wind at the roof",
        formula="1.226 / 2 × (basic wind × (1 + 0.001 × altitude))² × exposure factor",
        inputs={
            "basic_wind_m_s": given("basic wind velocity of the place, national map"),
            "altitude_m": given("height of the site above sea level"),
            "exposure_factor": given("exposure factor, as exposure_factor gives it"),
        },
        calculate=wind.peak_velocity_pressure_pa,
        source="en-1991-1-4",
        clause="4.5",
        confidence="memory",
        note=f"The worst direction and season, and no hill. {ENGINEER}",
    ),
    ByHand(
        name="module_uplift_kn",
        title="Pull of the wind on one module",
        formula="pressure × coefficient × area / 1000",
        inputs={
            "peak_pressure_pa": given("peak pressure, as peak_velocity_pressure_pa gives it"),
            "uplift_coefficient": given("net uplift coefficient by size", "uplift_coefficient"),
            "module_area_m2": given("area of one module"),
        },
        calculate=wind.module_uplift_kn,
        source="en-1991-1-4",
        clause="5.3",
        confidence="memory",
        note=f"The module's own weight would help and is left out. {ENGINEER}",
    ),
    ByHand(
        name="fixing_demand_kn",
        title="Pull of the wind that each fixing has to bear",
        formula="uplift of a module × modules × load factor / fixings",
        inputs={
            "one_module_kn": given("uplift of one module, as module_uplift_kn gives it"),
            "modules": given("modules that the fixings hold"),
            "fixings": given("fixings that hold them"),
            "load_factor": given("factor on the wind", "wind_load_factor"),
        },
        calculate=wind.fixing_demand_kn,
        source="common-practice",
        clause="",
        confidence="common practice",
        note="As if all shared it evenly; under a rail over several fixings the inner ones bear "
        f"more. {ENGINEER}",
    ),
    ByHand(
        name="fixing_share_percent",
        title="How much of a fixing's declared resistance the wind takes up",
        formula="demand / resistance × 100",
        inputs={
            "demand_kn": given("demand of each fixing, as fixing_demand_kn gives it"),
            "resistance_kn": given("design resistance of one fixing, as its maker declares it"),
        },
        calculate=wind.fixing_share_percent,
        source="common-practice",
        clause="",
        confidence="common practice",
        note=f"Declared for the timber and covering that it was tested on. {ENGINEER}",
        also=_held,
    ),
)
