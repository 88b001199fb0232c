"""From what the generated function decided to findings with their reasons."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, cast

from compliance.rules.editions import STATEMENT, lacking_statement
from compliance.rules.known import Case, KnownBy
from compliance.rules.language.compile import Decision
from compliance.rules.language.nodes import Node
from compliance.rules.language.ruling import Ruling, Subject, ruling, subject_of
from compliance.rules.language.scene import Scene, joined
from compliance.rules.outcome import Finding, HoldsUp, Outcome, made_finding
from compliance.rules.rule import Rule
from compliance.rules.settled import settled
from compliance.rules.world import About, RecordWorld, Standing

Entry = Mapping[str, Any]
Found = tuple[int, tuple[Entry, ...], Finding]
"""A rule's number, the subject's entries, the finding."""

# Looking a member up on its class costs more than deciding most rules.
_MET, _NOT_MET, _NOT_SHOWN = Outcome.MET, Outcome.NOT_MET, Outcome.NOT_SHOWN
_NONE = Outcome.NOT_APPLICABLE


class Findings:
    """The findings of one record, each once, and what no edition covers."""

    def __init__(self, rules: Sequence[Rule], known_by: KnownBy, world: RecordWorld) -> None:
        self.rules = rules
        self.known_by = known_by
        self.world = world
        self.found: list[Found] = []
        self.uncovered: dict[str, None] = {}
        self._subjects: dict[int, About] = {}
        self._open_editions: dict[tuple[str, tuple[int, ...]], int] = {}

    def take(self, decided: Sequence[Decision]) -> list[Found]:
        """Makes a finding of each decision that an edition in force makes."""
        subjects, rules, put = self._subjects, self.rules, self.found.append
        is_plain = not self.world.has_repeats
        for number, entries, outcome in decided:
            about = subjects.get(id(entries))
            if about is None:
                about = subjects[id(entries)] = About(entries, self.world)
            rule = rules[number]
            standing = about.standings.get(id(rule.head)) or about.standing(rule.head)
            if standing.uncovered:
                self.uncovered[standing.uncovered] = None
            if standing.counts is False:
                continue
            requirement, clause = rule.requirement, rule.clause
            if standing.counts and outcome is _NONE:
                finding = made_finding(requirement, about.name, about.part, _NONE)
            elif standing.counts and outcome is _MET and is_plain and not rule.known:
                must = cast("Node", clause.must)  # what has none is for judgement
                how = self.known_by.known(number, must, clause, about, standing.day)
                point = about.point(clause.before)[1] if clause.ways else None
                finding = made_finding(
                    requirement, about.name, about.part, _MET,
                    point=point, known=how, remark=standing.remark,
                )  # fmt: skip
            else:
                finding = self._slowly(number, about, standing, outcome)
                if standing.counts is None and self._is_second(number, entries, finding):
                    continue
            put((number, entries, finding))
        return self.found

    def _slowly(
        self, number: int, about: About, standing: Standing, outcome: Outcome | None
    ) -> Finding:
        rule = self.rules[number]
        clause = rule.clause
        subject = _subject(rule, about, standing)
        if standing.counts is None and not subject.is_none:
            lacking = lacking_statement(rule.head, standing.day or self.world.today)
            decided = Ruling(_NOT_SHOWN, joined((lacking, subject.needs)))
        elif outcome is None or outcome is _NOT_SHOWN:
            decided = ruling(clause, subject)
        else:
            decided = Ruling(outcome)
        if decided.outcome is _NONE:
            return made_finding(rule.requirement, about.name, about.part, _NONE)
        how = self._known(number, subject, decided.way, standing)
        return settled(Case(rule, about, subject, decided, standing.remark, how))

    def _known(self, number: int, subject: Subject, way: int | None, standing: Standing) -> str:
        clause = self.rules[number].clause
        must = clause.must if way is None else clause.ways[way]
        if must is None or subject.needs or subject.is_none:
            return ""
        about = self._subjects[id(subject.entries)]
        key = number if way is None else (number, way)
        return self.known_by.known(key, must, clause, about, standing.day)

    def _is_second(self, number: int, entries: tuple[Entry, ...], finding: Finding) -> bool:
        """Where the record does not state which edition it follows, the same requirement of
        two editions gives one finding, which holds up what stops more."""
        if not any(need.path == STATEMENT for need in finding.needs):
            return False
        key = (finding.requirement.id, tuple(map(id, entries)))
        place = self._open_editions.setdefault(key, len(self.found))
        if place == len(self.found):
            return False
        both = (self.found[place], (number, entries, finding))
        self.found[place] = min(both, key=_by_what_stops_first)
        return True


def _by_what_stops_first(found: Found) -> int:
    return list(HoldsUp).index(found[2].requirement.holds_up)


def _subject(rule: Rule, about: About, standing: Standing) -> Subject:
    clause, entries = rule.clause, about.entries
    if len(entries) == len(clause.loops):
        return Subject(entries, about.scene(clause, standing.day))
    scene = Scene(about.world, day=standing.day, before=clause.before)
    return subject_of(clause, entries, scene)
