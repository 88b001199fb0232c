"""From a ruling to a finding: repeats, provenance, judgements, departures, ways, order."""

from __future__ import annotations

from datetime import date

import pytest
from rules.small import TODAY, check, checker_of, one, only, requirement, shipped, told, whole

from compliance.rules.outcome import Outcome

PARTS = """\
parts:
  roof: {kind: array, designed: 2026-09-01, started: 2026-11-02, in_use: 2026-11-06}
people: {rowan: {name: Rowan (invented)}, ash: {name: Ash (invented)}}
instruments: {meter: {kind: installation tester, calibration_due: 2027-01-01}}
"""
STRING = PARTS + "strings: {S1: {in_series: 8}}\n"
POLARITY = "for: string in strings\nbefore: use\nmust: string.polarity.result == 'correct'"


def _tests(*tests: str) -> str:
    return STRING + "tests:\n" + "".join(f"  - {{test: polarity, of: S1, {t}}}\n" for t in tests)


# -- table 5.5 of the design: the condition `if` down, `must` with its evidence across ----

TABLE = [
    ("yes", "8", Outcome.MET),
    ("yes", "9", Outcome.NOT_MET),
    ("yes", "", Outcome.NOT_SHOWN),
    ("", "8", Outcome.MET),
    ("", "9", Outcome.NOT_SHOWN),
    ("", "", Outcome.NOT_SHOWN),
    ("no", "8", Outcome.NOT_APPLICABLE),
    ("no", "9", Outcome.NOT_APPLICABLE),
    ("no", "", Outcome.NOT_APPLICABLE),
]


@pytest.mark.parametrize(("applies", "count", "outcome"), TABLE)
def test_a_cell_of_the_table_of_outcomes(applies: str, count: str, outcome: Outcome) -> None:
    checker = one("if: site.address == 'yes'\nbefore: use\nmust: site.supply.phases <= 8")
    lines = [f"address: {applies}"] if applies else []
    lines += [f"supply: {{phases: {count}}}"] if count else []
    found = only(check(checker, PARTS + f"site: {{{', '.join(lines)}}}\n"))
    assert found.outcome is outcome
    assert bool(found.needs) is (outcome is Outcome.NOT_SHOWN)
    if outcome is Outcome.NOT_SHOWN:
        wanted = {"site.address"} if not applies else set()
        wanted |= {"site.supply.phases"} if not count else set()
        assert {need.path for need in found.needs} == wanted
    if (applies, count) == ("", "9"):
        assert found.facts, "it would fail, which is told already"


def test_a_fault_outranks_evidence_that_is_missing() -> None:
    checker = one(POLARITY + "\nevidence: [test sheet]")
    assert only(check(checker, _tests("result: reversed"))).outcome is Outcome.NOT_MET
    found = only(check(checker, _tests("result: correct")))
    assert found.outcome is Outcome.NOT_SHOWN
    assert [need.path for need in found.needs] == ["evidence: test sheet"]


# -- subjects -----------------------------------------------------------------------------


def test_findings_are_as_many_as_subjects_and_one_where_there_is_none() -> None:
    checker = checker_of(
        requirement("each-string", POLARITY),
        requirement("the-job", "before: use\nmust: site.lowest_cell_c <= 0"),
        requirement(
            "each-isolator",
            "for: [string in strings, isolator in string.isolators]\nbefore: use\n"
            "must: isolator.rated_v >= 600",
        ),
        requirement("each-label", "for: label in labels\nbefore: use\nmust: stated(label.kind)"),
    )
    three = "strings: {S1: {in_series: 8}, S2: {in_series: 8}, S3: {in_series: 8}}\n"
    two = "isolators: {d1: {side: dc, serves: [S1, S2]}, d2: {side: dc, serves: S1}}\n"
    for record, counts in [
        (PARTS + three + two + "labels: none\n", (3, 1, 4, 1)),  # S3 has no isolator: one
        (PARTS + three, (3, 1, 3, 1)),
        (PARTS + "strings: none\n", (1, 1, 1, 1)),
        (PARTS, (1, 1, 1, 1)),
    ]:
        checked = check(checker, record)
        names = ("each-string", "the-job", "each-isolator", "each-label")
        assert tuple(len(told_all) for told_all in
                     ([f for f in checked.findings if f.requirement.id == n] for n in names)
                     ) == counts  # fmt: skip
        assert sum(checked.counts.values()) == len(checked.findings) == sum(counts)


