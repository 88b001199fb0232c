"""Dates, dates with a time and `not yet`, compared; whole days where either has no time."""

from __future__ import annotations

import operator
from datetime import date, datetime
from typing import Any

from compliance.rules.language.interval import ANYTHING, INF, Interval, between, compared, point
from compliance.values import NotYet

_PLAIN = {"<": operator.lt, "<=": operator.le, ">": operator.gt, ">=": operator.ge}


def moments_compared(op: str, a: Any, b: Any, today: date) -> bool | None:
    """Whether `a op b` for two moments; if either has no time of day, days compare."""
    if isinstance(a, date) and isinstance(b, date):
        if isinstance(a, datetime) and isinstance(b, datetime):
            return bool(_PLAIN[op](a, b))
        return bool(_PLAIN[op](a.toordinal(), b.toordinal()))
    known = b if a.__class__ is NotYet else a
    if isinstance(known, date) and (a.__class__ is NotYet or b.__class__ is NotYet):
        if known.toordinal() > today.toordinal():
            return None
        return (op[0] == "<") is (known is a)  # not yet is after today
    return compared(op, day_of(a, today), day_of(b, today), is_worked=False)


def day_of(moment: Any, today: date) -> Interval:
    """A moment as the number of its day; not yet is any day after today, None any at all."""
    if moment is None:
        return ANYTHING
    if isinstance(moment, NotYet):
        return between(today.toordinal(), INF, has_low=False)
    return point(moment.toordinal())
