"""What is worked out by hand, against worked examples and models of others.

Tolerance of a printed figure: half a unit of its last digit, as printed figures are rounded.
Models are compared as each test says.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import numpy as np
import pytest
from pvlib import pvsystem, temperature
from reference.short_circuit import U0_V, least_current_ka

from compliance.electrical import cables, measured, parallel, protection, site, window
from compliance.electrical.string_faults import (
    Explanation,
    earth_fault_modules,
    earth_fault_reach_modules,
    nearest_expected_v,
)
from compliance.files.resources import rulesets_folder
from compliance.rules.ruleset import load_rules

EXAMPLES = pytest.mark.source(
    document="worked examples A1 to A16 of training notes, handbooks and forum threads",
    table="inputs and printed result as quoted beside each row",
    confidence="secondary",
)


@EXAMPLES
@pytest.mark.parametrize(
    ("function", "inputs", "printed", "half_a_digit"),
    [
        # scribd 700873953, module voltages: hot Vmp and cold Voc in V/K
        (window.string_voltage_by_volts_v, (1, 35.4, -0.16, 55.0), 30.6, 0.05),
        (window.string_voltage_by_volts_v, (1, 45.8, -0.13, 0.0), 49.05, 0.005),
        # amozeshbargh.ir/post-69: 18 modules under 1000 V
        (window.most_modules, (1000.0, 49.5, -0.28, -5.0), 18, 0),
        # the same page takes the coefficient of Voc for Vmp, as we do not advise: 41.2 V, 45 °C
        (window.hot_string_voltage_v, (1, 41.2, -0.28, 45.0), 38.9, 0.05),
        # solarsaarthi.com, DC fuse sizing: two strings of 12.28 A
        (parallel.reverse_current_a, (2, 12.28, 1.0), 12.28, 0.005),
        # manual of a charge controller, page 39: 1.25 times 9.2 A
        (parallel.reverse_current_a, (2, 9.2, 1.25), 11.5, 0.05),
        # tlc-direct.co.uk/Book/4.3.11: 4 mm², 25 A, 16 m, of 240 V
        (cables.ac_drop_v, (25.0, 16.0, 11.0), 4.4, 0.05),
        (cables.drop_percent, (4.4, 240.0), 1.83, 0.005),
        # zdroje.elektrika.cz, handbook page 250: 230 V over 1.15 Ω, 0.4 s, k 115
        (protection.prospective_current_ka, (230.0, 1.15, 1), 0.200, 0.0005),
        (cables.adiabatic_size_mm2, (200.0, 0.4, 115.0), 1.10, 0.005),
        (cables.adiabatic_size_by_energy_mm2, (200.0**2 * 0.4, 115.0), 1.10, 0.005),
        # diydoctor.org.uk t2402: 10 m of 1.5/1.0 mm² at 70 °C
        (cables.line_and_protective_ohm, (10.0, 12.1, 18.1, 1.2), 0.36, 0.005),
        # diynot.com thread 94235: 32 A, Ca 1.03, Cg 0.90
        (cables.needed_tabulated_a, (32.0, 1.03, 0.90, 1.0), 34.52, 0.005),
        (cables.corrected_capacity_a, (34.52, 1.03, 0.90, 1.0), 32.0, 0.005),
        # electriciansforums.net, greatest RA
        (protection.greatest_electrode_ohm, (50.0, 30.0), 1667, 0.5),
        (protection.greatest_electrode_ohm, (50.0, 300.0), 167, 0.5),
        # barnschop.blogspot.com 2007-07: five circuits in parallel
        (protection.parallel_insulation_megohm, ([5, 20, 10, 20, 2],), 1.11, 0.005),
        # the-regs.co.uk/blog/?p=280: sizes of protective conductors
        (protection.protective_size_mm2, (16.0,), 16, 0),
        (protection.protective_size_mm2, (25.0,), 16, 0),
        (protection.protective_size_mm2, (35.0,), 16, 0),
        (protection.protective_size_mm2, (50.0,), 25, 0),
    ],
)  # fmt: skip
def test_printed_examples(
    function: Callable[..., float], inputs: tuple[object, ...], printed: float, half_a_digit: float
) -> None:
    assert function(*inputs) == pytest.approx(printed, rel=0, abs=half_a_digit + 1e-9)


@pytest.mark.source(
    document="facts of the trade", table="figures that installers know", confidence="from memory"
)
@pytest.mark.parametrize(
    ("function", "inputs", "known", "tolerance"),
    [
        # 80 % of B32: 1.09 from the exact limit, 1.10 in books
        (protection.cold_loop_limit_ohm, (5, 32.0, 230.0, 0.95, 80.0), 1.09, 0.005),
        (protection.cold_loop_limit_as_printed_ohm, (5, 32.0, 230.0, 0.95, 80.0), 1.10, 0.0005),
        # trade guide: 1.15, which is -0.375 %/K at -15 °C
        (window.cold_voltage_by_factor_v, (10, 40.0, 1.15), 460.0, 1e-6),
        (window.standby_voltage_v, (12, 1.0), 12.0, 1e-6),
        (window.most_parallel_strings, (30.0, 13.9), 1, 0),
        (window.least_modules, (140.0, 33.0, -0.35, 80.0), 6, 0),  # 140 / 26.65 = 5.25
        # 1.1 × 1.25 × 9.2 A = 12.65; 2.4 × 9.2 A = 22.08
        (parallel.least_string_fuse_a, (9.2, 1.375), 12.65, 1e-6),
        (parallel.greatest_string_fuse_a, (9.2, 2.4, 25.0), 22.08, 1e-6),
        (parallel.branch_current_a, (10, 1.6), 16.0, 1e-6),
        (parallel.array_ratio_percent, (4.784, 3.68), 130.0, 1e-6),
        (protection.breaking_share_percent, (6.0, 6.0), 100.0, 1e-6),
        (protection.board_current_a, (80.0, [16.0]), 96.0, 1e-6),
        # a main bond of 10 mm² is half of 16 mm² and the next made size
        (protection.main_bond_mm2, (16.0,), 8.0, 1e-6),
        (site.registered_capacity_kw, ([3.68, 3.68],), 7.36, 1e-6),  # two of 16 A are 32 A
        (site.shade_factor, (11,), 0.89, 1e-9),
        (site.annual_yield_kwh, ([4.0], [950.0], [0.89]), 3382, 0.5),  # made-up inputs
        (site.annual_yield_kwh, ([2.0, 2.0], [950.0, 950.0], [0.89, 0.89]), 3382, 0.5),
        (site.added_load_kg_m2, (10, 20.0, 40.0, 20.0), 12.0, 1e-9),
        (site.load_change_percent, (9.0, 60.0), 15.0, 1e-9),
    ],
)
def test_figures_of_the_trade(
    function: Callable[..., float], inputs: tuple[object, ...], known: float, tolerance: float
) -> None:
    assert function(*inputs) == pytest.approx(known, rel=0, abs=tolerance)


@pytest.mark.source(
    document="iec-60228, temperature correction of copper as 254.5 / (234.5 + t)",
    table="resistance at 20 °C from a reading",
    confidence="from memory",
)
@pytest.mark.parametrize("conductor_c", [5.0, 20.0, 40.0, 70.0])
def test_copper_follows_the_conductor_standards_own_correction(conductor_c: float) -> None:
    """Within 0.02 %: 0.00393 is 1 / 254.45, rounded."""
    factor = (234.5 + conductor_c) / 254.5
    warm = cables.conductor_resistance_milliohm_per_m(3.08, conductor_c)
    assert warm == pytest.approx(3.08 * factor, rel=2e-4)
    assert measured.resistance_at_20_ohm(0.36, conductor_c) == pytest.approx(
        0.36 / factor, rel=2e-4
    )


@pytest.mark.source(
    document="pvlib 0.16: sapm on its database of modules measured outdoors",
    table="v_mp and v_oc of every crystalline row whose coefficients are in range",
    confidence="opened",
)
def test_hot_and_cold_voltages_follow_the_empirical_model() -> None:
    """Within 0.01 V: at full light that model is the same straight line in V/K."""
    rows = pvsystem.retrieve_sam("SandiaMod").T
    tried = 0
    for _, row in rows.iloc[::4].iterrows():
        vmp_v, slope = float(row["Vmpo"]), float(row["Bvmpo"])
        if "Si" not in str(row["Material"]) or not -1.0 <= slope / vmp_v * 100 <= -0.05:
            continue
        tried += 1
        hot_v = pvsystem.sapm(1000.0, 70.0, row)["v_mp"]
        cold_v = pvsystem.sapm(1000.0, -15.0, row)["v_mp"]
        assert window.cold_working_voltage_v(1, vmp_v, slope / vmp_v * 100, -15.0) == pytest.approx(
            cold_v, abs=0.01
        )
        assert window.hot_string_voltage_v(1, vmp_v, slope / vmp_v * 100, 70.0) == pytest.approx(
            hot_v, abs=0.01
        )
        assert window.string_voltage_by_volts_v(1, vmp_v, slope, 70.0) == pytest.approx(
            hot_v, abs=0.01
        )
    assert tried >= 50


@pytest.mark.source(
    document="pvlib 0.16: dc_ohms_from_percent", table="1 % of 389.4 V", confidence="opened"
)
def test_dc_drop_is_what_its_resistance_takes() -> None:
    ohm = pvsystem.dc_ohms_from_percent(38.94, 9.76, 1.0, modules_per_string=10)
    drop_v = cables.dc_drop_v(9.76, 20.0, ohm / 40.0 * 1000)
    assert cables.drop_percent(drop_v, 389.4) == pytest.approx(1.0, rel=1e-6)


@pytest.mark.source(
    document="pvlib 0.16: temperature.ross and sapm_cell_from_module",
    table="cell temperature from air and from the module's back",
    confidence="opened",
)
@pytest.mark.parametrize("light", [200.0, 650.0, 800.0, 1100.0])
def test_cell_temperatures_follow_the_published_models(light: float) -> None:
    """The same formulas written by others: equal but for binary fractions."""
    assert measured.cell_from_air_c(20.0, 45.0, light) == pytest.approx(
        temperature.ross(light, 20.0, noct=45.0), rel=1e-9
    )
    assert measured.cell_from_back_c(40.0, light) == pytest.approx(
        temperature.sapm_cell_from_module(40.0, light, 3.0), rel=1e-9
    )


@pytest.mark.source(
    document="pvlib 0.16: calcparams_cec and singlediode on its rating database of 2019",
    table="row 1292 at 650 W/m² and 38.5 °C",
    confidence="opened",
)
def test_readings_of_the_single_diode_model_come_back_to_its_datasheet() -> None:
    """Voc to 1 % with the light term (a typical one), over 2 % low without it; Isc to 0.1 %."""
    row = pvsystem.retrieve_sam("CECMod").iloc[:, 1292]
    names = ("alpha_sc", "a_ref", "I_L_ref", "I_o_ref", "R_sh_ref", "R_s", "Adjust")
    read = pvsystem.singlediode(
        *pvsystem.calcparams_cec(650.0, 38.5, *(float(row[name]) for name in names))
    )
    voc_v, isc_a = float(row["V_oc_ref"]), float(row["I_sc_ref"])
    beta, alpha = float(row["beta_oc"]) / voc_v * 100, float(row["alpha_sc"]) / isc_a * 100
    read_v, read_a = float(read["v_oc"]), float(read["i_sc"])
    assert measured.voc_at_stc_v(read_v, beta, 38.5, 650.0) == pytest.approx(voc_v, rel=0.01)
    assert measured.voc_at_stc_linear_v(read_v, beta, 38.5) < 0.98 * voc_v
    assert measured.isc_at_stc_a(read_a, alpha, 38.5, 650.0) == pytest.approx(isc_a, rel=0.001)
    # 1 % of voltage is 4 K, and a sixth of the light
    assert measured.cell_from_voltage_c(read_v, 1, voc_v, beta, 650.0) == pytest.approx(38.5, abs=4)
    assert measured.light_from_voltage_w_m2(read_v, 1, voc_v, beta, 38.5) == pytest.approx(
        650.0, rel=1 / 6
    )


@pytest.mark.source(
    document="numpy: norm of a vector", table="root of the sum of squares", confidence="opened"
)
def test_tolerances_combine_as_a_norm() -> None:
    held = [1.0, 2.5, 3.0, 0.6]
    worked = measured.combined_tolerance_percent(held)
    assert worked == pytest.approx(float(np.linalg.norm(held)), rel=1e-12)


@pytest.mark.source(
    document="Kirchhoff's current law, solved with numpy",
    table="string of ten 40 V modules, one fault of 1 kΩ, a meter of 10 MΩ on one pole at a time",
    confidence="common practice, no source",
)
@pytest.mark.parametrize("joint", [0, 2, 5, 9, 10])
def test_an_earth_fault_is_found_where_the_circuit_has_it(joint: int) -> None:
    """Within 0.01 modules: the meter takes 1/10,000 of each voltage."""
    share = 10e6 / (10e6 + 1e3)
    positive_v, negative_v = (10 - joint) * 40.0 * share, -joint * 40.0 * share
    found = earth_fault_modules(positive_v, negative_v, 400.0, 10, 1.0)
    assert found == pytest.approx(joint, abs=0.01)


@pytest.mark.source(
    document="pvlib 0.16: singlediode at no current, cells in series added up",
    table="row 1292, nine modules, a third of one without its cells",
    confidence="opened",
)
def test_a_bypassed_third_reads_as_the_cells_that_are_left() -> None:
    """Within 0.01 %: two thirds of the cells have two thirds of the ideality and resistances."""
    row = pvsystem.retrieve_sam("CECMod").iloc[:, 1292]
    names = ("I_L_ref", "I_o_ref", "R_s", "R_sh_ref", "a_ref")
    light, dark, series, shunt, ideality = (float(row[name]) for name in names)
    whole, left = (
        float(pvsystem.singlediode(light, dark, series * k, shunt * k, ideality * k)["v_oc"])
        for k in (1.0, 2 / 3)
    )
    nearest = Explanation.ranked(8 * whole + left, 9 * whole, 9)[0]
    assert nearest.words == "a third of one module bypassed"
    assert nearest.off_percent == pytest.approx(0.0, abs=0.01)


@pytest.mark.source(
    document="pandapower 3.5.6: calc_sc, three-phase as stand-in, case min, tolerance 6 %",
    table="loops of 0.05 to 20 Ω",
    confidence="opened",
)
@pytest.mark.parametrize("ohm", [0.05, 0.35, 0.4116, 1.366, 20.0])
def test_fault_currents_of_the_network_model(ohm: float) -> None:
    """Within 0.001 %: the program's source has some impedance of its own."""
    assert protection.prospective_current_ka(0.95 * U0_V, ohm, 1) == pytest.approx(
        least_current_ka(ohm), rel=1e-5
    )


