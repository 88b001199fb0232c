"""Sentences of the design's section 5 that no other test of the rules holds, one test each.

The name of each test is the sentence; the number in front of a group is the section. What
`test_truth_tables`, `test_decided`, `test_points`, `test_shown`, `test_limits`,
`test_backwards` and the properties hold already is not repeated here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, datetime
from typing import Any

import pytest
from properties.language_cases import VOCABULARY, RandomWorld
from rules.small import check, one, only, shipped, told, view_of, whole

from compliance.errors import ComplianceError, RulesetError
from compliance.rules.check import Checker
from compliance.rules.language.compile import decider, source
from compliance.rules.language.ruling import Clause, ruling, subjects
from compliance.rules.language.scene import Scene, Verdict
from compliance.rules.language.syntax import collection, condition
from compliance.rules.language.truth import truth
from compliance.rules.outcome import Finding, Outcome
from compliance.rules.quantities import QUANTITIES
from compliance.rules.world import RecordWorld
from compliance.values import NOT_YET, NotTaken, Over

TODAY = date(2026, 6, 15)  # of the language's own world
EACH = (("thing", collection("things", VOCABULARY, {})[0]),)
PARTS = """\
parts:
  roof: {kind: array, designed: 2026-09-01, started: 2026-11-02, in_use: 2026-11-06}
people: {rowan: {name: Rowan (invented)}}
instruments: {meter: {kind: installation tester, calibration_due: 2027-01-01}}
"""
STRING = PARTS + "strings: {S1: {in_series: 8}}\n"
POLARITY = "for: string in strings\nbefore: use\nmust: string.polarity.result == 'correct'"


def worth(text: str, thing: Mapping[str, Any] | None = None, **job: Any) -> Verdict:
    """A condition's worth, by the reference and (where it does not hand over) by the function."""
    node = condition(text, VOCABULARY, {"thing": "thing"})
    entry = {"~name": "T", **(thing or {})}
    world = RandomWorld({"~name": "job", "things": [entry], **job})
    found = truth(node, Scene(world, {"thing": entry}, {"thing": "thing"}))
    outcomes = {True: Outcome.MET, False: Outcome.NOT_MET, None: Outcome.NOT_SHOWN}
    ((_, _, (fast,)),) = decider([Clause(EACH, None, node)])(world, lambda _entry, _by: None)
    assert fast in (None, outcomes[found.value]), text
    return found


def tried(keys: str, record: str, **given: Any) -> Finding:
    """The one finding of one requirement over a record."""
    return only(check(one(keys), record, **given))


# -- 5.1 The view -------------------------------------------------------------------------

LATER = STRING + "tests:\n  - {test: polarity, of: S1, on: 2026-11-05, result: %s}\n" + (
    "  - {test: polarity, of: S1, on: 2026-11-11, result: %s}\n"
)  # fmt: skip


def test_the_last_test_on_or_before_the_day_of_the_check_stands_on_its_subject() -> None:
    record = LATER % ("reversed", "correct")
    assert tried(POLARITY, record).outcome is Outcome.NOT_MET
    assert tried(POLARITY, record, on=date(2026, 11, 11)).outcome is Outcome.FOR_JUDGEMENT
    assert tried(POLARITY, LATER % ("correct", "reversed")).outcome is Outcome.MET


def test_what_has_only_a_test_dated_after_the_day_of_the_check_is_not_shown_and_says_so() -> None:
    late = STRING + "tests: [{test: polarity, of: S1, on: 2026-11-11, result: correct}]\n"
    found = tried(POLARITY, late)
    assert found.outcome is Outcome.NOT_SHOWN
    assert [(n.path, n.reason) for n in found.needs] == [
        ("string.polarity", "dated after the day of this check")
    ]
    assert found.needs[0].supply == "the polarity test of S1: dated after the day of this check"
    reversed_ = late.replace("correct", "reversed")
    assert tried(POLARITY, reversed_).outcome is Outcome.NOT_SHOWN
    evening = late.replace("2026-11-11", "2026-11-10T23:59")
    assert tried(POLARITY, evening).outcome is Outcome.MET


