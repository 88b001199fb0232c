"""What a checked expression is worth, by a plain walk of its nodes: slow, and easily read.

The product's own evaluation makes a function of each node. Here the same rules stand a second
time without that, and the laws of `tests/properties` compare the two, needs and all.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import date, datetime
from typing import Any, cast

from compliance.rules.language.interval import (
    ANYTHING,
    INF,
    Interval,
    about_at_most,
    at_most,
    between,
    highest,
    holds_zero,
    less,
    lowest,
    magnitude,
    minus,
    over,
    plus,
    point,
    times,
)
from compliance.rules.language.kinds import Number
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
from compliance.rules.language.scene import Amount, Argument, Entry, Needs, Scene, Verdict
from compliance.units import find, shown
from compliance.values import NotTaken, NotYet, Over, Partly, Under, Unknown

_TURNED = {">": "<", ">=": "<="}
TRUE, FALSE = Verdict(True), Verdict(False)
# Written out in place, each would be made anew at every call.
_LOST = frozenset({NotTaken, Unknown})
_BEYOND: frozenset[Any] = frozenset({Over, Under})
_SILENT = frozenset({NotTaken, NotYet, Unknown})


def truth(node: Node, scene: Scene) -> Verdict:
    """What a condition is worth in a scene."""
    return _TRUTH[node.__class__](node, scene)


def number(node: Node, scene: Scene) -> Amount:
    """What a number is worth in a scene."""
    return _NUMBER[node.__class__](node, scene)


def _among(node: Among, scene: Scene) -> Verdict:
    value, needs = _value(node.left, scene)
    return Verdict(None, needs) if value is None else _sure(value in node.values)


def _stated(node: Stated, scene: Scene) -> Verdict:
    value, needs = walk(node.path, scene)
    known = value is not None and value.__class__ not in _SILENT
    return TRUE if known else Verdict(None, needs)


def _shown(node: Shown, scene: Scene) -> Verdict:
    entry, needs = walk(node.about, scene)
    if entry is not None:
        needs = scene.world.evidence(node.evidence, entry, scene.before)
    return Verdict(None, needs) if needs else TRUE


def _applied(node: Apply, scene: Scene) -> Amount:
    if node.name == "days":
        first, last = node.arguments
        return _days(first, last, scene)
    amounts = [number(a, scene) for a in node.arguments]
    if node.name == "abs":
        return _finite(amounts[0], magnitude)
    pick = lowest if node.name == "min" else highest
    return _settled(pick(a.interval for a in amounts), joined(a.needs for a in amounts))


def _sure(value: bool) -> Verdict:
    return TRUE if value else FALSE


# -- three values ---------------------------------------------------------------------


def both(parts: Iterable[Verdict]) -> Verdict:
    """`and`: false if any is false, else unknown if any is unknown, else true."""
    return _joined(parts, False)


def either(parts: Iterable[Verdict]) -> Verdict:
    """`or`: true if any is true, else unknown if any is unknown, else false."""
    return _joined(parts, True)


def _joined(parts: Iterable[Verdict], settles: bool) -> Verdict:
    unknown: list[Needs] = []
    for verdict in parts:
        if verdict.value is settles:
            return verdict
        if verdict.value is None:
            unknown.append(verdict.needs)
    return Verdict(None, joined(unknown)) if unknown else _sure(not settles)


def opposite(verdict: Verdict) -> Verdict:
    """`not`: swaps true and false, keeps unknown."""
    return verdict if verdict.value is None else _sure(not verdict.value)


def joined(needs: Iterable[Needs]) -> Needs:
    """Needs in the order met, each once."""
    said = [some for some in needs if some]
    if not said:
        return ()
    if len(said) == 1 and len(said[0]) == 1:
        return said[0]
    return tuple(dict.fromkeys(need for some in said for need in some))


# -- reading the view -----------------------------------------------------------------


def walk(path: Path, scene: Scene) -> tuple[Any, Needs]:
    """The value at the end of a path, or None and the first step that is missing."""
    value: Any = scene.names[path.root] if path.root else scene.world.job
    steps = path.steps
    for index, step in enumerate(steps, 1):
        held = value.get(step)
        if held is None and index == len(steps) and path.is_quantity:
            held = scene.world.quantity(path.owner, step, value)
        value = held
        if value is None or value.__class__ in _LOST:
            return None, _lacking(value, path.root, steps[:index], scene)
    return value, ()


def _lacking(value: Any, root: str, steps: tuple[str, ...], scene: Scene) -> Needs:
    """What is lacking at the end of these steps."""
    label = scene.labels.get(root, root)
    before = ".".join([label, *steps[:-1]] if label else steps[:-1])
    if isinstance(value, Unknown):
        return tuple((_below(before, p), why) for p, why in value.needs)
    reason = "missing" if value is None else f"not taken: {value.reason}"
    return ((f"{before}.{steps[-1]}" if before else steps[-1], reason),)


def _below(before: str, path: str) -> str:
    """A quantity's need in full; with a slash before it, it begins at the job already."""
    if path.startswith("/"):
        return path[1:]
    return f"{before}.{path}" if before else path


