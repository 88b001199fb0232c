"""One requirement on one job: what made it met, what made it not apply, what it rests on."""

from __future__ import annotations

from rules.small import RULESETS, TODAY, check, one, shipped, view_of

from compliance.rules.basis import limits_of, quantities_of
from compliance.rules.check import Checker
from compliance.rules.explained import explained
from compliance.rules.outcome import Checked, Fact, Outcome
from compliance.rules.ruleset import load_rules
from compliance.rules.world import RecordWorld

PARTS = "parts:\n  roof: {kind: array, designed: 2026-09-01, in_use: 2026-11-06}\n"
STRINGS = PARTS + "strings:\n  S1: {in_series: 8, parallel: 2}\n  S2: {in_series: 9, parallel: 1}\n"


def _explained(checker: Checker, record: str, name: str = "tried") -> Checked:
    world = RecordWorld(view_of(record), TODAY, checker.rules.tables, {})
    return explained(check(checker, record), name, checker.rules, world)


def _facts(keys: str, record: str = STRINGS) -> dict[str, tuple[Fact, ...]]:
    return {f.subject: f.facts for f in _explained(one(keys), record).findings}


FOR = "for: string in strings\nbefore: use\nmust: "


def test_what_is_met_says_what_was_found_and_how_much_is_left() -> None:
    facts = _facts(f"{FOR}string.in_series <= 9")
    assert facts["S1"] == (Fact("in series", "8", "at most 9", "1 to spare"),)
    assert facts["S2"] == (Fact("in series", "9", "at most 9", "exactly at the limit"),)


def test_what_is_not_met_says_the_same_as_the_check() -> None:
    checker = one(f"{FOR}string.in_series <= 8")
    findings = _explained(checker, STRINGS).findings
    told = [f for f in check(checker, STRINGS).findings if f.outcome is Outcome.NOT_MET]
    assert [f for f in findings if f.outcome is Outcome.NOT_MET] == told
    assert told[0].facts[0].margin == "1 too much"


def test_only_the_part_that_holds_explains_an_or() -> None:
    facts = _facts(f"{FOR}string.in_series == 8 or string.parallel == 1")
    assert facts["S1"] == (Fact("in series", "8", "8"),)
    assert facts["S2"] == (Fact("parallel", "1", "1"),)


def test_a_denial_that_holds_says_what_it_must_not_be() -> None:
    facts = _facts(f"{FOR}not (string.in_series == 7 or string.parallel >= 3)")
    assert facts["S1"] == (
        Fact("in series", "8", "anything but 7"),
        Fact("parallel", "2", "less than 3", "1 to spare"),
    )


def test_each_entry_of_all_and_the_one_of_any_explain_them() -> None:
    job = "before: use\nmust: "
    whole = _facts(f"{job}all(s.in_series >= 8 for s in strings)")["job"]
    assert [f.what for f in whole] == ["S1 in series", "S2 in series"]
    some = _facts(f"{job}any(s.in_series >= 9 for s in strings)")["job"]
    assert [f.what for f in some] == ["S2 in series"]
    none = _facts(f"{job}all(s.in_series >= 8 for s in strings if s.parallel >= 3)")["job"]
    assert none == (Fact("strings", "none", "each: in series at least 8"),)
    nowhere = _facts(f"{job}not any(s.in_series >= 10 for s in strings)")["job"]
    assert [(f.found, f.right) for f in nowhere] == [("8", "less than 10"), ("9", "less than 10")]


def test_what_is_stated_says_what_is_stated() -> None:
    assert _facts(f"{FOR}stated(string.parallel)")["S1"] == (Fact("parallel", "2", "stated"),)


def test_what_does_not_apply_says_why() -> None:
    keys = (
        "for: string in strings\nif: string.parallel >= 2\nbefore: use\nmust: string.in_series <= 9"
    )
    facts = _facts(keys)
    assert facts["S2"] == (Fact("parallel", "1", "at least 2", "1 too little"),)


def test_another_way_that_met_it_is_the_one_explained() -> None:
    keys = (
        "for: string in strings\nbefore: use\nmust: string.cold_voc_v <= 600\nor_by:\n"
        "  - title: by few modules\n    must: string.in_series <= 9\n"
        "    source: {document: common-practice, confidence: common practice}"
    )
    found = _explained(one(keys), STRINGS).findings
    assert {f.way for f in found} == {"by few modules"}
    assert [f.facts[0].what for f in found] == ["in series", "in series"]


def test_outcomes_needs_and_everything_else_stay_as_checked() -> None:
    checker = one(f"{FOR}string.cold_voc_v <= 600")
    checked = check(checker, STRINGS)
    again = _explained(checker, STRINGS)
    assert [f._replace(facts=()) for f in again.findings] == [
        f._replace(facts=()) for f in checked.findings
    ]
    assert again.counts == checked.counts


# -- what it rests on -------------------------------------------------------------------


def test_the_basis_holds_values_and_limits_also_behind_others() -> None:
    clauses = {r.requirement.id: r.clause for r in shipped().rules.rules}
    loop = clauses["loop-impedance"]
    assert [q.name for q in quantities_of(loop)] == ["loop_limit_ohm"]
    assert limits_of(loop) == ("voltage_factor", "tripping_multiple")
    insulation = clauses["string-insulation"]
    assert [q.name for q in quantities_of(insulation)] == ["system_voltage_v"]
    assert limits_of(insulation) == ("insulation_megohm",)
    assert limits_of(clauses["string-polarity"]) == ()
    assert quantities_of(clauses["string-polarity"]) == ()


def test_rules_know_where_they_apply_and_how_their_documents_were_published() -> None:
    rules = load_rules(RULESETS, "gb")
    assert {rule.head.jurisdiction for rule in rules.rules} == {"GB"}
    assert set(rules.published) == set(rules.titles)
    assert rules.published["iec-62548"].startswith("IEC 2016; adopted as BS IEC 62548:2016. ")
