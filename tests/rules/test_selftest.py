"""Rulesets test themselves: every example is run, and a wrong one is told."""

from __future__ import annotations

import shutil
from pathlib import Path

from rules.small import RULESETS, rules_of, shipped

from compliance.rules.ruleset import load_rules
from compliance.rules.selftest import Tried, tried_examples

HEAD = """\
ruleset: gb-tried
title: Tried
jurisdiction: GB
applies: {from: 2019-01-01, by: designed}
sources: [common-practice]
limits: [gb-pv-array]
requirements:
  - id: tried
    title: Tried
    for: string in strings
    before: use
    must: >-
      string.insulation.positive_earth_megohm
      >= limits.insulation_megohm(string.system_voltage_v)
    evidence: [test sheet]
    holds_up: use
    held_by: installer
    source: {document: common-practice, confidence: common practice}
    why: For a test.
    remedy: For a test.
    examples:
"""
SOUND = "given: {string: {system_voltage_v: 470, insulation: {positive_earth_megohm: 5}}}"


def _tried(*examples: str) -> list[Tried]:
    shown = [f"{{name: {o}, outcome: {o}}}" for o in ("met", "not met", "not shown")]
    text = HEAD + "".join(f"      - {e}\n" for e in (*examples, *shown))
    return list(tried_examples(rules_of(text)))[: len(examples)]


def test_every_example_of_every_requirement_gives_what_it_says() -> None:
    tried = list(tried_examples(shipped().rules))
    assert len(tried) > 80
    assert [f"{t.place}: {t.example}: {t.given}" for t in tried if not t.passed] == []


def test_every_requirement_has_an_example_of_each_outcome_that_can_occur() -> None:
    for rule in shipped().rules.rules:
        given = {e.outcome for e in rule.examples}
        never = set(rule.never)
        assert {"met", "not met", "not shown"} <= given | never, rule.requirement.id
        assert not given & never, f"{rule.requirement.id}: an example gives what never occurs"


def test_a_changed_limit_makes_the_example_on_it_fail(tmp_path: Path) -> None:
    folder = tmp_path / "rulesets"
    shutil.copytree(RULESETS, folder)
    limits = folder / "gb" / "limits" / "pv-array.yaml"
    text = limits.read_text("utf-8")
    assert text.count("value: 0.5") == 1
    limits.write_text(text.replace("value: 0.5", "value: 0.7"), "utf-8")
    failed = [t for t in tried_examples(load_rules(folder, "gb")) if not t.passed]
    assert [t.example for t in failed] == [
        "short string, lower row of the table",
        "short string, exactly at its limit",
    ]
    assert failed[0].given == "not met"


def test_an_example_may_give_a_worked_out_value_or_what_it_is_worked_out_from() -> None:
    module = "modules: {voc_v: 40}, in_series: 10"
    by_value, by_inputs, by_neither = _tried(
        f"{{name: a, {SOUND}, outcome: met}}",
        f"{{name: b, given: {{string: {{{module}, insulation: {{positive_earth_megohm: 5}}}}}},"
        " outcome: met}",
        "{name: c, given: {string: {in_series: 10, insulation: {positive_earth_megohm: 0.7}}},"
        " outcome: not shown, needs: [string.modules]}",
    )
    assert by_value.passed
    assert by_inputs.passed
    assert by_neither.passed, by_neither.given


def test_evidence_counts_as_shown_unless_the_example_says_none() -> None:
    shown, none = _tried(
        f"{{name: a, {SOUND}, outcome: met}}",
        f"{{name: b, {SOUND}, evidence: none, outcome: not shown,"
        ' needs: ["evidence: test sheet"]}',
    )
    assert shown.passed
    assert none.passed, none.given


def test_the_needs_of_an_example_are_complete() -> None:
    (one_of_two,) = _tried(
        "{name: a, given: {string: {insulation: {}}}, outcome: not shown,"
        " needs: [string.insulation.positive_earth_megohm]}"
    )
    assert not one_of_two.passed
    assert "string.in_series" in one_of_two.given
    assert "string.modules" in one_of_two.given


def test_a_fault_stays_a_fault_where_the_point_lies_ahead() -> None:
    fault, gap = _tried(
        "{name: a, given: {string: {insulation: {positive_earth_megohm: 0.1}}}, point: ahead,"
        " outcome: not met}",
        "{name: b, given: {string: {}}, point: ahead, outcome: not due}",
    )
    assert fault.passed
    assert gap.passed
