"""Writing the generated function: its lines, its local names, what it reads of the record.

The text that is emitted holds only fixed words, `repr` of checked constants and
local names made here; never text of a rule.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, nullcontext

from compliance.rules.language.calculation import Calculation, Given, Shortcuts, called
from compliance.rules.language.kinds import Kind, Number, Text, Thing, Word, YesNo
from compliance.rules.language.nodes import Each, Node, Path, parts_of, paths_in

_LETTERS = "pqfen"
"""Names of what is read, worked out, worked out as a figure or nothing, an entry, a number."""
RECORD_DAY = "day0"
"""The local name of the day that picks limits for calculations."""

Read = tuple[str, tuple[str, ...]]
"""The local name of what is walked from, and the steps."""
Asked = tuple[str, str]
"""The type that a worked-out value belongs to, and its name."""
Shared = tuple[Node, str, str]
"""A node, the day of its limits and the point before which its evidence counts."""
Steps = dict[str, "Steps"]
"""Steps to read, each with those to read of what it leads to."""


class Writer:
    """Lines of a function, the names in force where the next one stands, and what was read."""

    def __init__(self, shortcuts: Shortcuts) -> None:
        self.shortcuts = shortcuts
        self.asked_twice: frozenset[Asked] = frozenset()
        self.lines: list[str] = []
        self.depth = 1
        self.made = 0
        self.locals: dict[str, str] = {}
        self.types: dict[str, str] = {"job": "job"}
        """What local names of entries stand for."""
        self.loops_at = 0
        """Where the outermost loop starts among the lines."""
        self.reads: dict[Read, str] = {}
        self.lists: dict[str, str] = {}
        """Local names that say of collections that they are plain lists, by theirs."""
        self.known: set[str] = set()
        """Local names of worked-out values that are worked out already."""
        self.to_keep: list[tuple[str, str, str]] = []
        """Worked-out values to be kept: local name, the entry's, what it is called."""
        self.days: dict[str, str] = {}
        self.day = "today"
        self.limits: dict[tuple[str, str], str] = {}
        """Local names of limit tables on a day: by the table's name and the day's local name."""
        self.looped: set[str] = set()
        """Local names of the entries that rules loop over."""
        self.before = ""
        self.shared: dict[Shared, str] = {}

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
        kept = dict(self.locals), dict(self.reads), dict(self.days), self.day, self.shared
        known, lists = set(self.known), dict(self.lists)
        yield
        self.locals, self.reads, self.days, self.day, self.shared = kept
        self.known, self.lists = known, lists

    def share(self, nodes: Iterable[Shared]) -> None:
        """Makes a name for whatever stands more than once among these, to be found out once."""
        counted = Counter(nodes)
        self.shared = {one: self.new("n") for one, count in counted.items() if count > 1}

    def unread(self) -> None:
        """Emits that what is shared is not found out yet, but for what is known already."""
        names = [name for name in self.shared.values() if name not in self.known]
        if names:
            self.put(f"{' = '.join(names)} = UNREAD")

    def rename(self, node: Node, name: str) -> None:
        """Lets a name stand for what is shared, found out already."""
        self.shared = {**self.shared, (node, self.day, self.before): name}
        self.known.add(name)

    def shared_name(self, node: Node) -> str | None:
        """The name of what other rules about the same subject ask too, if they do."""
        return self.shared.get((node, self.day, self.before))

    def remember(self) -> str:
        """A local name that lasts from one entry of the outermost loop to the next."""
        name = self.new("b")
        self.lines.insert(self.loops_at, "    " + f"{name} = UNREAD")
        return name

    # -- what a field holds -----------------------------------------------------------

    def kind_of(self, root: str, steps: tuple[str, ...]) -> Kind | None:
        """The kind of what steps lead to, if it is told."""
        kind: Kind | None = Thing(self.types.get(root, ""))
        for step in steps:
            fields = self.shortcuts.fields.get(kind.type if isinstance(kind, Thing) else "", {})
            kind = fields.get(step)
            if kind is None and fields and step == self.shortcuts.part:
                kind = Thing(step, is_shared=True)  # lent by what an entry stands in
        return kind

    def is_shared(self, root: str, steps: tuple[str, ...]) -> bool:
        kind = self.kind_of(root, steps)
        return isinstance(kind, Thing) and kind.is_shared

    def is_there(self, root: str, steps: tuple[str, ...], name: str) -> str:
        """Whether an entry stands where steps lead."""
        return f"{name} is not None" if self.is_shared(root, steps) else f"{name}.__class__ is dict"

    # -- reading ----------------------------------------------------------------------

    def read_ahead(self, nodes: Sequence[Node], at_once: Sequence[Node] = ()) -> None:
        """Reads every path that starts at a name in force, before anything can be undecided.

        Worked-out values stay unread until somebody asks, but for those of what is asked
        `at_once`.
        """
        wanted: dict[str, Steps] = {}
        quantities: list[Path] = []
        for node in nodes:
            for path in _own_paths(node):
                if path.root == "" or path.root in self.locals:
                    _want(wanted, *self.walked(path))
                    quantities += [path] if path.is_quantity else []
            for path in paths_in(node):
                for root, steps in self.fed_by(path):
                    _want(wanted, root, steps)
        for root, below in wanted.items():
            self.read_all(root, root, (), below)
        for source in dict.fromkeys(_own_sources(nodes)):
            if source.root == "" or source.root in self.locals:
                self.is_list(self.value_or_entry(source))
        now = {path for node in at_once for path in _own_paths(node)}
        for path in dict.fromkeys(quantities):
            self.quantity(path, at_once=path in now)
        self.keep()

    def walked(self, path: Path) -> Read:
        """What is read of the record for a path: all of it, unless its end is worked out."""
        steps = path.steps[:-1] if path.is_quantity else path.steps
        return self.locals[path.root] if path.root else "job", steps

    def fed_by(self, path: Path) -> Iterator[Read]:
        """What a worked-out value is worked out from, as far as it can be read already."""
        is_here = path.root in self.locals or not path.root
        calculation = self.calculation(path) if path.is_quantity else None
        for given in calculation.given if calculation else ():
            if given.steps and (given.is_of_job or is_here):
                yield self.input_at(path, given)

    def calculation(self, path: Path) -> Calculation | None:
        """How a worked-out value of a loop's own entry, or of the job, is worked out in line."""
        found = self.shortcuts.calculations.get((path.owner, path.steps[-1]))
        if found is None or len(path.steps) != 1:
            return None
        is_told = self.shortcuts.tables_by or not any(g.table for g in found.given)
        return found if is_told else None

    def input_at(self, path: Path, given: Given) -> Read:
        is_of_job = given.is_of_job or not path.root
        return "job" if is_of_job else self.locals[path.root], given.steps

    def read_all(self, root: str, held: str, before: tuple[str, ...], wanted: Steps) -> list[str]:
        """Reads steps and what lies below them, asking once whether each is an entry."""
        made: list[str] = []
        for step, below in wanted.items():
            key = (root, (*before, step))
            if key not in self.reads:
                self.reads[key] = name = self.new("p")
                self.put(f"{name} = {held}.get({step!r})")
                made.append(name)
            name = self.reads[key]
            if not self.is_all_read(root, key[1], below):
                made += self.read_below(root, name, key[1], below)
        return made

    def read_below(self, root: str, name: str, steps: tuple[str, ...], below: Steps) -> list[str]:
        """Reads what lies below an entry; anew only if it is another than the last time."""
        is_kept = root in self.looped and self.is_shared(root, steps)
        before = self.remember() if is_kept else name
        with self.block(f"if {name} is not {before}:") if is_kept else nullcontext():
            if is_kept:
                self.put(f"{before} = {name}")
            with self.block(f"if {self.is_there(root, steps, name)}:"):
                inner = self.read_all(root, name, steps, below)
            with self.block("else:"):
                self.put(f"{' = '.join(inner)} = None")
        return [*inner, before] if is_kept else inner

    def is_all_read(self, root: str, before: tuple[str, ...], wanted: Steps) -> bool:
        return all(
            (root, (*before, step)) in self.reads and self.is_all_read(root, (*before, step), below)
            for step, below in wanted.items()
        )

    def is_list(self, items: str) -> str:
        """The local name that says of a collection that nothing else may belong to it."""
        if items not in self.lists:
            self.lists[items] = self.new("s")
            self.put(f"{self.lists[items]} = {items}.__class__ is list")
        return self.lists[items]

    def value_or_entry(self, path: Path) -> str:
        return self.read(*self.walked(path))

    def read(self, root: str, steps: tuple[str, ...]) -> str:
        if not steps:
            return root
        key = (root, steps)
        if key not in self.reads:
            held, name = self.read(root, steps[:-1]), self.new("p")
            if len(steps) == 1:
                self.put(f"{name} = {held}.get({steps[-1]!r})")
            else:
                is_there = self.is_there(root, steps[:-1], held)
                self.put(f"{name} = {held}.get({steps[-1]!r}) if {is_there} else None")
            self.reads[key] = name
        return self.reads[key]

    def quantity(self, path: Path, *, at_once: bool = False) -> str:
        """The local name of a worked-out value, which is unread until somebody asks."""
        root = self.locals[path.root] if path.root else "job"
        key = (root, path.steps)
        if key not in self.reads:
            name = self.reads[key] = self.new("f" if self.is_figure(path) else "q")
            if at_once:
                self.work_out(name, path)
                self.known.add(name)
            else:
                self.put(f"{name} = UNREAD")
        return self.reads[key]

    def is_figure(self, path: Path) -> bool:
        """Whether a worked-out value is a plain number or nothing: all that it rests on is."""
        calculation = self.calculation(path)
        if calculation is None or (path.owner, path.steps[-1]) in self.asked_twice:
            return False
        if path.root and path.root not in self.locals:
            return False
        return calculation.gives_float and all(
            self.is_plain_input(path, given) for given in calculation.given if given.steps
        )

    def is_plain_input(self, path: Path, given: Given) -> bool:
        return holds_plain(self.kind_of(*self.input_at(path, given)))

    def keep(self) -> None:
        """Emits that worked-out values stay known to the world where reasons are to be given."""
        if self.to_keep:
            with self.block("if reasons:"):
                for name, held, step in self.to_keep:
                    with self.block(f"if {name} is not None:"):
                        self.put(f"worked_out[id({held}), {step!r}] = {name}")
        self.to_keep = []

    def value(self, path: Path) -> str:
        if not path.is_quantity:
            return self.value_or_entry(path)
        name = self.quantity(path)
        if name not in self.known:
            self.value_or_entry(path)
            with self.block(f"if {name} is UNREAD:"), self.scope():
                self.work_out(name, path)
                self.keep()
            self.known.add(name)
        return name

    def put_tables(self, day: str, names: Iterable[str], letter: str = "n") -> None:
        """Emits the limit tables of a day, as far as these are asked."""
        self.put(f"of_day = kept.get({day})")
        with self.block("if of_day is None:"):
            self.put(f"of_day = tables_on(kept, world, {day}, ASKED_AT, FLAT)")
        for name in names:
            self.limits[name, day] = self.new(letter)
            self.put(f"{self.limits[name, day]} = of_day[{name!r}]")

    def work_out(self, name: str, path: Path) -> None:
        """Emits a worked-out value: in line where its inputs are plain, else by the world."""
        held, step = self.value_or_entry(path), path.steps[-1]
        is_entry = held[0] == "e" or held == "job"
        is_there = "" if is_entry else self.is_there(*self.walked(path), held)
        calculation = self.calculation(path)
        if self.shortcuts.are_stated:
            through = f" if {is_there} else None" if is_there else ""
            self.put(f"{name} = {held}.get({step!r}){through}")
            is_there = f"{name} is None and {is_there}" if is_there else f"{name} is None"
        elif is_there or calculation is not None:
            self.put(f"{name} = None")
        with self.block(f"if {is_there}:") if is_there else nullcontext(), self.scope():
            if calculation is None:
                self.put(f"{name} = quantity({path.owner!r}, {step!r}, {held})")
            elif (path.owner, step) in self.asked_twice:
                self.put(f"{name} = worked_out.get((id({held}), {step!r}))")
                with self.block(f"if {name} is None:"):
                    self.calculate(name, path, calculation)
            else:
                self.calculate(name, path, calculation)

    def calculate(self, name: str, path: Path, calculation: Calculation) -> None:
        """Emits a calculation of plain inputs; its value is kept for whoever asks it again."""
        given, step, held = calculation.given, path.steps[-1], self.value_or_entry(path)
        is_asked_again = (path.owner, step) in self.asked_twice
        reads = [self.read(*self.input_at(path, g)) if g.steps else "None" for g in given]
        numbers = list(reads)
        said = dict.fromkeys(f"{read} is not None" for read in reads if is_local(read))
        plain = dict.fromkeys(
            f"{read} is not None"
            if self.is_plain_input(path, g)
            else f"{read}.__class__ is {'str' if g.table else 'float'}"
            for g, read in zip(given, reads, strict=True)
            if g.steps
        )
        with self.block(f"if {' and '.join(plain)}:"):
            for place, g in enumerate(given):
                if g.table:
                    numbers[place] = self.table_at(g, reads[place])
            found = " and ".join(f"{n}.__class__ is float" for n in numbers if n[0] in "gw")
            with self.block(f"if {found}:") if found else nullcontext():
                with self.block("try:"):
                    self.put(f"{name} = {called(path.owner, step)}({', '.join(numbers)})")
                    if is_asked_again:
                        self.put(f"worked_out[id({held}), {step!r}] = {name}")
                    else:
                        self.to_keep.append((name, held, step))
                with self.block("except BEYOND:"):
                    self.put("pass  # unknown")
        if plain.keys() != said.keys():
            with self.block(f"elif {' and '.join(said)}:"):
                self.put(f"{name} = quantity({path.owner!r}, {step!r}, {held})")

    def table_at(self, given: Given, word: str) -> str:
        """Emits a limit as an input, on the day that counts for the record."""
        found = self.limits[given.table, RECORD_DAY]
        if not given.steps:
            return found
        number = self.new("w")
        self.put(f"{number} = {found}.get({word})")
        with self.block(f"if {number} is None:"):
            asked = f"{given.table!r}, {word}, False, {RECORD_DAY}"
            self.put(f"{number} = limit({found}, world, {asked})")
        return number


def holds_plain(kind: Kind | None) -> bool:
    """Whether a field holds a plain value or nothing."""
    if isinstance(kind, Number):
        return not (kind.is_reading or kind.is_worked)
    return isinstance(kind, Word | Text | YesNo)


def is_local(text: str) -> bool:
    """Whether it is a name made here and not a constant written out."""
    return text[0] in _LETTERS and text[1:].isdigit()


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


def _own_sources(nodes: Iterable[Node]) -> Iterator[Path]:
    """The collections that are gone through where the nodes stand, not inside generators."""
    for node in nodes:
        if isinstance(node, Each):
            yield node.source
        else:
            yield from _own_sources(parts_of(node))


def _want(wanted: dict[str, Steps], root: str, steps: tuple[str, ...]) -> None:
    below = wanted.setdefault(root, {}) if steps else {}
    for step in steps:
        below = below.setdefault(step, {})
