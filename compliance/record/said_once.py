"""What one person says once of many entries that belong together: a batch.

An entry, or a section of one, that names its `batch` takes from it what it does not say itself,
of the fields that it has. A batch that nobody speaks for yet is planned: nothing can be taken
from it, and the tests, labels, cables, switches and so on that name it are not part of the
record until somebody does. What a plan lends is therefore never taken for what was found.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping
from functools import cache
from typing import Any

from compliance.files.written import Path, Written
from compliance.record.batch import Batch
from compliance.record.entry import Group
from compliance.record.installation import Installation
from compliance.record.joined import Joining
from compliance.record.kinds import Reference
from compliance.record.problems import NobodySaysItError
from compliance.record.shape import FieldShape, entries_of, fields
from compliance.record.tests import CONDITIONS, Test

BATCH, USUAL = "batch", "usual"
AS_IT_SHOULD_BE = "as it should be"
"""The result of a test that a batch says of all its tests, whatever each one's own word is."""
_ITS = re.compile(r"its (\w+)")
PLANNED = ("known", "part")
"""What a plan may say of its entries without anybody who saw it."""
ONCE_DONE = ("connector_pairs", "isolators", "surge", "cables", "labels", "tests", "judgements")
"""What is in the record only once it was fitted, made or decided; strings and parts are there
from the beginning, without what is said of them."""


TO_DO = ("labels", "tests", "judgements")
"""What a visit is for; for its sheet all else may be taken as it is planned."""

VISIT_TO_COME = frozenset({USUAL, BATCH, "who", "access"})
"""What is said of a visit before it took place."""


def say_for_batches(joining: Joining, *, as_planned: bool = False) -> None:
    """Gives every entry that names a batch what the batch says of it.

    With `as_planned` what is planned only counts as there, as far as no visit has to do it.
    """
    batches = {str(name): entry for name, entry in joining.entries("batches")}
    own = fields(Batch)
    taken: dict[str, set[str]] = {name: set() for name in batches}
    for at, kind, group in _groups(joining):
        name = str(group.get(BATCH, "")).strip()
        if name in batches:
            more = _fitting(kind, str(at[-1]), group, batches[name])
            taken[name] |= more.keys()
            joining.give(at, group, more, (joining.tree, ("batches", name)))
    for name, said in batches.items():
        for field in ("on", *sorted(taken[name] - own.keys())):
            if "by" not in said and field in said and field not in PLANNED:
                place = joining.place(("batches", name, field))
                joining.problems.append(NobodySaysItError(name, field, place))
        lent = {at[2] for at in joining.elsewhere if at[:2] == ("batches", name)}
        gone = {*taken[name], *lent} - own.keys()
        kept = {k: v for k, v in said.items() if str(k) not in gone}
        if len(kept) < len(said):
            joining.put(("batches", name), kept)
    planned = {name for name, said in batches.items() if "by" not in said}
    for collection in TO_DO if as_planned else ONCE_DONE:
        _leave_out(joining, collection, planned)
    to_come = [key for key, visit in joining.entries("visits") if not visit.keys() - VISIT_TO_COME]
    if to_come:
        there = (key for key, _ in joining.entries("visits"))
        joining.keep("visits", [key for key in there if key not in to_come])
    if joining.planned:
        _about_what_stands(joining)


@cache
def sayable() -> Mapping[str, FieldShape]:
    """Every field that something may take over from its batch, by name."""
    found: dict[str, FieldShape] = {}
    for shape in fields(Installation).values():
        for kind in (shape.section, *shape.entries):
            for _, below in _kinds(kind, ()) if kind else ():
                found |= fields(below)
    return found


def _kinds(kind: type[Group], at: Path) -> Iterator[tuple[Path, type[Group]]]:
    """A kind of group and its sections that can name a batch, each with its path below it."""
    if BATCH in fields(kind):
        yield at, kind
    for name, shape in fields(kind).items():
        if shape.section is not None:
            yield from _kinds(shape.section, (*at, name))


