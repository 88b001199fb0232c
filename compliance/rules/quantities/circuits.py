"""Worked-out values of an AC circuit."""

from __future__ import annotations

from compliance.electrical import ac
from compliance.rules.quantities.binding import Asked, Entry, Gathered, Input, Needs, Quantity, walk


def _residual_ma(entry: Entry, asked: Asked) -> tuple[tuple[float, ...], Needs]:
    """The rated residual current of the circuit's RCD, if it has one."""
    devices, lacking = walk(".rcd", entry, asked)
    if lacking:
        return (), lacking
    if not devices:
        return (), (("rcd", "none, and this asks for one"),)
    value, lacking = walk(".residual_ma", devices[0], asked)
    return ((), tuple((f"rcd.{p}", r) for p, r in lacking)) if lacking else ((value,), ())


RESIDUAL = Gathered("rated residual current of the RCD", _residual_ma, ".rcd")
TOUCH_FORMULA = "resistance to earth × rated residual current"


def _touch_voltage_v(
    electrode_resistance_ohm: float, residual_operating_current_ma: tuple[float, ...]
) -> float:
    return ac.touch_voltage_v(electrode_resistance_ohm, residual_operating_current_ma[0])


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
    Quantity(
        owner="circuit",
        name="summed_loop_ohm",
        title="Earth fault loop impedance by the sum of its halves",
        formula="Ze + (R1 + R2)",
        inputs={
            "external_ohm": Input("external loop impedance Ze", "site.supply.ze_ohm"),
            "line_and_protective_ohm": Input(
                "line and protective conductor R1 + R2", ".continuity.r1_r2_ohm"
            ),
        },
        calculate=ac.summed_loop_impedance_ohm,
        source="bs-7671-2018-a2",
        clause="643.7.3",
        confidence="memory",
        note="Both halves as measured, cold.",
    ),
    Quantity(
        owner="circuit",
        name="fault_touch_v",
        title="Touch voltage at the current that opens the RCD",
        formula=TOUCH_FORMULA,
        inputs={
            "electrode_resistance_ohm": Input(
                "loop impedance, taken as the resistance to earth", ".loop_impedance.zs_ohm"
            ),
            "residual_operating_current_ma": RESIDUAL,
        },
        calculate=_touch_voltage_v,
        source="bs-7671-2018-a2",
        clause="411.5.3",
        confidence="secondary",
        note="The loop holds the supply's half as well: the true voltage is lower.",
    ),
    Quantity(
        owner="circuit",
        name="summed_fault_touch_v",
        title="Touch voltage at the current that opens the RCD, by the summed impedance",
        formula=TOUCH_FORMULA,
        inputs={
            "electrode_resistance_ohm": Input("Ze + (R1 + R2)", ".summed_loop_ohm"),
            "residual_operating_current_ma": RESIDUAL,
        },
        calculate=_touch_voltage_v,
        source="bs-7671-2018-a2",
        clause="411.5.3",
        confidence="secondary",
    ),
)