@pytest.mark.parametrize(
    "must", ["string.polarity.on <= today", "days(string.polarity.on, today) <= 3"]
)
def test_the_day_of_a_test_that_is_still_to_come_is_unknown(must: str) -> None:
    late = STRING + "tests: [{test: polarity, of: S1, on: 2026-11-11, result: correct}]\n"
    found = tried(f"for: string in strings\nbefore: use\nmust: {must}", late)
    assert found.outcome is Outcome.NOT_SHOWN
    assert [need.path for need in found.needs] == ["string.polarity"]


def test_a_test_not_taken_after_the_day_of_the_check_hides_no_earlier_one() -> None:
    record = (LATER % ("correct", "correct")).replace(
        "on: 2026-11-11, result: correct", "on: 2026-11-11, not_taken: rain"
    )
    assert tried(POLARITY, record).outcome is Outcome.MET
    assert tried(POLARITY, record, on=date(2026, 11, 11)).outcome is Outcome.NOT_SHOWN


def test_tests_that_are_all_still_to_come_are_no_list_of_none() -> None:
    keys = "for: test in tests\nbefore: use\nmust: test.on <= test.instrument.calibration_due"
    late = STRING + "tests: [{test: polarity, of: S1, on: 2026-11-11, result: correct}]\n"
    assert tried(keys, late).outcome is Outcome.NOT_SHOWN
    assert tried(keys, STRING + "tests: none\n").outcome is Outcome.NOT_APPLICABLE
    assert len(check(one(keys), LATER % ("correct", "correct")).findings) == 1


def test_how_a_visit_leaves_the_site_is_not_known_before_its_day() -> None:
    keys = "for: visit in visits\nbefore: leaving\nmust: visit.left.dc_ends == 'insulated'"
    visit = PARTS + "visits: [{on: 2026-11-11, left: {dc_ends: %s}}]\n"
    for said in ("insulated", "bare"):
        assert tried(keys, visit % said).outcome is Outcome.NOT_DUE
    on_the_day = {"on": date(2026, 11, 11)}
    assert tried(keys, visit % "insulated", **on_the_day).outcome is Outcome.MET
    assert tried(keys, visit % "bare", **on_the_day).outcome is Outcome.NOT_MET


