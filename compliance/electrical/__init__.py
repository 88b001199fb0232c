"""Pure calculations on plain numbers: no record, no file, standard library only.

Every parameter carries its unit as suffix; an impossible input raises, a missing one
never gets here. Start reading in `dc.py`.
"""

from compliance.electrical.ac import (
    loop_impedance_limit_ohm,
    output_current_a,
    summed_loop_impedance_ohm,
    touch_voltage_v,
)
from compliance.electrical.currents import (
    current_spread_percent,
    expected_operating_current_a,
    expected_short_circuit_current_a,
)
from compliance.electrical.dc import (
    cold_open_circuit_voltage_v,
    expected_open_circuit_voltage_v,
    greatest_short_circuit_current_a,
    spread_percent,
    system_voltage_v,
)
from compliance.electrical.surge import (
    critical_length_m,
    least_continuous_voltage_v,
    level_with_leads_kv,
    route_length_m,
    total_lead_m,
    weakest_section_mm2,
)

__all__ = [
    "cold_open_circuit_voltage_v",
    "critical_length_m",
    "current_spread_percent",
    "expected_open_circuit_voltage_v",
    "expected_operating_current_a",
    "expected_short_circuit_current_a",
    "greatest_short_circuit_current_a",
    "least_continuous_voltage_v",
    "level_with_leads_kv",
    "loop_impedance_limit_ohm",
    "output_current_a",
    "route_length_m",
    "spread_percent",
    "summed_loop_impedance_ohm",
    "system_voltage_v",
    "total_lead_m",
    "touch_voltage_v",
    "weakest_section_mm2",
]
