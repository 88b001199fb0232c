"""What the generated code asks where a value is not a plain number, word or date.

Exact like the reference, by the same intervals, but without needs: a number is a float,
or an `Interval` where it is only partly known; a condition is True, False or None.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from datetime import date
from typing import Any, cast

from compliance.rules.language.interval import (
    ANYTHING,
    INF,
    NO_GREATEST,
    NO_LEAST,
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
from compliance.rules.language.moments import day_of, moments_compared
from compliance.rules.language.scene import Argument, World
from compliance.values import NotTaken, NotYet, Over, Undecided, Under, Unknown

Lifted = float | Interval
"""A number of the generated code, lifted where it is only partly known."""

Kept = dict[Any, Lifted]
"""Values of a limit table on a day, by its argument."""
Tables = dict[str, Any]
"""The tables of a day by name, each as what is kept of it; of one without argument its value."""

NOT_NEGATIVE = magnitude(ANYTHING)
MOST_KEPT = 4096
_LOST = frozenset({type(None), NotTaken, Unknown})
_SILENT = _LOST | {NotYet}
_OPEN = _SILENT | {Over, Under, Interval}


def span_of(value: Any) -> Interval:
    """All numbers that a value of the view, or a lifted number, could stand for."""
    kind = value.__class__
    if kind is float:
        return point(value)
    if kind is Interval:
        return cast("Interval", value)
    if kind is Over:
        return between(value.limit, INF, has_low=False)
    if kind is Under:
        return between(-INF, value.limit, has_high=False)
    return point(float(value)) if kind is int else ANYTHING


def lowered(interval: Interval) -> Lifted:
    """A plain float where an interval is one number."""
    return interval.low if interval.is_point else interval


def _bounded(interval: Interval) -> Lifted:
    """A result of arithmetic; anything where it is too large to be worked out."""
    lost = math.isnan(interval.low) or math.isnan(interval.high)
    if (
        lost
        or (interval.low == -INF and interval.high == INF)
        or (interval.low == interval.high and math.isinf(interval.low))
    ):
        return ANYTHING
    return lowered(interval)


# -- conditions -------------------------------------------------------------------------


def ordered(op: str, a: Any, b: Any, is_worked: bool) -> bool | None:
    """Whether `a op b` for two numbers of any sort."""
    if (_is_anything(a) and not _is_of_none(b)) or (_is_anything(b) and not _is_of_none(a)):
        return None  # what the intervals would say
    if a is NOT_NEGATIVE and b.__class__ is float and b > 0 and op[0] == "<":
        return None  # likewise: a difference of which one side is unknown
    if a.__class__ is Interval and b.__class__ is float:
        margin = 1e-6 * abs(b)
        if a.low < b - margin and b + margin < a.high:
            return None  # well inside, whatever the tolerance
    return compared(op, span_of(a), span_of(b), is_worked)


def beyond() -> Any:
    """Leaves numbers that are too large to be worked with to the reference."""
    raise Undecided


def alike(a: Any, b: Any) -> bool | None:
    """Whether two words, texts, yes/no or figures are the same."""
    return None if _is_open(a) or _is_open(b) else bool(a == b)


def near(a: Any, b: Any) -> bool | None:
    """Whether two figures are the same, one of them converted from another scale."""
    if _is_open(a) or _is_open(b):
        return None
    return bool(about_at_most(point(a), point(b)) and about_at_most(point(b), point(a)))


def among(a: Any, values: tuple[Any, ...]) -> bool | None:
    """Whether a value is one of several constants."""
    return None if _is_open(a) else a in values


def _is_anything(value: Any) -> bool:
    return value is None or value is ANYTHING or value.__class__ in _SILENT


def _is_of_none(value: Any) -> bool:
    """Whether it is the least or greatest of no entries, which compares with anything."""
    return value.__class__ is Interval and math.isinf(value.low) and value.low == value.high


def _is_open(value: Any) -> bool:
    return value.__class__ in _OPEN


def moments(op: str, a: Any, b: Any, today: date) -> bool | None:
    """Whether `a op b` for two moments of any sort."""
    if a.__class__ in _LOST or b.__class__ in _LOST:
        return None
    return moments_compared(op, a, b, today)


# -- numbers ----------------------------------------------------------------------------


def worked(op: str, a: Any, b: Any) -> Lifted:
    """`a op b`, one of + - * /, for numbers of any sort."""
    if _is_anything(a) or _is_anything(b):
        known = b if _is_anything(a) else a
        if op in "+-" or (known.__class__ is float and known != 0):
            return ANYTHING  # what the intervals would give
    left, right = span_of(a), span_of(b)
    if op == "/":
        return ANYTHING if holds_zero(right) else _bounded(over(left, right))
    return _bounded(_OPERATIONS[op](left, right))


_OPERATIONS: dict[str, Callable[[Interval, Interval], Interval]] = {
    "+": plus,
    "-": lambda a, b: plus(a, minus(b)),
    "*": times,
}


def opposite_of(a: Any) -> Lifted:
    """`-a` for a number of any sort."""
    return _bounded(minus(span_of(a)))


def size_of(a: Any) -> Lifted:
    """`abs(a)` for a number of any sort."""
    return NOT_NEGATIVE if _is_anything(a) else _bounded(magnitude(span_of(a)))


def least_of(items: Sequence[Any]) -> Lifted:
    """The least of numbers of any sort."""
    return lowered(lowest(map(span_of, items)))


def greatest_of(items: Sequence[Any]) -> Lifted:
    """The greatest of numbers of any sort."""
    return lowered(highest(map(span_of, items)))


def at_most(least: float, *, is_open: bool) -> Lifted:
    """The least of a collection by the `least` that is known, some perhaps unknown."""
    return between(-INF, least) if is_open else NO_LEAST


def at_least(greatest: float, *, is_open: bool) -> Lifted:
    """The greatest of a collection by the `greatest` that is known, some perhaps unknown."""
    return between(greatest, INF) if is_open else NO_GREATEST


def counted(sure: float, unsure: int, is_all: bool) -> Lifted:
    """A count of which some are unsure; with no upper end where more entries may come."""
    return lowered(between(sure, sure + unsure if is_all else INF))


def days(first: Any, last: Any, today: date) -> Lifted:
    """Days from one moment to another of any sort."""
    if last.__class__ is NotYet and isinstance(first, date):
        return between(float(today.toordinal() - first.toordinal()), INF, has_low=False)
    start, end = (day_of(None if m.__class__ in _LOST else m, today) for m in (first, last))
    return lowered(plus(end, minus(start)))


def tables_on(
    kept: dict[date, Tables], world: World, day: date, asked: tuple[str, ...], flat: tuple[str, ...]
) -> Tables:
    """The limit tables of a day: room for those `asked` at something, and `flat` limits."""
    if len(kept) >= MOST_KEPT:
        kept.clear()
    found: Tables = {name: {} for name in asked}
    for name in flat:
        amount = world.limit(name, (), day)
        found[name] = ANYTHING if amount is None else lowered(amount)
    kept[day] = found
    return found


def limit(
    found: Kept, world: World, name: str, argument: Any, is_number: bool, day: date
) -> Lifted:
    """A limit on a day; one at a known argument is kept among those `found`."""
    key = None if _is_anything(argument) else argument
    value = found.get(key)
    if value is None:
        amount = world.limit(name, (_argument(argument, is_number),), day)
        value = ANYTHING if amount is None else lowered(amount)
        if len(found) >= MOST_KEPT:
            found.clear()
        found[key] = value
    return value


def _argument(value: Any, is_number: bool) -> Argument:
    if is_number:
        return Interval(value, value) if value.__class__ is float else span_of(value)
    return value if isinstance(value, str) else None
