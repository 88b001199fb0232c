"""Whether examples are enough: every small mistake in a requirement must make one of them fail.

A mistake that none notices survives. It is a failure of the examples, unless the
requirement says under `survivors` why no example could notice it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from compliance.errors import Place, RulesetError, raise_all
from compliance.record.problems import cut, did_you_mean
from compliance.rules.language.mutants import Mutant, mutants
from compliance.rules.rule import Rule, Rules, Survivor
from compliance.rules.selftest import Prepared, prepared


class UnknownChangeError(RulesetError):
    """A survivor names a change that is not made."""

    id = "ruleset.unknown-change"

    def __init__(self, survivor: Survivor, known: Mapping[str, object]) -> None:
        super().__init__(
            f'"{cut(survivor.change)}" is no change that is tried on this requirement; write it as '
            f"`rules test` prints it, or take it out. {did_you_mean(survivor.change, known)}",
            survivor.place,
        )


class NoSurvivorError(RulesetError):
    """A survivor is listed that an example catches."""

    id = "ruleset.no-survivor"

    def __init__(self, survivor: Survivor, example: str) -> None:
        super().__init__(
            f'"{cut(survivor.change)}" is noticed by the example "{cut(example)}"; take it out of '
            "`survivors`",
            survivor.place,
        )


@dataclass(frozen=True, slots=True)
class Mutation:
    """One mistake tried on one requirement: which example caught it, or why none can."""

    requirement: str
    place: Place
    change: str
    missing: str
    caught_by: str
    reason: str

    @property
    def is_caught(self) -> bool:
        """Whether an example notices it."""
        return bool(self.caught_by)

    @property
    def is_failure(self) -> bool:
        """Whether it survives and nothing says why."""
        return not self.caught_by and not self.reason


@dataclass(frozen=True, slots=True)
class Score:
    """How many mistakes were tried and caught; survivors with a reason are not caught."""

    caught: int
    tried: int

    @classmethod
    def of(cls, mutations: tuple[Mutation, ...]) -> Score:
        """The score of a pass."""
        return cls(sum(m.is_caught for m in mutations), len(mutations))

    @property
    def percent(self) -> float | None:
        """Caught of tried, rounded down to a tenth; None if nothing was tried."""
        return math.floor(1000 * self.caught / self.tried) / 10 if self.tried else None


def tried_mutations(rules: Rules) -> tuple[Mutation, ...]:
    """Tries every mistake on every requirement, by its own examples.

    Raises:
        RulesetError: If an example names what does not exist, or a listed survivor is none;
            `Problems` if for several reasons.
    """
    problems: list[RulesetError] = []
    found: list[Mutation] = []
    for rule, examples in prepared(rules):
        tried = tuple(_tried(rule, examples))
        problems += _wrongly_listed(rule, {m.change: m for m in tried})
        found += tried
    raise_all(problems)
    return tuple(found)


def _tried(rule: Rule, examples: tuple[Prepared, ...]) -> Iterator[Mutation]:
    reasons = {survivor.change: survivor.reason for survivor in rule.survivors}
    passing = [example for example in examples if example.tried().passed]
    for mutant in mutants(rule.clause):
        yield Mutation(
            rule.requirement.id,
            rule.place,
            mutant.change,
            mutant.missing,
            _caught_by(mutant, passing),
            reasons.get(mutant.change, ""),
        )


def _caught_by(mutant: Mutant, examples: list[Prepared]) -> str:
    """The first example that notices; one that fails without any mistake notices nothing."""
    caught = (e.example.name for e in examples if not e.tried(mutant.clause).passed)
    return next(caught, "")


def _wrongly_listed(rule: Rule, tried: Mapping[str, Mutation]) -> Iterator[RulesetError]:
    for survivor in rule.survivors:
        if survivor.change not in tried:
            yield UnknownChangeError(survivor, tried)
        elif tried[survivor.change].is_caught:
            yield NoSurvivorError(survivor, tried[survivor.change].caught_by)
