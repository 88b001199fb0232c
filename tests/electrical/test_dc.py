"""Strings: the range of validity, its ends, beyond them; and which way each input pushes."""

from __future__ import annotations

from collections.abc import Callable
from math import inf, nan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from compliance.electrical.dc import (
    cold_open_circuit_voltage_v,
    expected_open_circuit_voltage_v,
    greatest_short_circuit_current_a,
    spread_percent,
    system_voltage_v,
)
from compliance.errors import OutOfRangeError

steady = settings(derandomize=True, max_examples=60, deadline=None)

counts = st.integers(1, 60)
volts = st.floats(0.5, 200.0)
amperes = st.floats(0.01, 40.0)
coefficients = st.floats(-1.0, -0.05)
cold = st.floats(-40.0, 25.0)
cells = st.floats(-40.0, 90.0)
light = st.floats(200.0, 1500.0)

SOUND: dict[Callable[..., float], dict[str, float]] = {
    cold_open_circuit_voltage_v: {
        "modules": 9,
        "module_voc_stc_v": 41.8,
        "voc_coefficient_percent_per_k": -0.27,
        "lowest_cell_c": -15.0,
    },
    system_voltage_v: {"modules": 9, "module_voc_stc_v": 41.8},
    expected_open_circuit_voltage_v: {
        "modules": 9,
        "module_voc_stc_v": 41.8,
        "voc_coefficient_percent_per_k": -0.27,
        "cell_c": 31.0,
        "irradiance_w_m2": 640.0,
    },
    greatest_short_circuit_current_a: {"parallel": 2, "module_isc_stc_a": 13.9},
}
RANGES = {
    "modules": (1, 10_000),
    "parallel": (1, 10_000),
    "voc_coefficient_percent_per_k": (-1.0, -0.05),
    "lowest_cell_c": (-40.0, 25.0),
    "cell_c": (-40.0, 90.0),
    "irradiance_w_m2": (200.0, 1500.0),
}
BEYOND = {
    "modules": [0, -1, 10_001, 8.5],
    "parallel": [0, -1, 10_001, 1.5],
    "module_voc_stc_v": [0.0, -41.8, 1e-300, 1e300],
    "module_isc_stc_a": [0.0, -13.9, 1e-300, 1e300],
    "voc_coefficient_percent_per_k": [-1.01, -0.049, 0.0, 0.27, -0.0027],
    "lowest_cell_c": [-40.1, 25.1],
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


@pytest.mark.parametrize("function", [f for f in SOUND if "modules" in SOUND[f]], ids=named)
def test_a_whole_number_of_modules_may_be_written_with_a_point(
    function: Callable[..., float],
) -> None:
    assert function(**{**SOUND[function], "modules": 9.0}) == function(**SOUND[function])


def test_at_stc_a_string_has_its_datasheet_voltage() -> None:
    assert cold_open_circuit_voltage_v(9, 41.8, -0.27, 25.0) == pytest.approx(9 * 41.8)
    assert expected_open_circuit_voltage_v(9, 41.8, -0.27, 25.0, 1000.0) == pytest.approx(9 * 41.8)


@steady
@given(counts, volts, coefficients, cold, cold)
def test_a_colder_string_never_has_less_voltage(
    modules: int, voc_v: float, coefficient: float, one_c: float, other_c: float
) -> None:
    colder, warmer = sorted((one_c, other_c))
    assert cold_open_circuit_voltage_v(
        modules, voc_v, coefficient, colder
    ) >= cold_open_circuit_voltage_v(modules, voc_v, coefficient, warmer)


@steady
@given(counts, volts, coefficients, coefficients)
def test_a_steeper_coefficient_never_gives_less_cold_voltage(
    modules: int, voc_v: float, one: float, other: float
) -> None:
    steeper, flatter = sorted((one, other))
    assert cold_open_circuit_voltage_v(
        modules, voc_v, steeper, -15.0
    ) >= cold_open_circuit_voltage_v(modules, voc_v, flatter, -15.0)


@steady
@given(counts, volts, coefficients, cold)
def test_one_module_more_adds_exactly_its_share(
    modules: int, voc_v: float, coefficient: float, lowest_c: float
) -> None:
    one = cold_open_circuit_voltage_v(1, voc_v, coefficient, lowest_c)
    string = cold_open_circuit_voltage_v(modules, voc_v, coefficient, lowest_c)
    longer = cold_open_circuit_voltage_v(modules + 1, voc_v, coefficient, lowest_c)
    assert longer - string == pytest.approx(one, rel=1e-9)


@steady
@given(counts, volts, coefficients, cold)
def test_cold_voltage_is_what_full_light_would_show_at_that_temperature(
    modules: int, voc_v: float, coefficient: float, lowest_c: float
) -> None:
    cold_v = cold_open_circuit_voltage_v(modules, voc_v, coefficient, lowest_c)
    lit_v = expected_open_circuit_voltage_v(modules, voc_v, coefficient, lowest_c, 1000.0)
    assert cold_v == pytest.approx(lit_v, rel=1e-12)


@steady
@given(counts, volts, coefficients, cells, light, light)
def test_more_light_never_lowers_the_expected_voltage(
    modules: int, voc_v: float, coefficient: float, cell_c: float, one: float, other: float
) -> None:
    dim, bright = sorted((one, other))
    dim_v = expected_open_circuit_voltage_v(modules, voc_v, coefficient, cell_c, dim)
    bright_v = expected_open_circuit_voltage_v(modules, voc_v, coefficient, cell_c, bright)
    assert bright_v >= dim_v


@steady
@given(counts, volts, coefficients, cells, light)
def test_the_expected_voltage_stays_above_zero_over_the_whole_range(
    modules: int, voc_v: float, coefficient: float, cell_c: float, irradiance: float
) -> None:
    assert expected_open_circuit_voltage_v(modules, voc_v, coefficient, cell_c, irradiance) > 0


@steady
@given(counts, volts)
def test_system_voltage_lies_a_quarter_above_stc(modules: int, voc_v: float) -> None:
    assert system_voltage_v(modules, voc_v) * 4 == pytest.approx(modules * voc_v * 5)


@steady
@given(counts, amperes, amperes)
def test_more_module_current_never_gives_less_current_at_the_switch(
    parallel: int, one_a: float, other_a: float
) -> None:
    less, more = sorted((one_a, other_a))
    assert greatest_short_circuit_current_a(parallel, more) >= (
        greatest_short_circuit_current_a(parallel, less)
    )
    assert greatest_short_circuit_current_a(parallel, less) > parallel * less


def test_equal_strings_have_no_spread() -> None:
    assert spread_percent([376.2, 376.2, 376.2]) == 0


def test_two_strings_spread_by_their_difference_over_their_mean() -> None:
    assert spread_percent([390.0, 410.0]) == pytest.approx(5.0)


@steady
@given(st.lists(volts, min_size=2, max_size=12), st.floats(0.1, 100.0))
def test_spread_depends_neither_on_scale_nor_on_order(voltages: list[float], scale: float) -> None:
    spread = spread_percent(voltages)
    scaled = [v * scale for v in reversed(voltages)]
    assert spread_percent(scaled) == pytest.approx(spread, rel=1e-9, abs=1e-9)


@steady
@given(st.lists(volts, min_size=2, max_size=12))
def test_spread_is_never_milder_than_the_string_furthest_from_the_mean(
    voltages: list[float],
) -> None:
    mean_v = sum(voltages) / len(voltages)
    furthest = max(abs(v - mean_v) for v in voltages) / mean_v * 100
    assert spread_percent(voltages) >= furthest - 1e-9


@pytest.mark.parametrize("voltages", [[], [376.0]])
def test_spread_needs_two_readings(voltages: list[float]) -> None:
    with pytest.raises(OutOfRangeError, match="2 or more"):
        spread_percent(voltages)


@pytest.mark.parametrize("reading", [0.0, -376.0, nan, inf, True])
def test_spread_refuses_a_reading_that_cannot_be(reading: float) -> None:
    with pytest.raises(OutOfRangeError) as refused:
        spread_percent([376.0, reading, 375.0])
    assert refused.value.name == "open_circuit_voltages_v"
    assert refused.value.value is reading