def test_an_unknown_collection_is_not_shown_and_an_empty_one_does_not_apply() -> None:
    found = only(check(one(POLARITY), PARTS))
    assert (found.subject, found.outcome) == ("job", Outcome.NOT_SHOWN)
    assert [(n.path, n.reason) for n in found.needs] == [("strings", "missing")]
    found = only(check(one(POLARITY), PARTS + "strings: none\n"))
    assert (found.subject, found.outcome) == ("job", Outcome.NOT_APPLICABLE)


# -- repeated tests -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("tests", "outcome"),
    [
        (["result: reversed", "result: correct"], Outcome.FOR_JUDGEMENT),
        (["result: reversed", "result: correct, after: leads exchanged"], Outcome.MET),
        (["result: correct", "result: correct"], Outcome.MET),
        (["result: correct", "result: reversed"], Outcome.NOT_MET),
        (["result: reversed", "result: correct", "result: correct, after: again"],
         Outcome.FOR_JUDGEMENT),
        (["result: reversed", "result: correct, after: leads exchanged", "result: correct"],
         Outcome.MET),
        (["result: reversed", "not_taken: dusk"], Outcome.NOT_SHOWN),
        (["not_taken: dusk", "result: correct"], Outcome.MET),
        (["result: reversed", "not_taken: dusk", "result: correct"], Outcome.FOR_JUDGEMENT),
        (["on: 2026-11-05", "result: correct"], Outcome.MET),  # said nothing, so failed nothing
    ],
)  # fmt: skip
def test_a_pass_over_an_earlier_failure_takes_a_reason(tests: list[str], outcome: Outcome) -> None:
    assert only(check(one(POLARITY), _tests(*tests))).outcome is outcome


def test_a_failure_before_what_may_not_apply_is_not_shown() -> None:
    checker = one(POLARITY.replace("before", "if: string.face == 'east'\nbefore"))
    record = _tests("result: reversed", "result: correct")
    silent = only(check(checker, record))
    assert silent.outcome is Outcome.NOT_SHOWN
    assert [need.path for need in silent.needs] == ["string.face"]
    for face, outcome in (("east", Outcome.FOR_JUDGEMENT), ("west", Outcome.NOT_APPLICABLE)):
        said = record.replace("in_series: 8", f"in_series: 8, face: {face}")
        assert only(check(checker, said)).outcome is outcome


INSULATED = (
    "for: string in strings\nbefore: use\n"
    "must: string.insulation.positive_earth_megohm"
    " >= limits.insulation_megohm(string.system_voltage_v)"
)
TWICE = """\
components: {m: {category: module, voc_v: 40}}
strings: {S1: {modules: m, in_series: 10}}
tests:
  - {test: insulation, of: S1, positive_earth_megohm: 0.7}
  - {test: insulation, of: S1, positive_earth_megohm: over 200}
"""


def test_a_gap_elsewhere_does_not_hide_that_an_earlier_test_failed() -> None:
    # 0.7 megohm fails at 500 V and passes at 50 V (gb-pv-array); over 200 passes at any voltage.
    checker = one(INSULATED)
    assert only(check(checker, PARTS + TWICE)).outcome is Outcome.FOR_JUDGEMENT
    assert only(check(checker, PARTS + TWICE.replace("10}", "1}"))).outcome is Outcome.MET
    silent = only(check(checker, PARTS + TWICE.replace(", in_series: 10", "")))
    assert silent.outcome is Outcome.NOT_SHOWN
    assert [need.path for need in silent.needs] == ["string.in_series"]
    repaired = TWICE.replace(": over 200}", ": over 200, after: dried}")
    silent = only(check(checker, PARTS + repaired.replace(", in_series: 10", "")))
    assert silent.outcome is Outcome.MET


LIGHT = """\
site: {lowest_cell_c: -10}
components: {m: {category: module, voc_v: 40, voc_coefficient_percent_per_k: -0.25}}
strings: {S1: {modules: m, in_series: 10, parallel: 1}}
tests:
"""
VOC = "  - {test: open-circuit voltage, of: S1, value_v: 400, irradiance_w_m2: 1000, cell_c: %s}\n"
AS_EXPECTED = (
    "for: string in strings\nbefore: use\n"
    "must: abs(string.open_circuit_voltage.value_v - string.expected_voc_v) <= 20"
)


