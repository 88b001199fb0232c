"""Rulesets: from YAML files to checked requirements, everything wrong told at once."""

from __future__ import annotations

import itertools
import keyword
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field

from compliance.errors import ComplianceError, Place, Problems, RulesetError, raise_all
from compliance.files.yaml import Tree, Written, read_yaml
from compliance.record.entry import Entry, Group
from compliance.record.evidence import EVIDENCE_KINDS
from compliance.record.kinds import CollectionKind, FreeText, WholeDay, words
from compliance.rules.language.kinds import Vocabulary
from compliance.rules.language.nodes import Node
from compliance.rules.language.problems import HiddenNameError
from compliance.rules.language.ruling import Clause
from compliance.rules.language.syntax import collection, condition
from compliance.rules.limits import LimitTables, load_limits
from compliance.rules.outcome import HoldsUp, Outcome, Requirement, Source
from compliance.rules.quantities import QUANTITIES
from compliance.rules.sources import (
    Citation,
    Document,
    UnregisteredSourceError,
    cited,
    load_register,
    read_as,
)
from compliance.rules.vocabulary import vocabulary

MOST_REQUIREMENTS = 25
BEFORE = ("start", "cover", "leaving", "use", "handover")
DATES = ("agreed", "designed", "started", "in_use", "handed_over")
KNOWN = ("measured", "meter file", "seen", "document", "told", "assumed")
HOLDERS = (
    "installer", "office", "designer", "customer", "roofer", "scaffolder",
    "surveyor or laboratory", "network operator", "scheme", "electricity supplier",
    "meter operator", "freeholder or landlord", "structural engineer", "ecologist", "insurer",
    "seller of the goods", "manufacturer",
)  # fmt: skip


class KeysOutOfOrderError(RulesetError):
    """A requirement's keys do not stand in the house order."""

    id = "ruleset.keys-out-of-order"

    def __init__(self, key: str, after: str, place: Place) -> None:
        super().__init__(
            f'"{key}" stands below "{after}"; the keys of a requirement keep one order, in which '
            f'"{key}" comes first',
            place,
        )


class MustOrJudgeError(RulesetError):
    """A requirement has both `must` and `judge`, or neither."""

    id = "ruleset.must-or-judge"

    def __init__(self, has_both: bool, place: Place) -> None:
        found = "both `must` and `judge`" if has_both else "neither `must` nor `judge`"
        super().__init__(
            f"it has {found}; write the condition under `must`, or the question for a "
            "competent person under `judge`",
            place,
        )


class MissingExamplesError(RulesetError):
    """A requirement lacks examples of an outcome that could occur."""

    id = "ruleset.missing-examples"

    def __init__(self, missing: Iterable[str], place: Place) -> None:
        super().__init__(
            f"no example gives {', '.join(missing)}; add one, or name the outcome under `never` "
            "with the reason why it cannot occur",
            place,
        )


class RequirementTwiceError(RulesetError):
    """Two requirements share an id."""

    id = "ruleset.requirement-twice"

    def __init__(self, name: str, first: Place, place: Place) -> None:
        super().__init__(f'the id "{name}" already stands in {first}; ids are never reused', place)


class TooManyRequirementsError(RulesetError):
    """A ruleset is longer than one subject should need."""

    id = "ruleset.too-many-requirements"

    def __init__(self, count: int, place: Place) -> None:
        super().__init__(
            f"it holds {count} requirements; at most {MOST_REQUIREMENTS} of one subject stand in "
            "a file: make two files of it",
            place,
        )


class AfterwardsMissingError(RulesetError):
    """A requirement whose evidence gets covered does not say what it takes afterwards."""

    id = "ruleset.afterwards-missing"

    def __init__(self, before: str, place: Place) -> None:
        super().__init__(
            f'evidence must exist before "{before}", so `afterwards` has to say what it takes '
            "once that has passed",
            place,
        )


class LoopError(RulesetError):
    """A requirement's `for` is not written as a loop."""

    id = "ruleset.for"

    def __init__(self, text: str, place: Place) -> None:
        super().__init__(
            f'"{text[:60]}" is no loop; `for` reads "NAME in COLLECTION", such as '
            '"string in strings", and is left out for the whole job',
            place,
        )


