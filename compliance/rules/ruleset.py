"""Rulesets: from YAML files to checked requirements, everything wrong told at once."""

from __future__ import annotations

import itertools
import keyword
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from compliance.errors import ComplianceError, Place, Problems, RulesetError, raise_all
from compliance.files.yaml import Tree, Written, read_yaml
from compliance.rules.language.kinds import Vocabulary
from compliance.rules.language.nodes import Node
from compliance.rules.language.problems import HiddenNameError
from compliance.rules.language.ruling import Clause
from compliance.rules.language.syntax import collection, condition
from compliance.rules.limit_files import load_limits
from compliance.rules.outcome import HoldsUp, Requirement
from compliance.rules.quantities import QUANTITIES
from compliance.rules.refusals import (
    MOST_REQUIREMENTS,
    AfterwardsMissingError,
    KeysOutOfOrderError,
    LoopError,
    MissingExamplesError,
    MustOrJudgeError,
    RequirementTwiceError,
    TooManyRequirementsError,
    UnlistedError,
)
from compliance.rules.rule import Example, Head, Rule, Rules, Way, Wording
from compliance.rules.sources import (
    Citation,
    Document,
    UnregisteredSourceError,
    cited,
    load_register,
    read_as,
)
from compliance.rules.vocabulary import vocabulary
from compliance.rules.words import WORDS
from compliance.rules.written import RequirementWritten, RulesetWritten


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
    rule_files = [p for p in sorted((folder / jurisdiction).glob("*.yaml")) if p.name != WORDS]
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
    titles = {name: document.title for name, document in register.items()}
    return Rules(tuple(rules), tables, titles, files)


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
                Way(w.title, w.must, cited(w.source, self.register, self.place(index, "or_by", n)))
                for n, w in enumerate(ways)
            ),
            written.known or "",
            written.set_aside_by or "nobody",
            written.judge or "",
            Wording(tuple(_loops(written)), written.if_ or "", written.must or "", clause.evidence),
            tuple(self.examples(index, written)),
            {never.outcome: never.reason for never in written.never or ()},
            self.place(index),
        )

    def examples(self, index: int, written: RequirementWritten) -> Iterator[Example]:
        for number, example in enumerate(written.examples):
            yield Example(
                example.name,
                example.given,
                example.outcome,
                None if example.needs is None else tuple(example.needs),
                example.evidence != "none",
                example.point == "ahead",
                example.judged or "",
                self.place(index, "examples", number),
            )

    def loops(self, index: int, written: RequirementWritten) -> tuple[Any, dict[str, str]]:
        """The loops of `for`, outer first, and what each local name stands for."""
        names: dict[str, str] = {}
        loops = []
        place = self.place(index, "for")
        for text in _loops(written):
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


def _loops(written: RequirementWritten) -> list[str]:
    """The loops of `for` as written; one empty text for an empty list."""
    if written.for_ is None:
        return []
    return (written.for_ if isinstance(written.for_, list) else [written.for_]) or [""]


class _at:  # noqa: N801 - reads as a word in `with _at(place)`
    """Gives a fault of the language, which knows no file, the place it was found at."""

    def __init__(self, place: Place) -> None:
        self.place = place

    def __enter__(self) -> None:
        return None

    def __exit__(self, kind: Any, problem: Any, trace: Any) -> None:
        if isinstance(problem, RulesetError) and problem.place is None:
            problem.place = self.place