def test_an_earlier_test_is_judged_by_its_own_light_and_temperature() -> None:
    # 10 modules of 40 V: 400 V at 25 °C, 350 V at 75 °C (-0.25 % a kelvin).
    hot_first = PARTS + LIGHT + VOC % 75 + VOC % 25
    assert only(check(one(AS_EXPECTED), hot_first)).outcome is Outcome.FOR_JUDGEMENT
    assert only(check(one(AS_EXPECTED), PARTS + LIGHT + VOC % 25 * 2)).outcome is Outcome.MET


def test_an_earlier_test_behind_a_worked_out_value_counts_too() -> None:
    two = LIGHT.replace("strings: {", "strings: {S2: {modules: m, in_series: 10, parallel: 1}, ")
    volts = "  - {test: open-circuit voltage, of: %s, value_v: %s}\n"
    spread = one("for: string in strings\nbefore: use\nmust: string.voc_spread_percent <= 5")
    record = PARTS + two + volts % ("S2", 400) + volts % ("S1", 300) + volts % ("S1", 401)
    assert told(check(spread, record)) == {"S1": "for judgement", "S2": "met"}


def test_an_earlier_test_inside_a_generator_counts_too() -> None:
    every = one("before: use\nmust: all(s.polarity.result == 'correct' for s in strings)")
    record = _tests("result: reversed", "result: correct")
    assert only(check(every, record)).outcome is Outcome.FOR_JUDGEMENT


def test_a_check_leaves_the_record_as_it_was() -> None:
    from rules.small import view_of

    job = view_of(_tests("result: reversed", "result: correct"))
    checker = one(POLARITY)
    first = checker.check(job, {}, TODAY)
    assert job["strings"][0]["polarity"]["result"] == "correct"
    assert checker.check(job, {}, TODAY) == first


# -- how it is known ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("test", "known", "outcome"),
    [
        ("result: correct, instrument: meter", "measured", Outcome.MET),
        ("result: correct, known: seen", "seen", Outcome.MET),
        ("result: correct, known: document", "document", Outcome.NOT_SHOWN),
        ("result: correct", "told", Outcome.NOT_SHOWN),
        ("result: reversed", "told", Outcome.NOT_MET),  # told of a fault is enough
    ],
)
def test_what_is_known_too_weakly_is_not_shown(test: str, known: str, outcome: Outcome) -> None:
    found = only(check(one(POLARITY + "\nknown: seen"), _tests(test)))
    assert (found.outcome, found.known) == (outcome, known)
    if outcome is Outcome.NOT_SHOWN:
        assert found.needs[0].supply == f"S1: known only as {known}; it takes seen or better"


def test_the_weakest_of_several_counts_even_inside_a_generator() -> None:
    record = PARTS + (
        "strings: {S1: {in_series: 8}, S2: {in_series: 8}}\ntests:\n"
        "  - {test: polarity, of: S1, result: correct, instrument: meter}\n"
        "  - {test: polarity, of: S2, result: correct}\n"
    )
    every = one(
        "before: use\nmust: all(s.polarity.result == 'correct' for s in strings)\nknown: seen"
    )
    found = only(check(every, record))
    assert (found.outcome, found.known) == (Outcome.NOT_SHOWN, "told")


# -- other ways ---------------------------------------------------------------------------

WAYS = """\
for: string in strings
before: use
must: string.polarity.result == 'correct'
or_by:
  - title: by its face
    must: string.face == 'east'
    source: {document: common-practice, confidence: memory}
  - title: by its number
    must: string.in_series == 8
    source: {document: common-practice, confidence: memory}
"""


@pytest.mark.parametrize(
    ("string", "test", "outcome", "way"),
    [
        ("face: east", "result: correct", Outcome.MET, ""),
        ("face: east, in_series: 8", "", Outcome.MET, "by its face"),
        ("in_series: 8", "", Outcome.MET, "by its number"),
        ("face: west, in_series: 8", "", Outcome.MET, "by its number"),
        ("face: west", "", Outcome.NOT_MET, ""),
        ("face: east", "result: reversed", Outcome.NOT_MET, ""),  # a false must is never rescued
        ("parallel: 1", "", Outcome.NOT_SHOWN, ""),
    ],
)
def test_the_first_way_that_is_true_carries_and_is_named(
    string: str, test: str, outcome: Outcome, way: str
) -> None:
    record = PARTS + f"strings: {{S1: {{{string}}}}}\n"
    record += f"tests:\n  - {{test: polarity, of: S1, {test}}}\n" if test else ""
    found = only(check(one(WAYS), record))
    assert (found.outcome, found.way) == (outcome, way)
    if outcome is Outcome.NOT_SHOWN:
        assert [n.path for n in found.needs] == ["string.polarity"]
        offered = [(o.title, *(n.path for n in o.needs)) for o in found.offers]
        assert offered == [("by its face", "string.face"), ("by its number", "string.in_series")]
    else:
        assert found.offers == ()


