"""The reference: what a checked expression is worth, with what an unknown one lacks.

Each node becomes a function of the scene, made once and kept on the node, so that the
reasons of many findings cost little. A number is a plain float as long as it is one, an
`Amount` where it is only partly known. `tests/rules/plain_truth.py` says the same by a
plain walk of the nodes, and the generated code of `compile.py` must agree on every finding.
"""

from __future__ import annotations

import math
import operator
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date
from typing import Any, cast

from compliance.rules.language.interval import (
    ANYTHING,
    INF,
    Interval,
    about_at_most,
    between,
    compared,
    highest,
    holds_zero,
    lowest,
    magnitude,
    minus,
    over,
    plus,
    point,
    times,
)
from compliance.rules.language.kinds import Number
from compliance.rules.language.moments import day_of, moments_compared
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
    once,
)
from compliance.rules.language.scene import (
    FALSE,
    TRUE,
    Amount,
    Argument,
    Entry,
    Needs,
    Scene,
    Verdict,
    both,
    either,
    joined,
    opposite,
    sure,
    unknown,
)
from compliance.rules.language.walks import Walk, walk_of, where
from compliance.units import find, shown
from compliance.values import NotTaken, NotYet, Over, Partly, Under, Unknown

Worth = Callable[[Scene], Verdict]
Found = float | Amount
"""A number that is plainly known, or what is known of it."""
Figure = Callable[[Scene], Found]
Exact = Callable[[Scene], tuple[Any, Needs]]
"""A word, text, yes/no, reference, moment or exact figure; None if unknown, with its needs."""

# Written out in place, each would be made anew at every call.
_BEYOND: frozenset[Any] = frozenset({Over, Under})
_SILENT = frozenset({NotTaken, NotYet, Unknown})
_NO_NEEDS: Needs = ()
_NOT_NEGATIVE = magnitude(ANYTHING)


def truth(node: Node, scene: Scene) -> Verdict:
    """What a condition is worth in a scene."""
    return truth_of(node)(scene)


def number(node: Node, scene: Scene) -> Amount:
    """What a number is worth in a scene."""
    return _amount(number_of(node)(scene))


def truth_of(node: Node) -> Worth:
    """A condition as a function of the scene."""
    return once(node, "worked", _new_truth)


def number_of(node: Node) -> Figure:
    """A number as a function of the scene."""
    return once(node, "worked", _new_number)


def _new_truth(node: Node) -> Worth:
    return _TRUTH[node.__class__](node)


def _new_number(node: Node) -> Figure:
    return _NUMBER[node.__class__](node)


def _amount(found: Any) -> Amount:
    if found.__class__ is float:
        return tuple.__new__(Amount, (point(found), ()))  # half the cost of calling it
    amount: Amount = found
    return amount


def point_of(found: Any) -> float | None:
    """The one number that something is worth, if that is known."""
    if found.__class__ is Amount:
        interval: Interval = found.interval
        return interval.low if interval.is_point else None
    return float(found)


# -- three values ---------------------------------------------------------------------


def _all_of(parts: Sequence[Node], join: Callable[[Iterator[Verdict]], Verdict]) -> Worth:
    """`and` and `or`: one part after the other, as far as it takes."""
    worths = [truth_of(part) for part in parts]
    return lambda scene: join(worth(scene) for worth in worths)


def _not(node: Not) -> Worth:
    body = truth_of(node.body)
    return lambda scene: opposite(body(scene))


# -- comparisons ----------------------------------------------------------------------


def _order(node: Order) -> Worth:
    if node.is_moment:
        return _moments(node)
    op, is_worked = node.op, node.is_worked
    right = number_of(node.right)
    order = _order_of(number_of(node.left), right, op, is_worked)
    if isinstance(node.left, Path):
        return _order_of_path(walk_of(node.left), right, _PLAINLY[op, is_worked], order)
    return order


