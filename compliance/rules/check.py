"""The check: rulesets over one record's view, giving findings with reasons."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from operator import itemgetter
from typing import Any, cast

from compliance.evidence import Seen
from compliance.rules.ended import with_what_ended
from compliance.rules.findings import Findings
from compliance.rules.language.calculation import Shortcuts
from compliance.rules.language.compile import Decided, Decider, Decision, decider, one_by_one
from compliance.rules.outcome import Checked, Outcome, Question, Working, Workings
from compliance.rules.plans import Plans
from compliance.rules.points import FIELDS, whole_day
from compliance.rules.quantities import CALCULATIONS, QUANTITIES, owners_in
from compliance.rules.questions import question_of
from compliance.rules.rule import Head, Rules
from compliance.rules.world import RecordWorld

Entry = Mapping[str, Any]

Settled = tuple[tuple[int, ...], tuple[Entry, ...], tuple[Outcome, ...]]
"""Numbers of rules, the entries of their subject, their outcomes."""

_NUMBER = itemgetter(0)


@dataclass(frozen=True, slots=True)
class Checker:
    """The rules of a jurisdiction, ready to check any number of records."""

    rules: Rules
    decide: Decider
    heads: tuple[tuple[Head, frozenset[int]], ...]
    """Every ruleset's head, with the numbers of its rules."""
    since: tuple[tuple[str, date], ...]
    """The dates that pick editions, each with the day from which on all of them are in force;
    nothing if some edition ends."""
    rests_on_more: frozenset[int]
    """The rules whose outcome rests on more than their condition: on how a test is known."""
    plans: Plans

    @classmethod
    def of(cls, rules: Rules, decide: Decider | None = None) -> Checker:
        """A checker with its generated function, made here unless it was kept."""
        made = decide or decider(rules.clauses, shortcuts())
        return cls(rules, made, *_told_apart(rules), Plans(rules.rules))

    def check(self, job: Entry, seen: Mapping[str, Seen], today: date) -> Checked:
        """Every finding of a record on a day.

        Args:
            job: The record's view.
            seen: What was found on opening each evidence file, by short name.
            today: The day of the check; there is no other clock.
        """
        world = RecordWorld(job, today, self.rules.tables, seen)
        decided = self.decide(world, world.day, world.is_ahead, reasons=True)
        decided, asked = self._questions_apart(decided)
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

    def _questions_apart(self, decided: list[Decided]) -> tuple[list[Decided], list[Decision]]:
        """What is decided of rules, and of questions, which are numbered after the rules."""
        if not self.rules.questions:
            return decided, []
        count, of_rules, asked = len(self.rules.rules), [], []
        for one in decided:
            numbers, entries, outcomes = one
            if numbers[-1] >= count:
                asked += [d for d in one_by_one([one]) if d[0] >= count]
                last = bisect_left(numbers, count)
                one = numbers[:last], entries, outcomes[:last]
            of_rules.append(one)
        asked.sort(key=_NUMBER)
        return of_rules, asked

    def outcomes(self, job: Entry, seen: Mapping[str, Seen], today: date) -> list[Settled]:
        """The outcome of every finding of `check`, without reasons, subject by subject.

        Takes what `check` takes.
        """
        world = RecordWorld(job, today, self.rules.tables, seen)
        slow = self._need_more(world)
        undecided: list[int] = []
        decided = self.decide(world, world.day, world.is_ahead, undecided.append)
        decided, _ = self._questions_apart(decided)
        if not slow and not undecided:
            world.let_go()
            return cast("list[Settled]", decided)
        return list(self._settled(decided, slow, world))

    def _settled(
        self, decided: list[Decided], slow: frozenset[int], world: RecordWorld
    ) -> Iterator[Settled]:
        """What is decided at once, then what takes the slow way."""
        left: list[Decided] = []
        for numbers, entries, outcomes in decided:
            if None not in outcomes and slow.isdisjoint(numbers):
                yield numbers, entries, cast("tuple[Outcome, ...]", outcomes)
                continue
            for number, outcome in zip(numbers, outcomes, strict=True):
                if outcome is not None and number not in slow:
                    yield (number,), entries, (outcome,)
                    continue
                # What is met may be so by another way: the reference tells by which.
                is_open = outcome is _MET and self.rules.rules[number].clause.ways
                left.append(((number,), entries, (None if is_open else outcome,)))
        for number, entries, finding in Findings(self.plans, world).take(left):
            yield (number,), entries, (finding.outcome,)

    def _need_more(self, world: RecordWorld) -> frozenset[int]:
        """The rules of which this record's outcomes need the slow way."""
        if world.has_repeats or world.job.get("judgements"):
            return frozenset(range(len(self.rules.rules)))
        if self.since and _is_all_since(self.since, world):
            return self.rests_on_more
        spans: dict[str, tuple[date, date]] = {}
        more = self.rests_on_more
        for head, numbers in self.heads:
            span = spans.get(head.by)
            if span is None:
                span = spans[head.by] = _span_of_days(head.by, world)
            if head.others or not (head.covers(span[0]) and head.covers(span[1])):
                more |= numbers
        return more


def shortcuts() -> Shortcuts:
    """What the generated function may find out of a record itself."""
    from compliance.rules.vocabulary import fields_of_types

    return Shortcuts(
        CALCULATIONS,
        are_stated=False,
        tables_by="designed",
        part="part",
        points=FIELDS,
        fields=fields_of_types(frozenset(QUANTITIES)),
    )


def _told_apart(
    rules: Rules,
) -> tuple[tuple[tuple[Head, frozenset[int]], ...], tuple[tuple[str, date], ...], frozenset[int]]:
    """What `Checker` knows of its rules: `heads`, `since` and `rests_on_more`."""
    of_head: dict[Head, list[int]] = {}
    for number, rule in enumerate(rules.rules):
        of_head.setdefault(rule.head, []).append(number)
    since: dict[str, date] = {}
    for head in of_head:
        since[head.by] = max(since.get(head.by, head.start), head.start)
    is_endless = not any(head.others or head.end for head in of_head)
    return (
        tuple((head, frozenset(numbers)) for head, numbers in of_head.items()),
        tuple(since.items()) if is_endless else (),
        frozenset(number for number, rule in enumerate(rules.rules) if rule.known),
    )


# Looking a member up on its class costs more than deciding most rules.
_MET = Outcome.MET


def _is_all_since(since: tuple[tuple[str, date], ...], world: RecordWorld) -> bool:
    """Whether no plain day could pick an edition that is not in force; the usual case, quickly."""
    for by, start in since:
        if world.today < start:
            return False
        for part in world.job.get("parts", ()):
            day = part.get(by)
            if day is not None and (day.__class__ is not date or day < start):
                return False
    return True


def _span_of_days(by: str, world: RecordWorld) -> tuple[date, date]:
    """The earliest and the latest day that could pick an edition in a record."""
    first = last = world.today
    for part in world.job.get("parts", ()):
        day = part.get(by)
        if day.__class__ is not date:
            if not isinstance(day, date):
                continue
            day = whole_day(day)
        if day < first:
            first = day
        elif day > last:
            last = day
    return first, last


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
