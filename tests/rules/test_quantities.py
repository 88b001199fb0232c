"""Worked-out values: what feeds them, what they need, and that they ask no more than it takes."""

from __future__ import annotations

import pytest
from rules.small import check, one, only, told

from compliance.rules.outcome import Outcome
from compliance.rules.quantities import QUANTITIES

MODULE = "components: {m: {category: module, voc_v: 40}}\n"
ALIKE = one("for: string in strings\nbefore: use\nmust: string.like_strings >= 2")

SURGE = """\
surge:
  d: {side: dc, serves: S1, protection_level_kv: 1.8, live_lead_m: 0.2, earth_lead_m: 0.25,
      earth_path: [{reaches: earth bar, size_mm2: 16},
                   {reaches: main earthing terminal, size_mm2: 4}]}
  a: {side: ac, live_lead_m: 0.2, earth_lead_m: 0.3}
cables:
"""
ROUTE = one("for: string in strings\nbefore: use\nmust: dc_route_m <= 20")


DESIGNED = {  # by hand, from the tables of the regulations and the record below
    "design_current_a": "16 A",  # 3680 / 230, more than the maker's 15
    "cable_capacity_a": "47 A",
    "ac_drop_v": "1.518 V",  # 7.3 × 16 × 13 / 1000
    "ac_drop_percent": "0.6602 %",  # of 230
    "expected_r1_r2_ohm": "0.1364 Ω",  # 13 × (3.08 + 7.41) / 1000
    "warm_r1_r2_ohm": "0.1636 Ω",  # × 1.2
    "warm_loop_ohm": "0.7636 Ω",  # + 0.6
    "breaking_share_percent": "15 %",  # 0.9 / 6
    "adiabatic_by_energy_mm2": "0.9526 mm²",  # √12000 / 115
    "protective_size_mm2": "6 mm²",
    "string_drop_v": "0.7994 V",  # 13.1 × 18 × 3.39 / 1000
    "dc_drop_percent": "0.3046 %",  # of 8 × 32.8
    "hot_string_v": "219.1 V",  # 262.4 × (1 - 0.003 × 55)
    "cold_string_v": "293.9 V",  # 262.4 × (1 + 0.003 × 40)
    "input_isc_a": "34.75 A",  # 2 × 1.25 × 13.9
    "beside_isc_a": "17.38 A",  # 34.75 - 17.375
    "reverse_current_a": "17.38 A",  # 1 × 1.25 × 13.9
    "least_string_fuse_a": "20.85 A",  # 1.5 × 13.9
    "greatest_string_fuse_a": "25 A",  # less than 2.4 × 13.9
}


def _cable(name: str, string: str, run: str = "", length: float = 0) -> str:
    told = f", run: {run}" if run else ""
    told += f", route_m: {length:g}" if length else ""
    pole = "negative" if name.endswith("-") else "positive"
    return f"  {name}: {{serves: {string}, pole: {pole}, size_mm2: 6, grouped: 1{told}}}\n"


def _needs(record: str, subject: str) -> set[tuple[str, str]]:
    found = next(f for f in check(ALIKE, record).findings if f.subject == subject)
    return {(n.path, n.reason) for n in found.needs}


def test_strings_are_alike_that_have_the_same_modules_in_the_same_number() -> None:
    record = MODULE + (
        "strings:\n  S1: {modules: m, in_series: 8, parallel: 1}\n"
        "  S2: {modules: m, in_series: 8, parallel: 1}\n"
        "  S3: {modules: m, in_series: 9, parallel: 1}\n"
    )
    assert told(check(ALIKE, record)) == {"S1": "met", "S2": "met", "S3": "not met"}


def test_a_string_that_might_be_alike_is_asked_for_what_it_leaves_out() -> None:
    record = MODULE + (
        "strings:\n  S1: {modules: m, in_series: 8, parallel: 1}\n  S2: {modules: m}\n"
    )
    assert _needs(record, "S1") == {
        ("strings[S2].in_series", "missing"),
        ("strings[S2].parallel", "missing"),
    }
    assert _needs(record, "S2") == {
        ("string.in_series", "missing"),
        ("string.parallel", "missing"),
    }


