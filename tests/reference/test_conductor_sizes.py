"""DC cables where they lie, against figures from outside.

Tolerance of a printed figure: half a unit of its last digit, as printed figures are rounded.
"""

from __future__ import annotations

from datetime import date
from math import sqrt

import pytest

from compliance.electrical import dc_cables, parallel
from compliance.files.resources import rulesets_folder
from compliance.rules.quantities import table_of
from compliance.rules.ruleset import load_rules

DAY = date(2026, 11, 27)
TABLES = load_rules(rulesets_folder(), "gb").tables


def limit(name: str, at: str | float | None = None) -> float:
    """A limit as the quantities ask for it."""
    value, needs = table_of(DAY, TABLES, name, at)
    assert value is not None, needs
    return value


@pytest.mark.source(
    document="IEC 60287: losses and temperature rise of a cable are proportional",
    table="conductor at 120 °C: √((120 - 70) / (120 - 60)) of the current at 60 °C around it",
    confidence="from memory",
)
def test_the_heat_under_modules_costs_what_the_balance_of_heat_says() -> None:
    """Tolerance: one in the last digit of a factor printed with two decimals."""
    share = sqrt((120 - 70) / (120 - 60))
    told_a = dc_cables.dc_capacity_a(
        limit("pv_cable_current_a", 4.0),
        limit("pv_cable_heat_percent"),
        limit("grouping_factor", "1"),
    )
    assert told_a == pytest.approx(limit("pv_cable_current_a", 4.0) * share, rel=0.01)


@pytest.mark.source(
    document="IEC 60287: losses and temperature rise of a cable are proportional",
    table="a bundle of n pairs has √n times the surface of one, and sheds no more heat than that",
    confidence="from memory",
)
def test_more_strings_together_carry_less_each_and_more_in_all() -> None:
    capacities = [
        dc_cables.dc_capacity_a(44.0, 92.0, limit("grouping_factor", str(strings)))
        for strings in range(1, 10)
    ]
    assert capacities == sorted(capacities, reverse=True)
    together = [strings * one for strings, one in enumerate(capacities, 1)]
    assert together == sorted(together)
    for strings, one in enumerate(capacities, 1):
        assert strings * one**2 <= sqrt(strings) * capacities[0] ** 2 * (1 + 1e-12)


@pytest.mark.source(
    document="manual of a charge controller, page 39; forum thread diynot.com 94235",
    table="two strings of 9.2 A: 1.25 × 9.2 = 11.5 A; 34.52 A × 1.03 × 0.90 = 32 A",
    confidence="secondary",
)
def test_printed_examples_of_currents_in_cables() -> None:
    input_a = parallel.input_short_circuit_a([1.25 * 9.2, 1.25 * 9.2])
    assert dc_cables.beside_current_a(input_a, 1.25 * 9.2) == pytest.approx(11.5, rel=0, abs=0.05)
    assert dc_cables.dc_capacity_a(34.52, 103.0, 0.90) == pytest.approx(32.0, rel=0, abs=0.05)
