"""Texts of the generated code: where a plain value can be compared or reckoned with in line."""

from __future__ import annotations

from dataclasses import dataclass

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
    return " or ".join(f"{g} is None" for g in given if g[0] in "pqf" and is_local(g))


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
        f"{text} is not None" if is_plain(node, text) else f"{text}.__class__ is float"
        for node, text in given
        if is_local(text)
    )


def always_plain(node: Node) -> bool:
    """Whether it is a constant, or a field that holds a plain value or nothing."""
    return isinstance(node, Const) or (isinstance(node, Path) and holds_plain(node.kind))


def is_plain(node: Node, text: str) -> bool:
    """Whether the text of a node's value holds a plain value or nothing."""
    return always_plain(node) or not is_local(text) or text[0] == "f"


def is_simple(node: Node) -> bool:
    """Whether a number is there without calculating and without going through a collection."""
    return isinstance(node, Const | Path | Limit)


def inside(number: str) -> str:
    return f"({number})" if number.startswith("-") else number


# Where one side was worked out, by the tolerance of the reference; what is plainly less first.
_WORKED = {
    "<=": "{a} <= {b} or {a} - {b} <= {about_b}",
    ">=": "{a} >= {b} or {b} - {a} <= {about_a}",
    "<": "{a} < {b} and not ({b} - {a} <= {about_a})",
    ">": "{a} > {b} and not ({a} - {b} <= {about_b})",
}


@dataclass(frozen=True, slots=True)
class Compared:
    """A condition without parts, ready to be written.

    `plain` is its worth where `checks` says that plain values stand there (empty where they
    always do); it may be asked first where it `is_safe`, since it is false of what is missing.
    Otherwise None is its worth where `missing`, and else `other` (if that is empty, None too).
    """

    plain: str
    checks: str = ""
    missing: str = ""
    other: str = ""
    is_safe: bool = False
    over: tuple[str, str] = ("", "")
    """Where a reading beyond the meter's range is sure to be more, and what says so."""

    def worth(self, late: str = "") -> str:
        """True, False or None as one expression; with what an unknown is, the outcome."""
        if not late:
            return self._chosen(self.plain, "True", "None", self.other)
        if self.is_safe:
            return f"MET if {self.plain} else NOT_MET if {self.checks} else {late}"
        other = f"said({self.other}, {late})" if self.other else ""
        plain = "MET" if self.plain == "True" else f"(MET if {self.plain} else NOT_MET)"
        return self._chosen(plain, "MET", late, other)

    def _chosen(self, plain: str, yes: str, missing: str, other: str) -> str:
        if not self.checks:
            return plain
        if not other:
            return f"{plain} if {self.checks} else {missing}"
        other = f"{missing} if {self.missing} else {other}" if self.missing else other
        sure, is_over = self.over
        other = f"({yes} if {sure} else {missing}) if {is_over} else {other}" if sure else other
        return f"{plain} if {self.checks} else {other}"


def ordered(node: Order, a: str, b: str) -> str:
    """The comparison of two plain numbers."""
    form = _WORKED[node.op] if node.is_worked else "{a} " + node.op + " {b}"
    return form.format(a=a, b=b, about_a=_tolerance(a), about_b=_tolerance(b))


def beyond_range(node: Order, a: str, b: str) -> tuple[str, str]:
    """When `over 200` is surely more than the other side, and what tells that it is one."""
    left = node.left.kind
    if node.is_worked or node.op[0] == "<" or not (isinstance(left, Number) and left.is_reading):
        return "", ""
    is_float = f" and {b}.__class__ is float" if is_local(b) else ""
    return f"{a}.limit >= {b}", f"{a}.__class__ is OVER{is_float}"


def surely(node: Order, a: str, b: str) -> str:
    """What is only true of two numbers within measure that compare so without any tolerance."""
    if not node.is_worked or "=" not in node.op:
        return ""
    low, high = (a, b) if node.op == "<=" else (b, a)
    start = f"-1e300 < {low}" if is_local(low) else low
    return f"{start} <= {high} < 1e300" if is_local(high) else f"{start} <= {high}"


def _tolerance(number: str) -> str:
    """What two sides may differ by where one was worked out, of this one."""
    return f"1e-9 * abs({number})" if is_local(number) else repr(1e-9 * abs(float(number)))