def test_a_string_that_surely_differs_is_asked_for_nothing() -> None:
    record = MODULE + (
        "strings:\n  S1: {modules: m, in_series: 8, parallel: 1}\n"
        "  S2: {in_series: 9}\n  S3: {modules: m, in_series: 8, parallel: 1}\n"
    )
    assert told(check(ALIKE, record)) == {"S1": "met", "S2": "not shown", "S3": "met"}


def test_many_empty_strings_need_no_more_than_each_its_own() -> None:
    record = "strings:\n" + "".join(f"  S{n}: {{}}\n" for n in range(500))
    checked = check(ALIKE, record)
    assert sum(len(f.needs) for f in checked.findings) == 3 * 500


@pytest.mark.parametrize(
    ("change", "path", "reason"),
    [
        ("in_series: 9.5", "string.in_series", "a whole number"),
        ("in_series: 0", "string.in_series", "a whole number"),
        ("in_series: -8", "string.in_series", "a whole number"),
    ],
)
def test_what_cannot_be_is_unknown_and_names_its_input(change: str, path: str, reason: str) -> None:
    checker = one("for: string in strings\nbefore: use\nmust: string.system_voltage_v <= 600")
    found = only(check(checker, MODULE + f"strings: {{S1: {{modules: m, {change}}}}}\n"))
    assert found.outcome is Outcome.NOT_SHOWN
    (need,) = found.needs
    assert need.path == path
    assert reason in need.reason


def test_a_worked_out_value_takes_no_reading_beyond_range() -> None:
    checker = one("for: string in strings\nbefore: use\nmust: string.expected_voc_v <= 600")
    record = (
        "components: {m: {category: module, voc_v: 40, voc_coefficient_percent_per_k: -0.25}}\n"
        "strings: {S1: {modules: m, in_series: 8}}\ntests:\n"
        "  - {test: open-circuit voltage, of: S1, value_v: 300, irradiance_w_m2: over 800,"
        " cell_c: 'not taken: no probe'}\n"
    )
    found = only(check(checker, record))
    assert found.outcome is Outcome.NOT_SHOWN
    assert {(n.path, n.reason) for n in found.needs} == {
        ("string.open_circuit_voltage.irradiance_w_m2",
         "beyond range: a reading above 800 W/m²"),
        ("string.open_circuit_voltage.cell_c", "not taken: no probe"),
    }  # fmt: skip


def test_an_absurd_figure_fails_like_any_other() -> None:
    checker = one("for: string in strings\nbefore: use\nmust: string.system_voltage_v <= 600")
    record = MODULE.replace("voc_v: 40", "voc_v: 999999999999") + (
        "strings: {S1: {modules: m, in_series: 9}}\n"
    )
    assert only(check(checker, record)).outcome is Outcome.NOT_MET


