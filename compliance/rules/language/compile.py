"""One generated Python function that decides every rule for every subject.

Paths are read once, loops over the same collection are fused, plain values and readings
beyond range are compared in line. Whatever else a value may be is asked of `lifted`. What
that cannot say (entries that only may belong to a collection, numbers beyond all measure)
raises `Undecided`, and that finding is left to the reference.
The text that is emitted holds only fixed words, `repr` of checked constants and
local names made here; never text of a rule.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from types import CodeType
from typing import Any, Protocol, cast

from compliance.rules.language import lifted
from compliance.rules.language.interval import ANYTHING
from compliance.rules.language.kinds import Number, Text, Thing, Word, YesNo
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
from compliance.rules.language.truth import Entry, World
from compliance.rules.outcome import Outcome
from compliance.values import NotTaken, NotYet, Over, Partly, Undecided, Unknown

Decision = tuple[int, tuple[Entry, ...], Outcome | None]
"""Rule number, the subject's entries, the outcome; None where the reference must decide."""

Day = Callable[[Entry | None, str], date | None]
Ahead = Callable[[str, Entry | None], bool]
"""Whether a point of no return lies ahead of a subject; None is the job."""


class Decider(Protocol):
    """The generated function: all rules over one record."""

    def __call__(self, world: World, day: Day, is_ahead: Ahead = ...) -> list[Decision]:
        """One decision for each rule and subject.

        What is not shown or for judgement is not due where `is_ahead` says so of its point;
        left out, nothing is.
        """


def _never(_: str, __: Entry | None) -> bool:
    return False


def decider(clauses: Sequence[Clause]) -> Decider:
    """The generated function: all rules over one record.

    It is called with the world and with a function that gives the date of a subject's
    part by name, and returns one decision for each rule and subject, rule by rule
    within each fused loop. Limits once found are kept, so the worlds that it is called with
    must share their limit tables.
    """
    return runnable(code_of(clauses))


def code_of(clauses: Sequence[Clause]) -> CodeType:
    """The generated function's code, which can be kept and run later."""
    return compile(source(clauses), "<generated from rulesets>", "exec")


def runnable(code: CodeType) -> Decider:
    """The function of code that `code_of` made."""
    namespace = {**_NAMESPACE, "kept": {}}
    exec(code, namespace)  # noqa: S102 - emitted below from fixed text and repr of checked constants only
    return cast("Decider", namespace["decide"])


def source(clauses: Sequence[Clause]) -> str:
    """The text of the generated function."""
    return _Emitter(clauses).text()


_NAMESPACE: dict[str, Any] = {
    "Undecided": Undecided,
    "PARTLY": Partly,
    "ANYTHING": ANYTHING,
    "UNKNOWN": Unknown,
    "SILENT": (NotTaken, NotYet, Unknown),
    "MET": Outcome.MET,
    "NOT_MET": Outcome.NOT_MET,
    "NOT_SHOWN": Outcome.NOT_SHOWN,
    "NOT_DUE": Outcome.NOT_DUE,
    "never": _never,
    "NONE": Outcome.NOT_APPLICABLE,
    "JUDGE": Outcome.FOR_JUDGEMENT,
    "DATE": date,
    "OVER": Over,
    "UNREAD": object(),
    "limit": lifted.limit,
    "days": lifted.days,
    "moments": lifted.moments,
    "ordered": lifted.ordered,
    "alike": lifted.alike,
    "near": lifted.near,
    "among": lifted.among,
    "worked": lifted.worked,
    "opposite_of": lifted.opposite_of,
    "size_of": lifted.size_of,
    "least_of": lifted.least_of,
    "greatest_of": lifted.greatest_of,
    "sum_of": lifted.sum_of,
    "counted": lifted.counted,
}