def _order_of_path(left: Walk, right: Figure, plainly: Plainly, otherwise: Worth) -> Worth:
    """A value of the record compared: quickly told where one side is plain or not there at all."""

    def order(scene: Scene) -> Verdict:
        a, needs = left(scene)
        b: Any = right(scene)
        if b.__class__ is float:
            if a.__class__ is float:
                return TRUE if plainly(a, b) else FALSE
            if a is None and needs:
                return unknown(needs)
        elif b.interval is ANYTHING and b.needs:
            if a.__class__ is float:
                return unknown(b.needs)
            if a is None:
                return unknown(joined((needs, b.needs)))
        return otherwise(scene)

    return order


def _order_of(left: Figure, right: Figure, op: str, is_worked: bool) -> Worth:
    plainly = _PLAINLY[op, is_worked]

    def order(scene: Scene) -> Verdict:
        a, b = left(scene), right(scene)
        if a.__class__ is float and b.__class__ is float:
            return TRUE if plainly(a, b) else FALSE
        (low, needs_a), (high, needs_b) = _amount(a), _amount(b)
        value = compared(op, low, high, is_worked)
        if value is not None:
            return TRUE if value else FALSE
        needs = joined((needs_a, needs_b))
        return unknown(needs or (("the comparison", "beyond what can be worked out"),))

    return order


Plainly = Callable[[Any, Any], bool]
_PLAINLY: dict[tuple[str, bool], Plainly] = {
    ("<", False): operator.lt,
    ("<=", False): operator.le,
    (">", False): operator.gt,
    (">=", False): operator.ge,
    ("<=", True): lambda a, b: a - b <= 1e-9 * abs(b),
    (">=", True): lambda a, b: b - a <= 1e-9 * abs(a),
    ("<", True): lambda a, b: not b - a <= 1e-9 * abs(a),
    (">", True): lambda a, b: not a - b <= 1e-9 * abs(b),
}


def _moments(node: Order) -> Worth:
    left, right, op = _moment_of(node.left), _moment_of(node.right), node.op

    def moments(scene: Scene) -> Verdict:
        (a, needs_a), (b, needs_b) = left(scene), right(scene)
        value = moments_compared(op, a, b, scene.world.today)
        return unknown(joined((needs_a, needs_b))) if value is None else sure(value)

    return moments


def _moment_of(node: Node) -> Exact:
    if isinstance(node, Today):
        return lambda scene: (scene.world.today, _NO_NEEDS)
    path = cast("Path", node)
    walked = walk_of(path)

    def moment(scene: Scene) -> tuple[Any, Needs]:
        value, needs = walked(scene)
        if value.__class__ is NotYet:
            return value, ((where(path, scene), "not yet"),)
        return value, needs

    return moment


def _same(node: Same) -> Worth:
    left, right = _exact_of(node.left), _exact_of(node.right)
    is_scaled = isinstance(node.right, Scaled)

    def same(scene: Scene) -> Verdict:
        (a, needs_a), (b, needs_b) = left(scene), right(scene)
        if a is None or b is None:
            return unknown(joined((needs_a, needs_b)))
        if isinstance(a, dict):
            return TRUE if a is b else FALSE
        if is_scaled:
            p, q = point(a), point(b)
            return sure(bool(about_at_most(p, q) and about_at_most(q, p)))
        return TRUE if a == b else FALSE

    return same


def _among(node: Among) -> Worth:
    left, values = _exact_of(node.left), node.values

    def among(scene: Scene) -> Verdict:
        value, needs = left(scene)
        if value is None:
            return unknown(needs)
        return TRUE if value in values else FALSE

    return among


def _exact_of(node: Node) -> Exact:
    if isinstance(node, Const):
        known = (node.value, _NO_NEEDS)
        return lambda scene: known
    if isinstance(node, Path):
        walked = walk_of(node)

        def of_path(scene: Scene) -> tuple[Any, Needs]:
            found = walked(scene)
            if found[0].__class__ in _BEYOND:
                return None, _beyond(node, found[0], scene)[1]
            return found

        return of_path
    figure = number_of(node)

    def of_number(scene: Scene) -> tuple[Any, Needs]:
        interval, needs = _amount(figure(scene))
        return (interval.low, _NO_NEEDS) if interval.is_point else (None, needs)

    return of_number


