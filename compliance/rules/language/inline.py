"""Texts of the generated code: where a plain value can be compared or reckoned with in line."""

from __future__ import annotations

from compliance.rules.language.kinds import Number, Text, Word, YesNo
from compliance.rules.language.nodes import Const, Each, Limit, Node, Order, Path, parts_of
from compliance.rules.language.writer import holds_plain, is_local

_PLAIN = {Word: "str", Text: "str", YesNo: "bool", Number: "float"}


def are_plain(left: Node, *given: str) -> str:
    """Whether all sides are of the plain class of the left one's kind."""
    kind = _PLAIN[type(left.kind)]
    return " and ".join(f"{g}.__class__ is {kind}" for g in given if is_local(g))


def are_days(*given: str) -> str:
    return " and ".join(f"{g}.__class__ is DATE" for g in given)


def lack(*given: str) -> str:
    """Whether a value that was read, or worked out, is missing."""
    return " or ".join(f"{g} is None" for g in given if g[0] in "pq" and is_local(g))


def known_missing(node: Order, a: str, b: str) -> str:
    """Whether a side is missing, so that numbers compare as unknown whatever the other is.

    Not beside the least or greatest of a collection: that of no entries compares with anything.
    """
    if _may_be_of_none(node.left) or _may_be_of_none(node.right):
        return ""
    return are_missing(a, b)


def _may_be_of_none(node: Node) -> bool:
    if isinstance(node, Each) and node.form in ("min", "max"):
        return True
    return any(_may_be_of_none(part) for part in parts_of(node))


def are_missing(*given: str) -> str:
    """Whether nothing at all is known of one of these numbers, where that is quickly told."""
    other = {"q": "{0} is None or {0}.__class__ is UNKNOWN", "n": "{0} is ANYTHING"}
    told = [other.get(one[0], "{0} is None").format(one) for one in given if is_local(one)]
    return " or ".join(told)


def are_lost(missing: str, factor: str) -> str:
    """Whether a product is unknown since one factor is, the other being known and not 0."""
    if not is_local(factor):
        return f"({are_missing(missing)})" if float(factor) != 0 else "False"
    return f"(({are_missing(missing)}) and {factor}.__class__ is float and {factor} != 0)"


def are_floats(*given: tuple[Node, str]) -> str:
    """Whether nodes, each with the text of its value, are plain numbers."""
    return " and ".join(
        f"{text} is not None" if always_plain(node) else f"{text}.__class__ is float"
        for node, text in given
        if is_local(text)
    )


def always_plain(node: Node) -> bool:
    """Whether it is a constant, or a field that holds a plain value or nothing."""
    return isinstance(node, Const) or (isinstance(node, Path) and holds_plain(node.kind))


def is_simple(node: Node) -> bool:
    """Whether a number is there without calculating and without going through a collection."""
    return isinstance(node, Const | Path | Limit)


def inside(number: str) -> str:
    return f"({number})" if number.startswith("-") else number
