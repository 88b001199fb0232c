"""Worked-out values of an inverter."""

from __future__ import annotations

from compliance.electrical import ac
from compliance.rules.quantities.binding import Input, Quantity

QUANTITIES = (
    Quantity(
        owner="inverter",
        name="rated_output_a",
        title="Output current at rated power",
        formula="1000 × rated power / (phases × nominal voltage)",
        inputs={
            "rated_power_kw": Input("rated power of the inverter", ".rated_kw"),
            "phases": Input("phases of the inverter", ".phases"),
            "nominal_voltage_v": Input("nominal voltage to neutral", "site.supply.nominal_v"),
        },
        calculate=ac.output_current_a,
        source="common-practice",
        clause="",
        confidence="common practice",
        note="At a power factor of 1 and nominal voltage. The maker's greatest output current "
        "is higher and counts as well.",
    ),
)