def _stated(node: Stated) -> Worth:
    walked = walk_of(node.path)

    def stated(scene: Scene) -> Verdict:
        value, needs = walked(scene)
        known = value is not None and value.__class__ not in _SILENT
        return TRUE if known else unknown(needs)

    return stated


def _shown(node: Shown) -> Worth:
    walked, kind = walk_of(node.about), node.evidence

    def shown_of(scene: Scene) -> Verdict:
        entry, needs = walked(scene)
        if entry is not None:
            needs = scene.world.evidence(kind, entry, scene.before)
        return unknown(needs) if needs else TRUE

    return shown_of


# -- numbers ----------------------------------------------------------------------------


def _constant(node: Const) -> Figure:
    known = float(cast("float", node.value))
    return lambda scene: known


def _read(path: Path) -> Figure:
    walked = walk_of(path)

    def read(scene: Scene) -> Found:
        value, needs = walked(scene)
        if value.__class__ is float:
            return value
        if value is None:
            return Amount(ANYTHING, needs)
        if value.__class__ in _BEYOND:
            return _beyond(path, value, scene)
        return Amount(Interval(value, value))

    return read


def _beyond(path: Path, value: Any, scene: Scene) -> Amount:
    """A reading beyond the meter's range, somewhere past where it stopped."""
    limit, is_over = value.limit, value.__class__ is Over
    reading = shown(limit, find(path.steps[-1]))
    reason = f"beyond range: a reading {'above' if is_over else 'below'} {reading}"
    beyond = between(limit, INF, has_low=False) if is_over else between(-INF, limit, has_high=False)
    return Amount(beyond, ((where(path, scene), reason),))


def _scaled(node: Scaled) -> Figure:
    body, factor, scale = number_of(node.body), node.factor, point(node.factor)

    def scaled(scene: Scene) -> Found:
        found = body(scene)
        if found.__class__ is float and -1e300 < (worth := found * factor) < 1e300:
            return worth
        interval, needs = _amount(found)
        return _bounded(times(interval, scale), needs)

    return scaled


def _negative(node: Negative) -> Figure:
    body = number_of(node.body)

    def negative(scene: Scene) -> Found:
        interval, needs = _amount(body(scene))
        return _bounded(minus(interval), needs)

    return negative


def _arithmetic(node: Arithmetic) -> Figure:
    left, right, op = number_of(node.left), number_of(node.right), node.op
    plainly: Callable[[Any, Any], float] | None = {
        "+": operator.add, "-": operator.sub, "*": operator.mul,
    }.get(op)  # fmt: skip
    what = node.right.text if isinstance(node.right, Path) else "the calculation"

    def arithmetic(scene: Scene) -> Found:
        a, b = left(scene), right(scene)
        if plainly is not None and a.__class__ is float and b.__class__ is float:
            worth = plainly(a, b)
            if -1e300 < worth < 1e300:
                return worth
        return _combined(op, _amount(a), _amount(b), what)

    return arithmetic


def _combined(op: str, left: Amount, right: Amount, what: str) -> Found:
    (a, needs_a), (b, needs_b) = left, right
    needs = joined((needs_a, needs_b))
    if needs and (a is ANYTHING or b is ANYTHING):
        known = b if a is ANYTHING else a
        if op in "+-" or (op == "*" and known.is_point and known.low != 0):
            return Amount(ANYTHING, needs)  # what the intervals would give
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


def _bounded(interval: Interval, needs: Needs, what: str = "the calculation") -> Amount:
    lost = math.isnan(interval.low) or math.isnan(interval.high)
    if lost or (interval.low == interval.high and math.isinf(interval.low)):
        return Amount(ANYTHING, needs or ((what, "beyond what can be worked out"),))
    return _settled(interval, needs)


def _settled(interval: Interval, needs: Needs) -> Amount:
    return Amount(interval) if interval.is_point else Amount(interval, needs)


