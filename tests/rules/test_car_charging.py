"""A car charger in whole records: its circuit, and a job that is nothing but a charger."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from rules.small import HEAD, check, shipped, view_of, whole

from compliance.errors import ComplianceError
from compliance.files.yaml import parse_yaml
from compliance.record.load import record_from
from compliance.rules.outcome import Checked, Outcome

DAY = date(2026, 11, 26)
CHARGER_JOB = """\
site:
  supply: {phases: 1, nominal_v: 230, earthing: TN-C-S, ze_ohm: 0.2, prospective_fault_ka: 1.1,
           fuse_a: 80, demand_a: 96}
parts:
  car: {kind: charger, designed: 2026-11-02, started: 2026-11-16}
components:
  car-7: {category: charger, phases: 1, rated_a: 32, throttles_above_a: 75, used_outdoors: yes,
          dc_sensing: in the charger, vehicle_gives_back: no,
          open_pen: {way: device by supply voltage, opens: live conductors and earth, within_s: 4.5,
                     below_v: 208, above_v: 252}}
strings: none
circuits:
  C1: {feeds: car-7, disconnected_by: overcurrent device,
       device: {kind: circuit-breaker, curve: B, rated_a: 32, breaking_ka: 6}, length_m: 12,
       cable: {insulation: 90 °C thermosetting, size_mm2: 6, method: another table, tabulated_a: 46,
               ambient_c: 30, grouped: 1},
       rcd: {type: A, residual_ma: 30}}
evidence:
  paper: {file: paper.pdf, kind: datasheet, about: car-7, shows: its figures, by: imre,
          on: 2026-11-02}
people:
  imre: {name: Imre (invented)}
"""
BESIDE_AN_INVERTER = """\
parts:
  roof: {kind: inverter, designed: 2026-11-02}
  car: {kind: charger, designed: 2026-11-02}
components:
  inv: {category: inverter, max_output_a: 16, rated_kw: 3.6, phases: 1}
  car-7: {category: charger, rated_a: 32}
circuits:
  C1: {part: roof, feeds: inv, device: {rated_a: 20}}
  C2: {part: car, feeds: car-7, device: {rated_a: 32}}
"""


def checked(text: str) -> Checked:
    return check(shipped(), text, on=DAY, seen={"paper": whole("paper.pdf")})


def outcomes(text: str) -> dict[str, Outcome]:
    """The outcome of each requirement of the charger's ruleset, by id and subject."""
    return {
        f"{f.requirement.id} {f.subject}": f.outcome
        for f in checked(text).findings
        if f.requirement.id.startswith("charger-") or f.requirement.id == "supply-bears-charger"
    }


def test_a_good_charger_meets_all_that_is_asked_of_its_circuit() -> None:
    found = outcomes(CHARGER_JOB)
    assert found.pop("charger-device-both-ways car-7 / C1") is Outcome.NOT_APPLICABLE
    assert found.pop("charger-approved car-7") is Outcome.NOT_SHOWN
    assert len(found) == 8
    assert set(found.values()) == {Outcome.MET}


@pytest.mark.parametrize(
    ("old", "new", "missed"),
    [
        ("rated_a: 32, throttles", "rated_a: 40, throttles", "charger-circuit-carries-it car-7"),
        ("tabulated_a: 46", "tabulated_a: 31", "charger-cable-carries-device car-7 / C1"),
        ("residual_ma: 30", "residual_ma: 100", "charger-rcd-for-people car-7 / C1"),
        ("type: A", "type: AC", "charger-rcd-not-blinded car-7 / C1 / rcd"),
        ("device by supply voltage", "nothing", "charger-open-pen-way car-7"),
        ("below_v: 208", "below_v: 200", "charger-open-pen-acts car-7"),
        ("conductors and earth", "conductors only", "charger-open-pen-parts-earth car-7"),
        ("throttles_above_a: 75", "throttles_above_a: 90", "supply-bears-charger car-7"),
    ],
)
def test_one_slip_is_one_gap(old: str, new: str, missed: str) -> None:
    assert CHARGER_JOB.count(old) == 1
    found = outcomes(CHARGER_JOB.replace(old, new))
    assert [name for name, outcome in found.items() if outcome is Outcome.NOT_MET] == [missed]


def test_a_charger_alone_is_asked_nothing_about_arrays_and_inverters() -> None:
    asked = {
        f.requirement.id: f.requirement.title
        for f in checked(CHARGER_JOB).findings
        if f.outcome is not Outcome.NOT_APPLICABLE and f.subject in ("car-7", "C1", "car-7 / C1")
    }
    assert asked
    assert not [t for t in asked.values() if "inverter" in t or "string" in t or "array" in t]


def test_the_circuit_of_a_charger_is_never_taken_for_one_of_the_inverter() -> None:
    view = view_of(BESIDE_AN_INVERTER)
    inverter, charger = view["components"]
    assert [c["~name"] for c in inverter["circuits"]] == ["C1"]
    assert [c["~name"] for c in charger["circuits"]] == ["C2"]


def test_a_circuit_that_does_not_say_what_it_feeds_may_be_either_one_s() -> None:
    found = outcomes(BESIDE_AN_INVERTER.replace("feeds: car-7, ", ""))
    assert found["charger-circuit-carries-it car-7"] is Outcome.NOT_SHOWN
    for finding in checked(BESIDE_AN_INVERTER.replace("feeds: car-7, ", "")).findings:
        if finding.requirement.id == "charger-circuit-carries-it":
            assert [need.path for need in finding.needs] == ["circuits[C2].feeds"]


def test_a_circuit_feeds_an_inverter_or_a_charger_and_nothing_else() -> None:
    text = HEAD + CHARGER_JOB.replace("feeds: car-7", "feeds: roof")
    with pytest.raises(ComplianceError) as caught:
        record_from(parse_yaml(text.encode(), name="installation.yaml"), Path())
    said = str(caught.value)
    assert "components of category inverter or components of category charger" in said


@pytest.mark.source(
    document="common-practice", table="230 V of the public supply, 10 % either way",
    confidence="common practice, no source",
)  # fmt: skip
def test_the_window_of_supply_voltages_is_a_tenth_either_side_of_230_v() -> None:
    tables = shipped().rules.tables
    least, most = (tables.value(name, (), DAY) for name in ("open_pen_least_v", "open_pen_most_v"))
    assert least is not None
    assert most is not None
    assert (least.low, most.low) == (pytest.approx(0.9 * 230), pytest.approx(1.1 * 230))
