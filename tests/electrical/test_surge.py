"""Surge protection: the range of validity, its ends, beyond them; which way inputs push."""

from __future__ import annotations

from collections.abc import Callable
from math import inf, nan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from compliance.electrical.surge import (
    critical_length_m,
    least_continuous_voltage_v,
    level_with_leads_kv,
    route_length_m,
    total_lead_m,
    weakest_section_mm2,
)
from compliance.errors import OutOfRangeError

steady = settings(derandomize=True, max_examples=60, deadline=None)

lengths = st.lists(st.floats(0.1, 500.0), min_size=1, max_size=8)
sizes = st.lists(st.floats(0.5, 120.0), min_size=1, max_size=8)
leads = st.floats(0.0, 100.0)
flashes = st.floats(0.01, 50.0)

SOUND: dict[Callable[..., float], dict[str, float]] = {
    critical_length_m: {"critical_length_factor": 115.0, "ground_flashes_per_km2_year": 0.7},
    total_lead_m: {"live_lead_m": 0.2, "earth_lead_m": 0.25},
    level_with_leads_kv: {
        "protection_level_kv": 1.8,
        "live_lead_m": 0.2,
        "earth_lead_m": 0.25,
    },
    least_continuous_voltage_v: {"nominal_voltage_v": 230.0},
}
RANGES = {
    "ground_flashes_per_km2_year": (0.01, 50.0),
    "live_lead_m": (0.0, 100.0),
    "earth_lead_m": (0.0, 100.0),
    "protection_level_kv": (0.0, 20.0),
}
BEYOND = {
    "critical_length_factor": [0.0, -115.0, 1e300],
    "ground_flashes_per_km2_year": [0.0, -0.7, 0.009, 50.1],
    "live_lead_m": [-0.1, 100.1],
    "earth_lead_m": [-0.1, 100.1],
    "protection_level_kv": [-1.8, 20.1, 1800.0],
    "nominal_voltage_v": [0.0, -230.0, 1e300],
}
INPUTS = [(function, name) for function, inputs in SOUND.items() for name in inputs]
BOUNDED = [(function, name) for function, name in INPUTS if name in RANGES]


def named(value: object) -> str:
    return getattr(value, "__name__", str(value))


@pytest.mark.parametrize(("function", "name"), BOUNDED, ids=named)
def test_both_ends_of_a_range_are_inside(function: Callable[..., float], name: str) -> None:
    for end in RANGES[name]:
        assert function(**{**SOUND[function], name: end}) > 0


@pytest.mark.parametrize(("function", "name"), INPUTS, ids=named)
def test_what_lies_beyond_a_range_is_refused_by_name(
    function: Callable[..., float], name: str
) -> None:
    for value in [*BEYOND[name], nan, inf, -inf, True]:
        with pytest.raises(OutOfRangeError, match=name):
            function(**{**SOUND[function], name: value})


@pytest.mark.parametrize("function", [route_length_m, weakest_section_mm2], ids=named)
def test_no_entry_and_an_impossible_one_are_refused(function: Callable[..., float]) -> None:
    for values in ([], [0.0], [6.0, -6.0], [6.0, nan], [inf]):
        with pytest.raises(OutOfRangeError, match=r"_m|_mm2"):
            function(values)


@steady
@given(flashes, flashes)
def test_more_flashes_never_lengthen_the_critical_length(a: float, b: float) -> None:
    few, many = sorted((a, b))
    assert critical_length_m(115, many) <= critical_length_m(115, few)


@steady
@given(lengths, st.floats(0.1, 500.0))
def test_a_further_route_lengthens_the_sum_and_the_order_does_not_matter(
    routes: list[float], further: float
) -> None:
    assert route_length_m([*routes, further]) > route_length_m(routes) >= max(routes)
    assert route_length_m(routes[::-1]) == pytest.approx(route_length_m(routes), rel=1e-12)


@steady
@given(st.floats(0.0, 20.0), leads, leads)
def test_leads_never_lower_the_level(level: float, live: float, earth: float) -> None:
    assert level_with_leads_kv(level, live, earth) >= level
    assert level_with_leads_kv(level, live, earth) == level_with_leads_kv(level, earth, live)
    assert level_with_leads_kv(level, 0, 0) == level


@steady
@given(sizes, st.floats(0.5, 120.0))
def test_a_further_section_never_strengthens_a_path(path: list[float], further: float) -> None:
    assert weakest_section_mm2([*path, further]) == min(weakest_section_mm2(path), further)
