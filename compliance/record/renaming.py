"""A tree in which fields are called something else, each still where it was written."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from compliance.files.written import Node, Path, Tree


def renamed(tree: Tree, names: Mapping[Path, Path]) -> Tree:
    """A copy of a tree with fields renamed in their groups, their order kept.

    Args:
        tree: The tree as it was written.
        names: Where each field is to stand, and where it stands now, in the same group.
    """
    data: Any = copied(tree.data)
    for own, was in names.items():
        group = at(data, own[:-1])
        ordered = [(own[-1] if key == was[-1] else key, value) for key, value in group.items()]
        group.clear()
        group.update(ordered)
    back = {was: own for own, was in names.items()}
    entries = {back.get(path, path): position for path, position in tree.entries.items()}
    return replace(tree, data=data, entries=entries)


def copied(node: Node) -> Node:
    """A copy whose groups and lists may be changed; texts are shared."""
    if isinstance(node, dict):
        return {key: copied(value) for key, value in node.items()}
    return [copied(item) for item in node] if isinstance(node, list) else node


def at(node: Any, loc: Path) -> Any:
    """What stands at a path."""
    for step in loc:
        node = node[step]
    return node