def test_a_quantity_is_worked_out_at_most_once_per_record_and_only_on_demand(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked: list[str] = []

    class Once(dict[tuple[int, str], Any]):
        def __setitem__(self, key: tuple[int, str], value: Any) -> None:
            assert key not in self
            asked.append(key[1])
            super().__setitem__(key, value)

    class Counting(RecordWorld):
        def __init__(self, *given: Any) -> None:
            super().__init__(*given)
            self.worked_out = Once()

    monkeypatch.setattr("compliance.rules.check.RecordWorld", Counting)
    keys = (
        "for: string in strings\nif: string.in_series >= 2\nbefore: use\n"
        "must: string.system_voltage_v >= 1 and string.system_voltage_v <= 1000"
    )
    module = "components: {m: {category: module, voc_v: 40}}\n"
    two = "strings: {S1: {modules: m, in_series: 8}, S2: {modules: m, in_series: 1}}\n"
    assert told(check(one(keys), PARTS + module + two)) == {"S1": "met", "S2": "not applicable"}
    assert asked == ["system_voltage_v"], "of the first string alone"
    assert ("string", "cold_voc_v") in QUANTITIES, "others are there, and were not asked for"


def test_an_optional_thing_is_asked_about_through_its_collection() -> None:
    keys = (
        "for: circuit in circuits\nbefore: use\nmust: any(rcd.type == 'A' for rcd in circuit.rcd)"
    )
    record = PARTS + "circuits: {C1: {part: roof%s}}\n"
    assert tried(keys, record % ", rcd: none").outcome is Outcome.NOT_MET
    assert tried(keys, record % "").outcome is Outcome.NOT_SHOWN
    assert tried(keys, record % ", rcd: {type: A}").outcome is Outcome.MET


# -- 5.2 Kinds ----------------------------------------------------------------------------

NOON, NIGHT = datetime(2026, 6, 15, 12, 0), datetime(2026, 6, 15, 23, 0)


@pytest.mark.parametrize(
    ("text", "made", "on", "value"),
    [
        ("thing.made == hall.on", TODAY, TODAY, True),
        ("thing.made == hall.on", NOON, NIGHT, False),  # both have a time
        ("thing.made < hall.on", NOON, NIGHT, True),
        ("thing.made == hall.on", NOON, TODAY, True),  # days compare
        ("thing.made < hall.on", NOON, TODAY, False),
        ("thing.made != hall.on", TODAY, date(2026, 6, 16), True),
        ("thing.made == today", NIGHT, TODAY, True),
        ("thing.made != today", NOT_YET, TODAY, True),
        ("thing.made == hall.on", NOT_YET, NOT_YET, None),
        ("thing.made == hall.on", None, TODAY, None),
        ("days(thing.made, hall.on) >= 0", NOON, NIGHT, True),
        ("days(thing.made, hall.on) <= 0", NIGHT, NOON, True),  # whole days
        ("days(today, thing.made) > 0", NOT_YET, TODAY, True),
        ("days(today, thing.made) > 1", NOT_YET, TODAY, None),
    ],
)
def test_dates_compare_all_ways_and_by_days_if_either_side_has_no_time(
    text: str, made: Any, on: Any, value: bool | None
) -> None:
    thing = {} if made is None else {"made": made}
    assert worth(text, thing, hall={"~name": "hall", "on": on}).value is value


@pytest.mark.parametrize(
    "text",
    ["thing.loop_ohm == 1", "thing.loop_ohm in (1, 2)", "thing.deep_v == 1",
     "thing.size_v * 2 == 4", "thing.size_v", "thing.label", "thing.bits",
     "thing.locked < thing.locked",
     "all(a.value_v > 1 for a in thing.acts)", "sum(a.value_v for a in thing.acts) > 1",
     "unique(a.kind for a in thing.acts)", "thing.cell_c * 2 > 1", "thing.cell_c + 2 > 1",
     "thing.size_v < thing.load_a", "thing.made < thing.size_v"],
)  # fmt: skip
def test_a_kind_takes_only_its_own_comparisons(text: str) -> None:
    with pytest.raises(RulesetError):
        condition(text, VOCABULARY, {"thing": "thing"})


def test_text_compares_after_nfc_and_single_spaces() -> None:
    keys = "for: string in strings\nbefore: use\nmust: string.face == 'côté  sud'"
    said = PARTS + 'strings: {S1: {face: "co\u0302te\u0301 sud"}}\n'
    assert tried(keys, said).outcome is Outcome.MET
    assert tried(keys, said.replace(" sud", " nord")).outcome is Outcome.NOT_MET


# -- 5.3 Grammar --------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    ["thing.size_v ** 2 > 1", "thing.size_v % 2 > 1", "thing.size_v // 2 > 1",
     "thing.locked is True", "thing.locked if thing.locked else thing.locked", "things[0].locked",
     "thing.label.lower() == 'a'", "(lambda: thing.locked)()", "abs(x=thing.size_v) > 1",
     "all([t.locked for t in things])", "any(t.locked for t in things for u in things)",
     "any(t.locked for t in things if t.locked if t.locked)",
     "any(thing.locked for thing in things)",
     "thing.label in thing.bits", "f'{thing.label}' == 'a'", "__import__('os')", "thing.__class__"],
)  # fmt: skip
def test_nothing_else_is_in_the_language(text: str) -> None:
    with pytest.raises(RulesetError):
        condition(text, VOCABULARY, {"thing": "thing"})


