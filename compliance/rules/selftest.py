"""Rulesets test themselves: every example of every requirement is run."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from compliance.errors import Place, RecordError, RulesetError
from compliance.record.kinds import (
    FigureKind,
    MomentKind,
    ReadingKind,
    TextKind,
    Words,
    YesNoKind,
)
from compliance.rules.language.kinds import (
    Kind,
    Many,
    Moment,
    Number,
    Thing,
    Vocabulary,
    Word,
    YesNo,
)
from compliance.rules.language.problems import UnknownNameError
from compliance.rules.language.ruling import Clause, Ruling, Subject, ruling, subjects
from compliance.rules.language.scene import Scene
from compliance.rules.outcome import Outcome
from compliance.rules.quantities import QUANTITIES
from compliance.rules.rule import ASKED, Asking, Example, Rule, Rules
from compliance.rules.vocabulary import sections, vocabulary
from compliance.rules.world import RecordWorld
from compliance.values import NotTaken

SECTIONS = sections()


class ExampleError(RulesetError):
    """An example says something that its names cannot hold."""

    id = "ruleset.example"

    def __init__(self, name: str, what: str, place: Place | None = None) -> None:
        super().__init__(f'the example "{name}": {what}', place)


@dataclass(frozen=True, slots=True)
class Tried:
    """One example of a requirement or question, what it should give and what it gave."""

    requirement: str
    example: str
    place: Place
    wanted: str
    given: str

    @property
    def passed(self) -> bool:
        """Whether the example gave what it says."""
        return self.wanted == self.given


@dataclass(frozen=True, slots=True)
class Prepared:
    """An example made ready once, to be tried with its rule's clause or with a changed one."""

    rule: Rule
    example: Example
    subject: Subject

    def tried(self, clause: Clause | None = None) -> Tried:
        """The example tried with the rule's own clause, or another over the same subject."""
        found = self._found(clause or self.rule.clause)
        wanted, given = self.example.outcome, found.outcome.value
        if self.example.needs is not None:
            wanted += f", needs {', '.join(sorted(self.example.needs))}"
            given += f", needs {', '.join(sorted({path for path, _ in found.needs}))}"
        name, example = self.rule.requirement.id, self.example
        return Tried(name, example.name, example.place, wanted, given)

    def _found(self, clause: Clause) -> Ruling:
        """The ruling, with what the example says of judgement and of the point of no return."""
        found, example = ruling(clause, self.subject), self.example
        if found.outcome is Outcome.FOR_JUDGEMENT and example.judged:
            found = found._replace(outcome=Outcome(example.judged))
            if found.outcome is Outcome.MET and clause.evidence and not example.has_evidence:
                lacking = tuple((f"evidence: {kind}", "missing") for kind in clause.evidence)
                found = found._replace(outcome=Outcome.NOT_SHOWN, needs=lacking)
        if example.is_ahead and found.outcome in (Outcome.NOT_SHOWN, Outcome.FOR_JUDGEMENT):
            found = found._replace(outcome=Outcome.NOT_DUE)
        return found


def tried_examples(rules: Rules) -> Iterator[Tried]:
    """Runs every example of every requirement and question.

    Raises:
        ExampleError: If an example names what does not exist.
    """
    for _, examples in prepared(rules):
        yield from (example.tried() for example in examples)
    yield from _tried_questions(rules)


def prepared(rules: Rules) -> Iterator[tuple[Rule, tuple[Prepared, ...]]]:
    """Every requirement with its examples made ready.

    Raises:
        ExampleError: If an example names what does not exist.
    """
    given = _Given(vocabulary(QUANTITIES, rules.tables.signs))
    for rule in rules.rules:
        ready = (Prepared(rule, e, _subject(rule, e, rules, given)) for e in rule.examples)
        yield rule, tuple(ready)


def _tried_questions(rules: Rules) -> Iterator[Tried]:
    given = _Given(vocabulary(QUANTITIES, rules.tables.signs))
    for asking in rules.questions:
        for example in asking.examples:
            found = ruling(asking.clause, _subject(asking, example, rules, given))
            is_asked = found.outcome is Outcome.FOR_JUDGEMENT
            told = ASKED[0] if is_asked else ASKED[1]
            yield Tried(asking.id, example.name, example.place, example.outcome, told)


