"""Against worked examples that others printed; tolerance is always the last printed digit.

Printed figures are rounded, so half a unit of their last digit is the most that a right
calculation can differ by.
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

import pytest

from compliance.electrical import (
    cold_open_circuit_voltage_v,
    greatest_short_circuit_current_a,
    system_voltage_v,
    touch_voltage_v,
)

Published = Callable[[str], list[dict[str, str]]]


def half_a_digit(printed: str) -> float:
    """Half a unit of the last printed digit, and a trace for binary fractions."""
    exponent = Decimal(printed).as_tuple().exponent
    assert isinstance(exponent, int)
    return 0.5 * 10.0**exponent + 1e-9


@pytest.mark.source(
    document="training pages on string sizing", table="worked examples", confidence="secondary"
)
def test_cold_voltage_of_printed_examples(published: Published) -> None:
    rows = published("cold_open_circuit_voltage.csv")
    assert len(rows) == 2
    for row in rows:
        voc_v = float(row["module_voc_stc_v"])
        if row["voc_coefficient_percent_per_k"]:
            coefficient = float(row["voc_coefficient_percent_per_k"])
        else:
            coefficient = 100 * float(row["voc_coefficient_v_per_k"]) / voc_v
        worked_v = cold_open_circuit_voltage_v(1, voc_v, coefficient, float(row["lowest_cell_c"]))
        assert worked_v == pytest.approx(
            float(row["printed_v"]), rel=0, abs=half_a_digit(row["printed_v"])
        )


@pytest.mark.source(
    document="training page amozeshbargh.ir/post-69",
    table="modules in series under 1000 V",
    confidence="secondary",
)
def test_eighteen_modules_of_the_printed_example_stay_under_1000_v() -> None:
    assert cold_open_circuit_voltage_v(18, 49.5, -0.28, -5.0) < 1000
    assert cold_open_circuit_voltage_v(19, 49.5, -0.28, -5.0) > 1000


@pytest.mark.source(
    document="rule of thumb of the trade",
    table="1 % more voltage for every 3 K: +15 % at -20 °C",
    confidence="common practice, no source",
)
def test_a_third_of_a_percent_per_kelvin_is_fifteen_percent_at_minus_twenty() -> None:
    assert cold_open_circuit_voltage_v(1, 100.0, -1 / 3, -20.0) == pytest.approx(115.0, rel=1e-9)


@pytest.mark.source(
    document="gb-microgeneration-practice",
    table="voltage factor 1.15 for crystalline modules, cells down to -15 °C",
    confidence="from memory",
)
def test_the_trade_guides_factor_is_never_exceeded_up_to_its_coefficient() -> None:
    """1.15 belongs to -0.375 %/K at -15 °C: flatter modules stay below, steeper ones don't."""
    assert cold_open_circuit_voltage_v(1, 100.0, -0.375, -15.0) == pytest.approx(115.0, rel=1e-9)
    assert cold_open_circuit_voltage_v(1, 100.0, -0.28, -15.0) < 115.0
    assert cold_open_circuit_voltage_v(1, 100.0, -0.40, -15.0) > 115.0


@pytest.mark.source(
    document="instruction manual of a charge controller, page 39",
    table="factor 1.25, and 1.25 again",
    confidence="secondary",
)
def test_short_circuit_current_of_the_printed_example(published: Published) -> None:
    rows = published("short_circuit_current.csv")
    assert len(rows) == 2
    for row in rows:
        worked_a = greatest_short_circuit_current_a(1, float(row["current_a"]))
        assert worked_a == pytest.approx(
            float(row["printed_a"]), rel=0, abs=half_a_digit(row["printed_a"])
        )


@pytest.mark.source(
    document="PV commissioning poster, IEC 62446:2009 era (studylib.net/doc/18490683)",
    table="Voc at STC × 1.25 chooses the test voltage: above 500 V means 1000 V",
    confidence="secondary",
)
def test_the_step_at_500_v_lies_at_400_v_of_datasheet_voltage() -> None:
    """Recomputed from the factor: 500 / 1.25 = 400 V of Voc at STC."""
    assert system_voltage_v(10, 40.0) == 500.0
    assert system_voltage_v(10, 40.1) > 500.0


@pytest.mark.source(
    document="bs-7671-2018-a2 as quoted in a forum thread", table="41.5", confidence="secondary"
)
def test_printed_electrode_resistances_give_50_v(published: Published) -> None:
    """Tolerance: half a printed ohm times the current. So the printed 1667 Ω is 50.01 V."""
    rows = published("electrode_resistance.csv")
    assert len(rows) == 4
    for row in rows:
        residual_ma = float(row["residual_operating_current_ma"])
        worked_v = touch_voltage_v(float(row["printed_ohm"]), residual_ma)
        tolerance_v = half_a_digit(row["printed_ohm"]) * residual_ma / 1000
        assert worked_v == pytest.approx(50.0, rel=0, abs=tolerance_v)
