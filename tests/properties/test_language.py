"""The properties that the rule language keeps, over random rules and records.

Sound, Forgetting, Same: see the language section of DEVELOPERS.md. Plainly: the reference says
what a plain walk of the nodes says. Hypothesis drives the
generators and shrinks a failure; `COMPLIANCE_CASES=50000` also runs that many seeded
cases of each property, for the long run before a release (case number n is drawn from
`Random(n)`, so a run can be repeated).

The records hold figures, readings (also `over`, `under`, `not taken`), words, texts, yes/no,
references, dates with and without a time of day, `not yet`, complete and so-far collections,
evidence, and numbers just within and just beyond the tolerance around 5. The rules hold every
form of the grammar: also `today`, `days`, dates compared in chains and for being the same, and
numbers read or worked out on either side of a comparison. Points of no return, judgements and
departures belong to the check as a whole: `test_check.py`. Backward lists that are only partly
known (`Partly`) are tried in `tests/rules/test_backwards.py`.
"""

from __future__ import annotations

import os
from dataclasses import replace
from datetime import date
from random import Random
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from properties import language_cases as cases
from rules import plain_truth

from compliance.rules.language import lifted
from compliance.rules.language.calculation import Shortcuts
from compliance.rules.language.compile import decider, one_by_one
from compliance.rules.language.interval import ANYTHING, compared, magnitude, point
from compliance.rules.language.ruling import Clause, ruling, subjects
from compliance.rules.language.scene import Scene
from compliance.rules.language.syntax import collection, condition
from compliance.rules.language.truth import truth
from compliance.rules.outcome import Outcome

LONG = int(os.environ.get("COMPLIANCE_CASES", "0"))
SHORT = settings(
    max_examples=300, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck)
)
RANDOMS = st.randoms(use_true_random=False)


def _clause(rng: Random, ways: bool) -> Clause:
    writer = cases.Writer(rng)
    names: dict[str, str] = {}
    loops = []
    for text in rng.choice(((), ("thing in things",), ("thing in things",), ("act in acts",),
                            ("bit in hall.proof.notes",),
                            ("thing in things", "bit in thing.bits"))):  # fmt: skip
        name, _, path_text = text.partition(" in ")
        path, kind = collection(path_text, cases.VOCABULARY, names)
        loops.append((name, path))
        names[name] = kind.type
    texts = [writer.condition(names, 2) for _ in range(4)]
    made = [condition(t, cases.VOCABULARY, names) for t in texts]
    return Clause(
        tuple(loops),
        made[0] if rng.random() < 0.4 else None,
        made[1] if rng.random() < 0.95 else None,
        tuple(made[2 : 2 + rng.randrange(3)]) if ways else (),
        tuple(k for k in cases.EVIDENCE if rng.random() < 0.2),
    )


def sound(rng: Random) -> None:
    """True or false stays so however every unknown turns out; unknown always names a need.

    Filled in at random, three times a case: what is missing or not taken by any value, `over`
    and `under` by readings close to and far beyond the end, `not yet` by later days; so-far
    lists may grow, evidence may turn up. Left out: a quantity outside its validity becomes
    valid only where one of its inputs was missing, since known values are never changed.
    """
    job = cases.record(rng)
    names = {"thing": "thing"} if job.get("things") else {}
    text = cases.Writer(rng).condition(names, 3)
    node = condition(text, cases.VOCABULARY, names)

    def worth(record: dict[str, Any]) -> Any:
        held = {"thing": record["things"][0]} if names else {}
        return truth(node, Scene(cases.RandomWorld(record), held, {"thing": "thing"}))

    before = worth(job)
    if before.value is None:
        assert before.needs, text
        return
    for _ in range(3):
        after = worth(cases.filled(rng, job)).value
        assert after is None or after is before.value, (text, job)


def forgetting(rng: Random) -> None:
    """Losing a value never turns a gap into met or not applicable, nor back.

    Between those two it may: where `must` holds, an `if` that is no longer known to be false
    makes no difference to anybody. Forgotten is one field, one section, one reference or all
    evidence of one entry. Left out: `or_by` (the design's order lets another way count once a
    failed measurement is gone), whole entries of lists, and values given in place of a
    quantity, which only examples have.
    """
    clause, job = _clause(rng, ways=False), cases.record(rng)
    less = cases.forgotten(rng, job)

    def outcomes(record: dict[str, Any]) -> dict[tuple[Any, ...], Outcome]:
        scene = Scene(cases.RandomWorld(record))
        return {tuple(e["~name"] for e in s.entries): ruling(clause, s).outcome
                for s in subjects(clause, scene)}  # fmt: skip

    before, after = outcomes(job), outcomes(less)
    for subject, outcome in after.items():
        if outcome is Outcome.NOT_SHOWN or subject not in before:
            continue
        was = before[subject]
        open_ends = {was, outcome} <= {Outcome.MET, Outcome.NOT_APPLICABLE}
        assert outcome is was or open_ends, (clause, job, less)


