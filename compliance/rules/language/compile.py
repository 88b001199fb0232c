"""One generated Python function that decides every rule for every subject.

Paths are read once, loops over the same collection are fused, plain values and readings
beyond range are compared in line. Whatever else a value may be is asked of `lifted`. What
that cannot say (entries that only may belong to a collection, numbers beyond all measure)
raises `Undecided`, and that finding is left to the reference.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import date
from types import CodeType, MappingProxyType
from typing import Any, Protocol, cast

from compliance.errors import OutOfRangeError
from compliance.rules.language import lifted
from compliance.rules.language.calculation import Calculations, called
from compliance.rules.language.conditions import Conditions
from compliance.rules.language.interval import ANYTHING
from compliance.rules.language.kinds import Truth
from compliance.rules.language.nodes import Each, Limit, Node, parts_of
from compliance.rules.language.ruling import Clause
from compliance.rules.language.scene import Entry, World
from compliance.rules.outcome import Outcome
from compliance.values import NotTaken, NotYet, Over, Partly, Undecided, Unknown

Decision = tuple[int, tuple[Entry, ...], Outcome | None]
"""Rule number, the subject's entries, the outcome; None where the reference must decide."""

Day = Callable[[Entry | None, str], date | None]
Ahead = Callable[[str, Entry | None], bool]
"""Whether a point of no return lies ahead of a subject; None is the job."""


class Decider(Protocol):
    """The generated function: all rules over one record."""

    def __call__(
        self,
        world: World,
        day: Day,
        is_ahead: Ahead = ...,
        undecided: Callable[[int], None] = ...,
        by_way: Outcome | None = ...,
    ) -> list[Decision]:
        """One decision for each rule and subject.

        `undecided` is told the number of each rule that is left to the reference, and `by_way`
        is what stands for met where another way than the rule's own condition holds.

        What is not shown or for judgement is not due where `is_ahead` says so of its point;
        left out, nothing is.
        """


_NONE: Calculations = MappingProxyType({})


def _never(_: str, __: Entry | None) -> bool:
    return False


def _unsaid(_: int) -> None:
    return None


def decider(clauses: Sequence[Clause], calculations: Calculations = _NONE) -> Decider:
    """The generated function: all rules over one record.

    It is called with the world and with a function that gives the date of a subject's
    part by name, and returns one decision for each rule and subject, rule by rule
    within each fused loop. Limits once found are kept, so the worlds that it is called with
    must share their limit tables. Values with a calculation are worked out in line.
    """
    return runnable(code_of(clauses, calculations), calculations)


def code_of(clauses: Sequence[Clause], calculations: Calculations = _NONE) -> CodeType:
    """The generated function's code, which can be kept and run later."""
    return compile(source(clauses, calculations), "<generated from rulesets>", "exec")


def runnable(code: CodeType, calculations: Calculations = _NONE) -> Decider:
    """The function of code that `code_of` made with the same calculations."""
    functions = {called(*key): one.work_out for key, one in calculations.items()}
    namespace = {**_NAMESPACE, **functions, "kept": {}}
    exec(code, namespace)  # noqa: S102 - emitted below from fixed text and repr of checked constants only
    return cast("Decider", namespace["decide"])


def source(clauses: Sequence[Clause], calculations: Calculations = _NONE) -> str:
    """The text of the generated function."""
    return _Emitter(clauses, calculations).text()


_NAMESPACE: dict[str, Any] = {
    "Undecided": Undecided,
    "BEYOND": OutOfRangeError,
    "PARTLY": Partly,
    "ANYTHING": ANYTHING,
    "NOT_NEGATIVE": lifted.NOT_NEGATIVE,
    "UNKNOWN": Unknown,
    "SILENT": (NotTaken, NotYet, Unknown),
    "MET": Outcome.MET,
    "NOT_MET": Outcome.NOT_MET,
    "NOT_SHOWN": Outcome.NOT_SHOWN,
    "NOT_DUE": Outcome.NOT_DUE,
    "never": _never,
    "unsaid": _unsaid,
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


class _Emitter(Conditions):
    def __init__(self, clauses: Sequence[Clause], calculations: Calculations) -> None:
        super().__init__(calculations)
        self.clauses = clauses
        self.about = "None"
        self.late: dict[str, str] = {}

    def text(self) -> str:
        self.lines = [
            "def decide(world, day, is_ahead=never, undecided=unsaid, by_way=MET):",
            "    job, today, quantity = world.job, world.today, world.quantity",
            "    shown = lambda kind, entry, before: None if world.evidence(kind, entry, before)"
            " else True",
            "    out = []",
            "    put = out.append",
            "    limit_at = kept.get",
            *(["    worked_out = world.worked_out"] if self.calculations else []),
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
        self.share(
            (node, self.days.get(clause.by, "today"), clause.before)
            for clause in map(self.clauses.__getitem__, numbers)
            for node in _costly(clause)
        )
        decided = []
        for number in numbers:
            clause = self.clauses[number]
            self.before = clause.before
            with self.scope():
                self.day = self.days.get(clause.by, "today")
                with self.block("try:"):
                    outcome = self.rule(clause, about)
                with self.block("except Undecided:"):
                    self.put(f"{outcome} = undecided({number})")
            decided.append(f"({number}, {together}, {outcome}), ")
        self.put(f"out += ({''.join(decided)})")

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
            beside = f" and {o} is not by_way" if clause.ways else ""
            with self.block(f"if {c} is None and {o} is not MET{beside}:"):
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
        if m in self.shared.values():  # stays as it is for the next rule
            self.put(f"{(own := self.new('t'))} = {m}")
            m = own
        met = "MET"
        if clause.ways:
            met = self.new("o")
            self.put(f"{met} = MET")
            with self.block(f"if {m} is None:"), self.scope():
                found = [self.truth(way) for way in clause.ways]
                some = " or ".join(f"{w} is True" for w in found)
                fails = " or ".join(f"{w} is False" for w in found)
                self.put(f"{m} = True if {some} else False if {fails} else None")
                self.put(f"{met} = by_way")
        for kind in clause.evidence:
            with self.block(f"if {m} is True:"):
                self.put(f"{m} = shown({kind!r}, {about}, {clause.before!r})")
        with self.block(f"if {m}:"):
            self.put(f"{o} = {met}")
        with self.block(f"elif {m} is None:"):
            self.open(o)
        with self.block("else:"):
            self.put(f"{o} = NOT_MET")


def _costly(clause: Clause) -> Iterator[Node]:
    """Loops and limits of a rule, each once: what is worth keeping for another rule."""
    nodes = [n for n in (clause.condition, clause.must, *clause.ways) if n is not None]
    yield from dict.fromkeys(node for top in nodes for node in _outside_loops(top))


def _outside_loops(node: Node) -> Iterator[Node]:
    if isinstance(node, Limit) or (isinstance(node, Each) and isinstance(node.kind, Truth)):
        yield node
    if not isinstance(node, Each):
        for part in parts_of(node):
            yield from _outside_loops(part)


def _asks(clause: Clause) -> bool:
    """Whether a rule asks for a limit, so that the day of its subject counts."""
    return any(_has_limit(n) for n in (clause.condition, clause.must, *clause.ways))


def _has_limit(node: Node | None) -> bool:
    if node is None:
        return False
    return isinstance(node, Limit) or any(_has_limit(p) for p in parts_of(node))
