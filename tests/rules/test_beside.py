"""Like strings, then and now, the sun's place and what reads like what, from a record to words."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from rules.small import TODAY, check, shipped, view_of

from compliance.rules.beside import Beside, ThenAndNow, like_strings, then_and_now
from compliance.rules.check import Checker
from compliance.rules.language.compile import Decided
from compliance.rules.outcome import Finding, Outcome
from compliance.rules.rule import Rules
from compliance.rules.world import RecordWorld

PARTS = """\
parts: {a: {kind: array, designed: 2026-09-01}, i: {kind: inverter, designed: 2026-09-01}}
components:
  m: {category: module, voc_v: 40, isc_a: 10, voc_coefficient_percent_per_k: -0.25,
      isc_coefficient_percent_per_k: 0.05}
  inv: {category: inverter}
  other: {category: inverter}
"""


def _string(name: str, series: int = 9, inverter: str = "inv", more: str = "") -> str:
    return (
        f"  {name}: {{modules: m, in_series: {series}, parallel: 1, "
        f"input: {{inverter: {inverter}}}{more}}}\n"
    )


def _voltage(of: str, value: str, on: str = "2026-11-06T11:00", more: str = "") -> str:
    return (
        f"  - {{test: open-circuit voltage, of: {of}, on: {on}, value_v: {value}, "
        f"irradiance_w_m2: 1000, cell_c: 25{more}}}\n"
    )


def _current(of: str, value: float, light: float, on: str = "2026-11-06T11:10") -> str:
    return (
        f"  - {{test: short-circuit current, of: {of}, on: {on}, value_a: {value}, "
        f"irradiance_w_m2: {light}, cell_c: 25}}\n"
    )


def _record(*voltages: str, tests: str = "", series: int = 9) -> str:
    names = [f"S{n}" for n in range(1, len(voltages) + 1)]
    strings = "".join(_string(name, series) for name in names)
    read = "".join(_voltage(name, value) for name, value in zip(names, voltages, strict=True))
    return f"{PARTS}strings:\n{strings}tests:\n{read}{tests}"


def _world(record: str, on: date = TODAY) -> RecordWorld:
    return RecordWorld(view_of(record, on=on), on, shipped().rules.tables, {})


def _told(record: str) -> dict[tuple[str, str], str]:
    return {(b.subject, b.reading): b.told for b in like_strings(_world(record))}


def _asked(record: str) -> set[tuple[str, str]]:
    return {(q.id, q.subject) for q in check(shipped(), record).questions}


VOC, ISC = "open-circuit voltage", "short-circuit current"
ODD_VOLTAGE, ODD_CURRENT = "odd-voltage-among-like-strings", "odd-current-among-like-strings"


def test_a_string_of_a_module_less_is_told_as_the_odd_one_and_asked_about() -> None:
    record = _record("360", "320", "361")
    assert _told(record) == {("S1", VOC): "alike", ("S2", VOC): "the odd one", ("S3", VOC): "alike"}
    assert _asked(record) == {(ODD_VOLTAGE, "S2")}


def test_of_two_strings_that_differ_nobody_can_tell_and_nobody_is_asked() -> None:
    record = _record("360", "320")
    assert _told(record) == {("S1", VOC): "cannot tell", ("S2", VOC): "cannot tell"}
    assert _asked(record) == set()


def test_strings_within_their_tolerances_are_alike_and_nobody_is_asked() -> None:
    record = _record("360", "352", "361")
    assert set(_told(record).values()) == {"alike"}
    assert _asked(record) == set()


def test_what_was_read_in_other_light_is_brought_to_equal_conditions_first() -> None:
    light = _current("S1", 8.0, 800) + _current("S2", 4.0, 400) + _current("S3", 4.0, 800)
    record = _record("360", "360", "360", tests=light)
    assert _told(record)["S3", ISC] == "the odd one"
    assert _asked(record) == {(ODD_CURRENT, "S3")}
    (third,) = [b for b in like_strings(_world(record)) if (b.subject, b.reading) == ("S3", ISC)]
    assert third == Beside(
        "S3", ISC, "4 A, 800 W/m², 25 °C", "5 A", "-50 %; two may differ by 9.5 %",
        "the odd one",
    )  # fmt: skip


@pytest.mark.parametrize(
    "other", [_string("S3", inverter="other"), _string("S3", series=8), "  S3: {in_series: 9}\n"]
)
def test_only_strings_of_one_kind_on_one_inverter_stand_side_by_side(other: str) -> None:
    record = _record("360", "320", "361").replace(_string("S3"), other)
    assert {subject for subject, _ in _told(record)} == {"S1", "S2"}
    assert _asked(record) == set()


def test_a_string_that_was_not_read_or_beyond_range_is_left_out() -> None:
    record = _record("360", "320", "over 300")
    assert {subject for subject, _ in _told(record)} == {"S1", "S2"}
    assert _told(_record("360", "'not taken: rain'", "over 300")) == {}
    assert _told("strings: none\n") == {}
    assert _told("") == {}


def test_two_days_stand_beside_each_other_with_what_they_may_differ_by() -> None:
    again = _voltage("S1", "350", "2026-11-08T12:00", ", after: a year of sun")
    (pair,) = then_and_now(_world(_record("360", tests=again)))
    assert pair == ThenAndNow(
        "S1",
        VOC,
        "2026-11-06: 360 V, 1000 W/m², 25 °C; made equal 360 V",
        "2026-11-08: 350 V, 1000 W/m², 25 °C; made equal 350 V",
        "-2.8 %",
        "more than the 1.6 % that two readings may differ by",
    )


def test_a_difference_within_the_tolerances_says_nothing() -> None:
    again = _voltage("S1", "356", "2026-11-08T12:00")
    (pair,) = then_and_now(_world(_record("360", tests=again)))
    assert pair.told.startswith("within the 1.6 %")


def test_of_three_days_the_last_stands_beside_the_first_too() -> None:
    tests = _voltage("S1", "359", "2026-11-07") + _voltage("S1", "358", "2026-11-08")
    pairs = [(p.then[:10], p.now[:10]) for p in then_and_now(_world(_record("360", tests=tests)))]
    first, second, third = "2026-11-06", "2026-11-07", "2026-11-08"
    assert pairs == [(first, second), (second, third), (first, third)]


@pytest.mark.parametrize(
    "again",
    [
        _voltage("S1", "350", "2026-11-06T15:00"),  # the same day
        _voltage("S1", "over 300", "2026-11-08"),
        _voltage("S1", "350", "2026-11-08").replace("irradiance_w_m2: 1000, ", ""),
        _voltage("S1", "350", "2026-11-08").replace("1000", "150"),  # too dim to bring anywhere
        _voltage("S1", "350", "2027-11-08"),  # not made yet on the day of the check
        _voltage("S1", "350").replace("on: 2026-11-06T11:00, ", ""),
        "  - {test: open-circuit voltage, of: S1, on: 2026-11-08, not_taken: rain}\n",
    ],
)
def test_what_cannot_be_brought_to_equal_conditions_has_nothing_beside_it(again: str) -> None:
    assert list(then_and_now(_world(_record("360", tests=again)))) == []


def test_currents_are_brought_to_equal_light() -> None:
    tests = _current("S1", 8.0, 800) + _current("S1", 3.0, 400, "2026-11-08")
    tests += "  - {test: operating current, of: S1, on: 2026-11-06, value_a: 7, " + (
        "irradiance_w_m2: 700}\n"
    )
    tests += "  - {test: operating current, of: S1, on: 2026-11-08, value_a: 4, " + (
        "irradiance_w_m2: 400}\n"
    )
    pairs = list(then_and_now(_world(_record("360", tests=tests))))
    assert [(p.reading, p.change, p.told.split(" the ")[0]) for p in pairs] == [
        (ISC, "-25 %", "more than"),
        ("operating current", "0 %", "within"),
    ]


# -- reads like ---------------------------------------------------------------------------


def _finding(record: str, requirement: str, subject: str = "S1") -> Finding:
    (found,) = [
        f
        for f in check(shipped(), record).findings
        if (f.requirement.id, f.subject) == (requirement, subject)
    ]
    return found


def test_a_voltage_off_its_expected_one_says_what_it_reads_like() -> None:
    found = _finding(_record("320"), "string-open-circuit-voltage")
    assert found.outcome is Outcome.NOT_MET
    assert "Reads like, the nearest first: one module fewer, or one bypassed whole (320 V, " in (
        found.remark
    )
    assert "only one module fewer, or one bypassed whole." in found.remark
    assert "A ranking and no finding" in found.remark


def test_where_several_lie_within_the_tolerance_it_cannot_tell() -> None:
    found = _finding(_record("756", series=20), "string-open-circuit-voltage")
    assert "Cannot tell between: " in found.remark
    assert "one module fewer, or one bypassed whole (760 V" in found.remark
    assert "two thirds of a module bypassed (773.3 V" in found.remark


def test_a_voltage_that_fits_another_string_says_that_they_may_be_exchanged() -> None:
    record = _record("320", "360")
    record = record.replace(_string("S2"), _string("S2", series=8))
    assert "fits what is expected of S2" in _finding(record, "string-open-circuit-voltage").remark
    other = _finding(record, "string-open-circuit-voltage", "S2").remark
    assert "fits what is expected of S1" in other


@pytest.mark.parametrize(
    ("poles", "told"),
    [
        (", positive_to_earth_v: 240, negative_to_earth_v: -120", "between module 3 and module 4"),
        (", positive_to_earth_v: 220, negative_to_earth_v: -140", "inside module 4"),
        (", positive_to_earth_v: 0, negative_to_earth_v: -360", "at the positive end"),
        (", positive_to_earth_v: 20, negative_to_earth_v: -20", "do not add up"),
        (", positive_to_earth_v: 240", ""),
        (", positive_to_earth_v: over 100, negative_to_earth_v: -120", ""),
        ("", ""),
    ],
)
def test_an_insulation_that_fails_says_where_the_poles_put_the_fault(poles: str, told: str) -> None:
    tests = (
        "  - {test: insulation, of: S1, on: 2026-11-06, positive_earth_megohm: 0.01,"
        " negative_earth_megohm: 0.02}\n"
    )
    record = _record("360", tests=tests).replace("cell_c: 25", f"cell_c: 25{poles}")
    found = _finding(record, "string-insulation")
    assert found.outcome is Outcome.NOT_MET
    assert told in found.remark
    assert bool(told) is ("earth" in found.remark)


def test_nothing_is_said_of_what_is_met_or_not_shown_and_no_outcome_changes(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    assert _finding(_record("360"), "string-open-circuit-voltage").remark == ""
    record = _record("320", "360", "361")
    told = check(shipped(), record)
    monkeypatch.setattr("compliance.rules.settled.reads_like", lambda *_: "")
    silent = check(shipped(), record)
    assert [f.remark for f in told.findings] != [f.remark for f in silent.findings]
    assert [(f.requirement, f.subject, f.outcome, f.needs) for f in told.findings] == [
        (f.requirement, f.subject, f.outcome, f.needs) for f in silent.findings
    ]
    assert told.counts == silent.counts
    assert told.is_held_up is silent.is_held_up


# -- the sun's place ----------------------------------------------------------------------

SITE = "site: {latitude_deg: 52.5, longitude_deg: -1.5}\n"
LIGHT = "light-beyond-the-suns-place"
CURRENT = "current-beyond-the-suns-place"


def _sunny(on: str, light: float, amperes: float = 1.0, site: str = SITE, face: str = "") -> str:
    strings = _string("S1", more=face)
    return f"{site}{PARTS}strings:\n{strings}tests:\n" + _current("S1", amperes, light, on)


@pytest.mark.parametrize(
    ("on", "light", "face", "asked"),
    [
        ("2026-12-21T12:00", 980, "", True),
        ("2026-12-21T12:00", 800, "", False),
        ("2026-06-21T13:00", 1090, "", False),
        ("2026-12-21T12:00", 500, ", tilt_deg: 35, azimuth_deg: 0", True),
        ("2026-12-21T12:00", 280, ", tilt_deg: 35, azimuth_deg: 0", False),
        ("2026-12-21T12:00", 500, ", tilt_deg: 35, azimuth_deg: 180", False),
        ("2026-06-21T21:00", 100, "", False),  # summer time: the sun is still up
        ("2026-06-21T23:00", 100, "", True),
        ("2026-12-21", 980, "", False),  # no time of day
    ],
)
def test_light_is_asked_about_where_the_sun_could_not_give_it(
    on: str, light: float, face: str, asked: bool
) -> None:
    day = date(2026, 12, 31)
    record = _sunny(on, light, face=face)
    found = check(shipped(), record, on=day).questions
    assert ((LIGHT, "S1") in {(q.id, q.subject) for q in found}) is asked


def test_current_is_asked_about_where_the_sun_could_not_drive_it() -> None:
    late = _sunny("2026-11-06T18:00", 700, 7.2)
    assert _asked(late) == {(LIGHT, "S1"), (CURRENT, "S1")}
    assert _asked(_sunny("2026-11-06T12:00", 700, 7.2)) == set()
    assert _asked(_sunny("2026-11-06T18:00", 700, 7.2, site="")) == set()
    beyond = SITE.replace("52.5", "152.5")  # no latitude: told as unknown, asked about never
    assert _asked(_sunny("2026-11-06T18:00", 700, 7.2, site=beyond)) == set()


def test_a_question_shows_what_was_read_and_nothing_that_is_not_there() -> None:
    found = check(shipped(), _sunny("2026-11-06T18:00", 700, 7.2)).questions
    read: dict[str, Any] = {q.id: dict(q.read) for q in found}
    assert read[LIGHT]["short circuit current irradiance"] == "700 W/m²"
    assert len(read[LIGHT]) == 2
    assert list(read[CURRENT].values()) == ["7.2 A", "0 A"]


def test_the_generated_function_asks_what_the_reference_asks() -> None:
    def by_reference(world: RecordWorld, day: Any, *_: Any, **__: Any) -> list[Decided]:
        decided = shipped().decide(world, day)
        return [(numbers, entries, (None,) * len(numbers)) for numbers, entries, _ in decided]

    rules: Rules = shipped().rules
    reference = Checker.of(rules, by_reference)
    for record in (
        _sunny("2026-11-06T18:00", 700, 7.2),
        _record("360", "320", "361"),
        _record("360", "over 320", "361"),
    ):
        assert check(shipped(), record).questions == check(reference, record).questions
