"""Questions: what a reader would ask, apart from the findings and without weight."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from rules.small import RULESETS, check, one, rules_of, shipped

from compliance.cli.report import as_json, printed
from compliance.cli.screen import screen
from compliance.documents.gaps import gap_report_values
from compliance.rules.check import Checker
from compliance.rules.language.compile import Day, Decided
from compliance.rules.outcome import Checked, findings_data
from compliance.rules.rule import Rules
from compliance.rules.selftest import tried_examples
from compliance.rules.world import RecordWorld

RECORD = """\
closed: 2026-10-16
site: {supply: {ze_ohm: 0.35}}
parts: {a: {kind: array, designed: 2026-09-01}, i: {kind: inverter, designed: 2026-09-01}}
strings: {S1: {}, S2: {}}
circuits: {C7: {part: i}, C8: {part: i}}
tests:
  - {test: insulation, of: S1, positive_earth_megohm: 38, negative_earth_megohm: 41}
  - {test: insulation, of: S2, positive_earth_megohm: 38, negative_earth_megohm: 41}
  - {test: open-circuit voltage, of: S2, irradiance_w_m2: 1240}
  - {test: continuity, of: C7, r1_r2_ohm: 0}
  - {test: loop impedance, of: C7, zs_ohm: 0.21}
  - {test: continuity, of: C8, r1_r2_ohm: 0.61}
  - {test: loop impedance, of: C8, zs_ohm: 0.5}
"""


def _asked(checked: Checked) -> set[tuple[str, str]]:
    return {(q.id, q.subject) for q in checked.questions}


def _silent(rules: Rules) -> Checker:
    """The same rulesets without their questions."""
    return Checker.of(replace(rules, questions=()))


def test_each_odd_reading_is_asked_about_where_it_stands() -> None:
    checked = check(shipped(), RECORD)
    assert _asked(checked) == {
        ("insulation-alike-on-every-string", "job"),
        ("light-above-a-clear-sky", "S2"),
        ("dead-reading-of-nothing", "C7"),
        ("loop-below-the-supply", "C7"),
        ("loop-below-the-dead-reading", "C8"),
    }


def test_a_question_carries_what_was_read_and_the_innocent_cause() -> None:
    (question,) = [q for q in check(shipped(), RECORD).questions if q.id == "loop-below-the-supply"]
    assert question.read == (("loop impedance Zs", "0.21 Ω"), ("site supply Ze", "0.35 Ω"))
    assert question.part == "i"
    assert question.ruleset == "gb-ac-circuit-tests"
    assert question.ask.endswith("outside the house.")
    assert "meter" in question.innocent


def test_a_question_over_several_entries_shows_each_of_them() -> None:
    (question,) = [q for q in check(shipped(), RECORD).questions if q.subject == "job"]
    assert dict(question.read) == {
        "S1 insulation positive earth": "38 MΩ",
        "S2 insulation positive earth": "38 MΩ",
        "S1 insulation negative earth": "41 MΩ",
        "S2 insulation negative earth": "41 MΩ",
    }


def test_questions_change_no_finding_no_count_and_no_exit_code() -> None:
    asking = check(shipped(), RECORD)
    silent = check(_silent(shipped().rules), RECORD)
    assert asking.questions
    assert not silent.questions
    assert asking.findings == silent.findings
    assert asking.counts == silent.counts
    assert asking.gaps == silent.gaps
    assert asking.is_held_up == silent.is_held_up
    data = findings_data(asking)
    assert data.pop("questions")
    assert {**data, "questions": []} == findings_data(silent)


@pytest.mark.parametrize(
    ("reading", "asked"), [("1", True), ("2", False), ("under 1", True), ("under 3", False),
                           ("over 0.5", False), ("'not taken: rain came first'", False)],
)  # fmt: skip
def test_only_what_is_surely_odd_is_asked_about(reading: str, asked: bool) -> None:
    text = (RULESETS / "gb" / "ac-circuit-tests.yaml").read_text("utf-8")
    assert "circuit.continuity.r1_r2_ohm <= 0" in text
    record = (
        f"circuits: {{C1: {{}}}}\ntests: [{{test: continuity, of: C1, r1_r2_ohm: {reading}}}]\n"
    )
    checker = one(
        "for: circuit in circuits\nbefore: use\nmust: stated(circuit.continuity.r1_r2_ohm)",
        rest=REST_AND_QUESTION,
    )
    assert bool(check(checker, record).questions) is asked


REST_AND_QUESTION = """\
    holds_up: use
    held_by: installer
    source: {document: common-practice, confidence: common practice}
    why: For a test.
    remedy: For a test.
    examples:
      - {name: a, outcome: met}
      - {name: c, outcome: not shown}
    never:
      - {outcome: not met, reason: It is stated or not.}
