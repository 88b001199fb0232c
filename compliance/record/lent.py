"""What a firm knows once, lent to each of its jobs: `firm.yaml` in the folder above the job.

The firm's people, instruments and usual parts have short names in one namespace with the
job's own. An entry of the firm is lent when the job names it: where a reference names it,
as `by: rowan`, it joins the record as it is; where an entry says `usual: NAME`, it takes
from the firm's entry of that name what it does not say itself. Nothing else is taken over,
except the organisation where the job states none. Each value keeps the line it stands on.

In the same way the tests and photos of one batch take over what was said once of the batch.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from compliance.errors import ComplianceError, Place, RecordError, raise_all
from compliance.files.written import Node, Tree, Written
from compliance.record import problems as wrong
from compliance.record.installation import Installation
from compliance.record.kinds import Reference
from compliance.record.opened import FIRM_FILE
from compliance.record.refusing import in_our_words
from compliance.record.shape import entries_of, fields, written_fields

FORMAT = "firm/1"
COLLECTIONS = (
    "people", "instruments", "components", "isolators", "surge", "cables", "circuits", "labels",
)  # fmt: skip
BATCHED = ("tests", "evidence")
USUAL = "usual"

Loc = tuple[str | int, ...]


def firm_file(job: Path, firm: Path | None) -> Path:
    """Where a job's firm file is: in the folder named, else in the one above the job."""
    return (firm or job.absolute().parent) / FIRM_FILE


@dataclass(frozen=True)
class Joined(Tree):
    """A record with what the firm lends it; what is lent is placed in the firm's file."""

    firm: Tree | None = None
    lent: Mapping[Loc, Loc] = field(default_factory=dict)
    """Where each thing that was lent stands here, and where in the firm's file."""
    of_batch: Mapping[Loc, Loc] = field(default_factory=dict)
    """Where each thing that a batch says stands here, and where in the batch."""

    def place(self, loc: Sequence[str | int]) -> Place:
        """Where the value at `loc` stands, in the file that says it."""
        there = _found(self.lent, loc)
        if there is not None and self.firm is not None:
            return self.firm.place(there)
        return super().place(_found(self.of_batch, loc) or loc)

    def key_place(self, loc: Sequence[str | int]) -> Place:
        """Where the key of `loc` stands, in the file that says it."""
        there = _found(self.lent, loc)
        if there is not None and self.firm is not None:
            return self.firm.key_place(there)
        return super().key_place(_found(self.of_batch, loc) or loc)


def _found(lent: Mapping[Loc, Loc], loc: Sequence[str | int]) -> Loc | None:
    """Where something was lent from, whether itself or with the group it stands in."""
    for length in range(1, len(loc) + 1):
        there = lent.get(tuple(loc[:length]))
        if there is not None:
            return (*there, *loc[length:])
    return None


def joined(tree: Tree, firm: Tree | None) -> Tree:
    """A record's tree with what its firm lends it; the very tree where nothing is lent.

    Raises:
        RecordError: If the firm's file says what cannot be, a name stands in both, or the
            record asks for a usual part that the firm does not have; `Problems` if several.
    """
    if firm is not None:
        raise_all(_wrong_in(firm))
        raise_all(_in_both(tree, firm))
    lending = _Lending(tree, firm)
    raise_all(lending.problems)
    if not lending.lent and not lending.of_batch:
        return tree
    return Joined(
        lending.data, tree.name, tree.sha256, tree.entries, firm, lending.lent, lending.of_batch
    )


