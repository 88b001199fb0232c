"""Surge devices and DC cables in whole records: what the examples in the rulesets cannot say."""

from __future__ import annotations

import pytest
from rules.small import check, only, shipped, told

from compliance.rules.outcome import Outcome

STRINGS = """\
site: {building: dwelling, ground_flashes_per_km2_year: 5}
strings: {S1: {in_series: 8}}
tests:
  - {test: polarity, of: S1, result: correct, on: 2026-11-02}
"""
LONG, SHORT = 23, 22.9  # 115 / 5 is 23 m, by hand


def _cables(route_m: float, *, positive: str = "A", negative: str = "A") -> str:
    return (
        "cables:\n"
        f"  p: {{serves: S1, pole: positive, run: {positive}, route_m: {route_m},"
        " identified_by: meter}\n"
        f"  n: {{serves: S1, pole: negative, run: {negative}, route_m: {route_m},"
        " identified_by: meter}\n"
    )


@pytest.mark.parametrize(
    ("record", "outcome"),
    [
        (_cables(SHORT) + "surge: none\n", "met"),
        (_cables(LONG) + "surge: none\n", "not met"),
        (_cables(LONG) + "surge: {d: {side: dc, serves: S1, place: inverter}}\n", "met"),
        (_cables(LONG), "not shown"),
        (_cables(SHORT), "met"),
        ("surge: none\n", "not shown"),
        ("cables: none\nsurge: none\n", "not shown"),
    ],
)
def test_a_missing_device_is_judged_by_the_route_and_never_flatly(
    record: str, outcome: str
) -> None:
    checked = check(shipped(), STRINGS + record)
    assert told(checked, "dc-surge-device-where-route-is-long") == {"S1": outcome}


def test_a_pole_is_not_proved_by_a_polarity_test_that_somebody_only_tells_of() -> None:
    told_only = check(shipped(), STRINGS + _cables(9))
    found = [f for f in told_only.findings if f.requirement.id == "cable-pole-proved-by-meter"]
    assert {f.outcome for f in found} == {Outcome.NOT_SHOWN}
    assert all("known only as told" in need.reason for f in found for need in f.needs)
    measured = STRINGS.replace("on: 2026", "instrument: m, on: 2026") + "instruments: {m: {}}\n"
    checked = check(shipped(), measured + _cables(9))
    assert told(checked, "cable-pole-proved-by-meter") == {"p": "met", "n": "met"}


def test_poles_on_two_runs_are_told_in_words() -> None:
    checked = check(shipped(), STRINGS + _cables(9, negative="B"))
    found = [f for f in checked.findings if f.requirement.id == "cable-poles-run-together"]
    assert {f.subject: f.outcome for f in found} == {
        "S1 / p": Outcome.NOT_MET,
        "S1 / n": Outcome.NOT_MET,
    }
    (fact,) = found[0].facts
    assert fact.right == "at least one: another pole, the same run"


@pytest.mark.parametrize("sizes", [(6, 6), (16, 5.9), (4, 16), (6, 16, 5)])
def test_the_printed_weakest_section_is_the_one_that_the_rule_judges(
    sizes: tuple[float, ...],
) -> None:
    sections = ", ".join(f"{{size_mm2: {s}, reaches: main earthing terminal}}" for s in sizes)
    device = f"surge: {{a: {{side: ac, type: '2', earth_path: [{sections}]}}}}\n"
    checked = check(shipped(), STRINGS + device)
    (working,) = [w for w in checked.workings if w.quantity == "weakest_earth_mm2"]
    assert working.result == f"{min(sizes):g} mm²"
    is_met = only(checked, "surge-earth-path").outcome is Outcome.MET
    assert is_met is (min(sizes) >= 6)
