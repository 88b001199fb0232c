"""Worked-out currents of a string of modules."""

from __future__ import annotations

from compliance.electrical import currents
from compliance.rules.quantities.alike import number_alike, readings_alike
from compliance.rules.quantities.binding import Asked, Entry, Gathered, Input, Needs, Quantity

PARALLEL = Input("rows in parallel", ".parallel")
ALIKE = ("modules", "parallel")
"""The number in series does not change a string's current, nor does its face once the
light on that face was read."""

Numbers = tuple[tuple[float, ...], Needs]


def _count_alike(entry: Entry, asked: Asked) -> Numbers:
    return number_alike(entry, asked, ALIKE)


def _short_circuit_currents(entry: Entry, asked: Asked) -> Numbers:
    return readings_alike(entry, asked, ALIKE, ".short_circuit_current.value_a")


def _light_of_short_circuit_currents(entry: Entry, asked: Asked) -> Numbers:
    return readings_alike(entry, asked, ALIKE, ".short_circuit_current.irradiance_w_m2")


def _operating_currents(entry: Entry, asked: Asked) -> Numbers:
    return readings_alike(entry, asked, ALIKE, ".operating_current.value_a")


def _light_of_operating_currents(entry: Entry, asked: Asked) -> Numbers:
    return readings_alike(entry, asked, ALIKE, ".operating_current.irradiance_w_m2")


SPREAD_FORMULA = "(greatest - least) / mean × 100, of current / light"
SPREAD_NOTE = (
    "Each current is set against the light read with it; in steady light that changes nothing."
)

QUANTITIES = (
    Quantity(
        owner="string",
        name="expected_isc_a",
        title="Expected short-circuit current at the measured light and temperature",
        formula="rows in parallel × Isc × light / 1000 × (1 + α / 100 × (cell temperature - 25))",
        inputs={
            "parallel": PARALLEL,
            "module_isc_stc_a": Input(
                "short-circuit current of one module at STC", ".modules.isc_a"
            ),
            "isc_coefficient_percent_per_k": Input(
                "current coefficient α", ".modules.isc_coefficient_percent_per_k"
            ),
            "cell_c": Input("cell temperature when read", ".short_circuit_current.cell_c"),
            "irradiance_w_m2": Input("light when read", ".short_circuit_current.irradiance_w_m2"),
        },
        calculate=currents.expected_short_circuit_current_a,
        source="iec-60891",
        clause="",
        confidence="memory",
        note="Light on the back of bifacial modules comes on top.",
    ),
    Quantity(
        owner="string",
        name="expected_operating_a",
        title="Expected operating current at the measured light",
        formula="rows in parallel × Imp × light / 1000",
        inputs={
            "parallel": PARALLEL,
            "module_imp_stc_a": Input(
                "current of one module at greatest power, at STC", ".modules.imp_a"
            ),
            "irradiance_w_m2": Input("light when read", ".operating_current.irradiance_w_m2"),
        },
        calculate=currents.expected_operating_current_a,
        source="iec-62446-1",
        clause="6.5.3",
        confidence="secondary",
        note="Holds while the inverter takes all it can get, not at its power limit.",
    ),
    Quantity(
        owner="string",
        name="like_currents",
        title="Strings with the same modules in the same number of rows",
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
        name="isc_spread_percent",
        title="Spread of short-circuit current among like strings",
        formula=SPREAD_FORMULA,
        inputs={
            "currents_a": Gathered(
                "currents of like strings",
                _short_circuit_currents,
                ".short_circuit_current.value_a",
            ),
            "irradiances_w_m2": Gathered(
                "light read with each",
                _light_of_short_circuit_currents,
                ".short_circuit_current.irradiance_w_m2",
            ),
        },
        calculate=currents.current_spread_percent,
        source="iec-62446-1",
        clause="6.5.2",
        confidence="secondary",
        note=SPREAD_NOTE,
    ),
    Quantity(
        owner="string",
        name="operating_spread_percent",
        title="Spread of operating current among like strings",
        formula=SPREAD_FORMULA,
        inputs={
            "currents_a": Gathered(
                "currents of like strings", _operating_currents, ".operating_current.value_a"
            ),
            "irradiances_w_m2": Gathered(
                "light read with each",
                _light_of_operating_currents,
                ".operating_current.irradiance_w_m2",
            ),
        },
        calculate=currents.current_spread_percent,
        source="iec-62446-1",
        clause="6.5.3",
        confidence="secondary",
        note=SPREAD_NOTE,
    ),
)
