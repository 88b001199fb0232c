"""The output current of an inverter against a limit that is printed in both units."""

from __future__ import annotations

import pytest

from compliance.electrical import output_current_a


@pytest.mark.source(
    document="pages of network operators on small generation (G98)",
    table="16 A a phase is 3.68 kW on one phase at 230 V",
    confidence="secondary",
)
def test_the_printed_limit_is_one_limit_in_amperes_and_kilowatts() -> None:
    """Tolerance: half a unit of the last printed digit, 0.005 kW at 230 V."""
    assert output_current_a(3.68, 1, 230.0) == pytest.approx(16.0, rel=0, abs=5 / 230)


@pytest.mark.source(
    document="power of balanced phases",
    table="three phases carry three times the power of one at the same current",
    confidence="common practice, no source",
)
def test_three_phases_carry_three_times_the_power_of_one() -> None:
    assert output_current_a(11.04, 3, 230.0) == pytest.approx(output_current_a(3.68, 1, 230.0))