class UnlistedError(RulesetError):
    """A requirement cites a source that the head of its file does not list."""

    id = "ruleset.head-differs"

    def __init__(self, what: str, place: Place) -> None:
        super().__init__(what, place)


# -- the files' models ------------------------------------------------------------------


class Applies(Group):
    """When a ruleset applies: between two days of the subject's part."""

    from_: WholeDay = Field(alias="from")
    until: WholeDay | None = None
    by: Annotated[str, words(*DATES)]


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


class RulesetWritten(Group):
    """One file under `rulesets/<jurisdiction>/`."""

    ruleset: FreeText
    title: FreeText
    jurisdiction: FreeText
    applies: Applies
    sources: list[FreeText]
    limits: list[FreeText] | None = None
    requirements: Annotated[list[RequirementWritten], CollectionKind()]


# -- what the check works with ----------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Head:
    """What is true of all requirements of one file."""

    id: str
    title: str
    start: date
    end: date | None
    by: str

    def covers(self, day: date) -> bool:
        """Whether the ruleset applies to what is of this day."""
        return self.start <= day and (self.end is None or day < self.end)


@dataclass(frozen=True, slots=True)
class Way:
    """Another way that the standard permits, as it is told."""

    title: str
    source: Source


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
    written: RequirementWritten
    place: Place


@dataclass(frozen=True, slots=True)
class Rules:
    """Every rule of a jurisdiction, with the limits and names they were checked against."""

    rules: tuple[Rule, ...]
    tables: LimitTables
    vocabulary: Vocabulary
    register: Mapping[str, Document]
    files: tuple[Path, ...]


def load_rules(folder: Path, jurisdiction: str) -> Rules:
    """Every ruleset of a jurisdiction, checked.

    Args:
        folder: The rulesets folder, with `sources.yaml` and one folder a jurisdiction.
        jurisdiction: That folder's name, such as `gb`.

    Raises:
        RulesetError: If a file cannot be used; `Problems` if for several reasons.
    """
    register = load_register(folder)
    limit_files = sorted((folder / jurisdiction / "limits").glob("*.yaml"))
    rule_files = sorted((folder / jurisdiction).glob("*.yaml"))
    tables = load_limits(limit_files, register)
    names = vocabulary(QUANTITIES, tables.signs)
    problems: list[ComplianceError] = []
    rules: list[Rule] = []
    for path in rule_files:
        try:
            rules += _File(read_yaml(path), names, register).rules(problems)
        except Problems as several:
            problems += several.problems
        except ComplianceError as problem:
            problems.append(problem)
    problems += _ids_used_twice(rules)
    raise_all(problems)
    files = (folder / "sources.yaml", *limit_files, *rule_files)
    return Rules(tuple(rules), tables, names, register, files)


def _ids_used_twice(rules: Iterable[Rule]) -> Iterator[RulesetError]:
    first: dict[str, Place] = {}
    for rule in rules:
        name = rule.requirement.id
        if name in first:
            yield RequirementTwiceError(name, first[name], rule.place)
        first.setdefault(name, rule.place)


