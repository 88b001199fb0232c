"""One generated Python function that decides every rule for every subject.

Paths are read once, loops over the same collection are fused, plain values and readings
beyond range are compared in line. Whatever else a value may be is asked of `lifted`. What
that cannot say (entries that only may belong to a collection, numbers beyond all measure)
raises `Undecided`, and that finding is left to the reference.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import date
from types import CodeType
from typing import Any, Protocol, TypeVar, cast

from compliance.errors import OutOfRangeError
from compliance.rules.language import lifted
from compliance.rules.language.calculation import Calculations, Shortcuts, called
from compliance.rules.language.conditions import limits_in
from compliance.rules.language.interval import ANYTHING, INF
from compliance.rules.language.kinds import Many, Truth
from compliance.rules.language.loops import Loops
from compliance.rules.language.nodes import Each, Limit, Node, Path, parts_of, paths_in
from compliance.rules.language.ruling import Clause
from compliance.rules.language.scene import Entry, World
from compliance.rules.language.writer import RECORD_DAY, Asked
from compliance.rules.outcome import Outcome
from compliance.values import NotTaken, NotYet, Over, Partly, Undecided, Unknown

Decided = tuple[tuple[int, ...], tuple[Entry, ...], tuple[Outcome | None, ...]]
"""Numbers of rules, the entries of their subject, their outcomes; None where the reference
must decide."""
Decision = tuple[int, tuple[Entry, ...], Outcome | None]
"""The same of one rule."""

Entries = TypeVar("Entries")
What = TypeVar("What")

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
        reasons: bool = ...,
    ) -> list[Decided]:
        """What is decided of each subject.

        `undecided` is told the number of each rule that is left to the reference. Where
        `reasons` are to be given, what holds by another way than the rule's own condition is
        left to it too, and the world keeps what is worked out.

        What is not shown or for judgement is not due where `is_ahead` says so of its point;
        left out, nothing is but by a shortcut.
        """


def one_by_one(
    decided: Iterable[tuple[tuple[int, ...], Entries, tuple[What, ...]]],
) -> Iterator[tuple[int, Entries, What]]:
    """Each rule's decision about each subject."""
    for numbers, entries, outcomes in decided:
        for number, outcome in zip(numbers, outcomes, strict=True):
            yield number, entries, outcome


_NONE = Shortcuts()


def _never(_: str, __: Entry | None) -> bool:
    return False


def _unsaid(_: int) -> None:
    return None


def _said(worth: bool | None, late: Outcome) -> Outcome:
    """The outcome of a condition; `late` is what an unknown is."""
    return _MET if worth is True else _NOT_MET if worth is False else late


# Looking a member up on its class costs more than asking for it.
_MET, _NOT_MET = Outcome.MET, Outcome.NOT_MET


def decider(clauses: Sequence[Clause], shortcuts: Shortcuts = _NONE) -> Decider:
    """The generated function: all rules over one record.

    It is called with the world and with a function that gives the date of a subject's
    part by name. Limits once found are kept, so the worlds that it is called with
    must share their limit tables.
    """
    return runnable(code_of(clauses, shortcuts), shortcuts.calculations)


def code_of(clauses: Sequence[Clause], shortcuts: Shortcuts = _NONE) -> CodeType:
    """The generated function's code, which can be kept and run later."""
    return compile(source(clauses, shortcuts), "<generated from rulesets>", "exec")


def runnable(code: CodeType, calculations: Calculations) -> Decider:
    """The function of code that `code_of` made with the same calculations."""
    functions = {called(*key): one.work_out for key, one in calculations.items()}
    namespace = {**_NAMESPACE, **functions, "kept": {}}
    exec(code, namespace)  # noqa: S102 - emitted below from fixed text and repr of checked constants only
    return cast("Decider", namespace["decide"])


def source(clauses: Sequence[Clause], shortcuts: Shortcuts = _NONE) -> str:
    """The text of the generated function."""
    return _Emitter(clauses, shortcuts).text()


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
    "NOT_YET": NotYet,
    "OVER": Over,
    "said": _said,
    "UNREAD": object(),
    "limit": lifted.limit,
    "tables_on": lifted.tables_on,
    "at_most": lifted.at_most,
    "at_least": lifted.at_least,
    "INF": INF,
    "beyond": lifted.beyond,
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
    "counted": lifted.counted,
}


