"""Photos and papers, what a named person says they show, and what was decided about gaps."""

from __future__ import annotations

from typing import Annotated

from compliance.record.entry import Batched, Entry
from compliance.record.kinds import AboutKind, Day, FreeText, Reference, words

EVIDENCE_KINDS = (
    "photo",
    "test sheet",
    "datasheet",
    "declaration",
    "certificate",
    "register extract",
    "laboratory report",
    "meter file",
    "monthly yields",
)


class Evidence(Batched):
    """One file; it counts only with a named person's statement of what it shows.

    `tests` says of a meter's file whether the record's tests are read from it; then what it
    is about and shows need not be said, and `instrument` is the meter that wrote it. Of a table
    of monthly yields, `source` says whose data they are and `licence` under what they may be used.
    """

    file: FreeText
    kind: Annotated[str, words(*EVIDENCE_KINDS)]
    about: Annotated[tuple[str, ...], AboutKind()]
    shows: FreeText | None = None
    tests: Annotated[str, words("read from it", "typed from it")] | None = None
    instrument: Annotated[str, Reference("instruments")] | None = None
    source: FreeText | None = None
    licence: FreeText | None = None
    by: Annotated[str, Reference("people")] | None = None
    on: Day | None = None


class Departure(Entry):
    """A requirement that its designer set aside, with grounds that safety is not less."""

    requirement: FreeText
    subject: FreeText | None = None
    by: Annotated[str, Reference("people")]
    role: Annotated[str, words("designer", "scheme")]
    on: Day
    grounds: FreeText
    evidence: Annotated[str, Reference("evidence")]


class Judgement(Batched):
    """What a competent person decided where only a person can."""

    requirement: FreeText
    subject: FreeText | None = None
    by: Annotated[str, Reference("people")]
    on: Day
    outcome: Annotated[str, words("met", "not met")]
    grounds: FreeText
