"""The one place where the benchmark touches the project's rule engine."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from typing import Any, cast

from benchmarks.checks import Check
from benchmarks.records import View
from compliance.errors import Place
from compliance.files.resources import rulesets_folder
from compliance.rules.check import Checker
from compliance.rules.language.kinds import Vocabulary
from compliance.rules.language.ruling import Clause
from compliance.rules.language.syntax import collection, condition
from compliance.rules.outcome import Checked, HoldsUp, Outcome, Requirement, Source
from compliance.rules.ruleset import Head, Rule, Rules, Way, load_rules

JURISDICTION = "gb"
HEAD = Head("benchmark", "Requirements made for measuring", date(1990, 1, 1), None, "designed")
SOURCE = Source("common-practice", "", "common practice")


def checker(checks: Sequence[Check]) -> Checker:
    """The project's check, holding these requirements and the shipped limits."""
    shipped = load_rules(rulesets_folder(), JURISDICTION)
    rules = tuple(_rule(check, shipped.vocabulary) for check in checks)
    return Checker.of(Rules(rules, shipped.tables, shipped.vocabulary, shipped.register, ()))


def outcomes(engine: Checker, job: View, today: date) -> list[tuple[int, Any, Outcome]]:
    """Number of the check, entries of the subject, outcome; no reasons."""
    return engine.outcomes(job, {}, today)


def findings(engine: Checker, job: View, today: date) -> Checked:
    """The findings with their reasons, as a user gets them."""
    return engine.check(job, {}, today)


def load_from_cache() -> Callable[[], object] | None:
    """Loading the shipped rulesets a second time from a cache; None while there is none."""
    return None


def _rule(check: Check, vocabulary: Vocabulary) -> Rule:
    names: dict[str, str] = {}
    loops = []
    for loop in check.loops:
        name, _, path = loop.partition(" in ")
        node, kind = collection(path, vocabulary, names)
        loops.append((name, node))
        names[name] = kind.type
    clause = Clause(
        tuple(loops),
        condition(check.condition, vocabulary, names) if check.condition else None,
        condition(check.must, vocabulary, names) if check.must else None,
        tuple(condition(way, vocabulary, names) for way in check.ways),
    )
    requirement = Requirement(
        check.id, check.id, HEAD.id, "use", HoldsUp.USE, "installer", SOURCE, "measured", "none"
    )
    ways = tuple(Way(f"another way for {check.id}", SOURCE) for _ in check.ways)
    written = cast("Any", None)  # the file's own form is for the self-test alone
    return Rule(HEAD, requirement, clause, ways, "", "nobody", "", written, Place(check.id))

