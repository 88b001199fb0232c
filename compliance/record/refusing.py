"""What pydantic refuses, in our words: the one place where its errors are mapped, by type."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from pydantic import ValidationError

from compliance.errors import Place, RecordError, RulesetError, raise_all
from compliance.files.yaml import Tree
from compliance.record import problems as wrong
from compliance.record.entry import Entry, Group
from compliance.record.installation import Installation
from compliance.record.kinds import Reference
from compliance.record.shape import FieldShape, fields

T = TypeVar("T", bound=Group)


class AsWrittenError(RulesetError):
    """A ruleset file says something that its fields cannot hold; told in the models' words."""

    id = "ruleset.as-written"


def read_as(model: type[T], tree: Tree, called: Callable[[Place], Place] | None = None) -> T:
    """A file of the rulesets folder as its model; every problem at once, as RulesetErrors.

    `called` gives a place the name that people know it by.
    """
    try:
        return model.model_validate(tree.data)
    except ValidationError as failed:
        problems = in_our_words(failed, tree, model)
    for p in problems:
        p.place = called(p.place) if called and p.place else p.place
    raise_all(AsWrittenError(p.what, p.place) for p in problems)
    raise AssertionError("pydantic refused a file without saying why")


def in_our_words(failed: ValidationError, tree: Tree, root: type[Group]) -> list[RecordError]:
    """Every problem that pydantic found in a tree, each with its place."""
    return [_ours(error, tree, root) for error in failed.errors(include_url=False)]


def collection_words(to: str) -> str:
    """What a reference may name, in the words of the record: `components of category inverter`."""
    collection, _, kind = to.partition(".")
    shape = fields(Installation)[collection]
    tags = [e.tag for e in shape.entries if issubclass(e, Entry) and e.type_name() == kind]
    return f"{collection} of {shape.tag_field} {tags[0]}" if tags else collection


def target_words(reference: Reference) -> str:
    """What a reference may name, every kind of it."""
    return " or ".join(collection_words(to) for to in reference.targets)


def _ours(error: Any, tree: Tree, root: type[Group]) -> RecordError:
    loc = _without_tags(error["loc"], tree, root)
    place, kind, given = tree.place(loc), error["type"], error.get("input")
    if kind == "value_error":
        refused = error["ctx"]["error"]
        problem: RecordError = refused.problem
        if refused.field:
            place = tree.place((*loc, refused.field))
        if isinstance(problem, wrong.MissingFieldError):
            place = tree.key_place(loc)
        if isinstance(problem, wrong.NamesNothingError):
            return _names_nothing(loc, tree, root)
        problem.place = place
        return problem
    if kind == "extra_forbidden":
        model = _group_at(loc[:-1], tree, root)
        known = fields(model) if model else ()
        return wrong.UnknownFieldError(str(loc[-1]), known, tree.key_place(loc))
    if kind == "missing":
        model = _group_at(loc[:-1], tree, root)
        right = _wanted(fields(model)[str(loc[-1])]) if model else "it is left out"
        return wrong.MissingFieldError(str(loc[-1]), right, tree.key_place(loc))
    if kind == "literal_error" and isinstance(given, str):
        return wrong.WrongFormatError(given, place)
    if isinstance(given, str):
        found = f'"{given}"'
        if not str(given).strip():
            return wrong.SaysNothingError("", place)
    else:
        found = "a list" if isinstance(given, list) else "a group of fields"
    return wrong.NotAnEntryError(found, _RIGHT.get(kind, _RIGHT["model_type"]), place)


def _names_nothing(loc: tuple[str | int, ...], tree: Tree, root: type[Group]) -> RecordError:
    """What a reference that names nothing could name, told where it stands."""
    model = _group_at(loc[:-1], tree, root)
    kind = fields(model)[str(loc[-1])].kind if model else None
    what = target_words(kind) if isinstance(kind, Reference) else "entries"
    return wrong.NamesNothingError(what, tree.place(loc))


_RIGHT = {
    "model_type": "a group of named fields belongs here",
    "list_type": "a list in brackets, or one entry a line after a dash, belongs here",
    "literal_error": "a single value belongs here",
}


def _wanted(shape: FieldShape) -> str:
    if isinstance(shape.kind, Reference):
        return f"the short name of one of the {target_words(shape.kind)}"
    if shape.name == "record":
        return 'the first line is "record: installation/2"'
    return "the rest of the entry hangs on it"


def _without_tags(
    loc: tuple[str | int, ...], tree: Tree, root: type[Group]
) -> tuple[str | int, ...]:
    """A location without the words that only told kinds of entry apart."""
    shape = fields(root).get(str(loc[0])) if loc else None
    if shape is not None and shape.tag_field and len(loc) > 3:
        loc = (*loc[:2], *loc[3:])
    node: Any = tree.data
    kept: list[str | int] = []
    for index, part in enumerate(loc):
        if isinstance(node, Mapping) and isinstance(part, int) and index < len(loc) - 1:
            continue  # the one entry of a collection of at most one
        kept.append(part)
        try:
            node = node[part]
        except (KeyError, IndexError, TypeError):
            node = None
    return tuple(kept)


def _group_at(loc: tuple[str | int, ...], tree: Tree, root: type[Group]) -> type[Group] | None:
    """The group of fields that stands at a location."""
    model: type[Group] | None = root
    node: Any = tree.data
    shape: FieldShape | None = None
    for part in loc:
        try:
            node = node[part]
        except (KeyError, IndexError, TypeError):
            return None
        if model is not None:
            shape = fields(model).get(str(part))
            model = None
            if shape is None:
                return None
            if shape.section is not None:
                model = shape.section
            elif shape.collection is not None and shape.collection.at_most_one:
                model = shape.entry_type(node)
        elif shape is not None:
            model = shape.entry_type(node)
    return model