def test_every_worked_out_value_that_is_printed_shows_its_inputs() -> None:
    record = (
        "site: {lowest_cell_c: -15, supply: {nominal_v: 230, ze_ohm: 0.6, fuse_a: 80,"
        " tails_mm2: 25, let_through_a2_s: 400000, earthing_mm2: 16}, building: dwelling,"
        " ground_flashes_per_km2_year: 0.7, existing: {sources_kw: 0}}\n"
        "parts: {roof: {kind: array, roof_dead_kg_m2: 90}, garage: {kind: inverter}}\n"
        "components: {m: {category: module, voc_v: 40, isc_a: 13.9, imp_a: 13.1, serials: [A-1],"
        " mass_kg: 21.5, area_m2: 1.95,"
        " vmp_v: 32.8, vmp_coefficient_percent_per_k: -0.3, max_fuse_a: 25,"
        " voc_coefficient_percent_per_k: -0.25, isc_coefficient_percent_per_k: 0.05},"
        " i: {category: inverter, rated_kw: 3.68, phases: 1, max_output_a: 15},"
        " k: {category: mounting, mass_kg_m2: 2}}\n"
        "strings:\n"
        + "".join(
            f"  {s}: {{modules: m, in_series: 8, parallel: 1,"
            " yield_kwh_per_kw: 950, shaded_segments: 11,"
            " input: {inverter: i, tracker: 1}}\n"
            for s in ("S1", "S2")
        )
        + "circuits: {C7: {feeds: i, device: {kind: circuit-breaker, curve: B, rated_a: 32,"
        " breaking_ka: 6, let_through_a2_s: 12000}, rcd: {residual_ma: 30}, length_m: 13,"
        " cable: {insulation: 70 °C thermoplastic, size_mm2: 6, protective_mm2: 2.5,"
        " method: method C, ambient_c: 30, grouped: 1}}}\n"
        + SURGE
        + "".join(_cable(f"{s}{p}", s, "A", 9) for s in ("S1", "S2") for p in "+-")
        + "tests:\n"
        "  - {test: fault current, of: C7, value_ka: 0.9}\n"
        "  - {test: loop impedance, of: C7, zs_ohm: 0.9}\n"
        "  - {test: continuity, of: C7, r1_r2_ohm: 0.36}\n"
        + "".join(
            f"  - {{test: open-circuit voltage, of: {s}, value_v: 318, irradiance_w_m2: 900,"
            " cell_c: 25}\n"
            f"  - {{test: short-circuit current, of: {s}, value_a: 12.5, irradiance_w_m2: 900,"
            " cell_c: 25}\n"
            f"  - {{test: operating current, of: {s}, value_a: 11.5, irradiance_w_m2: 900}}\n"
            for s in ("S1", "S2")
        )
    )
    workings = check(ALIKE, record).workings
    printed = {q.name for q in QUANTITIES.values() if q.is_printed}
    assert {w.quantity for w in workings} == printed
    for working in workings:
        assert all(words and value for words, value in working.inputs), working
        assert working.result[0].isdigit(), working
    (current,) = [w for w in workings if w.quantity == "rated_output_a"]
    assert (current.subject, current.result) == ("i", "16 A")  # 3680 / 230, by hand
    (limit,) = [w for w in workings if w.quantity == "loop_limit_ohm"]
    assert limit.result == "1.366 Ω"  # 230 × 0.95 / (5 × 32), by hand
    results = {(w.quantity, w.subject): w.result for w in workings}
    assert results["critical_length_m", "job"] == "164.3 m"  # 115 / 0.7, by hand
    assert results["dc_route_m", "job"] == "9 m"  # two cables on one route
    assert results["weakest_earth_mm2", "d"] == "4 mm²"
    assert results["level_with_leads_kv", "d"] == "2.25 kV"  # 1.8 + 0.2 + 0.25
    assert results["total_lead_m", "a"] == "0.5 m"
    assert dict(limit.inputs)["voltage factor Cmin"] == "0.95"
    results = {w.quantity: w.result for w in workings if w.subject in ("S1", "C7")}
    assert results["expected_isc_a"] == "12.51 A"  # 13.9 × 0.9, by hand
    assert results["expected_operating_a"] == "11.79 A"  # 13.1 × 0.9
    assert results["summed_loop_ohm"] == "0.96 Ω"  # 0.6 + 0.36
    assert {name: results[name] for name in DESIGNED} == DESIGNED
    of_others = {w.quantity: w.result for w in workings if w.subject not in ("S1", "C7")}
    assert of_others["array_kw"] == "6.875 kW"  # 16 × 429.68 W
    assert of_others["earthing_size_mm2"] == "16 mm²"
    assert of_others["earthing_by_energy_mm2"] == "5.5 mm²"  # √400000 / 115
    assert of_others["dc_capacity_a"] == "52.44 A"  # 57 × 0.92
    assert of_others["array_ratio_percent"] == "186.8 %"  # of 3.68
    assert of_others["registered_capacity_kw"] == "3.68 kW"
    assert of_others["annual_yield_kwh"] == "5813 kWh"  # 6.87488 × 950 × 0.89
    assert of_others["network_current_a"] == "16 A"
    assert of_others["board_current_a"] == "95 A"  # 80 + 15
    assert of_others["main_bond_mm2"] == "8 mm²"  # half of 16
    assert of_others["array_load_kg_m2"] == "13.03 kg/m²"  # 21.5 / 1.95 + 2
    assert of_others["load_change_percent"] == "14.47 %"  # of 90
    assert results["fault_touch_v"] == "0.027 V"  # 0.9 × 0.03
    assert results["summed_fault_touch_v"] == "0.0288 V"  # 0.96 × 0.03


