"""Readings beside each other: the range of validity, its ends, beyond them, and what must hold."""

from __future__ import annotations

from collections.abc import Callable
from math import inf, isfinite, nan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from compliance.electrical.compared import (
    Verdict,
    apart_percent,
    change_percent,
    conditions_percent,
    current_tolerance_percent,
    odd_by_percent,
    operating_at_full_light_a,
    voltage_tolerance_percent,
)
from compliance.errors import OutOfRangeError

steady = settings(derandomize=True, max_examples=80, deadline=None)

readings = st.lists(st.floats(50.0, 900.0), min_size=2, max_size=6)
lights = st.lists(st.floats(200.0, 1500.0), min_size=1, max_size=5)
cells = st.lists(st.floats(-40.0, 90.0), min_size=1, max_size=5)

TOLERANCES = {"meter_percent": 1.0, "light_percent": 5.0, "cell_k": 2.0, "module_percent": 3.0}
SOUND: dict[Callable[..., float], dict[str, float]] = {
    voltage_tolerance_percent: {**TOLERANCES, "voc_coefficient_percent_per_k": -0.28},
    current_tolerance_percent: {**TOLERANCES, "isc_coefficient_percent_per_k": 0.05},
    operating_at_full_light_a: {"measured_a": 6.5, "irradiance_w_m2": 650.0},
    change_percent: {"then": 360.0, "now": 351.0},
}
RANGES = {
    "meter_percent": (0.0, 25.0),
    "light_percent": (0.0, 25.0),
    "module_percent": (0.0, 25.0),
    "cell_k": (0.0, 20.0),
    "voc_coefficient_percent_per_k": (-1.0, -0.05),
    "isc_coefficient_percent_per_k": (-0.2, 0.6),
    "irradiance_w_m2": (200.0, 1500.0),
}
GIVEN = [(f, inputs, name) for f, inputs in SOUND.items() for name in inputs]


@pytest.mark.parametrize(
    ("function", "inputs", "name"), GIVEN, ids=lambda v: getattr(v, "__name__", str(v)[:40])
)
def test_both_ends_are_inside_and_what_lies_beyond_or_is_no_number_is_refused(
    function: Callable[..., float], inputs: dict[str, float], name: str
) -> None:
    beyond: list[object] = [nan, inf, -inf, True]
    if name in RANGES:
        least, greatest = RANGES[name]
        for end in (least, greatest):
            assert isfinite(function(**{**inputs, name: end}))
        beyond += [least - 0.01, greatest + 0.01]
    else:
        beyond += [0, -1.0]
    for value in beyond:
        with pytest.raises(OutOfRangeError) as refused:
            function(**{**inputs, name: value})
        assert refused.value.name == name


@pytest.mark.parametrize(
    ("function", "arguments", "name"),
    [
        (apart_percent, (320.0, []), "number of others"),
        (apart_percent, (320.0, [0.0]), "others"),
        (apart_percent, (nan, [320.0]), "own"),
        (odd_by_percent, (320.0, [360.0], 4.0), "number of others"),
        (odd_by_percent, (320.0, [360.0, -1.0], 4.0), "others"),
        (odd_by_percent, (0.0, [360.0, 359.0], 4.0), "own"),
        (odd_by_percent, (320.0, [360.0, 359.0], 25.1), "tolerance_percent"),
        (odd_by_percent, (320.0, [360.0, 359.0], nan), "tolerance_percent"),
        (conditions_percent, ([], [20.0]), "number of irradiances_w_m2"),
        (conditions_percent, ([500.0], []), "number of cells_c"),
        (conditions_percent, ([199.0], [20.0]), "irradiances_w_m2"),
        (conditions_percent, ([500.0], [91.0]), "cells_c"),
    ],
)
def test_a_list_that_cannot_be_is_refused_by_name(
    function: Callable[..., float], arguments: tuple[object, ...], name: str
) -> None:
    with pytest.raises(OutOfRangeError) as refused:
        function(*arguments)
    assert refused.value.name == name


