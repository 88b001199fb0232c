"""What was written: text with its place, and the tree of it that a file gives."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

from compliance.errors import Place

Style: TypeAlias = Literal["plain", "quoted", "block"]
Node: TypeAlias = "dict[str, Node] | list[Node] | Written"
Path: TypeAlias = tuple[str | int, ...]
Position: TypeAlias = tuple[int, int]


class Written(str):
    """The text of one scalar as the person wrote it; a plain `str` in every other respect.

    `line` and `column` count from 1. `style` says how it stood: `plain`, `quoted`
    (either quote) or `block` (`|` or `>`). A value left empty is `Written("")`,
    plain, placed right after its colon or dash.
    """

    __slots__ = ("column", "line", "style")

    line: int
    column: int
    style: Style

    def __new__(
        cls, text: str = "", line: int = 0, column: int = 0, style: Style = "plain"
    ) -> Written:
        written = super().__new__(cls, text)
        written.line = line
        written.column = column
        written.style = style
        return written


@dataclass(frozen=True)
class Tree:
    """One file as nested `dict`, `list` and `Written`, and where each part of it stands.

    Keys are `Written` too. `sha256` is that of the file's bytes.
    """

    data: dict[str, Node]
    name: str
    sha256: str
    entries: Mapping[Path, Position] = field(repr=False)
    """Where each mapping entry's key stands, and each list entry that is a list or mapping."""

    def place(self, loc: Sequence[str | int]) -> Place:
        """Where the value at `loc` stands: a text at itself, a mapping or list at its key.

        `loc` is a path of keys and indexes (from 0, as in Python and in pydantic's error
        locations). Parts that nothing was written for are passed over, and the nearest
        part that was written gives the line; names among them still stand in the field,
        so that a missing field is named. The field counts list entries from 1, as people
        do: `tests[2].value_v` is the second test.
        """
        written, node, shown = self._follow(loc)
        line, column = self._entry(written)
        if isinstance(node, Written):
            line, column = node.line, node.column
        return Place(self.name, line, column, field_name(shown))

    def key_place(self, loc: Sequence[str | int]) -> Place:
        """Where the key of `loc` stands, or the list entry if it has no key."""
        written, node, shown = self._follow(loc)
        line, column = self._entry(written)
        if isinstance(node, Written) and written not in self.entries:
            line, column = node.line, node.column
        return Place(self.name, line, column, field_name(shown))

    def _follow(self, loc: Sequence[str | int]) -> tuple[Path, Node, Path]:
        """The longest path that was written, what stands there, and the path to show."""
        node: Node = self.data
        written: Path = ()
        unknown: Path = ()
        for part in loc:
            child = _child(node, part)
            if child is not None:
                node, written, unknown = child, (*written, part), ()
            elif not isinstance(node, Written) and _is_a_name(part):
                unknown = (*unknown, part)
        return written, node, written + unknown

    def _entry(self, path: Path) -> Position:
        while path and path not in self.entries:
            path = path[:-1]
        return self.entries[path]


def field_name(path: Sequence[str | int]) -> str:
    """A path as a person reads it: `tests[2].value_v`, entries counted from 1."""
    parts = (f"[{part + 1}]" if isinstance(part, int) else f".{_legible(part)}" for part in path)
    return "".join(parts).removeprefix(".")


def shown(text: str, length: int = 60) -> str:
    """Text for a message: on one line, cut to `length`, what can't be seen written out."""
    cut = text if len(text) <= length else text[: length - 1] + "…"
    return _legible(cut)


def _legible(text: str) -> str:
    if text.isprintable():
        return str(text)
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in text)


def _child(node: Node, part: str | int) -> Node | None:
    if isinstance(node, dict) and isinstance(part, str):
        return node.get(part)
    if isinstance(node, list) and isinstance(part, int) and 0 <= part < len(node):
        return node[part]
    return None


def _is_a_name(part: str | int) -> bool:
    """Whether a part can be a field, not a validator's own label such as `function-after[...]`."""
    return isinstance(part, int) or re.fullmatch(r"[\w .+-]+", part) is not None