def test_a_way_that_rests_on_a_test_is_judged_by_its_repeats() -> None:
    record = PARTS.replace("kind: array", "kind: circuit") + (
        "site: {supply: {nominal_v: 230, ze_ohm: 0.2}}\n"
        "circuits: {C7: {disconnected_by: overcurrent device, rcd: none,"
        " device: {kind: circuit-breaker, curve: B, rated_a: 32}}}\n"
        "tests:\n  - {test: continuity, of: C7, result: continuous, r1_r2_ohm: 9}\n"
        "  - {test: continuity, of: C7, result: continuous, r1_r2_ohm: 0.3%s}\n"
    )
    name = "loop-impedance"
    assert only(check(shipped(), record % ""), name).outcome is Outcome.FOR_JUDGEMENT
    found = only(check(shipped(), record % ", after: joint made good"), name)
    assert found.outcome is Outcome.MET
    assert "R1 + R2" in found.way
    assert found.known == "told"


# -- judgements ---------------------------------------------------------------------------

JUDGE = one("for: string in strings\nbefore: use\njudge: Is it neat?")


def _judged(*said: tuple[str, str], subject: str = "S1") -> str:
    lines = "".join(
        f"  - {{requirement: tried, subject: {subject}, by: rowan, on: {on}, outcome: {outcome},"
        f" grounds: G{on[-2:]}}}\n"
        for on, outcome in said
    )
    return STRING + "judgements:\n" + lines


def test_only_a_decision_settles_what_only_a_person_can_decide() -> None:
    found = only(check(JUDGE, STRING))
    assert (found.outcome, found.remark) == (Outcome.FOR_JUDGEMENT, "Is it neat?")
    found = only(check(JUDGE, _judged(("2026-11-07", "met"))))
    assert found.outcome is Outcome.MET
    assert found.remark == "Decided by Rowan (invented) on 2026-11-07: G07"
    assert only(check(JUDGE, _judged(("2026-11-07", "not met")))).outcome is Outcome.NOT_MET


@pytest.mark.parametrize(
    ("said", "outcome"),
    [
        ([("2026-11-07", "met"), ("2026-11-08", "not met")], Outcome.NOT_MET),
        ([("2026-11-08", "not met"), ("2026-11-07", "met")], Outcome.NOT_MET),
        ([("2026-11-07", "not met"), ("2026-11-07", "met")], Outcome.MET),
        ([("2026-11-07", "met"), ("2026-11-11", "not met")], Outcome.MET),  # of tomorrow
        ([("2026-11-11", "met")], Outcome.FOR_JUDGEMENT),
    ],
)
def test_the_latest_decision_up_to_the_day_of_the_check_stands(
    said: list[tuple[str, str]], outcome: Outcome
) -> None:
    assert only(check(JUDGE, _judged(*said))).outcome is outcome


def test_a_decision_about_another_subject_decides_nothing() -> None:
    record = _judged(("2026-11-07", "met"), subject="S2").replace(
        "{S1: {in_series: 8}}", "{S1: {in_series: 8}, S2: {in_series: 8}}"
    )
    assert told(check(JUDGE, record)) == {"S1": "for judgement", "S2": "met"}


def test_a_decision_in_favour_still_takes_its_evidence() -> None:
    checker = one("for: string in strings\nbefore: use\njudge: Is it neat?\nevidence: [photo]")
    found = only(check(checker, _judged(("2026-11-07", "met"))))
    assert found.outcome is Outcome.NOT_SHOWN
    assert [n.path for n in found.needs] == ["evidence: photo"]
    assert only(check(checker, _judged(("2026-11-07", "not met")))).outcome is Outcome.NOT_MET
    photo = (
        "evidence: {e: {file: a.jpg, kind: photo, about: S1, shows: x, by: ash, on: 2026-11-05}}\n"
    )
    record = _judged(("2026-11-07", "met")) + photo
    assert only(check(checker, record, seen={"e": whole()})).outcome is Outcome.MET


