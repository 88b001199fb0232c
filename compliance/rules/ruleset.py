"""Rulesets: from YAML files to checked requirements, everything wrong told at once."""

from __future__ import annotations

import itertools
import keyword
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from compliance.errors import ComplianceError, Place, Problems, RulesetError, raise_all
from compliance.files.yaml import Tree, Written, read_yaml
from compliance.record.refusing import read_as
from compliance.record.words import WORDS, load_printed
from compliance.rules.editions import Edition, edition_faults, ids_used_twice, with_others
from compliance.rules.hidden import HIDES, wrong_point
from compliance.rules.language.explain import Printed
from compliance.rules.language.kinds import Vocabulary
from compliance.rules.language.nodes import Node
from compliance.rules.language.problems import HiddenNameError
from compliance.rules.language.ruling import Clause
from compliance.rules.language.syntax import collection, condition
from compliance.rules.limit_files import load_limits
from compliance.rules.limits import LimitTables
from compliance.rules.listed import limits_differ, sources_unused
from compliance.rules.outcome import HoldsUp, Requirement
from compliance.rules.quantities import QUANTITIES
from compliance.rules.refusals import (
    MOST_REQUIREMENTS,
    AfterwardsMissingError,
    HeadDiffersError,
    KeysOutOfOrderError,
    LoopError,
    MissingExamplesError,
    MustOrJudgeError,
    PointError,
    TooManyRequirementsError,
)
from compliance.rules.rule import (
    ASKED,
    Asking,
    Example,
    Head,
    Rule,
    Rules,
    Survivor,
    Way,
    Wording,
)
from compliance.rules.sources import (
    Citation,
    Document,
    UnregisteredSourceError,
    cited,
    load_register,
)
from compliance.rules.vocabulary import vocabulary
from compliance.rules.written import QuestionWritten, RequirementWritten, RulesetWritten


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
    opened: list[_File] = []
    for path in rule_files:
        try:
            opened.append(_File(read_yaml(path), names, register, tables))
        except Problems as several:
            problems += several.problems
        except ComplianceError as problem:
            problems.append(problem)
    problems += edition_faults([file.edition for file in opened])
    heads = [file.head for file in opened]
    rules: list[Rule] = []
    questions: list[Asking] = []
    for file in opened:
        file.head = with_others(file.head, heads)
        before = len(problems)
        rules += file.rules(problems)
        questions += file.questions(problems)
        if len(problems) == before:  # else what could not be read might only seem unused
            problems += file.head_faults()
    problems += ids_used_twice([*rules, *questions])
    raise_all(problems)
    files = (folder / "sources.yaml", *limit_files, *rule_files)
    titles = {name: document.title for name, document in register.items()}
    published = {name: document.published for name, document in register.items()}
    return Rules(tuple(rules), tables, titles, published, files, questions=tuple(questions),
                 printed=Printed(load_printed(folder, jurisdiction)))  # fmt: skip


_INSIDE = re.compile(r"(requirements|questions)\[([0-9]+)\](?=\.)")
At = tuple[str, int]
"""A requirement or question of a file: under which key, and its place in that list."""


