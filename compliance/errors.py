"""What can be wrong with what somebody gave us, as exceptions.

    ComplianceError            anything this project refuses; `id`, `place`, `what`
    ├── WrittenError           a YAML file that cannot be read as written   (files/)
    ├── PathError              a path that leads nowhere, or out of the job (files/)
    ├── IncompleteInstallError the shipped rulesets or templates are gone   (files/)
    ├── RecordError            an installation record                        (record/)
    ├── RulesetError           rulesets, limit tables, register of sources   (rules/)
    ├── EvidenceError          a photo, paper or meter file                  (evidence/)
    ├── DocumentError          a template, or text that cannot be printed    (documents/)
    ├── PackError              a pack, made or verified                      (pack/)
    ├── OutOfRangeError        a calculation's input that cannot be          (electrical/)
    ├── IrradianceError        irradiance data that give no year             (irradiance/)
    ├── CallError              a command called with something it can't use  (cli/)
    └── Problems               several of the above, in file order

Each cause is one class beside the code that raises it; it builds its sentence from
typed arguments. A message says where, what, what would be right and, where it isn't
obvious, what to do next. Nobody classifies an error by another library's wording.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import ClassVar


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """Where something stands: a file, and if known its line, column (from 1) and field."""

    file: str
    line: int = 0
    column: int = 0
    field: str = ""

    def __str__(self) -> str:
        where = self.file
        if self.line:
            where += f":{self.line}"
            if self.column:
                where += f":{self.column}"
        return f"{where}  {self.field}" if self.field else where


class ComplianceError(Exception):
    """Something that was given cannot be used; the message says what would be right."""

    id: ClassVar[str] = "general"

    def __init__(self, what: str, place: Place | None = None) -> None:
        super().__init__(what)
        self.what = what
        self.place = place

    def __str__(self) -> str:
        lines = [str(self.place)] if self.place else []
        return "\n".join([*lines, f"  {self.what}  ({self.id})"])


class WrittenError(ComplianceError):
    """A file cannot be read as strict YAML."""


class RecordError(ComplianceError):
    """An installation record says something that cannot be."""


class RulesetError(ComplianceError):
    """A ruleset, limit table or the register of sources cannot be used."""


class EvidenceError(ComplianceError):
    """An evidence file is missing, unreadable or not what it says."""


class DocumentError(ComplianceError):
    """A template or a text cannot become a document."""


class PackError(ComplianceError):
    """A pack cannot be made, or does not verify."""


class CallError(ComplianceError):
    """A command was called with something it can't use."""

    id = "call"


class OutOfRangeError(ComplianceError):
    """A calculation was given an input outside its range of validity.

    `right` says the range in words, `allowed` is one value inside it where there is a simple one.
    """

    id = "electrical.out-of-range"

    def __init__(self, name: str, value: float, right: str, allowed: float | None = None) -> None:
        super().__init__(f"{name} is {value:g}; it must be {right}")
        self.name = name
        self.value = value
        self.right = right
        self.allowed = allowed


class Problems(ComplianceError):  # noqa: N818 - it holds errors, it is not one cause
    """Every problem found in one go, in the order of the files."""

    id = "several"

    def __init__(self, problems: Iterable[ComplianceError]) -> None:
        none = Place("")
        self.problems = tuple(sorted(problems, key=lambda p: p.place or none))
        super().__init__("\n".join(str(p) for p in self.problems))

    def __str__(self) -> str:
        return self.what


def raise_all(problems: Iterable[ComplianceError]) -> None:
    """Raises what was found, each problem once; does nothing if there is none."""
    unique = list({(p.place, p.what): p for p in problems}.values())
    if len(unique) == 1:
        raise unique[0]
    if unique:
        raise Problems(unique)
