"""How many bad jobs there can be, from those found in a sample: exact, never approximated."""

from __future__ import annotations

import math
from collections.abc import Callable

from compliance.errors import CallError
from compliance.portfolio.sizes import chance_of_at_most

_STEPS = 100
"""Halvings of an interval of probability; far below what a float can tell apart."""


def finite_interval(population: int, seen: int, bad: int, confidence: float) -> tuple[int, int]:
    """The least and the most bad jobs among all, by the hypergeometric distribution.

    Those numbers are left out at which so few or so many bad ones would be found with no more
    than half the remaining probability on either side.

    Args:
        population: All jobs. [count]
        seen: Jobs looked at. [count]
        bad: Bad ones among them. [count]
        confidence: How surely the truth lies between, 0 to 1.

    Returns:
        The least and the most. [count]
    """
    tail = (1 - checked_confidence(confidence)) / 2
    return _least_bad(population, seen, bad, tail), most_bad(population, seen, bad, tail)


def most_bad(population: int, seen: int, bad: int, tail: float) -> int:
    """The greatest number at which finding so few has a probability above `tail`."""
    low, high = bad, population - (seen - bad)
    while low < high:
        middle = (low + high + 1) // 2
        if chance_of_at_most(population, middle, seen, bad) > tail:
            low = middle
        else:
            high = middle - 1
    return low


def _least_bad(population: int, seen: int, bad: int, tail: float) -> int:
    """The least number at which finding so many has a probability above `tail`."""
    if bad == 0:
        return 0
    low, high = bad, population - (seen - bad)
    while low < high:
        middle = (low + high) // 2
        if 1 - chance_of_at_most(population, middle, seen, bad - 1) > tail:
            high = middle
        else:
            low = middle + 1
    return low


def binomial_interval(seen: int, bad: int, confidence: float) -> tuple[float, float]:
    """The interval of Clopper and Pearson for the rate of a way of working that goes on.

    Args:
        seen: Jobs looked at. [count]
        bad: Bad ones among them. [count]
        confidence: How surely the rate lies between, 0 to 1.

    Returns:
        The least and the greatest rate, 0 to 1.
    """
    tail = (1 - checked_confidence(confidence)) / 2
    low = 0.0 if bad == 0 else _where(lambda p: 1 - _at_most(seen, p, bad - 1) > tail)
    high = 1.0 if bad == seen else _where(lambda p: _at_most(seen, p, bad) <= tail)
    return low, high


def _where(is_beyond: Callable[[float], bool]) -> float:
    """The rate at which a statement that is false of small rates becomes true."""
    low, high = 0.0, 1.0
    for _ in range(_STEPS):
        middle = (low + high) / 2
        if is_beyond(middle):
            high = middle
        else:
            low = middle
    return (low + high) / 2


def _at_most(seen: int, rate: float, bad: int) -> float:
    """The probability of at most so many bad ones among independent jobs."""
    if rate in (0.0, 1.0):
        return float(rate == 0.0 or bad >= seen)
    return math.fsum(
        math.exp(
            math.lgamma(seen + 1) - math.lgamma(k + 1) - math.lgamma(seen - k + 1)
            + k * math.log(rate) + (seen - k) * math.log1p(-rate)
        )
        for k in range(bad + 1)
    )  # fmt: skip


def checked_confidence(value: float) -> float:
    """A confidence between 0 and 1.

    Raises:
        CallError: If it is not.
    """
    if not 0 < value < 1:
        raise CallError(f"confidence is {value:g}; write it between 0 and 1, such as 0.95 or 95%")
    return value
