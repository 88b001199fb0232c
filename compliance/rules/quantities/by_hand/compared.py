"""By hand: readings at equal conditions beside each other, and what they may differ by."""

from __future__ import annotations

from collections.abc import Sequence

from compliance.electrical import compared
from compliance.electrical.compared import Verdict
from compliance.electrical.measured import combined_tolerance_percent
from compliance.rules.quantities.by_hand.entry import ByHand, Told, given, several
from compliance.units import find, rounded

PERCENT = find("percent")
LIGHT = given("tolerance of the light meter", "light_meter_percent")
CELL = given("how far the cell temperature may be off", "cell_thermometer_k")


def _change_percent(then: float, now: float, tolerances_percent: Sequence[float]) -> float:
    change = compared.change_percent(then, now)
    combined_tolerance_percent(tolerances_percent)  # refuses what is none
    return change


def _within(then: float, now: float, tolerances_percent: Sequence[float]) -> Told:
    """Whether the difference is more than both tolerances together explain."""
    allowed = combined_tolerance_percent(tolerances_percent)
    is_within = abs(compared.change_percent(then, now)) <= allowed
    told = "within it: it says nothing" if is_within else "beyond it: something changed"
    return ("the tolerances together", rounded(allowed, PERCENT)), ("the difference is", told)


def _others(own: float, others: Sequence[float], tolerance_percent: float) -> Told:
    """What the readings tell of each."""
    verdicts = Verdict.of([own, *others], tolerance_percent)
    names = ("its own", *(f"other {number}" for number in range(1, len(verdicts))))
    return tuple(zip(names, verdicts, strict=True))


QUANTITIES = (
    ByHand(
        name="voltage_tolerance_percent",
        title="Tolerance of an open-circuit voltage brought to STC",
        formula="√(meter² + (6 × ln(1 + light / 100))² + (cell × β)² + modules²)",
        inputs={
            "meter_percent": given("tolerance of the voltmeter", "voltmeter_percent"),
            "light_percent": LIGHT,
            "cell_k": CELL,
            "voc_coefficient_percent_per_k": given("voltage coefficient β"),
            "module_percent": given("tolerance of the modules", "module_voc_percent"),
        },
        calculate=compared.voltage_tolerance_percent,
        source="jcgm-100",
        clause="",
        confidence="memory",
        note="For one string read twice its modules are the same: their tolerance is 0.",
    ),
    ByHand(
        name="current_tolerance_percent",
        title="Tolerance of a current brought to STC",
        formula="√(meter² + light² + (cell × α)² + modules²)",
        inputs={
            "meter_percent": given("tolerance of the ammeter", "ammeter_percent"),
            "light_percent": LIGHT,
            "cell_k": CELL,
            "isc_coefficient_percent_per_k": given("current coefficient α"),
            "module_percent": given("tolerance of the modules", "module_isc_percent"),
        },
        calculate=compared.current_tolerance_percent,
        source="jcgm-100",
        clause="",
        confidence="memory",
    ),
    ByHand(
        name="conditions_percent",
        title="What sound voltages may differ by once several conditions are made equal",
        formula="2.25 × ln(greatest light / least light) + 0.065 × (greatest - least temperature)",
        inputs={
            "irradiances_w_m2": several("light of each reading"),
            "cells_c": several("cell temperature of each"),
        },
        calculate=compared.conditions_percent,
        source="common-practice",
        clause="",
        confidence="common practice",
        note="Nine in ten modules stay within it; combine it with the tolerances of both.",
    ),
    ByHand(
        name="operating_at_full_light_a",
        title="Operating current brought to 1000 W/m²",
        formula="I × 1000 / light",
        inputs={
            "measured_a": given("operating current as read"),
            "irradiance_w_m2": given("light when read"),
        },
        calculate=compared.operating_at_full_light_a,
        source="iec-62446-1",
        clause="6.5.3",
        confidence="secondary",
        note="Temperature is left out, which costs up to 4 %.",
    ),
    ByHand(
        name="then_and_now_percent",
        title="Difference of two readings of one thing, both brought to equal conditions",
        formula="(now / then - 1) × 100",
        inputs={
            "then": given("the earlier reading at equal conditions"),
            "now": given("the later one, in the same unit"),
            "tolerances_percent": several("tolerance of each"),
        },
        calculate=_change_percent,
        source="common-practice",
        clause="",
        confidence="common practice",
        also=_within,
    ),
    ByHand(
        name="odd_one_percent",
        title="By how much a string stands apart from every other of its like, if it alone does",
        formula="distance to the nearest of the others; 0 where it does not, or who can tell",
        inputs={
            "own": given("its reading at equal conditions"),
            "others": several("the same of each of the others"),
            "tolerance_percent": given("how far two of them may differ by their tolerances"),
        },
        calculate=compared.odd_by_percent,
        source="common-practice",
        clause="",
        confidence="common practice",
        also=_others,
    ),
)
