"""What is worked out by hand only: which way each input pushes, scaling, ends, beyond them."""

from __future__ import annotations

from collections.abc import Callable
from math import inf, isfinite, nan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from compliance.electrical import (
    ac,
    cables,
    dc_cables,
    measured,
    parallel,
    protection,
    site,
    string_faults,
    wind,
)
from compliance.electrical import window as w
from compliance.electrical.string_faults import Explanation
from compliance.errors import OutOfRangeError

steady = settings(derandomize=True, max_examples=25, deadline=None)
Case = tuple[
    Callable[..., float], dict[str, tuple[float, float | None]], dict[str, tuple[float, float]]
]

# A function; for each input a sound value and its power in the result (0.5: as its root;
# None: neither); and the inputs that have a range, with both ends.
HOT = {"vmp_coefficient_percent_per_k": (-1.0, -0.05), "highest_cell_c": (25.0, 90.0)}
FACTORS = {n: (0.05, 1.5) for n in ("ambient_factor", "grouping_factor", "insulation_factor")}
BETA = {"voc_coefficient_percent_per_k": (-1.0, -0.05)}
LIT = {**BETA, "cell_c": (-40.0, 90.0), "irradiance_w_m2": (200.0, 1500.0)}
CASES: list[Case] = [
    (w.hot_string_voltage_v, {"modules": (10, 1), "module_vmp_stc_v": (33, 1),
     "vmp_coefficient_percent_per_k": (-0.35, None), "highest_cell_c": (70, None)}, HOT),
    (w.cold_working_voltage_v, {"modules": (10, 1), "module_vmp_stc_v": (33, 1),
     "vmp_coefficient_percent_per_k": (-0.35, None), "lowest_cell_c": (-15, None)},
     {"vmp_coefficient_percent_per_k": (-1.0, -0.05), "lowest_cell_c": (-40.0, 25.0)}),
    (dc_cables.dc_capacity_a, {"tabulated_current_a": (44, 1), "heat_percent": (70, 1),
     "grouping_factor": (0.8, 1)},
     {"tabulated_current_a": (0.0, 5000.0), "heat_percent": (5.0, 150.0),
      "grouping_factor": (0.05, 1.5)}),
    (dc_cables.beside_current_a, {"input_current_a": (52.5, None), "own_current_a": (17.5, None)},
     {}),
    (w.string_voltage_by_volts_v, {"modules": (9, 1), "module_voltage_stc_v": (45.8, None),
     "voltage_coefficient_v_per_k": (-0.13, None), "cell_c": (0, None)},
     {"cell_c": (-40.0, 90.0)}),
    (w.cold_voltage_by_factor_v, {"modules": (9, 1), "module_voc_stc_v": (40, 1),
     "cold_factor": (1.15, 1)}, {"cold_factor": (1.0, 1.5)}),
    (w.most_modules, {"greatest_voltage_v": (1000, None), "module_voc_stc_v": (49.5, None),
     "voc_coefficient_percent_per_k": (-0.28, None), "lowest_cell_c": (-5, None)},
     {**BETA, "lowest_cell_c": (-40.0, 25.0)}),
    (w.least_modules, {"least_voltage_v": (400, None), "module_vmp_stc_v": (33, None),
     "vmp_coefficient_percent_per_k": (-0.35, None), "highest_cell_c": (70, None)}, HOT),
    (w.most_parallel_strings, {"input_isc_limit_a": (40, None), "module_isc_stc_a": (9, None)},
     {}),
    (w.standby_voltage_v, {"optimisers": (12, 1), "optimiser_standby_v": (1, 1)},
     {"optimiser_standby_v": (0.0, 60.0)}),
    (parallel.reverse_current_a, {"parallel": (3, None), "module_isc_stc_a": (12, 1),
     "light_factor": (1.25, 1)}, {"light_factor": (1.0, 2.0)}),
    (parallel.least_string_fuse_a, {"module_isc_stc_a": (9.2, 1), "fuse_factor": (1.5, 1)},
     {"fuse_factor": (1.0, 3.0)}),
    (parallel.greatest_string_fuse_a, {"module_isc_stc_a": (9.2, None),
     "fuse_factor": (2.4, None), "module_fuse_limit_a": (20, None)}, {"fuse_factor": (1.0, 3.0)}),
    (parallel.branch_current_a, {"microinverters": (10, 1), "microinverter_current_a": (1.6, 1)},
     {}),
    (parallel.array_ratio_percent, {"array_kw": (4.6, 1), "inverter_kw": (3.68, -1)}, {}),
    (cables.conductor_resistance_milliohm_per_m, {"cold_milliohm_per_m": (3.08, 1),
     "conductor_c": (70, None)}, {"conductor_c": (-40.0, 250.0)}),
    (cables.dc_drop_v, {"current_a": (9, 1), "route_m": (20, 1),
     "conductor_milliohm_per_m": (5.09, 1)}, {}),
    (cables.ac_drop_v, {"current_a": (25, 1), "length_m": (16, 1), "drop_mv_per_a_m": (11, 1)},
     {}),
    (cables.drop_percent, {"drop_v": (4.4, 1), "at_v": (240, -1)}, {}),
    (cables.corrected_capacity_a, {"tabulated_current_a": (27, 1), "ambient_factor": (0.7, 1),
     "grouping_factor": (0.7, 1), "insulation_factor": (0.5, 1)}, FACTORS),
    (cables.needed_tabulated_a, {"rated_current_a": (32, 1), "ambient_factor": (0.7, -1),
     "grouping_factor": (0.7, -1), "insulation_factor": (0.5, -1)}, FACTORS),
    (cables.line_and_protective_ohm, {"length_m": (10, 1), "line_milliohm_per_m": (12.1, None),
     "protective_milliohm_per_m": (18.1, None), "temperature_factor": (1.2, None)},
     {"temperature_factor": (0.9, 1.5)}),
    (cables.adiabatic_size_mm2, {"fault_current_a": (200, 1), "time_s": (0.4, 0.5),
     "adiabatic_factor": (115, -1)}, {"time_s": (0.1, 5.0), "adiabatic_factor": (20.0, 250.0)}),
    (cables.adiabatic_size_by_energy_mm2, {"let_through_a2_s": (15000, 0.5),
     "adiabatic_factor": (115, -1)}, {"adiabatic_factor": (20.0, 250.0)}),
    (protection.prospective_current_ka, {"nominal_voltage_v": (230, 1), "loop_ohm": (0.35, -1),
     "phases": (1, None)}, {"phases": (1.0, 3.0)}),
    (protection.breaking_share_percent, {"prospective_ka": (1.5, 1),
     "breaking_capacity_ka": (6, -1)}, {}),
    (protection.cold_loop_limit_ohm, {"tripping_current_multiple": (5, -1),
     "rated_current_a": (32, -1), "nominal_voltage_v": (230, 1), "cmin": (0.95, None),
     "cold_share_percent": (80, None)},
     {"cmin": (0.9, 1.0), "cold_share_percent": (50.0, 100.0)}),
    (protection.greatest_electrode_ohm, {"touch_limit_v": (50, 1),
     "residual_operating_current_ma": (30, -1)}, {"touch_limit_v": (12.0, 120.0)}),
    (protection.protective_size_mm2, {"line_size_mm2": (25, None)},
     {"line_size_mm2": (0.5, 1000.0)}),
    (protection.main_bond_mm2, {"earthing_conductor_mm2": (16, None)},
     {"earthing_conductor_mm2": (0.5, 1000.0)}),
    (measured.voc_at_stc_v, {"measured_v": (360, 1), "voc_coefficient_percent_per_k": (-0.28, None),
     "cell_c": (40, None), "irradiance_w_m2": (650, None)}, LIT),
    (measured.voc_at_stc_linear_v, {"measured_v": (360, 1),
     "voc_coefficient_percent_per_k": (-0.28, None), "cell_c": (40, None)},
     {**BETA, "cell_c": (-40.0, 90.0)}),
    (measured.isc_at_stc_a, {"measured_a": (6.7, 1), "isc_coefficient_percent_per_k": (0.04, None),
     "cell_c": (40, None), "irradiance_w_m2": (650, -1)},
     {"cell_c": (-40.0, 90.0), "irradiance_w_m2": (200.0, 1500.0)}),
    (measured.cell_from_air_c, {"air_c": (20, None), "noct_c": (45, None),
     "irradiance_w_m2": (650, None)},
     {"air_c": (-40.0, 55.0), "noct_c": (35.0, 80.0), "irradiance_w_m2": (0.0, 1500.0)}),
    (measured.cell_from_back_c, {"back_c": (40, None), "irradiance_w_m2": (650, None)},
     {"back_c": (-40.0, 90.0), "irradiance_w_m2": (0.0, 1500.0)}),
    (measured.resistance_at_20_ohm, {"measured_ohm": (0.36, 1), "conductor_c": (8, None)},
     {"conductor_c": (-40.0, 250.0)}),
    (string_faults.nearest_explanation_v, {"measured_v": (320, None), "expected_v": (360, None),
     "modules": (9, None), "tolerance_percent": (3, 0)}, {"tolerance_percent": (0.1, 25.0)}),
    (site.shade_factor, {"shaded_segments": (11, None)}, {"shaded_segments": (0.0, 84.0)}),
    (site.added_load_kg_m2, {"modules": (10, None), "module_mass_kg": (22, None),
     "mounting_mass_kg": (30, None), "covered_m2": (19.5, -1)}, {}),
    (site.capacity_current_a, {"registered_capacity_kw": (5, 1), "nominal_voltage_v": (230, -1)},
     {}),
    (ac.design_current_a, {"maker_current_a": (16, None), "rated_output_a": (15, None)}, {}),
    (site.load_change_percent, {"added_kg_m2": (12.8, 1), "existing_kg_m2": (55, -1)}, {}),
    (wind.exposure_factor, {"roof_height_m": (22, None), "roughness_length_m": (0.3, None),
     "least_wind_height_m": (5, None)},
     {"roof_height_m": (1.0, 50.0), "roughness_length_m": (0.003, 1.0),
      "least_wind_height_m": (1.0, 10.0)}),
    (wind.peak_velocity_pressure_pa, {"basic_wind_m_s": (26.2, 2), "altitude_m": (100, None),
     "exposure_factor": (2.35, 1)},
     {"basic_wind_m_s": (20.0, 35.0), "altitude_m": (0.0, 500.0), "exposure_factor": (1.0, 5.0)}),
    (wind.module_uplift_kn, {"peak_pressure_pa": (1000, 1), "uplift_coefficient": (1.3, 1),
     "module_area_m2": (1.95, 1)}, {"uplift_coefficient": (0.1, 5.0)}),
    (wind.fixing_demand_kn, {"one_module_kn": (2.5, 1), "modules": (10, 1), "fixings": (24, -1),
     "load_factor": (1.5, 1)}, {"load_factor": (1.0, 2.0)}),
    (wind.fixing_share_percent, {"demand_kn": (1.58, 1), "resistance_kn": (1.8, -1)}, {}),
]  # fmt: skip
INPUTS = [(f, inputs, name) for f, inputs, _ in CASES for name in inputs]
SCALED = [(f, i, name) for f, i, name in INPUTS if i[name][1] is not None and i[name][0] > 0]
BOUNDED = [(f, i, name, ends) for f, i, bounds in CASES for name, ends in bounds.items()]


