"""The check: rulesets over one record's view, giving findings with reasons."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from operator import itemgetter
from typing import Any, cast

from compliance.evidence import Seen
from compliance.rules.ended import with_what_ended
from compliance.rules.findings import Findings
from compliance.rules.known import KnownBy
from compliance.rules.language.compile import Decider, Decision, decider
from compliance.rules.outcome import Checked, Outcome, Question, Working, Workings
from compliance.rules.points import lies_ahead, whole_day
from compliance.rules.quantities import QUANTITIES, owners_in
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
    known_by: KnownBy = field(default_factory=KnownBy)

    @classmethod
    def of(cls, rules: Rules, decide: Decider | None = None) -> Checker:
        """A checker with its generated function, made here unless it was kept."""
        return cls(rules, decide or decider(rules.clauses), *_told_apart(rules))

    def check(self, job: Entry, seen: Mapping[str, Seen], today: date) -> Checked:
        """Every finding of a record on a day.

        Args:
            job: The record's view.
            seen: What was found on opening each evidence file, by short name.
            today: The day of the check; there is no other clock.
        """
        world = RecordWorld(job, today, self.rules.tables, seen)
        every = sorted(self.decide(world, world.day), key=_NUMBER)
        count = bisect_left(every, len(self.rules.rules), key=_NUMBER)
        made = Findings(self.rules.rules, self.known_by, world)
        found = made.take(every[:count])
        findings = list(with_what_ended(found, self.rules.rules, job, today))
        used = dict.fromkeys(f.requirement.ruleset for f in findings)
        return Checked(
            job["reference"],
            job["title"],
            today,
            tuple(findings),
            Workings(lambda: _workings(world, self.rules)),
            tuple(used),
            tuple(made.uncovered),
            tuple(_questions(every[count:], self.rules, world)),
        )

    def outcomes(
        self, job: Entry, seen: Mapping[str, Seen], today: date
    ) -> list[tuple[int, tuple[Entry, ...], Outcome]]:
        """The outcome of every finding of `check`, without reasons: rule, entries, outcome.

        Takes what `check` takes; in the order in which they are decided, not rule by rule.
        """
        world = RecordWorld(job, today, self.rules.tables, seen)
        rules, count = self.rules.rules, len(self.rules.rules)
        slow = self._need_more(world)
        found, left = self.decide(world, world.day), list[Decision]()
        is_usual = not slow and not self.rules.questions
        subject, waits = None, dict[str, bool]()
        for index, (number, entries, outcome) in enumerate(found):
            if outcome is _MET and is_usual:
                continue
            if outcome is None or number in slow or number >= count:
                found[index] = (number, entries, None)
                left += [(number, entries, outcome)] if number < count else []
            elif outcome is _NOT_SHOWN or outcome is _FOR_JUDGEMENT:
                if entries is not subject:
                    subject, waits = entries, {}
                before = rules[number].clause.before
                if before not in waits:
                    waits[before] = lies_ahead(before, entries[-1] if entries else None, job, today)
                if waits[before]:
                    found[index] = (number, entries, _NOT_DUE)
        if not left and not self.rules.questions:
            return cast("list[tuple[int, tuple[Entry, ...], Outcome]]", found)
        fast = [(n, entries, outcome) for n, entries, outcome in found if outcome is not None]
        made = Findings(rules, self.known_by, world).take(left)
        return fast + [(n, es, f.outcome) for n, es, f in made]

    def _need_more(self, world: RecordWorld) -> frozenset[int]:
        """The rules of which this record's outcomes need the slow way."""
        rules = self.rules.rules
        if world.has_repeats or world.job.get("judgements"):
            return frozenset(range(len(rules)))
        spans = {
            by: _span_of_days(by, world.job, world.today) for by in {head.by for head in self.heads}
        }
        partly = {
            head
            for head in self.heads
            if head.others or not all(head.covers(day) for day in spans[head.by])
        }
        if not partly:
            return self.rests_on_more
        return self.rests_on_more | {n for n, rule in enumerate(rules) if rule.head in partly}


def _told_apart(rules: Rules) -> tuple[tuple[Head, ...], frozenset[int]]:
    """The rulesets' heads, and the rules whose outcome rests on how a test is known."""
    heads = tuple(dict.fromkeys(rule.head for rule in rules.rules))
    return heads, frozenset(n for n, rule in enumerate(rules.rules) if rule.known)


# Looking a member up on its class costs more than deciding most rules.
_NOT_SHOWN, _NOT_DUE = Outcome.NOT_SHOWN, Outcome.NOT_DUE
_MET, _FOR_JUDGEMENT = Outcome.MET, Outcome.FOR_JUDGEMENT


def _span_of_days(by: str, job: Entry, today: date) -> tuple[date, date]:
    """The earliest and the latest day that could pick an edition in a record."""
    days = [whole_day(d) for p in job.get("parts", ()) if isinstance(d := p.get(by), date)]
    return min((today, *days)), max((today, *days))


def _questions(decided: Sequence[Decision], rules: Rules, world: RecordWorld) -> Iterator[Question]:
    """What a reader would ask; questions are numbered after the rules."""
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