def test_an_expression_has_at_most_2000_characters_and_generators_nest_at_most_twice() -> None:
    long = "thing.locked and " * 117 + "thing.locked"
    assert len(long) == 2001
    with pytest.raises(RulesetError):
        condition(long, VOCABULARY, {"thing": "thing"})
    condition(long.removeprefix("thing.locked and "), VOCABULARY, {"thing": "thing"})
    twice = "any(any(b.firm for b in t.bits) for t in things)"
    condition(twice, VOCABULARY, {})
    with pytest.raises(RulesetError):
        condition(f"any({twice.replace('t', 'u')} for t in things)", VOCABULARY, {})
    with pytest.raises(RulesetError):
        condition("any(any(any(b.firm for b in u.bits) for u in things) for t in things)",
                  VOCABULARY, {})  # fmt: skip


# -- 5.4 Truth rules ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "size", "value"),
    [
        ("thing.size_v <= 5", 5 * (1 + 0.98e-9), False),  # a side that is read is exact
        ("thing.size_v * 1 <= 5", 5 * (1 + 0.98e-9), True),
        ("thing.size_v * 1 <= 5", 5 * (1 + 1.02e-9), False),
        ("thing.size_v * 1 > 5", 5 * (1 + 0.98e-9), False),
        ("thing.size_v * 1 > 5", 5 * (1 + 1.02e-9), True),
        ("5 <= thing.size_v * 1", 5 * (1 - 0.98e-9), True),
        ("5 <= thing.size_v * 1", 5 * (1 - 1.02e-9), False),
        ("thing.size_v * 1 < 5", 5 * (1 - 0.98e-9), False),  # not (5 <= a)
        ("thing.size_v * 1 < 5", 5 * (1 - 1.02e-9), True),
        ("5 > thing.size_v * 1", 5 * (1 - 1.02e-9), True),
        ("thing.size_v * 1 <= 0", 1e-300, False),  # relative: around 0 there is none
    ],
)
def test_a_worked_out_side_has_a_tolerance_of_1e9th_of_the_right_side(
    text: str, size: float, value: bool
) -> None:
    assert worth(text, {"size_v": size}).value is value


@pytest.mark.parametrize(
    ("text", "thing", "needs"),
    [
        ("thing.size_v / thing.count <= 5", {"size_v": 5.0, "count": 0.0},
         {("thing.count", "a value other than 0")}),
        ("thing.size_v / thing.count <= 5", {"size_v": 5.0}, {("thing.count", "missing")}),
        ("thing.size_v * thing.size_v <= 5", {"size_v": 1e200},
         {("thing.size_v", "beyond what can be worked out")}),
        ("thing.loop_ohm <= 250", {"loop_ohm": Over(200.0)},
         {("thing.loop_ohm", "beyond range: a reading above 200 Ω")}),
        ("thing.loop_ohm <= 250", {"loop_ohm": NotTaken("rain")},
         {("thing.loop_ohm", "not taken: rain")}),
        ("any(a.value_v > 3 for a in thing.acts)", {"acts": [{"~name": "a", "value_v": 1.0}]},
         {("thing.acts", "one more entry in acts")}),
        ("thing.deep_v <= 5", {"size_v": 1e250},
         {("thing.size_v", "outside validity of deep voltage")}),
    ],
)  # fmt: skip
def test_every_unknown_names_what_it_lacks_and_why(
    text: str, thing: dict[str, Any], needs: set[tuple[str, str]]
) -> None:
    found = worth(text, thing)
    assert found.value is None
    assert set(found.needs) == needs


def test_a_filter_that_is_unknown_makes_a_sum_a_least_and_unique_unknown() -> None:
    things = [{"~name": "A", "size_v": 1.0, "label": "x", "locked": True},
              {"~name": "B", "size_v": 2.0, "label": "y"}]  # fmt: skip
    for text in ("sum(t.size_v for t in things if t.locked) <= 99",
                 "min(t.size_v for t in things if t.locked) <= 99",
                 "max(t.size_v for t in things if t.locked) <= 99",
                 "unique(t.label for t in things if t.locked)"):  # fmt: skip
        node = condition(text, VOCABULARY, {})
        found = truth(node, Scene(RandomWorld({"~name": "job", "things": things})))
        assert found.value is None
        assert found.needs == (("things[B].locked", "missing"),)


