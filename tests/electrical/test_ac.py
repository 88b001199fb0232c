"""Earth fault loops: the range of validity, its ends, beyond them; which way inputs push."""

from __future__ import annotations

from collections.abc import Callable
from math import inf, nan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from compliance.electrical.ac import (
    loop_impedance_limit_ohm,
    output_current_a,
    summed_loop_impedance_ohm,
    touch_voltage_v,
)
from compliance.errors import OutOfRangeError

steady = settings(derandomize=True, max_examples=60, deadline=None)

multiples = st.floats(1.0, 50.0)
ratings = st.floats(0.5, 250.0)
voltages = st.floats(50.0, 400.0)
factors = st.floats(0.9, 1.0)
resistances = st.floats(0.1, 5000.0)
residuals = st.sampled_from([10.0, 30.0, 100.0, 300.0, 500.0])

SOUND: dict[Callable[..., float], dict[str, float]] = {
    loop_impedance_limit_ohm: {
        "tripping_current_multiple": 5.0,
        "rated_current_a": 32.0,
        "nominal_voltage_v": 230.0,
        "cmin": 0.95,
    },
    touch_voltage_v: {"electrode_resistance_ohm": 180.0, "residual_operating_current_ma": 30.0},
    summed_loop_impedance_ohm: {"external_ohm": 0.35, "line_and_protective_ohm": 0.4},
    output_current_a: {"rated_power_kw": 3.68, "phases": 1.0, "nominal_voltage_v": 230.0},
}
RANGES = {"tripping_current_multiple": (1.0, 50.0), "cmin": (0.9, 1.0), "phases": (1.0, 3.0)}
BEYOND = {
    "tripping_current_multiple": [0.99, 50.1],
    "cmin": [0.89, 1.01, 95.0],
    "phases": [1.5, 4.0],
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
    sizes = BEYOND.get(name, [1e-300, 1e300])
    for value in [*sizes, 0.0, -1.0, nan, inf, -inf, True]:
        with pytest.raises(OutOfRangeError) as refused:
            function(**{**SOUND[function], name: value})
        assert refused.value.name == name
        assert refused.value.value is value


@steady
@given(multiples, ratings, voltages, factors)
def test_a_loop_at_its_limit_drives_exactly_the_tripping_current(
    multiple: float, rated_a: float, nominal_v: float, cmin: float
) -> None:
    limit_ohm = loop_impedance_limit_ohm(multiple, rated_a, nominal_v, cmin)
    assert nominal_v * cmin / limit_ohm == pytest.approx(multiple * rated_a, rel=1e-9)


@steady
@given(multiples, ratings, ratings, factors)
def test_a_greater_rating_never_allows_a_greater_loop(
    multiple: float, one_a: float, other_a: float, cmin: float
) -> None:
    small, large = sorted((one_a, other_a))
    assert loop_impedance_limit_ohm(multiple, large, 230.0, cmin) <= (
        loop_impedance_limit_ohm(multiple, small, 230.0, cmin)
    )


@steady
@given(multiples, multiples, ratings)
def test_a_later_trip_never_allows_a_greater_loop(one: float, other: float, rated_a: float) -> None:
    early, late = sorted((one, other))
    assert loop_impedance_limit_ohm(late, rated_a, 230.0, 0.95) <= (
        loop_impedance_limit_ohm(early, rated_a, 230.0, 0.95)
    )


@steady
@given(resistances, resistances, residuals)
def test_a_worse_electrode_never_lowers_the_touch_voltage(
    one_ohm: float, other_ohm: float, residual_ma: float
) -> None:
    better, worse = sorted((one_ohm, other_ohm))
    assert touch_voltage_v(worse, residual_ma) >= touch_voltage_v(better, residual_ma)


def test_a_milliampere_is_a_thousandth_of_an_ampere() -> None:
    assert touch_voltage_v(1000.0, 30.0) == pytest.approx(30.0)


@steady
@given(resistances, resistances)
def test_a_summed_loop_is_greater_than_either_half(one_ohm: float, other_ohm: float) -> None:
    summed = summed_loop_impedance_ohm(one_ohm, other_ohm)
    assert summed > max(one_ohm, other_ohm)
    assert summed == summed_loop_impedance_ohm(other_ohm, one_ohm)


@steady
@given(st.floats(0.5, 100.0), st.sampled_from([1, 2, 3]), voltages)
def test_the_currents_of_all_phases_carry_the_rated_power(
    rated_kw: float, phases: int, nominal_v: float
) -> None:
    current_a = output_current_a(rated_kw, phases, nominal_v)
    assert phases * nominal_v * current_a / 1000 == pytest.approx(rated_kw, rel=1e-9)