_FIRST = """\
def decide(world, day, is_ahead=never, undecided=unsaid, reasons=False):
    job, today = world.job, world.today
    out = []"""
_BEFORE = {
    "quantity(": "    quantity = world.quantity",
    "shown(": "    shown = lambda kind, entry, before:"
    " None if world.evidence(kind, entry, before) else True",
    "by_way": "    by_way = None if reasons else MET",
    "worked_out": "    worked_out = world.worked_out",
}
"""What is found once for the record, by what asks for it."""


class _Emitter(Loops):
    def __init__(self, clauses: Sequence[Clause], shortcuts: Shortcuts) -> None:
        super().__init__(shortcuts)
        self.clauses = clauses
        self.late: dict[str, str] = {}

    def text(self) -> str:
        groups: dict[tuple[Any, ...], list[int]] = {}
        for number, clause in enumerate(self.clauses):
            groups.setdefault(self._shape(clause), []).append(number)
        self.asked_twice = self._asked_twice(groups.values())
        of_record = self._tables_of_calculations()
        if of_record:
            self.put(f"{RECORD_DAY} = day(None, {self.shortcuts.tables_by!r}) or today")
            self.put_tables(RECORD_DAY, of_record, "g")
        for numbers in groups.values():
            self.made = 0  # names serve again: a function of few local names runs faster
            with self.scope():
                self.group(numbers, 0, ())
        used = "\n".join(self.lines)
        lines = [line for name, line in _BEFORE.items() if name in used]
        tables = self._tables() | of_record
        names = [
            [n for n, asked in tables.items() if asked is is_asked] for is_asked in (True, False)
        ]
        head = [f"ASKED_AT, FLAT = {tuple(names[0])!r}, {tuple(names[1])!r}", ""]
        return "\n".join([*head, _FIRST, *lines, used, "    return out", ""])

    def _tables(self) -> dict[str, bool]:
        """The limit tables that rules ask, and whether each is asked at something."""
        return {
            n: is_asked for one in _days_of(self.clauses).values() for n, is_asked in one.items()
        }

    def _tables_of_calculations(self) -> dict[str, bool]:
        """The same of those that values rest on which are worked out in line."""
        paths = [p for clause in self.clauses for p in _paths_of(clause) if p.is_quantity]
        found = [calculation for path in paths if (calculation := self.calculation(path))]
        return {g.table: bool(g.steps) for one in found for g in one.given if g.table}

    @staticmethod
    def _shape(clause: Clause) -> tuple[Any, ...]:
        """Equal for rules that loop over the same collections by the same names."""
        return tuple((name, path.root, path.steps) for name, path in clause.loops)

    def _asked_twice(self, groups: Iterable[list[int]]) -> frozenset[Asked]:
        """The worked-out values that are asked in more than one place."""
        places = {
            (path.owner, path.steps[-1], number, path.root, path.steps[:-1])
            for number, group in enumerate(groups)
            for clause in map(self.clauses.__getitem__, group)
            for path in _paths_of(clause)
            if path.is_quantity
        }
        counted = Counter(place[:2] for place in places)
        return frozenset(asked for asked, count in counted.items() if count > 1)

    # -- loops ------------------------------------------------------------------------

    def group(self, numbers: list[int], level: int, held: tuple[str, ...]) -> None:
        entries = "(" + "".join(f"{name}, " for name in held) + ")"
        clauses = [self.clauses[n] for n in numbers]
        nodes = [n for c in clauses for n in _conditions_of(c)]
        nodes += [path for c in clauses for _, path in c.loops[level:]]
        if level == len(clauses[0].loops):
            self.read_ahead(nodes, at_once=[n for c in clauses for n in _conditions_of(c)[:1]])
            self.rules(numbers, held, entries)
            return
        self.read_ahead(nodes)
        if level == 0:
            self.loops_at = len(self.lines)
        items = self.value(clauses[0].loops[level][1])
        told = f"{tuple(numbers)}, {entries}"
        is_none = f"{items}.__class__ is not PARTLY or not {items}"
        with self.block(f"if {items}.__class__ is not list and ({is_none}):"), self.scope():
            self.late = {}
            for self.before in dict.fromkeys(c.before for c in clauses):
                self.late[self.before] = self.open_outcome(held)
            lates = "".join(f"{self.late[c.before]}, " for c in clauses)
            self.put(f"out.append(({told}, ({lates})))")
        with self.block(f"elif not {items}:"):
            self.put(f"out.append(({told}, (NONE, ) * {len(numbers)}))")
        entry = self.new("e")
        with self.block("else:"), self.block(f"for {entry} in {items}:"), self.scope():
            name, path = clauses[0].loops[level]
            self.locals[name] = entry
            self.types[entry] = path.kind.type if isinstance(path.kind, Many) else ""
            self.looped.add(entry)
            self.group(numbers, level + 1, (*held, entry))

    def rules(self, numbers: list[int], held: tuple[str, ...], entries: str) -> None:
        about = held[-1] if held else "job"
        clauses = [self.clauses[n] for n in numbers]
        self.late = {}
        with self.of_another_part(held):
            for by, limits in _days_of(clauses).items():
                self.limits_on(by, limits, held)
            for self.before in dict.fromkeys(c.before for c in clauses):
                if self.is_of_part(held):
                    self.late[self.before] = self.open_outcome(held)
        for self.before in dict.fromkeys(c.before for c in clauses):
            if self.before not in self.late:
                self.late[self.before] = self.open_outcome(held)
        self.share(
            (node, self.days.get(clause.by, "today"), clause.before)
            for clause in clauses
            for node in _costly(clause)
        )
        for clause in clauses:
            self.day, self.before = self.days.get(clause.by, "today"), clause.before
            self.limits_at_once(_conditions_of(clause)[:1])
        self.unread()
        outcomes = [self.tried(number, about) for number in numbers]
        row = f"{tuple(numbers)}, {entries}, ({', '.join(outcomes)},)"
        self.put(f"out.append(({row}))")

    def tried(self, number: int, about: str) -> str:
        """Emits one rule's decision, left to the reference where it turns out undecided."""
        clause, start = self.clauses[number], len(self.lines)
        self.before = clause.before
        with self.scope():
            self.day = self.days.get(clause.by, "today")
            with self.block("try:"):
                outcome = self.rule(clause, about)
        own = self.lines[start + 1 :]
        if any("raise Undecided" in line or "beyond()" in line for line in own):
            with self.block("except Undecided:"):
                self.put(f"{outcome} = undecided({number})")
        else:
            self.lines[start:] = [line[4:] for line in own]
        return outcome

    @contextmanager
    def of_another_part(self, held: tuple[str, ...]) -> Iterator[None]:
        """Writes what hangs on a subject's part, found out anew where it is of another part."""
        part = (self.shortcuts.part,)
        if not held or not self.is_shared(held[-1], part):
            yield
            return
        name, before = self.read(held[-1], part), self.remember()
        with self.block(f"if {name} is not {before}:"):
            self.put(f"{before} = {name}")
            yield

    def is_of_part(self, held: tuple[str, ...]) -> bool:
        """Whether the point of no return is passed on a day that the subject's part says alone."""
        if not held or not self.is_shared(held[-1], (self.shortcuts.part,)):
            return False
        field = self.shortcuts.points.get(self.before)
        return field is not None and self.kind_of(held[-1], (field,)) is None

    def limits_on(self, by: str, limits: Mapping[str, bool], held: tuple[str, ...]) -> None:
        """Emits the day that picks limits, and what they are then."""
        day = self.days[by] = self.new("d")
        entry = held[-1] if held else "None"
        asked = f"day({entry}, {by!r}) or today"
        if held and self.shortcuts.part:
            known = self.new("p")
            self.put(f"{known} = {self.of_part(entry, by)}")
            asked = f"{known} if {known}.__class__ is DATE else {asked}"
        self.put(f"{day} = {asked}")
        self.put_tables(day, limits)

    def of_part(self, entry: str, field: str) -> str:
        """A field of an entry's part, which is another entry or nothing."""
        steps = (self.shortcuts.part, field)
        if (entry, steps) in self.reads:
            return self.reads[entry, steps]
        part = self.read(entry, steps[:1])
        return f"{part}.get({field!r}) if {self.is_there(entry, steps[:1], part)} else None"

    def open_outcome(self, held: tuple[str, ...]) -> str:
        """Emits what an unknown is for a subject; gives its local name."""
        late, field = self.new("l"), self.shortcuts.points.get(self.before)
        entry = held[-1] if held else "None"
        asked = f"NOT_DUE if is_ahead({self.before!r}, {entry}) else NOT_SHOWN"
        if held and field:
            moment = self.new("m")
            if self.is_of_part(held):
                self.put(f"{moment} = {self.of_part(entry, field)}")
            else:
                self.put(f"{moment} = {self.read(entry, (field,))}")
                with self.block(f"if {moment} is None:"), self.scope():
                    self.put(f"{moment} = {self.of_part(entry, field)}")
            dated = f"(NOT_DUE if {moment} > today else NOT_SHOWN) if {moment}.__class__ is DATE"
            waits = f"NOT_DUE if {moment}.__class__ is NOT_YET"
            asked = f"{dated} else NOT_SHOWN if {moment} is None else {waits} else {asked}"
        self.put(f"{late} = {asked}")
        return late

    def rule(self, clause: Clause, about: str) -> str:
        """Emits one rule's decision; gives the local name that holds its outcome."""
        o, late = self.new("o"), self.late[clause.before]
        if clause.condition is None:
            self.decide(clause, about, o, late)
            return o
        beside = f" and {o} is not by_way" if clause.ways else ""
        compared = self.quick(clause.condition)
        if compared is None:
            c = self.truth(clause.condition)
            applies, is_open = f"{c} is not False", f"{c} is None"
        else:
            is_open = f"not ({compared.checks})"
            either = [compared.plain, is_open] if compared.is_safe else [is_open, compared.plain]
            applies = " or ".join(either)
        with self.block(f"if {applies}:"), self.scope():
            self.decide(clause, about, o, late)
            with self.block(f"if {o} is not MET{beside} and {is_open}:"):
                self.put(f"{o} = {late}")
        with self.block("else:"):
            self.put(f"{o} = NONE")
        return o

    def decide(self, clause: Clause, about: str, o: str, late: str) -> None:
        """Emits what the outcome is where the rule applies; `late` is what an unknown is."""
        if clause.must is None:
            self.put(f"{o} = NOT_DUE if {late} is NOT_DUE else JUDGE")
            return
        is_alone = not clause.evidence and not clause.ways and not self.shared_name(clause.must)
        if is_alone and self.settle(o, clause.must, late):
            return
        m, met = self.truth(clause.must), "MET"
        if (clause.ways or clause.evidence) and m in self.shared.values():
            self.put(f"{(own := self.new('t'))} = {m}")  # the shared one stays for the next rule
            m = own
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
        self.put(f"{o} = {met} if {m} else {late} if {m} is None else NOT_MET")


def _costly(clause: Clause) -> Iterator[Node]:
    """Loops and limits of a rule, each once: what is worth keeping for another rule."""
    nodes = _conditions_of(clause)
    yield from dict.fromkeys(node for top in nodes for node in _outside_loops(top))


def _outside_loops(node: Node) -> Iterator[Node]:
    is_each = isinstance(node, Each) and isinstance(node.kind, Truth)
    if is_each or (isinstance(node, Limit) and node.arguments):
        yield node
    if not isinstance(node, Each):
        for part in parts_of(node):
            yield from _outside_loops(part)


def _conditions_of(clause: Clause) -> list[Node]:
    return [n for n in (clause.condition, clause.must, *clause.ways) if n is not None]


def _paths_of(clause: Clause) -> list[Path]:
    return [path for node in _conditions_of(clause) for path in paths_in(node)]


def _days_of(clauses: Iterable[Clause]) -> dict[str, dict[str, bool]]:
    """The dates by which limits are picked, each with the limits, and which have an argument."""
    found: dict[str, dict[str, bool]] = {}
    for clause in clauses:
        for node in _conditions_of(clause):
            for limit in limits_in(node):
                found.setdefault(clause.by, {})[limit.name] = bool(limit.arguments)
    return found
