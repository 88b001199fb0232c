"""One change to a record's text: the person's comments, order and quoting stay as they are.

ruamel.yaml's round-trip mode writes; every scalar is text to it, as it is to our loader.
What it wrote is read back by our loader and compared before anybody calls it the record.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from difflib import SequenceMatcher
from io import StringIO
from typing import Any

from compliance.errors import RecordError
from compliance.files.yaml import parse_yaml

Loc = tuple[str | int, ...]
Entry = Mapping[str, str]
Style = tuple[int, int, int]

_STYLES: tuple[Style, ...] = ((2, 4, 2), (2, 2, 0), (4, 4, 2), (4, 6, 4), (4, 4, 0))
"""Indent of a group, of a list, and of the dash in a list."""


class NotWrittenAsMeantError(RecordError):
    """The changed text does not say what it was meant to say; it is our fault, and not saved."""

    id = "record.not-written-as-meant"

    def __init__(self, name: str) -> None:
        super().__init__(
            f"the change to {name} would have altered something else too; nothing was saved. "
            "Make this change by hand, and please report it"
        )


@dataclass(frozen=True, slots=True)
class Change:
    """A value, or an entry of several values, to stand at a place; a list's length appends."""

    loc: Loc
    value: str | Entry


@dataclass(frozen=True, slots=True)
class Renaming:
    """A field that is there, to be called something else in its group."""

    loc: Loc
    name: str


def edited(data: bytes, change: Change | Renaming, name: str) -> bytes:
    """The bytes of a record after one change.

    Args:
        data: The record's bytes, which our loader reads.
        change: What is to stand where; groups on the way are made if they are not there. Or
            what is to be called otherwise.
        name: What messages call the file.

    Raises:
        WrittenError: If the bytes cannot be read.
        NotWrittenAsMeantError: If the result would say anything else than the change.
    """
    wanted = _plain(parse_yaml(data, name=name).data)
    change = _of_a_new_entry(wanted, change) if isinstance(change, Change) else change
    _make(wanted, change, dict, list)
    text = data.decode("utf-8-sig").replace("\r\n", "\n")
    made = _written_like(text, change).encode()
    if _plain(parse_yaml(made, name=name).data) != wanted:
        raise NotWrittenAsMeantError(name)
    return made


def _of_a_new_entry(data: Any, change: Change) -> Change:
    """The change; where it begins an entry of a list, that of the whole entry."""
    node = data
    for depth, step in enumerate(change.loc[:-1], 1):
        if isinstance(step, int) and isinstance(node, list | None) and step == len(node or ()):
            value: Any = change.value
            for name in reversed(change.loc[depth:]):
                value = {name: value}
            return Change(change.loc[:depth], value)
        if not isinstance(node, Mapping | list):
            break
        node = node.get(step) if isinstance(node, Mapping) else node[int(step)]
    return change


def _plain(node: Any) -> Any:
    if isinstance(node, Mapping):
        return {str(key): _plain(value) for key, value in node.items()}
    return [_plain(item) for item in node] if isinstance(node, list) else str(node)


def _make(root: Any, change: Change | Renaming, mapping: Any, sequence: Any) -> Any:
    if isinstance(change, Change):
        return _change(root, change, mapping, sequence)
    return _rename(root, change)


def _rename(root: Any, change: Renaming) -> tuple[Any, Any]:
    """Renames in nested groups, with the comment that stands there; gives as `_change` does."""
    *way, old = change.loc
    node = root
    for step in way:
        node = node[step]
    if not hasattr(node, "ca"):
        node[change.name] = node.pop(old)
        return node, change.name
    comment = node.ca.items.pop(old, None)
    node.insert(list(node).index(old), change.name, node.pop(old))
    if comment is not None:
        node.ca.items[change.name] = comment
    return node, change.name


def _change(root: Any, change: Change, mapping: Any, sequence: Any) -> tuple[Any, Any]:
    """Makes the change in nested groups and lists; gives the group and key that it stands at."""
    node = root
    for step, following in zip(change.loc, change.loc[1:], strict=False):
        below = node.get(step) if isinstance(step, str) else node[step]
        if below is None or (below == "none" and not isinstance(below, Mapping | list)):
            below = sequence() if isinstance(following, int) else mapping()
            node[step] = below
        node = below
    last = change.loc[-1]
    value = change.value if isinstance(change.value, str) else mapping(change.value)
    if isinstance(last, int) and last == len(node):
        node.append(value)
    else:
        node[last] = value
    return node, last


# -- by ruamel.yaml ----------------------------------------------------------------------


