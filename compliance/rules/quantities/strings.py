"""Worked-out values of a string of modules."""

from __future__ import annotations

from compliance.electrical import dc
from compliance.rules.quantities.alike import number_alike, readings_alike
from compliance.rules.quantities.binding import Asked, Entry, Gathered, Input, Needs, Quantity

IN_SERIES = Input("modules in series", ".in_series")
VOC = Input("open-circuit voltage of one module at STC", ".modules.voc_v")
COEFFICIENT = Input("voltage coefficient β", ".modules.voc_coefficient_percent_per_k")
ALIKE = ("modules", "in_series", "parallel")


def _count_alike(entry: Entry, asked: Asked) -> tuple[tuple[float, ...], Needs]:
    return number_alike(entry, asked, ALIKE)


def _voltages_alike(entry: Entry, asked: Asked) -> tuple[tuple[float, ...], Needs]:
    return readings_alike(entry, asked, ALIKE, ".open_circuit_voltage.value_v")


QUANTITIES = (
    Quantity(
        owner="string",
        name="cold_voc_v",
        title="Open-circuit voltage at the lowest cell temperature",
        formula="modules × Voc × (1 + β / 100 × (lowest cell temperature - 25))",
        inputs={
            "modules": IN_SERIES,
            "module_voc_stc_v": VOC,
            "voc_coefficient_percent_per_k": COEFFICIENT,
            "lowest_cell_c": Input("lowest cell temperature of the site", "site.lowest_cell_c"),
        },
        calculate=dc.cold_open_circuit_voltage_v,
        source="iec-62548",
        clause="",
        confidence="secondary",
        note="A result just under a limit deserves a second look: the straight line is about "
        "1 % low for some modules.",
    ),
    Quantity(
        owner="string",
        name="greatest_isc_a",
        title="Greatest short-circuit current in strong light",
        formula="1.25 × rows in parallel × Isc",
        inputs={
            "parallel": Input("rows in parallel", ".parallel"),
            "module_isc_stc_a": Input(
                "short-circuit current of one module at STC", ".modules.isc_a"
            ),
        },
        calculate=dc.greatest_short_circuit_current_a,
        source="iec-62548",
        clause="",
        confidence="memory",
    ),
    Quantity(
        owner="string",
        name="system_voltage_v",
        title="System voltage, for the row of the insulation table",
        formula="1.25 × modules × Voc",
        inputs={"modules": IN_SERIES, "module_voc_stc_v": VOC},
        calculate=dc.system_voltage_v,
        source="iec-62446-1",
        clause="6.7",
        confidence="secondary",
    ),
    Quantity(
        owner="string",
        name="expected_voc_v",
        title="Expected open-circuit voltage at the measured light and temperature",
        formula="modules × Voc × (1 + β / 100 × (cell temperature - 25) + 0.06 × ln(light / 1000))",
        inputs={
            "modules": IN_SERIES,
            "module_voc_stc_v": VOC,
            "voc_coefficient_percent_per_k": COEFFICIENT,
            "cell_c": Input("cell temperature when read", ".open_circuit_voltage.cell_c"),
            "irradiance_w_m2": Input("light when read", ".open_circuit_voltage.irradiance_w_m2"),
        },
        calculate=dc.expected_open_circuit_voltage_v,
        source="iec-60891",
        clause="",
        confidence="secondary",
        note="In dim light the factor 0.06 of the light term differs between modules.",
    ),
    Quantity(
        owner="string",
        name="like_strings",
        title="Strings with the same modules in the same number",
        formula="counted",
        inputs={"counted": Gathered("strings alike", _count_alike, ".modules")},
        calculate=lambda counted: counted[0],
        source="common-practice",
        clause="",
        confidence="common practice",
        is_printed=False,
    ),
    Quantity(
        owner="string",
        name="voc_spread_percent",
        title="Spread of open-circuit voltage among like strings",
        formula="(greatest - least) / mean × 100",
        inputs={
            "open_circuit_voltages_v": Gathered(
                "voltages of like strings", _voltages_alike, ".open_circuit_voltage.value_v"
            )
        },
        calculate=dc.spread_percent,
        source="iec-62446-1",
        clause="6.4",
        confidence="secondary",
        note="Holds for readings in steady light, one soon after the other.",
    ),
)