def named(value: object) -> str:
    return getattr(value, "__name__", value if isinstance(value, str) else "")


def sound(inputs: dict[str, tuple[float, float | None]]) -> dict[str, float]:
    return {name: value for name, (value, _) in inputs.items()}


@pytest.mark.parametrize(("function", "inputs", "name", "ends"), BOUNDED, ids=named)
def test_both_ends_are_inside_and_beyond_them_is_refused(
    function: Callable[..., float],
    inputs: dict[str, tuple[float, float | None]],
    name: str,
    ends: tuple[float, float],
) -> None:
    for end in ends:
        assert isfinite(function(**{**sound(inputs), name: end}))
    reach = 0.01 * (ends[1] - ends[0])
    for beyond in (ends[0] - reach, ends[1] + reach):
        with pytest.raises(OutOfRangeError) as refused:
            function(**{**sound(inputs), name: beyond})
        assert refused.value.name == name


@pytest.mark.parametrize(("function", "inputs", "name"), INPUTS, ids=named)
def test_what_is_no_number_is_refused_by_name(
    function: Callable[..., float], inputs: dict[str, tuple[float, float | None]], name: str
) -> None:
    for value in (nan, inf, -inf, True, 1e300):
        with pytest.raises(OutOfRangeError) as refused:
            function(**{**sound(inputs), name: value})
        assert refused.value.name == name
        assert refused.value.right


