"""What one person says once of many entries that belong together: a batch.

An entry that names its `batch` takes from it what it does not say itself, of the fields that
it has. A batch that nobody speaks for yet is planned: nothing can be taken from it, and the
tests and labels that name it are not part of the record until somebody does.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from compliance.record.batch import Batch
from compliance.record.entry import Batched
from compliance.record.installation import Installation
from compliance.record.joined import Joining
from compliance.record.problems import NobodySaysItError
from compliance.record.shape import FieldShape, fields

BATCH = "batch"
PLANNED = ("known", "part")
"""What a plan may say of its entries without anybody who saw it."""
ONCE_DONE = ("labels", "tests")
"""What is in the record only once it hangs or was made; anything else is there as planned."""


def say_for_batches(joining: Joining) -> None:
    """Gives every entry that names a batch what the batch says of it."""
    batches = {str(name): entry for name, entry in joining.entries("batches")}
    own = fields(Batch)
    taken: dict[str, set[str]] = {name: set() for name in batches}
    for collection, shape in fields(Installation).items():
        if not any(issubclass(kind, Batched) for kind in shape.entries):
            continue
        for key, entry in joining.entries(collection):
            name = str(entry.get(BATCH, "")).strip()
            if name in batches:
                more = _fitting(shape, entry, batches[name])
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
    for collection in ONCE_DONE:
        _leave_out(joining, collection, {n for n, said in batches.items() if "by" not in said})


def _fitting(
    shape: FieldShape, entry: Mapping[str, Any], said: Mapping[str, Any]
) -> dict[str, Any]:
    """What a batch says that an entry can take over."""
    kind = shape.entry_type(entry)
    known = fields(kind) if kind is not None else {}
    return {str(key): value for key, value in said.items() if str(key) in known}


def _leave_out(joining: Joining, collection: str, planned: set[str]) -> None:
    """Leaves out the entries of batches that nobody speaks for yet."""
    entries = joining.entries(collection)
    left = [key for key, entry in entries if str(entry.get(BATCH, "")).strip() not in planned]
    if len(left) == len(entries):
        return
    held: Any = joining.data.pop(collection)
    if left and isinstance(held, list):
        joining.arrange(
            collection, [(held[int(k)], (joining.tree, (collection, int(k)))) for k in left]
        )
    elif left:
        joining.data[collection] = {str(key): held[key] for key in left}
