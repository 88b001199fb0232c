"""Examples that are enough: each kind of small mistake is made, and noticed or told."""

from __future__ import annotations

import time
from datetime import date
from random import Random

import pytest
from properties import language_cases as cases
from rules.small import RULESET, requirement, rules_of, shipped

from compliance.rules.language.mutants import Mutant, mutants
from compliance.rules.language.nodes import parts_of, with_parts
from compliance.rules.language.ruling import Clause, ruling, subjects
from compliance.rules.language.scene import Scene
from compliance.rules.language.syntax import condition
from compliance.rules.mutations import Mutation, Score, tried_mutations
from compliance.rules.rule import Rules

NAMES = {"thing": "thing"}


def _mutants(must: str, **rest: object) -> list[Mutant]:
    node = condition(must, cases.VOCABULARY, NAMES)
    return list(mutants(Clause(must=node, **rest)))  # type: ignore[arg-type]


def _changes(must: str) -> list[str]:
    return [mutant.change.removeprefix("must: ") for mutant in _mutants(must)]


@pytest.mark.parametrize(
    ("op", "edge", "turned"),
    [("<", "<=", ">="), ("<=", "<", ">"), (">", ">=", "<="), (">=", ">", "<")],
)
def test_a_comparison_takes_or_leaves_its_limit_and_is_turned_round(
    op: str, edge: str, turned: str
) -> None:
    text = "thing.size_v {} thing.deep_v"
    made = [f'"{text.format(op)}" made "{text.format(other)}"' for other in (edge, turned)]
    assert _changes(text.format(op)) == made


def test_moments_are_compared_the_same_way() -> None:
    assert _changes("thing.made <= hall.on") == [
        '"thing.made <= hall.on" made "thing.made < hall.on"',
        '"thing.made <= hall.on" made "thing.made > hall.on"',
    ]


def test_being_the_same_and_being_among_are_denied_and_denial_is_taken_away() -> None:
    same, other = "thing.colour == 'red'", "thing.colour != 'red'"
    assert _changes(same) == [f'"{same}" made "{other}"']
    assert _changes(other) == [f'"{other}" made "{same}"']
    among = "thing.colour in ('red', 'blue')"
    assert _changes(among) == [
        f"\"{among}\" made \"thing.colour not in ('red', 'blue')\"",
        f"'red' left out of \"{among}\"",
        f"'blue' left out of \"{among}\"",
    ]
    assert len(_changes("thing.colour not in ('red', 'blue')")) == 3
    assert _changes("not (thing.locked or hall.open)")[0] == (
        '"not (thing.locked or hall.open)" made "thing.locked or hall.open"'
    )


def test_what_is_unique_stated_or_shown_is_denied() -> None:
    for text in ("unique(bit.tag for bit in thing.bits)", "stated(thing.loop_ohm)",
                 "shown('photo', thing)"):  # fmt: skip
        assert _changes(text) == [f'"{text}" made "not {text}"']
        assert _changes(f"not {text}") == [f'"not {text}" made "{text}"']


def test_a_figure_moves_by_a_hundredth_and_a_whole_number_by_one() -> None:
    moved = [c for c in _changes("thing.size_v <= 40") if "made 3" in c or "made 4" in c]
    assert moved == [
        '40 made 39.6 in "thing.size_v <= 40"',
        '40 made 40.4 in "thing.size_v <= 40"',
    ]
    text = "thing.count >= 2"
    assert _changes(text) == [
        f'"{text}" made "thing.count < 2"',
        f'2 made 1 in "{text}"',
        f'2 made 3 in "{text}"',
    ], "more than two is three or more: the same mistake is not made twice"
    assert '28 made 29 in "days(thing.made, hall.on) <= 28"' in _changes(
        "days(thing.made, hall.on) <= 28"
    )
    assert '25 made 26 in "thing.coldest_c <= 25"' in _changes("thing.coldest_c <= 25")
    assert _changes("thing.size_v > 0") == [
        '"thing.size_v > 0" made "thing.size_v >= 0"',
        '"thing.size_v > 0" made "thing.size_v <= 0"',
    ], "nothing has no hundredth"


def test_a_limit_moves_by_a_hundredth_on_each_side() -> None:
    text = "thing.insulation_megohm >= limits.least_megohm(thing.size_v)"
    assert _changes(text)[2:] == [
        f'limits.least_megohm 1 % lower in "{text}"',
        f'limits.least_megohm 1 % higher in "{text}"',
    ]


def test_each_part_is_left_out() -> None:
    both = _changes("thing.locked and hall.open and thing.colour == 'red'")
    assert [c for c in both if c.endswith("left out")] == [
        '"thing.locked" left out', '"hall.open" left out', "\"thing.colour == 'red'\" left out",
    ]  # fmt: skip
    either = _mutants("thing.locked or hall.open")
    assert [m.missing for m in either if m.change.endswith("left out")] == [
        'one in which only "thing.locked" holds', 'one in which only "hall.open" holds',
    ]  # fmt: skip


