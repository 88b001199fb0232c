"""What one person says once of many entries that belong together: a batch.

An entry that names its `batch` takes from it what it does not say itself, of the fields that
it has. A batch that nobody speaks for yet is planned: nothing can be taken from it, and the
tests, labels, cables, switches and so on that name it are not part of the record until somebody
does. What a plan lends is therefore never taken for what was found.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from functools import cache
from typing import Any

from compliance.files.written import Written
from compliance.record.batch import Batch
from compliance.record.entry import Batched
from compliance.record.installation import Installation
from compliance.record.joined import Joining
from compliance.record.kinds import Reference
from compliance.record.problems import NobodySaysItError
from compliance.record.shape import FieldShape, fields
from compliance.record.tests import CONDITIONS, Test

BATCH = "batch"
_ITS = re.compile(r"its (\w+)")
PLANNED = ("known", "part")
"""What a plan may say of its entries without anybody who saw it."""
ONCE_DONE = ("connector_pairs", "isolators", "surge", "cables", "labels", "tests")
"""What is in the record only once it was fitted or made; strings and parts are there from the
beginning, without what is said of them."""


TO_DO = ("labels", "tests")
"""What a visit is for; for its sheet all else may be taken as it is planned."""


def say_for_batches(joining: Joining, *, as_planned: bool = False) -> None:
    """Gives every entry that names a batch what the batch says of it.

    With `as_planned` what is planned only counts as there, as far as no visit has to do it.
    """
    batches = {str(name): entry for name, entry in joining.entries("batches")}
    own = fields(Batch)
    taken: dict[str, set[str]] = {name: set() for name in batches}
    for collection, shape in fields(Installation).items():
        if not any(issubclass(kind, Batched) for kind in shape.entries):
            continue
        for key, entry in joining.entries(collection):
            name = str(entry.get(BATCH, "")).strip()
            if name in batches:
                more = _fitting(shape, str(key), entry, batches[name])
                taken[name] |= more.keys()
                joining.give((collection, key), entry, more, (joining.tree, ("batches", name)))
    for name, said in batches.items():
        for field in ("on", *sorted(taken[name] - own.keys())):
            if "by" not in said and field in said and field not in PLANNED:
                place = joining.place(("batches", name, field))
                joining.problems.append(NobodySaysItError(name, field, place))
        kept = {k: v for k, v in said.items() if str(k) in own or str(k) not in taken[name]}
        if len(kept) < len(said):
            joining.put("batches", name, kept)
    planned = {name for name, said in batches.items() if "by" not in said}
    for collection in TO_DO if as_planned else ONCE_DONE:
        _leave_out(joining, collection, planned)
    if joining.planned:
        _about_what_stands(joining)


@cache
def sayable() -> Mapping[str, FieldShape]:
    """Every field that some entry may take over from its batch, by name."""
    kinds = (kind for shape in fields(Installation).values() for kind in shape.entries)
    return {n: f for kind in kinds if issubclass(kind, Batched) for n, f in fields(kind).items()}


def _fitting(
    shape: FieldShape, name: str, entry: Mapping[str, Any], said: Mapping[str, Any]
) -> dict[str, Any]:
    """What a batch says that an entry can take over, `its name` and `its pole` as the entry's."""
    kind = shape.entry_type(entry)
    known = fields(kind) if kind is not None else {}
    own = {"name": name, **entry}
    return {str(k): _own(v, own) for k, v in said.items() if str(k) in known}


def _own(value: Any, own: Mapping[str, Any]) -> Any:
    its = _ITS.fullmatch(value) if isinstance(value, Written) else None
    found = own.get(its[1]) if its else None
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
    if batch in planned or (batch and shape.name == "tests" and _read_nothing(entry)):
        return batch
    kind = shape.entry_type(entry)
    for name, field in fields(kind).items() if kind is not None else ():
        named = entry.get(name) if isinstance(field.kind, Reference) else None
        for each in named if isinstance(named, list) else [named]:
            if isinstance(each, str) and each.strip() in names:
                return names[each.strip()]
    return ""


def _read_nothing(entry: Mapping[str, Any]) -> bool:
    not_read = {*fields(Test), "of", *CONDITIONS} - {"not_taken"}
    return not any(str(key) not in not_read for key in entry)


def _about_what_stands(joining: Joining) -> None:
    """Lets photos and papers be about what stands in the record; the rest of it is planned."""
    for name, entry in joining.entries("evidence"):
        about = entry.get("about")
        listed: list[Any] = about if isinstance(about, list) else [about]
        left = [each for each in listed if str(each).strip() not in joining.planned]
        if len(left) == len(listed):
            continue
        if left:
            joining.put("evidence", name, {**entry, "about": left})
            joining.elsewhere["evidence", name, "about"] = (
                joining.tree, ("evidence", str(name), "about"),
            )  # fmt: skip
        else:
            joining.planned[str(name)] = joining.planned[str(listed[0]).strip()]
            joining.keep("evidence", [key for key, _ in joining.entries("evidence") if key != name])