@pytest.mark.parametrize(("function", "inputs", "name"), SCALED, ids=named)
def test_the_result_scales_with_an_input_by_its_power(
    function: Callable[..., float], inputs: dict[str, tuple[float, float | None]], name: str
) -> None:
    """Half again as much, or for counts twice as much: 1000 mV are 1 V in every formula."""
    given_value, power = inputs[name]
    assert power is not None
    grown = 2.0 if given_value == int(given_value) else 1.25
    more = function(**{**sound(inputs), name: given_value * grown})
    assert more == pytest.approx(function(**sound(inputs)) * grown**power, rel=1e-9)


@pytest.mark.parametrize(
    ("function", "name", "direction"),
    [
        (w.hot_string_voltage_v, "highest_cell_c", -1),
        (w.cold_working_voltage_v, "lowest_cell_c", -1),
        (w.string_voltage_by_volts_v, "cell_c", -1),
        (w.most_modules, "greatest_voltage_v", 1),
        (w.most_modules, "lowest_cell_c", 1),
        (w.least_modules, "least_voltage_v", 1),
        (w.least_modules, "highest_cell_c", 1),
        (w.most_parallel_strings, "input_isc_limit_a", 1),
        (parallel.greatest_string_fuse_a, "module_fuse_limit_a", 1),
        (parallel.greatest_string_fuse_a, "module_isc_stc_a", 1),
        (cables.conductor_resistance_milliohm_per_m, "conductor_c", 1),
        (cables.line_and_protective_ohm, "line_milliohm_per_m", 1),
        (cables.line_and_protective_ohm, "protective_milliohm_per_m", 1),
        (protection.cold_loop_limit_ohm, "cold_share_percent", 1),
        (protection.main_bond_mm2, "earthing_conductor_mm2", 1),
        (measured.voc_at_stc_v, "cell_c", 1),
        (measured.voc_at_stc_v, "irradiance_w_m2", -1),
        (measured.cell_from_air_c, "irradiance_w_m2", 1),
        (measured.resistance_at_20_ohm, "conductor_c", -1),
        (site.added_load_kg_m2, "mounting_mass_kg", 1),
        (wind.exposure_factor, "roof_height_m", 1),
        (wind.peak_velocity_pressure_pa, "basic_wind_m_s", 1),
        (wind.peak_velocity_pressure_pa, "altitude_m", 1),
    ],
    ids=named,
)
@steady
@given(one=st.floats(0.7, 1.3), other=st.floats(0.7, 1.3))
def test_an_input_pushes_one_way_only(
    function: Callable[..., float], name: str, direction: int, one: float, other: float
) -> None:
    inputs = next(sound(given_inputs) for f, given_inputs, _ in CASES if f is function)
    at = inputs[name]
    low, high = sorted((at + (one - 1) * 20, at + (other - 1) * 20))
    lower, higher = (function(**{**inputs, name: value}) for value in (low, high))
    assert (higher - lower) * direction >= -1e-9