class _File:
    """One ruleset file on its way to rules."""

    def __init__(self, tree: Tree, names: Vocabulary, register: Mapping[str, Document]) -> None:
        self.tree = tree
        self.names = names
        self.register = register
        self.written = read_as(RulesetWritten, tree)
        applies = self.written.applies
        self.head = Head(
            self.written.ruleset, self.written.title, applies.from_, applies.until, applies.by
        )

    def rules(self, problems: list[ComplianceError]) -> list[Rule]:
        requirements = self.written.requirements
        if len(requirements) > MOST_REQUIREMENTS:
            place = self.tree.key_place(("requirements",))
            problems.append(TooManyRequirementsError(len(requirements), place))
        for number, source in enumerate(self.written.sources):
            if source not in self.register:
                place = self.tree.place(("sources", number))
                problems.append(UnregisteredSourceError(source, self.register, place))
        made: list[Rule] = []
        for index, requirement in enumerate(requirements):
            try:
                problems += self.faults(index, requirement)
                made.append(self.rule(index, requirement))
            except ComplianceError as problem:
                problems.append(problem)
        return made

    def place(self, index: int, *below: str | int) -> Place:
        loc = ("requirements", index, *below)
        at = self.tree.place(loc) if below else self.tree.place((*loc, "id"))
        inside = at.field.removeprefix(f"requirements[{index + 1}]") if below else ""
        field = self.written.requirements[index].id + inside
        return Place(at.file, at.line, at.column, field)

    def faults(self, index: int, written: RequirementWritten) -> Iterator[RulesetError]:
        order = [f.alias or name for name, f in RequirementWritten.model_fields.items()]
        data: Any = self.tree.data["requirements"]
        keys = [str(key) for key in data[index]]
        for before, key in itertools.pairwise(keys):
            if order.index(key) < order.index(before):
                yield KeysOutOfOrderError(key, before, self.place(index, key))
        if (written.must is None) is (written.judge is None):
            yield MustOrJudgeError(written.must is not None, self.place(index))
        if written.before == "cover" and written.afterwards is None:
            yield AfterwardsMissingError(written.before, self.place(index, "before"))
        given = {e.outcome for e in written.examples} | {n.outcome for n in written.never or ()}
        missing = [o for o in ("met", "not met", "not shown") if o not in given]
        if missing:
            yield MissingExamplesError(missing, self.place(index, "examples"))
        sources: list[tuple[Citation, tuple[str | int, ...]]] = [(written.source, ("source",))]
        sources += [(w.source, ("or_by", n, "source")) for n, w in enumerate(written.or_by or ())]
        for source, below in sources:
            if source.document not in self.written.sources:
                what = f'its source "{source.document}" is not under `sources` of the file'
                yield UnlistedError(what, self.place(index, *below))

    def rule(self, index: int, written: RequirementWritten) -> Rule:
        loops, names = self.loops(index, written)
        source = cited(written.source, self.register, self.place(index, "source", "document"))
        ways = written.or_by or []
        clause = Clause(
            loops,
            self.node(index, written.if_, names, "if"),
            self.node(index, written.must, names, "must"),
            tuple(
                node
                for number, way in enumerate(ways)
                if (node := self.node(index, way.must, names, "or_by", number, "must"))
            ),
            tuple(written.evidence or ()),
            self.head.by,
            written.before,
        )
        requirement = Requirement(
            written.id, written.title, self.head.id, written.before, HoldsUp(written.holds_up),
            written.held_by, source, written.why, written.remedy, written.danger or "",
            written.afterwards or "", written.bring or "",
        )  # fmt: skip
        return Rule(
            self.head,
            requirement,
            clause,
            tuple(
                Way(w.title, cited(w.source, self.register, self.place(index, "or_by", n)))
                for n, w in enumerate(ways)
            ),
            written.known or "",
            written.set_aside_by or "nobody",
            written.judge or "",
            written,
            self.place(index),
        )

    def loops(self, index: int, written: RequirementWritten) -> tuple[Any, dict[str, str]]:
        """The loops of `for`, outer first, and what each local name stands for."""
        texts = written.for_ if isinstance(written.for_, list) else [written.for_]
        names: dict[str, str] = {}
        loops = []
        place = self.place(index, "for")
        for text in texts or [""] if written.for_ is not None else ():
            name, found, path = str(text).partition(" in ")
            name = name.strip()
            is_name = name.isidentifier() and not keyword.iskeyword(name)
            if not found or not isinstance(text, Written) or not is_name:
                raise LoopError(str(text), place)
            with _at(place):
                if name in (*names, *self.names.fields(self.names.root), "today", "limits"):
                    raise HiddenNameError(name)
                node, kind = collection(path.strip(), self.names, names)
            loops.append((name, node))
            names[name] = kind.type
        return tuple(loops), names

    def node(
        self, index: int, text: str | None, names: Mapping[str, str], *below: str | int
    ) -> Node | None:
        if text is None:
            return None
        with _at(self.place(index, *below)):
            return condition(text, self.names, names)


class _at:  # noqa: N801 - reads as a word in `with _at(place)`
    """Gives a fault of the language, which knows no file, the place it was found at."""

    def __init__(self, place: Place) -> None:
        self.place = place

    def __enter__(self) -> None:
        return None

    def __exit__(self, kind: Any, problem: Any, trace: Any) -> None:
        if isinstance(problem, RulesetError) and problem.place is None:
            problem.place = self.place
