"""A ruleset file as people write it: the models that its fields are read by."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field

from compliance.record.entry import Entry, Group
from compliance.record.evidence import EVIDENCE_KINDS
from compliance.record.kinds import CollectionKind, FreeText, WholeDay, words
from compliance.rules.outcome import HoldsUp, Outcome
from compliance.rules.rule import ASKED, KNOWN
from compliance.rules.sources import Citation

BEFORE = ("start", "cover", "scaffold-down", "leaving", "use", "handover")
DATES = ("agreed", "designed", "started", "in_use", "handed_over")
HOLDERS = (
    "installer", "office", "designer", "customer", "roofer", "scaffolder",
    "surveyor or laboratory", "network operator", "scheme", "electricity supplier",
    "meter operator", "freeholder or landlord", "structural engineer", "ecologist", "insurer",
    "seller of the goods", "manufacturer",
)  # fmt: skip


class Applies(Group):
    """When a ruleset applies: between two days of the subject's part."""

    from_: WholeDay = Field(alias="from")
    until: WholeDay | None = None
    by: Annotated[str, words(*DATES)]
    alternative: FreeText | None = None


class OtherWay(Entry):
    """Another way that the standard permits."""

    title: FreeText
    must: FreeText
    source: Citation


class ExampleWritten(Entry):
    """An example that is run as a test."""

    name: FreeText
    given: Any = None
    evidence: Annotated[str, words("none")] | None = None
    point: Annotated[str, words("ahead")] | None = None
    judged: Annotated[str, words("met", "not met")] | None = None
    outcome: Annotated[str, words(*(o.value for o in Outcome))]
    needs: list[FreeText] | None = None


class NeverWritten(Entry):
    """An outcome that cannot occur, with the reason."""

    outcome: Annotated[str, words("met", "not met", "not shown")]
    reason: FreeText


class SurvivorWritten(Entry):
    """A change of the requirement that its examples cannot notice, with the reason."""

    change: FreeText
    reason: FreeText


class RequirementWritten(Entry):
    """One requirement as written; the order of the fields is the order of the keys."""

    id: FreeText
    title: FreeText
    for_: Any = Field(default=None, alias="for")
    if_: FreeText | None = Field(default=None, alias="if")
    before: Annotated[str, words(*BEFORE)]
    must: FreeText | None = None
    judge: FreeText | None = None
    or_by: Annotated[list[OtherWay] | None, CollectionKind()] = None
    evidence: list[Annotated[str, words(*EVIDENCE_KINDS)]] | None = None
    known: Annotated[str, words(*KNOWN)] | None = None
    danger: FreeText | None = None
    holds_up: Annotated[str, words(*(h.value for h in HoldsUp))]
    set_aside_by: Annotated[str, words("designer", "scheme", "nobody")] | None = None
    held_by: Annotated[str, words(*HOLDERS)]
    bring: FreeText | None = None
    source: Citation
    why: FreeText
    remedy: FreeText
    afterwards: FreeText | None = None
    examples: Annotated[list[ExampleWritten], CollectionKind()]
    never: Annotated[list[NeverWritten] | None, CollectionKind()] = None
    survivors: Annotated[list[SurvivorWritten] | None, CollectionKind()] = None


class QuestionExampleWritten(Entry):
    """An example of a question, which is run as a test."""

    name: FreeText
    given: Any = None
    outcome: Annotated[str, words(*ASKED)]


class QuestionWritten(Entry):
    """What a reader of the record would ask; the order of the fields is the order of the keys."""

    id: FreeText
    for_: Any = Field(default=None, alias="for")
    if_: FreeText = Field(alias="if")
    ask: FreeText
    innocent: FreeText
    examples: Annotated[list[QuestionExampleWritten], CollectionKind()]


class RulesetWritten(Group):
    """One file under `rulesets/<jurisdiction>/`: one edition of a ruleset."""

    ruleset: FreeText
    edition: FreeText | None = None
    title: FreeText
    jurisdiction: FreeText
    applies: Applies
    sources: list[FreeText]
    limits: list[FreeText] | None = None
    requirements: Annotated[list[RequirementWritten], CollectionKind()]
    questions: Annotated[list[QuestionWritten] | None, CollectionKind()] = None
