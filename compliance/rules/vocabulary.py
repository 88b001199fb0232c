"""What names the rules may use: read off the record's models, never written twice."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache

from compliance.record.entry import Entry, Group
from compliance.record.evidence import EVIDENCE_KINDS
from compliance.record.installation import Installation
from compliance.record.kinds import (
    AboutKind,
    FigureKind,
    MomentKind,
    ReadingKind,
    Reference,
    Texts,
    Words,
    YesNoKind,
)
from compliance.record.shape import FieldShape, fields
from compliance.record.view import plural
from compliance.rules.language.kinds import (
    Kind,
    LimitSign,
    Many,
    Moment,
    Number,
    Text,
    Thing,
    Vocabulary,
    Word,
    YesNo,
)
from compliance.units import find


def vocabulary(
    quantities: Iterable[tuple[str, str]], limits: Mapping[str, LimitSign]
) -> Vocabulary:
    """The table of names for the rules of this project.

    Args:
        quantities: Every worked-out value, as (type, name).
        limits: How each limit table is asked.
    """
    known = frozenset(quantities)
    return Vocabulary(fields_of_types(known), known, limits, frozenset(EVIDENCE_KINDS))


def sections() -> frozenset[tuple[str, str]]:
    """Every section, which is always there, as (type, name)."""
    return frozenset(
        (name, shape.name)
        for name, model in _models().items()
        for shape in fields(model).values()
        if shape.section is not None
    )


@cache  # walks over every model
def fields_of_types(quantities: frozenset[tuple[str, str]]) -> Mapping[str, Mapping[str, Kind]]:
    """The names that entries of each type answer to, worked-out values included."""
    models = _models()
    types = {name: _fields(model, models) for name, model in models.items()}
    for source, model in models.items():
        for shape in fields(model).values():
            kind = shape.kind
            if isinstance(kind, Reference) and kind.back:
                entry = _entry_of(source)
                found = Thing(entry) if kind.latest else Many(entry, _is_complete(entry))
                for to in kind.targets:
                    for target in _with_subtypes(_target(to), models):
                        types[target].setdefault(kind.back, found)
    for shape in fields(Installation).values():
        if shape.is_named and shape.tag_field and shape.collection is not None:
            for entry_type in shape.entries:
                many = Many(entry_type.type_name(), shape.collection.is_complete)
                types["job"][plural(entry_type)] = many
    for owner, name in quantities:
        types[owner][name] = Number(find(name), is_worked=True)
    return types


def _models() -> dict[str, type[Group]]:
    """Every kind of group, by the name the rules know it by; the record itself is `job`."""
    found: dict[str, type[Group]] = {"job": Installation}
    waiting: list[type[Group]] = [Installation]
    while waiting:
        for shape in fields(waiting.pop()).values():
            inner = [*shape.entries, *([shape.section] if shape.section else [])]
            if len(shape.entries) > 1:
                inner.append(_common(shape))
            for model in inner:
                if model.type_name() not in found:
                    found[model.type_name()] = model
                    waiting.append(model)
    return found


def _common(shape: FieldShape) -> type[Group]:
    """What the kinds of entry in one collection have in common."""
    base = shape.entries[0].__base__
    assert base is not None  # noqa: S101 - for the type checker
    assert issubclass(base, Group)  # noqa: S101
    return base


def _fields(model: type[Group], models: Mapping[str, type[Group]]) -> dict[str, Kind]:
    found: dict[str, Kind] = {}
    for name, shape in fields(model).items():
        kind = _kind(shape)
        if kind is not None:
            found[name] = kind
    if "part" not in found and issubclass(model, Entry) and model.part_kinds:
        found["part"] = Thing("part", is_shared=True)
    return found


def _kind(shape: FieldShape) -> Kind | None:
    if shape.section is not None:
        return Thing(shape.section.type_name())
    if shape.collection is not None:
        one = len(shape.entries) == 1
        entry = shape.entries[0] if one else _common(shape)
        return Many(entry.type_name(), shape.collection.is_complete)
    match shape.kind:
        case FigureKind():
            return Number(find(shape.name))
        case ReadingKind():
            return Number(find(shape.name), is_reading=True)
        case Words(known):
            return Word(known)
        case YesNoKind():
            return YesNo()
        case MomentKind():
            return Moment()
        case Reference(to=to, many=many):
            return Many(_target(to)) if many else Thing(_target(to), is_shared=True)
        case None | AboutKind() | Texts():
            return None
    return Text()


def _target(to: str) -> str:
    collection, _, kind = to.partition(".")
    if kind:
        return kind
    many = _kind(fields(Installation)[collection])
    assert isinstance(many, Many)  # noqa: S101 - for the type checker
    return many.type


def _with_subtypes(name: str, models: Mapping[str, type[Group]]) -> list[str]:
    return [other for other, model in models.items() if issubclass(model, models[name])]


def _entry_of(source: str) -> str:
    """The entry that a group belongs to: `input` is a section of `string`."""
    for name, model in _models().items():
        for shape in fields(model).values():
            if shape.section is not None and shape.section.type_name() == source:
                return name
    return source


def _is_complete(entry: str) -> bool:
    models = _models()
    for shape in fields(Installation).values():
        if shape.collection is not None and any(
            issubclass(e, models[entry]) or issubclass(models[entry], e) for e in shape.entries
        ):
            return shape.collection.is_complete
    return True