@pytest.mark.source(
    document="error propagation by trying both ends of each reading",
    table="readings of 2 % off, in opposite ways",
    confidence="common practice, no source",
)
@pytest.mark.parametrize("joint", [1, 3, 5, 8])
def test_the_reach_of_an_earth_fault_is_what_the_meter_can_be_off(joint: int) -> None:
    """Within 3 % of itself: the formula keeps the first order of the tolerance."""
    positive_v, negative_v = (10 - joint) * 40.0, joint * 40.0
    off = [
        10 * negative_v * (1 - t) / (positive_v * (1 + t) + negative_v * (1 - t)) - joint
        for t in (-0.02, 0.02)
    ]
    reach = earth_fault_reach_modules(positive_v, -negative_v, 400.0, 10, 2.0)
    assert reach == pytest.approx((max(off) - min(off)) / 2, rel=0.03)


@pytest.mark.source(
    document="numpy: place of the least difference", table="six strings", confidence="opened"
)
@pytest.mark.parametrize("read_v", [100.0, 301.0, 338.0, 361.0, 900.0])
def test_the_nearest_expected_voltage_is_the_one_a_search_finds(read_v: float) -> None:
    expected = np.array([320.0, 360.0, 360.5, 280.0, 240.0, 400.0])
    nearest = nearest_expected_v(read_v, expected.tolist(), 3.0)
    assert nearest == expected[np.argmin(np.abs(expected - read_v))]