def where(path: Path, scene: Scene) -> str:
    """A path with its local name replaced by what it stands for."""
    label = scene.labels.get(path.root, path.root)
    return ".".join([label, *path.steps] if label else path.steps)


def _read(path: Path, scene: Scene) -> Amount:
    value, needs = walk(path, scene)
    if value is None:
        return Amount(ANYTHING, needs)
    if value.__class__ not in _BEYOND:
        return Amount(Interval(value, value))
    limit = value.limit
    is_over = value.__class__ is Over
    reading = shown(limit, find(path.steps[-1]))
    reason = f"beyond range: a reading {'above' if is_over else 'below'} {reading}"
    beyond = between(limit, INF, has_low=False) if is_over else between(-INF, limit, has_high=False)
    return Amount(beyond, ((where(path, scene), reason),))


def _value(node: Node, scene: Scene) -> tuple[Any, Needs]:
    """A word, text, yes/no, reference or exact figure; None if unknown."""
    if isinstance(node, Const):
        return node.value, ()
    if isinstance(node, Path):
        value, needs = walk(node, scene)
        if value.__class__ not in _BEYOND:
            return value, needs
        return None, _read(node, scene).needs
    amount = number(node, scene)
    return (amount.interval.low, ()) if amount.interval.is_point else (None, amount.needs)


# -- comparisons ----------------------------------------------------------------------


def _order(node: Order, scene: Scene) -> Verdict:
    left, right = number(node.left, scene), number(node.right, scene)
    value = compared(node.op, left.interval, right.interval, node.is_worked)
    if value is not None:
        return _sure(value)
    needs = joined((left.needs, right.needs))
    return Verdict(None, needs or (("the comparison", "beyond what can be worked out"),))


def compared(op: str, a: Interval, b: Interval, is_worked: bool) -> bool | None:
    """Whether `a op b`, with the tolerance where a side was worked out."""
    if op[0] == ">":
        a, b, op = b, a, _TURNED[op]
    if not is_worked:
        return less(a, b) if op == "<" else at_most(a, b)
    if op == "<=":
        return about_at_most(a, b)
    reverse = about_at_most(b, a)
    return None if reverse is None else not reverse


def _same(node: Same, scene: Scene) -> Verdict:
    (left, a), (right, b) = _value(node.left, scene), _value(node.right, scene)
    if left is None or right is None:
        return Verdict(None, joined((a, b)))
    if isinstance(left, dict):
        return _sure(left is right)
    if isinstance(node.right, Scaled):
        near = about_at_most(point(left), point(right)) and about_at_most(point(right), point(left))
        return _sure(bool(near))
    return _sure(left == right)


def _moment(node: Node, scene: Scene) -> tuple[Any, Needs]:
    if isinstance(node, Today):
        return scene.world.today, ()
    value, needs = walk(cast("Path", node), scene)
    if isinstance(value, NotYet):
        return value, ((where(cast("Path", node), scene), "not yet"),)
    return value, needs


