"""The record as JSON Schema 2020-12, read off the models: for editors and for JSON records.

A scalar may be written as text, as our YAML loader hands it on, or as JSON's own number or
true and false. What only the whole record can tell (names that must exist, the order of
tests) no schema says; the loader does.
"""

from __future__ import annotations

from typing import Any, Literal, get_args, get_origin

from compliance.record.batch import Batch
from compliance.record.entry import Group
from compliance.record.evidence import Evidence, Judgement
from compliance.record.installation import Installation
from compliance.record.kinds import (
    AboutKind,
    FieldKind,
    FigureKind,
    MomentKind,
    ReadingKind,
    ReasonKind,
    Reference,
    Texts,
    Words,
    YesNoKind,
)
from compliance.record.said_once import VISIT_TO_COME, sayable
from compliance.record.shape import FieldShape, fields
from compliance.record.site import Visit
from compliance.units import COUNT, find

Schema = dict[str, Any]

_DIALECT = "https://json-schema.org/draft/2020-12/schema"
_SILENT = r"[nN]([uU][lL][lL]|/?[aA]|[iI][lL])|~|[tT][bB][cCaAdD]|[mM]issing|[uU]nknown|\?|-"
_SAYS = rf"^(?!\s*({_SILENT})?\s*$)"
_NAMES = rf"^(?!\s*none\s*$){_SAYS[1:]}"
_NUMBER = r"-?(0|[1-9][0-9]*)(\.[0-9]+)?"
_DAY = r"[0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])"
_VISIT = r"day of visit [1-9][0-9]?"
_TIME = r"(T([01][0-9]|2[0-3]):[0-5][0-9](:[0-5][0-9])?)?"


def record_schema() -> Schema:
    """The schema of `installation.yaml`."""
    made: dict[str, Schema] = {}
    root = _group(Installation, made)
    return {
        "$schema": _DIALECT,
        "title": "Installation record",
        "description": "Everything known about one job; what is not known is left out.",
        **root,
        "$defs": dict(sorted(made.items())),
    }


def _group(model: type[Group], made: dict[str, Schema]) -> Schema:
    shapes = fields(model)
    required = [
        info.alias or name for name, info in model.model_fields.items() if info.is_required()
    ]
    properties = {name: _field(model, shape, made) for name, shape in shapes.items()}
    if model is Batch:
        properties |= {name: {} for name in sorted(sayable().keys() - properties.keys())}
    schema: Schema = {
        "type": "object",
        "description": " ".join((model.__doc__ or "").split("\n\n")[0].split()),
        "additionalProperties": False,
        "properties": properties,
    }
    if model is Evidence:  # of a meter's file that is read, the loader says what it is about
        required.remove("about")
        schema["anyOf"] = [{"required": ["about"]}, {"required": ["tests"]}]
    if model is Judgement:  # one of a batch may be planned, and take from it who decides and when
        said = ["by", "on", "outcome", "grounds"]
        required = [name for name in required if name not in said]
        schema["anyOf"] = [{"required": said}, {"required": ["batch"]}]
    if model is Visit:
        required.remove("on")
        to_come: Schema = {"propertyNames": {"enum": sorted(VISIT_TO_COME)}}
        schema["anyOf"] = [{"required": ["on"]}, to_come]
    return {**schema, "required": required} if required else schema


def _referred(model: type[Group], made: dict[str, Schema]) -> Schema:
    name = model.type_name()
    if name not in made:
        made[name] = {}
        made[name] = _group(model, made)
    return {"$ref": f"#/$defs/{name}"}


def _field(model: type[Group], shape: FieldShape, made: dict[str, Schema]) -> Schema:
    if shape.section is not None:
        return _referred(shape.section, made)
    if shape.collection is not None:
        return _collection(shape, made)
    tag = getattr(model, "tag", "")
    if tag and _is_tag(model, shape):
        return {"const": tag}
    if shape.kind is None:
        annotation = model.model_fields[shape.name].annotation
        words = get_args(annotation) if get_origin(annotation) is Literal else ()
        return {"enum": list(words)}
    if (model, shape.name) == (Visit, "on"):  # which other days may name
        return _text(f"^{_DAY}{_TIME}$")
    return _scalar(shape.kind, shape.name)


def _is_tag(model: type[Group], shape: FieldShape) -> bool:
    """Whether the field is the one whose word tells the kinds of its collection apart."""
    return isinstance(shape.kind, Words) and getattr(model, "tag", "") in shape.kind.words


def _collection(shape: FieldShape, made: dict[str, Schema]) -> Schema:
    entries = [_referred(entry, made) for entry in shape.entries]
    entry = _by_tag(shape, entries) if shape.tag_field else entries[0]
    if shape.collection and shape.collection.at_most_one:
        some: Schema = entry
    elif shape.is_named:
        some = {"type": "object", "minProperties": 1, "additionalProperties": entry}
    else:
        some = {"type": "array", "minItems": 1, "items": entry}
    return {"anyOf": [some, {"const": "none"}]}


def _by_tag(shape: FieldShape, entries: list[Schema]) -> Schema:
    """One kind of entry for each word of the tag, so that a message names the right one."""
    tags = [str(getattr(entry, "tag", "")) for entry in shape.entries]
    chosen = [
        {"if": {"properties": {shape.tag_field: {"const": tag}}}, "then": entry}
        for tag, entry in zip(tags, entries, strict=True)
    ]
    return {
        "type": "object",
        "required": [shape.tag_field],
        "properties": {shape.tag_field: {"enum": tags}},
        "allOf": chosen,
    }


def _scalar(kind: FieldKind, name: str) -> Schema:
    unit = find(name)
    noted = {"description": f"in {unit.symbol}"} if unit is not COUNT else {}
    match kind:
        case FigureKind():
            return {"anyOf": [{"type": "number"}, _text(f"^{_NUMBER}$")], **noted}
        case ReadingKind():
            beyond = rf"(over|under|>|<)\s*{_NUMBER}"
            written = _text(rf"^({_NUMBER}|{beyond}|not taken\s*[:,]\s*(?!({_SILENT})\s*$)\S.*)$")
            return {"anyOf": [{"type": "number"}, written], **noted}
        case Words(words=words):
            return {"enum": list(words)}
        case YesNoKind():
            return {"enum": ["yes", "no", True, False]}
        case MomentKind(may_lie_ahead=ahead, may_have_time=timed):
            ways = [f"{_DAY}{_TIME if timed else ''}", _VISIT, *(["not yet"] if ahead else [])]
            return _text(f"^({'|'.join(ways)})$")
        case Texts():
            item = _text(_SAYS)
            some = {"type": "string", "allOf": [item, {"not": {"const": "none"}}]}
            return {"anyOf": [some, {"type": "array", "minItems": 1, "items": item}]}
        case Reference(many=True) | AboutKind():
            name_of = _text(_NAMES)
            return {"anyOf": [name_of, {"type": "array", "minItems": 1, "items": name_of}]}
        case Reference():
            return _text(_NAMES)
        case Texts():
            one, some = _text(_NAMES), _text(_SAYS)
            return {"anyOf": [one, {"type": "array", "minItems": 1, "items": some}]}
        case ReasonKind():
            return _text(_SAYS)
    return _text(_SAYS)


def _text(pattern: str) -> Schema:
    return {"type": "string", "pattern": pattern}