@steady
@given(st.floats(10.0, 50.0), st.floats(0.003, 1.0), st.floats(0.003, 1.0))
def test_rougher_terrain_never_has_more_wind(height_m: float, one_m: float, other_m: float) -> None:
    smooth, rough = sorted((one_m, other_m))
    more, less = (wind.exposure_factor(height_m, z0_m, 1.0) for z0_m in (smooth, rough))
    assert less <= more * (1 + 1e-9)


@steady
@given(st.floats(1.0, 10.0), st.floats(1.0, 10.0))
def test_below_the_least_height_the_wind_is_that_at_it(roof_m: float, least_m: float) -> None:
    found = wind.exposure_factor(roof_m, 0.3, least_m)
    assert found == wind.exposure_factor(max(roof_m, least_m), 0.3, 1.0)


@steady
@given(st.lists(st.floats(0.5, 500.0), min_size=1, max_size=6), st.floats(0.5, 500.0))
def test_circuits_together_read_lower_than_the_worst_of_them(
    held: list[float], more: float
) -> None:
    together = protection.parallel_insulation_megohm(held)
    assert together <= min(held) * (1 + 1e-12)
    assert protection.parallel_insulation_megohm([*held, more]) < together


@steady
@given(st.lists(st.floats(0.0, 50.0), min_size=1, max_size=6))
def test_tolerances_together_lie_between_the_greatest_and_the_sum(held: list[float]) -> None:
    together = measured.combined_tolerance_percent(held)
    assert max(held) - 1e-9 <= together <= sum(held) + 1e-9