def _moments(node: Order, scene: Scene) -> Verdict:
    (a, needs_a), (b, needs_b) = _moment(node.left, scene), _moment(node.right, scene)
    value = moments_compared(node.op, a, b, scene.world.today)
    return Verdict(value, joined((needs_a, needs_b)) if value is None else ())


def moments_compared(op: str, a: Any, b: Any, today: date) -> bool | None:
    """Whether `a op b` for two moments; if either has no time of day, days compare."""
    timed = isinstance(a, datetime) and isinstance(b, datetime)
    left, right = (instant(m, timed, today) for m in (a, b))
    return compared(op, left, right, is_worked=False)


def instant(moment: Any, timed: bool, today: date) -> Interval:
    """A moment as a number: days, or seconds where `timed`; not yet is any day after today."""
    if moment is None:
        return ANYTHING
    if isinstance(moment, NotYet):
        return between(today.toordinal(), INF, has_low=False)
    if timed:
        return point((moment - datetime(1, 1, 1)).total_seconds())
    return point(moment.toordinal())


def _days(a: Node, b: Node, scene: Scene) -> Amount:
    (first, needs_a), (last, needs_b) = _moment(a, scene), _moment(b, scene)
    today = scene.world.today
    start, end = (instant(m, False, today) for m in (first, last))
    return _settled(plus(end, minus(start)), joined((needs_a, needs_b)))


# -- arithmetic -----------------------------------------------------------------------


def _settled(interval: Interval, needs: Needs) -> Amount:
    return Amount(interval) if interval.is_point else Amount(interval, needs)


def _finite(amount: Amount, change: Any) -> Amount:
    return _bounded(change(amount.interval), amount.needs)


def _bounded(interval: Interval, needs: Needs, what: str = "the calculation") -> Amount:
    lost = math.isnan(interval.low) or math.isnan(interval.high)
    if lost or (interval.low == interval.high and math.isinf(interval.low)):
        return Amount(ANYTHING, needs or ((what, "beyond what can be worked out"),))
    return _settled(interval, needs)


def _arithmetic(op: str, left: Amount, right: Amount, divisor: Node) -> Amount:
    a, b, needs = left.interval, right.interval, joined((left.needs, right.needs))
    what = divisor.text if isinstance(divisor, Path) else "the calculation"
    if op == "+":
        return _bounded(plus(a, b), needs, what)
    if op == "-":
        return _bounded(plus(a, minus(b)), needs, what)
    if op == "*":
        return _bounded(times(a, b), needs, what)
    if holds_zero(b):
        zero = ((what, "a value other than 0"),) if b.is_point else right.needs
        return Amount(ANYTHING, joined((left.needs, zero)))
    return _bounded(over(a, b), needs, what)


def _limit(node: Limit, scene: Scene) -> Amount:
    arguments: list[Argument] = []
    needs: list[Needs] = []
    for argument in node.arguments:
        if isinstance(argument.kind, Number):
            amount = number(argument, scene)
            arguments.append(amount.interval)
            needs.append(amount.needs)
        else:
            value, lacking = _value(argument, scene)
            arguments.append(value)
            needs.append(lacking)
    found = scene.world.limit(node.name, tuple(arguments), scene.edition_day)
    if found is None:
        day = scene.edition_day.isoformat()
        return Amount(ANYTHING, ((f"limits.{node.name}", f"no edition covers {day}"),))
    return _settled(found, joined(needs))


# -- collections ----------------------------------------------------------------------


def entries(each: Each, items: list[Entry], scene: Scene) -> Iterator[tuple[Scene, Verdict]]:
    """Each entry's own scene, and whether it belongs and the filter lets it in."""
    base = where(each.source, scene)
    belonging = [(entry, TRUE) for entry in items]
    if isinstance(items, Partly):
        belonging += [(e, Verdict(None, ((path, "missing"),))) for e, path in items.perhaps]
    for index, (entry, belongs) in enumerate(belonging, 1):
        inner = scene.with_name(each.name, entry, f"{base}[{entry.get('~name', index)}]")
        yield inner, both((belongs, truth(each.where, inner))) if each.where else belongs


