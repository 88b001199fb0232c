"""The check: rulesets over one record's view, giving findings with reasons."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, cast

from compliance.evidence import Seen
from compliance.rules.language.compile import Decision, decider
from compliance.rules.language.explain import facts
from compliance.rules.language.interval import Interval
from compliance.rules.language.kinds import Text
from compliance.rules.language.nodes import Each, Node, Path, parts_of
from compliance.rules.language.ruling import Clause, Ruling, Subject, ruling, subjects
from compliance.rules.language.truth import Scene, joined, truth, walk
from compliance.rules.language.truth import entries as entries_of
from compliance.rules.limits import LimitTables
from compliance.rules.outcome import Checked, Fact, Finding, Need, Outcome, Working
from compliance.rules.points import day_of, lies_ahead, whole_day
from compliance.rules.quantities import QUANTITIES, table_of
from compliance.rules.ruleset import KNOWN, Rule, Rules
from compliance.rules.shown import fault_of, lacking
from compliance.rules.supply import need
from compliance.values import Unknown

Entry = Mapping[str, Any]
Needs = tuple[tuple[str, str], ...]


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

    def limit(self, name: str, arguments: tuple[Any, ...], day: date) -> Interval | None:
        """The limit in force on a day."""
        return self.tables.value(name, arguments, day)

    def quantity(self, owner: str, name: str, entry: Entry) -> float | Unknown:
        """A worked-out value of an entry, worked out on first demand."""
        key = (id(entry), name)
        if key not in self._worked:
            self._worked[key] = QUANTITIES[owner, name].value(entry, self)
        return self._worked[key]

    def worked(self, name: str, entry: Entry) -> float | Unknown | None:
        """The same by name alone, for quantities that use others."""
        owner = _OWNERS.get(name)
        return None if owner is None else self.quantity(owner, name, entry)

    def table(self, name: str, word: str | None) -> tuple[float | None, Needs]:
        """A limit as the input of a quantity, on the day the job was designed."""
        return table_of(day_of("designed", None, self.job) or self.today, self.tables, name, word)

    def evidence(self, kind: str, entry: Entry, before: str) -> Needs:
        """What is lacking for evidence of a kind to count for an entry."""
        return lacking(kind, entry, before, self.job, self.seen, self.today)

    def day(self, subject: Entry | None, by: str) -> date | None:
        """The date of a subject's part that picks an edition."""
        return day_of(by, subject, self.job)


_OWNERS = {name: owner for owner, name in QUANTITIES}


@dataclass(frozen=True, slots=True)
class Checker:
    """The rules of a jurisdiction, ready to check any number of records."""

    rules: Rules
    decide: Callable[[Any, Any], list[Decision]]

    @classmethod
    def of(cls, rules: Rules) -> Checker:
        """A checker with its generated function."""
        return cls(rules, decider([rule.clause for rule in rules.rules]))

    def check(self, job: Entry, seen: Mapping[str, Seen], today: date) -> Checked:
        """Every finding of a record on a day.

        Args:
            job: The record's view.
            seen: What was found on opening each evidence file, by short name.
            today: The day of the check; there is no other clock.
        """
        world = RecordWorld(job, today, self.rules.tables, seen)
        decided = sorted(self.decide(world, world.day), key=lambda d: d[0])
        findings = [
            finding
            for number, entries, outcome in decided
            if (finding := _finding(self.rules.rules[number], entries, outcome, world))
        ]
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
        )


def _finding(
    rule: Rule, entries: Sequence[Entry], outcome: Outcome | None, world: RecordWorld
) -> Finding | None:
    """One finding; None if the ruleset's edition does not cover the subject's part."""
    last = entries[-1] if entries else None
    day = world.day(last, rule.head.by)
    if not rule.head.covers(day or world.today):
        return None
    subject = _subject(rule.clause, entries, Scene(world, day=day, before=rule.clause.before))
    is_gap = outcome in (Outcome.NOT_MET, Outcome.NOT_SHOWN)
    if outcome is None or is_gap or rule.known or rule.clause.ways:
        decided = ruling(rule.clause, subject)
    else:
        decided = Ruling(outcome)
    name = " / ".join(e["~name"] for e in entries) or "job"
    part = str(last.get("part", {}).get("~name", "")) if last is not None else ""
    remark = "" if day else _edition_remark(rule)
    if decided.outcome is Outcome.NOT_APPLICABLE:
        return Finding(rule.requirement, name, part, decided.outcome)
    return _settled(_Case(rule, subject, decided, name, part, remark, world))


def _uncovered(rule: Rule, entries: Sequence[Entry], world: RecordWorld) -> str:
    """Says so if no edition of a ruleset covers a subject: nothing of it was checked."""
    day = world.day(entries[-1] if entries else None, rule.head.by) or world.today
    if rule.head.covers(day):
        return ""
    return (
        f"{rule.head.title}: not checked for what was {rule.head.by.replace('_', ' ')} on "
        f"{day.isoformat()}; {rule.head.id} applies from {rule.head.start.isoformat()}"
        + (f" until {rule.head.end.isoformat()}" if rule.head.end else "")
    )


