"""The check: rulesets over one record's view, giving findings with reasons."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, cast

from compliance.evidence import Seen
from compliance.rules.editions import STATEMENT, covered_from_to, in_force, lacking_statement
from compliance.rules.language.compile import Decider, Decision, decider
from compliance.rules.language.explain import facts
from compliance.rules.language.interval import Interval
from compliance.rules.language.nodes import Node
from compliance.rules.language.ruling import Ruling, Subject, ruling, subject_of
from compliance.rules.language.truth import Scene, Verdict, joined, truth
from compliance.rules.limits import LimitTables
from compliance.rules.outcome import (
    Checked,
    Fact,
    Finding,
    HoldsUp,
    Need,
    Offer,
    Outcome,
    Question,
    Working,
)
from compliance.rules.points import day_of, lies_ahead, passed_on, whole_day
from compliance.rules.quantities import QUANTITIES, owners_in, table_of
from compliance.rules.questions import question_of
from compliance.rules.rule import KNOWN, Head, Rule, Rules
from compliance.rules.shown import fault_of, lacking
from compliance.rules.supply import need
from compliance.rules.tests_read import tests_read
from compliance.values import Unknown

Entry = Mapping[str, Any]
Needs = tuple[tuple[str, str], ...]
Found = tuple[int, tuple[Entry, ...], Finding]
"""A rule's number, the subject's entries, the finding."""


class RecordWorld:
    """The world of one record: its view, the day, limits, quantities worked out once, evidence."""

    def __init__(
        self, job: Entry, today: date, tables: LimitTables, seen: Mapping[str, Seen]
    ) -> None:
        self.job = job
        self.today = today
        self.tables = tables
        self.seen = seen
        self._worked: dict[tuple[int, str], float | Unknown] = {}
        self.has_repeats = any("~earlier" in test for test in job.get("tests", ()))
        self._days: dict[tuple[int, str], date | None] = {}
        self._asked: dict[tuple[str, str | None], tuple[float | None, Needs]] = {}

    def limit(self, name: str, arguments: tuple[Any, ...], day: date) -> Interval | None:
        """The limit in force on a day."""
        return self.tables.value(name, arguments, day)

    def quantity(self, owner: str, name: str, entry: Entry) -> float | Unknown:
        """A worked-out value of an entry, worked out on first demand."""
        key = (id(entry), name)
        value = self._worked.get(key)
        if value is None:
            value = self._worked[key] = QUANTITIES[owner, name].value(entry, self)
        return value

    def worked(self, name: str, entry: Entry) -> float | Unknown | None:
        """The same by name alone, for quantities that use others."""
        owner = _OWNERS.get(name)
        return None if owner is None else self.quantity(owner, name, entry)

    def table(self, name: str, word: str | None) -> tuple[float | None, Needs]:
        """A limit as the input of a quantity, on the day the job was designed."""
        found = self._asked.get((name, word))
        if found is None:
            day = day_of("designed", None, self.job) or self.today
            found = self._asked[name, word] = table_of(day, self.tables, name, word)
        return found

    def evidence(self, kind: str, entry: Entry, before: str) -> Needs:
        """What is lacking for evidence of a kind to count for an entry."""
        return lacking(kind, entry, before, self.job, self.seen, self.today)

    def day(self, subject: Entry | None, by: str) -> date | None:
        """The date of a subject's part that picks an edition."""
        key = (id(subject), by)
        if key not in self._days:
            self._days[key] = day_of(by, subject, self.job)
        return self._days[key]


_OWNERS = {name: owner for owner, name in QUANTITIES}


