"""Requirements as the check works with them: plain data, whatever file they came from."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any

from compliance.errors import Place
from compliance.rules.language.explain import Printed
from compliance.rules.language.ruling import Clause
from compliance.rules.limits import LimitTables
from compliance.rules.outcome import Requirement, Source

KNOWN = ("measured", "meter file", "seen", "document", "told", "assumed")
"""How a thing is known, the best way first."""
ASKED = ("asked", "not asked")
"""What becomes of a question for a subject."""


@dataclass(frozen=True, slots=True)
class Head:
    """What is true of all requirements of one file: one edition of a ruleset.

    `edition` is the short name of the document that the edition follows, empty where the
    ruleset has but one; `others` are the further editions of the same ruleset.
    """

    id: str
    title: str
    start: date
    end: date | None
    by: str
    jurisdiction: str
    edition: str = ""
    others: tuple[Head, ...] = ()

    @property
    def name(self) -> str:
        """The ruleset as people read it, with its edition."""
        return f"{self.id}, edition {self.edition}" if self.edition else self.id

    def covers(self, day: date) -> bool:
        """Whether the ruleset applies to what is of this day."""
        return self.start <= day and (self.end is None or day < self.end)


@dataclass(frozen=True, slots=True)
class Way:
    """Another way that the standard permits, as it is told."""

    title: str
    must: str
    source: Source


@dataclass(frozen=True, slots=True)
class Wording:
    """The conditions of a requirement as its file writes them."""

    loops: tuple[str, ...]
    condition: str
    must: str
    evidence: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Example:
    """An example of a requirement, which is run as a test; `given` as the file writes it."""

    name: str
    given: Any
    outcome: str
    needs: tuple[str, ...] | None
    has_evidence: bool
    is_ahead: bool
    judged: str
    place: Place


@dataclass(frozen=True, slots=True)
class Survivor:
    """A change that no example can notice, with the reason; see `compliance.rules.mutations`."""

    change: str
    reason: str
    place: Place


@dataclass(frozen=True, slots=True)
class Rule:
    """One requirement, checked and ready to decide."""

    head: Head
    requirement: Requirement
    clause: Clause
    ways: tuple[Way, ...]
    known: str
    set_aside_by: str
    question: str
    wording: Wording
    examples: tuple[Example, ...]
    never: dict[str, str]
    """Outcomes that cannot occur, each with the reason."""
    survivors: tuple[Survivor, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Asking:
    """One question that a reader of the record would ask, checked and ready to decide.

    Its clause has a condition and nothing that must hold: where the condition is true, the
    question is asked.
    """

    head: Head
    id: str
    clause: Clause
    ask: str
    innocent: str
    wording: Wording
    examples: tuple[Example, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Rules:
    """Every rule of a jurisdiction, with the limits they were checked against."""

    rules: tuple[Rule, ...]
    tables: LimitTables
    titles: dict[str, str]
    """The title of each registered document, by short name."""
    published: dict[str, str]
    """Publisher, years and note of each registered document, in words."""
    files: tuple[Path, ...]
    questions: tuple[Asking, ...] = ()
    printed: Printed = field(default_factory=Printed)
    """What the jurisdiction prints for a field's name."""

    @property
    def clauses(self) -> tuple[Clause, ...]:
        """What is decided of a record, by number: every rule, then every question."""
        return (*(r.clause for r in self.rules), *(q.clause for q in self.questions))
