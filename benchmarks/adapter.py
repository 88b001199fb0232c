"""The one place where the benchmark touches the project's rule engine."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from benchmarks.checks import Check
from benchmarks.records import View
from compliance.errors import Place
from compliance.files.cache import FolderCache
from compliance.files.resources import rulesets_folder
from compliance.rules.check import Checker, Settled
from compliance.rules.compiled import checker as cached_checker
from compliance.rules.job import open_job
from compliance.rules.language.compile import one_by_one
from compliance.rules.language.kinds import Vocabulary
from compliance.rules.language.nodes import Limit, Node, parts_of
from compliance.rules.language.ruling import Clause
from compliance.rules.language.scene import Scene
from compliance.rules.language.syntax import collection, condition
from compliance.rules.language.truth import number as number_of
from compliance.rules.outcome import Checked, HoldsUp, Outcome, Requirement, Source
from compliance.rules.quantities import QUANTITIES, owners_in
from compliance.rules.rule import Head, Rule, Way, Wording
from compliance.rules.ruleset import load_rules
from compliance.rules.vocabulary import vocabulary
from compliance.rules.world import RecordWorld

JURISDICTION = "gb"
HEAD = Head(
    "benchmark", "Requirements made for measuring", date(1990, 1, 1), None, "designed", "GB"
)
SOURCE = Source("common-practice", "", "common practice")


def checker(checks: Sequence[Check]) -> Checker:
    """The project's check, holding these requirements and the shipped limits."""
    return _checker(tuple(checks))


@cache
def _checker(checks: tuple[Check, ...]) -> Checker:
    shipped = load_rules(rulesets_folder(), JURISDICTION)
    names = vocabulary(QUANTITIES, shipped.tables.signs)
    rules = tuple(_rule(check, names) for check in checks)
    return Checker.of(replace(shipped, rules=rules, questions=()))


def outcomes(engine: Checker, job: View, today: date) -> list[Settled]:
    """Numbers of checks, entries of their subject, their outcomes; no reasons."""
    return engine.outcomes(job, {}, today)


def findings(engine: Checker, job: View, today: date) -> Checked:
    """The findings with their reasons, as a user gets them."""
    return engine.check(job, {}, today)


def requirements(engine: Checker) -> dict[str, Requirement]:
    """What the findings of an engine are of, by id."""
    return {rule.requirement.id: rule.requirement for rule in engine.rules.rules}


@dataclass(frozen=True, slots=True)
class Given:
    """One check on one subject as data, for engines that know neither view nor limits."""

    number: int
    outcome: Outcome
    job: View
    names: dict[str, Mapping[str, Any]]
    worked: dict[tuple[str, str], float]
    limits: dict[str, float]


def given(checks: Sequence[Check], job: View, today: date) -> Iterator[Given]:
    """Every check on every subject that a record has, with worked-out values and limits."""
    engine = _checker(tuple(checks))
    world = RecordWorld(job, today, engine.rules.tables, {})
    for number, entries, outcome in one_by_one(outcomes(engine, job, today)):
        clause = engine.rules.rules[number].clause
        if len(entries) < len(clause.loops):
            continue
        names = dict(zip((name for name, _ in clause.loops), entries, strict=True))
        worked: dict[tuple[str, str], float] = {}
        for owner, quantity in QUANTITIES:
            if owner in names:
                value = world.quantity(owner, quantity, names[owner])
                if isinstance(value, float):
                    worked[owner, quantity] = value
        scene = Scene(world, names, day=world.day(entries[-1] if entries else None, clause.by))
        nodes = [n for n in (clause.condition, clause.must, *clause.ways) if n is not None]
        limits = {
            limit.name: amount.interval.low
            for node in nodes
            for limit in _limits(node)
            if (amount := number_of(limit, scene)).interval.is_point
        }
        yield Given(number, outcome, job, names, worked, limits)


def _limits(node: Node) -> Iterator[Limit]:
    if isinstance(node, Limit):
        yield node
    for part in parts_of(node):
        yield from _limits(part)


def load_from_cache(folder: Path) -> Callable[[], object]:
    """Loading the shipped rulesets a second time from a cache in a folder."""
    kept = FolderCache(folder)
    cached_checker(rulesets_folder(), JURISDICTION, kept)
    return lambda: cached_checker(rulesets_folder(), JURISDICTION, FolderCache(folder))


def quantities_of(job_folder: Path) -> Callable[[], int]:
    """Working out every quantity of every subject of a job, anew each time; how many there are."""
    job = open_job(job_folder, rulesets_folder(), today=date(2026, 12, 1))

    def work_out() -> int:
        world = RecordWorld(job.view, job.checked.on, job.rules.tables, job.seen)
        asked = [
            world.quantity(owner, name, entry)
            for owner, entry in owners_in(world.job)
            for of, name in QUANTITIES
            if of == owner
        ]
        return len(asked)

    return work_out


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
    ways = tuple(Way(f"another way for {check.id}", way, SOURCE) for way in check.ways)
    wording = Wording(tuple(check.loops), check.condition, check.must, ())
    return Rule(
        head=HEAD, requirement=requirement, clause=clause, ways=ways, known="",
        set_aside_by="nobody", question="", wording=wording, examples=(), never={}, survivors=(),
        place=Place(check.id),
    )  # fmt: skip