def _applied(node: Apply) -> Figure:
    if node.name == "days":
        first, last = (_moment_of(a) for a in node.arguments)
        return lambda scene: _days(first(scene), last(scene), scene.world.today)
    figures = [number_of(a) for a in node.arguments]
    if node.name == "abs":
        return _size(figures[0])
    pick = lowest if node.name == "min" else highest

    def picked(scene: Scene) -> Found:
        amounts = [_amount(figure(scene)) for figure in figures]
        return _settled(pick(a.interval for a in amounts), joined([a.needs for a in amounts]))

    return picked


def _size(body: Figure) -> Figure:
    def size(scene: Scene) -> Found:
        found = body(scene)
        if found.__class__ is float:
            return abs(found)
        interval, needs = _amount(found)
        if interval is ANYTHING:
            return Amount(_NOT_NEGATIVE, needs)
        return _bounded(magnitude(interval), needs)

    return size


def _days(first: tuple[Any, Needs], last: tuple[Any, Needs], today: date) -> Amount:
    start, end = day_of(first[0], today), day_of(last[0], today)
    return _settled(plus(end, minus(start)), joined((first[1], last[1])))


def _limit(node: Limit) -> Figure:
    name = node.name
    arguments = [_argument(argument) for argument in node.arguments]

    def limit(scene: Scene) -> Found:
        given = [argument(scene) for argument in arguments]
        day = scene.day or scene.world.today
        found = scene.world.limit(name, tuple([worth for worth, _ in given]), day)
        if found is None:
            lacking = f"no edition covers {day.isoformat()}"
            return Amount(ANYTHING, ((f"limits.{name}", lacking),))
        return found.low if found.is_point else Amount(found, joined([needs for _, needs in given]))

    return limit


def _argument(node: Node) -> Callable[[Scene], tuple[Argument, Needs]]:
    if not isinstance(node.kind, Number):
        return _exact_of(node)
    figure = number_of(node)
    return lambda scene: _amount(figure(scene))


# -- collections ----------------------------------------------------------------------


def entries(each: Each, items: list[Entry], scene: Scene) -> Iterator[tuple[Scene, Verdict]]:
    """Each entry's own scene, and whether it belongs and the filter lets it in."""
    for inner, let_in in _entered(each, items, scene):
        own = Scene(inner.world, {**inner.names}, {**inner.labels}, inner.day, inner.before)
        yield own, let_in


def _entered(each: Each, items: list[Entry], scene: Scene) -> Iterator[tuple[Scene, Verdict]]:
    """The same with one scene for all, which is each entry's only until the next is asked for."""
    base = where(each.source, scene)
    let_in = truth_of(each.where) if each.where else None
    names, labels, name = {**scene.names}, {**scene.labels}, each.name
    inner = Scene(scene.world, names, labels, scene.day, scene.before)
    index = 0
    for index, entry in enumerate(items, 1):
        names[name] = entry
        labels[name] = f"{base}[{entry.get('~name', index)}]"
        yield inner, TRUE if let_in is None else let_in(inner)
    if items.__class__ is Partly:
        for entry, path in items.perhaps:
            index += 1
            names[name] = entry
            labels[name] = f"{base}[{entry.get('~name', index)}]"
            belongs = unknown(((path, "missing"),))
            yield inner, both((belongs, let_in(inner))) if let_in else belongs


def _one_more(each: Each, scene: Scene) -> Needs:
    return ((where(each.source, scene), f"one more entry in {each.source.steps[-1]}"),)


def _each_truth(node: Each) -> Worth:
    walked = walk_of(node.source)
    form = _unique(node) if node.form == "unique" else _some(node, is_all=node.form == "all")

    def each(scene: Scene) -> Verdict:
        items, needs = walked(scene)
        return unknown(needs) if items is None else form(items, scene)

    return each


