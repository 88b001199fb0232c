"""Wind at a roof against a printed working of somebody else, and figures that engineers know."""

from __future__ import annotations

from math import isclose

import pytest

from compliance.electrical import wind


@pytest.mark.source(
    document="scribd 156788976, wind pressure on a building by EN 1991-1-4: 25 m/s, terrain 0",
    table="qp(28 m) = 1.403 kN/m² from vm = 35.659 m/s and Iv = 0.109, air of 1.25 kg/m³",
    confidence="secondary",
)
def test_exposure_of_a_printed_working() -> None:
    """Their pressure over that of 25 m/s; half a digit of 1.403 is 0.04 %."""
    printed = 1403 / (1.25 / 2 * 25.0**2)
    assert wind.exposure_factor(28.0, 0.003, 1.0) == pytest.approx(printed, rel=4e-4)


@pytest.mark.source(
    document="nef.org.uk, wind loading on solar panels: dynamic pressure 0.613 Ve²",
    table="the one factor, to half its last digit",
    confidence="secondary",
)
@pytest.mark.parametrize("wind_m_s", [20.0, 24.0, 31.0])
def test_pressure_without_exposure_is_that_of_older_british_practice(wind_m_s: float) -> None:
    assert isclose(
        wind.peak_velocity_pressure_pa(wind_m_s, 0.0, 1.0) / wind_m_s**2, 0.613, abs_tol=0.0005
    )


@pytest.mark.source(
    document="en-1991-1-4, figure 4.2: exposure factor at 10 m",
    table="curves of terrain 0, II, III and IV, as far as they can be read",
    confidence="from memory",
)
@pytest.mark.parametrize(
    ("roughness_m", "least_m", "known"),
    [(0.003, 1.0, 3.0), (0.05, 2.0, 2.35), (0.3, 5.0, 1.7), (1.0, 10.0, 1.2)],
)
def test_exposure_at_ten_metres(roughness_m: float, least_m: float, known: float) -> None:
    assert wind.exposure_factor(10.0, roughness_m, least_m) == pytest.approx(known, abs=0.05)


@pytest.mark.source(
    document="facts of the trade",
    table="1 kPa on 2 m² with coefficient 1.3 is 2.6 kN; made-up inputs",
    confidence="from memory",
)
def test_from_pressure_to_the_share_of_a_fixing() -> None:
    uplift = wind.module_uplift_kn(1000.0, 1.3, 2.0)
    demand = wind.fixing_demand_kn(uplift, 10, 26, 1.5)
    assert uplift == pytest.approx(2.6)
    assert demand == pytest.approx(1.5)
    assert wind.fixing_share_percent(demand, 2.0) == pytest.approx(75.0)
