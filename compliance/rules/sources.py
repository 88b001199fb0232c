"""The register of cited documents: every source anywhere in rulesets stands here once."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated

from compliance.errors import Place, RulesetError
from compliance.files.yaml import read_yaml
from compliance.record.entry import Group
from compliance.record.kinds import CollectionKind, Figure, FreeText, words
from compliance.record.problems import did_you_mean
from compliance.record.refusing import read_as
from compliance.rules.outcome import Source

CONFIDENCE = ("opened", "secondary", "memory", "common practice")


class UnregisteredSourceError(RulesetError):
    """A source that the register does not have."""

    id = "ruleset.unregistered-source"

    def __init__(self, document: str, known: Mapping[str, object], place: Place) -> None:
        super().__init__(
            f'"{document}" is not in the register of sources, rulesets/sources.yaml. '
            f"{did_you_mean(document, known)}",
            place,
        )


class Edition(Group):
    """When a document was published, and last amended."""

    year: Figure
    amended: Figure | None = None


class Document(Group):
    """One cited document."""

    title: FreeText
    publisher: FreeText
    edition: Edition
    adopted_as: list[FreeText] | None = None
    note: FreeText | None = None

    @property
    def published(self) -> str:
        """Publisher, years, the names it was adopted under and the note, in words."""
        years = f"{self.edition.year:g}"
        if self.edition.amended:
            years += f", amended {self.edition.amended:g}"
        adopted = f"; adopted as {', '.join(self.adopted_as)}" if self.adopted_as else ""
        return f"{self.publisher} {years}{adopted}." + (f" {self.note}" if self.note else "")


class Register(Group):
    """The file `rulesets/sources.yaml`."""

    sources: Annotated[dict[str, Document], CollectionKind()]


class Citation(Group):
    """Where something comes from: document, clause, and how sure we are of it."""

    document: FreeText
    clause: FreeText | None = None
    confidence: Annotated[str, words(*CONFIDENCE)]


def load_register(folder: Path) -> Mapping[str, Document]:
    """The register of the rulesets folder, by short name."""
    return read_as(Register, read_yaml(folder / "sources.yaml")).sources


def cited(citation: Citation, register: Mapping[str, Document], place: Place) -> Source:
    """A citation with the document's title; the document must be registered."""
    document = register.get(citation.document)
    if document is None:
        raise UnregisteredSourceError(citation.document, register, place)
    return Source(citation.document, citation.clause or "", citation.confidence, document.title)
