"""By hand: volt drop, capacity, resistance and adiabatic size of cables."""

from __future__ import annotations

from compliance.electrical import cables
from compliance.rules.quantities.by_hand.entry import ByHand, given

CAPACITY_NOTE = "Enter 1 for a factor whose condition is that of the table."
CA = given("factor Ca for the surroundings", "ambient_70_factor")
CG = given("factor Cg for loaded cables beside it", "grouping_factor")
CI = given("factor Ci for thermal insulation")
K = given("factor k", "adiabatic_factor")
ROUTE = given("length of the route, one way")
DROP = given("tabulated drop of the cable", "drop_70_mv_per_a_m")

QUANTITIES = (
    ByHand(
        name="conductor_milliohm_per_m",
        title="Resistance of a copper conductor at a temperature",
        formula="r20 × (1 + 0.00393 × (t - 20))",
        inputs={
            "cold_milliohm_per_m": given("resistance at 20 °C", "copper_milliohm_per_m"),
            "conductor_c": given("temperature of the conductor"),
        },
        calculate=cables.conductor_resistance_milliohm_per_m,
        source="iec-60228",
        clause="",
        confidence="secondary",
        note="Tables of the wiring regulations take 0.004 for 0.00393: 1.20 at 70 °C.",
    ),
    ByHand(
        name="dc_drop_v",
        title="Volt drop of a DC cable",
        formula="2 × current × route × resistance / 1000",
        inputs={
            "current_a": given("current at greatest power"),
            "route_m": ROUTE,
            "conductor_milliohm_per_m": given(
                "resistance of one conductor", "flexible_tinned_milliohm_per_m"
            ),
        },
        calculate=cables.dc_drop_v,
        source="gb-microgeneration-practice",
        clause="",
        confidence="secondary",
        note="With the resistance at 20 °C it is that of a cool cable; conductor_milliohm_per_m "
        "gives it warm.",
    ),
    ByHand(
        name="drop_percent",
        title="Volt drop in percent",
        formula="drop / voltage × 100",
        inputs={
            "drop_v": given("volt drop"),
            "at_v": given("voltage at greatest power, or nominal voltage"),
        },
        calculate=cables.drop_percent,
        source="bs-7671-2018-a2",
        clause="Appendix 4",
        confidence="secondary",
        note="The limits are drop_limit_percent and dc_drop_limit_percent.",
    ),
    ByHand(
        name="needed_tabulated_a",
        title="Tabulated current that a cable needs",
        formula="In / (Ca × Cg × Ci)",
        inputs={
            "rated_current_a": given("rated current of the device"),
            "ambient_factor": CA,
            "grouping_factor": CG,
            "insulation_factor": CI,
        },
        calculate=cables.needed_tabulated_a,
        source="bs-7671-2018-a2",
        clause="Appendix 4",
        confidence="secondary",
        note=CAPACITY_NOTE,
    ),
    ByHand(
        name="r1_r2_ohm",
        title="Resistance R1 + R2 from length and sizes",
        formula="length × (r1 + r2) × temperature factor / 1000",
        inputs={
            "length_m": given("length of the circuit"),
            "line_milliohm_per_m": given(
                "resistance of the line conductor at 20 °C", "copper_milliohm_per_m"
            ),
            "protective_milliohm_per_m": given(
                "resistance of the protective conductor at 20 °C", "copper_milliohm_per_m"
            ),
            "temperature_factor": given(
                "factor for the conductors' temperature", "resistance_factor"
            ),
        },
        calculate=cables.line_and_protective_ohm,
        source="iec-60228",
        clause="",
        confidence="secondary",
        note="Factor 1 to compare with a cold reading, 1.20 for conductors at 70 °C.",
    ),
    ByHand(
        name="adiabatic_mm2",
        title="Least size of a protective conductor that a fault does not overheat",
        formula="current × √time / k",
        inputs={
            "fault_current_a": given("earth fault current"),
            "time_s": given("time in which the device disconnects"),
            "adiabatic_factor": K,
        },
        calculate=cables.adiabatic_size_mm2,
        source="bs-7671-2018-a2",
        clause="543.1.3",
        confidence="secondary",
        note="For the worst fault along the circuit, not only that at its far end.",
    ),
)