_PLAIN = {Word: "str", Text: "str", YesNo: "bool", Number: "float"}
_LETTERS = "pqen"
_LIFTED = {"abs": "size_of", "min": "least_of", "max": "greatest_of"}

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
        self.days: dict[str, str] = {}
        self.day = "today"
        self.before = ""
        self.about = "None"
        self.late: dict[str, str] = {}

    def text(self) -> str:
        self.lines = [
            "def decide(world, day, is_ahead=never):",
            "    job, today, quantity = world.job, world.today, world.quantity",
            "    shown = lambda kind, entry, before: None if world.evidence(kind, entry, before)"
            " else True",
            "    out = []",
            "    put = out.append",
            "    limit_at = kept.get",
        ]
        groups: dict[tuple[Any, ...], list[int]] = {}
        for number, clause in enumerate(self.clauses):
            groups.setdefault(self._shape(clause), []).append(number)
        for numbers in groups.values():
            self.made = 0  # names serve again: a function of few local names runs faster
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
        kept = dict(self.locals), dict(self.reads), dict(self.days), self.day
        yield
        self.locals, self.reads, self.days, self.day = kept

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
            self.about, self.late = held[-1] if held else "None", {}
            for number in numbers:
                self.before = self.clauses[number].before
                if self.before not in self.late:
                    self.late[self.before] = self.new("l")
                    self.put(f"{self.late[self.before]} = {self.asked_late()}")
                self.put(f"put(({number}, {entries}, {self.late[self.before]}))")
        with self.block(f"elif not {items}:"):
            for number in numbers:
                self.put(f"put(({number}, {entries}, NONE))")
        entry = self.new("e")
        with self.block("else:"), self.block(f"for {entry} in {items}:"), self.scope():
            self.locals[clauses[0].loops[level][0]] = entry
            self.group(numbers, level + 1, (*held, entry))

    def rules(self, numbers: list[int], held: tuple[str, ...], entries: str) -> None:
        about = held[-1] if held else "job"
        together = self.new("h")
        self.put(f"{together} = {entries}")
        for by in dict.fromkeys(c.by for c in map(self.clauses.__getitem__, numbers) if _asks(c)):
            self.days[by] = self.new("d")
            self.put(f"{self.days[by]} = day({held[-1] if held else None}, {by!r}) or today")
        self.about, self.late = held[-1] if held else "None", {}
        for before in dict.fromkeys(self.clauses[n].before for n in numbers):
            self.late[before] = self.new("l")
        if self.late:
            self.put(f"{' = '.join(self.late.values())} = UNREAD")
        for number in numbers:
            clause = self.clauses[number]
            self.before = clause.before
            with self.scope():
                self.day = self.days.get(clause.by, "today")
                with self.block("try:"):
                    outcome = self.rule(clause, about)
                    self.put(f"put(({number}, {together}, {outcome}))")
                with self.block("except Undecided:"):
                    self.put(f"put(({number}, {together}, None))")

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
                self.open(o)
        return o

    def open(self, o: str) -> None:
        """Emits what an open outcome is for the subject, found out when first needed."""
        late = self.late[self.before]
        with self.block(f"if {late} is UNREAD:"):
            self.put(f"{late} = {self.asked_late()}")
        self.put(f"{o} = {late}")

    def asked_late(self) -> str:
        return f"NOT_DUE if is_ahead({self.before!r}, {self.about}) else NOT_SHOWN"

    def decide(self, clause: Clause, about: str, o: str) -> None:
        if clause.must is None:
            self.put(f"{o} = NOT_DUE if is_ahead({self.before!r}, {self.about}) else JUDGE")
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
        with self.block(f"if {m} is None:"):
            self.open(o)
        with self.block("else:"):
            self.put(f"{o} = MET if {m} else NOT_MET")

    # -- reading ----------------------------------------------------------------------

    def read_ahead(self, nodes: Sequence[Node]) -> None:
        """Reads every path that starts at a name in force, before anything can be undecided."""
        for node in nodes:
            for path in _own_paths(node):
                if path.root == "" or path.root in self.locals:
                    self.value_or_entry(path)
                    if path.is_quantity:
                        self.quantity(path)

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

    def quantity(self, path: Path) -> str:
        """The local name of a worked-out value, which is unread until somebody asks."""
        root = self.locals[path.root] if path.root else "job"
        key = (root, path.steps)
        if key not in self.reads:
            self.reads[key] = self.new("q")
            self.put(f"{self.reads[key]} = UNREAD")
        return self.reads[key]

    def value(self, path: Path) -> str:
        held = self.value_or_entry(path)
        if not path.is_quantity:
            return held
        name, step = self.quantity(path), path.steps[-1]
        with self.block(f"if {name} is UNREAD:"):
            if held[0] == "e":
                self.put(f"{name} = {held}.get({step!r})")
                missing = f"if {name} is None:"
            else:
                self.put(f"{name} = {held}.get({step!r}) if {held}.__class__ is dict else {held}")
                missing = f"if {name} is None and {held} is not None:"
            with self.block(missing):
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
                self.put(f"{t} = {_where_plain(left, (a,), plain, other)}")
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
        missing = " or ".join(f"{one} is None" for one in (a, b) if _is_local(one))
        asked = f"moments({node.op!r}, {a}, {b}, today)"
        asked = f"None if {missing} else {asked}" if missing else asked
        self.put(f"{t} = {a} {node.op} {b} if {dates} else {asked}")

    def order(self, t: str, node: Order) -> None:
        a, b = self.number(node.left), self.number(node.right)
        form = _WORKED[node.op] if node.is_worked else "{a} " + node.op + " {b}"
        plain = form.format(a=a, b=b)
        other = f"ordered({node.op!r}, {a}, {b}, {node.is_worked})"
        left = node.left.kind
        if isinstance(left, Number) and left.is_reading and not node.is_worked:
            sure = "True" if node.op[0] == ">" else "False"
            known = f" and {b}.__class__ is float" if _is_local(b) else ""
            beyond = f"({sure} if {a}.limit >= {b} else None)"
            other = f"{beyond} if {a}.__class__ is OVER{known} else {other}"
        other = _unless_missing(a, b, other)
        checks = _are_floats(a, b)
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
        self.put(f"{t} = {_where_plain(left, (a, b), plain, other)}")

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
                missing = " or ".join(f"{one} is None" for one in (a, b) if _is_local(one))
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
        n, numbers = self.new("n"), [isinstance(a.kind, Number) for a in node.arguments]
        given = [
            self.number(a) if is_number else self.exact(a)
            for a, is_number in zip(node.arguments, numbers, strict=True)
        ]
        key = "".join(f"{one}, " for one in (repr(node.name), *given, self.day))
        classes = (
            f"{one}.__class__ is {'float' if is_number else 'str'}"
            for one, is_number in zip(given, numbers, strict=True)
            if _is_local(one)
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
                self.figured(n, (a := self.number(body),), f"-{_inside(a)}", f"opposite_of({a})")
            case Arithmetic(op=op, left=left, right=right):
                self.calculated(n, op, self.number(left), self.number(right))
            case Apply(name=name, arguments=arguments):
                given = tuple(self.number(a) for a in arguments)
                inner = ", ".join(given)
                asked = f"{_LIFTED[name]}({inner if name == 'abs' else f'({inner},)'})"
                self.figured(n, given, f"{name}({inner})", asked)
            case _:
                raise TypeError(f"not a number: {node!r}")

    def calculated(self, n: str, op: str, a: str, b: str) -> None:
        plain, asked = f"{_inside(a)} {op} {_inside(b)}", f"worked({op!r}, {a}, {b})"
        is_lost = op in "+-" or (op == "*" and not _is_local(b) and float(b) != 0)
        lost = _are_missing(a, b) if is_lost else ""
        self.figured(n, (a, b), plain, asked, divisor=b if op == "/" else "", lost=lost)

    def figured(
        self, n: str, given: Sequence[str], plain: str, asked: str, *, divisor: str = "",
        lost: str = "",
    ) -> None:  # fmt: skip
        checks = _are_floats(*given) or "True"
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


def _where_plain(left: Node, given: Sequence[str], plain: str, other: str) -> str:
    """A comparison in line where both sides are of the plain class of their kind."""
    kind = _PLAIN[type(left.kind)]
    checks = " and ".join(f"{g}.__class__ is {kind}" for g in given if _is_local(g))
    missing = " or ".join(f"{g} is None" for g in given if g[0] in "pq" and _is_local(g))
    other = f"None if {missing} else {other}" if missing else other
    return f"{plain} if {checks} else {other}" if checks else plain


def _unless_missing(a: str, b: str, other: str) -> str:
    """A comparison of numbers that a missing side leaves unknown, whatever the other is.

    Not beside a number made here: the least of no entries compares with anything.
    """
    if any(_is_local(one) and one[0] not in "pq" for one in (a, b)):
        return other
    missing = _are_missing(a, b)
    return f"None if {missing} else {other}" if missing else other


def _are_missing(*given: str) -> str:
    """Whether nothing at all is known of one of these numbers, where that is quickly told."""
    other = {"q": "{0} is None or {0}.__class__ is UNKNOWN", "n": "{0} is ANYTHING"}
    told = [other.get(one[0], "{0} is None").format(one) for one in given if _is_local(one)]
    return " or ".join(told)


def _are_floats(*given: str) -> str:
    return " and ".join(f"{g}.__class__ is float" for g in given if _is_local(g))


def _is_local(text: str) -> bool:
    """Whether it is a name made here and not a constant written out."""
    return text[0] in _LETTERS and text[1:].isdigit()


def _inside(number: str) -> str:
    return f"({number})" if number.startswith("-") else number


def _asks(clause: Clause) -> bool:
    """Whether a rule asks for a limit, so that the day of its subject counts."""
    return any(_has_limit(n) for n in (clause.condition, clause.must, *clause.ways))


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
