"""DC cables where they lie, tails and earthing conductors, against figures from outside.

Tolerance of a printed figure: half a unit of its last digit, as printed figures are rounded.
"""

from __future__ import annotations

from datetime import date
from math import sqrt

import pytest

from compliance.electrical import cables, dc_cables, parallel, protection
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


@pytest.mark.source(
    document="extract of table 4D1A at scribd.com 377981020, of an older edition",
    table="single-core cables clipped direct: two of one phase, three or four of three phases",
    confidence="secondary",
)
@pytest.mark.parametrize(
    ("size_mm2", "one_phase_a", "three_phase_a"),
    [(6, 47, 43), (10, 65, 59), (16, 87, 79), (25, 114, 104), (35, 141, 129), (50, 182, 167)],
)
def test_tails_carry_what_the_printed_table_says(
    size_mm2: float, one_phase_a: float, three_phase_a: float
) -> None:
    assert limit("tails_one_phase_a", float(size_mm2)) == one_phase_a
    assert limit("tails_three_phase_a", float(size_mm2)) == three_phase_a
    # A size just below one of the table carries what the next smaller one does.
    assert limit("tails_one_phase_a", size_mm2 - 0.01) < one_phase_a


@pytest.mark.source(
    document="forum threads: electriciansforums.net 97575, engx.theiet.org 29006",
    table="a supply of 100 A: tails of 25 mm² with an earth of 16 mm²; tails of 16 mm² too small",
    confidence="secondary",
)
def test_a_supply_of_100_a_has_the_tails_and_the_earth_that_electricians_know() -> None:
    assert limit("tails_one_phase_a", 16.0) < 100 <= limit("tails_one_phase_a", 25.0)
    assert protection.protective_size_mm2(25.0) == 16.0


@pytest.mark.source(
    document="a guide to the design of installations of the 17th edition, page 167 (issuu.com)",
    table="E 4.6: least earthing conductor on a PME supply by the size of its neutral",
    confidence="secondary",
)
@pytest.mark.parametrize(
    ("neutral_mm2", "earthing_mm2"),
    [(25, 10), (35, 10), (50, 16), (70, 25), (95, 25), (120, 35), (150, 35), (185, 50)],
)
def test_the_earthing_conductor_of_a_pme_supply(neutral_mm2: float, earthing_mm2: float) -> None:
    assert limit("pme_bond_mm2", float(neutral_mm2)) == earthing_mm2


@pytest.mark.source(
    document="uk.d-i-y thread on tails and earths (homeownershub.com 3460099)",
    table="7.3 mm² with k 143 for a conductor apart from cables; 115 beside them",
    confidence="secondary",
)
def test_an_earthing_conductor_beside_cables_needs_more_than_one_apart() -> None:
    """The printed size gives the energy, and that the greater size with the lower k."""
    energy_a2_s = (
        7.3 * limit("adiabatic_factor", "separate copper with 70 or 90 °C thermoplastic")
    ) ** 2
    factor = limit("adiabatic_factor", "copper in a cable of 70 °C")
    size_mm2 = cables.adiabatic_size_by_energy_mm2(energy_a2_s, factor)
    assert size_mm2 == pytest.approx(7.3 * 143 / 115, rel=1e-12)
