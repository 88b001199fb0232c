"""Why a condition is what it is: the comparisons that decided it, in words and figures.

Made for what is not met, and for what somebody asks about; the reference evaluation stays
the judge.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from contextvars import ContextVar
from datetime import date, datetime
from functools import lru_cache
from types import MappingProxyType
from typing import Any, TypeVar, cast

from compliance.rules.language.kinds import Number, Thing
from compliance.rules.language.nodes import (
    Among,
    Apply,
    Both,
    Const,
    Each,
    Either,
    Limit,
    Node,
    Not,
    Order,
    Path,
    Same,
    Shown,
    Stated,
    Today,
    once,
    paths_in,
)
from compliance.rules.language.scene import Amount, Scene
from compliance.rules.language.truth import Found, entries, number, number_of, point_of, truth
from compliance.rules.language.walks import walk
from compliance.rules.outcome import Fact
from compliance.units import COUNT, UNITS, Unit, rounded, shown
from compliance.values import NotTaken, NotYet, Over, Under

Of = TypeVar("Of", bound=Hashable)
Said = TypeVar("Said")
MOST_KEPT = 4096
"""How many sayings are kept until all are forgotten."""

AT = {"<=": "at most", "<": "less than", ">=": "at least", ">": "more than"}
_WHEN = {"<=": "on or before", "<": "before", ">=": "on or after", ">": "after"}
_OPPOSITE = {"<=": ">", "<": ">=", ">=": "<", ">": "<="}
_FARTHEST = {"min": "least", "max": "greatest"}
TURNED = {"<=": ">=", "<": ">", ">=": "<=", ">": "<"}


Tell = Callable[[Scene, bool, bool], Sequence[Fact]]
"""Facts for why a node, of which it is known, is (`holds`) or is not `wanted`, in that order."""


def facts(node: Node, scene: Scene, *, is_false: bool = False) -> tuple[Fact, ...]:
    """The comparisons that make a condition false; `is_false` if that is known already."""
    if not is_false and truth(node, scene).value is not False:
        return ()
    return _each_once(_tell_of(node)(scene, True, False))


def grounds(node: Node, scene: Scene) -> tuple[Fact, ...]:
    """The comparisons that make a condition true, each with what is left to its limit."""
    return _each_once(_why(node, scene, True, True))


def _each_once(found: Sequence[Fact]) -> tuple[Fact, ...]:
    return tuple(found) if len(found) < 2 else tuple(dict.fromkeys(found))


def _why(node: Node, scene: Scene, wanted: bool, holds: bool) -> Sequence[Fact]:
    """Facts for why a node is (`holds`) or is not `wanted`, if it is so."""
    if truth(node, scene).value is (wanted if holds else not wanted):
        return _tell_of(node)(scene, wanted, holds)
    return ()


def _tell_of(node: Node) -> Tell:
    """How a node is told, made once for each."""
    return once(node, "told", _new_tell)


def _new_tell(node: Node) -> Tell:
    return _TELL.get(node.__class__, _tell_nothing)(node)


def _tell_nothing(_: Node) -> Tell:
    return lambda scene, wanted, holds: ()


def _tell_not(node: Not) -> Tell:
    return lambda scene, wanted, holds: _why(node.body, scene, not wanted, holds)


def _tell_parts(node: Both | Either) -> Tell:
    return lambda scene, wanted, holds: [
        fact for part in node.parts for fact in _why(part, scene, wanted, holds)
    ]


def _tell_each(node: Each) -> Tell:
    if node.form == "unique":
        return lambda scene, wanted, holds: (_unique_fact(node, scene, wanted),)
    say, say_body = _saying(node.source), _said_once(lambda: told(node.body))

    def tell(scene: Scene, wanted: bool, holds: bool) -> Sequence[Fact]:
        items = walk(node.source, scene)[0] or []
        let_in = [inner for inner, verdict in entries(node, items, scene) if verdict.value]
        right = say_body() if wanted else f"not {say_body()}"
        if (node.form == "any") is wanted and not holds:
            found = f"none of {len(let_in)}" if let_in else "none"
            return (Fact(say(scene), found, f"at least one: {right}", ""),)
        if not let_in:
            return (Fact(say(scene), "none", f"each: {right}", ""),)
        return [fact for inner in let_in for fact in _why(node.body, inner, wanted, holds)]

    return tell


def _unique_fact(node: Each, scene: Scene, wanted: bool) -> Fact:
    found = "all different" if truth(node, scene).value is True else "some are equal"
    return Fact(words(node.source, scene), found, "all different" if wanted else "not all")


def _tell_stated(node: Stated) -> Tell:
    path = node.path
    return lambda scene, wanted, holds: (Fact(words(path, scene), _said(path, scene), "stated"),)


def _tell_shown(node: Shown) -> Tell:
    return lambda scene, wanted, holds: (
        Fact(f"{node.evidence} about {_said(node.about, scene)}", "counts", "shown"),
    )


def right_of(node: Order | Same, scene: Scene, side: Path | None = None) -> str:
    """What would be right of one side of a comparison, or nothing where it can't be told.

    Without `side`, the left is a difference from what is expected, as in
    `abs(a - b) <= c`: `343.4 V, within 17.17 V`.
    """
    if isinstance(node, Same):
        return _said(node.right, scene) if side is node.left else ""
    if node.is_moment:
        return ""
    left, right, op = node.left, node.right, node.op
    if side is right and side is not None:
        left, right, op = right, left, cast("Any", TURNED[op])
    unit = _unit(left) or _unit(right) or COUNT
    limit = number(right, scene)
    if not limit.interval.is_point:
        return ""
    if side is not None:
        return f"{AT[op]} {_figure(right, scene, unit, limit)}"
    expected = cast("Any", left).arguments[0].right
    middle = number(expected, scene)
    if not middle.interval.is_point:
        return ""
    within = _figure(right, scene, unit, limit)
    return f"{_figure(expected, scene, unit, middle)}, within {within}"


# -- one comparison -------------------------------------------------------------------


def _tell_order(node: Order) -> Tell:
    if node.is_moment:
        return lambda scene, wanted, holds: (_moment_fact(node, scene, wanted),)
    left, right, op = node.left, node.right, node.op
    if isinstance(left, Const | Limit) and not isinstance(right, Const | Limit):
        left, right, op = right, left, cast("Any", TURNED[op])
    unit = _unit(left) or _unit(right) or COUNT
    figure, limit = number_of(left), number_of(right)
    say_left, say_right = _saying(left), _saying(right)
    is_const = isinstance(right, Const)

    def tell(scene: Scene, wanted: bool, holds: bool) -> Sequence[Fact]:
        must = op if wanted else _OPPOSITE[op]
        found, allowed = figure(scene), limit(scene)
        a, b = point_of(found), point_of(allowed)
        margin = ""
        if a is not None and b is not None:
            size = abs(a - b)
            too = "to spare" if holds else f"too {'much' if must in ('<=', '<') else 'little'}"
            margin = f"{rounded(size, unit)} {too}" if size else "exactly at the limit" * holds
        right_text = f"{AT[must]} {_figure(right, scene, unit, allowed)}"
        if not is_const:
            right_text = f"{right_text} ({say_right(scene)})"
        return (Fact(say_left(scene), _figure(left, scene, unit, found), right_text, margin),)

    return tell


def _figure(node: Node, scene: Scene, unit: Unit, found: Found) -> str:
    """A number in words, of which it is known what it is worth."""
    value = point_of(found)
    if value is not None:
        is_worked = isinstance(node.kind, Number) and node.kind.is_worked
        return (rounded if is_worked else shown)(value, unit)
    if isinstance(node, Path):
        value, _ = walk(node, scene)
        if isinstance(value, Over | Under | NotTaken) or value is None:
            return written(value, unit)
    interval = cast("Amount", found).interval
    return f"{shown(interval.low, unit)} to {shown(interval.high, unit)}"


def _moment_fact(node: Order, scene: Scene, wanted: bool) -> Fact:
    op = node.op if wanted else _OPPOSITE[node.op]
    left, right = (_moment(side, scene) for side in (node.left, node.right))
    said = right if isinstance(node.right, Today) else f"{right} ({words(node.right, scene)})"
    return Fact(words(node.left, scene), left, f"{_WHEN[op]} {said}")


def _moment(node: Node, scene: Scene) -> str:
    if isinstance(node, Today):
        return f"{scene.world.today.isoformat()}, the day of this check"
    return written(walk(cast("Path", node), scene)[0], COUNT)


def _tell_word(node: Same | Among) -> Tell:
    say_left = _saying(node.left)
    if isinstance(node, Among):
        values = [_constant(v) for v in node.values]
        listed = values[0] if len(values) == 1 else "one of " + ", ".join(values)

    def tell(scene: Scene, wanted: bool, holds: bool) -> Sequence[Fact]:
        right = _said(node.right, scene) if isinstance(node, Same) else listed
        found = _said(node.left, scene)
        right = right if wanted else f"anything but {right}"
        return (Fact(say_left(scene), found, right, ""),)

    return tell


def _said(node: Node, scene: Scene) -> str:
    if isinstance(node, Const):
        return _constant(node.value)
    if isinstance(node, Path):
        value, _ = walk(node, scene)
        if isinstance(node.kind, Thing) and isinstance(value, dict):
            return str(value.get("~name", "this one"))
        return written(value, _unit(node) or COUNT)
    return shown(number(node, scene).interval.low, _unit(node) or COUNT)


_TELL: dict[type, Callable[[Any], Tell]] = {
    Not: _tell_not,
    Both: _tell_parts,
    Either: _tell_parts,
    Each: _tell_each,
    Order: _tell_order,
    Same: _tell_word,
    Among: _tell_word,
    Stated: _tell_stated,
    Shown: _tell_shown,
}


def _constant(value: Any) -> str:
    return written(value, COUNT)


def written(value: Any, unit: Unit) -> str:
    """A value of the view as people read it."""
    if value.__class__ is str:
        return value
    if value.__class__ is float:
        return shown(value, unit)
    match value:
        case None:
            return "nothing recorded"
        case True | False:
            return "yes" if value else "no"
        case Over(limit):
            return f"over {shown(limit, unit)}"
        case Under(limit):
            return f"under {shown(limit, unit)}"
        case NotTaken(reason):
            return f"not taken: {reason}"
        case NotYet():
            return "not yet"
        case datetime():
            return value.isoformat(sep=" ", timespec="minutes")
        case date():
            return value.isoformat()
        case float() | int():
            return shown(value, unit)
    return str(value)


def _unit(node: Node) -> Unit | None:
    return node.kind.unit if isinstance(node.kind, Number) else None


# -- words ----------------------------------------------------------------------------


def words(node: Node, scene: Scene) -> str:
    """What a node is about, in words: `insulation positive earth`."""
    return _words(node, scene.labels)


def _saying(node: Node) -> Callable[[Scene], str]:
    """The same for saying it again and again."""
    say_outside = _said_once(lambda: _words(node, {}))

    def say(scene: Scene) -> str:
        for label in scene.labels.values():
            if label[-1] == "]":  # inside a collection, so that the entry is named
                return _words(node, scene.labels)
        return say_outside()

    return say


def _said_once(say: Callable[[], str]) -> Callable[[], str]:
    """What is said, found out once as long as the words that are printed are the same."""
    said_in, said = None, ""

    def again() -> str:
        nonlocal said_in, said
        printed = PRINTED.get()
        if printed is not said_in:
            said_in, said = printed, say()
        return said

    return again


def _words(node: Node, labels: Mapping[str, str]) -> str:
    match node:
        case Path(root=root, steps=steps):
            label = labels.get(root, "")
            inner = f"{label[label.rindex('[') + 1 : -1]} " if label.endswith("]") else ""
            return inner + " ".join(plain_name(s) for s in steps)
        case Limit(name=name):
            return f"limit: {plain_name(name)}"
        case Today():
            return "today"
        case Each(form="min" | "max" as form, source=source, body=body):
            return f"{_FARTHEST[form]} {_words(body, labels)} in {_words(source, labels)}"
        case Each(form=form, source=source):
            return f"{form} of {_words(source, labels)}"
        case Apply(name="abs", arguments=(inner_node,)):
            return "difference of " + " and ".join(_inputs(inner_node, labels))
        case Apply(name="min" | "max" as name):
            return f"the {_FARTHEST[name]} of " + " and ".join(_inputs(node, labels))
    return ", ".join(_inputs(node, labels)) or "the figure"


def _inputs(node: Node, labels: Mapping[str, str]) -> list[str]:
    return list(dict.fromkeys(_words(path, labels) for path in paths_in(node)))


def told(node: Node) -> str:
    """A condition in words, without figures of a record: `kind two supplies, place origin`."""
    match node:
        case Both(parts=parts):
            return ", ".join(told(p) for p in parts)
        case Either(parts=parts):
            return " or ".join(told(p) for p in parts)
        case Not(body=Same(left=Path() as left, right=Path() as right)):
            return _compared(left, right, "another", "not as")
        case Not(body=body):
            return f"not {told(body)}"
        case Same(left=Path() as left, right=Path() as right):
            return _compared(left, right, "the same", "as")
        case Same(left=left, right=Const(value=True)):
            return _name(left)
        case Same(left=left, right=right):
            return f"{_name(left)} {_name(right)}"
        case Among(left=left, values=values):
            return f"{_name(left)} {' or '.join(_constant(v) for v in values)}"
        case Order(op=op, left=left, right=right, is_moment=True):
            return f"{_name(left)} {_WHEN[op]} {_name(right)}"
        case Order(op=op, left=left, right=right):
            return f"{_name(left)} {AT[op]} {_name(right)}"
    return ", ".join(_name(p) for p in paths_in(node))


def _compared(left: Path, right: Path, alike: str, apart: str) -> str:
    """Two fields compared: `the same run`, `another pole`, `mark at array as mark at inverter`."""
    a, b = _name(left), _name(right)
    return f"{alike} {a}" if a == b else f"{a} {apart} {b}"


def _name(node: Node) -> str:
    if isinstance(node, Const):
        unit = _unit(node) or COUNT
        return shown(node.value, unit) if isinstance(node.value, float) else _constant(node.value)
    if isinstance(node, Path):
        return " ".join(plain_name(s) for s in node.steps)
    if isinstance(node, Limit):
        return plain_name(node.name)
    return " and ".join(_name(p) for p in paths_in(node)) or "the day of the check"


def plain_name(name: str) -> str:
    """A field's name as the trade says it, without its unit: `zs_ohm` is "Zs"."""
    printed = PRINTED.get().get(name)
    if printed is not None:
        return printed
    return _ALONE[name] if name in _ALONE else _without_unit(name)


