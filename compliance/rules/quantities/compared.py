"""Like strings of one inverter, brought to equal conditions: which of them stands apart."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

from compliance.electrical import compared, measured
from compliance.electrical.dc import STC_CELL_C, STC_IRRADIANCE_W_M2
from compliance.rules.quantities.binding import Asked, Entry, Gathered, Input, Needs, Quantity
from compliance.values import Over, Unknown

Numbers = tuple[tuple[float, ...], Needs]

LIKE = ("modules", "in_series", "parallel")
VOC_COEFFICIENT = Input("voltage coefficient β", ".modules.voc_coefficient_percent_per_k")
ISC_COEFFICIENT = Input("current coefficient α", ".modules.isc_coefficient_percent_per_k")
LIGHT = Input("tolerance of the light meter", "limits.light_meter_percent")
CELL = Input("how far the cell temperature may be off", "limits.cell_thermometer_k")


def like_on_inverter(string: Entry, strings: Iterable[Entry]) -> Iterator[Entry]:
    """The other strings of the same modules, in the same number, on the same inverter.

    Only those of which the record says so; a string that leaves it open is left out.
    """
    if _inverter(string) is None or any(string.get(name) is None for name in LIKE):
        return
    for other in strings:
        if other is string or _inverter(other) is not _inverter(string):
            continue
        if other.get("modules") is string["modules"] and all(
            other.get(name) == string[name] for name in LIKE[1:]
        ):
            yield other


def _inverter(string: Entry) -> Entry | None:
    found: Entry | None = string["input"].get("inverter")
    return found


def _others(quantity: str) -> Callable[[Entry, Asked], Numbers]:
    """What the others read at equal conditions; those that cannot be brought there left out."""

    def gathered(entry: Entry, asked: Asked) -> Numbers:
        found: list[float] = []
        for other in like_on_inverter(entry, asked.job.get("strings", ())):
            value = asked.worked(quantity, other)
            if not (value is None or isinstance(value, Over | Unknown)):
                found.append(value)
        return tuple(found), ()

    return gathered


def _read_in(field: str) -> Callable[[Entry, Asked], Numbers]:
    """What the voltages of a string and its like were read in."""

    def gathered(entry: Entry, asked: Asked) -> Numbers:
        group = [entry, *like_on_inverter(entry, asked.job.get("strings", ()))]
        return tuple(
            string["open_circuit_voltage"][field]
            for string in group
            if isinstance(asked.worked("read_voc_stc_v", string), float)
        ), ()

    return gathered


def _voltage_pair(
    tolerance_percent: float, irradiances_w_m2: Sequence[float], cells_c: Sequence[float]
) -> float:
    between = compared.conditions_percent(irradiances_w_m2, cells_c)
    return measured.combined_tolerance_percent([tolerance_percent, tolerance_percent, between])


def _against_datasheet(tolerance_percent: float, irradiance_w_m2: float, cell_c: float) -> float:
    between = compared.conditions_percent(
        [irradiance_w_m2, STC_IRRADIANCE_W_M2], [cell_c, STC_CELL_C]
    )
    return measured.combined_tolerance_percent([tolerance_percent, between])


def _current_pair(tolerance_percent: float) -> float:
    return measured.combined_tolerance_percent([tolerance_percent, tolerance_percent])


def _odd(name: str, read: str, what: str, tolerance: str) -> Quantity:
    return Quantity(
        owner="string",
        name=name,
        title=f"By how much a string alone among its like stands apart in its {what}",
        formula="distance to the nearest of the others, if beyond the tolerance and no other is so",
        inputs={
            "own": Input(f"{what} at STC", f".{read}"),
            "others": Gathered(f"{what} of like strings", _others(read), f".{read}"),
            "tolerance_percent": Input("how far two of them may differ", f".{tolerance}"),
        },
        calculate=compared.odd_by_percent,
        source="common-practice",
        clause="",
        confidence="common practice",
        is_printed=False,
    )


QUANTITIES = (
    Quantity(
        owner="string",
        name="read_voc_stc_v",
        title="Open-circuit voltage as read, brought to 25 °C and 1000 W/m²",
        formula="V / (1 + β / 100 × (cell temperature - 25) + 0.06 × ln(light / 1000))",
        inputs={
            "measured_v": Input("voltage as read", ".open_circuit_voltage.value_v"),
            "voc_coefficient_percent_per_k": VOC_COEFFICIENT,
            "cell_c": Input("cell temperature when read", ".open_circuit_voltage.cell_c"),
            "irradiance_w_m2": Input("light when read", ".open_circuit_voltage.irradiance_w_m2"),
        },
        calculate=measured.voc_at_stc_v,
        source="iec-60891",
        clause="",
        confidence="secondary",
        is_printed=False,
    ),
    Quantity(
        owner="string",
        name="read_isc_stc_a",
        title="Short-circuit current as read, brought to 25 °C and 1000 W/m²",
        formula="I × 1000 / light / (1 + α / 100 × (cell temperature - 25))",
        inputs={
            "measured_a": Input("current as read", ".short_circuit_current.value_a"),
            "isc_coefficient_percent_per_k": ISC_COEFFICIENT,
            "cell_c": Input("cell temperature when read", ".short_circuit_current.cell_c"),
            "irradiance_w_m2": Input("light when read", ".short_circuit_current.irradiance_w_m2"),
        },
        calculate=measured.isc_at_stc_a,
        source="iec-60891",
        clause="",
        confidence="memory",
        is_printed=False,
    ),
    Quantity(
        owner="string",
        name="voc_tolerance_percent",
        title="How far a string's open-circuit voltage at STC may be off",
        formula="√(meter² + (6 × ln(1 + light / 100))² + (cell × β)² + modules²)",
        inputs={
            "meter_percent": Input("tolerance of the voltmeter", "limits.voltmeter_percent"),
            "light_percent": LIGHT,
            "cell_k": CELL,
            "voc_coefficient_percent_per_k": VOC_COEFFICIENT,
            "module_percent": Input("tolerance of the modules", "limits.module_voc_percent"),
        },
        calculate=compared.voltage_tolerance_percent,
        source="jcgm-100",
        clause="",
        confidence="memory",
        is_printed=False,
    ),
    Quantity(
        owner="string",
        name="expected_voc_tolerance_percent",
        title="How far a sound string's open-circuit voltage may lie off its expected one",
        formula="√(tolerance of one² + what light and temperature between it and STC leave open²)",
        inputs={
            "tolerance_percent": Input("tolerance of one", ".voc_tolerance_percent"),
            "irradiance_w_m2": Input("light when read", ".open_circuit_voltage.irradiance_w_m2"),
            "cell_c": Input("cell temperature when read", ".open_circuit_voltage.cell_c"),
        },
        calculate=_against_datasheet,
        source="jcgm-100",
        clause="",
        confidence="memory",
        is_printed=False,
    ),
    Quantity(
        owner="string",
        name="isc_tolerance_percent",
        title="How far a string's short-circuit current at STC may be off",
        formula="√(meter² + light² + (cell × α)² + modules²)",
        inputs={
            "meter_percent": Input("tolerance of the ammeter", "limits.ammeter_percent"),
            "light_percent": LIGHT,
            "cell_k": CELL,
            "isc_coefficient_percent_per_k": ISC_COEFFICIENT,
            "module_percent": Input("tolerance of the modules", "limits.module_isc_percent"),
        },
        calculate=compared.current_tolerance_percent,
        source="jcgm-100",
        clause="",
        confidence="memory",
        is_printed=False,
    ),
    Quantity(
        owner="string",
        name="voc_pair_tolerance_percent",
        title="How far the open-circuit voltages of two like strings may differ",
        formula="√(2 × tolerance of one² + what light and temperature between them leave open²)",
        inputs={
            "tolerance_percent": Input("tolerance of one", ".voc_tolerance_percent"),
            "irradiances_w_m2": Gathered(
                "light of each", _read_in("irradiance_w_m2"), ".open_circuit_voltage"
            ),
            "cells_c": Gathered(
                "cell temperature of each", _read_in("cell_c"), ".open_circuit_voltage"
            ),
        },
        calculate=_voltage_pair,
        source="jcgm-100",
        clause="",
        confidence="memory",
        is_printed=False,
    ),
    Quantity(
        owner="string",
        name="isc_pair_tolerance_percent",
        title="How far the short-circuit currents of two like strings may differ",
        formula="√2 × tolerance of one",
        inputs={"tolerance_percent": Input("tolerance of one", ".isc_tolerance_percent")},
        calculate=_current_pair,
        source="jcgm-100",
        clause="",
        confidence="memory",
        is_printed=False,
    ),
    _odd(
        "odd_voc_by_percent",
        "read_voc_stc_v",
        "open-circuit voltage",
        "voc_pair_tolerance_percent",
    ),
    _odd(
        "odd_isc_by_percent",
        "read_isc_stc_a",
        "short-circuit current",
        "isc_pair_tolerance_percent",
    ),
)
