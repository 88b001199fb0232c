"""One generated Python function that decides every rule for every subject.

Paths are read once, loops over the same collection are fused, a missing value is
handled in line. Where a value cannot answer alone (beyond range, not taken, a gap
inside arithmetic) `Undecided` is raised and that finding is left to the reference.
The text that is emitted holds only fixed words, `repr` of checked constants and
local names made here; never text of a rule.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from types import CodeType
from typing import Any, cast

from compliance.rules.language.interval import Interval, point
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
from compliance.rules.language.ruling import Clause
from compliance.rules.language.truth import Entry, World, moments_compared
from compliance.rules.outcome import Outcome
from compliance.values import NotTaken, NotYet, Partly, Undecided, Unknown

Decision = tuple[int, tuple[Entry, ...], Outcome | None]
"""Rule number, the subject's entries, the outcome; None where the reference must decide."""

Day = Callable[[Entry | None, str], date | None]
Decider = Callable[[World, Day], list[Decision]]


def decider(clauses: Sequence[Clause]) -> Decider:
    """The generated function: all rules over one record.

    It is called with the world and with a function that gives the date of a subject's
    part by name, and returns one decision for each rule and subject, rule by rule
    within each fused loop.
    """
    return runnable(code_of(clauses))


def code_of(clauses: Sequence[Clause]) -> CodeType:
    """The generated function's code, which can be kept and run later."""
    return compile(source(clauses), "<generated from rulesets>", "exec")


def runnable(code: CodeType) -> Decider:
    """The function of code that `code_of` made."""
    namespace = dict(_NAMESPACE)
    exec(code, namespace)  # noqa: S102 - emitted below from fixed text and repr of checked constants only
    return cast("Decider", namespace["decide"])


def source(clauses: Sequence[Clause]) -> str:
    """The text of the generated function."""
    return _Emitter(clauses).text()


def _limit(world: World, name: str, arguments: tuple[Any, ...], day: date | None) -> float:
    asked: list[Interval | str | None] = []
    for argument in arguments:
        if isinstance(argument, float):
            asked.append(point(argument))
        elif isinstance(argument, str):
            asked.append(argument)
        else:
            raise Undecided
    found = world.limit(name, tuple(asked), day or world.today)
    if found is None or not found.is_point:
        raise Undecided
    return found.low


def _days(first: Any, last: Any) -> float:
    if isinstance(first, date) and isinstance(last, date):
        return float(last.toordinal() - first.toordinal())
    raise Undecided


def _moments(op: str, a: Any, b: Any, today: date) -> bool | None:
    if isinstance(a, NotTaken | Unknown) or isinstance(b, NotTaken | Unknown):
        return None
    return moments_compared(op, a, b, today)


_NAMESPACE: dict[str, Any] = {
    "Undecided": Undecided,
    "PARTLY": Partly,
    "SILENT": (NotTaken, NotYet, Unknown),
    "MET": Outcome.MET,
    "NOT_MET": Outcome.NOT_MET,
    "NOT_SHOWN": Outcome.NOT_SHOWN,
    "NONE": Outcome.NOT_APPLICABLE,
    "JUDGE": Outcome.FOR_JUDGEMENT,
    "limit": _limit,
    "days": _days,
    "moments": _moments,
}

_WORKED = {
    "<=": "{a} - {b} <= 1e-9 * abs({b})",
    ">=": "{b} - {a} <= 1e-9 * abs({a})",
    "<": "not ({b} - {a} <= 1e-9 * abs({a}))",
    ">": "not ({a} - {b} <= 1e-9 * abs({b}))",
}

Reads = dict[tuple[str, tuple[str, ...]], str]


