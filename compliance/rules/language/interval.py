"""Numbers that may be partly known: intervals whose ends belong to them or not.

Every answer is sound: `less` and `at_most` say true or false only if it holds for every
pair of numbers that the two intervals could stand for, and None otherwise.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

INF = math.inf


class Interval(NamedTuple):  # made by the thousand, at half the cost of a frozen dataclass
    """All numbers between two ends; `has_low` and `has_high` say whether an end belongs."""

    low: float
    high: float
    has_low: bool = True
    has_high: bool = True

    @property
    def is_point(self) -> bool:
        """Whether it is one known number."""
        return self.low == self.high and self.has_low and self.has_high


def between(low: float, high: float, has_low: bool = True, has_high: bool = True) -> Interval:
    """An interval; an infinite end never belongs to it."""
    return tuple.__new__(Interval, (low, high, has_low and low != -INF, has_high and high != INF))


def point(value: float) -> Interval:
    """One known number."""
    return tuple.__new__(Interval, (value, value, True, True))  # half the cost of calling it


ANYTHING = between(-INF, INF)
NO_LEAST = between(INF, INF)
NO_GREATEST = between(-INF, -INF)


_TURNED = {">": "<", ">=": "<="}


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


def less(a: Interval, b: Interval) -> bool | None:
    """Whether a < b."""
    if a.low == INF or b.high == -INF:
        return False
    touches = a.high == b.low and abs(a.high) != INF
    if a.high < b.low or (touches and not (a.has_high and b.has_low)):
        return True
    if a.low >= b.high and a.low != -INF and b.high != INF:
        return False
    return None


def at_most(a: Interval, b: Interval) -> bool | None:
    """Whether a <= b."""
    if a.high <= b.low and a.high != INF and b.low != -INF:
        return True
    touches = a.low == b.high and abs(a.low) != INF
    if a.low > b.high or (touches and not (a.has_low and b.has_high)):
        return False
    return None


def about_at_most(a: Interval, b: Interval) -> bool | None:
    """Whether a <= b where a side was worked out: a - b <= 1e-9 × abs(b) for every pair.

    `a - b - 1e-9 × abs(b)` rises with a and falls with b, so two corners decide.
    """
    if a.high <= b.low and at_most(a, b):
        return True
    if _beyond(a.high, b.low) <= 0:
        return True
    touches = a.low == 0 == b.high and not (a.has_low and b.has_high)  # no tolerance around 0
    if touches or _beyond(a.low, b.high) > 0:
        return False
    return None


def _beyond(a: float, b: float) -> float:
    if math.isinf(a) or math.isinf(b):
        return a - b if a != b else math.nan
    return a - b - 1e-9 * abs(b)


def plus(a: Interval, b: Interval) -> Interval:
    """a + b."""
    return between(
        a.low + b.low, a.high + b.high, a.has_low and b.has_low, a.has_high and b.has_high
    )


def minus(a: Interval) -> Interval:
    """-a."""
    return Interval(-a.high, -a.low, a.has_high, a.has_low)


def times(a: Interval, b: Interval) -> Interval:
    """a × b; 0 times anything is 0, and where both are unknown the ends count as belonging."""
    for p, q in ((a, b), (b, a)):
        if p.is_point and p.low != 0:
            scaled = between(q.low * p.low, q.high * p.low, q.has_low, q.has_high)
            if p.low > 0:
                return scaled
            return between(scaled.high, scaled.low, q.has_high, q.has_low)
    ends = [0.0 if x == 0 or y == 0 else x * y for x in (a.low, a.high) for y in (b.low, b.high)]
    return between(min(ends), max(ends))


def holds_zero(a: Interval) -> bool:
    """Whether 0 lies in the interval or touches it."""
    return a.low <= 0 <= a.high


def over(a: Interval, b: Interval) -> Interval:
    """a / b, for a b that neither holds nor touches 0."""
    ends = sorted(
        (0.0 if math.isinf(e) else 1 / e, has)
        for e, has in ((b.low, b.has_low), (b.high, b.has_high))
    )
    (low, has_low), (high, has_high) = ends
    return times(a, Interval(low, high, has_low, has_high))


def magnitude(a: Interval) -> Interval:
    """abs(a)."""
    if a.low >= 0:
        return a
    if a.high <= 0:
        return minus(a)
    high = max(-a.low, a.high)
    belongs = (a.has_low and -a.low == high) or (a.has_high and a.high == high)
    return between(0.0, high, True, belongs)


def lowest(items: Iterable[Interval]) -> Interval:
    """The least of several, exactly; of none, more than anything."""
    all_of = tuple(items)
    if not all_of:
        return NO_LEAST
    low = min(i.low for i in all_of)
    high = min(i.high for i in all_of)
    return between(
        low,
        high,
        any(i.has_low for i in all_of if i.low == low),
        all(i.has_high for i in all_of if i.high == high),
    )


def highest(items: Iterable[Interval]) -> Interval:
    """The greatest of several, exactly; of none, less than anything."""
    return minus(lowest(minus(i) for i in items))


def span(items: Iterable[Interval]) -> Interval:
    """The least interval that holds several."""
    all_of = tuple(items)
    low = min(i.low for i in all_of)
    high = max(i.high for i in all_of)
    return between(
        low,
        high,
        any(i.has_low for i in all_of if i.low == low),
        any(i.has_high for i in all_of if i.high == high),
    )
