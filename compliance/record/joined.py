"""A record's tree with what other places say of it: its firm, its batches, its meter files."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeAlias

from compliance.errors import ComplianceError, Place, raise_all
from compliance.files.written import Node, Path, Tree
from compliance.record.installation import Installation
from compliance.record.shape import entries_of, fields

Elsewhere: TypeAlias = "dict[Path, tuple[Tree, Path]]"
"""What was taken over: where it stands in the record, and in which file it was said where."""

Said: TypeAlias = "tuple[Node, tuple[Tree, Path]]"
"""An entry, and in which file it was said where."""


@dataclass(frozen=True)
class Joined(Tree):
    """A record with what was taken over; each such value is placed where it was said."""

    elsewhere: Mapping[Path, tuple[Tree, Path]] = field(default_factory=dict)

    def place(self, loc: Sequence[str | int]) -> Place:
        """Where the value at `loc` stands, in the file that says it."""
        found = self._found(loc)
        return found[0].place(found[1]) if found else super().place(loc)

    def key_place(self, loc: Sequence[str | int]) -> Place:
        """Where the key of `loc` stands, in the file that says it."""
        found = self._found(loc)
        return found[0].key_place(found[1]) if found else super().key_place(loc)

    def _found(self, loc: Sequence[str | int]) -> tuple[Tree, Path] | None:
        """Where something was said, whether itself or with the group it stands in."""
        for length in range(len(loc), 0, -1):
            there = self.elsewhere.get(tuple(loc[:length]))
            if there is not None:
                return there[0], (*there[1], *loc[length:])
        return None


def filled(entry: Mapping[str, Any], more: Mapping[str, Any]) -> dict[str, Node]:
    """An entry with what it does not say itself; a section of it likewise."""
    out = {**entry, **{key: value for key, value in more.items() if key not in entry}}
    for key, value in entry.items():
        if isinstance(value, Mapping) and isinstance(more.get(key), Mapping):
            out[key] = filled(value, more[key])
    return out


def taken(entry: Mapping[str, Any], more: Mapping[str, Any]) -> Iterator[Path]:
    """The paths below an entry of what it took over in `filled`."""
    for key, value in more.items():
        if key not in entry:
            yield (str(key),)
        elif isinstance(value, Mapping) and isinstance(entry[key], Mapping):
            yield from ((str(key), *path) for path in taken(entry[key], value))


class Joining:
    """A record's data while it takes over what is said elsewhere; `problems` met on the way."""

    def __init__(self, tree: Tree) -> None:
        self.tree = tree
        self.data: dict[str, Node] = dict(tree.data)
        self.elsewhere: Elsewhere = {}
        self.problems: list[ComplianceError] = []
        self.planned: dict[str, str] = {}
        """What is planned only, by short name, with its batch that nobody speaks for yet."""
        self.would_say: dict[str, dict[str, str]] = {}
        """What the firm's usual words say with a batch, once somebody speaks for it."""

    def result(self) -> Tree:
        """The tree with all that was taken over; the very tree where nothing was."""
        raise_all(self.problems)
        tree = self.tree
        if len(self.data) == len(tree.data) and all(
            self.data.get(name) is held for name, held in tree.data.items()
        ):
            return tree
        return Joined(self.data, tree.name, tree.sha256, tree.entries, self.elsewhere)

    def entries(self, collection: str) -> list[tuple[str | int, Mapping[str, Any]]]:
        """The entries of a collection, by short name or place in the list."""
        return list(mappings(self.data, collection))

    def put(self, at: Path, entry: Mapping[str, Any]) -> None:
        """Puts a group in its place, beside what is there."""
        held: Any = self.data
        for step in at[:-1]:
            inner: Any = held[int(step)] if isinstance(held, list) else held.get(step)
            if held is not self.data or inner is self.tree.data.get(str(step)):
                inner = inner.copy() if isinstance(inner, dict | list) else {}
            held[step] = inner  # a copy, since what was written or lent stays as it was
            held = inner
        held[at[-1]] = dict(entry)

    def give(
        self,
        at: Path,
        entry: Mapping[str, Any],
        more: Mapping[str, Any],
        said: tuple[Tree, Path],
    ) -> None:
        """Gives an entry what it does not say itself, as it was said in `said`."""
        where, there = said
        for path in taken(entry, more):
            said = (where, (*there, *path))
            if where is self.tree:  # what was said there may have been taken over itself
                said = self.elsewhere.get(said[1], said)
            self.elsewhere[(*at, *path)] = said
        self.put(at, filled(entry, more))

    def keep(self, collection: str, keys: Sequence[str | int]) -> None:
        """Leaves out the entries of a collection but these; without any it is not said."""
        held: Any = self.data.pop(collection)
        if keys and isinstance(held, list):
            self.data[collection] = held
            self.arrange(collection, [int(key) for key in keys])
        elif keys:
            self.data[collection] = {str(key): held[key] for key in keys}

    def arrange(self, collection: str, entries: Sequence[int | Said]) -> None:
        """Puts a list together anew, of entries by their place in it and of new ones."""
        held: Any = self.data.get(collection)
        before: dict[Any, Elsewhere] = {}
        for loc in [loc for loc in self.elsewhere if loc[0] == collection]:
            before.setdefault(loc[1], {})[loc[2:]] = self.elsewhere.pop(loc)
        made: list[Node] = []
        for index, each in enumerate(entries):
            if isinstance(each, int):
                entry, said = (
                    held[each],
                    {(): (self.tree, (collection, each)), **before.get(each, {})},
                )
            else:
                entry, said = each[0], {(): each[1]}
            made.append(entry)
            self.elsewhere |= {(collection, index, *below): at for below, at in said.items()}
        self.data[collection] = made

    def place(self, loc: Sequence[str | int]) -> Place:
        """Where something stands that was written in the record itself."""
        return self.tree.place(loc)


def mappings(
    data: Mapping[str, Any], collection: str
) -> Iterator[tuple[str | int, Mapping[str, Any]]]:
    """The entries of a collection as written that are groups, with their keys."""
    shape = fields(Installation)[collection]
    for key, entry in entries_of(shape, data.get(collection)):
        if isinstance(entry, Mapping) and key is not None:
            yield (key if isinstance(key, int) else str(key)), entry