def _subject(rule: Rule | Asking, example: Example, rules: Rules, given_as: _Given) -> Subject:
    given = {} if example.given is None else example.given
    if not isinstance(given, Mapping):
        what = f'`given` is "{given}"; a group of names belongs there'
        raise ExampleError(example.name, what, example.place)
    try:
        entries = given_as.names(rule, given)
    except (RecordError, RulesetError) as wrong:
        raise ExampleError(example.name, wrong.what, example.place) from None
    world = _ExampleWorld(entries["job"], rule.head.start, rules, example.has_evidence)
    scene = Scene(world, day=rule.head.start, before=rule.clause.before)
    if any(name not in given for name, _ in rule.clause.loops[:1]):
        return next(iter(subjects(rule.clause, scene)))
    for name, _ in rule.clause.loops:
        scene = scene.with_name(name, entries[name], name)
    (subject,) = subjects(replace(rule.clause, loops=()), scene)
    held = tuple(entries[name] for name, _ in rule.clause.loops)
    return subject._replace(entries=held)


class _ExampleWorld(RecordWorld):
    """The world of an example: evidence counts as shown unless the example says not."""

    def __init__(self, job: Mapping[str, Any], day: date, rules: Rules, is_shown: bool) -> None:
        super().__init__(job, day, rules.tables, {})
        self.is_shown = is_shown

    def evidence(
        self, kind: str, entry: Mapping[str, Any], before: str
    ) -> tuple[tuple[str, str], ...]:
        """Nothing is lacking, or everything."""
        return () if self.is_shown else ((f"evidence: {kind}", "missing"),)


class _Given:
    """Turns what an example gives into entries as the view has them."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.vocabulary = vocabulary

    def names(self, rule: Rule | Asking, given: Mapping[str, Any]) -> dict[str, Any]:
        """The rule's local names and the job, each as an entry."""
        types = {name: self._loop_type(path.kind) for name, path in rule.clause.loops}
        entries = {n: self.entry(t, given.get(n, {}), n) for n, t in types.items()}
        rest = {name: value for name, value in given.items() if name not in types}
        return {**entries, "job": self.entry("job", rest, "job")}

    @staticmethod
    def _loop_type(kind: Kind) -> str:
        return kind.type if isinstance(kind, Many) else ""

    def entry(self, type_name: str, given: Any, name: str) -> dict[str, Any]:
        """One entry of a type."""
        fields = self.vocabulary.fields(type_name)
        if not isinstance(given, Mapping):
            raise UnknownNameError(str(given), type_name, fields)
        made: dict[str, Any] = {"~name": name}
        for key, value in given.items():
            if key not in fields:
                raise UnknownNameError(str(key), type_name.replace("_", " "), fields)
            made[str(key)] = self.value(fields[key], value, str(key))
        for key, kind in fields.items():
            if isinstance(kind, Thing) and key not in made and (type_name, key) in SECTIONS:
                made[key] = self.entry(kind.type, {}, key)
        return made

    def value(self, kind: Kind, value: Any, name: str) -> Any:
        """One value of a kind."""
        match kind:
            case Thing(type_name, is_shared):
                if isinstance(value, str) and value.startswith("not taken") and not is_shared:
                    return NotTaken(value.partition(":")[2].strip() or "no reason given")
                return self.entry(type_name, value, name)
            case Many(type_name):
                if value == "none":
                    return []
                items = value if isinstance(value, list) else [value]
                return [self.entry(type_name, v, f"{name} {n}") for n, v in enumerate(items, 1)]
            case Number(is_reading=True):
                return ReadingKind().parse(value, name)
            case Number():
                return FigureKind().parse(value, name)
            case Word(words):
                return Words(words).parse(value, name)
            case YesNo():
                return YesNoKind().parse(value, name)
            case Moment():
                return MomentKind(may_lie_ahead=True).parse(value, name)
        return TextKind().parse(value, name)
