"""Collections found backwards: what does not say to whom it belongs is never taken as absent."""

from __future__ import annotations

from datetime import date
from random import Random
from typing import Any

import pytest
from properties import language_cases as cases
from rules.small import check, one, only, told

from compliance.rules.language.compile import decider, one_by_one
from compliance.rules.language.ruling import Clause, ruling, subjects
from compliance.rules.language.scene import Scene
from compliance.rules.language.syntax import collection, condition
from compliance.rules.outcome import Outcome
from compliance.values import Partly

KIT = """\
components: {i1: {category: inverter}, i2: {category: inverter}}
strings:
  S1: {in_series: 8, input: {inverter: i1}}
  S2: {in_series: %s, input: {inverter: %s}}
"""


@pytest.mark.parametrize(
    ("must", "count", "outcome", "needs"),
    [
        ("all(s.in_series <= 8 for s in inverter.strings)", 8, "met", ()),
        ("all(s.in_series <= 8 for s in inverter.strings)", 9, "not shown", ("S2",)),
        ("all(s.in_series <= 7 for s in inverter.strings)", 9, "not met", ()),
        ("any(s.in_series <= 8 for s in inverter.strings)", 9, "met", ()),
        ("any(s.in_series >= 9 for s in inverter.strings)", 9, "not shown", ("S2",)),
        ("any(s.in_series >= 9 for s in inverter.strings)", 8, "not met", ()),
        ("count(s.in_series > 1 for s in inverter.strings) >= 1", 8, "met", ()),
        ("count(s.in_series > 1 for s in inverter.strings) >= 2", 8, "not shown", ("S2",)),
        ("count(s.in_series > 1 for s in inverter.strings) >= 3", 8, "not met", ()),
        ("count(s.in_series > 9 for s in inverter.strings) <= 1", 8, "met", ()),
        ("sum(s.in_series for s in inverter.strings) <= 99", 8, "not shown", ("S2",)),
        ("max(s.in_series for s in inverter.strings) <= 8", 8, "not shown", ("S2",)),
        ("unique(s.face for s in inverter.strings)", 8, "not shown", ("S2",)),
    ],
)
def test_a_string_that_names_no_inverter_may_be_on_each(
    must: str, count: int, outcome: str, needs: tuple[str, ...]
) -> None:
    silent = (KIT % (count, "x")).replace(", input: {inverter: x}", "")
    checked = check(one(f"for: inverter in inverters\nbefore: use\nmust: {must}"), silent)
    found = next(f for f in checked.findings if f.subject == "i1")
    assert found.outcome.value == outcome
    assert {n.path for n in found.needs} == {f"strings[{s}].input.inverter" for s in needs}


def test_once_it_names_one_the_others_are_certain() -> None:
    checker = one(
        "for: inverter in inverters\nbefore: use\nmust: any(s.in_series >= 8 for s in "
        "inverter.strings)"
    )
    assert told(check(checker, KIT % (8, "i1"))) == {"i1": "met", "i2": "not met"}
    assert told(check(checker, KIT % (8, "i2"))) == {"i1": "met", "i2": "met"}


def test_a_loop_over_what_may_be_empty_is_not_shown_and_never_passed_over() -> None:
    checker = one(
        "for: [inverter in inverters, s in inverter.strings]\nbefore: use\nmust: s.in_series <= 8"
    )
    silent = (KIT % (8, "x")).replace(", input: {inverter: x}", "")
    assert told(check(checker, silent)) == {"i1 / S1": "met", "i2": "not shown"}
    assert told(check(checker, KIT % (8, "i1"))) == {
        "i1 / S1": "met", "i1 / S2": "met", "i2": "not applicable",
    }  # fmt: skip


def test_a_label_that_does_not_say_what_it_marks_keeps_the_question_open() -> None:
    checker = one(
        "for: isolator in dc_isolators\nbefore: use\n"
        "must: any(label.kind == 'live in daylight' for label in isolator.labels)"
    )
    record = "strings: {S1: {in_series: 8}}\nisolators: {d1: {side: dc, serves: S1}}\n"
    marked = "labels: {l1: {kind: live in daylight, marks: d1}}\n"
    assert only(check(checker, record + marked)).outcome is Outcome.MET
    silent = only(check(checker, record + marked.replace(", marks: d1", "")))
    assert silent.outcome is Outcome.NOT_SHOWN
    assert silent.needs[0].supply == "marks of l1"
    other = "labels: {l1: {kind: two supplies, place: origin}}\n"
    assert only(check(checker, record + other)).outcome is Outcome.NOT_MET


# -- over random rules and records, as the language's own properties ----------------------


def _opened(rng: Random, job: dict[str, Any]) -> list[dict[str, Any]]:
    """Makes some collections of a record open; gives the entries that hold one."""
    held = []
    for thing in job.get("things", ()):
        bits = thing.get("bits")
        if bits and rng.random() < 0.7:
            sure = rng.randrange(len(bits))
            perhaps = [(b, f"bits[{b['~name']}].of") for b in bits[sure:]]
            thing["bits"] = Partly(bits[:sure], perhaps)
            held.append(thing)
    return held


def _clauses(rng: Random) -> list[Clause]:
    made = []
    for _ in range(3):
        names: dict[str, str] = {}
        loops = []
        for text in rng.choice(
            ((), ("thing in things",), ("thing in things", "bit in thing.bits"))
        ):
            name, _, path_text = text.partition(" in ")
            path, kind = collection(path_text, cases.VOCABULARY, names)
            loops.append((name, path))
            names[name] = kind.type
        texts = [cases.Writer(rng).condition(names, 2) for _ in range(2)]
        nodes = [condition(t, cases.VOCABULARY, names) for t in texts]
        made.append(Clause(tuple(loops), nodes[0] if rng.random() < 0.3 else None, nodes[1]))
    return made


def _outcomes(clauses: list[Clause], job: dict[str, Any]) -> dict[Any, Outcome]:
    scene = Scene(cases.RandomWorld(job))
    return {
        (number, *(e["~name"] for e in s.entries)): ruling(clause, s).outcome
        for number, clause in enumerate(clauses)
        for s in subjects(clause, scene)
    }


def test_the_generated_function_and_the_reference_agree_on_open_collections() -> None:
    opened = 0
    for seed in range(400):
        rng = Random(seed)
        job = cases.record(rng)
        opened += bool(_opened(rng, job))
        clauses = _clauses(rng)
        reference = _outcomes(clauses, job)
        world = cases.RandomWorld(job)
        for number, entries, outcome in one_by_one(
            decider(clauses)(world, lambda _entry, _by: date.max)
        ):
            key = (number, *(e["~name"] for e in entries))
            assert outcome in (None, reference[key]), (seed, clauses[number])
    assert opened > 100


def test_however_it_turns_out_what_was_decided_stays() -> None:
    decided = 0
    for seed in range(400):
        rng = Random(seed)
        job = cases.record(rng)
        held = _opened(rng, job)
        clauses = _clauses(rng)
        before = _outcomes(clauses, job)
        for thing in held:
            members = [b for b, _ in thing["bits"].perhaps if rng.random() < 0.5]
            thing["bits"] = [*thing["bits"], *members]
        after = _outcomes(clauses, job)
        for key, outcome in before.items():
            if outcome is Outcome.NOT_SHOWN or key not in after:
                continue
            decided += bool(held)
            unknown_if = {Outcome.MET, Outcome.NOT_APPLICABLE}
            # an unknown `if` over a true `must` is met, and may turn out not to apply
            assert after[key] is outcome or {after[key], outcome} == unknown_if, (seed, key)
    assert decided > 100