questions:
  - id: low
    for: circuit in circuits
    if: circuit.continuity.r1_r2_ohm <= 1
    ask: Is it low?
    innocent: It may be.
    examples:
      - {name: a, given: {circuit: {continuity: {r1_r2_ohm: 1}}}, outcome: asked}
      - {name: b, given: {circuit: {continuity: {r1_r2_ohm: 1.1}}}, outcome: not asked}
"""


def test_nothing_is_asked_of_what_is_not_there_or_not_listed() -> None:
    for record in ("strings: none\ncircuits: none\n", ""):
        assert check(shipped(), record).questions == ()


def test_the_generated_function_asks_what_the_reference_asks() -> None:
    def by_reference(world: RecordWorld, day: Day, *_: object, **__: object) -> list[Decided]:
        decided = shipped().decide(world, day)
        return [(numbers, entries, (None,) * len(numbers)) for numbers, entries, _ in decided]

    reference = Checker.of(shipped().rules, by_reference)
    for left_out in ("", "zs_ohm: 0.21", "positive_earth_megohm: 38", "irradiance_w_m2: 1240"):
        record = RECORD.replace(left_out, "by: rowan") if left_out else RECORD
        record += "people: {rowan: {name: Rowan (invented)}}\n"
        assert check(shipped(), record).questions == check(reference, record).questions


def test_the_screen_counts_them_in_one_line_and_all_prints_them() -> None:
    checked = check(shipped(), RECORD)
    short = screen(checked)
    assert short.count("5 questions that a reader of the record would ask") == 1
    assert "Was R1 + R2 really read?" not in short
    everything = " ".join(printed(checked).split())
    heading = "A reader would ask (5); no findings, they hold nothing up"
    assert everything.count(heading) == 1
    assert everything.index("Holds up switching on") < everything.index(heading)
    for question in checked.questions:
        assert f"{question.subject}: {' '.join(question.ask.split())}" in everything
        assert f"It may be innocent: {' '.join(question.innocent.split())}" in everything
    assert "question" not in screen(check(shipped(), "strings: none\ncircuits: none\n"))


def test_json_lists_them_apart() -> None:
    data = json.loads(as_json(check(shipped(), RECORD)))
    assert len(data["questions"]) == 5
    ids = {q["id"] for q in data["questions"]}
    assert not ids & {f["requirement"] for f in data["findings"]}


def test_the_gap_report_has_them_apart_from_the_gaps() -> None:
    values = gap_report_values(check(shipped(), RECORD), {"address": "", "firm": ""})
    assert [q.subject for q in values["questions"]].count("C7") == 2
    gaps = {gap.title for section in values["sections"] for gap in section.gaps}
    assert not gaps & {q.ask for q in values["questions"]}


def test_explaining_one_requirement_asks_nothing() -> None:
    checked = check(shipped(), RECORD)
    assert checked.only("string-insulation").questions == ()


def test_the_shipped_rulesets_ask_at_least_three_and_each_example_is_run() -> None:
    questions = shipped().rules.questions
    assert len(questions) >= 3
    tried = list(tried_examples(shipped().rules))
    for question in questions:
        run = [t for t in tried if t.requirement == question.id]
        assert {t.wanted for t in run} == {"asked", "not asked"}
        assert all(t.passed for t in run), [t.example for t in run if not t.passed]


def test_a_wrong_example_of_a_question_is_told() -> None:
    head = (RULESETS / "gb" / "ac-circuit-tests.yaml").read_text("utf-8")
    wrong = head.replace("r1_r2_ohm <= 0\n", "r1_r2_ohm < 0\n")
    assert wrong != head
    failed = [t for t in tried_examples(rules_of(wrong)) if not t.passed]
    assert [(t.example, t.wanted, t.given) for t in failed] == [
        ("nothing at all", "asked", "not asked")
    ]
