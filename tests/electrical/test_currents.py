"""Currents of strings: the range of validity, its ends, beyond them; which way inputs push."""

from __future__ import annotations

from collections.abc import Callable
from math import inf, nan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from compliance.electrical.currents import (
    current_spread_percent,
    expected_operating_current_a,
    expected_short_circuit_current_a,
)
from compliance.errors import OutOfRangeError

steady = settings(derandomize=True, max_examples=60, deadline=None)

rows = st.integers(1, 20)
amperes = st.floats(0.5, 30.0)
coefficients = st.floats(-0.2, 0.6)
cells = st.floats(-40.0, 90.0)
light = st.floats(200.0, 1500.0)

SOUND: dict[Callable[..., float], dict[str, float]] = {
    expected_short_circuit_current_a: {
        "parallel": 1,
        "module_isc_stc_a": 13.9,
        "isc_coefficient_percent_per_k": 0.05,
        "cell_c": 31.0,
        "irradiance_w_m2": 640.0,
    },
    expected_operating_current_a: {
        "parallel": 2,
        "module_imp_stc_a": 13.1,
        "irradiance_w_m2": 640.0,
    },
}
RANGES = {
    "parallel": (1, 10_000),
    "isc_coefficient_percent_per_k": (-0.2, 0.6),
    "cell_c": (-40.0, 90.0),
    "irradiance_w_m2": (200.0, 1500.0),
}
BEYOND = {
    "parallel": [0, -1, 10_001, 1.5],
    "module_isc_stc_a": [0.0, -13.9, 1e-300, 1e300],
    "module_imp_stc_a": [0.0, -13.1, 1e-300, 1e300],
    "isc_coefficient_percent_per_k": [-0.21, 0.61, 4.3],
    "cell_c": [-40.1, 90.1],
    "irradiance_w_m2": [199.9, 1500.1, 0.0, 0.64],
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
def test_an_input_beyond_its_range_is_named_with_its_value(
    function: Callable[..., float], name: str
) -> None:
    for value in [*BEYOND[name], nan, inf, -inf, True]:
        with pytest.raises(OutOfRangeError) as refused:
            function(**{**SOUND[function], name: value})
        assert refused.value.name == name
        assert refused.value.value is value


def test_at_stc_a_string_has_its_datasheet_current() -> None:
    assert expected_short_circuit_current_a(2, 13.9, 0.05, 25.0, 1000.0) == pytest.approx(27.8)
    assert expected_operating_current_a(2, 13.1, 1000.0) == pytest.approx(26.2)


@steady
@given(rows, amperes, coefficients, cells, light)
def test_half_the_light_is_half_the_current(
    parallel: int, isc_a: float, coefficient: float, cell_c: float, full: float
) -> None:
    half = max(200.0, full / 2)
    bright = expected_short_circuit_current_a(parallel, isc_a, coefficient, cell_c, full)
    dim = expected_short_circuit_current_a(parallel, isc_a, coefficient, cell_c, half)
    assert dim / bright == pytest.approx(half / full, rel=1e-9)
    dim, bright = (expected_operating_current_a(parallel, isc_a, g) for g in (half, full))
    assert dim / bright == pytest.approx(half / full, rel=1e-9)


@steady
@given(rows, amperes, st.floats(0.0, 0.6), cells, cells, light)
def test_warmer_cells_never_drive_less_short_circuit_current(
    parallel: int, isc_a: float, coefficient: float, one: float, other: float, g: float
) -> None:
    colder, warmer = sorted((one, other))
    assert expected_short_circuit_current_a(
        parallel, isc_a, coefficient, warmer, g
    ) >= expected_short_circuit_current_a(parallel, isc_a, coefficient, colder, g)


def test_equal_currents_in_equal_light_have_no_spread() -> None:
    assert current_spread_percent([8.1, 8.1], [600.0, 600.0]) == 0


def test_in_steady_light_the_spread_is_that_of_the_readings() -> None:
    assert current_spread_percent([7.8, 8.2], [600.0, 600.0]) == pytest.approx(5.0)


def test_light_read_with_each_current_takes_its_change_out() -> None:
    assert current_spread_percent([9.0, 4.5], [900.0, 450.0]) == pytest.approx(0, abs=1e-9)


@steady
@given(st.lists(st.tuples(amperes, light), min_size=2, max_size=12))
def test_spread_does_not_depend_on_the_order_of_strings(pairs: list[tuple[float, float]]) -> None:
    there = current_spread_percent(*zip(*pairs, strict=True))
    back = current_spread_percent(*zip(*reversed(pairs), strict=True))
    assert there == pytest.approx(back, rel=1e-9, abs=1e-9)
    assert there >= 0


@pytest.mark.parametrize(
    ("currents", "lights", "name"),
    [
        ([], [], "number of currents_a"),
        ([8.0], [600.0], "number of currents_a"),
        ([8.0, 8.0], [600.0], "number of irradiances_w_m2"),
        ([8.0, 0.0], [600.0, 600.0], "currents_a"),
        ([8.0, -8.0], [600.0, 600.0], "currents_a"),
        ([8.0, nan], [600.0, 600.0], "currents_a"),
        ([8.0, 8.0], [600.0, 199.9], "irradiances_w_m2"),
        ([8.0, 8.0], [600.0, 1500.1], "irradiances_w_m2"),
    ],
)
def test_spread_refuses_what_cannot_be_compared(
    currents: list[float], lights: list[float], name: str
) -> None:
    with pytest.raises(OutOfRangeError) as refused:
        current_spread_percent(currents, lights)
    assert refused.value.name == name
