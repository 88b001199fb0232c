"""By hand: readings at standard conditions, tolerances, cell temperatures."""

from __future__ import annotations

from compliance.electrical import measured
from compliance.rules.quantities.by_hand.entry import ByHand, given, several

READ_V = given("open-circuit voltage as read")
BETA = given("voltage coefficient β")
CELL = given("cell temperature when read")
LIGHT = given("light when read")
STRING = {
    "measured_v": READ_V,
    "modules": given("modules in series"),
    "module_voc_stc_v": given("open-circuit voltage of one module at STC"),
    "voc_coefficient_percent_per_k": BETA,
}

QUANTITIES = (
    ByHand(
        name="voc_at_stc_v",
        title="Open-circuit voltage brought to STC, with the light term",
        formula="V / (1 + β / 100 × (cell temperature - 25) + 0.06 × ln(light / 1000))",
        inputs={
            "measured_v": READ_V,
            "voc_coefficient_percent_per_k": BETA,
            "cell_c": CELL,
            "irradiance_w_m2": LIGHT,
        },
        calculate=measured.voc_at_stc_v,
        source="iec-60891",
        clause="",
        confidence="secondary",
        note="The factor 0.06 of the light term is the typical one; modules differ by 0.02.",
    ),
    ByHand(
        name="voc_at_stc_linear_v",
        title="Open-circuit voltage brought to 25 °C, light left out",
        formula="V / (1 + β / 100 × (cell temperature - 25))",
        inputs={
            "measured_v": READ_V,
            "voc_coefficient_percent_per_k": BETA,
            "cell_c": CELL,
        },
        calculate=measured.voc_at_stc_linear_v,
        source="iec-60891",
        clause="",
        confidence="secondary",
        note="About 2 % low from a reading at 650 W/m².",
    ),
    ByHand(
        name="isc_at_stc_a",
        title="Short-circuit current brought to STC",
        formula="I × 1000 / light / (1 + α / 100 × (cell temperature - 25))",
        inputs={
            "measured_a": given("short-circuit current as read"),
            "isc_coefficient_percent_per_k": given("current coefficient α"),
            "cell_c": CELL,
            "irradiance_w_m2": LIGHT,
        },
        calculate=measured.isc_at_stc_a,
        source="iec-60891",
        clause="",
        confidence="memory",
    ),
    ByHand(
        name="combined_tolerance_percent",
        title="Tolerance of meter, light, thermometer and module together",
        formula="square root of the sum of squares",
        inputs={"tolerances_percent": several("tolerance of each")},
        calculate=measured.combined_tolerance_percent,
        source="jcgm-100",
        clause="",
        confidence="memory",
    ),
    ByHand(
        name="cell_from_air_c",
        title="Cell temperature from the air's",
        formula="air + (NOCT - 20) × light / 800",
        inputs={
            "air_c": given("temperature of the air"),
            "noct_c": given("nominal operating cell temperature of the module"),
            "irradiance_w_m2": LIGHT,
        },
        calculate=measured.cell_from_air_c,
        source="common-practice",
        clause="",
        confidence="common practice",
        note="An estimate; close to a roof modules are warmer.",
    ),
    ByHand(
        name="cell_from_back_c",
        title="Cell temperature from that on the back of a module",
        formula="back + 3 × light / 1000",
        inputs={
            "back_c": given("temperature on the back"),
            "irradiance_w_m2": LIGHT,
        },
        calculate=measured.cell_from_back_c,
        source="common-practice",
        clause="",
        confidence="common practice",
    ),
    ByHand(
        name="cell_from_voltage_c",
        title="Cell temperature that would explain a voltage",
        formula="25 + (V / (modules × Voc) - 1 - 0.06 × ln(light / 1000)) × 100 / β",
        inputs={**STRING, "irradiance_w_m2": LIGHT},
        calculate=measured.cell_from_voltage_c,
        source="iec-60904-5",
        clause="",
        confidence="memory",
        note="Far from what a thermometer says: the string is not what it should be.",
    ),
    ByHand(
        name="light_from_voltage_w_m2",
        title="Light that would explain a voltage",
        formula="1000 × exp((V / (modules × Voc) - 1 - β / 100 × (temperature - 25)) / 0.06)",
        inputs={**STRING, "cell_c": CELL},
        calculate=measured.light_from_voltage_w_m2,
        source="iec-60891",
        clause="",
        confidence="secondary",
        note="Rough: 1 % of voltage is a sixth of the light.",
    ),
    ByHand(
        name="resistance_at_20_ohm",
        title="Resistance of a copper conductor brought to 20 °C",
        formula="R / (1 + 0.00393 × (t - 20))",
        inputs={
            "measured_ohm": given("resistance as read"),
            "conductor_c": given("temperature of the conductor when read"),
        },
        calculate=measured.resistance_at_20_ohm,
        source="iec-60228",
        clause="",
        confidence="secondary",
    ),
)
