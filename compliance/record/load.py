"""From the bytes of `installation.yaml` to a record, or every problem of the file at once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from compliance.errors import ComplianceError, Place, RecordError, raise_all
from compliance.files.yaml import Tree, Written, read_yaml
from compliance.record import problems as wrong
from compliance.record.called import in_own_names
from compliance.record.dates import contradictions, text_of_day
from compliance.record.entry import Entry
from compliance.record.evidence import Evidence
from compliance.record.installation import Installation
from compliance.record.joined import Joined, Joining
from compliance.record.kinds import DATE, AboutKind, Reference, names_nothing, says_nothing
from compliance.record.lent import firm_file, lend, lend_to_batches
from compliance.record.loops import loops
from compliance.record.meter_file import read_meter_files
from compliance.record.migrations import FIRM, in_todays_format
from compliance.record.naming import short_names
from compliance.record.opened import FILE
from compliance.record.parts import fitting_parts
from compliance.record.refusing import in_our_words, target_words
from compliance.record.said_once import say_for_batches
from compliance.record.shape import Found, entries_of, fields, written_fields
from compliance.record.site import visit_names
from compliance.record.visit_days import say_days
from compliance.record.words import spoken_in, usual_tests_in

MOST_PROBLEMS = 100
Loc = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Loaded:
    """A record with the file it came from, so that later problems can name their line."""

    folder: Path
    tree: Tree
    record: Installation
    written: Mapping[Loc, Loc]
    """Where a field stands in the file that is called by a name of the trade, or of an older
    format, there."""
    own: Tree
    """The file by itself, in the fields' own names."""
    meter_files: Mapping[str, str]
    """The SHA-256 of each meter's file that tests were read from, by its path in the folder."""
    planned: Mapping[str, str]
    """What is planned only, by short name, with its batch that nobody speaks for yet."""
    would_say: Mapping[str, Mapping[str, str]]
    """What the firm's usual words say with a batch, once somebody speaks for it: by field."""

    @property
    def said(self) -> dict[str, Any]:
        """All that stands in the file, also what is only planned, with what its firm lends it."""
        made: dict[str, Any] = {**self.tree.data}
        for name, held in self.own.data.items():
            joined = made.get(name)
            if isinstance(held, Mapping) and fields(Installation)[name].is_named:
                made[name] = {**held, **(joined if isinstance(joined, Mapping) else {})}
            elif joined is None or isinstance(held, list):
                made[name] = held  # a list in the order of the file
        return made

    def takes_from(self, name: str) -> bool:
        """Whether anything of the record is said in the file of that name."""
        said = self.tree.elsewhere.values() if isinstance(self.tree, Joined) else ()
        return any(tree.name == name for tree, _ in said)


def load_record(folder: Path, *, name: str | None = None, firm: Path | None = None) -> Loaded:
    """Reads the record of a job folder.

    Args:
        folder: The job folder, which holds `installation.yaml`.
        name: What messages call the file; its path if left out.
        firm: The folder that holds `firm.yaml`; the one above the job if left out.

    Raises:
        WrittenError: If the file is not strict YAML.
        RecordError: If it says something that cannot be.
        Problems: If there are several problems; all of them, in file order.
    """
    path = folder / FILE
    return record_from(read_yaml(path, name=name or str(path)), folder, firm_of(folder, firm))


def firm_of(job: Path, firm: Path | None = None) -> Tree | None:
    """What the firm of a job knows; None if there is no file of it and none was named.

    Raises:
        PathError: If a folder was named and holds no such file.
        WrittenError: If the file is not strict YAML.
    """
    path = firm_file(job, firm)
    return read_yaml(path) if firm is not None or path.exists() else None


def record_from(
    tree: Tree, folder: Path, firm: Tree | None = None, *, as_planned: bool = False
) -> Loaded:
    """The record that a tree holds with what its firm lends; raises as `load_record` does.

    With `as_planned` what is planned only counts as there; see `said_once`.
    """
    migrated = in_todays_format(tree)
    aliases = spoken_in(migrated.tree)
    own = in_own_names(migrated.tree, aliases)
    joining = Joining(own.tree)
    lender = firm and in_own_names(in_todays_format(firm, FIRM).tree, aliases).tree
    say_days(joining)
    lend_to_batches(joining, lender)
    say_for_batches(joining, as_planned=as_planned)
    lend(joining, lender)
    meter_files = read_meter_files(joining, folder, aliases, usual_tests_in(tree))
    tree = joining.result()
    problems: list[ComplianceError] = []
    record = None
    try:
        record = Installation.model_validate(tree.data)
    except ValidationError as failed:
        problems += in_our_words(failed, tree, Installation)
    problems += islice(_across(tree, joining.planned), MOST_PROBLEMS + 1)
    raise_all(_first(problems))
    assert record is not None  # noqa: S101 - for the type checker: without problems there is one
    was = {loc: migrated.written.get(there, there) for loc, there in own.written.items()}
    return Loaded(
        folder, tree, record, {**migrated.written, **was}, own.tree, meter_files,
        joining.planned, joining.would_say,
    )  # fmt: skip