def test_stated_and_shown_are_never_false() -> None:
    for text in ("stated(thing.size_v)", "shown('photo', thing)", "stated(thing.deep_v)",
                 "stated(thing.made)"):  # fmt: skip
        for thing in ({}, {"made": NOT_YET}, {"loop_ohm": NotTaken("rain")}):
            assert worth(text, thing).value is None
            assert worth(f"not {text}", thing).value is None


# -- 5.5 From truth to outcome ------------------------------------------------------------


def test_a_finding_that_no_way_shows_lists_every_way_with_what_it_needs() -> None:
    keys = (
        "before: use\nmust: site.lowest_cell_c <= 0\nor_by:\n"
        "  - title: A\n    must: site.supply.phases <= 3\n"
        "    source: {document: common-practice, confidence: memory}\n"
        "  - title: B\n    must: site.supply.nominal_v <= 230\n"
        "    source: {document: common-practice, confidence: memory}"
    )
    found = tried(keys, PARTS)
    assert found.outcome is Outcome.NOT_SHOWN
    assert [n.path for n in found.needs] == ["site.lowest_cell_c"]
    assert [(offer.title, *(n.path for n in offer.needs)) for offer in found.offers] == [
        ("A", "site.supply.phases"),
        ("B", "site.supply.nominal_v"),
    ]


def test_the_first_way_that_is_true_counts_before_one_that_is_false() -> None:
    keys = (
        "before: use\nmust: site.lowest_cell_c <= 0\nor_by:\n"
        "  - title: A\n    must: site.supply.phases <= 1\n"
        "    source: {document: common-practice, confidence: memory}\n"
        "  - title: B\n    must: site.supply.nominal_v <= 230\n"
        "    source: {document: common-practice, confidence: memory}"
    )
    found = tried(keys, PARTS + "site: {supply: {phases: 3, nominal_v: 230}}\n")
    assert (found.outcome, found.way) == (Outcome.MET, "B")


def test_what_is_asked_of_a_test_is_known_as_well_as_that_test() -> None:
    keys = "for: test in tests\nbefore: use\nmust: stated(test.on)\nknown: seen"
    test = STRING + "tests: [{test: polarity, of: S1, on: 2026-11-05, result: correct%s}]\n"
    measured = tried(keys, test % ", instrument: meter")
    assert (measured.outcome, measured.known) == (Outcome.MET, "measured")
    heard = tried(keys, test % "")
    assert (heard.outcome, heard.known) == (Outcome.NOT_SHOWN, "told")