@pytest.mark.parametrize(
    ("function", "arguments"),
    [
        (protection.parallel_insulation_megohm, ([],)),
        (protection.parallel_insulation_megohm, ([5.0, 0.0],)),
        (protection.board_current_a, (80.0, [])),
        (protection.board_current_a, (80.0, [nan])),
        (measured.combined_tolerance_percent, ([],)),
        (measured.combined_tolerance_percent, ([101.0],)),
        (site.registered_capacity_kw, ([],)),
        (cables.string_drop_v, (9.0, [], [])),
        (cables.string_drop_v, (9.0, [10.0, 10.0], [3.39])),
        (cables.string_drop_v, (0.0, [10.0], [3.39])),
        (cables.string_drop_v, (9.0, [0.0], [3.39])),
        (cables.string_drop_v, (9.0, [10.0], [nan])),
        (dc_cables.beside_current_a, (17.4, 17.5)),
        (parallel.input_short_circuit_a, ([],)),
        (parallel.input_short_circuit_a, ([17.6, 0.0],)),
        (parallel.array_power_kw, ([], [])),
        (parallel.array_power_kw, ([9, 7], [440.0])),
        (parallel.array_power_kw, ([9.5], [440.0])),
        (parallel.array_power_kw, ([9], [0.0])),
        (site.array_load_kg_m2, ([], [], 2.0)),
        (site.array_load_kg_m2, ([21.5], [], 2.0)),
        (site.array_load_kg_m2, ([0.0], [1.95], 2.0)),
        (site.array_load_kg_m2, ([21.5], [0.0], 2.0)),
        (site.array_load_kg_m2, ([21.5], [1.95], -0.1)),
        (site.annual_yield_kwh, ([], [], [])),
        (site.annual_yield_kwh, ([4.0], [], [1.0])),
        (site.annual_yield_kwh, ([4.0], [950.0], [1.01])),
        (site.annual_yield_kwh, ([4.0], [9500.0], [1.0])),
        (string_faults.nearest_expected_v, (320.0, [], 3.0)),
        (string_faults.earth_fault_modules, (100.0, -100.0, 360.0, 9, 3.0)),
        (string_faults.earth_fault_modules, (240.0, 120.0, 360.0, 9, 3.0)),
        (string_faults.nearest_explanation_v, (20.0, 360.0, 9, 3.0)),
        (cables.drop_percent, (241.0, 240.0)),
        (parallel.array_ratio_percent, (4600.0, 3.68)),
        (protection.prospective_current_ka, (230.0, 0.35, 2)),
        (protection.cold_loop_limit_as_printed_ohm, (20, 125.0, 230.0, 0.95, 80.0)),
        (measured.cell_from_voltage_c, (80.0, 1, 47.94, -0.282, 650.0)),
        (measured.light_from_voltage_w_m2, (80.0, 1, 47.94, -0.282, 25.0)),
        (w.string_voltage_by_volts_v, (1, 10.0, -0.2, 0.0)),
    ],
)
def test_what_contradicts_itself_or_lacks_a_number_is_refused(
    function: Callable[..., float], arguments: tuple[object, ...]
) -> None:
    with pytest.raises(OutOfRangeError):
        function(*arguments)


@steady
@given(st.floats(0.0, 1.0), st.integers(1, 30))
def test_an_earth_fault_is_found_where_it_was_put(share: float, modules: int) -> None:
    voc_v = 40.0 * modules
    found = string_faults.earth_fault_modules(
        (1 - share) * voc_v, -share * voc_v, voc_v, modules, 1.0
    )
    assert found == pytest.approx(share * modules, abs=1e-9)


def test_no_explanation_is_ranked_before_a_nearer_one() -> None:
    ranked = Explanation.ranked(310.0, 360.0, 9)
    off = [abs(310.0 - one.voltage_v) for one in ranked]
    assert off == sorted(off)
    assert len(ranked) == 6
    assert len(Explanation.ranked(40.0, 40.0, 1)) == 4  # none that would leave no voltage