class _Emitter:
    def __init__(self, clauses: Sequence[Clause]) -> None:
        self.clauses = clauses
        self.lines: list[str] = []
        self.depth = 1
        self.made = 0
        self.locals: dict[str, str] = {}
        self.reads: Reads = {}
        self.day = "None"
        self.before = ""

    def text(self) -> str:
        self.lines = [
            "def decide(world, day):",
            "    job, today, quantity = world.job, world.today, world.quantity",
            "    shown = lambda kind, entry, before: None if world.evidence(kind, entry, before)"
            " else True",
            "    out = []",
            "    put = out.append",
        ]
        groups: dict[tuple[Any, ...], list[int]] = {}
        for number, clause in enumerate(self.clauses):
            groups.setdefault(self._shape(clause), []).append(number)
        for numbers in groups.values():
            with self.scope():
                self.group(numbers, 0, ())
        return "\n".join([*self.lines, "    return out", ""])

    @staticmethod
    def _shape(clause: Clause) -> tuple[Any, ...]:
        """Equal for rules that loop over the same collections by the same names."""
        return tuple((name, path.root, path.steps) for name, path in clause.loops)

    # -- writing ----------------------------------------------------------------------

    def put(self, line: str) -> None:
        self.lines.append("    " * self.depth + line)

    def new(self, letter: str) -> str:
        self.made += 1
        return f"{letter}{self.made}"

    @contextmanager
    def block(self, line: str) -> Iterator[None]:
        self.put(line)
        self.depth += 1
        yield
        self.depth -= 1

    @contextmanager
    def scope(self) -> Iterator[None]:
        kept = dict(self.locals), dict(self.reads), self.day
        yield
        self.locals, self.reads, self.day = kept

    # -- loops ------------------------------------------------------------------------

    def group(self, numbers: list[int], level: int, held: tuple[str, ...]) -> None:
        entries = "(" + "".join(f"{name}, " for name in held) + ")"
        clauses = [self.clauses[n] for n in numbers]
        nodes = [n for c in clauses for n in (c.condition, c.must, *c.ways) if n is not None]
        nodes += [path for c in clauses for _, path in c.loops[level:]]
        self.read_ahead(nodes)
        if level == len(clauses[0].loops):
            self.rules(numbers, held, entries)
            return
        items = self.value(clauses[0].loops[level][1])
        with self.block(f"if {items}.__class__ is not list and "
                        f"({items}.__class__ is not PARTLY or not {items}):"):  # fmt: skip
            for number in numbers:
                self.put(f"put(({number}, {entries}, NOT_SHOWN))")
        with self.block(f"elif not {items}:"):
            for number in numbers:
                self.put(f"put(({number}, {entries}, NONE))")
        entry = self.new("e")
        with self.block("else:"), self.block(f"for {entry} in {items}:"), self.scope():
            self.locals[clauses[0].loops[level][0]] = entry
            self.group(numbers, level + 1, (*held, entry))

    def rules(self, numbers: list[int], held: tuple[str, ...], entries: str) -> None:
        about = held[-1] if held else "job"
        for number in numbers:
            clause = self.clauses[number]
            self.before = clause.before
            with self.scope():
                with self.block("try:"):
                    if any(_has_limit(n) for n in (clause.condition, clause.must, *clause.ways)):
                        self.day = self.new("d")
                        subject = held[-1] if held else "None"
                        self.put(f"{self.day} = day({subject}, {clause.by!r})")
                    outcome = self.rule(clause, about)
                    self.put(f"put(({number}, {entries}, {outcome}))")
                with self.block("except Undecided:"):
                    self.put(f"put(({number}, {entries}, None))")

    def rule(self, clause: Clause, about: str) -> str:
        """Emits one rule's decision; gives the local name that holds its outcome."""
        o = self.new("o")
        if clause.condition is None:
            self.decide(clause, about, o)
            return o
        c = self.truth(clause.condition)
        with self.block(f"if {c} is False:"):
            self.put(f"{o} = NONE")
        with self.block("else:"), self.scope():
            self.decide(clause, about, o)
            with self.block(f"if {c} is None and {o} is not MET:"):
                self.put(f"{o} = NOT_SHOWN")
        return o

    def decide(self, clause: Clause, about: str, o: str) -> None:
        if clause.must is None:
            self.put(f"{o} = JUDGE")
            return
        m = self.truth(clause.must)
        if clause.ways:
            with self.block(f"if {m} is None:"), self.scope():
                found = [self.truth(way) for way in clause.ways]
                some = " or ".join(f"{w} is True" for w in found)
                fails = " or ".join(f"{w} is False" for w in found)
                self.put(f"{m} = True if {some} else False if {fails} else None")
        for kind in clause.evidence:
            with self.block(f"if {m} is True:"):
                self.put(f"{m} = shown({kind!r}, {about}, {clause.before!r})")
        self.put(f"{o} = MET if {m} is True else NOT_MET if {m} is False else NOT_SHOWN")

    # -- reading ----------------------------------------------------------------------

    def read_ahead(self, nodes: Sequence[Node]) -> None:
        """Reads every path that starts at a name in force, before anything can be undecided."""
        for node in nodes:
            for path in _own_paths(node):
                if path.root == "" or path.root in self.locals:
                    self.value_or_entry(path)

    def value_or_entry(self, path: Path) -> str:
        steps = path.steps[:-1] if path.is_quantity else path.steps
        return self.read(self.locals[path.root] if path.root else "job", steps)

    def read(self, root: str, steps: tuple[str, ...]) -> str:
        if not steps:
            return root
        key = (root, steps)
        if key not in self.reads:
            held, name = self.read(root, steps[:-1]), self.new("p")
            if len(steps) == 1:
                self.put(f"{name} = {held}.get({steps[-1]!r})")
            else:
                self.put(
                    f"{name} = {held}.get({steps[-1]!r}) if {held}.__class__ is dict else {held}"
                )
            self.reads[key] = name
        return self.reads[key]

    def value(self, path: Path) -> str:
        held = self.value_or_entry(path)
        if not path.is_quantity:
            return held
        name, step = self.new("q"), path.steps[-1]
        self.put(f"{name} = {held}.get({step!r}) if {held}.__class__ is dict else {held}")
        with self.block(f"if {name} is None and {held} is not None:"):
            self.put(f"{name} = quantity({path.owner!r}, {step!r}, {held})")
        return name

    # -- conditions -------------------------------------------------------------------

    def truth(self, node: Node) -> str:
        """Emits a condition; gives the local name that holds True, False or None."""
        t = self.new("t")
        match node:
            case Both(parts=parts):
                self.chain(t, parts, stop="False", keep="True")
            case Either(parts=parts):
                self.chain(t, parts, stop="True", keep="False")
            case Not(body=body):
                inner = self.truth(body)
                self.put(f"{t} = None if {inner} is None else not {inner}")
            case Order(op=op, left=left, right=right, is_moment=True):
                a, b = self.moment(left), self.moment(right)
                self.put(f"{t} = moments({op!r}, {a}, {b}, today)")
            case Order(op=op, left=left, right=right):
                a, b = self.number(left), self.number(right)
                form = _WORKED[op] if node.is_worked else "{a} " + op + " {b}"
                self.unless_missing(t, (a, b), form.format(a=a, b=b))
            case Same(left=left, right=right):
                a, b = self.exact(left), self.exact(right)
                if isinstance(right, Scaled):
                    form = f"abs({a} - {b}) <= 1e-9 * max(abs({a}), abs({b}))"
                elif isinstance(left.kind, Thing):
                    self.must_be_entry(a, b)
                    form = f"{a} is {b}"
                else:
                    form = f"{a} == {b}"
                self.unless_missing(t, (a, b), form)
            case Among(left=left, values=values):
                a = self.exact(left)
                self.unless_missing(t, (a,), f"{a} in {values!r}")
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

    def unless_missing(self, t: str, operands: Sequence[str], form: str) -> None:
        checks = " or ".join(f"{o} is None" for o in operands if o[0] in "pqe")
        self.put(f"{t} = None if {checks} else {form}" if checks else f"{t} = {form}")

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
            case Limit(name=name, arguments=arguments):
                n = self.new("n")
                given = "".join(
                    f"{self.number(a) if isinstance(a.kind, Number) else self.exact(a)}, "
                    for a in arguments
                )
                self.put(f"{n} = limit(world, {name!r}, ({given}), {self.day})")
                return n
            case Apply(name="days", arguments=(first, last)):
                n, a, b = self.new("n"), self.moment(first), self.moment(last)
                self.put(f"{n} = days({a}, {b})")
                return n
            case Each():
                return self.each_number(node)
        n, form = self.new("n"), self.arithmetic(node)
        self.put(f"{n} = {form}")
        with self.block(f"if not -1e300 < {n} < 1e300:"):
            self.put("raise Undecided")
        return n

    def arithmetic(self, node: Node) -> str:
        match node:
            case Scaled(body=body, factor=factor):
                return f"{self.known(body)} * {factor!r}"
            case Negative(body=body):
                return f"-{self.known(body)}"
            case Arithmetic(op="/", left=left, right=right):
                a, b = self.known(left), self.known(right)
                with self.block(f"if {b} == 0:"):
                    self.put("raise Undecided")
                return f"{a} / {b}"
            case Arithmetic(op=op, left=left, right=right):
                return f"{self.known(left)} {op} {self.known(right)}"
            case Apply(name=name, arguments=arguments):
                return f"{name}({', '.join(self.known(a) for a in arguments)})"
        raise TypeError(f"not a number: {node!r}")

    def known(self, node: Node) -> str:
        """A number inside arithmetic: a plain float, or the finding goes to the reference."""
        n = self.number(node)
        if n[0] in "pqe":
            with self.block(f"if {n}.__class__ is not float:"):
                self.put("raise Undecided")
        return f"({n})" if n.startswith("-") else n

    # -- collections ------------------------------------------------------------------

    @contextmanager
    def loop(self, node: Each, items: str) -> Iterator[str]:
        entry = self.new("e")
        with self.block(f"for {entry} in {items}:"), self.scope():
            self.locals[node.name] = entry
            self.read_ahead([n for n in (node.where, node.body) if n is not None])
            yield entry

    def each_truth(self, t: str, node: Each) -> None:
        if node.form == "unique":
            return self.each_unique(t, node)
        stop, keep = ("False", "True") if node.form == "all" else ("True", "False")
        items = self.value(node.source)
        self.not_partly(items)
        self.put(f"{t} = None")
        with self.block(f"if {items}.__class__ is list:"):
            self.put(f"{t} = {keep}")
            with self.loop(node, items):
                q = self.truth(node.where) if node.where is not None else None
                with self.block(f"if {q} is not False:" if q else "if True:"), self.scope():
                    inner = self.truth(node.body)
                    if q:
                        with self.block(f"if {q} is None and {inner} is {stop}:"):
                            self.put(f"{inner} = None")
                    with self.block(f"if {inner} is {stop}:"):
                        self.put(f"{t} = {stop}")
                        self.put("break")
                    with self.block(f"if {inner} is None:"):
                        self.put(f"{t} = None")
            if not node.is_complete:
                with self.block(f"if {t} is False and {items}:"):
                    self.put(f"{t} = None")
        return None

    def each_unique(self, t: str, node: Each) -> None:
        items, seen = self.value(node.source), self.new("s")
        self.not_partly(items)
        self.put(f"{t} = None")
        with self.block(f"if {items}.__class__ is list:"):
            self.put(f"{seen} = []")
            with self.loop(node, items):
                self.let_in(node)
                v = self.exact(node.body)
                with self.block(f"if {v}.__class__ is not str and {v}.__class__ is not dict:"):
                    self.put("raise Undecided")
                by = f"id({v})" if isinstance(node.body.kind, Thing) else v
                self.put(f"{seen}.append({by})")
            self.put(f"{t} = len(set({seen})) == len({seen})")

    def not_partly(self, items: str) -> None:
        """What may belong to a collection without saying so is left to the reference."""
        with self.block(f"if {items}.__class__ is PARTLY:"):
            self.put("raise Undecided")

    def let_in(self, node: Each) -> None:
        if node.where is None:
            return
        q = self.truth(node.where)
        with self.block(f"if {q} is None:"):
            self.put("raise Undecided")
        with self.block(f"if {q} is False:"):
            self.put("continue")

    def each_number(self, node: Each) -> str:
        items, n = self.value(node.source), self.new("n")
        with self.block(f"if {items}.__class__ is not list:"):
            self.put("raise Undecided")
        if node.form == "count":
            with self.block(f"if {items} and {node.is_complete!r} is False:"):
                self.put("raise Undecided")
            self.put(f"{n} = 0.0")
            with self.loop(node, items):
                self.let_in(node)
                inner = self.truth(node.body)
                with self.block(f"if {inner} is None:"):
                    self.put("raise Undecided")
                self.put(f"{n} += {inner}")
            return n
        many = self.new("s")
        self.put(f"{many} = []")
        with self.loop(node, items):
            self.let_in(node)
            self.put(f"{many}.append({self.known(node.body)})")
        if node.form == "sum":
            self.put(f"{n} = 0.0")
            x = self.new("x")
            with self.block(f"for {x} in {many}:"):
                self.put(f"{n} += {x}")
        else:
            with self.block(f"if not {many}:"):
                self.put("raise Undecided")
            self.put(f"{n} = {node.form}({many})")
        with self.block(f"if not -1e300 < {n} < 1e300:"):
            self.put("raise Undecided")
        return n


def _own_paths(node: Node) -> Iterator[Path]:
    """Paths read where the node stands, not inside its generators."""
    if isinstance(node, Path):
        yield node
    elif isinstance(node, Each):
        yield node.source
        for part in (node.body, node.where):
            if part is not None:
                yield from (p for p in _own_paths(part) if p.root != node.name)
    else:
        for part in parts_of(node):
            yield from _own_paths(part)


def _has_limit(node: Node | None) -> bool:
    if node is None:
        return False
    return isinstance(node, Limit) or any(_has_limit(p) for p in parts_of(node))
