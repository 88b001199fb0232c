"""Emitting conditions and numbers: plain values in line, whatever else is asked of `lifted`.

A condition becomes a local name that holds True, False or None; a number one that may be
missing, or a constant.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterator, Sequence
from typing import cast

from compliance.rules.language.inline import (
    Compared,
    always_plain,
    are_days,
    are_floats,
    are_lost,
    are_missing,
    are_plain,
    beyond_range,
    inside,
    is_plain,
    is_simple,
    known_missing,
    lack,
    ordered,
    surely,
)
from compliance.rules.language.kinds import Number, Thing
from compliance.rules.language.nodes import (
    Among,
    Apply,
    Arithmetic,
    Both,
    Const,
    Each,
    Either,
    Limit,
    Negative,
    Node,
    Not,
    Order,
    Path,
    Same,
    Scaled,
    Shown,
    Stated,
    Today,
    parts_of,
)
from compliance.rules.language.writer import Writer, is_local

_LIFTED = {"min": "least_of", "max": "greatest_of"}


class Conditions(Writer, ABC):
    """What emits the conditions and numbers of rules into the function."""

    # -- conditions -------------------------------------------------------------------

    def truth(self, node: Node) -> str:
        """Emits a condition; gives the local name that holds True, False or None."""
        shared = self.shared_name(node)
        if shared is None:
            return self.own_truth(node)
        with self.block(f"if {shared} is UNREAD:"), self.scope():
            self.put(f"{shared} = {self.own_truth(node)}")
        return shared

    def own_truth(self, node: Node) -> str:
        t = self.new("t")
        if self.settle(t, node):
            return t
        match node:
            case Both(parts=parts):
                self.chain(t, parts, stop="False", keep="True")
            case Either(parts=parts):
                self.chain(t, parts, stop="True", keep="False")
            case Not(body=body):
                inner = self.truth(body)
                self.put(f"{t} = None if {inner} is None else not {inner}")
            case Each():
                self.each_truth(t, node)
            case Shown(evidence=kind, about=about):
                v = self.value(about)
                with self.block(f"if {v}.__class__ is dict:"):
                    self.put(f"{t} = shown({kind!r}, {v}, {self.before!r})")
                with self.block("else:"):
                    self.put(f"{t} = None")
            case _:
                raise TypeError(f"not a condition: {node!r}")
        return t

    def chain(self, t: str, parts: Sequence[Node], *, stop: str, keep: str) -> None:
        first = self.truth(parts[0])
        self.put(f"{t} = {first}")
        for part in parts[1:]:
            with self.block(f"if {t} is not {stop}:"), self.scope():
                inner = self.truth(part)
                with self.block(f"if {inner} is not {keep}:"):
                    self.put(f"{t} = {inner}")

    def settle(self, target: str, node: Node, late: str = "") -> bool:
        """Emits a condition without parts into a local name, by `Compared.worth`.

        False if it has parts, and nothing is emitted.
        """
        if isinstance(node, Order) and not node.is_moment and self.reckoned(target, node, late):
            return True
        compared = self.compared(node)
        if compared is not None:
            self.put(f"{target} = {compared.worth(late)}")
        return compared is not None

    def compared(self, node: Node) -> Compared | None:
        """Emits what a condition without parts compares; None if it is another one."""
        match node:
            case Order(is_moment=True):
                return self.moments(node)
            case Order():
                return self.order(node)
            case Same(left=left, right=right):
                return self.same(left, right)
            case Among(left=left, values=values):
                a = self.exact(left)
                other = f"among({a}, {values!r})"
                return self.alike(f"{a} in {values!r}", (left,), (a,), other)
            case Stated(path=path):
                v = self.value(path)
                silent = "" if always_plain(path) else f" and {v}.__class__ not in SILENT"
                return Compared("True", f"{v} is not None{silent}")
        return None

    def moments(self, node: Order) -> Compared:
        a, b = self.moment(node.left), self.moment(node.right)
        asked = f"moments({node.op!r}, {a}, {b}, today)"
        return Compared(f"{a} {node.op} {b}", are_days(a, b), lack(a, b), asked)

    def order(self, node: Order) -> Compared:
        a, b = self.number(node.left), self.number(node.right)
        plain = ordered(node, a, b)
        checks = are_floats((node.left, a), (node.right, b))
        if is_plain(node.left, a) and is_plain(node.right, b):
            return Compared(plain, checks)
        other = f"ordered({node.op!r}, {a}, {b}, {node.is_worked})"
        missing, over = known_missing(node, a, b), beyond_range(node, a, b)
        return Compared(plain, checks, missing, other, over=over)

    def reckoned(self, target: str, node: Order, late: str) -> bool:
        """Emits a comparison of calculations whose numbers are all plain, or all else otherwise.

        False if there is nothing to calculate, or nothing that fits into one expression.
        """
        if is_simple(node.left) and is_simple(node.right):
            return False
        if not (self.fits(node.left) and self.fits(node.right)):
            return False
        checks: dict[str, None] = {}
        sides = [
            (side, (self.operand if is_simple(side) else self.expression)(side, checks))
            for side in (node.left, node.right)
        ]
        with self.block(f"if {' and '.join(checks) or True}:"), self.scope():
            a, b = (text if is_simple(side) else self.named(text) for side, text in sides)
            plain = ordered(node, a, b)
            plain = f"(MET if {plain} else NOT_MET)" if late else f"({plain})"
            plain = f"{plain} if -1e300 < {a} - {b} < 1e300 else beyond()"
            if quick := surely(node, a, b):
                plain = f"{'MET' if late else 'True'} if {quick} else {plain}"
            self.put(f"{target} = {plain}")
        lost = [self.lost(node.left), self.lost(node.right)]
        if any(lost):
            with self.block(f"elif {' or '.join(filter(None, lost))}:"):
                self.put(f"{target} = {late or None}")
        with self.block("else:"), self.scope():
            compared = self.order(node)
            self.put(f"{target} = {compared.worth(late)}")
        return True

    def lost(self, node: Node) -> str:
        """When nothing at all is known of a calculation; empty where that is not quickly told."""
        match node:
            case Scaled(body=body, factor=factor) if factor != 0:
                return self.lost(body)
            case Negative(body=body):
                return self.lost(body)
            case Arithmetic(op="*", left=left, right=right):
                sides = ((left, right), (right, left))
                told = [are_lost(self.number(a), self.number(b)) for a, b in sides
                        if is_simple(a) and is_simple(b) and not isinstance(a, Const)]  # fmt: skip
                return " or ".join(told)
            case Apply(name="days", arguments=(first, last)):
                return lack(self.moment(first), self.moment(last))
        return ""

    def named(self, text: str) -> str:
        name = self.new("n")
        self.put(f"{name} = {text}")
        return name

    def fits(self, node: Node) -> bool:
        """Whether a calculation is one expression that hides no number beyond all measure."""
        match node:
            case Scaled(body=body) | Negative(body=body) | Apply(name="abs", arguments=(body,)):
                return self.fits(body)
            case Arithmetic(op=op, left=left, right=right):
                return self.fits(left) and (self.fits(right) if op != "/" else is_simple(right))
        return is_simple(node) or (isinstance(node, Apply) and node.name == "days")

    def expression(self, node: Node, checks: dict[str, None]) -> str:
        """A calculation as one expression; `checks` takes what makes it one of plain numbers."""
        match node:
            case Scaled(body=body, factor=factor):
                return f"({self.expression(body, checks)} * {factor!r})"
            case Negative(body=body):
                return f"(-{self.expression(body, checks)})"
            case Apply(name="abs", arguments=(body,)):
                return f"abs({self.expression(body, checks)})"
            case Arithmetic(op=op, left=left, right=right):
                a, b = self.expression(left, checks), self.expression(right, checks)
                if op == "/":
                    checks[f"{b} != 0"] = None
                return f"({a} {op} {b})"
            case Apply(name="days", arguments=(first, last)):
                a, b = self.moment(first), self.moment(last)
                checks[are_days(a, b)] = None
                return f"({b}.toordinal() - {a}.toordinal())"
        return inside(self.operand(node, checks))

    def operand(self, node: Node, checks: dict[str, None]) -> str:
        name = self.number(node)
        if is_local(name):
            checks[are_floats((node, name))] = None
        return name

    def same(self, left: Node, right: Node) -> Compared:
        a, b = self.exact(left), self.exact(right)
        if isinstance(left.kind, Thing):
            self.must_be_entry(a, b)
            return Compared(f"{a} is {b}", f"{a} is not None and {b} is not None")
        if isinstance(right, Scaled):
            plain = f"abs({a} - {b}) <= 1e-9 * max(abs({a}), abs({b}))"
            return Compared(plain, are_plain(left, a, b), lack(a, b), f"near({a}, {b})")
        return self.alike(f"{a} == {b}", (left, right), (a, b), f"alike({a}, {b})")

    def alike(
        self, plain: str, nodes: Sequence[Node], given: Sequence[str], other: str
    ) -> Compared:
        """A comparison that is false of a missing value, as long as one side is there."""
        if all(map(always_plain, nodes)):
            checks = " and ".join(f"{one} is not None" for one in given if is_local(one))
            return Compared(plain, checks, is_safe=len([g for g in given if is_local(g)]) == 1)
        return Compared(plain, are_plain(nodes[0], *given), lack(*given), other)

    def must_be_entry(self, *operands: str) -> None:
        for operand in operands:
            with self.block(f"if {operand} is not None and {operand}.__class__ is not dict:"):
                self.put("raise Undecided")

    def moment(self, node: Node) -> str:
        return "today" if isinstance(node, Today) else self.value(cast("Path", node))

    def exact(self, node: Node) -> str:
        if isinstance(node, Const):
            return repr(node.value)
        return self.value(node) if isinstance(node, Path) else self.number(node)

    # -- numbers ----------------------------------------------------------------------

    def number(self, node: Node, *, is_bounded: bool = True) -> str:
        """Emits a number; gives a local name (may be missing if it is a path) or a constant.

        One beyond all measure is left to the reference: at once where it `is_bounded`, else by
        whatever it goes into.
        """
        match node:
            case Const(value=value):
                return repr(value)
            case Path():
                return self.value(node)
            case Limit():
                return self.limit(node)
            case Apply(name="days", arguments=(first, last)):
                n, a, b = self.new("n"), self.moment(first), self.moment(last)
                plain = f"float({b}.toordinal() - {a}.toordinal())"
                asked = f"days({a}, {b}, today)"
                self.put(f"{n} = {Compared(plain, are_days(a, b), lack(a, b), asked).worth()}")
                return n
            case Each():
                return self.each_number(node)
        n = self.new("n")
        self.arithmetic(n, node, is_bounded=is_bounded)
        return n

    def limit(self, node: Limit) -> str:
        if not node.arguments:
            return self.limits[node.name, self.day]
        shared = self.shared_name(node)
        if shared is None:
            return self.own_limit(node)
        if shared not in self.known:
            with self.block(f"if {shared} is UNREAD:"), self.scope():
                self.put(f"{shared} = {self.own_limit(node)}")
            self.known.add(shared)
        return shared

    def limits_at_once(self, nodes: Sequence[Node]) -> None:
        """Emits the shared limits of what is asked in any case, where nothing can go wrong."""
        for limit in (one for node in nodes for one in limits_in(node)):
            shared = self.shared_name(limit)
            if shared is not None and shared not in self.known and is_simple(limit.arguments[0]):
                self.rename(limit, self.own_limit(limit))

    def own_limit(self, node: Limit) -> str:
        """Emits a limit: looked up among those that were found before at the same argument."""
        (argument,) = node.arguments
        is_number = isinstance(argument.kind, Number)
        given = self.number(argument) if is_number else self.exact(argument)
        n, found = self.new("n"), self.limits[node.name, self.day]
        kind = "float" if is_number else "str"
        check = f" if {given}.__class__ is {kind} else None"
        check = "" if is_plain(argument, given) else check
        self.put(f"{n} = {found}.get({given}){check}")
        with self.block(f"if {n} is None:"):
            asked = f"{node.name!r}, {given}, {is_number}, {self.day}"
            self.put(f"{n} = limit({found}, world, {asked})")
        return n

    def arithmetic(self, n: str, node: Node, *, is_bounded: bool) -> None:
        """Emits a calculation: in line for floats, by intervals for all else."""
        match node:
            case Scaled(body=body, factor=factor):
                a = self.number(body, is_bounded=False)
                self.calculated(n, "*", a, repr(factor), is_bounded)
            case Negative(body=body):
                a = self.number(body, is_bounded=False)
                self.figured(n, (a,), f"-{inside(a)}", f"opposite_of({a})", is_bounded)
            case Arithmetic(op=op, left=left, right=right):
                a = self.number(left, is_bounded=False)
                b = self.number(right, is_bounded=op == "/")  # what lies above it would be lost
                self.calculated(n, op, a, b, is_bounded)
            case Apply(name="abs", arguments=(body,)):
                a = self.number(body, is_bounded=False)
                asked = f"size_of({a})"
                if is_local(a):
                    asked = f"NOT_NEGATIVE if {are_missing(a)} else {asked}"
                self.figured(n, (a,), f"abs({a})", asked, is_bounded)
            case Apply(name=name, arguments=arguments):
                given = tuple(self.number(a) for a in arguments)
                inner = ", ".join(given)
                asked = f"{_LIFTED[name]}(({inner},))"
                self.figured(n, given, f"{name}({inner})", asked, is_bounded)
            case _:
                raise TypeError(f"not a number: {node!r}")

    def calculated(self, n: str, op: str, a: str, b: str, is_bounded: bool) -> None:
        plain, asked = f"{inside(a)} {op} {inside(b)}", f"worked({op!r}, {a}, {b})"
        lost = ""
        if op in "+-" or (op == "*" and not is_local(b) and float(b) != 0):
            lost = are_missing(a, b)
        elif op == "*":
            lost = " or ".join(are_lost(*sides) for sides in ((a, b), (b, a)) if is_local(sides[0]))
        divisor = b if op == "/" else ""
        self.figured(n, (a, b), plain, asked, is_bounded, divisor=divisor, lost=lost)

    def figured(
        self, n: str, given: Sequence[str], plain: str, asked: str, is_bounded: bool, *,
        divisor: str = "", lost: str = "",
    ) -> None:  # fmt: skip
        checks = " and ".join(f"{g}.__class__ is float" for g in given if is_local(g)) or "True"
        checks += f" and {divisor} != 0" if divisor else ""
        with self.block(f"if {checks}:"):
            self.put(f"{n} = {plain}")
            if is_bounded:
                with self.block(f"if not -1e300 < {n} < 1e300:"):
                    self.put("raise Undecided")
        asked = f"ANYTHING if {lost} else {asked}" if lost else asked
        with self.block("else:"):
            self.put(f"{n} = {asked}")

    # -- collections, of `Loops` --------------------------------------------------------

    @abstractmethod
    def each_truth(self, t: str, node: Each) -> None:
        """Emits `all`, `any` or `unique` into a local name."""

    @abstractmethod
    def each_number(self, node: Each) -> str:
        """Emits `count`, `sum`, `min` or `max`; gives the local name."""


def limits_in(node: Node) -> Iterator[Limit]:
    """Every limit that a condition asks for."""
    if isinstance(node, Limit):
        yield node
    for part in parts_of(node):
        yield from limits_in(part)