def _written_like(text: str, change: Change | Renaming) -> str:
    """The changed text, indented the way in which the text itself comes out unchanged."""
    from ruamel.yaml.comments import CommentedMap, CommentedSeq

    root = _round_trip(_STYLES[0]).load(text)
    style, before = _style_of(text, root)
    tail = _tail_of_last(root, change.loc) if isinstance(change, Change) else None
    group, key = _make(root, change, CommentedMap, CommentedSeq)
    _give_tail(group, key, tail)
    after = _dumped(root, style)
    return after if before == text else _transferred(text, before, after)


def _transferred(text: str, before: str, after: str) -> str:
    """The lines in which two dumps differ, changed in the text that the dumps lay out anew."""
    own, old, new = (some.splitlines(keepends=True) for some in (text, before, after))
    places = dict[int, int]()
    for block in SequenceMatcher(None, old, own, autojunk=False).get_matching_blocks():
        places.update((block.a + n, block.b + n) for n in range(block.size))
    made, end = list[str](), 0
    for what, start, stop, first, last in SequenceMatcher(
        None, old, new, autojunk=False
    ).get_opcodes():
        if what == "equal":
            continue
        at = places.get(start, places.get(start - 1, -2) + 1)
        until = at + stop - start
        if at < end or own[at:until] != old[start:stop]:
            return after  # the change stands where the layout differs: the dump's is taken
        made += own[end:at] + new[first:last]
        end = until
    return "".join([*made, *own[end:]])


def _style_of(text: str, root: Any) -> tuple[Style, str]:
    """The indents of groups and lists with which the text comes out most as it is, and so."""
    own, found = text.splitlines(), list[tuple[int, Style, str]]()
    for style in _STYLES:
        again = _dumped(root, style)
        apart = sum(a != b for a, b in zip(own, again.splitlines(), strict=False))
        found.append((apart, style, again))
        if not apart:
            break
    _, style, again = min(found, key=lambda one: one[0])
    return style, again


def _dumped(root: Any, style: Style) -> str:
    written = StringIO()
    _round_trip(style).dump(root, written)
    return written.getvalue()


def _round_trip(style: Style) -> Any:
    from ruamel.yaml import YAML
    from ruamel.yaml.nodes import ScalarNode
    from ruamel.yaml.resolver import VersionedResolver
    from ruamel.yaml.tag import Tag

    class OnlyText(VersionedResolver):
        """Every scalar is text, so that 0.30 or 010 is written as it was read."""

        def resolve(self, kind: Any, value: Any, implicit: Any) -> Any:
            found = super().resolve(kind, value, implicit)
            is_plain = kind is ScalarNode and implicit and implicit[0]
            return Tag(suffix="tag:yaml.org,2002:str") if is_plain else found

    yaml = YAML(typ="rt")
    yaml.Resolver = OnlyText
    yaml.preserve_quotes = True
    yaml.width = 1_000_000
    mapping, sequence, offset = style
    yaml.indent(mapping=mapping, sequence=sequence, offset=offset)
    return yaml


def _tail_of_last(root: Any, loc: Loc) -> Any:
    """Takes the comment lines below the last entry of a group or list that is to grow.

    ruamel.yaml keeps them with that entry, though they belong to what follows.
    """
    node = root
    for step in loc[:-1]:
        node = node.get(step) if isinstance(step, str) else node[step]
        if not isinstance(node, Mapping | list):
            return None
    last = loc[-1]
    grows = last == len(node) if isinstance(last, int) else last not in node
    if not grows or not len(node):
        return None
    holder: Any = node
    key: Any = None
    while isinstance(node, Mapping | list) and len(node):
        holder, key = node, (len(node) - 1 if isinstance(node, list) else list(node)[-1])
        node = node[key]
    slot = 0 if isinstance(holder, list) else 2
    comments = holder.ca.items.get(key)
    token = comments[slot] if comments and len(comments) > slot else None
    if token is None:
        return None
    own, newline, below = token.value.partition("\n")
    if not below:
        return None
    token.value = own + newline
    if not own.strip():
        comments[slot] = None
    return below


def _give_tail(group: Any, key: Any, below: Any) -> None:
    """Gives the comment lines that were taken to the entry that is last now."""
    if below is None:
        return
    from ruamel.yaml.error import CommentMark
    from ruamel.yaml.tokens import CommentToken

    holder = group
    while isinstance(holder[key], Mapping | list) and len(holder[key]):
        holder = holder[key]
        key = len(holder) - 1 if isinstance(holder, list) else list(holder)[-1]
    token = CommentToken("\n" + below, CommentMark(0), None)
    slot = 0 if isinstance(holder, list) else 2
    comments = holder.ca.items.setdefault(key, [None] * 4)
    comments[slot] = token
