"""What would be right of a reading, read off the requirements that judge it."""

from __future__ import annotations

from typing import Any

from rules.small import TODAY, shipped, view_of

from compliance.rules.wanted import wanted
from compliance.rules.world import RecordWorld

CIRCUIT = "site: {supply: {nominal_v: 230}}\ncircuits: {C7: {rcd: none}}\ntests:\n"
STRING = (
    "components: {m: {category: module, voc_v: 40, imp_a: 13}}\n"
    "strings: {S1: {modules: m, in_series: 9, parallel: 1}}\ntests:\n"
)


def _right(text: str, collection: str, test: str, field: str) -> str | None:
    job: dict[str, Any] = view_of(text)
    rules = shipped().rules
    found = wanted(rules, RecordWorld(job, TODAY, rules.tables, {}))
    return found.get((id(job[collection][0][test]), field))


def _of_insulation(given: str) -> str | None:
    text = f"{CIRCUIT}  - {{test: circuit insulation, of: C7, {given}}}\n"
    return _right(text, "circuits", "insulation", "test_voltage_v")


def test_of_two_permitted_ways_the_one_that_holds_says_what_is_right() -> None:
    assert _of_insulation("test_voltage_v: 500, surge_devices: none fitted") == "at least 500 V"
    assert _of_insulation("test_voltage_v: 250, surge_devices: connected") == "at least 250 V"


def test_where_neither_way_holds_the_first_says_what_is_right() -> None:
    assert _of_insulation("test_voltage_v: 250, surge_devices: none fitted") == "at least 500 V"
    assert _of_insulation("test_voltage_v: 250") == "at least 500 V"


def test_another_permitted_way_says_what_is_right_of_its_own_reading() -> None:
    text = STRING + ("  - {test: operating current, of: S1, value_a: 7.6, irradiance_w_m2: 600}\n")
    right = _right(text, "strings", "operating_current", "value_a")
    assert right is not None
    assert right.startswith("7.8 A, within 0.78 A")  # 13 × 0.6, and 10 % of it


def test_the_row_of_the_insulation_table_says_the_test_voltage() -> None:
    text = STRING + "  - {test: insulation, of: S1, test_voltage_v: 250}\n"
    assert _right(text, "strings", "insulation", "test_voltage_v") == "at least 500 V"
