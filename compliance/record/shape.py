"""The models read as data: which fields a group has, of what kind, pointing where.

The loader's checks across entries, the view and the rules' vocabulary all walk this, so
that a field is described once, by its annotation in the model.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, get_args, get_origin

from compliance.record.entry import Group
from compliance.record.kinds import CollectionKind, FieldKind, Tagged


@dataclass(frozen=True, slots=True)
class FieldShape:
    """One field: a scalar of a kind, a section, or a collection of entries."""

    name: str
    kind: FieldKind | None = None
    section: type[Group] | None = None
    entries: tuple[type[Group], ...] = ()
    tag_field: str = ""
    collection: CollectionKind | None = None
    is_named: bool = False

    def entry_type(self, data: Any) -> type[Group] | None:
        """Which of the entry types an entry has, by the word in its tag field."""
        if len(self.entries) == 1:
            return self.entries[0]
        tag = data.get(self.tag_field) if isinstance(data, Mapping) else None
        tag = tag.strip() if isinstance(tag, str) else tag
        return next((e for e in self.entries if getattr(e, "tag", None) == tag), None)


@cache
def fields(model: type[Group]) -> Mapping[str, FieldShape]:
    """Every field of a group, by name."""
    return {
        info.alias or name: _shape(info.alias or name, info.annotation, tuple(info.metadata))
        for name, info in model.model_fields.items()
    }


def _shape(name: str, annotation: Any, metadata: tuple[Any, ...]) -> FieldShape:
    annotation, metadata = _bare(annotation, metadata)
    collection = next((m for m in metadata if isinstance(m, CollectionKind)), None)
    if collection is not None:
        inner, more = _bare(get_args(annotation)[-1], ())
        tagged = next((m for m in more if isinstance(m, Tagged)), None)
        entries = get_args(inner) if tagged else (inner,)
        return FieldShape(
            name,
            entries=entries,
            tag_field=tagged.field if tagged else "",
            collection=collection,
            is_named=get_origin(annotation) is dict,
        )
    kind = next((m for m in metadata if isinstance(m, FieldKind)), None)
    if kind is None and isinstance(annotation, type) and issubclass(annotation, Group):
        return FieldShape(name, section=annotation)
    return FieldShape(name, kind=kind)


def _bare(annotation: Any, metadata: tuple[Any, ...]) -> tuple[Any, tuple[Any, ...]]:
    """An annotation without `Annotated` and `| None`, and the metadata met on the way."""
    while True:
        if get_origin(annotation) is Annotated:
            annotation, *more = get_args(annotation)
            metadata = (*metadata, *more)
            continue
        arguments = [a for a in get_args(annotation) if a is not type(None)]
        if type(None) in get_args(annotation) and len(arguments) == 1:
            annotation = arguments[0]
            continue
        return annotation, metadata


@dataclass(frozen=True, slots=True)
class Found:
    """One field as written: where, its shape, what stands there, and in which group."""

    loc: tuple[str | int, ...]
    shape: FieldShape
    value: Any
    group: type[Group]


def written_fields(
    model: type[Group], data: Any, loc: tuple[str | int, ...] = ()
) -> Iterator[Found]:
    """Every known field that was written below a group, whether or not its value is right."""
    if not isinstance(data, Mapping):
        return
    for name, shape in fields(model).items():
        if name not in data:
            continue
        value, here = data[name], (*loc, name)
        yield Found(here, shape, value, model)
        if shape.section is not None:
            yield from written_fields(shape.section, value, here)
        for key, entry in entries_of(shape, value):
            entry_type = shape.entry_type(entry)
            if entry_type is not None:
                yield from written_fields(entry_type, entry, here if key is None else (*here, key))


def entries_of(shape: FieldShape, value: Any) -> Iterator[tuple[str | int | None, Any]]:
    """The entries of a collection as written, with their keys; None where it is the entry."""
    if shape.collection is None:
        return
    if shape.collection.at_most_one and isinstance(value, Mapping):
        yield None, value
    elif isinstance(value, Mapping):
        yield from value.items()
    elif isinstance(value, list):
        yield from enumerate(value)
