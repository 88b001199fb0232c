"""Loop impedance limits against the table that electricians carry, as remembered.

The method (U0 × Cmin / Ia, Cmin 0.95) is secondary; the printed values are from memory
and were found equal to the computed ones. Tolerance: half a unit of the last printed
digit, as far as rounding can go.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest
from reference.short_circuit import U0_V, least_current_ka

from compliance.electrical import loop_impedance_limit_ohm

Published = Callable[[str], list[dict[str, str]]]

MULTIPLES = {"b_ohm": 5.0, "c_ohm": 10.0, "d_ohm": 20.0}
HALF_A_PRINTED_DIGIT_OHM = 0.005 + 1e-9


def differences(rows: list[dict[str, str]], cmin: float) -> list[str]:
    """Every cell of the table that the formula does not give."""
    found = []
    for row in rows:
        rated_a = float(row["rated_current_a"])
        for column in MULTIPLES.keys() & row.keys():
            worked_ohm = loop_impedance_limit_ohm(MULTIPLES[column], rated_a, 230.0, cmin)
            if abs(worked_ohm - float(row[column])) > HALF_A_PRINTED_DIGIT_OHM:
                found.append(f"{column} {rated_a:g} A: {worked_ohm:.4f}, printed {row[column]}")
    return found


@pytest.mark.source(document="bs-7671-2018-a2", table="41.3", confidence="from memory")
def test_all_39_limits_of_breakers_b_c_and_d(published: Published) -> None:
    rows = published("loop_impedance.csv")
    assert [len(row) for row in rows] == [4] * 13
    assert differences(rows, cmin=0.95) == []


@pytest.mark.source(
    document="BS 7671 17th edition, before Cmin", table="41.3, column B", confidence="from memory"
)
def test_without_cmin_the_limits_are_the_older_and_milder_ones(published: Published) -> None:
    rows = published("loop_impedance_before_2015.csv")
    assert len(rows) == 8
    assert differences(rows, cmin=1.0) == []
    assert len(differences(rows, cmin=0.95)) == len(rows)


@pytest.mark.source(
    document="pandapower 3.5.6: calc_sc, three-phase as stand-in, case min, tolerance 6 %",
    table="the loop of each limit as its line",
    confidence="opened",
)
@pytest.mark.parametrize("multiple", [5.0, 10.0, 20.0])
@pytest.mark.parametrize("rated_a", [6.0, 16.0, 32.0, 45.0, 100.0])
def test_in_the_loop_of_its_limit_a_device_gets_just_the_current_it_needs(
    multiple: float, rated_a: float
) -> None:
    """Within 0.001 %: the program's source has some impedance of its own."""
    limit_ohm = loop_impedance_limit_ohm(multiple, rated_a, U0_V, 0.95)
    assert least_current_ka(limit_ohm) * 1000 == pytest.approx(multiple * rated_a, rel=1e-5)