class _Lending:
    """One walk over a record, which takes from the firm what the record names."""

    def __init__(self, tree: Tree, firm: Tree | None) -> None:
        self.tree = tree
        self.firm: Mapping[str, Any] = firm.data if firm else {}
        self.has_firm = firm is not None
        self.data: dict[str, Node] = dict(tree.data)
        self.lent: dict[Loc, Loc] = {}
        self.of_batch: dict[Loc, Loc] = {}
        self.problems: list[ComplianceError] = []
        for collection in BATCHED:
            self.say_for_batch(collection)
        for collection in COLLECTIONS:
            for name, entry in list(_entries(self.data, collection)):
                self.fill(collection, name, entry)
        if "organisation" in self.firm and "organisation" not in self.data:
            self.data["organisation"] = self.firm["organisation"]
            self.lent["organisation",] = ("organisation",)
        while self.firm and self.add_named():
            pass

    def say_for_batch(self, collection: str) -> None:
        """Gives each entry that names a batch what the batch says and the entry does not."""
        held, shape = self.data.get(collection), fields(Installation)[collection]
        batches = dict(_entries(self.data, "batches"))
        filled: Any = held.copy() if isinstance(held, list | dict) else {}
        for key, entry in entries_of(shape, held):
            kind = shape.entry_type(entry)
            if kind is None or key is None or not isinstance(entry, Mapping):
                continue
            name = str(entry.get("batch", "")).strip()
            said = batches.get(name, {})
            more = {k: v for k, v in said.items() if k not in entry and k in fields(kind)}
            filled[key] = {**entry, **more}
            self.of_batch |= {(collection, key, str(k)): ("batches", name, str(k)) for k in more}
        if self.of_batch:
            self.data[collection] = filled

    def fill(self, collection: str, name: str, entry: Mapping[str, Any]) -> None:
        """Gives an entry that says `usual` what it does not say itself."""
        usual = entry.get(USUAL)
        if not isinstance(usual, Written):
            return
        place = self.tree.place((collection, name, USUAL))
        known = dict(_entries(self.firm, collection))
        found = known.get(str(usual))
        if found is None:
            problem = wrong.UnknownUsualError(str(usual), collection, known, self.has_firm, place)
            self.problems.append(problem)
            return
        tag = fields(Installation)[collection].tag_field
        if tag and str(entry.get(tag, found.get(tag))).strip() != str(found.get(tag)).strip():
            self.problems.append(wrong.AnotherKindError(str(usual), tag, str(found[tag]), place))
            return
        more = {key: value for key, value in found.items() if key not in entry}
        self.data[collection] = {**self._collection(collection), name: {**entry, **more}}
        self.lent |= {(collection, name, k): (collection, str(usual), k) for k in more}

    def add_named(self) -> bool:
        """Adds the entries of the firm that references name; whether there were any."""
        wanted = [
            (collection, name)
            for collection, name in _named(self.data)
            if name in dict(_entries(self.firm, collection))
            and name not in dict(_entries(self.data, collection))
        ]
        for collection, name in dict.fromkeys(wanted):
            entry = self.firm[collection][name]
            self.data[collection] = {**self._collection(collection), name: entry}
            self.lent[collection, name] = (collection, name)
        return bool(wanted)

    def _collection(self, name: str) -> dict[str, Node]:
        held = self.data.get(name)
        return dict(held) if isinstance(held, dict) else {}


def _entries(data: Mapping[str, Any], collection: str) -> Iterator[tuple[str, Mapping[str, Any]]]:
    shape = fields(Installation)[collection]
    for key, entry in entries_of(shape, data.get(collection)):
        if isinstance(entry, Mapping):
            yield str(key), entry


def _named(data: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """Every name that a reference in a record names, with the collection it is sought in."""
    for found in written_fields(Installation, data):
        if isinstance(found.shape.kind, Reference):
            collection = found.shape.kind.to.partition(".")[0]
            values = found.value if isinstance(found.value, list) else [found.value]
            for value in values:
                if isinstance(value, Written) and collection in COLLECTIONS:
                    yield collection, str(value).strip()


# -- what can be wrong --------------------------------------------------------------------


def _wrong_in(firm: Tree) -> list[RecordError]:
    """What cannot be in a firm's file; what a usual part leaves for the job to say is fine."""
    if str(firm.data.get("firm", "")).strip() != FORMAT:
        return [wrong.FirmFormatError(firm.place(("firm",)))]
    known = ("firm", "organisation", *COLLECTIONS)
    problems: list[RecordError] = [
        wrong.UnknownFieldError(str(key), known, firm.key_place((str(key),)))
        for key in firm.data
        if key not in known
    ]
    problems += _usual_of_usual(firm)
    said = {key: value for key, value in firm.data.items() if key in known and key != "firm"}
    try:
        Installation.model_validate(said)
    except ValidationError as failed:
        found = in_our_words(failed, firm, Installation)
        tags = {f'"{shape.tag_field}"' for shape in fields(Installation).values()}
        problems += [p for p in found if not _is_left_to_the_job(p, tags)]
    return problems


def _usual_of_usual(firm: Tree) -> Iterator[RecordError]:
    for collection in COLLECTIONS:
        for name, entry in _entries(firm.data, collection):
            if USUAL in entry:
                place = firm.place((collection, name, USUAL))
                yield wrong.UsualOfUsualError(name, str(entry[USUAL]), place)


def _is_left_to_the_job(problem: RecordError, tags: Iterable[str]) -> bool:
    is_missing = isinstance(problem, wrong.MissingFieldError)
    return is_missing and not any(problem.what.startswith(tag) for tag in tags if tag != '""')


def _in_both(tree: Tree, firm: Tree) -> Iterator[RecordError]:
    theirs = {name: c for c in COLLECTIONS for name, _ in _entries(firm.data, c)}
    for collection, shape in fields(Installation).items():
        for key, _ in entries_of(shape, tree.data.get(collection)) if shape.is_named else ():
            name = str(key)
            if name in theirs:
                there = firm.key_place((theirs[name], name))
                yield wrong.NameOfFirmError(name, there, tree.key_place((collection, name)))