@lru_cache(maxsize=4096)
def _without_unit(name: str) -> str:
    parts = name.split("_")
    unit = ""
    for start in range(1, len(parts)):
        if "_".join(parts[start:]) in UNITS:
            parts, unit = parts[:start], parts[start]
            break
    words = " ".join(_SYMBOLS.get(part, part) for part in parts)
    words = _SYMBOLS.get(words, words)
    return f"{words} temperature" if unit == "c" else words


_ALONE = {"on": "day", "by": "person"}


class Printed(dict[str, str]):
    """What a jurisdiction prints for a field's name, and what was said in these words before."""

    def __init__(self, words: Mapping[str, str] = MappingProxyType({})) -> None:
        super().__init__(words)
        self._said: dict[Any, Any] = {}

    def __reduce__(self) -> tuple[Any, ...]:
        return Printed, (dict(self),)

    def said(self, of: Of, say: Callable[[Of], Said]) -> Said:
        """What is said of something that can be told apart and holds all that it rests on."""
        found = self._said.get(of)
        if found is None:
            if len(self._said) >= MOST_KEPT:
                self._said.clear()
            found = self._said[of] = say(of)
        return found


PRINTED: ContextVar[Printed] = ContextVar("printed", default=Printed())  # noqa: B039 - no words of its own
"""The words of the jurisdiction whose job is open; opening a job sets them."""

_SYMBOLS = {
    "ac": "AC",
    "dc": "DC",
    "imp": "Imp",
    "isc": "Isc",
    "r1 r2": "R1 + R2",
    "rcd": "RCD",
    "voc": "Voc",
    "ze": "Ze",
    "zs": "Zs",
    "key with": "person with the key",
    "told by": "person who told it",
    "next on": "day of the next visit",
    "named by": "labels naming it",
    "supply isolators": "main switches",
    "overvoltage could": "worst outcome of an overvoltage",
    "surge risk accepted": "day of accepting the risk of surges",
    "access": "way up that was used",
    "scaffold inspected": "day of the latest scaffold inspection",
    "scaffold found": "what the scaffold inspection found",
    "dc on arrival": "DC found on arrival",
    "told on": "day the licensee was told",
    "known on": "day it was known",
    "disturbed": "materials drilled, cut or taken off",
    "tariffs": "older arrays that earn a tariff",
}
