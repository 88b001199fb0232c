"""Emitting what goes through a collection: each entry decides, counts or adds in line."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager

from compliance.rules.language.conditions import Conditions
from compliance.rules.language.inline import Compared, always_plain, are_floats, are_missing
from compliance.rules.language.kinds import Many
from compliance.rules.language.nodes import Among, Both, Each, Node, Order, Same, Stated, parts_of

MOST_WRITTEN_TWICE = 3
"""How many conditions joined by `and` are written out for each way that the first can go."""
Lines = Sequence[str]
Emit = Callable[[], None]


class Loops(Conditions):
    """What emits loops over collections into the function."""

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
        is_list = self.is_list(items)
        with self.block(f"if {is_list} or {items}.__class__ is PARTLY:"):
            self.put(f"{t} = {keep}")
            with self.loop(node, items):
                self.each_entry(t, node, stop)
            with self.block(f"if not {is_list} and {t} is not {stop}:"):
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
        elif is_short(node.body):
            self.jump(
                node.where,
                lambda: self.jump(node.body, yes, no, open_),
                None,
                lambda: self.jump(node.body, yes and open_, no and open_, open_),
            )
        else:
            q = self.truth(node.where)
            with self.block(f"if {q} is not False:"), self.scope():
                inner = self.truth(node.body)
                self.branch(
                    (f"{inner} is {stop} and {q}", settled),
                    (f"{inner} is not {'False' if stop == 'True' else 'True'}", open_),
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
        if isinstance(node, Both) and is_short(node):
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
        with self.block(f"if {self.is_list(items)}:"):
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
        with self.block(f"if not {self.is_list(items)} and {items}.__class__ is PARTLY:"):
            self.put("raise Undecided")

    def each_number(self, node: Each) -> str:
        items, n = self.value(node.source), self.new("n")
        is_list = self.is_list(items)
        if node.form == "count" or node.where is not None:
            self.not_partly(items)
        with self.block(f"if {is_list}:"):
            if node.form == "count":
                self.count(n, node, items)
            elif node.form == "sum":
                self.sum(n, node, items)
            else:
                self.extreme(n, node, items)
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
            self.put_by_sort(node.body, one, [f"{n} += {one}"], [f"{n} = ANYTHING", "break"])
        with self.block(f"if {n} is not ANYTHING and {n} - {n} != 0:"):  # infinite
            self.put(f"{n} = ANYTHING")

    def extreme(self, n: str, node: Each, items: str) -> None:
        """Emits `min` or `max`: of what is known, as far as some are not."""
        is_open = self.new("u")
        end, better, told = {
            "min": ("INF", "<", "at_most"), "max": ("-INF", ">", "at_least")
        }[node.form]  # fmt: skip
        self.put(f"{n}, {is_open} = {end}, False")
        with self.loop(node, items):
            self.filtered(node, f"{n} = None")
            one = self.number(node.body)
            known = f"{n} = {one} if {one} {better} {n} else {n}"
            self.put_by_sort(node.body, one, [known], [f"{is_open} = True"])
        with self.block(f"if {is_open} or {n} == {end}:"):
            self.put(f"{n} = {told}({n}, is_open={is_open}) if {n} is not None else None")

    def put_by_sort(self, node: Node, one: str, known: Lines, lacking: Lines) -> None:
        """Emits what a plain number does, and what a missing one; any other is not decided here."""
        with self.block(f"if {are_floats((node, one)) or True}:"):
            for line in known:
                self.put(line)
        with self.block(f"elif {are_missing(one) or False}:"):
            for line in lacking:
                self.put(line)
        with self.block("else:"):
            self.put("raise Undecided")


def is_short(node: Node) -> bool:
    """Whether a condition may be written twice: what has no parts, or a few of such."""
    parts = node.parts if isinstance(node, Both) else (node,)
    is_few = len(parts) <= MOST_WRITTEN_TWICE
    return is_few and all(isinstance(part, Same | Among | Order | Stated) for part in parts)