def _one_more(each: Each, scene: Scene) -> Needs:
    return ((where(each.source, scene), f"one more entry in {each.source.steps[-1]}"),)


def _each_truth(node: Each, scene: Scene) -> Verdict:
    items, needs = walk(node.source, scene)
    if items is None:
        return Verdict(None, needs)
    if node.form == "unique":
        return _unique(node, items, scene)
    pairs = entries(node, items, scene)
    if node.form == "all":
        return both(either((opposite(q), truth(node.body, s))) if q.value is not False
                    else TRUE for s, q in pairs)  # fmt: skip
    found = either(both((q, truth(node.body, s))) if q.value is not False
                   else FALSE for s, q in pairs)  # fmt: skip
    if node.is_complete or not items or found.value:
        return found
    return Verdict(None, joined((found.needs, _one_more(node, scene))))


def _unique(node: Each, items: list[Entry], scene: Scene) -> Verdict:
    known: list[Any] = []
    lacking: list[Needs] = []
    filters: list[Needs] = []
    for inner, let_in in entries(node, items, scene):
        if let_in.value is False:
            continue
        filters.append(let_in.needs)
        value, needs = _value(node.body, inner)
        if value is None:
            lacking.append(needs)
        else:
            known.append(id(value) if isinstance(value, Mapping) else value)
    if any(filters):
        return Verdict(None, joined(filters))
    if len(set(known)) < len(known):
        return Verdict(False)
    if lacking and len(known) + len(lacking) > 1:
        return Verdict(None, joined(lacking))
    return Verdict(True)


def _each_number(node: Each, scene: Scene) -> Amount:
    items, needs = walk(node.source, scene)
    if items is None:
        return Amount(between(0.0, INF) if node.form == "count" else ANYTHING, needs)
    if node.form == "count":
        return _count(node, items, scene)
    let_ins = list(entries(node, items, scene))
    unsure = joined(let_in.needs for _, let_in in let_ins)
    if unsure:
        return Amount(ANYTHING, unsure)
    amounts = [number(node.body, inner) for inner, let_in in let_ins if let_in.value]
    needs = joined(a.needs for a in amounts)
    if node.form == "sum":
        total = point(0.0)
        for amount in amounts:
            total = plus(total, amount.interval)
        return _bounded(total, needs)
    pick = lowest if node.form == "min" else highest
    return _settled(pick(a.interval for a in amounts), needs)


def _count(node: Each, items: list[Entry], scene: Scene) -> Amount:
    sure = unsure = 0
    needs: list[Needs] = []
    for inner, let_in in entries(node, items, scene):
        if let_in.value is False:
            continue
        verdict = both((let_in, truth(node.body, inner)))
        sure += verdict.value is True
        unsure += verdict.value is None
        needs.append(verdict.needs)
    if node.is_complete or not items:
        return _settled(between(float(sure), float(sure + unsure)), joined(needs))
    return Amount(between(float(sure), INF), joined((*needs, _one_more(node, scene))))


_TRUTH: dict[type, Callable[[Any, Scene], Verdict]] = {
    Both: lambda node, scene: both(truth(p, scene) for p in node.parts),
    Either: lambda node, scene: either(truth(p, scene) for p in node.parts),
    Not: lambda node, scene: opposite(truth(node.body, scene)),
    Order: lambda node, scene: (_moments if node.is_moment else _order)(node, scene),
    Same: _same,
    Among: _among,
    Each: _each_truth,
    Stated: _stated,
    Shown: _shown,
}
_NUMBER: dict[type, Callable[[Any, Scene], Amount]] = {
    Const: lambda node, scene: Amount(point(node.value)),
    Path: _read,
    Scaled: lambda node, scene: _finite(
        number(node.body, scene), lambda a: times(a, point(node.factor))
    ),
    Negative: lambda node, scene: _finite(number(node.body, scene), minus),
    Arithmetic: lambda node, scene: _arithmetic(
        node.op, number(node.left, scene), number(node.right, scene), node.right
    ),
    Apply: _applied,
    Limit: _limit,
    Each: _each_number,
}
