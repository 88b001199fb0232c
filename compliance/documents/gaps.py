"""What the gap report receives: every gap once, by what it holds up, who holds it and what asks.

Nothing is decided here. `cli/markdown.py` prints the same sections.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from compliance.documents.data import clause, confidence, day
from compliance.documents.tables import shaped
from compliance.documents.tree import Table
from compliance.rules.outcome import (
    NO_PERMISSION,
    STOPS,
    Checked,
    Fact,
    Finding,
    HoldsUp,
    Need,
    Outcome,
    Question,
)
from compliance.rules.points import PRINTED
from compliance.rules.supply_list import supply_list


@dataclass(frozen=True, slots=True)
class GapView:
    """One gap: what is the matter, what would settle it, who can, and why it is asked for."""

    title: str
    subject: str
    part: str
    outcome: str
    facts: tuple[Fact, ...]
    supply: tuple[str, ...]
    lacks: str
    """All that is to be supplied, on one line."""
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
class AskedView:
    """One requirement, and every gap that it leaves; `of` carries what all of them share."""

    of: GapView
    gaps: tuple[GapView, ...]
    before: str
    """By when it is needed, if that is not what it holds up anyway."""


@dataclass(frozen=True, slots=True)
class HolderView:
    """What one holder can close."""

    name: str
    asked: tuple[AskedView, ...]


@dataclass(frozen=True, slots=True)
class GapSection:
    """The gaps that stop the same thing, under one heading."""

    title: str
    lead: str
    holders: tuple[HolderView, ...]

    @property
    def gaps(self) -> tuple[GapView, ...]:
        """Every gap of the section, in the order in which they are printed."""
        return tuple(gap for by in self.holders for asked in by.asked for gap in asked.gaps)


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
    return {
        "counts": shaped("counts", rows),
        "open-gaps": shaped("open-gaps", _open_rows(checked)),
        "supply": shaped("supply", _supply_rows(checked)),
    }


def _open_rows(checked: Checked) -> Iterator[tuple[str, str, str, str]]:
    """How many gaps there are under each heading and holder, in the order of the report."""
    for section in gap_sections(checked):
        for holder in section.holders:
            outcomes = [gap.outcome for asked in holder.asked for gap in asked.gaps]
            wrong = outcomes.count(Outcome.NOT_MET)
            yield section.title, holder.name, str(wrong), str(len(outcomes) - wrong)


def _supply_rows(checked: Checked) -> Iterator[tuple[str, str, str]]:
    """What to supply first: the shortest list of things that can close the most gaps."""
    for step in supply_list(checked.gaps):
        yield "; ".join(step.things), ", ".join(step.held_by), str(step.closes)


def gap_sections(checked: Checked) -> tuple[GapSection, ...]:
    """Every gap once: dangers, then by what is held up, then what was set aside or has ended."""
    dangers = [gap for gap in checked.gaps if gap.is_danger]
    others = [gap for gap in checked.gaps if not gap.is_danger]
    sections = [("Danger", _DANGER, dangers)]
    for holds_up in HoldsUp:
        held = [g for g in others if g.requirement.holds_up is holds_up and g.is_open]
        sections.append((_titled(holds_up), _LEADS[holds_up], held))
    sections.append(("Set aside", _SET_ASIDE, [gap for gap in others if gap.set_aside]))
    sections.append(("Ended since", _ENDED, [gap for gap in others if gap.ended]))
    return tuple(_section(*section) for section in sections if section[2])


def _section(title: str, lead: str, gaps: Iterable[Finding]) -> GapSection:
    """Within it by who holds what is lacking, and by requirement, each in its first's place."""
    by: dict[str, dict[str, list[GapView]]] = {}
    for gap in gaps:
        asked = by.setdefault(gap.requirement.held_by, {})
        asked.setdefault(gap.requirement.id, []).append(gap_view(gap))
    holders = tuple(
        HolderView(holder, tuple(_asked(gaps) for gaps in asked.values()))
        for holder, asked in by.items()
    )
    return GapSection(title, lead, holders)


def _asked(gaps: Sequence[GapView]) -> AskedView:
    first = gaps[0]
    return AskedView(first, tuple(gaps), "" if first.before == first.holds_up else first.before)


def _titled(holds_up: HoldsUp) -> str:
    if holds_up is HoldsUp.NOTHING:
        return "Advice"
    return STOPS[holds_up].removeprefix("the ").capitalize()


def alike(gaps: Iterable[Finding]) -> Iterator[tuple[GapView, list[str]]]:
    """The gaps of one requirement and outcome as one, with the subjects of all of them."""
    subjects: dict[tuple[str, str], list[str]] = {}
    first: dict[tuple[str, str], GapView] = {}
    for gap in map(gap_view, gaps):
        first.setdefault((gap.title, gap.outcome), gap)
        subjects.setdefault((gap.title, gap.outcome), []).append(gap.subject)
    for key, gap in first.items():
        yield gap, subjects[key]


def gap_view(finding: Finding) -> GapView:
    """A gap in words."""
    requirement = finding.requirement
    supply = tuple(dict.fromkeys(map(_supply, finding.needs)))
    return GapView(
        title=requirement.title,
        subject="the whole job" if finding.subject == "job" else finding.subject,
        part=finding.part,
        outcome=finding.outcome,
        facts=finding.facts,
        supply=supply,
        lacks="; ".join(supply),
        offers=tuple(
            f"{offer.title}: {'; '.join(map(_supply, offer.needs))}" for offer in finding.offers
        ),
        held_by=requirement.held_by,
        holds_up=STOPS[requirement.holds_up],
        before=PRINTED.get(requirement.before, requirement.before),
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


def _supply(need: Need) -> str:
    return need.supply or f"{need.path}: {need.reason}"


_DANGER = "Somebody could be hurt. Deal with these first, before any other line of this report."
_SET_ASIDE = (
    "These requirements are not met. Somebody entitled to do so set them aside, with the "
    "grounds given. They are shown so that everyone can judge for themselves."
)
_ENDED = (
    "A visit left the site so, and a later visit put it right. It stays in the record that it was "
    "so; it holds nothing up any more."
)
_LEADS = {
    HoldsUp.LEAVING: "Nobody should leave the site before these are closed.",
    HoldsUp.USE: "Nothing should be switched on before these are closed.",
    HoldsUp.CERTIFICATE: "Nobody should sign a certificate before these are closed.",
    HoldsUp.HANDOVER: "These stand between the installation and its handover.",
    HoldsUp.PAYMENT: "These stand between the work and its payment.",
    HoldsUp.NOTHING: "These hold nothing up; they are worth putting right.",
}

_MEANING = {
    Outcome.MET: "The record shows that the requirement is met.",
    Outcome.NOT_MET: "The record shows that the requirement is not met.",
    Outcome.NOT_SHOWN: "The record lacks what would decide it.",
    Outcome.NOT_DUE: "The day by which it must be shown is still ahead.",
    Outcome.NOT_APPLICABLE: "The requirement does not concern this installation.",
    Outcome.FOR_JUDGEMENT: "Only a competent person can decide it, and nobody has yet.",
}
