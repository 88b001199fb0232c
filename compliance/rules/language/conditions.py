"""Emitting conditions and numbers: plain values in line, whatever else is asked of `lifted`.

A condition becomes a local name that holds True, False or None; a number one that may be
missing, or a constant.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import cast

from compliance.rules.language.inline import (
    are_floats,
    are_lost,
    are_missing,
    inside,
    unless_missing,
    where_plain,
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
)
from compliance.rules.language.writer import Writer, is_local

_LIFTED = {"abs": "size_of", "min": "least_of", "max": "greatest_of"}

_WORKED = {
    "<=": "{a} - {b} <= {about_b}",
    ">=": "{b} - {a} <= {about_a}",
    "<": "not ({b} - {a} <= {about_a})",
    ">": "not ({a} - {b} <= {about_b})",
}


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
        match node:
            case Both(parts=parts):
                self.chain(t, parts, stop="False", keep="True")
            case Either(parts=parts):
                self.chain(t, parts, stop="True", keep="False")
            case Not(body=body):
                inner = self.truth(body)
                self.put(f"{t} = None if {inner} is None else not {inner}")
            case Order(is_moment=True):
                self.moments(t, node)
            case Order():
                self.order(t, node)
            case Same(left=left, right=right):
                self.same(t, left, right)
            case Among(left=left, values=values):
                a = self.exact(left)
                plain = f"{a} in {values!r}"
                other = f"among({a}, {values!r})"
                self.put(f"{t} = {where_plain(left, (a,), plain, other)}")
            case Each():
                self.each_truth(t, node)
            case Stated(path=path):
                v = self.value(path)
                self.put(f"{t} = None if {v} is None or {v}.__class__ in SILENT else True")
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

    def moments(self, t: str, node: Order) -> None:
        a, b = self.moment(node.left), self.moment(node.right)
        dates = f"{a}.__class__ is DATE and {b}.__class__ is DATE"
        missing = " or ".join(f"{one} is None" for one in (a, b) if is_local(one))
        asked = f"moments({node.op!r}, {a}, {b}, today)"
        asked = f"None if {missing} else {asked}" if missing else asked
        self.put(f"{t} = {a} {node.op} {b} if {dates} else {asked}")

    def order(self, t: str, node: Order) -> None:
        a, b = self.number(node.left), self.number(node.right)
        form = _WORKED[node.op] if node.is_worked else "{a} " + node.op + " {b}"
        plain = form.format(a=a, b=b, about_a=_tolerance(a), about_b=_tolerance(b))
        other = f"ordered({node.op!r}, {a}, {b}, {node.is_worked})"
        left = node.left.kind
        if isinstance(left, Number) and left.is_reading and not node.is_worked:
            sure = "True" if node.op[0] == ">" else "False"
            known = f" and {b}.__class__ is float" if is_local(b) else ""
            beyond = f"({sure} if {a}.limit >= {b} else None)"
            other = f"{beyond} if {a}.__class__ is OVER{known} else {other}"
        other = unless_missing(node, a, b, other)
        checks = are_floats(a, b)
        self.put(f"{t} = {plain} if {checks} else {other}" if checks else f"{t} = {plain}")

    def same(self, t: str, left: Node, right: Node) -> None:
        a, b = self.exact(left), self.exact(right)
        if isinstance(left.kind, Thing):
            self.must_be_entry(a, b)
            self.put(f"{t} = None if {a} is None or {b} is None else {a} is {b}")
            return
        plain, other = f"{a} == {b}", f"alike({a}, {b})"
        if isinstance(right, Scaled):
            plain = f"abs({a} - {b}) <= 1e-9 * max(abs({a}), abs({b}))"
            other = f"near({a}, {b})"
        self.put(f"{t} = {where_plain(left, (a, b), plain, other)}")

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

    def number(self, node: Node) -> str:
        """Emits a number; gives a local name (may be missing if it is a path) or a constant."""
        match node:
            case Const(value=value):
                return repr(value)
            case Path():
                return self.value(node)
            case Limit():
                return self.limit(node)
            case Apply(name="days", arguments=(first, last)):
                n, a, b = self.new("n"), self.moment(first), self.moment(last)
                dates = f"{a}.__class__ is DATE and {b}.__class__ is DATE"
                plain = f"float({b}.toordinal() - {a}.toordinal())"
                missing = " or ".join(f"{one} is None" for one in (a, b) if is_local(one))
                asked = f"days({a}, {b}, today)"
                asked = f"None if {missing} else {asked}" if missing else asked
                self.put(f"{n} = {plain} if {dates} else {asked}")
                return n
            case Each():
                return self.each_number(node)
        n = self.new("n")
        self.arithmetic(n, node)
        return n

    def limit(self, node: Limit) -> str:
        shared = self.shared_name(node)
        if shared is None:
            return self.own_limit(node)
        with self.block(f"if {shared} is UNREAD:"), self.scope():
            self.put(f"{shared} = {self.own_limit(node)}")
        return shared

    def own_limit(self, node: Limit) -> str:
        n, numbers = self.new("n"), [isinstance(a.kind, Number) for a in node.arguments]
        given = [
            self.number(a) if is_number else self.exact(a)
            for a, is_number in zip(node.arguments, numbers, strict=True)
        ]
        key = "".join(f"{one}, " for one in (repr(node.name), *given, self.day))
        classes = (
            f"({one} is None or {one}.__class__ is {'float' if is_number else 'str'})"
            for one, is_number in zip(given, numbers, strict=True)
            if is_local(one)
        )
        checks = " and ".join(classes)
        self.put(f"{n} = limit_at(({key}))" + (f" if {checks} else None" if checks else ""))
        arguments = "".join(f"{one}, " for one in given)
        with self.block(f"if {n} is None:"):
            self.put(
                f"{n} = limit(kept, world, {node.name!r}, ({arguments}), {(*numbers,)}, {self.day})"
            )
        return n

    def arithmetic(self, n: str, node: Node) -> None:
        """Emits a calculation: in line for floats, by intervals for all else."""
        match node:
            case Scaled(body=body, factor=factor):
                self.calculated(n, "*", self.number(body), repr(factor))
            case Negative(body=body):
                self.figured(n, (a := self.number(body),), f"-{inside(a)}", f"opposite_of({a})")
            case Arithmetic(op=op, left=left, right=right):
                self.calculated(n, op, self.number(left), self.number(right))
            case Apply(name=name, arguments=arguments):
                given = tuple(self.number(a) for a in arguments)
                inner = ", ".join(given)
                asked = f"{_LIFTED[name]}({inner if name == 'abs' else f'({inner},)'})"
                if name == "abs" and is_local(inner):
                    asked = f"NOT_NEGATIVE if {are_missing(inner)} else {asked}"
                self.figured(n, given, f"{name}({inner})", asked)
            case _:
                raise TypeError(f"not a number: {node!r}")

    def calculated(self, n: str, op: str, a: str, b: str) -> None:
        plain, asked = f"{inside(a)} {op} {inside(b)}", f"worked({op!r}, {a}, {b})"
        lost = ""
        if op in "+-" or (op == "*" and not is_local(b) and float(b) != 0):
            lost = are_missing(a, b)
        elif op == "*":
            lost = " or ".join(are_lost(*sides) for sides in ((a, b), (b, a)) if is_local(sides[0]))
        self.figured(n, (a, b), plain, asked, divisor=b if op == "/" else "", lost=lost)

    def figured(
        self, n: str, given: Sequence[str], plain: str, asked: str, *, divisor: str = "",
        lost: str = "",
    ) -> None:  # fmt: skip
        checks = are_floats(*given) or "True"
        checks += f" and {divisor} != 0" if divisor else ""
        with self.block(f"if {checks}:"):
            self.put(f"{n} = {plain}")
            with self.block(f"if not -1e300 < {n} < 1e300:"):
                self.put("raise Undecided")
        if lost:
            with self.block(f"elif {lost}:"):
                self.put(f"{n} = ANYTHING")
        with self.block("else:"):
            self.put(f"{n} = {asked}")

    # -- collections ------------------------------------------------------------------

    @contextmanager
    def loop(self, node: Each, items: str) -> Iterator[str]:
        entry = self.new("e")
        with self.block(f"for {entry} in {items}:"), self.scope():
            self.locals[node.name] = entry
            self.shared = {}
            self.read_ahead([n for n in (node.where, node.body) if n is not None])
            yield entry

    def each_truth(self, t: str, node: Each) -> None:
        if node.form == "unique":
            return self.each_unique(t, node)
        stop, keep = ("False", "True") if node.form == "all" else ("True", "False")
        items = self.value(node.source)
        with self.block(f"if {items}.__class__ is list or {items}.__class__ is PARTLY:"):
            self.put(f"{t} = {keep}")
            self.each_entry(t, node, items, stop, is_sure=True)
            with self.block(f"if {t} is not {stop} and {items}.__class__ is PARTLY:"):
                perhaps = self.new("s")
                self.put(f"{perhaps} = [entry for entry, _ in {items}.perhaps]")
                self.each_entry(t, node, perhaps, stop, is_sure=False)
            if not node.is_complete:
                with self.block(f"if {t} is False and {items}:"):
                    self.put(f"{t} = None")
        with self.block("else:"):
            self.put(f"{t} = None")
        return None

    def each_entry(self, t: str, node: Each, items: str, stop: str, *, is_sure: bool) -> None:
        """Emits the loop of `all` or `any`; what is not sure to belong cannot settle it."""
        with self.loop(node, items):
            q = self.truth(node.where) if node.where is not None else None
            with self.block(f"if {q} is not False:" if q else "if True:"), self.scope():
                inner = self.truth(node.body)
                settles = f"{inner} is {stop}" + (f" and {q} is True" if q else "")
                if is_sure:
                    with self.block(f"if {settles}:"):
                        self.put(f"{t} = {stop}")
                        self.put("break")
                with self.block(f"if {inner} is None or {inner} is {stop}:"):
                    self.put(f"{t} = None")

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

    def not_partly(self, items: str) -> None:
        """What may belong to a collection without saying so is left to the reference."""
        with self.block(f"if {items}.__class__ is PARTLY:"):
            self.put("raise Undecided")

    def each_number(self, node: Each) -> str:
        items, n = self.value(node.source), self.new("n")
        is_count = node.form == "count"
        if is_count or node.where is not None:
            self.not_partly(items)
        with self.block(f"if {items}.__class__ is list:"):
            if is_count:
                self.count(n, node, items)
            else:
                self.gather(n, node, items)
        with self.block("else:"):  # unknown, or of entries that only may belong
            self.put(f"{n} = {'counted(0, 0, False)' if is_count else 'None'}")
        return n

    def count(self, n: str, node: Each, items: str) -> None:
        unsure = self.new("u")
        self.put(f"{n} = {unsure} = 0")
        with self.loop(node, items):
            q = self.truth(node.where) if node.where is not None else None
            with self.block(f"if {q} is not False:" if q else "if True:"), self.scope():
                inner = self.truth(node.body)
                sure = f"{inner} is True and {q} is True" if q else f"{inner} is True"
                with self.block(f"if {sure}:"):
                    self.put(f"{n} += 1")
                with self.block(f"elif {inner} is not False:"):
                    self.put(f"{unsure} += 1")
        is_all = "True" if node.is_complete else f"not {items}"
        with self.block(f"if {unsure} or not ({is_all}):"):
            self.put(f"{n} = counted({n}, {unsure}, {is_all})")
        with self.block("else:"):
            self.put(f"{n} = float({n})")

    def gather(self, n: str, node: Each, items: str) -> None:
        """Emits `sum`, `min` or `max`: a filter that is unknown makes the whole unknown."""
        many = self.new("s")
        self.put(f"{many} = []")
        with self.loop(node, items):
            if node.where is not None:
                q = self.truth(node.where)
                with self.block(f"if {q} is None:"):
                    self.put(f"{many} = None")
                    self.put("break")
                with self.block(f"if {q} is False:"):
                    self.put("continue")
            self.put(f"{many}.append({self.number(node.body)})")
        asked = {"sum": "sum_of", "min": "least_of", "max": "greatest_of"}[node.form]
        self.put(f"{n} = None if {many} is None else {asked}({many})")


def _tolerance(number: str) -> str:
    """What two sides may differ by where one was worked out, of this one."""
    return f"1e-9 * abs({number})" if is_local(number) else repr(1e-9 * abs(float(number)))