def _edition_remark(rule: Rule) -> str:
    return (
        f"The record does not say when this part was {rule.head.by.replace('_', ' ')}; the "
        "edition in force on the day of the check was used."
    )


def _subject(clause: Clause, entries: Sequence[Entry], scene: Scene) -> Subject:
    """The subject that a decision is about, found again for the reference evaluation."""
    for name, entry in zip((name for name, _ in clause.loops), entries, strict=False):
        scene = scene.with_name(name, entry, name)
    if len(entries) == len(clause.loops):
        return Subject(tuple(entries), scene)
    rest = replace(clause, loops=clause.loops[len(entries) :])
    found = next(iter(subjects(rest, scene)))
    return replace(found, entries=tuple(entries))


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
        failed = _failed_before(case)
        if failed:
            outcome = Outcome.FOR_JUDGEMENT
            remarks.append(failed)
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
        elif rule.requirement.afterwards and needs:
            remarks.append(rule.requirement.afterwards)
    way = rule.ways[case.ruling.way].title if case.ruling.way is not None else ""
    set_aside, fault = _set_aside(case) if outcome is Outcome.NOT_MET else ("", "")
    remarks += [fault] if fault else []
    return Finding(
        rule.requirement,
        case.name,
        case.part,
        outcome,
        _facts(case, outcome),
        _needs(case, needs),
        known,
        way,
        set_aside,
        " ".join(remarks),
    )


def _needs(case: _Case, needs: Needs) -> tuple[Need, ...]:
    loops = case.rule.clause.loops
    names = {name: e["~name"] for (name, _), e in zip(loops, case.subject.entries, strict=False)}
    about = case.name if case.subject.entries else "the job"
    return tuple(need(path, reason, names, about) for path, reason in needs)


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
    found = [e["known"] for e in _tests(must, case.subject.scene)]
    return max(found, key=KNOWN.index, default="document")


def _tests(node: Node, scene: Scene) -> Iterator[Entry]:
    """The tests that a condition reads, itself or by a worked-out value."""
    if isinstance(node, Path):
        yield from _tests_on(node, scene)
        return
    if not isinstance(node, Each):
        for part in parts_of(node):
            yield from _tests(part, scene)
        return
    items, _ = walk(node.source, scene)
    for inner, let_in in entries_of(node, items or [], scene):
        for read in (node.where, node.body) if let_in.value is not False else ():
            if read is not None:
                yield from _tests(read, inner)


def _tests_on(path: Path, scene: Scene) -> Iterator[Entry]:
    steps: list[tuple[str, ...]] = [path.steps[:end] for end in range(1, len(path.steps) + 1)]
    if path.is_quantity:
        inputs = QUANTITIES[path.owner, path.steps[-1]].inputs.values()
        behind = (i.path.split(".")[1] for i in inputs if i.path.startswith("."))
        steps += [(*path.steps[:-1], step) for step in behind]
    for some in dict.fromkeys(steps):
        found, _ = walk(replace(path, steps=some, kind=Text()), scene)
        if isinstance(found, dict) and "~subject" in found:
            yield found


def _failed_before(case: _Case) -> str:
    """Says so if an earlier entry of a test would have failed, with no reason in between."""
    must = _deciding(case)
    if must is None:
        return ""
    for test in list(_tests(must, case.subject.scene)):
        following = [*test.get("~earlier", ()), test]
        for before, after in itertools.pairwise(following):
            if "after" not in after and _fails_with(must, before, test, case.subject.scene):
                return (
                    f"An earlier {test['test']} test failed and nothing says what was done before "
                    "it was repeated; a competent person decides whether the later one stands."
                )
    return ""


def _fails_with(must: Node, earlier: Entry, latest: Entry, scene: Scene) -> bool:
    """Whether the condition fails on an earlier test, with nothing worked out from the latest."""
    old, subject = cast("RecordWorld", scene.world), latest["~subject"]
    (name,) = [n for n, v in subject.items() if v is latest]
    subject[name] = earlier
    try:
        world = RecordWorld(old.job, old.today, old.tables, old.seen)
        return truth(must, replace(scene, world=world)).value is False
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
    titles = {name: document.title for name, document in rules.register.items()}
    for collection, owner in (
        ("strings", "string"),
        ("circuits", "circuit"),
        ("modules", "module"),
    ):
        for entry in world.job.get(collection, ()):
            for quantity in QUANTITIES.values():
                if quantity.owner == owner and quantity.is_printed:
                    working = quantity.working(entry, world, titles)
                    if working is not None:
                        yield working
