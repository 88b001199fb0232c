"""Texts of the generated code: where a plain value can be compared or reckoned with in line."""

from __future__ import annotations

from collections.abc import Sequence

from compliance.rules.language.kinds import Number, Text, Word, YesNo
from compliance.rules.language.nodes import Each, Node, Order, parts_of
from compliance.rules.language.writer import is_local

_PLAIN = {Word: "str", Text: "str", YesNo: "bool", Number: "float"}


def where_plain(left: Node, given: Sequence[str], plain: str, other: str) -> str:
    """A comparison in line where both sides are of the plain class of their kind."""
    kind = _PLAIN[type(left.kind)]
    checks = " and ".join(f"{g}.__class__ is {kind}" for g in given if is_local(g))
    missing = " or ".join(f"{g} is None" for g in given if g[0] in "pq" and is_local(g))
    other = f"None if {missing} else {other}" if missing else other
    return f"{plain} if {checks} else {other}" if checks else plain


def unless_missing(node: Order, a: str, b: str, other: str) -> str:
    """A comparison of numbers that a missing side leaves unknown, whatever the other is.

    Not beside the least or greatest of a collection: that of no entries compares with anything.
    """
    if _may_be_of_none(node.left) or _may_be_of_none(node.right):
        return other
    missing = are_missing(a, b)
    return f"None if {missing} else {other}" if missing else other


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


def are_floats(*given: str) -> str:
    return " and ".join(f"{g}.__class__ is float" for g in given if is_local(g))


def inside(number: str) -> str:
    return f"({number})" if number.startswith("-") else number
