"""The shipped limit tables of tests against what others printed, as far as it was found."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest
from rules.small import shipped

from compliance.electrical import loop_impedance_limit_ohm, summed_loop_impedance_ohm
from compliance.rules.language.interval import point

Published = Callable[[str], list[dict[str, str]]]
DAY = date(2026, 11, 6)


def limit(name: str, *arguments: object) -> float:
    found = shipped().rules.tables.value(name, arguments, DAY)
    assert found is not None
    assert found.is_point
    return found.low


@pytest.mark.source(
    document="PV commissioning poster, IEC 62446:2009 era, and iec-62446-1",
    table="insulation of PV arrays",
    confidence="secondary",
)
def test_rows_of_the_array_insulation_table(published: Published) -> None:
    rows = published("array_insulation.csv")
    assert len(rows) == 6
    for row in rows:
        system = point(float(row["system_voltage_v"]))
        assert limit("insulation_test_v", system) == float(row["test_voltage_v"])
        assert limit("insulation_megohm", system) == float(row["least_megohm"])


@pytest.mark.source(document="bs-7671-2018-a2", table="64", confidence="from memory")
def test_rows_of_the_circuit_insulation_table(published: Published) -> None:
    rows = published("circuit_insulation.csv")
    assert len(rows) == 5
    for row in rows:
        nominal = point(float(row["nominal_v"]))
        assert limit("circuit_insulation_test_v", nominal) == float(row["test_voltage_v"])
        assert limit("circuit_insulation_megohm", nominal) == float(row["least_megohm"])


@pytest.mark.source(document="bs-en-61008-1", table="break times", confidence="from memory")
def test_break_times_of_rcds(published: Published) -> None:
    rows = published("rcd_times.csv")
    assert len(rows) == 2
    for row in rows:
        assert limit("rcd_least_ms", row["delay"]) == float(row["least_ms"])
        assert limit("rcd_most_ms", row["delay"]) == float(row["most_ms"])


@pytest.mark.source(
    document="worked example in a thread of diydoctor.org.uk (t2402)",
    table="1.5/1.0 mm², 10 m, Ze 0.6 Ω: R1 + R2 printed 0.36 Ω, Zs 0.96 Ω",
    confidence="secondary",
)
def test_the_printed_sum_of_a_worked_example() -> None:
    """Tolerance: half a unit of the last printed digit of each of the two."""
    r1_r2_ohm = 10 * 30.2 / 1000 * 1.2
    assert r1_r2_ohm == pytest.approx(0.36, abs=0.005)
    assert summed_loop_impedance_ohm(0.6, r1_r2_ohm) == pytest.approx(0.96, abs=0.005)


@pytest.mark.source(
    document="bs-7671-2018-a2, Appendix 3, as told in a thread of electriciansforums.net (174091)",
    table="80 % for cold readings; books print 1.10 or 1.09 Ω for curve B, 32 A",
    confidence="secondary",
)
@pytest.mark.parametrize("printed_ohm", [1.09, 1.10])
def test_neither_printed_cold_limit_fails(printed_ohm: float) -> None:
    exact_ohm = loop_impedance_limit_ohm(5, 32.0, 230.0, limit("voltage_factor"))
    allowed_ohm = limit("cold_reading_percent") / 100 * exact_ohm + limit("rounding_ohm")
    assert printed_ohm <= allowed_ohm < 1.11


@pytest.mark.source(
    document="bs-7671-2018-a2, 411.5.3, as quoted in a thread of electriciansforums.net",
    table="RA × IΔn not above 50 V",
    confidence="secondary",
)
def test_the_touch_voltage_limit() -> None:
    assert limit("fault_touch_limit_v") == 50
