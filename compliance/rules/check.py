"""The check: rulesets over one record's view, giving findings with reasons."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from operator import itemgetter
from typing import Any, cast

from compliance.evidence import Seen
from compliance.rules.ended import with_what_ended
from compliance.rules.findings import Findings
from compliance.rules.language.compile import Decider, Decision, decider
from compliance.rules.outcome import Checked, Outcome, Question, Working, Workings
from compliance.rules.plans import Plans
from compliance.rules.points import whole_day
from compliance.rules.quantities import CALCULATIONS, QUANTITIES, owners_in
from compliance.rules.questions import question_of
from compliance.rules.rule import Head, Rules
from compliance.rules.world import RecordWorld

Entry = Mapping[str, Any]

_NUMBER = itemgetter(0)


@dataclass(frozen=True, slots=True)
class Checker:
    """The rules of a jurisdiction, ready to check any number of records."""

    rules: Rules
    decide: Decider
    heads: tuple[Head, ...]
    rests_on_more: frozenset[int]
    """The rules whose outcome rests on more than their condition: on how a test is known."""
    plans: Plans

    @classmethod
    def of(cls, rules: Rules, decide: Decider | None = None) -> Checker:
        """A checker with its generated function, made here unless it was kept."""
        made = decide or decider(rules.clauses, CALCULATIONS)
        return cls(rules, made, *_told_apart(rules), Plans(rules.rules))

    def check(self, job: Entry, seen: Mapping[str, Seen], today: date) -> Checked:
        """Every finding of a record on a day.

        Args:
            job: The record's view.
            seen: What was found on opening each evidence file, by short name.
            today: The day of the check; there is no other clock.
        """
        world = RecordWorld(job, today, self.rules.tables, seen)
        decided, asked = self._questions_apart(self.decide(world, world.day, by_way=None))
        made = Findings(self.plans, world)
        found = made.take(decided)
        findings = with_what_ended(found, self.rules.rules, job, today)
        numbers = dict.fromkeys(map(_NUMBER, found))
        used = dict.fromkeys([self.rules.rules[n].requirement.ruleset for n in numbers])
        return Checked(
            job["reference"],
            job["title"],
            today,
            tuple(findings),
            Workings(lambda: _workings(world, self.rules)),
            tuple(used),
            made.uncovered,
            tuple(_questions(asked, self.rules, world)),
        )

    def _questions_apart(self, decided: list[Decision]) -> tuple[list[Decision], list[Decision]]:
        """What is decided of rules, and of questions, which are numbered after the rules."""
        count = len(self.rules.rules)
        if not self.rules.questions:
            return decided, []
        asked = [one for one in decided if one[0] >= count]
        asked.sort(key=_NUMBER)
        return [one for one in decided if one[0] < count], asked

    def outcomes(
        self, job: Entry, seen: Mapping[str, Seen], today: date
    ) -> list[tuple[int, tuple[Entry, ...], Outcome]]:
        """The outcome of every finding of `check`, without reasons: rule, entries, outcome.

        Takes what `check` takes; in the order in which they are decided, not rule by rule.
        """
        world = RecordWorld(job, today, self.rules.tables, seen)
        rules = self.rules.rules
        slow, count = self._need_more(world), len(rules)
        undecided: list[int] = []
        found = self.decide(world, world.day, world.is_ahead, undecided.append)
        if self.rules.questions:
            found = [decided for decided in found if decided[0] < count]
        left = []
        if slow or undecided:
            left = [one for one in found if one[2] is None or one[0] in slow]
        if not left:
            world.let_go()
            return cast("list[tuple[int, tuple[Entry, ...], Outcome]]", found)
        fast = [
            (number, entries, outcome)
            for number, entries, outcome in found
            if outcome is not None and number not in slow
        ]
        # What was not due may have been open in two ways, and what is met may be so by
        # another way: the reference tells which.
        open_ = [
            (n, entries, None if o is _NOT_DUE or (o is _MET and rules[n].clause.ways) else o)
            for n, entries, o in left
        ]
        made = Findings(self.plans, world).take(open_)
        return fast + [(n, entries, finding.outcome) for n, entries, finding in made]

    def _need_more(self, world: RecordWorld) -> frozenset[int]:
        """The rules of which this record's outcomes need the slow way."""
        rules = self.rules.rules
        if world.has_repeats or world.job.get("judgements"):
            return frozenset(range(len(rules)))
        spans: dict[str, tuple[date, date]] = {}
        partly = []
        for head in self.heads:
            span = spans.get(head.by)
            if span is None:
                span = spans[head.by] = _span_of_days(head.by, world.job, world.today)
            if head.others or not (head.covers(span[0]) and head.covers(span[1])):
                partly.append(head)
        if not partly:
            return self.rests_on_more
        return self.rests_on_more | {n for n, rule in enumerate(rules) if rule.head in partly}


def _told_apart(rules: Rules) -> tuple[tuple[Head, ...], frozenset[int]]:
    """The rulesets' heads, and the rules whose outcome rests on how a test is known."""
    heads = tuple(dict.fromkeys(rule.head for rule in rules.rules))
    return heads, frozenset(n for n, rule in enumerate(rules.rules) if rule.known)


# Looking a member up on its class costs more than deciding most rules.
_MET, _NOT_DUE = Outcome.MET, Outcome.NOT_DUE


def _span_of_days(by: str, job: Entry, today: date) -> tuple[date, date]:
    """The earliest and the latest day that could pick an edition in a record."""
    days = [whole_day(d) for p in job.get("parts", ()) if isinstance(d := p.get(by), date)]
    return min((today, *days)), max((today, *days))


def _questions(decided: Sequence[Decision], rules: Rules, world: RecordWorld) -> Iterator[Question]:
    """What a reader would ask."""
    for number, entries, outcome in decided:
        asking = rules.questions[number - len(rules.rules)]
        day = world.day(entries[-1] if entries else None, asking.head.by)
        found = question_of(asking, entries, outcome, world, day)
        if found is not None:
            yield found


# -- workings ---------------------------------------------------------------------------


def _workings(world: RecordWorld, rules: Rules) -> Iterator[Working]:
    for owner, entry in owners_in(world.job):
        for quantity in QUANTITIES.values():
            if quantity.owner == owner and quantity.is_printed:
                working = quantity.working(entry, world, rules.titles)
                if working is not None:
                    yield working