CURRENTS = (
    "components: {m: {category: module}}\n"
    "strings:\n  S1: {modules: m, in_series: 8, parallel: 1}\n"
    "  S2: {modules: m, in_series: 6, parallel: 1}\ntests:\n"
    "  - {test: short-circuit current, of: S1, value_a: 9, irradiance_w_m2: 900}\n"
)


def test_currents_are_compared_each_in_its_own_light_whatever_stands_in_series() -> None:
    checker = one("for: string in strings\nbefore: use\nmust: string.isc_spread_percent <= 5")
    like = "  - {test: short-circuit current, of: S2, value_a: 5.88, irradiance_w_m2: 600}\n"
    unlike = "  - {test: short-circuit current, of: S2, value_a: 5.6, irradiance_w_m2: 600}\n"
    assert told(check(checker, CURRENTS + like)) == {"S1": "met", "S2": "met"}
    assert told(check(checker, CURRENTS + unlike)) == {"S1": "not met", "S2": "not met"}


def test_a_current_of_a_like_string_without_its_light_is_asked_for() -> None:
    checker = one("for: string in strings\nbefore: use\nmust: string.isc_spread_percent <= 5")
    dim = "  - {test: short-circuit current, of: S2, value_a: 5.88, irradiance_w_m2: 120}\n"
    for reading in ("  - {test: short-circuit current, of: S2, value_a: 5.88}\n", dim):
        found = [f for f in check(checker, CURRENTS + reading).findings if f.subject == "S1"]
        assert found[0].outcome is Outcome.NOT_SHOWN
        assert any("irradiance_w_m2" in n.path for n in found[0].needs), found[0].needs


ORDERED = "parts: {p: {kind: circuit, in_use: 2026-11-06}}\ncircuits: {C7: {rcd: none}}\ntests:\n"
DEAD = ("continuity", "circuit insulation", "circuit polarity")


def _order(*tests: tuple[str, str]) -> str:
    checker = one(
        "for: circuit in circuits\nbefore: handover\n"
        "must: circuit.dead_tests_ahead_of_use_days >= 0"
    )
    lines = "".join(f"  - {{test: {test}, of: C7, on: {day}}}\n" for test, day in tests)
    return only(check(checker, ORDERED + lines)).outcome.value


def test_a_test_repeated_in_use_does_not_undo_that_it_was_made_in_time() -> None:
    in_time = [(test, "2026-11-06") for test in DEAD]
    assert _order(*in_time) == "met"
    assert _order(*in_time, ("continuity", "2026-11-09")) == "met"
    assert _order(*in_time[1:], ("continuity", "2026-11-09")) == "not met"


def test_a_test_that_was_not_taken_is_not_the_first_of_its_kind() -> None:
    rest = [(test, "2026-11-06") for test in DEAD[1:]]
    checker = one(
        "for: circuit in circuits\nbefore: handover\n"
        "must: circuit.dead_tests_ahead_of_use_days >= 0"
    )
    lines = "".join(f"  - {{test: {test}, of: C7, on: {day}}}\n" for test, day in rest)
    lines += "  - {test: continuity, of: C7, on: 2026-11-05, not_taken: no lead}\n"
    lines += "  - {test: continuity, of: C7, on: 2026-11-07, result: continuous}\n"
    assert only(check(checker, ORDERED + lines)).outcome is Outcome.NOT_MET


