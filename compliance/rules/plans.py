"""Rules as their findings are made by the thousand: what is found out of each only once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from compliance.rules.known import KnownBy, Rests
from compliance.rules.language.nodes import Node
from compliance.rules.language.ruling import Clause, Ruling, Subject
from compliance.rules.outcome import Requirement
from compliance.rules.reads_like import Reads
from compliance.rules.rule import Head, Rule
from compliance.rules.world import About


@dataclass(slots=True)
class Plan:
    """One rule, ready to make findings of.

    `rests` has what the condition rests on, then what each other way does; nothing for what
    is for judgement. `rests_on` is the number of the first. What is met `at_once` is so by the
    condition alone. What is `open_plainly` asks for no evidence, knows no other way and tells
    nothing once its point has passed.
    """

    number: int
    rule: Rule
    head: Head
    requirement: Requirement
    clause: Clause
    rests: tuple[Rests, ...]
    rests_on: int
    reads: Reads
    at_once: bool
    open_plainly: bool


class Plans:
    """The plans of rules by number, each made when a record first needs it."""

    def __init__(self, rules: Sequence[Rule]) -> None:
        self._rules = rules
        self._known_by = KnownBy()
        self._made: dict[int, Plan] = {}
        self._rows: dict[tuple[int, ...], tuple[Plan, ...]] = {}

    def row(self, numbers: tuple[int, ...]) -> tuple[Plan, ...]:
        """The plans of rules that are decided together."""
        found = self._rows.get(numbers)
        if found is None:
            found = self._rows[numbers] = tuple(map(self.of, numbers))
        return found

    def of(self, number: int) -> Plan:
        """The plan of a rule."""
        found = self._made.get(number)
        if found is None:
            found = self._made[number] = self._new(number)
        return found

    def _new(self, number: int) -> Plan:
        rule = self._rules[number]
        clause = rule.clause
        must = clause.must
        conditions = () if must is None else (must, *clause.ways)
        rests = tuple(self._known_by.rests(one, clause) for one in conditions)
        return Plan(
            number,
            rule,
            rule.head,
            rule.requirement,
            clause,
            rests,
            rests[0].number if rests else -1,
            Reads.of(must),
            at_once=must is not None and not rule.known,
            open_plainly=must is not None
            and not (clause.ways or clause.evidence or rule.requirement.afterwards),
        )


@dataclass(slots=True)
class Case:
    """A ruling on its way to a finding."""

    plan: Plan
    about: About
    subject: Subject
    ruling: Ruling
    remark: str
    known: str

    @property
    def rule(self) -> Rule:
        """The rule that was decided."""
        return self.plan.rule


def deciding(case: Case) -> Node | None:
    """What carries the ruling: the condition, or the other way by which it is met."""
    way, clause = case.ruling.way, case.plan.clause
    return clause.must if way is None else clause.ways[way]