def test_a_filter_is_left_out_and_all_and_any_change_places() -> None:
    text = "all(bit.firm for bit in thing.bits if bit.hue == 'red')"
    assert f'the filter of "{text}" left out' in _changes(text)
    assert f'"all" made "any" in "{text}"' in _changes(text)
    assert '"any" made "all" in "any(bit.firm for bit in thing.bits)"' in _changes(
        "any(bit.firm for bit in thing.bits)"
    )
    so_far = _changes("any(act.kind == 'red' for act in acts)")
    assert not [c for c in so_far if '"any" made "all"' in c], "what is so far has no all"


def test_what_stands_inside_a_collection_is_changed_too() -> None:
    changes = _changes("count(bit.mass_kg > 3 for bit in thing.bits) >= 2")
    assert '"bit.mass_kg > 3" made "bit.mass_kg >= 3"' in changes
    assert any(c.startswith("2 made 3 in ") for c in changes)


def test_a_factor_is_a_figure_and_no_whole_number() -> None:
    text = "thing.deep_v <= 2 * thing.size_v"
    assert _changes(text)[2:] == [f'2 made 1.98 in "{text}"', f'2 made 2.02 in "{text}"']


def test_an_if_another_way_and_a_kind_of_evidence_are_left_out() -> None:
    node = condition("thing.locked", cases.VOCABULARY, NAMES)
    way = condition("hall.open", cases.VOCABULARY, NAMES)
    made = _mutants("thing.count >= 1", condition=node, ways=(way,), evidence=("photo", "sheet"))
    changes = [m.change for m in made]
    for change in ("if: left out", "or_by 1: left out", 'evidence: "photo" left out'):
        assert change in changes
    assert 'or_by 1: "hall.open" made "not hall.open"' in changes
    without = next(m for m in made if m.change == "if: left out")
    assert without.clause.condition is None
    assert next(m for m in made if "sheet" in m.change).clause.evidence == ("photo",)


def test_equal_mistakes_are_made_once_and_equal_texts_are_numbered() -> None:
    twice = _mutants("thing.locked or thing.locked and hall.open")
    assert len({m.change for m in twice}) == len(twice)
    assert any(m.change.endswith('made "not thing.locked" (2)') for m in twice)
    assert len({m.clause for m in twice}) == len(twice)


def test_mistakes_of_random_clauses_differ_and_can_be_decided() -> None:
    made = 0
    for seed in range(300):
        rng = Random(seed)
        node = condition(cases.Writer(rng).condition({}, 3), cases.VOCABULARY, {})
        assert with_parts(node, parts_of(node)) == node
        clause = Clause(must=node, evidence=("photo",))
        (subject,) = subjects(clause, Scene(cases.RandomWorld(cases.record(rng))))
        for mutant in mutants(clause):
            assert mutant.clause != clause
            ruling(mutant.clause, subject)
            made += 1
    assert made > 2000


# -- by the examples of a requirement ---------------------------------------------------


REST = """\
    holds_up: use
    held_by: installer
    source: {document: common-practice, confidence: common practice}
    why: For a test.
    remedy: For a test.
    examples:
"""
FOR = "for: string in strings\n"
USE = "before: use\n"


def _rules(keys: str, *examples: str, condition: str = "", survivors: str = "") -> Rules:
    keys = FOR + (f"if: {condition}\n" if condition else "") + USE + keys
    rest = REST + "".join(f"      - {e}\n" for e in examples) + survivors
    return rules_of(RULESET + requirement("tried", keys, rest=rest))


def _left(rules: Rules) -> list[str]:
    return [m.change for m in tried_mutations(rules) if not m.is_caught]


def _voltage(value: float, outcome: str) -> str:
    return f"{{name: v {value}, given: {{string: {{cold_voc_v: {value}}}}}, outcome: {outcome}}}"


UNKNOWN = "{name: not said, given: {string: {}}, outcome: not shown}"


def test_an_example_on_each_side_of_a_limit_catches_every_mistake() -> None:
    keys = "must: string.cold_voc_v <= 600"
    assert not _left(_rules(keys, _voltage(600, "met"), _voltage(601, "not met"), UNKNOWN))


def test_an_example_far_from_its_limit_catches_little() -> None:
    keys = "must: string.cold_voc_v <= 600"
    left = _left(_rules(keys, _voltage(500, "met"), _voltage(700, "not met"), UNKNOWN))
    assert left == [
        'must: "string.cold_voc_v <= 600" made "string.cold_voc_v < 600"',
        'must: 600 made 594 in "string.cold_voc_v <= 600"',
        'must: 600 made 606 in "string.cold_voc_v <= 600"',
    ]


def test_other_needs_than_the_example_states_are_noticed() -> None:
    must = "must: string.cold_voc_v <= 600 and stated(string.parallel)"
    sure = (_voltage(601, "not met"), "{name: a, given: {string: {cold_voc_v: 600, parallel: 1}},"
            " outcome: met}")  # fmt: skip
    needs = "{name: b, given: {string: {}}, outcome: not shown, needs: [%s]}"
    both = needs % "site.lowest_cell_c, string.in_series, string.modules, string.parallel"
    assert 'must: "stated(string.parallel)" left out' in _left(_rules(must, *sure, UNKNOWN))
    assert 'must: "stated(string.parallel)" left out' not in _left(_rules(must, *sure, both))