@pytest.mark.parametrize(
    ("live", "outcome"),
    [("2026-11-06T09:25", "met"), ("2026-11-06T09:15", "not met"), ("2026-11-06", "met"),
     ("2026-11-05", "not met")],
)  # fmt: skip
def test_dead_tests_come_first_by_the_clock_where_both_have_one(live: str, outcome: str) -> None:
    checker = one(
        "for: circuit in circuits\nbefore: handover\n"
        "must: circuit.dead_tests_ahead_of_live_days >= 0"
    )
    lines = "".join(f"  - {{test: {test}, of: C7, on: 2026-11-06T09:20}}\n" for test in DEAD)
    lines += f"  - {{test: loop impedance, of: C7, on: {live}}}\n"
    assert only(check(checker, ORDERED + lines)).outcome.value == outcome


def test_days_that_are_lacking_are_asked_for() -> None:
    checker = one(
        "for: circuit in circuits\nbefore: handover\n"
        "must: circuit.dead_tests_ahead_of_live_days >= 0"
    )
    found = only(check(checker, ORDERED + "  - {test: continuity, of: C7}\n"))
    assert {n.path for n in found.needs} == {
        "circuit.continuity.on",
        "circuit.insulation",
        "circuit.polarity",
    }


def _route_of(*cables: str) -> tuple[str, set[tuple[str, str]]]:
    strings = "strings:\n  S1: {in_series: 8}\n  S2: {in_series: 8}\n"
    listed = "cables:\n" + "".join(cables) if cables else ""
    found = next(f for f in check(ROUTE, strings + listed).findings if f.subject == "S1")
    return found.outcome.value, {(n.path, n.reason) for n in found.needs}


def test_a_route_that_cables_share_counts_once_and_every_other_one_too() -> None:
    both = _cable("S1+", "S1", "A", 12), _cable("S1-", "S1", "A", 12)
    assert _route_of(*both, _cable("S2+", "S2", "A", 11))[0] == "met"
    assert _route_of(*both, _cable("S2+", "S2", "B", 8))[0] == "met"
    assert _route_of(*both, _cable("S2+", "S2", "B", 8.1))[0] == "not met"
    # Of two lengths for one route the longer one counts.
    assert _route_of(*both, _cable("S2+", "S2", "A", 20.1))[0] == "not met"


def test_the_length_of_all_routes_needs_each_string_s_cables_with_route_and_length() -> None:
    one_told = _cable("S1+", "S1", "A", 12)
    assert _route_of() == ("not shown", {("cables", "missing")})
    assert _route_of(one_told) == ("not shown", {("strings[S2].cables", "missing")})
    assert _route_of(one_told, _cable("S2+", "S2", "", 8)) == (
        "not shown",
        {("cables[S2+].run", "missing")},
    )
    assert _route_of(one_told, _cable("S2+", "S2", "B")) == (
        "not shown",
        {("cables[S2+].route_m", "missing")},
    )


def test_the_weakest_section_needs_the_size_of_each() -> None:
    checker = one("for: device in surge\nbefore: use\nmust: device.weakest_earth_mm2 >= 6")
    strings = "strings: {S1: {in_series: 8}}\n"
    device = "surge: {d: {side: dc, serves: S1, earth_path: [{size_mm2: 16}, {reaches: frame}]}}\n"
    found = only(check(checker, strings + device))
    assert found.outcome is Outcome.NOT_SHOWN
    (need,) = found.needs
    assert need.path == "device.earth_path[earth_path 2].size_mm2"
    assert need.supply == "size of earth_path 2, in mm²"
    silent = only(check(checker, strings + "surge: {d: {side: dc, serves: S1}}\n"))
    assert {n.path for n in silent.needs} == {"device.earth_path"}
