"""What templates receive: findings and workings as the words that people read.

Nothing is decided here. A template's front matter names the values it needs; the
classes below are what it can read of them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from compliance.documents.tables import shaped
from compliance.documents.tree import Table
from compliance.rules.outcome import (
    NO_PERMISSION,
    Checked,
    Fact,
    Finding,
    HoldsUp,
    Need,
    Outcome,
    Question,
    Source,
    Working,
)


@dataclass(frozen=True, slots=True)
class GapView:
    """One gap: what is the matter, what would settle it, who can, and why it is asked for."""

    title: str
    subject: str
    part: str
    outcome: str
    facts: tuple[Fact, ...]
    supply: tuple[str, ...]
    offers: tuple[str, ...]
    held_by: str
    holds_up: str
    before: str
    clause: str
    confidence: str
    why: str
    remedy: str
    afterwards: str
    bring: str
    remark: str
    danger: str
    set_aside: str
    ended: str


@dataclass(frozen=True, slots=True)
class GapSection:
    """The gaps that stop the same thing, under one heading."""

    title: str
    lead: str
    gaps: tuple[GapView, ...]


@dataclass(frozen=True, slots=True)
class QuestionView:
    """What a reader of the record would ask, beside the innocent cause it may have."""

    subject: str
    ask: str
    read: str
    innocent: str


@dataclass(frozen=True, slots=True)
class Counts:
    """How many findings there are of each outcome; counted, never inferred."""

    findings: int
    met: int
    not_met: int
    not_shown: int
    not_due: int
    not_applicable: int
    for_judgement: int
    gaps: int
    holding_up: int


@dataclass(frozen=True, slots=True)
class InputView:
    """One input of a calculation."""

    name: str
    value: str


@dataclass(frozen=True, slots=True)
class WorkingView:
    """One calculation, line by line."""

    title: str
    subject: str
    formula: str
    inputs: tuple[InputView, ...]
    result: str
    source: str
    confidence: str
    note: str


def gap_report_values(checked: Checked, job: Mapping[str, str]) -> dict[str, Any]:
    """The values of `gap-report.md.j2`; `job` says `address` and `firm`, empty if unsaid."""
    return {
        "reference": checked.reference,
        "title": checked.title,
        "address": job["address"],
        "firm": job["firm"],
        "on": day(checked.on),
        "counts": counts(checked),
        "no_permission": NO_PERMISSION,
        "sections": gap_sections(checked),
        "questions": tuple(map(question_view, checked.questions)),
        "rulesets": (*checked.rulesets, *checked.uncovered),
    }


def gap_report_tables(checked: Checked) -> dict[str, Table]:
    """The tables of `gap-report.md.j2`."""
    rows = [(outcome, str(checked.counts[outcome]), _MEANING[outcome]) for outcome in Outcome]
    return {"counts": shaped("counts", rows)}


def gap_sections(checked: Checked) -> tuple[GapSection, ...]:
    """Every gap once: dangers, then by what is held up, then what was set aside or has ended."""
    dangers = [gap for gap in checked.gaps if gap.is_danger]
    others = [gap for gap in checked.gaps if not gap.is_danger]
    sections = [("Danger", _DANGER, dangers)]
    for holds_up in HoldsUp:
        held = [g for g in others if g.requirement.holds_up is holds_up and g.is_open]
        sections.append((*_HELD_UP[holds_up], held))
    sections.append(("Set aside", _SET_ASIDE, [gap for gap in others if gap.set_aside]))
    sections.append(("Ended since", _ENDED, [gap for gap in others if gap.ended]))
    return tuple(
        GapSection(title, lead, tuple(map(gap_view, gaps)))
        for title, lead, gaps in sections
        if gaps
    )


def gap_view(finding: Finding) -> GapView:
    """A gap in words."""
    requirement = finding.requirement
    return GapView(
        title=requirement.title,
        subject=finding.subject,
        part=finding.part,
        outcome=finding.outcome,
        facts=finding.facts,
        supply=tuple(map(_supply, finding.needs)),
        offers=tuple(
            f"{offer.title}: {'; '.join(map(_supply, offer.needs))}" for offer in finding.offers
        ),
        held_by=requirement.held_by,
        holds_up=_STOPPED[requirement.holds_up],
        before=_BEFORE.get(requirement.before, requirement.before),
        clause=clause(requirement.source),
        confidence=confidence(requirement.source),
        why=requirement.why,
        remedy=requirement.remedy,
        afterwards=requirement.afterwards,
        bring=requirement.bring,
        remark=finding.remark,
        danger=requirement.danger if finding.is_danger else "",
        set_aside=finding.set_aside,
        ended=finding.ended,
    )


def question_view(question: Question) -> QuestionView:
    """A question in words; never a gap."""
    read = "; ".join(f"{what} {found}" for what, found in question.read)
    return QuestionView(question.subject, question.ask, read, question.innocent)


def counts(checked: Checked) -> Counts:
    """The counts of one check."""
    of = checked.counts
    return Counts(
        findings=len(checked.findings),
        met=of[Outcome.MET],
        not_met=of[Outcome.NOT_MET],
        not_shown=of[Outcome.NOT_SHOWN],
        not_due=of[Outcome.NOT_DUE],
        not_applicable=of[Outcome.NOT_APPLICABLE],
        for_judgement=of[Outcome.FOR_JUDGEMENT],
        gaps=len(checked.gaps),
        holding_up=sum(gap.holds_something_up for gap in checked.gaps),
    )


def working_view(working: Working) -> WorkingView:
    """A calculation in words."""
    return WorkingView(
        title=working.title,
        subject=working.subject,
        formula=working.formula,
        inputs=tuple(InputView(name, value) for name, value in working.inputs),
        result=working.result,
        source=clause(working.source),
        confidence=confidence(working.source),
        note=working.note,
    )


def clause(source: Source) -> str:
    """Which document, and where in it."""
    document = source.title or source.document
    return f"{document}, clause {source.clause}" if source.clause else document


def confidence(source: Source) -> str:
    """How the requirement or formula is known."""
    return _CONFIDENCE.get(source.confidence, source.confidence)


def day(on: date) -> str:
    """A day as it is read in any country: `25 November 2026`."""
    return f"{on.day} {_MONTHS[on.month - 1]} {on.year}"


def _supply(need: Need) -> str:
    return need.supply or f"{need.path}: {need.reason}"


_MONTHS = ["January", "February", "March", "April", "May", "June", "July", "August",
           "September", "October", "November", "December"]  # fmt: skip

_CONFIDENCE = {
    "opened": "read in the document itself",
    "secondary": "taken from a description of the document; look it up before relying on it",
    "memory": "from memory; look it up before relying on it",
    "common practice": "common practice, no source",
}

_BEFORE = {
    "start": "work starts",
    "cover": "it is covered over",
    "scaffold-down": "the scaffold comes down",
    "leaving": "anyone leaves the site",
    "use": "switching on",
    "handover": "handover",
}

_STOPPED = {
    HoldsUp.LEAVING: "leaving the site",
    HoldsUp.USE: "switching on",
    HoldsUp.CERTIFICATE: "the certificate",
    HoldsUp.HANDOVER: "handover",
    HoldsUp.PAYMENT: "payment",
    HoldsUp.NOTHING: "nothing; this is advice",
}

_DANGER = "Somebody could be hurt. Deal with these first, before any other line of this report."
_SET_ASIDE = (
    "These requirements are not met. Somebody entitled to do so set them aside, with the "
    "grounds given. They are shown so that everyone can judge for themselves."
)
_ENDED = (
    "A visit left the site so, and a later visit put it right. It stays in the record that it was "
    "so; it holds nothing up any more."
)
_HELD_UP = {
    HoldsUp.LEAVING: ("Leaving the site", "Nobody should leave the site before these are closed."),
    HoldsUp.USE: ("Switching on", "Nothing should be switched on before these are closed."),
    HoldsUp.CERTIFICATE: (
        "Certificate",
        "Nobody should sign a certificate before these are closed.",
    ),
    HoldsUp.HANDOVER: ("Handover", "These stand between the installation and its handover."),
    HoldsUp.PAYMENT: ("Payment", "These stand between the work and its payment."),
    HoldsUp.NOTHING: ("Advice", "These hold nothing up; they are worth putting right."),
}

_MEANING = {
    Outcome.MET: "The record shows that the requirement is met.",
    Outcome.NOT_MET: "The record shows that the requirement is not met.",
    Outcome.NOT_SHOWN: "The record lacks what would decide it.",
    Outcome.NOT_DUE: "The day by which it must be shown is still ahead.",
    Outcome.NOT_APPLICABLE: "The requirement does not concern this installation.",
    Outcome.FOR_JUDGEMENT: "Only a competent person can decide it, and nobody has yet.",
}
