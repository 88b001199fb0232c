"""What a check gives, as plain frozen data: findings, gaps, workings, counts.

Knows neither the language nor the record. `documents`, `cli` and `pack` read these.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date
from enum import StrEnum
from typing import Any, NamedTuple, overload


class Outcome(StrEnum):
    """The six outcomes of one requirement for one subject; the value is what people read."""

    MET = "met"
    NOT_MET = "not met"
    NOT_SHOWN = "not shown"
    NOT_DUE = "not due"
    NOT_APPLICABLE = "not applicable"
    FOR_JUDGEMENT = "for judgement"


class HoldsUp(StrEnum):
    """What a gap stops, in the order in which people must hear it."""

    LEAVING = "leaving"
    USE = "use"
    CERTIFICATE = "certificate"
    HANDOVER = "handover"
    PAYMENT = "payment"
    NOTHING = "nothing"


STOPS = {
    HoldsUp.LEAVING: "leaving the site",
    HoldsUp.USE: "switching on",
    HoldsUp.CERTIFICATE: "the certificate",
    HoldsUp.HANDOVER: "handover",
    HoldsUp.PAYMENT: "payment",
    HoldsUp.NOTHING: "nothing; this is advice",
}
"""What a gap holds up, in the words of screens and documents."""


class Need(NamedTuple):
    """One thing that would settle an unknown: the path as the rule writes it, and why it lacks.

    `supply` is the sentence for the person who can give it.
    """

    path: str
    reason: str
    supply: str = ""


class Offer(NamedTuple):
    """Another way that the standard permits, and what it lacks to decide the finding."""

    title: str
    needs: tuple[Need, ...]


class Fact(NamedTuple):
    """One comparison that decided a finding: what was found, what would be right, the margin."""

    what: str
    found: str
    right: str
    margin: str = ""


@dataclass(frozen=True, slots=True)
class Source:
    """Where a requirement or limit comes from and how sure we are of it."""

    document: str
    clause: str
    confidence: str
    title: str = ""


@dataclass(frozen=True, slots=True)
class Working:
    """One calculation as lines a practitioner can follow."""

    quantity: str
    title: str
    subject: str
    formula: str
    inputs: tuple[tuple[str, str], ...]
    result: str
    source: Source
    note: str = ""


@dataclass(frozen=True, slots=True)
class Requirement:
    """What people read of a requirement, whatever it was applied to."""

    id: str
    title: str
    ruleset: str
    before: str
    holds_up: HoldsUp
    held_by: str
    source: Source
    why: str
    remedy: str
    danger: str = ""
    afterwards: str = ""
    bring: str = ""


class Finding(NamedTuple):
    """One requirement applied to one subject; a tuple, since a check makes them by the thousand."""

    requirement: Requirement
    subject: str
    part: str
    outcome: Outcome
    facts: tuple[Fact, ...] = ()
    needs: tuple[Need, ...] = ()
    """What would settle it; where `offers` are made, what the first way and all evidence lack."""
    offers: tuple[Offer, ...] = ()
    point: date | None = None
    """The day on which the point of no return was or will be passed, if it is known; none of
    what is met."""
    known: str = ""
    way: str = ""
    set_aside: str = ""
    remark: str = ""
    ended: str = ""
    """By which later visit what is not met came to an end; the finding itself stays."""

    @property
    def is_gap(self) -> bool:
        """Whether the finding is not met, not shown or awaits judgement."""
        return self.outcome in (Outcome.NOT_MET, Outcome.NOT_SHOWN, Outcome.FOR_JUDGEMENT)

    @property
    def is_danger(self) -> bool:
        """Whether the finding must be printed before everything else."""
        return self.was_danger and not self.ended

    @property
    def was_danger(self) -> bool:
        """Whether it is a danger, or was one until it ended."""
        return self.outcome is Outcome.NOT_MET and bool(self.requirement.danger)

    @property
    def is_open(self) -> bool:
        """Whether it is a gap that was neither set aside nor has ended since."""
        return self.is_gap and not self.set_aside and not self.ended

    @property
    def holds_something_up(self) -> bool:
        """Whether the gap stops anything today; what was set aside or ended stops nothing."""
        stops = self.is_danger or self.requirement.holds_up is not HoldsUp.NOTHING
        return self.is_open and stops


@dataclass(frozen=True, slots=True)
class Question:
    """What a reader of the record would ask of one subject; never a finding, never counted.

    `read` is what in the record makes one ask, `innocent` the innocent cause that it may have.
    """

    id: str
    ruleset: str
    subject: str
    part: str
    ask: str
    innocent: str
    read: tuple[tuple[str, str], ...] = ()


class Workings(Sequence[Working]):
    """The calculations of a check, made when somebody first reads them; then plain data."""

    __slots__ = ("_made", "_make")

    def __init__(self, make: Callable[[], Iterable[Working]]) -> None:
        self._make: Callable[[], Iterable[Working]] | None = make
        self._made: tuple[Working, ...] = ()

    @property
    def made(self) -> tuple[Working, ...]:
        """All of them."""
        if self._make is not None:
            self._made, self._make = tuple(self._make()), None
        return self._made

    @overload
    def __getitem__(self, index: int) -> Working: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[Working]: ...
    def __getitem__(self, index: int | slice) -> Working | Sequence[Working]:
        return self.made[index]

    def __len__(self) -> int:
        return len(self.made)

    def __eq__(self, other: object) -> bool:
        return self.made == (other.made if isinstance(other, Workings) else other)

    def __hash__(self) -> int:
        return hash(self.made)

    def __repr__(self) -> str:
        return repr(self.made)

    def __reduce__(self) -> tuple[Any, ...]:
        return tuple, (self.made,)


@dataclass(frozen=True, slots=True)
class Checked:
    """Everything one check of one record gave."""

    reference: str
    title: str
    on: date
    findings: tuple[Finding, ...]
    workings: Sequence[Working]
    rulesets: tuple[str, ...]
    uncovered: tuple[str, ...] = ()
    """What no edition of a ruleset covers, so that nothing of it was checked."""
    questions: tuple[Question, ...] = ()

    @property
    def counts(self) -> Mapping[Outcome, int]:
        """How many findings have each outcome; counted, never inferred."""
        counts = dict.fromkeys(Outcome, 0)
        for finding in self.findings:
            counts[finding.outcome] += 1
        return counts

    @property
    def gaps(self) -> tuple[Finding, ...]:
        """The findings that are gaps, danger first, then by what they hold up."""
        order = list(HoldsUp)
        gaps = [f for f in self.findings if f.is_gap]
        gaps.sort(key=lambda f: (not f.is_danger, order.index(f.requirement.holds_up)))
        return tuple(gaps)

    def only(self, requirement: str) -> Checked:
        """The same check, with the findings of one requirement and no questions."""
        kept = tuple(f for f in self.findings if f.requirement.id == requirement)
        return replace(self, findings=kept, questions=())

    @property
    def is_held_up(self) -> bool:
        """Whether any gap holds anything up, or something was not checked at all."""
        return bool(self.uncovered) or any(f.holds_something_up for f in self.findings)


NO_PERMISSION = "This summary is no permission to energise. A competent person decides and signs."


def findings_data(checked: Checked) -> dict[str, Any]:
    """The findings as plain data, as `--format json` and a pack carry them.

    `compliance/rules/findings.schema.json` says what it holds.
    """
    return {
        "format": 1,
        "notice": NO_PERMISSION,
        "reference": checked.reference,
        "title": checked.title,
        "on": checked.on.isoformat(),
        "held_up": checked.is_held_up,
        "counts": {outcome.value: count for outcome, count in checked.counts.items()},
        "rulesets": list(checked.rulesets),
        "uncovered": list(checked.uncovered),
        "findings": [_finding_data(finding) for finding in checked.findings],
        "questions": [asdict(question) for question in checked.questions],
        "workings": [asdict(working) for working in checked.workings],
    }


def _finding_data(finding: Finding) -> dict[str, Any]:
    requirement = finding.requirement
    offers = [{**o._asdict(), "needs": [n._asdict() for n in o.needs]} for o in finding.offers]
    data = finding._asdict() | {
        "facts": [fact._asdict() for fact in finding.facts],
        "needs": [need._asdict() for need in finding.needs],
        "offers": offers,
        "point": finding.point.isoformat() if finding.point else "",
    }
    del data["requirement"]
    return {
        "requirement": requirement.id,
        "title": requirement.title,
        "ruleset": requirement.ruleset,
        "source": asdict(requirement.source),
        "before": requirement.before,
        "holds_up": requirement.holds_up,
        "held_by": requirement.held_by,
        "danger": requirement.danger if finding.is_danger else "",
        **data,
    }