@dataclass(frozen=True, slots=True)
class Checker:
    """The rules of a jurisdiction, ready to check any number of records."""

    rules: Rules
    decide: Decider
    heads: tuple[Head, ...]
    rests_on_more: frozenset[int]
    """The rules whose outcome rests on more than their condition: on how a test is known."""

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
        every = sorted(self.decide(world, world.day), key=lambda d: d[0])
        decided = [d for d in every if d[0] < len(self.rules.rules)]
        findings = [finding for _, _, finding in _findings(decided, self.rules, world)]
        used = dict.fromkeys(f.requirement.ruleset for f in findings)
        uncovered = dict.fromkeys(
            text
            for number, entries, _ in decided
            if (text := _uncovered(self.rules.rules[number], entries, world))
        )
        return Checked(
            job["reference"],
            job["title"],
            today,
            tuple(findings),
            tuple(_workings(world, self.rules)),
            tuple(used),
            tuple(uncovered),
            tuple(_questions(every[len(decided) :], self.rules, world)),
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
        subject, waits = None, dict[str, bool]()
        for index, (number, entries, outcome) in enumerate(found):
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
        return fast + [(n, es, f.outcome) for n, es, f in _findings(left, self.rules, world)]

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
_FOR_JUDGEMENT = Outcome.FOR_JUDGEMENT


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


def _findings(decided: Sequence[Decision], rules: Rules, world: RecordWorld) -> list[Found]:
    """Every finding once: where the record does not state which edition it follows, the
    same requirement of two editions gives one, which holds up what stops more."""
    found: list[Found] = []
    open_editions: dict[tuple[str, tuple[int, ...]], int] = {}
    for number, entries, outcome in decided:
        rule = rules.rules[number]
        finding = _finding(rule, entries, outcome, world)
        if finding is None:
            continue
        if any(need.path == STATEMENT for need in finding.needs):
            key = (rule.requirement.id, tuple(map(id, entries)))
            if key in open_editions:
                place = open_editions[key]
                found[place] = min(
                    found[place], (number, entries, finding), key=_by_what_stops_first
                )
                continue
            open_editions[key] = len(found)
        found.append((number, entries, finding))
    return found


def _by_what_stops_first(found: Found) -> int:
    return list(HoldsUp).index(found[2].requirement.holds_up)


def _finding(
    rule: Rule, entries: tuple[Entry, ...], outcome: Outcome | None, world: RecordWorld
) -> Finding | None:
    """One finding; None if the ruleset's edition does not count for the subject's part."""
    last = entries[-1] if entries else None
    day = world.day(last, rule.head.by)
    counts = in_force(rule.head, day or world.today, world.job.get(STATEMENT, ()))
    if counts is False:
        return None
    name = " / ".join(e["~name"] for e in entries) or "job"
    part = str(last.get("part", {}).get("~name", "")) if last is not None else ""
    if counts and outcome is Outcome.NOT_APPLICABLE:
        return Finding(rule.requirement, name, part, outcome)
    subject = subject_of(rule.clause, entries, Scene(world, day=day, before=rule.clause.before))
    is_gap = outcome in (Outcome.NOT_MET, Outcome.NOT_SHOWN)
    if counts is None and not subject.is_none:
        lacking = lacking_statement(rule.head, day or world.today)
        decided = Ruling(Outcome.NOT_SHOWN, joined((lacking, subject.needs)))
    elif outcome is None or is_gap or rule.known or rule.clause.ways:
        decided = ruling(rule.clause, subject)
    else:
        decided = Ruling(outcome)
    remark = "" if day else _edition_remark(rule)
    if decided.outcome is Outcome.NOT_APPLICABLE:
        return Finding(rule.requirement, name, part, decided.outcome)
    case = _Case(rule, subject, decided, name, part, remark, world)
    rests_on_more = rule.known or rule.clause.ways or world.has_repeats
    if decided.outcome is Outcome.MET and not rests_on_more:
        known = _known(case)
        return Finding(rule.requirement, name, part, Outcome.MET, known=known, remark=remark)
    return _settled(case)


def _uncovered(rule: Rule, entries: Sequence[Entry], world: RecordWorld) -> str:
    """Says so if no edition of a ruleset covers a subject: nothing of it was checked."""
    day = world.day(entries[-1] if entries else None, rule.head.by) or world.today
    if any(head.covers(day) for head in (rule.head, *rule.head.others)):
        return ""
    start, end = covered_from_to(rule.head)
    return (
        f"{rule.head.title}: not checked for what was {rule.head.by.replace('_', ' ')} on "
        f"{day.isoformat()}; {rule.head.id} applies from {start.isoformat()}"
        + (f" until {end.isoformat()}" if end else "")
    )


def _edition_remark(rule: Rule) -> str:
    return (
        f"The record does not say when this part was {rule.head.by.replace('_', ' ')}; the "
        "edition in force on the day of the check was used."
    )


@dataclass(frozen=True, slots=True)
class _Case:
    """A ruling on its way to a finding."""

    rule: Rule
    subject: Subject
    ruling: Ruling
    name: str
    part: str
    remark: str
    world: RecordWorld


def _settled(case: _Case) -> Finding:
    """What judgement, points of no return and departures make of a ruling."""
    rule, world = case.rule, case.world
    about = case.subject.entries[-1] if case.subject.entries else None
    outcome, needs = case.ruling.outcome, case.ruling.needs
    known = _known(case)
    if outcome is Outcome.MET and rule.known and KNOWN.index(known) > KNOWN.index(rule.known):
        outcome = Outcome.NOT_SHOWN
        needs = ((f"{case.name}", f"known only as {known}; it takes {rule.known} or better"),)
    remarks = [case.remark] if case.remark else []
    if outcome is Outcome.MET:
        failed, lacks = _failed_before(case)
        if failed:
            applies = _applies(case)
            is_open = applies.value is None  # a question that may not arise is not shown
            outcome = Outcome.NOT_SHOWN if is_open else Outcome.FOR_JUDGEMENT
            needs = applies.needs
            remarks.append(failed)
        elif lacks:
            outcome, needs = Outcome.NOT_SHOWN, lacks
    if outcome is Outcome.FOR_JUDGEMENT:
        outcome, said = _judged(case)
        remarks += [said] if said else [rule.question] if rule.question else []
        lacks = joined(
            world.evidence(kind, about or world.job, rule.clause.before)
            for kind in rule.clause.evidence
        )
        if outcome is Outcome.MET and lacks:
            outcome, needs = Outcome.NOT_SHOWN, lacks
    if outcome in (Outcome.NOT_SHOWN, Outcome.FOR_JUDGEMENT):
        if lies_ahead(rule.clause.before, about, world.job, world.today):
            outcome = Outcome.NOT_DUE
        elif rule.requirement.afterwards:
            remarks.append(rule.requirement.afterwards)
    way = rule.ways[case.ruling.way].title if case.ruling.way is not None else ""
    set_aside, fault = _set_aside(case) if outcome is Outcome.NOT_MET else ("", "")
    remarks += [fault] if fault else []
    offers = _offers(case) if outcome in (Outcome.NOT_SHOWN, Outcome.NOT_DUE) else ()
    return Finding(
        rule.requirement,
        case.name,
        case.part,
        outcome,
        _facts(case, outcome),
        _needs(case, _without_offers(case, needs) if offers else needs),
        offers,
        passed_on(rule.clause.before, about, world.job),
        known,
        way,
        set_aside,
        " ".join(remarks),
    )


def _needs(case: _Case, needs: Needs) -> tuple[Need, ...]:
    loops = case.rule.clause.loops
    entries = {name: e for (name, _), e in zip(loops, case.subject.entries, strict=False)}
    about = case.name if case.subject.entries else "the job"
    return tuple(need(path, reason, entries, about, case.world.job) for path, reason in needs)


def _offers(case: _Case) -> tuple[Offer, ...]:
    return tuple(
        Offer(way.title, _needs(case, needs))
        for way, needs in zip(case.rule.ways, case.ruling.offers, strict=False)
    )


def _without_offers(case: _Case, needs: Needs) -> Needs:
    """The needs without what only the other ways lack."""
    must = case.rule.clause.must
    own = truth(must, case.subject.scene).needs if must else ()
    others = {need for offered in case.ruling.offers for need in offered}
    return tuple(need for need in needs if need in own or need not in others)


def _facts(case: _Case, outcome: Outcome) -> tuple[Fact, ...]:
    must = case.rule.clause.must
    fails = outcome is Outcome.NOT_MET or case.ruling.would_fail
    if must is None or not fails or case.subject.needs:
        return ()
    found = facts(must, case.subject.scene)
    for way in case.rule.clause.ways if not found else ():
        found += facts(way, case.subject.scene)
    return found


# -- how it is known --------------------------------------------------------------------


def _deciding(case: _Case) -> Node | None:
    """What carries the ruling: the condition, or the other way by which it is met."""
    way = case.ruling.way
    return case.rule.clause.must if way is None else case.rule.clause.ways[way]


def _known(case: _Case) -> str:
    """The weakest way in which anything that the condition rests on is known."""
    must = _deciding(case)
    if must is None or case.subject.needs or case.subject.is_none:
        return ""
    rests_on = (*case.subject.entries, *tests_read(must, case.subject.scene))
    found = [entry["known"] for entry in rests_on if "known" in entry]
    return max(found, key=KNOWN.index, default="document")


def _applies(case: _Case) -> Verdict:
    condition = case.rule.clause.condition
    return truth(condition, case.subject.scene) if condition else Verdict(True)


def _failed_before(case: _Case) -> tuple[str, Needs]:
    """Says so if an earlier entry of a test would have failed, with no reason in between.

    Also what is lacking to tell, unless it is the earlier test that does not say it: a gap
    elsewhere in the record must not hide a failure.
    """
    must = _deciding(case)
    if must is None or not case.world.has_repeats:
        return "", ()
    lacks: list[Needs] = []
    for test in list(tests_read(must, case.subject.scene)):
        following = [*test.get("~earlier", ()), test]
        for before, after in itertools.pairwise(following):
            if "after" in after:
                continue
            found = _truth_with(must, before, test, case.subject.scene)
            if found.value is False:
                return (
                    f"An earlier {test['test']} test failed and nothing says what was done before "
                    "it was repeated; a competent person decides whether the later one stands."
                ), ()
            own = _stands_as(test)
            lacks.append(tuple(need for need in found.needs if own not in need[0].split(".")))
    return "", joined(lacks)


def _stands_as(test: Entry) -> str:
    """The name by which the latest test of a kind stands on its subject."""
    (name,) = [name for name, value in test["~subject"].items() if value is test]
    return str(name)


def _truth_with(must: Node, earlier: Entry, latest: Entry, scene: Scene) -> Verdict:
    """The condition on an earlier test, with nothing worked out from the latest."""
    old, subject = cast("RecordWorld", scene.world), latest["~subject"]
    name = _stands_as(latest)
    subject[name] = earlier
    try:
        world = RecordWorld(old.job, old.today, old.tables, old.seen)
        return truth(must, replace(scene, world=world))
    finally:
        subject[name] = latest


# -- what people decided ----------------------------------------------------------------


def _judged(case: _Case) -> tuple[Outcome, str]:
    """The latest decision, if there is one."""
    for said in reversed(_statements(case, "judgements")):
        return Outcome(said["outcome"]), f"Decided by {_signed(said)}: {said['grounds']}"
    return Outcome.FOR_JUDGEMENT, ""


def _set_aside(case: _Case) -> tuple[str, str]:
    """The latest departure in words; or why one that was written does not count."""
    world = case.world
    about = case.subject.entries[-1] if case.subject.entries else world.job
    fault = ""
    for said in reversed(_statements(case, "departures")):
        if said["role"] != case.rule.set_aside_by:
            continue
        seen = world.seen.get(said["evidence"]["~name"])
        wrong = fault_of(
            said["evidence"], about, case.rule.clause.before, world.job, seen, world.today
        )
        if not wrong:
            return f"Set aside by {_signed(said, said['role'])}: {said['grounds']}", ""
        fault = f"Not set aside: the evidence {said['evidence']['~name']} does not count, {wrong}."
    return "", fault


def _signed(said: Entry, role: str = "") -> str:
    by = said["by"].get("name", said["by"]["~name"])
    return f"{by}{f' ({role})' if role else ''} on {whole_day(said['on']).isoformat()}"


def _statements(case: _Case, collection: str) -> list[Any]:
    """What was stated about a finding up to the day of the check, the latest last."""
    found = [
        said
        for said in case.world.job.get(collection, ())
        if said["requirement"] == case.rule.requirement.id
        and said.get("subject", "job") == case.name
        and whole_day(said["on"]) <= case.world.today
    ]
    return sorted(found, key=lambda said: whole_day(said["on"]))


# -- workings ---------------------------------------------------------------------------


def _workings(world: RecordWorld, rules: Rules) -> Iterator[Working]:
    for owner, entry in owners_in(world.job):
        for quantity in QUANTITIES.values():
            if quantity.owner == owner and quantity.is_printed:
                working = quantity.working(entry, world, rules.titles)
                if working is not None:
                    yield working