def test_a_decision_settles_no_condition_that_can_be_worked_out() -> None:
    record = _judged(("2026-11-07", "met")) + "tests:\n  - {test: polarity, of: S1, %s}\n"
    checker = one(POLARITY)
    assert only(check(checker, record % "result: reversed")).outcome is Outcome.NOT_MET
    assert only(check(checker, record % "on: 2026-11-05")).outcome is Outcome.NOT_SHOWN


def test_a_question_that_may_not_apply_is_not_shown() -> None:
    checker = one("if: site.supply.phases == 1\nbefore: use\njudge: Is it neat?")
    found = only(check(checker, PARTS))
    assert found.outcome is Outcome.NOT_SHOWN
    assert [n.path for n in found.needs] == ["site.supply.phases"]


# -- departures ---------------------------------------------------------------------------

SET_ASIDE = one(
    "for: string in strings\nbefore: use\nmust: string.in_series <= 7\nholds_up: use\n"
    "set_aside_by: designer",
    rest="""\
    held_by: installer
    source: {document: common-practice, confidence: common practice}
    why: For a test.
    remedy: For a test.
    examples:
      - {name: a, outcome: met}
      - {name: b, outcome: not met}
      - {name: c, outcome: not shown}
""",
)
FILE = (
    "evidence:\n  e: {file: a.pdf, kind: declaration, about: job, shows: x, by: ash, "
    "on: 2026-11-04}\n"
)


def _departure(role: str = "designer", on: str = "2026-11-05") -> str:
    who = f"by: rowan, role: {role}, on: {on}"
    said = f"{{requirement: tried, subject: S1, {who}, grounds: G, evidence: e}}"
    return f"{FILE}departures:\n  - {said}\n"


def test_what_its_designer_set_aside_stays_not_met_and_holds_nothing_up() -> None:
    checked = check(SET_ASIDE, STRING + _departure(), seen={"e": whole("a.pdf")})
    found = only(checked)
    assert found.outcome is Outcome.NOT_MET
    assert found.set_aside == "Set aside by Rowan (invented) (designer) on 2026-11-05: G"
    assert not found.holds_something_up
    assert found.is_gap
    assert found in checked.gaps
    assert not checked.is_held_up


@pytest.mark.parametrize(
    "departure", ["", _departure(role="scheme"), _departure(on="2026-11-11")], ids=len
)
def test_without_the_right_persons_word_in_time_it_holds_up(departure: str) -> None:
    checked = check(SET_ASIDE, STRING + departure, seen={"e": whole("a.pdf")})
    found = only(checked)
    assert (found.outcome, found.set_aside) == (Outcome.NOT_MET, "")
    assert checked.is_held_up


def test_a_departure_without_evidence_that_counts_sets_nothing_aside() -> None:
    found = only(check(SET_ASIDE, STRING + _departure(), seen={}))
    assert (found.outcome, found.set_aside) == (Outcome.NOT_MET, "")
    assert found.holds_something_up
    assert "evidence e does not count" in found.remark


def test_only_what_is_not_met_can_be_set_aside() -> None:
    silent = (STRING + _departure()).replace("in_series: 8", "parallel: 1")
    found = only(check(SET_ASIDE, silent, seen={"e": whole("a.pdf")}))
    assert (found.outcome, found.set_aside) == (Outcome.NOT_SHOWN, "")
    assert found.holds_something_up


# -- points of no return, editions --------------------------------------------------------


@pytest.mark.parametrize(
    ("in_use", "record", "outcome"),
    [
        ("2026-11-11", "", Outcome.NOT_DUE),
        ("not yet", "", Outcome.NOT_DUE),
        ("2026-11-10", "", Outcome.NOT_SHOWN),
        ("2026-11-09", "", Outcome.NOT_SHOWN),
        ("not yet", "result: correct", Outcome.MET),
        ("not yet", "result: reversed", Outcome.NOT_MET),
    ],
)
def test_only_a_gap_in_what_is_shown_waits_for_its_day(
    in_use: str, record: str, outcome: Outcome
) -> None:
    text = _tests(record) if record else STRING
    found = only(check(one(POLARITY), text.replace("2026-11-06", in_use)))
    assert found.outcome is outcome
    assert found.is_gap is (outcome in (Outcome.NOT_SHOWN, Outcome.NOT_MET))


