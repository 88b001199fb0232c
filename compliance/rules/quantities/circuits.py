"""Worked-out values of an AC circuit."""

from __future__ import annotations

from compliance.electrical import ac
from compliance.rules.quantities.binding import Input, Quantity

QUANTITIES = (
    Quantity(
        owner="circuit",
        name="loop_limit_ohm",
        title="Greatest earth fault loop impedance for its circuit-breaker",
        formula="nominal voltage × Cmin / (tripping multiple × rated current)",
        inputs={
            "nominal_voltage_v": Input("nominal voltage to earth", "site.supply.nominal_v"),
            "cmin": Input("voltage factor Cmin", "limits.voltage_factor"),
            "tripping_current_multiple": Input(
                "tripping multiple of the curve", "limits.tripping_multiple", ".device.curve"
            ),
            "rated_current_a": Input("rated current of the device", ".device.rated_a"),
        },
        calculate=ac.loop_impedance_limit_ohm,
        source="bs-7671-2018-a2",
        clause="411.4.4",
        confidence="memory",
        note="For disconnection within 0.4 s at conductor working temperature; a reading taken "
        "cold should lie lower, by common practice at 80 % of it.",
    ),
)
