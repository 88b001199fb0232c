"""From what the generated function decided to findings with their reasons."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from operator import itemgetter
from typing import Any

from compliance.rules.editions import STATEMENT, lacking_statement
from compliance.rules.known import known
from compliance.rules.language.compile import Decided
from compliance.rules.language.ruling import Clause, Ruling, Subject, ruling, subject_of
from compliance.rules.language.scene import Scene, joined
from compliance.rules.outcome import Finding, HoldsUp, Outcome
from compliance.rules.plans import Case, Plan, Plans
from compliance.rules.rule import Head
from compliance.rules.settled import plainly_failed, plainly_open, settled
from compliance.rules.world import About, RecordWorld, Standing

Entry = Mapping[str, Any]
Found = tuple[int, tuple[Entry, ...], Finding]
"""A rule's number, the subject's entries, the finding."""

# Looking a member up on its class costs more than deciding most rules.
_MET, _NOT_MET, _NOT_SHOWN = Outcome.MET, Outcome.NOT_MET, Outcome.NOT_SHOWN
_NOT_DUE, _NONE = Outcome.NOT_DUE, Outcome.NOT_APPLICABLE
_NUMBER = itemgetter(0)
_new = tuple.__new__


class Findings:
    """The findings of one record, each once, and what no edition covers."""

    def __init__(self, plans: Plans, world: RecordWorld) -> None:
        self.plans = plans
        self.world = world
        self.found: list[Found] = []
        self._uncovered: dict[str, int] = {}
        self._job = About((), world)
        self._open_editions: dict[tuple[str, tuple[int, ...]], int] = {}

    @property
    def uncovered(self) -> tuple[str, ...]:
        """What no edition covers, in the order of the rules."""
        return tuple(sorted(self._uncovered, key=self._uncovered.__getitem__))

    def take(self, decided: Iterable[Decided]) -> list[Found]:
        """Makes a finding of each decision that an edition in force makes, rule by rule.

        Args:
            decided: What was decided of each subject.
        """
        put, world = self.found.append, self.world
        has_repeats, departures = world.has_repeats, world.job.get("departures")
        for numbers, entries, outcomes in decided:
            about = About(entries, world) if entries else self._job
            name, part, found = about.name, about.part, about.found
            head: Head | None = None
            for plan, outcome in zip(self.plans.row(numbers), outcomes, strict=True):
                if plan.head is not head:
                    head = plan.head
                    standing = world.standing(head, about.last)
                    counts, remark = standing.counts, standing.remark
                    if standing.uncovered:
                        self._leave_out(standing.uncovered, plan.number)
                if outcome is _MET and plan.at_once and counts and not has_repeats:
                    how = found.get(plan.rests_on) or known(plan.rests[0], about, standing.day)
                    # A tuple's own constructor: half the cost of calling the class.
                    finding = _new(Finding, (
                        plan.requirement, name, part, _MET,
                        (), (), (), None, how, "", "", remark, "",
                    ))  # fmt: skip
                elif counts is False:
                    continue
                elif outcome is _NONE and counts:
                    finding = Finding(plan.requirement, name, part, _NONE)
                elif (
                    counts and (outcome is _NOT_SHOWN or outcome is _NOT_DUE)
                    and plan.open_plainly and len(entries) == len(plan.clause.loops)
                ):  # fmt: skip
                    finding = plainly_open(plan, about, standing)
                elif counts and outcome is _NOT_MET and not departures:
                    finding = plainly_failed(plan, about, standing)
                else:
                    finding = self._slowly(plan, about, standing, outcome)
                    if counts is None and self._is_second(plan.number, entries, finding):
                        continue
                put((plan.number, entries, finding))
        self.found.sort(key=_NUMBER)
        return self.found

    def _leave_out(self, uncovered: str, number: int) -> None:
        self._uncovered[uncovered] = min(self._uncovered.get(uncovered, number), number)

    def _slowly(
        self, plan: Plan, about: About, standing: Standing, outcome: Outcome | None
    ) -> Finding:
        subject = _subject(plan.clause, about, standing)
        if standing.counts is None and not subject.is_none:
            lacking = lacking_statement(plan.head, standing.day or self.world.today)
            decided = Ruling(_NOT_SHOWN, joined((lacking, subject.needs)))
        elif outcome is None or outcome is _NOT_SHOWN or outcome is _NOT_DUE:
            decided = ruling(plan.clause, subject)
        else:
            decided = Ruling(outcome)
        if decided.outcome is _NONE:
            return Finding(plan.requirement, about.name, about.part, _NONE)
        how = _known(plan, about, subject, decided.way, standing)
        return settled(Case(plan, about, subject, decided, standing.remark, how))

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


def _by_what_stops_first(found: Found) -> tuple[int, int]:
    return list(HoldsUp).index(found[2].requirement.holds_up), found[0]


def _subject(clause: Clause, about: About, standing: Standing) -> Subject:
    if len(about.entries) == len(clause.loops):
        return Subject(about.entries, about.scene(clause, standing.day))
    scene = Scene(about.world, day=standing.day, before=clause.before)
    return subject_of(clause, about.entries, scene)


def _known(plan: Plan, about: About, subject: Subject, way: int | None, standing: Standing) -> str:
    if not plan.rests or subject.needs or subject.is_none:
        return ""
    rests = plan.rests[0 if way is None else way + 1]
    return known(rests, about, standing.day)