def same(rng: Random) -> None:
    """The generated function and the reference agree on every finding.

    Also with `or_by`, evidence, several rules in one function, a day that no edition of a limit
    covers, and where it is told what fields hold. Where the function hands a finding over (None)
    there is nothing to agree on; a test below keeps that to the lesser part.
    """
    clauses = [_clause(rng, ways=True) for _ in range(rng.choice((1, 2, 5)))]
    world = cases.RandomWorld(cases.record(rng))
    decided: dict[tuple[Any, ...], Any] = {}
    day = rng.choice((None, date(2019, 5, 1)))
    told = Shortcuts(fields=cases.TYPES) if rng.random() < 0.5 else Shortcuts()
    made = decider(clauses, told)(world, lambda _entry, _by: day)
    for number, entries, outcome in one_by_one(made):
        key = (number, *(id(e) for e in entries))
        assert key not in decided
        decided[key] = outcome
    for number, clause in enumerate(clauses):
        for subject in subjects(clause, Scene(world, day=day)):
            key = (number, *(id(e) for e in subject.entries))
            fast, slow = decided.pop(key), ruling(clause, subject).outcome
            assert fast is None or fast is slow, (clause, world.job)
    assert not decided


def plainly(rng: Random) -> None:
    """The functions made of nodes say what a plain walk says: same worth, same needs in order.

    In each case six conditions about one record, also where no edition covers the day.
    """
    job = cases.record(rng)
    names = {"thing": "thing"} if job.get("things") else {}
    held = {"thing": job["things"][0]} if names else {}
    label = rng.choice(("thing", "things[Thing 1]"))
    day = rng.choice((None, date(2019, 5, 1)))
    scene = Scene(cases.RandomWorld(job), held, {"thing": label}, day)
    writer = cases.Writer(rng)
    for _ in range(6):
        node = condition(writer.condition(names, 3), cases.VOCABULARY, names)
        assert truth(node, scene) == plain_truth.truth(node, scene), (node, job)


LAWS = [sound, forgetting, same, plainly]


@pytest.mark.parametrize("law", LAWS)
def test_the_language_keeps_its_laws(law: Any) -> None:
    @SHORT
    @given(RANDOMS)
    def run(rng: Random) -> None:
        law(rng)

    run()


@pytest.mark.parametrize("law", LAWS)
def test_the_language_keeps_its_laws_on_seeded_cases(law: Any) -> None:
    for seed in range(LONG or 400):
        try:
            law(Random(seed))
        except AssertionError as wrong:
            raise AssertionError(f"{law.__name__} fails for seed {seed}") from wrong


def test_the_generators_reach_every_worth_and_most_of_the_fast_path() -> None:
    seen: dict[Any, int] = {}
    for seed in range(400):
        rng = Random(seed)
        clause = _clause(rng, ways=True)
        world = cases.RandomWorld(cases.record(rng))
        for _, _, outcome in one_by_one(decider([clause])(world, lambda _entry, _by: None)):
            seen[outcome] = seen.get(outcome, 0) + 1
    assert set(seen) == {Outcome.MET, Outcome.NOT_MET, Outcome.NOT_SHOWN, Outcome.NOT_APPLICABLE,
                         Outcome.FOR_JUDGEMENT, None}  # fmt: skip
    assert seen[None] < 0.35 * sum(seen.values())


def test_a_false_must_is_never_rescued_by_another_way() -> None:
    yes = condition("1 < 2", cases.VOCABULARY, {})
    no = condition("2 < 1", cases.VOCABULARY, {})
    clause = Clause(must=no, ways=(yes,))
    world = cases.RandomWorld({"~name": "job"})
    (subject,) = subjects(clause, Scene(world))
    assert ruling(clause, subject).outcome is Outcome.NOT_MET
    assert ruling(replace(clause, must=yes), subject).outcome is Outcome.MET


@pytest.mark.parametrize("limit", [-1.0, 0.0, 1.0])
@pytest.mark.parametrize("op", ["<", "<=", ">", ">="])
def test_the_size_of_what_nobody_knows_compares_as_the_intervals_say(op: str, limit: float) -> None:
    """`abs(x) < 0` is false whatever x is: the quick way out once said unknown."""
    quick = lifted.ordered(op, lifted.size_of(None), limit, is_worked=True)
    assert quick is compared(op, magnitude(ANYTHING), point(limit), is_worked=True)