def test_a_question_waits_for_its_day_too() -> None:
    assert only(check(JUDGE, STRING.replace("2026-11-06", "not yet"))).outcome is Outcome.NOT_DUE


def test_once_covered_the_gap_says_what_it_takes_now() -> None:
    keys = "for: string in strings\nbefore: cover\nmust: string.in_series <= 9\nevidence: [photo]"
    rest = """\
    holds_up: certificate
    held_by: installer
    source: {document: common-practice, confidence: common practice}
    why: For a test.
    remedy: For a test.
    afterwards: Lift the modules again.
    examples:
      - {name: a, outcome: met}
      - {name: b, outcome: not met}
      - {name: c, outcome: not shown}
"""
    checker = one(keys, rest=rest)
    ahead = STRING.replace("started:", "covered: not yet, started:")
    assert only(check(checker, ahead)).outcome is Outcome.NOT_DUE
    passed = only(check(checker, STRING.replace("started:", "covered: 2026-11-03, started:")))
    assert passed.outcome is Outcome.NOT_SHOWN
    assert passed.remark == "Lift the modules again."


@pytest.mark.parametrize("designed", ["", "designed: not yet, "])
def test_an_edition_picked_by_the_day_of_the_check_is_said(designed: str) -> None:
    record = _tests("result: correct").replace("designed: 2026-09-01, ", designed)
    assert "designed" in only(check(one(POLARITY), record)).remark
    assert only(check(one(POLARITY), _tests("result: correct"))).remark == ""


def test_what_was_designed_before_the_edition_is_not_checked_by_it_and_said_so() -> None:
    record = _tests("result: reversed").replace("2026-09-01", "2018-12-31")
    checked = check(one(POLARITY), record)
    assert checked.findings == ()
    assert len(checked.uncovered) == 1
    assert "2018-12-31" in checked.uncovered[0]
    assert checked.is_held_up
    first_day = _tests("result: reversed").replace("2026-09-01", "2019-01-01")
    assert only(check(one(POLARITY), first_day)).outcome is Outcome.NOT_MET


# -- what people read ---------------------------------------------------------------------


def test_danger_comes_first_then_what_is_held_up() -> None:
    order = ["nothing", "payment", "handover", "certificate", "use", "leaving"]
    made = [
        requirement(f"r-{what}", "before: use\nmust: site.supply.phases <= 0", rest=_rest(what))
        for what in order
    ]
    danger = "before: use\nmust: site.supply.phases <= 0\ndanger: Keep away."
    made.append(requirement("r-danger", danger, rest=_rest("nothing")))
    checked = check(checker_of(*made), PARTS + "site: {supply: {phases: 1}}\n")
    assert [g.requirement.id for g in checked.gaps] == [
        "r-danger", "r-leaving", "r-use", "r-certificate", "r-handover", "r-payment", "r-nothing",
    ]  # fmt: skip
    assert [g.requirement.id for g in checked.gaps if not g.holds_something_up] == ["r-nothing"]


def _rest(holds_up: str) -> str:
    return f"""\
    holds_up: {holds_up}
    held_by: installer
    source: {{document: common-practice, confidence: common practice}}
    why: For a test.
    remedy: For a test.
    examples:
      - {{name: a, outcome: met}}
      - {{name: b, outcome: not met}}
      - {{name: c, outcome: not shown}}
"""


def test_a_danger_that_is_only_suspected_is_no_danger_yet() -> None:
    checker = one("before: use\nmust: site.supply.phases <= 0\ndanger: Keep away.")
    assert only(check(checker, PARTS + "site: {supply: {phases: 1}}\n")).is_danger
    assert not only(check(checker, PARTS)).is_danger


def test_the_day_of_the_check_is_the_only_clock() -> None:
    record = STRING + (
        "tests:\n  - {test: polarity, of: S1, result: correct, on: 2026-11-05, instrument: meter}\n"
    )
    checker = one("for: test in tests\nbefore: use\nmust: test.instrument.calibration_due >= today")
    assert only(check(checker, record, on=date(2027, 1, 1))).outcome is Outcome.MET
    assert only(check(checker, record, on=date(2027, 1, 2))).outcome is Outcome.NOT_MET