def _some(node: Each, *, is_all: bool) -> Callable[[list[Entry], Scene], Verdict]:
    """`all` and `any`: what is not sure to belong settles neither."""
    body = truth_of(node.body)
    otherwise = sure(is_all)

    def of_entry(let_in: Verdict, inner: Scene) -> Verdict:
        if let_in is TRUE:
            return body(inner)
        return either((opposite(let_in), body(inner))) if is_all else both((let_in, body(inner)))

    def some(items: list[Entry], scene: Scene) -> Verdict:
        found = otherwise
        lacking: list[Needs] = []
        for inner, let_in in _entered(node, items, scene):
            if let_in.value is False:
                continue
            verdict = of_entry(let_in, inner)
            if verdict.value is None:
                lacking.append(verdict.needs)
            elif verdict.value is not is_all:
                return verdict
        if lacking:
            found = unknown(joined(lacking))
        if is_all or node.is_complete or not items:
            return found
        return unknown(joined((found.needs, _one_more(node, scene))))

    return some


def _unique(node: Each) -> Callable[[list[Entry], Scene], Verdict]:
    body = _exact_of(node.body)

    def unique(items: list[Entry], scene: Scene) -> Verdict:
        known: list[Any] = []
        lacking: list[Needs] = []
        filters: list[Needs] = []
        for inner, let_in in _entered(node, items, scene):
            if let_in.value is False:
                continue
            filters.append(let_in.needs)
            value, needs = body(inner)
            if value is None:
                lacking.append(needs)
            else:
                known.append(id(value) if isinstance(value, Mapping) else value)
        if any(filters):
            return unknown(joined(filters))
        if len(set(known)) < len(known):
            return FALSE
        if lacking and len(known) + len(lacking) > 1:
            return unknown(joined(lacking))
        return TRUE

    return unique


def _each_number(node: Each) -> Figure:
    walked, is_count = walk_of(node.source), node.form == "count"
    form = _count(node) if is_count else _gathered(node)
    anything = between(0.0, INF) if is_count else ANYTHING

    def each(scene: Scene) -> Found:
        items, needs = walked(scene)
        return Amount(anything, needs) if items is None else form(items, scene)

    return each


def _gathered(node: Each) -> Callable[[list[Entry], Scene], Amount]:
    """`sum`, `min` and `max`: a filter that is unknown makes the whole unknown."""
    body, form = number_of(node.body), node.form
    pick = lowest if form == "min" else highest

    def gathered(items: list[Entry], scene: Scene) -> Amount:
        unsure: list[Needs] = []
        amounts: list[Amount] = []
        for inner, let_in in _entered(node, items, scene):
            if let_in.value is None:
                unsure.append(let_in.needs)
            elif let_in.value:
                amounts.append(_amount(body(inner)))
        if unsure:
            return Amount(ANYTHING, joined(unsure))
        needs = joined([a.needs for a in amounts])
        if form == "sum":
            total = point(0.0)
            for amount in amounts:
                total = plus(total, amount.interval)
            return _bounded(total, needs)
        return _settled(pick(a.interval for a in amounts), needs)

    return gathered


def _count(node: Each) -> Callable[[list[Entry], Scene], Amount]:
    body = truth_of(node.body)

    def count(items: list[Entry], scene: Scene) -> Amount:
        sure_ones = unsure = 0
        needs: list[Needs] = []
        for inner, let_in in _entered(node, items, scene):
            if let_in.value is False:
                continue
            verdict = both((let_in, body(inner)))
            sure_ones += verdict.value is True
            unsure += verdict.value is None
            needs.append(verdict.needs)
        if node.is_complete or not items:
            return _settled(between(float(sure_ones), float(sure_ones + unsure)), joined(needs))
        return Amount(between(float(sure_ones), INF), joined((*needs, _one_more(node, scene))))

    return count


_TRUTH: dict[type, Callable[[Any], Worth]] = {
    Both: lambda node: _all_of(node.parts, both),
    Either: lambda node: _all_of(node.parts, either),
    Not: _not,
    Order: _order,
    Same: _same,
    Among: _among,
    Each: _each_truth,
    Stated: _stated,
    Shown: _shown,
}
_NUMBER: dict[type, Callable[[Any], Figure]] = {
    Const: _constant,
    Path: _read,
    Scaled: _scaled,
    Negative: _negative,
    Arithmetic: _arithmetic,
    Apply: _applied,
    Limit: _limit,
    Each: _each_number,
}
