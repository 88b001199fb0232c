"""Worked-out values: what feeds them, what they need, and that they ask no more than it takes."""

from __future__ import annotations

import pytest
from rules.small import check, one, only, told

from compliance.rules.outcome import Outcome
from compliance.rules.quantities import QUANTITIES

MODULE = "components: {m: {category: module, voc_v: 40}}\n"
ALIKE = one("for: string in strings\nbefore: use\nmust: string.like_strings >= 2")


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
        "site: {lowest_cell_c: -15, supply: {nominal_v: 230}}\n"
        "components: {m: {category: module, voc_v: 40, isc_a: 13.9, serials: [A-1],"
        " voc_coefficient_percent_per_k: -0.25}}\n"
        "strings:\n  S1: {modules: m, in_series: 8, parallel: 1}\n"
        "  S2: {modules: m, in_series: 8, parallel: 1}\n"
        "circuits: {C7: {device: {kind: circuit-breaker, curve: B, rated_a: 32}, rcd: none}}\n"
        "tests:\n"
        + "".join(
            f"  - {{test: open-circuit voltage, of: {s}, value_v: 318, irradiance_w_m2: 900,"
            " cell_c: 25}\n"
            for s in ("S1", "S2")
        )
    )
    workings = check(ALIKE, record).workings
    printed = {q.name for q in QUANTITIES.values() if q.is_printed}
    assert {w.quantity for w in workings} == printed
    for working in workings:
        assert all(words and value for words, value in working.inputs), working
        assert working.result[0].isdigit(), working
    (limit,) = [w for w in workings if w.quantity == "loop_limit_ohm"]
    assert limit.result == "1.366 Ω"  # 230 × 0.95 / (5 × 32), by hand
    assert dict(limit.inputs)["voltage factor Cmin"] == "0.95"