@pytest.mark.parametrize("function", [voltage_tolerance_percent, current_tolerance_percent])
@steady
@given(more=st.floats(1.0, 4.0), which=st.sampled_from(list(TOLERANCES)))
def test_a_wider_tolerance_never_makes_the_whole_narrower(
    function: Callable[..., float], more: float, which: str
) -> None:
    inputs = SOUND[function]
    wider = function(**{**inputs, which: inputs[which] * more})
    assert wider >= function(**inputs) - 1e-12
    assert wider >= inputs["meter_percent"]


@steady
@given(lights, cells)
def test_equal_conditions_leave_nothing_open_and_wider_ones_leave_more(
    light: list[float], cell: list[float]
) -> None:
    assert conditions_percent(light[:1], cell[:1]) == 0
    assert conditions_percent(light, cell) >= conditions_percent(light[:-1] or light, cell) - 1e-12
    assert conditions_percent(light, cell) >= conditions_percent(light, cell[:-1] or cell) - 1e-12


@steady
@given(readings, st.floats(0.5, 20.0), st.floats(0.001, 1000.0))
def test_the_unit_of_the_readings_does_not_matter(
    values: list[float], tolerance: float, scale: float
) -> None:
    own, *others = values
    scaled = [value * scale for value in values]
    assert apart_percent(scaled[0], scaled[1:]) == pytest.approx(apart_percent(own, others))
    assert change_percent(scaled[0], scaled[1]) == pytest.approx(
        change_percent(own, others[0]), abs=1e-9
    )


@steady
@given(readings, st.floats(0.5, 20.0))
def test_at_most_one_is_odd_and_it_stands_apart_from_every_other(
    values: list[float], tolerance: float
) -> None:
    verdicts = Verdict.of(values, tolerance)
    assert len(verdicts) == len(values)
    assert verdicts.count(Verdict.ODD) <= 1
    for n, (own, verdict) in enumerate(zip(values, verdicts, strict=True)):
        rest = values[:n] + values[n + 1 :]
        if verdict is Verdict.ODD:
            assert apart_percent(own, rest) > tolerance
            assert odd_by_percent(own, rest, tolerance) == apart_percent(own, rest)
        elif len(rest) > 1:
            assert odd_by_percent(own, rest, tolerance) == 0


@steady
@given(readings, st.floats(0.5, 20.0))
def test_the_order_of_the_strings_does_not_matter(values: list[float], tolerance: float) -> None:
    told = dict(zip(values, Verdict.of(values, tolerance), strict=True))
    turned = sorted(values)
    assert all(
        told[value] is verdict
        for value, verdict in zip(turned, Verdict.of(turned, tolerance), strict=True)
    )


@pytest.mark.parametrize(
    ("values", "told"),
    [
        ([360.0, 359.0, 361.0], "alike alike alike"),
        ([360.0, 320.0, 361.0], "alike odd alike"),
        ([360.0, 320.0], "? ?"),  # one of the two, and who knows which
        ([360.0, 340.0, 320.0], "? ? ?"),
        ([360.0, 361.0, 320.0, 321.0], "? ? ? ?"),  # two kinds
        ([360.0, 361.0, 320.0, 321.0, 250.0], "? ? ? ? odd"),
        ([360.0, 361.0, 320.0, 250.0], "? ? ? ?"),  # two that each stand apart
    ],
)
def test_what_is_told_of_like_strings(values: list[float], told: str) -> None:
    words = {"alike": Verdict.ALIKE, "odd": Verdict.ODD, "?": Verdict.CANNOT_TELL}
    assert Verdict.of(values, 4.6) == tuple(words[word] for word in told.split())


def test_the_edge_of_the_tolerance_is_inside() -> None:
    assert Verdict.of([100.0, 105.0], 5 / 102.5 * 100) == (Verdict.ALIKE,) * 2
    assert odd_by_percent(95.0, [100.0, 100.0], 5.0) == 0.0
    assert odd_by_percent(94.99, [100.0, 100.0], 5.0) == pytest.approx(5.01)