AFTERWARDS = """\
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


def test_after_the_point_every_open_gap_shows_afterwards() -> None:
    covered = STRING.replace("started:", "covered: 2026-11-03, started:")
    for keys, outcome in (
        ("for: string in strings\nbefore: cover\njudge: Is it tight?", Outcome.FOR_JUDGEMENT),
        ("for: string in strings\nbefore: cover\nmust: string.parallel == 1", Outcome.NOT_SHOWN),
    ):
        checker = one(keys, rest=AFTERWARDS)
        found = only(check(checker, covered))
        assert found.outcome is outcome
        assert "Lift the modules again." in found.remark
        unsaid = only(check(checker, STRING))  # silence counts as passed
        assert "Lift the modules again." in unsaid.remark
        ahead = only(check(checker, covered.replace("covered: 2026-11-03", "covered: not yet")))
        assert (ahead.outcome, ahead.remark.count("Lift")) == (Outcome.NOT_DUE, 0)


def test_met_not_met_and_not_applicable_stay_before_the_point() -> None:
    ahead = PARTS.replace("in_use: 2026-11-06", "in_use: not yet")
    keys = "if: site.supply.phases <= 2\nbefore: use\nmust: site.lowest_cell_c <= -10"
    site = ahead + "site: {lowest_cell_c: %s, supply: {phases: %s}}\n"
    assert tried(keys, site % ("-15", "1")).outcome is Outcome.MET
    assert tried(keys, site % ("-5", "1")).outcome is Outcome.NOT_MET
    assert tried(keys, site % ("-5", "3")).outcome is Outcome.NOT_APPLICABLE
    assert tried(keys, ahead).outcome is Outcome.NOT_DUE


def test_a_departure_needs_its_grounds_and_its_evidence() -> None:
    said = "{requirement: r, by: rowan, role: designer, on: 2026-11-05, grounds: G, evidence: e}"
    proof = "evidence: {e: {file: a.pdf, kind: declaration, about: job}}\n"
    view_of(PARTS + proof + f"departures: [{said}]\n")
    for without in (", grounds: G", ", evidence: e"):
        with pytest.raises(ComplianceError, match="missing-field"):
            view_of(PARTS + proof + f"departures: [{said.replace(without, '')}]\n")


# -- 5.6 Shown ----------------------------------------------------------------------------


def test_a_photo_taken_after_handover_does_not_show_what_was_to_be_seen_before_it() -> None:
    keys = (
        "for: string in strings\nbefore: handover\nmust: string.in_series == 8\nevidence: [photo]"
    )
    handed = STRING.replace("in_use:", "handed_over: 2026-11-07, in_use:")
    proof = "evidence: {e: {file: a.jpg, kind: photo, about: S1, shows: x, by: rowan, on: %s}}\n"
    seen = {"e": whole("a.jpg")}
    assert tried(keys, handed + proof % "2026-11-07", seen=seen).outcome is Outcome.MET
    late = tried(keys, handed + proof % "2026-11-08", seen=seen)
    assert late.outcome is Outcome.NOT_SHOWN
    assert "after the last day on which it could show this" in late.needs[0].reason


# -- 5.9 Compiling ------------------------------------------------------------------------


def test_the_emitter_writes_no_text_of_a_rule() -> None:
    evil = "thing.label == '\"); import os; os.remove(\\'x\\')  # {0} %s'"
    node = condition(evil, VOCABULARY, {"thing": "thing"})
    text = source([Clause(EACH, None, node)])
    lines = [line for line in text.splitlines() if "import os" in line]
    assert len(lines) == 1
    assert repr(node.right.value) in lines[0]  # type: ignore[attr-defined]
    compile(text, "<tried>", "exec")


def test_where_a_loop_leads_through_what_was_not_taken_the_function_and_the_reference_agree() -> (
    None
):
    path, kind = collection("hall.proof.notes", VOCABULARY, {})
    node = condition("note.firm", VOCABULARY, {"note": kind.type})
    clause = Clause((("note", path),), None, node)
    world = RandomWorld({"~name": "job", "hall": {"~name": "h", "proof": NotTaken("rain")}})
    assert decider([clause])(world, lambda _entry, _by: None) == [((0,), (), (Outcome.NOT_SHOWN,))]
    (subject,) = subjects(clause, Scene(world))
    assert ruling(clause, subject).needs == (("hall.proof", "not taken: rain"),)


def test_one_function_decides_all_rulesets() -> None:
    rules = shipped().rules.rules
    assert source([r.clause for r in rules]).count("def ") == 1
    ids = {f.requirement.id for f in check(shipped(), STRING).findings}
    assert ids == {r.requirement.id for r in rules}


def test_findings_are_the_same_whichever_rules_stand_beside() -> None:
    alone = {}
    rules = shipped().rules
    record = view_of(STRING)
    for rule in rules.rules:
        checked = Checker.of(replace(rules, rules=(rule,))).check(record, {}, date(2026, 11, 10))
        alone[rule.requirement.id] = checked.findings
    together = shipped().check(record, {}, date(2026, 11, 10)).findings
    assert tuple(f for r in rules.rules for f in alone[r.requirement.id]) == together
