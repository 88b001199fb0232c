"""Writing the generated function: its lines, its local names, what it reads of the record.

The text that is emitted holds only fixed words, `repr` of checked constants and
local names made here; never text of a rule.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from compliance.rules.language.nodes import Each, Node, Path, parts_of

_LETTERS = "pqen"

Reads = dict[tuple[str, tuple[str, ...]], str]


class Writer:
    """Lines of a function, the names in force where the next one stands, and what was read."""

    def __init__(self) -> None:
        self.lines: list[str] = []
        self.depth = 1
        self.made = 0
        self.locals: dict[str, str] = {}
        self.reads: Reads = {}
        self.days: dict[str, str] = {}
        self.day = "today"
        self.before = ""

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