def _first(problems: list[ComplianceError]) -> list[ComplianceError]:
    """No more problems than anyone reads in one go, and a word that there are more."""
    if len(problems) <= MOST_PROBLEMS:
        return problems
    kept = sorted(problems, key=lambda p: p.place or Place(""))[:MOST_PROBLEMS]
    return [*kept, wrong.TooManyProblemsError(MOST_PROBLEMS, kept[-1].place)]


# -- what no single field can tell ------------------------------------------------------


def _across(tree: Tree, planned: Mapping[str, str]) -> Iterator[RecordError]:
    yield from _names_used_twice(tree)
    yield from _no_names(tree)
    names = short_names(tree.data)
    for found in written_fields(Installation, tree.data):
        if isinstance(found.shape.kind, Reference):
            for problem in _dangling(found, found.shape.kind, names, tree):
                batch = planned.get(problem.text)
                place = problem.place
                yield wrong.PlannedOnlyError(problem.text, batch, place) if batch else problem
        elif isinstance(found.shape.kind, AboutKind):
            everything = {"job", *_visits(tree), *(n for some in names.values() for n in some)}
            yield from _unknown(found, everything, "entries", tree)
    yield from loops(tree)
    yield from _disordered(tree)
    yield from _undecided_parts(tree, names.get("parts", {}))
    yield from contradictions(tree)


def _visits(tree: Tree) -> Iterator[str]:
    visits = tree.data.get("visits")
    return visit_names(text_of_day(v) for v in (visits if isinstance(visits, list) else ()))


def _names_used_twice(tree: Tree) -> Iterator[RecordError]:
    first: dict[str, Place] = {}
    for name, shape in fields(Installation).items():
        if not shape.is_named:
            continue
        for key, _ in entries_of(shape, tree.data.get(name)):
            place = tree.key_place((name, str(key)))
            if str(key) in first:
                places = sorted((first[str(key)], place))
                yield wrong.NameTwiceError(str(key), places[0], places[1])
            else:
                first[str(key)] = place


def _no_names(tree: Tree) -> Iterator[RecordError]:
    for name, shape in fields(Installation).items():
        for key, _ in entries_of(shape, tree.data.get(name)) if shape.is_named else ():
            text, place = str(key), tree.key_place((name, str(key)))
            if text == "job":
                yield wrong.NotANameError(text, "it stands for the whole job", place)
            elif text == "none" or says_nothing(text):
                yield wrong.NotANameError(text, "it says that there is nothing", place)
            elif text != " ".join(text.split()):
                yield wrong.NotANameError(text, "it has spaces that nobody sees", place)


def _dangling(
    found: Found, kind: Reference, names: dict[str, dict[str, Any]], tree: Tree
) -> Iterator[wrong.UnknownReferenceError]:
    known = {name: entry for to in kind.targets for name, entry in names.get(to, {}).items()}
    yield from _unknown(found, known, target_words(kind), tree)


def _unknown(
    found: Found, known: Any, what: str, tree: Tree
) -> Iterator[wrong.UnknownReferenceError]:
    if names_nothing(found.value):
        return  # told where the value was read
    many = isinstance(found.value, list)
    for index, item in enumerate(found.value if many else [found.value]):
        if isinstance(item, Written) and item.strip() and str(item) not in known:
            place = tree.place((*found.loc, index) if many else found.loc)
            yield wrong.UnknownReferenceError(str(item), what, known, place)


def _disordered(tree: Tree) -> Iterator[RecordError]:
    latest: dict[tuple[str, str], str] = {}
    tests = tree.data.get("tests")
    for index, entry in enumerate(tests if isinstance(tests, list) else ()):
        if not isinstance(entry, dict):
            continue
        test, of, on = (str(entry.get(f, "")) for f in ("test", "of", "on"))
        earlier = latest.get((test, of), "")
        if not DATE.fullmatch(on):
            continue
        length = min(len(on), len(earlier))  # where one has no time of day, days compare
        if on[:length] < earlier[:length]:
            place = tree.place(("tests", index, "on"))
            yield wrong.OrderOfTestsError(test, of, on, earlier, place)
        latest[test, of] = max(on, earlier)


def _undecided_parts(tree: Tree, parts: dict[str, Any]) -> Iterator[RecordError]:
    for name, shape in fields(Installation).items():
        for key, entry in entries_of(shape, tree.data.get(name)):
            kind = shape.entry_type(entry)
            if kind is None or not issubclass(kind, Entry) or issubclass(kind, Evidence):
                continue
            if not isinstance(entry, dict) or "part" in entry or key is None:
                continue
            fitting = fitting_parts(kind, {n: p.get("kind") for n, p in parts.items()
                                           if isinstance(p, dict)})  # fmt: skip
            if len(fitting) > 1:
                yield wrong.WhichPartError(str(key), fitting, tree.key_place((name, key)))
