"""From a path or a trade name that a person types to the field of the record that is meant."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from compliance.errors import CallError
from compliance.record.batch import Batch
from compliance.record.entry import Group
from compliance.record.installation import Installation
from compliance.record.problems import did_you_mean
from compliance.record.said_once import sayable
from compliance.record.shape import FieldShape, entries_of, fields

Loc = tuple[str | int, ...]
Aliases = Mapping[str, Iterable[str]]
"""What people call a field, with the fields that it may mean."""

_STEP = re.compile(r"([^.\[\]]+)|\[(\d+)\]")


@dataclass(frozen=True, slots=True)
class Named:
    """A field that was found: where it stands in the record's data."""

    loc: Loc
    shape: FieldShape


def named(path: str, data: Any, aliases: Aliases) -> Named:
    """The field that a path means, such as `site.supply.Ze` or `tests[3].value_v`.

    Args:
        path: Steps separated by dots; entries of a list counted from 1, in brackets.
        data: The record as it was written, which says of which kind an entry is.
        aliases: The trade's names of fields.

    Raises:
        CallError: If a step is not known, or the path does not end at a single value.
    """
    group: type[Group] = Installation
    shape: FieldShape | None = None
    loc: list[str | int] = []
    node = data
    for step in _steps(path):
        if shape is not None and shape.collection is not None:
            key = _entry(step, node, shape, path)
            node = _below(node, key)
            found = shape.entry_type(node)
            if found is None:
                raise CallError(f'in "{path}": say first of which kind {step} is')
            group, shape = found, None
            loc.append(key)
            continue
        known = {**sayable(), **fields(Batch)} if group is Batch else fields(group)
        name = field_of(str(step), group, aliases, path, known)
        shape = known[name]
        node = _below(node, name)
        loc.append(name)
        if shape.section is not None:
            group, shape = shape.section, None
    if shape is None or shape.kind is None:
        raise CallError(f'"{path}" is a group of values; name one value in it: {_some(group)}')
    return Named(tuple(loc), shape)


def field_of(
    name: str,
    group: type[Group],
    aliases: Aliases,
    path: str = "",
    known: Mapping[str, FieldShape] | None = None,
) -> str:
    """The field of a group that a name or one of the trade's names means.

    `known` are the fields to choose from where they are more than the group's own.

    Raises:
        CallError: With the nearest known name.
    """
    meant = meant_by(name, group, aliases, known)
    if len(meant) == 1:
        return meant[0]
    where = f' in "{path}"' if path else ""
    if meant:
        raise CallError(f'"{name}"{where} may mean {" or ".join(meant)}; write which')
    raise CallError(
        f'"{name}"{where} is not known here. {did_you_mean(name, known or fields(group))}'
    )


def meant_by(
    name: str,
    group: type[Group],
    aliases: Aliases,
    known: Mapping[str, FieldShape] | None = None,
) -> list[str]:
    """The fields of a group that a name or one of the trade's names may mean."""
    known = fields(group) if known is None else known
    if name in known:
        return [name]
    called = {alias.casefold(): fields for alias, fields in aliases.items()}
    return [field for field in called.get(name.casefold(), ()) if field in known]


def short_names(data: Mapping[str, Any]) -> dict[str, dict[str, Any]]:
    """A record's short names by collection, also by kind of entry (`components.module`)."""
    names: dict[str, dict[str, Any]] = {}
    for name, shape in fields(Installation).items():
        if not shape.is_named:
            continue
        for key, entry in entries_of(shape, data.get(name)):
            names.setdefault(name, {})[str(key)] = entry
            kind = shape.entry_type(entry)
            if shape.tag_field and kind is not None:
                names.setdefault(f"{name}.{kind.type_name()}", {})[str(key)] = entry
    return names


def _steps(path: str) -> list[str | int]:
    found = [int(m[2]) - 1 if m[2] else m[1].strip() for m in _STEP.finditer(path)]
    if not found or any(step == "" for step in found):
        raise CallError(f'"{path}" is no path; write it as site.supply.ze_ohm or tests[3].value_v')
    return found


def _entry(step: str | int, node: Any, shape: FieldShape, path: str) -> str | int:
    """The key of an entry: its short name, or its place in a list."""
    if shape.is_named:
        return str(step)
    count = len(node) if isinstance(node, list) else 0
    if not isinstance(step, int) or not 0 <= step <= count:
        raise CallError(
            f'in "{path}": {shape.name} holds {count} entries; write which, as {shape.name}[1], '
            f"or {shape.name}[{count + 1}] for a new one"
        )
    return step


def _below(node: Any, key: str | int) -> Any:
    if isinstance(node, Mapping):
        return node.get(key)
    is_there = isinstance(node, list) and isinstance(key, int) and key < len(node)
    return node[key] if is_there else None


def _some(group: type[Group]) -> str:
    return ", ".join(list(fields(group))[:8])