def test_an_example_that_fails_by_itself_notices_nothing() -> None:
    keys = "must: string.cold_voc_v <= 600"
    wrong = _rules(keys, _voltage(600, "not met"), _voltage(601, "met"), UNKNOWN)
    assert len(_left(wrong)) == 4


def test_an_if_that_no_example_misses_survives() -> None:
    keys, only = "must: string.cold_voc_v <= 600", "string.parallel >= 2"
    given = "{name: %s, given: {string: {parallel: %s, cold_voc_v: %s}}, outcome: %s}"
    examples = [given % row for row in (("a", 2, 600, "met"), ("b", 2, 601, "not met"))]
    assert "if: left out" in _left(_rules(keys, *examples, UNKNOWN, condition=only))
    single = given % ("c", 1, 601, "not applicable")
    assert "if: left out" not in _left(_rules(keys, *examples, single, UNKNOWN, condition=only))


def test_evidence_that_no_example_lacks_survives() -> None:
    keys = "must: string.cold_voc_v <= 600\nevidence: [photo]"
    examples = (_voltage(600, "met"), _voltage(601, "not met"), UNKNOWN)
    assert _left(_rules(keys, *examples)) == ['evidence: "photo" left out']
    without = (
        "{name: no photo, given: {string: {cold_voc_v: 500}}, evidence: none, outcome: not shown}"
    )
    assert not _left(_rules(keys, *examples, without))


def test_evidence_of_a_judgement_counts_as_it_does_in_the_check() -> None:
    keys = "judge: Is it so?\nevidence: [photo]"
    examples = [
        "{name: a, judged: met, given: {string: {}}, outcome: met}",
        "{name: b, judged: not met, given: {string: {}}, outcome: not met}",
        "{name: c, judged: met, given: {string: {}}, evidence: none, outcome: not shown,"
        ' needs: ["evidence: photo"]}',
    ]
    rules = _rules(keys, *examples)
    assert not _left(rules)
    assert len(tried_mutations(rules)) == 1


# -- survivors --------------------------------------------------------------------------


def test_a_survivor_with_a_reason_is_listed_and_no_failure() -> None:
    survivors = (
        "    survivors:\n"
        '      - change: \'must: "string.cold_voc_v <= 600" made "string.cold_voc_v < 600"\'\n'
        "        reason: For a test.\n"
    )
    rules = _rules("must: string.cold_voc_v <= 600", _voltage(599, "met"), _voltage(601, "not met"),
                   UNKNOWN, survivors=survivors)  # fmt: skip
    (explained,) = [m for m in tried_mutations(rules) if not m.is_caught]
    assert explained.reason == "For a test."
    assert not explained.is_failure
    assert Score.of(tried_mutations(rules)) == Score(caught=3, tried=4)


def test_a_score_is_never_rounded_up() -> None:
    assert Score(2999, 3000).percent == 99.9
    assert Score(3000, 3000).percent == 100.0
    assert Score(0, 0).percent is None


# -- the shipped rulesets ---------------------------------------------------------------


def _shipped() -> tuple[Mutation, ...]:
    return tried_mutations(shipped().rules)


def test_the_shipped_examples_catch_at_least_95_percent_and_say_why_of_the_rest() -> None:
    tried = _shipped()
    unexplained = [f"{m.place}: {m.change}; missing: {m.missing}" for m in tried if m.is_failure]
    assert unexplained == []
    score = Score.of(tried)
    assert score.tried > 80
    assert score.percent is not None
    assert score.percent >= 95


def test_every_shipped_requirement_with_a_condition_is_tried() -> None:
    tried = {m.requirement for m in _shipped()}
    conditions = {
        rule.requirement.id
        for rule in shipped().rules.rules
        if rule.clause.must or rule.clause.condition or rule.clause.evidence
    }
    assert tried == conditions


def test_the_whole_pass_takes_seconds_at_most() -> None:
    shipped()
    started = time.perf_counter()
    _shipped()
    assert time.perf_counter() - started < 5


def test_a_boundary_of_dates_is_noticed_only_on_the_day_itself() -> None:
    keys = "for: test in tests\nbefore: use\nmust: test.on <= test.instrument.calibration_due"
    given = (
        "{name: %s, given: {test: {on: %s, instrument: {calibration_due: 2026-10-09}}}, "
        "outcome: %s}"
    )
    days = {"a": (date(2026, 10, 8), "met"), "b": (date(2026, 10, 10), "not met")}
    examples = [given % (name, *row) for name, row in days.items()]
    examples.append("{name: c, given: {test: {}}, outcome: not shown}")
    rest = REST + "".join(f"      - {e}\n" for e in examples)
    rules = rules_of(RULESET + requirement("tried", keys, rest=rest))
    (change,) = _left(rules)
    assert change.endswith('made "test.on < test.instrument.calibration_due"')
