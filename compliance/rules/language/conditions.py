"""Emitting conditions and numbers: plain values in line, whatever else is asked of `lifted`.

A condition becomes a local name that holds True, False or None; a number one that may be
missing, or a constant.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import cast

from compliance.rules.language.inline import (
    always_plain,
    are_days,
    are_floats,
    are_lost,
    are_missing,
    are_plain,
    inside,
    is_simple,
    known_missing,
    lack,
)
from compliance.rules.language.kinds import Many, Number, Thing
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

# Where one side was worked out, by the tolerance of the reference; what is plainly less first.
_WORKED = {
    "<=": "{a} <= {b} or {a} - {b} <= {about_b}",
    ">=": "{a} >= {b} or {b} - {a} <= {about_a}",
    "<": "{a} < {b} and not ({b} - {a} <= {about_a})",
    ">": "{a} > {b} and not ({a} - {b} <= {about_b})",
}


Lines = Sequence[str]
Emit = Callable[[], None]


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


class Conditions(Writer):
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
        plain = _ordered(node, a, b)
        checks = are_floats((node.left, a), (node.right, b))
        if always_plain(node.left) and always_plain(node.right):
            return Compared(plain, checks)
        other = f"ordered({node.op!r}, {a}, {b}, {node.is_worked})"
        return Compared(plain, checks, known_missing(node, a, b), other, over=_beyond(node, a, b))

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
            plain = _ordered(node, a, b)
            plain = f"(MET if {plain} else NOT_MET)" if late else f"({plain})"
            plain = f"{plain} if -1e300 < {a} - {b} < 1e300 else beyond()"
            if quick := _surely(node, a, b):
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
        return is_simple(node)

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
                self.put(f"{shared} = {self.own_limit(limit)}")
                self.known.add(shared)

    def own_limit(self, node: Limit) -> str:
        """Emits a limit: looked up among those that were found before at the same argument."""
        (argument,) = node.arguments
        is_number = isinstance(argument.kind, Number)
        given = self.number(argument) if is_number else self.exact(argument)
        n, found = self.new("n"), self.limits[node.name, self.day]
        kind = "float" if is_number else "str"
        check = f" if {given}.__class__ is {kind} else None"
        is_safe = always_plain(argument) or not is_local(given)
        self.put(f"{n} = {found}.get({given}){'' if is_safe else check}")
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

    # -- collections ------------------------------------------------------------------

    @contextmanager
    def loop(self, node: Each, items: str) -> Iterator[str]:
        entry = self.new("e")
        with self.block(f"for {entry} in {items}:"), self.scope():
            self.locals[node.name] = entry
            self.types[entry] = kind.type if isinstance(kind := node.source.kind, Many) else ""
            self.shared = {}
            yield entry

    def each_truth(self, t: str, node: Each) -> None:
        if node.form == "unique":
            return self.each_unique(t, node)
        stop, keep = ("False", "True") if node.form == "all" else ("True", "False")
        items = self.value(node.source)
        with self.block(f"if {items}.__class__ is list or {items}.__class__ is PARTLY:"):
            self.put(f"{t} = {keep}")
            with self.loop(node, items):
                self.each_entry(t, node, stop)
            with self.block(f"if {t} is not {stop} and {items}.__class__ is PARTLY:"):
                self.put("raise Undecided")
            if not node.is_complete:
                with self.block(f"if {t} is False and {items}:"):
                    self.put(f"{t} = None")
        with self.block("else:"):
            self.put(f"{t} = None")
        return None

    def each_entry(self, t: str, node: Each, stop: str) -> None:
        """Emits what one entry does to `all` or `any`, which ends where it settles it."""

        def settled() -> None:
            self.put(f"{t} = {stop}")
            self.put("break")

        def open_() -> None:
            self.put(f"{t} = None")

        yes, no = (settled, None) if stop == "True" else (None, settled)
        if node.where is None:
            self.jump(node.body, yes, no, open_)
            return
        self.jump(
            node.where,
            lambda: self.jump(node.body, yes, no, open_),
            None,
            lambda: self.jump(node.body, yes and open_, no and open_, open_),
        )

    def quick(self, node: Node) -> Compared | None:
        """Emits what a condition of plain values compares, if it is one."""
        if self.shared_name(node) is not None or not isinstance(node, Same | Among | Order):
            return None
        if not all(always_plain(part) for part in parts_of(node)):
            return None
        compared = self.compared(node)
        return compared if compared is not None and compared.checks else None

    def jump(self, node: Node, yes: Emit | None, no: Emit | None, unknown: Emit | None) -> None:
        """Emits a condition that leads to one of three pieces of text, or to nothing."""
        if isinstance(node, Both) and self.shared_name(node) is None:
            first, *rest = node.parts
            then = rest[0] if len(rest) == 1 else Both(tuple(rest))
            self.jump(
                first,
                lambda: self.jump(then, yes, no, unknown),
                no,
                lambda: self.jump(then, unknown, no, unknown),
            )
            return
        compared = self.quick(node)
        if compared is not None:
            ways = (compared.plain, yes), (f"not ({compared.checks})", unknown)
            self.branch(*(ways if compared.is_safe else reversed(ways)), ("", no))
            return
        inner = self.truth(node)
        self.branch((inner, yes), (f"{inner} is None", unknown), ("", no))

    def branch(self, *ways: tuple[str, Emit | None]) -> None:
        """Emits `if`, `elif` and `else`; ways that lead to nothing at the end are left out."""
        kept = list(ways)
        while kept and kept[-1][1] is None:
            kept.pop()
        word = "if"
        for condition, emit in kept:
            with self.block(f"{word} {condition}:" if condition else "else:"), self.scope():
                if emit is None:
                    self.put("pass")
                else:
                    emit()
            word = "elif"

    def each_unique(self, t: str, node: Each) -> None:
        items, seen, lacking = self.value(node.source), self.new("s"), self.new("u")
        self.not_partly(items)
        self.put(f"{t} = None")
        with self.block(f"if {items}.__class__ is list:"):
            self.put(f"{seen}, {lacking} = [], 0")
            with self.loop(node, items):
                if node.where is not None:
                    q = self.truth(node.where)
                    with self.block(f"if {q} is None:"):
                        self.put("raise Undecided")
                    with self.block(f"if {q} is False:"):
                        self.put("continue")
                v = self.exact(node.body)
                with self.block(f"if {v}.__class__ is str:"):
                    self.put(f"{seen}.append({v})")
                with self.block(f"elif {v}.__class__ is dict:"):
                    self.put(f"{seen}.append(id({v}))")
                with self.block(f"elif {v} is None or {v}.__class__ in SILENT:"):
                    self.put(f"{lacking} += 1")
                with self.block("else:"):
                    self.put("raise Undecided")
            self.put(f"{t} = len(set({seen})) == len({seen})")
            with self.block(f"if {t} and {lacking} and {lacking} + len({seen}) > 1:"):
                self.put(f"{t} = None")

    def not_perhaps(self, items: str) -> None:
        with self.block(f"if {items}.perhaps:"):
            self.put("raise Undecided")

    def not_partly(self, items: str) -> None:
        """What may belong to a collection without saying so is left to the reference."""
        with self.block(f"if {items}.__class__ is PARTLY:"):
            self.put("raise Undecided")

    def each_number(self, node: Each) -> str:
        items, n = self.value(node.source), self.new("n")
        if node.form == "count" or node.where is not None:
            self.not_partly(items)
        with self.block(f"if {items}.__class__ is list:"):
            if node.form == "count":
                self.count(n, node, items)
            elif node.form == "sum":
                self.sum(n, node, items)
            else:
                self.gather(n, node, items)
        unknown = {"count": "counted(0.0, 0, False)", "sum": "ANYTHING"}.get(node.form, "None")
        with self.block("else:"):  # unknown, or of entries that only may belong
            self.put(f"{n} = {unknown}")
        return n

    def count(self, n: str, node: Each, items: str) -> None:
        unsure = self.new("u")
        self.put(f"{n}, {unsure} = 0.0, 0")

        def more() -> None:
            self.put(f"{n} += 1.0")

        def perhaps() -> None:
            self.put(f"{unsure} += 1")

        with self.loop(node, items):
            if node.where is None:
                self.jump(node.body, more, None, perhaps)
            else:
                self.jump(Both((node.where, node.body)), more, None, perhaps)
        is_open = unsure if node.is_complete else f"{unsure} or {items}"
        with self.block(f"if {is_open}:"):
            is_all = "True" if node.is_complete else f"not {items}"
            self.put(f"{n} = counted({n}, {unsure}, {is_all})")

    def filtered(self, node: Each, lost: str) -> None:
        """Emits the filter of `sum`, `min` or `max`; where it is unknown the whole is."""
        if node.where is not None:
            q = self.truth(node.where)
            with self.block(f"if {q} is None:"):
                self.put(lost)
                self.put("break")
            with self.block(f"if {q} is False:"):
                self.put("continue")

    def sum(self, n: str, node: Each, items: str) -> None:
        """Emits `sum`: one by one, as the reference; unknown where one is or it is too large."""
        self.put(f"{n} = 0.0")
        with self.loop(node, items):
            self.filtered(node, f"{n} = ANYTHING")
            one = self.number(node.body, is_bounded=False)
            with self.block(f"if {are_floats((node.body, one)) or True}:"):
                self.put(f"{n} += {one}")
            with self.block(f"elif {are_missing(one) or False}:"):
                self.put(f"{n} = ANYTHING")
                self.put("break")
            with self.block("else:"):
                self.put("raise Undecided")
        with self.block(f"if {n} is not ANYTHING and {n} - {n} != 0:"):  # infinite
            self.put(f"{n} = ANYTHING")

    def gather(self, n: str, node: Each, items: str) -> None:
        """Emits `min` or `max`."""
        many = self.new("s")
        self.put(f"{many} = []")
        with self.loop(node, items):
            self.filtered(node, f"{many} = None")
            self.put(f"{many}.append({self.number(node.body)})")
        asked = {"min": "least_of", "max": "greatest_of"}[node.form]
        self.put(f"{n} = None if {many} is None else {asked}({many})")


def _ordered(node: Order, a: str, b: str) -> str:
    """The comparison of two plain numbers."""
    form = _WORKED[node.op] if node.is_worked else "{a} " + node.op + " {b}"
    return form.format(a=a, b=b, about_a=_tolerance(a), about_b=_tolerance(b))


def _beyond(node: Order, a: str, b: str) -> tuple[str, str]:
    """When `over 200` is surely more than the other side, and what tells that it is one."""
    left = node.left.kind
    if node.is_worked or node.op[0] == "<" or not (isinstance(left, Number) and left.is_reading):
        return "", ""
    is_float = f" and {b}.__class__ is float" if is_local(b) else ""
    return f"{a}.limit >= {b}", f"{a}.__class__ is OVER{is_float}"


def _surely(node: Order, a: str, b: str) -> str:
    """What is only true of two numbers within measure that compare so without any tolerance."""
    if not node.is_worked or "=" not in node.op:
        return ""
    low, high = (a, b) if node.op == "<=" else (b, a)
    start = f"-1e300 < {low}" if is_local(low) else low
    return f"{start} <= {high} < 1e300" if is_local(high) else f"{start} <= {high}"


def limits_in(node: Node) -> Iterator[Limit]:
    """Every limit that a condition asks for."""
    if isinstance(node, Limit):
        yield node
    for part in parts_of(node):
        yield from limits_in(part)


def _tolerance(number: str) -> str:
    """What two sides may differ by where one was worked out, of this one."""
    return f"1e-9 * abs({number})" if is_local(number) else repr(1e-9 * abs(float(number)))
