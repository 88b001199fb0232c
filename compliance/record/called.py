"""A record in the fields' own names, where people wrote what the trade calls them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from compliance.files.written import Path, Tree, Written
from compliance.record.entry import Group
from compliance.record.installation import Installation
from compliance.record.naming import Aliases
from compliance.record.renaming import renamed
from compliance.record.shape import entries_of, fields


@dataclass(frozen=True, slots=True)
class OwnNames:
    """A tree in the fields' own names, and where it was written in others."""

    tree: Tree
    written: Mapping[Path, Path] = field(default_factory=dict)
    """Where a field stands in the file that is called something else there."""


def in_own_names(tree: Tree, aliases: Aliases) -> OwnNames:
    """A record, or what a firm lends to records, in the fields' own names.

    A name of the trade counts where the group has one field that it may mean and does not
    hold that field already; any other is left as it is, to be refused with its line.
    """
    called = {alias.casefold(): [*meant] for alias, meant in aliases.items()}
    names = dict(_renamed(tree.data, Installation, (), called))
    if not names:
        return OwnNames(tree)
    return OwnNames(renamed(tree, names), names)


def _renamed(
    data: Any, model: type[Group], loc: Path, called: Mapping[str, list[str]]
) -> Iterator[tuple[Path, Path]]:
    """Each field that is called something else in a group and below it: its name, as written."""
    if not isinstance(data, Mapping):
        return
    known = fields(model)
    for key, value in data.items():
        meant = [f for f in called.get(str(key).casefold(), ()) if f in known and f not in data]
        if key not in known and len(meant) == 1 and isinstance(value, Written):
            yield (*loc, meant[0]), (*loc, str(key))
    for name, shape in known.items():
        if name not in data:
            continue
        here = (*loc, name)
        if shape.section is not None:
            yield from _renamed(data[name], shape.section, here, called)
        for key, entry in entries_of(shape, data[name]):
            kind = shape.entry_type(entry)
            if kind is not None:
                yield from _renamed(entry, kind, here if key is None else (*here, key), called)