class _File:
    """One ruleset file on its way to rules."""

    def __init__(
        self,
        tree: Tree,
        names: Vocabulary,
        register: Mapping[str, Document],
        tables: LimitTables,
    ) -> None:
        self.tree = tree
        self.names = names
        self.register = register
        self.tables = tables
        self.written = written = read_as(RulesetWritten, tree, self.called)
        applies = written.applies
        self.head = Head(
            written.ruleset, written.title, applies.from_, applies.until, applies.by,
            written.jurisdiction,
            edition=written.edition or "",
        )  # fmt: skip
        self.clauses: list[tuple[Clause, Place]] = []

    def called(self, place: Place) -> Place:
        """A place inside a requirement or question, by its id if it has one."""
        found = _INSIDE.match(place.field)
        if found is None:
            return place
        data: Any = self.tree.data[found[1]]
        name = data[int(found[2]) - 1].get("id")
        field = name + place.field[found.end() :] if isinstance(name, str) else place.field
        return Place(place.file, place.line, place.column, field)

    @property
    def edition(self) -> Edition:
        """The head beside what it says of other editions."""
        at = self.tree.place(("ruleset",))
        alternative = self.written.applies.alternative or ""
        return Edition(self.head, alternative, Place(at.file, at.line, at.column, self.head.id))

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
            at = ("requirements", index)
            try:
                problems += self.faults(at, requirement)
                made.append(self.rule(at, requirement))
            except ComplianceError as problem:
                problems.append(problem)
        return made

    def questions(self, problems: list[ComplianceError]) -> list[Asking]:
        made: list[Asking] = []
        for index, question in enumerate(self.written.questions or ()):
            at = ("questions", index)
            try:
                problems += self.disorder(at, QuestionWritten)
                missing = [o for o in ASKED if o not in {e.outcome for e in question.examples}]
                if missing:
                    place = self.place(at, "examples")
                    problems.append(MissingExamplesError(missing, place, may_be_never=False))
                made.append(self.question(at, question))
            except ComplianceError as problem:
                problems.append(problem)
        return made

    def head_faults(self) -> Iterator[RulesetError]:
        """What the head lists and nothing uses, or the other way round."""
        written = self.written
        if written.edition and written.edition not in written.sources:
            what = f'its edition "{written.edition}" is not under `sources` of the file'
            yield HeadDiffersError(what, self.tree.place(("edition",)))
        yield from limits_differ(written.limits or (), self.clauses, self.tables, self.tree)
        cited = {w.source.document for r in written.requirements for w in (r, *(r.or_by or ()))}
        cited.add(written.edition or "")
        yield from sources_unused(written.sources, cited, self.clauses, self.tables, self.tree)

    def place(self, at: At, *below: str | int) -> Place:
        key, index = at
        found = self.tree.place((*at, *below) if below else (*at, "id"))
        inside = found.field.removeprefix(f"{key}[{index + 1}]") if below else ""
        field = getattr(self.written, key)[index].id + inside
        return Place(found.file, found.line, found.column, field)

    def disorder(self, at: At, model: type[BaseModel]) -> Iterator[RulesetError]:
        """Keys that do not stand in the order of the model's fields."""
        order = [f.alias or name for name, f in model.model_fields.items()]
        data: Any = self.tree.data[at[0]]
        keys = [str(key) for key in data[at[1]]]
        for before, key in itertools.pairwise(keys):
            if order.index(key) < order.index(before):
                yield KeysOutOfOrderError(key, before, self.place(at, key))

    def faults(self, at: At, written: RequirementWritten) -> Iterator[RulesetError]:
        yield from self.disorder(at, RequirementWritten)
        if (written.must is None) is (written.judge is None):
            yield MustOrJudgeError(written.must is not None, self.place(at))
        if written.before in HIDES and written.afterwards is None:
            yield AfterwardsMissingError(written.before, self.place(at, "before"))
        given = {e.outcome for e in written.examples} | {n.outcome for n in written.never or ()}
        missing = [o for o in ("met", "not met", "not shown") if o not in given]
        if missing:
            yield MissingExamplesError(missing, self.place(at, "examples"))
        sources: list[tuple[Citation, tuple[str | int, ...]]] = [(written.source, ("source",))]
        sources += [(w.source, ("or_by", n, "source")) for n, w in enumerate(written.or_by or ())]
        for source, below in sources:
            if source.document not in self.written.sources:
                what = f'its source "{source.document}" is not under `sources` of the file'
                yield HeadDiffersError(what, self.place(at, *below))

    def question(self, at: At, written: QuestionWritten) -> Asking:
        loops, names = self.loops(at, written.for_)
        clause = Clause(loops, self.node(at, written.if_, names, "if"), by=self.head.by)
        place = self.place(at)
        self.clauses.append((clause, place))
        examples = [
            Example(e.name, e.given, e.outcome, None, True, False, "",
                    self.place(at, "examples", number))
            for number, e in enumerate(written.examples)
        ]  # fmt: skip
        wording = Wording(tuple(_loops(written.for_)), written.if_, "", ())
        return Asking(
            self.head, written.id, clause, written.ask, written.innocent, wording,
            tuple(examples), place,
        )  # fmt: skip

    def rule(self, at: At, written: RequirementWritten) -> Rule:
        loops, names = self.loops(at, written.for_)
        wrong = wrong_point(written.before, list(names.values()))
        if wrong:
            raise PointError(written.before, wrong, self.place(at, "before"))
        source = cited(written.source, self.register, self.place(at, "source", "document"))
        ways = written.or_by or []
        clause = Clause(
            loops,
            self.node(at, written.if_, names, "if"),
            self.node(at, written.must, names, "must"),
            tuple(
                node
                for number, way in enumerate(ways)
                if (node := self.node(at, way.must, names, "or_by", number, "must"))
            ),
            tuple(written.evidence or ()),
            self.head.by,
            written.before,
        )
        self.clauses.append((clause, self.place(at)))
        requirement = Requirement(
            written.id, written.title, self.head.name, written.before, HoldsUp(written.holds_up),
            written.held_by, source, written.why, written.remedy, written.danger or "",
            written.afterwards or "", written.bring or "",
        )  # fmt: skip
        return Rule(
            self.head,
            requirement,
            clause,
            tuple(
                Way(w.title, w.must, cited(w.source, self.register, self.place(at, "or_by", n)))
                for n, w in enumerate(ways)
            ),
            written.known or "",
            written.set_aside_by or "nobody",
            written.judge or "",
            Wording(
                tuple(_loops(written.for_)), written.if_ or "", written.must or "", clause.evidence
            ),
            tuple(self.examples(at, written)),
            {never.outcome: never.reason for never in written.never or ()},
            tuple(
                Survivor(
                    " ".join(s.change.split()),
                    s.reason,
                    self.place(at, "survivors", n, "change"),
                )
                for n, s in enumerate(written.survivors or ())
            ),
            self.place(at),
        )

    def examples(self, at: At, written: RequirementWritten) -> Iterator[Example]:
        for number, example in enumerate(written.examples):
            yield Example(
                example.name,
                example.given,
                example.outcome,
                None if example.needs is None else tuple(example.needs),
                example.evidence != "none",
                example.point == "ahead",
                example.judged or "",
                self.place(at, "examples", number),
            )

    def loops(self, at: At, written: Any) -> tuple[Any, dict[str, str]]:
        """The loops of `for`, outer first, and what each local name stands for."""
        names: dict[str, str] = {}
        loops = []
        place = self.place(at, "for")
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
        self, at: At, text: str | None, names: Mapping[str, str], *below: str | int
    ) -> Node | None:
        if text is None:
            return None
        with _at(self.place(at, *below)):
            return condition(text, self.names, names)


def _loops(written: Any) -> list[str]:
    """The loops of `for` as written; one empty text for an empty list."""
    if written is None:
        return []
    return (written if isinstance(written, list) else [written]) or [""]


class _at:  # noqa: N801 - reads as a word in `with _at(place)`
    """Gives a fault of the language, which knows no file, the place it was found at."""

    def __init__(self, place: Place) -> None:
        self.place = place

    def __enter__(self) -> None:
        return None

    def __exit__(self, kind: Any, problem: Any, trace: Any) -> None:
        if isinstance(problem, RulesetError) and problem.place is None:
            problem.place = self.place