@pytest.mark.source(
    document="iec-60228 as pages of cable makers print it, against tables 4D2B and 4D5",
    table="mV/(A·m) is 2 × R at 20 °C × 1.20",
    confidence="secondary",
)
def test_volt_drop_and_resistance_tables_agree_with_each_other() -> None:
    """Within 4 %: printed drops have two figures. A wrong row would be off by a third."""
    day = date(2026, 11, 10)
    sizes = ("1", "1.5", "2.5", "4", "6", "10", "16", "25", "35")
    tables = load_rules(rulesets_folder(), "gb").tables
    for size in sizes:
        cold = tables.value("copper_milliohm_per_m", (size,), day)
        drop = tables.value("drop_70_mv_per_a_m", (size,), day)
        three = tables.value("drop_70_three_phase_mv_per_a_m", (size,), day)
        flexible = tables.value("flexible_tinned_milliohm_per_m", (size,), day)
        assert cold
        assert drop
        assert three
        assert flexible
        assert drop.low == pytest.approx(2 * cold.low * 1.2, rel=0.04)
        assert three.low == pytest.approx(3**0.5 * cold.low * 1.2, rel=0.04)
        assert 1.05 < flexible.low / cold.low < 1.15


@pytest.mark.source(
    document="iec-60228 sizes of flat cable, worked out by others",
    table="R1 + R2 in mΩ/m at 20 °C",
    confidence="secondary",
)
@pytest.mark.parametrize(
    ("size", "both"),
    [("1", 36.2), ("1.5", 30.2), ("2.5", 19.51), ("4", 16.71),
     ("6", 10.49), ("10", 6.44), ("16", 4.23)],
)  # fmt: skip
def test_r1_r2_of_flat_cable_comes_out_as_tabulated(size: str, both: float) -> None:
    """To the last printed digit."""
    day = date(2026, 11, 10)
    tables = load_rules(rulesets_folder(), "gb").tables
    protective = tables.value("flat_cable_protective_mm2", (size,), day)
    assert protective
    line = tables.value("copper_milliohm_per_m", (size,), day)
    beside = tables.value("copper_milliohm_per_m", (f"{protective.low:g}",), day)
    assert line
    assert beside
    worked = cables.line_and_protective_ohm(1000.0, line.low, beside.low, 1.0)
    assert worked == pytest.approx(both, abs=0.005 + 1e-9)
