"""What a sample showed: the rate of bad jobs among all, with exact bounds, and what was not seen.

Two ways of counting are always given side by side. As seen: what could not be looked at is
taken to be like the rest. At worst: each job of the draw that nobody saw counts as bad.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from compliance.portfolio.draw import Draw
from compliance.portfolio.intervals import (
    binomial_interval,
    checked_confidence,
    finite_interval,
    most_bad,
)
from compliance.portfolio.results import BAD, NOT_SEEN, Found


@dataclass(frozen=True, slots=True)
class Stratum:
    """The counts of one stratum. [count]"""

    name: str
    population: int
    drawn: int
    seen: int
    bad: int

    @property
    def not_seen(self) -> int:
        """Jobs of the draw that nobody looked at."""
        return self.drawn - self.seen


@dataclass(frozen=True, slots=True)
class Rate:
    """How many of all jobs are bad, by one way of counting."""

    seen: int
    bad: int
    estimate: float | None
    """The share of bad jobs among all; None where a stratum tells nothing."""
    least: int
    most: int
    """The bounds of the number of bad jobs among all, at the confidence."""
    most_one_sided: int
    """No more than so many, at the confidence, if only the upper bound is asked for."""
    process: tuple[float, float] | None
    """Bounds of the rate of the way of working, if it goes on; None where strata differ."""
    standard_error: float | None = None
    """Of the estimate, by the usual formula; only where each stratum has two jobs seen."""


@dataclass(frozen=True, slots=True)
class Conclusion:
    """All that a sample showed."""

    draw: Draw
    confidence: float
    strata: tuple[Stratum, ...]
    found: tuple[Found, ...]
    as_seen: Rate | None
    """None where nothing was seen."""
    at_worst: Rate

    @property
    def population(self) -> int:
        """All jobs of the list."""
        return sum(s.population for s in self.strata)

    @property
    def not_seen(self) -> tuple[Found, ...]:
        """The jobs of the draw that nobody looked at, with the reasons."""
        return tuple(f for f in self.found if f.result == NOT_SEEN)

    @property
    def bad(self) -> tuple[Found, ...]:
        """The bad jobs."""
        return tuple(f for f in self.found if f.result == BAD)


def conclude(draw: Draw, found: tuple[Found, ...], confidence: float) -> Conclusion:
    """What the results of a draw show.

    Args:
        draw: The draw.
        found: Its results, each job once; see `results.read_results`.
        confidence: How surely the truth lies within the bounds, 0 to 1.

    Raises:
        CallError: If the confidence is not between 0 and 1.
    """
    checked_confidence(confidence)
    strata = tuple(
        Stratum(
            name, count,
            drawn=sum(f.stratum == name for f in found),
            seen=sum(f.stratum == name and f.result != NOT_SEEN for f in found),
            bad=sum(f.stratum == name and f.result == BAD for f in found),
        )
        for name, count in draw.population.items()
    )  # fmt: skip
    as_seen = [(s.population, s.seen, s.bad) for s in strata]
    at_worst = [(s.population, s.drawn, s.bad + s.not_seen) for s in strata]
    return Conclusion(
        draw, confidence, strata, found,
        _rate(as_seen, confidence) if any(s.seen for s in strata) else None,
        _rate(at_worst, confidence),
    )  # fmt: skip


def _rate(strata: list[tuple[int, int, int]], confidence: float) -> Rate:
    """The rate from (all, seen, bad) of each stratum.

    The bounds of several strata are added, each at a confidence so much higher that together
    they hold at least at the one asked for. That is exact in what it promises, and wide.
    """
    each = 1 - (1 - confidence) / len(strata)
    bounds = [finite_interval(*stratum, each) for stratum in strata]
    population = sum(count for count, _, _ in strata)
    seen, bad = sum(n for _, n, _ in strata), sum(x for _, _, x in strata)
    tells_all = all(n for _, n, _ in strata)
    weighed = [count * x / n for count, n, x in strata if n]
    return Rate(
        seen, bad,
        math.fsum(weighed) / population if tells_all else None,
        sum(low for low, _ in bounds), sum(high for _, high in bounds),
        sum(most_bad(count, n, x, 1 - each) for count, n, x in strata),
        binomial_interval(seen, bad, confidence) if len(strata) == 1 else None,
        standard_error(strata),
    )  # fmt: skip


def standard_error(strata: list[tuple[int, int, int]]) -> float | None:
    """The standard error of a stratified estimate from (all, seen, bad); None below two seen.

    ``√Σ (N_h/N)² (1 - n_h/N_h) p_h (1 - p_h) / (n_h - 1)``
    """
    if any(n < 2 for _, n, _ in strata):
        return None
    population = sum(count for count, _, _ in strata)
    return math.sqrt(
        math.fsum(
            (count / population) ** 2 * (1 - n / count) * (x / n) * (1 - x / n) / (n - 1)
            for count, n, x in strata
        )
    )