def _groups(joining: Joining) -> Iterator[tuple[Path, type[Group], Mapping[str, Any]]]:
    """Everything of a record that can name a batch: where, of what kind, and as it stands then."""
    for collection, shape in fields(Installation).items():
        held = joining.data.get(collection)
        here: list[tuple[Path, type[Group], Any]] = [
            ((collection, key), kind, entry)
            for key, entry in entries_of(shape, held)
            if key is not None and (kind := shape.entry_type(entry)) is not None
        ]
        if shape.section is not None:
            here.append(((collection,), shape.section, held))
        for at, kind, group in here:
            for below, inner in _kinds(kind, ()):
                found = group if not below else _at(joining.data, (*at, *below))
                if isinstance(found, Mapping):
                    yield (*at, *below), inner, found


def _at(data: Any, path: Path) -> Any:
    for step in path:
        if isinstance(data, Mapping):
            data = data.get(str(step))
        else:
            data = data[step] if isinstance(data, list) and isinstance(step, int) else None
    return data


def _fitting(
    kind: type[Group], name: str, group: Mapping[str, Any], said: Mapping[str, Any]
) -> dict[str, Any]:
    """What a batch says that something can take over, each value as its own.

    `its name` and `its pole` become the entry's, a result `as it should be` the test's own word.
    """
    own = {**said, "name": name, **group}
    theirs = fields(kind).keys() - {USUAL}
    found = {str(k): _own(v, own, kind) for k, v in said.items() if str(k) in theirs}
    return {key: value for key, value in found.items() if value is not None}


def _own(value: Any, own: Mapping[str, Any], kind: type[Group]) -> Any:
    """A value as the entry's own; None where it is what the entry does not say yet."""
    if not isinstance(value, Written):
        return value
    its = _ITS.fullmatch(value)
    if its and its[1] in fields(kind) and its[1] not in own:
        return None
    found = own.get(its[1]) if its else None
    if value == AS_IT_SHOULD_BE and issubclass(kind, Test):
        found = kind.as_it_should_be or None
    if not isinstance(found, str):
        return value
    return Written(str(found), value.line, value.column, value.style)


def _leave_out(joining: Joining, collection: str, planned: Collection[str]) -> None:
    """Leaves out the entries that are planned only, or stand on one that is."""
    entries = joining.entries(collection)
    shape = fields(Installation)[collection]
    left = []
    for key, entry in entries:
        batch = _planned_in(shape, entry, planned, joining.planned)
        if not batch:
            left.append(key)
            continue
        if shape.is_named:
            joining.planned[str(key)] = batch
        product = str(entry.get("product", "")).strip()
        if product and product not in dict(joining.entries("components")):
            joining.planned[product] = batch  # the firm lends it once the entry stands
    if len(left) < len(entries):
        joining.keep(collection, left)


def _planned_in(
    shape: FieldShape,
    entry: Mapping[str, Any],
    planned: Collection[str],
    names: Mapping[str, str],
) -> str:
    """The batch in which an entry is planned only; nothing if it stands in the record."""
    batch = str(entry.get(BATCH, "")).strip()
    if batch in planned or (batch and _says_nothing(shape.name, entry)):
        return batch
    kind = shape.entry_type(entry)
    for name, field in fields(kind).items() if kind is not None else ():
        named = entry.get(name) if isinstance(field.kind, Reference) else None
        for each in named if isinstance(named, list) else [named]:
            if isinstance(each, str) and each.strip() in names:
                return names[each.strip()]
    return ""


def _says_nothing(collection: str, entry: Mapping[str, Any]) -> bool:
    """Whether a test holds no reading yet, or a judgement no outcome."""
    if collection == "judgements":
        return "outcome" not in entry
    not_read = {*fields(Test), "of", *CONDITIONS} - {"not_taken"}
    return collection == "tests" and not any(str(key) not in not_read for key in entry)


def _about_what_stands(joining: Joining) -> None:
    """Lets photos and papers be about what stands in the record; the rest of it is planned."""
    for name, entry in joining.entries("evidence"):
        about = entry.get("about")
        listed: list[Any] = about if isinstance(about, list) else [about]
        left = [each for each in listed if str(each).strip() not in joining.planned]
        if len(left) == len(listed):
            continue
        if left:
            joining.put(("evidence", name), {**entry, "about": left})
            joining.elsewhere["evidence", name, "about"] = (
                joining.tree, ("evidence", str(name), "about"),
            )  # fmt: skip
        else:
            joining.planned[str(name)] = joining.planned[str(listed[0]).strip()]
            joining.keep("evidence", [key for key, _ in joining.entries("evidence") if key != name])
